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
    insta::assert_snapshot!(told("drag-torque", r#"{"friction": 0.2}"#), @"“Clamp force” is still empty (clamp_force).");
    insta::assert_snapshot!(told("drag-torque", r#"{"friction": 0.2, "clamp_force": 300, "faces": 5, "outer_diameter": 13, "inner_diameter": 13}"#), @"The inside diameter of the contact must be smaller than the outside.");
    insta::assert_snapshot!(told("drag-torque", r#"{"clamp_force": 300, "faces": 5, "outer_diameter": 28, "inner_diameter": 13}"#), @"Choose the material of the washers, or give the friction coefficient.");
    insta::assert_snapshot!(told("drag-torque", r#"{"friction": 9, "clamp_force": 300, "faces": 5, "outer_diameter": 28, "inner_diameter": 13}"#), @"“Friction coefficient” is 9; it must lie between 0.005 and 1.5.");
    insta::assert_snapshot!(told("gear-ratio", r#"{"gear_teeth": 40.5, "pinion_teeth": 10}"#), @"Teeth are counted in whole numbers.");
    insta::assert_snapshot!(told("gear-ratio", r#"{"teeth": 40}"#), @"gear-ratio has no input “teeth”; it takes gear_teeth, pinion_teeth, second_gear_teeth, second_pinion_teeth.");
    insta::assert_snapshot!(told("line-diameter", r#"{"line": "braid", "label": 30}"#), @"“Line” has no choice “braid”; there is nylon-monofilament, fluorocarbon, braided-pe, polyester-trolling, gel-spun-backing, linen, number.");
    insta::assert_snapshot!(told("line-diameter", r#"{"line": "linen", "label": 1}"#), @"Laid linen, by its threads is known from 3 to 72 threads; measure the line instead.");
    insta::assert_snapshot!(told("washers", r#"{"stock": ["friction 0.8 x3", "metal"], "least_height": 2, "most_height": 3}"#), @"“metal” is no washer: write kind, thickness and how many, such as friction 0.8 x3; metal 0.5 x2.");
    insta::assert_snapshot!(told("card-photo", r#"{"corners": "1 2; 3 4", "ends": "1 2; 3 4"}"#), @"A card has four corners: write four points.");
    insta::assert_snapshot!(told("ratio", "{}"), @"There is no calculator “ratio”.");
}

#[test]
fn a_worn_stack_is_brought_back_with_one_new_washer() {
    let reference = shipped();
    let json = r#"{"stock": ["friction 0.9 x4", "friction 1.04 x4", "keyed 0.5 x2"],
        "now": ["friction 0.8", "keyed 0.5", "friction 0.8", "eared 0.5", "friction 0.8"], "least_height": 3.5, "most_height": "3.7 mm"}"#;
    let answer = answer(&reference, "washers", json);
    assert_eq!(answer.figure("changes").unwrap().value, 1.0);
    let rows = answer.table.unwrap().rows;
    insta::assert_snapshot!(rows[0].join(" | "), @"1 | 3.64 mm | 1 | friction 0.8, keyed 0.5, friction 0.8, eared 0.5, friction 1.04 (new)");
    insta::assert_snapshot!(answer.plot_svg.unwrap(), @r#"<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 220 200"><title>The stack and its window</title><desc>5 washers, 3.64 mm high; the window is 3.5 to 3.7 mm.</desc><rect class="t-dark" x="40" y="148.2" width="100" height="36.8"/><rect class="t-metal" x="40" y="125.3" width="100" height="23"/><rect class="t-dark" x="40" y="88.5" width="100" height="36.8"/><rect class="t-metal" x="30" y="65.5" width="120" height="23"/><rect class="t-dark" x="40" y="17.8" width="100" height="47.8"/><line class="t-line" x1="20" y1="24.2" x2="160" y2="24.2"/><line class="t-line" x1="20" y1="15" x2="160" y2="15"/><text class="t-fill" font-size="11" x="164" y="15.2" text-anchor="start">3.7 mm</text><text class="t-fill" font-size="11" x="164" y="28.2" text-anchor="start">3.5 mm</text></svg>"#);
}

#[test]
fn plots_as_they_are() {
    let reference = shipped();
    let drag = answer(
        &reference,
        "line-tension",
        r#"{"torque": 3.075, "ratio": 4, "full_diameter": 44, "arbor_diameter": 22}"#,
    );
    insta::assert_snapshot!(drag.plot_svg.unwrap(), @r#"<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 320 200"><title>Drag against line left on the spool</title><desc>From 34.94 ± 0.04 N (7.856 ± 0.009 lbf) with the spool full to 69.89 ± 0.16 N (15.71 ± 0.04 lbf) with it nearly empty.</desc><line class="t-soft" x1="46" y1="160" x2="308" y2="160"/><text class="t-fill" font-size="11" x="41" y="164" text-anchor="end">0</text><line class="t-soft" x1="46" y1="119.8" x2="308" y2="119.8"/><text class="t-fill" font-size="11" x="41" y="123.8" text-anchor="end">20</text><line class="t-soft" x1="46" y1="79.5" x2="308" y2="79.5"/><text class="t-fill" font-size="11" x="41" y="83.5" text-anchor="end">40</text><line class="t-soft" x1="46" y1="39.3" x2="308" y2="39.3"/><text class="t-fill" font-size="11" x="41" y="43.3" text-anchor="end">60</text><line class="t-line" x1="46" y1="160" x2="46" y2="164"/><text class="t-fill" font-size="11" x="46" y="176" text-anchor="middle">0</text><line class="t-line" x1="111.5" y1="160" x2="111.5" y2="164"/><text class="t-fill" font-size="11" x="111.5" y="176" text-anchor="middle">25</text><line class="t-line" x1="177" y1="160" x2="177" y2="164"/><text class="t-fill" font-size="11" x="177" y="176" text-anchor="middle">50</text><line class="t-line" x1="242.5" y1="160" x2="242.5" y2="164"/><text class="t-fill" font-size="11" x="242.5" y="176" text-anchor="middle">75</text><line class="t-line" x1="308" y1="160" x2="308" y2="164"/><text class="t-fill" font-size="11" x="308" y="176" text-anchor="middle">100</text><line class="t-line" x1="46" y1="160" x2="308" y2="160"/><line class="t-line" x1="46" y1="12" x2="46" y2="160"/><text class="t-fill" font-size="11" x="177" y="194" text-anchor="middle">line left on the spool, %</text><text class="t-fill" font-size="11" x="50" y="11" text-anchor="start">pull, N</text><path class="t-line" d="M46 19.4L56.5 27.1L67 33.7L77.4 39.4L87.9 44.4L98.4 48.8L108.9 52.8L119.4 56.3L129.8 59.5L140.3 62.5L150.8 65.2L161.3 67.7L171.8 70L182.2 72.1L192.7 74.1L203.2 76L213.7 77.7L224.2 79.3L234.6 80.9L245.1 82.3L255.6 83.7L266.1 85L276.6 86.3L287 87.5L297.5 88.6L308 89.7"/><path class="t-soft" d="M46 19.5L56.5 27.3L67 33.9L77.4 39.5L87.9 44.5L98.4 48.9L108.9 52.9L119.4 56.4L129.8 59.7L140.3 62.6L150.8 65.3L161.3 67.8L171.8 70.1L182.2 72.2L192.7 74.2L203.2 76.1L213.7 77.8L224.2 79.4L234.6 81L245.1 82.4L255.6 83.8L266.1 85.1L276.6 86.4L287 87.6L297.5 88.7L308 89.8"/><path class="t-soft" d="M46 19.2L56.5 27L67 33.6L77.4 39.3L87.9 44.3L98.4 48.7L108.9 52.6L119.4 56.2L129.8 59.4L140.3 62.4L150.8 65.1L161.3 67.6L171.8 69.9L182.2 72L192.7 74L203.2 75.9L213.7 77.6L224.2 79.2L234.6 80.8L245.1 82.3L255.6 83.6L266.1 85L276.6 86.2L287 87.4L297.5 88.5L308 89.6"/></svg>"#);
    let spin = answer(
        &reference,
        "spin-fit",
        r#"{"mass": 18, "inner_diameter": 24, "outer_diameter": 34, "readings": [[0, 2000], [3, 1443], [6, 1000], [12, 442], [20, 0]]}"#,
    );
    insta::assert_snapshot!(spin.plot_svg.unwrap(), @r#"<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 320 200"><title>Speed while running down</title><desc>From 1998 rpm to a stop after 20.0 s; dashed, with dry friction alone.</desc><line class="t-soft" x1="46" y1="160" x2="308" y2="160"/><text class="t-fill" font-size="11" x="41" y="164" text-anchor="end">0</text><line class="t-soft" x1="46" y1="89.5" x2="308" y2="89.5"/><text class="t-fill" font-size="11" x="41" y="93.5" text-anchor="end">1000</text><line class="t-soft" x1="46" y1="19" x2="308" y2="19"/><text class="t-fill" font-size="11" x="41" y="23" text-anchor="end">2000</text><line class="t-line" x1="46" y1="160" x2="46" y2="164"/><text class="t-fill" font-size="11" x="46" y="176" text-anchor="middle">0</text><line class="t-line" x1="111.5" y1="160" x2="111.5" y2="164"/><text class="t-fill" font-size="11" x="111.5" y="176" text-anchor="middle">5</text><line class="t-line" x1="177" y1="160" x2="177" y2="164"/><text class="t-fill" font-size="11" x="177" y="176" text-anchor="middle">10</text><line class="t-line" x1="242.5" y1="160" x2="242.5" y2="164"/><text class="t-fill" font-size="11" x="242.5" y="176" text-anchor="middle">15</text><line class="t-line" x1="308" y1="160" x2="308" y2="164"/><text class="t-fill" font-size="11" x="308" y="176" text-anchor="middle">20</text><line class="t-line" x1="46" y1="160" x2="308" y2="160"/><line class="t-line" x1="46" y1="12" x2="46" y2="160"/><text class="t-fill" font-size="11" x="177" y="194" text-anchor="middle">time, s</text><text class="t-fill" font-size="11" x="50" y="11" text-anchor="start">speed, rpm</text><path class="t-line" d="M46 19.2L52.6 26.5L59.1 33.4L65.7 40.1L72.2 46.5L78.8 52.6L85.3 58.5L91.9 64.1L98.4 69.4L105 74.6L111.5 79.5L118.1 84.2L124.6 88.7L131.2 93L137.7 97.1L144.3 101.1L150.8 104.8L157.4 108.4L163.9 111.9L170.5 115.2L177 118.4L183.6 121.4L190.1 124.3L196.6 127.1L203.2 129.8L209.8 132.3L216.3 134.7L222.9 137.1L229.4 139.3L236 141.4L242.5 143.5L249.1 145.4L255.6 147.3L262.2 149.1L268.7 150.8L275.3 152.5L281.8 154L288.4 155.5L294.9 157L301.5 158.3L308 159.7"/><path class="t-soft" d="M46 19.2L308 160"/><circle class="t-fill" cx="46" cy="19" r="3"/><circle class="t-fill" cx="85.3" cy="58.3" r="3"/><circle class="t-fill" cx="124.6" cy="89.5" r="3"/><circle class="t-fill" cx="203.2" cy="128.8" r="3"/><circle class="t-fill" cx="308" cy="160" r="3"/></svg>"#);
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

/// Every example, asked in every other unit of each of its inputs, gives the same figures.
#[test]
fn no_answer_depends_on_the_unit_it_was_asked_in() {
    let reference = shipped();
    let mut checked = 0;
    let examples = reference.mechanics.formulas.iter().flat_map(|formula| &formula.examples);
    for example in examples.filter(|example| example.calculator != "card-corners") {
        let calculator = bench::calculator(&example.calculator).unwrap();
        let plain = run(&reference, calculator.id, &inputs_of(example)).unwrap();
        for input in calculator.inputs {
            let (Wants::Number { kind, unit, .. }, Some(typed)) = (input.wants, example.inputs.get(input.id)) else {
                continue;
            };
            let read = bench::quantity(&typed.0, kind, kind.unit_written(unit).unwrap()).unwrap();
            for other in kind.units() {
                let spread = read.plus_minus.map(|spread| other.spread_from_first(read.value, spread));
                let spread = spread.map_or_else(String::new, |spread| format!(" ± {spread}"));
                let text = format!("{}{spread} {}", other.from_first(read.value), other.symbol);
                let mut inputs = inputs_of(example);
                inputs.insert(input.id.to_owned(), Entry::Text(text.clone()));
                let told = run(&reference, calculator.id, &inputs).unwrap_or_else(|error| panic!("{text}: {error}"));
                for (a, b) in plain.figures.iter().zip(&told.figures) {
                    let same = (a.value - b.value).abs() <= 1e-9 * a.value.abs().max(1e-9);
                    assert!(same, "{} with {} = {text}: {} and {}", calculator.id, input.id, a.text(), b.text());
                }
                checked += 1;
            }
        }
    }
    assert!(checked > 100, "only {checked} askings");
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
