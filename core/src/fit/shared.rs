//! Facts as a file: what one shop hands on, and what another takes in under its name.

use serde::{Deserialize, Serialize};

use super::Fact;
use crate::error::{Error, Result};

/// More than a shop finds out in its life; a longer file is no such file.
const FACTS_MAX: usize = 2_000;

/// The part of the file that is read. The command line's files hold more beside it.
#[derive(Serialize, Deserialize)]
struct File {
    facts: Vec<Fact>,
}

/// Reads facts that others share; all of them get this one source, by which they can be dropped again.
///
/// # Errors
/// It is no such file, or a fact in it does not say which part goes from where to where.
pub fn shared_facts(text: &str, source: &str) -> Result<Vec<Fact>> {
    let file: File = serde_json::from_str(text)
        .map_err(|error| Error::invalid(format!("{source} holds no facts on what fits what: {error}.")))?;
    if file.facts.len() > FACTS_MAX {
        return Err(Error::invalid(format!("{source} holds more than {FACTS_MAX} facts. Split it up.")));
    }
    let mut facts = file.facts;
    for (at, fact) in facts.iter_mut().enumerate() {
        if fact.of.trim().is_empty() || fact.into.trim().is_empty() {
            return Err(Error::invalid(format!(
                "Fact {} of {source} does not say which reel the part is from (“of”) and which it goes into (“into”).",
                at + 1
            )));
        }
        fact.sources = vec![source.to_owned()];
    }
    Ok(facts)
}

/// Writes facts as such a file.
pub fn facts_to_share(facts: &[Fact]) -> String {
    serde_json::to_string_pretty(&File { facts: facts.to_vec() }).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn facts_go_out_and_come_in_under_another_name() {
        let fact = Fact { roles: vec!["drag-washer".into()], of: "a".into(), into: "b".into(), ..Fact::default() };
        let file = facts_to_share(&[Fact { sources: vec!["this shop".into()], ..fact.clone() }]);
        assert_eq!(shared_facts(&file, "Osric").unwrap(), [Fact { sources: vec!["Osric".into()], ..fact }]);
    }

    #[test]
    fn what_is_no_such_file_is_said_in_a_sentence() {
        assert!(shared_facts("[]", "list.json").unwrap_err().to_string().contains("list.json holds no facts"));
        let nowhere = r#"{"facts": [{"roles": ["foot"], "of": "a"}], "spares": []}"#;
        assert!(shared_facts(nowhere, "list.json").unwrap_err().to_string().contains("Fact 1 of list.json"));
    }
}
