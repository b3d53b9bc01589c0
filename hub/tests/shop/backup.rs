//! Everything as one file, and back.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::json;
use tailplate_core::sync::Place;
use tailplate_hub::backup;
use tailplate_hub::store::sha256;

use crate::kept::Kept;
use crate::phone::{JPEG, reel, works};
use crate::program::{program, run};
use crate::running::Running;

#[test]
fn a_backup_brings_everything_back_and_phones_notice() {
    let here = (Kept::here("backup"), Kept::here("restored"));
    let outgrown = Kept::outgrown("backup").zip(Kept::outgrown("restored"));
    // From one kind into the other as well: a shop that outgrew its folder moves so.
    let moved = Kept::outgrown("moved").map(|new| (Kept::here("moving"), new));
    for (old, new) in [Some(here), outgrown, moved].into_iter().flatten() {
        back_and_noticed(&old, &new);
    }
}

fn back_and_noticed(old: &Kept, new: &Kept) {
    let file = old.folder.0.join("shop.zip");
    let file = file.to_str().unwrap();
    let hub = Running::start(old);
    let mut phone = hub.pair();
    assert!(phone.push(&[reel(1, "cleaned"), reel(2, "oiled")]));
    let name = sha256(JPEG);
    assert!(phone.put(JPEG));
    // While the hub runs.
    let (status, told) = run(old.program(&["backup", file, "--json"]));
    assert_eq!((status, told), (0, json!({ "records": 2, "photos": 1, "devices": 1, "damaged": [] })));
    assert!(phone.push(&[reel(3, "after the backup")]));
    let again = run(old.program(&["backup", file]));
    assert_eq!(again.0, 2);
    assert!(again.1.as_str().unwrap().contains("is there already"), "{}", again.1);
    let over = run(old.program(&["restore", file]));
    assert!(over.0 == 2 && over.1.as_str().unwrap().contains("nothing is written over it"), "{}", over.1);
    drop(hub);

    assert_eq!(run(program(&["verify", file])).0, 0);
    let (status, told) = run(new.program(&["restore", file, "--json"]));
    assert_eq!((status, told["records"].clone()), (0, json!(2)), "{told}");
    let hub = Running::start(new);
    phone.port = hub.port;
    // The phone is still paired, and hears that the log is not the one it knew.
    assert!(!phone.push(&[reel(4, "later")]));
    assert_eq!(phone.replica.place(), Place::paired(phone.shop));
    assert_eq!(works(&phone.pull_all()), BTreeSet::from(["cleaned".into(), "oiled".into()]));
    assert!(phone.push(&[reel(3, "after the backup"), reel(4, "later")]));
    assert_eq!(works(&phone.pull_all()).len(), 4);
    assert_eq!(phone.ask("GET", &format!("/api/photos/{name}"), b"").body, JPEG);
}

#[test]
fn what_is_damaged_is_named_and_not_restored() {
    let kept = Kept::here("damaged");
    let hub = Running::start(&kept);
    let mut phone = hub.pair();
    assert!(phone.push(&[reel(1, "cleaned")]) && phone.put(JPEG));
    let file = kept.folder.0.join("shop.zip");
    assert_eq!(run(kept.program(&["backup", file.to_str().unwrap()])).0, 0);
    let name = sha256(JPEG);
    let mut torn = std::fs::read(&file).unwrap();
    let at = torn.windows(JPEG.len()).position(|part| part == JPEG).unwrap();
    torn[at + 5] ^= 1;
    let bad = kept.folder.0.join("torn.zip");
    std::fs::write(&bad, torn).unwrap();
    let (status, told) = run(program(&["verify", bad.to_str().unwrap(), "--json"]));
    assert_eq!(status, 1);
    assert!(told["damaged"][0].as_str().unwrap().contains(&name), "{told}");
    let empty = Kept::here("empty");
    let refused = run(empty.program(&["restore", bad.to_str().unwrap()]));
    assert!(refused.0 == 2 && !empty.folder.data().join("shop.db").exists(), "{}", refused.1);
    assert!(backup::verify(Path::new("/no/such/file")).is_err());
    // What rots in the shop itself is named too.
    std::fs::write(kept.folder.data().join("photos").join(&name[..2]).join(&name), "rot").unwrap();
    let (status, told) = run(kept.program(&["verify", "--json"]));
    assert_eq!((status, told["damaged"].clone()), (1, json!([format!("photo {name}")])));
    let got = phone.ask("GET", &format!("/api/photos/{name}"), b"");
    assert_eq!(got.word(), (410, "damaged".to_owned()));
    // And whole again when a device brings it.
    assert!(phone.put(JPEG));
    assert_eq!(run(kept.program(&["verify"])).0, 0);
}
