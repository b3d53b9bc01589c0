use proptest::prelude::*;

use super::*;
use crate::observe::Observation;
use crate::shop::{Condition, Done, FindState, PhotoRef, Price, Stand, Step, Who};

const ID: &str = "000102030405060708090a0b0c0d0e0f";

/// One edit of a reel, as a person makes it.
#[derive(Debug, Clone)]
enum Edit {
    Name(String),
    Kind(&'static str),
    Seen(String),
    Work(String),
    Note(String),
    Photo(u8, String),
    TakePhoto(u8),
    Turn,
    Condition(u8, String),
    Step(usize),
    Which(bool),
}

fn any_edit() -> impl Strategy<Value = Edit> {
    let words = "[a-zé]{0,6}";
    prop_oneof![
        words.prop_map(Edit::Name),
        prop_oneof![Just("fly"), Just("spinning"), Just("")].prop_map(Edit::Kind),
        words.prop_map(Edit::Seen),
        words.prop_map(Edit::Work),
        words.prop_map(Edit::Note),
        (0..4u8, words).prop_map(|(n, words)| Edit::Photo(n, words)),
        (0..4u8).prop_map(Edit::TakePhoto),
        Just(Edit::Turn),
        (0..3u8, words).prop_map(|(n, words)| Edit::Condition(n, words)),
        (0..13usize).prop_map(Edit::Step),
        any::<bool>().prop_map(Edit::Which),
    ]
}

fn apply(reel: &mut Reel, edit: &Edit, at_ms: i64) {
    match edit.clone() {
        Edit::Name(name) => reel.name = name,
        Edit::Kind(kind) => reel.kind = kind.into(),
        Edit::Seen(text) => reel.sheet.seen.push(Observation::mark("foot-under", &text)),
        Edit::Work(what) => reel.work.push(Done { at_ms, what, minutes: Some(5) }),
        Edit::Note(words) => reel.note.push_str(&words),
        Edit::Photo(n, words) => {
            let sha256 = format!("{n:064}");
            match reel.photos.iter_mut().find(|photo| photo.sha256 == sha256) {
                Some(photo) => photo.words = words,
                None => reel.photos.push(PhotoRef { sha256, words, ..PhotoRef::default() }),
            }
        }
        Edit::TakePhoto(n) => reel.photos.retain(|photo| photo.sha256 != format!("{n:064}")),
        Edit::Turn => reel.photos.reverse(),
        Edit::Condition(n, words) => {
            let what = format!("c{n}");
            reel.condition.retain(|one| one.what != what);
            reel.condition.push(Condition { what, words });
        }
        Edit::Step(n) => reel.way.push(Step { at_ms, to: Stand::ALL[n], by: Who::Shop, words: String::new() }),
        Edit::Which(known) => {
            reel.which =
                if known { FindState::Confirmed { model: "m-1".into(), variant: None } } else { FindState::NotKnown }
        }
    }
}

/// What several copies did, each edit on one copy, with deliveries in between.
#[derive(Debug, Clone)]
enum Event {
    Edit(usize, Edit),
    /// A copy hears of the update with this number (again, or out of turn).
    Hear(usize, prop::sample::Index),
}

const COPIES: usize = 3;

fn any_event() -> impl Strategy<Value = Event> {
    prop_oneof![
        (0..COPIES, any_edit()).prop_map(|(copy, edit)| Event::Edit(copy, edit)),
        (0..COPIES, any::<prop::sample::Index>()).prop_map(|(copy, which)| Event::Hear(copy, which)),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn copies_that_heard_the_same_are_equal_and_nothing_appended_is_lost(events in prop::collection::vec(any_event(), 1..40)) {
        let first = Kept::new(Reel::new(ID, 1), 1).unwrap();
        let start = first.bytes();
        let mut copies: Vec<Kept<Reel>> = (0..COPIES as u64).map(|n| Kept::read(&start, 10 + n).unwrap()).collect();
        let mut updates: Vec<Vec<u8>> = Vec::new();
        let (mut seen, mut work, mut steps) = (Vec::new(), Vec::new(), 1);
        for (at, event) in events.iter().enumerate() {
            match event {
                Event::Edit(copy, edit) => {
                    let before = copies[*copy].record.clone();
                    let update = copies[*copy].change(100 + at as i64, |reel| apply(reel, edit, at as i64)).unwrap();
                    let mut wanted = before.clone();
                    apply(&mut wanted, edit, at as i64);
                    // What the editor sees is what they wrote, other copies' leftovers and the time aside.
                    let mut got = copies[*copy].record.clone();
                    wanted.changed_ms = got.changed_ms;
                    wanted.set_aside.clear();
                    got.set_aside.clear();
                    prop_assert_eq!(got, wanted, "{:?}", edit);
                    if let Some(update) = update {
                        updates.push(update);
                        match edit {
                            Edit::Seen(text) => seen.push(Observation::mark("foot-under", text)),
                            Edit::Work(what) => work.push((at as i64, what.clone())),
                            Edit::Step(_) => steps += 1,
                            _ => {}
                        }
                    }
                }
                Event::Hear(copy, which) if !updates.is_empty() => {
                    let update = updates[which.index(updates.len())].clone();
                    copies[*copy].join(&update).unwrap();
                }
                Event::Hear(..) => {}
            }
        }
        // In the end everybody hears everything, each in another order, some of it twice.
        for (n, copy) in copies.iter_mut().enumerate() {
            for at in 0..updates.len() {
                let at = if n == 1 { updates.len() - 1 - at } else { (at + n) % updates.len() };
                copy.join(&updates[at]).unwrap();
                copy.join(&updates[at]).unwrap();
            }
        }
        let one = &copies[0].record;
        for other in &copies[1..] {
            prop_assert_eq!(one, &other.record);
        }
        let reread: Kept<Reel> = Kept::read(&copies[2].bytes(), 99).unwrap();
        prop_assert_eq!(&reread.record, one);
        let sorted = |mut items: Vec<String>| { items.sort(); items };
        let marks = one.sheet.seen.iter().map(|o| format!("{o:?}")).collect();
        prop_assert_eq!(sorted(marks), sorted(seen.iter().map(|o| format!("{o:?}")).collect()));
        let done = one.work.iter().map(|done| format!("{:?}", (done.at_ms, &done.what))).collect();
        prop_assert_eq!(sorted(done), sorted(work.iter().map(|w| format!("{:?}", (w.0, &w.1))).collect()));
        prop_assert_eq!(one.way.len(), steps);
    }

    #[test]
    fn bytes_that_are_no_record_are_refused_and_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = Kept::<Reel>::read(&bytes, 1);
    }

    #[test]
    fn torn_bytes_are_refused(cut in 0.0..1.0f64) {
        let mut reel = Reel::new(ID, 1);
        reel.name = "The big one".into();
        let bytes = Kept::new(reel, 1).unwrap().bytes();
        let at = (bytes.len() as f64 * cut) as usize;
        prop_assert!(Kept::<Reel>::read(&bytes[..at], 2).is_err());
    }
}

/// Bytes that fuzzing found worth keeping: each is read or refused, and joins twice as once.
#[test]
fn foreign_bytes_that_were_once_a_trouble_are_none() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz/corpus/import");
    let mut tried = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        let bytes = std::fs::read(file.unwrap().path()).unwrap();
        let Some((first, rest)) = bytes.split_first() else { continue };
        let kind = Kind::ALL[usize::from(*first) % Kind::ALL.len()];
        let read = |bytes: &[u8]| crate::record::typed_json(kind, bytes).ok().map(|written| written.json);
        let _ = read(rest);
        if let Ok(once) = join_updates([rest]) {
            assert_eq!(read(&join_updates([once.as_slice(), rest]).unwrap()), read(&once));
        }
        tried += 1;
    }
    assert!(tried >= 3, "{tried} files");
}

