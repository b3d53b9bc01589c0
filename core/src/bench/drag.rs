//! Drag: from clamp and friction to the torque at the gear, and from there to the pull on the line.

use super::answer::{Answer, Figure};
use super::calculator::{Calculator, Choices, Given, Input, choice, length, nothing_to_prepare, number};
use super::plot::{Axis, Plot, svg};
use super::units::Kind;
use super::with_spread;
use crate::error::{Error, Result};
use crate::reference::{Confidence, FrictionMaterial};

/// Mean radius of the friction on new, stiff faces, where the pressure is the same all over.
pub fn radius_new_mm(outer_mm: f64, inner_mm: f64) -> f64 {
    // (Ro³ - Ri³) / (Ro² - Ri²), with the common factor taken out so that a thin ring does no harm.
    2.0 / 3.0 * (outer_mm * outer_mm + outer_mm * inner_mm + inner_mm * inner_mm) / (outer_mm + inner_mm)
}

/// The same on faces that have run in, where the wear is the same all over: a little less.
pub fn radius_worn_mm(outer_mm: f64, inner_mm: f64) -> f64 {
    (outer_mm + inner_mm) / 2.0
}

pub fn torque_nm(friction: f64, clamp_force_n: f64, faces: f64, radius_mm: f64) -> f64 {
    faces * friction * clamp_force_n * radius_mm / 1000.0
}

pub fn clamp_force_n(torque_nm: f64, friction: f64, faces: f64, radius_mm: f64) -> f64 {
    1000.0 * torque_nm / (faces * friction * radius_mm)
}

pub fn pressure_mpa(clamp_force_n: f64, outer_mm: f64, inner_mm: f64) -> f64 {
    clamp_force_n / (std::f64::consts::PI * (outer_mm * outer_mm - inner_mm * inner_mm))
}

/// Radius at which the line leaves when this share of it is on the spool.
pub fn line_radius_mm(arbor_mm: f64, full_mm: f64, share: f64) -> f64 {
    (arbor_mm * arbor_mm + share * (full_mm * full_mm - arbor_mm * arbor_mm)).sqrt()
}

pub fn line_tension_n(torque_nm: f64, ratio: f64, efficiency: f64, radius_mm: f64) -> f64 {
    1000.0 * torque_nm / (ratio * efficiency) / radius_mm
}

pub(super) const MATERIAL: Input =
    choice("material", "Material of the washers", Choices::FrictionMaterials).optional().help("Or give the friction.");
const STATE: Input = choice("state", "Faces", Choices::Fixed(&[("lubricated", "Greased or oiled"), ("dry", "Dry")]))
    .default("lubricated");
const FRICTION: Input = number("friction", "Friction coefficient", Kind::Number, 0.005, 1.5)
    .optional()
    .help("Left empty, the middle of what is known of the material.");
const CLAMP_FORCE: Input = number("clamp_force", "Clamp force", Kind::Force, 0.0, 20_000.0)
    .help("What the star or lever presses the stack together with.");
const FACES: Input = number("faces", "Faces that slip", Kind::Number, 1.0, 40.0).help(
    "One for each friction washer between a washer of the gear and one of the sleeve; two if it is keyed itself.",
);
const OUTER: Input = length("outer_diameter", "Outside diameter of the contact", 0.5, 300.0);
const INNER: Input = length("inner_diameter", "Inside diameter of the contact", 0.0, 299.0);
const RATIO: Input = number("ratio", "Gear ratio", Kind::Number, 0.2, 20.0)
    .default("1")
    .help("Spool turns to one of the handle; 1 where the stack acts on the spool itself.");
const EFFICIENCY: Input = number("efficiency", "Efficiency of the gears driven backwards", Kind::Number, 0.3, 1.0)
    .default("1")
    .help("0.9 to 1; 1 leaves the gears' own friction out.");
pub(super) const FULL: Input = length("full_diameter", "Diameter of the full spool's line", 1.0, 500.0);
pub(super) const ARBOR: Input = length("arbor_diameter", "Diameter of the bare arbor", 1.0, 499.0);

