//! Goes through every layer and finds all that is wrong with it at once: each mistake with its file, its line and the
//! mend.
//!
//! Loading refuses what cannot be used, and stops at the first; what costs time belongs here. What shape an entry may
//! have is not told a second time: it is the schema that editors are given too.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::LazyLock;
use std::thread;

use rustc_hash::{FxHashMap as HashMap, FxHashSet};
use serde_json::Value;
use toml::de::DeValue;

use super::entries::{KINDS, PHRASES};
use super::layers::{Layer, Layers};
use super::pattern::Slots;
use super::source::{Piece, Source};
use super::{Market, Sense, Vocabulary, VocabularyError, schema};

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mistake {
    pub file: String,
    pub line: usize,
    /// What is wrong, and after a semicolon the mend.
    pub what: String,
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.file, self.line, self.what)
    }
}

/// Everything that is wrong with these layers, by file and line.
pub fn check(layers: &Layers) -> Vec<Mistake> {
    let all = layers.all();
    // The base as the program carries it is put together while the files are taken apart.
    thread::scope(|scope| {
        let base = scope.spawn(|| Vocabulary::shipped_base(Market::Uk).ok());
        let sources: Vec<Vec<Source<'_>>> = all.iter().map(sources_of).collect();
        let mut mistakes = run(&all, &sources, || base.join().ok().flatten());
        if mistakes.is_empty() && !layers.own.is_empty() {
            mistakes.extend(layers.vocabulary(&Market::Uk.into()).err().map(refused));
        }
        mistakes
    })
}

/// What the check does not know of and loading refuses all the same.
fn refused(error: VocabularyError) -> Mistake {
    if let VocabularyError::Toml { file, message } = &error
        && let Some((file, line)) = file.rsplit_once(':')
        && let Ok(line) = line.parse()
    {
        return Mistake { file: file.into(), line, what: format!("{message}; docs/vocabulary.md tells what fits") };
    }
    Mistake { file: "your own layer".into(), line: 1, what: error.to_string() }
}

/// Everything that is wrong with one text by itself, with nothing under it: what it refers to beside itself is missing.
pub fn check_alone(text: &str) -> Vec<Mistake> {
    let all = [
        Layer { name: "base".into(), own: false, files: Vec::new() },
        Layer { name: "own".into(), own: true, files: vec![("own.toml".into(), text)] },
    ];
    let sources: Vec<Vec<Source<'_>>> = all.iter().map(sources_of).collect();
    let mut mistakes = run(&all, &sources, || Vocabulary::from_files(Market::Uk, []).ok());
    if mistakes.is_empty() {
        mistakes.extend(Vocabulary::from_files(Market::Uk, [("own.toml", text)]).err().map(refused));
    }
    mistakes
}

fn sources_of<'l>(layer: &'l Layer<'l>) -> Vec<Source<'l>> {
    layer.files.iter().map(|(name, text)| Source::read(name.as_str(), text)).collect()
}

fn run<'s>(
    layers: &'s [Layer<'s>],
    sources: &'s [Vec<Source<'s>>],
    base: impl FnOnce() -> Option<Vocabulary>,
) -> Vec<Mistake> {
    let known = Known::of(sources);
    let checker = || Checker {
        layers,
        sources,
        known: &known.entries,
        meant: &known.meant,
        slots: Slots::default(),
        base_is_sound: Layers::carries_phrases(),
        mistakes: Vec::new(),
    };
    let base = base();
    let mut mistakes = thread::scope(|scope| {
        let phrases = scope.spawn(|| {
            let mut checker = checker();
            if let Some(base) = &base {
                checker.base_phrases(base);
            }
            checker.mistakes
        });
        let mut checker = checker();
        for (layer, files) in sources.iter().enumerate() {
            for file in 0..files.len() {
                checker.file((layer, file));
            }
        }
        if let Some(base) = &base {
            checker.phrases_over(base);
        }
        checker.mistakes.extend(phrases.join().unwrap_or_default());
        checker.mistakes
    });
    mistakes.sort();
    mistakes.dedup();
    mistakes
}

/// A file by the numbers of its layer and its own.
type FileAt = (usize, usize);

/// An entry in its file.
#[derive(Clone, Copy)]
struct At<'s> {
    file: FileAt,
    piece: Piece<'s>,
}

/// Every entry that has an id, by kind and id, lowest layer first.
type ById<'s> = HashMap<(&'s str, &'s str), Vec<At<'s>>>;

struct Checker<'k, 's> {
    layers: &'s [Layer<'s>],
    sources: &'s [Vec<Source<'s>>],
    known: &'k ById<'s>,
    meant: &'k Meant<'s>,
    slots: Slots,
    base_is_sound: bool,
    mistakes: Vec<Mistake>,
}

/// What is known before the check begins.
#[derive(Default)]
struct Known<'s> {
    entries: ById<'s>,
    meant: Meant<'s>,
}

