//! How it stands under load. Run by `cargo xtask load`, which prints the figures; nothing here fails for being slow.

use std::path::Path;
use std::sync::{Arc, Barrier};
use std::time::{Duration, Instant};

use tailplate_core::sync::{COUNT_MAX, Item, More, Outcome, Pull, Pulled, Pushed};
use tailplate_hub::store::sha256;

use crate::kept::Kept;
use crate::phone::{Phone, bits, photo, reel};
use crate::running::{Line, Running};

fn row(name: &str, value: impl std::fmt::Display, unit: &str) {
    println!("{name}\t{value}\t{unit}");
}

/// What a phone does: pushes its outbox, asks which photos are missing, sends those, pulls.
struct Done {
    pushes: Vec<Duration>,
    puts: Vec<Duration>,
    bytes_sent: u64,
    bytes_received: u64,
}

fn come_home(mut phone: Phone, records: &[Item], photos: &[Vec<u8>], per_push: usize) -> Done {
    let mut line = Line::open(phone.port);
    let bearer = phone.bearer();
    let (mut pushes, mut puts) = (Vec::new(), Vec::new());
    let mut left = records;
    while !left.is_empty() {
        let entries = left.iter().take(per_push).cloned().enumerate().map(|(n, item)| (n as u64, item));
        let push = phone.replica.push(entries).unwrap();
        let begun = Instant::now();
        let answer = line.ask("POST", "/api/push", &bearer, &push.encode());
        pushes.push(begun.elapsed());
        let pushed = Pushed::decode(&answer.body).unwrap();
        assert!(matches!(&pushed.outcome, Outcome::Done(taken) if taken.refused.is_empty()), "{}", answer.head);
        phone.replica.pushed(&pushed).unwrap();
        left = &left[push.items.len()..];
    }
    let names: Vec<String> = photos.iter().map(|photo| sha256(photo)).collect();
    let hashes: Vec<u8> = names.iter().flat_map(|name| bits(name)).collect();
    assert_eq!(line.ask("POST", "/api/photos/missing", &bearer, &hashes).body.len(), hashes.len());
    for (name, photo) in names.iter().zip(photos) {
        let begun = Instant::now();
        let answer = line.ask("PUT", &format!("/api/photos/{name}"), &bearer, photo);
        puts.push(begun.elapsed());
        assert_eq!(answer.status, 204, "{}", answer.head);
    }
    Done { pushes, puts, bytes_sent: line.bytes_sent, bytes_received: line.bytes_received }
}

fn pull_all(phone: &Phone, line: &mut Line) -> usize {
    let (mut pull, mut count) =
        (Pull { shop: phone.shop, call: 1, seen: Default::default(), after: 0, limit: COUNT_MAX as u32 }, 0);
    loop {
        let answer = line.ask("POST", "/api/pull", &phone.bearer(), &pull.encode());
        let Outcome::Done(More { items, next, more, seen }) = Pulled::decode(&answer.body).unwrap().outcome else {
            panic!("the log is the same")
        };
        count += items.len();
        (pull.after, pull.seen) = (next, seen);
        if !more {
            return count;
        }
    }
}

fn quantile(mut all: Vec<Duration>, of_1000: usize) -> String {
    all.sort();
    format!("{:.0}", all[(all.len() - 1) * of_1000 / 1000].as_secs_f64() * 1000.0)
}

/// The most memory it ever held, where the system tells.
fn peak_mb(hub: &Running) -> Option<u64> {
    let status = std::fs::read_to_string(Path::new("/proc").join(hub.child.id().to_string()).join("status")).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().trim_end_matches(" kB").parse::<u64>().ok()? / 1024)
}

