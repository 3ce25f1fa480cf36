//! First pass: words become tokens.
//!
//! A token keeps its place among the speaker's words, so that everything found later can be quoted letter for letter
//! and played from its moment. Fillers and restarts ("there's a, there's a") are left out here: they change nothing
//! that is said. So is punctuation: captions have none, and a reading that hung on commas would read them worse.

use crate::narration::Narration;
use crate::vocabulary::Vocabulary;
use crate::vocabulary::spelling::{UNKNOWN, WordId};

/// One word of the speaker's, or one half of a contraction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Token {
    /// Its place among the narration's words.
    pub word: u32,
    /// Its number in the vocabulary's spelling; [`UNKNOWN`] for words that no phrase holds.
    pub id: WordId,
    /// The value of a number written in digits.
    pub digits: Option<f64>,
}

/// Longest run of tokens whose repetition counts as a restart: three or four words, each of which can be two tokens.
const LONGEST_RESTART: usize = 8;

pub fn tokens(narration: &Narration, vocabulary: &Vocabulary) -> Vec<Token> {
    let spelling = &vocabulary.spelling;
    let mut out: Vec<Token> = Vec::with_capacity(narration.words.len() * 5 / 4);
    let mut scratch = String::new();
    for (at, word) in narration.words.iter().enumerate() {
        spelling.spell(&word.text, &mut scratch, |piece, known| {
            let token = Token { word: at as u32, id: UNKNOWN, digits: None };
            // "50p" is a coin where the vocabulary knows it as one.
            if known == UNKNOWN && piece.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '£' | '$' | '€')) {
                push_digits(piece, token, vocabulary, &mut out);
            } else {
                let id = known;
                if !vocabulary.is_filler(id) {
                    let written = piece.starts_with(|c: char| c.is_ascii_digit());
                    let digits = if written { piece.parse().ok() } else { None };
                    out.push(Token { id, digits, ..token });
                    drop_restart(&mut out, narration, vocabulary);
                }
            }
        });
    }
    out
}

/// Takes apart what is written in digits: `£85`, `120mm`, `38,912`, `4.5`, `50p`.
fn push_digits(piece: &str, token: Token, vocabulary: &Vocabulary, out: &mut Vec<Token>) {
    let (symbol, rest) = match piece.chars().next() {
        Some(c @ ('£' | '$' | '€')) => (Some(c), &piece[c.len_utf8()..]),
        _ => (None, piece),
    };
    let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ',')).unwrap_or(rest.len());
    let (number, unit) = rest.split_at(end);
    let plain: String = number.trim_end_matches(['.', ',']).chars().filter(|c| *c != ',').collect();
    match plain.parse::<f64>() {
        Ok(value) if value.is_finite() => out.push(Token { digits: Some(value), ..token }),
        _ => out.push(token),
    }
    if !unit.is_empty() {
        out.push(Token { id: vocabulary.spelling.id(unit), ..token });
    }
    if let Some(symbol) = symbol {
        out.push(Token { id: vocabulary.spelling.id(symbol.encode_utf8(&mut [0; 4])), ..token });
    }
}

/// Where the last words say again what the words just before them said, one of the two goes.
fn drop_restart(out: &mut Vec<Token>, narration: &Narration, vocabulary: &Vocabulary) {
    let len = out.len();
    let Some((last, lately)) = out[len.saturating_sub(LONGEST_RESTART + 1)..].split_last() else { return };
    // Only where the last token was said shortly before can a run of them end twice.
    for (n, token) in lately.iter().rev().enumerate() {
        let run = n + 1;
        if token.id != last.id || run > len / 2 {
            continue;
        }
        let (before, last) = (&out[len - 2 * run..len - run], &out[len - run..]);
        let same = before.iter().zip(last).all(|(a, b)| {
            a.digits.is_none()
                && b.digits.is_none()
                && a.id == b.id
                && (a.id != UNKNOWN
                    || same_letters(&narration.words[a.word as usize].text, &narration.words[b.word as usize].text))
        });
        // "twenty twenty one" is a year.
        if same && !(run == 1 && vocabulary.spelling.name(last[0].id) == "twenty") {
            // The first copy goes: the moment of the words that carry on is the one to play from.
            out.drain(len - 2 * run..len - run);
            return;
        }
    }
}

fn same_letters(a: &str, b: &str) -> bool {
    fn letters(word: &str) -> impl Iterator<Item = char> {
        word.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase)
    }
    letters(a).eq(letters(b))
}
