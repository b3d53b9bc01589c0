//! J7, the phone's half: everything in one file, and back on an empty device with nothing missing.

use serde_json::{Value, json};
use std::fs;
use tailplate_core::{
    record::{self, Kind},
    shop::Customer,
};
use tailplate_tests::{Browser, Engine, Server, in_engine, journey, photo, process::Folder, stored};

/// What the app would hand to the downloads, caught as text of bytes.
const CATCH: &str = "
    window.caught = null;
    const shown = URL.createObjectURL.bind(URL);
    URL.createObjectURL = blob => { if (blob.type.startsWith('image/')) return shown(blob); blob.arrayBuffer().then(buffer => {
        const bytes = new Uint8Array(buffer); let text = '';
        for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
        window.caught = btoa(text);
    }); return 'blob:caught'; };
    URL.revokeObjectURL = () => {};
    HTMLAnchorElement.prototype.click = function () {};
    navigator.canShare = () => false;
    return true;
";

fn everything(browser: &Browser) -> Vec<String> {
    let mut all: Vec<String> = ["find", "job", "customer", "reel", "need", "house", "part", "fitment"]
        .into_iter()
        .flat_map(|kind| stored::records(browser, kind))
        .map(|record| record.to_string())
        .chain(stored::photos(browser))
        .collect();
    all.sort();
    all
}

/// A job of Mara Quill with one reel.
fn take_in_a_reel(browser: &Browser) {
    browser.tap("Jobs");
    browser.tap("New job");
    browser.type_into("Customer", "Mara Quill");
    browser.tap("New customer: Mara Quill");
    browser.see("How to reach them");
    browser.tap("A reel without a photo");
    browser.see("Taken in as");
}

journey!(
    /// A copy made on one phone is read on an empty one: the same records and photos. Twice changes nothing; a damaged
    /// file is refused and changes nothing.
    a_saved_copy_restores_an_empty_device,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.tap("Centrepin");
        browser.tap("Keep as a find");
        browser.see("Asking price");
        let (_photo, file) = photo::with_position(&browser, "reel.jpg");
        browser.upload(".add-photo input[type=file]", &file);
        browser.see("Photo saved.");
        browser.fill("Place", "Row C");
        stored::wait_for_field(&browser, "/place", "Row C");
        take_in_a_reel(&browser);
        browser.enter("Saved copy");
        browser.js(CATCH);
        browser.tap("Make a copy");
        let copy = browser.wait_js("the copy", "return window.caught");
        let folder = Folder::new();
        let whole = folder.path.join("copy.zip");
        let bytes = browser.decoded(copy.as_str().expect("base64"));
        fs::write(&whole, &bytes).expect("the copy can be written");
        let before = everything(&browser);
        assert_eq!(before.len(), 5, "a find, its photo, a customer, a job and a reel");
        drop(browser);

        let empty = Browser::start(engine);
        empty.open(&server.url());
        empty.enter("Saved copy");
        let short = folder.path.join("short.zip");
        fs::write(&short, &bytes[..bytes.len() - 100]).expect("a file cut short");
        empty.upload("input[type=file][accept*=zip]", &short);
        empty.see("This file is not taken in");
        assert_eq!(everything(&empty), Vec::<String>::new(), "nothing of a damaged file is taken in");
        empty.close_word();
        empty.upload("input[type=file][accept*=zip]", &whole);
        empty.see("Taken in: 4 records that were new or changed, 1 photo.");
        assert_eq!(everything(&empty), before);
        empty.close_word();
        empty.upload("input[type=file][accept*=zip]", &whole);
        empty.see("Everything in this copy was here already.");
        assert_eq!(everything(&empty), before);
        empty.tap("Finds");
        empty.see("Row C");
        assert_eq!(empty.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// The list for the family: what was taken home, where it lies and what it would bring; what is a customer's stands
    /// apart with whom it goes back to; a find only looked at is not on it.
    a_list_for_the_family_opens_anywhere,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        for (kind, name) in [("Centrepin", "The good one"), ("Fly", "Left at the stall")] {
            browser.tap(kind);
            browser.tap("Keep as a find");
            browser.see("Asking price");
            browser.fill("Name of your own", name);
            browser.wait_for("its name", || stored::records(&browser, "find").into_iter().find(|find| find["name"] == json!(name)));
            if name == "The good one" {
                browser.fill("Kept at, if you took it home", "Drawer <3>");
                browser.wait_for("its place", || stored::records(&browser, "find").into_iter().find(|find| find["lies_at"] == json!("Drawer <3>")));
                browser.tap("What it would bring");
                browser.fill("From", "80");
                browser.fill("To, if a range", "60");
                browser.tap("Keep this value");
                browser.see("A value goes from the lower figure to the higher");
                browser.fill("To, if a range", "95");
                browser.fill("What that stands on", "a sale in spring");
                browser.tap("Keep this value");
                browser.see("80 to 95 ");
                let (_photo, file) = photo::with_position(&browser, "reel.jpg");
                browser.upload(".add-photo input[type=file]", &file);
                browser.see("Photo saved.");
            }
            browser.tap("Name it");
            browser.tap("New reel");
        }
        take_in_a_reel(&browser);
        browser.enter("Saved copy");
        browser.js(CATCH);
        browser.tap("Make the list");
        let list = browser.wait_js("the list", "return window.caught");
        let list = String::from_utf8(browser.decoded(list.as_str().expect("base64"))).expect("a page is text");
        let (own, others) = list.split_once("Not ours: to be given back").expect("two parts");
        for words in ["The good one", "Drawer &lt;3&gt;", "80 to 95 ", "thought on", "a sale in spring", "data:image/jpeg;base64,"] {
            assert!(own.contains(words), "{words} is among the keeper's own: {own}");
        }
        assert!(others.contains("Mara Quill") && !own.contains("Mara Quill"), "{others}");
        assert!(!list.contains("Left at the stall"), "only looked at: {list}");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

/// Rows that were kept one by one are made anew from their records, in blocks.
#[test]
fn rows_of_an_older_form_are_made_anew() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&format!("{}sw.js", server.url()));
        let mut customer = Customer::new("000102030405060708090a0b0c0d0e0f", 5);
        customer.name = "Wenna Larke".into();
        let value = serde_json::to_value(&customer).expect("JSON");
        let written = record::write(Kind::Customer, None, &Value::Null, &value, 9, 1).expect("a document");
        let script = "return new Promise((done, failed) => {
            const open = indexedDB.open('tailplate', 2);
            open.onupgradeneeded = () => {
                const db = open.result;
                for (const name of ['records', 'models', 'rows', 'outbox']) db.createObjectStore(name, { keyPath: 'id' });
                db.createObjectStore('photos', { keyPath: 'sha256' }).createIndex('put_ms', 'put_ms');
                db.createObjectStore('thumbs', { keyPath: 'sha256' });
                const meta = db.createObjectStore('meta', { keyPath: 'key' });
                meta.put({ key: 'form', value: 2 });
                const [id, json, doc] = arguments;
                const records = open.transaction.objectStore('records');
                records.put({ id, json, doc: new Uint8Array(doc), kind: 'customer', changed_ms: 9 });
                records.put({ id: 'ff', json: '{ no JSON', doc: new Uint8Array([1]), kind: 'job', changed_ms: 1 });
                open.transaction.objectStore('rows').put({ id, line: 'of an older form' });
            };
            open.onerror = () => failed(open.error);
            open.onsuccess = () => { open.result.close(); done(true) };
        })";
        browser.js_with(script, json!([customer.id, written.json, written.bytes]));
        browser.open(&format!("{}#/search", server.url()));
        browser.see("Wenna Larke");
        browser.tap("Finds");
        browser.see("1 record can’t be read and left untouched: ff.");
    });
}

