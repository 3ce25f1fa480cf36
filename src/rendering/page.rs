//! The report as a page to read, play and print, and as Markdown: what the templates are given, and how they escape.

use minijinja::syntax::SyntaxConfig;
use minijinja::value::Value;
use minijinja::{AutoEscape, Environment, UndefinedBehavior, context, escape_formatter};

use super::{Beside, RenderError, is_caution, walk, words};
use crate::narration::{Origin, Seconds};
use crate::report::{CheckResult, Finding, Kind, Mended, Remedy, Report, Severity};

/// The templates that the program carries.
const TEMPLATES: [(&str, &str); 4] = [
    ("report.html", include_str!("../../templates/report.html")),
    ("report.css", include_str!("../../templates/report.css")),
    ("report.js", include_str!("../../templates/report.js")),
    ("report.md", include_str!("../../templates/report.md")),
];

const MARKDOWN: &str = "markdown";

pub(super) fn html(report: &Report, beside: &Beside) -> Result<String, RenderError> {
    Ok(environment()?.get_template("report.html")?.render(view(report, beside))? + "\n")
}

pub(super) fn markdown(report: &Report) -> Result<String, RenderError> {
    Ok(environment()?.get_template("report.md")?.render(view(report, &Beside::default()))? + "\n")
}

fn environment() -> Result<Environment<'static>, RenderError> {
    let mut environment = Environment::new();
    environment.set_syntax(SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build()?);
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_auto_escape_callback(|name| match name.rsplit('.').next() {
        Some("html") => AutoEscape::Html,
        Some("md") => AutoEscape::Custom(MARKDOWN.into()),
        _ => AutoEscape::None,
    });
    environment.set_formatter(|out, state, value| match state.auto_escape() {
        // What a macro gave back was escaped when it was written.
        AutoEscape::Custom(_) if value.is_safe() => Ok(out.write_str(value.as_str().unwrap_or_default())?),
        AutoEscape::Custom(_) => Ok(out.write_str(&escape_markdown(&value.to_string()))?),
        _ => escape_formatter(out, state, value),
    });
    for (name, source) in TEMPLATES {
        environment.add_template(name, source)?;
    }
    Ok(environment)
}

/// Everything that a template may print, as plain text and numbers.
fn view(report: &Report, beside: &Beside) -> Value {
    let timed = report.recording.timed;
    let recording = &report.recording;
    let player = beside.recording.as_deref().filter(|_| timed).map(|name| {
        context! { source => beside_path(name), name => words::clean(name), video => recording.kind == Origin::Video }
    });

    let findings = walk(report);
    let of = |kind: Kind| findings.iter().copied().filter(|finding| finding.kind == kind).collect::<Vec<_>>();
    let faults = of(Kind::Fault);
    let numbered = |kind: Kind| (1..).zip(of(kind));
    let entries =
        |kind: Kind| -> Value { numbered(kind).map(|(number, finding)| entry(report, finding, number)).collect() };
    let grades: Value = [Severity::Trace, Severity::Light, Severity::Moderate, Severity::Heavy]
        .into_iter()
        .filter(|&grade| faults.iter().any(|fault| words::severity_shown(fault) == Some(grade)))
        .map(|grade| {
            context! {
                name => words::sentence(words::severity(grade)),
                class => grade_class(grade),
                meaning => words::severity_meaning(grade),
            }
        })
        .collect();
    let sided = findings.iter().any(|finding| finding.side.is_some());

    context! {
        language => if report.market == "us" { "en-US" } else { "en-GB" },
        title => words::vehicle(&report.vehicle),
        status => words::status(report),
        heard => recording.model.is_some(),
        facts => facts(report),
        cautions => cautions(report, &findings),
        no_inspection => words::NO_INSPECTION,
        no_cautions => words::NO_CAUTIONS,
        sides => sided.then_some(words::SIDES),
        player,
        fault_count => words::fault_count(&faults),
        grades,
        faults => entries(Kind::Fault),
        failed => numbered(Kind::Check)
            .filter(|(_, check)| check.result == Some(CheckResult::Fault))
            .map(|(number, check)| entry(report, check, number))
            .collect::<Value>(),
        sound => entries(Kind::Sound),
        fitted => entries(Kind::Fitted),
        tried => entries(Kind::Check),
        unchecked => entries(Kind::Unchecked),
        notes => entries(Kind::Note),
        not_named => words::NOT_NAMED,
        unclear => report.unclear.iter().map(|stretch| place(stretch.start)).collect::<Value>(),
        mended => report.mended.iter().filter_map(|m| mended(report, m)).collect::<Value>(),
        recording => context! {
            name => words::clean(&recording.name),
            kind => match recording.kind {
                Origin::Video => "Film",
                Origin::Audio => "Sound recording",
                Origin::Typed => "Typed narration",
            },
            length => recording.duration_s.filter(|_| timed).map(Seconds::clock),
            sha256 => words::clean(&recording.sha256),
            model => recording.model.as_deref().map(words::clean),
            timed,
        },
        version => env!("CARGO_PKG_VERSION"),
    }
}

