//! A program that ends with the test that started it, and takes its children and its folder with it.

use std::{
    fs::{self, File},
    net::TcpListener,
    path::PathBuf,
    process::{Child, Command, Stdio},
    sync::atomic::{AtomicU32, Ordering},
    thread,
    time::{Duration, Instant},
};

pub struct Process {
    child: Child,
    name: String,
    /// Its own scratch folder, which also holds what it printed.
    folder: Option<Folder>,
}

impl Process {
    /// Starts the program with a scratch folder of its own, also as its `TMPDIR`.
    pub fn start(command: &mut Command) -> Self {
        let folder = Folder::new();
        let file = File::create(folder.path.join("printed.log")).expect("the scratch folder can be written");
        command.env("TMPDIR", &folder.path).stdout(file.try_clone().expect("a handle")).stderr(file);
        let mut process = Self::start_plain(command);
        process.folder = Some(folder);
        process
    }

    /// Starts the program; what it prints goes where the command says.
    pub fn start_plain(command: &mut Command) -> Self {
        let name = command.get_program().to_string_lossy().into_owned();
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(command, 0);
        let child = command.stdin(Stdio::null()).spawn();
        let child = child.unwrap_or_else(|error| {
            panic!("{name} cannot be started: {error}. `cargo xtask test` fetches what the journeys need.")
        });
        Self { child, name, folder: None }
    }

    pub fn stdout(&mut self) -> std::process::ChildStdout {
        self.child.stdout.take().expect("the output was piped")
    }

    /// What it printed so far.
    pub fn printed(&self) -> String {
        let bytes = self.folder.as_ref().map(|folder| fs::read(folder.path.join("printed.log")).unwrap_or_default());
        String::from_utf8_lossy(&bytes.unwrap_or_default()).into_owned()
    }

    /// Waits until `ready`; panics with what the program said if it ends or takes too long.
    pub fn wait_until(&mut self, ready: impl Fn() -> bool) {
        let start = Instant::now();
        while !ready() {
            if let Ok(Some(status)) = self.child.try_wait() {
                panic!("{} ended with {status}: {}", self.name, self.printed());
            }
            assert!(start.elapsed() < Duration::from_secs(30), "{} does not answer: {}", self.name, self.printed());
            thread::sleep(Duration::from_millis(30));
        }
    }

    /// Ends it at once, as a power cut would.
    pub fn kill(&mut self) {
        #[cfg(unix)]
        let _ =
            Command::new("kill").args(["-KILL", "--", &format!("-{}", self.child.id())]).stderr(Stdio::null()).status();
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        self.kill();
    }
}

/// A scratch folder, removed when dropped.
pub struct Folder {
    pub path: PathBuf,
}

impl Folder {
    #[allow(clippy::new_without_default, reason = "making a folder is no default")]
    pub fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let name = format!("tailplate-{}-{}", std::process::id(), COUNT.fetch_add(1, Ordering::Relaxed));
        let path = std::env::temp_dir().join(name);
        fs::create_dir_all(&path).expect("the temporary folder can be written");
        Self { path }
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.path);
    }
}

/// A port of this machine that nobody listens on.
pub fn free_port() -> u16 {
    let listener = TcpListener::bind(("127.0.0.1", 0)).expect("this machine has a free port");
    listener.local_addr().expect("it has an address").port()
}

/// The root of the clone.
pub fn root() -> PathBuf {
    // As cargo says at this run, not when it was built: several clones may share one cache.
    let here = std::env::var_os("CARGO_MANIFEST_DIR").map_or_else(|| env!("CARGO_MANIFEST_DIR").into(), PathBuf::from);
    here.parent().expect("tests lies in the workspace").to_path_buf()
}

/// A path that `cargo xtask test` passes on, or its usual place.
pub fn given(variable: &str, usual: PathBuf) -> PathBuf {
    let path = std::env::var_os(variable).map_or(usual, PathBuf::from);
    assert!(path.exists(), "{} is missing. `cargo xtask test` builds what the journeys need.", path.display());
    path
}
