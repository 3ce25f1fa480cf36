//! How well drafts hold what was said, measured against labelled narrations.
//!
//! A case is a narration (`NAME.txt`) and what a careful reader takes from it (`NAME.json`). A draft's fault matches a
//! labelled one when their quotes overlap in the narration and the defect is one of the accepted names; each is used
//! once. Figures are counted over all cases together.
//!
//! A draft of the same narration spoken has words of its own and times of its own. Its words are laid beside the
//! narration's, as few as possible of them changed, left out or put in; a finding then stands where the words that it
//! quotes stand in the narration. Everything else is as for typed ones, except that times are not looked at.

mod names;

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use thiserror::Error;

use crate::narration::Word;
use crate::report::{Finding, Kind, Severity, Side, Vehicle};
use names::{same_name, stems};

#[derive(Debug, Error)]
pub enum ScoreError {
    #[error("{path}: {source}")]
    Read { path: PathBuf, source: std::io::Error },
    #[error("{path} is no labelled case: {source}")]
    Labels { path: PathBuf, source: serde_json::Error },
    #[error("{0} holds no labelled cases (pairs of NAME.txt and NAME.json)")]
    None(PathBuf),
}

/// What a careful reader takes from a narration.
#[derive(Debug, Deserialize)]
pub struct Labels {
    #[serde(default = "uk")]
    pub market: String,
    #[serde(default = "right")]
    pub steering: String,
    #[serde(default)]
    vehicle: serde_json::Map<String, serde_json::Value>,
    #[serde(default)]
    faults: Vec<LabelledFault>,
    #[serde(default)]
    not_faults: Vec<NotFault>,
    #[serde(default)]
    sound: Vec<Labelled>,
    #[serde(default)]
    equipment: Vec<Labelled>,
    #[serde(default)]
    checks: Vec<Labelled>,
    #[serde(default)]
    not_checked: Vec<Labelled>,
}

fn uk() -> String {
    "uk".into()
}

fn right() -> String {
    "right".into()
}

#[derive(Debug, Deserialize)]
struct LabelledFault {
    quote: String,
    at: f64,
    #[serde(default)]
    part: Vec<String>,
    side: Option<Side>,
    end: Option<crate::report::End>,
    defect: Vec<String>,
    #[serde(default)]
    severity: Vec<Severity>,
    size_mm: Option<[f64; 2]>,
    count: Option<[f64; 2]>,
    #[serde(default)]
    remedy: Vec<String>,
    cost: Option<LabelledCost>,
    #[serde(default)]
    safety: bool,
}

#[derive(Debug, Deserialize)]
struct LabelledCost {
    low: f64,
    high: f64,
}

#[derive(Debug, Deserialize)]
struct NotFault {
    quote: String,
    #[serde(default)]
    why: String,
}

#[derive(Debug, Deserialize)]
struct Labelled {
    quote: String,
    #[serde(default)]
    part: Names,
    #[serde(default)]
    item: Names,
}

#[derive(Debug, Default, Deserialize)]
#[serde(untagged)]
enum Names {
    #[default]
    None,
    One(String),
    Many(Vec<String>),
}

impl Names {
    fn list(&self) -> Vec<&str> {
        match self {
            Names::None => Vec::new(),
            Names::One(name) => vec![name],
            Names::Many(names) => names.iter().map(String::as_str).collect(),
        }
    }
}

/// A labelled narration.
#[derive(Debug)]
pub struct Case {
    pub name: String,
    pub text_path: PathBuf,
    pub labels: Labels,
    /// The narration's words as one string, and the moment of each line by its place in it, in characters.
    text: String,
    marks: Vec<(usize, f64)>,
}

