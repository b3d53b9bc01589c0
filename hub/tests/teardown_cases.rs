//! Known take-aparts as recordings: they play backwards, keep photos with their steps, and say where to stop.

use std::collections::BTreeMap;

use serde::Deserialize;
use tailplate_core::service::limits;
use tailplate_core::strip::{Strip, StripEvent, cautions_before, leftovers, put_back, screws};
use tailplate_hub::cases::CaseSource;
use tailplate_hub::packs::{self, Choice};

#[derive(Deserialize, Default)]
#[serde(default, deny_unknown_fields)]
struct Expect {
    back: Vec<String>,
    cautions: BTreeMap<String, Vec<String>>,
    /// Left alone, with the caution that says so.
    stop: Vec<String>,
    photos: BTreeMap<String, usize>,
    /// Length by hole.
    screws: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    source: CaseSource,
    kind: String,
    order: String,
    events: Vec<StripEvent>,
    expect: Expect,
}

#[test]
fn known_take_aparts_play_backwards_with_their_cautions() {
    let packs = packs::load(&Choice::default()).unwrap();
    for (name, text) in [
        ("bail", include_str!("../teardown-cases/bail-of-a-spinning-reel.json")),
        ("pawl", include_str!("../teardown-cases/level-wind-reel-with-a-spare-pawl.json")),
        ("screws", include_str!("../teardown-cases/raised-pillar-reel-with-screws-alike.json")),
    ] {
        let case: Case = serde_json::from_str(text).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(!case.source.url.is_empty());
        let strip = Strip::of(&case.events);
        assert_eq!(strip.problems, Vec::<String>::new(), "{name}");
        let order = packs.work.order(&case.order).unwrap();
        let back = put_back(&packs, Some(order), &strip, &case.kind);
        let steps: Vec<&str> = back.steps.iter().map(|step| step.step.as_str()).collect();
        assert_eq!(steps, case.expect.back, "{name}");
        assert!(back.conflicts.is_empty(), "{name}: {:?}", back.conflicts);
        for (step, cautions) in &case.expect.cautions {
            let found = back.steps.iter().find(|back| back.step == *step).unwrap();
            for caution in cautions {
                assert!(
                    found.cautions.iter().any(|known| known.id == *caution),
                    "{name}, {step}: {caution} is not shown"
                );
            }
        }
        for step in &case.expect.stop {
            let took = &strip.step(step).unwrap().took;
            assert!(took.left_alone);
            assert!(cautions_before(&packs, took, &case.kind).iter().any(|caution| caution.id == "c-rivet"), "{name}");
        }
        for (step, count) in &case.expect.photos {
            assert_eq!(
                back.steps.iter().find(|back| back.step == *step).unwrap().photos.len(),
                *count,
                "{name}: {step}"
            );
        }
        let places = screws(&strip);
        for (hole, length_mm) in &case.expect.screws {
            let place = places.iter().find(|place| place.hole == *hole).unwrap();
            assert_eq!(place.length_mm, Some(*length_mm));
            assert!(place.mind.as_ref().unwrap().contains("splits a plate or runs into the works"));
        }
        assert_eq!(leftovers(&strip).len(), case.expect.back.len(), "{name}: nothing is back yet");
    }
}

/// No figure without its source and what it applies to; no turning force at all, since no source has one.
#[test]
fn a_figure_without_a_source_is_not_displayed() {
    let packs = packs::load(&Choice::default()).unwrap();
    let mut shown = 0;
    for test in &packs.work.function_tests {
        let limits = limits(&packs, test);
        shown += limits.len();
        assert!(limits.iter().all(|limit| !limit.sources.is_empty() && !limit.applies.is_empty()), "{}", test.id);
        assert_eq!(limits.len(), test.limits.len(), "{}: a limit of the pack has no source", test.id);
    }
    assert!(shown > 10, "{shown}");
    let remedies = packs.faults.causes.iter().flat_map(|cause| &cause.remedy);
    let services = packs.work.services.iter().flat_map(|list| list.items.iter().map(|item| &item.r#do));
    for words in remedies.chain(services) {
        let with_unit = |unit: &str| words.split_whitespace().any(|word| word.trim_end_matches(['.', ',']) == unit);
        assert!(!["Nm", "N·m", "ft-lb", "in-lb"].iter().any(|unit| with_unit(unit)), "{words}");
    }
}
