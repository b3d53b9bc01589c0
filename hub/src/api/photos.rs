//! Photos come and go under their hash, so a copy is either right or not there.

use hyper::{StatusCode, header};
use tailplate_core::sync::wire::MEDIA_TYPE;
use tailplate_core::sync::{PHOTO_BYTES_MAX, PHOTOS_ASKED_MAX};

use super::body;
use super::{Done, Hub, Refusal, bytes};
use crate::http::{Request, builder, empty};
use crate::store::{hex, is_sha256, photo_kind, sha256};

/// A hash as bytes.
const HASH_BYTES: usize = 32;

/// The body: hashes as 32 bytes each, one behind the other. The answer: those of them that are not here, the same way.
pub async fn missing(hub: &Hub, request: Request) -> Done {
    let asked = body::read(request, PHOTOS_ASKED_MAX * HASH_BYTES, hub.patience).await?;
    if asked.len() % HASH_BYTES != 0 {
        return Err(Refusal::malformed("Each photo is asked for by the 32 bytes of its hash."));
    }
    let mut missing = Vec::new();
    for hash in asked.chunks(HASH_BYTES) {
        if hub.photos.size(&hex(hash)).await?.is_none() {
            missing.extend_from_slice(hash);
        }
    }
    Ok(bytes(StatusCode::OK, MEDIA_TYPE, missing))
}

pub async fn get(hub: &Hub, name: &str, head_only: bool) -> Done {
    if head_only {
        let size = hub.photos.size(name).await?.ok_or_else(Refusal::nothing_here)?;
        let response = builder().header(header::CONTENT_LENGTH, size);
        return Ok(response.header(header::CACHE_CONTROL, "no-store").body(empty()).unwrap_or_default());
    }
    let photo = hub.photos.get(name).await?.ok_or_else(Refusal::nothing_here)?;
    let kind = photo_kind(&photo).filter(|_| sha256(&photo) == name);
    let Some(kind) = kind else {
        tracing::error!(name, "a photo is damaged on the disk");
        let told = "This photo is damaged on the shop's computer; a device that has it will bring it again.";
        return Err(Refusal::new(StatusCode::GONE, "damaged", told));
    };
    let mut response = bytes(StatusCode::OK, kind.media_type(), photo);
    let headers = response.headers_mut();
    let forever = header::HeaderValue::from_static("private, max-age=31536000, immutable");
    headers.insert(header::CACHE_CONTROL, forever);
    Ok(response)
}

/// The name must be the hash of the body, and the body a picture by its own look.
pub async fn put(hub: &Hub, name: &str, request: Request) -> Done {
    if !is_sha256(name) {
        return Err(Refusal::nothing_here());
    }
    let photo = body::read(request, PHOTO_BYTES_MAX, hub.patience).await?;
    let refused = |word, told| Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, word, told));
    if sha256(&photo) != name {
        return refused("wrong-hash", "The photo changed on its way; send it again.");
    }
    if photo_kind(&photo).is_none() {
        return refused("no-photo", "This is no JPEG, PNG or WebP picture, and is not kept.");
    }
    hub.photos.put(photo).await?;
    Ok(builder().status(StatusCode::NO_CONTENT).body(empty()).unwrap_or_default())
}
