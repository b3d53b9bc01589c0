//! How the counter feels after many years: ten thousand records and a thousand photos, on a slowed processor, as
//! `name<TAB>value<TAB>unit`. Takes how many times it is slowed, where four times this machine is no slow phone yet.

use serde_json::{Value, json};
use std::{
    collections::BTreeMap,
    fs,
    time::{Duration, Instant},
};
use tailplate_tests::{Browser, Engine, Server, many, photo, process::Folder};

/// How much slower than this machine a phone is taken to be.
const SLOWER: f64 = 4.0;
/// How often each key of a search is pressed: when in the browser's frame it comes is chance, and worth up to 16 ms.
const ROUNDS: usize = 15;
/// What a key of a search may take.
const KEY_MS: f64 = 30.0;
/// Reading ten thousand records in takes longer than a journey waits.
const FILLING: Duration = Duration::from_secs(1_200);

fn main() {
    let slower = match std::env::args().nth(1) {
        Some(times) => times.parse().expect("how many times the processor is slowed, as a number"),
        None => SLOWER,
    };
    let server = Server::start();
    let browser = Browser::start(Engine::Chromium);
    browser.open(&server.url());
    browser.wait_until_offline_ready();
    fill(&browser);
    browser.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": FIRST_ROW }));
    browser.throttle(slower);
    let row = |name: &str, value: f64, unit: &str| {
        println!("{} records, {} photos: {name}, CPU ÷ {slower}\t{value:.0}\t{unit}", many::RECORDS, many::PHOTOS);
    };

    let (mut usable, mut board) = (Vec::new(), Vec::new());
    for _ in 0..5 {
        browser.open("about:blank");
        browser.open(&format!("{}#/jobs", server.url()));
        let shown = browser.wait_js("the board", "return window.firstRow ?? null");
        board.push(shown.as_f64().expect("ms"));
        let script = "return performance.getEntriesByName('usable')[0]?.startTime ?? null";
        usable.push(browser.wait_js("the page to be usable", script).as_f64().expect("ms"));
    }
    row("opened, to usable (median of 5)", median(&mut usable), "ms");
    row("opened, to the board of jobs (median of 5)", median(&mut board), "ms");

    let mut opened = Vec::new();
    for _ in 0..15 {
        go(&browser, "#/jobs");
        // The board of jobs has rows too.
        let there = "document.querySelector('input[type=search]') && document.querySelector('.rows .find-row')";
        opened.push(timed(&browser, "location.hash = '#/search'", there));
    }
    row("search opened, to its first rows (median of 15)", median(&mut opened), "ms");
    let (mut first, mut keys, mut counted) = (Vec::new(), Vec::new(), Vec::new());
    // Of each different keystroke, how long it took each time: a machine's hiccup is not the program's.
    let mut each: BTreeMap<(String, bool), Vec<f64>> = BTreeMap::new();
    for round in 0..=ROUNDS {
        for words in ["harrow 12", "mara quill", "pat. 15012", "wheel row 7", "k7", "gri"] {
            let letters: Vec<char> = words.chars().collect();
            let words: Vec<String> = (0..=letters.len()).map(|n| letters[..n].iter().collect()).collect();
            // What stands on the screen is there with the first frames; how many there are in all is counted after it.
            let there = if round == 0 { "document.querySelector('[role=status]').ariaBusy !== 'true'" } else { "true" };
            let further = words.iter().map(|words| (words, true)).skip(1);
            for (words, forward) in further.chain(words.iter().rev().skip(1).map(|words| (words, false))) {
                let ms = typed(&browser, words, there);
                if round == 0 {
                    counted.push(ms);
                    continue;
                }
                each.entry((words.clone(), forward)).or_default().push(ms);
                if forward && words.chars().count() == 1 { first.push(ms) } else { keys.push(ms) }
            }
        }
    }
    let each: BTreeMap<_, f64> = each.iter_mut().map(|(key, times)| (key, median(times))).collect();
    for ((words, forward), ms) in each.iter().filter(|(_, ms)| **ms > KEY_MS) {
        eprintln!("late: {ms:.0} ms to {words:?}, typed {}", if *forward { "on" } else { "back" });
    }
    let each: Vec<f64> = each.into_values().collect();
    let within = each.iter().filter(|ms| **ms <= KEY_MS).count();
    typed(&browser, "harrow 12", "true");
    browser.see(" records");
    row("first letter, to the first rows on the screen (median)", median(&mut first.clone()), "ms");
    row("first letter, to the first rows on the screen (worst)", worst(&first), "ms");
    row("each further key, either way (median)", median(&mut keys.clone()), "ms");
    row("each further key, either way (nine in ten)", nine_in_ten(&mut keys.clone()), "ms");
    row("each further key, either way (worst)", worst(&keys), "ms");
    row(&format!("the slowest of {} different keys (each the median of {ROUNDS})", each.len()), worst(&each), "ms");
    row(&format!("different keys within {KEY_MS:.0} ms, of {}", each.len()), within as f64, "keys");
    row("a key, to the count of all that is found (median)", median(&mut counted), "ms");

    for (name, place) in [("board of jobs", "#/jobs"), ("finds", "#/finds"), ("search", "#/search")] {
        go(&browser, place);
        let mut gaps = scrolled(&browser);
        // Hundreds of photos went by: the lines in sight show theirs all the same.
        browser.wait_js("the pictures of the lines in sight", PICTURES);
        let late = gaps.iter().filter(|gap| **gap > 50.0).count();
        row(&format!("{name} scrolled, between two frames (median)"), median(&mut gaps), "ms");
        row(&format!("{name} scrolled, between two frames (worst)"), worst(&gaps), "ms");
        row(&format!("{name} scrolled, frames later than 50 ms of {}", gaps.len()), late as f64, "frames");
    }
}

