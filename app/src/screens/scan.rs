//! From a tag to its reel: by the camera, by a photo of it, or by typing its code.

use js_sys::{Object, Reflect};
use leptos::prelude::*;
use tailplate_core::tag::{self, Grey, grouped};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, HtmlVideoElement, MediaStream};

use crate::keeping::{self, counter};
use crate::pace::breathe;
use crate::route::{Route, go};
use crate::state::{Shared, shared};

/// Side of the middle of the picture that is looked at, in dots: a tag held before the camera fills it.
const LOOK_PX: u32 = 480;

#[component]
pub fn Scan() -> impl IntoView {
    let shared = shared();
    let (refused, several) = (RwSignal::new(None::<tag::Refused>), RwSignal::new(Vec::<String>::new()));
    let camera = RwSignal::new(None::<Result<(), String>>);
    let video: NodeRef<leptos::html::Video> = NodeRef::new();
    let here = StoredValue::new(true);
    on_cleanup(move || here.set_value(false));
    let open = move |text: String| open_tag(shared, text, refused, several);
    let start = move |_| {
        camera.set(Some(Ok(())));
        spawn_local(async move {
            if let Err(why) = watch(video, here, open).await {
                let _ = camera.try_set(Some(Err(why)));
            }
        });
    };
    let from_photo = move |event: web_sys::Event| {
        for file in keeping::copy::chosen(&event).into_iter().take(1) {
            spawn_local(async move {
                match in_photo(&file).await {
                    Ok(Some(text)) => open(text),
                    Ok(None) => {
                        shared.warn("No tag was found in this photo. Take it closer, with the whole square in it.")
                    }
                    Err(why) => shared.warn(why),
                }
            });
        }
    };
    let typed = RwSignal::new(String::new());
    view! {
        <section class="paper">
            <h1>"Scan a tag"</h1>
            {move || match camera.get() {
                None => view! { <button class="main wide" on:click=start>"Use the camera"</button> }.into_any(),
                Some(Ok(())) => view! { <p class="how">"Hold the square of the tag before the camera."</p> }.into_any(),
                Some(Err(why)) => view! { <p class="note">{why}</p> }.into_any(),
            }}
            <video node_ref=video class="camera" playsinline=true muted=true class:off=move || !matches!(camera.get(), Some(Ok(())))></video>
            <label class="add-photo wide-photo"><input type="file" accept="image/*" capture="environment" aria-label="Read a tag from a photo" on:change=from_photo/><span>"From a photo of the tag"</span></label>
            <form class="adder" on:submit=move |event| { event.prevent_default(); open(typed.get_untracked()); }>
                <label>"Or type its code"<input class="code" autocapitalize="characters" autocomplete="off" placeholder="ACE4 72K9" on:input=move |event| typed.set(event_target_value(&event))/></label>
                <button type="submit">"Open"</button>
            </form>
            {move || refused.get().map(|refused| view! {
                <p class="trouble" role="alert">{refused.why}</p>
                {(!refused.nearest.is_empty()).then(|| view! { <p>"Did you mean:"</p> })}
                <div class="choices">{nearest_first(refused.nearest).into_iter().map(|(code, known)| {
                    let words = grouped(&code);
                    view! { <button class="choice plain code" on:click=move |_| open(code.clone())>{words}{known.map(|name| view! { <small>{name}</small> })}</button> }
                }).collect_view()}</div>
            })}
            {move || (!several.read().is_empty()).then(|| view! { <p class="note">"More than one reel has this tag: two devices drew the same numbers."</p>
                <ul>{several.get().into_iter().map(|id| view! { <li><a class="button" href=Route::Reel(id.clone()).href()>{id.get(..6).unwrap_or_default().to_owned()}</a></li> }).collect_view()}</ul> })}
        </section>
    }
}

/// Those the shop has come first, with the reel's name.
fn nearest_first(codes: Vec<String>) -> Vec<(String, Option<String>)> {
    let known = |code: &str| {
        keeping::shelf::with(|rows| {
            rows.iter().find(|row| row.tag == *code && !row.deleted).map(|row| row.name.clone())
        })
    };
    let mut all: Vec<(String, Option<String>)> = codes
        .into_iter()
        .map(|code| {
            let known = known(&code);
            (code, known)
        })
        .collect();
    all.sort_by_key(|(_, known)| known.is_none());
    all.truncate(6);
    all
}

fn open_tag(shared: Shared, text: String, refused: RwSignal<Option<tag::Refused>>, several: RwSignal<Vec<String>>) {
    match tag::read(&text) {
        Err(why) => {
            let _ = refused.try_set(Some(why));
        }
        Ok(code) => spawn_local(async move {
            let _ = refused.try_set(None);
            match counter::tagged(&code).await {
                Ok(reels) if reels.len() == 1 => go(Route::Reel(reels[0].clone())),
                Ok(reels) if reels.is_empty() => {
                    shared.warn(format!("No reel here has the tag {}. It may be on another device.", grouped(&code)))
                }
                Ok(reels) => {
                    let _ = several.try_set(reels);
                }
                Err(why) => shared.warn(why),
            }
        }),
    }
}

