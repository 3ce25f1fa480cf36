//! From entries to a [`Vocabulary`]: their phrases into the matcher, their references into numbers.

use rustc_hash::{FxHashMap, FxHashSet};

use super::entries::*;
use super::matcher::{Builder, Matcher, NodeId, START};
use super::pattern::Slots;
use super::spelling::{Spelling, UNKNOWN, WordId};
use super::{Market, Only, Sense, Vocabulary, VocabularyError};

pub fn compile(market: Market, mut entries: Entries) -> Result<Vocabulary, VocabularyError> {
    let (spelling, matcher) = phrases(market, &entries)?;

    let part_by_id = numbers(&entries.part);
    let defect_by_id = numbers(&entries.defect);
    let remedy_by_id = numbers(&entries.remedy);
    let part_classes = entries.part.iter().map(|p| p.class.iter().fold(0u64, |set, &c| set | 1 << c as u64)).collect();
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
    macro_rules! only_on {
        ($list:ident, $kind:literal) => {
            entries
                .$list
                .iter()
                .map(|e| Ok((only($kind, &e.id, &e.on)?, only($kind, &e.id, &e.not_on)?)))
                .collect::<Result<_, VocabularyError>>()?
        };
    }
    let defect_on = only_on!(defect, "defect");
    let praise_on = only_on!(praise, "praise");
    let function_on = only_on!(function, "function");
    let refer = |kind, id: &str, what, map: &FxHashMap<Box<str>, u16>, name: Option<&String>| match name {
        Some(n) if !map.contains_key(n.as_str()) => {
            Err(VocabularyError::Dangling { kind, id: id.into(), what, missing: n.clone() })
        }
        _ => Ok(()),
    };
    for d in &entries.defect {
        refer("defect", &d.id, "the part", &part_by_id, d.implies.as_ref())?;
        for r in &d.remedy {
            refer("defect", &d.id, "the remedy", &remedy_by_id, Some(r))?;
        }
    }
    for p in &entries.praise {
        refer("praise", &p.id, "the part", &part_by_id, p.part.as_ref())?;
    }
    for f in &entries.function {
        refer("function", &f.id, "the part", &part_by_id, f.item.as_ref())?;
        refer("function", &f.id, "the defect", &defect_by_id, f.fault.as_ref())?;
    }
    for u in &entries.unchecked {
        refer("unchecked", &u.id, "the part", &part_by_id, u.item.as_ref())?;
    }

    let mut families = vec![0u32; entries.defect.len()];
    for (n, family) in entries.family.iter().enumerate() {
        for id in &family.of {
            refer("family", &family.id, "the defect", &defect_by_id, Some(id))?;
            families[usize::from(defect_by_id[id.as_str()])] |= 1 << (n % 32);
        }
        if family.functions {
            for (at, _) in entries.defect.iter().enumerate().filter(|(_, d)| d.function) {
                families[at] |= 1 << (n % 32);
            }
        }
    }

    let filler = Sense::Grammar(GrammarClass::Filler);
    let fillers = (0..spelling.len()).map(|word| matcher.senses_of(word as WordId).contains(&filler)).collect();
    let facts = std::mem::take(&mut entries.market).pop().unwrap_or_default();
    for [from, to] in &facts.words {
        let labels = entries.part.iter_mut().map(|p| &mut p.label);
        for label in labels.chain(entries.defect.iter_mut().map(|d| &mut d.label)) {
            say_locally(label, from, to);
        }
    }
    Ok(Vocabulary {
        market,
        facts,
        spelling,
        matcher,
        part_by_id,
        part_classes,
        defect_on,
        praise_on,
        function_on,
        families,
        defect_by_id,
        remedy_by_id,
        fillers,
        entries,
    })
}

/// Puts a market's own word into a label, where the label has the word whole.
fn say_locally(label: &mut String, from: &str, to: &str) {
    let bounded = |at: usize| {
        let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
        edge(label[..at].chars().next_back()) && edge(label[at + from.len()..].chars().next())
    };
    if let Some((at, _)) = label.match_indices(from).find(|(at, _)| bounded(*at)) {
        label.replace_range(at..at + from.len(), to);
    }
}

