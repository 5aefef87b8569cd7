//! A whole raise led from the command line on PostgreSQL, which is killed in the middle of it and started again.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, dead_code, reason = "a test ends where it fails")]

#[path = "../../records/tests/common/place.rs"]
mod place;
mod shop;

use shop::Shop;

/// Whatever goes wrong, no message repeats the password of the address.
#[test]
fn no_message_tells_the_password() {
    let Some(server) = place::Server::start() else { return };
    let shop = Shop::new();
    let place = format!("{}&password=gehe1m", server.database());
    let begin: Vec<&str> =
        "book new --shop A --zone Europe/Berlin --rules germany --lead r-holt --name R".split(' ').collect();
    shop.look(&["book", "backup", "all.backup"]);
    for (person, arguments, code) in [
        ("", &["book", "show"][..], 2),
        ("", &["book", "verify"], 2),
        ("r-holt", &begin, 0),
        ("r-holt", &begin, 2),
        ("", &["book", "restore", "all.backup"], 2),
        ("", &["book", "salvage", "some.jsonl"], 0),
        ("r-holt", &["raise", "take-over"], 1),
    ] {
        let said = shop.run(person, &[arguments, &["--book", &place]].concat());
        assert_eq!(said.code, code, "{arguments:?}: {}{}", said.out, said.err);
        assert!(!(said.out + &said.err).contains("gehe1m"), "{arguments:?}: {}", said.err);
    }
}

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
