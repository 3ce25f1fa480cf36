//! The trade's words: load, layer, check, compile into one matcher.
//!
//! Everything that the program knows of how people talk about vehicles stands in TOML files that a trader can edit
//! (`docs/vocabulary.md`). Here they become one [`Vocabulary`]: entries by number, and an Aho-Corasick automaton over
//! whole words that finds every phrase of every entry in one pass.

pub mod entries;
pub mod pattern;
pub mod spelling;

use std::fmt;
use std::str::FromStr;

use aho_corasick::{AhoCorasick, AhoCorasickKind, MatchKind};
use rustc_hash::{FxHashMap, FxHashSet};
use thiserror::Error;

use crate::report::Hand;
use entries::*;
use pattern::PatternError;
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
    #[error("{file}: {message}")]
    Toml { file: String, message: String },
    #[error("{kind} `{id}`: {source}")]
    Pattern { kind: &'static str, id: String, source: PatternError },
    #[error("{kind} `{id}` names {what} `{missing}`, which no file defines")]
    Dangling { kind: &'static str, id: String, what: &'static str, missing: String },
    #[error("the vocabulary has more than {} different words", spelling::MOST_WORDS)]
    TooManyWords,
    #[error("the vocabulary's phrases do not fit one matcher: {0}")]
    Matcher(#[from] aho_corasick::BuildError),
}

/// What a phrase can mean: an entry's kind with its number in the vocabulary's list of that kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sense {
    Part(u16),
    /// A defect named as a thing: "a dent".
    DefectNoun(u16),
    /// A defect as a condition: "dented", "hanging off".
    DefectState(u16),
    Hedge(u16),
    Standing(u16),
    Praise(u16),
    FunctionVerb(u16),
    FunctionWorks(u16),
    Equipment(u16),
    Unchecked(u16),
    Remedy(u16),
    Place(u16),
    Pointing(u16),
    Object(u16),
    Unit(u16),
    Number(u16),
    Cue(u16),
    Fuel(u16),
    Gearbox(u16),
    Colour(u16),
    Make(u16),
    Model(u16),
    Grammar(GrammarClass),
}

/// Where a defect, a praise or a function may be said.
#[derive(Clone, Debug, Default)]
pub struct Only {
    parts: FxHashSet<u16>,
    classes: u64,
}

impl Only {
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.classes == 0
    }

    pub fn holds(&self, part: u16, classes: u64) -> bool {
        self.classes & classes != 0 || self.parts.contains(&part)
    }
}

/// All that the program knows of how people talk about vehicles, for one market.
pub struct Vocabulary {
    pub market: Market,
    pub facts: MarketFacts,
    pub entries: Entries,
    pub spelling: Spelling,
    matcher: AhoCorasick,
    /// For each phrase of the matcher: how many words, and what it can mean.
    phrases: Vec<Phrase>,
    part_by_id: FxHashMap<Box<str>, u16>,
    pub part_classes: Vec<u64>,
    pub defect_on: Vec<(Only, Only)>,
    pub praise_on: Vec<(Only, Only)>,
    pub function_on: Vec<(Only, Only)>,
    defect_by_id: FxHashMap<Box<str>, u16>,
    remedy_by_id: FxHashMap<Box<str>, u16>,
    /// By word: whether it is a mere filler.
    fillers: Vec<bool>,
}

#[derive(Debug)]
struct Phrase {
    words: u8,
    senses: Box<[Sense]>,
}

/// One phrase found in a row of words.
#[derive(Clone, Copy, Debug)]
pub struct Found<'v> {
    /// Positions of its first word and of the word after its last.
    pub first: usize,
    pub past: usize,
    pub senses: &'v [Sense],
}

macro_rules! shipped {
    ($($path:literal),* $(,)?) => { &[$(($path, include_str!(concat!("../../vocab/", $path)))),*] };
}

/// The files of the base layer, as they were when the program was built.
const BASE: &[(&str, &str)] = shipped![
    "base/grammar.toml", "base/numbers.toml", "base/walk.toml", "base/parts.toml", "base/defects.toml",
    "base/hedges.toml", "base/standing.toml", "base/praise.toml", "base/functions.toml", "base/equipment.toml",
    "base/unchecked.toml", "base/remedies.toml", "base/objects.toml", "base/cues.toml", "base/vehicle.toml",
    "base/strength.toml",
];

