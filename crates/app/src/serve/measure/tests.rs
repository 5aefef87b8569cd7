//! Measuring through the pages, from the first question to a plan.

use ::records::Role;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode};
use tower::ServiceExt;

use crate::serve::tests::Shop;

/// Somebody at a tablet.
struct Tablet<'a> {
    shop: &'a Shop,
    cookie: String,
    /// Pages that were sent.
    sent: usize,
}

impl<'a> Tablet<'a> {
    async fn of(shop: &'a Shop, role: Role) -> Self {
        Self { shop, cookie: shop.cookie(role).await, sent: 0 }
    }

    async fn see(&self, path: &str) -> String {
        let (status, page) = self.shop.ask(&Method::GET, path, &self.cookie, "").await;
        assert_eq!(status, StatusCode::OK, "{path}: {page}");
        page
    }

    /// Sends a form: where it leads, or the page that says why not.
    async fn send(&mut self, path: &str, fields: &[(&str, &str)]) -> Result<String, String> {
        self.sent += 1;
        let body = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish();
        let request = Request::post(path)
            .header("cookie", &self.cookie)
            .header("content-type", "application/x-www-form-urlencoded");
        let answer = self.shop.pages.clone().oneshot(request.body(Body::from(body)).unwrap()).await.unwrap();
        if answer.status() == StatusCode::SEE_OTHER {
            return Ok(answer.headers()["location"].to_str().unwrap().to_owned());
        }
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY, "{path}");
        let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX).await.unwrap();
        Err(String::from_utf8(bytes.to_vec()).unwrap())
    }

    /// Answers question after question, each being the one that the pages lead to.
    async fn answer(&mut self, first: &str, answers: &[(&str, &[(&str, &str)])]) -> String {
        let mut at = first.to_owned();
        for (key, fields) in answers {
            assert!(at.ends_with(&format!("/{key}")), "{at} is asked, and not {key}");
            let page = self.see(&at).await;
            assert!(
                page.contains("id=\"stage\"")
                    && (page.contains("value=\"on\"") || page.contains("aria-pressed")),
                "{page}"
            );
            let fields = if fields.iter().any(|f| f.0 == "do") {
                fields.to_vec()
            } else {
                [fields, &[("do", "on")][..]].concat()
            };
            at = self.send(&at, &fields).await.unwrap_or_else(|page| panic!("{key} {fields:?}: {page}"));
        }
        at
    }

    async fn first(&self, subject: &str) -> String {
        let request = Request::get(format!("/measure/{subject}")).header("cookie", &self.cookie);
        let answer = self.shop.pages.clone().oneshot(request.body(Body::empty()).unwrap()).await.unwrap();
        answer.headers()["location"].to_str().unwrap().to_owned()
    }
}

macro_rules! mm {
    ($figure:literal) => {
        &[("value", $figure), ("unit", "mm")]
    };
}
macro_rules! one {
    ($word:literal) => {
        &[("value", $word)]
    };
}
const OUT: &[(&str, &str)] = &[("do", "out")];

const LIFT: &[(&str, &[(&str, &str)])] = &[
    ("rated", &[("value", "3500"), ("unit", "kg")]),
    ("backwards", one!("false")),
    ("permitted_front_share", OUT),
    ("split_rule", one!("condition")),
    ("columns.inside", mm!("2760")),
    ("columns.front_face_ahead", mm!("150")),
    ("columns.rear_face_behind", mm!("150")),
    ("headroom", mm!("3900")),
    ("bay.ahead", mm!("3200")),
    ("bay.behind", mm!("3600")),
    ("arms.alike", one!("all")),
    ("arms.front.pivot", &[("value", "240"), ("unit", "mm"), ("way", "ahead")]),
    ("arms.front.pivot_out", mm!("1240")),
    ("arms.front.reach_in", mm!("560")),
    ("arms.front.reach_out", mm!("1080")),
    ("arms.front.stages", one!("3")),
    ("arms.front.swing_from", &[("value", "0"), ("unit", "deg")]),
    ("arms.front.swing_to", &[("value", "100"), ("unit", "deg")]),
    ("arms.front.tooth_steps", one!("40")),
    ("arms.front.beam_width", mm!("120")),
    ("arms.front.beam_top", mm!("100")),
    ("arms.front.rated", OUT),
    ("pads.diameter", mm!("120")),
    ("pads.lowest", mm!("100")),
    ("pads.travel", mm!("55")),
    ("pads.surface", one!("rubber")),
    ("pads.stack_most", one!("1")),
    ("pads.adapters", &[("r0c0", "45"), ("r0c1", "4"), ("r1c0", "90"), ("r1c1", "4"), ("unit", "mm")]),
    (
        "rise.locks",
        &[
            ("value", "300 400 500 600 700 800 900 1000 1100 1200 1300 1400 1500 1600 1700 1800"),
            ("unit", "mm"),
        ],
    ),
    ("rise.most", mm!("1860")),
    ("plate", one!("yes")),
    (
        "plate.bands",
        &[
            ("r0c0", "A"),
            ("r0c1", "up to 105 in"),
            ("r0c2", "1100"),
            ("r0c3", "ahead"),
            ("r1c0", "B"),
            ("r1c1", "over 105 in"),
            ("r1c2", "1300"),
            ("r1c3", "ahead"),
            ("unit", "mm"),
        ],
    ),
    ("plate.wheel_tolerance", OUT),
];

