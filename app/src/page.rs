//! One reel's page as a file, for a helper's opinion.

use js_sys::{Array, Uint8Array};
use tailplate_core::drawing;
use tailplate_core::key::Reason;
use tailplate_core::page::{self, PagePhoto, Sheets};
use tailplate_core::shop::Find;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::state::{World, judge};
use crate::widgets::when::range_in_words;
use crate::words::{percent, span};

pub async fn hand_over(html: &str, name: &str) -> Result<String, String> {
    hand_over_file(&Array::of1(&Uint8Array::from(html.as_bytes())), name, "text/html", "A reel: your opinion?").await
}

/// Gives a file to the share sheet where the browser has one for files, else among the downloads.
pub async fn hand_over_file(parts: &Array, name: &str, media_type: &str, title: &str) -> Result<String, String> {
    let trouble = |_: JsValue| "This could not be made into a file. What is kept is safe.".to_owned();
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type(media_type);
    let window = web_sys::window().ok_or("There is no window to save from.")?;
    let options = web_sys::FilePropertyBag::new();
    options.set_type(media_type);
    let file = web_sys::File::new_with_blob_sequence_and_options(parts, name, &options).map_err(trouble)?;
    let share = web_sys::ShareData::new();
    share.set_files(&Array::of1(&file));
    share.set_title(title);
    let navigator = window.navigator();
    // Asked of the browser itself: many have no share sheet, and some share no files.
    let can =
        js_sys::Reflect::has(&navigator, &"canShare".into()).unwrap_or(false) && navigator.can_share_with_data(&share);
    if can {
        return match JsFuture::from(navigator.share_with_data(&share)).await {
            Ok(_) => Ok("Handed over.".into()),
            Err(_) => Ok("Not sent. It can be made again at any time.".into()),
        };
    }
    let blob = web_sys::Blob::new_with_blob_sequence_and_options(parts, &kind).map_err(trouble)?;
    let url = web_sys::Url::create_object_url_with_blob(&blob).map_err(trouble)?;
    let document = window.document().ok_or("There is no page to save from.")?;
    let link: web_sys::HtmlAnchorElement = document.create_element("a").map_err(trouble)?.unchecked_into();
    link.set_href(&url);
    link.set_download(name);
    link.click();
    // The browser has taken the file over by the next turn of its loop.
    let later = wasm_bindgen::closure::Closure::once_into_js(move || {
        let _ = web_sys::Url::revoke_object_url(&url);
    });
    let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(later.unchecked_ref(), 10_000);
    Ok(format!("Saved as {name} among your downloads."))
}

/// The page of one find: what was seen, what it may be, when and why, what is not known, its photos.
///
/// # Errors
/// A sentence if a photo can't be read.
pub async fn make(world: World, find: &Find) -> Result<String, String> {
    let answer = judge(world, &find.sheet);
    let reference = world.reference;
    let name = |model: &str| reference.model(model).map_or(model.to_owned(), |m| m.name.clone());
    let mut candidates: Vec<String> = answer
        .which
        .candidates
        .iter()
        .take(5)
        .filter(|c| c.p >= 0.01)
        .map(|c| {
            let words =
                |reasons: &[Reason]| reasons.iter().take(4).map(|r| r.words.clone()).collect::<Vec<_>>().join("; ");
            let mut line = format!("{}: {}.", name(&c.model), percent(c.p));
            if !c.agrees.is_empty() {
                line.push_str(&format!(" For it: {}.", words(&c.agrees)));
            }
            if !c.disagrees.is_empty() {
                line.push_str(&format!(" Against it: {}.", words(&c.disagrees)));
            }
            line
        })
        .collect();
    candidates.push(format!("Not in this key: {}.", percent(answer.which.not_in_key)));
    let mut years = vec![range_in_words(&answer.when)];
    years.extend(answer.when.reasons.iter().map(|r| format!("{}, {}: {}", r.what, span(r.from, r.to), r.words)));
    years.extend(answer.when.clashes.iter().map(|c| format!("These contradict: {} and {}. {}", c.a, c.b, c.cause)));
    years.extend(answer.when.notes.iter().cloned());
    let not_known: Vec<String> =
        answer.which.next_checks.iter().take(5).map(|c| format!("{} ({})", c.ask, c.effort.words())).collect();
    let seen: Vec<_> = find.sheet.current().into_iter().cloned().collect();
    let drawings = [drawing::face(reference, &seen), drawing::side(reference, &seen)];
    let mut photos = Vec::new();
    for photo in &find.photos {
        if let Some(kept) = crate::keeping::photo(&photo.sha256).await? {
            photos.push((kept.media_type, crate::photo::base64(&kept.bytes), photo.words.clone()));
        }
    }
    let photos: Vec<PagePhoto> =
        photos.iter().map(|(media_type, base64, words)| PagePhoto { media_type, base64, words }).collect();
    Ok(page::reel_page(
        reference,
        find,
        &Sheets {
            candidates: &candidates,
            years: &years,
            not_known: &not_known,
            question: "",
            drawings: &drawings,
            photos: &photos,
        },
    ))
}
