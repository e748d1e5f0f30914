//! A sheet free of any format.

/// A table with a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Its name: the tab in the workbook, the file's name without its ending.
    pub name: &'static str,
    /// What it is, for heads.
    pub title: &'static str,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows; each has a cell per column.
    pub rows: Vec<Vec<Cell>>,
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Its head, with the unit.
    pub head: String,
    /// Whether it is filled in by hand.
    pub by_hand: bool,
}

/// A cell. Identifiers are text, whatever they look like.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// Text.
    Text(String),
    /// A whole number.
    Count(u64),
    /// A number that is shown with so many decimals (it is rounded already).
    Number(f64, u8),
}

impl Column {
    /// A column that the program fills in.
    pub(super) fn new(head: impl Into<String>) -> Self {
        Self { head: head.into(), by_hand: false }
    }

    /// A blank column for readings, initials, dates.
    pub(super) fn by_hand(head: impl Into<String>) -> Self {
        Self { head: head.into(), by_hand: true }
    }
}

impl Cell {
    /// Text; nothing for the empty one.
    pub(super) fn text(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() { Self::Empty } else { Self::Text(text) }
    }

    /// The cell as CSV and cards print it.
    pub fn shown(&self) -> String {
        match self {
            Self::Empty => String::new(),
            Self::Text(text) => text.clone(),
            Self::Count(count) => count.to_string(),
            Self::Number(value, decimals) => format!("{value:.*}", usize::from(*decimals)),
        }
    }
}
