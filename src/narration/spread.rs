//! Words that share one stretch of time get moments of their own, by their length in letters.

use super::error::Fault;
use super::{MOST_WORDS, Seconds, Word};

/// The pace assumed where nothing tells it: an unhurried speaker, in words a second.
const PACE: f64 = 2.5;

/// A word as it stands in the text, before it has a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Written<'a> {
    pub text: &'a str,
    pub opens_line: bool,
}

/// Splits a line into words. Control characters part words, so that none reaches a terminal or a page.
pub(super) fn split(line: &str) -> impl Iterator<Item = &str> {
    line.split(|c: char| c.is_whitespace() || c.is_control() || c == '\u{feff}').filter(|word| !word.is_empty())
}

/// How long so many words take at the assumed pace, in seconds.
pub(super) fn assumed(words: usize) -> f64 {
    words as f64 / PACE
}

/// Adds words that were said between two moments.
pub(super) fn spread(run: &[Written<'_>], from: f64, until: f64, out: &mut Vec<Word>) -> Result<(), Fault> {
    if out.len() + run.len() > MOST_WORDS {
        return Err(Fault::TooManyWords);
    }
    let length = |word: &Written<'_>| word.text.chars().count() as f64;
    // The space between two words takes the time of a letter.
    let whole = run.iter().map(|word| length(word) + 1.0).sum::<f64>() - 1.0;
    let moment = |letters: f64| (from + (until - from) * letters / whole).min(until);
    let mut before = 0.0;
    for word in run {
        let after = before + length(word);
        out.push(Word {
            text: word.text.to_owned(),
            start: Seconds(moment(before)),
            end: Seconds(moment(after)),
            confidence: 1.0,
            opens_line: word.opens_line,
        });
        before = after + 1.0;
    }
    Ok(())
}
