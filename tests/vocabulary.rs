//! The layers of the vocabulary: what is laid over what, what the check finds, what a marque's words bring, and what is
//! learned from corrections.

use std::path::{Path, PathBuf};
use std::time::Instant;

use plainsaid::narration::{self, Input, Narration};
use plainsaid::reading::{self, Options};
use plainsaid::report::Hand;
use plainsaid::scoring::{self, Score};
use plainsaid::tuning::history;
use plainsaid::tuning::learn::{Learner, differ, mended};
use plainsaid::vocabulary::check::check;
use plainsaid::vocabulary::{Choice, Layers, Market, Vocabulary, VocabularyError, schema};

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// A folder of the user's own with these files.
fn own(files: &[(&str, &str)]) -> (tempfile::TempDir, Layers) {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    let layers = Layers::with_own(folder.path()).unwrap();
    (folder, layers)
}

fn said(text: &str) -> Narration {
    match narration::from_bytes(Path::new("said.txt"), text.as_bytes()).unwrap() {
        Input::Narration(narration) => narration,
        _ => panic!("typed words are a narration"),
    }
}

/// Defect and part of every fault read in a sentence.
fn faults(text: &str, vocabulary: &Vocabulary) -> Vec<String> {
    let read = reading::read(&said(text), vocabulary, &Options { steering: Hand::Right });
    let id = |named: Option<plainsaid::report::Named>| named.map_or("-".to_owned(), |n| n.id);
    let faults = read.findings.into_iter().filter(|f| f.defect.is_some());
    faults.map(|f| format!("{} {}", id(f.defect), id(f.part))).collect()
}

#[test]
fn the_shipped_layers_are_clean() {
    let mistakes = check(&Layers::shipped());
    let told: Vec<String> = mistakes.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "{} mistakes\n{}", told.len(), told.join("\n"));
}

/// The check runs at every save: it must cost no more than a few starts of the program. Milliseconds are printed, and
/// mean something in an optimised build on a quiet machine only; the proportion holds on a busy one too.
#[test]
fn the_check_costs_no_more_than_a_few_starts() {
    let layers = Layers::shipped();
    let best = |work: &dyn Fn()| {
        let times = (0..10).map(|_| {
            let began = Instant::now();
            work();
            began.elapsed().as_secs_f64() * 1000.0
        });
        times.fold(f64::MAX, f64::min)
    };
    let check_ms = best(&|| drop(check(&layers)));
    let compile_ms = best(&|| drop(layers.vocabulary(&Market::Uk.into())));
    println!("vocab check over the shipped layers: {check_ms:.1} ms; to put a vocabulary together: {compile_ms:.1} ms");
    assert!(check_ms < 8.0 * compile_ms, "{check_ms:.1} ms against {compile_ms:.1} ms");
}