#[test]
#[ignore = "measures"]
fn fifty_phones_come_home() {
    const PHONES: usize = 50;
    const RECORDS: usize = 200;
    const PER_PUSH: usize = 10;
    // Behind what the test runner prints.
    println!();
    for (store, kept) in [("SQLite", Some(Kept::here("load"))), ("PostgreSQL, S3", Kept::outgrown("load"))] {
        let Some(kept) = kept else { continue };
        let hub = Running::start(&kept);
        let first = hub.pair();
        let at_once = Arc::new(Barrier::new(PHONES + 1));
        let threads: Vec<_> = (0..PHONES)
            .map(|n| {
                let (phone, at_once) = (first.again(hub.port, n as u64), at_once.clone());
                std::thread::spawn(move || {
                    let records: Vec<Item> =
                        (0..RECORDS).map(|k| reel((n * RECORDS + k) as u128, &format!("{n}.{k}"))).collect();
                    let photos: Vec<Vec<u8>> = (0..20).map(|k| photo(&format!("{n}.{k}"), 300_000)).collect();
                    at_once.wait();
                    come_home(phone, &records, &photos, PER_PUSH)
                })
            })
            .collect();
        at_once.wait();
        let begun = Instant::now();
        let done: Vec<Done> =
            threads.into_iter().map(|thread| thread.join().expect("a phone without an error")).collect();
        let took = begun.elapsed();
        let pushes: Vec<Duration> = done.iter().flat_map(|done| done.pushes.clone()).collect();
        let puts: Vec<Duration> = done.iter().flat_map(|done| done.puts.clone()).collect();
        let name = |what: &str| format!("50 phones × 200 records × 20 photos, {store}: {what}");
        row(&name("all of it"), format!("{:.1}", took.as_secs_f64()), "s");
        row(&name(&format!("a push of {PER_PUSH}, median of {}", pushes.len())), quantile(pushes.clone(), 500), "ms");
        row(&name("a push, 99 of 100"), quantile(pushes, 990), "ms");
        row(&name("a photo of 300 KB, 99 of 100"), quantile(puts, 990), "ms");
        row(&name("errors"), 0, "");
        assert_eq!(pull_all(&first, &mut Line::open(hub.port)), PHONES * RECORDS);
        if let Some(peak) = peak_mb(&hub) {
            row(&name("most memory of the hub"), peak, "MB");
        }
    }
}

#[test]
#[ignore = "measures"]
fn one_phone_brings_a_season() {
    println!();
    let kept = Kept::here("season");
    let hub = Running::start(&kept);
    let phone = hub.pair();
    let records: Vec<Item> = (0..1000).map(|k| reel(k, &format!("work {k}"))).collect();
    let photos: Vec<Vec<u8>> = (0..200).map(|k| photo(&format!("season {k}"), 300_000)).collect();
    let begun = Instant::now();
    let done = come_home(phone.again(hub.port, 1), &records, &photos, COUNT_MAX);
    let took = begun.elapsed();
    let payload = records.iter().map(|item| item.bytes.len()).chain(photos.iter().map(Vec::len)).sum::<usize>() as u64;
    let name = |what: &str| format!("1,000 records + 200 photos of 300 KB from one phone: {what}");
    row(&name("time"), format!("{:.1}", took.as_secs_f64()), "s");
    row(&name("sent"), done.bytes_sent, "bytes");
    row(&name("received"), done.bytes_received, "bytes");
    row(&name("of that, not records or photos"), done.bytes_sent + done.bytes_received - payload, "bytes");
    let mut line = Line::open(hub.port);
    let begun = Instant::now();
    assert_eq!(pull_all(&phone, &mut line), 1000);
    for photo in &photos {
        let answer = line.ask("GET", &format!("/api/photos/{}", sha256(photo)), &phone.bearer(), b"");
        assert!(answer.body == *photo);
    }
    let name = |what: &str| format!("and onto an empty one: {what}");
    row(&name("time"), format!("{:.1}", begun.elapsed().as_secs_f64()), "s");
    row(&name("received"), line.bytes_received, "bytes");
    if let Some(peak) = peak_mb(&hub) {
        row(&name("most memory of the hub"), peak, "MB");
    }
}
