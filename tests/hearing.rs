//! Recordings good and bad, heard from end to end.
#![cfg(feature = "hearing")]

use std::f32::consts::TAU;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::sync::atomic::AtomicBool;

use plainsaid::hearing::{Heard, Hearer, HearingError, ModelSource};
use plainsaid::narration::Origin;
use tempfile::TempDir;

fn root(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn hearer() -> &'static Hearer {
    static HEARER: OnceLock<Hearer> = OnceLock::new();
    HEARER.get_or_init(|| Hearer::new(ModelSource::File(&root("models/base-q5_1.ggml"))).expect("the model in models/"))
}

fn hear(path: &Path) -> Result<Heard, HearingError> {
    hearer().hear(path, &mut |_| {}, &AtomicBool::new(false))
}

fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder")
}

fn write(folder: &TempDir, name: &str, bytes: &[u8]) -> PathBuf {
    let path = folder.path().join(name);
    fs::write(&path, bytes).expect("written");
    path
}

/// The one sentence that a bad file gets.
fn refusal(path: &Path) -> String {
    let fault = match hear(path) {
        Err(fault) => fault,
        Ok(heard) => panic!("{}: heard {:?}", path.display(), heard.narration.words),
    };
    assert!(fault.is_bad_input(), "{fault}");
    let said = fault.to_string();
    assert!(said.contains(&*path.file_name().expect("a name").to_string_lossy()), "names the file: {said}");
    assert!(!said.contains('\n'), "one sentence: {said}");
    said
}

fn assert_nothing_heard(what: &str, path: &Path) {
    let heard = hear(path).unwrap_or_else(|fault| panic!("{what}: {fault}"));
    let words: Vec<&str> = heard.narration.words.iter().map(|w| w.text.as_str()).collect();
    assert!(words.is_empty(), "{what}: heard {words:?}");
}

/// Repeatable noise from -1 to 1.
fn noise(mut seed: u32) -> impl FnMut() -> f32 {
    move || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 8) as f32 / 8_388_608.0 - 1.0
    }
}

/// A mono WAV at 16 kHz that repeats `block` for `seconds`.
fn wav(folder: &TempDir, name: &str, block: &[f32], seconds: usize) -> PathBuf {
    let path = folder.path().join(name);
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 16_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(&path, spec).expect("a WAV");
    for sample in block.iter().cycle().take(16_000 * seconds) {
        writer.write_sample((sample.clamp(-1.0, 1.0) * 32_000.0) as i16).expect("a sample");
    }
    writer.finalize().expect("a WAV");
    path
}

/// Twenty seconds of an engine: firing at `rate` a second with `knock`, revved once.
fn engine(rate: f32, knock: f32) -> Vec<f32> {
    let mut random = noise(7);
    let mut phase = 0.0f32;
    (0..320_000)
        .map(|i| {
            let t = i as f32 / 16_000.0;
            let revs = 1.0 + 1.5 * (TAU * t / 20.0).sin().max(0.0).powi(4);
            phase = (phase + rate * revs / 16_000.0).fract();
            let hum: f32 = (1u8..12).map(|k| (TAU * phase * f32::from(k)).sin() / f32::from(k)).sum();
            let hiss = random();
            0.4 * revs / 2.5 * (0.3 * hum + 0.1 * hiss + knock * hiss * (-8.0 * phase).exp())
        })
        .collect()
}

/// Pink noise by summing slower and slower random steps.
fn pink(samples: usize) -> Vec<f32> {
    let mut random = noise(3);
    let mut rows = [0.0f32; 12];
    (0..samples)
        .map(|i| {
            let row = (i.trailing_zeros() as usize).min(rows.len() - 1);
            rows[row] = random();
            0.15 * rows.iter().sum::<f32>()
        })
        .collect()
}

