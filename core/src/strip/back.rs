//! Putting together: the recording backwards, mended where one part must be in before another.

use serde::Serialize;

use super::plan::{cautions_before, order_cautions, step_of};
use super::{Step, Strip};
use crate::reference::{BenchCaution, Reference, StripOrder};

/// A step of putting together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BackStep {
    /// The step of the recording.
    pub step: String,
    pub name: String,
    /// Read before the step: the hazards of taking it off are those of putting it back.
    pub cautions: Vec<BenchCaution>,
    pub from: String,
    pub way_round: String,
    /// What the generic order says of putting it back.
    pub how: Option<String>,
    /// Why it stands here and not where the recording has it; empty where it does.
    pub moved_for: Vec<String>,
    pub tray: String,
    pub pieces: u32,
    pub back: u32,
    pub done: bool,
    pub photos: Vec<String>,
    pub note: String,
}

/// Two rules, or more, that no order can keep.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Conflict {
    /// Steps of the recording that stand in a circle.
    pub steps: Vec<String>,
    pub words: String,
}

/// The way back.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PutBack {
    /// Every step that came off, once.
    pub steps: Vec<BackStep>,
    /// The first that is not back.
    pub next: Option<String>,
    pub conflicts: Vec<Conflict>,
    /// To be gone through before the reel is closed.
    pub before_you_close: Vec<String>,
}

/// One rule between two steps of the recording, by their places in it.
struct Rule {
    before: usize,
    after: usize,
    why: String,
}

/// The way back for a recording; `order` is the generic one whose pairs are kept.
pub fn put_back(reference: &Reference, order: Option<&StripOrder>, strip: &Strip, kind: &str) -> PutBack {
    let steps: Vec<&Step> = strip.steps.iter().filter(|step| !step.took.left_alone && !step.took.spare).collect();
    let mut rules = order.map_or_else(Vec::new, |order| rules(order, &steps));
    let mut conflicts = Vec::new();
    let places = loop {
        match in_order(steps.len(), &rules) {
            Ok(places) => break places,
            Err(circle) => {
                // The rules among a circle contradict each other or the recording: name them, then do without.
                let names: Vec<String> = circle.iter().map(|at| steps[*at].took.name()).collect();
                conflicts.push(Conflict {
                    steps: circle.iter().map(|at| steps[*at].id.clone()).collect(),
                    words: format!("No order keeps all rules between {}: look at the reel.", names.join(", ")),
                });
                rules.retain(|rule| !(circle.contains(&rule.before) && circle.contains(&rule.after)));
            }
        }
    };
    let mut done_so_far: Vec<usize> = Vec::new();
    let mut back = Vec::new();
    for at in places {
        let (step, took) = (steps[at], &steps[at].took);
        let generic = order.and_then(|order| order.step(step_of(order, took)?));
        let mut cautions = cautions_before(reference, took, kind);
        for caution in generic.map_or_else(Vec::new, |generic| order_cautions(reference, generic, kind)) {
            if !cautions.iter().any(|known| known.id == caution.id) {
                cautions.push(caution);
            }
        }
        // In a plain reversal everything taken off later is back by now, and nothing taken off earlier is.
        let moved = done_so_far.iter().any(|earlier| *earlier < at)
            || (at + 1..steps.len()).any(|later| !done_so_far.contains(&later));
        let moved_for = match moved {
            true => {
                rules.iter().filter(|rule| rule.before == at || rule.after == at).map(|rule| rule.why.clone()).collect()
            }
            false => Vec::new(),
        };
        back.push(BackStep {
            step: step.id.clone(),
            name: took.name(),
            cautions,
            from: took.from.clone(),
            way_round: took.way_round.clone(),
            how: generic.and_then(|generic| generic.put_back.clone()),
            moved_for,
            tray: took.tray.clone(),
            pieces: took.pieces(),
            back: step.back,
            done: step.is_back(),
            photos: took.photos.clone(),
            note: std::iter::once(&took.note)
                .chain(&step.notes)
                .filter(|note| !note.is_empty())
                .cloned()
                .collect::<Vec<_>>()
                .join("; "),
        });
        done_so_far.push(at);
    }
    let next = back.iter().find(|step| !step.done).map(|step| step.step.clone());
    let before_you_close = order.map_or_else(Vec::new, |order| order.before_you_close.clone());
    PutBack { steps: back, next, conflicts, before_you_close }
}

fn rules(order: &StripOrder, steps: &[&Step]) -> Vec<Rule> {
    let of: Vec<Option<&str>> = steps.iter().map(|step| step_of(order, &step.took)).collect();
    let at = |id: &str| -> Vec<usize> {
        of.iter().enumerate().filter(|(_, step)| **step == Some(id)).map(|(at, _)| at).collect()
    };
    let mut rules = Vec::new();
    for pair in &order.put_together {
        for before in at(&pair.before) {
            for after in at(&pair.after) {
                rules.push(Rule { before, after, why: pair.why.clone() });
            }
        }
    }
    rules
}

/// Places in the order of putting back: the latest taken first, unless a rule holds it back. A circle is an error.
fn in_order(count: usize, rules: &[Rule]) -> Result<Vec<usize>, Vec<usize>> {
    let mut placed = vec![false; count];
    let mut places = Vec::with_capacity(count);
    while places.len() < count {
        let free = |at: usize| rules.iter().all(|rule| rule.after != at || placed[rule.before]);
        match (0..count).rev().find(|at| !placed[*at] && free(*at)) {
            Some(at) => {
                placed[at] = true;
                places.push(at);
            }
            None => return Err(circle(&placed, rules)),
        }
    }
    Ok(places)
}

/// A circle among the steps not placed: each waits for another, so going from one to what it waits for must come round.
fn circle(placed: &[bool], rules: &[Rule]) -> Vec<usize> {
    let waits_for =
        |at: usize| rules.iter().find(|rule| rule.after == at && !placed[rule.before]).map(|rule| rule.before);
    let mut path: Vec<usize> = Vec::new();
    let mut at = placed.iter().position(|placed| !placed);
    while let Some(now) = at {
        if let Some(start) = path.iter().position(|known| *known == now) {
            return path.split_off(start);
        }
        path.push(now);
        at = waits_for(now);
    }
    path
}
