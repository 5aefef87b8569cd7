//! Whether the pages are there, for whoever watches over the machine.

use axum::extract::State;
use axum::http::StatusCode;

use super::house::Shared;

/// 200 where the book can be read or has not been begun, 503 where it cannot.
pub(crate) async fn health(State(house): State<Shared>) -> (StatusCode, &'static str) {
    let Ok(book) = house.book().await else { return (StatusCode::OK, "no book yet\n") };
    match book.shop().await {
        Ok(_) => (StatusCode::OK, "fine\n"),
        Err(_) => (StatusCode::SERVICE_UNAVAILABLE, "the book cannot be read\n"),
    }
}
