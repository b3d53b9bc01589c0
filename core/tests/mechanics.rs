//! The calculators with the pack that ships: every worked example of it, and answers on real figures.

use tailplate_core::bench::{self, Choices, Entry, Inputs, Wants, calculators, inputs_from_json, run};
use tailplate_core::measure::{Card, Plane, Point};
use tailplate_core::reference::{Reference, WorkedExample};

fn shipped() -> Reference {
    Reference::load([
        ("care.json", include_str!("../../public/reference/care.json")),
        ("mechanics.json", include_str!("../../public/reference/mechanics.json")),
    ])
    .unwrap()
}

fn answer(reference: &Reference, id: &str, json: &str) -> bench::Answer {
    run(reference, id, &inputs_from_json(json).unwrap()).unwrap_or_else(|error| panic!("{id}: {error}"))
}

/// Half of the last digit printed.
fn half_digit(value: f64) -> f64 {
    let text = format!("{value:e}");
    let (mantissa, power) = text.split_once('e').unwrap();
    let places = mantissa.split_once('.').map_or(0, |(_, tail)| tail.len()) as i32;
    0.500_001 * 10f64.powi(power.parse::<i32>().unwrap() - places)
}

fn inputs_of(example: &WorkedExample) -> Inputs {
    example.inputs.iter().map(|(id, typed)| (id.clone(), Entry::Text(typed.0.clone()))).collect()
}

fn points(text: &str) -> Vec<Point> {
    let point = |item: &str| {
        let (u, v) = item.trim().split_once(' ').unwrap();
        Point { u: u.parse().unwrap(), v: v.parse().unwrap() }
    };
    text.split(';').map(point).collect()
}

/// What an example calls a figure that no screen shows.
fn hidden(reference: &Reference, example: &WorkedExample, name: &str) -> Option<f64> {
    let id1 = reference.mechanics.object("id1").unwrap();
    let (long_mm, short_mm) = (id1.width_mm.unwrap(), id1.height_mm.unwrap());
    let card = Card { long_mm, short_mm, inset_mm: 0.0 };
    let radius = id1.corner_radius_mm.unwrap();
    match (example.calculator.as_str(), name) {
        ("card-photo", name) if name.starts_with('h') => {
            let corners = points(&example.inputs["corners"].0).try_into().unwrap();
            let number: usize = name[1..].parse().unwrap();
            Some(Plane::of_card(card, corners).unwrap().h[number - 1])
        }
        ("card-corners", "inset") => Some(Card::middle_of_corner_mm(radius)),
        ("card-corners", "long_edge") => Some(card.read_long_percent(radius).0),
        ("card-corners", "short_edge") => Some(card.read_long_percent(radius).1),
        _ => None,
    }
}

#[test]
fn every_worked_example_is_reproduced_to_its_digits() {
    let reference = shipped();
    let mut checked = 0;
    for formula in &reference.mechanics.formulas {
        assert!(!formula.examples.is_empty(), "{} has no example", formula.id);
        for example in &formula.examples {
            let shown = (example.calculator != "card-corners")
                .then(|| run(&reference, &example.calculator, &inputs_of(example)).unwrap_or_else(|e| panic!("{e}")));
            for (name, wanted) in &example.figures {
                let figure = |id: &str| shown.as_ref()?.figure(id);
                let found = match name.strip_suffix(".also") {
                    Some(id) => figure(id).and_then(|figure| figure.also).map(|also| also.value),
                    None => figure(name).map(|figure| figure.value),
                };
                // Washers of the best stack, counted in its row.
                let counted = || {
                    let row = shown.as_ref()?.table.as_ref()?.rows.first()?;
                    Some(row.last()?.split(", ").filter(|place| *place == name).count() as f64)
                };
                let found = found.or_else(|| hidden(&reference, example, name)).or_else(counted).unwrap();
                let off = (found - wanted).abs();
                assert!(off <= half_digit(*wanted), "{}: {name} is {found}, not {wanted}", example.calculator);
                checked += 1;
            }
        }
    }
    assert!(checked > 70, "only {checked} figures");
}

