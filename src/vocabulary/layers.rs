//! The vocabulary's files: those that the program carries, and how they and a trader's own are laid over one another.

use rustc_hash::FxHashMap;

use super::entries::*;
use super::{Market, VocabularyError};

/// A file that the program carries.
struct Shipped {
    name: &'static str,
    text: &'static str,
    /// The same entries as JSON, made by `build.rs`: to read them takes a fraction of the time that TOML does.
    quick: &'static str,
}

macro_rules! shipped {
    ($($name:literal),* $(,)?) => {
        [$(Shipped {
            name: concat!($name, ".toml"),
            text: include_str!(concat!("../../vocab/", $name, ".toml")),
            quick: include_str!(concat!(env!("OUT_DIR"), "/vocab/", $name, ".json")),
        }),*]
    };
}

/// The files of the base layer, as they were when the program was built.
const BASE: &[Shipped] = &shipped![
    "base/grammar",
    "base/numbers",
    "base/walk",
    "base/parts",
    "base/defects",
    "base/hedges",
    "base/standing",
    "base/praise",
    "base/functions",
    "base/equipment",
    "base/unchecked",
    "base/remedies",
    "base/objects",
    "base/cues",
    "base/vehicle",
    "base/strength",
    "base/families",
];

const MARKETS: [Shipped; 4] = shipped!["markets/uk", "markets/us", "markets/au", "markets/eu"];

/// The entries that the program carries, for one market.
pub fn shipped(market: Market) -> Result<Entries, VocabularyError> {
    let mut all = Entries::default();
    for file in BASE.iter().chain([&MARKETS[market as usize]]) {
        // A mistake in a file is best told from the text as it was written, with its line.
        let entries = match serde_json::from_str(file.quick) {
            Ok(entries) => entries,
            Err(_) => read(file.name, file.text)?,
        };
        lay(&mut all, entries);
    }
    Ok(all)
}

/// The entries of one file.
pub fn read(file: &str, text: &str) -> Result<Entries, VocabularyError> {
    toml::from_str(text).map_err(|e| VocabularyError::Toml {
        file: match e.span() {
            Some(span) => format!("{file}:{}", text[..span.start.min(text.len())].matches('\n').count() + 1),
            None => file.to_string(),
        },
        message: e.message().to_string(),
    })
}

/// Lays the entries of a file over those of the files before it: one with a known id takes the earlier one's place.
pub fn lay(under: &mut Entries, over: Entries) {
    fn list<E: Entry>(under: &mut Vec<E>, mut over: Vec<E>) {
        over.iter_mut().for_each(E::fill_label);
        if under.is_empty() {
            *under = over;
            return;
        }
        if over.is_empty() {
            return;
        }
        let known: FxHashMap<String, usize> =
            under.iter().enumerate().map(|(at, e)| (e.id().to_string(), at)).collect();
        for entry in over {
            match known.get(entry.id()) {
                Some(&at) if !entry.id().is_empty() => under[at] = entry,
                _ => under.push(entry),
            }
        }
    }
    macro_rules! lay_all { ($($field:ident),*) => { $(list(&mut under.$field, over.$field);)* }; }
    lay_all!(
        part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, object, unit,
        number, cue, fuel, gearbox, colour, make, model, market, strength, family
    );
    under.grammar.extend(over.grammar);
    under.fold.extend(over.fold);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The quick form is a copy: were it to stray from what traders read and edit, nobody would see.
    #[test]
    fn the_quick_form_says_what_the_files_say() {
        for file in BASE.iter().chain(&MARKETS) {
            let quick: Entries = serde_json::from_str(file.quick).unwrap_or_else(|e| panic!("{}: {e}", file.name));
            let mut slow = read(file.name, file.text).unwrap();
            // Notes are for those who edit the files.
            macro_rules! without_notes {
                ($($field:ident),*) => { $(slow.$field.iter_mut().for_each(|e| e.note.clear());)* };
            }
            without_notes!(
                part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, object,
                unit, number, cue, fuel, gearbox, colour, make, model, market, strength, family, grammar, fold
            );
            assert_eq!(format!("{quick:?}"), format!("{slow:?}"), "{}", file.name);
        }
    }
}
