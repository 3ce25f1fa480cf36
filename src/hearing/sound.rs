//! A recording of any kind becomes 16 kHz mono samples, a stretch at a time.
//!
//! Files come from strangers: nothing here panics on them, and memory stays bounded whatever their headers claim. What
//! can be decoded of a damaged file is given; gaps in it become silence, so that every sample keeps its true moment.

use std::fs::File;
use std::io::{ErrorKind, Read, Seek};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use rubato::audioadapter_buffers::direct::SequentialSlice;
use rubato::{Fft, FixedSync, Indexing, Resampler};
use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::{AudioCodecId, AudioDecoder, AudioDecoderOptions, well_known as codec};
use symphonia::core::codecs::registry::CodecRegistry;
use symphonia::core::errors::Error as MediaError;
use symphonia::core::formats::probe::{Hint, Probe, ProbeOptions};
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::MediaSourceStream;
use symphonia::core::meta::MetadataOptions;
use symphonia::core::units::TimeBase;
use symphonia_adapter_libopus::OpusDecoder;

use super::HearingError;
use super::converted::Converted;
use crate::narration::Seconds;

/// Samples a second after decoding: what the recogniser takes.
pub(super) const RATE: usize = 16_000;

/// Rates outside these are headers gone wrong: 4 kHz cannot carry speech, and no phone records above 384 kHz.
const PLAUSIBLE_RATES: std::ops::RangeInclusive<u32> = 4_000..=384_000;

/// How far into a file its format is looked for. Real recordings show it at once, apart from a tag or a broken frame;
/// looking further finds "sound" in pictures and programs.
const PROBE_DEPTH: u32 = 16 * 1024;

/// A jump in a track's timestamps shorter than this is rounding, not a gap.
const GAP_S: f64 = 0.1;
/// A longer jump than this is a broken timestamp, not a gap.
const GAP_LIMIT_S: f64 = 3_600.0;
/// A sound track may begin this much later than its picture; more than that is a stream cut out of a longer one.
const LATE_START_LIMIT_S: f64 = 30.0;
/// All gaps together may add no more than this.
const SILENCE_LIMIT_S: f64 = 4.0 * 3_600.0;

/// An open recording, decoded as it is asked for: here, or by a converter where it is of a kind unknown here.
pub(super) enum Sound {
    Own(Box<Decoded>),
    Converted(Converted),
}

impl Sound {
    pub fn open(path: &Path) -> Result<Self, HearingError> {
        match Decoded::open(path) {
            Ok(decoded) => Ok(Sound::Own(Box::new(decoded))),
            Err(refused) => Converted::instead(path, refused).map(Sound::Converted),
        }
    }

    pub fn has_picture(&self) -> bool {
        match self {
            Sound::Own(sound) => sound.picture,
            Sound::Converted(sound) => sound.has_picture(),
        }
    }

    /// The length the file claims, while that is believable.
    pub fn claimed_length(&self) -> Option<Seconds> {
        match self {
            Sound::Own(sound) => sound.claimed_length(),
            Sound::Converted(_) => None,
        }
    }

    /// True where the recording ended in a fault rather than at its end.
    pub fn broke_off(&self) -> bool {
        match self {
            Sound::Own(sound) => sound.broke_off,
            Sound::Converted(sound) => sound.broke_off(),
        }
    }

    /// Adds the next stretch of samples at [`RATE`] to `out`; false at the end. A stretch may be empty.
    pub fn read(&mut self, out: &mut Vec<f32>) -> Result<bool, HearingError> {
        match self {
            Sound::Own(sound) => sound.read(out),
            Sound::Converted(sound) => sound.read(out),
        }
    }
}

