//! What the codes in a module's memory mean.

use crate::units::Watts;

/// Where a code stands in its field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CodeAt {
    /// The field as a number.
    Value(u8),
    /// One bit of the field, 0 to 7.
    Bit(u8),
}

impl std::fmt::Display for CodeAt {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Value(value) => write!(f, "{value:02X}h"),
            Self::Bit(bit) => write!(f, "bit {bit}"),
        }
    }
}

/// The family of form factors that a code is read in, where its meaning hangs on that.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FormFamily {
    /// One lane (SFP, SFP+, SFP28).
    Sfp,
    /// Four lanes (QSFP+, QSFP28).
    Qsfp,
}

impl FormFamily {
    /// From the word in a table.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "SFP" => Some(Self::Sfp),
            "QSFP" => Some(Self::Qsfp),
            _ => None,
        }
    }
}

/// An interface type that a code names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodedInterface {
    /// Only in this family of form factors; `None` = in any.
    pub form: Option<FormFamily>,
    /// The row of `interfaces`.
    pub interface: String,
}

/// One code of one field of a module's memory.
#[derive(Debug, Clone, PartialEq)]
pub struct ModuleCode {
    /// The document that defines the code.
    pub standard: String,
    /// The field; a byte of single bits is called `byte N`.
    pub field: String,
    /// The code.
    pub at: CodeAt,
    /// What it means, as the document words it.
    pub meaning: String,
    /// Interface types that the code names; several where the code alone does not tell them apart.
    pub interfaces: Vec<CodedInterface>,
    /// Greatest electrical power, for a power class.
    pub watts: Option<Watts>,
}

impl ModuleCode {
    /// The name a row is found by.
    pub fn key(standard: &str, field: &str, at: CodeAt) -> String {
        format!("{standard} {field} {at}")
    }
}
