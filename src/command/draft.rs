//! `plainsaid draft`: a recording or a narration becomes a report, to be checked and signed.

use std::ffi::OsString;
use std::fmt::Write as _;
use std::fs::File;
use std::io::{self, Read, Write as _};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::anyhow;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use plainsaid::narration::{self, Input, Narration, Origin, Source, Transcript, shown};
use plainsaid::reading;
use plainsaid::rendering::{self, Beside, Format, RenderError};
use plainsaid::report::{FORMAT, Hand, Mended, Recording, Report, Unclear};
use plainsaid::vocabulary::Market;
use sha2::{Digest, Sha256};

use super::recording::{self, Ears, Hearing, Said};
use super::words::{Chosen, Words};
use super::{Problem, output};

/// Drafts a report from each recording or narration
///
/// For every input it writes a page to read, play and print (.html) and the report itself as data (.json), and shows
/// a short summary. Exit code: 0 when all went well, 2 when an input could not be used, 1 for anything else, 130 when
/// stopped with Ctrl-C; of several inputs, the highest.
#[derive(clap::Args)]
pub struct Args {
    /// Recordings or narrations, one for each vehicle
    ///
    /// A recording: WAV, FLAC, MP3, OGG, M4A, or a film (MP4, MOV, MKV, WebM). A narration: typed text with lines like
    /// "[1:05] words" (minutes:seconds or hours:minutes:seconds) or without times, captions (WebVTT, SRT), or a JSON
    /// transcript or report of plainsaid's own. What kind a file is comes from its contents, not from its name.
    #[arg(required = true, value_name = "INPUT")]
    inputs: Vec<PathBuf>,

    /// What to write, separated by commas
    ///
    /// html: a page to read, play and print. json: the report itself, for programs. md: text for notes or messages.
    /// csv: a table with a row for each finding. vtt: captions for the recording.
    #[arg(long, value_name = "FORMAT", value_delimiter = ',', default_value = "html,json", ignore_case = true)]
    #[arg(value_parser = formats())]
    format: Vec<Format>,

    /// Folder to write to, made where it is missing; "-" for standard output [default: the current folder]
    ///
    /// Outputs are named after the input. An input is never overwritten, and neither is a report that a person has
    /// corrected. "-" takes one input and one format, and prints nothing else.
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,

    /// Country whose units, money, side of the road and usual steering side apply
    #[arg(long, default_value = "uk", ignore_case = true, value_parser = markets())]
    market: Market,

    /// Side that the steering wheel is on, seen from the driver's seat [default: as usual in the market]
    #[arg(long, ignore_case = true, value_parser = hands())]
    steering: Option<Hand>,

    #[command(flatten)]
    ears: Ears,

    #[command(flatten)]
    chosen: Chosen,

    /// Also print, for each finding, how the words were read
    #[arg(long)]
    explain: bool,

    /// Print nothing but errors
    #[arg(long, short)]
    quiet: bool,
}

fn formats() -> impl TypedValueParser<Value = Format> {
    PossibleValuesParser::new(Format::ALL.map(Format::extension)).try_map(|name| name.to_lowercase().parse::<Format>())
}

pub(super) fn markets() -> impl TypedValueParser<Value = Market> {
    PossibleValuesParser::new(Market::ALL.map(Market::id)).try_map(|name| name.parse::<Market>())
}

pub(super) fn hands() -> impl TypedValueParser<Value = Hand> {
    PossibleValuesParser::new(["left", "right"])
        .map(|name| if name.eq_ignore_ascii_case("left") { Hand::Left } else { Hand::Right })
}

/// Set by Ctrl-C; looked at between steps, and by the recogniser all the time.
pub(super) static STOP: AtomicBool = AtomicBool::new(false);

/// Drafts every input and returns the exit code. One that fails does not keep the others from being drafted.
pub fn run(args: &Args) -> u8 {
    let problems = Draft::new(args).map_or_else(|problem| vec![problem], |mut draft| draft.all());
    problems.iter().map(Problem::code).max().unwrap_or(0)
}

struct Draft<'a> {
    args: &'a Args,
    formats: Vec<Format>,
    /// None for standard output.
    folder: Option<PathBuf>,
    words: Words,
    steering: Hand,
    hearing: Hearing,
}

