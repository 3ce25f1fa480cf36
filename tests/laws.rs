//! Laws that reading keeps, whatever is said: tested over the project's labelled narrations.

use std::path::{Path, PathBuf};

use plainsaid::narration::{self, Input, Narration, Seconds, Word};
use plainsaid::reading::{self, Options, Reading};
use plainsaid::report::{Finding, Hand, Kind, Side};
use plainsaid::vocabulary::{Market, Vocabulary};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed, TestRunner};

struct Case {
    name: String,
    narration: Narration,
    market: Market,
    steering: Hand,
}

fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .collect();
    paths.sort();
    assert!(paths.len() >= 12, "the labelled narrations are there");
    paths
        .into_iter()
        .map(|path| {
            let labels: serde_json::Value =
                serde_json::from_str(&std::fs::read_to_string(path.with_extension("json")).unwrap()).unwrap();
            let Input::Narration(narration) = narration::open(&path).unwrap() else { panic!("{}", path.display()) };
            Case {
                name: path.file_stem().unwrap().to_string_lossy().into_owned(),
                narration,
                market: labels["market"].as_str().unwrap().parse().unwrap(),
                steering: if labels["steering"] == "left" { Hand::Left } else { Hand::Right },
            }
        })
        .collect()
}

fn vocabulary(market: Market) -> &'static Vocabulary {
    use std::sync::OnceLock;
    static ALL: [OnceLock<Vocabulary>; 4] = [const { OnceLock::new() }; 4];
    ALL[market as usize].get_or_init(|| Vocabulary::shipped(market).unwrap())
}

fn read(case: &Case, narration: &Narration) -> Reading {
    reading::read(narration, vocabulary(case.market), &Options { steering: case.steering })
}

/// What a finding says, without the letters and moments in which it was said.
fn gist(f: &Finding) -> String {
    format!(
        "{:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
        f.kind,
        f.part.as_ref().map(|p| &p.id),
        f.item.as_ref().map(|p| &p.id),
        f.side,
        f.end,
        f.defect.as_ref().map(|d| &d.id),
        f.severity,
        f.size_mm,
        f.count,
        f.cost.as_ref().map(|c| (c.low, c.high, c.currency.clone())),
        f.remedies.iter().map(|r| &r.id).collect::<Vec<_>>(),
        f.safety,
    )
}

/// The same spots in every run, so that a red test is always the change's own doing.
fn steady(cases: u32) -> Config {
    Config { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(0x5AFE), ..Config::default() }
}

fn gists(reading: &Reading) -> Vec<String> {
    reading.findings.iter().map(gist).collect()
}

fn same(case: &Case, law: &str, before: &Reading, after: &Reading) {
    let (a, b) = (gists(before), gists(after));
    for (x, y) in a.iter().zip(&b) {
        assert_eq!(x, y, "{}: {law}", case.name);
    }
    assert_eq!(a.len(), b.len(), "{}: {law}", case.name);
}

fn with_words(narration: &Narration, each: impl FnMut(&Word) -> Vec<Word>) -> Narration {
    Narration { words: narration.words.iter().flat_map(each).collect(), ..narration.clone() }
}

#[test]
fn punctuation_and_capitals_change_no_finding() {
    for case in cases() {
        let bare = with_words(&case.narration, |w| {
            let text = w.text.to_lowercase();
            let text = text.trim_matches(|c: char| c.is_ascii_punctuation() && !matches!(c, '$' | '%' | '\''));
            if text.is_empty() { Vec::new() } else { vec![Word { text: text.to_string(), ..w.clone() }] }
        });
        // Facts such as a registration hang on capitals; findings do not.
        same(&case, "bare of punctuation and capitals", &read(&case, &case.narration), &read(&case, &bare));
    }
}

#[test]
fn full_stops_after_every_word_change_no_finding() {
    for case in cases() {
        let dotted = with_words(&case.narration, |w| {
            let figure = w.text.chars().any(|c| c.is_ascii_digit());
            let text = if figure { w.text.clone() } else { format!("{}.", w.text) };
            vec![Word { text, ..w.clone() }]
        });
        same(&case, "full stops put in", &read(&case, &case.narration), &read(&case, &dotted));
    }
}

#[test]
fn line_breaks_and_times_change_no_finding() {
    for case in cases() {
        let mut at = 0.0;
        let moved = with_words(&case.narration, |w| {
            at += 0.4;
            vec![Word {
                start: Seconds(at),
                end: Seconds(at + 0.3),
                opens_line: (at as u32).is_multiple_of(7),
                ..w.clone()
            }]
        });
        same(&case, "line breaks moved", &read(&case, &case.narration), &read(&case, &moved));
    }
}

#[test]
fn reading_is_deterministic() {
    for case in cases() {
        assert_eq!(read(&case, &case.narration), read(&case, &case.narration), "{}", case.name);
    }
}

#[test]
fn fillers_change_no_finding() {
    let cases = cases();
    let mut runner = TestRunner::new(steady(60));
    let which = (0..cases.len(), prop::collection::vec((0usize..2000, 0usize..4), 1..40));
    runner
        .run(&which, |(which, spots)| {
            let case = &cases[which];
            let mut noisy = case.narration.clone();
            for (spot, filler) in spots {
                let at = spot % noisy.words.len();
                let near = noisy.words[at].clone();
                noisy.words.insert(at, Word { text: ["um", "uh", "er", "erm"][filler].into(), ..near });
            }
            same(case, "fillers put in", &read(case, &case.narration), &read(case, &noisy));
            Ok(())
        })
        .unwrap();
}

