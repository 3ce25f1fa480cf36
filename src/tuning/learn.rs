//! What corrections teach: for each, the smallest entry that would have read the sentence right.
//!
//! Nothing is guessed at that can be tried. Each candidate is laid over the vocabulary just as it would be written, and
//! the past drafts are read again: a candidate that does not mend its own sentence is dropped, and of the rest the one
//! that changes least elsewhere is proposed, with everything that it would change.

use std::collections::BTreeMap;
use std::path::Path;

use toml::{Table, Value};

use super::gaps::ORDINARY;
use super::history::{Correction, Draft, What};
use super::line;
use crate::narration::Narration;
use crate::reading::{self, Options, Reading, mentions, tokens};
use crate::report::{Finding, Kind, Severity};
use crate::scoring::{Case, Score};
use crate::vocabulary::entries::PHRASES;
use crate::vocabulary::layers::{Choice, Layers, OwnFile};
use crate::vocabulary::recognise::Recogniser;
use crate::vocabulary::{Sense, Vocabulary, VocabularyError, check};

/// The file of the user's own layer that learned entries are written to.
pub const FILE: &str = "learned.toml";

const HEAD: &str = "# Learned from corrections by `plainsaid vocab learn`, each entry with a note of where it came from.\n\
                    # Change it, or take out what you do not want; later entries of yours may change these.\n\n";

/// Entries to be laid over the others, by kind and id.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entries(BTreeMap<(String, String), Table>);

impl Entries {
    fn put(&mut self, kind: &str, id: &str, key: &str, value: Value) {
        let entry = self.0.entry((kind.into(), id.into())).or_default();
        match (entry.get_mut(key), value) {
            (Some(Value::Array(there)), Value::Array(more)) if adds(key) => {
                there.extend(more.into_iter().filter(|m| !there.contains(m)).collect::<Vec<_>>());
            }
            (Some(Value::String(there)), Value::String(more)) if key == "note" && *there != more => {
                there.push_str("; ");
                there.push_str(&more);
            }
            (_, value) => {
                entry.insert(key.into(), value);
            }
        }
    }

    fn say(mut self, kind: &str, id: &str, list: &str, pattern: &str) -> Self {
        self.put(kind, id, list, Value::Array(vec![Value::String(pattern.into())]));
        self
    }

    fn set(mut self, kind: &str, id: &str, key: &str, value: impl Into<Value>) -> Self {
        self.put(kind, id, key, value.into());
        self
    }

    fn join(&mut self, more: &Entries) {
        for ((kind, id), keys) in &more.0 {
            for (key, value) in keys {
                self.put(kind, id, key, value.clone());
            }
        }
    }

    fn noted(mut self, note: &str) -> Self {
        let all: Vec<(String, String)> = self.0.keys().cloned().collect();
        for (kind, id) in all {
            self.put(&kind, &id, "note", Value::String(note.into()));
        }
        self
    }

    /// As TOML.
    pub fn text(&self) -> String {
        let mut text = String::new();
        for ((kind, id), keys) in &self.0 {
            text.push_str(&format!("[[{kind}]]\nid = {}\n", Value::String(id.clone())));
            for (key, value) in keys {
                text.push_str(&format!("{key} = {value}\n"));
            }
            text.push('\n');
        }
        text
    }

    fn read(text: &str) -> Self {
        let mut all = Entries::default();
        for (kind, list) in text.parse::<Table>().unwrap_or_default() {
            for entry in list.as_array().into_iter().flatten().filter_map(Value::as_table) {
                let id = entry.get("id").and_then(Value::as_str).unwrap_or_default().to_owned();
                for (key, value) in entry.iter().filter(|(key, _)| *key != "id") {
                    all.put(&kind, &id, key, value.clone());
                }
            }
        }
        all
    }
}

/// Whether a later layer's list adds to the earlier one.
fn adds(key: &str) -> bool {
    PHRASES.contains(&key) || key == "unsay"
}

/// What is proposed for a correction.
#[derive(Clone, Debug)]
pub struct Proposal {
    pub draft: String,
    pub at: String,
    pub quote: String,
    /// What the person corrected, in a few words.
    pub corrected: String,
    pub entries: Entries,
    /// Every past draft that would change, with its findings that go and come.
    pub changes: Vec<Changed>,
    /// Fault F1, faults placed right and traps sprung over the labelled cases, before and after.
    pub score: Option<[[f64; 3]; 2]>,
}

