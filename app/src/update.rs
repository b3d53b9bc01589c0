//! Is a newer version ready, and does the person want it now?
//!
//! The service worker (`public/sw.js`) fetches a new version whole while the old one goes on serving. It takes over only
//! when the person says so; then the page reloads once.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use leptos::prelude::*;

use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{
    Event, RegistrationOptions, ServiceWorker, ServiceWorkerContainer, ServiceWorkerRegistration, ServiceWorkerState,
    ServiceWorkerUpdateViaCache,
};

use crate::state::Shared;

const WORKER: &str = "sw.js";

/// Why the app can't be kept for use without a network.
const NOT_OFFLINE: &str = "This browser can't keep Tailplate for use without a network here. It works as long as the \
     page stays open; finds are kept all the same.";

thread_local! {
    static UPDATES: RefCell<Option<Updates>> = const { RefCell::new(None) };
}

/// Keeps the app for use without a network, and tells when a newer version is ready.
pub fn watch(shared: Shared) {
    spawn_local(async move {
        match Updates::register(move || shared.update_ready.set(true)).await {
            Ok(updates) => UPDATES.set(Some(updates)),
            Err(trouble) => shared.warn(trouble),
        }
    });
}

/// The person agreed to the newer version.
pub fn use_it() {
    UPDATES.with_borrow(|updates| {
        if let Some(updates) = updates {
            updates.take_over();
        }
    });
}

/// The registered worker. Keep it as long as the app runs.
pub struct Updates {
    container: ServiceWorkerContainer,
    registration: ServiceWorkerRegistration,
    consented: Rc<Cell<bool>>,
}

impl Updates {
    /// Registers the worker; calls `ready` when a newer version has been fetched whole and waits for consent, at once
    /// if it waits already. The very first visit calls nothing.
    ///
    /// # Errors
    /// A sentence where the browser allows no worker (a private window, plain HTTP).
    pub async fn register(ready: impl Fn() + 'static) -> Result<Self, String> {
        let window = web_sys::window().ok_or(NOT_OFFLINE)?;
        let container: ServiceWorkerContainer = js_sys::Reflect::get(&window.navigator(), &"serviceWorker".into())
            .ok()
            .filter(|value| !value.is_undefined())
            .map(JsCast::unchecked_into)
            .ok_or(NOT_OFFLINE)?;
        // On the first visit no worker has served this page, and the one that comes now is not a newer one. One engine
        // tells of its states too late to see that from the worker itself.
        let served = container.controller().is_some();
        let options = RegistrationOptions::new();
        // An old worker out of the HTTP cache would never notice a new version.
        options.set_update_via_cache(ServiceWorkerUpdateViaCache::None);
        let registered = JsFuture::from(container.register_with_options(WORKER, &options)).await;
        let registration: ServiceWorkerRegistration =
            registered.map(JsCast::unchecked_into).map_err(|_| NOT_OFFLINE)?;
        let updates = Self { container, registration, consented: Rc::default() };
        if served {
            updates.watch_for_waiting(Rc::new(ready));
        }
        updates.reload_on_take_over();
        Ok(updates)
    }

    /// The person said yes: the waiting version takes over and the page reloads. Save first.
    pub fn take_over(&self) {
        let Some(waiting) = self.registration.waiting() else {
            return;
        };
        self.consented.set(true);
        let message = js_sys::Object::new();
        let _ = js_sys::Reflect::set(&message, &"type".into(), &"take-over".into());
        let _ = waiting.post_message(&message);
    }

    fn watch_for_waiting(&self, ready: Rc<dyn Fn()>) {
        if self.registration.waiting().is_some() {
            ready();
        }
        let registration = self.registration.clone();
        let watch = move |worker: ServiceWorker| {
            let (ready, watched) = (ready.clone(), worker.clone());
            listen(&worker, "statechange", move |_| {
                if watched.state() == ServiceWorkerState::Installed {
                    ready();
                }
            });
        };
        if let Some(installing) = registration.installing() {
            watch(installing);
        }
        let found = registration.clone();
        listen(&registration, "updatefound", move |_| {
            if let Some(installing) = found.installing() {
                watch(installing);
            }
        });
    }

    /// Reloads once, and only after consent: another tab's consent must not throw away what is being typed in this one.
    fn reload_on_take_over(&self) {
        let consented = self.consented.clone();
        listen(&self.container, "controllerchange", move |_| {
            if consented.replace(false)
                && let Some(window) = web_sys::window()
            {
                let _ = window.location().reload();
            }
        });
    }
}

/// Listens for as long as the page lives.
fn listen(target: &web_sys::EventTarget, event: &str, heard: impl FnMut(Event) + 'static) {
    let heard: JsValue = Closure::<dyn FnMut(Event)>::new(heard).into_js_value();
    let _ = target.add_event_listener_with_callback(event, heard.unchecked_ref());
}
