//! The phone's side of Tailplate.

mod app;
mod backdrop;
mod drawn;
mod keeping;
mod later;
mod opening;
mod pace;
mod packs;
mod page;
mod prefs;
mod route;
mod screens;
mod state;
mod widgets;
mod words;
mod workshop;

mod photo;
mod store;
mod update;

use wasm_bindgen::prelude::*;

fn main() {
    install_panic_notice();
    // Making the program ready was one long task already.
    wasm_bindgen_futures::spawn_local(async {
        pace::breathe().await;
        app::open();
    });
}

#[wasm_bindgen]
extern "C" {
    /// The page's own: says that the program has stopped, and why.
    #[wasm_bindgen(js_name = tailplateStopped)]
    fn say_stopped(why: &str);
}

/// After a panic the program can't be trusted to go on. The place is for whoever mends it.
fn install_panic_notice() {
    std::panic::set_hook(Box::new(|info| {
        web_sys::console::error_1(&info.to_string().into());
        let place = info.location().map(|place| format!(", {}:{}", place.file(), place.line())).unwrap_or_default();
        say_stopped(&format!("a fault of ours{place}"));
    }));
}
