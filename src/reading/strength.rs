//! How bad, how large, how many.
//!
//! Severity follows one stated rule, with its figures in vocabulary data (`[[strength]]`, `severity` of each defect,
//! `effect` of each hedge); sizes are spoken measures or likened objects, in millimetres.

use super::mentions::Mention;
use super::numbers::Spoken;
use crate::report::Severity;
use crate::vocabulary::entries::{Effect, GrammarClass as G, UnitKind, Where};
use crate::vocabulary::{Market, Meaning, Sense, Vocabulary};

/// A size said, and the mentions that say it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    pub first: usize,
    pub past: usize,
    pub mm: [f64; 2],
}

/// A depth of tread said, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    pub first: usize,
    pub past: usize,
    pub low: f64,
    pub high: f64,
    pub kind: UnitKind,
    pub unit: u16,
}

/// A number with its unit, if one begins at `at`.
#[inline]
pub fn measure(mentions: &[Mention], at: usize, vocabulary: &Vocabulary) -> Option<Measure> {
    // Most mentions are no number, and no unit stands at them or behind.
    let unit = |i: usize| mentions.get(i).is_some_and(|m| m.has(&[Meaning::Unit]));
    let any = mentions.get(at).is_some_and(|m| m.number.is_some()) || unit(at) || unit(at + 1);
    if any { measured(mentions, at, vocabulary) } else { None }
}

fn measured(mentions: &[Mention], at: usize, vocabulary: &Vocabulary) -> Option<Measure> {
    let unit_at = |i: usize| mentions.get(i).and_then(|m| m.entry(Meaning::Unit));
    let half = |i: usize| mentions.get(i).and_then(|m| m.number).is_some_and(|n| n.low == 0.5 && n.high == 0.5);
    // "inch and a half", with no number before it
    if let Some(unit) = unit_at(at).filter(|_| half(at + 1) && (at == 0 || mentions[at - 1].number.is_none())) {
        let kind = vocabulary.entries.unit[usize::from(unit)].kind;
        return Some(Measure { first: at, past: at + 2, low: 1.5, high: 1.5, kind, unit });
    }
    // "a fiver"
    if let Some(unit) = unit_at(at + 1).filter(|_| mentions[at].grammar(G::Determiner)) {
        let entry = &vocabulary.entries.unit[usize::from(unit)];
        if entry.kind == UnitKind::Money && entry.factor > 1.0 {
            let (low, high) = (entry.factor, entry.factor);
            return Some(Measure { first: at, past: at + 2, low, high, kind: entry.kind, unit });
        }
    }
    let number = mentions.get(at)?.number.filter(|n| !n.ordinal)?;
    let mut next = at + 1;
    let mut value = number;
    // "a fiver", "two tenners"
    let note = |u: u16| {
        let entry = &vocabulary.entries.unit[usize::from(u)];
        (entry.kind == UnitKind::Money && entry.factor > 1.0).then_some(entry.factor)
    };
    if let Some(factor) = unit_at(next).and_then(note) {
        let unit = unit_at(next)?;
        let (low, high) = (value.low * factor, value.high * factor);
        return Some(Measure { first: at, past: next + 1, low, high, kind: UnitKind::Money, unit });
    }
    // "half a metre", "a foot and a half"
    if mentions.get(next).is_some_and(|m| m.grammar(G::Determiner)) && unit_at(next + 1).is_some() && value.low < 1.0 {
        next += 1;
    }
    let unit = unit_at(next)?;
    let entry = &vocabulary.entries.unit[usize::from(unit)];
    let mut past = next + 1;
    if let Some(half) = mentions.get(past).and_then(|m| m.number).filter(|n| n.low == 0.5 && n.high == 0.5) {
        value.low += half.low;
        value.high += half.high;
        past += 1;
    }
    Some(Measure { first: at, past, low: value.low, high: value.high, kind: entry.kind, unit })
}

/// "forty by twenty centimetres": the longer way counts. Without a unit, as people of a market measure.
fn two_ways(mentions: &[Mention], at: usize, vocabulary: &Vocabulary) -> Option<Size> {
    let number = |i: usize| mentions.get(i)?.number.filter(|n| !n.ordinal && n.low == n.high && n.low >= 1.0);
    let (first, second) = (number(at)?, number(at + 2)?);
    let by = mentions.get(at + 1)?;
    if !(by.grammar(G::By) && by.width() == 1 && by.past - by.first == 1) || first.low == 4.0 && second.low == 4.0 {
        return None;
    }
    let unit =
        mentions.get(at + 3).and_then(|m| m.entry(Meaning::Unit)).map(|u| &vocabulary.entries.unit[usize::from(u)]);
    let factor = match (unit, vocabulary.market) {
        (Some(u), _) if u.kind == UnitKind::Length => u.factor,
        (Some(_), _) => return None,
        (None, Market::Us) => 25.4,
        (None, Market::Eu) => 10.0,
        (None, _) => return None,
    };
    let mm = first.low.max(second.low) * factor;
    Some(Size { first: at, past: at + 3 + usize::from(unit.is_some()), mm: [mm * 0.9, mm * 1.1] })
}

