#![forbid(unsafe_code)]
//! The shop computer: one binary that serves the app and gives the core's answers on the command line.
pub mod answer;
pub mod api;
pub mod backup;
pub mod bench;
pub mod cases;
pub mod command;
pub mod copies;
pub mod fault;
pub mod fault_cases;
pub mod fit_cases;
pub mod http;
pub mod input;
pub mod keep;
pub mod listing;
pub mod listing_cases;
pub mod near;
pub mod nearest;
pub mod packs;
pub mod page;
pub mod parts;
pub mod secure;
pub mod serve;
pub mod site;
pub mod store;
pub mod tell;
pub mod trust;
