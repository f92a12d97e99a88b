//! A leaf as strangers see it: parsed by another library, and met by a TLS client that trusts only the
//! studio's authority.
use super::*;
use rustls::pki_types::ServerName;
use rustls::{ClientConfig, ClientConnection, RootCertStore, ServerConnection};
use std::error::Error;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use x509_parser::prelude::{FromDer, GeneralName, X509Certificate};

type Done = Result<(), Box<dyn Error>>;

const DAY: SignedDuration = SignedDuration::from_hours(24);

struct Studio {
    _store: tempfile::TempDir,
    folder: Folder,
    authority: Authority,
    wanted: Wanted,
    now: Timestamp,
}

/// A studio whose machine has these addresses.
fn studio(addresses: &[&str]) -> Result<Studio, Box<dyn Error>> {
    let store = tempfile::tempdir()?;
    let folder = Folder::inside(store.path())?;
    let read = |text: &&str| Ok(Attached { address: text.parse()?, prefix: 24 });
    let attached = addresses.iter().map(read).collect::<Result<BTreeSet<_>, Box<dyn Error>>>()?;
    let now = Timestamp::now();
    let (authority, _) = Authority::open(&folder, &attached, now)?;
    let wanted = Wanted::of(&"clay-shed".parse()?, &attached, &authority);
    Ok(Studio { _store: store, folder, authority, wanted, now })
}

impl Studio {
    fn kept_or_made(&self, now: Timestamp) -> Result<(Leaf, Option<Due>), NetworkError> {
        Leaf::kept_or_made(&self.folder, &self.wanted, &self.authority, now)
    }
}

/// Shakes hands in memory, as a browser would that was sent to this name.
fn connect(server: Arc<ServerConfig>, trusted: &Authority, name: &str) -> Result<(), Box<dyn Error>> {
    let mut roots = RootCertStore::empty();
    roots.add(trusted.der().clone())?;
    let client = ClientConfig::builder_with_provider(Arc::new(rustls::crypto::ring::default_provider()))
        .with_safe_default_protocol_versions()?
        .with_root_certificates(roots)
        .with_no_client_auth();
    let mut client = ClientConnection::new(Arc::new(client), ServerName::try_from(name.to_owned())?)?;
    let mut server = ServerConnection::new(server)?;
    while client.is_handshaking() || server.is_handshaking() {
        let mut wire = Vec::new();
        client.write_tls(&mut wire)?;
        server.read_tls(&mut wire.as_slice())?;
        server.process_new_packets()?;
        let mut wire = Vec::new();
        server.write_tls(&mut wire)?;
        client.read_tls(&mut wire.as_slice())?;
        client.process_new_packets()?;
    }
    Ok(())
}

#[test]
fn a_client_that_trusts_only_the_studio_connects_by_name_and_by_address() -> Done {
    let studio = studio(&["192.168.1.7", "203.0.113.9", "fd00::2", "127.0.0.1"])?;
    let (leaf, due) = studio.kept_or_made(studio.now)?;
    assert_eq!(due, Some(Due::Missing));
    let config = leaf.server_config()?;
    for name in ["clay-shed.local", "192.168.1.7", "203.0.113.9", "fd00::2", "127.0.0.1"] {
        connect(Arc::clone(&config), &studio.authority, name).map_err(|err| format!("{name}: {err}"))?;
    }
    for name in ["other.local", "192.168.1.8", "clay-shed.example"] {
        assert!(connect(Arc::clone(&config), &studio.authority, name).is_err(), "{name}");
    }
    let other = super::tests::studio(&["192.168.1.7"])?;
    assert!(connect(config, &other.authority, "clay-shed.local").is_err(), "another studio's is refused");
    Ok(())
}

#[test]
fn the_authority_s_bounds_are_kept_by_a_client_whatever_its_key_signs() -> Done {
    let mut studio = studio(&["192.168.1.7"])?;
    let outside: IpAddr = "198.51.100.7".parse()?;
    assert!(!studio.authority.covers(outside));
    // As a thief of the key would.
    studio.wanted.addresses.insert(outside);
    let leaf = Leaf::make(&studio.folder, &studio.wanted, &studio.authority, studio.now)?;
    for name in ["198.51.100.7", "clay-shed.local"] {
        let refused = connect(leaf.server_config()?, &studio.authority, name).err();
        let refused = refused.ok_or("it was taken")?.to_string();
        assert!(refused.contains("NameConstraintViolation"), "{name}: {refused}");
    }
    Ok(())
}