/// The size that begins at `at`: "three centimetres", "about as big as a plum", "fist-sized".
pub fn size(mentions: &[Mention], at: usize, vocabulary: &Vocabulary) -> Option<Size> {
    if let Some(size) = two_ways(mentions, at, vocabulary) {
        return Some(size);
    }
    if let Some(m) = measure(mentions, at, vocabulary) {
        if m.kind != UnitKind::Length {
            return None;
        }
        let about = mentions[at.saturating_sub(2)..at].iter().any(|m| is_about(m, vocabulary));
        // "a hundred millimetres above the handle": how far away it is, not how large
        let away = mentions.get(m.past).is_some_and(|m| m.grammar(G::From))
            || mentions.get(m.past).is_some_and(|by| {
                by.grammar(G::By)
                    && (by.grammar(G::Low) || mentions.get(m.past + 1).is_none_or(|n| !n.grammar(G::Determiner)))
            });
        if away && !about && !(at > 0 && mentions[at - 1].grammar(G::Of)) {
            return None;
        }
        let factor = vocabulary.entries.unit[usize::from(m.unit)].factor;
        let (mut low, mut high) = (m.low * factor, m.high * factor);
        // Written in digits to the millimetre, a size was measured; anything else is a glance, good to a tenth.
        if about || low == high {
            low *= 0.9;
            high *= 1.1;
        }
        return Some(Size { first: at, past: m.past, mm: [low, high] });
    }
    // "a foot", "an inch or so", "a metre long"
    let one = mentions[at].has(&[Meaning::Number]);
    if mentions[at].grammar(G::Determiner)
        && one
        && let Some(unit) = mentions.get(at + 1).and_then(|m| m.entry(Meaning::Unit))
        && vocabulary.entries.unit[usize::from(unit)].kind == UnitKind::Length
        && mentions[at + 1].width() <= 2
    {
        let entry = &vocabulary.entries.unit[usize::from(unit)];
        if matches!(entry.id.as_str(), "foot" | "inch" | "metre") {
            let mut value = 1.0;
            let mut past = at + 2;
            if mentions.get(past).and_then(|m| m.number).is_some_and(|n| n.low == 0.5) {
                value = 1.5;
                past += 1;
            }
            return Some(Size { first: at, past, mm: [value * entry.factor * 0.9, value * entry.factor * 1.1] });
        }
    }
    let object = mentions[at].entry(Meaning::Object)?;
    let mut before = at;
    let mut linked = false;
    let named = || mentions[at].part().is_some();
    while before > 0 && at - before < 5 {
        let m = &mentions[before - 1];
        if m.grammar(G::Likeness) {
            linked = true;
            break;
        }
        if !(m.any_grammar(&[G::Determiner, G::Of, G::Degree])
            || m.number.is_some()
            || m.has(&[Meaning::Hedge])
            || is_about(m, vocabulary)
            || m.any_grammar(&[G::It, G::Person]))
        {
            break;
        }
        before -= 1;
    }
    // "fist sized", "fist sort of size"
    let sized = (1..=2).find(|&n| mentions.get(at + n).is_some_and(|m| m.grammar(G::Sized))).filter(|&n| {
        n == 1 || mentions[at + 1].any_grammar(&[G::Degree]) || hedge(&mentions[at + 1], true, vocabulary).is_some()
    });
    // "a dent mid panel, golf ball": set beside the mark in notes, with nothing that makes it the cause
    let small = vocabulary.entries.object[usize::from(object)].mm[1] <= 60.0;
    let beside = small
        && !linked
        && sized.is_none()
        && !named()
        && mentions[..at].iter().rev().take(8).any(Mention::is_defect_noun)
        && at.checked_sub(1).is_some_and(|b| {
            let m = &mentions[b];
            !m.any_grammar(&[
                G::Determiner,
                G::From,
                G::With,
                G::By,
                G::Host,
                G::Along,
                G::Takes,
                G::Verb,
                G::And,
                G::Or,
                G::Not,
                G::Be,
                G::Have,
                G::There,
                G::Moves,
                G::Past,
            ]) && m.number.is_none()
                && !m.is_word()
        });
    if !linked && sized.is_none() && !beside {
        return None;
    }
    let past = at + 1 + sized.filter(|_| !linked).unwrap_or(0);
    let entry = &vocabulary.entries.object[usize::from(object)];
    let mut mm = entry.mm;
    if mentions[before.saturating_sub(1)..at].iter().any(|m| m.number.is_some_and(|n| n.low == 0.5)) {
        mm = [mm[0] / 2.0, mm[1] / 2.0];
    }
    Some(Size { first: if linked { before - 1 } else { at }, past, mm })
}

