//! Known faults: what an owner said or saw, and what was found. They go through exactly the code of `tailplate fault`,
//! once from the owner's words alone and once as translated by hand. The worst result is to be sure and wrong.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;
use tailplate_core::faults::{Finding, Judged, Observed, Seen};
use tailplate_core::reference::Reference;

use crate::cases::{CaseSource, Mark, read_named};
use crate::fault;

/// Within so many causes the right one must stand.
const TOP: usize = 3;

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Expect {
    /// Any of these is right.
    pub causes: Vec<String>,
    /// Each must stand in the answer as told.
    pub says: Vec<String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultCase {
    #[serde(skip)]
    pub name: String,
    pub source: CaseSource,
    pub kind: String,
    pub said: String,
    #[serde(default)]
    pub symptoms: BTreeMap<String, Seen>,
    #[serde(default)]
    pub checks: BTreeMap<String, String>,
    pub expect: Expect,
}

/// How one telling of a case came out.
#[derive(Debug, Clone)]
pub struct FaultOutcome {
    pub mark: Mark,
    /// Best causes with their chances.
    pub said: String,
    /// What the answer does not say and should.
    pub short: Vec<String>,
}

/// Reads every case of a folder, by name.
///
/// # Errors
/// A sentence naming the file.
pub fn read(folder: &Path) -> Result<Vec<FaultCase>, String> {
    read_named(folder, |case: &mut FaultCase, name| case.name = name)
}

/// The case from the owner's words alone.
pub fn run_said(reference: &Reference, case: &FaultCase) -> FaultOutcome {
    run(reference, case, &Observed { kind: case.kind.clone(), said: case.said.clone(), ..Observed::default() })
}

/// The case as translated by hand.
pub fn run_by_hand(reference: &Reference, case: &FaultCase) -> FaultOutcome {
    let seen = Observed {
        kind: case.kind.clone(),
        symptoms: case.symptoms.clone(),
        checks: case.checks.clone(),
        ..Observed::default()
    };
    run(reference, case, &seen)
}

fn run(reference: &Reference, case: &FaultCase, seen: &Observed) -> FaultOutcome {
    let answer = fault::judged(reference, seen);
    let told = fault::tell(&answer).split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    FaultOutcome {
        mark: mark(&answer, &case.expect.causes),
        said: answer.causes.iter().take(5).map(|c| format!("{} {:.2}", c.cause, c.p)).collect::<Vec<_>>().join(", "),
        short: case.expect.says.iter().filter(|words| !told.contains(&words.to_lowercase())).cloned().collect(),
    }
}

/// Right, open, or sure of another cause.
pub fn mark(answer: &Judged, right: &[String]) -> Mark {
    let is_right = |cause: &String| right.contains(cause);
    match &answer.finding {
        Finding::Found(cause) if !is_right(cause) => Mark::WrongAndSure,
        _ if answer.causes.first().is_some_and(|best| best.p >= 0.9 && !is_right(&best.cause)) => Mark::WrongAndSure,
        _ if answer.causes.iter().take(TOP).any(|ranked| is_right(&ranked.cause)) => Mark::Right,
        _ => Mark::Undecided,
    }
}
