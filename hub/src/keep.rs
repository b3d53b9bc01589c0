//! The commands about what the shop keeps: back up, restore, look for damage, let devices in and shut them out.

use std::io::Write;
use std::path::PathBuf;

use serde_json::json;

use crate::backup::{self, Told};
use crate::command::Trouble;
use crate::copies;
use crate::near::spoken;
use crate::store::{Photos, Places, Store};

#[derive(Debug, PartialEq)]
pub enum Task {
    Backup {
        file: PathBuf,
    },
    Restore {
        file: PathBuf,
    },
    /// Of a backup, or of what is kept.
    Verify {
        file: Option<PathBuf>,
    },
    Export {
        file: PathBuf,
    },
    Import {
        file: PathBuf,
    },
    Search {
        words: Vec<String>,
    },
    Pair,
    Devices {
        revoke: Option<String>,
    },
}

/// `Ok(false)`: done, and something is damaged.
///
/// # Errors
/// As the commands that ask.
pub async fn run(task: &Task, places: &Places, as_json: bool, out: &mut dyn Write) -> Result<bool, Trouble> {
    let told = match task {
        Task::Backup { file } => backup::write(file, places).await?,
        Task::Restore { file } => backup::restore(file, places).await?,
        Task::Verify { file: Some(file) } => backup::verify(file)?,
        Task::Verify { file: None } => verify(places).await?,
        Task::Export { file } => return copies::export(file, places, as_json, out).await,
        Task::Import { file } => return copies::import(file, places, as_json, out).await,
        Task::Search { words } => return copies::search(words, places, as_json, out).await,
        Task::Pair => return pair(places, as_json, out).await,
        Task::Devices { revoke } => return devices(places, revoke.as_deref(), as_json, out).await,
    };
    if as_json {
        print(out, &json!(told))?;
    } else {
        let Told { records, photos, devices, damaged } = &told;
        let done = match task {
            Task::Backup { file } => format!("Written to {}", file.display()),
            Task::Restore { .. } => "Restored".into(),
            _ => "Looked at".into(),
        };
        writeln!(out, "{done}: {records} records, {photos} photos, {devices} devices.")?;
        for one in damaged {
            writeln!(out, "Damaged: {one}")?;
        }
        if damaged.is_empty() {
            writeln!(out, "Nothing is damaged.")?;
        }
    }
    out.flush()?;
    Ok(told.damaged.is_empty())
}

async fn verify(places: &Places) -> Result<Told, String> {
    let store = Store::open_old(places).await?;
    let (updates, _) = store.damaged().await?;
    let (photos, photo_count) = Photos::open(places)?.damaged().await?;
    let in_words = updates.iter().map(|one| format!("{} {}, update {}: {}", one.kind, one.record, one.seq, one.why));
    let damaged = in_words.chain(photos.iter().map(|name| format!("photo {name}"))).collect();
    let (records, devices) = (store.records().await?.len(), store.devices().await?.len());
    store.close().await;
    Ok(Told { records, photos: photo_count, devices, damaged })
}

async fn pair(places: &Places, as_json: bool, out: &mut dyn Write) -> Result<bool, Trouble> {
    let store = Store::open_old(places).await.map_err(String::from)?;
    let (code, ends_ms) = store.new_code().await.map_err(String::from)?;
    store.close().await;
    if as_json {
        print(out, &json!({ "code": code, "ends_ms": ends_ms }))?;
    } else {
        writeln!(out, "Code for one device, within ten minutes: {}", spoken(&code))?;
    }
    out.flush()?;
    Ok(true)
}

async fn devices(places: &Places, revoke: Option<&str>, as_json: bool, out: &mut dyn Write) -> Result<bool, Trouble> {
    let store = Store::open_old(places).await.map_err(String::from)?;
    if let Some(id) = revoke
        && !store.revoke(id).await.map_err(String::from)?
    {
        return Err(Trouble::Told(format!("No device is called “{id}”; `tailplate devices` lists them.")));
    }
    let devices = store.devices().await.map_err(String::from)?;
    store.close().await;
    if as_json {
        print(out, &json!({ "devices": devices }))?;
    } else {
        for device in &devices {
            let state = if device.revoked_ms > 0 { "shut out" } else { "in" };
            writeln!(out, "{}  {state:8}  {}", device.id, device.name)?;
        }
        if devices.is_empty() {
            writeln!(out, "No device is paired.")?;
        }
    }
    out.flush()?;
    Ok(true)
}

fn print(out: &mut dyn Write, answer: &serde_json::Value) -> Result<(), Trouble> {
    Ok(writeln!(out, "{answer:#}")?)
}
