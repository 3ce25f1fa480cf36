//! What else is said of the vehicle: good parts, functions tried, fitted equipment, what was not looked at.

use super::*;

impl Reader<'_, '_> {
    /// A function that fails was tried: it is a check with a bad end as well as a fault.
    pub(super) fn tried(&self, out: &mut Vec<Draft>) {
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
            .filter(|d| d.kind == Kind::Fault && matches!(d.verdict.standing, Standing::Asserted | Standing::Restated))
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
        out.sort_by_key(|d| (d.first, d.kind == Kind::Check));
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
            let Some(bearer) = d.bearer.filter(|b| b.phrase.is_some() && b.placed.part.is_some()) else { continue };
            // A condition only where the part stands right before its denial: "the wheel's not marked".
            let outright = d.verdict.trigger.is_some_and(|t| {
                let past = bearer.phrase.map_or(0, |n| self.clauses.phrases[n].past);
                past <= t && (past..t).all(|n| self.any(n, &[G::Be, G::Do, G::Have])) && d.first <= t + 2
            });
            if !d.noun && !outright {
                continue;
            }
            let spot = |p: &Placed| (p.part, p.side, p.end);
            let same = |e: &Draft| {
                e.bearer.is_some_and(|b| spot(&b.placed) == spot(&bearer.placed)) && e.clause.abs_diff(d.clause) <= 2
            };
            let taken = out[self.close_by(out, d.clause)].iter().any(|e| {
                same(e) && (e.kind == Kind::Fault && e.verdict.standing == Standing::Asserted || e.kind == Kind::Sound)
            }) || sound.iter().rev().take_while(|e| e.clause + 2 >= d.clause).any(same);
            let apt = bearer.placed.part.is_some_and(|p| {
                !self.vocabulary.is(p, Class::WarningLight)
                    && self.vocabulary.entries.part[usize::from(p)].id != "interior"
            });
            if !taken && apt {
                let start = d.verdict.trigger.map_or(d.quote[0], |t| t.min(d.quote[0]));
                // "brakes no judder", "transmission doesn't slip": known by driving
                let driven = bearer.placed.part.filter(|&p| {
                    self.by_driving(p) && self.vocabulary.entries.part[usize::from(p)].id != "steering"
                        || self.vocabulary.is(p, Class::Exhaust)
                });
                sound.push(Draft {
                    kind: if driven.is_some() { Kind::Check } else { Kind::Sound },
                    defect: None,
                    item: driven.map(Item::Part),
                    result: driven.map(|_| CheckResult::Ok),
                    verdict: Verdict { standing: Standing::Asserted, ..d.verdict },
                    quote: [start, d.quote[1].max(d.verdict.trigger.map_or(0, |t| t + 1))],
                    said: Default::default(),
                    ..d.clone()
                });
            }
        }
        out.extend(sound);
        out.sort_by_key(|d| d.first);
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
                        let turns = *clause == d.clause + 1
                            && matches!(self.clauses.list[*clause].opening, Opening::But | Opening::Cue);
                        (*clause == d.clause || turns)
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
        let does = m.grammar(G::Do);
        if does && out.len() == drafted {
            self.likewise(number, at, out);
        }
        function || unchecked.is_some() || praise.is_some() || does
    }

    /// "the front one does", "right does not": what was just tried, said of another one.
    fn likewise(&self, number: usize, at: usize, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let denied =
            |n: usize| self.mentions[n].grammar(G::Not) || self.last_token(n).is_some_and(|t| self.nots.contains(&t));
        let past = at + 1 + usize::from(at + 1 < clause.past && denied(at + 1));
        let not = past > at + 1 || denied(at);
        if past < clause.past {
            return;
        }
        let Some(before) = out.iter().rev().find(|d| {
            number - d.clause <= 2
                && (d.kind == Kind::Check || d.kind == Kind::Fault && d.why.iter().any(|w| w.rule == "denied-function"))
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
                why: vec![reason("defect", "denied-function", &self.quote_of(at, past), "")],
                ..self.check(number, at, bearer, part, CheckResult::Fault, verdict)
            });
        } else {
            out.push(Draft { past, quote, ..self.check(number, at, bearer, part, CheckResult::Ok, verdict) });
        }
    }

    /// Something tried: it works, or its denied verb is a fault.
    pub(super) fn function(&self, number: usize, at: usize, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        // "couldn't tell you whether the heater works"
        if self.mentions[clause.first..at].iter().any(|m| m.has(&[Meaning::Unchecked])) {
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
            let bearer = self.bearer_of_remark(number, said, topic, out);
            let Some(mut bearer) = bearer.filter(|b| b.score >= 4.0 && self.joiner().fits(Some(on), &b.placed)) else {
                continue;
            };
            // "Electrics. Starts on the button.": what only one thing does is said of that thing, whatever stands near
            if let Some(item) = implies.filter(|_| on.0.is_empty() && !is_verb)
                && !bearer.placed.part.is_some_and(|p| self.kin(p, item))
            {
                bearer = self.implied(item);
            }
            let Some(part) = bearer.placed.part else { continue };
            let denied = is_verb.then(|| self.denied_verb(at, clause.first)).flatten();
            if let Some(first) = denied {
                // "I haven't opened it" is about the speaker, not about the lid
                if clause.opening == Opening::Person && !self.subject_between(clause.first, first) {
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
                        &self.quote_of(first, at + 1),
                        &format!("function.{}", entry.id),
                    )],
                    ..Draft::new(Kind::Fault, number, first, at + 1)
                });
                return;
            }
            let verdict = self.judge().judge(number, at);
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
            // "a pop", "the wind": a thing of that name
            let noun = at > clause.first && self.any(at - 1, &[G::Determiner]) && !self.any(at - 1, &[G::It]);
            if is_verb && (!(near || by_pronoun) || entry.weak || of_fault || noun) {
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
                if let Some(p) = self.places.placed[n].part {
                    parts.push((self.named_bearer(n, 6.0, "shared"), p));
                }
            }
            for (bearer, part) in parts {
                let check = self.check(number, at, bearer, part, CheckResult::Ok, verdict);
                // "closes beautifully", "bites nice": said well of, besides
                if entry.sound && !is_verb && self.mechanical(part) {
                    self.note(Draft { kind: Kind::Sound, item: None, result: None, ..check.clone() }, out);
                }
                self.note(check, out);
            }
            return;
        }
    }

    /// Whether a part is the other one or of its kind.
    fn kin(&self, part: u16, item: u16) -> bool {
        let kind = self.vocabulary.entries.part[usize::from(item)].class.first();
        let machine = kind == Some(&Class::Engine) && self.vocabulary.entries.part[usize::from(part)].id == "generator";
        part == item || machine || kind.is_some_and(|&c| self.vocabulary.is(part, c))
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
        let adjacent = clause.phrases.clone().rev().find(|&n| self.clauses.phrases[n].past <= at).filter(|&n| {
            let p = &self.clauses.phrases[n];
            p.past < at
                && p.governed != Governed::Denied
                && (p.past..at).all(small)
                && (p.past..at).any(|n| self.any(n, &[G::Be, G::By]))
        });
        if let Some(n) = adjacent.filter(|&n| fits(&self.places.placed[n])) {
            let bearer =
                Bearer { placed: self.places.placed[n], phrase: Some(n), score: 9.2, margin: 3.0, rule: "subject" };
            return Some(self.joiner().with_host(number, bearer, topic));
        }
        let bearer = self.bearer(number, said, topic);
        // "it's dry. The leather …", "the carrier's good. In the rear cap": told already
        let mut before = at;
        while before > clause.first && self.any(before - 1, &[G::Degree]) && !self.any(before - 1, &[G::Be]) {
            before -= 1;
        }
        let told = before > clause.first && self.any(before - 1, &[G::Be]) && !self.any(before - 1, &[G::There]);
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

    /// Draws one remark: said again of the same part in the same clause, it only makes the first longer.
    fn note(&self, draft: Draft, out: &mut Vec<Draft>) {
        let same = |d: &&mut Draft| {
            d.kind == draft.kind
                && d.clause == draft.clause
                && d.result == draft.result
                && d.bearer.map(|b| b.placed) == draft.bearer.map(|b| b.placed)
        };
        let from = out.len() - since(out, draft.clause).len();
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

    /// Parts that are both looked at and felt at work.
    fn mechanical(&self, part: u16) -> bool {
        const FELT: [Class; 5] = [Class::Opening, Class::Belt, Class::Engine, Class::Gearbox, Class::Brake];
        FELT.iter().any(|&c| self.vocabulary.is(part, c)) || self.by_driving(part)
    }

    /// Parts that are known by driving, not by looking.
    fn by_driving(&self, part: u16) -> bool {
        const DRIVEN: [&str; 7] =
            ["brakes", "brake-pedal", "clutch", "gearbox", "handbrake", "steering", "transfer-box"];
        DRIVEN.contains(&self.vocabulary.entries.part[usize::from(part)].id.as_str())
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
                || self.last_token(before - 1).is_some_and(|t| self.nots.contains(&t)) && m.has(&[Meaning::Standing]);
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

    pub(super) fn subject_between(&self, first: usize, past: usize) -> bool {
        (first..past).any(|at| self.clauses.phrase_at(at).is_some())
    }
    pub(super) fn sound(&self, number: usize, at: usize, praise: u16, topic: Option<Topic>, out: &mut Vec<Draft>) {
        let entry = &self.vocabulary.entries.praise[usize::from(praise)];
        let on = &self.vocabulary.praise_on[usize::from(praise)];
        let implies = entry.part.as_deref().and_then(|i| self.vocabulary.part_id(i));
        let said = Said { first: at, past: at + 1, noun: false, on: Some(on), implies, fault: false };
        let Some(bearer) = self.bearer_of_remark(number, said, topic, out) else { return };
        let floor = if entry.weak { 6.5 } else { 4.5 };
        if bearer.score < floor || bearer.placed.part.is_none() || !self.joiner().fits(Some(on), &bearer.placed) {
            return;
        }
        let verdict = self.judge().judge(number, at);
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
        if self.mentions[at].grammar(G::Marker) && bearer.phrase.is_none_or(|n| self.clauses.phrases[n].past > at) {
            return;
        }
        // "rear door, nothing": with no more to come
        let more = next.is_some_and(|m| !m.has(&[Meaning::Praise]));
        if entry.id == "nothing" && more {
            return;
        }
        // "a dry stone wall", "a tight little pimple": said of a thing that is no part
        let led = at > clause.first && self.any(at - 1, &[G::Determiner]) && !self.any(at - 1, &[G::Be, G::It]);
        let leads = next.is_some_and(|m| m.is_word() || m.has(&[Meaning::Hedge]));
        if led && leads {
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
        for n in self.joiner().shared(number, &bearer, at) {
            bearers.push(self.named_bearer(n, 6.0, "shared"));
        }
        const BY_TRYING: [Class; 6] =
            [Class::Audio, Class::Climate, Class::Camera, Class::Display, Class::Electric, Class::Appliance];
        for bearer in bearers {
            let part = bearer.placed.part.unwrap_or(0);
            let check = self.check(number, at, bearer, part, CheckResult::Ok, verdict);
            // "power windows good": the thing fitted, not the glass
            let powered = bearer.phrase.is_some_and(|n| {
                self.mentions[self.clauses.phrases[n].head]
                    .entries(Meaning::Equipment)
                    .any(|e| self.vocabulary.entries.equipment[usize::from(e)].class.contains(&Class::Motor))
            });
            // "tidy", "solid" tell how it looks
            let seen = matches!(entry.id.as_str(), "tidy" | "solid" | "all-there" | "new")
                && (self.vocabulary.is(part, Class::Climate) || self.vocabulary.is(part, Class::Appliance));
            let tried = !seen && (powered || BY_TRYING.iter().any(|&c| self.vocabulary.is(part, c)));
            let lamps = self.vocabulary.is(part, Class::Light)
                && self.vocabulary.entries.part[usize::from(part)].generic
                && bearer.placed.plural
                && bearer.placed.host.is_none_or(|h| !self.vocabulary.is(h, Class::Light));
            let driven = self.by_driving(part) && entry.id != "new" && !clause.past_tense;
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
        let clause = &self.clauses.list[number];
        let entry = &self.vocabulary.entries.unchecked[usize::from(unchecked)];
        let own = entry.item.as_deref().and_then(|i| self.vocabulary.part_id(i));
        let back = entry.reaches == crate::vocabulary::entries::Reach::Before;
        let is_unchecked = |n: usize| self.mentions[n].has(&[Meaning::Unchecked]);
        let turns = |n: usize| self.any(n, &[G::So, G::Because, G::But]) || is_unchecked(n);
        let part = |&n: &usize| self.places.placed[n].part.is_some();
        // As far as the next turn of the sentence.
        let end = (at + 1..clause.past).find(|&n| turns(n)).unwrap_or(clause.past);
        let start = (clause.first..at).rev().find(|&n| is_unchecked(n)).map_or(clause.first, |n| n + 1);
        let ahead = clause
            .phrases
            .clone()
            .find(|&n| self.clauses.phrases[n].first > at && self.clauses.phrases[n].first < end && part(&n));
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
                && small(clause.first, at)
                && matches!(clause.opening, Opening::Person | Opening::It)
                && !since(out, number.saturating_sub(1))
                    .iter()
                    .any(|d| d.bearer.is_some_and(|b| b.phrase == Some(n)) && d.kind != Kind::Fitted))
            .then_some(n)
        });
        let named = if back {
            behind.or(ahead)
        } else if own.is_some() {
            ahead.filter(|&n| self.clauses.phrases[n].first <= at + 2)
        } else {
            ahead.or(subject).or(next).or(last)
        };
        let equipment = |from: usize, to: usize| {
            (from..to).find_map(|n| self.mentions[n].entry(Meaning::Equipment).map(|e| (e, n)))
        };
        let told = since(out, number).iter().any(|d| d.kind == Kind::Unchecked);
        if told && ahead.is_none() && own.is_none() {
            return;
        }
        let verdict = Verdict::ASSERTED;
        let mut push = |item: Item, bearer: Option<Bearer>, quote: [usize; 2]| {
            out.push(Draft {
                item: Some(item),
                bearer,
                verdict,
                quote,
                ..Draft::new(Kind::Unchecked, number, at, at + 1)
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
                let verb =
                    self.any(b.past, &[G::Be, G::Have]) || self.mentions.get(b.past).is_some_and(Mention::is_defect);
                linked && !verb
            } {
                this += 1;
                all.push(this);
            }
            for n in all {
                let b = bearer_of(n);
                push(Item::Part(b.placed.part.unwrap_or(0)), Some(b), self.span(Some(b), at, at + 1));
            }
        } else if let Some(part) = own {
            push(Item::Part(part), None, [at, at + 1]);
        } else if let Some((e, n)) = equipment(at + 1, end) {
            push(Item::Equipment(e), None, [at, n + 1]);
        } else if let Some((e, n)) = equipment(start, at) {
            push(Item::Equipment(e), None, [n, at + 1]);
        } else if let Some(t) = topic.filter(|t| t.age <= 2 && back) {
            push(Item::Part(t.placed.part.unwrap_or(0)), None, [at, at + 1]);
        } else {
            // Nothing that the vocabulary knows: the speaker's own words name it, up to the next turn of the sentence.
            let mut past = at + 1;
            let mut says = false;
            while past < end && past < at + 8 && !self.any(past, &[G::And, G::Person]) {
                says |= self.mentions[past].is_word() && self.word_length(past) > 3;
                past += 1;
            }
            if says {
                push(Item::Said, None, [at, past]);
            }
        }
    }

    /// Equipment named as fitted: said to be there, in a list, or spoken of in passing.
    pub(super) fn fitted(&self, number: usize, out: &mut Vec<Draft>) {
        let clause = &self.clauses.list[number];
        let equipment = |at: usize| self.mentions[at].entry(Meaning::Equipment);
        let faulty = |d: &Draft| d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted;
        // "heated seats, sunroof, remote start": named one after the other with no fault among them
        let named = (clause.first..clause.past).filter(|&at| equipment(at).is_some()).count();
        let list = named >= 2 && !since(out, number).iter().any(faulty);
        let mut owned = false;
        for at in clause.first..clause.past {
            let m = &self.mentions[at];
            owned |= m.any_grammar(&[G::Have, G::There, G::With, G::Takes]);
            // "there's a crack by the fog light": what is there is the crack
            owned &= !m.is_defect() || m.has(&[Meaning::Equipment]);
            let Some(e) = equipment(at) else { continue };
            let entry = &self.vocabulary.entries.equipment[usize::from(e)];
            let phrase = self.clauses.phrase_at(at).map(|n| &self.clauses.phrases[n]);
            let governed = phrase.map_or(Governed::Free, |p| p.governed);
            let listed = matches!(governed, Governed::Free | Governed::Object | Governed::With);
            let kept = (at + 1..clause.past.min(at + 4)).any(|n| self.any(n, &[G::Fitted]));
            let explicit = listed && (owned || list) || kept;
            if !explicit && (entry.weak || !listed) {
                continue;
            }
            if self.judge().denial(clause, at).is_some()
                || self.judge().judge(number, at).standing != Standing::Asserted
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
                    (faulty(d) || d.kind == Kind::Unchecked)
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
                verdict: self.judge().judge(number, at),
                quote: [at, at + 1],
                noun: explicit,
                ..Draft::new(Kind::Fitted, number, at, at + 1)
            });
        }
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
            let called_low =
                near(at.saturating_sub(3).max(clause.first), clause.past, true) || near(clause.past, next, false);
            let limit = mm <= self.vocabulary.facts.tread_mm + 1e-9;
            if mm <= 0.0 || mm > 13.0 {
                continue;
            }
            if !limit && !called_low {
                // Plenty left, and nothing wrong said of it: the tyre is good.
                let told = since(out, number.saturating_sub(1)).iter().any(|d| {
                    d.bearer.is_some_and(|b| tyre(&b.placed))
                        && (d.kind == Kind::Sound || d.kind == Kind::Fault && d.verdict.standing == Standing::Asserted)
                });
                if mm >= 3.9 && !told {
                    let bearer = Bearer { placed, phrase: named, score: 9.0, margin: 0.0, rule: "tread" };
                    let verdict = Verdict::ASSERTED;
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
                past: m.past,
                defect: Some(low),
                item: None,
                result: None,
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
