//! From drafts to findings of the document.

use super::*;
use crate::report::Severity;

impl Reader<'_, '_> {
    /// The speaker's words under a row of mentions.
    pub fn quote_of(&self, first: usize, past: usize) -> String {
        let [a, b] = self.words_of(first, past);
        self.narration.quote(a, b)
    }

    pub(super) fn words_of(&self, first: usize, past: usize) -> [usize; 2] {
        let a = self.tokens[self.mentions[first].first as usize].word as usize;
        let b = self.tokens[self.mentions[past.max(first + 1) - 1].past as usize - 1].word as usize;
        [a, b]
    }

    pub fn named_part(&self, placed: &Placed, said: String) -> Option<Named> {
        let part = &self.vocabulary.entries.part[usize::from(placed.part?)];
        Some(match placed.host {
            Some(host) => {
                let host = &self.vocabulary.entries.part[usize::from(host)];
                Named { id: [&host.id, ".", &part.id].concat(), label: [&host.label, " ", &part.label].concat(), said }
            }
            None => Named { id: part.id.clone(), label: part.label.clone(), said },
        })
    }

    /// Where the quote begins: a fault that is named by one word takes its article, its number and its hedge along.
    fn noun_phrase(&self, draft: &Draft) -> usize {
        let mut first = draft.quote[0];
        let floor = self.clauses.list[draft.clause].first;
        let short = draft.kind == Kind::Fault && draft.noun && draft.quote[1] - first == 1;
        while short && first > floor && self.clauses.phrase_at(first - 1).is_none() {
            let m = &self.mentions[first - 1];
            let own =
                m.number.is_some() || m.has(&[Meaning::Hedge, Meaning::Pointing]) || m.any_grammar(&[G::Determiner]);
            if !own || m.any_grammar(&[G::Host, G::By, G::Be, G::Have]) {
                break;
            }
            first -= 1;
        }
        first
    }

    /// What is left out of the findings, for a reviewer to see.
    pub fn set_aside(&self, draft: &Draft) -> SetAside {
        let [first, last] = self.words_of(self.noun_phrase(draft), draft.quote[1]);
        let [said, _] = self.words_of(draft.first, draft.past);
        SetAside {
            quote: self.narration.quote(first, last),
            at_s: self.narration.words[said].start,
            words: [first, last],
            standing: draft.verdict.standing,
            because: draft.verdict.trigger.map_or_else(String::new, |t| self.quote_of(t, t + 1)),
        }
    }

