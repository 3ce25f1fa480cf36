//! Spoken numbers: "eighty-three thousand two hundred", "sixty-eight four hundred", "twenty nineteen", "two fifty".
//!
//! The words themselves and their values are vocabulary; how they follow one another is here.

use crate::vocabulary::entries::NumberRole;

/// A number said, as a range: "a few" is three to five, "four" is four to four.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spoken {
    pub low: f64,
    pub high: f64,
    /// "second", "third": a place in a row, never an amount.
    pub ordinal: bool,
    /// Said with "about" or the like.
    pub about: bool,
    /// A counting word such as "a few", "a couple".
    pub vague: bool,
}

impl Spoken {
    pub fn exactly(value: f64) -> Self {
        Spoken { low: value, high: value, ordinal: false, about: false, vague: false }
    }
}

/// One piece of a spoken number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece {
    /// A number written in digits.
    Digits(f64),
    Word {
        value: f64,
        role: NumberRole,
    },
    /// "and" or "a" inside a number.
    Link,
    /// "odd": thirty-odd.
    Odd,
}

/// The longest number at the start of `pieces`: its value and how many pieces it takes.
pub fn parse(pieces: &[Piece]) -> Option<(Spoken, usize)> {
    // "one oh three five": digit by digit
    let digits =
        pieces.iter().take_while(|p| matches!(p, Piece::Word { role: NumberRole::Unit | NumberRole::Oh, .. })).count();
    let has_oh = pieces[..digits].iter().any(|p| matches!(p, Piece::Word { role: NumberRole::Oh, .. }));
    let first_is_unit = matches!(pieces.first(), Some(Piece::Word { role: NumberRole::Unit, .. }));
    if first_is_unit && digits >= 3 || first_is_unit && has_oh && digits >= 2 {
        let value = pieces[..digits].iter().fold(0.0, |sum, p| match p {
            Piece::Word { value, .. } => sum * 10.0 + value,
            _ => sum,
        });
        return Some((Spoken::exactly(value), digits));
    }
    let (first, mut used, plain) = whole(pieces)?;
    let mut value = first;
    if plain {
        if let Some((second, more, second_plain)) = whole(&pieces[used..])
            && matches!(pieces.get(used), Some(Piece::Word { .. }))
        {
            // "eight ten", "ten twelve": two guesses, not one number
            let guesses = (6.0..19.0).contains(&first) && (1.0..=5.0).contains(&(second - first)) && second <= 20.0;
            if second_plain
                && !guesses
                && (10.0..100.0).contains(&second)
                && ((10.0..=21.0).contains(&first) || (1.0..10.0).contains(&first))
            {
                // "twenty nineteen", "two fifty"
                value = first * 100.0 + second;
                used += more;
                // "one oh three" is above; "one twenty eight four hundred" runs on
                if let Some((third, again, false)) = whole(&pieces[used..])
                    && (100.0..1000.0).contains(&third)
                    && matches!(pieces.get(used), Some(Piece::Word { .. }))
                {
                    value = value * 1000.0 + third;
                    used += again;
                }
            } else if !second_plain && (100.0..1000.0).contains(&second) && (10.0..1000.0).contains(&first) {
                // "sixty-eight four hundred"
                value = first * 1000.0 + second;
                used += more;
            }
        }
    } else if (100.0..1000.0).contains(&first)
        && let Some((second, more, false)) = whole(&pieces[used..])
        && (100.0..1000.0).contains(&second)
        && second % 100.0 == 0.0
    {
        // "a hundred and three five hundred"
        value = first * 1000.0 + second;
        used += more;
    }
    // "two point two", "point five"
    if let Some(Piece::Word { role: NumberRole::Point, .. }) = pieces.get(used) {
        let mut scale = 0.1;
        let mut at = used + 1;
        let mut any = false;
        while let Some(piece) = pieces.get(at) {
            let digit = match piece {
                Piece::Word { value, role: NumberRole::Unit | NumberRole::Oh } => *value,
                Piece::Digits(d) if *d < 10.0 && !any => *d,
                _ => break,
            };
            value += digit * scale;
            scale /= 10.0;
            at += 1;
            any = true;
        }
        if any {
            used = at;
        }
    }
    // "one and a half"
    let links = pieces[used..].iter().take_while(|p| **p == Piece::Link).count();
    if let Some(Piece::Word { value: half, role: NumberRole::Half }) = pieces.get(used + links) {
        value += half;
        used += links + 1;
    }
    let mut spoken = Spoken::exactly(value);
    if pieces.get(used) == Some(&Piece::Odd) {
        spoken.high = value + 9.0;
        spoken.about = true;
        used += 1;
    }
    Some((spoken, used))
}

/// One number without tricks, and whether it was below a hundred and spoken in words.
fn whole(pieces: &[Piece]) -> Option<(f64, usize, bool)> {
    let (mut value, mut at) = hundreds(pieces)?;
    let mut plain = value < 100.0 && matches!(pieces[0], Piece::Word { .. });
    if let Some(Piece::Word { value: scale, role: NumberRole::Scale }) = pieces.get(at) {
        value *= scale;
        at += 1;
        plain = false;
        let link = usize::from(pieces.get(at) == Some(&Piece::Link));
        if let Some((rest, used)) = hundreds(&pieces[at + link..])
            && rest < *scale
            && !matches!(pieces.get(at + link + used), Some(Piece::Word { role: NumberRole::Scale, .. }))
        {
            value += rest;
            at += link + used;
        }
    }
    Some((value, at, plain))
}

