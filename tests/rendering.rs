//! What a report looks like in every format, and what no text from outside may do to it.

use plainsaid::narration::{Seconds, Word};
use plainsaid::rendering::{Beside, Format, RenderError, cautions, render, schema, summary};
use plainsaid::report::{Certainty, Finding, Kind, Report, Severity, State};
use proptest::prelude::*;

/// A walk round an invented vehicle, with findings of every kind.
fn heddle() -> Report {
    serde_json::from_str(include_str!("rendering/heddle.json")).expect("the sample is a report")
}

fn write(report: &Report, format: Format) -> String {
    render(report, format, &Beside::default()).expect("renders")
}

fn snapshot(name: &str, text: &str) {
    let text = text.replace(concat!("plainsaid ", env!("CARGO_PKG_VERSION")), "plainsaid VERSION");
    insta::with_settings!({ omit_expression => true }, { insta::assert_snapshot!(name, text) });
}

#[test]
fn page() {
    let beside = Beside { recording: Some("heddle walk-round.mp4".to_owned()) };
    let page = render(&heddle(), Format::Html, &beside).expect("renders");
    // The style sheet is looked at, not compared.
    let (head, rest) = page.split_once("<style>").expect("a style sheet");
    let (_, body) = rest.split_once("</style>").expect("its end");
    snapshot("page", &format!("{head}<style>…</style>{body}"));
}

#[test]
fn markdown() {
    snapshot("markdown", &write(&heddle(), Format::Markdown));
}

#[test]
fn table() {
    snapshot("table", &write(&heddle(), Format::Csv));
}

#[test]
fn captions() {
    snapshot("captions", &write(&heddle(), Format::Vtt));
}

#[test]
fn terminal() {
    snapshot("terminal", &summary(&heddle(), false));
}

#[test]
fn terminal_colours_are_only_colours() {
    let coloured = summary(&heddle(), true);
    assert!(coloured.contains('\u{1b}'));
    let mut plain = String::new();
    let mut rest = coloured.as_str();
    while let Some((before, after)) = rest.split_once("\u{1b}[") {
        plain.push_str(before);
        rest = after.split_once('m').expect("a closed colour code").1;
    }
    plain.push_str(rest);
    assert_eq!(plain, summary(&heddle(), false));
}

#[test]
fn json_comes_back_as_it_went() {
    let report = heddle();
    let back: Report = serde_json::from_str(&write(&report, Format::Json)).expect("reads its own output");
    assert_eq!(back, report);
}

#[test]
fn the_schema_knows_the_documents_fields() {
    let schema: serde_json::Value = serde_json::from_str(&schema()).expect("JSON");
    let report = serde_json::to_value(heddle()).expect("JSON");
    let known = schema["properties"].as_object().expect("properties");
    assert!(report.as_object().expect("an object").keys().all(|key| known.contains_key(key)));
    let finding = schema["$defs"]["Finding"]["properties"].as_object().expect("properties of a finding");
    assert!(report["findings"][0].as_object().expect("an object").keys().all(|key| finding.contains_key(key)));
}

#[test]
fn formats_are_known_by_their_endings() {
    for format in Format::ALL {
        assert_eq!(format.extension().parse(), Ok(format));
    }
    let error = "pdf".parse::<Format>().expect_err("no such format");
    assert_eq!(error.to_string(), "\"pdf\" is not a format; choose from html, json, md, csv and vtt");
}

#[test]
fn cautions_hold_every_fault_that_bears_on_safety_and_failed_trials() {
    let report = heddle();
    let ids: Vec<&str> = cautions(&report).iter().map(|finding| finding.id.as_str()).collect();
    assert_eq!(ids, ["f3", "f5", "f16", "f17"]);
}

#[test]
fn a_caution_is_never_softened() {
    let mut report = heddle();
    report.findings.retain(|finding| finding.id == "f17");
    assert_eq!(report.findings[0].certainty, Certainty::Possible);
    assert_eq!(report.findings[0].severity, Some(Severity::Trace));
    report.findings[0].quote = "play".to_owned();
    for text in [write(&report, Format::Html), write(&report, Format::Markdown), summary(&report, false)] {
        let text = text.split_once("</style>").map_or(text.as_str(), |(_, body)| body).to_lowercase();
        assert!(!text.contains("possibly") && !text.contains("barely seen"), "{text}");
        assert!(text.contains("no roadworthiness inspection"));
    }
}

#[test]
fn an_empty_report_claims_nothing() {
    let mut report = heddle();
    report.findings.clear();
    report.transcript.clear();
    report.vehicle = Default::default();
    let page = write(&report, Format::Html);
    for words in ["Vehicle not named", "No faults named", "does not show that the vehicle is safe", "not spoken of"] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("Said to be good"));
    snapshot("empty", &write(&report, Format::Markdown));
    assert_eq!(write(&report, Format::Csv).lines().count(), 1);
    assert!(!write(&report, Format::Vtt).contains("-->"));
}

#[test]
fn words_without_timecodes_get_none() {
    let mut report = heddle();
    report.recording.timed = false;
    let beside = Beside { recording: Some("heddle.mp4".to_owned()) };
    let page = render(&report, Format::Html, &beside).expect("renders");
    assert!(!page.contains("class=\"clock\"") && !page.contains("<video") && !page.contains("<script"));
    for text in [page, write(&report, Format::Markdown), write(&report, Format::Csv), summary(&report, false)] {
        assert!(!text.contains("0:47"), "{text}");
    }
    assert!(matches!(render(&report, Format::Vtt, &beside), Err(RenderError::Untimed(_))));
}

