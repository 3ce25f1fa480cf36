//! The speech model: what is carried, and whether a file may be handed to the recogniser.
//!
//! The recogniser trusts its model file: sizes taken from a wrong or cut one can abort the whole process. So the file's
//! skeleton is walked here first, from the mark at its start to its last byte.

use std::fs::File;
use std::io::{self, BufReader, ErrorKind, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::HearingError;

/// The file name of the model that travels with the program.
pub(super) const CARRIED_NAME: &str = "base-q5_1.ggml";

#[cfg(feature = "carried-model")]
pub(super) static CARRIED: &[u8] = include_bytes!("../../models/base-q5_1.ggml");

/// As `sha256sum` writes it: the sum, two spaces, the name.
const CARRIED_SUM: &str = include_str!("../../models/base-q5_1.ggml.sha256");

/// Larger models are loaded as they are: unpacking would need their size twice over in memory.
const UNPACK_UP_TO: u64 = 256 << 20;

const MAGIC: u32 = 0x6767_6d6c;

/// ggml tensor types that a whisper model may hold: number, bytes of a block, values in a block.
const TENSOR_TYPES: &[(u32, u64, u64)] = &[
    (0, 4, 1),
    (1, 2, 1),
    (2, 18, 32),
    (3, 20, 32),
    (6, 22, 32),
    (7, 24, 32),
    (8, 34, 32),
    (10, 84, 256),
    (11, 110, 256),
    (12, 144, 256),
    (13, 176, 256),
    (14, 210, 256),
];

/// Checks that `path` is a whole ggml whisper model, and the very one if its sum is known.
pub(super) fn check(path: &Path) -> Result<(), HearingError> {
    let unreadable = |source| HearingError::Unreadable { path: path.to_owned(), source };
    let mut file = File::open(path).map_err(unreadable)?;
    let about = file.metadata().map_err(unreadable)?;
    if about.is_dir() {
        return Err(HearingError::Folder { path: path.to_owned() });
    }
    if about.len() == 0 {
        return Err(HearingError::NotAModel { path: path.to_owned(), why: "it is empty".to_owned() });
    }
    skeleton(&mut Walk { from: BufReader::new(&file), at: 0, length: about.len() }).map_err(|fault| match fault {
        Fault::Not(why) => HearingError::NotAModel { path: path.to_owned(), why },
        Fault::Io(e) if e.kind() == ErrorKind::UnexpectedEof => {
            HearingError::NotAModel { path: path.to_owned(), why: "it breaks off before its end".to_owned() }
        }
        Fault::Io(source) => HearingError::Unreadable { path: path.to_owned(), source },
    })?;
    if let Some(expected) = known_sum(path) {
        file.rewind().map_err(unreadable)?;
        let found = sum(&mut file).map_err(unreadable)?;
        if found != expected {
            return Err(HearingError::ModelDamaged { path: path.to_owned(), expected, found });
        }
    }
    Ok(())
}

/// The bytes of a model small enough to be held twice while it is unpacked.
pub(super) fn small(path: &Path) -> Option<Vec<u8>> {
    (std::fs::metadata(path).ok()?.len() <= UNPACK_UP_TO).then(|| std::fs::read(path).ok())?
}

/// The SHA-256 that the file ought to have: from a `.sha256` file beside it, or ours if it bears our model's name.
fn known_sum(path: &Path) -> Option<String> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(".sha256");
    let mut text = String::new();
    let beside = File::open(PathBuf::from(beside)).and_then(|f| f.take(4096).read_to_string(&mut text));
    if beside.is_ok()
        && let Some(sum) = first_sum(&text)
    {
        return Some(sum);
    }
    (path.file_name()? == CARRIED_NAME).then(|| first_sum(CARRIED_SUM)).flatten()
}

fn first_sum(text: &str) -> Option<String> {
    let word = text.split_whitespace().next()?;
    (word.len() == 64 && word.bytes().all(|b| b.is_ascii_hexdigit())).then(|| word.to_ascii_lowercase())
}

fn sum(from: &mut impl Read) -> io::Result<String> {
    let mut hasher = Sha256::new();
    let mut piece = vec![0u8; 1 << 16];
    loop {
        match from.read(&mut piece)? {
            0 => break,
            n => hasher.update(&piece[..n]),
        }
    }
    Ok(hasher.finalize().iter().map(|b| format!("{b:02x}")).collect())
}

enum Fault {
    Not(String),
    Io(io::Error),
}

impl From<io::Error> for Fault {
    fn from(e: io::Error) -> Self {
        Fault::Io(e)
    }
}

struct Walk<R> {
    from: R,
    at: u64,
    length: u64,
}

impl<R: Read + Seek> Walk<R> {
    fn number(&mut self) -> Result<u32, Fault> {
        let mut four = [0u8; 4];
        self.from.read_exact(&mut four)?;
        self.at += 4;
        Ok(u32::from_le_bytes(four))
    }

    fn text(&mut self, length: u32) -> Result<Vec<u8>, Fault> {
        let mut text = vec![0u8; length as usize];
        self.from.read_exact(&mut text)?;
        self.at += u64::from(length);
        Ok(text)
    }

