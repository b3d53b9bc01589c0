#![forbid(unsafe_code)]
//! What Tailplate knows about reels and how it reasons. No I/O, no clock, no randomness, no browser.
pub mod amount;
pub mod bench;
pub mod copy;
pub mod dating;
pub mod drawing;
pub mod error;
pub mod faults;
pub mod fit;
pub mod inventory;
pub mod key;
pub mod listing;
pub mod marks;
pub mod measure;
pub mod observe;
pub mod order;
pub mod page;
pub mod paper;
pub mod record;
pub mod reference;
pub mod service;
pub mod shop;
pub mod strip;
pub mod sync;
pub mod tag;

pub use error::{Error, Kind, Result};
