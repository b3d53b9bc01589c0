//! The sums of the bench: each is data, this one screen shows them all.

use leptos::prelude::*;
use tailplate_core::bench::{self, Answer, Calculator, Entry, Input, Inputs, Wants};
use tailplate_core::reference::Reference;

use crate::later::later;
use crate::packs;
use crate::route::Route;

#[component]
pub fn Sums(id: String) -> impl IntoView {
    let reference = later(|| Box::pin(packs::bench()));
    view! {
        <section class="paper">
            {move || reference.get().map(|reference| match (reference, bench::calculator(&id)) {
                (Err(trouble), _) => view! { <h1>"Sums"</h1><p class="trouble" role="alert">{trouble}</p> }.into_any(),
                (Ok(_), None) => view! { <h1>"Sums"</h1><ul class="places">{bench::calculators().iter().map(|one| view! {
                    <li><a href=Route::Sums(one.id.into()).href()><b>{one.title}</b><small>{one.about}</small></a></li>
                }).collect_view()}</ul> }.into_any(),
                (Ok(reference), Some(calculator)) => view! { <OneSum reference calculator/> }.into_any(),
            })}
        </section>
    }
}

#[component]
fn OneSum(reference: &'static Reference, calculator: &'static Calculator) -> impl IntoView {
    let given = RwSignal::new(Inputs::new());
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
        let help = (!input.help.is_empty()).then(|| view! { <small class="how">{input.help}</small> });
        let label = if input.optional { format!("{} (may be left out)", input.label) } else { input.label.to_owned() };
        match input.wants {
            Wants::Choice { of } => {
                let none = input.default.is_empty();
                view! { <label>{label}<select on:change=move |event| set(event_target_value(&event))>
                    {none.then(|| view! { <option value="">"choose"</option> })}
                    {of.options(reference).into_iter().map(|(id, name)| { let chosen = id == input.default; view! { <option value=id selected=chosen>{name}</option> } }).collect_view()}
                </select></label>{help} }.into_any()
            }
            Wants::List { sample } => view! { <label>{label}<textarea rows="3" placeholder=sample on:input=move |event| set(event_target_value(&event))>{input.default}</textarea></label>{help} }.into_any(),
            Wants::Number { unit, .. } => view! { <label>{label}<span class="with-unit"><input inputmode="decimal" autocomplete="off" placeholder=input.default on:input=move |event| set(event_target_value(&event))/><span>{unit}</span></span></label>{help} }.into_any(),
        }
    };
    view! {
        <h1>{calculator.title}</h1>
        <p>{calculator.about}</p>
        {calculator.inputs.iter().map(field).collect_view()}
        <p class="how">"Figures as you would write them: 9.5, 3/8 in, 60 lbf, 4.2 ± 0.1."</p>
        <div aria-live="polite">{move || answer.get().map(|answer| match answer {
            Err(error) => view! { <p class="trouble">{error.to_string()}</p> }.into_any(),
            Ok(answer) => view! { <Answered answer/> }.into_any(),
        })}</div>
        <p><a class="button quiet" href=Route::Sums(String::new()).href()>"All sums"</a></p>
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
