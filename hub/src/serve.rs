//! Serves the built app, and to paired devices what the shop keeps.
//!
//! On this computer alone that is plain HTTP. On the shop's network it is HTTPS, and plain HTTP is answered only to this
//! computer's own browsers, on the same port: the first byte of a connection tells which it is.

use std::convert::Infallible;
use std::future::Future;
use std::net::{IpAddr, SocketAddr};
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use hyper::header::{self, HeaderMap, HeaderName, HeaderValue};
use hyper::{Method, StatusCode};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use tokio::io::{AsyncRead, AsyncWrite, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio_rustls::TlsAcceptor;

use crate::api::{self, Hub};
use crate::http::{Request, Response, builder, empty, full};
use crate::near::{Announced, local_name};
use crate::secure::{Authority, Shown, address_for_phones};
use crate::site::{Asset, Site};
use crate::store::{Photos, Places, Store};
use crate::trust;

/// After a stop is asked for, a call that hangs is given this long.
const STOP_PATIENCE: Duration = Duration::from_secs(3);
/// For the head of a call to come in, or the next call on an open connection.
const HEAD_PATIENCE: Duration = Duration::from_secs(30);
/// For a handshake.
const HANDSHAKE_PATIENCE: Duration = Duration::from_secs(10);
/// Connections at once; more wait at the door.
const CONNECTIONS_MAX: usize = 512;

/// Where to serve, and what.
pub struct Options<'a> {
    pub app: &'a Path,
    pub host: &'a str,
    /// 0 takes any free port.
    pub port: u16,
    /// Further names by which this computer is called.
    pub names: &'a [String],
    /// Without it only the app is served.
    pub keep: Option<&'a Places>,
    /// For one piece of a body to come in.
    pub patience: Duration,
}

/// A server that holds its port but does not answer yet.
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    house: Arc<House>,
    stopping: watch::Sender<bool>,
}

impl Server {
    /// Reads the app, opens the store and takes the port. The error is a sentence for the person who started it.
    pub async fn bind(options: &Options<'_>) -> Result<Self, String> {
        let site = Site::read(options.app)?;
        let (host, port) = (options.host, options.port);
        let ip: IpAddr = match host.trim_matches(['[', ']']) {
            "localhost" => [127, 0, 0, 1].into(),
            literal => literal.parse().map_err(|_| {
                format!("--host takes an address of this computer, such as 127.0.0.1; “{host}” is none.")
            })?,
        };
        let listener = TcpListener::bind((ip, port)).await.map_err(|error| match error.kind() {
            std::io::ErrorKind::AddrInUse => format!(
                "Port {port} is taken by another program: stop that one, or choose another port with --port \
                 (0 takes any free one)."
            ),
            std::io::ErrorKind::PermissionDenied => {
                format!("Port {port} is not open to this user: choose one above 1023 with --port.")
            }
            std::io::ErrorKind::AddrNotAvailable => {
                format!("{host} is not an address of this computer: leave --host out, or give one that is.")
            }
            _ => format!("{host}, port {port}, can't be opened: {error}."),
        })?;
        let address = listener.local_addr().map_err(|error| format!("The port's address is not known: {error}."))?;
        let (stopping, stopped) = watch::channel(false);
        let mut house = House { site, bound: address.ip(), names: options.names.to_vec(), hub: None, shown: None };
        if let Some(places) = options.keep {
            let store = Store::open(places).await?;
            store.begin_era().await?;
            let photos = Photos::open(places)?;
            if !address.ip().is_loopback() {
                let authority = Authority::open(&places.authority(), store.shop())?;
                house.names.push(local_name(store.shop()));
                let names = house.names.iter().cloned().chain(["localhost".into()]).collect();
                house.shown = Some(Shown::new(authority, names)?);
            }
            let url = url(address, house.shown.is_some(), options.names);
            house.hub = Some(Arc::new(Hub::new(store, photos, url, options.patience, stopped)));
        }
        Ok(Self { listener, address, house: Arc::new(house), stopping })
    }

    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// The address a person types.
    pub fn url(&self) -> String {
        match &self.house.hub {
            Some(hub) => hub.url.clone(),
            None => url(self.address, false, &[]),
        }
    }

    /// What the shop keeps, if it keeps anything.
    pub fn hub(&self) -> Option<&Arc<Hub>> {
        self.house.hub.as_ref()
    }

    /// The fingerprint of the certificate authority, where HTTPS is served.
    pub fn fingerprint(&self) -> Option<String> {
        self.house.shown.as_ref().map(|shown| shown.authority().fingerprint())
    }

    /// The certificate authority as phones take it in, where HTTPS is served.
    pub fn authority_der(&self) -> Option<Vec<u8>> {
        self.house.shown.as_ref().map(|shown| shown.authority().der().to_vec())
    }

