//! What can go wrong between a recording and its words. Every message names the file and what to do about it.

use std::path::PathBuf;

use crate::narration::Seconds;

/// Why a recording could not be heard.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum HearingError {
    #[error("{}: can't be opened ({source}); check the name and that you may read it", .path.display())]
    Unreadable { path: PathBuf, source: std::io::Error },

    #[error("{}: is a folder; name a recording inside it", .path.display())]
    Folder { path: PathBuf },

    #[error("{}: is empty; copy the recording from the phone or camera again", .path.display())]
    Empty { path: PathBuf },

    #[error(
        "{}: is {looks_like}, not a recording; give a WAV, FLAC, MP3, OGG, Opus, M4A, MP4, MOV or MKV file",
        .path.display()
    )]
    NotARecording { path: PathBuf, looks_like: &'static str },

    #[error(
        "{}: has no sound track that can be read; was the microphone off? record again, or type notes instead",
        .path.display()
    )]
    NoSoundTrack { path: PathBuf },

    #[error(
        "{}: its sound is {kind}, {} convert it to WAV, FLAC or M4A and try again",
        .path.display(),
        if *.tried { "and ffmpeg could not decode it either;" }
        else { "which is decoded only where ffmpeg is installed; install it, or" }
    )]
    UnknownKind { path: PathBuf, kind: String, tried: bool },

    #[error(
        "{}: no sound could be decoded from it ({reason}); the file is damaged or cut off, so copy it again",
        .path.display()
    )]
    NoSound { path: PathBuf, reason: String },

    #[error("{}: {what}, which no recording of speech has; convert it to WAV at 16 kHz or more", .path.display())]
    Implausible { path: PathBuf, what: String },

    #[error("{}: reading it failed at {} ({source}); check the disk it is on", .path.display(), .at.clock())]
    ReadFailed { path: PathBuf, at: Seconds, source: std::io::Error },

    #[error("{}: is no speech model ({why}); give a ggml whisper model, or leave the option out", .path.display())]
    NotAModel { path: PathBuf, why: String },

    #[error(
        "{}: is damaged (its SHA-256 is {found}, not {expected}); copy the model again",
        .path.display()
    )]
    ModelDamaged { path: PathBuf, expected: String, found: String },

    #[error("the speech model {name} could not be loaded; is there enough memory free?")]
    ModelRefused { name: String },

    #[error(
        "{}: the recogniser failed at {} (code {code}); close other programs to free memory and try again",
        .path.display(), .at.clock()
    )]
    RecogniserFailed { path: PathBuf, at: Seconds, code: i32 },

    #[error("{}: stopped before the end; nothing was written", .path.display())]
    Stopped { path: PathBuf },
}

impl HearingError {
    /// True where the file that was given is at fault, false where the machine or a person's wish to stop is.
    pub fn is_bad_input(&self) -> bool {
        !matches!(
            self,
            Self::ReadFailed { .. } | Self::ModelRefused { .. } | Self::RecogniserFailed { .. } | Self::Stopped { .. }
        )
    }
}
