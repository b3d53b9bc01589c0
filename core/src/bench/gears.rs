//! Gears: ratio from teeth or turns, module and pitch from a measured wheel, sizes from both.

use super::answer::{Answer, Figure, Table};
use super::calculator::{Calculator, Choices, Given, Input, choice, length, nothing_to_prepare, number};
use super::units::Kind;
use super::{with_spread, written};
use crate::error::{Error, Result};

/// Module of a wheel by its teeth and tip diameter. `heads` is two for full depth: one tooth head on either side.
pub fn module_mm(outside_mm: f64, teeth: f64, helix_deg: f64, heads: f64) -> f64 {
    outside_mm / (teeth / helix_deg.to_radians().cos() + heads)
}

pub fn outside_mm(module_mm: f64, teeth: f64, helix_deg: f64) -> f64 {
    module_mm * (teeth / helix_deg.to_radians().cos() + 2.0)
}

pub fn centre_distance_mm(module_mm: f64, gear_teeth: f64, pinion_teeth: f64, helix_deg: f64) -> f64 {
    module_mm * (gear_teeth + pinion_teeth) / (2.0 * helix_deg.to_radians().cos())
}

const fn teeth(id: &'static str, label: &'static str) -> Input {
    number(id, label, Kind::Number, 3.0, 500.0)
}
const HELIX: Input = number("helix_angle", "Helix angle of the teeth", Kind::Angle, 0.0, 60.0)
    .default("0")
    .help("0 for straight teeth. Slanting teeth: measure it, or trust only the ratio.");

pub(super) const RATIO: Calculator = Calculator {
    id: "gear-ratio",
    title: "Gear ratio from teeth",
    about: "Turns of the spool to one of the handle.",
    inputs: &[
        teeth("gear_teeth", "Teeth of the gear, handle side"),
        teeth("pinion_teeth", "Teeth of its pinion"),
        teeth("second_gear_teeth", "Teeth of a second gear").optional(),
        teeth("second_pinion_teeth", "Teeth of the second pinion").optional(),
    ],
    formula: "gears",
    lines: &["ratio", "compound"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        whole(given, &["gear_teeth", "pinion_teeth", "second_gear_teeth", "second_pinion_teeth"])?;
        let first = given.need("gear_teeth")? / given.need("pinion_teeth")?;
        let second = match (given.get("second_gear_teeth"), given.get("second_pinion_teeth")) {
            (Some(gear), Some(pinion)) => gear / pinion,
            (None, None) => 1.0,
            _ => return Err(Error::invalid("A second pair needs the teeth of both its wheels.")),
        };
        Ok(vec![Figure::new("ratio", "Gear ratio", Kind::Number, first * second)])
    },
    tell: |given, answer| {
        let (gear, pinion) = (given.need("gear_teeth")?, given.need("pinion_teeth")?);
        if (gear / pinion).fract() == 0.0 {
            answer
                .assumptions
                .push("the ratio is a whole number: the same teeth meet at every turn and wear together".into());
        }
        Ok(())
    },
};

pub(super) const RATIO_BY_TURNS: Calculator = Calculator {
    id: "gear-ratio-turns",
    title: "Gear ratio from turns",
    about: "The ratio of a reel that stays closed: turn the handle, count the spool.",
    inputs: &[
        number("handle_turns", "Turns of the handle", Kind::Number, 0.25, 1000.0)
            .help("Ten turns make the error ten times smaller."),
        number("spool_turns", "Turns of the spool or rotor", Kind::Number, 0.05, 20_000.0).give_or_take(0.25),
        teeth("gear_teeth", "Teeth of the gear, if they can be counted").optional(),
    ],
    formula: "gears",
    lines: &["ratio"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let ratio = given.need("spool_turns")? / given.need("handle_turns")?;
        let mut figures = vec![Figure::new("ratio", "Gear ratio", Kind::Number, ratio)];
        if let Some(gear) = given.get("gear_teeth") {
            figures.push(Figure::new("pinion_teeth", "Teeth of the pinion", Kind::Number, gear / ratio));
        }
        Ok(figures)
    },
    tell: |_, answer| {
        if let Some(teeth) = answer.figure("pinion_teeth") {
            let (least, most) = (teeth.value - teeth.plus_minus, teeth.value + teeth.plus_minus);
            let fits: Vec<String> =
                (least.ceil() as i64..=most.floor() as i64).map(|count| count.to_string()).collect();
            match fits.as_slice() {
                [] => answer.warn("No whole number of teeth fits: count the turns and the teeth again."),
                [_] => {}
                _ => answer.warn(format!("Pinions of {} teeth all fit: count over more turns.", fits.join(", "))),
            }
        }
        Ok(())
    },
};

pub(super) const MODULE: Calculator = Calculator {
    id: "gear-module",
    title: "Module and pitch of a gear",
    about: "The size of the teeth, from their number and the outside diameter.",
    inputs: &[
        teeth("teeth", "Teeth"),
        length("outside_diameter", "Outside diameter, over the tips", 1.0, 300.0),
        HELIX,
        choice("depth", "Teeth", Choices::Fixed(&[("full", "Full depth"), ("stub", "Stub (unverified)")]))
            .default("full"),
    ],
    formula: "gears",
    lines: &["module_spur", "dp_spur", "helical_tip"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        whole(given, &["teeth"])?;
        let heads = if given.text("depth") == "stub" { 1.6 } else { 2.0 };
        let module =
            module_mm(given.need("outside_diameter")?, given.need("teeth")?, given.need("helix_angle")?, heads);
        Ok(vec![Figure::new("module", "Module", Kind::Module, module)])
    },
    tell: nearest_preferred,
};

