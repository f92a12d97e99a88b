//! The paired devices: a name, when it was paired and last seen, and the hash of its cookie.
//!
//! They are this machine's own affair and no event: a small file, replaced whole with each change. The
//! cookie itself is known to the device only.
use crate::network::NetworkError;
use crate::network::folder::Folder;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::io;
use std::sync::Mutex;
use uuid::Uuid;

/// The file in the network's folder.
const FILE: &str = "devices.json";

/// The newest format that this build reads, and the one it writes.
const FORMAT: u64 = 1;

/// House choice: "last seen" is kept to the hour, so that a busy phone does not wear the disk.
const SEEN_EVERY: SignedDuration = SignedDuration::from_hours(1);

/// House choice: as long as a line on a phone.
pub const LONGEST_NAME: usize = 40;

/// A device that was paired, once.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Device {
    /// Names it in forms.
    pub id: Uuid,
    /// What its user called it.
    pub name: String,
    token_sha256: String,
    /// When it was paired.
    pub paired_at: Timestamp,
    /// When it was last seen, to the hour.
    pub seen_at: Timestamp,
    /// When it was shut out.
    pub revoked_at: Option<Timestamp>,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
struct Kept {
    format: u64,
    devices: Vec<Device>,
}

/// What a device shows: 32 random bytes as hexadecimal digits. Never written down here.
pub struct Token(String);

impl Token {
    fn random() -> Result<Self, NetworkError> {
        let mut bytes = [0; 32];
        getrandom::fill(&mut bytes)?;
        Ok(Self(hex(&bytes)))
    }

    /// For the cookie.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Every device that was ever paired, the revoked ones too.
#[derive(Debug)]
pub struct Devices {
    folder: Folder,
    kept: Mutex<Kept>,
}

impl Devices {
    /// The devices of this folder.
    ///
    /// # Errors   The file is there and does not read: with none known, every phone would have to be
    /// paired again, which is for a person to decide.
    pub fn open(folder: &Folder) -> Result<Self, NetworkError> {
        let kept = match folder.read(FILE)? {
            None => Kept { format: FORMAT, devices: Vec::new() },
            Some(text) => serde_json::from_str(&text)
                .map_err(|cause| cause.to_string())
                .and_then(|kept: Kept| match kept.format {
                    FORMAT => Ok(kept),
                    newer => Err(format!("its format is {newer}, this Tripoise reads {FORMAT}")),
                })
                .map_err(|cause| NetworkError::Read {
                    file: folder.path(FILE),
                    cause: io::Error::new(
                        io::ErrorKind::InvalidData,
                        format!(
                            "{cause}; put it back from a backup, or delete it and pair every device again"
                        ),
                    ),
                })?,
        };
        Ok(Self { folder: folder.clone(), kept: Mutex::new(kept) })
    }

    /// All of them, the latest paired first.
    #[must_use]
    pub fn all(&self) -> Vec<Device> {
        let mut all = super::lock(&self.kept).devices.clone();
        all.sort_by_key(|device| std::cmp::Reverse(device.paired_at));
        all
    }

    /// Whether any may come in.
    #[must_use]
    pub fn any(&self) -> bool {
        super::lock(&self.kept).devices.iter().any(|device| device.revoked_at.is_none())
    }

    /// The device that shows this token, unless it was revoked.
    #[must_use]
    pub fn who(&self, token: &str) -> Option<Device> {
        let hash = hex(&Sha256::digest(token.as_bytes()));
        let kept = super::lock(&self.kept);
        kept.devices.iter().find(|device| device.token_sha256 == hash && device.revoked_at.is_none()).cloned()
    }

    /// Lets a device in. When this returns, it is on the disk.
    ///
    /// # Errors   Nothing changed.
    pub fn pair(&self, name: &str, now: Timestamp) -> Result<(Device, Token), NetworkError> {
        let token = Token::random()?;
        let device = Device {
            id: Uuid::new_v4(),
            name: name.to_owned(),
            token_sha256: hex(&Sha256::digest(token.as_str().as_bytes())),
            paired_at: now,
            seen_at: now,
            revoked_at: None,
        };
        let added = device.clone();
        self.change(|devices| devices.push(added))?;
        Ok((device, token))
    }

    /// Calls a device something else.
    ///
    /// # Errors   Nothing changed.
    pub fn rename(&self, id: Uuid, name: &str) -> Result<(), NetworkError> {
        self.change(|devices| {
            devices
                .iter_mut()
                .filter(|device| device.id == id)
                .for_each(|device| name.clone_into(&mut device.name));
        })
    }

    /// Shuts a device out, at once: its next request is refused.
    ///
    /// # Errors   It is shut out for as long as this server runs, but that could not be written.
    pub fn revoke(&self, id: Uuid, now: Timestamp) -> Result<(), NetworkError> {
        let mut kept = super::lock(&self.kept);
        for device in kept.devices.iter_mut().filter(|device| device.id == id) {
            device.revoked_at.get_or_insert(now);
        }
        self.folder.write_json(FILE, &*kept)
    }

