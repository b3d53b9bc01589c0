//! `tailplate bench`: the sums of the bench on the command line.

use serde_json::{Value, json};
use tailplate_core::bench::{
    Answer, Calculator, Input, Wants, calculator, calculators, inputs_from_json, run, with_spread,
};
use tailplate_core::reference::Reference;

use crate::nearest::hint;
use crate::page::Page;

/// Works a calculator on inputs given as JSON.
pub fn answer(reference: &Reference, name: &str, inputs: &str) -> Result<Answer, String> {
    if calculator(name).is_none() {
        let hint = hint(name, calculators().iter().map(|it| it.id));
        return Err(format!("There is no calculator “{name}”.{hint}"));
    }
    let inputs = inputs_from_json(inputs).map_err(|error| error.to_string())?;
    run(reference, name, &inputs).map_err(|error| error.to_string())
}

/// Every calculator with its inputs, as data.
pub fn list_json(reference: &Reference) -> Value {
    let input = |input: &Input| {
        let mut value = json!(input);
        if let Wants::Choice { of } = input.wants {
            value["options"] = json!(of.options(reference));
        }
        value
    };
    let one = |it: &Calculator| {
        let inputs: Vec<Value> = it.inputs.iter().map(input).collect();
        json!({ "id": it.id, "title": it.title, "about": it.about, "inputs": inputs })
    };
    calculators().iter().map(one).collect()
}

/// The same in words.
pub fn list() -> String {
    let mut page = Page::default();
    page.say("The calculators, each with what its file gives: {\"input\": 9.5, \"input\": \"3/8 in ± 0.002\", …}.");
    for calculator in calculators() {
        page.heading(&format!("{}: {}", calculator.id, calculator.about));
        let rows: Vec<Vec<String>> =
            calculator.inputs.iter().map(|input| vec![input.id.to_owned(), input_words(input)]).collect();
        page.columns(&rows);
    }
    page.text()
}

fn input_words(input: &Input) -> String {
    let unit = match input.wants {
        Wants::Number { unit, .. } if !unit.is_empty() => format!(", {unit}"),
        Wants::List { sample } => format!(", such as {sample}"),
        _ => String::new(),
    };
    let else_what = match (input.default, input.optional) {
        ("", true) => " (may be left out)".to_owned(),
        ("", false) => String::new(),
        (default, _) => format!(" ({default} if left out)"),
    };
    format!("{}{unit}{else_what}", input.label)
}

/// An answer in words.
pub fn tell(answer: &Answer) -> String {
    let mut page = Page::default();
    page.say(answer.title);
    let figures: Vec<Vec<String>> = answer
        .figures
        .iter()
        .map(|it| {
            let also = it.also.map_or(String::new(), |also| with_spread(also.value, also.plus_minus, also.unit));
            vec![it.label.to_owned(), with_spread(it.value, it.plus_minus, it.unit), also]
        })
        .collect();
    page.columns(&figures);
    if let Some(table) = &answer.table {
        let heads = table.heads.iter().map(|head| (*head).to_owned()).collect();
        let rows: Vec<Vec<String>> = std::iter::once(heads).chain(table.rows.iter().cloned()).collect();
        page.heading("Nearest and best");
        page.columns(&rows);
    }
    if !answer.warnings.is_empty() {
        page.heading("Mind");
        answer.warnings.iter().for_each(|it| page.hang("  ", it));
    }
    for caution in &answer.cautions {
        let unverified = if caution.unverified { " (unverified)" } else { "" };
        page.heading(&format!("Care: {}{unverified}", caution.topic));
        page.hang("  ", &caution.risk);
        for (lead, lines) in [("  Do ", &caution.to_do), ("  Don't ", &caution.not_to_do)] {
            lines.iter().for_each(|line| page.hang(lead, line));
        }
        page.hang("  ", &format!("Ask: {}.", caution.defer_to));
    }
    for (heading, lines) in
        [("By", &answer.formula), ("Taken for granted", &answer.assumptions), ("Sources", &answer.sources)]
    {
        if !lines.is_empty() {
            page.heading(heading);
            lines.iter().for_each(|line| page.hang("  ", line));
        }
    }
    page.text()
}