/// Finds that an older version kept as JSON become documents, and lose nothing.
#[test]
fn finds_of_an_older_version_are_brought_up() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&format!("{}sw.js", server.url()));
        let old = json!({
            "schema": 1, "id": "000102030405060708090a0b0c0d0e0f", "made_ms": 5, "changed_ms": 9, "place": "Row C",
            "sheet": { "seen": [{ "about": { "feature": "reel_kind" }, "value": { "state": "centrepin" }, "certainty": "sure", "how": "eye" }] },
            "state": { "confirmed": { "model": "demo-1" } }
        });
        let script = "return new Promise((done, failed) => {
            const open = indexedDB.open('tailplate', 1);
            open.onupgradeneeded = () => {
                const db = open.result;
                const records = db.createObjectStore('records', { keyPath: 'id' });
                records.createIndex('changed_ms', 'changed_ms'); records.createIndex('state', 'state');
                db.createObjectStore('photos', { keyPath: 'sha256' }).createIndex('put_ms', 'put_ms');
                for (const name of ['thumbs']) db.createObjectStore(name, { keyPath: 'sha256' });
                db.createObjectStore('models', { keyPath: 'id' }); db.createObjectStore('meta', { keyPath: 'key' });
                records.put({ id: arguments[0].id, json: arguments[1], changed_ms: 9, state: 'open' });
                records.put({ id: 'ff', json: '{ no JSON', changed_ms: 1, state: 'open' });
            };
            open.onerror = () => failed(open.error);
            open.onsuccess = () => { open.result.close(); done(true) };
        })";
        browser.js_with(script, json!([old, old.to_string()]));
        browser.open(&server.url());
        browser.tap("Finds");
        browser.see("Row C");
        browser.see("1 record can’t be read and left untouched: ff.");
        browser.tap("Row C");
        browser.fill("Note", "Still here.");
        browser.wait_for("the note to be stored", || {
            let script = "return new Promise(done => { const open = indexedDB.open('tailplate'); open.onsuccess = () => {
                const get = open.result.transaction('records').objectStore('records').get('000102030405060708090a0b0c0d0e0f');
                get.onsuccess = () => { open.result.close(); done({ json: get.result.json, doc: get.result.doc?.length ?? 0 }) } } })";
            let stored = browser.js(script);
            let json = stored["json"].as_str().unwrap_or_default().to_owned();
            (json.contains("Still here.") && json.contains("Row C") && stored["doc"].as_u64() > Some(50)).then_some(())
        });
    });
}
