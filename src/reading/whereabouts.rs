//! Fifth pass: the walk. Which side, end and part the speaker is at, clause by clause.
//!
//! What is said wins; then what the walk makes plain: somebody coming down the driver's side who says "rear door" means
//! the one on that side. A side is held until the walk leaves it, and is never guessed for things that have none.

use super::clauses::{Clause, Clauses, Governed, Opening, Phrase};
use super::mentions::Mention;
use crate::report::{End, Hand, Side};
use crate::vocabulary::entries::{Class, CueKind, GrammarClass as G, Points, SaidSide, Sided, Turn, Zone};
use crate::vocabulary::{Market, Sense, Vocabulary};

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
            SaidSide::Other => walk.side.or(walk.flank).or(walk.heard).map(Hand::other),
            SaidSide::Both | SaidSide::All | SaidSide::Centre => None,
        }
    }
}

pub fn whereabouts(mentions: &[Mention], clauses: &Clauses, vocabulary: &Vocabulary, sides: Sides) -> Whereabouts {
    let mut walker = Walker { mentions, clauses, vocabulary, sides, walk: Walk::default(), last: None };
    let mut out = Whereabouts::default();
    for clause in &clauses.list {
        walker.step(clause);
        out.walks.push(walker.walk);
        for at in clause.phrases.clone() {
            let placed = walker.settle(&clauses.phrases[at]);
            if placed.part.is_some() {
                walker.last = Some(placed);
            }
            out.placed.push(placed);
        }
    }
    out
}

/// Whether a mention says more than where the speaker is.
fn says_something(m: &Mention) -> bool {
    !m.any_grammar(&[G::Along, G::Host, G::Moves, G::Marker, G::Then])
        && (m.is_defect()
            || m.find(|s| matches!(s, Sense::Praise(_) | Sense::FunctionWorks(_) | Sense::Remedy(_)).then_some(()))
                .is_some())
}

struct Walker<'a, 'v> {
    mentions: &'a [Mention<'v>],
    clauses: &'a Clauses,
    vocabulary: &'v Vocabulary,
    sides: Sides,
    walk: Walk,
    last: Option<Placed>,
}

