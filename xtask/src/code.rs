//! From `app/` to the code that a browser runs: compiled, cut into the part of the first screen and the parts read later,
//! bridged to the browser, made small.

use crate::{
    dist::files,
    place::{self, path, wasm_target},
    say::{Result, make_folder, read, run, write},
    tools, wasm,
};
use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
    sync::atomic::{AtomicUsize, Ordering},
    thread,
};

const NAME: &str = "tailplate";

/// What every engine of today understands; `--all-features` writes import sections that none of them reads yet.
const WASM_FEATURES: [&str; 8] = [
    "--enable-bulk-memory",
    "--enable-bulk-memory-opt",
    "--enable-multivalue",
    "--enable-mutable-globals",
    "--enable-nontrapping-float-to-int",
    "--enable-reference-types",
    "--enable-sign-ext",
    "--enable-simd",
];

/// Functions of up to so many parts are written into those that call them: each that is left is compiled by itself when it
/// is first called. Of some 870 at a start 190 fall away, for 4 KB more to download.
const INLINED: &str = "--always-inline-max-function-size=12";

/// How much is done to make the program small.
#[derive(Clone, Copy, PartialEq)]
pub enum Make {
    /// As people get it.
    Finished,
    /// For trying things while working: compiled again in a fraction of the time.
    Quick,
}

impl Make {
    /// The name of its profile in Cargo.toml.
    fn profile(self) -> &'static str {
        match self {
            Self::Finished => "wasm",
            Self::Quick => "wasm-quick",
        }
    }
}

/// Compiles the app; the program as the compiler leaves it.
pub fn compile(rustc: &Path, make: Make) -> Result<PathBuf> {
    let mut cargo = place::cargo();
    // Flags from outside would replace those of .cargo/config.toml.
    cargo.env("RUSTC", rustc).env("CARGO_TARGET_DIR", wasm_target()).env_remove("RUSTFLAGS");
    // Where a fault stands is told by crate and line; where this machine keeps the crates is nobody's business.
    let home = std::env::var("CARGO_HOME").map(PathBuf::from).ok();
    let home = home.or_else(|| Some(PathBuf::from(std::env::var_os("HOME")?).join(".cargo"))).unwrap_or_default();
    for registry in folders(&home.join("registry/src")) {
        let flag = format!("target.{}.rustflags=[\"--remap-path-prefix={}/=\"]", wasm::TARGET, registry.display());
        cargo.args(["--config", &flag]);
    }
    run(cargo.args(["build", "--package", "tailplate-app", "--profile", make.profile(), "--target", wasm::TARGET]))?;
    Ok(wasm_target().join(wasm::TARGET).join(make.profile()).join("tailplate-app.wasm"))
}

/// Cuts, bridges and shrinks the program into `folder`.
pub fn finish(program: &Path, folder: &Path, make: Make) -> Result<()> {
    let stage = wasm_target().join("stage");
    let _ = fs::remove_dir_all(&stage);
    make_folder(&stage)?;

    let whole = read(program)?;
    let main = stage.join(format!("{NAME}.wasm"));
    let bridge = format!("./{NAME}.js");
    let mut cut = wasm_split_cli_support::Options::new(&whole);
    cut.output_dir = &stage;
    cut.main_out_path = &main;
    cut.main_module = &bridge;
    cut.link_name = "./parts.js";
    wasm_split_cli_support::transform(cut).map_err(|error| format!("The program can't be cut in parts: {error}."))?;
    let parts = stage.join("parts.js");
    write(&parts, one_at_a_time(&String::from_utf8_lossy(&read(&parts)?))?)?;

    let mut bindgen = wasm_bindgen_cli_support::Bindgen::new();
    let made =
        bindgen.input_path(&main).out_name(NAME).typescript(false).demangle(false).keep_lld_exports(true).web(true);
    made.and_then(|made| made.generate(&stage))
        .map_err(|error| format!("The bridge to the browser can't be made: {error:?}."))?;
    fs::remove_file(&main).map_err(|error| error.to_string())?;

    // The largest first, as many at a time as there are processors: most of the time goes into the few large ones.
    let mut files = files(&stage)?;
    files.sort_by_key(|file| std::cmp::Reverse(fs::metadata(file).map_or(0, |data| data.len())));
    let (next, workers) = (AtomicUsize::new(0), thread::available_parallelism().map_or(1, usize::from));
    let work = || {
        while let Some(file) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
            shrink(file, &folder.join(file.strip_prefix(&stage).unwrap_or(file)), make)?;
        }
        Ok(())
    };
    thread::scope(|scope| {
        let running: Vec<_> = (0..workers).map(|_| scope.spawn(work)).collect();
        running.into_iter().try_for_each(|one| one.join().expect("a worker tells of its trouble"))
    })
}

/// Thirty requests in one turn of the browser would hold up whoever taps meanwhile: one in each turn.
fn one_at_a_time(parts: &str) -> Result<String> {
    const REQUEST: &str = "= fetch(new URL(";
    if !parts.contains(REQUEST) {
        return Err(
            "The parts of the program are not asked for as they were: one_at_a_time must be written anew.".into()
        );
    }
    const IN_TURN: &str = "
let asked = Promise.resolve();
const nextTurn = () => new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => { port1.close(); done(); };
    port2.postMessage(0);
});
function fetchInTurn(address) {
    const response = asked.then(() => fetch(address));
    asked = asked.then(nextTurn);
    return response;
}
";
    Ok(parts.replace(REQUEST, "= fetchInTurn(new URL(") + IN_TURN)
}

fn shrink(file: &Path, target: &Path, make: Make) -> Result<()> {
    make_folder(target.parent().unwrap_or(target))?;
    match file.extension().and_then(|end| end.to_str()) {
        Some("wasm") if make == Make::Quick => {
            fs::copy(file, target).map(|_| ()).map_err(|error| format!("{}: {error}.", target.display()))
        }
        Some("wasm") => {
            let mut opt = Command::new(tools::wasm_opt()?);
            run(opt.arg("-Oz").arg(INLINED).args(WASM_FEATURES).arg(file).arg("-o").arg(target).env("PATH", path()))
        }
        _ => shorten(file, target, "--minify"),
    }
}

/// JavaScript made shorter, as esbuild's `--minify…` says; a file may take its own place.
pub fn shorten(script: &Path, to: &Path, how: &str) -> Result<()> {
    let mut esbuild = Command::new(tools::esbuild()?);
    esbuild.args([how, "--format=esm", "--log-level=error", "--allow-overwrite"]).arg(script);
    run(esbuild.arg(format!("--outfile={}", to.display())).env("PATH", path()))
}

fn folders(inside: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(inside).into_iter().flatten().flatten();
    entries.map(|entry| entry.path()).filter(|path| path.is_dir()).collect()
}
