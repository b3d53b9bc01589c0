//! Everything in one file, and back.

use leptos::prelude::*;

use crate::keeping::copy::{self, Progress};
use crate::keeping::inventory;
use crate::state::shared;

#[component]
pub fn CopyScreen() -> impl IntoView {
    let shared = shared();
    let progress = Progress::new();
    let busy = move || progress.at.read().is_some();
    view! {
        <section class="paper">
            <h1>"Saved copy"</h1>
            <p>"One file with all records and photos, and the same as plain JSON and CSV that open without Tailplate. Keep it in a second place: another computer, a card, a drawer at a friend’s."</p>
            <button class="main wide" disabled=busy on:click=move |_| copy::make(shared, progress)>"Make a copy"</button>
            <h2>"A list for the family or an insurer"</h2>
            <p>"What is here, where it lies and what it would bring, with photos, on one page that opens anywhere and prints. Customers’ reels stand apart, each with whom it goes back to: keep the page as you would their addresses."</p>
            <button class="wide" disabled=busy on:click=move |_| inventory::hand_over(shared)>"Make the list"</button>
            <h2>"Read a copy back"</h2>
            <p>"What is in it is joined with what is here; nothing here is lost, and reading it twice changes nothing. A damaged file is refused whole."</p>
            <label class="add-photo wide-photo"><input type="file" accept=".zip,application/zip" aria-label="Choose a saved copy" disabled=busy on:change=move |event| {
                for file in copy::chosen(&event).into_iter().take(1) {
                    copy::read(shared, file, progress);
                }
            }/><span>"Choose the file"</span></label>
            {move || progress.at.get().map(|(what, n, of)| view! {
                <div class="progress" role="status"><p>{format!("{what}: {n} of {of}")}</p><progress max=of.max(1).to_string() value=n.to_string()></progress>
                    <button on:click=move |_| progress.stop.set(true)>"Stop"</button></div>
            })}
        </section>
    }
}
