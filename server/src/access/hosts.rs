//! The names that the server answers to: part of the guard against names that were made to point here.
use std::collections::BTreeSet;
use std::net::{IpAddr, SocketAddr};

/// The `Host` allow-list. Loopback names are always on it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hosts {
    /// What the server is told to listen on.
    pub address: SocketAddr,
    /// Names, in lower case: `tripoise.local`, or the proxy's.
    pub names: BTreeSet<String>,
    /// The machine's own addresses, where it serves the network.
    pub addresses: BTreeSet<IpAddr>,
}

impl Hosts {
    /// Only the address and loopback names.
    #[must_use]
    pub const fn at(address: SocketAddr) -> Self {
        Self { address, names: BTreeSet::new(), addresses: BTreeSet::new() }
    }

    /// Whether a request's `Host` is one of ours. Loopback names, our names and addresses are taken on any
    /// port: they may be forwarded; an address of the listener's only on its port.
    #[must_use]
    pub fn contains(&self, host: &str) -> bool {
        if host.parse::<SocketAddr>().is_ok_and(|named| named == self.address) {
            return true;
        }
        let name = match host.rsplit_once(':') {
            Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
            _ => host,
        };
        let bracketed = name.strip_prefix('[').and_then(|name| name.strip_suffix(']'));
        if let Ok(ip) = bracketed.unwrap_or(name).parse::<IpAddr>() {
            // A bare version 6 address is no Host (RFC 3986, 3.2.2).
            let written_well = ip.is_ipv4() || bracketed.is_some();
            return written_well && (ip.is_loopback() || self.addresses.contains(&ip));
        }
        let plain = name.strip_suffix('.').unwrap_or(name).to_ascii_lowercase();
        plain == "localhost" || self.names.contains(&plain)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(hosts: &Hosts, host: &str, taken: bool) {
        assert_eq!(hosts.contains(host), taken, "{host}");
    }

    #[test]
    fn alone_it_answers_to_loopback_names_and_the_bound_address() {
        let hosts = Hosts::at(SocketAddr::from(([192, 168, 1, 7], 7450)));
        for host in ["localhost", "LocalHost:7450", "127.0.0.1:7450", "127.0.0.1:8080", "[::1]:7450", "[::1]"]
        {
            check(&hosts, host, true);
        }
        check(&hosts, "192.168.1.7:7450", true);
        for host in ["192.168.1.7:80", "192.168.1.8:7450", "localhost.evil.example", "evil.example:7450"] {
            check(&hosts, host, false);
        }
        for host in ["", ":7450", "127.0.0.1.evil.example:7450", "::1", "[::1", "[2001:db8::1]:7450"] {
            check(&hosts, host, false);
        }
        check(&hosts, "tripoise.local:7443", false);
    }

    #[test]
    fn on_the_network_it_answers_to_its_name_and_addresses_too() -> Result<(), std::net::AddrParseError> {
        let mut hosts = Hosts::at(SocketAddr::from(([0, 0, 0, 0], 7450)));
        hosts.names.insert("tripoise.local".to_owned());
        hosts.addresses = BTreeSet::from(["192.168.1.7".parse()?, "fd00::2".parse()?]);
        for host in [
            "tripoise.local",
            "TRIPOISE.LOCAL:7443",
            "tripoise.local.:7450",
            "192.168.1.7:7443",
            "[fd00::2]:7443",
        ] {
            check(&hosts, host, true);
        }
        for host in
            ["other.local", "192.168.1.8", "fd00::2", "a.tripoise.local", "tripoise.local.evil.example"]
        {
            check(&hosts, host, false);
        }
        Ok(())
    }
}
