//! The one writer to the terminal: standard output for results, standard error for messages. Nothing else
//! prints.
//!
//! Whoever reads a result may stop reading (`… | head`): what is left is then dropped, and the exit code
//! stays the verdict's. Whatever else keeps a result from being written, a full disk, is a failure. A message
//! that cannot be told is dropped: the exit code still says it. Text that is not the program's own is told
//! without control characters, which a terminal would obey.

use std::io::{self, BufWriter, Write};

use super::exit::Failure;
use crate::report::grid::visible_lines;

/// Standard output; deaf once its reader has gone.
pub(super) struct Results {
    gone: bool,
}

impl Results {
    /// The writer of results, with a buffer.
    pub(super) fn buffered() -> BufWriter<Self> {
        BufWriter::new(Self { gone: false })
    }

    /// What was done, or nothing for ever once the reader has gone.
    fn unless_gone<T>(&mut self, done: io::Result<T>, instead: T) -> io::Result<T> {
        match done {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {
                self.gone = true;
                Ok(instead)
            }
            done => done,
        }
    }
}

impl Write for Results {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.gone {
            return Ok(bytes.len());
        }
        let written = io::stdout().lock().write(bytes);
        self.unless_gone(written, bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.gone {
            return Ok(());
        }
        let flushed = io::stdout().lock().flush();
        self.unless_gone(flushed, ())
    }
}

/// Writes a result to standard output.
pub(super) fn print(body: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<(), Failure> {
    let mut out = Results::buffered();
    body(&mut out)
        .and_then(|()| out.flush())
        .map_err(Failure::io("writing the result to standard output"))
}

/// Says on standard output what was done.
pub(super) fn tell(text: &str) -> Result<(), Failure> {
    print(|out| writeln!(out, "{}", visible_lines(text)))
}

/// Says something on standard error, as it is: text that is drawn already.
pub(super) fn warn(drawn: &str) {
    // Nobody is left who could be told that it failed.
    let _ = io::stderr().lock().write_all(drawn.as_bytes());
}

/// Says something on standard error.
pub(super) fn complain(text: &str) {
    warn(&visible_lines(text));
}
