//! Patterns become phrases: their words numbered, their ends in the trie.
//!
//! `build.rs` includes this file too, and writes what becomes of the program's own files into the program
//! ([`PhraseBook::write`]), so that a start need not work it out again. A phrase's meaning is therefore any small value
//! here: a number while building, a [`super::Sense`] afterwards.

use rustc_hash::FxHashSet;
use thiserror::Error;

use super::matcher::{Builder, NodeId, START, Tree};
use super::pattern::{PatternError, Slots};
use super::spelling::{Letters, MOST_WORDS, Spelling, UNKNOWN, WordId};

/// The lists of an entry that hold patterns, by the kind's name in TOML, in the order in which their meanings count.
/// Objects are left out: which of them count depends on the market.
#[allow(dead_code)] // used by build.rs
pub const LISTS: &[(&str, &[(&str, Stands)])] = &[
    ("part", &[("say", Stands::Part), ("misheard", Stands::Part)]),
    (
        "defect",
        &[
            ("noun", Stands::DefectNoun),
            ("state", Stands::DefectState),
            ("say", Stands::DefectState),
            ("misheard", Stands::DefectState),
        ],
    ),
    ("hedge", &[("say", Stands::Hedge), ("misheard", Stands::Hedge)]),
    ("standing", &[("say", Stands::Standing), ("misheard", Stands::Standing)]),
    ("praise", &[("say", Stands::Praise), ("misheard", Stands::Praise)]),
    (
        "function",
        &[
            ("verb", Stands::FunctionVerb),
            ("works", Stands::FunctionWorks),
            ("say", Stands::FunctionWorks),
            ("misheard", Stands::FunctionWorks),
        ],
    ),
    ("equipment", &[("say", Stands::Equipment), ("misheard", Stands::Equipment)]),
    ("unchecked", &[("say", Stands::Unchecked), ("misheard", Stands::Unchecked)]),
    ("remedy", &[("say", Stands::Remedy), ("noun", Stands::Remedy), ("misheard", Stands::Remedy)]),
    ("place", &[("say", Stands::Place), ("misheard", Stands::Place)]),
    ("pointing", &[("say", Stands::Pointing), ("misheard", Stands::Pointing)]),
    ("unit", &[("say", Stands::Unit), ("misheard", Stands::Unit)]),
    ("number", &[("say", Stands::Number), ("misheard", Stands::Number)]),
    ("cue", &[("say", Stands::Cue), ("misheard", Stands::Cue)]),
    ("fuel", &[("say", Stands::Fuel), ("misheard", Stands::Fuel)]),
    ("gearbox", &[("say", Stands::Gearbox), ("misheard", Stands::Gearbox)]),
    ("colour", &[("say", Stands::Colour), ("misheard", Stands::Colour)]),
    ("make", &[("say", Stands::Make), ("misheard", Stands::Make)]),
    ("model", &[("say", Stands::Model), ("misheard", Stands::Model)]),
    ("grammar", &[("say", Stands::Grammar), ("misheard", Stands::Grammar)]),
];

/// Hands what a phrase may be carried as to a macro: this list is the only one.
macro_rules! carried {
    ($each:ident) => {
        $each!(
            Part,
            /// A defect named as a thing: "a dent".
            DefectNoun,
            /// A defect as a condition: "dented", "hanging off".
            DefectState,
            Hedge,
            Standing,
            Praise,
            FunctionVerb,
            FunctionWorks,
            Equipment,
            Unchecked,
            Remedy,
            Place,
            Pointing,
            Unit,
            Number,
            Cue,
            Fuel,
            Gearbox,
            Colour,
            Make,
            Model,
        );
    };
}
#[allow(unused_imports)] // used by the library, not by build.rs
pub(crate) use carried;

macro_rules! stands {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// What a phrase stands for, without saying for which entry.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Stands {
            $($(#[$doc])* $name,)*
            Grammar,
        }
    };
}
carried!(stands);

impl Stands {
    /// Whether a phrase of two words is found only as two: "no rust" is not "norust".
    #[allow(dead_code)] // used by build.rs
    pub fn whole(self) -> bool {
        matches!(self, Stands::Grammar | Stands::Standing | Stands::Place | Stands::Number)
    }
}

/// A meaning as it is carried: what it stands for, and the entry's number.
pub type Packed = u32;

#[allow(dead_code)] // used by build.rs
pub fn pack(stands: Stands, at: usize) -> Packed {
    (stands as u32) << 16 | at as u32
}

