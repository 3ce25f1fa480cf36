//! Where an entry comes from: the layers that wrote it, and what they did to it.

use serde_json::{Map, Value};

use super::layers::{Choice, Layer, Layers};
use super::source::Source;
use super::{Vocabulary, VocabularyError};

/// What a layer does to an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Touch {
    /// `base`, `markets/uk`, `own`.
    pub layer: String,
    pub file: String,
    pub line: usize,
    /// The keys that it gives, `id` left out.
    pub keys: Vec<String>,
    pub silences: bool,
    pub anew: bool,
}

/// An entry as it counts in the end, and how it came to be so.
#[derive(Clone, Debug)]
pub struct Card {
    pub kind: String,
    pub id: String,
    /// Lowest layer first; the last one has the last word.
    pub touches: Vec<Touch>,
    /// Every key that says something.
    pub keys: Map<String, Value>,
}

impl Layers {
    /// Where every entry of a kind comes from, by its id; of all kinds where none is named.
    pub fn touches(&self, choice: &Choice, kind: Option<&str>) -> Vec<(String, String, Touch)> {
        let mut all = Vec::new();
        let laid = |layer: &Layer<'_>| match layer.chosen_by() {
            None => true,
            Some(("markets", name)) => name == choice.market.id(),
            Some(("kinds", name)) => choice.kinds.iter().any(|k| k == name),
            Some((_, name)) => choice.marque.as_deref() == Some(name),
        };
        for layer in self.all().iter().filter(|layer| laid(layer)) {
            for (name, text) in &layer.files {
                let source = Source::read(name.as_str(), text);
                for piece in source.pieces().filter(|p| kind.is_none_or(|k| k == p.kind)) {
                    let touch = Touch {
                        layer: layer.name.clone(),
                        file: name.clone(),
                        line: source.line(piece.at),
                        keys: piece.table.keys().map(|k| k.get_ref().to_string()).filter(|k| k != "id").collect(),
                        silences: piece.is("silent"),
                        anew: piece.is("anew"),
                    };
                    all.push((piece.kind.to_owned(), piece.id().to_owned(), touch));
                }
            }
        }
        all
    }

    /// The entries that a term names by id, label or phrase.
    pub fn cards(&self, choice: &Choice, term: &str, with: &Vocabulary) -> Result<Vec<Card>, VocabularyError> {
        let mut words = Vec::new();
        let mut scratch = String::new();
        for word in term.split_whitespace() {
            with.spelling.spell(word, &mut scratch, |_, id| words.push(id));
        }
        let mut wanted: Vec<(String, String)> = Vec::new();
        for sense in with.exactly(&words) {
            let (kind, id) = with.named(*sense);
            wanted.push((kind.into(), id.into()));
        }
        let entries = serde_json::to_value(self.entries(choice, &[])?.0).unwrap_or_default();
        let lower = term.to_lowercase();
        let named = lower.strip_prefix("kind.").unwrap_or(&lower);
        for (kind, list) in entries.as_object().into_iter().flatten() {
            for entry in list.as_array().into_iter().flatten() {
                let (id, label) =
                    (entry["id"].as_str().unwrap_or_default(), entry["label"].as_str().unwrap_or_default());
                let whole = format!("{kind}.{id}");
                if !id.is_empty() && (id == named || whole == named || label.to_lowercase() == lower) {
                    wanted.push((kind.clone(), id.to_owned()));
                }
            }
        }
        let mut once: Vec<(String, String)> = Vec::new();
        for one in wanted {
            if !one.1.is_empty() && !once.contains(&one) {
                once.push(one);
            }
        }
        let touches = self.touches(choice, None);
        let card = |(kind, id): (String, String)| {
            let entry = entries[&kind].as_array().into_iter().flatten().find(|e| e["id"] == id.as_str());
            let says = |value: &Value| match value {
                Value::Null | Value::Bool(false) => false,
                Value::String(text) => !text.is_empty(),
                Value::Array(list) => !list.is_empty(),
                Value::Number(n) => n.as_f64() != Some(0.0),
                _ => true,
            };
            let keys = entry.and_then(Value::as_object).cloned().unwrap_or_default();
            Card {
                touches: touches.iter().filter(|(k, i, _)| *k == kind && *i == id).map(|t| t.2.clone()).collect(),
                keys: keys.into_iter().filter(|(key, value)| key != "id" && says(value)).collect(),
                kind,
                id,
            }
        };
        Ok(once.into_iter().map(card).collect())
    }
}
