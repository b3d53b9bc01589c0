use proptest::prelude::*;

use super::*;
use crate::reference::{MustBeBefore, OrderStep, Reference, StripOrder};

const WORK: &str = r#"{"format": "tailplate-work/1", "id": "w", "title": "W",
 "cautions": [{"id": "c-spring", "when": "Springs", "text": "Springs fly."}, {"id": "c-length", "when": "Screws", "text": "To its hole."},
  {"id": "c-rivet", "when": "Rivets", "text": "A rivet says stop."}],
 "caution_words": [{"words": ["rivet"], "any_of": ["c-rivet"]}],
 "hazards": [{"id": "spring", "text": "Flies", "caution": "c-spring", "roles": ["dog-spring"]}, {"id": "length", "text": "Lengths", "caution": "c-length"}]}"#;

fn packs() -> Reference {
    Reference::load([("w.json", WORK)]).unwrap()
}

fn event(id: &str, what: Happened) -> StripEvent {
    StripEvent { id: id.into(), at_ms: 1000, what }
}

fn took(role: &str) -> Happened {
    Happened::Took(Took { role: role.into(), count: 1, ..Took::default() })
}

fn taken(roles: &[&str]) -> Vec<StripEvent> {
    roles.iter().map(|role| event(role, took(role))).collect()
}

fn order(steps: &[&str], pairs: &[(&str, &str)]) -> StripOrder {
    let step = |id: &&str| OrderStep { id: (*id).into(), roles: vec![(*id).into()], ..OrderStep::default() };
    let pair = |(before, after): &(&str, &str)| MustBeBefore {
        before: (*before).into(),
        after: (*after).into(),
        why: format!("{before} first"),
    };
    StripOrder {
        steps: steps.iter().map(step).collect(),
        put_together: pairs.iter().map(pair).collect(),
        ..StripOrder::default()
    }
}

fn way_back(events: &[StripEvent], order: Option<&StripOrder>) -> PutBack {
    put_back(&packs(), order, &Strip::of(events), "")
}

fn names(back: &PutBack) -> Vec<&str> {
    back.steps.iter().map(|step| step.step.as_str()).collect()
}

#[test]
fn the_time_at_the_bench_leaves_long_pauses_out() {
    let at = |minutes: i64| StripEvent { at_ms: minutes * 60_000, ..event("e", took("a")) };
    // Ten minutes, a night, five minutes; joined from two hands, so not in order.
    assert_eq!(time_at_bench_ms(&[at(0), at(700), at(10), at(705)]), 15 * 60_000);
    assert_eq!(time_at_bench_ms(&[]), 0);
}

#[test]
fn steps_play_backwards() {
    let back = way_back(&taken(&["handle", "plate", "spool"]), None);
    assert_eq!(names(&back), ["spool", "plate", "handle"]);
    assert!(back.steps.iter().all(|step| step.moved_for.is_empty()));
}

#[test]
fn what_must_be_in_first_is_moved_and_says_why() {
    // The dog was found loose and picked out after the bridge had been laid down, last of all but the bridge.
    let order = order(&["bridge", "dog", "gear"], &[("dog", "bridge")]);
    let back = way_back(&taken(&["dog", "gear", "bridge"]), Some(&order));
    assert_eq!(names(&back), ["gear", "dog", "bridge"]);
    assert_eq!(back.steps[2].moved_for, ["dog first"]);
}

#[test]
fn rules_that_go_round_are_named_and_every_step_still_comes_back() {
    let order = order(&["a", "b", "c"], &[("a", "b"), ("b", "a")]);
    let back = way_back(&taken(&["a", "b", "c"]), Some(&order));
    assert_eq!(back.steps.len(), 3);
    assert_eq!(back.conflicts.len(), 1);
    assert!(back.conflicts[0].words.contains("a, b"), "{:?}", back.conflicts);
}

#[test]
fn cautions_come_before_the_step_again() {
    let mut events = taken(&["handle", "dog-spring"]);
    events.push(event("n", Happened::Took(Took { words: "odd wire".into(), under_tension: true, ..Took::default() })));
    let screw = Fastener { kind: "screw".into(), length_mm: Some(8.0), hole: "3".into(), ..Fastener::default() };
    events.push(event("s", Happened::Took(Took { words: "plate".into(), fastener: Some(screw), ..Took::default() })));
    let back = way_back(&events, None);
    let cautions = |step: &str| -> Vec<&str> {
        let found = back.steps.iter().find(|back| back.step == step).unwrap();
        found.cautions.iter().map(|caution| caution.id.as_str()).collect()
    };
    assert_eq!(cautions("dog-spring"), ["c-spring"]);
    assert_eq!(cautions("n"), ["c-spring"], "a part without a name, under tension");
    assert_eq!(cautions("s"), ["c-length"]);
    assert!(cautions("handle").is_empty());
}

