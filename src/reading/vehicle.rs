//! Facts of the vehicle: make, model, year, distance, fuel, gearbox, colour, registration, VIN.
//!
//! Only what was said. Facts are given together, at the start of a walk-round as a rule, so a word that can be a fact
//! counts most beside others that surely are; where a speaker corrects himself the later figure stands.

use std::sync::LazyLock;

use regex::Regex;

use super::clauses::Clauses;
use super::mentions::Mention;
use super::strength;
use super::tokens::Token;
use crate::narration::Narration;
use crate::report::{DistanceUnit, Hand, Odometer, Vehicle};
use crate::vocabulary::entries::{CueKind, GrammarClass as G, Means, UnitKind};
use crate::vocabulary::spelling::UNKNOWN;
use crate::vocabulary::{Market, Meaning, Sense, Vocabulary};

/// Facts are looked for in this many mentions from the start, and a spoken distance in twice as many.
const OPENING: usize = 90;

/// What stands around a mention is looked at no further away than this, in mentions.
const AROUND: usize = 64;

/// How near another fact lends weight, in mentions.
const BESIDE: usize = 5;

/// Words that say what kind of vehicle it is: a name ends before them.
const BODIES: &[&str] = &[
    "estate",
    "saloon",
    "hatchback",
    "hatch",
    "wagon",
    "van",
    "vans",
    "sedan",
    "suv",
    "coupe",
    "coupé",
    "convertible",
    "cabriolet",
    "cabrio",
    "pickup",
    "pick",
    "ute",
    "luton",
    "tipper",
    "motorhome",
    "motorhomes",
    "camper",
    "campervan",
    "minibus",
    "bus",
    "bike",
    "motorbike",
    "motorcycle",
    "scooter",
    "tourer",
    "roadster",
    "cruiser-bike",
    "truck",
    "lorry",
    "car",
    "taxi",
    "panel",
    "crew",
    "double",
    "dual",
    "single",
    "king",
    "extended",
    "cab",
    "chassis",
    "long",
    "short",
    "wheelbase",
    "lwb",
    "swb",
    "high",
    "low",
    "roof",
    "bed",
    "people",
    "carrier",
    "vehicle",
    "bakkie",
    "cutaway",
    "class",
    "limousine",
    "combi",
    "kombi",
    "delivery",
    "courier",
    "dropside",
    "flatbed",
    "supermini",
    "crossover",
    "runabout",
    "motor",
    "machine",
    "caravan",
    "conversion",
    "seven",
    "five",
    "three",
    "four",
    "two",
    "edition",
];

/// Ordinary words that may stand in an opening and are nobody's name.
const ORDINARY: &[&str] = &[
    "hello",
    "hiya",
    "morning",
    "afternoon",
    "evening",
    "everyone",
    "everybody",
    "folks",
    "lads",
    "guys",
    "mate",
    "friends",
    "welcome",
    "today",
    "video",
    "sale",
    "selling",
    "sell",
    "uncle",
    "auntie",
    "owner",
    "owners",
    "private",
    "part",
    "exchange",
    "lease",
    "hire",
    "lot",
    "stock",
    "number",
    "inspection",
    "report",
    "appraisal",
    "walk",
    "walkround",
    "walkaround",
    "quick",
    "lovely",
    "little",
    "nice",
    "and",
    "for",
    "with",
    "from",
    "who",
    "are",
    "was",
    "the",
    "this",
    "that",
    "year",
    "plate",
    "reg",
    "registration",
    "colour",
    "color",
    "model",
    "make",
    "spec",
    "trim",
    "quarter",
    "half",
    "owned",
    "family",
    "one",
    "first",
    "second",
    "third",
    "local",
    "trade",
    "trader",
    "dealer",
    "company",
    "fleet",
    "ex",
    "return",
    "returned",
    "contract",
    "old",
    "new",
    "big",
    "basic",
    "entry",
    "level",
    "top",
    "range",
    "engine",
    "litre",
    "liter",
    "speed",
    "door",
    "seater",
    "berth",
    "wheel",
    "drive",
    "miles",
    "mile",
    "odo",
    "mileage",
    "kilometres",
    "kilometers",
    "clock",
    "looking",
    "look",
    "show",
    "showing",
    "asked",
    "garage",
    "yard",
    "forecourt",
    "station",
    "street",
    "road",
    "name",
    "name's",
    "called",
    "calling",
    "wife",
    "husband",
    "daughter",
    "son",
    "brother",
    "sister",
    "mum",
    "dad",
    "daddy's",
    "mother",
    "father",
    "neighbour",
    "customer",
    "client",
    "shwmae",
    "g'day",
    "gday",
    "righto",
    "alrighty",
    "okay",
    "cheers",
    "servus",
    "moin",
    "bonjour",
    "together",
    "stone",
    "tonne",
    "ton",
    "tons",
    "weight",
    "service",
    "history",
    "history's",
    "genuine",
    "warranted",
    "counted",
    "reckon",
    "tax",
    "taxed",
    "mot",
    "battery",
];

pub fn vehicle(
    narration: &Narration,
    tokens: &[Token],
    mentions: &[Mention],
    clauses: &Clauses,
    vocabulary: &Vocabulary,
    steering: Hand,
) -> Vehicle {
    let finder = Finder::new(narration, tokens, mentions, clauses, vocabulary);
    let mut vehicle = Vehicle { steering, ..Default::default() };
    let name = finder.name();
    let named = name.as_ref().map(|n| n.at);
    if let Some(name) = name {
        vehicle.make = name.make;
        vehicle.model = name.model;
    }
    vehicle.year = finder.year(named);
    vehicle.odometer = finder.odometer();
    vehicle.fuel = finder.fuel(named);
    vehicle.gearbox = finder.gearbox();
    vehicle.colour = finder.colour(named);
    (vehicle.vin, vehicle.vin_check) = finder.vin();
    vehicle.registration = finder.registration();
    vehicle
}

/// The vehicle's name and the mention that it begins at.
struct Name {
    at: usize,
    make: Option<String>,
    model: Option<String>,
}

struct Finder<'a, 'v> {
    narration: &'a Narration,
    tokens: &'a [Token],
    mentions: &'a [Mention<'v>],
    clauses: &'a Clauses,
    vocabulary: &'v Vocabulary,
    /// The speaker's words as far as facts are looked for, bare and in small letters.
    words: Vec<String>,
    /// Whether the narration is written with capitals: then names have them too.
    cased: bool,
}

