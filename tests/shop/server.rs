//! A PostgreSQL server in a scratch folder, under an account that is not root, and programs that meet through it.

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

use solderlast_testkit::limits::{self, A_PROGRAM, Leash};
use solderlast_tests::program::built;
use tempfile::TempDir;
use tokio::runtime::Runtime;
use tokio_postgres::{Client, NoTls};

const PROGRAMS: &str = "/usr/lib/postgresql/15/bin";

/// The password of every bench's account.
pub const PASSWORD: &str = "tin-whistle-7";

/// A server. It is ended when the test lets go of it.
pub struct Postgres {
    folder: TempDir,
    pub port: u16,
    running: Option<(Child, Leash)>,
}

/// What runs a program as somebody else than root, which a server wants.
fn as_somebody(program: &str) -> Command {
    let path = format!("{PROGRAMS}/{program}");
    assert!(Path::new(&path).is_file(), "{path} is needed for this check: install postgresql-15 (.ci/install test)");
    if is_root() {
        let mut command = Command::new("setpriv");
        command.args(["--reuid=postgres", "--regid=postgres", "--clear-groups", &path]);
        command
    } else {
        Command::new(path)
    }
}

fn is_root() -> bool {
    let told = limits::output(Command::new("id").arg("-u"), b"").expect("id runs");
    told.stdout.trim_ascii() == b"0"
}

fn well(command: &mut Command) {
    let output = limits::output(command, b"").unwrap_or_else(|error| panic!("{command:?}: {error}"));
    assert!(output.status.success(), "{command:?}: {}", String::from_utf8_lossy(&output.stderr));
}

impl Postgres {
    /// A new server with nothing in it; `more` are further settings.
    pub fn start(more: &[&str]) -> Self {
        // Outside the user's own folders, which the server's account may not enter.
        let folder = tempfile::Builder::new().prefix("shop").tempdir_in("/tmp").expect("a scratch folder");
        let port = TcpListener::bind("127.0.0.1:0").and_then(|free| free.local_addr()).expect("a free port").port();
        if is_root() {
            well(Command::new("chown").arg("postgres:postgres").arg(folder.path()));
        }
        let mut server = Self { folder, port, running: None };
        well(as_somebody("initdb").current_dir("/").arg("-D").arg(server.data()).args([
            "--no-sync",
            "--username=keeper",
            "--auth-local=trust",
            "--auth-host=scram-sha-256",
            "--encoding=UTF8",
            "--locale=C.UTF-8",
        ]));
        server.start_again(more);
        server
    }

    pub fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    /// Makes files the server's own.
    pub fn hand_over(&self, files: &[&Path]) {
        for file in files {
            well(Command::new("chmod").arg("600").arg(file));
            if is_root() {
                well(Command::new("chown").arg("postgres:postgres").arg(file));
            }
        }
    }

    /// Starts it, as it was left.
    pub fn start_again(&mut self, more: &[&str]) {
        let begun = Instant::now();
        loop {
            let mut command = as_somebody("postgres");
            command.current_dir("/").arg("-D").arg(self.data()).arg("-k").arg(self.folder.path());
            command.args(["-p", &self.port.to_string()]);
            for setting in ["listen_addresses=127.0.0.1", "fsync=off", "max_connections=80", "logging_collector=off"]
                .iter()
                .chain(more)
            {
                command.args(["-c", setting]);
            }
            let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("it starts");
            let leash = Leash::on(&child, A_PROGRAM);
            // What its processes before left in memory has to go first: then it ends at once, and is started anew.
            while child.try_wait().expect("asked").is_none() {
                if self.try_connect("postgres").is_some() {
                    self.running = Some((child, leash));
                    return;
                }
                assert!(begun.elapsed() < Duration::from_secs(120), "the server did not come up");
                std::thread::sleep(Duration::from_millis(30));
            }
            std::thread::sleep(Duration::from_millis(100));
        }
    }

    /// Kills it where it stands, with all its processes.
    pub fn kill(&mut self) {
        if let Some((mut child, _leash)) = self.running.take() {
            let started = children_of(child.id());
            let _ = child.kill();
            if !started.is_empty() {
                // Those that have ended by then are no failure.
                let _ = Command::new("kill").arg("-9").args(started).stderr(Stdio::null()).status();
            }
            let _ = child.wait();
        }
    }

