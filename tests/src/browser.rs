//! A browser as a person uses it: look, tap, type. Whatever is not there in time fails the journey with what the screen showed instead.

use crate::driver::{Engine, PHONE, Session};
use crate::server::Server;
use serde_json::{Value, json};
use std::{
    cell::{Cell, RefCell},
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
    process::Command,
    thread,
    time::{Duration, Instant},
};

/// How long is waited before it counts as broken: a reload that takes a second took eleven beside three busy programs.
const PATIENCE: Duration = Duration::from_secs(40);
const USUAL_PIXEL_RATIO: f64 = 2.0;
/// The key that leaves a field, as the WebDriver standard writes it.
const TAB: char = '\u{e004}';
/// How the WebDriver standard marks an element in JSON.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

pub struct Browser {
    pub engine: Engine,
    session: Session,
    profile: Option<PathBuf>,
    taps: Cell<u32>,
    /// The last thing that went wrong while waiting; while a page is being left that is nothing unusual.
    trouble: RefCell<String>,
}

impl Browser {
    /// A browser that has never been here, with the screen of a phone.
    pub fn start(engine: Engine) -> Self {
        let browser = Self::of(engine, Session::start(engine, &[], USUAL_PIXEL_RATIO));
        match engine {
            Engine::Chromium => {}
            Engine::Firefox => browser.narrow_firefox(),
            Engine::WebKit => browser.resize(PHONE),
        }
        browser
    }

    /// Chromium with one point of a picture for each of its screen, so that pictures are small.
    pub fn start_for_pictures() -> Self {
        Self::of(Engine::Chromium, Session::start(Engine::Chromium, &[], 1.0))
    }

    /// Chromium on a profile that outlives it.
    pub fn start_on(profile: &Path) -> Self {
        let kept = format!("--user-data-dir={}", profile.display());
        let session = Session::start(Engine::Chromium, &[kept], USUAL_PIXEL_RATIO);
        let mut browser = Self::of(Engine::Chromium, session);
        browser.profile = Some(profile.to_path_buf());
        browser
    }

    /// Chromium with a camera that sees what stands in this file (Y4M) from the moment it is asked for, and is allowed.
    pub fn start_with_camera(film: &Path) -> Self {
        let more = [
            "--use-fake-ui-for-media-stream".to_owned(),
            "--use-fake-device-for-media-stream".to_owned(),
            format!("--use-file-for-fake-video-capture={}", film.display()),
        ];
        Self::of(Engine::Chromium, Session::start(Engine::Chromium, &more, USUAL_PIXEL_RATIO))
    }

    fn of(engine: Engine, session: Session) -> Self {
        Self { engine, session, profile: None, taps: Cell::new(0), trouble: RefCell::default() }
    }

    /// Ends a browser started with [`start_on`](Self::start_on) at once, as a power cut would.
    pub fn kill(&mut self) {
        let profile = self.profile.as_ref().expect("it was started on a profile");
        // Its lock names the host and the process.
        let lock = fs::read_link(profile.join("SingletonLock")).expect("Chromium locks its profile");
        let process = lock.to_string_lossy().rsplit('-').next().unwrap_or_default().to_string();
        let killed = Command::new("kill").args(["-KILL", &process]).status();
        assert!(killed.is_ok_and(|status| status.success()), "process {process} is killed");
        self.session.driver.kill();
    }

    /// Makes the page, not the window around it, this large.
    pub fn resize(&self, (width, height): (u32, u32)) {
        let (mut outer_width, mut outer_height) = (width, height);
        for _ in 0..3 {
            self.send("window/rect", json!({ "x": 0, "y": 0, "width": outer_width, "height": outer_height }));
            let inner = self.js("return [window.innerWidth, window.innerHeight]");
            let lacking = |wanted: u32, side: usize| i64::from(wanted) - inner[side].as_i64().unwrap_or_default();
            outer_width = outer_width.saturating_add_signed(lacking(width, 0) as i32);
            outer_height = outer_height.saturating_add_signed(lacking(height, 1) as i32);
        }
    }

