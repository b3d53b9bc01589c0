//! Where the packs come from: inside the binary, or a folder named on the command line.

use std::path::{Path, PathBuf};

use include_dir::{Dir, include_dir};
use tailplate_core::reference::{Listed, Reference};

/// The packs as they were when this binary was built.
static BUILT_IN: Dir = include_dir!("$CARGO_MANIFEST_DIR/../public/reference");

/// Which packs to use.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    /// A folder with its own `packs.json`, in place of those built in.
    pub folder: Option<PathBuf>,
    /// Also the packs of invented makers.
    pub practice: bool,
}

/// Loads the chosen packs.
///
/// # Errors
/// A sentence naming the file, or the fault of a pack.
pub fn load(choice: &Choice) -> Result<Reference, String> {
    let packs = read(choice)?;
    Reference::load(packs.iter().map(|(name, text)| (name.as_str(), text.as_str()))).map_err(|error| error.to_string())
}

/// `(name, json)` of each chosen pack, in the order of the list.
pub fn read(choice: &Choice) -> Result<Vec<(String, String)>, String> {
    let text = |file: &str| match &choice.folder {
        Some(folder) => from_folder(folder, file),
        None => BUILT_IN
            .get_file(file)
            .and_then(|file| file.contents_utf8())
            .map(str::to_owned)
            .ok_or_else(|| format!("The pack {file} is not in this program.")),
    };
    let list = text("packs.json")?;
    let list = Listed::read(&list).map_err(|error| error.to_string())?;
    let wanted = list.into_iter().filter(|pack| choice.practice || !pack.invented);
    wanted.map(|pack| Ok((pack.file.clone(), text(&pack.file)?))).collect()
}

fn from_folder(folder: &Path, file: &str) -> Result<String, String> {
    let path = folder.join(file);
    std::fs::read_to_string(&path).map_err(|error| format!("{} can't be read: {error}.", path.display()))
}
