//! How it stands on a network: HTTPS, and patience that ends.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::sync::Arc;
use std::time::{Duration, Instant};

use tailplate_hub::api::PATIENCE;
use tailplate_hub::secure;
use tailplate_hub::serve::{Options, Server};
use tailplate_hub::store::Places;

use crate::folder::Folder;
use crate::phone::Phone;
use crate::running::{Answer, ask};

/// The server within this process, for what the program does not let one set or ask.
async fn within(folder: &Folder, host: &str, patience: Duration) -> (SocketAddr, Server) {
    let places = Places::at(&folder.data());
    let app = folder.app();
    let options = Options { app: &app, host, port: 0, names: &[], keep: Some(&places), patience };
    let server = Server::bind(&options).await.unwrap();
    (server.address(), server)
}

#[test]
fn a_body_that_dawdles_is_let_go() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let folder = Folder::new("slow");
    let patience = Duration::from_millis(300);
    let (address, server) = runtime.block_on(within(&folder, "127.0.0.1", patience));
    let code = runtime.block_on(server.hub().unwrap().store.new_code()).unwrap().0;
    runtime.spawn(server.run(std::future::pending()));
    let phone = Phone::pair(address.port(), &code);
    let head = format!(
        "POST /api/push HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n{}Content-Length: 1000\r\n\r\n",
        phone.bearer()
    );
    // One that stops, and one that sends a byte now and then for ever.
    for pause in [Duration::from_secs(60), Duration::from_millis(100)] {
        let begun = Instant::now();
        let mut stream = TcpStream::connect(address).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        let mut reading = stream.try_clone().unwrap();
        let dripping = std::thread::spawn(move || {
            while begun.elapsed() < Duration::from_secs(20) && stream.write_all(b"x").is_ok() {
                std::thread::sleep(pause.min(Duration::from_secs(20)));
            }
        });
        let mut bytes = Vec::new();
        reading.set_read_timeout(Some(Duration::from_secs(15))).unwrap();
        let _ = reading.read_to_end(&mut bytes);
        let answer = Answer::of(&bytes).expect("an answer");
        assert_eq!(answer.word(), (408, "too-slow".to_owned()), "{pause:?}");
        assert!(begun.elapsed() < Duration::from_secs(10));
        if pause < Duration::from_secs(1) {
            dripping.join().unwrap();
        }
    }
    assert_eq!(phone.pull_all(), []);
}

#[test]
fn on_the_network_there_is_https_only_and_it_holds_across_restarts() {
    use rustls::pki_types::{CertificateDer, ServerName};
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let folder = Folder::new("https");
    let trusted = {
        let (_, server) = runtime.block_on(within(&folder, "0.0.0.0", PATIENCE));
        server.authority_der().unwrap()
    };
    // Trusted before the restart, it is trusted after.
    let (address, server) = runtime.block_on(within(&folder, "0.0.0.0", PATIENCE));
    let (fingerprint, url) = (server.fingerprint().unwrap(), server.url());
    runtime.spawn(server.run(std::future::pending()));
    let mut roots = rustls::RootCertStore::empty();
    roots.add(CertificateDer::from(trusted.clone())).unwrap();
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let config = rustls::ClientConfig::builder_with_provider(provider).with_safe_default_protocol_versions().unwrap();
    let config = Arc::new(config.with_root_certificates(roots).with_no_client_auth());
    let get = |host: &str, path: &str| {
        let name = ServerName::try_from(host.to_owned()).unwrap();
        let connection = rustls::ClientConnection::new(config.clone(), name).unwrap();
        let stream = TcpStream::connect(("127.0.0.1", address.port())).unwrap();
        let mut stream = rustls::StreamOwned::new(connection, stream);
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}:{}\r\nConnection: close\r\n\r\n", address.port()).unwrap();
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        Answer::of(&bytes).unwrap()
    };
    for host in
        secure::home_addresses().iter().filter(|ip| ip.is_ipv4()).map(ToString::to_string).chain(["localhost".into()])
    {
        assert_eq!(get(&host, "/health").body, b"ok\n", "{host}");
    }
    let page = get("localhost", "/trust");
    assert!(String::from_utf8_lossy(&page.body).contains(&fingerprint));
    assert_eq!(page.header("content-type"), Some("text/html; charset=utf-8"));
    let file = get("localhost", "/trust/tailplate.crt");
    assert_eq!((file.body, file.status), (trusted, 200));

    // Plain HTTP: to this computer's own browsers yes, to the network only the way to HTTPS.
    assert_eq!(ask(address.port(), "GET", "/health", "", b"").unwrap().body, b"ok\n");
    let all = if_addrs::get_if_addrs().unwrap();
    let Some(ip) = all.iter().map(if_addrs::Interface::ip).find(|ip| ip.is_ipv4() && !ip.is_loopback()) else {
        println!("This computer has no address in any network: its plain HTTP could not be asked.");
        return;
    };
    let mut stream = TcpStream::connect((ip, address.port())).unwrap();
    // It answers at the first byte and hangs up; the rest may find nobody.
    let _ = stream.write_all(format!("GET /api/devices HTTP/1.1\r\nHost: {ip}\r\n\r\n").as_bytes());
    let mut text = String::new();
    let _ = stream.read_to_string(&mut text);
    let there = format!("Location: {url}trust\r\n");
    assert!(text.starts_with("HTTP/1.1 308") && text.contains(&there) && text.ends_with("\r\n\r\n"), "{text}");
}
