//! What can be looked into below the checks: the reel as described, and every question.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::observe::About;
use tailplate_core::reference::EffortId;

use crate::drawn::Picture;
use crate::state::shared;

#[component]
pub fn More(kind: String) -> impl IntoView {
    view! { <AsDescribed/><AllQuestions kind/> }
}

/// The reel drawn from the answers alone, so that a slip is seen.
#[component]
fn AsDescribed() -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let open = RwSignal::new(false);
    view! {
        <details on:toggle=move |event| open.set(event_target::<web_sys::Element>(&event).has_attribute("open"))>
            <summary>"The reel as you describe it"</summary>
            {move || open.get().then(|| shared.draft.with(|d| {
                let seen: Vec<_> = d.sheet.current().into_iter().cloned().collect();
                view! { <div class="described"><Picture svg=drawing::face(reference, &seen)/><Picture svg=drawing::side(reference, &seen)/></div>
                    <p class="how">"Dashed: not answered yet. If it does not look like the reel in your hand, an answer slipped."</p> }
            }))}
        </details>
    }
}

/// Every question of the kind, cheapest first.
#[component]
fn AllQuestions(kind: String) -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let open = RwSignal::new(false);
    let groups = move || {
        let kind = kind.clone();
        [EffortId::Glance, EffortId::Handle, EffortId::Measure, EffortId::Open, EffortId::Strip].into_iter().filter_map(move |effort| {
            let rows: Vec<_> = reference.questions.features.iter().filter(|f| f.effort == effort && f.id != "reel_kind" && f.applies_to(&kind)).map(|feature| {
                let answered = shared.draft.with(|d| d.sheet.answer(&feature.id).is_some());
                view! { <li><button class="question" class:answered=answered on:click=move |_| shared.asking.set(Some(About::feature(feature.id.as_str())))>{feature.ask.clone()}</button></li> }
            }).collect();
            (!rows.is_empty()).then(|| view! { <h3>{effort.words()}</h3><ul class="questions">{rows}</ul> })
        }).collect_view()
    };
    view! {
        <details on:toggle=move |event| open.set(event_target::<web_sys::Element>(&event).has_attribute("open"))>
            <summary>"All questions"</summary>
            {move || open.get().then(&groups)}
        </details>
    }
}
