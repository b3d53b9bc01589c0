//! The saved copy on the shop's computer, and search: the same file and the same rows as on a phone.

use std::io::{Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::Path;

use serde_json::json;
use tailplate_core::copy::{SavedCopy, Source, Writer};
use tailplate_core::record::{Kind, typed_json};
use tailplate_core::shop::{Row, Sought, Texts};
use tailplate_core::sync::{BATCH_BYTES, COUNT_MAX, Id, Item, Mark, Outcome, PHOTO_BYTES_MAX};

use crate::command::Trouble;
use crate::packs;
use crate::store::{Photos, Places, Store, joined, now_ms, photo_kind};

/// Writes everything into one file that phones read too, and that opens without Tailplate.
pub async fn export(file: &Path, places: &Places, as_json: bool, out: &mut dyn Write) -> Result<bool, Trouble> {
    if file.exists() {
        return Err(format!("{} is there already, and is not written over; give another name.", file.display()).into());
    }
    let (store, photos) = open(places).await?;
    let mut copy = Writer::new(now_ms());
    let (mut records, mut unread) = (0, Vec::new());
    for (kind, id, document) in documents(&store).await? {
        match typed_json(kind, &document) {
            Ok(written) => {
                copy.record(kind, &id, &document, &written.json).map_err(|error| error.to_string())?;
                records += 1;
            }
            Err(why) => unread.push(format!("{} {id}: {why}", kind.word())),
        }
    }
    // Written beside and renamed: a stop in between leaves no half a copy under its name.
    let mut beside = file.as_os_str().to_owned();
    beside.push(".part");
    let told = |error: std::io::Error| format!("{} can't be written: {error}.", file.display());
    let mut part = std::fs::File::create(&beside).map_err(told)?;
    let names = photos.names().await.map_err(String::from)?;
    for name in &names {
        if let Some(bytes) = photos.get(name).await.map_err(String::from)? {
            copy.photo(name, &bytes).map_err(|error| error.to_string())?;
        }
        part.write_all(&copy.take()).map_err(told)?;
    }
    part.write_all(&copy.finish().map_err(|error| error.to_string())?).map_err(told)?;
    part.sync_all().map_err(told)?;
    std::fs::rename(&beside, file).map_err(told)?;
    store.close().await;
    if as_json {
        writeln!(out, "{:#}", json!({ "records": records, "photos": names.len(), "unread": unread }))?;
    } else {
        writeln!(out, "Written to {}: {records} records, {} photos.", file.display(), names.len())?;
        for one in &unread {
            writeln!(out, "Left out, since it can't be read: {one}")?;
        }
    }
    out.flush()?;
    Ok(unread.is_empty())
}

/// A file, read in pieces: a shop's photos need not fit in memory.
struct OnDisk {
    file: std::fs::File,
    byte_count: u64,
}

impl OnDisk {
    fn open(path: &Path) -> std::io::Result<Self> {
        let file = std::fs::File::open(path)?;
        Ok(Self { byte_count: file.metadata()?.len(), file })
    }

    fn piece(&mut self, range: Range<u64>) -> std::io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        self.file.seek(SeekFrom::Start(range.start))?;
        (&self.file).take(range.end - range.start).read_to_end(&mut bytes)?;
        Ok(bytes)
    }
}

impl Source for OnDisk {
    fn byte_count(&self) -> u64 {
        self.byte_count
    }

    async fn bytes(&mut self, range: Range<u64>) -> tailplate_core::Result<Vec<u8>> {
        self.piece(range).map_err(|error| tailplate_core::Error::invalid(format!("The file can't be read: {error}.")))
    }
}

