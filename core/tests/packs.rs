//! The packs that ship: they load, and hold nothing that the checks object to.

use tailplate_core::reference::{Fault, Reference, check, check_reference};

const PACKS: [(&str, &str); 4] = [
    ("questions.json", include_str!("../../public/reference/questions.json")),
    ("makers.json", include_str!("../../public/reference/makers.json")),
    ("models.json", include_str!("../../public/reference/models.json")),
    ("dating.json", include_str!("../../public/reference/dating.json")),
];

fn shipped() -> Reference {
    Reference::load(PACKS).unwrap()
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
    for (name, text) in PACKS {
        assert_no_faults(&check(&reference, name, text));
    }
}
