//! A folder with an app in it and room for a shop; gone when the test is done.

use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};

pub struct Folder(pub PathBuf);

impl Folder {
    /// The space in its name is meant: people's folders have some.
    pub fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("tailplate shop {}", unique(name)));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(folder.join("app")).unwrap();
        std::fs::write(folder.join("app/index.html"), "<!doctype html><title>Tailplate</title>").unwrap();
        Self(folder)
    }

    pub fn app(&self) -> PathBuf {
        self.0.join("app")
    }

    pub fn data(&self) -> PathBuf {
        self.0.join("shop")
    }

    /// Where a running hub writes its log.
    pub fn log(&self) -> PathBuf {
        self.0.join("log")
    }

    /// The lines of the log so far.
    pub fn logged(&self) -> String {
        std::fs::read_to_string(self.log()).unwrap_or_default()
    }
}

/// This name made one that nothing else bears.
pub fn unique(name: &str) -> String {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    format!("{name}_{}_{}", std::process::id(), COUNT.fetch_add(1, Ordering::Relaxed))
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
