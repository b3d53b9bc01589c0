//! Figures from Chromium with its processor slowed four times, as `name<TAB>value<TAB>unit`: the app's own bench page if it has one, the
//! cold start offline, and Lighthouse.

use tailplate_tests::{Browser, Engine, Server, lighthouse};

const SLOWER: f64 = 4.0;

fn main() {
    let mut server = Server::start();
    let scores = lighthouse::judge(&server.url());
    for (name, score) in [
        ("performance", scores.performance),
        ("accessibility", scores.accessibility),
        ("best practices", scores.best_practices),
    ] {
        println!("Lighthouse: {name}\t{score}\tof 100");
    }

    let browser = Browser::start(Engine::Chromium);
    browser.open(&server.url());
    browser.wait_until_offline_ready();
    browser.throttle(SLOWER);
    // The page marks when it can be used: `performance.mark("usable")`.
    if let Some(ms) = in_page(&browser, &format!("{}bench.html", server.url())) {
        print!("{ms}");
    }
    server.kill();
    let mut starts: Vec<f64> = (0..5).map(|_| cold_start_ms(&browser, &server.url())).collect();
    starts.sort_by(f64::total_cmp);
    println!("cold start offline, to usable (median of 5)\t{:.0}\tms", starts[2]);
}

/// From asking for the page to its mark "usable", or else to its first paint with content.
fn cold_start_ms(browser: &Browser, url: &str) -> f64 {
    browser.open("about:blank");
    browser.open(url);
    let script = "return performance.getEntriesByName('usable')[0]?.startTime ?? performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null";
    browser
        .wait_js("the page to be usable", script)
        .as_f64()
        .expect("a time in ms")
}

/// The rows a bench page leaves in `window.benchRows` as `[[name, value, unit], …]`; none if the app has no such page.
fn in_page(browser: &Browser, url: &str) -> Option<String> {
    let found = browser.js_with(
        "return fetch(arguments[0]).then(answer => answer.ok, () => false)",
        serde_json::json!([url]),
    );
    if found != true {
        return None;
    }
    browser.open(url);
    let rows = browser.wait_js("the bench page to finish", "return window.benchRows ?? null");
    let cell = |value: &serde_json::Value| value.as_str().map_or_else(|| value.to_string(), str::to_string);
    let line = |row: &serde_json::Value| format!("{}\t{}\t{}\n", cell(&row[0]), cell(&row[1]), cell(&row[2]));
    Some(rows.as_array()?.iter().map(line).collect())
}
