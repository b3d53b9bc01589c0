//! A saved copy of a phone is read, searched and written again by the shop's computer, with nothing lost on the way.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tailplate_core::copy::{SavedCopy, Writer, at_once, sha256_hex};
use tailplate_core::record::{Kept, Kind, Record, typed_json};
use tailplate_core::shop::{Customer, Find, FindState, Job, Need, Reel};
use tailplate_hub::keep::{Task, run};
use tailplate_hub::store::{Places, Store};

const JPEG: &[u8] = b"\xFF\xD8\xFF\xE0 a picture \xFF\xD9";

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("tailplate-copies-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        Self(folder)
    }
    fn places(&self) -> Places {
        Places::at(&self.0.join("shop"))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn id(number: usize) -> String {
    format!("{number:032x}")
}

/// As a phone writes it.
fn copy_of_a_phone() -> Vec<u8> {
    fn keep<R: Record>(writer: &mut Writer, record: R) {
        let kept = Kept::new(record, 7).unwrap();
        let json = serde_json::to_string(&kept.record).unwrap();
        writer.record(R::KIND, kept.record.id(), &kept.bytes(), &json).unwrap();
    }
    let mut writer = Writer::new(1_000);
    keep(&mut writer, Customer { name: "Mara Quill".into(), ..Customer::new(&id(1), 1_000) });
    keep(
        &mut writer,
        Job { customer: Some(id(1)), words: "Keep the patina, please.".into(), ..Job::new(&id(2), 2_000) },
    );
    let complaint = "Check has gone silent".to_owned();
    keep(&mut writer, Reel { job: Some(id(2)), name: "Dunling".into(), complaint, ..Reel::new(&id(3), 3_000) });
    let state = FindState::Confirmed { model: "practice-brindlecote-410".into(), variant: None };
    keep(&mut writer, Find { place: "Row C".into(), state, ..Find::new(&id(4), 4_000) });
    keep(&mut writer, Need::new(&id(5), 5_000, "dog-spring"));
    writer.photo(&sha256_hex(JPEG), JPEG).unwrap();
    let mut file = writer.take();
    file.extend(writer.finish().unwrap());
    file
}

/// Kind, id and what each record of a copy says.
fn records(file: &[u8]) -> Vec<(Kind, String, Value)> {
    let mut copy = at_once(SavedCopy::open(file, async |_, _| true)).unwrap();
    let mut all: Vec<_> = copy
        .records
        .clone()
        .into_iter()
        .map(|(kind, id)| {
            let written = typed_json(kind, &at_once(copy.record(kind, &id)).unwrap()).unwrap();
            (kind, id, serde_json::from_str(&written.json).unwrap())
        })
        .collect();
    all.sort_by(|a, b| (a.0, &a.1).cmp(&(b.0, &b.1)));
    all
}

async fn told(task: Task, places: &Places) -> Value {
    let mut out = Vec::new();
    assert!(run(&task, places, true, &mut out).await.unwrap_or_else(|_| panic!("{task:?} is refused")));
    serde_json::from_slice(&out).unwrap()
}

async fn import(file: &Path, places: &Places) -> Value {
    told(Task::Import { file: file.into() }, places).await
}

#[tokio::test]
async fn a_copy_of_a_phone_is_taken_in_searched_and_written_again() {
    let folder = Folder::new("whole");
    let places = folder.places();
    Store::open(&places).await.unwrap().close().await;
    let (from_phone, again) = (folder.0.join("phone.zip"), folder.0.join("again.zip"));
    let file = copy_of_a_phone();
    std::fs::write(&from_phone, &file).unwrap();

    assert_eq!(import(&from_phone, &places).await, json!({ "records": 5, "photos": 1 }));
    assert_eq!(import(&from_phone, &places).await, json!({ "records": 0, "photos": 0 }), "twice changes nothing");
    let found = told(Task::Search { words: vec!["SILENT".into(), "dunl".into()] }, &places).await;
    assert_eq!((found["found"].as_array().unwrap().len(), &found["found"][0]["id"]), (1, &json!(id(3))));
    let none = told(Task::Search { words: vec!["silent".into(), "patina".into()] }, &places).await;
    assert_eq!(none["found"], json!([]), "every word is in one record");

    let found = told(Task::Search { words: vec!["larkspur".into(), "row".into()] }, &places).await;
    assert_eq!(found["found"][0]["name"], json!("Larkspur 410"), "what its model is called is found too: {found}");

    let written = told(Task::Export { file: again.clone() }, &places).await;
    assert_eq!(written, json!({ "records": 5, "photos": 1, "unread": [] }));
    let back = std::fs::read(&again).unwrap();
    assert_eq!(records(&back), records(&file));
    let mut copy = at_once(SavedCopy::open(&back[..], async |_, _| true)).unwrap();
    assert_eq!(at_once(copy.photo(&sha256_hex(JPEG))).unwrap(), JPEG);
}

#[tokio::test]
async fn a_copy_that_was_cut_short_or_changed_changes_nothing() {
    let folder = Folder::new("damaged");
    let places = folder.places();
    Store::open(&places).await.unwrap().close().await;
    let file = copy_of_a_phone();
    let mut changed = file.clone();
    let at = changed.windows(6).position(|six| six == b"silent").expect("its words stand in the file");
    changed[at] ^= 1;
    for (name, bytes) in [("short", &file[..file.len() - 100]), ("changed", &changed)] {
        let path = folder.0.join(format!("{name}.zip"));
        std::fs::write(&path, bytes).unwrap();
        let mut out = Vec::new();
        assert!(run(&Task::Import { file: path }, &places, true, &mut out).await.is_err(), "{name} is refused");
        assert!(out.is_empty(), "{name}");
    }
    assert_eq!(told(Task::Search { words: vec!["mara".into()] }, &places).await["found"], json!([]));
}
