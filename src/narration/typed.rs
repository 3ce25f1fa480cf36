//! Typed notes: lines of `[m:ss] words` or `[h:mm:ss] words`, or words alone.

use super::error::{Fault, Located, on_line};
use super::spread::{Written, assumed, split, spread};
use super::{MOST_WORDS, Narration, Seconds};

/// No recording lasts longer, in hours.
const MOST_HOURS: u64 = 100;

pub(super) fn read(text: &str) -> Result<Narration, Located> {
    let mut stretches = vec![Stretch { from: 0.0, words: Vec::new() }];
    let mut last: Option<(f64, &str)> = None;
    let mut words = 0;
    for (number, line) in text.lines().enumerate() {
        let mut opens_line = true;
        for mut token in split(line) {
            words += 1;
            if words > MOST_WORDS {
                return Err(Fault::TooManyWords.into());
            }
            while let Some((code, rest)) = bracketed(token) {
                if stretches.len() > MOST_WORDS {
                    return Err(Fault::TooManyWords.into());
                }
                let fault = |fault| on_line(number + 1, fault);
                let at = seconds(code).map_err(|mended| {
                    fault(Fault::Time { said: format!("[{code}]"), mended: mended.map(|time| format!("[{time}]")) })
                })?;
                if let Some((before, said)) = last
                    && at < before
                {
                    let before = format!("[{said}]");
                    return Err(fault(Fault::Backwards { said: format!("[{code}]"), before }));
                }
                last = Some((at, code));
                stretches.push(Stretch { from: at, words: Vec::new() });
                opens_line = true;
                token = rest;
            }
            if let (false, Some(stretch)) = (token.is_empty(), stretches.last_mut()) {
                stretch.words.push(Written { text: token, opens_line });
                opens_line = false;
            }
        }
    }
    let mut narration =
        Narration { timed: last.is_some(), duration: last.map(|(at, _)| Seconds(at)), ..Narration::default() };
    for (at, stretch) in stretches.iter().enumerate() {
        let until = stretches.get(at + 1).map_or(stretch.from + assumed(stretch.words.len()), |next| next.from);
        spread(&stretch.words, stretch.from, until, &mut narration.words)?;
    }
    if narration.words.is_empty() {
        return Err(Fault::NoWords.into());
    }
    Ok(narration)
}

/// Words from one timecode to the next.
struct Stretch<'a> {
    from: f64,
    words: Vec<Written<'a>>,
}

/// The inside of a timecode at the start of a word, and what hangs on it. Brackets around anything but digits and
/// colons are words like any other.
fn bracketed(token: &str) -> Option<(&str, &str)> {
    let (code, rest) = token.strip_prefix('[')?.split_once(']')?;
    let like_a_time = code.contains(':')
        && code.starts_with(|c: char| c.is_ascii_digit() || c == ':')
        && code.chars().all(|c| c.is_ascii_digit() || matches!(c, ':' | '.' | ',' | '-'));
    like_a_time.then_some((code, rest))
}

/// A timecode in seconds; where it is none, what was probably meant, if that can be told.
fn seconds(code: &str) -> Result<f64, Option<String>> {
    let (clock, fraction) = match code.split_once(['.', ',']) {
        Some((clock, digits)) => (clock, fraction(digits).ok_or(None)?),
        None => (code, 0.0),
    };
    let mut fields = Vec::with_capacity(3);
    for field in clock.split(':') {
        if field.is_empty() || fields.len() == 3 {
            return Err(None);
        }
        fields.push(field.parse::<u64>().ok().filter(|&n| n <= MOST_HOURS * 3600).ok_or(None)?);
    }
    let (h, m, s) = match fields[..] {
        [m, s] => (0, m, s),
        [h, m, s] => (h, m, s),
        _ => return Err(None),
    };
    let whole = h * 3600 + m * 60 + s;
    if whole > MOST_HOURS * 3600 {
        return Err(None);
    }
    if s > 59 || (fields.len() == 3 && m > 59) {
        return Err(Some(Seconds(whole as f64).clock()));
    }
    Ok(whole as f64 + fraction)
}

/// Digits behind a decimal point.
fn fraction(digits: &str) -> Option<f64> {
    let plain = !digits.is_empty() && digits.len() <= 9 && digits.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| format!("0.{digits}").parse().ok())?
}