impl<'a, 'v> Finder<'a, 'v> {
    fn new(
        narration: &'a Narration,
        tokens: &'a [Token],
        mentions: &'a [Mention<'v>],
        clauses: &'a Clauses,
        vocabulary: &'v Vocabulary,
    ) -> Self {
        let looked_at = mentions.get(OPENING * 2 + AROUND).map_or(narration.words.len(), |m| {
            let word = tokens[m.first as usize].word as usize;
            word.max(OPENING * 3)
        });
        let words = narration.words.iter().take(looked_at).map(|w| bare(&w.text).to_lowercase()).collect();
        let opening = narration.words.iter().take(200);
        let cased = opening
            .filter(|w| bare(&w.text).chars().next().is_some_and(char::is_uppercase) && bare(&w.text) != "I")
            .count()
            >= 2;
        Finder { narration, tokens, mentions, clauses, vocabulary, words, cased }
    }

    fn opening(&self) -> usize {
        self.mentions.len().min(OPENING)
    }

    /// The word of the narration that a mention begins with.
    fn word_at(&self, mention: usize) -> usize {
        self.tokens[self.mentions[mention].first as usize].word as usize
    }

    fn word(&self, mention: usize) -> &str {
        self.mentions.get(mention).and_then(|_| self.words.get(self.word_at(mention))).map_or("", String::as_str)
    }

    fn said(&self, first: usize, past: usize) -> String {
        let a = self.word_at(first);
        let b = self.tokens[self.mentions[past - 1].past as usize - 1].word as usize;
        self.narration.quote(a, b)
    }

    fn has<T>(&self, at: usize, pick: impl Fn(Sense) -> Option<T>) -> bool {
        self.mentions.get(at).is_some_and(|m| m.find(pick).is_some())
    }

    fn is_colour(&self, at: usize) -> bool {
        self.has(at, |s| matches!(s, Sense::Colour(_)).then_some(()))
    }

    /// Words for a fault that are hardly ever said of anything else.
    fn names_fault(&self, at: usize) -> bool {
        self.has(at, |s| match s {
            Sense::DefectNoun(d) | Sense::DefectState(d) => {
                (!self.vocabulary.entries.defect[usize::from(d)].weak).then_some(())
            }
            _ => None,
        })
    }

    fn is_thing(&self, at: usize) -> bool {
        // "done" and the like are small words first
        !self
            .mentions
            .get(at)
            .is_some_and(|m| m.any_grammar(&[G::Takes, G::And, G::With, G::Be, G::Have, G::Host, G::Along, G::Degree]))
            && self.has(at, |s| {
                matches!(s, Sense::Part(_) | Sense::Equipment(_) | Sense::DefectNoun(_) | Sense::DefectState(_))
                    .then_some(())
            })
    }

    /// Words that say outright what the vehicle is.
    fn is_fact(&self, at: usize) -> bool {
        self.has(at, |s| {
            matches!(s, Sense::Fuel(_) | Sense::Gearbox(_) | Sense::Make(_) | Sense::Model(_)).then_some(())
        }) || self.mentions.get(at).is_some_and(|m| m.grammar(G::Odometer))
            || self.mentions.get(at).is_some_and(|m| {
                m.number.is_some_and(|n| n.low == n.high && ((1950.0..=2035.0).contains(&n.low) || n.low >= 9000.0))
            })
            || self.is_body(at)
    }

    fn is_body(&self, at: usize) -> bool {
        at < self.mentions.len() && BODIES.contains(&self.word(at)) && self.mentions[at].number.is_none()
    }

    fn facts_beside(&self, at: usize, past: usize) -> usize {
        let from = at.saturating_sub(BESIDE);
        (from..at).chain(past..(past + BESIDE).min(self.mentions.len())).filter(|&n| self.is_fact(n)).count()
    }

    // --- the name ------------------------------------------------------------------------------------------------

    /// A known make or model, or else the likeliest of the words that nothing explains.
    fn name(&self) -> Option<Name> {
        let v = self.vocabulary;
        for (at, m) in self.mentions[..self.opening()].iter().enumerate() {
            if let Some(model) = m.entry(Meaning::Model) {
                let model = &v.entries.model[usize::from(model)];
                let make = v.entries.make.iter().find(|k| k.id == model.make).map(|k| k.label.clone());
                let name = match self.trim_of(model, self.mentions[at].past as usize) {
                    Some(trim) => format!("{} {trim}", model.label),
                    None => model.label.clone(),
                };
                return Some(Name { at, make, model: Some(name) });
            }
        }
        for at in 0..self.opening() {
            if let Some(make) = self.mentions[at].entry(Meaning::Make) {
                let past = self.name_end(at + 1);
                let model = (past > at + 1).then(|| self.name_of(at + 1, past));
                return Some(Name { at, make: Some(v.entries.make[usize::from(make)].label.clone()), model });
            }
        }
        if let Some(name) = self.told_name() {
            return Some(name);
        }
        let mut best: Option<(i32, usize, usize)> = None;
        for at in 0..self.opening() {
            if !self.is_name(at) || at > 0 && self.is_name(at - 1) && !self.parted(at - 1) {
                continue;
            }
            let past = self.name_end(at);
            if let Some(worth) = self.worth_as_name(at, past)
                && best.is_none_or(|b| worth > b.0)
            {
                best = Some((worth, at, past));
            }
        }
        let (_, at, past) = best?;
        let mut model = (past > at + 1).then(|| self.name_of(at + 1, past));
        if let (Some(model), Some(trim)) = (&mut model, self.trim(past)) {
            *model = format!("{model} {trim}");
        }
        Some(Name { at, make: Some(self.name_of(at, at + 1)), model })
    }

    /// The trim named right after a model, of those that its entry lists; of several, the longest.
    fn trim_of<'m>(&self, model: &'m crate::vocabulary::entries::Model, past: usize) -> Option<&'m str> {
        let said = self.tokens.get(past..)?;
        let fits = |trim: &&String| {
            let mut words = trim.split_whitespace().map(str::to_lowercase);
            let mut said = said.iter().map(|t| bare(&self.narration.words[t.word as usize].text).to_lowercase());
            words.all(|word| said.next().is_some_and(|s| s == word))
        };
        model.trims.iter().filter(fits).max_by_key(|trim| trim.len()).map(String::as_str)
    }

    /// "make is Fenwick, model is Rallo"
    fn told_name(&self) -> Option<Name> {
        let after = |key: &str| {
            let at = (0..self.opening()).find(|&n| self.word(n) == key && self.mentions[n].width() == 1)?;
            let first = (at + 1..at + 3).find(|&n| !self.mentions.get(n).is_some_and(|m| m.any_grammar(&[G::Be])))?;
            let past = self.name_end(first);
            (past > first).then_some((first, past))
        };
        let (make, past) = after("make")?;
        let model = after("model")?;
        Some(Name { at: make, make: Some(self.name_of(make, past)), model: Some(self.name_of(model.0, model.1)) })
    }

    /// How likely it is that the words from `at` name the vehicle; none where they cannot.
    fn worth_as_name(&self, at: usize, past: usize) -> Option<i32> {
        let words = past - at;
        let unknown = |n: usize| self.tokens[self.mentions[n].first as usize].id == UNKNOWN;
        let before = at.checked_sub(1);
        let led = before.is_some_and(|b| {
            let m = &self.mentions[b];
            m.grammar(G::Determiner)
                || m.number.is_some()
                || self.is_colour(b)
                || self.is_body(b)
                || m.any_grammar(&[G::Be])
        });
        let shown = (at.saturating_sub(6)..at).any(|n| {
            self.mentions[n].any_grammar(&[G::Be, G::It, G::There])
                || matches!(self.word(n), "this" | "selling" | "here" | "got" | "it's")
        });
        let facts = self.facts_beside(at, past).min(3) as i32;
        let mut worth = 10 - at as i32 / 6 + 3 * facts;
        worth += if led { 6 } else { 0 } + if shown { 3 } else { 0 };
        worth += if words > 1 { 4 } else { 0 };
        // Words that no phrase of the vocabulary holds are names more often than not.
        worth += (at..past)
            .filter(|&n| self.mentions[n].number.is_none())
            .map(|n| if unknown(n) { 3 } else { -3 })
            .sum::<i32>();
        if self.cased {
            let capitals = (at..past).filter(|&n| self.capital(n)).count();
            if capitals == 0 {
                return None;
            }
            // The first word of a sentence has a capital whatever it is.
            worth += if capitals > 1 || !self.opens_sentence(at) { 5 } else { 0 };
        }
        // Two words that nothing explains name a vehicle where something about it stands beside them, or where they are
        // what the speaker opens with.
        let told = facts > 0 || at <= 12 && !(at..past).any(|n| self.names_fault(n));
        let counted = before.is_some_and(|b| self.mentions[b].number.is_some()) && facts == 0;
        if !told || counted {
            return None;
        }
        // A lone word is a name only where everything speaks for it.
        (words > 1 && worth >= 12 || words == 1 && led && facts > 0 && worth >= 18).then_some(worth)
    }

    fn capital(&self, at: usize) -> bool {
        bare(&self.narration.words[self.word_at(at)].text).chars().next().is_some_and(char::is_uppercase)
    }

    fn opens_sentence(&self, at: usize) -> bool {
        let word = self.word_at(at);
        word == 0 || self.narration.words[word - 1].text.ends_with(['.', '!', '?'])
    }

    /// Whether a full stop or the like stands between two neighbouring mentions.
    fn parted(&self, at: usize) -> bool {
        let last = self.tokens[self.mentions[at].past as usize - 1].word as usize;
        self.narration.words[last].text.ends_with(['.', '!', '?', ';', ':', ','])
    }

    /// A word that no entry knows and that could be a name.
    fn is_name(&self, at: usize) -> bool {
        self.mentions.get(at).is_some_and(|m| {
            let word = self.word(at);
            let plain = m.is_word()
                || self.cased
                    && self.capital(at)
                    && !self.opens_sentence(at)
                    && m.width() == 1
                    && self.could_be_name(at);
            plain
                && word.len() > 2
                && word.chars().all(|c| c.is_alphabetic() || matches!(c, '-' | '\''))
                && !word.ends_with("'s")
                && (!BODIES.contains(&word) || self.cased && self.capital(at) && at > 0 && self.is_name(at - 1))
                && !ORDINARY.contains(&word)
                && (!self.cased || self.capital(at))
        })
    }

    /// A word of the trade or of speech that may still be what a model is called ("Porter", "Pop").
    fn could_be_name(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        m.number.is_none()
            && !m.senses.iter().any(|s| match s {
                Sense::Grammar(class) => !matches!(class, G::Moves | G::Verb | G::Region | G::Spot | G::Layer),
                Sense::Number(_) | Sense::Unit(_) | Sense::Colour(_) | Sense::Fuel(_) | Sense::Gearbox(_) => true,
                _ => false,
            })
    }

    /// Where a name that begins at `at` ends: unknown words, then perhaps a number or letters that belong to it.
    fn name_end(&self, mut at: usize) -> usize {
        let first = at;
        while at < self.mentions.len() && self.is_name(at) && at - first < 3 {
            at += 1;
            if self.parted(at - 1) {
                return at;
            }
        }
        if at == first {
            return at;
        }
        // "the sunniva pop": after one word that nothing explains, one that the vocabulary knows for something else
        if at == first + 1 && !self.cased && at + 1 < self.mentions.len() && self.mentions[at].width() == 1 {
            let word = self.word(at);
            let plain =
                self.could_be_name(at) && word.len() > 2 && !BODIES.contains(&word) && !ORDINARY.contains(&word);
            if plain
                && self.mentions[at]
                    .senses
                    .iter()
                    .all(|s| !matches!(s, Sense::Standing(_) | Sense::Pointing(_) | Sense::Place(_)))
            {
                at += 1;
            }
        }
        self.suffix_end(at)
    }

    /// Past the number or the letters that belong to a name: "640", "E", "L3H2", said "l three h two".
    fn suffix_end(&self, mut at: usize) -> usize {
        let mut last_was_letter = false;
        for _ in 0..4 {
            let Some(m) = self.mentions.get(at) else { break };
            let text = bare(&self.narration.words[self.word_at(at)].text);
            let coded =
                text.chars().any(|c| c.is_ascii_digit()) && text.chars().any(char::is_alphabetic) && text.len() <= 6;
            let letter = m.width() == 1
                && text.chars().count() == 1
                && text.chars().all(char::is_alphabetic)
                && !matches!(text, "a" | "i" | "A" | "I");
            let year = self.year_at(self.word_at(at), None).is_some() || self.said(at, at + 1).contains("point");
            // "eleven fifty": names stop short of the years
            let number = m.number.is_some_and(|n| {
                n.low < 1900.0 && n.low == n.high && n.low.fract() == 0.0 && !n.ordinal && !n.vague && !year
            });
            let capitals = self.cased
                && (2..=3).contains(&text.len())
                && text.chars().all(|c| c.is_ascii_uppercase())
                && m.is_word();
            let counted = strength::measure(self.mentions, at, self.vocabulary).is_some()
                || self.has(at + 1, |s| matches!(s, Sense::Unit(_)).then_some(()))
                || matches!(
                    self.word(at + 1),
                    "door"
                        | "doors"
                        | "speed"
                        | "seater"
                        | "berth"
                        | "owner"
                        | "owners"
                        | "seats"
                        | "plate"
                        | "litre"
                        | "liter"
                        | "point"
                        | "wheel"
                        | "thousand"
                        | "model"
                        | "reg"
                        | "cylinder"
                        | "gears"
                        | "tonne"
                        | "ton"
                        | "by"
                );
            let fits = letter && (!self.cased || text.chars().all(char::is_uppercase))
                || capitals
                || coded && m.is_word()
                || number && (!counted || last_was_letter);
            if !fits {
                break;
            }
            last_was_letter = letter;
            at += 1;
            if number
                && !self.mentions.get(at).is_some_and(|m| m.width() == 1 && self.word(at).len() == 1 && m.is_word())
                || self.parted(at - 1)
            {
                break;
            }
        }
        at
    }

    /// "it's the comfort no sorry it's the touring": a version named right after the name; the last one stands.
    fn trim(&self, from: usize) -> Option<String> {
        let mut found = None;
        for at in from..(from + 16).min(self.opening()) {
            let word = self.word_at(at);
            if word >= 2
                && self.words[word - 1] == "the"
                && matches!(self.words[word - 2].as_str(), "it's" | "is" | "she's" | "that's")
                && (self.is_name(at)
                    || !self.cased && self.could_be_name(at) && !self.is_thing(at) && self.mentions[at].width() == 1)
                && !BODIES.contains(&self.word(at))
                && !ORDINARY.contains(&self.word(at))
                && !self.is_name(at + 1)
            {
                found = Some(self.name_of(at, at + 1));
            }
        }
        found
    }

    /// A name as it would be written: capitals at the heads of words, figures for numbers, letters and figures joined.
    fn name_of(&self, first: usize, past: usize) -> String {
        let mut out = String::new();
        let mut code = false;
        for at in first..past {
            let m = &self.mentions[at];
            let text = self.said(at, at + 1);
            let letter = bare(&text).chars().count() == 1;
            let (piece, is_code) = match m.number {
                // "h one twenty eighteen": of a number that ran on, the first figure
                Some(n) if code && small(self.word(at)).is_some() => {
                    (format!("{}", small(self.word(at)).unwrap_or(n.low as u32)), true)
                }
                Some(n) => (format!("{}", n.low as u64), code),
                None if letter => (bare(&text).to_uppercase(), true),
                None => (tidy(&text), false),
            };
            if !out.is_empty() && (!code || !is_code) {
                out.push(' ');
            }
            out.push_str(&piece);
            code = is_code;
        }
        out
    }

    // --- year ----------------------------------------------------------------------------------------------------

    fn year(&self, named: Option<usize>) -> Option<u16> {
        let past = if self.opening() < self.mentions.len() { self.word_at(self.opening()) } else { self.words.len() };
        let named = named.map(|at| self.word_at(at));
        let mut best: Option<(i32, u16)> = None;
        let mut at = 0;
        while at < past {
            let Some((year, used, sure)) = self.year_at(at, named) else {
                at += 1;
                continue;
            };
            let next = self.words.get(at + used).map_or("", String::as_str);
            let before = at.checked_sub(1).map_or("", |b| self.words[b].as_str());
            let counted = matches!(
                next,
                "miles"
                    | "mile"
                    | "km"
                    | "kms"
                    | "kilometres"
                    | "kilometers"
                    | "k's"
                    | "pounds"
                    | "quid"
                    | "euro"
                    | "euros"
                    | "dollars"
                    | "bucks"
                    | "hours"
                    | "mm"
                    | "cc"
                    | "rpm"
                    | "thousand"
                    | "hundred"
                    | "kilos"
                    | "kg"
                    | "k"
            );
            if !counted {
                let near = named.is_some_and(|n| at.abs_diff(n) <= 8);
                // "since 2016" dates something else
                let apart = matches!(
                    before,
                    "since"
                        | "until"
                        | "till"
                        | "in"
                        | "before"
                        | "after"
                        | "by"
                        | "january"
                        | "february"
                        | "march"
                        | "april"
                        | "may"
                        | "june"
                        | "july"
                        | "august"
                        | "september"
                        | "october"
                        | "november"
                        | "december"
                );
                let worth = i32::from(near) * 3 + i32::from(sure) * 2 - i32::from(apart) * 4 - (at as i32) / 40;
                if best.is_none_or(|b| worth > b.0) {
                    best = Some((worth, year));
                }
            }
            at += used;
        }
        best.filter(|b| b.0 > -3).map(|b| b.1)
    }

    /// A year said at a word: its value, how many words say it, and whether it could hardly be anything else.
    fn year_at(&self, at: usize, named: Option<usize>) -> Option<(u16, usize, bool)> {
        let word = |n: usize| self.words.get(n).map_or("", String::as_str);
        let full = |value: u32| (1920..=2035).contains(&value).then_some(value as u16);
        if word(at).len() == 4
            && let Ok(value) = word(at).parse::<u32>()
            && let Some(year) = full(value)
        {
            return Some((year, 1, true));
        }
        let (century, used) = match (word(at), word(at + 1)) {
            ("nineteen", _) => (1900, 1),
            ("twenty", _) => (2000, 1),
            ("two", "thousand") if matches!(word(at + 2), "and") => (2000, 3),
            ("two", "thousand") => (2000, 2),
            _ => (0, 0),
        };
        let spoken = |n: usize| -> Option<(u32, usize)> {
            if matches!(word(n), "oh" | "o" | "nought" | "zero") {
                return Some((small(word(n + 1)).filter(|v| (1..10).contains(v))?, 2));
            }
            let text = word(n);
            if let Some((ten, unit)) = text.split_once('-') {
                return Some((small(ten)? + small(unit)?, 1));
            }
            let tens = small(text)?;
            match small(word(n + 1)).filter(|v| (1..10).contains(v)) {
                Some(unit) if tens >= 20 && tens % 10 == 0 => Some((tens + unit, 2)),
                _ => Some((tens, 1)),
            }
        };
        if century > 0 {
            if let Some((rest, more)) = spoken(at + used) {
                let plain = used > 1 || rest >= 10 || more == 2;
                // "two thousand five hundred", "twenty nineteen thousand" are amounts
                let amount = matches!(word(at + used + more), "hundred" | "thousand");
                if plain
                    && !amount
                    && let Some(year) = full(century + rest)
                {
                    return Some((year, used + more, true));
                }
            } else if used == 2 && word(at + 2) != "and" {
                return None;
            }
        }
        // "a sixty-eight plate", "on an 09", "fifteen reg": the half-year that a British plate tells
        if let Some((value, more)) =
            spoken(at).or_else(|| word(at).parse().ok().filter(|_| word(at).len() == 2).map(|v| (v, 1)))
        {
            let kind = word(at + more);
            if matches!(kind, "plate" | "reg" | "registered") && value >= 2 {
                let year = if value > 50 { value - 50 } else { value };
                return full(2000 + year).map(|y| (y, more + 1, false));
            }
            if kind == "model" && more == 2 && value < 36 {
                return full(2000 + value).map(|y| (y, more + 1, true));
            }
            // "it's an oh six"
            if more == 2
                && matches!(word(at), "oh" | "o")
                && at > 0
                && matches!(word(at - 1), "an" | "a" | "the")
                && value < 36
            {
                return full(2000 + value).map(|y| (y, more, false));
            }
            // "an oh nine dorsett", "ninety six crawford": the short form right before the name
            if named == Some(at + more) && (value < 36 && (more == 2 || value > 9) || value > 60) {
                return full(if value < 36 { 2000 + value } else { 1900 + value }).map(|y| (y, more, false));
            }
        }
        // "'96"
        let written = &self.narration.words.get(at)?.text;
        if let Some(rest) = written.strip_prefix(['\'', '\u{2019}']).map(bare)
            && rest.len() == 2
            && let Ok(value) = rest.parse::<u32>()
        {
            return full(if value < 36 { 2000 + value } else { 1900 + value }).map(|y| (y, 1, true));
        }
        None
    }

    // --- distance ------------------------------------------------------------------------------------------------

    fn odometer(&self) -> Option<Odometer> {
        let reach = self.mentions.len().min(OPENING * 2);
        let home = match self.vocabulary.facts.distance.as_str() {
            "km" => DistanceUnit::Kilometres,
            _ => DistanceUnit::Miles,
        };
        let mut found: Option<(usize, Odometer, bool)> = None;
        for at in 0..reach {
            let Some(n) = self.mentions[at].number.filter(|n| !n.ordinal && (!n.vague || n.low >= 1000.0)) else {
                continue;
            };
            let mut next = at + 1;
            let mut value = n.high;
            let written = bare(&self.narration.words[self.word_at(at)].text).to_lowercase();
            // "48k", "41.200": thousands as some write them
            let thousands = written.ends_with('k') && written.len() > 1;
            if thousands && value < 2000.0 {
                value *= 1000.0;
            } else if self.mentions[at].width() == 1 && value.fract() != 0.0 && DOTTED.is_match(&written) {
                value = written.replace('.', "").parse().unwrap_or(value);
            } else if self.mentions[at].width() == 1
                && (1.0..1000.0).contains(&value)
                && let Some(more) = self.mentions.get(next).filter(|m| m.number.is_some())
                && self.word(next).len() == 3
                && self.word(next).chars().all(|c| c.is_ascii_digit())
                && more.width() == 1
                && !self.parted(at)
            {
                // "88 500"
                value = value * 1000.0 + more.number.map_or(0.0, |n| n.low);
                next += 1;
            }
            // "one oh three five", "one oh four six hundred", "sixty six five": what follows a figure of thousands; "two ninety thousand"
            let spoken = written.chars().all(char::is_alphabetic);
            let figures = self.figures(at);
            let with_oh = figures.len() == 4 && figures[1..3].contains(&0);
            if spoken && with_oh {
                value =
                    f64::from(figures[0] * 100 + figures[1] * 10 + figures[2]) * 1000.0 + f64::from(figures[3]) * 100.0;
                next += usize::from(self.word(next) == "hundred");
            } else if spoken
                && (10.0..1000.0).contains(&value)
                && value.fract() == 0.0
                && let Some(more) =
                    self.mentions.get(next).and_then(|m| m.number).filter(|m| m.low == m.high && m.low.fract() == 0.0)
                && ((100.0..1000.0).contains(&more.low) || (1.0..10.0).contains(&more.low) && value < 400.0)
                && !self.parted(at)
            {
                value = value * 1000.0 + if more.low < 10.0 { more.low * 100.0 } else { more.low };
                next += 1;
            } else if spoken
                && (10_000.0..100_000.0).contains(&value)
                && let Some(hundreds) = at
                    .checked_sub(1)
                    .and_then(|b| self.mentions[b].number)
                    .filter(|h| (1.0..10.0).contains(&h.low) && h.low == h.high)
                && self.mentions[at - 1].width() == 1
            {
                value += hundreds.low * 100_000.0;
            }
            // "48 k": the letter stands alone where figures and letters are taken apart
            let mut sure = thousands;
            if matches!(self.word(next), "k") && value < 2000.0 && self.mentions.get(next).is_some() && !thousands {
                value *= 1000.0;
                next += 1;
                sure = true;
            } else if thousands && self.word(next) == written {
                next += 1;
            }
            while self
                .mentions
                .get(next)
                .is_some_and(|_| matches!(self.word(next), "genuine" | "warranted" | "odd" | "straight" | "true"))
            {
                next += 1;
            }
            let unit = self.mentions.get(next).and_then(|m| m.entry(Meaning::Unit));
            // "88 on the clock", "one ninety two on the odo": thousands, where the clock is named and no unit
            let clock = (next..next + 3).any(|n| {
                self.mentions.get(n).is_some_and(|m| m.grammar(G::Odometer)) && self.said(n, n + 1).contains(' ')
                    || matches!(self.word(n), "clock" | "odometer" | "odo" | "dash") && self.word(next) == "on"
            });
            if clock && !sure && unit.is_none() && (10.0..1000.0).contains(&value) && value.fract() == 0.0 {
                value *= 1000.0;
            }
            let unit = unit.map(|u| &self.vocabulary.entries.unit[usize::from(u)]);
            let spoken_unit = match unit {
                Some(u) if u.kind == UnitKind::Distance => {
                    sure = true;
                    Some(if u.id == "mile" { DistanceUnit::Miles } else { DistanceUnit::Kilometres })
                }
                Some(_) if !sure => continue,
                _ => None,
            };
            let near = |a: usize, b: usize| {
                self.mentions[a.min(self.mentions.len())..b.min(self.mentions.len())].iter().any(|m| {
                    m.grammar(G::Odometer)
                        || m.find(|s| matches!(s, Sense::Unit(u) if self.vocabulary.entries.unit[usize::from(u)].kind == UnitKind::Distance).then_some(())).is_some()
                }) || (a..b.min(self.mentions.len())).any(|n| {
                    matches!(
                        self.word(n),
                        "miles" | "mileage" | "clock" | "clocks" | "odometer" | "done" | "run" | "ran" | "shows" | "reads" | "driven" | "covered" | "travelled" | "stand"
                    )
                }) || value >= 9000.0 && (a > at && self.word(a) == "on" || b == at && self.word_at(at) > 0 && self.words[self.word_at(at) - 1] == "on")
            };
            if !sure && !near(at.saturating_sub(6), at) && !near(at + 1, at + 7) {
                continue;
            }
            if !(500.0..=2_000_000.0).contains(&value) || !sure && value < 2100.0 || !sure && self.is_year(at, value) {
                continue;
            }
            // "changed at 60,000 miles", "every ten thousand": of something done or due, not of the vehicle
            let told = (at.saturating_sub(5)..at).any(|n| {
                matches!(
                    self.word(n),
                    "changed"
                        | "serviced"
                        | "service"
                        | "due"
                        | "every"
                        | "replaced"
                        | "belt"
                        | "last"
                        | "next"
                        | "ago"
                        | "within"
                        | "another"
                        | "interval"
                        | "warranty"
                )
            }) || (next..(next + 3).min(self.mentions.len()))
                .any(|n| matches!(self.word(n), "ago" | "interval" | "until" | "till"));
            if told {
                continue;
            }
            let odometer = Odometer { value: value as u32, unit: spoken_unit.unwrap_or(home) };
            match found {
                // A figure right after another corrects it.
                Some((last, _, was_sure)) if at - last <= 8 && (sure || !was_sure) => {
                    found = Some((at, odometer, sure))
                }
                Some((_, _, false)) if sure => found = Some((at, odometer, sure)),
                Some(_) => {}
                None => found = Some((at, odometer, sure)),
            }
        }
        found.map(|(_, o, _)| o)
    }

    /// The figures of a number read out one by one: "one oh three five".
    fn figures(&self, at: usize) -> Vec<u32> {
        // From the speaker's words: a lone "oh" may count as a filler.
        let last = self.tokens[self.mentions[at].past as usize - 1].word as usize;
        let said = self.words[self.word_at(at)..=last].iter().map(String::as_str);
        said.map_while(|w| if matches!(w, "oh" | "o" | "nought") { Some(0) } else { small(w).filter(|v| *v < 10) })
            .collect()
    }

    fn is_year(&self, at: usize, value: f64) -> bool {
        (1920.0..=2035.0).contains(&value) && self.mentions[at].number.is_some_and(|n| n.low == n.high)
    }

    // --- fuel, gearbox, colour -----------------------------------------------------------------------------------

    fn fuel(&self, named: Option<usize>) -> Option<String> {
        let entries = &self.vocabulary.entries.fuel;
        let of = |at: usize| self.mentions[at].entry(Meaning::Fuel).map(|f| &entries[usize::from(f)]);
        let mut found: Option<(usize, &str, &str)> = None;
        for at in 0..self.opening() {
            let Some(entry) = of(at) else { continue };
            // Outside America "gas" is what a cooker burns.
            if entry.id == "gas" && self.vocabulary.market != Market::Us {
                continue;
            }
            let beside = self.facts_beside(at, at + 1) > 0 || named.is_some_and(|n| at.abs_diff(n) <= 14);
            let motor = matches!(self.word(at + 1), "motor" | "engine" | "drive" | "one" | "version");
            let thing = self.is_thing(at + 1) && !self.is_fact(at + 1);
            if entry.weak && !motor && (thing || !beside) {
                continue;
            }
            match found {
                None => found = Some((at, entry.id.as_str(), entry.label.as_str())),
                // "petrol, well, it's the hybrid"
                Some((before, "petrol" | "diesel" | "gas", _)) if entry.id.contains("hybrid") && at - before <= 12 => {
                    found = Some((at, entry.id.as_str(), entry.label.as_str()));
                }
                // "the diesel, no sorry, the petrol"
                Some((before, ..)) if at - before <= 8 && self.corrected(before, at) => {
                    found = Some((at, entry.id.as_str(), entry.label.as_str()));
                }
                Some(_) => {}
            }
        }
        found.map(|f| f.2.to_string())
    }

    fn gearbox(&self) -> Option<String> {
        let entries = &self.vocabulary.entries.gearbox;
        let mut found: Option<(usize, &str)> = None;
        for at in 0..self.opening() {
            let Some(entry) = self.mentions[at].entry(Meaning::Gearbox).map(|f| &entries[usize::from(f)]) else {
                continue;
            };
            let again = found.is_none_or(|(before, _)| at - before <= 8 && self.corrected(before, at));
            if again && !(entry.weak && self.is_thing(at + 1)) {
                found = Some((at, entry.label.as_str()));
            }
        }
        found.map(|f| f.1.to_string())
    }

    /// Whether something between two mentions takes the first of them back.
    fn corrected(&self, first: usize, last: usize) -> bool {
        (first + 1..last).any(|n| {
            self.has(n, |s| match s {
                Sense::Standing(t) => {
                    (self.vocabulary.entries.standing[usize::from(t)].means == Means::Withdrawn).then_some(())
                }
                Sense::Cue(c) => {
                    matches!(self.vocabulary.entries.cue[usize::from(c)].does, CueKind::Withdraw | CueKind::Correct)
                        .then_some(())
                }
                _ => None,
            })
        })
    }

    /// The likeliest of the colours named. A colour said of a part ("a black bumper") is not the vehicle's.
    fn colour(&self, named: Option<usize>) -> Option<String> {
        let mut best: Option<(i32, usize, usize)> = None;
        let mut at = 0;
        while at < self.opening() {
            if !self.is_colour(at) {
                at += 1;
                continue;
            }
            let first = at;
            while at - first < 3 && self.is_colour(at) {
                at += 1;
                if self.parted(at - 1) {
                    break;
                }
            }
            // "cream and green"
            if self.word(at) == "and" && self.is_colour(at + 1) && !self.is_thing(at + 2) && !self.parted(at - 1) {
                at += 2;
            }
            let strong = self.mentions[first]
                .entry(Meaning::Colour)
                .is_some_and(|c| !self.vocabulary.entries.colour[usize::from(c)].weak);
            let before = |n: usize| first.checked_sub(n).map_or("", |b| self.word(b));
            // "blue over grey hide" is blue outside
            let whole = self.is_body(at) || matches!(self.word(at), "in" | "over");
            let of_part = self.is_thing(at) && !whole && !self.parted(at - 1) && !self.is_fact(at);
            let told = matches!(before(1), "in" | "is" | "it's" | "she's" | "that's" | "painted")
                || self.is_body(at)
                || (1..6).any(|n| {
                    before(n) == "in" && n <= 2 || before(n).starts_with("colour") || before(n).starts_with("color")
                });
            let clause = self.clauses.list.iter().find(|c| c.first <= first && first < c.past);
            let marred = clause.is_some_and(|c| {
                (c.first.max(first.saturating_sub(8))..c.past.min(at + 4)).any(|n| {
                    // "on", "out" and the like are small words first
                    !(first..at).contains(&n)
                        && self.names_fault(n)
                        && !self.mentions[n].senses.iter().any(|s| matches!(s, Sense::Grammar(_)))
                })
            });
            let facts = self.facts_beside(first, at).min(3) as i32;
            let near = named.is_some_and(|n| first.abs_diff(n) <= 14);
            let mut worth = 8 - first as i32 / 8 + 2 * facts;
            worth += if told { 3 } else { 0 } + if strong { 3 } else { 0 } + if near { 3 } else { 0 };
            worth -= if of_part { 9 } else { 0 } + if marred { 7 } else { 0 };
            worth -= if matches!(
                self.word(at),
                "smoke" | "light" | "lamp" | "paint" | "leather" | "mark" | "stuff" | "line"
            ) {
                9
            } else {
                0
            };
            if worth >= 8 && best.is_none_or(|b| worth > b.0) {
                best = Some((worth, first, at));
            }
        }
        let (_, mut first, past) = best?;
        // "Saxon blue": a name that a maker gave it
        if self.cased
            && first > 0
            && self.is_name(first - 1)
            && !self.parted(first - 1)
            && named.is_none_or(|n| first > n + 4 || first <= n)
        {
            first -= 1;
        }
        // "in almond green", and nothing else that it could be
        if !self.cased
            && first > 1
            && self.word(first - 2) == "in"
            && (self.mentions[first - 1].is_word() || self.mentions[first - 1].has(&[Meaning::Object]))
        {
            first -= 1;
        }
        Some(tidy(&self.said(first, past)).to_lowercase())
    }

    // --- registration and VIN ------------------------------------------------------------------------------------

    /// Letters and figures spelt out one by one from a word on: "i q one eight", "india quebec one eight", "IQ18 ZZO".
    fn spelt(&self, from: usize, most: usize) -> String {
        let mut out = String::new();
        for written in self.narration.words.iter().skip(from).take(most * 2) {
            let text = bare(&written.text);
            let word = &text.to_lowercase();
            let coded = text.len() <= 8 && text.chars().all(|c| c.is_ascii_alphanumeric());
            if let Some(c) = phonetic(word) {
                out.push(c);
            } else if let Some(value) = small(word).filter(|_| !coded || text.chars().all(char::is_alphabetic)) {
                out.push_str(&value.to_string());
            } else if coded
                && (text.len() == 1
                    || text.chars().any(|c| c.is_ascii_digit())
                    || text.chars().all(|c| c.is_ascii_uppercase()))
            {
                out.push_str(&text.to_uppercase());
            } else if !matches!(word.as_str(), "is" | "number" | "reads" | "and" | "dash" | "mark") || !out.is_empty() {
                break;
            }
            if out.len() >= most || written.text.ends_with(['.', ';', ',']) && !out.is_empty() {
                break;
            }
        }
        out
    }

    fn registration(&self) -> Option<String> {
        if let Some(plate) = self.announced_plate().filter(|p| mixed(p)).or_else(|| self.bare_plate()) {
            return Some(plate.trim().to_string());
        }
        // "QZF 214D." by itself, as papers write it
        let alone = (0..self.words.len().min(OPENING * 3)).find_map(|at| self.plate_alone(at));
        if alone.is_some() {
            return alone;
        }
        // Read out letter by letter.
        let opening = self.words.len().min(OPENING * 3);
        (0..opening).filter(|&n| matches!(self.words[n].as_str(), "reg" | "registration" | "rego" | "plate")).find_map(
            |n| {
                let plate = self.spelt(n + 1, 7);
                let british = plate.len() == 7
                    && plate[..2].chars().all(char::is_alphabetic)
                    && plate[2..4].chars().all(|c| c.is_ascii_digit());
                (plate.len() >= 5 && mixed(&plate))
                    .then(|| if british { format!("{} {}", &plate[..4], &plate[4..]) } else { plate })
            },
        )
    }

    /// What is written right after the first "registration", "plate" or the like that anything like a plate follows.
    fn announced_plate(&self) -> Option<String> {
        static PLATE: LazyLock<Regex> = LazyLock::new(|| {
            Regex::new(r"\b(?i:registration|registered|reg|rego|plate|number plate|license plate|licence plate)(?: (?i:number|mark|is|reads|as))*[:,]? ([A-Z0-9]{1,4}[ -]?[A-Z0-9]{2,4}(?:[ -]?[A-Z0-9]{1,3})?)\b").expect("a constant pattern")
        });
        const ANNOUNCES: [&str; 5] = ["registration", "registered", "reg", "rego", "plate"];
        const BETWEEN: [&str; 5] = ["number", "mark", "is", "reads", "as"];
        if !self.cased {
            return None;
        }
        let words = &self.narration.words;
        let plain = |at: usize| words[at].text.trim_end_matches([':', ',']);
        (0..words.len()).filter(|&at| ANNOUNCES.iter().any(|a| ends_with(plain(at), a))).find_map(|at| {
            // "number plate" is one word earlier; a plate is written as three words at most.
            let first = at.saturating_sub(1);
            let between = (at + 1..words.len()).take_while(|&n| BETWEEN.iter().any(|b| ends_with(plain(n), b))).count();
            let text = self.narration.quote(first, at + between + 4);
            let announced = text.match_indices(' ').nth(at - first).map_or(text.len(), |(space, _)| space);
            let found = PLATE.captures(&text).filter(|c| c.get(0).is_some_and(|all| all.start() < announced))?;
            Some(found[1].to_uppercase())
        })
    }

    /// The first word or two that look like a British plate, whatever stands before.
    fn bare_plate(&self) -> Option<String> {
        static BARE: LazyLock<Regex> =
            LazyLock::new(|| Regex::new(r"\b([A-Z]{2}[0-9]{2} ?[A-Z]{3})\b").expect("a constant pattern"));
        let words = self.narration.words.iter().enumerate();
        let coded =
            |text: &str| text.bytes().any(|b| b.is_ascii_digit()) && text.bytes().any(|b| b.is_ascii_uppercase());
        words
            .filter(|(_, w)| coded(&w.text))
            .find_map(|(at, _)| BARE.captures(&self.narration.quote(at, at + 1)).map(|c| c[1].to_string()))
    }

    /// A registration written between two stops: capitals and figures together, in one piece or two.
    fn plate_alone(&self, at: usize) -> Option<String> {
        let text = |n: usize| self.narration.words.get(n).map_or("", |w| w.text.as_str());
        let stops = |t: &str| t.ends_with(['.', ',', ';', ':']);
        let coded = |t: &str| !t.is_empty() && t.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
        if !self.cased || at == 0 || !stops(text(at - 1)) {
            return None;
        }
        let first = text(at);
        let plate = if stops(first) {
            bare(first).to_string()
        } else if stops(text(at + 1)) {
            format!("{} {}", first, bare(text(at + 1)))
        } else {
            return None;
        };
        let pieces: Vec<&str> = plate.split(' ').collect();
        let letters = plate.chars().filter(|c| c.is_ascii_uppercase()).count();
        let figures = plate.chars().filter(char::is_ascii_digit).count();
        let mixed = pieces.iter().any(|p| {
            p.chars().any(|c| c.is_ascii_digit()) && (pieces.len() > 1 || p.chars().any(|c| c.is_ascii_uppercase()))
        });
        let fits = pieces.iter().all(|p| coded(p)) && mixed && (5..=8).contains(&(letters + figures));
        (fits && letters >= 2 && figures >= 1 && letters + 1 >= figures).then_some(plate)
    }

    fn vin(&self) -> (Option<String>, Option<bool>) {
        static VIN: LazyLock<Regex> =
            LazyLock::new(|| Regex::new(r"\b([A-HJ-NPR-Z0-9]{17})\b").expect("a constant pattern"));
        let words = &self.narration.words;
        let figures = |v: &String| v.chars().any(|c| c.is_ascii_digit());
        // Written in one piece, and so as one word.
        let written = words
            .iter()
            .filter(|w| w.text.len() >= 17)
            .find_map(|w| VIN.captures(&w.text.to_uppercase()).map(|c| c[1].to_string()));
        let vin = written.filter(figures).or_else(|| {
            let announces = |text: &str| ["vin", "chassis"].iter().any(|a| bare(text).eq_ignore_ascii_case(a));
            (0..words.len())
                .filter(|&n| announces(&words[n].text))
                .map(|n| self.spelt(n + 1, 17))
                .find(|v| VIN.is_match(v) && figures(v))
        });
        let fits = vin.as_deref().map(vin_check);
        (vin, fits)
    }
}

