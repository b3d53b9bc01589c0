//! Known cases of parts: what somebody had, what was asked, and what an expert said. They go through the code of the command
//! line. The worst result is to be sure and wrong.

use std::path::Path;

use serde::Deserialize;
use tailplate_core::fit::{Trust, Verdict};
use tailplate_core::reference::Reference;

use crate::cases::{CaseSource, Mark, Outcome, read_named};
use crate::parts::{Asked, Book, fit, tell_fit, verdict};

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Expect {
    pub verdict: Option<Verdict>,
    /// No firmer than this.
    pub trust_max: Option<Trust>,
    /// Of each list, one must be said.
    pub must_flag: Vec<Vec<String>>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    #[serde(skip)]
    pub name: String,
    pub source: CaseSource,
    /// Parts, by any country's words; what is said must hold for each.
    pub parts: Vec<String>,
    /// The reel, or the number, that the part is from.
    pub of: String,
    pub into: String,
    /// What the case itself tells, in the form of the command line's file.
    #[serde(default)]
    pub file: Book,
    pub expect: Expect,
}

/// Reads every case of a folder, by name.
pub fn read(folder: &Path) -> Result<Vec<Case>, String> {
    read_named(folder, |case: &mut Case, name| case.name = name)
}

fn fits(verdict: Verdict) -> bool {
    verdict.may_serve()
}

/// Runs one case as the command line would.
pub fn run(reference: &Reference, case: &Case) -> Result<Outcome, String> {
    let mut reference = reference.clone();
    case.file.add_numbers(&mut reference);
    let (mut wrong, mut short, mut said, mut text) = (Vec::new(), Vec::new(), Vec::new(), String::new());
    for part in &case.parts {
        let asked = Asked { role: part.clone(), model: case.into.clone(), of: Some(case.of.clone()) };
        let told = fit(&reference, &case.file, &asked)?;
        let is = verdict(&told);
        let trust = told.parts.iter().flat_map(|one| &one.answers).map(|one| one.trust).max().unwrap_or(Trust::Unknown);
        said.push(format!("{part}: {} ({})", is.words(), trust.words()));
        text.push_str(&tell_fit(&reference, &told).to_lowercase());
        if let Some(right) = case.expect.verdict.filter(|right| *right != is) {
            let opposite = is != Verdict::NotKnown && right != Verdict::NotKnown && fits(is) != fits(right);
            let sure = opposite || right == Verdict::NotKnown && trust == Trust::Sure;
            let words = format!("{part}: says “{}”, not “{}”", is.words(), right.words());
            if sure { wrong.push(words) } else { short.push(words) }
        }
        if case.expect.trust_max.is_some_and(|most| trust > most) {
            wrong.push(format!("{part}: says it as {}", trust.words()));
        }
    }
    // Lines are wrapped; words are not.
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for any_of in &case.expect.must_flag {
        if !any_of.iter().any(|words| text.contains(&words.to_lowercase())) {
            short.push(format!("does not mention “{}”", any_of.join("” or “")));
        }
    }
    let mark = match (wrong.is_empty(), short.is_empty()) {
        (false, _) => Mark::WrongAndSure,
        (true, false) => Mark::Undecided,
        (true, true) => Mark::Right,
    };
    wrong.extend(short);
    Ok(Outcome { name: case.name.clone(), mark, said: said.join("; "), short: wrong, next_check: None })
}
