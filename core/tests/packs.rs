//! The packs that ship: they load, and hold nothing that the checks object to.

use tailplate_core::reference::Reference;

const PACKS: [(&str, &str); 4] = [
    ("questions.json", include_str!("../../public/reference/questions.json")),
    ("makers.json", include_str!("../../public/reference/makers.json")),
    ("models.json", include_str!("../../public/reference/models.json")),
    ("dating.json", include_str!("../../public/reference/dating.json")),
];

#[test]
fn every_shipped_pack_loads() {
    let reference = Reference::load(PACKS).unwrap();
    assert!(reference.models.len() > 200 && reference.makers.len() > 100);
}
