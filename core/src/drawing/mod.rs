//! Drawings made from observations alone, as SVG text.
//!
//! Every drawing is a bare `<svg>` with a viewBox and the classes `t-line`, `t-fill`, `t-metal`, `t-dark`, `t-mark` and
//! `t-soft` (not known: dashed and pale); the page that shows it sets colours. No id, no style, no link, no script.

mod choices;
mod face;
mod fixed;
mod kinds;
mod marks_at;
mod pair;
pub(crate) mod pen;
mod readings;
mod reel;
mod side;
mod tiles;

use crate::observe::Observation;
use crate::reference::Reference;

pub use choices::choice;
pub use kinds::kind_picture;
pub use marks_at::mark_map;
use reel::Reel;

/// The reel as described, from its handle side, 3 user units to the millimetre, with a bar of 10 mm. What nobody looked
/// at is dashed and pale. Figures beyond anything a reel can show are drawn all the same, so that a slip is seen.
pub fn face(_reference: &Reference, seen: &[Observation]) -> String {
    face::face(&Reel::of(seen)).finish()
}

/// The reel as described, along the rod: widths, pillars, spool, which hand. Same scale as [`face`].
pub fn side(_reference: &Reference, seen: &[Observation]) -> String {
    side::side(&Reel::of(seen)).finish()
}

/// Two reels at one scale; each of the `differing` features has a dot on both with its place in the list, from one.
pub fn pair(_reference: &Reference, a: &[Observation], b: &[Observation], differing: &[String]) -> String {
    pair::pair(&Reel::of(a), &Reel::of(b), differing)
}

/// A test's figures before and after on one scale. The label may be anybody's text.
pub fn readings(label: &str, unit: &str, before: &[f64], after: &[f64]) -> String {
    readings::readings(label, unit, before, after)
}

#[cfg(test)]
mod tests;
