#![forbid(unsafe_code)]
//! The shop computer: one binary that serves the app and gives the core's answers on the command line.
pub mod serve;
pub mod site;
