//! The shop itself: its name and words as they stand on paper, its prices, its tax line.

use leptos::prelude::*;
use tailplate_core::shop::money::Tax;
use tailplate_core::shop::{House, Price};

use super::job::{Money, amount};
use crate::keeping::{self, counter, demo, shelf};
use crate::later::later;
use crate::state::shared;
use crate::widgets::live::Field;

#[component]
pub fn Shop() -> impl IntoView {
    let shared = shared();
    let house = RwSignal::new(None::<House>);
    let read = later(move || {
        shared.changed.track();
        Box::pin(async {
            let _ = shelf::ready().await;
            counter::house().await
        })
    });
    Effect::new(move |_| {
        if let Some(found) = read.get()
            && house.with_untracked(|old| old.as_ref() != Some(&found))
        {
            house.set(Some(found));
        }
    });
    let part = move |of: fn(&House) -> String| Memo::new(move |_| house.read().as_ref().map(of).unwrap_or_default());
    let change = move |set: fn(&mut House, String)| {
        move |words: String| counter::change_house(shared, move |house| set(house, words))
    };
    let price = move |set: fn(&mut House, Option<Price>)| {
        move |price: Option<Price>| counter::change_house(shared, move |house| set(house, price))
    };
    let tax = move |change: fn(&mut Tax, &str) -> bool| {
        move |words: String| {
            let mut taken = house.get_untracked().and_then(|house| house.tax).unwrap_or_default();
            if !change(&mut taken, &words) {
                return shared.warn(format!("“{words}” is no rate. Write it in percent, such as 19 or 5.5."));
            }
            let none = taken.label.is_empty() && taken.percent_hundredths == 0;
            counter::change_house(shared, move |house| house.tax = (!none).then_some(taken));
        }
    };
    let included =
        Memo::new(move |_| house.read().as_ref().and_then(|house| house.tax.as_ref()).is_some_and(|tax| tax.included));
    view! {
        <section class="paper">
            <h1>"The shop"</h1>
            <Field label="Name" value=part(|h| h.name.clone()) set=change(|h, v| h.name = v)/>
            <Field label="Address and how to reach it" rows=3 value=part(|h| h.address.clone()) set=change(|h, v| h.address = v)/>
            <Field label="Currency, three letters" value=Memo::new(move |_| shared.prefs.read().currency.clone()) set=move |words: String| {
                let words = words.trim().to_uppercase();
                match Price::parse("1", &words) {
                    Err(error) => shared.warn(error.to_string()),
                    Ok(_) => {
                        keeping::remember_currency(shared, &words);
                        counter::change_house(shared, move |house| house.currency = words);
                    }
                }
            }/>
            <Money label="Opening fee" value=part(|h| amount(&h.opening_fee)) set=price(|h, p| h.opening_fee = p)/>
            <Money label="An hour of work" value=part(|h| amount(&h.hourly_rate)) set=price(|h, p| h.hourly_rate = p)/>
            <h2>"Tax line"</h2>
            <p class="how">"Whether a tax is due, and which, is a matter of local law: ask whoever does your books."</p>
            <Field label="What it is called" value=part(|h| h.tax.as_ref().map(|t| t.label.clone()).unwrap_or_default()) set=tax(|tax, words| { words.trim().clone_into(&mut tax.label); true })/>
            <Field label="Rate in percent" value=part(|h| h.tax.as_ref().map(|t| format!("{}", f64::from(t.percent_hundredths) / 100.0)).unwrap_or_default()) set=tax(|tax, words| {
                let typed = words.trim().trim_end_matches('%').trim().replace(',', ".");
                match typed.parse::<f64>() {
                    _ if typed.is_empty() => { tax.percent_hundredths = 0; true }
                    Ok(rate) if (0.0..=100.0).contains(&rate) => { tax.percent_hundredths = (rate * 100.0).round() as u32; true }
                    _ => false,
                }
            })/>
            <div class="segments">{[(false, "Added to the prices"), (true, "Contained in them")].into_iter().map(|(one, words)| view! {
                <button aria-pressed=move || (included.get() == one).to_string() on:click=move |_| counter::change_house(shared, move |house| house.tax.get_or_insert_default().included = one)>{words}</button>
            }).collect_view()}</div>
            <h2>"Words on paper"</h2>
            <Field label="Under a receipt" rows=3 value=part(|h| h.receipt_words.clone()) set=change(|h, v| h.receipt_words = v)/>
            <Field label="Under a quote" rows=2 value=part(|h| h.quote_words.clone()) set=change(|h, v| h.quote_words = v)/>
            <Field label="Under a bill and a report" rows=2 value=part(|h| h.bill_words.clone()) set=change(|h, v| h.bill_words = v)/>
            <h2>"Demo shop"</h2>
            <p class="how">"An invented town with twelve customers and thirty reels, to look around in. Nobody in it is real."</p>
            {move || { shared.changed.track(); house.track(); if demo::is_here() {
                view! { <button class="quiet wide" on:click=move |_| demo::clear(shared)>"Clear the demo shop away"</button> }.into_any()
            } else {
                view! { <button class="quiet wide" on:click=move |_| demo::set_up(shared)>"Set the demo shop up"</button> }.into_any()
            } }}
        </section>
    }
}
