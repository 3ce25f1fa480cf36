//! Third pass: mentions become noun phrases and clauses.
//!
//! A noun phrase is a part with what is said of its side and end ("the nearside rear door"), or a word that stands
//! for one ("the other one"). A clause is one statement. Where it begins is told by what opens it (a conjunction, "there
//! is", a pronoun with its verb, a new subject), never by punctuation, which captions lack.

use super::mentions::Mention;
use super::numbers::Spoken;
use super::tokens::Token;
use crate::report::End;
use crate::vocabulary::entries::{Class, GrammarClass as G, Means, Points, Reach, SaidSide, Sided, UnitKind, Zone};
use crate::vocabulary::spelling::WordId;
use crate::vocabulary::{Meaning, Meanings, Sense, SmallWords, Vocabulary};

/// What stands before a noun phrase and rules it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Governed {
    /// Nothing: it can be a subject.
    Free,
    /// "on", "in": names the bearer of what was said.
    Host,
    /// "across", "along": names the bearer where nothing else does.
    Along,
    /// "by", "below": names a landmark.
    By,
    Of,
    From,
    With,
    /// Object of a verb: "it has a …", "there is a …".
    Object,
    /// Object of taking away: "lost its …".
    Lost,
    /// Directly denied: "no spare wheel".
    Denied,
}

/// A part with what is said of it in passing, or a word that stands for one.
#[derive(Clone, Debug)]
pub struct Phrase {
    /// Mentions it covers.
    pub first: usize,
    pub past: usize,
    /// The mention that names the part.
    pub head: usize,
    /// `None` where a pointing word stands for it.
    pub part: Option<u16>,
    /// Another part that the same words can mean.
    pub other: Option<u16>,
    /// The part that it is a piece of: the mirror of "mirror glass".
    pub host: Option<u16>,
    pub side: Option<SaidSide>,
    pub end: Option<End>,
    pub governed: Governed,
    pub points: Option<Points>,
    pub plural: bool,
    pub number: Option<Spoken>,
    /// A condition right before it: the "cracked" of "a cracked lens".
    pub adjective: Option<usize>,
}

/// How a clause begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Opening {
    Start,
    Move,
    Cue,
    But,
    So,
    Because,
    Then,
    Which,
    When,
    There,
    It,
    Person,
    Subject,
}

/// One statement.
#[derive(Clone, Debug)]
pub struct Clause {
    pub first: usize,
    pub past: usize,
    pub opening: Opening,
    /// Whether "and" joins it to the clause before.
    pub joined: bool,
    /// Noun phrases in it, as a range of the list of phrases.
    pub phrases: std::ops::Range<usize>,
    /// Whether it tells of the past ("was", "had").
    pub past_tense: bool,
    // What any of its mentions can mean: most rules ask for what a clause has none of.
    meanings: Meanings,
    small_words: SmallWords,
}

impl Clause {
    /// Its mentions, if any of them can mean one of these.
    pub fn having(&self, any: &[Meaning]) -> std::ops::Range<usize> {
        if self.meanings.holds(any) { self.first..self.past } else { self.first..self.first }
    }

    /// Whether any of its mentions is one of these small words.
    pub fn any_grammar(&self, classes: &[G]) -> bool {
        self.small_words.holds(classes)
    }
}

#[derive(Clone, Debug, Default)]
pub struct Clauses {
    pub phrases: Vec<Phrase>,
    pub list: Vec<Clause>,
    /// For each mention: one more than the number of the phrase that covers it, or 0.
    cover: Vec<u32>,
    /// For each mention: whether it is a place that tells where something is, with its own preposition or noun.
    where_words: Vec<bool>,
}

impl Clauses {
    /// Whether the mention is a place with its own preposition or noun: "on both corners", "at the back".
    pub fn says_where(&self, mention: usize) -> bool {
        self.where_words.get(mention).copied().unwrap_or(false)
    }

    pub fn phrase_at(&self, mention: usize) -> Option<usize> {
        match self.cover.get(mention) {
            Some(0) | None => None,
            Some(&n) => Some(n as usize - 1),
        }
    }
}

struct Cutter<'a, 'v> {
    vocabulary: &'v Vocabulary,
    mentions: &'a [Mention<'v>],
    tokens: &'a [Token],
}

pub fn clauses(mentions: &[Mention], tokens: &[Token], vocabulary: &Vocabulary) -> Clauses {
    let cutter = Cutter { vocabulary, mentions, tokens };
    let phrases = cutter.phrases();
    let mut cover = vec![0u32; mentions.len()];
    for (at, phrase) in phrases.iter().enumerate() {
        cover[phrase.first..phrase.past].fill(at as u32 + 1);
    }
    let where_words = (0..mentions.len()).map(|at| mentions[at].place().is_some() && cutter.says_where(at)).collect();
    let mut out = Clauses { phrases, list: Vec::new(), cover, where_words };
    cutter.cut(&mut out);
    out
}

impl Cutter<'_, '_> {
    fn place(&self, at: usize) -> Option<&crate::vocabulary::entries::Place> {
        self.mentions.get(at)?.place().map(|p| &self.vocabulary.entries.place[usize::from(p)])
    }

    fn points(&self, at: usize) -> Option<Points> {
        self.mentions.get(at)?.entry(Meaning::Pointing).map(|p| self.vocabulary.entries.pointing[usize::from(p)].points)
    }

    fn grammar(&self, at: usize, class: G) -> bool {
        self.mentions.get(at).is_some_and(|m| m.grammar(class))
    }

    fn any(&self, at: usize, classes: &[G]) -> bool {
        self.mentions.get(at).is_some_and(|m| m.any_grammar(classes))
    }

    fn denies(&self, at: usize) -> bool {
        self.mentions.get(at).is_some_and(|m| {
            m.entries(Meaning::Standing).any(|n| {
                let entry = &self.vocabulary.entries.standing[usize::from(n)];
                entry.means == Means::Denied && entry.reaches != Reach::Before
            })
        })
    }

    /// Whether a phrase ends in "of" or "the", so that what follows belongs to it.
    fn leads_on(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        let last = self.tokens[m.past as usize - 1].id;
        m.width() > 1 && matches!(self.vocabulary.spelling.name(last), "of" | "the")
    }

    /// A side or end that belongs to a noun phrase, not a move or a remark on the whole walk.
    fn still_place(&self, at: usize) -> bool {
        self.place(at).is_some_and(|p| !p.moves && (p.side.is_some() || p.end.is_some()))
    }

    /// Whether a part mention is to be taken as one here: names that are ordinary words too need company.
    fn part(&self, at: usize) -> Option<u16> {
        let mention = self.mentions.get(at)?;
        let part = mention.part()?;
        // A move ("boot now") names the zone; a longer meaning has won already.
        if self.place(at).is_some_and(|p| p.moves)
            && !self.any(at.wrapping_sub(1), &[G::Determiner])
            && !self.any(at + 1, &[G::Be, G::Have])
        {
            return None;
        }
        // "a light scuff": how bad, not a lamp
        let slight = mention.has(&[Meaning::Hedge]);
        if slight && self.mentions.get(at + 1).is_some_and(|m| m.is_defect_noun() || m.is_defect_state()) {
            return None;
        }
        // "airbag lamp stays on": a verb, not a strut
        if mention.grammar(G::Be) && at > 0 && self.mentions[at - 1].part().is_some() {
            return None;
        }
        // "a four metre one": a measure, not the dial
        let measure = mention.find(|s| match s {
            Sense::Unit(u) => {
                let kind = self.vocabulary.entries.unit[usize::from(u)].kind;
                matches!(kind, UnitKind::Length | UnitKind::Distance).then_some(())
            }
            _ => None,
        });
        // "the size of a quarter", "like a donut"
        let likened = mention.has(&[Meaning::Object]) && {
            let mut before = at;
            while before > 0
                && (self.any(before - 1, &[G::Determiner, G::Degree]) || self.mentions[before - 1].number.is_some())
                && !self.any(before - 1, &[G::Likeness])
            {
                before -= 1;
            }
            before > 0 && self.any(before - 1, &[G::Likeness])
        };
        if likened {
            return None;
        }
        // "the step underneath is rusty", "underneath the number plate": where something is
        if mention.grammar(G::By)
            && at > 0
            && !self.any(at - 1, &[G::Determiner, G::Host, G::From])
            && (!self.any(at + 1, &[G::Be, G::Have, G::There]) || self.mentions[at - 1].part().is_some())
        {
            return None;
        }
        if measure.is_some() && !(at > 0 && self.grammar(at - 1, G::Determiner)) {
            return None;
        }
        // "starting nearside front", "steering round to the back": a move, not the function
        if mention.grammar(G::Moves)
            && !self.any(at.wrapping_sub(1), &[G::Determiner])
            && (self.still_place(at + 1) || self.any(at + 1, &[G::Along, G::Host]))
        {
            return None;
        }
        if !self.vocabulary.entries.part[usize::from(part)].also {
            return Some(part);
        }
        let beside = |m: Option<&Mention>| {
            m.is_some_and(|m| {
                m.part().is_some()
                    || m.is_defect()
                    || m.place().is_some()
                    || m.any_grammar(&[G::Determiner, G::Be, G::Have, G::By, G::Of])
                    || m.has(&[Meaning::Praise, Meaning::FunctionVerb, Meaning::FunctionWorks])
            })
        };
        let before = at.checked_sub(1).and_then(|b| self.mentions.get(b));
        (beside(before) || beside(self.mentions.get(at + 1))).then_some(part)
    }

