//! Names with ranges: `home-[001-032]` stands for thirty-two names.
//!
//! Several ranges in one name are nested, the last one running fastest. Numbers are padded to the
//! width they are written with. Nothing is expanded in memory: names come one at a time.

use crate::read::limits;

/// Why a name with brackets was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum RangeError {
    #[error("`[` is not closed by `]`")]
    NotClosed,
    #[error("`]` stands without `[` before it")]
    NotOpened,
    #[error("`[{0}]` is not a range of whole numbers such as `[1-32]` or `[001-032]`")]
    NotNumbers(String),
    #[error("`[{low}-{high}]` runs downwards; write it upwards")]
    Downwards { low: String, high: String },
    #[error("`[{low}-{high}]`: both ends must be written with the same number of digits")]
    UnevenWidth { low: String, high: String },
    #[error("it stands for more than {} names", limits::RANGE_NAMES)]
    TooMany,
}

/// Whether a name has brackets, so that it may stand for several.
pub(super) fn has_range(written: &str) -> bool {
    written.bytes().any(|byte| matches!(byte, b'[' | b']'))
}

/// A name with its ranges taken apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pattern {
    parts: Vec<Part>,
    count: u64,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Part {
    Text(String),
    Range { low: u64, high: u64, width: usize },
}

impl Pattern {
    /// Takes a written name apart; a name without brackets stands for itself.
    pub(super) fn parse(written: &str) -> Result<Self, RangeError> {
        let mut parts = Vec::new();
        let mut count: u64 = 1;
        let mut rest = written;
        while let Some(open) = rest.find(['[', ']']) {
            if rest[open..].starts_with(']') {
                return Err(RangeError::NotOpened);
            }
            let close = rest[open..].find(']').ok_or(RangeError::NotClosed)? + open;
            let (range, names) = range(&rest[open + 1..close])?;
            count = count.saturating_mul(names);
            if count > limits::RANGE_NAMES {
                return Err(RangeError::TooMany);
            }
            if open > 0 {
                parts.push(Part::Text(rest[..open].to_string()));
            }
            parts.push(range);
            rest = &rest[close + 1..];
        }
        if !rest.is_empty() {
            parts.push(Part::Text(rest.to_string()));
        }
        Ok(Self { parts, count })
    }

    /// How many names it stands for.
    pub(super) const fn count(&self) -> u64 {
        self.count
    }

    /// Starts at the first name.
    pub(super) fn names(&self) -> PatternNames<'_> {
        let at = self.parts.iter().map(Part::low).collect();
        let mut names = PatternNames { parts: &self.parts, at, name: String::new(), left: self.count };
        names.write();
        names
    }
}

impl Part {
    const fn low(&self) -> u64 {
        match self {
            Self::Text(_) => 0,
            Self::Range { low, .. } => *low,
        }
    }
}

/// Reads what stands between brackets; gives the range and how many numbers are in it.
fn range(inside: &str) -> Result<(Part, u64), RangeError> {
    // Eighteen digits always fit a 64-bit number.
    const MOST_DIGITS: usize = 18;
    let refused = || RangeError::NotNumbers(inside.chars().take(40).collect());
    let (low_text, high_text) = inside.split_once('-').ok_or_else(refused)?;
    let number = |text: &str| {
        let digits = (1..=MOST_DIGITS).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        if digits { text.parse::<u64>().map_err(|_| refused()) } else { Err(refused()) }
    };
    let (low, high) = (number(low_text)?, number(high_text)?);
    let ends = || (low_text.to_string(), high_text.to_string());
    if low > high {
        let (low, high) = ends();
        return Err(RangeError::Downwards { low, high });
    }
    let padded = |text: &str| text.len() > 1 && text.starts_with('0');
    let uneven = low_text.len() != high_text.len();
    // `[01-100]` grows a digit on its way; `[1-032]` and `[001-32]` contradict themselves.
    if uneven && (padded(high_text) || padded(low_text) && high_text.len() < low_text.len()) {
        let (low, high) = ends();
        return Err(RangeError::UnevenWidth { low, high });
    }
    let width = if padded(low_text) { low_text.len() } else { 0 };
    Ok((Part::Range { low, high, width }, high - low + 1))
}

