//! Facts of the vehicle: make, model, year, distance, fuel, gearbox, colour, registration, VIN.
//!
//! Only what was said. Facts are given at the start of a walk-round as a rule, so what is said there counts most; where a
//! speaker corrects himself the later figure stands.

use std::sync::LazyLock;

use regex::Regex;

use super::clauses::Clauses;
use super::mentions::Mention;
use super::strength;
use super::tokens::Token;
use crate::narration::Narration;
use crate::report::{DistanceUnit, Hand, Odometer, Vehicle};
use crate::vocabulary::entries::{GrammarClass as G, UnitKind};
use crate::vocabulary::{Sense, Vocabulary};

/// Facts are looked for in this many mentions from the start, and a spoken distance in twice as many.
const OPENING: usize = 90;

pub fn vehicle(
    narration: &Narration,
    tokens: &[Token],
    mentions: &[Mention],
    clauses: &Clauses,
    vocabulary: &Vocabulary,
    steering: Hand,
) -> Vehicle {
    let finder = Finder { narration, tokens, mentions, vocabulary };
    let _ = clauses;
    let mut vehicle = Vehicle { steering, ..Default::default() };
    let (make, model) = finder.make_and_model();
    vehicle.make = make;
    vehicle.model = model;
    vehicle.year = finder.year();
    vehicle.odometer = finder.odometer();
    vehicle.fuel = finder.first(|s| if let Sense::Fuel(f) = s { Some(vocabulary.entries.fuel[usize::from(f)].label.clone()) } else { None });
    vehicle.gearbox =
        finder.first(|s| if let Sense::Gearbox(f) = s { Some(vocabulary.entries.gearbox[usize::from(f)].label.clone()) } else { None });
    vehicle.colour = finder.colour();
    (vehicle.vin, vehicle.vin_check) = finder.vin();
    vehicle.registration = finder.registration();
    vehicle
}

struct Finder<'a, 'v> {
    narration: &'a Narration,
    tokens: &'a [Token],
    mentions: &'a [Mention<'v>],
    vocabulary: &'v Vocabulary,
}

impl Finder<'_, '_> {
    fn opening(&self) -> usize {
        self.mentions.len().min(OPENING)
    }

    fn first<T>(&self, pick: impl Fn(Sense) -> Option<T> + Copy) -> Option<T> {
        self.mentions[..self.opening()].iter().find_map(|m| m.find(pick))
    }

    fn words(&self, first: usize, past: usize) -> String {
        let a = self.tokens[self.mentions[first].first as usize].word as usize;
        let b = self.tokens[self.mentions[past - 1].past as usize - 1].word as usize;
        self.narration.quote(a, b)
    }

    /// A known make or model, or the unknown words after "this is a …".
    fn make_and_model(&self) -> (Option<String>, Option<String>) {
        let v = self.vocabulary;
        for m in &self.mentions[..self.opening()] {
            if let Some(model) = m.find(|s| if let Sense::Model(n) = s { Some(n) } else { None }) {
                let model = &v.entries.model[usize::from(model)];
                let make = v.entries.make.iter().find(|k| k.id == model.make).map(|k| k.label.clone());
                return (make, Some(model.label.clone()));
            }
        }
        for at in 0..self.opening() {
            if let Some(make) = self.mentions[at].find(|s| if let Sense::Make(n) = s { Some(n) } else { None }) {
                let past = self.name_end(at + 1);
                let model = (past > at + 1).then(|| tidy(&self.words(at + 1, past)));
                return (Some(v.entries.make[usize::from(make)].label.clone()), model);
            }
        }
        // Two unknown words in a row near the start, best after "this is a", "a", "the".
        let mut best: Option<(usize, usize, i32)> = None;
        for at in 0..self.opening() {
            if !self.is_name(at) || at > 0 && self.is_name(at - 1) {
                continue;
            }
            let past = self.name_end(at);
            if past < at + 2 {
                continue;
            }
            let before = at.checked_sub(1).map(|b| &self.mentions[b]);
            let mut worth = 10 - at as i32 / 6;
            if before.is_none_or(|m| m.grammar(G::Determiner) || m.number.is_some() || m.find(|s| matches!(s, Sense::Colour(_)).then_some(())).is_some()) {
                worth += 6;
            }
            let shown = (at.saturating_sub(6)..at).any(|n| self.mentions[n].any_grammar(&[G::Be, G::It, G::There]));
            if shown {
                worth += 3;
            }
            if best.is_none_or(|b| worth > b.2) {
                best = Some((at, past, worth));
            }
        }
        match best {
            Some((first, past, _)) => {
                (Some(tidy(&self.words(first, first + 1))), Some(tidy(&self.words(first + 1, past))))
            }
            None => (None, None),
        }
    }

    /// A word that no entry knows and that could be a name.
    fn is_name(&self, at: usize) -> bool {
        self.mentions.get(at).is_some_and(|m| {
            m.is_word() && {
                let text = &self.narration.words[self.tokens[m.first as usize].word as usize].text;
                text.len() > 2 && text.chars().next().is_some_and(char::is_alphabetic)
            }
        })
    }

    /// Where a name that begins at `at` ends: unknown words, then perhaps a number or a letter that belongs to it.
    fn name_end(&self, mut at: usize) -> usize {
        let first = at;
        while at < self.mentions.len() && self.is_name(at) && at - first < 3 {
            at += 1;
        }
        if at > first
            && let Some(m) = self.mentions.get(at)
            && (m.number.is_some_and(|n| n.low < 1000.0 && !n.ordinal && !n.vague)
                && strength::measure(self.mentions, at, self.vocabulary).is_none()
                && !self.mentions.get(at + 1).is_some_and(|n| n.find(|s| matches!(s, Sense::Unit(_)).then_some(())).is_some())
                || m.len() == 1 && self.text(at).trim_matches(|c: char| !c.is_alphanumeric()).len() == 1 && m.is_word())
        {
            at += 1;
        }
        at
    }

