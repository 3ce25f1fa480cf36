//! The small pattern language in which `say` lists are written: `door[s]`, `[rear] bumper`, `(bust|busted) handle`.
//!
//! A pattern stands for a handful of phrases and is expanded into them when the vocabulary is compiled, so that the
//! matcher needs plain phrases only. No nesting: what a trader edits must be readable at a glance.

use thiserror::Error;

/// No pattern may stand for more phrases than this: a slip of the pen must not eat the memory.
pub const MOST_PHRASES: usize = 512;

#[derive(Debug, Error, PartialEq, Eq)]
pub enum PatternError {
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

/// All the phrases that a pattern stands for, in lower case, single-spaced.
pub fn expand(pattern: &str) -> Result<Vec<String>, PatternError> {
    let mut phrases = vec![String::new()];
    let mut rest = pattern;
    while let Some(c) = rest.chars().next() {
        let choices: Vec<&str>;
        match c {
            '[' | '(' => {
                let close = if c == '[' { ']' } else { ')' };
                let Some(end) = rest.find(close) else {
                    return Err(PatternError::Unclosed(pattern.into()));
                };
                let inner = &rest[1..end];
                if inner.contains(['[', '(', ']', ')']) {
                    return Err(PatternError::Nested(pattern.into()));
                }
                choices = if c == '[' { std::iter::once("").chain(inner.split('|')).collect() } else { inner.split('|').collect() };
                rest = &rest[end + 1..];
            }
            ']' | ')' => return Err(PatternError::Unopened(pattern.into())),
            _ => {
                let end = rest.find(['[', '(', ']', ')']).unwrap_or(rest.len());
                choices = vec![&rest[..end]];
                rest = &rest[end..];
            }
        }
        if phrases.len() * choices.len() > MOST_PHRASES {
            return Err(PatternError::TooMany(pattern.into()));
        }
        phrases = phrases.iter().flat_map(|p| choices.iter().map(move |c| format!("{p}{c}"))).collect();
    }
    for phrase in &mut phrases {
        let tidy = phrase.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        if tidy.is_empty() {
            return Err(PatternError::Empty(pattern.into()));
        }
        *phrase = tidy;
    }
    phrases.sort();
    phrases.dedup();
    Ok(phrases)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patterns_expand_to_phrases() {
        for (pattern, phrases) in [
            ("door[s]", &["door", "doors"][..]),
            ("[rear] bumper", &["bumper", "rear bumper"]),
            ("(bust|busted) handle", &["bust handle", "busted handle"]),
            ("all [the way] round", &["all round", "all the way round"]),
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
        assert!(matches!(expand("[a][b][c][d][e][f][g][h][i][j]z"), Err(PatternError::TooMany(_))));
    }
}
