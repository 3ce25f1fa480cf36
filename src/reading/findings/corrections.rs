//! What the speaker takes back or puts right.

use super::*;

impl Reader<'_, '_> {
    /// "scratch that": the last statement goes, whatever follows.
    pub(super) fn withdraw_on_cue(&self, number: usize, settled: &mut Vec<usize>, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        let Some((at, _)) = self.cues(clause).find(|(_, cue)| *cue == CueKind::Withdraw) else {
            return;
        };
        settled.push(at);
        let lately = since(out, number.saturating_sub(2));
        let Some(clause) = lately.iter().rev().find(|d| d.first < at).map(|d| d.clause) else { return };
        for d in since_mut(out, clause).iter_mut().filter(|d| d.clause == clause && d.kind == Kind::Fault) {
            d.verdict.standing = Standing::Withdrawn;
            d.verdict.trigger = Some(at);
        }
    }

    /// "…, and that turned out to be mud": the last words said take back the fault before them.
    pub(super) fn withdrawn_last(&self, settled: &[usize], out: &mut [Draft]) {
        let Some(number) = self.clauses.list.len().checked_sub(1) else { return };
        let Some(at) = (number.saturating_sub(1)..=number).find_map(|n| {
            let clause = &self.clauses.list[n];
            self.judge().in_clause(clause, Means::Withdrawn).filter(|t| !settled.contains(t))
        }) else {
            return;
        };
        // a bare "sorry" or "no wait" with nothing behind takes back nothing yet
        if self.mentions[at].width() < 3 || out.iter().any(|d| d.first > at) {
            return;
        }
        if let Some(last) = out.iter_mut().rev().find(|d| d.kind == Kind::Fault)
            && last.verdict.standing == Standing::Asserted
            && number - last.clause <= 2
            && at.saturating_sub(last.past) <= 8
        {
            last.verdict.standing = Standing::Withdrawn;
            last.verdict.trigger = Some(at);
        }
    }

