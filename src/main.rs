//! The command line: parse it, call one command, say in one sentence what went wrong.

mod command;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    match command::Cli::try_parse() {
        Ok(cli) => command::run(&cli),
        Err(error) => command::refuse(&error),
    }
}
