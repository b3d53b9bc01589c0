//! Is it what they say, what would it serve, what to buy: a listing, a donor on a table, a plan for the money in the pocket.

use serde_json::json;
use tailplate_tests::{Browser, journey, photo, stored};

/// What the screen says of the claim with these words: its verdict and its reasons.
fn verdict(browser: &Browser, claim: &str) -> String {
    let script = "return [...document.querySelectorAll('.verdict')].find(e => e.querySelector('q').innerText.includes(arguments[0]))?.innerText ?? null";
    let said = browser.wait_for(&format!("a verdict on “{claim}”"), || {
        browser.js_with(script, json!([claim])).as_str().map(str::to_owned)
    });
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Raises a need from wherever one is: two taps.
fn raise(browser: &Browser, words: &str) {
    let before = browser.taps();
    browser.tap("More");
    browser.type_into("Part wanted, and for which reel", words);
    browser.tap("Raise the need");
    browser.see("The need is raised.");
    assert_eq!(browser.taps() - before, 2, "a need is raised in two taps");
}

/// A find whose lettering names it, with its price, confirmed.
fn find_a_donor(browser: &Browser) {
    browser.tap("Name it");
    browser.tap("Fly, single action or multiplying");
    browser.tap_css("[data-place=foot-under] circle:last-of-type");
    browser.type_into("Lettering", "MEDALIST NO. 1495");
    browser.tap("Keep the reading");
    browser.see("MEDALIST NO. 1495");
    browser.tap("Keep as a find");
    browser.see("Asking price");
    browser.fill("Asking price", "45");
    stored::wait_for_field(browser, "/asking_price/amount", "45");
    browser.tap("It is the Medalist 1495");
    browser.see("Confirmed: Medalist 1495.");
}

journey!(
    /// A seller's words against the text's own dates and what the photos show; no model is named, and none is needed.
    a_listing_is_checked_against_its_photos,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();
        browser.enter("Check a listing");
        let text = "Old level wind casting reel from the 1920s, German silver. Foot is stamped \"PAT. NO. 2,190,398\". \
                    All original, works well, no cracks. I think it is rare.";
        browser.type_into("The seller’s text", text);
        let era = verdict(&browser, "1920s");
        assert!(era.contains("contradicted") && era.contains("issued 1940"), "the patent is younger: {era}");
        for claim in ["level wind casting reel", "German silver", "All original", "works well"] {
            let said = verdict(&browser, claim);
            assert!(said.contains("not shown") && said.len() > claim.len() + 40, "not shown, with its reason: {said}");
        }
        let cracks = verdict(&browser, "cracks");
        assert!(cracks.starts_with("not cracks"), "denied stays denied: {cracks}");
        assert!(cracks.contains("tell a crack from a scratch"), "{cracks}");
        assert!(verdict(&browser, "rare").contains("(put as a guess)"), "a guess stays a guess");
        browser.see("Ask the seller first");
        let message = browser.js("return document.querySelector('textarea[readonly]').value");
        let message = message.as_str().unwrap_or_default();
        assert!(message.starts_with("Hello") && message.contains("1. Please send") && message.contains("photo"), "{message}");

        // What the photos show is noted as on any reel, and the verdicts follow.
        browser.tap("Note what the photos show");
        browser.tap("Fly, single action or multiplying");
        browser.see("Check next");
        browser.enter("Check a listing");
        let kind = verdict(&browser, "level wind casting reel");
        assert!(kind.contains("contradicted"), "the photos show a fly reel: {kind}");
        assert_eq!(browser.other_hosts(), Vec::<String>::new());
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// 200 KB of markup, emoji, right-to-left text and nonsense stay words: nothing of it runs, and claims in it are read.
    a_hostile_text_stays_a_text,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();
        browser.enter("Check a listing");
        let piece = "<img src=x onerror=window.hurt=1><script>window.hurt=1</script>\u{202e}🎣 שלום &amp; \0 ½½ 9/0 \"'> ";
        let text = format!("{}made in the 1930s of brass. ", piece.repeat(200_000 / piece.len()));
        browser.see("The seller’s text");
        browser.js_with(
            "const field = document.querySelector('textarea'); field.value = arguments[0]; field.dispatchEvent(new Event('input', { bubbles: true }))",
            json!([text]),
        );
        assert!(verdict(&browser, "1930s").contains("not shown"));
        assert_eq!(browser.js("return document.querySelectorAll('main img, main script').length"), json!(0));
        assert_eq!(browser.js("return window.hurt ?? null"), json!(null), "what a seller writes never runs");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// At the market: the find says which open need it would serve, with the risk, and what it is worth; then the money in the
    /// pocket is laid out over what is on offer.
    a_donor_serves_a_need_and_the_money_is_planned,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();
        raise(&browser, "drag ratchet for Medalist 1494");
        browser.wait_for("the need to be stored", || {
            let needs = stored::records(&browser, "need");
            needs.iter().any(|need| need["part"] == json!("drag ratchet") && need["model"] == json!("pflueger-medalist-1494")).then_some(())
        });
        raise(&browser, "glass eye for no such reel");
        browser.enter("Parts");
        browser.see("drag ratchet");
        browser.js("[...document.querySelectorAll('.weigh')].find(e => e.previousElementSibling.innerText.includes('ratchet')).querySelector('details').open = true");
        browser.fill("Worth to the shop, USD", "60");
        browser.wait_for("its worth to be stored", || {
            let needs = stored::records(&browser, "need");
            needs.iter().any(|need| need["worth"]["amount"] == json!("60")).then_some(())
        });

        find_a_donor(&browser);
        browser.see("As a donor");
        browser.see("It would serve one open need.");
        browser.see("drag ratchet: fits, with a check first");
        browser.see("a weak part, so the donor's is likely worn too");
        browser.see("Worth 60.00 USD to this shop, 15.00 USD more than the 45 USD asked.");

        browser.tap("Finds");
        browser.tap("Which of them to buy");
        browser.see("Medalist 1495");
        browser.type_into("Which reel, or the part is from", "Medalist 1495");
        browser.type_into("Only these parts", "drag ratchet");
        browser.type_into("Asked", "12.50");
        browser.tap("Put it on offer");
        browser.see("drag ratchet of");
        browser.type_into("Money to spend, USD", "50");
        browser.tap("Plan it");
        browser.see("1 of 2 open needs served; 1 wants a check or work.");
        browser.see("It costs 12.50 USD and leaves 37.50 USD.");
        browser.see("No plan serves more, and none that serves as much costs less.");
        browser.see("Nothing offered is known to fit.");

        // Without the loose part the whole reel is the way, with what is over and what to look at.
        browser.tap("Take off: drag ratchet");
        browser.tap("Plan it");
        browser.see("It costs 45.00 USD and leaves 5.00 USD.");
        browser.see("Left over: the rest of the reel, not looked into.");
        browser.see("Look before buying.");
        browser.reload();
        browser.see("Money to spend, USD");
        assert_eq!(browser.js("return document.querySelector('.price input').value"), json!("50"), "what was typed is kept");
        browser.tap("Leave it out");
        browser.tap("Plan it");
        browser.see("Nothing is on offer yet.");
        assert_eq!(browser.other_hosts(), Vec::<String>::new());
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// What was tried on the bench is kept in three taps and answers at once; another shop's word stands beside it under its own
    /// name, and is dropped as a whole.
    a_fitment_is_kept_and_anothers_is_dropped,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();
        let before = browser.taps();
        browser.tap("More");
        browser.tap("Parts");
        browser.type_into("Which part", "click spring");
        browser.type_into("Into which reel", "Dunling 4");
        browser.type_into("From which reel", "Harrow Nine");
        browser.tap("Fits with work");
        browser.see("Kept: tried on this bench.");
        assert_eq!(browser.taps() - before, 3, "a fitment is kept in three taps");
        browser.see("Tried here");

        let folder = tailplate_tests::process::Folder::new();
        let file = folder.path.join("osric.json");
        let shared = r#"{"facts": [{"roles": ["click-spring"], "of": "Tamsin Two", "into": "Harrow Nine", "verdict": "fits", "evidence": "tried"}]}"#;
        std::fs::write(&file, shared).expect("a file can be written");
        browser.upload("input[accept^='.json']", &file);
        browser.see("Taken in: 1 fact.");
        browser.see("osric.json");

        browser.type_into("From which reel", "Tamsin Two");
        browser.tap("Look it up");
        browser.see("fits with work");
        // The chain is drawn, a box for each reel.
        let boxes = "return [...document.querySelectorAll('.chain span')].map(e => e.innerText)";
        browser.wait_for("the chain", || (browser.js(boxes) == json!(["Tamsin Two", "Harrow Nine", "Dunling 4"])).then_some(()));
        browser.see("osric.json");

        browser.tap("Drop it");
        browser.see("Dropped: everything from osric.json.");
        browser.tap("Look it up");
        browser.see("not known");
        let facts = stored::records(&browser, "fitment");
        let left: Vec<_> = facts.iter().filter(|one| one["deleted_ms"].is_null()).collect();
        assert_eq!(left.len(), 1, "one's own word stays: {facts:?}");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// Another app shares words and photos: they open as a listing, the photos kept as a find, with no network.
    what_is_shared_opens_as_a_listing,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();
        let (_folder, file) = photo::with_position(&browser, "shared.jpg");
        let bytes = std::fs::read(&file).expect("the photo is there");
        // As the system does it: a form sent to the address of the manifest.
        let script = "
            return fetch('manifest.webmanifest').then(answer => answer.json()).then(({ share_target: { action, params } }) => {
                const form = new FormData();
                form.append(params.title, 'Brass reel');
                form.append(params.text, 'A reel of the 1930s, brass, works well.');
                form.append(params.files[0].name, new File([new Uint8Array(arguments[0])], 'shared.jpg', { type: 'image/jpeg' }));
                return fetch(action, { method: 'POST', body: form, redirect: 'manual' }).then(answer => answer.type);
            });
        ";
        assert_eq!(browser.js_with(script, json!([bytes])), json!("opaqueredirect"), "the worker takes it and sends on");
        browser.js("location.hash = '#/listing'");
        browser.see("kept as a find");
        assert!(verdict(&browser, "1930s").contains("not shown"));
        let find = browser.wait_for("the find", || {
            stored::finds(&browser).into_iter().find(|find| find["photos"].as_array().is_some_and(|all| all.len() == 1))
        });
        assert_eq!(find["name"], json!("Brass reel"));
        assert!(!stored::photos(&browser)[0].contains(photo::SECRET), "where it was taken is gone");
        browser.tap("Open the find");
        photo::wait_shown(&browser, ".photos .thumb", 1);
        // Taken once: the next listing begins with its own words.
        assert_eq!(browser.js("return caches.has('shared-with-tailplate')"), json!(false));
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);
