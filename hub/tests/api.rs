//! The calls of paired devices, against the real program over real sockets: what it must do, what it must refuse, and that
//! nothing it said it kept is ever lost.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tailplate_core::record::Kept;
use tailplate_core::shop::{Done, Reel};
use tailplate_core::sync::{
    COUNT_MAX, Id, Item, Mark, More, Outcome, PHOTO_BYTES_MAX, PUSH_BODY_MAX, Place, Pull, Pulled, Push, Pushed,
    Replica,
};
use tailplate_hub::api::PATIENCE;
use tailplate_hub::serve::{Options, Server};
use tailplate_hub::store::{Places, hex, sha256};
use tailplate_hub::{backup, secure};

const JPEG: &[u8] = b"\xFF\xD8\xFF\xE0 a picture \xFF\xD9";

/// A folder with an app in it, and room for a shop; gone when the test is done.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("tailplate-api-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(folder.join("app")).unwrap();
        std::fs::write(folder.join("app/index.html"), "<!doctype html><title>Tailplate</title>").unwrap();
        Self(folder)
    }
    fn data(&self) -> PathBuf {
        self.0.join("shop")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

struct Running {
    child: Child,
    /// Held open: a program whose answer nobody reads goes on, but it should not have to.
    _out: BufReader<ChildStdout>,
    port: u16,
    code: String,
}

impl Running {
    fn start(folder: &Folder) -> Self {
        Self::with(folder, &[])
    }

    fn with(folder: &Folder, args: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_tailplate"));
        command.args(["serve", "--port", "0", "--app"]).arg(folder.0.join("app")).arg("--data").arg(folder.data());
        let mut child = command.args(args).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let (mut port, mut code) = (0, String::new());
        let mut line = String::new();
        while code.is_empty() {
            line.clear();
            assert!(out.read_line(&mut line).unwrap() > 0, "the program ended");
            if let Some(rest) = line.trim().strip_prefix("Tailplate is at http://localhost:") {
                port = rest.trim_end_matches('/').parse().unwrap();
            }
            if let Some(rest) = line.strip_prefix("or it is given the code ") {
                code = rest[..9].to_owned();
            }
        }
        Self { child, _out: out, port, code }
    }

    fn pair(&self) -> Phone {
        Phone::pair(self.port, &self.code)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[derive(Debug, Clone)]
struct Answer {
    status: u16,
    head: String,
    body: Vec<u8>,
}

impl Answer {
    fn of(bytes: &[u8]) -> Option<Self> {
        let at = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
        let head = String::from_utf8_lossy(&bytes[..at]).into_owned();
        Some(Self { status: head.split(' ').nth(1)?.parse().ok()?, head, body: bytes[at + 4..].to_vec() })
    }
    fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&self.body)))
    }
    fn header(&self, name: &str) -> Option<&str> {
        let mut lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.find_map(|(key, value)| key.eq_ignore_ascii_case(name).then_some(value))
    }
}

/// None if the connection breaks off before there is an answer.
fn send(port: u16, head: &str, body: &[u8]) -> Option<Answer> {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).ok()?;
    stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    stream.write_all(head.as_bytes()).ok()?;
    // One who refuses early may close while the rest is still being sent.
    let _ = stream.write_all(body);
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    Answer::of(&bytes)
}

fn ask(port: u16, method: &str, path: &str, headers: &str, body: &[u8]) -> Option<Answer> {
    let length = body.len();
    let head = format!(
        "{method} {path} HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\nContent-Length: {length}\r\n{headers}\r\n"
    );
    send(port, &head, body)
}

/// A paired device, with the client's own state machine.
struct Phone {
    port: u16,
    shop: Id,
    device: String,
    token: String,
    replica: Replica,
}

impl Phone {
    fn pair(port: u16, code: &str) -> Self {
        let body = json!({ "code": code, "name": "A phone" }).to_string();
        let paired = ask(port, "POST", "/api/pair", "", body.as_bytes()).unwrap();
        assert_eq!(paired.status, 200, "{}", paired.json());
        let paired = paired.json();
        let text = |name: &str| paired[name].as_str().unwrap().to_owned();
        let shop = Id::of(&text("shop")).unwrap();
        Self { port, shop, device: text("device"), token: text("token"), replica: Replica::new(Place::paired(shop), 1) }
    }

