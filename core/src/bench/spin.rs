//! Friction of a spool's bearings, from how it runs down.

use super::answer::{Answer, Figure};
use super::calculator::{Calculator, Given, Input, length, nothing_to_prepare, number};
use super::plot::{Axis, Plot, svg};
use super::units::Kind;
use crate::error::{Error, Result};

/// Radians a second to one turn a minute.
pub(super) const RAD_PER_S_PER_RPM: f64 = std::f64::consts::PI / 30.0;

/// Of a spool taken as a ring.
pub fn ring_inertia_gcm2(mass_g: f64, inner_diameter_mm: f64, outer_diameter_mm: f64) -> f64 {
    let (inner_cm, outer_cm) = (inner_diameter_mm / 20.0, outer_diameter_mm / 20.0);
    0.5 * mass_g * (inner_cm * inner_cm + outer_cm * outer_cm)
}

/// Dry and viscous friction of a spool that slows as `I dw/dt = -(dry + viscous w)`, both divided by its inertia.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// Radians a second, each second.
    pub dry_per_s2: f64,
    /// Each second.
    pub viscous_per_s: f64,
}

impl Friction {
    /// Speed after this time; 0 once it stands.
    pub fn speed_rad_s(self, start_rad_s: f64, time_s: f64) -> f64 {
        let Self { dry_per_s2: dry, viscous_per_s: viscous } = self;
        (start_rad_s * (-viscous * time_s).exp() - dry * slowed(viscous, time_s)).max(0.0)
    }

    /// When it stands; never, without dry friction.
    pub fn stop_s(self, start_rad_s: f64) -> f64 {
        let ratio = self.viscous_per_s * start_rad_s / self.dry_per_s2;
        if ratio < 1e-8 { start_rad_s / self.dry_per_s2 } else { ratio.ln_1p() / self.viscous_per_s }
    }

    /// Turns made by then.
    pub fn turns(self, start_rad_s: f64, time_s: f64) -> f64 {
        let Self { dry_per_s2: dry, viscous_per_s: viscous } = self;
        let time_s = time_s.min(self.stop_s(start_rad_s));
        let angle = if viscous * time_s < 1e-6 {
            start_rad_s * time_s - dry * time_s * time_s / 2.0
        } else {
            (start_rad_s - self.speed_rad_s(start_rad_s, time_s) - dry * time_s) / viscous
        };
        angle / std::f64::consts::TAU
    }

    /// Friction from the times to half speed and to a stop. A spool that takes half its run or more to lose half its
    /// speed shows no viscous friction at all.
    pub fn from_two_times(start_rad_s: f64, time_half_s: f64, time_stop_s: f64) -> Self {
        let wanted = time_half_s / time_stop_s;
        let share = |x: f64| ((1.0 + x) / (1.0 + x / 2.0)).ln() / x.ln_1p();
        let (mut low, mut high) = (0.0f64, 1.0);
        if wanted < 0.5 {
            while share(high) > wanted && high < 1e300 {
                high *= 2.0;
            }
            for _ in 0..200 {
                let middle = (low + high) / 2.0;
                if share(middle) > wanted { low = middle } else { high = middle }
            }
        }
        let x = (low + high) / 2.0;
        if wanted >= 0.5 || x < 1e-9 {
            return Self { dry_per_s2: start_rad_s / time_stop_s, viscous_per_s: 0.0 };
        }
        let viscous_per_s = x.ln_1p() / time_stop_s;
        Self { dry_per_s2: viscous_per_s * start_rad_s / x, viscous_per_s }
    }
}

/// `(1 - exp(-k t)) / k`, and t where k is 0.
pub(super) fn slowed(viscous_per_s: f64, time_s: f64) -> f64 {
    let product = viscous_per_s * time_s;
    if product.abs() < 1e-8 { time_s * (1.0 - product / 2.0) } else { -(-product).exp_m1() / viscous_per_s }
}

pub(super) const MASS: Input = number("mass", "Mass of spool and shaft", Kind::Mass, 0.1, 5000.0).give_or_take(0.1);
pub(super) const INNER: Input =
    length("inner_diameter", "Inside diameter, taken as a ring", 0.0, 400.0).give_or_take(0.5);
