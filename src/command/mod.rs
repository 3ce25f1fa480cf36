//! The commands, one short file each, and what they share: how a run can end.

mod draft;
mod hear;
mod output;
mod recording;
mod schema;
mod score;
mod vocab;
mod words;

use std::io::{self, Write as _};
use std::process::ExitCode;

use clap::error::ErrorKind;
use clap::{Parser, Subcommand};

/// Turns a spoken walk-round of a used vehicle into a list of findings, each tied to the moment it was said.
///
/// Everything happens on this computer; nothing is sent anywhere. What comes out is a draft: check it against the
/// vehicle before anyone relies on it. A walk-round is no roadworthiness inspection.
#[derive(Parser)]
#[command(version, arg_required_else_help = true, max_term_width = 100)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Draft(draft::Args),
    Hear(hear::Args),
    Schema(schema::Args),
    Score(score::Args),
    Vocab(vocab::Args),
}

/// How a run ends when it does not end well.
#[derive(Debug)]
pub enum Problem {
    /// What was given cannot be used.
    BadInput(anyhow::Error),
    /// Anything else.
    Failed(anyhow::Error),
    /// The outputs cannot be written, whatever the input.
    Unwritable(anyhow::Error),
    /// The person stopped it.
    Stopped(anyhow::Error),
    /// Whoever read our output has gone away, as `head` does: no error of anyone's.
    Unread,
}

impl Problem {
    /// The exit code: 2 for bad input, 1 for anything else, and 130 for Ctrl-C, as shells have it.
    fn code(&self) -> u8 {
        match self {
            Problem::BadInput(_) => 2,
            Problem::Failed(_) | Problem::Unwritable(_) => 1,
            Problem::Stopped(_) => 130,
            Problem::Unread => 0,
        }
    }

    /// Tells the person, in one line.
    fn tell(&self) {
        match self {
            Problem::BadInput(error)
            | Problem::Failed(error)
            | Problem::Unwritable(error)
            | Problem::Stopped(error) => complain(&in_full(error)),
            Problem::Unread => {}
        }
    }
}

pub fn run(cli: &Cli) -> ExitCode {
    let finish = |result: Result<(), Problem>| {
        result.map_or_else(
            |problem| {
                problem.tell();
                problem.code()
            },
            |()| 0,
        )
    };
    let code = match &cli.command {
        Command::Draft(args) => draft::run(args),
        Command::Hear(args) => finish(hear::run(args)),
        Command::Score(args) => finish(score::run(args)),
        Command::Schema(args) => finish(schema::run(args)),
        Command::Vocab(args) => vocab::run(args).unwrap_or_else(|problem| {
            problem.tell();
            problem.code()
        }),
    };
    ExitCode::from(code)
}

/// Answers a command line that is not one; and `--help`, which clap hands back the same way.
pub fn refuse(error: &clap::Error) -> ExitCode {
    if !error.use_stderr() || error.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        // A reader that has gone away needs no help.
        let _ = error.print();
        return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
    }
    let whole = error.render().to_string();
    let sentence = whole.split("\n\n").next().unwrap_or_default();
    complain(&format!("{}; see `plainsaid --help`", sentence.strip_prefix("error: ").unwrap_or(sentence)));
    ExitCode::from(2)
}

/// An error with its causes, each said once: some errors name their cause themselves.
fn in_full(error: &anyhow::Error) -> String {
    error.chain().skip(1).fold(error.to_string(), |said, cause| match cause.to_string() {
        cause if said.contains(&cause) => said,
        cause => format!("{said}: {cause}"),
    })
}

/// One line on standard error, however many the message had; a file may hold or be called anything.
fn complain(message: &str) {
    let mut line = String::from("plainsaid:");
    for word in message.split_whitespace() {
        line.push(' ');
        line.extend(word.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }));
    }
    line.push('\n');
    // With standard error gone there is nobody left to tell.
    let _ = io::stderr().lock().write_all(line.as_bytes());
}
