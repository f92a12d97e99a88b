//! What `serve --lan` adds: a name, a certificate authority of the studio's own, HTTPS, an announcement.
//!
//! A phone gives camera, installing and work without network only to pages that came over HTTPS with a
//! certificate it trusts. So the studio makes its own [`authority`], which phones install once; it signs a
//! [`leaf`] for the machine's [`name`] and [`addresses`]; [`https`] serves with it and renews it;
//! [`announce`] makes the name known. Everything is kept in the store's folder under `network/`.
//!
//! What this does not do: say who may come in; that is [`crate::access`].

pub mod folder;

pub mod addresses;
pub mod name;

pub mod authority;
pub mod leaf;

pub mod profile;

pub mod announce;
pub mod https;

use std::io;
use std::path::PathBuf;
use thiserror::Error;

/// Why the network's side could not be set up or kept.
#[derive(Debug, Error)]
pub enum NetworkError {
    /// A file could not be read.
    #[error("{file} could not be read ({cause}); mend its permissions")]
    Read {
        /// The file.
        file: PathBuf,
        /// The system's word.
        cause: io::Error,
    },
    /// A file could not be written.
    #[error("{file} could not be written ({cause}); make room on the disk or mend the folder's permissions")]
    Write {
        /// The file.
        file: PathBuf,
        /// The system's word.
        cause: io::Error,
    },
    /// The authority's file holds something else.
    #[error(
        "{file} does not hold the studio's authority ({cause}); put it back from a backup, or delete it and set every phone up again"
    )]
    Authority {
        /// The file.
        file: PathBuf,
        /// What was found.
        cause: String,
    },
    /// A certificate could not be made.
    #[error("a certificate could not be made ({0}); start again with --name, letters and hyphens only")]
    Make(#[from] rcgen::Error),
    /// The TLS library refused the certificate or its key.
    #[error(
        "HTTPS could not be started with the certificate that was made ({0}); delete network/leaf.json and start again"
    )]
    Tls(#[from] rustls::Error),
    /// The machine's addresses could not be listed.
    #[error("this machine's addresses could not be listed ({0}); start again without --lan")]
    Addresses(io::Error),
    /// The system gives no random numbers.
    #[error("the system gave no random numbers ({0}); start again")]
    Random(#[from] getrandom::Error),
}
