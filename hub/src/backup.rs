//! All that the shop keeps as one file, and back.
//!
//! The file is a zip that opens anywhere: `records/KIND/ID-N.update` (what Tailplate reads), `records/KIND/ID.json` (what a
//! person or any other program reads), `photos/SHA256.jpg`, and `backup.json`, which lists each with its SHA-256. With it
//! go the devices and the certificate authority, so that nobody has to pair or trust anew: keep the file as you would keep
//! the shop's keys.

use std::fs::{self, File};
use std::io::{BufWriter, Read, Seek, Write};
use std::path::Path;

use serde::{Deserialize, Serialize};
use tailplate_core::record::{BYTES_MAX, Document, Kind};
use tailplate_core::sync::{Id, PHOTO_BYTES_MAX};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::secure::write_private;
use crate::store::{
    Device, Photos, Places, Record, Store, Trouble, is_sha256, joined, now_ms, photo_kind, private_folder, sha256,
};

const FORM: u32 = 1;
const LIST: &str = "backup.json";
const LIST_BYTES_MAX: u64 = 512 << 20;
const AUTHORITY: [&str; 2] = ["authority.pem", "authority.key"];
const AUTHORITY_BYTES_MAX: u64 = 64 << 10;

#[derive(Serialize, Deserialize)]
struct List {
    tailplate_backup: u32,
    made_ms: i64,
    shop: String,
    records: Vec<Listed>,
    photos: Vec<Part>,
    authority: Vec<Part>,
    devices: Vec<ListedDevice>,
}

#[derive(Serialize, Deserialize)]
struct Listed {
    kind: String,
    id: String,
    parts: Vec<Part>,
}

#[derive(Clone, Serialize, Deserialize)]
struct Part {
    file: String,
    sha256: String,
}

#[derive(Serialize, Deserialize)]
struct ListedDevice {
    #[serde(flatten)]
    device: Device,
    token_sha256: String,
}

/// What is in a backup, and what of it is damaged.
#[derive(Debug, Default, PartialEq, Eq, Serialize)]
pub struct Told {
    pub records: usize,
    pub photos: usize,
    pub devices: usize,
    /// Each by its name in the file, or the store.
    pub damaged: Vec<String>,
}

/// Writes all into a new file. Damaged things are left out and named.
///
/// # Errors
/// A sentence; then there is no such file.
pub async fn write(file: &Path, places: &Places) -> Result<Told, String> {
    if file.exists() {
        return Err(format!("{} is there already, and is not written over; give another name.", file.display()));
    }
    let store = Store::open_old(places).await?;
    let photos = Photos::open(places)?;
    let mut name = file.as_os_str().to_owned();
    name.push(".part");
    let part = Path::new(&name);
    let _ = fs::remove_file(part);
    let told = |error: &dyn std::fmt::Display| format!("{} can't be written: {error}.", file.display());
    // Only its owner reads it: it lets whoever has it in as any of the devices' shop.
    write_private(part, b"").map_err(|error| told(&error))?;
    let written = write_zip(part, &store, &photos, places).await;
    store.close().await;
    let moved = written.and_then(|what| fs::rename(part, file).map(|()| what).map_err(|error| told(&error)));
    if moved.is_err() {
        let _ = fs::remove_file(part);
    }
    moved
}

