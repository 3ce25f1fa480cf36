//! The small pattern language in which `say` lists are written: `door[s]`, `[rear] bumper`, `(bust|busted) handle`.
//!
//! A pattern stands for a handful of phrases, and the matcher needs plain phrases only. No nesting: what a trader edits
//! must be readable at a glance.
//!
//! For matching, the phrases are never written out. A pattern falls apart at the spaces outside its brackets into slots, each with a
//! few choices; whoever walks the slots in turn has walked all phrases, and their common beginnings only once.

use std::ops::Range;

use thiserror::Error;

/// No pattern may stand for more phrases than this: a slip of the pen must not eat the memory.
pub const MOST_PHRASES: usize = 1024;

/// No pattern may be longer: choices multiply what stands between them.
pub const LONGEST: usize = 4000;

#[derive(Debug, Error, PartialEq, Eq)]
pub enum PatternError {
    #[error("`{0}…` is longer than {LONGEST} letters; split it")]
    TooLong(String),
    #[error("`{0}` opens a bracket that is never closed")]
    Unclosed(String),
    #[error("`{0}` closes a bracket that was never opened")]
    Unopened(String),
    #[error("`{0}` has brackets inside brackets; write it as two patterns")]
    Nested(String),
    #[error("`{0}` can mean no words at all; keep at least one word outside square brackets")]
    Empty(String),
    #[error("`{0}` stands for more than {MOST_PHRASES} phrases; split it")]
    TooMany(String),
}

/// A stretch of a pattern: outside brackets, in round ones, in square ones.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stretch {
    Plain,
    OneOf,
    Optional,
}

/// A pattern's slots, in order. Kept and filled anew for each pattern, which spares the memory allocator.
#[derive(Debug, Default)]
pub struct Slots {
    /// The pattern, and behind it those choices that do not stand in it as they are.
    text: String,
    choices: Vec<Range<usize>>,
    /// For each slot, where its choices begin in `choices`.
    starts: Vec<usize>,
}

impl Slots {
    /// Takes a pattern apart.
    pub fn fill(&mut self, pattern: &str) -> Result<(), PatternError> {
        if pattern.len() > LONGEST {
            return Err(PatternError::TooLong(pattern.chars().take(40).collect()));
        }
        self.text.clear();
        self.text.push_str(pattern);
        self.choices.clear();
        self.starts.clear();
        self.open_slot();
        let bytes = pattern.as_bytes();
        let mut phrases = 1;
        let mut at = 0;
        while at < bytes.len() {
            match bytes[at] {
                b' ' => {
                    self.open_slot();
                    at += 1;
                }
                open @ (b'[' | b'(') => {
                    let close = if open == b'[' { b']' } else { b')' };
                    let from = at + 1;
                    let Some(length) = bytes[from..].iter().position(|&b| b == close) else {
                        return Err(PatternError::Unclosed(pattern.into()));
                    };
                    at = from + length;
                    if bytes[from..at].iter().any(|b| b"[(])".contains(b)) {
                        return Err(PatternError::Nested(pattern.into()));
                    }
                    let bars = bytes[from..at].iter().filter(|&&b| b == b'|').count();
                    phrases *= bars + 1 + usize::from(open == b'[');
                    if phrases > MOST_PHRASES {
                        return Err(PatternError::TooMany(pattern.into()));
                    }
                    self.multiply(from..at, if open == b'[' { Stretch::Optional } else { Stretch::OneOf });
                    at += 1;
                }
                b']' | b')' => return Err(PatternError::Unopened(pattern.into())),
                _ => {
                    let length = bytes[at..].iter().position(|b| b" [(])".contains(b)).unwrap_or(bytes.len() - at);
                    self.multiply(at..at + length, Stretch::Plain);
                    at += length;
                }
            }
        }
        if self.iter().all(|slot| slot.choices().any(|c| c.trim().is_empty())) {
            return Err(PatternError::Empty(pattern.into()));
        }
        Ok(())
    }

