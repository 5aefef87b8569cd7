//! Every route by every role, what keeps strangers out, and that nothing is confirmed twice.

mod bays;
mod endings;
mod found;
mod led;
mod looks;
mod missing;
mod network;
mod not_now;
mod offered;
mod papers;
mod plans;
mod replays;
mod sent;
mod settings;

use std::net::SocketAddr;
use std::path::Path;
use std::time::Duration;

use ::records::{
    Act, Admission, Authorisation, Book, CheckItem, Command, Instruction, May, Opening, Role, Rules, may,
};
use axum::Router;
use axum::body::Body;
use axum::extract::connect_info::MockConnectInfo;
use axum::http::{Method, Request, StatusCode};
use jiff::Timestamp;
use tempfile::TempDir;
use tower::ServiceExt;

use super::house::{House, Shared};
use super::reach::Reach;
use super::routes::{self, Need};
use super::session::Sessions;
use super::{Options, assets, net};
use crate::desk::Place;

const PIN: &str = "2580";

/// The options of a line of command.
pub(super) fn options(book: &Path, more: &[&str]) -> Options {
    #[derive(clap::Parser)]
    struct Line {
        #[command(flatten)]
        options: Options,
    }
    let book = book.display().to_string();
    let line = ["serve", "--book", &book].into_iter().chain(more.iter().copied());
    <Line as clap::Parser>::parse_from(line).options
}

/// Listening on this machine alone.
fn here() -> Reach {
    Reach::new([127, 0, 0, 1].into(), vec![], None)
}

/// The pages as somebody at an address sees them.
fn pages_from(house: &Shared, address: [u8; 4]) -> Router {
    net::app(house).layer(MockConnectInfo(SocketAddr::from((address, 1))))
}

/// A shop with somebody of every role, and the pages before it.
pub(super) struct Shop {
    _folder: TempDir,
    pub(super) house: Shared,
    pub(super) pages: Router,
}

impl Shop {
    pub(super) async fn new() -> Self {
        Self::left_alone(Duration::from_secs(600)).await
    }

