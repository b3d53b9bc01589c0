//! Letting devices in, naming them and shutting them out.

use hyper::StatusCode;
use serde::Deserialize;
use serde_json::json;

use super::body;
use super::{Done, Hub, Refusal, json as answer};
use crate::http::Request;
use crate::near::pairing;
use crate::store::{Device, Entry, NAME_CHARS_MAX};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Pair {
    code: String,
    name: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Name {
    name: String,
}

pub async fn pair(hub: &Hub, request: Request) -> Done {
    let Pair { code, name } = body::read_json(request, hub.patience).await?;
    let name = good_name(&name)?;
    let refused = |status, word, told| Err(Refusal::new(status, word, told));
    match hub.store.pair(&code, &name).await? {
        Entry::In { device, token } => {
            tracing::info!(device, "a device was paired");
            Ok(answer(StatusCode::OK, &json!({ "shop": hub.store.shop().hex(), "device": device, "token": token })))
        }
        Entry::Wrong => refused(
            StatusCode::FORBIDDEN,
            "wrong-code",
            "This code does not let anybody in: it was used, is older than ten minutes, or is mistyped. Ask for a new one.",
        ),
        Entry::TooManyTries => refused(
            StatusCode::TOO_MANY_REQUESTS,
            "too-many-tries",
            "Too many wrong codes came in. Wait ten minutes, then ask for a new code.",
        ),
    }
}

pub async fn list(hub: &Hub, asking: &Device) -> Done {
    let devices = hub.store.devices().await?;
    Ok(answer(StatusCode::OK, &json!({ "this": asking.id, "devices": devices })))
}

pub async fn name(hub: &Hub, id: &str, request: Request) -> Done {
    let Name { name } = body::read_json(request, hub.patience).await?;
    match hub.store.name_device(id, &good_name(&name)?).await? {
        true => Ok(answer(StatusCode::OK, &json!({}))),
        false => Err(Refusal::nothing_here()),
    }
}

pub async fn revoke(hub: &Hub, id: &str) -> Done {
    match hub.store.revoke(id).await? {
        true => {
            tracing::info!(device = id, "a device was shut out");
            Ok(answer(StatusCode::OK, &json!({})))
        }
        false => Err(Refusal::nothing_here()),
    }
}

pub async fn code(hub: &Hub) -> Done {
    let (code, ends_ms) = hub.store.new_code().await?;
    let pairing = pairing(&hub.url, &code);
    let svg = pairing.svg();
    Ok(answer(StatusCode::OK, &json!({ "code": code, "ends_ms": ends_ms, "url": pairing.url, "svg": svg })))
}

fn good_name(name: &str) -> Result<String, Refusal> {
    let name = name.trim();
    let is_good = (1..=NAME_CHARS_MAX).contains(&name.chars().count()) && !name.chars().any(char::is_control);
    if is_good {
        return Ok(name.to_owned());
    }
    Err(Refusal::malformed(format!("A device has a name of 1 to {NAME_CHARS_MAX} letters.")))
}
