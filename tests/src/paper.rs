//! What comes out of the printer, read back.

use std::fs;
use std::process::Command;

use tailplate_core::tag::{self, Grey};

use crate::{Browser, process::Folder};

/// A printed page: how large it is, and what its text says.
pub struct Printed {
    pub pages: usize,
    pub text: String,
    /// Codes of the tags on it, read from its picture at 300 dots an inch.
    pub tags: Vec<String>,
}

/// Prints the page that is shown. `tags`: also look for tags, each in its own part of the page as `(columns, rows)`.
pub fn print(browser: &Browser, tags: Option<(usize, usize)>) -> Printed {
    let folder = Folder::new();
    let (pdf, picture) = (folder.path.join("page.pdf"), folder.path.join("page"));
    fs::write(&pdf, browser.print()).expect("the PDF can be written");
    let run = |program: &str, arguments: &[&str]| {
        let output = Command::new(program).args(arguments).output();
        let output = output.unwrap_or_else(|error| panic!("{program} (of poppler-utils): {error}"));
        assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let pdf = pdf.to_str().expect("a plain path");
    let info = run("pdfinfo", &[pdf]);
    let pages =
        info.lines().find_map(|line| line.strip_prefix("Pages:")).and_then(|n| n.trim().parse().ok()).unwrap_or(0);
    // Some letters are printed as one.
    let text = run("pdftotext", &["-layout", pdf, "-"]).replace('ﬁ', "fi").replace('ﬀ', "ff").replace('ﬂ', "fl");
    let mut found = Vec::new();
    if let Some((columns, rows)) = tags {
        run(
            "pdftoppm",
            &["-r", "300", "-gray", "-f", "1", "-l", "1", "-singlefile", pdf, picture.to_str().expect("a plain path")],
        );
        let image = fs::read(picture.with_extension("pgm")).expect("a picture of the page");
        let (width, height, grey) = pgm(&image);
        for row in 0..rows {
            for column in 0..columns {
                let (left, top) = (width * column / columns, height * row / rows);
                let (w, h) = (width / columns, height / rows);
                let part: Vec<u8> =
                    (top..top + h).flat_map(|y| &grey[y * width + left..y * width + left + w]).copied().collect();
                found.extend(tag::scan(Grey { width: w, height: h, values: &part }));
            }
        }
    }
    Printed { pages, text, tags: found }
}

/// A binary greyscale picture (PGM, P5): width, height, dots.
fn pgm(file: &[u8]) -> (usize, usize, &[u8]) {
    let mut words = file.splitn(5, |byte| byte.is_ascii_whitespace());
    let mut next = || std::str::from_utf8(words.next().unwrap_or_default()).unwrap_or_default().to_owned();
    assert_eq!(next(), "P5");
    let (width, height) = (next().parse().expect("a width"), next().parse().expect("a height"));
    let dots = words.nth(1).expect("dots");
    assert_eq!(dots.len(), width * height, "one byte a dot");
    (width, height, dots)
}
