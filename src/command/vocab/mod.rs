//! `plainsaid vocab`: look into the words that plainsaid listens for, and tune them.

mod check;
mod gaps;
mod learn;
mod list;
mod sentence;
mod show;

use clap::Subcommand;

use super::Problem;

/// Looks into the words that plainsaid listens for, checks them and helps to tune them
#[derive(clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    Check(check::Args),
    Show(show::Args),
    Try(sentence::Args),
    List(list::Args),
    Gaps(gaps::Args),
    Learn(learn::Args),
}

pub fn run(args: &Args) -> Result<u8, Problem> {
    match &args.what {
        What::Check(args) => check::run(args),
        What::Show(args) => show::run(args).map(|()| 0),
        What::Try(args) => sentence::run(args).map(|()| 0),
        What::List(args) => list::run(args).map(|()| 0),
        What::Gaps(args) => gaps::run(args).map(|()| 0),
        What::Learn(args) => learn::run(args).map(|()| 0),
    }
}
