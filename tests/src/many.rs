//! A shop of many years, or a part of it, as one saved copy: ten thousand records and a thousand photos, written by the
//! app's own code.

use tailplate_core::{
    copy::{Writer, sha256_hex},
    error::Result,
    observe::Observation,
    record::{Kept, Record},
    shop::{Customer, Find, Job, Need, PhotoRef, Price, Reel, Stand, Who},
    tag,
};

const CUSTOMERS: usize = 1_500;
const JOBS: usize = 2_000;
/// Of the jobs, those on the board.
pub const OPEN_JOBS: usize = 250;
const REELS: usize = 5_000;
pub const FINDS: usize = 1_000;
const NEEDS: usize = 500;
pub const RECORDS: usize = CUSTOMERS + JOBS + REELS + FINDS + NEEDS;
pub const PHOTOS: usize = 1_000;

/// A day in 2025, so that the same copy is made each time.
const START_MS: i64 = 1_740_000_000_000;
const HOUR_MS: i64 = 3_600_000;

/// Invented words, combined so that a search finds some, many or none.
const FIRST: [&str; 12] =
    ["Mara", "Osric", "Tilda", "Jonas", "Wenna", "Pell", "Ottile", "Bram", "Ivo", "Sunniva", "Rafe", "Corin"];
const LAST: [&str; 14] = [
    "Quill", "Vane", "Brack", "Ferrow", "Holt", "Ardin", "Crane", "Sedge", "Larke", "Moss", "Dunmore", "Ashby", "Tarr",
    "Wick",
];
const REEL: [&str; 10] =
    ["Harrow", "Dunling", "Sallow", "Brindle", "Marl Sea", "Tarn Wheel", "Ember", "Fallow", "Gorse", "Linnet"];
const KIND: [&str; 5] = ["fly", "centrepin", "conventional", "baitcasting", "spinning"];
const SAID: [&str; 8] = [
    "Grinds when wound, worse under load. It was my grandfather’s, so keep the patina.",
    "Check has gone silent since it was dropped on the slip.",
    "Handle turns back a quarter before it holds.",
    "Drag jerks, then holds, then jerks again on every run.",
    "Stiff in the morning, better once it is warm.",
    "Level wind stops half-way and the line piles up on the left.",
    "Bail will not close by itself; somebody bent it back with pliers.",
    "Rattles. A screw came out in the bag and I kept it.",
];

fn id(group: usize, number: usize) -> String {
    format!("{:016x}{number:016x}", 0xa000 + group)
}