    /// Answers until `stop` is done, then lets the calls under way finish.
    pub async fn run(self, stop: impl Future<Output = ()> + Send + 'static) -> Result<(), String> {
        let Self { listener, address, house, stopping } = self;
        let acceptor = house.shown.as_ref().map(|shown| shown.config().map(TlsAcceptor::from)).transpose()?;
        let mut helpers = tokio::task::JoinSet::new();
        if let Some(hub) = &house.hub {
            helpers.spawn(hub.clone().look_after());
        }
        let announced = house
            .hub
            .as_ref()
            .filter(|_| house.shown.is_some())
            .and_then(|hub| Announced::start(hub.store.shop(), address.port()));
        if let Some(shown) = &house.shown {
            helpers.spawn(shown.clone().keep_fresh());
        }
        let graceful = GracefulShutdown::new();
        let places = Arc::new(Semaphore::new(CONNECTIONS_MAX));
        tokio::pin!(stop);
        loop {
            let Ok(place) = places.clone().acquire_owned().await else { break };
            let accepted = tokio::select! {
                accepted = listener.accept() => accepted,
                () = &mut stop => break,
            };
            let Ok((stream, peer)) = accepted else {
                // Out of files, most likely: others will close.
                tokio::time::sleep(Duration::from_millis(50)).await;
                continue;
            };
            let (house, acceptor, watcher) = (house.clone(), acceptor.clone(), graceful.watcher());
            tokio::spawn(async move {
                connection(stream, peer, house, acceptor, watcher).await;
                drop(place);
            });
        }
        drop((listener, announced));
        let _ = stopping.send(true);
        helpers.shutdown().await;
        let _ = tokio::time::timeout(STOP_PATIENCE, graceful.shutdown()).await;
        if let Some(hub) = &house.hub {
            let _ = tokio::time::timeout(STOP_PATIENCE, hub.store.close()).await;
        }
        Ok(())
    }
}

fn url(address: SocketAddr, secure: bool, names: &[String]) -> String {
    let (ip, port) = (address.ip(), address.port());
    match (secure, names.first()) {
        (true, _) => {
            // Without a network there is only this computer to call from.
            let here = IpAddr::from([127, 0, 0, 1]);
            let ip = if ip.is_unspecified() { address_for_phones(ip).unwrap_or(here) } else { ip };
            format!("https://{}/", SocketAddr::new(ip, port))
        }
        // Another server stands before this one, with that name and a certificate for it.
        (false, Some(name)) => format!("https://{name}/"),
        (false, None) if ip.is_loopback() && ip.is_ipv4() || ip.is_unspecified() => format!("http://localhost:{port}/"),
        (false, None) => format!("http://{address}/"),
    }
}

/// Done when this process is asked to stop (Ctrl-C, or SIGTERM).
pub async fn asked_to_stop() {
    let interrupted = async {
        let _ = tokio::signal::ctrl_c().await;
    };
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let Ok(mut terminated) = signal(SignalKind::terminate()) else {
            return interrupted.await;
        };
        tokio::select! {
            () = interrupted => {}
            _ = terminated.recv() => {}
        }
    }
    #[cfg(not(unix))]
    interrupted.await;
}

struct House {
    site: Site,
    bound: IpAddr,
    names: Vec<String>,
    hub: Option<Arc<Hub>>,
    /// Where HTTPS is served: what is shown for it.
    shown: Option<Arc<Shown>>,
}

async fn connection(
    stream: TcpStream,
    peer: SocketAddr,
    house: Arc<House>,
    acceptor: Option<TlsAcceptor>,
    watcher: Watcher,
) {
    let _ = stream.set_nodelay(true);
    let Some(acceptor) = acceptor else { return talk(stream, house, false, watcher).await };
    const HANDSHAKE: u8 = 0x16;
    let mut first = [0];
    match tokio::time::timeout(HANDSHAKE_PATIENCE, stream.peek(&mut first)).await {
        Ok(Ok(1)) if first[0] == HANDSHAKE => {
            if let Ok(Ok(stream)) = tokio::time::timeout(HANDSHAKE_PATIENCE, acceptor.accept(stream)).await {
                talk(stream, house, true, watcher).await;
            }
        }
        Ok(Ok(1)) if peer.ip().to_canonical().is_loopback() => talk(stream, house, false, watcher).await,
        Ok(Ok(1)) => send_to_https(stream, &house).await,
        _ => {}
    }
}

/// Somebody typed the address without its `https`: the answer names the right one, and nothing else.
async fn send_to_https(mut stream: TcpStream, house: &House) {
    let url = house.hub.as_ref().map_or("", |hub| hub.url.as_str());
    let answer = format!(
        "HTTP/1.1 308 Permanent Redirect\r\nLocation: {url}trust\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
    );
    let send = async {
        let _ = stream.write_all(answer.as_bytes()).await;
        let _ = stream.shutdown().await;
    };
    let _ = tokio::time::timeout(HANDSHAKE_PATIENCE, send).await;
}

