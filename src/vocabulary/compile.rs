//! From entries to a [`Vocabulary`]: their phrases into the matcher, their references into numbers.

use rustc_hash::FxHashMap;

use super::entries::*;
use super::layers::{Carried, KINDS};
use super::matcher::Matcher;
use super::phrases::{PhraseBook, Stands, carried, unpack};
use super::spelling::{Spelling, WordId};
use super::{FaultSet, Market, Numbers, Only, Sense, SmallWords, Vocabulary, VocabularyError};

pub fn compile(market: Market, mut entries: Entries, carried: &Carried) -> Result<Vocabulary, VocabularyError> {
    few_enough(&entries)?;
    let (spelling, matcher) = phrases(market, &entries, carried)?;

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
    let trial_on = only_on!(trial, "trial");
    let refer = |kind, id: &str, what, map: &FxHashMap<Box<str>, u16>, name: Option<&String>| match name {
        Some(n) if !map.contains_key(n.as_str()) => {
            Err(VocabularyError::Dangling { kind, id: id.into(), what, missing: n.clone() })
        }
        _ => Ok(()),
    };
    for p in &entries.part {
        refer("part", &p.id, "the warning light", &part_by_id, p.lamp.as_ref())?;
    }
    for d in &entries.defect {
        refer("defect", &d.id, "the part", &part_by_id, d.implies.as_ref())?;
        for r in d.remedy.iter().chain(&d.worse) {
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
    for e in &entries.equipment {
        for part in &e.powers {
            refer("equipment", &e.id, "the part", &part_by_id, Some(part))?;
        }
    }
    for u in &entries.unchecked {
        refer("unchecked", &u.id, "the part", &part_by_id, u.item.as_ref())?;
    }

    let mut families = vec![Vec::new(); entries.defect.len()];
    for (n, family) in entries.family.iter().enumerate() {
        for id in &family.of {
            refer("family", &family.id, "the defect", &defect_by_id, Some(id))?;
            families[usize::from(defect_by_id[id.as_str()])].push(n as u16);
        }
        if family.functions {
            for (at, _) in entries.defect.iter().enumerate().filter(|(_, d)| d.function) {
                families[at].push(n as u16);
            }
        }
    }

    let of_defects = |kind: &'static str, id: &str, list: &[String]| {
        list.iter()
            .map(|name| {
                refer(kind, id, "the defect", &defect_by_id, Some(name))?;
                Ok(defect_by_id[name.as_str()])
            })
            .collect::<Result<_, VocabularyError>>()
    };
    let strength_for = entries
        .strength
        .iter()
        .map(|e| {
            let defects = of_defects("strength", &e.id, &e.of)?;
            let (on, host) = (only("strength", &e.id, &e.on)?, only("strength", &e.id, &e.host)?);
            Ok(FaultSet { defects, on, host, ..FaultSet::default() })
        })
        .collect::<Result<_, VocabularyError>>()?;
    let safety_for = entries
        .safety
        .iter()
        .map(|e| {
            Ok(FaultSet {
                defects: of_defects("safety", &e.id, &e.of)?,
                on: only("safety", &e.id, &e.on)?,
                not_on: only("safety", &e.id, &e.not_on)?,
                host: only("safety", &e.id, &e.host)?,
            })
        })
        .collect::<Result<_, VocabularyError>>()?;

    let rate_for = entries
        .rate
        .iter()
        .map(|e| {
            let mut remedies = Numbers::default();
            for name in &e.remedy {
                refer("rate", &e.id, "the remedy", &remedy_by_id, Some(name))?;
                remedies.insert(remedy_by_id[name.as_str()]);
            }
            let faults = FaultSet {
                defects: of_defects("rate", &e.id, &e.of)?,
                on: only("rate", &e.id, &e.on)?,
                not_on: only("rate", &e.id, &e.not_on)?,
                host: Only::default(),
            };
            Ok((remedies, faults))
        })
        .collect::<Result<_, VocabularyError>>()?;

    let small_words = (0..spelling.len()).map(|w| SmallWords::among(matcher.senses_of(w as WordId))).collect();
    let facts = std::mem::take(&mut entries.market).pop().unwrap_or_default();
    let labels = entries.part.iter_mut().map(|p| &mut p.label);
    for label in labels.chain(entries.defect.iter_mut().map(|d| &mut d.label)) {
        say_locally(label, &facts.words);
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
        trial_on,
        families,
        strength_for,
        safety_for,
        rate_for,
        defect_by_id,
        remedy_by_id,
        small_words,
        entries,
    })
}

/// Entries are known by numbers of two bytes.
fn few_enough(entries: &Entries) -> Result<(), VocabularyError> {
    macro_rules! count {
        ($($list:ident),*) => { $(
            if entries.$list.len() > 65_000 {
                return Err(VocabularyError::TooMany(stringify!($list)));
            }
        )* };
    }
    count!(
        part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, unit, number,
        cue, fuel, gearbox, colour, make, model, grammar, object, fold, strength, family, safety, trial, rate
    );
    match entries.fold.iter().map(|fold| fold.from.len()).sum::<usize>() {
        0..=65_000 => Ok(()),
        _ => Err(VocabularyError::TooMany("fold")),
    }
}