    fn phrases(&self) -> Vec<Phrase> {
        let mut out: Vec<Phrase> = Vec::new();
        let mut at = 0;
        while at < self.mentions.len() {
            if let Some(part) = self.part(at) {
                let floor = out.last().map_or(0, |p| p.past);
                let styled = out.last().is_some_and(|p| p.adjective.is_some() && p.past + 1 == at);
                let phrase = self.named(at, part, floor, styled);
                at = phrase.past;
                out.push(phrase);
            } else if let Some(phrase) = self.pointed(at, out.last().map_or(0, |p| p.past)) {
                at = phrase.past;
                out.push(phrase);
            } else {
                at += 1;
            }
        }
        out
    }

    /// The noun phrase whose part is named at `head`; none of its words may lie before `floor`.
    fn named(&self, mut head: usize, mut part: u16, floor: usize, styled: bool) -> Phrase {
        let parts = &self.vocabulary.entries.part;
        let opener = head;
        let mut host = None;
        // "mirror glass", "the door's handle", "handle of the door" is by "of" and seen to when joining
        loop {
            let next = head + 1;
            if let Some(piece) = self.part(next)
                && parts[usize::from(piece)].generic
                && piece != part
            {
                if !parts[usize::from(part)].generic || host.is_none() {
                    host = Some(part);
                }
                part = piece;
                head = next;
                continue;
            }
            if self.is_possessive(next)
                && let Some(piece) = self.part(next + 1)
                && parts[usize::from(piece)].generic
            {
                host = Some(part);
                part = piece;
                head = next + 1;
                continue;
            }
            break;
        }
        let mut phrase = Phrase {
            first: opener,
            past: head + 1,
            head,
            part: Some(part),
            other: self.mentions[head].find(|s| match s {
                Sense::Part(p) if p != part => Some(p),
                _ => None,
            }),
            host,
            side: None,
            end: None,
            governed: Governed::Free,
            points: None,
            plural: self.plural(head),
            number: None,
            adjective: None,
        };
        self.take_modifiers(&mut phrase, opener, floor, styled);
        phrase.end = phrase.end.or_else(|| self.named_end(head, part));
        // "the seat of the driver"
        if phrase.side.is_none()
            && self.any(phrase.past, &[G::Of])
            && self.part(phrase.past + 2).is_none()
            && let Some(place) = self
                .place(phrase.past + 1)
                .filter(|p| matches!(p.side, Some(SaidSide::Driver | SaidSide::Passenger)) && !p.moves)
            && self.mentions[phrase.past + 1].width() == 1
        {
            (phrase.side, phrase.end) = (place.side, phrase.end.or(place.end));
            phrase.past += 2;
        }
        // "my seat", "my door": whoever sells it drives it
        if phrase.side.is_none()
            && phrase.end.is_none()
            && host.is_none()
            && self.any(phrase.first, &[G::Mine])
            && [Class::Seat, Class::Belt, Class::Window, Class::Mirror, Class::Opening]
                .iter()
                .any(|&c| self.vocabulary.is(part, c))
            && matches!(parts[usize::from(part)].zone, Zone::Inside | Zone::Side)
        {
            phrase.side = Some(SaidSide::Driver);
        }
        // A side said rules out the reading that has none.
        if phrase.side.is_some()
            && let Some(other) = phrase.other
            && parts[usize::from(part)].side == Sided::None
            && parts[usize::from(other)].side == Sided::Either
        {
            (phrase.part, phrase.other) = (Some(other), Some(part));
        }
        // "buffer missing, nearside. Lamp, offside": the side behind a part is its own, the one before it another's
        let own = self.still_place(phrase.past).then(|| self.place(phrase.past).and_then(|p| p.side)).flatten();
        let told = self.place(phrase.first).and_then(|p| p.side);
        if own.is_some()
            && told.is_some()
            && own != told
            && phrase.side == told
            && phrase.first + 1 == head
            && phrase.first > floor
            && (self.mentions[phrase.first - 1].is_defect() || self.is_measure(phrase.first - 1))
        {
            (phrase.side, phrase.end) = (None, None);
            phrase.first += 1;
        }
        // "… on the left", "… this side", "… at the back"
        while self.still_place(phrase.past)
            && self.part(phrase.past + 1).is_none()
            && self.points(phrase.past + 1) != Some(Points::One)
            && !(self.still_place(phrase.past + 1) && self.part(phrase.past + 2).is_some())
        {
            let mention = &self.mentions[phrase.past];
            let place = self.place(phrase.past).expect("just seen");
            // A bare "right" or "back" after a part is more often another word; "on the front right is …" is a corner.
            let corner = phrase.past > head + 1
                && phrase.end.is_some()
                && matches!(place.side, Some(SaidSide::Left | SaidSide::Right))
                && (self.says_next(phrase.past + 1) || phrase.past + 1 == self.mentions.len());
            // "the lamp right has a hole"
            let after = phrase.past == head + 1
                && matches!(place.side, Some(SaidSide::Left | SaidSide::Right))
                && (self.any(phrase.past + 1, &[G::Have, G::Be])
                    // "rear door left dent"
                    || self.mentions.get(phrase.past + 1).is_some_and(|m| m.is_defect_noun()))
                && !self.sideless(phrase.part);
            if mention.width() == 1 && self.is_loose(phrase.past) && !corner && !after {
                break;
            }
            // "behind the wiper, driver's side": where the fault is, not which wiper
            if phrase.governed == Governed::By && self.sideless(phrase.part) {
                break;
            }
            if phrase.side.is_some() && place.side.is_some() || phrase.end.is_some() && place.end.is_some() {
                break;
            }
            phrase.side = phrase.side.or(place.side);
            phrase.end = phrase.end.or(place.end);
            phrase.past += 1;
        }
        phrase
    }

    /// "rear pads", "front struts": a part known by an end and its name together.
    fn named_end(&self, head: usize, part: u16) -> Option<End> {
        let m = &self.mentions[head];
        let entry = &self.vocabulary.entries.part[usize::from(part)];
        let word = |at: u32| self.vocabulary.spelling.name(self.tokens[at as usize].id);
        if m.width() < 2 || entry.end.is_some() || self.vocabulary.is(part, Class::Mirror) {
            return None;
        }
        match word(m.first) {
            "front" => Some(End::Front),
            "rear" => Some(End::Rear),
            "back" if !matches!(word(m.first + 1), "of" | "rest" | "cushion" | "cushions" | "panel" | "to") => {
                Some(End::Rear)
            }
            _ => None,
        }
    }

    /// "right", "back", "left" alone mean a place only beside a part.
    fn is_loose(&self, at: usize) -> bool {
        let name = self.vocabulary.spelling.name(self.tokens[self.mentions[at].first as usize].id);
        matches!(name, "right" | "back" | "left" | "middle" | "driver" | "passenger" | "both" | "here")
    }

    fn is_possessive(&self, at: usize) -> bool {
        self.mentions
            .get(at)
            .is_some_and(|m| m.width() == 1 && self.vocabulary.spelling.name(self.tokens[m.first as usize].id) == "'s")
    }

    fn plural(&self, at: usize) -> bool {
        let token = self.tokens[self.mentions[at].past as usize - 1];
        let name = self.vocabulary.spelling.name(token.id);
        name.ends_with('s') && !name.ends_with("ss") && !name.ends_with("us")
    }