#[test]
fn restarts_change_no_finding() {
    let cases = cases();
    let mut runner = TestRunner::new(steady(60));
    let which = (0..cases.len(), prop::collection::vec((0usize..2000, 1usize..4), 1..12));
    runner
        .run(&which, |(which, spots)| {
            let case = &cases[which];
            let mut noisy = case.narration.clone();
            for (spot, run) in spots {
                let at = spot % noisy.words.len().saturating_sub(run).max(1);
                let said: Vec<Word> = noisy.words[at..at + run].to_vec();
                // Said twice, a number is another number ("twenty twenty"), and so is a figure.
                let numbers = said.iter().any(|w| w.text.chars().any(|c| c.is_ascii_digit()) || is_number(&w.text));
                if !numbers {
                    noisy.words.splice(at..at, said);
                }
            }
            same(case, "restarts put in", &read(case, &case.narration), &read(case, &noisy));
            Ok(())
        })
        .unwrap();
}

fn is_number(word: &str) -> bool {
    let word: String = word.to_lowercase().chars().filter(|c| c.is_alphabetic() || *c == '-').collect();
    word.split('-').any(|w| {
        [
            "zero",
            "oh",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
            "twenty",
            "thirty",
            "forty",
            "fifty",
            "sixty",
            "seventy",
            "eighty",
            "ninety",
            "hundred",
            "thousand",
            "half",
            "point",
            "and",
            "a",
        ]
        .contains(&w)
    })
}

#[test]
fn left_for_right_swaps_the_sides_and_nothing_else() {
    for case in cases() {
        let swapped = with_words(&case.narration, |w| {
            let lower = w.text.to_lowercase();
            let bare = lower.trim_matches(|c: char| !c.is_alphanumeric());
            let text = match bare {
                "left" => "right",
                "right" => "left",
                "nearside" => "offside",
                "offside" => "nearside",
                "driver's" => "passenger's",
                "passenger's" => "driver's",
                "driver" => "passenger",
                "passenger" => "driver",
                _ => {
                    // "N/S/F"
                    let text = match bare.split_at_checked(3) {
                        Some(("n/s", rest)) => format!("o/s{rest}"),
                        Some(("o/s", rest)) => format!("n/s{rest}"),
                        _ => return vec![w.clone()],
                    };
                    return vec![Word { text, ..w.clone() }];
                }
            };
            vec![Word { text: text.into(), ..w.clone() }]
        });
        // Words such as "all right" and "it's left a mark" have no mirror: only narrations without them show the law.
        let idle = case.narration.words.windows(2).any(|pair| {
            let word = |w: &Word| w.text.to_lowercase().trim_matches(|c: char| !c.is_alphanumeric()).to_string();
            let (a, b) = (word(&pair[0]), word(&pair[1]));
            let side = |w: &str| {
                matches!(
                    w,
                    "side" | "hand" | "front" | "rear" | "one" | "door" | "wing" | "corner" | "headlight" | "headlamp"
                )
            };
            matches!(a.as_str(), "left" | "right") && !side(&b)
                || b == "near"
                || b == "off"
                || matches!(a.as_str(), "kerb" | "near")
        });
        if idle {
            continue;
        }
        let mirrored: Vec<String> = read(&case, &case.narration)
            .findings
            .into_iter()
            .map(|mut f| {
                f.side = f.side.map(|s| match s {
                    Side::Left => Side::Right,
                    Side::Right => Side::Left,
                    other => other,
                });
                gist(&f)
            })
            .collect();
        assert_eq!(mirrored, gists(&read(&case, &swapped)), "{}", case.name);
    }
}

#[test]
fn uk_and_us_words_for_one_thing_give_one_part() {
    for (uk, us) in [
        ("there's a dent in the bonnet", "there's a dent in the hood"),
        ("the windscreen is chipped", "the windshield is chipped"),
        ("a scratch on the boot lid", "a scratch on the trunk lid"),
        ("the tyre is worn", "the tire is worn"),
        ("rust on the sill", "rust on the rocker panel"),
        ("the gearbox is noisy", "the transmission is noisy"),
        ("number plate light is out", "license plate light is out"),
        ("the silencer is rusty", "the muffler is rusty"),
        ("the indicator is cracked", "the turn signal is cracked"),
        ("kerb damage on the alloy", "curb damage on the alloy"),
    ] {
        let gist = |text: &str| {
            let narration = Narration {
                words: text
                    .split(' ')
                    .map(|w| Word {
                        text: w.into(),
                        start: Seconds(0.0),
                        end: Seconds(0.0),
                        confidence: 1.0,
                        opens_line: false,
                    })
                    .collect(),
                duration: None,
                timed: false,
            };
            let reading = reading::read(&narration, vocabulary(Market::Uk), &Options { steering: Hand::Right });
            let faults: Vec<String> = reading
                .findings
                .iter()
                .filter(|f| f.kind == Kind::Fault)
                .map(|f| format!("{:?} {:?}", f.part.as_ref().map(|p| &p.id), f.defect.as_ref().map(|d| &d.id)))
                .collect();
            assert_eq!(faults.len(), 1, "{text}: {faults:?}");
            faults
        };
        assert_eq!(gist(uk), gist(us), "{uk} / {us}");
    }
}