const VEHICLE: &[(&str, &[(&str, &str)])] = &[
    ("class", one!("hatchback")),
    ("drive", one!("front")),
    ("wheelbase", &[("value", "2520"), ("unit", "mm"), ("doubt", "tape II")]),
    ("weight.way", one!("axles")),
    ("weight.front_axle", &[("value", "730"), ("unit", "kg"), ("doubt", "scale III"), ("off", "1")]),
    ("weight.rear_axle", &[("value", "450"), ("unit", "kg"), ("doubt", "off"), ("off", "5")]),
    ("front.aft", &[("value", "580"), ("unit", "mm"), ("doubt", "tape II")]),
    ("front.left", mm!("700")),
    ("rear.aft", mm!("1980")),
    ("rear.left", &[("value", "27 1/2"), ("unit", "in"), ("doubt", "guess")]),
];

/// A lift and a vehicle measured, entered, planned with; each page led to by the one before.
#[tokio::test]
async fn a_lift_and_a_vehicle_are_measured_to_a_plan() {
    let shop = Shop::new().await;
    let mut tablet = Tablet::of(&shop, Role::Lead).await;
    let first = tablet.first("lift").await;
    assert_eq!(tablet.answer(&first, LIFT).await, "/measure/lift/end");
    let end = tablet.see("/measure/lift/end").await;
    assert!(end.contains("Enough to plan with") && !end.contains("Still to measure"), "{end}");
    for (field, text) in [
        ("serial", "9".repeat(61)),
        ("maker", "a\u{202e}b".to_owned()),
        ("year", "soon".to_owned()),
        ("mark", "--".to_owned()),
    ] {
        let fields = [("mark", "Gate bay 2"), (field, text.as_str())];
        let fields = if field == "mark" { &fields[1..] } else { &fields };
        let page = tablet.send("/measure/lift/end", fields).await.unwrap_err();
        assert!(
            page.contains("This cannot be used") && page.contains("Enough to plan with"),
            "{field}: {page}"
        );
    }
    let plate = [
        ("mark", "Gate bay 2"),
        ("maker", "Own make"),
        ("model", "T 35"),
        ("serial", "0815"),
        ("year", "2019"),
    ];
    assert_eq!(tablet.send("/measure/lift/end", &plate).await, Ok("/measured/lift/gate-bay-2".into()));
    let record = tablet.see("/lift/gate-bay-2").await;
    for says in ["Gate bay 2", "Own make", "T 35", "0815", "2019", "3500 kg"] {
        assert!(record.contains(says), "{says}: {record}");
    }

    let first = tablet.first("vehicle").await;
    assert_eq!(tablet.answer(&first, VEHICLE).await, "/measure/vehicle/end");
    let mark = [("mark", "TW 17-C"), ("description", "the parts runner")];
    assert_eq!(tablet.send("/measure/vehicle/end", &mark).await, Ok("/measured/vehicle/tw-17-c".into()));
    let done = tablet.see("/measured/vehicle/tw-17-c").await;
    assert!(done.contains("/plan?vehicle=tw-17-c"), "{done}");
    let file = tablet.see("/vehicle/tw-17-c/file").await;
    for line in [
        "wheelbase = \"2520 mm by tape II\"",
        "weight.front_axle = \"730 kg by scale III e=1 kg\"",
        "weight.rear_axle = \"450 kg +- 5 kg\"",
        "at = [\"1980 mm\", \"27 1/2 in by guess\"]",
        "name = \"TW 17-C, the parts runner\"",
    ] {
        assert!(file.contains(line), "{line}: {file}");
    }
    // What no tape told is not shown as measured; the drawing says a length as the list beside it does.
    let record = tablet.see("/vehicle/tw-17-c").await;
    for what in ["Width", "Height", "Front overhang"] {
        let row = record.split(&format!("<dt>{what}</dt>")).nth(1).unwrap().split("</dd>").next().unwrap();
        assert!(row.contains("not measured"), "{what}: {row}");
    }
    let in_inches = format!("{}; units=us", tablet.cookie);
    let (_, record) = shop.ask(&Method::GET, "/vehicle/tw-17-c", &in_inches, "").await;
    assert!(record.matches("99 1/4 in").count() > 1 && !record.contains("99.2"), "{record}");
    let plan = tablet.see("/plan?vehicle=tw-17-c").await;
    assert!(plan.contains("Least reserve") && plan.contains("Not known, and assumed"), "{plan}");
    // Found again by its mark, however it is typed; and not by what nobody has.
    for find in ["TW17C", "tw 17-c", "17 c"] {
        let found = tablet.see(&format!("/plan?find={}", find.replace(' ', "+"))).await;
        assert!(found.contains("value=\"tw-17-c\" selected") && found.contains("Least reserve"), "{find}");
    }
    let none = tablet.see("/plan?find=zz99").await;
    assert!(none.contains("No vehicle here") && !none.contains("Least reserve"), "{none}");
}

