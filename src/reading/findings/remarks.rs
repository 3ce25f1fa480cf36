//! What else is said of the vehicle: good parts, functions tried, fitted equipment, what was not looked at.

use super::*;
use crate::vocabulary::Market;

/// What treads are measured in in the United States, in millimetres.
const THIRTY_SECOND: f64 = 25.4 / 32.0;

impl Reader<'_, '_> {
    /// A function that fails was tried: it is a check with a bad end as well as a fault.
    pub(super) fn tried(&self, out: &mut Vec<Draft>) {
        let checks: Vec<Draft> = out
            .iter()
            .filter(|d| d.kind == Kind::Fault && matches!(d.verdict.standing, Standing::Asserted | Standing::Restated))
            .filter(|d| {
                d.defect.is_some_and(|x| self.vocabulary.entries.defect[usize::from(x)].function)
                    || d.why.iter().any(|w| w.rule == "denied-function")
            })
            .filter_map(|d| {
                let part = d.bearer?.placed.part?;
                let host = d.bearer?.placed.host;
                let apt = |p: u16| self.vocabulary.tried_by(p, TriedBy::Failing);
                (apt(part) || host.is_some_and(apt)).then(|| Draft {
                    kind: Kind::Check,
                    item: Some(Item::Part(part)),
                    result: Some(CheckResult::Fault),
                    remedies: Vec::new(),
                    cost: None,
                    why: Vec::new(),
                    ..d.clone()
                })
            })
            .collect();
        // Drafts stand in the order of their clauses: only those close by are looked at.
        let mut new: Vec<Draft> = Vec::with_capacity(checks.len());
        let mut replaced = vec![false; out.len()];
        for mut check in checks {
            check.verdict.standing = Standing::Asserted;
            let close = self.close_by(out, check.clause);
            let near = |d: &Draft| {
                d.kind == Kind::Check
                    && d.clause.abs_diff(check.clause) <= 2
                    && d.item == check.item
                    && d.bearer.map(|b| (b.placed.side, b.placed.host))
                        == check.bearer.map(|b| (b.placed.side, b.placed.host))
            };
            // "won't open at all, the lock's jammed": one trial
            let added = new.iter().rev().take_while(|d| d.clause + 2 >= check.clause);
            if out[close.clone()].iter().chain(added).any(|d| near(d) && d.result == Some(CheckResult::Fault)) {
                continue;
            }
            // "it goes up but it won't come down": so is this, and it ended badly
            let ended_well = close.clone().find(|&n| {
                near(&out[n]) && out[n].result == Some(CheckResult::Ok) && out[n].first < check.first && !replaced[n]
            });
            if let Some(n) = ended_well {
                check.quote[0] = check.quote[0].min(out[n].quote[0]);
                replaced[n] = true;
            }
            new.push(check);
        }
        let mut replaced = replaced.into_iter();
        out.retain(|_| replaced.next() == Some(false));
        out.extend(new);
        out.sort_by_cached_key(|d| (d.first, d.kind == Kind::Check));
    }

    /// The drafts, in the order of their clauses, that lie within two clauses of this one.
    fn close_by(&self, out: &[Draft], clause: usize) -> std::ops::Range<usize> {
        out.partition_point(|d| d.clause + 2 < clause)..out.partition_point(|d| d.clause <= clause + 2)
    }

    /// "no rust on the arch", "not a scratch on the door": a part named and said to be free of a fault is good, unless
    /// another fault of it follows.
    pub(super) fn denied_is_sound(&self, out: &mut Vec<Draft>) {
        let mut sound: Vec<Draft> = Vec::new();
        for d in out.iter().filter(|d| d.kind == Kind::Fault && d.verdict.standing == Standing::Denied) {
            let Some(mut bearer) = d.bearer.filter(|b| b.placed.part.is_some()) else { continue };
            // "and it's not slipping yet": of the clutch spoken of
            let driven = |p: u16| self.vocabulary.tried_by(p, TriedBy::Denial);
            let carried = bearer.rule == "carried"
                && self.clauses.list[d.clause].opening == Opening::It
                && d.verdict.trigger.is_some_and(|t| t < d.first);
            if bearer.phrase.is_none() && !(carried && bearer.placed.part.is_some_and(driven)) {
                continue;
            }
            // "clutch was slipping, that got done, no oil leaks out of the motor": that subject has been dealt with
            let clause = &self.clauses.list[d.clause];
            let told = bearer.phrase.zip(d.verdict.trigger).is_some_and(|(n, trigger)| {
                let past = self.clauses.phrases[n].past;
                past < trigger && self.mentions[past..trigger].iter().any(Mention::is_defect)
            });
            let said_of = clause.phrases.clone().find(|&n| self.clauses.phrases[n].first >= d.past).filter(|&n| {
                let p = &self.clauses.phrases[n];
                matches!(p.governed, Governed::From | Governed::Of | Governed::Host)
                    && p.first <= d.past + 4
                    && self.places.placed[n].part.is_some()
                    && !self.mentions[d.past..p.first].iter().any(Mention::is_defect_noun)
            });
            if let Some(n) = said_of.filter(|_| d.noun && told) {
                bearer = self.named_bearer(n, 9.0, "in-or-on");
            }
            // A condition only where the part stands right before its denial: "the wheel's not marked".
            let outright = d.verdict.trigger.is_some_and(|t| {
                let past = bearer.phrase.map_or(0, |n| self.clauses.phrases[n].past);
                past <= t && (past..t).all(|n| self.any(n, &[G::Be, G::Do, G::Have])) && d.first <= t + 2
            });
            // "not a big dent", "no major rust": less than none at all
            let only_large = d.verdict.trigger.is_some_and(|t| {
                (t + 1..d.first).any(|n| {
                    let effect = |h: u16| self.vocabulary.entries.hedge[usize::from(h)].effect;
                    let hedge = self.mentions[n].entry(Meaning::Hedge).map(effect);
                    hedge.is_some_and(|e| matches!(e, Effect::Heavier | Effect::Heavy))
                })
            });
            if only_large {
                continue;
            }
            if !d.noun && !outright && bearer.phrase.is_some() {
                continue;
            }
            let spot = |p: &Placed| (p.part, p.side, p.end);
            let same = |e: &Draft| {
                e.bearer.is_some_and(|b| spot(&b.placed) == spot(&bearer.placed)) && e.clause.abs_diff(d.clause) <= 2
            };
            let taken = out[self.close_by(out, d.clause)].iter().any(|e| {
                same(e) && (e.kind == Kind::Fault && e.verdict.standing == Standing::Asserted || e.kind == Kind::Sound)
            }) || sound.iter().rev().take_while(|e| e.clause + 2 >= d.clause).any(same);
            let apt = bearer.placed.part.is_some_and(|p| !self.vocabulary.is(p, Class::WarningLight));
            if !taken && apt {
                let start = d.verdict.trigger.map_or(d.quote[0], |t| t.min(d.quote[0]));
                // "brakes no judder", "transmission doesn't slip": known by driving
                let driven = bearer.placed.part.filter(|&p| self.vocabulary.tried_by(p, TriedBy::Denial));
                sound.push(Draft {
                    kind: if driven.is_some() { Kind::Check } else { Kind::Sound },
                    defect: None,
                    item: driven.map(Item::Part),
                    result: driven.map(|_| CheckResult::Ok),
                    verdict: Verdict { standing: Standing::Asserted, ..d.verdict },
                    quote: [start, d.quote[1].max(d.verdict.trigger.map_or(0, |t| t + 1))],
                    said: Default::default(),
                    bearer: Some(bearer),
                    ..d.clone()
                });
            }
        }
        out.extend(sound);
        out.sort_by_cached_key(|d| d.first);
        // "tyre's got loads of meat but it's perished", "front door nothing … wait, there's a chip": not good after all.
        let faults: Vec<(usize, usize, Placed)> = out
            .iter()
            .filter(|d| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted)
            .filter_map(|d| Some((d.clause, d.first, d.bearer?.placed)))
            .collect();
        out.retain(|d| {
            d.kind != Kind::Sound
                || !faults[faults.partition_point(|(clause, ..)| *clause < d.clause)..]
                    .iter()
                    .take_while(|(clause, ..)| *clause <= d.clause + 1)
                    .any(|(clause, first, placed)| {
                        // "but the far side one has a dent": another one
                        let other = &self.clauses.list[*clause];
                        let elsewhere = (other.first..other.past)
                            .any(|n| self.mentions[n].place().is_some() || self.clauses.phrase_at(n).is_some());
                        let turns = *clause == d.clause + 1
                            && !elsewhere
                            && matches!(self.clauses.list[*clause].opening, Opening::But | Opening::Cue);
                        ((*clause == d.clause && (d.first..*first).any(|n| self.any(n, &[G::But]))) || turns)
                            && *first > d.first
                            && d.bearer.is_some_and(|b| {
                                (b.placed.part, b.placed.side, b.placed.end) == (placed.part, placed.side, placed.end)
                            })
                    })
        });
    }

