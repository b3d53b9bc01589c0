//! What the shop keeps: for now the reels that were found.
pub mod find;
mod merge;
pub mod own_model;
pub mod photo;
pub mod price;

pub use find::{Find, FindState, Found, PhotoRef, SetAside, StallAnswer, StallCheck};
pub use merge::merge;
pub use price::Price;
