//! Finds every phrase of the vocabulary in a row of words.
//!
//! A trie over word numbers, walked forward with a short list of the phrases begun and not yet ended. An Aho-Corasick
//! automaton would do with one state instead of the list, but building its failure links takes many times longer than
//! the rest of a start, and they buy nothing here: phrases are a few words long, and most beginnings break off at the
//! next word.
//!
//! The trie lies in flat lists, some ten bytes to a node, so that most of it stays near the processor; a hash table of
//! steps would not.

use std::ops::Range;

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
}

pub type NodeId = u32;

/// Before any word.
pub const START: NodeId = 0;

/// The steps from node to node, numbered by distance from the start: the children of a node stand side by side, in the
/// order of the words that lead to them.
#[derive(Clone, Debug)]
pub struct Tree {
    /// For each node: the word that leads to it.
    pub words: Vec<WordId>,
    /// For each node: its first child. The last one is that of the next node's, and so there is one more than nodes.
    pub children: Vec<NodeId>,
}

impl Tree {
    /// Of no phrase.
    fn bare() -> Self {
        Tree { words: vec![UNKNOWN], children: vec![1, 1] }
    }

    fn len(&self) -> usize {
        self.words.len()
    }

    /// The children of a node; none for one that is not in this tree.
    fn children(&self, node: NodeId) -> Range<usize> {
        match self.children.get(node as usize..node as usize + 2) {
            Some(&[from, past]) => from as usize..past as usize,
            _ => 0..0,
        }
    }

    fn step(&self, from: NodeId, word: WordId) -> Option<NodeId> {
        let children = self.children(from);
        let nth = self.words[children.clone()].binary_search(&word).ok()?;
        Some((children.start + nth) as NodeId)
    }
}

/// The words so far. Children and senses end where those of the next node begin.
#[derive(Clone, Copy, Debug)]
struct Node {
    children: NodeId,
    /// Where its senses begin in [`Matcher::senses`]; a phrase ends here where there are any.
    senses: u32,
}

#[derive(Debug)]
pub struct Matcher<S> {
    /// By word: the node that it leads to from the start, or [`START`] where no phrase begins with it.
    firsts: Vec<NodeId>,
    /// For each node: the word that leads to it.
    words: Vec<WordId>,
    /// One more than there are.
    nodes: Vec<Node>,
    senses: Vec<S>,
}

impl<S> Matcher<S> {
    /// Calls `each` for every phrase in a row of words, longer and shorter ones alike, in the order of their ends; of
    /// those that end together, the longest first.
    pub fn find<'v>(&'v self, words: &[WordId], begun: &mut Vec<Begun>, mut each: impl FnMut(Found<'v, S>)) {
        begun.clear();
        for (at, &word) in words.iter().enumerate() {
            // Tells of the phrase that ends here, and whether longer ones begin with it.
            let mut reach = |phrase: Begun| {
                let (children, senses) = self.node(phrase.at);
                if !senses.is_empty() {
                    each(Found { first: phrase.first as usize, past: at + 1, senses });
                }
                !children.is_empty()
            };
            begun.retain_mut(|phrase| match self.step(phrase.at, word) {
                Some(next) => {
                    phrase.at = next;
                    reach(*phrase)
                }
                None => false,
            });
            let first = Begun { first: at as u32, at: self.first(word) };
            if first.at != START && reach(first) {
                begun.push(first);
            }
        }
    }

    /// The children of a node, and what a phrase that ends with it can mean.
    fn node(&self, node: NodeId) -> (Range<usize>, &[S]) {
        let (this, next) = (self.nodes[node as usize], self.nodes[node as usize + 1]);
        (this.children as usize..next.children as usize, &self.senses[this.senses as usize..next.senses as usize])
    }

    fn first(&self, word: WordId) -> NodeId {
        self.firsts.get(usize::from(word)).copied().unwrap_or(START)
    }

    fn step(&self, from: NodeId, word: WordId) -> Option<NodeId> {
        let (children, _) = self.node(from);
        let nth = self.words[children.clone()].binary_search(&word).ok()?;
        Some((children.start + nth) as NodeId)
    }

    /// How many phrases there are.
    pub fn len(&self) -> usize {
        self.nodes.windows(2).filter(|n| n[0].senses < n[1].senses).count()
    }

    /// Calls `each` with the words of every phrase and what it can mean.
    #[allow(dead_code)] // not called by build.rs
    pub fn each(&self, mut each: impl FnMut(&[WordId], &[S])) {
        let mut words = Vec::new();
        // Nodes still to go to, with how many words lead to them.
        let mut ahead: Vec<(usize, NodeId)> = vec![(0, START)];
        while let Some((depth, node)) = ahead.pop() {
            words.truncate(depth.saturating_sub(1));
            if node != START {
                words.push(self.words[node as usize]);
            }
            let (children, senses) = self.node(node);
            if !senses.is_empty() {
                each(&words, senses);
            }
            ahead.extend(children.rev().map(|child| (depth + 1, child as NodeId)));
        }
    }

    /// What exactly this row of words can mean.
    #[allow(dead_code)] // not called by build.rs
    pub fn exactly(&self, words: &[WordId]) -> &[S] {
        let mut at = START;
        for (nth, &word) in words.iter().enumerate() {
            let next = if nth == 0 { Some(self.first(word)).filter(|n| *n != START) } else { self.step(at, word) };
            match next {
                Some(next) => at = next,
                None => return &[],
            }
        }
        if at == START { &[] } else { self.node(at).1 }
    }

    /// What a phrase of one word can mean.
    pub fn senses_of(&self, word: WordId) -> &[S] {
        match self.first(word) {
            START => &[],
            node => self.node(node).1,
        }
    }
}

