//! Is what was saved once read for ever? Bytes of each form of each kind, kept as they were written, with what they say.
//!
//! `core/tests/kept/KIND-FORM.yrs` was written by the version that brought the form; `KIND-FORM.json` is what it said then.
//! A file here is never written again: a new form adds its own, by
//! `cargo test -p tailplate-core --test kept_bytes -- --ignored`, which leaves those that are there alone.

use serde_json::{Value, json};
use std::{fs, path::PathBuf};
use tailplate_core::record::{self, Kind, Record};
use tailplate_core::shop::{Customer, Find, Fitment, House, Job, Need, Part, Reel};

const ID: &str = "000102030405060708090a0b0c0d0e0f";
const OTHER: &str = "f00102030405060708090a0b0c0d0e0f";

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/kept")
}

fn form(kind: Kind) -> u32 {
    match kind {
        Kind::Find => Find::SCHEMA,
        Kind::Customer => Customer::SCHEMA,
        Kind::Job => Job::SCHEMA,
        Kind::Reel => Reel::SCHEMA,
        Kind::Need => Need::SCHEMA,
        Kind::House => House::SCHEMA,
        Kind::Part => Part::SCHEMA,
        Kind::Fitment => Fitment::SCHEMA,
    }
}

/// Name without ending, kind, bytes and what they say.
fn kept() -> Vec<(String, Kind, Vec<u8>, Value)> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|end| end != "yrs") {
            continue;
        }
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let kind = Kind::of(name.split('-').next().unwrap()).unwrap_or_else(|| panic!("{name} is no kind"));
        let says = fs::read(path.with_extension("json")).unwrap();
        all.push((name, kind, fs::read(&path).unwrap(), serde_json::from_slice(&says).unwrap()));
    }
    all
}

#[test]
fn every_form_of_every_kind_is_kept() {
    let kept = kept();
    for kind in Kind::ALL {
        for form in 1..=form(kind) {
            let name = format!("{}-{form}", kind.word());
            assert!(kept.iter().any(|(other, ..)| *other == name), "the bytes of {name} are not kept");
        }
    }
}

#[test]
fn what_was_saved_says_what_it_said() {
    for (name, kind, bytes, says) in kept() {
        let written = record::typed_json(kind, &bytes).unwrap_or_else(|why| panic!("{name}: {why}"));
        let read: Value = serde_json::from_str(&written.json).unwrap();
        for (field, said) in says.as_object().unwrap().iter().filter(|(field, _)| *field != "schema") {
            assert_eq!(&read[field], said, "{name}: {field}");
        }
        assert_eq!(read["schema"], json!(form(kind)), "{name} is brought up to the form of today");
    }
}

#[test]
fn what_was_saved_is_edited_and_joined() {
    for (name, kind, bytes, says) in kept() {
        let edit = |words: &str, writer| {
            let base: Value = serde_json::from_str(&record::typed_json(kind, &bytes).unwrap().json).unwrap();
            let mut mine = base.clone();
            let (field, to): (&str, Value) = match kind {
                Kind::Need | Kind::Part => ("worth", json!({ "amount": "4", "currency": words })),
                Kind::Fitment => ("fact", {
                    let mut fact = base["fact"].clone();
                    fact["who"] = words.into();
                    fact
                }),
                Kind::House => ("bill_words", words.into()),
                _ => ("note", words.into()),
            };
            mine[field] = to;
            record::write(kind, Some(&bytes), &base, &mine, 1_800_000_000_000, writer)
                .unwrap_or_else(|why| panic!("{name}: {why}"))
                .bytes
        };
        let (here, there) = (edit("EUR", 91), edit("USD", 92));
        let joined = |a: &[u8], b: &[u8]| record::join(kind, Some(a), b, 93).unwrap().unwrap().json;
        let both = joined(&here, &there);
        assert_eq!(both, joined(&there, &here), "{name}: in either order");
        assert!(both.contains("EUR") || both.contains("USD"), "{name}: {both}");
        let both: Value = serde_json::from_str(&both).unwrap();
        assert_eq!(both["made_ms"], says["made_ms"], "{name}");
    }
}

