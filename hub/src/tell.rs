//! Answers in plain sentences for a terminal. Nothing is put more firmly than the core puts it.

use tailplate_core::dating::{MarkReading, When, calendar};
use tailplate_core::fit::says_words;
use tailplate_core::key::{Identification, Separation, Verdict};
use tailplate_core::observe::About;
use tailplate_core::reference::{
    Bound, Confidence, EffortId, FeatureFact, Model, Reference, StruckMark, Variant, Years, end_parts,
};

use crate::answer::{Dated, Desk, Named};
use crate::page::{Page, percent, years};

/// Candidates and checks listed at most.
const LISTED: usize = 5;
const CHECKS: usize = 3;
/// Dates of one mark listed at most.
const DATES: usize = 12;

/// Brand, or maker where it was sold under his own name, and the model's name.
pub fn model_name(reference: &Reference, id: &str) -> String {
    match reference.model(id) {
        None => id.to_owned(),
        Some(model) => match &model.brand {
            Some(brand) => format!("{brand} {} (made by {})", model.name, reference.maker_name(&model.maker)),
            None => format!("{}, {}", model.name, reference.maker_name(&model.maker)),
        },
    }
}

/// The answer to `identify`.
pub fn named(desk: &Desk, named: &Named) -> String {
    let mut page = Page::default();
    let it = &named.identification;
    page.say(&verdict(&desk.reference, it));
    // A list of models that are all next to impossible would only mislead.
    if it.candidates.first().is_some_and(|best| best.p >= 0.01) {
        page.heading("What it may be");
        let mut rows: Vec<Vec<String>> = it
            .candidates
            .iter()
            .take(LISTED)
            .map(|candidate| {
                let name = model_name(&desk.reference, &candidate.model);
                let variant = candidate.variants.first().and_then(|(variant, chance)| {
                    let variant = desk.reference.model(&candidate.model)?.variant(variant)?;
                    let made = years(variant.years.from, variant.years.to);
                    (*chance > candidate.p / 2.0).then(|| format!(": {} ({made})", variant.name))
                });
                vec![percent(candidate.p), format!("{name}{}", variant.unwrap_or_default())]
            })
            .collect();
        rows.push(vec![percent(it.not_in_key), "a reel that is not in this key".into()]);
        page.columns(&rows);
        reasons(&mut page, it);
    }
    made(&mut page, &named.when);
    checks(&mut page, it);
    problems(&mut page, it);
    page.text()
}

fn verdict(reference: &Reference, it: &Identification) -> String {
    let unknown = percent(it.not_in_key);
    match &it.verdict {
        Verdict::Settled { model } => format!("Settled, as far as this key goes: {}.", model_name(reference, model)),
        Verdict::Maker { maker } => format!(
            "The maker is settled: {}. Which model is not ({unknown} for one that is not in this key).",
            reference.maker_name(maker)
        ),
        Verdict::Undecided if it.candidates.is_empty() => "Undecided: nothing seen so far tells reels apart.".into(),
        Verdict::Undecided => {
            let models = match it.credible {
                0 => "no model of this key is likely".to_owned(),
                1 => "one model of this key is possible".to_owned(),
                n => format!("{n} models of this key are possible"),
            };
            format!(
                "Undecided: {models}, and {unknown} is left for a reel that is not in it. No maker can be named yet."
            )
        }
        Verdict::NotInKey => {
            format!("Not in this key ({unknown}): none of its models fits what was seen, so no maker is named.")
        }
    }
}

fn reasons(page: &mut Page, it: &Identification) {
    let Some(best) = it.candidates.first() else { return };
    for (heading, reasons) in [("What speaks for the first", &best.agrees), ("What speaks against it", &best.disagrees)]
    {
        if !reasons.is_empty() {
            page.heading(heading);
            for reason in reasons.iter().take(8) {
                page.hang("  ", &reason.words);
            }
        }
    }
}

fn checks(page: &mut Page, it: &Identification) {
    if it.next_checks.is_empty() {
        if !matches!(it.verdict, Verdict::Settled { .. }) {
            page.heading("No further question of this key would tell more.");
        }
        return;
    }
    page.heading("What would settle it");
    for check in it.next_checks.iter().take(CHECKS) {
        page.hang("  ", &format!("{} ({})", check.ask, check.effort.words()));
        page.hang("    ", &check.why);
    }
}

fn problems(page: &mut Page, it: &Identification) {
    if !it.problems.is_empty() {
        page.heading("Not used");
        for problem in &it.problems {
            page.hang("  ", problem);
        }
    }
}

