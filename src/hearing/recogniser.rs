//! The one place that speaks to the recogniser's C library.
//!
//! Its traps are kept out here: its own console output is silenced, its safe abort callback (which calls through the wrong
//! type) is not used, its word alignment that can abort the process stays off, and text is handed on as bytes, since a
//! token may end in the middle of a character.

use std::ffi::{c_int, c_void};
use std::sync::atomic::{AtomicBool, Ordering};

use whisper_rs::{
    FullParams, SamplingStrategy, WhisperContext, WhisperContextParameters, WhisperError, WhisperState,
    WhisperTokenData, WhisperTokenId,
};

use super::favoured::{Favoured, Pieces};
use super::sound::RATE;
use super::threads;

/// Sound shorter than this is padded with silence: the recogniser ignores the shortest clips.
const SHORTEST: usize = RATE + RATE / 5;

/// Samples that the recogniser's encoder takes in one step.
const STEP: usize = 320;
/// Steps beyond the window's end in a fitted width.
const SPARE_STEPS: usize = 64;
/// A fitted width is never narrower: with few steps the recogniser loses its footing and repeats itself.
const FEWEST_STEPS: usize = 768;
/// Products of matrices go in blocks of this many; with any other width a fifth of the time is lost on the odd ends.
const STEPS_AT_ONCE: usize = 32;
/// The most such blocks that fit in thirty seconds, which is 1,500 steps.
const MOST_STEPS: usize = 1_472;

/// How much of its thirty seconds the recogniser looks at.
#[derive(Clone, Copy, Debug)]
pub(super) enum Width {
    /// The window and a little more. Measured: as accurate as full width, for three quarters of the time.
    Fitted,
    /// All of it, for what looked wrong at fitted width.
    Full,
}

pub(super) struct Recogniser {
    context: WhisperContext,
    first_special: WhisperTokenId,
}

/// One token of text with its place in the window.
#[derive(Clone, Debug)]
pub(super) struct Token {
    pub id: WhisperTokenId,
    pub bytes: Vec<u8>,
    pub start_s: f64,
    pub end_s: f64,
    pub probability: f32,
}

/// What the recogniser took to be one utterance.
#[derive(Clone, Debug)]
pub(super) struct Segment {
    pub tokens: Vec<Token>,
    /// How likely the recogniser thinks it that nothing was said, from 0 to 1.
    pub no_speech: f32,
}

/// The recogniser's error code; negative ones come from its main function.
#[derive(Debug)]
pub(super) struct Failed(pub i32);

impl Recogniser {
    pub fn from_memory(model: &[u8]) -> Result<Self, WhisperError> {
        whisper_rs::install_logging_hooks();
        Ok(Self::around(WhisperContext::new_from_buffer_with_params(model, WhisperContextParameters::default())?))
    }

    /// The file must have passed [`super::model::check`].
    pub fn from_file(path: &std::path::Path) -> Result<Self, WhisperError> {
        whisper_rs::install_logging_hooks();
        Ok(Self::around(WhisperContext::new_with_params(path, WhisperContextParameters::default())?))
    }

    fn around(context: WhisperContext) -> Self {
        Recogniser { first_special: context.token_eot(), context }
    }

    /// The model's text tokens.
    pub fn pieces(&self) -> Pieces {
        Pieces::new((0..self.first_special).filter_map(|id| Some((id, self.context.token_to_bytes(id).ok()?.to_vec()))))
    }

    /// Working memory for one recording.
    pub fn listen(&self) -> Result<Listening<'_>, WhisperError> {
        Ok(Listening { recogniser: self, state: self.context.create_state()? })
    }
}

pub(super) struct Listening<'r> {
    recogniser: &'r Recogniser,
    state: WhisperState,
}