/// A recording decoded here.
pub(super) struct Decoded {
    path: PathBuf,
    format: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    track: u32,
    time_base: Option<TimeBase>,
    declared: Option<f64>,
    picture: bool,
    /// Decoded, mixed and not yet resampled.
    mono: Vec<f32>,
    interleaved: Vec<f32>,
    to_rate: ToRate,
    /// Where in the recording the decoder stands, in seconds, gaps included.
    position_s: f64,
    /// False once the timestamps can no longer be trusted.
    timestamps: bool,
    /// Silence owed for a gap, in frames of the recording's own rate.
    owed: u64,
    silence_s: f64,
    decoded_frames: u64,
    last_fault: Option<String>,
    ended: bool,
    broke_off: bool,
}

impl Decoded {
    fn open(path: &Path) -> Result<Self, HearingError> {
        let unreadable = |source| HearingError::Unreadable { path: path.to_owned(), source };
        let mut file = File::open(path).map_err(unreadable)?;
        let about = file.metadata().map_err(unreadable)?;
        if about.is_dir() {
            return Err(HearingError::Folder { path: path.to_owned() });
        }
        let mut head = [0u8; 512];
        let mut held = 0;
        while held < head.len() {
            match file.read(&mut head[held..]).map_err(unreadable)? {
                0 => break,
                n => held += n,
            }
        }
        if held == 0 {
            return Err(HearingError::Empty { path: path.to_owned() });
        }
        if let Some(looks_like) = not_sound(&head[..held]) {
            return Err(HearingError::NotARecording { path: path.to_owned(), looks_like });
        }
        file.rewind().map_err(unreadable)?;

        let mut probe = Probe::new_with_options(&ProbeOptions { max_probe_depth: PROBE_DEPTH, ..Default::default() });
        symphonia::default::register_enabled_formats(&mut probe);
        let mut hint = Hint::new();
        if let Some(extension) = path.extension().and_then(|e| e.to_str()) {
            hint.with_extension(extension);
        }
        let stream = MediaSourceStream::new(Box::new(file), Default::default());
        let opened = guarded(|| probe.probe(&hint, stream, FormatOptions::default(), MetadataOptions::default()));
        let format = match opened {
            Ok(format) => format,
            Err(MediaError::Unsupported(m)) if m.contains("no suitable format") => {
                return Err(match Converted::kind(&head[..held]) {
                    Some(kind) => HearingError::UnknownKind { path: path.to_owned(), kind, tried: false },
                    None => HearingError::NotARecording { path: path.to_owned(), looks_like: "of a kind unknown here" },
                });
            }
            // A container known here that holds sound in a way unknown here.
            Err(MediaError::Unsupported(m)) if head.starts_with(b"RIFF") => {
                let kind = if &head[8..12] == b"AVI " { "an AVI film".to_owned() } else { format!("unusual ({m})") };
                return Err(HearingError::UnknownKind { path: path.to_owned(), kind, tried: false });
            }
            Err(fault) => return Err(HearingError::NoSound { path: path.to_owned(), reason: said(&fault) }),
        };
        let picture = format.tracks().iter().any(|t| t.track_type() == Some(TrackType::Video));
        let chosen = choose_track(path, format.as_ref())?;
        let mut sound = Decoded {
            path: path.to_owned(),
            track: chosen.id,
            time_base: chosen.time_base,
            // A recorder that never finished its WAV leaves 0 or the greatest number as the length.
            declared: chosen.declared.filter(|s| {
                *s <= 7.0 * 86_400.0
                    && !(head.starts_with(b"RIFF") && matches!(&head[4..8], [0, 0, 0, 0] | [255, 255, 255, 255]))
            }),
            decoder: chosen.decoder,
            format,
            picture,
            mono: Vec::new(),
            interleaved: Vec::new(),
            to_rate: ToRate::new(),
            position_s: 0.0,
            timestamps: true,
            owed: 0,
            silence_s: 0.0,
            decoded_frames: 0,
            last_fault: None,
            ended: false,
            broke_off: false,
        };
        // The first packet tells whether there is any sound at all, before a model is put to work.
        while sound.decoded_frames == 0 && !sound.ended {
            sound.decode_packet()?;
        }
        if sound.decoded_frames == 0 {
            let reason = sound.last_fault.take().unwrap_or_else(|| "it holds a header and nothing after it".to_owned());
            return Err(HearingError::NoSound { path: sound.path, reason });
        }
        Ok(sound)
    }

