//! The disk is full, or another program holds the database: what was acknowledged stays, what was not is said so.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use crate::kept::Kept;
use crate::kill::number;
use crate::phone::{Phone, photo, reel, works};
use crate::pushing::{Noted, all_is_there, push_until_refused};
use crate::running::{Answer, Running};
use crate::servers::is_root;

/// `TAILPLATE_FULL=20` fills it so often.
fn rounds() -> u64 {
    number("TAILPLATE_FULL").unwrap_or(3)
}

/// A file system of its own with little room, where that may be mounted.
struct SmallDisk(PathBuf);

impl SmallDisk {
    fn at(place: &Path) -> Option<Self> {
        std::fs::create_dir_all(place).unwrap();
        let mount = Command::new("mount").args(["-t", "tmpfs", "-o", "size=3m", "tmpfs"]).arg(place).status();
        (is_root() && mount.is_ok_and(|status| status.success())).then(|| Self(place.to_owned()))
    }

    fn resize(&self, size: &str) {
        let size = format!("remount,size={size}");
        assert!(Command::new("mount").args(["-o", &size]).arg(&self.0).status().unwrap().success());
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
    }
}

#[test]
fn a_full_disk_loses_nothing_and_goes_on_when_there_is_room() {
    let kept = Kept::here("full");
    let Some(disk) = SmallDisk::at(&kept.folder.data()) else {
        println!("Left out: a small disk can be mounted as root only; the test below limits the files' size instead.");
        return;
    };
    let noted = Noted::default();
    let hub = Running::start(&kept);
    let phone = hub.pair();
    for round in 0..rounds() {
        disk.resize(&format!("{}m", 3 + 3 * round));
        push_until_refused((0..3).map(|n| phone.again(hub.port, 10 + n)).collect(), round, &noted);
        it_says_full(&phone.again(hub.port, 20), round);
        // What is there can be read.
        let (there, acknowledged) = (works(&phone.pull_all()), noted.lock().unwrap().works.clone());
        let lost: Vec<_> = acknowledged.difference(&there).collect();
        assert!(lost.is_empty(), "round {round}: {lost:?} of {} are gone", acknowledged.len());
    }
    disk.resize("100m");
    assert!(phone.again(hub.port, 30).push(&[reel(1 << 100, "there is room")]));
    assert!(phone.put(&photo("there is room", 100_000)));
    drop(hub);
    let (updates, photos) = all_is_there(&kept, &phone, &noted);
    println!(
        "a disk of its own, {} times full: {updates} updates and {photos} photos acknowledged, none lost",
        rounds()
    );
    assert!(updates > 20 && photos > 5, "too little happened");
}

/// Pushes something large until there is no room even for a small one, and hears why.
fn it_says_full(phone: &Phone, round: u64) {
    for n in 0u64.. {
        assert!(n < 500, "it is never full");
        let bytes = photo(&format!("{round}.{n} that fills"), 30_000);
        let path = format!("/api/photos/{}", tailplate_hub::store::sha256(&bytes));
        let answer = phone.ask("PUT", &path, &bytes);
        if answer.status != 204 {
            assert_eq!(answer.word(), (507, "full".to_owned()));
            break;
        }
    }
    assert_eq!(fill_the_log(phone, round).word(), (507, "full".to_owned()));
}

/// Pushes until there is no room for more; gives what is answered then.
fn fill_the_log(phone: &Phone, round: u64) -> Answer {
    let mut phone = phone.again(phone.port, 21);
    for n in 0u64..500 {
        let id = 1 << 90 | u128::from(round) << 80 | u128::from(n);
        let answer = phone.push_answer(&[reel(id, &format!("{n} that fills ").repeat(3000))]).unwrap();
        if answer.status != 200 {
            return answer;
        }
    }
    panic!("it is never full");
}