#[test]
fn a_rivet_says_stop_and_is_no_leftover() {
    let rivet = Fastener { kind: "rivet".into(), ..Fastener::default() };
    let bearing = Took { words: "bearing".into(), fastener: Some(rivet), left_alone: true, ..Took::default() };
    let spare = Took { role: "pawl".into(), words: "spare pawl".into(), spare: true, ..Took::default() };
    assert_eq!(cautions_before(&packs(), &bearing, "")[0].id, "c-rivet");
    let events = [event("r", Happened::Took(bearing)), event("p", Happened::Took(spare))];
    assert!(leftovers(&Strip::of(&events)).is_empty());
    assert!(way_back(&events, None).steps.is_empty());
}

#[test]
fn counts_out_and_in_must_come_even() {
    let shims = Took { role: "gear-shim".into(), count: 3, tray: "B4".into(), ..Took::default() };
    let mut events = vec![event("shims", Happened::Took(shims))];
    events.push(event("t1", Happened::Ticked { step: "shims".into(), count: 2 }));
    let left = leftovers(&Strip::of(&events));
    insta::assert_snapshot!(left[0].words, @"gear shim: 1 of 3 still lie in B4.");
    events.push(event("t2", Happened::Ticked { step: "shims".into(), count: 2 }));
    insta::assert_snapshot!(leftovers(&Strip::of(&events))[0].words, @"gear shim: 4 went back, and only 3 came off.");
}

#[test]
fn screws_of_one_thread_and_two_lengths_are_told_apart_by_hole() {
    let screw = |hole: &str, length_mm: f64| Took {
        role: "pillar-screw".into(),
        fastener: Some(Fastener {
            kind: "screw".into(),
            length_mm: Some(length_mm),
            hole: hole.into(),
            ..Fastener::default()
        }),
        ..Took::default()
    };
    let strip = Strip::of(&[event("1", Happened::Took(screw("1", 6.0))), event("2", Happened::Took(screw("2", 9.0)))]);
    let places = screws(&strip);
    assert_eq!((places[0].hole.as_str(), places[0].length_mm), ("1", Some(6.0)));
    assert!(places.iter().all(|place| place.mind.as_deref().unwrap().contains("another length")));
    let unnoted = Strip::of(&[event("1", took("pillar-screw"))]);
    assert!(screws(&unnoted)[0].mind.as_deref().unwrap().contains("Neither hole nor length"));
}

#[test]
fn one_goes_on_where_one_stopped() {
    let mut events = taken(&["handle", "plate"]);
    assert_eq!(Strip::of(&[]).stands_at(), StandsAt::NotBegun);
    assert_eq!(Strip::of(&events).stands_at(), StandsAt::TakingApart);
    events.push(event("t", Happened::Ticked { step: "plate".into(), count: 1 }));
    assert_eq!(Strip::of(&events).stands_at(), StandsAt::PuttingTogether);
    assert_eq!(way_back(&events, None).next.as_deref(), Some("handle"));
    events.push(event("u", Happened::Ticked { step: "handle".into(), count: 1 }));
    assert_eq!(Strip::of(&events).stands_at(), StandsAt::AllBack);
    assert_eq!(way_back(&events, None).next, None);
}

#[test]
fn a_guide_tells_the_common_order_and_where_they_differ() {
    let strips: Vec<Strip> = [["handle", "star", "plate"], ["handle", "star", "plate"], ["star", "handle", "plate"]]
        .iter()
        .map(|roles| Strip::of(&taken(roles)))
        .collect();
    let guide = guide(&strips);
    let parts: Vec<&str> = guide.steps.iter().map(|step| step.part.as_str()).collect();
    assert_eq!(parts, ["handle", "star", "plate"]);
    assert_eq!(guide.differ, [TwoWays { a: "handle".into(), b: "star".into(), a_first: 2, b_first: 1 }]);
}

