//! Runs another program that computes the reference.

use std::io::Write;
use std::process::{Command, Stdio};

/// What a program writes when it is given this input.
///
/// # Panics
/// When the program is missing or fails: a check without its reference is no check. `package` says what to install.
#[expect(clippy::panic, reason = "a missing reference must fail the check, and say what to install")]
pub fn answer(program: &str, arguments: &[&str], input: &str, package: &str) -> String {
    let mut child = Command::new(program)
        .args(arguments)
        .env("LC_ALL", "C.UTF-8")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|error| panic!("{program} is needed for this check ({error}): install {package}"));
    // Written from a thread of its own, so that neither side waits for the other with a full pipe.
    let mut to_child = child.stdin.take().expect("its input was asked for above");
    let input = input.to_owned();
    let writer = std::thread::spawn(move || to_child.write_all(input.as_bytes()));
    let output = child.wait_with_output().expect("it was started");
    writer.join().expect("writing does not panic").expect("the program reads its input");
    assert!(output.status.success(), "{program} failed: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("the program writes UTF-8")
}
