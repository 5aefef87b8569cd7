//! A plan as a page shows it.

use jiff::Timestamp;
use maud::{Markup, html};
use planner::plan::{Check, PadSetting, Verdict};
use records::{Act, Fitness, May, RaiseNumber, Shop, Why, fitness, may};
use sheets::drawing::screen;
use sheets::units::{self, Units};
use sheets::{Origin, Scene, words};
use statics::Length;

use super::placed::{Moved, Placed};
use super::{printed, states};
use crate::serve::caller::Caller;
use crate::serve::measure::quick;
use crate::serve::missing;
use crate::serve::picture::{self, Stage};
use crate::serve::shelf::{self, Asked, Worked};
use crate::serve::{acting, sign_in};

/// A plan, and who looks at it.
pub(super) struct View<'a> {
    pub(super) scene: Scene<'a>,
    /// By which names it was asked for; nothing = it is the one that the book keeps.
    pub(super) asked: Option<&'a Asked>,
    /// What it was made from.
    made_from: String,
    pub(super) caller: &'a Caller,
    /// The shop whose roles say what may be done with it; nothing = nothing is offered.
    pub(super) shop: Option<&'a Shop>,
    /// Why the lift may not be used now, whatever the plan says; empty = it may, or it is in no book.
    unfit: Vec<Why>,
    /// The raise that is on the lift now.
    taken_by: Option<RaiseNumber>,
    /// What raises left behind that keeps it from being raised there.
    in_the_way: Vec<String>,
    /// Whether it is offered what can be done with it.
    offers: bool,
}

impl<'a> View<'a> {
    pub(super) fn new(
        scene: Scene<'a>,
        asked: Option<&'a Asked>,
        caller: &'a Caller,
        shop: Option<&'a Shop>,
    ) -> Self {
        let in_the_way = shop.zip(asked).map(|(shop, asked)| shelf::in_the_way(shop, asked, &scene));
        Self {
            in_the_way: in_the_way.unwrap_or_default(),
            scene,
            asked,
            made_from: String::new(),
            caller,
            shop,
            unfit: unfit(shop, asked),
            taken_by: taken_by(shop, asked),
            offers: true,
        }
    }

    /// One that the book keeps, with what keeps anything from being raised by it now, and what has changed since.
    pub(super) fn kept(
        scene: Scene<'a>,
        asked: &'a Asked,
        caller: &'a Caller,
        shop: &'a Shop,
        changed: Option<String>,
    ) -> Self {
        let mut now = Self::new(scene, Some(asked), caller, Some(shop));
        now.in_the_way.extend(changed);
        Self { asked: None, shop: None, ..now }
    }

    /// Whether what can be done with it is offered.
    pub(super) fn offering(self, offers: bool) -> Self {
        Self { offers, ..self }
    }

    /// Why nothing is raised by it now, whatever the plan says, in a few words.
    fn not_now(&self) -> Option<String> {
        if self.scene.plan.verdict == Verdict::DoNotRaise {
            return None;
        }
        match self.taken_by {
            _ if !self.unfit.is_empty() => Some("the lift must not be used".into()),
            Some(raise) => Some(format!("raise {raise} is on the lift")),
            None => self.in_the_way.first().map(|_| "something else comes first".into()),
        }
    }

    /// Why no sheet of it is hung at the lift: what forbids a raise for longer than the one that is on it, or than today's
    /// check takes.
    pub(super) fn not_hung(&self) -> Vec<String> {
        let of_each_day = |why: &&Why| matches!(why, Why::NotChecked(_) | Why::NotCheckedSinceReturned(_));
        let unfit = self
            .unfit
            .iter()
            .filter(|why| !of_each_day(why))
            .map(|why| words::capital(&why.to_string()) + ".");
        unfit.chain(self.in_the_way.iter().cloned()).collect()
    }

    /// What a raise that begins by it must still be made from.
    pub(super) fn made_from(self, made_from: String) -> Self {
        Self { made_from, ..self }
    }

    fn may(&self, act: Act) -> bool {
        let role = self.shop.and_then(|shop| self.caller.role(shop));
        role.is_some_and(|role| may(role, act) != May::No)
    }
}

fn unfit(shop: Option<&Shop>, asked: Option<&Asked>) -> Vec<Why> {
    let (Some(shop), Some(asked)) = (shop, asked) else { return vec![] };
    let lift = asked.lift.parse().ok().filter(|lift| shop.lifts.contains_key(lift));
    match lift.map(|lift| fitness(shop, &lift, Timestamp::now())) {
        Some(Fitness::Unfit(why)) => why,
        Some(Fitness::Fit) | None => vec![],
    }
}

