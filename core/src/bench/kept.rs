//! A result kept: what was asked, what came out, as it was shown then. A later version may reckon otherwise; this stays.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Answer, Entry, Inputs};

/// A result of a sum, kept with the reel it is about.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Kept {
    /// Milliseconds since 1970, UTC; unlike that of any other of its reel.
    pub at_ms: i64,
    /// Id of the calculator, and its title as it was then.
    pub calculator: String,
    pub title: String,
    /// What was typed, by id of the input: enough to work it again.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub inputs: BTreeMap<String, String>,
    /// Each figure with its name, ± and units; the best row of a table last.
    pub lines: Vec<String>,
    /// Taken back: it stays in the record and is shown no more.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub taken_back: bool,
}

impl Kept {
    pub fn of(inputs: &Inputs, answer: &Answer, at_ms: i64) -> Self {
        let typed = |entry: &Entry| match entry {
            Entry::Text(text) => text.clone(),
            Entry::Number { value, plus_minus: Some(spread) } => format!("{value} ± {spread}"),
            Entry::Number { value, .. } => value.to_string(),
        };
        let mut lines: Vec<String> =
            answer.figures.iter().map(|figure| format!("{}: {}", figure.label, figure.text())).collect();
        if let Some((table, best)) = answer.table.as_ref().and_then(|table| Some((table, table.rows.first()?))) {
            let cells: Vec<String> =
                table.heads.iter().zip(best).map(|(head, cell)| format!("{}: {cell}", head.to_lowercase())).collect();
            lines.push(format!("First in the list: {}", cells.join("; ")));
        }
        Self {
            at_ms,
            calculator: answer.calculator.to_owned(),
            title: answer.title.to_owned(),
            inputs: inputs.iter().map(|(id, entry)| (id.clone(), typed(entry))).collect(),
            lines,
            taken_back: false,
        }
    }

    /// The inputs to work it again.
    pub fn inputs(&self) -> Inputs {
        self.inputs.iter().map(|(id, typed)| (id.clone(), Entry::Text(typed.clone()))).collect()
    }
}

/// Those of a reel's results that count, the newest of each sum and its inputs only.
pub fn standing(kept: &[Kept]) -> Vec<&Kept> {
    let mut standing: Vec<&Kept> = Vec::new();
    for one in kept {
        standing.retain(|old| (&old.calculator, &old.inputs) != (&one.calculator, &one.inputs));
        if !one.taken_back {
            standing.push(one);
        }
    }
    standing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{inputs_from_json, run};
    use crate::reference::Reference;

    const TEETH: &str = r#"{"gear_teeth": 40, "pinion_teeth": "10"}"#;

    fn kept(json: &str, at_ms: i64) -> Kept {
        let inputs = inputs_from_json(json).unwrap();
        Kept::of(&inputs, &run(&Reference::default(), "gear-ratio", &inputs).unwrap(), at_ms)
    }

    #[test]
    fn a_kept_result_says_what_was_shown_and_can_be_worked_again() {
        let kept = kept(TEETH, 7);
        let again = run(&Reference::default(), "gear-ratio", &kept.inputs()).unwrap();
        assert_eq!(Kept::of(&kept.inputs(), &again, 7), kept);
        let ratio = again.figures[0].text();
        assert!(kept.lines[0].ends_with(&ratio) && ratio.starts_with('4'), "{kept:?}");
        let text = serde_json::to_string(&kept).unwrap();
        assert_eq!(serde_json::from_str::<Kept>(&text).unwrap(), kept);
    }

    #[test]
    fn of_a_sum_worked_twice_the_newer_counts_and_what_was_taken_back_does_not() {
        let (old, new, other) = (kept(TEETH, 1), kept(TEETH, 2), kept(r#"{"gear_teeth": 50, "pinion_teeth": 10}"#, 3));
        let back = Kept { taken_back: true, at_ms: 4, ..other.clone() };
        assert_eq!(standing(&[old.clone(), other.clone(), new.clone()]), [&other, &new]);
        assert_eq!(standing(&[old, other, new.clone(), back]), [&new]);
    }
}
