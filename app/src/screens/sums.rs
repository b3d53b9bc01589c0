//! The sums of the bench: each is data, this one screen shows them all. A result can be kept with a reel.

use std::sync::Arc;

use leptos::prelude::*;
use tailplate_core::bench::{self, Answer, Calculator, Entry, Input, Inputs, Kept, Wants, standing};
use tailplate_core::record::Kind;
use tailplate_core::reference::Reference;
use tailplate_core::shop::{Reel, Row, Stand};
use tailplate_core::tag::grouped;

use crate::keeping::{self, shelf};
use crate::later::later;
use crate::packs;
use crate::route::Route;
use crate::state::shared;
use crate::store;
use crate::widgets::rows::title;

#[component]
pub fn Sums(id: String, reel: String) -> impl IntoView {
    // With the packs comes what was last typed for this reel.
    let (sum, of) = (id.clone(), reel.clone());
    let ready = later(move || {
        let (sum, of) = (sum.clone(), of.clone());
        Box::pin(async move {
            let reference = packs::bench().await?;
            let reel = if of.is_empty() { None } else { keeping::one::<Reel>(of).await? };
            let last =
                reel.as_ref().and_then(|reel| standing(&reel.sums).into_iter().rfind(|kept| kept.calculator == sum));
            Ok::<_, String>((reference, last.map(Kept::inputs).unwrap_or_default()))
        })
    });
    view! {
        <section class="paper bench">
            {move || ready.get().map(|ready| match (ready, bench::calculator(&id)) {
                (Err(trouble), _) => view! { <h1>"Sums"</h1><p class="trouble" role="alert">{trouble}</p> }.into_any(),
                (Ok(_), None) => view! { <h1>"Sums"</h1><ul class="places">{bench::calculators().iter().map(|one| view! {
                    <li><a href=Route::Sums(one.id.into(), reel.clone()).href()><b>{one.title}</b><small>{one.about}</small></a></li>
                }).collect_view()}</ul> }.into_any(),
                (Ok((reference, last)), Some(calculator)) => view! { <OneSum reference calculator last reel=reel.clone()/> }.into_any(),
            })}
        </section>
    }
}

#[component]
fn OneSum(reference: &'static Reference, calculator: &'static Calculator, last: Inputs, reel: String) -> impl IntoView {
    let given = RwSignal::new(last);
    let answer = Memo::new(move |_| {
        let given = given.read();
        // Nothing is said against a form that nobody has touched.
        (!given.is_empty() || calculator.inputs.iter().all(|input| input.optional || !input.default.is_empty()))
            .then(|| bench::run(reference, calculator.id, &given))
    });
    let field = move |input: &'static Input| {
        let set = move |text: String| {
            given.update(|given| match text.trim().is_empty() {
                true => drop(given.remove(input.id)),
                false => drop(given.insert(input.id.to_owned(), Entry::Text(text))),
            });
        };
        let typed = given.with_untracked(|given| match given.get(input.id) {
            Some(Entry::Text(text)) => Some(text.clone()),
            _ => None,
        });
        let help = (!input.help.is_empty()).then(|| view! { <small class="how">{input.help}</small> });
        let label = if input.optional { format!("{} (may be left out)", input.label) } else { input.label.to_owned() };
        match input.wants {
            Wants::Choice { of } => {
                let none = input.default.is_empty();
                let now = typed.unwrap_or_else(|| input.default.to_owned());
                view! { <label>{label}<select on:change=move |event| set(event_target_value(&event))>
                    {none.then(|| view! { <option value="">"choose"</option> })}
                    {of.options(reference).into_iter().map(|(id, name)| { let chosen = id == now; view! { <option value=id selected=chosen>{name}</option> } }).collect_view()}
                </select></label>{help} }.into_any()
            }
            Wants::List { sample } => view! { <label>{label}<textarea rows="3" placeholder=sample on:input=move |event| set(event_target_value(&event))>{typed.unwrap_or_else(|| input.default.to_owned())}</textarea></label>{help} }.into_any(),
            Wants::Number { unit, .. } => view! { <label>{label}<span class="with-unit"><input inputmode="decimal" autocomplete="off" placeholder=input.default value=typed on:input=move |event| set(event_target_value(&event))/><span>{unit}</span></span></label>{help} }.into_any(),
        }
    };
    let result = move || answer.get().and_then(Result::ok);
    let all = Route::Sums(String::new(), reel.clone()).href();
    view! {
        <h1>{calculator.title}</h1>
        <p>{calculator.about}</p>
        {calculator.inputs.iter().map(field).collect_view()}
        <p class="how">"Figures as you would write them: 9.5, 3/8 in, 60 lbf, 4.2 ± 0.1."</p>
        <div aria-live="polite">{move || answer.get().map(|answer| match answer {
            Err(error) => view! { <p class="trouble">{error.to_string()}</p> }.into_any(),
            Ok(answer) => view! { <Answered answer/> }.into_any(),
        })}</div>
        <KeepIt reel given result=Memo::new(move |_| result().is_some()) answer=Callback::new(move |()| untrack(result))/>
        <p><a class="button quiet" href=all>"All sums"</a></p>
    }
}

