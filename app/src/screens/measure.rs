//! A size from a photo: a card or a coin beside the reel, its corners or rim tapped, then any length. The length goes
//! where it is wanted: to the reel on the table, or to a reel or find that is kept.

use leptos::prelude::*;
use tailplate_core::measure::{Card, Length, Point, by_card, by_coin};
use tailplate_core::observe::{How, Observation, Unit, Value};
use tailplate_core::reference::{Feature, FeatureType};
use tailplate_core::shop::{Find, Reel, Stage};
use wasm_bindgen::JsCast;

use crate::keeping;
use crate::later::later;
use crate::packs;
use crate::photo;
use crate::route::{self, Route};
use crate::state::{Shared, shared};
use crate::words::both_units;

/// Standard error of a finger's tap with the loupe, in dots of the photo.
const TAP_ERROR_PX: f64 = 3.0;
/// ISO/IEC 7810 ID-1: 85.60 × 53.98 mm.
const CARD: Card = Card { long_mm: 85.60, short_mm: 53.98, inset_mm: 0.0 };

/// What the length is for.
#[derive(Clone, PartialEq)]
enum For {
    Nothing,
    /// A question about the reel on the table.
    Table(String),
    Reel(String),
    Find(String),
}

impl For {
    /// With the photo's SHA-256, where one is named: see [`Route::Measure`].
    fn read(of: &str) -> (Self, Option<String>) {
        let mut words = of.split('/');
        let (what, id, photo) = (words.next().unwrap_or_default(), words.next().unwrap_or_default(), words.next());
        let of = match what {
            "table" => Self::Table(id.to_owned()),
            "reel" => Self::Reel(id.to_owned()),
            "find" => Self::Find(id.to_owned()),
            _ => Self::Nothing,
        };
        (of, photo.map(str::to_owned))
    }

    /// The way back to it.
    fn route(&self) -> Route {
        match self {
            Self::Reel(id) => Route::Reel(id.clone()),
            Self::Find(id) => Route::Find(id.clone()),
            _ => Route::Identify,
        }
    }

    /// Its kind of reel; empty where nobody said.
    async fn kind(self, shared: Shared) -> String {
        let sheet = match self {
            Self::Nothing => return String::new(),
            Self::Table(_) => shared.draft.with_untracked(|draft| draft.sheet.clone()),
            Self::Reel(id) => match keeping::one::<Reel>(id).await {
                Ok(Some(reel)) if !reel.kind.is_empty() => return reel.kind,
                reel => reel.ok().flatten().map(|reel| reel.sheet).unwrap_or_default(),
            },
            Self::Find(id) => keeping::one::<Find>(id).await.ok().flatten().map(|find| find.sheet).unwrap_or_default(),
        };
        match sheet.answer("reel_kind").map(|seen| &seen.value) {
            Some(Value::State(kind)) => kind.clone(),
            _ => String::new(),
        }
    }

    /// Notes what was measured.
    fn note(&self, shared: Shared, seen: Observation) {
        match self.clone() {
            Self::Nothing => {}
            Self::Table(_) => shared.see(seen),
            Self::Reel(id) => keeping::change::<Reel>(shared, id, move |reel| reel.sheet.seen.push(seen)),
            Self::Find(id) => keeping::change::<Find>(shared, id, move |find| find.sheet.seen.push(seen)),
        }
    }
}

