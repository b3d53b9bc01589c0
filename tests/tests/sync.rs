//! J6 and J7: the phone comes home; the phone is lost.

use serde_json::json;
use std::{fs, thread, time::Duration};
use tailplate_tests::{Browser, Server, journey, many, photo, process::Folder, stored};

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

const BOTH: &str = "Everything is on both sides";

journey!(
    /// The shop's computer dies again and again while a season's work is sent, and while a new phone fetches it. Nothing
    /// is lost, nothing stands there twice.
    the_shops_computer_dies_in_the_middle,
    |engine| {
        let mut server = Server::start_keeping();
        let phone = Browser::start(engine);
        phone.open(&server.url());
        let folder = Folder::new();
        let file = folder.path.join("season.zip");
        fs::write(&file, many::shop(&photo::large(&phone), 50).expect("a season")).expect("a scratch file");
        phone.enter("Saved copy");
        phone.upload("input[type=file][accept*=zip]", &file);
        phone.see("Taken in:");
        let kept = |browser: &Browser| {
            let mut all: Vec<_> = ["customer", "job", "reel", "find", "need"]
                .into_iter()
                .flat_map(|kind| stored::records(browser, kind))
                .map(|record| record.to_string())
                .collect();
            all.sort();
            all
        };
        let all = kept(&phone);
        assert_eq!(all.len(), many::RECORDS / 50);

        pair_and_kill(&phone, &mut server, "Phone");
        assert_eq!(stored::unsent(&phone), 0);
        let new = Browser::start(engine);
        new.open(&server.url());
        pair_and_kill(&new, &mut server, "New phone");
        let photos = new.wait_for("every photo", || {
            let photos = stored::photos(&new);
            (photos.len() == many::PHOTOS / 50).then_some(photos)
        });
        let mut sent = stored::photos(&phone);
        let mut came = photos;
        sent.sort();
        came.sort();
        assert!(came == sent, "the photos are the same, byte by byte");
        assert!(kept(&new) == all, "the records are the same");
        assert!(kept(&phone) == all, "and none of the first phone's has changed");
    }
);

/// Lets a device in; kills the shop's computer in its sync as soon as something is under way, then later and later.
fn pair_and_kill(browser: &Browser, server: &mut Server, name: &str) {
    browser.enter("The shop’s computer");
    browser.type_into("Code", &server.code());
    browser.type_into("What to call this device", name);
    browser.tap("Pair");
    browser.see("Devices");
    let mut in_the_middle = 0;
    for ms in [0, 40, 90, 160, 250, 400] {
        browser.wait_for("a sync under way", || {
            let text = browser.text();
            (text.contains(" to go…") || text.contains("Asking for") || text.contains(BOTH)).then_some(())
        });
        thread::sleep(Duration::from_millis(ms));
        server.kill();
        in_the_middle += u32::from(!browser.shows(BOTH));
        server.restart();
        browser.tap("Sync now");
    }
    browser.see(BOTH);
    assert!(in_the_middle > 0, "it was never killed in the middle");
}
