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
/// Who has waited so long goes on without being called back.
const LATE_MS: i32 = 500;

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

impl Waiting {
    fn go_on(&self) {
        self.over.set(true);
        if let Some(waker) = self.waker.take() {
            waker.wake();
        }
    }
}

/// What the browser calls back.
struct Calls {
    turn: MessagePort,
    on_frame: js_sys::Function,
    on_late: js_sys::Function,
    /// A browser may clear away an end that nobody holds, and with it what listens there.
    _other_end: MessagePort,
}

thread_local! {
    static CALLS: OnceCell<Option<Calls>> = const { OnceCell::new() };
    static FRAMES: Queue = const { RefCell::new(VecDeque::new()) };
    static TURNS: Queue = const { RefCell::new(VecDeque::new()) };
    /// Somebody looks after those who wait.
    static LOOKED_AFTER: Cell<bool> = const { Cell::new(false) };
}

async fn wait(queue: &'static std::thread::LocalKey<Queue>, ask: fn(&Calls) -> bool) {
    let asked = CALLS.with(|calls| calls.get_or_init(first_calls).as_ref().is_some_and(ask));
    // A browser that calls nobody back keeps nobody waiting.
    if !asked {
        return;
    }
    let waiting = Rc::new(Waiting::default());
    queue.with_borrow_mut(|queue| queue.push_back(waiting.clone()));
    if !LOOKED_AFTER.replace(true) {
        CALLS.with(|calls| calls.get().and_then(Option::as_ref).map(ask_for_late));
    }
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

/// One of the browsers was seen to stand still at a start, with everything read: a call that gets lost keeps nobody waiting.
fn ask_for_late(calls: &Calls) {
    let asked = window().set_timeout_with_callback_and_timeout_and_arguments_0(&calls.on_late, LATE_MS);
    LOOKED_AFTER.set(asked.is_ok());
}

fn first_calls() -> Option<Calls> {
    let channel = MessageChannel::new().ok()?;
    let on_turn = Closure::<dyn FnMut()>::new(|| {
        if let Some(next) = TURNS.with_borrow_mut(VecDeque::pop_front) {
            next.go_on();
        }
    });
    let other_end = channel.port1();
    other_end.set_onmessage(Some(on_turn.into_js_value().unchecked_ref()));
    let on_late = Closure::<dyn FnMut()>::new(|| {
        LOOKED_AFTER.set(false);
        for queue in [&TURNS, &FRAMES] {
            queue.with_borrow_mut(std::mem::take).iter().for_each(|late| late.go_on());
        }
    });
    // The frame has only begun: the turn after it is when it has been painted.
    let on_frame = Closure::<dyn FnMut()>::new(|| {
        let Some(next) = FRAMES.with_borrow_mut(VecDeque::pop_front) else { return };
        TURNS.with_borrow_mut(|turns| turns.push_back(next));
        CALLS.with(|calls| calls.get().and_then(Option::as_ref).is_some_and(ask_for_turn));
    });
    Some(Calls {
        turn: channel.port2(),
        on_frame: on_frame.into_js_value().unchecked_into(),
        on_late: on_late.into_js_value().unchecked_into(),
        _other_end: other_end,
    })
}
