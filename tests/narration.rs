//! What was said and when, from every kind of file that holds it.

use std::path::Path;

use plainsaid::narration::{Fault, Input, MOST_WORDS, Narration, NarrationError, Origin, Transcript, from_bytes};
use proptest::prelude::*;

fn read(bytes: impl AsRef<[u8]>) -> Result<Input, NarrationError> {
    from_bytes(Path::new("walk"), bytes.as_ref())
}

fn words(bytes: impl AsRef<[u8]>) -> Narration {
    match read(bytes) {
        Ok(Input::Narration(narration) | Input::Transcript(Transcript { narration, .. })) => narration,
        other => panic!("no narration: {other:?}"),
    }
}

/// Words with the moment at which each begins, to the tenth of a second.
fn told(bytes: impl AsRef<[u8]>) -> String {
    words(bytes).words.iter().map(|w| format!("{}@{:.1}", w.text, w.start.0)).collect::<Vec<_>>().join(" ")
}

fn refusal(bytes: impl AsRef<[u8]>) -> String {
    read(bytes).expect_err("taken for a narration").to_string()
}

const TYPED: &str = "[0:00] right then, the van\n[0:10] a dent\nin the door\n\n[1:02:03] done\n";
const VTT: &str = "WEBVTT - walk\nKind: captions\n\nNOTE made by hand\n--> not this\n\nSTYLE\n::cue { color: red }\n\n\
    first\n00:01.000 --> 00:03.000 align:start\n<v Ines Marl>The <c.loud>bonnet</c> &amp; grille\nare fine\n\n\
    1:00:05.500 --> 1:00:06.500\na chip\n";
const SRT: &str =
    "1\n00:00:01,000 --> 00:00:03,000\n{\\an8}<i>Nearside</i> wing\n\n2\n00:00:04,000 --> 00:00:05,000\na dent\n";
const JSON: &str = r#"{"words": [{"text": "a", "start": 1.0, "end": 1.2}, {"text": "dent", "start": 1.3, "end": 1.8,
    "confidence": 0.5, "opens_line": true}], "duration": 9.5}"#;

#[test]
fn a_timecode_holds_for_the_words_up_to_the_next() {
    assert_eq!(
        told(TYPED),
        "right@0.0 then,@3.2 the@6.3 van@8.4 a@10.0 dent@422.6 in@1453.9 the@2072.8 door@2897.9 done@3723.0"
    );
    let narration = words(TYPED);
    assert!(narration.timed);
    assert_eq!(narration.duration.unwrap().0, 3723.0);
    let openers: Vec<&str> = narration.words.iter().filter(|w| w.opens_line).map(|w| w.text.as_str()).collect();
    assert_eq!(openers, ["right", "a", "in", "done"]);
    assert_eq!(narration.words[3].end.0, 10.0, "the last word of a line ends where the next line begins");
}

#[test]
fn the_last_line_is_read_at_a_speakers_pace() {
    let narration = words("[0:10] five words of even pace");
    assert_eq!(narration.words[0].start.0, 10.0);
    assert!((narration.words[4].end.0 - 12.0).abs() < 1e-9);
}

#[test]
fn words_without_timecodes_are_untimed() {
    let narration = words("the nearside door\nhas a dent [inaudible] [12] (see 3:20)");
    assert!(!narration.timed);
    assert_eq!(narration.duration, None);
    assert_eq!(narration.words.len(), 10);
}

#[test]
fn timecodes_are_read_kindly() {
    assert_eq!(told("title\n[1:5] a\n[75:00]b [1:15:02.5] c"), "title@0.0 a@65.0 b@4500.0 c@4502.5");
    assert_eq!(told("[0:05][0:07] a\n[0:07] b"), "a@7.0 b@7.0");
}

