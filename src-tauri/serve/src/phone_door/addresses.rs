//! The addresses of this computer that a phone on the same network can reach.

use std::net::{IpAddr, Ipv4Addr, UdpSocket};

/// IPv4 addresses of this computer's networks, the one towards the outside first: that is the one a phone most likely
/// shares. Empty when it is on no network.
pub(super) fn of_this_computer() -> Vec<IpAddr> {
    let mut addresses: Vec<IpAddr> = if_addrs::get_if_addrs()
        .unwrap_or_default()
        .into_iter()
        .filter(|interface| !interface.is_loopback() && !interface.is_link_local())
        .map(|interface| interface.ip())
        .filter(IpAddr::is_ipv4)
        .collect();
    addresses.sort_unstable();
    addresses.dedup();
    if let Some(outward) = towards_the_outside() {
        addresses.sort_by_key(|address| *address != outward);
    }
    addresses
}

/// The address the system would send from. Choosing a far end for a datagram socket sends nothing; the far end is one
/// kept for documents (RFC 5737), which is nobody.
fn towards_the_outside() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(203, 0, 113, 1), 9)).ok()?;
    socket.local_addr().ok().map(|address| address.ip())
}
