//! Phones that push and put until the hub is gone or full; what it acknowledged is noted.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex};

use tailplate_core::sync::Item;
use tailplate_hub::store::sha256;

use crate::kept::Kept;
use crate::phone::{Phone, photo, reel, works};
use crate::program::run;
use crate::running::Running;

/// What the hub said it keeps.
#[derive(Default)]
pub struct Acknowledged {
    /// Lines of work.
    pub works: BTreeSet<String>,
    /// Photos, by hash, with what they were made from.
    pub photos: BTreeMap<String, String>,
}

pub type Noted = Arc<Mutex<Acknowledged>>;

/// Of an acknowledged photo.
const PHOTO_BYTES: usize = 40_000;

/// Pushes from so many threads at once, as long as it is acknowledged; every other call puts a photo. `round` names what is
/// pushed.
pub fn push_until_refused(phones: Vec<Phone>, round: u64, noted: &Noted) {
    let threads: Vec<_> = phones
        .into_iter()
        .enumerate()
        .map(|(n, mut phone)| {
            let noted = noted.clone();
            std::thread::spawn(move || {
                for count in 0u64.. {
                    let names: Vec<String> = (0..3).map(|k| format!("{round}.{n}.{count}.{k}")).collect();
                    let id = |k: usize| u128::from(round) << 64 | u128::from(count) << 8 | (n * 3 + k) as u128;
                    let items: Vec<Item> = names.iter().enumerate().map(|(k, name)| reel(id(k), name)).collect();
                    if !phone.push(&items) {
                        return;
                    }
                    let bytes = photo(&names[0], PHOTO_BYTES);
                    noted.lock().unwrap().works.extend(names.iter().cloned());
                    if !phone.put(&bytes) {
                        return;
                    }
                    noted.lock().unwrap().photos.insert(sha256(&bytes), names[0].clone());
                }
            })
        })
        .collect();
    for thread in threads {
        thread.join().unwrap();
    }
}

/// Starts the hub once more: all that was acknowledged must be there and whole. Gives how many updates and photos that is.
pub fn all_is_there(kept: &Kept, phone: &Phone, noted: &Noted) -> (usize, usize) {
    let hub = Running::start(kept);
    let phone = phone.again(hub.port, 1);
    let there = works(&phone.pull_all());
    let noted = noted.lock().unwrap();
    let lost: Vec<_> = noted.works.difference(&there).collect();
    assert!(lost.is_empty(), "updates that were acknowledged and are gone: {lost:?}");
    for (name, from) in &noted.photos {
        let answer = phone.ask("GET", &format!("/api/photos/{name}"), b"");
        let is_there = answer.status == 200 && answer.body == photo(from, PHOTO_BYTES);
        assert!(is_there, "the photo {from} was acknowledged and is gone");
    }
    drop(hub);
    let (_, verified) = run(kept.program(&["verify", "--json"]));
    if kept.is_outgrown() && verified.as_str().is_some_and(|told| told.contains("500 Internal Server Error")) {
        // After the half of a photo whose sender died, the bucket's server of the tests may list nothing any more. Every
        // photo that was acknowledged has just been fetched and compared.
        return (noted.works.len(), noted.photos.len());
    }
    let damaged = verified["damaged"].as_array().unwrap_or_else(|| panic!("verify says {verified}"));
    let mut damaged: Vec<&str> = damaged.iter().filter_map(|one| one.as_str()).collect();
    if kept.is_outgrown() {
        // The bucket's server of the tests keeps the half of a photo whose sender died; a real one does not.
        let acknowledged = |one: &str| noted.photos.keys().any(|name| one.ends_with(name));
        damaged.retain(|one| !one.starts_with("photo ") || acknowledged(one));
    }
    assert_eq!(damaged, Vec::<&str>::new());
    (noted.works.len(), noted.photos.len())
}
