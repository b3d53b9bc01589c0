//! One line of a list: picture, name, a small line, a word.
//!
//! Lists write twenty of them anew at each key of a search. They are filled by hand: what stays is not touched.

use std::cell::{OnceCell, RefCell};

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::record::Kind;
use wasm_bindgen::JsCast;
use wasm_bindgen_futures::spawn_local;
use web_sys::{Element, HtmlAnchorElement};

use crate::drawn;
use crate::keeping;
use crate::pace::shown;
use crate::store::now_ms;

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
const INSIDE: &str = "<span class=\"thumb\"></span><span><b> </b><small> </small></span><em hidden> </em>";

/// Whose photo is on its way to this line; when it arrives, another may stand here.
const COMING: &str = "data-coming";

/// What bringing photos may take of a frame.
const PHOTOS_MS: i64 = 4;

thread_local! {
    static PHOTOS: RefCell<Photos> = const { RefCell::new(Photos { waiting: Vec::new(), frame: 0, coming: false }) };
}

thread_local! {
    /// A line that says nothing yet, to copy: quicker than to have its words read again.
    static EMPTY: OnceCell<Option<HtmlAnchorElement>> = const { OnceCell::new() };
}

#[component]
pub fn OneLine(line: Line) -> impl IntoView {
    let link: NodeRef<leptos::html::A> = NodeRef::new();
    let mut written = None;
    Effect::new(move |_| {
        let Some(link) = link.get() else { return };
        written.get_or_insert_with(|| Written { link, last: None }).write(Some(line.clone()));
    });
    view! { <a class="find-row" node_ref=link inner_html=INSIDE></a> }
}

/// A line on the page.
pub struct Written {
    link: HtmlAnchorElement,
    /// What it says, and whether that is drawn for a dark page.
    last: Option<(Line, bool)>,
}

impl Written {
    /// One that says nothing yet. None: the browser makes none.
    pub fn new() -> Option<Self> {
        let empty = || -> Option<HtmlAnchorElement> {
            let link: HtmlAnchorElement = document().create_element("a").ok()?.unchecked_into();
            link.set_class_name("find-row");
            link.set_inner_html(INSIDE);
            Some(link)
        };
        let link = EMPTY.with(|line| line.get_or_init(empty).as_ref()?.clone_node_with_deep(true).ok())?;
        Some(Self { link: link.unchecked_into(), last: None })
    }

    pub fn link(&self) -> &HtmlAnchorElement {
        &self.link
    }

    /// Writes this line, or none: the one that stands there. Who asks is called again when the page turns dark or light.
    pub fn write(&mut self, line: Option<Line>) {
        let dark = drawn::on_dark();
        let last = self.last.take();
        let same_look = last.as_ref().is_some_and(|(_, was)| *was == dark);
        self.last = match (line, last) {
            (Some(line), last) => {
                let _ = fill(&self.link, last.as_ref().map(|(line, _)| line), &line, same_look);
                Some((line, dark))
            }
            (None, Some((line, _))) => {
                if !same_look {
                    let _ = fill(&self.link, Some(&line), &line, false);
                }
                Some((line, dark))
            }
            (None, None) => None,
        };
    }
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
    if new(|line| &line.word) {
        let word = words.next_element_sibling()?;
        write(&word, &line.word);
        if last.is_none_or(|last| last.word.is_empty() != line.word.is_empty()) {
            let _ = word.toggle_attribute_with_force("hidden", line.word.is_empty());
            link.set_class_name(if line.word.is_empty() { "find-row" } else { "find-row worded" });
        }
    }
    if last.map_or(line.late, |last| last.late != line.late) {
        words.next_element_sibling()?.set_class_name(if line.late { "late" } else { "" });
    }
    if !same_look || last.is_none_or(|last| last.picture != line.picture) {
        draw(&thumb, &line.picture);
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

fn draw(thumb: &Element, picture: &Picture) {
    let class = match picture {
        Picture::Photo(sha256) => keeping::thumb_at_hand(sha256),
        Picture::Reel(kind) => drawn::class(kind, || drawing::kind_picture(kind)),
        Picture::Of(kind) => drawn::class(kind.word(), || icon(*kind)),
    };
    show(thumb, class.as_deref());
    let (Picture::Photo(sha256), None) = (picture, class) else {
        let _ = thumb.remove_attribute(COMING);
        return;
    };
    let _ = thumb.set_attribute(COMING, sha256);
    let begun = PHOTOS.with_borrow_mut(|photos| {
        photos.waiting.push((photos.frame, thumb.clone()));
        std::mem::replace(&mut photos.coming, true)
    });
    if !begun {
        spawn_local(bring_photos());
    }
}

/// Reading a photo and having it drawn costs a slow phone as much as half a frame, and a thumb's fling brings two lines a
/// frame: they come one after the other, those that were asked for last first. A line that says something else by then is
/// brought that photo only.
async fn bring_photos() {
    let mut begun_ms = now_ms();
    while let Some(thumb) = PHOTOS.with_borrow_mut(Photos::next) {
        let Some(sha256) = thumb.get_attribute(COMING) else { continue };
        let class = keeping::thumb_class(&sha256).await;
        // Another may stand here by now, whose own photo is asked for.
        if thumb.get_attribute(COMING).is_some_and(|coming| coming == sha256) {
            let _ = thumb.remove_attribute(COMING);
            show(&thumb, class.as_deref());
        }
        if now_ms() - begun_ms > PHOTOS_MS {
            shown().await;
            PHOTOS.with_borrow_mut(|photos| photos.frame += 1);
            begun_ms = now_ms();
        }
    }
}

/// Lines that wait for their photos.
struct Photos {
    /// In the order they came, with the frame in which they did.
    waiting: Vec<(u32, Element)>,
    frame: u32,
    /// Somebody is at it.
    coming: bool,
}

impl Photos {
    /// Of those who came last, the first.
    fn next(&mut self) -> Option<Element> {
        let last = self.waiting.last().map(|(frame, _)| *frame);
        let first = self.waiting.partition_point(|(frame, _)| last.is_some_and(|last| *frame < last));
        self.coming = last.is_some();
        last.map(|_| self.waiting.remove(first).1)
    }
}

fn show(thumb: &Element, class: Option<&str>) {
    thumb.set_class_name(&format!("thumb {}", class.unwrap_or_default()));
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