/// What a carried meaning stands for, by [`Stands`]'s number, and the entry's number.
pub fn unpack(packed: Packed) -> (u32, u16) {
    (packed >> 16, packed as u16)
}

/// A vocabulary may stand for so many phrases: a slip of the pen must not eat the memory.
const MOST_IN_ALL: usize = 1_000_000;

#[derive(Debug, Error)]
pub enum PhraseError {
    #[error(transparent)]
    Pattern(#[from] PatternError),
    #[error("the vocabulary has more than {MOST_WORDS} different words")]
    TooManyWords,
    #[error("the vocabulary has more than a million phrases; write fewer patterns, or ones with fewer brackets")]
    TooManyPhrases,
}

/// Phrases in the making.
pub struct PhraseBook<S> {
    pub spelling: Spelling,
    pub matcher: Builder<S>,
    /// Phrases that name an object.
    objects: FxHashSet<NodeId>,
    /// How many phrases were added, those read ready made left out.
    count: usize,
    // What follows is memory to work in, filled anew for each pattern.
    slots: Slots,
    begun: Vec<Begun>,
    longer: Vec<Begun>,
    tokens: Vec<WordId>,
    scratch: String,
    token: String,
}

/// The words of a phrase up to one of its pattern's slots.
#[derive(Clone, Copy)]
struct Begun {
    at: NodeId,
    words: u32,
    first: WordId,
    last: WordId,
}

impl<S: Copy + PartialEq> PhraseBook<S> {
    pub fn new() -> Self {
        Self::from_parts(Spelling::new(), Builder::default())
    }

    fn from_parts(spelling: Spelling, matcher: Builder<S>) -> Self {
        PhraseBook {
            spelling,
            matcher,
            objects: FxHashSet::default(),
            count: 0,
            slots: Slots::default(),
            begun: Vec::new(),
            longer: Vec::new(),
            tokens: Vec::new(),
            scratch: String::new(),
            token: String::new(),
        }
    }

    /// Every phrase that the pattern stands for means this. `whole`: a phrase of two words is not looked for as one.
    pub fn add(&mut self, pattern: &str, meaning: S, whole: bool) -> Result<(), PhraseError> {
        self.walk(pattern)?;
        for n in 0..self.begun.len() {
            let phrase = self.begun[n];
            if phrase.words > 0 {
                self.matcher.mean(phrase.at, meaning);
            }
            // "bull bar" is also written "bullbar".
            if phrase.words == 2 && !whole {
                let (a, b) = (self.spelling.name(phrase.first), self.spelling.name(phrase.last));
                if letters_only(a) && letters_only(b) {
                    self.token.clear();
                    self.token.extend([a, b]);
                    let word = self.spelling.learn(&self.token).ok_or(PhraseError::TooManyWords)?;
                    let at = self.matcher.step(START, word);
                    self.matcher.mean(at, meaning);
                }
            }
        }
        Ok(())
    }

    /// An object; one of another market yields to one of this that shares its name.
    pub fn add_object(&mut self, pattern: &str, meaning: S, home: bool) -> Result<(), PhraseError> {
        self.walk(pattern)?;
        for phrase in &self.begun {
            if phrase.words > 0 && (home || !self.objects.contains(&phrase.at)) {
                self.matcher.mean(phrase.at, meaning);
                self.objects.insert(phrase.at);
            }
        }
        Ok(())
    }

