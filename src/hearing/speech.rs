//! Where in a recording somebody speaks: a simple finder that needs no model.
//!
//! Speech differs from the steady noises of a yard in two ways. Its loudness rises and falls several times a second, and
//! its bands move apart as it does so, a hiss here and a vowel there. Wind, pink noise and a running engine keep their
//! level, whatever it is; a diesel's knock and footsteps rise and fall, but with all bands together. So a moment counts as
//! speech where the second around it shows both. Loudness alone decides nothing: a quiet voice is still a voice.

use std::collections::VecDeque;
use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

/// Samples in a frame at 16 kHz: a hundredth of a second.
pub(super) const FRAME: usize = 160;
/// Frames in a second.
pub(super) const FRAMES: usize = 100;

const SPAN: usize = 400;
const FFT: usize = 512;
/// Band edges in Hz: where speech carries its words, above an engine's rumble and below the hiss of cheap microphones.
const EDGES: [usize; BANDS + 1] = [250, 500, 850, 1300, 1900, 2700, 3800];
const BANDS: usize = 6;
/// Added to a band's power, so that digital silence has no movement.
const FLOOR: f32 = 1e-7;

/// Movement of loudness, in dB (root mean square over a second). Measured: steady noise at most 1, speech under very
/// loud yard noise 2.3 and more.
const MOVES_DB: f64 = 1.5;
/// Movement of the bands against each other. Measured: noises and engines at most 1.9, speech under very loud yard
/// noise 2.6 and more.
const PARTS_DB: f64 = 2.1;

/// What is known of one hundredth of a second.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    pub speech: bool,
    /// Loudness over the speech bands, in dB.
    pub level: f32,
}

/// Marks frames as samples come in; marks follow about a second behind.
pub(super) struct SpeechFinder {
    fft: Arc<dyn RealToComplex<f32>>,
    taper: Vec<f32>,
    input: Vec<f32>,
    spectrum: Vec<Complex<f32>>,
    waiting: Vec<f32>,
    /// Frames due for the samples taken in, and frames measured so far.
    taken: usize,
    measured: usize,
    smooth: Centred<BANDS>,
    slow: Centred<BANDS>,
    movement: Centred<3>,
}

impl SpeechFinder {
    pub fn new() -> Self {
        let fft = RealFftPlanner::<f32>::new().plan_fft_forward(FFT);
        let taper =
            (0..SPAN).map(|i| 0.5 - 0.5 * (std::f32::consts::TAU * i as f32 / (SPAN - 1) as f32).cos()).collect();
        SpeechFinder {
            input: fft.make_input_vec(),
            spectrum: fft.make_output_vec(),
            fft,
            taper,
            waiting: Vec::new(),
            taken: 0,
            measured: 0,
            smooth: Centred::new(1),
            slow: Centred::new(30),
            movement: Centred::new(50),
        }
    }

    pub fn push(&mut self, samples: &[f32], out: &mut Vec<Frame>) {
        self.taken += samples.len();
        self.waiting.extend_from_slice(samples);
        let mut used = 0;
        while self.waiting.len() - used >= SPAN {
            let bands = self.bands(used);
            used += FRAME;
            self.measured += 1;
            if let Some(pair) = self.smooth.push(bands) {
                self.smoothed(pair.1, out);
            }
        }
        self.waiting.drain(..used);
    }

    /// Marks what is left; afterwards every sample taken in belongs to a frame.
    pub fn finish(&mut self, out: &mut Vec<Frame>) {
        let due = self.taken.div_ceil(FRAME);
        let missing = due.saturating_sub(self.measured);
        if missing > 0 {
            self.waiting.resize((missing - 1) * FRAME + SPAN, 0.0);
            for i in 0..missing {
                let bands = self.bands(i * FRAME);
                if let Some(pair) = self.smooth.push(bands) {
                    self.smoothed(pair.1, out);
                }
            }
            self.measured = due;
        }
        for (_, mean) in self.smooth.finish() {
            self.smoothed(mean, out);
        }
        for (bands, mean) in self.slow.finish() {
            self.moved(bands, mean, out);
        }
        out.extend(self.movement.finish().into_iter().map(judged));
        self.waiting.clear();
    }