/// The copy, or one of so many parts of it. `photo`: a JPEG that each of them repeats, with a number of its own inside.
///
/// # Errors
/// The app's own checks refuse a record.
pub fn shop(photo: &[u8], part: usize) -> Result<Vec<u8>> {
    let [customers, jobs, open_jobs, reels, finds, needs, pictures] =
        [CUSTOMERS, JOBS, OPEN_JOBS, REELS, FINDS, NEEDS, PHOTOS].map(|count| count / part);
    let mut writer = Writer::new(START_MS);
    let mut file = Vec::new();
    let photos: Vec<(String, Vec<u8>)> = (0..pictures)
        .map(|number| {
            let bytes = numbered(photo, number);
            (sha256_hex(&bytes), bytes)
        })
        .collect();
    let names: Vec<PhotoRef> = photos
        .iter()
        .map(|(sha256, _)| PhotoRef { sha256: sha256.clone(), width_px: 1600, height_px: 1200, ..PhotoRef::default() })
        .collect();
    for number in 0..customers {
        let mut customer = Customer::new(&id(1, number), START_MS + number as i64 * HOUR_MS);
        customer.name = format!("{} {}", FIRST[number % FIRST.len()], LAST[number / FIRST.len() % LAST.len()]);
        customer.phone = format!("555 {number:04}");
        keep(&mut writer, &customer)?;
    }
    for number in 0..jobs {
        let mut job = Job::new(&id(2, number), START_MS + number as i64 * HOUR_MS);
        job.customer = Some(id(1, number % customers));
        job.words = SAID[number % SAID.len()].into();
        job.promised = format!("2025-{:02}-{:02}", number % 12 + 1, number % 28 + 1);
        job.closed_ms = (number < jobs - open_jobs).then_some(job.made_ms + HOUR_MS);
        keep(&mut writer, &job)?;
    }
    for number in 0..reels {
        // The first two thousand came one a job, the others as a second and third.
        let of = jobs - 1 - number % jobs;
        let mut reel = Reel::new(&id(3, number), START_MS + of as i64 * HOUR_MS);
        reel.job = Some(id(2, of));
        reel.tag = tag::code(77, number as u32)?;
        reel.name = format!("{} {}", REEL[number % REEL.len()], number / REEL.len());
        reel.kind = KIND[number % KIND.len()].into();
        reel.complaint = SAID[(number + 3) % SAID.len()].into();
        reel.lies_at = format!("Shelf {}", number % 40);
        reel.sheet.seen = vec![
            Observation::state("reel_kind", &reel.kind),
            Observation::mark("foot-under", &format!("PAT. {}", 1_500_000 + number)),
        ];
        let at_ms = reel.made_ms;
        let way: &[(Stand, Who)] = match of < jobs - open_jobs {
            true => &[(Stand::Declined, Who::Customer), (Stand::Returned, Who::Shop)],
            false => &[(Stand::LookedAt, Who::Shop), (Stand::Asked, Who::Shop)][..number % 3],
        };
        for (to, by) in way {
            reel.go(*to, *by, at_ms, "")?;
        }
        // The reels of the jobs on the board, and some before them.
        reel.photos = names.get(number).filter(|_| number < pictures / 2).cloned().into_iter().collect();
        keep(&mut writer, &reel)?;
    }
    for number in 0..finds {
        let mut find = Find::new(&id(4, number), START_MS + number as i64 * HOUR_MS);
        find.name = format!("{} at a stall", REEL[(number * 7) % REEL.len()]);
        find.place = format!("Row {}", number % 26);
        find.asking_price = Some(Price::parse(&format!("{}", 10 + number % 200), "EUR")?);
        find.sheet.seen = vec![Observation::state("reel_kind", KIND[number % KIND.len()])];
        find.note = SAID[(number + 5) % SAID.len()].into();
        // The finds that are on top of the list.
        find.photos = names.get(pictures / 2 + finds - 1 - number).cloned().into_iter().collect();
        keep(&mut writer, &find)?;
    }
    for number in 0..needs {
        let mut need = Need::new(&id(5, number), START_MS, "dog-spring");
        need.reel = Some(id(3, number * 3));
        need.urgency = (number % 3 + 1) as u8;
        keep(&mut writer, &need)?;
    }
    file.extend(writer.take());
    for (sha256, bytes) in &photos {
        writer.photo(sha256, bytes)?;
        file.extend(writer.take());
    }
    file.extend(writer.finish()?);
    Ok(file)
}

fn keep<R: Record>(writer: &mut Writer, record: &R) -> Result<()> {
    let kept = Kept::new(record.clone(), 7)?;
    let json = serde_json::to_string(&kept.record).expect("a record is JSON");
    writer.record(R::KIND, kept.record.id(), &kept.bytes(), &json)
}

/// The same picture with a comment of its own, so that its hash differs.
fn numbered(photo: &[u8], number: usize) -> Vec<u8> {
    let comment = format!("{number:08}");
    let length = (comment.len() + 2) as u16;
    [&photo[..2], &[0xff, 0xfe], &length.to_be_bytes()[..], comment.as_bytes(), &photo[2..]].concat()
}

#[cfg(test)]
mod tests {
    use super::*;
    use tailplate_core::copy::{SavedCopy, at_once};

    #[test]
    fn it_is_as_large_as_it_says() {
        for part in [1, 50] {
            let file = shop(&[0xff, 0xd8, 0xff, 0xd9], part).unwrap();
            let copy = at_once(SavedCopy::open(&file[..], async |_, _| true)).unwrap();
            assert_eq!((copy.records.len(), copy.photos.len()), (10_000 / part, 1_000 / part));
        }
        assert_eq!(RECORDS, 10_000);
    }
}