#[test]
fn a_wrong_timecode_is_named_with_its_line() {
    assert_eq!(
        refusal("[0:10] a\n[1:75] b"),
        "walk, line 2: [1:75] is not a time that plainsaid can read; times are [m:ss] or [h:mm:ss], with seconds up \
         to 59; was [2:15] meant?"
    );
    assert!(refusal("[0:10] a\n\n[1:61:10] b").starts_with("walk, line 3: [1:61:10] is not a time"));
    for bad in ["[:10] a", "[1:] a", "[1:2:3:4] a", "[99999999999999999999:00] a", "[1:-5] a", "[1:02.] a"] {
        assert!(matches!(read(bad).unwrap_err().fault, Fault::Time { .. }), "{bad}");
    }
    assert_eq!(
        refusal("[0:34] a\n[0:12] b"),
        "walk, line 2: [0:12] goes back, for [0:34] stands above it; correct whichever of the two is wrong"
    );
}

#[test]
fn text_is_read_in_every_encoding_that_names_itself() {
    let plain = words("[0:01] façade\r\nscraped\rtoo");
    assert_eq!(plain.words.len(), 3);
    let text = "[0:01] façade\nscraped\ntoo";
    let marked = [b"\xef\xbb\xbf", text.as_bytes()].concat();
    let little: Vec<u8> = [0xfeff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = [0xfeff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect();
    for bytes in [text.as_bytes(), &marked, &little, &big] {
        assert_eq!(words(bytes), plain);
    }
    assert_eq!(
        refusal(b"[0:01] the van\n[0:05] fa\xe7ade"),
        "walk, line 2: is not UTF-8 text, nor a recording that plainsaid knows; save a narration as UTF-8 and try again"
    );
    assert!(matches!(read(&little[..little.len() - 1]).unwrap_err().fault, Fault::NotUtf8));
    assert!(matches!(read(b"a\0b").unwrap_err().fault, Fault::Binary));
}

#[test]
fn nothing_said_is_no_narration() {
    assert!(matches!(read("").unwrap_err().fault, Fault::Empty));
    for silent in [" \n\t\n", "\u{feff}", "[0:00]\n[0:10]\n", "WEBVTT\n\n", "[]", r#"{"words": []}"#, "WEBVTT"] {
        assert!(matches!(read(silent).unwrap_err().fault, Fault::NoWords), "{silent:?}");
    }
    let endless = "a ".repeat(MOST_WORDS + 1);
    assert!(matches!(read(endless).unwrap_err().fault, Fault::TooManyWords));
    let marks = "[0:00]".repeat(MOST_WORDS + 2);
    assert!(matches!(read(marks).unwrap_err().fault, Fault::TooManyWords));
}

#[test]
fn captions_lose_their_marks_and_keep_their_words() {
    assert_eq!(told(VTT), "The@1.0 bonnet@1.3 &@1.8 grille@1.9 are@2.4 fine@2.7 a@3605.5 chip@3605.8");
    let narration = words(VTT);
    assert_eq!(narration.duration.unwrap().0, 3606.5);
    assert_eq!(narration.words.iter().filter(|w| w.opens_line).count(), 2);
    assert_eq!(told(SRT), "Nearside@1.0 wing@2.4 a@4.0 dent@4.3");
}

#[test]
fn careless_captions_are_read_all_the_same() {
    // A number without a blank line before it, a blank line inside a caption, no number at all, cues out of order.
    assert_eq!(
        told(
            "00:00:05,000 --> 00:00:06,000\nlast\n\n1\n00:00:01.000 --> 00:00:02.000\none\n2\n0:00:02,000 --> 0:00:03,000\ntwo\n\nmore"
        ),
        "one@1.0 two@2.0 more@2.5 last@5.0"
    );
    assert_eq!(told("WEBVTT\n00:01.000 --> 00:02.000\ntread < 3 mm &lt; &#163;5 &bogus; R&B {x}"), {
        let moments = told("[0:01] tread < 3 mm < £5 &bogus; R&B {x}\n[0:02] x");
        moments.trim_end_matches(" x@2.0").to_owned()
    });
    assert!(
        refusal("WEBVTT\n\n00:01.000 --> soon:er\nx").starts_with("walk, line 3: \"00:01.000 --> soon:er\" is not")
    );
    assert!(matches!(read("1\n00:00:05,000 --> 00:00:01,000\nx").unwrap_err().fault, Fault::CueTime { .. }));
}

#[test]
fn what_rolls_up_the_screen_was_said_once() {
    let rolling = "WEBVTT\n\n00:00.000 --> 00:02.000\n \nthe <00:00:00.500><c>front</c> bumper\n\n\
        00:02.000 --> 00:02.010\nthe front bumper\n \n\n\
        00:02.010 --> 00:04.000\nthe front bumper\nhas a crack\n\n\
        00:04.000 --> 00:06.000\nhas a crack\nby the plate\n\n\
        00:06.000 --> 00:07.000\nby the plate and a chip\n\n\
        00:09.000 --> 00:10.000\nby the plate and a chip\n";
    let said: Vec<String> = words(rolling).words.into_iter().map(|w| w.text).collect();
    assert_eq!(said.join(" "), "the front bumper has a crack by the plate and a chip by the plate and a chip");
}

#[test]
fn a_transcript_of_our_own_comes_back_as_it_was() {
    let narration = words(JSON);
    assert_eq!(narration.duration.unwrap().0, 9.5);
    assert_eq!((narration.words[1].confidence, narration.words[1].opens_line), (0.5, true));
    assert_eq!(words(serde_json::to_vec(&narration).unwrap()), narration);
    assert_eq!(words(serde_json::to_vec(&narration.words).unwrap()).words, narration.words);

    let report = r#"{"format": "plainsaid/1", "recording": {"name": "van.mp4", "sha256": "00", "duration_s": 80.0,
        "kind": "video", "model": "base"}, "transcript": [{"text": "dent", "start": 1, "end": 2}], "findings": []}"#;
    let Ok(Input::Transcript(Transcript { narration, of: Some(of) })) = read(report) else { panic!("no transcript") };
    assert_eq!((narration.duration.unwrap().0, narration.timed), (80.0, true));
    assert_eq!((of.name.as_str(), of.kind), ("van.mp4", Origin::Video));
}