/// Keeps the result with the reel that the sum is about, or with one that is chosen.
#[component]
fn KeepIt(
    reel: String,
    given: RwSignal<Inputs>,
    #[prop(into)] result: Signal<bool>,
    answer: Callback<(), Option<Answer>>,
) -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let reels = later(|| {
        Box::pin(async {
            shelf::ready().await?;
            let in_shop = |row: &&Arc<Row>| row.kind == Kind::Reel && !row.deleted && !row.done;
            let mut rows: Vec<Arc<Row>> = shelf::with(|rows| rows.iter().filter(in_shop).cloned().collect());
            rows.sort_by_key(|row| (row.word != Stand::OnBench.words(), std::cmp::Reverse(row.changed_ms)));
            Ok::<_, String>(rows)
        })
    });
    let chosen = RwSignal::new(reel);
    let keep = move |_| {
        let (id, answer) = (chosen.get_untracked(), answer.run(()));
        if let (false, Some(answer)) = (id.is_empty(), answer) {
            let kept = Kept::of(&given.read_untracked(), &answer, store::now_ms());
            keeping::change::<Reel>(shared, id, move |reel| reel.sums.push(kept));
        }
    };
    let rows = move || match reels.get() {
        Some(Ok(rows)) => rows,
        _ => Vec::new(),
    };
    move || {
        (result.get() && !rows().is_empty()).then(|| view! {
            <div class="add-line">
                <label>"Reel it is for"<select on:change=move |event| chosen.set(event_target_value(&event))>
                    <option value="" selected=chosen.with_untracked(String::is_empty)>"choose"</option>
                    {rows().into_iter().map(|row| {
                        let (name, here) = (format!("{} {}", grouped(&row.tag), title(world, &row)), chosen.with_untracked(|id| *id == row.id));
                        view! { <option value=row.id.clone() selected=here>{name}</option> }
                    }).collect_view()}</select></label>
                <button class="main wide" disabled=move || chosen.read().is_empty() on:click=keep>"Keep with this reel"</button>
                {move || (!chosen.read().is_empty()).then(|| view! { <a class="button quiet wide" href=Route::Reel(chosen.get()).href()>"The reel"</a> })}
            </div>
        })
    }
}

#[component]
fn Answered(answer: Answer) -> impl IntoView {
    let list = |lines: Vec<String>| lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_view();
    view! {
        {answer.cautions.into_iter().map(|caution| view! { <section class="caution"><h2>"Take care: "{caution.topic}</h2><p>{caution.risk}</p>
            <ul>{list(caution.to_do)}{caution.not_to_do.into_iter().map(|line| view! { <li><b>"Not: "</b>{line}</li> }).collect_view()}</ul>
            {(!caution.defer_to.is_empty()).then(|| view! { <small>"Ask: "{caution.defer_to}</small> })}</section> }).collect_view()}
        <dl class="sums-list">{answer.figures.iter().map(|figure| view! { <dt>{figure.label}</dt><dd>{figure.text()}</dd> }).collect_view()}</dl>
        {answer.warnings.into_iter().map(|words| view! { <p class="note">{words}</p> }).collect_view()}
        {answer.plot_svg.map(|svg| view! { <div class="plot" inner_html=svg></div> })}
        {answer.table.map(|table| view! { <div class="wide-table"><table><thead><tr>{table.heads.into_iter().map(|head| view! { <th>{head}</th> }).collect_view()}</tr></thead>
            <tbody>{table.rows.into_iter().map(|row| view! { <tr>{row.into_iter().map(|cell| view! { <td>{cell}</td> }).collect_view()}</tr> }).collect_view()}</tbody></table></div> })}
        <details><summary>"Formula, assumptions, sources"</summary>
            <ul class="struck">{list(answer.formula)}</ul><ul>{list(answer.symbols)}</ul><ul>{list(answer.assumptions)}</ul><ul class="sources">{list(answer.sources)}</ul></details>
    }
}