/// Twenty seconds of music: chords that change, a tune over them, a drum.
fn music() -> Vec<f32> {
    const CHORDS: [[f32; 3]; 4] =
        [[220.0, 277.2, 329.6], [196.0, 246.9, 293.7], [174.6, 220.0, 261.6], [164.8, 207.7, 246.9]];
    const TUNE: [f32; 8] = [440.0, 493.9, 554.4, 659.3, 587.3, 554.4, 493.9, 440.0];
    let mut random = noise(13);
    (0..320_000)
        .map(|i| {
            let t = i as f32 / 16_000.0;
            let chord = CHORDS[(t / 2.0) as usize % 4];
            let beat = (t * 2.0).fract();
            let held: f32 = chord.iter().map(|hz| (TAU * hz * t).sin() + 0.4 * (TAU * 2.0 * hz * t).sin()).sum();
            let note = TUNE[(t * 2.0) as usize % 8] * (1.0 + 0.004 * (TAU * 5.5 * t).sin());
            let tune = (TAU * note * t).sin() * (-2.5 * beat).exp();
            0.08 * held + 0.2 * tune + 0.15 * random() * (-25.0 * beat).exp()
        })
        .collect()
}

#[test]
fn ten_minutes_without_speech_give_no_words() {
    let folder = folder();
    assert_nothing_heard("silence", &wav(&folder, "silence.wav", &[0.0], 600));
    assert_nothing_heard("pink noise", &wav(&folder, "pink.wav", &pink(320_000), 600));
    assert_nothing_heard("an engine", &wav(&folder, "engine.wav", &engine(25.0, 0.0), 600));
    assert_nothing_heard("music", &wav(&folder, "music.wav", &music(), 600));
    assert_nothing_heard("a diesel", &wav(&folder, "diesel.wav", &engine(11.0, 0.6), 600));
}

#[test]
fn files_that_are_no_recordings_are_refused() {
    let folder = folder();
    assert!(refusal(&write(&folder, "empty.wav", b"")).contains("empty"));
    let picture = [b"\x89PNG\r\n\x1a\n".as_slice(), &[0xff, 0xfb, 0x90, 0x64].repeat(500)].concat();
    assert!(refusal(&write(&folder, "photo.wav", &picture)).contains("picture"));
    assert!(refusal(&write(&folder, "photo.mp3", b"\xff\xd8\xff\xe0\0\x10JFIF")).contains("picture"));
    refusal(&write(&folder, "notes.wav", &b"[0:00] right then, this is only typed. ".repeat(200)));
    refusal(&write(&folder, "zeros.m4a", &[0; 70_000]));
    let mut random = noise(11);
    let junk: Vec<u8> = (0..200_000).map(|_| (random() * 127.0) as i8 as u8).collect();
    refusal(&write(&folder, "junk.bin", &junk));
    assert!(refusal(&folder.path().join("missing.wav")).contains("can't be opened"));
    let inner = folder.path().join("inner.wav");
    fs::create_dir(&inner).expect("a folder");
    assert!(refusal(&inner).contains("folder"));
}

#[test]
fn a_wav_that_breaks_off_gives_what_is_there() {
    let folder = folder();
    let tone: Vec<f32> = (0..16_000).map(|i| 0.3 * (i as f32 * 0.2).sin()).collect();
    let bytes = fs::read(wav(&folder, "whole.wav", &tone, 4)).expect("read");
    let heard = hear(&write(&folder, "half.wav", &bytes[..44 + 64_000 + 1])).expect("half is sound");
    let length = heard.narration.duration.expect("a length").0;
    assert!((1.9..2.1).contains(&length) && heard.cut_short, "{length}");
    // A phone that died leaves the length at nought or at the greatest number.
    for length in [[0; 4], [0xff; 4]] {
        let mut unfinished = bytes.clone();
        unfinished[4..8].copy_from_slice(&length);
        unfinished[40..44].copy_from_slice(&length);
        if let Err(fault) = hear(&write(&folder, "unfinished.wav", &unfinished)) {
            assert!(fault.is_bad_input());
        }
    }
    for cut in [1, 12, 30, 43, 44, 45] {
        refusal(&write(&folder, "stump.wav", &bytes[..cut]));
    }
}