    pub fn iter(&self) -> impl Iterator<Item = Slot<'_>> {
        let ends = self.starts.iter().skip(1).copied().chain([self.choices.len()]);
        self.starts.iter().zip(ends).map(|(&from, past)| Slot { text: &self.text, choices: &self.choices[from..past] })
    }

    /// Every phrase that the pattern stands for, written out.
    pub fn phrases(&self) -> Vec<String> {
        let mut phrases = vec![String::new()];
        for slot in self.iter() {
            phrases = phrases.iter().flat_map(|p| slot.choices().map(move |c| format!("{p} {c}"))).collect();
        }
        for phrase in &mut phrases {
            *phrase = phrase.split_whitespace().collect::<Vec<_>>().join(" ");
        }
        phrases.sort();
        phrases.dedup();
        phrases
    }

    /// A new slot, with nothing as its one choice so far.
    fn open_slot(&mut self) {
        self.starts.push(self.choices.len());
        self.choices.push(0..0);
    }

    /// Continues every choice of the last slot with every alternative of a stretch of the pattern.
    fn multiply(&mut self, stretch: Range<usize>, kind: Stretch) {
        let start = self.starts.last().copied().unwrap_or_default();
        let before = self.choices.len();
        for at in start..before {
            let stem = self.choices[at].clone();
            let mut from = stretch.start;
            while from <= stretch.end {
                let bar = match kind {
                    Stretch::Plain => None,
                    _ => self.text.as_bytes()[from..stretch.end].iter().position(|&b| b == b'|'),
                };
                let alternative = from..bar.map_or(stretch.end, |bar| from + bar);
                from = alternative.end + 1;
                if stem.is_empty() {
                    self.choices.push(alternative);
                } else {
                    let written = self.text.len();
                    self.text.extend_from_within(stem.clone());
                    self.text.extend_from_within(alternative);
                    self.choices.push(written..self.text.len());
                }
            }
        }
        if kind != Stretch::Optional {
            self.choices.drain(start..before);
        }
    }
}

/// What can stand at one place of a pattern.
#[derive(Clone, Copy, Debug)]
pub struct Slot<'s> {
    text: &'s str,
    choices: &'s [Range<usize>],
}

impl<'s> Slot<'s> {
    /// Each of them no, one or several written words.
    pub fn choices(self) -> impl Iterator<Item = &'s str> {
        self.choices.iter().map(move |range| &self.text[range.clone()])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn expand(pattern: &str) -> Result<Vec<String>, PatternError> {
        let mut slots = Slots::default();
        slots.fill(pattern)?;
        Ok(slots.phrases())
    }

    #[test]
    fn patterns_expand_to_phrases() {
        for (pattern, phrases) in [
            ("door", &["door"][..]),
            ("door[s]", &["door", "doors"]),
            ("[rear] bumper", &["bumper", "rear bumper"]),
            ("(bust|busted) handle", &["bust handle", "busted handle"]),
            ("all [the way] round", &["all round", "all the way round"]),
            ("[the ]door", &["door", "the door"]),
            ("(a|)b|c", &["ab|c", "b|c"]),
            ("un(bolt|screw)[ed|s]", &["unbolt", "unbolted", "unbolts", "unscrew", "unscrewed", "unscrews"]),
        ] {
            assert_eq!(expand(pattern).unwrap(), phrases, "{pattern}");
        }
    }

    #[test]
    fn mistakes_are_named() {
        assert_eq!(expand("door[s"), Err(PatternError::Unclosed("door[s".into())));
        assert_eq!(expand("doors]"), Err(PatternError::Unopened("doors]".into())));
        assert_eq!(expand("(a [b] c)"), Err(PatternError::Nested("(a [b] c)".into())));
        assert_eq!(expand("[door]"), Err(PatternError::Empty("[door]".into())));
        assert_eq!(expand("[rear] [door]"), Err(PatternError::Empty("[rear] [door]".into())));
        assert_eq!(expand(""), Err(PatternError::Empty("".into())));
        assert!(matches!(expand("[a][b][c][d][e][f][g][h][i][j][k]z"), Err(PatternError::TooMany(_))));
    }
}
