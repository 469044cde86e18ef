//! Solderlast in a window.
#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

use std::process::ExitCode;

fn main() -> ExitCode {
    if no_display() {
        eprintln!("There is no display here. In a browser: solderlast serve.");
        return ExitCode::FAILURE;
    }
    match solderlast_app_lib::open() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("The window could not be opened: {error}. In a browser: solderlast serve.");
            ExitCode::FAILURE
        }
    }
}

/// On Linux a window needs a display server; without one its library ends the program without a word.
fn no_display() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    cfg!(target_os = "linux") && !set("DISPLAY") && !set("WAYLAND_DISPLAY")
}
