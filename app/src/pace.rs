//! When may work go on? Between two turns of the browser, or when what was written has been shown.

use leptos::prelude::window;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;
use web_sys::MessageChannel;

/// A page in the background is not painted; its work goes on all the same.
const NO_FRAME_MS: i32 = 250;

/// Lets the browser paint and take taps. By a message: a timer set by a timer would be held back for four milliseconds.
pub async fn breathe() {
    let Ok(channel) = MessageChannel::new() else { return };
    let pause = js_sys::Promise::new(&mut |resolve, _| {
        channel.port1().set_onmessage(Some(&resolve));
        let _ = channel.port2().post_message(&JsValue::NULL);
    });
    let _ = JsFuture::from(pause).await;
    channel.port1().close();
}

/// Waits for the browser to begin its next frame; not for long.
pub async fn next_frame() {
    let begun = js_sys::Promise::new(&mut |resolve, _| {
        on_frame(resolve.clone());
        let _ = window().set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, NO_FRAME_MS);
    });
    let _ = JsFuture::from(begun).await;
}

/// Waits until what has been written is on the screen.
pub async fn shown() {
    let begun = js_sys::Promise::new(&mut |resolve, _| on_frame(resolve));
    let _ = JsFuture::from(begun).await;
    breathe().await;
}

fn on_frame(resolve: js_sys::Function) {
    let _ = window().request_animation_frame(&resolve);
}