async fn talk(
    stream: impl AsyncRead + AsyncWrite + Unpin + Send + 'static,
    house: Arc<House>,
    secure: bool,
    watcher: Watcher,
) {
    let service = hyper::service::service_fn(|request: Request| {
        let house = house.clone();
        async move { Ok::<_, Infallible>(answer(&house, request, secure).await) }
    });
    let mut server = hyper::server::conn::http1::Builder::new();
    server.timer(TokioTimer::new()).header_read_timeout(HEAD_PATIENCE);
    // One that breaks off has nobody to tell it to.
    let _ = watcher.watch(server.serve_connection(TokioIo::new(stream), service)).await;
}

async fn answer(house: &House, request: Request, secure: bool) -> Response {
    let (method, path) = (request.method().clone(), for_log(&request));
    let (mut response, is_logged) = respond(house, request, secure).await;
    let status = response.status();
    if status.is_client_error() && !is_logged {
        tracing::warn!(%method, path, status = status.as_u16(), "refused");
    }
    let headers = response.headers_mut();
    let mut set = |name: HeaderName, value: &str| {
        if let Ok(value) = HeaderValue::from_str(value) {
            headers.insert(name, value);
        }
    };
    set(header::CONTENT_SECURITY_POLICY, &house.site.policy);
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(header::REFERRER_POLICY, "no-referrer");
    set(
        HeaderName::from_static("permissions-policy"),
        "camera=(self), microphone=(), geolocation=(), accelerometer=(), gyroscope=(), magnetometer=(), midi=(), \
         payment=(), usb=(), serial=(), display-capture=(), browsing-topics=()",
    );
    set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    response
}

/// What is asked for, cut where it is longer than anything here.
fn for_log(request: &Request) -> String {
    request.uri().path().chars().take(200).collect()
}

/// The answer, and whether it stands in the log already.
async fn respond(house: &House, request: Request, secure: bool) -> (Response, bool) {
    if !host_is_ours(house, &request) {
        // A page elsewhere can point its own name at this computer; it must not get the shop's data by that.
        return (plain(StatusCode::MISDIRECTED_REQUEST, "This address does not belong to Tailplate."), false);
    }
    if let (Some(hub), true) = (&house.hub, request.uri().path().starts_with("/api/")) {
        return (call(hub, request, secure).await, true);
    }
    (read(house, &request).await, false)
}

/// What is for everybody: the app, and what a phone needs to trust this computer.
async fn read(house: &House, request: &Request) -> Response {
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        let mut response = plain(StatusCode::METHOD_NOT_ALLOWED, "Only reading is possible here.");
        response.headers_mut().insert(header::ALLOW, HeaderValue::from_static("GET, HEAD"));
        return response;
    }
    if request.uri().path() == "/health" {
        return health(house).await;
    }
    if let Some(shown) = &house.shown {
        match request.uri().path() {
            "/trust" => return typed("text/html; charset=utf-8", trust::page(&shown.authority().fingerprint())),
            trust::STYLE => return typed("text/css; charset=utf-8", trust::STYLE_TEXT),
            trust::FILE => return typed("application/x-x509-ca-cert", shown.authority().der().to_vec()),
            _ => {}
        }
    }
    // Decoded once and no more; what is then no name of a file of the app does not exist.
    let path = percent_encoding::percent_decode_str(request.uri().path()).decode_utf8().ok();
    match path.and_then(|path| house.site.asset(&path)) {
        Some(asset) => file(asset, request.headers()),
        None => plain(StatusCode::NOT_FOUND, "There is nothing at this address."),
    }
}

/// A call of a device, and a line in the log: who, what, how it went. Neither token nor code nor content stands in it.
async fn call(hub: &Arc<Hub>, request: Request, secure: bool) -> Response {
    let begun = Instant::now();
    let (method, path) = (request.method().clone(), for_log(&request));
    let (response, device) = if origin_is_ours(request.headers(), secure) {
        api::answer(hub, request).await
    } else {
        let told = "This page does not belong to Tailplate; nothing was done.";
        (api::Refusal::new(StatusCode::FORBIDDEN, "foreign-origin", told).response(), String::new())
    };
    let (status, ms) = (response.status().as_u16(), begun.elapsed().as_millis() as u64);
    tracing::info!(%method, path, status, ms, device, "call");
    response
}

/// A browser names the page that a call comes from; other programs name none.
fn origin_is_ours(headers: &HeaderMap, secure: bool) -> bool {
    let mut origins = headers.get_all(header::ORIGIN).iter();
    let Some(origin) = origins.next() else { return true };
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok());
    let (Ok(origin), Some(host), None) = (origin.to_str(), host, origins.next()) else { return false };
    match origin.split_once("://") {
        // A server before this one may have taken the “s” off.
        Some((scheme, from)) => (scheme == "https" || scheme == "http" && !secure) && from.eq_ignore_ascii_case(host),
        None => false,
    }
}

