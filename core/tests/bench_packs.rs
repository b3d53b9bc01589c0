//! The packs of faults and bench work that ship: every reference resolves, no remedy stands without its caution, and no
//! figure without its source.

use tailplate_core::faults::{FaultKey, Finding, Observed, Seen, judge, remedy};
use tailplate_core::reference::{BenchCaution, Often, Reference, applies, check, check_reference};
use tailplate_core::service;
use tailplate_core::strip::{Fastener, Happened, Strip, StripEvent, Took, cautions_before, plan, put_back};

const PACKS: [(&str, &str); 3] = [
    ("questions.json", include_str!("../../public/reference/questions.json")),
    ("work.json", include_str!("../../public/reference/work.json")),
    ("faults.json", include_str!("../../public/reference/faults.json")),
];

fn shipped() -> Reference {
    Reference::load(PACKS).unwrap()
}

#[test]
fn they_hold_no_fault_together_or_each_beside_the_others() {
    let reference = shipped();
    assert!(reference.faults.causes.len() > 200 && reference.work.strip_orders.len() > 10);
    let mut faults = check_reference(&reference);
    for (name, text) in PACKS {
        faults.extend(check(&reference, name, text));
    }
    let told: String = faults.iter().map(|fault| format!("{fault}\n")).collect();
    assert!(faults.is_empty(), "{} faults:\n{told}", faults.len());
}

