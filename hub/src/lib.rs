#![forbid(unsafe_code)]
//! The shop computer: one binary that serves the app and gives the core's answers on the command line.
pub mod answer;
pub mod bench;
pub mod cases;
pub mod command;
pub mod fault;
pub mod fault_cases;
pub mod fit_cases;
pub mod input;
pub mod listing;
pub mod listing_cases;
pub mod nearest;
pub mod packs;
pub mod page;
pub mod parts;
pub mod serve;
pub mod site;
pub mod tell;