pub(super) const DRAG: Calculator = Calculator {
    id: "drag",
    title: "Drag, from clamp to line",
    about: "What the drag holds at the gear, and on the line when the spool is full, half and nearly empty.",
    inputs: &[MATERIAL, STATE, FRICTION, CLAMP_FORCE, FACES, OUTER, INNER, RATIO, EFFICIENCY, FULL, ARBOR],
    formula: "friction-stack",
    lines: &["re_uniform_pressure", "re_uniform_wear", "torque", "mean_pressure"],
    cautions: &["hooks"],
    prepare: friction_of_material,
    figures: |given| {
        let mut figures = stack_figures(given)?;
        let torque = torque_worn(given)?;
        figures.extend(tension_figures(given, torque)?);
        Ok(figures)
    },
    tell: |given, answer| {
        tell_material(given, answer);
        if let Some(formula) = given.facts().formula("line-tension") {
            answer
                .formula
                .extend(["tension", "line_radius"].iter().filter_map(|line| formula.lines.get(*line)).cloned());
            answer.assumptions.extend(formula.assumptions.iter().cloned());
        }
        tell_tension(given, answer)
    },
};

pub(super) const TORQUE: Calculator = Calculator {
    id: "drag-torque",
    title: "Torque of a drag stack",
    about: "What a stack of washers holds at a given clamp force.",
    inputs: &[MATERIAL, STATE, FRICTION, CLAMP_FORCE, FACES, OUTER, INNER],
    formula: "friction-stack",
    lines: &["re_uniform_pressure", "re_uniform_wear", "torque", "mean_pressure"],
    cautions: &[],
    prepare: friction_of_material,
    figures: stack_figures,
    tell: |given, answer| {
        tell_material(given, answer);
        Ok(())
    },
};

pub(super) const CLAMP: Calculator = Calculator {
    id: "drag-clamp",
    title: "Clamp for a torque",
    about: "How hard the stack must be pressed together to hold a torque.",
    inputs: &[
        MATERIAL,
        STATE,
        FRICTION,
        number("torque", "Torque to hold at the gear", Kind::Torque, 0.0, 500.0),
        FACES,
        OUTER,
        INNER,
    ],
    formula: "friction-stack",
    lines: &["re_uniform_pressure", "re_uniform_wear", "clamp_for_torque", "mean_pressure"],
    cautions: &[],
    prepare: friction_of_material,
    figures: |given| {
        let (outer, inner) = radii(given)?;
        let (torque, faces) = (given.need("torque")?, given.need("faces")?);
        let friction = given.need("friction")?;
        let force = |radius| clamp_force_n(torque, friction, faces, radius);
        let worn = force(radius_worn_mm(outer, inner));
        Ok(vec![
            Figure::new("clamp_worn", "Clamp force, faces run in", Kind::Force, worn),
            Figure::new("clamp_new", "Clamp force, faces new", Kind::Force, force(radius_new_mm(outer, inner))),
            Figure::new("pressure", "Mean pressure on the faces", Kind::Stress, pressure_mpa(worn, outer, inner)),
        ])
    },
    tell: |given, answer| {
        tell_material(given, answer);
        Ok(())
    },
};

pub(super) const TENSION: Calculator = Calculator {
    id: "line-tension",
    title: "Line tension from the drag's torque",
    about: "How the pull on the line rises as the spool empties while the drag stays as it is.",
    inputs: &[
        number("torque", "Torque of the drag at the gear", Kind::Torque, 0.0, 500.0),
        RATIO,
        EFFICIENCY,
        FULL,
        ARBOR,
    ],
    formula: "line-tension",
    lines: &["spool_torque", "tension", "line_radius", "rise"],
    cautions: &["hooks"],
    prepare: nothing_to_prepare,
    figures: |given| {
        let torque = given.need("torque")?;
        let spool = torque / (given.need("ratio")? * given.need("efficiency")?);
        let mut figures = vec![Figure::new("spool_torque", "Torque at the spool", Kind::Torque, spool)];
        figures.extend(tension_figures(given, torque)?);
        Ok(figures)
    },
    tell: tell_tension,
};

