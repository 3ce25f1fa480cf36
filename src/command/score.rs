//! `plainsaid score`: how well drafts hold what labelled narrations say.

use std::path::PathBuf;

use clap::Args as ClapArgs;
use plainsaid::narration::{self, Input};
use plainsaid::reading::{self, Options};
use plainsaid::report::{Hand, Report};
use plainsaid::scoring::{self, Score};
use plainsaid::vocabulary::Market;

use super::Problem;
use super::words::Chosen;

/// Scores drafts of labelled narrations (pairs of NAME.txt and NAME.json): for everyone who tunes the vocabulary
#[derive(ClapArgs)]
pub struct Args {
    /// Folders of labelled narrations
    #[arg(required = true, value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// Print every miss, false alarm and wrong attribute too
    #[arg(long)]
    misses: bool,
    /// Score only the cases of these names
    #[arg(long, value_name = "NAME,…", value_delimiter = ',')]
    only: Vec<String>,
    /// Score the reports (NAME.json) in this folder, drafted from recordings of the narrations, instead of new drafts
    ///
    /// A report's words are laid beside the narration's, and a finding stands where its words do; times are not looked at.
    #[arg(long, value_name = "FOLDER")]
    spoken: Option<PathBuf>,
    #[command(flatten)]
    chosen: Chosen,
}

pub fn run(args: &Args) -> Result<(), Problem> {
    let bad = |e: anyhow::Error| Problem::BadInput(e);
    let mut score = Score::default();
    let mut words = args.chosen.words()?;
    for folder in &args.folders {
        for case in scoring::cases(folder).map_err(|e| bad(e.into()))? {
            if !args.only.is_empty() && !args.only.contains(&case.name) {
                continue;
            }
            if let Some(spoken) = &args.spoken {
                let path = spoken.join(&case.name).with_extension("json");
                let json = std::fs::read(&path)
                    .map_err(|e| bad(anyhow::anyhow!("{} can't be read ({e}); draft it first", path.display())))?;
                let report: Report = serde_json::from_slice(&json)
                    .map_err(|e| bad(anyhow::anyhow!("{} is no report of plainsaid's ({e})", path.display())))?;
                score.add_spoken(&case, &report.vehicle, &report.findings, &report.transcript);
                continue;
            }
            let market: Market = case.labels.market.parse().map_err(|e: String| bad(anyhow::anyhow!(e)))?;
            let Input::Narration(narration) = narration::open(&case.text_path).map_err(|e| bad(e.into()))? else {
                return Err(bad(anyhow::anyhow!("{} is a recording, no typed narration", case.text_path.display())));
            };
            let steering = if case.labels.steering == "left" { Hand::Left } else { Hand::Right };
            let vocabulary = words.for_narration(market, &narration)?;
            let read = reading::read(&narration, vocabulary, &Options { steering });
            score.add(&case, &read.vehicle, &read.findings);
        }
    }
    if args.misses {
        for miss in &score.misses {
            println!("{miss}");
        }
    }
    print!("{}", score.table());
    Ok(())
}
