//! Who made the module: text fields, cleaned.

use super::bytes::View;

/// A text field of a module, cleaned: padding taken off, what cannot be printed replaced.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Identity {
    /// Who says to have made it.
    pub vendor: String,
    /// The vendor's IEEE company identifier, `00:00:5E`; empty where it is blank.
    pub vendor_oui: String,
    /// Part number.
    pub part_number: String,
    /// Revision of the part.
    pub revision: String,
    /// Serial number.
    pub serial_number: String,
    /// When it was made.
    pub date: MadeOn,
}

/// Where the identity stands in a map.
pub(super) struct Fields {
    pub vendor: (usize, usize),
    pub oui: usize,
    pub part_number: (usize, usize),
    pub revision: (usize, usize),
    pub serial_number: (usize, usize),
    pub date: usize,
}

impl Identity {
    pub(super) fn read(view: View<'_>, fields: &Fields) -> Option<Self> {
        let text = |(from, to)| view.range(from, to).map(cleaned);
        Some(Self {
            vendor: text(fields.vendor)?,
            vendor_oui: oui(view.range(fields.oui, fields.oui + 2)?),
            part_number: text(fields.part_number)?,
            revision: text(fields.revision)?,
            serial_number: text(fields.serial_number)?,
            date: MadeOn::read(view.range(fields.date, fields.date + 7)?),
        })
    }
}

/// Text of a field: padding with blanks, zeros or FFh taken off both ends; what is no printable
/// ASCII within is shown as U+FFFD.
fn cleaned(bytes: &[u8]) -> String {
    let padding = |byte: &u8| matches!(byte, 0x00 | b' ' | 0xFF);
    let from = bytes.iter().position(|byte| !padding(byte)).unwrap_or(bytes.len());
    let to = bytes.iter().rposition(|byte| !padding(byte)).map_or(from, |last| last + 1);
    let shown = |byte: &u8| if matches!(byte, b' '..=b'~') { char::from(*byte) } else { '\u{fffd}' };
    bytes[from..to].iter().map(shown).collect()
}

fn oui(bytes: &[u8]) -> String {
    if super::bytes::is_blank(bytes.iter().copied()) {
        return String::new();
    }
    bytes.iter().map(|byte| format!("{byte:02X}")).collect::<Vec<_>>().join(":")
}

/// The date code: six digits YYMMDD and up to two characters of the maker's own lot.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MadeOn {
    /// The whole field, cleaned.
    pub text: String,
    /// Year, month and day, where the digits are a date. Years count from 2000.
    pub date: Option<(u16, u8, u8)>,
    /// The lot; empty where there is none.
    pub lot: String,
}

impl MadeOn {
    fn read(bytes: &[u8]) -> Self {
        let pair = |at: usize| -> Option<u8> {
            let digits = bytes.get(at..at + 2)?;
            digits
                .iter()
                .try_fold(0, |number, byte| byte.is_ascii_digit().then(|| number * 10 + (byte - b'0')))
        };
        let date = pair(0).zip(pair(2)).zip(pair(4)).and_then(|((year, month), day)| {
            let days = match month {
                2 => 29,
                4 | 6 | 9 | 11 => 30,
                _ => 31,
            };
            let known = (1..=12).contains(&month) && (1..=days).contains(&day);
            known.then_some((2000 + u16::from(year), month, day))
        });
        let lot = bytes.get(6..).map(cleaned).unwrap_or_default();
        Self { text: cleaned(bytes), date, lot }
    }
}

impl std::fmt::Display for MadeOn {
    /// `2023-11-07, lot 02`, or the field as written where it holds no date.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Some((year, month, day)) = self.date else { return write!(f, "{}", self.text) };
        write!(f, "{year}-{month:02}-{day:02}")?;
        if self.lot.is_empty() { Ok(()) } else { write!(f, ", lot {}", self.lot) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_cleaned() {
        assert_eq!(cleaned(b"EX-10G-LR   \0\xFF"), "EX-10G-LR");
        assert_eq!(cleaned(b"A\x1b[2J\xE9 B"), "A\u{fffd}[2J\u{fffd} B");
        assert_eq!(cleaned(b"\0\0  "), "");
    }

    #[test]
    fn a_date_is_only_what_can_be_one() {
        let made = |field: &[u8]| MadeOn::read(field);
        assert_eq!(made(b"23110702").to_string(), "2023-11-07, lot 02");
        assert_eq!(made(b"240315  ").to_string(), "2024-03-15");
        assert_eq!(made(b"241315  ").date, None);
        assert_eq!(made(b"240230  ").date, None);
        assert_eq!(made(b"241315  ").to_string(), "241315");
        assert_eq!(made(b"").to_string(), "");
    }
}
