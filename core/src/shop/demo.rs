//! An invented shop to look around in: Wend, its people, and what they brought. Nobody and nothing in it is real.

use serde_json::Value;

use super::{
    Answer, Condition, Customer, Done, Finding, Grade, House, Job, Line, LineSort, MissingPart, Need, OldPart, Paid,
    PaidFor, Price, Reel, Stand, Who,
};
use crate::observe::{How, Observation, Unit};
use crate::record::Kind;

/// Ids of the demo shop begin so; it is cleared by them.
pub const MARK: &str = "dede0000";

const DAY_MS: i64 = 86_400_000;

struct Person {
    name: &'static str,
    phone: &'static str,
    words: &'static str,
    reels: &'static [Brought],
}

struct Brought {
    name: &'static str,
    kind: &'static str,
    complaint: &'static str,
    condition: &'static [&'static str],
    missing: &'static str,
    /// How far it is on its way.
    way: &'static [Stand],
    days_ago: i64,
}

use Stand::*;

const fn brought(
    name: &'static str,
    kind: &'static str,
    complaint: &'static str,
    condition: &'static [&'static str],
    way: &'static [Stand],
    days_ago: i64,
) -> Brought {
    Brought { name, kind, complaint, condition, missing: "", way, days_ago }
}

const TO_BENCH: &[Stand] = &[LookedAt, Asked, Agreed, OnBench];
const TO_READY: &[Stand] = &[LookedAt, Asked, Agreed, OnBench, Tested, Ready];

