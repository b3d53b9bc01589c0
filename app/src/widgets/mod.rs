//! Pieces that several screens are made of.

pub mod answer;
pub mod ask;
pub mod bench;
pub mod candidates;
pub mod checks;
pub mod line;
pub mod live;
pub mod marks;
pub mod photos;
pub mod rows;
pub mod seen;
pub mod valued;
pub mod visit;
pub mod when;
pub mod windowed;
