//! What the page has really stored, read past the app from its database.

use crate::Browser;
use serde_json::{Value, json};

const READ: &str = "
    return new Promise((done, failed) => {
        const open = indexedDB.open('tailplate');
        open.onerror = () => failed(open.error);
        open.onsuccess = () => {
            const all = open.result.transaction(arguments[0]).objectStore(arguments[0]).getAll();
            all.onerror = () => failed(all.error);
            all.onsuccess = () => {
                open.result.close();
                done(all.result.filter(row => !arguments[1] || (row.kind ?? 'find') === arguments[1]).map(row => row.json ?? Array.from(row.bytes ?? [], byte => String.fromCharCode(byte)).join('')));
            };
        };
    });
";

/// Every find, those deleted but not yet cleared away too. Only once the app has opened its database: asking would make an empty one.
pub fn finds(browser: &Browser) -> Vec<Value> {
    records(browser, "find")
}

/// Every record of a kind.
pub fn records(browser: &Browser, kind: &str) -> Vec<Value> {
    let parse =
        |text: &Value| serde_json::from_str(text.as_str().expect("a record is text")).expect("a record is JSON");
    rows(browser, "records", kind).iter().map(parse).collect()
}

/// How many records are still to be sent to the shop's computer.
pub fn unsent(browser: &Browser) -> usize {
    rows(browser, "outbox", "").len()
}

/// Every photo, its bytes as the characters 0 to 255.
pub fn photos(browser: &Browser) -> Vec<String> {
    rows(browser, "photos", "").iter().filter_map(|bytes| bytes.as_str().map(str::to_string)).collect()
}

/// Waits until the only find's field holds this, as one waits for the word “saved”.
pub fn wait_for_field(browser: &Browser, field: &str, wanted: &str) {
    browser.wait_for(&format!("the find’s {field} to be stored as {wanted:?}"), || {
        let finds = finds(browser);
        assert_eq!(finds.len(), 1, "one find is stored");
        (finds[0].pointer(field) == Some(&json!(wanted))).then_some(())
    });
}

fn rows(browser: &Browser, store: &str, kind: &str) -> Vec<Value> {
    browser.js_with(READ, json!([store, kind])).as_array().cloned().unwrap_or_default()
}