/// Looks through the camera until a tag is read or the screen is left.
async fn watch(
    video: NodeRef<leptos::html::Video>,
    here: StoredValue<bool>,
    found: impl Fn(String) + 'static,
) -> Result<(), String> {
    const NONE: &str = "This browser gives no camera here. Read the tag from a photo, or type its code.";
    let devices = Reflect::get(&window().navigator(), &"mediaDevices".into()).unwrap_or_default();
    let ask: js_sys::Function =
        Reflect::get(&devices, &"getUserMedia".into()).ok().and_then(|f| f.dyn_into().ok()).ok_or(NONE)?;
    let (wanted, facing) = (Object::new(), Object::new());
    let _ = Reflect::set(&facing, &"facingMode".into(), &"environment".into());
    let _ = Reflect::set(&wanted, &"video".into(), &facing);
    let promise: js_sys::Promise = ask.call1(&devices, &wanted).map_err(|_| NONE)?.dyn_into().map_err(|_| NONE)?;
    let stream: MediaStream = JsFuture::from(promise).await.map_err(|_| NONE)?.unchecked_into();
    let stop = |stream: &MediaStream| {
        for track in stream.get_tracks() {
            track.unchecked_into::<web_sys::MediaStreamTrack>().stop();
        }
    };
    let Some(video) = video.get_untracked() else {
        stop(&stream);
        return Ok(());
    };
    let video: HtmlVideoElement = video.unchecked_into();
    video.set_src_object(Some(&stream));
    if let Ok(playing) = video.play() {
        let _ = JsFuture::from(playing).await;
    }
    let (canvas, pen) = canvas(LOOK_PX, LOOK_PX)?;
    let mut turn = 0;
    while here.try_get_value() == Some(true) {
        let (width, height) = (f64::from(video.video_width()), f64::from(video.video_height()));
        let side = width.min(height);
        if side > 0.0 {
            let (left, top, to) = ((width - side) / 2.0, (height - side) / 2.0, f64::from(LOOK_PX));
            let drawn = pen.draw_image_with_html_video_element_and_sw_and_sh_and_dx_and_dy_and_dw_and_dh(
                &video, left, top, side, side, 0.0, 0.0, to, to,
            );
            if drawn.is_ok() {
                let grey = grey_of(&pen, canvas.width(), canvas.height())?;
                let picture = Grey { width: LOOK_PX as usize, height: LOOK_PX as usize, values: &grey };
                if let Some(text) = tag::glance(picture, turn) {
                    stop(&stream);
                    found(text);
                    return Ok(());
                }
                turn += 1;
            }
        }
        breathe().await;
        let pause = js_sys::Promise::new(&mut |resolve, _| {
            let _ = window().set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, 80);
        });
        let _ = JsFuture::from(pause).await;
    }
    stop(&stream);
    Ok(())
}

async fn in_photo(file: &web_sys::File) -> Result<Option<String>, String> {
    let bitmap = crate::photo::decode(file).await?;
    let (width, height) = tailplate_core::shop::photo::fit(bitmap.width(), bitmap.height(), 1_200);
    let (_canvas, pen) = canvas(width, height)?;
    let drawn = pen.draw_image_with_image_bitmap_and_dw_and_dh(&bitmap, 0.0, 0.0, f64::from(width), f64::from(height));
    bitmap.close();
    drawn.map_err(|_| "This photo can't be looked at.".to_owned())?;
    let grey = grey_of(&pen, width, height)?;
    let picture = Grey { width: width as usize, height: height as usize, values: &grey };
    // One look at a time, with the browser let in between.
    for turn in 0..tag::LOOKS {
        if let Some(text) = tag::glance(picture, turn) {
            return Ok(Some(text));
        }
        breathe().await;
    }
    Ok(None)
}

fn canvas(width: u32, height: u32) -> Result<(HtmlCanvasElement, CanvasRenderingContext2d), String> {
    let trouble = |_: JsValue| "This browser can't look at pictures.".to_owned();
    let canvas: HtmlCanvasElement = document().create_element("canvas").map_err(trouble)?.unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    let pen = canvas.get_context("2d").map_err(trouble)?.ok_or("This browser can't look at pictures.")?;
    Ok((canvas, pen.unchecked_into()))
}

fn grey_of(pen: &CanvasRenderingContext2d, width: u32, height: u32) -> Result<Vec<u8>, String> {
    let data = pen
        .get_image_data(0.0, 0.0, f64::from(width), f64::from(height))
        .map_err(|_| "This browser can't look at pictures.")?;
    // Rec. 601 weights: what is bright to the eye.
    Ok(data
        .data()
        .chunks_exact(4)
        .map(|p| ((u32::from(p[0]) * 299 + u32::from(p[1]) * 587 + u32::from(p[2]) * 114) / 1000) as u8)
        .collect())
}
