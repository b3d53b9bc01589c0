//! Friction of a spool's bearings, fitted through several readings of its speed.

use super::answer::Figure;
use super::calculator::{Calculator, Given, list, nothing_to_prepare};
use super::spin::{
    Friction, INNER, MASS, OUTER, RAD_PER_S_PER_RPM, inertia_gcm2, plot_decay, slowed, torque_unm, viscous_nnms,
};
use super::units::Kind;
use crate::error::{Error, Result};

/// A fit, and how far it is off the readings.
#[derive(Debug, Clone, Copy)]
pub struct Fit {
    pub friction: Friction,
    pub start_rad_s: f64,
    /// Root mean square.
    pub off_rad_s: f64,
}

/// Fits `(seconds, rad/s)` by least squares. For each viscous part, start and dry part follow directly; the viscous
/// part is searched for.
pub fn fit(readings: &[(f64, f64)]) -> Option<Fit> {
    let last = readings.iter().map(|(time, _)| *time).fold(0.0, f64::max);
    if readings.len() < 3 || last <= 0.0 {
        return None;
    }
    let at = |viscous: f64| straight(readings, viscous);
    // Coarse first, so that the fine search starts in the right valley.
    let grid = |step: i32| 10f64.powf(f64::from(step) / 8.0) / last;
    let steps = -32..=10;
    let best = steps.min_by(|a, b| off(at(grid(*a))).total_cmp(&off(at(grid(*b)))))?;
    let (mut low, mut high) = (grid(best - 1).ln(), grid(best + 1).ln());
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    for _ in 0..80 {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if off(at(a.exp())) < off(at(b.exp())) { high = b } else { low = a }
    }
    let curved = at(((low + high) / 2.0).exp());
    // No viscous friction at all is a fit too, and so is no dry friction.
    let dry_only = at(0.0);
    let found = if off(dry_only) <= off(curved) { dry_only } else { curved }?;
    if found.friction.dry_per_s2 >= 0.0 { Some(found) } else { viscous_only(readings) }
}

fn off(fit: Option<Fit>) -> f64 {
    fit.map_or(
        f64::INFINITY,
        |fit| if fit.friction.dry_per_s2 < 0.0 { 2.0 * fit.off_rad_s + 1e-9 } else { fit.off_rad_s },
    )
}

/// The straight line through `speed = start - slowing × slowed(t)`; dry part is slowing less viscous × start.
fn straight(readings: &[(f64, f64)], viscous_per_s: f64) -> Option<Fit> {
    let count = readings.len() as f64;
    let x = |time: f64| slowed(viscous_per_s, time);
    let (sx, sy) = readings.iter().fold((0.0, 0.0), |(sx, sy), (t, w)| (sx + x(*t), sy + w));
    let (mx, my) = (sx / count, sy / count);
    let (xx, xy) = readings.iter().fold((0.0, 0.0), |(xx, xy), (t, w)| {
        let dx = x(*t) - mx;
        (xx + dx * dx, xy + dx * (w - my))
    });
    if xx <= 0.0 {
        return None;
    }
    let slowing = -xy / xx;
    let start_rad_s = my + slowing * mx;
    let friction = Friction { dry_per_s2: slowing - viscous_per_s * start_rad_s, viscous_per_s };
    let square = |(t, w): &(f64, f64)| (start_rad_s - slowing * x(*t) - w).powi(2);
    let off_rad_s = (readings.iter().map(square).sum::<f64>() / count).sqrt();
    Some(Fit { friction, start_rad_s, off_rad_s })
}

/// A straight line through the logarithms.
fn viscous_only(readings: &[(f64, f64)]) -> Option<Fit> {
    let logs: Vec<(f64, f64)> = readings.iter().filter(|(_, w)| *w > 0.0).map(|(t, w)| (*t, w.ln())).collect();
    let line = straight(&logs, 0.0)?;
    let (start_rad_s, viscous_per_s) = (line.start_rad_s.exp(), line.friction.dry_per_s2);
    let friction = Friction { dry_per_s2: 0.0, viscous_per_s };
    let square = |(t, w): &(f64, f64)| (friction.speed_rad_s(start_rad_s, *t) - w).powi(2);
    let off_rad_s = (readings.iter().map(square).sum::<f64>() / readings.len() as f64).sqrt();
    (viscous_per_s > 0.0).then_some(Fit { friction, start_rad_s, off_rad_s })
}

