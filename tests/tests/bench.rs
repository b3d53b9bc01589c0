//! At the bench: a fault, a strip-down that is interrupted, putting back, service and tests, and what the owner reads of it.

use serde_json::{Value, json};
use tailplate_tests::{Browser, Engine, Server, journey, paper, photo, stored};

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

/// The newest reel as it is stored.
fn reel(browser: &Browser) -> Value {
    let reels = stored::records(browser, "reel").into_iter();
    reels.max_by_key(|reel| reel["made_ms"].as_i64()).unwrap_or_default()
}

fn wait_for_reel(browser: &Browser, what: &str, so: impl Fn(&Value) -> bool) {
    browser.wait_for(what, || so(&reel(browser)).then_some(()));
}

/// Takes the next part off that is offered under this name, after telling of it what is given as label and words.
fn take_off(browser: &Browser, words: &str, told: &[(&str, &str)]) {
    wait_for_card(browser, words);
    told.iter().for_each(|(label, words)| browser.fill(label, words));
    let before = parts_off(browser);
    browser.tap("It is off");
    browser.see(&format!("Off so far: {}", before + 1));
}

fn parts_off(browser: &Browser) -> usize {
    reel(browser)["strip"].as_array().map_or(0, Vec::len)
}

/// Chooses a step of the generic order by hand.
fn go_to_step(browser: &Browser, words: &str) {
    browser.tap("The whole order");
    browser.tap(words);
    browser.tap("The whole order");
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

journey!(
    /// The whole work of a bench without a network: a fault found, the reel taken apart, a part wanted and a substitute known,
    /// the washers reckoned, all put back in an order that can be closed, tested, and told on paper.
    a_worn_drag_is_found_taken_apart_reckoned_put_back_and_reported_offline,
    |engine| {
        let browser = Browser::start(engine).taken_to_the_market();

        // What this shop learned earlier: one reel's washers go into another.
        browser.enter("Parts");
        browser.fill("Which part", "friction washer");
        browser.fill("Into which reel", "Lugger 4/0");
        browser.fill("From which reel", "Harbour 30");
        browser.tap("Tried here: fits");
        browser.see("Kept: tried on this bench.");

        // The fault, borne out by two checks.
        with_a_reel(&browser, "Conventional (multiplier, sea)", "Won’t tighten up enough.");
        browser.tap("Faults");
        browser.tap("All symptoms");
        browser.type_into("Search the symptoms", "end of its thread");
        browser.tap("Yes: Control reaches the end of its thread");
        browser.tap("All checks");
        browser.tap("Thickness of friction washers: thinner");
        wait_for_reel(&browser, "the first check", |reel| reel["checks"]["k-washer-thick"] == json!("thin"));
        browser.tap("Look for star or knob travel left: against arm");
        wait_for_reel(&browser, "the second check", |reel| reel["checks"]["k-star-room"] == json!("bottomed"));
        browser.see("Found: Friction washers worn thin");
        browser.tap_css(".candidates summary");
        browser.see("Mind first");
        browser.tap("Keep as the finding: Friction washers worn thin");
        browser.see("Kept as the finding");

        // The part is wanted, and what fits in its place is known.
        browser.tap("Raise a need: friction washer");
        browser.tap("Wanted: what fits?");
        browser.see("a customer waits");
        browser.fill("Which part", "friction washer");
        browser.fill("Into which reel", "Lugger 4/0");
        browser.tap("Look it up");
        browser.see("Harbour 30");
        browser.see("fits");
        let needs = stored::records(&browser, "need");
        assert_eq!((needs.len(), &needs[0]["part"]), (1, &json!("friction-washer")));
        assert_eq!(needs[0]["reel"], reel(&browser)["id"], "the need is this reel’s");

        // Apart. The dog is picked out before the bridge, so the way back can't be the plain reverse.
        browser.back();
        browser.tap("Strip it");
        browser.tap("Pass over this step");
        go_to_step(&browser, "Star off, counting its turns");
        take_off(&browser, "star off", &[("Tray cell", "A1"), ("Which way round", "two turns from the stop")]);
        go_to_step(&browser, "Plate screws out");
        wait_for_card(&browser, "plate screws out");
        browser.see("Mind first");
        browser.tap("Fastener, place, more");
        browser.tap("screw");
        browser.fill("Length, mm", "6.5");
        browser.fill("Its hole", "1 to 3");
        browser.tap("One more");
        browser.tap("One more");
        take_off(&browser, "plate screws out", &[("Tray cell", "A2")]);
        go_to_step(&browser, "Dog and dog spring out");
        browser.see("Mind first");
        take_off(&browser, "dog and dog spring", &[("Tray cell", "A3")]);
        go_to_step(&browser, "Bridge off its plate");
        take_off(&browser, "bridge off its plate", &[("Tray cell", "A4")]);
        go_to_step(&browser, "Drag stack off");
        let (_folder, file) = photo::with_position(&browser, "stack.jpg");
        browser.upload("[aria-label='Photo of this step']", &file);
        browser.see("1 photo");
        browser.fill("Which way round", "ears to the gear");

        // The phone starts anew in the middle: nothing is lost, not even what is only half told.
        browser.reload();
        browser.see("Off so far: 4");
        browser.see("1 photo");
        let half = "return [...document.querySelectorAll('input')].some(field => field.value === 'ears to the gear')";
        browser.wait_js("what was told of the stack", half);
        go_to_step(&browser, "Drag stack off");
        take_off(&browser, "drag stack off", &[("Tray cell", "A5")]);

        // A slip is undone.
        browser.tap("It is off");
        browser.see("Off so far: 6");
        browser.tap("Undo the last");
        browser.see("Off so far: 5");

        // The stack is reckoned from the drawer, and kept with the reel.
        browser.tap("The reel");
        browser.tap("Sums");
        browser.tap("Washers for a stack height");
        browser.type_into("In the drawer", "friction 0.9 x4; friction 1.04 x4; keyed 0.5 x2");
        browser.type_into("The stack as it is", "friction 0.8; keyed 0.5; friction 0.8; eared 0.5; friction 0.8");
        browser.type_into("Least height", "3.5");
        browser.type_into("Greatest height", "3.7");
        browser.see("friction 1.04 (new)");
        let plot = "return document.querySelector('.plot svg title')?.textContent === 'The stack and its window'";
        browser.wait_js("the stack drawn", plot);
        browser.tap("Keep with this reel");
        wait_for_reel(&browser, "the sum to be stored", |reel| reel["sums"][0]["calculator"] == json!("washers"));
        browser.tap("The reel");
        browser.see("Worked out");
        browser.see("friction 1.04 (new)");

        // Back: what must be held comes first, with its hazard before it.
        browser.tap("Strip");
        browser.tap("Put back");
        wait_for_card(&browser, "friction washer");
        browser.see("From the tray: A5");
        browser.see("ears to the gear");
        browser.tap("It is back");
        wait_for_card(&browser, "dog");
        browser.see("dog and spring must be held when the bridge closes");
        let before = "const card = document.querySelector('.step'), mind = card.querySelector('.mind'), go = card.querySelector('.main');
            return mind && mind.compareDocumentPosition(go) & Node.DOCUMENT_POSITION_FOLLOWING";
        browser.wait_js("the hazard before the button", before);
        browser.tap("It is back");
        wait_for_card(&browser, "bridge");

        // On paper, for a bench without a screen.
        let there = "return !!document.querySelector('.way-back')";
        browser.tap_until("The way back on paper", "the way back on paper", there);
        browser.see("Screws by their holes");
        browser.see("Mind first.");
        let shown = "return document.querySelector('.way-back figure img')?.naturalWidth > 0";
        browser.wait_js("the photo of the step on the sheet", shown);
        if engine != Engine::WebKit {
            let sheet = paper::print(&browser, None);
            for words in ["Putting it back", "Mind first", "Which way round: ears to the gear", "1 to 3", "6.5 mm"] {
                assert!(sheet.text.contains(words), "the printed way back says “{words}”:\n{}", sheet.text);
            }
            assert!(!sheet.text.contains("Undo"), "buttons are not printed");
        }
        browser.tap("Strip");
        wait_for_card(&browser, "bridge");
        browser.tap("It is back");
        wait_for_card(&browser, "pillar screw");
        browser.tap("One of them is back");
        browser.see("pillar screw: 2 of 3 still lie in A2.");
        browser.tap("It is back");
        wait_for_card(&browser, "star wheel");
        browser.tap("It is back");
        browser.see("Nothing is left in the tray.");
        browser.tap("dog snaps home with the reel on each side");

        // Tested by the clock before and after; the watch reads the last one.
        browser.tap("The reel");
        browser.tap("Service & tests");
        browser.tap("Free spool by the clock");
        browser.fill("Before, s", "4 4.2 4.1");
        wait_for_reel(&browser, "the reading before", |reel| reel["tests"].as_array().map(Vec::len) == Some(1));
        browser.fill("After, s", "9 9.4");
        wait_for_reel(&browser, "the reading after", |reel| reel["tests"].as_array().map(Vec::len) == Some(2));
        browser.tap("Read it after");
        browser.tap("Start the watch");
        browser.tap("Stop");
        wait_for_reel(&browser, "what the watch read", |reel| {
            reel["tests"][2]["figures"].as_array().map(Vec::len) == Some(3)
        });
        browser.fill("After, s", "9 9.4 9.2");
        let verdict = "return [...document.querySelectorAll('.verdict')].some(words => words.innerText === 'better')";
        browser.wait_js("the verdict on the free spool", verdict);
        let plotted = "return !!document.querySelector('.test[open] .readings svg')";
        browser.wait_js("before and after drawn", plotted);
        // A slip of the finger is taken back; what was not done says why.
        browser.tap("Done: Brush off dried salt");
        browser.wait_js("it to be marked", "return !!document.querySelector('[aria-label^=\"Done: Brush\"][aria-pressed=true]')");
        browser.tap("Done: Brush off dried salt");
        browser.wait_js("it to be open again", "return !!document.querySelector('[aria-label^=\"Done: Brush\"][aria-pressed=false]')");
        browser.tap("Not done: New set if glazed");
        browser.fill("Why not", "nothing to be had");

        // What the owner reads.
        browser.tap("Service report");
        browser.see("Friction washers worn thin.");
        browser.see("Worked out");
        browser.see("friction 1.04 (new)");
        browser.see("Free spool by the clock");
        browser.see("4, 4.2, 4.1 → 9, 9.4, 9.2 s");
        browser.see("nothing to be had");
        assert!(!browser.shows("Brush off dried salt"), "what was taken back is not reported");
        assert_eq!(browser.other_hosts(), Vec::<String>::new());
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

/// Taps a point of the photo that is measured in, given in its own points.
fn tap_in_photo(browser: &Browser, (x, y): (f64, f64)) {
    let script = "
        const area = document.querySelector('.measured'), image = area.querySelector('img');
        image.scrollIntoView({ block: 'center' });
        const box = image.getBoundingClientRect();
        const at = { clientX: box.left + arguments[0] / image.naturalWidth * box.width, clientY: box.top + arguments[1] / image.naturalHeight * box.height };
        for (const kind of ['pointerdown', 'pointerup'])
            area.dispatchEvent(new PointerEvent(kind, { ...at, bubbles: true, cancelable: true, buttons: kind === 'pointerdown' ? 1 : 0 }));
    ";
    browser.js_with(script, json!([x, y]));
}

/// Uploads the photo of a card and a bar, and taps the card's corners and the bar's ends.
fn measure_the_bar(browser: &Browser) {
    let (_folder, file) = photo::of_card(browser);
    browser.upload("[aria-label='Photo with a card or a coin']", &file);
    browser.wait_js("the photo", "return document.querySelector('.measured img')?.naturalWidth === 640");
    for corner in [(60.0, 60.0), (488.0, 60.0), (488.0, 329.9), (60.0, 329.9)] {
        tap_in_photo(browser, corner);
    }
    browser.see("both ends of what is to be measured");
    tap_in_photo(browser, (100.0, 450.0));
    tap_in_photo(browser, (400.0, 450.0));
    browser.see(" in) ±");
}

/// Whether this is a size of 60 mm from a photo, with its ±.
fn is_the_bar(seen: &Value) -> bool {
    let amount = seen["value"]["measure"]["amount"].as_f64().unwrap_or_default();
    let plus_minus = seen["plus_minus"].as_f64().unwrap_or_default();
    (amount - 60.0).abs() <= plus_minus && (0.1..4.0).contains(&plus_minus) && seen["how"] == json!("photo")
}

journey!(
    /// A size taken in a photo answers the question it was taken for: on the table, and on a reel with its photo.
    a_size_from_a_photo_goes_into_the_key,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.tap("Conventional (multiplier, sea)");
        browser.tap("All questions");
        browser.tap("Diameter of the side plate");
        browser.tap("From a photo");
        measure_the_bar(&browser);
        browser.tap("Diameter of the side plate");
        browser.see("What it may be");
        browser.see(" in) ±");
        let draft = browser.js("return localStorage.getItem('tailplate-draft')");
        let draft: Value = serde_json::from_str(draft.as_str().unwrap_or_default()).expect("the draft is JSON");
        let seen = draft["sheet"]["seen"].as_array().cloned().unwrap_or_default();
        assert!(seen.iter().any(|seen| seen["about"]["feature"] == json!("plate_diameter") && is_the_bar(seen)), "{draft}");

        // On a reel, the photo is kept with it and named by the size.
        with_a_reel(&browser, "Conventional (multiplier, sea)", "Is it worth mending?");
        browser.tap("A size");
        measure_the_bar(&browser);
        browser.tap("Diameter of the side plate");
        wait_for_reel(&browser, "the size to be stored", |reel| {
            let seen = reel["sheet"]["seen"].as_array().cloned().unwrap_or_default();
            seen.iter().any(|seen| is_the_bar(seen) && seen["photo"] == reel["photos"][0]["sha256"] && seen["photo"].is_string())
        });
        browser.tap("The reel");
        browser.tap("At the bench");
        browser.tap("See it large");
        browser.tap("Measure in it");
        browser.wait_js("the kept photo", "return document.querySelector('.measured img')?.naturalWidth === 640");
        assert!(!browser.slides_sideways(), "it fits the phone");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// The screen stays lit while a reel lies apart, and no longer. Watched where a browser lets its wake lock be replaced.
    the_screen_stays_awake_at_the_bench_and_is_let_go_after,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        with_a_reel(&browser, "Fly, single action or multiplying", "Overruns.");
        browser.js(
            "window.lit = 0;
            Object.defineProperty(navigator, 'wakeLock', { configurable: true, value: { request: async kind => {
                if (kind === 'screen') window.lit++;
                return { release: async () => { window.lit-- } };
            } } })",
        );
        browser.tap("Strip");
        browser.wait_js("the screen to be kept lit", "return window.lit === 1");
        browser.tap("The reel");
        browser.wait_js("the screen to be let go", "return window.lit === 0");
        browser.tap("Service & tests");
        browser.wait_js("the screen to be kept lit again", "return window.lit === 1");
        browser.tap("Jobs");
        browser.wait_js("the screen to be let go again", "return window.lit === 0");
    }
);

journey!(
    /// Two reels of a model come apart and are closed; the third is shown how.
    closed_recordings_become_the_guide_of_their_model,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.enter("Settings");
        browser.tap("In use");
        for way_round in ["maker’s name outside", "counterweight down", ""] {
            with_a_reel(&browser, "Fly, single action or multiplying", "Runs rough.");
            browser.tap_css(".actions button.main");
            browser.tap_css("[data-place=head-plate] circle:last-of-type");
            browser.type_into("Lettering", "THE DUNLING 3");
            browser.tap("Keep the reading");
            browser.see("Dunling 3 inch");
            browser.tap("Back to the reel");
            browser.tap("It is the");
            browser.see("Not settled after all");
            browser.tap("Strip");
            if way_round.is_empty() {
                break;
            }
            browser.see("Off so far: 0");
            browser.fill("Which way round", way_round);
            browser.tap("It is off");
            browser.see("Off so far: 1");
            browser.tap("It is off");
            browser.see("Off so far: 2");
            browser.tap("Put back");
            browser.see("Still in the tray");
            browser.tap("It is back");
            browser.tap("It is back");
            browser.see("Nothing is left in the tray.");
        }
        browser.tap("As the last ones of this model came apart");
        browser.see("2 recordings");
        browser.see("counterweight down");
        browser.see("maker’s name outside");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);
