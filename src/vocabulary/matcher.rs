//! Finds every phrase of the vocabulary in a row of words.
//!
//! A trie over word numbers, walked forward with a short list of the phrases begun and not yet ended. An Aho-Corasick
//! automaton would do with one state instead of the list, but building its failure links takes many times longer than
//! the rest of a start, and they buy nothing here: phrases are a few words long, and most beginnings break off at the
//! next word.

use rustc_hash::FxHashMap;

use super::spelling::{UNKNOWN, WordId};

/// One phrase found in a row of words.
#[derive(Clone, Copy, Debug)]
pub struct Found<'v, S> {
    /// Positions of its first word and of the word after its last.
    pub first: usize,
    pub past: usize,
    pub senses: &'v [S],
}

/// A phrase begun: memory that [`Matcher::find`] works in.
#[derive(Clone, Copy, Debug)]
pub struct Begun {
    first: u32,
    at: NodeId,
    next: WordSet,
}

pub type NodeId = u32;

/// Before any word.
pub const START: NodeId = 0;

/// A set of words that may hold a few too many: it spares most look-ups of words that do not go on.
#[derive(Clone, Copy, Debug, Default)]
struct WordSet(u64);

impl WordSet {
    fn insert(&mut self, word: WordId) {
        self.0 |= 1 << (word % 64);
    }

    fn may_hold(self, word: WordId) -> bool {
        self.0 >> (word % 64) & 1 == 1
    }

    fn is_empty(self) -> bool {
        self.0 == 0
    }
}

/// The words so far; a phrase where there are senses.
#[derive(Clone, Copy, Debug, Default)]
struct Node {
    next: WordSet,
    /// Where its senses stand in [`Matcher::senses`], and how many they are.
    senses: u32,
    count: u32,
}

#[derive(Debug)]
pub struct Matcher<S> {
    /// By word: the node that it leads to from the start, or [`START`] where no phrase begins with it.
    firsts: Vec<NodeId>,
    steps: FxHashMap<u64, NodeId>,
    nodes: Vec<Node>,
    senses: Vec<S>,
}

impl<S> Matcher<S> {
    /// Calls `each` for every phrase in a row of words, longer and shorter ones alike, in the order of their ends; of
    /// those that end together, the longest first.
    pub fn find<'v>(&'v self, words: &[WordId], begun: &mut Vec<Begun>, mut each: impl FnMut(Found<'v, S>)) {
        begun.clear();
        for (at, &word) in words.iter().enumerate() {
            let mut enter = |first: u32, id: NodeId| {
                let node = &self.nodes[id as usize];
                if node.count > 0 {
                    let senses = &self.senses[node.senses as usize..][..node.count as usize];
                    each(Found { first: first as usize, past: at + 1, senses });
                }
                (!node.next.is_empty()).then_some(Begun { first, at: id, next: node.next })
            };
            let mut kept = 0;
            for n in 0..begun.len() {
                let phrase = begun[n];
                if phrase.next.may_hold(word)
                    && let Some(&id) = self.steps.get(&step(phrase.at, word))
                    && let Some(longer) = enter(phrase.first, id)
                {
                    begun[kept] = longer;
                    kept += 1;
                }
            }
            begun.truncate(kept);
            if let Some(&id) = self.firsts.get(usize::from(word))
                && id != START
            {
                begun.extend(enter(at as u32, id));
            }
        }
    }

    /// How many phrases there are.
    pub fn len(&self) -> usize {
        self.nodes.iter().filter(|n| n.count > 0).count()
    }

    #[cfg(test)]
    /// Every phrase, as its words, with what it can mean.
    pub fn phrases(&self) -> Vec<(Vec<WordId>, &[S])> {
        let mut came = vec![(START, UNKNOWN); self.nodes.len()];
        for (&step, &to) in &self.steps {
            came[to as usize] = ((step >> 16) as NodeId, step as WordId);
        }
        for (word, &to) in self.firsts.iter().enumerate().filter(|(_, to)| **to != START) {
            came[to as usize] = (START, word as WordId);
        }
        let ends = self.nodes.iter().enumerate().filter(|(_, node)| node.count > 0);
        ends.map(|(end, node)| {
            let (mut words, mut at) = (Vec::new(), end);
            while at != START as usize {
                words.push(came[at].1);
                at = came[at].0 as usize;
            }
            words.reverse();
            (words, &self.senses[node.senses as usize..][..node.count as usize])
        })
        .collect()
    }

    /// What a phrase of one word can mean.
    pub fn senses_of(&self, word: WordId) -> &[S] {
        let node = self.nodes[self.firsts.get(usize::from(word)).copied().unwrap_or(START) as usize];
        &self.senses[node.senses as usize..][..node.count as usize]
    }
}

/// A matcher in the making.
#[derive(Debug)]
pub struct Builder<S> {
    firsts: Vec<NodeId>,
    steps: FxHashMap<u64, NodeId>,
    nexts: Vec<WordSet>,
    meanings: Vec<(NodeId, S)>,
}

