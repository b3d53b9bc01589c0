//! Two tabs edited one find: how do both edits survive?
//!
//! Each edit began from the same `base`. What only one side changed, counts. Observations and photos of both are kept,
//! notes changed on both sides are joined, and of any other field changed on both sides the edit being saved wins while
//! the other value is put into [`Find::set_aside`]. A deletion stands only if the other side changed nothing.

use serde::Serialize;

use super::{Find, FindState, PhotoRef, SetAside};
use crate::observe::Observation;

/// Joins `mine` (being saved now) with `theirs` (saved meanwhile), both edited from `base`.
///
/// # Panics
/// If the three are not the same find: their ids differ.
pub fn merge(base: &Find, theirs: &Find, mine: &Find) -> Find {
    assert!(base.id == theirs.id && base.id == mine.id, "only edits of one find can be joined");
    let mut set_aside = theirs.set_aside.clone();
    keep_new(&mut set_aside, &mine.set_aside);

    let mut put_aside = |what: &str, was: String| {
        let lost = SetAside { what: what.to_owned(), was };
        if !lost.was.is_empty() && !set_aside.contains(&lost) {
            set_aside.push(lost);
        }
    };
    let name = pick(&base.name, &theirs.name, &mine.name, |was| put_aside("name", was.clone()));
    let place = pick(&base.place, &theirs.place, &mine.place, |was| put_aside("place", was.clone()));
    let asking_price = pick(&base.asking_price, &theirs.asking_price, &mine.asking_price, |was| {
        put_aside("asking price", was.as_ref().map_or(String::new(), ToString::to_string));
    });
    let state = pick(&base.state, &theirs.state, &mine.state, |was| put_aside("which reel", state_words(was)));
    let stall = pick(&base.stall, &theirs.stall, &mine.stall, |was| put_aside("stall check", json_words(was)));

    let photos = merge_photos(&base.photos, &theirs.photos, &mine.photos, |was| put_aside("words under a photo", was));

    // Times aside, did this side change anything?
    let edited = |side: &Find| {
        Find { changed_ms: 0, deleted_ms: None, ..side.clone() }
            != Find { changed_ms: 0, deleted_ms: None, ..base.clone() }
    };
    let deleted_ms = match (theirs.deleted_ms, mine.deleted_ms) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (Some(ms), None) if base.deleted_ms.is_none() && !edited(mine) => Some(ms),
        (None, Some(ms)) if base.deleted_ms.is_none() && !edited(theirs) => Some(ms),
        _ => None,
    };

    let mut sheet = mine.sheet.clone();
    sheet.seen = merge_seen(&base.sheet.seen, &theirs.sheet.seen, &mine.sheet.seen);
    sheet.note = merge_note(&base.sheet.note, &theirs.sheet.note, &mine.sheet.note);
    Find {
        schema: mine.schema,
        id: mine.id.clone(),
        made_ms: base.made_ms,
        // Later than both, so that a third tab notices.
        changed_ms: mine.changed_ms.max(theirs.changed_ms + 1),
        name,
        sheet,
        place,
        asking_price,
        note: merge_note(&base.note, &theirs.note, &mine.note),
        private_note: merge_note(&base.private_note, &theirs.private_note, &mine.private_note),
        photos,
        state,
        stall,
        set_aside,
        deleted_ms,
    }
}

/// The one that changed; if both did, mine, and theirs is told as lost.
fn pick<T: PartialEq + Clone>(base: &T, theirs: &T, mine: &T, lost: impl FnOnce(&T)) -> T {
    if mine == base {
        return theirs.clone();
    }
    if theirs != base && theirs != mine {
        lost(theirs);
    }
    mine.clone()
}

/// What stood before both edits stays first; then what only they saw; then mine, so that my newest answers count.
fn merge_seen(base: &[Observation], theirs: &[Observation], mine: &[Observation]) -> Vec<Observation> {
    let shared = base.iter().zip(theirs).zip(mine).take_while(|((a, b), c)| a == b && a == c).count();
    let my_tail = &mine[shared..];
    // Taken off from the end, an equal observation that both made counts once.
    let mut unmatched: Vec<&Observation> = my_tail.iter().collect();
    let mut only_theirs = Vec::new();
    for seen in theirs[shared..].iter().rev() {
        match unmatched.iter().rposition(|other| *other == seen) {
            Some(at) => {
                unmatched.remove(at);
            }
            None => only_theirs.push(seen.clone()),
        }
    }
    only_theirs.reverse();
    [&mine[..shared], &only_theirs, my_tail].concat()
}

