//! The vocabulary's files: those that the program carries, and how they and a trader's own are laid over one another.

use std::path::{Path, PathBuf};

use rustc_hash::{FxHashMap, FxHashSet};

use super::entries::{Entries, Entry};
use super::source::{Given, Source};
use super::{Market, Vocabulary, VocabularyError};

/// A file that the program carries.
pub struct Shipped {
    name: &'static str,
    text: &'static str,
    /// The same entries as JSON, made by `build.rs`: to read them takes a fraction of the time that TOML does.
    quick: &'static str,
}

// BASE, MARKETS and the rest: every file below `vocab/`, named by `build.rs`.
include!(concat!(env!("OUT_DIR"), "/shipped.rs"));

/// How many kinds of entries have phrases, objects left out.
pub const KINDS: usize = 20;

/// What the program carries ready made of the entries below, and which of these are no longer as they were.
#[derive(Debug, Default)]
pub struct Carried {
    pub bytes: Option<&'static [u8]>,
    /// How many entries of each kind it covers, by the kind's number in [`super::compile::order`].
    pub counts: [usize; KINDS],
    /// Kind and number of those that a later layer has changed.
    pub changed: FxHashSet<(u8, u16)>,
}

/// Which words are read with: those of a market, and those of the kinds and the marque of a vehicle.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    pub market: Market,
    pub kinds: Vec<String>,
    pub marque: Option<String>,
}

impl From<Market> for Choice {
    fn from(market: Market) -> Self {
        Choice { market, ..Choice::default() }
    }
}

/// A file of the user's own.
#[derive(Clone, Debug)]
pub struct OwnFile {
    /// Its way below the folder, with strokes: `marques/fairholm.toml`.
    pub below: String,
    /// As it is shown to a person.
    pub shown: String,
    pub text: String,
}

/// Every layer there is: those that the program carries, and over them those in the user's own folder.
#[derive(Clone, Debug, Default)]
pub struct Layers {
    pub own: Vec<OwnFile>,
}

/// The folders of layers that are laid only where they are chosen.
pub const CHOSEN: [&str; 3] = ["markets", "kinds", "marques"];

impl Layers {
    /// Those that the program carries, and nothing else.
    pub fn shipped() -> Self {
        Layers::default()
    }

    /// Those that the program carries, and over them the TOML files in a folder and in its `markets`, `kinds` and
    /// `marques`.
    pub fn with_own(folder: &Path) -> Result<Self, VocabularyError> {
        let mut own = Vec::new();
        for below in std::iter::once("").chain(CHOSEN) {
            let inside = folder.join(below);
            let unreadable = |path: &Path, source| VocabularyError::Read { file: path.display().to_string(), source };
            let listed = match std::fs::read_dir(&inside) {
                Ok(listed) => listed,
                Err(error) if !below.is_empty() && error.kind() == std::io::ErrorKind::NotFound => continue,
                Err(error) => return Err(unreadable(&inside, error)),
            };
            let mut paths: Vec<PathBuf> = listed.filter_map(|entry| Some(entry.ok()?.path())).collect();
            paths.retain(|path| path.extension().is_some_and(|e| e == "toml") && !path.is_dir());
            paths.sort();
            for path in paths {
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                let bytes = std::fs::read(&path).map_err(|error| unreadable(&path, error))?;
                let text = String::from_utf8(bytes).map_err(|error| VocabularyError::Toml {
                    file: format!("{}:{}", path.display(), lines_before(error.as_bytes(), &error.utf8_error())),
                    message: "is no UTF-8 text; save it as UTF-8".into(),
                })?;
                own.push(OwnFile {
                    below: if below.is_empty() { name.into_owned() } else { format!("{below}/{name}") },
                    shown: path.display().to_string(),
                    text,
                });
            }
        }
        Ok(Layers { own })
    }

    /// Where a user's own layers usually are: `PLAINSAID_VOCAB`, or the platform's folder for settings where it holds any.
    /// An empty `PLAINSAID_VOCAB` stands for none.
    pub fn own_folder() -> Option<PathBuf> {
        match std::env::var_os("PLAINSAID_VOCAB") {
            Some(folder) => (!folder.is_empty()).then(|| folder.into()),
            None => Self::settings_folder().filter(|folder| folder.is_dir()),
        }
    }

    /// The platform's folder for a user's own layers, whether it is there or not.
    pub fn settings_folder() -> Option<PathBuf> {
        use etcetera::BaseStrategy;
        Some(etcetera::choose_base_strategy().ok()?.config_dir().join("plainsaid").join("vocab"))
    }

    /// The names that can be chosen in one of the folders of [`CHOSEN`].
    pub fn names(&self, folder: &str) -> Vec<String> {
        let carried = shipped_in(folder).iter().map(|file| file.name);
        let own = self.own.iter().map(|file| file.below.as_str());
        let mut names: Vec<String> = carried.chain(own).filter_map(|name| Some(chosen(name, folder)?.into())).collect();
        names.sort();
        names.dedup();
        names
    }

