//! `plainsaid vocab check`: every mistake in the word lists at once.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

use plainsaid::vocabulary::check;
use plainsaid::vocabulary::layers::{CHOSEN, Layers};

use crate::command::words::{self, Chosen};
use crate::command::{Problem, output};

/// Finds every mistake in the word lists: the file, the line and the mend
///
/// Goes through the words that plainsaid carries and those in your own folder. Exit code: 0 when all is well, 2 when
/// there are mistakes.
#[derive(clap::Args)]
pub struct Args {
    /// Folder with word lists of your own [default: $PLAINSAID_VOCAB, or plainsaid/vocab in your settings folder]
    #[arg(value_name = "FOLDER")]
    folder: Option<PathBuf>,

    /// Check again whenever a file is saved, until Ctrl-C
    #[arg(long)]
    watch: bool,
}

/// How often a watched folder is looked at.
const PAUSE: Duration = Duration::from_millis(300);

pub fn run(args: &Args) -> Result<u8, Problem> {
    let folder = args.folder.clone().or_else(|| Chosen::default().folder());
    let mut code = once(folder.as_deref())?;
    let (true, Some(folder)) = (args.watch, &folder) else {
        if args.watch {
            return Err(Problem::BadInput(anyhow::anyhow!(
                "there is no folder to watch; name one, or set PLAINSAID_VOCAB"
            )));
        }
        return Ok(code);
    };
    let mut before = saved(folder);
    loop {
        std::thread::sleep(PAUSE);
        let now = saved(folder);
        if now != before {
            before = now;
            output::to_terminal("\n")?;
            // A file can be away for a moment while an editor saves it.
            match once(Some(folder)) {
                Ok(made) => code = made,
                Err(Problem::Unread) => return Ok(code),
                Err(problem) => problem.tell(),
            }
        }
    }
}

fn once(folder: Option<&Path>) -> Result<u8, Problem> {
    let began = Instant::now();
    let layers = match folder {
        Some(folder) => words::with_own(folder)?,
        None => Layers::shipped(),
    };
    let mistakes = check::check(&layers);
    let took = began.elapsed().as_secs_f64() * 1000.0;
    let mut text = String::new();
    for mistake in &mistakes {
        let _ = writeln!(text, "{mistake}");
    }
    let own = match folder {
        Some(folder) => format!(" and {} of your own in {}", files(layers.own.len()), folder.display()),
        None => String::new(),
    };
    let carried: usize = layers.all().iter().filter(|layer| !layer.own).map(|layer| layer.files.len()).sum();
    let found = match mistakes.len() {
        0 => "no mistakes".to_owned(),
        1 => "1 mistake".to_owned(),
        n => format!("{n} mistakes"),
    };
    let _ = writeln!(text, "{found} in {} that plainsaid carries{own} ({took:.0} ms)", files(carried));
    output::to_terminal(&text)?;
    Ok(if mistakes.is_empty() { 0 } else { 2 })
}

fn files(count: usize) -> String {
    if count == 1 { "1 file".into() } else { format!("{count} files") }
}

/// When each file was saved last.
fn saved(folder: &Path) -> BTreeMap<PathBuf, (Option<SystemTime>, u64)> {
    let mut all = BTreeMap::new();
    for below in std::iter::once("").chain(CHOSEN) {
        for entry in std::fs::read_dir(folder.join(below)).into_iter().flatten().flatten() {
            let path = entry.path();
            if let Ok(meta) = entry.metadata()
                && path.extension().is_some_and(|e| e == "toml")
            {
                all.insert(path, (meta.modified().ok(), meta.len()));
            }
        }
    }
    all
}
