//! Where a book can be: a file in a temporary folder, or a database of a PostgreSQL server started for the tests.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// A file.
pub(crate) struct File {
    pub(crate) folder: TempDir,
}

impl File {
    pub(crate) fn new() -> Self {
        Self { folder: TempDir::new().expect("a temporary folder") }
    }

    pub(crate) fn path(&self) -> PathBuf {
        self.folder.path().join("shop.book")
    }

    pub(crate) fn place(&self) -> String {
        self.path().display().to_string()
    }
}

/// A PostgreSQL server of our own, without TCP. It ends when the tests' process ends, however that ends: a shell waits
/// for the end of a pipe.
pub(crate) struct Server {
    folder: TempDir,
    bin: PathBuf,
    guard: Option<Child>,
    /// Said to the shell, as what is static is never dropped.
    removed_by_shell: bool,
}

fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|o| o.stdout == b"0\n")
}

/// Where initdb and postgres are: the newest of the usual folders, or the search path.
fn binaries() -> Option<PathBuf> {
    let mut found: Vec<PathBuf> = std::fs::read_dir("/usr/lib/postgresql")
        .map(|entries| entries.flatten().map(|e| e.path().join("bin")).collect())
        .unwrap_or_default();
    found.sort_by_key(|p| p.parent().and_then(Path::file_name).and_then(|n| n.to_str()?.parse::<u32>().ok()));
    found.reverse();
    let path = std::env::var_os("PATH").unwrap_or_default();
    found.extend(std::env::split_paths(&path));
    found.into_iter().find(|p| ["initdb", "postgres", "psql"].iter().all(|name| p.join(name).is_file()))
}

impl Server {
    /// `None` only where there is no PostgreSQL and `STANDFAST_OFFLINE=1` says that this is known.
    pub(crate) fn start() -> Option<Self> {
        Self::start_as(false)
    }

    fn start_as(removed_by_shell: bool) -> Option<Self> {
        let Some(bin) = binaries() else {
            assert!(
                std::env::var("STANDFAST_OFFLINE").is_ok_and(|v| v == "1"),
                "PostgreSQL is not installed (package postgresql); STANDFAST_OFFLINE=1 leaves its tests out knowingly"
            );
            eprintln!("skipped: PostgreSQL is not installed, STANDFAST_OFFLINE=1");
            return None;
        };
        let folder = TempDir::new().expect("a temporary folder");
        let data = folder.path().join("data");
        let mut initdb = as_server(&bin.join("initdb"), folder.path());
        initdb
            .args(["--auth=trust", "--username=shop", "--encoding=UTF8", "--no-locale", "--no-sync", "-D"])
            .arg(&data);
        let made = initdb.output().expect("initdb runs");
        assert!(made.status.success(), "initdb: {}", String::from_utf8_lossy(&made.stderr));
        let mut server = Self { folder, bin, guard: None, removed_by_shell };
        server.run();
        Some(server)
    }

    pub(crate) fn run(&mut self) {
        let data = self.folder.path().join("data");
        let mut postgres = as_server(&self.bin.join("postgres"), self.folder.path());
        postgres.arg("-D").arg(&data).arg("-k").arg(self.folder.path());
        postgres.args(["-c", "listen_addresses=", "-c", "max_connections=200", "-c", "shared_buffers=32MB"]);
        let line: Vec<String> = std::iter::once(postgres.get_program())
            .chain(postgres.get_args())
            .map(|word| format!("'{}'", word.to_string_lossy()))
            .collect();
        // The server's own words go to a file: a full pipe would stop it.
        let remove = if self.removed_by_shell {
            format!("rm -rf '{}'", self.folder.path().display())
        } else {
            String::new()
        };
        let script = format!(
            "cd / && {} >'{log}' 2>&1 & cat >/dev/null; kill -QUIT $(head -1 '{data}/postmaster.pid') 2>/dev/null; wait; {remove}",
            line.join(" "),
            log = self.folder.path().join("log").display(),
            data = data.display(),
        );
        let guard = Command::new("sh").arg("-c").arg(script).stdin(Stdio::piped()).spawn().expect("a shell");
        self.guard = Some(guard);
        let began = Instant::now();
        while !self.answers() {
            assert!(began.elapsed() < Duration::from_secs(30), "PostgreSQL does not answer: {}", self.log());
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    fn log(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("log")).unwrap_or_default()
    }

    fn answers(&self) -> bool {
        self.psql("postgres", "SELECT 1").is_ok()
    }

    pub(crate) fn psql(&self, database: &str, statement: &str) -> Result<String, String> {
        let out = Command::new(self.bin.join("psql"))
            .args(["-X", "-q", "-t", "-A", "-v", "ON_ERROR_STOP=1", "-U", "shop", "-d", database, "-h"])
            .arg(self.folder.path())
            .args(["-c", statement])
            .output()
            .map_err(|e| e.to_string())?;
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        if out.status.success() { Ok(text(&out.stdout)) } else { Err(text(&out.stderr)) }
    }

    /// The address of a new database.
    pub(crate) fn database(&self) -> String {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let name = format!("book{}", COUNT.fetch_add(1, Ordering::Relaxed));
        self.psql("postgres", &format!("CREATE DATABASE {name}")).expect("a new database");
        format!("postgres:///{name}?user=shop&host={}", self.folder.path().display())
    }

    /// kill -9 of the postmaster: all its processes end as they stand.
    pub(crate) fn kill(&mut self) {
        let text = std::fs::read_to_string(self.folder.path().join("data/postmaster.pid")).expect("it runs");
        let pid = text.lines().next().expect("its process").to_owned();
        let killed = Command::new("kill").args(["-9", &pid]).status().expect("kill runs");
        assert!(killed.success());
        if let Some(mut guard) = self.guard.take() {
            drop(guard.stdin.take());
            guard.wait().expect("the shell ends");
        }
        let began = Instant::now();
        while self.answers() {
            assert!(began.elapsed() < Duration::from_secs(10), "it does not end");
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        if let Some(mut guard) = self.guard.take() {
            drop(guard.stdin.take());
            let _ = guard.wait();
        }
    }
}

/// PostgreSQL will not run as root: then as the user that its package made, or as nobody.
fn as_server(program: &Path, folder: &Path) -> Command {
    if !is_root() {
        return Command::new(program);
    }
    let user = ["postgres", "nobody"]
        .into_iter()
        .find(|u| Command::new("id").arg(u).output().is_ok_and(|o| o.status.success()))
        .expect("a user that is not root");
    let owned = Command::new("chown").arg("-R").arg(user).arg(folder).status().expect("chown runs");
    assert!(owned.success());
    let mut command = Command::new("setpriv");
    command.args(["--reuid", user, "--clear-groups", "--inh-caps=-all"]).arg(program);
    command.current_dir(folder);
    command
}

/// One server for all tests of a file.
pub(crate) fn shared() -> Option<&'static Server> {
    static SERVER: OnceLock<Option<Server>> = OnceLock::new();
    SERVER.get_or_init(|| Server::start_as(true)).as_ref()
}
