//! Springs: how stiff, and how hard the wire is stressed.

use super::answer::{Answer, Figure};
use super::calculator::{Calculator, Choices, Given, Input, choice, length, list, nothing_to_prepare, number};
use super::units::{Kind, quantity};
use crate::error::{Error, Result};

/// Rate of a coil spring, `mean` being the diameter to the middle of the wire.
pub fn coil_n_per_mm(shear_mpa: f64, wire_mm: f64, mean_mm: f64, coils: f64) -> f64 {
    shear_mpa * wire_mm.powi(4) / (8.0 * mean_mm.powi(3) * coils)
}

/// By how much the wire's curve raises its stress; `index` is mean diameter by wire diameter.
pub fn curvature_factor(index: f64) -> f64 {
    (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index
}

pub fn coil_stress_mpa(force_n: f64, wire_mm: f64, mean_mm: f64) -> f64 {
    curvature_factor(mean_mm / wire_mm) * 8.0 * force_n * mean_mm / (std::f64::consts::PI * wire_mm.powi(3))
}

pub fn leaf_one_end_n_per_mm(elastic_mpa: f64, width_mm: f64, thickness_mm: f64, length_mm: f64) -> f64 {
    elastic_mpa * width_mm * thickness_mm.powi(3) / (4.0 * length_mm.powi(3))
}

pub fn leaf_both_ends_n_per_mm(elastic_mpa: f64, width_mm: f64, thickness_mm: f64, length_mm: f64) -> f64 {
    16.0 * leaf_one_end_n_per_mm(elastic_mpa, width_mm, thickness_mm, length_mm)
}

pub fn torsion_nmm_per_rad(elastic_mpa: f64, wire_mm: f64, mean_mm: f64, coils: f64) -> f64 {
    elastic_mpa * wire_mm.powi(4) / (64.0 * mean_mm * coils)
}

const METAL: Input = choice("metal", "Metal", Choices::SpringMetals).optional().help("Or give its modulus.");
const SHEAR: Input = number("shear_modulus", "Shear modulus", Kind::Stress, 1000.0, 200_000.0).optional();
const ELASTIC: Input = number("elastic_modulus", "Elastic modulus", Kind::Stress, 1000.0, 400_000.0).optional();
const WIRE: Input = number("wire_diameter", "Diameter of the wire", Kind::Length, 0.02, 10.0)
    .give_or_take(0.005)
    .help("By micrometer: it counts to the fourth power.");
const OUTSIDE: Input = length("outside_diameter", "Outside diameter of the coils", 0.1, 200.0);
const COILS: Input =
    number("coils", "Coils that work", Kind::Number, 0.5, 200.0).give_or_take(0.25).help("Closed ends: all but two.");

pub(super) const COIL: Calculator = Calculator {
    id: "spring-coil",
    title: "Coil spring",
    about: "How stiff a compression or tension spring is.",
    inputs: &[
        METAL,
        SHEAR,
        WIRE,
        OUTSIDE,
        COILS,
        number("force", "Force on it", Kind::Force, 0.0, 5000.0).optional().help("For its stress and travel."),
    ],
    formula: "springs",
    lines: &["coil", "coil_stress"],
    cautions: &["springs"],
    prepare: |given| modulus_of_metal(given, "shear_modulus"),
    figures: |given| {
        let (wire, mean) = wire_and_mean(given)?;
        let rate = coil_n_per_mm(given.need("shear_modulus")?, wire, mean, given.need("coils")?);
        let mut figures = vec![
            Figure::new("rate", "Stiffness", Kind::Rate, rate),
            Figure::new("index", "Mean diameter by wire", Kind::Number, mean / wire),
            Figure::new("curvature", "Stress raised by the curve", Kind::Number, curvature_factor(mean / wire)),
        ];
        if let Some(force) = given.get("force") {
            figures.push(Figure::new(
                "stress",
                "Shear stress of the wire",
                Kind::Stress,
                coil_stress_mpa(force, wire, mean),
            ));
            figures.push(Figure::new("travel", "Travel under the force", Kind::Length, force / rate));
        }
        Ok(figures)
    },
    tell: |given, answer| {
        tell_metal(given, answer);
        if answer.figure("index").is_some_and(|figure| figure.value < 4.0) {
            answer.warn("The coils are tight for their wire (under 4 to 1): the formula grows unsure.");
        }
        Ok(())
    },
};

pub(super) const LEAF: Calculator = Calculator {
    id: "spring-leaf",
    title: "Leaf spring",
    about: "How stiff a flat spring is, held at one end or resting on both.",
    inputs: &[
        METAL,
        ELASTIC,
        length("width", "Width", 0.2, 100.0),
        number("thickness", "Thickness", Kind::Length, 0.02, 10.0)
            .give_or_take(0.005)
            .help("By micrometer: it counts to the third power."),
        length("length", "Free length", 0.5, 500.0).give_or_take(0.2),
    ],
    formula: "springs",
    lines: &["leaf_cantilever", "leaf_both_ends_supported"],
    cautions: &["springs"],
    prepare: |given| modulus_of_metal(given, "elastic_modulus"),
    figures: |given| {
        let (elastic, width) = (given.need("elastic_modulus")?, given.need("width")?);
        let (thickness, length) = (given.need("thickness")?, given.need("length")?);
        if thickness >= length {
            return Err(Error::invalid("A leaf is longer than it is thick: look at both again."));
        }
        Ok(vec![
            Figure::new(
                "rate_one_end",
                "Stiffness at the free end",
                Kind::Rate,
                leaf_one_end_n_per_mm(elastic, width, thickness, length),
            ),
            Figure::new(
                "rate_both_ends",
                "Stiffness in the middle, both ends resting",
                Kind::Rate,
                leaf_both_ends_n_per_mm(elastic, width, thickness, length),
            ),
        ])
    },
    tell: |given, answer| {
        tell_metal(given, answer);
        Ok(())
    },
};

pub(super) const TORSION: Calculator = Calculator {
    id: "spring-torsion",
    title: "Torsion coil",
    about: "How stiff a spring is that is wound up, such as a bail spring.",
    inputs: &[METAL, ELASTIC, WIRE, OUTSIDE, COILS],
    formula: "springs",
    lines: &["torsion_coil"],
    cautions: &["springs"],
    prepare: |given| modulus_of_metal(given, "elastic_modulus"),
    figures: |given| {
        let (wire, mean) = wire_and_mean(given)?;
        let rate = torsion_nmm_per_rad(given.need("elastic_modulus")?, wire, mean, given.need("coils")?);
        Ok(vec![Figure::new("twist_rate", "Stiffness", Kind::TwistRate, rate)])
    },
    tell: |given, answer| {
        tell_metal(given, answer);
        Ok(())
    },
};

pub(super) const TOGETHER: Calculator = Calculator {
    id: "springs-together",
    title: "Springs together",
    about: "The stiffness of several springs one after the other, or side by side.",
    inputs: &[list("rates", "Stiffness of each", "1.5; 2 N/mm; 10 lbf/in")],
    formula: "springs",
    lines: &["series", "parallel"],
    cautions: &["springs"],
    prepare: nothing_to_prepare,
    figures: |given| {
        let read = |text: &&str| quantity(text, Kind::Rate, Kind::Rate.units()[0]).map(|rate| rate.value);
        let rates = given.items("rates").iter().map(read).collect::<Result<Vec<f64>>>()?;
        if rates.len() < 2 || rates.contains(&0.0) {
            return Err(Error::invalid("Give the stiffness of two springs or more, none of them 0."));
        }
        Ok(vec![
            Figure::new(
                "series",
                "One after the other",
                Kind::Rate,
                1.0 / rates.iter().map(|rate| 1.0 / rate).sum::<f64>(),
            ),
            Figure::new("parallel", "Side by side", Kind::Rate, rates.iter().sum()),
        ])
    },
    tell: super::calculator::nothing_to_tell,
};

fn wire_and_mean(given: &Given) -> Result<(f64, f64)> {
    let (wire, outside) = (given.need("wire_diameter")?, given.need("outside_diameter")?);
    if outside <= 2.0 * wire {
        return Err(Error::invalid(
            "The coils must be more than two wires across: is it the outside that was measured?",
        ));
    }
    Ok((wire, outside - wire))
}

fn modulus_of_metal(given: &mut Given, id: &'static str) -> Result<()> {
    if given.get(id).is_some() {
        return Ok(());
    }
    let Some(metal) = given.facts().spring_metals.iter().find(|metal| metal.id == given.text("metal")) else {
        return Err(Error::invalid("Choose the metal of the spring, or give its modulus."));
    };
    let modulus = if id == "shear_modulus" { metal.shear_mpa } else { metal.elastic_mpa };
    // Tempers and alloys of one name differ by some hundredths.
    given.set(id, modulus, 0.03 * modulus);
    Ok(())
}

fn tell_metal(given: &Given, answer: &mut Answer) {
    if let Some(metal) = given.facts().spring_metals.iter().find(|metal| metal.id == given.text("metal")) {
        answer.cite(given.reference, &metal.src);
        answer.assumptions.push(format!("± 3 % on the modulus of {}", metal.name.to_lowercase()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn twice_the_coils_is_two_springs_in_a_row(wire in 0.2..2.0f64, index in 3.0..15.0f64, coils in 2.0..20.0f64) {
            let rate = |coils| coil_n_per_mm(80_000.0, wire, wire * index, coils);
            prop_assert!((rate(2.0 * coils) * 2.0 / rate(coils) - 1.0).abs() < 1e-12);
            // All else alike, the rate of a larger copy grows with its size.
            let larger = coil_n_per_mm(80_000.0, 2.0 * wire, 2.0 * wire * index, coils);
            prop_assert!((larger / rate(coils) / 2.0 - 1.0).abs() < 1e-12);
        }

        #[test]
        fn the_curve_raises_the_stress_less_in_wide_coils(index in 2.0..40.0f64) {
            prop_assert!(curvature_factor(index) > curvature_factor(index + 1.0));
            prop_assert!(curvature_factor(index) > 1.0 && (curvature_factor(1e9) - 1.0).abs() < 1e-6);
        }
    }
}