    fn claimed_length(&self) -> Option<Seconds> {
        self.declared.map(Seconds)
    }

    fn read(&mut self, out: &mut Vec<f32>) -> Result<bool, HearingError> {
        if self.owed > 0 {
            let stretch = self.owed.min(u64::from(self.to_rate.rate_in));
            self.owed -= stretch;
            self.to_rate.push(&vec![0.0; stretch as usize], out);
        } else if !self.mono.is_empty() {
            self.to_rate.push(&self.mono, out);
            self.mono.clear();
        } else if self.ended {
            self.to_rate.finish(out);
            return Ok(false);
        } else {
            self.decode_packet()?;
        }
        Ok(true)
    }

    /// Decodes one packet into `mono`, noting any gap before it as silence owed.
    fn decode_packet(&mut self) -> Result<(), HearingError> {
        let packet = match guarded(|| self.format.next_packet()) {
            Ok(Some(packet)) => packet,
            Ok(None) => {
                self.ended = true;
                self.broke_off = self.ends_early();
                return Ok(());
            }
            Err(MediaError::ResetRequired) => return self.next_chain(),
            Err(fault) => return self.break_off(fault),
        };
        if packet.track_id != self.track {
            return Ok(());
        }
        let at = self.time_base.and_then(|tb| tb.calc_time(packet.pts)).map(|t| t.as_secs_f64());
        let (decoder, interleaved) = (&mut self.decoder, &mut self.interleaved);
        let decoded = guarded(|| {
            let buffer = decoder.decode(&packet)?;
            buffer.copy_to_vec_interleaved::<f32>(interleaved);
            Ok((buffer.spec().rate(), buffer.num_planes(), buffer.frames()))
        });
        let (rate, channels, frames) = match decoded {
            Ok(decoded) => decoded,
            // A spoilt packet: the rest may be sound.
            Err(fault @ (MediaError::DecodeError(_) | MediaError::IoError(_))) => {
                self.last_fault = Some(said(&fault));
                return Ok(());
            }
            Err(MediaError::ResetRequired) => {
                self.decoder.reset();
                return Ok(());
            }
            Err(fault) => return self.break_off(fault),
        };
        if frames == 0 || channels == 0 {
            return Ok(());
        }
        if !PLAUSIBLE_RATES.contains(&rate) {
            let what = format!("its header says {rate} samples a second");
            return Err(HearingError::Implausible { path: self.path.clone(), what });
        }
        self.to_rate.set_rate(rate);
        if let Some(at) = at.filter(|_| self.timestamps) {
            let gap = at - self.position_s;
            let limit = if self.decoded_frames == 0 { LATE_START_LIMIT_S } else { GAP_LIMIT_S };
            if gap > limit || (self.decoded_frames == 0 && gap < -limit) || self.silence_s + gap > SILENCE_LIMIT_S {
                self.timestamps = false;
            } else if gap > GAP_S {
                self.owed = (gap * f64::from(rate)) as u64;
                self.silence_s += gap;
                self.position_s += gap;
            }
        }
        self.mono.clear();
        self.mono.extend(self.interleaved.chunks_exact(channels).map(|frame| {
            let mean = frame.iter().sum::<f32>() / channels as f32;
            if mean.is_finite() { mean.clamp(-4.0, 4.0) } else { 0.0 }
        }));
        self.decoded_frames += frames as u64;
        self.position_s += frames as f64 / f64::from(rate);
        Ok(())
    }

    /// One recording may follow another in the same file (chained OGG): its sound is simply appended.
    fn next_chain(&mut self) -> Result<(), HearingError> {
        match choose_track(&self.path, self.format.as_ref()) {
            Ok(chosen) => {
                self.track = chosen.id;
                self.decoder = chosen.decoder;
                self.timestamps = false;
            }
            Err(_) => self.ended = true,
        }
        Ok(())
    }

