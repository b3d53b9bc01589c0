//! The bench: what lies on it, and the tools.

use std::sync::Arc;

use leptos::prelude::*;
use tailplate_core::record::Kind;
use tailplate_core::shop::{Row, Stand};

use crate::keeping::shelf;
use crate::later::later;
use crate::route::Route;
use crate::state::shared;
use crate::widgets::bench::BenchWays;
use crate::widgets::line::OneLine;
use crate::widgets::rows::line;

#[component]
pub fn Bench() -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    let reels = later(move || {
        shared.changed.track();
        Box::pin(async {
            shelf::ready().await?;
            let on_bench =
                |row: &&Arc<Row>| row.kind == Kind::Reel && !row.deleted && row.word == Stand::OnBench.words();
            Ok::<Vec<Arc<Row>>, String>(shelf::with(|rows| rows.iter().filter(on_bench).cloned().collect()))
        })
    });
    let list = move || {
        reels.get().map(|reels| match reels {
            Err(trouble) => view! { <p class="trouble" role="alert">{trouble}</p> }.into_any(),
            Ok(reels) if reels.is_empty() => view! {
                <p class="empty">"No reel is on the bench. Open a reel from its job and send it there, or use the tools without one."</p>
            }.into_any(),
            Ok(reels) => view! { <ul class="plain-list">{reels.into_iter().map(|row| {
                let id = row.id.clone();
                view! { <li class="on-bench"><OneLine line=line(world, &row)/><BenchWays id/></li> }
            }).collect_view()}</ul> }.into_any(),
        })
    };
    view! {
        <section class="paper bench">
            <h1>"Bench"</h1>
            <h2>"On the bench now"</h2>
            {list}
            <h2>"Without a reel"</h2>
            <ul class="places"><li><a href=Route::Faults("-".into()).href()><b>"What is wrong with it?"</b><small>"From words and checks to the likely cause"</small></a></li></ul>
        </section>
    }
}
