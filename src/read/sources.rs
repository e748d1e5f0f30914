//! The texts of the files read: opened once, kept once, shown again in findings.

use std::fs::File;
use std::io::{self, Read};
use std::ops::Deref;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rustc_hash::FxHashMap;
use sha2::{Digest, Sha256};

use super::limits;
use crate::check::plan_rules::{encoding, missing_file, too_large};
use crate::check::{Finding, nearest};
use crate::place::{FileId, Files, Origin};

/// The text of one file; a clone shares it.
#[derive(Debug, Clone, Default)]
pub struct Text(Arc<String>);

impl Deref for Text {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

/// Every file that was read, by [`FileId`].
#[derive(Debug, Default)]
pub struct Sources {
    files: Files,
    texts: Vec<Text>,
    opened: FxHashMap<PathBuf, FileId>,
    /// The folders in which named files must lie; `None` = anywhere.
    confined: Option<Vec<PathBuf>>,
}

impl Sources {
    /// Opens a file as UTF-8 text, a byte order mark taken off. A file that was opened before is
    /// not read again. The size limit is that of bulk rows for `.csv`, else that of a plan.
    ///
    /// # Errors
    /// One finding: the file is missing or cannot be opened, too large, or not UTF-8. It points at
    /// the file itself; a caller that knows where the file is named puts that place in.
    pub fn open(&mut self, path: &Path) -> Result<FileId, Finding> {
        let csv = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("csv"));
        self.open_within(path, if csv { limits::CSV_BYTES } else { limits::PLAN_BYTES })
    }

    /// As [`Sources::open`], with a size limit in bytes.
    ///
    /// # Errors
    /// As [`Sources::open`].
    pub fn open_within(&mut self, path: &Path, most: u64) -> Result<FileId, Finding> {
        if let Some(id) = self.opened.get(path) {
            return Ok(*id);
        }
        let id = self.add(&path.display().to_string(), String::new());
        let bytes = read(path, most).map_err(|fault| fault.finding(path, id, most))?;
        let text = decode(bytes).map_err(|fault| fault.finding(path, id))?;
        self.put(id, text);
        self.opened.insert(path.to_path_buf(), id);
        Ok(id)
    }

    /// From now on files that other files name must lie in these folders.
    pub fn confine<'p>(&mut self, folders: impl Iterator<Item = &'p Path>) {
        self.confined = Some(folders.filter_map(settled).collect());
    }

    /// Why a path that a file names must not be followed.
    pub(super) fn outside(&mut self, path: &Path) -> Option<Finding> {
        let folders = self.confined.as_ref()?;
        // Of what does not exist the folder decides: whether it exists elsewhere is not told either.
        let place = settled(path).or_else(|| settled(path.parent()?));
        if place.is_some_and(|place| folders.iter().any(|folder| place.starts_with(folder))) {
            return None;
        }
        let shown = path.display().to_string();
        let at = Origin::whole(self.add(&shown, String::new()));
        let message = format!("`{shown}` lies outside of the plan's folder, which `--confine` forbids");
        Some(missing_file::RULE.hit(at, shown, message).hint("put a copy into the plan's folder"))
    }

    /// As [`Sources::open_within`], for a file that another file or a folder names: it must be a plain one.
    /// A pipe that nobody writes into would be waited for without end.
    ///
    /// # Errors
    /// As [`Sources::open`]; the file is a pipe or a device.
    pub fn open_plain(&mut self, path: &Path, most: u64) -> Result<FileId, Finding> {
        if let Some(finding) = self.outside(path) {
            return Err(finding);
        }
        if std::fs::metadata(path).is_ok_and(|known| !known.is_file() && !known.is_dir()) {
            let id = self.add(&path.display().to_string(), String::new());
            return Err(Unreadable::NoFile.finding(path, id, most));
        }
        self.open_within(path, most)
    }

    /// Opens a file that need not be text. If it is, its lines can be shown in findings.
    ///
    /// # Errors
    /// One finding: the file is missing or cannot be opened, or is larger than `most` bytes.
    pub fn open_bytes(&mut self, path: &Path, most: u64) -> Result<(FileId, Vec<u8>), Finding> {
        let id = self.add(&path.display().to_string(), String::new());
        let bytes = read(path, most).map_err(|fault| fault.finding(path, id, most))?;
        if let Ok(text) = decode(bytes.clone()) {
            self.put(id, text);
        }
        Ok((id, bytes))
    }

    /// Adds a text that is in memory already (standard input; a folder, with an empty text).
    pub fn add(&mut self, name: &str, text: String) -> FileId {
        let id = self.files.add(name);
        self.put(id, text);
        id
    }

    fn put(&mut self, id: FileId, text: String) {
        let index = usize::from(id.0);
        if index >= self.texts.len() {
            self.texts.resize(index + 1, Text::default());
        }
        self.texts[index] = Text(Arc::new(text));
    }

    /// The text of a file; empty for the command line and the built-in tables.
    pub fn text(&self, id: FileId) -> Text {
        self.texts.get(usize::from(id.0)).cloned().unwrap_or_default()
    }

    /// The names of the files.
    pub fn files(&self) -> &Files {
        &self.files
    }

    /// SHA-256 of all that was read, in the order of reading, as hexadecimal digits: two results of
    /// equal input carry equal digests, and any change of any file changes it. File names do not count.
    pub fn digest(&self) -> String {
        let mut hasher = Sha256::new();
        for text in &self.texts {
            // The length keeps two files apart from one that holds both.
            hasher.update((text.len() as u64).to_le_bytes());
            hasher.update(text.as_bytes());
        }
        hasher.finalize().iter().fold(String::new(), |mut hex, byte| {
            hex.push_str(&format!("{byte:02x}"));
            hex
        })
    }

    /// The line an origin points at, without its line end, and the byte at which it starts.
    /// `None` where the origin has no line.
    pub fn line(&self, origin: Origin) -> Option<(&str, usize)> {
        let text: &str = self.texts.get(usize::from(origin.file.0))?;
        let wanted = origin.line.checked_sub(1)? as usize;
        let start = if origin.column > 0 {
            text.get(..origin.start as usize)?.rfind('\n').map_or(0, |at| at + 1)
        } else {
            let ends = text.match_indices('\n').map(|(at, _)| at + 1);
            std::iter::once(0).chain(ends).nth(wanted)?
        };
        text[start..].lines().next().map(|line| (line, start))
    }
}

