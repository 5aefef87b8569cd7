//! Connections that are never ended, names that are not ours, certificates.

use std::io;
use std::sync::Arc;

use axum_server::Handle;
use axum_server::tls_rustls::RustlsConfig;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::{sleep, timeout};

use super::*;
use crate::serve::certificate::Certificate;

const SILENCE: Duration = Duration::from_millis(300);
/// No connection may be open for so long. The machine of the tests may be slow.
const ENOUGH: Duration = Duration::from_secs(20);

async fn open(shop: &Shop, tls: Option<RustlsConfig>) -> SocketAddr {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let (address, house) = (listener.local_addr().unwrap(), Arc::clone(&shop.house));
    tokio::spawn(async move { net::answer(listener, tls, &house, SILENCE, Handle::new()).await });
    address
}

/// What is still said until the other side ends it.
async fn rest(connection: &mut TcpStream) -> io::Result<String> {
    let mut rest = vec![];
    match timeout(ENOUGH, connection.read_to_end(&mut rest)).await {
        Ok(Ok(_)) => Ok(String::from_utf8_lossy(&rest).into_owned()),
        // Reset is an end, too.
        Ok(Err(_)) => Ok(String::new()),
        Err(_) => Err(io::ErrorKind::TimedOut.into()),
    }
}

#[tokio::test]
async fn a_connection_that_does_not_come_to_its_point_is_ended() {
    let shop = Shop::new().await;
    let address = open(&shop, None).await;
    for begun in ["", "G", "GET /health HTTP/1.1\r\nHost: localhost\r\nX: "] {
        let mut connection = TcpStream::connect(address).await.unwrap();
        connection.write_all(begun.as_bytes()).await.unwrap();
        let said = rest(&mut connection).await;
        assert!(said.is_ok_and(|said| !said.contains("fine")), "{begun:?}");
    }
}

#[tokio::test]
async fn a_head_that_comes_in_drops_is_ended() {
    let shop = Shop::new().await;
    let mut connection = TcpStream::connect(open(&shop, None).await).await.unwrap();
    connection.write_all(b"GET /health HTTP/1.1\r\nHost: localhost\r\n").await.unwrap();
    let (mut hears, mut says) = connection.split();
    let drops = async {
        while says.write_all(b"X: y\r\n").await.is_ok() {
            sleep(SILENCE / 6).await;
        }
    };
    let mut heard = vec![];
    let ended = async {
        tokio::select! { _ = hears.read_to_end(&mut heard) => (), () = drops => () }
    };
    assert!(timeout(ENOUGH, ended).await.is_ok());
}

#[tokio::test]
async fn a_connection_is_used_again_and_ends_when_nothing_more_comes() {
    let shop = Shop::new().await;
    let mut connection = TcpStream::connect(open(&shop, None).await).await.unwrap();
    for _ in 0..2 {
        connection.write_all(b"GET /health HTTP/1.1\r\nHost: localhost\r\n\r\n").await.unwrap();
        let mut answer = vec![];
        while !answer.ends_with(b"fine\n") {
            assert_ne!(
                connection.read_buf(&mut answer).await.unwrap(),
                0,
                "{}",
                String::from_utf8_lossy(&answer)
            );
        }
    }
    assert_eq!(rest(&mut connection).await.unwrap(), "");
}

/// Whoever listens to the book's changes says nothing for hours.
#[tokio::test]
async fn a_stream_of_changes_stays() {
    let shop = Shop::new().await;
    let mut connection = TcpStream::connect(open(&shop, None).await).await.unwrap();
    connection.write_all(b"GET /changes HTTP/1.1\r\nHost: localhost\r\n\r\n").await.unwrap();
    sleep(SILENCE * 4).await;
    let lead = shop.cookie(::records::Role::Lead).await;
    shop.form("/invented", &lead, "").await.unwrap();
    let now = format!("data: {}", shop.house.known().await);
    let mut heard = vec![];
    while !String::from_utf8_lossy(&heard).contains(&now) {
        let more = timeout(ENOUGH, connection.read_buf(&mut heard)).await.unwrap().unwrap();
        assert_ne!(more, 0, "{}", String::from_utf8_lossy(&heard));
    }
}

