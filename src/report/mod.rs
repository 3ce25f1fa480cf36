//! The report document: the product's memory of one vehicle's walk-round.
//!
//! Drafting makes it, reviewing changes it, every output is rendered from it. Additive changes keep
//! [`FORMAT`]; anything else raises its number, and older documents are still read.

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::narration::{Origin, Seconds, Word};

/// The name and version of the document's format.
pub const FORMAT: &str = "plainsaid/1";

/// One vehicle's walk-round.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Report {
    pub format: String,
    pub recording: Recording,
    pub market: String,
    pub vehicle: Vehicle,
    pub findings: Vec<Finding>,
    /// Words that name a fault and were read as none, with why: a reviewer can see what was left out.
    #[serde(default)]
    pub set_aside: Vec<SetAside>,
    pub transcript: Vec<Word>,
    /// Words of the transcript that are written otherwise than they were heard.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mended: Vec<Mended>,
    /// Stretches of the recording in which somebody speaks but no words could be made out: to be listened to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unclear: Vec<Unclear>,
    /// Every change by a person, oldest first.
    #[serde(default)]
    pub history: Vec<Change>,
}

/// Words that were heard wrongly, by all signs, and are written as what was meant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Mended {
    /// The number of the first such word in the transcript.
    pub first: usize,
    /// How many words of the transcript stand for what was heard.
    pub count: usize,
    /// What the recogniser wrote.
    pub heard: String,
}

/// A stretch in which no words could be made out.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Unclear {
    pub start: Seconds,
    pub end: Seconds,
}

/// What was heard or read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Recording {
    /// The file's name, without its folder.
    pub name: String,
    /// SHA-256 of the file's bytes, in lower-case hexadecimal.
    pub sha256: String,
    #[serde(default)]
    pub duration_s: Option<Seconds>,
    pub kind: Origin,
    /// The speech model that heard it; none for typed words.
    #[serde(default)]
    pub model: Option<String>,
    /// False for notes without any timecode: moments then mean nothing and are not shown.
    #[serde(default = "yes")]
    pub timed: bool,
}

fn yes() -> bool {
    true
}

/// What was said of the vehicle itself. Nothing is filled in that was not said.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Vehicle {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub make: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub year: Option<u16>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub odometer: Option<Odometer>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gearbox: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub registration: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vin: Option<String>,
    /// Whether the VIN's check digit (ISO 3779, 49 CFR 565) fits; not every maker uses one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vin_check: Option<bool>,
    /// The side that the steering wheel is on, as taken for this report.
    pub steering: Hand,
}

/// The distance that the vehicle has covered, as spoken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Odometer {
    pub value: u32,
    pub unit: DistanceUnit,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum DistanceUnit {
    #[serde(rename = "mi")]
    Miles,
    #[serde(rename = "km")]
    Kilometres,
}

/// Left or right, as seen from the driver's seat.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Hand {
    Left,
    #[default]
    Right,
}

impl Hand {
    pub fn other(self) -> Self {
        match self {
            Hand::Left => Hand::Right,
            Hand::Right => Hand::Left,
        }
    }
}

/// Which side of the vehicle, as seen from the driver's seat, whatever words were used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    Left,
    Right,
    Both,
    Centre,
}

impl From<Hand> for Side {
    fn from(hand: Hand) -> Self {
        match hand {
            Hand::Left => Side::Left,
            Hand::Right => Side::Right,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum End {
    Front,
    Rear,
}

/// How bad a fault is, in four grades that an ordinary buyer understands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Barely seen.
    Trace,
    /// Minor, cosmetic, can be polished or touched in.
    Light,
    /// Plain to see, wants a repair.
    Moderate,
    /// Large, deep, structural or needing replacement.
    Heavy,
}

/// What sort of statement a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Something wrong with this vehicle.
    Fault,
    /// A part said to be good.
    Sound,
    /// Equipment named as fitted.
    Fitted,
    /// A function tried, with its result.
    Check,
    /// Said not to have been looked at or tried.
    Unchecked,
    /// A remark worth keeping, or an instruction spoken to the listener.
    Note,
}

/// A thing named: its entry in the vocabulary, its plain name, and the words used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Named {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub said: String,
}

/// What would put a fault right.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Remedy {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub said: String,
    /// True where the vocabulary proposes it and the speaker did not say it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub proposed: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Cost {
    pub low: f64,
    pub high: f64,
    /// ISO 4217 code.
    pub currency: String,
    pub from: CostSource,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum CostSource {
    Said,
    Rates,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum CheckResult {
    Ok,
    Fault,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Certainty {
    /// The speaker only allows that it may be so.
    Possible,
    /// The speaker thinks so.
    Likely,
    #[default]
    Stated,
}

/// Where a person's review of a finding stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum State {
    #[default]
    Draft,
    Kept,
    Changed,
    Struck,
    Added,
}

/// How one field of a finding was reached.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reason {
    /// The field that it speaks of: `part`, `side`, `severity` and so on.
    pub field: Cow<'static, str>,
    /// The rule that decided, by its short name.
    pub rule: Cow<'static, str>,
    /// The speaker's words that it rests on; empty where the walk decided.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// The vocabulary entry, as `kind.id`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub entry: String,
    /// By how much the choice beat the next best, where alternatives were scored.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub margin: Option<f32>,
}

/// One statement about the vehicle, tied to the moment it was said.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// Stable for the life of the document; never reused.
    pub id: String,
    pub kind: Kind,
    pub part: Option<Named>,
    pub item: Option<Named>,
    pub side: Option<Side>,
    pub end: Option<End>,
    /// Where on the part, in the speaker's words.
    #[serde(default)]
    pub place: Option<String>,
    pub defect: Option<Named>,
    pub severity: Option<Severity>,
    /// The longest dimension, low and high, in millimetres.
    pub size_mm: Option<[f64; 2]>,
    /// How many, low and high.
    pub count: Option<[u32; 2]>,
    #[serde(default)]
    pub remedies: Vec<Remedy>,
    pub cost: Option<Cost>,
    pub result: Option<CheckResult>,
    pub safety: bool,
    #[serde(default)]
    pub certainty: Certainty,
    /// The speaker's words, letter for letter: the smallest run that shows the finding.
    pub quote: String,
    /// When the defect's or item's words begin and end, in seconds.
    pub at_s: Seconds,
    pub until_s: Seconds,
    /// The first and last word of the quote, as positions in the transcript.
    pub words: [usize; 2],
    #[serde(default)]
    pub why: Vec<Reason>,
    #[serde(default)]
    pub state: State,
}

/// A fault's words that do not say that this vehicle has it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetAside {
    pub quote: String,
    pub at_s: Seconds,
    /// The first and last word of the quote, as positions in the transcript.
    pub words: [usize; 2],
    pub standing: Standing,
    /// The words that decided it.
    #[serde(default)]
    pub because: String,
}

/// Whether a statement says that this vehicle has the fault that it names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    Asserted,
    Denied,
    /// A remark about the model, the trade or other vehicles.
    General,
    /// Already put right.
    Fixed,
    Hypothetical,
    /// Taken back by the speaker.
    Withdrawn,
    /// Said again more plainly, and counted there.
    Restated,
}

/// A change that a person made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Change {
    /// RFC 3339, in UTC.
    pub when: String,
    pub who: String,
    /// The finding's id, or `vehicle`.
    pub what: String,
    pub field: String,
    pub from: serde_json::Value,
    pub to: serde_json::Value,
}
