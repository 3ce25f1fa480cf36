//! `plainsaid vocab show`: one word, where it comes from and what it does.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};
use anyhow::anyhow;
use plainsaid::vocabulary::describe::Card;
use plainsaid::vocabulary::layers::Choice;
use plainsaid::vocabulary::{Market, Vocabulary};
use serde_json::Value;

use crate::command::words::{Chosen, damaged};
use crate::command::{Problem, draft, output};

/// Shows a word: which layer it comes from, how it is said and what it does
#[derive(clap::Args)]
pub struct Args {
    /// A word or phrase as it is said, or the id of an entry
    #[arg(required = true, value_name = "TERM")]
    term: Vec<String>,

    /// Country whose words to look among
    #[arg(long, default_value = "uk", ignore_case = true, value_parser = draft::markets())]
    market: Market,

    #[command(flatten)]
    chosen: Chosen,
}

const BOLD: Style = Style::new().bold();
const DIM: Style = Style::new().dimmed();
const WON: Style = AnsiColor::Green.on_default();

pub fn run(args: &Args) -> Result<(), Problem> {
    let mut words = args.chosen.words()?;
    let choice = words.choice(args.market, &super::sentence::narration(""));
    let term = args.term.join(" ");
    let layers = words.layers.clone();
    let vocabulary = words.of(&choice)?;
    let cards = layers.cards(&choice, &term, vocabulary).map_err(|error| damaged(&layers, error))?;
    if cards.is_empty() {
        return Err(Problem::BadInput(anyhow!(
            "\"{term}\" is no entry and no phrase of the vocabulary; `plainsaid vocab try \"{term}\"` shows how it is read"
        )));
    }
    let texts: Vec<String> = cards.iter().map(|card| shown(card, vocabulary, &choice)).collect();
    output::to_terminal(&texts.join("\n"))
}

fn shown(card: &Card, vocabulary: &Vocabulary, choice: &Choice) -> String {
    let mut text = String::new();
    let label = card.keys.get("label").and_then(Value::as_str).unwrap_or(&card.id);
    let _ = writeln!(text, "{BOLD}{}{BOLD:#}: {} `{}`", label, card.kind, card.id);
    for (nth, touch) in card.touches.iter().enumerate() {
        let keys = touch.keys.iter().filter(|k| !["silent", "anew"].contains(&k.as_str()));
        let keys = keys.map(String::as_str).collect::<Vec<_>>().join(", ");
        let does = match (nth, touch.silences, touch.anew) {
            (_, true, _) => "silenced by".to_owned(),
            (0, ..) => "from".to_owned(),
            (_, _, true) => "written anew by".to_owned(),
            _ => "changed by".to_owned(),
        };
        let wins = nth + 1 == card.touches.len() && card.touches.len() > 1;
        let (style, won) = if wins { (WON, ", which has the last word") } else { (DIM, "") };
        let what = if nth > 0 && !touch.silences { format!(" ({keys})") } else { String::new() };
        let _ = writeln!(text, "  {does} {}: {}:{}{what}{style}{won}{style:#}", touch.layer, touch.file, touch.line);
    }
    for (key, value) in card.keys.iter().filter(|(key, _)| *key != "label") {
        let _ = writeln!(text, "  {:10} {}", key, plain(value));
    }
    if card.kind == "defect" {
        rates(&mut text, card, vocabulary, choice);
    }
    text
}

/// What the remedies of a fault cost, by the rates of the layers.
fn rates(text: &mut String, card: &Card, vocabulary: &Vocabulary, choice: &Choice) {
    let Some(defect) = vocabulary.defect_id(&card.id) else { return };
    let lists = ["remedy", "worse"].into_iter().filter_map(|key| card.keys.get(key)?.as_array());
    let mut seen = Vec::new();
    for remedy in lists.flatten().filter_map(Value::as_str) {
        let Some(number) = vocabulary.remedy_id(remedy).filter(|n| !seen.contains(n)) else { continue };
        seen.push(number);
        let rate = [None, Some(plainsaid::report::Severity::Light), Some(plainsaid::report::Severity::Heavy)]
            .into_iter()
            .find_map(|severity| vocabulary.rate(number, Some(defect), None, None, severity));
        if let Some(rate) = rate {
            let example = if rate.example { ", an example: put your own in rates.toml" } else { "" };
            let hours = rate.hours.map_or_else(String::new, |[a, b]| format!(", {a} to {b} hours"));
            let currency = &vocabulary.facts.currency;
            let _ = writeln!(text, "  {remedy}: {} to {} {currency}{hours}{example}", rate.low, rate.high);
        }
    }
    let _ = choice;
}

/// A value as a person writes it.
fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Bool(true) => "yes".into(),
        Value::Array(list) => {
            let all: Vec<String> = list.iter().map(plain).collect();
            all.join(if all.iter().any(|t| t.contains(' ')) { "; " } else { ", " })
        }
        Value::Object(_) => String::new(),
        other => other.to_string(),
    }
}
