//! What kind of file it is, from its first bytes. A name proves nothing: phones and messengers rename what they pass
//! on.

use super::error::Fault;

/// How many bytes from the start of a file settle its kind.
pub(super) const HEAD: usize = 4096;

const NOT_THIS: &str = "choose another file";
const AS_TEXT: &str = "save its words as plain text (UTF-8)";
const UNPACK: &str = "take the file that you mean out of it first";

/// Files known by their first bytes that hold no narration. Checked in order.
const OTHERS: &[(&[u8], &str, &str)] = &[
    (b"\x89PNG\r\n\x1a\n", "a picture (PNG)", NOT_THIS),
    (b"\xff\xd8\xff", "a picture (JPEG)", NOT_THIS),
    (b"GIF87a", "a picture (GIF)", NOT_THIS),
    (b"GIF89a", "a picture (GIF)", NOT_THIS),
    (b"II*\0", "a picture (TIFF)", NOT_THIS),
    (b"MM\0*", "a picture (TIFF)", NOT_THIS),
    (b"8BPS\0\x01", "a picture (PSD)", NOT_THIS),
    (b"\0\0\x01\0", "a picture (icon)", NOT_THIS),
    (b"%PDF-", "a PDF document", AS_TEXT),
    (b"{\\rtf", "an RTF document", AS_TEXT),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an office document", AS_TEXT),
    (b"PK\x03\x04", "a zip archive or an office document", AS_TEXT),
    (b"PK\x05\x06", "an empty zip archive", NOT_THIS),
    (b"\x1f\x8b\x08", "a gzip archive", UNPACK),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive", UNPACK),
    (b"Rar!\x1a\x07", "a RAR archive", UNPACK),
    (b"\xfd7zXZ\0", "an xz archive", UNPACK),
    (b"\x28\xb5\x2f\xfd", "a zstd archive", UNPACK),
    (b"BZh91AY", "a bzip2 archive", UNPACK),
    (b"\x7fELF", "a program", NOT_THIS),
    (b"\xcf\xfa\xed\xfe", "a program", NOT_THIS),
    (b"\xca\xfe\xba\xbe", "a program", NOT_THIS),
    (b"\0asm", "a program", NOT_THIS),
    (b"lmgg", "a speech model", "give it after --model, with a recording"),
    (b"ggml", "a speech model", "give it after --model, with a recording"),
    (b"GGUF\x03", "a speech model", "give it after --model, with a recording"),
    (b"SQLite format 3\0", "a database", NOT_THIS),
];

/// Recordings that hearing knows how to have decoded: Core Audio itself; AMR, Windows Media and MPEG films by ffmpeg.
const CONVERTED: [&[u8]; 5] =
    [b"caff\0\x01", b"#!AMR", b"\x30\x26\xb2\x75\x8e\x66\xcf\x11", b"\0\0\x01\xba", b"\0\0\x01\xb3"];

/// Says whether a file's first bytes are those of a recording; an error where they are those of something that holds
/// no narration; `false` leaves text of some kind.
pub(super) fn is_recording(head: &[u8]) -> Result<bool, Fault> {
    let other = |what, instead| Err(Fault::OtherKind { what, instead });
    if let Some(&(_, what, instead)) = OTHERS.iter().find(|(magic, ..)| head.starts_with(magic)) {
        return other(what, instead);
    }
    // RIFF and IFF name their contents in the ninth to twelfth byte.
    if let (Some(form), Some(inside)) = (head.get(..4), head.get(8..12)) {
        match (form, inside) {
            (b"RIFF" | b"RF64" | b"BW64", b"WAVE") => return Ok(true),
            (b"RIFF", b"AVI ") | (b"FORM", b"AIFF" | b"AIFC") => return Ok(true),
            (b"RIFF", b"WEBP") => return other("a picture (WebP)", NOT_THIS),
            _ => {}
        }
    }
    // A bitmap's third field is always nought, which tells it from text that begins with "BM"; so for programs ("MZ").
    if head.starts_with(b"BM") && head.get(6..10) == Some(&[0; 4]) {
        return other("a picture (BMP)", NOT_THIS);
    }
    if head.starts_with(b"MZ") && head.contains(&0) {
        return other("a program", NOT_THIS);
    }
    if let (Some(size), Some(atom)) = (head.first(), head.get(4..8)) {
        match atom {
            b"ftyp" => {
                return match head.get(8..12) {
                    Some(b"heic" | b"heix" | b"hevc" | b"mif1" | b"msf1" | b"avif" | b"avis") => {
                        other("a picture (HEIC or AVIF)", NOT_THIS)
                    }
                    _ => Ok(true),
                };
            }
            b"moov" | b"mdat" => return Ok(true),
            // Old films may begin with filler; the size before it tells it from the English words.
            b"wide" | b"free" | b"skip" | b"pnot" if *size == 0 => return Ok(true),
            _ => {}
        }
    }
    Ok(CONVERTED.iter().any(|magic| head.starts_with(magic))
        || head.starts_with(b"fLaC")
        || head.starts_with(b"OggS")
        || head.starts_with(b"ID3")
        || head.starts_with(b"\x1a\x45\xdf\xa3")
        || is_mpeg_audio(head))
}

/// MP3 without a tag, or bare AAC: the header of a frame (ISO 11172-3, 2.4.1.3; ISO 13818-7, 6.2).
fn is_mpeg_audio(head: &[u8]) -> bool {
    let &[sync, flags, rates, ..] = head else { return false };
    if sync != 0xff {
        return false;
    }
    match flags {
        // Layer II and III; layer I is left out because its header is UTF-16's byte order mark.
        _ if flags & 0xe0 == 0xe0 && matches!(flags >> 1 & 3, 1 | 2) => {
            flags >> 3 & 3 != 1 && rates >> 4 != 0xf && rates >> 2 & 3 != 3
        }
        0xf0 | 0xf1 | 0xf8 | 0xf9 => rates >> 2 & 0xf < 13,
        _ => false,
    }
}

/// What kind of text it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Text {
    Vtt,
    Srt,
    Json,
    Typed,
}

pub(super) fn of_text(text: &str) -> Result<Text, Fault> {
    let start = text.trim_start();
    if let Some(rest) = start.strip_prefix("WEBVTT")
        && rest.chars().next().is_none_or(char::is_whitespace)
    {
        return Ok(Text::Vtt);
    }
    let second = start.chars().skip(1).find(|c| !c.is_whitespace());
    match (start.chars().next(), second) {
        // `[` also opens a timecode and `{` may open anything: what follows tells.
        (Some('{'), Some('"' | '}') | None) | (Some('['), Some('{' | ']')) => return Ok(Text::Json),
        _ => {}
    }
    let opening: String = start.chars().take(14).collect::<String>().to_ascii_lowercase();
    if ["<!doctype", "<html", "<?xml", "<tt ", "<svg"].iter().any(|tag| opening.starts_with(tag)) {
        return Err(Fault::OtherKind { what: "a web page or XML", instead: AS_TEXT });
    }
    let mut lines = start.lines().map(str::trim).filter(|line| !line.is_empty());
    let first = lines.next().unwrap_or_default();
    let timing = if first.bytes().all(|b| b.is_ascii_digit()) { lines.next().unwrap_or_default() } else { first };
    let shaped =
        timing.split_once("-->").is_some_and(|(from, _)| from.trim().starts_with(|c: char| c.is_ascii_digit()));
    Ok(if shaped { Text::Srt } else { Text::Typed })
}
