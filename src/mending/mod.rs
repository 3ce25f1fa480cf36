//! What was heard wrongly, by all signs, is written as what was meant; what was heard is kept.
//!
//! Hearing knows sounds and no trade, reading knows the trade and no sounds. Here both are known, so this room stands above
//! them: words that the recogniser was unsure of, and that sound like a term of the trade, become that term where the
//! statement then reads as a finding and did not before. Nothing is taken away, and no word that already tells something is
//! touched.

mod figures;
mod sounds;

use rustc_hash::{FxHashMap, FxHashSet};

use crate::narration::{Narration, Seconds, Word};
use crate::reading::{self, Options};
use crate::report::{Finding, Kind, Mended};
use crate::vocabulary::Vocabulary;
use crate::vocabulary::spelling::UNKNOWN;
use sounds::Sounds;

/// A run is looked at where the recogniser was less sure than this of one of its words.
const UNSURE: f32 = 0.75;
/// The most that a term may differ in sound from a single word heard, and from a run of several.
const UNLIKE: f32 = 0.15;
const RUN_UNLIKE: f32 = 0.06;
/// Shorter terms sound like too many other words.
const LEAST_SOUNDS: usize = 5;
/// Words in the longest run that is mended.
const LONGEST: usize = 3;
/// Words on either side that a statement is read with.
const AROUND: usize = 18;
/// Terms tried for one run, the likest first.
const TRIED: usize = 3;

/// Mends a heard narration. `ordinary` tells the words of everyday writing, which are nobody's slip, from coined ones.
pub fn mend(
    narration: Narration,
    vocabulary: &Vocabulary,
    options: &Options,
    ordinary: &dyn Fn(&str) -> bool,
) -> (Narration, Vec<Mended>) {
    let mut mended = Vec::new();
    let narration = figures::mend(narration, &mut mended);
    let mender = Mender { terms: Terms::new(vocabulary), vocabulary, options, ordinary };
    (mender.mend(narration, &mut mended), mended)
}

struct Mender<'v> {
    terms: Terms,
    vocabulary: &'v Vocabulary,
    options: &'v Options,
    ordinary: &'v dyn Fn(&str) -> bool,
}

impl Mender<'_> {
    fn mend(&self, mut narration: Narration, mended: &mut Vec<Mended>) -> Narration {
        let mut at = 0;
        while at < narration.words.len() {
            let before = narration.words.len();
            match self.better(&narration, at) {
                Some((length, term)) => {
                    let heard = narration.quote(at, at + length - 1);
                    let words = rewritten(&narration.words[at..at + length], &term);
                    let count = words.len();
                    narration.words.splice(at..at + length, words);
                    for other in mended.iter_mut().filter(|m| m.first > at) {
                        other.first = other.first + count - length;
                    }
                    mended.push(Mended { first: at, count, heard });
                    at += count;
                }
                None => at += 1,
            }
            debug_assert!(narration.words.len() + LONGEST >= before);
        }
        mended.sort_by_key(|m| m.first);
        narration
    }

    /// The length of a run that begins here and was misheard, and the term that was meant.
    fn better(&self, narration: &Narration, at: usize) -> Option<(usize, String)> {
        let words = &narration.words;
        let mut best: Option<(f32, usize, String)> = None;
        for length in 1..=LONGEST.min(words.len() - at) {
            let run = &words[at..at + length];
            if run[1..].iter().any(|w| w.opens_line) || run[..length - 1].iter().any(|w| ends_sentence(&w.text)) {
                break;
            }
            if !run.iter().any(|w| w.confidence < UNSURE) || !run.iter().all(|w| is_word(&w.text)) {
                continue;
            }
            // A capital inside a line is a name, and names are nobody's slip.
            if run.iter().any(|w| !w.opens_line && w.text.starts_with(char::is_uppercase) && !after_stop(words, at)) {
                break;
            }
            let plain: Vec<String> = run.iter().map(|w| plain(&w.text)).collect();
            // A word that the vocabulary knows tells something already, and an ordinary one says what it says; one that
            // neither has met may be a slip.
            let stranger = |word: &String| {
                self.vocabulary.spelling.id(word) == UNKNOWN && word.len() > 3 && !(self.ordinary)(word)
            };
            if !plain.iter().any(stranger) || self.terms.holds(&plain.join(" ")) {
                continue;
            }
            for (unlike, term) in self.terms.like(&plain) {
                if best.as_ref().is_none_or(|b| unlike < b.0) && self.tells_more(narration, at, length, &term) {
                    best = Some((unlike, length, term));
                }
            }
        }
        best.map(|(_, length, term)| (length, term))
    }

    /// Whether the words around read as a finding with the term in place of the run, and did not before.
    fn tells_more(&self, narration: &Narration, at: usize, length: usize, term: &str) -> bool {
        let from = at.saturating_sub(AROUND);
        let to = (at + length + AROUND).min(narration.words.len());
        let part = |words: Vec<Word>| Narration { words, duration: narration.duration, timed: narration.timed };
        let was = part(narration.words[from..to].to_vec());
        let before = reading::read(&was, self.vocabulary, self.options).findings;
        let (first, last) = (at - from, at - from + length - 1);
        // A word that a finding stands on is not taken from it.
        if before.iter().any(|f| stands_on(f, &was, first, last)) {
            return false;
        }
        let mut words = narration.words[from..at].to_vec();
        words.extend(rewritten(&narration.words[at..at + length], term));
        let count = words.len() - (at - from);
        words.extend_from_slice(&narration.words[at + length..to]);
        let would_be = part(words);
        let after = reading::read(&would_be, self.vocabulary, self.options).findings;
        let used = after.iter().any(|f| stands_on(f, &would_be, first, first + count - 1) && is_told(f));
        used && worth(&after) > worth(&before)
    }
}

