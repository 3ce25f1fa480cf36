//! When two names mean one thing: the words of one, cut to their stems, all stand in the other.

use std::collections::BTreeSet;

/// Small words that no name is told apart by.
const SMALL: &str = "a an the of on in at to and or just it its it's is are was this that these those here there with for got has have bit little some one very really quite been be um uh er";

pub fn stems(text: &str) -> BTreeSet<String> {
    let small: BTreeSet<String> = SMALL.split(' ').map(stem).collect();
    words(text).iter().map(|w| stem(w)).filter(|s| !small.contains(s)).collect()
}

fn words(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !(c.is_ascii_lowercase() || c.is_ascii_digit()))
        .filter(|w| !w.is_empty())
        .map(str::to_string)
        .collect()
}

fn stem(word: &str) -> String {
    let mut word = word;
    for end in ["ations", "ation", "ings", "ing", "ies", "ed", "es", "s", "y"] {
        if let Some(rest) = word.strip_suffix(end)
            && rest.len() >= 3
        {
            word = rest;
            break;
        }
    }
    let bytes = word.as_bytes();
    if bytes.len() > 4 && bytes[bytes.len() - 1] == bytes[bytes.len() - 2] {
        return word[..word.len() - 1].to_string();
    }
    word.trim_end_matches('e').to_string()
}

/// Whether any accepted name's stems stand within a said name's, or the other way round.
pub fn same_name(accepted: &[String], said: &[&str]) -> bool {
    let said: Vec<_> = said.iter().map(|s| stems(s)).collect();
    accepted
        .iter()
        .map(|a| stems(a))
        .filter(|a| !a.is_empty())
        .any(|a| said.iter().any(|s| !s.is_empty() && (a.is_subset(s) || s.is_subset(&a))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_agree_by_their_stems() {
        let accepted = vec!["front door".to_string(), "scratches".to_string()];
        for (said, same) in
            [("door", true), ("the front doors", true), ("scratched", true), ("wing", false), ("", false)]
        {
            assert_eq!(same_name(&accepted, &[said]), same, "{said}");
        }
    }
}
