//! Past drafts, and what a person corrected in them.
//!
//! The history of a report is a row of changes, each of one field from one value to another. What a draft said first is
//! what the first change of a field came from; what a person made of it stands in the document. What was changed and
//! taken back again is therefore no correction.

use std::collections::HashMap;
use std::path::Path;

use serde_json::Value;

use crate::narration::{self, Input, Narration, Seconds, Word, shown};
use crate::report::{Finding, Hand, Report, State};
use crate::vocabulary::Market;

/// A draft of some day.
#[derive(Clone, Debug)]
pub struct Draft {
    /// The file, as it is shown.
    pub name: String,
    /// The words as they were heard or typed, before anyone corrected them.
    pub narration: Narration,
    pub market: Market,
    pub steering: Hand,
    /// The vehicle's make and model, as they stand in the draft.
    pub vehicle: Vec<String>,
    pub corrections: Vec<Correction>,
}

/// What a person changed.
#[derive(Clone, Debug)]
pub struct Correction {
    pub at_s: Seconds,
    pub quote: String,
    /// First and last word, as positions in the narration.
    pub words: [usize; 2],
    pub what: What,
}

#[derive(Clone, Debug)]
pub enum What {
    /// A field of a finding: what the draft had, and what it is now.
    Field { field: String, was: Box<Finding>, now: Box<Finding> },
    /// The finding is none.
    Struck(Box<Finding>),
    /// A finding that the draft had not.
    Added(Box<Finding>),
    /// A word that was heard wrongly.
    Word { at: usize, heard: String, said: String },
}

/// Why a file cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("{file}: {what}")]
pub struct HistoryError {
    pub file: String,
    pub what: String,
}

/// Reads a draft with its history; a typed narration or captions too, which have none.
pub fn open(path: &Path, market: Market) -> Result<Draft, HistoryError> {
    let failed = |what: String| HistoryError { file: shown(path), what };
    if path.extension().is_some_and(|e| e == "json") {
        let text = std::fs::read_to_string(path).map_err(|error| failed(format!("cannot be read ({error})")))?;
        if let Ok(report) = serde_json::from_str::<Report>(&text) {
            return of_report(&shown(path), report).map_err(failed);
        }
    }
    match narration::open(path).map_err(|error| HistoryError { file: String::new(), what: error.to_string() }) {
        Ok(Input::Narration(narration)) => Ok(plain(path, narration, market)),
        Ok(Input::Transcript(transcript)) => Ok(plain(path, transcript.narration, market)),
        Ok(Input::Recording(_)) => Err(failed("is a recording; draft it first, and give the draft (.json)".into())),
        Err(error) => {
            let own = format!("{}: ", shown(path));
            Err(failed(error.what.strip_prefix(&own).unwrap_or(&error.what).to_owned()))
        }
    }
}

fn plain(path: &Path, narration: Narration, market: Market) -> Draft {
    Draft {
        name: shown(path),
        narration,
        market,
        steering: market.steering(),
        vehicle: Vec::new(),
        corrections: Vec::new(),
    }
}

fn of_report(name: &str, report: Report) -> Result<Draft, String> {
    let market: Market = report.market.parse()?;
    let count = report.transcript.len();
    let within = |[first, last]: [usize; 2]| first <= last && last < count;
    if !report.findings.iter().all(|finding| within(finding.words)) {
        return Err("a finding lies outside the transcript; draft it anew".into());
    }
    // What each field was at first.
    let mut first: HashMap<(&str, &str), &Value> = HashMap::new();
    for change in &report.history {
        first.entry((change.what.as_str(), change.field.as_str())).or_insert(&change.from);
    }
    let mut words = report.transcript.clone();
    let mut corrections = Vec::new();
    for (at, word) in words.iter_mut().enumerate() {
        let place = at.to_string();
        let Some(from) = first.get(&("transcript", place.as_str())) else { continue };
        let heard = match from {
            Value::String(text) => Some(text.clone()),
            from => serde_json::from_value::<Word>((*from).clone()).ok().map(|word| word.text),
        };
        if let Some(heard) = heard.filter(|heard| *heard != word.text) {
            let said = std::mem::replace(&mut word.text, heard.clone());
            let quote = heard.clone();
            let what = What::Word { at, heard, said };
            corrections.push(Correction { at_s: word.start, quote, words: [at, at], what });
        }
    }
    for now in &report.findings {
        let id = now.id.as_str();
        let was = before(now, &first);
        let of = |what| Correction { at_s: now.at_s, quote: now.quote.clone(), words: now.words, what };
        let added = now.state == State::Added || first.get(&(id, "finding")).is_some_and(|from| from.is_null());
        match now.state {
            State::Struck if !added => corrections.push(of(What::Struck(Box::new(was)))),
            State::Struck => {}
            _ if added => corrections.push(of(What::Added(Box::new(now.clone())))),
            _ => {
                let named = |a: &Option<crate::report::Named>| a.as_ref().map(|n| n.id.clone());
                let changed = [
                    ("kind", was.kind != now.kind),
                    ("defect", named(&was.defect) != named(&now.defect)),
                    ("part", named(&was.part) != named(&now.part)),
                    ("item", named(&was.item) != named(&now.item)),
                    ("severity", was.severity != now.severity),
                    ("side", was.side != now.side),
                    ("end", was.end != now.end),
                ];
                for (field, _) in changed.into_iter().filter(|(_, changed)| *changed) {
                    let what =
                        What::Field { field: field.into(), was: Box::new(was.clone()), now: Box::new(now.clone()) };
                    corrections.push(of(what));
                }
            }
        }
    }
    let vehicle = [report.vehicle.make.clone(), report.vehicle.model.clone()].into_iter().flatten().collect();
    Ok(Draft {
        name: name.to_owned(),
        narration: Narration { words, duration: report.recording.duration_s, timed: report.recording.timed },
        market,
        steering: report.vehicle.steering,
        vehicle,
        corrections,
    })
}

/// A finding as the draft had it.
fn before(now: &Finding, first: &HashMap<(&str, &str), &Value>) -> Finding {
    let mut value = serde_json::to_value(now).unwrap_or_default();
    if let Some(fields) = value.as_object_mut() {
        for ((what, field), from) in first {
            if *what == now.id && *field != "finding" {
                fields.insert((*field).to_owned(), (*from).clone());
            }
        }
    }
    serde_json::from_value(value).unwrap_or_else(|_| now.clone())
}
