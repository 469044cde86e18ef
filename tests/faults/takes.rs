//! Killed while a take comes in, is written and is noted: what was acknowledged is there and whole, and nothing half is left.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::record::take::TakeName;
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_testkit::Chance;
use solderlast_testkit::limits::{A_PROGRAM, Leash};
use solderlast_testkit::sound::{Samples, Sound};

use crate::bench::{Stock, name};
use crate::client::Client;
use solderlast_tests::program::built;

/// What came of sending a take.
pub struct Sent {
    /// What was answered, with its head; empty where nothing was.
    pub answer: String,
    /// From the first byte sent to the last one answered.
    pub took: Duration,
}

impl Sent {
    /// Whether it was acknowledged.
    pub fn is_kept(&self) -> bool {
        self.answer.contains("{\"ok\"")
    }
}

/// Sends a take to a program that is started for it; kills that so long after the first byte, or waits for the answer.
pub fn sent(folder: &Path, audition: &str, entry: &str, file: &[u8], moment: Option<Duration>) -> Sent {
    let mut child = Command::new(built())
        .args(["serve", "--port", "0", "--log"])
        .arg(folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program can be started");
    let _leash = Leash::on(&child, A_PROGRAM);
    let mut lines = BufReader::new(child.stdout.take().expect("its output was asked for"));
    let mut line = String::new();
    lines.read_line(&mut line).expect("it says where it is");
    let address = line.trim().strip_prefix("open http://").expect("an address").to_owned();
    let (to, key) = address.split_once("/#key=").expect("a key");
    let recorded = "%7B%22played%22%3A%22riff%22%7D";
    let head = format!(
        "POST /take/audition/{audition}/{entry}?recorded={recorded} HTTP/1.1\r\nHost: {to}\r\nAuthorization: Bearer {key}\r\n\
         Content-Type: audio/wav\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        file.len()
    );
    let process = child.id();
    let mut answer = String::new();
    let begun = Instant::now();
    std::thread::scope(|scope| {
        if let Some(moment) = moment {
            scope.spawn(move || {
                std::thread::sleep(moment);
                // By its number, as it is being waited for.
                let _ = Command::new("kill").args(["-9", &process.to_string()]).status();
            });
        }
        if let Ok(mut stream) = TcpStream::connect(to) {
            let _ = stream.write_all(head.as_bytes());
            for part in file.chunks(8192) {
                if stream.write_all(part).is_err() {
                    break;
                }
            }
            let _ = stream.read_to_string(&mut answer);
        }
    });
    let took = begun.elapsed();
    let _ = child.kill();
    let _ = child.wait();
    Sent { answer, took }
}

#[test]
fn a_kill_while_a_take_is_kept_leaves_nothing_half() {
    let rounds = std::env::var("SOLDERLAST_KILLS").ok().and_then(|number| number.parse().ok()).unwrap_or(12_u64);
    let mut chance = Chance::of_the_moment();
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path();
    let stock = Stock::new();
    let mut first = Client::start(folder);
    for ask in &stock.asks {
        first.ok(ask);
    }
    assert!(first.ended_well());
    let file = |number: u64| {
        let sound = Sound::silence(44_100, 2, 6.0).sine(110.0 + number as f64, 0.3);
        sound.noise(1e-3, &mut Chance(number)).wav(Samples::Whole(16))
    };
    // How long one takes undisturbed, on this machine now: the quicker of two, as the first warms the disk up.
    let mut acknowledged = Vec::new();
    let mut calm_time = Duration::MAX;
    for number in [1000, 1001] {
        let calm = name();
        let undisturbed = sent(folder, &stock.audition, &calm, &file(number), None);
        assert!(undisturbed.is_kept(), "{}", undisturbed.answer);
        calm_time = calm_time.min(undisturbed.took);
        acknowledged.push(calm);
    }
    let mut before_the_answer = 0;
    for round in 0..rounds {
        let entry = name();
        // All along the way, the last rounds about when it is answered.
        let part = (round as f64 + chance.between(0.0, 1.0)) / rounds as f64;
        let moment = calm_time.mul_f64(1.1 * part);
        if sent(folder, &stock.audition, &entry, &file(round), Some(moment)).is_kept() {
            acknowledged.push(entry);
        } else {
            before_the_answer += 1;
        }
        let bench = Bench::open(folder, Box::new(SystemClock), &SystemDice).expect("the log opens again");
        let asked = json!({"ask": "takes", "about": null}).to_string();
        let answer: Value = serde_json::from_slice(&bench.answer(asked.as_bytes())).expect("JSON");
        let takes = answer["ok"]["takes"]["takes"].as_array().expect("takes").clone();
        for take in &acknowledged {
            assert!(takes.iter().any(|line| line["entry"] == *take), "round {round}: {take} was acknowledged");
        }
        let mut names: Vec<String> = takes
            .iter()
            .map(|line| {
                let name = line["sound"]["take"].as_str().expect("a name").to_owned();
                let bytes = std::fs::read(folder.join(format!("takes/{name}.flac"))).expect("an entry has its take");
                assert_eq!(TakeName::of(&bytes).as_str(), name, "round {round}: it is whole");
                name
            })
            .collect();
        names.sort();
        names.dedup();
        let left = std::fs::read_dir(folder.join("takes")).expect("there are takes").filter_map(Result::ok);
        for file in left.map(|file| file.file_name().to_string_lossy().into_owned()) {
            let (name, ending) = file.split_once('.').expect("an ending");
            // What was told of one that was not noted any more is of no harm.
            let named = names.iter().any(|one| one == name) || ending == "told";
            assert!(
                named && matches!(ending, "flac" | "told"),
                "round {round}, killed after {moment:?}: {file} is left"
            );
        }
    }
    println!("{rounds} kills, {before_the_answer} before the answer, one takes {calm_time:?}");
    assert!(before_the_answer > 0, "no kill came before the answer");
}
