//! How alike two runs of words sound, judged from their spelling.
//!
//! Recognisers put one real word for another that sounds like it: "curved" for "kerbed", "lack of peel" for "lacquer
//! peel". Words are rewritten as rough sounds, without regard to where one ends and the next begins, and compared by what
//! a bad microphone confuses easily: voiced with unvoiced, one vowel with another, an "r" that many never say.

/// One sound: a consonant in capitals, a vowel in small letters.
type Sound = u8;

/// A run of words as it sounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sounds(Vec<Sound>);

/// What letters at one place sound like, the longest first. `~` ends a word, `^` opens one.
const SPELT: &[(&str, &str)] = &[
    ("tion~", "Xn"),
    ("tions~", "XnS"),
    ("sion~", "Xn"),
    ("dge", "J"),
    ("tch", "C"),
    ("sch", "SK"),
    ("igh", "i"),
    ("ough", "o"),
    ("augh", "o"),
    ("eigh", "e"),
    ("quer", "KeR"),
    ("quo", "Ko"),
    ("que~", "K"),
    ("mb~", "M"),
    ("ing", "iN"),
    ("ck", "K"),
    ("ch", "C"),
    ("sh", "X"),
    ("ph", "F"),
    ("th", "0"),
    ("qu", "KW"),
    ("wh", "W"),
    ("gh", ""),
    ("ng", "N"),
    ("^kn", "N"),
    ("^wr", "R"),
    ("^gn", "N"),
    ("^ps", "S"),
    ("ce", "Se"),
    ("ci", "Si"),
    ("cy", "Si"),
    ("ge~", "J"),
    ("gy", "Ji"),
    ("^ge", "Je"),
    ("^gi", "Ji"),
    ("x", "KS"),
    ("ee", "i"),
    ("ea", "i"),
    ("ie", "i"),
    ("ei", "i"),
    ("ey", "i"),
    ("ai", "e"),
    ("ay", "e"),
    ("oo", "u"),
    ("ou", "o"),
    ("ow", "o"),
    ("oa", "o"),
    ("oe", "o"),
    ("oi", "o"),
    ("oy", "o"),
    ("au", "o"),
    ("aw", "o"),
    ("ew", "u"),
    ("ue", "u"),
    ("ed~", "D"),
    ("es~", "S"),
    ("e~", ""),
    ("y~", "i"),
    ("^y", "Y"),
    ("b", "B"),
    ("c", "K"),
    ("d", "D"),
    ("f", "F"),
    ("g", "G"),
    ("h", "H"),
    ("j", "J"),
    ("k", "K"),
    ("l", "L"),
    ("m", "M"),
    ("n", "N"),
    ("p", "P"),
    ("q", "K"),
    ("r", "R"),
    ("s", "S"),
    ("t", "T"),
    ("v", "V"),
    ("w", "W"),
    ("y", "i"),
    ("z", "Z"),
    ("a", "a"),
    ("e", "e"),
    ("i", "i"),
    ("o", "o"),
    ("u", "u"),
];

/// Consonants that are easily taken for one another.
const ALIKE: &[&str] = &["PB", "TD", "KG", "FV0", "SZ", "CJX", "MN", "LRW", "BV", "T0", "SX", "TC", "D0"];

impl Sounds {
    pub fn of<'w>(words: impl IntoIterator<Item = &'w str>) -> Self {
        let mut sounds: Vec<Sound> = Vec::new();
        for word in words {
            let letters: String =
                word.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_ascii_lowercase();
            // Vowels are needed in the shortest words, so that "the" is not a bare "th".
            let marked = format!("^{letters}~");
            let mut at = 0;
            while at < marked.len() {
                let rest = &marked[at..];
                let found =
                    SPELT.iter().filter(|(spelt, _)| rest.starts_with(spelt)).max_by_key(|(spelt, _)| spelt.len());
                let Some((spelt, said)) = found else {
                    at += 1;
                    continue;
                };
                for &sound in said.as_bytes() {
                    if sounds.last() != Some(&sound) {
                        sounds.push(sound);
                    }
                }
                at += spelt.trim_end_matches('~').len();
            }
        }
        Sounds(sounds)
    }

    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// The consonant it opens with, or none for a vowel: a recogniser seldom mistakes that for one of another kind.
    pub fn opens(&self) -> Option<u8> {
        self.0.first().copied().filter(u8::is_ascii_uppercase)
    }

    /// How unlike two runs sound: 0 for the same, 1 for nothing in common.
    pub fn unlike(&self, other: &Sounds) -> f32 {
        let (a, b) = (&self.0, &other.0);
        let longer = a.len().max(b.len());
        if longer == 0 {
            return 0.0;
        }
        let mut row: Vec<f32> = vec![0.0; b.len() + 1];
        for j in 0..b.len() {
            row[j + 1] = row[j] + dropped(b, j);
        }
        for i in 0..a.len() {
            let mut corner = row[0];
            row[0] += dropped(a, i);
            for j in 0..b.len() {
                let cheapest =
                    (corner + swapped(a[i], b[j])).min(row[j + 1] + dropped(a, i)).min(row[j] + dropped(b, j));
                corner = row[j + 1];
                row[j + 1] = cheapest;
            }
        }
        row[b.len()] / longer as f32
    }
}

fn is_vowel(sound: Sound) -> bool {
    sound.is_ascii_lowercase()
}

fn swapped(a: Sound, b: Sound) -> f32 {
    let alike = |group: &&str| group.as_bytes().contains(&a) && group.as_bytes().contains(&b);
    match (is_vowel(a), is_vowel(b)) {
        _ if a == b => 0.0,
        (true, true) => 0.3,
        (false, false) if ALIKE.iter().any(alike) => 0.4,
        (false, false) => 1.0,
        _ => 1.2,
    }
}

/// What it costs that one sound is missing.
fn dropped(sounds: &[Sound], at: usize) -> f32 {
    let last = at + 1 == sounds.len();
    match sounds[at] {
        b'R' if at > 0 && is_vowel(sounds[at - 1]) => 0.3,
        b'H' => 0.3,
        b'W' | b'Y' => 0.5,
        b'T' | b'D' | b'S' | b'Z' if last => 0.5,
        sound if is_vowel(sound) => 0.5,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unlike(a: &str, b: &str) -> f32 {
        Sounds::of(a.split(' ')).unlike(&Sounds::of(b.split(' ')))
    }

    #[test]
    fn what_sounds_alike_is_near_and_the_rest_far() {
        for (heard, meant) in [
            ("curved", "kerbed"),
            ("lack or peel", "lacquer peel"),
            ("rare quarter", "rear quarter"),
            ("seal", "sill"),
            ("bonet", "bonnet"),
            ("scoffed", "scuffed"),
            ("tail gate", "tailgate"),
            ("will arch", "wheel arch"),
        ] {
            assert!(unlike(heard, meant) < 0.2, "{heard} {meant} {}", unlike(heard, meant));
        }
        for (heard, other) in
            [("door", "bonnet"), ("rust", "dent"), ("the other side", "alloy wheel"), ("nothing", "scuff")]
        {
            assert!(unlike(heard, other) > 0.3, "{heard} {other} {}", unlike(heard, other));
        }
        assert_eq!(unlike("door", "door"), 0.0);
        assert_eq!(unlike("", ""), 0.0);
    }
}