/// Back and forward, wrong and odd, another page meanwhile: what was typed stays, and each fault stands at its dimension.
#[tokio::test]
async fn spoilt_answers_are_told_at_their_dimension() {
    let shop = Shop::new().await;
    let mut tablet = Tablet::of(&shop, Role::Lead).await;
    let reach = LIFT.iter().position(|q| q.0 == "arms.front.reach_in").unwrap();
    let first = tablet.first("lift").await;
    tablet.answer(&first, &LIFT[..reach]).await;
    let at = "/measure/lift/arms.front.reach_in";
    for (value, unit, says) in [
        ("", "mm", "reach in"),
        ("fifty", "mm", "cannot be read"),
        ("56000", "mm", "cannot be"),
        ("-560", "mm", "must be more than nothing"),
        ("560", "kg", "unit of mass"),
        ("5,6", "mm", "comma"),
        ("390", "mm", "legal but odd"),
    ] {
        let page = tablet.send(at, &[("value", value), ("unit", unit), ("do", "on")]).await.unwrap_err();
        assert!(value.is_empty() || page.contains(says), "{value} {unit}: {page}");
        assert!(page.contains(&format!("value=\"{value}\"")), "what was typed is gone: {page}");
        assert_eq!(page.contains("It is right, go on"), says == "legal but odd", "{value}");
    }
    // An odd one that is said to be right goes on, and is not asked again; another one is.
    let odd = |act| [("value", "390"), ("unit", "mm"), ("do", act)];
    let next = "/measure/lift/arms.front.reach_out";
    assert_eq!(tablet.send(at, &odd("right")).await, Ok(next.into()));
    // A contradiction is told where it is met, with both figures.
    let page = tablet.send(next, &[("value", "380"), ("unit", "mm"), ("do", "on")]).await.unwrap_err();
    assert!(page.contains("380 mm") && page.contains("390 mm") && page.contains("more than"), "{page}");
    // Back keeps it, and the page before shows the other one as it was.
    assert_eq!(tablet.send(next, &[("value", "381"), ("unit", "mm"), ("do", "back")]).await, Ok(at.into()));
    let before = tablet.see(at).await;
    assert!(before.contains("value=\"390\"") && before.contains("To look at again"), "{before}");
    assert!(tablet.see(next).await.contains("value=\"381\""));
    // Another tablet of the same person goes on with it; another person has their own.
    let again = Tablet::of(&shop, Role::Lead).await;
    assert!(again.see(next).await.contains("value=\"381\""));
    assert!(again.see("/measure/lift").await.contains("You were measuring"));
    let other = Tablet::of(&shop, Role::Technician).await;
    assert_eq!(
        other.shop.ask(&Method::GET, "/measure/lift", &other.cookie, "").await.0,
        StatusCode::FORBIDDEN
    );
    assert_eq!(other.first("vehicle").await, "/measure/vehicle/class");
    // Nothing unfinished goes into the book.
    let page = tablet.send("/measure/lift/end", &[("mark", "North")]).await.unwrap_err();
    assert!(page.contains("Still to measure") && page.contains("Not yet enough"), "{page}");
    assert!(!tablet.see("/records").await.contains("/lift/north"));
}

