//! HTTPS on the local network: the certificate in use, and the task that keeps it good.
//!
//! What this does not do: accept connections; [`crate::doors`] does, with the configuration held here.
use super::NetworkError;
use super::addresses::{self, Attached};
use super::authority::Authority;
use super::folder::Folder;
use super::leaf::{Due, Leaf, Wanted};
use super::name::StudioName;
use axum_server::tls_rustls::RustlsConfig;
use jiff::Timestamp;
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

/// House choice: a laptop that wakes in another network has its certificate within a minute.
const LOOK_EVERY: Duration = Duration::from_secs(60);

/// The studio's certificates.
#[derive(Debug)]
pub struct Https {
    folder: Folder,
    name: StudioName,
    /// Who signs.
    pub authority: Authority,
    /// What the listener presents; renewed in place.
    pub config: RustlsConfig,
}

impl Https {
    /// Reads or makes the authority and the leaf.
    ///
    /// # Errors   See [`NetworkError`].
    pub fn open(
        folder: &Folder,
        name: &StudioName,
        attached: &BTreeSet<Attached>,
        now: Timestamp,
    ) -> Result<Self, NetworkError> {
        let (authority, new) = Authority::open(folder, attached, now)?;
        if new {
            tracing::info!("made the studio's certificate authority; phones install it from /set-up");
        }
        let wanted = Wanted::of(name, attached, &authority);
        let (leaf, due) = Leaf::kept_or_made(folder, &wanted, &authority, now)?;
        if let Some(due) = due {
            tracing::info!("made a certificate for {}: {due}", name.host());
        }
        for outside in attached.iter().filter(|one| !authority.covers(one.address)) {
            tracing::warn!(
                "https by {} will not be trusted: the studio's authority was made in another network; use {} instead",
                outside.address,
                name.host()
            );
        }
        let config = RustlsConfig::from_config(leaf.server_config()?);
        Ok(Self { folder: folder.clone(), name: name.clone(), authority, config })
    }

    /// Makes the leaf again where that is due, and puts it to use.
    ///
    /// # Errors   It cannot be made or kept; the one in use stays.
    pub fn renew(&self, attached: &BTreeSet<Attached>, now: Timestamp) -> Result<Option<Due>, NetworkError> {
        let wanted = Wanted::of(&self.name, attached, &self.authority);
        let (leaf, due) = Leaf::kept_or_made(&self.folder, &wanted, &self.authority, now)?;
        if due.is_some() {
            self.config.reload_from_config(leaf.server_config()?);
        }
        Ok(due)
    }

    /// Looks each minute, for as long as it is polled. `moved` hears of the machine's addresses.
    pub async fn keep(self: Arc<Self>, moved: impl Fn(&BTreeSet<Attached>) + Send + Sync + 'static) {
        let moved = Arc::new(moved);
        loop {
            tokio::time::sleep(LOOK_EVERY).await;
            let (https, moved) = (Arc::clone(&self), Arc::clone(&moved));
            let looked = tokio::task::spawn_blocking(move || {
                let attached = addresses::of_this_machine()?;
                moved(&attached);
                https.renew(&attached, Timestamp::now())
            });
            match looked.await {
                Ok(Ok(Some(due))) => tracing::info!("made a new certificate: {due}"),
                Ok(Ok(None)) => {}
                Ok(Err(cause)) => tracing::warn!(%cause, "the certificate could not be looked after"),
                Err(cause) => tracing::warn!(%cause, "looking after the certificate was cut short"),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::error::Error;

    #[test]
    fn a_new_address_is_served_at_once_without_a_new_start() -> Result<(), Box<dyn Error>> {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        let mut attached = BTreeSet::from([Attached { address: "192.168.1.7".parse()?, prefix: 24 }]);
        let now = Timestamp::now();
        let https = Https::open(&folder, &"clay-shed".parse()?, &attached, now)?;
        let before = https.config.get_inner();
        assert_eq!(https.renew(&attached, now)?, None);
        assert!(Arc::ptr_eq(&before, &https.config.get_inner()));
        let new = "10.0.0.5".parse()?;
        attached.insert(Attached { address: new, prefix: 8 });
        assert_eq!(https.renew(&attached, now)?, Some(Due::NewAddress(new)));
        assert!(!Arc::ptr_eq(&before, &https.config.get_inner()));
        Ok(())
    }
}
