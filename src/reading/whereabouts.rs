//! Fifth pass: the walk. Which side, end and part the speaker is at, clause by clause.
//!
//! What is said wins; then what the walk makes plain: somebody coming down the driver's side who says "rear door" means
//! the one on that side. A side is held until the walk leaves it, and is never guessed for things that have none.

use super::clauses::{Clause, Clauses, Governed, Opening, Phrase};
use super::mentions::Mention;
use crate::report::{End, Hand, Side};
use crate::vocabulary::entries::{Class, CueKind, GrammarClass as G, Points, SaidSide, Sided, Turn, Zone};
use crate::vocabulary::{Market, Meaning, Vocabulary};

/// How a side or an end was reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    Said,
    /// The part's own name carries it.
    Name,
    /// The walk makes it plain.
    Walk,
    /// The opposite of one just named.
    Other,
    /// Taken over from the part named before.
    Carried,
    /// The part has none, or it can't be known.
    None,
}

impl How {
    pub fn rule(self) -> &'static str {
        match self {
            How::Said => "said",
            How::Name => "named",
            How::Walk => "walk",
            How::Other => "other-one",
            How::Carried => "carried",
            How::None => "unknown",
        }
    }
}

/// A noun phrase with its place on the vehicle settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    pub part: Option<u16>,
    pub host: Option<u16>,
    pub side: Option<Side>,
    pub side_how: How,
    pub end: Option<End>,
    pub end_how: How,
    pub plural: bool,
    /// The phrase that named the part, here or before.
    pub named: Option<u32>,
}

impl Placed {
    /// Nothing known of it.
    pub const NOWHERE: Placed = Placed {
        part: None,
        host: None,
        side: None,
        side_how: How::None,
        end: None,
        end_how: How::None,
        plural: false,
        named: None,
    };
}

/// Where the speaker is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Walk {
    pub zone: Zone,
    pub side: Option<Hand>,
    pub end: Option<End>,
    /// The flank walked last, for "the other side".
    flank: Option<Hand>,
    /// The side said last of anything, for a "this side" before any flank was walked.
    heard: Option<Hand>,
    /// The end of the flank spoken of last: a tyre after "front wheel" is the front one.
    flank_end: Option<End>,
    /// The end of the vehicle whose own parts were spoken of last, on the flank or not.
    seen: Option<End>,
    /// Stood at a corner that was named, with no part of a flank spoken of since.
    corner: Option<(Hand, End)>,
    /// Round the vehicle as seen from above.
    clockwise: Option<bool>,
}

/// The walk and the phrases as they stand at each clause.
#[derive(Debug, Default)]
pub struct Whereabouts {
    /// For each clause: where the speaker is while saying it.
    pub walks: Vec<Walk>,
    /// For each phrase of [`Clauses`].
    pub placed: Vec<Placed>,
}

/// Turns sides as spoken into left and right.
#[derive(Clone, Copy, Debug)]
pub struct Sides {
    pub steering: Hand,
    pub near: Hand,
}

impl Sides {
    pub fn new(market: Market, steering: Hand) -> Self {
        // The near side is the kerb side: left where traffic keeps left.
        let near = match market {
            Market::Uk | Market::Au => Hand::Left,
            Market::Us | Market::Eu => Hand::Right,
        };
        Sides { steering, near }
    }

    pub fn hand(self, said: SaidSide, walk: &Walk) -> Option<Hand> {
        match said {
            SaidSide::Left => Some(Hand::Left),
            SaidSide::Right => Some(Hand::Right),
            SaidSide::Near | SaidSide::Kerb => Some(self.near),
            SaidSide::Off => Some(self.near.other()),
            SaidSide::Driver => Some(self.steering),
            SaidSide::Passenger => Some(self.steering.other()),
            SaidSide::This => walk.side.or(walk.flank).or(walk.heard),
            SaidSide::That => walk.heard.or(walk.side).or(walk.flank),
            SaidSide::Other => walk.side.or(walk.flank).or(walk.heard).map(Hand::other),
            SaidSide::Both | SaidSide::All | SaidSide::Centre => None,
        }
    }
}

