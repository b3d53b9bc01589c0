//! Push and pull: see [`tailplate_core::sync`].

use hyper::StatusCode;
use tailplate_core::sync::wire::MEDIA_TYPE;
use tailplate_core::sync::{COUNT_MAX, Id, Outcome, PUSH_BODY_MAX, Pull, Pulled, Push, Pushed};

use super::body;
use super::{Done, Hub, Refusal, bytes};
use crate::http::Request;
use crate::store::Device;

const PULL_BODY_MAX: usize = 256;

pub async fn push(hub: &Hub, device: &Device, request: Request) -> Done {
    let sent = body::read(request, PUSH_BODY_MAX, hub.patience).await?;
    let push = Push::decode(&sent).map_err(|error| Refusal::malformed(error.to_string()))?;
    same_shop(hub, push.shop)?;
    if push.items.len() > COUNT_MAX {
        let told = format!("At most {COUNT_MAX} updates go at once.");
        return Err(Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, "too-large", told));
    }
    let outcome = hub.store.push(&device.id, push.seen, push.items).await?;
    if let Outcome::Done(taken) = &outcome {
        hub.tell(taken.seen.seq);
    }
    let answer = Pushed { shop: push.shop, call: push.call, outcome };
    Ok(bytes(StatusCode::OK, MEDIA_TYPE, answer.encode()))
}

pub async fn pull(hub: &Hub, request: Request) -> Done {
    let sent = body::read(request, PULL_BODY_MAX, hub.patience).await?;
    let pull = Pull::decode(&sent).map_err(|error| Refusal::malformed(error.to_string()))?;
    same_shop(hub, pull.shop)?;
    let outcome = hub.store.pull(&pull).await?;
    let answer = Pulled { shop: pull.shop, call: pull.call, outcome };
    Ok(bytes(StatusCode::OK, MEDIA_TYPE, answer.encode()))
}

fn same_shop(hub: &Hub, shop: Id) -> Result<(), Refusal> {
    if shop == hub.store.shop() {
        return Ok(());
    }
    let told = "This device belongs to another shop's computer; nothing was taken over. Pair it with this one first.";
    Err(Refusal::new(StatusCode::CONFLICT, "other-shop", told))
}
