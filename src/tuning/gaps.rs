//! What the vocabulary lacks: words and phrases of past narrations that behave like words of the trade, and that no entry
//! knows.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::sync::LazyLock;

use super::history::{Draft, What};
use crate::reading::{self, Options, mentions, tokens};
use crate::vocabulary::Meaning;
use crate::vocabulary::entries::GrammarClass;
use crate::vocabulary::spelling::UNKNOWN;
use crate::vocabulary::{Sense, Vocabulary};

/// Words of ordinary English, which say nothing of the trade.
pub(super) static ORDINARY: LazyLock<HashSet<&str>> =
    LazyLock::new(|| include_str!("ordinary.txt").split_whitespace().collect());

/// So many phrases away, a part or a fault is still near.
const NEAR: usize = 3;

/// A word or phrase that is lacking.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    pub phrase: String,
    /// How often it was said, and in how many drafts.
    pub count: usize,
    pub drafts: usize,
    /// How often near a part or a fault.
    pub near: usize,
    /// How often within a finding that a person corrected.
    pub corrected: usize,
    pub worth: f64,
    /// What it may be: `part`, `defect` or `hedge`.
    pub kind: &'static str,
    /// Draft, moment and the words around it.
    pub examples: Vec<(String, String, String)>,
}

impl Gap {
    /// An entry to paste.
    pub fn entry(&self) -> String {
        let id: String = self.phrase.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        let plural = if self.phrase.ends_with('s') { "" } else { "[s]" };
        match self.kind {
            "part" => format!("[[part]]\nid = \"{id}\"\nsay = [\"{}{plural}\"]\n", self.phrase),
            "hedge" => format!("[[hedge]]\nid = \"{id}\"\nsay = [\"{}\"]\neffect = \"lighter\"\n", self.phrase),
            _ => format!("[[defect]]\nid = \"{id}\"\nstate = [\"{}\"]\nseverity = \"light\"\n", self.phrase),
        }
    }
}

#[derive(Default)]
struct Seen {
    count: usize,
    near: usize,
    corrected: usize,
    drafts: BTreeSet<usize>,
    /// Said after "the", "a"; after "is", "has"; right before a fault.
    named: usize,
    stated: usize,
    hedging: usize,
    /// A fault told in its clause, a part told in it.
    with_fault: usize,
    with_part: usize,
    examples: Vec<(String, String, String)>,
}

