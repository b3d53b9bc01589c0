//! The servers that an outgrown shop is kept on: PostgreSQL, and one that speaks the S3 protocol. Each is started once for
//! all tests, on this computer alone, and ends with them.

use std::fs::File;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// Both names of the key of the bucket's server.
pub const BUCKET_KEY: &str = "S3RVER";
const BUCKET: &str = "tailplate";

/// `postgres://…` of a server on which databases may be made.
pub fn postgres() -> Option<&'static str> {
    static URL: OnceLock<Option<String>> = OnceLock::new();
    URL.get_or_init(|| there("PostgreSQL", tool("initdb")).map(|initdb| start_postgres(&initdb))).as_deref()
}

/// The address of a server of buckets, and a bucket there.
pub fn bucket() -> Option<(&'static str, &'static str)> {
    static URL: OnceLock<Option<String>> = OnceLock::new();
    let url = URL.get_or_init(|| there("the S3 server s3rver", tool("s3rver")).map(|s3rver| start_bucket(&s3rver)));
    url.as_deref().map(|url| (url, BUCKET))
}

/// Without it the tests that need it are left out; `cargo xtask test` does not allow that.
fn there(what: &str, tool: Option<PathBuf>) -> Option<PathBuf> {
    if tool.is_none() {
        assert!(
            std::env::var_os("TAILPLATE_ALL_STORES").is_none(),
            "{what} is missing; `cargo xtask test` fetches it or says how."
        );
        println!("Left out: {what} is not installed.");
    }
    tool
}

fn tool(name: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    // Debian keeps PostgreSQL's own programs out of the way.
    if let Ok(versions) = std::fs::read_dir("/usr/lib/postgresql") {
        folders.extend(versions.flatten().map(|version| version.path().join("bin")));
    }
    folders.into_iter().map(|folder| folder.join(name)).find(|file| file.is_file())
}

fn start_postgres(initdb: &Path) -> String {
    let folder = fresh("postgres");
    let data = folder.join("data");
    let mut make = as_a_user(initdb);
    make.arg("-D").arg(&data).args(["-U", "tailplate", "-A", "trust", "-E", "UTF8", "--no-locale"]);
    let made = make.output().unwrap();
    assert!(made.status.success(), "PostgreSQL can't be laid out: {}", String::from_utf8_lossy(&made.stderr));
    // The port is free when it is looked for; another program may be faster.
    for _ in 0..5 {
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port().to_string();
        let mut server = as_a_user(&initdb.canonicalize().unwrap().with_file_name("postgres"));
        server.arg("-D").arg(&data).args(["-p", &port, "-c", "listen_addresses=127.0.0.1"]);
        server.args(["-c", "unix_socket_directories=", "-c", "max_connections=300"]);
        if until_it_says(server, &folder, "ready to accept connections").is_some() {
            return format!("postgres://tailplate@127.0.0.1:{port}/postgres");
        }
    }
    panic!("PostgreSQL does not start: {}", log(&folder));
}

fn start_bucket(s3rver: &Path) -> String {
    let folder = fresh("bucket");
    let mut server = Command::new(s3rver);
    server.arg("-d").arg(folder.join("data")).args(["-a", "127.0.0.1", "-p", "0", "--configure-bucket", BUCKET]);
    let said = until_it_says(server, &folder, "S3rver listening on ");
    format!("http://{}", said.unwrap_or_else(|| panic!("s3rver does not start: {}", log(&folder))))
}

/// A folder that others may write to as well: PostgreSQL does not run as root, so it is another user's.
fn fresh(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("tailplate-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o777)).unwrap();
    }
    folder
}

fn as_a_user(program: &Path) -> Command {
    if !is_root() {
        return Command::new(program);
    }
    let mut command = Command::new("setpriv");
    command.args(["--reuid=nobody", "--regid=nogroup", "--clear-groups", "--"]).arg(program).current_dir("/");
    command
}

pub fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|output| output.stdout == b"0\n")
}

/// Starts a server that ends when this process does, however that ends, and takes its folder along. Gives the rest of the
/// line in which it says that it is ready; none if it ended before.
fn until_it_says(server: Command, folder: &Path, ready: &str) -> Option<String> {
    // The shell waits at a pipe that breaks with this process. What it starts has its own empty input.
    const WITH_US: &str = "folder=$1; shift; \"$@\" & server=$!; read _; kill \"$server\"; wait; rm -rf \"$folder\"";
    static HELD: std::sync::Mutex<Vec<Child>> = std::sync::Mutex::new(Vec::new());
    let mut shell = Command::new("sh");
    shell.args(["-c", WITH_US, "sh"]).arg(folder).arg(server.get_program()).args(server.get_args());
    let out = File::create(folder.join("log")).unwrap();
    let shell = shell.stdin(Stdio::piped()).stdout(out.try_clone().unwrap()).stderr(out).spawn().unwrap();
    let pid = shell.id();
    HELD.lock().unwrap().push(shell);
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(60) {
        let said = log(folder);
        if let Some((_, rest)) = said.split_once(ready)
            && let Some((rest, _)) = rest.split_once('\n')
        {
            return Some(rest.trim().to_owned());
        }
        if !has_children(pid) && begun.elapsed() > Duration::from_secs(1) {
            return None;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    None
}

/// Whether the server that the shell started still runs.
fn has_children(pid: u32) -> bool {
    let children = std::fs::read_to_string(format!("/proc/{pid}/task/{pid}/children"));
    children.map_or(true, |children| !children.trim().is_empty())
}

fn log(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("log")).unwrap_or_default()
}