/// What becomes of a draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changed {
    pub draft: String,
    pub gone: Vec<String>,
    pub come: Vec<String>,
}

/// A correction for which nothing is proposed, with why.
#[derive(Clone, Debug)]
pub struct Left {
    pub draft: String,
    pub at: String,
    pub quote: String,
    pub corrected: String,
    pub why: &'static str,
}

/// Learns from past drafts, over layers as they are.
pub struct Learner<'d> {
    layers: Layers,
    recogniser: Recogniser,
    folder: String,
    drafts: &'d [Draft],
    choices: Vec<Choice>,
    cases: Vec<(Case, Narration, Choice)>,
    learned: Entries,
    now: Vec<Reading>,
}

/// Vocabularies by what they are chosen for.
type Made = Vec<(Choice, Vocabulary)>;

impl<'d> Learner<'d> {
    /// `folder` is the user's own; `cases` are labelled narrations to score with.
    pub fn new(
        layers: Layers,
        folder: &Path,
        drafts: &'d [Draft],
        cases: Vec<(Case, Narration)>,
    ) -> Result<Self, VocabularyError> {
        let recogniser = layers.recogniser()?;
        let choices = drafts.iter().map(|draft| recogniser.choose(&draft.narration, draft.market)).collect();
        let cases = cases
            .into_iter()
            .map(|(case, narration)| {
                let market = case.labels.market.parse().unwrap_or_default();
                let choice = recogniser.choose(&narration, market);
                (case, narration, choice)
            })
            .collect();
        let learned = layers.own.iter().find(|file| file.below == FILE).map(|file| Entries::read(&file.text));
        let mut learner = Learner {
            layers,
            recogniser,
            folder: folder.join(FILE).display().to_string(),
            drafts,
            choices,
            cases,
            learned: learned.unwrap_or_default(),
            now: Vec::new(),
        };
        learner.now = learner.readings(&learner.learned.clone())?;
        Ok(learner)
    }

    /// The text that the file of learned entries has with what was accepted.
    pub fn text(&self) -> String {
        format!("{HEAD}{}", self.learned.text())
    }

    /// How every draft reads now.
    pub fn readings_now(&self) -> &[Reading] {
        &self.now
    }

    /// Takes a proposal up: those that follow are reckoned on top of it.
    pub fn accept(&mut self, proposal: &Proposal) -> Result<(), VocabularyError> {
        self.learned.join(&proposal.entries);
        self.now = self.readings(&self.learned.clone())?;
        Ok(())
    }

    /// The layers with other learned entries, as they would be read from the disk.
    fn layers_with(&self, learned: &Entries) -> Layers {
        let mut layers = self.layers.clone();
        layers.own.retain(|file| file.below != FILE);
        let file =
            OwnFile { below: FILE.into(), shown: self.folder.clone(), text: format!("{HEAD}{}", learned.text()) };
        // Files of the folder itself come first, by name.
        let at = layers.own.iter().position(|f| f.below.contains('/') || f.below.as_str() > FILE);
        layers.own.insert(at.unwrap_or(layers.own.len()), file);
        layers
    }

