//! Jobs, customers and reels at the counter.

use std::collections::BTreeMap;
use std::sync::Arc;

use leptos::prelude::*;
use tailplate_core::record::{Kind, Record};
use tailplate_core::shop::board::{self, Waits};
use tailplate_core::shop::house::HOUSE_ID;
use tailplate_core::shop::{Customer, House, Job, Reel, Row};
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

/// A job on the board, with its customer's name.
#[derive(Clone, PartialEq)]
pub struct OnBoard {
    pub job: Arc<Row>,
    pub waits: Waits,
    pub customer: String,
    pub reels: usize,
    pub photo: String,
}

/// The open jobs in the order they need somebody.
pub async fn open_jobs() -> Result<Vec<OnBoard>, String> {
    shelf::ready().await?;
    let (house, today) = (house().await, store::today());
    Ok(shelf::with(|rows| {
        let there = |kind: Kind| rows.iter().filter(move |row| row.kind == kind && !row.deleted);
        let mut of_job: BTreeMap<&str, Vec<&Row>> = BTreeMap::new();
        for job in there(Kind::Job).filter(|row| !row.done) {
            of_job.insert(&job.id, Vec::new());
        }
        for reel in there(Kind::Reel) {
            if let Some(reels) = of_job.get_mut(reel.of.as_str()) {
                reels.push(reel);
            }
        }
        for reels in of_job.values_mut() {
            tailplate_core::order::by(reels, |a, b| (a.made_ms, &a.id).cmp(&(b.made_ms, &b.id)));
        }
        let mut all: Vec<(Arc<Row>, Waits)> = there(Kind::Job)
            .filter_map(|job| {
                let reels = of_job.get(job.id.as_str())?;
                Some((job.clone(), board::waits(job, reels.iter().copied(), house.tax.as_ref(), &today)))
            })
            .collect();
        board::order(&mut all);
        let customers = rows.iter().filter(|row| row.kind == Kind::Customer);
        let names: BTreeMap<&str, &str> = customers.map(|row| (row.id.as_str(), row.name.as_str())).collect();
        let on_board = |(job, waits): (Arc<Row>, Waits)| {
            let reels = of_job.get(job.id.as_str()).map(Vec::as_slice).unwrap_or_default();
            let photo = reels.iter().find(|reel| !reel.photo.is_empty()).map(|reel| reel.photo.clone());
            let customer = names.get(job.of.as_str()).copied().unwrap_or_default().to_owned();
            OnBoard { customer, reels: reels.len(), photo: photo.unwrap_or_default(), job, waits }
        };
        all.into_iter().map(on_board).collect()
    }))
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

/// Begins a job, of a known customer or none yet, and opens it.
pub fn begin_job(shared: Shared, customer: Option<String>) {
    spawn_local(async move {
        let begun = async {
            let mut job = Job::new(&new_id()?, store::now_ms());
            job.customer = customer;
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
