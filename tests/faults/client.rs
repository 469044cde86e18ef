//! A client: the `solderlast ask` program, with its lines.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use serde_json::Value;
use solderlast_testkit::limits::{A_PROGRAM, Leash};
use solderlast_tests::program::built;

/// A program that was started on a log. It is killed when the test lets go of it.
pub struct Client {
    child: Child,
    _leash: Leash,
    asks: Option<ChildStdin>,
    replies: BufReader<ChildStdout>,
}

impl Client {
    pub fn start(log: &Path) -> Self {
        let mut child = Command::new(built())
            .args(["ask", "--log"])
            .arg(log)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program can be started");
        let leash = Leash::on(&child, A_PROGRAM);
        let asks = child.stdin.take();
        let replies = BufReader::new(child.stdout.take().expect("its output was asked for"));
        Self { child, _leash: leash, asks, replies }
    }

    /// Its answer to one ask.
    pub fn asked(&mut self, ask: &Value) -> Value {
        let asks = self.asks.as_mut().expect("its input is open");
        writeln!(asks, "{ask}").expect("it reads on");
        let mut line = String::new();
        self.replies.read_line(&mut line).expect("it answers");
        serde_json::from_str(&line)
            .unwrap_or_else(|_| panic!("no answer to {ask}, but {line:?}; it said {}", self.said()))
    }

    /// Its reply to an ask that must not be refused.
    pub fn ok(&mut self, ask: &Value) -> Value {
        let answer = self.asked(ask);
        assert!(answer.get("ok").is_some(), "{ask} was refused: {answer}");
        answer["ok"].clone()
    }

    /// What it said instead of opening the log, if it did not.
    pub fn refused_to_open(&mut self) -> Option<String> {
        let asks = self.asks.as_mut().expect("its input is open");
        let asked = writeln!(asks, r#"{{"ask": "drafts"}}"#);
        let mut line = String::new();
        let answered = self.replies.read_line(&mut line);
        if asked.is_ok() && answered.is_ok_and(|length| length > 0) { None } else { Some(self.said()) }
    }

    /// Takes the two ends apart, to write without waiting for replies.
    pub fn ends(&mut self) -> (ChildStdin, &mut BufReader<ChildStdout>) {
        (self.asks.take().expect("its input is open"), &mut self.replies)
    }

    /// Kills it where it stands, as no program can prevent (SIGKILL).
    pub fn kill(&mut self) {
        // One that has ended by itself is dead enough.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Its process number.
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Lets it end by itself; answers whether it was content.
    pub fn ended_well(mut self) -> bool {
        drop(self.asks.take());
        self.child.wait().is_ok_and(|status| status.success())
    }

    /// What it said on its error output; ends it.
    pub fn said(&mut self) -> String {
        drop(self.asks.take());
        let mut said = String::new();
        if let Some(mut errors) = self.child.stderr.take() {
            let _ = errors.read_to_string(&mut said);
        }
        said
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        self.kill();
    }
}
