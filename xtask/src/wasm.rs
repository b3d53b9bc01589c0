//! A Rust compiler that can build for the browser: which one, and how to get it.

use crate::{
    place::{self, cache, can_apt, find, log, wasm_target},
    say::{Result, answer, make_folder, run_quietly, step, write},
    tools::apt,
};
use std::{
    fs,
    path::{Path, PathBuf},
    process::{Command, Stdio},
};

pub const TARGET: &str = "wasm32-unknown-unknown";
/// Debian's Rust for building web browsers: newer than its ordinary one, and with the library sources.
const DEBIANS: &str = "/usr/bin/rustc";

/// The compiler the app is built with, made ready if need be.
pub fn compiler() -> Result<PathBuf> {
    let usual = find("rustc").ok_or("There is no Rust compiler. Install Rust from https://rustup.rs")?;
    let debians = Path::new(DEBIANS);
    for rustc in [usual.as_path(), debians] {
        if builds(rustc) {
            println!("  ✓ Rust for {TARGET}: {} has it", rustc.display());
            return Ok(rustc.to_path_buf());
        }
    }
    if let Some(rustup) = find("rustup") {
        let add = || run_quietly(Command::new(rustup).args(["target", "add", TARGET]), &log("rustup"));
        match step(&format!("rustup target add {TARGET}"), || false, add) {
            Ok(()) if builds(&usual) => return Ok(usual),
            _ => println!("    rustup could not add it; trying Debian's packages"),
        }
    }
    if can_apt() {
        apt("Debian's Rust for web browsers", &["rustc-web", "rust-web-src", "rust-web-llvm"])?;
        apt("the linker it was built with", &[&linker()?])?;
        step(&format!("standard library for {TARGET}"), || builds(debians), || lay_in_standard_library(debians))?;
        return Ok(debians.to_path_buf());
    }
    Err(format!(
        "Rust's standard library for {TARGET} is missing. Run `rustup target add {TARGET}`, or on Debian run this once as root."
    ))
}

/// Whether this compiler can build a program for the browser: the surest way to know is to try.
fn builds(rustc: &Path) -> bool {
    let mut probe = Command::new(rustc);
    probe.args(["--edition=2024", "--crate-type=cdylib", "--crate-name=probe", "--target", TARGET, "-o"]);
    probe.arg(std::env::temp_dir().join(format!("tailplate-probe-{}.wasm", std::process::id()))).arg("-");
    let Ok(mut child) = probe.stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::null()).spawn() else {
        return false;
    };
    if let Some(mut words) = child.stdin.take() {
        let _ = std::io::Write::write_all(
            &mut words,
            b"#[unsafe(no_mangle)] pub extern \"C\" fn probe() -> Box<u8> { Box::new(1) }",
        );
    }
    let built = child.wait().is_ok_and(|status| status.success());
    let _ = fs::remove_file(std::env::temp_dir().join(format!("tailplate-probe-{}.wasm", std::process::id())));
    built
}

/// The package of the linker that Debian's compiler calls, such as `lld-19`.
fn linker() -> Result<String> {
    let link = fs::read_link("/usr/bin/rust-lld").ok();
    let name = link.as_ref().and_then(|path| path.file_name()).and_then(|name| name.to_str());
    name.map(str::to_string)
        .ok_or("/usr/bin/rust-lld is missing; `apt-get install --reinstall rust-web-llvm` brings it back.".to_string())
}

/// Debian ships the library's source without a build for the browser: build it once from an empty crate, and lay it into the compiler's
/// own folder. Bitcode has to be embedded for link time optimisation.
fn lay_in_standard_library(rustc: &Path) -> Result<()> {
    let empty = cache().join("std-wasm");
    let _ = fs::remove_dir_all(empty.join("target"));
    write(
        &empty.join("Cargo.toml"),
        "[package]\nname = \"empty\"\nversion = \"0.0.0\"\nedition = \"2024\"\n[workspace]\n",
    )?;
    write(&empty.join("src/lib.rs"), "")?;
    let mut cargo = place::plain_cargo();
    cargo.current_dir(&empty).env("RUSTC", rustc).env("RUSTC_BOOTSTRAP", "1").env("RUSTFLAGS", "-Cembed-bitcode=yes");
    cargo.args([
        "build",
        "--release",
        "-Zbuild-std=std,panic_abort,test",
        "--target",
        TARGET,
        "--target-dir",
        "target",
    ]);
    run_quietly(&mut cargo, &log("std-wasm"))?;

    let sysroot = answer(Command::new(rustc).args(["--print", "sysroot"]))
        .ok_or("the compiler does not say where its libraries are")?;
    let libraries = Path::new(&sysroot).join("lib/rustlib").join(TARGET).join("lib");
    let _ = fs::remove_dir_all(&libraries);
    make_folder(&libraries)?;
    let built = empty.join("target").join(TARGET).join("release/deps");
    for file in fs::read_dir(&built).map_err(|error| format!("{}: {error}", built.display()))?.flatten() {
        let name = file.file_name().to_string_lossy().into_owned();
        if name.ends_with(".rlib") && !name.starts_with("libempty") {
            fs::copy(file.path(), libraries.join(&name))
                .map_err(|error| format!("{name} cannot be copied to {}: {error}", libraries.display()))?;
        }
    }
    // What was compiled against another standard library would not be found again.
    let _ = fs::remove_dir_all(wasm_target());
    if builds(rustc) {
        Ok(())
    } else {
        Err(format!("the library was laid into {}, yet a probe does not build.", libraries.display()))
    }
}
