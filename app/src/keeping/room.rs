//! How much is kept, and how much room there is.

use leptos::prelude::*;
use tailplate_core::record::Kind;
use wasm_bindgen_futures::spawn_local;

use super::{shelf, the_store};
use crate::state::Shared;
use crate::store;
use crate::words::count;

/// So much of what the browser allows is used that a person should know.
const SHORT: f64 = 0.8;
const RUNS_OUT: &str = "room is running out on this device. Make a saved copy, then delete finds you no longer need before the next market.";

pub async fn storage_in_words() -> Vec<String> {
    let mut lines = Vec::new();
    match shelf::ready().await {
        Ok(()) => {
            let of = |kind| shelf::with(|rows| rows.iter().filter(|row| row.kind == kind && !row.deleted).count());
            let kept = [
                (of(Kind::Find), "find", "finds"),
                (of(Kind::Job), "job", "jobs"),
                (of(Kind::Reel), "reel", "reels"),
                (of(Kind::Customer), "customer", "customers"),
            ];
            let kept: Vec<String> =
                kept.into_iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| count(n, one, many)).collect();
            lines.push(match kept.is_empty() {
                true => "Nothing is kept on this phone yet.".into(),
                false => format!("{} on this phone.", kept.join(", ")),
            });
            if let Ok(store) = the_store().await {
                if let Ok(damaged) = super::shelf::damaged().await
                    && !damaged.is_empty()
                {
                    lines.push(format!(
                        "{} can’t be read and left untouched.",
                        count(damaged.len(), "record", "records")
                    ));
                }
                if let Ok(photos) = store.photo_names().await {
                    lines.push(format!("{} kept.", count(photos.len(), "photo", "photos")));
                }
            }
        }
        Err(trouble) => lines.push(trouble),
    }
    let room = store::estimate().await;
    if let (Some(used), Some(quota)) = (room.used_bytes, room.quota_bytes) {
        let share = used / quota.max(1.0);
        lines.push(format!("{:.1} MB used of {:.0} MB that the browser allows.", used / 1e6, quota / 1e6));
        if share > SHORT {
            lines.push(format!("Mind: {RUNS_OUT}"));
        }
    }
    lines.push(match room.persisted {
        Some(true) => "The browser has promised not to clear it by itself.".into(),
        Some(false) => "The browser may clear it when the phone runs out of room.".into(),
        None => "This browser does not say whether it clears storage by itself.".to_owned(),
    });
    lines
}

thread_local! {
    static TOLD: std::cell::Cell<bool> = const { std::cell::Cell::new(false) };
}

/// A word before the room runs out, once for each page opened.
pub async fn warn_when_short(shared: Shared) {
    let room = store::estimate().await;
    if let (Some(used), Some(quota)) = (room.used_bytes, room.quota_bytes)
        && used > SHORT * quota
        && !TOLD.replace(true)
    {
        shared.warn(format!("Saved, but {RUNS_OUT}"));
    }
}

pub fn ask_to_stay(shared: Shared) {
    spawn_local(async move {
        match store::ask_to_keep().await {
            Some(true) => shared.say("Promised: it is kept until you clear it."),
            _ => shared.say("The browser did not promise it. Put Tailplate on the home screen: that helps."),
        }
        shared.changed.update(|n| *n += 1);
    });
}