/// The labelled narrations in a folder, by name.
pub fn cases(folder: &Path) -> Result<Vec<Case>, ScoreError> {
    let read_error = |path: &Path| {
        let path = path.to_path_buf();
        move |source| ScoreError::Read { path, source }
    };
    let mut out = Vec::new();
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .map_err(read_error(folder))?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|e| e == "json"))
        .collect();
    paths.sort();
    for path in paths {
        let text_path = path.with_extension("txt");
        if !text_path.exists() {
            continue;
        }
        let json = std::fs::read_to_string(&path).map_err(read_error(&path))?;
        let labels = serde_json::from_str(&json).map_err(|source| ScoreError::Labels { path: path.clone(), source })?;
        let lines = std::fs::read_to_string(&text_path).map_err(read_error(&text_path))?;
        let (text, marks) = join_lines(&lines);
        let name = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        out.push(Case { name, text_path, labels, text, marks });
    }
    if out.is_empty() { Err(ScoreError::None(folder.to_path_buf())) } else { Ok(out) }
}

fn join_lines(lines: &str) -> (String, Vec<(usize, f64)>) {
    let mut text = String::new();
    let mut letters = 0;
    let mut marks = Vec::new();
    for line in lines.lines() {
        let line = line.trim();
        let mut body = line;
        if let Some(rest) = line.strip_prefix('[')
            && let Some((clock, after)) = rest.split_once(']')
            && let Some(seconds) = clock_seconds(clock)
        {
            body = after.trim_start();
            marks.push((letters + usize::from(letters > 0), seconds));
        }
        if !body.is_empty() {
            if letters > 0 {
                text.push(' ');
                letters += 1;
            }
            text.push_str(body);
            letters += body.chars().count();
        }
    }
    (text, marks)
}

fn clock_seconds(clock: &str) -> Option<f64> {
    let fields = clock.split(':').map(|f| f.parse::<u32>().ok()).collect::<Option<Vec<_>>>()?;
    (2..=3).contains(&fields.len()).then(|| fields.iter().fold(0.0, |sum, &f| sum * 60.0 + f64::from(f)))
}

/// Letters and figures in lower case, all else as single spaces, with each byte's place in the text, in characters: so
/// long a quote is by what a reader counts, not by how it is stored.
fn folded(text: &str) -> (String, Vec<usize>) {
    let mut out = String::new();
    let mut back = Vec::new();
    for (at, c) in text.chars().enumerate() {
        if c.is_alphanumeric() {
            for lower in c.to_lowercase() {
                out.push(lower);
                back.resize(out.len(), at);
            }
        } else if !out.is_empty() && !out.ends_with(' ') {
            out.push(' ');
            back.push(at);
        }
    }
    (out, back)
}

impl Case {
    /// Where a quote stands in the narration; of several places the one nearest in time.
    fn place(&self, hay: &(String, Vec<usize>), quote: &str, at: Option<f64>) -> Option<(usize, usize)> {
        let (needle, _) = folded(quote);
        let needle = needle.trim();
        if needle.is_empty() {
            return None;
        }
        let (text, back) = hay;
        let mut spots = Vec::new();
        let mut from = 0;
        while let Some(found) = text.get(from..).and_then(|t| t.find(needle)) {
            let start = from + found;
            let last = (start + needle.len()).min(back.len()) - 1;
            spots.push((back[start], back[last] + 1));
            from = start + text[start..].chars().next().map_or(1, char::len_utf8);
        }
        match at {
            Some(at) if spots.len() > 1 => spots.into_iter().min_by(|a, b| {
                let distance = |spot: &(usize, usize)| (self.seconds(spot.0) - at).abs();
                distance(a).total_cmp(&distance(b))
            }),
            _ => spots.into_iter().next(),
        }
    }

    /// Where the words of each finding of a spoken draft stand in the narration.
    fn places_of_spoken(&self, transcript: &[Word], findings: &[Finding]) -> Vec<Option<(usize, usize)>> {
        let bare = |word: &str| word.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
        let mut written: Vec<(String, usize, usize)> = Vec::new();
        for word in self.text.split_whitespace() {
            let from = word.as_ptr() as usize - self.text.as_ptr() as usize;
            written.push((bare(word), from, from + word.len()));
        }
        let heard: Vec<String> = transcript.iter().map(|w| bare(&w.text)).collect();
        let beside = alignment(&heard, &written.iter().map(|w| w.0.as_str()).collect::<Vec<_>>());
        findings
            .iter()
            .map(|finding| {
                let [first, last] = finding.words;
                let range = first.min(beside.len())..(last + 1).min(beside.len());
                let places: Vec<usize> = beside.get(range)?.iter().flatten().copied().collect();
                Some((written[*places.first()?].1, written[*places.last()?].2))
            })
            .collect()
    }