/// Puts a market's own words into a label: the first of them for which the label holds the other, whole.
fn say_locally(label: &mut String, words: &[[String; 2]]) {
    for [from, to] in words {
        let bounded = |at: usize| {
            let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
            edge(label[..at].chars().next_back()) && edge(label[at + from.len()..].chars().next())
        };
        if let Some((at, _)) = label.match_indices(from.as_str()).find(|(at, _)| bounded(*at)) {
            label.replace_range(at..at + from.len(), to);
            return;
        }
    }
}

/// All that can be said, in every way in which it can be said. Of what the program carries ready made only that is
/// gathered anew which later layers have added or changed.
fn phrases(
    market: Market,
    entries: &Entries,
    carried: &Carried,
) -> Result<(Spelling, Matcher<Sense>), VocabularyError> {
    let ready = carried.bytes.and_then(|bytes| {
        PhraseBook::read(bytes, |packed| {
            let (stands, at) = unpack(packed);
            let sense = sense(stands, at, entries)?;
            (!carried.changed.contains(&(order(sense).0, at))).then_some(sense)
        })
    });
    let counts = if ready.is_some() { carried.counts } else { [0; KINDS] };
    let partly = ready.is_some();
    let mut book = ready.unwrap_or_else(|| {
        let mut book = PhraseBook::new();
        for fold in &entries.fold {
            for from in &fold.from {
                book.spelling.fold(from.trim_start_matches('~'), &fold.to, from.starts_with('~'));
            }
        }
        book
    });
    let mut added = false;
    macro_rules! gather {
        ($list:ident, $kind:literal, $($field:ident => $sense:expr),*) => {
            for (at, entry) in entries.$list.iter().enumerate() {
                let first: Sense = [$(($sense)(at as u16)),*][0];
                let kind = order(first).0;
                if entry.silent || at < counts[usize::from(kind)] && !carried.changed.contains(&(kind, at as u16)) {
                    continue;
                }
                added = true;
                $(for pattern in &entry.$field {
                    let sense: Sense = ($sense)(at as u16);
                    book.add(pattern, sense, whole(sense)).map_err(|e| VocabularyError::phrase($kind, &entry.id, e))?;
                })*
            }
        };
    }
    gather!(part, "part", say => Sense::Part, misheard => Sense::Part);
    gather!(defect, "defect", noun => Sense::DefectNoun, state => Sense::DefectState, say => Sense::DefectState,
        misheard => Sense::DefectState);
    gather!(hedge, "hedge", say => Sense::Hedge, misheard => Sense::Hedge);
    gather!(standing, "standing", say => Sense::Standing, misheard => Sense::Standing);
    gather!(praise, "praise", say => Sense::Praise, misheard => Sense::Praise);
    gather!(function, "function", verb => Sense::FunctionVerb, works => Sense::FunctionWorks,
        say => Sense::FunctionWorks, misheard => Sense::FunctionWorks);
    gather!(equipment, "equipment", say => Sense::Equipment, misheard => Sense::Equipment);
    gather!(unchecked, "unchecked", say => Sense::Unchecked, misheard => Sense::Unchecked);
    gather!(remedy, "remedy", say => Sense::Remedy, noun => Sense::Remedy, misheard => Sense::Remedy);
    gather!(place, "place", say => Sense::Place, misheard => Sense::Place);
    gather!(pointing, "pointing", say => Sense::Pointing, misheard => Sense::Pointing);
    gather!(unit, "unit", say => Sense::Unit, misheard => Sense::Unit);
    gather!(number, "number", say => Sense::Number, misheard => Sense::Number);
    gather!(cue, "cue", say => Sense::Cue, misheard => Sense::Cue);
    gather!(fuel, "fuel", say => Sense::Fuel, misheard => Sense::Fuel);
    gather!(gearbox, "gearbox", say => Sense::Gearbox, misheard => Sense::Gearbox);
    gather!(colour, "colour", say => Sense::Colour, misheard => Sense::Colour);
    gather!(make, "make", say => Sense::Make, misheard => Sense::Make);
    gather!(model, "model", say => Sense::Model, misheard => Sense::Model);
    let class = |at: u16| Sense::Grammar(entries.grammar[usize::from(at)].class);
    gather!(grammar, "grammar", say => class, misheard => class);
    if partly && added {
        // As they would stand had all been gathered at once.
        book.matcher.meanings_mut().sort_by_key(|(_, sense)| order(*sense));
    }
    // Coins of this market win over those of others that share their name.
    for home in [true, false] {
        for (at, entry) in entries.object.iter().enumerate() {
            if !entry.silent && entry.market.as_deref().is_none_or(|m| m == market.id()) == home {
                for pattern in entry.say.iter().chain(&entry.misheard) {
                    book.add_object(pattern, Sense::Object(at as u16), home)
                        .map_err(|e| VocabularyError::phrase("object", &entry.id, e))?;
                }
            }
        }
    }
    Ok((book.spelling, book.matcher.build()))
}

