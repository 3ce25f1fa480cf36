//! `plainsaid vocab gaps`: words of the trade that no entry knows.

use std::fmt::Write as _;
use std::path::PathBuf;

use anyhow::anyhow;
use plainsaid::tuning::gaps::gaps;
use plainsaid::tuning::history::{self, Draft};
use plainsaid::vocabulary::{Market, Vocabulary};

use crate::command::words::{Chosen, damaged};
use crate::command::{Problem, draft, output};

/// Lists words of past drafts that behave like words of the trade and are unknown, each with an entry to paste
#[derive(clap::Args)]
pub struct Args {
    /// Drafts (.json) or typed narrations, of days or months
    #[arg(required = true, value_name = "DRAFT")]
    drafts: Vec<PathBuf>,

    /// How many to list
    #[arg(long, default_value_t = 20, value_name = "NUMBER")]
    most: usize,

    /// Country that typed narrations are of; a draft has its own
    #[arg(long, default_value = "uk", ignore_case = true, value_parser = draft::markets())]
    market: Market,

    #[command(flatten)]
    chosen: Chosen,
}

pub fn run(args: &Args) -> Result<(), Problem> {
    let words = args.chosen.words()?;
    let drafts = open_all(&args.drafts, args.market)?;
    let mut made: Vec<(plainsaid::vocabulary::Choice, Vocabulary)> = Vec::new();
    let mut which = Vec::new();
    for draft in &drafts {
        let choice = words.choice(draft.market, &draft.narration);
        let at = match made.iter().position(|(kept, _)| *kept == choice) {
            Some(at) => at,
            None => {
                let vocabulary = words.layers.vocabulary(&choice).map_err(|error| damaged(&words.layers, error))?;
                made.push((choice, vocabulary));
                made.len() - 1
            }
        };
        which.push(at);
    }
    let gaps = gaps(&drafts, |nth| &made[which[nth]].1);
    let mut text = String::new();
    for (nth, gap) in gaps.iter().take(args.most).enumerate() {
        let times = if gap.count == 1 { "once".into() } else { format!("{} times", gap.count) };
        let files = if gap.drafts == 1 { "1 draft".into() } else { format!("{} drafts", gap.drafts) };
        let corrected = match gap.corrected {
            0 => String::new(),
            n => format!(", {n} of them where a person corrected the draft"),
        };
        let _ = writeln!(
            text,
            "{}. \"{}\": {times} in {files}, {} near a part or a fault{corrected}",
            nth + 1,
            gap.phrase,
            gap.near
        );
        for (draft, clock, quote) in &gap.examples {
            let _ = writeln!(text, "   {draft} {clock} \u{2026}{quote}\u{2026}");
        }
        for line in gap.entry().lines() {
            let _ = writeln!(text, "       {line}");
        }
        text.push('\n');
    }
    if gaps.is_empty() {
        text.push_str("No word of the trade is lacking, as far as these drafts show.\n");
    }
    output::to_terminal(&text)
}

/// Opens every draft; the first that cannot be used ends it.
pub fn open_all(paths: &[PathBuf], market: Market) -> Result<Vec<Draft>, Problem> {
    let open = |path: &PathBuf| history::open(path, market).map_err(|error| Problem::BadInput(anyhow!("{error}")));
    paths.iter().map(open).collect()
}