    fn seconds(&self, offset: usize) -> f64 {
        self.marks.iter().take_while(|(o, _)| *o <= offset).last().map_or(0.0, |(_, s)| *s)
    }
}

/// For each word heard, the place of the written word that it stands for, if it stands for any.
fn alignment(heard: &[String], written: &[&str]) -> Vec<Option<usize>> {
    let wide = written.len() + 1;
    let mut cost: Vec<u32> = vec![0; (heard.len() + 1) * wide];
    for (j, cost) in cost.iter_mut().take(wide).enumerate() {
        *cost = j as u32;
    }
    let swap = |i: usize, j: usize| u32::from(heard[i] != written[j]);
    for i in 0..heard.len() {
        cost[(i + 1) * wide] = i as u32 + 1;
        for j in 0..written.len() {
            let changed = cost[i * wide + j] + swap(i, j);
            let moved = cost[i * wide + j + 1].min(cost[(i + 1) * wide + j]) + 1;
            cost[(i + 1) * wide + j + 1] = changed.min(moved);
        }
    }
    let mut beside = vec![None; heard.len()];
    let (mut i, mut j) = (heard.len(), written.len());
    while i > 0 && j > 0 {
        let here = cost[i * wide + j];
        if here == cost[(i - 1) * wide + j - 1] + swap(i - 1, j - 1) {
            i -= 1;
            j -= 1;
            beside[i] = Some(j);
        } else if here == cost[(i - 1) * wide + j] + 1 {
            i -= 1;
        } else {
            j -= 1;
        }
    }
    beside
}

fn overlap(a: (usize, usize), b: (usize, usize)) -> usize {
    a.1.min(b.1).saturating_sub(a.0.max(b.0))
}

/// The figures, and on request every miss.
#[derive(Debug, Default)]
pub struct Score {
    labelled: usize,
    drafted: usize,
    hit: usize,
    strict: usize,
    traps: usize,
    sprung: usize,
    unplaced: usize,
    attributes: BTreeMap<&'static str, (usize, usize)>,
    others: BTreeMap<u8, [usize; 3]>,
    /// One line for each miss, false alarm and wrong attribute.
    pub misses: Vec<String>,
}

const OTHERS: [(Kind, &str); 4] = [
    (Kind::Sound, "sound F1"),
    (Kind::Fitted, "fitted F1"),
    (Kind::Check, "check F1"),
    (Kind::Unchecked, "unchecked F1"),
];

impl Score {
    fn tick(&mut self, attribute: &'static str, ok: bool) {
        let entry = self.attributes.entry(attribute).or_default();
        entry.0 += usize::from(ok);
        entry.1 += 1;
    }

    /// Counts one case's draft in.
    pub fn add(&mut self, case: &Case, vehicle: &Vehicle, findings: &[Finding]) {
        let hay = folded(&case.text);
        let spots = findings.iter().map(|f| case.place(&hay, &f.quote, Some(f.at_s.0))).collect();
        self.add_at(case, vehicle, findings, spots, true);
    }

    /// Counts in the draft of a case that was spoken and heard.
    pub fn add_spoken(&mut self, case: &Case, vehicle: &Vehicle, findings: &[Finding], transcript: &[Word]) {
        self.add_at(case, vehicle, findings, case.places_of_spoken(transcript, findings), false);
    }