#[tokio::test]
async fn a_handshake_that_does_not_begin_is_ended() {
    let shop = Shop::new().await;
    let folder = tempfile::tempdir().unwrap();
    let options = options(&folder.path().join("shop.book"), &["--listen", "192.168.7.20:7420"]);
    let certificate = Certificate::of(&options, "Tarnwick Motor Works").unwrap().unwrap();
    let address = open(&shop, Some(certificate.tls().await.unwrap())).await;
    for begun in [b"".as_slice(), b"\x16\x03\x01"] {
        let mut connection = TcpStream::connect(address).await.unwrap();
        connection.write_all(begun).await.unwrap();
        assert!(rest(&mut connection).await.is_ok());
    }
}

#[tokio::test]
async fn under_a_name_of_elsewhere_nobody_is_answered() {
    let shop = Shop::new().await;
    let entry = "person=lead&pin=2580";
    let signing = |host: &str| {
        let request = Request::post("/sign-in")
            .header("host", host)
            .header("origin", format!("http://{host}"))
            .header("content-type", "application/x-www-form-urlencoded");
        request.body(Body::from(entry)).unwrap()
    };
    let (status, page) = shop.send(signing("evil.example")).await;
    assert_eq!(status, StatusCode::MISDIRECTED_REQUEST);
    assert!(page.contains("evil.example") && page.contains("--name") && !page.contains("Tarnwick"), "{page}");
    assert_eq!(shop.send(signing("localhost:7420")).await.0, StatusCode::SEE_OTHER);
    // As HTTP/2 names it, and as a request to a proxy does.
    let elsewhere = Request::get("http://evil.example/today").header("host", "localhost");
    assert_eq!(shop.send(elsewhere.body(Body::empty()).unwrap()).await.0, StatusCode::MISDIRECTED_REQUEST);
    let program = Request::get("/api/board").header("host", "evil.example").body(Body::empty()).unwrap();
    let (status, text) = shop.send(program).await;
    assert_eq!(status, StatusCode::MISDIRECTED_REQUEST);
    let refusal: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert!(refusal["reasons"][0].as_str().unwrap().contains("evil.example"));
}

/// Wrong PINs from one address keep nobody out at another.
#[tokio::test]
async fn who_tries_pins_slows_only_their_own_address() {
    let shop = Shop::new().await;
    for _ in 0..10 {
        shop.ask(&Method::POST, "/sign-in", "", "person=lead&pin=0000").await;
    }
    let right = || {
        let request = Request::post("/sign-in").header("content-type", "application/x-www-form-urlencoded");
        request.body(Body::from("person=lead&pin=2580")).unwrap()
    };
    let there = pages_from(&shop.house, [127, 0, 0, 9]).oneshot(right()).await.unwrap();
    assert_eq!(there.status(), StatusCode::SEE_OTHER);
    assert_eq!(shop.send(right()).await.0, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn a_lock_is_told_in_the_time_of_the_shop() {
    use ::records::{Failure, PinFailure};
    let shop = Shop::new().await;
    let (book, lead) = (shop.house.book().await.unwrap(), "lead".parse().unwrap());
    let until = loop {
        if let Err(Failure::Pin(PinFailure::Locked(_, until, _))) =
            book.check_pin(Timestamp::now(), &lead, "0000").await
        {
            break until.strftime("%Y-%m-%d %H:%M:%S").to_string();
        }
    };
    // The right one still stops a raise or brings it down, until three wrong ones more were tried.
    let (status, _) = shop.ask(&Method::POST, "/sign-in", "", "person=lead&pin=2580").await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    // Whoever sees that a lift is unsafe takes it out of service, and that alone.
    shop.form("/invented", &shop.cookie(::records::Role::Examiner).await, "").await.ok();
    let signed = book.check_pin_to_stop(Timestamp::now(), &lead, "2580").await.unwrap();
    let cookie = format!("standfast={}", shop.house.sessions.begin(signed).unwrap());
    let (status, page) = shop.ask(&Method::POST, "/enter/repair", &cookie, "lift=north-bay&words=x").await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    assert!(page.contains("take a lift out of service"), "{page}");
    shop.form("/enter/tag", &cookie, "lift=north-bay&words=oil+at+the+column").await.unwrap();
    for _ in 0..3 {
        let wrong = book.check_pin_to_stop(Timestamp::now(), &lead, "0000").await;
        assert!(matches!(wrong, Err(Failure::Pin(PinFailure::Wrong(_)))), "{wrong:?}");
    }
    let (_, page) = shop.ask(&Method::POST, "/sign-in", "", "person=lead&pin=2580").await;
    assert!(page.contains(&format!("locked until {until}.")) && !page.contains("UTC"), "{page}");
}
