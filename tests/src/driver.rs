//! The three engines: how each one's driver is started, and what it is asked for.

use crate::process::{Process, free_port};
use serde_json::{Value, json};
use std::{
    io::{BufRead, BufReader},
    net::TcpStream,
    path::Path,
    process::{Command, Stdio},
    time::Duration,
};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Engine {
    Chromium,
    Firefox,
    WebKit,
}

/// The size of a phone's screen, in CSS pixels.
pub const PHONE: (u32, u32) = (390, 844);

impl Engine {
    /// Whether `TAILPLATE_ENGINES` (such as `chromium,firefox`) leaves this one in. All of them, if it is not set.
    pub fn is_wanted(self) -> bool {
        let name = format!("{self:?}").to_lowercase();
        std::env::var("TAILPLATE_ENGINES").map_or(true, |wanted| wanted.to_lowercase().contains(&name))
    }
}

/// A running driver with one session: a fresh browser.
pub struct Session {
    pub driver: Process,
    agent: ureq::Agent,
    /// `http://127.0.0.1:PORT/session/ID/`
    address: String,
    /// The screen that an engine without a headless mode draws on. Dropped after the driver.
    _screen: Option<Process>,
}

impl Session {
    /// `more`: what Chromium is told besides, such as the folder it keeps everything in.
    /// `pixel_ratio`: points of a picture for each of the screen, Chromium only.
    pub fn start(engine: Engine, more: &[String], pixel_ratio: f64) -> Self {
        let port = free_port();
        let mut screen = None;
        let mut command;
        match engine {
            Engine::Chromium => {
                command = Command::new("chromedriver");
                command.arg(format!("--port={port}"));
            }
            Engine::Firefox => {
                command = Command::new("geckodriver");
                // The harness narrows the page, which takes Firefox's own rights.
                command.arg(format!("--port={port}")).arg("--allow-system-access").env("MOZ_HEADLESS", "1");
                command.env("MOZ_HEADLESS_WIDTH", PHONE.0.to_string()).env("MOZ_HEADLESS_HEIGHT", PHONE.1.to_string());
            }
            Engine::WebKit => {
                let (process, display) = start_screen();
                screen = Some(process);
                command = Command::new("WebKitWebDriver");
                command.arg(format!("--port={port}")).env("DISPLAY", display).env_remove("WAYLAND_DISPLAY");
            }
        }
        let mut driver = Process::start(&mut command);
        driver.wait_until(|| TcpStream::connect(("127.0.0.1", port)).is_ok());

        let config = ureq::Agent::config_builder().http_status_as_error(false).proxy(None);
        let agent = config.timeout_global(Some(Duration::from_secs(120))).build().new_agent();
        let address = format!("http://127.0.0.1:{port}/session");
        let mut session = Self { driver, agent, address, _screen: screen };
        let mut wanted = capabilities(engine, pixel_ratio);
        if let Some(arguments) = wanted["goog:chromeOptions"]["args"].as_array_mut() {
            arguments.extend(more.iter().map(|argument| json!(argument)));
        }
        let wanted = json!({ "capabilities": { "alwaysMatch": wanted } });
        let started =
            session.send("", Some(wanted)).unwrap_or_else(|problem| panic!("{engine:?} does not start: {problem}"));
        let id = started["sessionId"].as_str().expect("a session has an id");
        session.address = format!("{}/{id}/", session.address);
        session
    }

    /// Calls `GET` (without `body`) or `POST` on an endpoint of the WebDriver standard, or one of the engine's own.
    pub fn send(&self, endpoint: &str, body: Option<Value>) -> Result<Value, String> {
        let url = format!("{}{endpoint}", self.address);
        let answered = match body {
            Some(body) => self.agent.post(&url).content_type("application/json").send(body.to_string()),
            None => self.agent.get(&url).call(),
        };
        let mut response = answered.map_err(|error| format!("{endpoint}: {error}"))?;
        let status = response.status();
        // Pictures are larger than the client's cautious limit.
        let text = response
            .body_mut()
            .with_config()
            .limit(64 << 20)
            .read_to_string()
            .map_err(|error| format!("{endpoint}: {error}"))?;
        let value =
            serde_json::from_str::<Value>(&text).map_err(|error| format!("{endpoint}: {error}"))?["value"].take();
        let said = |key: &str| value[key].as_str().unwrap_or_default().to_string();
        if status.is_success() { Ok(value) } else { Err(format!("{endpoint}: {}: {}", said("error"), said("message"))) }
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        // Asked kindly first, since a browser may have children outside the driver's group.
        let _ = self.agent.delete(self.address.trim_end_matches('/')).call();
    }
}

fn capabilities(engine: Engine, pixel_ratio: f64) -> Value {
    let (width, height) = PHONE;
    match engine {
        Engine::Chromium => json!({
            "goog:chromeOptions": {
                "args": [
                    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
                    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
                ],
                "mobileEmulation": {
                    "deviceMetrics": { "width": width, "height": height, "pixelRatio": pixel_ratio, "touch": true, "mobile": true },
                },
            },
            "goog:loggingPrefs": { "browser": "ALL" },
        }),
        Engine::Firefox => {
            // Where a distribution gives Firefox another name, the driver has to be told.
            let binary = ["/usr/bin/firefox", "/usr/bin/firefox-esr"].into_iter().find(|path| Path::new(path).exists());
            let mut options = json!({
                "args": ["-headless", "-kiosk"],
                "prefs": {
                    // The console goes to the driver's log, where the harness reads it.
                    "devtools.console.stdout.content": true,
                    "dom.w3c_touch_events.enabled": 1,
                    // Nothing but the app is to be asked for.
                    "app.update.enabled": false,
                    "network.captive-portal-service.enabled": false,
                    "network.connectivity-service.enabled": false,
                },
            });
            if let Some(binary) = binary {
                options["binary"] = json!(binary);
            }
            json!({ "moz:firefoxOptions": options })
        }
        Engine::WebKit => {
            let binary = std::fs::read_dir("/usr/lib/x86_64-linux-gnu").into_iter().flatten().flatten();
            let binary = binary.map(|entry| entry.path().join("MiniBrowser")).find(|path| path.exists());
            // Without its bar, the window can be as narrow as a phone.
            let args = ["--automation", "--full-screen"];
            match binary {
                Some(binary) => json!({ "webkitgtk:browserOptions": { "binary": binary, "args": args } }),
                None => json!({}),
            }
        }
    }
}

/// A screen that nobody sees, and its name.
fn start_screen() -> (Process, String) {
    let mut command = Command::new("Xvfb");
    command
        .args(["-displayfd", "1", "-screen", "0", "1280x1024x24", "-nolisten", "tcp"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    let mut process = Process::start_plain(&mut command);
    let mut number = String::new();
    BufReader::new(process.stdout()).read_line(&mut number).expect("the screen says its number");
    (process, format!(":{}", number.trim()))
}
