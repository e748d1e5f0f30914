//! The cells of one row by column name: reads typed values and records every fault.
//!
//! A reader of rows asks for all its columns first and puts them together last, so that a row with
//! three faults gives three findings.

use std::cell::Cell;

use super::sheet::{Record, Sheet};
use crate::check::plan_rules::{table_bad_cell, table_missing_source};
use crate::check::{Finding, Rule, nearest};
use crate::place::Origin;
use crate::read::limits;
use crate::tables::{Provenance, Table, Tables};
use crate::units::{
    DecibelMilliwatts, Decibels, DegreesCelsius, GigabitsPerSecond, Kilometers, Nanometers, Watts,
};

/// The columns of a file in its order; a column that the table does not know has an empty name.
pub(super) struct Heads<'h> {
    names: Vec<&'h str>,
    /// Where the next column is looked for first: readers ask in about the order of the file.
    next: Cell<usize>,
}

impl<'h> Heads<'h> {
    pub fn new(names: Vec<&'h str>) -> Self {
        Self { names, next: Cell::new(0) }
    }

    /// The index of a column in every record.
    pub fn find(&self, column: &str) -> Option<usize> {
        let (before, after) = self.names.split_at(self.next.get());
        let later = after.iter().position(|name| *name == column);
        let index = later
            .map(|index| index + before.len())
            .or_else(|| before.iter().position(|name| *name == column))?;
        self.next.set(index + 1);
        Some(index)
    }
}

/// What numbers a column takes.
pub(super) struct Numbers {
    what: &'static str,
    low: f64,
    high: f64,
}

/// A loss, a budget, a return loss: dB, not negative.
const LOSS: Numbers = Numbers { what: "a number of dB from 0 to 200", low: 0.0, high: 200.0 };
/// A reflectance or a backscatter constant: dB, negative.
const REFLECTANCE: Numbers = Numbers {
    what: "a number of dB from -120 to 0 (a reflectance is negative)",
    low: -120.0,
    high: 0.0,
};
/// A power level.
const LEVEL: Numbers = Numbers { what: "a number of dBm from -100 to 60", low: -100.0, high: 60.0 };
/// A wavelength.
pub(super) const WAVELENGTH: Numbers =
    Numbers { what: "a number of nm from 400 to 2500", low: 400.0, high: 2500.0 };
/// A reach in kilometers.
const KILOMETERS: Numbers = Numbers { what: "a number of km from 0 to 20000", low: 0.0, high: 2e4 };
/// A reach in meters.
const METERS: Numbers = Numbers { what: "a number of m from 0 to 20000000", low: 0.0, high: 2e7 };
/// A line or data rate.
const RATE: Numbers = Numbers { what: "a number of Gbit/s from 0 to 100000", low: 0.0, high: 1e5 };
/// An electrical power.
const WATTS: Numbers = Numbers { what: "a number of W from 0 to 1000", low: 0.0, high: 1000.0 };
/// A case temperature.
const CELSIUS: Numbers =
    Numbers { what: "a number of degrees Celsius from -100 to 200", low: -100.0, high: 200.0 };
/// Accumulated dispersion.
pub(super) const DISPERSION: Numbers =
    Numbers { what: "a number of ps/nm from -1000000 to 1000000", low: -1e6, high: 1e6 };
/// A small number without a special meaning to check: a diameter, an index, a slope.
pub(super) const PLAIN: Numbers =
    Numbers { what: "a number from -100000 to 100000", low: -1e5, high: 1e5 };
/// A line rate.
pub(super) const GIGABAUD: Numbers =
    Numbers { what: "a number of GBd from 0.001 to 10000", low: 1e-3, high: 1e4 };
/// The width of a transmitter's line.
pub(super) const LINE_WIDTH: Numbers =
    Numbers { what: "a number of nm from 0.001 to 200", low: 1e-3, high: 200.0 };
/// A coefficient of polarization mode dispersion.
pub(super) const PMD: Numbers =
    Numbers { what: "a number of ps per root of km from 0 to 100", low: 0.0, high: 100.0 };
/// A mode field diameter.
pub(super) const DIAMETER: Numbers =
    Numbers { what: "a number of um from 1 to 100", low: 1.0, high: 100.0 };
/// A count of lanes, fibers, legs.
const COUNT: Numbers = Numbers { what: "a whole number from 1 to 4096", low: 1.0, high: 4096.0 };
/// A count that may be none: ports of a card.
const COUNT_OR_NONE: Numbers = Numbers { what: "a whole number from 0 to 4096", low: 0.0, high: 4096.0 };
/// A share in percent.
pub(super) const PERCENT: Numbers =
    Numbers { what: "a number of percent from 0.01 to 99.99", low: 0.01, high: 99.99 };

