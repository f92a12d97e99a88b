//! How the server is reached: this machine only, the local network, or a proxy in front; and what is
//! printed about it at the start.
use crate::access::{Access, Offer, Reach};
use crate::network::addresses::{self, Attached};
use crate::network::announce::{Announcement, announce};
use crate::network::folder::Folder;
use crate::network::https::Https;
use crate::network::name::StudioName;
use axum_server::tls_rustls::RustlsConfig;
use clap::Args;
use jiff::Timestamp;
use std::collections::BTreeSet;
use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::path::Path;
use std::sync::Arc;
use tokio::net::TcpListener;

/// The port of plain HTTP unless another is named.
const HTTP_PORT: u16 = 7450;

/// The arguments.
#[derive(Debug, Args)]
pub struct ReachArgs {
    /// Where to listen with plain http [default: 127.0.0.1:7450, with --lan every address, port 7450]
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: Option<String>,
    /// Serve the local network too: with https by the studio's own certificate, and to paired devices only
    #[arg(long)]
    lan: bool,
    /// The name on the local network: NAME.local
    #[arg(long, requires = "lan", default_value = "tripoise")]
    name: String,
    /// The port of https on the local network
    #[arg(long, value_name = "PORT", requires = "lan", default_value_t = 7443)]
    https_port: u16,
    /// A reverse proxy serves this under NAME, and sets X-Forwarded-For and X-Forwarded-Proto
    ///
    /// Every browser is then paired, since all requests seem to come from this machine. Do not announce a
    /// proxy where there is none: what those headers say is believed.
    #[arg(long, value_name = "NAME", conflicts_with = "lan")]
    behind_proxy: Option<String>,
}

/// What was asked for, understood.
#[derive(Debug)]
pub enum Plan {
    /// Loopback only.
    ThisMachine(SocketAddr),
    /// Plain HTTP and HTTPS; without an address, all of them.
    Network {
        /// Where plain HTTP listens.
        listen: Option<SocketAddr>,
        /// The name.
        name: StudioName,
        /// Where HTTPS listens.
        https_port: u16,
    },
    /// Plain HTTP to a proxy.
    Proxy {
        /// Where.
        listen: SocketAddr,
        /// The proxy's name.
        name: String,
    },
}

impl ReachArgs {
    /// # Errors   A line that says what is wrong.
    pub(super) fn plan(&self) -> Result<Plan, String> {
        let listen = self.listen.as_deref().map(address).transpose()?;
        let here = SocketAddr::from((Ipv4Addr::LOCALHOST, HTTP_PORT));
        if self.lan {
            let name = self.name.parse().map_err(|cause| format!("--name: {cause}"))?;
            return Ok(Plan::Network { listen, name, https_port: self.https_port });
        }
        if let Some(name) = &self.behind_proxy {
            let plain = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'.' || byte == b'-';
            if name.is_empty() || !name.bytes().all(plain) {
                return Err(format!("--behind-proxy {name:?} is not a name; give one like kiln.example.org"));
            }
            return Ok(Plan::Proxy { listen: listen.unwrap_or(here), name: name.to_ascii_lowercase() });
        }
        match listen.unwrap_or(here) {
            address if address.ip().is_loopback() => Ok(Plan::ThisMachine(address)),
            address => Err(format!(
                "--listen {address} opens the store to the network; add --lan, so that only paired devices come in, or give an address of this machine itself, like 127.0.0.1:{}",
                address.port()
            )),
        }
    }
}

fn address(listen: &str) -> Result<SocketAddr, String> {
    let named = listen.strip_prefix("localhost:").map(|port| format!("127.0.0.1:{port}"));
    named.as_deref().unwrap_or(listen).parse().map_err(|_| {
        format!("--listen {listen:?} is not an address and a port; give one like 127.0.0.1:7450")
    })
}

/// The doors, not yet served, and who may come in through them.
pub struct Reached {
    /// Plain HTTP.
    pub http: TcpListener,
    /// HTTPS.
    pub https: Option<(TcpListener, RustlsConfig)>,
    /// Who may come in.
    pub access: Access,
    /// What has to be kept up on the local network.
    pub network: Option<OnTheNetwork>,
}

/// What has to be kept up on the local network.
pub struct OnTheNetwork {
    https: Arc<Https>,
    name: StudioName,
    port: u16,
}

impl OnTheNetwork {
    /// Announces the name, and looks after the certificate and the addresses while the server runs.
    pub fn start(&self, access: &Arc<Access>) -> Option<Announcement> {
        let access = Arc::clone(access);
        tokio::spawn(Arc::clone(&self.https).keep(move |attached| answer_to(&access, attached)));
        announce(&self.name, self.port)
    }
}

fn answer_to(access: &Access, attached: &BTreeSet<Attached>) {
    let addresses = attached.iter().map(|attached| attached.address).collect();
    access.change_hosts(|hosts| hosts.addresses = addresses);
}