    /// The entries that the program carries under one of these names.
    pub(super) fn carried_as(folder: &str, name: &str) -> Result<Vec<Entries>, VocabularyError> {
        shipped_in(folder).iter().filter(|file| chosen(file.name, folder) == Some(name)).map(Shipped::entries).collect()
    }

    /// The vocabulary of the layers that are chosen.
    pub fn vocabulary(&self, choice: &Choice) -> Result<Vocabulary, VocabularyError> {
        let (entries, carried) = self.entries(choice, &[])?;
        super::compile::compile(choice.market, entries, &carried)
    }

    /// The same with more texts, given by name, laid over all of it.
    pub fn vocabulary_with(&self, choice: &Choice, more: &[(&str, &str)]) -> Result<Vocabulary, VocabularyError> {
        let (entries, carried) = self.entries(choice, more)?;
        super::compile::compile(choice.market, entries, &carried)
    }

    /// Whether the program carries the base's phrases ready made: nothing was amiss with them when it was built.
    pub(super) fn carries_phrases() -> bool {
        !PHRASES.is_empty()
    }

    /// The entries of the base.
    pub(super) fn base(&self) -> Result<(Entries, Carried), VocabularyError> {
        let mut all = Entries::default();
        for file in BASE {
            lay(&mut all, file.entries()?, &Given::new(), &mut FxHashSet::default());
        }
        let bytes = (!PHRASES.is_empty()).then_some(PHRASES);
        let carried = Carried { bytes, counts: counts(&all), changed: FxHashSet::default() };
        Ok((all, carried))
    }

    /// The entries of the layers that are chosen, and those of `more` over them.
    pub fn entries(&self, choice: &Choice, more: &[(&str, &str)]) -> Result<(Entries, Carried), VocabularyError> {
        let (mut all, mut carried) = self.base()?;
        let folds = all.fold.len();
        let market = choice.market.id().to_owned();
        let picked = std::iter::once(("markets", &market))
            .chain(choice.kinds.iter().map(|kind| ("kinds", kind)))
            .chain(choice.marque.iter().map(|marque| ("marques", marque)));
        for (folder, name) in picked.clone() {
            for file in shipped_in(folder).iter().filter(|f| chosen(f.name, folder) == Some(name.as_str())) {
                lay(&mut all, file.entries()?, &file.given(), &mut carried.changed);
            }
        }
        let own_all = self.own.iter().filter(|file| !file.below.contains('/'));
        let own_picked =
            picked.flat_map(|(folder, name)| self.own.iter().filter(move |f| chosen(&f.below, folder) == Some(name)));
        let own = own_all.chain(own_picked).map(|file| (file.shown.as_str(), file.text.as_str()));
        for (name, text) in own.chain(more.iter().copied()) {
            let (over, given) = Source::read(name, text).entries()?;
            lay(&mut all, over, &given, &mut carried.changed);
        }
        if all.fold.len() > folds {
            // Other spellings make other phrases of the same patterns.
            carried = Carried::default();
        }
        Ok((all, carried))
    }

    /// Every layer with its files, as name and text, the lowest first. `base` and the market, kinds and marques that the
    /// program carries come before the user's own.
    pub fn all(&self) -> Vec<Layer<'_>> {
        let shipped = |file: &'static Shipped| (format!("vocab/{}", file.name), file.text);
        let mut layers = vec![Layer { name: "base".into(), own: false, files: BASE.iter().map(shipped).collect() }];
        for folder in CHOSEN {
            for file in shipped_in(folder) {
                let name = file.name.trim_end_matches(".toml").to_owned();
                layers.push(Layer { name, own: false, files: vec![shipped(file)] });
            }
        }
        let file = |file: &'_ OwnFile| (file.shown.clone(), file.below.clone());
        let root: Vec<&OwnFile> = self.own.iter().filter(|file| !file.below.contains('/')).collect();
        if !root.is_empty() {
            let files = root.iter().map(|f| (file(f).0, f.text.as_str())).collect();
            layers.push(Layer { name: "own".into(), own: true, files });
        }
        for below in self.own.iter().filter(|file| file.below.contains('/')) {
            let name = format!("own {}", below.below.trim_end_matches(".toml"));
            layers.push(Layer { name, own: true, files: vec![(below.shown.clone(), below.text.as_str())] });
        }
        layers
    }
}

/// One layer: its name and its files.
#[derive(Clone, Debug)]
pub struct Layer<'l> {
    /// `base`, `markets/uk`, `own`, `own marques/fairholm`.
    pub name: String,
    pub own: bool,
    pub files: Vec<(String, &'l str)>,
}

impl Layer<'_> {
    /// The folder and name by which it is chosen; none for the base and for what is always laid.
    pub fn chosen_by(&self) -> Option<(&str, &str)> {
        self.name.trim_start_matches("own ").split_once('/')
    }

    /// Whether two layers can be laid together.
    pub fn meets(&self, other: &Layer<'_>) -> bool {
        match (self.chosen_by(), other.chosen_by()) {
            (Some((folder, name)), Some((other, named))) => folder != other || folder == "kinds" || name == named,
            _ => true,
        }
    }
}

