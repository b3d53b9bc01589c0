//! The invented shop, to look around in, and its clearing away.

use leptos::prelude::*;
use tailplate_core::drawing;
use tailplate_core::record::Kind;
use tailplate_core::shop::demo::{self, MARK};
use tailplate_core::shop::house::HOUSE_ID;
use tailplate_core::shop::{PhotoRef, Reel};
use tailplate_core::{record, tag};

use super::{change_now, shelf, the_store};
use crate::photo;
use crate::state::Shared;
use crate::store::{self, Incoming};

/// Whether it is here.
pub fn is_here() -> bool {
    shelf::with(|rows| rows.iter().any(|row| row.id.starts_with(MARK) && !row.deleted))
}

/// Sets the invented shop up, photos drawn by our own drawing. The shop's own words stay, where there are any.
pub fn set_up(shared: Shared) {
    super::work(shared, async move {
        shelf::ready().await?;
        let store = the_store().await?;
        let block = store::random_number().map_err(|e| e.to_string())? % u64::from(tag::BLOCKS);
        let has_house = shelf::with(|rows| rows.iter().any(|row| row.id == HOUSE_ID));
        let all = demo::shop(store::now_ms(), block as u32).map_err(|e| e.to_string())?;
        let mut incoming = Vec::new();
        for (kind, id, value) in all.into_iter().filter(|(kind, ..)| !(has_house && *kind == Kind::House)) {
            let written = record::write(kind, None, &serde_json::Value::Null, &value, store::now_ms(), 2);
            incoming.push(Incoming { kind, id, bytes: written.map_err(|e| e.to_string())?.bytes });
        }
        let reels: Vec<String> =
            incoming.iter().filter(|one| one.kind == Kind::Reel).map(|one| one.id.clone()).collect();
        shelf::put_all(store.take_in(&incoming, false).await.map_err(|e| e.to_string())?);
        shared.changed.update(|n| *n += 1);
        shared.say("The demo shop is open. Nobody and nothing in it is real.");
        let reference = shared.packs().reference;
        for id in reels {
            let Some(reel) = store.one::<Reel>(&id).await.map_err(|e| e.to_string())? else { continue };
            let seen: Vec<_> = reel.sheet.current().into_iter().cloned().collect();
            let taken = photo::of_drawing(&drawing::face(reference, &seen)).await?;
            let kept = store.put_photo(&taken.bytes, &taken.thumb, photo::MEDIA_TYPE).await;
            let sha256 = kept.map_err(|e| e.to_string())?;
            let (width_px, height_px) = (taken.width_px, taken.height_px);
            change_now(&id, move |reel: &mut Reel| {
                if reel.photos.is_empty() {
                    reel.photos.push(PhotoRef { sha256, width_px, height_px, ..PhotoRef::default() });
                }
            })
            .await?;
        }
        Ok(())
    });
}

/// Clears it away again; what is the shop's own stays.
pub fn clear(shared: Shared) {
    super::work(shared, async move {
        shelf::ready().await?;
        let ids: Vec<String> =
            shelf::with(|rows| rows.iter().filter(|row| row.id.starts_with(MARK)).map(|row| row.id.clone()).collect());
        the_store().await?.forget(&ids).await.map_err(|e| e.to_string())?;
        shelf::forget(&ids);
        shared.say("The demo shop is cleared away.");
        Ok(())
    });
}
