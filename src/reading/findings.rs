//! Sixth pass: statements become findings.
//!
//! Each thing said (a fault, a praise, a function tried, something not looked at) is joined to its part, judged, and given
//! the size, count, remedy and cost spoken with it. Drafts keep the reason for every choice.

use super::clauses::{Clauses, Governed, Opening};
use super::joining::{Bearer, Joiner, Said, Topic};
use super::mentions::Mention;
use super::standing::{Judge, Verdict};
use super::strength::{self, Size};
use super::tokens::Token;
use super::whereabouts::{How, Placed, Sides, Whereabouts};
use crate::narration::{Narration, Seconds};
use crate::report::{
    Certainty, CheckResult, Cost, CostSource, Finding, Kind, Named, Reason, Remedy, Side, Standing, State,
};
use crate::vocabulary::entries::{Class, CueKind, Effect, GrammarClass as G, Means, Points, UnitKind};
use crate::vocabulary::spelling::WordId;
use crate::vocabulary::{Sense, Vocabulary};

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
    pub safety: bool,
    /// Mentions that the quote covers.
    pub quote: [usize; 2],
    pub noun: bool,
    /// Mentions that name a subject which no entry knows: "the flange is bent".
    pub stranger: Option<[usize; 2]>,
    pub why: Vec<Reason>,
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
    /// The words that deny a verb.
    pub nots: Vec<WordId>,
}

/// How many clauses back a size, a remedy or a price may reach for its fault.
const REACH: usize = 3;

/// Words that deny a verb by themselves, by number.
pub fn nots(vocabulary: &Vocabulary) -> Vec<WordId> {
    let of_class = vocabulary.entries.grammar.iter().filter(|g| g.class == G::Not);
    of_class.flat_map(|g| &g.say).map(|w| vocabulary.spelling.id(w)).filter(|&id| id != 0).collect()
}

