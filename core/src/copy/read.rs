//! A copy is read, and refused whole if anything is amiss.

use std::collections::HashMap;

use super::window::{Archive, Source};
use super::{Entry, FORM, MANIFEST, Manifest, sha256_hex};
use crate::error::{self, Error, Result};
use crate::record::{Document, Kind};

/// More entries than any shop has; a file with more is refused.
const ENTRIES_MAX: usize = 1_000_000;

/// A copy that was read and found whole.
pub struct SavedCopy<S> {
    archive: Archive<S>,
    entries: HashMap<String, Entry>,
    pub made_ms: i64,
    /// Kind and id of each record.
    pub records: Vec<(Kind, String)>,
    /// SHA-256 of each photo.
    pub photos: Vec<String>,
}

impl<S: Source> SavedCopy<S> {
    /// Opens a copy and checks every byte of it. `step` hears how many of how many entries are checked, and stops the work
    /// by answering false.
    ///
    /// # Errors
    /// A sentence: no copy, cut short, changed, of a newer Tailplate, or stopped.
    pub async fn open(source: S, mut step: impl AsyncFnMut(usize, usize) -> bool) -> Result<Self> {
        let refused =
            |why: String| Error::malformed(format!("This file is not taken in: {why} Nothing has changed here."));
        // What the file's place says of it comes first: then nothing is known of what is in it.
        let unless_unread = |words: &'static str| {
            move |why: Error| {
                let is_read = why.kind() == error::Kind::Malformed;
                refused(if is_read { words.to_owned() } else { why.to_string() })
            }
        };
        let archive = Archive::open(source).await;
        let mut archive = archive.map_err(unless_unread("it is no saved copy, or it was cut short on its way."))?;
        let all = archive.byte_count();
        let text = archive.read(MANIFEST, all).await;
        let text =
            text.map_err(unless_unread("it has no list of what is in it, so it is no saved copy of Tailplate."))?;
        let manifest: Manifest =
            serde_json::from_slice(&text).map_err(|_| refused("its list of what is in it can't be read.".into()))?;
        if manifest.form > FORM {
            return Err(refused(format!(
                "it was made by a newer Tailplate (form {}); update this one first.",
                manifest.form
            )));
        }
        if manifest.entries.len() > ENTRIES_MAX || manifest.entries.len() + 1 != archive.len() {
            return Err(refused(format!(
                "it should hold {} entries and holds {}.",
                manifest.entries.len() + 1,
                archive.len()
            )));
        }
        // Stored as they are, entries can't unfold; lying over one another they could.
        let total = manifest.entries.iter().fold(0u64, |sum, entry| sum.saturating_add(entry.bytes));
        if total > all {
            return Err(refused("its entries are longer than the file itself.".into()));
        }
        let (mut records, mut photos) = (Vec::new(), Vec::new());
        for (at, entry) in manifest.entries.iter().enumerate() {
            if !step(at, manifest.entries.len()).await {
                return Err(refused("you stopped it.".into()));
            }
            let content = checked(&mut archive, entry).await.map_err(|why| refused(why.to_string()))?;
            let parts: Vec<&str> = entry.name.split('/').collect();
            match parts[..] {
                ["records", word, file] => {
                    let kind = Kind::of(word)
                        .ok_or_else(|| refused(format!("it holds a kind of record unknown here, “{word}”.")))?;
                    let id = file.strip_suffix(".yrs").unwrap_or(file);
                    Document::read(kind.shape(), &content, 1).map_err(|why| refused(why.to_string()))?;
                    records.push((kind, id.to_owned()));
                }
                ["photos", file] => {
                    let sha256 = file.strip_suffix(".jpg").unwrap_or(file);
                    if sha256 != entry.sha256 {
                        return Err(refused(format!("the photo “{file}” is not the one it is called by.")));
                    }
                    photos.push(sha256.to_owned());
                }
                ["records" | "photos", ..] => {
                    return Err(refused(format!("“{}” is no name of a record or a photo.", entry.name)));
                }
                _ => {}
            }
        }
        let entries = manifest.entries.into_iter().map(|entry| (entry.name.clone(), entry)).collect();
        Ok(Self { archive, entries, made_ms: manifest.made_ms, records, photos })
    }

    /// The document of a record.
    ///
    /// # Errors
    /// There is no such record in it.
    pub async fn record(&mut self, kind: Kind, id: &str) -> Result<Vec<u8>> {
        self.again(&format!("records/{}/{id}.yrs", kind.word())).await
    }

    /// The bytes of a photo.
    ///
    /// # Errors
    /// There is no such photo in it.
    pub async fn photo(&mut self, sha256: &str) -> Result<Vec<u8>> {
        self.again(&format!("photos/{sha256}.jpg")).await
    }

    /// The file may have changed since it was checked.
    pub(super) async fn again(&mut self, name: &str) -> Result<Vec<u8>> {
        let entry = self.entries.get(name).ok_or_else(|| Error::malformed(format!("There is no “{name}” in it.")))?;
        checked(&mut self.archive, entry).await
    }
}

async fn checked(archive: &mut Archive<impl Source>, entry: &Entry) -> Result<Vec<u8>> {
    let name = &entry.name;
    let content = archive.read(name, entry.bytes).await;
    let content = content.map_err(|why| Error::malformed(format!("“{name}” can't be read ({why}).")))?;
    if content.len() as u64 != entry.bytes || sha256_hex(&content) != entry.sha256 {
        return Err(Error::malformed(format!("“{name}” is not what was saved: the file was damaged or changed.")));
    }
    Ok(content)
}
