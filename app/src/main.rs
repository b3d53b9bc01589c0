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

fn main() {
    install_panic_notice();
    // Making the program ready was one long task already.
    wasm_bindgen_futures::spawn_local(async {
        pace::breathe().await;
        app::open();
    });
}

/// After a panic the program can't be trusted to go on: say so, with what is safe and one thing to do.
fn install_panic_notice() {
    std::panic::set_hook(Box::new(|info| {
        web_sys::console::error_1(&info.to_string().into());
        let Some(document) = web_sys::window().and_then(|w| w.document()) else { return };
        let (Some(body), Ok(notice)) = (document.body(), document.create_element("div")) else { return };
        notice.set_class_name("stopped");
        let _ = notice.set_attribute("role", "alertdialog");
        notice.set_text_content(Some(
            "Tailplate has stopped: a fault of ours. What was said to be saved is safe, and the reel you had begun is kept. ",
        ));
        if let Ok(link) = document.create_element("a") {
            let _ = link.set_attribute("href", "./");
            link.set_text_content(Some("Open it again"));
            let _ = notice.append_child(&link);
        }
        let _ = body.append_child(&notice);
    }));
}
