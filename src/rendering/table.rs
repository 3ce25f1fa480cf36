//! The report as a table for a spreadsheet: one row for each finding that stands.

use super::{RenderError, walk, words};
use crate::narration::Seconds;
use crate::report::{CostSource, Named, Remedy, Report};

const HEADINGS: [&str; 28] = [
    "number",
    "kind",
    "moment (h:mm:ss)",
    "from (s)",
    "until (s)",
    "part",
    "item",
    "side (from the driver's seat)",
    "end",
    "place",
    "fault",
    "severity",
    "size from (mm)",
    "size to (mm)",
    "count from",
    "count to",
    "certainty",
    "result",
    "bears on safety",
    "remedies said",
    "remedies proposed",
    "cost from",
    "cost to",
    "currency",
    "source of cost",
    "quote",
    "state",
    "id",
];

pub(super) fn csv(report: &Report) -> Result<String, RenderError> {
    let timed = report.recording.timed;
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(HEADINGS)?;
    for (at, finding) in walk(report).into_iter().enumerate() {
        let seconds = |moment: Seconds| if timed { format!("{:.1}", moment.0) } else { String::new() };
        let [size_low, size_high] = finding.size_mm.map_or_else(Default::default, |ends| ends.map(|mm| mm.to_string()));
        let [low, high] = finding.count.map_or_else(Default::default, |ends| ends.map(|n| n.to_string()));
        let cost = finding.cost.as_ref();
        table.write_record([
            (at + 1).to_string(),
            words::kind(finding.kind).to_owned(),
            if timed { clock(finding.at_s) } else { String::new() },
            seconds(finding.at_s),
            seconds(finding.until_s),
            named(finding.part.as_ref()),
            named(finding.item.as_ref()),
            finding.side.map(words::side).unwrap_or_default().to_owned(),
            finding.end.map(words::end).unwrap_or_default().to_owned(),
            cell(finding.place.as_deref().unwrap_or_default()),
            named(finding.defect.as_ref()),
            finding.severity.map(words::severity).unwrap_or_default().to_owned(),
            size_low,
            size_high,
            low,
            high,
            words::certainty(finding.certainty).unwrap_or("stated").to_owned(),
            finding.result.map(words::result).unwrap_or_default().to_owned(),
            if finding.safety { "yes" } else { "no" }.to_owned(),
            remedies(&finding.remedies, false),
            remedies(&finding.remedies, true),
            cost.map(|cost| cost.low.to_string()).unwrap_or_default(),
            cost.map(|cost| cost.high.to_string()).unwrap_or_default(),
            cost.map(|cost| cell(&cost.currency)).unwrap_or_default(),
            cost.map(|cost| match cost.from {
                CostSource::Said => "said",
                CostSource::Rates => "rates",
            })
            .unwrap_or_default()
            .to_owned(),
            cell(&finding.quote),
            words::state(finding.state).to_owned(),
            cell(&finding.id),
        ])?;
    }
    let bytes = table.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    // Every cell was a `String`, so that nothing is lost here.
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// Always with hours: a spreadsheet takes `1:12` for an hour and twelve minutes.
fn clock(moment: Seconds) -> String {
    let clock = moment.clock();
    match clock.split(':').count() {
        2 => format!("0:{clock:0>5}"),
        _ => clock,
    }
}

fn named(named: Option<&Named>) -> String {
    named.map(|named| cell(&named.label)).unwrap_or_default()
}

fn remedies(remedies: &[Remedy], proposed: bool) -> String {
    let labels: Vec<&str> =
        remedies.iter().filter(|remedy| remedy.proposed == proposed).map(|remedy| remedy.label.as_str()).collect();
    cell(&labels.join("; "))
}

/// Text as a spreadsheet must show it: what it would take for a formula is given the apostrophe that marks text.
fn cell(text: &str) -> String {
    let formula = ['=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];
    let clean = words::clean(text);
    if text.starts_with(formula) || clean.starts_with(formula) { format!("'{clean}") } else { clean }
}