    /// Firefox's window is at least 500 pixels wide; the page in it can be narrower.
    fn narrow_firefox(&self) {
        self.send("moz/context", json!({ "context": "chrome" }));
        let script = "const page = gBrowser.selectedBrowser.style; page.maxWidth = page.minWidth = arguments[0] + 'px';
            page.maxHeight = page.minHeight = arguments[1] + 'px'";
        self.js_with(script, json!([PHONE.0, PHONE.1]));
        self.send("moz/context", json!({ "context": "content" }));
    }

    pub fn open(&self, url: &str) {
        self.send("url", json!({ "url": url }));
        self.listen();
    }

    /// Loads the app once, as at home; from then on it is without a network.
    #[must_use]
    pub fn taken_to_the_market(self) -> Self {
        let server = Server::start();
        self.open(&server.url());
        self.wait_until_offline_ready();
        drop(server);
        self.reload();
        self
    }

    /// Reloads as a person would. WebDriver's own `refresh` goes past the service worker in Firefox.
    pub fn reload(&self) {
        self.js("window.leaving = true; setTimeout(() => location.reload(), 0)");
        self.wait_js("the page to load again", "return !window.leaving && document.readyState === 'complete'");
        self.listen();
    }

    /// WebKit's driver hands out no console, so what is said there is noted in the page from now on.
    fn listen(&self) {
        if self.engine == Engine::WebKit {
            self.js(LISTEN);
        }
    }

    pub fn back(&self) {
        self.send("back", json!({}));
    }

    /// Runs JavaScript in the page and gives back what it `return`s; a promise is waited for.
    pub fn js(&self, script: &str) -> Value {
        self.js_with(script, json!([]))
    }

    /// [`js`](Self::js), with a JSON array as `arguments`.
    pub fn js_with(&self, script: &str, arguments: Value) -> Value {
        self.send("execute/sync", json!({ "script": script, "args": arguments }))
    }

    /// [`js_with`](Self::js_with) for the look of a moment: null while the page cannot answer.
    fn peek(&self, script: &str, arguments: Value) -> Value {
        let answer = self.session.send("execute/sync", Some(json!({ "script": script, "args": arguments })));
        answer.unwrap_or_else(|problem| {
            *self.trouble.borrow_mut() = problem;
            Value::Null
        })
    }

    /// Taps what carries these words: the smallest thing that can be tapped and whose label or text is, or else holds, the words.
    pub fn tap(&self, words: &str) {
        self.tap_found(&format!("something to tap that says “{words}”"), || self.find_by_words(words));
    }

    /// Taps, and once more if the script does not hold in three seconds: what was just answered or kept may still move things
    /// from under the finger.
    pub fn tap_until(&self, words: &str, what: &str, script: &str) {
        self.tap(words);
        let since = Instant::now();
        while self.js(script) != json!(true) {
            if since.elapsed() > Duration::from_secs(3) {
                self.tap(words);
                break;
            }
            thread::sleep(Duration::from_millis(50));
        }
        self.wait_js(what, script);
    }

    /// Goes to one of the places behind “More”.
    pub fn enter(&self, place: &str) {
        self.tap("More");
        self.tap(place);
    }

    /// Prints the page as the person would, and gives the PDF's bytes.
    pub fn print(&self) -> Vec<u8> {
        let answer = self.send(
            "print",
            json!({ "background": true, "page": { "width": 21.0, "height": 29.7 }, "shrinkToFit": false }),
        );
        decode_base64(answer.as_str().expect("a PDF in base64"))
    }

    /// Taps what a CSS selector finds, such as a place on a drawing.
    pub fn tap_css(&self, css: &str) {
        self.tap_found(&format!("something visible at {css}"), || self.find(css));
    }

    /// Taps so far, typing not counted.
    pub fn taps(&self) -> u32 {
        self.taps.get()
    }

