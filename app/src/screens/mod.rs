//! One file a screen.

pub mod bench;
pub mod compare;
pub mod copy;
pub mod fault;
pub mod find;
pub mod finds;
pub mod hand_back;
pub mod identify;
pub mod job;
pub mod jobs;
pub mod model;
pub mod more;
pub mod own_model;
pub mod paper;
pub mod places;
pub mod quote;
pub mod reel;
pub mod scan;
pub mod search;
pub mod service;
pub mod settings;
pub mod shop;
pub mod stall;
pub mod strip;