/// A lifting point where no usual vehicle has it is asked about at its own figure, and taken once it is said to be right.
#[tokio::test]
async fn odd_lifting_points_are_asked_about() {
    let shop = Shop::new().await;
    let mut tablet = Tablet::of(&shop, Role::Technician).await;
    let begins = VEHICLE.iter().position(|q| q.0 == "front.aft").unwrap();
    let first = tablet.first("vehicle").await;
    let mut at = tablet.answer(&first, &VEHICLE[..begins]).await;
    for (key, odd, right) in [
        ("front.aft", ["-5", "58"], "580"),
        ("front.left", ["70", "240"], "700"),
        ("rear.aft", ["2400", "900"], "1980"),
        ("rear.left", ["200", "370"], "700"),
    ] {
        assert_eq!(at, format!("/measure/vehicle/{key}"));
        for odd in odd {
            let page = tablet.send(&at, &[("value", odd), ("unit", "mm"), ("do", "on")]).await.unwrap_err();
            assert!(
                page.contains("Look again") && page.contains("It is right, go on"),
                "{key} {odd}: {page}"
            );
        }
        at = tablet.send(&at, &[("value", right), ("unit", "mm"), ("do", "on")]).await.unwrap();
    }
    assert_eq!(at, "/measure/vehicle/end");
    assert!(!tablet.see(&at).await.contains("Look again"));
    let far = "/measure/vehicle/front.aft";
    tablet.send(far, &[("value", "58"), ("unit", "mm"), ("do", "back")]).await.unwrap();
    assert!(tablet.see("/measure/vehicle/end").await.contains("between the tyres"));
    let said = [("value", "58"), ("unit", "mm"), ("do", "right")];
    assert_eq!(tablet.send(far, &said).await, Ok("/measure/vehicle/front.left".into()));
    assert!(!tablet.see("/measure/vehicle/end").await.contains("Look again"));
}

/// A figure is looked at as soon as it is there, whatever else is still to come.
#[test]
fn a_figure_alone_is_looked_at() {
    use super::question::{Answer, Answers, Kind};
    use super::{Subject, written};
    let mut looked_at = 0;
    for (subject, measured) in [(Subject::Lift, LIFT), (Subject::Vehicle, VEHICLE)] {
        let answer = |fields: &[(&str, &str)]| -> Answer {
            fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect()
        };
        let steers = ["arms.alike", "plate", "weight.way"];
        let only: Answers = measured
            .iter()
            .filter(|(key, _)| steers.contains(key))
            .map(|(key, fields)| ((*key).to_owned(), answer(fields)))
            .collect();
        for question in subject.questions(&only) {
            let (Kind::Figure { of, .. } | Kind::Sided { of, .. } | Kind::List(of)) = question.kind else {
                continue;
            };
            let unit = of.units.first().map_or("", |(names, _)| names[0]);
            let mut answers = only.clone();
            answers.insert(question.key.clone(), answer(&[("value", "99999999"), ("unit", unit)]));
            let looked = written::look(subject, "x", &answers);
            assert!(
                looked.about(&question.key).any(|p| p.is_error),
                "{}: {:?}",
                question.key,
                looked.problems
            );
            assert!(
                looked.problems.iter().all(|p| p.field.as_deref() == Some(&question.key)),
                "{:?}",
                looked.problems
            );
            looked_at += 1;
        }
    }
    assert!(looked_at > 40, "{looked_at}");
}

