//! Captions that somebody already has: WebVTT and SRT. Marks of style and speakers are dropped, and so are the lines
//! that automatic captions repeat while they roll up the screen.

use super::error::{Fault, Located, on_line};
use super::spread::{Written, split, spread};
use super::{MOST_WORDS, Narration, Seconds};

/// Cues that follow one another this closely may be one caption rolling on, in seconds.
const ROLLING: f64 = 0.25;

/// A line that only grows must share this many words with the one before: fewer may be a speaker starting again.
const GROWN: usize = 3;

pub(super) fn vtt(text: &str) -> Result<Narration, Located> {
    // The signature and the header end at the first blank line.
    let start = text.lines().take_while(|line| !line.trim().is_empty() && !line.contains("-->")).count();
    narration(cues(text, start, Kind::Vtt)?)
}

pub(super) fn srt(text: &str) -> Result<Narration, Located> {
    narration(cues(text, 0, Kind::Srt)?)
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Vtt,
    Srt,
}

#[derive(Debug)]
struct Cue {
    from: f64,
    until: f64,
    lines: Vec<String>,
}

/// Where the reader stands in the file.
#[derive(Clone, Copy, PartialEq)]
enum Place {
    Between,
    /// After a blank line came a line that may be a cue's name or number.
    Named,
    InCue,
    /// In a note, a style sheet or a region.
    Aside,
}

fn cues(text: &str, start: usize, kind: Kind) -> Result<Vec<Cue>, Located> {
    let mut cues: Vec<Cue> = Vec::new();
    let mut place = Place::Between;
    let mut name = "";
    for (number, line) in text.lines().enumerate().skip(start) {
        let line = line.trim();
        if number > MOST_WORDS {
            return Err(Fault::TooManyWords.into());
        }
        // A caption may show an arrow too, but hardly one beside a time.
        if line.contains("-->") && line.contains(':') && place != Place::Aside {
            // A number with no blank line before it, as careless editors leave it.
            if let (Place::InCue, Some(cue)) = (place, cues.last_mut())
                && cue.lines.last().is_some_and(|last| last.bytes().all(|b| b.is_ascii_digit()))
            {
                cue.lines.pop();
            }
            let (from, until) = timing(line).ok_or_else(|| {
                on_line(number + 1, Fault::CueTime { said: split(line).collect::<Vec<_>>().join(" ") })
            })?;
            cues.push(Cue { from, until, lines: Vec::new() });
            place = Place::InCue;
            continue;
        }
        if line.is_empty() {
            if place == Place::Named {
                carry_on(&mut cues, kind, name);
            }
            place = Place::Between;
            continue;
        }
        place = match place {
            Place::Between if kind == Kind::Vtt && is_aside(line) => Place::Aside,
            Place::Between => {
                name = line;
                Place::Named
            }
            Place::Named => {
                carry_on(&mut cues, kind, name);
                carry_on(&mut cues, kind, line);
                Place::InCue
            }
            Place::InCue => {
                if let Some(cue) = cues.last_mut() {
                    cue.lines.push(plain(line));
                }
                Place::InCue
            }
            Place::Aside => Place::Aside,
        };
    }
    if place == Place::Named {
        carry_on(&mut cues, kind, name);
    }
    Ok(cues)
}

/// A block without a time: in SRT a caption with a blank line in it, in WebVTT nothing (W3C WebVTT, 6.1).
fn carry_on(cues: &mut [Cue], kind: Kind, line: &str) {
    if let (Kind::Srt, Some(cue)) = (kind, cues.last_mut())
        && !line.bytes().all(|b| b.is_ascii_digit())
    {
        cue.lines.push(plain(line));
    }
}

fn is_aside(line: &str) -> bool {
    let first = line.split_whitespace().next();
    first.is_some_and(|word| matches!(word, "NOTE" | "STYLE" | "REGION" | "STYLE:" | "REGION:"))
}

fn narration(mut cues: Vec<Cue>) -> Result<Narration, Located> {
    // Two speakers' captions may be written one after the other; they were spoken in order of time.
    cues.sort_by(|a, b| a.from.total_cmp(&b.from));
    let mut narration = Narration { timed: true, ..Narration::default() };
    let mut before: Option<&Cue> = None;
    let mut last = 0.0_f64;
    for (at, cue) in cues.iter().enumerate() {
        let rolling = before.filter(|before| cue.from <= before.until + ROLLING);
        let fresh = fresh_words(rolling.map_or(&[][..], |before| &before.lines), &cue.lines);
        let next = cues[at + 1..].iter().map(|next| next.from).find(|&next| next > cue.from);
        let until = cue.until.min(next.unwrap_or(cue.until)).max(cue.from);
        spread(&fresh, cue.from, until, &mut narration.words)?;
        last = cue.until.max(last);
        if cue.lines.iter().any(|line| !line.trim().is_empty()) {
            before = Some(cue);
        }
    }
    if narration.words.is_empty() {
        return Err(Fault::NoWords.into());
    }
    narration.duration = Some(Seconds(last));
    Ok(narration)
}

