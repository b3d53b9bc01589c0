//! What the shop keeps: for now the reels that were found.
pub mod find;
pub mod own_model;
mod merge;
pub mod photo;
pub mod price;

pub use find::{Find, FindState, Found, PhotoRef, SetAside, StallAnswer, StallCheck};
pub use merge::merge;
pub use price::Price;