    /// What is said at `at` other than a fault; true where its words have a meaning of that kind.
    pub(super) fn remark(&self, number: usize, at: usize, topic: Option<Topic>, out: &mut Vec<Draft>) -> bool {
        let m = &self.mentions[at];
        let drafted = out.len();
        let function = m.has(&[Meaning::FunctionVerb, Meaning::FunctionWorks]);
        if function {
            self.function(number, at, topic, out);
        }
        let unchecked = m.entry(Meaning::Unchecked);
        if let Some(unchecked) = unchecked.filter(|_| out.len() == drafted) {
            self.unchecked(number, at, unchecked, topic, out);
        }
        let praise = m.entry(Meaning::Praise);
        if let Some(praise) = praise.filter(|_| out.len() == drafted) {
            self.sound(number, at, praise, topic, out);
        }
        // "doesn't" by itself, or "does"
        let does = m.grammar(G::Do)
            || self.last_token(at).is_some_and(|t| self.of_class(t, &[G::Not]))
                && m.width() == 2
                && self.of_class(self.tokens[m.first as usize].id, &[G::Do]);
        if does && out.len() == drafted {
            self.likewise(number, at, out);
        }
        function || unchecked.is_some() || praise.is_some() || does
    }

    /// "the front one does", "right does not": what was just tried, said of another one.
    fn likewise(&self, number: usize, at: usize, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let denied = |n: usize| {
            self.mentions[n].grammar(G::Not) || self.last_token(n).is_some_and(|t| self.of_class(t, &[G::Not]))
        };
        let past = at + 1 + usize::from(at + 1 < clause.past && denied(at + 1));
        let not = past > at + 1 || denied(at);
        if past < clause.past {
            return;
        }
        let Some(before) = out.iter().rev().find(|d| {
            number - d.clause <= 2
                && (d.kind == Kind::Check
                    || d.kind == Kind::Fault
                        && (d.why.iter().any(|w| w.rule == "denied-function")
                            || d.defect.is_some_and(|x| self.vocabulary.entries.defect[usize::from(x)].function)))
        }) else {
            return;
        };
        let before = before.clone();
        let Some(mut bearer) = before.bearer else { return };
        // Named itself ("the diff lock doesn't"), pointed at ("the front one"), or only told from the other by its place.
        let own = clause.phrases.clone().rev().find(|&n| self.clauses.phrases[n].past <= at);
        match own {
            Some(n) if self.places.placed[n].part.is_some() => {
                bearer = self.named_bearer(n, 8.0, "likewise");
            }
            _ => {
                bearer = self.sided(number, at, Bearer { phrase: None, rule: "likewise", ..bearer });
            }
        }
        // "they never do": of such things in general
        if own.is_none() && at > clause.first && (clause.first..at).any(|n| self.any(n, &[G::It])) {
            return;
        }
        let Some(part) = bearer.placed.part else { return };
        let verdict = self.judge().judge(number, at);
        let verdict = Verdict { standing: Standing::Asserted, ..verdict };
        let quote = [clause.first.max(self.span(Some(bearer), at, past)[0].min(at.saturating_sub(3))), past];
        if not {
            let defect = before
                .defect
                .filter(|_| before.kind == Kind::Fault)
                .or_else(|| self.vocabulary.defect_id("not-working"));
            out.push(Draft {
                kind: Kind::Fault,
                past,
                defect,
                item: None,
                result: None,
                quote,
                why: vec![reason("defect", "denied-function", self.quote_of(at, past), "")],
                ..self.check(number, at, bearer, part, CheckResult::Fault, verdict)
            });
        } else {
            out.push(Draft { past, quote, ..self.check(number, at, bearer, part, CheckResult::Ok, verdict) });
        }
    }

    /// "the seats are like new, and the carpets too", "same goes for the sill": what was just praised, or tried and found
    /// good, said of another part.
    pub(super) fn praised_too(&self, number: usize, at: usize, points: Points, out: &mut Vec<Draft>) {
        if !matches!(points, Points::AsWell | Points::Same) {
            return;
        }
        let told = |d: &&Draft| d.kind != Kind::Fitted && d.verdict.standing == Standing::Asserted;
        let Some(before) = since(out, number.saturating_sub(1)).iter().rev().find(told).cloned() else { return };
        let good = before.kind == Kind::Sound || before.kind == Kind::Check && before.result == Some(CheckResult::Ok);
        // A part by itself: right before "too", or after "same for".
        let small = |n: usize| self.any(n, &[G::Determiner, G::Host, G::With, G::And, G::Of, G::Moves]);
        let thing = if points == Points::AsWell {
            at.checked_sub(1).and_then(|n| self.clauses.phrase_at(n))
        } else {
            (at + 1..self.mentions.len().min(at + 4))
                .find(|&n| !small(n) || self.clauses.phrase_at(n).is_some())
                .and_then(|n| self.clauses.phrase_at(n))
        };
        let Some(n) = thing.filter(|&n| {
            let placed = &self.places.placed[n];
            good && placed.part.is_some()
                && self.clauses.phrases[n].part.is_some()
                && before.bearer.is_some_and(|b| b.phrase != Some(n))
        }) else {
            return;
        };
        let bearer = self.named_bearer(n, 7.0, "likewise");
        let part = bearer.placed.part.unwrap_or(0);
        let check = self.check(number, at, bearer, part, CheckResult::Ok, Verdict::ASSERTED);
        self.note(
            if before.kind == Kind::Check {
                check
            } else {
                Draft { kind: Kind::Sound, item: None, result: None, ..check }
            },
            out,
        );
    }

