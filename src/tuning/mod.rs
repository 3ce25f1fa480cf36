//! Helps a trader to tune the words: what past drafts show to be missing, and what their corrections teach.
//!
//! Nothing here changes how a narration is read; it reads past drafts again with other words and tells what would
//! become of them.

pub mod gaps;
pub mod history;
pub mod learn;

use std::fmt::Write;

use crate::report::{Finding, Named};

/// A finding in one line: `fault: dent on door (left, rear), light`.
pub fn line(finding: &Finding) -> String {
    let lower = |value: &dyn std::fmt::Debug| format!("{value:?}").to_lowercase();
    let mut text = format!("{}: ", lower(&finding.kind));
    let label = |named: &Option<Named>| named.as_ref().map(|n| n.label.clone());
    let things = [label(&finding.defect), label(&finding.item), label(&finding.part)];
    let things: Vec<String> = things.into_iter().flatten().collect();
    text.push_str(&things.join(" on "));
    let place = [finding.side.map(|s| lower(&s)), finding.end.map(|e| lower(&e))];
    let place: Vec<String> = place.into_iter().flatten().collect();
    if !place.is_empty() {
        let _ = write!(text, " ({})", place.join(", "));
    }
    if let Some(severity) = finding.severity {
        let _ = write!(text, ", {}", lower(&severity));
    }
    if let Some(result) = finding.result {
        let _ = write!(text, ", {}", lower(&result));
    }
    if let Some([low, high]) = finding.count {
        let _ = if low == high { write!(text, ", {low} of them") } else { write!(text, ", {low} to {high} of them") };
    }
    if let Some(cost) = &finding.cost {
        let _ = write!(text, ", {} to {} {}", cost.low, cost.high, cost.currency);
    }
    if finding.safety {
        text.push_str(", bears on safety");
    }
    text
}
