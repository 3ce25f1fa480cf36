//! Texts that nobody would write, as vocabulary files: the loader and the check refuse or take them, and never end the
//! program. `fuzz/` does the same for as long as one likes.

use std::time::{Duration, Instant};

use plainsaid::vocabulary::check::check_alone;
use plainsaid::vocabulary::{Market, Vocabulary};
use proptest::test_runner::{Config, RngSeed, TestRunner};

/// A small generator of numbers, the same at every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most.max(1) as u64) as usize
    }
}

const SEEDS: [&str; 5] = [
    include_str!("../vocab/marques/brannoch.toml"),
    include_str!("../vocab/marques/tarvane.toml"),
    include_str!("../vocab/kinds/van.toml"),
    include_str!("../vocab/base/families.toml"),
    include_str!("../vocab/markets/us.toml"),
];

const PIECES: [&str; 24] = [
    "[",
    "]",
    "(",
    ")",
    "|",
    "\"",
    "'''",
    "[[part]]",
    "[[rate]]",
    "= ",
    "id",
    "say = [\"a\"]",
    "\n",
    "class:",
    "-1",
    "1e999",
    "nan",
    "0x",
    "true",
    "\u{2019}",
    "(a|b|c|d|e|f|g|h)",
    "silent = true\n",
    "[a][b][c][d][e][f][g]",
    "\u{0}",
];

fn mutated(dice: &mut Dice) -> String {
    let mut text: Vec<char> = SEEDS[dice.below(SEEDS.len())].chars().collect();
    let cut = dice.below(text.len());
    text.truncate(cut.clamp(1, 4000));
    for _ in 0..1 + dice.below(12) {
        let at = dice.below(text.len());
        match dice.below(4) {
            0 => {
                text.insert(at, char::from_u32(dice.below(0x300) as u32).unwrap_or('x'));
            }
            1 => {
                let past = (at + dice.below(40)).min(text.len());
                text.drain(at..past);
            }
            2 => {
                let past = (at + dice.below(200)).min(text.len());
                let copy: Vec<char> = text[at..past].to_vec();
                let to = dice.below(text.len());
                text.splice(to..to, copy);
            }
            _ => {
                let piece = PIECES[dice.below(PIECES.len())];
                text.splice(at..at, piece.chars());
            }
        }
        if text.is_empty() {
            text.push('[');
        }
    }
    text.into_iter().collect()
}

fn load(text: &str) {
    let loaded = Vocabulary::from_files(Market::Uk, [("own.toml", text)]);
    let mistakes = check_alone(text);
    assert!(loaded.is_ok() || !mistakes.is_empty(), "refused without a mistake: {:?}\n{text}", loaded.err());
}

#[test]
fn mangled_files_are_taken_or_refused() {
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    for _ in 0..if cfg!(debug_assertions) { 300 } else { 2000 } {
        load(&mutated(&mut dice));
    }
}

#[test]
fn any_text_is_taken_or_refused() {
    let mut runner = TestRunner::new(Config { cases: 200, rng_seed: RngSeed::Fixed(7), ..Config::default() });
    runner
        .run(&"\\PC*", |text| {
            load(&text);
            Ok(())
        })
        .unwrap();
}

/// `PLAINSAID_FUZZ_SECONDS=600 cargo test --release --no-default-features --test loader -- --ignored --nocapture`
#[test]
#[ignore = "runs for as long as it is told"]
fn mangled_files_for_a_while() {
    let seconds = std::env::var("PLAINSAID_FUZZ_SECONDS").ok().and_then(|s| s.parse().ok()).unwrap_or(600);
    let seed = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap().as_nanos() as u64 | 1;
    let (mut dice, began, mut count) = (Dice(seed), Instant::now(), 0u64);
    while began.elapsed() < Duration::from_secs(seconds) {
        load(&mutated(&mut dice));
        count += 1;
    }
    println!("{count} mangled files in {seconds} s, seed {seed}: none ended the program");
}
