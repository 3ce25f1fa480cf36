//! `plainsaid vocab list`: what there is.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use anyhow::anyhow;
use plainsaid::vocabulary::Market;
use plainsaid::vocabulary::entries::{KINDS, PHRASES};
use serde_json::Value;

use crate::command::words::{Chosen, damaged};
use crate::command::{Problem, draft, output};

/// Lists the layers that there are, or the entries of a kind
#[derive(clap::Args)]
pub struct Args {
    /// Kind of entries to list: parts, defects, hedges, remedies, equipment …
    #[arg(long, value_name = "KIND")]
    kind: Option<String>,

    /// Country whose words to list
    #[arg(long, default_value = "uk", ignore_case = true, value_parser = draft::markets())]
    market: Market,

    #[command(flatten)]
    chosen: Chosen,
}

pub fn run(args: &Args) -> Result<(), Problem> {
    let words = args.chosen.words()?;
    let choice = words.choice(args.market, &super::sentence::narration(""));
    let entries = words.layers.entries(&choice, &[]).map_err(|error| damaged(&words.layers, error))?.0;
    let entries = serde_json::to_value(entries).unwrap_or_default();
    let list = |kind: &str| entries[kind].as_array().cloned().unwrap_or_default();
    let mut text = String::new();
    let Some(asked) = &args.kind else {
        for folder in ["markets", "kinds", "marques"] {
            let _ = writeln!(text, "{folder:10} {}", words.layers.names(folder).join(", "));
        }
        let own = args.chosen.folder().map_or_else(|| "none".to_owned(), |folder| folder.display().to_string());
        let _ = writeln!(text, "{:10} {own}\n", "your own");
        for kind in KINDS {
            let _ = writeln!(text, "{kind:10} {:5}", list(kind).len());
        }
        return output::to_terminal(&text);
    };
    let lower = asked.to_lowercase();
    let singular = [lower.strip_suffix("s"), lower.strip_suffix("es"), Some(lower.as_str())];
    let special = match lower.as_str() {
        "families" => Some("family"),
        "colors" | "color" => Some("colour"),
        "faults" | "fault" => Some("defect"),
        _ => None,
    };
    let kind = KINDS.into_iter().find(|kind| special == Some(kind) || singular.contains(&Some(kind)));
    let Some(kind) = kind else {
        return Err(Problem::BadInput(anyhow!("\"{asked}\" is no kind of entry; use one of {}", KINDS.join(", "))));
    };
    let mut layer_of: BTreeMap<String, String> = BTreeMap::new();
    for (_, id, touch) in words.layers.touches(&choice, Some(kind)) {
        let layer = layer_of.entry(id).or_default();
        if !layer.is_empty() {
            layer.push_str(" < ");
        }
        layer.push_str(&touch.layer);
    }
    for entry in list(kind) {
        let id = entry["id"].as_str().unwrap_or_default();
        let said = PHRASES.iter().filter_map(|key| entry[*key].as_array()).flatten().filter_map(Value::as_str);
        let said: Vec<&str> = said.collect();
        let silent = if entry["silent"] == true { " (silenced)" } else { "" };
        let layer = layer_of.get(id).map_or("", String::as_str);
        let first: Vec<&str> = said.iter().take(3).copied().collect();
        let more = if said.len() > 3 { format!(" … {} in all", said.len()) } else { String::new() };
        let _ = writeln!(text, "{id:28} {layer:16} {}{more}{silent}", first.join(", "));
    }
    output::to_terminal(&text)
}
