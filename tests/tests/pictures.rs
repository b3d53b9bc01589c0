//! The README's pictures, taken from the app itself: `cargo xtask pictures`. They show the invented practice reels.

use serde_json::json;
use std::{thread, time::Duration};
use tailplate_tests::{Browser, Server, photo, process::root, stored};

#[test]
#[ignore = "writes docs/pictures"]
fn pictures_of_the_tour() {
    let server = Server::start();
    let browser = Browser::start_for_pictures();
    let take = |name: &str| {
        // The colour of the last tap fades.
        thread::sleep(Duration::from_millis(500));
        browser.screenshot(&root().join("docs/pictures").join(name).with_extension("png"));
    };
    // With what a selector finds at the upper edge, below the tag that stays there.
    let take_at = |css: &str, name: &str| {
        let script = "const top = document.querySelector(arguments[0]).getBoundingClientRect().top;
            const tag = document.querySelector('.tag')?.offsetHeight ?? 0;
            scrollTo({ top: scrollY + top - tag - 12, behavior: 'instant' })";
        browser.js_with(script, json!([css]));
        take(name);
    };

    browser.open(&server.url());
    browser.see("What kind of reel is it?");
    take("kinds");
    browser.enter("Settings");
    browser.tap("In use");
    browser.tap("Name it");

    browser.tap("Fly, single action or multiplying");
    browser.tap_css("[data-place=tail-plate] circle:last-of-type");
    browser.type_into("Lettering", "T?RROWBY & KN*");
    take("mark");
    browser.tap("Keep the reading");
    browser.see("KN*");
    browser.tap("Read another mark");
    browser.tap_css("[data-place=foot-under] circle:last-of-type");
    browser.type_into("Lettering", "T1?482");
    browser.tap("Keep the reading");
    browser.see("T1?482");
    take_at("body", "answer");
    take_at(".checks", "checks");
    browser.tap_css(".candidates summary");
    take_at("[aria-labelledby=which-title]", "candidates");
    take_at("[aria-labelledby=when-title]", "years");

    browser.tap("Side by side");
    browser.see("Answer it");
    take("compare");
    browser.enter("Stall check");
    browser.tap("Sound");
    take_at("body", "stall");
    browser.tap("Keep as a find");
    browser.see("Photo");
    let (_folder, file) = photo::with_position(&browser, "reel.jpg");
    browser.upload(".add-photo input[type=file]", &file);
    browser.see("Photo saved.");
    for (label, field, words) in [
        ("Name of your own", "/name", "The one with the wire guard"),
        ("Place", "/place", "Field 4, row C"),
        ("Asking price", "/asking_price/amount", "45"),
        ("Note", "/note", "Check is loud. He has the box at home."),
    ] {
        browser.fill(label, words);
        stored::wait_for_field(&browser, field, words);
    }
    browser.close_word();
    take_at("body", "find");
    browser.tap("Name it");
    for kind in ["Centrepin", "Spinning (fixed spool)"] {
        browser.tap("New reel");
        browser.tap(kind);
        browser.tap("Keep as a find");
        browser.see("Asking price");
        browser.tap("Name it");
    }
    browser.tap("Finds");
    browser.see("The one with the wire guard");
    photo::wait_shown(&browser, ".find-row .thumb", 1);
    browser.close_word();
    take("finds");
    browser.enter("Settings");
    browser.tap("Bench, dark");
    take_at("body", "settings");
}
