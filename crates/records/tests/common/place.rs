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
    /// The port at which it answers encrypted; `None` = it answers at its socket alone.
    port: Option<u16>,
}

fn is_root() -> bool {
    Command::new("id").arg("-u").output().is_ok_and(|o| o.stdout == b"0\n")
}

/// Folders in which packages put one folder a version.
const USUAL: [&str; 3] = ["/usr/lib/postgresql", "/usr/local/lib/postgresql", "/opt/postgresql"];

/// Where initdb and postgres are: where `pg_config` says, the newest of the usual folders, or the search path.
fn binaries() -> Option<PathBuf> {
    let told = Command::new("pg_config").arg("--bindir").stderr(Stdio::null()).output().ok();
    let told = told.and_then(|o| String::from_utf8(o.stdout).ok()).map(|text| PathBuf::from(text.trim()));
    let version =
        |p: &PathBuf| p.parent().and_then(Path::file_name).and_then(|n| n.to_str()?.parse::<u32>().ok());
    let folders = USUAL.iter().filter_map(|folder| std::fs::read_dir(folder).ok());
    let mut usual: Vec<PathBuf> = folders.flat_map(|f| f.flatten().map(|e| e.path().join("bin"))).collect();
    usual.sort_by_key(|p| std::cmp::Reverse(version(p)));
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut all = told.into_iter().chain(usual).chain(std::env::split_paths(&path));
    all.find(|p| ["initdb", "postgres", "psql"].iter().all(|name| p.join(name).is_file()))
}

impl Server {
    /// `None` only where there is no PostgreSQL and `STANDFAST_OFFLINE=1` says that this is known.
    pub(crate) fn start() -> Option<Self> {
        Self::start_as(false, false)
    }

    /// One that is reached over TCP as well, encrypted with a certificate of its own for `localhost`.
    pub(crate) fn start_encrypted() -> Option<Self> {
        Self::start_as(false, true)
    }

    fn start_as(removed_by_shell: bool, encrypted: bool) -> Option<Self> {
        let Some(bin) = binaries() else {
            assert!(
                std::env::var("STANDFAST_OFFLINE").is_ok_and(|v| v == "1"),
                "PostgreSQL is not installed: looked where pg_config says, in {} and on the search path. Install the package \
                 postgresql (scripts/check does that, as root), or leave its tests out knowingly with STANDFAST_OFFLINE=1",
                USUAL.join(", ")
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
        let port = encrypted.then(|| {
            certificate(folder.path(), "server");
            let free = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
            free.local_addr().expect("its number").port()
        });
        let mut server = Self { folder, bin, guard: None, removed_by_shell, port };
        server.run();
        Some(server)
    }

    pub(crate) fn run(&mut self) {
        let data = self.folder.path().join("data");
        let mut postgres = as_server(&self.bin.join("postgres"), self.folder.path());
        postgres.arg("-D").arg(&data).arg("-k").arg(self.folder.path());
        postgres.args(["-c", "max_connections=200", "-c", "shared_buffers=32MB"]);
        match self.port {
            None => postgres.args(["-c", "listen_addresses="]),
            Some(port) => {
                let file = |end| self.folder.path().join(format!("server.{end}")).display().to_string();
                postgres.args([
                    "-c",
                    "listen_addresses=127.0.0.1",
                    "-c",
                    "ssl=on",
                    "-c",
                    &format!("port={port}"),
                ]);
                postgres.args(["-c", &format!("ssl_cert_file={}", file("crt"))]);
                postgres.args(["-c", &format!("ssl_key_file={}", file("key"))])
            }
        };
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
            .args(["-p", &self.port.unwrap_or(5432).to_string()])
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
        match self.port {
            None => self.address(&name, "shop"),
            Some(port) => format!("postgres://shop@localhost:{port}/{name}"),
        }
    }

    /// Where it keeps a table or an index of a database.
    pub(crate) fn file_of(&self, database: &str, relation: &str) -> PathBuf {
        let path = self.psql(database, &format!("SELECT pg_relation_filepath('{relation}')"));
        self.folder.path().join("data").join(path.expect("a path").trim())
    }

    /// The address of a database, for somebody.
    pub(crate) fn address(&self, database: &str, user: &str) -> String {
        format!("postgres:///{database}?user={user}&host={}", self.folder.path().display())
    }

    /// Its certificate.
    pub(crate) fn certificate(&self) -> PathBuf {
        self.folder.path().join("server.crt")
    }

    /// kill -9 of the postmaster: all its processes end as they stand.
    pub(crate) fn kill(&mut self) {
        let text = std::fs::read_to_string(self.folder.path().join("data/postmaster.pid")).expect("it runs");
        let pid = text.lines().next().expect("its process").to_owned();
        // Whoever is being served has a process of its own, which on a busy machine outlives the first one.
        let children =
            std::fs::read_to_string(format!("/proc/{pid}/task/{pid}/children")).unwrap_or_default();
        let killed = Command::new("kill").args(["-9", &pid]).status().expect("kill runs");
        assert!(killed.success());
        let _ended_by_itself = Command::new("kill").arg("-9").args(children.split_whitespace()).output();
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

/// A certificate for `localhost` that it signed itself, and its key, as the program `openssl` makes them.
pub(crate) fn certificate(folder: &Path, name: &str) -> PathBuf {
    let [key, file] = ["key", "crt"].map(|end| folder.join(format!("{name}.{end}")));
    let mut openssl = Command::new("openssl");
    openssl.args(["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=localhost"]);
    openssl.args([
        "-addext",
        "subjectAltName=DNS:localhost",
        "-addext",
        "basicConstraints=critical,CA:FALSE",
    ]);
    openssl.arg("-keyout").arg(&key).arg("-out").arg(&file).stderr(Stdio::null());
    assert!(openssl.status().expect("the program openssl, which the package postgresql brings").success());
    file
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
    SERVER.get_or_init(|| Server::start_as(true, false)).as_ref()
}

/// One of each, where there is PostgreSQL.
pub(crate) async fn places() -> Vec<(Option<File>, String)> {
    let file = File::new();
    let place = file.place();
    let mut all = vec![(Some(file), place)];
    all.extend(shared().map(|server| (None, server.database())));
    all
}
