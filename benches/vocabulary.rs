//! How fast vocabularies are put together and checked: `cargo bench --no-default-features --bench vocabulary`.

use criterion::{Criterion, criterion_group, criterion_main};
use plainsaid::vocabulary::check::check;
use plainsaid::vocabulary::{Choice, Layers, Market};

fn layers(c: &mut Criterion) {
    let shipped = Layers::shipped();
    c.bench_function("compile base and market", |b| b.iter(|| shipped.vocabulary(&Market::Uk.into())));
    let choice = Choice { market: Market::Uk, kinds: vec!["van".into()], marque: Some("brannoch".into()) };
    c.bench_function("compile with a kind and a marque", |b| b.iter(|| shipped.vocabulary(&choice)));
    c.bench_function("recogniser", |b| b.iter(|| shipped.recogniser()));
    c.bench_function("check the shipped layers", |b| b.iter(|| check(&shipped)));
}

criterion_group!(benches, layers);
criterion_main!(benches);