pub fn whereabouts(mentions: &[Mention], clauses: &Clauses, vocabulary: &Vocabulary, sides: Sides) -> Whereabouts {
    let astride = mentions
        .iter()
        .filter(|m| m.part().is_some_and(|p| vocabulary.is(p, Class::Motorcycle)))
        .nth(MOTORCYCLE_PARTS - 1)
        .is_some();
    let mut walker = Walker {
        mentions,
        clauses,
        vocabulary,
        sides,
        astride,
        walk: Walk::default(),
        last: None,
        subject: None,
        lately: Vec::new(),
        number: 0,
        turned: None,
        crossed: false,
    };
    let mut out = Whereabouts::default();
    for (number, clause) in clauses.list.iter().enumerate() {
        walker.number = number;
        let mut step = walker.enter(clause);
        for at in clause.phrases.clone() {
            let phrase = &clauses.phrases[at];
            // In the order of the words: "tyre's good, driver's side, …" leaves the tyre where it was.
            walker.step(clause, &mut step, phrase.first);
            let mut placed = walker.settle(phrase);
            // "front door, the window motor's slow": the part ahead says where
            if at > clause.phrases.start {
                walker.under_topic(&clauses.phrases[at - 1], out.placed[at - 1], phrase, &mut placed);
            }
            if phrase.part.is_some() {
                placed.named = Some(at as u32);
            }
            if placed.part.is_some() {
                // "worn on the door side, burn in the passenger one": what is spoken of, not where on it
                let aside = phrase.governed == Governed::Host
                    && clause.phrases.start < at
                    && clauses.phrases[clause.phrases.start].governed == Governed::Free
                    && clauses.phrases[clause.phrases.start].part.is_some();
                walker.last = Some(placed);
                if !aside {
                    walker.subject = Some(placed);
                }
                if phrase.governed != Governed::By {
                    walker.lately.push((number, placed));
                }
            }
            out.placed.push(placed);
        }
        if clause.phrases.is_empty() {
            walker.step(clause, &mut step, clause.past);
        }
        out.walks.push(walker.walk);
        walker.step(clause, &mut step, clause.past);
    }
    out
}

/// How far a clause has been walked through.
struct Step {
    at: usize,
    /// Whether the clause says more than where the speaker is.
    told: bool,
    has_part: bool,
    /// Behind the side that was said last.
    after_side: usize,
}

/// Whether a mention says more than where the speaker is.
fn says_something(m: &Mention) -> bool {
    !m.any_grammar(&[G::Along, G::Host, G::Moves, G::Marker, G::Then])
        && (m.is_defect() || m.has(&[Meaning::Praise, Meaning::FunctionWorks, Meaning::Remedy]))
}

/// How many words for parts that only motorcycles have make the vehicle one.
const MOTORCYCLE_PARTS: usize = 3;
/// How many clauses back the same part spoken of again takes its side from.
const SAME_PART: usize = 5;

struct Walker<'a, 'v> {
    mentions: &'a [Mention<'v>],
    clauses: &'a Clauses,
    vocabulary: &'v Vocabulary,
    sides: Sides,
    walk: Walk,
    last: Option<Placed>,
    /// The part spoken of last, that "the other one" stands for.
    subject: Option<Placed>,
    /// A motorcycle: its wheels have no sides, and one walks along all of it.
    astride: bool,
    /// Parts spoken of, with the clauses.
    lately: Vec<(usize, Placed)>,
    number: usize,
    /// The clause in which the walk turned to a flank last.
    turned: Option<usize>,
    /// It crossed to the other flank, and nothing was spoken of since.
    crossed: bool,
}

impl Walker<'_, '_> {
    /// Moves the walk by what the clause says of moving.
    fn enter(&mut self, clause: &Clause) -> Step {
        let next_vehicle = self.mentions[clause.first..clause.past].iter().any(|m| {
            m.entries(Meaning::Cue).any(|c| self.vocabulary.entries.cue[usize::from(c)].does == CueKind::NextVehicle)
        });
        if next_vehicle {
            self.walk = Walk::default();
            self.last = None;
            self.subject = None;
        }
        // "she took it on the passenger corner, so I'll start you there"
        let begins = (clause.first..clause.past).any(|at| {
            self.mentions[at].grammar(G::Moves)
                && !self.mentions[at].any_grammar(&[G::Along, G::Then])
                && (at + 1..clause.past.min(at + 4)).any(|n| self.mentions[n].grammar(G::Lead))
        });
        if begins
            && self.walk.zone == Zone::Anywhere
            && clause.phrases.is_empty()
            && let Some(hand) = self.walk.heard
        {
            self.along(hand);
        }
        Step {
            at: clause.first,
            told: self.mentions[clause.first..clause.past].iter().any(says_something),
            has_part: !clause.phrases.is_empty(),
            after_side: usize::MAX,
        }
    }

