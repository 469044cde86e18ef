//! The phone door: the pages and the questions for phones on the same network, each let in once by a code.
//!
//! Every connection by this door has to be paired, one from this computer too. A stranger learns nothing here but the
//! pairing page.

mod addresses;
mod pairing;
mod phones;
pub mod qr;
mod routes;

use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use serde::Serialize;
use solderlast_core::ask::Bench;
use tokio::sync::watch;
use tokio::task::JoinHandle;
use tokio::time::Instant;

pub use pairing::{ALL_TRIES, LASTS, PairingCode, TRIES, WINDOW};
pub use phones::{PairedPhone, Phones};

use crate::web::listening::{self, Listening, Patience};

/// The port tried first. Any free one is taken when another program has it.
pub const USUAL_PORT: u16 = 7644;

/// An open door. Closed when dropped.
#[derive(Debug)]
pub struct PhoneDoor {
    listening: Listening,
    pairing: Arc<Mutex<pairing::Pairing>>,
    phones: Phones,
    codes: watch::Receiver<PairingCode>,
    _changing: Changing,
}

/// Makes a new code whenever one has run out, until it is dropped.
#[derive(Debug)]
struct Changing(JoinHandle<()>);

impl Changing {
    fn start(pairing: Arc<Mutex<pairing::Pairing>>, shown: watch::Sender<PairingCode>) -> Self {
        Self(tokio::spawn(async move {
            loop {
                let runs_out = pairing.lock().unwrap_or_else(PoisonError::into_inner).runs_out();
                // A little later, so that without randomness it is not tried all the time.
                tokio::time::sleep_until(runs_out.max(Instant::now() + Duration::from_millis(50))).await;
                let code = pairing.lock().unwrap_or_else(PoisonError::into_inner).code(Instant::now());
                shown.send_if_modified(|before| std::mem::replace(before, code) != code);
            }
        }))
    }
}

impl Drop for Changing {
    fn drop(&mut self) {
        self.0.abort();
    }
}

/// What a person needs to see to pair a phone. All of it is empty while the door is closed, but for
/// the phones.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Shown {
    /// Whether phones can come in.
    pub open: bool,
    /// Addresses to type into a phone's browser, the likeliest first. Empty when this computer is on no network.
    pub addresses: Vec<String>,
    /// The six digits that let the next phone in.
    pub code: Option<String>,
    /// The first address with the code behind its `#`, a part that browsers do not send.
    pub link: Option<String>,
    /// That link as an SVG drawing of a QR code, black on white.
    pub picture: Option<String>,
    /// The phones that are paired with this log.
    pub phones: Vec<PairedPhone>,
}

impl PhoneDoor {
    /// Opens the door on every network this computer is on, at `port` or any free one.
    ///
    /// # Errors
    /// When no port can be had, or when the system has no randomness for a code.
    pub async fn open(bench: Arc<Bench>, log_folder: &Path, port: u16, patience: Patience) -> io::Result<Self> {
        let pairing = Arc::new(Mutex::new(pairing::Pairing::new(Instant::now()).map_err(io::Error::other)?));
        let phones = Phones::of(log_folder);
        let first = pairing.lock().unwrap_or_else(PoisonError::into_inner).code(Instant::now());
        let (shown, codes) = watch::channel(first);
        let listener = listening::bind(IpAddr::V4(Ipv4Addr::UNSPECIFIED), port).await?;
        let visited = routes::Visited {
            bench,
            pairing: Arc::clone(&pairing),
            phones: phones.clone(),
            shown: shown.clone(),
            body: patience.body,
        };
        let listening = Listening::start(listener, routes::routes(visited), patience)?;
        let _changing = Changing::start(Arc::clone(&pairing), shown);
        Ok(Self { listening, pairing, phones, codes, _changing })
    }

    /// The port it listens on.
    #[must_use]
    pub fn port(&self) -> u16 {
        self.listening.address().port()
    }

    /// What to show a person now. Reads the list of phones from disk.
    #[must_use]
    pub fn shown(&self) -> Shown {
        let port = self.port();
        let code = self.pairing.lock().unwrap_or_else(PoisonError::into_inner).code(Instant::now()).to_string();
        let addresses: Vec<String> = addresses::of_this_computer()
            .into_iter()
            .map(|ip| format!("http://{}", SocketAddr::new(ip, port)))
            .collect();
        let link = addresses.first().map(|address| format!("{address}/#pair={code}"));
        Shown {
            open: true,
            picture: link.as_deref().and_then(qr::drawn),
            link,
            addresses,
            code: Some(code),
            phones: self.phones.all(),
        }
    }

    /// Changes whenever a new code is shown: one was used or ran out, or wrong ones were tried.
    #[must_use]
    pub fn codes(&self) -> watch::Receiver<PairingCode> {
        self.codes.clone()
    }

    /// Closes the door once the answers under way are given. Phones stay paired for the next time.
    pub async fn close(self) {
        self.listening.close().await;
    }
}