impl<'s> Known<'s> {
    fn of(sources: &'s [Vec<Source<'s>>]) -> Self {
        let mut known = Known::default();
        for (layer, files) in sources.iter().enumerate() {
            for (file, source) in files.iter().enumerate() {
                for piece in source.pieces() {
                    if !piece.id().is_empty() && !NAMELESS.contains(&piece.kind) {
                        let at = At { file: (layer, file), piece };
                        known.entries.entry((piece.kind, piece.id())).or_default().push(at);
                    }
                    if piece.kind == "meant" {
                        let of: Vec<&str> = piece.texts("of").map(|(_, id)| id).collect();
                        let kind = piece.text("kind").unwrap_or_default();
                        if piece.is("holds") {
                            known.meant.holds.extend(of.iter().map(|id| (kind, *id)));
                        } else {
                            known.meant.shared.push((kind, of));
                        }
                    }
                }
            }
        }
        known
    }
}

/// What looks like a mistake and is meant.
#[derive(Default)]
struct Meant<'s> {
    shared: Vec<(&'s str, Vec<&'s str>)>,
    holds: BTreeSet<(&'s str, &'s str)>,
}

impl Meant<'_> {
    fn shares(&self, kind: &str, a: &str, b: &str) -> bool {
        self.shared.iter().any(|(of, ids)| *of == kind && ids.contains(&a) && ids.contains(&b))
    }
}

/// What a key may name: an entry of a kind, or an entry or class of part.
const REFERENCES: &[(&str, &str, &str)] = &[
    ("part", "lamp", "part"),
    ("defect", "implies", "part"),
    ("defect", "remedy", "remedy"),
    ("defect", "worse", "remedy"),
    ("defect", "same_as", "defect"),
    ("defect", "on", ON),
    ("defect", "not_on", ON),
    ("praise", "on", ON),
    ("praise", "not_on", ON),
    ("praise", "part", "part"),
    ("function", "on", ON),
    ("function", "not_on", ON),
    ("function", "item", "part"),
    ("function", "fault", "defect"),
    ("equipment", "powers", "part"),
    ("unchecked", "item", "part"),
    ("model", "make", "make"),
    ("family", "of", "defect"),
    ("strength", "of", "defect"),
    ("strength", "on", ON),
    ("strength", "host", ON),
    ("safety", "of", "defect"),
    ("safety", "on", ON),
    ("safety", "not_on", ON),
    ("safety", "host", ON),
    ("trial", "on", ON),
    ("trial", "not_on", ON),
    ("rate", "remedy", "remedy"),
    ("rate", "of", "defect"),
    ("rate", "on", ON),
    ("rate", "not_on", ON),
];

/// A part, or with `class:` ahead all parts of a class.
const ON: &str = "part or class";

/// Kinds whose entries nobody says.
const UNSAID: [&str; 7] = ["market", "strength", "family", "safety", "trial", "rate", "meant"];

/// Kinds whose entries have no id.
const NAMELESS: [&str; 2] = ["grammar", "fold"];

/// Words that tell a side.
const SIDES: [&str; 8] = ["left", "right", "nearside", "offside", "drivers", "driver's", "passengers", "passenger's"];

/// Pairs of lists that run from low to high, with what they hold.
const LOW_TO_HIGH: [(&str, &str); 3] = [("mm", "size"), ("hours", "hours"), ("range", "range")];