/// One row while it is read.
pub(super) struct Cells<'r> {
    heads: &'r Heads<'r>,
    record: &'r Record<'r>,
    sheet: &'r Sheet<'r>,
    /// The tables as they are before this file is laid over them.
    pub tables: &'r Tables,
    findings: Vec<Finding>,
    assumed: Vec<String>,
}

impl<'r> Cells<'r> {
    pub fn new(
        heads: &'r Heads<'r>,
        record: &'r Record<'r>,
        sheet: &'r Sheet<'r>,
        tables: &'r Tables,
    ) -> Self {
        Self { heads, record, sheet, tables, findings: Vec::new(), assumed: Vec::new() }
    }

    /// What was found wrong with the row; what the reader took where nothing was stated.
    pub fn finish(self) -> (Vec<Finding>, Vec<String>) {
        (self.findings, self.assumed)
    }

    /// The content of a cell; empty too where the file has no such column.
    pub fn text(&self, column: &str) -> &'r str {
        let index = self.heads.find(column);
        index.and_then(|index| self.record.get(index)).map_or("", |cell| &cell.content)
    }

    /// Where a cell stands; the start of the row where the file has no such column.
    pub fn origin(&self, column: &str) -> Origin {
        let index = self.heads.find(column).unwrap_or(0);
        self.record.get(index).map_or(Origin::BUILT_IN, |cell| self.sheet.origin(cell))
    }

    /// Records the cells that are longer than anybody writes.
    pub fn check_lengths(&mut self) {
        let most = limits::CELL_CHARS;
        for cell in self.record {
            // Bytes first: characters are counted only where they could be too many.
            let content = &cell.content;
            if content.len() > most && content.chars().count() > most {
                let message = format!("the cell is longer than {most} characters");
                self.findings.push(table_bad_cell::RULE.hit(self.sheet.origin(cell), "", message));
            }
        }
    }

    /// Records a hit of `rule` at a cell.
    pub fn hit(&mut self, rule: &'static Rule, column: &str, message: String, hint: String) {
        let finding = rule.hit(self.origin(column), column, message).hint(hint);
        self.findings.push(finding);
    }

    /// Records a cell that does not hold what its column stands for.
    pub fn bad(&mut self, column: &str, message: String, hint: impl Into<String>) {
        self.hit(&table_bad_cell::RULE, column, message, hint.into());
    }

    /// Notes what is taken for a figure that the row does not state.
    pub fn assume(&mut self, column: &str, taken: impl std::fmt::Display) {
        self.assumed.push(format!("{column} {taken}"));
    }

    /// Turns the empty cell of a column that must be filled into a finding.
    pub fn need<T>(&mut self, column: &str, value: Option<T>) -> Option<T> {
        if value.is_none() && self.text(column).is_empty() {
            self.bad(column, format!("`{column}` is empty, but the row cannot do without it"), "");
        }
        value
    }

    /// A name that must be there: of a fiber, a grade, an element.
    pub fn name(&mut self, column: &str) -> Option<String> {
        let text = Some(self.text(column)).filter(|text| !text.is_empty());
        let text = self.need(column, text)?;
        if text.chars().count() > limits::NAME_CHARS || text.contains(char::is_control) {
            let most = limits::NAME_CHARS;
            self.bad(column, format!("a name has 1 to {most} characters on one line"), "");
            return None;
        }
        Some(text.split_whitespace().collect::<Vec<_>>().join(" "))
    }

    /// The items of a `;`-separated list, without blanks and empty ones.
    pub fn list(&self, column: &str) -> Vec<String> {
        let items = self.text(column).split(';').map(str::trim);
        items.filter(|item| !item.is_empty()).map(String::from).collect()
    }

    /// One of a few words; `None` for an empty cell.
    pub fn word<T>(
        &mut self,
        column: &str,
        from: impl Fn(&str) -> Option<T>,
        words: &[&'static str],
    ) -> Option<T> {
        let text = self.text(column);
        if text.is_empty() {
            return None;
        }
        let found = from(text);
        if found.is_none() {
            self.unknown_word(&table_bad_cell::RULE, column, words);
        }
        found
    }

    fn unknown_word(&mut self, rule: &'static Rule, column: &str, words: &[&'static str]) {
        let text = clip(self.text(column));
        let hint = nearest(&text, words.iter().copied())
            .map_or_else(String::new, |near| format!("did you mean `{near}`?"));
        let message = format!("`{text}` is not a word of `{column}`; expected {}", words.join(", "));
        self.hit(rule, column, message, hint);
    }

    /// The document and the trust of the row, both of which every row must state.
    pub fn source(&mut self) -> Option<(String, Provenance)> {
        const WORDS: [&str; 5] = [
            Provenance::Published.word(),
            Provenance::CommonPractice.word(),
            Provenance::Memory.word(),
            Provenance::InventedDemo.word(),
            Provenance::User.word(),
        ];
        let source = self.text("source").to_string();
        if source.is_empty() {
            let message = "the row has no source".to_string();
            let hint = "name the document, edition and clause, or `common practice`".to_string();
            self.hit(&table_missing_source::RULE, "source", message, hint);
        }
        let word = self.text("provenance");
        let provenance = Provenance::from_word(word);
        if word.is_empty() {
            let message = "the row has no provenance".to_string();
            let hint = format!("one of {}", WORDS.join(", "));
            self.hit(&table_missing_source::RULE, "provenance", message, hint);
        } else if provenance.is_none() {
            self.unknown_word(&table_missing_source::RULE, "provenance", &WORDS);
        }
        provenance.filter(|_| !source.is_empty()).map(|provenance| (source, provenance))
    }

    /// A number in the column's unit; `None` for an empty cell.
    pub fn number(&mut self, column: &str, numbers: &Numbers) -> Option<f64> {
        self.checked(column, self.text(column), numbers)
    }

    /// The numbers of a `;`-separated list.
    pub fn numbers(&mut self, column: &str, numbers: &Numbers) -> Vec<f64> {
        let items = self.text(column).split(';');
        items.filter_map(|item| self.checked(column, item.trim(), numbers)).collect()
    }

    fn checked(&mut self, column: &str, text: &str, numbers: &Numbers) -> Option<f64> {
        if text.is_empty() {
            return None;
        }
        let what = numbers.what;
        let Some(value) = plain_number(text) else {
            let message = format!("`{}` is not a plain number; expected {what}", clip(text));
            self.bad(column, message, number_hint(text));
            return None;
        };
        if !(numbers.low..=numbers.high).contains(&value) {
            self.bad(column, format!("{} is out of range; expected {what}", clip(text)), "");
            return None;
        }
        Some(value)
    }

    /// A whole number from 1.
    pub fn count(&mut self, column: &str) -> Option<u16> {
        self.whole(column, &COUNT)
    }

    /// A whole number from 0.
    pub fn count_or_none(&mut self, column: &str) -> Option<u16> {
        self.whole(column, &COUNT_OR_NONE)
    }

    fn whole(&mut self, column: &str, numbers: &Numbers) -> Option<u16> {
        let value = self.number(column, numbers)?;
        if value.fract() != 0.0 {
            self.bad(column, format!("{value} is not whole; expected {}", numbers.what), "");
            return None;
        }
        Some(value as u16)
    }

    pub fn loss(&mut self, column: &str) -> Option<Decibels> {
        self.number(column, &LOSS).map(Decibels::new)
    }

    pub fn reflectance(&mut self, column: &str) -> Option<Decibels> {
        self.number(column, &REFLECTANCE).map(Decibels::new)
    }

    pub fn level(&mut self, column: &str) -> Option<DecibelMilliwatts> {
        self.number(column, &LEVEL).map(DecibelMilliwatts::new)
    }

    pub fn wavelength(&mut self, column: &str) -> Option<Nanometers> {
        self.number(column, &WAVELENGTH).map(Nanometers::new)
    }

    pub fn meters(&mut self, column: &str) -> Option<Kilometers> {
        self.number(column, &METERS).map(Kilometers::from_meters)
    }

    pub fn kilometers(&mut self, column: &str) -> Option<Kilometers> {
        self.number(column, &KILOMETERS).map(Kilometers::new)
    }

    pub fn rate(&mut self, column: &str) -> Option<GigabitsPerSecond> {
        self.number(column, &RATE).map(GigabitsPerSecond::new)
    }

    pub fn rates(&mut self, column: &str) -> Vec<GigabitsPerSecond> {
        self.numbers(column, &RATE).into_iter().map(GigabitsPerSecond::new).collect()
    }

    pub fn watts(&mut self, column: &str) -> Option<Watts> {
        self.number(column, &WATTS).map(Watts::new)
    }

    pub fn celsius(&mut self, column: &str) -> Option<DegreesCelsius> {
        self.number(column, &CELSIUS).map(DegreesCelsius::new)
    }

    pub fn yes_or_no(&mut self, column: &str) -> Option<bool> {
        let from = |word: &str| match word {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        };
        self.word(column, from, &["yes", "no"])
    }

    /// The key of the row of another table that `item` names; `what` says what such a row is.
    pub fn row_named<T>(
        &mut self,
        column: &str,
        item: &str,
        table: fn(&Tables) -> &Table<T>,
        what: &str,
    ) -> Option<String> {
        let table = table(self.tables);
        if let Some(row) = table.get(item) {
            return Some(row.key.clone());
        }
        let hint = nearest(item, table.names())
            .map_or_else(String::new, |near| format!("did you mean `{near}`?"));
        self.bad(column, format!("`{}` is not {what}", clip(item)), hint);
        None
    }

    /// The key of the row of another table that a cell must name.
    pub fn need_row<T>(
        &mut self,
        column: &str,
        table: fn(&Tables) -> &Table<T>,
        what: &str,
    ) -> Option<String> {
        let name = self.name(column)?;
        self.row_named(column, &name, table, what)
    }

    /// A wavelength range, where both ends are stated and in order.
    pub fn range(&mut self, low: &str, high: &str) -> Option<(Nanometers, Nanometers)> {
        let [a, b] = self.ordered([low, high], Self::wavelength);
        Some((a?, b?))
    }

    /// A wavelength range that must be there.
    pub fn need_range(&mut self, low: &str, high: &str) -> Option<(Nanometers, Nanometers)> {
        let range = self.range(low, high);
        for column in [low, high] {
            self.need(column, range);
        }
        range
    }

    /// The least and the most of something, either of which may be missing, in order.
    pub fn ordered<T: PartialOrd + Copy>(
        &mut self,
        columns: [&str; 2],
        read: fn(&mut Self, &str) -> Option<T>,
    ) -> [Option<T>; 2] {
        let both = columns.map(|column| read(self, column));
        if let [Some(low), Some(high)] = both
            && low > high
        {
            let [least, most] = columns;
            let (a, b) = (self.text(least), self.text(most));
            self.bad(most, format!("`{most}` {b} is below `{least}` {a}"), "");
        }
        both
    }
}