    /// Something tried: it works, or its denied verb is a fault.
    pub(super) fn function(&self, number: usize, at: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        // "couldn't tell you whether the heater works"
        let asks = |n: usize| {
            let from = self.clauses.list[number.saturating_sub(1)].first;
            let entry = self.mentions[n].entry(Meaning::Unchecked);
            entry.is_some_and(|u| self.vocabulary.entries.unchecked[usize::from(u)].asks)
                && !(from..n).any(|n| self.is_unchecked(n))
        };
        // "not a clue whether | the alarm works"
        let asked = number.checked_sub(1).is_some_and(|n| asks(self.clauses.list[n].past - 1));
        if asked {
            return;
        }
        let wonders =
            (clause.first..at).rev().find(|&n| self.any(n, &[G::When]) || self.is_unchecked(n)).is_some_and(|n| {
                let things =
                    clause.phrases.clone().filter(|&p| (n..at).contains(&self.clauses.phrases[p].first)).count();
                let when = self.any(n, &[G::When]) || self.last_token(n).is_some_and(|t| self.of_class(t, &[G::When]));
                (when || asks(n) && things <= 1) && (clause.first..=n).any(|n| self.is_unchecked(n))
            });
        if wonders {
            return;
        }
        let mut senses: Vec<(u16, bool, Bearer)> = Vec::new();
        for sense in self.mentions[at].senses {
            let (function, is_verb) = match *sense {
                Sense::FunctionVerb(f) => (f, true),
                Sense::FunctionWorks(f) => (f, false),
                _ => continue,
            };
            let on = &self.vocabulary.function_on[usize::from(function)];
            let item = self.vocabulary.entries.function[usize::from(function)].item.as_deref();
            let implies = item.and_then(|i| self.vocabulary.part_id(i));
            let said = Said { first: at, past: at + 1, noun: false, on: Some(on), implies, fault: false };
            let bearer = self.bearer_of_remark(number, said, topic, out);
            if let Some(bearer) = bearer.filter(|b| b.score >= 4.0 && self.joiner().fits(Some(on), &b.placed)) {
                senses.push((function, is_verb, bearer));
            }
        }
        // "the winch pulls like it should": what fits a part named here before what does not, and what is said of few
        // things before what is said of any
        senses.sort_by_key(|(f, _, b)| (b.phrase.is_none(), self.vocabulary.function_on[usize::from(*f)].0.is_empty()));
        for (function, is_verb, mut bearer) in senses {
            let entry = &self.vocabulary.entries.function[usize::from(function)];
            let on = &self.vocabulary.function_on[usize::from(function)];
            let implies = entry.item.as_deref().and_then(|i| self.vocabulary.part_id(i));
            if entry.weak && !is_verb && bearer.rule == "implied" && self.mentions[at].width() == 1 {
                continue;
            }
            // "Electrics. Starts on the button.": what only one thing does is said of that thing, whatever stands near
            if let Some(item) = implies.filter(|_| on.0.is_empty() && !is_verb)
                && (entry.named || !bearer.placed.part.is_some_and(|p| self.kin(p, item)))
            {
                bearer = self.implied(item);
            }
            // "she starts with fifty pounds of oil pressure"
            let beyond = bearer.phrase.is_some_and(|n| self.clauses.phrases[n].first > at);
            if let Some(item) = implies.filter(|_| is_verb && on.0.is_empty() && beyond)
                && at > clause.first
                && self.any(at - 1, &[G::It])
            {
                bearer = self.implied(item);
            }
            let Some(part) = bearer.placed.part else { continue };
            let denied = is_verb.then(|| self.denied_verb(at, clause.first)).flatten();
            if let Some(first) = denied {
                // "the brakes don't pull": what stands before cannot do it, and nothing else is named
                let spoken_of =
                    topic.is_some_and(|t| t.age <= 2) && first > clause.first && self.any(first - 1, &[G::It]);
                if bearer.rule == "implied" && (spoken_of || self.subject_between(clause.first, first)) {
                    continue;
                }
                // "I haven't opened it" is about the speaker, not about the lid
                if clause.opening == Opening::Person && !self.subject_between(clause.first, first) {
                    // "the fridge we never ran": not tried
                    if !(clause.first..at).any(|n| self.any(n, &[G::Modal, G::Do]) && !self.any(n, &[G::Have])) {
                        self.untried(number, at, None, false, topic, out);
                    }
                    return;
                }
                let verdict = Verdict { standing: Standing::Asserted, ..self.judge().judge(number, first) };
                let verdict = match self.judge().judge(number, first).standing {
                    Standing::General | Standing::Fixed | Standing::Hypothetical => self.judge().judge(number, first),
                    _ => verdict,
                };
                let defect = self.vocabulary.defect_id(entry.fault.as_deref().unwrap_or("not-working"));
                out.push(Draft {
                    defect,
                    label: (!entry.fault_label.is_empty()).then(|| entry.fault_label.clone()),
                    bearer: Some(bearer),
                    verdict,
                    quote: self.span(Some(bearer), first, at + 1),
                    why: vec![reason(
                        "defect",
                        "denied-function",
                        self.quote_of(first, at + 1),
                        format!("function.{}", entry.id),
                    )],
                    ..Draft::new(Kind::Fault, number, first, at + 1)
                });
                return;
            }
            // "it starts down at the scuttle": only one kind of thing does that
            let alike = |item: u16| {
                let kind = self.vocabulary.entries.part[usize::from(item)].class.first();
                self.kin(part, item) || kind.is_some_and(|&c| self.vocabulary.is(part, c))
            };
            if is_verb && on.0.is_empty() && implies.is_some_and(|item| !alike(item)) {
                continue;
            }
            // "the motor starts": what was tried is its starting
            let part = match implies.filter(|&item| is_verb && on.0.is_empty() && !self.kin(part, item)) {
                Some(item) => {
                    bearer.placed.part = Some(item);
                    item
                }
                None => part,
            };
            let mut verdict = self.judged(number, at);
            // "we never had anyone there, starts first turn": a denial further off is not of this
            let apart =
                |t: usize| t < at && !(t + 1..at).all(|n| self.any(n, &[G::Degree, G::Be, G::Have, G::Do, G::Verb]));
            if !is_verb && verdict.standing == Standing::Denied && verdict.trigger.is_some_and(apart) {
                verdict.standing = Standing::Asserted;
            }
            if verdict.standing != Standing::Asserted {
                return;
            }
            // "has started leaking": that is the fault
            if is_verb && implies.is_some() && self.mentions.get(at + 1).is_some_and(Mention::is_defect) {
                return;
            }
            let well = is_verb && self.well(at, clause.past);
            let past = at + 1 + usize::from(well);
            let near = bearer.phrase.is_some_and(|n| {
                let p = &self.clauses.phrases[n];
                p.past <= at && at - p.past <= 4 || p.first > at && p.first - at <= 2 && p.governed != Governed::Host
            });
            // "there's a crack starting": the verb is the fault's, not the part's
            let of_fault = bearer.phrase.is_some_and(|n| {
                let past = self.clauses.phrases[n].past;
                past < at && self.mentions[past..at].iter().any(Mention::is_defect_noun)
            });
            // "…which works", "it still folds": the pronoun stands right before its verb
            let by_pronoun = bearer.phrase.is_none()
                && bearer.rule == "carried"
                && matches!(clause.opening, Opening::It | Opening::Which | Opening::But | Opening::Because)
                && topic.is_some_and(|t| t.age <= 2)
                && at - clause.first <= 3
                && at > clause.first
                && (self.any(at - 1, &[G::Which])
                    || self.any(at - 1, &[G::It]) && matches!(clause.opening, Opening::But | Opening::Because)
                    || at >= 2 && self.any(at - 1, &[G::Degree]) && self.any(at - 2, &[G::It]))
                && clause.phrases.clone().all(|n| self.clauses.phrases[n].first > at);
            // "she starts and she stops": of the whole vehicle, where nothing tells where ("it starts at the scuttle")
            let by_itself = bearer.rule == "implied"
                && at > clause.first
                && self.any(at - 1, &[G::It])
                && (at + 1 >= clause.past || self.any(at + 1, &[G::And, G::With]));
            // "the doors are open", "the rotors need turned": how it stands, or what is to be done
            let stands = at > clause.first
                && (self.any(at - 1, &[G::Takes])
                    || self.any(at - 1, &[G::Be]) && !self.last_word(at).is_some_and(|w| w.ends_with("ing")));
            // "a pop", "the wind": a thing of that name
            let noun = at > clause.first && self.any(at - 1, &[G::Determiner]) && !self.any(at - 1, &[G::It]);
            if is_verb
                && (!(near || by_pronoun || by_itself || well && bearer.score >= 6.5)
                    || entry.weak && !well
                    || of_fault
                    || noun
                    || stands)
            {
                continue;
            }
            let mut parts = vec![(bearer, part)];
            // "both remotes work and the horn"
            let after = clause.phrases.clone().find(|&n| {
                let p = &self.clauses.phrases[n];
                p.first == at + 2
                    && p.past == clause.past
                    && self.any(at + 1, &[G::And])
                    && p.governed == Governed::Free
            });
            let mut shared = self.joiner().shared(number, &bearer, at);
            shared.extend(after.filter(|_| bearer.phrase.is_some()));
            for n in shared {
                if let Some(p) = self.places.placed[n].part.filter(|p| parts.iter().all(|(_, other)| other != p)) {
                    parts.push((self.named_bearer(n, 6.0, "shared"), p));
                }
            }
            for (bearer, part) in parts {
                let mut check = self.check(number, at, bearer, part, CheckResult::Ok, verdict);
                check.past = past;
                check.quote[1] = check.quote[1].max(past);
                // "closes beautifully", "bites nice": said well of, besides
                if entry.sound && (well || !is_verb) && self.vocabulary.tried_by(part, TriedBy::Feel) {
                    self.note(Draft { kind: Kind::Sound, item: None, result: None, ..check.clone() }, out);
                }
                self.note(check, out);
            }
            return;
        }
    }