    /// Walks on to the mention `to`.
    fn step(&mut self, clause: &Clause, step: &mut Step, to: usize) {
        let (told, has_part) = (step.told, step.has_part);
        for at in step.at..to {
            if self.clauses.phrase_at(at).is_some() {
                continue;
            }
            let Some(place) = self.mentions[at].place().map(|p| &self.vocabulary.entries.place[usize::from(p)]) else {
                continue;
            };
            if place.moves {
                // A word that also tells where something is moves the walk only as a clause of its own.
                if self.mentions[at].any_grammar(&[G::Host, G::By])
                    && clause.opening != Opening::Move
                    && at != clause.first
                {
                    continue;
                }
                match place.turns {
                    Some(Turn::Across) if self.repeats(at) || self.crossed => {}
                    Some(Turn::Clockwise) => self.walk.clockwise = Some(true),
                    Some(Turn::Anticlockwise) => self.walk.clockwise = Some(false),
                    Some(Turn::Across) => {
                        if let Some(flank) = self.walk.side.or(self.walk.flank).or(self.walk.heard) {
                            self.along(flank.other());
                            self.crossed = true;
                        }
                    }
                    Some(Turn::Onward) => {
                        // Coming forward again after the back means the flank not yet walked.
                        if (self.walk.side.is_none() || self.walk.seen == Some(End::Rear))
                            && let Some(flank) = self.walk.flank
                        {
                            self.along(flank.other());
                            self.crossed = true;
                        }
                    }
                    // "now the other side, I come from behind to the front": which way, not where
                    None if self.just_turned() && self.says_to(at) => {}
                    // "start on the passenger side up the front": a corner of that side
                    None if self.side_just_said(at) && matches!(place.zone, Zone::Front | Zone::Rear) => {
                        self.walk.flank_end = place.end;
                        self.walk.corner = self.walk.side.zip(place.end);
                    }
                    None => {
                        let from = self.walk.end.or(self.walk.seen);
                        self.go_to(place.zone, place.end);
                        if place.zone == Zone::Side {
                            self.walk.flank_end = place.end;
                            self.turn_from(from);
                        }
                    }
                }
                continue;
            }
            if at == step.after_side && place.side.is_none() && place.end.is_some() {
                // "the passenger front corner": one corner, not two moves
                self.walk.flank_end = place.end;
                self.walk.corner = self.walk.side.zip(place.end);
                continue;
            }
            if !self.announces(clause, at, told, has_part) {
                let m = &self.mentions[at];
                let filler = m.width() == 1
                    && self.says(m, SaidSide::Right)
                    && !self.mentions[at.saturating_sub(1)].any_grammar(&[G::Determiner, G::Host, G::From]);
                if filler {
                    continue;
                }
                if let Some(hand) =
                    place.side.filter(|s| *s != SaidSide::This).and_then(|said| self.sides.hand(said, &self.walk))
                {
                    self.walk.heard = Some(hand);
                }
                continue;
            }
            if let Some(said) = place.side {
                // "coming forward on the other side": told already
                if said == SaidSide::Other && self.crossed {
                    continue;
                }
                if let Some(hand) = self.sides.hand(said, &self.walk) {
                    self.along(hand);
                    self.walk.heard = Some(hand);
                    self.walk.flank_end = place.end;
                    self.walk.corner = place.end.map(|end| (hand, end));
                    step.after_side = at + 1;
                }
            } else if let Some(end) = place.end {
                self.go_to(if end == End::Front { Zone::Front } else { Zone::Rear }, Some(end));
            }
        }
        step.at = step.at.max(to);
    }

    /// Whether a side or an end said apart from any part tells where the walk goes, rather than where a fault is:
    /// "coming down the driver's side", "nearside.", "driver's side now".
    fn announces(&self, clause: &Clause, at: usize, told: bool, has_part: bool) -> bool {
        // "it's come up from the passenger side": where the fault is
        if self.repeats(at) {
            return false;
        }
        // "Right, hello": a word to begin with
        let led = at > clause.first && self.mentions[at - 1].any_grammar(&[G::Determiner, G::Host, G::From]);
        let mention = &self.mentions[at];
        if mention.width() == 1 && self.says(mention, SaidSide::Right) && !led {
            return false;
        }
        let spot = self.mentions[at].any_grammar(&[G::Host, G::Along])
            || at > clause.first && self.mentions[at - 1].any_grammar(&[G::Host, G::From, G::Along, G::Region])
            || self.mentions[at].place().is_some_and(|_| self.clauses.says_where(at));
        if spot && matches!(clause.opening, Opening::It | Opening::Which | Opening::There | Opening::Because) {
            return false;
        }
        let lead = &self.mentions[clause.first..at];
        let small = |m: &Mention| {
            m.any_grammar(&[
                G::Moves,
                G::Along,
                G::Host,
                G::Then,
                G::Marker,
                G::Determiner,
                G::So,
                G::Person,
                G::Be,
                G::Degree,
                G::Lead,
                G::Modal,
                G::And,
                G::But,
            ])
        };
        let moved = lead.iter().rev().take(4).any(|m| m.grammar(G::Moves)) && !lead.iter().any(says_something);
        let is_end =
            self.mentions[at].place().is_some_and(|p| self.vocabulary.entries.place[usize::from(p)].side.is_none());
        if is_end {
            // "but down the back there": where it is
            let told_of = clause.opening == Opening::But && at > clause.first;
            if self.heads_end(clause, at) {
                return true;
            }
            if self.just_turned() && self.says_to(at) {
                return false;
            }
            return moved && !has_part && !told_of || clause.past - clause.first <= 3 && !told && !has_part;
        }
        let next = self.mentions.get(at + 1);
        // "passenger side is in nice shape"
        let alone = lead.iter().all(|m| m.grammar(G::Determiner))
            && next.is_some_and(|m| m.any_grammar(&[G::Be, G::Have]))
            // "nearside's twin"
            && !self.mentions.get(at + 2).is_some_and(|m| m.has(&[Meaning::Pointing]));
        let goes_on = alone
            || self.heads(clause, at)
            || next.is_some_and(|m| m.any_grammar(&[G::Then, G::Moves]))
            || at + 1 == clause.past && self.then_moves(clause.past);
        !told && !has_part || moved || lead.iter().all(small) && !lead.iter().any(says_something) || goes_on
    }

