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

/// Walks a journey in an engine. A missing engine is a failure, unless `TAILPLATE_ENGINES` names only others.
pub fn in_engine(engine: Engine, mut walk: impl FnMut(Engine)) {
    if engine.is_wanted() {
        if let Err(trouble) = catch_unwind(AssertUnwindSafe(|| walk(engine))) {
            // WebKitGTK's driver now and then loses its browser: that says nothing of the app, so it is walked once more.
            let lost = trouble.downcast_ref::<String>().is_some_and(|words| words.contains("invalid session id"));
            if !(lost && engine == Engine::WebKit) {
                resume_unwind(trouble);
            }
            eprintln!("WebKit's driver lost its browser: walked once more");
            walk(engine);
        }
    } else {
        eprintln!("{engine:?} is not among TAILPLATE_ENGINES: not walked");
    }
}