async fn write_zip(part: &Path, store: &Store, photos: &Photos, places: &Places) -> Result<Told, String> {
    let told = |error: &dyn std::fmt::Display| format!("The backup can't be written: {error}.");
    let out = File::options().write(true).open(part).map_err(|error| told(&error))?;
    let mut zip = ZipWriter::new(BufWriter::new(out));
    let mut put = |file: String, bytes: &[u8]| -> Result<Part, String> {
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        zip.start_file(&file, options.unix_permissions(0o600)).map_err(|error| told(&error))?;
        zip.write_all(bytes).map_err(|error| told(&error))?;
        Ok(Part { sha256: sha256(bytes), file })
    };
    let mut what = Told::default();
    let mut list = List {
        tailplate_backup: FORM,
        made_ms: now_ms(),
        shop: store.shop().hex(),
        records: Vec::new(),
        photos: Vec::new(),
        authority: Vec::new(),
        devices: Vec::new(),
    };
    let (damaged, _) = store.damaged().await?;
    what.damaged.extend(damaged.iter().map(|one| format!("{} {}, update {}", one.kind, one.record, one.seq)));
    for (kind, id) in store.records().await? {
        let mut updates = store.updates(&kind, &id).await?;
        updates.retain(|update| joined(std::slice::from_ref(update)).is_ok());
        // Too long for one: then its parts, as they are.
        let updates = joined(&updates).map_or(updates, |all| vec![all]);
        let mut parts = Vec::new();
        for (n, bytes) in updates.iter().enumerate() {
            parts.push(put(format!("records/{kind}/{id}-{}.update", n + 1), bytes)?);
        }
        if let (Some(known), [all]) = (Kind::of(&kind), updates.as_slice())
            && let Ok(document) = Document::read(known.shape(), all, 0)
        {
            let text = serde_json::to_string_pretty(&document.value().0).unwrap_or_default();
            put(format!("records/{kind}/{id}.json"), text.as_bytes())?;
        }
        list.records.push(Listed { kind, id, parts });
    }
    for name in photos.names().await? {
        match photos.get(&name).await?.filter(|bytes| sha256(bytes) == name) {
            Some(bytes) => {
                let ending = photo_kind(&bytes).map_or("bin", |kind| kind.ending());
                list.photos.push(put(format!("photos/{name}.{ending}"), &bytes)?);
            }
            None => what.damaged.push(format!("photo {name}")),
        }
    }
    for name in AUTHORITY {
        match fs::read(places.authority().join(name)) {
            Ok(bytes) => list.authority.push(put(format!("authority/{name}"), &bytes)?),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {}
            Err(error) => return Err(told(&error)),
        }
    }
    list.devices = store.devices().await?.into_iter().map(listed).collect();
    (what.records, what.photos, what.devices) = (list.records.len(), list.photos.len(), list.devices.len());
    let text = serde_json::to_string_pretty(&list).map_err(|error| told(&error))?;
    put(LIST.into(), text.as_bytes())?;
    let out = zip.finish().map_err(|error| told(&error))?;
    let out = out.into_inner().map_err(|error| told(&error))?;
    out.sync_all().map_err(|error| told(&error))?;
    Ok(what)
}

/// Re-hashes everything in a backup.
///
/// # Errors
/// It is no backup at all.
pub fn verify(file: &Path) -> Result<Told, String> {
    let (mut zip, list) = open(file)?;
    let mut damaged = Vec::new();
    let updates = list.records.iter().flat_map(|record| &record.parts).map(|part| (part, BYTES_MAX as u64));
    let photos = list.photos.iter().map(|part| (part, PHOTO_BYTES_MAX as u64));
    let authority = list.authority.iter().map(|part| (part, AUTHORITY_BYTES_MAX));
    for (part, most) in updates.chain(photos).chain(authority) {
        if let Err(told) = read(&mut zip, part, most) {
            damaged.push(told);
        }
    }
    let (records, photos, devices) = (list.records.len(), list.photos.len(), list.devices.len());
    Ok(Told { records, photos, devices, damaged })
}