#[test]
fn a_deletion_counts_though_the_clock_ticks_before_it_is_written() {
    let (mut here, _) = two();
    here.change(10, |reel| reel.deleted_ms = Some(9)).unwrap();
    assert!(here.record.is_deleted());
    here.change(20, |reel| reel.deleted_ms = None).unwrap();
    assert!(!here.record.is_deleted());
}

fn two() -> (Kept<Reel>, Kept<Reel>) {
    let here = Kept::new(Reel::new(ID, 1), 1).unwrap();
    let there = Kept::read(&here.bytes(), 2).unwrap();
    (here, there)
}

#[test]
fn of_two_values_written_apart_the_other_stays_to_be_seen_until_the_field_is_written_again() {
    let (mut here, mut there) = two();
    let a = here.change(10, |reel| reel.lies_at = "Shelf 2".into()).unwrap().unwrap();
    let b = there.change(11, |reel| reel.lies_at = "Tray 7".into()).unwrap().unwrap();
    here.join(&b).unwrap();
    there.join(&a).unwrap();
    assert_eq!(here.record, there.record);
    assert_eq!(here.record.lies_at, "Tray 7");
    assert_eq!(here.record.set_aside, [SetAside { what: "lies at".into(), was: "Shelf 2".into() }]);
    let c = here.change(12, |reel| reel.lies_at = "Shelf 3".into()).unwrap().unwrap();
    there.join(&c).unwrap();
    assert_eq!(there.record.lies_at, "Shelf 3");
    assert!(there.record.set_aside.is_empty(), "{:?}", there.record.set_aside);
}

