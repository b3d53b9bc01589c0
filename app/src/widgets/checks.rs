//! The next checks, each answered where it stands.

use leptos::prelude::*;
use tailplate_core::key::Check;
use tailplate_core::observe::{About, Certainty};

use super::answer::Answers;
use crate::state::shared;

#[component]
pub fn NextChecks() -> impl IntoView {
    let shared = shared();
    let checks = Memo::new(move |_| {
        shared
            .answer
            .get()
            .map(|a| a.which.next_checks.iter().take(3).cloned().map(Same).collect::<Vec<_>>())
            .unwrap_or_default()
    });
    view! {
        <section class="checks" aria-labelledby="checks-title">
            <h2 id="checks-title">"Check next"</h2>
            {move || if checks.read().is_empty() {
                view! { <p>"No question left would tell more. Keep the find, or note anything else below."</p> }.into_any()
            } else {
                checks.get().into_iter().map(|Same(check)| view! { <OneCheck check/> }).collect_view().into_any()
            }}
        </section>
    }
}

/// Cards stay as they are while the question is the same.
#[derive(Clone)]
struct Same(Check);

impl PartialEq for Same {
    fn eq(&self, other: &Self) -> bool {
        self.0.about == other.0.about && self.0.why == other.0.why
    }
}

#[component]
fn OneCheck(check: Check) -> impl IntoView {
    let shared = shared();
    let about = check.about.clone();
    let answers = match &check.about {
        About::Feature(id) => shared.packs().reference.feature(id).map(|feature| {
            view! { <Answers feature certainty=Certainty::Sure done=|()| ()/> }.into_any()
        }),
        About::Mark(_) => Some(view! { <button class="main wide" on:click=move |_| shared.asking.set(Some(about.clone()))>"Read it"</button> }.into_any()),
    };
    view! {
        <article class="check">
            <header><h3>{check.ask}</h3><small class="effort">{check.effort.words()}</small></header>
            <p class="why">{check.why}</p>
            {answers}
        </article>
    }
}