fn taken_by(shop: Option<&Shop>, asked: Option<&Asked>) -> Option<RaiseNumber> {
    let lift = &asked?.lift;
    shop?.raises.iter().find(|(_, raise)| raise.plan.lift.as_str() == lift).map(|(number, _)| *number)
}

/// That another vehicle is on the lift, before anything that the plan says.
fn is_taken(view: &View<'_>) -> Markup {
    html! {
        @if let Some(raise) = view.taken_by {
            section.told.odd role="alert" {
                p { strong { "Taken by " a href={ "/raise/" (raise) } { "raise " (raise) } "." } " Until it has ended nothing else is raised here." }
            }
        }
        @if !view.in_the_way.is_empty() {
            section.told.refused role="alert" {
                h2 { "Nothing is raised by this plan here now" }
                ul { @for reason in &view.in_the_way { li { (reason) } } }
                @if let Some(asked) = view.asked { p { a.button href={ "/vehicle/" (asked.vehicle) } { "Its vehicle, and what is to be said of it" } } }
            }
        }
    }
}

/// That the lift may not be used, before anything that the plan says.
fn must_not_be_used(view: &View<'_>) -> Markup {
    html! {
        @if !view.unfit.is_empty() {
            section.told.refused role="alert" {
                h2 { "Nothing may be raised here now: the lift must not be used" }
                ul { @for reason in &view.unfit { li { (words::capital(&reason.to_string())) "." } } }
                @if let Some(asked) = view.asked { p { a.button href={ "/lift/" (asked.lift) } { "Its record, and what is to be entered" }
                    @if view.shop.is_some_and(missing::is_before_the_first_raise) { " " a.button href="/first-steps#first-raise" { "All that is missing before the first raise" } }
                } }
            }
        }
    }
}

/// What of the lift comes before anything that the plan says.
pub(super) fn standing(view: &View<'_>) -> Markup {
    html! { (must_not_be_used(view)) (is_taken(view)) }
}

/// Everything: the answer, the drawing to move things on, then what is one step away.
pub(super) fn whole(view: &View<'_>, worked: &Worked, asked: &Asked, state: usize) -> Markup {
    let (scene, units) = (&view.scene, view.caller.units);
    html! {
        div #standing { (standing(view)) }
        div.plan {
            div #answer { (answer(view)) }
            (stage(view, worked, asked))
        }
        // Read again when what was moved rests.
        div #below {
            section.states #states { (states::shown(scene, Some(asked), state, units)) }
            (height(scene, units))
            (by_hand(scene, asked, units))
            (checks(scene, Some(asked), units))
            (assumed(scene, units))
            (cautions())
        }
    }
}

fn cautions() -> Markup {
    html! { section.cautions { h2 { "Always" } ul { @for caution in words::cautions() { li { (caution) } } } } }
}

/// The first screenful: may it go up, where does the wheel stand, what are the four arms set to.
pub(super) fn answer(view: &View<'_>) -> Markup {
    let (scene, units) = (&view.scene, view.caller.units);
    let (kind, sign) = match scene.plan.verdict {
        Verdict::Raise => ("raise", "✓"),
        Verdict::RaiseWithConditions => ("conditions", "!"),
        Verdict::DoNotRaise => ("refused", "✕"),
    };
    let not_now = view.not_now();
    let is_moved = scene.origin == Origin::AsPlaced;
    let list = |title: &str, all: &[words::Reason<'_>]| {
        html! {
            @if !all.is_empty() {
                h2 { (title) }
                ol { @for reason in all { li { (reason.sentence(scene, units)) } } }
            }
        }
    };
    html! {
        div.said {
            // It stays in sight, and as high as it is, while a finger moves things.
            div.head {
                @if let Some(why) = not_now {
                    section.verdict.refused { span.sign aria-hidden="true" { "✕" } h1 { "Not now: " (why) } }
                    p.note { "By the plan itself: " (words::verdict(scene)) "." }
                } @else {
                    section.verdict.(kind) { span.sign aria-hidden="true" { (sign) } h1 { (words::verdict(scene)) } }
                }
                p.wheel {
                    span.label { "Front wheel" }
                    strong { (words::spot(scene, units)) }
                    span.note { (words::capital(&words::stance(scene, units))) "." }
                }
                (least(scene, view.asked, units))
            }
            @if let Some(asked) = view.asked { (ways_on(view, asked)) }
            div.rest {
                (list("Refused because", &words::refusals(scene)))
                (list("Conditions", &words::conditions(scene)))
                @if let (true, Some(asked)) = (is_moved, view.asked) {
                    p.moved { "As you moved it. " a.button.small href=(address(asked, &Moved::default())) data-home { "Back to the best" } }
                }
                @if scene.plan.verdict == Verdict::DoNotRaise {
                    @if let Some(change) = words::smallest_change(scene, units) { h2 { "Smallest change" } p { (change) } }
                }
                (list("Watch", &words::watch(scene)))
                @if let Some(asked) = view.asked {
                    (printed::offered(&address(asked, &moved(scene)).replacen("/plan?", "/plan/sheet?", 1), view))
                }
            }
        }
        div.arms { @for pad in by_arm(scene) { (arm(scene, pad, units)) } }
    }
}

