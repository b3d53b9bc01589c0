//! The list of what is here and what it is worth, as one file.

use js_sys::{Array, Uint8Array};
use tailplate_core::inventory::{self, Entry, What};
use tailplate_core::page::PagePhoto;
use tailplate_core::paper::reel_name;
use tailplate_core::record::Kind;
use tailplate_core::shop::house::HOUSE_ID;
use tailplate_core::shop::{Customer, Find, House, Job, PhotoRef, Reel, Stand};

use super::{one, shelf, some, the_store};
use crate::photo::base64;
use crate::screens::finds::title;
use crate::state::{Shared, World};
use crate::store;

/// Hands the list over: shared where the browser can, saved otherwise.
pub fn hand_over(shared: Shared) {
    super::work(shared, async move {
        let html = make(shared.packs()).await?;
        let parts = Array::of1(&Uint8Array::from(html.as_bytes()));
        let told = crate::page::hand_over_file(&parts, "what-is-here.html", "text/html", "What is here").await?;
        shared.say(told);
        Ok(())
    });
}

async fn make(world: World) -> Result<String, String> {
    shelf::ready().await?;
    let ids = |kind: Kind| {
        shelf::with(|rows| {
            let there = rows.iter().filter(|row| row.kind == kind && !row.deleted);
            there.map(|row| row.id.clone()).collect::<Vec<_>>()
        })
    };
    let mut finds = some::<Find>(&ids(Kind::Find)).await?;
    finds.retain(inventory::is_own);
    let mut reels = some::<Reel>(&ids(Kind::Reel)).await?;
    reels.retain(|reel| !reel.stand().0.accounted_for() || reel.stand().0 == Stand::KeptByAgreement);

    let mut things = Vec::new();
    for find in &finds {
        let photo = thumb(find.photos.first()).await;
        things.push((What::Find(find), title(world, find), photo, None));
    }
    for reel in &reels {
        let owner = match reel.stand().0 {
            Stand::KeptByAgreement => None,
            _ => owner(reel).await?,
        };
        things.push((What::Reel(reel), reel_name(world.reference, reel), thumb(reel.photos.first()).await, owner));
    }
    let entries: Vec<Entry> = things
        .iter()
        .map(|(what, name, photo, owner)| Entry {
            what: *what,
            name,
            photo: photo.as_deref().map(|base64| PagePhoto { media_type: "image/jpeg", base64, words: "" }),
            owner: owner.as_deref(),
        })
        .collect();
    let now = store::now_ms();
    let house = one::<House>(HOUSE_ID.into()).await?.unwrap_or_else(|| House::new(now));
    Ok(inventory::page(world.reference, &house, &entries, &|ms| crate::words::day(ms as f64), now))
}

/// The small picture: a thousand large ones would fill no message.
async fn thumb(photo: Option<&PhotoRef>) -> Option<String> {
    let bytes = the_store().await.ok()?.thumb(&photo?.sha256).await.ok()??;
    Some(base64(&bytes))
}

/// Whom a reel goes back to, and how to reach them; none for the shop's own.
async fn owner(reel: &Reel) -> Result<Option<String>, String> {
    let Some(job) = &reel.job else { return Ok(None) };
    let customer = match one::<Job>(job.clone()).await?.and_then(|job| job.customer) {
        Some(id) => one::<Customer>(id).await?,
        None => None,
    };
    let Some(customer) = customer else { return Ok(Some("a customer whose name is not noted".into())) };
    let ways = [&customer.name, &customer.phone, &customer.email, &customer.address];
    let ways: Vec<String> = ways.into_iter().filter(|way| !way.is_empty()).map(|way| way.replace('\n', ", ")).collect();
    Ok(Some(ways.join(", ")))
}