/// A matcher in the making.
#[derive(Debug)]
pub struct Builder<S> {
    /// The steps known from the beginning.
    tree: Tree,
    /// Those added since. Their nodes are numbered on from those of the tree.
    added: FxHashMap<(NodeId, WordId), NodeId>,
    meanings: Vec<(NodeId, S)>,
}

impl<S> Default for Builder<S> {
    fn default() -> Self {
        Builder { tree: Tree::bare(), added: FxHashMap::default(), meanings: Vec::new() }
    }
}

impl<S: Copy + PartialEq> Builder<S> {
    /// One that goes on from a tree and from what its phrases mean.
    pub fn from_parts(tree: Tree, meanings: Vec<(NodeId, S)>) -> Self {
        Builder { tree, added: FxHashMap::default(), meanings }
    }

    /// The node that a word leads to, made now if there is none.
    pub fn step(&mut self, from: NodeId, word: WordId) -> NodeId {
        debug_assert_ne!(word, UNKNOWN, "phrases hold known words only");
        self.tree.step(from, word).unwrap_or_else(|| {
            let made = self.tree.len() + self.added.len();
            *self.added.entry((from, word)).or_insert(made as NodeId)
        })
    }

    /// A phrase ends at this node, and can mean this.
    pub fn mean(&mut self, at: NodeId, sense: S) {
        self.meanings.push((at, sense));
    }

    /// All steps as one tree, and what phrases mean, each meaning once.
    #[allow(dead_code)] // called by build.rs
    pub fn into_parts(self) -> (Tree, Vec<(NodeId, S)>) {
        let (tree, meanings) = self.settle();
        let mut of = vec![Vec::new(); tree.len()];
        let once = meanings.into_iter().filter(|&(at, sense)| {
            let known: &mut Vec<S> = &mut of[at as usize];
            let new = !known.contains(&sense);
            if new {
                known.push(sense);
            }
            new
        });
        let meanings = once.collect();
        (tree, meanings)
    }

    /// Every meaning so far, in the order in which they were given.
    pub fn meanings_mut(&mut self) -> &mut Vec<(NodeId, S)> {
        &mut self.meanings
    }

    /// Takes what was added into the tree, which gives nodes new numbers.
    fn settle(self) -> (Tree, Vec<(NodeId, S)>) {
        let Builder { tree: before, added, mut meanings } = self;
        if added.is_empty() {
            return (before, meanings);
        }
        let count = before.len() + added.len();
        let mut added: Vec<(NodeId, WordId, NodeId)> = added.into_iter().map(|((from, w), to)| (from, w, to)).collect();
        added.sort_unstable();
        let mut grows = vec![false; count];
        for (from, ..) in &added {
            grows[*from as usize] = true;
        }
        let mut tree = Tree { words: Vec::with_capacity(count), children: Vec::with_capacity(count + 1) };
        tree.words.push(UNKNOWN);
        // The old numbers in the new order: a node's children come when its own turn does.
        let mut order = Vec::with_capacity(count);
        order.push(START);
        for at in 0..count {
            let node = order[at];
            tree.children.push(order.len() as NodeId);
            let from = order.len();
            let old = before.children(node);
            order.extend(old.clone().map(|n| n as NodeId));
            tree.words.extend_from_slice(&before.words[old]);
            if grows[node as usize] {
                let new = &added[added.partition_point(|(from, ..)| *from < node)..];
                let new = new.iter().take_while(|(from, ..)| *from == node);
                let old = order.drain(from..).zip(tree.words.drain(from..));
                let mut all: Vec<_> = old.map(|(n, w)| (w, n)).chain(new.map(|&(_, w, n)| (w, n))).collect();
                all.sort_unstable();
                order.extend(all.iter().map(|(_, node)| *node));
                tree.words.extend(all.iter().map(|(word, _)| *word));
            }
        }
        tree.children.push(count as NodeId);
        let mut renumbered = vec![START; count];
        for (new, &old) in order.iter().enumerate() {
            renumbered[old as usize] = new as NodeId;
        }
        for (at, _) in &mut meanings {
            *at = renumbered[*at as usize];
        }
        (tree, meanings)
    }

    pub fn build(self) -> Matcher<S> {
        let (tree, meanings) = self.settle();
        // Each node's senses side by side, in the order in which they came: first room for all of them, then the senses
        // themselves, each once, and the room that is left over given up.
        let mut room = vec![0; tree.len() + 1];
        for &(at, _) in &meanings {
            room[at as usize + 1] += 1;
        }
        for node in 0..tree.len() {
            room[node + 1] += room[node];
        }
        let mut filled = room.clone();
        let mut senses: Vec<Option<S>> = vec![None; meanings.len()];
        for &(at, sense) in &meanings {
            let (from, past) = (room[at as usize], &mut filled[at as usize]);
            if !senses[from..*past].contains(&Some(sense)) {
                senses[*past] = Some(sense);
                *past += 1;
            }
        }
        let mut nodes = Vec::with_capacity(tree.children.len());
        let mut kept = 0;
        for (node, &children) in tree.children.iter().enumerate() {
            nodes.push(Node { children, senses: kept as u32 });
            kept += filled[node] - room[node];
        }
        let mut firsts = Vec::new();
        for node in tree.children(START) {
            let word = usize::from(tree.words[node]);
            firsts.resize(word + 1, START);
            firsts[word] = node as NodeId;
        }
        Matcher { firsts, words: tree.words, nodes, senses: senses.into_iter().flatten().collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vocabulary::Sense;

    #[test]
    fn phrases_are_found_by_their_ends_and_longest_first() {
        let mut builder = Builder::default();
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