impl<'s> Checker<'_, 's> {
    fn mistake(&mut self, (layer, file): FileAt, at: usize, what: impl Into<String>) {
        let source = &self.sources[layer][file];
        self.mistakes.push(Mistake { file: source.name.to_string(), line: source.line(at), what: what.into() });
    }

    /// Whether an entry is there for a layer: in the base, in the layer, or in what is laid whenever it is.
    fn there(&self, kind: &str, id: &str, layer: usize) -> bool {
        let of = &self.layers[layer];
        self.known.get(&(kind, id)).is_some_and(|entries| {
            entries.iter().any(|entry| {
                let by = &self.layers[entry.file.0];
                by.chosen_by().is_none() || by.chosen_by() == of.chosen_by()
            })
        })
    }

    fn file(&mut self, at: FileAt) {
        let source: &'s Source<'s> = &self.sources[at.0][at.1];
        for (line, what) in &source.torn {
            let what = format!("cannot be read as TOML ({what}); mend the line, or look at the one before it");
            self.mistakes.push(Mistake { file: source.name.to_string(), line: *line, what });
        }
        for (key, value) in source.table() {
            let kind: &'s str = key.get_ref();
            let begin = key.span().start;
            if !KINDS.contains(&kind) {
                let mend = closest(kind, KINDS.iter().copied()).map_or_else(
                    || "docs/vocabulary.md lists the kinds".into(),
                    |k| format!("did you mean `[[{k}]]`?"),
                );
                let place = value.get_ref().as_array().and_then(|list| list.first()).map_or(begin, |e| e.span().start);
                self.mistake(at, place, format!("`[[{kind}]]` is no kind of entry; {mend}"));
                continue;
            }
            let list = value.get_ref().as_array();
            let Some(list) = list.filter(|list| list.iter().all(|entry| entry.get_ref().is_table())) else {
                let what = format!("`{kind}` is no list of entries; begin each with a line `[[{kind}]]`");
                self.mistake(at, value.span().start, what);
                continue;
            };
            for entry in list.iter() {
                let Some(table) = entry.get_ref().as_table() else { continue };
                let piece = Piece { kind, at: entry.span().start, table };
                self.shape(at, piece);
                self.entry(At { file: at, piece });
            }
        }
    }

    /// Keys that there are, with values that fit them.
    fn shape(&mut self, at: FileAt, piece: Piece<'s>) {
        let Some(shapes) = shapes().get(piece.kind) else { return };
        for (key, value) in piece.table {
            let name: &str = key.get_ref();
            let Some(wanted) = shapes.get(name) else {
                let mend = match closest(name, shapes.keys().map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "docs/vocabulary.md lists the keys; take this one out".into(),
                };
                self.mistake(at, key.span().start, format!("`{name}` is no key of a {}; {mend}", piece.kind));
                continue;
            };
            self.value(at, name, value.span().start, value.get_ref(), wanted);
        }
    }

    fn value(&mut self, at: FileAt, key: &str, place: usize, value: &DeValue<'_>, wanted: &Shape) {
        let (fits, mend) = match wanted {
            Shape::Choice(choices) => match value.as_str() {
                Some(text) if choices.iter().any(|c| c == text) => return,
                Some(text) => {
                    let mend = match closest(text, choices.iter().map(String::as_str)) {
                        Some(near) => format!("did you mean \"{near}\"?"),
                        None => format!("use one of {}", choices.join(", ")),
                    };
                    self.mistake(at, place, format!("`{key}` cannot be \"{text}\"; {mend}"));
                    return;
                }
                None => {
                    let what = format!("`{key}` is one of {}; put one of them in quotes", choices.join(", "));
                    self.mistake(at, place, what);
                    return;
                }
            },
            Shape::List(of, count) => {
                let Some(list) = value.as_array() else {
                    let example = if matches!(**of, Shape::Number) { "[1, 2]" } else { "[\"…\"]" };
                    self.mistake(at, place, format!("`{key}` is a list; write {key} = {example}"));
                    return;
                };
                if let Some(count) = count.filter(|n| *n != list.iter().count()) {
                    self.mistake(at, place, format!("`{key}` has {count} values; write them between [ and ]"));
                    return;
                }
                for item in list.iter() {
                    self.value(at, key, item.span().start, item.get_ref(), of);
                }
                return;
            }
            Shape::Any => return,
            Shape::Text => (value.is_str(), "put a text in quotes"),
            Shape::Flag => (value.is_bool(), "write true or false, without quotes"),
            Shape::Whole => (
                value.as_integer().is_some_and(|n| !n.as_str().starts_with('-')),
                "write a whole number of 0 or more, without quotes",
            ),
            Shape::Number => (value.is_integer() || value.is_float(), "write a number, without quotes"),
        };
        if !fits {
            self.mistake(at, place, format!("`{key}` does not fit; {mend}"));
        }
    }

    fn entry(&mut self, entry: At<'s>) {
        let At { file, piece } = entry;
        let base = file.0 == 0;
        let (kind, id) = (piece.kind, piece.id());
        let named = if id.is_empty() { kind.to_owned() } else { format!("{kind} `{id}`") };
        if !NAMELESS.contains(&kind) {
            let plain = |id: &str| {
                !id.starts_with('-') && id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
            };
            if id.is_empty() && piece.get("id").is_none_or(|(_, value)| value.is_str()) {
                let what = format!("this {kind} has no id; give it one, as in id = \"two-words\"");
                self.mistake(file, piece.at, what);
            } else if !id.is_empty() && !plain(id) {
                let place = piece.get("id").map_or(piece.at, |(at, _)| at);
                let what = format!("the id \"{id}\" is no plain name; write lower-case words joined by hyphens");
                self.mistake(file, place, what);
            }
        }
        self.layering(entry, &named);
        self.patterns(entry, &named);
        self.references(entry, &named);
        self.figures(entry, &named);
        if kind == "fold" && (piece.texts("from").next().is_none() || piece.text("to").is_none()) {
            self.mistake(file, piece.at, "this fold lacks `from` or `to`; give both");
        }
        if kind == "part" {
            self.sides(entry, &named);
        }
        if !base && !NAMELESS.contains(&kind) && !UNSAID.contains(&kind) && !piece.is("silent") {
            let first = self.first_of(entry);
            let said = PHRASES.iter().any(|list| piece.texts(list).next().is_some());
            if first && !said && !id.is_empty() {
                self.mistake(file, piece.at, format!("{named} is new and is never said; give it `say`"));
            }
        }
        if UNSAID.contains(&kind) {
            for list in ["say", "misheard"] {
                if let Some((place, _)) = piece.get(list) {
                    self.mistake(file, place, format!("{named} is nothing that is said; take `{list}` out"));
                }
            }
        }
    }

    /// The earlier entries of the same id that it changes.
    fn under(&self, entry: At<'s>) -> impl Iterator<Item = At<'s>> + '_ {
        let (layer, _) = entry.file;
        let all = self.known.get(&(entry.piece.kind, entry.piece.id())).map_or(&[][..], Vec::as_slice);
        all.iter().copied().filter(move |e| e.file.0 < layer && self.layers[e.file.0].meets(&self.layers[layer]))
    }

    fn first_of(&self, entry: At<'s>) -> bool {
        self.under(entry).next().is_none()
    }

    /// An id once in a layer; what is silenced or unsaid must be there.
    fn layering(&mut self, entry: At<'s>, named: &str) {
        let At { file, piece } = entry;
        let same = self.known.get(&(piece.kind, piece.id())).map_or(&[][..], Vec::as_slice);
        // A user may keep one file for what he wrote and another for what was learned.
        let own = self.layers[file.0].own;
        let earlier = same
            .iter()
            .find(|e| e.file.0 == file.0 && (!own || e.file == file) && (e.file.1, e.piece.at) < (file.1, piece.at))
            .map(|e| (e.file, e.piece.at));
        if let Some((first, at)) = earlier {
            let source = &self.sources[first.0][first.1];
            let where_ = format!("{}:{}", source.name, source.line(at));
            let what = format!("{named} stands in this layer already, at {where_}; make one entry of the two");
            self.mistake(file, piece.at, what);
        }
        let first = self.first_of(entry);
        if file.0 > 0 && first && piece.is("silent") {
            let near = self.near_id(piece.kind, piece.id(), file.0);
            self.mistake(file, piece.at, format!("{named} is silenced, and no earlier layer has it; {near}"));
        }
        let unsaid: Vec<(usize, &str)> = piece.texts("unsay").collect();
        for (place, pattern) in unsaid {
            let there = self
                .under(entry)
                .any(|e| PHRASES.iter().any(|list| e.piece.texts(list).any(|(_, earlier)| earlier == pattern)));
            if !there {
                let what =
                    format!("no earlier layer says `{pattern}` of {named}; write the pattern as it stands there");
                self.mistake(file, place, what);
            }
        }
    }

    fn patterns(&mut self, entry: At<'s>, named: &str) {
        let At { file, piece } = entry;
        let mut slots = std::mem::take(&mut self.slots);
        let mut seen: FxHashSet<&str> = FxHashSet::default();
        for list in PHRASES.into_iter().chain(["unsay"]) {
            seen.clear();
            for (place, pattern) in piece.texts(list) {
                if !seen.insert(pattern) {
                    self.mistake(file, place, format!("{named} says `{pattern}` twice; take one out"));
                }
                // Those of the base were taken apart when the program was built, or it carries none ready made.
                if (file.0 > 0 || !self.base_is_sound)
                    && let Err(error) = slots.fill(pattern)
                {
                    self.mistake(file, place, error.to_string());
                }
            }
        }
        self.slots = slots;
    }

    fn references(&mut self, entry: At<'s>, named: &str) {
        let At { file, piece } = entry;
        for (_, key, target) in REFERENCES.iter().filter(|(kind, ..)| *kind == piece.kind) {
            for (place, name) in piece.texts(key) {
                if name.is_empty() && *key == "make" {
                    continue;
                }
                let (kind, what, there) = match (name.strip_prefix("class:"), *target) {
                    (Some(class), ON) => {
                        let classes = classes();
                        ("", format!("the class `{class}`"), classes.iter().any(|c| c == class))
                    }
                    (_, ON) => ("part", format!("the part `{name}`"), self.there("part", name, file.0)),
                    (_, kind) => (kind, format!("the {kind} `{name}`"), self.there(kind, name, file.0)),
                };
                if !there {
                    let near = match kind {
                        "" => {
                            let classes = classes();
                            match closest(name.trim_start_matches("class:"), classes.iter().map(String::as_str)) {
                                Some(near) => format!("did you mean `class:{near}`?"),
                                None => "docs/vocabulary.md lists the classes".into(),
                            }
                        }
                        kind => self.near_id(kind, name, file.0),
                    };
                    self.mistake(file, place, format!("{named} names {what} in `{key}`, which there is not; {near}"));
                }
            }
        }
        if piece.kind == "meant" {
            let kind = piece.text("kind").unwrap_or_default();
            for (place, id) in piece.texts("of") {
                if !self.there(kind, id, file.0) {
                    let near = self.near_id(kind, id, file.0);
                    let what = format!("{named} names the {kind} `{id}` in `of`, which there is not; {near}");
                    self.mistake(file, place, what);
                }
            }
        }
    }

    fn near_id(&self, kind: &str, id: &str, layer: usize) -> String {
        let ids = self.known.keys().filter(|(of, id)| *of == kind && self.there(kind, id, layer)).map(|(_, id)| *id);
        match closest(id, ids.filter(|near| *near != id)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("`plainsaid vocab list --kind {kind}` shows what there is"),
        }
    }

    /// Sizes and costs that run from low to high.
    fn figures(&mut self, entry: At<'s>, named: &str) {
        let At { file, piece } = entry;
        for (key, what) in LOW_TO_HIGH {
            if let (Some(low), Some(high), Some((place, _))) =
                (piece.number(key, 0), piece.number(key, 1), piece.get(key))
                && low > high
            {
                let what = format!("the {what} of {named} runs from {low} down to {high}; put the smaller first");
                self.mistake(file, place, what);
            }
        }
        let foreign = || !["uk", "us", "au", "eu"].contains(&piece.id());
        if piece.kind == "market" && self.first_of(entry) && file.0 > 0 && foreign() {
            self.mistake(file, piece.at, format!("{named} is no market; use uk, us, au or eu"));
        }
        if piece.kind != "rate" {
            return;
        }
        let place = |key: &str| piece.get(key).map_or(piece.at, |(at, _)| at);
        let (low, high) = (self.number_of(entry, "low"), self.number_of(entry, "high"));
        match (low, high) {
            (Some(low), Some(high)) if low > high => {
                let key = if piece.get("high").is_some() { "high" } else { "low" };
                let what = format!("the cost of {named} runs from {low} down to {high}; put the smaller in `low`");
                self.mistake(file, place(key), what);
            }
            (Some(low), _) if low < 0.0 => {
                self.mistake(file, place("low"), format!("{named} costs less than nothing; write what it costs"));
            }
            (None, _) | (_, None) => {
                self.mistake(
                    file,
                    piece.at,
                    format!("{named} lacks `low` or `high`; give what it costs, low and high"),
                );
            }
            _ => {}
        }
        if let Some((at, market)) = piece.texts("market").next()
            && !Market::ALL.iter().any(|m| m.id() == market)
        {
            self.mistake(file, at, format!("\"{market}\" is no market; use uk, us, au or eu"));
        }
        self.out_of_order(entry, named);
    }

    fn number_of(&self, entry: At<'s>, key: &str) -> Option<f64> {
        entry.piece.number(key, 0).or_else(|| self.under(entry).filter_map(|e| e.piece.number(key, 0)).last())
    }

    /// What is worse costs no less: the rates of one remedy on the same parts, by severity.
    fn out_of_order(&mut self, entry: At<'s>, named: &str) {
        const GRADES: [&str; 4] = ["trace", "light", "moderate", "heavy"];
        let piece = entry.piece;
        let grades = |p: Piece<'_>| -> Vec<usize> {
            p.texts("severity").filter_map(|(_, s)| GRADES.iter().position(|g| *g == s)).collect()
        };
        let same = |other: &Piece<'_>| {
            ["remedy", "of", "on", "not_on", "market"].iter().all(|key| {
                let list = |p: &Piece<'_>| p.texts(key).map(|(_, t)| t.to_owned()).collect::<BTreeSet<_>>();
                list(other) == list(&piece)
            })
        };
        let (Some(least), Some(low)) = (grades(piece).into_iter().min(), piece.number("low", 0)) else { return };
        let source = &self.sources[entry.file.0][entry.file.1];
        let dearer = source.pieces().find(|other| {
            let first = |p: &Piece<'_>| p.texts("remedy").next().map(|(_, remedy)| remedy.to_owned());
            other.kind == "rate"
                && other.id() != piece.id()
                && other.text("market") == piece.text("market")
                && first(other) == first(&piece)
                && same(other)
                && grades(*other).into_iter().max().is_some_and(|worst| worst < least)
                && other.number("low", 0).is_some_and(|lighter| lighter > low)
        });
        if let Some(lighter) = dearer {
            let what = format!(
                "{named} is for worse faults than rate `{}` (line {}) and costs less; put the costs in order",
                lighter.id(),
                source.line(lighter.at)
            );
            let place = piece.get("low").map_or(piece.at, |(at, _)| at);
            self.mistake(entry.file, place, what);
        }
    }

    /// No side in the name of what has no left and right, and no two ends.
    fn sides(&mut self, entry: At<'s>, named: &str) {
        let At { file, piece } = entry;
        let sideless = piece
            .text("side")
            .map(str::to_owned)
            .or_else(|| self.under(entry).filter_map(|e| e.piece.text("side").map(str::to_owned)).last());
        if sideless.as_deref() == Some("none") {
            for list in PHRASES {
                for (place, pattern) in piece.texts(list) {
                    let words = pattern.split(|c: char| !(c.is_alphanumeric() || c == '\''));
                    if let Some(word) = words.into_iter().find(|w| SIDES.contains(w)) {
                        let what = format!(
                            "`{pattern}` says \"{word}\", and {named} has no left and right; take the word out, or the line \
                             side = \"none\""
                        );
                        self.mistake(file, place, what);
                    }
                }
            }
        }
        if let (Some(_), Some((place, _))) = (piece.text("end"), piece.get("usual_end")) {
            let what = format!("{named} has both `end` and `usual_end`; keep `end` where its name tells the end");
            self.mistake(file, place, what);
        }
    }

    // --- phrases ---------------------------------------------------------------------------------------------------

    /// An entry's value of a key, of the latest layer that gives it.
    fn look(&self, kind: &str, id: &str, key: &str) -> String {
        let entries = self.known.get(&(kind, id)).map_or(&[][..], Vec::as_slice);
        let value = entries.iter().rev().find_map(|e| Some(e.piece.get(key)?.1));
        match value {
            Some(DeValue::Array(list)) => {
                let mut texts: Vec<&str> = list.iter().filter_map(|item| item.get_ref().as_str()).collect();
                texts.sort_unstable();
                texts.join(",")
            }
            Some(DeValue::String(text)) => text.to_string(),
            Some(DeValue::Boolean(true)) => "true".into(),
            _ => String::new(),
        }
    }

    fn differ(&self, kind: &str, a: &str, b: &str, keys: &[&str]) -> bool {
        keys.iter().any(|key| self.look(kind, a, key) != self.look(kind, b, key))
    }

    /// Whether what stands around tells two entries of a kind apart that share a phrase, or nothing hangs on which it is.
    fn told_apart(&self, kind: &str, a: (&str, bool), b: (&str, bool)) -> bool {
        let ((a, noun_a), (b, noun_b)) = (a, b);
        if self.meant.shares(kind, a, b) {
            return true;
        }
        match kind {
            "part" => self.differ(kind, a, b, &["zone", "class", "end", "generic", "also"]),
            "defect" => {
                let same = [self.look(kind, a, "same_as"), self.look(kind, b, "same_as")];
                let families = |id: &str| {
                    let of = self.known.iter().filter(|((kind, _), _)| *kind == "family");
                    of.filter(|(_, e)| e.iter().any(|e| e.piece.texts("of").any(|(_, of)| of == id)))
                        .map(|((_, family), _)| *family)
                        .collect::<BTreeSet<_>>()
                };
                noun_a != noun_b
                    || self.differ(kind, a, b, &["on", "not_on", "implies"])
                    || same[0] == b
                    || same[1] == a
                    || !same[0].is_empty() && same[0] == same[1]
                    || families(a).intersection(&families(b)).next().is_some()
            }
            "function" => noun_a != noun_b || self.differ(kind, a, b, &["on", "not_on", "item"]),
            "object" => self.differ(kind, a, b, &["market"]),
            "hedge" => !self.differ(kind, a, b, &["effect"]) || self.differ(kind, a, b, &["where"]),
            "standing" => !self.differ(kind, a, b, &["means"]) || self.differ(kind, a, b, &["reaches", "opens"]),
            "praise" => {
                !self.differ(kind, a, b, &["looks", "manner", "last", "alone", "weak"])
                    || self.differ(kind, a, b, &["on", "not_on", "part"])
            }
            "unchecked" => !self.differ(kind, a, b, &["item", "reaches", "asks", "until"]),
            "cue" => !self.differ(kind, a, b, &["does", "to"]),
            // Who builds a model called like another's is told by the make.
            "model" => self.differ(kind, a, b, &["make"]),
            _ => false,
        }
    }

    /// Where an entry says a phrase: the pattern's place, in the layers from `from` on.
    fn place_of(&mut self, kind: &str, id: &str, phrase: &str, base: &Vocabulary) -> Option<(FileAt, usize)> {
        let entries: Vec<At<'s>> = self.known.get(&(kind, id)).cloned().unwrap_or_default();
        for entry in entries.iter().rev() {
            for list in PHRASES {
                for (place, pattern) in entry.piece.texts(list) {
                    if expand(&mut self.slots, pattern, base).iter().any(|p| p == phrase) {
                        return Some((entry.file, place));
                    }
                }
            }
        }
        None
    }

    /// The base against itself.
    fn base_phrases(&mut self, base: &Vocabulary) {
        let mut collisions: Vec<(String, &str, String, String)> = Vec::new();
        let mut held: Vec<(String, &str, String, String)> = Vec::new();
        let mut begun = Vec::new();
        base.each_phrase(|words, senses| {
            if senses.len() > 1 {
                for (n, one) in senses.iter().enumerate() {
                    let (kind, id) = base.named(*one);
                    for other in &senses[n + 1..] {
                        let (other_kind, other_id) = base.named(*other);
                        if kind == other_kind
                            && id != other_id
                            && kind != "grammar"
                            && !self.told_apart(kind, (id, is_noun(*one)), (other_id, is_noun(*other)))
                        {
                            collisions.push((base.written(words), kind, id.into(), other_id.into()));
                        }
                    }
                }
            }
            let veils = senses.iter().copied().filter(|s| base.veils(*s));
            if senses.iter().any(|s| base.tells(*s)) {
                return;
            }
            for veil in veils {
                let (kind, id) = base.named(veil);
                if self.meant.holds.contains(&(kind, id)) {
                    continue;
                }
                let mut inside = None;
                base.find(words, &mut begun, |found| {
                    if found.past - found.first < words.len()
                        && let Some(told) = found.senses.iter().find(|s| base.tells(**s))
                    {
                        inside.get_or_insert((base.written(&words[found.first..found.past]), *told));
                    }
                });
                if let Some((fault, _)) = inside {
                    held.push((base.written(words), kind, id.into(), fault));
                }
            }
        });
        for (phrase, kind, id, other) in collisions {
            if let Some((file, place)) = self.place_of(kind, &other, &phrase, base) {
                self.mistake(file, place, collision(&phrase, kind, &other, &id));
            }
        }
        for (phrase, kind, id, fault) in held {
            if let Some((file, place)) = self.place_of(kind, &id, &phrase, base) {
                self.mistake(file, place, swallowed(&phrase, kind, &id, &fault));
            }
        }
    }

    /// The layers over the base, against it and one another.
    fn phrases_over(&mut self, base: &Vocabulary) {
        struct Said<'s> {
            entry: At<'s>,
            list: &'static str,
            place: usize,
        }
        let mut said: HashMap<String, Vec<Said<'s>>> = HashMap::default();
        let mut order: Vec<String> = Vec::new();
        let sources: &'s [Vec<Source<'s>>] = self.sources;
        let mut slots = std::mem::take(&mut self.slots);
        for (layer, files) in sources.iter().enumerate().skip(1) {
            for (file, source) in files.iter().enumerate() {
                for piece in
                    source.pieces().filter(|p| !UNSAID.contains(&p.kind) && p.kind != "kind" && !p.is("silent"))
                {
                    for list in PHRASES {
                        for (place, pattern) in piece.texts(list) {
                            for phrase in expand(&mut slots, pattern, base) {
                                if phrase.is_empty() {
                                    let what = format!("`{pattern}` can mean no words at all; write at least one word");
                                    self.mistake((layer, file), place, what);
                                    continue;
                                }
                                let entry = At { file: (layer, file), piece };
                                let all = said.entry(phrase.clone()).or_insert_with(|| {
                                    order.push(phrase);
                                    Vec::new()
                                });
                                all.push(Said { entry, list, place });
                            }
                        }
                    }
                }
            }
        }
        self.slots = slots;
        let telling = |this: &Self, s: &Said<'_>| {
            s.entry.piece.kind == "defect" && this.look("defect", s.entry.piece.id(), "weak").is_empty()
        };
        let mut begun = Vec::new();
        for phrase in &order {
            let all = &said[phrase];
            let words: Vec<&str> = phrase.split(' ').collect();
            let ids: Vec<_> = words.iter().map(|word| base.spelling.id(word)).collect();
            let in_base: Vec<Sense> = base.exactly(&ids).to_vec();
            for (n, one) in all.iter().enumerate() {
                let At { file, piece } = one.entry;
                let (kind, id) = (piece.kind, piece.id());
                let noun = is_noun_list(kind, one.list);
                for sense in &in_base {
                    let (other_kind, other) = base.named(*sense);
                    if other_kind != kind || kind == "grammar" {
                        continue;
                    }
                    if other == id {
                        let unsaid = piece.is("anew") || is_noun(*sense) != noun;
                        if !unsaid {
                            let what =
                                format!("\"{phrase}\" is said of {kind} `{id}` already, in the base; take it out");
                            self.mistake(file, one.place, what);
                        }
                    } else if !self.told_apart(kind, (id, noun), (other, is_noun(*sense)))
                        && !self.gone(kind, other, file.0)
                    {
                        self.mistake(file, one.place, collision(phrase, kind, id, other));
                    }
                }
                for other in &all[..n] {
                    let earlier = other.entry.piece;
                    let meets = self.layers[other.entry.file.0].meets(&self.layers[file.0]);
                    if earlier.kind != kind || !meets || kind == "grammar" {
                        continue;
                    }
                    if earlier.id() == id {
                        // A layer that is laid only sometimes does not spare another from saying it too.
                        let always = self.layers[other.entry.file.0].chosen_by().is_none()
                            || self.layers[other.entry.file.0].chosen_by() == self.layers[file.0].chosen_by();
                        if !always {
                            continue;
                        }
                        if other.entry.file != file {
                            let what = format!("\"{phrase}\" is said of {kind} `{id}` already; take it out");
                            self.mistake(file, one.place, what);
                        }
                    } else if !self.told_apart(kind, (id, noun), (earlier.id(), is_noun_list(kind, other.list))) {
                        self.mistake(file, one.place, collision(phrase, kind, id, earlier.id()));
                    }
                }
                let veil = kind == "hedge" || kind == "standing" && veiling(&self.look(kind, id, "means"));
                let told_itself = in_base.iter().any(|s| base.tells(*s)) || all.iter().any(|s| telling(self, s));
                if veil && !told_itself && !self.meant.holds.contains(&(kind, id)) {
                    let mut inside = None;
                    base.find(&ids, &mut begun, |found| {
                        if found.senses.iter().any(|s| base.tells(*s)) {
                            inside.get_or_insert(words[found.first..found.past].join(" "));
                        }
                    });
                    let own = (0..words.len())
                        .flat_map(|a| (a + 1..=words.len()).map(move |b| (a, b)))
                        .map(|(a, b)| words[a..b].join(" "))
                        .find(|part| {
                            part != phrase && said.get(part).is_some_and(|s| s.iter().any(|s| telling(self, s)))
                        });
                    if let Some(fault) = inside.or(own) {
                        self.mistake(file, one.place, swallowed(phrase, kind, id, &fault));
                    }
                }
            }
        }
    }

    /// Whether a layer, or one laid with it, silences an entry.
    fn gone(&self, kind: &str, id: &str, layer: usize) -> bool {
        self.known.get(&(kind, id)).is_some_and(|entries| {
            entries.iter().any(|e| e.piece.is("silent") && self.layers[e.file.0].meets(&self.layers[layer]))
        })
    }
}