/// Whether letters and figures stand together, as on most plates.
fn mixed(plate: &str) -> bool {
    plate.chars().any(|c| c.is_ascii_digit()) && plate.chars().any(char::is_alphabetic)
}

/// Whether a word ends so, in capitals or not.
fn ends_with(word: &str, ending: &str) -> bool {
    let mut letters = word.bytes().rev();
    ending.bytes().rev().all(|b| letters.next().is_some_and(|l| l.eq_ignore_ascii_case(&b)))
}

static DOTTED: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"^[0-9]{1,3}(?:\.[0-9]{3})+$").expect("a constant pattern"));

/// A word without what stands around it.
fn bare(word: &str) -> &str {
    // Most words are bare as they stand.
    if let (Some(first), Some(last)) = (word.bytes().next(), word.bytes().next_back())
        && first.is_ascii_alphanumeric()
        && last.is_ascii_alphanumeric()
    {
        return word;
    }
    word.trim_matches(|c: char| !c.is_alphanumeric())
}

/// A number below a hundred said in one word.
fn small(word: &str) -> Option<u32> {
    const UNITS: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    UNITS
        .iter()
        .position(|u| *u == word)
        .map(|v| v as u32)
        .or_else(|| TENS.iter().position(|t| *t == word).map(|v| v as u32 * 10 + 20))
}

