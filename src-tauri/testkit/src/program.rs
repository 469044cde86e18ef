//! Runs another program that computes the reference.

use std::process::Command;

use crate::limits;

/// What a program writes when it is given this input.
///
/// # Panics
/// When the program is missing, fails or does not end: a check without its reference is no check. `package` says what to install.
#[must_use]
pub fn answer(program: &str, arguments: &[&str], input: &str, package: &str) -> String {
    let output = limits::output(Command::new(program).args(arguments).env("LC_ALL", "C.UTF-8"), input.as_bytes())
        .unwrap_or_else(|error| panic!("{program} is needed for this check ({error}): install {package}"));
    assert!(output.status.success(), "{program} failed: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("the program writes UTF-8")
}
