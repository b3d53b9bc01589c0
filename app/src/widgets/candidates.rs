//! Which reel it may be, best first, each with what speaks for and against it.

use leptos::prelude::*;
use tailplate_core::key::{Candidate, Reason, Verdict};

use crate::route::Route;
use crate::state::{Answer, World, shared};
use crate::words::{likelihood, percent, years};

/// What may honestly be said, in one line.
pub fn verdict_in_words(world: World, answer: &Answer) -> (String, String) {
    let best = answer.which.candidates.first();
    let name = |model: &str| world.reference.model(model).map_or(model.to_owned(), |m| m.name.clone());
    match &answer.which.verdict {
        Verdict::Settled { model } => {
            let maker = world.reference.model(model).map_or("", |m| short(world.reference.maker_name(&m.maker)));
            (name(model), format!("{maker} · {}", best.map_or("", |b| likelihood(b.p))))
        }
        Verdict::Maker { maker } => {
            (short(world.reference.maker_name(maker)).to_owned(), "the maker; the model is not settled".into())
        }
        Verdict::NotInKey => ("Not in this key".into(), "none of the known models fits well".into()),
        Verdict::Undecided => match best {
            Some(best) if best.p >= 0.2 => {
                (format!("{}?", name(&best.model)), format!("{} · not settled", percent(best.p)))
            }
            _ => ("Not known yet".into(), "answer a check or read a mark".into()),
        },
    }
}

/// A firm's name without what stands in brackets behind it.
fn short(name: &str) -> &str {
    name.split(" (").next().unwrap_or(name)
}

#[component]
pub fn Candidates() -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let list = move || {
        let answer = shared.answer.get()?;
        let shown = answer.which.credible.clamp(1, 6).max(3);
        let rows: Vec<Candidate> =
            answer.which.candidates.iter().filter(|c| c.p >= 0.005).take(shown).cloned().collect();
        let compare: Vec<String> = rows.iter().take(3).map(|c| c.model.clone()).collect();
        let unknown = answer.which.not_in_key;
        let more = answer.which.credible.saturating_sub(rows.len());
        Some(view! {
            <ol class="candidates">
                {rows.into_iter().map(|candidate| view! { <li><OneCandidate world candidate/></li> }).collect_view()}
                <li class="unknown"><div class="row"><span class="name">"Not in this key"</span><Share p=unknown/></div></li>
            </ol>
            {(more > 0).then(|| view! { <p class="more">{format!("{more} more belong to the smallest set that holds 95 %.")}</p> })}
            {(compare.len() > 1).then(|| view! { <a class="button wide" href=Route::Compare(compare).href()>"Side by side"</a> })}
        })
    };
    view! {
        <section aria-labelledby="which-title">
            <h2 id="which-title">"What it may be"</h2>
            {list}
        </section>
    }
}

#[component]
pub fn Share(p: f64) -> impl IntoView {
    // A drawing, since the page's policy forbids inline styles.
    let bar =
        format!("<svg viewBox=\"0 0 64 12\"><rect width=\"{:.1}\" height=\"12\"/></svg>", p.clamp(0.0, 1.0) * 64.0);
    view! { <span class="share"><span class="bar" aria-hidden="true" inner_html=bar></span><span class="figure">{percent(p)}</span></span> }
}

#[component]
fn OneCandidate(world: World, candidate: Candidate) -> impl IntoView {
    let model = world.reference.model(&candidate.model);
    let name = model.map_or(candidate.model.clone(), |m| m.name.clone());
    let maker = model.map(|m| {
        let maker = world.reference.maker_name(&m.maker);
        match &m.brand {
            Some(brand) => format!("made by {maker}, sold as {brand}"),
            None => maker.to_owned(),
        }
    });
    let best_variant = candidate
        .variants
        .first()
        .and_then(|(id, _)| model?.variant(id))
        .map(|v| format!("{}, {}", v.name, years(&v.years)));
    view! {
        <details>
            <summary class="row"><span class="name">{name}<small>{maker}</small></span><Share p=candidate.p/></summary>
            {best_variant.map(|words| view! { <p class="variant">"Most likely form: "{words}</p> })}
            <Reasons title="Speaks for it" reasons=candidate.agrees class="for"/>
            <Reasons title="Speaks against it" reasons=candidate.disagrees class="against"/>
            <a class="button" href=Route::Model(candidate.model).href()>"Its card"</a>
        </details>
    }
}

#[component]
fn Reasons(title: &'static str, reasons: Vec<Reason>, class: &'static str) -> impl IntoView {
    (!reasons.is_empty()).then(|| view! {
        <h3>{title}</h3>
        <ul class=format!("reasons {class}")>{reasons.into_iter().map(|r| view! { <li>{r.words}</li> }).collect_view()}</ul>
    })
}