/// The names of a pattern, one after another in one buffer.
#[derive(Debug)]
pub(super) struct PatternNames<'p> {
    parts: &'p [Part],
    at: Vec<u64>,
    name: String,
    left: u64,
}

impl PatternNames<'_> {
    /// The present name; `None` behind the last.
    pub(super) fn name(&self) -> Option<&str> {
        (self.left > 0).then_some(&self.name)
    }

    /// Goes on to the next name.
    pub(super) fn advance(&mut self) {
        self.left = self.left.saturating_sub(1);
        if self.left > 0 {
            self.step();
            self.write();
        }
    }

    /// Counts the last range up, and the one before it when it is through.
    fn step(&mut self) {
        for (part, at) in self.parts.iter().zip(&mut self.at).rev() {
            if let Part::Range { low, high, .. } = part {
                if *at < *high {
                    *at += 1;
                    return;
                }
                *at = *low;
            }
        }
    }

    fn write(&mut self) {
        self.name.clear();
        for (part, at) in self.parts.iter().zip(&self.at) {
            match part {
                Part::Text(text) => self.name.push_str(text),
                Part::Range { width, .. } => push_number(&mut self.name, *at, *width),
            }
        }
    }
}

/// Writes a number with zeros before it up to a width; a million names are made this way.
fn push_number(text: &mut String, mut number: u64, width: usize) {
    let mut digits = [b'0'; 20];
    let mut first = digits.len();
    while number > 0 || first == digits.len() {
        first -= 1;
        digits[first] = b'0' + (number % 10) as u8;
        number /= 10;
    }
    first = first.min(digits.len() - width.min(digits.len()));
    digits[first..].iter().for_each(|digit| text.push(char::from(*digit)));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(written: &str) -> Vec<String> {
        let pattern = Pattern::parse(written).expect("a pattern");
        let mut names = pattern.names();
        let mut out = Vec::new();
        while let Some(name) = names.name() {
            out.push(name.to_string());
            names.advance();
        }
        assert_eq!(out.len() as u64, pattern.count());
        out
    }

    #[test]
    fn pads_to_the_written_width() {
        assert_eq!(all("home-[008-011]"), ["home-008", "home-009", "home-010", "home-011"]);
        assert_eq!(all("fdh/[9-11]"), ["fdh/9", "fdh/10", "fdh/11"]);
        assert_eq!(all("p[98-101]"), ["p98", "p99", "p100", "p101"]);
        assert_eq!(all("p[09-10]x"), ["p09x", "p10x"]);
        assert_eq!(all("[0-1]"), ["0", "1"]);
        assert_eq!(all("p[01-02]"), ["p01", "p02"]);
        assert_eq!(all("plain"), ["plain"]);
    }

    #[test]
    fn the_last_range_runs_fastest() {
        assert_eq!(all("a[1-2]-[1-3]"), ["a1-1", "a1-2", "a1-3", "a2-1", "a2-2", "a2-3"]);
    }

    #[test]
    fn refuses_with_the_reason() {
        let says = |written: &str| Pattern::parse(written).expect_err("refused").to_string();
        assert!(says("a[1-32").contains("not closed"));
        assert!(says("a1-32]").contains("without"));
        assert!(says("a[1]").contains("not a range"));
        assert!(says("a[a-f]").contains("not a range"));
        assert!(says("a[1,2]").contains("not a range"));
        assert!(says("a[-1-3]").contains("not a range"));
        assert!(says("a[[1-2]]").contains("not a range"));
        assert!(says("a[0-99999999999999999999]").contains("not a range"));
        assert!(says("a[32-1]").contains("downwards"));
        assert!(says("a[001-32]").contains("number of digits"));
        assert!(says("a[1-032]").contains("number of digits"));
        assert!(says("a[1-5000001]").contains("more than 5000000"));
        assert!(says("a[1-3000][1-3000]").contains("more than"));
        assert_eq!(Pattern::parse("a[1-5000000]").map(|p| p.count()), Ok(5_000_000));
    }
}