/// Years, reasons, contradictions and what to mind.
fn made(page: &mut Page, when: &When) {
    page.heading(&made_sentence(when));
    if !when.reasons.is_empty() {
        page.heading("Why");
        let rows: Vec<Vec<String>> = when
            .reasons
            .iter()
            .map(|reason| {
                let firm = match (reason.confidence, reason.from_bound, reason.to_bound) {
                    (Confidence::Low, _, _) => "unverified",
                    (_, Bound::Hard, _) | (_, _, Bound::Hard) => "firm",
                    _ => "custom",
                };
                // Some reasons name what was seen in their own sentence.
                let named = reason.words.starts_with(&reason.what);
                let what = if named { reason.words.clone() } else { format!("{}: {}", reason.what, reason.words) };
                vec![years(reason.from, reason.to), firm.to_owned(), what]
            })
            .collect();
        page.columns(&rows);
    }
    if !when.clashes.is_empty() {
        page.heading("These contradict each other");
        for clash in &when.clashes {
            page.hang("  ", &format!("{} — {}. {}", clash.a, clash.b, clash.cause));
        }
    }
    if !when.notes.is_empty() {
        page.heading("Mind");
        for note in &when.notes {
            page.hang("  ", note);
        }
    }
}

fn made_sentence(when: &When) -> String {
    let firm = match (when.not_before, when.not_after) {
        (None, None) => String::new(),
        (Some(from), None) => format!(" Certainly not before {from}."),
        (None, Some(to)) => format!(" Certainly not after {to}."),
        (Some(from), Some(to)) => format!(" Certainly not before {from} and not after {to}."),
    };
    match when.likely {
        Some((from, to)) => format!("Made: {}, most likely.{firm}", years(Some(from), Some(to))),
        None if firm.is_empty() => "Made: not known; nothing seen so far tells years.".into(),
        None => format!("Made: no likely years to be had.{firm}"),
    }
}

/// The answer to `date`.
pub fn dated(_desk: &Desk, dated: &Dated) -> String {
    let mut page = Page::default();
    for (mark, reading) in &dated.marks {
        page.say(&format!("“{mark}”"));
        for meaning in mark_meanings(reading) {
            page.hang("  ", &meaning);
        }
    }
    made(&mut page, &dated.when);
    page.text()
}

/// What a mark's numbers and dates can be, before anything else is known.
fn mark_meanings(reading: &MarkReading) -> Vec<String> {
    let numbers = reading.numbers.iter().map(|number| number.words.clone());
    let dates = reading.dates.iter().filter(|date| !date.dates.is_empty()).map(|date| {
        let all: Vec<String> = date.dates.iter().take(DATES).map(|date| calendar::words(*date)).collect();
        let more = date.dates.len().saturating_sub(DATES);
        let more = if more > 0 { format!(" and {more} more (see --json)") } else { String::new() };
        format!("{} can be {}{more}.", date.read, all.join(", "))
    });
    let meanings: Vec<String> = numbers.chain(dates).collect();
    match (meanings.is_empty(), reading.clues.is_empty()) {
        (true, true) => vec!["By itself this tells no year.".into()],
        _ => meanings,
    }
}

/// The answer to `separate`.
pub fn separation(desk: &Desk, models: &[&Model], separation: &Separation) -> String {
    let mut page = Page::default();
    let names: Vec<String> = models.iter().map(|model| model_name(&desk.reference, &model.id)).collect();
    page.say(&format!("To tell apart: {}.", names.join("; ")));
    if separation.must_open {
        page.say("Nothing known on the outside decides: it must be opened.");
    }
    for (at, difference) in separation.differences.iter().enumerate() {
        let effort = difference.effort.words();
        page.heading(&format!("{}. {} ({effort}; settles {})", at + 1, difference.ask, share(difference.power)));
        let rows: Vec<Vec<String>> = difference
            .per_model
            .iter()
            .map(|(id, words)| vec![desk.reference.model(id).map_or(id, |model| &model.name).clone(), words.clone()])
            .collect();
        page.columns(&rows);
    }
    for (a, b) in &separation.inseparable {
        let name = |id: &str| model_name(&desk.reference, id);
        page.heading(&format!("No fact in the packs parts {} from {}.", name(a), name(b)));
    }
    if separation.differences.is_empty() && separation.inseparable.is_empty() {
        page.heading("The packs hold no fact that parts them.");
    }
    page.text()
}

fn share(power: f64) -> String {
    match (power * 100.0).round() {
        p if p >= 99.0 => "nearly all".into(),
        p => format!("{p:.0} % of the confusion"),
    }
}

/// The answer to `model`.
pub fn model(reference: &Reference, model: &Model) -> String {
    let mut page = Page::default();
    page.say(&format!("{}.", model_name(reference, &model.id)));
    let kind =
        reference.feature("reel_kind").and_then(|kinds| kinds.state(&model.kind)).map_or(&model.kind, |s| &s.label);
    let mut facts = vec![vec!["Kind".to_owned(), kind.clone()]];
    if !model.numbers.is_empty() {
        facts.push(vec!["Numbers".into(), format!("{} (of the catalogue, not years)", model.numbers.join(", "))]);
    }
    if let Some(note) = &model.note {
        facts.push(vec!["Note".into(), note.clone()]);
    }
    page.columns(&facts);
    for variant in &model.variants {
        page.heading(&format!("{}, {}", variant.name, made_in(&variant.years)));
        page.columns(&variant_rows(reference, variant));
    }
    if !model.look_alikes.is_empty() {
        page.heading("Easily mistaken for");
        let look_alikes = model.look_alikes.iter();
        page.columns(
            &look_alikes.map(|l| vec![model_name(reference, &l.model), l.deciding.clone()]).collect::<Vec<_>>(),
        );
    }
    let facts = tailplate_core::fit::of_packs(reference);
    let of_it = |end: &str| end_parts(end).0 == model.id;
    let mut said: Vec<(&[String], &str, String)> = Vec::new();
    for fact in facts.iter().filter(|fact| of_it(&fact.of) || of_it(&fact.into)) {
        let pair = |end: &str| tailplate_core::fit::model_words(reference, end);
        let words = format!("{} in {}: {}", pair(&fact.of), pair(&fact.into), says_words(fact.verdict));
        said.push((&fact.roles, &fact.note, words));
    }
    if !said.is_empty() {
        page.heading("Parts");
        for (roles, note, words) in said {
            let labels: Vec<&str> = roles.iter().map(|role| reference.parts.role_label(role)).collect();
            let labels = if labels.is_empty() { "Every part".to_owned() } else { labels.join(", ") };
            let note = if note.is_empty() { String::new() } else { format!(" ({note})") };
            page.hang("  ", &format!("{labels} of {words}{note}"));
        }
    }
    sources(&mut page, reference, model);
    page.text()
}