    /// A device was here. Kept once an hour.
    ///
    /// # Returns  Whether it was kept: then its cookie is renewed too.
    /// # Errors   It could not be kept; the device is let in all the same.
    pub fn seen(&self, id: Uuid, now: Timestamp) -> Result<bool, NetworkError> {
        let stale = |device: &Device| device.id == id && now - device.seen_at >= SEEN_EVERY;
        if !super::lock(&self.kept).devices.iter().any(stale) {
            return Ok(false);
        }
        self.change(|devices| {
            devices.iter_mut().filter(|device| device.id == id).for_each(|device| device.seen_at = now);
        })?;
        Ok(true)
    }

    fn change(&self, change: impl FnOnce(&mut Vec<Device>)) -> Result<(), NetworkError> {
        let mut kept = super::lock(&self.kept);
        let mut changed = kept.clone();
        change(&mut changed.devices);
        self.folder.write_json(FILE, &changed)?;
        *kept = changed;
        Ok(())
    }
}

/// A device's name as it is kept: one line, trimmed; `None` where nothing is left or it is too long.
#[must_use]
pub fn clean_name(typed: &str) -> Option<String> {
    let name = typed.split_whitespace().collect::<Vec<_>>().join(" ");
    let fits =
        !name.is_empty() && name.chars().count() <= LONGEST_NAME && !name.chars().any(char::is_control);
    fits.then_some(name)
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::error::Error;
    use std::fs;
    use std::os::unix::fs::PermissionsExt;

    type Done = Result<(), Box<dyn Error>>;

    #[test]
    fn a_device_is_known_by_its_token_until_it_is_revoked() -> Done {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        let now = Timestamp::now();
        let devices = Devices::open(&folder)?;
        assert!(!devices.any());
        let (phone, token) = devices.pair("phone by the kiln", now)?;
        let (other, other_token) = devices.pair("tablet", now)?;
        assert_ne!(token.as_str(), other_token.as_str());
        assert_eq!(devices.who(token.as_str()).map(|device| device.id), Some(phone.id));
        assert_eq!(devices.who("0000"), None);
        devices.rename(phone.id, "old phone")?;
        let again = Devices::open(&folder)?;
        assert_eq!(again.who(token.as_str()).map(|device| device.name).as_deref(), Some("old phone"));
        again.revoke(phone.id, now)?;
        assert_eq!(again.who(token.as_str()), None);
        assert_eq!(Devices::open(&folder)?.who(token.as_str()), None, "for good");
        assert_eq!(again.who(other_token.as_str()).map(|device| device.id), Some(other.id));
        Ok(())
    }

    #[test]
    fn only_the_hash_of_a_token_is_written() -> Done {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        let (_, token) = Devices::open(&folder)?.pair("phone", Timestamp::now())?;
        let file = folder.path(FILE);
        assert_eq!(token.as_str().len(), 64);
        assert!(!fs::read_to_string(&file)?.contains(token.as_str()));
        assert_eq!(fs::metadata(&file)?.permissions().mode() & 0o777, 0o600);
        Ok(())
    }

    #[test]
    fn a_failed_write_lets_nobody_in_but_still_shuts_out() -> Done {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        let now = Timestamp::now();
        let devices = Devices::open(&folder)?;
        let (phone, token) = devices.pair("phone", now)?;
        // A folder in the file's place makes every write fail, for root too.
        fs::remove_file(folder.path(FILE))?;
        fs::create_dir_all(folder.path(FILE).join("in the way"))?;
        assert!(devices.pair("another", now).is_err());
        assert_eq!(devices.all().len(), 1);
        assert!(devices.revoke(phone.id, now).is_err());
        assert_eq!(devices.who(token.as_str()), None);
        Ok(())
    }

    #[test]
    fn last_seen_is_kept_once_an_hour() -> Done {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        let now = Timestamp::now();
        let devices = Devices::open(&folder)?;
        let (phone, _) = devices.pair("phone", now)?;
        assert!(!devices.seen(phone.id, now + SignedDuration::from_mins(59))?);
        let later = now + SEEN_EVERY;
        assert!(devices.seen(phone.id, later)?);
        assert_eq!(Devices::open(&folder)?.all()[0].seen_at, later);
        Ok(())
    }

    #[test]
    fn a_file_that_does_not_read_stops_the_start() -> Done {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        for text in ["", "{\"format\":2,\"devices\":[]}"] {
            folder.write(FILE, text)?;
            let refused = Devices::open(&folder).err().map(|err| err.to_string());
            assert!(refused.is_some_and(|text| text.contains("pair every device again")));
        }
        Ok(())
    }

    #[test]
    fn names_are_one_line() {
        assert_eq!(clean_name("  phone \n by the kiln ").as_deref(), Some("phone by the kiln"));
        assert_eq!(clean_name(" \t"), None);
        assert_eq!(clean_name(&"a".repeat(41)), None);
        assert_eq!(clean_name("bell\u{7}"), None);
    }
}
