//! Lengths in the plane of a card, from its four corners.

use super::linear::solve;
use super::{Length, Point, check_tap_error, with_errors};
use crate::error::{Error, Result};

/// A card, or any flat rectangle of known size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Card {
    pub long_mm: f64,
    pub short_mm: f64,
    /// How far inside the crossing of the edges, along each edge, the corner was tapped: 0 at the crossing itself.
    pub inset_mm: f64,
}

impl Card {
    /// How far inside the middle of a round corner lies.
    pub fn middle_of_corner_mm(radius_mm: f64) -> f64 {
        radius_mm * (1.0 - std::f64::consts::FRAC_1_SQRT_2)
    }

    /// By how much lengths along the long and the short edge read long, in hundredths, if the middles of the round
    /// corners are taken for the crossings.
    pub fn read_long_percent(self, radius_mm: f64) -> (f64, f64) {
        let both = 2.0 * Self::middle_of_corner_mm(radius_mm);
        let long = |edge: f64| (edge / (edge - both) - 1.0) * 100.0;
        (long(self.long_mm), long(self.short_mm))
    }

    /// Corners in mm: first both ends of a long edge, then round the card.
    fn corners(self) -> [(f64, f64); 4] {
        let (near, long, short) = (self.inset_mm, self.long_mm - self.inset_mm, self.short_mm - self.inset_mm);
        [(near, near), (long, near), (long, short), (near, short)]
    }
}

/// The mapping from the photo into the card's plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// h1 to h8: `X = (h1 u + h2 v + h3) / (h7 u + h8 v + 1)`, and Y likewise.
    pub h: [f64; 8],
}

impl Plane {
    /// From the card's corners in the photo, both ends of a long edge first, then round the card.
    ///
    /// # Errors
    /// Corners that are no card.
    pub fn of_card(card: Card, corners: [Point; 4]) -> Result<Self> {
        check_corners(&corners)?;
        // Pixels are counted from the middle of the corners in tens of their spread while solving, for exactness.
        let (cu, cv) = (mean(&corners, |p| p.u), mean(&corners, |p| p.v));
        let scale = corners.iter().map(|p| (p.u - cu).abs().max((p.v - cv).abs())).fold(0.0, f64::max);
        let (mut rows, mut right) = ([[0.0; 8]; 8], [0.0; 8]);
        for (at, (corner, (x, y))) in corners.iter().zip(card.corners()).enumerate() {
            let (u, v) = ((corner.u - cu) / scale, (corner.v - cv) / scale);
            rows[2 * at] = [u, v, 1.0, 0.0, 0.0, 0.0, -x * u, -x * v];
            rows[2 * at + 1] = [0.0, 0.0, 0.0, u, v, 1.0, -y * u, -y * v];
            (right[2 * at], right[2 * at + 1]) = (x, y);
        }
        let [a, b, c, d, e, f, g, h] = solve(rows, right).ok_or_else(no_card)?;
        // Back to pixels from the photo's own corner.
        let whole = scale - g * cu - h * cv;
        if whole.abs() < 1e-9 * scale {
            return Err(no_card());
        }
        let row = |p: f64, q: f64, r: f64| [p / whole, q / whole, (r * scale - p * cu - q * cv) / whole];
        let ([h1, h2, h3], [h4, h5, h6]) = (row(a, b, c), row(d, e, f));
        Ok(Self { h: [h1, h2, h3, h4, h5, h6, g / whole, h / whole] })
    }

    /// Where a point of the photo lies in the card's plane, in mm. `None` at and beyond the horizon of that plane.
    pub fn to_mm(self, point: Point, beside: Point) -> Option<(f64, f64)> {
        let [h1, h2, h3, h4, h5, h6, h7, h8] = self.h;
        let depth = |p: Point| h7 * p.u + h8 * p.v + 1.0;
        let w = depth(point);
        // On the card the depth has one sign, and it keeps it up to the horizon.
        (w / depth(beside) > 1e-6)
            .then(|| ((h1 * point.u + h2 * point.v + h3) / w, (h4 * point.u + h5 * point.v + h6) / w))
    }
}

/// A length between two taps in the plane of a card, `tap_error_px` being the standard error of a tap along each axis.
///
/// # Errors
/// Corners that are no card, or a point beyond the horizon of its plane.
pub fn by_card(card: Card, corners: [Point; 4], ends: [Point; 2], tap_error_px: f64) -> Result<Length> {
    check_tap_error(tap_error_px)?;
    let taps = [corners[0], corners[1], corners[2], corners[3], ends[0], ends[1]];
    with_errors(&taps, 4, tap_error_px, &|taps| {
        let corners = [taps[0], taps[1], taps[2], taps[3]];
        let plane = Plane::of_card(card, corners)?;
        let at = |end: Point| plane.to_mm(end, corners[0]).ok_or_else(beyond_horizon);
        let ((x1, y1), (x2, y2)) = (at(taps[4])?, at(taps[5])?);
        Ok(((x2 - x1).powi(2) + (y2 - y1).powi(2)).sqrt())
    })
}

fn mean(points: &[Point], part: fn(&Point) -> f64) -> f64 {
    points.iter().map(part).sum::<f64>() / points.len() as f64
}

fn no_card() -> Error {
    Error::invalid("These four corners are no card: tap both ends of a long edge first, then go on round the card.")
}

fn beyond_horizon() -> Error {
    Error::invalid("A point lies where the card's plane does not reach in this photo: photograph it more from above.")
}

/// Four corners in order round a card turn the same way at each, and enclose something.
fn check_corners(corners: &[Point; 4]) -> Result<()> {
    let turn = |at: usize| {
        let (a, b, c) = (corners[at], corners[(at + 1) % 4], corners[(at + 2) % 4]);
        (b.u - a.u) * (c.v - b.v) - (b.v - a.v) * (c.u - b.u)
    };
    let turns = [turn(0), turn(1), turn(2), turn(3)];
    let one_way = turns.iter().all(|turn| *turn > 1.0) || turns.iter().all(|turn| *turn < -1.0);
    if one_way && turns.iter().all(|turn| turn.is_finite()) { Ok(()) } else { Err(no_card()) }
}