fn made_in(span: &Years) -> String {
    match (span.from, span.to) {
        (None, None) => "years not known".into(),
        (from, to) => years(from, to),
    }
}

fn variant_rows(reference: &Reference, variant: &Variant) -> Vec<Vec<String>> {
    let unverified = |confidence| {
        if confidence == Confidence::Low { " (unverified)" } else { "" }
    };
    let mark = |mark: &StruckMark| {
        let place = reference.mark_place(&mark.place).map_or(&mark.place, |place| &place.label);
        let text = if mark.struck.is_empty() { mark.words.clone() } else { format!("“{}”", mark.struck) };
        vec![place.clone(), format!("{text}{}", unverified(mark.confidence))]
    };
    let feature = |(id, fact): (&String, &FeatureFact)| {
        let ask = reference.feature(id).map_or(id.as_str(), |feature| feature.ask.trim_end_matches('?'));
        vec![ask.to_owned(), format!("{}{}", fact_words(reference, id, fact), unverified(fact.confidence))]
    };
    variant.marks.iter().map(mark).chain(variant.features.iter().map(feature)).collect()
}

fn fact_words(reference: &Reference, id: &str, fact: &FeatureFact) -> String {
    let feature = reference.feature(id);
    if let Some(value) = fact.value {
        let unit = feature.and_then(|feature| feature.unit.as_deref()).unwrap_or_default();
        let spread = fact.tol.map_or(String::new(), |tol| format!(" ± {tol}"));
        let inches = if unit == "mm" { format!(" ({:.2} in)", value / 25.4) } else { String::new() };
        return format!("{value}{spread} {unit}{inches}").trim_end().to_owned();
    }
    let mut states: Vec<(&String, &f64)> = fact.states.iter().collect();
    states.sort_by(|a, b| b.1.total_cmp(a.1));
    let label = |id: &str| {
        let state = feature.and_then(|feature| feature.state(id));
        state.map_or(if id == "absent" { "none".to_owned() } else { id.to_owned() }, |state| state.label.clone())
    };
    match states.as_slice() {
        [(only, _)] => label(only),
        several => {
            several.iter().map(|(id, w)| format!("{} ({:.0} %)", label(id), *w * 100.0)).collect::<Vec<_>>().join(", ")
        }
    }
}

fn sources(page: &mut Page, reference: &Reference, model: &Model) {
    let variants = model.variants.iter();
    let mut keys: Vec<&String> = variants
        .flat_map(|variant| {
            let marks = variant.marks.iter().flat_map(|mark| &mark.src);
            marks.chain(variant.features.values().flat_map(|fact| &fact.src))
        })
        .collect();
    keys.sort_unstable();
    keys.dedup();
    if keys.is_empty() {
        return;
    }
    page.heading("Sources");
    for source in keys.iter().filter_map(|key| reference.source(&model.pack, key)) {
        page.hang("  ", &format!("{} {}", source.title, source.url.as_deref().unwrap_or("(no address)")));
    }
}

/// The answer to `questions`.
pub fn questions(reference: &Reference) -> String {
    let mut page = Page::default();
    page.say("Questions");
    for feature in &reference.questions.features {
        let answers = match feature.unit.as_deref() {
            _ if !feature.states.is_empty() => {
                feature.states.iter().map(|state| state.id.as_str()).collect::<Vec<_>>().join(", ")
            }
            Some("mm") => "a measure in mm or in".into(),
            Some(_) => "a weight in g or oz".into(),
            None => "a figure".into(),
        };
        page.hang("  ", &format!("{} — {} ({})", feature.id, feature.ask, feature.effort.words()));
        page.hang("    ", &answers);
    }
    page.heading("Places of marks");
    let places = reference.questions.mark_places.iter();
    page.columns(&places.map(|place| vec![place.id.clone(), place.label.clone()]).collect::<Vec<_>>());
    page.text()
}

/// How a check is called in one line: used by reports.
pub fn check_name(about: &About, effort: EffortId) -> String {
    format!("{} ({})", about.id(), effort.words())
}