fn collision(phrase: &str, kind: &str, id: &str, other: &str) -> String {
    format!(
        "\"{phrase}\" means {kind} `{id}` and {kind} `{other}`, and nothing around it tells which; take it out of one, or \
         tell them apart"
    )
}

fn swallowed(phrase: &str, kind: &str, id: &str, fault: &str) -> String {
    format!(
        "\"{phrase}\" of {kind} `{id}` swallows the fault \"{fault}\", which is then not read; leave the fault's words out"
    )
}

fn is_noun(sense: Sense) -> bool {
    matches!(sense, Sense::DefectNoun(_) | Sense::FunctionVerb(_))
}

fn is_noun_list(kind: &str, list: &str) -> bool {
    matches!((kind, list), ("defect", "noun") | ("function", "verb"))
}

/// Whether words of this standing change how a fault beside them is taken.
pub(super) fn veiling(means: &str) -> bool {
    matches!(means, "" | "denied" | "doubt" | "hearsay" | "not-denied" | "exception" | "contrast")
}

/// Whether a pattern stands for a phrase.
pub fn stands_for(pattern: &str, phrase: &str, vocabulary: &Vocabulary) -> bool {
    expand(&mut Slots::default(), pattern, vocabulary).iter().any(|p| p == phrase)
}

/// The phrases of a pattern, spelled as the vocabulary spells.
fn expand(slots: &mut Slots, pattern: &str, base: &Vocabulary) -> Vec<String> {
    if slots.fill(pattern).is_err() {
        return Vec::new();
    }
    let mut scratch = String::new();
    let mut spelled = |written: &str| {
        let mut out = String::new();
        for word in written.split_whitespace() {
            base.spelling.spell(word, &mut scratch, |token, _| {
                if !out.is_empty() {
                    out.push(' ');
                }
                out.push_str(token);
            });
        }
        out
    };
    let mut phrases = vec![String::new()];
    for slot in slots.iter() {
        let choices: Vec<String> = slot.choices().map(&mut spelled).collect();
        let longer = phrases.iter().flat_map(|phrase| {
            choices.iter().map(move |choice| match (phrase.is_empty(), choice.is_empty()) {
                (false, false) => format!("{phrase} {choice}"),
                (true, _) => choice.clone(),
                (_, true) => phrase.clone(),
            })
        });
        phrases = longer.collect();
    }
    phrases
}

