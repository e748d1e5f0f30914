//! Identifiers that a spreadsheet took for a date or a number.
//!
//! `1/1/3` becomes `2003-01-01`, `1-12` becomes `12-Jan`, a long serial number `1.23457E+15`. A date
//! can stand for several names; which one is decided only where the far end says it.

/// The names that a damaged port may have had, in normal form; empty when it is not damaged or
/// nothing can be told.
pub fn candidates(written: &str) -> Option<Vec<String>> {
    let text = written.trim();
    if is_exponent(text) {
        return Some(Vec::new());
    }
    if let Some(days) = sheet_day(text) {
        let (year, month, day) = super::date::civil(days);
        return Some(full(year, month, day));
    }
    // `04. Jan` is written as `4.Jan`: a blank parts a day from its month only behind a point.
    let joined = text.replace(". ", ".");
    let day_part = joined.split(' ').next().unwrap_or(&joined).trim_end_matches('.');
    let day_part = day_part.split_once("T0").map_or(day_part, |(day, _)| day);
    let parts: Vec<&str> = day_part.split(['-', '/', '.']).collect();
    match parts.as_slice() {
        [year, month, day] if is_year(year) => {
            Some(full(year.parse().ok()?, within(month, 12)?, within(day, 31)?))
        }
        [a, b, year] if is_year(year) => {
            let (a, b, year) = (within(a, 31)?, within(b, 31)?, year.parse().ok()?);
            Some(full(year, a, b))
        }
        [day, month, year] => {
            let month = month_number(month)?;
            let year: u32 = year.parse().ok()?;
            Some(full(year % 100 + 2000, month, within(day, 31)?))
        }
        [a, b] => {
            let (month, number) = match (month_number(a), month_number(b)) {
                (Some(month), None) => (month, b.parse::<u32>().ok()?),
                (None, Some(month)) => (month, a.parse::<u32>().ok()?),
                _ => return None,
            };
            Some(distinct(vec![format!("{month}/{number}"), format!("{number}/{month}")]))
        }
        _ => None,
    }
}

/// A number in powers of ten: the digits that made the difference are gone.
pub fn is_exponent(text: &str) -> bool {
    let Some((mantissa, exponent)) = text.split_once(['e', 'E']) else { return false };
    let Some(exponent) = exponent.strip_prefix('+') else { return false };
    !exponent.is_empty()
        && exponent.bytes().all(|b| b.is_ascii_digit())
        && mantissa.bytes().any(|b| b.is_ascii_digit())
        && mantissa.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b',')
}

/// Whether an identifier may be damaged: a quick look that most identifiers fail.
pub fn may_be_damaged(written: &[u8]) -> bool {
    if written.len() < 4 {
        return false;
    }
    if written.len() == 5 && written.iter().all(u8::is_ascii_digit) {
        return true;
    }
    let (mut digits, mut letters, mut before) = (0, 0, 0);
    written.iter().enumerate().any(|(at, byte)| {
        digits = if byte.is_ascii_digit() { digits + 1 } else { 0 };
        letters = if is_of_a_month(*byte) { letters + 1 } else { 0 };
        let exponent = *byte == b'+' && before | 32 == b'e';
        before = *byte;
        digits >= 4 || exponent || (letters >= 3 && month_bytes(&written[at - 2..=at]))
    })
}

/// Whether a letter stands in the short name of a month.
fn is_of_a_month(byte: u8) -> bool {
    let byte = byte | 32;
    byte.is_ascii_lowercase() && !matches!(byte, b'h' | b'i' | b'k' | b'q' | b'w' | b'x' | b'z')
}

fn month_bytes(bytes: &[u8]) -> bool {
    str::from_utf8(bytes).is_ok_and(|text| month_number(text).is_some())
}

/// The day count of a spreadsheet for the years 1990 to 2060, as days from 2000-01-01.
fn sheet_day(text: &str) -> Option<i64> {
    if text.len() != 5 || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let count: i64 = text.parse().ok()?;
    (32_874..=58_804).contains(&count).then_some(count - super::date::SHEET_DAY_OF_2000)
}