/// What a carried meaning means; nothing where the number is none of [`Stands`]'s.
fn sense(stands: u32, at: u16, entries: &Entries) -> Option<Sense> {
    macro_rules! named {
        ($($(#[$doc:meta])* $name:ident,)*) => {
            $(if stands == Stands::$name as u32 { return Some(Sense::$name(at)); })*
        };
    }
    carried!(named);
    let class = entries.grammar.get(usize::from(at))?.class;
    (stands == Stands::Grammar as u32).then_some(Sense::Grammar(class))
}

fn whole(sense: Sense) -> bool {
    matches!(sense, Sense::Grammar(_) | Sense::Standing(_) | Sense::Place(_) | Sense::Number(_))
}

/// The number of a sense's kind, of its entry, and its own among those of the entry: the order in which senses count.
pub fn order(sense: Sense) -> (u8, u16, u8) {
    match sense {
        Sense::Part(at) => (0, at, 0),
        Sense::DefectNoun(at) => (1, at, 0),
        Sense::DefectState(at) => (1, at, 1),
        Sense::Hedge(at) => (2, at, 0),
        Sense::Standing(at) => (3, at, 0),
        Sense::Praise(at) => (4, at, 0),
        Sense::FunctionVerb(at) => (5, at, 0),
        Sense::FunctionWorks(at) => (5, at, 1),
        Sense::Equipment(at) => (6, at, 0),
        Sense::Unchecked(at) => (7, at, 0),
        Sense::Remedy(at) => (8, at, 0),
        Sense::Place(at) => (9, at, 0),
        Sense::Pointing(at) => (10, at, 0),
        Sense::Unit(at) => (11, at, 0),
        Sense::Number(at) => (12, at, 0),
        Sense::Cue(at) => (13, at, 0),
        Sense::Fuel(at) => (14, at, 0),
        Sense::Gearbox(at) => (15, at, 0),
        Sense::Colour(at) => (16, at, 0),
        Sense::Make(at) => (17, at, 0),
        Sense::Model(at) => (18, at, 0),
        Sense::Grammar(_) => (19, 0, 0),
        Sense::Object(at) => (20, at, 0),
    }
}

fn numbers<E: Entry>(list: &[E]) -> FxHashMap<Box<str>, u16> {
    list.iter().enumerate().map(|(at, entry)| (entry.id().into(), at as u16)).collect()
}

fn class_named(name: &str) -> Option<Class> {
    use serde::Deserialize;
    use serde::de::value::{Error, StrDeserializer};
    Class::deserialize(StrDeserializer::<Error>::new(name)).ok()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::vocabulary::{Layers, layers};

    fn all_phrases(market: Market, entries: &Entries, carried: &Carried) -> BTreeMap<String, Vec<Sense>> {
        let (spelling, matcher) = phrases(market, entries, carried).unwrap();
        let written = |words: &[WordId]| words.iter().map(|w| spelling.name(*w)).collect::<Vec<_>>().join(" ");
        let mut all = BTreeMap::new();
        matcher.each(|words, senses| {
            all.insert(written(words), senses.to_vec());
        });
        all
    }

    #[test]
    fn labels_take_the_first_word_of_the_market_that_fits() {
        let words = [["CV boot", "CV boot"], ["boot", "trunk"], ["lid", "cover"]].map(|w| w.map(String::from));
        for (label, local) in
            [("boot lid", "trunk lid"), ("CV boot", "CV boot"), ("reboot", "reboot"), ("lid", "cover")]
        {
            let mut label = label.to_string();
            say_locally(&mut label, &words);
            assert_eq!(label, local);
        }
    }

    /// What was put together while building must be what would be put together now, after a change too.
    #[test]
    fn the_carried_phrases_are_those_of_the_entries() {
        for market in [Market::Uk, Market::Us] {
            let (mut entries, mut carried) = Layers::shipped().entries(&market.into(), &[]).unwrap();
            assert!(carried.bytes.is_some(), "no phrases are carried");
            for changed in [false, true] {
                if changed {
                    let mut over = Entries::default();
                    over.defect.push(Defect { anew: true, ..entries.defect[3].clone() });
                    over.defect[0].noun.push("thing of another name".into());
                    over.part.push(Part { silent: true, anew: true, ..entries.part[5].clone() });
                    over.part.push(Part { id: "new".into(), say: vec!["door[s]".into()], ..Part::default() });
                    over.model.push(entries.model.first().cloned().unwrap_or_default());
                    layers::lay(&mut entries, over, &Default::default(), &mut carried.changed);
                    assert!(carried.changed.contains(&(1, 3)) && carried.changed.contains(&(0, 5)));
                }
                let carried = all_phrases(market, &entries, &carried);
                let anew = all_phrases(market, &entries, &Carried::default());
                assert_eq!(carried.len(), anew.len());
                for (phrase, senses) in &anew {
                    assert_eq!(carried.get(phrase), Some(senses), "{phrase}");
                }
            }
        }
    }
}
