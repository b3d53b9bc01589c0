//! Figures from Chromium, as `name<TAB>value<TAB>unit`: the bench of key and washers as the app's own kind of code, the cold start
//! offline, Lighthouse.

use serde_json::{Value, json};
use std::path::PathBuf;
use tailplate_tests::{Browser, Engine, Server, lighthouse, process::given};

/// How much slower than this machine a phone is taken to be.
const SLOWER: f64 = 4.0;

/// What the module's washer questions are, by their number: forty thicknesses, twelve places.
const WASHERS: [&str; 5] = ["uneven", "uneven, from a worn stack", "uneven, wide window", "by 0.05 mm", "none fits"];

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
    for slower in [1.0, SLOWER] {
        browser.throttle(slower);
        for (name, ms) in module(&browser) {
            println!("{name}, CPU ÷ {slower}\t{ms:.2}\tms");
        }
    }
    server.kill();
    let mut starts: Vec<f64> = (0..5).map(|_| cold_start_ms(&browser, &server.url())).collect();
    starts.sort_by(f64::total_cmp);
    println!("cold start offline, to usable (median of 5), CPU ÷ {SLOWER}\t{:.0}\tms", starts[2]);
}

/// Name and mean milliseconds of each piece of the bench module.
fn module(browser: &Browser) -> Vec<(String, f64)> {
    let file = given("TAILPLATE_BENCH", PathBuf::from("tailplate_bench.wasm"));
    let module = std::fs::read(&file).expect("the module can be read");
    let script = "
        // Libraries of the core ask for the browser; what is measured never calls it.
        const uncalled = new Proxy({}, { get: () => () => { throw new Error('not part of the bench') } });
        const browser = new Proxy({}, { get: () => uncalled });
        return WebAssembly.instantiate(new Uint8Array(arguments[0]), browser).then(({ instance: { exports } }) => {
            if (!exports.prepare(10000)) throw new Error('no key');
            // Slowing works by pauses, so that only a mean over many of them tells the truth.
            const mean = work => {
                const start = performance.now();
                let times = 0;
                do {
                    work();
                    times++;
                } while (performance.now() - start < 1000);
                return (performance.now() - start) / times;
            };
            const key = 'key 10k variants x 60 features: ';
            const rows = [
                [key + '12 observations from nothing', mean(exports.from_nothing)],
                [key + 'one more observation', mean(exports.one_more_and_back) / 2],
                [key + 'next checks', mean(exports.checks)],
                ...[[20000, 3], [60000, 3], [120000, 3], [30000, 8]].map(([money, parts]) =>
                    [`buy 200 offers x 100 needs, ${money / 100} to spend, up to ${parts} parts each`, mean(() => exports.plan(money, parts))]),
            ];
            return rows.concat(arguments[1].map((name, sort) => ['washers 40 thicknesses x 12 places: ' + name, mean(() => exports.washers(sort))]));
        });
    ";
    let rows = browser.js_with(script, json!([module, WASHERS]));
    let row = |row: &Value| Some((row[0].as_str()?.to_string(), row[1].as_f64()?));
    rows.as_array().into_iter().flatten().filter_map(row).collect()
}

/// From asking for the page to its mark that it can be used: `performance.mark("usable")`.
fn cold_start_ms(browser: &Browser, url: &str) -> f64 {
    browser.open("about:blank");
    browser.open(url);
    let script = "return performance.getEntriesByName('usable')[0]?.startTime ?? null";
    browser.wait_js("the page to be usable", script).as_f64().expect("a time in ms")
}
