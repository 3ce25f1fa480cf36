//! Whether a fault bears on the safe use of the vehicle: what its part and its own nature tell, and what
//! `vocab/base/safety.toml` says of certain faults. Nothing said of how slight it is changes that.

use super::strength::Nature;
use super::*;
use crate::vocabulary::entries::{Before, SaidSide};

impl Reader<'_, '_> {
    pub(super) fn nature(&self, draft: &Draft) -> Nature {
        let placed = draft.bearer.map(|b| b.placed);
        Nature { defect: draft.defect, part: placed.and_then(|p| p.part), host: placed.and_then(|p| p.host) }
    }

    pub(super) fn bears_on_safety(&self, draft: &Draft) -> bool {
        draft.safety || self.bears_by_rule(self.safety_rule(draft), draft)
    }

    /// The same where the entry that speaks of this fault, or that none does, is known.
    pub(super) fn bears_by_rule(&self, rule: Option<usize>, draft: &Draft) -> bool {
        match rule {
            Some(rule) => !self.vocabulary.entries.safety[rule].clear,
            None => {
                draft.defect.is_some_and(|d| self.vocabulary.entries.defect[usize::from(d)].safety)
                    || draft.bearer.is_some_and(|b| self.joiner().safety(&b.placed))
            }
        }
    }

    /// The last entry that speaks of this fault.
    pub(super) fn safety_rule(&self, draft: &Draft) -> Option<usize> {
        let v = self.vocabulary;
        let of = self.nature(draft);
        let end = draft.bearer.and_then(|b| b.placed.end);
        let classed = |p: Option<u16>| p.map(|p| v.classed(p));
        v.entries.safety.iter().zip(&v.safety_for).rposition(|(rule, faults)| {
            faults.holds(of.defect, classed(of.part), classed(of.host))
                && (!rule.partless || of.part.is_none())
                && (rule.below_mm == 0.0 || draft.said.size.is_some_and(|s| s[1] <= rule.below_mm))
                && rule.end.is_none_or(|e| end == Some(e))
                && rule.before.is_none_or(|b| b == self.before_whom(draft))
        })
    }

    /// Whose view the words around a fault put it in.
    fn before_whom(&self, draft: &Draft) -> Before {
        let clause = &self.clauses.list[draft.clause];
        // The place is often told in a clause of its own, before another part is spoken of.
        let mut past = clause.past;
        for next in &self.clauses.list[draft.clause + 1..] {
            let moved = next.opening == Opening::Move
                || next.phrases.clone().any(|n| {
                    self.clauses.phrases[n].governed == Governed::Free && self.places.placed[n].part.is_some()
                });
            if moved || past - draft.past > 16 {
                break;
            }
            past = next.past;
        }
        let mut told = Before::Unsaid;
        for m in &self.mentions[clause.first..past] {
            let side = m.place().and_then(|p| self.vocabulary.entries.place[usize::from(p)].side);
            if m.grammar(G::InView) {
                return Before::Driver;
            }
            if m.grammar(G::OutOfView) {
                return Before::Passenger;
            }
            told = match side {
                Some(SaidSide::Driver) => Before::Driver,
                Some(SaidSide::Passenger) => Before::Passenger,
                _ => told,
            };
        }
        if told == Before::Unsaid
            && let Some(side) = draft.bearer.filter(|b| b.placed.side_how == How::Said).and_then(|b| b.placed.side)
        {
            let drivers = self.sides.hand(SaidSide::Driver, &self.places.walks[draft.clause]).map(Side::from);
            told = match side {
                Side::Left | Side::Right if Some(side) == drivers => Before::Driver,
                Side::Left | Side::Right => Before::Passenger,
                _ => told,
            };
        }
        told
    }
}
