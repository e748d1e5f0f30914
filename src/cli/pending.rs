//! Files that are being written: each stands beside its place under a hidden name and is moved there
//! when it is whole. Every command that writes files writes them here, so that one list knows all that
//! must be taken away when the process is stopped.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use tempfile::TempPath;

use super::exit::Failure;

/// Hidden files of this process. Whoever holds the lock keeps files from being begun, moved and taken
/// away.
static LIVE: Mutex<Vec<TempPath>> = Mutex::new(Vec::new());

fn live() -> MutexGuard<'static, Vec<TempPath>> {
    LIVE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A file that is not whole yet; dropped, it leaves nothing.
pub(super) struct Pending {
    place: PathBuf,
    hidden: PathBuf,
    file: File,
}

impl Pending {
    /// Begins a file beside its place.
    ///
    /// # Errors
    /// The folder does not exist, or takes no file.
    pub(super) fn begin(place: &Path) -> Result<Self, Failure> {
        #[cfg(unix)]
        super::stopped::watch();
        let folder = place.parent().filter(|folder| !folder.as_os_str().is_empty());
        let folder = folder.unwrap_or_else(|| Path::new("."));
        // Made under the lock: no moment at which a file exists that the list does not know.
        let mut live = live();
        let made = temporary().tempfile_in(folder);
        let (file, hidden) = made.map_err(|error| no_file(place, folder, &error))?.into_parts();
        let one = Self { place: place.to_path_buf(), hidden: hidden.to_path_buf(), file };
        live.push(hidden);
        Ok(one)
    }

    /// Where to write.
    pub(super) fn file(&self) -> &File {
        &self.file
    }

    /// A handle of its own to write with.
    ///
    /// # Errors
    /// The system gives none.
    pub(super) fn handle(&self) -> Result<File, Failure> {
        self.file.try_clone().map_err(Failure::io(self.doing()))
    }

    fn doing(&self) -> String {
        format!("writing {}", self.place.display())
    }
}

impl Drop for Pending {
    fn drop(&mut self) {
        live().retain(|hidden| **hidden != *self.hidden);
    }
}

/// Moves whole files to their places. A signal waits until all are there.
///
/// # Errors
/// A place is that of a folder: then none is moved. A file cannot be moved for another reason; it and
/// those behind it leave nothing.
pub(super) fn keep(files: Vec<Pending>) -> Result<(), Failure> {
    if let Some(one) = files.iter().find(|one| one.place.is_dir()) {
        let why = "a folder of that name is there already";
        return Err(Failure::io(one.doing())(io::Error::new(io::ErrorKind::IsADirectory, why)));
    }
    let mut live = live();
    let moved = files.iter().try_for_each(|one| {
        let Some(at) = live.iter().position(|hidden| **hidden == *one.hidden) else { return Ok(()) };
        let moved = live.swap_remove(at).persist(&one.place);
        moved.map_err(|error| Failure::io(one.doing())(error.error))
    });
    // The files take the lock again when they are dropped.
    drop(live);
    drop(files);
    moved
}

/// Takes away every file that is not whole. While what is given back is held, none is begun or moved.
#[cfg(unix)]
pub(super) fn take_away() -> impl Sized {
    let mut live = live();
    live.clear();
    live
}

/// Why no file can be made, without the hidden name, which is of no use to anybody.
fn no_file(place: &Path, folder: &Path, error: &io::Error) -> Failure {
    let shown = folder.display();
    let why = match error.kind() {
        io::ErrorKind::NotFound => format!("the folder `{shown}` does not exist"),
        io::ErrorKind::NotADirectory => format!("`{shown}` is a file, not a folder"),
        _ => format!("no file can be made in `{shown}`: {}", plain(error)),
    };
    Failure::io(format!("writing {}", place.display()))(io::Error::new(error.kind(), why))
}

/// What the system says, without the path that the crate adds behind it.
fn plain(error: &io::Error) -> String {
    error.kind().to_string()
}

/// A temporary file that others may read as they may read any new file.
fn temporary() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.prefix(".spanwright-");
    builder
}