/// Twelve people of Wend and thirty reels, in every state.
const PEOPLE: [Person; 12] = [
    Person {
        name: "Mara Quill",
        phone: "555 0101",
        words: "My grandfather’s three. Keep the patina, please.",
        reels: &[
            brought("Dunling 3 inch", "fly", "Check has gone silent", &["dirty"], &[], 1),
            brought("Dunling 4 inch", "fly", "Rubs when spun", &["bent", "dirty"], &[LookedAt], 1),
            brought(
                "Box of bits",
                "centrepin",
                "Taken apart by my brother",
                &["owner-dismantled", "incomplete"],
                &[],
                1,
            ),
        ],
    },
    Person {
        name: "Osric Vane",
        phone: "555 0102",
        words: "For the pike season.",
        reels: &[
            brought(
                "Harrow Nine",
                "conventional",
                "Star does nothing",
                &["seized", "corroded-green"],
                &[LookedAt, Asked],
                9,
            ),
            brought(
                "Harrow Six",
                "conventional",
                "Handle turns back",
                &["rust"],
                &[LookedAt, Asked, Agreed, WaitsForPart],
                30,
            ),
        ],
    },
    Person {
        name: "Tilda Brack",
        phone: "555 0103",
        words: "Whatever it costs, within reason.",
        reels: &[
            brought(
                "Sallow Special",
                "baitcasting",
                "Level wind stops half-way",
                &["worn", "line-left-on"],
                TO_BENCH,
                12,
            ),
            brought("Sallow Junior", "baitcasting", "Backlash every cast", &["stiff"], TO_READY, 20),
            brought("Store-brand twin", "baitcasting", "Same as the other?", &["plating-worn"], TO_READY, 20),
        ],
    },
    Person {
        name: "Jonas Ferrow",
        phone: "555 0104",
        words: "Posted; came badly packed.",
        reels: &[
            brought(
                "Marl Sea Six",
                "big-game",
                "Plate cracked in the post",
                &["cracked", "transit-damage"],
                &[LookedAt, Asked, Declined],
                25,
            ),
            brought("Marl Sea Four", "big-game", "Drag jerks", &["rust", "dirty"], TO_BENCH, 25),
        ],
    },
    Person {
        name: "Wenna Holt",
        phone: "555 0105",
        words: "Estate of my uncle. Which are worth mending?",
        reels: &[
            brought("Brindle 200", "spinning", "Bail will not close", &["rust", "stiff"], &[LookedAt], 4),
            brought("Brindle 300", "spinning", "Grinds", &["dirty"], &[LookedAt, Asked], 4),
            brought("Brindle 400", "spinning", "Crank wobbles", &["worn"], &[], 4),
            brought("No name", "automatic", "Spring shot out once", &["repaired-before"], &[], 4),
        ],
    },
    Person {
        name: "Pell Ardin",
        phone: "555 0106",
        words: "Fish with it every week.",
        reels: &[
            brought(
                "Tarn Wheel",
                "centrepin",
                "Slower than it was",
                &["dirty"],
                &[LookedAt, Asked, Agreed, OnBench, Tested],
                15,
            ),
            brought("Spare drum for it", "centrepin", "Line caught behind it", &["worn"], &[LookedAt], 15),
        ],
    },
    Person {
        name: "Ottile Crane",
        phone: "555 0107",
        words: "Collected last month.",
        reels: &[
            brought(
                "Dunling 2½ inch",
                "fly",
                "Latch loose",
                &["worn"],
                &[LookedAt, Asked, Agreed, OnBench, Tested, Ready, Returned],
                60,
            ),
            brought(
                "Dunling wide drum",
                "fly",
                "Not worth it",
                &["pitted"],
                &[LookedAt, Asked, Declined, ScrappedByConsent],
                60,
            ),
        ],
    },
    Person {
        name: "Bram Sedge",
        phone: "555 0108",
        words: "Leave the red one with you if nobody wants it.",
        reels: &[
            brought(
                "Ember",
                "closed-face",
                "Pin stuck",
                &["seized"],
                &[LookedAt, Asked, Declined, KeptByAgreement],
                45,
            ),
            brought("Ember de luxe", "closed-face", "Line slips out", &["worn"], TO_READY, 45),
        ],
    },
    Person {
        name: "Ivo Larke",
        phone: "555 0109",
        words: "Sell it for me if you can.",
        reels: &[brought(
            "Harrow Twelve",
            "conventional",
            "For sale",
            &["plating-worn"],
            &[LookedAt, Asked, Agreed, OnBench, Tested, Ready, Sold],
            80,
        )],
    },
    Person {
        name: "Sunniva Moss",
        phone: "555 0110",
        words: "A present: done by the end of the month?",
        reels: &[
            brought(
                "Side-cast of my father’s",
                "side-cast",
                "Will not turn over",
                &["stiff", "corroded-white"],
                TO_BENCH,
                18,
            ),
            brought("Spare drum", "side-cast", "Dented", &["bent"], &[LookedAt, Asked, Agreed], 18),
        ],
    },
    Person {
        name: "Rafe Dunmore",
        phone: "555 0111",
        words: "Clicks too loud for my wife.",
        reels: &[
            brought(
                "Wire-line drum",
                "wire-line",
                "Pawl worn",
                &["worn"],
                &[LookedAt, Asked, Agreed, OnBench, WaitsForPart],
                33,
            ),
            brought("Ice fishing reel", "ice", "Handle lost", &[], &[LookedAt], 33),
        ],
    },
    Person {
        name: "Corin Ashby",
        phone: "555 0112",
        words: "Six more in the loft if these come out well.",
        reels: &[
            brought("Sallow Tournament", "baitcasting", "Cap has no jewel", &["missing"], TO_BENCH, 10),
            brought("Sallow Tournament, second", "baitcasting", "For parts", &["cracked"], &[LookedAt], 10),
            brought("Old brass winch", "conventional", "What is it?", &["corroded-green"], &[], 10),
            brought(
                "Brindle 100",
                "spinning",
                "Spring in the bail gone",
                &["missing"],
                &[LookedAt, Asked, Agreed, WaitsForPart],
                10,
            ),
            brought("Tarn Wheel, narrow", "centrepin", "Wobbles", &["bent"], TO_READY, 10),
        ],
    },
];

fn id(group: u32, number: usize) -> String {
    format!("{MARK}{group:08x}{number:016x}")
}