    fn vocabulary<'m>(
        &self,
        layers: &Layers,
        choice: &Choice,
        made: &'m mut Made,
    ) -> Result<&'m Vocabulary, VocabularyError> {
        let at = match made.iter().position(|(kept, _)| kept == choice) {
            Some(at) => at,
            None => {
                made.push((choice.clone(), layers.vocabulary(choice)?));
                made.len() - 1
            }
        };
        Ok(&made[at].1)
    }

    fn readings(&self, learned: &Entries) -> Result<Vec<Reading>, VocabularyError> {
        let layers = self.layers_with(learned);
        let mut made = Made::new();
        let pairs = self.drafts.iter().zip(&self.choices);
        pairs
            .map(|(draft, choice)| {
                let vocabulary = self.vocabulary(&layers, choice, &mut made)?;
                Ok(reading::read(&draft.narration, vocabulary, &Options { steering: draft.steering }))
            })
            .collect()
    }

    fn score(&self, learned: &Entries) -> Result<Option<[f64; 3]>, VocabularyError> {
        if self.cases.is_empty() {
            return Ok(None);
        }
        let layers = self.layers_with(learned);
        let mut made = Made::new();
        let mut score = Score::default();
        for (case, narration, choice) in &self.cases {
            let vocabulary = self.vocabulary(&layers, choice, &mut made)?;
            let steering =
                if case.labels.steering == "left" { crate::report::Hand::Left } else { crate::report::Hand::Right };
            let read = reading::read(narration, vocabulary, &Options { steering });
            score.add(case, &read.vehicle, &read.findings);
        }
        let figures = score.figures();
        let of = |name: &str| figures.iter().find(|(n, _)| n == name).map_or(0.0, |(_, value)| *value);
        Ok(Some([of("fault F1"), of("placed-fault F1"), of("trap rate")]))
    }

    /// What every correction of every draft teaches, each on its own.
    pub fn proposals(&self) -> Result<(Vec<Proposal>, Vec<Left>), VocabularyError> {
        let mut proposals: Vec<Proposal> = Vec::new();
        let mut left = Vec::new();
        for nth in 0..self.drafts.len() {
            for correction in &self.drafts[nth].corrections {
                match self.propose(nth, correction)? {
                    Ok(proposal) => {
                        // Two slips of one kind want one entry.
                        if !proposals.iter().any(|p| same_but_for_notes(&p.entries, &proposal.entries)) {
                            proposals.push(proposal);
                        }
                    }
                    Err(why) => left.push(Left {
                        draft: self.drafts[nth].name.clone(),
                        at: correction.at_s.clock(),
                        quote: correction.quote.clone(),
                        corrected: told(correction),
                        why,
                    }),
                }
            }
        }
        Ok((proposals, left))
    }

    /// The entry that mends a correction and changes least beside it, or why there is none.
    pub fn propose(
        &self,
        nth: usize,
        correction: &Correction,
    ) -> Result<Result<Proposal, &'static str>, VocabularyError> {
        let draft = &self.drafts[nth];
        let choice = &self.choices[nth];
        let options = Options { steering: draft.steering };
        let mut made = Made::new();
        let layers = self.layers_with(&self.learned);
        let vocabulary = self.vocabulary(&layers, choice, &mut made)?;
        if mended(correction, &self.now[nth], &draft.narration, vocabulary) {
            return Ok(Err("is read so already"));
        }
        let candidates = Candidates { draft, correction, vocabulary }.all();
        if candidates.is_empty() {
            return Ok(Err("hangs on no word that an entry could hold"));
        }
        let note = format!("from {} at {}: \"{}\"", file_name(&draft.name), correction.at_s.clock(), correction.quote);
        // What rests on a word is better than what rests on the sentence alone; of the like, what changes least.
        let mut best: Option<((u8, usize), Entries, Vec<Reading>)> = None;
        for (rank, candidate) in candidates {
            if best.as_ref().is_some_and(|((found, _), ..)| *found < rank) {
                continue;
            }
            let mut learned = self.learned.clone();
            learned.join(&candidate.clone().noted(&note));
            let layers = self.layers_with(&learned);
            let mut made = Made::new();
            let Ok(vocabulary) = self.vocabulary(&layers, choice, &mut made) else { continue };
            let read = reading::read(&draft.narration, vocabulary, &options);
            if !mended(correction, &read, &draft.narration, vocabulary) {
                continue;
            }
            let readings = self.readings(&learned)?;
            let moved: usize = self.changes(&readings).iter().map(|c| c.gone.len() + c.come.len()).sum();
            if best.as_ref().is_none_or(|(least, ..)| (rank, moved) < *least) {
                best = Some(((rank, moved), candidate.noted(&note), readings));
            }
        }
        let Some((_, entries, readings)) = best else {
            return Ok(Err("is mended by no entry that was tried; it may hang on a rule"));
        };
        let mut learned = self.learned.clone();
        learned.join(&entries);
        let score = match (self.score(&self.learned)?, self.score(&learned)?) {
            (Some(before), Some(after)) => Some([before, after]),
            _ => None,
        };
        Ok(Ok(Proposal {
            draft: draft.name.clone(),
            at: correction.at_s.clock(),
            quote: correction.quote.clone(),
            corrected: told(correction),
            entries,
            changes: self.changes(&readings),
            score,
        }))
    }

    /// How readings of the drafts differ from those of now.
    fn changes(&self, readings: &[Reading]) -> Vec<Changed> {
        let drafts = self.drafts.iter().zip(self.now.iter().zip(readings));
        drafts.filter_map(|(draft, (before, after))| differ(&draft.name, before, after)).collect()
    }

    /// Which layers a draft is read with.
    pub fn choice_of(&self, draft: &Draft) -> Choice {
        self.recogniser.choose(&draft.narration, draft.market)
    }
}

