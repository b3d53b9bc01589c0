//! What it would cost: lines the customer takes or leaves, one by one.

use leptos::prelude::*;
use tailplate_core::paper::reel_name;
use tailplate_core::shop::{Answer, Line, LineSort, Price, money};
use tailplate_core::tag::grouped;

use crate::keeping::{self, counter};
use crate::later::later;
use crate::route::{Route, go};
use crate::state::shared;
use crate::widgets::visit::{Visit, VisitScreen, visit};

#[component]
pub fn QuoteScreen(id: String) -> impl IntoView {
    let visit = visit(id);
    view! {
        <VisitScreen visit title="Quote">
            <h1>"Quote"</h1>
            <Lines visit/>
            <AddLine visit/>
            <SumsOf visit/>
            <div class="actions">
                <a class="button quiet" href=Route::Job(visit.id()).href()>"Job"</a>
                <button class="main" on:click=move |_| go(Route::Paper("quote".into(), visit.id()))>"Print the quote"</button>
            </div>
        </VisitScreen>
    }
}

#[component]
fn Lines(visit: Visit) -> impl IntoView {
    let reference = shared().packs().reference;
    let lines = visit.part(|o| o.job.lines.clone());
    let reels = visit.reels();
    let of = move |line: &Line| {
        let reels = reels.read();
        let reel = reels.iter().find(|reel| line.reel.as_deref() == Some(reel.id.as_str()));
        reel.map(|reel| format!("{} {}", grouped(&reel.tag), reel_name(reference, reel))).unwrap_or_default()
    };
    let one = move |line: Line| {
        let (id, at) = (line.id.clone(), line.answer);
        let answer = move |answer: Answer| {
            let id = id.clone();
            visit.change(move |job| {
                if let Some(line) = job.lines.iter_mut().find(|line| line.id == id) {
                    line.answer = if line.answer == answer { Answer::Open } else { answer };
                }
            });
        };
        let (yes, no) = (answer.clone(), answer);
        let gone = line.id.clone();
        view! { <li class="quote-line">
            <div><b>{if line.what.is_empty() { line.sort.words().to_owned() } else { line.what.clone() }}</b><small>{line.sort.words()}" · "{of(&line)}</small></div>
            <b class="money">{line.price.to_string()}</b>
            <div class="segments">
                <button aria-pressed=(at == Answer::Accepted).to_string() on:click=move |_| yes(Answer::Accepted)>"Takes it"</button>
                <button aria-pressed=(at == Answer::Declined).to_string() on:click=move |_| no(Answer::Declined)>"Leaves it"</button>
                <button aria-label="Strike this line" on:click=move |_| { let gone = gone.clone(); visit.change(move |job| job.lines.retain(|line| line.id != gone)); }>"×"</button>
            </div>
        </li> }
    };
    view! {
        {move || lines.read().is_empty().then(|| view! { <p>"No lines yet. Offer work and parts as separate lines: the customer can take one and leave another."</p> })}
        <ul class="plain-list">{move || lines.get().into_iter().map(one).collect_view()}</ul>
    }
}

#[component]
fn AddLine(visit: Visit) -> impl IntoView {
    let shared = shared();
    let reference = shared.packs().reference;
    let reels = visit.reels();
    let (what, price, trouble) =
        (RwSignal::new(String::new()), RwSignal::new(String::new()), RwSignal::new(String::new()));
    let sort = RwSignal::new(LineSort::Labour);
    let reel = RwSignal::new(None::<String>);
    let add = move |_| match Price::parse(&price.get_untracked(), &shared.prefs.read_untracked().currency) {
        Err(error) => trouble.set(error.to_string()),
        Ok(asked) => {
            trouble.set(String::new());
            let of = reel
                .get_untracked()
                .or_else(|| reels.with_untracked(|reels| reels.first().map(|reel| reel.id.clone())));
            let Ok(id) = keeping::new_id() else { return };
            let line = Line {
                id,
                reel: of,
                what: what.get_untracked().trim().to_owned(),
                sort: sort.get_untracked(),
                price: asked,
                answer: Answer::Open,
            };
            visit.change(move |job| job.lines.push(line));
            what.set(String::new());
            price.set(String::new());
        }
    };
    view! {
        <fieldset class="add-line"><legend>"Add a line"</legend>
            <div class="choices">{move || reels.get().into_iter().enumerate().map(|(n, one)| {
                let id = one.id.clone();
                let chosen = { let id = id.clone(); move || reel.read().as_ref().map_or(n == 0, |now| *now == id) };
                view! { <button class="choice plain" aria-pressed=move || chosen().to_string() on:click=move |_| reel.set(Some(id.clone()))>{grouped(&one.tag)}<small>{reel_name(reference, &one)}</small></button> }
            }).collect_view()}</div>
            <div class="segments">{LineSort::ALL.into_iter().map(|one| view! { <button aria-pressed=move || (sort.get() == one).to_string() on:click=move |_| sort.set(one)>{one.words()}</button> }).collect_view()}</div>
            <label>"What"<input autocomplete="off" prop:value=what on:input=move |event| what.set(event_target_value(&event))/></label>
            <label>"Price"<span class="with-unit"><input inputmode="decimal" autocomplete="off" prop:value=price on:input=move |event| price.set(event_target_value(&event))/><span>{move || shared.prefs.read().currency.clone()}</span></span></label>
            <p class="trouble" role="alert">{trouble}</p>
            <button class="wide" on:click=add>"Add the line"</button>
        </fieldset>
    }
}

/// What it comes to, and a word where it is above what was agreed or what the reel is worth.
#[component]
pub fn SumsOf(visit: Visit) -> impl IntoView {
    let shared = shared();
    let house = later(move || {
        shared.changed.track();
        Box::pin(counter::house())
    });
    let sums = move || {
        let opened = visit.opened.get()?;
        let tax = house.get().and_then(|house| house.tax);
        Some((money::sums(&opened.job, tax.as_ref()), tax, opened))
    };
    move || {
        sums().map(|(sums, tax, opened)| match sums {
            Err(error) => view! { <p class="trouble" role="alert">{error.to_string()}</p> }.into_any(),
            Ok(sums) => {
                let price = |hundredths: i64| if sums.currency.is_empty() { "0".to_owned() } else { Price::of_hundredths(hundredths, &sums.currency).to_string() };
                let warnings = money::warnings(&opened.job, &opened.reels, &sums);
                view! {
                    <dl class="sums-list">
                        <dt>"Taken so far"</dt><dd>{price(sums.lines_hundredths)}</dd>
                        <dt>"Not answered yet"</dt><dd>{price(sums.open_hundredths)}</dd>
                        {tax.map(|tax| view! { <dt>{tax.label}</dt><dd>{price(sums.tax_hundredths)}</dd> })}
                        <dt>"Total"</dt><dd>{price(sums.total_hundredths)}</dd>
                        <dt>"Paid"</dt><dd>{price(sums.paid_hundredths)}</dd>
                        <dt>{if sums.due_hundredths < 0 { "To give back" } else { "To pay" }}</dt><dd>{price(sums.due_hundredths.abs())}</dd>
                    </dl>
                    {warnings.into_iter().map(|words| view! { <p class="note">{words}</p> }).collect_view()}
                }.into_any()
            }
        })
    }
}