    fn bearer(&self) -> String {
        format!("Authorization: Bearer {}\r\n", self.token)
    }

    fn ask(&self, method: &str, path: &str, body: &[u8]) -> Answer {
        ask(self.port, method, path, &self.bearer(), body).unwrap()
    }

    /// Whether all of it was acknowledged.
    fn push(&mut self, items: &[Item]) -> bool {
        let entries = items.iter().cloned().enumerate().map(|(n, item)| (n as u64, item));
        let push = self.replica.push(entries).unwrap();
        let Some(answer) = ask(self.port, "POST", "/api/push", &self.bearer(), &push.encode()) else { return false };
        let Ok(pushed) = Pushed::decode(&answer.body) else { return false };
        self.replica.pushed(&pushed).unwrap();
        matches!(pushed.outcome, Outcome::Done(taken) if taken.refused.is_empty())
    }

    /// Everything, from the start.
    fn pull_all(&self) -> Vec<Item> {
        let (mut after, mut seen, mut all) = (0, Mark::default(), Vec::new());
        loop {
            let pull = Pull { shop: self.shop, call: 1, seen, after, limit: COUNT_MAX as u32 };
            let answer = self.ask("POST", "/api/pull", &pull.encode());
            assert_eq!(answer.status, 200, "{}", answer.head);
            let Outcome::Done(More { items, next, more, seen: end }) = Pulled::decode(&answer.body).unwrap().outcome
            else {
                panic!("the log is the same")
            };
            all.extend(items);
            (after, seen) = (next, end);
            if !more {
                return all;
            }
        }
    }

    /// All that refusals must leave as it is.
    fn state(&self, photos: &[u8]) -> (Vec<Item>, Value, Vec<u8>) {
        let devices = self.ask("GET", "/api/devices", b"").json();
        (self.pull_all(), devices, self.ask("POST", "/api/photos/missing", photos).body)
    }
}

/// A reel with one line of work, by a writer of its own.
fn reel(id: u128, what: &str) -> Item {
    let id = format!("{id:032x}");
    let mut kept = Kept::new(Reel::new(&id, 1), 7).unwrap();
    let done = Done { at_ms: 1, what: what.into(), minutes: None };
    kept.change(2, |reel| reel.work.push(done)).unwrap();
    Item { kind: "reel".into(), record: Id::of(&id).unwrap(), bytes: kept.bytes() }
}

/// What it is, the status and the word it is refused with; method, path, headers and body of the call.
type Case<'a> = (&'a str, u16, &'a str, &'a str, &'a str, String, Vec<u8>);

fn bits(sha256: &str) -> Vec<u8> {
    (0..32).map(|n| u8::from_str_radix(&sha256[2 * n..2 * n + 2], 16).unwrap()).collect()
}

