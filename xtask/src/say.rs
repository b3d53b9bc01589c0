//! How a step is told, timed, skipped and failed, and how another program is run.

use std::{
    fs::{self, File},
    path::Path,
    process::{Command, Stdio},
    time::Instant,
};

/// An error is one or more sentences that say what is missing and how to get it.
pub type Result<T> = std::result::Result<T, String>;

/// Runs `work` unless `done` already holds, and says which of the two it was and how long it took.
pub fn step(what: &str, done: impl FnOnce() -> bool, work: impl FnOnce() -> Result<()>) -> Result<()> {
    if done() {
        println!("  ✓ {what}: already there");
        return Ok(());
    }
    always(what, work)
}

/// A step that looks after itself what there is left to do, such as a cargo build.
pub fn always<T>(what: &str, work: impl FnOnce() -> Result<T>) -> Result<T> {
    println!("  … {what}");
    let start = Instant::now();
    let result = work().map_err(|problem| format!("{what}: {problem}"))?;
    println!("  ✓ {what}: {:.1} s", start.elapsed().as_secs_f64());
    Ok(result)
}

/// Runs a command in view of the person.
pub fn run(command: &mut Command) -> Result<()> {
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("`{}` ended with {status}.", name(command))),
        Err(error) => Err(format!("`{}` could not be started: {error}.", name(command))),
    }
}

/// Runs a command whose words are only of interest when it fails: they go to `log`, whose end is then shown.
pub fn run_quietly(command: &mut Command, log: &Path) -> Result<()> {
    let to = |file: &File| file.try_clone().map(Stdio::from).map_err(|error| error.to_string());
    if let Some(folder) = log.parent() {
        make_folder(folder)?;
    }
    let file = File::create(log).map_err(|error| format!("{} cannot be written: {error}.", log.display()))?;
    run(command.stdin(Stdio::null()).stdout(to(&file)?).stderr(to(&file)?)).map_err(|problem| {
        let text = fs::read_to_string(log).unwrap_or_default();
        let lines: Vec<&str> = text.lines().collect();
        let end = lines[lines.len().saturating_sub(15)..].join("\n    ");
        format!("{problem} Its last words (all of them are in {}):\n    {end}", log.display())
    })
}

/// What a command prints, if it can be run and succeeds.
pub fn answer(command: &mut Command) -> Option<String> {
    let output = command.stdin(Stdio::null()).stderr(Stdio::null()).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().to_string())
}

pub fn make_folder(path: &Path) -> Result<()> {
    fs::create_dir_all(path).map_err(|error| format!("The folder {} cannot be made: {error}.", path.display()))
}

pub fn read(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).map_err(|error| format!("{} cannot be read: {error}.", path.display()))
}

pub fn write(path: &Path, bytes: impl AsRef<[u8]>) -> Result<()> {
    if let Some(folder) = path.parent() {
        make_folder(folder)?;
    }
    fs::write(path, bytes).map_err(|error| format!("{} cannot be written: {error}.", path.display()))
}

fn name(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words.map(|word| word.to_string_lossy()).collect::<Vec<_>>().join(" ")
}
