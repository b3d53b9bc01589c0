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

    let edited = |side: &Find| Find { changed_ms: 0, deleted_ms: None, ..side.clone() } != Find { changed_ms: 0, deleted_ms: None, ..base.clone() };
    let deleted_ms = match (theirs.deleted_ms, mine.deleted_ms) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (Some(ms), None) if base.deleted_ms.is_none() && !edited(mine) => Some(ms),
        (None, Some(ms)) if base.deleted_ms.is_none() && !edited(theirs) => Some(ms),
        _ => None,
    };

    let mut sheet = mine.sheet.clone();
    sheet.seen = merge_seen(&theirs.sheet.seen, &mine.sheet.seen);
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
        photos: merge_photos(&base.photos, &theirs.photos, &mine.photos),
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

/// What both sides saw first stays first; then what only they saw; then mine, so that my newest answers count.
fn merge_seen(theirs: &[Observation], mine: &[Observation]) -> Vec<Observation> {
    let shared = theirs.iter().zip(mine).take_while(|(a, b)| a == b).count();
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
fn merge_photos(base: &[PhotoRef], theirs: &[PhotoRef], mine: &[PhotoRef]) -> Vec<PhotoRef> {
    let find = |photos: &[PhotoRef], sha256: &str| photos.iter().find(|photo| photo.sha256 == sha256).cloned();
    let mut kept: Vec<PhotoRef> = Vec::new();
    for photo in theirs.iter().chain(mine) {
        if kept.iter().any(|k| k.sha256 == photo.sha256) {
            continue;
        }
        let (was, their, my) = (find(base, &photo.sha256), find(theirs, &photo.sha256), find(mine, &photo.sha256));
        kept.extend(match (was, their, my) {
            (Some(was), Some(their), Some(my)) => Some(pick(&was, &their, &my, |_| ())),
            (Some(_), _, _) => None,
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