/// Where no disk can be mounted, no file may grow: the system's own limit, for any user.
#[cfg(unix)]
#[test]
fn a_limit_of_size_loses_nothing() {
    let kept = Kept::here("limit");
    let phone = Running::start(&kept).pair();
    let noted = Noted::default();
    for round in 0..rounds() {
        let hub = limited(&kept, 2000 + 1000 * round);
        push_until_refused((0..3).map(|n| phone.again(hub.port, 10 + n)).collect(), round, &noted);
        // It still answers, and says why.
        let answer = fill_the_log(&phone.again(hub.port, 20), round);
        assert!(answer.status == 507 || answer.status == 503, "{}", answer.head);
        assert!(!phone.again(hub.port, 21).pull_all().is_empty());
    }
    let (updates, photos) = all_is_there(&kept, &phone, &noted);
    println!("{} times at the limit: {updates} updates and {photos} photos acknowledged, none lost", rounds());
    assert!(updates > 20 && photos > 5, "too little happened");
}

/// A hub none of whose files may grow beyond so many blocks of 512 bytes.
#[cfg(unix)]
fn limited(kept: &Kept, blocks: u64) -> Running {
    let mut program = kept.program(&["serve", "--port", "0"]);
    program.arg("--app").arg(kept.folder.app());
    let mut shell = Command::new("sh");
    // Without the trap the system ends a program that goes beyond it.
    shell.args(["-c", "trap '' XFSZ; ulimit -f \"$1\"; shift; exec \"$@\"", "sh", &blocks.to_string()]);
    shell.arg(program.get_program()).args(program.get_args());
    Running::of(shell, &kept.folder)
}

/// Longer than the hub waits for its turn.
const HELD: Duration = Duration::from_secs(17);

#[test]
fn a_locked_database_is_waited_for_and_then_said_to_be_so() {
    let kept = Kept::here("locked");
    let hub = Running::start(&kept);
    let phone = hub.pair();
    let noted = Noted::default();
    assert!(phone.again(hub.port, 1).push(&[reel(1, "before")]));
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let _within = runtime.enter();
    sqlx::any::install_default_drivers();
    let url = format!("sqlite://{}", kept.folder.data().join("shop.db").display()).replace(' ', "%20");
    // This process is the other program.
    let pool = runtime.block_on(sqlx::AnyPool::connect(&url)).unwrap();
    let hold = |held: Duration| {
        let mut connection = runtime.block_on(pool.acquire()).unwrap();
        runtime.block_on(sqlx::query("BEGIN EXCLUSIVE").execute(&mut *connection)).unwrap();
        let (phones, noting) = ((0..3).map(|n| phone.again(hub.port, 10 + n)).collect(), noted.clone());
        let round = held.as_millis() as u64;
        let pushing = std::thread::spawn(move || push_until_refused(phones, round, &noting));
        let begun = Instant::now();
        // What is there can be read meanwhile.
        assert!(!phone.again(hub.port, 20).pull_all().is_empty());
        std::thread::sleep(held.saturating_sub(begun.elapsed()));
        runtime.block_on(sqlx::query("ROLLBACK").execute(&mut *connection)).unwrap();
        pushing
    };
    // A short while: they wait, and go on.
    let before = noted.lock().unwrap().works.len();
    let waiting = hold(Duration::from_secs(1));
    while noted.lock().unwrap().works.len() < before + 9 {
        std::thread::sleep(Duration::from_millis(5));
    }
    // A long while: the first in the row is told that it can't be done now.
    let refused = hold(HELD);
    assert!(kept.folder.logged().contains("path=\"/api/push\" status=503"));
    assert!(phone.again(hub.port, 30).push(&[reel(1 << 100, "after")]));
    drop(hub);
    waiting.join().unwrap();
    refused.join().unwrap();
    let (updates, photos) = all_is_there(&kept, &phone, &noted);
    println!("locked for 1 and {} s: {updates} updates and {photos} photos acknowledged, none lost", HELD.as_secs());
}
