//! From the network to the routes and back: TLS, headers, limits, the log, an orderly end.

use std::net::SocketAddr;
use std::path::Path;
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
use axum_server::Handle;
use axum_server::tls_rustls::RustlsConfig;
use tower_http::compression::CompressionLayer;
use tower_http::compression::predicate::{DefaultPredicate, NotForContentType, Predicate};
use tower_http::timeout::TimeoutLayer;

use super::house::{House, Shared};
use super::{Options, changes, routes};
use crate::cli::FINE;
use crate::desk::{Done, Ended};
use crate::write;

/// Largest request: a folder of lifts and vehicles as CSV, or a scanned report.
const MOST_BYTES: usize = 4 * 1024 * 1024;
/// No answer takes so long; streams of events are not held to it.
const LONGEST: Duration = Duration::from_secs(20);
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
    let tls = certificate(options).await?;
    let house = House::open(options, tls.is_some()).await?;
    let listener = std::net::TcpListener::bind(options.listen).map_err(|fault| {
        Ended::bad(
            &format!("--listen {}: it cannot listen there: {fault}", options.listen),
            "take another port, or stop the program that has it",
        )
    })?;
    let failed = |fault: std::io::Error| Ended::bad(&format!("it cannot listen: {fault}"), "try again");
    listener.set_nonblocking(true).map_err(failed)?;
    let address = listener.local_addr().map_err(failed)?;
    let handle = Handle::new();
    let looking = tokio::spawn(changes::look(Arc::downgrade(&house)));
    tokio::spawn(stop(handle.clone(), Arc::clone(&house)));
    let scheme = if tls.is_some() { "https" } else { "http" };
    write::out(&format!("{scheme}://{address}\n"), FINE);
    let service = app(&house).into_make_service_with_connect_info::<SocketAddr>();
    let served = match tls {
        Some(tls) => {
            axum_server::from_tcp_rustls(listener, tls).map_err(failed)?.handle(handle).serve(service).await
        }
        None => axum_server::from_tcp(listener).map_err(failed)?.handle(handle).serve(service).await,
    };
    looking.abort();
    house.close().await;
    served.map_err(failed)?;
    Ok(FINE)
}

/// Everything that stands between the network and the routes.
pub(crate) fn app(house: &Shared) -> axum::Router {
    let compressed = DefaultPredicate::new().and(NotForContentType::const_new("text/event-stream"));
    routes::router(house)
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, LONGEST))
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
    if house.secure {
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

/// The shop's certificate, or one made for it where the pages leave this machine.
async fn certificate(options: &Options) -> Result<Option<RustlsConfig>, Ended> {
    let files = match (&options.certificate, &options.key) {
        (Some(certificate), Some(key)) => (certificate.clone(), key.clone()),
        _ if options.listen.ip().is_loopback() => return Ok(None),
        _ => made(options)?,
    };
    // Fails only where one was installed already.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let read = RustlsConfig::from_pem_file(&files.0, &files.1).await;
    read.map(Some).map_err(|fault| {
        Ended::bad(
            &format!(
                "{}, {}: no certificate and key that can be used: {fault}",
                files.0.display(),
                files.1.display()
            ),
            "both must be PEM files, and belong together",
        )
    })
}

/// A certificate that this program made, kept beside the book so that tablets know it again.
fn made(options: &Options) -> Result<(std::path::PathBuf, std::path::PathBuf), Ended> {
    let beside = if options.place.is_file() { options.place.path() } else { "standfast".into() };
    let (certificate, key) = (beside.with_extension("certificate.pem"), beside.with_extension("key.pem"));
    if certificate.exists() && key.exists() {
        return Ok((certificate, key));
    }
    let failed = |why: String| {
        Ended::bad(
            &format!("no certificate could be made: {why}"),
            "name the shop's own with --certificate and --key",
        )
    };
    let names = vec!["localhost".to_owned(), options.listen.ip().to_string()];
    let new = rcgen::generate_simple_self_signed(names).map_err(|fault| failed(fault.to_string()))?;
    let keep = |path: &Path, text: &str| {
        write::private(path, text).map_err(|fault| failed(format!("{}: {fault}", path.display())))
    };
    keep(&key, &new.signing_key.serialize_pem())?;
    keep(&certificate, &new.cert.pem())?;
    Ok((certificate, key))
}