pub(super) const OUTER: Input = length("outer_diameter", "Outside diameter", 1.0, 400.0).give_or_take(0.5);

pub(super) fn inertia_gcm2(given: &Given) -> Result<f64> {
    let (inner, outer) = (given.need("inner_diameter")?, given.need("outer_diameter")?);
    if inner >= outer {
        return Err(Error::invalid("The inside diameter must be smaller than the outside."));
    }
    Ok(ring_inertia_gcm2(given.need("mass")?, inner, outer))
}

/// Torque in µN·m of an inertia in g·cm² slowed by so much: 1 g·cm² is 10⁻⁷ kg·m².
pub(super) fn torque_unm(inertia_gcm2: f64, slowing_per_s2: f64) -> f64 {
    inertia_gcm2 * slowing_per_s2 / 10.0
}

/// In nN·m·s, likewise.
pub(super) fn viscous_nnms(inertia_gcm2: f64, per_s: f64) -> f64 {
    inertia_gcm2 * per_s * 100.0
}

pub(super) const SPIN_DOWN: Calculator = Calculator {
    id: "spin-down",
    title: "Friction from a spin-down",
    about: "Bearing friction of a free spool, from the times to half speed and to a stop.",
    inputs: &[
        MASS,
        INNER,
        OUTER,
        number("start_speed", "Speed at the start", Kind::Speed, 1.0, 100_000.0).give_or_take(20.0),
        number("time_half", "Time to half speed", Kind::Time, 0.05, 3600.0).give_or_take(0.2),
        number("time_stop", "Time to a stop", Kind::Time, 0.1, 7200.0).give_or_take(0.2),
    ],
    formula: "spin-down",
    lines: &["motion", "solution", "stop", "two_time_fit", "dry_only", "viscous_only", "ring_inertia", "turns"],
    cautions: &["compressed_air"],
    prepare: nothing_to_prepare,
    figures: |given| {
        let inertia = inertia_gcm2(given)?;
        let rpm = given.need("start_speed")?;
        let (start, half, stop) = (rpm * RAD_PER_S_PER_RPM, given.need("time_half")?, given.need("time_stop")?);
        if half >= stop {
            return Err(Error::invalid("The time to half speed must be shorter than the time to a stop."));
        }
        let friction = Friction::from_two_times(start, half, stop);
        Ok(vec![
            Figure::new("dry", "Dry friction", Kind::FineTorque, torque_unm(inertia, friction.dry_per_s2)),
            Figure::new(
                "viscous",
                "Viscous friction",
                Kind::ViscousDrag,
                viscous_nnms(inertia, friction.viscous_per_s),
            ),
            Figure::new(
                "viscous_to_dry",
                "Viscous to dry, at the start",
                Kind::Number,
                friction.viscous_per_s * start / friction.dry_per_s2,
            ),
            Figure::new(
                "dry_alone",
                "Dry friction, if there were no other",
                Kind::FineTorque,
                torque_unm(inertia, start / stop),
            ),
            Figure::new(
                "viscous_alone",
                "Viscous friction, if there were no other",
                Kind::ViscousDrag,
                viscous_nnms(inertia, std::f64::consts::LN_2 / half),
            ),
            Figure::new("turns", "Turns until it stands", Kind::Number, friction.turns(start, stop)),
            Figure::new("inertia", "Inertia", Kind::Inertia, inertia),
            Figure::new("start_speed", "Speed at the start", Kind::Speed, rpm),
        ])
    },
    tell: |given, answer| {
        let (rpm, half, stop) = (given.need("start_speed")?, given.need("time_half")?, given.need("time_stop")?);
        let friction = Friction::from_two_times(rpm * RAD_PER_S_PER_RPM, half, stop);
        let share = half / stop;
        if share > 0.5 {
            answer.warn(format!(
                "It takes {:.0} % of its run to lose half its speed, more than dry friction alone explains: the friction grows as it slows, \
                 or the timing is off.",
                share * 100.0
            ));
        }
        answer.assumptions.push(
            match share {
                s if s > 0.45 => "mostly dry friction",
                s if s > 0.35 => "dry and viscous friction mixed",
                _ => "a large viscous share: oil, grease, air or a magnet",
            }
            .into(),
        );
        plot_decay(answer, rpm, stop, friction, vec![(0.0, rpm), (half, rpm / 2.0), (stop, 0.0)]);
        Ok(())
    },
};

