//! The plain words that reports are written in.
//!
//! Every output takes its wording from here, so that a grade or a side is called the same on the page, in the table
//! and in the terminal.

use crate::report::{
    Certainty, CheckResult, Cost, CostSource, DistanceUnit, End, Finding, Hand, Kind, Odometer, Report, Severity, Side,
    State, Vehicle,
};

/// Said once in every report that names a side.
pub const SIDES: &str = "Left and right are as seen from the driver’s seat, facing forwards.";

/// Said in every report, whatever was found.
pub const NO_INSPECTION: &str = "A walk-round is no roadworthiness inspection. Have the vehicle examined by a licensed \
                                 workshop before it is used on the road, and follow local law.";

/// Said where nothing was found that bears on safety, so that silence is not taken for a clean bill.
pub const NO_CAUTIONS: &str =
    "Nothing was said that bears on safe use. That does not show that the vehicle is safe to use.";

/// Said of whatever the report does not name.
pub const NOT_NAMED: &str =
    "A part that this report does not name was not spoken of: nothing is known of it from here.";

pub fn hand(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left",
        Hand::Right => "right",
    }
}

pub fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Both => "both",
        Side::Centre => "centre",
    }
}

pub fn end(end: End) -> &'static str {
    match end {
        End::Front => "front",
        End::Rear => "rear",
    }
}

pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Trace => "barely seen",
        Severity::Light => "minor",
        Severity::Moderate => "plain to see",
        Severity::Heavy => "serious",
    }
}

/// What each grade means, for the page's key.
pub fn severity_meaning(severity: Severity) -> &'static str {
    match severity {
        Severity::Trace => "found only by looking for it",
        Severity::Light => "on the surface; can be polished or touched in",
        Severity::Moderate => "seen at a glance; wants a repair",
        Severity::Heavy => "large, deep or structural; may need a new part",
    }
}

/// The grade as it may be printed: a fault that bears on safe use is never called slight.
pub fn severity_shown(finding: &Finding) -> Option<Severity> {
    finding.severity.filter(|&grade| !finding.safety || grade > Severity::Light)
}

pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Fault => "fault",
        Kind::Sound => "said to be good",
        Kind::Fitted => "fitted",
        Kind::Check => "tried",
        Kind::Unchecked => "not looked at",
        Kind::Note => "note",
    }
}

pub fn result(result: CheckResult) -> &'static str {
    match result {
        CheckResult::Ok => "works as it should",
        CheckResult::Fault => "at fault",
    }
}

/// Nothing where the speaker was sure.
pub fn certainty(certainty: Certainty) -> Option<&'static str> {
    match certainty {
        Certainty::Stated => None,
        Certainty::Likely => Some("probably"),
        Certainty::Possible => Some("possibly"),
    }
}

/// `71,400 miles`.
pub fn odometer(odometer: Odometer) -> String {
    let unit = match odometer.unit {
        DistanceUnit::Miles if odometer.value == 1 => "mile",
        DistanceUnit::Miles => "miles",
        DistanceUnit::Kilometres => "km",
    };
    format!("{} {unit}", thousands(odometer.value))
}

fn thousands(value: u32) -> String {
    let digits = value.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// `25–30 mm`; `1.2 m` from one metre on; in inches, with millimetres beside them, for a market that measures so.
pub fn size([low, high]: [f64; 2], market: &str) -> String {
    let metric = if high >= 1000.0 {
        format!("{} m", range(rounded(low / 1000.0, 1), rounded(high / 1000.0, 1)))
    } else {
        format!("{} mm", range(rounded(low, 0), rounded(high, 0)))
    };
    if market == "us" {
        // Below an inch a tenth is too coarse for a chip.
        let places = if high < 25.4 { 2 } else { 1 };
        format!("{} in ({metric})", range(rounded(low / 25.4, places), rounded(high / 25.4, places)))
    } else {
        metric
    }
}

/// `2`, `2–3`, `3 or more`.
pub fn count([low, high]: [u32; 2]) -> String {
    if high == u32::MAX { format!("{low} or more") } else { range(low.to_string(), high.to_string()) }
}

/// `about £120`, `£100–150`, with the currency's sign where its readers expect it.
pub fn cost(cost: &Cost) -> String {
    let (before, after) = match cost.currency.as_str() {
        "GBP" => ("£".to_owned(), String::new()),
        "USD" => ("$".to_owned(), String::new()),
        "AUD" => ("A$".to_owned(), String::new()),
        "EUR" => ("€".to_owned(), String::new()),
        other => (String::new(), format!(" {}", clean(other))),
    };
    let amount = range(money(cost.low), money(cost.high));
    let about = if amount.contains('–') { "" } else { "about " };
    format!("{about}{before}{amount}{after}")
}

pub fn cost_source(source: CostSource) -> &'static str {
    match source {
        CostSource::Said => "as said",
        CostSource::Rates => "from the rates set for this yard",
    }
}

