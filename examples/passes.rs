//! Prints how a sentence passes through reading: `cargo run --example passes -- uk "there's a dent in the door"`.

use plainsaid::narration::{Narration, Seconds, Word};
use plainsaid::reading::{self, clauses, mentions, tokens, whereabouts};
use plainsaid::report::Hand;
use plainsaid::vocabulary::{Market, Sense, Vocabulary};

fn main() {
    let mut args = std::env::args().skip(1);
    let market: Market = args.next().and_then(|m| m.parse().ok()).unwrap_or_default();
    let text = args.collect::<Vec<_>>().join(" ");
    let v = Vocabulary::shipped(market).expect("the shipped vocabulary compiles");
    let words = text
        .split_whitespace()
        .map(|w| Word { text: w.into(), start: Seconds(0.0), end: Seconds(0.0), confidence: 1.0, opens_line: false })
        .collect();
    let narration = Narration { words, duration: None, timed: false };
    let tokens = tokens::tokens(&narration, &v);
    let mentions = mentions::mentions(&tokens, &v);
    let clauses = clauses::clauses(&mentions, &tokens, &v);
    let steering: Hand = market.steering();
    let sides = whereabouts::Sides::new(market, steering);
    let places = whereabouts::whereabouts(&mentions, &clauses, &v, sides);
    for (n, clause) in clauses.list.iter().enumerate() {
        println!("-- {:?}{} walk {:?}", clause.opening, if clause.joined { " +and" } else { "" }, places.walks[n]);
        for (at, m) in mentions.iter().enumerate().take(clause.past).skip(clause.first) {
            let words =
                narration.quote(tokens[m.first as usize].word as usize, tokens[m.past as usize - 1].word as usize);
            let senses: Vec<String> = m.senses.iter().map(|s| name(*s, &v)).collect();
            let number = m.number.map_or_else(String::new, |n| format!(" ={}..{}", n.low, n.high));
            let phrase = clauses.phrase_at(at).map_or_else(String::new, |p| format!(" np{p}"));
            println!("   {words:24}{phrase}{number} {}", senses.join(" "));
        }
        for p in clause.phrases.clone() {
            let (phrase, placed) = (&clauses.phrases[p], &places.placed[p]);
            println!(
                "   np{p} {:?} {:?} adj {:?} -> {:?} host {:?} {:?}/{:?} {:?}",
                phrase.governed,
                phrase.points,
                phrase.adjective,
                placed.part.map(|x| &v.entries.part[x as usize].id),
                placed.host.map(|x| &v.entries.part[x as usize].id),
                placed.side,
                placed.end,
                placed.side_how,
            );
        }
    }
    let read = reading::read(&narration, &v, &reading::Options { steering });
    for f in &read.findings {
        println!(
            "{:?} {:?} on {:?} {:?} {:?} {:?} size {:?} count {:?} {:?} cost {:?}: {}",
            f.kind,
            f.defect.as_ref().map(|d| &d.label),
            f.part.as_ref().or(f.item.as_ref()).map(|d| &d.label),
            f.side,
            f.end,
            f.severity,
            f.size_mm,
            f.count,
            f.remedies.iter().map(|r| r.label.as_str()).collect::<Vec<_>>(),
            f.cost.as_ref().map(|c| c.low),
            f.quote
        );
        for w in &f.why {
            println!("      {} {} {} {} {:?}", w.field, w.rule, w.words, w.entry, w.margin);
        }
    }
    for s in &read.set_aside {
        println!("set aside {:?} because {:?}: {}", s.standing, s.because, s.quote);
    }
    println!("{:?}", read.vehicle);
}

fn name(sense: Sense, v: &Vocabulary) -> String {
    let e = &v.entries;
    match sense {
        Sense::Part(n) => format!("part:{}", e.part[n as usize].id),
        Sense::DefectNoun(n) => format!("noun:{}", e.defect[n as usize].id),
        Sense::DefectState(n) => format!("state:{}", e.defect[n as usize].id),
        Sense::Hedge(n) => format!("hedge:{:?}", e.hedge[n as usize].effect),
        Sense::Standing(n) => {
            format!("standing:{:?}/{:?}", e.standing[n as usize].means, e.standing[n as usize].reaches)
        }
        Sense::Praise(n) => format!("praise:{}", e.praise[n as usize].id),
        Sense::FunctionVerb(n) => format!("verb:{}", e.function[n as usize].id),
        Sense::FunctionWorks(n) => format!("works:{}", e.function[n as usize].id),
        Sense::Place(n) => format!("place:{}", e.place[n as usize].id),
        Sense::Equipment(n) => format!("equipment:{}", e.equipment[n as usize].id),
        Sense::Remedy(n) => format!("remedy:{}", e.remedy[n as usize].id),
        Sense::Object(n) => format!("object:{}", e.object[n as usize].id),
        other => format!("{other:?}"),
    }
}