/// From the plan to the raise or into the book, as far as whoever is here may.
fn ways_on(view: &View<'_>, asked: &Asked) -> Markup {
    let Some(shop) = view.shop.filter(|_| view.offers) else { return html! {} };
    // Of another shop, invented or not, nothing is raised, and nothing kept.
    let foreign = foreign(shop, asked);
    let can_go_up =
        view.scene.plan.verdict != Verdict::DoNotRaise && view.not_now().is_none() && foreign.is_empty();
    let as_planned = view.scene.origin == Origin::Planned;
    if view.caller.person().is_none() {
        let back = sign_in::address(&address(asked, &moved(&view.scene)));
        return html! { @if can_go_up && as_planned { div.act { a.button.main href=(back) { "Sign in to raise it" } } } };
    }
    html! {
        div.act {
            @if asked.is_quick() {
                @if view.may(Act::EnterVehicle) { (keep_vehicle(asked)) }
            } @else {
                @if can_go_up && as_planned && view.may(Act::Raise) {
                    form method="post" action="/raise" {
                        (names(asked))
                        input type="hidden" name="made_from" value=(view.made_from);
                        @if acting::needs_second(shop, view.caller, Act::Raise) { (acting::second(shop, Act::Raise)) }
                        button.main { "Begin the raise" }
                    }
                }
                @if !foreign.is_empty() { p.note { "No raise begins by it: the book does not hold this " (foreign.join(" and this ")) "." } }
                @if view.may(Act::KeepPlan) && foreign.is_empty() {
                    form method="post" action="/plan/keep" {
                        (names(asked))
                        @for (name, value) in moved(&view.scene).pairs() { input type="hidden" name=(name) value=(value); }
                        button { @if as_planned { "Keep it in the book" } @else { "Keep it in the book as moved" } }
                    }
                }
            }
        }
    }
}

/// What of lift, vehicle and job is in no book.
fn foreign(shop: &Shop, asked: &Asked) -> Vec<&'static str> {
    let Asked { lift, vehicle, job } = asked;
    let is_held = [
        ("lift", lift.parse().is_ok_and(|id| shop.lifts.contains_key(&id))),
        (
            "vehicle",
            asked.is_quick() || vehicle.parse().is_ok_and(|id| shop.fleet.vehicles.contains_key(&id)),
        ),
        ("job", job.is_empty() || job.parse().is_ok_and(|id| shop.jobs.contains_key(&id))),
    ];
    is_held.into_iter().filter(|(_, held)| !held).map(|(what, _)| what).collect()
}

/// A vehicle by its figures has no name to raise it under: it gets one, and then one is back here.
fn keep_vehicle(asked: &Asked) -> Markup {
    html! {
        form method="post" action="/measure/vehicle" {
            @for (name, value) in quick::fields(&asked.vehicle).unwrap_or_default() { input type="hidden" name=(name) value=(value); }
            @for (name, value) in [("lift", &asked.lift), ("job", &asked.job)] { input type="hidden" name=(name) value=(value); }
            button.main { "Name this vehicle, to raise it" }
            p.note { "The book keeps its figures under the name that you give it; then you are back at this plan." }
        }
    }
}

fn names(asked: &Asked) -> Markup {
    html! {
        @for (name, value) in [("lift", &asked.lift), ("vehicle", &asked.vehicle), ("job", &asked.job)] {
            input type="hidden" name=(name) value=(value);
        }
    }
}

