//! Joining: which part is a fault, a praise or a function said of.
//!
//! Every phrase that could bear it is scored by how the sentence ties the two together, then the part carried over from
//! the statements before; the best wins and the margin is kept, so that an unsure choice can be shown as one.

use super::clauses::{Clause, Clauses, Governed, Opening, Phrase};
use super::mentions::Mention;
use super::tokens::Token;
use super::whereabouts::Placed;
use crate::vocabulary::entries::{Class, GrammarClass as G, Sided, Zone};
use crate::vocabulary::{Meaning, Only, Vocabulary};

/// The part that something was said of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearer {
    pub placed: Placed,
    /// The phrase that named it in this clause; none where it was carried over or implied.
    pub phrase: Option<usize>,
    pub score: f32,
    pub margin: f32,
    pub rule: &'static str,
}

/// The part spoken of last, that "it" or nothing at all stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Topic {
    pub placed: Placed,
    pub phrase: usize,
    /// How many clauses ago.
    pub age: u32,
}

pub struct Joiner<'a, 'v> {
    pub vocabulary: &'v Vocabulary,
    pub mentions: &'a [Mention<'v>],
    pub clauses: &'a Clauses,
    pub placed: &'a [Placed],
    pub tokens: &'a [Token],
}

/// What is being joined.
#[derive(Clone, Copy)]
pub struct Said<'o> {
    /// Its mentions.
    pub first: usize,
    pub past: usize,
    /// A thing ("a dent") or a condition ("dented").
    pub noun: bool,
    /// Where it may be said.
    pub on: Option<&'o (Only, Only)>,
    /// The part meant where none is named.
    pub implies: Option<u16>,
    /// For a fault: another fault between it and a part is an obstacle.
    pub fault: bool,
}

/// A score that no unfit part may reach.
const UNFIT: f32 = -7.0;

impl Joiner<'_, '_> {
    pub fn fits(&self, on: Option<&(Only, Only)>, placed: &Placed) -> bool {
        let Some((on, not_on)) = on else { return true };
        let Some(part) = placed.part else { return on.is_empty() };
        let holds = |only: &Only, p: u16| only.holds(p, self.vocabulary.part_classes[usize::from(p)]);
        let piece_or_host = holds(on, part) || placed.host.is_some_and(|h| holds(on, h));
        (on.is_empty() || piece_or_host) && !holds(not_on, part)
    }

    pub fn join(&self, number: usize, said: Said, topic: Option<Topic>) -> Option<Bearer> {
        let clause = &self.clauses.list[number];
        let mut best: Option<Bearer> = None;
        let mut second = f32::MIN;
        let mut subject_seen = false;
        let mut offer = |bearer: Bearer| {
            let better = best.is_none_or(|b| bearer.score > b.score);
            if better {
                if let Some(b) = best {
                    second = second.max(b.score);
                }
                best = Some(bearer);
            } else {
                second = second.max(bearer.score);
            }
        };
        for n in clause.phrases.clone() {
            let phrase = &self.clauses.phrases[n];
            let placed = self.placed[n];
            if placed.part.is_none() {
                continue;
            }
            if phrase.governed == Governed::Free && phrase.first < said.first {
                subject_seen = true;
            }
            let (mut score, rule) = self.tie(phrase, said, n, clause);
            let mut placed = placed;
            if !self.fits(said.on, &placed) {
                let other = Placed { part: phrase.other, ..placed };
                if phrase.other.is_some() && self.fits(said.on, &other) {
                    placed = other;
                } else {
                    score += UNFIT;
                }
            }
            offer(Bearer { placed, phrase: Some(n), score, margin: 0.0, rule });
        }
        if let Some(topic) = topic {
            let mut score = match clause.opening {
                _ if subject_seen => 2.5,
                Opening::It => 7.6,
                Opening::Which => 7.4,
                Opening::Because => 5.0,
                Opening::Subject => 4.5,
                _ => 6.6,
            };
            score -= 0.35 * topic.age.min(12) as f32;
            if !self.fits(said.on, &topic.placed) {
                score += UNFIT;
            }
            offer(Bearer { placed: topic.placed, phrase: None, score, margin: 0.0, rule: "carried" });
        }
        if let Some(part) = said.implies {
            use super::whereabouts::How;
            let entry = |p: u16| &self.vocabulary.entries.part[usize::from(p)];
            let mut placed = Placed { part: Some(part), end: entry(part).end, end_how: How::Name, ..Placed::NOWHERE };
            // "its tyre, five mil, but a sidewall cut": the one spoken of, or the one on the wheel spoken of
            let near = topic.filter(|t| {
                t.age <= 3
                    && t.placed
                        .part
                        .is_some_and(|p| p == part || entry(p).zone == Zone::Wheels && entry(part).zone == Zone::Wheels)
            });
            if let Some(t) = near {
                placed = Placed { part: Some(part), host: None, ..t.placed };
            }
            // "it smells": an "it" that stands for nothing named
            let anywhere = said.on.is_none_or(|(on, _)| on.is_empty());
            let score = match () {
                // "no locking nut key", "engine light on": its own words name it
                () if self.names(said, part) => 12.0,
                () if anywhere && clause.phrases.is_empty() => 7.7,
                // "Heater, cold on all settings. Odour, faint": a noun that nothing close by bears
                () if anywhere && said.noun && entry(part).zone == Zone::Inside => 8.6,
                () => 6.7,
            };
            offer(Bearer { placed, phrase: None, score, margin: 0.0, rule: "implied" });
        }
        best.map(|mut b| {
            b.margin = if second > f32::MIN { b.score - second } else { b.score };
            b
        })
    }

