//! Examples of how people talk, each with what a careful reader takes from it: one table for each side of reading.
//!
//! A table holds `[[example]]` entries. `say` is spoken with no punctuation; `faults` are exactly the faults to be read,
//! in order, compared in the keys that are given; the other lists are compared where they are given, in any order.
//! `a|b` accepts either, by id or by plain name; `none` and an empty list mean that nothing may be there. An example
//! with `known` says why it is not read right yet, and must fail until the mark is taken away.

use std::fmt::Write;
use std::path::Path;
use std::sync::OnceLock;

use plainsaid::narration::{Narration, Seconds, Word};
use plainsaid::reading::{self, Options, Reading};
use plainsaid::report::{CostSource, Finding, Hand, Kind, Named};
use plainsaid::vocabulary::{Market, Vocabulary};
use serde::{Deserialize, Serialize};
use serde_json::Value;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    example: Vec<Example>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Example {
    say: String,
    #[serde(default)]
    market: Option<String>,
    #[serde(default)]
    steering: Option<Hand>,
    #[serde(default)]
    faults: Option<Vec<Fault>>,
    #[serde(default)]
    sound: Option<Vec<String>>,
    #[serde(default)]
    fitted: Option<Vec<String>>,
    #[serde(default)]
    checks: Option<Vec<[String; 2]>>,
    #[serde(default)]
    unchecked: Option<Vec<String>>,
    #[serde(default)]
    notes: Option<Vec<String>>,
    #[serde(default)]
    vehicle: Option<serde_json::Map<String, Value>>,
    #[serde(default)]
    set_aside: Option<Vec<String>>,
    #[serde(default)]
    known: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fault {
    defect: Option<String>,
    part: Option<String>,
    side: Option<String>,
    end: Option<String>,
    severity: Option<String>,
    size_mm: Option<Vec<f64>>,
    count: Option<Vec<f64>>,
    remedy: Option<String>,
    cost: Option<Vec<f64>>,
    currency: Option<String>,
    safety: Option<bool>,
    certainty: Option<String>,
    place: Option<String>,
}

fn vocabulary(market: Market) -> &'static Vocabulary {
    static ALL: [OnceLock<Vocabulary>; 4] = [const { OnceLock::new() }; 4];
    ALL[market as usize].get_or_init(|| Vocabulary::shipped(market).unwrap())
}

fn read(example: &Example) -> Reading {
    let words = example
        .say
        .split_whitespace()
        .map(|w| Word { text: w.into(), start: Seconds(0.0), end: Seconds(0.0), confidence: 1.0, opens_line: false })
        .collect();
    let market: Market = example.market.as_deref().unwrap_or("uk").parse().unwrap();
    let left = matches!(example.market.as_deref(), Some("us" | "eu"));
    let steering = example.steering.unwrap_or(if left { Hand::Left } else { Hand::Right });
    reading::read(&Narration { words, duration: None, timed: false }, vocabulary(market), &Options { steering })
}

/// A value as the tables write it.
fn word(value: &impl Serialize) -> String {
    match serde_json::to_value(value).unwrap() {
        Value::String(s) => s,
        Value::Null => "none".into(),
        other => other.to_string(),
    }
}

fn one_of(wanted: &str, got: &str) -> bool {
    wanted.split('|').any(|w| w == got)
}

/// A piece of a host ("grille.clip") answers to its own name too.
fn named(wanted: &str, got: Option<&Named>) -> bool {
    let piece = |id: &str| id.rsplit_once('.').is_some_and(|(_, piece)| one_of(wanted, piece));
    got.map_or(wanted == "none", |n| one_of(wanted, &n.id) || one_of(wanted, &n.label) || piece(&n.id))
}

fn near(wanted: &[f64], got: Option<[f64; 2]>, share: f64) -> bool {
    match (wanted, got) {
        ([], None) => true,
        (&[low, high], Some(got)) => (got[0] - low).abs() <= low * share && (got[1] - high).abs() <= high * share,
        _ => false,
    }
}

