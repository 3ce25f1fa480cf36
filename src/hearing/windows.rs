//! Stretches of speech packed into windows for the recogniser, with a way back from every moment in a window to its
//! moment in the recording.
//!
//! The recogniser takes the same time over a window however little is said in it, and loses its footing in long pauses.
//! So pauses are left out, and what is said is packed up to [`LONGEST`], cut at the quietest place.

use std::collections::VecDeque;

use super::speech::{FRAME, FRAMES, Frame, SpeechFinder};
use crate::narration::Seconds;

/// Frames in the longest window. Whisper hears 30 s at once, but may lose the end of a full window.
const LONGEST: usize = 25 * FRAMES;
/// A window is not cut before this.
const SHORTEST_CUT: usize = 15 * FRAMES;
/// Kept of a pause on either side of speech: the finder blurs by half a second, and a first consonant is quiet.
const MARGIN: usize = 4 * FRAMES / 10;
/// Less speech than this in a whole window is a click or a bang.
const LEAST_SPEECH: usize = 3 * FRAMES / 10;
/// Speech quieter than this (root mean square) is made louder, up to so many times.
const QUIET: f32 = 0.03;
const MOST_GAIN: f32 = 300.0;
/// What a cut costs in the early part of the window, in dB a frame: fuller windows cost less time.
const EARLY_CUT_DB: f32 = 0.006;

/// Up to 25 s of sound to be recognised at once.
#[derive(Clone, Debug, Default)]
pub(super) struct Window {
    pub samples: Vec<f32>,
    pub frames: Vec<Frame>,
    pieces: Vec<Piece>,
}

/// A stretch of the recording inside a window.
#[derive(Clone, Copy, Debug)]
struct Piece {
    /// Its first frame in the window.
    at: usize,
    /// Its first frame in the recording.
    from: usize,
}

impl Window {
    /// The moment in the recording of a moment in the window. Where two pieces meet, a word's end belongs to the first
    /// and its start to the second.
    pub fn moment(&self, in_window: f64, is_end: bool) -> Seconds {
        let frame = (in_window * FRAMES as f64).clamp(0.0, self.frames.len() as f64);
        let piece = self.pieces.iter().rev().find(|p| {
            let at = p.at as f64;
            if is_end { at < frame } else { at <= frame }
        });
        let piece = piece.or(self.pieces.first()).copied().unwrap_or(Piece { at: 0, from: 0 });
        Seconds((piece.from as f64 + (frame - piece.at as f64).max(0.0)) / FRAMES as f64)
    }

    /// Where in the recording the window ends.
    pub fn end(&self) -> Seconds {
        self.moment(self.frames.len() as f64 / FRAMES as f64, true)
    }

    pub fn start(&self) -> Seconds {
        self.moment(0.0, false)
    }

    /// How many frames between two moments of the window hold speech.
    pub fn speech_between(&self, from_s: f64, to_s: f64) -> usize {
        let index = |s: f64| ((s.max(0.0) * FRAMES as f64) as usize).min(self.frames.len());
        let (from, to) = (index(from_s), index(to_s));
        self.frames.get(from..to).unwrap_or(&[]).iter().filter(|f| f.speech).count()
    }

    /// The part of the window between two of its frames, as a window of its own.
    pub fn part(&self, from: usize, to: usize) -> Window {
        let to = to.min(self.frames.len());
        let from = from.min(to);
        let mut pieces = Vec::new();
        for (i, piece) in self.pieces.iter().enumerate() {
            let end = self.pieces.get(i + 1).map_or(self.frames.len(), |next| next.at);
            let (first, last) = (piece.at.max(from), end.min(to));
            if first < last {
                pieces.push(Piece { at: first - from, from: piece.from + (first - piece.at) });
            }
        }
        Window {
            samples: self.samples[from * FRAME..to * FRAME].to_vec(),
            frames: self.frames[from..to].to_vec(),
            pieces,
        }
    }

    fn push(&mut self, number: usize, frame: Frame, samples: &[f32; FRAME]) {
        let continues = self.pieces.last().is_some_and(|p| p.from + (self.frames.len() - p.at) == number);
        if !continues {
            self.pieces.push(Piece { at: self.frames.len(), from: number });
        }
        self.samples.extend_from_slice(samples);
        self.frames.push(frame);
    }

