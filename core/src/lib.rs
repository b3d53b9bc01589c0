#![forbid(unsafe_code)]
//! What Tailplate knows about reels and how it reasons. No I/O, no clock, no randomness, no browser.
pub mod amount;
pub mod dating;
pub mod drawing;
pub mod error;
pub mod key;
pub mod marks;
pub mod observe;
pub mod order;
pub mod page;
pub mod record;
pub mod reference;
pub mod shop;
pub mod sync;

pub use error::{Error, Kind, Result};
