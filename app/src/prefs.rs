//! What the person has chosen, and the sheet not yet kept: in local storage, which answers at once.

use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};
use tailplate_core::observe::Sheet;
use tailplate_core::shop::StallCheck;

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Units {
    #[default]
    Metric,
    Inch,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Theme {
    #[default]
    Auto,
    Light,
    Dark,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Prefs {
    pub units: Units,
    pub theme: Theme,
    pub currency: String,
    /// Last place typed, offered for the next find of the same day out.
    pub place: String,
    /// The packs of invented reels, for practice.
    pub practice: bool,
}

impl Default for Prefs {
    fn default() -> Self {
        Self { units: Units::Metric, theme: Theme::Auto, currency: "USD".into(), place: String::new(), practice: false }
    }
}

/// The reel on the table: begun and not yet kept, or a find taken up again.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Draft {
    pub sheet: Sheet,
    /// The find it was kept as, or the reel of the shop whose sheet it is.
    pub find: Option<String>,
    /// It is a reel's.
    pub of_reel: bool,
    pub stall: Option<StallCheck>,
}

const PREFS: &str = "tailplate-prefs";
const DRAFT: &str = "tailplate-draft";

pub fn load() -> Prefs {
    LocalStorage::get(PREFS).unwrap_or_default()
}

/// False where the browser has no room or no storage.
pub fn save(prefs: &Prefs) -> bool {
    LocalStorage::set(PREFS, prefs).is_ok()
}

pub fn load_draft() -> Draft {
    LocalStorage::get(DRAFT).unwrap_or_default()
}

pub fn save_draft(draft: &Draft) -> bool {
    LocalStorage::set(DRAFT, draft).is_ok()
}

const LISTING: &str = "tailplate-listing";

/// The seller's text that was being looked at.
pub fn load_listing() -> String {
    LocalStorage::get(LISTING).unwrap_or_default()
}

pub fn save_listing(text: &str) {
    // Too long a text for the browser's room stays on the screen all the same.
    let _ = LocalStorage::set(LISTING, text);
}
