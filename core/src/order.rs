//! Putting things in order with little code: the library's sort is compiled anew for every type, some four kilobytes
//! each, and a phone downloads them all. This one sorts places, so there is one of it.

use std::{cmp::Ordering, collections::BTreeMap};

/// Sorts; equal items keep their order.
pub fn by<T>(items: &mut Vec<T>, compare: impl Fn(&T, &T) -> Ordering) {
    let places = sorted_places(items.len(), &|a, b| compare(&items[a], &items[b]));
    let mut taken: Vec<Option<T>> = std::mem::take(items).into_iter().map(Some).collect();
    items.extend(places.into_iter().filter_map(|place| taken[place].take()));
}

/// Sorts, and leaves one of each. For small lists: it is slower than the library's.
pub fn unique<T: Ord>(items: &mut Vec<T>) {
    by(items, T::cmp);
    items.dedup();
}

/// Which place has which name. One by one: collecting would bring a sort of its own.
pub fn index<'a>(names: impl Iterator<Item = &'a str>) -> BTreeMap<String, usize> {
    let mut index = BTreeMap::new();
    for (at, name) in names.enumerate() {
        index.insert(name.to_owned(), at);
    }
    index
}

#[inline(never)]
fn sorted_places(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut places: Vec<usize> = (0..count).collect();
    places.sort_by(|&a, &b| compare(a, b));
    places
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_sorts_as_the_library_does(items: Vec<(u8, u8)>) {
            let mut ours = items.clone();
            super::by(&mut ours, |a, b| a.0.cmp(&b.0));
            let mut theirs = items;
            theirs.sort_by_key(|item| item.0);
            prop_assert_eq!(ours, theirs);
        }
    }
}