/// A dimension that no plan needs makes the plan's guesses fewer; what contradicts the rest is told.
#[tokio::test]
async fn more_is_measured_whenever_there_is_time() {
    let shop = Shop::new().await;
    let mut tablet = Tablet::of(&shop, Role::Technician).await;
    let first = tablet.first("vehicle").await;
    let end = tablet.answer(&first, VEHICLE).await;
    let before = tablet.see(&end).await;
    assert!(before.contains("roof height") && before.contains("front.underside"), "{before}");
    let next = tablet.answer("/measure/vehicle/outline.roof", &[("outline.roof", mm!("1460"))]).await;
    assert_eq!(next, "/measure/vehicle/mirrors.looked");
    assert!(!tablet.see(&end).await.contains("roof height"));
    let low = [("value", "150"), ("unit", "mm"), ("do", "on"), ("then", "end")];
    let roof = tablet.send("/measure/vehicle/outline.roof", &low).await.unwrap_err();
    assert!(roof.contains("It is &quot;150 mm&quot;"), "{roof}");
    // There are lines, and nobody says where: that is no vehicle to enter.
    let good = [("value", "1460"), ("unit", "mm"), ("do", "on"), ("then", "end")];
    assert_eq!(tablet.send("/measure/vehicle/outline.roof", &good).await, Ok(end.clone()));
    tablet.answer("/measure/vehicle/keep-outs.looked", &[("keep-outs.looked", one!("some"))]).await;
    assert!(tablet.see(&end).await.contains("Still to measure"));
    let strip = [
        ("r0c0", "brake line"),
        ("r0c1", "left"),
        ("r0c2", "450"),
        ("r0c3", "560"),
        ("r0c4", "2050"),
        ("r0c5", "560"),
        ("r0c6", "40"),
        ("unit", "mm"),
        ("do", "on"),
    ];
    tablet.send("/measure/vehicle/keep_outs", &strip).await.unwrap();
    let done = tablet.send(&end, &[("mark", "4711")]).await;
    assert_eq!(done, Ok("/measured/vehicle/no-4711".into()));
    let file = tablet.see("/vehicle/no-4711/file").await;
    assert!(file.contains("brake line") && !file.contains("doors") && !file.contains("mirror"), "{file}");
    // A lifting point that is a stretch is written as one, in the place of its middle.
    tablet.answer("/measure/vehicle/class", VEHICLE).await;
    let stretch: [(&str, &[(&str, &str)]); 5] = [
        ("front.shape", one!("stretch")),
        ("front.begins", mm!("520")),
        ("front.ends", mm!("660")),
        ("front.inner", mm!("680")),
        ("front.outer", mm!("740")),
    ];
    tablet.answer("/measure/vehicle/front.shape", &stretch).await;
    tablet.send(&end, &[("mark", "4712")]).await.unwrap();
    let file = tablet.see("/vehicle/no-4712/file").await;
    let line = file.lines().find(|line| line.contains("front lifting point")).unwrap();
    assert!(line.contains("corners = [[\"520 mm\", \"680 mm\"]"), "{file}");
    assert!(!line.contains("at ="), "{file}");
    assert!(file.lines().any(|line| line.contains("rear lifting point") && line.contains("at =")), "{file}");
    // An outer edge inside the inner one is no area.
    tablet.answer("/measure/vehicle/class", VEHICLE).await;
    tablet.answer("/measure/vehicle/front.shape", &stretch[..4]).await;
    let wrong =
        tablet.send("/measure/vehicle/front.outer", &[("value", "680"), ("unit", "mm"), ("do", "on")]).await;
    assert!(wrong.is_err() || tablet.see(&end).await.contains("This cannot be used"));
    tablet.answer("/measure/vehicle/front.shape", &[("front.shape", one!("point"))]).await;
    // The same name again only with a word for it.
    tablet.answer("/measure/vehicle/class", VEHICLE).await;
    let page = tablet.send(&end, &[("mark", "4711")]).await.unwrap_err();
    assert!(page.contains("in the book already") && page.contains("name=\"again\""), "{page}");
    assert!(tablet.send(&end, &[("mark", "4711"), ("again", "yes")]).await.is_ok());
}

/// Unit and doubt stay as they were chosen last, through what does not ask for them, and from a vehicle to a lift.
#[tokio::test]
async fn how_somebody_measures_stays_as_last_chosen() {
    let shop = Shop::new().await;
    let mut tablet = Tablet::of(&shop, Role::Lead).await;
    let inches = [("value", "99"), ("unit", "in"), ("doubt", "tape III"), ("do", "on")];
    tablet.send("/measure/vehicle/wheelbase", &inches).await.unwrap();
    for _ in 0..2 {
        let page = tablet.see("/measure/vehicle/droop").await;
        assert!(page.contains("<option value=\"in\" selected>"), "{page}");
        assert!(page.contains("<option value=\"tape III\" selected>"), "{page}");
        // A figure of which no doubt is asked.
        let roof = [("value", "58"), ("unit", "in"), ("do", "on")];
        tablet.send("/measure/vehicle/outline.roof", &roof).await.unwrap();
    }
    assert!(tablet.see("/measure/lift/columns.inside").await.contains("<option value=\"in\" selected>"));
    let page = tablet.see("/measure/vehicle/weight.total").await;
    assert!(page.contains("<option value=\"kg\" selected>"), "of another kind: {page}");
    let other = Tablet::of(&shop, Role::Technician).await;
    assert!(
        other.see("/measure/vehicle/droop").await.contains("<option value=\"mm\" selected>"),
        "somebody else's"
    );
}

