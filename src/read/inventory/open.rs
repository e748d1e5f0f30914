//! Opening: files, standard input, gzip, UTF-16, workbooks. What cannot be read again at any place is
//! copied to a temporary file first.

use std::fs::File;
use std::io::{self, BufReader, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::Path;
use std::time::SystemTime;

use flate2::read::MultiGzDecoder;

use super::workbook;
use super::{Trouble, fields};
use crate::check::Finding;
use crate::check::plan_rules::{encoding, missing_file, too_large};
use crate::place::{FileId, Origin};
use crate::read::limits;
use crate::read::sources::{Sources, missing_path};

/// An input that can be read again at any place: UTF-8, or at least with ASCII marks.
#[derive(Debug)]
pub struct Opened {
    /// Its name in findings.
    pub name: String,
    /// Its number.
    pub file_id: FileId,
    /// The file, or a temporary one that vanishes with it.
    pub file: File,
    /// Bytes before the first line (a byte order mark).
    pub start: u64,
    /// Bytes.
    pub length: u64,
    /// When it was last written, where the system tells.
    pub modified: Option<SystemTime>,
    /// What had to be done to it, in words; empty for nothing.
    pub dress: String,
    /// The first cell of a sheet that lies too far out to belong to its table, in words.
    pub far: Option<String>,
}

impl Opened {
    /// Whether the input is still the one that was opened: rows that findings speak of are read again,
    /// and a file that changes meanwhile would give one row's fault another row's words.
    ///
    /// # Errors
    /// Its length or its time of writing is another one.
    pub fn is_unchanged(&self) -> Result<(), Trouble> {
        let meta = self.file.metadata().map_err(Trouble::io(format!("reading {} again", self.name)))?;
        if meta.len() == self.length && meta.modified().ok() == self.modified {
            return Ok(());
        }
        Err(self.has_changed())
    }

    /// Whether it is a sheet of a workbook: its cells are parted by no mark that anybody wrote.
    pub fn is_sheet(&self) -> bool {
        self.dress == workbook::DRESS
    }

    /// The trouble of a file that changed while it was read.
    pub(super) fn has_changed(&self) -> Trouble {
        let text = "the file changed while it was read; run again when nobody writes it any more";
        Trouble::io(format!("reading {} again", self.name))(io::Error::other(text))
    }
}

/// Bytes that are looked at to tell what a file is.
const SAMPLE: usize = 1 << 16;

/// Opens one input; a workbook gives one for each sheet. `-` is standard input.
///
/// # Errors
/// The input is missing, is no text, or cannot be read or copied.
pub(super) fn open(path: &Path, sources: &mut Sources) -> Result<Vec<Opened>, Trouble> {
    let name = shown(path);
    let file_id = sources.add(&name, String::new());
    if path.as_os_str() == "-" {
        let spool = copy(&mut io::stdin().lock(), "standard input")?;
        return dressed(spool, name, file_id, String::new(), sources);
    }
    let file = File::open(path).map_err(|error| not_there(path, file_id, &error))?;
    let meta = file.metadata().map_err(Trouble::io(format!("reading {name}")))?;
    if meta.is_dir() {
        let message = format!("`{name}` is a folder; expected a file");
        return Err(missing_file::RULE.hit(Origin::whole(file_id), &name, message).into());
    }
    if !meta.is_file() {
        let spool = copy(&mut BufReader::new(file), &name)?;
        return dressed(spool, name, file_id, String::new(), sources);
    }
    dressed(file, name, file_id, String::new(), sources)
}

/// The name of an input in findings.
pub(super) fn shown(path: &Path) -> String {
    if path.as_os_str() == "-" { "standard input".to_string() } else { path.display().to_string() }
}

fn not_there(path: &Path, id: FileId, error: &io::Error) -> Trouble {
    let at = Origin::whole(id);
    if error.kind() == io::ErrorKind::NotFound {
        let message = format!("no inventory of ports at `{}`: it does not exist", path.display());
        return Finding { message, ..missing_path(path, at) }.into();
    }
    let shown = path.display().to_string();
    let message = format!("`{shown}` cannot be read: {error}");
    missing_file::RULE.hit(at, shown, message).into()
}

/// Takes off what lies around the text: compression, a workbook, UTF-16.
fn dressed(
    mut file: File,
    name: String,
    file_id: FileId,
    dress: String,
    sources: &mut Sources,
) -> Result<Vec<Opened>, Trouble> {
    let sample = head(&mut file).map_err(Trouble::io(format!("reading {name}")))?;
    let with = |more: &str| if dress.is_empty() { more.to_string() } else { format!("{dress}, {more}") };
    if sample.starts_with(b"\x1F\x8B") && !dress.contains("gzip") {
        let spool = unpacked(file, &name, file_id)?;
        return dressed(spool, name, file_id, with("gzip"), sources);
    }
    if sample.starts_with(b"PK\x03\x04") {
        return workbook::open(file, &name, file_id, sources);
    }
    if let Some(encoding) = sixteen(&sample) {
        let spool = narrow(&mut BufReader::new(file), encoding, &name)?;
        return dressed(spool, name, file_id, with("UTF-16"), sources);
    }
    if let Some((at, message, hint)) = no_text(&sample) {
        let origin = match at {
            0 => Origin::whole(file_id),
            at => Origin::line(file_id, fields::lines(&sample[..at]) as u32 + 1),
        };
        return Err(encoding::RULE.hit(origin, &name, message).hint(hint).into());
    }
    if fields::has_only_returns(&sample) {
        let spool = line_feeds(&mut BufReader::new(file), &name)?;
        return dressed(spool, name, file_id, with("lines end with CR"), sources);
    }
    let start = if sample.starts_with(b"\xEF\xBB\xBF") { 3 } else { 0 };
    let meta = file.metadata().map_err(Trouble::io(format!("reading {name}")))?;
    let (length, modified) = (meta.len(), meta.modified().ok());
    Ok(vec![Opened { name, file_id, file, start, length, modified, dress, far: None }])
}

fn head(file: &mut File) -> io::Result<Vec<u8>> {
    let mut sample = Vec::new();
    Read::by_ref(file).take(SAMPLE as u64).read_to_end(&mut sample)?;
    file.seek(SeekFrom::Start(0))?;
    Ok(sample)
}

/// UTF-16 by its mark, or by every other byte being zero.
fn sixteen(sample: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    if sample.starts_with(b"\xFF\xFE") {
        return Some(encoding_rs::UTF_16LE);
    }
    if sample.starts_with(b"\xFE\xFF") {
        return Some(encoding_rs::UTF_16BE);
    }
    let zeros = |odd: usize| sample.iter().skip(odd).step_by(2).filter(|b| **b == 0).count();
    let half = sample.len() / 2;
    if half < 4 {
        return None;
    }
    let (even, odd) = (zeros(0), zeros(1));
    match (even * 10 >= half * 7, odd * 10 >= half * 7) {
        (false, true) => Some(encoding_rs::UTF_16LE),
        (true, false) => Some(encoding_rs::UTF_16BE),
        _ => None,
    }
}

/// Why bytes are no text: the byte at which it shows, what they are, what helps.
fn no_text(sample: &[u8]) -> Option<(usize, String, &'static str)> {
    let whole = |message: &str, hint| Some((0, message.to_string(), hint));
    if sample.starts_with(b"\xD0\xCF\x11\xE0") {
        return whole("the file is a workbook of the old binary form", "save it as .xlsx or as CSV");
    }
    if sample.starts_with(b"%PDF") {
        return whole("the file is a PDF document, not text", "export the rows as CSV");
    }
    let at = memchr::memchr(0, sample)?;
    let line = fields::lines(&sample[..at]) + 1;
    let message = format!("a zero byte in line {line}: the file is not text");
    Some((at, message, "export the rows as CSV in UTF-8"))
}

/// Unpacks gzip.
fn unpacked(file: File, name: &str, id: FileId) -> Result<File, Trouble> {
    use io::ErrorKind::{InvalidData, InvalidInput, UnexpectedEof};
    match copy(&mut MultiGzDecoder::new(BufReader::new(file)), name) {
        Err(Trouble::Io { error, .. })
            if matches!(error.kind(), InvalidData | InvalidInput | UnexpectedEof) =>
        {
            let cut = error.kind() == UnexpectedEof;
            let how = if cut { "it ends too early" } else { "its bytes are damaged" };
            let message = format!("`{name}` is compressed (gzip) and cannot be unpacked: {how}");
            let hint = "fetch the file again, or give the unpacked rows";
            Err(encoding::RULE.hit(Origin::whole(id), name, message).hint(hint).into())
        }
        other => other,
    }
}

/// An unnamed temporary file.
pub(super) fn spool() -> Result<BufWriter<File>, Trouble> {
    tempfile::tempfile().map(BufWriter::new).map_err(Trouble::temporary("making"))
}

/// The file of a spool, at its beginning.
pub(super) fn finish(spool: BufWriter<File>) -> Result<File, Trouble> {
    let mut file =
        spool.into_inner().map_err(|error| Trouble::temporary("writing")(error.into_error()))?;
    file.seek(SeekFrom::Start(0)).map_err(Trouble::temporary("writing"))?;
    Ok(file)
}

/// Copies what can be read only once.
fn copy(input: &mut dyn Read, name: &str) -> Result<File, Trouble> {
    spooled(input, name, limits::SPOOL_BYTES, |_| ())
}

/// Copies at most `most` bytes of the input; `change` may exchange bytes on the way.
fn spooled(
    input: &mut dyn Read,
    name: &str,
    most: u64,
    change: impl Fn(&mut [u8]),
) -> Result<File, Trouble> {
    let mut spool = spool()?;
    let mut buffer = vec![0; SAMPLE];
    let mut copied = 0;
    loop {
        let count = read_some(input, &mut buffer).map_err(Trouble::io(format!("reading {name}")))?;
        if count == 0 {
            return finish(spool);
        }
        copied += count as u64;
        if copied > most {
            return Err(too_much(name, most));
        }
        change(&mut buffer[..count]);
        spool.write_all(&buffer[..count]).map_err(Trouble::temporary("writing"))?;
    }
}

/// An input without a size of its own, or one that grows when it is unpacked, has a limit of its own: it
/// would fill the disk.
fn too_much(name: &str, most: u64) -> Trouble {
    let most = most as f64 / 1e9;
    let message = format!("{name} holds more than {most:.0} GB, the most that is copied or unpacked");
    let hint = "unpack it yourself, and give the file: a plain file of CSV has no such limit";
    too_large::RULE.hit(Origin::COMMAND_LINE, name, message).hint(hint).into()
}

fn read_some(input: &mut dyn Read, buffer: &mut [u8]) -> io::Result<usize> {
    loop {
        match input.read(buffer) {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            done => return done,
        }
    }
}

/// UTF-16 to UTF-8.
fn narrow(
    input: &mut dyn Read,
    encoding: &'static encoding_rs::Encoding,
    name: &str,
) -> Result<File, Trouble> {
    let mut decoder = encoding.new_decoder_with_bom_removal();
    let mut spool = spool()?;
    let (mut buffer, mut text) = (vec![0; SAMPLE], String::with_capacity(2 * SAMPLE));
    loop {
        let count = read_some(input, &mut buffer).map_err(Trouble::io(format!("reading {name}")))?;
        let mut from = 0;
        loop {
            text.clear();
            let (result, used, _) =
                decoder.decode_to_string(&buffer[from..count], &mut text, count == 0);
            from += used;
            spool.write_all(text.as_bytes()).map_err(Trouble::temporary("writing"))?;
            if result == encoding_rs::CoderResult::InputEmpty {
                break;
            }
        }
        if count == 0 {
            return finish(spool);
        }
    }
}

/// CR to LF.
fn line_feeds(input: &mut dyn Read, name: &str) -> Result<File, Trouble> {
    spooled(input, name, limits::SPOOL_BYTES, |bytes| {
        bytes.iter_mut().filter(|byte| **byte == b'\r').for_each(|byte| *byte = b'\n');
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What ended a reading: the rule that was hit and its message.
    fn refused(read: Result<File, Trouble>) -> (String, String) {
        match read {
            Err(Trouble::Input(findings)) => {
                let [finding] = findings.as_slice() else { panic!("{findings:?}") };
                (finding.rule.id.to_string(), finding.message.clone())
            }
            Err(Trouble::Io { doing, error }) => panic!("{doing}: {error}"),
            Ok(_) => panic!("nothing was refused"),
        }
    }

    const MOST: u64 = 3_000_000_000;

    /// An input that never ends is read to the limit and no further.
    #[test]
    fn an_endless_input_is_refused_at_the_limit() {
        for most in [0, 1, 65_536, 1_000_000] {
            let read = std::cell::Cell::new(0_u64);
            let mut endless = io::repeat(b'x');
            let mut counted = Counted { input: &mut endless, read: &read };
            let (rule, _) = refused(spooled(&mut counted, "standard input", most, |_| ()));
            assert_eq!(rule, "plan.too-large");
            assert!(read.get() > most && read.get() <= most + SAMPLE as u64, "{most}: {}", read.get());
        }
    }

    /// Ten million bytes in ten thousand: what counts is what comes out.
    #[test]
    fn a_packed_input_is_measured_unpacked() {
        let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
        packer.write_all(&vec![b'x'; 10_000_000]).expect("bytes");
        let packed = packer.finish().expect("bytes");
        assert!(packed.len() < 20_000);
        let unpack = |most| spooled(&mut MultiGzDecoder::new(packed.as_slice()), "x.gz", most, |_| ());
        let whole = unpack(10_000_000).expect("a file");
        assert_eq!(whole.metadata().expect("a file").len(), 10_000_000);
        assert_eq!(refused(unpack(9_999_999)).0, "plan.too-large");
    }

    #[test]
    fn the_limit_is_told() {
        let (_, message) = refused(Err(too_much("standard input", MOST)));
        assert_eq!(message, "standard input holds more than 3 GB, the most that is copied or unpacked");
    }

    struct Counted<'a> {
        input: &'a mut dyn Read,
        read: &'a std::cell::Cell<u64>,
    }

    impl Read for Counted<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.input.read(buffer)?;
            self.read.set(self.read.get() + count as u64);
            Ok(count)
        }
    }
}