#[test]
fn what_one_phone_sends_another_gets() {
    let folder = Folder::new("two");
    let hub = Running::start(&folder);
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
fn what_is_not_allowed_is_refused_with_a_word_and_changes_nothing() {
    let folder = Folder::new("refused");
    let hub = Running::start(&folder);
    let mut phone = hub.pair();
    assert!(phone.push(&[reel(1, "kept")]));
    let revoked = Phone::pair(hub.port, phone.ask("POST", "/api/codes", b"").json()["code"].as_str().unwrap());
    phone.ask("DELETE", &format!("/api/devices/{}", revoked.device), b"");
    let name = sha256(JPEG);
    let before = phone.state(&bits(&name));

    let push = |shop: Id, items: Vec<Item>| Push { shop, call: 1, seen: Mark::default(), items }.encode();
    let good = push(phone.shop, vec![reel(2, "not kept")]);
    let many = push(phone.shop, (0..=COUNT_MAX as u128).map(|n| reel(n, "x")).collect());
    let far = Push { shop: phone.shop, call: 1, seen: Mark { seq: 9, era: Id([1; 16]) }, items: vec![reel(2, "x")] };
    let (bearer, wrong) = (phone.bearer(), format!("Authorization: Bearer {}\r\n", "0".repeat(64)));
    let with = |more: &str| format!("{bearer}{more}");
    let photo = format!("/api/photos/{name}");
    let pair = |code: &str, name: &str| json!({ "code": code, "name": name }).to_string().into_bytes();
    let one = format!("/api/devices/{}", phone.device);
    let too_long = format!(r#"{{"name":"{}"}}"#, "x".repeat(61)).into_bytes();
    let cases: Vec<Case> = vec![
        ("no token", 401, "no-token", "POST", "/api/push", String::new(), good.clone()),
        ("another scheme", 401, "no-token", "POST", "/api/push", "Authorization: Basic eDp4\r\n".into(), good.clone()),
        ("two tokens", 401, "no-token", "POST", "/api/push", with(&bearer), good.clone()),
        ("a wrong token", 401, "wrong-token", "POST", "/api/push", wrong.clone(), good.clone()),
        ("a wrong token for a photo", 401, "wrong-token", "PUT", &photo, wrong, JPEG.to_vec()),
        ("a revoked token", 401, "revoked", "POST", "/api/push", revoked.bearer(), good.clone()),
        ("a revoked token to shut another out", 401, "revoked", "DELETE", &one, revoked.bearer(), vec![]),
        ("a used code", 403, "wrong-code", "POST", "/api/pair", String::new(), pair(&hub.code, "x")),
        ("a guessed code", 403, "wrong-code", "POST", "/api/pair", String::new(), pair("AAAA2222", "x")),
        ("a device without a name", 400, "malformed", "POST", "/api/pair", String::new(), pair("AAAA2222", " ")),
        ("no JSON", 400, "malformed", "POST", "/api/pair", String::new(), b"{".to_vec()),
        ("JSON that never ends", 413, "too-large", "POST", "/api/pair", String::new(), vec![b'['; 1 << 20]),
        (
            "a foreign page",
            403,
            "foreign-origin",
            "POST",
            "/api/push",
            with("Origin: http://shop.example\r\n"),
            good.clone(),
        ),
        ("a page of no origin", 403, "foreign-origin", "POST", "/api/push", with("Origin: null\r\n"), good.clone()),
        (
            "a page of another port",
            403,
            "foreign-origin",
            "POST",
            "/api/push",
            with("Origin: http://localhost:1\r\n"),
            good.clone(),
        ),
        (
            "a foreign page that pairs",
            403,
            "foreign-origin",
            "POST",
            "/api/pair",
            "Origin: https://x.example\r\n".into(),
            pair("A", "x"),
        ),
        ("another shop", 409, "other-shop", "POST", "/api/push", bearer.clone(), push(Id([9; 16]), vec![reel(2, "x")])),
        ("too many updates", 413, "too-large", "POST", "/api/push", bearer.clone(), many),
        ("half a push", 400, "malformed", "POST", "/api/push", bearer.clone(), good[..good.len() - 1].to_vec()),
        ("a pull as a push", 400, "malformed", "POST", "/api/push", bearer.clone(), b"tpQ1".to_vec()),
        ("too long a push", 413, "too-large", "POST", "/api/push", bearer.clone(), vec![0; PUSH_BODY_MAX + 1]),
        ("another photo", 422, "wrong-hash", "PUT", &photo, bearer.clone(), b"\xFF\xD8\xFF other".to_vec()),
        ("too large a photo", 413, "too-large", "PUT", &photo, bearer.clone(), vec![0; PHOTO_BYTES_MAX + 1]),
        ("a photo by a short name", 404, "not-found", "PUT", "/api/photos/abc", bearer.clone(), JPEG.to_vec()),
        ("a photo by a path", 404, "not-found", "PUT", "/api/photos/../shop.db", bearer.clone(), JPEG.to_vec()),
        ("a coded path", 404, "not-found", "GET", "/api/photos/%2e%2e%2fshop.db", bearer.clone(), vec![]),
        ("the database", 404, "not-found", "GET", "/api/photos/../../shop.db", bearer.clone(), vec![]),
        ("half a hash", 400, "malformed", "POST", "/api/photos/missing", bearer.clone(), vec![0; 33]),
        ("too many hashes", 413, "too-large", "POST", "/api/photos/missing", bearer.clone(), vec![0; 32 * 1001]),
        ("a method that is none here", 404, "not-found", "DELETE", &photo, bearer.clone(), vec![]),
        ("a call that is none", 404, "not-found", "POST", "/api/", bearer.clone(), vec![]),
        ("a device that is none", 404, "not-found", "DELETE", "/api/devices/x", bearer.clone(), vec![]),
        ("too long a name", 400, "malformed", "PATCH", &one, bearer.clone(), too_long),
    ];
    for (what, status, word, method, path, headers, body) in &cases {
        let answer = ask(hub.port, method, path, headers, body).unwrap_or_else(|| panic!("{what}: no answer"));
        assert_eq!((answer.status, answer.json()["error"].as_str()), (*status, Some(*word)), "{what}");
        assert!(answer.json()["told"].as_str().is_some_and(|told| told.ends_with('.')), "{what}");
        assert!(answer.header("content-security-policy").is_some_and(|policy| policy.contains("default-src 'self'")));
    }
    let text = sha256(b"<html>");
    let answer = phone.ask("PUT", &format!("/api/photos/{text}"), b"<html>");
    assert_eq!((answer.status, answer.json()["error"].as_str()), (422, Some("no-photo")));
    // A place the log does not know is no error; it is told to start over, and nothing is taken.
    let answer = phone.ask("POST", "/api/push", &far.encode());
    assert_eq!(Pushed::decode(&answer.body).unwrap().outcome, Outcome::StartOver);
    // Another name for this computer.
    let head = format!(
        "POST /api/push HTTP/1.1\r\nHost: shop.example\r\nConnection: close\r\n{bearer}Content-Length: {}\r\n\r\n",
        good.len()
    );
    assert_eq!(send(hub.port, &head, &good).unwrap().status, 421);
    // A body in pieces that grows beyond what it may.
    let head = format!(
        "POST /api/photos/missing HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{bearer}Transfer-Encoding: chunked\r\n\r\n"
    );
    let chunk = [format!("{:x}\r\n", 32 * 1001).as_bytes(), &vec![0; 32 * 1001], b"\r\n0\r\n\r\n"].concat();
    assert_eq!(send(hub.port, &head, &chunk).unwrap().json()["error"], "too-large");

    assert_eq!(phone.state(&bits(&name)), before);
    // Its own page may call.
    let own = with(&format!("Origin: http://localhost:{}\r\n", hub.port));
    assert_eq!(ask(hub.port, "POST", "/api/push", &own, &good).unwrap().status, 200);
}

#[test]
fn a_code_guessed_at_twenty_times_lets_nobody_in() {
    let folder = Folder::new("guess");
    let hub = Running::start(&folder);
    let pair = |code: &str| {
        let body = json!({ "code": code, "name": "x" }).to_string();
        ask(hub.port, "POST", "/api/pair", "", body.as_bytes()).unwrap().status
    };
    let statuses: Vec<u16> = (0..25).map(|n| pair(&format!("AAAA22{n:02}"))).collect();
    assert_eq!(statuses, [vec![403; 20], vec![429; 5]].concat());
    assert_eq!(pair(&hub.code), 429);
}

/// The server within this process, for what the program does not let one set or ask.
async fn within(folder: &Folder, host: &str, patience: Duration) -> (SocketAddr, Server) {
    let places = Places::at(&folder.data());
    let app = folder.0.join("app");
    let options = Options { app: &app, host, port: 0, names: &[], keep: Some(&places), patience };
    let server = Server::bind(&options).await.unwrap();
    (server.address(), server)
}

#[test]
fn a_body_that_dawdles_is_let_go() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let folder = Folder::new("slow");
    let patience = Duration::from_millis(300);
    let (address, server) = runtime.block_on(within(&folder, "127.0.0.1", patience));
    let code = runtime.block_on(server.hub().unwrap().store.new_code()).unwrap().0;
    runtime.spawn(server.run(std::future::pending()));
    let phone = Phone::pair(address.port(), &code);
    let head = format!(
        "POST /api/push HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{}Content-Length: 1000\r\n\r\n",
        phone.bearer()
    );
    // One that stops, and one that sends a byte now and then for ever.
    for pause in [Duration::from_secs(60), Duration::from_millis(100)] {
        let begun = Instant::now();
        let mut stream = TcpStream::connect(address).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        let mut reading = stream.try_clone().unwrap();
        let dripping = std::thread::spawn(move || {
            while begun.elapsed() < Duration::from_secs(20) && stream.write_all(b"x").is_ok() {
                std::thread::sleep(pause.min(Duration::from_secs(20)));
            }
        });
        let mut bytes = Vec::new();
        reading.set_read_timeout(Some(Duration::from_secs(15))).unwrap();
        let _ = reading.read_to_end(&mut bytes);
        let answer = Answer::of(&bytes).expect("an answer");
        assert_eq!((answer.status, answer.json()["error"].as_str()), (408, Some("too-slow")), "{pause:?}");
        assert!(begun.elapsed() < Duration::from_secs(10));
        if pause < Duration::from_secs(1) {
            dripping.join().unwrap();
        }
    }
    assert_eq!(phone.pull_all(), []);
}

#[test]
fn on_the_network_there_is_https_only_and_it_holds_across_restarts() {
    use rustls::pki_types::{CertificateDer, ServerName};
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let folder = Folder::new("https");
    let trusted = {
        let (_, server) = runtime.block_on(within(&folder, "0.0.0.0", PATIENCE));
        server.authority_der().unwrap()
    };
    // Trusted before the restart, it is trusted after.
    let (address, server) = runtime.block_on(within(&folder, "0.0.0.0", PATIENCE));
    let (fingerprint, url) = (server.fingerprint().unwrap(), server.url());
    runtime.spawn(server.run(std::future::pending()));
    let mut roots = rustls::RootCertStore::empty();
    roots.add(CertificateDer::from(trusted.clone())).unwrap();
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = rustls::ClientConfig::builder_with_provider(provider).with_safe_default_protocol_versions().unwrap();
    let config = Arc::new(config.with_root_certificates(roots).with_no_client_auth());
    let get = |host: &str, path: &str| {
        let name = ServerName::try_from(host.to_owned()).unwrap();
        let connection = rustls::ClientConnection::new(config.clone(), name).unwrap();
        let stream = TcpStream::connect(("127.0.0.1", address.port())).unwrap();
        let mut stream = rustls::StreamOwned::new(connection, stream);
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}:{}\r\nConnection: close\r\n\r\n", address.port()).unwrap();
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        Answer::of(&bytes).unwrap()
    };
    for host in
        secure::home_addresses().iter().filter(|ip| ip.is_ipv4()).map(ToString::to_string).chain(["localhost".into()])
    {
        assert_eq!(get(&host, "/health").body, b"ok\n", "{host}");
    }
    let page = get("localhost", "/trust");
    assert!(String::from_utf8_lossy(&page.body).contains(&fingerprint));
    assert_eq!(page.header("content-type"), Some("text/html; charset=utf-8"));
    let file = get("localhost", "/trust/tailplate.crt");
    assert_eq!((file.body, file.status), (trusted, 200));

    // Plain HTTP: to this computer's own browsers yes, to the network only the way to HTTPS.
    assert_eq!(ask(address.port(), "GET", "/health", "", b"").unwrap().body, b"ok\n");
    let all = if_addrs::get_if_addrs().unwrap();
    let Some(ip) = all.iter().map(if_addrs::Interface::ip).find(|ip| ip.is_ipv4() && !ip.is_loopback()) else {
        println!("This computer has no address in any network: its plain HTTP could not be asked.");
        return;
    };
    let mut stream = TcpStream::connect((ip, address.port())).unwrap();
    write!(stream, "GET /api/devices HTTP/1.1\r\nHost: {ip}\r\n\r\n").unwrap();
    let mut text = String::new();
    let _ = stream.read_to_string(&mut text);
    let there = format!("Location: {url}trust\r\n");
    assert!(text.starts_with("HTTP/1.1 308") && text.contains(&there) && text.ends_with("\r\n\r\n"), "{text}");
}

fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|text| text.parse().unwrap_or_else(|_| panic!("{name} takes a number")))
}

/// Pushes from three threads until the hub is gone; what it acknowledged is noted.
fn push_until_gone(phones: &[(u16, Id, String)], round: u64, acknowledged: &Arc<Mutex<BTreeSet<String>>>) {
    let threads: Vec<_> = phones
        .iter()
        .cloned()
        .enumerate()
        .map(|(n, (port, shop, token))| {
            let acknowledged = acknowledged.clone();
            std::thread::spawn(move || {
                let replica = Replica::new(Place::paired(shop), round);
                let mut phone = Phone { port, shop, device: String::new(), token, replica };
                for count in 0u64.. {
                    let names: Vec<String> = (0..3).map(|k| format!("{round}.{n}.{count}.{k}")).collect();
                    let items: Vec<Item> = names
                        .iter()
                        .enumerate()
                        .map(|(k, name)| {
                            reel(u128::from(round) << 64 | u128::from(count) << 8 | (n * 3 + k) as u128, name)
                        })
                        .collect();
                    if !phone.push(&items) {
                        return;
                    }
                    acknowledged.lock().unwrap().extend(names);
                }
            })
        })
        .collect();
    for thread in threads {
        thread.join().unwrap();
    }
}

fn works(items: &[Item]) -> BTreeSet<String> {
    let reels = items.iter().map(|item| Kept::<Reel>::read(&item.bytes, 1).unwrap().record);
    reels.flat_map(|reel| reel.work.into_iter().map(|done| done.what)).collect()
}

