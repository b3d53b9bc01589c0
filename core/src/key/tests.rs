//! Properties of the sums, and what must never be named.

use proptest::prelude::*;

use super::synthetic::{answers, synthetic};
use super::*;
use crate::observe::{Certainty, Unit, Value};

const QUESTIONS: &str = r#"{"format":"tailplate-questions/1","id":"q","title":"Q",
 "efforts":[{"id":"glance","cost":1},{"id":"handle","cost":2},{"id":"measure","cost":3},{"id":"open","cost":8}],
 "mark_places":[{"id":"foot-under","label":"Foot, underside"},{"id":"tail-plate","label":"Far-side plate, outside"}],
 "features":[
 {"id":"reel_kind","ask":"What kind of reel is it?","type":"choice","effort":"glance","states":[{"id":"fly","label":"fly"},{"id":"baitcasting","label":"baitcasting"}]},
 {"id":"foot_shape","ask":"Shape of the foot?","type":"choice","effort":"glance","states":[{"id":"flat","label":"Flat"},{"id":"tapered","label":"Tapered"},{"id":"spoon","label":"Spoon"}]},
 {"id":"pillars","ask":"How many pillars?","type":"count","effort":"glance"},
 {"id":"spool_width","ask":"Width of the spool?","type":"measure","effort":"measure","unit":"mm"},
 {"id":"gear_kind","ask":"Which gears?","type":"choice","effort":"open","states":[{"id":"spur","label":"Spur"},{"id":"worm","label":"Worm"}]}]}"#;
const MAKERS: &str = r#"{"format":"tailplate-makers/1","id":"mk","title":"M","invented":true,"makers":[
 {"id":"marlow","name":"Marlow Works","country":"Nowhere","confidence":"high"},
 {"id":"tern","name":"Tern & Sons","country":"Nowhere","confidence":"high","house_brands":[{"brand":"Gull Stores","seller":"Gull Stores","confidence":"high"}]}]}"#;

fn model(id: &str, maker: &str, number: &str, foot: &str, pillars: u8, width: f64, gear: &str) -> String {
    format!(
        r#"{{"id":"{id}","maker":"{maker}","name":"{id}","numbers":["{number}"],"kind":"fly","commonness":3,"variants":[{{"id":"only","name":"only","years":{{}},
        "marks":[{{"place":"foot-under","struck":"NO. {number}","how_often":"always","confidence":"high"}}],
        "features":{{"foot_shape":{{"states":{{"{foot}":1.0}},"confidence":"high"}},"pillars":{{"value":{pillars},"tol":0,"confidence":"high"}},
        "spool_width":{{"value":{width},"tol":0.5,"confidence":"high"}},"gear_kind":{{"states":{{"{gear}":1.0}},"confidence":"high"}}}}}}]}}"#
    )
}

fn small() -> (Reference, Key) {
    let models = [
        model("plover", "marlow", "3107", "tapered", 4, 20.0, "spur"),
        model("plover-wide", "marlow", "3108", "tapered", 4, 28.0, "spur"),
        model("dunlin", "tern", "871", "flat", 5, 20.0, "spur"),
        model("dunlin-twin", "tern", "872", "flat", 5, 20.0, "worm"),
        model("knot", "tern", "95", "spoon", 3, 35.0, "worm"),
    ];
    let models = format!(
        r#"{{"format":"tailplate-models/1","id":"mo","title":"M","invented":true,"models":[{}]}}"#,
        models.join(",")
    );
    let reference = Reference::load([("q", QUESTIONS), ("m", MAKERS), ("mo", &models)]).unwrap();
    let key = Key::build(&reference, &Learned::default());
    (reference, key)
}

