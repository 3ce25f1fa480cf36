//! The narration as WebVTT captions (W3C), to lie beside the recording.

use std::fmt::Write;

use super::{RenderError, words};
use crate::narration::{Seconds, Word};
use crate::report::Report;

/// Two lines of the length that players show without wrapping.
const CUE_CHARS: usize = 84;
const LINE_CHARS: usize = 42;
const CUE_SECONDS: f64 = 7.0;
/// A silence this long is a new thought.
const PAUSE_SECONDS: f64 = 1.2;
/// Shorter than this nobody can read, so that a cue lasts on into a silence.
const SHORTEST_SECONDS: f64 = 1.0;

/// Text with the time for which it is shown or said.
struct Cue {
    start: f64,
    end: f64,
    text: String,
}

pub(super) fn vtt(report: &Report) -> Result<String, RenderError> {
    if !report.recording.timed {
        return Err(RenderError::Untimed(words::clean(&report.recording.name)));
    }
    Ok(vtt_of(&report.transcript, &report.recording.name, report.recording.model.is_some()))
}

/// WebVTT of words from the recording of that name.
pub(super) fn vtt_of(transcript: &[Word], name: &str, recognised: bool) -> String {
    let mut out = String::from("WEBVTT\n\nNOTE\n");
    let _ = writeln!(out, "The words of {}, written down by plainsaid.", escape(&words::clean(name)));
    if recognised {
        out.push_str("They were recognised by a program and may have been misheard.\n");
    }
    for cue in cues(transcript) {
        let _ = write!(out, "\n{} --> {}\n{}\n", stamp(cue.start), stamp(cue.end), escape(&broken(&cue.text)));
    }
    out
}

/// The same as SubRip captions, which have no place for a note and write a comma in their times.
pub(super) fn srt_of(transcript: &[Word]) -> String {
    let mut out = String::new();
    for (at, cue) in cues(transcript).iter().enumerate() {
        let gap = if at > 0 { "\n" } else { "" };
        let time = |seconds| stamp(seconds).replace('.', ",");
        let _ = write!(out, "{gap}{}\n{} --> {}\n{}\n", at + 1, time(cue.start), time(cue.end), broken(&cue.text));
    }
    out
}

fn cues(transcript: &[Word]) -> Vec<Cue> {
    let mut cues = Vec::new();
    for run in runs(transcript) {
        split(&run, &mut cues);
    }
    for at in 0..cues.len() {
        let next = cues.get(at + 1).map_or(f64::INFINITY, |cue| cue.start);
        let cue = &mut cues[at];
        cue.end = cue.end.max(cue.start + SHORTEST_SECONDS).min(next).max(cue.start + 0.001);
    }
    cues
}

/// Words that belong together: a line of notes, a heard segment, whatever lies between two silences.
fn runs(transcript: &[Word]) -> Vec<Vec<Cue>> {
    let mut runs: Vec<Vec<Cue>> = Vec::new();
    let mut opens = true;
    let mut earliest = 0.0;
    for word in transcript {
        opens |= word.opens_line;
        let text = words::clean(&word.text);
        if text.is_empty() {
            continue;
        }
        // A recogniser's times can overlap by a little; captions must not run backwards.
        let start = seconds(word.start).max(earliest);
        let end = seconds(word.end).max(start);
        earliest = start;
        let said = Cue { start, end, text };
        match runs.last_mut() {
            Some(run) if !opens && run.last().is_some_and(|last| start - last.end < PAUSE_SECONDS) => run.push(said),
            _ => runs.push(vec![said]),
        }
        opens = false;
    }
    runs
}

/// Halves a run until its pieces can be read, at the end of a sentence where one is near the middle: cues of about the
/// same length, and never a last word on its own.
fn split(run: &[Cue], cues: &mut Vec<Cue>) {
    let (Some(first), Some(last)) = (run.first(), run.last()) else { return };
    let length = |words: &[Cue]| words.iter().map(|word| word.text.chars().count() + 1).sum::<usize>();
    let whole = length(run);
    if run.len() == 1 || (whole <= CUE_CHARS + 1 && last.end - first.start <= CUE_SECONDS) {
        let text = run.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
        cues.push(Cue { start: first.start, end: last.end, text });
        return;
    }
    let mut before = 0;
    let mut best = (usize::MAX, 1);
    for (at, word) in run.iter().enumerate().take(run.len() - 1) {
        before += word.text.chars().count() + 1;
        let off = (2 * before).abs_diff(whole);
        let cost = if word.text.ends_with(['.', '?', '!', ';']) {
            off / 4
        } else if word.text.ends_with(',') {
            off / 2
        } else {
            off
        };
        best = best.min((cost, at + 1));
    }
    let (left, right) = run.split_at(best.1);
    split(left, cues);
    split(right, cues);
}

/// The text on two lines of about the same length, where one would be too long.
fn broken(text: &str) -> String {
    let length = text.chars().count();
    if length <= LINE_CHARS {
        return text.to_owned();
    }
    let gap =
        text.char_indices().enumerate().filter(|(_, (_, c))| *c == ' ').min_by_key(|(at, _)| (2 * at).abs_diff(length));
    match gap {
        Some((_, (byte, _))) => format!("{}\n{}", &text[..byte], &text[byte + 1..]),
        None => text.to_owned(),
    }
}

/// `>` as well as what must be, so that no text holds the arrow that ends a header.
fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

fn seconds(moment: Seconds) -> f64 {
    if moment.0.is_finite() { moment.0.max(0.0) } else { 0.0 }
}

fn stamp(seconds: f64) -> String {
    let ms = (seconds * 1000.0).round() as u64;
    format!("{:02}:{:02}:{:02}.{:03}", ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60, ms % 1000)
}
