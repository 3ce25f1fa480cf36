//! The words that a command reads with: the layers that are chosen, or that a narration tells of itself.

use std::path::{Path, PathBuf};

use anyhow::anyhow;
use plainsaid::narration::Narration;
use plainsaid::vocabulary::check;
use plainsaid::vocabulary::layers::{Choice, Layers};
use plainsaid::vocabulary::recognise::Recogniser;
use plainsaid::vocabulary::{Market, Vocabulary, VocabularyError};

use super::Problem;

/// Options of every command that reads narrations.
#[derive(clap::Args, Clone, Default)]
pub struct Chosen {
    /// Marque whose words to add, or "none" [default: the one that the narration names]
    ///
    /// `plainsaid vocab list` shows those that there are.
    #[arg(long, value_name = "NAME")]
    marque: Option<String>,

    /// Kind of vehicle whose words to add (car, van, motorhome …), or "none"; can be repeated [default: as narrated]
    #[arg(long = "vehicle", value_name = "KIND")]
    kinds: Vec<String>,

    /// Folder with word lists of your own [default: $PLAINSAID_VOCAB, or plainsaid/vocab in your settings folder]
    #[arg(long, value_name = "FOLDER")]
    vocab: Option<PathBuf>,
}

/// Vocabularies, put together as they are needed and kept.
pub struct Words {
    pub layers: Layers,
    recogniser: Recogniser,
    chosen: Chosen,
    kept: Vec<(Choice, Vocabulary)>,
}

impl Chosen {
    /// The folder with the user's own word lists, if there is one.
    pub fn folder(&self) -> Option<PathBuf> {
        self.vocab.clone().or_else(Layers::own_folder)
    }

    /// All layers that there are.
    pub fn layers(&self) -> Result<Layers, Problem> {
        match self.folder() {
            Some(folder) => with_own(&folder),
            None => Ok(Layers::shipped()),
        }
    }

    pub fn words(&self) -> Result<Words, Problem> {
        let layers = self.layers()?;
        let known = |folder: &str, name: &str| name == "none" || layers.names(folder).iter().any(|n| n == name);
        let unknown = |folder: &str, name: &str, what: &str| {
            let there = layers.names(folder).join(", ");
            Problem::BadInput(anyhow!("\"{name}\" is no {what} that there are words for; use one of {there}, or none"))
        };
        if let Some(marque) = self.marque.as_ref().filter(|m| !known("marques", m)) {
            return Err(unknown("marques", marque, "marque"));
        }
        if let Some(kind) = self.kinds.iter().find(|kind| !known("kinds", kind)) {
            return Err(unknown("kinds", kind, "kind of vehicle"));
        }
        let recogniser = layers.recogniser().map_err(|error| damaged(&layers, error))?;
        Ok(Words { layers, recogniser, chosen: self.clone(), kept: Vec::new() })
    }
}

impl Words {
    /// Which layers a narration is read with.
    pub fn choice(&self, market: Market, narration: &Narration) -> Choice {
        self.as_asked(self.recogniser.choose(narration, market))
    }

    /// The vocabulary to hear with, before anything is known but what was asked for.
    pub fn before_hearing(&mut self, market: Market) -> Result<&Vocabulary, Problem> {
        let choice = self.as_asked(market.into());
        self.of(&choice)
    }

    fn as_asked(&self, mut choice: Choice) -> Choice {
        match self.chosen.marque.as_deref() {
            None => {}
            Some("none") => choice.marque = None,
            Some(marque) => choice.marque = Some(marque.to_owned()),
        }
        if !self.chosen.kinds.is_empty() {
            choice.kinds = self.chosen.kinds.iter().filter(|kind| *kind != "none").cloned().collect();
        }
        choice
    }

    pub fn of(&mut self, choice: &Choice) -> Result<&Vocabulary, Problem> {
        let at = match self.kept.iter().position(|(kept, _)| kept == choice) {
            Some(at) => at,
            None => {
                let made = self.layers.vocabulary(choice).map_err(|error| damaged(&self.layers, error))?;
                // So many that a day of mixed stock finds its own again, and no more.
                if self.kept.len() >= 12 {
                    self.kept.remove(0);
                }
                self.kept.push((choice.clone(), made));
                self.kept.len() - 1
            }
        };
        Ok(&self.kept[at].1)
    }

    /// The vocabulary for a narration.
    pub fn for_narration(&mut self, market: Market, narration: &Narration) -> Result<&Vocabulary, Problem> {
        let choice = self.choice(market, narration);
        self.of(&choice)
    }
}

/// All layers, the user's own in this folder among them.
pub fn with_own(folder: &Path) -> Result<Layers, Problem> {
    Layers::with_own(folder).map_err(|error| Problem::BadInput(error.into()))
}

/// Why layers cannot be used: the first mistake that the check finds in them, which tells more than loading does.
pub fn damaged(layers: &Layers, error: VocabularyError) -> Problem {
    let mistakes = check::check(layers);
    match mistakes.as_slice() {
        [] => Problem::BadInput(error.into()),
        [one] => Problem::BadInput(anyhow!("{one}")),
        [first, rest @ ..] => {
            let more = if rest.len() == 1 { "one more".into() } else { format!("{} more", rest.len()) };
            Problem::BadInput(anyhow!("{first} ({more}: `plainsaid vocab check` shows all)"))
        }
    }
}