fn shipped_in(folder: &str) -> &'static [Shipped] {
    match folder {
        "markets" => MARKETS,
        "kinds" => KINDS_SHIPPED,
        "marques" => MARQUES,
        _ => &[],
    }
}

/// The name by which a file is chosen in a folder: `fairholm` of `marques/fairholm.toml`.
fn chosen<'n>(file: &'n str, folder: &str) -> Option<&'n str> {
    file.strip_prefix(folder)?.strip_prefix('/')?.strip_suffix(".toml")
}

fn lines_before(bytes: &[u8], error: &std::str::Utf8Error) -> usize {
    bytes[..error.valid_up_to()].iter().filter(|&&b| b == b'\n').count() + 1
}

impl Shipped {
    pub fn entries(&self) -> Result<Entries, VocabularyError> {
        match serde_json::from_str(self.quick) {
            Ok(entries) => Ok(entries),
            // A mistake in a file is best told from the text as it was written, with its line.
            Err(_) => Ok(Source::read(self.name, self.text).entries()?.0),
        }
    }

    /// The keys that each entry gives.
    fn given(&self) -> Given {
        let kinds: FxHashMap<String, Vec<serde_json::Map<String, serde_json::Value>>> =
            serde_json::from_str(self.quick).unwrap_or_default();
        let keys = |entries: Vec<serde_json::Map<_, _>>| {
            entries.into_iter().map(|entry| entry.into_iter().map(|(key, _)| key).collect()).collect()
        };
        kinds.into_iter().map(|(kind, entries)| (kind, keys(entries))).collect()
    }
}

fn counts(all: &Entries) -> [usize; KINDS] {
    macro_rules! lengths { ($($field:ident),*) => { [$(all.$field.len()),*] }; }
    lengths!(
        part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, unit, number,
        cue, fuel, gearbox, colour, make, model, grammar
    )
}

/// Lays the entries of a file over those of the files before it: one with a known id changes the earlier one by the keys
/// that it gives, and is noted in `changed` by the number of its kind, as in [`super::compile::order`], and its own.
pub fn lay(under: &mut Entries, over: Entries, given: &Given, changed: &mut FxHashSet<(u8, u16)>) {
    fn list<E: Entry>(
        kind: u8,
        under: &mut Vec<E>,
        mut over: Vec<E>,
        given: Option<&Vec<Vec<String>>>,
        changed: &mut FxHashSet<(u8, u16)>,
    ) {
        if under.is_empty() {
            over.iter_mut().for_each(E::fill_label);
            *under = over;
            return;
        }
        if over.is_empty() {
            return;
        }
        let mut known: FxHashMap<String, usize> =
            under.iter().enumerate().map(|(at, e)| (e.id().to_string(), at)).collect();
        for (nth, mut entry) in over.into_iter().enumerate() {
            match known.get(entry.id()) {
                Some(&at) if !entry.id().is_empty() => {
                    under[at].change(entry, given.and_then(|given| given.get(nth)).map_or(&[], Vec::as_slice));
                    changed.insert((kind, at as u16));
                }
                _ => {
                    entry.fill_label();
                    known.insert(entry.id().to_string(), under.len());
                    under.push(entry);
                }
            }
        }
    }
    let mut kind = 0;
    macro_rules! lay_all {
        ($($field:ident),*) => { $(
            list(kind, &mut under.$field, over.$field, given.get(stringify!($field)), changed);
            kind += 1;
        )* };
    }
    // In the order in which their meanings count; those without any come last.
    lay_all!(
        part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, unit, number,
        cue, fuel, gearbox, colour, make, model
    );
    kind += 1; // grammar, below, has no ids
    lay_all!(object, market, strength, family, safety, trial, rate, kind, meant);
    debug_assert_eq!(usize::from(kind), KINDS + 9);
    under.grammar.extend(over.grammar);
    under.fold.extend(over.fold);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The quick form is a copy: were it to stray from what traders read and edit, nobody would see.
    #[test]
    fn the_quick_form_says_what_the_files_say() {
        for file in BASE.iter().chain(MARKETS).chain(KINDS_SHIPPED).chain(MARQUES) {
            let quick: Entries = serde_json::from_str(file.quick).unwrap_or_else(|e| panic!("{}: {e}", file.name));
            let mut slow = Source::read(file.name, file.text).entries().unwrap().0;
            // Notes are for those who edit the files.
            macro_rules! without_notes {
                ($($field:ident),*) => { $(slow.$field.iter_mut().for_each(|e| e.note.clear());)* };
            }
            without_notes!(
                part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, object,
                unit, number, cue, fuel, gearbox, colour, make, model, market, strength, family, safety, trial, rate,
                kind, meant, grammar, fold
            );
            assert_eq!(format!("{quick:?}"), format!("{slow:?}"), "{}", file.name);
        }
    }
}