/// Of a lift it is asked how each figure was measured; the file says it, and a guess is not taken: no plan makes up for it.
#[tokio::test]
async fn a_lift_is_not_guessed() {
    let shop = Shop::new().await;
    let mut tablet = Tablet::of(&shop, Role::Lead).await;
    let how = |way| [("value", "2760"), ("unit", "mm"), ("how", way), ("do", "on")];
    let inside = "/measure/lift/columns.inside";
    let page = tablet.see(inside).await;
    assert!(page.contains("How was it measured?") && page.contains("a guess"), "{page}");
    let page = tablet.send(inside, &how("guess")).await.unwrap_err();
    assert!(page.contains("A guess is not enough here") && !page.contains("It is right, go on"), "{page}");
    // It is said of this one only, and stays one until it is measured.
    let next = "/measure/lift/columns.front_face_ahead";
    assert!(!tablet.see(next).await.contains("<option value=\"guess\" selected>"));
    let end = tablet.see("/measure/lift/end").await;
    assert!(end.contains("a guess is not enough here"), "{end}");
    assert_eq!(tablet.send(inside, &how("tape")).await, Ok(next.into()));
    assert!(tablet.see(next).await.contains("<option value=\"tape\" selected>"), "as chosen last");
    for not_measured in ["rated", "arms.front.stages", "pads.surface", "plate"] {
        let page = tablet.see(&format!("/measure/lift/{not_measured}")).await;
        assert!(!page.contains("How was it measured?"), "{not_measured}: {page}");
    }
    let first = "/measure/lift/rated";
    let taped: Vec<(&str, Vec<(&str, &str)>)> =
        LIFT.iter().map(|(key, fields)| (*key, [fields, &[("how", "tape")][..]].concat())).collect();
    let taped: Vec<(&str, &[(&str, &str)])> =
        taped.iter().map(|(key, fields)| (*key, fields.as_slice())).collect();
    assert_eq!(tablet.answer(first, &taped).await, "/measure/lift/end");
    tablet.send("/measure/lift/end", &[("mark", "Gate bay 2")]).await.unwrap();
    let file = tablet.see("/lift/gate-bay-2/file").await;
    for line in [
        "# Clear width between the columns, with a tape\ncolumns.inside = \"2760 mm\"",
        "# Column line to the pivot pin, with a tape\n",
    ] {
        assert!(file.contains(line), "{line}: {file}");
    }
}

/// The drawing grows with what is typed, and nothing of it is kept.
#[tokio::test]
async fn the_drawing_follows_what_is_typed() {
    let shop = Shop::new().await;
    let tablet = Tablet::of(&shop, Role::Lead).await;
    let draw = async |value: &str| {
        let asked = serde_json::json!({ "step": "wheelbase", "answer": { "value": value, "unit": "mm" } });
        let request = Request::post("/api/measure/vehicle")
            .header("cookie", &tablet.cookie)
            .header("content-type", "application/json")
            .body(Body::from(asked.to_string()));
        let (status, text) = shop.send(request.unwrap()).await;
        assert_eq!(status, StatusCode::OK, "{text}");
        serde_json::from_str::<serde_json::Value>(&text).unwrap()["picture"].as_str().unwrap().to_owned()
    };
    let (short, long) = (draw("2400").await, draw("3600").await);
    assert_ne!(short, long);
    assert!(short.contains("2400 mm") && long.contains("3600 mm"));
    for odd in ["", "-", "99999999", "x\"><script>", "0", "1/0"] {
        assert!(!draw(odd).await.contains("NaN"), "{odd}");
        assert!(!draw(odd).await.contains("<script"), "{odd}");
    }
    assert_eq!(tablet.first("vehicle").await, "/measure/vehicle/class");
}

/// Every question of both has a drawing in which no text stands on another, and none is cut.
#[test]
fn every_drawing_is_whole() {
    use super::question::{Answer, Answers};
    use super::{Subject, drawing};
    use sheets::drawing::Item;
    for (subject, measured) in [(Subject::Lift, LIFT), (Subject::Vehicle, VEHICLE)] {
        let answers: Answers = measured
            .iter()
            .map(|(key, fields)| {
                let fields = fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned()));
                ((*key).to_owned(), fields.collect::<Answer>())
            })
            .chain(
                ["front.shape", "rear.shape"]
                    .map(|key| (key.to_owned(), Answer::from([("value".to_owned(), "stretch".to_owned())]))),
            )
            .collect();
        let typed = ["", "2000", "99999", "1", "-400", "9' 2 1/2\""];
        for (some, typed) in
            [Answers::new(), answers.clone()].iter().flat_map(|some| typed.map(|text| (some, text)))
        {
            for question in subject.questions(&answers) {
                let mut some = some.clone();
                if !typed.is_empty() {
                    let fields =
                        [("value", typed), ("unit", "mm")].map(|(k, v)| (k.to_owned(), v.to_owned()));
                    some.insert(question.key.clone(), fields.into());
                }
                let drawn = drawing::picture(subject, &some, &question.key);
                let texts =
                    drawn.items.iter().filter_map(|i| if let Item::Text(t) = i { Some(t) } else { None });
                // On a screen of 360 points: as wide as the page leaves it, and no higher than its style lets it be.
                let [wide, high] = drawn.size;
                let points = (324.0 / wide).min(216.0 / high);
                for text in texts.clone() {
                    assert!(
                        text.size * points >= 11.0,
                        "{} {typed}: {:.1}",
                        question.key,
                        text.size * points
                    );
                }
                let texts: Vec<_> = texts.map(sheets::drawing::Text::area).collect();
                for (k, area) in texts.iter().enumerate() {
                    assert!(
                        area.x[0] >= 0.0 && area.x[1] <= wide && area.y[0] >= 0.0 && area.y[1] <= high,
                        "{} {typed}: {area:?} {wide} {high}",
                        question.key
                    );
                    for other in &texts[..k] {
                        let apart = area.x[1] < other.x[0]
                            || other.x[1] < area.x[0]
                            || area.y[1] < other.y[0]
                            || other.y[1] < area.y[0];
                        assert!(apart, "{}: {area:?} {other:?}", question.key);
                    }
                    for item in &drawn.items {
                        let Item::Path { points, .. } = item else { continue };
                        let on = |p: &[f64; 2]| {
                            (area.x[0]..area.x[1]).contains(&p[0]) && (area.y[0]..area.y[1]).contains(&p[1])
                        };
                        let crossed = points.windows(2).any(|ends| {
                            (0..=50).any(|k| {
                                let t = f64::from(k) / 50.0;
                                on(&[
                                    ends[0][0] + t * (ends[1][0] - ends[0][0]),
                                    ends[0][1] + t * (ends[1][1] - ends[0][1]),
                                ])
                            })
                        });
                        assert!(!crossed, "{}: a line through a text at {area:?}", question.key);
                    }
                }
            }
        }
    }
}

