//! What the program answers to what it cannot use: one sentence that names the file, an exit code, and nothing left
//! behind.

use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

const GOOD: &str = "[0:00] here's the van\n[0:05] there's a dent in the nearside front door\n";

/// A folder of its own with one good narration, and the program run in it.
struct Desk(TempDir);

impl Desk {
    fn new() -> Self {
        let desk = Desk(tempfile::tempdir().expect("no folder for temporary files"));
        desk.put("good.txt", GOOD);
        desk
    }

    fn put(&self, name: &str, bytes: impl AsRef<[u8]>) {
        fs::write(self.0.path().join(name), bytes).expect("the test's own file");
    }

    fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_plainsaid"));
        command.args(args).current_dir(self.0.path()).stdin(Stdio::null());
        command
    }

    fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().expect("the program itself")
    }

    /// Names in the folder, in order.
    fn files(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.0.path())
            .expect("the test's own folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// Runs the program, which must refuse: with this exit code, one line that holds each of these, and no new file.
    #[track_caller]
    fn refuses(&self, args: &[&str], code: i32, says: &[&str]) {
        let before = self.files();
        let output = self.run(args);
        check_refusal(&output, code, says);
        assert_eq!(String::from_utf8_lossy(&output.stdout), "");
        assert_eq!(self.files(), before, "something was left behind");
    }
}

#[track_caller]
fn check_refusal(output: &Output, code: i32, says: &[&str]) {
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{said}");
    assert!(said.starts_with("plainsaid: ") && said.ends_with('\n') && said.lines().count() == 1, "{said:?}");
    assert!(!said.contains("panicked") && !said.contains("os error"), "{said}");
    for part in says {
        assert!(said.contains(part), "{said:?} does not say {part:?}");
    }
}

