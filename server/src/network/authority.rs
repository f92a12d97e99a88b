//! The studio's own certificate authority: made once, installed once on each phone, kept for ten years.
//!
//! Whoever stole its key could pass for other machines towards phones that trust it. So it is bound: to
//! names that end in `.local`, to the address ranges that local networks use, and to the networks this
//! machine is in when it is made (RFC 5280, 4.2.1.10), to signing servers, and to signing no further
//! authority (path length 0). Nothing on the internet proper can be signed with it.
//!
//! What this does not do: decide when a leaf is due; that is [`super::leaf`].
use super::NetworkError;
use super::addresses::Attached;
use super::folder::Folder;
use jiff::{SignedDuration, Timestamp};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SerialNumber,
};
use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// The file in the network's folder.
pub const FILE: &str = "authority.json";

/// House choice: ten years. Setting every phone up again is the cost of a shorter life; the bounds above
/// are what a longer one is bought with.
const LIFE: SignedDuration = SignedDuration::from_hours(24 * 3650);

/// House choice: a day, so that a phone whose clock is behind takes a new certificate.
pub(super) const BACKDATED: SignedDuration = SignedDuration::from_hours(24);

/// Addresses that belong to no one on the internet, by their RFC.
const LOCAL_RANGES: [(IpAddr, u8); 9] = [
    (IpAddr::V4(Ipv4Addr::new(10, 0, 0, 0)), 8),     // RFC 1918
    (IpAddr::V4(Ipv4Addr::new(172, 16, 0, 0)), 12),  // RFC 1918
    (IpAddr::V4(Ipv4Addr::new(192, 168, 0, 0)), 16), // RFC 1918
    (IpAddr::V4(Ipv4Addr::new(169, 254, 0, 0)), 16), // RFC 3927, link-local
    (IpAddr::V4(Ipv4Addr::new(100, 64, 0, 0)), 10),  // RFC 6598, shared
    (IpAddr::V4(Ipv4Addr::new(127, 0, 0, 0)), 8),    // RFC 1122, loopback
    (IpAddr::V6(Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0)), 7), // RFC 4193, unique local
    (IpAddr::V6(Ipv6Addr::new(0xfe80, 0, 0, 0, 0, 0, 0, 0)), 10), // RFC 4291, link-local
    (IpAddr::V6(Ipv6Addr::LOCALHOST), 128),          // RFC 4291, loopback
];

/// What the file says. The statements beside the certificate are the ones it was made from.
#[derive(Serialize, Deserialize)]
struct Kept {
    common_name: String,
    ends_at: Timestamp,
    /// `192.168.0.0/16`.
    bounds: Vec<String>,
    certificate_pem: String,
    key_pem: String,
}

/// The authority, ready to sign.
#[derive(Debug)]
pub struct Authority {
    pub(super) issuer: Issuer<'static, KeyPair>,
    der: CertificateDer<'static>,
    pem: String,
    /// When phones stop trusting it.
    pub ends_at: Timestamp,
    bounds: Vec<(IpAddr, u8)>,
}

impl Authority {
    /// The authority of the folder; made there, for a machine in these networks, where there is none or
    /// it has ended.
    ///
    /// # Returns  The authority, and whether it is new: phones must then be set up.
    /// # Errors   The file is there and does not read, or a new one cannot be written.
    pub fn open(
        folder: &Folder,
        attached: &BTreeSet<Attached>,
        now: Timestamp,
    ) -> Result<(Self, bool), NetworkError> {
        if let Some(text) = folder.read(FILE)? {
            let bad = |cause: String| NetworkError::Authority { file: folder.path(FILE), cause };
            let kept: Kept = serde_json::from_str(&text).map_err(|cause| bad(cause.to_string()))?;
            let authority = Self::from_kept(kept).map_err(bad)?;
            if authority.ends_at > now {
                return Ok((authority, false));
            }
        }
        let kept = make(attached, now)?;
        folder.write_json(FILE, &kept)?;
        let authority = Self::from_kept(kept)
            .map_err(|cause| NetworkError::Authority { file: folder.path(FILE), cause })?;
        Ok((authority, true))
    }