    /// Whether a verb is followed by how well it goes: "opens well", "shuts as it ought".
    fn well(&self, verb: usize, past: usize) -> bool {
        let praise = (verb + 1 < past).then(|| self.mentions[verb + 1].entry(Meaning::Praise)).flatten();
        praise.is_some_and(|p| {
            let manner = self.vocabulary.entries.praise[usize::from(p)].manner;
            manner || self.clauses.phrase_at(verb + 2).is_none_or(|n| self.clauses.phrases[n].first > verb + 2)
        })
    }

    /// Whether a part is the other one or of its kind.
    fn kin(&self, part: u16, item: u16) -> bool {
        let kind = self.vocabulary.entries.part[usize::from(item)].class.first();
        let machine = kind == Some(&Class::Engine) && self.vocabulary.entries.part[usize::from(part)].id == "generator";
        let starts = self.vocabulary.entries.part[usize::from(item)].id == "engine-start";
        part == item || machine || !starts && kind.is_some_and(|&c| self.vocabulary.is(part, c))
    }

    fn is_unchecked(&self, at: usize) -> bool {
        self.mentions[at].has(&[Meaning::Unchecked])
    }

    /// Whether a word by itself is of one of these classes.
    fn of_class(&self, token: WordId, classes: &[G]) -> bool {
        self.vocabulary.small_words_of(token).holds(classes)
    }

    /// The standing of a remark: "they're good, they had new pads" is the better for what was done.
    fn judged(&self, number: usize, at: usize) -> Verdict {
        let verdict = self.judge().judge(number, at);
        if verdict.standing == Standing::Fixed && verdict.trigger.is_some_and(|t| t > at) {
            return Verdict { standing: Standing::Asserted, trigger: None, ..verdict };
        }
        // "shifts good, if it was slipping I'd say": supposed only from there on
        let modal = |t: usize| (self.clauses.list[number].first..t).any(|n| self.any(n, &[G::Modal]));
        if verdict.standing == Standing::Hypothetical && verdict.trigger.is_some_and(|t| t > at && !modal(t)) {
            return Verdict { standing: Standing::Asserted, trigger: None, ..verdict };
        }
        // "no judder, steering straight", "the old one was rotten, headlamps clear": it ends with its fault
        let ended = |t: usize| {
            let fault = (t + 1..at).rev().find(|&n| self.mentions[n].is_defect());
            fault.is_some_and(|f| !(f..at).any(|n| self.any(n, &[G::Or])))
        };
        let over = matches!(verdict.standing, Standing::Denied | Standing::Fixed);
        if over && verdict.trigger.is_some_and(|t| t < at && ended(t)) {
            return Verdict { standing: Standing::Asserted, trigger: None, ..verdict };
        }
        verdict
    }

    /// What a praise or a function is said of. As for faults, but a part right before its "is" is the subject whatever
    /// rules it, nothing beyond a statement already whole is meant, and "it" can stand for what was just said to be mended,
    /// common or supposed.
    fn bearer_of_remark(&self, number: usize, said: Said, topic: Option<Topic>, out: &[Draft]) -> Option<Bearer> {
        let clause = &self.clauses.list[number];
        let at = said.first;
        let fits = |placed: &Placed| placed.part.is_some() && self.joiner().fits(said.on, placed);
        // "…into a bollard, tow bar's sound", "the sill behind it never got touched"
        let small = |n: usize| {
            self.any(n, &[G::Be, G::Degree, G::Do, G::Have, G::Modal, G::Then, G::When])
                && !self.any(n, &[G::Host, G::From, G::Of])
                || self.any(n, &[G::By]) && self.any(n + 1, &[G::It])
                || self.any(n, &[G::It]) && n > 0 && self.any(n - 1, &[G::By])
        };
        let of_verb = self.mentions[at].has(&[Meaning::FunctionVerb, Meaning::FunctionWorks]);
        let adjacent = clause.phrases.clone().rev().find(|&n| self.clauses.phrases[n].past <= at).filter(|&n| {
            let p = &self.clauses.phrases[n];
            let tied = (p.past..at).any(|n| self.any(n, &[G::Be, G::By]));
            // "cruise and radio fitted, horn works": a part right before its verb
            let opens =
                of_verb && matches!(p.governed, Governed::Free | Governed::Object | Governed::With | Governed::Along);
            p.governed != Governed::Denied && (p.past..at).all(small) && (tied || opens)
        });
        if let Some(n) = adjacent.filter(|&n| fits(&self.places.placed[n])) {
            let bearer =
                Bearer { placed: self.places.placed[n], phrase: Some(n), score: 9.2, margin: 3.0, rule: "subject" };
            return Some(self.joiner().with_host(number, bearer, topic));
        }
        // "a heated rear window, which works"
        let which = (clause.opening == Opening::Which)
            .then(|| number.checked_sub(1).map(|n| &self.clauses.list[n]))
            .flatten()
            .and_then(|c| c.phrases.clone().next_back())
            .filter(|&n| {
                fits(&self.places.placed[n]) && clause.phrases.clone().all(|p| self.clauses.phrases[p].first > at)
            });
        if let Some(n) = which {
            let placed = self.places.placed[n];
            return Some(Bearer { placed, phrase: None, score: 8.0, margin: 1.0, rule: "carried" });
        }
        // "I can't fault | the boot carpet", "nothing wrong with | the headlining"
        let wants = at + 1 == clause.past
            && self.mentions[at].width() >= 2
            && self.last_token(at).is_some_and(|t| self.of_class(t, &[G::Determiner, G::With, G::Host, G::Of]));
        if let Some(n) = wants
            .then(|| self.clauses.list.get(number + 1))
            .flatten()
            .and_then(|c| c.phrases.clone().next())
            .filter(|&n| self.clauses.phrases[n].first == clause.past && fits(&self.places.placed[n]))
        {
            return Some(Bearer { margin: 1.0, ..self.named_bearer(n, 9.0, "following") });
        }
        // "mirror okay": a word that could fill a pause, right after a part of which nothing else is said
        let be = at == clause.first && at >= 2 && self.any(at - 1, &[G::Be]);
        if let Some(n) = be.then(|| self.clauses.phrase_at(at - 2).or_else(|| self.clauses.phrase_at(at - 1))).flatten()
            && fits(&self.places.placed[n])
        {
            return Some(Bearer { margin: 1.0, ..self.named_bearer(n, 9.0, "subject") });
        }
        if self.mentions[at].grammar(G::Marker)
            && let Some(n) = at.checked_sub(1).and_then(|before| self.clauses.phrase_at(before))
            && at == clause.first
            && self.closes(n, at)
            && fits(&self.places.placed[n])
        {
            return Some(Bearer { margin: 1.0, ..self.named_bearer(n, 8.0, "subject") });
        }
        let bearer = self.bearer(number, said, topic);
        // "it's dry. The leather …", "the carrier's good. In the rear cap": told already
        let mut before = at;
        while before > clause.first && self.any(before - 1, &[G::Degree]) && !self.any(before - 1, &[G::Be]) {
            before -= 1;
        }
        let told = before > clause.first && self.any(before - 1, &[G::Be]) && !self.any(before - 1, &[G::There]);
        // "number plate lamps both out, tail lamp cracked, offside good": the last one named
        let nearest = clause.phrases.clone().rev().find(|&n| {
            let p = &self.clauses.phrases[n];
            p.past <= at && p.governed == Governed::Free && p.part.is_some() && fits(&self.places.placed[n])
        });
        let bearer = match (bearer, nearest) {
            (Some(b), Some(n)) if b.phrase.is_some_and(|own| own < n) => Some(self.joiner().with_host(
                number,
                Bearer { margin: b.margin, ..self.named_bearer(n, b.score, "subject") },
                topic,
            )),
            (b, _) => b,
        };
        let beyond = |b: &Bearer| b.phrase.is_some_and(|n| self.clauses.phrases[n].first > at);
        let bearer = bearer.filter(|b| !(beyond(b) && told));
        let by_name = bearer.is_some_and(|b| b.phrase.is_some_and(|n| self.clauses.phrases[n].part.is_some()));
        if by_name {
            return bearer;
        }
        // "they all go milky but these are good", "it had a chip that's been filled and it's holding lovely"
        let lately = out.iter().rev().take_while(|d| number - d.clause <= 2).find(|d| {
            d.kind == Kind::Fault
                && matches!(d.verdict.standing, Standing::General | Standing::Fixed | Standing::Hypothetical)
                && d.bearer.is_some_and(|b| fits(&b.placed))
        });
        let newer = lately.filter(|d| topic.is_none_or(|t| d.clause + t.age as usize >= number));
        if let Some(b) = newer.and_then(|d| d.bearer)
            && bearer.is_none_or(|b| b.rule != "implied")
        {
            return Some(Bearer { phrase: None, score: 7.4, margin: 1.0, rule: "carried", ..b });
        }
        if bearer.is_some() {
            return bearer;
        }
        let topic = topic.filter(|t| t.age <= 3 && fits(&t.placed) && told)?;
        Some(Bearer { placed: topic.placed, phrase: None, score: 7.0, margin: 0.0, rule: "carried" })
    }

