//! The types of a call and its answer.

use std::convert::Infallible;

use http_body_util::channel::Channel;
use http_body_util::combinators::UnsyncBoxBody;
use http_body_util::{BodyExt, Full};
use hyper::body::{Bytes, Incoming};

pub type Request = hyper::Request<Incoming>;
pub type Response = hyper::Response<Body>;
/// All at once, or bit by bit.
pub type Body = UnsyncBoxBody<Bytes, Infallible>;

pub fn full(bytes: impl Into<Bytes>) -> Body {
    Full::new(bytes.into()).boxed_unsync()
}

pub fn empty() -> Body {
    full(Bytes::new())
}

pub fn streamed(channel: Channel<Bytes, Infallible>) -> Body {
    channel.boxed_unsync()
}

pub fn builder() -> hyper::http::response::Builder {
    hyper::Response::builder()
}
