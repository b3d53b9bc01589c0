//! One line of a list: picture, name, a small line, a word.
//!
//! Lists write twenty of them anew at each key of a search. They are filled by hand: what stays is not touched.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::record::Kind;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Element, HtmlAnchorElement};

use crate::drawn;
use crate::keeping;

/// What a line shows.
#[derive(Clone, PartialEq)]
pub struct Line {
    pub href: String,
    pub picture: Picture,
    pub name: String,
    /// Under the name.
    pub small: String,
    /// At the end; none if empty.
    pub word: String,
    /// The word is a warning.
    pub late: bool,
}

#[derive(Clone, PartialEq)]
pub enum Picture {
    /// A photo, by its SHA-256.
    Photo(String),
    /// A state of `reel_kind`.
    Reel(String),
    /// What stands for records without a picture of their own.
    Of(Kind),
}

/// Nothing in here comes from a person.
const INSIDE: &str =
    "<span class=\"thumb\"><img alt=\"\" hidden></span><span><b> </b><small> </small></span><em hidden> </em>";

#[component]
pub fn OneLine(#[prop(into)] line: Signal<Option<Line>>) -> impl IntoView {
    let link: NodeRef<leptos::html::A> = NodeRef::new();
    Effect::new(move |last: Option<Option<(Line, bool)>>| {
        let last = last.flatten();
        let (Some(link), Some(line)) = (link.get(), line.get()) else { return last };
        let dark = drawn::on_dark();
        let same_look = last.as_ref().is_some_and(|(_, was)| *was == dark);
        let _ = fill(&link, last.as_ref().map(|(line, _)| line), &line, same_look);
        Some((line, dark))
    });
    view! { <a class="find-row" node_ref=link inner_html=INSIDE></a> }
}

/// Writes what is another than in the line before. None: the link is not as [`INSIDE`] says.
fn fill(link: &HtmlAnchorElement, last: Option<&Line>, line: &Line, same_look: bool) -> Option<()> {
    let thumb = link.first_element_child()?;
    let words = thumb.next_element_sibling()?;
    let name = words.first_element_child()?;
    let new = |part: fn(&Line) -> &str| last.is_none_or(|last| part(last) != part(line));
    if new(|line| &line.href) {
        link.set_href(&line.href);
    }
    if new(|line| &line.name) {
        write(&name, &line.name);
    }
    if new(|line| &line.small) {
        write(&name.next_element_sibling()?, &line.small);
    }
    if new(|line| &line.word) || last.is_none_or(|last| last.late != line.late) {
        let word = words.next_element_sibling()?;
        write(&word, &line.word);
        word.set_class_name(if line.late { "late" } else { "" });
        hide(&word, line.word.is_empty());
    }
    if !same_look || last.is_none_or(|last| last.picture != line.picture) {
        draw(&thumb, &line.picture)?;
    }
    Some(())
}

/// Into the text that is there: a new one would be laid out from nothing.
fn write(element: &Element, words: &str) {
    match element.first_child() {
        Some(text) => text.set_node_value(Some(words)),
        None => element.set_text_content(Some(words)),
    }
}

fn hide(element: &Element, hidden: bool) {
    let _ = element.toggle_attribute_with_force("hidden", hidden);
}

fn draw(thumb: &Element, picture: &Picture) -> Option<()> {
    let img = thumb.first_element_child()?;
    let drawn = match picture {
        Picture::Photo(_) => None,
        Picture::Reel(kind) => drawn::class(kind, || drawing::kind_picture(kind)),
        Picture::Of(kind) => drawn::class(kind.word(), || icon(*kind)),
    };
    thumb.set_class_name(&drawn.map_or_else(|| "thumb".into(), |class| format!("thumb {class}")));
    let Picture::Photo(sha256) = picture else {
        let _ = img.remove_attribute("data-coming");
        show(&img, None);
        return Some(());
    };
    let at_hand = keeping::thumb_at_hand(sha256);
    show(&img, at_hand.as_deref());
    // Whose photo is on its way to this line; when it arrives, another may stand here.
    let _ = img.set_attribute("data-coming", sha256);
    if at_hand.is_none() {
        let sha256 = sha256.clone();
        spawn_local(async move {
            let url = keeping::thumb_url(sha256.clone()).await;
            if img.get_attribute("data-coming").as_deref() == Some(&sha256) {
                show(&img, url.as_deref());
            }
        });
    }
    Some(())
}

fn show(img: &Element, url: Option<&str>) {
    if let Some(url) = url {
        img.unchecked_ref::<web_sys::HtmlImageElement>().set_src(url);
    }
    hide(img, url.is_none());
}

/// A small drawing on a sheet of 36 × 36 units.
fn icon(kind: Kind) -> String {
    let path = match kind {
        // A reel that nobody looked at yet: a question.
        Kind::Find | Kind::Reel => "M8 9a4 4 0 1 1 5 4q-1 0-1 3m0 3v.5",
        Kind::Customer => "M12 4a4 4 0 1 0 .01 0M4 21q0-8 8-8t8 8",
        Kind::Job => "M9 3h6v4H9zM9 5H5v16h14V5h-4M8 11h8M8 14h8M8 17h5",
        Kind::Need | Kind::Part | Kind::Fitment => "M12 3l8 4.5v9L12 21l-8-4.5v-9zM12 8.5a3.5 3.5 0 1 0 .01 0",
        Kind::House => "M4 11l8-7 8 7v10H4zM10 21v-6h4v6",
    };
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"-6 -6 36 36\"><path class=\"t-line\" d=\"{path}\"/></svg>"
    )
}