/// What drafts lack, the most wanted first. `vocabulary` gives the words that each was read with.
pub fn gaps<'v>(drafts: &[Draft], vocabulary: impl Fn(usize) -> &'v Vocabulary) -> Vec<Gap> {
    let mut seen: BTreeMap<String, Seen> = BTreeMap::new();
    for (nth, draft) in drafts.iter().enumerate() {
        let v = vocabulary(nth);
        let tokens = tokens::tokens(&draft.narration, v);
        let mentions = mentions::mentions(&tokens, v);
        let vehicle = reading::read(&draft.narration, v, &Options { steering: draft.steering }).vehicle;
        let names: Vec<String> = draft.vehicle.iter().chain(&vehicle.make).chain(&vehicle.model).cloned().collect();
        let text = |at: usize| -> String {
            let word = tokens[mentions[at].first as usize].word as usize;
            let mut out = String::new();
            v.spelling.spell(&draft.narration.words[word].text, &mut String::new(), |token, _| {
                if out.is_empty() {
                    out.push_str(token);
                }
            });
            out
        };
        let unknown: Vec<bool> = (0..mentions.len())
            .map(|at| {
                let m = &mentions[at];
                let token = &tokens[m.first as usize];
                if !m.senses.is_empty() || m.number.is_some() || token.id != UNKNOWN && !m.senses.is_empty() {
                    return false;
                }
                let word = text(at);
                let name = names.iter().any(|n| n.to_lowercase().split(' ').any(|part| part == word));
                word.len() > 2
                    && word.chars().all(|c| c.is_alphabetic() || c == '\'')
                    && !ORDINARY.contains(&*word)
                    && !name
            })
            .collect();
        let corrected: Vec<[usize; 2]> = draft
            .corrections
            .iter()
            .filter(|c| !matches!(c.what, What::Word { .. }))
            .map(|c| [c.words[0].saturating_sub(3), c.words[1] + 3])
            .collect();
        for first in 0..mentions.len() {
            for past in first + 1..=(first + 3).min(mentions.len()) {
                if !unknown[past - 1] || !unknown[first] {
                    break;
                }
                let phrase: Vec<String> = (first..past).map(text).collect();
                let phrase = phrase.join(" ");
                let [from, to] =
                    [tokens[mentions[first].first as usize].word, tokens[mentions[past - 1].past as usize - 1].word];
                let (from, to) = (from as usize, to as usize);
                let around = first.saturating_sub(NEAR)..(past + NEAR).min(mentions.len());
                let has = |meanings: &[Meaning]| around.clone().any(|at| mentions[at].has(meanings));
                let fault = has(&[Meaning::DefectNoun, Meaning::DefectState, Meaning::Hedge, Meaning::Remedy]);
                let part = has(&[Meaning::Part, Meaning::Place]);
                let before = |classes: &[GrammarClass]| {
                    first.checked_sub(1).is_some_and(|at| {
                        mentions[at].senses.iter().any(|s| matches!(s, Sense::Grammar(c) if classes.contains(c)))
                    })
                };
                let seen = seen.entry(phrase).or_default();
                seen.count += 1;
                seen.drafts.insert(nth);
                seen.near += usize::from(fault || part);
                seen.with_fault += usize::from(fault);
                seen.with_part += usize::from(part);
                let placed = first.checked_sub(1).is_some_and(|at| mentions[at].has(&[Meaning::Place]));
                let is = mentions.get(past).is_some_and(|m| {
                    m.senses.iter().any(|s| matches!(s, Sense::Grammar(GrammarClass::Be | GrammarClass::Have)))
                });
                let led = before(&[GrammarClass::Determiner, GrammarClass::Host, GrammarClass::Of]);
                seen.named += usize::from(led || placed || is);
                seen.stated += usize::from(before(&[GrammarClass::Be, GrammarClass::Have]));
                seen.hedging += usize::from(
                    mentions.get(past).is_some_and(|m| m.has(&[Meaning::DefectNoun, Meaning::DefectState])),
                );
                seen.corrected += usize::from(corrected.iter().any(|[a, b]| from <= *b && to >= *a));
                if seen.examples.len() < 3 {
                    let quote = draft.narration.quote(from.saturating_sub(5), to + 5);
                    let clock = draft.narration.words[from].start.clock();
                    seen.examples.push((draft.name.clone(), clock, quote));
                }
            }
        }
    }
    let mut gaps: Vec<Gap> = seen
        .iter()
        .filter(|(_, s)| s.near > 0 || s.corrected > 0)
        // A word that is only ever said within a longer phrase is that phrase.
        .filter(|(phrase, s)| {
            !seen.iter().any(|(longer, l)| {
                l.count == s.count
                    && longer.len() > phrase.len()
                    && format!(" {longer} ").contains(&format!(" {phrase} "))
            })
        })
        .map(|(phrase, s)| {
            let near = s.near as f64 / s.count as f64;
            let words = phrase.split(' ').count() as f64;
            let worth = (s.count as f64).ln_1p()
                * (0.2 + near)
                * (1.0 + s.corrected as f64)
                * (1.0 + (s.drafts.len() as f64).ln())
                / words.sqrt();
            let kind = if s.hedging * 2 > s.count && s.with_part > 0 {
                "hedge"
            } else if s.named > s.stated || s.with_fault > 0 && s.with_part == 0 {
                "part"
            } else {
                "defect"
            };
            Gap {
                phrase: phrase.clone(),
                count: s.count,
                drafts: s.drafts.len(),
                near: s.near,
                corrected: s.corrected,
                worth,
                kind,
                examples: s.examples.clone(),
            }
        })
        .collect();
    gaps.sort_by(|a, b| b.worth.total_cmp(&a.worth).then_with(|| a.phrase.cmp(&b.phrase)));
    gaps
}
