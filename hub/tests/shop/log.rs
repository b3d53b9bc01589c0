//! What the log of updates, the devices and the codes must do in every store; and the photos in every place for them.

use tailplate_core::record::Kept;
use tailplate_core::shop::{Done, Reel};
use tailplate_core::sync::{BATCH_BYTES, Id, Item, Mark, More, Outcome, Pull, Taken};
use tailplate_hub::store::{Entry, Photos, Places, Store, sha256};

#[cfg(feature = "s3")]
use tailplate_hub::store::Bucket;

use crate::folder::Folder;
use crate::{kept, servers};

const REEL: &str = "000102030405060708090a0b0c0d0e0f";

fn run(test: impl Future<Output = ()>) {
    tokio::runtime::Runtime::new().unwrap().block_on(test);
}

/// A fresh place in each kind of store.
async fn for_each_store(name: &str, test: impl AsyncFn(Places)) {
    for kept in kept::Kept::each(name) {
        test(kept.places()).await;
    }
}

/// A reel's first bytes and, one after another, the updates of further work.
fn reel_and_updates(count: usize) -> Vec<Vec<u8>> {
    let mut kept = Kept::new(Reel::new(REEL, 1), 7).unwrap();
    let mut all = vec![kept.bytes()];
    for n in 0..count {
        let done = Done { at_ms: 1, what: format!("step {n}"), minutes: None };
        all.push(kept.change(2, |reel| reel.work.push(done)).unwrap().unwrap());
    }
    all
}

fn item(bytes: &[u8]) -> Item {
    Item { kind: "reel".into(), record: Id::of(REEL).unwrap(), bytes: bytes.to_vec() }
}

async fn push(store: &Store, seen: Mark, bytes: &[Vec<u8>]) -> Taken {
    match store.push("d", seen, bytes.iter().map(|bytes| item(bytes)).collect()).await.unwrap() {
        Outcome::Done(taken) => taken,
        Outcome::StartOver => panic!("the log is the same"),
    }
}

async fn pull(store: &Store, seen: Mark, after: u64, limit: u32) -> Outcome<More> {
    store.pull(&Pull { shop: store.shop(), call: 1, seen, after, limit }).await.unwrap()
}

async fn more(store: &Store, seen: Mark, after: u64, limit: u32) -> More {
    match pull(store, seen, after, limit).await {
        Outcome::Done(more) => more,
        Outcome::StartOver => panic!("the log is the same"),
    }
}

fn work(items: &[Item]) -> usize {
    let joined = tailplate_core::record::join_updates(items.iter().map(|item| item.bytes.as_slice())).unwrap();
    Kept::<Reel>::read(&joined, 1).unwrap().record.work.len()
}

#[test]
fn what_is_pushed_is_pulled_once_each_in_order_and_in_pages() {
    run(for_each_store("pull", async |places| {
        let store = Store::open(&places).await.unwrap();
        store.begin_era().await.unwrap();
        let all = reel_and_updates(9);
        let first = push(&store, Mark::default(), &all[..4]).await;
        assert_eq!((first.seen.seq, first.refused.len()), (4, 0));
        // Again, and overlapping: what is there makes no second row.
        assert_eq!(push(&store, Mark::default(), &all[..4]).await.seen, first.seen);
        assert_eq!(push(&store, first.seen, &all[2..]).await.seen.seq, 10);
        assert_eq!(store.last().await.unwrap(), 10);

        let (mut after, mut seen, mut items) = (0, Mark::default(), Vec::new());
        loop {
            let page = more(&store, seen, after, 3).await;
            items.extend(page.items);
            (after, seen) = (page.next, page.seen);
            if !page.more {
                break;
            }
        }
        assert_eq!((after, seen.seq), (10, 10));
        assert_eq!(items.iter().map(|item| item.bytes.clone()).collect::<Vec<_>>(), all);
        assert_eq!(more(&store, seen, after, 3).await.items, []);
        assert_eq!(work(&items), 9);
    }));
}

#[test]
fn what_is_no_update_is_refused_and_the_rest_is_kept() {
    run(for_each_store("refused", async |places| {
        let store = Store::open(&places).await.unwrap();
        let mut all = reel_and_updates(1);
        all.insert(1, b"nonsense".to_vec());
        let taken = push(&store, Mark::default(), &all).await;
        assert_eq!((taken.seen.seq, taken.refused.len(), taken.refused[0].at), (2, 1, 1));
        assert!(taken.refused[0].why.starts_with("This part of a record is damaged"), "{:?}", taken.refused);
    }));
}

#[test]
fn a_page_is_closed_by_its_bytes() {
    run(for_each_store("bytes", async |places| {
        let store = Store::open(&places).await.unwrap();
        let mut kept = Kept::new(Reel::new(REEL, 1), 7).unwrap();
        let mut all = vec![kept.bytes()];
        for n in 0..5 {
            let letter = char::from(b'a' + n);
            let long: String = std::iter::repeat_n(letter, BATCH_BYTES / 2 - 1000).collect();
            all.push(kept.change(2, |reel| reel.note = long).unwrap().unwrap());
        }
        let seen = push(&store, Mark::default(), &all).await.seen;
        let page = more(&store, seen, 0, 100).await;
        assert!(page.more && page.items.len() < all.len() && page.items.len() > 1, "{}", page.items.len());
        assert!(page.items.iter().map(|item| item.bytes.len()).sum::<usize>() <= BATCH_BYTES);
    }));
}

