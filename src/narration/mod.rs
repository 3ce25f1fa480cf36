//! What was said and when.
//!
//! A [`Narration`] is words in order, each with its moment. It is all that passes between hearing a recording and
//! reading it: this room knows nothing of sound, vehicles or findings.

mod captions;
mod error;
mod kind;
mod open;
mod spread;
mod transcript;
mod typed;

pub use error::{Fault, NarrationError, shown};
pub use open::{Input, MOST_TEXT, from_bytes, open};
pub use transcript::{Source, Transcript};

use serde::{Deserialize, Serialize};

/// The most words that a narration may hold: some fifty hours of speech.
pub const MOST_WORDS: usize = 500_000;

/// A moment in a recording, or a length of time, in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(transparent)]
pub struct Seconds(pub f64);

impl Seconds {
    /// `m:ss`, or `h:mm:ss` from one hour on: how a person writes a moment in a recording. Rounded down, so that
    /// playing from the moment shown never starts after the words.
    pub fn clock(self) -> String {
        let whole = self.0.max(0.0).floor() as u64;
        let (h, m, s) = (whole / 3600, whole / 60 % 60, whole % 60);
        if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") }
    }
}

/// One word as it was written or heard, letter for letter, with any punctuation that hangs on it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct Word {
    pub text: String,
    /// When the word begins, in seconds from the start of the recording.
    pub start: Seconds,
    /// When the word ends, in seconds.
    pub end: Seconds,
    /// How sure the recogniser was, from 0 to 1; 1 for typed words.
    #[serde(default = "certain")]
    pub confidence: f32,
    /// True for the first word of a line of notes, a caption or a heard segment.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub opens_line: bool,
}

fn certain() -> f32 {
    1.0
}

/// Where a narration came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Origin {
    /// The recording has a picture.
    Video,
    /// The recording has sound only.
    Audio,
    /// Notes or captions: no recording was heard.
    Typed,
}

/// Words about a vehicle in the order in which they were said.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct Narration {
    pub words: Vec<Word>,
    /// The length of the recording where it is known, in seconds; for typed notes, the last timecode.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duration: Option<Seconds>,
    /// False where the notes carried no timecodes at all, so that the words' moments mean nothing.
    #[serde(default = "timed")]
    pub timed: bool,
}

fn timed() -> bool {
    true
}

impl Narration {
    /// The words from `first` up to and including `last`, letter for letter, joined by single spaces.
    pub fn quote(&self, first: usize, last: usize) -> String {
        let words = &self.words[first..=last.min(self.words.len() - 1)];
        let mut out = String::with_capacity(words.iter().map(|word| word.text.len() + 1).sum());
        for word in words {
            if !out.is_empty() {
                out.push(' ');
            }
            out.push_str(&word.text);
        }
        out
    }
}
