//! The trade's words: load, layer, check, compile into one matcher.
//!
//! Everything that the program knows of how people talk about vehicles stands in TOML files that a trader can edit
//! (`docs/vocabulary.md`). Here they become one [`Vocabulary`]: entries by number, and a trie over whole words that finds
//! every phrase of every entry in one pass.

pub mod check;
mod compile;
pub mod describe;
pub mod entries;
pub mod layers;
mod matcher;
pub mod pattern;
mod phrases;
pub mod recognise;
pub mod schema;
pub mod source;
pub mod spelling;

use std::fmt;
use std::str::FromStr;

use rustc_hash::{FxHashMap, FxHashSet};
use thiserror::Error;

use crate::report::{Hand, Severity};
use entries::*;
pub use layers::{Choice, Layers};
pub use matcher::Begun;
use matcher::Matcher;
use phrases::PhraseError;
use spelling::{Spelling, WordId};

/// The country whose road side, money, units and law apply.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Market {
    #[default]
    Uk,
    Us,
    Au,
    Eu,
}

impl Market {
    pub const ALL: [Market; 4] = [Market::Uk, Market::Us, Market::Au, Market::Eu];

    pub fn id(self) -> &'static str {
        match self {
            Market::Uk => "uk",
            Market::Us => "us",
            Market::Au => "au",
            Market::Eu => "eu",
        }
    }

    /// The side that the steering wheel is usually on.
    pub fn steering(self) -> Hand {
        match self {
            Market::Uk | Market::Au => Hand::Right,
            Market::Us | Market::Eu => Hand::Left,
        }
    }
}

impl fmt::Display for Market {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id())
    }
}

impl FromStr for Market {
    type Err = String;

    fn from_str(s: &str) -> Result<Self, String> {
        Market::ALL
            .into_iter()
            .find(|m| m.id() == s.to_ascii_lowercase())
            .ok_or_else(|| format!("`{s}` is no market that plainsaid knows; use uk, us, au or eu"))
    }
}