pub(super) const SPIN_FIT: Calculator = Calculator {
    id: "spin-fit",
    title: "Friction from several readings of speed",
    about: "Bearing friction of a free spool, fitted through its speeds while it runs down.",
    inputs: &[
        MASS,
        INNER,
        OUTER,
        list("readings", "Seconds and rpm of each reading", "0 2000; 6 1000; 12 430; 20 0")
            .help("Three at least; five or more show their own error. The stop counts as one."),
    ],
    formula: "spin-down",
    lines: &["motion", "solution", "ring_inertia"],
    cautions: &["compressed_air"],
    prepare: nothing_to_prepare,
    figures: |given| {
        let inertia = inertia_gcm2(given)?;
        let readings = readings(given)?;
        let found = fit(&readings).ok_or_else(no_fit)?;
        let spread = |part: fn(&Fit) -> f64| left_out(&readings, part);
        let dry = |fit: &Fit| fit.friction.dry_per_s2;
        let viscous = |fit: &Fit| fit.friction.viscous_per_s;
        Ok(vec![
            Figure::new("dry", "Dry friction", Kind::FineTorque, torque_unm(inertia, dry(&found)))
                .give_or_take(torque_unm(inertia, spread(dry))),
            Figure::new("viscous", "Viscous friction", Kind::ViscousDrag, viscous_nnms(inertia, viscous(&found)))
                .give_or_take(viscous_nnms(inertia, spread(viscous))),
            Figure::new("start_speed", "Speed at the start", Kind::Speed, found.start_rad_s / RAD_PER_S_PER_RPM),
            Figure::new("off", "Readings off the fit by", Kind::Speed, found.off_rad_s / RAD_PER_S_PER_RPM),
            Figure::new("inertia", "Inertia", Kind::Inertia, inertia),
        ])
    },
    tell: |given, answer| {
        let readings = readings(given)?;
        let found = fit(&readings).ok_or_else(no_fit)?;
        let points: Vec<(f64, f64)> = readings.iter().map(|(t, w)| (*t, w / RAD_PER_S_PER_RPM)).collect();
        let last = readings.iter().map(|(time, _)| *time).fold(0.0, f64::max);
        plot_decay(answer, found.start_rad_s / RAD_PER_S_PER_RPM, last, found.friction, points);
        if readings.len() < 5 {
            answer.warn("With fewer than five readings the fit can't show its own error.");
        }
        if found.off_rad_s > 0.03 * found.start_rad_s {
            answer.warn("The readings lie far off the fit: a rubbing part, a brake or a click is at work, or a reading is wrong.");
        }
        Ok(())
    },
};

fn no_fit() -> Error {
    Error::invalid("No run-down fits these readings: three or more are needed, at different times, and slowing.")
}

/// Error of a fitted part from fits with each reading left out in turn; 0 where there are too few.
fn left_out(readings: &[(f64, f64)], part: fn(&Fit) -> f64) -> f64 {
    if readings.len() < 5 {
        return 0.0;
    }
    let fits: Vec<f64> = (0..readings.len())
        .filter_map(|out| {
            let rest: Vec<(f64, f64)> =
                readings.iter().enumerate().filter(|(at, _)| *at != out).map(|(_, r)| *r).collect();
            fit(&rest).as_ref().map(part)
        })
        .collect();
    let count = fits.len() as f64;
    let mean = fits.iter().sum::<f64>() / count;
    (fits.iter().map(|fit| (fit - mean).powi(2)).sum::<f64>() * (count - 1.0) / count).sqrt()
}

/// Seconds and radians a second. Of the readings at rest only the first tells anything.
fn readings(given: &Given) -> Result<Vec<(f64, f64)>> {
    let mut read = Vec::new();
    for item in given.items("readings") {
        let numbers: Vec<f64> = item.split_whitespace().filter_map(|word| word.parse().ok()).collect();
        match numbers.as_slice() {
            [time, rpm] if *time >= 0.0 && *rpm >= 0.0 && time.is_finite() && rpm.is_finite() => {
                read.push((*time, rpm * RAD_PER_S_PER_RPM))
            }
            _ => {
                return Err(Error::invalid(format!(
                    "“{item}” is no reading: write seconds, then rpm, such as 6 1000."
                )));
            }
        }
    }
    crate::order::by(&mut read, |a, b| a.0.total_cmp(&b.0));
    if let Some(stop) = read.iter().position(|(_, speed)| *speed == 0.0) {
        read.truncate(stop + 1);
    }
    Ok(read)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn clean_readings_give_their_friction(dry in 0.2..20.0f64, viscous in 0.0..0.3f64, start in 100.0..400.0f64) {
            let known = Friction { dry_per_s2: dry, viscous_per_s: viscous };
            // Up to the time of three quarters of the speed lost.
            let end = (1..).map(|tenth| f64::from(tenth) / 10.0).find(|t| known.speed_rad_s(start, *t) < start / 4.0).unwrap();
            let readings: Vec<(f64, f64)> = (0..8).map(|at| f64::from(at) / 7.0 * end).map(|t| (t, known.speed_rad_s(start, t))).collect();
            let found = fit(&readings).unwrap();
            let first = dry + viscous * start;
            prop_assert!((found.friction.dry_per_s2 - dry).abs() < 2e-3 * first, "{found:?}");
            prop_assert!((found.friction.viscous_per_s - viscous).abs() * start < 2e-3 * first, "{found:?}");
        }
    }
}
