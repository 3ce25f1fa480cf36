//! A vocabulary file as it was written: every key and every pattern with its line.

use std::borrow::Cow;
use std::collections::HashMap;

use serde::Deserialize;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Deserializer};

use super::VocabularyError;
use super::entries::Entries;

/// For each kind, the keys that each of its entries gives, in the order in which they stand.
pub type Given = HashMap<String, Vec<Vec<String>>>;

/// No file may be larger: a slip of the pen must not eat the memory.
pub const LARGEST: usize = 4 << 20;

/// A file taken apart.
pub struct Source<'t> {
    pub name: Cow<'t, str>,
    table: Spanned<DeTable<'t>>,
    /// Where each line begins.
    lines: Vec<usize>,
    /// Where it is no TOML: line and what is wrong.
    pub torn: Vec<(usize, String)>,
}

/// One entry of a file.
#[derive(Clone, Copy)]
pub struct Piece<'s> {
    pub kind: &'s str,
    /// Where it begins.
    pub at: usize,
    pub table: &'s DeTable<'s>,
}

impl<'t> Source<'t> {
    /// Takes a file apart, as far as it can be.
    pub fn read(name: impl Into<Cow<'t, str>>, text: &'t str) -> Self {
        let lines = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        let (table, errors) =
            if text.len() > LARGEST { DeTable::parse_recoverable("") } else { DeTable::parse_recoverable(text) };
        let mut source = Source { name: name.into(), table, lines, torn: Vec::new() };
        if text.len() > LARGEST {
            source.torn.push((1, "is larger than 4 MB; split it into several files".into()));
        }
        for error in errors {
            let line = source.line(error.span().map_or(0, |span| span.start));
            // One slip can trip the reader several times over; the first of a line tells it.
            if source.torn.last().is_none_or(|(last, _)| *last != line) {
                source.torn.push((line, error.message().lines().collect::<Vec<_>>().join(" ")));
            }
        }
        source
    }

    /// The line, counted from 1, in which a byte stands.
    pub fn line(&self, at: usize) -> usize {
        self.lines.partition_point(|begin| *begin <= at).max(1)
    }

    pub fn table(&self) -> &DeTable<'_> {
        self.table.get_ref()
    }

    /// Every entry, kind by kind.
    pub fn pieces(&self) -> impl Iterator<Item = Piece<'_>> {
        self.table().iter().flat_map(|(kind, value)| {
            let entries = value.get_ref().as_array().into_iter().flat_map(|list| list.iter());
            entries.filter_map(move |entry| {
                Some(Piece { kind: kind.get_ref(), at: entry.span().start, table: entry.get_ref().as_table()? })
            })
        })
    }

    /// Its entries, and which keys each of them gives.
    pub fn entries(self) -> Result<(Entries, Given), VocabularyError> {
        let place = |line: usize| format!("{}:{line}", self.name);
        if let Some((line, what)) = self.torn.first() {
            return Err(VocabularyError::Toml { file: place(*line), message: what.clone() });
        }
        let mut given = Given::new();
        for piece in self.pieces() {
            let keys = piece.table.keys().map(|key| key.get_ref().to_string()).collect();
            given.entry(piece.kind.to_owned()).or_default().push(keys);
        }
        let (name, lines) = (self.name, self.lines);
        let entries = Entries::deserialize(Deserializer::from(self.table)).map_err(|error| {
            let line = error.span().map(|span| lines.partition_point(|begin| *begin <= span.start).max(1));
            VocabularyError::Toml {
                file: line.map_or_else(|| name.to_string(), |line| format!("{name}:{line}")),
                message: error.message().to_string(),
            }
        })?;
        Ok((entries, given))
    }
}

impl<'s> Piece<'s> {
    /// A key's place and value.
    pub fn get(&self, key: &str) -> Option<(usize, &'s DeValue<'s>)> {
        let value = self.table.get(key)?;
        Some((value.span().start, value.get_ref()))
    }

    pub fn text(&self, key: &str) -> Option<&'s str> {
        self.get(key)?.1.as_str()
    }

    pub fn id(&self) -> &'s str {
        self.text("id").unwrap_or_default()
    }

    /// The texts of a list, each with its place; of a single text, that.
    pub fn texts(&self, key: &str) -> impl Iterator<Item = (usize, &'s str)> {
        let (at, value) = self.get(key).map_or((0, None), |(at, value)| (at, Some(value)));
        let one = value.and_then(|value| value.as_str()).map(|text| (at, text));
        let list = value.and_then(|value| value.as_array()).into_iter().flat_map(|list| list.iter());
        one.into_iter().chain(list.filter_map(|item| Some((item.span().start, item.get_ref().as_str()?))))
    }

    /// A number; where there are several, the nth.
    pub fn number(&self, key: &str, nth: usize) -> Option<f64> {
        fn of(value: &DeValue<'_>) -> Option<f64> {
            match value {
                DeValue::Integer(n) => {
                    i64::from_str_radix(&n.as_str().replace('_', ""), n.radix()).ok().map(|n| n as f64)
                }
                DeValue::Float(n) => n.as_str().replace('_', "").parse().ok(),
                _ => None,
            }
        }
        match self.get(key)?.1 {
            DeValue::Array(list) => of(list.get(nth)?.get_ref()),
            value => of(value).filter(|_| nth == 0),
        }
    }

    pub fn is(&self, key: &str) -> bool {
        self.get(key).and_then(|(_, value)| value.as_bool()).unwrap_or(false)
    }
}