pub fn is_about(mention: &Mention, vocabulary: &Vocabulary) -> bool {
    mention
        .entries(Meaning::Number)
        .any(|n| vocabulary.entries.number[usize::from(n)].role == crate::vocabulary::entries::NumberRole::About)
}

pub fn count_of(number: Spoken) -> [u32; 2] {
    [number.low.max(0.0) as u32, number.high.max(0.0) as u32]
}

/// What was said of a fault's strength.
#[derive(Clone, Debug, Default)]
pub struct Said {
    /// Hedges by mention.
    pub hedges: Vec<(usize, Effect)>,
    pub size: Option<[f64; 2]>,
    pub count: Option<[u32; 2]>,
    /// The fault's own words say how far it went: "kerbed to bits", "worn through".
    pub far_gone: bool,
}

/// What a fault is and what it is on, for the rules that ask.
#[derive(Clone, Copy, Debug, Default)]
pub struct Nature {
    pub defect: Option<u16>,
    pub part: Option<u16>,
    pub host: Option<u16>,
}

/// The grade, by the rule stated in `vocab/base/strength.toml`.
pub fn severity(of: Nature, said: &Said, vocabulary: &Vocabulary) -> Severity {
    const SCALE: [Severity; 4] = [Severity::Trace, Severity::Light, Severity::Moderate, Severity::Heavy];
    let nature = of.defect.and_then(|d| vocabulary.entries.defect[usize::from(d)].severity);
    let born = nature.unwrap_or(Severity::Moderate) as i32;
    let has = |effect: Effect| said.hedges.iter().any(|(_, e)| *e == effect);
    let hedged = i32::from(has(Effect::Heavier) || said.far_gone) - i32::from(has(Effect::Lighter));
    // Hedges and sizes tell a light fault from a moderate one; "barely seen" and "as bad as it gets" have words of their
    // own, and what a rule says of certain faults may reach further.
    let (mut least, mut most) = (born.min(Severity::Light as i32), born.max(Severity::Moderate as i32));
    let mut steps = 0.0;
    let classed = |p: Option<u16>| p.map(|p| vocabulary.classed(p));
    for (rule, faults) in vocabulary.entries.strength.iter().zip(&vocabulary.strength_for) {
        let measured = rule.below_mm > 0.0 || rule.from_mm > 0.0 || rule.from_count > 0;
        let by_size = said.size.is_some_and(|[low, high]| {
            rule.below_mm > 0.0 && high <= rule.below_mm || rule.from_mm > 0.0 && low >= rule.from_mm
        });
        let by_count = said.count.is_some_and(|[low, _]| rule.from_count > 0 && low >= rule.from_count);
        if (by_size || by_count || !measured) && faults.holds(of.defect, classed(of.part), classed(of.host)) {
            steps += rule.steps;
            least = rule.least.map_or(least, |l| l as i32);
            most = rule.most.map_or(most, |m| m as i32);
        }
    }
    let mut grade = (born + hedged + steps.round() as i32).min(most).max(least);
    if has(Effect::Trace) {
        grade = 0;
    }
    if has(Effect::Heavy) {
        grade = 3;
    }
    SCALE[grade.clamp(0, 3) as usize]
}

/// What a hedge does, where the mention is one that may stand on that side of a fault.
pub fn hedge(mention: &Mention, before: bool, vocabulary: &Vocabulary) -> Option<Effect> {
    mention.find(|s| match s {
        Sense::Hedge(h) => {
            let entry = &vocabulary.entries.hedge[usize::from(h)];
            let side_fits = match entry.r#where {
                Where::Either => true,
                Where::Before => before,
                Where::After => !before,
            };
            side_fits.then_some(entry.effect)
        }
        _ => None,
    })
}
