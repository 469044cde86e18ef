//! Bodies that go out part after part, written by who may wait for a disk.

use std::io::{self, Read, Write};

use axum::body::{Body, Bytes};
use http_body_util::channel::{Channel, Sender};
use tokio::runtime::Handle;

/// How much goes out at a time, in bytes.
pub(super) const PART: usize = 64 * 1024;
/// How many parts wait for a slow reader.
const WAITING: usize = 4;

/// A body that is written by `work` on a thread that may wait. One that fails is cut off, which says that something went wrong.
pub(super) fn poured(work: impl FnOnce(&mut Pouring) -> io::Result<()> + Send + 'static) -> Body {
    let (sender, body) = Channel::<Bytes, io::Error>::new(WAITING);
    let loop_ = Handle::current();
    tokio::task::spawn_blocking(move || {
        let mut out = Pouring { sender, loop_, part: Vec::with_capacity(PART) };
        if let Err(error) = work(&mut out).and_then(|()| out.flush()) {
            out.sender.abort(error);
        }
    });
    Body::new(body)
}

/// Hands on what can be read.
pub(super) fn pour(mut source: impl Read, out: &mut Pouring) -> io::Result<()> {
    let mut part = vec![0; PART];
    loop {
        match source.read(&mut part)? {
            0 => return Ok(()),
            length => out.write_all(&part[..length])?,
        }
    }
}

/// Bytes on their way out. Writing waits for a slow reader, and fails for one that has gone away.
pub(super) struct Pouring {
    sender: Sender<Bytes, io::Error>,
    loop_: Handle,
    part: Vec<u8>,
}

impl Write for Pouring {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let room = PART - self.part.len();
        let taken = bytes.len().min(room);
        self.part.extend_from_slice(&bytes[..taken]);
        if self.part.len() == PART {
            self.flush()?;
        }
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.part.is_empty() {
            return Ok(());
        }
        let part = std::mem::replace(&mut self.part, Vec::with_capacity(PART));
        self.loop_.block_on(self.sender.send_data(part.into())).map_err(|_| io::ErrorKind::BrokenPipe.into())
    }
}
