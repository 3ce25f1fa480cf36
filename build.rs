//! Prepares the vocabulary for the program to carry: its TOML files rewritten as JSON without their notes, and all
//! phrases of the base layer put together.
//!
//! The program reads its vocabulary at every start. JSON is read several times faster than TOML, and to work out every
//! phrase again would take longer still. The files that a trader lays over it are read as TOML and worked out then.

#[path = "src/vocabulary/matcher.rs"]
#[allow(dead_code)]
mod matcher;
#[path = "src/vocabulary/pattern.rs"]
#[allow(dead_code)]
mod pattern;
#[path = "src/vocabulary/phrases.rs"]
#[allow(dead_code)]
mod phrases;
#[path = "src/vocabulary/spelling.rs"]
#[allow(dead_code)]
mod spelling;

use std::collections::HashMap;
use std::error::Error;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs};

use phrases::{LISTS, Packed, PhraseBook, pack};
use toml::{Table, Value};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=vocab");
    for file in ["matcher", "pattern", "phrases", "spelling"] {
        println!("cargo:rerun-if-changed=src/vocabulary/{file}.rs");
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or("cargo names no folder for what is made")?);
    let here = env::current_dir()?;
    let mut shipped = String::new();
    let mut base = Vec::new();
    for (folder, list) in [("base", "BASE"), ("markets", "MARKETS"), ("kinds", "KINDS_SHIPPED"), ("marques", "MARQUES")]
    {
        let into = out.join("vocab").join(folder);
        fs::create_dir_all(&into)?;
        let _ = writeln!(shipped, "pub const {list}: &[Shipped] = &[");
        for path in tables_in(&Path::new("vocab").join(folder))? {
            let Some(name) = path.file_stem().and_then(|n| n.to_str()) else { continue };
            // Where a file is no TOML, the program finds nothing here, reads the file itself and names the line.
            let table = fs::read_to_string(&path)?.parse::<Table>().ok();
            let json = match table.clone() {
                Some(mut kinds) => {
                    kinds.iter_mut().for_each(|(_, kind)| drop_notes(kind));
                    serde_json::to_string(&kinds)?
                }
                None => String::new(),
            };
            let quick = into.join(name).with_extension("json");
            fs::write(&quick, json)?;
            let _ = writeln!(
                shipped,
                "    Shipped {{ name: {:?}, text: include_str!({:?}), quick: include_str!({:?}) }},",
                format!("{folder}/{name}.toml"),
                here.join(&path),
                quick
            );
            if folder == "base" {
                base.push(table);
            }
        }
        let _ = writeln!(shipped, "];");
    }
    let phrases = out.join("phrases");
    // Where anything is amiss, the program works the phrases out itself, and tells of it.
    let base = base.into_iter().collect::<Option<Vec<_>>>();
    fs::write(&phrases, base.and_then(|tables| put_together(&tables)).map_or_else(Vec::new, |book| book.write()))?;
    let _ = writeln!(shipped, "pub const PHRASES: &[u8] = include_bytes!({phrases:?});");
    fs::write(out.join("shipped.rs"), shipped)?;
    Ok(())
}

/// The TOML files of a folder, by name.
fn tables_in(folder: &Path) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut paths = fs::read_dir(folder)?.map(|e| Ok(e?.path())).collect::<Result<Vec<_>, std::io::Error>>()?;
    paths.retain(|path| path.extension().is_some_and(|e| e == "toml"));
    paths.sort();
    Ok(paths)
}

fn drop_notes(kind: &mut Value) {
    for entry in kind.as_array_mut().into_iter().flatten() {
        if let Some(entry) = entry.as_table_mut() {
            entry.remove("note");
        }
    }
}

/// Every phrase of these files, its meanings numbered as the program numbers its entries.
fn put_together(tables: &[Table]) -> Option<PhraseBook<Packed>> {
    let entries = |kind: &str| {
        let all = tables.iter().filter_map(|t| t.get(kind)?.as_array()).flatten().filter_map(Value::as_table);
        let mut list: Vec<&Table> = Vec::new();
        let mut known = HashMap::new();
        for entry in all {
            match entry.get("id").and_then(Value::as_str).filter(|id| !id.is_empty() && kind != "grammar") {
                Some(id) if known.contains_key(id) => list[known[id]] = entry,
                id => {
                    known.extend(id.map(|id| (id, list.len())));
                    list.push(entry);
                }
            }
        }
        list
    };
    fn texts<'t>(entry: &'t Table, list: &str) -> impl Iterator<Item = &'t str> {
        entry.get(list).and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str)
    }
    let mut book = PhraseBook::new();
    for fold in tables.iter().filter_map(|t| t.get("fold")?.as_array()).flatten().filter_map(Value::as_table) {
        for from in texts(fold, "from") {
            book.spelling.fold(from.trim_start_matches('~'), fold.get("to")?.as_str()?, from.starts_with('~'));
        }
    }
    for (kind, lists) in LISTS {
        for (at, entry) in entries(kind).into_iter().enumerate() {
            for (list, stands) in *lists {
                for pattern in texts(entry, list) {
                    book.add(pattern, pack(*stands, at), stands.whole()).ok()?;
                }
            }
        }
    }
    Some(book)
}