const MARKETS: [(&str, &str); 4] = [
    ("markets/uk.toml", include_str!("../../vocab/markets/uk.toml")),
    ("markets/us.toml", include_str!("../../vocab/markets/us.toml")),
    ("markets/au.toml", include_str!("../../vocab/markets/au.toml")),
    ("markets/eu.toml", include_str!("../../vocab/markets/eu.toml")),
];

impl Vocabulary {
    /// The vocabulary that the program carries, for one market.
    pub fn shipped(market: Market) -> Result<Self, VocabularyError> {
        let market_file = MARKETS[market as usize];
        Self::from_files(market, BASE.iter().copied().chain([market_file]))
    }

    /// A vocabulary from files given as (name, text), the first being the lowest layer.
    pub fn from_files<'a>(
        market: Market,
        files: impl IntoIterator<Item = (&'a str, &'a str)>,
    ) -> Result<Self, VocabularyError> {
        let mut all = Entries::default();
        for (file, text) in files {
            let entries: Entries = toml::from_str(text).map_err(|e| VocabularyError::Toml {
                file: match e.span() {
                    Some(span) => format!("{file}:{}", text[..span.start.min(text.len())].matches('\n').count() + 1),
                    None => file.to_string(),
                },
                message: e.message().to_string(),
            })?;
            lay(&mut all, entries);
        }
        Self::compile(market, all)
    }

    fn compile(market: Market, mut entries: Entries) -> Result<Self, VocabularyError> {
        let mut spelling = Spelling::new();
        for fold in &entries.fold {
            for from in &fold.from {
                spelling.fold(from.trim_start_matches('~'), &fold.to, from.starts_with('~'));
            }
        }
        let mut book = PhraseBook::default();
        macro_rules! gather {
            ($list:ident, $kind:literal, $($field:ident => $sense:expr),*) => {
                for (at, entry) in entries.$list.iter().enumerate() {
                    let at = at as u16;
                    $(book.add(&mut spelling, $kind, &entry.id, &entry.$field, ($sense)(at))?;)*
                }
            };
        }
        gather!(part, "part", say => Sense::Part, misheard => Sense::Part);
        gather!(defect, "defect", noun => Sense::DefectNoun, state => Sense::DefectState, say => Sense::DefectState,
            misheard => Sense::DefectState);
        gather!(hedge, "hedge", say => Sense::Hedge);
        gather!(standing, "standing", say => Sense::Standing);
        gather!(praise, "praise", say => Sense::Praise);
        gather!(function, "function", verb => Sense::FunctionVerb, works => Sense::FunctionWorks,
            say => Sense::FunctionWorks);
        gather!(equipment, "equipment", say => Sense::Equipment, misheard => Sense::Equipment);
        gather!(unchecked, "unchecked", say => Sense::Unchecked);
        gather!(remedy, "remedy", say => Sense::Remedy, noun => Sense::Remedy, misheard => Sense::Remedy);
        gather!(place, "place", say => Sense::Place, misheard => Sense::Place);
        gather!(pointing, "pointing", say => Sense::Pointing);
        gather!(unit, "unit", say => Sense::Unit);
        gather!(number, "number", say => Sense::Number);
        gather!(cue, "cue", say => Sense::Cue);
        gather!(fuel, "fuel", say => Sense::Fuel);
        gather!(gearbox, "gearbox", say => Sense::Gearbox);
        gather!(colour, "colour", say => Sense::Colour);
        gather!(make, "make", say => Sense::Make, misheard => Sense::Make);
        gather!(model, "model", say => Sense::Model, misheard => Sense::Model);
        for entry in &entries.grammar {
            book.add(&mut spelling, "grammar", &entry.id, &entry.say, Sense::Grammar(entry.class))?;
        }
        // Coins of this market win over those of others that share their name.
        for home in [true, false] {
            for (at, entry) in entries.object.iter().enumerate() {
                if entry.market.as_deref().is_none_or(|m| m == market.id()) == home {
                    book.add_object(&mut spelling, &entry.id, &entry.say, at as u16, home)?;
                }
            }
        }

        let index = |ids: &mut dyn Iterator<Item = &String>| -> FxHashMap<Box<str>, u16> {
            ids.enumerate().map(|(at, id)| (id.as_str().into(), at as u16)).collect()
        };
        let part_by_id = index(&mut entries.part.iter().map(|p| &p.id));
        let defect_by_id = index(&mut entries.defect.iter().map(|p| &p.id));
        let remedy_by_id = index(&mut entries.remedy.iter().map(|p| &p.id));
        let part_classes =
            entries.part.iter().map(|p| p.class.iter().fold(0u64, |set, &c| set | 1 << c as u64)).collect();
        let only = |kind: &'static str, id: &str, list: &[String]| -> Result<Only, VocabularyError> {
            let mut only = Only::default();
            for name in list {
                let missing = |what| VocabularyError::Dangling { kind, id: id.into(), what, missing: name.clone() };
                if let Some(class) = name.strip_prefix("class:") {
                    let class = class_named(class).ok_or_else(|| missing("the class"))?;
                    only.classes |= 1 << class as u64;
                } else {
                    only.parts.insert(*part_by_id.get(name.as_str()).ok_or_else(|| missing("the part"))?);
                }
            }
            Ok(only)
        };
        let defect_on = entries
            .defect
            .iter()
            .map(|d| Ok((only("defect", &d.id, &d.on)?, only("defect", &d.id, &d.not_on)?)))
            .collect::<Result<_, VocabularyError>>()?;
        let praise_on = entries
            .praise
            .iter()
            .map(|d| Ok((only("praise", &d.id, &d.on)?, only("praise", &d.id, &d.not_on)?)))
            .collect::<Result<_, VocabularyError>>()?;
        let function_on = entries
            .function
            .iter()
            .map(|d| Ok((only("function", &d.id, &d.on)?, only("function", &d.id, &d.not_on)?)))
            .collect::<Result<_, VocabularyError>>()?;
        let refer = |kind, id: &str, what, map: &FxHashMap<Box<str>, u16>, name: &Option<String>| match name {
            Some(n) if !map.contains_key(n.as_str()) => {
                Err(VocabularyError::Dangling { kind, id: id.into(), what, missing: n.clone() })
            }
            _ => Ok(()),
        };
        for d in &entries.defect {
            refer("defect", &d.id, "the part", &part_by_id, &d.implies)?;
            for r in &d.remedy {
                refer("defect", &d.id, "the remedy", &remedy_by_id, &Some(r.clone()))?;
            }
        }
        for p in &entries.praise {
            refer("praise", &p.id, "the part", &part_by_id, &p.part)?;
        }
        for f in &entries.function {
            refer("function", &f.id, "the part", &part_by_id, &f.item)?;
            refer("function", &f.id, "the defect", &defect_by_id, &f.fault)?;
        }
        for u in &entries.unchecked {
            refer("unchecked", &u.id, "the part", &part_by_id, &u.item)?;
        }

        let matcher = AhoCorasick::builder()
            .kind(Some(AhoCorasickKind::ContiguousNFA))
            .match_kind(MatchKind::Standard)
            .build(book.bytes.iter())?;
        let mut fillers = vec![false; spelling.len()];
        for (bytes, (_, senses)) in book.bytes.iter().zip(&book.phrases) {
            if bytes.len() == 2 && senses.contains(&Sense::Grammar(GrammarClass::Filler)) {
                fillers[usize::from(decode(bytes))] = true;
            }
        }
        let facts = std::mem::take(&mut entries.market).pop().unwrap_or_default();
        Ok(Vocabulary {
            market,
            facts,
            spelling,
            matcher,
            phrases: book.phrases.into_iter().map(|(words, senses)| Phrase { words, senses: senses.into() }).collect(),
            part_by_id,
            part_classes,
            defect_on,
            praise_on,
            function_on,
            defect_by_id,
            remedy_by_id,
            fillers,
            entries,
        })
    }

    /// Calls `each` for every phrase of the vocabulary in a row of words, longer and shorter ones alike.
    pub fn find<'v>(&'v self, words: &[WordId], bytes: &mut Vec<u8>, mut each: impl FnMut(Found<'v>)) {
        bytes.clear();
        bytes.reserve(words.len() * 2);
        for &id in words {
            bytes.extend(encode(id));
        }
        for found in self.matcher.find_overlapping_iter(bytes.as_slice()) {
            // Two bytes a word: a match that ends inside one is none.
            if found.end() % 2 == 1 {
                continue;
            }
            let phrase = &self.phrases[found.pattern().as_usize()];
            let past = found.end() / 2;
            each(Found { first: past - usize::from(phrase.words), past, senses: &phrase.senses });
        }
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

    /// Whether a word only fills a pause ("um").
    pub fn is_filler(&self, word: WordId) -> bool {
        self.fillers[usize::from(word)]
    }

    /// How many phrases the matcher holds.
    pub fn phrase_count(&self) -> usize {
        self.phrases.len()
    }
}