#[test]
fn other_json_is_told_apart() {
    assert!(matches!(read(r#"{"colour": "red"}"#).unwrap_err().fault, Fault::OtherJson));
    assert!(matches!(read(r#"{"words": [{"word": "a"}]}"#).unwrap_err().fault, Fault::JsonShape(_)));
    assert_eq!(
        refusal(&JSON[..60]),
        "walk, line 1: cannot be read as JSON (EOF while parsing a value); the file may be cut off"
    );
    let unruly = words(
        r#"[{"text": "a b", "start": 5, "end": 4, "confidence": 9}, {"text": "\u001bc", "start": -1, "end": 1e300}]"#,
    );
    let told: Vec<_> = unruly.words.iter().map(|w| (w.text.as_str(), w.start.0, w.end.0, w.confidence)).collect();
    assert_eq!(told, [("a", 5.0, 5.0, 1.0), ("b", 5.0, 5.0, 1.0), ("c", 5.0, 360_000.0, 1.0)]);
}

#[test]
fn recordings_are_known_by_what_they_hold() {
    let recordings: [&[u8]; 13] = [
        b"RIFF\x24\0\0\0WAVEfmt ",
        b"fLaC\0\0\0\x22",
        b"OggS\0\x02",
        b"ID3\x04\0",
        b"\xff\xfb\x90\x64\0",
        b"\xff\xf1\x50\x80\0",
        b"\0\0\0\x20ftypM4A \0\0\0\0",
        b"\0\0\0\x18ftypqt  \0\0\0\0",
        b"\0\0\0\x08wide\0\0\0\0mdat",
        b"\x1a\x45\xdf\xa3\x9f\x42\x86\x81",
        b"RIFF\x24\0\0\0AVI LIST",
        b"FORM\0\0\0\x24AIFFCOMM",
        b"#!AMR\n",
    ];
    for bytes in recordings {
        assert_eq!(read(bytes).unwrap(), Input::Recording("walk".into()), "{bytes:?}");
    }
    let others: [&[u8]; 10] = [
        b"\x89PNG\r\n\x1a\n\0\0",
        b"\xff\xd8\xff\xe0\0\x10JFIF",
        b"RIFF\x24\0\0\0WEBPVP8 ",
        b"\0\0\0\x18ftypheic\0\0\0\0",
        b"%PDF-1.7\n",
        b"PK\x03\x04\x14\0",
        b"\x7fELF\x02\x01\x01",
        b"MZ\x90\0\x03",
        b"BM\x36\0\x0c\0\0\0\0\0\x36",
        b"<!DOCTYPE html><p>the van",
    ];
    for bytes in others {
        assert!(matches!(read(bytes).unwrap_err().fault, Fault::OtherKind { .. }), "{bytes:?}");
    }
    for text in
        ["BMX rack fitted", "MZ is the plate", "the wide free skip", "RIFFling through", "ID is clear", "{sic} a dent"]
    {
        assert!(matches!(read(text), Ok(Input::Narration(_))), "{text}");
    }
}

/// What holds of every narration, whatever it was read from.
fn check_laws(narration: &Narration) {
    assert!(!narration.words.is_empty());
    let mut before = 0.0;
    for word in &narration.words {
        assert!(!word.text.is_empty());
        assert!(!word.text.contains(|c: char| c.is_whitespace() || c.is_control()), "{:?}", word.text);
        assert!(word.start.0 >= before, "{} begins before the word in front of it", word.text);
        assert!(word.end.0 >= word.start.0 && word.end.0.is_finite());
        assert!((0.0..=1.0).contains(&word.confidence));
        before = word.start.0;
    }
}

fn check(bytes: &[u8]) {
    match read(bytes) {
        Ok(Input::Narration(narration) | Input::Transcript(Transcript { narration, .. })) => check_laws(&narration),
        Ok(Input::Recording(_)) => {}
        Err(error) => {
            let said = error.to_string();
            assert!(said.starts_with("walk") && !said.contains('\n'), "{said:?}");
        }
    }
}

proptest! {
    #[test]
    fn no_bytes_cause_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..2000)) {
        check(&bytes);
    }

    #[test]
    fn no_text_causes_a_panic(text in r"(\PC|[\[\]:<>&;{}\n\t0-9-]|-->|WEBVTT|NOTE){0,200}") {
        check(text.as_bytes());
        check(format!("WEBVTT\n\n00:01.000 --> 00:02.000\n{text}").as_bytes());
    }

    #[test]
    fn a_damaged_file_is_read_or_refused(
        which in 0..4_usize,
        cut in any::<prop::sample::Index>(),
        damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
    ) {
        let mut bytes = [TYPED, VTT, SRT, JSON][which].as_bytes().to_vec();
        for (at, byte) in damage {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        check(&bytes);
        bytes.truncate(cut.index(bytes.len()));
        check(&bytes);
    }

    #[test]
    fn typed_words_are_kept_letter_for_letter(lines in prop::collection::vec(
        (0..4000_u32, prop::collection::vec("[a-zA-Z0-9£'.,-]{1,9}", 1..12)), 1..20)) {
        let mut lines = lines;
        lines.sort_by_key(|(at, _)| *at);
        let text: String = lines.iter().map(|(at, words)| format!("[{}:{:02}] {}\n", at / 60, at % 60, words.join(" "))).collect();
        let narration = words(&text);
        check_laws(&narration);
        let said: Vec<&String> = lines.iter().flat_map(|(_, words)| words).collect();
        prop_assert!(narration.words.iter().map(|w| &w.text).eq(said));
        let mut read = narration.words.iter();
        for (at, (from, line)) in lines.iter().enumerate() {
            let until = lines.get(at + 1).map_or(f64::INFINITY, |(next, _)| f64::from(*next));
            for word in read.by_ref().take(line.len()) {
                prop_assert!(f64::from(*from) <= word.start.0 && word.end.0 <= until);
            }
        }
    }
}
