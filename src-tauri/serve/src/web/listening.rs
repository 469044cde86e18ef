//! Connections: accepted up to a limit, with no client able to hold one by being slow, and let finish at the end.

use std::collections::HashMap;
use std::net::{IpAddr, SocketAddr};
use std::pin::pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use std::{convert::Infallible, io};

use axum::Router;
use axum::body::Body;
use axum::response::Response;
use hyper::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio::task::{JoinHandle, JoinSet};
use tower::ServiceExt as _;

/// How long a client may take, and how many may come at once.
#[derive(Debug, Clone, Copy)]
pub struct Patience {
    /// From the opening of a connection, or the end of an answer, to the end of the next request's head.
    pub head: Duration,
    /// From the end of a request's head to the end of its body.
    pub body: Duration,
    /// The longest a connection stays open; a browser opens another by itself. Ends also a client that never reads.
    pub connection: Duration,
    /// Most connections at a time; further ones wait.
    pub connections: usize,
    /// Most connections at a time from one address; further ones are closed.
    pub each: usize,
    /// How long answers under way may take to finish once the door is closing.
    pub closing: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            head: Duration::from_secs(15),
            body: Duration::from_secs(15),
            connection: Duration::from_secs(300),
            connections: 64,
            each: 24,
            closing: Duration::from_secs(5),
        }
    }
}

/// Both ends of the connection a request came by; each request carries it as an extension.
#[derive(Debug, Clone, Copy)]
pub struct Ends {
    /// The address that was reached.
    pub here: SocketAddr,
    /// The address of who asks.
    pub peer: SocketAddr,
}

/// A listener at work. It stops when this is closed or dropped.
#[derive(Debug)]
pub struct Listening {
    address: SocketAddr,
    stop: watch::Sender<bool>,
    work: JoinHandle<()>,
}

impl Listening {
    /// Starts to answer the listener's connections by `routes`.
    ///
    /// # Errors
    /// When the listener does not know its own address.
    pub fn start(listener: TcpListener, routes: Router, patience: Patience) -> io::Result<Self> {
        let address = listener.local_addr()?;
        let (stop, stopped) = watch::channel(false);
        let work = tokio::spawn(accept(listener, routes, patience, stopped));
        Ok(Self { address, stop, work })
    }

    /// Where it listens.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Stops listening, lets answers under way finish, and returns when the last connection is gone.
    pub async fn close(self) {
        self.stop.send_replace(true);
        // An error here is a panic in the accepting task; there is nothing left to close then.
        let _ended = self.work.await;
    }
}

/// Binds the port wished for on this address, or any free one when that is taken.
///
/// # Errors
/// When no port of this address can be had.
pub async fn bind(address: IpAddr, port: u16) -> io::Result<TcpListener> {
    match TcpListener::bind((address, port)).await {
        Err(error) if port != 0 && error.kind() == io::ErrorKind::AddrInUse => TcpListener::bind((address, 0)).await,
        bound => bound,
    }
}

async fn accept(listener: TcpListener, routes: Router, patience: Patience, mut stopped: watch::Receiver<bool>) {
    let room = Arc::new(Semaphore::new(patience.connections));
    let present = Present::default();
    let mut connections = JoinSet::new();
    loop {
        // Room first, then the next connection: those past the limit wait in the system's own queue.
        let next = async {
            let place = Arc::clone(&room).acquire_owned().await;
            (place, listener.accept().await)
        };
        let (place, accepted) = tokio::select! {
            _ = stopped.wait_for(|stop| *stop) => break,
            next = next => next,
        };
        while connections.try_join_next().is_some() {}
        let (stream, peer) = match accepted {
            Ok(accepted) => accepted,
            Err(_) => {
                // Out of file handles, most likely: wait for some to be given back rather than spin.
                tokio::time::sleep(Duration::from_millis(100)).await;
                continue;
            }
        };
        let Some(guest) = present.enter(peer.ip(), patience.each) else { continue };
        let (routes, stopped) = (routes.clone(), stopped.clone());
        connections.spawn(async move {
            let _kept = (place, guest);
            answer(stream, peer, routes, patience, stopped).await;
        });
    }
    drop(listener);
    let last = async { while connections.join_next().await.is_some() {} };
    // What has not finished by then is ended as the set is dropped.
    let _in_time = tokio::time::timeout(patience.closing, last).await;
}

async fn answer(
    stream: TcpStream,
    peer: SocketAddr,
    routes: Router,
    patience: Patience,
    mut stopped: watch::Receiver<bool>,
) {
    let Ok(here) = stream.local_addr() else { return };
    // Answers are small and asked for one at a time; waiting to fill a packet would only add delay.
    let _best_effort = stream.set_nodelay(true);
    let service = service_fn(move |request: Request<Incoming>| {
        let routes = routes.clone();
        async move {
            let mut request = request.map(Body::new);
            request.extensions_mut().insert(Ends { here, peer });
            Ok::<Response, Infallible>(routes.oneshot(request).await.unwrap_or_else(|never| match never {}))
        }
    });
    let mut connection = pin!(
        http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(patience.head)
            .max_buf_size(64 * 1024)
            .serve_connection(TokioIo::new(stream), service)
    );
    // A connection that ends in an error has ended; its client knows.
    let finishing = tokio::select! {
        _ended = connection.as_mut() => return,
        _ = stopped.wait_for(|stop| *stop) => patience.closing,
        () = tokio::time::sleep(patience.connection) => patience.body,
    };
    connection.as_mut().graceful_shutdown();
    let _in_time = tokio::time::timeout(finishing, connection).await;
}

/// How many connections each address has open.
#[derive(Debug, Default, Clone)]
struct Present(Arc<Mutex<HashMap<IpAddr, usize>>>);

/// One open connection of an address, counted until it is dropped.
struct Guest {
    present: Present,
    address: IpAddr,
}

impl Present {
    fn enter(&self, address: IpAddr, most: usize) -> Option<Guest> {
        let mut counts = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let count = counts.entry(address).or_insert(0);
        if *count >= most {
            return None;
        }
        *count += 1;
        Some(Guest { present: self.clone(), address })
    }
}

impl Drop for Guest {
    fn drop(&mut self) {
        let mut counts = self.present.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = counts.get_mut(&self.address) {
            *count -= 1;
            if *count == 0 {
                counts.remove(&self.address);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::net::Ipv4Addr;

    use super::*;

    #[test]
    fn an_address_may_hold_so_many_connections_and_no_more() {
        let present = Present::default();
        let here = IpAddr::V4(Ipv4Addr::LOCALHOST);
        let other = IpAddr::V4(Ipv4Addr::new(192, 0, 2, 9));
        let first = present.enter(here, 2);
        let second = present.enter(here, 2);
        assert!(first.is_some() && second.is_some());
        assert!(present.enter(here, 2).is_none());
        assert!(present.enter(other, 2).is_some(), "another address has its own count");
        drop(first);
        assert!(present.enter(here, 2).is_some());
        drop(second);
        assert!(present.0.lock().unwrap().is_empty(), "an address that left is forgotten");
    }

    #[tokio::test]
    async fn a_taken_port_gives_way_to_a_free_one() {
        let here = IpAddr::V4(Ipv4Addr::LOCALHOST);
        let first = bind(here, 0).await.unwrap();
        let port = first.local_addr().unwrap().port();
        let second = bind(here, port).await.unwrap();
        assert_ne!(second.local_addr().unwrap().port(), port);
    }
}