/// One planted fault of each sort, in the packs that ship.
#[test]
fn planted_faults_are_named() {
    let reference = shipped();
    for (at, old, new, trouble) in [
        (
            2,
            r#""cautions":["c-ammonia","c-acid","c-patina","c-sharp"]"#,
            r#""cautions":["c-patina"]"#,
            "one of c-acid, c-celluloid is due here",
        ),
        (
            2,
            r#""s-stiff":"always","s-cold-stiff""#,
            r#""s-stif":"always","s-cold-stiff""#,
            "there is no symptom “s-stif”",
        ),
        (
            2,
            r#""k-warm":{"better":"often"}"#,
            r#""k-warm":{"best":"often"}"#,
            "the check “k-warm” has no result “best”",
        ),
        (
            2,
            r#""consumables":["wb-degreaser","#,
            r#""consumables":["wb-degraser","#,
            "there is no consumable “wb-degraser”",
        ),
        (2, r#""src":["vocab","needs"]"#, r#""src":["vocab","nobody"]"#, "the pack lists no source “nobody”"),
        (
            1,
            r#""before":"a-dog","after":"a-bridge""#,
            r#""before":"a-bridge","after":"a-dog""#,
            "contradicts the steps",
        ),
        (1, r#""hazards":["spring"]"#, r#""hazards":[]"#, "is due here"),
        (
            1,
            r#""value":"no slip anywhere","applies":"any reel with a dog or roller clutch","src":["ar-test"]"#,
            r#""value":"no slip anywhere","applies":"any reel with a dog or roller clutch","src":[]"#,
            "a limit needs its source",
        ),
        (1, r#""caution":"c-balls""#, r#""caution":"c-bals""#, "there is no caution “c-bals”"),
    ] {
        let (name, text) = PACKS[at];
        assert!(text.contains(old), "{name} does not hold {old}");
        let faults = check(&reference, name, &text.replacen(old, new, 1));
        assert!(faults.iter().any(|fault| fault.to_string().contains(trouble)), "{new}: {faults:?}");
    }
}

/// Every kind of step that needs a caution, with the caution that must be shown before it.
#[test]
fn every_sort_of_step_that_can_hurt_shows_its_caution() {
    let packs = shipped();
    let took = |role: &str| Took { role: role.into(), ..Took::default() };
    let fastened =
        |kind: &str| Took { fastener: Some(Fastener { kind: kind.into(), ..Fastener::default() }), ..Took::default() };
    let tense = Took { words: "odd wire".into(), under_tension: true, ..Took::default() };
    for (what, took, kind, caution) in [
        ("a bail spring", took("bail-spring"), "spinning", "c-spring"),
        ("a jack spring", took("jack-spring"), "conventional", "c-spring"),
        ("a check spring", took("check-spring"), "fly", "c-spring"),
        ("a clip", took("e-clip"), "baitcasting", "c-spring"),
        ("an unnamed part under tension", tense, "", "c-spring"),
        ("anything of an automatic reel", took("line-guard"), "automatic", "c-mainspring"),
        ("a spring case", took("spring-case"), "automatic", "c-mainspring"),
        ("loose balls", took("ball-race"), "centrepin", "c-balls"),
        ("a line roller", took("line-roller"), "spinning", "c-sharp"),
        ("a wire guide", took("wire-guide"), "wire-line", "c-sharp"),
        ("a plate screw", took("pillar-screw"), "conventional", "c-screw-length"),
        ("any screw", fastened("screw"), "fly", "c-screw-length"),
        ("a plate", took("head-plate"), "conventional", "c-stuck-screw"),
        ("a friction washer", took("friction-washer"), "big-game", "c-asbestos"),
        ("a lever drag's disc", took("drag-disc"), "big-game", "c-asbestos"),
        ("a cell", took("battery-pack"), "", "c-electric"),
        ("a rivet", fastened("rivet"), "centrepin", "c-rivet"),
    ] {
        let shown = cautions_before(&packs, &took, kind);
        assert!(shown.iter().any(|shown| shown.id == caution), "{what}: {caution} is not shown, {shown:?}");
    }
}

/// All hazards that the orders and parts name come out before the step, and again on the way back.
#[test]
fn hazards_of_an_order_are_shown_before_each_step_and_repeated_on_the_way_back() {
    let packs = shipped();
    let mut shown = 0;
    for order in &packs.work.strip_orders {
        let kind = order.kinds.first().map_or("", String::as_str);
        let events: Vec<StripEvent> = order
            .steps
            .iter()
            .map(|step| StripEvent {
                id: step.id.clone(),
                at_ms: 1,
                what: Happened::Took(Took { guide_step: step.id.clone(), ..Took::default() }),
            })
            .collect();
        let strip = Strip::of(&events);
        let plan = plan(&packs, order, &Strip::default(), kind);
        let back = put_back(&packs, Some(order), &strip, kind);
        assert!(back.conflicts.is_empty() && back.steps.len() == order.steps.len(), "{}", order.id);
        for step in &order.steps {
            let of_hazard = |id: &String| packs.work.hazards.iter().find(|hazard| hazard.id == *id).unwrap();
            let mut due: Vec<&str> = step.hazards.iter().map(|id| of_hazard(id).caution.as_str()).collect();
            due.extend(step.cautions.iter().map(String::as_str));
            if kind == "automatic" {
                due.push("c-mainspring");
            }
            let before = &plan.iter().find(|plan| plan.id == step.id).unwrap().cautions;
            let again = &back.steps.iter().find(|back| back.step == step.id).unwrap().cautions;
            for caution in due {
                shown += 1;
                for list in [before, again] {
                    assert!(list.iter().any(|known| known.id == caution), "{}/{}: {caution}", order.id, step.id);
                }
            }
        }
        // The generic order read backwards keeps its own rules, so nothing had to be moved.
        assert!(back.steps.iter().all(|step| step.moved_for.is_empty()), "{}", order.id);
    }
    assert!(shown > 80, "{shown}");
}

/// On every kind of reel every remedy, check, service item and test that can hurt carries its caution.
#[test]
fn no_remedy_check_or_service_item_is_shown_without_the_caution_it_calls_for() {
    let packs = shipped();
    let kinds: Vec<&str> = packs.feature("reel_kind").unwrap().states.iter().map(|kind| kind.id.as_str()).collect();
    let has =
        |cautions: &[BenchCaution], any: &[&str]| cautions.iter().any(|caution| any.contains(&caution.id.as_str()));
    for kind in &kinds {
        for cause in packs.faults.causes.iter().filter(|cause| applies(&cause.kinds, kind)) {
            let remedy = remedy(&packs, &cause.id, kind).unwrap();
            let told = format!("{kind}: {}", cause.id);
            for (product, any) in [
                ("white-spirit", &["c-solvent"][..]),
                ("ipa", &["c-solvent"]),
                ("penetrant", &["c-solvent"]),
                ("vinegar", &["c-acid"]),
                ("epoxy", &["c-glue"]),
            ] {
                if cause.consumables.iter().any(|used| used == product) {
                    assert!(has(&remedy.cautions, any), "{told}, {product}");
                }
            }
            if *kind == "automatic" && !cause.nothing_to_mend() {
                assert!(has(&remedy.cautions, &["c-mainspring"]), "{told}");
            }
            if cause.parts.iter().any(|part| part == "friction-washer") {
                assert!(has(&remedy.cautions, &["c-asbestos"]), "{told}");
            }
            if cause.remedy.iter().any(|step| step.to_lowercase().contains("heat")) {
                assert!(has(&remedy.cautions, &["c-torch", "c-heat-rubber", "c-celluloid", "c-wood"]), "{told}");
            }
        }
        if let Some(plan) = service::plan(&packs, kind, &[]) {
            for item in &plan.items {
                if item.product.as_deref().is_some_and(|product| product.starts_with("White spirit")) {
                    assert!(has(&item.cautions, &["c-solvent"]), "{}", item.id);
                }
            }
        }
    }
    for test in packs.work.function_tests.iter().filter(|test| test.id.starts_with("t-drag")) {
        assert!(test.cautions.iter().any(|id| id == "c-drag-test"), "{}", test.id);
    }
}

/// Each cause, told by all it nearly always shows and by its checks, comes first or close behind a like one.
#[test]
fn a_cause_told_by_its_own_signs_is_found() {
    let packs = shipped();
    let (mut first, mut in_three, mut all, mut missed) = (0, 0, 0, Vec::new());
    for cause in &packs.faults.causes {
        let kind = cause.kinds.first().map_or("conventional", String::as_str);
        let key = FaultKey::build(&packs, kind);
        let strong = |often: &Often| often.chance() >= 0.6;
        let symptoms =
            cause.symptoms.iter().filter(|(_, often)| strong(often)).map(|(id, _)| (id.clone(), Seen::Present));
        let checks = cause.checks.iter().filter_map(|(id, results)| {
            let (result, often) = results.iter().max_by(|a, b| a.1.chance().total_cmp(&b.1.chance()))?;
            strong(often).then(|| (id.clone(), result.clone()))
        });
        let seen = Observed {
            kind: kind.into(),
            symptoms: symptoms.collect(),
            checks: checks.collect(),
            ..Observed::default()
        };
        let answer = judge(&key, &seen);
        let place = answer.causes.iter().position(|ranked| ranked.cause == cause.id);
        all += 1;
        first += usize::from(place == Some(0));
        in_three += usize::from(place.is_some_and(|place| place < 3));
        if place.is_none_or(|place| place >= 3) {
            missed.push(cause.id.as_str());
        }
        if let Finding::Found(found) = &answer.finding {
            assert!(*found == cause.id || place == Some(1), "{}: sure of {found}", cause.id);
        }
    }
    println!("{first} first, {in_three} among three, of {all}; missed: {missed:?}");
    assert!(in_three * 20 >= all * 19 && first * 10 >= all * 8, "{first}, {in_three} of {all}; missed: {missed:?}");
}
