//! Who may come in: the host machine itself, and devices that were paired. Nobody else gets anything.
//!
//! Start reading at [`Access`] and [`visit`]. The gate around every URL is [`crate::routes::gate`].
//!
//! - [`Reach`] says how the server can be reached; it is chosen on the command line.
//! - A [`visit::Visit`] is made of each request: through which door, from which address, by whom.
//! - [`devices`] are kept as the hashes of their cookies; [`code`] pairs a new one, once; [`delay`] slows
//!   guessing down.
//!
//! What this does not do: know people, roles or passphrases. A paired device may do everything. When people
//! come, [`visit::Visitor::Device`] is where a role joins the device, and the gate is where it is asked.

pub mod code;
pub mod delay;
pub mod devices;
pub mod hosts;
pub mod visit;

use crate::network::folder::Folder;
use crate::network::{NetworkError, addresses};
use code::Codes;
use delay::Delays;
use devices::Devices;
use hosts::Hosts;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Mutex, MutexGuard, PoisonError, RwLock};

/// How the server can be reached.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reach {
    /// Only from this machine, which needs no pairing.
    ThisMachine,
    /// From the local network too. This machine itself needs no pairing.
    Network,
    /// Through a reverse proxy. Every request then seems to come from this machine, so nobody is taken at
    /// that: every browser is paired.
    Proxy,
}

/// What phones need to know to set themselves up.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Offer {
    /// The authority's certificate.
    pub authority_der: Vec<u8>,
    /// The same as text.
    pub authority_pem: String,
    /// Its SHA-256, in groups.
    pub fingerprint: Vec<String>,
    /// `tripoise.local`.
    pub host: String,
    /// The port of plain HTTP.
    pub http_port: u16,
    /// The port of HTTPS.
    pub https_port: u16,
}

impl Offer {
    /// The page that pairs a phone, over HTTPS.
    #[must_use]
    pub fn pair_url(&self) -> String {
        format!("https://{}:{}/pair", self.host, self.https_port)
    }
}

/// Everything that decides who may come in; shared by every handler.
#[derive(Debug)]
pub struct Access {
    /// How the server can be reached.
    pub reach: Reach,
    /// Which `Host` it answers to.
    pub hosts: RwLock<Hosts>,
    /// What phones need, where there is HTTPS of our own.
    pub offer: Option<Offer>,
    /// The paired devices.
    pub devices: Devices,
    codes: Codes,
    delays: Mutex<Delays>,
}

impl Access {
    /// For a server at `address` whose store has this folder for its secrets.
    ///
    /// # Errors   The file of devices is there and does not read.
    pub fn open(
        folder: &Folder,
        reach: Reach,
        address: SocketAddr,
        offer: Option<Offer>,
    ) -> Result<Self, NetworkError> {
        Ok(Self {
            reach,
            hosts: RwLock::new(Hosts::at(address)),
            offer,
            devices: Devices::open(folder)?,
            codes: Codes::of(folder),
            delays: Mutex::new(Delays::default()),
        })
    }

    /// The pairing codes.
    #[must_use]
    pub fn codes(&self) -> &Codes {
        &self.codes
    }

    /// How long guessing has to wait.
    pub fn delays(&self) -> MutexGuard<'_, Delays> {
        lock(&self.delays)
    }

    /// Whether it answers to this `Host`.
    #[must_use]
    pub fn answers_to(&self, host: &str) -> bool {
        self.hosts.read().unwrap_or_else(PoisonError::into_inner).contains(host)
    }

    /// Where a browser on the machine itself finds the server.
    #[must_use]
    pub fn own_url(&self) -> String {
        own_url(self.hosts.read().unwrap_or_else(PoisonError::into_inner).address)
    }

    /// The addresses at which phones reach the server now, likeliest first. Empty where the system does not
    /// list them.
    #[must_use]
    pub fn told(&self) -> Vec<IpAddr> {
        let listening = self.hosts.read().unwrap_or_else(PoisonError::into_inner).address.ip();
        addresses::of_this_machine().map(|all| addresses::to_tell(&all, listening)).unwrap_or_default()
    }

    /// Changes the hosts that it answers to.
    pub fn change_hosts(&self, change: impl FnOnce(&mut Hosts)) {
        change(&mut self.hosts.write().unwrap_or_else(PoisonError::into_inner));
    }
}

/// A listener's address as a browser on the machine itself can open it.
#[must_use]
pub fn own_url(listening: SocketAddr) -> String {
    let port = listening.port();
    if listening.ip().is_unspecified() {
        return format!("http://127.0.0.1:{port}");
    }
    format!("http://{listening}")
}

/// A lock whose holder panicked guards plain values that are replaced whole: they are still good.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