    /// Whether the words of a fault name the part that they imply.
    fn names(&self, said: Said, part: u16) -> bool {
        let m = &self.mentions[said.first];
        let entry = &self.vocabulary.entries.part[usize::from(part)];
        let word = self.vocabulary.spelling.id(entry.label.rsplit(' ').next().unwrap_or_default());
        m.width() >= 2 && entry.side != Sided::Either && (m.first..m.past).any(|t| self.tokens[t as usize].id == word)
    }

    fn tie(&self, phrase: &Phrase, said: Said, own: usize, clause: &Clause) -> (f32, &'static str) {
        if phrase.first >= said.past
            || phrase.adjective == Some(said.first)
            || phrase.first <= said.first && phrase.head >= said.past
        {
            self.tie_after(phrase, said, own, clause.phrases.clone())
        } else {
            self.tie_before(phrase, said, clause.first)
        }
    }

    /// The part comes after what is said of it: "a dent in the door", "a cracked lens".
    fn tie_after(&self, phrase: &Phrase, said: Said, own: usize, all: std::ops::Range<usize>) -> (f32, &'static str) {
        if phrase.adjective == Some(said.first) {
            return (12.0, "adjective");
        }
        let start = phrase.first;
        let mut gap = 0.0f32;
        let mut crossed_fault = false;
        let mut joined_fault = false;
        for at in said.past..start {
            let m = &self.mentions[at];
            if said.fault && m.is_defect() {
                crossed_fault = true;
            } else if m.any_grammar(&[G::And, G::Or]) {
                joined_fault = true;
            } else if !m.any_grammar(&[G::Determiner, G::Degree, G::Region, G::Of, G::Host])
                && !m.has(&[Meaning::Hedge])
            {
                gap += 1.0;
            }
        }
        // "scratched and cracked bumper", "scuffs and chips on the sill": joined faults share what follows
        let obstacle = if crossed_fault && !joined_fault { 2.5 } else { 0.0 };
        let subject_before = all.clone().any(|n| {
            let p = &self.clauses.phrases[n];
            p.governed == Governed::Free && p.past <= said.first && self.placed[n].part.is_some()
        });
        let clause_phrases = all.clone();
        let others_between = all.filter(|&n| n != own).any(|n| {
            let p = &self.clauses.phrases[n];
            p.first >= said.past && p.first < start && p.governed != Governed::By
        });
        let mut score = match phrase.governed {
            Governed::Host => 10.0,
            Governed::Of => 9.0,
            Governed::Along => 7.6,
            Governed::By => 3.0,
            Governed::From if subject_before => 2.0,
            // "a whistle from the turbo": where it comes from
            Governed::From => 8.0,
            Governed::With => 1.0,
            Governed::Object if self.mentions[said.first].grammar(G::Loses) => 11.0,
            Governed::Object => 3.0,
            Governed::Lost => 11.0,
            Governed::Denied => 0.0,
            Governed::Free if gap == 0.0 && !subject_before && start == said.past => 8.3,
            Governed::Free if gap <= 1.0 && !subject_before => 6.2,
            Governed::Free => 0.5,
        };
        // A subject already bears it; what follows tells where on it.
        if subject_before && matches!(phrase.governed, Governed::Host | Governed::Of | Governed::Along) {
            let piece = phrase.part.is_some_and(|p| self.vocabulary.entries.part[usize::from(p)].generic);
            score -= if piece { 0.5 } else { 2.2 };
        }
        // "… a second, a little longer, the rear door is clean at the wheel": beyond a statement of its own
        let beyond = clause_phrases.filter(|&n| n != own).any(|n| {
            let p = &self.clauses.phrases[n];
            p.governed == Governed::Free
                && p.part.is_some()
                && p.first >= said.past
                && p.past < start
                && self.mentions.get(p.past).is_some_and(|m| m.any_grammar(&[G::Be, G::Have]))
        });
        if beyond {
            score -= 6.0;
        }
        if others_between {
            score -= 2.0;
        }
        (
            score - 0.35 * gap - obstacle,
            match phrase.governed {
                Governed::Host => "in-or-on",
                Governed::Of => "of",
                Governed::Along => "along",
                Governed::By => "landmark",
                _ => "following",
            },
        )
    }

