//! Look-alikes side by side at one scale, with the differences that decide, cheapest first.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::key;
use tailplate_core::observe::About;

use crate::drawn::Picture;
use crate::state::shared;
use crate::widgets::ask::AskDialog;

#[component]
pub fn Compare(ids: Vec<String>) -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let names: Vec<&str> = ids.iter().map(String::as_str).collect();
    let name_of = |id: &str| world.reference.model(id).map_or(id.to_owned(), |m| m.name.clone());
    match key::separate(world.key, world.reference, &names) {
        Err(error) => {
            view! { <section class="paper"><h1>"Side by side"</h1><p class="trouble">{error.to_string()}</p></section> }
                .into_any()
        }
        Ok(apart) => {
            let differing: Vec<String> = apart.differences.iter().map(|d| d.about.id().to_owned()).take(8).collect();
            let typical: Vec<_> = names
                .iter()
                .take(2)
                .filter_map(|id| world.reference.model(id))
                .map(|m| m.typical(world.reference))
                .collect();
            let picture =
                (typical.len() == 2).then(|| drawing::pair(world.reference, &typical[0], &typical[1], &differing));
            view! {
                <section class="paper">
                    <h1>"Side by side"</h1>
                    {picture.map(|svg| view! { <Picture svg class="pair"/><p class="pair-names"><b>{name_of(names[0])}</b><b>{name_of(names[1])}</b></p> })}
                    {apart.must_open.then(|| view! { <p class="trouble">"Nothing outside decides: it has to be opened."</p> })}
                    {(!apart.inseparable.is_empty()).then(|| view! { <p>{format!("The packs hold nothing that parts {}.", apart.inseparable.iter().map(|(a, b)| format!("{} from {}", name_of(a), name_of(b))).collect::<Vec<_>>().join("; "))}</p> })}
                    <ol class="differences">
                        {apart.differences.into_iter().take(12).map(|d| {
                            let about = d.about.clone();
                            let answer = matches!(about, About::Feature(_)) && shared.kind().is_some();
                            view! { <li><h2>{d.ask}<small class="effort">{d.effort.words()}</small></h2>
                                <dl>{d.per_model.into_iter().map(|(model, words)| view! { <dt>{name_of(&model)}</dt><dd>{words}</dd> }).collect_view()}</dl>
                                {answer.then(|| view! { <button class="quiet" on:click=move |_| shared.asking.set(Some(about.clone()))>"Answer it"</button> })}
                            </li> }
                        }).collect_view()}
                    </ol>
                </section>
                <AskDialog/>
            }.into_any()
        }
    }
}
