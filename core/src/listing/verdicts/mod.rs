//! One verdict for each sort of claim.

mod eras;
mod features;
mod names;
mod sayings;

use super::evidence::Evidence;
use super::{Claim, Finding, Ground, Meaning, Reason, Speaks};

pub(super) type Told = (Finding, Vec<Reason>);

/// The verdict on one claim, with its reasons.
pub(super) fn of(evidence: &Evidence, at: usize) -> Told {
    let claim = &evidence.claims[at];
    if evidence.several && about_one_reel(claim) {
        return several();
    }
    match &claim.meaning {
        Meaning::Makers(ids) => names::maker(evidence, claim, ids),
        Meaning::Brand { name, makers } => names::brand(evidence, claim, name, makers),
        Meaning::Models { .. } => names::model(evidence, claim),
        Meaning::Years { from, to } => eras::years(evidence, claim, *from, *to),
        Meaning::Age { at_least, at_most } => {
            let ago = |years: &Option<i32>| years.map(|years| evidence.this_year - years);
            eras::years(evidence, claim, ago(at_most), ago(at_least))
        }
        Meaning::VagueAge => (
            Finding::CantBeJudged,
            vec![Reason::new(
                Speaks::Neither,
                Ground::Trade,
                format!("“{}” means no years in particular, so nothing can bear it out or contradict it.", claim.quote),
            )],
        ),
        Meaning::Feature { feature, states } => features::state(evidence, claim, feature, states),
        Meaning::Counted { feature, count } => features::count(evidence, claim, feature, *count),
        Meaning::Material(id) => features::material(evidence, claim, id),
        Meaning::Mark(text) => names::mark(evidence, text),
        Meaning::Measure { features, amount, unit } => features::measure(evidence, claim, features, *amount, *unit),
        Meaning::Reels(_) => sayings::reels(evidence),
        Meaning::Said(id) => sayings::said(evidence, claim, id),
    }
}

/// Claims that, among several reels, may be about any of them.
fn about_one_reel(claim: &Claim) -> bool {
    !matches!(claim.meaning, Meaning::Reels(_) | Meaning::VagueAge)
}

fn several() -> Told {
    let words = "The text offers several reels and does not say which of them this is about.";
    (Finding::CantBeJudged, vec![Reason::new(Speaks::Neither, Ground::Text, words)])
}

/// A finding turned round for a claim that denies.
fn turned(claim: &Claim, finding: Finding) -> Finding {
    match finding {
        Finding::BorneOut if claim.denied => Finding::Contradicted,
        Finding::Contradicted if claim.denied => Finding::BorneOut,
        other => other,
    }
}