/// As they stand in the bay: front left, front right, rear left, rear right.
pub(crate) fn by_arm<'a>(scene: &Scene<'a>) -> Vec<&'a PadSetting> {
    let mut pads: Vec<&PadSetting> = scene.plan.pads.iter().collect();
    pads.sort_by_key(|pad| pad.arm);
    pads
}

pub(crate) fn arm(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> Markup {
    let guess = if words::share_is_assumed(scene) { "about " } else { "" };
    let row = |label: &str, value: String| html! { div { dt { (label) } dd { (value) } } };
    let load = format!("{guess}{}", units.load(pad.load_estimate));
    let share = (pad.load_assured.to_newtons() / pad.rated.to_newtons()).clamp(0.0, 1.0) * 100.0;
    html! {
        section.arm.(words::corner_name(pad.arm).replace(' ', "-")) data-pad=(pad.corner.index()) data-load=(load) {
            h3 { (words::capital(words::corner_name(pad.arm))) }
            @if pad.arm != pad.corner { p.note { "under the vehicle's " (words::corner_name(pad.corner)) } }
            dl {
                (row("Reach", units.length(pad.reach)))
                (row("Swing", words::swing(pad, units)))
                (row("Pad height", words::pad_height(scene, pad, units)))
                (row("Adapters", words::adapters_on(scene, pad, units)))
            }
            svg.bar.over[pad.load_assured > pad.rated] viewBox="0 0 100 5" preserveAspectRatio="none" aria-hidden="true" { rect width=(format!("{share:.1}")) height="5" {} }
            dl.minor {
                (row("Load", load))
                (row("Assured", units.load(pad.load_assured)))
                (row("Rating", units.load(pad.rated)))
            }
        }
    }
}

/// The check that leaves least; where checks fail, the worst of them and the names of the others.
fn least(scene: &Scene<'_>, asked: Option<&Asked>, units: Units) -> Markup {
    let check = scene.plan.worst_check();
    let [demand, limit] = words::figures(check, units);
    let mut fails: Vec<&Check> =
        scene.plan.checks.iter().filter(|c| c.binding && c.reserve < 0.0 && c.what != check.what).collect();
    fails.sort_by(|a, b| a.reserve.total_cmp(&b.reserve));
    let mut others: Vec<String> = fails.iter().map(|c| words::check_title(scene, c.what)).collect();
    others.dedup();
    html! {
        p.least.fails[check.reserve < 0.0] {
            span.label { "Least reserve" }
            strong { (units::reserve(check.reserve)) }
            " " (words::title_in_state(scene, check)) ": " (demand) ", " (units::sense(check.sense)) " " (limit) ". "
            @if let Some(asked) = asked { a href=(working(scene, asked, check)) { "Work it out" } }
            @if !others.is_empty() { span.others { " " (others.len()) " more fail: " (others.join("; ")) "." } }
        }
    }
}

/// What the plan view shows, in words.
pub(super) fn from_above(scene: &Scene<'_>, units: Units) -> String {
    format!(
        "From above: front wheel {}. Pads, lifting areas, centre of gravity and the figure that the pads span.",
        words::spot(scene, units)
    )
}

/// The plan view with what a script needs to move things on it.
fn stage(view: &View<'_>, worked: &Worked, asked: &Asked) -> Markup {
    let (scene, units) = (&view.scene, view.caller.units);
    let describes = from_above(scene, units);
    let stage = Stage {
        picture: screen::from_above(scene, units, &worked.window, true),
        bay: serde_json::json!({
            "api": "/api/setup",
            "question": { "lift": asked.lift, "vehicle": asked.vehicle, "job": asked.job },
            "setup": Placed::of(scene.plan), "home": Placed::of(worked.plan()),
            "made_from": view.made_from,
        }),
        describes: &describes,
        units,
        how: "Drag the vehicle or a ringed pad; a touch on Turn is a quarter degree.",
        home: "Back to the best",
    };
    stage.shown()
}

fn height(scene: &Scene<'_>, units: Units) -> Markup {
    let picture = screen::from_the_left(scene, units, screen::Raised::ForWork, screen::Stands::AsPlanned);
    let says = "From the left: floor, pads, locks, roof and ceiling, and whoever works, to size.";
    html! {
        section.height {
            h2 { "Height of the work" }
            figure { (picture::still(&picture, says)) }
            p { "Test raise: stop when the pads have risen " strong { (units.length(scene.plan.test_raise)) } " from fully down: all four tyres are clear." }
        }
    }
}

/// The same as dragging, for whoever has no pointer or no script.
fn by_hand(scene: &Scene<'_>, asked: &Asked, units: Units) -> Markup {
    let at = Placed::of(scene.plan);
    let field = |name: &str, label: &str, value: String| {
        html! { label { (label) input name=(name) value=(value); } }
    };
    let length = |metres: f64| units.fine_length(Length::metres(metres));
    html! {
        details.sheet {
            summary { "Check a setup measured on the floor" }
            form method="get" action="/plan" {
                (names(asked))
                (field("spot", "Front wheel ahead of the column line", length(at.spot_m)))
                (field("offset", "To the left of the middle", length(at.offset_m)))
                (field("yaw", "Turned to the left", format!("{:.2} deg", at.yaw_rad.to_degrees())))
                @for (pad, name) in scene.plan.pads.iter().zip(["front_left", "front_right", "rear_left", "rear_right"]) {
                    @let [aft, left] = pad.at.to_metres();
                    (field(name, &format!("{}: behind the front axle, left of centre", words::capital(&words::pads_named(scene, &[pad.corner]))),
                        format!("{}, {}", length(aft), length(left))))
                }
                button.main { "Check it" }
            }
        }
    }
}

fn checks(scene: &Scene<'_>, asked: Option<&Asked>, units: Units) -> Markup {
    let mut checks: Vec<&Check> = scene.plan.checks.iter().collect();
    checks.sort_by(|a, b| a.reserve.total_cmp(&b.reserve));
    html! {
        details {
            summary { "Every check: " (checks.len()) }
            table.stack {
                thead { tr { th { "Check" } th { "Is" } th { "Limit" } th { "Reserve" } th { "" } } }
                tbody {
                    @for check in checks {
                        @let [demand, limit] = words::figures(check, units);
                        tr.fails[check.reserve < 0.0] {
                            td { (words::title_in_state(scene, check)) }
                            td data-of="Is" { (demand) }
                            td data-of="Limit" { (units::sense(check.sense)) " " (limit) br; span.note { (words::source(scene, check)) } }
                            td data-of="Reserve" { (units::reserve(check.reserve)) }
                            td { @if let Some(asked) = asked { a href=(working(scene, asked, check)) { "Work it out" } } }
                        }
                    }
                }
            }
        }
    }
}

/// A plan that the book keeps: nothing of it can be moved.
pub(super) fn kept(view: &View<'_>, worked: &Worked) -> Markup {
    let (scene, units) = (&view.scene, view.caller.units);
    let picture = screen::from_above(scene, units, &worked.window, true);
    html! {
        div #standing { (standing(view)) }
        div.plan {
            div #answer { (answer(view)) }
            figure.stage { (picture::still(&picture, "From above, as the book keeps it.")) }
        }
        @for k in 0..scene.plan.states.len() { section.states { (states::shown(scene, None, k, units)) } }
        (height(scene, units))
        (checks(scene, None, units))
        (assumed(scene, units))
        (cautions())
    }
}

fn assumed(scene: &Scene<'_>, units: Units) -> Markup {
    html! {
        @if !scene.plan.assumptions.is_empty() {
            details open {
                summary { "Not known, and assumed: " (scene.plan.assumptions.len()) }
                ul.guessed { @for a in &scene.plan.assumptions { li { (words::assumption(a, units)) } } }
            }
        }
    }
}

/// The address of a plan.
pub(super) fn address(asked: &Asked, moved: &Moved) -> String {
    const PAGE: &str = "/plan?";
    let names = [("lift", &asked.lift), ("vehicle", &asked.vehicle), ("job", &asked.job)];
    let named =
        names.into_iter().map(|(name, value)| (name, value.as_str())).filter(|(_, value)| !value.is_empty());
    let mut pairs = url::form_urlencoded::Serializer::for_suffix(PAGE.to_owned(), PAGE.len());
    pairs.extend_pairs(named).extend_pairs(moved.pairs()).finish()
}

/// The setup as an address says it.
pub(super) fn moved(scene: &Scene<'_>) -> Moved {
    match scene.origin {
        Origin::Planned => Moved::default(),
        Origin::AsPlaced => Moved::of(scene.plan),
    }
}

/// The address of a check worked out, at the same setup.
fn working(scene: &Scene<'_>, asked: &Asked, check: &Check) -> String {
    let id = url::form_urlencoded::byte_serialize(check.what.id().as_bytes()).collect::<String>();
    format!("{}&check={id}", address(asked, &moved(scene)).replacen("/plan?", "/plan/working?", 1))
}
