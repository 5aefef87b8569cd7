//! Tables, by numbered steps that only go forward.

use std::collections::{BTreeMap, BTreeSet};

use sqlx::{AnyConnection, Connection, Executor, Row};

use super::{Kind, Store};
use crate::failure::Failure;
use crate::fault::Fault;

/// Step by step; a released step is never changed. `KEY` is the type of a number that is a table's key.
const STEPS: &[&[&str]] = &[
    &[
        "CREATE TABLE event (seq KEY PRIMARY KEY, at_microseconds BIGINT NOT NULL, zone TEXT NOT NULL, by_person TEXT NOT NULL, \
     with_person TEXT NOT NULL, fact TEXT NOT NULL, before_hash TEXT NOT NULL, hash TEXT NOT NULL, day TEXT NOT NULL)",
        "CREATE INDEX event_day ON event (day)",
        "CREATE TABLE subject (subject TEXT NOT NULL, seq BIGINT NOT NULL, PRIMARY KEY (subject, seq))",
        "CREATE INDEX subject_seq ON subject (seq)",
        "CREATE TABLE document (digest TEXT PRIMARY KEY, content TEXT NOT NULL)",
        "CREATE TABLE head (only_row KEY PRIMARY KEY, seq BIGINT NOT NULL, hash TEXT NOT NULL)",
        "CREATE TABLE fold (only_row KEY PRIMARY KEY, version BIGINT NOT NULL, seq BIGINT NOT NULL, hash TEXT NOT NULL, shop TEXT NOT NULL)",
        "CREATE TABLE pin (person TEXT PRIMARY KEY, hash TEXT NOT NULL, failures BIGINT NOT NULL, locks BIGINT NOT NULL, \
     locked_until BIGINT NOT NULL)",
    ],
    // Parts of surveys, which several machines work at: no answer = still to be done.
    &[
        "CREATE TABLE survey_part (survey TEXT NOT NULL, part BIGINT NOT NULL, done_by TEXT, answer TEXT, PRIMARY KEY (survey, part))",
    ],
    // Vehicles apart from the rest of the fold: pages that tell of none read none.
    &[
        "CREATE TABLE fleet (only_row KEY PRIMARY KEY, version BIGINT NOT NULL, seq BIGINT NOT NULL, hash TEXT NOT NULL, fleet TEXT NOT NULL)",
    ],
];

const VERSIONS: &str = "CREATE TABLE IF NOT EXISTS book_version (version BIGINT NOT NULL)";

/// The newest version that this program knows.
pub(crate) fn newest() -> i64 {
    i64::try_from(STEPS.len()).unwrap_or(i64::MAX)
}

impl Store {
    /// Version of the tables; 0 = there are none. Refuses what a newer program has written, and what none has.
    pub(crate) async fn version(&self) -> Result<i64, Failure> {
        let there = match self.kind {
            Kind::Sqlite => {
                "SELECT COUNT(*) AS n FROM sqlite_master WHERE type = 'table' AND name = 'book_version'"
            }
            Kind::Postgres => {
                "SELECT COUNT(*) AS n FROM information_schema.tables WHERE table_schema = current_schema() AND table_name = 'book_version'"
            }
        };
        let there: i64 = sqlx::query(there).fetch_one(&self.pool).await?.try_get("n")?;
        // Tables without their versions were a book.
        let are_tables =
            async || sqlx::query("SELECT COUNT(*) FROM event").fetch_one(&self.pool).await.is_ok();
        if there == 0 {
            let lacks = Fault::Lacks("table book_version".into());
            return if are_tables().await { Err(Failure::Damaged(vec![lacks])) } else { Ok(0) };
        }
        let rows = sqlx::query("SELECT version FROM book_version").fetch_all(&self.pool).await?;
        let said: BTreeSet<i64> = rows.iter().map(|row| row.try_get("version")).collect::<Result<_, _>>()?;
        let book = said.last().copied().unwrap_or(0);
        if book > newest() {
            return Err(Failure::NewerBook { book, program: newest() });
        }
        if book == 0 && said.is_empty() && !are_tables().await {
            return Ok(0);
        }
        // Each step has its row.
        let row = |version: &i64| format!("row {version} of table book_version");
        let steps = 1..=book.max(1);
        let lacks = steps.clone().filter(|step| !said.contains(step)).map(|step| Fault::Lacks(row(&step)));
        let strange = said.iter().filter(|version| !steps.contains(version)).map(|v| Fault::Strange(row(v)));
        let faults: Vec<Fault> = lacks.chain(strange).collect();
        if faults.is_empty() { Ok(book) } else { Err(Failure::Damaged(faults)) }
    }

