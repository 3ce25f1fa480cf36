//! A transcript in our own format: a [`Narration`] as JSON, a bare list of its words, or a whole report document, from
//! which the words and what is known of the recording are taken.

use serde::Deserialize;

use super::error::{Fault, Located, on_line};
use super::spread::{Written, split, spread};
use super::{Narration, Origin, Seconds, Word};

/// Words read from JSON, with what the document says of the recording that they were heard from.
#[derive(Clone, Debug, PartialEq)]
pub struct Transcript {
    pub narration: Narration,
    /// None where the file says nothing of a recording.
    pub of: Option<Source>,
}

/// The recording that a transcript was made from, as the document tells it.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Source {
    pub name: String,
    pub sha256: String,
    #[serde(default)]
    pub duration_s: Option<Seconds>,
    pub kind: Origin,
    #[serde(default)]
    pub model: Option<String>,
    #[serde(default = "super::timed")]
    pub timed: bool,
}

/// No recording lasts longer, in seconds.
const LATEST: f64 = 360_000.0;

#[derive(Deserialize)]
struct Document {
    words: Option<Vec<Word>>,
    transcript: Option<Vec<Word>>,
    recording: Option<Source>,
    duration: Option<Seconds>,
    timed: Option<bool>,
}

pub(super) fn read(text: &str) -> Result<Transcript, Located> {
    let document = if text.trim_start().starts_with('[') {
        let words = serde_json::from_str(text).map_err(located)?;
        Document { words: Some(words), transcript: None, recording: None, duration: None, timed: None }
    } else {
        serde_json::from_str::<Document>(text).map_err(located)?
    };
    let Document { words, transcript, recording, duration, timed } = document;
    let words = words.or(transcript).ok_or(Fault::OtherJson)?;
    let duration = duration.or(recording.as_ref().and_then(|of| of.duration_s)).filter(|length| length.0 >= 0.0);
    let timed = timed.or(recording.as_ref().map(|of| of.timed)).unwrap_or(true);
    let mut narration = Narration { words: Vec::new(), duration, timed };
    // Words stand in the order in which they were said; moments that contradict it are drawn into line.
    let mut earliest = 0.0_f64;
    for word in &words {
        let written: Vec<Written<'_>> = split(&word.text)
            .enumerate()
            .map(|(at, text)| Written { text, opens_line: at == 0 && word.opens_line })
            .collect();
        let start = word.start.0.clamp(earliest, LATEST);
        let first = narration.words.len();
        spread(&written, start, word.end.0.clamp(start, LATEST), &mut narration.words)?;
        for word_read in &mut narration.words[first..] {
            word_read.confidence = word.confidence.clamp(0.0, 1.0);
            earliest = word_read.start.0;
        }
    }
    if narration.words.is_empty() {
        return Err(Fault::NoWords.into());
    }
    Ok(Transcript { narration, of: recording })
}

fn located(error: serde_json::Error) -> Located {
    let said = error.to_string();
    let what = said.split(" at line ").next().unwrap_or_default().to_owned();
    on_line(error.line(), if error.is_data() { Fault::JsonShape(what) } else { Fault::Json(what) })
}
