//! The addresses that this machine has now.
//!
//! What this does not do: watch them; [`super::https`] asks again each minute.
use super::NetworkError;
use std::collections::BTreeSet;
use std::net::IpAddr;

/// One address of this machine, and how many of its leading bits name the network it is in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Attached {
    /// The address.
    pub address: IpAddr,
    /// The length of the network's prefix.
    pub prefix: u8,
}

/// Every address of every interface that is up, loopback included.
///
/// # Errors   The system does not list them.
pub fn of_this_machine() -> Result<BTreeSet<Attached>, NetworkError> {
    let all = if_addrs::get_if_addrs().map_err(NetworkError::Addresses)?;
    Ok(all
        .into_iter()
        .map(|interface| match interface.addr {
            if_addrs::IfAddr::V4(v4) => Attached { address: v4.ip.into(), prefix: v4.prefixlen },
            if_addrs::IfAddr::V6(v6) => Attached { address: v6.ip.into(), prefix: v6.prefixlen },
        })
        .collect())
}

/// The addresses that a phone can be told, likeliest first: those of version 4, then the others, without
/// loopback and without link-local ones, which mean nothing on another machine; and of these, the ones at
/// which a server that listens at `listening` is reached.
#[must_use]
pub fn to_tell(all: &BTreeSet<Attached>, listening: IpAddr) -> Vec<IpAddr> {
    let reached = |address: &IpAddr| match listening {
        IpAddr::V4(v4) if v4.is_unspecified() => address.is_ipv4(),
        IpAddr::V6(v6) if v6.is_unspecified() => true,
        one => *address == one,
    };
    let addresses = all.iter().map(|attached| attached.address).filter(reached);
    let told = addresses.filter(|address| match address {
        IpAddr::V4(v4) => !v4.is_loopback() && !v4.is_link_local() && !v4.is_unspecified(),
        IpAddr::V6(v6) => !v6.is_loopback() && !v6.is_unicast_link_local() && !v6.is_unspecified(),
    });
    // The order of `IpAddr` puts version 4 first.
    told.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn this_machine_has_a_loopback_address() -> Result<(), NetworkError> {
        let all = of_this_machine()?;
        assert!(all.iter().any(|attached| attached.address.is_loopback()), "{all:?}");
        Ok(())
    }

    #[test]
    fn a_phone_is_told_what_it_can_reach() -> Result<(), std::net::AddrParseError> {
        let mut all = BTreeSet::new();
        for (text, prefix) in [
            ("fe80::1", 64),
            ("fd00::2", 64),
            ("192.168.1.7", 24),
            ("127.0.0.1", 8),
            ("::1", 128),
            ("169.254.3.4", 16),
        ] {
            all.insert(Attached { address: text.parse()?, prefix });
        }
        for (listening, told) in [
            ("::", &["192.168.1.7", "fd00::2"][..]),
            ("0.0.0.0", &["192.168.1.7"]),
            ("fd00::2", &["fd00::2"]),
            ("127.0.0.1", &[]),
        ] {
            let there: Vec<String> =
                to_tell(&all, listening.parse()?).iter().map(ToString::to_string).collect();
            assert_eq!(there, told, "{listening}");
        }
        Ok(())
    }
}
