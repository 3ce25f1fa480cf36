//! Words that the recogniser is told to expect, favoured while it decides what was said.
//!
//! A general model writes "curved" for "kerbed", because it has met the one a thousand times more often. The terms of the
//! trade are laid out here as a tree over the model's own tokens. At each step, tokens that go on with a term begun get a
//! bonus, and those that may begin one a smaller one. Two limits keep anything from being conjured out of noise: where the
//! recogniser is sure of a token, nothing is favoured, and a token that it thinks far less likely than its best never is.

use std::collections::HashMap;

use rustc_hash::{FxHashMap, FxHashSet};

/// A model's token.
pub(super) type TokenId = i32;

/// How much is added to a token's score.
#[derive(Clone, Copy, Debug)]
struct Bonus {
    /// Where it may begin a word that is rare in ordinary speech.
    begins: f32,
    /// Where it may begin an ordinary word that many terms hold: "rear".
    ordinary: f32,
    /// Where it goes on with a rare word begun.
    goes_on: f32,
    /// Where it begins the next word of a term of several.
    next: f32,
}

const BONUS: Bonus = Bonus { begins: 1.0, ordinary: 0.4, goes_on: 2.5, next: 1.0 };
/// A recogniser surer than this of a token is not talked out of it.
const SURE: f32 = 0.8;
/// Where even its best text has less than this, it is weighing whether anything follows at all, and is let be.
const LOST: f32 = 0.05;
/// Tokens scored lower than the best by more than this are not favoured.
const FAR: f32 = 4.0;
/// Tokens are numbered by how common they are in writing: words with a smaller number are everybody's.
const COMMON: TokenId = 6_000;
/// Tokens with a smaller number, and those that tell fewer letters, begin half of all words ("so", "to", "s"): to favour
/// them is to favour everything.
const EVERYDAY: TokenId = 1_500;
const LEAST_TOLD: usize = 3;
/// A word that stands in this many terms is as central to the trade as any.
const CENTRAL: f32 = 40.0;
/// Shorter words are too like too many others.
const LEAST_LETTERS: usize = 4;
/// No term has more words.
const MOST_WORDS: usize = 4;
/// Terms beyond this many are left out: memory stays bounded whatever a word list holds.
const MOST_TERMS: usize = 100_000;
/// A term's tokens, at most: how far back a beginning is looked for.
const LONGEST: usize = 14;

/// The terms as a tree over tokens.
#[derive(Debug, Default)]
pub(super) struct Favoured {
    nodes: Vec<Node>,
}

#[derive(Debug, Default)]
struct Node {
    next: Vec<(TokenId, u32, f32)>,
}

