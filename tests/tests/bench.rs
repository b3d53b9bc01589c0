//! At the bench: a fault, a strip-down that is interrupted, putting back, service and tests, and what the owner reads of it.

use serde_json::{Value, json};
use tailplate_tests::{Browser, Server, journey, photo, stored};

/// A reel taken in, of the kind given, on its own page.
fn with_a_reel(browser: &Browser, kind: &str, complaint: &str) {
    browser.tap("Jobs");
    browser.tap("New job");
    browser.tap("A reel without a photo");
    browser.tap("nothing noted yet");
    browser.tap("Kind of reel");
    browser.tap(kind);
    browser.see("What it is called");
    browser.fill("What the owner says of it", complaint);
    wait_for_reel(browser, "the complaint to be stored", |reel| reel["complaint"] == json!(complaint));
}

/// The only reel as it is stored.
fn reel(browser: &Browser) -> Value {
    stored::records(browser, "reel").into_iter().next().unwrap_or_default()
}

fn wait_for_reel(browser: &Browser, what: &str, so: impl Fn(&Value) -> bool) {
    browser.wait_for(what, || so(&reel(browser)).then_some(()));
}

/// What the large card is about.
fn wait_for_card(browser: &Browser, words: &str) {
    let script = format!("return document.querySelector('.step h2')?.innerText.toLowerCase().includes({words:?})");
    browser.wait_js(&format!("the card about “{words}”"), &script);
}

journey!(
    /// A bail that will not close: found, opened, closed again with nothing over, serviced, tested, and told on paper.
    a_fault_is_found_and_the_reel_goes_back_together,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        with_a_reel(&browser, "Spinning (fixed spool)", "The bail won't close.");

        // The fault: heard in the owner's words, looked for, and borne out by a check.
        browser.tap("Faults");
        browser.tap("Yes: Bail stays open when the handle turns");
        wait_for_reel(&browser, "the symptom to be stored", |reel| reel["symptoms"]["s-bail-open"] == json!("present"));
        browser.tap("All symptoms");
        browser.type_into("Search the symptoms", "floppy");
        browser.tap("Yes: No spring force at either end");
        browser.tap("All checks");
        browser.tap("Loosen the roller end of the bail: arm is limp");
        wait_for_reel(&browser, "the check to be stored", |reel| reel["checks"]["k-wire-loose"] == json!("none"));
        browser.wait_js(
            "the broken spring in the first place",
            "return document.querySelector('.candidates summary')?.innerText.includes('Bail spring broken')",
        );
        browser.tap_css(".candidates summary");
        browser.see("What to do");
        browser.see("Mind first");
        browser.tap("Keep as the finding: Bail spring broken");
        browser.see("Kept as the finding");

        // Three parts off; the page goes in the middle of the third.
        browser.tap("Strip it");
        browser.see("Step 1 of");
        let (_folder, file) = photo::with_position(&browser, "spool.jpg");
        browser.upload("[aria-label='Photo of this step']", &file);
        browser.see("1 photo");
        browser.tap("It is off");
        browser.see("Off so far: 1");
        browser.fill("Tray cell", "A2");
        browser.tap("It is off");
        browser.see("Off so far: 2");
        browser.see("tray A2");
        browser.fill("Which way round", "collar up");
        browser.reload();
        browser.see("Off so far: 2");
        browser.wait_js(
            "what was told of the third part",
            "return [...document.querySelectorAll('input')].some(field => field.value === 'collar up')",
        );
        browser.tap("It is off");
        browser.see("Off so far: 3");
        browser.see("collar up");
        wait_for_reel(&browser, "three parts to be stored", |reel| reel["strip"].as_array().map(Vec::len) == Some(3));

        // Back, the last first; nothing is left.
        browser.tap("Put back");
        browser.see("Still in the tray");
        wait_for_card(&browser, "friction ring");
        browser.see("collar up");
        browser.tap("It is back");
        wait_for_card(&browser, "rotor nut");
        browser.see("From the tray: A2");
        browser.tap("It is back");
        wait_for_card(&browser, "spool");
        browser.tap("It is back");
        browser.see("Nothing is left in the tray.");
        browser.see("Before you close it");
        browser.tap("ring in its groove");
        wait_for_reel(&browser, "what was tried before closing", |reel| {
            reel["strip"].to_string().contains("Before closing: ring in its groove")
        });

        // Service and a test.
        browser.tap("The reel");
        browser.tap("Service & tests");
        browser.tap("Handle play");
        browser.fill("Before, mm", "2 2.5 2");
        wait_for_reel(&browser, "the first reading", |reel| reel["tests"].as_array().map(Vec::len) == Some(1));
        browser.fill("After, mm", "0.5 0.4 0.5");
        let verdict = "return [...document.querySelectorAll('.verdict')].some(words => words.innerText === 'better')";
        browser.wait_js("the verdict on the play of the handle", verdict);
        browser.tap("Done: Wash it dry, no oil, no petroleum");
        browser.tap("Not done: Stock the common ones; stronger is not better");
        browser.fill("Why not", "none of this strength in stock");
        wait_for_reel(&browser, "the reason to be stored", |reel| {
            reel["service"].to_string().contains("none of this strength in stock")
        });

        // What the owner reads.
        browser.tap("Service report");
        browser.see("Bail spring broken.");
        browser.see("Serviced");
        browser.see("Wash it dry");
        browser.see("Not done, and why");
        browser.see("none of this strength in stock");
        browser.see("Handle play");
        browser.see("2, 2.5, 2 → 0.5, 0.4, 0.5 mm");
        let shown = "return document.querySelector('.sheet figure img')?.naturalWidth > 0";
        browser.wait_js("the photo of the strip-down on the report", shown);
        browser.see("At the bench: spool");
        assert!(!browser.slides_sideways(), "the report fits the phone");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);