impl<'a> Draft<'a> {
    fn new(args: &'a Args) -> Result<Self, Problem> {
        Self::set_up(args).inspect_err(Problem::tell)
    }

    fn set_up(args: &'a Args) -> Result<Self, Problem> {
        let mut formats = Vec::new();
        for &format in &args.format {
            if !formats.contains(&format) {
                formats.push(format);
            }
        }
        let standard = args.out.as_deref() == Some(Path::new("-"));
        if standard && (formats.len() > 1 || args.inputs.len() > 1) {
            return Err(Problem::BadInput(anyhow!(
                "--out - writes one report to standard output; name one input and one --format, or a folder"
            )));
        }
        heed_ctrl_c()?;
        // Hearing takes minutes: a mistake in the user's own word lists is better known now.
        let mut words = args.chosen.words()?;
        if !words.layers.own.is_empty() {
            words.of(&args.market.into())?;
        }
        Ok(Draft {
            args,
            formats,
            folder: (!standard).then(|| args.out.clone().unwrap_or_default()),
            words,
            steering: args.steering.unwrap_or(args.market.steering()),
            hearing: Hearing::default(),
        })
    }

    fn all(&mut self) -> Vec<Problem> {
        let inputs = &self.args.inputs;
        let names = match &self.folder {
            Some(folder) => output::names(inputs, folder, &self.formats),
            None => vec![OsString::new(); inputs.len()],
        };
        let mut problems = Vec::new();
        for (input, name) in inputs.iter().zip(&names) {
            if let Err(problem) = self.one(input, name) {
                problem.tell();
                let last = matches!(problem, Problem::Unwritable(_) | Problem::Stopped(_) | Problem::Unread);
                problems.push(problem);
                if last {
                    break;
                }
            }
        }
        problems
    }

    fn one(&mut self, path: &Path, name: &OsString) -> Result<(), Problem> {
        let input = narration::open(path).map_err(|error| match error.is_bad_input() {
            true => Problem::BadInput(error.into()),
            false => Problem::Failed(error.into()),
        })?;
        // Hearing takes minutes: whatever would keep the report from being written is better known now.
        if let Some(folder) = &self.folder {
            output::prepare(folder)?;
            if self.formats.contains(&Format::Json) {
                output::guard_corrections(&folder.join(output::with_ending(name, Format::Json)))?;
            }
        }
        let heard = self.hear(path, input)?;
        let report = self.report(path, &heard)?;
        let beside = Beside { recording: self.folder.as_ref().and_then(|folder| heard.played_from(path, folder)) };
        let mut files = Vec::with_capacity(self.formats.len());
        for &format in &self.formats {
            let text = rendering::render(&report, format, &beside).map_err(|error| match error {
                RenderError::Untimed(_) => Problem::BadInput(error.into()),
                _ => Problem::Failed(anyhow::Error::from(error).context(shown(path))),
            })?;
            files.push((output::with_ending(name, format), text));
        }
        go_on(path)?;
        let Some(folder) = &self.folder else {
            if self.args.explain {
                // Standard output holds the report and nothing else.
                let _ = anstream::stderr().lock().write_all(reading::explain(&report).as_bytes());
            }
            return files.iter().try_for_each(|(_, text)| output::to_standard(text));
        };
        let written = output::write_all(folder, &files)?;
        match self.show(&report, &written) {
            // The files are what was asked for; that nobody reads the summary keeps no other input from its own.
            Err(Problem::Unread) => Ok(()),
            shown => shown,
        }
    }

    fn show(&self, report: &Report, written: &[PathBuf]) -> Result<(), Problem> {
        let mut text = String::new();
        if !self.args.quiet {
            text.push_str(&rendering::summary(report, true));
        }
        if self.args.explain {
            let gap = if text.is_empty() { "" } else { "\n" };
            let _ = write!(text, "{gap}{}", reading::explain(report));
        }
        if !self.args.quiet {
            let files: Vec<String> = written.iter().map(|path| shown(path)).collect();
            let _ = writeln!(text, "\nWritten: {}", files.join(", "));
        }
        output::to_terminal(&text)
    }

