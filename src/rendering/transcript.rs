//! The words alone: what was said and when, without what was made of it.

use std::fmt::Write;

use serde::Serialize;

use super::{captions, words};
use crate::narration::{Narration, Word};
use crate::report::{Mended, Recording, Unclear};

/// What a transcript can be written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TranscriptFormat {
    /// Lines with times, as a person would type them.
    Text,
    /// WebVTT captions.
    Vtt,
    /// SubRip captions.
    Srt,
    /// Every word with its moment, and how sure the recogniser was of it.
    Json,
}

impl TranscriptFormat {
    pub const ALL: [TranscriptFormat; 4] = [Self::Text, Self::Vtt, Self::Srt, Self::Json];

    /// The ending of a file's name, which is also the name that a person gives the format.
    pub fn extension(self) -> &'static str {
        match self {
            Self::Text => "txt",
            Self::Vtt => "vtt",
            Self::Srt => "srt",
            Self::Json => "json",
        }
    }
}

/// The words of one recording.
#[derive(Clone, Debug, Serialize)]
pub struct Spoken {
    pub recording: Recording,
    /// Stretches in which somebody speaks, but no words could be made out.
    pub unclear: Vec<Unclear>,
    /// Words written otherwise than they were heard.
    pub mended: Vec<Mended>,
    #[serde(flatten)]
    pub narration: Narration,
}

/// The transcript as the whole text of a file. All but captions tell where it was unclear; captions show only words.
pub fn transcript(spoken: &Spoken, format: TranscriptFormat) -> Result<String, serde_json::Error> {
    let said = &spoken.narration.words;
    Ok(match format {
        TranscriptFormat::Text => text(said, &spoken.unclear),
        TranscriptFormat::Vtt => captions::vtt_of(said, &spoken.recording.name, spoken.recording.model.is_some()),
        TranscriptFormat::Srt => captions::srt_of(said),
        TranscriptFormat::Json => serde_json::to_string_pretty(spoken)? + "\n",
    })
}

fn text(said: &[Word], unclear: &[Unclear]) -> String {
    let mut out = String::new();
    let mut unclear = unclear.iter().peekable();
    let mut begun = false;
    for word in said {
        let missed = unclear.peek().is_some_and(|u| u.start <= word.start);
        if (word.opens_line || missed) && begun {
            out.push('\n');
            begun = false;
        }
        while let Some(stretch) = unclear.next_if(|u| u.start <= word.start) {
            let _ = writeln!(out, "[{}] (unclear)", stretch.start.clock());
        }
        if begun {
            out.push(' ');
        } else {
            let _ = write!(out, "[{}] ", word.start.clock());
        }
        out.push_str(&words::clean(&word.text));
        begun = true;
    }
    if begun {
        out.push('\n');
    }
    for stretch in unclear {
        let _ = writeln!(out, "[{}] (unclear)", stretch.start.clock());
    }
    out
}