/// Kills the hub in the middle of pushes; nothing acknowledged may be lost. `TAILPLATE_KILLS=200` tortures.
#[test]
fn a_power_cut_loses_nothing_that_was_acknowledged() {
    let folder = Folder::new("kill");
    let (mut token, mut shop) = (String::new(), Id::default());
    let acknowledged = Arc::new(Mutex::new(BTreeSet::new()));
    let kills = number("TAILPLATE_KILLS").unwrap_or(5);
    for round in 0..kills {
        let mut hub = Running::start(&folder);
        if token.is_empty() {
            let phone = hub.pair();
            (token, shop) = (phone.token, phone.shop);
        }
        let phones: Vec<_> = (0..3).map(|_| (hub.port, shop, token.clone())).collect();
        let (noted, before) = (acknowledged.clone(), acknowledged.lock().unwrap().len());
        let pushing = std::thread::spawn(move || push_until_gone(&phones, round, &noted));
        let begun = Instant::now();
        while acknowledged.lock().unwrap().len() < before + 6 && begun.elapsed() < Duration::from_secs(20) {
            std::thread::sleep(Duration::from_millis(2));
        }
        std::thread::sleep(Duration::from_millis(round * 37 % 150));
        // SIGKILL on Unix.
        hub.child.kill().unwrap();
        hub.child.wait().unwrap();
        pushing.join().unwrap();
    }
    let hub = Running::start(&folder);
    let replica = Replica::new(Place::paired(shop), 1);
    let phone = Phone { port: hub.port, shop, device: String::new(), token, replica };
    let there = works(&phone.pull_all());
    let acknowledged = acknowledged.lock().unwrap();
    let lost: Vec<_> = acknowledged.difference(&there).collect();
    println!("{kills} kills, {} acknowledged, {} there, {} lost", acknowledged.len(), there.len(), lost.len());
    assert!(acknowledged.len() as u64 >= kills * 6, "too little happened");
    assert!(lost.is_empty(), "{lost:?}");
    drop(hub);
    let verified = run_program(&["verify", "--data", folder.data().to_str().unwrap(), "--json"]);
    assert_eq!((verified.0, verified.1["damaged"].clone()), (0, json!([])));
}