    fn says(&self, m: &Mention, side: SaidSide) -> bool {
        m.place().is_some_and(|p| self.vocabulary.entries.place[usize::from(p)].side == Some(side))
    }

    /// "… renew. Back end. Bumper, crack": an end by itself ahead of a part that is met there.
    fn heads_end(&self, clause: &Clause, at: usize) -> bool {
        let end = self.mentions[at].place().and_then(|p| self.vocabulary.entries.place[usize::from(p)].end);
        let plain = at + 1 == clause.past
            && at > clause.first
            && !self.clauses.says_where(at)
            && self.clauses.phrase_at(at - 1).is_none()
            && !self.mentions[at - 1].is_defect()
            && !self.mentions[at - 1].any_grammar(&[
                G::Host,
                G::From,
                G::Of,
                G::By,
                G::With,
                G::Along,
                G::Determiner,
                G::Moves,
            ]);
        plain
            && self.clauses.list.get(self.number + 1).is_some_and(|next| {
                next.opening == Opening::Subject
                    && self.clauses.phrases.get(next.phrases.start).is_some_and(|p| {
                        let met = p.part.map(|part| &self.vocabulary.entries.part[usize::from(part)]);
                        p.end.is_none()
                            && p.first <= next.first + 1
                            && met.is_some_and(|e| {
                                e.end == end && matches!(e.zone, Zone::Front | Zone::Rear)
                                    || e.end.is_none() && p.part.is_some_and(|p| self.vocabulary.is(p, Class::Bumper))
                            })
                    })
            })
    }

    /// "… needs painting eventually. Nearside. The front wing …": a side by itself ahead of a part of the flanks.
    fn heads(&self, clause: &Clause, at: usize) -> bool {
        let m = &self.mentions[at];
        let place = m.place().map(|p| &self.vocabulary.entries.place[usize::from(p)]);
        let plain = place.is_some_and(|p| {
            p.end.is_none()
                && matches!(
                    p.side,
                    Some(
                        SaidSide::Near
                            | SaidSide::Off
                            | SaidSide::Driver
                            | SaidSide::Passenger
                            | SaidSide::Kerb
                            | SaidSide::Left
                            | SaidSide::Right
                    )
                )
        });
        if !plain || at + 1 != clause.past || m.width() == 1 && m.any_grammar(&[G::Degree]) {
            return false;
        }
        let led = at > clause.first && self.mentions[at - 1].grammar(G::Determiner);
        let before = at.checked_sub(1 + usize::from(led)).filter(|&b| b >= clause.first);
        let tells = before.is_some_and(|b| {
            let m = &self.mentions[b];
            m.is_defect()
                || self.clauses.phrase_at(b).is_some()
                || m.any_grammar(&[G::Host, G::From, G::Of, G::By, G::With, G::Have, G::Be, G::Sized])
                || m.has(&[Meaning::Unit, Meaning::Object])
        });
        let next = self.clauses.list.get(self.number + 1);
        let flank = next.is_some_and(|n| {
            matches!(n.opening, Opening::Subject | Opening::So | Opening::Then)
                && self.clauses.phrases.get(n.phrases.start).is_some_and(|p| {
                    p.side.is_none()
                        && p.first <= n.first + 2
                        && p.part.is_some_and(|part| self.astride || self.on_flank(part))
                })
        });
        // "the wiper on my side judders. Passenger side. The wing …"
        let placed_already =
            self.clauses.list[self.number].phrases.clone().any(|n| self.clauses.phrases[n].side.is_some());
        // "Nearside. It's been down on this side"
        let this = next.is_some_and(|n| {
            n.opening == Opening::It && self.mentions[n.first..n.past].iter().any(|m| self.says(m, SaidSide::This))
        });
        (!tells || led || placed_already && m.width() > 1) && (flank || this)
    }

