//! Drag stacks on the generic screen: the washer solver, and the height budget.

use super::answer::{Answer, Figure, Table};
use super::calculator::{Calculator, Choices, Given, Input, choice, length, list, nothing_to_prepare, number};
use super::plot;
use super::units::{Kind, quantity};
use super::washers::{Lot, Question, Solved, Stack, Washer, alternating, solve};
use super::written;
use crate::error::{Error, Result};

const SAMPLE: &str = "friction 0.8 x3; metal 0.5 x2";
const COMPRESSION: Input = number("compression", "Friction washers give under the clamp", Kind::Number, 0.0, 0.5)
    .default("0")
    .help("As a share of their thickness; felt, leather and cork 0.05 to 0.3 (unverified).");
const LEAST: Input = length("least_height", "Least height", 0.1, 100.0).give_or_take(0.0);
const MOST: Input = length("most_height", "Greatest height", 0.1, 100.0).give_or_take(0.0);
/// Answers listed.
const LISTED: usize = 12;

pub(super) const WASHERS: Calculator = Calculator {
    id: "washers",
    title: "Washers for a stack height",
    about: "Which washers of the drawer bring the stack into its window, with the fewest changes.",
    inputs: &[
        list("stock", "In the drawer", "friction 0.8 x3; keyed 0.5 x2; eared 0.4 x2")
            .help("Kind (friction, metal, or keyed and eared apart), thickness, how many."),
        list("now", "The stack as it is, from the bottom up", "friction 0.8; keyed 0.5; friction 0.8").optional(),
        number("friction_washers", "Friction washers wanted", Kind::Number, 0.0, 13.0)
            .optional()
            .help("Not needed if the stack as it is is given."),
        number("metal_washers", "Metal washers wanted", Kind::Number, 0.0, 13.0).optional(),
        choice(
            "metals",
            "Metal washers",
            Choices::Fixed(&[
                ("alike", "All alike"),
                ("keyed-first", "Keyed and eared by turns, keyed lowest"),
                ("eared-first", "Keyed and eared by turns, eared lowest"),
            ]),
        )
        .default("alike"),
        choice(
            "bottom",
            "If as many of both, at the bottom",
            Choices::Fixed(&[("friction", "Friction"), ("metal", "Metal")]),
        )
        .default("friction"),
        LEAST,
        MOST,
        COMPRESSION,
    ],
    formula: "clamp-stack",
    lines: &["height", "constraints", "alternation", "objective"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let (question, solved) = solved(given)?;
        let mut figures = Vec::new();
        if let Some(best) = solved.stacks.first() {
            figures.push(Figure::new("height", "Height of the best", Kind::Length, best.height_um / 1000.0));
            if !question.now_um.is_empty() {
                figures.push(Figure::new("changes", "Washers to change", Kind::Number, f64::from(best.changes)));
            }
        }
        figures.push(Figure::new("answers", "Sets of washers that fit", Kind::Number, solved.in_window as f64));
        Ok(figures)
    },
    tell: |given, answer| {
        let (question, solved) = solved(given)?;
        if !question.now_um.is_empty() {
            order_faults(&question.places, answer);
        }
        let Some(best) = solved.stacks.first() else {
            none_fits(&solved, answer);
            return Ok(());
        };
        let as_good = solved.stacks.iter().filter(|it| rank(it, &question) == rank(best, &question)).count();
        if as_good == LISTED && solved.in_window > LISTED as u64 {
            answer.assumptions.push(format!("{LISTED} are listed, all as good as the best; there may be more"));
        } else if as_good > 1 {
            answer.assumptions.push(format!("the first {as_good} are equally good"));
        }
        let row = |(at, stack): (usize, &Stack)| {
            let mut row = vec![(at + 1).to_string(), format!("{} mm", mm(stack.height_um))];
            if !question.now_um.is_empty() {
                row.push(stack.changes.to_string());
            }
            row.push(
                stack
                    .places
                    .iter()
                    .map(|it| placed_words(it.kind, it.thickness_um, it.new && !question.now_um.is_empty(), given))
                    .collect::<Vec<_>>()
                    .join(", "),
            );
            row
        };
        let heads = if question.now_um.is_empty() {
            vec!["", "height", "from the bottom up"]
        } else {
            vec!["", "height", "changes", "from the bottom up"]
        };
        answer.table = Some(Table { heads, rows: solved.stacks.iter().enumerate().map(row).collect() });
        let places: Vec<(Washer, f64)> =
            best.places.iter().map(|it| (it.kind, height_um(it.kind, it.thickness_um, &question))).collect();
        let window = [f64::from(question.least_um), f64::from(question.most_um)];
        answer.plot_svg = Some(stack_svg(&places, window));
        Ok(())
    },
};