    /// Withdrawals and corrections: what follows "no, sorry" replaces what was said before it.
    pub(super) fn corrections(&self, number: usize, from: usize, settled: &mut Vec<usize>, out: &mut [Draft]) {
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
        // "… a touch of rust | no this is not | rust": the word said again is what it is not
        if let Some(before) = number.checked_sub(1).map(|n| &self.clauses.list[n])
            && self.judge().means(before.past - 1) == Some(Means::Withdrawn)
            && self.last_word(before.past - 1).is_some_and(|w| w == "not" || w == "never" || w.ends_with("n't"))
        {
            let first = self.clauses.list[number].first;
            for d in out[from..].iter_mut().filter(|d| d.kind == Kind::Fault && d.noun && d.first <= first + 2) {
                d.verdict.standing = Standing::Denied;
                d.verdict.trigger = Some(before.past - 1);
            }
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
            let t = clause.having(&[Meaning::Standing, Meaning::Cue]).find(|&at| {
                self.judge().means(at) == Some(Means::Withdrawn)
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
        // "kerbed, sorry, and the back one has a nick": only polite
        if soft && self.any(clause.first, &[G::And]) {
            return;
        }
        let faults: Vec<usize> = (from..out.len())
            .filter(|&i| out[i].kind == Kind::Fault && out[i].verdict.standing == Standing::Asserted)
            .collect();
        // "no, there's four", "correction, four feet": a figure right behind takes the place of the one before
        let head = (clause.first..clause.past)
            .find(|&at| !self.any(at, &[G::There, G::It, G::Be, G::And, G::Then, G::Marker, G::But]));
        if let Some(at) = head.filter(|&at| self.mentions[at].number.is_some_and(|n| !n.ordinal)) {
            let measured = strength::measure(self.mentions, at, self.vocabulary).is_some();
            if let Some(size) = strength::size(self.mentions, at, self.vocabulary) {
                for d in alike(out, last) {
                    d.said.size = Some(size.mm);
                }
                return;
            }
            let counts = !self.mentions.get(at + 1).is_some_and(|m| m.is_defect_noun() || m.is_word());
            if !measured && counts && out[last].said.count.is_some() {
                out[last].said.count = self.mentions[at].number.map(strength::count_of);
                return;
            }
        }
        let phrase = clause.phrases.clone().find(|&n| self.places.placed[n].part.is_some());
        let old = out[last].bearer;
        // "pushed in on the driver's, no wait, the passenger corner": the place right behind was meant
        let place_of = |at: usize| self.mentions[at].place().map(|p| &self.vocabulary.entries.place[usize::from(p)]);
        let corner = head.map(|at| at + usize::from(self.any(at, &[G::Determiner]))).filter(|&at| {
            at < clause.past
                && self.clauses.phrase_at(at).is_none()
                && place_of(at).is_some_and(|p| !p.moves && p.side.is_some())
                && faults.first().is_none_or(|&f| {
                    out[f].bearer.is_some_and(|b| b.phrase.is_some_and(|n| self.clauses.phrases[n].first > at))
                })
        });
        if let Some(p) = corner.and_then(place_of)
            && let Some(hand) = p.side.and_then(|s| self.sides.hand(s, &self.places.walks[number]))
        {
            for d in alike(out, last) {
                if let Some(b) = &mut d.bearer {
                    (b.placed.side, b.placed.side_how) = (Some(hand.into()), How::Said);
                    b.placed.end = p.end.or(b.placed.end);
                }
            }
            return;
        }
        if let Some(&new) = faults.first() {
            let same_part = out[new].bearer.and_then(|b| b.placed.part) == old.and_then(|b| b.placed.part);
            let carried = out[new].bearer.is_none_or(|b| b.phrase.is_none());
            // "rear shock, driver's side weeping, no, passenger side weeping": the part stays
            if carried
                && out[new].defect == out[last].defect
                && let (Some(b), Some(o)) = (&mut out[new].bearer, old)
            {
                let (side, how) = (b.placed.side, b.placed.side_how);
                b.placed = o.placed;
                b.rule = "corrected";
                if how == How::Said {
                    (b.placed.side, b.placed.side_how) = (side, how);
                }
            }
            if same_part || carried || out[new].defect == out[last].defect {
                for d in alike(out, last) {
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
            // "correction, nearside rear, that corner …": the place was meant
            && self.mentions[clause.first].place().is_none()
        {
            for d in alike(out, last) {
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
            for d in alike(out, last) {
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
        // "gear lever bent, correction, gear lever's fine"
        let good = out[from..].iter().any(|d| {
            matches!(d.kind, Kind::Sound | Kind::Check)
                && d.result != Some(CheckResult::Fault)
                && d.bearer.and_then(|b| b.placed.part) == old.and_then(|b| b.placed.part)
        });
        if soft && !good {
            return;
        }
        for d in alike(out, last) {
            d.verdict.standing = Standing::Withdrawn;
            d.verdict.trigger = Some(trigger);
        }
    }

    /// "… probably a wheel bearing", "that's the bushes I'd say": a part supposed to be behind a noise that had none.
    pub(super) fn supposed(&self, number: usize, from: usize, out: &mut [Draft]) {
        let clause = &self.clauses.list[number];
        // "there's a howl from the back, and that's the diff"
        let named = clause.opening == Opening::It
            && clause.phrases.clone().any(|n| self.clauses.phrases[n].governed == Governed::Object);
        // "oil leak, valve cover": the part named behind, with nothing else said of it
        let orphan = clause.opening == Opening::Subject
            && out.len() == from
            && clause.past - clause.first <= 6
            && number > 0
            && self.clauses.list[number - 1].phrases.is_empty()
            && out.last().is_some_and(|d| d.clause + 1 == number && d.noun)
            && !self.mentions[clause.first..clause.past].iter().any(|m| {
                m.is_defect()
                    || m.any_grammar(&[G::Be, G::Have, G::Verb, G::Modal, G::Do])
                    || m.has(&[
                        Meaning::Praise,
                        Meaning::FunctionVerb,
                        Meaning::FunctionWorks,
                        Meaning::Standing,
                        Meaning::Unchecked,
                    ])
            });
        let supposes = self.judge().in_clause(clause, Means::Doubt).is_some()
            || self.judge().in_clause(clause, Means::Hearsay).is_some()
            || named
            || orphan;
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
            || !self.joiner().fits(Some(&self.vocabulary.defect_on[usize::from(defect)]), &placed)
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
        if last.clause == number {
            last.quote[1] = last.quote[1].max(self.clauses.phrases[n].past);
        }
    }
}