    /// "water heater, furnace vent, both tidy": the two that "both" stands for, where they were named right before it.
    fn pair(&self, number: usize, bearer: &Bearer) -> Option<[usize; 2]> {
        let both = bearer.phrase?;
        let phrases = &self.clauses.phrases;
        let [a, b] = [both.checked_sub(2)?, both - 1];
        let pointed = phrases[both].part.is_none() && bearer.placed.side == Some(Side::Both);
        let linked = |a: usize, b: usize| {
            (phrases[a].past..phrases[b].first).all(|n| self.any(n, &[G::And, G::Determiner, G::Be]))
        };
        let named = |n: usize| phrases[n].part.is_some() && self.places.placed[n].part.is_some() && !phrases[n].plural;
        (pointed
            && self.clauses.list[number].phrases.contains(&a)
            && named(a)
            && named(b)
            && linked(a, b)
            && linked(b, both)
            && self.places.placed[a].part != self.places.placed[b].part)
            .then_some([a, b])
    }

    /// Whether a word that can also fill a pause says of phrase `n`, right before it, how it is: nothing else is said of
    /// the phrase, and another part or nothing follows.
    fn closes(&self, n: usize, at: usize) -> bool {
        let p = &self.clauses.phrases[n];
        let before = self.clauses.list.partition_point(|c| c.past <= p.first);
        let Some(c) = self.clauses.list.get(before) else { return false };
        let bare = (c.first..p.first).all(|n| {
            self.clauses.phrase_at(n).is_some()
                || self.mentions[n].place().is_some()
                || self.any(n, &[G::And, G::Determiner])
        });
        let follows =
            at + 1 >= self.mentions.len() || self.clauses.phrase_at(at + 1).is_some() || self.any(at + 1, &[G::And]);
        p.past == at
            && p.part.is_some()
            && p.governed != Governed::Denied
            && bare
            && follows
            && c.opening != Opening::Move
    }

    /// Draws one remark: said again of the same part in the same clause, it only makes the first longer.
    fn note(&self, draft: Draft, out: &mut Vec<Draft>) {
        // "the grille, nothing to say, it is intact": it goes on in the next clause
        let carried = draft.bearer.is_some_and(|b| b.phrase.is_none() && b.rule == "carried");
        let same = |d: &&mut Draft| {
            d.kind == draft.kind
                && (d.clause == draft.clause || carried && d.clause + 1 == draft.clause)
                && d.result == draft.result
                && d.bearer.map(|b| b.placed) == draft.bearer.map(|b| b.placed)
        };
        let from = out.len() - since(out, draft.clause.saturating_sub(1)).len();
        match out[from..].iter_mut().rev().find(same) {
            Some(first) => {
                first.quote = [first.quote[0].min(draft.quote[0]), first.quote[1].max(draft.quote[1])];
            }
            None => out.push(draft),
        }
    }

    /// The part that the words themselves mean.
    fn implied(&self, part: u16) -> Bearer {
        let placed = Placed {
            part: Some(part),
            end: self.vocabulary.entries.part[usize::from(part)].end,
            end_how: How::Name,
            ..Placed::NOWHERE
        };
        Bearer { placed, phrase: None, score: 7.0, margin: 0.0, rule: "implied" }
    }

    pub(super) fn check(
        &self,
        number: usize,
        at: usize,
        bearer: Bearer,
        part: u16,
        result: CheckResult,
        verdict: Verdict,
    ) -> Draft {
        Draft {
            item: Some(Item::Part(part)),
            bearer: Some(bearer),
            verdict,
            result: Some(result),
            quote: self.span(Some(bearer), at, at + 1),
            ..Draft::new(Kind::Check, number, at, at + 1)
        }
    }

    /// Where "will not", "does not" before a verb begins, if it is denied.
    pub(super) fn denied_verb(&self, at: usize, floor: usize) -> Option<usize> {
        let mut before = at;
        let mut seen = None;
        while before > floor && at - before < 5 {
            let m = &self.mentions[before - 1];
            // "does not", "has never": denials that end in the word itself
            let denies = m.grammar(G::Not)
                || self.last_token(before - 1).is_some_and(|t| self.of_class(t, &[G::Not]))
                    && m.has(&[Meaning::Standing]);
            if denies {
                seen = Some(before - 1);
            } else if !(m.any_grammar(&[G::Degree, G::Be, G::Have, G::Modal, G::Do, G::When, G::Verb])) {
                break;
            }
            before -= 1;
        }
        // "it folds not", "closes not always": as other languages have it
        let behind = self.any(at + 1, &[G::Not])
            && self.mentions.get(at + 1).is_some_and(|m| m.width() == 1)
            && !self.any(at + 2, &[G::Determiner, G::Low])
            && !self.mentions.get(at + 2).is_some_and(|m| m.is_defect() || m.number.is_some());
        let not = match seen {
            None if behind => return Some(at),
            seen => seen?,
        };
        let mut first = not;
        while first > floor && self.any(first - 1, &[G::Modal, G::Do, G::Be]) {
            first -= 1;
        }
        Some(first)
    }