#[test]
fn words_of_both_sides_stand_in_a_note() {
    let (mut here, mut there) = two();
    let start = here.change(5, |reel| reel.note = "Line left on.".into()).unwrap().unwrap();
    there.join(&start).unwrap();
    let a = here.change(10, |reel| reel.note = "Old line left on.".into()).unwrap().unwrap();
    let b = there.change(11, |reel| reel.note.push_str(" Cut it off.")).unwrap().unwrap();
    here.join(&b).unwrap();
    there.join(&a).unwrap();
    assert_eq!(here.record.note, "Old line left on. Cut it off.");
    assert_eq!(there.record.note, here.record.note);
}

#[test]
fn an_edit_on_an_older_state_keeps_what_came_meanwhile() {
    let (mut here, mut there) = two();
    let base = here.record.clone();
    let update = there.change(10, |reel| reel.photos.push(PhotoRef { sha256: "1".repeat(64), ..PhotoRef::default() }));
    here.join(&update.unwrap().unwrap()).unwrap();
    let mine = Reel { name: "Mine".into(), ..base.clone() };
    here.edit(&base, &mine, 11).unwrap();
    assert_eq!((here.record.name.as_str(), here.record.photos.len()), ("Mine", 1));
}

#[test]
fn a_later_update_that_comes_first_waits_for_the_earlier() {
    let (mut here, mut there) = two();
    let a = here.change(10, |reel| reel.name = "A".into()).unwrap().unwrap();
    let b = here.change(11, |reel| reel.kind = "fly".into()).unwrap().unwrap();
    there.join(&b).unwrap();
    // Kept and opened again in between, as a phone does.
    let mut there: Kept<Reel> = Kept::read(&there.bytes(), 3).unwrap();
    there.join(&a).unwrap();
    assert_eq!((there.record.name.as_str(), there.record.kind.as_str()), ("A", "fly"));
}

#[test]
fn figures_come_back_to_the_last_digit() {
    let mut job = Job::new(ID, 1_758_000_000_123);
    job.opening_fee = Price::parse("20.10", "usd").ok();
    let kept = Kept::new(job.clone(), 1).unwrap();
    assert_eq!(Kept::<Job>::read(&kept.bytes(), 2).unwrap().record, job);
}

#[test]
fn a_record_of_a_newer_version_is_refused_in_a_sentence_and_its_bytes_stay_whole() {
    let document = Document::new(&Reel::SHAPE, 1);
    document.edit(&Value::Null, &serde_json::json!({ "schema": 9, "id": ID, "made_ms": 1, "colour": "red" }));
    let told = Kept::<Reel>::read(&document.bytes(), 2).err().unwrap().to_string();
    assert!(told.starts_with("This reel was written by a newer Tailplate (form 9"), "{told}");
    assert_eq!(document.value().0["colour"], "red");
}

#[test]
fn a_job_is_closed_only_when_every_reel_is_accounted_for_and_paid() {
    let mut job = Job::new(ID, 1);
    let mut reel = Reel::new(ID, 1);
    reel.tag = "K7MP42X9".into();
    let told = job.close(std::slice::from_ref(&reel), None, 9).unwrap_err().to_string();
    assert_eq!(told, "The job can't be closed yet. The reel K7MP42X9 is not accounted for: arrived.");
    reel.go(Stand::Declined, Who::Customer, 2, "").unwrap();
    reel.go(Stand::Returned, Who::Shop, 3, "").unwrap();
    job.close(&[reel], None, 9).unwrap();
    assert_eq!(job.closed_ms, Some(9));
}
