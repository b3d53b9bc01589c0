//! Sizes from a photo, by a thing of known size in it: a card by its four corners, or a coin by points of its rim.
//!
//! Both hold in the plane of that thing only. The ± comes of how exactly one taps; what lies nearer the camera reads long,
//! by [`height_error`].

mod coin;
mod linear;
mod plane;
#[cfg(test)]
mod tests;

pub use coin::{Coin, by_coin};
pub use plane::{Card, Plane, by_card};

use crate::error::{Error, Result};

/// A point tapped in the photo, in its pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub u: f64,
    pub v: f64,
}

/// A length in the plane of the known thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    pub mm: f64,
    /// Standard error from all taps, and the part of the taps on the known thing.
    pub sigma_mm: f64,
    pub sigma_known_mm: f64,
    /// What perspective may add where it can't be reckoned out.
    pub perspective_mm: f64,
    /// Holds in 95 of 100 photos.
    pub plus_minus_mm: f64,
}

/// Standard errors to a ± that holds in 95 of 100, with a little room for what is not linear.
const SURE: f64 = 2.1;

/// By how many parts of itself a face reads long that lies this much nearer the camera than the known thing.
pub fn height_error(distance_mm: f64, height_mm: f64) -> f64 {
    height_mm / (distance_mm - height_mm)
}

/// What a length that reads so much is, when its face lies this much nearer.
pub fn without_height_mm(read_mm: f64, distance_mm: f64, height_mm: f64) -> f64 {
    read_mm * (distance_mm - height_mm) / distance_mm
}

/// The height that keeps the error below so many parts.
pub fn height_allowed_mm(distance_mm: f64, error: f64) -> f64 {
    error * distance_mm / (1.0 + error)
}

/// Length in mm by the taps, with what each tap's error does to it, worked out by moving it a little both ways.
fn with_errors(
    taps: &[Point],
    known: usize,
    sigma_px: f64,
    measure: &dyn Fn(&[Point]) -> Result<f64>,
) -> Result<Length> {
    let mm = measure(taps)?;
    let step = 1e-3 * sigma_px.max(0.1);
    let mut squares = [0.0, 0.0];
    let mut moved = taps.to_vec();
    for at in 0..taps.len() {
        for along_u in [true, false] {
            let mut side = |by: f64| {
                let tap = &mut moved[at];
                *tap = if along_u {
                    Point { u: taps[at].u + by, ..taps[at] }
                } else {
                    Point { v: taps[at].v + by, ..taps[at] }
                };
                let length = measure(&moved);
                moved[at] = taps[at];
                length
            };
            let slope = (side(step)? - side(-step)?) / (2.0 * step);
            squares[usize::from(at >= known)] += slope * slope;
        }
    }
    let sigma_known_mm = sigma_px * squares[0].sqrt();
    let sigma_mm = sigma_px * (squares[0] + squares[1]).sqrt();
    Ok(Length { mm, sigma_mm, sigma_known_mm, perspective_mm: 0.0, plus_minus_mm: SURE * sigma_mm })
}

fn check_tap_error(sigma_px: f64) -> Result<()> {
    if sigma_px > 0.0 && sigma_px.is_finite() {
        Ok(())
    } else {
        Err(Error::invalid("The error of a tap must be above 0 pixels."))
    }
}
