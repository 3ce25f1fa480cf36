//! The vocabulary's files: those that the program carries, and how they and a trader's own are laid over one another.

use rustc_hash::{FxHashMap, FxHashSet};

use super::entries::*;
use super::{Market, VocabularyError};

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

/// The entries that the program carries, for one market.
pub fn shipped(market: Market) -> Result<(Entries, Carried), VocabularyError> {
    let mut all = Entries::default();
    for file in BASE {
        lay(&mut all, file.entries()?, &mut FxHashSet::default());
    }
    let folds = all.fold.len();
    let mut carried = Carried {
        bytes: (!PHRASES.is_empty()).then_some(PHRASES),
        counts: counts(&all),
        changed: FxHashSet::default(),
    };
    let name = format!("markets/{market}.toml");
    for file in MARKETS.iter().filter(|f| f.name == name) {
        lay(&mut all, file.entries()?, &mut carried.changed);
    }
    if all.fold.len() > folds {
        // Other spellings make other phrases of the same patterns.
        carried = Carried::default();
    }
    Ok((all, carried))
}

impl Shipped {
    fn entries(&self) -> Result<Entries, VocabularyError> {
        match serde_json::from_str(self.quick) {
            Ok(entries) => Ok(entries),
            // A mistake in a file is best told from the text as it was written, with its line.
            Err(_) => read(self.name, self.text),
        }
    }
}

fn counts(all: &Entries) -> [usize; KINDS] {
    macro_rules! lengths { ($($field:ident),*) => { [$(all.$field.len()),*] }; }
    lengths!(
        part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, unit, number,
        cue, fuel, gearbox, colour, make, model, grammar
    )
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

/// Lays the entries of a file over those of the files before it: one with a known id takes the earlier one's place, and
/// is noted in `changed` by the number of its kind, as in [`super::compile::order`], and its own.
pub fn lay(under: &mut Entries, over: Entries, changed: &mut FxHashSet<(u8, u16)>) {
    fn list<E: Entry>(kind: u8, under: &mut Vec<E>, mut over: Vec<E>, changed: &mut FxHashSet<(u8, u16)>) {
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
                Some(&at) if !entry.id().is_empty() => {
                    under[at] = entry;
                    changed.insert((kind, at as u16));
                }
                _ => under.push(entry),
            }
        }
    }
    let mut kind = 0;
    macro_rules! lay_all {
        ($($field:ident),*) => { $(list(kind, &mut under.$field, over.$field, changed); kind += 1;)* };
    }
    // In the order in which their meanings count; those without any come last.
    lay_all!(
        part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, unit, number,
        cue, fuel, gearbox, colour, make, model
    );
    kind += 1; // grammar, below, has no ids
    lay_all!(object, market, strength, family, safety, trial);
    debug_assert_eq!(usize::from(kind), KINDS + 6);
    under.grammar.extend(over.grammar);
    under.fold.extend(over.fold);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The quick form is a copy: were it to stray from what traders read and edit, nobody would see.
    #[test]
    fn the_quick_form_says_what_the_files_say() {
        for file in BASE.iter().chain(MARKETS) {
            let quick: Entries = serde_json::from_str(file.quick).unwrap_or_else(|e| panic!("{}: {e}", file.name));
            let mut slow = read(file.name, file.text).unwrap();
            // Notes are for those who edit the files.
            macro_rules! without_notes {
                ($($field:ident),*) => { $(slow.$field.iter_mut().for_each(|e| e.note.clear());)* };
            }
            without_notes!(
                part, defect, hedge, standing, praise, function, equipment, unchecked, remedy, place, pointing, object,
                unit, number, cue, fuel, gearbox, colour, make, model, market, strength, family, safety, trial,
                grammar, fold
            );
            assert_eq!(format!("{quick:?}"), format!("{slow:?}"), "{}", file.name);
        }
    }
}