/// The few figures at the plan page, in the units that somebody thinks in.
#[tokio::test]
async fn a_vehicle_by_its_figures_is_planned_and_kept() {
    let shop = Shop::new().await;
    let mut tablet = Tablet::of(&shop, Role::Technician).await;
    let metric =
        "wheelbase=2520&mass=1180&body=hatchback&drive=front&front=580&rear=1980&left=700&units=metric";
    let inches = "wheelbase=8+ft+3+1/4+in&mass=2601+lb&body=hatchback&drive=front&front=22+13/16&rear=78&left=27+1/2&units=us";
    for figures in [metric, inches] {
        let plan = tablet.see(&format!("/plan?lift=north-bay&{figures}")).await;
        assert!(plan.contains("Least reserve") && plan.contains("Keep it: name it"), "{plan}");
        assert!(!plan.contains("Begin the raise"), "{plan}");
    }
    for (from, to, says) in [
        ("wheelbase=2520", "wheelbase=2", "It is &quot;2 mm&quot;, which cannot be"),
        ("mass=1180", "mass=", "is missing"),
        ("rear=1980", "rear=480", "may be swapped"),
        ("body=hatchback", "body=boat", "boat"),
        ("left=700", "left=700+kg", "unit of mass"),
    ] {
        let path = format!("/plan?lift=north-bay&{}", metric.replace(from, to));
        let (status, page) = shop.ask(&Method::GET, &path, &tablet.cookie, "").await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{to}");
        assert!(page.contains(says) && !page.contains("Least reserve"), "{to}: {page}");
        assert!(page.contains("class=\"wrong\""), "{to}: {page}");
    }
    let fields: Vec<(String, String)> = url::form_urlencoded::parse(metric.as_bytes()).into_owned().collect();
    let fields: Vec<(&str, &str)> = fields.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    assert_eq!(tablet.send("/measure/vehicle", &fields).await, Ok("/measure/vehicle/end".into()));
    let done = tablet.send("/measure/vehicle/end", &[("mark", "Loan car")]).await;
    assert_eq!(done, Ok("/measured/vehicle/loan-car".into()));
}