/// Findings that tell both what and where.
fn is_told(finding: &Finding) -> bool {
    match finding.kind {
        Kind::Fault => finding.defect.is_some() && finding.part.is_some(),
        Kind::Note => false,
        _ => finding.part.is_some() || finding.item.is_some(),
    }
}

fn worth(findings: &[Finding]) -> usize {
    findings.iter().map(|f| 1 + usize::from(f.part.is_some()) + usize::from(f.defect.is_some())).sum()
}

/// Whether a finding's part, fault or item is said in these words.
fn stands_on(finding: &Finding, narration: &Narration, first: usize, last: usize) -> bool {
    let [from, to] = finding.words;
    let named = [&finding.part, &finding.item, &finding.defect].into_iter().flatten();
    let said: FxHashSet<String> = named.flat_map(|n| n.said.split_whitespace().map(plain)).collect();
    (first.max(from)..=last.min(to)).any(|i| narration.words.get(i).is_some_and(|w| said.contains(&plain(&w.text))))
}

/// A term in place of a run: the run's time is shared out by letters, and what hung on its ends hangs on the term's.
fn rewritten(run: &[Word], term: &str) -> Vec<Word> {
    let (Some(first), Some(last)) = (run.first(), run.last()) else { return Vec::new() };
    let texts: Vec<&str> = term.split_whitespace().collect();
    let letters: usize = texts.iter().map(|t| t.len()).sum();
    let length = (last.end.0 - first.start.0).max(0.0);
    let confidence = run.iter().map(|w| w.confidence).fold(1.0, f32::min);
    let tail: String = last.text.chars().rev().take_while(|c| !c.is_alphanumeric()).collect();
    let mut spent = 0;
    let moment = |spent: usize| Seconds(first.start.0 + length * spent as f64 / letters.max(1) as f64);
    texts
        .iter()
        .enumerate()
        .map(|(n, text)| {
            let start = moment(spent);
            spent += text.len();
            let mut text = (*text).to_owned();
            if n == 0 && first.text.starts_with(char::is_uppercase) {
                text = text[..1].to_uppercase() + &text[1..];
            }
            if n + 1 == texts.len() {
                text.extend(tail.chars().rev());
            }
            Word { text, start, end: moment(spent), confidence, opens_line: n == 0 && first.opens_line }
        })
        .collect()
}

fn after_stop(words: &[Word], at: usize) -> bool {
    at > 0 && ends_sentence(&words[at - 1].text)
}

fn ends_sentence(text: &str) -> bool {
    text.ends_with(['.', '?', '!'])
}

/// A word without figures, and no contraction: "doesn't" is spelt too oddly to be anybody's slip.
fn is_word(text: &str) -> bool {
    text.chars().any(char::is_alphabetic) && !plain(text).contains(|c: char| c.is_ascii_digit() || "'’".contains(c))
}

fn plain(text: &str) -> String {
    text.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase()
}

/// The terms by how they sound.
struct Terms {
    all: FxHashSet<String>,
    by_opening: FxHashMap<Option<u8>, Vec<(Sounds, String)>>,
}

impl Terms {
    fn new(vocabulary: &Vocabulary) -> Self {
        let all: FxHashSet<String> = vocabulary.terms().into_iter().collect();
        let mut by_opening: FxHashMap<Option<u8>, Vec<(Sounds, String)>> = FxHashMap::default();
        let mut sorted: Vec<&String> = all.iter().filter(|t| t.is_ascii()).collect();
        sorted.sort_unstable();
        for term in sorted {
            let sounds = Sounds::of(term.split(' '));
            if sounds.len() >= LEAST_SOUNDS {
                by_opening.entry(sounds.opens()).or_default().push((sounds, term.clone()));
            }
        }
        Terms { all, by_opening }
    }

    fn holds(&self, plain: &str) -> bool {
        self.all.contains(plain)
    }

    /// The terms that sound most like a run of words, with how unlike they are.
    fn like(&self, run: &[String]) -> Vec<(f32, String)> {
        let sounds = Sounds::of(run.iter().map(String::as_str));
        let mut found: Vec<(f32, String)> = Vec::new();
        for (term_sounds, term) in self.by_opening.get(&sounds.opens()).into_iter().flatten() {
            if term_sounds.len().abs_diff(sounds.len()) <= 2 {
                let unlike = sounds.unlike(term_sounds);
                if unlike <= if run.len() == 1 { UNLIKE } else { RUN_UNLIKE } {
                    found.push((unlike, term.clone()));
                }
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        found.truncate(TRIED);
        found
    }
}
