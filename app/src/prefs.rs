//! What the person has chosen, and the sheet not yet kept: in local storage, which answers at once.

use gloo_storage::{LocalStorage, Storage};
use serde::{Deserialize, Serialize};
use tailplate_core::observe::Sheet;
use tailplate_core::shop::StallCheck;
use tailplate_core::strip::Took;

use crate::screens::buy::Shopping;

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
const STEP: &str = "tailplate-step-";

pub fn load() -> Prefs {
    LocalStorage::get(PREFS).unwrap_or_default()
}

/// False where the browser has no room or no storage.
pub fn save(prefs: &Prefs) -> bool {
    LocalStorage::set(PREFS, prefs).is_ok()
}

/// A step of taking a reel apart that is begun and not yet kept.
pub fn load_step(reel: &str) -> Option<Took> {
    LocalStorage::get(format!("{STEP}{reel}")).ok()
}

/// Keeps the step as far as it is told; an empty one needs no room. What the browser has no room for stays on the screen.
pub fn save_step(reel: &str, step: &Took) {
    let name = format!("{STEP}{reel}");
    if *step == Took::default() {
        LocalStorage::delete(name);
    } else {
        let _ = LocalStorage::set(name, step);
    }
}

pub fn load_draft() -> Draft {
    LocalStorage::get(DRAFT).unwrap_or_default()
}

pub fn save_draft(draft: &Draft) -> bool {
    LocalStorage::set(DRAFT, draft).is_ok()
}

const SHOPPING: &str = "tailplate-shopping";

/// What is on offer and the money for it.
pub fn load_shopping() -> Shopping {
    LocalStorage::get(SHOPPING).unwrap_or_default()
}

pub fn save_shopping(shopping: &Shopping) {
    // What the browser has no room for stays on the screen all the same.
    let _ = LocalStorage::set(SHOPPING, shopping);
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