    /// Where whoever leaves a tablet alone for so long is signed out.
    async fn left_alone(idle: Duration) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("shop.book").display().to_string();
        let admission = |role: Role| Admission {
            person: role.to_string().parse().unwrap(),
            name: format!("The {role}"),
            role,
            of_age: Some("1990-01-01".parse().unwrap()),
        };
        let opening = Opening {
            shop: "Tarnwick Motor Works".into(),
            zone: "Europe/Berlin".into(),
            rules: Rules::Germany,
            lead: admission(Role::Lead),
            pin: PIN.into(),
        };
        let book = Book::create(&place, Timestamp::now(), opening).await.unwrap();
        let lead = book.check_pin(Timestamp::now(), &"lead".parse().unwrap(), PIN).await.unwrap();
        for role in Role::ALL {
            let person: ::records::PersonId = role.to_string().parse().unwrap();
            let on = book.shop().await.unwrap().today(Timestamp::now());
            let commands = [
                Command::AdmitPerson(admission(role)),
                Command::Instruct(Instruction { person: person.clone(), on, subject: "lifts".into() }),
                Command::Authorise(Authorisation { person: person.clone(), on, paper: "folder".into() }),
            ];
            for command in commands.iter().skip(usize::from(role == Role::Lead)) {
                book.act(Timestamp::now(), &lead, command).await.unwrap();
            }
            if role != Role::Lead {
                book.set_pin(Timestamp::now(), &lead, &person, PIN).await.unwrap();
            }
        }
        let house = House::with(Place::of(&place), Some(book), Sessions::new(idle), here(), true);
        let pages = pages_from(&house, [127, 0, 0, 1]);
        Self { _folder: folder, house, pages }
    }

    /// The cookie of somebody who is signed in.
    pub(super) async fn cookie(&self, role: Role) -> String {
        let book = self.house.book().await.unwrap();
        let signed = book.check_pin(Timestamp::now(), &role.to_string().parse().unwrap(), PIN).await.unwrap();
        format!("standfast={}", self.house.sessions.begin(signed).unwrap())
    }

    pub(super) async fn ask(
        &self,
        method: &Method,
        path: &str,
        cookie: &str,
        body: &str,
    ) -> (StatusCode, String) {
        let request = Request::builder()
            .method(method)
            .uri(path)
            .header("cookie", cookie)
            .header("content-type", "application/x-www-form-urlencoded");
        self.send(request.body(Body::from(body.to_owned())).unwrap()).await
    }

    /// Sends a form; where it leads, or the page that says why not.
    pub(super) async fn form(&self, path: &str, cookie: &str, body: &str) -> Result<String, String> {
        let request = Request::post(path)
            .header("cookie", cookie)
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from(body.to_owned()))
            .unwrap();
        let answer = self.pages.clone().oneshot(request).await.unwrap();
        if let Some(to) = answer.headers().get("location") {
            return Ok(to.to_str().unwrap().to_owned());
        }
        let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX).await.unwrap();
        Err(String::from_utf8(bytes.to_vec()).unwrap())
    }

    /// Begins a raise by the plan as its page shows it; where that leads, or the page that says why not.
    pub(super) async fn begin_raise(&self, cookie: &str, asked: &str) -> Result<String, String> {
        let (_, plan) = self.ask(&Method::GET, &format!("/plan?{asked}"), cookie, "").await;
        let seen = plan.split("name=\"made_from\" value=\"").nth(1).and_then(|rest| rest.split('"').next());
        let seen = seen.unwrap_or("lift=other").replace('=', "%3D").replace(' ', "+");
        self.form("/raise", cookie, &format!("{asked}&made_from={seen}")).await
    }

    pub(super) async fn send_json(
        &self,
        path: &str,
        cookie: &str,
        body: &serde_json::Value,
    ) -> (StatusCode, String) {
        let request = Request::post(path)
            .header("cookie", cookie)
            .header("content-type", "application/json")
            .body(Body::from(body.to_string()))
            .unwrap();
        self.send(request).await
    }

    /// Asks as a program does.
    pub(super) async fn json(&self, path: &str, cookie: &str, body: serde_json::Value) -> serde_json::Value {
        let (status, text) = self.send_json(path, cookie, &body).await;
        assert_eq!(status, StatusCode::OK, "{path}: {text}");
        serde_json::from_str(&text).unwrap()
    }

    /// With the invented workshop's lifts, vehicles and jobs in its book, these lifts examined, confirmed and checked today.
    pub(super) async fn with_lifts(fit: &[&str]) -> Self {
        let shop = Self::new().await;
        let lead = shop.cookie(Role::Lead).await;
        shop.form("/invented", &lead, "").await.unwrap();
        let examiner = shop.cookie(Role::Examiner).await;
        let today = shop.house.book().await.unwrap().shop().await.unwrap().today(Timestamp::now());
        let fields: String = [
            "scope",
            "defects",
            "retest",
            "examiner",
            "examiner-address",
            "signature",
            "owner",
            "location",
            "identity",
            "last-examination",
            "working-load",
            "reason",
            "repair",
            "test",
            "qualifications",
            "examiner-employer",
            "signed-for",
            "report-date",
        ]
        .map(|field| format!("&{field}=none"))
        .concat();
        let items: String = CheckItem::all()
            .map(|item| format!("&{}=right", serde_json::to_value(item).unwrap().as_str().unwrap()))
            .collect();
        for (number, lift) in fit.iter().enumerate() {
            let report = format!("lift={lift}&on={today}&kind=regular&fit=yes{fields}");
            shop.form("/enter/examination", &examiner, &report).await.unwrap();
            shop.form("/enter/confirmation", &lead, &format!("examination={}", number + 1)).await.unwrap();
            shop.form("/enter/check", &lead, &format!("lift={lift}{items}")).await.unwrap();
        }
        shop
    }

    pub(super) async fn send(&self, request: Request<Body>) -> (StatusCode, String) {
        let answer = self.pages.clone().oneshot(request).await.unwrap();
        let status = answer.status();
        if answer.headers().get("content-type").is_some_and(|kind| kind == "text/event-stream") {
            return (status, String::new());
        }
        let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX).await.unwrap();
        // What is printed is no text.
        (status, String::from_utf8_lossy(&bytes).into_owned())
    }

    /// A file that is taken along: how it is named, and its bytes.
    pub(super) async fn download(&self, path: &str, cookie: &str) -> (String, Vec<u8>) {
        let request = Request::get(path).header("cookie", cookie).body(Body::empty()).unwrap();
        let answer = self.pages.clone().oneshot(request).await.unwrap();
        assert_eq!(answer.status(), StatusCode::OK, "{path}");
        assert_eq!(answer.headers().get("content-type").unwrap(), "application/pdf", "{path}");
        let name = answer.headers().get("content-disposition").unwrap().to_str().unwrap().to_owned();
        (name, axum::body::to_bytes(answer.into_body(), usize::MAX).await.unwrap().to_vec())
    }
}

