//! Tells a device, for as long as it listens, how far the log goes: then it pulls.

use std::sync::Arc;
use std::time::Duration;

use http_body_util::channel::{Channel, Sender};
use hyper::StatusCode;
use hyper::body::Bytes;
use hyper::header::{self, HeaderMap};
use tokio::sync::OwnedSemaphorePermit;

use super::{Done, Hub, Refusal, bearer};
use crate::http::{builder, streamed};

/// So often a sign of life goes out, and it is asked whether the device may still listen.
const ALIVE_EVERY: Duration = Duration::from_secs(15);

pub fn stream(hub: &Arc<Hub>, headers: &HeaderMap) -> Done {
    let full =
        || Refusal::new(StatusCode::SERVICE_UNAVAILABLE, "busy", "Too many devices listen at once; ask now and then.");
    let place = hub.streams.clone().try_acquire_owned().map_err(|_| full())?;
    let token = bearer(headers).unwrap_or_default().to_owned();
    let (sender, body) = Channel::<Bytes, std::convert::Infallible>::new(4);
    tokio::spawn(tell(hub.clone(), token, sender, place));
    let response =
        builder().header(header::CONTENT_TYPE, "text/event-stream").header(header::CACHE_CONTROL, "no-store");
    Ok(response.body(streamed(body)).unwrap_or_default())
}

/// Ends when the device goes away or is shut out, or the server stops.
async fn tell(hub: Arc<Hub>, token: String, mut sender: Sender<Bytes>, _place: OwnedSemaphorePermit) {
    let mut news = hub.news.subscribe();
    let mut stopping = hub.stopping.clone();
    let Ok(mut last) = hub.store.last().await else { return };
    hub.tell(last);
    let mut text = format!("retry: 2000\n\nevent: log\ndata: {last}\n\n");
    loop {
        if sender.send_data(Bytes::from(text)).await.is_err() {
            return;
        }
        text = tokio::select! {
            changed = news.changed() => {
                if changed.is_err() {
                    return;
                }
                last = last.max(*news.borrow_and_update());
                format!("event: log\ndata: {last}\n\n")
            }
            () = tokio::time::sleep(ALIVE_EVERY) => ": here\n\n".into(),
            _ = stopping.wait_for(|stopping| *stopping) => return,
        };
        let device = hub.store.device_of(&token).await;
        if !matches!(device, Ok(Some(device)) if device.revoked_ms == 0) {
            return;
        }
    }
}
