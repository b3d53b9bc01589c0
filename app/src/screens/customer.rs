//! A customer: how to reach them, and every visit and reel of theirs.

use std::collections::BTreeSet;

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::shop::Customer;

use crate::keeping::{self, counter, shelf};
use crate::state::shared;
use crate::widgets::live::{Field, Live, Opened, live};
use crate::widgets::rows::Rows;

#[component]
pub fn CustomerScreen(id: String) -> impl IntoView {
    let customer: Live<Customer> = live(id);
    let name = customer.part(|customer| customer.name.clone());
    let now = Signal::derive(move || customer.record.get());
    view! {
        <Opened live=customer title="Customer">
            <h1>{move || if name.read().is_empty() { "A customer without a name".to_owned() } else { name.get() }}</h1>
            <details><summary>"How to reach them"</summary><Reach customer=now/></details>
            <h2>"Their jobs and reels"</h2>
            <Theirs id=customer.id()/>
            <div class="actions">
                <button class="main" on:click=move |_| counter::begin_job(shared(), Some(customer.id()))>"New job"</button>
            </div>
        </Opened>
    }
}

/// How to reach a customer.
#[component]
pub fn Reach(#[prop(into)] customer: Signal<Option<Customer>>) -> impl IntoView {
    let field = move |label: &'static str,
                      kind: &'static str,
                      rows: u32,
                      of: fn(&Customer) -> String,
                      set: fn(&mut Customer, String)| {
        let value = Memo::new(move |_| customer.read().as_ref().map(of).unwrap_or_default());
        let keep = move |words: String| {
            if let Some(now) = customer.get_untracked() {
                keeping::change::<Customer>(shared(), now.id, move |customer| set(customer, words));
            }
        };
        view! { <Field label kind rows value set=keep/> }
    };
    view! {
        {field("Name", "text", 1, |c| c.name.clone(), |c, v| c.name = v)}
        {field("Phone", "tel", 1, |c| c.phone.clone(), |c, v| c.phone = v)}
        {field("E-mail", "email", 1, |c| c.email.clone(), |c, v| c.email = v.trim().to_owned())}
        {field("Address", "text", 3, |c| c.address.clone(), |c, v| c.address = v)}
        {field("Private note, never printed", "text", 2, |c| c.private_note.clone(), |c, v| c.private_note = v)}
    }
}

/// Jobs first, then the reels of all of them; newest change first.
#[component]
fn Theirs(id: String) -> impl IntoView {
    let places = RwSignal::new(Vec::<u32>::new());
    Effect::new(move |_| {
        shelf::turn();
        places.set(shelf::with(|rows| {
            let there = |kind: Kind| (0_u32..).zip(rows).filter(move |(_, row)| row.kind == kind && !row.deleted);
            let jobs: Vec<_> = there(Kind::Job).filter(|(_, row)| row.of == id).collect();
            let ids: BTreeSet<&str> = jobs.iter().map(|(_, row)| row.id.as_str()).collect();
            let reels = there(Kind::Reel).filter(|(_, row)| ids.contains(row.of.as_str()));
            jobs.iter().map(|(at, _)| *at).chain(reels.map(|(at, _)| at)).collect()
        }));
    });
    view! { <Rows places/> }
}
