//! `plainsaid vocab try`: how a sentence reads, word by word.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};
use plainsaid::narration::{Narration, Seconds, Word};
use plainsaid::reading::{self, Options, mentions, tokens};
use plainsaid::report::Hand;
use plainsaid::tuning::line;
use plainsaid::vocabulary::{Market, Vocabulary};

use crate::command::words::Chosen;
use crate::command::{Problem, draft, output};

/// Shows how a sentence is read, word by word, and what is found in it
#[derive(clap::Args)]
pub struct Args {
    /// The sentence, as it would be said
    #[arg(required = true, value_name = "SENTENCE")]
    sentence: Vec<String>,

    /// Country whose words to read with
    #[arg(long, default_value = "uk", ignore_case = true, value_parser = draft::markets())]
    market: Market,

    /// Side that the steering wheel is on [default: as usual in the market]
    #[arg(long, ignore_case = true, value_parser = draft::hands())]
    steering: Option<Hand>,

    #[command(flatten)]
    chosen: Chosen,
}

/// Typed words without moments.
pub fn narration(text: &str) -> Narration {
    let word = |text: &str| Word {
        text: text.into(),
        start: Seconds(0.0),
        end: Seconds(0.0),
        confidence: 1.0,
        opens_line: false,
    };
    Narration { words: text.split_whitespace().map(word).collect(), duration: None, timed: false }
}

pub fn run(args: &Args) -> Result<(), Problem> {
    let mut words = args.chosen.words()?;
    let narration = narration(&args.sentence.join(" "));
    let choice = words.choice(args.market, &narration);
    let steering = args.steering.unwrap_or(args.market.steering());
    output::to_terminal(&shown(&narration, words.of(&choice)?, steering, &choice))
}

fn shown(
    narration: &Narration,
    vocabulary: &Vocabulary,
    steering: Hand,
    choice: &plainsaid::vocabulary::Choice,
) -> String {
    let tokens = tokens::tokens(narration, vocabulary);
    let mentions = mentions::mentions(&tokens, vocabulary);
    let mut rows: Vec<(String, Style, String)> = Vec::new();
    let mut next = 0;
    for mention in &mentions {
        let (first, past) = (mention.first as usize, mention.past as usize);
        let from = tokens[first].word as usize;
        let to = tokens[past - 1].word as usize;
        for word in next..from {
            rows.push((
                narration.quote(word, word),
                Style::new().dimmed(),
                "not counted (a filler, or said twice)".into(),
            ));
        }
        next = to + 1;
        let mut named: Vec<String> = Vec::new();
        for sense in mention.senses {
            let name = match vocabulary.named(*sense) {
                ("grammar", _) => "a small word".to_owned(),
                (kind, id) => format!("{kind} {id}"),
            };
            if !named.contains(&name) {
                named.push(name);
            }
        }
        if let Some(n) = mention.number {
            named.push(if n.low == n.high {
                format!("number {}", n.low)
            } else {
                format!("number {} to {}", n.low, n.high)
            });
        }
        let kinds: Vec<&str> = mention.senses.iter().map(|s| vocabulary.named(*s).0).collect();
        let meaning = if named.is_empty() { "unknown".to_owned() } else { named.join(", or ") };
        rows.push((narration.quote(from, to), style_of(&kinds), meaning));
    }
    let mut text = String::new();
    let coloured: Vec<String> = rows.iter().map(|(words, style, _)| format!("{style}{words}{style:#}")).collect();
    let _ = writeln!(text, "{}", coloured.join(" "));
    let layers =
        choice.kinds.iter().map(|k| format!("kinds/{k}")).chain(choice.marque.iter().map(|m| format!("marques/{m}")));
    let layers: Vec<String> = layers.collect();
    if !layers.is_empty() {
        let _ = writeln!(text, "with the words of {}", layers.join(", "));
    }
    text.push('\n');
    let width = rows.iter().map(|(words, ..)| words.chars().count()).max().unwrap_or(0).min(40);
    for (words, style, meaning) in &rows {
        let pad = width.saturating_sub(words.chars().count());
        let _ = writeln!(text, "  {style}{words}{style:#}{:pad$}  {meaning}", "");
    }
    let read = reading::read(narration, vocabulary, &Options { steering });
    text.push('\n');
    for finding in &read.findings {
        let _ = writeln!(text, "{}", line(finding));
    }
    for aside in &read.set_aside {
        let because =
            if aside.because.is_empty() { String::new() } else { format!(", because of \"{}\"", aside.because) };
        let standing = serde_json::to_value(aside.standing).unwrap_or_default();
        let _ = writeln!(text, "not counted: \"{}\" ({}{because})", aside.quote, standing.as_str().unwrap_or_default());
    }
    if read.findings.is_empty() && read.set_aside.is_empty() {
        text.push_str("nothing found\n");
    }
    text
}

fn style_of(kinds: &[&str]) -> Style {
    let colour = match kinds.first() {
        None => return Style::new().underline(),
        Some(&"part") => AnsiColor::Cyan,
        Some(&"defect") => AnsiColor::Red,
        Some(&"hedge" | &"number" | &"unit" | &"object") => AnsiColor::Yellow,
        Some(&"standing" | &"unchecked") => AnsiColor::Magenta,
        Some(&"place" | &"pointing") => AnsiColor::Blue,
        Some(&"praise" | &"function" | &"equipment" | &"remedy") => AnsiColor::Green,
        Some(_) => return Style::new(),
    };
    colour.on_default()
}
