//! The built app as a fixed set of files: what each is called, what type it has and how long it may be kept.
//!
//! The folder is read once at start. A request is answered by looking its path up in that set, so no trick with dots,
//! slashes or links can reach anything else, and a build under way in the folder is never served half.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use base64::Engine;
use base64::engine::general_purpose::STANDARD as BASE64;
use hyper::body::Bytes;
use sha2::{Digest, Sha256};

/// One file of the app.
pub struct Asset {
    pub content_type: &'static str,
    /// True where the name changes with the content, so that a browser may keep it for good.
    pub immutable: bool,
    pub plain: Encoded,
    /// From the `.br` file beside it.
    pub brotli: Option<Encoded>,
}

/// The bytes of one file in one encoding.
pub struct Encoded {
    pub bytes: Bytes,
    /// Strong entity tag, with its quotes; each encoding has its own.
    pub etag: String,
}

/// The built app.
pub struct Site {
    assets: BTreeMap<String, Asset>,
    /// The content security policy that goes with every answer.
    pub policy: String,
}

impl Site {
    /// Reads the folder. Links and names that begin with a dot are left out.
    pub fn read(folder: &Path) -> Result<Self, String> {
        let told = |path: &Path, error: std::io::Error| format!("{} can't be read: {error}.", path.display());
        let mut files = BTreeMap::new();
        let mut folders = vec![(folder.to_owned(), String::new())];
        while let Some((folder, prefix)) = folders.pop() {
            for entry in fs::read_dir(&folder).map_err(|e| told(&folder, e))? {
                let entry = entry.map_err(|e| told(&folder, e))?;
                let Ok(name) = entry.file_name().into_string() else {
                    continue;
                };
                // `file_type` does not follow links, so a link is neither file nor folder here.
                let kind = entry.file_type().map_err(|e| told(&entry.path(), e))?;
                if name.starts_with('.') {
                    continue;
                }
                let path = format!("{prefix}/{name}");
                if kind.is_dir() {
                    folders.push((entry.path(), path));
                } else if kind.is_file() {
                    files.insert(path, fs::read(entry.path()).map_err(|e| told(&entry.path(), e))?);
                }
            }
        }
        if !files.contains_key("/index.html") {
            return Err(format!(
                "There is no built app in {} (no index.html): build it with `cargo xtask run`, or name its folder \
                 with --app.",
                folder.display()
            ));
        }
        Ok(Self::from_files(files))
    }

    fn from_files(mut files: BTreeMap<String, Vec<u8>>) -> Self {
        let policy = policy(&String::from_utf8_lossy(files.get("/index.html").map_or(&[], Vec::as_slice)));
        let compressed: BTreeMap<String, Vec<u8>> = files.extract_if(.., |path, _| path.ends_with(".br")).collect();
        let mut assets = BTreeMap::new();
        for (path, bytes) in files {
            let hash = &hex(&Sha256::digest(&bytes))[..32];
            let brotli = compressed
                .get(&format!("{path}.br"))
                .map(|bytes| Encoded { bytes: bytes.clone().into(), etag: format!("\"{hash}-br\"") });
            let asset = Asset {
                content_type: content_type(&path),
                immutable: has_content_hash(&path),
                plain: Encoded { bytes: bytes.into(), etag: format!("\"{hash}\"") },
                brotli,
            };
            assets.insert(path, asset);
        }
        Self { assets, policy }
    }

    /// The file at a decoded path; `/` is the shell.
    pub fn asset(&self, path: &str) -> Option<&Asset> {
        self.assets.get(if path == "/" { "/index.html" } else { path })
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The media type by the ending of the name.
fn content_type(path: &str) -> &'static str {
    match path.rsplit_once('.').map_or("", |(_, ending)| ending) {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        // A stream compiler takes this type only when it stands alone.
        "wasm" => "application/wasm",
        "json" | "map" => "application/json",
        "json-seq" => "application/json-seq",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "webp" => "image/webp",
        "avif" => "image/avif",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "txt" | "md" => "text/plain; charset=utf-8",
        "pdf" => "application/pdf",
        _ => "application/octet-stream",
    }
}

/// The build puts `-` and sixteen hex digits of the content into a name: `code-0123456789abcdef/tailplate.js`.
fn has_content_hash(path: &str) -> bool {
    path.split('/').any(|name| {
        name.split('-').skip(1).any(|rest| {
            let digits = rest.bytes().take_while(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(b)).count();
            digits == 16 && !rest[16..].starts_with(|c: char| c.is_ascii_alphanumeric())
        })
    })
}

/// Nothing but the app's own files, and the inline scripts that were in the page when it was built.
fn policy(index_html: &str) -> String {
    let scripts: String = inline_scripts(index_html)
        .map(|script| format!(" 'sha256-{}'", BASE64.encode(Sha256::digest(script))))
        .collect();
    format!(
        "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'{scripts}; style-src 'self'; \
         img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; font-src 'self'; \
         object-src 'none'; base-uri 'none'; form-action 'self'; frame-src 'none'; frame-ancestors 'none'"
    )
}

/// Text of each script element that has no `src`, as a browser hashes it (line ends as `\n`).
fn inline_scripts(html: &str) -> impl Iterator<Item = String> {
    let html = html.replace("\r\n", "\n");
    let lower = html.to_ascii_lowercase();
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(open) = lower[at..].find("<script").map(|i| at + i) {
        let Some(body) = lower[open..].find('>').map(|i| open + i + 1) else {
            break;
        };
        let Some(close) = lower[body..].find("</script").map(|i| body + i) else {
            break;
        };
        let has_src = lower[open..body].split_ascii_whitespace().any(|word| word.starts_with("src="));
        if !has_src {
            found.push(html[body..close].to_owned());
        }
        at = close;
    }
    found.into_iter()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_builds_hash_makes_a_file_immutable() {
        assert!(has_content_hash("/tailplate-0123456789abcdef.js"));
        assert!(has_content_hash("/code-0123456789abcdef/tailplate_bg.wasm"));
        for kept_fresh in ["/index.html", "/sw.js", "/a-0123456789abcde.js", "/a-0123456789abcdef0.js", "/-x-0123/b.js"]
        {
            assert!(!has_content_hash(kept_fresh), "{kept_fresh}");
        }
    }

    #[test]
    fn inline_scripts_are_hashed_and_linked_ones_are_not() {
        let html = "<SCRIPT type=module>let a=1;\r\n</SCRIPT><script src=\"x.js\"></script><script>b()</script>";
        assert_eq!(inline_scripts(html).collect::<Vec<_>>(), ["let a=1;\n", "b()"]);
        let hash = BASE64.encode(Sha256::digest("b()"));
        assert!(policy(html).contains(&format!("'sha256-{hash}'")), "{}", policy(html));
    }
}