fn merge_note(base: &str, theirs: &str, mine: &str) -> String {
    if mine == base || theirs.contains(mine) {
        theirs.to_owned()
    } else if theirs == base || mine.contains(theirs) {
        mine.to_owned()
    } else {
        format!("{theirs}\n{mine}")
    }
}

/// Photos of both; one that either side took away is gone; words as in [`pick`], mine first.
fn merge_photos(
    base: &[PhotoRef],
    theirs: &[PhotoRef],
    mine: &[PhotoRef],
    mut lost: impl FnMut(String),
) -> Vec<PhotoRef> {
    let find = |photos: &[PhotoRef], sha256: &str| photos.iter().find(|photo| photo.sha256 == sha256).cloned();
    let mut kept: Vec<PhotoRef> = Vec::new();
    for photo in theirs.iter().chain(mine) {
        if kept.iter().any(|k| k.sha256 == photo.sha256) {
            continue;
        }
        let (was, their, my) = (find(base, &photo.sha256), find(theirs, &photo.sha256), find(mine, &photo.sha256));
        kept.extend(match (was, their, my) {
            (Some(was), Some(their), Some(my)) => Some(pick(&was, &their, &my, |their| lost(their.words.clone()))),
            (Some(_), _, _) => None,
            (None, Some(their), Some(my)) => {
                Some(pick(&PhotoRef { words: String::new(), ..my.clone() }, &their, &my, |t| lost(t.words.clone())))
            }
            (None, their, my) => my.or(their),
        });
    }
    kept
}

fn keep_new<T: PartialEq + Clone>(kept: &mut Vec<T>, more: &[T]) {
    for item in more {
        if !kept.contains(item) {
            kept.push(item.clone());
        }
    }
}

fn state_words(state: &FindState) -> String {
    match state {
        FindState::Open => "still open".into(),
        FindState::NotKnown => "not known".into(),
        FindState::Confirmed { model, variant: None } => model.clone(),
        FindState::Confirmed { model, variant: Some(variant) } => format!("{model}, {variant}"),
    }
}

