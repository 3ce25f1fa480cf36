//! The vocabulary's JSON Schema: for editors, which show with it what can be written and what is wrong, and for
//! `vocab check`.

use std::sync::LazyLock;

use serde_json::Value;

use super::entries::Entries;

/// The schema as a value.
pub fn schema() -> &'static Value {
    static SCHEMA: LazyLock<Value> = LazyLock::new(|| schemars::schema_for!(Entries).to_value());
    &SCHEMA
}

/// The schema as text, as it is published in `docs/vocabulary.schema.json`.
pub fn text() -> String {
    let mut text = serde_json::to_string_pretty(schema()).unwrap_or_default();
    text.push('\n');
    text
}

/// The name in the schema of what a kind's entries are.
pub fn def_of(kind: &str) -> &'static str {
    match kind {
        "part" => "Part",
        "defect" => "Defect",
        "hedge" => "Hedge",
        "standing" => "Standing",
        "praise" => "Praise",
        "function" => "Function",
        "equipment" => "Equipment",
        "unchecked" => "Unchecked",
        "remedy" => "RemedyEntry",
        "place" => "Place",
        "pointing" => "Pointing",
        "object" => "Object",
        "unit" => "Unit",
        "number" => "Number",
        "cue" => "Cue",
        "fuel" | "gearbox" | "colour" | "make" => "Fact",
        "model" => "Model",
        "grammar" => "Grammar",
        "fold" => "Fold",
        "market" => "MarketFacts",
        "strength" => "Strength",
        "family" => "Family",
        "safety" => "Safety",
        "trial" => "Trial",
        "rate" => "Rate",
        "kind" => "VehicleKind",
        _ => "Meant",
    }
}
