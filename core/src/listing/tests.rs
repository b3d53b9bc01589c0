//! Claims and verdicts on invented makers and reels.

use crate::key::{Key, Learned};
use crate::observe::{Observation, Sheet};
use crate::reference::Reference;

use super::*;

const QUESTIONS: &str = include_str!("../../../public/reference/questions.json");
const DATING: &str = include_str!("../../../public/reference/dating.json");
const SELLING: &str = include_str!("../../../public/reference/selling.json");
const MAKERS: &str = r#"{"format": "tailplate-makers/1", "id": "m", "title": "t", "about": "a", "sources": {}, "makers": [
  {"id": "alder", "name": "Alder & Sons", "country": "x", "places": [{"city": "Oakham, Rutland", "confidence": "high"}], "active": {"from": 1890, "to": 1960}, "confidence": "high",
   "date_codes": [{"id": "alder-serial", "kind": "serial-range", "dates": "making", "ranges": [{"prefix": "K", "place": "foot-under", "from": 1, "to": 9999, "years": {"from": 1950, "from_bound": "hard", "to": 1955, "to_bound": "hard"}}], "confidence": "high"}],
   "house_brands": [{"brand": "Sea Wolf", "seller": "Birchwood Stores", "confidence": "medium"}]},
  {"id": "cedar", "name": "Otto Cedar Reel Co.", "country": "x", "active": {"from": 1900}, "confidence": "high"}
]}"#;
const MODELS: &str = r#"{"format": "tailplate-models/1", "id": "r", "title": "t", "about": "a", "sources": {"s": {"title": "s"}}, "families": [], "models": [
  {"id": "alder-kestrel", "maker": "alder", "name": "Kestrel 1925", "numbers": ["1925"], "kind": "baitcasting", "commonness": 3,
   "marks": [{"place": "head-plate", "struck": "ALDER KESTREL", "how_often": "always", "src": ["s"], "confidence": "high"}],
   "variants": [
    {"id": "early", "name": "Early", "years": {"from": 1930, "from_bound": "hard", "to": 1936}, "features": {
      "level_wind": {"states": {"none": 1}, "src": ["s"], "confidence": "high"},
      "knob_material": {"states": {"wood": 1}, "src": ["s"], "confidence": "high"},
      "plate_material": {"states": {"nickel-silver": 1}, "src": ["s"], "confidence": "high"}}},
    {"id": "late", "name": "Late", "years": {"from": 1937, "from_bound": "hard", "to": 1940}, "features": {
      "level_wind": {"states": {"none": 1}, "src": ["s"], "confidence": "high"},
      "star_points": {"value": 5, "src": ["s"], "confidence": "low"},
      "knob_material": {"states": {"plastic": 1}, "src": ["s"], "confidence": "high"},
      "plate_material": {"states": {"nickel-silver": 1}, "src": ["s"], "confidence": "high"}}}
   ]},
  {"id": "cedar-plover", "maker": "cedar", "name": "Plover", "kind": "fly", "commonness": 3, "variants": [
    {"id": "only", "name": "Only", "years": {"from": 1950, "to": 1960}, "features": {
      "line_guard": {"states": {"agate": 1}, "src": ["s"], "confidence": "low"}}}]}
]}"#;

fn reference() -> Reference {
    Reference::load([("q", QUESTIONS), ("m", MAKERS), ("r", MODELS), ("d", DATING), ("s", SELLING)].map(
        |(name, text)| {
            // The copies name models of the shipped packs.
            (name, text)
        },
    ))
    .unwrap()
}

fn claims(text: &str) -> Vec<String> {
    read(text, &reference())
        .into_iter()
        .map(|claim| {
            let kind = serde_json::to_value(claim.kind).unwrap();
            let denied = if claim.denied { " not" } else { "" };
            let firm = if claim.firm == Firm::Stated { String::new() } else { format!(" {:?}", claim.firm) };
            format!("{}{denied}: {}{firm}", kind.as_str().unwrap(), claim.quote)
        })
        .collect()
}