    /// Goes left from the named part over what belongs to it, and finds what governs it.
    fn take_modifiers(&self, phrase: &mut Phrase, from: usize, floor: usize, styled: bool) {
        let mut first = from;
        while first > floor {
            let at = first - 1;
            let mention = &self.mentions[at];
            if self.still_place(at) && !self.ends_in_corner(at) {
                let place = self.place(at).expect("just seen");
                if phrase.side.is_some() && place.side.is_some() || phrase.end.is_some() && place.end.is_some() {
                    break;
                }
                // "discs lipped both sides, pads …": said of what came before
                let pair = mention.width() > 1
                    && place.side == Some(SaidSide::Both)
                    && self.spelling_plural(self.tokens[mention.past as usize - 1].id);
                if pair && self.told(floor, at) {
                    break;
                }
                let placed = phrase.side.is_some() || phrase.end.is_some();
                let mut verb = phrase.past;
                while self.still_place(verb) && self.mentions[verb].width() > 1 {
                    verb += 1;
                }
                let complete =
                    placed || verb > phrase.past || self.sideless(phrase.part) || self.has_one_end(phrase.part);
                if self.says_where(at) && self.told(floor, at) && complete && self.has_own_verb(verb) {
                    break;
                }
                // "one burn left side, headliner's coming down": what has no sides is not called by one
                if place.side.is_some_and(|side| !matches!(side, SaidSide::Centre | SaidSide::Both | SaidSide::All))
                    && place.end.is_none()
                    && self.sideless(phrase.part)
                    && self.told(floor, at)
                    && self.has_own_verb(phrase.past)
                {
                    break;
                }
                // "walking back, engine cover …"
                if mention.width() == 1
                    && at > floor
                    && place.side.is_none()
                    && self.is_loose(at)
                    && self.any(at - 1, &[G::Moves])
                {
                    break;
                }
                // "I'm passenger side at the back, alloy's kerbed": where the speaker is
                let mut run = at;
                while run > floor && self.still_place(run - 1) {
                    run -= 1;
                }
                let stood = run >= floor + 2 && self.any(run - 1, &[G::Be]) && self.any(run - 2, &[G::Person]);
                if stood && self.has_own_verb(phrase.past) {
                    break;
                }
                // "six mil left", "plenty left": how much remains
                if self.word_is(at, &["left"]) && at > floor && self.remains(at) {
                    break;
                }
                // "they left a mark"
                if self.word_is(at, &["left"])
                    && at > floor
                    && self.any(at - 1, &[G::It, G::Person])
                    && !self.is_demonstrative(at - 1)
                    && self.mentions[at - 1].width() == 1
                {
                    break;
                }
                phrase.side = phrase.side.or(place.side);
                phrase.end = phrase.end.or(place.end);
            } else if mention.number.is_some()
                && phrase.number.is_none()
                && !mention.number.is_some_and(|n| n.low > 12.0)
                && !self.counts_what_went_before(at, phrase)
            {
                phrase.number = mention.number;
            } else if mention.grammar(G::Layer) && !mention.is_defect() {
                // "lower", "outer": stays in the phrase
            } else if mention.has(&[Meaning::Hedge, Meaning::Colour])
                && !mention.is_defect()
                && first == from
                && !mention.has(&[Meaning::Praise])
                && (at == floor
                    || self.any(at - 1, &[G::Determiner, G::Have])
                    || self.still_place(at - 1)
                    || self.mentions[at - 1].number.is_some())
            {
                // "the little mirror", "the black trim": only right before the part
            } else if mention.is_defect_state()
                // "no splits, footwell carpet …": several things, and no adjective
                && !(mention.is_defect_noun() && self.plural(at))
                && phrase.adjective.is_none()
                && (styled || self.is_adjective(at, floor))
                && !self.is_completed(at, floor, phrase.plural)
            {
                phrase.adjective = Some(at);
            } else {
                break;
            }
            first = at;
        }
        // "from a bicycle steering": a word that no entry knows belongs to the part's name
        if first > floor + 1
            && first == from
            // "above our limit, rear bumper …": named in full already
            && self.mentions[first].width() == 1
            && self.mentions[first - 1].is_word()
            && self.mentions[first - 2].grammar(G::Determiner)
            && !self.any(first - 2, &[G::There])
            // "sat in the barn, windscreen's got …"
            && !(first > floor + 2
                && self.any(first - 3, &[G::Host, G::By, G::From, G::With, G::Along])
                && self.any(phrase.past, &[G::Be, G::Have]))
        {
            first -= 1;
        }
        phrase.first = first;
        let pointing = first > floor
            && self.any(first - 1, &[G::It])
            && self.is_demonstrative(first - 1)
            && !(first > floor + 1
                && self.any(first - 2, &[G::Of, G::Takes, G::Likeness])
                && !self.word_is(first - 1, &["this", "that", "these", "those"]));
        if first > floor && self.grammar(first - 1, G::Determiner) || pointing {
            first -= 1;
            phrase.first = first;
        }
        phrase.governed = self.governor(first, phrase.past, floor);
        // "one of the struts", "two of the lights": the number counts them and the phrase is whole
        if phrase.governed == Governed::Of && phrase.number.is_none() {
            let before = phrase.first.saturating_sub(2);
            if before >= floor
                && phrase.first >= 2
                && let Some(number) = self.mentions[before].number.filter(|n| !n.ordinal && n.low <= 20.0)
            {
                phrase.number = Some(number);
                phrase.first = before;
                phrase.governed = self.governor(before, phrase.past, floor);
            }
        }
        // "airbag no, tyre pressure light's on": the answer belongs to what went before
        if phrase.governed == Governed::Denied
            && self.has_own_verb(phrase.past)
            && first >= 2
            && first - 1 == floor
            && floor > 0
            && self.mentions[first - 1].width() == 1
        {
            phrase.governed = Governed::Free;
        }
        // "… chipped all over the bonnet is …": its own verb makes it a subject, whatever stands before
        if matches!(
            phrase.governed,
            Governed::Host
                | Governed::Along
                | Governed::By
                | Governed::From
                | Governed::Of
                | Governed::With
                | Governed::Denied
        ) && self.any(phrase.past, &[G::Be, G::Have])
            // "on the door is a dent" turns round; "carpet has a stain" can't
            && (self.any(phrase.past, &[G::Have]) || !self.any(phrase.past + 1, &[G::Determiner]))
            && (first > floor && self.mentions[first - 1].width() > 1 && self.is_predicate(first - 1)
                || first >= floor + 2 && self.is_predicate(first - 2)
                || first >= floor + 2 && self.is_measure(first - 2)
                // "the corner of the bumper's gone"
                || first >= floor + 2 && phrase.governed == Governed::Of && self.any(first - 2, &[G::Region, G::Layer]))
        {
            phrase.governed = Governed::Free;
        }
        // "with my glasses on, the windscreen has …": what has something is no place
        if matches!(phrase.governed, Governed::Host | Governed::Along | Governed::By | Governed::From)
            && self.any(phrase.past, &[G::Have])
            && !self.any(phrase.past, &[G::Be])
            && first > floor + 1
            && self.mentions[first - 1].width() == 1
        {
            phrase.governed = Governed::Free;
        }
        // "it won't get a ticket with that, left headlight's gone yellow"
        if phrase.governed == Governed::With && pointing && self.has_own_verb(phrase.past) {
            phrase.governed = Governed::Free;
        }
        // "you see the bonnet has …"
        if phrase.governed == Governed::Object
            && self.any(phrase.past, &[G::Be, G::Have])
            && first > floor
            && self.any(first - 1, &[G::Takes])
            && !self.any(first - 1, &[G::Have])
        {
            phrase.governed = Governed::Free;
        }
        if phrase.governed == Governed::Free && phrase.adjective.is_none()
            // "side" words with their own preposition: "on the left door" is "on the left" + "door"
            && let Some(place) = phrase_place(self, phrase)
            && place
        {
            phrase.governed = Governed::Host;
        }
    }

    /// "there's two, passenger window's off its track", "for the two, stop lamp …": several of what was spoken of.
    fn counts_what_went_before(&self, at: usize, phrase: &Phrase) -> bool {
        self.mentions[at].number.is_some_and(|n| n.low >= 2.0 && !n.ordinal)
            && !phrase.plural
            && at > 0
            && (self.any(phrase.past, &[G::Be, G::Have])
                || phrase.side.is_some_and(|s| !matches!(s, SaidSide::Both | SaidSide::All)) && phrase.end.is_some()
                || self.mentions[at - 1].any_grammar(&[G::There, G::Determiner]) && self.says_next(phrase.past))
    }

