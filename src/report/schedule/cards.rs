//! Cards to print: a page per closure, a page per place with the light to expect.

use std::io::{self, Write};

use askama::Template;

use super::Schedule;
use super::sheet::{Cell, Sheet};
use super::sheets::about::meter_words;
use crate::report::document::{Document, Identity, Sign, signs};
use crate::report::html::frame;

/// A card.
struct Card<'s> {
    name: String,
    rows: Vec<&'s [Cell]>,
}

/// A cell of a card: text, how it leans, the swatch of a color.
struct CardCell<'s> {
    text: String,
    number: bool,
    short: bool,
    swatches: Vec<(&'s str, u32)>,
}

#[derive(Template)]
#[template(path = "cards.html")]
struct Page<'p> {
    identity: &'p Identity,
    units_words: &'static str,
    version: &'static str,
    policy: String,
    style: String,
    title: &'static str,
    intro: &'p str,
    document: &'p Document<'p>,
    heads: Vec<&'p str>,
    /// The columns of the sheet that the heads stand for.
    shown: Vec<usize>,
    cards: Vec<Card<'p>>,
    signs: Vec<Sign>,
    cautions: [&'static str; 2],
    hazards: Vec<String>,
}

/// A kind of cards, made of the rows of one sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cards {
    /// A card per closure: every splice in it, with room for readings.
    Closures,
    /// A card per place: the level to expect at every test point, with room for readings.
    Light,
}

impl Cards {
    /// The cards that are made of a sheet.
    pub fn of(sheet: &Sheet) -> Option<Self> {
        match sheet.name {
            "splices" => Some(Self::Closures),
            "light" => Some(Self::Light),
            _ => None,
        }
    }

    /// The name of their file.
    pub fn file(self) -> &'static str {
        match self {
            Self::Closures => "closure-cards.html",
            Self::Light => "light-cards.html",
        }
    }

    /// Writes them, given their sheet.
    ///
    /// # Errors
    /// Whatever the writer says.
    pub fn write(self, schedule: &Schedule<'_>, sheet: &Sheet, out: &mut impl Write) -> io::Result<()> {
        const CLOSURES: &str = "One card per closure. Colors are those of the cable template; check the first \
            fiber of every tube against the card before anything is cut. Express tubes are not opened.";
        const LIGHT: &str = "One card per place. Measure before anything is plugged. A reading below or above \
            the stops means that the plant is not as drawn or the end will not work: stop and find out why. \
            Intervals hold on the first day, at the transmitter's nominal wavelength, without the \
            uncertainty of the meter. Upstream light comes in bursts: a meter that averages reads too little.";
        let document = schedule.work.document;
        match self {
            Self::Closures => write(document, sheet, &[0, 1], ("Closure cards", CLOSURES), out),
            Self::Light => {
                let intro = format!("{LIGHT} {}", meter_words(schedule.readings.any_together()));
                write(document, sheet, &[0], ("Expected-light cards", &intro), out)
            }
        }
    }
}

fn write(
    document: &Document<'_>,
    sheet: &Sheet,
    keys: &[usize],
    words: (&'static str, &str),
    out: &mut impl Write,
) -> io::Result<()> {
    // What the program has nothing to say about takes no room on paper.
    let is_used = |column: usize| {
        sheet.columns[column].by_hand || sheet.rows.iter().any(|row| row[column] != Cell::Empty)
    };
    let columns = (0..sheet.columns.len()).filter(|column| !keys.contains(column));
    let shown: Vec<usize> = columns.filter(|column| is_used(*column)).collect();
    let page = Page {
        identity: &document.identity,
        units_words: frame::units_words(document.lengths),
        version: frame::VERSION,
        policy: frame::policy(None),
        style: frame::style(&document.identity, include_str!("../../../templates/cards.css")),
        title: words.0,
        intro: words.1,
        document,
        heads: shown.iter().map(|column| sheet.columns[*column].head.as_str()).collect(),
        shown,
        cards: cards(sheet, keys),
        signs: signs(),
        cautions: frame::cautions(),
        hazards: frame::hazards(document),
    };
    page.write_into(out)
}

impl Page<'_> {
    /// The cells of a row, made when they are printed.
    fn cells<'c>(&'c self, row: &'c [Cell]) -> impl Iterator<Item = CardCell<'c>> {
        let columns = self.heads.iter().zip(&self.shown);
        columns.filter_map(|(head, column)| Some(card_cell(self.document, head, row.get(*column)?)))
    }
}

/// Rows gathered by their key, in the order in which the keys first come.
fn cards<'s>(sheet: &'s Sheet, keys: &[usize]) -> Vec<Card<'s>> {
    let mut cards: Vec<Card<'s>> = Vec::new();
    let mut index = rustc_hash::FxHashMap::default();
    for row in &sheet.rows {
        let parts = keys.iter().filter_map(|key| row.get(*key)).map(Cell::shown);
        let name = parts.filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
        let name = if name.is_empty() { without_place(row) } else { name };
        let at = *index.entry(name.clone()).or_insert_with(|| {
            cards.push(Card { name, rows: Vec::new() });
            cards.len() - 1
        });
        cards[at].rows.push(row);
    }
    cards
}

/// Where a test point is of which no place is stated: at its device, or at the premises.
fn without_place(row: &[Cell]) -> String {
    let point = row.get(1).map(Cell::shown).unwrap_or_default();
    let device = point.rsplit_once('/').map(|(device, _)| device.to_string());
    device.unwrap_or_else(|| "premises of which no place is stated".to_string())
}

fn card_cell<'s>(document: &'s Document<'_>, head: &str, cell: &Cell) -> CardCell<'s> {
    let text = match cell {
        Cell::Number(..) => cell.shown().replace('-', "−"),
        _ => cell.shown(),
    };
    let colored = head.ends_with(" tube") || head.ends_with(" fiber");
    let swatch = colored.then(|| swatch(document, &text)).flatten();
    CardCell {
        short: text.chars().count() <= 24,
        number: matches!(cell, Cell::Count(_) | Cell::Number(..)),
        swatches: swatch.into_iter().collect(),
        text,
    }
}

/// The swatch of `3 GR` or `15 GR-1`: the color and how many marks it has.
fn swatch<'s>(document: &'s Document<'_>, text: &str) -> Option<(&'s str, u32)> {
    let (_, short) = text.split_once(' ')?;
    let (abbreviation, marks) = short.split_once('-').unwrap_or((short, "0"));
    let colors = document.view.tables.strand_colors.rows();
    let found = colors.iter().find(|row| row.value.abbreviation == abbreviation)?;
    let marks = marks.parse().ok()?;
    (!found.value.swatch.is_empty()).then_some((found.value.swatch.as_str(), marks))
}
