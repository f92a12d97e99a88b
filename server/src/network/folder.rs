//! The folder `network/` inside the store's: keys, devices, the pairing code. Nobody else may read it.
//!
//! What is kept here is secret and this machine's own, so it is no event, no part of an export, and not in
//! the journal. A file is replaced whole: written beside, synced, renamed, the folder synced.
use super::NetworkError;
use serde::Serialize;
use std::fs::{self, DirBuilder, File, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

/// The folder's name.
const NAME: &str = "network";

/// Where secrets are kept.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Folder(PathBuf);

impl Folder {
    /// The folder inside a store's, made where it is missing, closed to others where it was open.
    ///
    /// # Errors   It cannot be made or closed.
    pub fn inside(store: &Path) -> Result<Self, NetworkError> {
        let folder = store.join(NAME);
        let failed = |cause| NetworkError::Write { file: folder.clone(), cause };
        match DirBuilder::new().mode(0o700).create(&folder) {
            Err(cause) if cause.kind() != io::ErrorKind::AlreadyExists => return Err(failed(cause)),
            _ => {}
        }
        fs::set_permissions(&folder, fs::Permissions::from_mode(0o700)).map_err(failed)?;
        Ok(Self(folder))
    }

    /// A file's path.
    #[must_use]
    pub fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    /// A file's text; `None` where there is no such file.
    ///
    /// # Errors   It is there and cannot be read.
    pub fn read(&self, name: &str) -> Result<Option<String>, NetworkError> {
        let file = self.path(name);
        match fs::read_to_string(&file) {
            Ok(text) => Ok(Some(text)),
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(cause) => Err(NetworkError::Read { file, cause }),
        }
    }

    /// Writes a file that only its owner reads. When this returns, it is on the disk, whole.
    ///
    /// # Errors   Nothing changed.
    pub fn write(&self, name: &str, text: &str) -> Result<(), NetworkError> {
        let beside = self.path(&format!("{name}.new"));
        let done = write_new(&beside, text).and_then(|()| {
            fs::rename(&beside, self.path(name))?;
            self.sync()
        });
        done.map_err(|cause| NetworkError::Write { file: self.path(name), cause })
    }

    /// The same with a value as JSON.
    ///
    /// # Errors   Nothing changed.
    pub fn write_json<T: Serialize>(&self, name: &str, value: &T) -> Result<(), NetworkError> {
        let text = serde_json::to_string_pretty(value)
            .map_err(|cause| NetworkError::Write { file: self.path(name), cause: cause.into() })?;
        self.write(name, &text)
    }

    /// Takes a file away, if it is there. When this returns, it will not come back.
    ///
    /// # Errors   It is still there.
    pub fn remove(&self, name: &str) -> Result<(), NetworkError> {
        let done = match fs::remove_file(self.path(name)) {
            Err(cause) if cause.kind() == io::ErrorKind::NotFound => Ok(()),
            Err(cause) => Err(cause),
            Ok(()) => self.sync(),
        };
        done.map_err(|cause| NetworkError::Write { file: self.path(name), cause })
    }

    fn sync(&self) -> io::Result<()> {
        File::open(&self.0)?.sync_all()
    }
}

fn write_new(file: &Path, text: &str) -> io::Result<()> {
    // One left by a crash might be open to others; its mode would stay.
    match fs::remove_file(file) {
        Err(cause) if cause.kind() != io::ErrorKind::NotFound => return Err(cause),
        _ => {}
    }
    let mut new = OpenOptions::new().write(true).create_new(true).mode(0o600).open(file)?;
    new.write_all(text.as_bytes())?;
    new.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::error::Error;

    fn mode(path: &Path) -> Result<u32, Box<dyn Error>> {
        Ok(fs::metadata(path)?.permissions().mode() & 0o777)
    }

    #[test]
    fn nobody_else_reads_what_is_kept() -> Result<(), Box<dyn Error>> {
        let store = tempfile::tempdir()?;
        fs::create_dir(store.path().join(NAME))?;
        fs::set_permissions(store.path().join(NAME), fs::Permissions::from_mode(0o755))?;
        // Left by a crash, with the mode of a careless hand.
        fs::write(store.path().join("network/key.new"), "old")?;
        fs::set_permissions(store.path().join("network/key.new"), fs::Permissions::from_mode(0o644))?;
        let folder = Folder::inside(store.path())?;
        folder.write("key", "secret")?;
        assert_eq!(mode(&store.path().join(NAME))?, 0o700);
        assert_eq!(mode(&folder.path("key"))?, 0o600);
        assert_eq!(folder.read("key")?.as_deref(), Some("secret"));
        assert!(!folder.path("key.new").exists());
        Ok(())
    }

    #[test]
    fn a_file_is_replaced_whole_and_taken_away_once() -> Result<(), Box<dyn Error>> {
        let store = tempfile::tempdir()?;
        let folder = Folder::inside(store.path())?;
        assert_eq!(folder.read("code")?, None);
        folder.write("code", "a long first text")?;
        folder.write("code", "short")?;
        assert_eq!(folder.read("code")?.as_deref(), Some("short"));
        folder.remove("code")?;
        folder.remove("code")?;
        assert_eq!(folder.read("code")?, None);
        Ok(())
    }
}
