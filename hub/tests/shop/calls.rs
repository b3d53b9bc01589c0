//! What paired devices ask and get.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::Command;
use std::time::{Duration, Instant};

use tailplate_hub::store::sha256;

use crate::kept::Kept;
use crate::phone::{JPEG, Phone, bits, reel};
use crate::program::{program, run};
use crate::running::{Running, ask};

#[test]
fn what_one_phone_sends_another_gets() {
    for kept in Kept::each("two") {
        one_sends_and_another_gets(&kept);
    }
}

fn one_sends_and_another_gets(kept: &Kept) {
    let hub = Running::start(kept);
    let mut one = hub.pair();
    let code = one.ask("POST", "/api/codes", b"").json();
    assert!(code["url"].as_str().unwrap().ends_with(&format!("/#/pair/{}", code["code"].as_str().unwrap())));
    assert!(code["svg"].as_str().unwrap().contains("<svg"));
    let two = Phone::pair(hub.port, code["code"].as_str().unwrap());

    // Two listens, one pushes.
    let mut listening = TcpStream::connect(("127.0.0.1", hub.port)).unwrap();
    listening.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
    let head = "GET /api/events HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n";
    write!(listening, "{head}{}\r\n", two.bearer()).unwrap();
    let mut lines = BufReader::new(listening).lines().map(|line| line.unwrap());
    assert!(lines.any(|line| line == "data: 0"));
    assert!(one.push(&[reel(1, "cleaned"), reel(2, "oiled")]));
    assert!(lines.any(|line| line == "data: 2"));
    assert_eq!(two.pull_all(), [reel(1, "cleaned"), reel(2, "oiled")]);

    let name = sha256(JPEG);
    let path = format!("/api/photos/{name}");
    assert_eq!(one.ask("HEAD", &path, b"").status, 404);
    assert_eq!(one.ask("POST", "/api/photos/missing", &bits(&name)).body, bits(&name));
    assert_eq!(one.ask("PUT", &path, JPEG).status, 204);
    assert_eq!(one.ask("PUT", &path, JPEG).status, 204);
    assert_eq!(one.ask("POST", "/api/photos/missing", &bits(&name)).body, b"");
    let got = two.ask("GET", &path, b"");
    assert_eq!((got.status, got.body.as_slice(), got.header("content-type")), (200, JPEG, Some("image/jpeg")));
    assert_eq!(got.header("x-content-type-options"), Some("nosniff"));
    let head = two.ask("HEAD", &path, b"");
    assert_eq!((head.status, head.body.len()), (200, 0));
    assert_eq!(head.header("content-length"), Some(JPEG.len().to_string().as_str()));

    let renamed = one.ask("PATCH", &format!("/api/devices/{}", two.device), br#"{"name":"Bench"}"#);
    assert_eq!(renamed.status, 200);
    let devices = one.ask("GET", "/api/devices", b"").json();
    assert_eq!(devices["this"], one.device.as_str());
    let names: BTreeSet<_> =
        devices["devices"].as_array().unwrap().iter().map(|d| d["name"].as_str().unwrap()).collect();
    assert_eq!(names, BTreeSet::from(["A phone", "Bench"]));
    assert!(!devices.to_string().contains(&sha256(one.token.as_bytes())), "no hash of a token is told");

    // Shut out, two gets nothing more; what it listens to ends at the next news.
    assert_eq!(one.ask("DELETE", &format!("/api/devices/{}", two.device), b"").status, 200);
    let refused = two.ask("GET", "/api/devices", b"");
    assert_eq!((refused.status, refused.json()["error"].as_str()), (401, Some("revoked")));
    assert!(one.push(&[reel(3, "packed")]));
    assert!(!lines.any(|line| line == "data: 3"));
}

#[test]
fn the_calls_are_described_to_whoever_asks() {
    let kept = Kept::here("described");
    let hub = Running::start(&kept);
    let answer = ask(hub.port, "GET", "/api/openapi.json", "", b"").unwrap();
    assert_eq!((answer.status, answer.json()["openapi"].as_str()), (200, Some("3.1.0")));
}

#[test]
fn devices_are_let_in_and_shut_out_from_the_command_line() {
    let kept = Kept::here("command");
    let none = run(kept.program(&["pair"]));
    assert!(none.0 == 2 && none.1.as_str().unwrap().contains("holds no shop yet"), "{}", none.1);
    let hub = Running::start(&kept);
    let (_, code) = run(kept.program(&["pair", "--json"]));
    let phone = Phone::pair(hub.port, code["code"].as_str().unwrap());
    assert_eq!(phone.ask("GET", "/api/devices", b"").status, 200);
    let (status, devices) = run(kept.program(&["devices", "--revoke", &phone.device, "--json"]));
    assert_eq!((status, devices["devices"][0]["name"].as_str()), (0, Some("A phone")));
    assert_eq!(phone.ask("GET", "/api/devices", b"").status, 401);
    assert_eq!(run(kept.program(&["devices", "--revoke", "x"])).0, 2);
    assert_eq!(run(program(&["devices"])).0, 2);
}

#[cfg(unix)]
#[test]
fn a_stop_ends_well_while_phones_listen() {
    let kept = Kept::here("stop");
    let mut hub = Running::start(&kept);
    let phone = hub.pair();
    let mut listening = TcpStream::connect(("127.0.0.1", hub.port)).unwrap();
    write!(listening, "GET /api/events HTTP/1.1\r\nHost: localhost\r\n{}\r\n", phone.bearer()).unwrap();
    let mut first = [0; 15];
    listening.read_exact(&mut first).unwrap();
    assert_eq!(&first, b"HTTP/1.1 200 OK");
    let begun = Instant::now();
    assert!(Command::new("kill").arg(hub.child.id().to_string()).status().unwrap().success());
    assert_eq!(hub.child.wait().unwrap().code(), Some(0));
    assert!(begun.elapsed() < Duration::from_secs(3), "it waited for one who listens: {:?}", begun.elapsed());
}
