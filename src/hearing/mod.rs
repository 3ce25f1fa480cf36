//! A recording becomes a narration.
//!
//! Sound is decoded a stretch at a time ([`sound`]), speech is found in it and packed into windows ([`speech`],
//! [`windows`]), each window is recognised ([`recogniser`]), its tokens become words with their moments in the recording
//! ([`words`]), and what was heard but never said is taken out ([`doubts`]). This room knows nothing of vehicles.

mod converted;
mod doubts;
mod error;
mod favoured;
mod model;
mod recogniser;
mod sound;
mod speech;
mod threads;
mod unpack;
mod windows;
mod words;

use std::ffi::c_int;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

pub use error::HearingError;

use crate::narration::{Narration, Origin, Seconds, Word};
use favoured::{Favoured, Pieces};
use recogniser::{Failed, Listening, Recogniser, Width};
use sound::{RATE, Sound};
use speech::FRAMES;
use windows::{Packer, Window};
use words::HeardWord;

/// How many tokens of what was said last are carried into the next window: enough for a sentence or two. Longer ones
/// invite the recogniser to repeat itself.
const CARRIED_TOKENS: usize = 64;
/// Of an opening, no more than this: what is carried must have room beside it.
const OPENING_TOKENS: usize = 96;
/// Words surer than this on average are carried on; others look wrong and are heard again.
const SURE: f32 = 0.5;
/// Speech left without words for this long, in frames, is heard again by itself.
const UNHEARD: usize = 25 * FRAMES / 10;
/// Words reach this far beyond their rough times.
const WORD_SLACK_S: f64 = 0.7;
/// After a pause this long a new line opens.
const LINE_PAUSE_S: f64 = 1.5;

/// Where the speech model comes from.
#[derive(Clone, Copy, Debug)]
pub enum ModelSource<'a> {
    /// The model built into the program.
    #[cfg(feature = "carried-model")]
    Carried,
    /// Any ggml whisper model.
    File(&'a Path),
}

/// How far into a recording the hearer is.
#[derive(Clone, Copy, Debug)]
pub struct Progress {
    pub done: Seconds,
    /// The length of the recording, where the file gives one.
    pub whole: Option<Seconds>,
}

/// A recording's words.
#[derive(Clone, Debug)]
pub struct Heard {
    pub narration: Narration,
    /// [`Origin::Video`] if the recording has a picture, else [`Origin::Audio`].
    pub origin: Origin,
    /// True where the file broke off or was damaged, so that later words may be missing.
    pub cut_short: bool,
    /// Stretches in which somebody speaks but no words could be made out.
    pub unclear: Vec<(Seconds, Seconds)>,
}

/// One loaded model, for any number of recordings.
pub struct Hearer {
    recogniser: Recogniser,
    pieces: Pieces,
    name: String,
    favoured: Option<Favoured>,
    /// What every window is taken to follow on, before what was said last.
    opening: Vec<c_int>,
    /// Nothing sought, left out, favoured, doubted or mended.
    bare: bool,
}

impl Hearer {
    /// Loads a model. A file is checked first, since the recogniser trusts what it is given.
    pub fn new(source: ModelSource) -> Result<Self, HearingError> {
        Self::load(source, false)
    }

    /// The model as it is, to compare with: [`Self::hear`] then gives what the recogniser says of the whole recording,
    /// with nothing sought, left out, favoured, doubted or mended. It holds the whole recording in memory.
    pub fn bare(source: ModelSource) -> Result<Self, HearingError> {
        Self::load(source, true)
    }

    fn load(source: ModelSource, bare: bool) -> Result<Self, HearingError> {
        let unpacked = |model: &[u8]| if bare { None } else { unpack::unpacked(model) };
        let (name, loaded) = match source {
            #[cfg(feature = "carried-model")]
            ModelSource::Carried => {
                let eight_bit = unpacked(model::CARRIED);
                let model = eight_bit.as_deref().unwrap_or(model::CARRIED);
                (model::CARRIED_NAME.to_owned(), Recogniser::from_memory(model))
            }
            ModelSource::File(path) => {
                model::check(path)?;
                let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
                let eight_bit = model::small(path).and_then(|model| unpacked(&model));
                (name, eight_bit.map_or_else(|| Recogniser::from_file(path), |model| Recogniser::from_memory(&model)))
            }
        };
        match loaded {
            Ok(recogniser) => {
                Ok(Hearer { pieces: recogniser.pieces(), recogniser, name, favoured: None, opening: Vec::new(), bare })
            }
            Err(_) => Err(HearingError::ModelRefused { name }),
        }
    }