/// Every record of the demo shop as kind, id and JSON. `now_ms`: the day it is; the rest is counted back from there.
/// `block`: what its tags begin with.
///
/// # Errors
/// None that could be seen: the data below is checked by a test.
pub fn shop(now_ms: i64, block: u32) -> crate::Result<Vec<(Kind, String, Value)>> {
    let mut all = Vec::new();
    let mut keep = |kind: Kind, id: &str, value: serde_json::Result<Value>| {
        let value = value.map_err(|error| crate::Error::invalid(error.to_string()))?;
        all.push((kind, id.to_owned(), value));
        Ok::<(), crate::Error>(())
    };
    let euro = |amount: &str| Price::parse(amount, "EUR");
    let mut number = 0;
    for (n, person) in PEOPLE.iter().enumerate() {
        let ago = person.reels.iter().map(|reel| reel.days_ago).max().unwrap_or(0);
        let came_ms = now_ms - ago * DAY_MS;
        let mut customer = Customer::new(&id(1, n), came_ms);
        customer.name = person.name.into();
        customer.phone = person.phone.into();
        customer.address = format!("{} Mill Lane\nWend", n + 1);
        let mut job = Job::new(&id(2, n), came_ms);
        job.customer = Some(customer.id.clone());
        job.words = person.words.into();
        job.promised = crate::copy::iso_day(came_ms + 21 * DAY_MS);
        job.opening_fee = Some(euro("15")?);
        job.ceiling = Some(euro("80")?);
        let mut reels = Vec::new();
        for thing in person.reels {
            let mut reel = reel_of(thing, number, came_ms, block)?;
            reel.job = Some(job.id.clone());
            lines_of(&mut job, &reel, number, &euro)?;
            if matches!(reel.stand().0, Returned | Sold) {
                let due = super::money::sums(&job, None)?.due_hundredths;
                if due > 0 {
                    let price = Price::of_hundredths(due, "EUR");
                    job.paid.push(Paid { at_ms: reel.stand().1, price, what: PaidFor::Payment, how: "cash".into() });
                }
            }
            reels.push(reel);
            number += 1;
        }
        if n % 3 == 0 {
            job.paid.push(Paid { at_ms: came_ms, price: euro("20")?, what: PaidFor::Deposit, how: "card".into() });
        }
        if reels.iter().all(|reel| reel.stand().0.accounted_for()) && job.open_ends(&reels, None).is_empty() {
            job.closed_ms = Some(now_ms - 2 * DAY_MS);
        }
        keep(Kind::Customer, &customer.id.clone(), serde_json::to_value(&customer))?;
        keep(Kind::Job, &job.id.clone(), serde_json::to_value(&job))?;
        for reel in &reels {
            keep(Kind::Reel, &reel.id, serde_json::to_value(reel))?;
            if reel.stand().0 == WaitsForPart {
                let mut need = Need::new(&id(4, number + all_needs(&reel.id)), came_ms, "dog-spring");
                need.reel = Some(reel.id.clone());
                need.urgency = 3;
                keep(Kind::Need, &need.id.clone(), serde_json::to_value(&need))?;
            }
        }
    }
    let mut house = House::new(now_ms);
    house.name = "The Reel Bench, Wend".into();
    house.address = "3 Mill Lane\nWend\n555 0100".into();
    house.currency = "EUR".into();
    house.receipt_words = "Not collected within 90 days: we write to you first, and keep it another 90.".into();
    house.quote_words = "This offer stands for 30 days.".into();
    house.bill_words = "Thank you. Whatever we mended is looked after for a year.".into();
    keep(Kind::House, &house.id.clone(), serde_json::to_value(&house))?;
    Ok(all)
}

/// The last figure of an id, so that needs of one person differ.
fn all_needs(id: &str) -> usize {
    usize::from_str_radix(&id[id.len() - 4..], 16).unwrap_or(0) + 100
}