fn encode(id: WordId) -> [u8; 2] {
    id.to_be_bytes()
}

fn decode(bytes: &[u8]) -> WordId {
    WordId::from_be_bytes([bytes[0], bytes[1]])
}

fn class_named(name: &str) -> Option<Class> {
    use serde::Deserialize;
    use serde::de::value::{Error, StrDeserializer};
    Class::deserialize(StrDeserializer::<Error>::new(name)).ok()
}

/// Phrases in the making: each once, with all that it can mean.
#[derive(Default)]
struct PhraseBook {
    known: FxHashMap<Vec<u8>, usize>,
    bytes: Vec<Vec<u8>>,
    phrases: Vec<(u8, Vec<Sense>)>,
}

impl PhraseBook {
    fn add(
        &mut self,
        spelling: &mut Spelling,
        kind: &'static str,
        id: &str,
        patterns: &[String],
        sense: Sense,
    ) -> Result<(), VocabularyError> {
        for pattern in patterns {
            let phrases =
                pattern::expand(pattern).map_err(|source| VocabularyError::Pattern { kind, id: id.into(), source })?;
            for phrase in phrases {
                let words = tokens_of(spelling, &phrase);
                self.put(spelling, &words, sense)?;
                // "bull bar" is also written "bullbar".
                if let [a, b] = words.as_slice()
                    && a.chars().chain(b.chars()).all(char::is_alphabetic)
                    && !matches!(sense, Sense::Grammar(_) | Sense::Standing(_) | Sense::Place(_) | Sense::Number(_))
                {
                    self.put(spelling, &[format!("{a}{b}")], sense)?;
                }
            }
        }
        Ok(())
    }