#[component]
pub fn Measure(of: String) -> impl IntoView {
    let shared = shared();
    let (of, named) = For::read(&of);
    let of = StoredValue::new(of);
    let url = RwSignal::new(None::<String>);
    let size_px = RwSignal::new(None::<(f64, f64)>);
    let sha = RwSignal::new(named);
    let busy = RwSignal::new(0_usize);
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
    // A photo that is kept already, or was just now.
    let kept = later(move || {
        let sha = sha.get();
        Box::pin(async move {
            match sha {
                Some(sha) => keeping::photo_url(sha).await,
                None => None,
            }
        })
    });
    Effect::new(move |_| {
        if let Some(Some(kept)) = kept.get() {
            taps.set(Vec::new());
            url.set(Some(kept));
        }
    });
    let known = move || if coin.get().is_some() { 6 } else { 4 };
    let take = move |event: web_sys::Event| {
        let files: Vec<_> = keeping::copy::chosen(&event).into_iter().take(1).collect();
        match of.get_value() {
            // What belongs to a record is kept with it, and the size names its photo.
            For::Reel(id) => keeping::add_photos_then::<Reel>(shared, id, files, Stage::Bench, busy, move |kept| {
                let _ = sha.try_set(Some(kept));
            }),
            For::Find(id) => keeping::add_photos_then::<Find>(shared, id, files, Stage::Arrival, busy, move |kept| {
                let _ = sha.try_set(Some(kept));
            }),
            _ => leptos::task::spawn_local(async move {
                for file in files {
                    match photo::take(&file).await {
                        Ok(taken) => {
                            let _ = taps.try_set(Vec::new());
                            let data = photo::base64(&taken.bytes);
                            let _ = url.try_set(Some(format!("data:{};base64,{data}", photo::MEDIA_TYPE)));
                        }
                        Err(why) => shared.warn(why),
                    }
                }
            }),
        }
    };
    let loaded = move |event: web_sys::Event| {
        let image = event.target().and_then(|target| target.dyn_into::<web_sys::HtmlImageElement>().ok());
        size_px.set(image.map(|image| (f64::from(image.natural_width()), f64::from(image.natural_height()))));
    };
    let place = move |event: &web_sys::PointerEvent| -> Option<Point> {
        let image = event.current_target()?.dyn_into::<web_sys::Element>().ok()?;
        let area = image.get_bounding_client_rect();
        let (width, height) = size_px.get_untracked()?;
        let share = |at: f64, from: f64, length: f64| ((at - from) / length.max(1.0)).clamp(0.0, 1.0);
        Some(Point {
            u: share(f64::from(event.client_x()), area.left(), area.width()) * width,
            v: share(f64::from(event.client_y()), area.top(), area.height()) * height,
        })
    };
    let hover = move |event: web_sys::PointerEvent| {
        event.prevent_default();
        if let (Some(point), Some((width, height))) = (place(&event), size_px.get_untracked()) {
            loupe.set(Some((point.u / width, point.v / height)));
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
    let result = Memo::new(move |_| -> Option<Result<Length, String>> {
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
    });
    let dots = move || {
        size_px.get().map(|(width, height)| taps.get().into_iter().enumerate().map(|(n, point)| view! {
            <i class="tap-dot" style:left=format!("{}%", point.u / width * 100.0) style:top=format!("{}%", point.v / height * 100.0)>{n + 1}</i> }).collect_view())
    };
    view! {
        <section class="paper bench">
            <h1>"Size from a photo"</h1>
            <p>"Lay a bank or library card, or a coin, flat beside what is to be measured and at the same height. Photograph both from straight above."</p>
            <label>"What lies beside it"<select on:change=move |event| { coin.set(event_target_value(&event).parse().ok()); taps.set(Vec::new()); }>
                <option value="">"A card, 85.60 × 53.98 mm"</option>
                {move || coins.get().flatten().map(|coins| coins.into_iter().map(|(name, mm)| view! { <option value=mm.to_string()>{format!("{name}, {mm} mm")}</option> }).collect_view())}
            </select></label>
            <label class="add-photo wide-photo"><input type="file" accept="image/*" capture="environment" aria-label="Photo with a card or a coin" on:change=take/>
                <span>{move || match (busy.get(), url.read().is_some()) { (0, false) => "Take the photo", (0, true) => "Take another photo", _ => "Saving the photo…" }}</span></label>
            {move || url.get().map(|url| {
                let large = url.clone();
                view! {
                    <p class="note" role="status">{asks}</p>
                    <div class="measured" on:pointerdown=hover on:pointermove={move |event: web_sys::PointerEvent| if event.buttons() > 0 { hover(event) }} on:pointerup=lift>
                        <img src=url alt="The photo to measure in" draggable="false" on:load=loaded/>{dots}
                        {move || loupe.get().map(|(x, y)| view! { <div class="loupe" class:right=x < 0.5><div style:background-image=format!("url({large})") style:background-position=format!("{}% {}%", x * 100.0, y * 100.0)></div></div> })}
                    </div>
                    <button class="quiet wide" disabled=move || taps.read().is_empty() on:click=move |_| taps.update(|taps| { taps.pop(); })>"Take the last tap back"</button>
                }
            })}
            <div aria-live="polite">{move || result.get().map(|length| match length {
                Err(why) => view! { <p class="trouble">{why}</p> }.into_any(),
                Ok(length) => view! { <p class="range">{format!("{} ± {:.1} mm", both_units(length.mm, Unit::Mm), length.plus_minus_mm)}</p>
                    <p class="how">"In the plane of the card or coin. What lies nearer to the camera reads longer: 10 mm higher at half a metre is 2 % too long."</p>
                    <TakeAs of=of.get_value() length sha=sha.get_untracked()/> }.into_any(),
            })}</div>
        </section>
    }
}

/// Which question the length answers.
#[component]
fn TakeAs(of: For, length: Length, sha: Option<String>) -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    if of == For::Nothing {
        return ().into_any();
    }
    let back = of.route();
    let href = back.href();
    let asked = of.clone();
    let kind = later(move || Box::pin(asked.clone().kind(shared)));
    let of = StoredValue::new(of);
    let note = move |feature: &'static Feature| {
        let tenths = |mm: f64| (mm * 10.0).round() / 10.0;
        let measured = Observation::measure(&feature.id, tenths(length.mm), Unit::Mm, How::Photo);
        let seen =
            Observation { plus_minus: Some(tenths(length.plus_minus_mm).max(0.1)), photo: sha.clone(), ..measured };
        of.with_value(|of| of.note(shared, seen));
        if of.with_value(|of| matches!(of, For::Table(_))) {
            route::go(Route::Identify);
        }
    };
    let buttons = move || {
        let kind = kind.get()?;
        let wanted = of.with_value(|of| match of {
            For::Table(feature) => feature.clone(),
            _ => String::new(),
        });
        let asks = move |feature: &&'static Feature| match wanted.as_str() {
            "" => kind.is_empty() || feature.applies_to(&kind),
            wanted => feature.id == wanted,
        };
        let lengths = reference.questions.features.iter();
        let lengths = lengths.filter(|one| one.kind == FeatureType::Measure && one.unit.as_deref() == Some("mm"));
        Some(lengths.filter(asks).map(|feature| {
            let note = note.clone();
            view! { <button class="choice plain" on:click=move |_| note(feature)>{feature.ask.clone()}</button> }
        }).collect_view())
    };
    view! {
        <h2>"Note it as the answer to"</h2>
        <div class="choices">{buttons}</div>
        <a class="button quiet wide" href=href>{match back { Route::Identify => "Back to naming it", Route::Find(_) => "The find", _ => "The reel" }}</a>
    }
    .into_any()
}
