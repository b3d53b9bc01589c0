//! The real program over real sockets, asked byte by byte.

use std::fs::File;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

use serde_json::Value;
use tailplate_hub::api::OPENAPI;

use crate::folder::Folder;
use crate::kept::Kept;
use crate::phone::Phone;

pub struct Running {
    pub child: Child,
    /// Held open: a program whose answer nobody reads goes on, but it should not have to.
    _out: BufReader<ChildStdout>,
    pub port: u16,
    pub code: String,
}

impl Running {
    pub fn start(kept: &Kept) -> Self {
        let mut program = kept.program(&["serve", "--port", "0"]);
        program.arg("--app").arg(kept.folder.app());
        Self::of(program, &kept.folder)
    }

    /// Started by this command; its log goes to the end of the folder's.
    pub fn of(mut program: Command, folder: &Folder) -> Self {
        let log = File::options().create(true).append(true).open(folder.log()).unwrap();
        let mut child = program.stdout(Stdio::piped()).stderr(log).spawn().unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let (mut port, mut code) = (0, String::new());
        let mut line = String::new();
        while code.is_empty() {
            line.clear();
            assert!(out.read_line(&mut line).unwrap() > 0, "the program ended: {}", folder.logged());
            if let Some(rest) = line.trim().strip_prefix("Tailplate is at http://localhost:") {
                port = rest.trim_end_matches('/').parse().unwrap();
            }
            if let Some(rest) = line.strip_prefix("or it is given the code ") {
                code = rest[..9].to_owned();
            }
        }
        Self { child, _out: out, port, code }
    }

    pub fn pair(&self) -> Phone {
        Phone::pair(self.port, &self.code)
    }

    /// SIGKILL on Unix.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[derive(Debug, Clone)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let at = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
        let head = String::from_utf8_lossy(&bytes[..at]).into_owned();
        Some(Self { status: head.split(' ').nth(1)?.parse().ok()?, head, body: bytes[at + 4..].to_vec() })
    }
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&self.body)))
    }
    /// The word for the program, of what is refused.
    pub fn word(&self) -> (u16, String) {
        (self.status, self.json()["error"].as_str().unwrap_or_default().to_owned())
    }
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.find_map(|(key, value)| key.eq_ignore_ascii_case(name).then_some(value))
    }
}

/// None if the connection breaks off before there is an answer.
pub fn send(port: u16, head: &str, body: &[u8]) -> Option<Answer> {
    let mut stream = TcpStream::connect(("127.0.0.1", port)).ok()?;
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    stream.write_all(head.as_bytes()).ok()?;
    // One who refuses early may close while the rest is still being sent.
    let _ = stream.write_all(body);
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let answer = Answer::of(&bytes)?;
    // A hub that was killed while it answered has answered nothing.
    let told = answer.header("content-length").and_then(|length| length.parse().ok());
    let is_whole = head.starts_with("HEAD") || told.is_none_or(|length: usize| length == answer.body.len());
    is_whole.then_some(answer)
}

/// A call, whose answer must be one that the API's own description tells of.
pub fn ask(port: u16, method: &str, path: &str, headers: &str, body: &[u8]) -> Option<Answer> {
    let length = body.len();
    let head = format!(
        "{method} {path} HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\nContent-Length: {length}\r\n{headers}\r\n"
    );
    let answer = send(port, &head, body)?;
    if let Some(described) = described(method, path) {
        is_as_described(&described, method, path, &answer);
    }
    Some(answer)
}

/// A connection that stays open, as a browser's does, and counts what goes over it.
pub struct Line {
    stream: BufReader<TcpStream>,
    port: u16,
    pub bytes_sent: u64,
    pub bytes_received: u64,
}

impl Line {
    pub fn open(port: u16) -> Self {
        let stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
        stream.set_nodelay(true).unwrap();
        Self { stream: BufReader::new(stream), port, bytes_sent: 0, bytes_received: 0 }
    }

    pub fn ask(&mut self, method: &str, path: &str, headers: &str, body: &[u8]) -> Answer {
        let (port, length) = (self.port, body.len());
        let head =
            format!("{method} {path} HTTP/1.1\r\nHost: localhost:{port}\r\nContent-Length: {length}\r\n{headers}\r\n");
        let stream = self.stream.get_mut();
        stream.write_all(&[head.as_bytes(), body].concat()).unwrap();
        self.bytes_sent += (head.len() + length) as u64;
        let mut bytes = Vec::new();
        while !bytes.ends_with(b"\r\n\r\n") {
            assert!(self.stream.read_until(b'\n', &mut bytes).unwrap() > 0, "the hub hung up");
        }
        let mut answer = Answer::of(&bytes).unwrap();
        let length = answer.header("content-length").map_or(0, |length| length.parse().unwrap());
        answer.body.resize(length, 0);
        self.stream.read_exact(&mut answer.body).unwrap();
        self.bytes_received += (bytes.len() + length) as u64;
        answer
    }
}

/// What the description says of a call; none of what is no call.
fn described(method: &str, path: &str) -> Option<Value> {
    let document: Value = serde_json::from_str(OPENAPI).unwrap();
    let calls = document["paths"].as_object().unwrap();
    let of = |pattern: &String| match pattern.split_once('{') {
        Some((front, _)) => path.strip_prefix(front).is_some_and(|word| !word.is_empty() && !word.contains('/')),
        None => pattern == path,
    };
    let mut answers = calls.iter().filter(|(pattern, _)| of(pattern)).map(|(_, call)| &call[method.to_lowercase()]);
    let answers = answers.find(|call| call.is_object())?["responses"].clone();
    Some(match answers {
        Value::Object(map) => {
            let resolve = |value: Value| match value["$ref"].as_str().and_then(|at| at.strip_prefix('#')) {
                Some(at) => document.pointer(at).unwrap().clone(),
                None => value,
            };
            map.into_iter().map(|(status, value)| (status, resolve(value))).collect::<serde_json::Map<_, _>>().into()
        }
        other => other,
    })
}

fn is_as_described(answers: &Value, method: &str, path: &str, answer: &Answer) {
    let what = format!("{method} {path} answers {}, {:?}", answer.status, answer.header("content-type"));
    let told = &answers[answer.status.to_string()];
    assert!(told.is_object(), "{what}; the description does not know that");
    match (told["content"].as_object(), answer.header("content-type")) {
        (Some(kinds), Some(kind)) => assert!(kinds.contains_key(kind), "{what}; described: {kinds:?}"),
        (None, None) => {}
        (kinds, _) => panic!("{what}; described: {kinds:?}"),
    }
}