#[test]
fn absurd_headers_never_panic() {
    let folder = folder();
    let bytes = fs::read(wav(&folder, "tone.wav", &[0.0, 0.5, 0.0, -0.5], 1)).expect("read");
    let with = |at: usize, value: &[u8]| {
        let mut changed = bytes.clone();
        changed[at..at + value.len()].copy_from_slice(value);
        write(&folder, "absurd.wav", &changed)
    };
    refusal(&with(22, &0u16.to_le_bytes()));
    refusal(&with(24, &0u32.to_le_bytes()));
    refusal(&with(24, &1u32.to_le_bytes()));
    refusal(&with(24, &u32::MAX.to_le_bytes()));
    let mut random = noise(5);
    for _ in 0..300 {
        let at = ((random() + 1.0) * 22.0) as usize;
        let value = (random() * 127.0) as i8 as u8;
        if let Err(fault) = hear(&with(at.min(43), &[value])) {
            assert!(fault.is_bad_input(), "{fault}");
        }
    }
}

#[test]
fn samples_that_are_no_numbers_are_silence() {
    let folder = folder();
    let path = folder.path().join("nan.wav");
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 44_100,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut writer = hound::WavWriter::create(&path, spec).expect("a WAV");
    for i in 0..88_200 {
        let sample = [f32::NAN, f32::INFINITY, f32::NEG_INFINITY, 1e30, 0.1][i % 5];
        writer.write_sample(sample).expect("a sample");
    }
    writer.finalize().expect("a WAV");
    assert_nothing_heard("no numbers", &path);
}

fn atom(name: &[u8; 4], inside: &[&[u8]]) -> Vec<u8> {
    let inside = inside.concat();
    [&(inside.len() as u32 + 8).to_be_bytes()[..], name, &inside].concat()
}

fn silent_film() -> Vec<u8> {
    let (zero4, one4) = ([0u8; 4], 1u32.to_be_bytes());
    let matrix: Vec<u8> =
        [0x10000u32, 0, 0, 0, 0x10000, 0, 0, 0, 0x4000_0000].iter().flat_map(|n| n.to_be_bytes()).collect();
    let thousand = 1000u32.to_be_bytes();
    let mvhd = atom(
        b"mvhd",
        &[&[0; 12], &thousand, &thousand, &[0, 1, 0, 0, 1, 0], &[0; 10], &matrix, &[0; 24], &[0, 0, 0, 2]],
    );
    let tkhd = atom(
        b"tkhd",
        &[&[0, 0, 0, 3], &[0; 8], &one4, &zero4, &thousand, &[0; 16], &matrix, &[0, 64, 0, 0, 0, 64, 0, 0]],
    );
    let mdhd = atom(b"mdhd", &[&[0; 12], &thousand, &thousand, &[0x55, 0xc4, 0, 0]]);
    let hdlr = atom(b"hdlr", &[&[0; 8], b"vide", &[0; 13]]);
    let entry = atom(
        b"mp4v",
        &[
            &[0; 6],
            &[0, 1],
            &[0; 16],
            &[0, 64, 0, 64],
            &[0, 72, 0, 0, 0, 72, 0, 0],
            &zero4,
            &[0, 1],
            &[0; 32],
            &[0, 24, 255, 255],
        ],
    );
    let stbl = atom(
        b"stbl",
        &[
            &atom(b"stsd", &[&zero4, &one4, &entry]),
            &atom(b"stts", &[&zero4, &one4, &one4, &thousand]),
            &atom(b"stsc", &[&zero4, &one4, &one4, &one4, &one4]),
            &atom(b"stsz", &[&zero4, &zero4, &one4, &16u32.to_be_bytes()]),
            &atom(b"stco", &[&zero4, &one4, &40u32.to_be_bytes()]),
        ],
    );
    let minf = atom(b"minf", &[&atom(b"vmhd", &[&[0, 0, 0, 1], &[0; 8]]), &stbl]);
    let trak = atom(b"trak", &[&tkhd, &atom(b"mdia", &[&mdhd, &hdlr, &minf])]);
    [atom(b"ftyp", &[b"isom", &zero4, b"isommp41"]), atom(b"mdat", &[&[7; 24]]), atom(b"moov", &[&mvhd, &trak])]
        .concat()
}