/// Finds were first kept as JSON alone; every phone that began then has some.
#[test]
fn a_find_kept_as_json_alone_is_brought_up() {
    let text = fs::read_to_string(folder().join("find-as-json.json")).unwrap();
    let find = Find::from_json(&text).unwrap();
    assert_eq!((find.id.as_str(), find.photos.len(), find.sheet.seen.len()), (ID, 1, 3));
    let value = serde_json::to_value(&find).unwrap();
    let written = record::write(Kind::Find, None, &Value::Null, &value, find.changed_ms, 1).unwrap();
    assert_eq!(serde_json::from_str::<Find>(&written.json).unwrap(), find);
    // Brought up twice, on two devices, it is the same document.
    let again = record::write(Kind::Find, None, &Value::Null, &value, find.changed_ms, 1).unwrap();
    assert_eq!(record::join(Kind::Find, Some(&written.bytes), &again.bytes, 5).unwrap(), None);
}

/// Everything a kind can hold, and a second writer's edit on top.
fn samples() -> Vec<(Kind, Value, Value)> {
    let head = |kind: Kind| json!({ "schema": form(kind), "id": ID, "made_ms": 1_740_000_000_000_i64, "changed_ms": 1_740_000_000_000_i64 });
    let seen = json!({ "seen": [
        { "about": { "feature": "reel_kind" }, "value": { "state": "fly" }, "certainty": "sure", "how": "eye" },
        { "about": { "mark": "foot-under" }, "value": { "text": "PAT. 1,9?4,?12" }, "certainty": "likely", "how": "eye" },
        { "about": { "feature": "spool_diameter" }, "value": { "measure": { "amount": 88.9, "unit": "mm" } }, "certainty": "sure", "how": "calliper" },
    ] });
    let photo = json!([{ "sha256": "0123456789abcdef".repeat(4), "width_px": 2048, "height_px": 1536, "words": "Foot", "spots": [{ "x_mille": 400, "y_mille": 610, "words": "crack" }] }]);
    let price = |amount: &str| json!({ "amount": amount, "currency": "EUR" });
    let all = [
        (
            Kind::Find,
            json!({ "name": "Dunling 3½ inch", "place": "Row C", "asking_price": price("45"), "note": "Ask about the box.", "private_note": "Offer 30.", "sheet": seen, "photos": photo, "state": { "confirmed": { "model": "demo-1" } } }),
            json!({ "place": "Row D", "note": "Ask about the box. He has it." }),
        ),
        (
            Kind::Customer,
            json!({ "name": "Mara Quill", "phone": "555 0101", "address": "1 Mill Lane\nWend" }),
            json!({ "phone": "555 0102" }),
        ),
        (
            Kind::Job,
            json!({ "customer": OTHER, "words": "Keep the patina.", "promised": "2025-03-14", "opening_fee": price("15"), "ceiling": price("80.50"),
            "lines": [{ "id": OTHER, "reel": OTHER, "what": "Strip and clean", "sort": "labour", "price": price("35"), "answer": "accepted" }],
            "paid": [{ "at_ms": 1_740_000_000_500_i64, "price": price("20"), "what": "deposit", "how": "card" }],
            "packed": [{ "what": OTHER, "at_ms": 1_740_000_000_900_i64 }] }),
            json!({ "closed_ms": 1_740_000_001_000_i64 }),
        ),
        (
            Kind::Reel,
            json!({ "job": OTHER, "tag": "K7MP42X9", "name": "Dunling 3 inch", "kind": "fly", "complaint": "Check has gone silent", "sheet": seen, "photos": photo,
            "condition": [{ "what": "seized", "words": "at the spindle" }], "missing": [{ "part": "line guard", "acknowledged_ms": 1_740_000_000_100_i64 }],
            "way": [{ "at_ms": 1_740_000_000_000_i64, "to": "arrived", "by": "customer" }, { "at_ms": 1_740_000_000_200_i64, "to": "looked_at", "by": "shop" }],
            "finding": "fault_found", "found": "Pawl worn.", "work": [{ "at_ms": 1_740_000_000_300_i64, "what": "New pawl", "minutes": 40 }],
            "looks": { "scale": "house", "grade": "used" }, "old_parts": [{ "part": "pawl", "goes_back": true }], "lies_at": "Shelf A", "private_note": "Pays late.",
            "strip": [{ "id": "a", "at_ms": 5, "what": { "took": { "words": "Latch cover", "fastener": { "kind": "screw", "length_mm": 6.0 }, "count": 2 } } }],
            "tests": [{ "test": "t-play", "when": "before", "figures": [2.5, 3.0], "at_ms": 9 }] }),
            json!({ "lies_at": "Shelf B", "found": "Pawl worn, spring weak." }),
        ),
        (
            Kind::Need,
            json!({ "reel": OTHER, "part": "dog-spring", "urgency": 3, "measures": "0.6 mm wire" }),
            json!({ "settled_ms": 1_740_000_001_000_i64 }),
        ),
        (
            Kind::House,
            json!({ "name": "The Reel Bench", "address": "3 Mill Lane\nWend", "currency": "EUR", "hourly_rate": price("48"), "tax": { "label": "VAT", "percent_hundredths": 1900, "included": true }, "bill_words": "Thank you." }),
            json!({ "bill_words": "Thank you. A year’s care." }),
        ),
        (
            Kind::Part,
            json!({ "role": "pawl", "model": "demo-1", "numbers": ["12-340"], "wear": "good", "lies_at": "Drawer 4", "bag": "7", "count": 3 }),
            json!({ "count": 2 }),
        ),
        (
            Kind::Fitment,
            json!({ "fact": { "roles": ["pawl"], "of": "demo-1", "into": "demo-2", "verdict": "fits", "note": "Tight.", "evidence": "tried", "who": "W. Holt", "when": "2025-02-03", "sources": ["own-bench"] } }),
            json!({}),
        ),
    ];
    let onto = |value: &Value, more: &Value| {
        let mut value = value.clone();
        for (field, to) in more.as_object().unwrap() {
            value[field] = to.clone();
        }
        value
    };
    all.into_iter()
        .map(|(kind, says, then)| {
            let mut first = onto(&head(kind), &says);
            if kind == Kind::House {
                first["id"] = tailplate_core::shop::house::HOUSE_ID.into();
            }
            let second = onto(&first, &then);
            (kind, first, second)
        })
        .collect()
}

#[test]
#[ignore = "writes the bytes of a new form; those that are there are never touched"]
fn write() {
    fs::create_dir_all(folder()).unwrap();
    for (kind, first, second) in samples() {
        let path = folder().join(format!("{}-{}.yrs", kind.word(), form(kind)));
        if path.exists() {
            continue;
        }
        let written = |stored: Option<&[u8]>, base: &Value, mine: &Value, now_ms, writer| {
            record::write(kind, stored, base, mine, now_ms, writer)
                .unwrap_or_else(|why| panic!("{}: {why}", kind.word()))
        };
        let begun = written(None, &Value::Null, &first, 1_740_000_000_000, 11);
        let base: Value = serde_json::from_str(&begun.json).unwrap();
        let edited = written(Some(&begun.bytes), &base, &second, 1_740_000_002_000, 12);
        let says: Value = serde_json::from_str(&edited.json).unwrap();
        fs::write(path.with_extension("json"), format!("{says:#}\n")).unwrap();
        fs::write(path, edited.bytes).unwrap();
    }
}
