//! How several tabs stay in step: each completed write is told to the others by the id of what changed.

use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{BroadcastChannel, MessageEvent};

/// Listens until dropped.
pub struct Watch {
    channel: BroadcastChannel,
    heard: Closure<dyn FnMut(MessageEvent)>,
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.channel.remove_event_listener_with_callback("message", self.heard.as_ref().unchecked_ref());
    }
}

/// Tells `callback` the id of every record that another tab has written.
pub fn watch(channel: &BroadcastChannel, mut callback: impl FnMut(String) + 'static) -> Option<Watch> {
    let heard = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        if let Some(id) = event.data().as_string() {
            callback(id);
        }
    });
    channel.add_event_listener_with_callback("message", heard.as_ref().unchecked_ref()).ok()?;
    Some(Watch { channel: channel.clone(), heard })
}
