//! Recordings of kinds that are not decoded here, by way of ffmpeg where it is installed.
//!
//! Only files whose first bytes show such a kind are handed over, by name and from the disk alone, so that no play list
//! or strange name can make the converter open anything else. It streams: memory does not grow with length.

use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

use super::HearingError;
use super::sound::RATE;
use crate::narration::Seconds;

const PROGRAM: &str = "ffmpeg";
/// Bytes taken at a time: half a second or so.
const STRETCH: usize = 16 * 1024;

/// Kinds that are known by their first bytes: place, mark, name, and whether they are films.
const KINDS: &[(usize, &[u8], &str, bool)] = &[
    (0, b"#!AMR", "an AMR voice note", false),
    (0, b"\x30\x26\xb2\x75\x8e\x66\xcf\x11", "Windows Media", true),
    (8, b"AVI ", "an AVI film", true),
    (0, b"FLV\x01", "a Flash film", true),
    (0, b"\0\0\x01\xba", "an MPEG film", true),
    (0, b".snd", "an AU recording", false),
    (0, b".RMF", "RealMedia", true),
    (0, b"MAC ", "Monkey's Audio", false),
    (0, b"wvpk", "WavPack", false),
    (0, b"DSD ", "DSD", false),
];

/// A recording that ffmpeg decodes.
pub(super) struct Converted {
    path: PathBuf,
    child: Child,
    from: ChildStdout,
    picture: bool,
    taken: usize,
    /// Half a sample, where a read ended in the middle of one.
    odd: Option<u8>,
    ready: Vec<f32>,
    broke_off: bool,
}

impl Converted {
    /// What kind a file is that is not decoded here, if it is one.
    pub fn kind(head: &[u8]) -> Option<String> {
        known(head).map(|(.., name, _)| (*name).to_owned())
    }

    /// Has a file converted that was refused because of its kind. All else stays refused.
    pub fn instead(path: &Path, refused: HearingError) -> Result<Self, HearingError> {
        let HearingError::UnknownKind { path: own, kind, .. } = refused else { return Err(refused) };
        let unknown = |tried| HearingError::UnknownKind { path: own.clone(), kind: kind.clone(), tried };
        let mut head = [0; 16];
        let held = std::fs::File::open(path).and_then(|mut file| file.read(&mut head)).unwrap_or(0);
        // "file:" keeps a name with a colon, or one that begins with a dash, from meaning anything but a file.
        let mut name = std::ffi::OsString::from("file:");
        name.push(path);
        let started = Command::new(PROGRAM)
            .args(["-nostdin", "-v", "quiet", "-protocol_whitelist", "file,pipe", "-i"])
            .arg(name)
            .args(["-map", "0:a:0", "-ac", "1", "-ar", &RATE.to_string(), "-f", "s16le", "pipe:1"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let Ok(mut child) = started else { return Err(unknown(false)) };
        let Some(from) = child.stdout.take() else { return Err(unknown(true)) };
        let mut sound = Converted {
            path: path.to_owned(),
            child,
            from,
            picture: known(&head[..held]).is_some_and(|(.., film)| *film),
            taken: 0,
            odd: None,
            ready: Vec::new(),
            broke_off: false,
        };
        let mut first = Vec::new();
        sound.read(&mut first)?;
        if first.is_empty() {
            return Err(unknown(true));
        }
        sound.ready = first;
        Ok(sound)
    }

    pub fn has_picture(&self) -> bool {
        self.picture
    }

    pub fn broke_off(&self) -> bool {
        self.broke_off
    }

    pub fn read(&mut self, out: &mut Vec<f32>) -> Result<bool, HearingError> {
        out.append(&mut self.ready);
        let mut bytes = vec![0; STRETCH];
        let held = loop {
            match self.from.read(&mut bytes) {
                Ok(held) => break held,
                Err(fault) if fault.kind() == ErrorKind::Interrupted => {}
                Err(source) => {
                    let at = Seconds(self.taken as f64 / RATE as f64);
                    return Err(HearingError::ReadFailed { path: self.path.clone(), at, source });
                }
            }
        };
        if held == 0 {
            self.broke_off = !self.child.wait().is_ok_and(|status| status.success());
            return Ok(false);
        }
        let mut bytes = self.odd.take().into_iter().chain(bytes[..held].iter().copied());
        while let Some(low) = bytes.next() {
            match bytes.next() {
                Some(high) => out.push(f32::from(i16::from_le_bytes([low, high])) / 32_768.0),
                None => self.odd = Some(low),
            }
        }
        self.taken += held / 2;
        Ok(true)
    }
}

impl Drop for Converted {
    fn drop(&mut self) {
        // It may still be at work where hearing was stopped; ended or not, it is waited for and leaves no trace.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn known(head: &[u8]) -> Option<&'static (usize, &'static [u8], &'static str, bool)> {
    KINDS.iter().find(|(at, mark, ..)| head.get(*at..).is_some_and(|rest| rest.starts_with(mark)))
}