/// The place that a path means, links followed; the empty path is the folder at hand.
fn settled(path: &Path) -> Option<PathBuf> {
    let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
    path.canonicalize().ok()
}

/// Why the bytes of a file could not be had.
enum Unreadable {
    Missing,
    Folder,
    NoFile,
    TooLarge,
    Refused(io::Error),
}

impl From<io::Error> for Unreadable {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::NotFound => Self::Missing,
            io::ErrorKind::IsADirectory => Self::Folder,
            _ => Self::Refused(error),
        }
    }
}

impl Unreadable {
    fn finding(self, path: &Path, id: FileId, most: u64) -> Finding {
        let at = Origin::whole(id);
        let shown = path.display();
        let subject = shown.to_string();
        let missing = |message: String| missing_file::RULE.hit(at, subject.clone(), message);
        match self {
            Self::Missing => missing_path(path, at),
            Self::Folder => missing(format!("`{shown}` is a folder; expected a file")),
            Self::NoFile => {
                let finding = missing(format!("`{shown}` is a pipe or a device; expected a file"));
                finding.hint("write what comes out of it to a file, and name that")
            }
            Self::Refused(error) => missing(format!("`{shown}` cannot be read: {error}")),
            Self::TooLarge => too_large::RULE.hit(
                at,
                subject,
                format!("`{shown}` is larger than {}, the most that is read", Size(most)),
            ),
        }
    }
}

/// A number of bytes as people say it.
struct Size(u64);

impl std::fmt::Display for Size {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.0 {
            bytes if bytes >= 1_000_000 => write!(f, "{} MB", bytes / 1_000_000),
            bytes => write!(f, "{bytes} bytes"),
        }
    }
}

