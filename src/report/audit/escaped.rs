//! JSON without raw control characters. JSON itself asks for the escape of those below U+0020 only; a
//! terminal obeys U+0080 to U+009F too, and cells hold whatever somebody typed.

use std::io::{self, Write};

/// First byte in UTF-8 of U+0080 to U+00BF.
const LEAD: u8 = 0xC2;

/// A writer of JSON that escapes the rest of the control characters; they stand in strings alone.
pub(super) struct Escaped<W> {
    out: W,
    /// Whether the last byte was one that may begin a control character.
    lead: bool,
}

impl<W: Write> Escaped<W> {
    pub(super) fn new(out: W) -> Self {
        Self { out, lead: false }
    }
}

impl<W: Write> Write for Escaped<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut from = 0;
        for (at, byte) in bytes.iter().enumerate() {
            if self.lead {
                self.lead = false;
                if matches!(byte, 0x80..=0x9F) {
                    write!(self.out, "\\u{byte:04x}")?;
                    from = at + 1;
                } else {
                    self.out.write_all(&[LEAD])?;
                }
            } else if *byte == LEAD || *byte == 0x7F {
                self.out.write_all(&bytes[from..at])?;
                from = at + 1;
                self.lead = *byte == LEAD;
                if !self.lead {
                    self.out.write_all(b"\\u007f")?;
                }
            }
        }
        self.out.write_all(&bytes[from..])?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_control_characters_change_wherever_the_pieces_are_cut() {
        let text = "\"a\u{9b}2J\u{7f}µ\u{80}é\u{9f}\u{a0}漢\"";
        for cut in 0..text.len() {
            let mut out = Vec::new();
            let mut escaped = Escaped::new(&mut out);
            escaped.write_all(&text.as_bytes()[..cut]).expect("written");
            escaped.write_all(&text.as_bytes()[cut..]).expect("written");
            let out = String::from_utf8(out).expect("UTF-8");
            assert_eq!(out, "\"a\\u009b2J\\u007fµ\\u0080é\\u009f\u{a0}漢\"", "cut at {cut}");
            let read: String = serde_json::from_str(&out).expect("JSON");
            assert_eq!(format!("\"{read}\""), text);
        }
    }
}