/// What of a draft's findings goes and comes between two readings.
pub fn differ(name: &str, before: &Reading, after: &Reading) -> Option<Changed> {
    let lines = |reading: &Reading| -> Vec<String> {
        reading.findings.iter().map(|f| format!("{} \"{}\" {}", f.at_s.clock(), f.quote, line(f))).collect()
    };
    let (mut gone, mut come) = (lines(before), lines(after));
    gone.retain(|one| match come.iter().position(|other| other == one) {
        Some(at) => {
            come.remove(at);
            false
        }
        None => true,
    });
    (!gone.is_empty() || !come.is_empty()).then(|| Changed { draft: name.to_owned(), gone, come })
}

fn same_but_for_notes(a: &Entries, b: &Entries) -> bool {
    let bare = |entries: &Entries| {
        let mut bare = entries.clone();
        bare.0.values_mut().for_each(|keys| {
            keys.remove("note");
        });
        bare
    };
    bare(a) == bare(b)
}

fn file_name(path: &str) -> String {
    Path::new(path).file_name().map_or_else(|| path.to_owned(), |name| name.to_string_lossy().into_owned())
}

/// A correction in a few words.
fn told(correction: &Correction) -> String {
    let name = |named: &Option<crate::report::Named>| named.as_ref().map_or("none".to_owned(), |n| n.label.clone());
    let grade = |s: Option<Severity>| s.map_or("none".to_owned(), |s| format!("{s:?}").to_lowercase());
    let lower = |value: &dyn std::fmt::Debug| format!("{value:?}").to_lowercase();
    match &correction.what {
        What::Struck(was) => format!("struck out: {}", line(was)),
        What::Added(now) => format!("added: {}", line(now)),
        What::Word { heard, said, .. } => format!("the word \"{heard}\" is \"{said}\""),
        What::Field { field, was, now } => match field.as_str() {
            "defect" => format!("the fault {} is {}", name(&was.defect), name(&now.defect)),
            "part" => format!("the part {} is {}", name(&was.part), name(&now.part)),
            "item" => format!("the item {} is {}", name(&was.item), name(&now.item)),
            "severity" => format!("{} is {}", grade(was.severity), grade(now.severity)),
            "kind" => format!("{} is {}", lower(&was.kind), lower(&now.kind)),
            other => format!("the {other} is another"),
        },
    }
}

/// Whether a reading has what the person made of it.
pub fn mended(correction: &Correction, reading: &Reading, narration: &Narration, vocabulary: &Vocabulary) -> bool {
    let [first, last] = correction.words;
    let overlaps = |f: &&Finding| f.words[0] <= last && f.words[1] >= first;
    let here = || reading.findings.iter().filter(overlaps);
    let id = |named: &Option<crate::report::Named>| named.as_ref().map(|n| n.id.clone());
    match &correction.what {
        What::Struck(was) => !here().any(|f| f.kind == was.kind && id(&f.defect) == id(&was.defect)),
        What::Added(now) => here().any(|f| {
            f.kind == now.kind
                && id(&f.defect) == id(&now.defect)
                && id(&f.item) == id(&now.item)
                && (now.part.is_none() || id(&f.part) == id(&now.part))
        }),
        What::Field { field, was, now } => here().any(|f| match field.as_str() {
            "defect" => f.kind == Kind::Fault && id(&f.defect) == id(&now.defect),
            "part" => f.kind == now.kind && id(&f.part) == id(&now.part) && near(f, now, was),
            "item" => f.kind == now.kind && id(&f.item) == id(&now.item),
            "severity" => f.kind == now.kind && f.severity == now.severity && near(f, now, was),
            "kind" => f.kind == now.kind,
            "side" => f.kind == now.kind && f.side == now.side && near(f, now, was),
            _ => f.kind == now.kind && f.end == now.end && near(f, now, was),
        }),
        What::Word { at, said, .. } => {
            let wanted = meanings_with(narration, *at, said, vocabulary);
            !wanted.is_empty() && meanings(narration, *at, vocabulary).iter().any(|m| wanted.contains(m))
        }
    }
}