fn concrete(path: &str) -> String {
    let known = [
        ("{number}", "1"),
        ("{id}", "nobody"),
        ("{day}", "2026-11-29"),
        ("{name}", "style.css"),
        ("{step}", "end"),
    ];
    known.iter().fold(path.to_owned(), |path, (part, value)| path.replace(part, value))
}

/// The role table of the book holds on every route: 403 where it says no, and nowhere else.
#[tokio::test]
async fn every_route_lets_in_whom_the_table_lets_in() {
    let shop = Shop::new().await;
    for role in Role::ALL {
        let cookie = shop.cookie(role).await;
        for route in routes::all() {
            // Ends the session that asks.
            if route.path == "/sign-out" {
                continue;
            }
            let (status, _) = shop.ask(&route.method, &concrete(&route.path), &cookie, "").await;
            let forbidden = matches!(route.need, Need::May(act) if may(role, act) == May::No);
            let says = format!("{} {} by {role}: {status}", route.method, route.path);
            assert_eq!(status == StatusCode::FORBIDDEN, forbidden, "{says}");
            assert_ne!(status, StatusCode::UNAUTHORIZED, "{says}");
        }
    }
}

#[tokio::test]
async fn who_is_not_signed_in_sees_only_what_needs_nothing() {
    let shop = Shop::new().await;
    for route in routes::all() {
        let (status, _) = shop.ask(&route.method, &concrete(&route.path), "", "").await;
        let says = format!("{} {}: {status}", route.method, route.path);
        let stopped = match (&route.need, &route.method, route.path.starts_with("/api/")) {
            (Need::Nothing, ..) => continue,
            (_, &Method::GET, false) => status == StatusCode::SEE_OTHER,
            _ => status == StatusCode::UNAUTHORIZED,
        };
        assert!(stopped, "{says}");
    }
}