pub(super) const HEIGHT: Calculator = Calculator {
    id: "stack-height",
    title: "Height of a stack",
    about: "How high a stack is, and what room it leaves.",
    inputs: &[
        list("parts", "Parts of the stack, from the bottom up", SAMPLE)
            .help("Kind, thickness, how many. Other names than friction count as hard."),
        number("each_error", "± of each thickness", Kind::Length, 0.0, 1.0).default("0.02"),
        COMPRESSION,
        LEAST.optional(),
        MOST.optional(),
        length("space", "Height there is", 0.1, 100.0)
            .optional()
            .help("From the floor of the gear to where the star or plate ends its travel."),
    ],
    formula: "clamp-stack",
    lines: &["height"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let parts = lots(given, "parts")?;
        let count: u32 = parts.iter().map(|part| part.count).sum();
        let free: f64 = parts.iter().map(|part| f64::from(part.count * part.thickness_um)).sum::<f64>() / 1000.0;
        let soft: f64 = parts
            .iter()
            .filter(|part| part.kind == Washer::Friction)
            .map(|part| f64::from(part.count * part.thickness_um))
            .sum::<f64>()
            / 1000.0;
        let clamped = free - soft * given.need("compression")?;
        let error = given.need("each_error")? * f64::from(count).sqrt();
        let figure = |id, label, value| Figure::new(id, label, Kind::Length, value);
        let mut figures = vec![
            figure("height", "Height, clamped", clamped).give_or_take(error),
            figure("free_height", "Height, loose", free).give_or_take(error),
        ];
        if let Some(space) = given.get("space") {
            figures.push(figure("room", "Room left above it, clamped", space - clamped).give_or_take(error));
        }
        Ok(figures)
    },
    tell: |given, answer| {
        let parts = lots(given, "parts")?;
        let given_way = 1.0 - given.need("compression")?;
        let places: Vec<(Washer, f64)> = parts
            .iter()
            .flat_map(|part| (0..part.count).map(move |_| (part.kind, f64::from(part.thickness_um))))
            .map(|(kind, um)| (kind, if kind == Washer::Friction { um * given_way } else { um }))
            .collect();
        let window =
            [given.get("least_height").unwrap_or(0.0) * 1000.0, given.get("most_height").unwrap_or(0.0) * 1000.0];
        if let (Some(height), true) = (answer.figure("height").map(|it| (it.value, it.plus_minus)), window[1] > 0.0) {
            let [least, most] = window.map(|um| um / 1000.0);
            if height.0 < least {
                answer.warn(format!(
                    "{:.2} mm too low: the star or lever may run out of travel before it clamps.",
                    least - height.0
                ));
            } else if height.0 > most {
                answer.warn(format!("{:.2} mm too high: it may clamp before the drag is off.", height.0 - most));
            } else if height.0 - height.1 < least || height.0 + height.1 > most {
                answer.warn("Within the window, but not by more than its error: measure the stack as a whole.");
            }
        }
        if let Some(room) = answer.figure("room").filter(|room| room.value < room.plus_minus) {
            let text = room.text();
            answer.warn(format!("Room left is {text}: the stack may not go in."));
        }
        answer.plot_svg = Some(stack_svg(&places, window));
        Ok(())
    },
};

fn solved(given: &Given) -> Result<(Question, Solved)> {
    let question = question(given)?;
    let solved = solve(&question)?;
    Ok((question, solved))
}

fn question(given: &Given) -> Result<Question> {
    let stock = lots(given, "stock")?;
    let now = lots(given, "now")?;
    let apart = given.text("metals") != "alike" || stock.iter().chain(&now).any(|lot| lot.kind == Washer::Eared);
    let um = |id: &str| Ok::<u32, Error>((given.need(id)? * 1000.0).round() as u32);
    let now: Vec<(Washer, u32)> =
        now.iter().flat_map(|lot| (0..lot.count).map(|_| (lot.kind, lot.thickness_um))).collect();
    let places = if now.is_empty() {
        let whole = |id: &str| {
            let count = given.need(id)?;
            if count.fract() == 0.0 {
                Ok(count as usize)
            } else {
                Err(Error::invalid("Washers are counted in whole numbers."))
            }
        };
        let first_metal = match given.text("metals") {
            "keyed-first" => Some(Washer::Keyed),
            "eared-first" => Some(Washer::Eared),
            _ if apart => return Err(Error::invalid("Say whether a keyed or an eared washer lies lowest (metals).")),
            _ => None,
        };
        alternating(
            whole("friction_washers")?,
            whole("metal_washers")?,
            given.text("bottom") == "friction",
            first_metal,
        )?
    } else {
        now.iter().map(|(kind, _)| *kind).collect()
    };
    Ok(Question {
        stock,
        places,
        now_um: now.iter().map(|(_, um)| *um).collect(),
        least_um: um("least_height")?,
        most_um: um("most_height")?,
        gives_permille: (given.need("compression")? * 1000.0).round() as u32,
        limit: LISTED,
    })
}

/// Lots written as `friction 0.8 x3`. Any other word than `friction` and `eared` is a hard washer.
fn lots(given: &Given, id: &str) -> Result<Vec<Lot>> {
    given.items(id).into_iter().map(|item| lot(item).ok_or_else(|| unreadable(item))?).collect()
}