impl<'v> Reader<'_, 'v> {
    pub fn drafts(&self) -> Vec<Draft> {
        let joiner = Joiner {
            vocabulary: self.vocabulary,
            mentions: self.mentions,
            clauses: self.clauses,
            placed: &self.places.placed,
        };
        let judge = Judge { mentions: self.mentions, clauses: self.clauses, vocabulary: self.vocabulary };
        let mut out: Vec<Draft> = Vec::new();
        let mut topic: Option<Topic> = None;
        let mut settled = Vec::new();
        for number in 0..self.clauses.list.len() {
            let clause = &self.clauses.list[number];
            let from = out.len();
            if let Some(t) = &mut topic {
                t.age += 1;
            }
            // A move to another part of the vehicle leaves the part spoken of behind.
            let next_vehicle = (clause.first..clause.past).any(|at| self.cue_of(at) == Some(CueKind::NextVehicle));
            if clause.opening == Opening::Move || next_vehicle {
                topic = None;
            }
            let before_topic = topic;
            self.read_clause(number, &joiner, &judge, topic, &mut out);
            self.take_strength(number, from, &mut out);
            self.withdraw_on_cue(number, &mut settled, &mut out);
            self.corrections(number, from, &judge, &mut settled, &mut out);
            self.supposed(number, from, &judge, &joiner, &mut out);
            // Remarks on the model leave the part spoken of where it was.
            if judge.in_clause(clause, Means::General).is_some() {
                continue;
            }
            // The part that the next "it" stands for.
            let subject = clause.phrases.clone().find(|&n| {
                let p = &self.clauses.phrases[n];
                matches!(p.governed, Governed::Free) && self.places.placed[n].part.is_some()
            });
            let bearer =
                out[from..].iter().rev().find_map(|d| d.bearer.filter(|b| b.phrase.is_some()).map(|b| (b, d.kind)));
            if let Some(n) = subject {
                let placed =
                    bearer.filter(|(b, _)| b.phrase == Some(n)).map_or(self.places.placed[n], |(b, _)| b.placed);
                topic = Some(Topic { placed, phrase: n, age: 0 });
            } else if let Some((b, _)) = bearer {
                topic = Some(Topic { placed: b.placed, phrase: b.phrase.unwrap_or(0), age: 0 });
            } else if let Some(n) = clause.phrases.clone().find(|&n| {
                self.places.placed[n].part.is_some()
                    && !matches!(self.clauses.phrases[n].governed, Governed::By | Governed::From | Governed::Denied)
            }) && (before_topic.is_none() || out.len() == from)
            {
                topic = Some(Topic { placed: self.places.placed[n], phrase: n, age: 0 });
            }
        }
        self.tried(&mut out);
        self.denied_is_sound(&mut out);
        out
    }

    /// A function that fails was tried: it is a check with a bad end as well as a fault.
    fn tried(&self, out: &mut Vec<Draft>) {
        const TRIED: [Class; 18] = [
            Class::Opening,
            Class::Lock,
            Class::Window,
            Class::Motor,
            Class::Light,
            Class::Display,
            Class::Camera,
            Class::Audio,
            Class::Climate,
            Class::Brake,
            Class::Driveline,
            Class::Electric,
            Class::Belt,
            Class::Appliance,
            Class::Control,
            Class::Gearbox,
            Class::Key,
            Class::Wiper,
        ];
        let checks: Vec<Draft> = out
            .iter()
            .filter(|d| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted)
            .filter(|d| {
                d.defect.is_some_and(|x| self.vocabulary.entries.defect[usize::from(x)].function)
                    || d.why.iter().any(|w| w.rule == "denied-function")
            })
            .filter_map(|d| {
                let part = d.bearer?.placed.part?;
                let host = d.bearer?.placed.host;
                let apt = |p: u16| {
                    TRIED.iter().any(|&c| self.vocabulary.is(p, c)) && !self.vocabulary.is(p, Class::WarningLight)
                };
                (apt(part) || host.is_some_and(apt)).then(|| Draft {
                    kind: Kind::Check,
                    item: Some(Item::Part(part)),
                    result: Some(CheckResult::Fault),
                    safety: false,
                    remedies: Vec::new(),
                    cost: None,
                    why: Vec::new(),
                    ..d.clone()
                })
            })
            .collect();
        out.extend(checks);
        out.sort_by_key(|d| (d.first, d.kind == Kind::Check));
    }

    /// "no rust on the arch", "not a scratch on the door": a part named and said to be free of a fault is good, unless
    /// another fault of it follows.
    fn denied_is_sound(&self, out: &mut Vec<Draft>) {
        let mut sound: Vec<Draft> = Vec::new();
        for d in out.iter().filter(|d| d.kind == Kind::Fault && d.verdict.standing == Standing::Denied && d.noun) {
            let Some(bearer) = d.bearer.filter(|b| b.phrase.is_some() && b.placed.part.is_some()) else { continue };
            let same = |e: &Draft| {
                e.bearer.is_some_and(|b| b.placed.part == bearer.placed.part) && e.clause.abs_diff(d.clause) <= 2
            };
            let taken = out.iter().any(|e| {
                same(e) && (e.kind == Kind::Fault && e.verdict.standing == Standing::Asserted || e.kind == Kind::Sound)
            }) || sound.iter().any(same);
            let apt = bearer.placed.part.is_some_and(|p| {
                !self.vocabulary.is(p, Class::WarningLight)
                    && self.vocabulary.entries.part[usize::from(p)].id != "interior"
            });
            if !taken && apt {
                let start = d.verdict.trigger.map_or(d.quote[0], |t| t.min(d.quote[0]));
                sound.push(Draft {
                    kind: Kind::Sound,
                    defect: None,
                    item: None,
                    verdict: Verdict { standing: Standing::Asserted, ..d.verdict },
                    quote: [start, d.quote[1].max(d.verdict.trigger.map_or(0, |t| t + 1))],
                    safety: false,
                    said: Default::default(),
                    ..d.clone()
                });
            }
        }
        out.extend(sound);
        out.sort_by_key(|d| d.first);
    }

    fn any(&self, at: usize, classes: &[G]) -> bool {
        self.mentions.get(at).is_some_and(|m| m.any_grammar(classes))
    }

    fn read_clause(&self, number: usize, joiner: &Joiner, judge: &Judge, topic: Option<Topic>, out: &mut Vec<Draft>) {
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
            let denied = m.find(|s| matches!(s, Sense::FunctionVerb(_)).then_some(())).is_some()
                && self.denied_verb(at, clause.first).is_some();
            let drafted = out.len();
            if denied {
                // "not blowing": for a blower the denied function, not the absence of a blowing exhaust
                self.function(number, at, joiner, judge, topic, out);
            }
            if out.len() > drafted {
                at += 1;
                continue;
            }
            if m.is_defect() && self.cue_of(at).is_none() {
                self.fault(number, at, joiner, judge, topic, out);
            } else if let Some(points) = m.find(|s| match s {
                Sense::Pointing(p) => Some(self.vocabulary.entries.pointing[usize::from(p)].points),
                _ => None,
            }) && (matches!(points, Points::Another | Points::Same | Points::AsWell)
                || points == Points::One && self.is_a_like_one(at))
            {
                let points = if points == Points::One { Points::Another } else { points };
                self.repeat(number, at, points, joiner, judge, topic, from, out);
            } else if m.find(|s| matches!(s, Sense::FunctionVerb(_) | Sense::FunctionWorks(_)).then_some(())).is_some()
            {
                self.function(number, at, joiner, judge, topic, out);
            } else if let Some(unchecked) = m.find(|s| if let Sense::Unchecked(u) = s { Some(u) } else { None }) {
                self.unchecked(number, at, unchecked, topic, out);
            } else if let Some(praise) = m.find(|s| if let Sense::Praise(p) = s { Some(p) } else { None }) {
                self.sound(number, at, praise, joiner, judge, topic, out);
            } else if m.grammar(G::Loses) {
                self.lost(number, at, joiner, judge, topic, out);
            } else if let Some(cue) = m.find(|s| if let Sense::Cue(c) = s { Some(c) } else { None }) {
                self.cue(number, at, cue, out);
            }
            at += 1;
        }
        self.treads(number, topic, out);
        self.fitted(number, judge, out);
        self.excepted(number, from, judge, out);
    }

    /// The bearer of what is said at `first..past`, with its host where it is a piece of something.
    fn bearer(&self, number: usize, said: Said, joiner: &Joiner, topic: Option<Topic>) -> Option<Bearer> {
        joiner.join(number, said, topic).map(|b| joiner.with_host(number, b, topic))
    }

    fn fault(
        &self,
        number: usize,
        at: usize,
        joiner: &Joiner,
        judge: &Judge,
        topic: Option<Topic>,
        out: &mut Vec<Draft>,
    ) {
        if self.turns_into(at) || self.goes_along(at) {
            return;
        }
        // Each sense of the words is tried; the one whose part fits best is meant.
        let mut best: Option<(u16, bool, Option<Bearer>, f32)> = None;
        // A condition said outright of a part that its entry does not expect: kept where the sentence leaves no doubt.
        let mut unexpected: Option<(u16, bool, Option<Bearer>, f32)> = None;
        for sense in self.mentions[at].senses {
            let (defect, noun) = match *sense {
                Sense::DefectNoun(d) => (d, true),
                Sense::DefectState(d) => (d, false),
                _ => continue,
            };
            let entry = &self.vocabulary.entries.defect[usize::from(defect)];
            let on = &self.vocabulary.defect_on[usize::from(defect)];
            let implies = entry.implies.as_deref().and_then(|i| self.vocabulary.part_id(i));
            let said = Said { first: at, past: at + 1, noun, on: Some(on), implies, fault: true };
            let bearer = self.bearer(number, said, joiner, topic);
            let fits = bearer.is_some_and(|b| joiner.fits(Some(on), &b.placed));
            let restricted = !on.0.is_empty();
            let score = bearer.map_or(-1.0, |b| b.score) + if fits && restricted { 0.5 } else { 0.0 };
            if restricted && !fits {
                let free = Said { on: None, implies: None, ..said };
                let outright = !entry.weak && !noun && self.mentions[at].width() + self.long_word(at) >= 2;
                if outright
                    && let Some(b) =
                        self.bearer(number, free, joiner, topic).filter(|b| b.score >= 8.2 && b.phrase.is_some())
                    && joiner.fits(Some(&(Default::default(), on.1.clone())), &b.placed)
                    && unexpected.as_ref().is_none_or(|u| b.score > u.3)
                {
                    unexpected = Some((defect, noun, Some(b), b.score));
                }
                continue;
            }
            let floor = if entry.weak { 6.9 } else { 0.6 };
            let bearer = bearer.filter(|b| b.score >= 0.6 && fits);
            if entry.weak && bearer.is_none_or(|b| b.score < floor) {
                continue;
            }
            if best.as_ref().is_none_or(|b| score > b.3) {
                best = Some((defect, noun, bearer, score));
            }
        }
        let Some((defect, noun, bearer, _)) = best.or(unexpected) else { return };
        // A subject that no entry knows bears it, not the part spoken of before.
        let stranger = if bearer.is_none() { self.stranger(number, at) } else { None };
        let bearer = match stranger {
            Some([first, _]) => Some(self.unnamed(number, first)),
            None => bearer,
        };
        let bearer = bearer.or_else(|| self.nowhere(number)).map(|b| self.sided(number, at, b));
        let verdict = judge.judge(number, at);
        let entry = &self.vocabulary.entries.defect[usize::from(defect)];
        let clause = &self.clauses.list[number];
        if self.tells_more(number, at, defect, noun, bearer, out) {
            return;
        }
        let mut count = None;
        if noun {
            count = self.count_before(at, clause.first, defect);
        } else if let Some(n) = bearer.and_then(|b| b.phrase) {
            count = self.count_of_bearer(n);
        }
        let shared = bearer.map_or_else(Vec::new, |b| joiner.shared(number, &b, at));
        let draft = Draft {
            kind: Kind::Fault,
            clause: number,
            first: at,
            past: at + 1,
            defect: Some(defect),
            label: None,
            item: None,
            bearer,
            verdict,
            said: strength::Said { count, ..Default::default() },
            remedies: Vec::new(),
            cost: None,
            result: None,
            safety: entry.safety || bearer.is_some_and(|b| joiner.safety(&b.placed)),
            quote: self.span(bearer, at, at + 1),
            noun,
            stranger,
            why: Vec::new(),
        };
        // In the order in which the parts are named.
        let own = bearer.and_then(|b| b.phrase).unwrap_or(usize::MAX);
        let mut shared = shared;
        shared.sort_unstable();
        let later = shared.iter().any(|&n| n > own);
        if later {
            out.push(draft.clone());
        }
        for n in shared {
            let placed = self.places.placed[n];
            if !joiner.fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &placed) {
                continue;
            }
            let bearer = Bearer { placed, phrase: Some(n), score: 7.0, margin: 0.0, rule: "shared" };
            out.push(Draft {
                bearer: Some(bearer),
                quote: self.span(Some(bearer), at, at + 1),
                safety: entry.safety || joiner.safety(&placed),
                ..draft.clone()
            });
        }
        if !later {
            out.push(draft);
        }
    }

    /// "coming down the driver's side": the speaker moves, nothing sags.
    fn goes_along(&self, at: usize) -> bool {
        let mut next = at + 1;
        while next < at + 4 && self.any(next, &[G::Determiner, G::Along, G::Host, G::Degree, G::Then]) {
            next += 1;
        }
        self.mentions[at].grammar(G::Moves)
            && self.mentions.get(next).is_some_and(|m| m.place().is_some() || m.number.is_some_and(|n| n.ordinal))
    }

    /// "gone chalky", "went yellow": what it has become is the fault, not that it is gone.
    fn turns_into(&self, at: usize) -> bool {
        let gone = self.mentions[at].senses.iter().any(|s| match s {
            Sense::DefectState(d) => self.vocabulary.entries.defect[usize::from(*d)].becomes,
            _ => false,
        });
        gone && self.mentions.get(at + 1).is_some_and(|m| {
            m.find(|s| matches!(s, Sense::Colour(_)).then_some(())).is_some()
                || m.is_defect() && !m.any_grammar(&[G::Along, G::Host])
        })
    }

    /// Whether the words only tell more of a fault just named on the same part: "one hole punched in", "smashed and held
    /// on with tape", "rust in the chips".
    fn tells_more(
        &self,
        number: usize,
        at: usize,
        defect: u16,
        noun: bool,
        bearer: Option<Bearer>,
        out: &mut [Draft],
    ) -> bool {
        let detail = self.vocabulary.entries.defect[usize::from(defect)].detail;
        let part = bearer.and_then(|b| b.placed.part);
        let Some(last) = out.iter_mut().rev().take(4).find(|d| d.kind == Kind::Fault && number - d.clause <= 1) else {
            return false;
        };
        let same_part = part.is_none() || last.bearer.and_then(|b| b.placed.part) == part;
        if last.verdict.standing == Standing::Asserted
            && !detail
            && same_part
            && last.defect.is_some_and(|d| self.vocabulary.entries.defect[usize::from(d)].detail)
            && bearer.is_none_or(|b| b.phrase.is_none() || b.phrase == last.bearer.and_then(|l| l.phrase))
        {
            // The plain fault takes the place of the looser word said before it.
            last.verdict.standing = Standing::Restated;
            return false;
        }
        // A condition right behind the thing it is a condition of.
        let trailing = !noun && last.noun && last.past == at && last.clause == number;
        // "in the chips": a place, not a second fault
        let place = noun
            && last.clause == number
            && at >= 2
            && self.any(at - 2, &[G::Host, G::By, G::Of, G::From])
            && matches!(self.word(at - 1), Some("the" | "that" | "its" | "it" | "those" | "these"));
        let same_again = last.defect == Some(defect) && same_part && bearer.is_none_or(|b| b.phrase.is_none()) && !noun;
        if (detail || trailing) && same_part || place || same_again {
            if detail && last.verdict.standing == Standing::Asserted {
                last.quote[1] = last.quote[1].max(if last.clause == number { at + 1 } else { last.quote[1] });
            }
            return last.verdict.standing == Standing::Asserted || place;
        }
        false
    }

    /// A side said in the clause apart from the part: "a push in on the driver's end", "cracked by the left fog light".
    fn sided(&self, number: usize, at: usize, mut bearer: Bearer) -> Bearer {
        use crate::vocabulary::entries::SaidSide;
        if matches!(bearer.placed.side_how, How::Said | How::Other) {
            return bearer;
        }
        let clause = &self.clauses.list[number];
        let walk = &self.places.walks[number];
        let mut best: Option<(usize, Side)> = None;
        let mut offer = |distance: usize, side: Side| {
            if distance <= 9 && best.is_none_or(|(d, _)| distance < d) {
                best = Some((distance, side));
            }
        };
        let side_of = |said: SaidSide| match said {
            SaidSide::Both => Some(Side::Both),
            SaidSide::Centre => Some(Side::Centre),
            SaidSide::All | SaidSide::This => None,
            said => self.sides.hand(said, walk).map(Side::from),
        };
        for n in clause.first..clause.past {
            if self.clauses.phrase_at(n).is_some() {
                continue;
            }
            let m = &self.mentions[n];
            let Some(place) = m.place().map(|p| &self.vocabulary.entries.place[usize::from(p)]).filter(|p| !p.moves)
            else {
                continue;
            };
            // A bare "right", "left" or "middle" is as often another word.
            if m.width() == 1
                && !self.any(n.wrapping_sub(1), &[G::Determiner, G::Host])
                && matches!(self.word(n), Some("right" | "left" | "both"))
            {
                continue;
            }
            if let Some(end) = place.end.filter(|_| bearer.placed.end.is_none() && n.abs_diff(at) <= 9) {
                bearer.placed.end = Some(end);
                bearer.placed.end_how = How::Said;
            }
            let Some(side) = place.side.and_then(side_of) else { continue };
            let several = clause.phrases.len() > 1 && side == Side::Both;
            let panel = bearer.placed.side.is_none();
            if matches!(side, Side::Centre) && !panel || several {
                continue;
            }
            offer(n.abs_diff(at), side);
        }
        if bearer.placed.side.is_none() {
            for n in clause.phrases.clone().filter(|n| Some(*n) != bearer.phrase) {
                let phrase = &self.clauses.phrases[n];
                if matches!(phrase.governed, Governed::By | Governed::Along | Governed::Host | Governed::From)
                    && let Some(side) = phrase.side.and_then(side_of)
                {
                    offer(phrase.first.abs_diff(at) + 1, side);
                }
            }
        }
        if let Some((_, side)) = best {
            bearer.placed.side = Some(side);
            bearer.placed.side_how = How::Said;
        }
        bearer
    }

    /// The unknown words that are the subject of what is said at `at`: "the flange is bent", "my gubbins have gone".
    fn stranger(&self, number: usize, at: usize) -> Option<[usize; 2]> {
        let clause = &self.clauses.list[number];
        let mut past = at;
        while past > clause.first && self.any(past - 1, &[G::Be, G::Have, G::Degree]) {
            past -= 1;
        }
        if past == at && self.mentions[at].is_defect_noun() && !self.mentions[at].is_defect_state() {
            return None;
        }
        let mut first = past;
        while first > clause.first
            && past - first < 3
            && self.mentions[first - 1].is_word()
            && self.word_length(first - 1) > 2
        {
            first -= 1;
        }
        let led = first > clause.first && self.any(first - 1, &[G::Determiner]) && !self.any(first - 1, &[G::There]);
        let alone = clause
            .phrases
            .clone()
            .all(|n| self.clauses.phrases[n].past > at || self.clauses.phrases[n].governed == Governed::By);
        (first < past && led && alone).then_some([first, past])
    }

    /// The bearer for a subject that no entry knows: only its side can be told, by the walk.
    fn unnamed(&self, number: usize, _at: usize) -> Bearer {
        let walk = &self.places.walks[number];
        let side = walk.side.map(Side::from);
        let how = if side.is_some() { How::Walk } else { How::None };
        let placed =
            Placed { part: None, host: None, side, side_how: how, end: None, end_how: How::None, plural: false };
        Bearer { placed, phrase: None, score: 7.0, margin: 0.0, rule: "unknown-part" }
    }

    /// A bearer that is no part: something can be said of a side or an end alone ("a clunk from the front left").
    fn nowhere(&self, number: usize) -> Option<Bearer> {
        let clause = &self.clauses.list[number];
        (clause.first..clause.past)
            .any(|n| self.clauses.phrase_at(n).is_none() && self.mentions[n].place().is_some())
            .then_some(Bearer {
                placed: Placed {
                    part: None,
                    host: None,
                    side: None,
                    side_how: How::None,
                    end: None,
                    end_how: How::None,
                    plural: false,
                },
                phrase: None,
                score: 0.0,
                margin: 0.0,
                rule: "place-only",
            })
    }

    /// One for a word of some length: short ones mean too many things.
    fn long_word(&self, at: usize) -> usize {
        usize::from(self.word(at).is_some_and(|w| w.len() >= 5))
    }

    /// The mentions from bearer to fault, as far as they lie together.
    fn span(&self, bearer: Option<Bearer>, first: usize, past: usize) -> [usize; 2] {
        let (mut a, mut b) = (first, past);
        if let Some(n) = bearer.and_then(|b| b.phrase) {
            let phrase = &self.clauses.phrases[n];
            a = a.min(phrase.first);
            b = b.max(phrase.past);
        }
        [a, b]
    }

    /// "two dents", "a scratch", "a few little chips".
    fn count_before(&self, at: usize, floor: usize, defect: u16) -> Option<[u32; 2]> {
        let plural = self.is_plural(at);
        let mut before = at;
        let mut singular = false;
        while before > floor {
            let m = &self.mentions[before - 1];
            if let Some(number) = m.number.filter(|n| !n.ordinal)
                && number.low < 200.0
                && number.low.fract() == 0.0
            {
                return Some(strength::count_of(number));
            }
            if m.grammar(G::Determiner) {
                singular = self.word(before - 1).is_some_and(|w| matches!(w, "a" | "an" | "another" | "each"));
                // "a couple of", "a few" are numbers; "a bit of a" a hedge
                break;
            }
            let hedge = m.find(|s| matches!(s, Sense::Hedge(_) | Sense::Colour(_)).then_some(())).is_some();
            if hedge && self.last_word(before - 1).is_some_and(|w| matches!(w, "a" | "an")) {
                singular = true;
                break;
            }
            if hedge && self.word(before - 1).is_some_and(|w| matches!(w, "a" | "one")) && !plural {
                singular = true;
                break;
            }
            if !(hedge
                || m.is_defect_state()
                || m.any_grammar(&[G::Degree, G::Sized])
                || m.is_word()
                || m.is_defect_noun() && before == at)
            {
                break;
            }
            before -= 1;
        }
        // "dent on top", "impact mark": bare, in notes, is one too
        let bare = before == at || before == floor;
        let counted = singular && self.has_plural(at) || (singular || bare) && self.countable(at, defect);
        (counted && !plural).then_some([1, 1])
    }

    fn has_plural(&self, at: usize) -> bool {
        let last = self.last_word(at).unwrap_or("");
        self.vocabulary.spelling.id(&format!("{last}s")) != 0 || self.vocabulary.spelling.id(&format!("{last}es")) != 0
    }

    /// How many of the bearer: "three spokes slack", "both headlamps yellow", "the left one's out".
    fn count_of_bearer(&self, n: usize) -> Option<[u32; 2]> {
        use crate::vocabulary::entries::SaidSide;
        let phrase = &self.clauses.phrases[n];
        if let Some(number) =
            phrase.number.filter(|n| !n.ordinal && n.low <= 20.0 && n.low.fract() == 0.0 && n.low > 0.0)
        {
            return Some(strength::count_of(number));
        }
        if phrase.side == Some(SaidSide::Both) {
            return Some([2, 2]);
        }
        let article =
            phrase.governed == Governed::Object && matches!(self.word(phrase.first), Some("a" | "an" | "one"));
        let one = phrase.points == Some(Points::One)
            && !phrase.plural
            && self.mentions[phrase.head].number.is_some_and(|n| n.low == 1.0);
        (article || one).then_some([1, 1])
    }

    /// A thing whose entry gives a plural can be counted.
    fn countable(&self, at: usize, defect: u16) -> bool {
        let last = self.last_word(at).unwrap_or("");
        let entry = &self.vocabulary.entries.defect[usize::from(defect)];
        entry
            .noun
            .iter()
            .any(|p| p.strip_suffix("[s]").or(p.strip_suffix("[es]")).is_some_and(|stem| stem.ends_with(last)))
    }

    fn is_plural(&self, at: usize) -> bool {
        self.last_word(at).is_some_and(|w| w.ends_with('s') && !w.ends_with("ss"))
    }

    fn word(&self, at: usize) -> Option<&str> {
        let token = self.tokens.get(self.mentions.get(at)?.first as usize)?;
        Some(self.vocabulary.spelling.name(token.id))
    }

    fn last_word(&self, at: usize) -> Option<&str> {
        let token = self.tokens.get(self.mentions.get(at)?.past as usize - 1)?;
        Some(self.vocabulary.spelling.name(token.id))
    }

    /// "a big one", "a few more": another of what was said last.
    fn is_a_like_one(&self, at: usize) -> bool {
        at >= 2
            && self.mentions[at - 1].find(|s| matches!(s, Sense::Hedge(_)).then_some(())).is_some()
            && (self.any(at - 2, &[G::Determiner]) || matches!(self.word(at - 1), Some("a" | "an")))
            && !self.any(at + 1, &[G::Be])
    }

    fn word_length(&self, at: usize) -> usize {
        self.narration.words[self.tokens[self.mentions[at].first as usize].word as usize].text.len()
    }

    fn last_token(&self, at: usize) -> Option<WordId> {
        Some(self.tokens.get(self.mentions.get(at)?.past as usize - 1)?.id)
    }

    /// "another one lower down", "same again on the back one": the last fault once more, elsewhere.
    #[allow(clippy::too_many_arguments)]
    fn repeat(
        &self,
        number: usize,
        at: usize,
        points: Points,
        joiner: &Joiner,
        judge: &Judge,
        topic: Option<Topic>,
        from: usize,
        out: &mut Vec<Draft>,
    ) {
        let clause = &self.clauses.list[number];
        // "another dent": the fault is named, nothing is repeated
        let next_defect = (at + 1..clause.past.min(at + 4)).find(|&n| self.mentions[n].is_defect_noun());
        if points == Points::Another && next_defect.is_some() {
            return;
        }
        if points == Points::Another && self.clauses.phrase_at(at + 1).is_some() && self.mentions[at].width() == 1 {
            return;
        }
        // "the sill below it as well": a part alone, with nothing else said of it
        if points == Points::AsWell {
            let bare = clause.past - clause.first <= 9
                && clause.phrases.clone().any(|n| {
                    self.clauses.phrases[n].governed == Governed::Free && self.places.placed[n].part.is_some()
                })
                && !(clause.first..clause.past).any(|n| {
                    self.clauses.phrase_at(n).is_none()
                        && (self.mentions[n].is_defect()
                            || self.mentions[n].any_grammar(&[G::Have])
                            || self.mentions[n]
                                .find(|s| {
                                    matches!(s, Sense::Praise(_) | Sense::FunctionVerb(_) | Sense::FunctionWorks(_))
                                        .then_some(())
                                })
                                .is_some())
                });
            if !bare {
                return;
            }
        }
        let lately =
            |d: &&Draft| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted && number - d.clause <= 4;
        // "for a second", "into second": time and gears, not marks
        let bare = points == Points::Another
            && !matches!(self.last_word(at), Some("one" | "ones" | "another" | "twin" | "same"));
        if bare {
            let told = self.mentions.get(at + 1).is_none_or(|m| {
                m.any_grammar(&[G::By, G::Along, G::Host, G::Region, G::Layer, G::Then])
                    || m.find(|s| matches!(s, Sense::Hedge(_)).then_some(())).is_some()
            }) || at + 1 == clause.past;
            if !told || at > clause.first && self.any(at - 1, &[G::Host, G::From]) {
                return;
            }
        }
        let models: Vec<Draft> = match points {
            Points::Same | Points::AsWell => {
                let Some(last) = out.iter().rev().find(lately) else { return };
                let clause = last.clause;
                let part = last.bearer.map(|b| b.placed.part);
                out.iter()
                    .filter(|d| lately(d) && d.clause == clause && d.bearer.map(|b| b.placed.part) == part)
                    .cloned()
                    .collect()
            }
            _ => out
                .iter()
                .rev()
                .find(|d| lately(d) && d.noun)
                .or_else(|| out.iter().rev().find(lately))
                .cloned()
                .into_iter()
                .collect(),
        };
        if models.is_empty() || out[from..].iter().any(|d| d.first == at) {
            return;
        }
        for model in models {
            let Some(defect) = model.defect else { continue };
            let on = &self.vocabulary.defect_on[usize::from(defect)];
            let said = Said { first: at, past: at + 1, noun: true, on: Some(on), implies: None, fault: false };
            let named = joiner.join(number, said, None).filter(|b| b.score > 3.0 && joiner.fits(Some(on), &b.placed));
            let mut bearer = named.map(|b| joiner.with_host(number, b, topic)).or(model.bearer.map(|b| Bearer {
                phrase: None,
                rule: "repeated",
                ..b
            }));
            // "same on the other side"
            if named.is_none()
                && let Some(b) = &mut bearer
            {
                for n in clause.first..clause.past {
                    if let Some(place) =
                        self.mentions[n].place().map(|p| &self.vocabulary.entries.place[usize::from(p)])
                    {
                        if let Some(side) = place.side {
                            b.placed.side = match self.sides.hand(side, &self.places.walks[number]) {
                                _ if side == crate::vocabulary::entries::SaidSide::Other => b.placed.side.map(flip),
                                Some(hand) => Some(hand.into()),
                                None => b.placed.side,
                            };
                            b.placed.side_how = How::Said;
                        }
                        if let Some(end) = place.end {
                            b.placed.end = Some(end);
                            b.placed.end_how = How::Said;
                        }
                    }
                }
            }
            let verdict = judge.judge(number, at);
            let count = (points == Points::Another && model.noun).then_some([1, 1]);
            out.push(Draft {
                kind: Kind::Fault,
                clause: number,
                first: at,
                past: at + 1,
                defect: model.defect,
                label: model.label.clone(),
                item: None,
                bearer,
                verdict,
                said: strength::Said { count, ..Default::default() },
                remedies: Vec::new(),
                cost: None,
                result: None,
                safety: model.safety,
                quote: self.span(bearer, at, at + 1),
                noun: model.noun,
                stranger: None,
                why: vec![reason("defect", "repeated", &self.quote_of(model.first, model.past), "")],
            });
        }
    }

    /// Something tried: it works, or its denied verb is a fault.
    fn function(
        &self,
        number: usize,
        at: usize,
        joiner: &Joiner,
        judge: &Judge,
        topic: Option<Topic>,
        out: &mut Vec<Draft>,
    ) {
        let clause = &self.clauses.list[number];
        // "couldn't tell you whether the heater works"
        if self.mentions[clause.first..at]
            .iter()
            .any(|m| m.find(|s| matches!(s, Sense::Unchecked(_)).then_some(())).is_some())
        {
            return;
        }
        for sense in self.mentions[at].senses {
            let (function, is_verb) = match *sense {
                Sense::FunctionVerb(f) => (f, true),
                Sense::FunctionWorks(f) => (f, false),
                _ => continue,
            };
            let entry = &self.vocabulary.entries.function[usize::from(function)];
            let on = &self.vocabulary.function_on[usize::from(function)];
            let implies = entry.item.as_deref().and_then(|i| self.vocabulary.part_id(i));
            let said = Said { first: at, past: at + 1, noun: false, on: Some(on), implies, fault: false };
            let bearer = self.bearer(number, said, joiner, topic);
            let Some(bearer) = bearer.filter(|b| b.score >= 4.0 && joiner.fits(Some(on), &b.placed)) else { continue };
            let Some(part) = bearer.placed.part else { continue };
            let denied = is_verb.then(|| self.denied_verb(at, clause.first)).flatten();
            if let Some(first) = denied {
                // "I haven't opened it" is about the speaker, not about the lid
                if clause.opening == Opening::Person && !self.subject_between(clause.first, first) {
                    return;
                }
                let verdict = Verdict { standing: Standing::Asserted, ..judge.judge(number, first) };
                let verdict = match judge.judge(number, first).standing {
                    Standing::General | Standing::Fixed | Standing::Hypothetical => judge.judge(number, first),
                    _ => verdict,
                };
                let defect = self.vocabulary.defect_id(entry.fault.as_deref().unwrap_or("not-working"));
                out.push(Draft {
                    kind: Kind::Fault,
                    clause: number,
                    first,
                    past: at + 1,
                    defect,
                    label: (!entry.fault_label.is_empty()).then(|| entry.fault_label.clone()),
                    item: None,
                    bearer: Some(bearer),
                    verdict,
                    said: Default::default(),
                    remedies: Vec::new(),
                    cost: None,
                    result: None,
                    safety: joiner.safety(&bearer.placed),
                    quote: self.span(Some(bearer), first, at + 1),
                    noun: false,
                    stranger: None,
                    why: vec![reason(
                        "defect",
                        "denied-function",
                        &self.quote_of(first, at + 1),
                        &format!("function.{}", entry.id),
                    )],
                });
                return;
            }
            let verdict = judge.judge(number, at);
            if verdict.standing != Standing::Asserted {
                return;
            }
            let near = bearer.phrase.is_some_and(|n| {
                let p = &self.clauses.phrases[n];
                p.past <= at && at - p.past <= 4 || p.first > at && p.first - at <= 2
            });
            // "there's a crack starting": the verb is the fault's, not the part's
            let of_fault = bearer.phrase.is_some_and(|n| {
                let past = self.clauses.phrases[n].past;
                past < at && self.mentions[past..at].iter().any(Mention::is_defect_noun)
            });
            if is_verb && (!near || entry.weak || of_fault) {
                continue;
            }
            let mut parts = vec![(bearer, part)];
            for n in joiner.shared(number, &bearer, at) {
                if let Some(p) = self.places.placed[n].part {
                    parts.push((
                        Bearer {
                            placed: self.places.placed[n],
                            phrase: Some(n),
                            score: 6.0,
                            margin: 0.0,
                            rule: "shared",
                        },
                        p,
                    ));
                }
            }
            for (bearer, part) in parts {
                out.push(self.check(number, at, bearer, part, CheckResult::Ok, verdict));
            }
            return;
        }
    }

    fn check(
        &self,
        number: usize,
        at: usize,
        bearer: Bearer,
        part: u16,
        result: CheckResult,
        verdict: Verdict,
    ) -> Draft {
        Draft {
            kind: Kind::Check,
            clause: number,
            first: at,
            past: at + 1,
            defect: None,
            label: None,
            item: Some(Item::Part(part)),
            bearer: Some(bearer),
            verdict,
            said: Default::default(),
            remedies: Vec::new(),
            cost: None,
            result: Some(result),
            safety: false,
            quote: self.span(Some(bearer), at, at + 1),
            noun: false,
            stranger: None,
            why: Vec::new(),
        }
    }

    /// Where "will not", "does not" before a verb begins, if it is denied.
    fn denied_verb(&self, at: usize, floor: usize) -> Option<usize> {
        let mut before = at;
        let mut seen = None;
        while before > floor && at - before < 5 {
            let m = &self.mentions[before - 1];
            // "does not", "has never": denials that end in the word itself
            let denies = m.grammar(G::Not)
                || self.last_token(before - 1).is_some_and(|t| self.nots.contains(&t))
                    && m.find(|s| matches!(s, Sense::Standing(_)).then_some(())).is_some();
            if denies {
                seen = Some(before - 1);
            } else if !(m.any_grammar(&[G::Degree, G::Be, G::Have, G::Modal, G::Do, G::When, G::Verb])) {
                break;
            }
            before -= 1;
        }
        let not = seen?;
        let mut first = not;
        while first > floor && self.any(first - 1, &[G::Modal, G::Do, G::Be]) {
            first -= 1;
        }
        Some(first)
    }

    fn subject_between(&self, first: usize, past: usize) -> bool {
        (first..past).any(|at| self.clauses.phrase_at(at).is_some())
    }

    /// "has lost its spring", "short of two clips".
    fn lost(
        &self,
        number: usize,
        at: usize,
        joiner: &Joiner,
        judge: &Judge,
        topic: Option<Topic>,
        out: &mut Vec<Draft>,
    ) {
        let clause = &self.clauses.list[number];
        let Some(missing) = self.vocabulary.defect_id("missing") else { return };
        let object = clause.phrases.clone().find(|&n| {
            let p = &self.clauses.phrases[n];
            p.first > at && p.first <= at + 3
        });
        let verdict = judge.judge(number, at);
        let bearer = match object {
            Some(n) => {
                let bearer =
                    Bearer { placed: self.places.placed[n], phrase: Some(n), score: 11.0, margin: 5.0, rule: "lost" };
                Some(joiner.with_host(number, bearer, topic))
            }
            None => None,
        };
        let Some(bearer) = bearer else { return };
        out.push(Draft {
            kind: Kind::Fault,
            clause: number,
            first: at,
            past: at + 1,
            defect: Some(missing),
            label: None,
            item: None,
            bearer: Some(bearer),
            verdict,
            said: Default::default(),
            remedies: Vec::new(),
            cost: None,
            result: None,
            safety: joiner.safety(&bearer.placed),
            quote: self.span(Some(bearer), at, at + 1),
            noun: false,
            stranger: None,
            why: Vec::new(),
        });
    }

    #[allow(clippy::too_many_arguments)]
    fn sound(
        &self,
        number: usize,
        at: usize,
        praise: u16,
        joiner: &Joiner,
        judge: &Judge,
        topic: Option<Topic>,
        out: &mut Vec<Draft>,
    ) {
        let entry = &self.vocabulary.entries.praise[usize::from(praise)];
        let on = &self.vocabulary.praise_on[usize::from(praise)];
        let implies = entry.part.as_deref().and_then(|i| self.vocabulary.part_id(i));
        let said = Said { first: at, past: at + 1, noun: false, on: Some(on), implies, fault: false };
        let Some(bearer) = self.bearer(number, said, joiner, topic) else { return };
        let floor = if entry.weak { 6.5 } else { 4.5 };
        if bearer.score < floor || bearer.placed.part.is_none() || !joiner.fits(Some(on), &bearer.placed) {
            return;
        }
        let verdict = judge.judge(number, at);
        if verdict.standing != Standing::Asserted {
            return;
        }
        // "a good scratch": praise of a fault is none
        if self.mentions.get(at + 1).is_some_and(Mention::is_defect_noun) {
            return;
        }
        // One praise of one part in one clause is enough.
        if out
            .iter()
            .any(|d| d.kind == Kind::Sound && d.clause == number && d.bearer.map(|b| b.placed) == Some(bearer.placed))
        {
            return;
        }
        let mut bearers = vec![bearer];
        for n in joiner.shared(number, &bearer, at) {
            bearers.push(Bearer {
                placed: self.places.placed[n],
                phrase: Some(n),
                score: 6.0,
                margin: 0.0,
                rule: "shared",
            });
        }
        const BY_TRYING: [Class; 6] =
            [Class::Audio, Class::Climate, Class::Camera, Class::Display, Class::Electric, Class::Appliance];
        for bearer in bearers {
            let part = bearer.placed.part.unwrap_or(0);
            let check = self.check(number, at, bearer, part, CheckResult::Ok, verdict);
            let tried = BY_TRYING.iter().any(|&c| self.vocabulary.is(part, c));
            // "the horn's fine" is known by trying it; a lamp is looked at and tried
            if tried || self.vocabulary.is(part, Class::Light) {
                out.push(check.clone());
            }
            if !tried {
                out.push(Draft {
                    kind: Kind::Sound,
                    item: None,
                    result: None,
                    quote: self.span(Some(bearer), at, at + 1),
                    ..check
                });
            }
        }
    }

    fn unchecked(&self, number: usize, at: usize, unchecked: u16, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let entry = &self.vocabulary.entries.unchecked[usize::from(unchecked)];
        let ahead = clause.phrases.clone().find(|&n| self.clauses.phrases[n].first > at);
        let behind = clause.phrases.clone().rev().find(|&n| self.clauses.phrases[n].past <= at);
        // "…couldn't tell you about the brake pipes": the next clause may hold the object
        let next = self
            .clauses
            .list
            .get(number + 1)
            .filter(|c| matches!(c.opening, Opening::When | Opening::Which | Opening::Then))
            .and_then(|c| c.phrases.clone().next());
        let back = entry.reaches == crate::vocabulary::entries::Reach::Before;
        let subject = behind.filter(|&n| matches!(self.clauses.phrases[n].governed, Governed::Free | Governed::Object));
        let names_own = entry.item.is_some();
        let named = if back {
            behind.or(ahead)
        } else if names_own {
            ahead
        } else {
            ahead.or(subject).or(next)
        };
        let own = entry.item.as_deref().and_then(|i| self.vocabulary.part_id(i));
        let equipment = (at + 1..clause.past)
            .find_map(|n| self.mentions[n].find(|s| if let Sense::Equipment(e) = s { Some((e, n)) } else { None }));
        if out.iter().any(|d| d.kind == Kind::Unchecked && d.clause == number) && ahead.is_none() && own.is_none() {
            return;
        }
        let verdict =
            Verdict { standing: Standing::Asserted, trigger: None, certainty: Certainty::Stated, doubt: None };
        let mut push = |item: Item, bearer: Option<Bearer>, quote: [usize; 2]| {
            out.push(Draft {
                kind: Kind::Unchecked,
                clause: number,
                first: at,
                past: at + 1,
                defect: None,
                label: None,
                item: Some(item),
                bearer,
                verdict,
                said: Default::default(),
                remedies: Vec::new(),
                cost: None,
                result: None,
                safety: false,
                quote,
                noun: false,
                stranger: None,
                why: Vec::new(),
            });
        };
        let bearer_of = |n: usize| Bearer {
            placed: self.places.placed[n],
            phrase: Some(n),
            score: 8.0,
            margin: 0.0,
            rule: "object",
        };
        if let Some(n) = named.filter(|&n| self.places.placed[n].part.is_some()) {
            let b = bearer_of(n);
            push(Item::Part(b.placed.part.unwrap_or(0)), Some(b), self.span(Some(b), at, at + 1));
        } else if let Some(part) = own {
            push(Item::Part(part), None, [at, at + 1]);
        } else if let Some((e, n)) = equipment {
            push(Item::Equipment(e), None, [at, n + 1]);
        } else if let Some(t) = topic.filter(|t| t.age <= 2 && back) {
            push(Item::Part(t.placed.part.unwrap_or(0)), None, [at, at + 1]);
        } else {
            // Nothing that the vocabulary knows: the speaker's own words name it, up to the next turn of the sentence.
            let mut past = at + 1;
            let mut says = false;
            while past < clause.past
                && past < at + 8
                && !self.any(past, &[G::So, G::Because, G::But, G::And, G::Person])
            {
                says |= self.mentions[past].is_word() && self.word_length(past) > 3;
                past += 1;
            }
            if says {
                push(Item::Said, None, [at, past]);
            }
        }
    }

    /// Equipment named as fitted.
    fn fitted(&self, number: usize, judge: &Judge, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let mut owned = false;
        for at in clause.first..clause.past {
            let m = &self.mentions[at];
            owned |= m.any_grammar(&[G::Have, G::There, G::With, G::Takes]);
            let Some(e) = m.find(|s| if let Sense::Equipment(e) = s { Some(e) } else { None }) else { continue };
            let entry = &self.vocabulary.entries.equipment[usize::from(e)];
            let phrase = self.clauses.phrase_at(at).map(|n| &self.clauses.phrases[n]);
            let governed = phrase.map_or(Governed::Free, |p| p.governed);
            let listed = matches!(governed, Governed::Free | Governed::Object | Governed::With);
            let kept = (at + 1..clause.past.min(at + 4)).any(|n| self.any(n, &[G::Fitted]));
            if !owned && !kept && (entry.weak || !listed) {
                continue;
            }
            if judge.denial(clause, at).is_some()
                || judge.judge(number, at).standing != Standing::Asserted
                || governed == Governed::Denied
            {
                continue;
            }
            // Once is enough.
            if out.iter().any(|d| d.kind == Kind::Fitted && d.item == Some(Item::Equipment(e))) {
                continue;
            }
            let id = &entry.id;
            let missing = out.iter().any(|d| {
                d.clause == number
                    && d.kind == Kind::Fault
                    && d.defect == self.vocabulary.defect_id("missing")
                    && d.quote[0] <= at
                    && at < d.quote[1]
            });
            if missing || id.is_empty() {
                continue;
            }
            out.push(Draft {
                kind: Kind::Fitted,
                clause: number,
                first: at,
                past: at + 1,
                defect: None,
                label: None,
                item: Some(Item::Equipment(e)),
                bearer: None,
                verdict: judge.judge(number, at),
                said: Default::default(),
                remedies: Vec::new(),
                cost: None,
                result: None,
                safety: false,
                quote: [at, at + 1],
                noun: false,
                stranger: None,
                why: Vec::new(),
            });
        }
    }

    /// "no lights on the dash bar the ABS one", "all working except the indicator".
    fn excepted(&self, number: usize, from: usize, judge: &Judge, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let Some(trigger) = judge.in_clause(clause, Means::Exception).filter(|&t| t == clause.first) else { return };
        if out[from..].iter().any(|d| d.kind == Kind::Fault) || number == 0 {
            return;
        }
        let Some(n) = clause.phrases.clone().find(|&n| self.places.placed[n].part.is_some()) else { return };
        let before = out[..from].iter().rev().take_while(|d| number - d.clause <= 2).collect::<Vec<_>>();
        let denied = before
            .iter()
            .find(|d| d.kind == Kind::Fault && d.verdict.standing == Standing::Denied)
            .and_then(|d| d.defect);
        let worked = before.iter().any(|d| d.kind == Kind::Check);
        let Some(defect) = denied.or_else(|| worked.then(|| self.vocabulary.defect_id("not-working")).flatten()) else {
            return;
        };
        let placed = self.places.placed[n];
        let bearer = Bearer { placed, phrase: Some(n), score: 8.0, margin: 0.0, rule: "exception" };
        let joiner = Joiner {
            vocabulary: self.vocabulary,
            mentions: self.mentions,
            clauses: self.clauses,
            placed: &self.places.placed,
        };
        if !joiner.fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &placed) {
            return;
        }
        let head = self.clauses.phrases[n].head;
        out.push(Draft {
            kind: Kind::Fault,
            defect: Some(defect),
            item: None,
            result: None,
            safety: joiner.safety(&placed),
            quote: [trigger, self.clauses.phrases[n].past],
            why: vec![reason("defect", "exception", &self.quote_of(trigger, trigger + 1), "")],
            ..self.check(number, head, bearer, placed.part.unwrap_or(0), CheckResult::Ok, judge.judge(number, head))
        });
    }

    /// A tread depth at or under the law's limit is a fault by itself.
    fn treads(&self, number: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let tyre = |p: &Placed| {
            p.part.is_some_and(|p| {
                self.vocabulary.is(p, Class::Tyre)
                    || self.vocabulary.entries.part[usize::from(p)].id.starts_with("brake-pad")
            })
        };
        for at in clause.first..clause.past {
            let Some(m) = strength::measure(self.mentions, at, self.vocabulary) else { continue };
            if !matches!(m.kind, UnitKind::Length | UnitKind::Tread) {
                continue;
            }
            let mm = m.low * self.vocabulary.entries.unit[usize::from(m.unit)].factor;
            let named = clause
                .phrases
                .clone()
                .rev()
                .find(|&n| self.clauses.phrases[n].first < at && tyre(&self.places.placed[n]));
            let placed = named
                .map(|n| self.places.placed[n])
                .or(topic.filter(|t| t.age <= 2 && tyre(&t.placed) && clause.phrases.is_empty()).map(|t| t.placed));
            let Some(placed) = placed else { continue };
            // Compared as spoken: two thirty-seconds meet a limit of two thirty-seconds. Above the limit a depth is a
            // fault where the speaker calls it low or calls for a new one.
            let near = |from: usize, to: usize, low: bool| {
                (from..to.min(self.mentions.len())).any(|n| {
                    let m = &self.mentions[n];
                    low && m.any_grammar(&[G::Low])
                        || m.find(|s| match s {
                            Sense::Remedy(r) => {
                                (self.vocabulary.entries.remedy[usize::from(r)].id == "replace").then_some(())
                            }
                            _ => None,
                        })
                        .is_some()
                })
            };
            let next = self
                .clauses
                .list
                .get(number + 1)
                .filter(|c| c.phrases.is_empty() || matches!(c.opening, Opening::So | Opening::It))
                .map_or(clause.past, |c| c.past);
            let called_low =
                near(at.saturating_sub(3).max(clause.first), clause.past, true) || near(clause.past, next, false);
            let limit = mm <= self.vocabulary.facts.tread_mm + 1e-9;
            if mm <= 0.0 || mm > 13.0 {
                continue;
            }
            if !limit && !called_low {
                // Plenty left, and nothing wrong said of it: the tyre is good.
                let told = out.iter().any(|d| {
                    number - d.clause <= 1
                        && d.bearer.is_some_and(|b| tyre(&b.placed))
                        && (d.kind == Kind::Sound || d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted)
                });
                if mm >= 3.9 && !told {
                    let bearer = Bearer { placed, phrase: named, score: 9.0, margin: 0.0, rule: "tread" };
                    let verdict = Verdict {
                        standing: Standing::Asserted,
                        trigger: None,
                        certainty: Certainty::Stated,
                        doubt: None,
                    };
                    out.push(Draft {
                        kind: Kind::Sound,
                        past: m.past,
                        item: None,
                        result: None,
                        quote: self.span(Some(bearer), at, m.past),
                        ..self.check(number, at, bearer, placed.part.unwrap_or(0), CheckResult::Ok, verdict)
                    });
                }
                continue;
            }
            if out.iter().any(|d| {
                d.kind == Kind::Fault
                    && d.clause == number
                    && d.bearer.is_some_and(|b| b.placed == placed)
                    && d.verdict.standing == Standing::Asserted
            }) {
                continue;
            }
            let Some(low) = self.vocabulary.defect_id("low-tread") else { continue };
            let bearer = Bearer { placed, phrase: named, score: 9.0, margin: 0.0, rule: "subject" };
            let verdict =
                Verdict { standing: Standing::Asserted, trigger: None, certainty: Certainty::Stated, doubt: None };
            out.push(Draft {
                kind: Kind::Fault,
                past: m.past,
                defect: Some(low),
                item: None,
                result: None,
                safety: true,
                quote: self.span(Some(bearer), at, m.past),
                why: vec![reason(
                    "defect",
                    "tread-limit",
                    &self.quote_of(at, m.past),
                    &format!("market.{}", self.vocabulary.market),
                )],
                ..self.check(number, at, bearer, placed.part.unwrap_or(0), CheckResult::Ok, verdict)
            });
        }
    }

    fn cue(&self, number: usize, at: usize, cue: u16, out: &mut Vec<Draft>) {
        let entry = &self.vocabulary.entries.cue[usize::from(cue)];
        if !matches!(entry.does, CueKind::Note | CueKind::Picture) {
            return;
        }
        // The note runs to the end of the statement that follows.
        let past = self.clauses.list.get(number + 1).map_or(at + 1, |c| c.past);
        out.push(Draft {
            kind: Kind::Note,
            clause: number,
            first: at,
            past: at + 1,
            defect: None,
            label: None,
            item: None,
            bearer: None,
            verdict: Verdict { standing: Standing::Asserted, trigger: None, certainty: Certainty::Stated, doubt: None },
            said: Default::default(),
            remedies: Vec::new(),
            cost: None,
            result: None,
            safety: false,
            quote: [at, past],
            noun: false,
            stranger: None,
            why: Vec::new(),
        });
    }

    /// Hedges, sizes, remedies and prices of this clause go to their faults.
    fn take_strength(&self, number: usize, from: usize, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        let first_own = from;
        let mut at = clause.first;
        while at < clause.past {
            if let Some(size) = strength::size(self.mentions, at, self.vocabulary) {
                self.give_size(number, first_own, size, out);
                at = size.past.max(at + 1);
                continue;
            }
            let m = &self.mentions[at];
            if let Some(measure) = strength::measure(self.mentions, at, self.vocabulary)
                && measure.kind == UnitKind::Money
            {
                self.give_cost(number, at, measure.low, measure.high, Some(measure.unit), measure.past, out);
                at = measure.past;
                continue;
            }
            if let Some(price) = self.bare_price(number, at) {
                self.give_cost(number, at, price[0], price[1], None, at + 1, out);
            }
            if m.find(|s| matches!(s, Sense::Hedge(_)).then_some(())).is_some() {
                self.give_hedge(number, first_own, at, out);
            }
            if let Some(remedy) = m.find(|s| if let Sense::Remedy(r) = s { Some(r) } else { None }) {
                self.give_remedy(number, first_own, at, remedy, out);
            }
            at += 1;
        }
    }

    /// A bare number beside talk of mending is a price: "wants a regas, hundred and eighty", "figure two hundred".
    fn bare_price(&self, number: usize, at: usize) -> Option<[f64; 2]> {
        let n = self.mentions[at].number.filter(|n| !n.ordinal && !n.vague && n.low >= 20.0 && n.high < 20_000.0)?;
        let unit = |i: usize| {
            self.mentions
                .get(i)
                .is_some_and(|m| m.find(|s| matches!(s, Sense::Unit(_) | Sense::Part(_)).then_some(())).is_some())
        };
        if unit(at + 1) || (1900.0..2100.0).contains(&n.low) || self.clauses.phrase_at(at).is_some() {
            return None;
        }
        let clause = &self.clauses.list[number];
        let told = at > clause.first && self.any(at - 1, &[G::Priced]);
        let mending = |from: usize, to: usize| {
            self.mentions[from..to].iter().any(|m| m.find(|s| matches!(s, Sense::Remedy(_)).then_some(())).is_some())
        };
        let before = number
            .checked_sub(1)
            .map(|b| &self.clauses.list[b])
            .filter(|b| at == clause.first && b.past == clause.first);
        // Said last, with nothing measured by it.
        let ends = self.mentions.get(at + 1).is_none_or(|m| {
            at + 1 >= clause.past
                || m.any_grammar(&[G::And, G::So, G::But, G::With, G::Then, G::Along, G::Host, G::Priced])
        });
        let spoken = told || mending(clause.first, at) || before.is_some_and(|b| mending(b.first, b.past));
        (spoken && (ends || told)).then_some([n.low, n.high])
    }

    fn own_faults<'d>(&self, number: usize, from: usize, out: &'d mut [Draft]) -> Vec<&'d mut Draft> {
        let _ = number;
        out[from..].iter_mut().filter(|d| d.kind == Kind::Fault).collect()
    }

    /// The last fault before this clause that a remark may still be about.
    fn last_fault(&self, number: usize, from: usize, out: &[Draft]) -> Option<usize> {
        // A new subject in between ends it.
        let at = out[..from].iter().rposition(|d| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted)?;
        (number - out[at].clause <= REACH).then_some(at)
    }

    fn new_subject(&self, number: usize) -> bool {
        let clause = &self.clauses.list[number];
        clause
            .phrases
            .clone()
            .any(|n| self.clauses.phrases[n].governed == Governed::Free && self.clauses.phrases[n].part.is_some())
            || clause.opening == Opening::Move
    }

    fn give_size(&self, number: usize, from: usize, size: Size, out: &mut [Draft]) {
        let faults = self.own_faults(number, from, out);
        let chosen = faults
            .into_iter()
            .filter(|d| d.verdict.standing == Standing::Asserted || d.verdict.standing == Standing::Withdrawn)
            .min_by_key(|d| {
                if d.past <= size.first { size.first - d.past } else { (d.first.saturating_sub(size.past)) * 2 + 1 }
            });
        if let Some(fault) = chosen {
            if self.tyre_depth(fault, size) || fault.said.size.is_some() {
                return;
            }
            fault.said.size = Some(size.mm);
            fault.quote = [fault.quote[0].min(size.first), fault.quote[1].max(size.past)];
            return;
        }
        if self.new_subject(number) {
            return;
        }
        if let Some(at) = self.last_fault(number, from, out)
            && number - out[at].clause <= 2
            && out[at].said.size.is_none()
            && !self.tyre_depth(&out[at], size)
        {
            out[at].said.size = Some(size.mm);
        }
    }

    /// A few millimetres on a tyre are its tread, not the size of a fault, unless it is a cut.
    fn tyre_depth(&self, draft: &Draft, size: Size) -> bool {
        let tyre = draft.bearer.and_then(|b| b.placed.part).is_some_and(|p| self.vocabulary.is(p, Class::Tyre));
        let brake = draft.bearer.and_then(|b| b.placed.part).is_some_and(|p| self.vocabulary.is(p, Class::Brake));
        (tyre || brake) && !draft.noun && size.mm[1] < 13.0
    }

    #[allow(clippy::too_many_arguments)]
    fn give_cost(
        &self,
        number: usize,
        at: usize,
        low: f64,
        high: f64,
        unit: Option<u16>,
        past: usize,
        out: &mut [Draft],
    ) {
        let currency = unit
            .and_then(|u| self.vocabulary.entries.unit[usize::from(u)].currency.clone())
            .unwrap_or_else(|| self.vocabulary.facts.currency.clone());
        if low < 1.0 {
            return;
        }
        let faults: Vec<usize> = (0..out.len())
            .rev()
            .take_while(|&i| number - out[i].clause <= REACH)
            .filter(|&i| {
                out[i].kind == Kind::Fault && out[i].verdict.standing == Standing::Asserted && out[i].first < at
            })
            .collect();
        let Some(&last) = faults.first() else { return };
        let clause = out[last].clause;
        let part = out[last].bearer.map(|b| b.placed);
        for &i in &faults {
            let same = out[i].clause == clause && out[i].bearer.map(|b| b.placed) == part;
            if (i == last || same) && out[i].cost.is_none() {
                out[i].cost = Some(([low, high], currency.clone(), at));
                if number == out[i].clause {
                    out[i].quote[1] = out[i].quote[1].max(past);
                }
            }
        }
    }

    fn give_hedge(&self, number: usize, from: usize, at: usize, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        // The nearest fault that it stands beside: right before it, or anywhere behind it in the clause.
        let mut chosen: Option<(usize, Effect)> = None;
        let mut nearest = usize::MAX;
        for (i, d) in out.iter().enumerate().skip(from) {
            if d.kind != Kind::Fault {
                continue;
            }
            if d.first >= at {
                let between_ok = self.mentions[at + 1..d.first.max(at + 1)]
                    .iter()
                    .all(|m| !m.any_grammar(&[G::Be, G::Have, G::There, G::And]) && !m.is_defect())
                    && !(at + 1..d.first).any(|n| {
                        self.clauses.phrase_at(n).is_some_and(|p| self.clauses.phrases[p].adjective.is_none())
                    });
                let distance = d.first - at;
                if between_ok
                    && distance <= 4
                    && distance < nearest
                    && let Some(effect) = strength::hedge(&self.mentions[at], true, self.vocabulary)
                {
                    nearest = distance;
                    chosen = Some((i, effect));
                }
            } else if at >= d.past {
                let distance = at - d.past + 2;
                if distance < nearest
                    && let Some(effect) = strength::hedge(&self.mentions[at], false, self.vocabulary)
                {
                    nearest = distance;
                    chosen = Some((i, effect));
                }
            }
        }
        if let Some((i, effect)) = chosen {
            let first = out[i].first;
            for d in out[from..].iter_mut().filter(|d| d.first == first && d.kind == Kind::Fault) {
                d.said.hedges.push((at, effect));
                d.quote[0] = d.quote[0].min(at.max(clause.first));
                if at >= d.quote[1] && at - d.quote[1] < 8 {
                    d.quote[1] = at + 1;
                }
            }
            return;
        }
        // A remark in a clause of its own: "you'd have to squat to see it".
        if out[from..].iter().any(|d| d.kind == Kind::Fault) || self.new_subject(number) {
            return;
        }
        if let Some(i) = self.last_fault(number, from, out)
            && number - out[i].clause <= 2
            && self.mentions[at].width() >= 2
            && let Some(effect) = strength::hedge(&self.mentions[at], false, self.vocabulary)
        {
            let first = out[i].first;
            for d in out.iter_mut().filter(|d| d.first == first && d.kind == Kind::Fault) {
                d.said.hedges.push((at, effect));
            }
        }
    }

    fn give_remedy(&self, number: usize, from: usize, at: usize, remedy: u16, out: &mut [Draft]) {
        // "won't polish out"
        let clause = &self.clauses.list[number];
        if self.denied_verb(at, clause.first).is_some() {
            return;
        }
        let own: Vec<usize> = (from..out.len())
            .filter(|&i| out[i].kind == Kind::Fault && out[i].verdict.standing == Standing::Asserted)
            .collect();
        let before = own.iter().copied().rfind(|&i| out[i].first <= at);
        let chosen = before.or_else(|| own.first().copied()).or_else(|| {
            (!self.new_subject(number) || self.remedy_names_same(number, from, out))
                .then(|| self.last_fault(number, from, out))
                .flatten()
        });
        let Some(chosen) = chosen else { return };
        let (clause, first, placed) = (out[chosen].clause, out[chosen].first, out[chosen].bearer.map(|b| b.placed));
        for d in out.iter_mut().filter(|d| {
            d.kind == Kind::Fault && d.clause == clause && (d.first == first || d.bearer.map(|b| b.placed) == placed)
        }) {
            if !d.remedies.iter().any(|(r, _)| *r == remedy) {
                d.remedies.push((remedy, at));
            }
            if number == d.clause && at >= d.quote[1] && at - d.quote[1] < 10 {
                d.quote[1] = at + 1;
            }
        }
    }

    /// "…so that's a new screen": the part named again is the one the fault is on.
    fn remedy_names_same(&self, number: usize, from: usize, out: &[Draft]) -> bool {
        let Some(i) = self.last_fault(number, from, out) else { return false };
        let Some(part) = out[i].bearer.and_then(|b| b.placed.part) else { return false };
        self.clauses.list[number].phrases.clone().any(|n| self.places.placed[n].part == Some(part))
    }

    /// "scratch that": the last statement goes, whatever follows.
    fn withdraw_on_cue(&self, number: usize, settled: &mut Vec<usize>, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        let Some(at) = (clause.first..clause.past).find(|&at| self.cue_of(at) == Some(CueKind::Withdraw)) else {
            return;
        };
        settled.push(at);
        let Some(last) = out.iter().rposition(|d| d.first < at && number - d.clause <= 2) else { return };
        let clause = out[last].clause;
        for d in out.iter_mut().filter(|d| d.clause == clause && d.kind == Kind::Fault) {
            d.verdict.standing = Standing::Withdrawn;
            d.verdict.trigger = Some(at);
        }
    }

    /// The cue at a mention, unless its words say something of the vehicle ("a scratch that runs …").
    fn cue_of(&self, at: usize) -> Option<CueKind> {
        let m = &self.mentions[at];
        let cue =
            m.find(
                |s| if let Sense::Cue(c) = s { Some(self.vocabulary.entries.cue[usize::from(c)].does) } else { None },
            )?;
        (!(m.is_defect() && self.in_phrase(at))).then_some(cue)
    }

    /// Whether a noun here is led by a determiner, a number or a hedge.
    fn in_phrase(&self, at: usize) -> bool {
        at > 0 && {
            let before = &self.mentions[at - 1];
            before.any_grammar(&[G::Determiner, G::There, G::Have])
                || before.number.is_some()
                || before.find(|s| matches!(s, Sense::Hedge(_)).then_some(())).is_some()
        }
    }

    /// Withdrawals and corrections: what follows "no, sorry" replaces what was said before it.
    fn corrections(&self, number: usize, from: usize, judge: &Judge, settled: &mut Vec<usize>, out: &mut [Draft]) {
        // The same fault denied right after it was asserted: "a touch of rust, no, this is not rust".
        let mut taken_back = Vec::new();
        for d in &out[from..] {
            if d.kind != Kind::Fault
                || d.verdict.standing != Standing::Denied
                || d.bearer.is_some_and(|b| b.phrase.is_some())
            {
                continue;
            }
            if let Some(i) =
                out[..from].iter().rposition(|e| e.kind == Kind::Fault && e.verdict.standing == Standing::Asserted)
                && number - out[i].clause <= 3
                && out[i].defect == d.defect
            {
                taken_back.push(i);
            }
        }
        for i in taken_back {
            out[i].verdict.standing = Standing::Withdrawn;
        }
        // "dents in the roof, I can't see any", "as for scratches, there are none"
        let this = &self.clauses.list[number];
        let short = this.past - this.first <= 6 && this.phrases.is_empty();
        let none = (this.first..this.past).find(|&at| short && self.any(at, &[G::None]));
        if let Some(t) = none
            && out[from..].iter().all(|d| d.kind != Kind::Fault)
            && matches!(this.opening, Opening::Person | Opening::There | Opening::It)
            && let Some(last) = out[..from]
                .iter_mut()
                .rev()
                .find(|d| d.kind == Kind::Fault)
                .filter(|d| d.noun && number - d.clause == 1)
        {
            last.verdict.standing = Standing::Denied;
            last.verdict.trigger = Some(t);
        }
        let Some(before) = number.checked_sub(1) else { return };
        // Is this clause what follows a withdrawal?
        let mark = (before.saturating_sub(1)..=before).rev().find_map(|c| {
            let clause = &self.clauses.list[c];
            let t = (clause.first..clause.past).find(|&at| {
                judge.means(at) == Some(Means::Withdrawn)
                    || matches!(self.cue_of(at), Some(CueKind::Withdraw | CueKind::Correct))
            });
            t.map(|t| (c, t))
        });
        let Some((marked, trigger)) = mark else { return };
        // Each withdrawal is settled once, by the first clause that says something.
        if settled.contains(&trigger) {
            return;
        }
        if marked != before && self.clauses.list[before].past - self.clauses.list[before].first > 3 {
            return;
        }
        let Some(last) = out[..from].iter().rposition(|d| {
            d.kind == Kind::Fault && d.first < trigger && marked - d.clause <= 2 && trigger - d.past <= 14
        }) else {
            return;
        };
        if out[last].verdict.standing != Standing::Asserted {
            return;
        }
        // Something else was spoken of in between.
        let moved_on = (out[last].clause + 1..marked).any(|c| {
            self.clauses.list[c]
                .phrases
                .clone()
                .any(|n| self.clauses.phrases[n].governed == Governed::Free && self.places.placed[n].part.is_some())
        });
        if moved_on {
            return;
        }
        settled.push(trigger);
        let soft = self.mentions[trigger].width() == 1;
        let clause = &self.clauses.list[number];
        let faults: Vec<usize> = (from..out.len()).filter(|&i| out[i].kind == Kind::Fault).collect();
        let phrase = clause.phrases.clone().find(|&n| self.places.placed[n].part.is_some());
        let (first, old) = (out[last].first, out[last].bearer);
        if let Some(&new) = faults.first() {
            let same_part = out[new].bearer.and_then(|b| b.placed.part) == old.and_then(|b| b.placed.part);
            let carried = out[new].bearer.is_none_or(|b| b.phrase.is_none());
            if same_part || carried || out[new].defect == out[last].defect {
                for d in out.iter_mut().filter(|d| d.first == first && d.kind == Kind::Fault) {
                    d.verdict.standing = Standing::Withdrawn;
                    d.verdict.trigger = Some(trigger);
                }
            }
            return;
        }
        // A measure corrects the size, a number alone the count.
        if let Some(size) =
            (clause.first..clause.past).find_map(|at| strength::size(self.mentions, at, self.vocabulary))
            && phrase.is_none()
        {
            for d in out.iter_mut().filter(|d| d.first == first && d.kind == Kind::Fault) {
                d.said.size = Some(size.mm);
            }
            return;
        }
        if let Some(number_said) =
            (clause.first..clause.past).find_map(|at| self.mentions[at].number.filter(|n| !n.ordinal && n.low < 50.0))
            && phrase.is_none()
            && out[last].said.count.is_some()
        {
            out[last].said.count = Some(strength::count_of(number_said));
            return;
        }
        // A place alone corrects the place.
        let place = (clause.first..clause.past).find_map(|at| {
            let p = &self.vocabulary.entries.place[usize::from(self.mentions[at].place()?)];
            (p.side.is_some() || p.end.is_some()).then_some(p)
        });
        if (place.is_some() || phrase.is_some()) && out[from..].iter().all(|d| d.kind != Kind::Sound) {
            let walk = self.places.walks[number];
            for d in out.iter_mut().filter(|d| d.first == first && d.kind == Kind::Fault) {
                let Some(bearer) = &mut d.bearer else { continue };
                if let Some(n) = phrase {
                    let new = self.places.placed[n];
                    bearer.placed = new;
                    bearer.rule = "corrected";
                }
                if let Some(p) = place {
                    if let Some(hand) = p.side.and_then(|s| self.sides.hand(s, &walk)) {
                        bearer.placed.side = Some(hand.into());
                        bearer.placed.side_how = How::Said;
                    }
                    if let Some(end) = p.end {
                        bearer.placed.end = Some(end);
                    }
                }
            }
            return;
        }
        if soft {
            return;
        }
        for d in out.iter_mut().filter(|d| d.first == first && d.kind == Kind::Fault) {
            d.verdict.standing = Standing::Withdrawn;
            d.verdict.trigger = Some(trigger);
        }
    }

    /// "… probably a wheel bearing", "that's the bushes I'd say": a part supposed to be behind a noise that had none.
    fn supposed(&self, number: usize, from: usize, judge: &Judge, joiner: &Joiner, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        let supposes =
            judge.in_clause(clause, Means::Doubt).is_some() || judge.in_clause(clause, Means::Hearsay).is_some();
        if !supposes
            || out[from..]
                .iter()
                .any(|d| d.kind == Kind::Fault && d.clause == number && d.bearer.is_some_and(|b| b.phrase.is_some()))
        {
            return;
        }
        let Some(n) = clause.phrases.clone().find(|&n| self.places.placed[n].part.is_some()) else { return };
        let Some(last) = out.iter_mut().rev().find(|d| d.kind == Kind::Fault) else { return };
        let weak = last.bearer.is_none_or(|b| b.placed.part.is_none() || b.phrase.is_none() && b.score < 7.8);
        let Some(defect) = last.defect else { return };
        let placed = self.places.placed[n];
        if number - last.clause > 2
            || !weak
            || !joiner.fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &placed)
        {
            return;
        }
        let old = last.bearer.map(|b| b.placed);
        let mut placed = placed;
        if let Some(old) = old.filter(|o| o.side_how == How::Said) {
            (placed.side, placed.side_how) = (old.side, old.side_how);
        }
        if placed.end.is_none() {
            placed.end = old.and_then(|o| o.end);
        }
        last.bearer = Some(Bearer { placed, phrase: None, score: 6.0, margin: 0.0, rule: "supposed" });
        last.safety |= joiner.safety(&placed);
        if last.clause == number {
            last.quote[1] = last.quote[1].max(self.clauses.phrases[n].past);
        }
    }

    // --- from drafts to findings ---------------------------------------------------------------------------------

    /// The speaker's words under a row of mentions.
    pub fn quote_of(&self, first: usize, past: usize) -> String {
        let [a, b] = self.words_of(first, past);
        self.narration.quote(a, b)
    }

    fn words_of(&self, first: usize, past: usize) -> [usize; 2] {
        let a = self.tokens[self.mentions[first].first as usize].word as usize;
        let b = self.tokens[self.mentions[past.max(first + 1) - 1].past as usize - 1].word as usize;
        [a, b]
    }

    pub fn named_part(&self, placed: &Placed, said: String) -> Option<Named> {
        let part = &self.vocabulary.entries.part[usize::from(placed.part?)];
        Some(match placed.host {
            Some(host) => {
                let host = &self.vocabulary.entries.part[usize::from(host)];
                Named { id: format!("{}.{}", host.id, part.id), label: format!("{} {}", host.label, part.label), said }
            }
            None => Named { id: part.id.clone(), label: part.label.clone(), said },
        })
    }

    pub fn finish(&self, draft: &Draft, id: usize) -> Finding {
        let v = self.vocabulary;
        let [first, last] = self.words_of(draft.quote[0], draft.quote[1]);
        let [said_first, said_last] = self.words_of(draft.first, draft.past);
        let part_said = draft.bearer.and_then(|b| b.phrase).map_or_else(String::new, |n| {
            let p = &self.clauses.phrases[n];
            self.quote_of(p.first, p.past)
        });
        let mut why = draft.why.clone();
        let bearer = draft.bearer;
        let part = match draft.stranger {
            Some([a, b]) => {
                let said = self.quote_of(a, b);
                let label = said.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase();
                Some(Named { id: "other".into(), label, said })
            }
            None => bearer.and_then(|b| self.named_part(&b.placed, part_said.clone())),
        };
        if let (Some(b), Some(p)) = (bearer, &part) {
            why.push(Reason {
                field: "part".into(),
                rule: b.rule.into(),
                words: part_said.clone(),
                entry: format!("part.{}", p.id),
                margin: Some((b.margin * 10.0).round() / 10.0),
            });
            why.push(reason("side", b.placed.side_how.rule(), "", ""));
            why.push(reason("end", b.placed.end_how.rule(), "", ""));
        }
        let defect = draft.defect.filter(|_| draft.kind == Kind::Fault).map(|d| {
            let entry = &v.entries.defect[usize::from(d)];
            Named {
                id: entry.id.clone(),
                label: draft.label.clone().unwrap_or_else(|| entry.label.clone()),
                said: self.narration.quote(said_first, said_last),
            }
        });
        let item = draft.item.map(|item| match item {
            Item::Part(p) => {
                let entry = &v.entries.part[usize::from(p)];
                let label = match bearer.and_then(|b| b.placed.host) {
                    Some(h) => format!("{} {}", v.entries.part[usize::from(h)].label, entry.label),
                    None => entry.label.clone(),
                };
                Named { id: entry.id.clone(), label, said: part_said.clone() }
            }
            Item::Equipment(e) => {
                let entry = &v.entries.equipment[usize::from(e)];
                Named {
                    id: entry.id.clone(),
                    label: entry.label.clone(),
                    said: self.narration.quote(said_first, said_last),
                }
            }
            Item::Said => {
                let words = self.quote_of(draft.past, draft.quote[1].max(draft.past + 1));
                Named { id: "other".into(), label: words.clone(), said: words }
            }
        });
        let mut severity = None;
        if draft.kind == Kind::Fault {
            let nature = draft.defect.and_then(|d| v.entries.defect[usize::from(d)].severity);
            severity = Some(strength::severity(nature, &draft.said, v));
            for (at, effect) in &draft.said.hedges {
                why.push(reason("severity", &format!("{effect:?}").to_lowercase(), &self.quote_of(*at, at + 1), ""));
            }
        }
        let mut remedies: Vec<Remedy> = draft
            .remedies
            .iter()
            .map(|&(r, at)| {
                let entry = &v.entries.remedy[usize::from(r)];
                Remedy {
                    id: entry.id.clone(),
                    label: entry.label.clone(),
                    said: self.quote_of(at, at + 1),
                    proposed: false,
                }
            })
            .collect();
        if remedies.is_empty() && draft.cost.is_some() && draft.kind == Kind::Fault {
            // The price of a new part means replacing it.
        }
        if remedies.is_empty()
            && let Some(d) = draft.defect
        {
            for id in &v.entries.defect[usize::from(d)].remedy {
                if let Some(r) = v.remedy_id(id) {
                    let entry = &v.entries.remedy[usize::from(r)];
                    remedies.push(Remedy {
                        id: entry.id.clone(),
                        label: entry.label.clone(),
                        said: String::new(),
                        proposed: true,
                    });
                }
            }
        }
        if let Some(trigger) = draft.verdict.doubt {
            why.push(reason("certainty", "doubt", &self.quote_of(trigger, trigger + 1), ""));
        }
        let is_fault = draft.kind == Kind::Fault;
        Finding {
            id: format!("f{id}"),
            kind: draft.kind,
            part: if matches!(draft.kind, Kind::Fault | Kind::Sound) { part } else { None },
            item,
            side: bearer.and_then(|b| b.placed.side),
            end: bearer.and_then(|b| b.placed.end),
            place: self.place_words(draft),
            defect,
            severity,
            size_mm: draft.said.size.filter(|_| is_fault).map(|[a, b]| [a.round(), b.round()]),
            count: draft.said.count.filter(|_| is_fault),
            remedies: if is_fault { remedies } else { Vec::new() },
            cost: draft.cost.as_ref().filter(|_| is_fault).map(|([low, high], currency, _)| Cost {
                low: *low,
                high: *high,
                currency: currency.clone(),
                from: CostSource::Said,
            }),
            result: draft.result,
            safety: draft.safety && is_fault,
            certainty: draft.verdict.certainty,
            quote: self.narration.quote(first, last),
            at_s: self.narration.words[said_first].start,
            until_s: Seconds(self.narration.words[said_last].end.0.max(self.narration.words[said_first].start.0)),
            words: [first, last],
            why,
            state: State::Draft,
        }
    }

    /// "just below the handle", "along the bottom edge": landmarks and regions around the fault.
    fn place_words(&self, draft: &Draft) -> Option<String> {
        if draft.kind != Kind::Fault {
            return None;
        }
        let clause = &self.clauses.list[draft.clause];
        let bearer = draft.bearer.and_then(|b| b.phrase);
        for at in draft.past..clause.past {
            if self.mentions[at].is_defect() || self.any(at, &[G::Be, G::It, G::Person]) {
                break;
            }
            if !self.any(at, &[G::By, G::Along, G::Host, G::Region]) || self.any(at, &[G::Sized]) {
                continue;
            }
            // What follows, as long as it tells where.
            let mut past = at;
            let mut holds = false;
            while past < clause.past && past < at + 8 {
                let phrase = self.clauses.phrase_at(past);
                if phrase.is_some() && phrase == bearer {
                    break;
                }
                let tells = self.any(
                    past,
                    &[G::By, G::Along, G::Host, G::Region, G::Determiner, G::Of, G::Layer, G::Degree, G::Lead],
                ) || self.mentions[past].place().is_some()
                    || phrase.is_some_and(|n| Some(n) != bearer && self.clauses.phrases[n].governed != Governed::Free);
                if !tells
                    || self.mentions[past].is_defect_noun()
                    || phrase.is_some_and(|n| self.clauses.phrases[n].governed == Governed::Free)
                {
                    break;
                }
                holds |= phrase.is_some() || self.any(past, &[G::Region]);
                past += 1;
            }
            while past > at
                && self.any(past - 1, &[G::Determiner, G::Of, G::Degree, G::Host, G::Along, G::By])
                && self.clauses.phrase_at(past - 1).is_none()
            {
                past -= 1;
            }
            if !holds || past <= at {
                continue;
            }
            let words = self.quote_of(at, past);
            let words = words.trim_matches(|c: char| !c.is_alphanumeric());
            return (!words.is_empty()).then(|| words.to_string());
        }
        None
    }
}

fn flip(side: Side) -> Side {
    match side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        other => other,
    }
}

fn reason(field: &str, rule: &str, words: &str, entry: &str) -> Reason {
    Reason { field: field.into(), rule: rule.into(), words: words.into(), entry: entry.into(), margin: None }
}