impl Favoured {
    pub fn new<'t>(terms: impl IntoIterator<Item = &'t str>, pieces: &Pieces) -> Self {
        let mut seen = FxHashSet::default();
        let terms: Vec<Vec<&str>> = terms
            .into_iter()
            .take(MOST_TERMS)
            .filter(|term| seen.insert(*term))
            .map(|term| term.split_whitespace().collect::<Vec<_>>())
            .filter(|words| (1..=MOST_WORDS).contains(&words.len()))
            .collect();
        let mut central: FxHashMap<&str, f32> = FxHashMap::default();
        for word in terms.iter().flatten() {
            *central.entry(word).or_default() += 1.0;
        }
        let mut favoured = Favoured { nodes: vec![Node::default()] };
        let mut known: HashMap<String, Vec<TokenId>> = HashMap::new();
        for words in &terms {
            for opening in [str::to_owned, capital] {
                let mut at = 0;
                for (n, word) in words.iter().enumerate() {
                    let written = if n == 0 { format!(" {}", opening(word)) } else { format!(" {word}") };
                    let tokens = known.entry(written).or_insert_with_key(|written| pieces.split(written));
                    let rare = tokens.len() > 1 || tokens.first().is_some_and(|t| *t >= COMMON);
                    let count = central.get(word).copied().unwrap_or_default();
                    let weight = if word.len() < LEAST_LETTERS {
                        0.0
                    } else {
                        ((1.0 + count).ln() / (1.0 + CENTRAL).ln()).min(1.0)
                    };
                    let mut letters = 0;
                    for (i, token) in tokens.iter().enumerate() {
                        let told = letters;
                        letters += pieces.letters(*token);
                        let everyday = *token < EVERYDAY || letters < LEAST_TOLD;
                        let begins = if rare {
                            BONUS.begins * weight
                        } else {
                            BONUS.ordinary * (count / CENTRAL).min(1.0) * weight.round()
                        };
                        let added = match (n, i) {
                            (_, 0) if everyday => 0.0,
                            (0, 0) => begins,
                            (_, 0) => begins.max(BONUS.next),
                            _ if word.len() < LEAST_LETTERS || told < LEAST_TOLD => 0.0,
                            _ => BONUS.goes_on,
                        };
                        at = favoured.step(at, *token, added);
                    }
                }
            }
        }
        favoured
    }

    fn step(&mut self, from: u32, token: TokenId, bonus: f32) -> u32 {
        let made = self.nodes.len() as u32;
        let next = &mut self.nodes[from as usize].next;
        if let Some(edge) = next.iter_mut().find(|edge| edge.0 == token) {
            edge.2 = edge.2.max(bonus);
            return edge.1;
        }
        next.push((token, made, bonus));
        self.nodes.push(Node::default());
        made
    }

    /// Adds the bonuses to `scores`, one for each token, given the text tokens so far.
    pub fn favour(&self, said: &[TokenId], scores: &mut [f32]) {
        let best = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        if !best.is_finite() {
            return;
        }
        // The best token's share of all.
        let all: f32 = scores.iter().filter(|s| **s > best - 12.0).map(|s| (s - best).exp()).sum();
        if !(LOST..=SURE).contains(&(1.0 / all)) {
            return;
        }
        let mut bonuses: FxHashMap<TokenId, f32> = FxHashMap::default();
        for from in said.len().saturating_sub(LONGEST)..=said.len() {
            let mut at = 0;
            let whole = said[from..].iter().all(|token| {
                self.nodes[at].next.iter().find(|edge| edge.0 == *token).is_some_and(|edge| {
                    at = edge.1 as usize;
                    true
                })
            });
            if whole {
                for (token, _, bonus) in &self.nodes[at].next {
                    let held = bonuses.entry(*token).or_default();
                    *held = held.max(*bonus);
                }
            }
        }
        for (token, bonus) in bonuses {
            if let Some(score) = usize::try_from(token).ok().and_then(|token| scores.get_mut(token))
                && *score >= best - FAR
            {
                *score += bonus;
            }
        }
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A model's tokens by their bytes.
#[derive(Debug)]
pub(super) struct Pieces {
    by_bytes: FxHashMap<Vec<u8>, TokenId>,
    letters: FxHashMap<TokenId, usize>,
}

impl Pieces {
    pub fn new(tokens: impl Iterator<Item = (TokenId, Vec<u8>)>) -> Self {
        let mut by_bytes = FxHashMap::default();
        let mut letters = FxHashMap::default();
        for (token, bytes) in tokens {
            letters.insert(token, bytes.iter().filter(|b| b.is_ascii_alphabetic()).count());
            by_bytes.entry(bytes).or_insert(token);
        }
        Pieces { by_bytes, letters }
    }

    /// Whether the model writes a word in one piece, as it does most words of ordinary writing.
    pub fn holds(&self, word: &str) -> bool {
        self.by_bytes.contains_key(format!(" {word}").as_bytes())
    }

    fn letters(&self, token: TokenId) -> usize {
        self.letters.get(&token).copied().unwrap_or_default()
    }

    /// The tokens in which the model writes a word: pairs of pieces are joined, the commonest first, as its makers did
    /// when they numbered them. (The recogniser's own way takes the longest piece each time, which differs for one word
    /// in ten, and then favours a spelling that the model never writes.)
    pub fn split(&self, word: &str) -> Vec<TokenId> {
        let mut pieces: Vec<&[u8]> = word.as_bytes().chunks(1).collect();
        let bytes = word.as_bytes();
        let mut at: Vec<usize> = (0..pieces.len()).collect();
        loop {
            let rank = |i: usize| {
                let joined = &bytes[at[i]..at[i + 1] + pieces[i + 1].len()];
                self.by_bytes.get(joined).copied()
            };
            let Some((i, _)) =
                (0..pieces.len().saturating_sub(1)).filter_map(|i| Some((i, rank(i)?))).min_by_key(|(_, rank)| *rank)
            else {
                break;
            };
            pieces[i] = &bytes[at[i]..at[i + 1] + pieces[i + 1].len()];
            pieces.remove(i + 1);
            at.remove(i + 1);
        }
        pieces.iter().map_while(|piece| self.by_bytes.get(*piece).copied()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the pieces below begin: everyday tokens come before.
    const BASE: TokenId = EVERYDAY;

    fn pieces() -> Pieces {
        let texts = ["d", "o", "r", " ", "e", "k", "b", " d", "or", "oor", " door", "er", " k", " ker", "kerb", "ed"];
        Pieces::new((BASE..).zip(texts.iter().map(|text| text.as_bytes().to_vec())))
    }

    fn ids<const N: usize>(places: [TokenId; N]) -> [TokenId; N] {
        places.map(|place| BASE + place)
    }

    /// The scores of a recogniser that has no opinion, but that it is no everyday word.
    fn undecided() -> Vec<f32> {
        [vec![-20.0; BASE as usize], vec![0.0; 16]].concat()
    }

    #[test]
    fn words_fall_into_the_pieces_that_were_joined_first() {
        let pieces = pieces();
        assert_eq!(pieces.split(" kerb"), ids([13, 6]));
        assert_eq!(pieces.split(" kerbed"), ids([13, 6, 15]));
        assert!(pieces.split("").is_empty());
    }

    /// Which tokens a bonus went to.
    fn after(favoured: &Favoured, said: &[TokenId]) -> Vec<(TokenId, f32)> {
        let mut scores = undecided();
        favoured.favour(said, &mut scores);
        (0..).zip(scores).filter(|(_, score)| *score > 0.0).map(|(id, score)| (id - BASE, score)).collect()
    }

    #[test]
    fn a_term_begun_is_favoured_more_than_one_to_begin_and_nothing_else_is() {
        let favoured = Favoured::new(["kerbed door", "kerbed"], &pieces());
        let begins = after(&favoured, &[]);
        assert_eq!(begins.iter().map(|b| b.0).collect::<Vec<_>>(), [13]);
        let goes_on = after(&favoured, &ids([13]));
        assert_eq!(goes_on[0], (6, BONUS.goes_on));
        assert!(goes_on[0].1 > begins[0].1 && goes_on[1].0 == 13);
        assert!(after(&favoured, &ids([13, 6, 15])).iter().any(|(token, _)| *token == 10), "the next word");
        assert!(after(&favoured, &ids([10])).iter().all(|(token, _)| *token == 13), "nothing is begun");
    }

    #[test]
    fn everyday_words_and_scraps_begin_nothing() {
        // " k" tells one letter; " door" would stand among the everyday tokens here.
        let everyday = Pieces::new(
            [" door", " k", "nob"].iter().map(|t| t.as_bytes().to_vec()).zip(BASE - 1..).map(|(t, id)| (id, t)),
        );
        let favoured = Favoured::new(["door", "knob"], &everyday);
        assert!(after(&favoured, &[]).is_empty());
        assert!(after(&favoured, &[BASE]).is_empty(), "a scrap is no word begun");
    }

    #[test]
    fn what_is_sure_or_far_off_is_let_be() {
        let favoured = Favoured::new(["kerbed"], &pieces());
        for best in [9.0, 20.0, f32::NEG_INFINITY, f32::NAN] {
            let mut scores = undecided();
            scores[BASE as usize] = best;
            if !best.is_finite() {
                scores.fill(best);
            }
            let before = scores.clone();
            favoured.favour(&[], &mut scores);
            assert!(scores.iter().zip(&before).all(|(a, b)| a == b || a.is_nan()), "{best}");
        }
        let mut scores = undecided();
        (scores[BASE as usize], scores[BASE as usize + 1]) = (5.0, 5.0);
        favoured.favour(&[], &mut scores);
        assert_eq!(scores[BASE as usize + 13], 0.0, "far off");
        let mut flat = vec![0.0; BASE as usize + 16];
        favoured.favour(&[], &mut flat);
        assert!(flat.iter().all(|score| *score == 0.0), "where any token will do, none is favoured");
        let mut few = vec![0.0; 3];
        favoured.favour(&ids([13]), &mut few);
        assert_eq!(few, [0.0; 3], "tokens beyond the scores are let be");
    }
}