/// One finding in words. `number` counts within its kind and names it inside the page.
fn entry(report: &Report, finding: &Finding, number: usize) -> Value {
    let heading = words::sentence(&words::whereabouts(finding));
    let grade = words::severity_shown(finding);
    let remedies = |proposed: bool| {
        let chosen = |remedy: &&Remedy| remedy.proposed == proposed;
        let labels: Vec<String> = finding.remedies.iter().filter(chosen).map(|r| words::clean(&r.label)).collect();
        (!labels.is_empty()).then(|| labels.join(", "))
    };
    context! {
        number,
        anchor => format!("{}-{number}", anchor(finding.kind)),
        heading,
        fault => words::fault(finding),
        what => words::sentence(&words::doubted_fault(finding)),
        // A caution is never softened: doubt is told apart from it, below the quote.
        unsure => finding.safety && words::certainty(finding.certainty).is_some(),
        safety => finding.safety,
        severity => grade.map(|grade| words::sentence(words::severity(grade))),
        class => grade.map_or(if finding.safety { "caution" } else { "ungraded" }, grade_class),
        size => finding.size_mm.map(|size| words::size(size, &report.market)),
        count => finding.count.filter(|&count| count != [1, 1]).map(words::count),
        remedies_said => remedies(false),
        remedies_proposed => remedies(true),
        cost => finding.cost.as_ref().map(words::cost),
        cost_source => finding.cost.as_ref().map(|cost| words::cost_source(cost.from)),
        result => outcome(finding),
        at_fault => finding.result == Some(CheckResult::Fault),
        quote => words::clean(&finding.quote),
        clock => report.recording.timed.then(|| finding.at_s.clock()),
        // Whole seconds, as the clock shows them, so that playing starts before the words.
        start => finding.at_s.0.max(0.0).floor() as u64,
    }
}

/// A moment to listen to.
fn place(at: Seconds) -> Value {
    context! { clock => at.clock(), start => at.0.max(0.0).floor() as u64 }
}

fn mended(report: &Report, mended: &Mended) -> Option<Value> {
    let words = report.transcript.get(mended.first..mended.first.checked_add(mended.count)?)?;
    let taken = words.iter().map(|w| words::clean(&w.text)).collect::<Vec<_>>().join(" ");
    let at = words.first()?.start;
    Some(context! { taken, heard => words::clean(&mended.heard), ..place(at) })
}

fn cautions(report: &Report, findings: &[&Finding]) -> Value {
    let number = |caution: &Finding| {
        findings.iter().filter(|other| other.kind == caution.kind).position(|other| other.id == caution.id)
    };
    findings
        .iter()
        .filter(|finding| is_caution(finding))
        .map(|finding| entry(report, finding, number(finding).unwrap_or_default() + 1))
        .collect()
}

fn outcome(finding: &Finding) -> Option<String> {
    let result = finding.result?;
    let plain = words::result(result);
    match &finding.defect {
        Some(defect) if result == CheckResult::Fault => Some(format!("{plain}: {}", words::clean(&defect.label))),
        _ => Some(plain.to_owned()),
    }
}

/// What was said of the vehicle, as names and values; what was not said has no row.
fn facts(report: &Report) -> Value {
    let vehicle = &report.vehicle;
    let colour = if report.market == "us" { "Color" } else { "Colour" };
    let vin = vehicle.vin.as_deref().map(|vin| match vehicle.vin_check {
        Some(false) => format!("{vin} (its check digit does not fit: compare it with the plate)"),
        _ => vin.to_owned(),
    });
    [
        ("Make", vehicle.make.clone()),
        ("Model", vehicle.model.clone()),
        ("Year", vehicle.year.map(|year| year.to_string())),
        ("Registration", vehicle.registration.clone()),
        ("VIN", vin),
        ("Odometer", vehicle.odometer.map(words::odometer)),
        ("Fuel", vehicle.fuel.as_deref().map(words::sentence)),
        ("Gearbox", vehicle.gearbox.as_deref().map(words::sentence)),
        (colour, vehicle.colour.as_deref().map(words::sentence)),
        ("Steering wheel", Some(format!("On the {}", words::hand(vehicle.steering)))),
    ]
    .into_iter()
    .filter_map(|(name, value)| Some((name, words::clean(&value?))))
    .filter(|(_, value)| !value.is_empty())
    .map(|(name, value)| context! { name, value })
    .collect()
}

fn anchor(kind: Kind) -> &'static str {
    match kind {
        Kind::Fault => "fault",
        Kind::Sound => "good",
        Kind::Fitted => "fitted",
        Kind::Check => "tried",
        Kind::Unchecked => "not-looked-at",
        Kind::Note => "note",
    }
}

fn grade_class(severity: Severity) -> &'static str {
    match severity {
        Severity::Trace => "trace",
        Severity::Light => "light",
        Severity::Moderate => "moderate",
        Severity::Heavy => "heavy",
    }
}

/// A file beside the page as a relative URL. The leading `./` and the escaping keep any name a file's name: no scheme,
/// no other host.
fn beside_path(name: &str) -> String {
    let mut url = String::from("./");
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' | b'/' => url.push(char::from(byte)),
            _ => url.push_str(&format!("%{byte:02X}")),
        }
    }
    url
}

/// Text that Markdown shows as it stands. Characters that mean something only at the start of a line are left alone:
/// the template never puts text there.
fn escape_markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '~' | '#' | '$' | '!' => out.extend(['\\', c]),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_recordings_name_stays_a_file_beside_the_page() {
        assert_eq!(beside_path("walk round.mp4"), "./walk%20round.mp4");
        assert_eq!(beside_path("javascript:alert(1)"), "./javascript%3Aalert%281%29");
        assert_eq!(beside_path("//host.invalid/a?b#c"), ".///host.invalid/a%3Fb%23c");
    }
}
