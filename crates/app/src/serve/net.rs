//! From the network to the routes and back: TLS, headers, limits, the log, an orderly end.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::extract::{ConnectInfo, DefaultBodyLimit, Request, State};
use axum::http::StatusCode;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderName, HeaderValue, REFERRER_POLICY,
    STRICT_TRANSPORT_SECURITY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::middleware::{self, Next};
use axum::response::Response;
use axum_server::accept::NoDelayAcceptor;
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use axum_server::{Handle, Server};
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{DefaultPredicate, NotForContentType, Predicate};
use tower_http::timeout::TimeoutLayer;

use super::house::{House, Shared};
use super::reach::Reach;
use super::{Options, changes, ending, routes};
use crate::cli::FINE;
use crate::desk::{Done, Ended};
use crate::write;

/// Largest request: a folder of lifts and vehicles as CSV, or a scanned report.
pub(crate) const MOST_BYTES: usize = 4 * 1024 * 1024;
/// No answer takes so long; streams of events are not held to it.
const LONGEST: Duration = Duration::from_secs(20);
/// Nobody is waited for longer: at the handshake of TLS, for the head of a request, between two requests.
const SILENCE: Duration = Duration::from_secs(15);
/// What was begun when the program is told to stop may take so long.
const LAST_REQUESTS: Duration = Duration::from_secs(8);

/// Nothing from elsewhere, no script or style in a page, nobody frames us.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; \
     form-action 'self'; frame-ancestors 'none'; base-uri 'none'; manifest-src 'self'";

const HEADERS: [(HeaderName, &str); 4] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (X_FRAME_OPTIONS, "DENY"),
    (REFERRER_POLICY, "same-origin"),
];

pub(crate) async fn serve(options: &Options) -> Done {
    let house = House::open(options).await?;
    let tls = match &house.reach.certificate {
        Some(certificate) => Some(certificate.tls().await?),
        None => None,
    };
    let listener = std::net::TcpListener::bind(options.listen).map_err(|fault| {
        Ended::bad(
            &format!("--listen {}: it cannot listen there: {fault}", options.listen),
            "take another port, or stop the program that has it",
        )
    })?;
    let failed = |fault: std::io::Error| Ended::bad(&format!("it cannot listen: {fault}"), "try again");
    let address = listener.local_addr().map_err(failed)?;
    let handle = Handle::new();
    let looking = tokio::spawn(changes::look(Arc::downgrade(&house)));
    tokio::spawn(stop(handle.clone(), Arc::clone(&house)));
    let code = (!address.ip().is_loopback() && house.book().await.is_err()).then_some(house.code.as_str());
    write::out(&opened(&house.reach, address, code), FINE);
    let served = answer(listener, tls, &house, SILENCE, handle).await;
    looking.abort();
    house.close().await;
    served.map_err(failed)?;
    Ok(FINE)
}

/// What to type, a line each; how to know the certificate again; with what a book is begun from another machine.
fn opened(reach: &Reach, listening: SocketAddr, code: Option<&str>) -> String {
    let mut lines = reach.to_type(listening);
    if let Some(certificate) = &reach.certificate {
        lines.push(format!("SHA-256 of the certificate: {}", certificate.fingerprint()));
    }
    lines.extend(code.map(|code| format!("Code to begin the shop's book from another machine: {code}")));
    lines.into_iter().map(|line| line + "\n").collect()
}

/// Answers until the handle says that it is enough. What is small is sent at once: a finger waits for it, or an open page.
pub(crate) async fn answer(
    listener: std::net::TcpListener,
    tls: Option<RustlsConfig>,
    house: &Shared,
    silence: Duration,
    handle: Handle<SocketAddr>,
) -> std::io::Result<()> {
    let service = app(house).into_make_service_with_connect_info::<SocketAddr>();
    let server = patient(axum_server::from_tcp(listener)?.handle(handle), silence);
    match tls {
        Some(tls) => {
            let secured = RustlsAcceptor::new(tls).handshake_timeout(silence).acceptor(NoDelayAcceptor);
            server.acceptor(secured).serve(service).await
        }
        None => server.acceptor(NoDelayAcceptor).serve(service).await,
    }
}

/// Who says nothing for so long, or does not come to the end of a request's head, is let go.
fn patient(mut server: Server<SocketAddr>, silence: Duration) -> Server<SocketAddr> {
    server.http_builder().http1().header_read_timeout(silence);
    server.http_builder().http2().keep_alive_interval(silence).keep_alive_timeout(silence);
    server.first_request_timeout(silence)
}

/// Everything that stands between the network and the routes.
pub(crate) fn app(house: &Shared) -> axum::Router {
    let compressed = DefaultPredicate::new().and(NotForContentType::const_new("text/event-stream"));
    routes::router(house)
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, LONGEST))
        .layer(middleware::from_fn_with_state(Arc::clone(house), routes::under_our_name))
        .layer(middleware::from_fn_with_state(Arc::clone(house), ending::told))
        .layer(CompressionLayer::new().compress_when(compressed))
        .layer(middleware::from_fn_with_state(Arc::clone(house), around))
}

/// Headers of every answer, and one line of the log. Addresses in it carry no PIN: those come in bodies only.
async fn around(State(house): State<Shared>, request: Request, next: Next) -> Response {
    let began = Instant::now();
    let line = format!("{} {}", request.method(), request.uri().path());
    let from = request.extensions().get::<ConnectInfo<SocketAddr>>().map(|info| info.0.ip());
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if house.reach.is_secure() {
        headers.insert(STRICT_TRANSPORT_SECURITY, HeaderValue::from_static("max-age=31536000"));
    }
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    if !house.quiet {
        let from = from.map(|ip| ip.to_string()).unwrap_or_default();
        let took = began.elapsed().as_millis();
        let at = jiff::Timestamp::now();
        write::err(&format!("{at:.0} {from} {line} {} {took} ms\n", response.status().as_u16()));
    }
    response
}

/// Waits until the program is told to stop, then lets what was begun end.
async fn stop(handle: Handle<SocketAddr>, house: Shared) {
    let interrupted = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        let terminated = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate());
        if let Ok(mut terminated) = terminated {
            tokio::select! { _ = interrupted => {}, _ = terminated.recv() => {} }
        } else {
            let _ = interrupted.await;
        }
    }
    #[cfg(not(unix))]
    {
        let _ = interrupted.await;
    }
    house.changes.stop();
    handle.graceful_shutdown(Some(LAST_REQUESTS));
}
