#![no_main]
//! What comes in from a file: as a whole saved copy, and as one record of a copy that is right in everything else.

use libfuzzer_sys::fuzz_target;
use tailplate_core::copy::{SavedCopy, at_once};
use tailplate_core::record::{Kind, join_updates, typed_json};

fuzz_target!(|bytes: &[u8]| {
    if let Ok(mut copy) = at_once(SavedCopy::open(bytes, async |_, _| true)) {
        for (kind, id) in copy.records.clone() {
            record(kind, &at_once(copy.record(kind, &id)).unwrap_or_default());
        }
        for photo in copy.photos.clone() {
            let _ = at_once(copy.photo(&photo));
        }
    }
    // Its hash keeps changed bytes out of a copy's records; one that was made so would not be kept out.
    if let Some((first, rest)) = bytes.split_first() {
        record(Kind::ALL[usize::from(*first) % Kind::ALL.len()], rest);
    }
});

/// What an import does with a record.
fn record(kind: Kind, bytes: &[u8]) {
    let read = |bytes: &[u8]| typed_json(kind, bytes).ok().map(|written| written.json);
    let _ = read(bytes);
    if let Ok(once) = join_updates([bytes]) {
        let twice = join_updates([once.as_slice(), bytes]).expect("what joins once joins twice");
        assert_eq!(read(&once), read(&twice), "an update that comes again changes nothing");
    }
}