fn answer() -> impl Strategy<Value = Observation> {
    let certainty = prop_oneof![Just(Certainty::Sure), Just(Certainty::Likely), Just(Certainty::Guess)];
    let seen = prop_oneof![
        prop_oneof![Just("flat"), Just("tapered"), Just("spoon")].prop_map(|s| Observation::state("foot_shape", s)),
        (0..9u32).prop_map(|n| Observation::count("pillars", n)),
        (5.0..60.0).prop_map(|mm| Observation::measure("spool_width", mm, Unit::Mm, crate::observe::How::Ruler)),
        prop_oneof![Just("NO. 3107"), Just("87?"), Just("TERN"), Just("XQZ")]
            .prop_map(|t| Observation::mark("foot-under", t)),
        Just(Observation::of(About::mark("tail-plate"), Value::Absent)),
        Just(Observation::of(About::feature("gear_kind"), Value::Unclear)),
    ];
    (seen, certainty).prop_map(|(seen, certainty)| seen.with(certainty))
}

fn chances(key: &Key, tally: &Tally) -> Vec<f64> {
    let mut posterior = Posterior::default();
    posterior.fill(key, tally);
    let mut all: Vec<f64> = (0..key.rows.len()).map(|row| posterior.variant(row)).collect();
    all.push(posterior.not_in_key);
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn order_never_matters_and_taking_back_is_the_inverse(
        seen in proptest::collection::vec(answer(), 1..8), turn in 0usize..8, taken in 0usize..8
    ) {
        let (_, key) = small();
        // One answer a question: of two, the newer would count, and then order does matter.
        let mut one: Vec<Observation> = Vec::new();
        for seen in seen {
            if one.iter().all(|old| old.about != seen.about) {
                one.push(seen);
            }
        }
        let mut tally = Tally::new(&key);
        one.iter().for_each(|seen| tally.add(&key, seen).unwrap());
        let first = chances(&key, &tally);
        let mut turned = Tally::new(&key);
        let turn = turn % one.len();
        one[turn..].iter().chain(&one[..turn]).for_each(|seen| turned.add(&key, seen).unwrap());
        let back = &one[taken % one.len()];
        tally.take_back(&key, &back.about);
        tally.add(&key, back).unwrap();
        for (a, (b, c)) in first.iter().zip(chances(&key, &turned).iter().zip(chances(&key, &tally))) {
            prop_assert!((a - b).abs() < 1e-4 && (a - c).abs() < 1e-4, "{a} {b} {c}");
        }
        prop_assert!((first.iter().sum::<f64>() - 1.0).abs() < 1e-4);
    }
}

#[test]
fn a_thousand_changes_leave_no_drift() {
    let (_, key) = synthetic(2_000, 20).unwrap();
    let seen = answers(20);
    let mut tally = Tally::new(&key);
    for turn in 0..1000 {
        tally.add(&key, &seen[turn % 20]).unwrap();
        tally.take_back(&key, &seen[(turn * 7) % 20].about);
    }
    seen.iter().for_each(|seen| tally.take_back(&key, &seen.about));
    for (now, prior) in tally.nats.as_flattened().iter().zip(key.prior.as_flattened()) {
        assert!((now - prior).abs() < 1e-3);
    }
}

#[test]
fn lettering_settles_what_features_may_not() {
    let (reference, key) = small();
    let looks = vec![
        Observation::state("reel_kind", "fly"),
        Observation::state("foot_shape", "tapered"),
        Observation::count("pillars", 4),
        Observation::measure("spool_width", 20.0, Unit::Mm, crate::observe::How::Ruler),
    ];
    let told = identify(&key, &reference, &looks);
    assert_eq!(told.candidates[0].model, "plover");
    assert!(matches!(told.verdict, Verdict::Undecided | Verdict::NotInKey), "{told:?}");
    let mut read = looks;
    read.push(Observation::mark("foot-under", "No. 31?7"));
    let told = identify(&key, &reference, &read);
    assert_eq!(told.verdict, Verdict::Settled { model: "plover".into() }, "{told:?}");
    let why: Vec<&str> = told.candidates[0].agrees.iter().map(|r| r.words.as_str()).collect();
    assert!(why.contains(&"Foot shape: tapered, as on this model"), "{why:?}");
    assert!(why.contains(&"Foot, underside: “NO. 3107”, struck on it"), "{why:?}");
}