fn reel_of(thing: &Brought, number: usize, came_ms: i64, block: u32) -> crate::Result<Reel> {
    let mut reel = Reel::new(&id(3, number), came_ms);
    reel.tag = crate::tag::code(block % crate::tag::BLOCKS, number as u32)?;
    reel.name = thing.name.into();
    reel.kind = thing.kind.into();
    reel.complaint = thing.complaint.into();
    reel.condition =
        thing.condition.iter().map(|what| Condition { what: (*what).into(), words: String::new() }).collect();
    reel.sheet.seen = vec![
        Observation::state("reel_kind", thing.kind),
        Observation::measure("spool_diameter", 55.0 + number as f64, Unit::Mm, How::Calliper),
    ];
    if !thing.missing.is_empty() || thing.condition.contains(&"missing") {
        reel.missing = vec![MissingPart { part: "end cap".into(), acknowledged_ms: Some(came_ms) }];
    }
    reel.lies_at = format!("Shelf {}", ["A", "B", "C"][number % 3]);
    for (step, to) in thing.way.iter().enumerate() {
        let from = reel.stand().0;
        let by = from.ways().iter().find(|(way, _)| way == to).map_or(Who::Shop, |(_, who)| *who);
        reel.go(*to, by, came_ms + (step as i64 + 1) * DAY_MS, "")?;
    }
    if thing.way.len() > 1 {
        reel.finding = Some(Finding::FaultFound);
        reel.found = format!("{}: found as said.", thing.complaint);
        reel.looks = Some(Grade { scale: "house".into(), grade: "used".into(), words: String::new() });
    }
    if thing.way.contains(&Tested) {
        reel.work = vec![Done {
            at_ms: came_ms + 5 * DAY_MS,
            what: "Stripped, cleaned, greased and oiled".into(),
            minutes: Some(50),
        }];
        reel.works = Some(Grade { scale: "house".into(), grade: "works".into(), words: String::new() });
        reel.old_parts =
            vec![OldPart { part: "drag washer".into(), goes_back: number % 2 == 1 && reel.stand().0 != Returned }];
    }
    Ok(reel)
}

fn lines_of(
    job: &mut Job,
    reel: &Reel,
    number: usize,
    euro: &impl Fn(&str) -> crate::Result<Price>,
) -> crate::Result<()> {
    let stand = reel.stand().0;
    let answer = match stand {
        Arrived | LookedAt => return Ok(()),
        Asked => Answer::Open,
        Declined | KeptByAgreement | ScrappedByConsent => Answer::Declined,
        _ => Answer::Accepted,
    };
    let line = |n: usize, what: &str, sort, amount: &str| -> crate::Result<Line> {
        Ok(Line {
            id: id(5, number * 10 + n),
            reel: Some(reel.id.clone()),
            what: what.into(),
            sort,
            price: euro(amount)?,
            answer,
        })
    };
    job.lines.push(line(0, "Strip, clean, lubricate, test", LineSort::Labour, "35")?);
    job.lines.push(line(1, "Drag washers, cut to size", LineSort::Part, "9.50")?);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_people_thirty_reels_and_every_state() {
        let all = shop(1_767_225_600_000, 77).unwrap();
        let count = |kind: Kind| all.iter().filter(|(other, ..)| *other == kind).count();
        assert_eq!((count(Kind::Customer), count(Kind::Job), count(Kind::Reel)), (12, 12, 30));
        let mut ids: Vec<&String> = all.iter().map(|(_, id, _)| id).collect();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), all.len(), "an id stands twice");
        let reels: Vec<Reel> = all
            .iter()
            .filter(|(kind, ..)| *kind == Kind::Reel)
            .map(|(.., value)| serde_json::from_value(value.clone()).unwrap())
            .collect();
        for stand in Stand::ALL {
            assert!(reels.iter().any(|reel| reel.stand().0 == stand), "no reel is {stand:?}");
        }
        for (kind, id, value) in &all {
            let written = crate::record::write(*kind, None, &Value::Null, value, 1, 5).unwrap();
            assert!(*kind == Kind::House || id.starts_with(MARK), "{id}");
            assert_eq!(written.row.id, *id);
        }
    }
}
