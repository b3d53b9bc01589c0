//! The finds at home: sought, settled, deleted by mistake, shown to a helper.

use serde_json::json;
use std::fs;
use tailplate_tests::{Browser, Engine, Server, in_engine, journey, process::Folder, stored};

/// What a person might paste, and a page must show as it is.
const HOSTILE: &str = "\"'><script>window.hurt=1</script><img src=x onerror=window.hurt=1>";

fn keep(browser: &Browser, kind: &str, name: &str) {
    browser.tap("Name it");
    // The kinds stay in the page behind other screens: only what can be seen counts.
    let kinds = "document.querySelector('.kinds button')?.offsetParent != null";
    let reel = "[...document.querySelectorAll('.actions button')].some(one => one.innerText === 'New reel')";
    browser.wait_js("the screen for naming", &format!("return {kinds} || {reel}"));
    if browser.shows("New reel") {
        browser.tap_until("New reel", "an empty table", &format!("return {kinds}"));
    }
    browser.tap(kind);
    browser.tap("Keep as a find");
    browser.see("Asking price");
    browser.fill("Name of your own", name);
    browser.see(name);
}

journey!(
    /// Three finds: one is sought, one settled, one not known, one deleted by mistake and brought back.
    finds_are_sought_settled_and_brought_back,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.tap("Finds");
        browser.see("No finds yet.");
        for (kind, name) in [("Centrepin", "Walnut drum"), ("Baitcasting", "Box of bits"), ("Centrepin", "From Aunt Vi")] {
            keep(&browser, kind, name);
        }

        browser.tap("Not known");
        browser.see("Not known. Kept with its measures");
        browser.tap("Finds");
        browser.type_into("Search the finds", "walnut");
        browser.see("Walnut drum");
        browser.see_no_more("Box of bits");
        browser.type_into("Search the finds", "no such thing");
        browser.see("Nothing found.");
        browser.type_into("Search the finds", "walnut");
        browser.tap("Walnut drum");
        browser.tap("It is the");
        browser.see("Confirmed:");
        browser.tap("Finds");
        browser.see("confirmed");
        browser.see("not known");

        browser.tap("Box of bits");
        browser.tap("Delete");
        browser.see_no_more("Box of bits");
        browser.tap("Undo");
        browser.see("It is back.");
        browser.tap("Finds");
        browser.see("Box of bits");
        browser.reload();
        browser.see("Box of bits");
        assert_eq!(stored::finds(&browser).len(), 3);
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

/// Words that are a program stay words, on every screen and on the page for a helper.
#[test]
fn typed_words_never_run() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        let unhurt = |place: &str| {
            let script = "return !window.hurt && !document.querySelector('img[src=x]') && ![...document.scripts].some(s => s.innerText.includes('hurt'))";
            assert_eq!(browser.js(script), json!(true), "{place}: what was typed became part of the page");
            assert!(!browser.slides_sideways(), "{place}: a long word makes the page wider than the screen");
        };
        browser.open(&server.url());
        browser.tap("Centrepin");
        browser.tap_css("[data-place=foot-under] circle:last-of-type");
        browser.type_into("Lettering", HOSTILE);
        unhurt("the entry of a mark");
        browser.tap("Keep the reading");
        browser.see("onerror=window.hurt=1");
        unhurt("Name it");

        browser.tap("Keep as a find");
        browser.see("Asking price");
        for (label, field) in
            [("Name of your own", "/name"), ("Place", "/place"), ("Note", "/note"), ("Private note", "/private_note")]
        {
            browser.fill(label, HOSTILE);
            stored::wait_for_field(&browser, field, HOSTILE);
        }
        browser.fill("Asking price", HOSTILE);
        browser.fill("Currency", "<b>");
        unhurt("the find");
        browser.reload();
        browser.see(HOSTILE);
        unhurt("the find, read again");

        let downloads = Folder::new();
        browser.download_into(&downloads.path);
        browser.tap("Send its page to a helper");
        browser.see("Saved as reel.html");
        let file = downloads.path.join("reel.html");
        let page = browser.wait_for("the page among the downloads", || {
            fs::read_to_string(&file).ok().filter(|page| page.contains("</html>"))
        });
        assert_eq!(page.matches("<script").count(), 0, "the helper's page holds no program");

        browser.close_word();
        browser.tap("Add it as a model of your own");
        for label in ["Name of the model", "Maker, if known", "Catalogue number"] {
            browser.type_into(label, HOSTILE);
        }
        browser.tap("Add the model");
        browser.see("Saved: your model is in the key.");
        unhurt("a model of one's own");
        browser.tap("Finds");
        browser.see(HOSTILE);
        browser.type_into("Search the finds", HOSTILE);
        unhurt("Finds");
        let address = "return document.querySelector('.candidates a[href*=model]').href";
        browser.tap("Name it");
        browser.tap_css(".candidates summary");
        let card = browser.wait_js("a card", address);
        browser.js_with("location.href = arguments[0]", json!([card]));
        browser.see("Its forms");
        unhurt("the card of a model");
        browser.enter("Settings");
        browser.see("Millimetres");
        unhurt("Settings");

        browser.open(&format!("file://{}", file.display()));
        browser.see("onerror=window.hurt=1");
        unhurt("the helper's page");
        assert_eq!(browser.other_hosts(), Vec::<String>::new(), "the helper's page asks nothing of anybody");
    });
}

/// The page for a helper holds what was seen, and no private word.
#[test]
fn a_helper_gets_the_reel_but_no_private_note() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        keep(&browser, "Centrepin", "Walnut drum");
        browser.fill("Note", "The back is cracked.");
        stored::wait_for_field(&browser, "/note", "The back is cracked.");
        browser.fill("Private note", "He would take ten less.");
        stored::wait_for_field(&browser, "/private_note", "He would take ten less.");
        let downloads = Folder::new();
        browser.download_into(&downloads.path);
        browser.tap("Send its page to a helper");
        let file = downloads.path.join("reel.html");
        browser.wait_for("the page among the downloads", || {
            fs::read_to_string(&file).ok().filter(|page| page.contains("</html>"))
        });
        browser.open(&format!("file://{}", file.display()));
        browser.see("Walnut drum");
        browser.see("The back is cracked.");
        assert!(!browser.shows("ten less"), "the private note is not sent");
    });
}
