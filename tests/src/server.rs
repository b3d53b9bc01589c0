//! The real `tailplate serve`, which a journey can kill and bring back.

use crate::process::{Folder, Process, free_port, given, root};
use std::{
    net::TcpStream,
    path::{Path, PathBuf},
    process::Command,
};

pub struct Server {
    process: Option<Process>,
    app: PathBuf,
    port: u16,
    /// Where it keeps the shop's records, if it does.
    data: Option<Folder>,
}

impl Server {
    /// Serves the built app on a free port.
    pub fn start() -> Self {
        Self::start_with(&given("TAILPLATE_APP", root().join("dist")))
    }

    /// Serves the app and keeps the shop's records.
    pub fn start_keeping() -> Self {
        let app = given("TAILPLATE_APP", root().join("dist"));
        let mut server = Self { process: None, app, port: free_port(), data: Some(Folder::new()) };
        server.restart();
        server
    }

    /// A code that lets one device in.
    pub fn code(&self) -> String {
        let data = &self.data.as_ref().expect("this server keeps records").path;
        let program = given("TAILPLATE_HUB", root().join("target/release/tailplate"));
        let output = Command::new(program).args(["pair", "--json", "--data"]).arg(data).output();
        let output = output.expect("the program runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
        told["code"].as_str().expect("a code").to_owned()
    }

    /// Serves another folder, such as the app with a file missing.
    pub fn start_with(app: &Path) -> Self {
        let mut server = Self { process: None, app: app.to_path_buf(), port: free_port(), data: None };
        server.restart();
        server
    }

    /// Begins to serve again, at the same address. What it prints is the test's own output.
    pub fn restart(&mut self) {
        self.kill();
        let program = given("TAILPLATE_HUB", root().join("target/release/tailplate"));
        let mut command = Command::new(program);
        command.arg("serve").arg("--app").arg(&self.app).arg("--port").arg(self.port.to_string());
        if let Some(data) = &self.data {
            command.arg("--data").arg(&data.path);
        }
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
