//! From the sources to `dist`, the folder the hub serves.

use crate::{
    code::{self, Make},
    place::{dist, root, wasm_target},
    say::{Result, always, make_folder, read, step, write},
    sizes, tools, wasm, worker,
};
use sha2::{Digest, Sha256};
use std::{
    fs,
    path::{Path, PathBuf},
};
use tailplate_core::{
    drawing,
    reference::{Listed, Reference, sequence},
};

/// Builds the app, ready to be served.
pub fn build(make: Make) -> Result<()> {
    let rustc = wasm::compiler()?;
    tools::for_building()?;
    let mut program = PathBuf::new();
    always("the app, compiled", || {
        program = code::compile(&rustc, make)?;
        Ok(())
    })?;

    let public = root().join("public");
    let page = root().join("app/index.html");
    let styles = ["styles.css", "later.css"].map(|name| root().join("app").join(name));
    let inputs = fingerprint(&[&program, &public, &page, &styles[0], &styles[1]])?;
    let note = wasm_target().join("dist-inputs");
    let same = || fs::read_to_string(&note).is_ok_and(|noted| noted == inputs) && dist().join("sw.js").exists();
    step("dist: code in parts, packs, service worker, compressed copies", same, || {
        let _ = fs::remove_dir_all(dist());
        copy(&public, &dist())?;
        for file in files(&dist())? {
            if let Some("json" | "webmanifest") = file.extension().and_then(|end| end.to_str()) {
                write(&file, without_spaces(&String::from_utf8_lossy(&read(&file)?)))?;
            }
        }
        let loose = dist().join("code");
        code::finish(&program, &loose, make)?;
        for styles in &styles {
            write(&loose.join(styles.file_name().unwrap_or_default()), read(styles)?)?;
        }
        // All code in one folder that is called by its content: a browser may keep it for good.
        let named = format!("code-{}", &fingerprint(&[&loose])?[..16]);
        fs::rename(&loose, dist().join(&named))
            .map_err(|error| format!("{} can't be named {named}: {error}.", loose.display()))?;
        let page = String::from_utf8_lossy(&read(&page)?)
            .replace("\"code/", &format!("\"{named}/"))
            .replace("\"./code/", &format!("\"./{named}/"));
        write(&dist().join("index.html"), with_first_screen(&page)?)?;
        join_first_packs(&dist().join("reference"))?;
        worker::write_list(&dist())?;
        if make == Make::Finished {
            sizes::compress(&dist())?;
        }
        write(&note, &inputs)
    })?;
    if make == Make::Finished { sizes::table(&dist(), &program) } else { Ok(()) }
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

/// The app's first screen, the kinds of reel, into the page itself: seen at once.
fn with_first_screen(page: &str) -> Result<String> {
    let questions = String::from_utf8_lossy(&read(&dist().join("reference/questions.json"))?).into_owned();
    let reference = Reference::load([("questions.json", questions.as_str())]).map_err(|error| error.to_string())?;
    let kinds = reference.feature("reel_kind").ok_or("questions.json has no question reel_kind.")?;
    let mut html =
        String::from("<section class=\"paper\" id=\"start\"><h1>What kind of reel is it?</h1><div class=\"kinds\">");
    for kind in &kinds.states {
        let picture = drawing::kind_picture(&kind.id);
        let label = kind.label.replace('&', "&amp;").replace('<', "&lt;");
        html.push_str(&format!(
            "<button class=\"choice\" data-kind=\"{}\"><span class=\"picture\" aria-hidden=\"true\">{picture}</span>\
             <span>{label}</span></button>",
            kind.id
        ));
    }
    html.push_str("</div></section>");
    if !page.contains(FIRST_SCREEN) {
        return Err(format!("app/index.html has no place for {FIRST_SCREEN}."));
    }
    Ok(page.replace(FIRST_SCREEN, &html))
}

const FIRST_SCREEN: &str = "<!-- first screen -->";

/// The list of packs and those that naming a reel needs become one file: each file asked for delays the start.
fn join_first_packs(folder: &Path) -> Result<()> {
    let list = folder.join("packs.json");
    let text = |file: &Path| Ok::<_, String>(String::from_utf8_lossy(&read(file)?).into_owned());
    let listed = Listed::read(&text(&list)?).map_err(|error| error.to_string())?;
    let first = listed.iter().filter(|pack| pack.is_first()).map(|pack| folder.join(&pack.file));
    let files: Vec<PathBuf> = std::iter::once(list).chain(first).collect();
    let texts = files.iter().map(|file| text(file)).collect::<Result<Vec<String>>>()?;
    write(&folder.join("first.json-seq"), sequence::join(texts.iter().map(String::as_str)))?;
    files.iter().try_for_each(|file| {
        fs::remove_file(file).map_err(|error| format!("{} can't be taken out of dist: {error}.", file.display()))
    })
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

/// Changes when any of these files (of a folder: any file in it), or the program that finishes them, changes.
fn fingerprint(paths: &[&Path]) -> Result<String> {
    let mut hash = Sha256::new();
    for path in paths {
        let folder = if path.is_dir() { path } else { path.parent().unwrap_or(path) };
        let inside = if path.is_dir() { files(path)? } else { vec![path.to_path_buf()] };
        for file in inside {
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
