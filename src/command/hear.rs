//! `plainsaid hear`: the words of a recording, and nothing made of them.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use anyhow::anyhow;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use plainsaid::narration::{self, Input, shown};
use plainsaid::reading::Options;
use plainsaid::rendering::{self, Spoken, TranscriptFormat};
use plainsaid::report::Recording;
use plainsaid::vocabulary::Market;

use super::recording::{self, Ears, Hearing};
use super::words::Chosen;
use super::{Problem, draft, output};

/// Writes down what is said in a recording, and nothing more
///
/// The words with their times, as text, as captions or as data. The text can be corrected by hand and drafted from.
#[derive(clap::Args)]
pub struct Args {
    /// A recording
    #[arg(value_name = "INPUT")]
    input: PathBuf,

    /// How to write it
    ///
    /// txt: lines with times. vtt, srt: captions. json: every word with its moment and how surely it was heard.
    #[arg(long, value_name = "FORMAT", default_value = "txt", ignore_case = true, value_parser = formats())]
    format: TranscriptFormat,

    /// File to write, "-" for standard output
    #[arg(long, value_name = "FILE", default_value = "-")]
    out: PathBuf,

    /// Country whose words are expected
    #[arg(long, default_value = "uk", ignore_case = true, value_parser = draft::markets())]
    market: Market,

    #[command(flatten)]
    ears: Ears,

    #[command(flatten)]
    chosen: Chosen,

    /// Print nothing but errors
    #[arg(long, short)]
    quiet: bool,
}

fn formats() -> impl TypedValueParser<Value = TranscriptFormat> {
    PossibleValuesParser::new(TranscriptFormat::ALL.map(TranscriptFormat::extension)).map(|name| {
        let name = name.to_lowercase();
        TranscriptFormat::ALL.into_iter().find(|f| f.extension() == name).unwrap_or(TranscriptFormat::Text)
    })
}

pub fn run(args: &Args) -> Result<(), Problem> {
    let path = &args.input;
    let input = narration::open(path).map_err(|error| match error.is_bad_input() {
        true => Problem::BadInput(error.into()),
        false => Problem::Failed(error.into()),
    })?;
    if !matches!(input, Input::Recording(_)) {
        return Err(Problem::BadInput(anyhow!(
            "{}: is text already, and there is nothing to hear in it; use `plainsaid draft`",
            shown(path)
        )));
    }
    let to_file = (args.out != Path::new("-")).then(|| {
        let folder = args.out.parent().unwrap_or(Path::new("")).to_owned();
        (folder, args.out.file_name().map(OsStr::to_owned))
    });
    if let Some((folder, name)) = &to_file {
        let same = |a: &Path, b: &Path| a.canonicalize().is_ok_and(|a| b.canonicalize().is_ok_and(|b| a == b));
        if name.is_none() || args.out.is_dir() {
            return Err(Problem::Unwritable(anyhow!("{}: is a folder; name a file with --out", shown(&args.out))));
        }
        if same(&args.out, path) {
            return Err(Problem::Unwritable(anyhow!(
                "{}: is the recording itself; name another file with --out",
                shown(&args.out)
            )));
        }
        output::prepare(folder)?;
    }
    draft::heed_ctrl_c()?;
    let mut words = args.chosen.words()?;
    let vocabulary = words.before_hearing(args.market)?;
    let options = Options { steering: args.market.steering() };
    let heard = Hearing::default().words(&args.ears, path, vocabulary, &options, args.quiet)?;
    if heard.narration.words.is_empty() && heard.unclear.is_empty() {
        return Err(recording::no_speech(path));
    }
    let spoken = Spoken {
        recording: Recording {
            name: shown(path.file_name().unwrap_or(path.as_os_str()).as_ref()),
            sha256: draft::fingerprint(path)?,
            duration_s: heard.narration.duration,
            kind: heard.kind,
            model: Some(heard.model),
            timed: true,
        },
        unclear: heard.unclear,
        mended: heard.mended,
        narration: heard.narration,
    };
    let text = rendering::transcript(&spoken, args.format).map_err(|error| Problem::Failed(error.into()))?;
    match to_file {
        None => output::to_standard(&text),
        Some((folder, name)) => output::write_all(&folder, &[(name.unwrap_or_default(), text)]).map(drop),
    }
}
