//! What a person does with the app, in three engines.

use tailplate_tests::{Browser, Server, journey, lighthouse};

journey!(
    /// Loaded once, the app works without the network: the market field has none.
    opens_offline_after_one_visit,
    |engine| {
        let mut server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.see("Tailplate");
        browser.wait_until_offline_ready();

        server.kill();
        browser.reload();
        browser.see("Tailplate");
        assert_eq!(browser.other_hosts(), Vec::<String>::new(), "nothing is asked of any other host");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

/// Speed, accessibility and good practice, as Lighthouse judges them.
#[test]
fn lighthouse_is_content() {
    if !tailplate_tests::Engine::Chromium.is_wanted() {
        return;
    }
    let server = Server::start();
    let scores = lighthouse::judge(&server.url());
    let complaints = scores.complaints.join("\n");
    assert!(
        scores.performance >= 95.0,
        "performance {}\n{complaints}",
        scores.performance
    );
    assert_eq!(scores.accessibility, 100.0, "accessibility\n{complaints}");
    assert_eq!(scores.best_practices, 100.0, "best practices\n{complaints}");
}
