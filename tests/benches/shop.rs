//! One log of several benches over a PostgreSQL in a scratch folder: a first exchange beside `COPY` of the same rows, how soon a change
//! is seen on another bench, memory, and how cost grows with the log and with benches.
//!
//! `SOLDERLAST_BENCH_SHOP=10000` takes a log of so many entries, about, in place of 100,000.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use chrono::Utc;
use solderlast_core::clock::version_7;
use solderlast_core::logbook::Log;
use solderlast_core::record::audition::AuditionId;
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_meet::{Address, Exchanged, KeepUp, Patience, Secret, Wish, begin, keep_up, once};
use solderlast_serve::machine::SystemDice;

use crate::generated::{begun, name, write};
use crate::server::{PASSWORD, Postgres};
use crate::timing::{Report, Timings};

/// Entries of one audition of the generated log, about.
const AN_AUDITION: u64 = 31;
/// How many changes are timed until another bench has them.
const CHANGES: u64 = 200;
/// How often the other bench is looked at for one.
const LOOKED: Duration = Duration::from_millis(1);

/// A shared log on a server.
struct Shop {
    server: Postgres,
    patience: Patience,
}

impl Shop {
    /// Begins a shared log in a database of its own, and gives benches an account.
    fn begin(&self, database: &str) {
        self.server.database(database);
        let address = Address::read(&self.server.keepers_address(database)).unwrap();
        wait(begin(&address, None, self.patience)).unwrap();
        self.server.keeper("postgres").does(&format!(
            "DO $$ BEGIN IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'ada') THEN
                CREATE ROLE ada LOGIN PASSWORD '{PASSWORD}' IN ROLE solderlast_bench;
             END IF; END $$"
        ));
    }

    /// Exchanges all there is over a new connection.
    fn meets(&self, database: &str, folder: &Path) -> Exchanged {
        let address = Address::read(&self.server.address(database)).unwrap();
        let secret = Secret::new(PASSWORD);
        let keep = KeepUp { folder, address: &address, secret: Some(&secret), patience: self.patience };
        wait(once(keep, wish())).unwrap().exchanged
    }
}

fn wait<T>(work: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(work)
}

fn wish() -> Wish {
    Wish { join: true, erase: false, now: Utc::now(), tray: version_7(Utc::now(), &SystemDice) }
}

/// What this whole process takes of memory, in MiB (proc(5)): `VmRSS` now, `VmHWM` at its peak.
fn memory(which: &str) -> f32 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix(which)).unwrap();
    line.trim_start_matches(':').trim().trim_end_matches(" kB").parse::<f32>().unwrap() / 1024.0
}

/// Does something; how much more memory than before it took at its peak, in MiB.
fn grown<T>(work: impl FnOnce() -> T) -> (T, f32) {
    std::fs::write("/proc/self/clear_refs", "5").unwrap();
    let before = memory("VmRSS");
    let done = work();
    (done, memory("VmHWM") - before)
}

fn some_entry(bench: u64, number: u64) -> Entry {
    let body = r#"{"kind":"reading_taken","mode":"single","reading":{"ohms":6660.0},"typed":"6.66k","room":null}"#;
    Entry {
        id: EntryId(name(20 + u128::from(bench), number)),
        at: Utc::now(),
        bench: BenchId(name(7, 100 + bench)),
        about: About::Audition(AuditionId(name(19, number))),
        body: Written::read("reading_taken", body),
    }
}

fn new_log(folder: &Path, bench: u64) -> Log {
    Log::open(folder, begun(0), BenchId(name(7, 100 + bench))).unwrap()
}

pub fn measure(folder: &Path, report: &mut Report) {
    let entries: u64 = std::env::var("SOLDERLAST_BENCH_SHOP").ok().and_then(|n| n.parse().ok()).unwrap_or(100_000);
    let shop = Shop { server: Postgres::start(&["fsync=on"]), patience: Patience::default() };
    let (ada, ben) = first_exchange(&shop, folder, entries, report);
    seen_elsewhere(&shop, &ada, &ben, report);
    report.title("How cost grows with the log, over a new connection");
    for part in [100, 10, 1] {
        by_size(&shop, folder, entries / part, report);
    }
    report.title("How cost grows with benches: 20 entries written on each, then all meet at once");
    for benches in [1, 5, 20, 50] {
        by_benches(&shop, folder, benches, report);
    }
}

