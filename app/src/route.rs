//! Which screen: the part of the address after `#`.
//!
//! The server never sees it, so the same page opens every screen, online or not, at `/` or under any folder.

use leptos::prelude::*;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Route {
    Identify,
    Finds,
    Find(String),
    Stall,
    Settings,
    Model(String),
    Compare(Vec<String>),
    OwnModel,
    Jobs,
    Job(String),
    Quote(String),
    HandBack(String),
    Reel(String),
    Customer(String),
    /// A sheet to print, about a job.
    Paper(String, String),
    Bench,
    /// Of a reel, or of none: `-`.
    Faults(String),
    Strip(String),
    Service(String),
    Scan,
    Search,
    /// The shop's computer; with the code of a scanned square.
    Hub(String),
    /// A sum, empty for all of them; and the reel that it is about, empty for none.
    Sums(String, String),
    Listing,
    Parts,
    Buy,
    /// What the size is for, `reel/ID`, `find/ID` with the photo’s SHA-256 after it, or `table/FEATURE`; empty for nothing.
    Measure(String),
    Copy,
    Shop,
    More,
}

impl Route {
    pub fn read(hash: &str) -> Self {
        let path = hash.trim_start_matches('#').trim_matches('/');
        match path.split_once('/').unwrap_or((path, "")) {
            ("finds", _) => Self::Finds,
            ("find", id) if !id.is_empty() => Self::Find(id.to_owned()),
            ("stall", _) => Self::Stall,
            ("settings", _) => Self::Settings,
            ("model", id) if !id.is_empty() => Self::Model(id.to_owned()),
            ("compare", ids) if !ids.is_empty() => Self::Compare(ids.split('+').map(str::to_owned).collect()),
            ("own-model", _) => Self::OwnModel,
            ("jobs", _) => Self::Jobs,
            ("job", id) if !id.is_empty() => Self::Job(id.to_owned()),
            ("quote", id) if !id.is_empty() => Self::Quote(id.to_owned()),
            ("hand-back", id) if !id.is_empty() => Self::HandBack(id.to_owned()),
            ("reel", id) if !id.is_empty() => Self::Reel(id.to_owned()),
            ("customer", id) if !id.is_empty() => Self::Customer(id.to_owned()),
            ("paper", rest) => match rest.split_once('/') {
                Some((sheet, id)) => Self::Paper(sheet.to_owned(), id.to_owned()),
                None => Self::Jobs,
            },
            ("bench", _) => Self::Bench,
            ("faults", id) if !id.is_empty() => Self::Faults(id.to_owned()),
            ("strip", id) if !id.is_empty() => Self::Strip(id.to_owned()),
            ("service", id) if !id.is_empty() => Self::Service(id.to_owned()),
            ("scan", _) => Self::Scan,
            ("search", _) => Self::Search,
            ("hub", _) => Self::Hub(String::new()),
            ("pair", code) => Self::Hub(code.to_owned()),
            ("sums", rest) => {
                let (sum, reel) = rest.split_once('/').unwrap_or((rest, ""));
                Self::Sums(sum.trim_start_matches('-').to_owned(), reel.to_owned())
            }
            ("listing", _) => Self::Listing,
            ("parts", _) => Self::Parts,
            ("buy", _) => Self::Buy,
            ("measure", of) => Self::Measure(of.to_owned()),
            ("copy", _) => Self::Copy,
            ("shop", _) => Self::Shop,
            ("more", _) => Self::More,
            _ => Self::Identify,
        }
    }

    pub fn href(&self) -> String {
        match self {
            Self::Identify => "#/".into(),
            Self::Finds => "#/finds".into(),
            Self::Find(id) => format!("#/find/{id}"),
            Self::Stall => "#/stall".into(),
            Self::Settings => "#/settings".into(),
            Self::Model(id) => format!("#/model/{id}"),
            Self::Compare(ids) => format!("#/compare/{}", ids.join("+")),
            Self::OwnModel => "#/own-model".into(),
            Self::Jobs => "#/jobs".into(),
            Self::Job(id) => format!("#/job/{id}"),
            Self::Quote(id) => format!("#/quote/{id}"),
            Self::HandBack(id) => format!("#/hand-back/{id}"),
            Self::Reel(id) => format!("#/reel/{id}"),
            Self::Customer(id) => format!("#/customer/{id}"),
            Self::Paper(sheet, id) => format!("#/paper/{sheet}/{id}"),
            Self::Bench => "#/bench".into(),
            Self::Faults(id) => format!("#/faults/{id}"),
            Self::Strip(id) => format!("#/strip/{id}"),
            Self::Service(id) => format!("#/service/{id}"),
            Self::Scan => "#/scan".into(),
            Self::Search => "#/search".into(),
            Self::Hub(_) => "#/hub".into(),
            Self::Sums(sum, reel) if reel.is_empty() => format!("#/sums/{sum}"),
            Self::Sums(sum, reel) => format!("#/sums/{}/{reel}", if sum.is_empty() { "-" } else { sum }),
            Self::Listing => "#/listing".into(),
            Self::Parts => "#/parts".into(),
            Self::Buy => "#/buy".into(),
            Self::Measure(of) => format!("#/measure/{of}"),
            Self::Copy => "#/copy".into(),
            Self::Shop => "#/shop".into(),
            Self::More => "#/more".into(),
        }
    }
}

fn current() -> Route {
    Route::read(&window().location().hash().unwrap_or_default())
}

/// Follows the address for as long as the owner lives.
pub fn follow() -> ReadSignal<Route> {
    let (route, set_route) = signal(current());
    let on_change = Closure::<dyn FnMut()>::new(move || {
        set_route.set(current());
        window().scroll_to_with_x_and_y(0.0, 0.0);
    });
    let _ = window().add_event_listener_with_callback("hashchange", on_change.as_ref().unchecked_ref());
    // The page's only listener, alive as long as the page.
    on_change.forget();
    route
}

pub fn go(route: Route) {
    let _ = window().location().set_hash(&route.href());
}
