//! Under which names and addresses the pages are asked for.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};

use axum::http::header::HOST;
use axum::http::request::Parts;
use axum::http::uri::Authority;
use rustls::pki_types::ServerName;

use super::certificate::Certificate;

/// Addresses kept for examples (RFC 5737, RFC 3849): whichever of this machine's would be taken to go there leads out.
const FAR: [(IpAddr, IpAddr); 2] = [
    (IpAddr::V4(Ipv4Addr::UNSPECIFIED), IpAddr::V4(Ipv4Addr::new(192, 0, 2, 1))),
    (IpAddr::V6(Ipv6Addr::UNSPECIFIED), IpAddr::V6(Ipv6Addr::new(0x2001, 0xdb8, 0, 0, 0, 0, 0, 1))),
];

/// Who asks under another name is not answered: a page of elsewhere whose name was made to lead here would else be one
/// of ours (DNS rebinding).
pub(crate) struct Reach {
    /// Names that whoever runs it gives.
    names: Vec<String>,
    /// Whether others on the network reach it.
    network: bool,
    pub(crate) certificate: Option<Certificate>,
}

impl Reach {
    pub(crate) const fn new(listen: IpAddr, names: Vec<String>, certificate: Option<Certificate>) -> Self {
        Self { names, network: !listen.is_loopback(), certificate }
    }

    /// Whether everything goes over TLS.
    pub(crate) const fn is_secure(&self) -> bool {
        self.certificate.is_some()
    }

    /// Whether a host, with its port or without, is this one.
    pub(crate) fn is(&self, host: &str) -> bool {
        let Ok(authority) = host.parse::<Authority>() else { return false };
        if host.contains('@') {
            return false;
        }
        let name = authority.host().trim_matches(['[', ']']).to_ascii_lowercase();
        if name == "localhost" || self.names.contains(&name) {
            return true;
        }
        // No name can be made to lead to an address.
        let is_address = name.parse::<IpAddr>().is_ok_and(|ip| self.network || ip.is_loopback());
        is_address || self.certificate.as_ref().is_some_and(|certificate| certificate.names(&name))
    }

    /// What may be typed to get here, the address first.
    pub(crate) fn to_type(&self, listening: SocketAddr) -> Vec<String> {
        let scheme = if self.is_secure() { "https" } else { "http" };
        let at = |address: SocketAddr| format!("{scheme}://{address}");
        let Some(certificate) = self.certificate.as_ref().filter(|_| self.network) else {
            return vec![at(listening)];
        };
        let addresses = addresses(listening.ip()).into_iter();
        let addresses = addresses
            .filter(|ip| certificate.names(&ip.to_string()))
            .map(|ip| at(SocketAddr::new(ip, listening.port())));
        let names = self.names.iter().cloned().chain(machine_names()).filter(|name| certificate.names(name));
        let names = names.map(|name| format!("{scheme}://{name}:{}", listening.port()));
        let mut all: Vec<String> = addresses.chain(names).collect();
        if all.is_empty() {
            all.push(at(listening));
        }
        all
    }
}

/// The host that a request asks for, as its address and as its header name it.
pub(crate) fn hosts(parts: &Parts) -> impl Iterator<Item = &str> {
    let header = parts.headers.get_all(HOST).into_iter().map(|host| host.to_str().unwrap_or_default());
    parts.uri.authority().map(Authority::as_str).into_iter().chain(header)
}

/// What a certificate for these pages names.
pub(crate) fn own_names(listen: IpAddr, given: &[String]) -> Vec<String> {
    let here = ["localhost", "127.0.0.1", "::1"].map(str::to_owned);
    let addresses = addresses(listen).into_iter().map(|ip| ip.to_string());
    let mut all: Vec<String> = vec![];
    for name in here.into_iter().chain(addresses).chain(machine_names()).chain(given.iter().cloned()) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all
}

