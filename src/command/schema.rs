//! `plainsaid schema`: the shape of the report document, for programs that read it, and of the vocabulary's files, for
//! editors.

use plainsaid::{rendering, vocabulary};

use super::Problem;
use super::output;

/// Prints the JSON Schema of the report document, or of the vocabulary's files
#[derive(clap::Args)]
pub struct Args {
    /// Whose schema
    #[arg(value_enum, default_value = "report")]
    of: Of,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum Of {
    /// The report document
    Report,
    /// The word lists in TOML
    Vocabulary,
}

pub fn run(args: &Args) -> Result<(), Problem> {
    output::to_standard(&match args.of {
        Of::Report => rendering::schema(),
        Of::Vocabulary => vocabulary::schema::text(),
    })
}
