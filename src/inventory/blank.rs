//! Words that stand in a cell and say nothing.

/// Words for nothing, letters and digits only (common practice): what people and collectors write where
/// there is nothing to write.
const NOTHING: [&str; 11] =
    ["", "EMPTY", "NA", "NIL", "NONE", "NOTAPPLICABLE", "NOTAVAILABLE", "NULL", "TBC", "TBD", "UNKNOWN"];

/// Whether a cell is empty, holds marks only (`-`, `?`), or a word for nothing.
pub fn says_nothing(cell: &str) -> bool {
    NOTHING.contains(&super::name::site(cell).as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_for_nothing_and_names_that_begin_like_them() {
        for cell in ["", " ", "-", "--", "?", "n/a", "N.A.", "none", "tbd", "Not available", "unknown"] {
            assert!(says_nothing(cell), "{cell}");
        }
        for cell in ["0", "NA-1", "none-2", "10GBASE-LR", "TBD4"] {
            assert!(!says_nothing(cell), "{cell}");
        }
    }
}