fn run_program(args: &[&str]) -> (i32, Value) {
    let output = Command::new(env!("CARGO_BIN_EXE_tailplate")).args(args).output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    let answer = serde_json::from_slice(&output.stdout).unwrap_or(Value::String(told));
    (output.status.code().unwrap(), answer)
}

#[test]
fn a_backup_brings_everything_back_and_phones_notice() {
    let folder = Folder::new("backup");
    let file = folder.0.join("shop.zip");
    let file = file.to_str().unwrap();
    let data = folder.data();
    let data = data.to_str().unwrap();
    let hub = Running::start(&folder);
    let mut phone = hub.pair();
    assert!(phone.push(&[reel(1, "cleaned"), reel(2, "oiled")]));
    let name = sha256(JPEG);
    assert_eq!(phone.ask("PUT", &format!("/api/photos/{name}"), JPEG).status, 204);
    // While the hub runs.
    let (status, told) = run_program(&["backup", file, "--data", data, "--json"]);
    assert_eq!((status, told), (0, json!({ "records": 2, "photos": 1, "devices": 1, "damaged": [] })));
    assert!(phone.push(&[reel(3, "after the backup")]));
    let again = run_program(&["backup", file, "--data", data]);
    assert_eq!(again.0, 2);
    assert!(again.1.as_str().unwrap().contains("is there already"), "{}", again.1);
    let over = run_program(&["restore", file, "--data", data]);
    assert!(over.0 == 2 && over.1.as_str().unwrap().contains("nothing is written over it"), "{}", over.1);
    drop(hub);
    std::fs::remove_dir_all(data).unwrap();

    assert_eq!(run_program(&["verify", file]).0, 0);
    let (status, told) = run_program(&["restore", file, "--data", data, "--json"]);
    assert_eq!((status, told["records"].clone()), (0, json!(2)));
    let hub = Running::start(&folder);
    phone.port = hub.port;
    // The phone is still paired, and hears that the log is not the one it knew.
    assert!(!phone.push(&[reel(4, "later")]));
    assert_eq!(phone.replica.place(), Place::paired(phone.shop));
    assert_eq!(works(&phone.pull_all()), BTreeSet::from(["cleaned".into(), "oiled".into()]));
    assert!(phone.push(&[reel(3, "after the backup"), reel(4, "later")]));
    assert_eq!(works(&phone.pull_all()).len(), 4);
    assert_eq!(phone.ask("GET", &format!("/api/photos/{name}"), b"").body, JPEG);

    // One flipped bit anywhere in what counts is named, and such a backup is not restored.
    let whole = std::fs::read(file).unwrap();
    let at = whole.windows(JPEG.len()).position(|part| part == JPEG).unwrap();
    let mut torn = whole.clone();
    torn[at + 5] ^= 1;
    let bad = folder.0.join("torn.zip");
    std::fs::write(&bad, torn).unwrap();
    let (status, told) = run_program(&["verify", bad.to_str().unwrap(), "--json"]);
    assert_eq!(status, 1);
    assert!(told["damaged"][0].as_str().unwrap().contains(&name), "{told}");
    let empty = folder.0.join("elsewhere");
    let refused = run_program(&["restore", bad.to_str().unwrap(), "--data", empty.to_str().unwrap()]);
    assert!(refused.0 == 2 && !empty.join("shop.db").exists(), "{}", refused.1);
    assert!(backup::verify(Path::new("/no/such/file")).is_err());
    // What rots in the shop itself is named too.
    std::fs::write(folder.data().join("photos").join(&name[..2]).join(&name), "rot").unwrap();
    let (status, told) = run_program(&["verify", "--data", data, "--json"]);
    assert_eq!((status, told["damaged"].clone()), (1, json!([format!("photo {name}")])));
    let got = phone.ask("GET", &format!("/api/photos/{name}"), b"");
    assert_eq!((got.status, got.json()["error"].as_str()), (410, Some("damaged")));
}

