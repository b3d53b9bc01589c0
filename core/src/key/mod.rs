//! Which reel: a multi-access key over every variant of every model.
//!
//! Any question may be answered, in any order, or none. Each answer weighs on every variant of the packs and, beside
//! them, on what the packs don't hold: another model of a known maker, a reel like a known one, anything else of the
//! kind. Features alone name no maker, since look-alikes outside the packs show the same features; lettering decides.
//!
//! [`identify`] answers in one go. [`Tally`] and [`Posterior`] are its two steps, for one who adds and takes back
//! single answers.

mod borne;
mod build;
mod checks;
mod learned;
mod lettering;
mod posterior;
mod question;
mod separate;
#[cfg(any(test, feature = "bench"))]
pub mod synthetic;
mod tally;
mod wording;
mod words;

use serde::Serialize;

pub use build::Key;
pub use checks::next_checks;
pub use learned::{Learned, ModelFinds};
pub use posterior::{Posterior, TOP};
pub use separate::{Difference, Separation, separate};
pub use tally::Tally;

use crate::observe::{About, Observation, Sheet};
use crate::order;
use crate::reference::{EffortId, Reference};

/// What an observation says for or against a candidate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reason {
    pub about: About,
    pub words: String,
    /// Natural logarithm of how much likelier the answer is from this candidate than from a reel of its kind at large.
    pub nats: f64,
}

/// A model with its chance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Candidate {
    /// Model id.
    pub model: String,
    pub p: f64,
    /// Variant ids with their chances, which sum to `p`; best first.
    pub variants: Vec<(String, f64)>,
    pub agrees: Vec<Reason>,
    pub disagrees: Vec<Reason>,
}

/// What to look at next.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    pub about: About,
    pub ask: String,
    pub effort: EffortId,
    /// Expected fall in the entropy of which variant it is, not in the packs included.
    pub gain_bits: f64,
    pub gain_per_effort: f64,
    pub why: String,
}

/// What may honestly be said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    Settled { model: String },
    Maker { maker: String },
    Undecided,
    NotInKey,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Identification {
    /// Models, best first; those of any weight.
    pub candidates: Vec<Candidate>,
    pub not_in_key: f64,
    /// How many models the smallest set holding 95 % has.
    pub credible: usize,
    /// Whether that set also holds "not in this key".
    pub credible_includes_unknown: bool,
    /// Who made it, by maker id; models outside the packs included. What is missing to 1 is no maker of the packs.
    pub makers: Vec<(String, f64)>,
    /// `(model, variant, chance)`, best first; those of any weight.
    pub variants: Vec<(String, String, f64)>,
    pub verdict: Verdict,
    pub next_checks: Vec<Check>,
    /// Observations that could not be used, each with the reason.
    pub problems: Vec<String>,
}

/// Candidates listed at least, if there are so many models.
const CANDIDATES: usize = 12;
/// Firm enough to say.
const FIRM: f64 = 0.9;
/// Lettering supports a name if it is worth so many nats.
const SUPPORT: f64 = 2.0;

/// Looks that go with a number or a town, so that it may support a name, are worth so many.
const LOOKS: f64 = 0.7;

/// Names the reel from what was seen.
pub fn identify(key: &Key, reference: &Reference, seen: &[Observation]) -> Identification {
    let sheet = Sheet { seen: seen.to_vec(), note: String::new() };
    let mut tally = Tally::new(key);
    let mut problems = Vec::new();
    for observation in sheet.current() {
        if let Err(problem) = tally.add(key, observation) {
            problems.push(problem);
        }
    }
    let mut posterior = Posterior::default();
    posterior.fill(key, &tally);
    told(key, reference, &tally, &posterior, problems)
}

/// The answer from sums kept elsewhere.
pub fn told(
    key: &Key,
    reference: &Reference,
    tally: &Tally,
    posterior: &Posterior,
    problems: Vec<String>,
) -> Identification {
    let candidates: Vec<Candidate> = posterior
        .top
        .iter()
        .take(CANDIDATES)
        .filter(|(_, p)| *p > 1e-4)
        .map(|(model, p)| words::candidate(key, reference, tally, posterior, *model as usize, *p))
        .collect();
    let (credible, credible_includes_unknown) = credible_set(key, posterior);
    let makers = makers(key, reference, tally, posterior);
    let mut variants: Vec<(String, String, f64)> = (0..key.rows.len())
        .map(|row| (row, posterior.variant(row)))
        .filter(|(_, p)| *p > 1e-4)
        .map(|(row, p)| {
            let model = &reference.models[key.rows[row].model as usize];
            (model.id.clone(), model.variants[key.rows[row].variant as usize].id.clone(), p)
        })
        .collect();
    order::by(&mut variants, |a, b| b.2.total_cmp(&a.2).then_with(|| (&a.0, &a.1).cmp(&(&b.0, &b.1))));
    Identification {
        verdict: verdict(key, reference, tally, posterior, &candidates, &makers),
        next_checks: checks::next_checks(key, reference, tally, posterior),
        not_in_key: posterior.not_in_key,
        candidates,
        credible,
        credible_includes_unknown,
        makers,
        variants,
        problems,
    }
}