    fn try_connect(&self, database: &str) -> Option<Asking> {
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build().ok()?;
        let mut config = tokio_postgres::Config::new();
        config.host_path(self.folder.path()).port(self.port).user("keeper").dbname(database);
        config.connect_timeout(Duration::from_secs(5));
        let (client, connection) = runtime.block_on(config.connect(NoTls)).ok()?;
        runtime.spawn(connection);
        Some(Asking { client, runtime })
    }

    /// Who may do everything, in one database.
    pub fn keeper(&self, database: &str) -> Asking {
        self.try_connect(database).expect("the keeper is let in")
    }

    /// Somebody's account, by its password, as a bench comes in.
    pub fn somebody(&self, name: &str, database: &str) -> Asking {
        let runtime =
            tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build().expect("started");
        let mut config = tokio_postgres::Config::new();
        config.host("127.0.0.1").port(self.port).user(name).password(PASSWORD).dbname(database);
        let (client, connection) = runtime.block_on(config.connect(NoTls)).expect("let in");
        runtime.spawn(connection);
        Asking { client, runtime }
    }

    /// A database of this name, nothing in it.
    pub fn database(&self, name: &str) {
        self.keeper("postgres").does(&format!("CREATE DATABASE {name}"));
    }

    /// A database of this name with a shared log begun by the program, and an account `ada` for benches.
    pub fn shared_log(&self, name: &str) {
        self.database(name);
        let begun = program(&["meet", &self.keepers_address(name), "--begin"], Path::new("/"), None);
        assert!(begun.status.success(), "{begun:?}");
        self.keeper("postgres").does(&format!(
            "DO $$ BEGIN IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'ada') THEN
                CREATE ROLE ada LOGIN PASSWORD '{PASSWORD}' IN ROLE solderlast_bench;
                CREATE ROLE stranger LOGIN PASSWORD '{PASSWORD}';
             END IF; END $$"
        ));
    }

    /// The address of who may do everything in a database: by its socket.
    pub fn keepers_address(&self, database: &str) -> String {
        let folder = self.folder.path().display().to_string().replace('/', "%2F");
        format!("postgresql://keeper@{folder}:{}/{database}", self.port)
    }

    /// The address of a bench's account in a database.
    pub fn address(&self, database: &str) -> String {
        format!("postgresql://ada@127.0.0.1:{}/{database}", self.port)
    }
}

impl Drop for Postgres {
    fn drop(&mut self) {
        self.kill();
        if is_root() {
            // What the server made is not always this account's to remove otherwise.
            let _ = std::fs::remove_dir_all(self.data());
        }
    }
}

/// The numbers of the processes that this one started.
fn children_of(parent: u32) -> Vec<String> {
    let all = std::fs::read_dir("/proc").expect("/proc can be read");
    let mut children: Vec<String> = all
        .filter_map(|one| one.ok()?.file_name().into_string().ok())
        .filter(|name| name.parse::<u32>().is_ok())
        .collect();
    children.retain(|id| {
        let told = std::fs::read_to_string(format!("/proc/{id}/stat")).unwrap_or_default();
        // Behind its name, which stands in brackets: its state, then its parent.
        let parents = told.rsplit(") ").next().and_then(|rest| rest.split(' ').nth(1).map(str::to_owned));
        parents.is_some_and(|id| id == parent.to_string())
    });
    children
}

/// A connection to ask by, past the program.
pub struct Asking {
    client: Client,
    runtime: Runtime,
}

impl Asking {
    /// Does this, as it must.
    pub fn does(&self, sql: &str) {
        self.tries(sql).unwrap_or_else(|code| panic!("{sql}: {code}"));
    }

    /// Tries to do this; answers the code of the refusal.
    pub fn tries(&self, sql: &str) -> Result<(), String> {
        self.runtime
            .block_on(self.client.batch_execute(sql))
            .map_err(|error| error.code().map_or_else(|| error.to_string(), |code| code.code().to_owned()))
    }

    /// A number.
    pub fn counts(&self, sql: &str) -> i64 {
        self.runtime.block_on(self.client.query_one(sql, &[])).expect("it answers").get(0)
    }
}

/// The program, run to its end; its password in the environment, as a person would give it.
pub fn program(words: &[&str], log: &Path, password: Option<&str>) -> Output {
    let mut command = Command::new(built());
    command.args(words).env("SOLDERLAST_LOG", log).env_remove("PGPASSWORD");
    if let Some(password) = password {
        command.env("PGPASSWORD", password);
    }
    limits::output(&mut command, b"").expect("the program runs")
}
