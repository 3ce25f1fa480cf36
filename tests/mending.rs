//! What was misheard is mended where all signs agree, and nothing else is touched.

use std::collections::HashSet;
use std::path::Path;
use std::sync::LazyLock;

use plainsaid::mending::mend;
use plainsaid::narration::{self, Input, Narration, Seconds, Word};
use plainsaid::reading::Options;
use plainsaid::report::Hand;
use plainsaid::vocabulary::{Market, Vocabulary};

fn heard(text: &str, confidence: f32) -> Narration {
    let words = text.split(' ').enumerate().map(|(i, text)| Word {
        text: text.to_owned(),
        start: Seconds(i as f64),
        end: Seconds(i as f64 + 0.8),
        confidence,
        opens_line: i == 0,
    });
    Narration { words: words.collect(), duration: None, timed: true }
}

/// As the recogniser would tell: the words that stand whole in the carried model's list of tokens.
fn is_ordinary(word: &str) -> bool {
    static WORDS: LazyLock<HashSet<Vec<u8>>> = LazyLock::new(|| {
        let model = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("models/base-q5_1.ggml")).unwrap();
        let number = |at: usize| u32::from_le_bytes(model[at..at + 4].try_into().unwrap()) as usize;
        // Past the header, and past the sound filters with their two sizes.
        let mut at = 48 + 8 + 4 * number(48) * number(52);
        let count = number(at);
        at += 4;
        let token = |_| {
            let text = model[at + 4..at + 4 + number(at)].to_vec();
            at += 4 + text.len();
            text
        };
        (0..count).map(token).collect()
    });
    WORDS.contains(format!(" {word}").as_bytes())
}

const RIGHT: Options = Options { steering: Hand::Right };

#[test]
fn misheard_terms_become_what_was_meant_and_what_was_heard_is_kept() {
    let vocabulary = Vocabulary::shipped(Market::Uk).unwrap();
    for (said, meant, original) in [
        ("the front bumper is scuphed", "scuffed", "scuphed"),
        ("the front alloy is kerrbed all round", "kerbed", "kerrbed"),
        ("the wipers are juttering on the screen", "juddering", "juttering"),
        ("there's a dent in the bonet", "bonnet", "bonet"),
    ] {
        let (narration, mended) = mend(heard(said, 0.4), &vocabulary, &RIGHT, &is_ordinary);
        let text = narration.quote(0, narration.words.len() - 1);
        assert!(text.contains(meant), "{said}: {text}");
        assert_eq!(mended.len(), 1, "{said}: {mended:?}");
        assert_eq!(mended[0].heard, original);
        assert_eq!(narration.quote(mended[0].first, mended[0].first + mended[0].count - 1), meant);
        let (same, none) = mend(heard(said, 0.95), &vocabulary, &RIGHT, &is_ordinary);
        assert!(none.is_empty() && same == heard(said, 0.95), "what was heard surely stays: {said}");
    }
}

#[test]
fn words_that_make_sense_stay() {
    let vocabulary = Vocabulary::shipped(Market::Uk).unwrap();
    for said in [
        "we took this one in yesterday from an old customer of ours",
        "the weather is dreadful but never mind",
        "there's nothing wrong with the bonnet at all",
        "he lives round the corner from the curved bridge",
        "and the door as the fellow says is sweeping",
        "it is a two litre petrol with leather and nobody hears it",
    ] {
        let (narration, mended) = mend(heard(said, 0.3), &vocabulary, &RIGHT, &is_ordinary);
        assert!(mended.is_empty(), "{said}: {mended:?}");
        assert_eq!(narration, heard(said, 0.3));
    }
}

/// Every word of these narrations is right, however little it is trusted: what is mended in them is spoilt.
#[test]
fn narrations_that_are_right_are_hardly_touched() {
    let mut words = 0;
    let mut spoilt = Vec::new();
    for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases")).unwrap() {
        let path = entry.unwrap().path();
        // Every fourth is enough: each strange word is read several times over.
        if !path.to_string_lossy().ends_with("0.txt") && !path.to_string_lossy().ends_with("5.txt") {
            continue;
        }
        let Input::Narration(mut narration) = narration::open(&path).unwrap() else { panic!("{path:?}") };
        narration.words.iter_mut().for_each(|w| w.confidence = 0.3);
        words += narration.words.len();
        let vocabulary = Vocabulary::shipped(Market::Uk).unwrap();
        let (after, mended) = mend(narration, &vocabulary, &RIGHT, &is_ordinary);
        spoilt.extend(mended.iter().map(|m| format!("{} -> {}", m.heard, after.quote(m.first, m.first + m.count - 1))));
    }
    assert!(words > 3_000, "{words}");
    assert!(spoilt.len() * 1_000 <= words, "{} of {words}: {spoilt:#?}", spoilt.len());
}
