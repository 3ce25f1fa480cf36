//! Each sample recording, drafted from its sound by the program itself, holds the findings that it must hold:
//! `sample-audio/NAME.must` lists them as `kind|part|fault`, one a line; `no kind|part|fault` is one that it must not.

#![cfg(feature = "carried-model")]

use std::path::Path;
use std::process::Command;

use plainsaid::report::{Kind, Report};

fn check(name: &str, market: &str) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-audio");
    let recording = folder.join(name).with_extension("ogg");
    let output = Command::new(env!("CARGO_BIN_EXE_plainsaid"))
        .args(["draft", "--market", market, "--format", "json", "--out", "-", "--quiet"])
        .arg(&recording)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let report: Report = serde_json::from_slice(&output.stdout).unwrap();
    let mut missing = Vec::new();
    let must = std::fs::read_to_string(folder.join(name).with_extension("must")).unwrap();
    let mut wanted = 0;
    for line in must.lines().filter(|l| !l.is_empty() && !l.starts_with('#')) {
        wanted += 1;
        let [kind, part, fault] = line.split('|').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let (kind, never) = kind.strip_prefix("no ").map_or((kind, false), |kind| (kind, true));
        let held = report.findings.iter().any(|f| {
            let is_kind = match kind {
                "fault" => f.kind == Kind::Fault,
                "sound" => f.kind == Kind::Sound,
                "fitted" => f.kind == Kind::Fitted,
                "check" => f.kind == Kind::Check,
                "unchecked" => f.kind == Kind::Unchecked,
                other => panic!("{other}"),
            };
            let names =
                |n: &Option<plainsaid::report::Named>, what: &str| n.as_ref().is_some_and(|n| n.label.contains(what));
            is_kind && (names(&f.part, part) || names(&f.item, part)) && (fault.is_empty() || names(&f.defect, fault))
        });
        if held == never {
            missing.push(line.to_string());
        }
    }
    assert!(wanted >= 6, "{name}: too little is asked");
    assert!(missing.is_empty(), "{name}: not as it must be: {missing:#?}");
}

#[test]
fn the_car_from_its_recording() {
    check("fairholm-linnet", "uk");
}

#[test]
fn the_pickup_from_its_recording() {
    check("tolliver-homestead", "us");
}

#[test]
fn a_recording_without_speech_is_refused_in_one_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("quiet.wav");
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 16_000,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut wav = hound::WavWriter::create(&path, spec).unwrap();
    for i in 0..16_000 * 5 {
        wav.write_sample(((i * 7919) % 5) as i16 - 2).unwrap();
    }
    wav.finalize().unwrap();
    let out = folder.path().join("out");
    let output = Command::new(env!("CARGO_BIN_EXE_plainsaid"))
        .args(["draft", "--quiet", "--out"])
        .args([&out, &path])
        .output()
        .unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(said.contains("quiet.wav") && said.contains("no speech"), "{said}");
    assert!(!out.exists() || std::fs::read_dir(&out).unwrap().next().is_none(), "nothing is written");
}