    /// "six mil left", "half left": what is left of it.
    fn remains(&self, at: usize) -> bool {
        // "I count three, left taillight's cracked"
        let names = self.part(at + 1).is_some() && !self.plural(at + 1) && self.has_own_verb(at + 2);
        at > 0 && (self.is_measure(at - 1) || self.mentions[at - 1].number.is_some() && !names)
    }

    /// A place that tells where something is, with its own preposition or noun: "on both corners", "at the back".
    fn says_where(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        m.width() > 1 && {
            let last = self.tokens[m.past as usize - 1].id;
            self.preposition(m.first).is_some()
                || m.any_grammar(&[G::Along])
                || self.place(at).is_some_and(|p| p.side == Some(SaidSide::Both)) && self.spelling_plural(last)
        }
    }

    /// Whether what is said of a phrase that ends here begins at once: "… is", "… dented", "… works".
    fn has_own_verb(&self, past: usize) -> bool {
        self.any(past, &[G::Be, G::Have, G::There])
            || self
                .mentions
                .get(past)
                .is_some_and(|m| m.is_defect_state() || m.has(&[Meaning::FunctionVerb, Meaning::FunctionWorks]))
    }

    /// What a token's word is by itself.
    fn word_is_any(&self, token: u32, classes: &[G]) -> bool {
        self.vocabulary.small_words_of(self.tokens[token as usize].id).holds(classes)
    }

    /// How a token's word rules what follows it.
    fn preposition(&self, token: u32) -> Option<Governed> {
        [(G::Host, Governed::Host), (G::From, Governed::From), (G::Of, Governed::Of), (G::By, Governed::By)]
            .into_iter()
            .find_map(|(class, governed)| self.word_is_any(token, &[class]).then_some(governed))
    }

    /// Whether a token's word tells how far something reaches.
    fn is_to(&self, token: u32) -> bool {
        self.vocabulary.spelling.name(self.tokens[token as usize].id) == "to"
    }

    fn spelling_plural(&self, id: WordId) -> bool {
        let name = self.vocabulary.spelling.name(id);
        name.ends_with('s') && !name.ends_with("ss")
    }

    /// Whether a whole statement lies between: a fault, a praise, a measure, a repeat.
    fn told(&self, from: usize, past: usize) -> bool {
        (from..past).any(|at| {
            let m = &self.mentions[at];
            m.is_defect()
                || self.is_measure(at)
                || self.points(at).is_some_and(|p| matches!(p, Points::Same | Points::Another))
                || m.has(&[Meaning::Praise, Meaning::FunctionWorks, Meaning::Remedy])
        })
    }

    fn sideless(&self, part: Option<u16>) -> bool {
        part.is_some_and(|p| self.vocabulary.entries.part[usize::from(p)].side == Sided::None)
    }

    /// Whether it is met at one end of the vehicle only, or belongs to the whole of it.
    fn has_one_end(&self, part: Option<u16>) -> bool {
        part.is_some_and(|p| {
            let entry = &self.vocabulary.entries.part[usize::from(p)];
            entry.end.is_some() || entry.side == Sided::Said
        })
    }

    /// "the nearside corner": a spot by itself, not what a part is called by.
    fn ends_in_corner(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        m.width() > 1 && self.vocabulary.spelling.name(self.tokens[m.past as usize - 1].id) != "side" && {
            self.word_is_any(m.past - 1, &[G::Spot])
        }
    }

    fn is_demonstrative(&self, at: usize) -> bool {
        self.word_is(at, &["this", "that", "these", "those", "them", "her", "his"])
    }

    fn word_is(&self, at: usize, words: &[&str]) -> bool {
        let m = &self.mentions[at];
        m.width() == 1 && words.contains(&self.vocabulary.spelling.name(self.tokens[m.first as usize].id))
    }

    /// "the foam has sunk, dashboard …": a single thing wants its article, so the condition is said of what came before.
    fn is_completed(&self, at: usize, floor: usize, plural: bool) -> bool {
        !plural && at > 0 && at - 1 == floor && floor > 0 && self.any(floor, &[G::Have])
    }

    /// A condition before a part is its adjective after a determiner or a preposition, and where nothing before it
    /// could be what it is said of.
    fn is_adjective(&self, at: usize, floor: usize) -> bool {
        // "it has fallen out, front tyre …": "fallen out" stands before no noun
        let m = &self.mentions[at];
        if m.width() > 1
            && at > floor
            && self.any(at - 1, &[G::Have])
            && self.word_is_any(m.past - 1, &[G::Along, G::Moves])
        {
            return false;
        }
        let mut before = at;
        while before > floor {
            let prior = before - 1;
            let m = &self.mentions[prior];
            if m.has(&[Meaning::Hedge]) || m.any_grammar(&[G::Degree]) || m.number.is_some() || m.is_defect_state() {
                before = prior;
                continue;
            }
            // "it is not cracked, headlights are clear": what it is not, and no adjective of what follows
            let is = m.any_grammar(&[G::Be]) && !m.any_grammar(&[G::There])
                || self.denies(prior) && m.width() > 1 && self.word_is_any(m.first, &[G::Be]);
            if is {
                return false;
            }
            return m.any_grammar(&[
                G::Determiner,
                G::Host,
                G::Along,
                G::By,
                G::Of,
                G::With,
                G::Have,
                G::There,
                G::Takes,
                G::Or,
            ]) || self.denies(prior) && !m.grammar(G::Not)
                || m.grammar(G::And) && before < at
                || m.grammar(G::And)
                    && prior > floor
                    && self.mentions[prior - 1].is_defect_state()
                    && self.is_adjective(prior - 1, floor);
        }
        floor == 0
    }

