//! Serves the built app to this computer's browsers.

use std::future::Future;
use std::net::{IpAddr, SocketAddr};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use axum::http::{Method, StatusCode};
use axum::response::Response;
use tokio::net::TcpListener;

use crate::site::{Asset, Site};

/// After a stop is asked for, a call that hangs is given this long.
const STOP_PATIENCE: Duration = Duration::from_secs(3);

/// Where to serve, and what.
pub struct Options<'a> {
    pub app: &'a Path,
    pub host: &'a str,
    /// 0 takes any free port.
    pub port: u16,
}

/// A server that holds its port but does not answer yet.
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    site: Site,
}

impl Server {
    /// Reads the app and takes the port. The error is a sentence for the person who started it.
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
        Ok(Self { listener, address, site })
    }

    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// The address a person types.
    pub fn url(&self) -> String {
        match self.address.ip() {
            ip if ip.is_loopback() && ip.is_ipv4() || ip.is_unspecified() => {
                format!("http://localhost:{}/", self.address.port())
            }
            _ => format!("http://{}/", self.address),
        }
    }

    /// Answers until `stop` is done, then lets the calls under way finish.
    pub async fn run(self, stop: impl Future<Output = ()> + Send + 'static) -> Result<(), String> {
        let house = Arc::new(House { site: self.site, bound: self.address.ip() });
        let router = Router::new().fallback(answer).with_state(house);
        let (stopping, mut stopped) = tokio::sync::watch::channel(false);
        let told = async move {
            stop.await;
            let _ = stopping.send(true);
        };
        let serving = axum::serve(self.listener, router).with_graceful_shutdown(told);
        let patience = async {
            let _ = stopped.wait_for(|stopped| *stopped).await;
            tokio::time::sleep(STOP_PATIENCE).await;
        };
        tokio::select! {
            ended = serving => ended.map_err(|error| format!("Serving ended: {error}.")),
            () = patience => Ok(()),
        }
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
}

async fn answer(State(house): State<Arc<House>>, request: Request) -> Response {
    let mut response = respond(&house, &request);
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

fn respond(house: &House, request: &Request) -> Response {
    if !host_is_ours(house.bound, request) {
        // A page elsewhere can point its own name at this computer; it must not get the shop's data by that.
        return plain(StatusCode::MISDIRECTED_REQUEST, "This address does not belong to Tailplate.");
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD) {
        let mut response = plain(StatusCode::METHOD_NOT_ALLOWED, "Only reading is possible here.");
        response.headers_mut().insert(header::ALLOW, HeaderValue::from_static("GET, HEAD"));
        return response;
    }
    if request.uri().path() == "/health" {
        return plain(StatusCode::OK, "ok");
    }
    // Decoded once and no more; what is then no name of a file of the app does not exist.
    let path = percent_encoding::percent_decode_str(request.uri().path()).decode_utf8().ok();
    match path.and_then(|path| house.site.asset(&path)) {
        Some(asset) => file(asset, request.headers()),
        None => plain(StatusCode::NOT_FOUND, "There is nothing at this address."),
    }
}

fn file(asset: &Asset, asked: &HeaderMap) -> Response {
    let brotli = asset.brotli.as_ref().filter(|_| accepts_brotli(asked));
    let encoded = brotli.unwrap_or(&asset.plain);
    let cache = if asset.immutable { "public, max-age=31536000, immutable" } else { "no-cache" };
    let mut response = Response::builder().header(header::CACHE_CONTROL, cache).header(header::ETAG, &encoded.etag);
    if asset.brotli.is_some() {
        response = response.header(header::VARY, "Accept-Encoding");
    }
    if has_it(asked, &encoded.etag) {
        return response.status(StatusCode::NOT_MODIFIED).body(Body::empty()).unwrap_or_default();
    }
    if brotli.is_some() {
        response = response.header(header::CONTENT_ENCODING, "br");
    }
    response
        .header(header::CONTENT_TYPE, asset.content_type)
        .header(header::CONTENT_LENGTH, encoded.bytes.len())
        .body(Body::from(encoded.bytes.clone()))
        .unwrap_or_default()
}

fn plain(status: StatusCode, text: &'static str) -> Response {
    Response::builder()
        .status(status)
        .header(header::CONTENT_TYPE, "text/plain; charset=utf-8")
        .header(header::CACHE_CONTROL, "no-store")
        .body(Body::from(format!("{text}\n")))
        .unwrap_or_default()
}

/// One Host header, and it names this computer. The port is left aside: it gives no one more reach.
fn host_is_ours(bound: IpAddr, request: &Request) -> bool {
    let mut hosts = request.headers().get_all(header::HOST).iter();
    let (Some(host), None) = (hosts.next(), hosts.next()) else {
        return false;
    };
    let authority = request.uri().authority().map(axum::http::uri::Authority::as_str);
    host.to_str().is_ok_and(|host| name_is_ours(bound, host)) && authority.is_none_or(|name| name_is_ours(bound, name))
}

fn name_is_ours(bound: IpAddr, host: &str) -> bool {
    let (name, port) = match host.rsplit_once(':') {
        Some((name, port)) if !port.contains(']') => (name, port),
        _ => (host, "0"),
    };
    if port.parse::<u16>().is_err() {
        return false;
    }
    if name.eq_ignore_ascii_case("localhost") {
        return true;
    }
    let literal = match name.strip_prefix('[') {
        Some(inner) => inner.strip_suffix(']').and_then(|inner| inner.parse().ok()).map(IpAddr::V6),
        None => name.parse().ok().map(IpAddr::V4),
    };
    // Bound to every address, any address in figures is fine: only a name can be pointed here by a stranger.
    literal.is_some_and(|ip| ip.is_loopback() || ip == bound || bound.is_unspecified())
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