    fn bands(&mut self, from: usize) -> [f64; BANDS] {
        self.input.fill(0.0);
        for ((slot, sample), taper) in self.input.iter_mut().zip(&self.waiting[from..from + SPAN]).zip(&self.taper) {
            *slot = sample * taper;
        }
        // Lengths are the plan's own, so this can't fail; a silent frame would be the answer if it did.
        if self.fft.process(&mut self.input, &mut self.spectrum).is_err() {
            self.spectrum.fill(Complex::default());
        }
        std::array::from_fn(|b| {
            let (low, high) = (EDGES[b] * FFT / super::sound::RATE, EDGES[b + 1] * FFT / super::sound::RATE);
            let power: f32 = self.spectrum[low..high].iter().map(|c| c.norm_sqr()).sum();
            f64::from(10.0 * (power / (high - low) as f32 + FLOOR).log10())
        })
    }

    fn smoothed(&mut self, bands: [f64; BANDS], out: &mut Vec<Frame>) {
        if let Some((bands, mean)) = self.slow.push(bands) {
            self.moved(bands, mean, out);
        }
    }

    fn moved(&mut self, bands: [f64; BANDS], mean: [f64; BANDS], out: &mut Vec<Frame>) {
        let fast: [f64; BANDS] = std::array::from_fn(|b| bands[b] - mean[b]);
        let together = fast.iter().sum::<f64>() / BANDS as f64;
        let apart = fast.iter().map(|f| (f - together).powi(2)).sum::<f64>() / BANDS as f64;
        let level = bands.iter().sum::<f64>() / BANDS as f64;
        if let Some(pair) = self.movement.push([together * together, apart, level]) {
            out.push(judged(pair));
        }
    }
}

fn judged((here, mean): ([f64; 3], [f64; 3])) -> Frame {
    Frame { speech: mean[0] > MOVES_DB * MOVES_DB && mean[1] > PARTS_DB * PARTS_DB, level: here[2] as f32 }
}

/// A running mean over `half` values on either side, given with the value at its centre; shorter at both ends.
struct Centred<const N: usize> {
    half: usize,
    held: VecDeque<[f64; N]>,
    sum: [f64; N],
    next: usize,
}

impl<const N: usize> Centred<N> {
    fn new(half: usize) -> Self {
        Centred { half, held: VecDeque::new(), sum: [0.0; N], next: 0 }
    }

    fn push(&mut self, value: [f64; N]) -> Option<([f64; N], [f64; N])> {
        self.held.push_back(value);
        for (sum, v) in self.sum.iter_mut().zip(value) {
            *sum += v;
        }
        (self.held.len() > self.next + self.half).then(|| self.give())
    }

    fn finish(&mut self) -> Vec<([f64; N], [f64; N])> {
        let mut rest = Vec::new();
        while self.next < self.held.len() {
            rest.push(self.give());
        }
        rest
    }

    fn give(&mut self) -> ([f64; N], [f64; N]) {
        while self.next > self.half {
            if let Some(old) = self.held.pop_front() {
                for (sum, v) in self.sum.iter_mut().zip(old) {
                    *sum -= v;
                }
            }
            self.next -= 1;
        }
        let here = self.held[self.next];
        let count = self.held.len() as f64;
        self.next += 1;
        (here, self.sum.map(|s| s / count))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn speech_share(samples: &[f32]) -> f64 {
        let (mut finder, mut frames) = (SpeechFinder::new(), Vec::new());
        for piece in samples.chunks(777) {
            finder.push(piece, &mut frames);
        }
        finder.finish(&mut frames);
        assert_eq!(frames.len(), samples.len().div_ceil(FRAME), "a frame for every sample");
        frames.iter().filter(|f| f.speech).count() as f64 / frames.len().max(1) as f64
    }

    #[test]
    fn a_running_mean_is_centred_and_shortens_at_the_ends() {
        let mut mean = Centred::<1>::new(1);
        let mut given: Vec<_> = [1.0, 2.0, 6.0, 1.0].into_iter().filter_map(|v| mean.push([v])).collect();
        given.extend(mean.finish());
        let given: Vec<(f64, f64)> = given.iter().map(|(a, b)| (a[0], b[0])).collect();
        assert_eq!(given, [(1.0, 1.5), (2.0, 3.0), (6.0, 3.0), (1.0, 3.5)]);
    }

    #[test]
    fn silence_and_steady_sounds_are_no_speech() {
        let mut seed = 1u32;
        let mut random = move || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 8) as f32 / 8_388_608.0 - 1.0
        };
        let hiss: Vec<f32> = (0..160_000).map(|_| 0.3 * random()).collect();
        let hum: Vec<f32> = (0..160_000).map(|i| 0.5 * (i as f32 * 0.05).sin()).collect();
        for samples in [&vec![0.0; 160_000], &hiss, &hum, &vec![0.0; 1], &Vec::new()] {
            assert_eq!(speech_share(samples), 0.0);
        }
    }
}