    /// Brings a quiet voice, or one too loud for its file, to the loudness that the recogniser was trained with.
    fn level(&mut self) {
        let spoken = self.frames.iter().zip(self.samples.chunks_exact(FRAME)).filter(|(f, _)| f.speech);
        let (mut power, mut count) = (0.0f64, 0usize);
        for (_, samples) in spoken {
            power += samples.iter().map(|s| f64::from(s * s)).sum::<f64>();
            count += samples.len();
        }
        let loudness = (power / count.max(1) as f64).sqrt() as f32;
        let peak = self.samples.iter().fold(0.0f32, |most, s| most.max(s.abs()));
        if loudness <= 0.0 || peak <= 0.0 {
            return;
        }
        let gain = if peak > 1.0 { 1.0 / peak } else { (QUIET / loudness).min(1.0 / peak).clamp(1.0, MOST_GAIN) };
        if !(0.99..=1.01).contains(&gain) {
            self.samples.iter_mut().for_each(|sample| *sample *= gain);
        }
    }

    fn holds_speech(&self) -> bool {
        self.frames.iter().filter(|f| f.speech).count() >= LEAST_SPEECH
    }

    /// The frame before which to cut a full window: a left-out pause if there is one late enough, else where it is quiet.
    fn best_cut(&self) -> usize {
        self.quietest(SHORTEST_CUT, self.frames.len())
    }

    /// Where to cut a window in two.
    pub fn middle_cut(&self) -> usize {
        self.quietest(self.frames.len() / 3, self.frames.len() * 2 / 3)
    }

    fn quietest(&self, from: usize, to: usize) -> usize {
        const AROUND: usize = 15;
        let cost = |i: usize| {
            let around = &self.frames[i.saturating_sub(AROUND)..(i + AROUND).min(self.frames.len())];
            let mean = around.iter().map(|f| f.level).sum::<f32>() / around.len().max(1) as f32;
            let pause = if self.pieces.iter().any(|p| p.at == i) { -60.0 } else { 0.0 };
            mean + pause + EARLY_CUT_DB * (to - i) as f32
        };
        (from..to.saturating_sub(AROUND)).min_by(|a, b| cost(*a).total_cmp(&cost(*b))).unwrap_or(to)
    }
}

/// Takes a recording's samples in order and gives windows of speech.
pub(super) struct Packer {
    finder: SpeechFinder,
    marks: Vec<Frame>,
    /// Samples whose frames are not yet marked.
    samples: VecDeque<f32>,
    /// The number of the next frame in the recording.
    number: usize,
    window: Window,
    /// The last quiet frames before speech, kept in case it begins.
    before: VecDeque<(usize, Frame, [f32; FRAME])>,
    quiet_for: usize,
    ready: VecDeque<Window>,
}

impl Packer {
    pub fn new() -> Self {
        Packer {
            finder: SpeechFinder::new(),
            marks: Vec::new(),
            samples: VecDeque::new(),
            number: 0,
            window: Window::default(),
            before: VecDeque::new(),
            quiet_for: MARGIN,
            ready: VecDeque::new(),
        }
    }

    pub fn push(&mut self, samples: &[f32]) {
        self.samples.extend(samples);
        self.finder.push(samples, &mut self.marks);
        self.sort();
    }

    pub fn finish(&mut self) {
        self.finder.finish(&mut self.marks);
        let missing = self.marks.len() * FRAME;
        self.samples.resize(missing.max(self.samples.len()), 0.0);
        self.sort();
        let last = std::mem::take(&mut self.window);
        self.give(last);
    }

    pub fn next(&mut self) -> Option<Window> {
        self.ready.pop_front()
    }

    fn sort(&mut self) {
        for frame in std::mem::take(&mut self.marks) {
            let mut samples = [0.0; FRAME];
            for (slot, sample) in samples.iter_mut().zip(self.samples.drain(..FRAME.min(self.samples.len()))) {
                *slot = sample;
            }
            self.place(frame, samples);
        }
    }

