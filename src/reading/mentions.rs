//! Second pass: tokens become mentions.
//!
//! One run of the vocabulary's matcher finds every phrase of every entry, long and short ones alike; the tiling that
//! covers most with the longest phrases is kept. A phrase that can mean several things keeps all its senses: what
//! stands around it decides later. Spoken numbers are put together here.

use super::numbers::{Piece, Spoken, parse};
use super::tokens::Token;
use crate::vocabulary::entries::{GrammarClass, NumberRole};
use crate::vocabulary::spelling::{UNKNOWN, WordId};
use crate::vocabulary::{Meaning, Meanings, Sense, SmallWords, Vocabulary};

/// A run of tokens that means something, or a single word that means nothing to the trade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mention<'v> {
    /// Its first token, and the one after its last.
    pub first: u32,
    pub past: u32,
    pub senses: &'v [Sense],
    pub number: Option<Spoken>,
    // What the senses are is asked at every turn, so it is gathered once.
    pub(super) meanings: Meanings,
    pub(super) small_words: SmallWords,
}

impl<'v> Mention<'v> {
    fn new(first: u32, past: u32, senses: &'v [Sense]) -> Self {
        let (meanings, small_words) = (Meanings::among(senses), SmallWords::among(senses));
        Mention { first, past, senses, number: None, meanings, small_words }
    }

    /// How many tokens it covers.
    pub fn width(&self) -> usize {
        (self.past - self.first) as usize
    }

    /// Whether it can mean any of these.
    #[inline]
    pub fn has(&self, any: &[Meaning]) -> bool {
        self.meanings.holds(any)
    }

    /// The entries of one sort that it can mean.
    #[inline]
    pub fn entries(&self, of: Meaning) -> impl Iterator<Item = u16> {
        let senses = if self.has(&[of]) { self.senses } else { &[] };
        senses.iter().filter_map(move |s| s.entry().filter(|(meaning, _)| *meaning == of).map(|(_, at)| at))
    }

    /// The first entry of one sort that it can mean.
    #[inline]
    pub fn entry(&self, of: Meaning) -> Option<u16> {
        self.entries(of).next()
    }

    pub fn part(&self) -> Option<u16> {
        self.entry(Meaning::Part)
    }

    pub fn place(&self) -> Option<u16> {
        self.entry(Meaning::Place)
    }

    #[inline]
    pub fn grammar(&self, class: GrammarClass) -> bool {
        self.small_words.holds(&[class])
    }

    #[inline]
    pub fn any_grammar(&self, classes: &[GrammarClass]) -> bool {
        self.small_words.holds(classes)
    }

    /// Whether any defect reading is open.
    pub fn is_defect(&self) -> bool {
        self.has(&[Meaning::DefectNoun, Meaning::DefectState])
    }

    pub fn is_defect_noun(&self) -> bool {
        self.has(&[Meaning::DefectNoun])
    }

    pub fn is_defect_state(&self) -> bool {
        self.has(&[Meaning::DefectState])
    }

    /// The first that `pick` finds of the senses that are no small words.
    #[inline]
    pub fn find<T>(&self, pick: impl Fn(Sense) -> Option<T>) -> Option<T> {
        if self.meanings.is_empty() { None } else { self.senses.iter().find_map(|s| pick(*s)) }
    }

    pub fn is_word(&self) -> bool {
        self.senses.is_empty() && self.number.is_none()
    }
}

pub fn mentions<'v>(tokens: &[Token], vocabulary: &'v Vocabulary) -> Vec<Mention<'v>> {
    let ids: Vec<WordId> = tokens.iter().map(|t| t.id).collect();
    // Best tiling up to each position: its worth and the mention that ends there. The matcher reports phrases in the
    // order of their ends, so one sweep settles it.
    let mut worth = vec![0u32; tokens.len() + 1];
    let mut best: Vec<Option<(u32, &[Sense])>> = vec![None; tokens.len() + 1];
    let mut settled = 0;
    let mut bytes = Vec::new();
    vocabulary.find(&ids, &mut bytes, |found| {
        while settled < found.past {
            settled += 1;
            worth[settled] = worth[settled - 1];
        }
        let length = (found.past - found.first) as u32;
        let value = worth[found.first] + length * length * 4 + rank(found.senses, length);
        if value > worth[found.past] {
            worth[found.past] = value;
            best[found.past] = Some((found.first as u32, found.senses));
        }
    });
    let mut out = Vec::with_capacity(tokens.len());
    let mut past = tokens.len();
    while past > 0 {
        match best[past] {
            Some((first, senses)) => {
                out.push(Mention::new(first, past as u32, senses));
                past = first as usize;
            }
            None => {
                out.push(Mention::new(past as u32 - 1, past as u32, &[]));
                past -= 1;
            }
        }
    }
    out.reverse();
    put_numbers_together(out, tokens, vocabulary)
}

/// Small words yield to words of the trade where both cover as much.
fn rank(senses: &[Sense], length: u32) -> u32 {
    senses
        .iter()
        .map(|s| match s {
            // "working back, wing …" moves; it names no "back wing"
            Sense::Grammar(GrammarClass::Moves) if length > 1 => 4,
            Sense::Grammar(_) | Sense::Number(_) => 0,
            Sense::Hedge(_) | Sense::Unit(_) | Sense::Place(_) | Sense::Pointing(_) | Sense::Colour(_) => 1,
            Sense::Standing(_) => 2,
            _ => 3,
        })
        .max()
        .unwrap_or(0)
}