    /// Makes the tables, or brings them forward.
    ///
    /// A book that is not brought forward, as it may only be read, is of an older program, and not damaged.
    pub(crate) async fn bring_forward(&self) -> Result<(), Failure> {
        let book = self.version().await?;
        if book == newest() {
            return Ok(());
        }
        match self.step_forward().await {
            Err(Failure::ReadOnly(_) | Failure::NotAllowed(_)) if book > 0 => {
                Err(Failure::OlderBook { book, program: newest() })
            }
            done => done,
        }
    }

    async fn step_forward(&self) -> Result<(), Failure> {
        let mut tx = self.begin_writing().await?;
        tx.execute(VERSIONS).await?;
        let row = sqlx::query("SELECT COALESCE(MAX(version), 0) AS version FROM book_version")
            .fetch_one(&mut *tx)
            .await?;
        let from: i64 = row.try_get("version")?;
        for (number, step) in (1_i64..).zip(STEPS).filter(|(number, _)| *number > from) {
            // As where a table is there already: no program of ours leaves what its next step cannot be made of.
            make(&mut tx, self.kind, step).await.map_err(|failure| match failure {
                Failure::Store(words) => Failure::Damaged(vec![Fault::Store(words)]),
                other => other,
            })?;
            sqlx::query("INSERT INTO book_version (version) VALUES ($1)")
                .bind(number)
                .execute(&mut *tx)
                .await?;
        }
        tx.commit().await?;
        Ok(())
    }
}

