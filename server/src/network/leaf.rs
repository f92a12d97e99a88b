//! The server's own certificate: for the name and every address of the machine, for a little over a year.
//!
//! It is made again, with a new key, 30 days before it ends, when the machine has an address that it does
//! not name, when the studio's name or authority is another, or when its file does not read.
use super::NetworkError;
use super::addresses::Attached;
use super::authority::{Authority, BACKDATED, moment, serial};
use super::folder::Folder;
use super::name::StudioName;
use jiff::{SignedDuration, Timestamp};
use rcgen::{
    CertificateParams, DistinguishedName, DnType, ExtendedKeyUsagePurpose, KeyPair, KeyUsagePurpose, SanType,
    SerialNumber,
};
use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fmt;
use std::net::IpAddr;
use std::sync::Arc;

/// The file in the network's folder.
pub const FILE: &str = "leaf.json";

/// How long it is good for, the backdated day included. 397 days: browsers refuse more than 398 from
/// authorities they know (CA/Browser Forum, Baseline Requirements 6.3.2) and may one day from ours.
pub const LIFE: SignedDuration = SignedDuration::from_hours(24 * 397);

/// House choice: with 30 days left a server that is started once a month still renews in time.
pub const RENEWED_BEFORE: SignedDuration = SignedDuration::from_hours(24 * 30);

/// What the file says. The statements beside the certificate are the ones it was made from.
#[derive(Serialize, Deserialize)]
pub struct Leaf {
    host: String,
    addresses: BTreeSet<IpAddr>,
    /// When browsers stop taking it.
    pub ends_at: Timestamp,
    /// SHA-256 of the authority that signed it.
    signed_by: [u8; 32],
    certificate_pem: String,
    key_pem: String,
}

// Not derived: the key stays out of logs.
impl fmt::Debug for Leaf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut shown = f.debug_struct("Leaf");
        shown.field("host", &self.host).field("addresses", &self.addresses).field("ends_at", &self.ends_at);
        shown.finish_non_exhaustive()
    }
}

/// What a leaf is for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wanted {
    /// The name on the network.
    pub name: StudioName,
    /// The machine's addresses that its authority may sign for.
    pub addresses: BTreeSet<IpAddr>,
}

impl Wanted {
    /// The name and those of these addresses that the authority covers.
    #[must_use]
    pub fn of(name: &StudioName, attached: &BTreeSet<Attached>, authority: &Authority) -> Self {
        let all = attached.iter().map(|attached| attached.address);
        Self { name: name.clone(), addresses: all.filter(|address| authority.covers(*address)).collect() }
    }
}

/// Why a leaf is made again.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Due {
    /// There is none that reads.
    Missing,
    /// Its end is near.
    Ending(Timestamp),
    /// The machine has an address that it does not name.
    NewAddress(IpAddr),
    /// It is for another name.
    OtherName,
    /// Another authority signed it.
    OtherAuthority,
}

impl fmt::Display for Due {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing => write!(f, "there was none"),
            Self::Ending(at) => write!(f, "the last one ends {at}"),
            Self::NewAddress(address) => write!(f, "this machine now has the address {address}"),
            Self::OtherName => write!(f, "the studio's name changed"),
            Self::OtherAuthority => write!(f, "the studio's authority is new"),
        }
    }
}

impl Leaf {
    /// The leaf in the folder; `None` where there is none that reads: it is then made again.
    ///
    /// # Errors   The file is there and cannot be read.
    pub fn read(folder: &Folder) -> Result<Option<Self>, NetworkError> {
        let text = folder.read(FILE)?;
        let leaf: Option<Self> = text.and_then(|text| serde_json::from_str(&text).ok());
        Ok(leaf.filter(|leaf| leaf.parts().is_some()))
    }

    /// Whether another is wanted at this moment.
    #[must_use]
    pub fn due(&self, wanted: &Wanted, authority: &Authority, now: Timestamp) -> Option<Due> {
        if self.signed_by != authority.fingerprint().0 {
            return Some(Due::OtherAuthority);
        }
        if self.host != wanted.name.host() {
            return Some(Due::OtherName);
        }
        if let Some(new) = wanted.addresses.difference(&self.addresses).next() {
            return Some(Due::NewAddress(*new));
        }
        (self.ends_at - now < RENEWED_BEFORE && self.ends_at < authority.ends_at)
            .then_some(Due::Ending(self.ends_at))
    }

    /// Makes one and keeps it.
    ///
    /// # Errors   It cannot be made or written; the last one stays.
    pub fn make(
        folder: &Folder,
        wanted: &Wanted,
        authority: &Authority,
        now: Timestamp,
    ) -> Result<Self, NetworkError> {
        let host = wanted.name.host();
        let starts_at = now - BACKDATED;
        let ends_at = (starts_at + LIFE).min(authority.ends_at);
        let mut params = CertificateParams::new(vec![host.clone()])?;
        params.subject_alt_names.extend(wanted.addresses.iter().copied().map(SanType::IpAddress));
        params.distinguished_name = DistinguishedName::new();
        params.distinguished_name.push(DnType::CommonName, &host);
        params.serial_number = Some(SerialNumber::from_slice(&serial()?));
        (params.not_before, params.not_after) = (moment(starts_at), moment(ends_at));
        params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        params.use_authority_key_identifier_extension = true;
        let key = KeyPair::generate()?;
        let certificate = params.signed_by(&key, &authority.issuer)?;
        let leaf = Self {
            host,
            addresses: wanted.addresses.clone(),
            ends_at,
            signed_by: authority.fingerprint().0,
            certificate_pem: certificate.pem(),
            key_pem: key.serialize_pem(),
        };
        folder.write_json(FILE, &leaf)?;
        Ok(leaf)
    }

    /// The kept leaf, or a new one where that is due.
    ///
    /// # Errors   As for [`Leaf::read`] and [`Leaf::make`].
    pub fn kept_or_made(
        folder: &Folder,
        wanted: &Wanted,
        authority: &Authority,
        now: Timestamp,
    ) -> Result<(Self, Option<Due>), NetworkError> {
        let kept = Self::read(folder)?;
        let due = kept.as_ref().map_or(Some(Due::Missing), |leaf| leaf.due(wanted, authority, now));
        match (kept, due) {
            (Some(leaf), None) => Ok((leaf, None)),
            (_, due) => Ok((Self::make(folder, wanted, authority, now)?, due)),
        }
    }

    /// What a TLS server presents: this certificate, TLS 1.2 and 1.3, HTTP/2 and HTTP/1.1.
    ///
    /// # Errors   The library refuses certificate or key.
    pub fn server_config(&self) -> Result<Arc<ServerConfig>, NetworkError> {
        let (certificate, key) =
            self.parts().ok_or_else(|| rustls::Error::General("the certificate does not read".to_owned()))?;
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let mut config = ServerConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()?
            .with_no_client_auth()
            .with_single_cert(vec![certificate], key)?;
        config.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
        Ok(Arc::new(config))
    }

    fn parts(&self) -> Option<(CertificateDer<'static>, PrivateKeyDer<'static>)> {
        let certificate = CertificateDer::from_pem_slice(self.certificate_pem.as_bytes()).ok()?;
        Some((certificate, PrivateKeyDer::from_pem_slice(self.key_pem.as_bytes()).ok()?))
    }
}

#[cfg(test)]
#[path = "leaf_tests.rs"]
mod tests;