    fn governor(&self, first: usize, past: usize, floor: usize) -> Governed {
        let mut at = first;
        // "just below the handle", "only on the door"
        while at > floor && self.any(at - 1, &[G::Degree, G::Lead]) && !self.any(at - 1, &[G::There]) {
            at -= 1;
        }
        // "look by there, sliding door's stiff": the preposition has its object already
        if at < first
            && at > floor
            && self.any(at, &[G::Lead])
            && self.any(at - 1, &[G::By, G::Along, G::From])
            && !self.any(at, &[G::Degree])
        {
            return Governed::Free;
        }
        if at == 0 || at <= floor && floor > 0 && at < floor {
            return Governed::Free;
        }
        let Some(before) = at.checked_sub(1) else { return Governed::Free };
        if before < floor {
            return Governed::Free;
        }
        let m = &self.mentions[before];
        let last = m.past - 1;
        // "… of it | hubcap is loose", "two fingers in | front door": complete by itself
        if m.width() > 1 && self.word_is_any(last, &[G::It, G::Person]) || m.has(&[Meaning::Object]) {
            return Governed::Free;
        }
        if m.width() == 1 && self.place(before).is_some_and(|p| p.moves) && !self.leads_part(before) {
            return Governed::Free;
        }
        // "jump inside, driver's bolster …"
        if m.width() > 1 && self.place(before).is_some_and(|p| p.moves) {
            return Governed::Free;
        }
        // "… as the wing", "bigger than the door": held up against it
        if m.grammar(G::By) {
            // "a wash out underneath, rear shock's weeping"
            let adverb = m.part().is_some() && at == first && self.is_bare(first) && self.says_next(past);
            return if adverb { Governed::Free } else { Governed::By };
        }
        if m.grammar(G::Likeness) && before > floor {
            let own_verb = self.any(past, &[G::Be, G::Have, G::There, G::It, G::Which]);
            return if own_verb { Governed::Free } else { Governed::By };
        }
        // "a knocking noise from the suspension": the fault's own words end in the preposition
        if m.width() > 1
            && m.part().is_none()
            && let Some(governed) = self.preposition(last)
        {
            let hedge = m.has(&[Meaning::Hedge]);
            return match governed {
                // "a bit of trim": how much of it
                Governed::Of if hedge => self.governor(before, past, floor),
                Governed::By if !m.grammar(G::Region) => Governed::Host,
                // "down to the sill": how far, not where
                Governed::Host if m.any_grammar(&[G::Low, G::Along]) && self.is_to(last) => Governed::By,
                governed => governed,
            };
        }
        // "the same as the wing", "bigger than the door": held up against it
        // "haven't tried the air con"
        if m.has(&[Meaning::Unchecked]) {
            // "mirror heat not tested, front tyre worn"
            let complete = at == first && self.is_bare(first) && before == floor && floor > 0;
            return if complete { Governed::Free } else { Governed::Object };
        }
        if m.place().is_some() && !m.any_grammar(&[G::Host, G::Along, G::By]) {
            return Governed::Free;
        }
        // "no dents, nothing, rear door …": it stands for a thing itself
        if self.denies(before) && m.has(&[Meaning::Praise]) {
            return Governed::Free;
        }
        // "left works, right does not, dash …": it denies a verb
        if self.denies(before)
            && m.width() > 1
            && self.word_is_any(m.first, &[G::Do])
            && self.word_is_any(last, &[G::Not])
            && self.is_bare(first)
        {
            return Governed::Free;
        }
        if self.denies(before) {
            // "No, the varnish …" answers; it denies no varnish
            return if at < first || self.grammar(at, G::Determiner) { Governed::Free } else { Governed::Denied };
        }
        // "moving along the sill": a move, and the part is its new subject
        if m.any_grammar(&[G::Along, G::Host])
            && m.grammar(G::Moves)
            && (before == 0 || self.any(before - 1, &[G::Moves, G::So, G::Then, G::And, G::Marker]))
        {
            return Governed::Free;
        }
        // "the cap's missing, driver's door …", "will machine off, bumper …": what stands without its article and begins
        // a statement of its own is not what was lost, nor where
        let complete = at == first
            && self.is_bare(first)
            && (m.grammar(G::Loses) && self.is_said_of_part(before, floor)
                || m.any_grammar(&[G::Along, G::Takes]) && !m.any_grammar(&[G::Have]) && self.says_next(past)
                // "headlining's dry, in, driver's seat, burn …"
                || m.grammar(G::Host)
                    && self.still_place(first)
                    && before > floor
                    && self.mentions[before - 1].has(&[Meaning::Praise])
                    && self.says_next(past));
        if complete {
            return Governed::Free;
        }
        // "the mud flap's missing the back wheel's got …": what has a verb of its own was not lost
        if m.grammar(G::Loses) && self.is_said_of_part(before, floor) && self.any(past, &[G::Be, G::Have]) {
            return Governed::Free;
        }
        // "up the driver's side quarter's got …"
        if m.any_grammar(&[G::Along]) && m.grammar(G::Moves) && self.any(past, &[G::Be, G::Have, G::There]) {
            return Governed::Free;
        }
        // "from the handle to the sill", "all the way to the lamp": how far, not where
        if self.is_to(last) && before > floor && self.any(before - 1, &[G::Low, G::Along, G::Region]) {
            return Governed::By;
        }
        for (class, governed) in [
            (G::Of, Governed::Of),
            (G::By, Governed::By),
            (G::Host, Governed::Host),
            (G::Along, Governed::Along),
            (G::With, Governed::With),
            (G::From, Governed::From),
            (G::Loses, Governed::Lost),
            (G::There, Governed::Object),
            (G::Takes, Governed::Object),
        ] {
            if m.grammar(class) {
                return governed;
            }
        }
        if m.grammar(G::Have) && !m.grammar(G::Be) {
            return Governed::Object;
        }
        if m.grammar(G::Be)
            && before > 0
            && (self.any(before - 1, &[G::It, G::Person]) || self.points(before - 1).is_some())
        {
            // "that's the door", "it's the lower one"
            return Governed::Object;
        }
        Governed::Free
    }

    /// Whether a condition is said of the part just named: "the cover is missing", "one wheel nut missing".
    fn is_said_of_part(&self, state: usize, floor: usize) -> bool {
        let mut at = state;
        while at > floor && self.any(at - 1, &[G::Be, G::Have, G::Degree]) && !self.any(at - 1, &[G::There]) {
            at -= 1;
        }
        at == floor && floor > 0
    }

    /// Whether a noun phrase that begins here has no article, no number and no owner.
    fn is_bare(&self, first: usize) -> bool {
        !self.any(first, &[G::Determiner, G::It]) && self.mentions[first].number.is_none()
    }

    /// Whether something is said right behind: a verb, a condition, "a dent", "two chips".
    fn says_next(&self, past: usize) -> bool {
        let mut at = past;
        while self.any(at, &[G::Determiner, G::Degree])
            || at == past && self.still_place(at)
            || self.mentions.get(at).is_some_and(|m| m.number.is_some() || m.has(&[Meaning::Hedge]))
        {
            at += 1;
        }
        self.any(at, &[G::Be, G::Have])
            || self.mentions.get(at).is_some_and(Mention::is_defect)
            || at > past && at < self.mentions.len() && self.is_measure(at)
    }

    /// "the other one", "the front one", "the rears are …", "both are …".
    fn pointed(&self, at: usize, floor: usize) -> Option<Phrase> {
        let blank = |first: usize, past: usize, points: Points| Phrase {
            first,
            past,
            head: past - 1,
            part: None,
            other: None,
            host: None,
            side: None,
            end: None,
            governed: Governed::Free,
            points: Some(points),
            plural: false,
            number: None,
            adjective: None,
        };
        if self.points(at) == Some(Points::OtherOne) && self.part(at + 1).is_none() && !self.still_place(at + 1) {
            let mut phrase = blank(at, at + 1, Points::OtherOne);
            phrase.plural = self.plural(at);
            if at > floor && self.grammar(at - 1, G::Determiner) {
                phrase.first = at - 1;
            }
            phrase.governed = self.governor(phrase.first, phrase.past, floor);
            return Some(phrase);
        }
        // "the ones on the back", "the one at the front"
        if self.points(at) == Some(Points::One)
            && at > floor
            && self.grammar(at - 1, G::Determiner)
            && self.still_place(at + 1)
            && self.part(at + 2).is_none()
        {
            let place = self.place(at + 1).expect("just seen");
            let mut phrase = blank(at - 1, at + 2, Points::One);
            phrase.head = at;
            phrase.side = place.side;
            phrase.end = place.end;
            phrase.plural = self.plural(at);
            phrase.governed = self.governor(at - 1, phrase.past, floor);
            return Some(phrase);
        }
        if !self.still_place(at) {
            return None;
        }
        let mut past = at;
        let (mut side, mut end) = (None, None);
        while self.still_place(past) {
            let place = self.place(past).expect("just seen");
            // "five up front, rears are …"
            if past > at && (side.is_some() && place.side.is_some() || end.is_some() && place.end.is_some()) {
                break;
            }
            side = side.or(place.side);
            end = end.or(place.end);
            past += 1;
        }
        if self.part(past).is_some() {
            return None;
        }
        let excepted = at > floor
            && (self.excepts(at - 1) || at > floor + 1 && self.any(at - 1, &[G::Determiner]) && self.excepts(at - 2))
            && !self.mentions[at].any_grammar(&[G::Host, G::Along]);
        // "the back two want doing"
        let pair = determined_pair(self, at, past, floor);
        let is_one = pair
            || excepted && self.points(past) != Some(Points::OtherOne) && self.mentions[at].width() <= 2
            || self.points(past) == Some(Points::One);
        let verb = self.any(past, &[G::Be, G::Have, G::Loses])
            || self.mentions.get(past).is_some_and(|m| {
                m.is_defect_state() || m.has(&[Meaning::FunctionVerb, Meaning::FunctionWorks, Meaning::Praise])
            });
        let determined = at > floor && (self.grammar(at - 1, G::Determiner) || self.grammar(at - 1, G::And));
        let all = matches!(side, Some(SaidSide::Both | SaidSide::All)) || self.plural(past - 1) && end.is_some();
        let corner = side.is_some() && end.is_some() && !self.mentions[at].any_grammar(&[G::Host, G::Along]);
        // "grips, left works, right does not"
        let spoken_of = floor > 0
            && past == at + 1
            && self.mentions[at].width() == 1
            && matches!(side, Some(SaidSide::Left | SaidSide::Right | SaidSide::Near | SaidSide::Off))
            && !self.any(
                at - 1,
                &[G::Host, G::By, G::It, G::Person, G::Be, G::Have, G::Modal, G::Moves, G::Along, G::Likeness],
            )
            && self.mentions.get(past).is_some_and(|m| {
                m.has(&[Meaning::FunctionVerb, Meaning::FunctionWorks])
                    || m.any_grammar(&[G::Be])
                    || m.entries(Meaning::Standing).any(|n| {
                        let means = self.vocabulary.entries.standing[usize::from(n)].means;
                        matches!(means, Means::Fixed | Means::Mended)
                    })
                    || self.denies(past) && m.width() > 1 && past < self.mentions.len()
            });
        if !(is_one
            || spoken_of
            || verb && (determined || all || corner)
            || self.points(past) == Some(Points::OtherOne))
        {
            return None;
        }
        // "on the left is", "the passenger side is good": a place spoken of, not a stand-in for a part
        let region = self.mentions[at].width() > 1 && self.word_is_any(self.mentions[past - 1].past - 1, &[G::Region]);
        if !is_one
            && (self.mentions[at].width() > 2
                || region
                || matches!(side, Some(SaidSide::This | SaidSide::That))
                || side == Some(SaidSide::Other))
            && !all
        {
            return None;
        }
        let named_one = pair || self.points(past) == Some(Points::One);
        let mut phrase = blank(at, if named_one { past + 1 } else { past }, Points::One);
        phrase.side = side.or(pair.then_some(SaidSide::Both));
        phrase.end = end;
        phrase.plural = all || pair;
        if at > floor && self.grammar(at - 1, G::Determiner) {
            phrase.first = at - 1;
        }
        phrase.governed = self.governor(phrase.first, phrase.past, floor);
        // "… slack on the front one"
        if phrase.governed == Governed::Free && self.says_where(at) && !self.any(phrase.past, &[G::Be, G::Have]) {
            phrase.governed = Governed::Host;
        }
        Some(phrase)
    }