impl<S> Default for Builder<S> {
    fn default() -> Self {
        Builder { firsts: Vec::new(), steps: FxHashMap::default(), nexts: Vec::new(), meanings: Vec::new() }
    }
}

impl<S: Copy + PartialEq> Builder<S> {
    pub fn new() -> Self {
        // Room for the shipped vocabulary, so that it need not be moved while it grows.
        let steps = FxHashMap::with_capacity_and_hasher(57_000, Default::default());
        let firsts = Vec::with_capacity(1 << 15);
        Builder { firsts, steps, nexts: vec![WordSet::default()], meanings: Vec::with_capacity(1 << 17) }
    }

    /// The node that a word leads to, made now if there is none.
    pub fn step(&mut self, from: NodeId, word: WordId) -> NodeId {
        debug_assert_ne!(word, UNKNOWN, "phrases hold known words only");
        let made = self.nexts.len() as NodeId;
        let to = if from == START {
            let word = usize::from(word);
            if self.firsts.len() <= word {
                self.firsts.resize(word + 1, START);
            }
            &mut self.firsts[word]
        } else {
            self.steps.entry(step(from, word)).or_insert(START)
        };
        if *to == START {
            *to = made;
            self.nexts[from as usize].insert(word);
            self.nexts.push(WordSet::default());
        }
        *to
    }

    /// A phrase ends at this node, and can mean this.
    pub fn mean(&mut self, at: NodeId, sense: S) {
        self.meanings.push((at, sense));
    }

    /// The nodes after the start in the order in which they were made, each with the node and word that lead to it; and
    /// what phrases mean, each meaning once.
    #[allow(dead_code, clippy::type_complexity)] // called by build.rs, which takes both lists apart at once
    pub fn parts(&self) -> (Vec<(NodeId, WordId)>, Vec<(NodeId, S)>) {
        let mut steps = vec![(START, UNKNOWN); self.nexts.len().saturating_sub(1)];
        for (word, to) in self.firsts.iter().enumerate().filter(|(_, to)| **to != START) {
            steps[*to as usize - 1] = (START, word as WordId);
        }
        for (&step, &to) in &self.steps {
            steps[to as usize - 1] = ((step >> 16) as NodeId, step as WordId);
        }
        let mut of = vec![Vec::new(); self.nexts.len()];
        let mut meanings = Vec::with_capacity(self.meanings.len());
        for &(at, sense) in &self.meanings {
            let known: &mut Vec<S> = &mut of[at as usize];
            if !known.contains(&sense) {
                known.push(sense);
                meanings.push((at, sense));
            }
        }
        (steps, meanings)
    }

    /// Every meaning so far passes through `keep`, in the order in which they were given.
    pub fn meanings_mut(&mut self) -> &mut Vec<(NodeId, S)> {
        &mut self.meanings
    }

    pub fn build(self) -> Matcher<S> {
        let mut nodes: Vec<Node> = self.nexts.iter().map(|&next| Node { next, ..Default::default() }).collect();
        // Each node's senses side by side, in the order in which they came: room first, then the senses themselves,
        // each once.
        for &(at, _) in &self.meanings {
            nodes[at as usize].count += 1;
        }
        let mut room = 0;
        for node in &mut nodes {
            node.senses = room;
            room += std::mem::take(&mut node.count);
        }
        let mut senses = match self.meanings.first() {
            Some(&(_, any)) => vec![any; room as usize],
            None => Vec::new(),
        };
        for &(at, sense) in &self.meanings {
            let node = &mut nodes[at as usize];
            let (from, past) = (node.senses as usize, (node.senses + node.count) as usize);
            if !senses[from..past].contains(&sense) {
                senses[past] = sense;
                node.count += 1;
            }
        }
        Matcher { firsts: self.firsts, steps: self.steps, nodes, senses }
    }
}

fn step(from: NodeId, word: WordId) -> u64 {
    u64::from(from) << 16 | u64::from(word)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vocabulary::Sense;

    #[test]
    fn phrases_are_found_by_their_ends_and_longest_first() {
        let mut builder = Builder::new();
        for (phrase, part) in [(&[1, 2, 3][..], 0), (&[2], 1), (&[2, 3], 2), (&[3, 4], 3), (&[2, 3], 4), (&[2, 3], 2)] {
            let end = phrase.iter().fold(START, |at, &word| builder.step(at, word));
            builder.mean(end, Sense::Part(part));
        }
        let matcher = builder.build();
        assert_eq!(matcher.len(), 4);
        let mut found = Vec::new();
        matcher.find(&[1, 2, 3, UNKNOWN, 3, 4, 1, 9, 2], &mut Vec::new(), |f| {
            found.push((f.first, f.past, f.senses.to_vec()));
        });
        let part = |n: &[u16]| n.iter().map(|&n| Sense::Part(n)).collect::<Vec<_>>();
        assert_eq!(
            found,
            [(1, 2, part(&[1])), (0, 3, part(&[0])), (1, 3, part(&[2, 4])), (4, 6, part(&[3])), (8, 9, part(&[1]))]
        );
    }
}
