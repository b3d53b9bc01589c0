//! Which need gets which part, when a part goes to one need only.

/// For each need, the parts that would serve it, the one liked most first.
pub type Places = Vec<Vec<usize>>;

/// Serves the needs in the order given, each if a part can be found for it without leaving an earlier one out. Since only the
/// needs weigh, this serves the heaviest set there is. Gives each need's part.
pub fn best_matching(
    order: &[usize],
    places: &Places,
    units: usize,
    there: &dyn Fn(usize) -> bool,
) -> Vec<Option<usize>> {
    let mut of_unit: Vec<Option<usize>> = vec![None; units];
    let mut seen = vec![usize::MAX; units];
    for (round, &need) in order.iter().enumerate() {
        find_place(need, round, places, there, &mut of_unit, &mut seen);
    }
    let mut of_need = vec![None; places.len()];
    for (unit, need) in of_unit.iter().enumerate() {
        if let Some(need) = need {
            of_need[*need] = Some(unit);
        }
    }
    of_need
}

/// Finds a part for the need, letting others move to another part of theirs.
fn find_place(
    need: usize,
    round: usize,
    places: &Places,
    there: &dyn Fn(usize) -> bool,
    of_unit: &mut [Option<usize>],
    seen: &mut [usize],
) -> bool {
    for &unit in places[need].iter().filter(|unit| there(**unit)) {
        if seen[unit] == round {
            continue;
        }
        seen[unit] = round;
        if of_unit[unit].is_none_or(|other| find_place(other, round, places, there, of_unit, seen)) {
            of_unit[unit] = Some(need);
            return true;
        }
    }
    false
}
