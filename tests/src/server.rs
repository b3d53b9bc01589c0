//! The real `tailplate serve`, which a journey can kill and bring back.

use crate::process::{Process, free_port, given, root};
use std::{
    net::TcpStream,
    path::{Path, PathBuf},
    process::Command,
};

pub struct Server {
    process: Option<Process>,
    app: PathBuf,
    port: u16,
}

impl Server {
    /// Serves the built app on a free port.
    pub fn start() -> Self {
        Self::start_with(&given("TAILPLATE_APP", root().join("dist")))
    }

    /// Serves another folder, such as the app with a file missing.
    pub fn start_with(app: &Path) -> Self {
        let mut server = Self { process: None, app: app.to_path_buf(), port: free_port() };
        server.restart();
        server
    }

    /// Begins to serve again, at the same address. What it prints is the test's own output.
    pub fn restart(&mut self) {
        self.kill();
        let program = given("TAILPLATE_HUB", root().join("target/release/tailplate"));
        let mut command = Command::new(program);
        command.arg("serve").arg("--app").arg(&self.app).arg("--port").arg(self.port.to_string());
        let port = self.port;
        let process = self.process.insert(Process::start(&mut command));
        process.wait_until(|| TcpStream::connect(("127.0.0.1", port)).is_ok());
    }

    /// Stops at once, as a power cut would.
    pub fn kill(&mut self) {
        self.process = None;
    }

    /// Serves another folder from now on, at the same address: a new version of the app.
    pub fn swap(&mut self, app: &Path) {
        self.app = app.to_path_buf();
        self.restart();
    }

    /// The address of the app. `localhost` counts as secure, so the service worker runs without a certificate.
    pub fn url(&self) -> String {
        format!("http://localhost:{}/", self.port)
    }
}
