//! Lengths in the plane of a coin, from points of its rim.
//!
//! From well back a tilted coin is an ellipse, and that ellipse alone says how long a pixel is in every direction. What
//! perspective does beyond that grows with tilt and with the way from the coin, and is told as part of the error.

use super::linear::solve;
use super::{Length, Point, check_tap_error, with_errors};
use crate::error::{Error, Result};

/// A coin in the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coin {
    pub centre: Point,
    /// `a u² + b u v + c v² = 1` on the rim, from the centre.
    pub shape: [f64; 3],
}

impl Coin {
    /// The ellipse through five taps or more, by least squares.
    ///
    /// # Errors
    /// Taps that are on no ellipse.
    pub fn through(rim: &[Point]) -> Result<Self> {
        if rim.len() < 5 {
            return Err(Error::invalid("Tap five points of the rim or more, all round it."));
        }
        let count = rim.len() as f64;
        let (cu, cv) = (rim.iter().map(|p| p.u).sum::<f64>() / count, rim.iter().map(|p| p.v).sum::<f64>() / count);
        let scale = rim.iter().map(|p| (p.u - cu).abs().max((p.v - cv).abs())).fold(0.0, f64::max);
        if !(scale > 1.0 && scale.is_finite()) {
            return Err(no_ellipse());
        }
        // A u² + B u v + C v² + D u + E v = 1, by its normal equations.
        let (mut rows, mut right) = ([[0.0; 5]; 5], [0.0; 5]);
        for p in rim {
            let (u, v) = ((p.u - cu) / scale, (p.v - cv) / scale);
            let terms = [u * u, u * v, v * v, u, v];
            for (row, term) in rows.iter_mut().zip(terms) {
                row.iter_mut().zip(terms).for_each(|(to, other)| *to += term * other);
            }
            right.iter_mut().zip(terms).for_each(|(to, term)| *to += term);
        }
        let [a, b, c, d, e] = solve(rows, right).ok_or_else(no_ellipse)?;
        let flat = 4.0 * a * c - b * b;
        if flat <= 1e-9 || a + c <= 0.0 {
            return Err(no_ellipse());
        }
        let (u, v) = ((b * e - 2.0 * c * d) / flat, (b * d - 2.0 * a * e) / flat);
        // What is left of the 1 once the centre is taken out.
        let rest = 1.0 + a * u * u + b * u * v + c * v * v;
        if rest <= 0.0 {
            return Err(no_ellipse());
        }
        let part = |term: f64| term / (rest * scale * scale);
        Ok(Self { centre: Point { u: cu + u * scale, v: cv + v * scale }, shape: [part(a), part(b), part(c)] })
    }

    /// Long and short axis in pixels, whole lengths.
    pub fn axes_px(self) -> (f64, f64) {
        let [a, b, c] = self.shape;
        let (middle, turn) = ((a + c) / 2.0, ((a - c).powi(2) + b * b).sqrt() / 2.0);
        (2.0 / (middle - turn).sqrt(), 2.0 / (middle + turn).sqrt())
    }

    /// How far the coin is tilted away, as the axes have it.
    pub fn tilt_deg(self) -> f64 {
        let (long, short) = self.axes_px();
        (short / long).clamp(-1.0, 1.0).acos().to_degrees()
    }

    /// A way in the photo, in coin radii of its plane.
    fn radii(self, du: f64, dv: f64) -> f64 {
        let [a, b, c] = self.shape;
        (a * du * du + b * du * dv + c * dv * dv).max(0.0).sqrt()
    }

    /// How many coin radii a point lies from the centre along the tilt, in the coin's plane.
    fn along_tilt(self, point: Point) -> f64 {
        let [a, b, c] = self.shape;
        let (du, dv) = (point.u - self.centre.u, point.v - self.centre.v);
        // The short axis is where the shape is steepest.
        let turn = b.atan2(a - c) / 2.0;
        let part = du * turn.cos() + dv * turn.sin();
        let (_, short) = self.axes_px();
        part.abs() / (short / 2.0)
    }
}

/// A length between two taps in the plane of a coin. Without the camera's distance the coin is taken to be ten of its
/// diameters away.
///
/// # Errors
/// Taps that are on no ellipse.
pub fn by_coin(
    diameter_mm: f64,
    rim: &[Point],
    ends: [Point; 2],
    tap_error_px: f64,
    distance_mm: Option<f64>,
) -> Result<Length> {
    check_tap_error(tap_error_px)?;
    let mut taps = rim.to_vec();
    taps.extend(ends);
    let known = rim.len();
    let mut length = with_errors(&taps, known, tap_error_px, &|taps| {
        let coin = Coin::through(&taps[..known])?;
        let (a, b) = (taps[known], taps[known + 1]);
        Ok(coin.radii(b.u - a.u, b.v - a.v) * diameter_mm / 2.0)
    })?;
    let coin = Coin::through(rim)?;
    let distance = distance_mm.unwrap_or(10.0 * diameter_mm);
    let sine = coin.tilt_deg().to_radians().sin();
    let far = ends.iter().map(|end| coin.along_tilt(*end)).fold(0.0, f64::max) * diameter_mm / 2.0;
    // Depth changes by far × sine; lengths along the tilt feel it twice.
    let share = 2.0 * far * sine / distance + (diameter_mm / 2.0 / distance).powi(2);
    length.perspective_mm = length.mm * share;
    length.plus_minus_mm = length.plus_minus_mm.hypot(length.perspective_mm);
    Ok(length)
}

fn no_ellipse() -> Error {
    Error::invalid("These points are on no ellipse: tap the rim of the coin all round, as far apart as can be.")
}