#[test]
fn every_calculator_has_its_formula_or_its_facts_and_names_known_units() {
    let reference = shipped();
    for calculator in calculators() {
        let id = calculator.id;
        assert_eq!(calculators().iter().filter(|other| other.id == id).count(), 1, "{id} stands twice");
        let formula = reference.mechanics.formula(calculator.formula);
        assert_eq!(formula.is_none(), calculator.formula.is_empty(), "{id}: {}", calculator.formula);
        for line in calculator.lines {
            assert!(formula.unwrap().lines.contains_key(*line), "{id}: {line}");
        }
        for caution in calculator.cautions {
            let known = reference.mechanics.cautions.iter().any(|it| it.id == *caution);
            assert!(known || reference.care.cautions.iter().any(|it| it.id == *caution), "{id}: {caution}");
        }
        for input in calculator.inputs {
            match input.wants {
                Wants::Number { kind, unit, least, most, plus_minus } => {
                    assert!(kind.unit_written(unit).is_some(), "{id}/{}: {unit}", input.id);
                    assert!(least < most && plus_minus >= 0.0, "{id}/{}", input.id);
                }
                Wants::Choice { of } => {
                    let options = of.options(&reference);
                    assert!(options.len() > 1, "{id}/{}", input.id);
                    let default = input.default.is_empty() || options.iter().any(|(option, _)| option == input.default);
                    assert!(default, "{id}/{}: {}", input.id, input.default);
                }
                Wants::List { sample } => assert!(!sample.is_empty()),
            }
        }
    }
    // Every line of every formula is shown by some calculator.
    for formula in &reference.mechanics.formulas {
        for line in formula.lines.keys() {
            let also = ["dynamic_programme", "reads_long_by", "torsion_coil", "motion"].contains(&line.as_str());
            let shown = calculators().iter().any(|it| it.formula == formula.id && it.lines.contains(&line.as_str()));
            assert!(shown || also, "{}: {line} is shown nowhere", formula.id);
        }
    }
}

#[test]
fn every_thread_of_the_pack_is_its_own_nearest() {
    let reference = shipped();
    let mut checked = 0;
    for series in &reference.mechanics.threads {
        for size in &series.sizes {
            let inputs = Inputs::from([
                ("diameter".into(), Entry::Number { value: size.major_mm, plus_minus: Some(0.01) }),
                ("pitch".into(), Entry::Number { value: size.pitch(), plus_minus: Some(0.001) }),
            ]);
            let answer = run(&reference, "thread", &inputs).unwrap_or_else(|error| panic!("{}: {error}", size.id));
            let rows = answer.table.unwrap().rows;
            assert_eq!(rows.len(), 3);
            // Some sizes stand in two series: then both fit.
            let near = |row: &Vec<String>| row[5].trim_start_matches(['+', '−']).starts_with("0.000");
            assert!(rows.iter().any(|row| row[0] == size.id) || rows.iter().all(near), "{}: {rows:?}", size.id);
            checked += 1;
        }
    }
    assert_eq!(checked, 264);
}

#[test]
fn every_bearing_of_the_pack_is_its_own_nearest() {
    let reference = shipped();
    for bearing in &reference.mechanics.bearings {
        let json = match bearing.flange_mm {
            Some(flange) => format!(
                r#""bore": {}, "outside": {}, "width": {}, "flange": {flange}"#,
                bearing.bore_mm, bearing.outside_mm, bearing.width_mm
            ),
            None => format!(
                r#""bore": {}, "outside": {}, "width": {}"#,
                bearing.bore_mm, bearing.outside_mm, bearing.width_mm
            ),
        };
        let answer = answer(&reference, "bearing", &format!("{{{json}}}"));
        let rows = answer.table.unwrap().rows;
        assert!(rows.iter().any(|row| row[0] == bearing.id), "{}: {rows:?}", bearing.id);
    }
}

