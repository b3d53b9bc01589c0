//! One planted fault of each kind, each in a small invented pack.

use super::super::{Listed, Reference};
use super::*;

const QUESTIONS: &str = r#"{"format": "tailplate-questions/1", "id": "q", "title": "Q",
 "efforts": [{"id": "glance", "cost": 1}], "mark_places": [{"id": "foot-under", "label": "Foot, underside"}],
 "features": [
  {"id": "reel_kind", "ask": "Kind?", "type": "choice", "effort": "glance",
   "states": [{"id": "fly", "label": "Fly"}, {"id": "spinning", "label": "Spinning"}]},
  {"id": "finish", "ask": "Finish?", "type": "choice", "effort": "glance", "applies_to": ["fly"],
   "states": [{"id": "bright", "label": "Bright"}, {"id": "dull", "label": "Dull"}], "easily_confused": [["bright", "dull"]]},
  {"id": "width", "ask": "Width?", "type": "measure", "effort": "glance", "unit": "mm", "plausible": [10, 90], "place": "foot-under"}]}"#;

const MAKERS: &str = r#"{"format": "tailplate-makers/1", "id": "m", "title": "M", "sources": {"book": {"title": "A book"}},
 "makers": [{"id": "tarn", "name": "Tarn", "country": "Nowhere", "active": {"from": 1920, "to": 1940}, "kinds": ["fly"],
  "places": [{"city": "Tarn End", "from": 1920, "to": 1930}],
  "marks": [{"id": "tarn-m1", "text": "TARN & SON", "struck": ["TARN & SON NO. ##"], "src": ["book"], "confidence": "high"}],
  "house_brands": [{"brand": "Moor", "seller": "Moor Stores"}],
  "date_codes": [
   {"id": "letters", "kind": "letter-key", "letters": {"A": 2, "B": 7}, "shape": "&&", "century": 19, "examples": {"AB": 1927}},
   {"id": "serials", "kind": "serial-range", "ranges": [{"prefix": "T", "from": 1, "to": 99, "years": {"from": 1920}}]},
   {"id": "foot", "kind": "table", "rows": [{"words": "39", "struck": "39", "beside": "PAT. PEND.", "years": {"from": 1939, "to": 1939}}]}],
  "confidence": "medium"}]}"#;

const MODELS: &str = r#"{"format": "tailplate-models/1", "id": "d", "title": "D", "sources": {"note": {"title": "A note"}},
 "families": [{"id": "tarns", "name": "Tarns", "members": ["tarn-1", "tarn-2"]}],
 "models": [
  {"id": "tarn-1", "maker": "tarn", "name": "Tarn One", "kind": "fly", "family": "tarns", "commonness": 3,
   "features": {"width": {"value": 20, "tol": 0.5, "src": ["note"]}},
   "look_alikes": [{"model": "tarn-2", "deciding": "the finish", "feature": "finish"}],
   "fitments": [{"role": "spool", "of": "tarn-1", "into": "tarn-2", "verdict": "fits"}],
   "variants": [{"id": "early", "name": "Early", "years": {"from": 1921, "from_bound": "hard", "to": 1925},
     "marks": [{"place": "foot-under", "struck": "TARN 1"}], "features": {"finish": {"states": {"bright": 0.7, "dull": 0.3}}}}]},
  {"id": "tarn-2", "maker": "tarn", "name": "Tarn Two", "kind": "fly", "commonness": 1,
   "variants": [{"id": "only", "name": "Only", "years": {}}]}]}"#;

const DATING: &str = r#"{"format": "tailplate-dating/1", "id": "t", "title": "T",
 "series": [{"id": "s", "label": "Series", "table": [[1900, 1], [1901, 50], [1902, 90]], "named_by": ["PAT."]}],
 "known_patents": [{"series": "s", "number": 60, "date": "1901-03-05", "what": "a click"}],
 "weekday": {"iso_weekday": 2, "soft_from": 1849, "hard_from": 1873},
 "wordings": [{"id": "zone", "label": "Zone", "struck": ["U.S. ZONE"], "overrides": ["land"], "confidence": "high",
   "years": {"from": 1945, "from_bound": "hard", "to": 1949}}, {"id": "land", "label": "Land", "years": {}}],
 "construction": [{"id": "bright", "label": "Bright finish", "shown_by": [["finish", "bright"]], "years": {"usual_from": 1910}}]}"#;

