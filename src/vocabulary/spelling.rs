//! From written words to the tokens that phrases are matched by.
//!
//! The vocabulary's own phrases and the speaker's words pass through the same door, so that "won't", "wont" and
//! "will not" are one thing in both. What is folded into what is vocabulary data (`[[fold]]`).

use rustc_hash::FxHashMap;

/// A known word's number; [`UNKNOWN`] for all others.
pub type WordId = u16;

/// The number of every word that no phrase of the vocabulary holds.
pub const UNKNOWN: WordId = 0;

/// Words are numbered below this: two bytes hold a number.
pub const MOST_WORDS: usize = 1 << 16;

/// Knows each word of the vocabulary and how spellings fold into it.
#[derive(Debug, Default)]
pub struct Spelling {
    words: FxHashMap<Box<str>, WordId>,
    names: Vec<Box<str>>,
    folds: FxHashMap<Box<str>, Box<[Box<str>]>>,
    suffixes: Vec<(Box<str>, Box<[Box<str>]>)>,
}

impl Spelling {
    pub fn new() -> Self {
        Spelling { names: vec!["".into()], ..Default::default() }
    }

    pub fn fold(&mut self, from: &str, to: &str, suffix: bool) {
        let to = to.split_whitespace().map(Box::from).collect();
        if suffix {
            self.suffixes.push((from.into(), to));
            // The longest suffix is tried first.
            self.suffixes.sort_by_key(|(s, _)| std::cmp::Reverse(s.len()));
        } else {
            self.folds.insert(from.into(), to);
        }
    }

    /// The word's number, given it now if it has none. `None` when there is no room left.
    pub fn learn(&mut self, word: &str) -> Option<WordId> {
        if let Some(&id) = self.words.get(word) {
            return Some(id);
        }
        if self.names.len() >= MOST_WORDS {
            return None;
        }
        let id = self.names.len() as WordId;
        self.words.insert(word.into(), id);
        self.names.push(word.into());
        Some(id)
    }

    pub fn id(&self, word: &str) -> WordId {
        self.words.get(word).copied().unwrap_or(UNKNOWN)
    }

    pub fn name(&self, id: WordId) -> &str {
        &self.names[usize::from(id)]
    }

    /// Calls `each` for every token of a written word: lower-cased, bared of punctuation, split at hyphens, its
    /// contractions opened and its spelling folded.
    pub fn split<'a>(&'a self, written: &str, scratch: &'a mut String, mut each: impl FnMut(&str)) {
        scratch.clear();
        for c in written.chars() {
            match c {
                '\u{2019}' | '\u{2018}' | '`' => scratch.push('\''),
                c if c.is_ascii() => scratch.push(c.to_ascii_lowercase()),
                c => scratch.extend(c.to_lowercase()),
            }
        }
        for piece in scratch.split(['-', '/', '\u{2013}', '\u{2014}', '_', '(', ')', '"', '\u{2026}', '\u{201c}', '\u{201d}']) {
            let bare = piece.trim_matches(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '£' | '$' | '€' | '%'));
            let bare = bare.trim_end_matches(['.', ',', ';', ':', '!', '?']);
            if bare.is_empty() || bare == "'" {
                continue;
            }
            self.open(bare, &mut each);
        }
    }

    fn open(&self, word: &str, each: &mut impl FnMut(&str)) {
        if let Some(to) = self.folds.get(word) {
            for w in to {
                each(w);
            }
            return;
        }
        if self.words.contains_key(word) {
            each(word);
            return;
        }
        if word.contains('\'') {
            for (suffix, to) in &self.suffixes {
                if let Some(stem) = word.strip_suffix(&**suffix) {
                    if !stem.is_empty() {
                        self.open(stem, each);
                    }
                    for w in to {
                        each(w);
                    }
                    return;
                }
            }
            let without = word.trim_matches('\'');
            if without != word && !without.is_empty() {
                self.open(without, each);
                return;
            }
        }
        // "d.p.f." and the like
        if word.contains('.') && word.chars().all(|c| c == '.' || c.is_alphabetic()) {
            let joined: String = word.chars().filter(|c| *c != '.').collect();
            if self.words.contains_key(joined.as_str()) {
                each(&joined);
                return;
            }
        }
        each(word);
    }

    pub fn len(&self) -> usize {
        self.names.len()
    }

    pub fn is_empty(&self) -> bool {
        self.names.len() <= 1
    }
}
