//! A copy is written.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::Write;
use std::rc::Rc;

use zip::write::{SimpleFileOptions, StreamWriter};
use zip::{CompressionMethod, ZipWriter};

use super::{Entry, FORM, MANIFEST, Manifest, iso_day, sha256_hex};
use crate::error::{Error, Result};
use crate::record::Kind;
use crate::shop::Row;
use crate::shop::row::row_of_json;

/// Writes a copy piece by piece.
pub struct Writer {
    zip: ZipWriter<StreamWriter<Out>>,
    out: Out,
    manifest: Manifest,
    json: BTreeMap<Kind, String>,
    csv: BTreeMap<Kind, String>,
}

/// What is written and not yet taken.
#[derive(Clone, Default)]
struct Out(Rc<RefCell<Vec<u8>>>);

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Writer {
    pub fn new(made_ms: i64) -> Self {
        let out = Out::default();
        Self {
            zip: ZipWriter::new_stream(out.clone()),
            out,
            manifest: Manifest { form: FORM, made_ms, entries: Vec::new() },
            json: BTreeMap::new(),
            csv: BTreeMap::new(),
        }
    }

    /// Adds a record: its document, and its JSON for people.
    ///
    /// # Errors
    /// The JSON is none of that kind.
    pub fn record(&mut self, kind: Kind, id: &str, document: &[u8], json: &str) -> Result<()> {
        let row = row_of_json(kind, json)?;
        let list = self.json.entry(kind).or_insert_with(|| "[\n".into());
        if list.len() > 2 {
            list.push_str(",\n");
        }
        list.push_str(json);
        self.csv.entry(kind).or_insert_with(|| CSV_HEAD.into()).push_str(&csv_line(&row));
        self.entry(&format!("records/{}/{id}.yrs", kind.word()), document)
    }

    /// Adds a photo by its SHA-256.
    ///
    /// # Errors
    /// The zip can't be written.
    pub fn photo(&mut self, sha256: &str, bytes: &[u8]) -> Result<()> {
        self.entry(&format!("photos/{sha256}.jpg"), bytes)
    }

    /// The bytes made since the last call.
    pub fn take(&mut self) -> Vec<u8> {
        std::mem::take(&mut *self.out.0.borrow_mut())
    }

    /// The last bytes.
    ///
    /// # Errors
    /// The zip can't be written.
    pub fn finish(mut self) -> Result<Vec<u8>> {
        for (kind, mut json) in std::mem::take(&mut self.json) {
            json.push_str("\n]\n");
            self.entry(&format!("readable/{}.json", kind.word()), json.as_bytes())?;
        }
        for (kind, csv) in std::mem::take(&mut self.csv) {
            self.entry(&format!("readable/{}.csv", kind.word()), csv.as_bytes())?;
        }
        let manifest = serde_json::to_vec_pretty(&self.manifest).map_err(|error| trouble(&error))?;
        self.entry(MANIFEST, &manifest)?;
        self.zip.finish().map_err(|error| trouble(&error))?;
        Ok(std::mem::take(&mut *self.out.0.borrow_mut()))
    }

    fn entry(&mut self, name: &str, bytes: &[u8]) -> Result<()> {
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        self.zip.start_file(name, options).map_err(|error| trouble(&error))?;
        self.zip.write_all(bytes).map_err(|error| trouble(&error))?;
        self.manifest.entries.push(Entry { name: name.into(), bytes: bytes.len() as u64, sha256: sha256_hex(bytes) });
        Ok(())
    }
}

fn trouble(error: &dyn std::fmt::Display) -> Error {
    Error::invalid(format!("The copy can't be written: {error}."))
}

const CSV_HEAD: &str = "id,made,changed,deleted,name,tag,model,kind of reel,stands,belongs to,line,words\r\n";

/// A row for a table program (RFC 4180). What a program would take for a formula is made plain text.
fn csv_line(row: &Row) -> String {
    let (made, changed) = (iso_day(row.made_ms), iso_day(row.changed_ms));
    let deleted = if row.deleted { "deleted" } else { "" };
    let fields = [
        &row.id,
        &made,
        &changed,
        deleted,
        &row.name,
        &row.tag,
        &row.model,
        &row.reel_kind,
        &row.word,
        &row.of,
        &row.line,
        &row.text,
    ];
    let quoted = fields.map(|field| {
        let formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
        format!("\"{}{}\"", if formula { "'" } else { "" }, field.replace('"', "\"\""))
    });
    quoted.join(",") + "\r\n"
}
