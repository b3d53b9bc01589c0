//! Nothing that was acknowledged is lost when the hub dies in the middle.

use std::collections::BTreeSet;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use tailplate_core::record::Kept;
use tailplate_core::shop::{Done, Reel};
use tailplate_core::sync::{Item, Mark, Outcome};
use tailplate_hub::store::{Places, Store, joined};

use crate::kept;
use crate::phone::{Phone, reel, works};
use crate::pushing::{Noted, all_is_there, push_until_refused};
use crate::running::Running;

pub fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|text| text.parse().unwrap_or_else(|_| panic!("{name} takes a number")))
}

/// `TAILPLATE_KILLS=200` tortures.
#[test]
fn a_power_cut_loses_nothing_that_was_acknowledged() {
    for kept in kept::Kept::each("kill") {
        let kills = number("TAILPLATE_KILLS").unwrap_or(4);
        let noted = Noted::default();
        let mut first: Option<Phone> = None;
        for round in 0..kills {
            let mut hub = Running::start(&kept);
            let phone = &*first.get_or_insert_with(|| hub.pair());
            let phones: Vec<Phone> = (0..3).map(|_| phone.again(hub.port, round)).collect();
            let (noting, before) = (noted.clone(), noted.lock().unwrap().works.len());
            let pushing = std::thread::spawn(move || push_until_refused(phones, round, &noting));
            let begun = Instant::now();
            while noted.lock().unwrap().works.len() < before + 6 && begun.elapsed() < Duration::from_secs(20) {
                std::thread::sleep(Duration::from_millis(2));
            }
            std::thread::sleep(Duration::from_millis(round * 37 % 150));
            hub.kill();
            pushing.join().unwrap();
        }
        let (updates, photos) = all_is_there(&kept, &first.unwrap(), &noted);
        println!("{kills} kills: {updates} updates and {photos} photos acknowledged, none lost");
        assert!(updates as u64 >= kills * 6 && photos as u64 >= kills, "too little happened");
    }
}

const COMPACTING: &str = "TAILPLATE_COMPACTING";

/// The work of the test below, in a process that is killed over it.
#[test]
#[ignore = "runs until it is killed"]
fn compact_until_killed() {
    let data = std::env::var(COMPACTING).unwrap();
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        let store = Store::open_old(&Places::at(data.as_ref())).await.unwrap();
        loop {
            store.compact_over(3).await.unwrap();
        }
    });
}

/// The snapshot comes first and the rest goes after: whenever it dies, all of a record is there.
#[test]
fn a_power_cut_while_records_are_made_short_loses_nothing() {
    const RECORDS: u64 = 10;
    let kept = kept::Kept::here("compact");
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let store = runtime.block_on(Store::open(&kept.places())).unwrap();
    let push = |item: Item| {
        let done = runtime.block_on(store.push("phone", Mark::default(), vec![item])).unwrap();
        assert!(matches!(done, Outcome::Done(taken) if taken.refused.is_empty()));
    };
    let reels: Vec<Item> = (0..RECORDS).map(|n| reel(n.into(), "begun")).collect();
    reels.iter().cloned().for_each(push);
    let kills = number("TAILPLATE_KILLS").unwrap_or(4);
    let mut pushed = BTreeSet::new();
    for round in 0..kills {
        let mut compacting = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "kill::compact_until_killed", "--ignored", "--nocapture"])
            .env(COMPACTING, kept.folder.data())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let begun = Instant::now();
        let mut at = 0;
        while begun.elapsed() < Duration::from_millis(400 + round * 37 % 150) {
            let reel = &reels[at as usize % reels.len()];
            let name = format!("{round}.{at}");
            let mut kept = Kept::<Reel>::read(&reel.bytes, 1000 + (round << 20 | at)).unwrap();
            let done = Done { at_ms: 1, what: name.clone(), minutes: None };
            let update = kept.change(2, |reel| reel.work.push(done)).unwrap().unwrap();
            push(Item { bytes: update, ..reel.clone() });
            pushed.insert(name);
            at += 1;
        }
        // Whatever it was at.
        compacting.kill().unwrap();
        assert!(!compacting.wait().unwrap().success(), "it ended by itself");
    }
    let (mut there, mut rows) = (BTreeSet::new(), 0);
    for reel in &reels {
        let updates = runtime.block_on(store.updates("reel", &reel.record.hex())).unwrap();
        rows += updates.len();
        let bytes = joined(&updates).unwrap();
        there.extend(works(&[Item { bytes, ..reel.clone() }]));
    }
    println!("{kills} kills: {} updates pushed, {rows} rows left of them, none lost", pushed.len());
    assert!(rows < pushed.len(), "nothing was made short");
    assert!(pushed.is_subset(&there));
    assert_eq!(runtime.block_on(store.damaged()).unwrap().0, []);
}
