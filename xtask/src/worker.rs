//! The service worker's list of files: what it keeps on the device, with the hash it checks each file by.

use crate::{
    code,
    dist::{address, files, hex},
    say::{Result, read, write},
};
use sha2::{Digest, Sha256};
use std::path::Path;

const WORKER: &str = "sw.js";
/// Digits of a file's hash in the list. They tell one version's file from another's; against forgery they guard nothing,
/// since list and files come from one place.
const DIGITS: usize = 16;

/// Fills the version and the list into `sw.js`, after every other file is as it will be served.
pub fn write_list(dist: &Path) -> Result<()> {
    let mut listed = Vec::new();
    for file in files(dist)? {
        let url = address(&file, dist);
        if url != WORKER {
            listed.push((url, hex(&Sha256::digest(read(&file)?))));
        }
    }
    let page = String::from_utf8_lossy(&read(&dist.join("index.html"))?).into_owned();
    for named in names(&page) {
        if named != WORKER && !listed.iter().any(|(url, _)| *url == named) {
            return Err(format!("index.html names {named}, which is not in dist. Offline it would be missing."));
        }
    }
    let template = String::from_utf8_lossy(&read(&dist.join(WORKER))?).into_owned();
    write(&dist.join(WORKER), fill(&template, &listed)?)?;
    code::shorten(&dist.join(WORKER), &dist.join(WORKER), "--minify-whitespace")
}

fn fill(template: &str, listed: &[(String, String)]) -> Result<String> {
    let rows: Vec<String> =
        listed.iter().map(|(url, hash)| format!("[{url:?},\"{}\"]", &hash[..hash.len().min(DIGITS)])).collect();
    // The worker itself is part of the version: a change in it alone must reach the devices too.
    let version = hex(&Sha256::digest(template.to_string() + &rows.concat()))[..12].to_string();
    let (files_slot, version_slot) = ("/*FILES*/[]", "/*VERSION*/\"dev\"");
    for slot in [files_slot, version_slot] {
        if !template.contains(slot) {
            return Err(format!("public/{WORKER} has no `{slot}` for the build to fill."));
        }
    }
    Ok(template.replacen(files_slot, &format!("[\n{}\n]", rows.join(",\n")), 1).replacen(
        version_slot,
        &format!("\"{version}\""),
        1,
    ))
}

/// The files that a page names in quotes, by their endings.
fn names(page: &str) -> Vec<String> {
    let ends = [".js", ".wasm", ".css", ".svg", ".png", ".ico", ".json", ".json-seq", ".webmanifest", ".woff2"];
    let quoted = page.split(['"', '\'']).filter(|words| ends.iter().any(|end| words.ends_with(end)));
    let local = quoted.filter(|words| !words.contains("://") && !words.contains(char::is_whitespace));
    local.map(|words| words.trim_start_matches("./").trim_start_matches('/').to_string()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEMPLATE: &str = "const VERSION = /*VERSION*/\"dev\";\nconst FILES = /*FILES*/[];\n";

    #[test]
    fn the_list_and_its_version_are_filled_in() {
        let listed = |hash: &str| vec![("index.html".to_string(), hash.to_string())];
        let one = fill(TEMPLATE, &listed("aa")).unwrap();
        assert!(one.contains("[\"index.html\",\"aa\"]"), "{one}");
        assert!(!one.contains("dev"), "{one}");
        let first_line = |text: &str| text.lines().next().unwrap().to_string();
        assert_ne!(first_line(&one), first_line(&fill(TEMPLATE, &listed("ab")).unwrap()));
        assert!(fill("const FILES = [];", &[]).unwrap_err().contains("/*FILES*/[]"));
    }

    #[test]
    fn what_a_page_names_is_found() {
        let page = "<link href=\"/a.css\"><script>import i from './b-1.js'; i('/c.wasm')</script><a href=\"https://x.example/d.js\">";
        assert_eq!(names(page), ["a.css", "b-1.js", "c.wasm"]);
    }
}
