//! How does a photo get from the camera into the shop? Turned upright, scaled down, encoded afresh.
//!
//! Encoding afresh leaves everything behind that the camera wrote beside the picture: place, time, name of the device.
//! [`strip_jpeg`] then takes off what the browser's encoder may have added itself.

use js_sys::{Function, Promise, Uint8Array};
use tailplate_core::shop::photo::{LONG_SIDE_PX, THUMB_PX, fit, strip_jpeg};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, CanvasRenderingContext2d, File, HtmlCanvasElement, HtmlImageElement, ImageBitmap, ImageBitmapOptions,
    ImageOrientation, Url, Window,
};

use crate::drawn;

const JPEG_QUALITY: f64 = 0.85;
pub const MEDIA_TYPE: &str = "image/jpeg";

/// A photo ready to be kept with `Store::put_photo`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// JPEG without position data.
    pub bytes: Vec<u8>,
    /// JPEG, at most [`THUMB_PX`] on its long side.
    pub thumb: Vec<u8>,
    pub width_px: u32,
    pub height_px: u32,
}

/// Turns a file from the camera or the gallery into what is kept.
///
/// # Errors
/// A sentence a person can act on. The file itself is never changed.
pub async fn take(file: &File) -> Result<Taken, String> {
    let bitmap = decode(file).await?;
    let made = async {
        let (width_px, height_px) = fit(bitmap.width(), bitmap.height(), LONG_SIDE_PX);
        let bytes = encode(&bitmap, width_px, height_px).await?;
        let (thumb_width_px, thumb_height_px) = fit(bitmap.width(), bitmap.height(), THUMB_PX);
        let thumb = encode(&bitmap, thumb_width_px, thumb_height_px).await?;
        Ok(Taken { bytes, thumb, width_px, height_px })
    };
    let made = made.await;
    // A full-size picture takes some 50 MB; waiting for the garbage collector can end the page.
    bitmap.close();
    made
}

/// The thumbnail of a photo that came from elsewhere.
///
/// # Errors
/// It is no picture.
pub async fn thumb_of(bytes: &[u8]) -> Result<Vec<u8>, String> {
    Ok(take(&file_of(bytes, MEDIA_TYPE)?).await?.thumb)
}

/// A drawing as a photo, on the shop's paper.
///
/// # Errors
/// The browser can't draw it.
pub async fn of_drawing(svg: &str) -> Result<Taken, String> {
    // A drawing shows lightly what nobody has looked at yet; a photo shows all there is.
    let whole = svg.replace(" t-soft", "");
    let drawn = drawn::in_colours(&whole, "#1d1a15", "#efe2c2", "#4a4336", "#97270d");
    let drawn =
        drawn.replacen("<svg", "<svg width=\"800\" height=\"600\" style=\"background:#e2cf9f;color:#1d1a15\"", 1);
    take(&file_of(drawn.as_bytes(), "image/svg+xml")?).await
}

pub fn file_of(bytes: &[u8], media_type: &str) -> Result<File, String> {
    let options = web_sys::FilePropertyBag::new();
    options.set_type(media_type);
    let parts = js_sys::Array::of1(&Uint8Array::from(bytes));
    File::new_with_u8_array_sequence_and_options(&parts, "photo", &options)
        .map_err(|_| "This browser can't make a file.".to_owned())
}

pub async fn decode(file: &File) -> Result<ImageBitmap, String> {
    let options = ImageBitmapOptions::new();
    options.set_image_orientation(ImageOrientation::FromImage);
    let window = web_sys::window().ok_or("This needs a browser window.")?;
    let decoded = match window.create_image_bitmap_with_blob_and_image_bitmap_options(file, &options) {
        Ok(promise) => JsFuture::from(promise).await,
        Err(why) => Err(why),
    };
    let decoded = match decoded {
        Ok(bitmap) => Ok(bitmap),
        // Firefox 153 decodes no photo with a turn noted in it this way, but shows it upright as an image.
        Err(_) => decode_as_image(&window, file).await,
    };
    decoded.map(JsCast::unchecked_into).map_err(|_| cannot_read(&file.name(), &file.type_()))
}