    fn cut(&self, out: &mut Clauses) {
        let count = self.mentions.len();
        let mut starts: Vec<(usize, Opening, bool)> = vec![(0, Opening::Start, false)];
        // What the clause under way holds so far.
        let mut topic = false;
        let mut predicate = false;
        let mut at = 0;
        let mut joined = false;
        let mut forced = None;
        while at < count {
            let mention = &self.mentions[at];
            let here = starts.last().expect("never empty").0;
            let mut opening = None;
            if let Some(open) = forced.take() {
                opening = Some(open);
            } else if at > here {
                let pronoun = starts.last().is_some_and(|s| matches!(s.1, Opening::It));
                opening = self.opening(at, topic, predicate, pronoun, out);
                // "a smaller one further down | the flare is gone"
                let repeats = (here..at.min(here + 3)).any(|n| self.points(n) == Some(Points::Another));
                let subject = out
                    .phrase_at(at)
                    .map(|n| &out.phrases[n])
                    .filter(|p| p.first == at && p.governed == Governed::Free && !self.any(at - 1, &[G::And, G::Or]));
                if opening.is_none()
                    && repeats
                    && at > here + 1
                    && starts.last().is_some_and(|s| s.1 == Opening::There)
                    && subject.is_some_and(|p| self.has_predicate_after(p.past))
                {
                    opening = Some(Opening::Subject);
                }
            }
            if mention.grammar(G::And) && at > here && opening.is_none() {
                // "and" opens a clause only where one follows it
                if let Some(next) = self.after_and(at + 1, topic && !predicate, out) {
                    opening = Some(next);
                    joined = true;
                }
            }
            if let Some(opening) = opening {
                starts.push((at, opening, std::mem::take(&mut joined)));
                topic = false;
                predicate = false;
            }
            if self.place(at).is_some_and(|p| p.moves) && out.phrase_at(at).is_none() && !self.leads_part(at)
                || self.ends_clause(at)
            {
                forced = Some(Opening::Start);
            }
            match out.phrase_at(at) {
                Some(n) if out.phrases[n].governed == Governed::Free || !topic && !predicate => {
                    topic = true;
                    at = out.phrases[n].past.max(at + 1);
                    continue;
                }
                Some(n) => {
                    at = out.phrases[n].past.max(at + 1);
                    continue;
                }
                None => {
                    // "if the diff was noisy": the condition's own word says nothing yet
                    let opener = starts.last().is_some_and(|s| s.0 == at && s.1 == Opening::When)
                        && out.phrase_at(at + 1).is_some();
                    predicate |= !opener && (self.is_predicate(at) || topic && mention.is_word());
                }
            }
            at += 1;
        }
        for (n, &(first, opening, joined)) in starts.iter().enumerate() {
            let past = starts.get(n + 1).map_or(count, |s| s.0);
            let from = out.phrases.partition_point(|p| p.first < first);
            let to = out.phrases.partition_point(|p| p.first < past);
            let past_tense = self.mentions[first..past].iter().any(|m| {
                let words = if m.grammar(G::There) { m.past } else { m.first + 1 };
                m.grammar(G::Past) || m.width() > 1 && (m.first..words).any(|t| self.word_is_any(t, &[G::Past]))
            });
            let (mut meanings, mut small_words) = (Meanings::default(), SmallWords::default());
            for mention in &self.mentions[first..past] {
                meanings = meanings.join(mention.meanings);
                small_words = small_words.join(mention.small_words);
            }
            let phrases = from..to;
            out.list.push(Clause { first, past, opening, joined, phrases, past_tense, meanings, small_words });
        }
    }

    fn is_predicate(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        m.is_defect()
            || m.any_grammar(&[G::Be, G::Have, G::Takes, G::Loses, G::Modal, G::Do, G::Verb])
            || m.has(&[
                Meaning::Praise,
                Meaning::FunctionVerb,
                Meaning::FunctionWorks,
                Meaning::Remedy,
                Meaning::Unchecked,
                Meaning::Standing,
            ])
    }

    fn ends_clause(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        m.has(&[Meaning::Cue]) || self.withdraws(at)
    }

    fn withdraws(&self, at: usize) -> bool {
        self.mentions[at]
            .entries(Meaning::Standing)
            .any(|n| self.vocabulary.entries.standing[usize::from(n)].means == Means::Withdrawn)
    }

    /// A pronoun or person with a verb after it.
    fn has_verb(&self, at: usize) -> bool {
        let mut next = at + 1;
        while self.any(next, &[G::Degree]) || self.denies(next) {
            next += 1;
        }
        self.any(next, &[G::Be, G::Have, G::Modal, G::Do, G::Verb, G::Takes, G::Loses, G::Moves])
            || self.mentions.get(next).is_some_and(|m| {
                m.is_defect_state()
                    || m.has(&[Meaning::FunctionVerb, Meaning::FunctionWorks, Meaning::Unchecked, Meaning::Remedy])
            })
    }