/// The keys in which a fault is not what was wanted.
fn differences(wanted: &Fault, got: &Finding) -> Vec<&'static str> {
    let said: Vec<&str> = got.remedies.iter().filter(|r| !r.proposed).map(|r| r.id.as_str()).collect();
    let cost = got.cost.as_ref().filter(|c| c.from == CostSource::Said);
    let is = |wanted: &Option<String>, got: String| wanted.as_ref().is_none_or(|w| one_of(w, &got));
    [
        ("defect", wanted.defect.as_ref().is_none_or(|w| named(w, got.defect.as_ref()))),
        ("part", wanted.part.as_ref().is_none_or(|w| named(w, got.part.as_ref()))),
        ("side", is(&wanted.side, word(&got.side))),
        ("end", is(&wanted.end, word(&got.end))),
        ("severity", is(&wanted.severity, word(&got.severity))),
        ("certainty", is(&wanted.certainty, word(&got.certainty))),
        ("size_mm", wanted.size_mm.as_ref().is_none_or(|w| near(w, got.size_mm, 0.25))),
        ("count", wanted.count.as_ref().is_none_or(|w| near(w, got.count.map(|c| c.map(f64::from)), 0.0))),
        ("cost", wanted.cost.as_ref().is_none_or(|w| near(w, cost.map(|c| [c.low, c.high]), 0.01))),
        ("currency", wanted.currency.as_ref().is_none_or(|w| cost.is_some_and(|c| c.currency == *w))),
        ("safety", wanted.safety.is_none_or(|w| w == got.safety)),
        (
            "remedy",
            wanted
                .remedy
                .as_ref()
                .is_none_or(|w| if w == "none" { said.is_empty() } else { said.iter().any(|r| one_of(w, r)) }),
        ),
        (
            "place",
            wanted.place.as_ref().is_none_or(|w| match &got.place {
                Some(place) => place.to_lowercase().contains(w.as_str()),
                None => w == "none",
            }),
        ),
    ]
    .into_iter()
    .filter_map(|(key, same)| (!same).then_some(key))
    .collect()
}

fn shown(f: &Finding) -> String {
    let id = |n: &Option<Named>| n.as_ref().map_or("none".to_string(), |n| n.id.clone());
    let mut out =
        format!("{} on {} ({}, {}) {}", id(&f.defect), id(&f.part), word(&f.side), word(&f.end), word(&f.severity));
    if let Some([low, high]) = f.size_mm {
        let _ = write!(out, " size {low:.0}-{high:.0}");
    }
    if let Some(count) = f.count {
        let _ = write!(out, " count {count:?}");
    }
    for r in f.remedies.iter().filter(|r| !r.proposed) {
        let _ = write!(out, " remedy {}", r.id);
    }
    if let Some(c) = f.cost.as_ref().filter(|c| c.from == CostSource::Said) {
        let _ = write!(out, " cost {}-{} {}", c.low, c.high, c.currency);
    }
    let _ = write!(out, " {}{}", word(&f.certainty), if f.safety { " safety" } else { "" });
    if let Some(place) = &f.place {
        let _ = write!(out, " place \u{201c}{place}\u{201d}");
    }
    out
}

/// What is found of what was wanted, each side without a partner named; order is free, and one may partner several.
fn unmatched<W, G>(
    key: &str,
    wanted: &[W],
    got: &[G],
    fits: impl Fn(&W, &G) -> bool,
    name: impl Fn(&G) -> String,
) -> Option<String> {
    let lacking = wanted.iter().any(|w| !got.iter().any(|g| fits(w, g)));
    let extra = got.iter().any(|g| !wanted.iter().any(|w| fits(w, g)));
    (lacking || extra).then(|| format!("{key}: got {:?}", got.iter().map(name).collect::<Vec<_>>()))
}

