//! J6 and J7: the phone comes home; the phone is lost.

use serde_json::json;
use tailplate_tests::{Browser, Server, journey, photo, stored};

/// Lets a device in.
fn pair(browser: &Browser, server: &Server, name: &str) {
    browser.enter("The shop’s computer");
    browser.type_into("Code", &server.code());
    browser.type_into("What to call this device", name);
    browser.tap("Pair");
    browser.see("Everything is on both sides");
}

fn reel(browser: &Browser) -> Option<serde_json::Value> {
    stored::records(browser, "reel").into_iter().next()
}

/// Opens the only reel of the only job.
fn open_reel(browser: &Browser) {
    browser.tap("Jobs");
    browser.tap("Mara Quill");
    let tag = browser.wait_for("the reel", || reel(browser))["tag"].as_str().expect("a tag").to_owned();
    browser.tap(&format!("{} {}", &tag[..4], &tag[4..]));
    browser.see("As it came");
}

journey!(
    /// What was written on the phone is on the desktop. With the shop's computer down both edit one reel; when it is back
    /// both edits are on both. A new phone gets everything.
    the_phone_comes_home,
    |engine| {
        let mut server = Server::start_keeping();
        let phone = Browser::start(engine);
        phone.open(&server.url());
        phone.tap("Jobs");
        phone.tap("New job");
        phone.type_into("Customer", "Mara Quill");
        phone.tap("New customer: Mara Quill");
        phone.see("How to reach them");
        let (_folder, file) = photo::with_position(&phone, "reel.jpg");
        phone.upload(".take-in input[type=file]", &file);
        phone.wait_for("the photo to be kept", || reel(&phone).filter(|reel| reel["photos"][0].is_object()));
        pair(&phone, &server, "Phone");

        let desktop = Browser::start(engine);
        desktop.open(&server.url());
        pair(&desktop, &server, "Desktop");
        open_reel(&desktop);
        open_reel(&phone);
        server.kill();
        phone.fill("What the owner says of it", "Grinds when wound");
        phone.wait_for("the phone's edit", || reel(&phone).filter(|reel| reel["complaint"] == json!("Grinds when wound")));
        desktop.fill("What it is called", "Dunling 3 inch");
        desktop.wait_for("the desktop's edit", || reel(&desktop).filter(|reel| reel["name"] == json!("Dunling 3 inch")));
        server.restart();
        for browser in [&phone, &desktop] {
            browser.enter("The shop’s computer");
            browser.tap("Sync now");
            browser.wait_for("both edits to be here", || {
                reel(browser).filter(|reel| reel["complaint"] == json!("Grinds when wound") && reel["name"] == json!("Dunling 3 inch"))
            });
        }
        let whole = reel(&desktop).expect("a reel");
        drop(phone);

        let new = Browser::start(engine);
        new.open(&server.url());
        pair(&new, &server, "New phone");
        new.wait_for("the photo to come", || Some(stored::photos(&new)).filter(|photos| photos.len() == 1));
        assert_eq!(reel(&new), Some(whole), "nothing is missing on the new phone");
        assert_eq!(stored::records(&new, "customer").len(), 1);
    }
);