async fn make(on: &mut AnyConnection, kind: Kind, step: &[&'static str]) -> Result<(), Failure> {
    for statement in step {
        // A key of this type is the row's own place in SQLite, so that a row needs no second tree to be found.
        let key = if kind == Kind::Sqlite { "INTEGER" } else { "BIGINT" };
        let statement = statement.replace("KEY PRIMARY", &format!("{key} PRIMARY"));
        on.execute(sqlx::AssertSqlSafe(statement)).await?;
    }
    Ok(())
}

/// Tables and whatever else somebody could put among them, by kind and name, with its text where the database keeps one.
type Objects = BTreeMap<String, String>;

/// What the steps make, in a database in memory; with every column and key, where no text of the database's own tells them.
async fn as_made(kind: Kind) -> Result<Objects, Failure> {
    let mut memory = AnyConnection::connect("sqlite::memory:").await?;
    memory.execute(VERSIONS).await?;
    for step in STEPS {
        make(&mut memory, Kind::Sqlite, step).await?;
    }
    let mut made = of_sqlite(&mut memory).await?;
    if kind == Kind::Postgres {
        let query = "SELECT 'column ' || m.name || '.' || c.name FROM sqlite_master m JOIN pragma_table_info(m.name) c WHERE m.type = 'table' \
             UNION ALL SELECT 'key ' || m.name || '.' || c.name FROM sqlite_master m JOIN pragma_table_info(m.name) c \
             WHERE m.type = 'table' AND c.pk > 0";
        for row in sqlx::query(query).fetch_all(&mut memory).await? {
            made.insert(row.try_get(0)?, String::new());
        }
    }
    let _ = memory.close().await;
    Ok(made)
}

/// What belongs to a key of a table, or to the database's own statistics, has no text or a name of its own.
async fn of_sqlite(on: &mut AnyConnection) -> Result<Objects, Failure> {
    let query = "SELECT type || ' ' || name AS name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_stat%'";
    let rows = sqlx::query(query).fetch_all(on).await?;
    rows.iter().map(|row| Ok((row.try_get("name")?, row.try_get("sql")?))).collect()
}

/// Tables and indices of the schema with their columns and keys, and whatever could act on what is written: triggers, rules,
/// functions that are no extension's, defaults, constraints beside the keys, policies. Rows of a child are read as the
/// table's own, and what is not logged is gone when the server crashes.
async fn of_postgres(on: &mut AnyConnection) -> Result<Objects, Failure> {
    let query = "SELECT CASE c.relkind WHEN 'i' THEN 'index ' ELSE 'table ' END || c.relname AS name FROM pg_class c \
         WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind IN ('r', 'i') \
         UNION ALL SELECT 'trigger ' || t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid \
         WHERE c.relnamespace = current_schema()::regnamespace AND NOT t.tgisinternal \
         UNION ALL SELECT 'rule ' || rulename FROM pg_rules WHERE schemaname = current_schema() \
         UNION ALL SELECT 'function ' || p.proname FROM pg_proc p WHERE p.pronamespace = current_schema()::regnamespace \
         AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e') \
         UNION ALL SELECT 'column ' || c.relname || '.' || a.attname FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid \
         WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind = 'r' AND a.attnum > 0 AND NOT a.attisdropped \
         UNION ALL SELECT 'key ' || c.relname || '.' || a.attname FROM pg_index i JOIN pg_class c ON c.oid = i.indrelid \
         JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = ANY (i.indkey) \
         WHERE c.relnamespace = current_schema()::regnamespace AND i.indisprimary AND i.indisvalid \
         UNION ALL SELECT 'child ' || c.relname || '.' || h.relname FROM pg_inherits p JOIN pg_class c ON c.oid = p.inhparent \
         JOIN pg_class h ON h.oid = p.inhrelid WHERE c.relnamespace = current_schema()::regnamespace AND c.relkind = 'r' \
         UNION ALL SELECT 'persistence ' || relname || '.unlogged' FROM pg_class \
         WHERE relnamespace = current_schema()::regnamespace AND relkind = 'r' AND relpersistence = 'u' \
         UNION ALL SELECT 'default ' || c.relname || '.' || a.attname FROM pg_attrdef d JOIN pg_class c ON c.oid = d.adrelid \
         JOIN pg_attribute a ON a.attrelid = d.adrelid AND a.attnum = d.adnum WHERE c.relnamespace = current_schema()::regnamespace \
         UNION ALL SELECT 'constraint ' || c.relname || '.' || k.conname FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid \
         WHERE c.relnamespace = current_schema()::regnamespace AND k.contype NOT IN ('p', 'u', 'n') \
         UNION ALL SELECT 'policy ' || tablename || '.' || policyname FROM pg_policies WHERE schemaname = current_schema()";
    let rows = sqlx::query(query).fetch_all(on).await?;
    rows.iter().map(|row| Ok((row.try_get("name")?, String::new()))).collect()
}

/// Everything by which the database differs from what the steps make: a trigger could change what is written.
///
/// A file is the book's own; a database of PostgreSQL may hold other tables.
pub(crate) async fn differences(on: &mut AnyConnection, kind: Kind) -> Result<Vec<Fault>, Failure> {
    let made = as_made(kind).await?;
    let there = match kind {
        Kind::Sqlite => of_sqlite(on).await?,
        Kind::Postgres => of_postgres(on).await?,
    };
    // The table that a column, a key or anything else with a dot is of.
    let table = |name: &str| Some(format!("table {}", name.split_once(' ')?.1.split_once('.')?.0));
    let stands_alone = |name: &str| table(name).is_none_or(|table| there.contains_key(&table));
    let lacks = made.keys().filter(|name| !there.contains_key(*name) && stands_alone(name));
    let lacks: Vec<Fault> = lacks.cloned().map(Fault::Lacks).collect();
    let acts = |name: &str| match table(name) {
        Some(table) => made.contains_key(&table),
        None => ["trigger ", "rule ", "function "].iter().any(|kind| name.starts_with(kind)),
    };
    let strange = there.iter().filter(|(name, text)| match made.get(*name) {
        Some(as_made) => kind == Kind::Sqlite && as_made != *text,
        None => kind == Kind::Sqlite || acts(name),
    });
    Ok(lacks.into_iter().chain(strange.map(|(name, _)| Fault::Strange(name.clone()))).collect())
}
