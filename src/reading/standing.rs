//! Fourth pass: each statement's standing.
//!
//! The words of a fault do not make it one: "no rust", "they all rust", "it was rusty before it was welded", "if it was
//! rusty I'd say". Triggers, their direction and their reach are vocabulary (`[[standing]]`); how their scopes end is here.
//! Without a trigger a fault is asserted.

use super::clauses::{Clause, Clauses, Opening};
use super::mentions::Mention;
use crate::report::{Certainty, Standing};
use crate::vocabulary::entries::{GrammarClass as G, Means, Reach};
use crate::vocabulary::{Meaning, Vocabulary};

/// A standing with the mention that decided it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    pub standing: Standing,
    pub trigger: Option<usize>,
    pub certainty: Certainty,
    pub doubt: Option<usize>,
}

impl Verdict {
    /// As everything stands that nothing speaks against.
    pub const ASSERTED: Verdict =
        Verdict { standing: Standing::Asserted, trigger: None, certainty: Certainty::Stated, doubt: None };
}

/// How far "not" reaches, in mentions.
const NOT_REACHES: usize = 4;
/// How far any other denial reaches where its entry does not say.
const DENIAL_REACHES: usize = 9;

pub struct Judge<'a, 'v> {
    pub mentions: &'a [Mention<'v>],
    pub clauses: &'a Clauses,
    pub vocabulary: &'v Vocabulary,
}

/// The clause ahead of this one.
fn ahead_of<'c>(list: &'c [Clause], clause: &Clause) -> Option<&'c Clause> {
    list.iter().find(|before| before.past == clause.first)
}