#[test]
fn what_a_person_struck_out_stays_in_the_json_alone() {
    let mut report = heddle();
    for finding in &mut report.findings {
        finding.state = if finding.kind == Kind::Note { State::Struck } else { State::Kept };
    }
    for format in [Format::Html, Format::Markdown, Format::Csv] {
        assert!(!write(&report, format).contains("ask Dilys"), "{format}");
    }
    assert!(write(&report, Format::Json).contains("ask Dilys"));
    assert!(write(&report, Format::Html).contains("Every entry has been checked by a person."));
}

#[test]
fn a_long_walk_keeps_its_order() {
    let mut report = heddle();
    let faults: Vec<Finding> = report.findings.iter().filter(|it| it.kind == Kind::Fault).cloned().collect();
    report.findings = faults.iter().cycle().take(60).cloned().collect();
    for (at, finding) in report.findings.iter_mut().enumerate() {
        finding.id = format!("g{at}");
        finding.at_s = Seconds((60 - at) as f64 * 70.0);
        finding.quote = format!("{at} {}", "a good deal to say about this one ".repeat(9));
    }
    let page = write(&report, Format::Html);
    assert_eq!(page.matches("<li id=\"fault-").count(), 60);
    assert!(page.find("“59 a good").expect("the earliest") < page.find("“0 a good").expect("the latest"));
    assert!(page.contains("1:10:00"));
}

/// Every text in the report that came from outside becomes `text`.
fn overwritten(text: &str) -> Report {
    fn fill(value: &mut serde_json::Value, text: &str) {
        const OURS: [&str; 14] = [
            "format",
            "market",
            "kind",
            "unit",
            "steering",
            "side",
            "end",
            "severity",
            "from",
            "result",
            "certainty",
            "state",
            "when",
            "id",
        ];
        match value {
            serde_json::Value::Array(items) => items.iter_mut().for_each(|item| fill(item, text)),
            serde_json::Value::Object(fields) => {
                for (name, field) in fields {
                    match field {
                        serde_json::Value::String(own) if !OURS.contains(&name.as_str()) => *own = text.to_owned(),
                        _ => fill(field, text),
                    }
                }
            }
            _ => {}
        }
    }
    let mut value = serde_json::to_value(heddle()).expect("JSON");
    fill(&mut value, text);
    serde_json::from_value(value).expect("still a report")
}

#[test]
fn hostile_text_is_shown_as_text() {
    let text = "</script></style><img src=x onerror=alert(1)> {{ 191*7 }} {% if %} \" ' & --> \u{1b}[31m \u{202e}";
    let report = overwritten(text);
    let beside = Beside { recording: Some(text.to_owned()) };
    let page = render(&report, Format::Html, &beside).expect("renders");
    assert!(!page.contains("<img") && !page.contains("1337") && !page.contains('\u{202e}'));
    assert_eq!(page.matches("</script>").count(), 1);
    assert_eq!(page.matches("</style>").count(), 1);
    assert!(page.contains("{{ 191*7 }} {% if %}"));
    assert!(page.contains("src=\".&#x2f;%3C&#x2f;script%3E"));

    let markdown = write(&report, Format::Markdown);
    assert!(!markdown.contains('<') && !markdown.contains("-->"));

    let captions = write(&report, Format::Vtt);
    assert!(!captions.contains('<'));
    let headers = captions.lines().filter(|line| line.contains("-->"));
    assert!(headers.into_iter().all(|line| line.len() == "00:00:00.000 --> 00:00:00.000".len()));

    let terminal = summary(&report, false);
    assert!(!terminal.contains(['\u{1b}', '\u{202e}']));
}

#[test]
fn no_cell_is_taken_for_a_formula() {
    for start in ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1"] {
        let table = write(&overwritten(start), Format::Csv);
        for record in csv::Reader::from_reader(table.as_bytes()).records() {
            for cell in &record.expect("a row") {
                assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r', '＝']), "{cell:?}");
            }
        }
    }
}

#[test]
fn right_to_left_words_and_pictures_keep_their_place() {
    let page = write(&overwritten("خدش على الباب 🚗"), Format::Html);
    assert!(page.contains("<p class=\"quote\" dir=\"auto\">“خدش على الباب 🚗”</p>"));
}

#[test]
fn nothing_is_fetched_from_elsewhere() {
    let page = write(&heddle(), Format::Html);
    for outward in ["http:", "https:", "url(", "@import", "<link", " style=", " onclick="] {
        assert!(!page.contains(outward), "{outward}");
    }
}

proptest! {
    #[test]
    fn captions_can_be_read_whatever_was_heard(
        words in prop::collection::vec(("\\PC{0,12}", -1.0..400.0f64, -0.5..3.0f64, any::<bool>()), 0..80)
    ) {
        let mut report = heddle();
        report.transcript = words
            .into_iter()
            .map(|(text, start, length, opens_line)| Word {
                text,
                start: Seconds(start),
                end: Seconds(start + length),
                confidence: 0.9,
                opens_line,
            })
            .collect();
        let captions = write(&report, Format::Vtt);
        let mut before = String::new();
        for cue in captions.split("\n\n").skip(2) {
            let (header, text) = cue.split_once('\n').expect("a header and a text");
            let (start, end) = header.split_once(" --> ").expect("two times");
            prop_assert!(before.as_str() <= start && start < end, "{header}");
            prop_assert!(!text.contains("-->") && !text.contains('<'));
            prop_assert!(text.trim_end().lines().count() <= 2);
            before = start.to_owned();
        }
    }

    #[test]
    fn every_report_renders(text in "\\PC{0,40}") {
        let report = overwritten(&text);
        let beside = Beside { recording: Some(text) };
        for format in Format::ALL {
            let rendered = render(&report, format, &beside);
            prop_assert!(rendered.is_ok());
        }
    }
}