    /// Leaves the phrases that a pattern stands for in `begun`.
    fn walk(&mut self, pattern: &str) -> Result<(), PhraseError> {
        self.slots.fill(pattern)?;
        self.begun.clear();
        self.begun.push(Begun { at: START, words: 0, first: UNKNOWN, last: UNKNOWN });
        for slot in self.slots.iter() {
            self.longer.clear();
            for choice in slot.choices() {
                self.tokens.clear();
                // A single word needs no looking for spaces.
                let (single, several) = if choice.bytes().all(|b| b.is_ascii_graphic()) {
                    ((!choice.is_empty()).then_some(choice), "")
                } else {
                    (None, choice)
                };
                for written in single.into_iter().chain(several.split_whitespace()) {
                    learn(&mut self.spelling, written, &mut self.scratch, &mut self.token, &mut self.tokens)
                        .ok_or(PhraseError::TooManyWords)?;
                }
                for &(mut phrase) in &self.begun {
                    for &word in &self.tokens {
                        phrase.at = self.matcher.step(phrase.at, word);
                        if phrase.words == 0 {
                            phrase.first = word;
                        }
                        phrase.last = word;
                        phrase.words += 1;
                    }
                    self.longer.push(phrase);
                }
            }
            std::mem::swap(&mut self.begun, &mut self.longer);
        }
        self.count += self.begun.len();
        if self.count > MOST_IN_ALL {
            return Err(PhraseError::TooManyPhrases);
        }
        Ok(())
    }
}

#[allow(dead_code)] // used by build.rs
impl PhraseBook<Packed> {
    /// What the book holds, as bytes for the program to carry: lists of numbers, each with its length ahead, then text.
    pub fn write(self) -> Vec<u8> {
        let mut out = Vec::new();
        let mut list = |numbers: &mut dyn Iterator<Item = u32>| {
            let numbers: Vec<u32> = numbers.collect();
            for number in std::iter::once(numbers.len() as u32).chain(numbers) {
                out.extend_from_slice(&number.to_le_bytes());
            }
        };
        let (text, known, folds, suffixes) = self.spelling.parts();
        let (tree, meanings) = self.matcher.into_parts();
        list(&mut known.iter().flat_map(|(letters, id, fold)| {
            [letters.from, letters.past, u32::from(*id), fold.map_or(u32::MAX, u32::from)]
        }));
        list(&mut tree.words.iter().map(|word| u32::from(*word)));
        list(&mut tree.children.iter().copied());
        list(&mut meanings.iter().flat_map(|(at, packed)| [*at, *packed]));
        let suffixes: Vec<String> = suffixes.iter().map(|(from, to)| format!("{from} {to}")).collect();
        out.extend_from_slice([text, &folds.join("\n"), &suffixes.join("\n")].join("\0").as_bytes());
        out
    }
}

impl<S: Copy + PartialEq> PhraseBook<S> {
    /// Takes up what [`PhraseBook::write`] left; `None` where the bytes are none of it. A packed meaning becomes whatever
    /// `mean` makes of it, or nothing.
    pub fn read(bytes: &[u8], mut mean: impl FnMut(Packed) -> Option<S>) -> Option<Self> {
        let mut rest = bytes;
        let mut list = || {
            let (length, more) = rest.split_first_chunk()?;
            let (numbers, more) = more.split_at_checked(u32::from_le_bytes(*length) as usize * 4)?;
            rest = more;
            Some(numbers.as_chunks().0.iter().map(|number| u32::from_le_bytes(*number)).collect::<Vec<_>>())
        };
        let known = list()?;
        let known = known
            .as_chunks()
            .0
            .iter()
            .map(|&[from, past, id, fold]| (Letters { from, past }, id as WordId, u16::try_from(fold).ok()));
        let words = list()?.into_iter().map(|word| word as WordId).collect();
        let tree = Tree { words, children: list()? };
        let meanings = list()?;
        let meanings = meanings.as_chunks().0.iter().filter_map(|&[at, packed]| Some((at, mean(packed)?))).collect();
        let mut texts = std::str::from_utf8(rest).ok()?.split('\0');
        let text = texts.next()?;
        let mut lines = || Some(texts.next()?.split('\n').filter(|line| !line.is_empty()));
        let folds = lines()?;
        let suffixes = lines()?.filter_map(|line| line.split_once(' '));
        let spelling = Spelling::from_parts(text, known, folds, suffixes);
        Some(PhraseBook::from_parts(spelling, Builder::from_parts(tree, meanings)))
    }
}

fn letters_only(word: &str) -> bool {
    word.bytes().all(|b| b.is_ascii_alphabetic()) || word.chars().all(char::is_alphabetic)
}

/// The numbers of a written word's tokens, given to them now where they have none. `None` when there is no room left.
fn learn(
    spelling: &mut Spelling,
    written: &str,
    scratch: &mut String,
    new: &mut String,
    tokens: &mut Vec<WordId>,
) -> Option<()> {
    let start = tokens.len();
    let mut all_known = true;
    spelling.spell(written, scratch, |_, id| {
        tokens.push(id);
        all_known &= id != UNKNOWN;
    });
    if !all_known {
        tokens.truncate(start);
        new.clear();
        spelling.spell(written, scratch, |token, _| new.extend([token, "\n"]));
        for token in new.lines() {
            tokens.push(spelling.learn(token)?);
        }
    }
    Some(())
}
