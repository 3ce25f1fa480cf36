//! Tokens become words, each with its moment in the window and how sure the recogniser was.

use super::recogniser::{Segment, Token};

/// A word as heard, placed in its window.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct HeardWord {
    pub text: String,
    pub start_s: f64,
    pub end_s: f64,
    pub confidence: f32,
    pub opens_line: bool,
}

/// The words of one segment that may have been said.
pub(super) fn words(segment: &Segment) -> Vec<HeardWord> {
    // A lone dash or row of dots was not said.
    let mut words = all(segment);
    words.retain(|word| word.text.chars().any(|c| c.is_alphanumeric() || "£$€%&°".contains(c)));
    if let Some(word) = words.first_mut() {
        word.opens_line = true;
    }
    words
}

/// The words of one segment, to the letter. A word begins at a token that begins with a space; everything else hangs on
/// to it.
pub(super) fn all(segment: &Segment) -> Vec<HeardWord> {
    let mut groups: Vec<&[Token]> = Vec::new();
    let mut first = 0;
    for (i, token) in segment.tokens.iter().enumerate() {
        if i > first && token.bytes.first() == Some(&b' ') {
            groups.push(&segment.tokens[first..i]);
            first = i;
        }
    }
    groups.push(&segment.tokens[first..]);
    let mut words: Vec<HeardWord> = groups.into_iter().filter_map(word).collect();
    if let Some(word) = words.first_mut() {
        word.opens_line = true;
    }
    words
}

fn word(tokens: &[Token]) -> Option<HeardWord> {
    // Bytes are joined before they are read as text: one character may be spread over several tokens.
    let bytes: Vec<u8> = tokens.iter().flat_map(|t| t.bytes.iter().copied()).collect();
    let text = String::from_utf8_lossy(&bytes).trim().to_owned();
    if text.is_empty() {
        return None;
    }
    let spoken = |t: &&Token| String::from_utf8_lossy(&t.bytes).chars().any(char::is_alphanumeric);
    let first = tokens.iter().find(spoken).or(tokens.first())?;
    let last = tokens.iter().rev().find(spoken).or(tokens.last())?;
    let said: Vec<&Token> = tokens.iter().filter(spoken).collect();
    let said = if said.is_empty() { tokens.iter().collect() } else { said };
    // The geometric mean: a word is as sure as its tokens together, whatever their number.
    let mean_log = said.iter().map(|t| t.probability.clamp(1e-6, 1.0).ln()).sum::<f32>() / said.len() as f32;
    Some(HeardWord {
        text,
        start_s: first.start_s,
        end_s: last.end_s.max(first.start_s),
        confidence: mean_log.exp(),
        opens_line: false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn token(bytes: &[u8], start_s: f64, probability: f32) -> Token {
        Token { id: 0, bytes: bytes.to_vec(), start_s, end_s: start_s + 0.5, probability }
    }

    #[test]
    fn tokens_join_into_words_at_spaces() {
        let tokens = vec![
            token(b" k", 1.0, 0.9),
            token(b"erbed", 1.2, 0.4),
            token(b",", 1.9, 0.1),
            token(b" -", 2.0, 0.2),
            token(b" caf", 2.5, 0.5),
            token(b"\xc3", 2.6, 0.5),
            token(b"\xa9", 2.7, 0.5),
        ];
        let words = words(&Segment { tokens, no_speech: 0.0 });
        let texts: Vec<&str> = words.iter().map(|w| w.text.as_str()).collect();
        assert_eq!(texts, ["kerbed,", "café"]);
        assert!((words[0].confidence - 0.6).abs() < 1e-3);
        assert_eq!((words[0].start_s, words[0].end_s), (1.0, 1.7));
        assert!(words[0].opens_line && !words[1].opens_line);
    }

    #[test]
    fn broken_bytes_and_empty_segments_do_no_harm() {
        assert!(words(&Segment { tokens: Vec::new(), no_speech: 0.0 }).is_empty());
        let words = words(&Segment { tokens: vec![token(b" \xff\xfeok", 0.0, 1.0)], no_speech: 0.0 });
        assert!(words[0].text.ends_with("ok"));
    }
}
