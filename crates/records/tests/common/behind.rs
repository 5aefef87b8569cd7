//! What no program of ours does to a book.

/// Behind the program's back: what a person with a database tool could do.
pub(crate) async fn sql(place: &str, statement: &str) {
    use sqlx::Connection;
    sqlx::any::install_default_drivers();
    let url = if place.contains("://") { place.to_owned() } else { format!("sqlite://{place}") };
    let mut connection = sqlx::AnyConnection::connect(&url).await.expect("connected");
    sqlx::raw_sql(sqlx::AssertSqlSafe(statement.to_owned())).execute(&mut connection).await.expect("done");
    connection.close().await.expect("closed");
}
