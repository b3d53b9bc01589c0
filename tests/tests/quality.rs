//! Speed, accessibility and good practice, as the usual judges see them.

use serde_json::Value;
use tailplate_tests::{Browser, Engine, Server, in_engine, lighthouse, stored};

#[test]
fn lighthouse_is_content() {
    in_engine(Engine::Chromium, |_| {
        let server = Server::start();
        let scores = lighthouse::judge(&server.url());
        let complaints = scores.complaints.join("\n");
        // How fast it is, is measured by `cargo xtask bench`: a test that times fails on a busy machine.
        println!("performance {}", scores.performance);
        assert_eq!(scores.accessibility, 100.0, "accessibility\n{complaints}");
        assert_eq!(scores.best_practices, 100.0, "best practices\n{complaints}");
    });
}

/// Every screen, in both looks, by the rules that Lighthouse uses.
#[test]
fn every_screen_is_accessible() {
    in_engine(Engine::Chromium, |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        let rules = lighthouse::accessibility_rules();
        let mut faults = Vec::new();
        let mut judge = |screen: &str| {
            let run = format!(
                "{rules}; return axe.run().then(told => told.violations.map(v => v.id + ': ' + v.help + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160)).join(' | ')))"
            );
            let told = browser.js(&run);
            faults.extend(
                told.as_array()
                    .into_iter()
                    .flatten()
                    .filter_map(Value::as_str)
                    .map(|fault| format!("{screen}: {fault}")),
            );
            if browser.slides_sideways() {
                faults.push(format!("{screen}: wider than the screen"));
            }
        };
        browser.open(&server.url());
        browser.see("What kind of reel is it?");
        judge("kinds");
        browser.enter("Settings");
        browser.see("Millimetres");
        browser.tap("In use");
        judge("settings");
        browser.tap("Bench, dark");
        judge("settings, dark");
        browser.tap("Name it");
        browser.tap("Fly, single action or multiplying");
        browser.see("What it may be");
        judge("name it, dark");
        browser.tap_css("[data-place=head-plate] circle:last-of-type");
        browser.type_into("Lettering", "THE DUNLING 3");
        judge("entry of a mark, dark");
        browser.tap("Keep the reading");
        browser.see("Dunling 3 inch");
        browser.tap_css(".candidates summary");
        browser.tap("All questions");
        browser.tap("The reel as you describe it");
        judge("named, dark");
        browser.enter("Settings");
        browser.tap("Paper");
        browser.tap("Name it");
        browser.see("Dunling 3 inch");
        browser.tap_css(".candidates summary");
        judge("named");
        browser.tap("Its card");
        browser.see("Its forms");
        judge("card of a model");
        browser.back();
        browser.tap("Side by side");
        browser.see("Answer it");
        judge("side by side");
        browser.enter("Stall check");
        browser.tap("Sound");
        judge("stall check");
        browser.tap("Keep as a find");
        browser.see("Asking price");
        browser.fill("Place", "Row C");
        stored::wait_for_field(&browser, "/place", "Row C");
        judge("find");
        browser.tap("Finds");
        browser.see("Row C");
        judge("finds");
        assert_eq!(faults, Vec::<String>::new(), "{}", faults.join("\n"));
    });
}
