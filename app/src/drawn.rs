//! Putting the core's drawings on the page.

use std::cell::{Cell, OnceCell};

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::MediaQueryList;

use crate::backdrop;

/// A drawing that repeats what the words beside it say: hidden from readers.
#[component]
pub fn Picture(#[prop(into)] svg: String, #[prop(default = "picture")] class: &'static str) -> impl IntoView {
    view! { <span class=class aria-hidden="true" inner_html=svg></span> }
}

/// The drawing as a file of its own, which has no page around it to give it colours.
pub fn in_colours(svg: &str, ink: &str, metal: &str, dark: &str, mark: &str) -> String {
    let style = format!(
        "<style>.t-line{{fill:none;stroke:{ink};stroke-width:1.6;stroke-linejoin:round;stroke-linecap:round}}.t-fill{{fill:{ink}}}\
         .t-metal{{fill:{metal};stroke:{ink};stroke-width:1.6}}.t-dark{{fill:{dark};stroke:{ink};stroke-width:1.6}}\
         .t-soft{{fill:none;stroke:{ink};stroke-dasharray:3 3;opacity:.45}}.t-mark{{fill:{mark}}}</style>"
    );
    svg.replacen('>', &format!(">{style}"), 1)
}

/// A query of the page's look, and what is called when its answer is another.
type Asked = (MediaQueryList, Closure<dyn FnMut()>);

thread_local! {
    static DARK: ArcRwSignal<bool> = ArcRwSignal::new(false);
    /// The look that was chosen: whether dark; none: what the machine prefers.
    static THEME: Cell<Option<bool>> = const { Cell::new(None) };
    /// What tells when the machine turns dark or light; made once, as the browser goes on calling it.
    static ASKED: OnceCell<Option<Asked>> = const { OnceCell::new() };
}

/// The class whose background is a drawing in the colours of now: lists show one a hundred times, and the browser need not
/// lay out its fifty shapes each time. `name`: what it shows.
pub fn class(name: &str, draw: impl FnOnce() -> String) -> Option<String> {
    let name = format!("{name} {}", if on_dark() { "dark" } else { "light" });
    if let Some(class) = backdrop::at_hand(&name) {
        return Some(class);
    }
    let style = window().get_computed_style(&document().document_element()?).ok()??;
    let colour = |name: &str| style.get_property_value(name).unwrap_or_default();
    let svg = in_colours(&draw(), &colour("--ink"), &colour("--metal"), &colour("--dark-part"), &colour("--accent"));
    backdrop::put(&name, "image/svg+xml", svg.as_bytes(), "contain")
}

/// Whether the page is light on dark; who asks is called again when it changes.
pub fn on_dark() -> bool {
    DARK.with(|dark| dark.get())
}

/// The page's look was chosen: `theme`, or none for what the machine prefers.
pub fn set_theme(theme: Option<bool>) {
    THEME.set(theme);
    look_again();
}

fn look_again() {
    let prefers = ASKED.with(|asked| asked.get_or_init(ask).as_ref().is_some_and(|(asked, _)| asked.matches()));
    DARK.with(|dark| dark.set(THEME.get().unwrap_or(prefers)));
}

fn ask() -> Option<Asked> {
    let asked = window().match_media("(prefers-color-scheme: dark)").ok().flatten()?;
    let changed = Closure::<dyn FnMut()>::new(look_again);
    asked.set_onchange(Some(changed.as_ref().unchecked_ref()));
    Some((asked, changed))
}
