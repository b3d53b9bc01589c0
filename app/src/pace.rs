//! When may work go on? Between two turns of the browser, or when what was written has been shown.
//!
//! A key of a search waits several times. One channel and two functions serve every wait: new ones for each cost a
//! millisecond on a slow phone.

use std::cell::{Cell, OnceCell, RefCell};
use std::collections::VecDeque;
use std::future::poll_fn;
use std::rc::Rc;
use std::task::{Poll, Waker};

use leptos::prelude::window;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{MessageChannel, MessagePort};

/// A page in the background is not painted; its work goes on all the same.
const NO_FRAME_MS: i32 = 250;

/// Lets the browser paint and take taps. By a message: a timer set by a timer would be held back for four milliseconds.
pub async fn breathe() {
    wait(&TURNS, ask_for_turn).await;
}

/// Waits until what has been written is on the screen.
pub async fn shown() {
    wait(&FRAMES, ask_for_frame).await;
}

/// Waits for the browser to begin its next frame; not for long.
pub async fn next_frame() {
    let begun = js_sys::Promise::new(&mut |resolve, _| {
        let _ = window().request_animation_frame(&resolve);
        let _ = window().set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, NO_FRAME_MS);
    });
    let _ = JsFuture::from(begun).await;
}

/// Somebody who waits.
#[derive(Default)]
struct Waiting {
    over: Cell<bool>,
    waker: RefCell<Option<Waker>>,
}

/// First come, first served: the browser calls back in the order it was asked.
type Queue = RefCell<VecDeque<Rc<Waiting>>>;

/// What the browser calls back.
struct Calls {
    turn: MessagePort,
    on_frame: js_sys::Function,
    /// The other end stays open as long as this is held.
    _channel: MessageChannel,
}

thread_local! {
    static CALLS: OnceCell<Option<Calls>> = const { OnceCell::new() };
    static FRAMES: Queue = const { RefCell::new(VecDeque::new()) };
    static TURNS: Queue = const { RefCell::new(VecDeque::new()) };
}

async fn wait(queue: &'static std::thread::LocalKey<Queue>, ask: fn(&Calls) -> bool) {
    let asked = CALLS.with(|calls| calls.get_or_init(first_calls).as_ref().is_some_and(ask));
    // A browser that calls nobody back keeps nobody waiting.
    if !asked {
        return;
    }
    let waiting = Rc::new(Waiting::default());
    queue.with_borrow_mut(|queue| queue.push_back(waiting.clone()));
    poll_fn(|context| {
        if waiting.over.get() {
            return Poll::Ready(());
        }
        waiting.waker.replace(Some(context.waker().clone()));
        Poll::Pending
    })
    .await;
}

fn ask_for_turn(calls: &Calls) -> bool {
    calls.turn.post_message(&JsValue::NULL).is_ok()
}

fn ask_for_frame(calls: &Calls) -> bool {
    window().request_animation_frame(&calls.on_frame).is_ok()
}

fn first_calls() -> Option<Calls> {
    let channel = MessageChannel::new().ok()?;
    let on_turn = Closure::<dyn FnMut()>::new(|| {
        if let Some(next) = TURNS.with_borrow_mut(VecDeque::pop_front) {
            next.over.set(true);
            if let Some(waker) = next.waker.take() {
                waker.wake();
            }
        }
    });
    channel.port1().set_onmessage(Some(on_turn.into_js_value().unchecked_ref()));
    // The frame has only begun: the turn after it is when it has been painted.
    let on_frame = Closure::<dyn FnMut()>::new(|| {
        let Some(next) = FRAMES.with_borrow_mut(VecDeque::pop_front) else { return };
        TURNS.with_borrow_mut(|turns| turns.push_back(next));
        CALLS.with(|calls| calls.get().and_then(Option::as_ref).is_some_and(ask_for_turn));
    });
    Some(Calls { turn: channel.port2(), on_frame: on_frame.into_js_value().unchecked_into(), _channel: channel })
}
