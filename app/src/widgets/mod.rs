//! Pieces that several screens are made of.

pub mod answer;
pub mod ask;
pub mod candidates;
pub mod checks;
pub mod marks;
pub mod photos;
pub mod seen;
pub mod when;