async fn health(house: &House) -> Response {
    const PATIENCE: Duration = Duration::from_secs(2);
    let answers = match &house.hub {
        Some(hub) => tokio::time::timeout(PATIENCE, hub.store.answers()).await.unwrap_or(false),
        None => true,
    };
    match answers {
        true => plain(StatusCode::OK, "ok"),
        false => plain(StatusCode::SERVICE_UNAVAILABLE, "The store does not answer."),
    }
}

fn typed(media_type: &str, body: impl Into<hyper::body::Bytes>) -> Response {
    let response = builder().header(header::CONTENT_TYPE, media_type);
    response.header(header::CACHE_CONTROL, "no-store").body(full(body)).unwrap_or_default()
}

fn file(asset: &Asset, asked: &HeaderMap) -> Response {
    let brotli = asset.brotli.as_ref().filter(|_| accepts_brotli(asked));
    let encoded = brotli.unwrap_or(&asset.plain);
    let cache = if asset.immutable { "public, max-age=31536000, immutable" } else { "no-cache" };
    let mut response = builder().header(header::CACHE_CONTROL, cache).header(header::ETAG, &encoded.etag);
    if asset.brotli.is_some() {
        response = response.header(header::VARY, "Accept-Encoding");
    }
    if has_it(asked, &encoded.etag) {
        return response.status(StatusCode::NOT_MODIFIED).body(empty()).unwrap_or_default();
    }
    if brotli.is_some() {
        response = response.header(header::CONTENT_ENCODING, "br");
    }
    response
        .header(header::CONTENT_TYPE, asset.content_type)
        .header(header::CONTENT_LENGTH, encoded.bytes.len())
        .body(full(encoded.bytes.clone()))
        .unwrap_or_default()
}

fn plain(status: StatusCode, text: &'static str) -> Response {
    builder()
        .status(status)
        .header(header::CONTENT_TYPE, "text/plain; charset=utf-8")
        .header(header::CACHE_CONTROL, "no-store")
        .body(full(format!("{text}\n")))
        .unwrap_or_default()
}

/// One Host header, and it names this computer. The port is left aside: it gives no one more reach.
fn host_is_ours(house: &House, request: &Request) -> bool {
    let mut hosts = request.headers().get_all(header::HOST).iter();
    let (Some(host), None) = (hosts.next(), hosts.next()) else {
        return false;
    };
    let authority = request.uri().authority().map(hyper::http::uri::Authority::as_str);
    host.to_str().is_ok_and(|host| name_is_ours(house, host)) && authority.is_none_or(|name| name_is_ours(house, name))
}

fn name_is_ours(house: &House, host: &str) -> bool {
    let (name, port) = match host.rsplit_once(':') {
        Some((name, port)) if !port.contains(']') => (name, port),
        _ => (host, "0"),
    };
    if port.parse::<u16>().is_err() {
        return false;
    }
    if name.eq_ignore_ascii_case("localhost") || house.names.iter().any(|ours| name.eq_ignore_ascii_case(ours)) {
        return true;
    }
    let literal = match name.strip_prefix('[') {
        Some(inner) => inner.strip_suffix(']').and_then(|inner| inner.parse().ok()).map(IpAddr::V6),
        None => name.parse().ok().map(IpAddr::V4),
    };
    // Bound to every address, any address in figures is fine: only a name can be pointed here by a stranger.
    literal.is_some_and(|ip| ip.is_loopback() || ip == house.bound || house.bound.is_unspecified())
}

/// `br` is offered and not refused by a weight of zero. A bare `*` is not taken for an offer.
fn accepts_brotli(asked: &HeaderMap) -> bool {
    let offers = asked.get_all(header::ACCEPT_ENCODING).iter().filter_map(|value| value.to_str().ok());
    offers.flat_map(|value| value.split(',')).any(|offer| {
        let mut parts = offer.split(';').map(str::trim);
        let is_brotli = parts.next().is_some_and(|name| name.eq_ignore_ascii_case("br"));
        let weight = parts.find_map(|part| part.strip_prefix("q=").or_else(|| part.strip_prefix("Q=")));
        is_brotli && weight.is_none_or(|weight| weight.parse::<f32>().is_ok_and(|weight| weight > 0.0))
    })
}

fn has_it(asked: &HeaderMap, etag: &str) -> bool {
    let tags = asked.get_all(header::IF_NONE_MATCH).iter().filter_map(|value| value.to_str().ok());
    tags.flat_map(|value| value.split(',')).map(str::trim).any(|tag| tag == "*" || tag.trim_start_matches("W/") == etag)
}