/// Whether it is the same fault, before or after another correction of it.
fn near(found: &Finding, now: &Finding, was: &Finding) -> bool {
    let id = |f: &Finding| f.defect.as_ref().map(|n| n.id.clone());
    id(found) == id(now) || id(found) == id(was)
}

/// Kind, id and words of the phrases that a word stands in.
type Meant = (&'static str, String);

fn meanings(narration: &Narration, at: usize, vocabulary: &Vocabulary) -> Vec<Meant> {
    phrase_at(narration, at, vocabulary).map_or_else(Vec::new, |(_, meant)| meant)
}

fn meanings_with(narration: &Narration, at: usize, said: &str, vocabulary: &Vocabulary) -> Vec<Meant> {
    let mut corrected = narration.clone();
    if let Some(word) = corrected.words.get_mut(at) {
        word.text = said.to_owned();
    }
    meanings(&corrected, at, vocabulary)
}

/// The phrase that a word stands in: its first and last word, and what it means.
fn phrase_at(narration: &Narration, at: usize, vocabulary: &Vocabulary) -> Option<([usize; 2], Vec<Meant>)> {
    let tokens = tokens::tokens(narration, vocabulary);
    let mentions = mentions::mentions(&tokens, vocabulary);
    let span =
        |m: &mentions::Mention<'_>| [tokens[m.first as usize].word as usize, tokens[m.past as usize - 1].word as usize];
    let mention = mentions.iter().find(|m| (span(m)[0]..=span(m)[1]).contains(&at))?;
    let named = mention.senses.iter().filter(|s| !matches!(s, Sense::Grammar(_))).map(|s| vocabulary.named(*s));
    Some((span(mention), named.map(|(kind, id)| (kind, id.to_owned())).collect()))
}

/// An entry that could mend a correction; the lower its rank, the more it rests on a word of its own.
type Ranked = (u8, Entries);

/// What could mend a correction.
struct Candidates<'a> {
    draft: &'a Draft,
    correction: &'a Correction,
    vocabulary: &'a Vocabulary,
}

