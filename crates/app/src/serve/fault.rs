//! What a request ends with when it does not end well. `ending` puts it into a page, or into JSON.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use records::Failure;

use crate::cli::REFUSED;
use crate::desk::{Ended, explained};

/// Why not, with every reason.
#[derive(Clone, Debug)]
pub(crate) enum Fault {
    /// The shop has no book yet.
    NoBook,
    /// Nobody is signed in.
    NobodyIsHere,
    /// What was sent cannot be used.
    Bad(Vec<String>),
    /// By the shop's rules, the role table or the plan.
    Refused(Vec<String>),
    /// Who is signed in may not.
    MayNot(String),
    /// It cannot be read, or the address is not asked that way.
    Unread(StatusCode, Vec<String>),
    /// It was asked for under a name that is not ours.
    NotOurName(String),
    /// It came from a page that is not ours.
    FromElsewhere,
    /// Somebody else signed in since the page was shown from which it was sent.
    AnotherIsHere { shown: String, here: String },
    /// Too many PINs from one address.
    TooMany,
    /// There is no such thing.
    NotFound(String),
    /// The book or the machine failed.
    Broken(Vec<String>),
}

/// The same at an address for programs.
pub(crate) type ApiFault = Fault;

impl Fault {
    pub(crate) fn bad(why: &str) -> Self {
        Self::Bad(vec![why.to_owned()])
    }

    pub(crate) const fn status(&self) -> StatusCode {
        match self {
            Self::NoBook | Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::NobodyIsHere => StatusCode::UNAUTHORIZED,
            Self::Bad(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::Refused(_) | Self::AnotherIsHere { .. } => StatusCode::CONFLICT,
            Self::Unread(status, _) => *status,
            Self::NotOurName(_) => StatusCode::MISDIRECTED_REQUEST,
            Self::MayNot(_) | Self::FromElsewhere => StatusCode::FORBIDDEN,
            Self::TooMany => StatusCode::TOO_MANY_REQUESTS,
            Self::Broken(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    pub(crate) const fn title(&self) -> &'static str {
        match self {
            Self::NoBook => "This shop has no book yet",
            Self::NobodyIsHere => "Nobody is signed in",
            Self::Bad(_) => "This cannot be used",
            Self::Refused(_) => "Refused",
            Self::Unread(..) => "This cannot be answered",
            Self::NotOurName(_) => "Not under this name",
            Self::MayNot(_) | Self::FromElsewhere => "Not allowed",
            Self::AnotherIsHere { .. } => "Somebody else is signed in here now",
            Self::TooMany => "Too many tries",
            Self::NotFound(_) => "Not found",
            Self::Broken(_) => "It failed",
        }
    }

    pub(crate) fn reasons(&self) -> Vec<String> {
        match self {
            Self::NoBook => vec!["Begin one first.".into()],
            Self::NobodyIsHere => vec!["Sign in with your PIN.".into()],
            Self::Bad(all) | Self::Refused(all) | Self::Unread(_, all) | Self::Broken(all) => all.clone(),
            Self::NotOurName(host) => vec![format!(
                "The shop's pages are not asked for as “{host}”. Type the address that the program tells when it starts; whoever runs it can add a name with --name."
            )],
            Self::MayNot(why) | Self::NotFound(why) => vec![why.clone()],
            Self::AnotherIsHere { shown, here } => {
                let shown = if shown.is_empty() { "nobody" } else { shown };
                vec![format!(
                    "The page from which this was sent was shown to {shown}; now {here} is signed in at this tablet. Nothing was written. \
                     Sign in as who you are, go back to what you filled in, and send it again."
                )]
            }
            Self::FromElsewhere => vec!["This was sent from a page that is not of this shop.".into()],
            Self::TooMany => vec!["Wait a minute, then try again.".into()],
        }
    }

    /// The reasons, for a page that shows them where they arose.
    pub(crate) fn told(&self) -> Markup {
        html! {
            section.told.refused role="alert" {
                h2 { (self.title()) }
                ul { @for reason in self.reasons() { li { (reason) } } }
            }
        }
    }
}

impl From<Failure> for Fault {
    fn from(failure: Failure) -> Self {
        Ended::from(failure).into()
    }
}

impl From<Ended> for Fault {
    fn from(ended: Ended) -> Self {
        let (text, code) = match ended {
            Ended::Book(Failure::NoBook(_)) => return Self::NoBook,
            Ended::Book(failure) if matches!(failure, Failure::Refused(_) | Failure::Pin(_)) => {
                (failure.to_string(), REFUSED)
            }
            Ended::Book(failure) => return Self::Broken(lines(&explained(&failure))),
            Ended::Said(text, code) => (text, code),
        };
        if code == REFUSED { Self::Refused(lines(&text)) } else { Self::Bad(lines(&text)) }
    }
}

/// One reason a line, without the command line's labels.
fn lines(text: &str) -> Vec<String> {
    let bare = |line: &str| {
        let line = line.trim();
        ["refused: ", "error: "].iter().find_map(|label| line.strip_prefix(label)).unwrap_or(line).to_owned()
    };
    text.lines().map(bare).filter(|line| !line.is_empty()).collect()
}

impl IntoResponse for Fault {
    /// It goes along with the answer to `ending`, which knows who asked.
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        response.extensions_mut().insert(self);
        response
    }
}
