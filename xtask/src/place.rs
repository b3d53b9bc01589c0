//! Where things are kept: the clone, and the tools and build caches that outlive it.

use crate::say::answer;
use std::{env, path::PathBuf, process::Command};

/// The root of the clone.
pub fn root() -> PathBuf {
    // As cargo says at this run, not when it was built: several clones may share one cache.
    let here = env::var_os("CARGO_MANIFEST_DIR").map_or_else(|| env!("CARGO_MANIFEST_DIR").into(), PathBuf::from);
    here.parent().expect("xtask lies in the workspace").to_path_buf()
}

/// `$TAILPLATE_CACHE`, else `$XDG_CACHE_HOME/tailplate`, else `~/.cache/tailplate`.
pub fn cache() -> PathBuf {
    let set = |name| env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    set("TAILPLATE_CACHE")
        .or_else(|| Some(set("XDG_CACHE_HOME")?.join("tailplate")))
        .or_else(|| Some(set("HOME").or_else(|| set("USERPROFILE"))?.join(".cache/tailplate")))
        .unwrap_or_else(|| root().join("target/cache"))
}

/// Where the shop is kept by `cargo xtask run`: `$TAILPLATE_DATA`, else with the person's own data.
pub fn data() -> PathBuf {
    let set = |name| env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    set("TAILPLATE_DATA")
        .or_else(|| Some(set("XDG_DATA_HOME")?.join("tailplate")))
        .or_else(|| Some(set("HOME").or_else(|| set("USERPROFILE"))?.join(".local/share/tailplate")))
        .unwrap_or_else(|| cache().join("shop"))
}

/// Where native builds go: `$CARGO_TARGET_DIR` if set.
pub fn target() -> PathBuf {
    env::var_os("CARGO_TARGET_DIR").map_or_else(|| cache().join("target"), PathBuf::from)
}

/// Where the app is built: apart from the native builds, since its compiler may be another one.
pub fn wasm_target() -> PathBuf {
    target().join("wasm")
}

/// The finished app, as the hub serves it.
pub fn dist() -> PathBuf {
    root().join("dist")
}

pub fn log(name: &str) -> PathBuf {
    cache().join("logs").join(name).with_extension("log")
}

/// The hub's program, as `cargo build --release` leaves it.
pub fn hub() -> PathBuf {
    target().join("release").join(format!("tailplate{}", env::consts::EXE_SUFFIX))
}

/// The cargo that runs this program.
pub fn plain_cargo() -> Command {
    Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// Cargo for native code, building into the cache. The compiler of the app's build is kept away from it.
pub fn cargo() -> Command {
    let mut command = plain_cargo();
    command.current_dir(root()).env("CARGO_TARGET_DIR", target()).env_remove("RUSTC").env("PATH", path());
    command
}

/// `PATH` with the tools of the cache in front, and last where Debian keeps PostgreSQL's own programs.
pub fn path() -> std::ffi::OsString {
    let tools = [cache().join("tools/bin"), cache().join("npm/node_modules/.bin")];
    let others = env::var_os("PATH").unwrap_or_default();
    let versions = std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let postgres = versions.map(|version| version.path().join("bin"));
    env::join_paths(tools.into_iter().chain(env::split_paths(&others)).chain(postgres)).unwrap_or(others)
}

/// The first program of this name in [`path`].
pub fn find(name: &str) -> Option<PathBuf> {
    env::split_paths(&path())
        .map(|folder| folder.join(format!("{name}{}", env::consts::EXE_SUFFIX)))
        .find(|file| file.is_file())
}

/// Whether packages can be installed with apt without asking anybody.
pub fn can_apt() -> bool {
    find("apt-get").is_some() && answer(Command::new("id").arg("-u")).as_deref() == Some("0")
}
