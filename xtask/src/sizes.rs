//! How much a phone has to download, as it travels: compressed with brotli.

use crate::{
    dist::{address, files},
    joining,
    say::{Result, read, write},
};
use std::{fs, io::Write, path::Path, thread};

/// Page, styles and the code of the first screen, in bytes.
const MOST_FOR_FIRST: u64 = 300 * 1024;
/// Each part of the code that is read later, in bytes.
const MOST_FOR_PART: u64 = 300 * 1024;
/// The reference packs, in bytes.
const MOST_FOR_PACKS: u64 = 250 * 1024;

/// Writes a `.br` beside each file that gains by it.
pub fn compress(dist: &Path) -> Result<()> {
    let ends = ["html", "js", "css", "wasm", "json", "json-seq", "svg", "webmanifest"];
    let wanted = |file: &Path| file.extension().and_then(|end| end.to_str()).is_some_and(|end| ends.contains(&end));
    let files: Vec<_> = files(dist)?.into_iter().filter(|file| wanted(file)).collect();
    let results: Vec<Result<()>> = thread::scope(|scope| {
        let running: Vec<_> = files.iter().map(|file| scope.spawn(|| compress_one(file))).collect();
        running.into_iter().map(|one| one.join().expect("compressing does not panic")).collect()
    });
    results.into_iter().collect()
}

fn compress_one(file: &Path) -> Result<()> {
    let mut packed = brotli::CompressorWriter::new(Vec::new(), 1 << 16, 11, 22);
    packed.write_all(&read(file)?).map_err(|error| error.to_string())?;
    write(Path::new(&format!("{}.br", file.display())), packed.into_inner())
}

/// Prints what weighs how much; an error if the phone would have to download too much. `program`: as the compiler left it.
pub fn table(dist: &Path, program: &Path) -> Result<()> {
    let size = |file: &Path| fs::metadata(file).map(|data| data.len()).unwrap_or(0);
    let (mut first, mut packs, mut heaviest_part) = (0, 0, 0);
    println!("\n  {:<44}{:>10}{:>10}", "file", "bytes", "brotli");
    for file in files(dist)? {
        let name = address(&file, dist);
        let packed = Path::new(&format!("{}.br", file.display())).to_path_buf();
        if !packed.exists() {
            continue;
        }
        println!("  {name:<44}{:>10}{:>10}", size(&file), size(&packed));
        if name.starts_with("reference/") {
            packs += size(&packed);
        } else if ["/split_", "/chunk_", "/later."].iter().any(|part| name.contains(part)) {
            heaviest_part = heaviest_part.max(size(&packed));
        } else if [".html", ".js", ".css", ".wasm"].iter().any(|end| name.ends_with(end)) {
            first += size(&packed);
        }
    }
    println!();
    let kilobytes = |bytes: u64| bytes as f64 / 1024.0;
    let mut heavy = Vec::new();
    for (what, bytes, most) in [
        ("page, styles and code of the first screen", first, MOST_FOR_FIRST),
        ("heaviest part read later", heaviest_part, MOST_FOR_PART),
        ("reference packs", packs, MOST_FOR_PACKS),
        ("of the code, the joining of edits", joining::weight(program)?, joining::MOST),
    ] {
        let line = format!("{what}: {:.1} KB with brotli, at most {:.0} KB", kilobytes(bytes), kilobytes(most));
        println!("  {} {line}", if bytes <= most { "✓" } else { "✗" });
        if bytes > most {
            heavy.push(line);
        }
    }
    if heavy.is_empty() { Ok(()) } else { Err(format!("The download is too heavy. {}.", heavy.join("; "))) }
}