#[test]
fn a_film_without_sound_says_so() {
    let folder = folder();
    let film = silent_film();
    let said = refusal(&write(&folder, "clip.mp4", &film));
    assert!(said.contains("no sound track"), "{said}");
    let mut random = noise(9);
    for _ in 0..300 {
        let mut changed = film.clone();
        let at = (((random() + 1.0) / 2.0) * film.len() as f32) as usize;
        changed[at.min(film.len() - 1)] = (random() * 127.0) as i8 as u8;
        refusal(&write(&folder, "changed.mp4", &changed));
    }
}

/// A tone in a WAV that says it is GSM, as answering machines wrote it.
fn unknown_wav(folder: &TempDir) -> PathBuf {
    let mut bytes = fs::read(wav(folder, "tone.wav", &[0.0, 0.5, 0.0, -0.5], 1)).expect("read");
    bytes[20..22].copy_from_slice(&0x7777u16.to_le_bytes());
    write(folder, "machine.wav", &bytes)
}

/// The sentence that the program gives where no converter can be found.
fn refusal_without_converter(path: &Path) -> String {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_plainsaid"))
        .args(["hear", "--quiet", "--model"])
        .arg(root("models/base-q5_1.ggml"))
        .arg(path)
        .env("PATH", "")
        .output()
        .expect("run");
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    String::from_utf8(output.stderr).expect("text")
}

#[test]
fn what_cannot_be_decoded_names_the_converter_that_can() {
    let folder = folder();
    for path in [unknown_wav(&folder), root("tests/sounds/note.wma")] {
        let said = refusal_without_converter(&path);
        assert!(said.contains("ffmpeg") && said.contains("WAV") && said.lines().count() == 1, "{said}");
    }
    // Where it is installed it is asked, and here can do no more.
    let said = refusal(&unknown_wav(&folder));
    assert!(said.contains("ffmpeg"), "{said}");
}

fn said_in(path: &Path) -> String {
    let heard = hear(path).unwrap_or_else(|fault| panic!("{fault}"));
    heard.narration.words.iter().map(|w| w.text.to_lowercase()).collect::<Vec<_>>().join(" ")
}

#[test]
fn voice_notes_and_web_films_are_heard() {
    for name in ["voice-note.opus", "clip.webm"] {
        let said = said_in(&root("tests/sounds").join(name));
        for word in ["deep scratch", "front bumper", "stone", "tailgate is good"] {
            assert!(said.contains(word), "{name}: {word} in {said}");
        }
    }
    if std::process::Command::new("ffmpeg").arg("-version").output().is_ok() {
        let said = said_in(&root("tests/sounds/note.wma"));
        assert!(said.contains("deep scratch"), "by way of ffmpeg: {said}");
    }
}

#[test]
fn broken_voice_notes_do_no_harm() {
    let folder = folder();
    let whole = fs::read(root("tests/sounds/voice-note.opus")).expect("the note");
    let mut random = noise(21);
    for round in 0..40 {
        let mut changed = whole[..if round % 2 == 0 { whole.len() } else { whole.len() / 40 * round }].to_vec();
        for _ in 0..8 {
            let at = (((random() + 1.0) / 2.0) * changed.len() as f32) as usize;
            if let Some(byte) = changed.get_mut(at) {
                *byte = (random() * 127.0) as i8 as u8;
            }
        }
        let path = write(&folder, "changed.opus", &changed);
        // Stopped at once: what is tried is the decoder, not the recogniser.
        if let Err(fault) = hearer().hear(&path, &mut |_| {}, &AtomicBool::new(true)) {
            assert!(fault.is_bad_input() || matches!(fault, HearingError::Stopped { .. }), "{fault}");
        }
    }
}