fn json_words(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::{Found, Price, StallAnswer, StallCheck};
    use proptest::prelude::*;

    const ID: &str = "000102030405060708090a0b0c0d0e0f";

    fn find(changed_ms: i64, seen: &[&str]) -> Find {
        let mut find = Find::new(ID, 1);
        find.changed_ms = changed_ms;
        find.sheet.seen = seen.iter().map(|state| Observation::state("bail", state)).collect();
        find
    }

    fn states(find: &Find) -> Vec<String> {
        find.sheet.seen.iter().map(|o| format!("{:?}", o.value)).collect()
    }

    #[test]
    fn what_only_one_side_changed_counts() {
        let base = find(1, &[]);
        let theirs = Find { place: "Market".into(), changed_ms: 2, ..base.clone() };
        let mine = Find { name: "Black one".into(), changed_ms: 3, ..base.clone() };
        let both = merge(&base, &theirs, &mine);
        assert_eq!((both.place.as_str(), both.name.as_str()), ("Market", "Black one"));
        assert!(both.set_aside.is_empty());
    }

    #[test]
    fn what_both_changed_keeps_the_other_aside_and_joins_notes() {
        let base = find(1, &[]);
        let price = |amount| Price::parse(amount, "EUR").ok();
        let theirs = Find { asking_price: price("12"), note: "Foot bent.".into(), changed_ms: 9, ..base.clone() };
        let mine = Find { asking_price: price("10"), note: "Handle loose.".into(), changed_ms: 3, ..base.clone() };
        let both = merge(&base, &theirs, &mine);
        assert_eq!(both.asking_price, price("10"));
        assert_eq!(both.set_aside, [SetAside { what: "asking price".into(), was: "12 EUR".into() }]);
        assert_eq!(both.note, "Foot bent.\nHandle loose.");
        assert_eq!(both.changed_ms, 10, "a third tab must notice");
    }

    #[test]
    fn my_newest_answer_counts_and_theirs_stays() {
        let base = find(1, &["a"]);
        let both = merge(&base, &find(2, &["a", "b"]), &find(3, &["a", "c"]));
        assert_eq!(states(&both), states(&find(0, &["a", "b", "c"])));
    }

    #[test]
    fn a_deletion_gives_way_to_an_edit_and_stands_otherwise() {
        let base = find(1, &[]);
        let deleted = Find { deleted_ms: Some(5), changed_ms: 5, ..base.clone() };
        let edited = Find { note: "Keep.".into(), changed_ms: 6, ..base.clone() };
        assert_eq!(merge(&base, &deleted, &edited).deleted_ms, None);
        assert_eq!(merge(&base, &edited, &deleted).deleted_ms, None);
        assert_eq!(merge(&base, &deleted, &Find { changed_ms: 6, ..base.clone() }).deleted_ms, Some(5));
    }

    #[test]
    fn a_photo_taken_away_stays_away_and_a_new_one_stays() {
        let photo =
            |digit: &str| PhotoRef { sha256: digit.repeat(64), width_px: 1, height_px: 1, ..PhotoRef::default() };
        let base = Find { photos: vec![photo("a"), photo("b")], ..find(1, &[]) };
        let theirs = Find { photos: vec![photo("b")], ..base.clone() };
        let mine = Find { photos: vec![photo("a"), photo("b"), photo("c")], ..base.clone() };
        assert_eq!(merge(&base, &theirs, &mine).photos, [photo("b"), photo("c")]);
    }

    fn observations() -> impl Strategy<Value = Vec<Observation>> {
        let one = prop_oneof![
            ("[ab]", "[xyz]").prop_map(|(feature, state)| Observation::state(&feature, &state)),
            "[PQ]{1,2}".prop_map(|text| Observation::mark("foot-under", &text)),
        ];
        prop::collection::vec(one, 0..5)
    }

    /// A find, with the observations already made and some new ones.
    fn edit(seen: Vec<Observation>) -> impl Strategy<Value = Find> {
        let stall = prop_oneof![
            Just(None),
            Just(Some(StallCheck {
                answers: vec![StallAnswer { check: "cracks".into(), found: Found::Sound, words: String::new() }],
            }))
        ];
        let state = prop_oneof![
            Just(FindState::Open),
            Just(FindState::NotKnown),
            Just(FindState::Confirmed { model: "demo-1".into(), variant: None }),
        ];
        (observations(), "[mn]?", "[pq]?", "[rs]{0,2}", stall, state, 1i64..9).prop_map(
            move |(more, name, place, note, stall, state, changed_ms)| {
                let mut find = Find { name, place, note, stall, state, changed_ms, ..Find::new(ID, 1) };
                find.sheet.seen = [seen.clone(), more].concat();
                find
            },
        )
    }

    fn two_edits() -> impl Strategy<Value = (Find, Find, Find)> {
        edit(Vec::new()).prop_flat_map(|base| {
            let seen = base.sheet.seen.clone();
            (Just(base), edit(seen.clone()), edit(seen))
        })
    }

    fn times(all: &[Observation], one: &Observation) -> usize {
        all.iter().filter(|o| *o == one).count()
    }

    proptest! {
        #[test]
        fn no_observation_is_lost_or_told_twice((base, theirs, mine) in two_edits()) {
            let both = merge(&base, &theirs, &mine).sheet.seen;
            for one in &both {
                let (a, b) = (times(&theirs.sheet.seen, one), times(&mine.sheet.seen, one));
                prop_assert!(times(&both, one) >= a.max(b));
                prop_assert!(times(&both, one) <= a + b - times(&base.sheet.seen, one));
            }
            for one in theirs.sheet.seen.iter().chain(&mine.sheet.seen) {
                prop_assert!(both.contains(one));
            }
        }

        #[test]
        fn what_i_said_last_counts((base, theirs, mine) in two_edits()) {
            let both = merge(&base, &theirs, &mine);
            let since = &mine.sheet.seen[base.sheet.seen.len()..];
            for feature in ["a", "b"] {
                if since.iter().any(|o| o.about.id() == feature) {
                    prop_assert_eq!(both.sheet.answer(feature), mine.sheet.answer(feature));
                }
            }
        }

        #[test]
        fn saving_the_same_edit_again_changes_nothing((base, theirs, mine) in two_edits()) {
            let times_off = |find: Find| Find { changed_ms: 0, ..find };
            let once = merge(&base, &theirs, &mine);
            let again = merge(&base, &once, &mine);
            prop_assert_eq!(&times_off(again).sheet, &once.sheet);
            prop_assert_eq!(times_off(merge(&base, &mine, &mine)), times_off(mine));
        }

        #[test]
        fn no_word_is_lost((base, theirs, mine) in two_edits()) {
            let both = merge(&base, &theirs, &mine);
            for (what, was, their, kept) in [
                ("name", &base.name, &theirs.name, &both.name),
                ("place", &base.place, &theirs.place, &both.place),
            ] {
                let aside = both.set_aside.iter().any(|s| s.what == what && s.was == *their);
                prop_assert!(their == was || their.is_empty() || their == kept || aside);
            }
            if theirs.note != base.note {
                prop_assert!(both.note.contains(&theirs.note));
            }
            if mine.note != base.note {
                prop_assert!(both.note.contains(&mine.note));
            }
            prop_assert!(both.changed_ms > theirs.changed_ms);
        }
    }
}