#[derive(Debug, Error)]
pub enum VocabularyError {
    #[error("{file}: cannot be read ({source})")]
    Read { file: String, source: std::io::Error },
    #[error("{file}: {message}")]
    Toml { file: String, message: String },
    #[error("{kind} `{id}`: {source}")]
    Phrase { kind: &'static str, id: String, source: PhraseError },
    #[error("there are more than 65,000 entries of the kind {0}; take some out")]
    TooMany(&'static str),
    #[error("{kind} `{id}` names {what} `{missing}`, which no file defines")]
    Dangling { kind: &'static str, id: String, what: &'static str, missing: String },
}

impl VocabularyError {
    fn phrase(kind: &'static str, id: &str, source: PhraseError) -> Self {
        VocabularyError::Phrase { kind, id: id.into(), source }
    }
}

/// One phrase found in a row of words.
pub type Found<'v> = matcher::Found<'v, Sense>;

/// Declares senses, and what they mean apart from which entry they name.
macro_rules! senses {
    ($($(#[$doc:meta])* $name:ident,)*) => {
        /// What a phrase can mean: an entry's kind with its number in the vocabulary's list of that kind.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Sense {
            $($(#[$doc])* $name(u16),)*
            /// What a size is likened to; its phrases depend on the market.
            Object(u16),
            Grammar(GrammarClass),
        }

        /// What sort of entry a sense names; small words are told apart by [`GrammarClass`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Meaning { $($name,)* Object }

        impl Sense {
            /// The entry that it names, if it is no small word.
            #[inline]
            pub fn entry(self) -> Option<(Meaning, u16)> {
                match self {
                    $(Sense::$name(at) => Some((Meaning::$name, at)),)*
                    Sense::Object(at) => Some((Meaning::Object, at)),
                    Sense::Grammar(_) => None,
                }
            }
        }
    };
}

phrases::carried!(senses);

/// Sets of up to 64 of an enum's values.
macro_rules! sets {
    ($($(#[$doc:meta])* $set:ident of $of:ident up to $last:ident;)*) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
        pub struct $set(u64);

        const _: () = assert!(($of::$last as u32) < u64::BITS);

        impl $set {
            #[inline]
            pub fn of(list: &[$of]) -> Self {
                $set(list.iter().fold(0, |set, &one| set | 1 << one as u64))
            }

            #[inline]
            pub fn is_empty(self) -> bool {
                self.0 == 0
            }

            /// Whether any of these is in it.
            #[inline]
            pub fn holds(self, any: &[$of]) -> bool {
                self.0 & Self::of(any).0 != 0
            }

            #[inline]
            pub fn join(self, other: Self) -> Self {
                $set(self.0 | other.0)
            }
        }
    )* };
}

sets!(
    /// What some senses mean.
    Meanings of Meaning up to Model;
    /// The small words among some senses.
    SmallWords of GrammarClass up to Odometer;
);

impl SmallWords {
    pub fn among(senses: &[Sense]) -> Self {
        let each = senses.iter().map(|s| if let Sense::Grammar(class) = s { Self::of(&[*class]) } else { Self(0) });
        each.fold(Self(0), Self::join)
    }
}

impl Meanings {
    pub fn among(senses: &[Sense]) -> Self {
        let each = senses.iter().filter_map(|s| Some(Self::of(&[s.entry()?.0])));
        each.fold(Self(0), Self::join)
    }
}

/// A set of entries of one kind, by number.
#[derive(Clone, Debug, Default)]
pub struct Numbers(Vec<u64>);

impl Numbers {
    pub fn insert(&mut self, number: u16) {
        let (word, bit) = (usize::from(number / 64), number % 64);
        if self.0.len() <= word {
            self.0.resize(word + 1, 0);
        }
        self.0[word] |= 1 << bit;
    }

    pub fn contains(&self, number: u16) -> bool {
        self.0.get(usize::from(number / 64)).is_some_and(|word| word >> (number % 64) & 1 == 1)
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl FromIterator<u16> for Numbers {
    fn from_iter<I: IntoIterator<Item = u16>>(numbers: I) -> Self {
        let mut set = Numbers::default();
        numbers.into_iter().for_each(|number| set.insert(number));
        set
    }
}

/// Where a defect, a praise or a function may be said.
#[derive(Clone, Debug, Default)]
pub struct Only {
    parts: Numbers,
    classes: u64,
}

impl Only {
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.classes == 0
    }

    pub fn holds(&self, part: u16, classes: u64) -> bool {
        self.classes & classes != 0 || self.parts.contains(part)
    }
}

/// Faults by what they are and what they are on; a list that names none holds for all.
#[derive(Clone, Debug, Default)]
pub struct FaultSet {
    defects: Numbers,
    on: Only,
    not_on: Only,
    host: Only,
}

impl FaultSet {
    /// Whether a fault is among them. `part` and `host` come with their classes.
    pub fn holds(&self, defect: Option<u16>, part: Option<(u16, u64)>, host: Option<(u16, u64)>) -> bool {
        let among = |only: &Only, part: Option<(u16, u64)>| part.is_some_and(|(p, classes)| only.holds(p, classes));
        (self.defects.is_empty() || defect.is_some_and(|d| self.defects.contains(d)))
            && (self.on.is_empty() || among(&self.on, part))
            && (self.host.is_empty() || among(&self.host, host))
            && !among(&self.not_on, part)
    }
}

/// All that the program knows of how people talk about vehicles, for one market.
pub struct Vocabulary {
    pub market: Market,
    pub facts: MarketFacts,
    pub entries: Entries,
    pub spelling: Spelling,
    matcher: Matcher<Sense>,
    part_by_id: FxHashMap<Box<str>, u16>,
    pub part_classes: Vec<u64>,
    pub defect_on: Vec<(Only, Only)>,
    pub praise_on: Vec<(Only, Only)>,
    pub function_on: Vec<(Only, Only)>,
    trial_on: Vec<(Only, Only)>,
    /// For each defect: the families that it belongs to, by number.
    pub families: Vec<Vec<u16>>,
    /// For each strength and each safety entry: the faults that it is for.
    pub strength_for: Vec<FaultSet>,
    pub safety_for: Vec<FaultSet>,
    /// For each rate: the remedies and the faults that it is for.
    rate_for: Vec<(Numbers, FaultSet)>,
    defect_by_id: FxHashMap<Box<str>, u16>,
    remedy_by_id: FxHashMap<Box<str>, u16>,
    /// By word: what it does in a sentence by itself.
    small_words: Vec<SmallWords>,
}

impl Vocabulary {
    /// The vocabulary that the program carries, for one market.
    pub fn shipped(market: Market) -> Result<Self, VocabularyError> {
        Layers::shipped().vocabulary(&market.into())
    }

    /// The base alone, without the words of any market.
    pub fn shipped_base(market: Market) -> Result<Self, VocabularyError> {
        let (entries, carried) = Layers::shipped().base()?;
        compile::compile(market, entries, &carried)
    }

    /// A vocabulary from files given as (name, text), the first being the lowest layer.
    pub fn from_files<'a>(
        market: Market,
        files: impl IntoIterator<Item = (&'a str, &'a str)>,
    ) -> Result<Self, VocabularyError> {
        let mut all = Entries::default();
        for (file, text) in files {
            let (over, given) = source::Source::read(file, text).entries()?;
            layers::lay(&mut all, over, &given, &mut Default::default());
        }
        compile::compile(market, all, &layers::Carried::default())
    }

    /// Calls `each` for every phrase of the vocabulary in a row of words, longer and shorter ones alike, in the order
    /// of their ends. `begun` is memory to work in.
    pub fn find<'v>(&'v self, words: &[WordId], begun: &mut Vec<Begun>, each: impl FnMut(Found<'v>)) {
        self.matcher.find(words, begun, each);
    }

    /// What a word does in a sentence by itself.
    pub fn small_words_of(&self, word: WordId) -> SmallWords {
        self.small_words[usize::from(word)]
    }

    /// What a listener may expect to hear: the names of parts, faults, makes and models, in lower case.
    pub fn terms(&self) -> Vec<String> {
        let entries = &self.entries;
        let lists = (entries.part.iter().map(|e| &e.say))
            .chain(entries.defect.iter().filter(|e| !e.weak).flat_map(|e| [&e.noun, &e.state, &e.say]))
            .chain(entries.make.iter().map(|e| &e.say))
            .chain(entries.model.iter().map(|e| &e.say));
        let mut slots = pattern::Slots::default();
        let mut terms = FxHashSet::default();
        for pattern in lists.flatten() {
            // A pattern that is none was refused when the vocabulary was compiled.
            if slots.fill(pattern).is_ok() {
                terms.extend(slots.phrases());
            }
        }
        let mut terms: Vec<String> = terms.into_iter().collect();
        terms.sort_unstable();
        terms
    }

    pub fn part_id(&self, id: &str) -> Option<u16> {
        self.part_by_id.get(id).copied()
    }

    pub fn defect_id(&self, id: &str) -> Option<u16> {
        self.defect_by_id.get(id).copied()
    }

    pub fn remedy_id(&self, id: &str) -> Option<u16> {
        self.remedy_by_id.get(id).copied()
    }

    pub fn is(&self, part: u16, class: Class) -> bool {
        self.part_classes[usize::from(part)] >> class as u64 & 1 == 1
    }

    /// What a remedy of a fault costs here, where the layers tell it: the last rate that fits, examples only where there
    /// are no others. `part` and `host` come with their classes.
    pub fn rate(
        &self,
        remedy: u16,
        defect: Option<u16>,
        part: Option<(u16, u64)>,
        host: Option<(u16, u64)>,
        severity: Option<Severity>,
    ) -> Option<&Rate> {
        let fits = |(rate, (remedies, faults)): (&Rate, &(Numbers, FaultSet))| {
            !rate.silent
                && (remedies.is_empty() || remedies.contains(remedy))
                && rate.market.as_deref().is_none_or(|market| market == self.market.id())
                && (rate.severity.is_empty() || severity.is_some_and(|s| rate.severity.contains(&s)))
                && (faults.holds(defect, part, None) || host.is_some() && faults.holds(defect, host, None))
        };
        let fitting = || self.entries.rate.iter().zip(&self.rate_for).filter(|pair| fits(*pair)).map(|(rate, _)| rate);
        fitting().rfind(|rate| !rate.example).or_else(|| fitting().next_back())
    }

    /// A part with its classes.
    pub fn classed(&self, part: u16) -> (u16, u64) {
        (part, self.part_classes[usize::from(part)])
    }

    /// Whether it is known in this way of a part that it works.
    pub fn tried_by(&self, part: u16, by: TriedBy) -> bool {
        let classes = self.part_classes[usize::from(part)];
        self.entries
            .trial
            .iter()
            .zip(&self.trial_on)
            .any(|(trial, (on, not_on))| trial.by == by && on.holds(part, classes) && !not_on.holds(part, classes))
    }

    /// Whether a word only fills a pause ("um").
    pub fn is_filler(&self, word: WordId) -> bool {
        self.small_words_of(word).holds(&[GrammarClass::Filler])
    }

    /// What exactly this row of words can mean; nothing where it is no phrase.
    pub fn exactly(&self, words: &[WordId]) -> &[Sense] {
        self.matcher.exactly(words)
    }

    /// Calls `each` with every phrase and what it can mean.
    pub fn each_phrase(&self, each: impl FnMut(&[WordId], &[Sense])) {
        self.matcher.each(each);
    }

    /// Words as they are spelled.
    pub fn written(&self, words: &[WordId]) -> String {
        words.iter().map(|word| self.spelling.name(*word)).collect::<Vec<_>>().join(" ")
    }

    /// The kind and the id of the entry that a sense names; of small words, the kind alone.
    pub fn named(&self, sense: Sense) -> (&'static str, &str) {
        let e = &self.entries;
        macro_rules! ids {
            ($($list:ident => $($sense:ident)|+),*) => {
                match sense {
                    $($(Sense::$sense(at))|+ => (stringify!($list), e.$list[usize::from(at)].id.as_str()),)*
                    Sense::Grammar(_) => ("grammar", ""),
                }
            };
        }
        ids!(
            part => Part, defect => DefectNoun | DefectState, hedge => Hedge, standing => Standing, praise => Praise,
            function => FunctionVerb | FunctionWorks, equipment => Equipment, unchecked => Unchecked, remedy => Remedy,
            place => Place, pointing => Pointing, unit => Unit, number => Number, cue => Cue, fuel => Fuel,
            gearbox => Gearbox, colour => Colour, make => Make, model => Model, object => Object
        )
    }

    /// Whether this tells of a fault by itself.
    fn tells(&self, sense: Sense) -> bool {
        match sense {
            Sense::DefectNoun(at) | Sense::DefectState(at) => {
                let defect = &self.entries.defect[usize::from(at)];
                !defect.weak && !defect.becomes
            }
            _ => false,
        }
    }

    /// Whether this changes how a fault beside it is taken.
    fn veils(&self, sense: Sense) -> bool {
        match sense {
            Sense::Hedge(_) => true,
            Sense::Standing(at) => matches!(
                self.entries.standing[usize::from(at)].means,
                Means::Denied | Means::Doubt | Means::Hearsay | Means::NotDenied | Means::Exception | Means::Contrast
            ),
            _ => false,
        }
    }

    /// How many phrases the matcher holds.
    pub fn phrase_count(&self) -> usize {
        self.matcher.len()
    }
}