    fn from_kept(kept: Kept) -> Result<Self, String> {
        let key = KeyPair::from_pem(&kept.key_pem).map_err(|cause| cause.to_string())?;
        let der = CertificateDer::from_pem_slice(kept.certificate_pem.as_bytes())
            .map_err(|cause| cause.to_string())?;
        let bounds: Option<Vec<(IpAddr, u8)>> = kept.bounds.iter().map(|text| read_range(text)).collect();
        let bounds = bounds.ok_or("its bounds do not read")?;
        let issuer = Issuer::new(params(&kept.common_name, &bounds), key);
        Ok(Self { issuer, der, pem: kept.certificate_pem, ends_at: kept.ends_at, bounds })
    }

    /// The certificate as phones install it.
    #[must_use]
    pub fn der(&self) -> &CertificateDer<'static> {
        &self.der
    }

    /// The same as text.
    #[must_use]
    pub fn pem(&self) -> &str {
        &self.pem
    }

    /// SHA-256 of the certificate.
    #[must_use]
    pub fn fingerprint(&self) -> Fingerprint {
        Fingerprint::of(&self.der)
    }

    /// Whether it may sign for an address.
    #[must_use]
    pub fn covers(&self, address: IpAddr) -> bool {
        self.bounds.iter().any(|(network, prefix)| masked(address, *prefix) == *network)
    }
}

/// A certificate's SHA-256, for a person to compare.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Fingerprint(pub [u8; 32]);

impl Fingerprint {
    /// Of a certificate.
    #[must_use]
    pub fn of(der: &CertificateDer<'_>) -> Self {
        Self(Sha256::digest(der).into())
    }

    /// Eight groups of four bytes: `9A0B11C2 …`.
    #[must_use]
    pub fn groups(&self) -> Vec<String> {
        self.0.chunks(4).map(hex).collect()
    }
}

/// Bytes as upper-case hexadecimal digits.
fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02X}")).collect()
}

fn make(attached: &BTreeSet<Attached>, now: Timestamp) -> Result<Kept, NetworkError> {
    let mut bounds: Vec<(IpAddr, u8)> = LOCAL_RANGES.to_vec();
    for Attached { address, prefix } in attached {
        let within = bounds.iter().any(|(network, length)| masked(*address, *length) == *network);
        // A point-to-point link may name the whole internet as its network; its own address is enough.
        let prefix = if *prefix < 8 { host_prefix(*address) } else { *prefix };
        if !within {
            bounds.push((masked(*address, prefix), prefix));
        }
    }
    let serial = serial()?;
    // So that a phone that has installed two studios' authorities lists two names.
    let common_name = format!("Tripoise studio {}", hex(&serial[..3]));
    let key = KeyPair::generate()?;
    let mut params = params(&common_name, &bounds);
    let ends_at = now + LIFE;
    (params.not_before, params.not_after) = (moment(now - BACKDATED), moment(ends_at));
    params.serial_number = Some(SerialNumber::from_slice(&serial));
    let certificate = params.self_signed(&key)?;
    Ok(Kept {
        common_name,
        ends_at,
        bounds: bounds.iter().map(|(network, prefix)| format!("{network}/{prefix}")).collect(),
        certificate_pem: certificate.pem(),
        key_pem: key.serialize_pem(),
    })
}

/// What the certificate says, but for its dates and number.
fn params(common_name: &str, bounds: &[(IpAddr, u8)]) -> CertificateParams {
    let mut params = CertificateParams::default();
    params.distinguished_name = DistinguishedName::new();
    params.distinguished_name.push(DnType::CommonName, common_name);
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    let addresses = bounds
        .iter()
        .map(|(network, prefix)| GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(*network, *prefix)));
    let permitted_subtrees =
        std::iter::once(GeneralSubtree::DnsName("local".to_owned())).chain(addresses).collect();
    params.name_constraints = Some(NameConstraints { permitted_subtrees, excluded_subtrees: Vec::new() });
    params
}

/// A number that no other certificate has: 16 random bytes, positive and not zero (RFC 5280, 4.1.2.2).
pub(super) fn serial() -> Result<[u8; 16], NetworkError> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)?;
    bytes[0] = (bytes[0] & 0x7f) | 0x40;
    Ok(bytes)
}

/// A moment in the type that certificates are made with, to the second.
pub(super) fn moment(at: Timestamp) -> time::OffsetDateTime {
    time::OffsetDateTime::from_unix_timestamp(at.as_second()).unwrap_or(time::OffsetDateTime::UNIX_EPOCH)
}

const fn host_prefix(address: IpAddr) -> u8 {
    match address {
        IpAddr::V4(_) => 32,
        IpAddr::V6(_) => 128,
    }
}

