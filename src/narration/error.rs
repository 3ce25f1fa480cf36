//! What can be wrong with a file that was given as a narration, in words for the person who gave it.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

/// What is wrong, in which file and, where it can be said, on which line.
#[derive(Debug, Error)]
#[error("{}{}: {fault}", shown(.file), Line(*.line))]
pub struct NarrationError {
    pub file: PathBuf,
    /// Counted from 1.
    pub line: Option<usize>,
    pub fault: Fault,
}

impl NarrationError {
    /// True where another file, or a mended one, would do; false where reading itself failed.
    pub fn is_bad_input(&self) -> bool {
        match &self.fault {
            Fault::Unreadable(source) => source.kind() == io::ErrorKind::PermissionDenied,
            _ => true,
        }
    }
}

struct Line(Option<usize>);

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.map_or(Ok(()), |line| write!(f, ", line {line}"))
    }
}

/// A file's name for a message: on one line, whatever the name holds.
pub fn shown(file: &Path) -> String {
    file.to_string_lossy().chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

/// What is wrong with the file, without its name.
#[derive(Debug, Error)]
pub enum Fault {
    #[error("there is no such file; check the name and the folder")]
    Missing,
    #[error("is a folder; name the recordings or narrations in it")]
    Folder,
    #[error("is not an ordinary file; save what it holds to a file first")]
    NotAFile,
    #[error("cannot be read ({0}); check that it is yours to read and that the disk is sound")]
    Unreadable(#[source] io::Error),
    #[error("is empty; choose another file, or record it again")]
    Empty,
    #[error("holds no words; write what was said, as `[m:ss] words` or without times")]
    NoWords,
    #[error(
        "is longer than {} million bytes of text, which is no narration of one vehicle",
        super::open::MOST_TEXT / 1_000_000
    )]
    TooLarge,
    #[error("holds more than {} words, which is no narration of one vehicle; split it", super::MOST_WORDS)]
    TooManyWords,
    #[error("is not UTF-8 text, nor a recording that plainsaid knows; save a narration as UTF-8 and try again")]
    NotUtf8,
    #[error("is neither a recording that plainsaid knows nor text; give it a recording or a narration")]
    Binary,
    /// A file of a known kind that holds no narration: its name with its article, and what to do instead.
    #[error("is {what}, not a recording or a narration; {instead}")]
    OtherKind { what: &'static str, instead: &'static str },
    #[error(
        "{said} is not a time that plainsaid can read; times are [m:ss] or [h:mm:ss], with seconds up to 59{}",
        Mended(.mended)
    )]
    Time { said: String, mended: Option<String> },
    #[error("{said} goes back, for {before} stands above it; correct whichever of the two is wrong")]
    Backwards { said: String, before: String },
    #[error("\"{said}\" is not the time of a caption; it should be like 00:01:05.000 --> 00:01:09.500")]
    CueTime { said: String },
    #[error("cannot be read as JSON ({0}); the file may be cut off")]
    Json(String),
    #[error(
        "is JSON, but not as plainsaid writes transcripts ({0}); give it a transcript or a report of plainsaid's own"
    )]
    JsonShape(String),
    #[error("is JSON, but neither a transcript with `words` nor a report with `transcript`")]
    OtherJson,
}

struct Mended<'a>(&'a Option<String>);

impl fmt::Display for Mended<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.as_ref().map_or(Ok(()), |time| write!(f, "; was {time} meant?"))
    }
}

/// A fault and the line that it is on, before anyone knows the file.
pub(super) type Located = (Option<usize>, Fault);

pub(super) fn on_line(line: usize, fault: Fault) -> Located {
    (Some(line), fault)
}

impl From<Fault> for Located {
    fn from(fault: Fault) -> Self {
        (None, fault)
    }
}
