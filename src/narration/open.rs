//! From a file to what it holds: a recording to be heard, or words with times.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::error::{Fault, Located, NarrationError};
use super::transcript::Transcript;
use super::{Narration, captions, kind, transcript, typed};

/// The most text that is read. An hour of speech is some 60,000 bytes typed, and ten times that as a transcript.
pub const MOST_TEXT: usize = 64_000_000;

/// What a file turned out to hold.
#[derive(Clone, Debug, PartialEq)]
pub enum Input {
    /// Typed notes or captions.
    Narration(Narration),
    /// A transcript in our own format: words that were heard or typed before.
    Transcript(Transcript),
    /// Sound, with or without a picture: the file, to be heard.
    Recording(PathBuf),
}

/// Reads a narration, or finds that the file is a recording. The file's kind is taken from what it holds, not from its
/// name.
pub fn open(path: &Path) -> Result<Input, NarrationError> {
    let at_fault = |fault| NarrationError { file: path.to_owned(), line: None, fault };
    let refused = |error: io::Error| match error.kind() {
        // "Not a directory": a file stands where the path has a folder.
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => at_fault(Fault::Missing),
        _ => at_fault(Fault::Unreadable(error)),
    };
    // Asked first, because opening a pipe that nobody writes to would wait for ever.
    let about = path.metadata().map_err(refused)?;
    if about.is_dir() {
        return Err(at_fault(Fault::Folder));
    }
    if !about.is_file() {
        return Err(at_fault(Fault::NotAFile));
    }
    let mut file = File::open(path).map_err(refused)?;
    let mut bytes = Vec::new();
    file.by_ref().take(kind::HEAD as u64).read_to_end(&mut bytes).map_err(refused)?;
    // A binary file is refused by its first bytes, before the rest of it fills the memory.
    if kind::is_recording(&bytes).map_err(at_fault)? {
        return Ok(Input::Recording(path.to_owned()));
    }
    if looks_binary(&bytes) {
        return Err(at_fault(Fault::Binary));
    }
    let rest = (MOST_TEXT + 1 - bytes.len().min(MOST_TEXT)) as u64;
    file.take(rest).read_to_end(&mut bytes).map_err(refused)?;
    from_bytes(path, &bytes)
}

/// What the bytes of a file hold; `path` is only its name.
pub fn from_bytes(path: &Path, bytes: &[u8]) -> Result<Input, NarrationError> {
    let at_fault = |(line, fault)| NarrationError { file: path.to_owned(), line, fault };
    let head = &bytes[..bytes.len().min(kind::HEAD)];
    if kind::is_recording(head).map_err(|fault| at_fault(fault.into()))? {
        return Ok(Input::Recording(path.to_owned()));
    }
    words(bytes).map_err(at_fault)
}

fn words(bytes: &[u8]) -> Result<Input, Located> {
    if bytes.len() > MOST_TEXT {
        return Err(Fault::TooLarge.into());
    }
    let text = decode(bytes)?;
    if text.trim().is_empty() {
        return Err(if bytes.is_empty() { Fault::Empty } else { Fault::NoWords }.into());
    }
    match kind::of_text(&text)? {
        kind::Text::Vtt => captions::vtt(&text).map(Input::Narration),
        kind::Text::Srt => captions::srt(&text).map(Input::Narration),
        kind::Text::Json => transcript::read(&text).map(Input::Transcript),
        kind::Text::Typed => typed::read(&text).map(Input::Narration),
    }
}

/// UTF-8 with or without a byte order mark, or UTF-16 with one; every end of line becomes `\n`.
fn decode(bytes: &[u8]) -> Result<String, Located> {
    let text = match bytes {
        [0xff, 0xfe, rest @ ..] => utf16(rest, u16::from_le_bytes)?,
        [0xfe, 0xff, rest @ ..] => utf16(rest, u16::from_be_bytes)?,
        _ => {
            let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
            let text = std::str::from_utf8(bytes).map_err(|error| {
                let line = bytes[..error.valid_up_to()].iter().filter(|&&b| b == b'\n').count() + 1;
                let binary = looks_binary(bytes);
                if binary { Fault::Binary.into() } else { (Some(line), Fault::NotUtf8) }
            })?;
            text.to_owned()
        }
    };
    if text.contains('\0') {
        return Err(Fault::Binary.into());
    }
    Ok(if text.contains('\r') { text.replace("\r\n", "\n").replace('\r', "\n") } else { text })
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, Located> {
    let (pairs, []) = bytes.as_chunks::<2>() else { return Err(Fault::NotUtf8.into()) };
    char::decode_utf16(pairs.iter().map(|&pair| unit(pair)))
        .collect::<Result<String, _>>()
        .map_err(|_| Fault::NotUtf8.into())
}

/// Text holds no noughts, except as UTF-16, which says so at its start.
fn looks_binary(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(kind::HEAD)];
    head.contains(&0) && !head.starts_with(b"\xff\xfe") && !head.starts_with(b"\xfe\xff")
}
