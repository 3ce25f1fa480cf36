//! Any text as a vocabulary file: it is loaded, compiled and checked, or refused, and nothing else.

#![no_main]

use libfuzzer_sys::fuzz_target;
use plainsaid::vocabulary::check::check_alone;
use plainsaid::vocabulary::{Market, Vocabulary};

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let loaded = Vocabulary::from_files(Market::Uk, [("own.toml", text)]);
    let mistakes = check_alone(text);
    // What cannot be loaded is a mistake that the check tells.
    assert!(loaded.is_ok() || !mistakes.is_empty(), "{:?}", loaded.err());
});
