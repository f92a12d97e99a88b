//! Makes `NAME.local` known on the local network (multicast DNS, RFC 6762), so that nobody types addresses.
//!
//! Where that fails, one line says so and everything else goes on: the addresses work without it.
use super::name::StudioName;
use mdns_sd::{DaemonEvent, ServiceDaemon, ServiceInfo};
use std::time::Duration;

/// The kind of service, as browsers of the network list it (RFC 6763).
const SERVICE: &str = "_https._tcp.local.";

/// House choice: probing takes under a second (RFC 6762, 8.1); ten allow for a slow start of the network.
const PATIENCE: Duration = Duration::from_secs(10);

/// An announcement that stands until it is taken back.
pub struct Announcement {
    daemon: ServiceDaemon,
    full_name: String,
}

/// Announces the name and the HTTPS port. What comes of it is logged as it happens.
///
/// # Returns  `None` where it could not even be tried; that was logged.
pub fn announce(name: &StudioName, https_port: u16) -> Option<Announcement> {
    match try_to(name, https_port) {
        Ok((announcement, events)) => {
            tokio::spawn(tell(name.host(), events));
            Some(announcement)
        }
        Err(cause) => {
            tracing::warn!(
                "could not announce {} on the network ({cause}); use the addresses instead",
                name.host()
            );
            None
        }
    }
}

fn try_to(
    name: &StudioName,
    https_port: u16,
) -> Result<(Announcement, mdns_sd::Receiver<DaemonEvent>), mdns_sd::Error> {
    let daemon = ServiceDaemon::new()?;
    let events = daemon.monitor()?;
    let instance = format!("Tripoise {name}");
    let properties: &[(&str, &str)] = &[];
    let service =
        ServiceInfo::new(SERVICE, &instance, &format!("{}.", name.host()), (), https_port, properties)?;
    let service = service.enable_addr_auto();
    let full_name = service.get_fullname().to_owned();
    daemon.register(service)?;
    Ok((Announcement { daemon, full_name }, events))
}

/// Says once that it worked, or that it did not, and each trouble as it comes.
async fn tell(host: String, events: mdns_sd::Receiver<DaemonEvent>) {
    let mut announced = false;
    loop {
        let next = events.recv_async();
        let event = if announced {
            next.await
        } else {
            match tokio::time::timeout(PATIENCE, next).await {
                Ok(event) => event,
                Err(_) => {
                    tracing::warn!("nobody could be told of {host} so far; use the addresses instead");
                    announced = true;
                    continue;
                }
            }
        };
        match event {
            Ok(DaemonEvent::Announce(..)) if !announced => {
                tracing::info!("announced {host} on the network");
                announced = true;
            }
            // The service's own name may change; only the host's is in the certificate.
            Ok(DaemonEvent::NameChange(change)) if change.original.trim_end_matches('.') == host => {
                tracing::warn!(
                    "another machine answers to {host}; start again with --name and a name of this studio's own"
                );
            }
            Ok(DaemonEvent::Error(cause)) => {
                tracing::warn!("announcing {host}: {cause}; where it is not found, use the addresses");
            }
            Ok(_) => {}
            // The daemon has ended.
            Err(_) => return,
        }
    }
}

impl Announcement {
    /// Says goodbye, so that phones forget the name at once.
    pub async fn take_back(self) {
        if let Ok(said) = self.daemon.unregister(&self.full_name) {
            // Without an answer in a second the name just runs out.
            drop(tokio::time::timeout(Duration::from_secs(1), said.recv_async()).await);
        }
        drop(self.daemon.shutdown());
    }
}