fn hundreds(pieces: &[Piece]) -> Option<(f64, usize)> {
    let (mut value, mut at) = match small(pieces) {
        Some(found) => found,
        None => match pieces {
            // "a hundred", "hundred and eighty"
            [Piece::Word { role: NumberRole::Hundred, .. }, ..] => (1.0, 0),
            [Piece::Link, Piece::Word { role: NumberRole::Hundred, .. }, ..] => (1.0, 1),
            [Piece::Link, Piece::Word { role: NumberRole::Scale, .. }, ..] => return Some((1.0, 1)),
            [Piece::Word { value, role: NumberRole::Half }, ..] => return Some((*value, 1)),
            _ => return None,
        },
    };
    if let Some(Piece::Word { role: NumberRole::Hundred, .. }) = pieces.get(at) {
        value *= 100.0;
        at += 1;
        let link = usize::from(pieces.get(at) == Some(&Piece::Link));
        if let Some((rest, used)) = small(&pieces[at + link..])
            && rest < 100.0
            && !matches!(pieces.get(at + link + used), Some(Piece::Word { role: NumberRole::Hundred, .. }))
        {
            value += rest;
            at += link + used;
        }
    }
    Some((value, at))
}

fn small(pieces: &[Piece]) -> Option<(f64, usize)> {
    match *pieces.first()? {
        Piece::Digits(value) => Some((value, 1)),
        Piece::Word { value, role: NumberRole::Unit | NumberRole::Teen } => Some((value, 1)),
        Piece::Word { value, role: NumberRole::Ten } => match pieces.get(1) {
            Some(Piece::Word { value: unit, role: NumberRole::Unit }) => Some((value + unit, 2)),
            _ => Some((value, 1)),
        },
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(text: &str) -> Vec<Piece> {
        let word = |value: f64, role| Piece::Word { value, role };
        text.split([' ', '-'])
            .map(|w| match w {
                "a" | "and" => Piece::Link,
                "odd" => Piece::Odd,
                "oh" => word(0.0, NumberRole::Oh),
                "point" => word(0.0, NumberRole::Point),
                "half" => word(0.5, NumberRole::Half),
                "hundred" => word(100.0, NumberRole::Hundred),
                "thousand" => word(1000.0, NumberRole::Scale),
                w => {
                    let units = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"];
                    let teens = [
                        "ten",
                        "eleven",
                        "twelve",
                        "thirteen",
                        "fourteen",
                        "fifteen",
                        "sixteen",
                        "seventeen",
                        "eighteen",
                        "nineteen",
                    ];
                    let tens = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
                    if let Some(at) = units.iter().position(|u| *u == w) {
                        word(at as f64, NumberRole::Unit)
                    } else if let Some(at) = teens.iter().position(|u| *u == w) {
                        word(at as f64 + 10.0, NumberRole::Teen)
                    } else if let Some(at) = tens.iter().position(|u| *u == w) {
                        word(at as f64 * 10.0 + 20.0, NumberRole::Ten)
                    } else {
                        Piece::Digits(w.parse().unwrap())
                    }
                }
            })
            .collect()
    }

    #[test]
    fn numbers_as_they_are_spoken() {
        for (text, value) in [
            ("four", 4.0),
            ("eighty-three thousand two hundred", 83_200.0),
            ("sixty-eight four hundred", 68_400.0),
            ("fifty-eight three hundred and ten", 58_310.0),
            ("one oh three five", 1035.0),
            ("a hundred and twenty eight thousand four hundred", 128_400.0),
            ("a hundred sixty one thousand nine hundred", 161_900.0),
            ("two hundred and eighteen thousand", 218_000.0),
            ("twenty nineteen", 2019.0),
            ("twenty twenty one", 2021.0),
            ("nineteen seventy three", 1973.0),
            ("two thousand sixteen", 2016.0),
            ("two thousand and eight", 2008.0),
            ("two fifty", 250.0),
            ("one eighty", 180.0),
            ("twelve hundred", 1200.0),
            ("two point two", 2.2),
            ("one and a half", 1.5),
            ("38 thousand", 38_000.0),
            ("hundred and eighty", 180.0),
        ] {
            let pieces = pieces(text);
            let (spoken, used) = parse(&pieces).unwrap_or_else(|| panic!("{text}: no number"));
            assert_eq!((spoken.low, used), (value, pieces.len()), "{text}");
        }
    }

    #[test]
    fn thirty_odd_is_a_range() {
        let (spoken, used) = parse(&pieces("thirty odd")).unwrap();
        assert_eq!((spoken.low, spoken.high, used), (30.0, 39.0, 2));
    }

    #[test]
    fn numbers_that_do_not_belong_together_stay_apart() {
        let (spoken, used) = parse(&pieces("4.5 120")).unwrap();
        assert_eq!((spoken.low, used), (4.5, 1));
        let (spoken, used) = parse(&pieces("three two")).unwrap();
        assert_eq!((spoken.low, used), (3.0, 1));
    }
}