    /// The model's file name, as reports give it.
    pub fn model_name(&self) -> &str {
        &self.name
    }

    /// Tells what may be spoken of: plain terms in lower case, which are favoured where the sound leaves a doubt, and an
    /// opening, a sentence that the recogniser takes to have been said just before.
    pub fn expect<'t>(&mut self, terms: impl IntoIterator<Item = &'t str>, opening: &str) {
        let pieces = &self.pieces;
        self.favoured = Some(Favoured::new(terms, pieces));
        self.opening = opening.split_whitespace().flat_map(|word| pieces.split(&format!(" {word}"))).collect();
        self.opening.truncate(OPENING_TOKENS);
    }

    /// Whether a word, in lower case, is one of ordinary writing, as the model met it while it was made. Rare words, names
    /// and slips are none.
    pub fn is_ordinary(&self, word: &str) -> bool {
        self.pieces.holds(word)
    }

    fn hear_plainly(
        &self,
        recording: &Path,
        progress: &mut dyn FnMut(Progress),
        stop: &AtomicBool,
    ) -> Result<Heard, HearingError> {
        let mut sound = Sound::open(recording)?;
        let mut ear = Ear {
            hearer: self,
            recording,
            stop,
            listening: None,
            carried: Vec::new(),
            words: Vec::new(),
            unclear: Vec::new(),
        };
        progress(Progress { done: Seconds(0.0), whole: sound.claimed_length() });
        let mut samples = Vec::new();
        while sound.read(&mut samples)? {
            ear.heed_stop()?;
        }
        let duration = Seconds(samples.len() as f64 / RATE as f64);
        let heard = ear.listening()?.hear_plainly(&samples, stop);
        let segments = heard.map_err(|failed| ear.failed(failed, Seconds(0.0)))?;
        let words = segments.iter().flat_map(words::all).map(|w| Word {
            text: w.text,
            start: Seconds(w.start_s),
            end: Seconds(w.end_s),
            confidence: w.confidence,
            opens_line: w.opens_line,
        });
        Ok(Heard {
            narration: Narration { words: in_order(words.collect(), duration), duration: Some(duration), timed: true },
            origin: if sound.has_picture() { Origin::Video } else { Origin::Audio },
            cut_short: sound.broke_off(),
            unclear: Vec::new(),
        })
    }

    /// Hears a whole recording. `progress` is told now and then how far it is; setting `stop` ends it soon, with
    /// [`HearingError::Stopped`].
    pub fn hear(
        &self,
        recording: &Path,
        progress: &mut dyn FnMut(Progress),
        stop: &AtomicBool,
    ) -> Result<Heard, HearingError> {
        if self.bare {
            return self.hear_plainly(recording, progress, stop);
        }
        let mut sound = Sound::open(recording)?;
        let whole = sound.claimed_length();
        let mut ear = Ear {
            hearer: self,
            recording,
            stop,
            listening: None,
            carried: Vec::new(),
            words: Vec::new(),
            unclear: Vec::new(),
        };
        let (mut packer, mut samples, mut taken) = (Packer::new(), Vec::new(), 0usize);
        let mut told = 0usize;
        progress(Progress { done: Seconds(0.0), whole });
        loop {
            let more = sound.read(&mut samples)?;
            taken += samples.len();
            packer.push(&samples);
            samples.clear();
            if !more {
                packer.finish();
            }
            while let Some(window) = packer.next() {
                ear.hear(&window)?;
                progress(Progress { done: window.end(), whole });
                told = taken;
            }
            ear.heed_stop()?;
            if taken - told > 10 * RATE {
                // Nothing said for a while: still let people see that it moves.
                progress(Progress { done: Seconds(taken as f64 / RATE as f64), whole });
                told = taken;
            }
            if !more {
                break;
            }
        }
        let duration = Seconds(taken as f64 / RATE as f64);
        progress(Progress { done: duration, whole: Some(duration) });
        let words = in_order(ear.words, duration);
        Ok(Heard {
            narration: Narration { words, duration: Some(duration), timed: true },
            origin: if sound.has_picture() { Origin::Video } else { Origin::Audio },
            cut_short: sound.broke_off(),
            unclear: ear.unclear,
        })
    }
}

