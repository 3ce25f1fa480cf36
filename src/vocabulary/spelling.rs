//! From written words to the tokens that phrases are matched by.
//!
//! The vocabulary's own phrases and the speaker's words pass through the same door, so that "won't", "wont" and
//! "will not" are one thing in both. What is folded into what is vocabulary data (`[[fold]]`).
//!
//! Every word of a narration comes through here, so the common case is kept short: a plain word that the vocabulary
//! knows costs one look-up and no copy.

use std::hash::Hasher;

use hashbrown::HashTable;
use rustc_hash::FxHasher;

/// A known word's number; [`UNKNOWN`] for all others.
pub type WordId = u16;

/// The number of every word that no phrase of the vocabulary holds.
pub const UNKNOWN: WordId = 0;

/// Words are numbered below this: two bytes hold a number.
pub const MOST_WORDS: usize = 1 << 16;

/// A spelling that means something to the vocabulary: as a word of its phrases, as a fold, or both.
#[derive(Clone, Copy, Debug)]
struct Known {
    letters: Letters,
    /// [`UNKNOWN`] where no phrase holds it.
    id: WordId,
    fold: Option<u16>,
}

/// Where a spelling stands in [`Spelling::text`].
#[derive(Clone, Copy, Debug)]
pub struct Letters {
    pub from: u32,
    pub past: u32,
}

/// What a spelling folds into.
type Words = Box<[Box<str>]>;

/// Knows each word of the vocabulary and how spellings fold into it.
#[derive(Debug, Default)]
pub struct Spelling {
    /// All known spellings in one string: tens of thousands of small ones would cost more to make than to fill.
    text: String,
    known: HashTable<Known>,
    names: Vec<Letters>,
    folds: Vec<Words>,
    suffixes: Vec<(Box<str>, Words)>,
}

impl Spelling {
    pub fn new() -> Self {
        Spelling { names: vec![Letters { from: 0, past: 0 }], ..Default::default() }
    }

    /// # Panics
    /// Where more than 65,536 spellings fold: no hand writes so many.
    pub fn fold(&mut self, from: &str, to: &str, suffix: bool) {
        let to = to.split_whitespace().map(Box::from).collect();
        if suffix {
            self.suffixes.push((from.into(), to));
            // The longest suffix is tried first.
            self.suffixes.sort_by_key(|(s, _)| std::cmp::Reverse(s.len()));
        } else {
            let fold = u16::try_from(self.folds.len()).expect("a vocabulary folds few spellings");
            self.folds.push(to);
            self.known_mut(from).fold = Some(fold);
        }
    }

    /// The word's number, given it now if it has none. `None` when there is no room left.
    pub fn learn(&mut self, word: &str) -> Option<WordId> {
        let next = self.names.len();
        let known = self.known_mut(word);
        if known.id == UNKNOWN {
            known.id = WordId::try_from(next).ok()?;
            let letters = known.letters;
            self.names.push(letters);
            return Some(next as WordId);
        }
        Some(known.id)
    }

    pub fn id(&self, word: &str) -> WordId {
        self.known(word).map_or(UNKNOWN, |k| k.id)
    }

    pub fn name(&self, id: WordId) -> &str {
        letters(&self.text, self.names[usize::from(id)])
    }