/// Takes the shop in as a person would: by its saved copy.
fn fill(browser: &Browser) {
    let file = many::shop(&photo::large(browser), 1).expect("the shop can be made");
    let folder = Folder::new();
    let path = folder.path.join("shop.zip");
    fs::write(&path, &file).expect("the scratch folder can be written");
    browser.enter("Saved copy");
    let start = Instant::now();
    browser.upload("input[type=file][accept*=zip]", &path);
    while !browser.shows("Taken in:") {
        assert!(start.elapsed() < FILLING, "the copy is taken in: {}", browser.text());
        std::thread::sleep(Duration::from_millis(200));
    }
    let mb = file.len() as f64 / 1e6;
    println!(
        "{} records, {} photos: a saved copy of {mb:.0} MB taken in\t{:.0}\ts",
        many::RECORDS,
        many::PHOTOS,
        start.elapsed().as_secs_f64()
    );
}

/// Whether every line of the list shows a picture.
const PICTURES: &str = "
    const thumbs = [...document.querySelectorAll('.find-row .thumb')];
    return thumbs.length > 5 && thumbs.every(thumb => getComputedStyle(thumb).backgroundImage.startsWith('url('));
";

/// Notes when the first row of a list is on the page.
const FIRST_ROW: &str = "
    new MutationObserver((_, observer) => {
        if (document.querySelector('.find-row')) { window.firstRow = performance.now(); observer.disconnect(); }
    }).observe(document, { subtree: true, childList: true });
";

/// From `work` until `there` holds and the frame that shows it has been painted.
fn timed(browser: &Browser, work: &str, there: &str) -> f64 {
    let script = format!(
        "return new Promise(done => {{
            const channel = new MessageChannel();
            channel.port1.onmessage = () => done(performance.now() - start);
            const painted = () => requestAnimationFrame(() => {{
                if ({there}) channel.port2.postMessage(0); else painted();
            }});
            const start = performance.now();
            {work};
            painted();
        }})"
    );
    browser.js(&script).as_f64().expect("ms")
}

/// The field holds these words from now on; until `there` holds and is painted.
fn typed(browser: &Browser, words: &str, there: &str) -> f64 {
    let field = "document.querySelector('input[type=search]')";
    // As fast as anybody types.
    std::thread::sleep(Duration::from_millis(100));
    let work = format!(
        "{field}.value = {}; {field}.dispatchEvent(new Event('input', {{ bubbles: true }}))",
        Value::from(words)
    );
    timed(browser, &work, there)
}

/// Milliseconds between frames while a thumb flings the list down.
fn scrolled(browser: &Browser) -> Vec<f64> {
    let script = "return new Promise(done => {
        const gaps = []; let last = performance.now();
        const frame = () => { const now = performance.now(); gaps.push(now - last); last = now;
            if (gaps.length > 120) return done(gaps.slice(1));
            scrollBy(0, 150); requestAnimationFrame(frame); };
        requestAnimationFrame(frame);
    })";
    browser.js(script).as_array().into_iter().flatten().filter_map(Value::as_f64).collect()
}

fn go(browser: &Browser, place: &str) {
    browser.js_with("location.hash = arguments[0]; scrollTo(0, 0)", json!([place]));
    browser.wait_js("its rows", "return !!document.querySelector('.find-row')");
    std::thread::sleep(Duration::from_millis(500));
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn nine_in_ten(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() * 9 / 10]
}

fn worst(values: &[f64]) -> f64 {
    values.iter().copied().fold(0.0, f64::max)
}
