//! Sixth pass: statements become findings.
//!
//! Each thing said (a fault, a praise, a function tried, something not looked at) is joined to its part, judged, and given
//! the size, count, remedy and cost spoken with it. Drafts keep the reason for every choice.

use std::borrow::Cow;

use super::clauses::{Clause, Clauses, Governed, Opening};
use super::joining::{Bearer, Joiner, Said, Topic};
use super::mentions::Mention;
use super::standing::{Judge, Verdict};
use super::strength::{self, Size};
use super::tokens::Token;
use super::whereabouts::{How, Placed, Sides, Whereabouts};
use crate::narration::{Narration, Seconds};
use crate::report::{
    CheckResult, Cost, CostSource, Finding, Kind, Named, Reason, Remedy, SetAside, Side, Standing, State,
};
use crate::vocabulary::entries::{Class, CueKind, Effect, GrammarClass as G, Means, Points, TriedBy, UnitKind, Zone};
use crate::vocabulary::spelling::WordId;
use crate::vocabulary::{Meaning, Sense, Vocabulary};

mod caution;
mod corrections;
mod extent;
mod faults;
mod finish;
mod remarks;

/// A finding in the making.
#[derive(Clone, Debug)]
pub struct Draft {
    pub kind: Kind,
    pub clause: usize,
    /// The mentions that name the fault or item itself.
    pub first: usize,
    pub past: usize,
    pub defect: Option<u16>,
    /// A plain name in place of the entry's own ("does not open").
    pub label: Option<String>,
    pub item: Option<Item>,
    pub bearer: Option<Bearer>,
    pub verdict: Verdict,
    pub said: strength::Said,
    pub remedies: Vec<(u16, usize)>,
    pub cost: Option<([f64; 2], String, usize)>,
    pub result: Option<CheckResult>,
    /// Another fault told with it bears on safe use.
    pub safety: bool,
    /// Mentions that the quote covers.
    pub quote: [usize; 2],
    pub noun: bool,
    /// Mentions that name a subject which no entry knows: "the flange is bent".
    pub stranger: Option<[usize; 2]>,
    pub why: Vec<Reason>,
}

impl Draft {
    /// Something asserted by the mentions `first..past` and by nothing else yet.
    fn new(kind: Kind, clause: usize, first: usize, past: usize) -> Self {
        Draft {
            kind,
            clause,
            first,
            past,
            defect: None,
            label: None,
            item: None,
            bearer: None,
            verdict: Verdict::ASSERTED,
            said: strength::Said::default(),
            remedies: Vec::new(),
            cost: None,
            result: None,
            safety: false,
            quote: [first, past],
            noun: false,
            stranger: None,
            why: Vec::new(),
        }
    }
}

/// What a check, an unchecked remark or a fitted item is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Item {
    Part(u16),
    Equipment(u16),
    Said,
}

pub struct Reader<'a, 'v> {
    pub narration: &'a Narration,
    pub tokens: &'a [Token],
    pub mentions: &'a [Mention<'v>],
    pub clauses: &'a Clauses,
    pub places: &'a Whereabouts,
    pub vocabulary: &'v Vocabulary,
    pub sides: Sides,
    /// Whether the speaker ends his statements with bare prices ("front door, dent, eighty"); worked out when asked.
    pub ends_with_prices: std::cell::OnceCell<bool>,
}

/// How many clauses back a size, a remedy or a price may reach for its fault.
const REACH: usize = 3;

/// How many a price may.
const PRICE_REACH: usize = 5;

