//! One reel's page as a file, for a helper's opinion.

use js_sys::{Array, Uint8Array};
use tailplate_core::drawing;
use tailplate_core::page;
use tailplate_core::shop::Find;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

use crate::state::{World, judge};

pub async fn hand_over(html: &str, name: &str) -> Result<String, String> {
    let trouble = |_: JsValue| "The page could not be made into a file. The find itself is safe.".to_owned();
    let parts = Array::of1(&Uint8Array::from(html.as_bytes()));
    let kind = web_sys::BlobPropertyBag::new();
    kind.set_type("text/html");
    let window = web_sys::window().ok_or("There is no window to save from.")?;
    let options = web_sys::FilePropertyBag::new();
    options.set_type("text/html");
    let file = web_sys::File::new_with_u8_array_sequence_and_options(&parts, name, &options).map_err(trouble)?;
    let share = web_sys::ShareData::new();
    share.set_files(&Array::of1(&file));
    share.set_title("A reel: your opinion?");
    let navigator = window.navigator();
    // Asked of the browser itself: many have no share sheet, and some share no files.
    let can = js_sys::Reflect::has(&navigator, &"canShare".into()).unwrap_or(false) && navigator.can_share_with_data(&share);
    if can {
        return match JsFuture::from(navigator.share_with_data(&share)).await {
            Ok(_) => Ok("Handed over.".into()),
            Err(_) => Ok("Not sent. The page can be made again at any time.".into()),
        };
    }
    let blob = web_sys::Blob::new_with_u8_array_sequence_and_options(&parts, &kind).map_err(trouble)?;
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
    Ok(format!("The page is saved as {name} among your downloads. It opens in any browser."))
}

/// The page of one find.
pub async fn make(_world: World, _find: &Find) -> Result<String, String> {
    let _ = (drawing::face, judge);
    Err("Not yet.".into())
}
