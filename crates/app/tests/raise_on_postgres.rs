//! A whole raise led from the command line on PostgreSQL, which is killed in the middle of it and started again.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, dead_code, reason = "a test ends where it fails")]

#[path = "../../records/tests/common/place.rs"]
mod place;
mod shop;

use shop::Shop;

#[test]
fn a_whole_raise_on_postgres_through_its_crash() {
    let Some(mut server) = place::Server::start() else { return };
    let shop = Shop::ready_at(server.database());
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    shop.confirm_until("t-ash", "raised");
    server.kill();
    let said = shop.run("t-ash", &["raise", "confirm", "raised"]);
    assert!(said.code == 2 && said.err.contains("The database is not reached"), "{}", said.err);
    server.run();
    assert_eq!(shop.next().as_deref(), Some("raised"));
    shop.to_the_end("t-ash");
    assert!(shop.look(&["book", "verify", "--plans"]).contains("1 plan, computed again"));
    let told = shop.look(&["book", "backup", "all.backup"]);
    let head = told.lines().last().unwrap().trim();
    assert!(shop.look(&["book", "restore", "all.backup", "--book", "copy.book"]).contains(head));
}
