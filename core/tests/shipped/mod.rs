//! The packs as they are shipped.

use tailplate_core::reference::{Listed, Reference};

/// Those that `wanted` takes, joined.
pub fn packs(wanted: impl Fn(&Listed) -> bool) -> Reference {
    let dir = concat!(env!("CARGO_MANIFEST_DIR"), "/../public/reference/");
    let read = |file: &str| std::fs::read_to_string(format!("{dir}{file}")).expect("a shipped pack");
    let list = Listed::read(&read("packs.json")).expect("the list of packs");
    let files = list.into_iter().filter(wanted).map(|pack| (read(&pack.file), pack.file)).collect::<Vec<_>>();
    Reference::load(files.iter().map(|(text, name)| (name.as_str(), text.as_str()))).expect("sound packs")
}