impl<'v> Judge<'_, 'v> {
    fn trigger(&self, at: usize) -> Option<&'v crate::vocabulary::entries::Standing> {
        self.mentions[at].entry(Meaning::Standing).map(|n| &self.vocabulary.entries.standing[usize::from(n)])
    }

    pub fn means(&self, at: usize) -> Option<Means> {
        self.trigger(at).map(|t| t.means)
    }

    /// The triggers of a clause, with their mentions.
    fn triggers(&self, clause: &Clause) -> impl Iterator<Item = (usize, &'v crate::vocabulary::entries::Standing)> {
        clause.having(&[Meaning::Standing]).filter_map(|at| Some((at, self.trigger(at)?)))
    }

    /// The first mention in the clause whose trigger means this.
    pub fn in_clause(&self, clause: &Clause, means: Means) -> Option<usize> {
        self.triggers(clause).find(|(_, trigger)| trigger.means == means).map(|(at, _)| at)
    }

    /// The standing of what is said at mention `at` of clause number `number`.
    pub fn judge(&self, number: usize, at: usize) -> Verdict {
        let clause = &self.clauses.list[number];
        let mut verdict = Verdict::ASSERTED;
        let set = |standing, trigger| Verdict { standing, trigger: Some(trigger), ..verdict };
        if let Some(t) = self.denial(clause, at) {
            return set(Standing::Denied, t);
        }
        if let Some(t) = self.hypothetical(number, at) {
            return set(Standing::Hypothetical, t);
        }
        if let Some(t) = self.general(number, at) {
            return set(Standing::General, t);
        }
        if let Some(t) = self.fixed(number, at) {
            return set(Standing::Fixed, t);
        }
        for (t, trigger) in self.triggers(clause) {
            let certainty = match trigger.means {
                Means::Doubt if !self.measures(t + 1) => Certainty::Possible,
                Means::Hearsay => Certainty::Likely,
                _ => continue,
            };
            if t.abs_diff(at) <= 10 && certainty < verdict.certainty {
                verdict.certainty = certainty;
                verdict.doubt = Some(t);
            }
        }
        // "I think there's …": doubt said ahead, in a clause with nothing else
        if verdict.doubt.is_none()
            && let Some(before) = number.checked_sub(1).map(|b| &self.clauses.list[b])
            && before.past - before.first <= 4
            && before.phrases.is_empty()
        {
            for (t, trigger) in self.triggers(before) {
                let certainty = match trigger.means {
                    Means::Doubt => Certainty::Possible,
                    Means::Hearsay => Certainty::Likely,
                    _ => continue,
                };
                verdict.certainty = certainty;
                verdict.doubt = Some(t);
            }
        }
        // "…might be a wheel bearing": doubt in a clause of its own, right after
        if verdict.doubt.is_none()
            && let Some(next) = self.clauses.list.get(number + 1)
            && matches!(next.opening, Opening::It | Opening::But | Opening::Person | Opening::So)
            && !self.mentions[next.first..next.past].iter().any(Mention::is_defect)
            && let Some(t) = self.in_clause(next, Means::Doubt)
            && next.phrases.is_empty()
        {
            verdict.certainty = Certainty::Possible;
            verdict.doubt = Some(t);
        }
        verdict
    }

    /// "maybe ten inches", "maybe the size of a plum": how large, not whether.
    fn measures(&self, at: usize) -> bool {
        self.mentions.get(at).is_some_and(|m| m.number.is_some() || m.grammar(G::Likeness) || m.has(&[Meaning::Object]))
    }

    /// The denial that covers mention `at`, if one does.
    pub fn denial(&self, clause: &Clause, at: usize) -> Option<usize> {
        if clause.having(&[Meaning::Standing]).is_empty() && !clause.any_grammar(&[G::Not]) {
            return None;
        }
        for t in (clause.first..at).rev() {
            let (denies, within) = match self.trigger(t) {
                Some(trigger) if trigger.means == Means::Denied && trigger.reaches != Reach::Before => {
                    (true, trigger.within.unwrap_or(DENIAL_REACHES))
                }
                Some(trigger) if trigger.means == Means::NotDenied || trigger.means == Means::Exception => return None,
                _ => (self.mentions[t].grammar(G::Not), NOT_REACHES),
            };
            // "no, the varnish is …": an answer, not a denial of what follows
            let answers = self
                .mentions
                .get(t + 1)
                .is_some_and(|m| m.any_grammar(&[G::Determiner, G::It, G::There, G::Person]) && !m.is_defect())
                && self.mentions[t].width() == 1
                && !self.mentions[t].grammar(G::Not);
            if denies && !answers && self.reaches(t, at, within) {
                return Some(t);
            }
        }
        // "water inside, no": an answer at the end of what it answers
        let last = clause.past - 1;
        // "is the | clutch slipping not at all"
        let asked = clause.opening == Opening::Subject
            && ahead_of(&self.clauses.list, clause).is_some_and(|before| {
                before.past - before.first == 1 && self.mentions[before.first].any_grammar(&[G::Be, G::Have])
            });
        let next_opens = self.clauses.list.iter().find(|next| next.first == clause.past).map(|next| next.opening);
        if last > at
            && (last - at <= 2
                // "any smoke out the back? no"
                || last - at <= 5
                    && self.mentions[at].is_defect_noun()
                    && !self.mentions[at..last].iter().any(|m| m.any_grammar(&[G::Be, G::Have, G::And, G::But]))
                    && !clause.any_grammar(&[G::There])
                    && next_opens != Some(Opening::Cue))
            && (self.mentions[last].width() == 1 || asked)
            && !self.mentions[last].has(&[Meaning::Praise])
            && self.trigger(last).is_some_and(|t| t.means == Means::Denied && t.reaches == Reach::After)
            && !self.mentions[at + 1..last].iter().any(|m| m.is_defect() && !m.any_grammar(&[G::Host, G::Along]))
        {
            return Some(last);
        }
        // the "on" of "rust on the subframe" says where
        let told = |m: &Mention| m.is_defect() && !m.any_grammar(&[G::Host, G::Along]);
        for t in at + 1..clause.past {
            match self.trigger(t) {
                Some(trigger) if trigger.means == Means::Denied && trigger.reaches != Reach::After => {
                    let within = trigger.within.unwrap_or(4);
                    if t - at <= within && !self.mentions[at + 1..t].iter().any(told) {
                        return Some(t);
                    }
                }
                _ => {
                    if told(&self.mentions[t]) {
                        break;
                    }
                }
            }
        }
        None
    }

    /// Whether a denial at `t` still holds at `at`: it covers the first fault after it, and further ones only where
    /// "or", "nor", "and" or mere listing joins them.
    fn reaches(&self, t: usize, at: usize, within: usize) -> bool {
        let mut distance = 0;
        let mut since_defect = false;
        let mut turned = false;
        for m in &self.mentions[t + 1..at] {
            if m.is_defect() {
                since_defect = true;
                distance = 0;
                turned = false;
                continue;
            }
            let joins = m.any_grammar(&[G::Or, G::And, G::Determiner]) || m.has(&[Meaning::Hedge]);
            if since_defect && !joins {
                // "no rust on the sill or the arch, dent above": places may follow, then only an "or" carries on
                turned = true;
            }
            if turned && m.grammar(G::Or) {
                turned = false;
            }
            if m.any_grammar(&[G::But, G::There]) || m.grammar(G::Have) && since_defect {
                return false;
            }
            distance += 1;
        }
        // "not perforated, blistered": a denied condition ends with itself unless "or" goes on
        let by_not = self.mentions[t].grammar(G::Not)
            && since_defect
            && !self.mentions[..at].last().is_some_and(|m| m.any_grammar(&[G::Or, G::Determiner]))
            && !self.mentions[t + 1..at].iter().any(|m| m.grammar(G::Or));
        if by_not {
            return false;
        }
        let hedged = since_defect
            && self.mentions[..at].last().is_some_and(|m| m.has(&[Meaning::Hedge]))
            && !self.mentions[t + 1..at].iter().rev().take(3).any(|m| m.grammar(G::Or));
        distance < within.max(1) && !turned && !hedged
    }

    fn hypothetical(&self, number: usize, at: usize) -> Option<usize> {
        let clause = &self.clauses.list[number];
        for (t, trigger) in self.triggers(clause) {
            if trigger.means == Means::Hypothetical && (!trigger.opens || self.opens(clause, t)) {
                let ahead =
                    t < at && trigger.reaches != Reach::Before && trigger.within.is_none_or(|within| at - t <= within);
                let behind = t > at && trigger.reaches != Reach::After;
                if ahead || behind {
                    return Some(t);
                }
            }
        }
        // "I was going to say | that's loose": said, but not so
        if let Some(before) = number.checked_sub(1).map(|n| &self.clauses.list[n])
            && matches!(clause.opening, Opening::It | Opening::Person | Opening::There)
            && before.past - before.first <= 3
            && self
                .trigger(before.past - 1)
                .is_some_and(|t| t.means == Means::Hypothetical && t.reaches != Reach::Before)
        {
            return Some(before.past - 1);
        }
        // "had the | frame been bent", "if you leave | the door loose"
        if clause.opening == Opening::Subject
            && let Some(before) = number.checked_sub(1).map(|n| &self.clauses.list[n])
            && self.trigger(before.past - 1).is_some_and(|t| t.means == Means::Hypothetical && t.reaches == Reach::After)
            // "I've had the hose on it"
            && (before.past - 1 == before.first
                || self.trigger(before.past - 1).is_some_and(|t| !t.opens)
                || !self.mentions[before.past - 2].any_grammar(&[G::Person, G::It, G::Be, G::Have])
                    && self.clauses.phrase_at(before.past - 2).is_none())
        {
            return Some(before.past - 1);
        }
        // "if the lads had bent anything, they'd have told me"
        let would = self
            .clauses
            .list
            .get(number + 1)
            .is_some_and(|next| self.mentions[next.first..next.past].iter().take(4).any(|m| m.grammar(G::Modal)));
        let set = clause.first;
        // "had the frame been bent, this would be refused"
        let inverted = self.mentions[set].any_grammar(&[G::Be, G::Have, G::Modal])
            && self.mentions.get(set + 1).is_some_and(|m| m.any_grammar(&[G::Determiner, G::It, G::There]));
        if clause.opening == Opening::When
            && (clause.past_tense || inverted)
            && would
            && (inverted || self.trigger(set).is_some_and(|t| t.means == Means::Hypothetical))
        {
            return Some(set);
        }
        self.follows_from(number)
    }

    /// "…you'd hear it rattle": what would follow from a condition just set.
    fn follows_from(&self, number: usize) -> Option<usize> {
        let clause = &self.clauses.list[number];
        let before = &self.clauses.list[number.checked_sub(1)?];
        let would = self.mentions[clause.first..clause.past].iter().take(4).any(|m| m.grammar(G::Modal));
        if !(would && matches!(clause.opening, Opening::Person | Opening::It | Opening::Subject)) {
            return None;
        }
        let set = (before.first..before.past).find(|&t| {
            self.trigger(t).is_some_and(|g| g.means == Means::Hypothetical)
                && (self.opens(before, t) || t == before.first)
        });
        // "had the | mounts been torn, | this one would be in bits"
        set.or_else(|| {
            (before.opening == Opening::Subject).then(|| self.hypothetical(number - 1, before.past - 1)).flatten()
        })
    }

    /// Whether nothing but small words stands before `t` in its clause, and nobody is asked to look ("if you look").
    fn opens(&self, clause: &Clause, t: usize) -> bool {
        let lead = self.mentions[clause.first..t]
            .iter()
            .all(|m| m.any_grammar(&[G::And, G::But, G::So, G::Then, G::Marker, G::When, G::Degree]));
        lead && !self.mentions.get(t + 1).is_some_and(|m| m.grammar(G::Person))
    }

    fn general(&self, number: usize, at: usize) -> Option<usize> {
        let clause = &self.clauses.list[number];
        let mut found = None;
        // "people will tell you | these tanks rust"
        if let Some(before) = number.checked_sub(1).map(|n| &self.clauses.list[n])
            && clause.opening == Opening::Subject
            && before.past - before.first <= 3
        {
            let last = before.past - 1;
            found = (self.means(last) == Some(Means::General)
                && self.trigger(last).is_some_and(|t| t.reaches == Reach::Clause))
            .then_some(last);
        }
        // "check the sills on these for rust", "the edges chip on these": on vehicles like this one
        let named = clause.phrases.start < clause.phrases.end;
        for t in clause.first + 1..clause.past {
            let like_this = named
                && self.mentions[t].grammar(G::Like)
                && self.mentions[t - 1].any_grammar(&[G::Host, G::With])
                // not "some on them"
                && (self.mentions[t.max(2) - 2].is_defect() || self.clauses.phrase_at(t.max(2) - 2).is_some())
                && self.clauses.phrase_at(t).is_none()
                && (t + 1 == clause.past
                    || !self.mentions[t + 1].is_word()
                    // "look at the floors on these for rot"
                    || self.mentions.get(t + 2).is_some_and(Mention::is_defect));
            if like_this {
                found = Some(t);
            }
        }
        for (t, trigger) in self.triggers(clause) {
            match trigger.means {
                Means::General => found = Some(t),
                Means::Contrast if t < at => found = None,
                _ => {}
            }
        }
        found
    }

    /// "it leaked": told as what happened, with no "is" or "has".
    fn once(&self, clause: &Clause, at: usize) -> bool {
        let m = &self.mentions[at];
        at > clause.first
            && m.width() == 1
            && m.is_defect_state()
            && (self.mentions[at - 1].grammar(G::It) || self.clauses.phrase_at(at - 1).is_some())
    }

    fn fixed(&self, number: usize, at: usize) -> Option<usize> {
        let clause = &self.clauses.list[number];
        for (t, trigger) in self.triggers(clause) {
            if trigger.means == Means::Fixed {
                let ahead =
                    t < at && trigger.reaches != Reach::Before && trigger.within.is_none_or(|within| at - t <= within);
                let behind = t > at && trigger.reaches != Reach::After;
                if ahead || behind {
                    return Some(t);
                }
            }
        }
        for (t, trigger) in self.triggers(clause) {
            if trigger.means == Means::Mended && (clause.past_tense || self.once(clause, at)) {
                let ahead = t < at && trigger.reaches == Reach::After && at - t <= trigger.within.unwrap_or(6);
                let behind = t > at && trigger.reaches == Reach::Before;
                if ahead || behind {
                    return Some(t);
                }
            }
        }
        // "… changed because | they were grinding"
        if clause.past_tense
            && clause.opening == Opening::It
            && let Some(before) = number.checked_sub(1).map(|n| &self.clauses.list[n])
            && self.trigger(before.past - 1).is_some_and(|t| t.means == Means::Fixed && t.reaches == Reach::After)
        {
            return Some(before.past - 1);
        }
        // "…because the old one was cracked"
        if clause.opening == Opening::Because
            && clause.past_tense
            && let Some(before) = number.checked_sub(1)
            && let Some(t) = self.in_clause(&self.clauses.list[before], Means::Fixed)
        {
            return Some(t);
        }
        // "it had a chip, but that's been filled"
        // What only tells when, or begins, is stepped over.
        let telling = (number + 1..self.clauses.list.len()).take(6).filter(|&next| {
            let later = &self.clauses.list[next];
            let leads =
                later.past - later.first <= 2 && matches!(later.opening, Opening::So | Opening::But | Opening::Then);
            let mends = [Means::Fixed, Means::Mended].iter().any(|&means| self.in_clause(later, means).is_some());
            !((leads || later.opening == Opening::When && later.phrases.is_empty()) && !mends)
        });
        for next in telling.take(2) {
            let later = &self.clauses.list[next];
            let own_subject = later.phrases.clone().any(|p| {
                let phrase = &self.clauses.phrases[p];
                let named = phrase.part.is_some() && phrase.points.is_none();
                // "… yellow, right one's been replaced": another of them
                let another = phrase.points.is_some() && phrase.side.is_some();
                phrase.governed == super::clauses::Governed::Free && (named || another)
            }) && later.opening == Opening::Subject;
            let refers = later.joined
                || matches!(
                    later.opening,
                    Opening::It | Opening::But | Opening::So | Opening::Which | Opening::Person | Opening::Then
                )
                // "it was bent before"
                || later.opening == Opening::When && later.past - later.first == 1;
            let told_anew = self.mentions[later.first..later.past].iter().any(Mention::is_defect);
            if clause.past_tense
                && (refers || own_subject)
                && let Some(t) = (later.first..later.past)
                    .find(|&t| self.trigger(t).is_some_and(|g| g.means == Means::Mended && g.reaches == Reach::Before))
            {
                return Some(t);
            }
            // "… came on in June, and it was a bad clip, the dealer fixed that"
            if clause.past_tense
                && !own_subject
                && refers
                && let Some(t) = self.in_clause(later, Means::Fixed)
            {
                return Some(t);
            }
            if own_subject || told_anew {
                break;
            }
            if let Some(t) = self.in_clause(later, Means::Fixed)
                && (clause.past_tense || refers && next == number + 1)
            {
                return Some(t);
            }
        }
        None
    }
}
