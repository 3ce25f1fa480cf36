//! The one place that speaks to the recogniser's C library.
//!
//! Its traps are kept out here: its own console output is silenced, its safe abort callback (which calls through the wrong
//! type) is not used, its word alignment that can abort the process stays off, and text is handed on as bytes, since a
//! token may end in the middle of a character.

use std::ffi::{c_int, c_void};
use std::sync::atomic::{AtomicBool, Ordering};

use whisper_rs::{
    FullParams, SamplingStrategy, WhisperContext, WhisperContextParameters, WhisperError, WhisperState, WhisperTokenId,
};

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
    #[cfg(feature = "carried-model")]
    pub fn from_memory(model: &'static [u8]) -> Result<Self, WhisperError> {
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
        width: Width,
        stop: &AtomicBool,
    ) -> Result<Vec<Segment>, Failed> {
        let mut params = FullParams::new(SamplingStrategy::Greedy { best_of: 1 });
        // The language is English by default; setting it would leak its name at every call.
        params.set_n_threads(threads::free() as c_int);
        params.set_translate(false);
        params.set_no_context(true);
        // No retries at higher temperatures: they are guesses, and there may be five of them. What looks wrong is heard
        // again in other ways by the caller.
        params.set_temperature_inc(0.0);
        params.set_tokens(carried);
        params.set_token_timestamps(true);
        if let Width::Fitted = width {
            let steps = (samples.len() / STEP + SPARE_STEPS).max(FEWEST_STEPS) as c_int;
            params.set_audio_ctx(steps.min(self.recogniser.context.n_audio_ctx()));
        }
        params.set_suppress_nst(true);
        params.set_print_special(false);
        params.set_print_progress(false);
        params.set_print_realtime(false);
        params.set_print_timestamps(false);
        // SAFETY: `stop` outlives the call to `full`, which is the only one to use these parameters, and the callback
        // only reads it. The crate's safe variant stores one type and calls through another.
        unsafe {
            params.set_abort_callback(Some(stop_asked));
            params.set_abort_callback_user_data(std::ptr::from_ref(stop).cast_mut().cast::<c_void>());
        }
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