/// A number as tables write it: a sign, digits, a decimal point, an exponent; nothing else.
fn plain_number(text: &str) -> Option<f64> {
    let allowed = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | 'e' | 'E');
    let value: f64 = text.chars().all(allowed).then(|| text.parse().ok())??;
    value.is_finite().then_some(value)
}

/// What was probably meant by something that is not a plain number.
fn number_hint(text: &str) -> String {
    let minus = text.replace(['\u{2212}', '\u{2013}'], "-");
    if plain_number(&minus).is_some() {
        return format!("write the minus sign as a hyphen: `{minus}`");
    }
    let point = text.replace(',', ".");
    if plain_number(&point).is_some() {
        return format!("write the decimal comma as a point: `{point}`");
    }
    let number = text.trim_end_matches(|c: char| c.is_alphabetic() || "/ %.²".contains(c));
    if plain_number(number).is_some() {
        return format!("the unit stands in the column's name: write `{number}`");
    }
    String::new()
}

/// A code such as `0Ch`: two hexadecimal digits and `h`.
pub(super) fn code(text: &str) -> Option<u8> {
    let digits = text.strip_suffix(['h', 'H']).filter(|digits| digits.len() == 2)?;
    u8::from_str_radix(digits, 16).ok()
}

/// What a code must look like.
pub(super) const CODE: &str = "a code is two hexadecimal digits and `h`, such as `0Ch`";

/// Long cells are cut in messages.
pub(super) fn clip(text: &str) -> String {
    const LONGEST: usize = 40;
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_plain() {
        assert_eq!(plain_number("-14.4"), Some(-14.4));
        assert_eq!(plain_number("+3"), Some(3.0));
        assert_eq!(plain_number("2e-3"), Some(0.002));
        for refused in ["", "nan", "inf", "1e999", "0,35", "0.35 dB", "1_000", "0x10", "e", "--1"] {
            assert_eq!(plain_number(refused), None, "{refused}");
        }
    }

    #[test]
    fn hints_say_what_was_meant() {
        assert_eq!(number_hint("0.35 dB"), "the unit stands in the column's name: write `0.35`");
        assert_eq!(number_hint("0.35dB/km"), "the unit stands in the column's name: write `0.35`");
        assert_eq!(number_hint("0,35"), "write the decimal comma as a point: `0.35`");
        assert_eq!(number_hint("\u{2212}8.2"), "write the minus sign as a hyphen: `-8.2`");
        assert_eq!(number_hint("about 3"), "");
    }
}
