//! Days as they are written, as a number of days from 2000-01-01.

use super::damage::month_number;

/// The day count of 2000-01-01 in a spreadsheet (day 1 is 1900-01-01, with the leap day that was not).
pub const SHEET_DAY_OF_2000: i64 = 36_526;

/// How a written day was understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Day {
    /// A day, from 2000-01-01.
    At(i64),
    /// Day and month can be exchanged.
    Unclear,
    /// Not a day.
    No,
}

/// Reads a day: `2021-05-03`, `03.05.2021` (day first), `3-May-21`, `44319` (day count of a
/// spreadsheet), `5/13/2021` where only one order is possible.
pub fn read(written: &str) -> Day {
    let text = written.trim();
    if text.len() == 5 && text.bytes().all(|b| b.is_ascii_digit()) {
        let count: i64 = text.parse().unwrap_or(0);
        return if (30_000..=80_000).contains(&count) {
            Day::At(count - SHEET_DAY_OF_2000)
        } else {
            Day::No
        };
    }
    let day_part = text.split([' ', 'T']).next().unwrap_or(text);
    let parts: Vec<&str> = day_part.split(['-', '/', '.']).collect();
    let [a, b, c] = parts.as_slice() else { return Day::No };
    if let Some(month) = month_number(b) {
        return at(number(c).map(full_year), Some(month), number(a));
    }
    let (Some(x), Some(y), Some(z)) = (number(a), number(b), number(c)) else { return Day::No };
    if a.len() == 4 {
        return at(Some(x), Some(y), Some(z));
    }
    let year = Some(full_year(z));
    if day_part.contains('.') {
        return at(year, Some(y), Some(x));
    }
    match (x > 12, y > 12) {
        (true, false) => at(year, Some(y), Some(x)),
        (false, true) => at(year, Some(x), Some(y)),
        (false, false) if x == y => at(year, Some(x), Some(y)),
        (false, false) => Day::Unclear,
        (true, true) => Day::No,
    }
}

/// Reads `2021-05-03` and nothing else, fast.
pub fn plain(written: &[u8]) -> Option<i64> {
    let [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = written else { return None };
    let digits = |list: &[&u8]| {
        list.iter()
            .try_fold(0, |sum, byte| byte.is_ascii_digit().then(|| sum * 10 + u32::from(**byte - b'0')))
    };
    match at(digits(&[y1, y2, y3, y4]), digits(&[m1, m2]), digits(&[d1, d2])) {
        Day::At(days) => Some(days),
        _ => None,
    }
}

fn number(text: &str) -> Option<u32> {
    text.parse().ok()
}

fn full_year(year: u32) -> u32 {
    if year < 100 { 2000 + year } else { year }
}

fn at(year: Option<u32>, month: Option<u32>, day: Option<u32>) -> Day {
    match (year, month, day) {
        (Some(year), Some(month), Some(day))
            if (1900..2200).contains(&year)
                && (1..=12).contains(&month)
                && (1..=days_of(year, month)).contains(&day) =>
        {
            Day::At(from_civil(year, month, day))
        }
        _ => Day::No,
    }
}

/// Days of a month of the Gregorian calendar; `month` from 1 to 12.
fn days_of(year: u32, month: u32) -> u32 {
    match month {
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days from 2000-01-01 in the Gregorian calendar.
fn from_civil(year: u32, month: u32, day: u32) -> i64 {
    // Counted from March, so that the leap day comes last.
    let (year, month) =
        if month <= 2 { (i64::from(year) - 1, month + 9) } else { (i64::from(year), month - 3) };
    let in_year = (153 * i64::from(month) + 2) / 5 + i64::from(day) - 1;
    year * 365 + year / 4 - year / 100 + year / 400 + in_year - DAYS_TO_2000
}

/// Days from 0000-03-01 to 2000-01-01.
const DAYS_TO_2000: i64 = 730_425;

/// Year, month, day of a number of days from 2000-01-01.
pub fn civil(days: i64) -> (u32, u32, u32) {
    let from_march = days + DAYS_TO_2000;
    let era = from_march.div_euclid(146_097);
    let of_era = from_march.rem_euclid(146_097);
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let (month, carry) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
    ((year + era * 400 + carry) as u32, month as u32, day as u32)
}

/// A day as `2021-05-03`.
pub fn written(days: i64) -> String {
    let (year, month, day) = civil(days);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2000-02-29 was a leap day; 2021-05-03 is day count 44319 of a spreadsheet (common practice).
    #[test]
    fn days_are_counted_right() {
        assert_eq!(read("2000-01-01"), Day::At(0));
        assert_eq!(read("2000-03-01"), Day::At(60));
        assert_eq!(read("2021-05-03"), read("44319"));
        assert_eq!(read("03.05.2021"), read("3-May-21"));
        assert_eq!(read("5/13/2021"), read("2021-05-13"));
        assert_eq!(read("5/6/2021"), Day::Unclear);
        assert_eq!(read("2021-02-30"), Day::No);
        assert_eq!(written(7_793), "2021-05-03");
        assert_eq!(plain(b"2021-05-03"), Some(7_793));
        assert_eq!(plain(b"2021-02-30"), None);
        assert_eq!(plain(b"2021/05/03"), None);
        for (written, is_day) in [("1900-02-29", false), ("2000-02-29", true), ("2024-02-29", true)] {
            assert_eq!(plain(written.as_bytes()).is_some(), is_day, "{written}");
        }
        for days in [-40_000, -1, 0, 58, 59, 60, 36_524, 60_000] {
            let (year, month, day) = civil(days);
            assert_eq!(from_civil(year, month, day), days);
        }
    }
}
