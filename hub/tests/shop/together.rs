//! Several hubs on one PostgreSQL and one bucket serve as one.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::time::Duration;

use tailplate_hub::store::sha256;

use crate::kept::Kept;
use crate::phone::{JPEG, Phone, photo, reel};
use crate::pushing::{Noted, all_is_there, push_until_refused};
use crate::running::Running;

#[test]
fn what_one_hub_is_told_the_other_knows() {
    let Some(kept) = Kept::outgrown("as-one") else { return };
    let (one, two) = (Running::start(&kept), Running::start(&kept));
    // Paired at the one with the code of the other, and known at both.
    let mut phone = Phone::pair(two.port, &one.code);
    let at_two = phone.again(two.port, 2);
    phone.port = one.port;
    assert!(phone.push(&[reel(1, "cleaned")]) && phone.put(JPEG));
    assert_eq!(at_two.pull_all(), [reel(1, "cleaned")]);
    assert_eq!(at_two.ask("GET", &format!("/api/photos/{}", sha256(JPEG)), b"").body, JPEG);
    assert!(phone.again(two.port, 3).push(&[reel(1, "cleaned"), reel(2, "oiled")]));
    assert_eq!(phone.pull_all(), [reel(1, "cleaned"), reel(2, "oiled")]);
    assert_eq!(at_two.ask("DELETE", &format!("/api/devices/{}", phone.device), b"").status, 200);
    assert_eq!(phone.ask("GET", "/api/devices", b"").word(), (401, "revoked".to_owned()));
}

#[test]
fn one_of_two_hubs_dies_and_nothing_is_lost() {
    let Some(kept) = Kept::outgrown("one-dies") else { return };
    let (mut one, two) = (Running::start(&kept), Running::start(&kept));
    let phone = one.pair();
    // A phone at the other hub hears of what the first wrote.
    let mut listening = TcpStream::connect(("127.0.0.1", two.port)).unwrap();
    listening.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    write!(listening, "GET /api/events HTTP/1.1\r\nHost: localhost\r\n{}\r\n", phone.bearer()).unwrap();
    let noted = Noted::default();
    let phones = vec![phone.again(one.port, 1), phone.again(two.port, 2), phone.again(one.port, 3)];
    let noting = noted.clone();
    let pushing = std::thread::spawn(move || push_until_refused(phones, 1, &noting));
    let heard = BufReader::new(listening).lines().map_while(Result::ok).filter(|line| line.starts_with("data: "));
    assert_eq!(heard.take(3).count(), 3);
    let until = |count: usize| {
        while noted.lock().unwrap().works.len() < count {
            std::thread::sleep(Duration::from_millis(5));
        }
    };
    until(30);
    one.kill();
    // The other goes on alone.
    let before = noted.lock().unwrap().works.len();
    until(before + 6);
    assert!(phone.again(two.port, 9).put(&photo("after", 1000)));
    drop(two);
    pushing.join().unwrap();
    let (updates, photos) = all_is_there(&kept, &phone, &noted);
    assert!(updates > 20 && photos > 5, "too little happened: {updates} updates, {photos} photos");
}
