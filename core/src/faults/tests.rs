use super::*;
use crate::reference::Reference;
use proptest::prelude::*;

const QUESTIONS: &str = r#"{"format": "tailplate-questions/1", "id": "q", "title": "Q",
 "efforts": [{"id": "glance", "cost": 1}, {"id": "handle", "cost": 2}, {"id": "strip", "cost": 20}],
 "features": [{"id": "reel_kind", "ask": "Kind?", "type": "choice", "effort": "glance",
  "states": [{"id": "fly", "label": "Fly"}, {"id": "spinning", "label": "Spinning"}]}]}"#;

const WORK: &str = r#"{"format": "tailplate-work/1", "id": "w", "title": "W",
 "cautions": [{"id": "c-spring", "when": "Springs", "text": "Springs fly."}, {"id": "c-solvent", "when": "Baths", "text": "No flame."}],
 "caution_words": [{"words": ["spring"], "any_of": ["c-spring"]}],
 "hazards": [{"id": "spring", "text": "Flies off", "caution": "c-spring", "roles": ["bail-spring"]}],
 "consumables": [{"id": "spirit", "label": "Spirit", "use": "Grease", "not_on": "rubber", "cautions": ["c-solvent"]}]}"#;

const FAULTS: &str = r#"{"format": "tailplate-faults/1", "id": "f", "title": "F",
 "variants": [["bail", "pick up"], ["not", "wont", "refuses"]],
 "symptoms": [
  {"id": "s-open", "say": ["bail won't close"], "finds": "Bail stays open", "how": "Turn", "effort": "handle"},
  {"id": "s-floppy", "say": ["bail is floppy"], "finds": "No spring force", "how": "Move it", "effort": "handle"},
  {"id": "s-stiff", "say": ["turns hard"], "finds": "Even resistance", "how": "Turn", "effort": "handle"}],
 "checks": [{"id": "k-wire", "label": "Loosen the wire", "how": "Screw out", "effort": "strip",
   "results": [["tension", "arm jumps"], ["none", "arm is limp"]], "normal": "tension"}],
 "causes": [
  {"id": "x-spring", "label": "Bail spring broken", "type": "wear", "prior": "common", "symptoms": {"s-open": "always", "s-floppy": "always"},
   "checks": {"k-wire": {"none": "always"}}, "explain": "It tires.", "remedy": ["Renew it"], "parts": ["bail-spring"]},
  {"id": "x-bent", "label": "Wire bent", "type": "damage", "prior": "common", "symptoms": {"s-open": "always"},
   "checks": {"k-wire": {"tension": "always"}}, "explain": "A blow.", "remedy": ["Straighten"]},
  {"id": "x-dirt", "label": "Old grease", "type": "dirt", "prior": "usual", "symptoms": {"s-stiff": "always", "s-open": "sometimes"},
   "explain": "It hardens.", "remedy": ["Wash"], "consumables": ["spirit"]}]}"#;

fn packs() -> Reference {
    Reference::load([("q.json", QUESTIONS), ("w.json", WORK), ("f.json", FAULTS)]).unwrap()
}

fn seen(symptoms: &[(&str, Seen)], checks: &[(&str, &str)]) -> Observed {
    Observed {
        kind: "spinning".into(),
        symptoms: symptoms.iter().map(|(id, seen)| ((*id).to_owned(), *seen)).collect(),
        checks: checks.iter().map(|(id, result)| ((*id).to_owned(), (*result).to_owned())).collect(),
        ..Observed::default()
    }
}

fn judged(observed: &Observed) -> Judged {
    let reference = packs();
    judge(&FaultKey::build(&reference, &observed.kind), observed)
}

fn p(answer: &Judged, cause: &str) -> f64 {
    answer.causes.iter().find(|ranked| ranked.cause == cause).map_or(0.0, |ranked| ranked.p)
}

#[test]
fn absent_is_evidence_and_not_looked_at_is_none() {
    let open = judged(&seen(&[("s-open", Seen::Present)], &[]));
    let not_floppy = judged(&seen(&[("s-open", Seen::Present), ("s-floppy", Seen::Absent)], &[]));
    assert!((p(&open, "x-spring") - p(&open, "x-bent")).abs() < 1e-9, "nothing parts the two yet");
    assert!(p(&not_floppy, "x-bent") > 3.0 * p(&not_floppy, "x-spring"), "{not_floppy:?}");
    let against = &not_floppy.causes.iter().find(|c| c.cause == "x-spring").unwrap().speaks_against;
    assert!(against[0].words.starts_with("Not found: no spring force"), "{against:?}");
}

#[test]
fn symptoms_alone_never_settle_a_cause_and_a_check_does() {
    let told = judged(&seen(&[("s-open", Seen::Present), ("s-floppy", Seen::Present)], &[]));
    assert_eq!(told.finding, Finding::Likely("x-spring".into()));
    let checked = judged(&seen(&[("s-open", Seen::Present), ("s-floppy", Seen::Present)], &[("k-wire", "none")]));
    assert_eq!(checked.finding, Finding::Found("x-spring".into()));
}