fn lot(item: &str) -> Option<Result<Lot>> {
    let (word, rest) = item.split_once(char::is_whitespace)?;
    let (thickness, count) = match rest.rsplit_once(['x', '×']) {
        Some((thickness, count)) => (thickness, count.trim().parse::<u32>().ok().filter(|count| *count <= 1000)?),
        None => (rest, 1),
    };
    let kind = match word.to_lowercase().as_str() {
        "friction" | "f" => Washer::Friction,
        "eared" | "ears" | "e" => Washer::Eared,
        word if word.chars().all(char::is_alphabetic) => Washer::Keyed,
        _ => return None,
    };
    let read = quantity(thickness, Kind::Length, Kind::Length.units()[0]);
    Some(read.map(|read| Lot { kind, thickness_um: (read.value * 1000.0).round() as u32, count }))
}

fn unreadable(item: &str) -> Error {
    Error::invalid(format!("“{item}” is no washer: write kind, thickness and how many, such as {SAMPLE}."))
}

/// Washers that lie so that a face can't work.
fn order_faults(places: &[Washer], answer: &mut Answer) {
    for (at, pair) in places.windows(2).enumerate() {
        if (pair[0] == Washer::Friction) == (pair[1] == Washer::Friction) {
            let both = if pair[0] == Washer::Friction { "friction" } else { "metal" };
            answer.warn(format!("Places {} and {}: two {both} washers lie face to face.", at + 1, at + 2));
        }
    }
    let ears = places.contains(&Washer::Eared);
    for (at, three) in places.windows(3).enumerate() {
        if ears && three[1] == Washer::Friction && three[0] == three[2] {
            answer.warn(format!(
                "Place {}: this friction washer lies between two that turn together, so it does not slip.",
                at + 2
            ));
        }
    }
}

fn none_fits(solved: &Solved, answer: &mut Answer) {
    let reach = match (solved.below_um, solved.above_um) {
        (Some(below), Some(above)) => {
            format!("the nearest are {} mm below it and {} mm above it", mm(below), mm(above))
        }
        (Some(below), None) => format!("the highest is {} mm", mm(below)),
        (None, Some(above)) => format!("the lowest is {} mm", mm(above)),
        (None, None) => "there are too few washers of a kind".into(),
    };
    answer.warn(format!("No stack of these washers comes into the window: {reach}."));
}

fn rank(stack: &Stack, question: &Question) -> (u32, u64, u32) {
    let middle = f64::from(question.least_um + question.most_um) / 2.0;
    (stack.changes, ((stack.height_um - middle).abs() * 1000.0).round() as u64, stack.different)
}

fn height_um(kind: Washer, um: u32, question: &Question) -> f64 {
    let gives = if kind == Washer::Friction { f64::from(question.gives_permille) / 1000.0 } else { 0.0 };
    f64::from(um) * (1.0 - gives)
}

fn mm(um: f64) -> String {
    let text = written(um / 1000.0, 0.003);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn placed_words(kind: Washer, um: u32, new: bool, given: &Given) -> String {
    let alike =
        given.text("metals") == "alike" && !given.text("stock").contains("ear") && !given.text("now").contains("ear");
    let name = match kind {
        Washer::Friction => "friction",
        Washer::Keyed if alike => "metal",
        Washer::Keyed => "keyed",
        Washer::Eared => "eared",
    };
    format!("{name} {}{}", mm(f64::from(um)), if new { " (new)" } else { "" })
}

/// The stack to scale beside its window: friction washers dark, eared ones wider.
fn stack_svg(places: &[(Washer, f64)], [least_um, most_um]: [f64; 2]) -> String {
    let total: f64 = places.iter().map(|(_, um)| um).sum();
    let told = if most_um > 0.0 {
        format!(
            "{} washers, {} mm high; the window is {} to {} mm.",
            places.len(),
            mm(total),
            mm(least_um),
            mm(most_um)
        )
    } else {
        format!("{} washers, {} mm high.", places.len(), mm(total))
    };
    let mut out = plot::open(220.0, 200.0, "The stack and its window", &told);
    let scale = 170.0 / total.max(most_um).max(1.0);
    let y_at = |um: f64| 185.0 - um * scale;
    let mut low = 0.0;
    for (kind, um) in places {
        let (x, width) = if *kind == Washer::Eared { (30.0, 120.0) } else { (40.0, 100.0) };
        let class = if *kind == Washer::Friction { "t-dark" } else { "t-metal" };
        let sides = [("x", x), ("y", y_at(low + um)), ("width", width), ("height", um * scale)];
        plot::shape(&mut out, class, "rect", &sides);
        low += um;
    }
    if most_um > 0.0 {
        for um in [least_um, most_um] {
            let y = y_at(um);
            plot::shape(&mut out, "t-line", "line", &[("x1", 20.0), ("y1", y), ("x2", 160.0), ("y2", y)]);
        }
        let (top, bottom) = (y_at(most_um), y_at(least_um));
        // Words of a narrow window would lie on each other.
        plot::words(&mut out, 164.0, top.min(bottom - 13.0) + 4.0, "start", &format!("{} mm", mm(most_um)));
        plot::words(&mut out, 164.0, bottom + 4.0, "start", &format!("{} mm", mm(least_um)));
    }
    out.push_str("</svg>");
    out
}
