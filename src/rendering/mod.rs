//! The document becomes a page, a sheet of notes, a table, captions, data.
//!
//! Nothing is decided here: every output says what the report holds, in plain words, and no more. Text that came from
//! a narration is text everywhere, whatever it contains.

use std::fmt;
use std::str::FromStr;

use crate::report::{CheckResult, Finding, Kind, Report, State};

mod captions;
mod page;
mod summary;
mod table;
mod transcript;
pub mod words;

pub use summary::summary;
pub use transcript::{Spoken, TranscriptFormat, transcript};

/// What a report can be turned into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Format {
    /// One self-contained page, to read, play and print.
    Html,
    /// The report document itself.
    Json,
    Markdown,
    /// One row for each finding.
    Csv,
    /// Captions for the recording.
    Vtt,
}

impl Format {
    pub const ALL: [Format; 5] = [Format::Html, Format::Json, Format::Markdown, Format::Csv, Format::Vtt];

    /// The ending of a file's name, which is also the name that a person gives the format.
    pub fn extension(self) -> &'static str {
        match self {
            Format::Html => "html",
            Format::Json => "json",
            Format::Markdown => "md",
            Format::Csv => "csv",
            Format::Vtt => "vtt",
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.extension())
    }
}

/// A format's name that is none of ours.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is not a format; choose from html, json, md, csv and vtt")]
pub struct UnknownFormat(pub String);

impl FromStr for Format {
    type Err = UnknownFormat;

    fn from_str(name: &str) -> Result<Self, Self::Err> {
        Format::ALL.into_iter().find(|format| format.extension() == name).ok_or_else(|| UnknownFormat(name.to_owned()))
    }
}

/// What lies beside the output, in the same folder.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Beside {
    /// The recording's file name, relative to the page, where the page can play it.
    pub recording: Option<String>,
}

/// Why a report could not be rendered.
#[derive(Debug, thiserror::Error)]
pub enum RenderError {
    #[error("{0} has no timecodes, so that no captions can be made from it; leave vtt out of the formats")]
    Untimed(String),
    #[error("the page's template does not fit the report: {0}")]
    Template(#[from] minijinja::Error),
    #[error("the report cannot be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    #[error("the report cannot be written as a table: {0}")]
    Table(#[from] csv::Error),
}

/// The report in one format, as the whole text of a file.
pub fn render(report: &Report, format: Format, beside: &Beside) -> Result<String, RenderError> {
    match format {
        Format::Html => page::html(report, beside),
        Format::Markdown => page::markdown(report),
        Format::Json => Ok(serde_json::to_string_pretty(report)? + "\n"),
        Format::Csv => table::csv(report),
        Format::Vtt => captions::vtt(report),
    }
}

/// Everything found wrong that bears on the safe use of the vehicle, in the order of the walk.
pub fn cautions(report: &Report) -> Vec<&Finding> {
    walk(report).into_iter().filter(|finding| is_caution(finding)).collect()
}

/// The JSON Schema of the report document.
pub fn schema() -> String {
    let schema = schemars::schema_for!(Report);
    format!("{:#}\n", schema.as_value())
}

/// Findings that stand, in the order in which they were said. Those that a person struck out are left to the JSON.
fn walk(report: &Report) -> Vec<&Finding> {
    let mut findings: Vec<&Finding> = report.findings.iter().filter(|finding| finding.state != State::Struck).collect();
    if report.recording.timed {
        findings.sort_by(|a, b| a.at_s.0.total_cmp(&b.at_s.0));
    }
    findings
}

fn is_caution(finding: &Finding) -> bool {
    finding.safety
        && match finding.kind {
            Kind::Fault => true,
            Kind::Check => finding.result == Some(CheckResult::Fault),
            _ => false,
        }
}