/// What is wrong with the reading of an example; nothing where it is read right.
fn complaints(example: &Example, reading: &Reading) -> Vec<String> {
    let mut out = Vec::new();
    let of = |kind: Kind| reading.findings.iter().filter(move |f| f.kind == kind).collect::<Vec<_>>();
    let faults = of(Kind::Fault);
    if let Some(wanted) = &example.faults {
        if wanted.len() != faults.len() {
            out.push(format!("faults: {} wanted, {} got", wanted.len(), faults.len()));
        }
        for (n, (w, g)) in wanted.iter().zip(&faults).enumerate() {
            let keys = differences(w, g);
            if !keys.is_empty() {
                out.push(format!("fault {}: {}", n + 1, keys.join(", ")));
            }
        }
        if !out.is_empty() {
            out.extend(faults.iter().map(|f| format!("  got {}", shown(f))));
        }
    }
    let thing = |f: &&Finding| f.item.as_ref().or(f.part.as_ref()).map_or("none".to_string(), |n| n.id.clone());
    let is_thing = |w: &String, f: &&Finding| [&f.item, &f.part].into_iter().flatten().any(|n| named(w, Some(n)));
    for (key, wanted, kind) in [
        ("sound", &example.sound, Kind::Sound),
        ("fitted", &example.fitted, Kind::Fitted),
        ("unchecked", &example.unchecked, Kind::Unchecked),
    ] {
        if let Some(wanted) = wanted {
            out.extend(unmatched(key, wanted, &of(kind), is_thing, thing));
        }
    }
    if let Some(wanted) = &example.checks {
        out.extend(unmatched(
            "checks",
            wanted,
            &of(Kind::Check),
            |w, g| is_thing(&w[0], g) && word(&g.result) == w[1],
            |g| format!("{} {}", thing(g), word(&g.result)),
        ));
    }
    if let Some(wanted) = &example.notes {
        let fits = |w: &String, g: &&Finding| g.quote.to_lowercase().contains(w.as_str());
        out.extend(unmatched("notes", wanted, &of(Kind::Note), fits, |g| g.quote.clone()));
    }
    if let Some(wanted) = &example.set_aside {
        out.extend(unmatched(
            "set aside",
            wanted,
            &reading.set_aside,
            |w, g| one_of(w, &word(&g.standing)),
            |g| format!("{}: {} ({})", word(&g.standing), g.quote, g.because),
        ));
    }
    if let Some(wanted) = &example.vehicle {
        let got = serde_json::to_value(&reading.vehicle).unwrap();
        for (key, want) in wanted {
            let same = match (want, &got[key]) {
                (Value::String(w), Value::Null) => w == "none",
                // Capitals and the gaps in a registration are the writer's.
                (Value::String(w), Value::String(g)) => {
                    let bare = |s: &str| s.to_lowercase().replace([' ', '-'], "");
                    w.split('|').any(|w| bare(w) == bare(g))
                }
                (w, g) => w == g,
            };
            if !same {
                out.push(format!("vehicle.{key}: got {}", got[key]));
            }
        }
    }
    out
}

fn examples(name: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/reading/{name}.toml"));
    let table: Table =
        toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap_or_else(|e| panic!("{name}.toml: {e}"));
    let mut failing = String::new();
    let mut count = 0;
    for (n, example) in table.example.iter().enumerate() {
        let complaints = complaints(example, &read(example));
        let (wrong, why) = match &example.known {
            Some(_) => (complaints.is_empty(), vec!["is read right now: take the `known` mark away".to_string()]),
            None => (!complaints.is_empty(), complaints),
        };
        if wrong {
            count += 1;
            let _ = writeln!(failing, "{}. \u{201c}{}\u{201d}", n + 1, example.say);
            for line in why {
                let _ = writeln!(failing, "     {line}");
            }
        }
    }
    assert!(count == 0, "{name}.toml: {count} of {} examples fail\n{failing}", table.example.len());
}

#[test]
fn standing() {
    examples("standing");
}

#[test]
fn whereabouts() {
    examples("whereabouts");
}

#[test]
fn joining() {
    examples("joining");
}

#[test]
fn strength() {
    examples("strength");
}

#[test]
fn remedy_and_cost() {
    examples("remedy-and-cost");
}

#[test]
fn cues() {
    examples("cues");
}

#[test]
fn words_of_the_trade() {
    examples("words");
}

#[test]
fn facts_of_the_vehicle() {
    examples("vehicle");
}

#[test]
fn the_rest_of_the_walk() {
    examples("rest");
}
