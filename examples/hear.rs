use std::path::Path;
use std::sync::atomic::AtomicBool;
use plainsaid::hearing::{Hearer, ModelSource};
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let source = match std::env::var("MODEL") { Ok(m) => ModelSource::File(Path::new(&*Box::leak(m.into_boxed_str()))), Err(_) => ModelSource::Carried };
    let hearer = match Hearer::new(source) { Ok(h) => h, Err(e) => { eprintln!("{e}"); std::process::exit(if e.is_bad_input() {2} else {1}) } };
    for path in &args[1..] {
        let stop = AtomicBool::new(false);
        match hearer.hear(Path::new(path), &mut |_| {}, &stop) {
            Ok(h) => {
                eprintln!("{path}: {:?} {:?} cut {} words {}", h.origin, h.narration.duration, h.cut_short, h.narration.words.len());
                let t = std::env::var("T").is_ok();
                for w in &h.narration.words {
                    if w.opens_line { print!("\n[{:.2}] ", w.start.0) }
                    if t { print!("{}({:.2}-{:.2} {:.2}) ", w.text, w.start.0, w.end.0, w.confidence) } else { print!("{} ", w.text) }
                }
                println!();
            }
            Err(e) => println!("ERR {} {e}", e.is_bad_input()),
        }
    }
}