/// An address with all but its first `prefix` bits cleared.
fn masked(address: IpAddr, prefix: u8) -> IpAddr {
    let width = host_prefix(address);
    let cleared = u32::from(width - prefix.min(width));
    match address {
        IpAddr::V4(v4) => {
            IpAddr::V4(Ipv4Addr::from_bits(v4.to_bits() & u32::MAX.checked_shl(cleared).unwrap_or(0)))
        }
        IpAddr::V6(v6) => {
            IpAddr::V6(Ipv6Addr::from_bits(v6.to_bits() & u128::MAX.checked_shl(cleared).unwrap_or(0)))
        }
    }
}

fn read_range(text: &str) -> Option<(IpAddr, u8)> {
    let (network, prefix) = text.split_once('/')?;
    Some((network.parse().ok()?, prefix.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::error::Error;
    use x509_parser::prelude::{FromDer, GeneralName, X509Certificate};

    fn attached(pairs: &[(&str, u8)]) -> Result<BTreeSet<Attached>, Box<dyn Error>> {
        let read = |(text, prefix): &(&str, u8)| Ok(Attached { address: text.parse()?, prefix: *prefix });
        pairs.iter().map(read).collect()
    }

    #[test]
    fn it_is_made_once_and_kept() -> Result<(), Box<dyn Error>> {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        let now = Timestamp::now();
        let (first, new) = Authority::open(&folder, &BTreeSet::new(), now)?;
        assert!(new);
        let (again, new) = Authority::open(&folder, &attached(&[("203.0.113.9", 24)])?, now)?;
        assert!(!new);
        assert_eq!(again.fingerprint(), first.fingerprint());
        let (later, new) = Authority::open(&folder, &BTreeSet::new(), first.ends_at)?;
        assert!(new, "one that has ended is of no use");
        assert_ne!(later.fingerprint(), first.fingerprint());
        folder.write(FILE, "{}")?;
        let refused = Authority::open(&folder, &BTreeSet::new(), now).err().map(|err| err.to_string());
        assert!(refused.is_some_and(|text| text.contains("set every phone up again")));
        Ok(())
    }

    #[test]
    fn it_is_bound_to_local_names_and_addresses() -> Result<(), Box<dyn Error>> {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        let networks = attached(&[("203.0.113.9", 24), ("192.168.7.2", 24), ("198.51.100.1", 0)])?;
        let (authority, _) = Authority::open(&folder, &networks, Timestamp::now())?;
        for (text, covered) in [
            ("192.168.200.1", true),
            ("172.31.255.255", true),
            ("172.32.0.0", false),
            ("203.0.113.200", true),
            ("203.0.114.1", false),
            ("198.51.100.1", true),
            ("198.51.100.2", false),
            ("8.8.8.8", false),
            ("fd00::2", true),
            ("fe80::9", true),
            ("2001:db8::1", false),
        ] {
            assert_eq!(authority.covers(text.parse()?), covered, "{text}");
        }
        let (_, read) = X509Certificate::from_der(authority.der())?;
        let basic = read.basic_constraints()?.ok_or("no basic constraints")?;
        assert!(basic.critical && basic.value.ca && basic.value.path_len_constraint == Some(0));
        let bound = read.name_constraints()?.ok_or("no name constraints")?;
        assert!(bound.critical);
        let permitted = bound.value.permitted_subtrees.as_ref().ok_or("nothing is permitted")?;
        let names: Vec<&str> = permitted
            .iter()
            .filter_map(|tree| match tree.base {
                GeneralName::DNSName(name) => Some(name),
                _ => None,
            })
            .collect();
        assert_eq!(names, ["local"]);
        assert_eq!(permitted.len(), 1 + authority.bounds.len(), "the file says what the certificate says");
        assert_eq!(read.validity().not_after.timestamp(), authority.ends_at.as_second());
        assert!(read.key_usage()?.is_some_and(|usage| usage.value.key_cert_sign()));
        Ok(())
    }

    #[test]
    fn a_fingerprint_reads_in_groups() {
        let groups = Fingerprint(std::array::from_fn(|idx| u8::try_from(idx).unwrap_or(0))).groups();
        assert_eq!(groups.len(), 8);
        assert_eq!((groups[0].as_str(), groups[7].as_str()), ("00010203", "1C1D1E1F"));
    }
}