    /// Calls `each` for every token of a written word and its number: lower-cased, bared of punctuation, split at
    /// hyphens, its contractions opened and its spelling folded. `scratch` is overwritten.
    pub fn spell(&self, written: &str, scratch: &mut String, mut each: impl FnMut(&str, WordId)) {
        // Most words are letters with at most a comma behind them; most of those are in lower case as they stand.
        let bare = match written.as_bytes().last() {
            Some(last) if last.is_ascii_alphanumeric() => written,
            _ => written.trim_end_matches(ENDS),
        };
        let (mut plain, mut lower) = (true, true);
        for b in bare.bytes() {
            plain &= b.is_ascii_alphanumeric() || b == b'\'';
            lower &= !b.is_ascii_uppercase();
        }
        if plain {
            if bare.is_empty() || bare == "'" {
                return;
            }
            if lower {
                return self.open(bare, &mut each);
            }
            scratch.clear();
            scratch.push_str(bare);
            scratch.make_ascii_lowercase();
            return self.open(scratch, &mut each);
        }
        scratch.clear();
        for c in written.chars() {
            match c {
                '\u{2019}' | '\u{2018}' | '`' => scratch.push('\''),
                c if c.is_ascii() => scratch.push(c.to_ascii_lowercase()),
                c => scratch.extend(c.to_lowercase()),
            }
        }
        for piece in scratch.split(PARTS) {
            let bare = piece.trim_matches(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '£' | '$' | '€' | '%'));
            let bare = bare.trim_end_matches(ENDS);
            if bare.is_empty() || bare == "'" {
                continue;
            }
            self.open(bare, &mut each);
        }
    }

    /// All that it knows, to be carried: the text, the spellings with their number and fold, what folds fold into, and
    /// the endings that do.
    #[allow(clippy::type_complexity)]
    pub fn parts(&self) -> (&str, Vec<(Letters, WordId, Option<u16>)>, Vec<String>, Vec<(String, String)>) {
        let mut known: Vec<_> = self.known.iter().map(|k| (k.letters, k.id, k.fold)).collect();
        known.sort_by_key(|(letters, ..)| letters.from);
        let folds = self.folds.iter().map(|to| to.join(" ")).collect();
        let suffixes = self.suffixes.iter().map(|(from, to)| (from.to_string(), to.join(" "))).collect();
        (&self.text, known, folds, suffixes)
    }

    pub fn from_parts<'p>(
        text: &str,
        known: impl ExactSizeIterator<Item = (Letters, WordId, Option<u16>)>,
        folds: impl Iterator<Item = &'p str>,
        suffixes: impl Iterator<Item = (&'p str, &'p str)>,
    ) -> Self {
        let split = |to: &str| to.split_whitespace().map(Box::from).collect::<Words>();
        let mut spelling = Spelling::new();
        spelling.text.push_str(text);
        // Room for those of later layers too.
        let Spelling { text, known: table, names, .. } = &mut spelling;
        table.reserve(known.len() * 5 / 4, |k| hash(letters(text, k.letters)));
        names.reserve(known.len() * 5 / 4);
        for (at, id, fold) in known {
            if names.len() <= usize::from(id) {
                names.resize(usize::from(id) + 1, at);
            }
            names[usize::from(id)] = at;
            let made = Known { letters: at, id, fold };
            table.insert_unique(hash(letters(text, at)), made, |k| hash(letters(text, k.letters)));
        }
        spelling.names[usize::from(UNKNOWN)] = Letters { from: 0, past: 0 };
        spelling.folds = folds.map(split).collect();
        spelling.suffixes = suffixes.map(|(from, to)| (from.into(), split(to))).collect();
        spelling
    }

    fn open(&self, word: &str, each: &mut impl FnMut(&str, WordId)) {
        if let Some(known) = self.known(word) {
            match known.fold {
                Some(fold) => self.replace(&self.folds[usize::from(fold)], each),
                None => each(word, known.id),
            }
            return;
        }
        if word.contains('\'') {
            for (suffix, to) in &self.suffixes {
                if let Some(stem) = word.strip_suffix(&**suffix) {
                    if !stem.is_empty() {
                        self.open(stem, each);
                    }
                    return self.replace(to, each);
                }
            }
            let without = word.trim_matches('\'');
            if without != word && !without.is_empty() {
                return self.open(without, each);
            }
        }
        // "d.p.f." and the like
        if word.contains('.') && word.chars().all(|c| c == '.' || c.is_alphabetic()) {
            let joined: String = word.chars().filter(|c| *c != '.').collect();
            let id = self.id(&joined);
            if id != UNKNOWN {
                return each(&joined, id);
            }
        }
        each(word, UNKNOWN);
    }

    fn replace(&self, to: &[Box<str>], each: &mut impl FnMut(&str, WordId)) {
        for word in to {
            each(word, self.id(word));
        }
    }

    pub fn len(&self) -> usize {
        self.names.len()
    }

    pub fn is_empty(&self) -> bool {
        self.names.len() <= 1
    }

    fn known(&self, word: &str) -> Option<&Known> {
        self.known.find(hash(word), |k| letters(&self.text, k.letters) == word)
    }

    fn known_mut(&mut self, word: &str) -> &mut Known {
        let Spelling { text, known, .. } = self;
        let same = |k: &Known| letters(text, k.letters) == word;
        let entry = match known.entry(hash(word), same, |k| hash(letters(text, k.letters))) {
            hashbrown::hash_table::Entry::Occupied(there) => return there.into_mut(),
            hashbrown::hash_table::Entry::Vacant(free) => free,
        };
        let from = text.len() as u32;
        let letters = Letters { from, past: from + word.len() as u32 };
        let made = entry.insert(Known { letters, id: UNKNOWN, fold: None });
        text.push_str(word);
        made.into_mut()
    }
}

/// What may stand behind a word and is no part of it.
const ENDS: [char; 6] = ['.', ',', ';', ':', '!', '?'];

/// Where one written word falls into several.
const PARTS: [char; 11] = ['-', '/', '\u{2013}', '\u{2014}', '_', '(', ')', '"', '\u{2026}', '\u{201c}', '\u{201d}'];

fn letters(text: &str, at: Letters) -> &str {
    &text[at.from as usize..at.past as usize]
}

fn hash(word: &str) -> u64 {
    let mut hasher = FxHasher::default();
    hasher.write(word.as_bytes());
    hasher.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_bared_opened_and_folded() {
        let mut spelling = Spelling::new();
        spelling.fold("n't", "not", true);
        spelling.fold("'s", "'s", true);
        spelling.fold("won't", "will not", false);
        spelling.fold("tire", "tyre", false);
        for word in ["door", "dpf", "tyre"] {
            spelling.learn(word).unwrap();
        }
        for (written, tokens) in [
            ("door", "door"),
            ("Door,", "door"),
            ("DOOR's", "door 's"),
            ("\u{201c}door\u{2019}s\u{201d}", "door 's"),
            ("front-door", "front door"),
            ("Won't.", "will not"),
            ("isn't", "is not"),
            ("Tire!", "tyre"),
            ("d.p.f.", "dpf"),
            ("'door'", "door"),
            ("£4.50,", "£4.50"),
            ("'", ""),
            ("...", ""),
            ("", ""),
        ] {
            let mut got = Vec::new();
            spelling.spell(written, &mut String::new(), |token, id| {
                assert_eq!(id, spelling.id(token), "{written}");
                got.push(token.to_string());
            });
            assert_eq!(got.join(" "), tokens, "{written}");
        }
    }
}
