//! From the sources to `dist`, the folder the hub serves: Trunk builds the app into a stage, and what Trunk cannot do is done on the way
//! from the stage to `dist`. Nothing in the stage is changed, so the names Trunk gave stay true to what it built.

use crate::{
    place::{dist, find, path, root, wasm_target},
    say::{Result, always, make_folder, read, run, step, write},
    sizes, tools, wasm, worker,
};
use sha2::{Digest, Sha256};
use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
};
use tailplate_core::{drawing, reference::Reference};

/// Builds the app, ready to be served.
pub fn build() -> Result<()> {
    let rustc = wasm::compiler()?;
    tools::for_building()?;
    let stage = wasm_target().join("stage");
    always("the app, compiled by Trunk", || {
        let mut trunk = Command::new(find("trunk").ok_or("trunk is missing. Run `cargo xtask setup`.")?);
        trunk.current_dir(root()).args(["build", "--release", "--dist"]).arg(&stage);
        // Flags from outside would replace those of .cargo/config.toml.
        trunk.env("RUSTC", rustc).env("PATH", path()).env("CARGO_TARGET_DIR", wasm_target()).env_remove("RUSTFLAGS");
        run(trunk.env_remove("NO_COLOR"))
    })?;

    let public = root().join("public");
    let inputs = fingerprint(&[&stage, &public])?;
    let note = wasm_target().join("dist-inputs");
    let same = || fs::read_to_string(&note).is_ok_and(|noted| noted == inputs) && dist().join("sw.js").exists();
    step("dist: smaller code, packs, service worker, compressed copies", same, || {
        let _ = fs::remove_dir_all(dist());
        copy(&stage, &dist())?;
        copy(&public, &dist())?;
        for file in files(&dist())? {
            match file.extension().and_then(|end| end.to_str()) {
                Some("wasm") => make_smaller(&file)?,
                Some("json" | "webmanifest") => write(&file, without_spaces(&String::from_utf8_lossy(&read(&file)?)))?,
                _ => {}
            }
        }
        draw_first_screen()?;
        worker::write_list(&dist())?;
        sizes::compress(&dist())?;
        write(&note, &inputs)
    })?;
    sizes::table(&dist())
}

/// Every file below a folder, in order.
pub fn files(folder: &Path) -> Result<Vec<PathBuf>> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Ok(Vec::new());
    };
    let mut found = Vec::new();
    for entry in entries.flatten() {
        if entry.path().is_dir() {
            found.extend(files(&entry.path())?);
        } else {
            found.push(entry.path());
        }
    }
    found.sort();
    Ok(found)
}

/// A file's address below a folder, with `/` on every system.
pub fn address(file: &Path, folder: &Path) -> String {
    let parts = file.strip_prefix(folder).unwrap_or(file).components();
    parts.map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    for file in files(from)? {
        let target = to.join(file.strip_prefix(from).unwrap_or(&file));
        make_folder(target.parent().unwrap_or(to))?;
        fs::copy(&file, &target)
            .map_err(|error| format!("{} cannot be copied to {}: {error}.", file.display(), target.display()))?;
    }
    Ok(())
}

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

/// The kinds of reel as the app's first screen shows them, into the page itself: seen at once, taps come with the app.
fn draw_first_screen() -> Result<()> {
    let questions = String::from_utf8_lossy(&read(&dist().join("reference/questions.json"))?).into_owned();
    let reference = Reference::load([("questions.json", questions.as_str())]).map_err(|error| error.to_string())?;
    let kinds = reference.feature("reel_kind").ok_or("questions.json has no question reel_kind.")?;
    let mut html =
        String::from("<main><section class=\"paper\"><h1>What kind of reel is it?</h1><div class=\"kinds\">");
    for kind in &kinds.states {
        let picture = drawing::kind_picture(&kind.id);
        let label = kind.label.replace('&', "&amp;").replace('<', "&lt;");
        html.push_str(&format!(
            "<div class=\"choice\" data-kind=\"{}\"><span class=\"picture\">{picture}</span><span>{label}</span></div>",
            kind.id
        ));
    }
    html.push_str("</div></section></main>");
    let page = dist().join("index.html");
    let text = String::from_utf8_lossy(&read(&page)?).into_owned();
    if !text.contains(FIRST_SCREEN) {
        return Err(format!("app/index.html has no place for the first screen: {FIRST_SCREEN}."));
    }
    write(&page, text.replace(FIRST_SCREEN, &html))
}

const FIRST_SCREEN: &str = "<!-- first screen -->";

fn make_smaller(file: &Path) -> Result<()> {
    let smaller = wasm_target().join("smaller.wasm");
    let mut opt = Command::new(tools::wasm_opt()?);
    run(opt.arg("-Oz").args(WASM_FEATURES).arg(file).arg("-o").arg(&smaller).env("PATH", path()))?;
    write(file, read(&smaller)?)
}

/// JSON without the white space between its parts; strings stay as they are.
fn without_spaces(json: &str) -> String {
    let (mut in_string, mut escaped) = (false, false);
    json.chars()
        .filter(|&c| {
            let keep = in_string || !c.is_ascii_whitespace();
            if c == '"' && !escaped {
                in_string = !in_string;
            }
            escaped = c == '\\' && !escaped;
            keep
        })
        .collect()
}

/// Changes when any file of these folders, or the program that finishes them, changes.
fn fingerprint(folders: &[&Path]) -> Result<String> {
    let mut hash = Sha256::new();
    for folder in folders {
        for file in files(folder)? {
            hash.update(address(&file, folder));
            hash.update(Sha256::digest(read(&file)?));
        }
    }
    hash.update(read(&std::env::current_exe().map_err(|error| error.to_string())?)?);
    Ok(hex(&hash.finalize()))
}

pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_loses_its_spaces_but_not_those_in_strings() {
        assert_eq!(without_spaces("{ \"a b\" : [ 1 ,\n 2 ] }"), "{\"a b\":[1,2]}");
        assert_eq!(without_spaces(r#"[ "a \" b" , "c\\" , 1 ]"#), r#"["a \" b","c\\",1]"#);
    }
}