async fn decode_as_image(window: &Window, file: &File) -> Result<JsValue, JsValue> {
    let address = Url::create_object_url_with_blob(file)?;
    let image = HtmlImageElement::new()?;
    image.set_src(&address);
    let shown = JsFuture::from(image.decode()).await;
    Url::revoke_object_url(&address)?;
    shown?;
    JsFuture::from(window.create_image_bitmap_with_html_image_element(&image)?).await
}

/// Why a file could not be read as a picture, and what to do.
fn cannot_read(name: &str, media_type: &str) -> String {
    let lower = name.to_lowercase();
    if media_type.contains("heic")
        || media_type.contains("heif")
        || lower.ends_with(".heic")
        || lower.ends_with(".heif")
    {
        return format!(
            "This browser can't read “{name}”: it is a HEIC picture. Take the photo with the camera button here, set \
             the phone's camera to the most compatible format, or save the picture as JPEG first."
        );
    }
    if !media_type.is_empty() && !media_type.starts_with("image/") {
        return format!("“{name}” is not a picture. Choose a photo.");
    }
    format!("“{name}” can't be read as a picture; it may be damaged. Choose another, or take it again.")
}

async fn encode(bitmap: &ImageBitmap, width_px: u32, height_px: u32) -> Result<Vec<u8>, String> {
    const NO_ROOM: &str =
        "The picture could not be scaled, perhaps for want of memory. Close other apps and try again.";
    let canvas: HtmlCanvasElement = web_sys::window()
        .and_then(|window| window.document())
        .and_then(|document| document.create_element("canvas").ok())
        .map(JsCast::unchecked_into)
        .ok_or(NO_ROOM)?;
    canvas.set_width(width_px);
    canvas.set_height(height_px);
    let context: CanvasRenderingContext2d =
        canvas.get_context("2d").ok().flatten().map(JsCast::unchecked_into).ok_or(NO_ROOM)?;
    // JPEG has no transparency; without a ground a clear picture would turn black.
    context.set_fill_style_str("#ffffff");
    context.fill_rect(0.0, 0.0, f64::from(width_px), f64::from(height_px));
    context
        .draw_image_with_image_bitmap_and_dw_and_dh(bitmap, 0.0, 0.0, f64::from(width_px), f64::from(height_px))
        .map_err(|_| NO_ROOM)?;
    let encoded = to_jpeg(&canvas).await.ok_or(NO_ROOM)?;
    // Some engines give a canvas's memory back only when it is made small.
    canvas.set_width(0);
    canvas.set_height(0);
    let buffer = JsFuture::from(encoded.array_buffer()).await.map_err(|_| NO_ROOM)?;
    let bytes = Uint8Array::new(&buffer).to_vec();
    strip_jpeg(&bytes).ok_or_else(|| NO_ROOM.into())
}

/// None if the browser gave no JPEG.
async fn to_jpeg(canvas: &HtmlCanvasElement) -> Option<Blob> {
    let promise = Promise::new(&mut |resolve: Function, reject: Function| {
        let done = Closure::once_into_js(move |blob: JsValue| {
            let _ = resolve.call1(&JsValue::NULL, &blob);
        });
        let quality = JsValue::from(JPEG_QUALITY);
        if canvas.to_blob_with_type_and_encoder_options(done.unchecked_ref(), MEDIA_TYPE, &quality).is_err() {
            let _ = reject.call0(&JsValue::NULL);
        }
    });
    let blob: Blob = JsFuture::from(promise).await.ok()?.dyn_into().ok()?;
    (blob.type_() == MEDIA_TYPE).then_some(blob)
}

/// An address that is its own content: the browser takes longer to make a `blob:` address than to read a short one of these.
pub fn data_url(media_type: &str, bytes: &[u8]) -> String {
    format!("data:{media_type};base64,{}", base64(bytes))
}

/// Standard base64, for a `data:` address: shorter than the browser's own way, which wants text.
pub fn base64(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = Vec::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let bits = three.iter().fold(0_u32, |bits, b| bits << 8 | u32::from(*b)) << (8 * (3 - three.len()));
        for at in 0..4 {
            text.push(if at <= three.len() { DIGITS[(bits >> (18 - 6 * at) & 63) as usize] } else { b'=' });
        }
    }
    String::from_utf8(text).unwrap_or_default()
}