/// Takes a saved copy in, joined with what is there: twice changes nothing.
pub async fn import(file: &Path, places: &Places, as_json: bool, out: &mut dyn Write) -> Result<bool, Trouble> {
    let opened = OnDisk::open(file).map_err(|error| format!("{} can't be read: {error}.", file.display()))?;
    let mut copy = SavedCopy::open(opened, async |_, _| true).await.map_err(|error| error.to_string())?;
    let told = |error: tailplate_core::Error| error.to_string();
    // All of it is looked at before anything is written.
    let refused = |why: String| format!("{} is not taken in: {why} Nothing has changed here.", file.display());
    for name in copy.photos.clone() {
        let photo = copy.photo(&name).await.map_err(told)?;
        if photo.len() > PHOTO_BYTES_MAX || photo_kind(&photo).is_none() {
            return Err(refused(format!("“{name}” is no picture, or too large a one.")).into());
        }
    }
    if let Some((_, id)) = copy.records.iter().find(|(_, id)| Id::of(id).is_none()) {
        return Err(refused(format!("“{id}” is no id of a record.")).into());
    }
    let (store, photos) = open(places).await?;
    let mut new_photos = 0;
    for name in copy.photos.clone() {
        if photos.size(&name).await.map_err(String::from)?.is_none() {
            photos.put(copy.photo(&name).await.map_err(told)?).await.map_err(String::from)?;
            new_photos += 1;
        }
    }
    let (mut items, mut size, mut new) = (Vec::new(), 0, 0);
    for (kind, id) in copy.records.clone() {
        let document = copy.record(kind, &id).await.map_err(told)?;
        let there = store.updates(kind.word(), &id).await.map_err(String::from)?;
        if !there.is_empty() {
            let before = joined(&there)?;
            let mut both = there.clone();
            both.push(document.clone());
            if joined(&both)? == before {
                continue;
            }
        }
        let record = Id::of(&id).ok_or_else(|| format!("“{id}” is no id of a record."))?;
        size += document.len();
        items.push(Item { kind: kind.word().into(), record, bytes: document });
        new += 1;
        if size > BATCH_BYTES || items.len() == COUNT_MAX {
            push(&store, std::mem::take(&mut items)).await?;
            size = 0;
        }
    }
    push(&store, items).await?;
    store.close().await;
    if as_json {
        writeln!(out, "{:#}", json!({ "records": new, "photos": new_photos }))?;
    } else {
        writeln!(out, "Taken in: {new} records that were new or changed, {new_photos} photos.")?;
    }
    out.flush()?;
    Ok(true)
}

async fn push(store: &Store, items: Vec<Item>) -> Result<(), String> {
    if items.is_empty() {
        return Ok(());
    }
    match store.push("import", Mark::default(), items).await.map_err(String::from)? {
        Outcome::Done(taken) => match taken.refused.first() {
            None => Ok(()),
            Some(refused) => Err(refused.why.clone()),
        },
        Outcome::StartOver => Err("The log was changed by another program at the same time; try again.".into()),
    }
}

/// Records that hold every word, the names of their models counted in; newest change first.
pub async fn search(words: &[String], places: &Places, as_json: bool, out: &mut dyn Write) -> Result<bool, Trouble> {
    let (store, _) = open(places).await?;
    let sought = Sought::new(&words.join(" "));
    let mut rows: Vec<Row> = Vec::new();
    for (kind, _, document) in documents(&store).await? {
        if let Ok(written) = typed_json(kind, &document) {
            rows.push(written.row);
        }
    }
    store.close().await;
    rows.retain(|row| !row.deleted);
    let reference = packs::load(&packs::Choice { practice: true, ..packs::Choice::default() })?;
    let texts = Texts::of(rows.iter(), &reference);
    let mut rows: Vec<Row> =
        rows.into_iter().enumerate().filter(|(at, _)| sought.are_in(texts.get(*at))).map(|(_, row)| row).collect();
    for row in rows.iter_mut().filter(|row| row.name.is_empty()) {
        row.name = reference.model(&row.model).map(|model| model.name.clone()).unwrap_or_default();
    }
    rows.sort_by_key(|row| std::cmp::Reverse(row.changed_ms));
    if as_json {
        let found: Vec<_> = rows
            .iter()
            .map(|row| json!({ "kind": row.kind.word(), "id": row.id, "name": row.name, "tag": row.tag, "stands": row.word, "line": row.line }))
            .collect();
        writeln!(out, "{:#}", json!({ "found": found }))?;
    } else {
        for row in &rows {
            let line = [row.tag.as_str(), &row.name, &row.word, &row.line].into_iter().filter(|w| !w.is_empty());
            writeln!(out, "{:8}  {}", row.kind.word(), line.collect::<Vec<_>>().join(" · "))?;
        }
        if rows.is_empty() {
            writeln!(out, "Nothing found.")?;
        }
    }
    out.flush()?;
    Ok(true)
}

async fn open(places: &Places) -> Result<(Store, Photos), String> {
    Ok((Store::open_old(places).await?, Photos::open(places)?))
}

/// Every record of a kind that this version knows, as one document.
async fn documents(store: &Store) -> Result<Vec<(Kind, String, Vec<u8>)>, String> {
    let mut all = Vec::new();
    for (word, id) in store.records().await.map_err(String::from)? {
        if let Some(kind) = Kind::of(&word) {
            let updates = store.updates(&word, &id).await.map_err(String::from)?;
            all.push((kind, id, joined(&updates)?));
        }
    }
    Ok(all)
}