/// Takes the friction from the chosen material where none is given: the middle of its band, ± half of it.
fn friction_of_material(given: &mut Given) -> Result<()> {
    if given.get("friction").is_some() {
        return Ok(());
    }
    let Some(material) = given.facts().friction(given.text("material")) else {
        return Err(Error::invalid("Choose the material of the washers, or give the friction coefficient."));
    };
    let dry = given.text("state") == "dry";
    let Some([least, most]) = (if dry { material.dry } else { material.lubricated }) else {
        let state = if dry { "dry" } else { "greased" };
        return Err(Error::invalid(format!("Nothing is known of {} {state}: give the friction.", material.name)));
    };
    given.set("friction", (least + most) / 2.0, (most - least) / 2.0);
    Ok(())
}

fn radii(given: &Given) -> Result<(f64, f64)> {
    let (outer, inner) = (given.need("outer_diameter")? / 2.0, given.need("inner_diameter")? / 2.0);
    if inner >= outer {
        return Err(Error::invalid("The inside diameter of the contact must be smaller than the outside."));
    }
    Ok((outer, inner))
}

fn torque_worn(given: &Given) -> Result<f64> {
    let (outer, inner) = radii(given)?;
    let (friction, force, faces) = (given.need("friction")?, given.need("clamp_force")?, given.need("faces")?);
    Ok(torque_nm(friction, force, faces, radius_worn_mm(outer, inner)))
}

fn stack_figures(given: &Given) -> Result<Vec<Figure>> {
    let (outer, inner) = radii(given)?;
    let (friction, force, faces) = (given.need("friction")?, given.need("clamp_force")?, given.need("faces")?);
    let (new, worn) = (radius_new_mm(outer, inner), radius_worn_mm(outer, inner));
    let torque = |radius| torque_nm(friction, force, faces, radius);
    Ok(vec![
        Figure::new("torque_worn", "Torque, faces run in", Kind::Torque, torque(worn)),
        Figure::new("torque_new", "Torque, faces new", Kind::Torque, torque(new)),
        Figure::new("difference", "New above run in", Kind::Percent, (new / worn - 1.0) * 100.0),
        Figure::new("radius_worn", "Mean radius of friction, run in", Kind::Length, worn),
        Figure::new("radius_new", "Mean radius of friction, new", Kind::Length, new),
        Figure::new("pressure", "Mean pressure on the faces", Kind::Stress, pressure_mpa(force, outer, inner)),
    ])
}

/// Half diameters of the full and the bare spool.
pub(super) fn spool_radii(given: &Given) -> Result<(f64, f64)> {
    let (full, arbor) = (given.need("full_diameter")? / 2.0, given.need("arbor_diameter")? / 2.0);
    if arbor >= full {
        return Err(Error::invalid("The bare arbor must be smaller than the full spool."));
    }
    Ok((full, arbor))
}

fn tension_figures(given: &Given, torque: f64) -> Result<Vec<Figure>> {
    let (full, arbor) = spool_radii(given)?;
    let (ratio, efficiency) = (given.need("ratio")?, given.need("efficiency")?);
    let tension = |share| line_tension_n(torque, ratio, efficiency, line_radius_mm(arbor, full, share));
    let rise = |share| full / line_radius_mm(arbor, full, share);
    Ok(vec![
        Figure::new("tension_full", "Pull on the line, spool full", Kind::Force, tension(1.0)),
        Figure::new("tension_half", "Pull on the line, half of it out", Kind::Force, tension(0.5)),
        Figure::new("tension_empty", "Pull on the line, nearly all out", Kind::Force, tension(0.0)),
        Figure::new("rise_half", "Times the full spool's, half out", Kind::Number, rise(0.5)),
        Figure::new("rise_empty", "Times the full spool's, nearly all out", Kind::Number, rise(0.0)),
    ])
}

