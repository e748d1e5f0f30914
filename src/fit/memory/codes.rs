//! Codes and what they mean.

use crate::tables::{CodeAt, ModuleCode, RowId, Tables};

/// A code as it stands in a memory, with its meaning where a table has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Code {
    /// The document that defines it.
    pub standard: &'static str,
    /// The field it stands in; a byte of single bits is called `byte N`.
    pub field: String,
    /// The code.
    pub at: CodeAt,
    /// What it means; `None` for a code that no table has: it is shown as it is, never guessed.
    pub meaning: Option<String>,
    /// The row of `module-codes` that says so.
    pub row: Option<RowId>,
}

impl Code {
    pub(super) fn value(tables: &Tables, standard: &'static str, field: &str, raw: u8) -> Self {
        Self::find(tables, standard, field.to_string(), CodeAt::Value(raw))
    }

    /// The bits set in a byte, the highest first.
    pub(super) fn bits(tables: &Tables, standard: &'static str, byte: usize, raw: u8) -> Vec<Self> {
        let set = (0..8u8).rev().filter(|bit| raw >> bit & 1 == 1);
        set.map(|bit| Self::find(tables, standard, format!("byte {byte}"), CodeAt::Bit(bit))).collect()
    }

    fn find(tables: &Tables, standard: &'static str, field: String, at: CodeAt) -> Self {
        let row = tables.module_codes.find(&ModuleCode::key(standard, &field, at));
        let meaning = row.map(|id| tables.module_codes.row(id).value.meaning.clone());
        Self { standard, field, at, meaning, row }
    }

    /// The number, for a code that is one.
    pub const fn raw(&self) -> Option<u8> {
        match self.at {
            CodeAt::Value(raw) => Some(raw),
            CodeAt::Bit(_) => None,
        }
    }

    /// Where it stands: `07h`, or `byte 3 bit 5`.
    pub fn place(&self) -> String {
        match self.at {
            CodeAt::Value(_) => self.at.to_string(),
            CodeAt::Bit(_) => format!("{} {}", self.field, self.at),
        }
    }
}

impl std::fmt::Display for Code {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let meaning = self.meaning.as_deref().unwrap_or("unknown");
        write!(f, "{meaning} ({})", self.place())
    }
}