    fn add_at(
        &mut self,
        case: &Case,
        vehicle: &Vehicle,
        findings: &[Finding],
        spots: Vec<Option<(usize, usize)>>,
        timed: bool,
    ) {
        let hay = folded(&case.text);
        let gold = &case.labels;
        self.unplaced += spots.iter().filter(|s| s.is_none()).count();
        self.drafted += findings.iter().filter(|f| f.kind == Kind::Fault).count();
        self.labelled += gold.faults.len();
        let drafted: Vec<(&Finding, (usize, usize))> =
            findings.iter().zip(&spots).filter_map(|(f, s)| (f.kind == Kind::Fault).then_some((f, (*s)?))).collect();
        let labelled: Vec<Option<(usize, usize)>> =
            gold.faults.iter().map(|g| case.place(&hay, &g.quote, Some(g.at))).collect();
        let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
        for (i, (g, spot)) in gold.faults.iter().zip(&labelled).enumerate() {
            let Some(gs) = *spot else { continue };
            for (j, (f, fs)) in drafted.iter().enumerate() {
                let shared = overlap(gs, *fs);
                if shared > 0 && same_name(&g.defect, &names_of(f.defect.as_ref())) {
                    let union = (gs.1.max(fs.1) - gs.0.min(fs.0)).max(1);
                    let part = same_name(&g.part, &names_of(f.part.as_ref()));
                    let worth = f64::from(u8::from(part))
                        + f64::from(u8::from(f.side == g.side))
                        + shared as f64 / union as f64;
                    pairs.push((worth, i, j));
                }
            }
        }
        pairs.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.cmp(&a.1)).then(b.2.cmp(&a.2)));
        let mut of_label = vec![None; gold.faults.len()];
        let mut of_draft = vec![false; drafted.len()];
        for (_, i, j) in pairs {
            if of_label[i].is_none() && !of_draft[j] {
                of_label[i] = Some(j);
                of_draft[j] = true;
                self.hit += 1;
            }
        }
        for (i, g) in gold.faults.iter().enumerate() {
            let Some(j) = of_label[i] else {
                self.misses.push(format!(
                    "MISS  {} @{} {} on {} {}: {}",
                    case.name,
                    g.at,
                    first(&g.defect),
                    first(&g.part),
                    side_name(g.side),
                    g.quote
                ));
                continue;
            };
            self.compare(case, g, drafted[j].0, timed);
        }
        for (j, (f, _)) in drafted.iter().enumerate() {
            if !of_draft[j] {
                self.misses.push(format!(
                    "FALSE {} @{:.0} {} on {}: {}",
                    case.name,
                    f.at_s.0,
                    f.defect.as_ref().map_or("-", |d| &d.label),
                    f.part.as_ref().map_or("-", |p| &p.label),
                    f.quote
                ));
            }
        }
        for n in &gold.not_faults {
            let Some(ns) = case.place(&hay, &n.quote, None) else { continue };
            self.traps += 1;
            let sprung = drafted.iter().enumerate().any(|(j, (_, fs))| {
                !of_draft[j] && overlap(ns, *fs) as f64 >= 0.5 * (ns.1 - ns.0).min(fs.1 - fs.0) as f64
            });
            if sprung {
                self.sprung += 1;
                self.misses.push(format!("TRAP  {}: {} ({})", case.name, n.quote, n.why));
            }
        }
        for (slot, (kind, _)) in OTHERS.iter().enumerate() {
            let labels = match kind {
                Kind::Sound => &gold.sound,
                Kind::Fitted => &gold.equipment,
                Kind::Check => &gold.checks,
                _ => &gold.not_checked,
            };
            self.other(case, &hay, slot as u8, *kind, labels, findings, &spots);
        }
        self.vehicle(case, vehicle);
    }

    fn compare(&mut self, case: &Case, g: &LabelledFault, f: &Finding, timed: bool) {
        let part = (!g.part.is_empty()).then(|| same_name(&g.part, &names_of(f.part.as_ref())));
        let side = f.side == g.side;
        if let Some(ok) = part {
            self.tick("acc part", ok);
        }
        self.tick("acc side", side);
        if g.side.is_some() {
            self.tick("acc side when known", side);
        }
        self.tick("acc end", f.end == g.end);
        let mut wrong = Vec::new();
        if !g.severity.is_empty() {
            let ok = f.severity.is_some_and(|s| g.severity.contains(&s));
            self.tick("acc severity", ok);
            if !ok {
                wrong.push(format!("severity {:?} want {:?}", f.severity, g.severity));
            }
        }
        let mut near = |score: &mut Self, name: &'static str, got: Option<[f64; 2]>, want: Option<[f64; 2]>| {
            if let Some([low, high]) = want {
                let ok = got.is_some_and(|[a, b]| a <= high * 1.25 + 1e-9 && b >= low * 0.75 - 1e-9);
                score.tick(name, ok);
                if !ok {
                    wrong.push(format!("{name} {got:?} want {want:?}"));
                }
            }
        };
        near(self, "acc size", f.size_mm, g.size_mm);
        near(self, "acc count", f.count.map(|[a, b]| [f64::from(a), f64::from(b)]), g.count);
        let cost = f.cost.as_ref().map(|c| [c.low, c.high]);
        near(self, "acc cost", cost, g.cost.as_ref().map(|c| [c.low, c.high]));
        if !g.remedy.is_empty() {
            let names: Vec<&str> = f.remedies.iter().flat_map(|r| [r.label.as_str(), &r.said, &r.id]).collect();
            let ok = same_name(&g.remedy, &names);
            self.tick("acc remedy", ok);
            if !ok {
                wrong.push(format!("remedy {names:?} want {:?}", g.remedy));
            }
        }
        self.tick("acc safety", f.safety == g.safety);
        if f.safety != g.safety {
            wrong.push(format!("safety {} want {}", f.safety, g.safety));
        }
        let next = case.marks.iter().map(|m| m.1).filter(|&s| s > g.at).fold(1e9, f64::min);
        if timed {
            self.tick("acc time", g.at - 45.0 <= f.at_s.0 && f.at_s.0 < next);
        }
        let placed = part != Some(false) && side;
        self.strict += usize::from(placed);
        if !placed {
            self.misses.push(format!(
                "PLACE {} @{} want {}/{}/{:?} got {}/{}/{:?}: {}",
                case.name,
                g.at,
                first(&g.part),
                side_name(g.side),
                g.end,
                f.part.as_ref().map_or("-", |p| &p.label),
                side_name(f.side),
                f.end,
                g.quote
            ));
        }
        if !wrong.is_empty() {
            self.misses.push(format!("WRONG {} @{} {}: {}", case.name, g.at, wrong.join("; "), g.quote));
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn other(
        &mut self,
        case: &Case,
        hay: &(String, Vec<usize>),
        slot: u8,
        kind: Kind,
        labels: &[Labelled],
        findings: &[Finding],
        spots: &[Option<(usize, usize)>],
    ) {
        let drafted: Vec<(&Finding, (usize, usize))> =
            findings.iter().zip(spots).filter_map(|(f, s)| (f.kind == kind).then_some((f, (*s)?))).collect();
        let mut used = vec![false; drafted.len()];
        let mut hits = 0;
        for g in labels {
            let wanted: Vec<String> =
                if kind == Kind::Sound { &g.part } else { &g.item }.list().iter().map(|s| (*s).to_string()).collect();
            let found = case.place(hay, &g.quote, None).and_then(|gs| {
                (0..drafted.len()).find(|&j| {
                    let (f, fs) = drafted[j];
                    let mut names = names_of(f.part.as_ref());
                    names.extend(names_of(f.item.as_ref()));
                    !used[j] && overlap(gs, fs) > 0 && same_name(&wanted, &names)
                })
            });
            match found {
                Some(j) => {
                    used[j] = true;
                    hits += 1;
                }
                None => {
                    self.misses.push(format!("NO{:9} {}: {}", format!("{kind:?}").to_uppercase(), case.name, g.quote))
                }
            }
        }
        for (j, (f, _)) in drafted.iter().enumerate() {
            if !used[j] {
                let name = f.item.as_ref().or(f.part.as_ref()).map_or("-", |p| &p.label);
                self.misses.push(format!(
                    "XX{:9} {}: {name}: {}",
                    format!("{kind:?}").to_uppercase(),
                    case.name,
                    f.quote
                ));
            }
        }
        let entry = self.others.entry(slot).or_default();
        entry[0] += labels.len();
        entry[1] += drafted.len();
        entry[2] += hits;
    }

    fn vehicle(&mut self, case: &Case, vehicle: &Vehicle) {
        let got = serde_json::to_value(vehicle).unwrap_or_default();
        for (key, want) in &case.labels.vehicle {
            if want.is_null() || want.as_str() == Some("") {
                continue;
            }
            let have = &got[key];
            let ok = if key == "odometer" {
                have["value"].as_f64().is_some()
                    && have["value"].as_f64() == want["value"].as_f64()
                    && have["unit"] == want["unit"]
            } else {
                let plain = |v: &serde_json::Value| v.as_str().map_or_else(|| v.to_string(), str::to_string);
                !have.is_null() && {
                    let (a, b) = (plain(have), plain(want));
                    let wanted = stems(&b);
                    a.to_lowercase() == b.to_lowercase() || !wanted.is_empty() && wanted.is_subset(&stems(&a))
                }
            };
            self.tick("acc vehicle", ok);
            if !ok {
                self.misses.push(format!("FACT  {} {key}: want {want} got {have}", case.name));
            }
        }
    }

    /// Each figure by its name, in the order in which they are printed.
    pub fn figures(&self) -> Vec<(String, f64)> {
        let (precision, recall, f1) = f1_of(self.hit, self.drafted, self.labelled);
        let (_, _, placed) = f1_of(self.strict, self.drafted, self.labelled);
        let mut out = vec![
            ("fault precision".to_string(), precision),
            ("fault recall".to_string(), recall),
            ("fault F1".to_string(), f1),
            ("placed-fault F1".to_string(), placed),
            ("trap rate".to_string(), self.sprung as f64 / self.traps.max(1) as f64),
        ];
        for (name, (ok, all)) in &self.attributes {
            out.push(((*name).to_string(), *ok as f64 / *all as f64));
        }
        for (slot, [labelled, drafted, hits]) in &self.others {
            out.push((OTHERS[usize::from(*slot)].1.to_string(), f1_of(*hits, *drafted, *labelled).2));
        }
        out
    }

    /// The figures as a table, one a line.
    pub fn table(&self) -> String {
        let mut out = String::new();
        for (name, value) in self.figures() {
            let _ = writeln!(out, "{name:22} {value:.3}");
        }
        let _ = writeln!(
            out,
            "{} faults labelled, {} drafted, {} matched, {} of them placed; {} of {} traps sprung; {} quotes not found",
            self.labelled, self.drafted, self.hit, self.strict, self.sprung, self.traps, self.unplaced
        );
        out
    }
}

