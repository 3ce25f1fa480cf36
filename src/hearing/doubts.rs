//! What was heard but never said.
//!
//! A recogniser that is given noise writes something rather than nothing: a few stock phrases, or one phrase over and over.
//! Each rule here takes out words only on two grounds at once (what was written, and what the sound or the recogniser's
//! own doubt says), because a fault dropped is as bad as a fault invented.

use realfft::RealFftPlanner;

use super::sound::RATE;
use super::windows::Window;
use super::words::HeardWord;

/// The recogniser itself doubts that anything was said.
const NO_SPEECH: f32 = 0.6;
/// Below this a segment is mostly guessed.
const GUESSED: f32 = 0.35;
/// Below this a stock phrase is not believed.
const STOCK_BELIEVED: f32 = 0.8;
/// A run of at least this many equal phrases is a loop.
const LOOP: usize = 4;
const LONGEST_PHRASE: usize = 12;
/// A word drawn out longer than this, or most of them shorter than that, were not said.
const LONGEST_WORD_S: f64 = 4.0;
const SHORTEST_WORD_S: f64 = 0.03;
/// Speech may lie this far outside a word's times, which are rough.
const SLACK_S: f64 = 0.4;

/// In sound that holds its notes a segment is believed only if it is surer than this.
const BELIEVED_OVER_MUSIC: f32 = 0.9;
/// Sound holds its notes where more than this share of its loud moments does. Measured over eight seconds at a time:
/// chords with a tune and a beat 0.23, speech at most 0.05, whatever the noise of the yard.
const HOLDS_NOTES: f32 = 0.13;
/// Samples looked at at once, and from one such stretch to the next.
const STRETCH: usize = 1024;
const HOP: usize = STRETCH / 2;
/// A note is held over so many hops: a fifth of a second, in which a voice has long moved on.
const HELD: usize = 6;
/// Where notes are sought, in Hz.
const LOWEST: usize = 200;
const HIGHEST: usize = 3750;

/// What such recognisers write over noise, lower case, without punctuation.
const STOCK: &[&str] = &[
    "applause",
    "bye",
    "bye bye",
    "i dont know",
    "i dont know what to do",
    "i will see you in the next video",
    "ill see you in the next video",
    "ill see you next time",
    "im going to go back to the car",
    "im not going to do this",
    "im sorry",
    "laughter",
    "music",
    "oh",
    "oh my god",
    "okay",
    "please subscribe",
    "please subscribe to my channel",
    "see you next time",
    "so",
    "subscribe",
    "subtitles by the amaraorg community",
    "thank you",
    "thank you for watching",
    "thank you so much",
    "thank you so much for watching",
    "thank you very much",
    "thanks",
    "thanks for listening",
    "thanks for watching",
    "the end",
    "to be continued",
    "well be right back",
    "yeah",
    "you",
];

/// Whether one segment's words may stand.
pub(super) fn believed(words: &[HeardWord], no_speech: f32, window: &Window) -> bool {
    let (Some(first), Some(last)) = (words.first(), words.last()) else { return false };
    let sure = words.iter().map(|w| w.confidence).sum::<f32>() / words.len() as f32;
    let speech = window.speech_between(first.start_s - SLACK_S, last.end_s + SLACK_S);
    if speech < 10 {
        return false;
    }
    if sure < BELIEVED_OVER_MUSIC && holds_notes(&window.samples) {
        return false;
    }
    if sure < GUESSED && (no_speech > NO_SPEECH || !sayable(words)) {
        return false;
    }
    let stock = STOCK.contains(&plain(words).as_str());
    !(stock && (sure < STOCK_BELIEVED || no_speech > NO_SPEECH))
}

/// Whether the strongest tone mostly stays where it is, as in music, where a voice glides.
fn holds_notes(samples: &[f32]) -> bool {
    let fft = RealFftPlanner::<f32>::new().plan_fft_forward(STRETCH);
    let (mut input, mut spectrum) = (fft.make_input_vec(), fft.make_output_vec());
    let bins = LOWEST * STRETCH / RATE..HIGHEST * STRETCH / RATE;
    let mut tones: Vec<(usize, f32)> = Vec::new();
    for at in (0..samples.len().saturating_sub(STRETCH)).step_by(HOP) {
        for (i, (slot, sample)) in input.iter_mut().zip(&samples[at..at + STRETCH]).enumerate() {
            let taper = 0.5 - 0.5 * (std::f32::consts::TAU * i as f32 / (STRETCH - 1) as f32).cos();
            *slot = sample * taper;
        }
        if fft.process(&mut input, &mut spectrum).is_err() {
            return false;
        }
        let strongest = bins.clone().map(|bin| (bin, spectrum[bin].norm())).max_by(|a, b| a.1.total_cmp(&b.1));
        tones.extend(strongest);
    }
    let mut powers: Vec<f32> = tones.iter().map(|t| t.1).collect();
    powers.sort_by(f32::total_cmp);
    let loud = powers.get(powers.len() / 2).map_or(0.0, |middle| middle / 2.0);
    let (mut held, mut all) = (0, 0);
    for span in tones.windows(HELD + 1) {
        let (first, middle, last) = (span[0], span[HELD / 2], span[HELD]);
        if first.1 > loud && last.1 > loud {
            all += 1;
            held += usize::from(first.0 == middle.0 && middle.0 == last.0);
        }
    }
    all > 0 && held as f32 / all as f32 > HOLDS_NOTES
}