/// Every act of the table can be done at some page.
#[test]
fn every_act_has_a_route() {
    let routes = routes::all();
    let missing: Vec<String> = Act::all()
        .filter(|act| !routes.iter().any(|route| route.need == Need::May(*act)))
        .map(|act| act.to_string())
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[tokio::test]
async fn a_page_of_another_site_changes_nothing() {
    let shop = Shop::new().await;
    let cookie = shop.cookie(Role::Lead).await;
    for (name, value) in [
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
        ("origin", "https://other.example"),
    ] {
        let request = Request::post("/enter/tag")
            .header("cookie", &cookie)
            .header("host", "localhost")
            .header("content-type", "application/x-www-form-urlencoded")
            .header(name, value);
        let (status, _) = shop.send(request.body(Body::from("lift=a&words=b")).unwrap()).await;
        assert_eq!(status, StatusCode::FORBIDDEN, "{name}: {value}");
    }
}

#[tokio::test]
async fn pins_cannot_be_tried_without_end() {
    let shop = Shop::new().await;
    let mut seen = vec![];
    for _ in 0..25 {
        seen.push(shop.ask(&Method::POST, "/sign-in", "", "person=lead&pin=0000").await.0);
    }
    assert_eq!(seen[0], StatusCode::CONFLICT);
    assert_eq!(seen.last(), Some(&StatusCode::TOO_MANY_REQUESTS));
    let (status, page) = shop.ask(&Method::POST, "/sign-in", "", "person=lead&pin=2580").await;
    assert_eq!(status, StatusCode::TOO_MANY_REQUESTS);
    assert!(!page.contains("2580"));
}

#[tokio::test]
async fn a_session_that_is_left_alone_ends() {
    let sessions = Sessions::new(Duration::from_millis(900));
    let shop = Shop::new().await;
    let book = shop.house.book().await.unwrap();
    let signed = book.check_pin(Timestamp::now(), &"lead".parse().unwrap(), PIN).await.unwrap();
    let secret = sessions.begin(signed).unwrap();
    std::thread::sleep(Duration::from_millis(600));
    assert!(sessions.find(&secret, true).is_some());
    std::thread::sleep(Duration::from_millis(600));
    assert!(sessions.find(&secret, false).is_some());
    // What a page reads by itself is nobody who is there.
    std::thread::sleep(Duration::from_millis(600));
    assert!(sessions.find(&secret, false).is_none());
}

/// A board that is left open reads itself again and again: whoever was signed in at it is signed out all the same.
#[tokio::test]
async fn what_a_page_reads_by_itself_keeps_nobody_signed_in() {
    let idle = Duration::from_millis(900);
    let shop = Shop::left_alone(idle).await;
    for (by_itself, path, stays) in
        [(false, "/today", true), (true, "/today", false), (false, "/changes", false)]
    {
        let cookie = shop.cookie(Role::Lead).await;
        for _ in 0..4 {
            tokio::time::sleep(idle / 3).await;
            let request = Request::get(path).header("cookie", &cookie);
            let request = if by_itself { request.header("standfast-by-itself", "1") } else { request };
            shop.send(request.body(Body::empty()).unwrap()).await;
        }
        let (status, _) = shop.ask(&Method::GET, "/records", &cookie, "").await;
        assert_eq!(status == StatusCode::OK, stays, "{path} {by_itself}: {status}");
    }
}

/// What the strict policy would stop is on no page, and nothing on a page comes from elsewhere.
#[tokio::test]
async fn no_page_holds_a_script_a_style_or_an_address_of_elsewhere() {
    let shop = Shop::new().await;
    let cookie = shop.cookie(Role::Lead).await;
    let pages = routes::all().into_iter().filter(|r| r.method == Method::GET && !r.path.starts_with("/api/"));
    let mut looked_at = 0;
    for route in pages.filter(|r| !["/changes", "/backup", "/assets/{name}"].contains(&r.path.as_ref())) {
        let (_, page) = shop.ask(&Method::GET, &concrete(&route.path), &cookie, "").await;
        for stopped in [
            "<script>",
            "<style",
            " style=\"",
            " onclick",
            "javascript:",
            "src=\"http",
            "href=\"http",
            "//cdn",
        ] {
            assert!(!page.contains(stopped), "{} holds {stopped}", route.path);
        }
        looked_at += usize::from(page.contains("<html"));
    }
    assert!(looked_at > 20, "{looked_at}");
    for (name, _, text) in assets::ALL {
        assert!(!text.contains("http://") || name == "mark.svg", "{name} names an address of elsewhere");
    }
}

#[tokio::test]
async fn every_answer_carries_the_policy() {
    let shop = Shop::new().await;
    let answer =
        shop.pages.clone().oneshot(Request::get("/plan").body(Body::empty()).unwrap()).await.unwrap();
    let header =
        |name: &str| answer.headers().get(name).and_then(|v| v.to_str().ok()).unwrap_or_default().to_owned();
    assert!(
        header("content-security-policy")
            .starts_with("default-src 'none'; script-src 'self'; style-src 'self'")
    );
    assert!(!header("content-security-policy").contains("unsafe"));
    assert_eq!(header("x-content-type-options"), "nosniff");
    assert_eq!(header("cache-control"), "no-store");
}

#[test]
fn every_answer_of_the_interface_is_described() {
    let described = super::api::description();
    for route in routes::all().iter().filter(|r| r.path.starts_with("/api/") && r.path != "/api/openapi.json")
    {
        let operation = &described["paths"][route.path.as_ref()][route.method.as_str().to_lowercase()];
        let schema = &operation["responses"]["200"]["content"]["application/json"]["schema"];
        assert!(schema.is_object(), "{} {}: {operation}", route.method, route.path);
        let asks = operation["requestBody"].is_object();
        assert_eq!(asks, route.method == Method::POST, "{} {}", route.method, route.path);
    }
}

/// What is not answered at the check before use is no answer.
#[tokio::test]
async fn a_check_with_an_item_left_open_is_refused() {
    let shop = Shop::new().await;
    let cookie = shop.cookie(Role::Lead).await;
    let items = [
        "hold-to-run",
        "positioning-marks",
        "locks",
        "arm-restraints",
        "synchronisation",
        "leaks",
        "pads",
        "clearance",
    ];
    let all = |but: &str, answer: &str| {
        let answers =
            items.iter().map(|item| format!("&{item}={}", if *item == but { answer } else { "right" }));
        format!("lift=north-bay{}", answers.collect::<String>())
    };
    for (body, says) in [
        (all("locks", ""), "Say right or wrong"),
        (all("locks", "wrong"), "Say what is wrong"),
        (all("locks", "right&locks-words=worn"), "and yet"),
        (all("", ""), "north-bay"),
    ] {
        let (status, page) = shop.ask(&Method::POST, "/enter/check", &cookie, &body).await;
        assert_ne!(status, StatusCode::SEE_OTHER);
        assert!(page.contains(says), "{body}: {page}");
    }
}

/// Filled in where another was shown as signed in, nothing is written by the name of who is signed in now.
#[tokio::test]
async fn nothing_is_written_by_another_name_than_was_shown() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let (lead, technician) = (shop.cookie(Role::Lead).await, shop.cookie(Role::Technician).await);
    // Every form of every page that sends something says it.
    let mut forms = 0;
    for route in routes::all().iter().filter(|route| route.method == Method::GET) {
        let (_, page) = shop.ask(&Method::GET, &concrete(&route.path), &lead, "").await;
        for form in page
            .split("<form ")
            .skip(1)
            .filter(|form| form.split('>').next().unwrap().contains("method=\"post\""))
        {
            assert!(form.contains("name=\"shown_as\" value=\"lead\""), "{}: {form}", route.path);
            forms += 1;
        }
    }
    assert!(forms > 40, "{forms}");
    let tag = |shown: &str| format!("lift=north-bay&words=oil&shown_as={shown}");
    for shown in ["technician", ""] {
        let (status, page) = shop.ask(&Method::POST, "/enter/tag", &lead, &tag(shown)).await;
        assert_eq!(status, StatusCode::CONFLICT);
        assert!(page.contains("now lead is signed in") && page.contains("Nothing was written"), "{page}");
    }
    let as_program = |shown: &str| {
        let request =
            Request::post("/api/raise").header("cookie", &lead).header("content-type", "application/json");
        let body = r#"{"lift":"north-bay","vehicle":"hatchback"}"#;
        shop.send(request.header("standfast-shown-as", shown).body(Body::from(body)).unwrap())
    };
    assert_eq!(as_program("technician").await.0, StatusCode::CONFLICT);
    let files = |shown: &str| {
        let body = format!(
            "--x\r\ncontent-disposition: form-data; name=\"shown_as\"\r\n\r\n{shown}\r\n--x\r\ncontent-disposition: form-data; name=\"files\"; filename=\"a.toml\"\r\n\r\nx\r\n--x--\r\n"
        );
        let request = Request::post("/take-in")
            .header("cookie", &lead)
            .header("content-type", "multipart/form-data; boundary=x");
        shop.send(request.body(Body::from(body)).unwrap())
    };
    assert_eq!(files("technician").await.0, StatusCode::CONFLICT);
    assert_eq!(files("lead").await.0, StatusCode::UNPROCESSABLE_ENTITY, "it is read, and is no lift");
    let before = shop.house.known().await;
    assert!(shop.house.book().await.unwrap().shop().await.unwrap().raises.is_empty());
    shop.form("/enter/tag", &technician, &tag("technician")).await.unwrap();
    assert_ne!(shop.house.known().await, before);
    assert_eq!(as_program("lead").await.0, StatusCode::CONFLICT, "the lift is out of service");
}