/// Listens to one recording, window after window.
struct Ear<'a> {
    hearer: &'a Hearer,
    recording: &'a Path,
    stop: &'a AtomicBool,
    /// Made at the first window that holds speech: silence needs no memory.
    listening: Option<Listening<'a>>,
    /// The tail of what was said last.
    carried: Vec<c_int>,
    words: Vec<Word>,
    unclear: Vec<(Seconds, Seconds)>,
}

/// What one pass over a window gave.
#[derive(Default)]
struct Pass {
    words: Vec<HeardWord>,
    tokens: Vec<c_int>,
}

impl Pass {
    fn sureness(&self) -> f32 {
        self.words.iter().map(|w| w.confidence).sum::<f32>() / self.words.len().max(1) as f32
    }

    fn looks_wrong(&self) -> bool {
        doubts::loops(&self.words) || self.sureness() < SURE
    }

    /// This pass or another over the same window, whichever can be believed more.
    fn or_better(self, other: Pass) -> Pass {
        let rank = |pass: &Pass| (!doubts::loops(&pass.words), pass.sureness());
        if rank(&other) > rank(&self) { other } else { self }
    }
}

impl<'a> Ear<'a> {
    fn hear(&mut self, window: &Window) -> Result<(), HearingError> {
        let mut pass = self.pass(window, true, Width::Fitted)?;
        if pass.looks_wrong() {
            // Loops feed on the carried text: without it the window is often heard well.
            pass = pass.or_better(self.pass(window, false, Width::Full)?);
        }
        if pass.words.is_empty() {
            // Twice nothing: the sound moves as speech does, and whether it is any is for a person to say.
            self.unclear.push((window.start(), window.end()));
            self.carried.clear();
            return Ok(());
        }
        if pass.looks_wrong() {
            pass = pass.or_better(self.halves(window)?);
        }
        let looks_wrong = pass.looks_wrong();
        doubts::unloop(&mut pass.words);
        if looks_wrong {
            self.carried.clear();
        } else if !pass.tokens.is_empty() {
            self.carried.extend(&pass.tokens);
            let surplus = self.carried.len().saturating_sub(CARRIED_TOKENS);
            self.carried.drain(..surplus);
        }
        let mut heard = placed(&pass.words, window);
        for (from, to) in unheard(&pass.words, window) {
            let part = window.part(from, to);
            let mut again = self.pass(&part, false, Width::Fitted)?;
            doubts::unloop(&mut again.words);
            if again.words.is_empty() {
                self.unclear.push((part.start(), part.end()));
            }
            heard.extend(placed(&again.words, &part));
        }
        heard.sort_by(|a, b| a.start.0.total_cmp(&b.start.0));
        self.words.append(&mut heard);
        Ok(())
    }

    /// The window heard as two shorter ones: what trips the recogniser is often in one of them only.
    fn halves(&mut self, window: &Window) -> Result<Pass, HearingError> {
        let middle = window.middle_cut();
        let mut pass = self.pass(&window.part(0, middle), false, Width::Full)?;
        let second = self.pass(&window.part(middle, window.frames.len()), false, Width::Full)?;
        let offset_s = middle as f64 / FRAMES as f64;
        pass.tokens.extend(second.tokens);
        pass.words.extend(second.words.into_iter().map(|mut word| {
            word.start_s += offset_s;
            word.end_s += offset_s;
            word
        }));
        Ok(pass)
    }