/// The samples of a recording at 16 kHz mono.
fn samples(path: &Path) -> Vec<i16> {
    hound::WavReader::open(path).expect("a WAV").samples::<i16>().map(|s| s.expect("a sample")).collect()
}

#[test]
fn quiet_and_clipped_voices_are_heard() {
    let folder = folder();
    let said = samples(&root("tests/sounds/said.wav"));
    for (name, gain) in [("quiet.wav", 0.004), ("clipped.wav", 12.0)] {
        let block: Vec<f32> = said.iter().map(|s| f32::from(*s) / 32_768.0 * gain).collect();
        let path = wav(&folder, name, &block, said.len() / 16_000);
        let heard = said_in(&path);
        assert!(heard.contains("deep scratch") && heard.contains("bumper"), "{name}: {heard}");
    }
}

#[test]
fn plain_hearing_is_the_bare_model_to_the_letter() {
    let recording = root("tests/sounds/said.wav");
    let model = root("models/base-q5_1.ggml");
    let bare = Hearer::bare(ModelSource::File(&model)).expect("the model");
    let heard = bare.hear(&recording, &mut |_| {}, &AtomicBool::new(false)).expect("heard");
    let ours = heard.narration.words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ");

    let context = whisper_rs::WhisperContext::new_with_params(&model, Default::default()).expect("the model");
    let mut state = context.create_state().expect("memory");
    let mut params = whisper_rs::FullParams::new(whisper_rs::SamplingStrategy::Greedy { best_of: 1 });
    params.set_print_progress(false);
    params.set_print_timestamps(false);
    let sound: Vec<f32> = samples(&recording).iter().map(|s| f32::from(*s) / 32_768.0).collect();
    state.full(params, &sound).expect("heard");
    let texts: Vec<String> = state.as_iter().map(|s| s.to_str_lossy().expect("text").trim().to_owned()).collect();
    assert!(!ours.is_empty());
    assert_eq!(ours, texts.join(" "));
}

#[test]
fn what_is_expected_is_not_made_up() {
    let folder = folder();
    let mut hearer = Hearer::new(ModelSource::File(&root("models/base-q5_1.ggml"))).expect("the model");
    hearer.expect(["kerbed alloy", "lacquer peel", "rust", "dent", "scuff"], "Kerbed alloys, lacquer peel, rust.");
    for (name, block) in [("pink.wav", pink(320_000)), ("diesel.wav", engine(11.0, 0.6)), ("music.wav", music())] {
        let path = wav(&folder, name, &block, 60);
        let heard = hearer.hear(&path, &mut |_| {}, &AtomicBool::new(false)).expect("heard");
        assert!(heard.narration.words.is_empty(), "{name}: {:?}", heard.narration.words);
    }
}

#[test]
fn a_file_that_is_no_model_is_refused() {
    let folder = folder();
    let refused = |path: &Path| match Hearer::new(ModelSource::File(path)) {
        Err(fault) => {
            assert!(fault.is_bad_input());
            fault.to_string()
        }
        Ok(_) => panic!("{} was loaded", path.display()),
    };
    let text = write(&folder, "words.ggml", b"not a model");
    assert!(refused(&text).contains("no speech model"));
    let mut whole = fs::read(root("models/base-q5_1.ggml")).expect("the model");
    assert!(refused(&write(&folder, "cut.ggml", &whole[..5_000_000])).contains("breaks off"));
    if let Some(last) = whole.last_mut() {
        *last ^= 1;
    }
    let damaged = refused(&write(&folder, "base-q5_1.ggml", &whole));
    assert!(damaged.contains("damaged") && damaged.contains("SHA-256"), "{damaged}");
    assert!(refused(&folder.path().join("missing.ggml")).contains("can't be opened"));
}