fn first_exchange(shop: &Shop, folder: &Path, entries: u64, report: &mut Report) -> (PathBuf, PathBuf) {
    report.title("A first exchange beside COPY of the same rows into a table of the same form, without its rights");
    shop.begin("first");
    let (ada, ben) = (folder.join("ada"), folder.join("ben"));
    let mut log = new_log(&ada, 1);
    write(&mut log, entries / AN_AUDITION);
    drop(log);
    drop(new_log(&ben, 2));
    let mut out = Timings::new();
    let (sent, memory_out) = grown(|| out.time(|| shop.meets("first", &ada)).sent);
    let owner = shop.server.keeper("first");
    let file = shop.server.data().join("rows.copy");
    let columns = "id, about, line, sum";
    owner.does(&format!("COPY solderlast.entry ({columns}) TO '{}'", file.display()));
    owner.does("CREATE TABLE copied (LIKE solderlast.entry INCLUDING ALL)");
    let mut copied = Timings::new();
    copied.time(|| owner.does(&format!("COPY copied ({columns}) FROM '{}'", file.display())));
    let mut inward = Timings::new();
    let (brought, memory_in) = grown(|| inward.time(|| shop.meets("first", &ben)).brought);
    assert_eq!((sent, brought), (owner.counts("SELECT count(*) FROM copied").cast_unsigned(), sent));
    report.note("entries", &format!("{sent}"));
    report.note("COPY", &format!("{:.0} ms, {:.0} rows a second", copied.max(), sent as f64 / copied.max() * 1e3));
    for (what, took, memory) in [("sent", out, memory_out), ("brought in", inward, memory_in)] {
        let ratio = took.max() / copied.max();
        let rows = sent as f64 / took.max() * 1e3;
        let shown = format!("{:.0} ms, {ratio:.1} times COPY, {rows:.0} rows a second", took.max());
        report.number(what, &shown, ratio <= 3.0);
        report.number(&format!("{what}: memory more than before"), &format!("{memory:.0} MiB"), memory < 64.0);
    }
    (ada, ben)
}

/// How long a change takes from its acknowledgement on one bench until it is in the log of another one.
fn seen_elsewhere(shop: &Shop, ada: &Path, ben: &Path, report: &mut Report) {
    report.title("A change on one bench until another one on this computer has it");
    let address = Address::read(&shop.server.address("first")).unwrap();
    let secret = Secret::new(PASSWORD);
    let mut seen = Timings::new();
    std::thread::scope(|scope| {
        let mut stops = Vec::new();
        for folder in [ada, ben] {
            let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
            stops.push(stop);
            let (address, secret, patience) = (&address, &secret, shop.patience);
            scope.spawn(move || {
                let keep = KeepUp { folder, address, secret: Some(secret), patience };
                let nobody_asks = tokio::sync::Notify::new();
                wait(async {
                    tokio::select! {
                        _ = stopped => {}
                        ended = keep_up(keep, &nobody_asks, wish, |_| {}) => panic!("it ended: {:?}", ended.err()),
                    }
                });
            });
        }
        let (mut here, there) = (new_log(ada, 1), new_log(ben, 2));
        for number in 0..CHANGES {
            let entry = some_entry(1, number);
            let id = entry.id;
            here.write(&[entry]).unwrap();
            let began = Instant::now();
            while there.entry(id).unwrap().is_none() {
                assert!(began.elapsed() < Duration::from_secs(60), "it does not come");
                std::thread::sleep(LOOKED);
            }
            // The first one waits for both to meet.
            if number > 0 {
                seen.push(began.elapsed());
            }
            // Not in step with how often a bench looks at its log.
            std::thread::sleep(Duration::from_millis(number * 37 % 150));
        }
        drop(stops);
    });
    report.timings("seen", &seen, 300.0, f64::INFINITY);
}

fn by_size(shop: &Shop, folder: &Path, entries: u64, report: &mut Report) {
    let database = format!("size{entries}");
    shop.begin(&database);
    let (one, other) = (folder.join(format!("{database}-one")), folder.join(format!("{database}-other")));
    write(&mut new_log(&one, 3), (entries / AN_AUDITION).max(1));
    drop(new_log(&other, 4));
    let mut first = Timings::new();
    let (sent, out) = grown(|| first.time(|| shop.meets(&database, &one)).sent);
    let ((), inward) = grown(|| drop(shop.meets(&database, &other)));
    let mut next = Timings::new();
    for number in 0..5 {
        new_log(&one, 3).write(&[some_entry(3, entries + number)]).unwrap();
        next.time(|| shop.meets(&database, &one));
    }
    let bytes = shop.server.keeper(&database).counts("SELECT pg_database_size(current_database())");
    report.note(
        &format!("{sent} entries"),
        &format!(
            "first {:.0} ms, one entry more {:.0} ms, {out:.0} MiB more to send and {inward:.0} to bring in, {} bytes an entry there",
            first.max(),
            next.median(),
            bytes.cast_unsigned() / sent.max(1)
        ),
    );
}

fn by_benches(shop: &Shop, folder: &Path, benches: u64, report: &mut Report) {
    let database = format!("benches{benches}");
    shop.begin(&database);
    let folders: Vec<PathBuf> = (0..benches).map(|bench| folder.join(format!("{database}-{bench}"))).collect();
    for (bench, folder) in folders.iter().enumerate() {
        let mut log = new_log(folder, 10 + bench as u64);
        let entries: Vec<Entry> = (0..20).map(|number| some_entry(10 + bench as u64, 1000 + number)).collect();
        log.write(&entries).unwrap();
    }
    let round = || {
        let began = Instant::now();
        std::thread::scope(|scope| {
            for folder in &folders {
                let database = &database;
                scope.spawn(move || shop.meets(database, folder));
            }
        });
        began.elapsed().as_secs_f64() * 1e3
    };
    let (first, second, third) = (round(), round(), round());
    let there = shop.server.keeper(&database).counts("SELECT count(*) FROM solderlast.entry").cast_unsigned();
    assert_eq!(there, benches * 20);
    report.note(
        &format!("{benches} benches"),
        &format!(
            "sent in {first:.0} ms, brought in {second:.0} ms, with nothing new {third:.0} ms, all of them together"
        ),
    );
}
