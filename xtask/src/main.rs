//! `cargo xtask …`: set up, run, test, measure.
#![forbid(unsafe_code)]

mod bench;
mod check;
mod code;
mod dist;
mod fuzz;
mod joining;
mod place;
mod say;
mod sizes;
mod tools;
mod torture;
mod wasm;
mod worker;

use say::{Result, always, run};
use std::{fs, process::ExitCode, time::Instant};

const HELP: &str = "\
cargo xtask run [--port N] [--fresh]   build everything and serve it; --fresh builds the app from nothing
cargo xtask test [--only NAME]         every check and test, journeys in three browsers included; --only: tests with NAME in their name
cargo xtask setup                      only fetch what building needs
cargo xtask build [--quick]            only build the app into dist/ and say how heavy it is; --quick: in a fraction of the time,
                                       several times as heavy, for trying things while working
cargo xtask lint                       only formatting and clippy
cargo xtask bench                      measure speed, natively and in a slowed browser
cargo xtask load                       fifty phones at one hub, and one phone with a season's work: measured
cargo xtask torture [--kills N] [--seeds N]   the hub killed 200 times, full disks, 10,000 simulated networks
cargo xtask fuzz [MINUTES]             foreign bytes at what reads them, 10 minutes for each target; 0 tries the kept ones
cargo xtask pictures                   take the README's pictures anew

Tools and builds are kept in $TAILPLATE_CACHE (or ~/.cache/tailplate); $CARGO_TARGET_DIR moves the builds.";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let start = Instant::now();
    match act(&words.iter().map(String::as_str).collect::<Vec<_>>()) {
        Ok(()) => {
            println!("\n  Done in {:.0} s.", start.elapsed().as_secs_f64());
            ExitCode::SUCCESS
        }
        Err(problem) => {
            eprintln!("\n  ✗ {problem}");
            ExitCode::FAILURE
        }
    }
}

fn act(words: &[&str]) -> Result<()> {
    match words {
        ["setup"] => {
            wasm::compiler()?;
            tools::for_building()
        }
        ["build"] => dist::build(code::Make::Finished),
        ["build", "--quick"] => dist::build(code::Make::Quick),
        ["run", options @ ..] => serve(options),
        ["lint"] => check::lint(),
        ["test"] => check::everything(),
        ["test", "--only", name] => check::only(name),
        ["bench"] => bench::bench(),
        ["load"] => bench::load(),
        ["torture", options @ ..] => torture::torture(options),
        ["fuzz"] => fuzz::fuzz(10),
        ["fuzz", minutes] => fuzz::fuzz(minutes.parse().map_err(|_| "`fuzz` takes a number of minutes.")?),
        ["pictures"] => bench::pictures(),
        _ => Err(format!("These are the commands:\n\n{HELP}")),
    }
}

/// Builds the app and the hub, and serves until stopped.
fn serve(options: &[&str]) -> Result<()> {
    let (mut port, mut options) = ("7420", options);
    while let [option, rest @ ..] = options {
        options = match (*option, rest) {
            ("--port", [number, rest @ ..]) if number.parse::<u16>().is_ok() => {
                port = number;
                rest
            }
            ("--fresh", rest) => {
                let _ = fs::remove_dir_all(place::wasm_target());
                let _ = fs::remove_dir_all(place::dist());
                rest
            }
            _ => {
                return Err(format!("`run` does not know `{option}`. These are the commands:\n\n{HELP}"));
            }
        };
    }
    dist::build(code::Make::Finished)?;
    build_hub()?;
    println!("\n  Open http://localhost:{port}/ in a browser; Ctrl+C stops it.");
    println!("  New here? Jobs offers a demo shop to look around in, and clears it away again.\n");
    let mut hub = std::process::Command::new(place::hub());
    run(hub.args(["serve", "--port", port, "--data"]).arg(place::data()).arg("--app").arg(place::dist()))
}

/// The shop computer's program.
fn build_hub() -> Result<()> {
    always("the hub", || run(place::cargo().args(["build", "--release", "--package", "tailplate-hub"])))
}