    fn then_moves(&self, at: usize) -> bool {
        // "… down the passenger side we go"
        let goes = self.mentions.get(at).is_some_and(|m| m.grammar(G::Person))
            && self.mentions.get(at + 1).is_some_and(|m| m.grammar(G::Moves) || m.has(&[Meaning::FunctionVerb]));
        let moves = self
            .mentions
            .get(at)
            .and_then(Mention::place)
            .is_some_and(|p| self.vocabulary.entries.place[usize::from(p)].moves);
        goes || moves || self.mentions.get(at).is_some_and(|m| m.any_grammar(&[G::Then, G::Moves]))
    }

    /// "… to the front": the place with its word of direction.
    fn says_to(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        m.grammar(G::Host)
            || at > 0 && self.mentions[at - 1].any_grammar(&[G::Host, G::Moves, G::Along, G::By])
            || m.width() >= 3
    }

    /// Whether a side that the walk went to is said right before.
    fn side_just_said(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        let turns = m.any_grammar(&[G::Then]);
        self.walk.zone == Zone::Side
            && !turns
            && at > 0
            && self.mentions[at - 1]
                .place()
                .is_some_and(|p| self.vocabulary.entries.place[usize::from(p)].side.is_some())
            && self.clauses.phrase_at(at - 1).is_none()
    }

    /// "the same on the other side", "other side the same story": said from where one stands.
    fn repeats(&self, at: usize) -> bool {
        let same = |n: usize| {
            self.mentions.get(n).is_some_and(|m| {
                m.entries(Meaning::Pointing)
                    .any(|p| self.vocabulary.entries.pointing[usize::from(p)].points == Points::Same)
            })
        };
        same(at + 1)
            || self.mentions.get(at + 1).is_some_and(|m| m.any_grammar(&[G::Be, G::Have, G::Determiner]))
                && same(at + 2)
            || at > 0 && (same(at - 1) || at > 1 && same(at - 2))
    }

    /// Walking round one way, the flank follows from the end that was left.
    fn turn_from(&mut self, end: Option<End>) {
        let (Some(clockwise), Some(end)) = (self.walk.clockwise, end) else { return };
        // Clockwise seen from above: from the front, facing forward, along the right-hand side.
        self.along(if clockwise == (end == End::Front) { Hand::Right } else { Hand::Left });
    }

    /// A part named right behind another that has a verb of its own lies where that one does.
    fn under_topic(&self, topic: &Phrase, at: Placed, phrase: &Phrase, placed: &mut Placed) {
        let beside = topic.past == phrase.first
            && topic.governed == Governed::Free
            && phrase.governed == Governed::Free
            && topic.part.is_some()
            && phrase.part.is_some()
            && topic.part != phrase.part;
        if !beside || !matches!(at.side_how, How::Said | How::Walk | How::Other) || at.side.is_none() {
            return;
        }
        let entry = &self.vocabulary.entries.part[usize::from(placed.part.expect("named"))];
        let apt = entry.side == Sided::Either || entry.generic;
        if apt && !matches!(placed.side_how, How::Said | How::Other) && !phrase.plural {
            (placed.side, placed.side_how) = (at.side, How::Carried);
            if placed.end.is_none() {
                (placed.end, placed.end_how) = (at.end, How::Carried);
            }
        }
    }

    fn go_to(&mut self, zone: Zone, end: Option<End>) {
        self.walk.corner = None;
        self.walk.seen = end.or(self.walk.seen);
        self.walk.zone = zone;
        self.walk.end = end;
        self.walk.side = None;
        self.walk.flank_end = None;
    }

    /// Whether the walk came to this flank just now.
    fn just_turned(&self) -> bool {
        self.walk.zone == Zone::Side && self.turned.is_some_and(|n| self.number - n <= 1)
    }

    fn along(&mut self, hand: Hand) {
        self.turned = Some(self.number);
        self.walk.corner = None;
        self.walk.seen = None;
        if self.walk.side != Some(hand) || self.walk.zone != Zone::Side {
            self.walk.flank_end = None;
        }
        self.walk.zone = Zone::Side;
        self.walk.side = Some(hand);
        self.walk.flank = Some(hand);
        self.walk.end = None;
    }

