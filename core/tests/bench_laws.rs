//! What holds of every calculator whatever is entered: which figure rises with which input, where inputs end, and how
//! its plot looks.

use std::collections::BTreeMap;

use proptest::prelude::*;
use tailplate_core::bench::{Answer, Calculator, Entry, Inputs, Wants, calculators, inputs_from_json, run};
use tailplate_core::reference::Reference;

fn shipped() -> Reference {
    Reference::load([
        ("care.json", include_str!("../../public/reference/care.json")),
        ("mechanics.json", include_str!("../../public/reference/mechanics.json")),
    ])
    .unwrap()
}

/// One sensible asking of every calculator.
const ASKED: &[(&str, &str)] = &[
    (
        "drag",
        r#"{"friction": 0.2, "clamp_force": 300, "faces": 5, "outer_diameter": 28, "inner_diameter": 13, "ratio": 4, "efficiency": 0.95, "full_diameter": 44, "arbor_diameter": 22}"#,
    ),
    ("drag-torque", r#"{"friction": 0.2, "clamp_force": 300, "faces": 5, "outer_diameter": 28, "inner_diameter": 13}"#),
    ("drag-clamp", r#"{"friction": 0.2, "torque": 3, "faces": 5, "outer_diameter": 28, "inner_diameter": 13}"#),
    ("line-tension", r#"{"torque": 3.075, "ratio": 4, "efficiency": 0.95, "full_diameter": 44, "arbor_diameter": 22}"#),
    (
        "drag-setting",
        r#"{"strength": 100, "share_low": 0.25, "share_high": 0.33, "guide_friction": 0.1, "guide_angle": 90}"#,
    ),
    (
        "washers",
        r#"{"stock": ["friction 0.8 x4", "metal 0.5 x4"], "friction_washers": 3, "metal_washers": 2, "least_height": 3.2, "most_height": 3.6}"#,
    ),
    (
        "stack-height",
        r#"{"parts": ["friction 0.8 x3", "keyed 0.5", "eared 0.5"], "each_error": 0.02, "compression": 0.1, "least_height": 3, "most_height": 3.6, "space": 4}"#,
    ),
    (
        "line-capacity",
        r#"{"arbor_diameter": 25, "full_diameter": 50, "width": 35, "line_diameter": 0.4, "packing": 0.7}"#,
    ),
    (
        "line-packing",
        r#"{"arbor_diameter": 25, "full_diameter": 50, "width": 35, "line_diameter": 0.4, "length": 287}"#,
    ),
    (
        "line-conversion",
        r#"{"length": 287, "line_diameter": 0.4, "other_diameter": 0.3, "packing": 0.7, "other_packing": 0.7}"#,
    ),
    (
        "line-backing",
        r#"{"arbor_diameter": 25, "full_diameter": 50, "width": 35, "top_length": 100, "top_diameter": 0.4, "backing_diameter": 0.3, "top_packing": 0.7, "backing_packing": 0.7}"#,
    ),
    ("line-diameter", r#"{"line": "nylon-monofilament", "label": 10}"#),
    ("line-per-turn", r#"{"ratio": 4, "full_diameter": 50, "arbor_diameter": 25, "share": 0.5}"#),
    ("gear-ratio", r#"{"gear_teeth": 56, "pinion_teeth": 14}"#),
    ("gear-ratio-turns", r#"{"handle_turns": 10, "spool_turns": 41, "gear_teeth": 56}"#),
    ("gear-module", r#"{"teeth": 56, "outside_diameter": 29}"#),
    ("gear-size", r#"{"module": 0.5, "gear_teeth": 56, "pinion_teeth": 14, "helix_angle": 20}"#),
    ("thread", r#"{"diameter": 3, "pitch": 0.5}"#),
    ("bearing", r#"{"bore": 5, "outside": 11, "width": 4}"#),
    (
        "spring-coil",
        r#"{"shear_modulus": 80000, "wire_diameter": 0.6, "outside_diameter": 5.6, "coils": 6, "force": 10}"#,
    ),
    ("spring-leaf", r#"{"elastic_modulus": 110000, "width": 5, "thickness": 0.3, "length": 18}"#),
    ("spring-torsion", r#"{"elastic_modulus": 200000, "wire_diameter": 0.8, "outside_diameter": 8, "coils": 5}"#),
    ("springs-together", r#"{"rates": ["1.5", "2"]}"#),
    (
        "spin-down",
        r#"{"mass": 18, "inner_diameter": 24, "outer_diameter": 34, "start_speed": 2000, "time_half": 7, "time_stop": 20}"#,
    ),
    (
        "spin-fit",
        r#"{"mass": 18, "inner_diameter": 24, "outer_diameter": 34, "readings": [[0, 2000], [3, 1443], [6, 1000], [12, 442], [20, 0]]}"#,
    ),
    (
        "card-photo",
        r#"{"corners": "1619 1298.5; 2171.3 1291.2; 2185.7 1626.9; 1654.4 1623.3", "ends": "1700.4 1359.9; 2084.5 1356.3", "tap_error": 2}"#,
    ),
    (
        "coin-photo",
        r#"{"coin_diameter": 24, "rim": "620 300; 580 385; 500 420; 415 380; 380 300; 500 180", "ends": "400 300; 600 300", "tap_error": 2}"#,
    ),
    (
        "coin-scale",
        r#"{"coin_diameter": 24.26, "long_axis": 300, "short_axis": 260, "along": 400, "across": 150, "tap_error": 2}"#,
    ),
    ("edge-scale", r#"{"scale": 10, "tap_error": 2, "length": 60, "edge": 85.6}"#),
    ("height-error", r#"{"distance": 500, "height": 25, "reading": 52.6, "allowed_error": 1}"#),
    ("camera-distance", r#"{"image_width": 4032, "focal_35": 26, "known_length": 85.6, "known_pixels": 450}"#),
    ("convert", r#"{"units": "lbf", "amount": 3}"#),
];

/// Calculator, figure, inputs with which it rises, inputs with which it falls.
type Law = (&'static str, &'static str, &'static [&'static str], &'static [&'static str]);

const LAWS: &[Law] = &[
    ("drag", "tension_empty", &["friction", "clamp_force", "faces"], &["ratio", "efficiency", "arbor_diameter"]),
    ("drag-torque", "torque_worn", &["friction", "clamp_force", "faces", "outer_diameter", "inner_diameter"], &[]),
    ("drag-torque", "torque_new", &["friction", "clamp_force", "faces", "outer_diameter", "inner_diameter"], &[]),
    ("drag-torque", "pressure", &["clamp_force", "inner_diameter"], &["outer_diameter"]),
    ("drag-clamp", "clamp_worn", &["torque"], &["friction", "faces", "outer_diameter", "inner_diameter"]),
    ("line-tension", "tension_full", &["torque"], &["ratio", "efficiency", "full_diameter"]),
    ("line-tension", "tension_empty", &["torque"], &["ratio", "efficiency", "arbor_diameter"]),
    ("line-tension", "rise_empty", &["full_diameter"], &["arbor_diameter"]),
    ("drag-setting", "setting_low", &["strength", "share_low"], &[]),
    ("drag-setting", "beyond_guides", &["strength", "share_high", "guide_friction", "guide_angle"], &[]),
    ("stack-height", "height", &[], &["compression"]),
    ("stack-height", "room", &["space", "compression"], &[]),
    ("line-capacity", "length", &["full_diameter", "width", "packing"], &["arbor_diameter", "line_diameter"]),
    ("line-packing", "packing", &["length", "line_diameter", "arbor_diameter"], &["full_diameter", "width"]),
    ("line-conversion", "other_length", &["length", "line_diameter", "other_packing"], &["other_diameter", "packing"]),
    (
        "line-backing",
        "backing_length",
        &["full_diameter", "width", "top_packing", "backing_packing"],
        &["arbor_diameter", "top_length", "top_diameter", "backing_diameter"],
    ),
    ("line-diameter", "line_diameter", &["label"], &[]),
    ("line-per-turn", "line_at_share", &["ratio", "full_diameter", "arbor_diameter", "share"], &[]),
    ("gear-ratio", "ratio", &["gear_teeth"], &["pinion_teeth"]),
    ("gear-ratio-turns", "ratio", &["spool_turns"], &["handle_turns"]),
    ("gear-module", "module", &["outside_diameter"], &["teeth"]),
    ("gear-size", "centre_distance", &["module", "gear_teeth", "pinion_teeth", "helix_angle"], &[]),
    ("spring-coil", "rate", &["shear_modulus", "wire_diameter"], &["outside_diameter", "coils"]),
    ("spring-coil", "stress", &["force", "outside_diameter"], &["wire_diameter"]),
    ("spring-leaf", "rate_one_end", &["elastic_modulus", "width", "thickness"], &["length"]),
    ("spring-torsion", "twist_rate", &["elastic_modulus", "wire_diameter"], &["outside_diameter", "coils"]),
    ("spin-down", "inertia", &["mass", "inner_diameter", "outer_diameter"], &[]),
    ("spin-down", "dry_alone", &["mass", "start_speed"], &["time_stop"]),
    ("spin-down", "viscous_alone", &["mass"], &["time_half"]),
    ("coin-scale", "length", &["coin_diameter", "along", "across"], &["long_axis"]),
    ("coin-scale", "tilt", &["long_axis"], &["short_axis"]),
    ("edge-scale", "sigma", &["tap_error", "length"], &["scale", "edge"]),
    ("height-error", "error", &["height"], &["distance"]),
    ("height-error", "height_allowed", &["distance", "allowed_error"], &[]),
    ("camera-distance", "distance", &["image_width", "focal_35", "known_length"], &["known_pixels"]),
    ("convert", "there", &["amount"], &[]),
];

fn asked(id: &str) -> Inputs {
    let (_, json) = ASKED.iter().find(|(asked, _)| *asked == id).unwrap_or_else(|| panic!("{id} is asked nothing"));
    inputs_from_json(json).unwrap()
}

/// Numbers of an asking times what `factor` says; what is counted stays whole.
fn scaled(id: &str, factor: impl Fn(&str) -> f64) -> Inputs {
    let mut inputs = asked(id);
    for (input, entry) in &mut inputs {
        if let Entry::Number { value, .. } = entry {
            *value *= factor(input);
            if input.ends_with("teeth") || input.ends_with("washers") {
                *value = value.round();
            }
        }
    }
    inputs
}

fn figure(reference: &Reference, id: &str, name: &str, inputs: &Inputs) -> Option<f64> {
    let answer = run(reference, id, inputs).ok()?;
    Some(answer.figure(name).unwrap_or_else(|| panic!("{id} has no figure {name}")).value)
}

#[test]
fn every_calculator_is_asked_and_answers() {
    let reference = shipped();
    assert_eq!(
        ASKED.iter().map(|(id, _)| *id).collect::<Vec<_>>(),
        calculators().iter().map(|it| it.id).collect::<Vec<_>>()
    );
    for (id, _) in ASKED {
        run(&reference, id, &asked(id)).unwrap_or_else(|error| panic!("{id}: {error}"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Others of the inputs anywhere near, one of them lower and higher: the figure goes the way it must.
    #[test]
    fn figures_rise_and_fall_with_their_inputs(near in prop::collection::vec(0.85..1.15f64, 12), low in 0.7..1.0f64, more in 1.01..1.5f64) {
        let reference = shipped();
        let mut compared = 0;
        for (id, name, rises, falls) in LAWS {
            for (input, sign) in rises.iter().map(|it| (it, 1.0)).chain(falls.iter().map(|it| (it, -1.0))) {
                let at = |by: f64| scaled(id, |other| {
                    let place = other.bytes().map(usize::from).sum::<usize>() % near.len();
                    if other == *input { by } else { near[place] }
                });
                let (Some(a), Some(b)) = (figure(&reference, id, name, &at(low)), figure(&reference, id, name, &at(low * more))) else {
                    continue;
                };
                // Counted inputs may round to the same.
                prop_assert!((b - a) * sign >= -1e-9 * a.abs(), "{id}: {name} from {a} to {b} while {input} grows");
                compared += 1;
            }
        }
        prop_assert!(compared > 60, "only {compared} compared");
    }
}

/// Each law's figure does move, else the law above would hold of a figure that stands still.
#[test]
fn figures_move_with_their_inputs() {
    let reference = shipped();
    for (id, name, rises, falls) in LAWS {
        for (input, sign) in rises.iter().map(|it| (it, 1.0)).chain(falls.iter().map(|it| (it, -1.0))) {
            let at =
                |by: f64| figure(&reference, id, name, &scaled(id, |other| if other == *input { by } else { 1.0 }));
            let (Some(a), Some(b)) = (at(0.93), at(1.05)) else { panic!("{id}: no {name} with {input} a little off") };
            assert!((b - a) * sign > 1e-6 * a.abs(), "{id}: {name} is {a}, then {b}, while {input} grows");
        }
    }
}

/// Below its least, above its most, or no number: refused in a sentence that names the input. At the bounds: figures
/// that are numbers, or a sentence.
#[test]
fn every_number_has_its_limits() {
    let reference = shipped();
    let mut tried = BTreeMap::<&str, usize>::new();
    for Calculator { id, inputs, .. } in calculators() {
        for input in *inputs {
            let Wants::Number { kind, unit, least, most, .. } = input.wants else { continue };
            let with = |entry: Entry| {
                let mut all = asked(id);
                all.insert(input.id.to_owned(), entry);
                run(&reference, id, &all)
            };
            let number = |value| with(Entry::Number { value, plus_minus: None });
            let text = |text: &str| with(Entry::Text(text.to_owned()));
            let step = (most - least) * 1e-6;
            let outside = [
                number(least - step),
                number(most + step),
                number(f64::NAN),
                number(f64::INFINITY),
                number(f64::NEG_INFINITY),
            ];
            for refused in outside.into_iter().chain(["NaN", "inf", "1e999", "-", "many", "3 fathom"].map(text)) {
                let told = refused.err().unwrap_or_else(|| panic!("{id} takes any {}", input.id)).to_string();
                assert!(told.contains(input.label) && told.ends_with('.'), "{id}, {}: {told}", input.id);
            }
            for bound in [least, most] {
                *tried.entry(if told_or_sound(number(bound)) { "answered" } else { "refused" }).or_default() += 1;
            }
            assert!(kind.unit_written(unit).is_some());
        }
    }
    assert!(tried["answered"] > 120, "{tried:?}");
}

/// Whether it is answered: with figures that are numbers and errors that are not below nothing. Else a sentence.
fn told_or_sound(answer: tailplate_core::Result<Answer>) -> bool {
    match answer {
        Ok(answer) => {
            for figure in &answer.figures {
                assert!(
                    figure.value.is_finite() && figure.plus_minus >= 0.0,
                    "{}: {} {}",
                    answer.calculator,
                    figure.label,
                    figure.text()
                );
            }
            let plot = answer.plot_svg.unwrap_or_default();
            assert!(!plot.contains("NaN") && !plot.contains("inf"), "{}: {plot}", answer.calculator);
            true
        }
        Err(error) => {
            let told = error.to_string();
            assert!(told.ends_with(['.', '?']), "{told}");
            false
        }
    }
}

#[test]
fn every_plot_is_as_it_was() {
    let reference = shipped();
    let mut drawn = Vec::new();
    for (id, _) in ASKED {
        if let Some(plot) = run(&reference, id, &asked(id)).unwrap().plot_svg {
            // A shape a line, so that a change is seen where it is.
            insta::assert_snapshot!(format!("plot_{id}"), plot.replace("><", ">\n<"));
            drawn.push(*id);
        }
    }
    assert_eq!(drawn, ["drag", "line-tension", "washers", "stack-height", "line-per-turn", "spin-down", "spin-fit"]);
}