impl Walker<'_, '_> {
    /// Moves the walk by what the clause says of moving.
    fn step(&mut self, clause: &Clause) {
        let next_vehicle = self.mentions[clause.first..clause.past].iter().any(|m| {
            m.find(|s| match s {
                Sense::Cue(c) => {
                    (self.vocabulary.entries.cue[usize::from(c)].does == CueKind::NextVehicle).then_some(())
                }
                _ => None,
            })
            .is_some()
        });
        if next_vehicle {
            self.walk = Walk::default();
            self.last = None;
        }
        let told = self.mentions[clause.first..clause.past].iter().any(says_something);
        let has_part = !clause.phrases.is_empty();
        let mut after_side = usize::MAX;
        for at in clause.first..clause.past {
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
                    Some(Turn::Across) => {
                        if let Some(flank) = self.walk.side.or(self.walk.flank).or(self.walk.heard) {
                            self.along(flank.other());
                        }
                    }
                    Some(Turn::Onward) => {
                        // Coming forward again after the back means the flank not yet walked.
                        if self.walk.side.is_none()
                            && let Some(flank) = self.walk.flank
                        {
                            self.along(flank.other());
                        }
                    }
                    None => self.go_to(place.zone, place.end),
                }
                continue;
            }
            if !self.announces(clause, at, told, has_part) {
                if let Some(hand) =
                    place.side.filter(|s| *s != SaidSide::This).and_then(|said| self.sides.hand(said, &self.walk))
                {
                    self.walk.heard = Some(hand);
                }
                continue;
            }
            if let Some(said) = place.side {
                if let Some(hand) = self.sides.hand(said, &self.walk) {
                    self.along(hand);
                    self.walk.flank_end = place.end;
                    after_side = at + 1;
                }
            } else if at == after_side {
                // "the passenger front corner": one corner, not two moves
                self.walk.flank_end = place.end;
            } else if let Some(end) = place.end {
                self.go_to(if end == End::Front { Zone::Front } else { Zone::Rear }, Some(end));
            }
        }
    }

    /// Whether a side or an end said apart from any part tells where the walk goes, rather than where a fault is:
    /// "coming down the driver's side", "nearside.", "driver's side now".
    fn announces(&self, clause: &Clause, at: usize, told: bool, has_part: bool) -> bool {
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
            return moved && !has_part || clause.past - clause.first <= 3 && !told && !has_part;
        }
        let next = self.mentions.get(at + 1);
        // "passenger side is in nice shape"
        let alone = at == clause.first && next.is_some_and(|m| m.any_grammar(&[G::Be, G::Have]));
        let goes_on = alone
            || next.is_some_and(|m| m.any_grammar(&[G::Then, G::Moves]))
            || at + 1 == clause.past && self.then_moves(clause.past);
        !told && !has_part || moved || lead.iter().all(small) && !lead.iter().any(says_something) || goes_on
    }

    fn then_moves(&self, at: usize) -> bool {
        self.mentions.get(at).is_some_and(|m| m.any_grammar(&[G::Then, G::Moves]))
    }

    fn go_to(&mut self, zone: Zone, end: Option<End>) {
        self.walk.zone = zone;
        self.walk.end = end;
        self.walk.side = None;
        self.walk.flank_end = None;
    }

    fn along(&mut self, hand: Hand) {
        if self.walk.side != Some(hand) || self.walk.zone != Zone::Side {
            self.walk.flank_end = None;
        }
        self.walk.zone = Zone::Side;
        self.walk.side = Some(hand);
        self.walk.flank = Some(hand);
        self.walk.end = None;
    }

    fn settle(&mut self, phrase: &Phrase) -> Placed {
        let parts = &self.vocabulary.entries.part;
        let Some(part) = phrase.part else { return self.stand_in(phrase) };
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
                    && (phrase.governed == Governed::Free || self.reached_by_moving(phrase))
                    && self.walk.zone != Zone::Inside
                    && !matches!(said, SaidSide::Other)
                {
                    self.along(hand);
                }
                (hand.map(Side::from), if hand.is_some() { How::Said } else { How::None })
            }
            None if entry.side == Sided::Centre => (Some(Side::Centre), How::Name),
            None if entry.side == Sided::None => (None, How::None),
            None => self.side_by_walk(
                phrase,
                if flank_part { Zone::Side } else { entry.zone },
                entry.zone == Zone::Wheels,
                entry.generic,
            ),
        };
        let (end, end_how) = self.end_of(phrase, bearer);
        if flank_part && phrase.end.is_some() && self.walk.zone == Zone::Side {
            self.walk.flank_end = phrase.end;
        }
        Placed { part: Some(part), host: phrase.host, side, side_how, end, end_how, plural: phrase.plural }
    }

    fn side_by_walk(&self, phrase: &Phrase, zone: Zone, wheels: bool, generic: bool) -> (Option<Side>, How) {
        let on_flank = self.walk.zone == Zone::Side;
        match (zone, self.walk.side) {
            (Zone::Side | Zone::Wheels | Zone::Anywhere, Some(hand)) if on_flank => {
                // "tyres are all …" speaks of the vehicle, not of this side
                let whole = phrase.plural && wheels && phrase.end.is_none() && phrase.number.is_none();
                if whole { (None, How::None) } else { (Some(hand.into()), How::Walk) }
            }
            (Zone::Front | Zone::Rear | Zone::Living | Zone::Roof, Some(hand)) if on_flank && !phrase.plural => {
                (Some(hand.into()), How::Walk)
            }
            _ => match self.last {
                Some(last) if generic || self.is_piece_of(phrase, &last) => (last.side, How::Carried),
                _ => (None, How::None),
            },
        }
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
        phrase.first > 0 && self.mentions[phrase.first - 1].grammar(G::Moves)
            || phrase.first > 1
                && self.mentions[phrase.first].grammar(G::Determiner)
                && self.mentions[phrase.first - 1].grammar(G::Moves)
    }

    /// Whether the phrase names a piece of the part named before: the bolster of a seat, the glass of a mirror.
    fn is_piece_of(&self, phrase: &Phrase, last: &Placed) -> bool {
        let parts = &self.vocabulary.entries.part;
        let (Some(piece), Some(whole)) = (phrase.part, last.part) else { return false };
        parts[usize::from(piece)]
            .id
            .strip_prefix(parts[usize::from(whole)].id.as_str())
            .is_some_and(|rest| rest.starts_with('-'))
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
        let Some(last) = self.last else {
            return Placed {
                part: None,
                host: None,
                side: None,
                side_how: How::None,
                end: None,
                end_how: How::None,
                plural: phrase.plural,
            };
        };
        let mut placed = Placed { plural: phrase.plural, ..last };
        match phrase.side {
            Some(SaidSide::Both) => (placed.side, placed.side_how) = (Some(Side::Both), How::Said),
            Some(SaidSide::All) => (placed.side, placed.side_how) = (None, How::Said),
            Some(SaidSide::Centre) => (placed.side, placed.side_how) = (Some(Side::Centre), How::Said),
            Some(said) => {
                if let Some(hand) = self.sides.hand(said, &self.walk) {
                    (placed.side, placed.side_how) = (Some(hand.into()), How::Said);
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
            if placed.side_how == How::Walk {
                placed.side = self.walk.side.map(Side::from).or(placed.side);
            }
            if self.walk.zone == Zone::Side {
                self.walk.flank_end = Some(end);
            }
        }
        placed
    }
}