/// The values of a shape that is a choice among texts.
fn choices(shape: &Value) -> Option<Vec<String>> {
    let texts =
        |list: &Value| list.as_array().map(|l| l.iter().filter_map(|v| v.as_str().map(str::to_owned)).collect());
    if let Some(list) = texts(&shape["enum"]) {
        return Some(list);
    }
    let several = shape["oneOf"].as_array()?;
    let mut all = Vec::new();
    for one in several {
        match one["const"].as_str() {
            Some(text) => all.push(text.to_owned()),
            None => all.extend(texts(&one["enum"]).unwrap_or_default()),
        }
    }
    Some(all)
}

/// What a key's value has to be.
enum Shape {
    Text,
    Flag,
    Whole,
    Number,
    Choice(Vec<String>),
    /// Of what, and how many where that is settled.
    List(Box<Shape>, Option<usize>),
    Any,
}

/// For each kind, its keys: taken from the schema once.
fn shapes() -> &'static HashMap<&'static str, HashMap<String, Shape>> {
    static SHAPES: LazyLock<HashMap<&str, HashMap<String, Shape>>> = LazyLock::new(|| {
        let defs = &schema::schema()["$defs"];
        let keys = |kind: &str| {
            let properties = defs[schema::def_of(kind)]["properties"].as_object();
            properties.into_iter().flatten().map(|(key, shape)| (key.clone(), Shape::of(shape, defs))).collect()
        };
        KINDS.iter().map(|kind| (*kind, keys(kind))).collect()
    });
    &SHAPES
}

