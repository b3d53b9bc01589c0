//! What the journeys stand on: a real browser per journey, the real server, and nothing left behind.
//!
//! Journeys are run by `cargo xtask test`, which builds what they need and says where it is.
#![forbid(unsafe_code)]

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

pub mod browser;
pub mod driver;
pub mod lighthouse;
pub mod many;
pub mod paper;
pub mod photo;
pub mod process;
pub mod server;
pub mod stored;

pub use browser::Browser;
pub use driver::Engine;
pub use server::Server;

/// One journey as three tests, one for each engine: `journey!(name, |engine| { … })`.
#[macro_export]
macro_rules! journey {
    ($(#[$about:meta])* $name:ident, $walk:expr) => {
        $(#[$about])*
        mod $name {
            use super::*;
            #[test]
            fn chromium() {
                $crate::in_engine($crate::Engine::Chromium, $walk);
            }
            #[test]
            fn firefox() {
                $crate::in_engine($crate::Engine::Firefox, $walk);
            }
            #[test]
            fn webkit() {
                $crate::in_engine($crate::Engine::WebKit, $walk);
            }
        }
    };
}

/// WebKitGTK's own faults. Its driver now and then loses its browser. On Linux its engine stops WebAssembly, once in some 600
/// journeys here, with a memory access that no other engine sees; other programs meet the same
/// (<https://github.com/oven-sh/bun/issues/17146>, <https://github.com/tauri-apps/tauri/issues/7154>).
const WEBKIT_FAULTS: [&str; 2] = ["invalid session id", "RuntimeError: Out of bounds memory access"];

/// Walks a journey in an engine. A missing engine is a failure, unless `TAILPLATE_ENGINES` names only others.
pub fn in_engine(engine: Engine, mut walk: impl FnMut(Engine)) {
    if engine.is_wanted() {
        if let Err(trouble) = catch_unwind(AssertUnwindSafe(|| walk(engine))) {
            // That says nothing of the app, so it is walked once more.
            let words = trouble.downcast_ref::<String>().map(String::as_str).unwrap_or_default();
            let fault = WEBKIT_FAULTS.into_iter().find(|fault| engine == Engine::WebKit && words.contains(fault));
            let Some(fault) = fault else { resume_unwind(trouble) };
            eprintln!("WebKit: {fault}: walked once more");
            walk(engine);
        }
    } else {
        eprintln!("{engine:?} is not among TAILPLATE_ENGINES: not walked");
    }
}
