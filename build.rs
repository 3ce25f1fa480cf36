//! Rewrites the vocabulary's TOML files as JSON for the program to carry, without their notes.
//!
//! The program reads its vocabulary at every start, and JSON is read several times faster than TOML. The files that a
//! trader lays over it are read as TOML all the same.

use std::error::Error;
use std::path::Path;
use std::{env, fs};

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=vocab");
    let out = env::var_os("OUT_DIR").ok_or("cargo names no folder for what is made")?;
    for folder in ["base", "markets"] {
        let into = Path::new(&out).join("vocab").join(folder);
        fs::create_dir_all(&into)?;
        for file in fs::read_dir(Path::new("vocab").join(folder))? {
            let path = file?.path();
            let (Some(name), true) = (path.file_stem(), path.extension().is_some_and(|e| e == "toml")) else {
                continue;
            };
            // Where a file is no TOML, the program finds nothing here, reads the file itself and names the line.
            let json = match fs::read_to_string(&path)?.parse::<toml::Table>() {
                Ok(mut kinds) => {
                    kinds.iter_mut().for_each(|(_, kind)| drop_notes(kind));
                    serde_json::to_string(&kinds)?
                }
                Err(_) => String::new(),
            };
            fs::write(into.join(name).with_extension("json"), json)?;
        }
    }
    Ok(())
}

fn drop_notes(kind: &mut toml::Value) {
    for entry in kind.as_array_mut().into_iter().flatten() {
        if let Some(entry) = entry.as_table_mut() {
            entry.remove("note");
        }
    }
}