#[test]
fn a_maker_is_named_by_lettering_though_the_model_is_new() {
    let (reference, key) = small();
    let seen = [Observation::mark("tail-plate", "MARLOW WORKS / No 5540"), Observation::state("foot_shape", "spoon")];
    let told = identify(&key, &reference, &seen);
    assert!(told.makers[0].0 == "marlow" && told.makers[0].1 > 10.0 * told.makers[1].1, "{:?}", told.makers);
    assert!(!matches!(told.verdict, Verdict::Settled { .. }));
}

#[test]
fn what_the_packs_do_not_know_is_a_sentence_and_harms_nothing() {
    let (reference, key) = small();
    let seen = [
        Observation::state("no_such", "x"),
        Observation::state("foot_shape", "no_such"),
        Observation::mark("no_such", "X"),
        Observation::measure("spool_width", 3.0, Unit::Oz, crate::observe::How::Scale),
        Observation::count("gear_kind", 3),
    ];
    let told = identify(&key, &reference, &seen);
    assert_eq!(told.problems.len(), 5, "{:?}", told.problems);
    let nothing = identify(&key, &reference, &[]);
    assert_eq!(told.not_in_key, nothing.not_in_key);
}

#[test]
fn twins_are_told_apart_only_when_opened() {
    let (reference, key) = small();
    let twins = separate(&key, &reference, &["dunlin", "dunlin-twin"]).unwrap();
    let gears = twins.differences.iter().find(|d| d.about == About::feature("gear_kind")).unwrap();
    assert!(gears.power > 0.8 && gears.effort == EffortId::Open);
    assert_eq!(gears.per_model[0], ("dunlin".into(), "spur".into()));
    let wide = separate(&key, &reference, &["plover", "plover-wide"]).unwrap();
    assert!(!wide.must_open && wide.inseparable.is_empty());
    assert!(separate(&key, &reference, &["plover", "nobody"]).is_err());
    assert!(separate(&key, &reference, &["plover", "plover"]).is_err());
}

#[test]
fn confirmed_finds_sharpen_and_are_told() {
    let (reference, plain) = small();
    let mut learned = Learned::default();
    let looks = [Observation::state("foot_shape", "spoon")];
    (0..3).for_each(|_| learned.add("plover", &looks.iter().collect::<Vec<_>>()));
    let json = serde_json::to_string(&learned).unwrap();
    assert_eq!(serde_json::from_str::<Learned>(&json).unwrap(), learned);
    let key = Key::build(&reference, &learned);
    let chance = |key: &Key| {
        let told = identify(key, &reference, &looks);
        told.candidates.iter().find(|c| c.model == "plover").map_or(0.0, |c| c.p)
    };
    assert!(chance(&key) > 2.0 * chance(&plain));
    let told = identify(&key, &reference, &looks);
    let plover = told.candidates.iter().find(|c| c.model == "plover").unwrap();
    let words: Vec<&str> = plover.agrees.iter().chain(&plover.disagrees).map(|r| r.words.as_str()).collect();
    assert!(words.iter().any(|w| w.ends_with("(seen so on 3 of your own 3)")), "{words:?}");
}

#[test]
fn no_single_answer_can_strike_a_reel_out() {
    let (_, key) = small();
    for (question, seen) in [
        ("foot_shape", Observation::state("foot_shape", "spoon")),
        ("pillars", Observation::count("pillars", 9)),
        ("spool_width", Observation::measure("spool_width", 90.0, Unit::Mm, crate::observe::How::Calliper)),
    ] {
        let worth = key.questions[key.question(question).unwrap()].judge(&seen).unwrap().unwrap();
        assert!(worth.iter().all(|[own, _]| *own >= 0.029_f32.ln()), "{question}: {worth:?}");
    }
    let mut tally = Tally::new(&key);
    tally.add(&key, &Observation::mark("foot-under", "NO. 3107")).unwrap();
    let marks = tally.marks.nats().unwrap();
    assert!(marks.iter().all(|[own, _]| *own >= 0.079_f32.ln()), "{marks:?}");
}
