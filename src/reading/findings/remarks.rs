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
    pub(super) fn denied_is_sound(&self, out: &mut Vec<Draft>) {
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

    /// Something tried: it works, or its denied verb is a fault.
    pub(super) fn function(
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
    pub(super) fn denied_verb(&self, at: usize, floor: usize) -> Option<usize> {
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

    pub(super) fn subject_between(&self, first: usize, past: usize) -> bool {
        (first..past).any(|at| self.clauses.phrase_at(at).is_some())
    }

    #[allow(clippy::too_many_arguments)]
    pub(super) fn sound(
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
    pub(super) fn fitted(&self, number: usize, judge: &Judge, out: &mut Vec<Draft>) {
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

    pub(super) fn cue(&self, number: usize, at: usize, cue: u16, out: &mut Vec<Draft>) {
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
}
