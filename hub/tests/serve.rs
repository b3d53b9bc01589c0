//! The server over real sockets, asked byte by byte, since an HTTP client would tidy the tricks away.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

const PAGE: &str = "<!doctype html><title>Tailplate</title><script>start()</script>";
const WASM: &str = "/app-0123456789abcdef_bg.wasm";

/// A folder that is gone when the test is done.
struct Folder(PathBuf);

impl Folder {
    fn with_app(name: &str) -> Self {
        let outer = std::env::temp_dir().join(format!("tailplate-serve-{}-{name}", std::process::id()));
        let app = outer.join("app");
        fs::create_dir_all(app.join("reference")).unwrap();
        let put = |name: &str, bytes: &[u8]| fs::write(app.join(name), bytes).unwrap();
        put("index.html", PAGE.as_bytes());
        put("sw.js", b"self.x=1");
        put("manifest.webmanifest", b"{}");
        put("reference/first.json-seq", b"\x1e{}\n");
        put("icon.svg", b"<svg/>");
        put("photo.webp", b"RIFF");
        put("app-0123456789abcdef_bg.wasm", b"\0asm plain");
        put("app-0123456789abcdef_bg.wasm.br", b"brotli bytes");
        put("app-0123456789abcdef.js", b"import 1");
        put("reference/questions.json", b"{}");
        put(".secret", b"hidden");
        fs::write(outer.join("outside.txt"), "beyond the folder").unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(outer.join("outside.txt"), app.join("link.txt")).unwrap();
        Self(outer)
    }
    fn app(&self) -> PathBuf {
        self.0.join("app")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The program itself, on a free port.
struct Running {
    child: Child,
    port: u16,
    _folder: Folder,
}

impl Running {
    fn start(name: &str) -> Self {
        let folder = Folder::with_app(name);
        let mut child = program(&folder.app(), "0").stdout(Stdio::piped()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let url = line.trim().strip_prefix("Tailplate is at http://localhost:").expect(&line);
        Self { child, port: url.trim_end_matches('/').parse().unwrap(), _folder: folder }
    }

    fn raw(&self, request: &str) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes).unwrap();
        Answer(String::from_utf8_lossy(&bytes).into_owned())
    }

    fn ask(&self, method: &str, path: &str, headers: &str) -> Answer {
        self.raw(&format!("{method} {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{headers}\r\n"))
    }

    fn get(&self, path: &str) -> Answer {
        self.ask("GET", path, "")
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn program(app: &Path, port: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tailplate"));
    command.args(["serve", "--port", port, "--app"]).arg(app);
    command
}

struct Answer(String);

impl Answer {
    fn status(&self) -> u16 {
        self.0.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0)
    }
    fn header(&self, name: &str) -> Option<&str> {
        let head = self.0.split("\r\n\r\n").next()?;
        head.lines().find_map(|line| {
            let (key, value) = line.split_once(": ")?;
            key.eq_ignore_ascii_case(name).then_some(value)
        })
    }
    fn body(&self) -> &str {
        self.0.split_once("\r\n\r\n").map_or("", |(_, body)| body)
    }
}

#[test]
fn each_file_has_its_type_and_the_shell_is_at_the_root() {
    let server = Running::start("types");
    for (path, content_type) in [
        ("/", "text/html; charset=utf-8"),
        ("/index.html", "text/html; charset=utf-8"),
        ("/sw.js", "text/javascript; charset=utf-8"),
        ("/app-0123456789abcdef.js", "text/javascript; charset=utf-8"),
        (WASM, "application/wasm"),
        ("/manifest.webmanifest", "application/manifest+json"),
        ("/reference/first.json-seq", "application/json-seq"),
        ("/icon.svg", "image/svg+xml"),
        ("/photo.webp", "image/webp"),
        ("/reference/questions.json", "application/json"),
        ("/%73w.js?v=2", "text/javascript; charset=utf-8"),
    ] {
        let answer = server.get(path);
        assert_eq!((answer.status(), answer.header("content-type")), (200, Some(content_type)), "{path}");
    }
    assert_eq!(server.get("/").body(), PAGE);
}

#[test]
fn brotli_goes_to_those_who_take_it() {
    let server = Running::start("brotli");
    for (accepts, encoding) in [
        ("Accept-Encoding: gzip, deflate, br\r\n", Some("br")),
        ("Accept-Encoding: br;q=0.5\r\n", Some("br")),
        ("Accept-Encoding: gzip, br;q=0\r\n", None),
        ("Accept-Encoding: br; q=0.000\r\n", None),
        ("Accept-Encoding: gzip\r\n", None),
        ("", None),
    ] {
        let answer = server.ask("GET", WASM, accepts);
        assert_eq!(answer.header("content-encoding"), encoding, "{accepts}");
        assert_eq!(answer.header("vary"), Some("Accept-Encoding"), "{accepts}");
        assert_eq!(answer.header("content-type"), Some("application/wasm"));
        assert_eq!(answer.body(), if encoding.is_some() { "brotli bytes" } else { "\0asm plain" });
    }
    assert_eq!(server.get("/app-0123456789abcdef_bg.wasm.br").status(), 404);
    assert_eq!(server.ask("GET", "/sw.js", "Accept-Encoding: br\r\n").header("content-encoding"), None);
}

#[test]
fn hashed_files_are_kept_for_good_and_all_others_are_asked_for_again() {
    let server = Running::start("cache");
    let forever = Some("public, max-age=31536000, immutable");
    assert_eq!(server.get("/app-0123456789abcdef.js").header("cache-control"), forever);
    for path in ["/", "/sw.js", "/manifest.webmanifest", "/reference/questions.json"] {
        assert_eq!(server.get(path).header("cache-control"), Some("no-cache"), "{path}");
    }
}

#[test]
fn an_unchanged_file_is_not_sent_again() {
    let server = Running::start("etag");
    let tag = server.get(WASM).header("etag").unwrap().to_owned();
    let brotli_tag = server.ask("GET", WASM, "Accept-Encoding: br\r\n").header("etag").unwrap().to_owned();
    assert_ne!(tag, brotli_tag);
    for (condition, status) in [
        (format!("If-None-Match: {tag}\r\n"), 304),
        (format!("If-None-Match: \"other\", W/{tag}\r\n"), 304),
        ("If-None-Match: *\r\n".to_owned(), 304),
        (format!("If-None-Match: {brotli_tag}\r\n"), 200),
        (format!("If-None-Match: {brotli_tag}\r\nAccept-Encoding: br\r\n"), 304),
    ] {
        let answer = server.ask("GET", WASM, &condition);
        assert_eq!(answer.status(), status, "{condition}");
        assert_eq!(answer.body().is_empty(), status == 304);
        assert!(answer.header("etag").is_some() && answer.header("cache-control").is_some());
    }
}

#[test]
fn every_answer_carries_the_policies() {
    let server = Running::start("policy");
    for path in ["/", "/missing", "/health", "/sw.js"] {
        let answer = server.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        for rule in [
            "default-src 'self'",
            // printf 'start()' | openssl dgst -sha256 -binary | base64
            "script-src 'self' 'wasm-unsafe-eval' 'sha256-DIm7WJS6ZKDYe5qFLPy+h4JFI9Bol5QmYC57mt3Fb00=';",
            "style-src 'self';",
            "img-src 'self' data: blob:",
            "connect-src 'self'",
            "object-src 'none'",
            "base-uri 'none'",
            "frame-ancestors 'none'",
        ] {
            assert!(policy.contains(rule), "{path}: {rule} is not in {policy}");
        }
        assert!(!policy.contains("unsafe-inline") && !policy.contains("'unsafe-eval'"));
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
        assert!(answer.header("permissions-policy").unwrap().starts_with("camera=(self), microphone=()"));
        assert_eq!(answer.header("cross-origin-opener-policy"), Some("same-origin"));
        assert_eq!(answer.header("cross-origin-resource-policy"), Some("same-origin"));
    }
}

#[test]
fn what_is_missing_is_said_to_be_missing() {
    let server = Running::start("missing");
    for path in ["/gone.wasm", "/finds/3", "/reference", "/reference/", "//", "/index.html/"] {
        let answer = server.ask("GET", path, "Accept: text/html\r\n");
        assert_eq!(answer.status(), 404, "{path}");
        assert_eq!(answer.header("content-type"), Some("text/plain; charset=utf-8"));
        assert!(!answer.body().contains("<title>"), "the shell in place of {path}");
    }
}

#[test]
fn tricks_with_the_path_lead_nowhere() {
    let server = Running::start("tricks");
    for path in [
        "/../outside.txt",
        "/reference/../../outside.txt",
        "/reference/../index.html",
        "/%2e%2e/outside.txt",
        "/%252e%252e/outside.txt",
        "/..%2foutside.txt",
        "/..%5coutside.txt",
        "/..\\outside.txt",
        "/index.html%00",
        "/sw.js%00.svg",
        "/%ff",
        "/%zz",
        "/.secret",
        "/%2esecret",
        "/link.txt",
        "/reference//questions.json",
    ] {
        let answer = server.get(path);
        assert!(matches!(answer.status(), 400 | 404), "{path}: {}", answer.0);
        assert!(!answer.0.contains("beyond the folder") && !answer.0.contains("hidden"), "{path}");
    }
}

#[test]
fn only_reading_is_possible() {
    let server = Running::start("methods");
    for method in ["POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"] {
        let answer = server.ask(method, "/", "Content-Length: 0\r\n");
        assert_eq!((answer.status(), answer.header("allow")), (405, Some("GET, HEAD")), "{method}");
    }
    let (head, get) = (server.ask("HEAD", "/", ""), server.get("/"));
    assert_eq!((head.status(), head.body()), (200, ""));
    assert_eq!(head.header("content-length"), get.header("content-length"));
    assert_eq!(head.header("content-length"), Some(PAGE.len().to_string().as_str()));
}

#[test]
fn only_this_computers_names_are_answered() {
    let server = Running::start("host");
    let ask = |hosts: &str| server.raw(&format!("GET /health HTTP/1.1\r\n{hosts}Connection: close\r\n\r\n")).status();
    for host in ["localhost", "LOCALHOST:7420", "127.0.0.1", "127.0.0.1:1", "[::1]", "[::1]:80"] {
        assert_eq!(ask(&format!("Host: {host}\r\n")), 200, "{host}");
    }
    let strangers =
        ["shop.example", "localhost.shop.example", "127.0.0.1.shop.example", "192.0.2.7", "localhost:x", "::1", ""];
    for host in strangers {
        assert_eq!(ask(&format!("Host: {host}\r\n")), 421, "{host}");
    }
    assert_eq!(ask("Host: localhost\r\nHost: shop.example\r\n"), 421);
    assert_eq!(ask(""), 421);
    let absolute =
        server.raw("GET http://shop.example/health HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n");
    assert_eq!(absolute.status(), 421);
}

#[test]
fn a_taken_port_is_told_in_one_sentence() {
    let server = Running::start("first");
    let folder = Folder::with_app("second");
    let output = program(&folder.app(), &server.port.to_string()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains(&format!("Port {} is taken", server.port)) && told.trim().lines().count() == 1, "{told}");
}

#[test]
fn a_folder_without_an_app_is_told_in_one_sentence() {
    let folder = Folder::with_app("empty");
    let output = program(&folder.0, "0").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains("no index.html") && told.trim().lines().count() == 1, "{told}");
}

#[cfg(unix)]
#[test]
fn a_signal_ends_it_well_even_with_a_call_hanging() {
    for signal in ["INT", "TERM"] {
        let mut server = Running::start(signal);
        let mut hanging = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
        hanging.write_all(b"GET / HTTP/1.1\r\nHost: local").unwrap();
        assert_eq!(server.get("/health").body(), "ok\n");
        let sent = Command::new("kill").arg(format!("-{signal}")).arg(server.child.id().to_string()).status().unwrap();
        assert!(sent.success());
        assert_eq!(server.child.wait().unwrap().code(), Some(0), "SIG{signal}");
    }
}