#[test]
fn a_reel_that_was_whole_again_is_taken_apart_in_a_new_round() {
    let back = |id: &str, step: &str| event(id, Happened::Ticked { step: step.into(), count: 1 });
    let mut events = taken(&["handle", "plate"]);
    events.extend([back("1", "plate"), back("2", "handle")]);
    assert_eq!(rounds(&events).len(), 1);
    events.push(event("spool", took("spool")));
    let ids = |events: &[StripEvent]| -> Vec<Vec<String>> {
        rounds(events).iter().map(|round| round.iter().map(|event| event.id.clone()).collect()).collect()
    };
    assert_eq!(ids(&events)[1], ["spool"]);
    assert_eq!(last_standing(&events).map(|event| event.id.as_str()), Some("spool"));
    events.push(event("u1", Happened::Undone { event: "spool".into() }));
    assert_eq!(last_standing(&events).map(|event| event.id.as_str()), Some("2"));
    events.push(event("u2", Happened::Undone { event: "2".into() }));
    assert_eq!(ids(&events), [["handle", "plate", "1"]], "the handle still lies in the tray");
}

#[test]
fn events_are_kept_and_read_as_json() {
    let events = [event("1", took("handle")), event("2", Happened::Ticked { step: "1".into(), count: 1 })];
    let text = serde_json::to_string(&events).unwrap();
    insta::assert_snapshot!(text, @r#"[{"id":"1","at_ms":1000,"what":{"took":{"role":"handle","count":1}}},{"id":"2","at_ms":1000,"what":{"ticked":{"step":"1","count":1}}}]"#);
    assert_eq!(serde_json::from_str::<Vec<StripEvent>>(&text).unwrap(), events);
}

const ROLES: [&str; 6] = ["a", "b", "c", "d", "e", "f"];

/// Any recording: parts off, ticks, notes and takings back, ids by their place.
fn any_events() -> impl Strategy<Value = Vec<StripEvent>> {
    let one = (0..4_u8, 0..6_usize, 0..12_usize, 0..4_u32);
    prop::collection::vec(one, 0..16).prop_map(|all| {
        all.into_iter()
            .enumerate()
            .map(|(at, (what, role, other, count))| {
                let other = other.to_string();
                let what = match what {
                    0 => Happened::Took(Took { role: ROLES[role].into(), count, ..Took::default() }),
                    1 => Happened::Ticked { step: other, count },
                    2 => Happened::Note { step: Some(other), words: format!("note {role}") },
                    _ => Happened::Undone { event: other },
                };
                event(&at.to_string(), what)
            })
            .collect()
    })
}

proptest! {
    #[test]
    fn putting_together_is_a_permutation_that_keeps_every_rule_or_names_the_conflict(
        roles in Just(ROLES.to_vec()).prop_shuffle(),
        pairs in prop::collection::vec((0..6_usize, 0..6_usize), 0..8),
    ) {
        let pairs: Vec<(&str, &str)> = pairs.iter().filter(|(a, b)| a != b).map(|(a, b)| (ROLES[*a], ROLES[*b])).collect();
        let order = order(&ROLES, &pairs);
        let back = way_back(&taken(&roles), Some(&order));
        let mut all = names(&back);
        let at = |id: &str| back.steps.iter().position(|step| step.step == id).unwrap();
        for (before, after) in &pairs {
            let in_conflict = back.conflicts.iter().any(|conflict| {
                conflict.steps.iter().any(|step| step == before) && conflict.steps.iter().any(|step| step == after)
            });
            prop_assert!(at(before) < at(after) || in_conflict, "{before} before {after}: {:?}", names(&back));
        }
        all.sort_unstable();
        prop_assert_eq!(all, ROLES.to_vec());
    }

    #[test]
    fn undoing_what_was_done_leaves_no_trace(events in any_events(), role in 0..6_usize, pick in 0..3_u8) {
        let before = Strip::of(&events);
        let done = match pick {
            0 => took(ROLES[role]),
            1 => Happened::Ticked { step: "0".into(), count: 1 },
            _ => Happened::Note { step: None, words: "x".into() },
        };
        let mut events = events;
        events.push(event("done", done));
        let with = Strip::of(&events);
        events.push(event("undo", Happened::Undone { event: "done".into() }));
        prop_assert_eq!(&Strip::of(&events), &before);
        // And undoing the undoing brings it back.
        events.push(event("redo", Happened::Undone { event: "undo".into() }));
        prop_assert_eq!(Strip::of(&events), with);
    }

    #[test]
    fn a_guide_does_not_depend_on_the_order_of_recordings(
        recordings in prop::collection::vec(any_events(), 0..5).prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle())),
    ) {
        let fold = |all: &[Vec<StripEvent>]| all.iter().map(|events| Strip::of(events)).collect::<Vec<_>>();
        prop_assert_eq!(guide(&fold(&recordings.0)), guide(&fold(&recordings.1)));
    }
}