fn money(amount: f64) -> String {
    let pence = (amount * 100.0).round() % 100.0 != 0.0;
    // Only whole amounts up to here are exact in the integer that the separators are put into.
    match (0.0..=f64::from(u32::MAX)).contains(&amount) {
        true if pence => {
            let [whole, part] = [amount.trunc() as u32, ((amount.fract() * 100.0).round() as u32).min(99)];
            format!("{}.{part:02}", thousands(whole))
        }
        true => thousands(amount.round() as u32),
        false => rounded(amount, 2),
    }
}

fn range(low: String, high: String) -> String {
    if low == high { low } else { format!("{low}–{high}") }
}

fn rounded(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// `1 fault`, `3 faults`.
pub fn number_of(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// What a finding is about: its part, or the thing tried or fitted.
pub fn subject(finding: &Finding) -> Option<String> {
    let named = match finding.kind {
        Kind::Fitted | Kind::Check | Kind::Unchecked => finding.item.as_ref().or(finding.part.as_ref()),
        Kind::Fault | Kind::Sound | Kind::Note => finding.part.as_ref().or(finding.item.as_ref()),
    };
    named.map(|named| clean(&named.label)).filter(|label| !label.is_empty())
}

/// Things of which a vehicle has only one at an end, so that naming the end again says nothing.
const ONE_ENDED: &[&str] = &[
    "badge",
    "bonnet",
    "boot",
    "bulkhead",
    "dash",
    "dashboard",
    "engine",
    "gearbox",
    "grille",
    "headlamp",
    "headlight",
    "hood",
    "liftgate",
    "radiator",
    "steering",
    "tailgate",
    "taillamp",
    "taillight",
    "tail",
    "tow",
    "trunk",
    "windscreen",
    "windshield",
];

/// Things that reach across the vehicle: one has something on its left, there is no left one.
const UNDIVIDED: &[&str] = &[
    "bonnet",
    "boot",
    "bulkhead",
    "bumper",
    "dash",
    "dashboard",
    "engine",
    "floor",
    "gearbox",
    "grille",
    "headlining",
    "hood",
    "interior",
    "liftgate",
    "lining",
    "radiator",
    "roof",
    "screen",
    "steering",
    "tailgate",
    "trunk",
    "underbody",
    "underside",
    "windscreen",
    "windshield",
];

/// Words by which a speaker names a side.
const SIDED: &[&str] =
    &["driver", "kerbside", "curbside", "left", "near", "nearside", "off", "offside", "passenger", "right"];

/// The words of a label, in lower case and in the singular, as the lists above hold them.
fn pieces(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric())
        .map(|word| word.strip_suffix('s').filter(|short| short.len() > 2 && !short.ends_with('s')).unwrap_or(word))
        .filter(|word| !word.is_empty())
}

/// Where a finding is, in plain words: "left rear door, just below the handle". Empty where nothing was said of it.
pub fn whereabouts(finding: &Finding) -> String {
    let label = subject(finding).unwrap_or_default();
    let place = finding.place.as_deref().map(clean).filter(|place| !place.is_empty());
    let named = label.to_lowercase();
    let parts: Vec<&str> = pieces(&named).collect();
    let has = |words: &[&str]| parts.iter().any(|part| words.contains(part));
    // Where the speaker's own words on the place name a side, ours beside them would only repeat it.
    let own_side =
        place.as_deref().is_some_and(|place| pieces(&place.to_lowercase()).any(|piece| SIDED.contains(&piece)));

    let undivided = parts.last().is_some_and(|last| UNDIVIDED.contains(last));
    let mut out = String::new();
    let mut tail = Vec::new();
    match finding.side {
        // "Driver's seat" has its side in its name.
        Some(hand @ (Side::Left | Side::Right)) if !has(&[side(hand), "driver", "passenger"]) => {
            if undivided && own_side {
                // Left to the place.
            } else if undivided {
                tail.push(format!("on the {}", side(hand)));
            } else {
                out.push_str(side(hand));
            }
        }
        Some(Side::Both) if !has(&["both"]) => tail.push("both sides".to_owned()),
        Some(Side::Centre) if place.is_none() && !label.is_empty() && !has(&["centre", "center", "middle"]) => {
            tail.push("in the middle".to_owned());
        }
        _ => {}
    }
    if let Some(place_end) = finding.end
        && !has(&["front", "rear", "back"])
        && !has(ONE_ENDED)
    {
        push_word(&mut out, end(place_end));
    }
    if label.is_empty() {
        if place.is_some() && !matches!(finding.side, Some(Side::Left | Side::Right)) {
            out.clear();
        } else if !out.is_empty() {
            out.push_str(match finding.side {
                Some(Side::Left | Side::Right) if finding.end.is_none() => " side",
                Some(Side::Left | Side::Right) => " of the vehicle",
                _ => " end",
            });
        }
    } else {
        push_word(&mut out, &label);
    }
    for piece in tail.into_iter().chain(place) {
        if !out.is_empty() {
            out.push_str(", ");
        }
        out.push_str(&piece);
    }
    out
}

fn push_word(out: &mut String, word: &str) {
    if !out.is_empty() {
        out.push(' ');
    }
    out.push_str(word);
}

/// The defect's plain name, or what a failed trial is called.
pub fn fault(finding: &Finding) -> String {
    match (&finding.defect, finding.result) {
        (Some(defect), _) => clean(&defect.label),
        (None, Some(outcome)) => result(outcome).to_owned(),
        (None, None) => "fault".to_owned(),
    }
}

/// The defect's plain name with the speaker's doubt. Doubt never stands beside a fault that bears on safe use.
pub fn doubted_fault(finding: &Finding) -> String {
    match certainty(finding.certainty) {
        Some(doubt) if !finding.safety => format!("{} ({doubt})", fault(finding)),
        _ => fault(finding),
    }
}

/// How a report calls its vehicle: "2019 Brockmoor Packhorse".
pub fn vehicle(vehicle: &Vehicle) -> String {
    let year = vehicle.year.map(|year| year.to_string());
    let pieces: Vec<String> = [year.as_deref(), vehicle.make.as_deref(), vehicle.model.as_deref()]
        .into_iter()
        .flatten()
        .map(clean)
        .filter(|piece| !piece.is_empty())
        .collect();
    if pieces.is_empty() { "Vehicle not named".to_owned() } else { pieces.join(" ") }
}

/// Whether a person has been through the report, said plainly.
pub fn status(report: &Report) -> String {
    let total = report.findings.len();
    let unread = report.findings.iter().filter(|finding| finding.state == State::Draft).count();
    if unread == total && report.history.is_empty() {
        "Draft: not yet checked by a person.".to_owned()
    } else if unread > 0 {
        format!("Draft: {unread} of {total} entries not yet checked by a person.")
    } else {
        "Every entry has been checked by a person.".to_owned()
    }
}

/// "12 faults: 3 bear on safety, 1 serious, 2 plain to see". A fault that bears on safety is counted as that alone.
pub fn fault_count(faults: &[&Finding]) -> String {
    let mut out = match faults.len() {
        0 => return "No faults named".to_owned(),
        n => number_of(n, "fault", "faults"),
    };
    let safety = faults.iter().filter(|finding| finding.safety).count();
    let mut pieces = Vec::new();
    if safety > 0 {
        pieces.push(format!("{safety} {} on safety", if safety == 1 { "bears" } else { "bear" }));
    }
    for grade in [Severity::Heavy, Severity::Moderate, Severity::Light, Severity::Trace] {
        let n = faults.iter().filter(|finding| !finding.safety && finding.severity == Some(grade)).count();
        if n > 0 {
            pieces.push(format!("{n} {}", severity(grade)));
        }
    }
    let ungraded = faults.iter().filter(|finding| !finding.safety && finding.severity.is_none()).count();
    if ungraded > 0 && !pieces.is_empty() {
        pieces.push(format!("{ungraded} not graded"));
    }
    if !pieces.is_empty() {
        out.push_str(": ");
        out.push_str(&pieces.join(", "));
    }
    out
}

/// The text with a capital at its start.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// Text from outside, fit to print: control characters and those that turn the direction of everything after them
/// become spaces, and white space is folded. They are never spoken, and could hide or rearrange what a reader sees.
pub fn clean(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.split(|c: char| c.is_whitespace() || c.is_control() || turns(c))
        .filter(|piece| !piece.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Where a person's review of a finding stands.
pub fn state(state: State) -> &'static str {
    match state {
        State::Draft => "draft",
        State::Kept => "kept",
        State::Changed => "changed",
        State::Struck => "struck out",
        State::Added => "added",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::Named;

    fn finding(part: &str, side: Option<Side>, end: Option<End>, place: &str) -> Finding {
        let part = (!part.is_empty()).then(|| Named { id: part.into(), label: part.into(), said: part.into() });
        Finding {
            id: "f1".into(),
            kind: Kind::Fault,
            part,
            item: None,
            side,
            end,
            place: (!place.is_empty()).then(|| place.into()),
            defect: None,
            severity: None,
            size_mm: None,
            count: None,
            remedies: Vec::new(),
            cost: None,
            result: None,
            safety: false,
            certainty: Certainty::Stated,
            quote: String::new(),
            at_s: Default::default(),
            until_s: Default::default(),
            words: [0, 0],
            why: Vec::new(),
            state: State::Draft,
        }
    }

    #[test]
    fn places_read_as_a_person_would_say_them() {
        let (left, both, centre) = (Some(Side::Left), Some(Side::Both), Some(Side::Centre));
        let (front, rear) = (Some(End::Front), Some(End::Rear));
        for (part, side, end, place, expected) in [
            ("door", left, rear, "just below the handle", "left rear door, just below the handle"),
            ("front door", left, front, "", "left front door"),
            ("bonnet", None, front, "", "bonnet"),
            ("bonnet", left, front, "", "bonnet, on the left"),
            ("front bumper", left, front, "on the nearside corner", "front bumper, on the nearside corner"),
            ("driver's seat", left, front, "", "front driver's seat"),
            ("roof rail", left, None, "", "left roof rail"),
            ("wheels", both, rear, "", "rear wheels, both sides"),
            ("seat belt", centre, rear, "", "rear seat belt, in the middle"),
            ("centre console", centre, front, "", "front centre console"),
            ("headlights", both, front, "", "headlights, both sides"),
            ("glass", None, None, "", "glass"),
            ("", left, None, "", "left side"),
            ("", left, front, "", "left front of the vehicle"),
            ("", None, rear, "somewhere at the back", "somewhere at the back"),
            ("", None, rear, "", "rear end"),
            ("", centre, None, "", ""),
        ] {
            assert_eq!(whereabouts(&finding(part, side, end, place)), expected);
        }
    }

    #[test]
    fn distances_are_grouped_and_carry_their_unit() {
        let read = |value, unit| odometer(Odometer { value, unit });
        assert_eq!(read(71_400, DistanceUnit::Miles), "71,400 miles");
        assert_eq!(read(1_234_567, DistanceUnit::Kilometres), "1,234,567 km");
        assert_eq!(read(999, DistanceUnit::Miles), "999 miles");
        assert_eq!(read(1, DistanceUnit::Miles), "1 mile");
    }

    #[test]
    fn sizes_and_counts_are_ranges_only_where_they_are_ranges() {
        assert_eq!(size([25.0, 30.0], "uk"), "25–30 mm");
        assert_eq!(size([100.0, 100.0], "uk"), "100 mm");
        assert_eq!(size([1200.0, 1300.0], "eu"), "1.2–1.3 m");
        assert_eq!(size([25.4, 50.8], "us"), "1–2 in (25–51 mm)");
        assert_eq!(size([5.0, 5.0], "us"), "0.2 in (5 mm)");
        assert_eq!(count([2, 2]), "2");
        assert_eq!(count([2, 3]), "2–3");
        assert_eq!(count([3, u32::MAX]), "3 or more");
    }

    #[test]
    fn money_is_written_as_its_readers_write_it() {
        let read =
            |low, high, currency: &str| cost(&Cost { low, high, currency: currency.into(), from: CostSource::Said });
        assert_eq!(read(120.0, 120.0, "GBP"), "about £120");
        assert_eq!(read(100.0, 150.0, "GBP"), "£100–150");
        assert_eq!(read(1200.0, 1500.0, "USD"), "$1,200–1,500");
        assert_eq!(read(12.5, 12.5, "EUR"), "about €12.50");
        assert_eq!(read(80.0, 80.0, "AUD"), "about A$80");
        assert_eq!(read(80.0, 90.0, "NOK"), "80–90 NOK");
    }

    #[test]
    fn text_from_outside_is_made_fit_to_print() {
        assert_eq!(clean(" a\u{1b}[31m\tb\n\u{202e}c "), "a [31m b c");
        assert_eq!(clean("👨‍👩‍👧 خدش"), "👨‍👩‍👧 خدش");
    }
}