    /// The part comes before: "the door's dented", "on the door there's a dent".
    fn tie_before(&self, phrase: &Phrase, said: Said, opens: usize) -> (f32, &'static str) {
        let mut gap = 0.0f32;
        let mut crossed_fault = 0.0f32;
        for at in phrase.past..said.first {
            let m = &self.mentions[at];
            if m.is_defect() {
                crossed_fault += 0.2;
            }
            gap += if m.any_grammar(&[G::Determiner, G::Degree, G::Be, G::Have, G::There]) { 0.3 } else { 1.0 };
        }
        // "the bumper is excellent, a little rust in the well": praised, and done with
        if said.noun && self.mentions[phrase.past..said.first].iter().any(|m| m.has(&[Meaning::Praise])) {
            gap += 14.0;
        }
        let base = match phrase.governed {
            Governed::Free => 9.2,
            // "it has a bulb out", "there's a bulb blown"
            Governed::Object if !said.noun && gap <= 1.3 => 8.8,
            Governed::Object => 5.2,
            // "on the roof there is …"
            Governed::Host if phrase.first <= opens + 1 && said.noun => 7.6,
            Governed::Host | Governed::Along if phrase.first == 0 || said.noun => 6.4,
            Governed::Host | Governed::Along => 5.4,
            Governed::Of => 5.8,
            Governed::By => 2.2,
            Governed::From => 2.0,
            Governed::With if !said.noun => 8.0,
            Governed::With => 3.5,
            Governed::Lost => 3.0,
            // "no lights on": denied, but still what it is said of
            Governed::Denied => 8.0,
        };
        (base - 0.12 * gap - crossed_fault, if phrase.points.is_some() { "pointed" } else { "subject" })
    }

