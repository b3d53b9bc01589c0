//! When it was made: the range, a small plot, every reason, and what clashes.

use leptos::prelude::*;
use tailplate_core::dating::{When, YearReason};
use tailplate_core::reference::{Bound, Confidence};

use crate::state::{World, shared};
use crate::words::span;

#[component]
pub fn WhenMade() -> impl IntoView {
    let shared = shared();
    let world = shared.packs();
    view! {
        <section aria-labelledby="when-title">
            <h2 id="when-title">"When it was made"</h2>
            {move || shared.answer.get().map(|answer| view! { <WhenTold world when=(*answer.when).clone()/> })}
        </section>
    }
}

/// `1938 to 1951`, or an honest nothing.
pub fn range_in_words(when: &When) -> String {
    match when.likely {
        Some((from, to)) if !when.reasons.is_empty() => span(Some(from), Some(to)),
        _ => "Years not known yet".into(),
    }
}

#[component]
pub fn WhenTold(world: World, when: When) -> impl IntoView {
    let plot = plot(&when);
    let hard = match (when.not_before, when.not_after) {
        (None, None) => None,
        (from, to) => Some(format!(
            "Certain: {}.",
            match (from, to) {
                (Some(a), Some(b)) => format!("not before {a}, not after {b}"),
                (Some(a), None) => format!("not before {a}"),
                (_, Some(b)) => format!("not after {b}"),
                _ => String::new(),
            }
        )),
    };
    view! {
        <p class="range">{range_in_words(&when)}</p>
        {hard.map(|words| view! { <p>{words}</p> })}
        {plot.map(|svg| view! { <div class="plot" aria-hidden="true" inner_html=svg></div> })}
        {(!when.clashes.is_empty()).then(|| view! { <ul class="clashes">
            {when.clashes.iter().map(|c| view! { <li><b>"These contradict: "</b>{c.a.clone()}" — "{c.b.clone()}". "{c.cause.clone()}</li> }).collect_view()}
        </ul> })}
        <Notes notes=when.notes.clone()/>
        {(!when.reasons.is_empty()).then(|| view! { <details open=when.reasons.len() <= 3><summary>"Reasons"</summary><ul class="year-reasons">
            {when.reasons.iter().map(|reason| view! { <OneReason world reason=reason.clone()/> }).collect_view()}
        </ul></details> })}
    }
}

/// The first few in sight, the rest a tap away.
#[component]
fn Notes(notes: Vec<String>) -> impl IntoView {
    let list = |notes: &[String]| view! { <ul class="notes">{notes.iter().map(|n| view! { <li>{n.clone()}</li> }).collect_view()}</ul> };
    let (first, rest) = notes.split_at(notes.len().min(3));
    view! {
        {(!first.is_empty()).then(|| list(first))}
        {(!rest.is_empty()).then(|| view! { <details><summary>"More to know"</summary>{list(rest)}</details> })}
    }
}

#[component]
fn OneReason(world: World, reason: YearReason) -> impl IntoView {
    let end = |bound: Bound| if bound == Bound::Hard { "" } else { "about " };
    let years = match (reason.from, reason.to) {
        (Some(a), None) => format!("{}{a} or later", end(reason.from_bound)),
        (None, Some(b)) => format!("{}{b} or earlier", end(reason.to_bound)),
        (from, to) => span(from, to),
    };
    let sources: Vec<_> = reason.sources.iter().filter_map(|key| world.reference.sources.get(key)).cloned().collect();
    view! {
        <li>
            <b>{reason.what}</b>" · "<span class="figure">{years}</span>
            {(reason.confidence == Confidence::Low).then(|| view! { <em class="unverified">"unverified"</em> })}
            <p>{reason.words}</p>
            {(!sources.is_empty()).then(|| view! { <details class="sources"><summary>{crate::words::count(sources.len(), "source", "sources")}</summary><ul>
                {sources.into_iter().map(|s| view! { <li>{s.title}</li> }).collect_view()}
            </ul></details> })}
        </li>
    }
}

/// Chance by year, with the spans of the reasons under it: a closed end is certain, an open one custom.
fn plot(when: &When) -> Option<String> {
    let (from, to) = when.likely?;
    let (first, last) = (from - 12, to + 12);
    let shown: Vec<(i32, f32)> = when.by_year.iter().copied().filter(|(y, _)| (first..=last).contains(y)).collect();
    let most = shown.iter().map(|(_, p)| *p).fold(0.0_f32, f32::max);
    if most <= 0.0 || when.reasons.is_empty() {
        return None;
    }
    let (width, height, row) = (360.0, 90.0, 12.0);
    let x = |year: f64| (year - f64::from(first)) / f64::from(last - first + 1) * width;
    let rows = when.reasons.len().min(6);
    let mut svg = format!("<svg viewBox=\"0 0 {width} {}\">", height + 20.0 + row * rows as f64);
    svg.push_str("<g class=\"years\">");
    for (year, p) in &shown {
        let bar = f64::from(p / most) * (height - 6.0);
        let inside = if (from..=to).contains(year) { "in" } else { "out" };
        svg.push_str(&format!(
            "<rect class=\"{inside}\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{bar:.1}\"/>",
            x(f64::from(*year)),
            height - bar,
            (x(1.0) - x(0.0) - 0.4).max(0.5)
        ));
    }
    let step = [1, 2, 5, 10, 20, 50].into_iter().find(|s| (last - first) / s <= 7).unwrap_or(100);
    for year in (first..=last).filter(|y| y % step == 0) {
        svg.push_str(&format!("<text x=\"{:.1}\" y=\"{}\">{year}</text>", x(f64::from(year) + 0.5), height + 14.0));
    }
    svg.push_str("</g><g class=\"spans\">");
    for (at, reason) in when.reasons.iter().take(rows).enumerate() {
        let y = height + 26.0 + row * at as f64;
        let a = reason.from.map_or(0.0, |f| x(f64::from(f.max(first))));
        let b = reason.to.map_or(width, |t| x(f64::from(t.min(last) + 1)));
        svg.push_str(&format!("<path d=\"M{a:.1} {y}H{b:.1}\"/>"));
        for (end, at, bound) in [(reason.from, a, reason.from_bound), (reason.to, b, reason.to_bound)] {
            if end.is_some_and(|e| (first..=last).contains(&e)) {
                let class = if bound == Bound::Hard { "closed" } else { "open" };
                svg.push_str(&format!("<circle class=\"{class}\" cx=\"{at:.1}\" cy=\"{y}\" r=\"3.5\"/>"));
            }
        }
    }
    svg.push_str("</g></svg>");
    Some(svg)
}