/// Puts all of a backup into an empty place. Only one without any damage is taken.
///
/// # Errors
/// A sentence; then there is no shop in that place yet, and it can be tried again.
pub async fn restore(file: &Path, places: &Places) -> Result<Told, String> {
    let told = verify(file)?;
    if let Some(first) = told.damaged.first() {
        return Err(format!("{} is damaged, and nothing was restored: {first}", file.display()));
    }
    if places.database.is_none() && places.data.join("shop.db").exists() {
        let place = places.data.display();
        return Err(format!(
            "{place} holds a shop already, and nothing is written over it; restore into an empty place."
        ));
    }
    let (mut zip, list) = open(file)?;
    let shop = Id::of(&list.shop).ok_or_else(|| format!("{} names no shop.", file.display()))?;
    let photos = Photos::open(places)?;
    for part in &list.photos {
        let bytes = read(&mut zip, part, PHOTO_BYTES_MAX as u64)?;
        photos.put(bytes).await?;
    }
    private_folder(&places.authority())?;
    for part in &list.authority {
        let Some(name) = AUTHORITY.iter().find(|name| part.file == format!("authority/{name}")) else { continue };
        let bytes = read(&mut zip, part, AUTHORITY_BYTES_MAX)?;
        let path = places.authority().join(name);
        if fs::read(&path).is_ok_and(|there| there == bytes) {
            continue;
        }
        write_private(&path, &bytes).map_err(|error| format!("{} can't be written: {error}.", path.display()))?;
    }
    let devices: Vec<Device> =
        list.devices.into_iter().map(|listed| Device { token_sha256: listed.token_sha256, ..listed.device }).collect();
    // One after another, so that a large shop does not stand in the memory whole.
    let records = list.records.iter().map(|listed| -> Result<Record, Trouble> {
        let record = Id::of(&listed.id).ok_or_else(|| Trouble::Told(format!("“{}” is no record.", listed.id)))?;
        let parts = listed.parts.iter().map(|part| read(&mut zip, part, BYTES_MAX as u64).map_err(Trouble::Told));
        Ok(Record { kind: listed.kind.clone(), record, updates: parts.collect::<Result<_, _>>()? })
    });
    let store = Store::found(places, shop, records, &devices).await?;
    store.close().await;
    Ok(told)
}

fn listed(device: Device) -> ListedDevice {
    ListedDevice { token_sha256: device.token_sha256.clone(), device }
}

fn open(file: &Path) -> Result<(ZipArchive<File>, List), String> {
    let told = |error: &dyn std::fmt::Display| format!("{} is no backup that can be read: {error}.", file.display());
    let opened = File::open(file).map_err(|error| format!("{} can't be read: {error}.", file.display()))?;
    let mut zip = ZipArchive::new(opened).map_err(|error| told(&error))?;
    let mut text = String::new();
    let entry = zip.by_name(LIST).map_err(|error| told(&error))?;
    entry.take(LIST_BYTES_MAX).read_to_string(&mut text).map_err(|error| told(&error))?;
    let list: List = serde_json::from_str(&text).map_err(|error| told(&error))?;
    if list.tailplate_backup > FORM {
        return Err(format!("{} was written by a newer Tailplate; update this one to read it.", file.display()));
    }
    let is_good = |listed: &Listed| tailplate_core::sync::is_kind(&listed.kind) && Id::of(&listed.id).is_some();
    match list.records.iter().find(|listed| !is_good(listed)) {
        Some(listed) => Err(told(&format!("“{} {}” is no record", listed.kind, listed.id))),
        None => Ok((zip, list)),
    }
}

fn read(zip: &mut ZipArchive<impl Read + Seek>, part: &Part, most: u64) -> Result<Vec<u8>, String> {
    let entry = zip.by_name(&part.file).map_err(|error| format!("{} is not there: {error}.", part.file))?;
    let mut bytes = Vec::new();
    entry.take(most + 1).read_to_end(&mut bytes).map_err(|error| format!("{} can't be read: {error}.", part.file))?;
    let is_photo = part.file.starts_with("photos/");
    let named_so =
        !is_photo || part.file["photos/".len()..].split('.').next().is_some_and(|n| is_sha256(n) && n == part.sha256);
    match bytes.len() as u64 <= most && named_so && sha256(&bytes) == part.sha256 {
        true => Ok(bytes),
        false => Err(format!("{} is not what was written.", part.file)),
    }
}
