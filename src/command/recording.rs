//! Hearing a recording for a command: one model for all inputs, a bar on the terminal, and every way in which it can end.

use std::path::{Path, PathBuf};

use anyhow::anyhow;
#[cfg(feature = "hearing")]
use plainsaid::mending;
use plainsaid::narration::{Narration, Origin, shown};
use plainsaid::reading::Options;
use plainsaid::report::{Mended, Unclear};
use plainsaid::vocabulary::Vocabulary;

use super::Problem;

/// How recordings are heard.
#[derive(clap::Args, Clone, Debug)]
pub struct Ears {
    /// Speech model to hear with, a Whisper model in ggml format [default: the one that plainsaid carries]
    #[arg(long, value_name = "FILE")]
    model: Option<PathBuf>,

    /// Hear with the bare model, to compare: no trade words favoured, no pauses left out, nothing doubted or mended
    ///
    /// What it writes is to the letter what the speech model says. It takes longer, and memory grows with the recording.
    #[arg(long)]
    pub plain_hearing: bool,
}

/// A recording's words.
pub struct Said {
    pub narration: Narration,
    pub kind: Origin,
    pub model: String,
    pub mended: Vec<Mended>,
    pub unclear: Vec<Unclear>,
}

/// The model, once it is loaded.
#[derive(Default)]
pub struct Hearing {
    #[cfg(feature = "hearing")]
    hearer: Option<plainsaid::hearing::Hearer>,
}

impl Hearing {
    #[cfg(feature = "hearing")]
    pub fn words(
        &mut self,
        ears: &Ears,
        path: &Path,
        vocabulary: &Vocabulary,
        options: &Options,
        quiet: bool,
    ) -> Result<Said, Problem> {
        use plainsaid::hearing::{Hearer, HearingError, ModelSource};

        let problem = |error: HearingError| match error {
            HearingError::Stopped { .. } => super::draft::stopped(path),
            error if error.is_bad_input() => Problem::BadInput(error.into()),
            error => Problem::Failed(error.into()),
        };
        #[cfg(feature = "carried-model")]
        let source = ears.model.as_deref().map_or(ModelSource::Carried, ModelSource::File);
        #[cfg(not(feature = "carried-model"))]
        let Some(source) = ears.model.as_deref().map(ModelSource::File) else {
            return Err(Problem::BadInput(anyhow!(
                "{}: is a recording, and this plainsaid carries no speech model; name one with --model FILE",
                shown(path)
            )));
        };
        let hearer = match &mut self.hearer {
            Some(hearer) => hearer,
            none if ears.plain_hearing => none.insert(Hearer::bare(source).map_err(problem)?),
            none => {
                let hearer = none.insert(Hearer::new(source).map_err(problem)?);
                hearer.expect(vocabulary.terms().iter().map(String::as_str), &vocabulary.facts.opening);
                hearer
            }
        };
        let bar = Bar::new(path, quiet);
        let heard = hearer.hear(path, &mut |progress| bar.show(progress), &super::draft::STOP);
        bar.clear();
        let heard = heard.map_err(problem)?;
        if heard.cut_short {
            let end = heard.narration.duration.unwrap_or_default().clock();
            super::complain(&format!(
                "{}: breaks off or is damaged at {end}; what was said after that is missing",
                shown(path)
            ));
        }
        let (narration, mended) = match ears.plain_hearing {
            true => (heard.narration, Vec::new()),
            false => mending::mend(heard.narration, vocabulary, options, &|word| hearer.is_ordinary(word)),
        };
        let unclear = heard.unclear.iter().map(|&(start, end)| Unclear { start, end }).collect();
        Ok(Said { narration, kind: heard.origin, model: hearer.model_name().to_string(), mended, unclear })
    }

    #[cfg(not(feature = "hearing"))]
    pub fn words(&mut self, _: &Ears, path: &Path, _: &Vocabulary, _: &Options, _: bool) -> Result<Said, Problem> {
        Err(Problem::Failed(anyhow!(
            "{}: is a recording, and this plainsaid was built without hearing; build it with `--features hearing`, or \
             give it a typed narration or captions",
            shown(path)
        )))
    }
}

/// Nothing was said, or nothing that could be heard.
pub fn no_speech(path: &Path) -> Problem {
    Problem::BadInput(anyhow!(
        "{}: no speech was heard in it; play it to check that the voice is there, and record nearer to the mouth",
        shown(path)
    ))
}

/// How far hearing has come, on a terminal only.
#[cfg(feature = "hearing")]
struct Bar(indicatif::ProgressBar);

#[cfg(feature = "hearing")]
impl Bar {
    fn new(path: &Path, quiet: bool) -> Self {
        use std::io::IsTerminal;

        if quiet || !std::io::stderr().is_terminal() {
            return Bar(indicatif::ProgressBar::hidden());
        }
        let bar = indicatif::ProgressBar::no_length();
        bar.set_message(shown(path.file_name().unwrap_or(path.as_os_str()).as_ref()));
        if let Ok(style) = indicatif::ProgressStyle::with_template("hearing {msg} {wide_bar} {percent:>3}%, {eta} left")
        {
            bar.set_style(style);
        }
        Bar(bar)
    }

    fn show(&self, progress: plainsaid::hearing::Progress) {
        // The bar counts in whole steps: thousandths of a second.
        let steps = |time: plainsaid::narration::Seconds| (time.0 * 1000.0) as u64;
        if let Some(whole) = progress.whole {
            self.0.set_length(steps(whole));
        }
        self.0.set_position(steps(progress.done));
    }

    fn clear(&self) {
        self.0.finish_and_clear();
    }
}