/// The letter that a word of the spelling alphabet stands for.
fn phonetic(word: &str) -> Option<char> {
    const ALPHABET: [&str; 26] = [
        "alpha", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliet", "kilo", "lima",
        "mike", "november", "oscar", "papa", "quebec", "romeo", "sierra", "tango", "uniform", "victor", "whiskey",
        "xray", "yankee", "zulu",
    ];
    match word {
        "alfa" => Some('A'),
        "juliett" => Some('J'),
        "whisky" => Some('W'),
        "x-ray" => Some('X'),
        _ => ALPHABET.iter().position(|a| *a == word).map(|at| char::from(b'A' + at as u8)),
    }
}

fn tidy(words: &str) -> String {
    words
        .split_whitespace()
        .map(|w| w.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|w| !w.is_empty())
        .map(|w| {
            let mut chars = w.chars();
            match chars.next() {
                Some(c) => c.to_uppercase().chain(chars).collect::<String>(),
                None => String::new(),
            }
        })
        .collect::<Vec<_>>()
        .join(" ")
}

/// Whether a VIN's ninth character is the check digit of the others, by ISO 3779 and 49 CFR 565.15. Required in North
/// America only: elsewhere a mismatch is a question, not an error.
pub fn vin_check(vin: &str) -> bool {
    const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];
    let mut sum = 0;
    let mut stated = None;
    let mut length = 0;
    for (at, c) in vin.chars().enumerate() {
        let Some(weight) = WEIGHTS.get(at) else { return false };
        let value = match c.to_ascii_uppercase() {
            c @ '0'..='9' => c as u32 - '0' as u32,
            c @ 'A'..='H' => c as u32 - 'A' as u32 + 1,
            c @ 'J'..='N' => c as u32 - 'J' as u32 + 1,
            'P' => 7,
            'R' => 9,
            c @ 'S'..='Z' => c as u32 - 'S' as u32 + 2,
            _ => return false,
        };
        if at == 8 {
            stated = Some(c.to_ascii_uppercase());
        }
        sum += value * weight;
        length += 1;
    }
    let digit = match sum % 11 {
        10 => 'X',
        n => char::from_digit(n, 10).unwrap_or('?'),
    };
    length == 17 && stated == Some(digit)
}

#[cfg(test)]
mod tests {
    use super::vin_check;

    #[test]
    fn check_digits_of_the_standard() {
        // Made-up numbers with the digit reckoned by hand from the standard's table.
        for (vin, fits) in [
            ("1M8GDM9AXKP042788", true),
            ("1M8GDM9A1KP042788", false),
            ("11111111111111111", true),
            ("1111111111111111", false),
            ("IIIIIIIIIIIIIIIII", false),
        ] {
            assert_eq!(vin_check(vin), fits, "{vin}");
        }
    }
}
