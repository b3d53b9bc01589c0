//! Nobody gets in who was not let in: refused with a word, logged, nothing changed.

use serde_json::json;
use tailplate_core::sync::{COUNT_MAX, Id, Item, Mark, Outcome, PHOTO_BYTES_MAX, PUSH_BODY_MAX, Push, Pushed};
use tailplate_hub::store::sha256;

use crate::kept::Kept;
use crate::phone::{JPEG, Phone, bits, reel};
use crate::running::{Line, Running, ask, send};

/// What it is, the status and the word it is refused with; method, path, headers and body of the call.
type Case<'a> = (&'a str, u16, &'a str, &'a str, &'a str, String, Vec<u8>);

#[test]
fn what_is_not_allowed_is_refused_with_a_word_and_changes_nothing() {
    for kept in Kept::each("refused") {
        refused_and_nothing_changed(&kept);
    }
}

fn refused_and_nothing_changed(kept: &Kept) {
    let hub = Running::start(kept);
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
        assert_eq!(answer.word(), (*status, (*word).to_owned()), "{what}");
        assert!(answer.json()["told"].as_str().is_some_and(|told| told.ends_with('.')), "{what}");
        assert!(answer.header("content-security-policy").is_some_and(|policy| policy.contains("default-src 'self'")));
        let line = format!("method={method} path={path:?} status={status}");
        assert!(kept.folder.logged().contains(&line), "{what} is not in the log");
    }
    let text = sha256(b"<html>");
    let answer = phone.ask("PUT", &format!("/api/photos/{text}"), b"<html>");
    assert_eq!(answer.word(), (422, "no-photo".to_owned()));
    // A place the log does not know is no error; it is told to start over, and nothing is taken.
    let answer = phone.ask("POST", "/api/push", &far.encode());
    assert_eq!(Pushed::decode(&answer.body).unwrap().outcome, Outcome::StartOver);
    // Another name for this computer.
    let head = format!(
        "POST /api/push HTTP/1.1\r\nHost: shop.example\r\nConnection: close\r\n{bearer}Content-Length: {}\r\n\r\n",
        good.len()
    );
    assert_eq!(send(hub.port, &head, &good).unwrap().status, 421);
    assert!(kept.folder.logged().contains(r#"method=POST path="/api/push" status=421"#));
    // Ways out of the app's folder.
    for path in [
        "/../shop/shop.db",
        "/%2e%2e/shop/shop.db",
        "/..%2fshop%2fshop.db",
        "/%252e%252e/shop/shop.db",
        "//shop/shop.db",
    ] {
        assert_eq!(ask(hub.port, "GET", path, "", b"").unwrap().status, 404, "{path}");
        assert!(kept.folder.logged().contains(&format!("path={path:?} status=404")), "{path} is not in the log");
    }
    // A body in pieces that grows beyond what it may.
    let head = format!(
        "POST /api/photos/missing HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{bearer}Transfer-Encoding: chunked\r\n\r\n"
    );
    let chunk = [format!("{:x}\r\n", 32 * 1001).as_bytes(), &vec![0; 32 * 1001], b"\r\n0\r\n\r\n"].concat();
    assert_eq!(send(hub.port, &head, &chunk).unwrap().json()["error"], "too-large");

    assert_eq!(phone.state(&bits(&name)), before);
    let logged = kept.folder.logged();
    for secret in [&phone.token, &revoked.token, &hub.code, &hub.code.replace('-', ""), "AAAA2222"] {
        assert!(!logged.contains(secret), "a secret stands in the log");
    }
    // Its own page may call.
    let own = with(&format!("Origin: http://localhost:{}\r\n", hub.port));
    assert_eq!(ask(hub.port, "POST", "/api/push", &own, &good).unwrap().status, 200);
}

fn pair(code: &str) -> Vec<u8> {
    json!({ "code": code, "name": "x" }).to_string().into_bytes()
}

#[test]
fn a_code_of_ten_minutes_ago_lets_nobody_in() {
    let kept = Kept::here("expired");
    let hub = Running::start(&kept);
    let phone = hub.pair();
    let code = phone.ask("POST", "/api/codes", b"").json()["code"].as_str().unwrap().to_owned();
    let before = phone.state(b"");
    let runtime = tokio::runtime::Runtime::new().unwrap();
    sqlx::any::install_default_drivers();
    let url = format!("sqlite://{}", kept.folder.data().join("shop.db").display()).replace(' ', "%20");
    let pool = runtime.block_on(sqlx::AnyPool::connect(&url)).unwrap();
    let shift = |by_ms: i64| {
        let shift = sqlx::query("UPDATE codes SET ends_ms = ends_ms + $1").bind(by_ms);
        assert_eq!(runtime.block_on(shift.execute(&pool)).unwrap().rows_affected(), 1);
    };
    shift(-10 * 60_000 - 1);
    let answer = ask(hub.port, "POST", "/api/pair", "", &pair(&code)).unwrap();
    assert_eq!(answer.word(), (403, "wrong-code".to_owned()));
    assert_eq!(phone.state(b""), before);
    // It was its age.
    shift(10 * 60_000);
    assert_eq!(ask(hub.port, "POST", "/api/pair", "", &pair(&code)).unwrap().status, 200);
}

#[test]
fn ten_thousand_guesses_let_nobody_in() {
    const GUESSES: usize = 10_000;
    const AT_ONCE: usize = 4;
    let kept = Kept::here("guess");
    let hub = Running::start(&kept);
    let phone = hub.pair();
    let code = phone.ask("POST", "/api/codes", b"").json()["code"].as_str().unwrap().to_owned();
    let before = phone.state(b"");
    let port = hub.port;
    let guess = move |from: usize| {
        let mut line = Line::open(port);
        let guess = |n: usize| line.ask("POST", "/api/pair", "", &pair(&format!("AAA{:05}", n + 22222))).status;
        (from..GUESSES).step_by(AT_ONCE).map(guess).collect::<Vec<u16>>()
    };
    let threads: Vec<_> = (0..AT_ONCE).map(|from| std::thread::spawn(move || guess(from))).collect();
    let statuses: Vec<u16> = threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect();
    let count = |wanted: u16| statuses.iter().filter(|status| **status == wanted).count();
    assert_eq!((count(403), count(429)), (20, GUESSES - 20));
    let logged = kept.folder.logged();
    let lines = |status: u16| logged.matches(&format!("path=\"/api/pair\" status={status}")).count();
    assert_eq!((lines(403), lines(429)), (20, GUESSES - 20));
    // Not even the right one, for ten minutes.
    assert_eq!(ask(port, "POST", "/api/pair", "", &pair(&code)).unwrap().word(), (429, "too-many-tries".to_owned()));
    assert_eq!(phone.state(b""), before);
}