    fn place(&mut self, frame: Frame, samples: [f32; FRAME]) {
        let number = self.number;
        self.number += 1;
        if frame.speech {
            for (number, frame, samples) in self.before.drain(..) {
                self.window.push(number, frame, &samples);
            }
            self.quiet_for = 0;
        } else {
            self.quiet_for += 1;
            if self.quiet_for > MARGIN {
                if self.before.len() == MARGIN {
                    self.before.pop_front();
                }
                self.before.push_back((number, frame, samples));
                return;
            }
        }
        self.window.push(number, frame, &samples);
        if self.window.frames.len() >= LONGEST {
            let cut = self.window.best_cut();
            let rest = self.window.part(cut, self.window.frames.len());
            let full = std::mem::replace(&mut self.window, rest);
            self.give(full.part(0, cut));
        }
    }

    fn give(&mut self, mut window: Window) {
        if window.holds_speech() {
            window.level();
            self.ready.push_back(window);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window(stretches: &[(usize, usize)]) -> Window {
        let mut window = Window::default();
        for &(from, count) in stretches {
            for number in from..from + count {
                window.push(number, Frame { speech: true, level: 0.0 }, &[number as f32; FRAME]);
            }
        }
        window
    }

    #[test]
    fn every_moment_of_a_window_leads_back_to_the_recording() {
        let window = window(&[(100, 200), (1000, 300)]);
        assert_eq!(window.moment(0.0, false), Seconds(1.0));
        assert_eq!(window.moment(1.5, false), Seconds(2.5));
        assert_eq!(window.moment(2.0, true), Seconds(3.0), "an end at the join stays before the pause");
        assert_eq!(window.moment(2.0, false), Seconds(10.0), "a start at the join comes after it");
        assert_eq!(window.moment(99.0, true), Seconds(13.0));
        let part = window.part(150, 400);
        assert_eq!((part.start(), part.end()), (Seconds(2.5), Seconds(12.0)));
        assert_eq!(part.moment(0.5, false), Seconds(10.0));
        assert_eq!(part.samples.len(), 250 * FRAME);
    }

    #[test]
    fn quiet_and_overloud_voices_are_brought_to_a_working_range() {
        let levelled = |level: f32| {
            let mut window = Window::default();
            for number in 0..100 {
                let samples = std::array::from_fn(|i| if i % 2 == 0 { level } else { -level });
                window.push(number, Frame { speech: true, level: 0.0 }, &samples);
            }
            window.level();
            window.samples[0]
        };
        assert!((levelled(0.001) - QUIET).abs() < 1e-4);
        assert!((levelled(3.0) - 1.0).abs() < 1e-4);
        assert_eq!((levelled(0.2), levelled(0.0)), (0.2, 0.0));
        assert!(levelled(1e-6) < 0.001, "hiss stays hiss");
    }

    #[test]
    fn windows_stay_within_their_length_and_lose_nothing() {
        let mut packer = Packer::new();
        for i in 0..7_000 {
            let level = if i % 400 < 20 { -60.0 } else { 0.0 };
            packer.place(Frame { speech: true, level }, [0.5 + i as f32 / 16_384.0; FRAME]);
        }
        packer.finish();
        let mut next = 0;
        while let Some(window) = packer.next() {
            assert!(window.frames.len() <= LONGEST);
            assert_eq!(window.samples[0], 0.5 + next as f32 / 16_384.0);
            next += window.frames.len();
        }
        assert_eq!(next, 7_000);
    }

    #[test]
    fn long_pauses_are_left_out_and_short_ones_kept() {
        let mut packer = Packer::new();
        let speech = |i: usize| !(200..1200).contains(&i) && !(1400..1450).contains(&i);
        for i in 0..1600 {
            packer.place(Frame { speech: speech(i), level: 0.0 }, [0.0; FRAME]);
        }
        packer.finish();
        let window = packer.next().expect("speech");
        assert_eq!(window.frames.len(), 600 + 2 * MARGIN);
        assert_eq!(window.end(), Seconds(16.0));
        assert!(packer.next().is_none());
    }
}