    fn settle(&mut self, phrase: &Phrase) -> Placed {
        (self.turned, self.crossed) = (None, false);
        let parts = &self.vocabulary.entries.part;
        let Some(part) = phrase.part else { return self.stand_in(phrase) };
        let part = self.sense_here(part, phrase);
        // A piece lies where its host lies.
        let bearer = phrase.host.unwrap_or(part);
        let entry = &parts[usize::from(bearer)];
        let flank_part = self.on_flank(bearer);
        let (side, side_how) = match phrase.side {
            Some(SaidSide::Both) => {
                let here = flank_part
                    && phrase.end.is_none()
                    && entry.end.is_none()
                    && self.walk.side.is_some()
                    && self.walk.zone == Zone::Side
                    && self.has_ends(bearer);
                if here { (self.walk.side.map(Side::from), How::Walk) } else { (Some(Side::Both), How::Said) }
            }
            Some(SaidSide::All) => (None, How::Said),
            Some(SaidSide::Centre) => (Some(Side::Centre), How::Said),
            Some(said) => {
                let hand = self.sides.hand(said, &self.walk);
                self.walk.heard = hand.or(self.walk.heard);
                if let Some(hand) = hand
                    && flank_part
                    && !self.astride
                    && (phrase.governed == Governed::Free || self.reached_by_moving(phrase))
                    && self.walk.zone != Zone::Inside
                    && !matches!(said, SaidSide::Other)
                    && (self.walk.side != Some(hand) || self.walk.zone != Zone::Side)
                {
                    self.along(hand);
                    self.turned = None;
                }
                // "starting driver's headlight and going back": where the walk begins
                if let Some(hand) = hand
                    && !flank_part
                    && !self.astride
                    && self.walk.zone == Zone::Anywhere
                    && self.reached_by_moving(phrase)
                {
                    self.along(hand);
                    self.walk.flank_end = phrase.end.or(entry.end);
                }
                (hand.map(Side::from), if hand.is_some() { How::Said } else { How::None })
            }
            None if entry.side == Sided::Centre => (Some(Side::Centre), How::Name),
            // "the rear discs", "front tyres": the pair of them
            None if phrase.plural
                && phrase.end.is_some()
                && phrase.number.is_none()
                && !self.astride
                && entry.side == Sided::Either
                && (self.has_ends(bearer) || self.vocabulary.is(bearer, Class::Brake)) =>
            {
                // "rear doors are bent on the left": a side said further on tells which
                (Some(Side::Both), How::Name)
            }
            None if self.astride && self.in_line(bearer) => (None, How::None),
            None if self.astride
                && self.walk.zone == Zone::Side
                && (self.vocabulary.is(bearer, Class::Motorcycle) || self.vocabulary.is(bearer, Class::Exhaust)) =>
            {
                match self.walk.side {
                    Some(hand) => (Some(hand.into()), How::Walk),
                    None => (None, How::None),
                }
            }
            // "kick off at the passenger front corner, the bumper's cracked"
            None if self.vocabulary.is(bearer, Class::Bumper) && self.at_corner(entry.end) => {
                (self.walk.corner.map(|(hand, _)| hand.into()), How::Walk)
            }
            None if entry.side == Sided::None => (None, How::None),
            None if entry.side == Sided::Said => self.said_lately(part),
            None => self.side_by_walk(
                phrase,
                // What holds a wheel is met beside it.
                if flank_part || self.vocabulary.is(bearer, Class::Suspension) { Zone::Side } else { entry.zone },
                entry.zone == Zone::Wheels,
                entry.generic,
            ),
        };
        let (side, side_how) = match side {
            None if side_how == How::None && entry.side == Sided::Either && !phrase.plural && phrase.side.is_none() => {
                self.said_lately(part)
            }
            _ => (side, side_how),
        };
        let (mut end, mut end_how) = self.end_of(phrase, bearer);
        // "the fog lamp beside it": where the one before is
        let (side, side_how) = match self.last {
            Some(last)
                if side.is_none()
                    && side_how == How::None
                    && entry.side == Sided::Either
                    && !phrase.plural
                    && last.side.is_some()
                    && self.beside_it(phrase) =>
            {
                if end.is_none() {
                    (end, end_how) = (last.end, How::Carried);
                }
                (last.side, How::Carried)
            }
            _ => (side, side_how),
        };
        if phrase.governed == Governed::Free
            && entry.side == Sided::None
            && let (Zone::Front | Zone::Rear, Some(end)) = (entry.zone, entry.end)
        {
            self.walk.seen = Some(end);
        }
        if flank_part && phrase.governed == Governed::Free {
            self.walk.corner = None;
        }
        if flank_part && phrase.end.is_some() && self.walk.zone == Zone::Side {
            self.walk.flank_end = phrase.end;
        }
        Placed { part: Some(part), host: phrase.host, side, side_how, end, end_how, plural: phrase.plural, named: None }
    }

    /// "… beside it", "… under that".
    fn beside_it(&self, phrase: &Phrase) -> bool {
        self.mentions.get(phrase.past).is_some_and(|m| m.grammar(G::By))
            && self.mentions.get(phrase.past + 1).is_some_and(|m| m.grammar(G::It))
    }

