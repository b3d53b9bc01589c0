//! Reading a body: never more than agreed, never longer than patience lasts.

use std::time::Duration;

use http_body_util::BodyExt;
use hyper::{StatusCode, header};
use serde::de::DeserializeOwned;

use super::Refusal;
use crate::http::Request;

/// A body in all may take this many times the patience for one piece of it.
const WHOLE: u32 = 6;
const JSON_BYTES_MAX: usize = 16 << 10;

pub async fn read(request: Request, most: usize, patience: Duration) -> Result<Vec<u8>, Refusal> {
    let too_large = || {
        let told = format!("This is more than the {most} bytes that go at once.");
        Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, "too-large", told)
    };
    let told = request.headers().get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse().ok());
    if told.is_some_and(|length: u64| length > most as u64) {
        return Err(too_large());
    }
    let mut body = request.into_body();
    let mut bytes = Vec::new();
    let whole = async {
        loop {
            let Ok(frame) = tokio::time::timeout(patience, body.frame()).await else { return Err(too_slow()) };
            let Some(frame) = frame else { return Ok(()) };
            let frame = frame.map_err(|_| Refusal::malformed("The call broke off."))?;
            if let Some(data) = frame.data_ref() {
                if bytes.len() + data.len() > most {
                    return Err(too_large());
                }
                bytes.extend_from_slice(data);
            }
        }
    };
    match tokio::time::timeout(patience * WHOLE, whole).await {
        Ok(done) => done.map(|()| bytes),
        Err(_) => Err(too_slow()),
    }
}

pub async fn read_json<T: DeserializeOwned>(request: Request, patience: Duration) -> Result<T, Refusal> {
    let bytes = read(request, JSON_BYTES_MAX, patience).await?;
    serde_json::from_slice(&bytes).map_err(|error| Refusal::malformed(format!("This can't be read: {error}.")))
}

fn too_slow() -> Refusal {
    Refusal::new(StatusCode::REQUEST_TIMEOUT, "too-slow", "The call took too long to come in; try again.")
}