    /// Whether a clause begins at `at`, and how.
    fn opening(&self, at: usize, topic: bool, predicate: bool, pronoun: bool, out: &Clauses) -> Option<Opening> {
        let m = &self.mentions[at];
        if self.place(at).is_some_and(|p| p.moves) && out.phrase_at(at).is_none() && !self.leads_part(at) {
            return Some(Opening::Move);
        }
        if self.ends_clause(at) {
            return Some(Opening::Cue);
        }
        if out.phrase_at(at).is_some_and(|n| out.phrases[n].first < at) {
            return None;
        }
        if m.grammar(G::But) || self.excepts(at) {
            return Some(Opening::But);
        }
        if m.grammar(G::So)
            && !self.any(at + 1, &[G::Degree])
            && m.any_grammar(&[G::So])
            && !self.mentions.get(at + 1).is_some_and(Mention::is_defect_state)
        {
            return Some(Opening::So);
        }
        if m.grammar(G::Because) {
            return Some(Opening::Because);
        }
        // "the skirt after the wheel": where it is
        let beyond = m.grammar(G::By)
            && out.phrase_at(at + 1).is_some_and(|n| {
                let p = &out.phrases[n];
                p.first == at + 1 && !self.has_own_verb(p.past)
            });
        if m.grammar(G::When) && !beyond {
            return Some(Opening::When);
        }
        // "… were the stops marked I would decline it": turned round, it is a condition
        let turned = predicate
            && m.any_grammar(&[G::Past, G::Modal])
            && m.any_grammar(&[G::Be, G::Have, G::Modal])
            && m.width() == 1
            && !self.any(at - 1, &[G::It, G::Person, G::There, G::Which, G::And, G::Be, G::Have, G::Do, G::Modal])
            && out.phrase_at(at - 1).is_none()
            && !self.mentions[at - 1].is_word()
            && out.phrase_at(at + 1).is_some_and(|n| out.phrases[n].first == at + 1)
            && self.grammar(at + 1, G::Determiner)
            && (at + 2..at + 12).any(|n| self.any(n, &[G::Modal]) && self.any(n - 1, &[G::Person, G::It]));
        if turned {
            return Some(Opening::When);
        }
        // "both wheels here are okay": said of them, no filler
        let praised = m.has(&[Meaning::Praise]) && topic && !predicate && self.any(at - 1, &[G::Be, G::There]);
        // "… is yellow | right also": a side by itself that shares what was just said
        let side_too = |at: usize| {
            self.place(at).is_some_and(|p| {
                !p.moves && p.side.is_some_and(|s| !matches!(s, SaidSide::Both | SaidSide::All | SaidSide::Centre))
            }) && out.phrase_at(at).is_none()
                && self.points(at + 1) == Some(Points::AsWell)
        };
        if predicate && side_too(at) {
            return Some(Opening::There);
        }
        if side_too(at - 1) {
            return None;
        }
        // "… and the sill below it | as well": all that is said of it
        if topic && !predicate && self.points(at) == Some(Points::AsWell) && self.any(at - 1, &[G::It]) {
            return None;
        }
        if m.any_grammar(&[G::Then, G::Marker]) && !praised {
            return Some(Opening::Then);
        }
        let open_topic = topic && !predicate;
        let before = at - 1;
        // "apart from the | airbag light": the exception holds its object; "apart from that" is whole
        let excepted = self.excepts(before)
            && self.mentions[before].width() > 1
            && !self.word_is_any(self.mentions[before].past - 1, &[G::It, G::Person, G::And]);
        // "except the middle one, he doesn't catch" says the rest of it itself
        let alone = |phrase: &Phrase| {
            let lamp = phrase.part.is_some_and(|p| {
                self.vocabulary.is(p, Class::WarningLight)
                    || self.vocabulary.entries.part[usize::from(p)].lamp.is_some()
            });
            let goes_on = self.mentions.get(phrase.past).is_some_and(|m| {
                m.any_grammar(&[G::It, G::Person, G::Be, G::Have, G::Do, G::Modal])
                    || m.is_defect_state()
                    || m.has(&[Meaning::FunctionVerb, Meaning::Pointing])
            });
            phrase.first == at && (lamp || !goes_on)
        };
        if excepted && out.phrase_at(at).is_some_and(|n| alone(&out.phrases[n])) {
            return None;
        }
        // "because it was grinding": the reason is one clause
        if self.grammar(before, G::Because) && (m.any_grammar(&[G::It, G::Person]) || out.phrase_at(at).is_some()) {
            return None;
        }
        // "… On the driver's side, the rear door has …": a side ahead of its subject opens the statement
        if predicate
            // "left front the tyre is worn": a corner by itself
            && (m.width() >= 3
                || self.place(at).is_some_and(|p| p.end.is_some()) && self.any(at + 1, &[G::Determiner]))
            && self.place(at).is_some_and(|p| {
                !p.moves && p.side.is_some_and(|s| !matches!(s, SaidSide::Both | SaidSide::All | SaidSide::Centre))
            })
            && out.phrase_at(at).is_none()
            && out.phrase_at(at + 1).is_some_and(|n| {
                let p = &out.phrases[n];
                !self.sideless(p.part)
                    && p.first == at + 1
                    && p.side.is_none()
                    && p.governed == Governed::Free
                    && self.any(p.past, &[G::Be, G::Have, G::There])
            })
        {
            return Some(Opening::Start);
        }
        // "passenger side is in nice shape": a side spoken of by itself
        let side = at + usize::from(self.grammar(at, G::Determiner));
        if predicate && out.phrase_at(side).is_none() && self.side_alone(side) {
            return Some(Opening::Start);
        }
        if predicate && self.remarks(at) {
            return Some(Opening::It);
        }
        // "… walking down the driver's side", "… down the passenger side"
        if m.grammar(G::Moves)
            && !m.is_defect_noun()
            // "a crack started down the passenger corner": the crack goes, not the speaker
            && !self.mentions[before].is_defect_noun()
            && !self.any(before, &[G::Person, G::It, G::Modal, G::And, G::Be, G::Not, G::Moves])
        {
            let verb = !m.any_grammar(&[G::Along, G::Host, G::Then]);
            let to_place = self.leads_to_place(at, out);
            if to_place || verb && self.any(at + 1, &[G::Along, G::Host, G::Moves, G::Then]) && !predicate {
                return Some(Opening::Start);
            }
        }
        // "… for sixty, on the roof there is …": where it is said first, then what
        if (predicate || self.is_measure(before))
            && ((topic || pronoun) && !self.mentions[before].is_defect() || self.any(before, &[G::And]))
            && self.fronts(at, out)
        {
            return Some(Opening::Start);
        }
        if m.grammar(G::There) && m.width() > 1 {
            return (!open_topic && !self.any(before, &[G::And, G::Which])).then_some(Opening::There);
        }
        if m.grammar(G::Which) {
            return predicate.then_some(Opening::Which);
        }
        let ruled = self
            .any(before, &[G::Host, G::Of, G::By, G::With, G::From, G::Along, G::Takes, G::Which, G::Likeness])
            && !self.any(before, &[G::Moves, G::Then]);
        if m.grammar(G::It) && out.phrase_at(at).is_none() && !ruled && self.has_verb(at) {
            return (!open_topic && !self.any(before, &[G::And])).then_some(Opening::It);
        }
        if m.grammar(G::Person) && !ruled && self.has_verb(at) && !self.any(before, &[G::And]) {
            // "in the driver's door I have a dent": one statement
            let fronted = open_topic
                && out.phrase_at(before).is_some_and(|n| out.phrases[n].governed == Governed::Host)
                && self.any(at + 1, &[G::Have, G::Takes]);
            if fronted {
                return None;
            }
            return Some(Opening::Person);
        }
        if let Some(n) = out.phrase_at(at) {
            let phrase = &out.phrases[n];
            if phrase.first == at && phrase.governed == Governed::Free && !self.any(before, &[G::And, G::Or]) {
                // "none of the | tyres are perished": the denial names its subject
                if self.denies(before) && self.leads_on(before) {
                    return None;
                }
                let apart = predicate || !topic && self.any(before, &[G::Then, G::Marker]);
                let verb = self.any(phrase.past, &[G::Be, G::Have, G::There]);
                // "on the bonnet the roof and the tailgate", "heated seats cruise control and a tow bar": a list goes on
                if n > 0 && out.phrases[n - 1].past == at && !self.has_predicate_after(phrase.past) {
                    return None;
                }
                // "scratched front bumper": the condition said first is this part's
                if !topic && !verb && self.mentions[before].is_defect_state() && phrase.adjective.is_none() {
                    return None;
                }
                return apart.then_some(Opening::Subject);
            }
            return None;
        }
        // "was another one down the back"
        if m.grammar(G::Be) && self.points(at + 1) == Some(Points::Another) && predicate && !open_topic {
            let subject = self.any(before, &[G::It, G::Person, G::There, G::Which]) || out.phrase_at(before).is_some();
            return (!subject).then_some(Opening::There);
        }
        if self.points(at) == Some(Points::Another) && self.any(before, &[G::Be]) {
            return None;
        }
        // "another one lower down"
        if self.points(at).is_some_and(|p| matches!(p, Points::Another | Points::Same))
            && predicate
            && self.place(before).is_none()
            && !self.any(before, &[G::And, G::There, G::Have])
        {
            return Some(Opening::There);
        }
        None
    }

    /// "in the windscreen there is …", "on the rear door a dent …": a place told ahead of what is there.
    fn fronts(&self, at: usize, out: &Clauses) -> bool {
        let leads = |n: usize, first: usize| out.phrases[n].first == first && out.phrases[n].governed == Governed::Host;
        let phrase = match out.phrase_at(at) {
            Some(n) if leads(n, at) => n,
            Some(_) => return false,
            None if self.any(at, &[G::Host]) => match out.phrase_at(at + 1) {
                Some(n) if leads(n, at + 1) => n,
                _ => return false,
            },
            None => return false,
        };
        let next = out.phrases[phrase].past;
        let exists = self.mentions.get(next).is_some_and(|m| m.grammar(G::There) && m.width() > 1);
        let owned = self.any(next, &[G::Person]) && self.any(next + 1, &[G::Have, G::Takes]);
        let thing = (self.any(next, &[G::Determiner]) || self.mentions.get(next).is_some_and(|m| m.number.is_some()))
            && self.says_next(next)
            && !self.any(next, &[G::It])
            && (next..next + 3).any(|n| self.mentions.get(n).is_some_and(Mention::is_defect_noun));
        // "on the seat bolster the leather is …", "on the rear door the edge is …": a piece of it
        let piece = self.grammar(next, G::Determiner)
            && (self.part(next + 1).is_some_and(|p| self.vocabulary.entries.part[usize::from(p)].generic)
                || self.any(next + 1, &[G::Region, G::Spot]))
            && self.has_own_verb(next + 2);
        exists || owned || thing || piece
    }