    /// Of two senses of a word, the one that can be met where the speaker is.
    fn sense_here(&self, part: u16, phrase: &Phrase) -> u16 {
        let Some(other) = phrase.other.filter(|_| phrase.host.is_none()) else { return part };
        let parts = &self.vocabulary.entries.part;
        // "the window's slow, the motor's tired": that of the thing just spoken of
        let driven = [Class::Window, Class::Mirror, Class::Opening, Class::Seat, Class::Wiper];
        if parts[usize::from(other)].generic
            && !matches!(self.walk.zone, Zone::Engine | Zone::Road)
            && self.lately.last().is_some_and(|(n, p)| {
                self.number - n <= 2 && p.part.is_some_and(|p| driven.iter().any(|&c| self.vocabulary.is(p, c)))
            })
        {
            return other;
        }
        let meets = |p: u16| match self.walk.zone {
            Zone::Anywhere => true,
            Zone::Front | Zone::Side | Zone::Rear | Zone::Roof | Zone::Load => {
                let class = [Class::Gearbox, Class::Engine, Class::Fluid].iter().any(|&c| self.vocabulary.is(p, c));
                !class
                    && !matches!(
                        parts[usize::from(p)].zone,
                        Zone::Inside | Zone::Engine | Zone::Under | Zone::Road | Zone::Papers
                    )
            }
            Zone::Inside | Zone::Living => matches!(
                parts[usize::from(p)].zone,
                Zone::Inside | Zone::Living | Zone::Anywhere | Zone::Engine | Zone::Under
            ),
            Zone::Engine | Zone::Under | Zone::Road => !self.vocabulary.is(p, Class::Body),
            Zone::Wheels | Zone::Papers => true,
        };
        // "back window" along a flank is the one in its door
        let of_flank = self.walk.zone == Zone::Side
            && parts[usize::from(part)].side == Sided::None
            && parts[usize::from(other)].side == Sided::Either
            && parts[usize::from(other)].zone == Zone::Side;
        if of_flank {
            return other;
        }
        let outside =
            !matches!(self.walk.zone, Zone::Inside | Zone::Living) && parts[usize::from(other)].zone == Zone::Living;
        if !meets(part) && meets(other) && !outside { other } else { part }
    }

    /// The side of the same part, said a moment ago: "the same chair is jammed".
    fn said_lately(&self, part: u16) -> (Option<Side>, How) {
        let lately = self.lately.iter().rev().take_while(|(n, _)| self.number - n <= SAME_PART);
        let found = lately.map(|(_, p)| p).find(|p| p.part == Some(part));
        match found {
            Some(p) if matches!(p.side_how, How::Said | How::Carried) && p.side.is_some() => (p.side, How::Carried),
            _ => (None, How::None),
        }
    }

    /// What a motorcycle has one of at each end.
    fn in_line(&self, part: u16) -> bool {
        let v = self.vocabulary;
        [Class::Tyre, Class::Wheel, Class::Driveline, Class::Seat].iter().any(|&c| v.is(part, c))
            || v.entries.part[usize::from(part)].zone == Zone::Wheels
    }

    fn side_by_walk(&self, phrase: &Phrase, zone: Zone, wheels: bool, generic: bool) -> (Option<Side>, How) {
        let on_flank = self.walk.zone == Zone::Side;
        match (zone, self.walk.side) {
            (Zone::Side | Zone::Wheels | Zone::Anywhere, Some(hand)) if on_flank => {
                // "tyres are all …" speaks of the vehicle, not of this side
                let whole = phrase.plural && wheels && phrase.end.is_none() && phrase.number.is_none();
                if whole { (None, How::None) } else { (Some(hand.into()), How::Walk) }
            }
            // "… grille, bonnet, the tow eye cover's missing": off the flank already
            (Zone::Front | Zone::Rear, Some(_)) if on_flank && self.walk.seen.is_some() => (None, How::None),
            (Zone::Front | Zone::Rear | Zone::Living | Zone::Roof, Some(hand)) if on_flank && !phrase.plural => {
                (Some(hand.into()), How::Walk)
            }
            _ => match self.last {
                Some(last) if generic || self.is_piece_of(phrase, &last) => (last.side, How::Carried),
                _ => (None, How::None),
            },
        }
    }

    fn at_corner(&self, end: Option<End>) -> bool {
        self.walk.corner.is_some_and(|(_, at)| end.is_none_or(|end| end == at))
    }

    /// Whether a part belongs to the flanks that are walked along.
    fn on_flank(&self, part: u16) -> bool {
        let entry = &self.vocabulary.entries.part[usize::from(part)];
        matches!(entry.zone, Zone::Side | Zone::Wheels)
            || entry.side == Sided::Either
                && matches!(entry.zone, Zone::Rear | Zone::Load | Zone::Anywhere)
                && self.vocabulary.is(part, Class::Body)
    }

    /// "up the passenger side quarter": the preposition is one of moving.
    fn reached_by_moving(&self, phrase: &Phrase) -> bool {
        let moved = |at: usize| self.mentions[at].grammar(G::Moves);
        let first = phrase.first;
        first > 0 && moved(first - 1)
            || first > 1 && self.mentions[first].grammar(G::Determiner) && moved(first - 1)
            // "begin at the driver's door"
            || first > 1 && self.mentions[first - 1].any_grammar(&[G::Along, G::Host, G::From]) && moved(first - 2)
    }