    fn hear(&mut self, path: &Path, input: Input) -> Result<Heard, Problem> {
        match input {
            Input::Narration(narration) => Ok(Heard {
                narration,
                kind: Origin::Typed,
                model: None,
                of: None,
                unclear: Vec::new(),
                mended: Vec::new(),
            }),
            Input::Transcript(Transcript { narration, of }) => Ok(Heard {
                narration,
                kind: of.as_ref().map_or(Origin::Typed, |of| of.kind),
                model: of.as_ref().and_then(|of| of.model.clone()),
                of,
                unclear: Vec::new(),
                mended: Vec::new(),
            }),
            Input::Recording(_) => self.recording(path),
        }
    }

    fn recording(&mut self, path: &Path) -> Result<Heard, Problem> {
        let vocabulary = self.words.before_hearing(self.args.market)?;
        let options = reading::Options { steering: self.steering };
        let heard = self.hearing.words(&self.args.ears, path, vocabulary, &options, self.args.quiet)?;
        if heard.narration.words.is_empty() {
            return Err(recording::no_speech(path));
        }
        let Said { narration, kind, model, mended, unclear } = heard;
        Ok(Heard { narration, kind, model: Some(model), of: None, unclear, mended })
    }

    fn report(&mut self, path: &Path, heard: &Heard) -> Result<Report, Problem> {
        let vocabulary = self.words.for_narration(self.args.market, &heard.narration)?;
        let options = reading::Options { steering: self.steering };
        let read = reading::read(&heard.narration, vocabulary, &options);
        let (name, sha256) = match &heard.of {
            Some(of) => (of.name.clone(), of.sha256.clone()),
            None => (shown(path.file_name().unwrap_or(path.as_os_str()).as_ref()), fingerprint(path)?),
        };
        let Narration { words, duration, timed } = &heard.narration;
        Ok(Report {
            format: FORMAT.to_owned(),
            recording: Recording {
                name,
                sha256,
                duration_s: *duration,
                kind: heard.kind,
                model: heard.model.clone(),
                timed: *timed,
            },
            market: self.args.market.to_string(),
            vehicle: read.vehicle,
            findings: read.findings,
            set_aside: read.set_aside,
            transcript: words.clone(),
            mended: heard.mended.clone(),
            unclear: heard.unclear.clone(),
            history: Vec::new(),
        })
    }
}

struct Heard {
    narration: Narration,
    kind: Origin,
    model: Option<String>,
    /// The recording that a transcript names.
    of: Option<Source>,
    unclear: Vec<Unclear>,
    mended: Vec<Mended>,
}

impl Heard {
    /// The way from the page to the recording, if there is one to play.
    fn played_from(&self, input: &Path, folder: &Path) -> Option<String> {
        if self.kind == Origin::Typed {
            return None;
        }
        match &self.of {
            None => output::way_to(input, folder),
            // A transcript only tells the recording's name: it is looked for beside the transcript, nowhere else.
            Some(of) => output::way_to(&input.with_file_name(Path::new(&of.name).file_name()?), folder),
        }
    }
}

/// SHA-256 of a file's bytes, in lower-case hexadecimal.
pub(super) fn fingerprint(path: &Path) -> Result<String, Problem> {
    let unreadable = |error: io::Error| Problem::Failed(anyhow!("{}: cannot be read ({error})", shown(path)));
    let mut file = File::open(path).map_err(unreadable)?;
    let mut hash = Sha256::new();
    let mut buffer = vec![0; 1 << 16];
    loop {
        go_on(path)?;
        match file.read(&mut buffer) {
            Ok(0) => break,
            Ok(n) => hash.update(&buffer[..n]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(unreadable(error)),
        }
    }
    Ok(hash.finalize().iter().fold(String::with_capacity(64), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    }))
}

/// The first Ctrl-C lets the work end cleanly, the second ends it at once.
pub(super) fn heed_ctrl_c() -> Result<(), Problem> {
    ctrlc::set_handler(|| {
        if STOP.swap(true, Ordering::Relaxed) {
            std::process::exit(130);
        }
    })
    .map_err(|error| Problem::Failed(error.into()))
}

/// An error where the person has pressed Ctrl-C.
fn go_on(path: &Path) -> Result<(), Problem> {
    if STOP.load(Ordering::Relaxed) { Err(stopped(path)) } else { Ok(()) }
}

pub(super) fn stopped(path: &Path) -> Problem {
    Problem::Stopped(anyhow!("{}: stopped; nothing was written for it", shown(path)))
}
