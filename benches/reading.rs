//! How fast narrations are read and vocabularies compiled: `cargo bench --no-default-features`.

use std::path::Path;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use plainsaid::narration::{self, Input, Narration};
use plainsaid::reading::{self, Options};
use plainsaid::report::Hand;
use plainsaid::vocabulary::{Market, Vocabulary};

/// All labelled narrations of the project as one, over and over, up to about `bytes` of words.
fn narration(bytes: usize) -> Narration {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the project's own cases")
        .filter_map(|e| Some(e.ok()?.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "txt"))
        .collect();
    paths.sort();
    let mut words = Vec::new();
    for path in &paths {
        if let Ok(Input::Narration(n)) = narration::open(path) {
            words.extend(n.words);
        }
    }
    let mut out = Narration { timed: true, ..Default::default() };
    let mut size = 0;
    for word in words.iter().cycle() {
        if size >= bytes {
            break;
        }
        size += word.text.len() + 1;
        out.words.push(word.clone());
    }
    out
}

fn read(c: &mut Criterion) {
    let vocabulary = Vocabulary::shipped(Market::Uk).expect("the shipped vocabulary compiles");
    let mut group = c.benchmark_group("read");
    group.sample_size(10);
    for kilobytes in [64usize, 128, 256] {
        let narration = narration(kilobytes * 1024);
        group.throughput(Throughput::Bytes(kilobytes as u64 * 1024));
        group.bench_with_input(BenchmarkId::from_parameter(format!("{kilobytes} KiB")), &narration, |b, n| {
            b.iter(|| reading::read(n, &vocabulary, &Options { steering: Hand::Right }));
        });
    }
    group.finish();
}

fn compile(c: &mut Criterion) {
    c.bench_function("compile vocabulary", |b| b.iter(|| Vocabulary::shipped(Market::Uk)));
}

criterion_group!(benches, read, compile);
criterion_main!(benches);
