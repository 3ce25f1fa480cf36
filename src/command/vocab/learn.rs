//! `plainsaid vocab learn`: what corrections teach, and what it would change.

use std::fmt::Write as _;
use std::io::{self, BufRead, IsTerminal};
use std::path::PathBuf;

use anyhow::anyhow;
use plainsaid::narration::{self, Input};
use plainsaid::scoring;
use plainsaid::tuning::learn::{FILE, Learner, Proposal};
use plainsaid::vocabulary::Market;
use plainsaid::vocabulary::layers::Layers;

use super::gaps::open_all;
use crate::command::words::{damaged, with_own};
use crate::command::{Problem, draft, output};

/// Proposes entries that would have read corrected sentences right, and writes those that you accept to your own layer
///
/// Give all the drafts that you keep: those with corrections teach, the others show what an entry would change in them.
/// Nothing is written before you say so.
#[derive(clap::Args)]
pub struct Args {
    /// Drafts (.json), corrected or not
    #[arg(required = true, value_name = "DRAFT")]
    drafts: Vec<PathBuf>,

    /// Which proposals to write: all, none, or their numbers, as in 1,3 [default: ask for each]
    #[arg(long, value_name = "WHICH")]
    accept: Option<String>,

    /// Folder of labelled narrations, to show how their score would move
    #[arg(long, value_name = "FOLDER")]
    cases: Vec<PathBuf>,

    /// Folder with word lists of your own [default: $PLAINSAID_VOCAB, or plainsaid/vocab in your settings folder]
    #[arg(long, value_name = "FOLDER")]
    vocab: Option<PathBuf>,

    /// Country that typed narrations are of; a draft has its own
    #[arg(long, default_value = "uk", ignore_case = true, value_parser = draft::markets())]
    market: Market,
}

enum Accept {
    All,
    None,
    Numbers(Vec<usize>),
    Ask,
}

pub fn run(args: &Args) -> Result<(), Problem> {
    let accept = accepted(args.accept.as_deref())?;
    let folder = args.vocab.clone().or_else(Layers::own_folder).or_else(Layers::settings_folder);
    let folder = folder.ok_or_else(|| {
        Problem::BadInput(anyhow!(
            "there is no folder for word lists of your own; name one with --vocab, or set PLAINSAID_VOCAB"
        ))
    })?;
    let layers = if folder.is_dir() { with_own(&folder)? } else { Layers::shipped() };
    let drafts = open_all(&args.drafts, args.market)?;
    let mut cases = Vec::new();
    for folder in &args.cases {
        for case in scoring::cases(folder).map_err(|error| Problem::BadInput(error.into()))? {
            if let Ok(Input::Narration(narration)) = narration::open(&case.text_path) {
                cases.push((case, narration));
            }
        }
    }
    let failed = |error| damaged(&layers, error);
    let mut learner = Learner::new(layers.clone(), &folder, &drafts, cases).map_err(failed)?;
    let (proposals, left) = learner.proposals().map_err(failed)?;
    let mut taken = 0;
    for (nth, first) in proposals.iter().enumerate() {
        // What was accepted before may have mended it already, and changes what this one would do.
        let again = drafts.iter().position(|draft| draft.name == first.draft).and_then(|draft| {
            let correction =
                drafts[draft].corrections.iter().find(|c| c.quote == first.quote && c.at_s.clock() == first.at)?;
            Some((draft, correction))
        });
        let proposal = match again {
            Some((draft, correction)) if taken > 0 => match learner.propose(draft, correction).map_err(failed)? {
                Ok(proposal) => proposal,
                Err(_) => continue,
            },
            _ => first.clone(),
        };
        if !matches!(&accept, Accept::Numbers(numbers) if !numbers.contains(&(nth + 1))) {
            output::to_terminal(&shown(nth + 1, &proposal))?;
        }
        let yes = match &accept {
            Accept::All => true,
            Accept::None => false,
            Accept::Numbers(numbers) => numbers.contains(&(nth + 1)),
            Accept::Ask => ask()?,
        };
        if yes {
            learner.accept(&proposal).map_err(failed)?;
            taken += 1;
        }
    }
    let mut text = String::new();
    for left in &left {
        let _ = writeln!(
            text,
            "Nothing for {} {} \"{}\" ({}): it {}.",
            left.draft, left.at, left.quote, left.corrected, left.why
        );
    }
    if proposals.is_empty() && left.is_empty() {
        text.push_str("These drafts hold no corrections.\n");
    }
    if taken > 0 {
        output::prepare(&folder)?;
        let written = output::write_all(&folder, &[(FILE.into(), learner.text())])?;
        let entries = if taken == 1 { "1 proposal".to_owned() } else { format!("{taken} proposals") };
        let _ = writeln!(text, "{entries} written to {}", narration::shown(&written[0]));
    } else if !proposals.is_empty() {
        text.push_str("Nothing was written.\n");
    }
    output::to_terminal(&text)
}

fn accepted(text: Option<&str>) -> Result<Accept, Problem> {
    Ok(match text {
        Some("all") => Accept::All,
        Some("none") => Accept::None,
        Some(numbers) => {
            let numbers: Result<Vec<usize>, _> = numbers.split(',').map(|n| n.trim().parse()).collect();
            Accept::Numbers(
                numbers.map_err(|_| Problem::BadInput(anyhow!("--accept takes all, none, or numbers such as 1,3")))?,
            )
        }
        None if io::stdin().is_terminal() => Accept::Ask,
        None => Accept::None,
    })
}

fn ask() -> Result<bool, Problem> {
    output::to_terminal("Write this entry? [y/N] ")?;
    let mut line = String::new();
    let _ = io::stdin().lock().read_line(&mut line);
    Ok(matches!(line.trim().to_lowercase().as_str(), "y" | "yes"))
}

fn shown(number: usize, proposal: &Proposal) -> String {
    let mut text =
        format!("{number}. {} {} \"{}\": {}\n\n", proposal.draft, proposal.at, proposal.quote, proposal.corrected);
    for line in proposal.entries.text().trim_end().lines() {
        let _ = if line.is_empty() { writeln!(text) } else { writeln!(text, "    {line}") };
    }
    text.push_str("\n  What would change:\n");
    for changed in &proposal.changes {
        let _ = writeln!(text, "    {}", changed.draft);
        for line in &changed.gone {
            let _ = writeln!(text, "      - {line}");
        }
        for line in &changed.come {
            let _ = writeln!(text, "      + {line}");
        }
    }
    if let Some([before, after]) = proposal.score {
        let names = ["fault F1", "placed-fault F1", "trap rate"];
        let moves: Vec<String> = names
            .iter()
            .zip(before.iter().zip(after))
            .map(|(name, (before, after))| format!("{name} {before:.3} to {after:.3}"))
            .collect();
        let _ = writeln!(text, "  Labelled narrations: {}", moves.join(", "));
    }
    text.push('\n');
    text
}
