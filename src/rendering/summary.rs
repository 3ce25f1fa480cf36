//! A report in a few lines, for the terminal.

use anstyle::{AnsiColor, Style};

use super::{is_caution, walk, words};
use crate::report::{Finding, Kind, Report};

/// The vehicle, how much was found, what bears on safety, then each fault in a line.
pub fn summary(report: &Report, colour: bool) -> String {
    let ink = |style: Style| if colour { style } else { Style::new() };
    let bold = ink(Style::new().bold());
    let alarm = ink(AnsiColor::Red.on_default().bold());
    let faint = ink(Style::new().dimmed());

    let findings = walk(report);
    let of = |kind: Kind| findings.iter().copied().filter(|finding| finding.kind == kind).collect::<Vec<_>>();
    let faults = of(Kind::Fault);
    let cautions: Vec<&Finding> = findings.iter().copied().filter(|finding| is_caution(finding)).collect();
    let clock_width = if report.recording.timed {
        findings.iter().map(|finding| finding.at_s.clock().len()).max().unwrap_or(0)
    } else {
        0
    };
    let clock = |finding: &Finding| match clock_width {
        0 => String::new(),
        width => format!("{faint}{:>width$}{faint:#}  ", finding.at_s.clock()),
    };

    let mut out = format!("{bold}{}{bold:#}", words::vehicle(&report.vehicle));
    if let Some(odometer) = report.vehicle.odometer {
        out.push_str(&format!(", {}", words::odometer(odometer)));
    }
    out.push('\n');
    let mut counts = vec![words::fault_count(&faults)];
    for (kind, plain) in [
        (Kind::Sound, "said to be good"),
        (Kind::Fitted, "fitted"),
        (Kind::Check, "tried"),
        (Kind::Unchecked, "not looked at"),
    ] {
        match of(kind).len() {
            0 => {}
            n => counts.push(format!("{n} {plain}")),
        }
    }
    out.push_str(&format!("{}.\n{}\n", counts.join("; "), words::status(report)));

    let line = |finding: &Finding, strong: Style| {
        let grade = words::severity_shown(finding).map(|grade| format!(" ({})", words::severity(grade)));
        let grade = grade.unwrap_or_default();
        format!("  {}{strong}{}{strong:#}{faint}{grade}{faint:#}\n", clock(finding), headline(finding))
    };
    if !cautions.is_empty() {
        out.push_str(&format!("\n{alarm}Safety first{alarm:#}\n"));
        out.extend(cautions.iter().map(|caution| line(caution, bold)));
    }
    let rest: Vec<&Finding> = faults.iter().copied().filter(|finding| !is_caution(finding)).collect();
    if !rest.is_empty() {
        out.push_str(&format!("\n{bold}{}{bold:#}\n", if cautions.is_empty() { "Faults" } else { "Other faults" }));
        out.extend(rest.iter().map(|fault| line(fault, Style::new())));
    }
    if !report.unclear.is_empty() {
        let clocks: Vec<String> = report.unclear.iter().map(|stretch| stretch.start.clock()).collect();
        out.push_str(&format!("\nUnclear, listen at {}.\n", clocks.join(", ")));
    }
    out.push_str(&format!("\n{}\n", words::NO_INSPECTION));
    out
}

fn headline(finding: &Finding) -> String {
    match words::whereabouts(finding) {
        place if place.is_empty() => words::doubted_fault(finding),
        place => format!("{place}: {}", words::doubted_fault(finding)),
    }
}
