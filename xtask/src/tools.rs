//! The programs that the build and the tests need, each fetched once into the cache.

use crate::{
    place::{cache, can_apt, cargo, find, log, path},
    say::{Result, answer, make_folder, run_quietly, step},
};
use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
};

const BINARYEN: &str = "132.0.0";
const ESBUILD: &str = "0.28.2";
const GECKODRIVER: &str = "0.37.1";
const LIGHTHOUSE: &str = "13.5.0";
const S3RVER: &str = "3.7.1";

/// What the build needs besides a compiler.
pub fn for_building() -> Result<()> {
    from_npm("binaryen", BINARYEN, "wasm-opt")?;
    from_npm("esbuild", ESBUILD, "esbuild")
}

/// What the journeys need besides: three browsers and the programs that drive them.
pub fn for_browsers() -> Result<()> {
    let wanted = std::env::var("TAILPLATE_ENGINES").unwrap_or_else(|_| "chromium firefox webkit".into());
    from_apt("a reader of PDF", &["pdftoppm", "pdftotext", "pdfinfo"], &["poppler-utils"])?;
    if wanted.contains("chromium") {
        from_apt("Chromium and its driver", &["chromium", "chromedriver"], &["chromium", "chromium-driver"])?;
    }
    if wanted.contains("firefox") {
        if find("firefox").is_none() {
            from_apt("Firefox", &["firefox-esr"], &["firefox-esr"])?;
        }
        from_cargo("geckodriver", GECKODRIVER)?;
    }
    if wanted.contains("webkit") {
        from_apt(
            "WebKitGTK's driver and a screen for it",
            &["WebKitWebDriver", "Xvfb"],
            &["webkit2gtk-driver", "xvfb"],
        )?;
    }
    Ok(())
}

/// What an outgrown shop is kept on: PostgreSQL, and a server that speaks the S3 protocol.
pub fn for_stores() -> Result<()> {
    from_apt("PostgreSQL", &["initdb", "postgres"], &["postgresql"])?;
    from_npm("s3rver", S3RVER, "s3rver")
}

/// Lighthouse, which judges speed, accessibility and good practice.
pub fn for_lighthouse() -> Result<()> {
    from_npm("lighthouse", LIGHTHOUSE, "lighthouse")
}

/// A tool of crates.io, of exactly this version.
fn from_cargo(tool: &str, version: &str) -> Result<()> {
    let there = || {
        let said = find(tool).and_then(|tool| answer(Command::new(tool).arg("--version")));
        said.is_some_and(|said| said.split_whitespace().nth(1) == Some(version))
    };
    step(&format!("{tool} {version}"), there, || {
        let mut install = cargo();
        install.args(["install", tool, "--version", version, "--force", "--root"]).arg(cache().join("tools"));
        install.env("CARGO_TARGET_DIR", cache().join("target-tools"));
        run_quietly(&mut install, &log(tool)).map_err(|problem| format!("{problem}\n    Is the network there?"))
    })
}

/// A tool of npm, of exactly this version.
fn from_npm(package: &str, version: &str, tool: &str) -> Result<()> {
    let folder = cache().join("npm");
    let manifest = folder.join("node_modules").join(package).join("package.json");
    let there =
        || fs::read_to_string(&manifest).is_ok_and(|text| text.contains(&format!("\"version\": \"{version}\"")));
    if find("npm").is_none() {
        from_apt("Node.js with npm", &["node", "npm"], &["nodejs", "npm"])?;
    }
    step(&format!("{tool} ({package} {version})"), there, || {
        make_folder(&folder)?;
        let npm = find("npm").ok_or("npm is missing. Install Node.js from https://nodejs.org")?;
        let mut install = Command::new(npm);
        install
            .args(["install", "--no-audit", "--no-fund", "--prefix"])
            .arg(&folder)
            .arg(format!("{package}@{version}"));
        run_quietly(install.env("PATH", path()), &log(package))
            .map_err(|problem| format!("{problem}\n    Is the network there?"))
    })
}

/// Programs that come with the system: installed where that needs nobody's leave, asked for otherwise.
fn from_apt(what: &str, programs: &[&str], packages: &[&str]) -> Result<()> {
    let missing: Vec<&str> = programs.iter().copied().filter(|program| find(program).is_none()).collect();
    if missing.is_empty() {
        println!("  ✓ {what}: already there");
        return Ok(());
    }
    if !can_apt() {
        return Err(format!(
            "{what}: {} is missing. On Debian or Ubuntu: sudo apt-get install {}",
            missing.join(", "),
            packages.join(" ")
        ));
    }
    apt(what, packages)
}

/// Installs Debian packages; only as root.
pub fn apt(what: &str, packages: &[&str]) -> Result<()> {
    let there = || {
        let status = answer(Command::new("dpkg-query").args(["-W", "-f", "${db:Status-Abbrev}\n"]).args(packages));
        status.is_some_and(|status| status.lines().all(|line| line.starts_with("ii")))
    };
    step(&format!("{what} ({})", packages.join(" ")), there, || {
        let apt = |words: &[&str]| {
            let mut command = Command::new("apt-get");
            run_quietly(command.args(words).env("DEBIAN_FRONTEND", "noninteractive"), &log("apt"))
        };
        apt(&["update", "-q"])?;
        apt(&[&["install", "-y", "-q"], packages].concat())
    })
}

/// wasm-opt, which makes the app's code smaller.
pub fn wasm_opt() -> Result<PathBuf> {
    npm_tool("wasm-opt")
}

/// esbuild, which makes the bridge to the browser shorter.
pub fn esbuild() -> Result<PathBuf> {
    npm_tool("esbuild")
}

fn npm_tool(name: &str) -> Result<PathBuf> {
    let tool: &Path = &cache().join("npm/node_modules/.bin").join(name);
    if tool.exists() { Ok(tool.to_path_buf()) } else { Err(format!("{name} is missing. Run `cargo xtask setup`.")) }
}
