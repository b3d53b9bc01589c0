//! The app on the phone: loaded once, it works without a network, and a newer version comes whole or not at all.

use serde_json::json;
use std::{fs, path::Path, thread, time::Duration};
use tailplate_tests::{
    Browser, Server, journey,
    process::{Folder, given, root},
};

journey!(
    /// Loaded once, the app works without the network: the market field has none.
    opens_offline_after_one_visit,
    |engine| {
        let mut server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.see("What kind of reel is it?");
        browser.wait_until_offline_ready();
        thread::sleep(Duration::from_secs(1));
        assert!(!browser.shows("A newer Tailplate"), "the first version is no newer one");
        server.kill();
        browser.reload();
        browser.see("What kind of reel is it?");
        assert_eq!(browser.other_hosts(), Vec::<String>::new(), "nothing is asked of any other host");
        assert_eq!(browser.console_errors(), Vec::<String>::new());
    }
);

journey!(
    /// A missing file stays missing, with the worker and without: it is never answered with the page.
    a_missing_file_is_not_answered_with_the_page,
    |engine| {
        let server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.see("What kind of reel is it?");
        let status = |address: &str| browser.js_with("return fetch(arguments[0]).then(a => a.status)", json!([address]));
        for _with_and_without in 0..2 {
            assert_eq!(status("tailplate-app-0000.js"), json!(404));
            assert_eq!(status("reference/nothing.json"), json!(404));
            assert_eq!(status("health"), json!(200));
            browser.wait_until_offline_ready();
        }
    }
);

journey!(
    /// An update that arrives spoilt changes nothing. The next, whole one is offered, and taken when the person wants it.
    a_new_version_comes_whole_or_not_at_all,
    |engine| {
        let mut server = Server::start();
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.see("What kind of reel is it?");
        browser.wait_until_offline_ready();

        let spoilt = new_version("spoilt");
        let page = fs::read_to_string(spoilt.path.join("index.html")).expect("a page");
        fs::write(spoilt.path.join("index.html"), page.replace("<title>", "<title>Half of the ")).expect("written");
        server.swap(&spoilt.path);
        look_for_a_new_version(&browser);
        browser.reload();
        browser.see("What kind of reel is it?");
        assert_eq!(browser.js("return document.title"), json!("Tailplate"), "the old version serves on");
        assert!(!browser.shows("A newer Tailplate"), "half a version is not offered");
        server.kill();
        browser.reload();
        browser.see("What kind of reel is it?");

        let whole = new_version("whole");
        let page = fs::read_to_string(whole.path.join("index.html")).expect("a page");
        let newer = page.replace("<title>Tailplate", "<title>Tailplate the newer");
        let hash = |text: &str| sha256(&browser, text);
        let worker = fs::read_to_string(whole.path.join("sw.js")).expect("a worker");
        assert!(worker.contains(&hash(&page)), "the worker lists the page by its hash");
        fs::write(whole.path.join("sw.js"), worker.replace(&hash(&page), &hash(&newer))).expect("written");
        fs::write(whole.path.join("index.html"), newer).expect("written");
        server.swap(&whole.path);
        look_for_a_new_version(&browser);
        browser.see("A newer Tailplate is ready");
        assert_eq!(browser.js("return document.title"), json!("Tailplate"), "it waits for consent");
        browser.tap("Use it now");
        browser.wait_js("the newer version", "return document.title === 'Tailplate the newer'");
        browser.js("window.loadedOnce = true");
        thread::sleep(Duration::from_secs(2));
        assert_eq!(browser.js("return window.loadedOnce"), json!(true), "it reloads once");
        server.kill();
        browser.reload();
        browser.see("What kind of reel is it?");
        assert_eq!(browser.js("return document.title"), json!("Tailplate the newer"));
    }
);

journey!(
    /// A program that cannot be made ready leaves no screen that looks as if it listened.
    a_start_that_fails_is_said,
    |engine| {
        let spoilt = new_version("spoilt");
        let code = fs::read_dir(&spoilt.path).expect("a folder").flatten().map(|entry| entry.path());
        let code = code.filter(|path| path.join("tailplate_bg.wasm").exists()).last().expect("the program's folder");
        fs::write(code.join("tailplate_bg.wasm"), b"\0asm, half of it").expect("written");
        fs::remove_file(code.join("tailplate_bg.wasm.br")).expect("the compressed one is of the whole");
        let server = Server::start_with(&spoilt.path);
        let browser = Browser::start(engine);
        browser.open(&server.url());
        browser.see("Tailplate has stopped");
        browser.see("Open it again");
    }
);

const VERSION: &str = "const VERSION=\"";

/// A copy of the app whose worker calls itself another version.
fn new_version(name: &str) -> Folder {
    let folder = Folder::new();
    copy(&given("TAILPLATE_APP", root().join("dist")), &folder.path);
    let file = folder.path.join("sw.js");
    let worker = fs::read_to_string(&file).expect("a worker");
    assert!(worker.contains(VERSION), "the worker says its version");
    fs::write(&file, worker.replacen(VERSION, &format!("{VERSION}{name}-"), 1)).expect("written");
    // The compressed copies are of the older files.
    for file in ["sw.js", "index.html"] {
        for end in ["br", "gz"] {
            let _ = fs::remove_file(folder.path.join(format!("{file}.{end}")));
        }
    }
    folder
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder").flatten() {
        let (path, target) = (entry.path(), to.join(entry.file_name()));
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).expect("a copy");
        }
    }
}

/// What the browser does by itself now and then; it ends when the new worker is in, or has failed.
fn look_for_a_new_version(browser: &Browser) {
    let script = "return navigator.serviceWorker.getRegistration().then(r => r.update().catch(() => {}).then(() => new Promise(done => {
        const look = () => r.installing ? setTimeout(look, 50) : done(true);
        look();
    })))";
    browser.js(script);
}

/// As the worker lists it.
fn sha256(browser: &Browser, text: &str) -> String {
    let script = "return crypto.subtle.digest('SHA-256', new TextEncoder().encode(arguments[0]))
        .then(hash => Array.from(new Uint8Array(hash), byte => byte.toString(16).padStart(2, '0')).join(''))";
    browser.js_with(script, json!([text])).as_str().expect("a hash")[..16].to_string()
}