impl Candidates<'_> {
    fn all(&self) -> Vec<Ranked> {
        let mut all = match &self.correction.what {
            What::Field { field, was, now } => match field.as_str() {
                "defect" => self.other_defect(was, now),
                "part" => self.other_part(was, now),
                "severity" => self.other_severity(was, now),
                _ => Vec::new(),
            },
            What::Struck(was) => self.struck(was),
            What::Added(now) => self.added(now),
            What::Word { at, said, .. } => self.word(*at, said),
        };
        let mut once: Vec<Entries> = Vec::new();
        all.retain(|(_, entries)| {
            let new = !entries.0.is_empty() && !once.contains(entries);
            if new {
                once.push(entries.clone());
            }
            new
        });
        all.sort_by_key(|(rank, _)| *rank);
        all.truncate(40);
        all
    }

    /// Words as the vocabulary spells them.
    fn spelled(&self, text: &str) -> String {
        let mut out: Vec<String> = Vec::new();
        let mut scratch = String::new();
        for word in text.split_whitespace() {
            self.vocabulary.spelling.spell(word, &mut scratch, |token, _| {
                if !token.contains(['[', ']', '(', ')', '|']) {
                    out.push(token.to_owned());
                }
            });
        }
        out.join(" ")
    }

    /// For each word of the narration: whether the vocabulary knows nothing of it, and whether it only joins others.
    fn standing_of_words(&self) -> (Vec<bool>, Vec<bool>) {
        let words = self.draft.narration.words.len();
        let tokens = tokens::tokens(&self.draft.narration, self.vocabulary);
        let mentions = mentions::mentions(&tokens, self.vocabulary);
        let (mut unknown, mut small) = (vec![false; words], vec![false; words]);
        for mention in &mentions {
            for token in &tokens[mention.first as usize..mention.past as usize] {
                let word = token.word as usize;
                let ordinary = ORDINARY.contains(&*self.spelled(&self.draft.narration.words[word].text));
                unknown[word] =
                    mention.senses.is_empty() && mention.number.is_none() && token.digits.is_none() && !ordinary;
                small[word] = !mention.senses.is_empty()
                    && mention
                        .senses
                        .iter()
                        .all(|s| matches!(s, Sense::Grammar(_) | Sense::Place(_) | Sense::Pointing(_)));
            }
        }
        (unknown, small)
    }

    /// Runs of words around the correction that the vocabulary does not know, alone and with a known neighbour.
    fn unknown_runs(&self, around: usize) -> Vec<[usize; 2]> {
        let (unknown, small) = self.standing_of_words();
        let [first, last] = self.correction.words;
        let (from, past) = (first.saturating_sub(around), (last + 1 + around).min(unknown.len()));
        let mut runs = Vec::new();
        let mut at = from;
        while at < past {
            if !unknown[at] {
                at += 1;
                continue;
            }
            let begin = at;
            while at < past && unknown[at] && at - begin < 3 {
                at += 1;
            }
            runs.push([begin, at - 1]);
        }
        // Nearest to the words of the finding first.
        runs.sort_by_key(|[a, b]| if *b < first { first - b } else { a.saturating_sub(last) });
        let mut all = runs.clone();
        for [a, b] in runs {
            if a > 0 && !unknown[a - 1] && !small[a - 1] {
                all.push([a - 1, b]);
            }
            if b + 1 < unknown.len() && !unknown[b + 1] && !small[b + 1] {
                all.push([a, b + 1]);
            }
        }
        all.truncate(9);
        all
    }

    fn phrase(&self, [first, last]: [usize; 2]) -> String {
        self.spelled(&self.draft.narration.quote(first, last))
    }

    fn is_part(&self, id: &str) -> bool {
        self.vocabulary.part_id(id).is_some()
    }

    fn is_defect(&self, id: &str) -> bool {
        self.vocabulary.defect_id(id).is_some()
    }

    /// Takes what an entry says of a phrase over to another, pattern by pattern.
    fn moved(&self, phrase: &str, kind: &str, from: &str, to: &str, list: &str) -> Entries {
        let patterns = self.saying(kind, from, phrase);
        if patterns.is_empty() {
            return Entries::default().say(kind, to, list, phrase);
        }
        patterns.into_iter().fold(Entries::default(), |entries, pattern| {
            entries.say(kind, to, list, pattern).say(kind, from, "unsay", pattern)
        })
    }

    /// The patterns by which an entry says a phrase.
    fn saying(&self, kind: &str, id: &str, phrase: &str) -> Vec<&str> {
        let e = &self.vocabulary.entries;
        let lists: Vec<&String> = match kind {
            "part" => e.part.iter().filter(|p| p.id == id).flat_map(|p| p.say.iter().chain(&p.misheard)).collect(),
            "defect" => e
                .defect
                .iter()
                .filter(|d| d.id == id)
                .flat_map(|d| d.noun.iter().chain(&d.state).chain(&d.say).chain(&d.misheard))
                .collect(),
            _ => Vec::new(),
        };
        let saying = lists.into_iter().filter(|p| check::stands_for(p, phrase, self.vocabulary));
        saying.map(String::as_str).collect()
    }

    /// Words said before a fault that are no "is" make a noun of it.
    fn lists_of(&self, [first, _]: [usize; 2]) -> [&'static str; 2] {
        let before = first.checked_sub(1).map(|at| self.draft.narration.words[at].text.to_lowercase());
        let noun = before.is_some_and(|w| {
            ["a", "an", "the", "some", "of", "bit", "few", "two", "three", "with", "little", "small", "big"]
                .contains(&w.as_str())
        });
        if noun { ["noun", "state"] } else { ["state", "noun"] }
    }

    fn other_defect(&self, was: &Finding, now: &Finding) -> Vec<Ranked> {
        let (Some(to), Some(from)) = (&now.defect, &was.defect) else { return Vec::new() };
        if !self.is_defect(&to.id) {
            return Vec::new();
        }
        let said = self.spelled(&from.said);
        let mut all = Vec::new();
        // A longer phrase that holds what was said leaves the shorter one as it is.
        for run in self.unknown_runs(1) {
            let phrase = self.phrase(run);
            for list in self.lists_of(run) {
                all.push((0, Entries::default().say("defect", &to.id, list, &phrase)));
            }
        }
        if !said.is_empty() {
            for list in self.lists_of(self.correction.words) {
                all.push((1, self.moved(&said, "defect", &from.id, &to.id, list)));
            }
        }
        all
    }

    fn other_part(&self, was: &Finding, now: &Finding) -> Vec<Ranked> {
        let Some(to) = now.part.as_ref().filter(|part| self.is_part(&part.id)) else { return Vec::new() };
        let mut all = Vec::new();
        for run in self.unknown_runs(6).into_iter().filter(|run| self.names_a_thing(*run)) {
            let phrase = plural(&self.phrase(run));
            all.push((0, Entries::default().say("part", &to.id, "say", &phrase)));
        }
        let said = was.part.as_ref().map(|part| self.spelled(&part.said)).unwrap_or_default();
        let bare = said.strip_prefix("the ").or(said.strip_prefix("a ")).unwrap_or(&said);
        if let Some(from) = was.part.as_ref().filter(|_| !bare.is_empty()) {
            all.push((1, self.moved(bare, "part", &from.id, &to.id, "say")));
            if let Some(defect) = was.defect.as_ref().and_then(|d| self.vocabulary.defect_id(&d.id)) {
                let defect = &self.vocabulary.entries.defect[usize::from(defect)];
                let mut not_on = defect.not_on.clone();
                not_on.push(from.id.clone());
                all.push((2, Entries::default().set("defect", &defect.id, "not_on", not_on)));
            }
        }
        if was.part.is_none()
            && let Some(defect) = was.defect.as_ref().filter(|d| self.is_defect(&d.id))
        {
            all.push((3, Entries::default().set("defect", &defect.id, "implies", to.id.as_str())));
        }
        all
    }

    /// Whether words stand where the name of a thing does: after "the", "a", "on", with nothing between but places.
    fn names_a_thing(&self, [first, _]: [usize; 2]) -> bool {
        const LEADS: [&str; 18] = [
            "the", "a", "an", "this", "that", "its", "his", "my", "on", "in", "of", "to", "under", "behind", "above",
            "by", "round", "along",
        ];
        let before = self.draft.narration.words[first.saturating_sub(3)..first].iter().rev();
        for word in before {
            let word = self.spelled(&word.text);
            if LEADS.contains(&word.as_str()) {
                return true;
            }
            let places = [
                "left", "right", "front", "rear", "back", "nearside", "offside", "near", "off", "side", "top", "bottom",
            ];
            if !places.contains(&word.as_str()) {
                return false;
            }
        }
        false
    }

    fn other_severity(&self, was: &Finding, now: &Finding) -> Vec<Ranked> {
        let (Some(from), Some(to), Some(defect)) = (was.severity, now.severity, &now.defect) else { return Vec::new() };
        let name = |s: Severity| format!("{s:?}").to_lowercase();
        let mut all = Vec::new();
        let mut effects = vec![if to < from { "lighter" } else { "heavier" }];
        match to {
            Severity::Trace => effects.push("trace"),
            Severity::Heavy => effects.push("heavy"),
            _ => {}
        }
        for run in self.unknown_runs(1).into_iter().take(3) {
            let phrase = self.phrase(run);
            for effect in &effects {
                let id = id_of(&phrase);
                let entries = Entries::default().say("hedge", &id, "say", &phrase).set("hedge", &id, "effect", *effect);
                all.push((0, entries));
            }
        }
        if !self.is_defect(&defect.id) {
            return all;
        }
        let grade = |s: Severity| s as u8 as f64;
        if let Some(part) = now.part.as_ref().filter(|part| self.is_part(&part.id)) {
            let id = format!("{}-on-{}", defect.id, part.id);
            let mut entries = Entries::default()
                .set("strength", &id, "of", vec![defect.id.clone()])
                .set("strength", &id, "on", vec![part.id.clone()])
                .set("strength", &id, "steps", grade(to) - grade(from));
            match to {
                Severity::Trace => entries = entries.set("strength", &id, "least", name(to)),
                Severity::Heavy => entries = entries.set("strength", &id, "most", name(to)),
                _ => {}
            }
            all.push((1, entries));
        }
        all.push((2, Entries::default().set("defect", &defect.id, "severity", name(to))));
        all
    }

    fn struck(&self, was: &Finding) -> Vec<Ranked> {
        let Some(defect) = was.defect.as_ref().filter(|_| was.kind == Kind::Fault) else { return Vec::new() };
        let mut all = Vec::new();
        let [first, last] = self.correction.words;
        let count = self.draft.narration.words.len();
        // An unknown word right before it may deny it.
        for run in self.unknown_runs(3).into_iter().filter(|[_, b]| b + 1 == first) {
            let phrase = self.phrase(run);
            for (rank, means) in [(0, "denied"), (1, "general")] {
                let id = format!("{}-{means}", id_of(&phrase));
                let entries =
                    Entries::default().say("standing", &id, "say", &phrase).set("standing", &id, "means", means);
                all.push((rank, entries));
            }
        }
        let said = self.spelled(&defect.said);
        let mut phrases = vec![[first, last]];
        phrases.extend(first.checked_sub(1).map(|a| [a, last]));
        phrases.extend((last + 1 < count).then_some([first, last + 1]));
        phrases.extend(first.checked_sub(2).map(|a| [a, last]));
        phrases.extend((last + 2 < count).then_some([first, last + 2]));
        for span in phrases {
            let phrase = self.phrase(span);
            if (2..=7).contains(&phrase.split(' ').count()) {
                let id = id_of(&phrase);
                let entries =
                    Entries::default().say("standing", &id, "say", &phrase).set("standing", &id, "means", "idle");
                all.push((2, entries));
            }
        }
        for pattern in self.saying("defect", &defect.id, &said) {
            all.push((3, Entries::default().say("defect", &defect.id, "unsay", pattern)));
        }
        all
    }

    fn added(&self, now: &Finding) -> Vec<Ranked> {
        let Some(defect) = now.defect.as_ref().filter(|d| now.kind == Kind::Fault && self.is_defect(&d.id)) else {
            return Vec::new();
        };
        let part = now.part.as_ref().filter(|part| self.is_part(&part.id));
        let runs = self.unknown_runs(2);
        let fault = |run: [usize; 2], list: &str| {
            let phrase = self.phrase(run);
            let phrase = if list == "noun" { plural(&phrase) } else { phrase };
            Entries::default().say("defect", &defect.id, list, &phrase)
        };
        let mut all = Vec::new();
        for run in &runs {
            all.extend(self.lists_of(*run).map(|list| (0, fault(*run, list))));
        }
        if let Some(part) = part {
            for run in runs.iter().filter(|run| self.names_a_thing(**run)) {
                let thing = plural(&self.phrase(*run));
                all.push((0, Entries::default().say("part", &part.id, "say", &thing)));
                for other in runs.iter().filter(|o| o[1] < run[0] || o[0] > run[1]) {
                    for list in self.lists_of(*other) {
                        all.push((1, fault(*other, list).say("part", &part.id, "say", &thing)));
                    }
                }
            }
        }
        // Known words that mean a fault only together.
        let [first, last] = self.correction.words;
        if last - first < 7 {
            all.extend(["state", "noun"].map(|list| (2, fault([first, last], list))));
        }
        all
    }

    fn word(&self, at: usize, said: &str) -> Vec<Ranked> {
        let mut corrected = self.draft.narration.clone();
        let Some(word) = corrected.words.get_mut(at) else { return Vec::new() };
        word.text = said.to_owned();
        let Some((span, meant)) = phrase_at(&corrected, at, self.vocabulary) else { return Vec::new() };
        let heard = self.phrase(span);
        let nameable = meant.into_iter().filter(|(kind, id)| !id.is_empty() && *kind != "grammar");
        nameable.map(|(kind, id)| (0, Entries::default().say(kind, &id, "misheard", &heard))).collect()
    }
}

/// A phrase with its plural.
fn plural(phrase: &str) -> String {
    if phrase.ends_with(|c: char| c.is_ascii_lowercase() && c != 's') {
        format!("{phrase}[s]")
    } else {
        phrase.to_owned()
    }
}

/// An id made of a phrase.
fn id_of(phrase: &str) -> String {
    let plain: String =
        phrase.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    let id = plain.split_whitespace().collect::<Vec<_>>().join("-");
    if id.is_empty() { "learned".into() } else { id }
}
