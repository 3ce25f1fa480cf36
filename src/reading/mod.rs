//! A narration becomes findings, in passes.
//!
//! Each pass takes a value and gives a value that a test can print; none reaches back:
//! [`tokens`] → [`mentions`] → [`clauses`] → [`standing`] and [`whereabouts`] → [`joining`] and [`findings`].
//! What the speaker's words mean is vocabulary data; how statements hang together is here. Recordings are unknown to
//! this room: it sees a [`Narration`] and nothing else.

pub mod clauses;
pub mod findings;
pub mod joining;
pub mod mentions;
pub mod numbers;
pub mod standing;
pub mod strength;
pub mod tokens;
pub mod vehicle;
pub mod whereabouts;

use crate::narration::Narration;
use crate::report::{Finding, Hand, Kind, Report, SetAside, Standing, Vehicle};
use crate::vocabulary::Vocabulary;

/// What a reading needs to know beside the words.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// The side that the steering wheel is on.
    pub steering: Hand,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    pub vehicle: Vehicle,
    pub findings: Vec<Finding>,
    pub set_aside: Vec<SetAside>,
}

pub fn read(narration: &Narration, vocabulary: &Vocabulary, options: &Options) -> Reading {
    let tokens = tokens::tokens(narration, vocabulary);
    let mentions = mentions::mentions(&tokens, vocabulary);
    let clauses = clauses::clauses(&mentions, &tokens, vocabulary);
    let sides = whereabouts::Sides::new(vocabulary.market, options.steering);
    let places = whereabouts::whereabouts(&mentions, &clauses, vocabulary, sides);
    let reader = findings::Reader {
        narration,
        tokens: &tokens,
        mentions: &mentions,
        clauses: &clauses,
        places: &places,
        vocabulary,
        sides,
        ends_with_prices: Default::default(),
    };
    let drafts = reader.drafts();
    let mut findings = Vec::with_capacity(drafts.len());
    let mut set_aside = Vec::new();
    for draft in drafts {
        if draft.kind == Kind::Fault && draft.verdict.standing != Standing::Asserted {
            set_aside.push(reader.set_aside(&draft));
        } else {
            findings.push(reader.finish(draft, findings.len() + 1));
        }
    }
    let vehicle = vehicle::vehicle(narration, &tokens, &mentions, &clauses, vocabulary, options.steering);
    Reading { vehicle, findings, set_aside }
}

/// How every finding was read, for a person: the quote, then each field with the words and the rule behind it.
pub fn explain(report: &Report) -> String {
    use std::fmt::Write;
    let mut out = String::new();
    for finding in &report.findings {
        let what = [&finding.defect, &finding.part, &finding.item].into_iter().flatten().map(|n| n.label.as_str());
        let _ = writeln!(
            out,
            "{} {} {:?}: {}",
            finding.id,
            finding.at_s.clock(),
            finding.kind,
            what.collect::<Vec<_>>().join(", ")
        );
        let _ = writeln!(out, "    \u{201c}{}\u{201d}", finding.quote);
        for reason in &finding.why {
            let value = match &*reason.field {
                "part" => finding.part.as_ref().map_or_else(|| "-".into(), |p| p.label.clone()),
                "defect" => finding.defect.as_ref().map_or_else(|| "-".into(), |d| d.label.clone()),
                "side" => finding.side.map_or_else(|| "-".into(), |s| format!("{s:?}").to_lowercase()),
                "end" => finding.end.map_or_else(|| "-".into(), |s| format!("{s:?}").to_lowercase()),
                "severity" => finding.severity.map_or_else(|| "-".into(), |s| format!("{s:?}").to_lowercase()),
                "certainty" => format!("{:?}", finding.certainty).to_lowercase(),
                _ => String::new(),
            };
            let _ = write!(out, "    {}: {value} by {}", reason.field, reason.rule);
            if !reason.words.is_empty() {
                let _ = write!(out, ", from \u{201c}{}\u{201d}", reason.words);
            }
            if !reason.entry.is_empty() {
                let _ = write!(out, " [{}]", reason.entry);
            }
            if let Some(margin) = reason.margin {
                let _ = write!(out, ", ahead by {margin:.1}");
            }
            out.push('\n');
        }
    }
    for aside in &report.set_aside {
        let _ =
            writeln!(out, "set aside {}: \u{201c}{}\u{201d} is {:?}", aside.at_s.clock(), aside.quote, aside.standing);
        if !aside.because.is_empty() {
            let _ = writeln!(out, "    because of \u{201c}{}\u{201d}", aside.because);
        }
    }
    out
}
