//! What is wrong: faults named, repeated ("another one lower down"), lost and excepted.

use super::*;
use crate::vocabulary::entries::SaidSide;

impl Reader<'_, '_> {
    pub(super) fn fault(&self, number: usize, at: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        // "when cold", "before lifting": the time of it
        let clause = &self.clauses.list[number];
        let time = clause.opening == Opening::When && at == clause.first + 1 && !self.mentions[at].is_defect_noun();
        // "I still crack", "I'm worn out": of the speaker
        let of_speaker = {
            let mut before = at;
            while before > clause.first && self.any(before - 1, &[G::Degree]) {
                before -= 1;
            }
            before > clause.first
                && matches!(self.word(before - 1), Some("i" | "we"))
                && self.mentions[before - 1].grammar(G::Person)
        };
        if self.turns_into(at) || self.goes_along(at) || time || of_speaker {
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
            let bearer = self.bearer(number, said, topic);
            let fits = bearer.is_some_and(|b| self.joiner().fits(Some(on), &b.placed));
            let restricted = !on.0.is_empty();
            let score = bearer.map_or(-1.0, |b| b.score) + if fits && restricted { 0.5 } else { 0.0 };
            if restricted && !fits {
                let free = Said { on: None, implies: None, ..said };
                let outright = !entry.weak && !noun && self.mentions[at].width() + self.long_word(at) >= 2;
                if outright
                    && let Some(b) = self.bearer(number, free, topic).filter(|b| b.score >= 8.2 && b.phrase.is_some())
                    && self.joiner().fits(Some(&(Default::default(), on.1.clone())), &b.placed)
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
        let bearer = bearer
            .or_else(|| self.nowhere(number))
            .or_else(|| self.all_inside(number, defect))
            .map(|b| self.sided(number, at, b));
        let verdict = self.judge().judge(number, at);
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
        let shared = bearer.map_or_else(Vec::new, |b| self.joiner().shared(number, &b, at));
        let draft = Draft {
            defect: Some(defect),
            bearer,
            verdict,
            said: strength::Said { count, ..Default::default() },
            quote: self.span(bearer, at, at + 1),
            noun,
            stranger,
            ..Draft::new(Kind::Fault, number, at, at + 1)
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
            if !self.joiner().fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &placed) {
                continue;
            }
            let bearer = Bearer { placed, phrase: Some(n), score: 7.0, margin: 0.0, rule: "shared" };
            out.push(Draft { bearer: Some(bearer), quote: self.span(Some(bearer), at, at + 1), ..draft.clone() });
        }
        if !later {
            out.push(draft);
        }
    }

    /// "coming down the driver's side": the speaker moves, nothing sags.
    pub(super) fn goes_along(&self, at: usize) -> bool {
        let mut next = at + 1;
        while next < at + 4 && self.any(next, &[G::Determiner, G::Along, G::Host, G::Degree, G::Then]) {
            next += 1;
        }
        self.mentions[at].grammar(G::Moves)
            && self.mentions.get(next).is_some_and(|m| m.place().is_some() || m.number.is_some_and(|n| n.ordinal))
    }

    /// "gone chalky", "went yellow": what it has become is the fault, not that it is gone.
    pub(super) fn turns_into(&self, at: usize) -> bool {
        let gone = self.mentions[at].senses.iter().any(|s| match s {
            Sense::DefectState(d) => self.vocabulary.entries.defect[usize::from(*d)].becomes,
            _ => false,
        });
        gone && self
            .mentions
            .get(at + 1)
            .is_some_and(|m| m.has(&[Meaning::Colour]) || m.is_defect() && !m.any_grammar(&[G::Along, G::Host]))
    }

    /// Whether the words only tell more of a fault just named on the same part: "one hole punched in", "smashed and held
    /// on with tape", "rust in the chips".
    pub(super) fn tells_more(
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
        let host = bearer.and_then(|b| b.placed.host);
        let whole = last.bearer.and_then(|b| b.placed.part);
        let same_part = part.is_none() || whole == part || detail && last.bearer.and_then(|b| b.placed.host) == part;
        // "the mirror's been clouted, its cap is cracked"
        let piece = whole.is_some() && host == whole;
        if last.verdict.standing == Standing::Asserted
            && !detail
            && (same_part || piece)
            && last.defect.is_some_and(|d| {
                let entry = &self.vocabulary.entries.defect[usize::from(d)];
                let (old, new) =
                    (&self.vocabulary.families[usize::from(d)], &self.vocabulary.families[usize::from(defect)]);
                entry.detail || entry.loose && defect != d && (piece || old.iter().any(|f| new.contains(f)))
            })
            && (piece || bearer.is_none_or(|b| b.phrase.is_none() || b.phrase == last.bearer.and_then(|l| l.phrase)))
        {
            // The plain fault takes the place of the looser word said before it.
            last.verdict.standing = Standing::Restated;
            return false;
        }
        // "the bonnet's dented, look, there's a big dent in the middle of it": the thing itself is told after its condition
        if noun
            && !last.noun
            && last.defect == Some(defect)
            && last.verdict.standing == Standing::Asserted
            && part.is_some()
            && last.bearer.and_then(|b| b.placed.part) == part
            && last.said.size.is_none()
            && number > last.clause
        {
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
        // "a crack coming off the bottom left bolt": which way it runs
        let runs = trailing
            && self.any(at + 1, &[G::Determiner])
            && bearer.is_some_and(|b| b.phrase.is_some_and(|n| self.clauses.phrases[n].first > at));
        if runs {
            return true;
        }
        if (detail || trailing) && same_part || place || same_again {
            if detail && last.verdict.standing == Standing::Asserted {
                last.quote[1] = last.quote[1].max(if last.clause == number { at + 1 } else { last.quote[1] });
            }
            return last.verdict.standing == Standing::Asserted || place;
        }
        false
    }

    /// A side said in the clause apart from the part: "a push in on the driver's end", "cracked by the left fog light".
    pub(super) fn sided(&self, number: usize, at: usize, mut bearer: Bearer) -> Bearer {
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
            // "the left rear | speaker's blown": a place before a fault that names its part
            let own = |p: usize| {
                let phrase = &self.clauses.phrases[p];
                bearer.phrase.is_none() && phrase.part.is_none() && phrase.past == at
            };
            if self.clauses.phrase_at(n).is_some_and(|p| !own(p)) {
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
                && !(n + 1 == at && bearer.phrase.is_none())
                && matches!(self.word(n), Some("right" | "left" | "both"))
            {
                continue;
            }
            if let Some(end) = place.end.filter(|_| bearer.placed.end.is_none() && n.abs_diff(at) <= 9) {
                bearer.placed.end = Some(end);
                bearer.placed.end_how = How::Said;
            }
            let Some(side) = place.side.and_then(side_of) else { continue };
            // Another subject between them: the place is told of that one.
            let apart = clause.phrases.clone().any(|p| {
                let phrase = &self.clauses.phrases[p];
                phrase.governed == Governed::Free
                    && Some(p) != bearer.phrase
                    && phrase.first > at.min(n)
                    && phrase.first < at.max(n)
            });
            if apart {
                continue;
            }
            // "same as the other side, roof, …", "on the other side, the quarter panel has …": not where this one is
            let held_up = n > 0 && self.any(n - 1, &[G::Likeness]);
            let walked =
                place.side == Some(SaidSide::Other) && bearer.phrase.is_some_and(|p| self.clauses.phrases[p].first > n);
            if held_up || walked {
                continue;
            }
            // "… etched, centre, should polish, windscreen chipped": told of what came before
            let behind = bearer.phrase.map(|p| self.clauses.phrases[p].first).is_some_and(|first| {
                let told = self.mentions[clause.first..n].iter().any(|m| m.is_defect() || m.has(&[Meaning::Pointing]));
                n + 1 < first && first <= at && told && !self.any(n + 1, &[G::Determiner])
            });
            if behind {
                continue;
            }
            let several = clause.phrases.len() > 1 && side == Side::Both && m.width() == 1;
            let panel = bearer.placed.side.is_none();
            if matches!(side, Side::Centre) && !panel || several {
                continue;
            }
            offer(n.abs_diff(at), side);
        }
        if bearer.placed.side.is_none() {
            for n in clause.phrases.clone().filter(|n| Some(*n) != bearer.phrase) {
                let phrase = &self.clauses.phrases[n];
                let other_between = clause.phrases.clone().any(|p| {
                    let q = &self.clauses.phrases[p];
                    p != n
                        && Some(p) != bearer.phrase
                        && q.first > at.min(phrase.first)
                        && q.past <= at.max(phrase.first)
                });
                if !other_between
                    && matches!(phrase.governed, Governed::By | Governed::Along | Governed::Host | Governed::From)
                    && let Some(side) = phrase.side.and_then(side_of).or_else(|| self.corner_by(n, &bearer))
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

    /// "the bumper's cracked by the fog light": at the one that the walk is at.
    fn corner_by(&self, n: usize, bearer: &Bearer) -> Option<Side> {
        let bumper = bearer.placed.part.is_some_and(|p| self.vocabulary.is(p, Class::Bumper));
        let near = self.clauses.phrases[n].governed == Governed::By;
        self.places.placed[n].side.filter(|&s| bumper && near && matches!(s, Side::Left | Side::Right))
    }

    /// "the windscreen's cracked | it's come up from the passenger side": a further statement that only tells where.
    pub(super) fn tells_where(&self, number: usize, from: usize, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        let plain = clause.opening == Opening::It
            && out[from..].iter().all(|d| d.kind != Kind::Fault)
            && clause.phrases.clone().all(|n| {
                let p = &self.clauses.phrases[n];
                self.places.placed[n].part.is_none()
                    || matches!(p.governed, Governed::By | Governed::From | Governed::Along)
            })
            && self.judge().in_clause(clause, Means::General).is_none()
            && self.judge().in_clause(clause, Means::Denied).is_none();
        // "the fog light's got water in it, offside one": which of them it was
        if let Some(n) = clause.phrases.clone().next().filter(|&n| {
            let p = &self.clauses.phrases[n];
            p.points == Some(Points::One)
                && p.first <= clause.first + 1
                && (p.past == clause.past || self.clauses.phrase_at(p.past).is_some())
        }) && let Some(last) = out[..from].last_mut().filter(|d| d.kind == Kind::Fault && number - d.clause == 1)
            && let Some(b) = last.bearer.as_mut()
            && b.placed.part == self.places.placed[n].part
            && b.placed.side.is_none()
            && self.places.placed[n].side_how == How::Said
        {
            let placed = self.places.placed[n];
            (b.placed.side, b.placed.side_how) = (placed.side, How::Said);
            return;
        }
        if !plain {
            return;
        }
        let walk = &self.places.walks[number];
        let side = (clause.first..clause.past).find_map(|at| {
            let place = &self.vocabulary.entries.place[usize::from(self.mentions[at].place()?)];
            let sure =
                self.mentions[at].width() > 1 || self.any(at.checked_sub(1)?, &[G::Determiner, G::Host, G::From]);
            match place.side.filter(|_| sure && !place.moves)? {
                SaidSide::Centre => Some(Side::Centre),
                SaidSide::Both | SaidSide::All | SaidSide::This | SaidSide::That | SaidSide::Other => None,
                said => self.sides.hand(said, walk).map(Side::from),
            }
        });
        let Some(side) = side else { return };
        let last = out[..from].last_mut().filter(|d| d.kind == Kind::Fault && number - d.clause == 1);
        let Some(last) = last else { return };
        if let Some(b) = last.bearer.as_mut().filter(|b| b.placed.side.is_none()) {
            (b.placed.side, b.placed.side_how) = (Some(side), How::Said);
        }
    }

    /// The unknown words that are the subject of what is said at `at`: "the flange is bent", "my gubbins have gone".
    pub(super) fn stranger(&self, number: usize, at: usize) -> Option<[usize; 2]> {
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
    pub(super) fn unnamed(&self, number: usize, _at: usize) -> Bearer {
        let walk = &self.places.walks[number];
        let side = walk.side.map(Side::from);
        let how = if side.is_some() { How::Walk } else { How::None };
        let placed = Placed {
            part: None,
            host: None,
            side,
            side_how: how,
            end: None,
            end_how: How::None,
            plural: false,
            named: None,
        };
        Bearer { placed, phrase: None, score: 7.0, margin: 0.0, rule: "unknown-part" }
    }

    /// A bearer that is no part: something can be said of a side or an end alone ("a clunk from the front left").
    pub(super) fn nowhere(&self, number: usize) -> Option<Bearer> {
        let clause = &self.clauses.list[number];
        (clause.first..clause.past)
            .any(|n| self.clauses.phrase_at(n).is_none() && self.mentions[n].place().is_some())
            .then_some(Bearer { placed: Placed::NOWHERE, phrase: None, score: 0.0, margin: 0.0, rule: "place-only" })
    }

    /// "jump inside, it's dusty": said of the whole of it.
    fn all_inside(&self, number: usize, defect: u16) -> Option<Bearer> {
        let placed = Placed { part: self.vocabulary.part_id("interior"), ..Placed::NOWHERE };
        let said = self.clauses.list[number].opening == Opening::It || self.places.walks[number].zone == Zone::Inside;
        let fits = self.joiner().fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &placed);
        (said && fits && self.places.walks[number].zone == Zone::Inside).then_some(Bearer {
            placed,
            phrase: None,
            score: 1.0,
            margin: 0.0,
            rule: "walk",
        })
    }

    /// One for a word of some length: short ones mean too many things.
    pub(super) fn long_word(&self, at: usize) -> usize {
        usize::from(self.word(at).is_some_and(|w| w.len() >= 5))
    }

    /// The mentions from bearer to fault, as far as they lie together.
    pub(super) fn span(&self, bearer: Option<Bearer>, first: usize, past: usize) -> [usize; 2] {
        let (mut a, mut b) = (first, past);
        if let Some(n) = bearer.and_then(|b| b.phrase) {
            let phrase = &self.clauses.phrases[n];
            a = a.min(phrase.first);
            b = b.max(phrase.past);
        }
        [a, b]
    }

    /// "two dents", "a scratch", "a few little chips".
    pub(super) fn count_before(&self, at: usize, floor: usize, defect: u16) -> Option<[u32; 2]> {
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
            // "bar the one long rip"
            if m.width() > 1 && self.last_word(before - 1) == Some("one") {
                singular = true;
                break;
            }
            let hedge = m.has(&[Meaning::Hedge, Meaning::Colour, Meaning::Praise]);
            if hedge && self.last_word(before - 1).is_some_and(|w| matches!(w, "a" | "an" | "one" | "single")) {
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
        // "dent on top", "deep scratch", "has small hole": bare, in notes and from speakers without articles, is one too
        let bare = before == at
            || before == floor
            || self.any(before - 1, &[G::Have, G::There])
            || self.clauses.phrase_at(before - 1).is_some();
        let counted = singular && self.has_plural(at) || (singular || bare) && self.countable(at, defect);
        (counted && !plural).then_some([1, 1])
    }

    pub(super) fn has_plural(&self, at: usize) -> bool {
        let last = self.last_word(at).unwrap_or("");
        self.vocabulary.spelling.id(&format!("{last}s")) != 0 || self.vocabulary.spelling.id(&format!("{last}es")) != 0
    }

    /// How many of the bearer: "three spokes slack", "both headlamps yellow", "the left one's out".
    pub(super) fn count_of_bearer(&self, n: usize) -> Option<[u32; 2]> {
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
    pub(super) fn countable(&self, at: usize, defect: u16) -> bool {
        let last = self.last_word(at).unwrap_or("");
        let entry = &self.vocabulary.entries.defect[usize::from(defect)];
        entry.noun.iter().any(|p| {
            let plural = |ending: &str| p.strip_suffix(ending).is_some_and(|stem| stem.ends_with(last));
            plural("[s]") || plural("[es]") || p.len() > last.len() + 1 && (plural("s") || plural("es"))
        })
    }

    pub(super) fn is_plural(&self, at: usize) -> bool {
        self.last_word(at).is_some_and(|w| w.ends_with('s') && !w.ends_with("ss"))
    }

    /// "a big one", "a few more": another of what was said last.
    pub(super) fn is_a_like_one(&self, at: usize) -> bool {
        at >= 2
            && self.mentions[at - 1].has(&[Meaning::Hedge])
            && (self.any(at - 2, &[G::Determiner]) || matches!(self.word(at - 1), Some("a" | "an")))
            && !self.any(at + 1, &[G::Be])
    }

    pub(super) fn word_length(&self, at: usize) -> usize {
        self.narration.words[self.tokens[self.mentions[at].first as usize].word as usize].text.len()
    }

    /// "another one lower down", "same again on the back one": the last fault once more, elsewhere.
    pub(super) fn repeat(
        &self,
        number: usize,
        at: usize,
        points: Points,
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
        // "that's another story", "leave it another winter", "and one learns to be patient"
        let next = self.mentions.get(at + 1).filter(|_| at + 1 < clause.past);
        let strange = next.is_some_and(Mention::is_word)
            && (at > clause.first && self.any(at - 1, &[G::Be])
                || self.last_word(at) == Some("one")
                || at + 2 >= clause.past
                || self.any(at + 2, &[G::Determiner, G::It, G::Person])
                    && !self.mentions[at + 2].has(&[Meaning::Pointing])
                || self.clauses.phrase_at(at + 2).is_some());
        let person =
            self.last_word(at) == Some("one") && next.is_some_and(|m| m.any_grammar(&[G::Do, G::Modal, G::Verb]));
        if points == Points::Another && (strange || person) {
            return;
        }
        // "in the same one", "from the same door", "the same brand": a reference, not a repeat
        if points == Points::Same
            && (at > clause.first && self.any(at - 1, &[G::Host, G::From, G::Of, G::By])
                || self.mentions.get(at + 1).is_some_and(|m| m.is_word() && at + 1 < clause.past)
                || matches!(self.word(at + 1), Some("make" | "size" | "type" | "age" | "colour" | "way" | "time"))
                || self.last_word(at) == Some("same") && self.clauses.phrase_at(at + 1).is_some())
        {
            return;
        }
        // "one of the legs", and "two dents, one at the handle"
        if self.any(at + 1, &[G::Of]) && (points == Points::One || self.last_word(at) == Some("one")) {
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
                            || self.mentions[n].has(&[Meaning::Praise, Meaning::FunctionVerb, Meaning::FunctionWorks]))
                });
            // "the left headlight is yellow, right also"
            let side_too = at == clause.first + 1 && self.mentions[clause.first].place().is_some();
            if !bare && !side_too {
                return;
            }
        }
        let recent = since(out, number.saturating_sub(4));
        let lately = |d: &&Draft| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted;
        // "for a second", "into second": time and gears, not marks
        let bare = points == Points::Another
            && !matches!(self.last_word(at), Some("one" | "ones" | "another" | "twin" | "same" | "like" | "it"));
        if bare {
            let told = self.mentions.get(at + 1).is_none_or(|m| {
                m.any_grammar(&[G::By, G::Along, G::Host, G::Region, G::Layer, G::Then, G::Degree])
                    || m.has(&[Meaning::Hedge])
            }) || at + 1 == clause.past;
            if !told || at > clause.first && self.any(at - 1, &[G::Host, G::From]) {
                return;
            }
        }
        // "front tyre, same story as the other side": what was said of its opposite
        let across = points == Points::Same
            && (self.last_word(at).is_some_and(|w| matches!(w, "mate" | "twin" | "partner" | "number"))
                || (at..clause.past.min(at + 4)).any(|n| {
                    self.mentions[n]
                        .place()
                        .is_some_and(|p| self.vocabulary.entries.place[usize::from(p)].side == Some(SaidSide::Other))
                        && self.any(n - usize::from(n > at), &[G::Likeness])
                }));
        let subject =
            clause.phrases.clone().find(|&n| self.places.placed[n].part.is_some()).map(|n| self.places.placed[n]);
        let opposite = subject.filter(|_| across).map(|own| {
            out.iter()
                .filter(|d| {
                    lately(d)
                        && d.bearer.is_some_and(|b| {
                            b.placed.part == own.part
                                && b.placed.end == own.end
                                && b.placed.side.is_some()
                                && b.placed.side == own.side.map(flip)
                        })
                })
                .cloned()
                .collect::<Vec<_>>()
        });
        let models: Vec<Draft> = match points {
            _ if opposite.as_ref().is_some_and(|o| !o.is_empty()) => opposite.unwrap_or_default(),
            Points::Same | Points::AsWell => {
                let Some(last) = recent.iter().rev().find(lately) else { return };
                let clause = last.clause;
                let part = last.bearer.map(|b| b.placed.part);
                recent
                    .iter()
                    .filter(|d| lately(d) && d.clause == clause && d.bearer.map(|b| b.placed.part) == part)
                    .cloned()
                    .collect()
            }
            _ => recent
                .iter()
                .rev()
                .find(|d| lately(d) && d.noun)
                .or_else(|| recent.iter().rev().find(lately))
                .cloned()
                .into_iter()
                .collect(),
        };
        // "two dents, one at the handle and one lower down": where each of them is, not more of them
        let one = |n: usize| self.last_word(n) == Some("one");
        if let [model] = &models[..]
            && model.said.count.is_some_and(|c| c[0] >= 2)
            && one(at)
            && (model.past..at).rev().take(12).any(one)
        {
            return;
        }
        if models.is_empty() || out[from..].iter().any(|d| d.first == at) {
            return;
        }
        for model in models {
            let Some(defect) = model.defect else { continue };
            // "a chip on the bonnet, one in the windscreen too": the same word may be another defect there
            let named = self.joiner().join(
                number,
                Said { first: at, past: at + 1, noun: true, on: None, implies: None, fault: false },
                None,
            );
            let fits = |d: u16| {
                let on = Some(&self.vocabulary.defect_on[usize::from(d)]);
                named.is_none_or(|b| b.score <= 3.0 || self.joiner().fits(on, &b.placed))
            };
            let alike = self.mentions[model.first].senses.iter().find_map(|s| match s {
                Sense::DefectNoun(d) | Sense::DefectState(d) if fits(*d) => Some(*d),
                _ => None,
            });
            let defect = if fits(defect) { defect } else { alike.unwrap_or(defect) };
            let on = &self.vocabulary.defect_on[usize::from(defect)];
            let said = Said { first: at, past: at + 1, noun: true, on: Some(on), implies: None, fault: false };
            let named = self
                .joiner()
                .join(number, said, None)
                .filter(|b| b.score > 3.0 && self.joiner().fits(Some(on), &b.placed));
            // "at the rear wheel | same thing": told where just before
            let fronted = number.checked_sub(1).map(|n| &self.clauses.list[n]).and_then(|before| {
                before.phrases.clone().next_back().filter(|&n| {
                    let p = &self.clauses.phrases[n];
                    points == Points::Same
                        && at == clause.first
                        && p.past == clause.first
                        && p.governed == Governed::Host
                        && self.joiner().fits(Some(on), &self.places.placed[n])
                })
            });
            let named = named.or_else(|| fronted.map(|n| self.named_bearer(n, 8.0, "repeated")));
            let mut bearer = named
                .map(|b| self.joiner().with_host(number, b, topic))
                .or(model.bearer.map(|b| Bearer { phrase: None, rule: "repeated", ..b }));
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
                                _ if side == SaidSide::Other => b.placed.side.map(flip),
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
            let verdict = self.judge().judge(number, at);
            let several = self.mentions[at].number.filter(|n| !n.ordinal).map(strength::count_of);
            let more = self.last_word(at).is_some_and(|w| matches!(w, "more" | "them" | "those" | "it"));
            let count = (points == Points::Another && model.noun && !more).then(|| several.unwrap_or([1, 1]));
            out.push(Draft {
                defect: Some(defect),
                label: model.label.clone().filter(|_| model.defect == Some(defect)),
                bearer,
                verdict,
                said: strength::Said { count, ..Default::default() },
                quote: self.span(bearer, at, at + 1),
                noun: model.noun,
                why: vec![reason("defect", "repeated", self.quote_of(model.first, model.past), "")],
                ..Draft::new(Kind::Fault, number, at, at + 1)
            });
        }
    }

    /// "the camera's packed in, it's just a blue screen", "the pedal's long, it wants two pumps": of two faults of a family
    /// that one part is said to have in one breath, the second only tells more of the first.
    pub(super) fn told_twice(&self, out: &mut [Draft]) {
        for later in 1..out.len() {
            let (before, rest) = out.split_at_mut(later);
            let new = &mut rest[0];
            if !self.may_restate(new) {
                continue;
            }
            let families = |d: &Draft| d.defect.map_or(&[][..], |x| &self.vocabulary.families[usize::from(x)]);
            let follows = self.follows_from(new);
            let first = before.iter_mut().rev().take(4).find(|old| {
                old.kind == Kind::Fault
                    && old.verdict.standing == Standing::Asserted
                    && new.clause - old.clause <= 2
                    && self.one_place(old, new)
                    && (follows || families(old).iter().any(|f| families(new).contains(f)) || old.defect == new.defect)
            });
            if let Some(first) = first {
                new.verdict.standing = Standing::Restated;
                new.verdict.trigger = None;
                first.said.size = first.said.size.or(new.said.size);
                first.said.count = first.said.count.or(new.said.count);
                first.said.hedges.append(&mut new.said.hedges);
                if first.remedies.is_empty() {
                    first.remedies.append(&mut new.remedies);
                }
                if first.cost.is_none() {
                    first.cost = new.cost.take();
                }
                first.safety |= self.bears_on_safety(new);
            }
        }
    }

    /// Whether a fault is told as a condition, of no number of its own: "a dent and a crease" are two.
    fn may_restate(&self, new: &Draft) -> bool {
        new.kind == Kind::Fault
            && new.verdict.standing == Standing::Asserted
            && (new.said.count.is_none() || self.is_renamed(new))
            // "the step is loose, there's a bolt missing": another thing found
            && self.clauses.list[new.clause].opening != Opening::There
            && !self.of_a_spot(new.clause)
            && new.stranger.is_none()
            && !new.why.iter().any(|w| w.rule == "repeated" || w.rule == "exception")
            && new.bearer.is_none_or(|b| !matches!(b.rule, "shared"))
    }

    /// "a strut has burst, so it comes down on your head": what follows from the fault just told.
    fn follows_from(&self, new: &Draft) -> bool {
        let clause = &self.clauses.list[new.clause];
        let so = new
            .clause
            .checked_sub(1)
            .map(|n| &self.clauses.list[n])
            .is_some_and(|before| before.opening == Opening::So && before.past - before.first <= 2);
        so && clause.opening == Opening::It
            && !new.noun
            && new.first <= clause.first + 3
            && new.bearer.is_none_or(|b| b.phrase.is_none())
    }

    /// "there's one spot | that's rotted through": another place found.
    fn of_a_spot(&self, number: usize) -> bool {
        let Some(before) = number.checked_sub(1).map(|n| &self.clauses.list[n]) else { return false };
        self.clauses.list[number].opening == Opening::It
            && before.opening == Opening::There
            && before.past - before.first <= 6
            && self.any(before.past - 1, &[G::Region, G::Spot])
            && !self.mentions[before.first..before.past].iter().any(Mention::is_defect)
    }

    /// "it's a blank screen": what the last fault amounts to, though it is called "a" something.
    fn is_renamed(&self, new: &Draft) -> bool {
        let clause = &self.clauses.list[new.clause];
        new.said.count == Some([1, 1])
            && clause.opening == Opening::It
            && !(clause.first..new.first).any(|at| self.any(at, &[G::Have, G::There, G::Takes]))
    }

    /// Whether both are said of one part in one place.
    fn one_place(&self, old: &Draft, new: &Draft) -> bool {
        let (Some(a), Some(b)) = (old.bearer, new.bearer) else { return new.bearer.is_none() };
        let again = b.phrase.is_some() && a.phrase != b.phrase && new.clause == old.clause;
        let side = a.placed.side == b.placed.side || a.placed.side.is_none() || b.placed.side.is_none();
        let end = a.placed.end == b.placed.end || a.placed.end.is_none() || b.placed.end.is_none();
        !again && a.placed.part == b.placed.part && a.placed.host == b.placed.host && side && end
    }

    /// "has lost its spring", "short of two clips".
    pub(super) fn lost(&self, number: usize, at: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let Some(missing) = self.vocabulary.defect_id("missing") else { return };
        let object = clause.phrases.clone().find(|&n| {
            let p = &self.clauses.phrases[n];
            p.first > at && p.first <= at + 3
        });
        let verdict = self.judge().judge(number, at);
        let bearer = match object {
            Some(n) => {
                let bearer =
                    Bearer { placed: self.places.placed[n], phrase: Some(n), score: 11.0, margin: 5.0, rule: "lost" };
                Some(self.joiner().with_host(number, bearer, topic))
            }
            // "the moulding has lost its end piece": a piece that no entry knows
            None => self.lacks(number, at),
        };
        let Some(bearer) = bearer else { return };
        // "short of two clips"
        let count = bearer.phrase.and_then(|n| self.clauses.phrases[n].number).filter(|n| !n.ordinal && n.low >= 1.0);
        out.push(Draft {
            defect: Some(missing),
            bearer: Some(bearer),
            verdict,
            said: strength::Said { count: count.map(strength::count_of), ..Default::default() },
            quote: self.span(Some(bearer), at, at + 1),
            ..Draft::new(Kind::Fault, number, at, at + 1)
        });
    }

    /// The subject of a loss whose object no entry knows.
    fn lacks(&self, number: usize, at: usize) -> Option<Bearer> {
        let clause = &self.clauses.list[number];
        let mut thing = at + 1;
        while self.any(thing, &[G::Determiner, G::Region, G::Spot, G::Layer, G::Degree]) {
            thing += 1;
        }
        let unknown =
            thing > at + 1 && thing < clause.past && self.mentions[thing].is_word() && self.word_length(thing) > 2;
        let subject = clause.phrases.clone().rfind(|&n| {
            let p = &self.clauses.phrases[n];
            p.past <= at && at - p.past <= 2 && p.governed == Governed::Free && self.places.placed[n].part.is_some()
        })?;
        unknown.then(|| self.named_bearer(subject, 8.0, "lost"))
    }

    /// "the left works, the right does not": what was tried and found well of one is denied of another.
    pub(super) fn does_not(&self, number: usize, from: usize, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        if out.len() > from || clause.past - clause.first > 8 {
            return;
        }
        let Some(last) = (clause.first..clause.past).rev().find(|&at| !self.any(at, &[G::Marker, G::But, G::Degree]))
        else {
            return;
        };
        let compared = |n: usize| {
            self.clauses.list.get(n).is_some_and(|c| {
                self.judge().in_clause(c, Means::General).is_some()
                    || self.judge().in_clause(c, Means::Contrast).is_some()
            })
        };
        // "they judder, usually; this one doesn't"
        if compared(number) || number > 0 && compared(number - 1) {
            return;
        }
        let denied = self.judge().means(last) == Some(Means::Denied)
            && self.any_word_of(last, &[G::Do, G::Be, G::Modal])
            && self.mentions[last].width() > 1;
        let tried = out
            .iter()
            .rev()
            .take_while(|d| number - d.clause <= 2)
            .any(|d| d.kind == Kind::Check && d.result == Some(CheckResult::Ok));
        let Some(defect) = self.vocabulary.defect_id("not-working").filter(|_| denied && tried) else { return };
        let Some(n) = clause.phrases.clone().rfind(|&n| {
            let p = &self.clauses.phrases[n];
            p.past <= last && p.governed == Governed::Free && self.places.placed[n].part.is_some()
        }) else {
            return;
        };
        let bearer = self.named_bearer(n, 8.0, "exception");
        if !self.joiner().fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &bearer.placed) {
            return;
        }
        out.push(self.told(
            number,
            defect,
            bearer,
            last,
            self.span(Some(bearer), last, last + 1),
            ("exception", last..last + 1),
        ));
    }

    /// A fault that no word of its own names, with the rule and the words that tell of it.
    fn told(
        &self,
        number: usize,
        defect: u16,
        bearer: Bearer,
        at: usize,
        quote: [usize; 2],
        (rule, words): (&'static str, std::ops::Range<usize>),
    ) -> Draft {
        Draft {
            defect: Some(defect),
            bearer: Some(bearer),
            safety: self.joiner().safety(&bearer.placed),
            quote,
            why: vec![reason("defect", rule, self.quote_of(words.start, words.end), "")],
            ..Draft::new(Kind::Fault, number, at, at + 1)
        }
    }

    /// "you'll see the engine light", "just the service light showing": a lamp spoken of as there is lit.
    pub(super) fn lit(&self, number: usize, from: usize, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let told = out[from..].iter().any(|d| d.kind != Kind::Fitted)
            || [Means::Denied, Means::General, Means::Hypothetical, Means::Exception]
                .iter()
                .any(|&means| self.judge().in_clause(clause, means).is_some());
        let there = clause.opening == Opening::There && clause.past - clause.first <= 7 && !clause.past_tense;
        let Some(defect) = self.vocabulary.defect_id("lit").filter(|_| there && !told) else { return };
        let Some(n) = clause.phrases.clone().find(|&n| {
            let p = &self.clauses.phrases[n];
            p.governed == Governed::Object
                && self.places.placed[n].part.is_some_and(|p| self.vocabulary.is(p, Class::WarningLight))
        }) else {
            return;
        };
        let bearer = self.named_bearer(n, 8.0, "there");
        let head = self.clauses.phrases[n].head;
        if !self.joiner().fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &bearer.placed) {
            return;
        }
        out.push(self.told(
            number,
            defect,
            bearer,
            head,
            self.span(Some(bearer), clause.first, head + 1),
            ("there", clause.first..head + 1),
        ));
    }

    /// "the back two want doing": what wears, and is to be replaced with nothing else said of it, is worn.
    pub(super) fn due(&self, number: usize, from: usize, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let wears = [Class::Tyre, Class::Wiper, Class::Brake];
        let Some(at) = (clause.first..clause.past).find(|&at| {
            self.mentions[at]
                .entries(Meaning::Remedy)
                .any(|r| self.vocabulary.entries.remedy[usize::from(r)].id == "replace")
        }) else {
            return;
        };
        let Some(n) = clause.phrases.clone().rfind(|&n| {
            let p = &self.clauses.phrases[n];
            p.past <= at
                && at - p.past <= 3
                && p.governed == Governed::Free
                && self.places.placed[n].part.is_some_and(|p| wears.iter().any(|&c| self.vocabulary.is(p, c)))
        }) else {
            return;
        };
        let placed = self.places.placed[n];
        let told = out[from..].iter().any(|d| d.kind == Kind::Fault)
            || since(out, number.saturating_sub(4)).iter().any(|d| {
                d.kind == Kind::Fault
                    && d.bearer.is_some_and(|b| b.placed.part == placed.part && b.placed.side == placed.side)
            })
            || [Means::Denied, Means::General, Means::Hypothetical, Means::Fixed]
                .iter()
                .any(|&means| self.judge().in_clause(clause, means).is_some());
        let Some(defect) = self.vocabulary.defect_id("worn").filter(|_| !told) else { return };
        let bearer = self.named_bearer(n, 8.0, "due");
        out.push(self.told(number, defect, bearer, at, self.span(Some(bearer), at, at + 1), ("due", at..at + 1)));
    }

    /// Whether one of a mention's words is of these classes by itself.
    fn any_word_of(&self, at: usize, classes: &[G]) -> bool {
        let m = &self.mentions[at];
        (m.first..m.past).any(|t| self.vocabulary.small_words_of(self.tokens[t as usize].id).holds(classes))
    }

    /// "the rear door has one too", "there's one by the handle": as many more of what was named last.
    pub(super) fn counts_alike(&self, at: usize) -> bool {
        let m = &self.mentions[at];
        let Some(number) = m.number.filter(|n| !n.ordinal && n.low.fract() == 0.0 && n.low >= 1.0 && n.high <= 9.0)
        else {
            return false;
        };
        let led = at > 0 && self.any(at - 1, &[G::Have, G::There]) && !self.any(at - 1, &[G::Be])
            || at > 0 && { self.any(at - 1, &[G::There]) && self.mentions[at - 1].width() > 1 };
        let next = self.mentions.get(at + 1);
        let ends = next.is_none_or(|m| {
            m.any_grammar(&[G::By, G::Host, G::And, G::Along]) && !m.any_grammar(&[G::Of]) && !m.is_defect_noun()
                || m.entries(Meaning::Pointing)
                    .any(|p| self.vocabulary.entries.pointing[usize::from(p)].points == Points::AsWell)
        });
        led && ends && number.low == number.high && self.clauses.phrase_at(at).is_none()
    }

    /// "no warning lights apart from the airbag", "the dash is clear bar the tyre pressure one".
    fn excepted_lamp(&self, number: usize, trigger: usize, n: usize, out: &mut Vec<Draft>) -> bool {
        let phrase = &self.clauses.phrases[n];
        let of_lamps = self.mentions[trigger.saturating_sub(10)..trigger].iter().any(|m| {
            m.part().is_some_and(|p| self.vocabulary.is(p, Class::WarningLight) || self.vocabulary.is(p, Class::Light))
                || (m.first..m.past).any(|t| {
                    matches!(
                        self.vocabulary.spelling.name(self.tokens[t as usize].id),
                        "dash" | "dashboard" | "cluster" | "lights" | "lamps" | "warnings" | "warning"
                    )
                })
        });
        let lamp = self.places.placed[n].part.and_then(|part| {
            if self.vocabulary.is(part, Class::WarningLight) {
                return Some(part);
            }
            let lamp = self.vocabulary.entries.part[usize::from(part)].lamp.as_deref()?;
            self.vocabulary.part_id(lamp)
        });
        let (Some(lamp), Some(defect)) = (lamp, self.vocabulary.defect_id("lit")) else { return false };
        if !of_lamps || phrase.first > trigger + 5 {
            return false;
        }
        let mut bearer = self.named_bearer(n, 8.0, "exception");
        bearer.placed.part = Some(lamp);
        out.push(self.told(
            number,
            defect,
            bearer,
            phrase.head,
            [trigger, phrase.past],
            ("exception", trigger..trigger + 1),
        ));
        true
    }

    /// "no lights on the dash bar the ABS one", "all working except the indicator".
    pub(super) fn excepted(&self, number: usize, from: usize, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let Some(trigger) = self.judge().in_clause(clause, Means::Exception) else { return };
        if out[from..].iter().any(|d| d.kind == Kind::Fault) {
            return;
        }
        let Some(n) = clause
            .phrases
            .clone()
            .find(|&n| self.clauses.phrases[n].first > trigger && self.places.placed[n].part.is_some())
        else {
            return;
        };
        if self.excepted_lamp(number, trigger, n, out) || trigger != clause.first || number == 0 {
            return;
        }
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
        if !self.joiner().fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &placed) {
            return;
        }
        let head = self.clauses.phrases[n].head;
        out.push(Draft {
            kind: Kind::Fault,
            defect: Some(defect),
            item: None,
            result: None,
            quote: [trigger, self.clauses.phrases[n].past],
            why: vec![reason("defect", "exception", self.quote_of(trigger, trigger + 1), "")],
            ..self.check(
                number,
                head,
                bearer,
                placed.part.unwrap_or(0),
                CheckResult::Ok,
                self.judge().judge(number, head),
            )
        });
    }
}