    fn add_object(
        &mut self,
        spelling: &mut Spelling,
        id: &str,
        patterns: &[String],
        at: u16,
        home: bool,
    ) -> Result<(), VocabularyError> {
        for pattern in patterns {
            let phrases = pattern::expand(pattern)
                .map_err(|source| VocabularyError::Pattern { kind: "object", id: id.into(), source })?;
            for phrase in phrases {
                let words = tokens_of(spelling, &phrase);
                if !home && self.means_object(spelling, &words) {
                    continue;
                }
                self.put(spelling, &words, Sense::Object(at))?;
            }
        }
        Ok(())
    }

    fn means_object(&self, spelling: &Spelling, words: &[String]) -> bool {
        let bytes: Vec<u8> = words.iter().flat_map(|w| encode(spelling.id(w))).collect();
        self.known
            .get(&bytes)
            .is_some_and(|&at| self.phrases[at].1.iter().any(|s| matches!(s, Sense::Object(_))))
    }

    fn put(&mut self, spelling: &mut Spelling, words: &[String], sense: Sense) -> Result<(), VocabularyError> {
        if words.is_empty() {
            return Ok(());
        }
        let mut bytes = Vec::with_capacity(words.len() * 2);
        for word in words {
            bytes.extend(encode(spelling.learn(word).ok_or(VocabularyError::TooManyWords)?));
        }
        let at = match self.known.get(&bytes) {
            Some(&at) => at,
            None => {
                let at = self.phrases.len();
                self.phrases.push((words.len() as u8, Vec::new()));
                self.bytes.push(bytes.clone());
                self.known.insert(bytes, at);
                at
            }
        };
        let senses = &mut self.phrases[at].1;
        if !senses.contains(&sense) {
            senses.push(sense);
        }
        Ok(())
    }
}

fn tokens_of(spelling: &Spelling, phrase: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut scratch = String::new();
    for written in phrase.split_whitespace() {
        spelling.split(written, &mut scratch, |token| words.push(token.to_string()));
    }
    words
}

/// Lays the entries of a file over those of the files before it: one with a known id takes the earlier one's place.
fn lay(under: &mut Entries, over: Entries) {
    fn list<E: Entry>(under: &mut Vec<E>, over: Vec<E>) {
        if over.is_empty() {
            return;
        }
        let known: FxHashMap<String, usize> =
            under.iter().enumerate().map(|(at, e)| (e.id().to_string(), at)).collect();
        for mut entry in over {
            entry.fill_label();
            match known.get(entry.id()) {
                Some(&at) if !entry.id().is_empty() => under[at] = entry,
                _ => under.push(entry),
            }
        }
    }
    macro_rules! lay_all { ($($field:ident),*) => { $(list(&mut under.$field, over.$field);)* }; }
    lay_all!(
        part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, object, unit,
        number, cue, fuel, gearbox, colour, make, model, market, strength
    );
    under.grammar.extend(over.grammar);
    under.fold.extend(over.fold);
}