    pub(super) fn subject_between(&self, first: usize, past: usize) -> bool {
        (first..past).any(|at| self.clauses.phrase_at(at).is_some())
    }
    pub(super) fn sound(&self, number: usize, at: usize, praise: u16, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let entry = &self.vocabulary.entries.praise[usize::from(praise)];
        if entry.manner {
            return;
        }
        let on = &self.vocabulary.praise_on[usize::from(praise)];
        let implies = entry.part.as_deref().and_then(|i| self.vocabulary.part_id(i));
        let said = Said { first: at, past: at + 1, noun: false, on: Some(on), implies, fault: false };
        let Some(bearer) = self.bearer_of_remark(number, said, topic, out) else { return };
        let floor = if entry.weak { 6.5 } else { 4.5 };
        if bearer.score < floor || bearer.placed.part.is_none() || !self.joiner().fits(Some(on), &bearer.placed) {
            return;
        }
        let verdict = self.judged(number, at);
        if verdict.standing != Standing::Asserted {
            return;
        }
        let clause = &self.clauses.list[number];
        // "a good scratch", "nothing but rust": praise of a fault is none
        let next = (at + 1 < clause.past).then(|| &self.mentions[at + 1]);
        if next.is_some_and(|m| m.is_defect_noun() || m.any_grammar(&[G::But])) {
            return;
        }
        // "Okay, let's go on": spoken to fill
        let said = at == clause.first && at > 0 && self.any(at - 1, &[G::Be])
            || bearer.phrase.is_some_and(|n| self.closes(n, at));
        let filling = self.mentions[at].grammar(G::Marker) && !said;
        if filling && bearer.phrase.is_none_or(|n| self.clauses.phrases[n].past > at) {
            return;
        }
        // "rear door, nothing": with no more to come
        let more = next.is_some_and(|m| !m.has(&[Meaning::Praise]));
        if entry.last && more {
            return;
        }
        // "working away fine": how it works, told with that
        let how = at > clause.first
            && self.mentions[at - 1].has(&[Meaning::FunctionVerb, Meaning::FunctionWorks])
            && out.iter().any(|d| d.kind == Kind::Check && d.clause == number && d.first == at - 1);
        if how {
            return;
        }
        // "a dry stone wall", "a tight little pimple": said of a thing that is no part
        let led = at > clause.first && self.any(at - 1, &[G::Determiner]) && !self.any(at - 1, &[G::Be, G::It]);
        let leads = next.is_some_and(|m| m.is_word() || m.has(&[Meaning::Hedge, Meaning::Object]));
        // "wants a clean": what is to be done
        let wanted = led && at >= clause.first + 2 && self.any(at - 2, &[G::Takes]) && !self.any(at - 2, &[G::Have]);
        let faulty = (clause.first..clause.past).any(|n| n != at && self.mentions[n].is_defect());
        if led && leads || wanted || entry.alone && faulty {
            return;
        }
        // "couldn't tell you if the spare's any good"
        let unsure = |c: &super::super::clauses::Clause| {
            (c.first..c.past).any(|n| n < at && self.mentions[n].has(&[Meaning::Unchecked]))
        };
        if unsure(clause)
            || matches!(clause.opening, Opening::When)
                && number.checked_sub(1).is_some_and(|n| unsure(&self.clauses.list[n]))
        {
            return;
        }
        let mut bearers = vec![bearer];
        if let Some(pair) = self.pair(number, &bearer) {
            bearers = pair.map(|n| self.named_bearer(n, 7.0, "both")).to_vec();
        }
        for n in self.joiner().shared(number, &bearers[0], at) {
            bearers.push(self.named_bearer(n, 6.0, "shared"));
        }
        for bearer in bearers {
            let part = bearer.placed.part.unwrap_or(0);
            let check = self.check(number, at, bearer, part, CheckResult::Ok, verdict);
            // "power windows good": the thing fitted, not the glass
            let powered = bearer.phrase.is_some_and(|n| {
                self.mentions[self.clauses.phrases[n].head]
                    .find(|s| match s {
                        Sense::Equipment(e) => {
                            let class = &self.vocabulary.entries.equipment[usize::from(e)].class;
                            (class.contains(&Class::Motor) || class.contains(&Class::Window)).then_some(())
                        }
                        _ => None,
                    })
                    .is_some()
            });
            // "the fridge is tidy" tells how it looks
            let tried = !entry.looks && (powered || self.vocabulary.tried_by(part, TriedBy::Praise));
            let lamps = self.vocabulary.is(part, Class::Light)
                && self.vocabulary.entries.part[usize::from(part)].generic
                && bearer.placed.plural
                && bearer.placed.host.is_none_or(|h| !self.vocabulary.is(h, Class::Light));
            let driven = self.vocabulary.tried_by(part, TriedBy::Driving) && !entry.looks && !clause.past_tense;
            // "driver's window's slow, the rest are fine": tried as the first one was
            let another = bearer.phrase.is_some_and(|n| self.clauses.phrases[n].points == Some(Points::OtherOne))
                && out.iter().rev().take_while(|d| number - d.clause <= 2).any(|d| {
                    let failed = d.kind == Kind::Fault
                        && d.defect.is_some_and(|x| self.vocabulary.entries.defect[usize::from(x)].function)
                        && self.vocabulary.tried_by(part, TriedBy::Failing);
                    (d.kind == Kind::Check || failed) && d.bearer.is_some_and(|b| b.placed.part == Some(part))
                });
            let tried = tried || another && !entry.looks && self.vocabulary.tried_by(part, TriedBy::Feel);
            // "the horn's fine" is known by trying it, "the gearbox is sweet" by driving
            if tried || driven || lamps {
                self.note(check.clone(), out);
            }
            if !tried {
                self.note(Draft { kind: Kind::Sound, item: None, result: None, ..check }, out);
            }
        }
    }

    /// Something not looked at or not tried: what follows the words, else what stands before them, else what they
    /// mean by themselves.
    pub(super) fn unchecked(
        &self,
        number: usize,
        at: usize,
        unchecked: u16,
        topic: Option<Topic>,
        out: &mut Vec<Draft>,
    ) {
        let entry = &self.vocabulary.entries.unchecked[usize::from(unchecked)];
        let own = entry.item.as_deref().and_then(|i| self.vocabulary.part_id(i));
        let back = entry.reaches == crate::vocabulary::entries::Reach::Before;
        if !entry.until.is_empty() {
            let thing = self.clauses.phrase_at(at + 1).or_else(|| self.clauses.phrase_at(at + 2));
            let past =
                thing.map(|n| self.clauses.phrases[n].past).filter(|&past| past < self.clauses.list[number].past);
            if !past.and_then(|past| self.word(past)).is_some_and(|w| entry.until.iter().any(|u| u == w)) {
                return;
            }
        }
        self.untried(number, at, own, back, topic, out);
    }