impl Plan {
    /// Listens, and makes what is missing.
    pub(super) async fn open(self, store: &Path) -> anyhow::Result<Reached> {
        let folder = Folder::inside(store)?;
        match self {
            Self::ThisMachine(address) => {
                let http = listen_at(address).await?;
                let access = Access::open(&folder, Reach::ThisMachine, http.local_addr()?, None)?;
                Ok(Reached { http, https: None, access, network: None })
            }
            Self::Proxy { listen, name } => {
                let http = listen_at(listen).await?;
                let access = Access::open(&folder, Reach::Proxy, http.local_addr()?, None)?;
                access.change_hosts(|hosts| {
                    hosts.names.insert(name);
                });
                Ok(Reached { http, https: None, access, network: None })
            }
            Self::Network { listen, name, https_port } => on_network(&folder, listen, name, https_port).await,
        }
    }
}

async fn on_network(
    folder: &Folder,
    listen: Option<SocketAddr>,
    name: StudioName,
    https_port: u16,
) -> anyhow::Result<Reached> {
    let http = match listen {
        Some(address) => listen_at(address).await?,
        None => listen_everywhere(HTTP_PORT).await?,
    };
    let ip = http.local_addr()?.ip();
    let listener = listen_at(SocketAddr::new(ip, https_port)).await?;
    let port = listener.local_addr()?.port();
    let attached = addresses::of_this_machine()?;
    let https = Arc::new(Https::open(folder, &name, &attached, Timestamp::now())?);
    let offer = Offer {
        authority_der: https.authority.der().to_vec(),
        authority_pem: https.authority.pem().to_owned(),
        fingerprint: https.authority.fingerprint().groups(),
        host: name.host(),
        http_port: http.local_addr()?.port(),
        https_port: port,
    };
    let access = Access::open(folder, Reach::Network, http.local_addr()?, Some(offer))?;
    access.change_hosts(|hosts| {
        hosts.names.insert(name.host());
    });
    answer_to(&access, &attached);
    let config = https.config.clone();
    let network = Some(OnTheNetwork { https, name, port });
    Ok(Reached { http, https: Some((listener, config)), access, network })
}

/// Every address of both versions; where the machine has no version 6, of version 4.
async fn listen_everywhere(port: u16) -> anyhow::Result<TcpListener> {
    let both = SocketAddr::from((Ipv6Addr::UNSPECIFIED, port));
    match TcpListener::bind(both).await {
        Ok(listener) => Ok(listener),
        Err(cause) if cause.kind() == io::ErrorKind::AddrInUse => Err(in_words(&cause, both)),
        Err(_) => listen_at(SocketAddr::from((Ipv4Addr::UNSPECIFIED, port))).await,
    }
}

async fn listen_at(address: SocketAddr) -> anyhow::Result<TcpListener> {
    TcpListener::bind(address).await.map_err(|cause| in_words(&cause, address))
}

fn in_words(cause: &io::Error, address: SocketAddr) -> anyhow::Error {
    let (ip, port) = (address.ip(), address.port());
    match cause.kind() {
        io::ErrorKind::AddrInUse => anyhow::anyhow!(
            "port {port} of {ip} is in use; stop the program that has it, or choose another port with --listen or --https-port"
        ),
        io::ErrorKind::PermissionDenied => anyhow::anyhow!(
            "port {port} of {ip} may not be used by this user; choose one above 1023 with --listen or --https-port"
        ),
        _ => anyhow::anyhow!("could not listen on {address} ({cause}); choose another with --listen"),
    }
}

/// The lines that the console shows at the start.
pub fn greeting(store: &Path, access: &Access) -> anyhow::Result<Vec<String>> {
    let mut lines = vec![format!("Tripoise is at {}", access.own_url())];
    if let Some(offer) = &access.offer {
        let told = access.told();
        let by_address =
            told.iter().map(|ip| format!(", https://{}", SocketAddr::new(*ip, offer.https_port)));
        let by_address: String = by_address.collect();
        lines.push(format!("On the network: https://{}:{}{by_address}", offer.host, offer.https_port));
        let first: Option<&IpAddr> = told.first();
        lines.push(first.map_or_else(
            || "This machine has no address on a network now; phones cannot reach it.".to_owned(),
            |ip| format!("Set up a phone: http://{}/set-up", SocketAddr::new(*ip, offer.http_port)),
        ));
        lines.push(format!("The certificate's fingerprint (SHA-256): {}", offer.fingerprint.join(" ")));
    }
    if access.reach == Reach::ThisMachine {
        return Ok(lines);
    }
    super::pair::leave_word(store, access)?;
    if !access.devices.any() {
        let current = access.codes().make(Timestamp::now())?;
        lines.push(super::pair::line(&current));
    }
    Ok(lines)
}