#[test]
fn an_old_screw_is_told_with_its_neighbours_and_a_warning() {
    let reference = shipped();
    // Number 5, 40 to the inch, a little under size as screws are.
    let answer = answer(&reference, "thread", r#"{"diameter": "0.122 in", "pitch": "40 ± 0.5 tpi"}"#);
    let rows = &answer.table.as_ref().unwrap().rows;
    assert_eq!(rows[0][0], "5-40 UNC");
    assert!(answer.warnings.iter().any(|it| it.contains("by the fingers")), "{:?}", answer.warnings);
    assert!(answer.cautions.iter().any(|it| it.topic.contains("stuck screws") && it.unverified));
    assert!(answer.figure("diameter_off").unwrap().plus_minus > 0.0);
}

#[test]
fn drag_of_a_chosen_material_shows_its_band_its_care_and_its_sources() {
    let reference = shipped();
    let stack = r#""clamp_force": "60 lbf", "faces": 5, "outer_diameter": "1 1/8 in", "inner_diameter": 13, "ratio": 4, "full_diameter": 44, "arbor_diameter": 22"#;
    let felt = answer(&reference, "drag", &format!(r#"{{{stack}, "material": "felt-oiled"}}"#));
    let torque = felt.figure("torque_worn").unwrap();
    // Friction 0.15 ± 0.05 outweighs all else.
    assert!((torque.plus_minus / torque.value - 1.0 / 3.0).abs() < 0.01, "{}", torque.text());
    assert!(felt.warnings.iter().any(|it| it.contains("named to stand")), "{:?}", felt.warnings);
    assert!(felt.plot_svg.as_ref().unwrap().contains("<title>Drag against line left on the spool</title>"));
    assert!(!felt.sources.is_empty() && felt.formula.len() >= 5);
    let asbestos = answer(&reference, "drag", &format!(r#"{{{stack}, "material": "asbestos-woven", "state": "dry"}}"#));
    assert!(asbestos.cautions.iter().any(|it| it.risk.contains("never sand")), "{:?}", asbestos.cautions);
    let fibre = answer(&reference, "drag", &format!(r#"{{{stack}, "material": "fibre"}}"#));
    assert!(fibre.warnings.iter().any(|it| it.starts_with("Unverified")), "{:?}", fibre.warnings);
}

#[test]
fn inputs_that_make_no_sense_are_told_in_a_sentence() {
    let reference = shipped();
    let told = |id: &str, json: &str| run(&reference, id, &inputs_from_json(json).unwrap()).unwrap_err().to_string();
    insta::assert_snapshot!(told("drag-torque", r#"{"friction": 0.2}"#), @"");
    insta::assert_snapshot!(told("drag-torque", r#"{"friction": 0.2, "clamp_force": 300, "faces": 5, "outer_diameter": 13, "inner_diameter": 13}"#), @"");
    insta::assert_snapshot!(told("drag-torque", r#"{"clamp_force": 300, "faces": 5, "outer_diameter": 28, "inner_diameter": 13}"#), @"");
    insta::assert_snapshot!(told("drag-torque", r#"{"friction": 9, "clamp_force": 300, "faces": 5, "outer_diameter": 28, "inner_diameter": 13}"#), @"");
    insta::assert_snapshot!(told("gear-ratio", r#"{"gear_teeth": 40.5, "pinion_teeth": 10}"#), @"");
    insta::assert_snapshot!(told("gear-ratio", r#"{"teeth": 40}"#), @"");
    insta::assert_snapshot!(told("line-diameter", r#"{"line": "braid", "label": 30}"#), @"");
    insta::assert_snapshot!(told("line-diameter", r#"{"line": "linen", "label": 1}"#), @"");
    insta::assert_snapshot!(told("washers", r#"{"stock": ["friction 0.8 x3", "metal"], "least_height": 2, "most_height": 3}"#), @"");
    insta::assert_snapshot!(told("card-photo", r#"{"corners": "1 2; 3 4", "ends": "1 2; 3 4"}"#), @"");
    insta::assert_snapshot!(told("ratio", "{}"), @"");
}

#[test]
fn a_worn_stack_is_brought_back_with_one_new_washer() {
    let reference = shipped();
    let json = r#"{"stock": ["friction 0.9 x4", "friction 1.04 x4", "keyed 0.5 x2"],
        "now": ["friction 0.8", "keyed 0.5", "friction 0.8", "eared 0.5", "friction 0.8"], "least_height": 3.5, "most_height": "3.7 mm"}"#;
    let answer = answer(&reference, "washers", json);
    assert_eq!(answer.figure("changes").unwrap().value, 1.0);
    let rows = answer.table.unwrap().rows;
    insta::assert_snapshot!(rows[0].join(" | "), @"");
    insta::assert_snapshot!(answer.plot_svg.unwrap(), @"");
}

#[test]
fn plots_as_they_are() {
    let reference = shipped();
    let drag = answer(
        &reference,
        "line-tension",
        r#"{"torque": 3.075, "ratio": 4, "full_diameter": 44, "arbor_diameter": 22}"#,
    );
    insta::assert_snapshot!(drag.plot_svg.unwrap(), @"");
    let spin = answer(
        &reference,
        "spin-fit",
        r#"{"mass": 18, "inner_diameter": 24, "outer_diameter": 34, "readings": [[0, 2000], [3, 1443], [6, 1000], [12, 442], [20, 0]]}"#,
    );
    insta::assert_snapshot!(spin.plot_svg.unwrap(), @"");
}

/// Typing in another unit, or giving a ± in another way, changes nothing.
#[test]
fn both_systems_give_the_same_answer() {
    let reference = shipped();
    let metric = answer(
        &reference,
        "line-capacity",
        r#"{"arbor_diameter": 25.4, "full_diameter": 50.8, "width": 38.1, "line_diameter": "0.4064 ± 0.0127", "packing": 0.7}"#,
    );
    let inch = answer(
        &reference,
        "line-capacity",
        r#"{"arbor_diameter": "1 ± 0.001968503937 in", "full_diameter": "2 in ± 0.05 mm", "width": "1 1/2 in", "line_diameter": {"value": "16 thou", "plus_minus": "0.5 thou"}, "packing": 0.7}"#,
    );
    let (a, b) = (metric.figure("length").unwrap(), inch.figure("length").unwrap());
    assert!(
        (a.value / b.value - 1.0).abs() < 1e-9 && (a.plus_minus / b.plus_minus - 1.0).abs() < 1e-6,
        "{} {}",
        a.text(),
        b.text()
    );
}

/// The ± of a figure is what a thousand trials with inputs off by their ± show.
#[test]
fn the_error_of_a_figure_is_that_of_trials() {
    let reference = shipped();
    let torque = |friction: f64, force: f64, outer: f64| {
        let json = format!(
            r#"{{"friction": {{"value": {friction}, "plus_minus": 0.01}}, "clamp_force": {{"value": {force}, "plus_minus": 10}}, "faces": 5,
            "outer_diameter": {{"value": {outer}, "plus_minus": 0.5}}, "inner_diameter": {{"value": 13, "plus_minus": 0}}}}"#
        );
        let figure = answer(&reference, "drag-torque", &json);
        let figure = figure.figure("torque_worn").unwrap();
        (figure.value, figure.plus_minus)
    };
    let (middle, stated) = torque(0.2, 300.0, 28.0);
    let mut state = 1u64;
    let mut normal = || {
        // Twelve even dice make a normal one.
        (0..12)
            .map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 11) as f64 / (1u64 << 53) as f64
            })
            .sum::<f64>()
            - 6.0
    };
    let trials: Vec<f64> =
        (0..4000).map(|_| torque(0.2 + 0.01 * normal(), 300.0 + 10.0 * normal(), 28.0 + 0.5 * normal()).0).collect();
    let spread = (trials.iter().map(|trial| (trial - middle).powi(2)).sum::<f64>() / trials.len() as f64).sqrt();
    assert!((spread / stated - 1.0).abs() < 0.05, "{spread} for {stated}");
}

#[test]
fn choices_come_from_the_packs() {
    let reference = shipped();
    assert!(Choices::Coins.options(&reference).len() > 30);
    assert!(Choices::Coins.options(&Reference::default()).is_empty());
}