    fn ends_early(&self) -> bool {
        self.timestamps && self.claimed_length().is_some_and(|claimed| claimed.0 - self.position_s > 1.0)
    }

    fn break_off(&mut self, fault: MediaError) -> Result<(), HearingError> {
        self.ended = true;
        match fault {
            // Some readers report a plain end this way: whether it came early shows in the claimed length.
            MediaError::IoError(e) if e.kind() == ErrorKind::UnexpectedEof => {
                self.broke_off = self.ends_early();
                self.last_fault = Some("the file ends too soon".to_owned());
            }
            MediaError::IoError(source) if source.kind() != ErrorKind::Other => {
                return Err(HearingError::ReadFailed { path: self.path.clone(), at: Seconds(self.position_s), source });
            }
            fault => {
                self.broke_off = true;
                self.last_fault = Some(said(&fault));
            }
        }
        Ok(())
    }
}

struct Chosen {
    id: u32,
    time_base: Option<TimeBase>,
    declared: Option<f64>,
    decoder: Box<dyn AudioDecoder>,
}

/// The track the file marks as its own sound, or else the first that can be decoded.
fn choose_track(path: &Path, format: &dyn FormatReader) -> Result<Chosen, HearingError> {
    let preferred = format.default_track(TrackType::Audio).map(|t| t.id);
    let mut tracks: Vec<&Track> =
        format.tracks().iter().filter(|t| matches!(t.codec_params, Some(CodecParameters::Audio(_)))).collect();
    tracks.sort_by_key(|t| Some(t.id) != preferred);
    let mut unknown = None;
    for track in tracks {
        let Some(CodecParameters::Audio(parameters)) = &track.codec_params else { continue };
        let made = guarded(|| codecs().make_audio_decoder(parameters, &AudioDecoderOptions::default()));
        match made {
            Ok(decoder) => {
                let declared = match (track.time_base, track.duration) {
                    (Some(tb), Some(length)) => tb.calc_duration(length).map(|t| t.as_secs_f64()),
                    _ => None,
                };
                let media = format.media_info();
                let declared =
                    declared.or_else(|| media.time_base?.calc_duration(media.duration?).map(|t| t.as_secs_f64()));
                return Ok(Chosen {
                    id: track.id,
                    time_base: track.time_base,
                    declared: declared.filter(|s| *s > 0.0),
                    decoder,
                });
            }
            Err(fault) => {
                unknown.get_or_insert_with(|| codec_name(parameters.codec).map_or_else(|| said(&fault), str::to_owned));
            }
        }
    }
    Err(match unknown {
        Some(codec) => {
            HearingError::UnknownKind { path: path.to_owned(), kind: format!("stored as {codec}"), tried: false }
        }
        None => HearingError::NoSoundTrack { path: path.to_owned() },
    })
}

/// Symphonia's own decoders, and libopus for voice notes and WebM.
fn codecs() -> &'static CodecRegistry {
    static CODECS: OnceLock<CodecRegistry> = OnceLock::new();
    CODECS.get_or_init(|| {
        let mut codecs = CodecRegistry::new();
        symphonia::default::register_enabled_codecs(&mut codecs);
        codecs.register_audio_decoder::<OpusDecoder>();
        codecs
    })
}

fn codec_name(id: AudioCodecId) -> Option<&'static str> {
    Some(match id {
        codec::CODEC_ID_OPUS => "Opus",
        codec::CODEC_ID_AC3 | codec::CODEC_ID_EAC3 | codec::CODEC_ID_AC4 => "AC-3",
        codec::CODEC_ID_SPEEX => "Speex",
        codec::CODEC_ID_WMA => "Windows Media Audio",
        codec::CODEC_ID_DCA | codec::CODEC_ID_TRUEHD => "cinema surround sound",
        codec::CODEC_ID_AAC => "a kind of AAC",
        _ => return None,
    })
}

