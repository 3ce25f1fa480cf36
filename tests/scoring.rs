//! `plainsaid score` measures as the shared scorer does, figure for figure.
//!
//! What both count: a drafted fault matches a labelled one when their quotes overlap in the narration and the defect is
//! one of the accepted names; the pairs that agree best in part, side and extent go first, and each is used once. Part,
//! side, end, severity, size and count within a quarter, remedy, price, safety and time are then compared over the
//! matched; sound, fitted, checked and unchecked by quote and name; facts of the vehicle by their words.
//!
//! `tests/scoring` holds narrations with labels and drafts that are wrong in every way that counts (sides changed, quotes
//! never said, moments shifted, traps drafted as faults, letters of more than one byte), and in `expected.txt` what the
//! shared scorer printed for exactly these. The other tests run that scorer itself, where it lies beside the repository
//! as `../shared/score.py` or where `PLAINSAID_SCORER` says.

use std::path::{Path, PathBuf};
use std::process::Command;

use plainsaid::report::Report;
use plainsaid::scoring::{self, Score};

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Name and figure of each line that has them: how many cases there were is told by each in its own words.
fn figures(printed: &str) -> Vec<(String, String)> {
    printed
        .lines()
        .filter_map(|line| {
            let (name, value) = line.rsplit_once(' ')?;
            value.parse::<f64>().ok().filter(|_| value.contains('.'))?;
            Some((name.trim().to_string(), value.to_string()))
        })
        .collect()
}

#[test]
fn recorded_drafts_score_as_recorded() {
    let mut score = Score::default();
    let cases = scoring::cases(&here("tests/scoring")).unwrap();
    assert_eq!(cases.len(), 3);
    for case in &cases {
        let draft = std::fs::read_to_string(here(&format!("tests/scoring/drafts/{}.json", case.name))).unwrap();
        let draft: Report = serde_json::from_str(&draft).unwrap();
        score.add(case, &draft.vehicle, &draft.findings);
    }
    let expected = std::fs::read_to_string(here("tests/scoring/expected.txt")).unwrap();
    let wanted = figures(&expected);
    assert_eq!(wanted.len(), 21, "expected.txt holds every figure");
    assert_eq!(figures(&score.table()), wanted);
    // The totals behind the figures, as the shared scorer names them.
    let totals: serde_json::Value =
        serde_json::from_str(expected.lines().find_map(|l| l.strip_prefix("counts ")).unwrap()).unwrap();
    assert_eq!(
        score.table().lines().last().unwrap(),
        format!(
            "{} faults labelled, {} drafted, {} matched, {} of them placed; {} of {} traps sprung; {} quotes not found",
            totals["gold"],
            totals["pred"],
            totals["hit"],
            totals["strict"],
            totals["sprung"],
            totals["traps"],
            totals["unplaced"]
        )
    );
}

/// The shared scorer, where there is one.
fn shared_scorer() -> Option<PathBuf> {
    let named = std::env::var_os("PLAINSAID_SCORER").map(PathBuf::from);
    let scorer = named.unwrap_or_else(|| here("../shared/score.py"));
    scorer.exists().then_some(scorer)
}

fn printed(command: &mut Command) -> String {
    let out = command.output().unwrap_or_else(|e| panic!("{command:?}: {e}"));
    assert!(out.status.success(), "{command:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

/// Runs both over a folder through the program, as a user would.
fn both_print_the_same(cases: &Path) {
    let Some(scorer) = shared_scorer() else {
        eprintln!("no shared scorer beside the repository: only the recorded drafts are compared");
        return;
    };
    let program = env!("CARGO_BIN_EXE_plainsaid");
    let run = format!("{program} draft {{txt}} --market {{market}} --steering {{steering}} --format json --out -");
    let theirs = printed(Command::new("python3").arg(scorer).arg("--run").arg(run).arg(cases));
    let ours = printed(Command::new(program).arg("score").arg(cases));
    let theirs = figures(&theirs);
    assert!(theirs.len() > 10, "the shared scorer printed figures");
    assert_eq!(figures(&ours), theirs);
}

#[test]
fn the_projects_own_cases_score_alike() {
    both_print_the_same(&here("tests/cases"));
}

#[test]
fn the_shared_cases_score_alike() {
    let cases = shared_scorer().and_then(|s| Some(s.parent()?.join("cases")));
    match cases.filter(|c| c.is_dir()) {
        Some(cases) => both_print_the_same(&cases),
        None => eprintln!("no shared cases beside the repository"),
    }
}
