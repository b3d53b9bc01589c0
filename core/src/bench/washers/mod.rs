//! Which washers from the drawer bring a drag stack to the right height, changing as few as can be.
//!
//! Exact, by dynamic programming over whole micrometres: for each kind of washer and each thickness, the least cost of
//! every height that can be reached with so many washers. The best answers are then read back, best first.

mod best;
mod layers;
#[cfg(feature = "bench")]
pub mod synthetic;
#[cfg(test)]
mod tests;

use serde::Serialize;

use crate::error::{Error, Result};

use best::best;
use layers::{count_in_window, nearest, prepare};

/// A washer by what it turns with. Where it does not matter, all metal ones are `Keyed`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Washer {
    Friction,
    /// Turns with the sleeve.
    Keyed,
    /// Has ears, turns with the gear.
    Eared,
}

/// So many washers of a kind and thickness.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Lot {
    pub kind: Washer,
    pub thickness_um: u32,
    pub count: u32,
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// In the drawer.
    pub stock: Vec<Lot>,
    /// Kinds from the bottom up.
    pub places: Vec<Washer>,
    /// Thickness of what lies at each place now; empty where nothing is in yet.
    pub now_um: Vec<u32>,
    pub least_um: u32,
    pub most_um: u32,
    /// How much a friction washer gives under the clamp, in thousandths of its thickness.
    pub gives_permille: u32,
    /// Answers at most.
    pub limit: usize,
}

/// A stack that fits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stack {
    /// Washers that come out of the drawer.
    pub changes: u32,
    pub height_um: f64,
    /// Different washers used.
    pub different: u32,
    pub lots: Vec<Lot>,
    /// From the bottom up.
    pub places: Vec<Placed>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Placed {
    pub kind: Washer,
    pub thickness_um: u32,
    /// From the drawer, not from the stack as it is.
    pub new: bool,
}

/// The answer.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Solved {
    /// Fewest changes first, then nearest to the middle of the window, then fewest different washers. All that are as
    /// good as the best are among them, unless they are more than the limit.
    pub stacks: Vec<Stack>,
    /// Sets of washers within the window, whatever their rank.
    pub in_window: u64,
    /// Where none fits: the nearest heights that can be reached, below and above.
    pub below_um: Option<f64>,
    pub above_um: Option<f64>,
}

/// Most places and different washers: beyond, it is no drag.
pub const MOST_PLACES: usize = 24;
pub const MOST_LOTS: usize = 80;

/// Kinds of an alternating stack, from the bottom up. Metal ones are keyed and eared by turns where `first_metal` is given.
///
/// # Errors
/// Counts that can't alternate.
pub fn alternating(
    friction: usize,
    metal: usize,
    friction_below: bool,
    first_metal: Option<Washer>,
) -> Result<Vec<Washer>> {
    if friction.abs_diff(metal) > 1 {
        return Err(Error::invalid(format!(
            "{friction} friction and {metal} metal washers can't alternate: the counts may differ by one at most."
        )));
    }
    if friction + metal == 0 {
        return Err(Error::invalid("A stack needs a washer or more."));
    }
    let mut next_is_friction = if friction == metal { friction_below } else { friction > metal };
    let mut metal_kind = first_metal.unwrap_or(Washer::Keyed);
    let mut places = Vec::new();
    for _ in 0..friction + metal {
        if next_is_friction {
            places.push(Washer::Friction);
        } else {
            places.push(metal_kind);
            metal_kind = match metal_kind {
                Washer::Keyed if first_metal.is_some() => Washer::Eared,
                _ => Washer::Keyed,
            };
        }
        next_is_friction = !next_is_friction;
    }
    Ok(places)
}

/// Solves it.
///
/// # Errors
/// A question that makes no sense, in a sentence.
pub fn solve(question: &Question) -> Result<Solved> {
    check(question)?;
    let work = prepare(question, question.most_um, true);
    let mut solved = Solved { in_window: count_in_window(&work), ..Solved::default() };
    if solved.in_window == 0 {
        let tallest = question.stock.iter().map(|lot| lot.thickness_um).chain(question.now_um.iter().copied()).max();
        let reach = tallest.unwrap_or_default().saturating_mul(question.places.len() as u32);
        (solved.below_um, solved.above_um) = nearest(&prepare(question, reach.max(question.most_um), false));
        return Ok(solved);
    }
    solved.stacks = best(&work, question);
    Ok(solved)
}

fn check(question: &Question) -> Result<()> {
    let said = |sentence: String| Err(Error::invalid(sentence));
    if question.places.is_empty() || question.places.len() > MOST_PLACES {
        return said(format!("A stack has 1 to {MOST_PLACES} washers."));
    }
    if question.stock.len() > MOST_LOTS {
        return said(format!("More than {MOST_LOTS} different washers in stock: list those that fit this gear only."));
    }
    if question.least_um > question.most_um || question.most_um > 100_000 {
        return said("The least height must not be above the most, and a stack is at most 100 mm high.".into());
    }
    if !question.now_um.is_empty() && question.now_um.len() != question.places.len() {
        return said("The stack as it is must have as many washers as the stack wanted.".into());
    }
    let thin = |um: u32| !(10..=20_000).contains(&um);
    if let Some(um) =
        question.stock.iter().map(|lot| lot.thickness_um).chain(question.now_um.iter().copied()).find(|um| thin(*um))
    {
        return said(format!("A washer of {} mm is not to be had: 0.01 to 20 mm.", f64::from(um) / 1000.0));
    }
    if question.gives_permille > 500 {
        return said("A washer that gives more than half of its thickness is worn out.".into());
    }
    Ok(())
}
