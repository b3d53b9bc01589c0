//! At the market, with no network and one free hand: which reel is this, and when was it made?

use serde_json::json;
use tailplate_tests::{Browser, Engine, Server, in_engine, journey, photo, stored};

journey!(
    /// Loaded once at home; at the market the reel on the table is named, kept, and found again.
    a_reel_is_named_and_kept_without_a_network,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();

        // Name it: its kind, what can be read, the checks that tell most.
        browser.tap("Fly, single action or multiplying");
        browser.tap_css("[data-place=foot-under] circle:last-of-type");
        browser.type_into("Lettering", "PAT. 1,9?4,?12");
        browser.tap("Keep the reading");
        browser.see("1,9?4,?12");
        for _ in 0..3 {
            answer_the_first_check(&browser);
        }

        // What it may be, and when it was made, each with its reasons.
        browser.see("What it may be");
        assert!(count(&browser, ".candidates > li:not(.unknown)") > 0, "candidates are ranked");
        browser.see("Not in this key");
        browser.see("When it was made");
        let range = browser.js("return document.querySelector('.range').innerText");
        assert!(range.as_str().unwrap_or_default().chars().any(|c| c.is_ascii_digit()), "a range of years: {range}");
        assert!(count(&browser, ".year-reasons > li") > 0, "the years have reasons");
        assert!(
            count(&browser, ".check") > 0 || browser.shows("No question left would tell more"),
            "what would settle it"
        );

        // Keep it.
        browser.tap("Keep as a find");
        browser.see("Saved on this phone.");
        let (_folder, file) = photo::with_position(&browser, "reel.jpg");
        browser.upload(".add-photo input[type=file]", &file);
        browser.see("Photo saved.");
        browser.fill("Place", "Field 4, row C");
        stored::wait_for_field(&browser, "/place", "Field 4, row C");
        browser.fill("Asking price", "45");
        stored::wait_for_field(&browser, "/asking_price/amount", "45");
        assert!(browser.taps() <= 12, "{} taps", browser.taps());
        no_position_is_kept(&browser);

        // Still without a network, a day later.
        browser.reload();
        browser.tap("Finds");
        browser.see("Field 4, row C");
        browser.see("45");
        browser.tap_css(".find-row");
        photo::wait_shown(&browser, ".photos .thumb", 1);
        assert_eq!(browser.other_hosts(), Vec::<String>::new(), "nothing is asked of any other host");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

/// Answers the first check with the first of its drawn choices, or of its plain ones where none is drawn.
fn answer_the_first_check(browser: &Browser) {
    let before = count(browser, ".seen > li");
    let drawn = ".check .choice:not(.plain)";
    browser.tap_css(if count(browser, drawn) > 0 { drawn } else { ".check .choice" });
    browser.wait_js(
        "the answer to be noted",
        &format!("return document.querySelectorAll('.seen > li').length > {before}"),
    );
}

fn no_position_is_kept(browser: &Browser) {
    let photos = stored::photos(browser);
    assert_eq!(photos.len(), 1, "one photo is stored");
    assert!(photos[0].starts_with("\u{ff}\u{d8}"), "it is a JPEG");
    for word in ["Exif", photo::SECRET] {
        assert!(!photos[0].contains(word), "the stored photo holds “{word}”");
    }
    let find = &stored::finds(browser)[0];
    let (width, height) = (&find["photos"][0]["width_px"], &find["photos"][0]["height_px"]);
    assert_eq!((width.as_u64(), height.as_u64()), (Some(480), Some(640)), "the photo stands upright");
}

fn count(browser: &Browser, css: &str) -> u64 {
    let script = "return document.querySelectorAll(arguments[0]).length";
    browser.js_with(script, serde_json::json!([css])).as_u64().unwrap_or_default()
}

journey!(
    /// Answers of every sort: sure or not, not there, can’t tell, a measure in inches, taken back again.
    an_answer_is_given_every_way_and_taken_back,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.enter("Settings");
        browser.tap("Inches");
        browser.tap("Name it");
        browser.tap("Conventional (multiplier, sea)");
        browser.tap("All questions");

        // A measure, first as it must not be.
        browser.tap("Diameter of the side plate");
        browser.type_into("Diameter of the side plate", "two and a bit");
        browser.tap("Note it");
        browser.wait_js("a sentence about it", "return document.querySelector('.measure .trouble').innerText.length > 10");
        browser.type_into("Diameter of the side plate", "9000");
        browser.tap("Note it");
        browser.see("would be unusual");
        browser.type_into("Diameter of the side plate", "2 1/2");
        browser.see("2.50 in (63.5 mm)");
        browser.tap("calliper");
        browser.tap("Note it");
        browser.see("2.50 in (63.5 mm)");

        // How sure; what is not there; what can’t be told.
        browser.tap("What are the side plates made of?");
        browser.tap("A guess");
        browser.tap_css("dialog .choice:not(.plain)");
        browser.see(", a guess");
        browser.tap("All questions");
        browser.tap_css("[data-place=foot-under] circle:last-of-type");
        browser.tap("Nothing there");
        browser.see("not there");
        browser.tap("Read another mark");
        browser.tap_css("[data-place=tail-plate] circle:last-of-type");
        browser.tap_css("dialog .choice:last-of-type");
        browser.see("can’t tell");

        // Taken back, each its own way; the rest stays, after a reload too.
        browser.tap("Take back: What are the side plates made of");
        browser.see_no_more(", a guess");
        browser.tap_css(".seen .chip:not([aria-label])");
        browser.tap("Close");
        browser.reload();
        browser.see("2.50 in (63.5 mm)");
        browser.see("not there");
        assert!(!browser.shows(", a guess"), "what was taken back stays away");
        browser.tap("Take back: Diameter");
        browser.see_no_more("2.50 in");
        // Nothing was overwritten: it is all still in the sheet, the taking back too.
        let draft = browser.js("return localStorage.getItem('tailplate-draft')");
        assert!(draft.as_str().unwrap_or_default().contains("2.5"), "the sheet only grows: {draft}");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

/// The page shows the kinds before the program is there: what is tapped then is not lost.
#[test]
fn a_kind_tapped_before_the_program_is_there_is_taken() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        let tap = "addEventListener('DOMContentLoaded', () => {
            for (const at of [0, 1]) document.querySelectorAll('[data-kind]')[at].click();
            window.taken = [...document.querySelectorAll('.taken')].map(kind => kind.innerText);
        })";
        browser.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": tap }));
        browser.open(&server.url());
        browser.see("What does it say?");
        assert_eq!(browser.js("return window.taken"), json!(["Baitcasting"]), "the last tap counts");
        assert!(!browser.shows("What kind of reel is it?"), "the kinds are put away");
        assert_eq!(count(&browser, "#start .taken"), 0, "none is marked when they come back");
    });
}