    fn pass(&mut self, window: &Window, with_carried: bool, width: Width) -> Result<Pass, HearingError> {
        self.heed_stop()?;
        let mut before = Vec::new();
        if with_carried {
            before.extend(&self.hearer.opening);
            before.extend(&self.carried);
        }
        let (stop, favoured) = (self.stop, self.hearer.favoured.as_ref());
        let heard = self.listening()?.hear(&window.samples, &before, favoured, width, stop);
        let segments = heard.map_err(|failed| self.failed(failed, window.start()))?;
        let mut pass = Pass::default();
        for segment in &segments {
            let words = words::words(segment);
            if doubts::believed(&words, segment.no_speech, window) {
                pass.tokens.extend(segment.tokens.iter().map(|t| t.id));
                pass.words.extend(words);
            }
        }
        Ok(pass)
    }

    fn listening(&mut self) -> Result<&mut Listening<'a>, HearingError> {
        let hearer = self.hearer;
        Ok(match &mut self.listening {
            Some(listening) => listening,
            none => {
                let made = hearer.recogniser.listen();
                none.insert(made.map_err(|_| HearingError::ModelRefused { name: hearer.name.clone() })?)
            }
        })
    }

    fn failed(&self, Failed(code): Failed, at: Seconds) -> HearingError {
        let path = self.recording.to_owned();
        if self.stop.load(Ordering::Relaxed) {
            HearingError::Stopped { path }
        } else {
            HearingError::RecogniserFailed { path, at, code }
        }
    }

    fn heed_stop(&self) -> Result<(), HearingError> {
        if self.stop.load(Ordering::Relaxed) {
            return Err(HearingError::Stopped { path: self.recording.to_owned() });
        }
        Ok(())
    }
}

/// The words at their moments in the recording.
fn placed(words: &[HeardWord], window: &Window) -> Vec<Word> {
    words
        .iter()
        .map(|w| Word {
            text: w.text.clone(),
            start: window.moment(w.start_s, false),
            end: window.moment(w.end_s, true),
            confidence: w.confidence,
            opens_line: w.opens_line,
        })
        .collect()
}

/// Stretches of a window, as frames, that hold speech for long and yet no word: the recogniser sometimes drops the rest
/// of a window after a lone time mark.
fn unheard(words: &[HeardWord], window: &Window) -> Vec<(usize, usize)> {
    let end_s = window.frames.len() as f64 / FRAMES as f64;
    let mut stretches = Vec::new();
    let mut from_s = 0.0f64;
    let starts = words.iter().map(|w| (w.start_s, w.end_s)).chain([(end_s + WORD_SLACK_S, end_s)]);
    for (start_s, word_end_s) in starts {
        let to_s = (start_s - WORD_SLACK_S).min(end_s);
        if window.speech_between(from_s, to_s) >= UNHEARD {
            stretches.push(((from_s * FRAMES as f64) as usize, (to_s * FRAMES as f64) as usize));
        }
        from_s = from_s.max(word_end_s + WORD_SLACK_S);
    }
    stretches
}

/// Words inside the recording and in order, none reaching into the next; a long pause opens a line.
fn in_order(mut words: Vec<Word>, duration: Seconds) -> Vec<Word> {
    let mut earliest = 0.0f64;
    for word in &mut words {
        let start = word.start.0.clamp(0.0, duration.0).max(earliest);
        word.start = Seconds(start);
        word.end = Seconds(word.end.0.clamp(start, duration.0));
        earliest = start;
    }
    for i in 1..words.len() {
        let start = words[i].start.0;
        if start - words[i - 1].end.0 > LINE_PAUSE_S {
            words[i].opens_line = true;
        }
        words[i - 1].end.0 = words[i - 1].end.0.min(start);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    fn word(start: f64, end: f64) -> Word {
        Word { text: "word".to_owned(), start: Seconds(start), end: Seconds(end), confidence: 1.0, opens_line: false }
    }

    #[test]
    fn words_stay_inside_the_recording_and_in_order() {
        let words = in_order(vec![word(-1.0, 3.0), word(2.0, 1.0), word(1.5, 9.0), word(4.5, 99.0)], Seconds(5.0));
        let times: Vec<(f64, f64)> = words.iter().map(|w| (w.start.0, w.end.0)).collect();
        assert_eq!(times, [(0.0, 2.0), (2.0, 2.0), (2.0, 4.5), (4.5, 5.0)]);
    }
}