    /// Types into the field with this label (or name, or placeholder), in place of what it holds. Reaching for a field is no tap to be
    /// counted: the keyboard's owner has to touch it anyway.
    pub fn type_into(&self, label: &str, text: &str) {
        self.with_found(
            &format!("a field called “{label}”"),
            || self.find_field(label),
            |field| {
                // WebDriver's own way of clearing leaves the field in between, and the app would keep it empty.
                let clear = json!({ "script": "arguments[0].value = ''", "args": [{ ELEMENT: field }] });
                self.session.send("execute/sync", Some(clear))?;
                // One driver leaves line feeds out; the key of that name is pressed by all.
                let keys = json!({ "text": text.replace('\n', "\u{e007}") });
                self.session.send(&format!("element/{field}/value"), Some(keys))?;
                if text.contains(TAB) {
                    return Ok(json!(true));
                }
                // Half of it may have gone into a field that was laid out anew.
                let look = json!({ "script": HOLDS, "args": [{ ELEMENT: field }, text] });
                let holds = self.session.send("execute/sync", Some(look))?;
                if holds == json!(true) { Ok(holds) } else { Err(format!("it holds {holds}")) }
            },
        );
    }

    /// [`type_into`](Self::type_into), then leaves the field, which is when the app keeps it.
    pub fn fill(&self, label: &str, text: &str) {
        self.type_into(label, text);
        let active = || element(&self.peek("return document.activeElement", json!([])));
        self.with_found("the field just typed into", active, |field| {
            self.session.send(&format!("element/{field}/value"), Some(json!({ "text": TAB })))
        });
    }

    /// Gives a file to a file field, as the camera or the gallery would.
    pub fn upload(&self, css: &str, file: &Path) {
        let file = file.canonicalize().unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        self.with_found(
            &format!("a file field at {css}"),
            || self.find_even_hidden(css),
            |field| self.session.send(&format!("element/{field}/value"), Some(json!({ "text": file }))),
        );
    }

    /// Waits until the page shows these words.
    pub fn see(&self, words: &str) {
        self.wait_for(&format!("“{words}” on the screen"), || self.shows(words).then_some(()));
    }

    /// Waits until the page shows these words no more.
    pub fn see_no_more(&self, words: &str) {
        self.wait_for(&format!("“{words}” to go away"), || (!self.shows(words)).then_some(()));
    }

    /// Whether the page shows these words now. Case does not count, since style sheets change it.
    pub fn shows(&self, words: &str) -> bool {
        squeeze(&self.text()).contains(&squeeze(words))
    }

    /// What the page shows, as text.
    pub fn text(&self) -> String {
        self.peek("return document.body?.innerText", json!([])).as_str().unwrap_or_default().to_string()
    }

    /// Waits until `script` returns something true, and gives that back.
    pub fn wait_js(&self, what: &str, script: &str) -> Value {
        self.wait_for(what, || {
            Some(self.peek(script, json!([]))).filter(|value| !matches!(value, Value::Null | Value::Bool(false)))
        })
    }

    /// Waits until the service worker serves this page: from then on it works without the network.
    pub fn wait_until_offline_ready(&self) {
        let script = "return navigator.serviceWorker.ready.then(() => !!navigator.serviceWorker.controller)";
        self.wait_js("the service worker to take over", script);
    }

    /// A picture of the screen as PNG.
    pub fn picture(&self) -> Vec<u8> {
        let picture = self.session.send("screenshot", None).unwrap_or_else(|problem| panic!("{problem}"));
        decode_base64(picture.as_str().unwrap_or_default())
    }

    /// Writes a picture of the screen to a file.
    pub fn screenshot(&self, file: &Path) {
        fs::create_dir_all(file.parent().expect("a file is in a folder")).expect("the folder can be made");
        fs::write(file, self.picture()).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    }

    /// Slows the processor down by this factor (Chromium only).
    pub fn throttle(&self, factor: f64) {
        self.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": factor }));
    }