/// A four-digit year that a two-digit number becomes.
fn is_year(text: &str) -> bool {
    text.len() == 4 && text.parse().is_ok_and(|year: u32| (1930..2030).contains(&year))
}

fn within(text: &str, most: u32) -> Option<u32> {
    text.parse().ok().filter(|number| (1..=most).contains(number))
}

/// The number of a month's English abbreviation.
pub fn month_number(text: &str) -> Option<u32> {
    const NAMES: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let name = text.trim();
    let found = NAMES.iter().position(|month| name.eq_ignore_ascii_case(month))?;
    Some(found as u32 + 1)
}

/// The first year in which a name of two numbers may have been typed that is in use now: such a name
/// becomes a date of the year in which it is typed (common practice).
const TYPED_FROM: u32 = 2010;

/// The three ways in which people write a date of three numbers, and both ways of two numbers that became
/// a date of the year in which they were typed.
fn full(year: u32, month: u32, day: u32) -> Vec<String> {
    let short = year % 100;
    let mut names = vec![
        format!("{month}/{day}/{short}"),
        format!("{day}/{month}/{short}"),
        format!("{short}/{month}/{day}"),
    ];
    if year >= TYPED_FROM {
        names.extend([format!("{month}/{day}"), format!("{day}/{month}")]);
    }
    distinct(names)
}

fn distinct(mut names: Vec<String>) -> Vec<String> {
    names.sort_unstable();
    names.dedup();
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a spreadsheet makes of `1/1/3` (common practice: month or day first, or a day count).
    #[test]
    fn a_port_that_became_a_date() {
        for written in ["2003-01-01", "1-Jan-03", "37622", "01/01/2003", "2003-01-01 00:00:00"] {
            assert!(may_be_damaged(written.as_bytes()), "{written}");
            let names = candidates(written).expect(written);
            assert!(names.contains(&"1/1/3".to_string()), "{written}: {names:?}");
        }
        assert_eq!(candidates("12-Jan"), Some(vec!["1/12".to_string(), "12/1".to_string()]));
        assert_eq!(candidates("1.23457E+15"), Some(vec![]));
    }

    /// What a spreadsheet with points between day and month makes of `4/1` (common practice).
    #[test]
    fn a_day_with_a_point() {
        for written in ["04. Jan", "4. Jan.", "4.Jan", "04-JAN", "4-OCT"] {
            assert!(may_be_damaged(written.as_bytes()), "{written}");
            let month = if written.contains("OCT") { 10 } else { 1 };
            let names = vec![format!("{month}/4"), format!("4/{month}")];
            assert_eq!(candidates(written), Some(names), "{written}");
        }
    }

    /// `1/5` typed in 2026 is the first of May or the fifth of January of 2026 (common practice).
    #[test]
    fn two_numbers_that_became_a_date_of_their_year() {
        for written in
            ["01.05.2026", "2026-05-01", "2026-01-05", "46027", "5-Jan-26", "2026-01-05 00:00:00"]
        {
            let names = candidates(written).expect(written);
            for name in ["1/5", "5/1"] {
                assert!(names.contains(&name.to_string()), "{written}: {names:?}");
            }
            assert!(names.iter().any(|name| name.ends_with("/26")), "{written}: {names:?}");
        }
        // In 2003 nobody typed a name of today.
        assert!(!candidates("2003-01-01").expect("a date").contains(&"1/1".to_string()));
    }

    #[test]
    fn every_month_is_seen_at_a_glance() {
        for month in ["Jan", "feb", "MAR", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
        {
            assert!(may_be_damaged(format!("12-{month}").as_bytes()), "{month}");
        }
    }

    #[test]
    fn sound_names_are_left_alone() {
        for name in ["1/1/3", "eth-1/0/2", "PON 3", "0/0/1", "12", "xe-0/0/1", "1/1/12"] {
            assert!(
                !may_be_damaged(name.as_bytes()) || candidates(name).is_none(),
                "{name}: {:?}",
                candidates(name)
            );
        }
    }
}