    /// `own` is the part that the words name themselves; `back` where they are said of what stands before them.
    fn untried(
        &self,
        number: usize,
        at: usize,
        own: Option<u16>,
        back: bool,
        topic: Option<Topic>,
        out: &mut Vec<Draft>,
    ) {
        let clause = &self.clauses.list[number];
        let turns = |n: usize| self.any(n, &[G::So, G::Because, G::But]) || self.is_unchecked(n);
        let part = |&n: &usize| self.places.placed[n].part.is_some();
        // As far as the next turn of the sentence.
        let end = (at + 1..clause.past).find(|&n| turns(n)).unwrap_or(clause.past);
        let start = (clause.first..at).rev().find(|&n| self.is_unchecked(n)).map_or(clause.first, |n| n + 1);
        let ahead = clause
            .phrases
            .clone()
            .find(|&n| self.clauses.phrases[n].first > at && self.clauses.phrases[n].first < end && part(&n));
        // "…I've not wound out, and the fridge …" goes on to something else
        let ahead = ahead.filter(|_| !self.any(at + 1, &[G::And]));
        let behind = clause.phrases.clone().rev().find(|&n| {
            let p = &self.clauses.phrases[n];
            p.past <= at && p.first >= start && part(&n)
        });
        let subject = behind.filter(|&n| matches!(self.clauses.phrases[n].governed, Governed::Free | Governed::Object));
        let small = |from: usize, to: usize| {
            (from..to).all(|n| {
                self.any(
                    n,
                    &[G::Determiner, G::Degree, G::Host, G::Of, G::From, G::With, G::And, G::Person, G::It, G::Have],
                ) && !self.mentions[n].is_defect()
            })
        };
        // "…couldn't tell you about | the brake pipes": the object may stand in the next clause
        let next = self
            .clauses
            .list
            .get(number + 1)
            .filter(|c| {
                matches!(c.opening, Opening::When | Opening::Which | Opening::Then)
                    || matches!(c.opening, Opening::Subject | Opening::Start)
                        && !c.joined
                        && end == clause.past
                        && small(at + 1, end)
            })
            .and_then(|c| c.phrases.clone().find(|n| part(n) && self.clauses.phrases[*n].first <= c.first + 3));
        // "the spare wheel | I've not looked at": and so it may in the one before
        let last = number.checked_sub(1).map(|n| &self.clauses.list[n]).and_then(|c| {
            let n = c.phrases.clone().rev().find(part)?;
            let p = &self.clauses.phrases[n];
            let bare = matches!(p.governed, Governed::Free | Governed::Object)
                && (p.past..c.past).all(|n| self.any(n, &[G::Degree, G::Determiner]))
                && (c.first..p.first)
                    .all(|n| !self.any(n, &[G::Be, G::Have, G::There]) && !self.mentions[n].is_defect());
            (bare
                && (small(clause.first, at) || self.denied_verb(at, clause.first).is_some())
                && matches!(clause.opening, Opening::Person | Opening::It)
                && !since(out, number.saturating_sub(1))
                    .iter()
                    .any(|d| d.bearer.is_some_and(|b| b.phrase == Some(n)) && d.kind != Kind::Fitted))
            .then_some(n)
        });
        let named = if back {
            // "heated rear screen not tested, front tyre worn", "not tested: the heated rear screen"
            let close = behind.filter(|&n| {
                (self.clauses.phrases[n].past..at).all(|n| self.any(n, &[G::Be, G::Have, G::Degree, G::And]))
            });
            let opens = ahead.filter(|&n| at == clause.first || small(at + 1, self.clauses.phrases[n].first));
            close.or(opens).or(behind).or(ahead)
        } else if own.is_some() {
            ahead.filter(|&n| {
                let p = &self.clauses.phrases[n];
                p.first <= at + 2 && matches!(p.governed, Governed::Free | Governed::Object | Governed::Host)
            })
        } else {
            // "there's a screen we've never used, rear air blows good": what follows has a verb of its own
            let apart = |&n: &usize| {
                let past = self.clauses.phrases[n].past;
                past < clause.past && self.mentions[past].has(&[Meaning::FunctionVerb, Meaning::FunctionWorks])
            };
            ahead.filter(|n| subject.is_none() || !apart(n)).or(subject).or(next).or(last)
        };
        // "not inspected: | underside": a word that also moves the walk there
        let moved = self
            .clauses
            .list
            .get(number + 1)
            .filter(|c| c.opening == Opening::Move && end == clause.past && small(at + 1, end))
            .and_then(|c| Some((self.mentions[c.first].part()?, c.first)));
        let equipment = |from: usize, to: usize| {
            (from..to).find_map(|n| self.mentions[n].entry(Meaning::Equipment).map(|e| (e, n)))
        };
        let told = since(out, number).iter().any(|d| d.kind == Kind::Unchecked);
        if told && (if back { named } else { ahead }).is_none() && own.is_none() {
            return;
        }
        let verdict = Verdict::ASSERTED;
        let mut push = |item: Item, bearer: Option<Bearer>, quote: [usize; 2], named: usize| {
            // "never had it on the road, only round the yard": told once
            let lately = out.iter_mut().rev().take_while(|d| d.clause + 1 >= number);
            let before = lately.filter(|d| d.kind == Kind::Unchecked && d.item == Some(item) && item != Item::Said);
            if let Some(first) = before.last() {
                if first.clause == number {
                    first.quote = [first.quote[0].min(quote[0]), first.quote[1].max(quote[1])];
                }
                return;
            }
            out.push(Draft {
                item: Some(item),
                bearer,
                verdict,
                quote,
                ..Draft::new(Kind::Unchecked, number, named, named + 1)
            });
        };
        let bearer_of = |n: usize| self.named_bearer(n, 8.0, "object");
        if let Some(n) = named {
            // "haven't tried the radio or the heater": the rest of the list with it
            let mut all = vec![n];
            let mut this = n;
            while self.clauses.phrases[n].first > at && this + 1 < self.clauses.phrases.len() && part(&(this + 1)) && {
                let (a, b) = (&self.clauses.phrases[this], &self.clauses.phrases[this + 1]);
                let between = a.past..b.first;
                let linked = between.clone().all(|n| self.any(n, &[G::And, G::Or, G::Determiner]))
                    && (between.is_empty() || between.clone().any(|n| self.any(n, &[G::And, G::Or])));
                let verb = self.any(b.past, &[G::Be, G::Have])
                    || self.mentions.get(b.past).is_some_and(|m| {
                        m.is_defect() || m.has(&[Meaning::Praise, Meaning::FunctionVerb, Meaning::FunctionWorks])
                    });
                linked && !verb
            } {
                this += 1;
                all.push(this);
            }
            for n in all {
                let b = bearer_of(n);
                push(Item::Part(b.placed.part.unwrap_or(0)), Some(b), self.span(Some(b), at, at + 1), at);
            }
        } else if let Some(part) = own {
            push(Item::Part(part), None, [at, at + 1], at);
        } else if let Some((part, n)) = moved {
            push(Item::Part(part), None, [at, n + 1], at);
        } else if let Some((e, n)) = equipment(at + 1, end) {
            push(Item::Equipment(e), None, [at, n + 1], n);
        } else if let Some((e, n)) = equipment(start, at) {
            push(Item::Equipment(e), None, [n, at + 1], n);
        } else if let Some(t) = topic.filter(|t| t.age <= 2 && back) {
            push(Item::Part(t.placed.part.unwrap_or(0)), None, [at, at + 1], at);
        } else {
            // Nothing that the vocabulary knows: the speaker's own words name it, up to the next turn of the sentence.
            let mut past = at + 1;
            let mut says = false;
            while past < end && past < at + 8 && !self.any(past, &[G::And, G::Person]) {
                says |= self.mentions[past].is_word() && self.word_length(past) > 3;
                past += 1;
            }
            if says {
                push(Item::Said, None, [at, past], at);
            }
        }
    }

    /// Equipment named as fitted: said to be there, in a list, or spoken of in passing.
    pub(super) fn fitted(&self, number: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let equipment = |at: usize| self.mentions[at].entry(Meaning::Equipment);
        let faulty = |d: &Draft| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted;
        // "heated seats, sunroof, remote start": named one after the other with no fault among them
        let named = (clause.first..clause.past).filter(|&at| equipment(at).is_some()).count();
        let list = named >= 2 && !since(out, number).iter().any(faulty);
        // "it's got cruise control | and a load cover": the list goes on
        let mut owned = clause.joined
            && since(out, number.saturating_sub(1))
                .iter()
                .any(|d| d.kind == Kind::Fitted && d.noun && d.clause + 1 == number)
            && clause.phrases.clone().next().is_some_and(|n| {
                let p = &self.clauses.phrases[n];
                p.first == clause.first + 1 && !self.any(p.past, &[G::Be, G::Have])
            });
        for at in clause.first..clause.past {
            let m = &self.mentions[at];
            owned |= m.any_grammar(&[G::Have, G::There, G::With, G::Takes]);
            // "there's a crack by the fog light": what is there is the crack
            owned &= !m.is_defect() || m.has(&[Meaning::Equipment]);
            if let Some(e) = self.powered(number, at, topic) {
                self.fit(number, at, e, out);
                continue;
            }
            let Some(e) = equipment(at) else { continue };
            let entry = &self.vocabulary.entries.equipment[usize::from(e)];
            let phrase = self.clauses.phrase_at(at).map(|n| &self.clauses.phrases[n]);
            let governed = phrase.map_or(Governed::Free, |p| p.governed);
            let listed = matches!(governed, Governed::Free | Governed::Object | Governed::With);
            // "an old tracker bracket", "the spare, no, an inflator": a piece of one, or none
            let piece = self.clauses.phrase_at(at).is_some_and(|n| self.clauses.phrases[n].head > at);
            let absent = self.mentions.get(at + 1).is_some_and(|m| m.width() == 1)
                && self.judge().means(at + 1) == Some(Means::Denied)
                && !self.mentions.get(at + 2).is_some_and(Mention::is_defect)
                && self.clauses.phrase_at(at + 2).is_none();
            let by_means_of = governed == Governed::With
                && since(out, number).iter().any(|d| d.kind == Kind::Unchecked && d.first < at);
            if piece || absent || by_means_of {
                continue;
            }
            let kept = (at + 1..clause.past.min(at + 4)).any(|n| self.any(n, &[G::Fitted]));
            let explicit = listed && (owned || list) || kept;
            if !explicit && (entry.weak || !listed) {
                continue;
            }
            let verdict = self.judge().judge(number, at);
            // "it's got a safe, and if the floor was soft …": supposed only from there on
            let before_if = verdict.standing == Standing::Hypothetical && verdict.trigger.is_some_and(|t| t > at);
            if self.judge().denial(clause, at).is_some()
                || verdict.standing != Standing::Asserted && !before_if
                || governed == Governed::Denied
            {
                continue;
            }
            let missing = since(out, number).iter().any(|d| {
                d.kind == Kind::Fault
                    && d.defect == self.vocabulary.defect_id("missing")
                    && d.quote[0] <= at
                    && at < d.quote[1]
            });
            // Named only to tell what is wrong with it, or that it was not tried.
            let in_passing = !explicit
                && since(out, number).iter().any(|d| {
                    d.kind == Kind::Unchecked
                        && (d.quote[0] <= at && at < d.quote[1]
                            || d.bearer.is_some_and(|b| b.phrase.is_some() && b.phrase == self.clauses.phrase_at(at)))
                });
            if missing || in_passing {
                continue;
            }
            // Once is enough; where it was named in passing, the place where it is said to be there counts.
            let before = out.iter().position(|d| d.kind == Kind::Fitted && d.item == Some(Item::Equipment(e)));
            if let Some(before) = before {
                if out[before].noun || !explicit {
                    continue;
                }
                out.remove(before);
            }
            out.push(Draft {
                item: Some(Item::Equipment(e)),
                verdict: Verdict { standing: Standing::Asserted, ..verdict },
                quote: [at, at + 1],
                noun: explicit,
                ..Draft::new(Kind::Fitted, number, at, at + 1)
            });
        }
    }