    /// Lets the app store no more than this many bytes (Chromium only).
    pub fn quota(&self, bytes: u64) {
        let origin = self.js("return location.origin");
        self.devtools("Storage.overrideQuotaForOrigin", json!({ "origin": origin, "quotaSize": bytes }));
    }

    /// Saves downloads into this folder without asking (Chromium only).
    pub fn download_into(&self, folder: &Path) {
        self.devtools("Browser.setDownloadBehavior", json!({ "behavior": "allow", "downloadPath": folder }));
    }

    /// What a page handed over in base64.
    pub fn decoded(&self, text: &str) -> Vec<u8> {
        decode_base64(text)
    }

    /// Calls Chromium's developer tools.
    pub fn devtools(&self, method: &str, parameters: Value) -> Value {
        assert_eq!(self.engine, Engine::Chromium, "only Chromium has {method}");
        self.send("goog/cdp/execute", json!({ "cmd": method, "params": parameters }))
    }

    /// Errors that the page wrote to the console, or was stopped by. In WebKit only those after it was loaded, and of the page
    /// that is on the screen now.
    pub fn console_errors(&self) -> Vec<String> {
        if self.engine == Engine::WebKit {
            let heard = self.peek("return window.heard", json!([]));
            return heard.as_array().into_iter().flatten().filter_map(Value::as_str).map(str::to_string).collect();
        }
        if self.engine == Engine::Chromium {
            let log = self.send("se/log", json!({ "type": "browser" }));
            let severe = log.as_array().into_iter().flatten().filter(|entry| entry["level"] == "SEVERE");
            let messages = severe.map(|entry| entry["message"].as_str().unwrap_or_default().to_string());
            // One fault can be told a hundred times.
            return messages.collect::<BTreeSet<_>>().into_iter().collect();
        }
        let marks = ["JavaScript error:", "console.error:"];
        let printed = self.session.driver.printed();
        // Firefox's own windows and services write to the same log.
        let others = ["chrome://", "resource://", "RSLoader"];
        let ours = printed.lines().filter(|line| marks.iter().any(|mark| line.contains(mark)));
        let ours = ours.filter(|line| !others.iter().any(|other| line.contains(other)));
        ours.map(str::to_string).collect()
    }

    /// Closes the app's last word, which may lie over what is wanted next.
    pub fn close_word(&self) {
        self.js("document.querySelector('.word button[aria-label]')?.click()");
    }

    /// Whether the page is wider than the screen, so that it slides sideways under the thumb.
    pub fn slides_sideways(&self) -> bool {
        let script = "return document.documentElement.scrollWidth > document.documentElement.clientWidth + 1";
        self.js(script) == Value::Bool(true)
    }

    /// Addresses of other hosts that the page asked anything of.
    pub fn other_hosts(&self) -> Vec<String> {
        let script = "return performance.getEntriesByType('resource').map(e => e.name).filter(n => new URL(n).host !== location.host && !/^(data|blob):/.test(n))";
        let names = self.js(script);
        names.as_array().into_iter().flatten().filter_map(Value::as_str).map(str::to_string).collect()
    }

    /// Another tab of the same browser; returns the names of the old one and the new one, for [`switch_to`](Self::switch_to).
    pub fn open_tab(&self) -> (Value, Value) {
        let old = self.session.send("window", None).unwrap_or_else(|problem| panic!("{problem}"));
        let new = self.send("window/new", json!({ "type": "tab" }))["handle"].clone();
        self.switch_to(&new);
        (old, new)
    }

    /// Ends the shown tab at once, without asking its page (Chromium only), and goes on in another.
    pub fn end_tab(&self, next: &Value) {
        let this = self.session.send("window", None).unwrap_or_else(|problem| panic!("{problem}"));
        // There may be nobody left to answer.
        let _ = self
            .session
            .send("goog/cdp/execute", Some(json!({ "cmd": "Target.closeTarget", "params": { "targetId": this } })));
        self.switch_to(next);
    }

