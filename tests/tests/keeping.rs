//! What was saved stays saved: several tabs, a full disk, a newer version, an end in the middle.

use serde_json::json;
use std::time::{Duration, Instant};
use tailplate_tests::{Browser, Engine, Server, in_engine, journey, photo, process::Folder, stored};

/// A browser on the page of a find just kept.
fn with_a_find(engine: Engine, server: &Server) -> Browser {
    let browser = Browser::start(engine);
    browser.open(&server.url());
    browser.tap("Centrepin");
    browser.tap("Keep as a find");
    browser.see("Saved on this phone.");
    browser.see("Asking price");
    browser
}

/// Two tabs show one find: what each writes stays, and each shows what the other wrote.
fn two_tabs_edit_one_find(engine: Engine) {
    let server = Server::start();
    let browser = with_a_find(engine, &server);
    let address = browser.js("return location.href");
    let (first, second) = browser.open_tab();
    browser.open(address.as_str().expect("an address"));
    browser.see("Asking price");

    browser.switch_to(&first);
    browser.fill("Place", "Row C");
    stored::wait_for_field(&browser, "/place", "Row C");
    browser.switch_to(&second);
    browser.wait_js("the place from the other tab", &field_holds("Row C"));
    browser.fill("Note", "Ask him about the box.");
    stored::wait_for_field(&browser, "/note", "Ask him about the box.");
    stored::wait_for_field(&browser, "/place", "Row C");

    browser.tap("Finds");
    browser.see("Row C");
    browser.switch_to(&first);
    browser.wait_js("the note from the other tab", &field_holds("Ask him about the box."));
    browser.fill("Place", "Row D");
    browser.switch_to(&second);
    browser.see("Row D");
    assert_eq!(browser.console_errors(), Vec::<String>::new());
}

#[test]
fn two_tabs_edit_one_find_in_chromium() {
    in_engine(Engine::Chromium, two_tabs_edit_one_find);
}

// WebKitGTK’s driver can type into the foremost window only.
#[test]
fn two_tabs_edit_one_find_in_firefox() {
    in_engine(Engine::Firefox, two_tabs_edit_one_find);
}

fn field_holds(words: &str) -> String {
    format!("return [...document.querySelectorAll('input, textarea')].some(field => field.value === {words:?})")
}

/// A field left is kept, and the next one can be typed into at once.
#[test]
fn typing_goes_on_in_the_next_field_while_the_last_is_being_saved() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = with_a_find(engine, &server);
        browser.type_into("Place", "Row C\u{e004}45\u{e004}");
        stored::wait_for_field(&browser, "/place", "Row C");
        stored::wait_for_field(&browser, "/asking_price/amount", "45");
    });
}

/// The disk is full: the app says so, says nothing of saved, and what was there stays.
#[test]
fn a_full_disk_is_told_and_loses_nothing() {
    in_engine(Engine::Chromium, |_| {
        let server = Server::start();
        let profile = Folder::new();
        let mut browser = Browser::start_on(&profile.path);
        browser.open(&server.url());
        browser.tap("Centrepin");
        browser.tap("Keep as a find");
        browser.see("Saved on this phone.");
        browser.fill("Place", "Row C");
        stored::wait_for_field(&browser, "/place", "Row C");
        let address = browser.js("return location.href");
        // A browser that has just written remembers how much room there was: a fresh one asks.
        browser.kill();

        let browser = Browser::start_on(&profile.path);
        browser.open(address.as_str().expect("an address"));
        browser.see("Asking price");
        browser.quota(1);
        browser.fill("Note", "Too much.");
        browser.see("There is no room left on this device, so this was not saved.");
        assert_eq!(browser.js("return document.querySelectorAll('.word').length"), json!(1), "nothing else is said");
        assert_eq!(
            browser.js("return document.querySelector('textarea').value"),
            json!("Too much."),
            "what was typed is still there to be copied"
        );
        browser.reload();
        browser.see("Asking price");
        stored::wait_for_field(&browser, "/place", "Row C");
        assert_eq!(stored::finds(&browser)[0].get("note"), None, "nothing half-saved");
    });
}

/// Before the room is gone the person is told, once, after what was saved; Settings show it for as long as it is so.
/// What the browser says of its room is made up here: this one names a fixed figure, whatever there is.
#[test]
fn room_that_runs_out_is_told_before_it_is_gone() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = with_a_find(engine, &server);
        let say = |used: u64| {
            let told = format!(
                "StorageManager.prototype.estimate = async () => ({{ usage: {used}e6, quota: 100e6 }}); return true"
            );
            browser.js(&told);
        };
        say(81);
        let (_folder, file) = photo::with_position(&browser, "reel.jpg");
        browser.upload(".add-photo input[type=file]", &file);
        browser.see("Saved, but room is running out on this device. Make a saved copy");
        assert_eq!(stored::photos(&browser).len(), 1, "it is saved");
        browser.close_word();
        browser.upload(".add-photo input[type=file]", &file);
        browser.see("Photo saved.");
        browser.enter("Settings");
        browser.see("81.0 MB used of 100 MB that the browser allows.");
        browser.see("Mind: room is running out");
        say(20);
        browser.tap("Finds");
        browser.enter("Settings");
        browser.see("20.0 MB used of 100 MB that the browser allows.");
        assert!(!browser.shows("room is running out"));
    });
}

