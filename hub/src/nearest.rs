//! The right ids nearest to a wrong one, for messages.

/// Up to three ids that the word may have meant, nearest first.
pub fn nearest<'a>(word: &str, ids: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let word = word.to_lowercase();
    let mut scored: Vec<(usize, &str)> = ids
        .into_iter()
        .filter_map(|id| {
            let lower = id.to_lowercase();
            let slips = slips(&word, &lower);
            // A part of the right id is nearer than its length lets it seem.
            let part = word.len() >= 3 && (lower.contains(&word) || word.contains(&lower) && lower.len() >= 3);
            let score = if part { slips.min(2) } else { slips };
            (score <= 2.max(word.len() / 3)).then_some((score * 100 + slips, id))
        })
        .collect();
    scored.sort_unstable();
    scored.into_iter().take(3).map(|(_, id)| id).collect()
}

/// ` Nearest: a, b.`, or nothing where nothing is near.
pub fn hint<'a>(word: &str, ids: impl IntoIterator<Item = &'a str>) -> String {
    match nearest(word, ids).as_slice() {
        [] => String::new(),
        near => format!(" Nearest: {}.", near.join(", ")),
    }
}

/// Letters to put in, take out or change to make one word the other.
fn slips(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut corner = i;
        row[0] = i + 1;
        for (j, to) in b.iter().enumerate() {
            let changed = corner + usize::from(from != *to);
            corner = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(corner + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_or_a_part_finds_the_id() {
        let ids = ["plate_material", "plate_colour", "knob_material", "bail"];
        assert_eq!(nearest("plate_materiel", ids), ["plate_material"]);
        assert_eq!(nearest("material", ids), ["knob_material", "plate_material"]);
        assert_eq!(nearest("bial", ids), ["bail"]);
        assert!(nearest("zzzzzz", ids).is_empty());
    }
}
