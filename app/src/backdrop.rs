//! Which class shows a picture as its background?
//!
//! A list writes its lines anew at each key of a search. A picture whose class is known costs the browser next to nothing;
//! an image given another address is read and decoded again, each time.

use std::cell::RefCell;

use leptos::prelude::document;
use wasm_bindgen::JsValue;
use web_sys::CssStyleSheet;

/// Some ten kilobytes each: far more than one screen shows.
const KEPT: usize = 240;

/// A picture that has a class.
struct Shown {
    name: String,
    class: String,
    /// When it was last asked for; the higher, the later.
    asked: u32,
}

#[derive(Default)]
struct Backdrops {
    sheet: Option<CssStyleSheet>,
    /// In the order of the rules in the sheet.
    shown: Vec<Shown>,
    /// How often one was asked for.
    asked: u32,
    /// How many were ever made: no class is given twice.
    made: u32,
}

impl Backdrops {
    /// Where the picture stands that nobody asked for in the longest time and that is not on the page. None: all are.
    fn longest_unasked(&mut self) -> Option<usize> {
        for _ in 0..self.shown.len() {
            let (at, oldest) = self.shown.iter_mut().enumerate().min_by_key(|(_, shown)| shown.asked)?;
            if document().get_elements_by_class_name(&oldest.class).length() == 0 {
                return Some(at);
            }
            self.asked += 1;
            oldest.asked = self.asked;
        }
        None
    }
}

thread_local! {
    static BACKDROPS: RefCell<Backdrops> = RefCell::default();
}

/// The class of a picture shown lately, by its name.
pub fn at_hand(name: &str) -> Option<String> {
    BACKDROPS.with_borrow_mut(|all| {
        all.asked += 1;
        let shown = all.shown.iter_mut().find(|shown| shown.name == name)?;
        shown.asked = all.asked;
        Some(shown.class.clone())
    })
}

/// Gives a picture a class. `size`: as in CSS's `background-size`. None: this browser can't.
pub fn put(name: &str, media_type: &str, bytes: &[u8], size: &str) -> Option<String> {
    if let Some(class) = at_hand(name) {
        return Some(class);
    }
    BACKDROPS.with_borrow_mut(|all| {
        let sheet = match &all.sheet {
            Some(sheet) => sheet.clone(),
            None => all.sheet.insert(new_sheet()?).clone(),
        };
        if all.shown.len() >= KEPT
            && let Some(at) = all.longest_unasked()
        {
            sheet.delete_rule(at as u32).ok()?;
            all.shown.remove(at);
        }
        let class = format!("backdrop-{}", all.made);
        let rule = format!(
            ".{class}{{background-image:url(\"{}\");background-size:{size}}}",
            crate::photo::data_url(media_type, bytes)
        );
        sheet.insert_rule_with_index(&rule, all.shown.len() as u32).ok()?;
        all.made += 1;
        all.shown.push(Shown { name: name.to_owned(), class: class.clone(), asked: all.asked });
        Some(class)
    })
}

/// A sheet made by a program is not kept out by what the page forbids, and other sheets are not read again for it.
fn new_sheet() -> Option<CssStyleSheet> {
    let sheet = CssStyleSheet::new().ok()?;
    let sheets = js_sys::Array::of1(&sheet);
    js_sys::Reflect::set(&document(), &JsValue::from("adoptedStyleSheets"), &sheets).ok()?;
    Some(sheet)
}