journey!(
    /// A newer Tailplate has changed the database: this one leaves it alone and says so.
    a_newer_database_is_left_alone,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&format!("{}sw.js", server.url()));
        let upgrade = "return new Promise((done, failed) => {
            const open = indexedDB.open('tailplate', 99);
            open.onerror = () => failed(open.error);
            open.onsuccess = () => { open.result.close(); done(true) };
        })";
        assert_eq!(browser.js(upgrade), json!(true));
        browser.open(&server.url());
        browser.see("A newer Tailplate has written to this device. Everything saved is safe.");
        // Naming a reel needs no storage.
        browser.tap("Centrepin");
        browser.see("What it may be");
        browser.tap("Keep as a find");
        browser.see("A newer Tailplate has written to this device.");
        assert!(!browser.shows("Saved on this phone"), "nothing is called saved");
    }
);

/// A tab with an older version holds the database open: the newer page says what to do, and works once that tab is closed.
fn an_older_tab_in_the_way_is_told(engine: Engine) {
    let server = Server::start();
    let browser = Browser::start(engine);
    let beside = format!("{}sw.js", server.url());
    browser.open(&beside);
    // The older version, which makes no way when a newer one asks.
    let hold = "return new Promise((done, failed) => {
        const open = indexedDB.open('tailplate', 1);
        open.onupgradeneeded = () => {
            for (const [name, key] of [['records', 'id'], ['photos', 'sha256'], ['thumbs', 'sha256'], ['models', 'id'], ['meta', 'key']]) {
                const store = open.result.createObjectStore(name, { keyPath: key });
                if (name === 'photos') store.createIndex('put_ms', 'put_ms');
            }
        };
        open.onerror = () => failed(open.error);
        open.onsuccess = () => { window.held = open.result; done(true); };
    })";
    assert_eq!(browser.js(hold), json!(true));
    let (old, new) = browser.open_tab();
    browser.open(&server.url());
    browser.see("Tailplate is open in another tab with an older version.");
    browser.see("Close the other tabs and reload this one.");
    browser.switch_to(&old);
    browser.js("window.held.close()");
    browser.switch_to(&new);
    browser.reload();
    browser.tap("Centrepin");
    browser.tap("Keep as a find");
    browser.see("Saved on this phone.");
    assert_eq!(stored::finds(&browser).len(), 1);
}

#[test]
fn an_older_tab_in_the_way_is_told_in_chromium() {
    in_engine(Engine::Chromium, an_older_tab_in_the_way_is_told);
}

// WebKitGTK’s driver serves the foremost window only.
#[test]
fn an_older_tab_in_the_way_is_told_in_firefox() {
    in_engine(Engine::Firefox, an_older_tab_in_the_way_is_told);
}

/// Saves again and again, and notes the number of the last edit that was called saved.
const SAVE_ON: &str = "
    window.said = arguments[0];
    const note = () => [...document.querySelectorAll('label')].find(l => l.firstChild?.data === 'Note')?.querySelector('textarea');
    const word = () => document.querySelector('.word');
    const until = (ready, then) => ready() ? then() : setTimeout(() => until(ready, then), 2);
    const edit = n => {
        word()?.querySelector('button[aria-label]')?.click();
        until(() => !word() && note(), () => {
            note().value = `Edit ${n}.`;
            note().dispatchEvent(new Event('change', { bubbles: true }));
            until(() => word()?.innerText.includes('Saved'), () => { window.said = n; edit(n + 1); });
        });
    };
    edit(arguments[0] + 1);
";

/// Ends at any moment of a save: most close the tab under it, some kill the whole browser as a power cut would. What was
/// called saved is there, whole, and still to be sent; the seed and the number of ends can be chosen.
#[test]
fn what_was_called_saved_survives_an_end_at_any_moment() {
    let number = |name: &str, usual: u64| {
        std::env::var(name).map_or(usual, |text| text.parse().unwrap_or_else(|_| panic!("{name} is a number")))
    };
    let (ends, mut seed) = (number("TAILPLATE_KILLS", 12), number("TAILPLATE_SEED", 1));
    let mut below = |most: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % most
    };
    in_engine(Engine::Chromium, |_| {
        let server = Server::start();
        let profile = Folder::new();
        let mut browser = Browser::start_on(&profile.path);
        browser.open(&server.url());
        browser.tap("Centrepin");
        browser.tap("Keep as a find");
        browser.see("Saved on this phone.");
        browser.see("Asking price");
        let address = browser.js("return location.href").as_str().expect("an address").to_string();
        let (mut said, mut saves) = (0, 0);
        for end in 0..ends {
            let (shown, spare) = browser.open_tab();
            browser.switch_to(&shown);
            browser.js_with(SAVE_ON, json!([said]));
            let (before, wait) = (said, Duration::from_millis(below(400)));
            let start = Instant::now();
            while start.elapsed() < wait || said == before {
                said = browser.js("return window.said").as_u64().expect("a number");
            }
            if below(10) == 0 {
                browser.kill();
                browser = Browser::start_on(&profile.path);
            } else {
                browser.end_tab(&spare);
            }
            browser.open(&address);
            browser.see("Asking price");
            let finds = stored::finds(&browser);
            let note = finds[0]["note"].as_str().and_then(|note| note.strip_prefix("Edit ")?.strip_suffix('.'));
            let kept: u64 = note.and_then(|number| number.parse().ok()).expect("the note is whole");
            assert!(kept >= said, "end {end}: edit {said} was called saved, and {kept} is there");
            browser.wait_js("the note on the screen", &field_holds(&format!("Edit {kept}.")));
            assert_eq!(stored::unsent(&browser), 1, "end {end}: the find is still to be sent");
            saves += kept - before;
            said = kept;
        }
        println!("{ends} ends, {saves} saves, nothing lost that was called saved");
    });
}