fn put_numbers_together<'v>(
    mentions: Vec<Mention<'v>>,
    tokens: &[Token],
    vocabulary: &'v Vocabulary,
) -> Vec<Mention<'v>> {
    let piece = |m: &Mention| -> Option<Piece> {
        let token = tokens[m.first as usize];
        if let (Some(value), 1) = (token.digits, m.width()) {
            return Some(Piece::Digits(value));
        }
        m.find(|s| match s {
            Sense::Number(at) => {
                let entry = &vocabulary.entries.number[usize::from(at)];
                match entry.role {
                    NumberRole::Link => Some(Piece::Link),
                    NumberRole::Odd => Some(Piece::Odd),
                    NumberRole::About | NumberRole::Range | NumberRole::Vague | NumberRole::Ordinal => None,
                    role => Some(Piece::Word { value: entry.value, role }),
                }
            }
            _ => None,
        })
    };
    let mut out: Vec<Mention> = Vec::with_capacity(mentions.len());
    let mut pieces = Vec::new();
    let mut at = 0;
    while at < mentions.len() {
        let mention = mentions[at];
        if mention.senses.is_empty() && tokens[mention.first as usize].digits.is_none() {
            out.push(mention);
            at += 1;
            continue;
        }
        let single = mention.entry(Meaning::Number).map(|n| &vocabulary.entries.number[usize::from(n)]);
        if let Some(entry) = single
            && let Some([low, high]) = entry.range
        {
            let mut number = Spoken { low, high, ordinal: false, about: false, vague: true };
            // "a couple of hundred"
            let scale = mentions.get(at + 1).filter(|_| entry.id != "pair").and_then(&piece).and_then(|p| match p {
                Piece::Word { value, role: NumberRole::Hundred | NumberRole::Scale } => Some(value),
                _ => None,
            });
            if let Some(scale) = scale {
                (number.low, number.high) = (low * scale, high * scale);
                let past = mentions[at + 1].past;
                out.push(Mention { number: Some(number), ..Mention::new(mention.first, past, &[]) });
                at += 2;
            } else {
                out.push(Mention { number: Some(number), ..mention });
                at += 1;
            }
            continue;
        }
        if let Some(entry) = single
            && entry.role == NumberRole::Ordinal
        {
            out.push(Mention { number: Some(Spoken { ordinal: true, ..Spoken::exactly(entry.value) }), ..mention });
            at += 1;
            continue;
        }
        if piece(&mention).is_none() {
            out.push(mention);
            at += 1;
            continue;
        }
        pieces.clear();
        pieces.extend(mentions[at..].iter().take(16).map_while(piece));
        match parse(&pieces) {
            Some((number, used)) => {
                let past = mentions[at + used - 1].past;
                let single = Mention::new(mention.first, past, keep_single(mention, used));
                out.push(Mention { number: Some(number), ..single });
                at += used;
                join_range(&mut out, vocabulary);
            }
            None => {
                out.push(mention);
                at += 1;
            }
        }
    }
    out
}

/// A number of one word keeps its other senses ("one" also points); a longer one is only a number.
fn keep_single<'v>(mention: Mention<'v>, used: usize) -> &'v [Sense] {
    if used == 1 { mention.senses } else { &[] }
}

/// "six or seven", "six seven": one range instead of two numbers.
fn join_range(out: &mut Vec<Mention>, vocabulary: &Vocabulary) {
    let Some(&last) = out.last() else { return };
    let Some(high) = last.number else { return };
    let is_range = |m: &Mention| {
        m.entries(Meaning::Number).any(|n| vocabulary.entries.number[usize::from(n)].role == NumberRole::Range)
    };
    let len = out.len();
    let (low_at, gap) = if len >= 3 && (is_range(&out[len - 2]) || out[len - 2].grammar(GrammarClass::And)) {
        (len - 3, 1)
    } else if len >= 2 {
        (len - 2, 0)
    } else {
        return;
    };
    let Some(low) = out[low_at].number else { return };
    let (a, b) = (low.low, high.low);
    let between =
        gap == 0 || low_at > 0 && out[low_at - 1].grammar(GrammarClass::By) || !out[len - 2].grammar(GrammarClass::And);
    // "six seven", "eight ten", "ten twelve"
    let guesses = b == a + 1.0 && b < 20.0 || a >= 6.0 && b > a && b <= (a + 5.0).min(20.0);
    let plausible = between && if gap == 1 { b > a && b <= a * 3.0 + 10.0 } else { guesses };
    // A decimal or a "one" that points is no lower end of a range.
    if !plausible || low.ordinal || high.ordinal || low.low != low.high || (gap == 0 && a < 2.0) {
        return;
    }
    let number = Spoken { low: a, high: high.high, ordinal: false, about: true, vague: true };
    out[low_at] = Mention { number: Some(number), ..Mention::new(out[low_at].first, last.past, &[]) };
    out.truncate(low_at + 1);
}

/// Whether a token is a word that no entry knows.
pub fn unknown(token: Token) -> bool {
    token.id == UNKNOWN && token.digits.is_none()
}