/// Whether the words' times are such as a mouth can keep: over music one word lasts for ages and the rest no time at all.
fn sayable(words: &[HeardWord]) -> bool {
    let spans = || words.iter().map(|w| w.end_s - w.start_s);
    let fleeting = spans().filter(|span| *span < SHORTEST_WORD_S).count();
    spans().all(|span| span <= LONGEST_WORD_S) && fleeting * 2 <= words.len()
}

fn plain(words: &[HeardWord]) -> String {
    let mut text = String::new();
    for word in words {
        if !text.is_empty() {
            text.push(' ');
        }
        text.extend(bare(&word.text));
    }
    text
}

fn bare(text: &str) -> impl Iterator<Item = char> + '_ {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase)
}

/// Where a phrase is repeated [`LOOP`] times or more in a row: the first word, the phrase's length and how often.
fn find_loop(words: &[HeardWord]) -> Option<(usize, usize, usize)> {
    let plain: Vec<String> = words.iter().map(|w| bare(&w.text).collect()).collect();
    for start in 0..plain.len() {
        for length in 1..=LONGEST_PHRASE.min((plain.len() - start) / LOOP) {
            let phrase = &plain[start..start + length];
            let times = plain[start..].chunks_exact(length).take_while(|next| *next == phrase).count();
            // A single word is repeated for emphasis; figures are read out digit by digit.
            let enough = if length == 1 { 2 * LOOP } else { LOOP };
            if times >= enough && !phrase.iter().all(|w| w.chars().all(char::is_numeric)) {
                return Some((start, length, times));
            }
        }
    }
    None
}

pub(super) fn loops(words: &[HeardWord]) -> bool {
    find_loop(words).is_some()
}

/// Leaves each looped phrase once: it may have been said, but not over and over.
pub(super) fn unloop(words: &mut Vec<HeardWord>) {
    while let Some((start, length, times)) = find_loop(words) {
        words.drain(start + length..start + length * times);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(text: &str, confidence: f32) -> Vec<HeardWord> {
        text.split(' ')
            .enumerate()
            .map(|(i, w)| HeardWord {
                text: w.to_owned(),
                start_s: i as f64 * 0.3,
                end_s: i as f64 * 0.3 + 0.3,
                confidence,
                opens_line: i == 0,
            })
            .collect()
    }

    #[test]
    fn a_loop_is_left_once_and_emphasis_stays() {
        let mut words = heard("the door is the same the same the same the same the same again", 0.9);
        assert!(loops(&words));
        unloop(&mut words);
        assert_eq!(plain(&words), "the door is the same again");
        for said in ["no no no no never", "same again same again on the door", "0 0 0 0 0 0 0 0 0 0"] {
            assert!(!loops(&heard(said, 0.9)), "{said}");
        }
    }

    #[test]
    fn guesses_that_no_mouth_could_say_are_dropped() {
        let mut words = heard("i have to go back to the other side", 0.2);
        assert!(sayable(&words));
        for word in &mut words[1..] {
            (word.start_s, word.end_s) = (24.0, 24.01);
        }
        words[0].end_s = 24.0;
        assert!(!sayable(&words));
    }

    #[test]
    fn nothing_is_believed_where_nothing_was_said() {
        let silent = Window::default();
        assert!(!believed(&heard("a dent in the door", 0.9), 0.1, &silent));
        assert!(!believed(&[], 0.0, &silent));
    }

    #[test]
    fn notes_are_held_and_voices_glide() {
        let tone = |hz: fn(f32) -> f32| {
            let mut turn = 0.0f32;
            let next = |i: usize| {
                turn = (turn + hz(i as f32 / RATE as f32) / RATE as f32).fract();
                (turn * std::f32::consts::TAU).sin() * 0.3
            };
            (0..8 * RATE).map(next).collect::<Vec<f32>>()
        };
        assert!(holds_notes(&tone(|t| if t % 1.0 < 0.5 { 440.0 } else { 554.4 })));
        assert!(!holds_notes(&tone(|t| 600.0 + 250.0 * (t * 9.0).sin())));
        assert!(!holds_notes(&[]) && !holds_notes(&[0.0; 4000]));
    }
}