    pub fn switch_to(&self, tab: &Value) {
        self.send("window", json!({ "handle": tab }));
    }

    fn send(&self, endpoint: &str, body: Value) -> Value {
        self.session.send(endpoint, Some(body)).unwrap_or_else(|problem| panic!("{:?}: {problem}", self.engine))
    }

    /// Taps what `find` finds.
    fn tap_found(&self, what: &str, find: impl Fn() -> Option<String>) {
        self.taps.set(self.taps.get() + 1);
        self.with_found(what, find, |element| {
            // A thumb scrolls what it wants off the edges, where bars lie, and comes down on what lies still.
            let script = json!({ "script": STILL, "args": [{ ELEMENT: element }] });
            self.session.send("execute/sync", Some(script))?;
            // While a screen slides in, something else may lie on top for a moment.
            self.session.send(&format!("element/{element}/click"), Some(json!({})))
        });
    }

    /// Does something with what `find` finds. What was laid out anew in between is looked for again, as an eye would.
    fn with_found(&self, what: &str, find: impl Fn() -> Option<String>, act: impl Fn(&str) -> Result<Value, String>) {
        let start = Instant::now();
        loop {
            let element = self.wait_for(what, &find);
            let Err(problem) = act(&element) else { return };
            if start.elapsed() > Duration::from_secs(8) {
                self.give_up(&format!("{what}, but {problem}"));
            }
            thread::sleep(Duration::from_millis(100));
        }
    }

    fn find(&self, css: &str) -> Option<String> {
        let script = format!("{VISIBLE} return [...document.querySelectorAll(arguments[0])].find(visible) ?? null");
        element(&self.peek(&script, json!([css])))
    }

    fn find_even_hidden(&self, css: &str) -> Option<String> {
        element(&self.peek("return document.querySelector(arguments[0])", json!([css])))
    }

    fn find_by_words(&self, words: &str) -> Option<String> {
        element(&self.peek(&format!("{VISIBLE} {BY_WORDS}"), json!([words])))
    }

    fn find_field(&self, label: &str) -> Option<String> {
        element(&self.peek(&format!("{VISIBLE} {FIELD}"), json!([label])))
    }

    /// Looks again and again until there is something, or patience ends; then the journey has failed.
    pub fn wait_for<T>(&self, what: &str, mut look: impl FnMut() -> Option<T>) -> T {
        let start = Instant::now();
        loop {
            if let Some(found) = look() {
                return found;
            }
            if start.elapsed() > PATIENCE {
                self.give_up(what);
            }
            thread::sleep(Duration::from_millis(50));
        }
    }

    /// Fails with what is on the screen, in words and as a picture.
    fn give_up(&self, what: &str) -> ! {
        let picture =
            std::env::temp_dir().join(format!("tailplate-failed-{:?}-{}.png", self.engine, std::process::id()));
        self.screenshot(&picture);
        let errors = [self.console_errors().join("\n"), self.trouble.take()].join("\n");
        let came = self.peek(CAME, json!([]));
        let (engine, picture, text) = (self.engine, picture.display(), self.text());
        panic!(
            "{engine:?}: waited for {what}. The screen ({picture}) says:\n{text}\n{errors}\nWhat came, and when: {came}"
        );
    }
}

const VISIBLE: &str = "
    const visible = e => { const r = e.getBoundingClientRect(); return r.width > 0 && r.height > 0 && getComputedStyle(e).visibility !== 'hidden' };
    const squeeze = text => (text ?? '').replace(/\\s+/g, ' ').trim().toLowerCase();
";

/// Whether a field holds what was typed; one with a form of its own, such as a day's, is believed.
const HOLDS: &str = "
    const [field, text] = arguments;
    const plain = ['text', 'search', 'number', 'tel', 'email', 'textarea'].includes(field.type);
    return !plain || field.value.toLowerCase() === text.toLowerCase() || field.value;
";

