//! What was saved stays saved: several tabs, a full disk, a newer version, an end in the middle.

use serde_json::json;
use std::{
    collections::hash_map::RandomState,
    hash::{BuildHasher, Hasher},
    thread,
    time::Duration,
};
use tailplate_tests::{Browser, Engine, Server, in_engine, journey, process::Folder, stored};

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

/// A reload at any moment after the word “saved” loses nothing.
#[test]
fn what_was_called_saved_survives_a_reload_at_any_moment() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = with_a_find(engine, &server);
        for round in 0..20 {
            let note = format!("Round {round}.");
            browser.close_word();
            browser.see_no_more("Saved");
            browser.fill("Note", &note);
            browser.wait_js("the word “saved”", "return document.querySelector('.word')?.innerText.includes('Saved')");
            thread::sleep(Duration::from_millis(RandomState::new().build_hasher().finish() % 40));
            browser.reload();
            browser.see("Asking price");
            stored::wait_for_field(&browser, "/note", &note);
        }
    });
}

/// The phone's power fails right after the word “saved”: the browser is killed, and started again on what is on the disk.
#[test]
fn what_was_called_saved_survives_the_end_of_the_browser() {
    in_engine(Engine::Chromium, |_| {
        let server = Server::start();
        let profile = Folder::new();
        let mut address = server.url();
        for round in 0..3 {
            let mut browser = Browser::start_on(&profile.path);
            browser.open(&address);
            if round == 0 {
                browser.tap("Centrepin");
                browser.tap("Keep as a find");
                browser.see("Saved on this phone.");
                address = browser.js("return location.href").as_str().expect("an address").to_string();
            }
            browser.see("Asking price");
            if round > 0 {
                stored::wait_for_field(&browser, "/note", &format!("Round {}.", round - 1));
            }
            browser.close_word();
            browser.see_no_more("Saved");
            browser.fill("Note", &format!("Round {round}."));
            browser.wait_js("the word “saved”", "return document.querySelector('.word')?.innerText.includes('Saved')");
            browser.kill();
        }
    });
}