/// Speed against time, with what dry friction alone would give.
pub(super) fn plot_decay(answer: &mut Answer, rpm: f64, stop: f64, friction: Friction, points: Vec<(f64, f64)>) {
    let start = rpm * RAD_PER_S_PER_RPM;
    let times = || (0..=40).map(|at| f64::from(at) / 40.0 * stop);
    let fitted = times().map(|t| (t, friction.speed_rad_s(start, t) / RAD_PER_S_PER_RPM)).collect();
    let dry = vec![(0.0, rpm), (stop, 0.0)];
    let most = points.iter().map(|(_, rpm)| *rpm).fold(rpm, f64::max);
    answer.plot_svg = Some(svg(&Plot {
        title: "Speed while running down",
        told: format!("From {rpm:.0} rpm to a stop after {stop:.1} s; dashed, with dry friction alone."),
        x: Axis { label: "time, s", from: 0.0, to: stop },
        y: Axis { label: "speed, rpm", from: 0.0, to: most * 1.05 },
        band: None,
        lines: vec![(fitted, false), (dry, true)],
        points,
    }));
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The way back: times of a run with known friction give that friction.
        #[test]
        fn two_times_of_a_known_run_give_its_friction(dry in 0.5..20.0f64, viscous in 0.001..0.5f64, start in 50.0..400.0f64) {
            let time_to = |speed: f64| ((start + dry / viscous) / (speed + dry / viscous)).ln() / viscous;
            let found = Friction::from_two_times(start, time_to(start / 2.0), time_to(0.0));
            prop_assert!((found.dry_per_s2 / dry - 1.0).abs() < 1e-5, "{found:?}");
            prop_assert!((found.viscous_per_s / viscous - 1.0).abs() < 1e-5, "{found:?}");
            prop_assert!(found.speed_rad_s(start, time_to(0.0)) < 1e-4 * start);
        }

        #[test]
        fn speed_and_turns_agree_with_small_steps(dry in 0.5..20.0f64, viscous in 0.0..0.5f64, start in 50.0..400.0f64) {
            let friction = Friction { dry_per_s2: dry, viscous_per_s: viscous };
            let (mut speed, mut angle, step) = (start, 0.0, 1e-4);
            for _ in 0..20_000 {
                let slower = (speed - (dry + viscous * speed) * step).max(0.0);
                angle += (speed + slower) / 2.0 * step;
                speed = slower;
            }
            prop_assert!((friction.speed_rad_s(start, 2.0) - speed).abs() < 1e-2 * start);
            prop_assert!((friction.turns(start, 2.0) * std::f64::consts::TAU / angle - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn a_spool_that_stands_turns_no_further() {
        for viscous_per_s in [0.0, 0.4] {
            let friction = Friction { dry_per_s2: 18.0, viscous_per_s };
            let stop_s = friction.stop_s(50.0);
            assert!(stop_s < 3.0 && friction.speed_rad_s(50.0, stop_s) < 1e-9);
            assert_eq!(friction.turns(50.0, 60.0), friction.turns(50.0, stop_s));
        }
        assert_eq!(Friction { dry_per_s2: 0.0, viscous_per_s: 0.4 }.stop_s(50.0), f64::INFINITY);
    }

    #[test]
    fn half_the_time_for_half_the_speed_is_dry_friction_alone() {
        let friction = Friction::from_two_times(200.0, 10.0, 20.0);
        assert_eq!(friction, Friction { dry_per_s2: 10.0, viscous_per_s: 0.0 });
        assert!((friction.turns(200.0, 20.0) - 2000.0 / std::f64::consts::TAU).abs() < 1e-9);
    }
}