#[test]
fn another_library_reads_what_was_meant() -> Done {
    let studio = studio(&["192.168.1.7", "fd00::2", "198.51.100.1"])?;
    let leaf = Leaf::make(&studio.folder, &studio.wanted, &studio.authority, studio.now)?;
    let (der, _) = leaf.parts().ok_or("no parts")?;
    let (_, read) = X509Certificate::from_der(&der)?;
    let names = &read.subject_alternative_name()?.ok_or("no names")?.value.general_names;
    assert!(names.contains(&GeneralName::DNSName("clay-shed.local")));
    assert!(names.contains(&GeneralName::IPAddress(&[192, 168, 1, 7])));
    assert_eq!(names.len(), 4);
    let life_s = read.validity().not_after.timestamp() - read.validity().not_before.timestamp();
    assert!(life_s <= 397 * 24 * 60 * 60, "{life_s}");
    assert_eq!(read.validity().not_after.timestamp(), leaf.ends_at.as_second());
    assert!(read.validity().not_before.timestamp() < studio.now.as_second());
    let usage = read.extended_key_usage()?.ok_or("no usage")?.value;
    assert!(usage.server_auth && !usage.client_auth && !usage.any);
    assert!(!read.is_ca());
    assert_eq!(read.signature_algorithm.algorithm.to_id_string(), "1.2.840.10045.4.3.2", "ECDSA, SHA-256");
    let (_, authority) = X509Certificate::from_der(studio.authority.der())?;
    assert_eq!(read.issuer(), authority.subject());
    Ok(())
}

#[test]
fn a_leaf_near_its_end_is_made_again_and_another_is_kept() -> Done {
    let studio = studio(&["192.168.1.7"])?;
    let (first, _) = studio.kept_or_made(studio.now)?;
    let soon = first.ends_at - RENEWED_BEFORE - DAY;
    let (kept, due) = studio.kept_or_made(soon)?;
    assert_eq!((kept.certificate_pem == first.certificate_pem, due), (true, None));
    let later = first.ends_at - RENEWED_BEFORE + DAY;
    let (renewed, due) = studio.kept_or_made(later)?;
    assert_eq!(due, Some(Due::Ending(first.ends_at)));
    assert!(renewed.ends_at > first.ends_at && renewed.key_pem != first.key_pem);
    assert_eq!(studio.kept_or_made(later)?.1, None, "once");
    Ok(())
}

#[test]
fn a_new_address_name_or_authority_makes_it_again() -> Done {
    let mut studio = studio(&["192.168.1.7"])?;
    studio.kept_or_made(studio.now)?;
    let new: IpAddr = "192.168.1.8".parse()?;
    studio.wanted.addresses.insert(new);
    assert_eq!(studio.kept_or_made(studio.now)?.1, Some(Due::NewAddress(new)));
    studio.wanted.addresses.remove(&new);
    assert_eq!(studio.kept_or_made(studio.now)?.1, None, "one that went away does no harm");
    studio.wanted.name = "kiln-room".parse()?;
    assert_eq!(studio.kept_or_made(studio.now)?.1, Some(Due::OtherName));
    studio.folder.remove(super::super::authority::FILE)?;
    studio.authority = Authority::open(&studio.folder, &BTreeSet::new(), studio.now)?.0;
    assert_eq!(studio.kept_or_made(studio.now)?.1, Some(Due::OtherAuthority));
    studio.folder.write(FILE, "half a fi")?;
    assert_eq!(studio.kept_or_made(studio.now)?.1, Some(Due::Missing));
    Ok(())
}

#[test]
fn the_last_leaf_ends_with_its_authority_and_is_not_made_over_and_over() -> Done {
    let studio = studio(&["192.168.1.7"])?;
    let late = studio.authority.ends_at - DAY;
    let (leaf, _) = studio.kept_or_made(late)?;
    assert_eq!(leaf.ends_at, studio.authority.ends_at);
    assert_eq!(studio.kept_or_made(late)?.1, None);
    Ok(())
}

#[test]
fn keys_are_for_their_owner_only() -> Done {
    let studio = studio(&["192.168.1.7"])?;
    studio.kept_or_made(studio.now)?;
    for file in [FILE, super::super::authority::FILE] {
        let mode = fs::metadata(studio.folder.path(file))?.permissions().mode() & 0o777;
        assert_eq!(mode, 0o600, "{file}");
        assert!(fs::read_to_string(studio.folder.path(file))?.contains("PRIVATE KEY"));
    }
    Ok(())
}