#[test]
fn the_check_that_parts_two_causes_is_named_with_its_caution() {
    let reference = packs();
    let key = FaultKey::build(&reference, "spinning");
    let looks = between(&key, "x-spring", "x-bent");
    assert!(looks.iter().any(|look| look.about == Look::Check("k-wire".into())), "{looks:?}");
    assert_eq!(
        looks[0].about,
        Look::Symptom("s-floppy".into()),
        "the one in the hand comes before the strip: {looks:?}"
    );
    assert_eq!(looks[0].why, "If so, it points to: Bail spring broken; if not, to: Wire bent.");
    assert!(between(&key, "x-spring", "x-nothing").is_empty());
}

#[test]
fn a_remedy_brings_the_cautions_its_parts_and_products_call_for() {
    let reference = packs();
    let ids = |cause: &str| -> Vec<String> {
        remedy(&reference, cause, "spinning").unwrap().cautions.into_iter().map(|caution| caution.id).collect()
    };
    assert_eq!(ids("x-spring"), ["c-spring"], "the row names none, the part brings it");
    assert_eq!(ids("x-dirt"), ["c-solvent"]);
    assert!(ids("x-bent").is_empty());
}

#[test]
fn what_the_best_cause_leaves_unexplained_gets_a_second_cause() {
    let both = judged(&seen(
        &[("s-open", Seen::Present), ("s-floppy", Seen::Present), ("s-stiff", Seen::Present)],
        &[("k-wire", "none")],
    ));
    assert_eq!(both.causes[0].cause, "x-spring");
    let second = both.second.unwrap();
    assert_eq!(second.unexplained, ["Even resistance"]);
    assert_eq!(second.cause.unwrap().cause, "x-dirt");
}

/// Two complaints that no cause brings together put the cause of each in front, not one that brings neither well.
#[test]
fn two_faults_at_once_are_both_put_in_front() {
    let all = [("s-open", Seen::Present), ("s-floppy", Seen::Present), ("s-stiff", Seen::Present)];
    let alone = judged(&seen(&all[..2], &[]));
    let both = judged(&seen(&all, &[]));
    assert!(p(&alone, "x-dirt") < 0.1, "{alone:?}");
    assert!(p(&both, "x-dirt") > 2.0 * p(&alone, "x-dirt") && p(&both, "x-spring") > 0.5, "{both:?}");
}

/// What is as it should be speaks against a cause, whatever else is wrong.
#[test]
fn a_second_fault_excuses_no_check_that_was_as_it_should_be() {
    let told = judged(&seen(&[("s-open", Seen::Present), ("s-stiff", Seen::Present)], &[("k-wire", "tension")]));
    assert!(p(&told, "x-spring") < p(&told, "x-bent") / 5.0, "{told:?}");
}

#[test]
fn an_owner_s_words_are_heard_and_offered() {
    let reference = packs();
    let key = FaultKey::build(&reference, "spinning");
    let heard = symptoms_in(&key, "The pick-up refuses to close!");
    assert_eq!(heard[0].symptom, "s-open", "{heard:?}");
    assert!(symptoms_in(&key, "The drag works.").is_empty());
    assert!(symptoms_in(&key, "").is_empty());
}

#[test]
fn what_cannot_be_used_is_said() {
    let told = judged(&seen(&[("s-nothing", Seen::Present)], &[("k-wire", "sideways")]));
    assert_eq!(
        told.problems,
        [
            "There is no symptom “s-nothing”, so it was not used.",
            "The check k-wire has no result “sideways”; it can be tension, none."
        ]
    );
    assert_eq!((told.finding, told.causes.len()), (Finding::Undecided, 0));
}

proptest! {
    #[test]
    fn chances_are_chances_and_any_words_are_taken(said in "\\PC{0,80}", open: Option<bool>, check: Option<bool>) {
        let state = |yes: bool| if yes { Seen::Present } else { Seen::Absent };
        let mut observed = seen(&[], &[]);
        observed.said = said;
        if let Some(yes) = open { observed.symptoms.insert("s-open".into(), state(yes)); }
        if let Some(yes) = check { observed.checks.insert("k-wire".into(), if yes { "none" } else { "tension" }.into()); }
        let answer = judged(&observed);
        // One of them, two, or something else: never less than all of it, never more than two.
        let listed: f64 = answer.causes.iter().map(|cause| cause.p).sum();
        let least = 1.0 - answer.something_else - 0.03;
        prop_assert!(answer.causes.is_empty() || (least..2.0).contains(&listed), "{listed}");
        prop_assert!(answer.causes.iter().all(|cause| (0.0..=1.0).contains(&cause.p)));
        prop_assert!(answer.causes.windows(2).all(|pair| pair[0].p >= pair[1].p));
    }
}
