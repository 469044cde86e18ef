//! Bodies that go out part after part, written by who may wait for a disk.

use std::io::{self, Read, Write};

use axum::body::{Body, Bytes};
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;

/// How much goes out at a time, in bytes.
pub(super) const PART: usize = 64 * 1024;
/// How many parts wait for a slow reader.
const WAITING: usize = 4;

/// A body that is written by `work` on a thread that may wait. One that fails is cut off, which says that something went wrong.
pub(super) fn poured(work: impl FnOnce(&mut Pouring) -> io::Result<()> + Send + 'static) -> Body {
    // Parts and the failure go one behind the other in one queue, so that an end can't overtake the last part.
    let (parts, body) = mpsc::channel(WAITING);
    tokio::task::spawn_blocking(move || {
        let mut out = Pouring { parts, part: Vec::with_capacity(PART) };
        if let Err(error) = work(&mut out).and_then(|()| out.flush()) {
            // An error here is a reader that has gone away.
            let _told = out.parts.blocking_send(Err(error));
        }
    });
    Body::from_stream(ReceiverStream::new(body))
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
    parts: mpsc::Sender<io::Result<Bytes>>,
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
        self.parts.blocking_send(Ok(part.into())).map_err(|_| io::ErrorKind::BrokenPipe.into())
    }
}

#[cfg(test)]
mod tests {
    use http_body_util::BodyExt as _;

    use super::*;

    #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
    async fn the_last_part_comes_however_soon_the_end_follows() {
        let rounds: usize =
            std::env::var("SOLDERLAST_ROUNDS").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(20_000);
        for round in 0..rounds {
            let length = 1 + round % 7;
            let body = poured(move |out| out.write_all(&[7; 7][..length]));
            let came = tokio::spawn(body.collect()).await.unwrap().unwrap().to_bytes();
            assert_eq!(came.len(), length, "round {round}");
        }
    }

    #[tokio::test]
    async fn what_came_before_a_failure_is_handed_on_and_the_failure_told() {
        let mut body = poured(|out| {
            out.write_all(&[1; PART + 1])?;
            Err(io::ErrorKind::UnexpectedEof.into())
        });
        assert_eq!(body.frame().await.unwrap().unwrap().into_data().unwrap().len(), PART);
        assert!(body.frame().await.unwrap().is_err());
    }

    #[tokio::test]
    async fn a_reader_that_goes_away_ends_the_work() {
        let (ended, end) = tokio::sync::oneshot::channel();
        let body = poured(move |out| {
            let failed = loop {
                if let Err(error) = out.write_all(&[0; PART]) {
                    break error;
                }
            };
            let _told = ended.send(failed.kind());
            Ok(())
        });
        drop(body);
        assert_eq!(end.await.unwrap(), io::ErrorKind::BrokenPipe);
    }
}
