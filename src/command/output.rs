//! Where outputs go. A file appears under its name only when it is whole: it is written beside its place under
//! another name, brought to the disk, and then renamed.

use std::collections::HashSet;
use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Component, Path, PathBuf};

use anyhow::anyhow;
use plainsaid::narration::shown;
use plainsaid::rendering::Format;
use serde_json::Value;
use tempfile::NamedTempFile;

use super::Problem;

/// Makes the folder where it is missing and tries whether it can be written to, before any long work begins.
pub fn prepare(folder: &Path) -> Result<(), Problem> {
    fs::create_dir_all(folder).and_then(|()| beside(folder)).map(drop).map_err(|error| {
        Problem::Unwritable(anyhow!(
            "{}: {}; choose another folder with --out",
            shown(folder),
            reason(&error, "cannot be used as a folder for reports")
        ))
    })
}

/// Writes files that belong together: none gets its name before all are on the disk.
pub fn write_all(folder: &Path, files: &[(OsString, String)]) -> Result<Vec<PathBuf>, Problem> {
    let failed = |path: &Path, error: &io::Error| {
        Problem::Failed(anyhow!("{}: {}", shown(path), reason(error, "cannot be written")))
    };
    let mut whole = Vec::with_capacity(files.len());
    for (name, text) in files {
        let path = folder.join(name);
        if path.is_dir() {
            return Err(failed(&path, &io::ErrorKind::IsADirectory.into()));
        }
        let file = write_beside(folder, text).map_err(|error| failed(&path, &error))?;
        whole.push((file, path));
    }
    let mut written = Vec::with_capacity(whole.len());
    for (file, path) in whole {
        file.persist(&path).map_err(|refused| failed(&path, &refused.error))?;
        written.push(path);
    }
    sync_folder(folder);
    Ok(written)
}

fn write_beside(folder: &Path, text: &str) -> io::Result<NamedTempFile> {
    let mut file = beside(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// An empty file in the folder, gone again unless it is given a name.
fn beside(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".plainsaid-").suffix(".tmp");
    #[cfg(unix)]
    let ordinary = <fs::Permissions as std::os::unix::fs::PermissionsExt>::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(ordinary);
    builder.tempfile_in(if folder.as_os_str().is_empty() { Path::new(".") } else { folder })
}

/// Makes the new names last through a power cut, where the system lets a folder be synced.
fn sync_folder(folder: &Path) {
    if cfg!(unix) {
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
}

/// Writes text to standard output.
pub fn to_standard(text: &str) -> Result<(), Problem> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(|error| standard_failed(&error))
}

/// Writes text that may hold colours to standard output; they are left out where nobody would see them.
pub fn to_terminal(text: &str) -> Result<(), Problem> {
    let mut out = anstream::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(|error| standard_failed(&error))
}

fn standard_failed(error: &io::Error) -> Problem {
    match error.kind() {
        io::ErrorKind::BrokenPipe => Problem::Unread,
        _ => Problem::Failed(anyhow!("standard output: {}", reason(error, "cannot be written"))),
    }
}

/// Why something could not be written, and what to do, in plain words.
fn reason(error: &io::Error, otherwise: &str) -> String {
    match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            "the disk is full; free some space and try again".into()
        }
        io::ErrorKind::PermissionDenied => "you have no permission to write there".into(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is write-protected".into(),
        io::ErrorKind::NotADirectory => "part of that path is a file, not a folder".into(),
        io::ErrorKind::AlreadyExists => "is a file, not a folder".into(),
        io::ErrorKind::IsADirectory => "a folder of that name is in the way; move it, or use --out".into(),
        _ => format!("{otherwise} ({error})"),
    }
}

/// A name for each input's outputs, without ending: the input's own, unless that would overwrite an input or another
/// input's outputs.
pub fn names(inputs: &[PathBuf], folder: &Path, formats: &[Format]) -> Vec<OsString> {
    let known: HashSet<PathBuf> = inputs.iter().filter_map(|input| input.canonicalize().ok()).collect();
    let overwrites = |name: &OsString| {
        formats
            .iter()
            .filter_map(|&format| folder.join(with_ending(name, format)).canonicalize().ok())
            .any(|path| known.contains(&path))
    };
    // Some disks take "Van" and "van" for one name.
    let mut taken: HashSet<String> = HashSet::new();
    inputs
        .iter()
        .map(|input| {
            let mut base = input.file_stem().unwrap_or("report".as_ref()).to_owned();
            if overwrites(&base) {
                base.push(".report");
            }
            let mut name = base.clone();
            let mut copy = 2;
            while overwrites(&name) || taken.contains(&name.to_string_lossy().to_lowercase()) {
                name = base.clone();
                name.push(format!("-{copy}"));
                copy += 1;
            }
            taken.insert(name.to_string_lossy().to_lowercase());
            name
        })
        .collect()
}