    pub fn finish(&self, mut draft: Draft, id: usize) -> Finding {
        let v = self.vocabulary;
        let mut why = std::mem::take(&mut draft.why);
        why.reserve(4);
        let draft = &draft;
        let [first, last] = self.words_of(self.noun_phrase(draft), draft.quote[1]);
        let [said_first, said_last] = self.words_of(draft.first, draft.past);
        let named = draft.bearer.and_then(|b| b.phrase.or(b.placed.named.map(|n| n as usize)));
        let part_said = named.map_or_else(String::new, |n| {
            let p = &self.clauses.phrases[n];
            self.quote_of(p.first, p.past)
        });
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
                entry: ["part.", &p.id].concat(),
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
            severity = Some(strength::severity(self.nature(draft), &draft.said, v));
            for (at, effect) in &draft.said.hedges {
                why.push(reason("severity", effect.name(), self.quote_of(*at, at + 1), ""));
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
        if remedies.is_empty()
            && let Some(d) = draft.defect
        {
            let entry = &v.entries.defect[usize::from(d)];
            // Many small ones are mended as one is.
            let many = draft.said.count.is_some_and(|c| c[0] >= 6);
            let worse = severity >= Some(Severity::Moderate) && !entry.worse.is_empty() && !many;
            let trade = if worse { &entry.worse } else { &entry.remedy };
            let replace = [String::from("replace")];
            let proposed = if self.priced_new(draft) { &replace[..] } else { trade };
            for r in proposed.iter().filter_map(|id| v.remedy_id(id)) {
                let entry = &v.entries.remedy[usize::from(r)];
                let (id, label) = (entry.id.clone(), entry.label.clone());
                remedies.push(Remedy { id, label, said: String::new(), proposed: true });
            }
        }
        if let Some(trigger) = draft.verdict.doubt {
            why.push(reason("certainty", "doubt", self.quote_of(trigger, trigger + 1), ""));
        }
        let is_fault = draft.kind == Kind::Fault;
        let by_rates = match draft.cost {
            None if is_fault => self.by_rates(draft, severity, &remedies, &mut why),
            _ => None,
        };
        let safety_rule = if is_fault { self.safety_rule(draft) } else { None };
        if let Some(rule) = safety_rule {
            why.push(reason("safety", v.entries.safety[rule].id.clone(), "", ""));
        }
        Finding {
            id: ["f", &id.to_string()].concat(),
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
            cost: by_rates.or_else(|| {
                draft.cost.as_ref().filter(|_| is_fault).map(|([low, high], currency, _)| Cost {
                    low: *low,
                    high: *high,
                    currency: currency.clone(),
                    from: CostSource::Said,
                })
            }),
            result: draft.result,
            safety: is_fault && (draft.safety || self.bears_by_rule(safety_rule, draft)),
            certainty: draft.verdict.certainty,
            quote: self.narration.quote(first, last),
            at_s: self.narration.words[said_first].start,
            until_s: Seconds(self.narration.words[said_last].end.0.max(self.narration.words[said_first].start.0)),
            words: [first, last],
            why,
            state: State::Draft,
        }
    }

    /// What a fault's remedies cost by the user's own rates: nothing unless there is one for each of them. The examples
    /// that ship with the program are nobody's figures and put no price on anyone's vehicle.
    fn by_rates(
        &self,
        draft: &Draft,
        severity: Option<Severity>,
        remedies: &[Remedy],
        why: &mut Vec<Reason>,
    ) -> Option<Cost> {
        let v = self.vocabulary;
        if v.entries.rate.iter().all(|rate| rate.example) || remedies.is_empty() {
            return None;
        }
        let of = self.nature(draft);
        let classed = |p: Option<u16>| p.map(|p| v.classed(p));
        let rates = remedies.iter().map(|remedy| {
            let remedy = v.remedy_id(&remedy.id)?;
            v.rate(remedy, of.defect, classed(of.part), classed(of.host), severity).filter(|rate| !rate.example)
        });
        let rates = rates.collect::<Option<Vec<_>>>()?;
        why.extend(rates.iter().map(|rate| reason("cost", "rates", "", ["rate.", &rate.id].concat())));
        Some(Cost {
            low: rates.iter().map(|rate| rate.low).sum(),
            high: rates.iter().map(|rate| rate.high).sum(),
            currency: v.facts.currency.clone(),
            from: CostSource::Rates,
        })
    }

    /// "just below the handle", "along the bottom edge": landmarks and regions around the fault.
    pub(super) fn place_words(&self, draft: &Draft) -> Option<String> {
        if draft.kind != Kind::Fault {
            return None;
        }
        let clause = &self.clauses.list[draft.clause];
        let bearer = draft.bearer.and_then(|b| b.phrase);
        for at in draft.past..clause.past {
            if self.mentions[at].is_defect() || self.any(at, &[G::Be, G::It, G::Person]) {
                break;
            }
            // "on the left-hand corner": the side is told apart, the corner is the place
            let m = &self.mentions[at];
            let region = self.last_word(at).filter(|w| matches!(*w, "corner" | "edge" | "lip" | "flank" | "bead"));
            if m.width() > 1
                && let Some(word) = region
                && m.place().is_some()
                && bearer.is_none_or(|n| self.clauses.phrase_at(at) != Some(n))
            {
                return Some(word.to_string());
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
            // It stands inside a line, also where it opened a sentence: "Near the bottom".
            let mut letters = words.chars();
            return letters.next().map(|first| first.to_lowercase().chain(letters).collect());
        }
        None
    }
}
