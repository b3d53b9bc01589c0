//! The README's pictures, taken from the app itself: `cargo xtask pictures`.

use tailplate_tests::{Browser, Engine, Server, process::root};

#[test]
#[ignore = "writes docs/pictures"]
fn pictures_of_the_tour() {
    let server = Server::start();
    let browser = Browser::start(Engine::Chromium);
    let take = |name: &str| browser.screenshot(&root().join("docs/pictures").join(name).with_extension("png"));

    browser.open(&server.url());
    browser.see("Tailplate");
    take("start");
}