/// An output's file name.
pub fn with_ending(name: &OsString, format: Format) -> OsString {
    let mut whole = name.clone();
    whole.push(".");
    whole.push(format.extension());
    whole
}

/// Refuses to draft over a report that a person has corrected: those corrections exist nowhere else.
pub fn guard_corrections(path: &Path) -> Result<(), Problem> {
    let corrected =
        fs::read(path).ok().and_then(|bytes| serde_json::from_slice::<Value>(&bytes).ok()).is_some_and(|report| {
            report.get("history").and_then(Value::as_array).is_some_and(|changes| !changes.is_empty())
        });
    if corrected {
        return Err(Problem::Failed(anyhow!(
            "{}: holds corrections made by a person, which a new draft would wipe out; move it away, or use --out",
            shown(path)
        )));
    }
    Ok(())
}

/// The way from a page's folder to a file, as a link has it. None where they have nothing but the root in common: such
/// a link would tell a page's readers about folders that are none of their business, and break once the page is moved.
pub fn way_to(file: &Path, folder: &Path) -> Option<String> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let (file, folder) = (file.canonicalize().ok()?, folder.canonicalize().ok()?);
    let to: Vec<Component<'_>> = file.components().collect();
    let from: Vec<Component<'_>> = folder.components().collect();
    let shared = to.iter().zip(&from).take_while(|(a, b)| a == b).count();
    if !to[..shared].iter().any(|part| matches!(part, Component::Normal(_))) {
        return None;
    }
    let up = from[shared..].iter().map(|_| Some(".."));
    let down = to[shared..].iter().map(|part| part.as_os_str().to_str());
    up.chain(down).collect::<Option<Vec<&str>>>().map(|parts| parts.join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(folder: &Path, inputs: &[&str], formats: &[Format]) -> Vec<String> {
        let inputs: Vec<PathBuf> = inputs.iter().map(|input| folder.join(input)).collect();
        names(&inputs, folder, formats).into_iter().map(|name| name.into_string().unwrap()).collect()
    }

    #[test]
    fn outputs_never_share_a_name_or_take_an_inputs() {
        let folder = tempfile::tempdir().unwrap();
        for file in ["van.json", "van.txt", "Van.vtt"] {
            fs::write(folder.path().join(file), "x").unwrap();
        }
        let both = [Format::Html, Format::Json];
        assert_eq!(named(folder.path(), &["van.txt", "Van.vtt", "a/van.wav"], &both), ["van", "Van-2", "van-3"]);
        assert_eq!(named(folder.path(), &["van.json"], &both), ["van.report"]);
        assert_eq!(named(folder.path(), &["van.json"], &[Format::Html]), ["van"]);
        assert_eq!(named(folder.path(), &["van.txt", "van.json"], &both), ["van.report", "van.report-2"]);
    }

    #[test]
    fn files_appear_whole_and_leave_nothing_else_behind() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("van.json")).unwrap();
        let files = [("van.html".into(), "page".to_owned()), ("van.json".into(), "{}".to_owned())];
        assert!(matches!(write_all(folder.path(), &files), Err(Problem::Failed(_))));
        let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left, ["van.json"]);
        fs::remove_dir(folder.path().join("van.json")).unwrap();
        assert_eq!(write_all(folder.path(), &files).unwrap().len(), 2);
        assert_eq!(fs::read_to_string(folder.path().join("van.html")).unwrap(), "page");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn a_page_finds_the_recording_from_its_own_folder() {
        let folder = tempfile::tempdir().unwrap();
        let (pages, films) = (folder.path().join("pages"), folder.path().join("films"));
        fs::create_dir(&pages).unwrap();
        fs::create_dir(&films).unwrap();
        let film = films.join("van one.mp4");
        fs::write(&film, "x").unwrap();
        assert_eq!(way_to(&film, &films).unwrap(), "van one.mp4");
        assert_eq!(way_to(&film, &pages).unwrap(), "../films/van one.mp4");
        assert_eq!(way_to(&film, folder.path()).unwrap(), "films/van one.mp4");
        assert_eq!(way_to(&film, Path::new("/")), None);
    }

    #[test]
    fn corrections_are_not_drafted_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("van.json");
        assert!(guard_corrections(&path).is_ok());
        fs::write(&path, r#"{"history": []}"#).unwrap();
        assert!(guard_corrections(&path).is_ok());
        fs::write(&path, r#"{"history": [{"who": "Ines"}]}"#).unwrap();
        assert!(guard_corrections(&path).is_err());
    }
}
