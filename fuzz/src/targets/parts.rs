//! Inputs of several files in one run of bytes: a line `%%% name` begins the next file.

use std::path::PathBuf;

const MARK: &[u8] = b"%%% ";
/// Files of one input.
const MOST: usize = 8;

/// The files of an input: name and bytes. What stands before the first mark has the given name.
pub(super) fn parts<'d>(data: &'d [u8], first: &str) -> Vec<(String, &'d [u8])> {
    let mut parts = vec![(first.to_string(), 0, data.len())];
    let mut at = 0;
    for line in data.split_inclusive(|byte| *byte == b'\n') {
        if line.starts_with(MARK) && parts.len() < MOST {
            let name = harmless(&line[MARK.len()..]);
            if let Some(last) = parts.last_mut() {
                last.2 = at;
            }
            parts.push((name, at + line.len(), data.len()));
        }
        at += line.len();
    }
    let bytes = |(name, from, to): (String, usize, usize)| (name, &data[from.min(to)..to]);
    parts.into_iter().map(bytes).collect()
}

/// A name that stays in the folder.
fn harmless(name: &[u8]) -> String {
    let kept = |byte: &&u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'-' | b'_');
    let name: String = name.iter().filter(kept).take(40).map(|byte| char::from(*byte)).collect();
    let name = name.trim_start_matches('.').to_string();
    if name.is_empty() { "part".to_string() } else { name }
}

/// A folder with the files of an input.
pub(super) struct Folder(tempfile::TempDir);

impl Folder {
    pub(super) fn with(parts: &[(String, &[u8])]) -> Self {
        let folder = Self(tempfile::tempdir().expect("a folder"));
        for (name, bytes) in parts {
            std::fs::write(folder.at(name), bytes).expect("a file");
        }
        folder
    }

    pub(super) fn at(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }
}

/// Whether a range asks for so many names that its cost, though within the limits, would hold up a campaign.
pub(super) fn asks_for_many(data: &[u8]) -> bool {
    const DIGITS: usize = 5;
    let ends = |sign: &[u8]| {
        data.windows(sign.len() + DIGITS)
            .any(|run| run.starts_with(sign) && run[sign.len()..].iter().all(u8::is_ascii_digit))
    };
    ends(b"..") || ends(b"-")
}