fn f1_of(hits: usize, drafted: usize, labelled: usize) -> (f64, f64, f64) {
    let precision = if drafted == 0 { 0.0 } else { hits as f64 / drafted as f64 };
    let recall = if labelled == 0 { 0.0 } else { hits as f64 / labelled as f64 };
    let sum = precision + recall;
    (precision, recall, if sum == 0.0 { 0.0 } else { 2.0 * precision * recall / sum })
}

fn names_of(named: Option<&crate::report::Named>) -> Vec<&str> {
    named.map_or_else(Vec::new, |n| [n.label.as_str(), &n.said, &n.id].into_iter().filter(|s| !s.is_empty()).collect())
}

fn first(names: &[String]) -> &str {
    names.first().map_or("-", String::as_str)
}

fn side_name(side: Option<Side>) -> String {
    side.map_or_else(|| "-".into(), |s| format!("{s:?}").to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_heard_stand_beside_the_words_written() {
        let heard: Vec<String> = "there is a curved damage on on alloy".split(' ').map(str::to_owned).collect();
        let written = ["theres", "a", "kerbed", "damage", "on", "the", "alloy"];
        let beside = alignment(&heard, &written);
        assert_eq!(beside[3..5], [Some(2), Some(3)]);
        assert_eq!(beside[7], Some(6));
        assert_eq!(alignment(&heard, &[]), [None; 8]);
        assert!(alignment(&[], &written).is_empty());
    }
}