/// A name as it is compared; `None` if it is none.
pub(crate) fn name(text: &str) -> Option<String> {
    let name = text.trim().to_ascii_lowercase();
    ServerName::try_from(name.as_str()).is_ok().then_some(name)
}

/// The one that is listened at; of all, those that lead out.
fn addresses(listen: IpAddr) -> Vec<IpAddr> {
    if !listen.is_unspecified() {
        return vec![listen];
    }
    let reached = FAR.into_iter().filter(|(local, _)| listen.is_ipv6() || local.is_ipv4());
    reached.filter_map(|(local, far)| outgoing(local, far)).collect()
}

/// The address from which this machine would send there; nothing is sent.
fn outgoing(local: IpAddr, far: IpAddr) -> Option<IpAddr> {
    let socket = UdpSocket::bind((local, 0)).ok()?;
    socket.connect((far, 9)).ok()?;
    let found = socket.local_addr().ok()?.ip();
    (!found.is_unspecified() && !found.is_loopback()).then_some(found)
}

/// The machine's own name, and the one by which its neighbours find it without a server of names (RFC 6762).
fn machine_names() -> Vec<String> {
    let said = std::fs::read_to_string("/etc/hostname").ok();
    let said = said.or_else(|| std::env::var("HOSTNAME").ok()).or_else(|| std::env::var("COMPUTERNAME").ok());
    let Some(host) = said.as_deref().and_then(name).filter(|name| name != "localhost") else {
        return vec![];
    };
    let neighbours = (!host.contains('.')).then(|| format!("{host}.local"));
    [host].into_iter().chain(neighbours).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::serve::tests::options;

    const LOCAL: [&str; 6] =
        ["localhost", "LocalHost:7420", "127.0.0.1", "127.0.0.1:7420", "[::1]:7420", "[::1]"];
    const OTHERS: [&str; 9] = [
        "evil.example",
        "evil.example:7420",
        "localhost.evil.example",
        "localhost@evil.example",
        "evil.example@localhost",
        "127.0.0.1.evil.example",
        "",
        "a b",
        "0x7f000001.example",
    ];

    #[test]
    fn on_this_machine_alone_only_its_own_names() {
        let reach = Reach::new([127, 0, 0, 1].into(), vec!["shop.example".into()], None);
        for host in LOCAL.into_iter().chain(["shop.example", "Shop.Example:443"]) {
            assert!(reach.is(host), "{host}");
        }
        for host in OTHERS.into_iter().chain(["192.168.7.20:7420", "0.0.0.0:7420", "[2001:db8::1]"]) {
            assert!(!reach.is(host), "{host}");
        }
    }

    #[test]
    fn on_a_network_addresses_and_the_names_of_the_certificate() {
        let folder = tempfile::tempdir().unwrap();
        let options = options(
            &folder.path().join("shop.book"),
            &["--listen", "0.0.0.0:7420", "--name", "bay-one.example"],
        );
        let certificate = Certificate::of(&options, "Tarnwick Motor Works").unwrap();
        let reach = Reach::new(options.listen.ip(), vec![], certificate);
        for host in LOCAL.into_iter().chain(["192.168.7.20:7420", "[2001:db8::1]", "bay-one.example:7420"]) {
            assert!(reach.is(host), "{host}");
        }
        for host in OTHERS {
            assert!(!reach.is(host), "{host}");
        }
        let typed = reach.to_type("0.0.0.0:7420".parse().unwrap());
        assert!(!typed.is_empty());
        for address in typed {
            let host = address.strip_prefix("https://").unwrap();
            assert!(reach.is(host) && !host.starts_with("0.0.0.0"), "{address}");
        }
    }

    #[test]
    fn a_name_is_one_of_a_machine() {
        assert_eq!(name(" Shop.Example "), Some("shop.example".into()));
        assert_eq!(name("192.168.7.20"), Some("192.168.7.20".into()));
        for none in ["", "a b", "shop.example:7420", "https://shop.example", "-"] {
            assert_eq!(name(none), None, "{none}");
        }
    }
}