#[test]
fn a_long_record_becomes_one_update_and_nobody_misses_anything() {
    run(for_each_store("compact", async |places| {
        let store = Store::open(&places).await.unwrap();
        store.begin_era().await.unwrap();
        let all = reel_and_updates(80);
        let seen = push(&store, Mark::default(), &all).await.seen;
        let early = more(&store, seen, 0, 10).await;
        assert_eq!(store.compact().await.unwrap(), 1);
        assert_eq!(store.compact().await.unwrap(), 0);
        // All of it stands at the end: for one who was on the way, and once more for one who was at the end.
        let rest = more(&store, seen, early.next, 500).await;
        assert_eq!((rest.items.len(), rest.next, work(&rest.items)), (1, 82, 80));
        assert_eq!(more(&store, seen, 81, 500).await.items, rest.items);
        assert_eq!(more(&store, rest.seen, 82, 500).await.items, []);
        assert_eq!(work(&more(&store, Mark::default(), 0, 500).await.items), 80);
        // Pushed again after that: kept, and still the same reel.
        push(&store, seen, &all).await;
        let now = more(&store, Mark::default(), 0, 500).await;
        assert_eq!(work(&now.items), 80);
        assert_eq!(store.damaged().await.unwrap().0, []);
    }));
}

#[test]
fn a_log_that_lost_something_says_start_over() {
    run(for_each_store("eras", async |places| {
        let store = Store::open(&places).await.unwrap();
        store.begin_era().await.unwrap();
        let all = reel_and_updates(3);
        let seen = push(&store, Mark::default(), &all).await.seen;
        // A new start changes nothing for one who was here.
        store.begin_era().await.unwrap();
        assert_eq!(more(&store, seen, 4, 10).await.items, []);
        let wrong = [
            Mark { seq: seen.seq + 1, era: seen.era },
            Mark { seq: seen.seq, era: Id([7; 16]) },
            Mark { seq: 0, era: Id([7; 16]) },
            Mark { seq: u64::MAX, era: seen.era },
        ];
        for wrong in wrong {
            assert_eq!(pull(&store, wrong, 0, 10).await, Outcome::StartOver, "{wrong:?}");
            let pushed = store.push("d", wrong, vec![item(&all[0])]).await.unwrap();
            assert_eq!(pushed, Outcome::StartOver, "{wrong:?}");
        }
        assert_eq!(pull(&store, seen, seen.seq + 1, 10).await, Outcome::StartOver);
        assert_eq!(store.last().await.unwrap(), 4);
    }));
}

#[test]
fn pushes_at_once_from_two_processes_get_numbers_without_gaps_and_pulls_miss_none() {
    run(for_each_store("at-once", async |places| {
        let one = Store::open(&places).await.unwrap();
        let two = Store::open(&places).await.unwrap();
        assert_eq!(one.shop(), two.shop());
        let start = reel_and_updates(0);
        push(&one, Mark::default(), &start).await;
        let mut tasks = Vec::new();
        for writer in 0..8u64 {
            let store = if writer % 2 == 0 { one.clone() } else { two.clone() };
            let start = start[0].clone();
            tasks.push(tokio::spawn(async move {
                let mut kept = Kept::<Reel>::read(&start, 100 + writer).unwrap();
                for n in 0..10 {
                    let done = Done { at_ms: 1, what: format!("{writer}.{n}"), minutes: None };
                    let update = kept.change(2, |reel| reel.work.push(done)).unwrap().unwrap();
                    push(&store, Mark::default(), &[update]).await;
                }
            }));
        }
        // Meanwhile one pulls, and never goes back.
        let (mut after, mut seen, mut items) = (0, Mark::default(), Vec::new());
        loop {
            let all_pushed = tasks.iter().all(tokio::task::JoinHandle::is_finished);
            let page = more(&one, seen, after, 7).await;
            items.extend(page.items);
            (after, seen) = (page.next, page.seen);
            if all_pushed && !page.more {
                break;
            }
            one.compact_over(20).await.unwrap();
        }
        for task in tasks {
            task.await.unwrap();
        }
        assert_eq!(work(&items), 80);
    }));
}