/// A file goes out to the byte, and comes into another shop; what is wrong is told by line and by row.
#[tokio::test]
async fn files_go_from_shop_to_shop() {
    let (from, to) = (Shop::new().await, Shop::new().await);
    let mut tablet = Tablet::of(&from, Role::Lead).await;
    tablet.send("/invented", &[]).await.unwrap();
    let vehicle = tablet.see("/vehicle/hatchback/file").await;
    let lift = tablet.see("/lift/north-bay/file").await;
    assert!(vehicle.starts_with('#') || vehicle.contains("standfast = \"vehicle/1\""));
    let other = Tablet::of(&to, Role::Lead).await;
    let upload = async |files: &[(&str, &str)]| {
        let part = |(name, text): &(&str, &str)| {
            format!(
                "--b\r\ncontent-disposition: form-data; name=\"files\"; filename=\"{name}\"\r\n\r\n{text}\r\n"
            )
        };
        let body = files.iter().map(part).collect::<String>() + "--b--\r\n";
        let request = Request::post("/take-in")
            .header("cookie", &other.cookie)
            .header("content-type", "multipart/form-data; boundary=b");
        to.send(request.body(Body::from(body)).unwrap()).await
    };
    let (status, page) = upload(&[("hatchback.toml", &vehicle), ("Bad Name.toml", &vehicle)]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("1 taken in, 1 not") && page.contains("Bad Name.toml: its name"), "{page}");
    assert_eq!(other.see("/vehicle/hatchback/file").await, vehicle);
    let spoilt = vehicle.replacen("tyre_width = \"", "tyre_width = \"x", 1);
    let line = vehicle.lines().position(|line| line.contains("tyre_width = ")).unwrap() + 1;
    let (_, page) = upload(&[("fleet-2.toml", &spoilt)]).await;
    assert!(page.contains(&format!("fleet-2.toml:{line}:")), "{page}");
    let table = "lift,bay,maker,year,file\nnorth-bay,North bay,Own make,2018,north-bay.toml\nwest,West bay,,soon,north-bay.toml\neast,East bay,,,nowhere.toml\n";
    let (status, page) = upload(&[("lifts.csv", table), ("north-bay.toml", &lift)]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    for says in [
        "1 taken in, 2 not",
        "lifts.csv: row 3",
        "`year`",
        "lifts.csv: row 4",
        "nowhere.toml did not come along",
    ] {
        assert!(page.contains(says), "{says}: {page}");
    }
    // A table whose columns say what was measured needs no file beside it, and its rows are read as at the command line.
    let fleet = "vehicle;class;drive;wheelbase (mm);weight.total (kg);front.aft (mm);front.left (mm);rear.aft (mm);rear.left (mm)\n\
        Fleet 9;van;rear;3200;1900;600;700;2600;700\nFleet 10;van;rear;3200 furlongs;1900;600;700;2600;700\n";
    let (status, page) = upload(&[("fleet.csv", fleet)]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    for says in ["1 taken in, 1 not", "vehicle fleet-9", "fleet.csv: row 3", "`wheelbase`: ", "furlongs"] {
        assert!(page.contains(says), "{says}: {page}");
    }
    let (status, page) = upload(&[("odd.csv", "vehicle,colour\na,red\n")]).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("no such column: colour"), "{page}");
    assert!(other.see("/vehicle/fleet-9/file").await.contains("wheelbase = \"3200 mm\""));
    assert_eq!(other.see("/lift/north-bay/file").await, lift);
    assert!(other.see("/lift/north-bay").await.contains("Own make"));
    let (status, _) = upload(&[("noise.toml", "\u{0}\u{1}")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(upload(&[]).await.0, StatusCode::UNPROCESSABLE_ENTITY);
    // What is there stays, unless somebody who may says that it is replaced.
    let van = include_str!("../../../../../demo/vehicles/long-van.toml");
    let other_van = van.replacen("# ", "# other ", 1);
    assert_ne!(van, other_van);
    let to_file = async |role: Role, path: &str, text: &str| {
        let cookie = to.cookie(role).await;
        let part = format!(
            "--b\r\ncontent-disposition: form-data; name=\"files\"; filename=\"van.toml\"\r\n\r\n{text}\r\n--b--\r\n"
        );
        let request = Request::post(path)
            .header("cookie", cookie)
            .header("content-type", "multipart/form-data; boundary=b");
        to.send(request.body(Body::from(part)).unwrap()).await
    };
    let held = async || to.ask(&Method::GET, "/vehicle/van/file", &other.cookie, "").await.1;
    assert_eq!(
        to_file(Role::Learner, "/take-in", van).await.0,
        StatusCode::OK,
        "a new one may come from a learner"
    );
    for role in [Role::Learner, Role::Technician] {
        let (status, page) = to_file(role, "/take-in", &other_van).await;
        assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("in the book already"), "{page}");
    }
    let (status, page) = to_file(Role::Learner, "/take-in/replacing", &other_van).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("second person"), "{page}");
    assert!(!page.contains("/take-in/replacing"), "{page}");
    assert_eq!(held().await, van);
    let (status, page) = to_file(Role::Technician, "/take-in/replacing", &other_van).await;
    assert!(status == StatusCode::OK && page.contains("/take-in/replacing"), "{page}");
    assert_eq!(held().await, other_van);
    // The book's own table of roles holds here too.
    let learner = Tablet::of(&to, Role::Learner).await;
    let part = format!(
        "--b\r\ncontent-disposition: form-data; name=\"files\"; filename=\"north-bay.toml\"\r\n\r\n{lift}\r\n--b--\r\n"
    );
    let request = Request::post("/take-in")
        .header("cookie", &learner.cookie)
        .header("content-type", "multipart/form-data; boundary=b");
    let (status, page) = to.send(request.body(Body::from(part)).unwrap()).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("0 taken in, 1 not"), "{page}");
}
