//! `tailplate fault`: what is wrong with it, and what is to be done.

use tailplate_core::faults::{self, FaultKey, Finding, Judged, NextLook, Observed, RankedCause, Remedy};
use tailplate_core::reference::{BenchCaution, Confidence, Reference};

use crate::nearest::hint;
use crate::page::{Page, percent};

/// Causes and looks listed.
const CAUSES: usize = 5;
const LOOKS: usize = 3;

/// What was handed in, every id known.
///
/// # Errors
/// One sentence on what can't be used.
pub fn read(reference: &Reference, text: &str) -> Result<Observed, String> {
    let seen: Observed =
        serde_json::from_str(text).map_err(|error| format!("This is no description of a fault: {error}."))?;
    let pack = &reference.faults;
    let kinds = reference.feature("reel_kind").map(|kinds| kinds.states.as_slice()).unwrap_or_default();
    if !seen.kind.is_empty() && !kinds.iter().any(|kind| kind.id == seen.kind) {
        let near = hint(&seen.kind, kinds.iter().map(|kind| kind.id.as_str()));
        return Err(format!("No kind of reel is called “{}”.{near}", seen.kind));
    }
    if let Some(id) = seen.symptoms.keys().find(|id| pack.symptom(id).is_none()) {
        let near = hint(id, pack.symptoms.iter().map(|symptom| symptom.id.as_str()));
        return Err(format!("No symptom is called “{id}”.{near}"));
    }
    for (id, result) in &seen.checks {
        let Some(check) = pack.check(id) else {
            let near = hint(id, pack.checks.iter().map(|check| check.id.as_str()));
            return Err(format!("No check is called “{id}”.{near}"));
        };
        if check.result(result).is_none() {
            let results: Vec<&str> = check.results.iter().map(|(id, _)| id.as_str()).collect();
            return Err(format!("The check {id} has no result “{result}”; it can be {}.", results.join(", ")));
        }
    }
    if seen.said.trim().is_empty() && seen.symptoms.is_empty() && seen.checks.is_empty() {
        return Err("Nothing is told: give the owner's words in said, or symptoms, or checks.".into());
    }
    Ok(seen)
}

/// The answer.
pub fn judged(reference: &Reference, seen: &Observed) -> Judged {
    faults::judge(&FaultKey::build(reference, &seen.kind), seen)
}

/// The answer in plain sentences.
pub fn tell(answer: &Judged) -> String {
    let mut page = Page::default();
    page.say(&finding(answer));
    if !answer.causes.is_empty() {
        page.heading("What it may be");
        let mut rows: Vec<Vec<String>> = answer
            .causes
            .iter()
            .take(CAUSES)
            .map(|cause| vec![percent(cause.p), format!("{} ({})", cause.label, cause.sort.words())])
            .collect();
        rows.push(vec![percent(answer.something_else), "something that is not in this key".into()]);
        page.columns(&rows);
    }
    if let Some(best) = answer.causes.first() {
        reasons(&mut page, best);
    }
    looks(&mut page, &answer.next);
    if let Some(best) = answer.causes.first() {
        page.heading(&format!("If it is this: {}", best.label));
        remedy(&mut page, &best.remedy);
    }
    if let Some(second) = &answer.second {
        page.heading("The first cause leaves unexplained");
        second.unexplained.iter().for_each(|words| page.hang("  ", words));
        match &second.cause {
            Some(cause) => {
                page.heading(&format!("A second fault may be: {} ({})", cause.label, percent(cause.p)));
                remedy(&mut page, &cause.remedy);
            }
            None => page.say("No cause of this key explains it."),
        }
    }
    if !answer.problems.is_empty() {
        page.heading("Not used");
        answer.problems.iter().for_each(|problem| page.hang("  ", problem));
    }
    page.text()
}

fn finding(answer: &Judged) -> String {
    let label = |id: &str| {
        let cause = answer.causes.iter().find(|cause| cause.cause == id);
        cause.map_or_else(|| id.to_owned(), |cause| cause.label.clone())
    };
    match &answer.finding {
        Finding::Found(cause) => format!("Found, as far as this key goes: {}.", label(cause)),
        Finding::Likely(cause) => format!("Most likely: {}. A check has to bear it out.", label(cause)),
        Finding::Undecided => "Undecided: more than one cause is left.".into(),
        Finding::SomethingElse => "No cause of this key fits what was seen.".into(),
    }
}

fn reasons(page: &mut Page, best: &RankedCause) {
    let lists = [("What speaks for the first", &best.speaks_for), ("What speaks against it", &best.speaks_against)];
    for (heading, reasons) in lists {
        if !reasons.is_empty() {
            page.heading(heading);
            reasons.iter().for_each(|reason| page.hang("  ", &reason.words));
        }
    }
}

fn looks(page: &mut Page, looks: &[NextLook]) {
    if looks.is_empty() {
        return;
    }
    page.heading("What to look at next");
    for look in looks.iter().take(LOOKS) {
        cautions(page, &look.cautions);
        page.hang("  ", &format!("{} ({}): {}", look.ask, look.effort.words(), look.how));
        page.hang("    ", &look.why);
    }
}

/// The cautions come before the steps they are for.
fn remedy(page: &mut Page, remedy: &Remedy) {
    page.hang("  ", &remedy.explain);
    cautions(page, &remedy.cautions);
    for (at, step) in remedy.steps.iter().enumerate() {
        page.hang(&format!("  {}. ", at + 1), step);
    }
    if !remedy.parts.is_empty() {
        let parts: Vec<&str> = remedy.parts.iter().map(|(_, words)| words.as_str()).collect();
        page.hang("  ", &format!("Parts it may take: {}.", parts.join(", ")));
    }
    for product in &remedy.consumables {
        let but = if product.not_on.is_empty() { String::new() } else { format!(". {}", product.not_on) };
        page.hang("  ", &format!("{}: {}{but}.", product.label, product.for_what));
    }
    for dispute in &remedy.disagreements {
        let views: Vec<&str> = dispute.views.iter().map(|view| view.says.as_str()).collect();
        page.hang("  ", &format!("Sources disagree. {}: {}. Here: {}", dispute.about, views.join("; "), dispute.here));
    }
    if remedy.confidence == Confidence::Low {
        page.hang("  ", "Unverified: trade knowledge, not looked up.");
    }
}

fn cautions(page: &mut Page, cautions: &[BenchCaution]) {
    for caution in cautions {
        let defer = caution.defer_to.as_ref().map_or(String::new(), |who| format!(" Who knows better: {who}."));
        page.hang("  ! ", &format!("{}: {}{defer}", caution.when, caution.text));
    }
}