const MECHANICS: &str = r#"{"format": "tailplate-mechanics/1", "id": "b", "title": "B", "sources": {"rule": {"title": "A rule"}, "memory": {"title": "Memory"}},
 "gear_modules_mm": [0.5, 0.6],
 "threads": [{"id": "fine", "name": "Fine", "angle_deg": 60, "src": ["rule"], "confidence": "high",
   "sizes": [{"id": "F1", "major_mm": 3, "tpi": 40}]}],
 "bearings": [{"id": "B1", "bore_mm": 4, "outside_mm": 9, "width_mm": 3, "src": ["memory"], "confidence": "low"}],
 "frictions": [{"id": "felt", "name": "Felt", "dry": [0.2, 0.3], "src": ["rule"]}],
 "lines": [{"id": "silk", "name": "Silk", "marked": "pounds", "sizes": [
   {"pounds": 10, "diameter_mm": 0.4, "range_mm": [0.3, 0.5], "src": ["rule"]}, {"pounds": 20, "diameter_mm": 0.6, "src": ["rule"]}]}],
 "objects": [{"id": "coin", "name": "Coin", "shape": "circle", "diameter_mm": 20, "src": ["rule"]}],
 "cautions": [{"id": "edge", "topic": "Edges", "risk": "They cut.", "defer_to": "A doctor", "src": ["rule"]}],
 "formulas": [{"id": "parallax", "title": "Height", "src": ["rule"],
   "lines": {"relative_error": "e", "correction": "c", "keep_below": "k", "focal_px": "f", "distance": "d"}}]}"#;

const PACKS: [(&str, &str); 5] =
    [("q.json", QUESTIONS), ("m.json", MAKERS), ("d.json", MODELS), ("t.json", DATING), ("b.json", MECHANICS)];

/// Faults of one pack with one piece of it replaced, as text.
fn faults_with(name: &str, old: &str, new: &str) -> String {
    let beside = Reference::load(PACKS).unwrap();
    let text = PACKS.iter().find(|(pack, _)| *pack == name).unwrap().1;
    assert!(text.contains(old), "{name} does not hold {old}");
    check(&beside, name, &text.replacen(old, new, 1)).iter().map(|fault| format!("{fault}\n")).collect()
}

#[test]
fn the_small_packs_themselves_are_sound() {
    let reference = Reference::load(PACKS).unwrap();
    assert_eq!(check_reference(&reference), []);
    for (name, _) in PACKS {
        assert_eq!(faults_with(name, "format", "format"), "", "{name}");
    }
}

