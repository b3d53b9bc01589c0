//! Jobs, customers and reels at the counter.

use leptos::prelude::*;
use tailplate_core::record::{Kind, Record};
use tailplate_core::shop::board::{self, Waits};
use tailplate_core::shop::house::HOUSE_ID;
use tailplate_core::shop::{Customer, House, Job, Reel};
use wasm_bindgen_futures::spawn_local;

use super::{add, change_now, new_id, one, shelf, some, tags};
use crate::route::{Route, go};
use crate::state::Shared;
use crate::store;

/// A job with all that belongs to it.
#[derive(Clone, PartialEq)]
pub struct Opened {
    pub job: Job,
    pub customer: Option<Customer>,
    pub reels: Vec<Reel>,
}

/// Opens a job.
pub async fn open_job(id: String) -> Result<Option<Opened>, String> {
    shelf::ready().await?;
    let Some(job) = one::<Job>(id).await?.filter(|job| !job.is_deleted()) else { return Ok(None) };
    let customer = match &job.customer {
        Some(id) => one::<Customer>(id.clone()).await?,
        None => None,
    };
    let reels = some::<Reel>(&shelf::of(Kind::Reel, &job.id)).await?;
    Ok(Some(Opened { job, customer, reels }))
}

/// A job on the board, with its customer's name and its reels' rows.
#[derive(Clone)]
pub struct OnBoard {
    pub job: Job,
    pub waits: Waits,
    pub customer: String,
    pub reels: usize,
    pub photo: String,
}

/// The open jobs in the order they need somebody.
pub async fn open_jobs() -> Result<Vec<OnBoard>, String> {
    shelf::ready().await?;
    let ids = shelf::with(|rows| {
        let open = rows.iter().filter(|row| row.kind == Kind::Job && !row.deleted && !row.done);
        open.map(|row| row.id.clone()).collect::<Vec<_>>()
    });
    let jobs = some::<Job>(&ids).await?;
    let reel_ids = shelf::with(|rows| {
        let reels = rows.iter().filter(|row| row.kind == Kind::Reel && !row.deleted && ids.contains(&row.of));
        reels.map(|row| row.id.clone()).collect::<Vec<_>>()
    });
    let reels = some::<Reel>(&reel_ids).await?;
    let house = house().await;
    let today = store::today();
    let mut all: Vec<(Job, Waits)> = Vec::new();
    for job in jobs {
        let mine: Vec<&Reel> = reels.iter().filter(|reel| reel.job.as_deref() == Some(job.id.as_str())).collect();
        let waits = board::waits(&job, mine.iter().copied(), house.tax.as_ref(), &today);
        all.push((job, waits));
    }
    board::order(&mut all);
    let name = |id: &str| {
        shelf::with(|rows| rows.iter().find(|row| row.id == id).map(|row| row.name.clone())).unwrap_or_default()
    };
    let on_board = |(job, waits): (Job, Waits)| {
        let mine = reels.iter().filter(|reel| reel.job.as_deref() == Some(job.id.as_str()));
        let photo = mine.clone().find_map(|reel| reel.photos.first()).map(|photo| photo.sha256.clone());
        OnBoard {
            customer: job.customer.as_deref().map(name).unwrap_or_default(),
            reels: mine.count(),
            photo: photo.unwrap_or_default(),
            job,
            waits,
        }
    };
    Ok(all.into_iter().map(on_board).collect())
}

/// The shop itself; an empty one until somebody wrote its name.
pub async fn house() -> House {
    one::<House>(HOUSE_ID.into()).await.ok().flatten().unwrap_or_else(|| House::new(store::now_ms()))
}

pub fn change_house(shared: Shared, change: impl FnOnce(&mut House) + 'static) {
    super::work(shared, async move {
        if one::<House>(HOUSE_ID.into()).await?.is_none() {
            add(&House::new(store::now_ms())).await?;
        }
        change_now(HOUSE_ID, change).await?;
        shared.say("Saved.");
        Ok(())
    });
}

/// Begins a job and opens it.
pub fn begin_job(shared: Shared) {
    spawn_local(async move {
        let begun = async {
            let mut job = Job::new(&new_id()?, store::now_ms());
            job.opening_fee = house().await.opening_fee;
            add(&job).await
        };
        match begun.await {
            Ok(job) => {
                shared.changed.update(|n| *n += 1);
                go(Route::Job(job.id));
            }
            Err(trouble) => shared.warn(trouble),
        }
    });
}

/// Gives the job a customer: a known one by id, or a new one by name.
pub fn set_customer(shared: Shared, job: String, known: Option<String>, name: String) {
    super::work(shared, async move {
        let id = match known {
            Some(id) => id,
            None => {
                let mut customer = Customer::new(&new_id()?, store::now_ms());
                customer.name = name.trim().to_owned();
                add(&customer).await?.id
            }
        };
        change_now(&job, move |job: &mut Job| job.customer = Some(id)).await?;
        shared.say("Saved.");
        Ok(())
    });
}

/// Takes a reel in: it has its tag at once, and photos follow.
pub fn take_in(shared: Shared, job: String, files: Vec<web_sys::File>, busy: RwSignal<usize>) {
    busy.update(|n| *n += 1);
    spawn_local(async move {
        let taken = async {
            let mut reel = Reel::new(&new_id()?, store::now_ms());
            reel.job = Some(job);
            reel.tag = tags::next().await?;
            add(&reel).await
        };
        match taken.await {
            Ok(reel) => {
                shared.changed.update(|n| *n += 1);
                super::add_photos::<Reel>(shared, reel.id.clone(), files, tailplate_core::shop::Stage::Arrival, busy);
                shared.say(format!("Taken in as {}.", tailplate_core::tag::grouped(&reel.tag)));
            }
            Err(trouble) => shared.warn(trouble),
        }
        let _ = busy.try_update(|n| *n -= 1);
    });
}

/// Reels under a code: one, or more if two devices drew the same block.
pub async fn tagged(code: &str) -> Result<Vec<String>, String> {
    shelf::ready().await?;
    Ok(shelf::with(|rows| {
        let tagged = rows.iter().filter(|row| row.kind == Kind::Reel && !row.deleted && row.tag == code);
        tagged.map(|row| row.id.clone()).collect()
    }))
}
