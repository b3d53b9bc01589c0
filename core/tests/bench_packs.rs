//! The packs of faults and bench work that ship: every reference resolves, no remedy stands without its caution, and no
//! figure without its source.

use tailplate_core::reference::{Reference, check, check_reference};

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
