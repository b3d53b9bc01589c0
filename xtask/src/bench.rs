//! What is measured, natively and in a slowed browser, as one table; and the README's pictures.

use crate::{
    check::{prepare_journeys, with_journeys},
    place::{cargo, plain_cargo, root, wasm_target},
    say::{Result, always, run},
    tools, wasm,
};
use std::{path::PathBuf, process::Command};

/// Prints one table of what the programs below print as `name<TAB>value<TAB>unit`.
pub fn bench() -> Result<()> {
    prepare_journeys()?;
    let example = |name: &str| {
        let options =
            ["run", "--quiet", "--release", "--package", "tailplate-core", "--features", "bench", "--example"];
        rows(&format!("{name}, native"), cargo().args(options).arg(name))
    };
    let native = [example("bench_key")?, example("bench_washers")?].concat();
    let module = module()?;
    let browser = rows(
        "in Chromium",
        with_journeys(&["run", "--quiet", "--release", "--package", "tailplate-tests", "--bin", "bench"])
            .env("TAILPLATE_BENCH", module),
    )?;
    let counter = rows(
        "the counter in Chromium",
        &mut with_journeys(&["run", "--quiet", "--release", "--package", "tailplate-tests", "--bin", "bench_counter"]),
    )?;

    table(&[("native", native), ("Chromium", browser), ("Chromium", counter)]);
    Ok(())
}

/// What the shop's computer bears, at full optimisation and on every store.
pub fn load() -> Result<()> {
    tools::for_stores()?;
    let mut load = cargo();
    load.args(["test", "--quiet", "--release", "--package", "tailplate-hub", "--test", "shop", "--"]);
    load.args(["load::", "--ignored", "--nocapture", "--test-threads=1"]).env("TAILPLATE_ALL_STORES", "1");
    table(&[("the hub", rows("load", &mut load)?)]);
    Ok(())
}

fn table(all: &[(&str, Vec<[String; 3]>)]) {
    println!("\n  {:<12}{:<88}{:>12}  unit", "where", "what", "value");
    for (place, rows) in all {
        for [name, value, unit] in rows {
            println!("  {place:<12}{name:<88}{value:>12}  {unit}");
        }
    }
}

/// The bench of key and washers, compiled as the app is.
fn module() -> Result<PathBuf> {
    let rustc = wasm::compiler()?;
    always("the bench for the browser", || {
        let mut build = plain_cargo();
        build.current_dir(root()).env("RUSTC", rustc).env_remove("RUSTFLAGS");
        build.env("CARGO_TARGET_DIR", wasm_target()).args(["build", "--package", "tailplate-bench"]);
        run(build.args(["--target", wasm::TARGET, "--profile", "wasm"]))
    })?;
    Ok(wasm_target().join(wasm::TARGET).join("wasm/tailplate_bench.wasm"))
}

/// Drives Chromium through the app and writes `docs/pictures`.
pub fn pictures() -> Result<()> {
    prepare_journeys()?;
    always("pictures", || {
        run(&mut with_journeys(&["test", "--package", "tailplate-tests", "--test", "pictures", "--", "--ignored"]))
    })
}

fn rows(what: &str, command: &mut Command) -> Result<Vec<[String; 3]>> {
    always(&format!("measuring {what}"), || {
        let output = command.output().map_err(|error| error.to_string())?;
        if !output.status.success() {
            return Err(String::from_utf8_lossy(&output.stderr).into_owned());
        }
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        let rows: Vec<[String; 3]> = text.lines().filter_map(row).collect();
        if rows.is_empty() { Err(format!("it printed no `name<TAB>value<TAB>unit`: {text}")) } else { Ok(rows) }
    })
}

fn row(line: &str) -> Option<[String; 3]> {
    let cells: Vec<String> = line.split('\t').map(str::to_string).collect();
    cells.try_into().ok()
}