    /// A side with its own verb: "the passenger side is …", "offside has …".
    fn side_alone(&self, at: usize) -> bool {
        self.place(at).is_some_and(|p| p.side.is_some() && !p.moves)
            && !(self.mentions[at].width() == 1 && self.is_loose(at))
            && self.preposition(self.mentions[at].first).is_none()
            && !self.any(at.wrapping_sub(1), &[G::Host, G::Along, G::From, G::By])
            && self.any(at + 1, &[G::Be, G::Have])
    }

    fn is_measure(&self, at: usize) -> bool {
        self.mentions[at].has(&[Meaning::Unit, Meaning::Object])
    }

    /// A whole phrase of standing that begins with its own subject ("they all do it", "I've had that done") or that speaks of
    /// vehicles at large ("usually …") opens a statement of its own.
    fn remarks(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        let means = m.find(|s| match s {
            // "these arms rattle as a class": said of what came before
            Sense::Standing(n) if self.vocabulary.entries.standing[usize::from(n)].reaches == Reach::Before => {
                let means = self.vocabulary.entries.standing[usize::from(n)].means;
                (means != Means::General).then_some(means)
            }
            Sense::Standing(n) => Some(self.vocabulary.entries.standing[usize::from(n)].means),
            Sense::Unchecked(_) => Some(Means::Fixed),
            _ => None,
        });
        match means {
            Some(Means::General) => {
                m.width() > 1 || self.part(at + 1).is_some() || self.any(at + 1, &[G::It, G::Determiner])
            }
            Some(Means::Hypothetical) => m.width() > 1 && self.word_is_any(m.first, &[G::It, G::Person, G::When]),
            Some(Means::Fixed | Means::Contrast | Means::Denied | Means::Hearsay) => {
                m.width() > 1 && self.word_is_any(m.first, &[G::It, G::Person])
            }
            _ => false,
        }
    }

    /// Whether a word of moving leads to a side or a zone within a few small words.
    fn leads_to_place(&self, at: usize, out: &Clauses) -> bool {
        let mut next = at + 1;
        while next < at + 5
            && self.any(next, &[G::Along, G::Host, G::Moves, G::Then, G::Determiner, G::Degree])
            && self.place(next).is_none()
        {
            next += 1;
        }
        self.place(next).is_some_and(|p| p.side.is_some() || p.moves) && out.phrase_at(next).is_none()
    }

    /// "inside the door", "all green inside": the word tells where, and is no move.
    fn leads_part(&self, at: usize) -> bool {
        if !self.any(at, &[G::Host, G::By]) {
            return false;
        }
        // "inside one's low", "inside left's flat": which of two
        if self.points(at + 1) == Some(Points::One) || self.still_place(at + 1) && self.any(at + 2, &[G::Be, G::Have]) {
            return true;
        }
        // "inside the headlining's sagging": what is met inside, with its own verb
        let mut thing = at + 1 + usize::from(self.grammar(at + 1, G::Determiner));
        while self.still_place(thing) {
            thing += 1;
        }
        let met_inside = self.place(at).is_some_and(|p| p.zone == Zone::Inside)
            && self.part(thing).is_some_and(|p| self.vocabulary.entries.part[usize::from(p)].zone == Zone::Inside)
            && self.any(thing + 1, &[G::Be, G::Have]);
        if met_inside {
            return false;
        }
        let lead = at == 0
            || self.any(at - 1, &[G::Moves, G::So, G::Then, G::And, G::Marker, G::But, G::Person])
            || self.ends_clause(at - 1);
        let next = at + 1 + usize::from(self.grammar(at + 1, G::Determiner));
        // "inside the arch": a part that is met outside tells where
        let outside = next > at + 1
            && self.part(next).is_some_and(|p| {
                let entry = &self.vocabulary.entries.part[usize::from(p)];
                matches!(entry.zone, Zone::Side | Zone::Wheels | Zone::Front | Zone::Rear)
            })
            && !self.any(next + 1, &[G::Be, G::Have]);
        let now = !outside
            && (self.any(at + 1, &[G::Then, G::It, G::There])
                || self.part(at + 1).is_some()
                || self.grammar(at + 1, G::Determiner));
        !(lead && now)
    }

    fn excepts(&self, at: usize) -> bool {
        self.mentions[at]
            .entries(Meaning::Standing)
            .any(|n| self.vocabulary.entries.standing[usize::from(n)].means == Means::Exception)
    }

    /// What kind of clause follows an "and", if one does.
    fn after_and(&self, mut at: usize, open_topic: bool, out: &Clauses) -> Option<Opening> {
        while self.any(at, &[G::Then, G::Marker, G::Degree]) && !self.any(at, &[G::There]) {
            at += 1;
        }
        let m = self.mentions.get(at)?;
        if m.grammar(G::There) && m.width() > 1 {
            return Some(Opening::There);
        }
        // "and up the passenger side", "and round the back"
        if self.place(at).is_some_and(|p| p.moves) && out.phrase_at(at).is_none() && !self.leads_part(at) {
            return Some(Opening::Move);
        }
        if m.grammar(G::Moves) && self.leads_to_place(at, out) {
            return Some(Opening::Start);
        }
        // "and other side the same story"
        if self.place(at).is_some() && self.points(at + 1) == Some(Points::Same) {
            return Some(Opening::There);
        }
        if let Some(n) = out.phrase_at(at) {
            let phrase = &out.phrases[n];
            if phrase.first == at
                && phrase.governed == Governed::Free
                && !open_topic
                && (self.has_predicate_after(phrase.past) || self.as_well(phrase.past))
            {
                return Some(Opening::Subject);
            }
            return None;
        }
        if m.grammar(G::It) && self.has_verb(at) {
            return Some(Opening::It);
        }
        if m.grammar(G::Person) && self.has_verb(at) {
            return Some(Opening::Person);
        }
        if self.points(at).is_some_and(|p| matches!(p, Points::Another | Points::Same)) {
            return Some(Opening::There);
        }
        if m.any_grammar(&[G::So, G::Because, G::When, G::But]) {
            return Some(Opening::So);
        }
        None
    }

    /// "… the sill below it as well": nothing but where it is before "as well".
    fn as_well(&self, at: usize) -> bool {
        // "… are like new and the shelf too" is one statement
        let fault = (at.saturating_sub(9)..at)
            .rev()
            .find_map(|n| {
                let m = &self.mentions[n];
                (m.is_defect() || m.has(&[Meaning::Praise])).then(|| m.is_defect())
            })
            .unwrap_or(false);
        fault
            && (at..at + 3)
                .find(|&n| !self.any(n, &[G::By, G::It, G::Lead]))
                .is_some_and(|n| self.points(n) == Some(Points::AsWell))
    }

    fn has_predicate_after(&self, mut at: usize) -> bool {
        for _ in 0..3 {
            if self.any(at, &[G::And, G::Or]) {
                return false;
            }
            if at >= self.mentions.len() {
                return false;
            }
            if self.any(at, &[G::There, G::Be, G::Have, G::Modal, G::Do, G::Loses, G::Takes]) || self.is_predicate(at) {
                return true;
            }
            at += 1;
        }
        false
    }
}

/// "the back two", "the front pair".
fn determined_pair(cutter: &Cutter, at: usize, past: usize, floor: usize) -> bool {
    let led = at > floor && cutter.grammar(at - 1, G::Determiner);
    led && cutter
        .mentions
        .get(past)
        .is_some_and(|m| m.number.is_some_and(|n| n.low == 2.0 && n.high == 2.0 && !n.ordinal))
        && cutter.mentions.get(past + 1).is_some_and(|m| {
            m.any_grammar(&[G::Be, G::Have, G::Modal, G::Takes, G::Do, G::Verb]) || m.is_defect_state()
        })
}

/// Whether the phrase's own place words carry a preposition ("on the left door").
fn phrase_place(cutter: &Cutter, phrase: &Phrase) -> Option<bool> {
    let first = cutter.mentions.get(phrase.first)?;
    first.place()?;
    let token = cutter.tokens.get(first.first as usize)?;
    Some(first.width() > 1 && matches!(cutter.vocabulary.spelling.name(token.id), "on" | "in" | "at" | "to"))
}
