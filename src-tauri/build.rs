//! Checks the app's configuration, and sees to it that there are pages to put inside.

use std::path::Path;
use std::{fs, io};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    stand_in_for_missing_pages()?;
    let commands = tauri_build::AppManifest::new().commands(&[
        "ask",
        "phone_door",
        "shared_log",
        "take_photo",
        "photo",
        "send_take",
        "take_sound",
        "heard_sound",
        "send_bundle",
        "keep_bundle",
        "keep_table",
    ]);
    Ok(tauri_build::try_build(tauri_build::Attributes::new().app_manifest(commands))?)
}

/// Tauri can't compile without pages. Where they are not built yet, the page that says so stands in; building them
/// replaces it.
fn stand_in_for_missing_pages() -> io::Result<()> {
    println!("cargo:rerun-if-changed=../ui/dist");
    let pages = Path::new("../ui/dist");
    if !pages.join("index.html").exists() {
        fs::create_dir_all(pages)?;
        fs::copy("serve/unbuilt/index.html", pages.join("index.html"))?;
        println!("cargo:warning=The pages are not built yet, so the app will only say that. Build both with make.");
    }
    Ok(())
}