#[test]
fn a_code_lets_one_device_in_once_and_not_later_than_ten_minutes() {
    run(for_each_store("codes", async |places| {
        let store = Store::open(&places).await.unwrap();
        let (code, ends_ms) = store.new_code().await.unwrap();
        assert_eq!(code.len(), 8);
        assert_eq!(store.pair_at(&code, "late", ends_ms).await.unwrap(), Entry::Wrong);
        let (code, _) = store.new_code().await.unwrap();
        let typed = format!(" {}-{}", code[..4].to_lowercase(), &code[4..]);
        let Entry::In { device, token } = store.pair(&typed, "Bench phone").await.unwrap() else { panic!() };
        assert_eq!(token.len(), 64);
        assert_eq!(store.pair(&code, "again").await.unwrap(), Entry::Wrong);
        let found = store.device_of(&token).await.unwrap().unwrap();
        assert_eq!((found.id.as_str(), found.name.as_str(), found.revoked_ms), (device.as_str(), "Bench phone", 0));
        assert_eq!(store.device_of("0").await.unwrap(), None);
        assert!(store.name_device(&device, "Till").await.unwrap());
        assert!(store.revoke(&device).await.unwrap() && !store.revoke("none").await.unwrap());
        let found = store.devices().await.unwrap();
        assert_eq!((found.len(), found[0].name.as_str()), (1, "Till"));
        assert!(found[0].revoked_ms > 0 && found[0].token_sha256 != token);
    }));
}

#[test]
fn guessing_ends_after_twenty_codes_for_ten_minutes() {
    run(for_each_store("guess", async |places| {
        let store = Store::open(&places).await.unwrap();
        let now = 1_800_000_000_000;
        let mut wrong = 0;
        while store.pair_at("AAAA2222", "x", now + wrong * 1000).await.unwrap() == Entry::Wrong {
            wrong += 1;
            assert!(wrong < 100);
        }
        assert_eq!(wrong, 20);
        let (code, _) = store.new_code().await.unwrap();
        assert_eq!(store.pair_at(&code, "x", now + 60_000).await.unwrap(), Entry::TooManyTries);
        assert_eq!(store.pair_at("AAAA2222", "x", now + 11 * 60_000).await.unwrap(), Entry::Wrong);
    }));
}

#[test]
fn a_damaged_update_is_named_and_left_alone() {
    run(async {
        let folder = Folder::new("damage");
        let places = Places::at(&folder.data());
        let store = Store::open(&places).await.unwrap();
        push(&store, Mark::default(), &reel_and_updates(80)).await;
        sqlx::any::install_default_drivers();
        let url = format!("sqlite://{}", folder.data().join("shop.db").display());
        let raw = sqlx::AnyPool::connect(&url.replace(' ', "%20")).await.unwrap();
        sqlx::query("UPDATE updates SET bytes = x'00' WHERE seq = 5").execute(&raw).await.unwrap();
        let (damaged, count) = store.damaged().await.unwrap();
        assert_eq!(count, 81);
        assert_eq!(damaged.iter().map(|one| (one.seq, one.record.as_str())).collect::<Vec<_>>(), [(5, REEL)]);
        assert_eq!(store.compact().await.unwrap(), 0, "what is damaged is not made smooth");
        assert_eq!(store.damaged().await.unwrap().1, 81);
    });
}

#[test]
fn photos_are_kept_whole_under_their_hash() {
    run(async {
        let folder = Folder::new("photos");
        let photos = Photos::open(&Places::at(&folder.data())).unwrap();
        photo_acceptance(&photos).await;
        // One that rots is named, and healed by the next who brings it.
        let name = sha256(b"\xFF\xD8\xFF one");
        std::fs::write(folder.data().join("photos").join(&name[..2]).join(&name), "rot").unwrap();
        assert_eq!(photos.damaged().await.unwrap(), (vec![name.clone()], 2));
        photos.put(b"\xFF\xD8\xFF one".to_vec()).await.unwrap();
        assert_eq!(photos.damaged().await.unwrap(), (vec![], 2));
    });
}

#[cfg(feature = "s3")]
#[test]
fn photos_are_kept_in_a_bucket_too() {
    let Some((url, bucket)) = servers::bucket() else { return };
    let store = object_store::aws::AmazonS3Builder::new().with_endpoint(url).with_allow_http(true);
    let store = store.with_access_key_id(servers::BUCKET_KEY).with_secret_access_key(servers::BUCKET_KEY);
    let photos = Photos::Bucket(Bucket::over(store.with_bucket_name(bucket), "photos of one test").unwrap());
    run(photo_acceptance(&photos));
}

async fn photo_acceptance(photos: &Photos) {
    let (one, two) = (b"\xFF\xD8\xFF one".to_vec(), b"\x89PNG\r\n\x1a\n two".to_vec());
    for bytes in [&one, &two, &one] {
        photos.put(bytes.clone()).await.unwrap();
    }
    let mut names = vec![sha256(&one), sha256(&two)];
    names.sort();
    assert_eq!(photos.names().await.unwrap(), names);
    assert_eq!(photos.get(&sha256(&two)).await.unwrap(), Some(two.clone()));
    assert_eq!(photos.size(&sha256(&two)).await.unwrap(), Some(two.len() as u64));
    for none in [sha256(b"none"), "../shop.db".into(), String::new()] {
        assert_eq!((photos.get(&none).await.unwrap(), photos.size(&none).await.unwrap()), (None, None));
    }
    assert_eq!(photos.damaged().await.unwrap(), (vec![], 2));
}