/// The names of the classes of parts.
fn classes() -> &'static [String] {
    static CLASSES: LazyLock<Vec<String>> =
        LazyLock::new(|| choices(&schema::schema()["$defs"]["Class"]).unwrap_or_default());
    &CLASSES
}

impl Shape {
    fn of(shape: &Value, defs: &Value) -> Shape {
        if let Some(name) = shape["$ref"].as_str().and_then(|r| r.strip_prefix("#/$defs/")) {
            return Shape::of(&defs[name], defs);
        }
        if let Some(one) = shape["anyOf"].as_array().and_then(|list| list.iter().find(|s| s["type"] != "null")) {
            return Shape::of(one, defs);
        }
        if let Some(choices) = choices(shape) {
            return Shape::Choice(choices);
        }
        let kind = match &shape["type"] {
            Value::Array(several) => several.iter().find(|t| *t != "null").and_then(Value::as_str),
            one => one.as_str(),
        };
        match kind {
            Some("string") => Shape::Text,
            Some("boolean") => Shape::Flag,
            Some("integer") => Shape::Whole,
            Some("number") => Shape::Number,
            Some("array") => {
                let count = shape["minItems"].as_u64().map(|n| n as usize);
                Shape::List(Box::new(Shape::of(&shape["items"], defs)), count)
            }
            _ => Shape::Any,
        }
    }
}

/// The name that was meant, if one is near enough.
fn closest<'n>(name: &str, names: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    let scored = names.map(|n| (n, strsim::damerau_levenshtein(name, n), strsim::jaro_winkler(name, n)));
    scored
        .filter(|(_, steps, alike)| *steps <= 2 && *steps * 2 < name.len().max(3) || *alike > 0.88)
        .min_by(|a, b| a.1.cmp(&b.1).then(b.2.total_cmp(&a.2)).then(a.0.cmp(b.0)))
        .map(|(n, ..)| n)
}
