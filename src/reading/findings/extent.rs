//! How bad, how large, how many, what mends it and for how much: what is said around a fault goes to it.

use super::*;

impl Reader<'_, '_> {
    /// Hedges, sizes, remedies and prices of this clause go to their faults.
    pub(super) fn take_strength(&self, number: usize, from: usize, out: &mut [Draft]) {
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
            // "forty pounds of oil pressure" is no price
            if let Some(measure) = strength::measure(self.mentions, at, self.vocabulary)
                && measure.kind == UnitKind::Money
                && !self.any(measure.past, &[G::Of])
            {
                self.give_cost(number, at, measure.low, measure.high, Some(measure.unit), measure.past, out);
                at = measure.past;
                continue;
            }
            if let Some(price) = self.bare_price(number, at) {
                self.give_cost(number, at, price[0], price[1], None, at + 1, out);
            }
            if m.has(&[Meaning::Hedge]) {
                self.give_hedge(number, first_own, at, out);
            }
            if let Some(remedy) = m.entry(Meaning::Remedy) {
                self.give_remedy(number, first_own, at, remedy, out);
            }
            at += 1;
        }
        self.give_counts(number, from, out);
    }

    /// How many, where it is not said right before the fault's own word: "one of the legs is bent", "kerbed in two
    /// places", "dents … I'd say six or seven", "headlights yellowed, both of them".
    fn give_counts(&self, number: usize, from: usize, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        let mut later = clause.first;
        for i in from..out.len() {
            let d = &out[i];
            if d.kind != Kind::Fault || d.clause != number {
                continue;
            }
            later = later.max(d.past);
            let far = matches!(self.last_word(d.past - 1), Some("bits" | "death" | "pieces" | "hell" | "through"));
            if far && self.mentions[d.past - 1].width() > 1 {
                out[i].said.far_gone = true;
            }
            let d = &out[i];
            if d.said.count.is_none() {
                let next = out[i + 1..].iter().filter(|n| n.first > d.first).map(|n| n.first).min();
                let before = out[from..i].iter().filter(|n| n.past <= d.first).map(|n| n.past).max();
                let count = self.count_around(d, before.unwrap_or(clause.first), next.unwrap_or(clause.past));
                out[i].said.count = count;
            }
        }
        // Told after the marks, by itself: "some dents further back … say six or seven".
        let mut last =
            out.iter_mut().rev().take(3).filter(|d| {
                d.kind == Kind::Fault && number - d.clause <= 2 && d.verdict.standing == Standing::Asserted
            });
        if let Some(d) = last.next()
            && d.noun
            && d.said.count.is_none()
            && (self.is_plural(d.first)
                || d.past > d.first && self.is_plural(d.past - 1)
                || d.why.iter().any(|w| w.rule == "repeated"))
            && !self.new_subject_after(number, d)
            && let Some(n) = (later.max(d.past)..clause.past).find_map(|at| self.number_alone(at, clause.past))
        {
            d.said.count = Some(strength::count_of(n));
        }
    }

    /// Whether the clause turns to another part than that of a fault told before.
    fn new_subject_after(&self, number: usize, draft: &Draft) -> bool {
        number != draft.clause && self.new_subject(number)
    }

    /// A number that counts nothing named behind it: "say six or seven", "eight or ten of them".
    fn number_alone(&self, at: usize, past: usize) -> Option<super::super::numbers::Spoken> {
        let n = self.mentions[at].number.filter(|n| {
            !n.ordinal && n.low.fract() == 0.0 && n.high.fract() == 0.0 && n.low >= 2.0 && n.high < 100.0
        })?;
        let ends = at + 1 >= past
            || self.any(at + 1, &[G::Of]) && self.any(at + 2, &[G::It])
            || self.mentions[at + 1].has(&[Meaning::Hedge])
            || strength::is_about(&self.mentions[at + 1], self.vocabulary);
        (ends && self.clauses.phrase_at(at).is_none()).then_some(n)
    }

    fn count_around(&self, d: &Draft, floor: usize, past: usize) -> Option<[u32; 2]> {
        // "got a crack", where the words of the fault hold its article
        let own = &self.tokens[self.mentions[d.first].first as usize..self.mentions[d.past - 1].past as usize];
        let spelt = |id| self.vocabulary.spelling.name(id);
        if own.iter().rev().skip(1).any(|t| matches!(spelt(t.id), "a" | "an" | "one"))
            && self.has_plural(d.past - 1)
            && !self.is_plural(d.past - 1)
        {
            return Some([1, 1]);
        }
        // "buckled in two places"
        for at in d.past..past.max(d.past + 1).min(d.past + 6).min(self.mentions.len()) {
            if self.mentions[at].is_defect() {
                break;
            }
            let place = |at: usize| {
                self.last_word(at)
                    .is_some_and(|w| matches!(w, "place" | "places" | "spot" | "spots" | "time" | "times" | "patch"))
            };
            // "one of six"
            let share = self.any(at + 1, &[G::Of]) && self.mentions.get(at + 2).is_some_and(|m| m.number.is_some());
            let counted = |n: super::super::numbers::Spoken| !n.ordinal && n.low >= 1.0 && n.high < 20.0;
            if let Some(n) = self.mentions[at].number.filter(|n| counted(*n))
                && (share || place(at) || at + 1 < past && self.mentions[at + 1].width() == 1 && place(at + 1))
            {
                return Some(strength::count_of(n));
            }
        }
        let both = |at: usize| {
            self.mentions[at].place().is_some_and(|p| {
                let place = &self.vocabulary.entries.place[usize::from(p)];
                place.side == Some(crate::vocabulary::entries::SaidSide::Both) && !place.moves
            }) && !self.last_word(at).is_some_and(|w| matches!(w, "sides" | "ends" | "corners" | "side"))
        };
        let plural = d.bearer.is_some_and(|b| b.placed.plural);
        if !d.noun
            && (plural || d.bearer.is_none_or(|b| b.phrase.is_none()))
            && (floor.saturating_sub(1)..past).any(both)
        {
            return Some([2, 2]);
        }
        if d.noun {
            return None;
        }
        // "spare key missing", in notes, is one
        let missing = d.defect.is_some_and(|x| self.vocabulary.entries.defect[usize::from(x)].id.contains("missing"));
        if missing
            && let Some(n) = d.bearer.and_then(|b| b.phrase)
            && self.clauses.phrases[n].past == d.first
            && !self.clauses.phrases[n].plural
            && d.bearer.is_some_and(|b| b.placed.side != Some(Side::Both))
            && !(self.clauses.phrases[n].first..d.first).any(|at| self.any(at, &[G::Determiner, G::Be]))
        {
            return Some([1, 1]);
        }
        // Back over the subject to the number that leads it; "there's one spot that's rotted" begins in the clause before.
        let first = self.clauses.list[d.clause].first;
        let relative = floor == first && matches!(self.word(first), Some("that" | "which")) && first > 0;
        let floor = if relative { floor.saturating_sub(4) } else { floor };
        let mut at = d.first;
        while at > floor && d.first - at < 9 {
            at -= 1;
            let m = &self.mentions[at];
            if let Some(n) = m.number.filter(|n| !n.ordinal && n.low.fract() == 0.0 && n.low >= 1.0 && n.high <= 20.0) {
                let of = self.any(at + 1, &[G::Of]) || self.last_word(at) == Some("of");
                let leads = at + 1 < d.first && !self.any(at + 1, &[G::By, G::Host]);
                return (of || leads || at + 1 == d.first).then(|| strength::count_of(n));
            }
            // "and one of the legs is bent", "neither of them works"
            let pointing = self.word(at) == Some("one") && m.width() > 1;
            if self.any(at + 1, &[G::Of]) && self.last_word(at) == Some("one") || pointing {
                return Some([1, 1]);
            }
            // "on all four duals"
            if self.last_word(at) == Some("four") && m.place().is_some() {
                return Some([4, 4]);
            }
            if self.word(at) == Some("neither") {
                return Some([2, 2]);
            }
            let article = m.any_grammar(&[G::Determiner]);
            if article {
                // "has a rung loose", and not "the rung is loose"
                let one = matches!(self.word(at), Some("a" | "an"));
                return one
                    .then_some([1, 1])
                    .filter(|_| at > floor && self.any(at - 1, &[G::Have, G::There, G::Host, G::With]) || at == floor);
            }
            let becomes = at + 1 == d.first && m.is_defect_state();
            // "one spot that's rotted", "one of them's out"
            let relative = matches!(self.word(at), Some("that" | "which")) || at > floor && self.any(at - 1, &[G::Of]);
            let turns = m.any_grammar(&[G::And, G::But, G::It, G::Person, G::Or, G::So, G::Which]) && !relative;
            if turns || m.is_defect() && !becomes {
                break;
            }
        }
        None
    }

    /// A bare number beside talk of mending is a price: "wants a regas, hundred and eighty", "figure two hundred", "two
    /// twenty for a new one", "pads and discs, four twenty".
    pub(super) fn bare_price(&self, number: usize, at: usize) -> Option<[f64; 2]> {
        let n = self.mentions[at].number.filter(|n| !n.ordinal && !n.vague && n.low >= 20.0 && n.high < 20_000.0)?;
        let clause = &self.clauses.list[number];
        let counts = |i: usize| {
            let thing = |m: &Mention| m.has(&[Meaning::Unit]);
            let named = i < clause.past && n.low < 100.0 && self.mentions[i].part().is_some();
            self.mentions.get(i).is_some_and(thing) && i < clause.past || named
        };
        if counts(at + 1) || (1900.0..2100.0).contains(&n.low) || self.clauses.phrase_at(at).is_some() {
            return None;
        }
        let told = at > clause.first && self.any(at - 1, &[G::Priced]);
        // "at a hundred and ten you feel …": a speed, where no work stands before it
        let work = |i: usize| self.mentions[i].has(&[Meaning::Remedy]);
        if at > clause.first
            && self.word(at - 1) == Some("at")
            && (self.any(at + 1, &[G::Person]) || !(at >= clause.first + 2 && work(at - 2)))
        {
            return None;
        }
        let mending = |from: usize, to: usize| {
            (from..to).any(|i| {
                let m = &self.mentions[i];
                m.has(&[Meaning::Remedy])
                    || m.grammar(G::Takes) && matches!(self.word(i + 1), Some("doing" | "done" | "sorting" | "fixing"))
            })
        };
        let before = number
            .checked_sub(1)
            .map(|b| &self.clauses.list[b])
            .filter(|b| at == clause.first && b.past == clause.first);
        // Said last, with nothing measured by it.
        let ends = self.mentions.get(at + 1).is_none_or(|m| {
            at + 1 >= clause.past
                || m.any_grammar(&[G::And, G::So, G::But, G::With, G::Then, G::Along, G::Host, G::Priced])
                || m.has(&[Meaning::Standing])
        });
        // "for a new one", "the pair", "for all of that"
        let bought = self.any(at + 1, &[G::Priced])
            || self.mentions.get(at + 1).is_some_and(|m| m.has(&[Meaning::Remedy]))
            || self.word(at + 1) == Some("for")
                && (matches!(
                    self.word(at + 2),
                    Some("a" | "an" | "the" | "all" | "both" | "that" | "those" | "it" | "everything" | "them")
                ) || self.clauses.phrase_at(at + 2).is_some());
        let listed = at > clause.first
            && self.clauses.phrase_at(at - 1).is_some_and(|p| self.is_bought(self.places.placed[p].part))
            && n.low >= 30.0;
        if self.ends_statement(number, at) && self.prices_habitually() {
            return Some([n.low, n.high]);
        }
        let spoken =
            told || bought || listed || mending(clause.first, at) || before.is_some_and(|b| mending(b.first, b.past));
        (spoken && (ends || told || bought || listed)).then_some([n.low, n.high])
    }

    /// A bare number that ends what is said of a fault: "front door, dent, golf ball, eighty. Rear door …".
    fn ends_statement(&self, number: usize, at: usize) -> bool {
        let clause = &self.clauses.list[number];
        let plain = self.mentions[at].number.is_some_and(|n| {
            !n.ordinal
                && !n.vague
                && (20.0..5_000.0).contains(&n.low)
                && n.low.fract() == 0.0
                && !(1900.0..2100.0).contains(&n.low)
        });
        let last = at + 1 == clause.past
            || self.clauses.phrase_at(at + 1).is_some_and(|n| {
                let p = &self.clauses.phrases[n];
                p.first == at + 1 && p.governed == Governed::Free
            });
        let measured = strength::measure(self.mentions, at, self.vocabulary).is_some();
        let counts = self.mentions.get(at + 1).is_some_and(|m| m.has(&[Meaning::Unit, Meaning::Remedy]));
        let after_fault = (clause.first..at).any(|i| self.mentions[i].is_defect())
            && !self.mentions[at - 1].any_grammar(&[
                G::Host,
                G::Along,
                G::By,
                G::From,
                G::Of,
                G::Be,
                G::Person,
                G::Odometer,
            ])
            && self.mentions[at - 1].number.is_none();
        plain && last && !measured && !counts && after_fault && self.clauses.phrase_at(at).is_none()
    }

    /// Whether statements about faults end so again and again, and money is spoken of besides.
    fn prices_habitually(&self) -> bool {
        *self.ends_with_prices.get_or_init(|| {
            let money = (0..self.mentions.len()).any(|at| {
                self.mentions[at].number.is_some()
                    && strength::measure(self.mentions, at, self.vocabulary).is_some_and(|m| m.kind == UnitKind::Money)
            });
            money
                && self
                    .clauses
                    .list
                    .iter()
                    .enumerate()
                    .flat_map(|(number, c)| (c.first + 1..c.past).map(move |at| (number, at)))
                    .filter(|&(number, at)| self.ends_statement(number, at))
                    .count()
                    >= 5
        })
    }

    /// Whether a part is one that wears and is bought new rather than mended.
    fn is_bought(&self, part: Option<u16>) -> bool {
        const BOUGHT: [Class; 6] =
            [Class::Tyre, Class::Brake, Class::Light, Class::Battery, Class::Suspension, Class::Wiper];
        part.is_some_and(|p| {
            self.vocabulary.entries.part[usize::from(p)].id == "mirror-glass"
                || BOUGHT.iter().any(|&c| self.vocabulary.is(p, c))
        })
    }

    pub(super) fn own_faults<'d>(&self, number: usize, from: usize, out: &'d mut [Draft]) -> Vec<&'d mut Draft> {
        let _ = number;
        out[from..].iter_mut().filter(|d| d.kind == Kind::Fault).collect()
    }

    /// The last fault before this clause that a remark may still be about.
    pub(super) fn last_fault(&self, number: usize, from: usize, out: &[Draft]) -> Option<usize> {
        // A new subject in between ends it.
        let at = out[..from].iter().rposition(|d| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted)?;
        (number - out[at].clause <= REACH).then_some(at)
    }

    pub(super) fn new_subject(&self, number: usize) -> bool {
        let clause = &self.clauses.list[number];
        clause
            .phrases
            .clone()
            .any(|n| self.clauses.phrases[n].governed == Governed::Free && self.clauses.phrases[n].part.is_some())
            || clause.opening == Opening::Move
    }

    pub(super) fn give_size(&self, number: usize, from: usize, size: Size, out: &mut [Draft]) {
        // Before its fault a size stands close by: "fist-sized dent", "on the rear door, four inches, a scratch".
        let leads = |d: &Draft| {
            let plural = self.mentions[size.past - 1].has(&[Meaning::Unit]) && self.is_plural(size.past - 1);
            d.first >= size.past
                && (!plural || self.any(size.past, &[G::Of]))
                && d.first - size.past <= 6
                && !(size.past..d.first).any(|at| self.clauses.phrase_at(at).is_some() || self.any(at, &[G::Be]))
        };
        let chosen = self
            .own_faults(number, from, out)
            .into_iter()
            .filter(|d| d.verdict.standing == Standing::Asserted || d.verdict.standing == Standing::Withdrawn)
            .filter(|d| self.can_be_measured(d))
            .filter(|d| d.past <= size.first || leads(d) || d.first < size.past)
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
        if self.measures_another(number, size) {
            return;
        }
        if let Some(at) = self.last_fault(number, from, out)
            && number - out[at].clause <= 2
            && out[at].said.size.is_none()
            && self.can_be_measured(&out[at])
            && !self.tyre_depth(&out[at], size)
        {
            out[at].said.size = Some(size.mm);
        }
    }

    /// A noise, a smell or something that does not work has no size: "squeaks like a mouse".
    fn can_be_measured(&self, draft: &Draft) -> bool {
        let v = self.vocabulary;
        draft.defect.is_none_or(|d| {
            let sizeless = |f: &u16| {
                matches!(
                    v.entries.family[usize::from(*f)].id.as_str(),
                    "noise" | "smelling" | "running" | "gears" | "light-on"
                )
            };
            !v.entries.defect[usize::from(d)].function && !v.families[usize::from(d)].iter().any(sizeless)
        })
    }

    /// Whether a size is told of a part that the clause turns to before it, not of the fault spoken of: "tyre's five mil",
    /// "the awning is four metres". A hand's breadth or so behind a landmark ("arch lip, fifty mil") is the fault's.
    fn measures_another(&self, number: usize, size: Size) -> bool {
        let clause = &self.clauses.list[number];
        // "tyres are all the same brand, four and five millimetres"
        let treads = number.checked_sub(1).is_some_and(|b| {
            clause.phrases.is_empty()
                && self.clauses.list[b].phrases.clone().any(|n| {
                    self.clauses.phrases[n].governed == Governed::Free
                        && self.places.placed[n].part.is_some_and(|p| self.vocabulary.is(p, Class::Tyre))
                })
        });
        treads && size.mm[1] < 13.0
            || clause.opening == Opening::Move
            || clause.phrases.clone().any(|n| {
                let phrase = &self.clauses.phrases[n];
                let Some(part) = self.places.placed[n].part.filter(|_| phrase.governed == Governed::Free) else {
                    return false;
                };
                let own = phrase.first < size.past && size.first < phrase.past;
                let sized = self.vocabulary.is(part, Class::Tyre)
                    || self.vocabulary.is(part, Class::Brake)
                    || (phrase.past..size.first).any(|at| self.any(at, &[G::Be, G::Have]))
                    || size.mm[0] > 600.0;
                !own && phrase.first < size.first && sized
            })
    }

    /// A few millimetres on a tyre are its tread, not the size of a fault, unless it is a cut.
    pub(super) fn tyre_depth(&self, draft: &Draft, size: Size) -> bool {
        let tyre = draft.bearer.and_then(|b| b.placed.part).is_some_and(|p| self.vocabulary.is(p, Class::Tyre));
        let brake = draft.bearer.and_then(|b| b.placed.part).is_some_and(|p| self.vocabulary.is(p, Class::Brake));
        (tyre || brake) && !draft.noun && size.mm[1] < 13.0
    }
    #[allow(clippy::too_many_arguments)]
    pub(super) fn give_cost(
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
            .take_while(|&i| number - out[i].clause <= PRICE_REACH)
            .filter(|&i| {
                out[i].kind == Kind::Fault
                    && out[i].verdict.standing == Standing::Asserted
                    && out[i].first < at
                    && (number - out[i].clause <= REACH || at - out[i].past <= 18)
            })
            .collect();
        let Some(&last) = faults.first() else { return };
        let clause = out[last].clause;
        let part = out[last].bearer.map(|b| (b.placed.part, b.placed.side));
        let all = self.prices_all(past);
        let mut given = 0;
        for &i in &faults {
            // One price for all that is wrong with a part, and for both where both are said.
            let same = out[i].bearer.map(|b| (b.placed.part, b.placed.side)) == part
                && (out[i].clause == clause
                    || part.is_some_and(|(p, _)| p.is_some()) && number - out[i].clause <= REACH);
            if (i == last || same || all && given < 2) && out[i].cost.is_none() {
                given += 1;
                out[i].cost = Some(([low, high], currency.clone(), at));
                if number == out[i].clause {
                    out[i].quote[1] = out[i].quote[1].max(past);
                }
            }
        }
    }

    /// "… for the two", "for both", "for the pair of them": said right behind a price.
    fn prices_all(&self, past: usize) -> bool {
        let words: Vec<&str> = (past..past + 3).filter_map(|at| self.last_word(at)).collect();
        self.word(past) == Some("for")
            && (words.iter().any(|w| matches!(*w, "two" | "both" | "lot"))
                || self.last_word(past).is_some_and(|w| matches!(w, "both" | "lot" | "two")))
    }

    /// Whether the price said of a fault can only be that of a new part: it wears out and is not mended, or the part to buy
    /// was named with the price ("a drop link, thirty-five").
    pub(super) fn priced_new(&self, draft: &Draft) -> bool {
        let Some((_, _, at)) = &draft.cost else { return false };
        // Where the trade would polish, weld or refill, a price is the price of that.
        let mended = draft.defect.is_some_and(|d| {
            let trade = self.vocabulary.entries.defect[usize::from(d)].remedy.first();
            !trade.is_none_or(|r| {
                matches!(
                    r.as_str(),
                    "repair"
                        | "replace"
                        | "diagnose"
                        | "refit"
                        | "balance"
                        | "adjust"
                        | "plug"
                        | "skim"
                        | "rebuild"
                        | "align"
                )
            })
        });
        let part = draft.bearer.and_then(|b| b.placed.part);
        let near = at.saturating_sub(4).max(draft.past)..(*at + 5).min(self.mentions.len());
        let named = near.into_iter().any(|n| {
            self.clauses.phrase_at(n).is_some_and(|p| {
                let before = self.clauses.phrases[p].past <= *at;
                let placed = self.places.placed[p];
                placed.part.is_some()
                    && placed.part != part
                    && (before
                        || self.clauses.phrases[p].governed != Governed::Free
                        || self.clauses.phrases[p].first > 0
                            && self.word(self.clauses.phrases[p].first - 1) == Some("for"))
                    && !self.vocabulary.is(placed.part.unwrap_or(0), Class::Body)
            })
        });
        !mended && (self.is_bought(part) || named)
    }

    pub(super) fn give_hedge(&self, number: usize, from: usize, at: usize, out: &mut [Draft]) {
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
            for d in alike(out, i) {
                d.said.hedges.push((at, effect));
            }
        }
    }

    pub(super) fn give_remedy(&self, number: usize, from: usize, at: usize, remedy: u16, out: &mut [Draft]) {
        // "won't polish out"
        let clause = &self.clauses.list[number];
        if self.denied_verb(at, clause.first).is_some() || self.is_a_thing(at, clause.first) {
            return;
        }
        let own: Vec<usize> = (from..out.len())
            .filter(|&i| out[i].kind == Kind::Fault && out[i].verdict.standing == Standing::Asserted)
            .collect();
        let before = own.iter().copied().rfind(|&i| out[i].first <= at);
        // "… torn, replace. Grille …": said before the clause turns to another part, it is of the fault before.
        let turns = clause.phrases.clone().map(|n| &self.clauses.phrases[n]).find(|p| p.governed == Governed::Free);
        let opens =
            own.first().is_some_and(|&i| out[i].first > at && !self.any(at + 1, &[G::Host, G::Of, G::Determiner]));
        let trails = at <= clause.first + 1 && (turns.is_some_and(|p| at < p.first) || opens);
        let trailing = || {
            self.last_fault(number, from, out).filter(|&i| {
                trails && number - out[i].clause <= 1 && out[i].remedies.is_empty() && out[i].past + 8 >= at
            })
        };
        let chosen = before.or_else(trailing).or_else(|| own.first().copied()).or_else(|| {
            (!self.new_subject(number)
                || clause.opening == Opening::So
                || self.remedy_names_same(number, from, out)
                || self.is_a_note(number, at))
            .then(|| self.last_fault(number, from, out))
            .flatten()
        });
        // "… a wheel sensor, one ninety for a new one": with the price, whatever was named in between
        let recent = out.len().saturating_sub(6);
        let priced = || {
            let near = |d: &Draft| d.cost.as_ref().is_some_and(|c| c.2 <= at && at <= c.2 + 3);
            out[recent..].iter().rposition(near).map(|i| recent + i)
        };
        let Some(chosen) = chosen.or_else(priced) else { return };
        let (clause, first, placed) = (out[chosen].clause, out[chosen].first, out[chosen].bearer.map(|b| b.placed));
        for d in since_mut(out, clause).iter_mut().filter(|d| {
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

    /// A part to buy and what to do with it, alone in their clause: "notch at dead ahead, head bearings, replace".
    fn is_a_note(&self, number: usize, at: usize) -> bool {
        let clause = &self.clauses.list[number];
        clause.phrases.len() == 1
            && clause.phrases.clone().all(|n| {
                let phrase = &self.clauses.phrases[n];
                phrase.first == clause.first && phrase.past == at && self.is_bought(self.places.placed[n].part)
            })
    }

    /// "over the plate", "a patch of rust", "dull patch", "door: clean", "grease stains": a word of mending that only names
    /// or describes a thing here.
    fn is_a_thing(&self, at: usize, floor: usize) -> bool {
        let m = &self.mentions[at];
        if m.width() > 1 {
            return false;
        }
        let before = at.checked_sub(1).filter(|b| *b >= floor);
        let words = ["the", "this", "that", "its", "it", "my", "last", "next", "previous", "no", "lack"];
        let definite = before.is_some_and(|b| self.word(b).is_some_and(|w| words.contains(&w)));
        let described = before.is_some_and(|b| {
            self.any(b, &[G::Sized])
                || b > floor && self.mentions[b].is_defect_state() && matches!(self.word(b - 1), Some("a" | "an"))
        });
        let called_for = before.is_some_and(|b| {
            self.any(b, &[G::Takes, G::Modal, G::And, G::Or]) || self.mentions[b].has(&[Meaning::Remedy])
        });
        let praised = m.has(&[Meaning::Praise])
            && before.is_some_and(|b| self.any(b, &[G::Be, G::Degree]) || self.clauses.phrase_at(b).is_some());
        // "that's alignment"
        let is_it = before.is_some_and(|b| {
            self.any(b, &[G::Be]) && self.any(b, &[G::It])
                || b > floor && self.any(b, &[G::Be]) && self.any(b - 1, &[G::It])
        });
        let named = self.clauses.phrase_at(at).is_some() && !is_it;
        // "a clean driveway"
        let attributive = before.is_some_and(|b| matches!(self.word(b), Some("a" | "an")))
            && self.mentions.get(at + 1).is_some_and(|n| n.is_word() || n.part().is_some());
        let marks = self.mentions.get(at + 1).is_some_and(|n| n.is_defect_noun()) || attributive;
        self.any(at + 1, &[G::Of]) || definite || described || marks || (praised || named) && !called_for
    }

    /// "…so that's a new screen": the part named again is the one the fault is on.
    pub(super) fn remedy_names_same(&self, number: usize, from: usize, out: &[Draft]) -> bool {
        let Some(i) = self.last_fault(number, from, out) else { return false };
        let Some(part) = out[i].bearer.and_then(|b| b.placed.part) else { return false };
        self.clauses.list[number].phrases.clone().any(|n| self.places.placed[n].part == Some(part))
    }
}