impl Listening<'_> {
    /// Recognises one window, reading on from the `carried` tokens of what was said before it.
    pub fn hear(
        &mut self,
        samples: &[f32],
        carried: &[c_int],
        favoured: Option<&Favoured>,
        width: Width,
        stop: &AtomicBool,
    ) -> Result<Vec<Segment>, Failed> {
        let mut params = FullParams::new(SamplingStrategy::Greedy { best_of: 1 });
        let favouring = favoured.map(|favoured| Favouring { favoured, first_special: self.recogniser.first_special });
        if let Some(favouring) = &favouring {
            // SAFETY: `favouring` outlives the call to `full` below, the only one to use these parameters; the callback
            // only reads it, so that several of the library's threads may call at once.
            unsafe {
                params.set_filter_logits_callback(Some(favour));
                params.set_filter_logits_callback_user_data(std::ptr::from_ref(favouring).cast_mut().cast::<c_void>());
            }
        }
        // The language is English by default; setting it would leak its name at every call.
        params.set_translate(false);
        params.set_no_context(true);
        self.set_up(&mut params, stop);
        // No retries at higher temperatures: they are guesses, and there may be five of them. What looks wrong is heard
        // again in other ways by the caller.
        params.set_temperature_inc(0.0);
        params.set_tokens(carried);
        params.set_token_timestamps(true);
        let steps = match width {
            Width::Fitted => (samples.len() / STEP + SPARE_STEPS).clamp(FEWEST_STEPS, MOST_STEPS),
            Width::Full => MOST_STEPS,
        };
        params.set_audio_ctx(steps.next_multiple_of(STEPS_AT_ONCE).min(MOST_STEPS) as c_int);
        params.set_suppress_nst(true);
        self.recognise(params, samples)
    }

    /// The bare recogniser over a whole recording, as it comes: greedy, its own windows, its own retries.
    pub fn hear_plainly(&mut self, samples: &[f32], stop: &AtomicBool) -> Result<Vec<Segment>, Failed> {
        let mut params = FullParams::new(SamplingStrategy::Greedy { best_of: 1 });
        params.set_token_timestamps(true);
        self.set_up(&mut params, stop);
        self.recognise(params, samples)
    }

    /// What bears on the machine and the console only, never on the words.
    fn set_up(&self, params: &mut FullParams<'_, '_>, stop: &AtomicBool) {
        params.set_n_threads(threads::free() as c_int);
        params.set_print_special(false);
        params.set_print_progress(false);
        params.set_print_realtime(false);
        params.set_print_timestamps(false);
        // SAFETY: both callers hold `stop` until their call to `full` has come back, which is the only one to use these
        // parameters, and the callback only reads it. The crate's safe variant stores one type and calls through another.
        unsafe {
            params.set_abort_callback(Some(stop_asked));
            params.set_abort_callback_user_data(std::ptr::from_ref(stop).cast_mut().cast::<c_void>());
        }
    }

    fn recognise(&mut self, params: FullParams<'_, '_>, samples: &[f32]) -> Result<Vec<Segment>, Failed> {
        let padded;
        let samples = if samples.len() < SHORTEST {
            padded = samples.iter().copied().chain(std::iter::repeat(0.0)).take(SHORTEST).collect::<Vec<f32>>();
            &padded
        } else {
            samples
        };
        self.state.full(params, samples).map_err(|fault| match fault {
            WhisperError::GenericError(code) => Failed(code),
            _ => Failed(-1),
        })?;
        Ok(self.state.as_iter().map(|segment| self.segment(&segment)).collect())
    }

    fn segment(&self, segment: &whisper_rs::WhisperSegment<'_>) -> Segment {
        let seconds = |hundredths: i64| hundredths.max(0) as f64 / 100.0;
        let tokens = (0..segment.n_tokens())
            .filter_map(|i| segment.get_token(i))
            .filter(|token| token.token_id() < self.recogniser.first_special)
            .filter_map(|token| {
                let data = token.token_data();
                Some(Token {
                    id: data.id,
                    bytes: token.to_bytes().ok()?.to_vec(),
                    start_s: seconds(data.t0),
                    end_s: seconds(data.t1),
                    probability: data.p,
                })
            })
            .collect();
        Segment { tokens, no_speech: segment.no_speech_probability() }
    }
}

/// Asked by the C library between its computations: true makes it give up.
///
/// # Safety
/// `stop` must point to an `AtomicBool` that lives as long as the call during which this is installed.
unsafe extern "C" fn stop_asked(stop: *mut c_void) -> bool {
    // SAFETY: as above; the pointer is set from a reference just before the call.
    unsafe { &*stop.cast::<AtomicBool>() }.load(Ordering::Relaxed)
}

/// What the callback below is given.
struct Favouring<'f> {
    favoured: &'f Favoured,
    first_special: WhisperTokenId,
}

/// Called by the C library before each choice of a token: adds the bonuses.
///
/// # Safety
/// `favouring` must point to a [`Favouring`] that lives as long as the call during which this is installed; `tokens` must
/// point to `count` tokens, and `scores` to one for each text token at least.
unsafe extern "C" fn favour<C, S>(
    _: *mut C,
    _: *mut S,
    tokens: *const WhisperTokenData,
    count: c_int,
    scores: *mut f32,
    favouring: *mut c_void,
) {
    if favouring.is_null() || scores.is_null() {
        return;
    }
    // SAFETY: as above. The library calls with a vector of one score for each token of the model, of which there are more
    // than text tokens; nothing else touches it meanwhile.
    let (favouring, scores) = unsafe {
        let favouring = &*favouring.cast::<Favouring<'_>>();
        (favouring, std::slice::from_raw_parts_mut(scores, favouring.first_special.max(0) as usize))
    };
    let mut said = [0; 16];
    let mut held = 0;
    let count = usize::try_from(count).unwrap_or(0);
    if count > 0 && !tokens.is_null() {
        // SAFETY: the library's own list of tokens so far.
        let tokens = unsafe { std::slice::from_raw_parts(tokens, count) };
        // Marks of time stand between words, not inside terms.
        for token in tokens.iter().rev().filter(|t| t.id < favouring.first_special).take(said.len()) {
            held += 1;
            said[16 - held] = token.id;
        }
    }
    favouring.favoured.favour(&said[16 - held..], scores);
}