    /// A piece that many parts have, with the part it is a piece of: the "lens" of the headlight just spoken of.
    pub fn with_host(&self, number: usize, bearer: Bearer, topic: Option<Topic>) -> Bearer {
        let Some(part) = bearer.placed.part else { return bearer };
        let parts = &self.vocabulary.entries.part;
        if !parts[usize::from(part)].generic || bearer.placed.host.is_some() {
            return bearer;
        }
        let clause = &self.clauses.list[number];
        let able = |p: &Placed| {
            p.part.is_some_and(|q| {
                let entry = &parts[usize::from(q)];
                q != part && !entry.generic && entry.zone != Zone::Papers
            }) || p.host.is_some()
        };
        let mut host = None;
        if let Some(own) = bearer.phrase {
            let phrase = &self.clauses.phrases[own];
            // "lens of the headlight", "catch on the locker door"
            for n in clause.phrases.clone() {
                let other = &self.clauses.phrases[n];
                let of_it = match other.governed {
                    Governed::Of | Governed::Host | Governed::Along => other.first <= phrase.past + 4,
                    // "the leather from the steering wheel"
                    Governed::From => other.first <= phrase.past + 1,
                    _ => false,
                };
                if other.first >= phrase.past && of_it && able(&self.placed[n]) {
                    host = Some(self.placed[n]);
                    break;
                }
                if other.past <= phrase.first
                    && able(&self.placed[n])
                    && !matches!(other.governed, Governed::By | Governed::From)
                {
                    host = Some(self.placed[n]);
                }
            }
        }
        let host = host.or_else(|| topic.filter(|t| t.age <= 3 && able(&t.placed)).map(|t| t.placed));
        let Some(host) = host else { return bearer };
        let mut placed = bearer.placed;
        placed.host = host.part.filter(|&p| !parts[usize::from(p)].generic).or(host.host);
        let settled = |how| matches!(how, super::whereabouts::How::Said | super::whereabouts::How::Name);
        if !settled(placed.side_how) {
            let how = if settled(host.side_how) { host.side_how } else { super::whereabouts::How::Carried };
            (placed.side, placed.side_how) = (host.side, how);
        }
        if !settled(placed.end_how) {
            (placed.end, placed.end_how) = (host.end, super::whereabouts::How::Carried);
        }
        Bearer { placed, ..bearer }
    }

    /// The parts that share a predicate with the one found: "the doors and wings are straight".
    pub fn shared(&self, number: usize, bearer: &Bearer, said_first: usize) -> Vec<usize> {
        let mut out = Vec::new();
        let Some(mut own) = bearer.phrase else { return out };
        let clause = &self.clauses.list[number];
        if self.clauses.phrases[own].past > said_first {
            // "a scratch on the door, the roof and the wing": on from the bearer, as far as the list has its "and"
            let mut joined = 0;
            while own + 1 < clause.phrases.end {
                let (this, next) = (&self.clauses.phrases[own], &self.clauses.phrases[own + 1]);
                let between = this.past..next.first;
                let small =
                    between.clone().all(|at| self.mentions[at].any_grammar(&[G::And, G::Determiner, G::Host, G::Or]));
                let verb = self.mentions.get(next.past).is_some_and(|m| m.any_grammar(&[G::Be, G::Have]))
                    && next.past < clause.past;
                if !(small && next.part.is_some() && !verb && matches!(next.governed, Governed::Free | Governed::Host))
                {
                    break;
                }
                out.push(own + 1);
                own += 1;
                if between.clone().any(|at| self.mentions[at].grammar(G::And)) {
                    joined = out.len();
                }
            }
            out.truncate(joined);
            return out;
        }
        while own > clause.phrases.start {
            let (before, this) = (&self.clauses.phrases[own - 1], &self.clauses.phrases[own]);
            let between = before.past..this.first;
            let linked = !between.is_empty()
                && between.clone().all(|at| self.mentions[at].any_grammar(&[G::And, G::Determiner, G::Degree]))
                && between.clone().any(|at| self.mentions[at].grammar(G::And))
                || between.is_empty() && !out.is_empty();
            if !(linked
                && before.part.is_some()
                && matches!(before.governed, Governed::Free | Governed::Host | Governed::Object))
            {
                break;
            }
            out.push(own - 1);
            own -= 1;
        }
        out
    }

    /// Whether a fault on this part bears on the safe use of the vehicle.
    pub fn safety(&self, placed: &Placed) -> bool {
        let safe = |p: u16| Class::SAFETY.iter().any(|&c| self.vocabulary.is(p, c));
        placed.part.is_some_and(safe) || placed.host.is_some_and(safe)
    }
}
