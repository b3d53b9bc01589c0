//! Long versions of tests that are run shortly each time: more seeds, more deaths, more full disks.

use crate::{
    place::{cargo, target},
    say::{Result, always, run},
    tools,
};

const HELP: &str = "`torture` takes --kills N and --seeds N.";

pub fn torture(options: &[&str]) -> Result<()> {
    let (mut kills, mut seeds) = (200, 10_000);
    for pair in options.chunks(2) {
        match *pair {
            ["--kills", number] => kills = number.parse::<u32>().map_err(|_| HELP)?,
            ["--seeds", number] => seeds = number.parse::<u32>().map_err(|_| HELP)?,
            _ => return Err(HELP.into()),
        }
    }
    tools::for_stores()?;
    println!("  Builds and shops lie in {} and the folder for temporary files.", target().display());
    always(&format!("{kills} deaths of the hub, 20 full disks, a locked database"), || {
        let mut test = cargo();
        test.args(["test", "--package", "tailplate-hub", "--test", "shop", "--"]);
        test.args(["kill::", "full::", "--nocapture", "--test-threads=1"]);
        test.env("TAILPLATE_ALL_STORES", "1").env("TAILPLATE_KILLS", kills.to_string()).env("TAILPLATE_FULL", "20");
        run(&mut test)
    })?;
    always(&format!("{seeds} simulated networks"), || {
        let mut test = cargo();
        test.args(["test", "--package", "tailplate-core", "--test", "sync", "--", "--nocapture", "after_healing"]);
        run(test.env("TAILPLATE_SYNC_SEEDS", seeds.to_string()))
    })
}