fn tell_tension(given: &Given, answer: &mut Answer) -> Result<()> {
    let (full, arbor) = spool_radii(given)?;
    let (Some(at_full), Some(at_empty)) = (answer.figure("tension_full"), answer.figure("tension_empty")) else {
        return Ok(());
    };
    let (least, spread) = (at_full.value, at_full.plus_minus);
    let told = format!("From {} with the spool full to {} with it nearly empty.", at_full.text(), at_empty.text());
    let most = at_empty.value + at_empty.plus_minus;
    if most > 0.0 {
        let curve = |tension: f64| -> Vec<(f64, f64)> {
            (0..=25)
                .map(|at| f64::from(at) / 25.0)
                .map(|share| (share * 100.0, tension * full / line_radius_mm(arbor, full, share)))
                .collect()
        };
        let mut lines = vec![(curve(least), false)];
        if spread > 0.0 {
            lines.extend([(curve((least - spread).max(0.0)), true), (curve(least + spread), true)]);
        }
        answer.plot_svg = Some(svg(&Plot {
            title: "Drag against line left on the spool",
            told,
            x: Axis { label: "line left on the spool, %", from: 0.0, to: 100.0 },
            y: Axis { label: "pull, N", from: 0.0, to: most.max((least + spread) * full / arbor) * 1.05 },
            band: None,
            lines,
            points: Vec::new(),
        }));
    }
    if full / arbor > 1.5 {
        answer.warn(format!(
            "The pull rises {:.1} times while the spool empties: ease the drag on a long run.",
            full / arbor
        ));
    }
    Ok(())
}

/// What is known of the chosen material, and whether it stands this.
fn tell_material(given: &Given, answer: &mut Answer) {
    let Some(material) = given.facts().friction(given.text("material")) else { return };
    let pressure = answer.figure("pressure").map_or(0.0, |figure| figure.value);
    if let Some(most) = material.most_mpa.filter(|most| pressure > *most) {
        answer.warn(format!(
            "{} is named to stand {}; this stack would press it with {}.",
            material.name,
            with_spread(most, 0.0, "MPa"),
            with_spread(pressure, 0.0, "MPa")
        ));
    }
    if material.confidence == Confidence::Low {
        answer.warn(format!("Unverified: the friction of {}.", material.name));
    }
    answer.assumptions.push(friction_words(material, given));
    if !material.care.is_empty() {
        answer.warn(material.care.clone());
    }
    if material.asbestos {
        answer.caution(given.reference, "asbestos");
    }
    answer.cite(given.reference, &material.src);
}

fn friction_words(material: &FrictionMaterial, given: &Given) -> String {
    let friction = with_spread(given.get("friction").unwrap_or_default(), given.spread("friction"), "");
    let about = if material.about.is_empty() { String::new() } else { format!(" ({})", material.about) };
    format!("friction {friction}, as known against {}{about}", material.against)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn worn_faces_hold_less_and_both_lie_between_the_radii(outer in 1.0..50.0f64, part in 0.0..0.99f64) {
            let inner = outer * part;
            let (new, worn) = (radius_new_mm(outer, inner), radius_worn_mm(outer, inner));
            prop_assert!(inner <= worn && worn <= new + 1e-12 && new < outer);
            // The integral of r² dr over that of r dr, by a thousand rings.
            let ring = |at: i32| inner + (outer - inner) * (f64::from(at) + 0.5) / 1000.0;
            let sum = |power: i32| (0..1000).map(|at| ring(at).powi(power)).sum::<f64>();
            prop_assert!((sum(2) / sum(1) / new - 1.0).abs() < 1e-5);
        }

        #[test]
        fn the_clamp_for_a_torque_gives_that_torque(
            friction in 0.02..0.6f64, faces in 1.0..12.0f64, radius in 2.0..40.0f64, torque in 0.01..50.0f64
        ) {
            let force = clamp_force_n(torque, friction, faces, radius);
            prop_assert!((torque_nm(friction, force, faces, radius) / torque - 1.0).abs() < 1e-12);
        }

        #[test]
        fn the_less_line_the_more_pull(arbor in 5.0..20.0f64, more in 1.0..40.0f64, a in 0.0..1.0f64, b in 0.0..1.0f64) {
            let pull = |share| line_tension_n(3.0, 4.0, 1.0, line_radius_mm(arbor, arbor + more, share));
            prop_assert!((a < b) == (pull(a) > pull(b)) || a == b || (pull(a) / pull(b) - 1.0).abs() < 1e-12);
            prop_assert!((line_radius_mm(arbor, arbor + more, 0.0) - arbor).abs() < 1e-9);
            prop_assert!((line_radius_mm(arbor, arbor + more, 1.0) - arbor - more).abs() < 1e-9);
        }
    }
}