    /// Whether the phrase names a piece of the part named before: the bolster of a seat, the glass of a mirror.
    fn is_piece_of(&self, phrase: &Phrase, last: &Placed) -> bool {
        let parts = &self.vocabulary.entries.part;
        let (Some(piece), Some(whole)) = (phrase.part, last.part) else { return false };
        let (piece, whole) = (parts[usize::from(piece)].id.as_str(), parts[usize::from(whole)].id.as_str());
        let of = piece.strip_prefix(whole).is_some_and(|rest| rest.starts_with('-'));
        // "base torn, bolster collapsed": two pieces of one seat
        let beside = piece != whole
            && piece.split_once('-').is_some_and(|(p, _)| {
                whole.split_once('-').is_some_and(|(w, _)| p == w) && self.vocabulary.part_id(p).is_some()
            });
        of || beside
    }

    /// Whether there is a front and a rear one of it on each side.
    fn has_ends(&self, part: u16) -> bool {
        let v = self.vocabulary;
        [Class::Tyre, Class::Wheel].iter().any(|&c| v.is(part, c))
            || matches!(v.entries.part[usize::from(part)].zone, Zone::Wheels)
            || v.part_id("door") == Some(part)
    }

    fn end_of(&self, phrase: &Phrase, part: u16) -> (Option<End>, How) {
        let entry = &self.vocabulary.entries.part[usize::from(part)];
        if let Some(end) = phrase.end {
            return (Some(end), How::Said);
        }
        if let Some(end) = entry.end {
            return (Some(end), How::Name);
        }
        if let Some(end) = entry.usual_end {
            return (Some(end), How::Name);
        }
        let beside_driver = matches!(phrase.side, Some(SaidSide::Driver | SaidSide::Passenger));
        let seat_or_door = [Class::Seat, Class::Belt].iter().any(|&c| self.vocabulary.is(part, c))
            || self.vocabulary.is(part, Class::Opening) && entry.zone == Zone::Side
            || self.vocabulary.is(part, Class::Window);
        if beside_driver && seat_or_door {
            return (Some(End::Front), How::Name);
        }
        if let Some(last) = self.last.filter(|last| self.is_piece_of(phrase, last)) {
            return (last.end, How::Carried);
        }
        if self.has_ends(part)
            && let Some(end) = self.walk.flank_end
            && !phrase.plural
        {
            return (Some(end), How::Walk);
        }
        if let Some((_, end)) = self.walk.corner.filter(|_| self.vocabulary.is(part, Class::Bumper)) {
            return (Some(end), How::Walk);
        }
        if matches!(entry.zone, Zone::Front | Zone::Rear | Zone::Anywhere)
            && matches!(self.walk.zone, Zone::Front | Zone::Rear)
            && let Some(end) = self.walk.end
        {
            return (Some(end), How::Walk);
        }
        (None, How::None)
    }

    /// "the other one", "the rears", "the left one": the part named before, with what is said now.
    fn stand_in(&mut self, phrase: &Phrase) -> Placed {
        let Some(last) = self.subject else {
            return Placed { plural: phrase.plural, ..Placed::NOWHERE };
        };
        let mut placed = Placed { plural: phrase.plural, ..last };
        match phrase.side {
            Some(SaidSide::Both) => (placed.side, placed.side_how) = (Some(Side::Both), How::Said),
            Some(SaidSide::All) => (placed.side, placed.side_how) = (None, How::Said),
            Some(SaidSide::Centre) => (placed.side, placed.side_how) = (Some(Side::Centre), How::Said),
            Some(said) => {
                if let Some(hand) = self.sides.hand(said, &self.walk) {
                    (placed.side, placed.side_how) = (Some(hand.into()), How::Said);
                    self.walk.heard = Some(hand);
                }
            }
            None if phrase.points == Some(Points::OtherOne) => {
                let flip_end = last.side_how != How::Said && last.end_how == How::Said;
                if flip_end {
                    placed.end = last.end.map(|e| if e == End::Front { End::Rear } else { End::Front });
                    placed.end_how = How::Other;
                } else {
                    placed.side_how = How::Other;
                    placed.side = match last.side {
                        Some(Side::Left) => Some(Side::Right),
                        Some(Side::Right) => Some(Side::Left),
                        other => other,
                    };
                }
            }
            None => {}
        }
        if let Some(end) = phrase.end {
            (placed.end, placed.end_how) = (Some(end), How::Said);
            let by_walk = placed.side.is_none()
                && self.walk.zone == Zone::Side
                && !phrase.plural
                && placed.part.is_some_and(|p| self.has_ends(p));
            if placed.side_how == How::Walk || by_walk {
                (placed.side, placed.side_how) = (self.walk.side.map(Side::from).or(placed.side), How::Walk);
            }
            if self.walk.zone == Zone::Side {
                self.walk.flank_end = Some(end);
            }
        }
        placed
    }
}
