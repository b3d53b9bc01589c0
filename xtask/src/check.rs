//! Every check there is, the quick ones first.

use crate::{
    build_hub, code, dist,
    place::{self, cargo},
    say::{Result, always, run},
    tools,
};
use std::process::Command;

/// Formatting, and clippy without a warning. The app is looked at as native code too: that needs no browser target for clippy.
pub fn lint() -> Result<()> {
    always("formatting", || {
        run(cargo().args(["fmt", "--all", "--check"]))
            .map_err(|problem| format!("{problem} `cargo fmt --all` mends it."))
    })?;
    always("clippy", || {
        run(cargo().args(["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"]))
    })
}

pub fn everything() -> Result<()> {
    lint()?;
    tools::for_stores()?;
    always("tests of the crates", || run(&mut unit_tests()))?;
    prepare_journeys()?;
    always("journeys", || run(&mut journeys()))
}

/// The tests with `name` in their name.
pub fn only(name: &str) -> Result<()> {
    tools::for_stores()?;
    always("tests of the crates", || run(unit_tests().arg(name)))?;
    prepare_journeys()?;
    always("journeys", || run(journeys().args([name, "--nocapture"])))
}

/// What the browsers are shown, and the browsers.
pub fn prepare_journeys() -> Result<()> {
    dist::build(code::Make::Finished)?;
    build_hub()?;
    tools::for_browsers()?;
    tools::for_lighthouse()
}

/// A command of the tests crate, told where everything is.
pub fn with_journeys(words: &[&str]) -> Command {
    let mut command = cargo();
    command.args(words).env("TAILPLATE_HUB", place::hub()).env("TAILPLATE_APP", place::dist());
    command
}

/// All are run, as with the journeys. The app has none of its own: it is walked through in the journeys, and built
/// natively it would only cost minutes.
fn unit_tests() -> Command {
    let mut command = cargo();
    command.args(["test", "--workspace", "--no-fail-fast"]);
    command.args(["--exclude", "tailplate-app", "--exclude", "tailplate-tests"]);
    // A store that is not there is then a failure.
    command.env("TAILPLATE_ALL_STORES", "1");
    command
}

/// One browser at a time: two would slow each other down, and the clock is part of some journeys. All are walked, so that
/// one run tells of every failure.
fn journeys() -> Command {
    with_journeys(&["test", "--package", "tailplate-tests", "--no-fail-fast", "--", "--test-threads=1"])
}