#[test]
fn devices_are_let_in_and_shut_out_from_the_command_line() {
    let folder = Folder::new("command");
    let data = folder.data();
    let data = data.to_str().unwrap();
    let none = run_program(&["pair", "--data", data]);
    assert!(none.0 == 2 && none.1.as_str().unwrap().contains("holds no shop yet"), "{}", none.1);
    let hub = Running::start(&folder);
    let (_, code) = run_program(&["pair", "--data", data, "--json"]);
    let phone = Phone::pair(hub.port, code["code"].as_str().unwrap());
    assert_eq!(phone.ask("GET", "/api/devices", b"").status, 200);
    let (status, devices) = run_program(&["devices", "--data", data, "--revoke", &phone.device, "--json"]);
    assert_eq!((status, devices["devices"][0]["name"].as_str()), (0, Some("A phone")));
    assert_eq!(phone.ask("GET", "/api/devices", b"").status, 401);
    assert_eq!(run_program(&["devices", "--data", data, "--revoke", "x"]).0, 2);
    assert_eq!(run_program(&["devices"]).0, 2);
}

#[cfg(unix)]
#[test]
fn a_stop_ends_well_while_phones_listen() {
    let folder = Folder::new("stop");
    let mut hub = Running::start(&folder);
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

#[test]
fn two_hubs_on_one_postgresql_lose_nothing() {
    let Ok(server) = std::env::var("TAILPLATE_TEST_POSTGRES") else {
        println!("Skipped: TAILPLATE_TEST_POSTGRES is not set.");
        return;
    };
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let database = format!("tailplate_api_{}", std::process::id());
    sqlx::any::install_default_drivers();
    let admin = runtime.block_on(sqlx::AnyPool::connect(&server)).unwrap();
    let sql = |text: String| runtime.block_on(sqlx::query(sqlx::AssertSqlSafe(text)).execute(&admin)).unwrap();
    sql(format!("CREATE DATABASE {database}"));
    let (before, query) = server.split_once('?').map_or((server.as_str(), ""), |(before, query)| (before, query));
    let url = format!("{}/{database}?{query}", before.rsplit_once('/').unwrap().0);

    let folder = Folder::new("postgres");
    let mut one = Running::with(&folder, &["--database", &url]);
    let two = Running::with(&folder, &["--database", &url]);
    let phone = one.pair();
    let acknowledged = Arc::new(Mutex::new(BTreeSet::new()));
    let phones: Vec<_> =
        [one.port, two.port, one.port, two.port].map(|port| (port, phone.shop, phone.token.clone())).to_vec();
    let noted = acknowledged.clone();
    let pushing = std::thread::spawn(move || push_until_gone(&phones[..2], 1, &noted));
    // A phone at the other hub hears of what the first wrote.
    let mut listening = TcpStream::connect(("127.0.0.1", two.port)).unwrap();
    listening.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
    write!(listening, "GET /api/events HTTP/1.1\r\nHost: localhost\r\n{}\r\n", phone.bearer()).unwrap();
    let heard = BufReader::new(listening).lines().map_while(Result::ok).filter(|line| line.starts_with("data: "));
    assert_eq!(heard.take(3).count(), 3);
    one.child.kill().unwrap();
    one.child.wait().unwrap();
    std::thread::sleep(Duration::from_millis(300));
    drop(two);
    pushing.join().unwrap();
    let three = Running::with(&folder, &["--database", &url]);
    let phone = Phone { port: three.port, ..phone };
    let there = works(&phone.pull_all());
    let acknowledged = acknowledged.lock().unwrap();
    println!("{} acknowledged, {} there", acknowledged.len(), there.len());
    assert!(acknowledged.len() > 20);
    assert!(acknowledged.is_subset(&there));
    drop(three);
    sql(format!("DROP DATABASE {database} WITH (FORCE)"));
}

#[test]
fn a_hash_is_written_as_it_is_read() {
    assert_eq!(hex(&bits(&sha256(JPEG))), sha256(JPEG));
}
