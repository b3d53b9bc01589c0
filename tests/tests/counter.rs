//! J2 and J5: a customer brings three reels, and gets them back.

use serde_json::{Value, json};
use std::{collections::BTreeSet, fs};
use tailplate_tests::{Browser, Engine, Server, in_engine, journey, paper, photo, process::Folder, stored};

const SNAP: &str = ".take-in input[type=file]";

/// Begins a job for a new customer.
fn begin(browser: &Browser, name: &str) {
    browser.tap("Jobs");
    browser.see("No open jobs.");
    browser.tap("New job");
    browser.type_into("Customer", name);
    browser.tap(&format!("New customer: {name}"));
    browser.see("How to reach them");
}

fn reels(browser: &Browser) -> Vec<serde_json::Value> {
    stored::records(browser, "reel")
}

/// Waits until so many reels are stored.
fn wait_for_reels(browser: &Browser, n: usize) -> Vec<serde_json::Value> {
    browser.wait_for(&format!("{n} reels to be stored"), || Some(reels(browser)).filter(|reels| reels.len() == n))
}

fn grouped(code: &str) -> String {
    format!("{} {}", &code[..4], &code[4..])
}

journey!(
    /// Without a network: one job, three reels photographed and tagged, what is wrong and missing noted, paper, and a tag
    /// that opens its reel.
    three_reels_are_taken_in,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();
        begin(&browser, "Mara Quill");
        browser.fill("What they said, in their words", "My grandfather’s. Keep the patina.");
        let (_folder, file) = photo::with_position(&browser, "reel.jpg");
        for n in 1..=3 {
            browser.upload(SNAP, &file);
            wait_for_reels(&browser, n);
            photo::wait_shown(&browser, ".find-row .thumb", n);
        }
        let codes: Vec<String> = reels(&browser).iter().map(|reel| reel["tag"].as_str().expect("a tag").to_owned()).collect();
        assert!(codes[0] != codes[1] && codes[1] != codes[2] && codes[0] != codes[2], "each reel has a tag of its own");

        browser.tap(&grouped(&codes[0]));
        browser.see("As it came");
        browser.tap("Kind of reel");
        browser.tap("Centrepin");
        browser.tap("Seized");
        browser.type_into("Came without", "click button");
        browser.tap("Add");
        browser.tap("The owner agrees");
        browser.see("the owner agreed on");
        browser.fill("What the owner says of it", "Grinds when wound");
        let reel = browser.wait_for("the reel to be stored", || {
            reels(&browser).into_iter().find(|reel| reel["tag"] == json!(codes[0]) && reel["complaint"] == json!("Grinds when wound"))
        });
        assert_eq!(reel["kind"], json!("centrepin"));
        assert_eq!(reel["condition"][0]["what"], json!("seized"));
        assert!(reel["missing"][0]["acknowledged_ms"].is_i64(), "the customer’s word is kept with its time");

        browser.tap("Its job");
        browser.tap("Receipt");
        for words in ["Mara Quill", "Grinds when wound", "Came without: click button", "Keep the patina"] {
            browser.see(words);
        }
        // WebKitGTK's driver can't print.
        if engine != Engine::WebKit {
            let receipt = paper::print(&browser, None);
            assert!(receipt.pages == 1 && receipt.text.contains("Grinds when wound"), "{}", receipt.text);
            assert!(!receipt.text.contains("Name it"), "what belongs to the screen stays off the paper");
        }
        browser.tap("Job");
        browser.tap("Tags");
        browser.wait_js("the tags on their sheet", "return document.querySelectorAll('.sheets .label .qr').length >= 3");
        browser.see(&grouped(&codes[2]));
        if engine != Engine::WebKit {
            let tags = paper::print(&browser, Some((3, 8)));
            let mut printed = tags.tags.clone();
            printed.sort();
            let mut wanted = codes.clone();
            wanted.sort();
            assert_eq!(printed, wanted, "every tag on the sheet can be scanned");
        }

        browser.tap("Jobs");
        browser.tap("Scan a tag");
        browser.type_into("Or type its code", &codes[0].to_lowercase());
        browser.tap("Open");
        browser.see("the owner agreed on");
        // One wrong sign is refused, and the right code offered.
        browser.tap("Jobs");
        browser.tap("Scan a tag");
        let wrong = format!("{}{}", &codes[1][..7], if codes[1].ends_with('A') { 'C' } else { 'A' });
        browser.type_into("Or type its code", &wrong);
        browser.tap("Open");
        browser.see("its check does not fit");
        browser.see("Did you mean:");
        browser.tap(&grouped(&codes[1]));
        browser.see("As it came");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// A quote taken line by line, paid, packed, closed: and not before every reel is accounted for.
    a_job_is_priced_and_handed_back,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();
        begin(&browser, "Osric Vane");
        browser.tap("A reel without a photo");
        let code = wait_for_reels(&browser, 1)[0]["tag"].as_str().expect("a tag").to_owned();
        browser.tap("Price the work");
        for (what, price) in [("Clean and service", "38"), ("New plating", "120")] {
            browser.type_into("What", what);
            browser.type_into("Price", price);
            browser.tap("Add the line");
            browser.see(what);
        }
        browser.tap("Takes it");
        browser.see("38.00 USD");
        browser.wait_for("the answer to be stored", || (stored::records(&browser, "job")[0]["lines"][0]["answer"] == json!("accepted")).then_some(()));
        browser.tap("Print the quote");
        browser.see("If you take all that is open");
        browser.see("158.00 USD");

        browser.tap("Job");
        browser.tap("Hand back");
        browser.see("Before it can be closed:");
        browser.see("is not accounted for: arrived.");
        browser.see("38.00 USD is not paid.");
        browser.tap("It is not ready: to the reel");
        for step in ["Looked at", "Work agreed: the owner says", "On the bench", "Tested", "Ready"] {
            browser.tap(step);
            let stands = step.split(':').next().unwrap_or_default();
            browser.wait_js(stands, &format!("return document.querySelector('.stand b')?.innerText === '{stands}'"));
        }
        browser.type_into("What was done", "Stripped, cleaned, oiled");
        browser.tap_css("form.adder:has(+ ul:not(.plain-list)) button");
        browser.wait_for("the work to be stored", || reels(&browser)[0]["work"][0]["what"].is_string().then_some(()));
        browser.tap("Its job");
        browser.tap("Hand back");
        browser.tap("Handed back");
        browser.see("Stands at: Handed back");
        browser.type_into("Amount", "38");
        browser.tap("Received");
        browser.see("Every reel is accounted for and everything is paid.");
        browser.tap("Report");
        browser.see("Stripped, cleaned, oiled");
        browser.tap("Job");
        browser.tap("Hand back");
        browser.tap("Bill");
        browser.see("To pay");
        browser.tap("Job");
        browser.tap("Hand back");
        browser.tap("Close the job");
        browser.see("No open jobs.");
        assert!(stored::records(&browser, "job")[0]["closed_ms"].is_i64(), "the job is closed with its time");
        // Its reel is found by its tag for ever.
        browser.enter("Search everything");
        browser.type_into("Search everything", &code);
        browser.see("1 record");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// The demo shop opens, shows a living board, and is cleared away without a trace.
    a_newcomer_looks_around_in_the_demo_shop,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.tap("Jobs");
        browser.tap("Look around in a demo shop");
        browser.see("Bram Sedge");
        browser.see("overdue");
        // Drawn one after another: each few are waited for in turn.
        for n in (3..=30).step_by(3) {
            browser.wait_for(&format!("{n} reels to have their photo"), || {
                let reels = reels(&browser);
                let drawn = reels.iter().filter(|reel| reel["photos"][0]["sha256"].is_string()).count();
                (reels.len() == 30 && drawn >= n).then_some(())
            });
        }
        // A search fills its list in steps: in the end it holds what is found, each once, and nothing of what stood there.
        browser.enter("Search everything");
        for (words, count, found) in [("shelf", "30 records", 9), ("sallow", "4 records", 4), ("tarn", "2 records", 2)] {
            browser.type_into("Search everything", words);
            browser.see(count);
            let script = "return [...document.querySelectorAll('.rows .find-row')].map(line => [line.href, line.innerText])";
            let lines = browser.wait_for(&format!("{found} lines for “{words}”"), || {
                let lines = browser.js(script).as_array().cloned().unwrap_or_default();
                (lines.len() >= found).then_some(lines)
            });
            let places: BTreeSet<String> = lines.iter().map(|line| line[0].to_string()).collect();
            assert_eq!(places.len(), lines.len(), "each stands there once: {lines:?}");
            let strangers: Vec<&Value> =
                lines.iter().filter(|line| !line[1].to_string().to_lowercase().contains(words)).collect();
            assert_eq!(strangers, Vec::<&Value>::new(), "“{words}” is in each");
        }
        browser.tap("Jobs");
        browser.tap("Clear it away");
        browser.see("No open jobs.");
        assert_eq!(reels(&browser).len(), 0, "nothing invented stays");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

/// Offline, the camera is held before a tag: its reel opens.
#[test]
fn a_tag_held_before_the_camera_opens_its_reel() {
    in_engine(Engine::Chromium, |_| {
        let folder = Folder::new();
        let film = folder.path.join("tag.y4m");
        // What the camera sees before there is a tag.
        fs::write(&film, photo::film_of_tag("NOTHING")).expect("the scratch folder can be written");
        let browser = Browser::start_with_camera(&film).taken_to_the_market();
        begin(&browser, "Wenna Holt");
        browser.tap("A reel without a photo");
        let code = wait_for_reels(&browser, 1)[0]["tag"].as_str().expect("a tag").to_owned();
        fs::write(&film, photo::film_of_tag(&code)).expect("the scratch folder can be written");
        browser.tap("Jobs");
        browser.tap("Scan a tag");
        browser.tap("Use the camera");
        browser.see("As it came");
        browser.see(&grouped(&code));
        browser.wait_js("the camera to be given back", "return !document.querySelector('video')");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    });
}

journey!(
    /// A customer found by search shows their jobs and reels, and begins the next job; stickers for spools are printed.
    a_customer_comes_again,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        begin(&browser, "Tilda Brack");
        browser.tap("A reel without a photo");
        let code = wait_for_reels(&browser, 1)[0]["tag"].as_str().expect("a tag").to_owned();
        browser.enter("Search everything");
        browser.type_into("Search everything", "brack");
        browser.see("1 record");
        browser.tap_css(".rows .find-row");
        browser.see("Their jobs and reels");
        browser.see(&grouped(&code));
        browser.tap("How to reach them");
        browser.fill("Phone", "555 0103");
        browser.wait_for("the phone to be stored", || {
            (stored::records(&browser, "customer")[0]["phone"] == json!("555 0103")).then_some(())
        });
        browser.tap("New job");
        browser.see("Tilda Brack");
        browser.wait_for("the second job to be hers", || {
            let jobs = stored::records(&browser, "job");
            (jobs.len() == 2 && jobs[0]["customer"] == jobs[1]["customer"]).then_some(())
        });

        browser.enter("Stickers");
        browser.type_into("Words, an empty line between two stickers", "Dunling spool\n0.30 mm, 8 lb\n\nBag 7");
        browser.wait_js("two stickers", "return [...document.querySelectorAll('.labels .label')].filter(l => l.innerText.trim()).length === 2");
        if engine != Engine::WebKit {
            let sheet = paper::print(&browser, None);
            assert!(sheet.text.contains("0.30 mm, 8 lb") && sheet.text.contains("Bag 7"), "{}", sheet.text);
            assert!(!sheet.text.contains("Words, an empty line"), "what belongs to the screen stays off the paper");
        }
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);