/// All that can be said, in every way in which it can be said.
fn phrases(market: Market, entries: &Entries) -> Result<(Spelling, Matcher), VocabularyError> {
    let mut book = PhraseBook::new();
    for fold in &entries.fold {
        for from in &fold.from {
            book.spelling.fold(from.trim_start_matches('~'), &fold.to, from.starts_with('~'));
        }
    }
    macro_rules! gather {
        ($list:ident, $kind:literal, $($field:ident => $sense:expr),*) => {
            for (at, entry) in entries.$list.iter().enumerate() {
                let at = at as u16;
                $(book.add($kind, &entry.id, &entry.$field, ($sense)(at))?;)*
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
        book.add("grammar", &entry.id, &entry.say, Sense::Grammar(entry.class))?;
    }
    // Coins of this market win over those of others that share their name.
    for home in [true, false] {
        for (at, entry) in entries.object.iter().enumerate() {
            if entry.market.as_deref().is_none_or(|m| m == market.id()) == home {
                book.add_object(&entry.id, &entry.say, at as u16, home)?;
            }
        }
    }
    Ok((book.spelling, book.matcher.build()))
}

fn numbers<E: Entry>(list: &[E]) -> FxHashMap<Box<str>, u16> {
    list.iter().enumerate().map(|(at, entry)| (entry.id().into(), at as u16)).collect()
}

fn class_named(name: &str) -> Option<Class> {
    use serde::Deserialize;
    use serde::de::value::{Error, StrDeserializer};
    Class::deserialize(StrDeserializer::<Error>::new(name)).ok()
}

/// Phrases in the making.
struct PhraseBook {
    spelling: Spelling,
    matcher: Builder,
    /// Phrases that name an object.
    objects: FxHashSet<NodeId>,
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

impl PhraseBook {
    fn new() -> Self {
        PhraseBook {
            spelling: Spelling::new(),
            matcher: Builder::new(),
            objects: FxHashSet::default(),
            slots: Slots::default(),
            begun: Vec::new(),
            longer: Vec::new(),
            tokens: Vec::new(),
            scratch: String::new(),
            token: String::new(),
        }
    }

    fn add(&mut self, kind: &'static str, id: &str, patterns: &[String], sense: Sense) -> Result<(), VocabularyError> {
        let whole = matches!(sense, Sense::Grammar(_) | Sense::Standing(_) | Sense::Place(_) | Sense::Number(_));
        for pattern in patterns {
            self.walk(kind, id, pattern)?;
            for n in 0..self.begun.len() {
                let phrase = self.begun[n];
                if phrase.words > 0 {
                    self.matcher.mean(phrase.at, sense);
                }
                // "bull bar" is also written "bullbar".
                if phrase.words == 2 && !whole {
                    let (a, b) = (self.spelling.name(phrase.first), self.spelling.name(phrase.last));
                    if letters_only(a) && letters_only(b) {
                        self.token.clear();
                        self.token.extend([a, b]);
                        let word = self.spelling.learn(&self.token).ok_or(VocabularyError::TooManyWords)?;
                        let at = self.matcher.step(START, word);
                        self.matcher.mean(at, sense);
                    }
                }
            }
        }
        Ok(())
    }

    fn add_object(&mut self, id: &str, patterns: &[String], at: u16, home: bool) -> Result<(), VocabularyError> {
        for pattern in patterns {
            self.walk("object", id, pattern)?;
            for phrase in &self.begun {
                if phrase.words > 0 && (home || !self.objects.contains(&phrase.at)) {
                    self.matcher.mean(phrase.at, Sense::Object(at));
                    self.objects.insert(phrase.at);
                }
            }
        }
        Ok(())
    }

    /// Leaves the phrases that a pattern stands for in `begun`.
    fn walk(&mut self, kind: &'static str, id: &str, pattern: &str) -> Result<(), VocabularyError> {
        self.slots.fill(pattern).map_err(|source| VocabularyError::Pattern { kind, id: id.into(), source })?;
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
                        .ok_or(VocabularyError::TooManyWords)?;
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
        Ok(())
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