#[test]
fn each_planted_fault_is_named_with_its_entry_and_field() {
    for (pack, old, new, expected) in [
        (
            "q.json",
            r#""id": "finish", "ask""#,
            r#""id": "width", "ask""#,
            "field features: the id “width” is used twice",
        ),
        ("q.json", r#""ask": "Finish?""#, r#""ask": " ""#, "features/finish, field ask: it is empty"),
        ("q.json", r#", {"id": "spinning", "label": "Spinning"}"#, "", "a choice needs two states or more"),
        ("q.json", "[10, 90]", "[90, 10]", "field plausible: a count or measure needs a least and a greater most"),
        (
            "q.json",
            r#""applies_to": ["fly"]"#,
            r#""applies_to": ["ice"]"#,
            "the question “reel_kind” has no state “ice”",
        ),
        (
            "q.json",
            r#"["bright", "dull"]"#,
            r#"["bright", "shiny"]"#,
            "field easily_confused: the question “finish” has no state “shiny”",
        ),
        ("q.json", r#""place": "foot-under""#, r#""place": "sky""#, "there is no mark place “sky”"),
        ("q.json", r#""cost": 1"#, r#""cost": 0"#, "a cost must be above 0"),
        ("b.json", "[0.5, 0.6]", "[0.6, 0.5]", "field gear_modules_mm: the preferred values must be above 0 and rise"),
        ("b.json", r#", "tpi": 40"#, "", "threads/fine, field sizes: F1 needs either tpi or pitch_mm"),
        ("b.json", r#""tpi": 40"#, r#""pitch_mm": 3.5"#, "the pitch of F1 is not smaller than its diameter"),
        (
            "b.json",
            r#""angle_deg": 60, "src": ["rule"]"#,
            r#""src": ["leaf"]"#,
            "threads/fine, field src: the pack lists no source “leaf”",
        ),
        (
            "b.json",
            r#""bore_mm": 4"#,
            r#""bore_mm": 14"#,
            "bearings/B1, field outside_mm: the outside is not larger than the bore",
        ),
        ("b.json", r#""width_mm": 3"#, r#""width_mm": 0"#, "field width_mm: it must be above 0"),
        (
            "b.json",
            r#"["memory"], "confidence": "low""#,
            r#"["memory"], "confidence": "high""#,
            "what rests on memory alone is not of high confidence",
        ),
        (
            "b.json",
            r#""dry": [0.2, 0.3]"#,
            r#""dry": [0.3, 0.2]"#,
            "frictions/felt, field dry: it needs a least above 0",
        ),
        ("b.json", r#""dry": [0.2, 0.3], "#, "", "no coefficient is given"),
        (
            "b.json",
            r#""pounds": 20"#,
            r#""pounds": 5"#,
            "lines/silk, field sizes: each size needs its pounds, and they must rise",
        ),
        ("b.json", "0.6, \"src\"", "0.3, \"src\"", "the diameters must rise with the label"),
        ("b.json", "[0.3, 0.5]", "[0.45, 0.5]", "0.4 mm is outside of its own range"),
        (
            "b.json",
            r#""diameter_mm": 20, "#,
            "",
            "objects/coin, field diameter_mm: it needs either a diameter, or a width and a height",
        ),
        ("b.json", "A doctor", "", "cautions/edge, field defer_to: it is empty"),
        (
            "b.json",
            r#", "correction": "c""#,
            "",
            "formulas/parallax, field lines: the calculator height-error shows a line “correction”",
        ),
        ("m.json", r#""name": "Tarn""#, r#""name": """#, "makers/tarn, field name: it is empty"),
        (
            "m.json",
            r#""kinds": ["fly"]"#,
            r#""kinds": ["sea"]"#,
            "field kinds: the question “reel_kind” has no state “sea”",
        ),
        ("m.json", r#""kinds""#, r#""successor": ["beck"], "kinds""#, "field successor: there is no maker “beck”"),
        (
            "m.json",
            r#""from": 1920, "to": 1940"#,
            r#""from": 1950, "to": 1940"#,
            "field active: the first year is after the last",
        ),
        (
            "m.json",
            r#""from": 1920, "to": 1930"#,
            r#""from": 1935, "to": 1930"#,
            "Tarn End: the first year is after the last",
        ),
        ("m.json", "NO. ##", "no. ##", "struck text is in upper case"),
        ("m.json", "NO. ##", "NO. ??", "? belongs to a reading"),
        ("m.json", "NO. ##", "NO. ^", "is not part of the marks language"),
        ("m.json", "NO. ##", " NO. #", "spaces stand at an end or side by side"),
        (
            "m.json",
            r#""src": ["book"]"#,
            r#""src": ["leaf"]"#,
            "makers/tarn/tarn-m1, field src: the pack lists no source “leaf”",
        ),
        (
            "m.json",
            r#"{"brand": "Moor""#,
            r#"{"brand": "Moor", "seller": "Moor Stores"}, {"brand": "Moor""#,
            "stands twice",
        ),
        ("m.json", r#"{"AB": 1927}"#, r#"{"AB": 1972}"#, "field examples: AB reads as 1927, not 1972"),
        ("m.json", r#"{"AB": 1927}"#, r#"{"XB": 1927}"#, "XB cannot be read by the key"),
        ("m.json", r#""century": 19, "#, "", "a letter key needs its century"),
        ("m.json", r#""A": 2"#, r#""A": 12"#, "a letter stands for one digit"),
        ("m.json", r#""from": 1, "to": 99"#, r#""from": 100, "to": 99"#, "field ranges: 100 is after 99"),
        ("m.json", r#""prefix": "T", "#, "", "a bare number needs a prefix, a place or a wording beside it"),
        ("m.json", r#""beside": "PAT. PEND.", "#, "", "“39”: a bare number needs a place or a wording beside it"),
        (
            "d.json",
            r#""id": "tarn-2", "maker""#,
            r#""id": "tarn-1", "maker""#,
            "models/tarn-1, field id: this id is used twice",
        ),
        (
            "d.json",
            r#""maker": "tarn", "name": "Tarn One""#,
            r#""maker": "beck", "name": "Tarn One""#,
            "there is no maker “beck”",
        ),
        (
            "d.json",
            r#""kind": "fly", "family""#,
            r#""kind": "sea", "family""#,
            "field kind: the question “reel_kind” has no state “sea”",
        ),
        (
            "d.json",
            r#""kind": "fly", "family""#,
            r#""kind": "spinning", "family""#,
            "the question is not asked of the kind “spinning”",
        ),
        ("d.json", r#""family": "tarns""#, r#""family": "becks""#, "there is no family “becks”"),
        (
            "d.json",
            r#"["tarn-1", "tarn-2"]"#,
            r#"["tarn-1", "tarn-9"]"#,
            "families/tarns, field members: there is no model “tarn-9”",
        ),
        ("d.json", r#""commonness": 3"#, r#""commonness": 9"#, "it runs from 1, rare, to 5"),
        (
            "d.json",
            r#""bright": 0.7"#,
            r#""bright": 0.5"#,
            "models/tarn-1/early, field finish: the weights sum to 0.80, not 1",
        ),
        ("d.json", r#""bright": 0.7"#, r#""shiny": 0.7"#, "the question “finish” has no state “shiny”"),
        ("d.json", r#""features": {"finish""#, r#""features": {"gloss""#, "there is no question “gloss”"),
        ("d.json", r#""value": 20"#, r#""value": 200"#, "models/tarn-1, field width: 200 is outside 10 to 90"),
        ("d.json", r#""tol": 0.5"#, r#""tol": -0.5"#, "the tolerance is below 0"),
        (
            "d.json",
            r#""from": 1921"#,
            r#""from": 1931"#,
            "models/tarn-1/early, field years: the first year is after the last",
        ),
        ("d.json", r#""from": 1921, "#, "", "a bound is given for an end that has no year"),
        ("d.json", r#""to": 1925"#, r#""to": 19250"#, "19250 is no year a reel can have"),
        ("d.json", r#""place": "foot-under""#, r#""place": "sky""#, "field marks: there is no mark place “sky”"),
        ("d.json", r#""struck": "TARN 1""#, r#""how_often": "always""#, "field marks: it is empty"),
        ("d.json", r#""model": "tarn-2""#, r#""model": "tarn-9""#, "field look_alikes: there is no model “tarn-9”"),
        (
            "d.json",
            r#""feature": "finish""#,
            r#""feature": "gloss""#,
            "field look_alikes: there is no question “gloss”",
        ),
        ("d.json", r#""into": "tarn-2""#, r#""into": "tarn-9""#, "field fitments: there is no model “tarn-9”"),
        ("d.json", r#""verdict": "fits""#, r#""verdict": "maybe""#, "the verdict “maybe” is none of"),
        ("d.json", r#""src": ["note"]"#, r#""src": ["leaf"]"#, "the pack lists no source “leaf”"),
        ("d.json", r#""model": "tarn-2""#, r#""model": "tarn-1""#, "a model is no look-alike of itself"),
        ("t.json", "[1901, 50]", "[1901, 95]", "series/s, field table: 1902 with 90 does not rise after 1901 with 95"),
        ("t.json", r#""named_by""#, r#""tolerance_years": -1, "named_by""#, "the tolerance is below 0"),
        ("t.json", r#""number": 60"#, r#""number": 95"#, "by the table the number is of 1902, by its date of 1901"),
        ("t.json", "1901-03-05", "5 March 1901", "is no date such as 1921-08-02"),
        ("t.json", r#"{"series": "s""#, r#"{"series": "x""#, "there is no series “x”"),
        ("t.json", r#""iso_weekday": 2"#, r#""iso_weekday": 0"#, "the weekday runs from 1, Monday, to 7"),
        (
            "t.json",
            r#""confidence": "high""#,
            r#""confidence": "low""#,
            "wordings/zone, field years: a fact of low confidence may not have a hard bound",
        ),
        ("t.json", r#""overrides": ["land"]"#, r#""overrides": ["sea"]"#, "there is no clue “sea”"),
        (
            "t.json",
            r#"["finish", "bright"]"#,
            r#"["finish", "shiny"]"#,
            "construction/bright, field shown_by: the question “finish” has no state “shiny”",
        ),
        ("t.json", r#""id": "land""#, r#""id": "zone""#, "the id “zone” is used twice"),
    ] {
        let faults = faults_with(pack, old, new);
        assert!(faults.contains(expected), "{pack}: {old} → {new}\nexpected: {expected}\nfound: {faults}");
    }
}

#[test]
fn a_file_that_is_no_pack_says_what_it_is_instead() {
    for (old, new, expected) in [
        ("tailplate-models/1", "tailplate-models/9", "its format is “tailplate-models/9”; this version reads"),
        (r#""name": "Tarn Two""#, r#""nmae": "Tarn Two""#, "there is no field `nmae`"),
        (r#""models": ["#, r#""models": [["#, "Pack d.json"),
        (
            r#""verdict": "fits""#,
            r#""confidence": "sure""#,
            "models/tarn-1/fitments/1/confidence: one of `low` `medium` `high` is expected here",
        ),
    ] {
        let faults = faults_with("d.json", old, new);
        assert!(faults.contains(expected), "{old} → {new}: {faults}");
        assert_eq!(faults.lines().count(), 1, "{faults}");
    }
}

#[test]
fn an_id_of_another_pack_is_taken() {
    let beside = Reference::load(PACKS).unwrap();
    let faults = check(&beside, "x.json", &MODELS.replace(r#""id": "d""#, r#""id": "own""#));
    assert!(
        faults.iter().any(|fault| fault.to_string().contains("pack d has a model of this id already")),
        "{faults:?}"
    );
}

#[test]
fn loading_refuses_an_id_used_twice() {
    let twice = MODELS.replacen(r#""id": "tarn-2", "maker""#, r#""id": "tarn-1", "maker""#, 1);
    let error = Reference::load([("q.json", QUESTIONS), ("d.json", twice.as_str())]).unwrap_err();
    assert!(error.to_string().contains("this id is used twice"), "{error}");
}

#[test]
fn a_list_of_packs_says_what_is_wrong_with_it() {
    let list = r#"[{"file": "q.json", "later": true}, {"file": "d.json", "invented": true}]"#;
    let read = Listed::read(list).unwrap();
    assert_eq!(
        read.iter().map(|pack| (pack.file.as_str(), pack.later, pack.invented)).collect::<Vec<_>>(),
        [("q.json", true, false), ("d.json", false, true)]
    );
    for (old, new, expected) in [
        ("\"later\": true", "\"latter\": true", "1: there is no field `latter` here"),
        ("\"file\": \"q.json\", ", "", "a pack names no `file`"),
        ("]", "", "EOF"),
    ] {
        let error = Listed::read(&list.replace(old, new)).unwrap_err().to_string();
        assert!(error.contains("packs.json") && error.contains(expected), "{old} → {new}: {error}");
    }
}
