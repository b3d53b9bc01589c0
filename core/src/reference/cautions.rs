//! Which cautions a piece of work calls for: those its row names, and those that its parts, products and words bring.
//!
//! A row of a pack can forget one; the rules here do not, so a step is never shown bare. The checks of packs use the
//! same rules to say which row forgot.

use super::WorkPack;
use super::work::BenchCaution;

/// A piece of work as far as cautions go.
#[derive(Debug, Clone, Copy, Default)]
pub struct Task<'a> {
    /// Kind of reel; empty where not known.
    pub kind: &'a str,
    pub words: &'a str,
    pub consumables: &'a [String],
    pub roles: &'a [String],
    pub hazards: &'a [String],
    /// Cautions the row names itself.
    pub named: &'a [String],
    /// The reel is opened for it.
    pub opens: bool,
}

impl WorkPack {
    /// Every caution due, those named first.
    pub fn cautions_due(&self, task: &Task) -> Vec<&BenchCaution> {
        let mut ids: Vec<&str> = task.named.iter().map(String::as_str).collect();
        for group in self.groups_due(task) {
            if let Some(first) = group.first().filter(|_| !group.iter().any(|id| ids.contains(&id.as_str()))) {
                ids.push(first);
            }
        }
        let mut due: Vec<&BenchCaution> = ids.into_iter().filter_map(|id| self.caution(id)).collect();
        let mut seen: Vec<&str> = Vec::new();
        due.retain(|caution| {
            let new = !seen.contains(&caution.id.as_str());
            seen.push(&caution.id);
            new
        });
        due
    }

    /// What the rules ask for: of each group, one caution.
    pub(super) fn groups_due(&self, task: &Task) -> Vec<&[String]> {
        let mut groups: Vec<&[String]> = Vec::new();
        for hazard in &self.hazards {
            let by_part = hazard.roles.iter().any(|role| task.roles.contains(role));
            let by_kind = task.opens && hazard.opens.iter().any(|kind| kind == task.kind);
            if by_part || by_kind || task.hazards.contains(&hazard.id) {
                groups.push(std::slice::from_ref(&hazard.caution));
            }
        }
        let used = |id: &&String| task.consumables.contains(*id);
        groups.extend(
            self.consumables
                .iter()
                .filter(|one| used(&&one.id) && !one.cautions.is_empty())
                .map(|one| one.cautions.as_slice()),
        );
        let words = task.words.to_lowercase();
        groups.extend(
            self.caution_words
                .iter()
                .filter(|rule| rule.words.iter().any(|word| holds(&words, word)))
                .map(|rule| rule.any_of.as_slice()),
        );
        groups
    }
}

/// Whether the words stand in the text whole, not as part of longer ones. Both in lower case.
fn holds(text: &str, words: &str) -> bool {
    text.match_indices(words).any(|(at, found)| {
        let before = text[..at].chars().next_back();
        let after = text[at + found.len()..].chars().next();
        ![before, after].into_iter().flatten().any(char::is_alphabetic)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_whole() {
        assert!(holds("warm gently, no flame", "flame"));
        assert!(holds("white spirit on a cloth", "white spirit"));
        assert!(!holds("a springy feel", "spring"));
        assert!(!holds("lathering soap", "lathe"));
    }
}