/// Reads at most `most` bytes; what has no size of its own (a pipe) is cut at the same limit.
fn read(path: &Path, most: u64) -> Result<Vec<u8>, Unreadable> {
    let file = File::open(path)?;
    let known = file.metadata()?;
    if known.is_dir() {
        return Err(Unreadable::Folder);
    }
    if known.len() > most {
        return Err(Unreadable::TooLarge);
    }
    let mut bytes = Vec::with_capacity(known.len() as usize + 1);
    file.take(most + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most { Err(Unreadable::TooLarge) } else { Ok(bytes) }
}

/// The finding for a file or folder that does not exist, with the nearest name beside it.
pub(super) fn missing_path(path: &Path, at: Origin) -> Finding {
    let shown = path.display();
    let finding = missing_file::RULE.hit(at, shown.to_string(), format!("`{shown}` does not exist"));
    let Some(folder) = path.parent() else { return finding };
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let Ok(entries) = std::fs::read_dir(folder) else {
        return finding.hint(format!("the folder `{}` does not exist either", folder.display()));
    };
    let mut names: Vec<String> = entries
        .take(limits::FOLDER_ENTRIES)
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .collect();
    names.sort_unstable();
    let wanted = path.file_name().unwrap_or_default().to_string_lossy();
    if let Some(near) = nearest(&wanted, names.iter().map(String::as_str)) {
        return finding.hint(format!("did you mean `{near}`, in the same folder?"));
    }
    let alike = of_one_ending(path, &names);
    if alike.is_empty() { finding } else { finding.hint(format!("that folder holds {alike}")) }
}

/// The names with the ending of a path, as a text; a folder has no ending and finds none.
fn of_one_ending(path: &Path, names: &[String]) -> String {
    const MOST: usize = 5;
    let Some(ending) = path.extension() else { return String::new() };
    let has =
        |name: &&String| Path::new(name).extension().is_some_and(|e| e.eq_ignore_ascii_case(ending));
    let found: Vec<&String> = names.iter().filter(has).collect();
    let shown: Vec<String> = found.iter().take(MOST).map(|name| format!("`{name}`")).collect();
    match found.len().saturating_sub(MOST) {
        0 => shown.join(", "),
        more => format!("{} and {more} more of that ending", shown.join(", ")),
    }
}

/// Why bytes are not text, and where.
struct NotText {
    at: usize,
    line: u32,
    column: u32,
    message: String,
    hint: &'static str,
}

const SAVE_AS_UTF_8: &str = "save the file again with the encoding UTF-8";

impl NotText {
    fn whole(message: &str, hint: &'static str) -> Self {
        Self { at: 0, line: 0, column: 0, message: message.to_string(), hint }
    }

    /// A fault at a byte up to which all is UTF-8.
    fn at(valid: &str, message: String, hint: &'static str) -> Self {
        let line_start = valid.rfind('\n').map_or(0, |at| at + 1);
        Self {
            at: valid.len(),
            line: valid.matches('\n').count() as u32 + 1,
            column: valid[line_start..].chars().count() as u32 + 1,
            message,
            hint,
        }
    }

    fn finding(self, path: &Path, id: FileId) -> Finding {
        let at =
            Origin { file: id, line: self.line, column: self.column, start: self.at as u32, length: 0 };
        encoding::RULE.hit(at, path.display().to_string(), self.message).hint(self.hint)
    }
}

/// The first bytes of files that are no text.
const SIGNATURES: [(&[u8], &str, &str); 5] = [
    (b"\xFF\xFE", "the file is UTF-16 (little-endian), not UTF-8", SAVE_AS_UTF_8),
    (b"\xFE\xFF", "the file is UTF-16 (big-endian), not UTF-8", SAVE_AS_UTF_8),
    (b"PK\x03\x04", "the file is a workbook or a zip archive, not text", "save it as CSV in UTF-8"),
    (b"\x1F\x8B", "the file is compressed (gzip), not text", "unpack it first"),
    (b"%PDF", "the file is a PDF document, not text", "export the rows as CSV in UTF-8"),
];

/// Turns bytes into text without a copy; takes a UTF-8 byte order mark off.
fn decode(bytes: Vec<u8>) -> Result<String, NotText> {
    if let Some((_, message, hint)) = SIGNATURES.iter().find(|(mark, ..)| bytes.starts_with(mark)) {
        return Err(NotText::whole(message, hint));
    }
    let mut text = String::from_utf8(bytes).map_err(|error| {
        let fault = error.utf8_error();
        let (bytes, whole) = (error.as_bytes(), fault.error_len().is_some());
        not_utf8(bytes, fault.valid_up_to(), whole)
    })?;
    if let Some(at) = text.find('\0') {
        let message = "a zero byte: the file is UTF-16 without a mark, or not text at all";
        return Err(NotText::at(&text[..at], message.to_string(), SAVE_AS_UTF_8));
    }
    if text.starts_with('\u{FEFF}') {
        text.drain(..'\u{FEFF}'.len_utf8());
    }
    Ok(text)
}

fn not_utf8(bytes: &[u8], valid: usize, whole: bool) -> NotText {
    let before = str::from_utf8(&bytes[..valid]).unwrap_or_default();
    let byte = bytes.get(valid).copied().unwrap_or_default();
    if !whole {
        let message = "the file ends in the middle of a character".to_string();
        return NotText::at(before, message, "the file may be cut off: fetch it again");
    }
    let message = match windows_1252(byte) {
        Some(meant) => {
            format!("byte 0x{byte:02X} is not UTF-8; probably Windows-1252, where it is `{meant}`")
        }
        None => format!("byte 0x{byte:02X} is not UTF-8"),
    };
    NotText::at(before, message, SAVE_AS_UTF_8)
}

/// The character of a byte in Windows-1252: Latin-1 but for 0x80 to 0x9F.
fn windows_1252(byte: u8) -> Option<char> {
    const UPPER: [char; 32] = [
        '€', '\0', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\0', 'Ž', '\0', '\0', '‘',
        '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\0', 'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9F => Some(UPPER[usize::from(byte - 0x80)]).filter(|c| *c != '\0'),
        _ => Some(char::from(byte)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder_with(name: &str, bytes: &[u8]) -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).expect("a file in it");
        (folder, path)
    }

    fn fault(bytes: &[u8]) -> Finding {
        let (_folder, path) = folder_with("plan.yaml", bytes);
        Sources::default().open(&path).expect_err("a finding")
    }

    #[test]
    fn takes_the_byte_order_mark_off_and_reads_once() {
        let (_folder, path) = folder_with("plan.yaml", "\u{FEFF}title: Ünder\n".as_bytes());
        let mut sources = Sources::default();
        let first = sources.open(&path).expect("opens");
        std::fs::write(&path, "changed").expect("writes");
        let again = sources.open(&path).expect("opens");
        assert_eq!(first, again);
        assert_eq!(&*sources.text(first), "title: Ünder\n");
    }

    #[test]
    fn names_the_byte_the_line_and_the_probable_encoding() {
        let found = fault(b"title: x\nnote: 9 \xB5m\n");
        assert_eq!(found.rule.id, "plan.encoding");
        assert_eq!((found.origin.line, found.origin.column, found.origin.start), (2, 9, 17));
        assert_eq!(found.message, "byte 0xB5 is not UTF-8; probably Windows-1252, where it is `µ`");
        let dash = fault(b"a \x96 b");
        assert!(dash.message.ends_with("where it is `–`"), "{}", dash.message);
        // 0x81 has no character in Windows-1252.
        assert_eq!(fault(b"a \x81 b").message, "byte 0x81 is not UTF-8");
    }

    #[test]
    fn knows_utf_16_workbooks_and_cut_files() {
        assert!(fault(b"\xFF\xFEt\0i\0").message.contains("UTF-16 (little-endian)"));
        assert!(fault(b"\xFE\xFF\0t\0i").message.contains("UTF-16 (big-endian)"));
        assert!(fault(b"t\0i\0t\0").message.contains("UTF-16 without a mark"));
        assert!(fault(b"PK\x03\x04....").message.contains("workbook"));
        // The first two of the three bytes of U+20AC.
        assert!(fault(b"price \xE2\x82").message.contains("middle of a character"));
    }

    #[test]
    fn a_missing_file_names_its_neighbour() {
        let (folder, _) = folder_with("drops.csv", b"from,to\n");
        let found = Sources::default().open(&folder.path().join("drop.csv")).expect_err("a finding");
        assert_eq!(found.rule.id, "plan.missing-file");
        assert!(found.message.contains("drop.csv` does not exist"), "{}", found.message);
        assert_eq!(found.hint, "did you mean `drops.csv`, in the same folder?");
        let far = Sources::default().open(&folder.path().join("kiosk.CSV")).expect_err("a finding");
        assert_eq!(far.hint, "that folder holds `drops.csv`");
        let other = Sources::default().open(&folder.path().join("kiosk.yaml")).expect_err("a finding");
        assert_eq!(other.hint, "");
        let deeper = folder.path().join("none").join("drop.csv");
        let found = Sources::default().open(&deeper).expect_err("a finding");
        assert!(found.hint.contains("none` does not exist either"), "{}", found.hint);
        let found = Sources::default().open(folder.path()).expect_err("a finding");
        assert!(found.message.contains("is a folder"), "{}", found.message);
    }

    #[test]
    fn the_limit_is_the_last_size_that_is_read() {
        let (_folder, path) = folder_with("a.csv", b"12345678");
        assert!(Sources::default().open_within(&path, 8).is_ok());
        let found = Sources::default().open_within(&path, 7).expect_err("a finding");
        assert_eq!(found.rule.id, "plan.too-large");
        assert!(found.message.contains("larger than 7 bytes"), "{}", found.message);
    }

    #[test]
    fn shows_the_line_of_an_origin() {
        let mut sources = Sources::default();
        let file = sources.add("plan.yaml", "one\ntwo: ü\r\nthree".to_string());
        let at = |line, column, start| Origin { file, line, column, start, length: 1 };
        assert_eq!(sources.line(at(2, 3, 6)), Some(("two: ü", 4)));
        assert_eq!(sources.line(Origin::line(file, 3)), Some(("three", 13)));
        assert_eq!(sources.line(Origin::line(file, 4)), None);
        assert_eq!(sources.line(Origin::whole(file)), None);
        // A place inside a character is no place.
        assert_eq!(sources.line(at(2, 7, 10)), None);
    }
}