/// The smallest set of models, "not in this key" among them, that holds 95 %.
fn credible_set(key: &Key, posterior: &Posterior) -> (usize, bool) {
    let mut masses: Vec<(f64, bool)> = (0..key.spans.len() - 1).map(|m| (posterior.model(key, m), false)).collect();
    masses.push((posterior.not_in_key, true));
    order::by(&mut masses, |a, b| b.0.total_cmp(&a.0));
    let mut held = 0.0;
    let (mut models, mut unknown) = (0, false);
    for (mass, is_unknown) in masses {
        if held >= 0.95 {
            break;
        }
        held += mass;
        unknown |= is_unknown;
        models += usize::from(!is_unknown);
    }
    (models, unknown)
}

fn makers(key: &Key, reference: &Reference, tally: &Tally, posterior: &Posterior) -> Vec<(String, f64)> {
    let mut by_maker: std::collections::BTreeMap<&str, f64> = std::collections::BTreeMap::new();
    for (at, model) in reference.models.iter().enumerate() {
        let maker = reference.makers.iter().position(|maker| maker.id == model.maker);
        // Only lettering tells that a look-alike is by the same maker.
        let sibling = maker.filter(|_| tally.marks.maker_nats().is_some()).map_or(0.0, |m| tally.marks.sibling(m));
        *by_maker.entry(&model.maker).or_default() += posterior.model(key, at) + sibling * posterior.like(key, at);
    }
    for (maker, p) in reference.makers.iter().zip(&posterior.makers) {
        *by_maker.entry(&maker.id).or_default() += p;
    }
    let mut makers: Vec<(String, f64)> =
        by_maker.into_iter().filter(|(_, p)| *p > 1e-3).map(|(id, p)| (id.to_owned(), p)).collect();
    order::by(&mut makers, |a, b| b.1.total_cmp(&a.1));
    makers
}

/// Row of a candidate's likeliest variant.
fn best_row(key: &Key, reference: &Reference, candidate: &Candidate) -> Option<u32> {
    let at = reference.models.iter().position(|model| model.id == candidate.model)?;
    let (id, _) = candidate.variants.first()?;
    let variant = reference.models[at].variants.iter().position(|variant| variant.id == *id)?;
    Some(key.spans[at] + variant as u32)
}

fn verdict(
    key: &Key,
    reference: &Reference,
    tally: &Tally,
    posterior: &Posterior,
    candidates: &[Candidate],
    makers: &[(String, f64)],
) -> Verdict {
    let nats = |reasons: &[Reason], counts: fn(&About) -> bool| -> f64 {
        reasons.iter().filter(|reason| counts(&reason.about)).map(|reason| reason.nats).sum()
    };
    let speaks_for = |best: &Candidate| {
        let by_mark = nats(&best.agrees, |about| matches!(about, About::Mark(_))) >= SUPPORT;
        let by_looks = nats(&best.agrees, |about| matches!(about, About::Feature(id) if id != "reel_kind")) >= LOOKS;
        (by_mark, by_looks)
    };
    // A bare number, or a town, names nobody unless the looks go with it.
    let supported = |best: &Candidate| {
        let (by_mark, by_looks) = speaks_for(best);
        by_mark && (by_looks || best_row(key, reference, best).is_some_and(|row| tally.marks.names_row(key, row)))
    };
    if let Some(best) = candidates.first().filter(|best| best.p >= FIRM) {
        // Without lettering only a chance that leaves nothing else open will do.
        let supported = supported(best) || best.p >= 0.99 && speaks_for(best).1;
        let against = nats(&best.disagrees, |_| true);
        // Another model's number beside the name leaves the model open.
        let number = best_row(key, reference, best).is_some_and(|row| tally.marks.another_number(key, row));
        if supported && !number && -against < nats(&best.agrees, |_| true) / 2.0 {
            return Verdict::Settled { model: best.model.clone() };
        }
    }
    if let Some((maker, _)) = makers.first().filter(|(_, p)| *p >= FIRM) {
        let named = tally.marks.maker_nats().is_some_and(|nats| {
            let at = reference.makers.iter().position(|m| m.id == *maker);
            at.is_some_and(|at| f64::from(nats[at]) >= SUPPORT && tally.marks.names_maker(at))
        });
        let by_model = candidates
            .iter()
            .filter(|c| c.p > 0.05 && reference.models.iter().any(|m| m.id == c.model && m.maker == *maker))
            .any(supported);
        if named || by_model {
            return Verdict::Maker { maker: maker.clone() };
        }
    }
    if posterior.not_in_key >= FIRM { Verdict::NotInKey } else { Verdict::Undecided }
}

#[cfg(test)]
mod tests;