/// Files that are certainly something else, and would otherwise be searched for sound that is not there.
fn not_sound(head: &[u8]) -> Option<&'static str> {
    const OTHERS: &[(usize, &[u8], &str)] = &[
        (0, b"\x89PNG\r\n\x1a\n", "a picture"),
        (0, b"\xff\xd8\xff", "a picture"),
        (0, b"GIF8", "a picture"),
        (0, b"II*\0", "a picture"),
        (0, b"MM\0*", "a picture"),
        (8, b"WEBP", "a picture"),
        (4, b"ftypheic", "a picture"),
        (4, b"ftypheix", "a picture"),
        (4, b"ftypmif1", "a picture"),
        (4, b"ftypavif", "a picture"),
        (0, b"%PDF", "a document"),
        (0, b"PK\x03\x04", "an archive or office document"),
        (0, b"Rar!", "an archive"),
        (0, b"7z\xbc\xaf", "an archive"),
        (0, b"\x1f\x8b", "an archive"),
        (0, b"\x7fELF", "a program"),
        (0, b"lmgg", "a speech model"),
    ];
    OTHERS.iter().find(|(at, mark, _)| head.get(*at..).is_some_and(|h| h.starts_with(mark))).map(|(.., what)| *what)
}

/// Decoders are fuzzed but not proven: one that panics on a strange file spoils that file, not the day's work.
fn guarded<T>(work: impl FnOnce() -> Result<T, MediaError>) -> Result<T, MediaError> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or(Err(MediaError::LimitError("the decoder gave up on it")))
}

fn said(fault: &MediaError) -> String {
    match fault {
        MediaError::IoError(e) if e.kind() == ErrorKind::UnexpectedEof => "the file ends too soon".to_owned(),
        MediaError::DecodeError(m) | MediaError::Unsupported(m) if m.contains("moov") => {
            "its index is missing: the camera stopped before it closed the file".to_owned()
        }
        MediaError::DecodeError(m) | MediaError::Unsupported(m) | MediaError::LimitError(m) => (*m).to_owned(),
        other => other.to_string(),
    }
}

/// Brings mono samples of any rate to [`RATE`], in small pieces, keeping every moment where it was.
struct ToRate {
    rate_in: u32,
    resampler: Option<Fft<f32>>,
    waiting: Vec<f32>,
    /// Made while the rate changed, to go out before anything else.
    produced: Vec<f32>,
    /// Samples at the start that are only the resampler's delay.
    trim: usize,
    /// Frames taken in and given out since the rate last changed.
    taken: u64,
    given: u64,
}

impl ToRate {
    fn new() -> Self {
        ToRate {
            rate_in: RATE as u32,
            resampler: None,
            waiting: Vec::new(),
            produced: Vec::new(),
            trim: 0,
            taken: 0,
            given: 0,
        }
    }

    fn set_rate(&mut self, rate: u32) {
        if rate == self.rate_in {
            return;
        }
        // A change in mid-stream is rare (a chained file); what was waiting is flushed at the old rate first.
        let mut rest = Vec::new();
        self.finish(&mut rest);
        self.produced.append(&mut rest);
        self.rate_in = rate;
        self.resampler = None;
        if rate as usize != RATE {
            self.resampler = Fft::new(rate as usize, RATE, 2048, 1, FixedSync::Input).ok();
        }
        self.trim = self.resampler.as_ref().map_or(0, |r| r.output_delay());
        (self.taken, self.given) = (0, 0);
    }

    fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) {
        out.append(&mut self.produced);
        self.taken += samples.len() as u64;
        if self.resampler.is_none() {
            out.extend_from_slice(samples);
            self.given += samples.len() as u64;
            return;
        }
        self.waiting.extend_from_slice(samples);
        let mut used = 0;
        while let Some(resampler) = &self.resampler {
            let need = resampler.input_frames_next();
            if self.waiting.len() - used < need {
                break;
            }
            self.step(used, need, out);
            used += need;
        }
        self.waiting.drain(..used);
    }

    /// Resamples `len` waiting frames from `from` on; fewer than a whole piece are followed by silence.
    fn step(&mut self, from: usize, len: usize, out: &mut Vec<f32>) {
        let Some(resampler) = &mut self.resampler else { return };
        let room = resampler.output_frames_next();
        let mut piece = vec![0.0f32; room];
        let partial = (len < resampler.input_frames_next()).then_some(len);
        let Ok(input) = SequentialSlice::new(&self.waiting[from..from + len], 1, len) else { return };
        let Ok(mut output) = SequentialSlice::new_mut(&mut piece, 1, room) else { return };
        let indexing = Indexing { partial_len: partial, ..Default::default() };
        let Ok((_, made)) = resampler.process_into_buffer(&input, &mut output, Some(&indexing)) else { return };
        let skip = self.trim.min(made);
        self.trim -= skip;
        self.given += (made - skip) as u64;
        out.extend_from_slice(&piece[skip..made]);
    }

    /// Everything still inside the resampler, to the exact length of what was taken in.
    fn finish(&mut self, out: &mut Vec<f32>) {
        out.append(&mut self.produced);
        if self.resampler.is_none() {
            return;
        }
        let due = (self.taken as f64 * RATE as f64 / f64::from(self.rate_in)).round() as u64;
        let rest = self.waiting.len();
        self.step(0, rest, out);
        self.waiting.clear();
        let mut pumps = 0;
        while self.given < due && pumps < 64 {
            self.step(0, 0, out);
            pumps += 1;
        }
        let over = self.given.saturating_sub(due) as usize;
        out.truncate(out.len().saturating_sub(over));
        self.given -= over as u64;
        self.resampler = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resampled(rate: u32, samples: &[f32]) -> Vec<f32> {
        let (mut to_rate, mut out) = (ToRate::new(), Vec::new());
        to_rate.set_rate(rate);
        for piece in samples.chunks(1_152) {
            to_rate.push(piece, &mut out);
        }
        to_rate.finish(&mut out);
        out
    }

    #[test]
    fn every_rate_keeps_lengths_and_moments() {
        for rate in [4_000, 8_000, 11_025, 16_000, 22_050, 44_100, 44_101, 48_000, 96_000] {
            // Two and a half seconds, silent but for a tone from 1.0 s to 1.5 s.
            let samples: Vec<f32> = (0..rate * 5 / 2)
                .map(|i| {
                    let t = i as f32 / rate as f32;
                    if (1.0..1.5).contains(&t) { 0.5 * (t * 500.0 * std::f32::consts::TAU).sin() } else { 0.0 }
                })
                .collect();
            let out = resampled(rate, &samples);
            assert_eq!(out.len(), (samples.len() as f64 * 16_000.0 / f64::from(rate)).round() as usize, "{rate}");
            let first = out.iter().position(|s| s.abs() > 0.2).expect("a tone") as f64 / 16_000.0;
            let last = out.iter().rposition(|s| s.abs() > 0.2).expect("a tone") as f64 / 16_000.0;
            assert!((first - 1.0).abs() < 0.003 && (last - 1.5).abs() < 0.003, "{rate}: {first} to {last}");
        }
    }

    #[test]
    fn short_and_empty_sounds_keep_their_length() {
        assert!(resampled(44_100, &[]).is_empty());
        assert_eq!(resampled(48_000, &[0.5; 3]).len(), 1);
        assert_eq!(resampled(16_000, &[0.5; 3]), [0.5; 3]);
    }

    #[test]
    fn pictures_and_documents_are_known_by_their_first_bytes() {
        assert_eq!(not_sound(b"\x89PNG\r\n\x1a\n...."), Some("a picture"));
        assert_eq!(not_sound(b"RIFF\0\0\0\0WEBPVP8 "), Some("a picture"));
        assert_eq!(not_sound(b"RIFF\0\0\0\0WAVEfmt "), None);
        assert_eq!(not_sound(b""), None);
    }
}