    fn fit(&self, number: usize, at: usize, e: u16, out: &mut Vec<Draft>) {
        let known = out.iter().any(|d| d.kind == Kind::Fitted && d.item == Some(Item::Equipment(e)));
        if !known && self.judge().judge(number, at).standing == Standing::Asserted {
            out.push(Draft {
                item: Some(Item::Equipment(e)),
                quote: [at.saturating_sub(2).max(self.clauses.list[number].first), at + 1],
                noun: true,
                ..Draft::new(Kind::Fitted, number, at, at + 1)
            });
        }
    }

    /// "the tailgate's electric", "it's the power one": the electric kind of the part spoken of.
    fn powered(&self, number: usize, at: usize, topic: Option<Topic>) -> Option<u16> {
        let clause = &self.clauses.list[number];
        let says = self.any(at, &[G::Powered])
            && at > clause.first
            && self.any(at - 1, &[G::Be, G::It, G::Determiner, G::Degree, G::Moves])
            && self.clauses.phrase_at(at + 1).is_none_or(|n| self.clauses.phrases[n].points.is_some());
        let subject = says
            .then(|| clause.phrases.clone().rev().find(|&n| self.clauses.phrases[n].past <= at))
            .flatten()
            .and_then(|n| self.places.placed[n].part)
            .or(topic.filter(|t| says && t.age <= 2).and_then(|t| t.placed.part))?;
        let id = &self.vocabulary.entries.part[usize::from(subject)].id;
        let equipment = self.vocabulary.entries.equipment.iter();
        equipment.zip(0..).find(|(e, _)| e.powers.contains(id)).map(|(_, n)| n)
    }

    /// A depth of tread, in millimetres, with the mention behind it. After "at" and "down to" it needs no unit.
    fn tread_at(&self, floor: usize, at: usize) -> Option<(usize, f64)> {
        if let Some(m) = strength::measure(self.mentions, at, self.vocabulary) {
            let tells = matches!(m.kind, UnitKind::Length | UnitKind::Tread);
            return tells.then(|| (m.past, m.low * self.vocabulary.entries.unit[usize::from(m.unit)].factor));
        }
        let number = self.mentions[at].number.filter(|n| !n.ordinal && n.low >= 0.5 && n.low <= 12.0)?;
        let led = at > floor && (self.any(at - 1, &[G::Low]) || self.word(at - 1) == Some("at"));
        let alone = self.mentions.get(at + 1).is_none_or(|m| {
            !m.is_word() && !m.is_defect() && m.part().is_none() && !m.has(&[Meaning::Unit]) && !m.any_grammar(&[G::Of])
        });
        let spoken = if self.vocabulary.market == Market::Us { THIRTY_SECOND } else { 1.0 };
        (led && alone).then_some((at + 1, number.low * spoken))
    }

    /// A tread depth at or under the law's limit is a fault by itself.
    pub(super) fn treads(&self, number: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let tyre = |p: &Placed| {
            p.part.is_some_and(|p| {
                self.vocabulary.is(p, Class::Tyre)
                    || self.vocabulary.entries.part[usize::from(p)].id.starts_with("brake-pad")
            })
        };
        for at in clause.first..clause.past {
            let Some((past, mm)) = self.tread_at(clause.first, at) else { continue };
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
                        || m.entries(Meaning::Remedy)
                            .any(|r| self.vocabulary.entries.remedy[usize::from(r)].id == "replace")
                })
            };
            let next = self
                .clauses
                .list
                .get(number + 1)
                .filter(|c| c.phrases.is_empty() || matches!(c.opening, Opening::So | Opening::It))
                .map_or(clause.past, |c| c.past);
            // What follows the statement is said of the last of several depths.
            let last = (past..clause.past).all(|n| self.tread_at(clause.first, n).is_none());
            // "tyre, six mil. Sill, scrape under …": what comes after is said of the next thing
            let end = clause
                .phrases
                .clone()
                .map(|n| &self.clauses.phrases[n])
                .find(|p| p.first >= past && p.governed == Governed::Free && p.points.is_none())
                .map_or(clause.past, |p| p.first);
            let called_low =
                near(at.saturating_sub(3).max(clause.first), end, true) || last && near(clause.past, next, false);
            let limit = mm <= self.vocabulary.facts.tread_mm + 1e-9;
            if mm <= 0.0 || mm > 13.0 {
                continue;
            }
            if !limit && !called_low {
                // Plenty left, and nothing wrong said of it: the tyre is good.
                let told = since(out, number.saturating_sub(1)).iter().any(|d| {
                    d.bearer.is_some_and(|b| b.placed.part == placed.part)
                        && (d.kind == Kind::Sound || d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted)
                });
                if mm >= 3.9 && !told {
                    let bearer = Bearer { placed, phrase: named, score: 9.0, margin: 0.0, rule: "tread" };
                    let verdict = Verdict::ASSERTED;
                    out.push(Draft {
                        kind: Kind::Sound,
                        past,
                        item: None,
                        result: None,
                        quote: self.span(Some(bearer), at, past),
                        ..self.check(number, at, bearer, placed.part.unwrap_or(0), CheckResult::Ok, verdict)
                    });
                }
                continue;
            }
            if since(out, number).iter().any(|d| {
                d.kind == Kind::Fault
                    && d.bearer.is_some_and(|b| b.placed == placed)
                    && d.verdict.standing == Standing::Asserted
            }) {
                continue;
            }
            let Some(low) = self.vocabulary.defect_id("low-tread") else { continue };
            let bearer = Bearer { placed, phrase: named, score: 9.0, margin: 0.0, rule: "subject" };
            let verdict = Verdict::ASSERTED;
            out.push(Draft {
                kind: Kind::Fault,
                past,
                defect: Some(low),
                item: None,
                result: None,
                quote: self.span(Some(bearer), at, past),
                why: vec![reason(
                    "defect",
                    "tread-limit",
                    self.quote_of(at, past),
                    format!("market.{}", self.vocabulary.market),
                )],
                ..self.check(number, at, bearer, placed.part.unwrap_or(0), CheckResult::Ok, verdict)
            });
        }
    }

    pub(super) fn cue(&self, number: usize, at: usize, cue: u16, out: &mut Vec<Draft>) {
        let entry = &self.vocabulary.entries.cue[usize::from(cue)];
        if !matches!(entry.does, CueKind::Note | CueKind::Picture) {
            return;
        }
        // The note runs to the end of the statement that follows.
        let past = self.clauses.list.get(number + 1).map_or(at + 1, |c| c.past);
        out.push(Draft { quote: [at, past], ..Draft::new(Kind::Note, number, at, at + 1) });
    }
}