/// Each folder below `broken` is a user's own, with what the check has to say of it in `expected.txt`: file, line, and how
/// the sentence begins or what it holds. Nothing else may be said.
#[test]
fn broken_vocabularies_are_caught_with_file_and_line() {
    let mut folders: Vec<PathBuf> =
        std::fs::read_dir(here("tests/vocabulary/broken")).unwrap().map(|e| e.unwrap().path()).collect();
    folders.sort();
    assert!(folders.len() >= 40, "{} broken vocabularies", folders.len());
    let mut wrong = Vec::new();
    for folder in folders {
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let prefix = format!("{}{}", folder.display(), std::path::MAIN_SEPARATOR);
        let found: Vec<String> = match Layers::with_own(&folder) {
            Ok(layers) => check(&layers).iter().map(|m| m.to_string().replace(&prefix, "")).collect(),
            Err(error) => vec![error.to_string().replace(&prefix, "")],
        };
        let expected = std::fs::read_to_string(folder.join("expected.txt")).unwrap();
        let mut left = found.clone();
        for wanted in expected.lines() {
            let mut pieces = wanted.splitn(3, ':');
            let place = format!("{}:{}:", pieces.next().unwrap(), pieces.next().unwrap());
            let what = pieces.next().unwrap().trim();
            match left.iter().position(|l| l.starts_with(&place) && l.contains(what)) {
                Some(at) => drop(left.remove(at)),
                None => wrong.push(format!("{name}: wanted {wanted}\n    found {found:#?}")),
            }
        }
        for more in left {
            wrong.push(format!("{name}: not wanted: {more}"));
        }
        if found
            .iter()
            .any(|f| !f.contains(':') || !f.contains(';') && !f.contains("bracket") && !f.contains("can mean"))
        {
            wrong.push(format!("{name}: tells no mend: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_schema_is_published_as_it_is() {
    let path = here("docs/vocabulary.schema.json");
    let published = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        published == schema::text(),
        "docs/vocabulary.schema.json is out of date; write it with `plainsaid schema vocabulary > {}`",
        path.display()
    );
}

#[test]
fn a_later_layer_adds_changes_and_silences() {
    let text = r#"
[[part]]
id = "wimple"
say = ["wimple[s]"]
zone = "side"

[[defect]]
id = "dent"
noun = ["wallop mark"]
severity = "heavy"

[[defect]]
id = "rust"
silent = true

[[part]]
id = "bonnet"
unsay = ["bonnet[s]"]
"#;
    let (_folder, layers) = own(&[("mine.toml", text)]);
    let base = Vocabulary::shipped(Market::Uk).unwrap();
    let tuned = layers.vocabulary(&Market::Uk.into()).unwrap();
    assert_eq!(faults("there is a dent in the wimple", &base), ["dent -"]);
    assert_eq!(faults("there is a dent in the wimple", &tuned), ["dent wimple"]);
    // Changed by what it gives, and as it was in the rest.
    assert_eq!(faults("there is a wallop mark on the tailgate", &tuned), ["dent tailgate"]);
    let dent = |v: &Vocabulary| v.entries.dent();
    assert!(dent(&tuned).1 > dent(&base).1 && dent(&tuned).0.is_some());
    assert_eq!(faults("there is rust on the tailgate", &base), ["rust tailgate"]);
    assert!(faults("there is rust on the tailgate", &tuned).is_empty());
    let says = |v: &Vocabulary, text: &str| faults(text, v).iter().any(|f| f.ends_with("bonnet"));
    let pattern = base.entries.part.iter().find(|p| p.id == "bonnet").unwrap().say.contains(&"bonnet[s]".to_owned());
    assert!(says(&base, "there is a dent in the bonnet"));
    assert!(!pattern || !says(&tuned, "there is a dent in the bonnet"), "unsaid and said still");
}

trait Dent {
    /// Its severity, and how many ways it is said in.
    fn dent(&self) -> (Option<plainsaid::report::Severity>, usize);
}

impl Dent for plainsaid::vocabulary::entries::Entries {
    fn dent(&self) -> (Option<plainsaid::report::Severity>, usize) {
        let dent = self.defect.iter().find(|d| d.id == "dent").unwrap();
        (dent.severity, dent.noun.len())
    }
}

#[test]
fn an_entry_written_anew_forgets_what_it_was() {
    let text = "[[defect]]\nid = \"dent\"\nanew = true\nnoun = [\"wallop mark\"]\n";
    let (_folder, layers) = own(&[("mine.toml", text)]);
    let tuned = layers.vocabulary(&Market::Uk.into()).unwrap();
    assert_eq!(tuned.entries.dent(), (None, 1));
    assert!(faults("there is a dent in the tailgate", &tuned).is_empty());
}

#[test]
fn unknown_keys_are_refused_with_their_line() {
    let (_folder, layers) = own(&[("mine.toml", "[[part]]\nid = \"wimple\"\nsey = [\"wimple\"]\n")]);
    let Err(VocabularyError::Toml { file, message }) = layers.vocabulary(&Market::Uk.into()) else { panic!("taken") };
    assert!(file.ends_with("mine.toml:3"), "{file}");
    assert!(message.contains("sey"), "{message}");
}

#[test]
fn kinds_and_marques_are_known_by_their_words() {
    let recogniser = Layers::shipped().recogniser().unwrap();
    let choose = |text: &str| recogniser.choose(&said(text), Market::Uk);
    let choice = choose("this is a brannock drover panel van in white");
    assert_eq!((choice.marque.as_deref(), choice.kinds.as_slice()), (Some("brannoch"), &["van".to_owned()][..]));
    assert_eq!(choose("a vel mira arclet fully electric").kinds, ["electric"]);
    assert_eq!(choose("the tarvain wayfold motorhome").marque.as_deref(), Some("tarvane"));
    assert_eq!(choose("a hatchback of no name").marque, None);
    let later = format!("{} and a van parked beside it", "nothing of note here at all ".repeat(20));
    assert!(choose(&later).kinds.is_empty());
    let (_folder, layers) = own(&[(
        "marques/pellon.toml",
        "[[make]]\nid = \"pellon\"\nsay = [\"pellon\"]\n\n[[part]]\nid = \"sprag\"\nsay = [\"sprag[s]\"]\n",
    )]);
    let choice =
        layers.recogniser().unwrap().choose(&said("this is a pellon there is a dent in the sprag"), Market::Uk);
    assert_eq!(choice.marque.as_deref(), Some("pellon"));
    let vocabulary = layers.vocabulary(&choice).unwrap();
    assert_eq!(faults("there is a dent in the sprag", &vocabulary), ["dent sprag"]);
    assert_eq!(faults("there is a dent in the sprag", &layers.vocabulary(&Market::Uk.into()).unwrap()), ["dent -"]);
}

/// Fault F1 over one labelled narration.
fn score_of(name: &str, choice: impl Fn(&Narration) -> Choice) -> (f64, f64, f64, f64) {
    let cases = scoring::cases(&here("tests/marques")).unwrap();
    let case = cases.iter().find(|case| case.name == name).unwrap();
    let Input::Narration(narration) = narration::open(&case.text_path).unwrap() else { panic!("{name}") };
    let vocabulary = Layers::shipped().vocabulary(&choice(&narration)).unwrap();
    let read = reading::read(&narration, &vocabulary, &Options { steering: Hand::Right });
    let mut score = Score::default();
    score.add(case, &read.vehicle, &read.findings);
    let figures = score.figures();
    let of = |name: &str| figures.iter().find(|(n, _)| n == name).map_or(0.0, |f| f.1);
    (of("fault F1"), of("placed-fault F1"), of("trap rate"), of("fitted F1"))
}

#[test]
fn each_marque_raises_the_score_of_a_narration_in_its_words() {
    let recogniser = Layers::shipped().recogniser().unwrap();
    for name in ["brannoch-drover", "velmira-arclet", "tarvane-hearthline"] {
        let with = |narration: &Narration| recogniser.choose(narration, Market::Uk);
        let without = |narration: &Narration| Choice { marque: None, ..recogniser.choose(narration, Market::Uk) };
        let (before, after) = (score_of(name, without), score_of(name, with));
        println!(
            "{name}: fault F1 {:.3} to {:.3}, placed {:.3} to {:.3}, traps {:.3} to {:.3}, fitted {:.3} to {:.3}",
            before.0, after.0, before.1, after.1, before.2, after.2, before.3, after.3
        );
        assert!(after.0 > before.0, "{name}: fault F1");
        assert!(after.1 > before.1, "{name}: placed-fault F1");
        assert!(after.2 <= before.2, "{name}: traps");
        assert!(after.3 > before.3, "{name}: fitted F1");
    }
}

#[test]
fn a_trim_belongs_to_the_name_of_its_model() {
    let recogniser = Layers::shipped().recogniser().unwrap();
    let narration = said("this is a brannoch drover crofter plus twenty nineteen diesel white");
    let vocabulary = Layers::shipped().vocabulary(&recogniser.choose(&narration, Market::Uk)).unwrap();
    let vehicle = reading::read(&narration, &vocabulary, &Options { steering: Hand::Right }).vehicle;
    assert_eq!(vehicle.make.as_deref(), Some("brannoch"));
    assert_eq!(vehicle.model.as_deref(), Some("drover Crofter Plus"));
}

#[test]
fn ones_own_rates_price_a_fault_and_examples_do_not() {
    let base = Vocabulary::shipped(Market::Uk).unwrap();
    assert!(base.entries.rate.iter().all(|rate| rate.example), "what ships is an example");
    let text = r#"
[[rate]]
id = "my-dents"
remedy = ["dent-removal"]
on = ["class:body"]
low = 45
high = 70
who = "dents"
"#;
    let (_folder, layers) = own(&[("rates.toml", text)]);
    let tuned = layers.vocabulary(&Market::Uk.into()).unwrap();
    let cost = |text: &str, v: &Vocabulary| {
        let read = reading::read(&said(text), v, &Options { steering: Hand::Right });
        read.findings.into_iter().find_map(|f| f.cost).map(|c| (c.low, c.high, c.from))
    };
    use plainsaid::report::CostSource::{Rates, Said};
    let sentence = "there is a small dent in the bonnet";
    assert_eq!(cost(sentence, &base), None);
    assert_eq!(cost(sentence, &tuned), Some((45.0, 70.0, Rates)));
    // What was said counts before any rate.
    let said = cost("there is a small dent in the bonnet that will cost eighty pounds to put right", &tuned);
    assert!(said.is_none_or(|c| c.2 == Said || c == (45.0, 70.0, Rates)), "{said:?}");
    assert_eq!(cost("the windscreen is cracked", &tuned), None);
}

/// The example drafts, each with corrections that a person made.
fn examples() -> Vec<history::Draft> {
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(here("tests/corrections")).unwrap().map(|e| e.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|e| e == "json"));
    paths.sort();
    paths.iter().map(|path| history::open(path, Market::Uk).unwrap()).collect()
}

#[test]
fn what_is_learned_mends_its_sentence_and_changes_what_was_foretold() {
    let drafts = examples();
    let corrections: usize = drafts.iter().map(|d| d.corrections.len()).sum();
    assert!(corrections >= 8, "{corrections} corrections");
    let folder = tempfile::tempdir().unwrap();
    let layers = Layers::with_own(folder.path()).unwrap();
    let learner = Learner::new(layers.clone(), folder.path(), &drafts, Vec::new()).unwrap();
    let mut tried = 0;
    for (nth, draft) in drafts.iter().enumerate() {
        for correction in &draft.corrections {
            let proposal = learner.propose(nth, correction).unwrap();
            let proposal = proposal.unwrap_or_else(|why| panic!("{} {:?}: {why}", draft.name, correction.quote));
            // Written as it would be, read from the disk as any layer is.
            let mut accepting = Learner::new(layers.clone(), folder.path(), &drafts, Vec::new()).unwrap();
            let before = accepting.readings_now().to_vec();
            accepting.accept(&proposal).unwrap();
            let written = tempfile::tempdir().unwrap();
            std::fs::write(written.path().join("learned.toml"), accepting.text()).unwrap();
            let tuned = Layers::with_own(written.path()).unwrap();
            let mistakes: Vec<String> = check(&tuned).iter().map(ToString::to_string).collect();
            assert!(mistakes.is_empty(), "{}\n{}", mistakes.join("\n"), accepting.text());
            let mut changes = Vec::new();
            for (at, other) in drafts.iter().enumerate() {
                let vocabulary = tuned.vocabulary(&learner.choice_of(other)).unwrap();
                let after = reading::read(&other.narration, &vocabulary, &Options { steering: other.steering });
                if at == nth {
                    assert!(
                        mended(correction, &after, &other.narration, &vocabulary),
                        "{} {:?}",
                        draft.name,
                        correction.quote
                    );
                }
                changes.extend(differ(&other.name, &before[at], &after));
            }
            assert_eq!(changes, proposal.changes, "{} {:?}", draft.name, correction.quote);
            println!("{}: {} {:?}\n{}", proposal.corrected, proposal.at, proposal.quote, proposal.entries.text());
            tried += 1;
        }
    }
    println!("{tried} corrections, each mended by what was proposed, and nothing changed but what was foretold");
}

#[test]
fn accepted_together_they_change_what_is_foretold_one_after_the_other() {
    let drafts = examples();
    let folder = tempfile::tempdir().unwrap();
    let layers = Layers::with_own(folder.path()).unwrap();
    let mut learner = Learner::new(layers, folder.path(), &drafts, Vec::new()).unwrap();
    for (nth, draft) in drafts.iter().enumerate() {
        for correction in &draft.corrections {
            if let Ok(proposal) = learner.propose(nth, correction).unwrap() {
                let before = learner.readings_now().to_vec();
                learner.accept(&proposal).unwrap();
                let changes: Vec<_> = drafts
                    .iter()
                    .zip(before.iter().zip(learner.readings_now()))
                    .filter_map(|(d, (before, after))| differ(&d.name, before, after))
                    .collect();
                assert_eq!(changes, proposal.changes);
            }
        }
    }
    std::fs::write(folder.path().join("learned.toml"), learner.text()).unwrap();
    let tuned = Layers::with_own(folder.path()).unwrap();
    assert_eq!(check(&tuned), []);
    for (draft, foretold) in drafts.iter().zip(learner.readings_now()) {
        let vocabulary = tuned.vocabulary(&learner.choice_of(draft)).unwrap();
        let read = reading::read(&draft.narration, &vocabulary, &Options { steering: draft.steering });
        assert_eq!(&read, foretold, "{}", draft.name);
    }
}

#[test]
fn gaps_rank_words_of_the_trade_over_ordinary_ones() {
    let text = "[0:00] this is a 2016 Lorrick Tarn diesel with eighty thousand miles\n[0:10] the skroodle is cracked and the skroodle cover is loose\n[0:20] there is a dent in the skroodle\n\
                [0:40] my holiday was wonderful and the neighbour came round\n[0:50] the door is a bit flombered\n";
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("walk.txt");
    std::fs::write(&path, text).unwrap();
    let drafts = [history::open(&path, Market::Uk).unwrap()];
    let vocabulary = Vocabulary::shipped(Market::Uk).unwrap();
    let gaps = plainsaid::tuning::gaps::gaps(&drafts, |_| &vocabulary);
    assert_eq!(gaps[0].phrase, "skroodle");
    assert_eq!((gaps[0].count, gaps[0].kind), (3, "part"));
    assert!(gaps.iter().any(|gap| gap.phrase == "flombered"));
    assert!(gaps.iter().all(|gap| !gap.phrase.contains("holiday") && !gap.phrase.contains("neighbour")));
    // The entry is ready to paste.
    let (_folder, layers) = own(&[("mine.toml", &gaps[0].entry())]);
    assert_eq!(check(&layers), []);
    assert_eq!(
        faults("there is a dent in the skroodle", &layers.vocabulary(&Market::Uk.into()).unwrap()),
        ["dent skroodle"]
    );
}

fn plainsaid(own: &Path, args: &[&str]) -> (i32, String, String) {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_plainsaid"))
        .env("PLAINSAID_VOCAB", own)
        .current_dir(own)
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

#[test]
fn the_commands_use_the_users_own_folder_and_refuse_a_broken_one() {
    let (folder, _) = own(&[
        ("mine.toml", "[[part]]\nid = \"skrimmet\"\nsay = [\"skrimmet[s]\"]\n"),
        ("walk.txt", "there is a dent in the skrimmet\n"),
    ]);
    let (code, out, _) = plainsaid(folder.path(), &["vocab", "check"]);
    assert!(code == 0 && out.contains("no mistakes"), "{out}");
    let (code, out, _) = plainsaid(folder.path(), &["draft", "walk.txt", "--format", "csv", "--out", "-"]);
    assert!(code == 0 && out.contains("skrimmet"), "{out}");
    let (code, out, _) = plainsaid(folder.path(), &["vocab", "try", "dent in the skrimmet"]);
    assert!(code == 0 && out.contains("dent on skrimmet"), "{out}");
    let (code, out, _) = plainsaid(folder.path(), &["vocab", "show", "skrimmets"]);
    assert!(code == 0 && out.contains("mine.toml:1"), "{out}");
    let (code, out, _) = plainsaid(folder.path(), &["vocab", "list", "--kind", "parts"]);
    assert!(code == 0 && out.lines().any(|l| l.starts_with("skrimmet") && l.contains("own")), "{out}");
    let (code, _, told) = plainsaid(folder.path(), &["draft", "walk.txt", "--marque", "skoop"]);
    assert!(code == 2 && told.contains("brannoch") && told.lines().count() == 1, "{told}");
    std::fs::write(folder.path().join("mine.toml"), "[[part]]\nid = \"skrimmet\"\nsey = [\"skrimmet\"]\n").unwrap();
    let (code, out, _) = plainsaid(folder.path(), &["vocab", "check"]);
    assert!(code == 2 && out.contains("mine.toml:3: `sey` is no key of a part; did you mean `say`?"), "{out}");
    let (code, _, told) = plainsaid(folder.path(), &["draft", "walk.txt"]);
    assert!(code == 2 && told.contains("mine.toml:") && told.lines().count() == 1, "{told}");
}

#[test]
fn accepted_proposals_are_written_and_nothing_else_is() {
    let (folder, _) = own(&[]);
    let drafts: Vec<String> = ["lorrick-hatch", "penmarl-van", "tarrow-estate"]
        .iter()
        .map(|name| here(&format!("tests/corrections/{name}.json")).display().to_string())
        .collect();
    let run = |accept: &str| {
        let mut args = vec!["vocab", "learn", "--accept", accept];
        args.extend(drafts.iter().map(String::as_str));
        plainsaid(folder.path(), &args)
    };
    let (code, out, _) = run("none");
    assert!(code == 0 && out.contains("Nothing was written"), "{out}");
    assert!(!folder.path().join("learned.toml").exists());
    let (code, out, _) = run("2");
    assert!(code == 0 && out.contains("1 proposal written"), "{out}");
    let written = std::fs::read_to_string(folder.path().join("learned.toml")).unwrap();
    assert!(written.contains("gribble") && written.contains("note = 'from lorrick-hatch.json at"), "{written}");
    // What was learned once is not proposed again, and what is learned later is added to it.
    let (code, out, _) = run("all");
    assert!(code == 0 && !out.contains("say = [\"gribble"), "{out}");
    let written = std::fs::read_to_string(folder.path().join("learned.toml")).unwrap();
    assert!(written.contains("gribble") && written.contains("whiddy") && written.contains("squiffled"), "{written}");
    assert_eq!(plainsaid(folder.path(), &["vocab", "check"]).0, 0);
}