/// The words of a cue that were not on the screen already.
fn fresh_words<'a>(shown: &[String], lines: &'a [String]) -> Vec<Written<'a>> {
    let shown: Vec<&str> = shown.iter().map(|line| line.trim()).filter(|line| !line.is_empty()).collect();
    let mut lines: Vec<&'a str> = lines.iter().map(|line| line.trim()).filter(|line| !line.is_empty()).collect();
    let kept = (1..=shown.len().min(lines.len())).rev().find(|&n| shown[shown.len() - n..] == lines[..n]);
    lines.drain(..kept.unwrap_or(0));
    let grown = match (kept, shown.last(), lines.first()) {
        (None, Some(old), Some(new)) => {
            let old: Vec<&str> = split(old).collect();
            let same = old.len() >= GROWN && split(new).take(old.len()).eq(old.iter().copied());
            if same { old.len() } else { 0 }
        }
        _ => 0,
    };
    lines
        .iter()
        .enumerate()
        .flat_map(|(row, line)| {
            split(line).skip(if row == 0 { grown } else { 0 }).enumerate().map(move |(at, text)| (row, at, text))
        })
        .map(|(row, at, text)| Written { text, opens_line: row == 0 && at == 0 })
        .collect()
}

/// Both ends of a cue, in seconds; settings behind the second are of no use here.
fn timing(line: &str) -> Option<(f64, f64)> {
    let (from, rest) = line.split_once("-->")?;
    let (from, until) = (moment(from.trim())?, moment(rest.split_whitespace().next()?)?);
    (from <= until).then_some((from, until))
}

/// `h:mm:ss.mmm` or `mm:ss.mmm`, with a point or a comma.
fn moment(text: &str) -> Option<f64> {
    let (clock, fraction) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    let number = |field: &str| -> Option<f64> {
        (!field.is_empty() && field.len() <= 5 && field.bytes().all(|b| b.is_ascii_digit()))
            .then(|| field.parse().ok())?
    };
    let fields = clock.split(':').map(number).collect::<Option<Vec<f64>>>()?;
    let (h, m, s) = match fields[..] {
        [m, s] => (0.0, m, s),
        [h, m, s] => (h, m, s),
        _ => return None,
    };
    let fraction = number(fraction)? / 10_f64.powi(fraction.len() as i32);
    (s < 60.0 && (m < 60.0 || fields.len() == 2)).then_some(h * 3600.0 + m * 60.0 + s + fraction)
}

/// A caption's line as a person reads it: no tags, no `{\an8}`, character references resolved.
fn plain(line: &str) -> String {
    let mut out = String::with_capacity(line.len());
    let mut rest = line;
    while let Some(at) = rest.find(['<', '{', '&']) {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let skipped = match rest.as_bytes()[0] {
            b'<' => tag(rest),
            b'{' => rest.starts_with("{\\").then(|| near(rest, b'}', 200)).flatten().map(|end| end + 1),
            _ => reference(rest).map(|(c, length)| {
                out.push(c);
                length
            }),
        };
        match skipped {
            Some(length) => rest = &rest[length..],
            None => {
                out.push_str(&rest[..1]);
                rest = &rest[1..];
            }
        }
    }
    out.push_str(rest);
    out
}

/// The length of a tag at the start of the text; "tread < 3 mm" opens none.
fn tag(text: &str) -> Option<usize> {
    let end = near(text, b'>', 200)?;
    let inside = &text[1..end];
    let named = inside.trim_start_matches('/').starts_with(|c: char| c.is_ascii_alphabetic());
    (named || moment(inside).is_some()).then_some(end + 1)
}

/// Where a byte stands, if not too far on: a line of nothing but openings must not take the square of its length.
fn near(text: &str, byte: u8, reach: usize) -> Option<usize> {
    text.bytes().take(reach).position(|b| b == byte)
}

/// A character reference at the start of the text, and its length.
fn reference(text: &str) -> Option<(char, usize)> {
    let end = near(text, b';', 10)?;
    let name = &text[1..end];
    let c = match name {
        "amp" => '&',
        "lt" => '<',
        "gt" => '>',
        "quot" => '"',
        "apos" => '\'',
        "nbsp" => ' ',
        "lrm" => '\u{200e}',
        "rlm" => '\u{200f}',
        _ => {
            let code = name.strip_prefix('#')?;
            let code = match code.strip_prefix(['x', 'X']) {
                Some(hex) => u32::from_str_radix(hex, 16),
                None => code.parse(),
            };
            char::from_u32(code.ok()?)?
        }
    };
    Some((c, end + 1))
}