#[test]
fn a_wish_to_stop_is_heeded() {
    let stopped = hearer().hear(&root("sample-audio/fairholm-linnet.ogg"), &mut |_| {}, &AtomicBool::new(true));
    match stopped {
        Err(fault @ HearingError::Stopped { .. }) => assert!(!fault.is_bad_input()),
        other => panic!("{other:?}"),
    }
}

/// The start of a sample recording, cut off in the middle of a page.
#[test]
fn a_sample_that_breaks_off_is_heard_as_far_as_it_goes() {
    let folder = folder();
    let whole = fs::read(root("sample-audio/fairholm-linnet.ogg")).expect("the sample");
    // Named as what it is not: the content decides.
    let mut told = 0;
    let path = write(&folder, "walk.mp3", &whole[..120_000]);
    let heard = hearer().hear(&path, &mut |_| told += 1, &AtomicBool::new(false)).expect("heard");
    let length = heard.narration.duration.expect("a length").0;
    let text = heard.narration.words.iter().map(|w| w.text.to_lowercase()).collect::<Vec<_>>().join(" ");
    assert!((15.0..30.0).contains(&length), "{length}");
    assert!(text.contains("front bumper") && text.contains("deep scratch"), "{text}");
    assert_eq!(heard.origin, Origin::Audio);
    assert!(told >= 3);
}

#[test]
fn the_samples_are_heard_where_they_were_said() {
    for (name, expected) in [
        (
            "fairholm-linnet",
            &[
                ("scratch", "deep scratch"),
                ("stone", "stone chips"),
                ("replacing", "needs replacing"),
                ("tailgate", "tailgate is good"),
                ("bolster", "bolster"),
                ("underneath", "underneath"),
            ][..],
        ),
        (
            "tolliver-homestead",
            &[
                ("cracks", "no cracks"),
                ("cloudy", "cloudy"),
                ("coffee", "coffee"),
                ("squealing", "squealing"),
                ("lift", "on a lift"),
            ][..],
        ),
    ] {
        let heard = hear(&root(&format!("sample-audio/{name}.ogg"))).expect("a sample");
        let narration = &heard.narration;
        let length = narration.duration.expect("a length");
        let bare = |text: &str| text.to_lowercase().trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
        let text = narration.words.iter().map(|w| bare(&w.text)).collect::<Vec<_>>().join(" ");
        let lines = fs::read_to_string(root(&format!("sample-audio/{name}.txt"))).expect("its narration");
        for (word, phrase) in expected {
            assert!(text.contains(phrase), "{name}: {phrase} in {text}");
            let line = lines.lines().find(|l| l.to_lowercase().contains(phrase)).expect("a line of the narration");
            let clock = line.trim_start_matches('[').split(']').next().unwrap_or_default();
            let (minutes, seconds) = clock.split_once(':').expect("a timecode");
            let from: f64 = minutes.parse::<f64>().expect("minutes") * 60.0 + seconds.parse::<f64>().expect("seconds");
            let near = narration
                .words
                .iter()
                .any(|w| bare(&w.text) == *word && (from - 0.5..from + 13.0).contains(&w.start.0));
            assert!(near, "{name}: {word} near {clock}");
        }
        let (mut last, mut lines) = (0.0, 0);
        for word in &narration.words {
            assert!(word.start.0 >= last && word.end >= word.start && word.end <= length, "{name}: {word:?}");
            assert!((0.0..=1.0).contains(&word.confidence) && !word.text.trim().is_empty(), "{name}: {word:?}");
            last = word.start.0;
            lines += usize::from(word.opens_line);
        }
        assert!(lines > 3 && narration.words[0].opens_line, "{name}: {lines} lines");
    }
}