    fn text(&self, at: usize) -> &str {
        &self.narration.words[self.tokens[self.mentions[at].first as usize].word as usize].text
    }

    fn year(&self) -> Option<u16> {
        self.mentions[..self.opening()].iter().enumerate().find_map(|(at, m)| {
            let n = m.number?;
            let year = n.low == n.high && (1920.0..=2035.0).contains(&n.low) && n.low.fract() == 0.0;
            let unit = self.mentions.get(at + 1).is_some_and(|m| m.find(|s| matches!(s, Sense::Unit(_)).then_some(())).is_some());
            (year && !unit).then_some(n.low as u16)
        })
    }

    fn odometer(&self) -> Option<Odometer> {
        let reach = self.mentions.len().min(OPENING * 2);
        let home = match self.vocabulary.facts.distance.as_str() {
            "km" => DistanceUnit::Kilometres,
            _ => DistanceUnit::Miles,
        };
        let mut found: Option<(usize, Odometer, bool)> = None;
        for at in 0..reach {
            let Some(n) = self.mentions[at].number.filter(|n| !n.ordinal && !n.vague) else { continue };
            let unit = self.mentions.get(at + 1).and_then(|m| m.find(|s| if let Sense::Unit(u) = s { Some(u) } else { None }));
            let unit = unit.map(|u| &self.vocabulary.entries.unit[usize::from(u)]);
            let (spoken_unit, sure) = match unit {
                Some(u) if u.kind == UnitKind::Distance => (Some(if u.id == "mile" { DistanceUnit::Miles } else { DistanceUnit::Kilometres }), true),
                Some(_) => continue,
                None => (None, false),
            };
            let mut value = n.high;
            let near = |a: usize, b: usize| self.mentions[a..b.min(self.mentions.len())].iter().any(|m| m.grammar(G::Odometer) || m.find(|s| matches!(s, Sense::Unit(u) if self.vocabulary.entries.unit[usize::from(u)].kind == UnitKind::Distance).then_some(())).is_some());
            let context = sure || near(at.saturating_sub(6), at) || near(at + 1, at + 7);
            if !context {
                continue;
            }
            // "one oh three five": tenths of thousands
            if !sure && (1000.0..2100.0).contains(&value) && self.mentions[at].len() >= 4 {
                value *= 100.0;
            }
            if value < 500.0 || value > 2_000_000.0 || !sure && value < 2100.0 {
                continue;
            }
            let odometer = Odometer { value: value as u32, unit: spoken_unit.unwrap_or(home) };
            match found {
                // A figure right after another corrects it.
                Some((last, _, was_sure)) if at - last <= 8 && (sure || !was_sure) => found = Some((at, odometer, sure)),
                Some((_, _, false)) if sure => found = Some((at, odometer, sure)),
                Some(_) => {}
                None => found = Some((at, odometer, sure)),
            }
        }
        found.map(|(_, o, _)| o)
    }

    fn colour(&self) -> Option<String> {
        let at = (0..self.opening()).find(|&at| {
            self.mentions[at].find(|s| if let Sense::Colour(c) = s { Some(c) } else { None }).is_some_and(|c| {
                !self.vocabulary.entries.colour[usize::from(c)].weak || self.mentions.get(at + 1).is_some_and(|m| m.find(|s| matches!(s, Sense::Colour(_)).then_some(())).is_some())
            })
        })?;
        let mut past = at + 1;
        while self.mentions.get(past).is_some_and(|m| m.find(|s| matches!(s, Sense::Colour(_)).then_some(())).is_some()) && past - at < 3 {
            past += 1;
        }
        Some(tidy(&self.words(at, past)).to_lowercase())
    }

    fn letters(&self) -> String {
        self.narration.words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ")
    }

    fn registration(&self) -> Option<String> {
        static PLATE: LazyLock<Regex> = LazyLock::new(|| {
            Regex::new(r"(?i)\b(?:registration|reg|rego|plate|number plate|license plate|licence plate)(?: (?:number|mark|is|reads))?[:,]? ([A-Z0-9]{1,4}[ -]?[A-Z0-9]{2,4}(?:[ -]?[A-Z0-9]{1,3})?)\b").expect("a constant pattern")
        });
        static BARE: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"\b([A-Z]{2}[0-9]{2} ?[A-Z]{3})\b").expect("a constant pattern"));
        let text = self.letters();
        let found = PLATE
            .captures(&text)
            .map(|c| c[1].to_uppercase())
            .filter(|p| p.chars().any(|c| c.is_ascii_digit()) && p.chars().any(char::is_alphabetic))
            .or_else(|| BARE.captures(&text).map(|c| c[1].to_string()));
        found.map(|p| p.trim().to_string())
    }

    fn vin(&self) -> (Option<String>, Option<bool>) {
        static VIN: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"\b([A-HJ-NPR-Z0-9]{17})\b").expect("a constant pattern"));
        let text = self.letters().to_uppercase();
        match VIN.captures(&text) {
            Some(c) if c[1].chars().any(|c| c.is_ascii_digit()) => (Some(c[1].to_string()), Some(vin_check(&c[1]))),
            _ => (None, None),
        }
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
