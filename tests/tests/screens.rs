//! The other screens: the stall check, settings, the practice packs, a model of one's own, look-alikes side by side.

use serde_json::json;
use tailplate_tests::{Browser, Server, journey, stored};

journey!(
    /// Two minutes at a stall: what was found goes with the find.
    the_stall_check_goes_with_the_find,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.enter("Stall check");
        browser.see("2:00");
        browser.tap_css(".stall li:first-child .segments button:nth-child(2)");
        browser.tap_css(".stall li:nth-child(2) .segments button:first-child");
        browser.see("2 of 10 looked at, 1 flaw.");
        browser.wait_js("the clock to run", "return !document.querySelector('.clock').innerText.includes('2:00')");
        browser.tap("Keep as a find");
        browser.see("Stall check, flaws: Cracks in plates and rim");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// Settings are kept; practice reels come into the key, and out of it again.
    settings_are_kept_and_practice_reels_come_and_go,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.enter("Settings");
        browser.tap("Inches");
        browser.tap("Bench, dark");
        browser.tap("In use");
        browser.reload();
        browser.see("Millimetres");
        for chosen in ["Inches", "Bench, dark", "In use"] {
            let script = "return [...document.querySelectorAll('button')].find(b => b.innerText === arguments[0]).getAttribute('aria-pressed')";
            assert_eq!(browser.js_with(script, json!([chosen])), json!("true"), "{chosen} is kept");
        }
        assert_eq!(browser.js("return document.documentElement.dataset.theme"), json!("dark"));

        browser.tap("Name it");
        name_a_dunling(&browser);
        browser.enter("Settings");
        browser.tap("Left out");
        browser.tap("Name it");
        browser.see_no_more("Dunling 3 inch");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// The card of a model, and two look-alikes side by side.
    look_alikes_stand_side_by_side,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.enter("Settings");
        browser.tap("In use");
        browser.tap("Name it");
        name_a_dunling(&browser);
        let drawn = "return document.querySelector('.pair svg')?.getBoundingClientRect().height > 50";
        browser.tap_until("Side by side", "the drawing of the pair", drawn);
        browser.see("Dunling 3 inch");
        browser.see("“THE DUNLING 3”");
        browser.back();
        browser.tap_css(".candidates summary");
        browser.tap("Its card");
        browser.see("Its forms");
        browser.see("Made by Tarrowby & Knott");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// A reel that no pack knows becomes a model of one's own; the next one like it is found.
    a_model_of_ones_own_is_found_afterwards,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        read_on_a_centrepin(&browser, "WENDLEBURY PATTERN NO. 7");
        browser.tap("Keep as a find");
        browser.see("Asking price");
        browser.close_word();
        browser.tap("Add it as a model of your own");
        browser.tap("Add the model");
        browser.wait_js("a word that it needs a name", "return document.querySelector('.trouble').innerText.length > 5");
        browser.type_into("Name of the model", "Wendlebury 7");
        browser.type_into("First year", "1948");
        browser.type_into("Last year", "1955");
        browser.tap("Add the model");
        browser.see("Saved: your model is in the key.");

        browser.tap("Name it");
        browser.tap("New reel");
        read_on_a_centrepin(&browser, "WENDL?BURY PAT* 7");
        browser.wait_js(
            "one's own model as the first candidate",
            "return document.querySelector('.candidates > li .name')?.innerText.includes('Wendlebury 7')",
        );
        browser.reload();
        browser.see("Wendlebury 7");
        assert_eq!(stored::finds(&browser).len(), 1);
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

fn name_a_dunling(browser: &Browser) {
    browser.tap("Fly, single action or multiplying");
    browser.tap_css("[data-place=head-plate] circle:last-of-type");
    browser.type_into("Lettering", "THE DUNLING 3");
    browser.tap("Keep the reading");
    browser.see("Dunling 3 inch");
}

fn read_on_a_centrepin(browser: &Browser, lettering: &str) {
    browser.tap("Centrepin");
    browser.tap_css("[data-place=tail-plate] circle:last-of-type");
    browser.type_into("Lettering", lettering);
    browser.tap("Keep the reading");
    browser.see(lettering);
}