impl<'v> Reader<'_, 'v> {
    fn joiner(&self) -> Joiner<'_, 'v> {
        Joiner {
            vocabulary: self.vocabulary,
            mentions: self.mentions,
            clauses: self.clauses,
            placed: &self.places.placed,
            tokens: self.tokens,
        }
    }

    fn judge(&self) -> Judge<'_, 'v> {
        Judge { mentions: self.mentions, clauses: self.clauses, vocabulary: self.vocabulary }
    }

    /// The part that phrase `n` names, as what something is said of.
    fn named_bearer(&self, n: usize, score: f32, rule: &'static str) -> Bearer {
        Bearer { placed: self.places.placed[n], phrase: Some(n), score, margin: 0.0, rule }
    }

    pub fn drafts(&self) -> Vec<Draft> {
        let mut out: Vec<Draft> = Vec::with_capacity(self.clauses.list.len());
        let mut topic: Option<Topic> = None;
        let mut settled = Vec::new();
        for number in 0..self.clauses.list.len() {
            let clause = &self.clauses.list[number];
            let from = out.len();
            if let Some(t) = &mut topic {
                t.age += 1;
            }
            // A move to another part of the vehicle leaves the part spoken of behind.
            let next_vehicle = self.cues(clause).any(|(_, cue)| cue == CueKind::NextVehicle);
            if clause.opening == Opening::Move || next_vehicle {
                topic = None;
            }
            let before_topic = topic;
            self.read_clause(number, topic, &mut out);
            self.take_strength(number, from, &mut out);
            self.withdraw_on_cue(number, &mut settled, &mut out);
            self.corrections(number, from, &mut settled, &mut out);
            self.supposed(number, from, &mut out);
            // Remarks on the model leave the part spoken of where it was.
            if self.judge().in_clause(clause, Means::General).is_some() {
                continue;
            }
            // "… where it meets the wing": said in passing, and the part spoken of stays.
            let in_passing = matches!(clause.opening, Opening::Which | Opening::When)
                && topic.is_some()
                && out[from..].iter().all(|d| d.bearer.is_none_or(|b| b.phrase.is_none()));
            if in_passing {
                continue;
            }
            // The part that the next "it" stands for.
            let subject = clause.phrases.clone().find(|&n| {
                let p = &self.clauses.phrases[n];
                matches!(p.governed, Governed::Free) && self.places.placed[n].part.is_some()
            });
            let bearer =
                out[from..].iter().rev().find_map(|d| d.bearer.filter(|b| b.phrase.is_some()).map(|b| (b, d.kind)));
            // "… full of dust, rear shock weeping": the last of several subjects
            let subject = match bearer {
                Some((b, _)) if subject.is_some_and(|s| b.phrase.is_some_and(|n| n > s)) => b
                    .phrase
                    .filter(|&n| self.clauses.phrases[n].governed == Governed::Free && self.stands_apart(n))
                    .or(subject),
                _ => subject,
            };
            // "it's the wing | that's dented"
            let pointed_out = clause.phrases.clone().last().filter(|&n| {
                let p = &self.clauses.phrases[n];
                clause.opening == Opening::It
                    && p.past == clause.past
                    && p.governed == Governed::Object
                    && p.first <= clause.first + 3
                    && self.any(p.first - 1, &[G::Be])
                    && self.places.placed[n].part.is_some()
                    && self.clauses.list.get(number + 1).is_some_and(|next| {
                        matches!(next.opening, Opening::It | Opening::Which) && self.word(next.first) == Some("that")
                    })
            });
            let subject = subject.or(pointed_out);
            if let Some(n) = subject {
                let placed =
                    bearer.filter(|(b, _)| b.phrase == Some(n)).map_or(self.places.placed[n], |(b, _)| b.placed);
                topic = Some(Topic { placed, phrase: n, age: 0 });
            } else if let Some((b, _)) = bearer {
                topic = Some(Topic { placed: b.placed, phrase: b.phrase.unwrap_or(0), age: 0 });
            } else if let Some(n) = clause.phrases.clone().find(|&n| {
                self.places.placed[n].part.is_some()
                    && !matches!(
                        self.clauses.phrases[n].governed,
                        Governed::By | Governed::From | Governed::With | Governed::Denied
                    )
            }) && (before_topic.is_none() || out[from..].iter().all(|d| d.kind == Kind::Fitted))
            {
                topic = Some(Topic { placed: self.places.placed[n], phrase: n, age: 0 });
            }
        }
        self.withdrawn_last(&settled, &mut out);
        self.told_twice(&mut out);
        self.tried(&mut out);
        self.denied_is_sound(&mut out);
        out
    }

    /// Whether the phrase is no member of a list ("the doors and the wings are …").
    fn stands_apart(&self, n: usize) -> bool {
        let first = self.clauses.phrases[n].first;
        first > 0 && !self.any(first - 1, &[G::And, G::Or])
    }

    pub(super) fn any(&self, at: usize, classes: &[G]) -> bool {
        self.mentions.get(at).is_some_and(|m| m.any_grammar(classes))
    }

    pub(super) fn read_clause(&self, number: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let from = out.len();
        let mut at = clause.first;
        while at < clause.past {
            let m = &self.mentions[at];
            // What is part of a phrase names the part, unless it is the phrase's adjective.
            let covering = self.clauses.phrase_at(at).map(|n| &self.clauses.phrases[n]);
            let named = covering.is_some_and(|p| p.adjective != Some(at));
            if m.senses.is_empty() || named {
                at += 1;
                continue;
            }
            let denied = m.has(&[Meaning::FunctionVerb]) && self.denied_verb(at, clause.first).is_some();
            let drafted = out.len();
            if denied {
                // "not blowing": for a blower the denied function, not the absence of a blowing exhaust
                self.function(number, at, topic, out);
            }
            if out.len() > drafted {
                at += 1;
                continue;
            }
            let pointing = m
                .entry(Meaning::Pointing)
                .map(|p| self.vocabulary.entries.pointing[usize::from(p)].points)
                .or_else(|| self.counts_alike(at).then_some(Points::One))
                .filter(|&points| {
                    matches!(points, Points::Another | Points::Same | Points::AsWell)
                        || points == Points::One
                            && (self.is_a_like_one(at) || self.counts_alike(at) || self.one_more(clause, at))
                });
            if m.is_defect() && self.cue_of(at).is_none() {
                self.fault(number, at, topic, out);
            } else if let Some(points) = pointing {
                let points = if points == Points::One { Points::Another } else { points };
                self.repeat(number, at, points, topic, from, out);
                if out.len() == drafted {
                    self.praised_too(number, at, points, out);
                }
            }
            // "dry", "cold", "sharp": a fault of one part, and well said of another
            if out.len() == drafted && pointing.is_none() && !self.remark(number, at, topic, out) {
                if m.grammar(G::Loses) {
                    self.lost(number, at, topic, out);
                } else if let Some(cue) = m.entry(Meaning::Cue) {
                    self.cue(number, at, cue, out);
                }
            }
            at += 1;
        }
        self.treads(number, topic, out);
        self.fitted(number, topic, out);
        self.excepted(number, from, out);
        self.does_not(number, from, out);
        self.lit(number, from, out);
        self.due(number, from, out);
        self.tells_where(number, from, out);
    }

    /// The bearer of what is said at `first..past`, with its host where it is a piece of something.
    pub(super) fn bearer(&self, number: usize, said: Said, topic: Option<Topic>) -> Option<Bearer> {
        let bearer = self.joiner().join(number, said, topic).map(|b| self.joiner().with_host(number, b, topic));
        bearer.map(|b| self.beside_it(b, topic))
    }

    /// "there's one in the windscreen too"
    fn one_more(&self, clause: &Clause, at: usize) -> bool {
        clause.opening == Opening::There
            && self.any(at + 1, &[G::Host])
            && (at + 2..clause.past.min(at + 7)).any(|n| {
                self.mentions[n]
                    .entry(Meaning::Pointing)
                    .is_some_and(|p| self.vocabulary.entries.pointing[usize::from(p)].points == Points::AsWell)
            })
    }

    /// "the bumper under it": on the side, and mostly the end, of what was spoken of.
    fn beside_it(&self, mut bearer: Bearer, topic: Option<Topic>) -> Bearer {
        use super::whereabouts::How;
        let (Some(n), Some(topic)) = (bearer.phrase, topic.filter(|t| t.age <= 2)) else { return bearer };
        let after = self.clauses.phrases[n].past;
        let beside =
            self.any(after, &[G::By]) && self.any(after + 1, &[G::It]) && self.mentions[after + 1].width() == 1;
        if !beside {
            return bearer;
        }
        let along = matches!(self.last_word(after), Some("behind" | "ahead" | "before" | "front" | "of"));
        let placed = &mut bearer.placed;
        if placed.side.is_none() && topic.placed.side.is_some() {
            (placed.side, placed.side_how) = (topic.placed.side, How::Carried);
        }
        if placed.end.is_none() && !along {
            (placed.end, placed.end_how) = (topic.placed.end, How::Carried);
        }
        bearer
    }

    pub(super) fn word(&self, at: usize) -> Option<&str> {
        let token = self.tokens.get(self.mentions.get(at)?.first as usize)?;
        Some(self.vocabulary.spelling.name(token.id))
    }

    pub(super) fn last_word(&self, at: usize) -> Option<&str> {
        let token = self.tokens.get(self.mentions.get(at)?.past as usize - 1)?;
        Some(self.vocabulary.spelling.name(token.id))
    }

    pub(super) fn last_token(&self, at: usize) -> Option<WordId> {
        Some(self.tokens.get(self.mentions.get(at)?.past as usize - 1)?.id)
    }

    /// The cue at a mention, unless its words say something of the vehicle ("a scratch that runs …").
    pub(super) fn cue_of(&self, at: usize) -> Option<CueKind> {
        let m = &self.mentions[at];
        let cue = m.entry(Meaning::Cue).map(|c| self.vocabulary.entries.cue[usize::from(c)].does)?;
        (!(m.is_defect() && self.in_phrase(at))).then_some(cue)
    }

    /// The cues of a clause.
    fn cues(&self, clause: &Clause) -> impl Iterator<Item = (usize, CueKind)> {
        clause.having(&[Meaning::Cue]).filter_map(|at| Some((at, self.cue_of(at)?)))
    }

    /// Whether a noun here is led by a determiner, a number or a hedge.
    pub(super) fn in_phrase(&self, at: usize) -> bool {
        at > 0 && {
            let before = &self.mentions[at - 1];
            before.any_grammar(&[G::Determiner, G::There, G::Have])
                || before.number.is_some()
                || before.has(&[Meaning::Hedge])
        }
    }
}

fn flip(side: Side) -> Side {
    match side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        other => other,
    }
}

fn reason(
    field: &'static str,
    rule: impl Into<Cow<'static, str>>,
    words: impl Into<String>,
    entry: impl Into<String>,
) -> Reason {
    Reason { field: field.into(), rule: rule.into(), words: words.into(), entry: entry.into(), margin: None }
}

/// The drafts from clause `number` on; drafts are drawn in the order of clauses.
fn since(out: &[Draft], number: usize) -> &[Draft] {
    &out[out.partition_point(|d| d.clause < number)..]
}

fn since_mut(out: &mut [Draft], number: usize) -> &mut [Draft] {
    let from = out.len() - since(out, number).len();
    &mut out[from..]
}

/// The faults named by the same words as a draft, that one among them.
fn alike(out: &mut [Draft], draft: usize) -> impl Iterator<Item = &mut Draft> {
    let (first, clause) = (out[draft].first, out[draft].clause);
    since_mut(out, clause).iter_mut().filter(move |d| d.first == first && d.kind == Kind::Fault)
}
