//! The app: the pages in a window, asking the same questions as a browser or a phone does.
//!
//! It holds no rule of the trade and adds nothing to an answer. Two commands go to the pages, [`ask`] and
//! [`phone_door`]; both answer in JSON text, `{"ok": …}` or `{"refused": {"code", "sentence", "field"}}`.

mod bench;

use tauri::{AppHandle, Manager as _, RunEvent, Url, WebviewWindowBuilder};

use bench::OpenBench;

/// Opens the window, and returns when it is closed.
///
/// # Errors
/// When the system can't show a window.
pub fn open() -> tauri::Result<()> {
    let app = tauri::Builder::default()
        .plugin(tauri_plugin_store::Builder::new().build())
        .manage(OpenBench::default())
        .invoke_handler(tauri::generate_handler![ask, phone_door])
        .setup(|app| {
            for window in &app.config().app.windows {
                WebviewWindowBuilder::from_config(app.handle(), window)?.on_navigation(is_ours).build()?;
            }
            Ok(())
        })
        .build(tauri::generate_context!())?;
    app.run(|app, event| {
        if let RunEvent::Exit = event {
            tauri::async_runtime::block_on(app.state::<OpenBench>().close());
        }
    });
    Ok(())
}

/// How a phone's system starts the app.
#[cfg(mobile)]
#[tauri::mobile_entry_point]
fn start() {
    if let Err(error) = open() {
        eprintln!("The app could not be opened: {error}");
    }
}

/// Answers one question, both as JSON text; the questions are those of `solderlast ask --examples`.
#[tauri::command]
async fn ask(app: AppHandle, ask: String) -> String {
    app.state::<OpenBench>().answer(&app, ask).await
}

/// Does one thing with the door for phones on the same network and answers what to show, both as JSON text.
///
/// The things are `status`, `open`, `close` and `forget`. On a phone there is no such door, and the answer says so.
#[tauri::command]
async fn phone_door(app: AppHandle, action: String) -> String {
    app.state::<OpenBench>().phone_door(&app, &action).await
}

/// The window shows our own pages and nothing else, whatever a link in them says.
fn is_ours(url: &Url) -> bool {
    match url.scheme() {
        "tauri" | "about" => true,
        // Where a system's web view knows no schemes of a program's own, Tauri serves the pages under this name.
        "http" | "https" => url.host_str() == Some("tauri.localhost"),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_window_goes_nowhere_else() {
        for (url, ours) in [
            ("tauri://localhost/index.html", true),
            ("http://tauri.localhost/", true),
            ("about:blank", true),
            ("http://elsewhere.example/", false),
            ("https://tauri.localhost.elsewhere.example/", false),
            ("http://127.0.0.1:7643/", false),
            ("file:///etc/passwd", false),
            ("data:text/html,hello", false),
            ("javascript:alert(1)", false),
        ] {
            assert_eq!(is_ours(&url.parse().unwrap()), ours, "{url}");
        }
    }
}
