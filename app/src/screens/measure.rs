//! A size from a photo: a card or a coin beside the reel, its corners or rim tapped, then any length.

use leptos::prelude::*;
use tailplate_core::measure::{Card, Length, Point, by_card, by_coin};
use wasm_bindgen::JsCast;

use crate::keeping;
use crate::later::later;
use crate::packs;
use crate::photo;
use crate::words::both_units;

/// Standard error of a finger's tap with the loupe, in dots of the photo.
const TAP_ERROR_PX: f64 = 3.0;
/// ISO/IEC 7810 ID-1: 85.60 × 53.98 mm.
const CARD: Card = Card { long_mm: 85.60, short_mm: 53.98, inset_mm: 0.0 };

#[component]
pub fn Measure() -> impl IntoView {
    let shared = crate::state::shared();
    let picture = RwSignal::new(None::<(String, u32, u32)>);
    let coin = RwSignal::new(None::<f64>);
    let taps = RwSignal::new(Vec::<Point>::new());
    let loupe = RwSignal::new(None::<(f64, f64)>);
    let coins = later(|| {
        Box::pin(async {
            let reference = packs::bench().await.ok()?;
            let round = reference.mechanics.objects.iter().filter(|it| it.shape == "circle");
            Some(round.filter_map(|it| Some((it.name.clone(), it.diameter_mm?))).collect::<Vec<_>>())
        })
    });
    let known = move || if coin.get().is_some() { 6 } else { 4 };
    let take = move |event: web_sys::Event| {
        for file in keeping::copy::chosen(&event).into_iter().take(1) {
            leptos::task::spawn_local(async move {
                match photo::take(&file).await {
                    Ok(taken) => {
                        taps.set(Vec::new());
                        let url = format!("data:{};base64,{}", photo::MEDIA_TYPE, keeping::base64(&taken.bytes));
                        picture.set(Some((url, taken.width_px, taken.height_px)));
                    }
                    Err(why) => shared.warn(why),
                }
            });
        }
    };
    let place = move |event: &web_sys::PointerEvent| -> Option<Point> {
        let image = event.current_target()?.dyn_into::<web_sys::Element>().ok()?;
        let area = image.get_bounding_client_rect();
        let (_, width, height) = picture.get_untracked()?;
        let share = |at: f64, from: f64, length: f64| ((at - from) / length.max(1.0)).clamp(0.0, 1.0);
        Some(Point {
            u: share(f64::from(event.client_x()), area.left(), area.width()) * f64::from(width),
            v: share(f64::from(event.client_y()), area.top(), area.height()) * f64::from(height),
        })
    };
    let hover = move |event: web_sys::PointerEvent| {
        event.prevent_default();
        if let (Some(point), Some((_, width, height))) = (place(&event), picture.get_untracked()) {
            loupe.set(Some((point.u / f64::from(width), point.v / f64::from(height))));
        }
    };
    let lift = move |event: web_sys::PointerEvent| {
        loupe.set(None);
        if let Some(point) = place(&event) {
            let full = known() + 2;
            taps.update(|taps| {
                if taps.len() >= full {
                    taps.truncate(full - 2);
                }
                taps.push(point);
            });
        }
    };
    let asks = move || {
        let (n, known) = (taps.read().len(), known());
        match (n < known, coin.get().is_some()) {
            (true, false) => format!("Tap the card’s corners in order round it, a long edge first: {} of 4.", n + 1),
            (true, true) => format!("Tap six places all round the coin’s rim: {} of 6.", n + 1),
            (false, _) if n < known + 2 => "Now tap both ends of what is to be measured.".to_owned(),
            _ => "Tap again for the next length.".to_owned(),
        }
    };
    let result = move || -> Option<Result<Length, String>> {
        let (taps, known) = (taps.read(), known());
        if taps.len() < known + 2 {
            return None;
        }
        let ends = [taps[known], taps[known + 1]];
        let length = match coin.get() {
            Some(diameter_mm) => by_coin(diameter_mm, &taps[..known], ends, TAP_ERROR_PX, None),
            None => by_card(CARD, [taps[0], taps[1], taps[2], taps[3]], ends, TAP_ERROR_PX),
        };
        Some(length.map_err(|error| error.to_string()))
    };
    view! {
        <section class="paper">
            <h1>"Size from a photo"</h1>
            <p>"Lay a bank or library card, or a coin, flat beside what is to be measured and at the same height. Photograph both from straight above."</p>
            <label>"What lies beside it"<select on:change=move |event| { coin.set(event_target_value(&event).parse().ok()); taps.set(Vec::new()); }>
                <option value="">"A card, 85.60 × 53.98 mm"</option>
                {move || coins.get().flatten().map(|coins| coins.into_iter().map(|(name, mm)| view! { <option value=mm.to_string()>{format!("{name}, {mm} mm")}</option> }).collect_view())}
            </select></label>
            <label class="add-photo wide-photo"><input type="file" accept="image/*" capture="environment" aria-label="Photo with a card or a coin" on:change=take/><span>"Take the photo"</span></label>
            {move || picture.get().map(|(url, width, height)| {
                let dots = move || taps.get().into_iter().enumerate().map(|(n, point)| view! {
                    <i class="tap-dot" style:left=format!("{}%", point.u / f64::from(width) * 100.0) style:top=format!("{}%", point.v / f64::from(height) * 100.0)>{n + 1}</i> }).collect_view();
                let (url, large) = (url.clone(), url);
                view! {
                    <p class="note" role="status">{asks}</p>
                    <div class="measured" on:pointerdown=hover on:pointermove={move |event: web_sys::PointerEvent| if event.buttons() > 0 { hover(event) }} on:pointerup=lift>
                        <img src=url alt="The photo to measure in" draggable="false"/>{dots}
                        {move || loupe.get().map(|(x, y)| view! { <div class="loupe" class:right=x < 0.5><div style:background-image=format!("url({large})") style:background-position=format!("{}% {}%", x * 100.0, y * 100.0)></div></div> })}
                    </div>
                    <button class="quiet" on:click=move |_| taps.update(|taps| { taps.pop(); })>"Take the last tap back"</button>
                }
            })}
            <div aria-live="polite">{move || result().map(|length| match length {
                Err(why) => view! { <p class="trouble">{why}</p> }.into_any(),
                Ok(length) => view! { <p class="range">{format!("{} ± {:.1} mm", both_units(length.mm, tailplate_core::observe::Unit::Mm), length.plus_minus_mm)}</p>
                    <p class="how">"In the plane of the card or coin. What lies nearer to the camera reads longer: 10 mm higher at half a metre is 2 % too long."</p> }.into_any(),
            })}</div>
        </section>
    }
}