    fn skip(&mut self, bytes: u64) -> Result<(), Fault> {
        if bytes > self.length - self.at {
            return Err(io::Error::from(ErrorKind::UnexpectedEof).into());
        }
        // A plain seek would throw the buffer away at every tensor and name.
        self.from.seek(SeekFrom::Start(self.at + bytes))?;
        self.at += bytes;
        Ok(())
    }
}

/// Walks the file in the order in which the recogniser reads it.
fn skeleton<R: Read + Seek>(walk: &mut Walk<R>) -> Result<(), Fault> {
    let not = |why: &str| Fault::Not(why.to_owned());
    let magic = walk.number().map_err(|_| not("it is too short to be one"))?;
    if magic != MAGIC {
        return Err(not("it doesn't begin as one does"));
    }
    let mut header = [0u32; 11];
    for field in &mut header {
        *field = walk.number()?;
    }
    let [
        vocab,
        audio_ctx,
        audio_state,
        audio_heads,
        audio_layers,
        text_ctx,
        text_state,
        text_heads,
        text_layers,
        mels,
        kind,
    ] = header;
    let heads_fit = |state: u32, heads: u32| (1..=64).contains(&heads) && state.is_multiple_of(heads);
    let plausible = (50_000..=60_000).contains(&vocab)
        && audio_ctx == 1500
        && (64..=4096).contains(&audio_state)
        && text_state == audio_state
        && heads_fit(audio_state, audio_heads)
        && heads_fit(text_state, text_heads)
        && (1..=64).contains(&audio_layers)
        && (1..=64).contains(&text_layers)
        && (64..=1024).contains(&text_ctx)
        && matches!(mels, 80 | 128)
        && kind < 10_000
        && matches!(kind % 1000, 0..=3 | 7..=14);
    if !plausible {
        return Err(not("it is of another kind, or its header is damaged"));
    }

    let (filters, bins) = (walk.number()?, walk.number()?);
    if filters != mels || bins != 201 {
        return Err(not("its sound filters are not whisper's"));
    }
    walk.skip(4 * u64::from(filters) * u64::from(bins))?;

    let words = walk.number()?;
    if words > vocab {
        return Err(not("its list of words is damaged"));
    }
    let mut has_space = false;
    for _ in 0..words {
        let length = walk.number()?;
        if length > 1024 {
            return Err(not("its list of words is damaged"));
        }
        has_space |= walk.text(length)? == b" ";
    }
    if !has_space {
        return Err(not("its list of words is damaged"));
    }

    let expected = 11 + 15 * u64::from(audio_layers) + 24 * u64::from(text_layers);
    let mut tensors = 0;
    while walk.at < walk.length {
        let (dims, name, kind) = (walk.number()?, walk.number()?, walk.number()?);
        let size = TENSOR_TYPES.iter().find(|(number, ..)| *number == kind);
        let (Some((_, bytes, block)), 1..=4, 1..=256) = (size, dims, name) else {
            return Err(not("its weights are damaged"));
        };
        let mut values = 1u64;
        for _ in 0..dims {
            values = values.saturating_mul(u64::from(walk.number()?));
        }
        if values == 0 || values > i32::MAX as u64 || !values.is_multiple_of(*block) {
            return Err(not("its weights are damaged"));
        }
        walk.skip(u64::from(name))?;
        walk.skip(values / block * bytes)?;
        tensors += 1;
    }
    if tensors != expected {
        return Err(not("some of its weights are missing"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn carried_path() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("models").join(CARRIED_NAME)
    }

    #[test]
    fn the_carried_model_is_whole() {
        check(&carried_path()).expect("the model in models/ passes its own check");
    }

    #[test]
    fn a_sum_is_read_as_sha256sum_writes_it() {
        assert_eq!(first_sum(CARRIED_SUM).map(|s| s.len()), Some(64));
        assert_eq!(first_sum("no sum here"), None);
    }

    #[test]
    fn damage_is_found_before_the_recogniser_sees_it() {
        let mut start = vec![0u8; 300_000];
        File::open(carried_path()).and_then(|mut f| f.read_exact(&mut start)).expect("the carried model");
        let folder = tempfile::tempdir().expect("a folder");
        let try_bytes = |bytes: &[u8]| {
            let path = folder.path().join("other.ggml");
            std::fs::write(&path, bytes).expect("written");
            check(&path).map_err(|e| e.to_string())
        };
        for (what, bytes) in [
            ("nothing", Vec::new()),
            ("three bytes", start[..3].to_vec()),
            ("header only", start[..48].to_vec()),
            ("cut in the filters", start[..1_000].to_vec()),
            ("cut in the words", start.clone()),
            ("text", b"not a model at all, only a line of text".to_vec()),
        ] {
            let fault = try_bytes(&bytes).expect_err(what);
            assert!(fault.contains("other.ggml") && fault.contains("no speech model"), "{what}: {fault}");
        }
        for at in (4..48).step_by(4) {
            let mut bytes = start.clone();
            bytes[at..at + 4].copy_from_slice(&0x7fff_fff0u32.to_le_bytes());
            try_bytes(&bytes).expect_err("an absurd header");
        }
    }
}
