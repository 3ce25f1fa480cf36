//! Spoken numbers that the recogniser split: "seventy-one thousand four hundred miles" written "70 1,400 miles" or
//! "17 1,400 miles". They are put together only before a unit of distance, where no other reading makes sense.

use super::plain;
use crate::narration::{Narration, Word};
use crate::report::Mended;

const UNITS: &[&str] = &["mile", "miles", "km", "kilometre", "kilometres", "kilometer", "kilometers", "kms", "k's"];

pub(super) fn mend(mut narration: Narration, mended: &mut Vec<Mended>) -> Narration {
    let mut at = 0;
    while at + 2 < narration.words.len() {
        let [first, second, unit] = [0, 1, 2].map(|n| &narration.words[at + n]);
        let apart = second.opens_line || unit.opens_line || first.text.ends_with(['.', ',', '?', '!']);
        let whole = joined(&first.text, &second.text).filter(|_| !apart && UNITS.contains(&plain(&unit.text).as_str()));
        if let Some(whole) = whole {
            let heard = narration.quote(at, at + 1);
            let word = Word {
                text: grouped(whole),
                start: first.start,
                end: second.end,
                confidence: first.confidence.min(second.confidence),
                opens_line: first.opens_line,
            };
            narration.words.splice(at..at + 2, [word]);
            mended.push(Mended { first: at, count: 1, heard });
        }
        at += 1;
    }
    narration
}

/// The number that two are the halves of, if they can be nothing else.
fn joined(first: &str, second: &str) -> Option<u32> {
    let tens: u32 = first.parse().ok()?;
    let (thousands, rest) = second.trim_end_matches(',').split_once(',')?;
    if rest.len() != 3 || !rest.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let rest: u32 = rest.parse().ok()?;
    let ones: u32 = (thousands.len() == 1).then(|| thousands.parse().ok())??;
    // "Seventeen one thousand" is nothing that anybody says: it was "seventy-one thousand".
    let tens = match tens {
        13..=19 => (tens - 10) * 10,
        20..=90 if tens.is_multiple_of(10) => tens,
        _ => return None,
    };
    (ones > 0).then_some((tens + ones) * 1000 + rest)
}

fn grouped(number: u32) -> String {
    format!("{},{:03}", number / 1000, number % 1000)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::narration::Seconds;

    #[test]
    fn split_distances_are_put_together_and_nothing_else_is() {
        for (said, meant) in [
            ("17 1,400 miles on it", "71,400 miles on it"),
            ("done 70 1,400 miles", "done 71,400 miles"),
            ("40 2,600 km", "42,600 km"),
            ("17 1,400 pounds", "17 1,400 pounds"),
            ("17, 1,400 miles", "17, 1,400 miles"),
            ("71 1,400 miles", "71 1,400 miles"),
            ("17 21,400 miles", "17 21,400 miles"),
            ("17 miles", "17 miles"),
        ] {
            let words = said.split(' ').map(|text| Word {
                text: text.to_owned(),
                start: Seconds(0.0),
                end: Seconds(1.0),
                confidence: 0.9,
                opens_line: false,
            });
            let narration = Narration { words: words.collect(), duration: None, timed: true };
            let mut mended = Vec::new();
            let after = mend(narration, &mut mended);
            assert_eq!(after.quote(0, after.words.len() - 1), meant);
            assert_eq!(mended.len(), usize::from(said != meant));
        }
    }
}
