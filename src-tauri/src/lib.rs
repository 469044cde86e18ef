//! The app: the pages in a window, asking the same questions as a browser or a phone does.
//!
//! It holds no rule of the trade and adds nothing to an answer. The commands for the pages are [`ask`], [`phone_door`], [`shared_log`],
//! [`take_photo`], [`send_take`], [`send_bundle`], [`keep_bundle`] and [`keep_table`], which answer in JSON text, `{"ok": …}` or `{"refused": {"code", "sentence", "field"}}`; and [`photo`]
//! and [`take_sound`], which answer the bytes of a picture and of a take; [`heard_sound`] answers those of sound that is heard beside other sound.

mod bench;
mod carry;

use tauri::ipc::{InvokeBody, Request, Response};
use tauri::{AppHandle, Manager as _, RunEvent, Url, WebviewWindowBuilder};

use bench::OpenBench;
use solderlast_serve::web::photo::PhotoPlace;
use solderlast_serve::web::{query, take};
use solderlast_serve::{Wish, sharing};

/// Opens the window, and returns when it is closed.
///
/// # Errors
/// When the system can't show a window.
pub fn open() -> tauri::Result<()> {
    let app = tauri::Builder::default()
        .plugin(tauri_plugin_store::Builder::new().build())
        .manage(OpenBench::default())
        .invoke_handler(tauri::generate_handler![
            ask,
            phone_door,
            shared_log,
            take_photo,
            photo,
            send_take,
            take_sound,
            heard_sound,
            send_bundle,
            keep_bundle,
            keep_table
        ])
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

/// Answers one question, both as JSON text; the questions are those of `solderlast ask --examples`. `has` names the answer about an
/// audition that the page still has.
#[tauri::command]
async fn ask(app: AppHandle, ask: String, has: Option<String>) -> String {
    app.state::<OpenBench>().answer(&app, ask, has).await
}

/// Does one thing with the door for phones on the same network and answers what to show, both as JSON text.
///
/// The things are `status`, `open`, `close`, `rename`, `forget_one` and `forget`; `phone` and `name` say of which phone, and
/// what to call it. On a phone there is no such door, and the answer says so.
#[tauri::command]
async fn phone_door(app: AppHandle, action: String, phone: Option<String>, name: Option<String>) -> String {
    app.state::<OpenBench>().phone_door(&app, &Wish { action, phone, name }).await
}

/// Does one thing with the log that this bench shares with others, and answers how it stands, both as JSON text. On a phone there is
/// none, and the answer says so.
#[tauri::command]
async fn shared_log(app: AppHandle, wish: sharing::Wish) -> String {
    app.state::<OpenBench>().shared_log(&app, wish).await
}

/// Keeps a photo of a finish. The bytes of the file are the body; the headers `audition`, `entry` and `look` say whose it
/// is.
#[tauri::command]
async fn take_photo(app: AppHandle, request: Request<'_>) -> Result<String, ()> {
    let word = |name: &str| request.headers().get(name).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let taken = PhotoPlace::read(word("audition"), word("entry"), word("look"));
    let file = bytes_of(&request);
    Ok(app.state::<OpenBench>().take_photo(&app, taken, file).await)
}

fn bytes_of(request: &Request<'_>) -> Vec<u8> {
    match request.body() {
        InvokeBody::Raw(bytes) => bytes.clone(),
        // Where a system's web view carries no bytes, they come as a list of numbers.
        InvokeBody::Json(list) => serde_json::from_value(list.clone()).unwrap_or_default(),
    }
}

/// Takes a part of a bundle. The bytes are the body; the header `carry` names the carrying, and `part` says whether it is
/// the `first`, the `next`, or the `end`.
#[tauri::command]
async fn send_bundle(app: AppHandle, request: Request<'_>) -> Result<String, ()> {
    let word =
        |name: &str| request.headers().get(name).and_then(|value| value.to_str().ok()).unwrap_or_default().to_owned();
    let (carry, which, part) = (word("carry"), word("part"), bytes_of(&request));
    Ok(app.state::<OpenBench>().send_bundle(&app, &carry, &which, part).await)
}

/// Takes a part of the file of a take. The bytes are the body; the headers `thing`, `id`, `entry` and `recorded` (JSON, escaped as in an
/// address) say what it is of and as what it was made, and `part` whether it is the `first`, the `next`, or the `end`; `none` throws
/// away what came.
#[tauri::command]
async fn send_take(app: AppHandle, request: Request<'_>) -> Result<String, ()> {
    let word = |name: &str| request.headers().get(name).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let recorded = query::unescaped(word("recorded"));
    let place = take::place(word("thing"), word("id"), word("entry"), &recorded);
    let (which, part) = (word("part").to_owned(), bytes_of(&request));
    Ok(app.state::<OpenBench>().send_take(&app, place, &which, part).await)
}

/// A kept take, a FLAC; no bytes when there is none of this name.
#[tauri::command]
async fn take_sound(app: AppHandle, name: String) -> Response {
    Response::new(app.state::<OpenBench>().take(&app, name).await)
}

/// Copies the packed bundle into the folder for downloads, and says where.
#[tauri::command]
async fn keep_bundle(app: AppHandle, carry: String) -> String {
    app.state::<OpenBench>().keep_bundle(&app, carry).await
}

/// Writes a table of the logbook into the folder for downloads, and says where. `find` is JSON, or empty for everything.
#[tauri::command]
async fn keep_table(app: AppHandle, table: String, find: String) -> String {
    app.state::<OpenBench>().keep_table(&app, table, find).await
}

/// A kept photo, a JPEG; no bytes when there is none of this name.
#[tauri::command]
async fn photo(app: AppHandle, name: String) -> Response {
    Response::new(app.state::<OpenBench>().photo(&app, name).await)
}

/// A sound to be heard beside others, a WAV; where there is none, why, in JSON.
#[tauri::command]
async fn heard_sound(app: AppHandle, path: String) -> Response {
    Response::new(app.state::<OpenBench>().heard_sound(&app, path).await)
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