fn verdict(text: &str, seen: Vec<Observation>, quote: &str) -> (Finding, String) {
    let reference = reference();
    let key = Key::build(&reference, &Learned::default());
    let claims = read(text, &reference);
    let judged = judge(&claims, &Sheet { seen, note: String::new() }, &reference, &key, 2026);
    assert_eq!(judged.verdicts.len(), claims.len());
    let verdict = judged.verdicts.iter().find(|verdict| claims[verdict.claim].quote.contains(quote)).expect("a claim");
    let reasons: Vec<&str> = verdict.reasons.iter().map(|reason| reason.words.as_str()).collect();
    assert!(!reasons.is_empty());
    (verdict.finding, reasons.join(" | "))
}

#[test]
fn claims_come_with_their_kind_and_words() {
    insta::assert_snapshot!(claims("RARE Alder & Sons Kestrel 1925 casting reel, c. 1935, German silver side plates, 2 1/8 in diameter, no level wind, works well, I think it is complete. $60").join("\n"), @"
    rarity: RARE
    maker: Alder & Sons
    model: Kestrel 1925
    kind: casting reel
    era: c. 1935
    material: German silver
    measure: 2 1/8 in
    feature not: level wind
    working: works well
    completeness: complete Guessed
    ");
}

#[test]
fn a_number_of_the_catalogue_a_price_and_a_firms_year_are_no_years() {
    assert_eq!(claims("Alder 1925"), ["maker: Alder", "model: 1925"]);
    assert_eq!(
        claims("firm founded in 1890, asking EUR 1950, seller since 2004, pat. pending"),
        ["mark: pat. pending"]
    );
    assert_eq!(claims("reel made in 1925 by Alder"), ["era: 1925", "maker: Alder"]);
}

#[test]
fn times_in_figures_and_words() {
    let years = |text: &str| {
        let claims = read(text, &reference());
        claims.into_iter().find(|claim| claim.kind == ClaimKind::Era).map(|claim| claim.meaning)
    };
    let span = |from: i32, to: i32| Some(Meaning::Years { from: Some(from), to: Some(to) });
    assert_eq!(years("from the '30s"), span(1930, 1939));
    assert_eq!(years("early 1950's"), span(1950, 1954));
    assert_eq!(years("1923-29 only"), span(1923, 1929));
    assert_eq!(years("1920s to 1930s"), span(1920, 1939));
    assert_eq!(years("c1890"), span(1885, 1895));
    assert_eq!(years("a pre-war reel"), Some(Meaning::Years { from: None, to: Some(1941) }));
    assert_eq!(years("100+ yrs old"), Some(Meaning::Age { at_least: Some(90), at_most: None }));
    assert_eq!(years("70 years old"), Some(Meaning::Age { at_least: Some(60), at_most: Some(80) }));
}

#[test]
fn denials_hedges_and_likenesses_are_told_apart() {
    assert_eq!(claims("no cracks or chips"), ["damage not: cracks", "damage not: chips"]);
    assert_eq!(claims("Alder style reel, possibly prototype"), ["maker: Alder Likeness", "special: prototype Guessed"]);
    assert_eq!(claims("in the manner of Otto Cedar"), ["maker: Otto Cedar Likeness"]);
    assert_eq!(claims("No. 1925 by Alder"), ["model: 1925", "maker: Alder"]);
    assert_eq!(claims("does not work"), ["working: does not work"]);
}

#[test]
fn german_silver_rules_out_silver_by_the_text_itself() {
    let (finding, words) = verdict("sterling reel, German silver plates", vec![], "sterling");
    assert_eq!(finding, Finding::Contradicted);
    assert!(words.contains("no silver in it"), "{words}");
}

#[test]
fn years_of_the_model_named_contradict_a_time_and_bear_one_out_only_when_the_reel_shows_it() {
    let mark = || vec![Observation::mark("head-plate", "ALDER KESTREL")];
    assert_eq!(verdict("1950s Alder Kestrel", mark(), "1950s").0, Finding::Contradicted);
    assert_eq!(verdict("1930s Alder Kestrel", mark(), "1930s").0, Finding::BorneOut);
    assert_eq!(verdict("1930s Alder Kestrel", vec![], "1930s").0, Finding::NotShown);
}

#[test]
fn a_patent_in_the_text_contradicts_its_year_without_any_model() {
    let (finding, words) = verdict("1920s reel marked PAT. 2,500,000", vec![], "1920s");
    assert_eq!(finding, Finding::Contradicted, "{words}");
    assert!(words.contains("2500000"), "{words}");
}

#[test]
fn a_fact_of_low_confidence_contradicts_nothing() {
    let mark = vec![Observation::mark("head-plate", "CEDAR PLOVER")];
    assert_ne!(verdict("Cedar Plover fly reel with round line guard", mark, "line guard").0, Finding::Contradicted);
}

#[test]
fn a_feature_is_held_against_what_was_seen_and_the_model() {
    let seen = |state| vec![Observation::state("level_wind", state)];
    assert_eq!(verdict("level wind", seen("worm"), "level").0, Finding::BorneOut);
    assert_eq!(verdict("no level wind", seen("worm"), "level").0, Finding::Contradicted);
    let mark = vec![Observation::mark("head-plate", "ALDER KESTREL")];
    assert_eq!(verdict("Alder Kestrel level wind", mark.clone(), "level").0, Finding::Contradicted);
    assert_eq!(verdict("Alder Kestrel, no level wind", mark, "level").0, Finding::BorneOut);
}

#[test]
fn rarity_and_running_are_never_borne_out() {
    for text in ["very rare", "works perfectly", "mint", "all original"] {
        let (finding, words) = verdict(text, vec![], text);
        assert_eq!(finding, Finding::NotShown, "{text}: {words}");
    }
}

#[test]
fn praise_that_the_text_takes_back_is_contradicted() {
    assert_eq!(verdict("complete reel, missing one screw", vec![], "complete").0, Finding::Contradicted);
    assert_eq!(verdict("mint, some light scratches", vec![], "mint").0, Finding::Contradicted);
    assert_eq!(
        verdict("unused, plating worn", vec![Observation::state("finish", "worn")], "unused").0,
        Finding::Contradicted
    );
}

#[test]
fn of_several_reels_nothing_is_judged() {
    assert_eq!(verdict("lot of 3 reels, 1930s Alder", vec![], "1930s").0, Finding::CantBeJudged);
}

#[test]
fn the_message_asks_a_few_things_in_plain_sentences() {
    let reference = reference();
    let key = Key::build(&reference, &Learned::default());
    let claims = read("1930s Alder Kestrel, sterling cap, hairline crack, works well", &reference);
    let judged = judge(&claims, &Sheet::default(), &reference, &key, 2026);
    assert!(judged.asks.windows(2).all(|pair| pair[0].gain_per_effort >= pair[1].gain_per_effort));
    assert!(judged.message.starts_with("Hello") && judged.message.contains("3. ") && !judged.message.contains("4. "));
    let nothing = judge(&[], &Sheet::default(), &reference, &key, 2026);
    assert!(nothing.verdicts.is_empty());
}

#[test]
fn serial_numbers_are_marks_and_date_by_their_maker() {
    insta::assert_snapshot!(claims("Alder reel, serial number K1234 on the foot, numbered 5512. S/N: K 777. Stamped AB123 inside, serial is 99, marked down to 150 dollars").join("\n"), @"
    maker: Alder
    mark: K1234
    mark: 5512
    mark: K 777
    mark: AB123
    ");
    let told = |text: &str| verdict(text, vec![], "19");
    insta::assert_snapshot!(format!("{:?}", told("Alder & Sons reel made in 1935. Serial no. K1234")), @r#"(Contradicted, "The text's own “Alder & Sons: serial K1234”: 1950 to 1955, as Alder & Sons marked or made them.")"#);
    insta::assert_snapshot!(format!("{:?}", told("Alder & Sons reel made in 1952. Serial no. K1234")), @r#"(NotShown, "The text's own “Alder & Sons: serial K1234”: 1950 to 1955, as Alder & Sons marked or made them. | The text's own “Alder & Sons”: Made reels 1890 to 1960. | These years are possible; other years are too.")"#);
    // Nobody named: whose number it is stays open.
    insta::assert_snapshot!(format!("{:?}", told("Reel made in 1935. Serial no. K1234")), @r#"(NotShown, "Nothing seen, in the text or known of a model named tells the years: a mark, a patent or a dated feature is needed.")"#);
}
