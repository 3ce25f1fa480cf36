//! Words spoken about a vehicle become findings about it, each tied to the moment it was said.
//!
//! The whole journey, in the order in which its rooms are passed:
//!
//! 1. [`narration`]: what was said and when; typed notes, captions and transcripts are read here.
//! 2. `hearing` (feature `hearing`): a recording becomes a narration.
//! 3. [`vocabulary`]: the trade's words, from TOML that a trader can edit.
//! 4. [`reading`]: a narration becomes findings.
//! 5. [`mending`]: words that were heard wrongly, by all signs, as what was meant.
//! 6. [`report`]: the document that holds them.
//! 7. [`rendering`]: the document becomes a page, a table, captions.
//! 8. [`tuning`]: what past drafts and their corrections teach of the words.

#[cfg(feature = "hearing")]
pub mod hearing;
pub mod mending;
pub mod narration;
pub mod reading;
pub mod rendering;
pub mod report;
pub mod scoring;
pub mod tuning;
pub mod vocabulary;