#[test]
fn files_that_hold_no_narration() {
    let desk = Desk::new();
    desk.put("empty.txt", "");
    desk.put("blank.txt", " \n\n");
    desk.put("picture.wav", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\x02\0\0\0");
    desk.put("latin.txt", b"[0:00] the fa\xe7ade is scraped\n");
    desk.put("data.txt", [7, 0, 1, 2, 0, 200]);
    desk.put("wrong.txt", "[0:10] the bonnet\n[1:75] the door\n");
    desk.put("back.txt", "[0:10] the bonnet\n[0:05] the door\n");
    desk.put("other.json", r#"{"colour": "red"}"#);
    desk.put("cut.json", r#"{"words": [{"text": "de"#);
    fs::create_dir(desk.0.path().join("folder")).expect("the test's own folder");
    for (name, says) in [
        ("empty.txt", "is empty"),
        ("blank.txt", "holds no words"),
        ("picture.wav", "is a picture"),
        ("latin.txt", "line 1: is not UTF-8 text"),
        ("data.txt", "is neither a recording"),
        ("wrong.txt", "line 2: [1:75]"),
        ("back.txt", "line 2: [0:05] goes back"),
        ("other.json", "neither a transcript"),
        ("cut.json", "cut off"),
        ("folder", "is a folder"),
        ("missing.txt", "no such file"),
        ("good.txt/walk.txt", "no such file"),
    ] {
        desk.refuses(&["draft", name], 2, &[name, says]);
        desk.refuses(&["draft", name, "--format", "json", "--out", "-"], 2, &[name, says]);
    }
}

#[test]
#[cfg(not(feature = "hearing"))]
fn a_recording_where_nothing_can_hear_it() {
    let desk = Desk::new();
    desk.put("walk.wav", b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0");
    desk.refuses(&["draft", "walk.wav"], 1, &["walk.wav", "built without hearing"]);
}

#[test]
fn utf_16_is_read() {
    let desk = Desk::new();
    let text: Vec<u8> = [0xfeff].into_iter().chain(GOOD.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    desk.put("wide.txt", text);
    let output = desk.run(&["draft", "wide.txt"]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(desk.files(), ["good.txt", "wide.html", "wide.json", "wide.txt"]);
}

#[test]
fn a_command_line_that_is_none() {
    let desk = Desk::new();
    desk.refuses(&["draft", "good.txt", "--format", "docx"], 2, &["docx", "html, json, md, csv, vtt"]);
    desk.refuses(&["draft", "good.txt", "--market", "mars"], 2, &["mars", "uk, us, au, eu"]);
    desk.refuses(&["draft", "good.txt", "--steering", "middle"], 2, &["middle", "left, right"]);
    desk.refuses(&["draft", "good.txt", "--bogus"], 2, &["--bogus"]);
    desk.refuses(&["draft"], 2, &["INPUT"]);
    desk.refuses(&["sketch"], 2, &["sketch"]);
    desk.refuses(&["draft", "good.txt", "--out", "-"], 2, &["--out -", "one --format"]);
    desk.refuses(&["draft", "good.txt", "good.txt", "--format", "json", "--out", "-"], 2, &["--out -", "one input"]);
}

#[test]
fn captions_of_notes_without_times() {
    let desk = Desk::new();
    desk.put("untimed.txt", "a dent in the door");
    desk.refuses(&["draft", "untimed.txt", "--format", "html,vtt"], 2, &["untimed.txt", "no timecodes"]);
}

#[test]
fn a_folder_that_cannot_be_written_to() {
    let desk = Desk::new();
    desk.put("taken", "a file");
    // One sentence is enough, however many inputs there are.
    desk.refuses(&["draft", "good.txt", "good.txt", "--out", "taken"], 1, &["taken", "is a file", "--out"]);
    desk.refuses(&["draft", "good.txt", "--out", "taken/out"], 1, &["taken", "is a file", "--out"]);
}

#[test]
fn a_folder_in_an_outputs_place() {
    let desk = Desk::new();
    fs::create_dir(desk.0.path().join("good.json")).expect("the test's own folder");
    desk.refuses(&["draft", "good.txt"], 1, &["good.json", "a folder of that name"]);
}

#[test]
fn corrections_are_not_drafted_over() {
    let desk = Desk::new();
    desk.put("good.json", r#"{"history": [{"who": "Ines Marl"}]}"#);
    desk.refuses(&["draft", "good.txt"], 1, &["good.json", "corrections"]);
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_behind_standard_output() {
    let desk = Desk::new();
    let full = File::options().write(true).open("/dev/full").expect("/dev/full");
    let output = desk.command(&["draft", "good.txt", "--format", "json", "--out", "-"]).stdout(full).output().unwrap();
    check_refusal(&output, 1, &["standard output", "disk is full"]);
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_behind_the_folder() {
    let desk = Desk::new();
    let disk = desk.0.path().join("disk");
    fs::create_dir(&disk).expect("the test's own folder");
    let Some(mounted) = Mounted::tmpfs(&disk) else {
        println!("skipped: no small disk may be mounted here");
        return;
    };
    fs::write(disk.join("good.html"), "the page of last week").expect("the disk has room for that");
    // What fits is taken by a file, up to the last page.
    let mut fill = File::create(disk.join("fill")).expect("the disk has room for that");
    let _ = std::io::copy(&mut std::io::Read::take(std::io::repeat(0), 1 << 20), &mut fill);
    drop(fill);
    let output = desk.run(&["draft", "good.txt", "--out", "disk"]);
    check_refusal(&output, 1, &["disk", "disk is full"]);
    let mut left: Vec<_> = fs::read_dir(&disk).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    left.sort();
    assert_eq!(left, ["fill", "good.html"]);
    assert_eq!(fs::read_to_string(disk.join("good.html")).unwrap(), "the page of last week");
    drop(mounted);
}

/// A disk of 64 kB, let go of at the end.
#[cfg(target_os = "linux")]
struct Mounted<'a>(&'a Path);

#[cfg(target_os = "linux")]
impl<'a> Mounted<'a> {
    fn tmpfs(at: &'a Path) -> Option<Self> {
        let done = Command::new("mount").args(["-t", "tmpfs", "-o", "size=64k", "tmpfs"]).arg(at).output().ok()?;
        done.status.success().then_some(Mounted(at))
    }
}

#[cfg(target_os = "linux")]
impl Drop for Mounted<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
fn one_bad_input_of_several() {
    let desk = Desk::new();
    desk.put("empty.txt", "");
    desk.put("also.txt", GOOD);
    let output = desk.run(&["draft", "good.txt", "empty.txt", "also.txt", "--out", "out", "--quiet"]);
    check_refusal(&output, 2, &["empty.txt"]);
    assert_eq!(String::from_utf8_lossy(&output.stdout), "");
    let mut written: Vec<_> =
        fs::read_dir(desk.0.path().join("out")).unwrap().map(|e| e.unwrap().file_name()).collect();
    written.sort();
    assert_eq!(written, ["also.html", "also.json", "good.html", "good.json"]);
}

#[test]
fn an_input_is_never_overwritten() {
    let desk = Desk::new();
    assert!(desk.run(&["draft", "good.txt"]).status.success());
    let drafted = fs::read(desk.0.path().join("good.json")).unwrap();
    assert!(desk.run(&["draft", "good.json"]).status.success());
    assert_eq!(fs::read(desk.0.path().join("good.json")).unwrap(), drafted);
    assert_eq!(desk.files(), ["good.html", "good.json", "good.report.html", "good.report.json", "good.txt"]);
}

#[test]
fn a_reader_that_leaves_is_no_error() {
    let desk = Desk::new();
    for args in
        [&["schema"][..], &["draft", "good.txt", "--format", "json", "--out", "-"], &["draft", "good.txt"], &["--help"]]
    {
        let mut child =
            desk.command(args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program itself");
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{args:?}");
        assert_eq!(output.status.code(), Some(0), "{args:?}");
    }
}

#[test]
fn a_terminal_that_is_none_gets_no_colours() {
    let desk = Desk::new();
    let output = desk.run(&["draft", "good.txt"]);
    assert!(!output.stdout.contains(&0x1b));
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.ends_with("Written: good.html, good.json\n"), "{said}");
}