const STILL: &str = "
    arguments[0].scrollIntoView({ block: 'center' });
    const place = () => { const r = arguments[0].getBoundingClientRect(); return `${r.x} ${r.y}` };
    const pause = () => new Promise(done => setTimeout(done, 30));
    return (async () => {
        for (let before = '', looks = 0; looks < 30 && before !== place(); looks++) {
            before = place();
            await pause();
        }
    })()
";

/// What the page has read, and from which to which millisecond: it tells a hang from a slow machine. Then which of the
/// browser's calls still come.
const CAME: &str = "
    const short = e => `${e.name.split('/').pop()} ${Math.round(e.startTime)}-${Math.round(e.responseEnd ?? e.startTime)}`;
    const came = [`now ${Math.round(performance.now())}`, `worker ${navigator.serviceWorker?.controller?.state}`,
        ...performance.getEntriesByType('mark').map(short), ...performance.getEntriesByType('resource').map(short)];
    const call = (name, ask) => Promise.race([
        new Promise(ask).then(() => `${name} comes`), new Promise(done => setTimeout(done, 2000, `${name} does not come`))]);
    const message = done => { const { port1, port2 } = new MessageChannel(); port1.onmessage = done; port2.postMessage(0) };
    return Promise.all([call('a frame', requestAnimationFrame), call('a message', message)]).then(calls => [...came, ...calls].join(', '))
";

const LISTEN: &str = "
    if (!window.heard) {
        window.heard = [];
        addEventListener('error', e => heard.push(`${e.message} ${e.error?.stack ?? ''}`));
        addEventListener('unhandledrejection', e => heard.push(String(e.reason)));
        const error = console.error;
        console.error = (...words) => { heard.push(words.join(' ')); error(...words) };
    }
";

const BY_WORDS: &str = "
    const words = squeeze(arguments[0]);
    const tappable = 'button, a[href], summary, label, select, [role=button], [role=tab], [role=radio], [role=checkbox], [role=switch], [role=option], [role=menuitem], input[type=submit], input[type=button]';
    const said = [...document.querySelectorAll(tappable)].filter(e => visible(e) && !e.disabled)
        .map(e => ({ e, texts: [squeeze(e.innerText), squeeze(e.getAttribute('aria-label')), squeeze(e.value)] }));
    const exact = said.filter(({ texts }) => texts.includes(words));
    const holding = said.filter(({ texts }) => texts.some(text => text.includes(words)));
    // Of two that hold one another, the inner one.
    const best = (exact.length ? exact : holding).map(({ e }) => e);
    return best.find(e => !best.some(other => other !== e && e.contains(other))) ?? null;
";

const FIELD: &str = "
    const label = squeeze(arguments[0]);
    const fields = [...document.querySelectorAll('input, textarea, select, [contenteditable=true]')].filter(visible);
    const names = e => [...[...(e.labels ?? [])].map(l => l.innerText), e.getAttribute('aria-label'), e.placeholder, e.name,
        document.getElementById(e.getAttribute('aria-labelledby'))?.innerText].map(squeeze).filter(Boolean);
    return fields.find(e => names(e).includes(label)) ?? fields.find(e => names(e).some(name => name.includes(label))) ?? null;
";

fn element(found: &Value) -> Option<String> {
    found[ELEMENT].as_str().map(str::to_string)
}

fn squeeze(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

pub(crate) fn decode_base64(text: &str) -> Vec<u8> {
    const ALPHABET: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut bytes = Vec::with_capacity(text.len() * 3 / 4);
    let (mut bits, mut held) = (0u32, 0);
    for digit in text.bytes().filter_map(|c| ALPHABET.iter().position(|&a| a == c)) {
        bits = bits << 6 | digit as u32;
        held += 6;
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
        }
    }
    bytes
}

#[cfg(test)]
mod tests {
    #[test]
    fn base64_is_read() {
        assert_eq!(super::decode_base64("UmVlbA=="), b"Reel");
        assert_eq!(super::decode_base64("/+8A"), [0xff, 0xef, 0]);
    }
}