pub(super) const SIZE: Calculator = Calculator {
    id: "gear-size",
    title: "Sizes of a pair of gears",
    about: "Outside diameters and distance of the centres, from module and teeth.",
    inputs: &[
        number("module", "Module", Kind::Module, 0.1, 10.0),
        teeth("gear_teeth", "Teeth of the gear"),
        teeth("pinion_teeth", "Teeth of the pinion"),
        HELIX,
        length("measured_centre", "Distance of the centres as measured", 1.0, 300.0).optional(),
    ],
    formula: "gears",
    lines: &["centre_spur", "helical_tip", "helical_centre", "axial_shift_check"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        whole(given, &["gear_teeth", "pinion_teeth"])?;
        let (module, helix) = (given.need("module")?, given.need("helix_angle")?);
        let (gear, pinion) = (given.need("gear_teeth")?, given.need("pinion_teeth")?);
        let centre = centre_distance_mm(module, gear, pinion, helix);
        let mut figures = vec![
            Figure::new("gear_outside", "Outside diameter of the gear", Kind::Length, outside_mm(module, gear, helix)),
            Figure::new(
                "pinion_outside",
                "Outside diameter of the pinion",
                Kind::Length,
                outside_mm(module, pinion, helix),
            ),
            Figure::new("centre_distance", "Distance of the centres", Kind::Length, centre),
        ];
        if let Some(measured) = given.get("measured_centre") {
            figures.push(Figure::new("centre_off", "Measured less reckoned", Kind::Length, measured - centre));
        }
        Ok(figures)
    },
    tell: |given, answer| {
        let module = given.need("module")?;
        if let Some(off) = answer.figure("centre_off").filter(|off| off.value.abs() > 0.05 * module) {
            let text = off.text();
            answer.warn(format!(
                "The centres lie {text} from where these gears want them: worn or shifted bearings, teeth cut with a shift, or a \
                 wrong count."
            ));
        }
        Ok(())
    },
};

fn whole(given: &Given, ids: &[&str]) -> Result<()> {
    match ids.iter().find(|id| given.get(id).is_some_and(|count| count.fract() != 0.0)) {
        Some(_) => Err(Error::invalid("Teeth are counted in whole numbers.")),
        None => Ok(()),
    }
}

fn nearest_preferred(given: &Given, answer: &mut Answer) -> Result<()> {
    let Some((module, spread)) = answer.figure("module").map(|figure| (figure.value, figure.plus_minus)) else {
        return Ok(());
    };
    let pack = given.facts();
    let metric = pack.gear_modules_mm.iter().map(|mm| (format!("module {mm}"), *mm));
    let inch = pack.gear_pitches_per_inch.iter().map(|pitch| (format!("{pitch} per inch"), 25.4 / pitch));
    let mut known: Vec<(String, f64)> = metric.chain(inch).collect();
    crate::order::by(&mut known, |a, b| (a.1 - module).abs().total_cmp(&(b.1 - module).abs()));
    let row = |(name, mm): &(String, f64)| {
        let off = (mm / module - 1.0) * 100.0;
        vec![
            name.clone(),
            with_spread(*mm, 0.0, "mm"),
            format!("{}{} %", if off >= 0.0 { "+" } else { "" }, written(off, 0.1)),
        ]
    };
    answer.table = Some(Table {
        heads: vec!["preferred size", "module", "off by"],
        rows: known.iter().take(3).map(row).collect(),
    });
    answer.warn("Unverified: the list of preferred sizes. A gear that must mesh is cut to the old one, not to the nearest size.");
    if known.first().is_some_and(|(_, mm)| (mm - module).abs() > spread.max(0.01 * module) * 2.0) {
        answer.warn(
            "No preferred size lies within the error: slanting, stub or shifted teeth, or a size of the maker's own.",
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_module_of_a_wheel_cut_to_a_module_is_that_module(module in 0.2..3.0f64, teeth in 6u32..120, helix in 0.0..50.0f64) {
            let outside = outside_mm(module, f64::from(teeth), helix);
            prop_assert!((module_mm(outside, f64::from(teeth), helix, 2.0) / module - 1.0).abs() < 1e-12);
        }

        #[test]
        fn slanting_teeth_take_more_room(module in 0.2..3.0f64, gear in 20u32..120, pinion in 6u32..20, helix in 1.0..50.0f64) {
            let (gear, pinion) = (f64::from(gear), f64::from(pinion));
            prop_assert!(centre_distance_mm(module, gear, pinion, helix) > centre_distance_mm(module, gear, pinion, 0.0));
            // Pitch circles touch: the outsides overlap by two heads.
            let overlap = (outside_mm(module, gear, helix) + outside_mm(module, pinion, helix)) / 2.0
                - centre_distance_mm(module, gear, pinion, helix);
            prop_assert!((overlap / module - 2.0).abs() < 1e-9);
        }
    }
}
