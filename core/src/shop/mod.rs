//! What the shop keeps: who came, with which reels, what is done to them, for how much, and the reels that were found.

/// What every record has to say of itself, by its fields of those names.
macro_rules! common_fields {
    () => {
        fn id(&self) -> &str {
            &self.id
        }
        fn made_ms(&self) -> i64 {
            self.made_ms
        }
        fn changed_ms(&self) -> i64 {
            self.changed_ms
        }
        fn set_changed_ms(&mut self, now_ms: i64) {
            self.changed_ms = now_ms;
        }
        fn deleted_ms(&self) -> Option<i64> {
            self.deleted_ms
        }
        fn set_deleted_ms(&mut self, deleted_ms: Option<i64>) {
            self.deleted_ms = deleted_ms;
        }
    };
}
pub(crate) use common_fields;

pub mod board;
mod check;
pub mod customer;
pub mod demo;
pub mod find;
pub mod fitment;
pub mod house;
pub mod job;
pub mod money;
pub mod need;
pub mod own_model;
pub mod part;
pub mod photo;
pub mod price;
pub mod reel;
pub mod row;
pub mod sought;
pub mod stand;
pub mod valued;

pub use customer::Customer;
pub use find::{Find, FindState, Found, PhotoRef, SetAside, Spot, Stage, StallAnswer, StallCheck};
pub use fitment::Fitment;
pub use house::House;
pub use job::{Answer, Job, Line, LineSort, Paid, PaidFor};
pub use need::Need;
pub use part::{Part, Wear};
pub use price::Price;
pub use reel::{Condition, Done, Finding, Grade, MissingPart, OldPart, Reel, Said};
pub use row::{Row, RowBlock};
pub use sought::{Sought, Texts};
pub use stand::{Stand, Step, Who};
pub use valued::Valued;
