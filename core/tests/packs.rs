//! The packs that ship: they load, and hold nothing that the checks object to.

use std::collections::BTreeSet;

use tailplate_core::reference::{Bound, Confidence, EffortId, Fault, Reference, check, check_reference};

const PACKS: &[(&str, &str)] = &[
    ("questions.json", include_str!("../../public/reference/questions.json")),
    ("makers.json", include_str!("../../public/reference/makers.json")),
    ("models.json", include_str!("../../public/reference/models.json")),
    ("dating.json", include_str!("../../public/reference/dating.json")),
    ("care.json", include_str!("../../public/reference/care.json")),
    ("mechanics.json", include_str!("../../public/reference/mechanics.json")),
    ("selling.json", include_str!("../../public/reference/selling.json")),
    ("parts.json", include_str!("../../public/reference/parts.json")),
    ("practice-makers.json", include_str!("../../public/reference/practice-makers.json")),
    ("practice-models.json", include_str!("../../public/reference/practice-models.json")),
    ("counter.json", include_str!("../../public/reference/counter.json")),
    ("work.json", include_str!("../../public/reference/work.json")),
    ("faults.json", include_str!("../../public/reference/faults.json")),
];

fn shipped() -> Reference {
    Reference::load(PACKS.iter().copied()).unwrap()
}

fn assert_no_faults(faults: &[Fault]) {
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.iter().map(|f| format!("{f}\n")).collect::<String>()
    );
}

#[test]
fn the_packs_together_hold_no_fault() {
    let reference = shipped();
    assert!(reference.models.len() > 200 && reference.makers.len() > 100);
    assert_no_faults(&check_reference(&reference));
}

#[test]
fn each_pack_alone_beside_the_others_holds_no_fault() {
    let reference = shipped();
    for (name, text) in PACKS.iter().copied() {
        assert_no_faults(&check(&reference, name, text));
    }
}

#[test]
fn a_fact_of_low_confidence_never_has_a_hard_end() {
    let reference = shipped();
    let dating = &reference.dating;
    let clues = dating.wordings.iter().chain(&dating.construction).map(|clue| (&clue.id, clue.years, clue.confidence));
    let codes = reference.makers.iter().flat_map(|maker| &maker.date_codes);
    let rows = codes.clone().flat_map(|code| code.rows.iter().map(move |row| (&code.id, row.years, code.confidence)));
    let codes = codes.map(|code| (&code.id, code.years, code.confidence));
    let mut low = 0;
    for (id, years, _) in clues.chain(codes).chain(rows).filter(|(.., confidence)| *confidence == Confidence::Low) {
        low += 1;
        assert_eq!((years.from_bound, years.to_bound), (Bound::Soft, Bound::Soft), "{id}");
    }
    assert!(low > 20, "only {low} facts of low confidence: the packs changed, or the test looks at the wrong thing");
}

#[test]
fn every_fact_of_a_real_model_names_a_source_that_resolves() {
    let reference = shipped();
    let mut facts = 0;
    for model in reference.models.iter().filter(|model| model.pack == "models") {
        for variant in &model.variants {
            let marks = variant.marks.iter().map(|mark| &mark.src);
            for src in variant.features.values().map(|fact| &fact.src).chain(marks) {
                facts += 1;
                assert!(!src.is_empty(), "{}/{} has a fact without a source", model.id, variant.id);
                for key in src {
                    assert!(reference.source(&model.pack, key).is_some(), "{}: {key}", model.id);
                }
            }
        }
    }
    assert!(facts > 2000, "{facts}");
}

/// A mark of the packs that is a number and nothing else may date a reel only where it is told to stand.
#[test]
fn no_bare_number_dates_a_reel_by_itself() {
    for maker in &shipped().makers {
        for code in &maker.date_codes {
            for row in
                code.rows.iter().filter(|row| !row.struck.is_empty() && !row.struck.contains(char::is_alphabetic))
            {
                assert!(row.beside.is_some(), "{}: {}", code.id, row.struck);
            }
        }
    }
}

#[test]
fn the_practice_pack_is_kept_apart_and_is_hard_enough() {
    let reference = shipped();
    let invented: Vec<&str> =
        reference.packs.iter().filter(|pack| pack.invented).map(|pack| pack.id.as_str()).collect();
    assert_eq!(invented, ["practice-makers", "practice-models"]);
    let models: Vec<_> = reference.models.iter().filter(|model| model.pack == "practice-models").collect();
    let families: BTreeSet<_> = models.iter().filter_map(|model| model.family.as_deref()).collect();
    let kinds: BTreeSet<_> = models.iter().map(|model| model.kind.as_str()).collect();
    assert!(models.len() >= 48 && families.len() >= 8 && kinds.len() >= 6);
    assert!(models.iter().filter(|model| model.brand.is_some()).count() >= 5, "too few reels under a store's name");
    for model in models {
        assert_eq!(reference.maker(&model.maker).unwrap().pack, "practice-makers", "{}", model.id);
        for variant in &model.variants {
            assert!(variant.features.len() >= 15, "{}/{}: {} answers", model.id, variant.id, variant.features.len());
            assert!(variant.features.values().any(|fact| fact.value.is_some()), "{}: no measure", model.id);
        }
    }
}

#[test]
fn the_caddow_reels_differ_only_behind_the_side_plate() {
    let reference = shipped();
    let members: Vec<_> = reference.models.iter().filter(|m| m.family.as_deref() == Some("practice-caddow")).collect();
    assert_eq!(members.len(), 6);
    for (at, a) in members.iter().enumerate() {
        for b in &members[at + 1..] {
            let differing: Vec<_> = a.features.iter().filter(|(id, fact)| b.features.get(*id) != Some(fact)).collect();
            assert!(!differing.is_empty(), "{} and {} are one reel", a.id, b.id);
            for (id, _) in differing {
                assert_eq!(reference.feature(id).unwrap().effort, EffortId::Open, "{} and {} by {id}", a.id, b.id);
            }
        }
    }
}
