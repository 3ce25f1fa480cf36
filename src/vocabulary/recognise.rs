//! Which kind of vehicle and which marque a narration speaks of, so that their layers can be laid.
//!
//! It looks only for the words that tell: a marque's makes and models, and what a kind is called. It runs before the
//! vocabulary is put together, and so knows nothing else of the trade's words.

use crate::narration::Narration;

use super::entries::Entries;
use super::layers::{CHOSEN, Layers};
use super::matcher::Matcher;
use super::phrases::PhraseBook;
use super::source::Source;
use super::spelling::Spelling;
use super::{Choice, Market, VocabularyError};

/// So many words into a narration, what is spoken of is the vehicle; later it may be another one.
const OPENING: usize = 60;

/// What a word tells of: the number of a name, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Tells {
    name: u16,
    how: How,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum How {
    Kind,
    Make,
    Model,
}

/// Knows kinds and marques by their words.
pub struct Recogniser {
    names: Vec<String>,
    spelling: Spelling,
    matcher: Matcher<Tells>,
}

impl Layers {
    /// One for all layers that can be chosen.
    pub fn recogniser(&self) -> Result<Recogniser, VocabularyError> {
        let mut names = Vec::new();
        let mut book = PhraseBook::new();
        book.spelling.fold("'s", "'s", true);
        for folder in CHOSEN.into_iter().filter(|folder| *folder != "markets") {
            for name in self.names(folder) {
                let number = names.len() as u16;
                for entries in self.of_name(folder, &name)? {
                    let mut tell = |say: &[String], misheard: &[String], how| {
                        let patterns = say.iter().chain(misheard);
                        let tells = Tells { name: number, how };
                        patterns.map(|p| book.add(p, tells, false)).collect::<Result<Vec<()>, _>>()
                    };
                    let mut told = Ok(Vec::new());
                    if folder == "kinds" {
                        for kind in entries.kind.iter().filter(|kind| !kind.silent) {
                            told = told.and(tell(&kind.say, &kind.misheard, How::Kind));
                        }
                    } else {
                        for make in entries.make.iter().filter(|make| !make.silent) {
                            told = told.and(tell(&make.say, &make.misheard, How::Make));
                        }
                        for model in entries.model.iter().filter(|model| !model.silent) {
                            told = told.and(tell(&model.say, &model.misheard, How::Model));
                        }
                    }
                    told.map_err(|source| VocabularyError::phrase("layer", &name, source))?;
                }
                names.push(name);
            }
        }
        Ok(Recogniser { names, spelling: book.spelling, matcher: book.matcher.build() })
    }

    fn of_name(&self, folder: &str, name: &str) -> Result<Vec<Entries>, VocabularyError> {
        let mut files = Layers::carried_as(folder, name)?;
        let below = format!("{folder}/{name}.toml");
        for own in self.own.iter().filter(|file| file.below == below) {
            files.push(Source::read(own.shown.as_str(), &own.text).entries()?.0);
        }
        Ok(files)
    }
}

impl Recogniser {
    /// The layers to read a narration with, beside those of the market.
    pub fn choose(&self, narration: &Narration, market: Market) -> Choice {
        let mut words = Vec::new();
        let mut from = Vec::new();
        let mut scratch = String::new();
        for (at, word) in narration.words.iter().enumerate() {
            self.spelling.spell(&word.text, &mut scratch, |_, id| {
                words.push(id);
                from.push(at);
            });
        }
        let mut kinds = vec![false; self.names.len()];
        let mut makes = vec![0usize; self.names.len()];
        let mut models = vec![0usize; self.names.len()];
        let mut first = vec![usize::MAX; self.names.len()];
        self.matcher.find(&words, &mut Vec::new(), |found| {
            let at = from[found.first];
            for tells in found.senses {
                let name = usize::from(tells.name);
                match tells.how {
                    How::Kind => kinds[name] |= at < OPENING,
                    How::Make => makes[name] += 1,
                    // The name of a model is an ordinary word as often as not.
                    How::Model if at < OPENING => models[name] += 1,
                    How::Model => continue,
                }
                first[name] = first[name].min(at);
            }
        });
        let named = (0..self.names.len()).filter(|&n| makes[n] + models[n] > 0);
        let marque = named.max_by_key(|&n| (2 * makes[n] + models[n], std::cmp::Reverse(first[n])));
        Choice {
            market,
            kinds: (0..self.names.len()).filter(|&n| kinds[n]).map(|n| self.names[n].clone()).collect(),
            marque: marque.map(|n| self.names[n].clone()),
        }
    }
}
