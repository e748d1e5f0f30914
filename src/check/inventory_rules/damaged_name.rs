//! `inventory.damaged-name`: a spreadsheet turned a name into a date or a power of ten.

use super::facts::{At, Detail, Entry, Judge, Said, quoted};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::damage;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.damaged-name",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a spreadsheet turned a name into a date or a power of ten",
    why: "`2003-01-01` may have been `1/1/3` or `3/1/1`: the row cannot be matched by guessing",
    remedy: "import the column as text, and write the name again",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry {
    rule: &RULE,
    needs: &[],
    judge: Judge::Marked(flag::DAMAGED_PORT | flag::DAMAGED_FAR | flag::DAMAGED_ID, check),
    say,
};

fn check(at: &At<'_>) -> Option<Detail> {
    const DAMAGED: u32 = flag::DAMAGED_PORT | flag::DAMAGED_FAR | flag::DAMAGED_ID;
    (at.row.has(DAMAGED) && !at.row.has(flag::RESTORED)).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    const COLUMNS: [Column; 7] = [
        Column::Port,
        Column::FarPort,
        Column::FarEnd,
        Column::Serial,
        Column::Circuit,
        Column::FramePort,
        Column::Jumper,
    ];
    let damaged = COLUMNS.iter().filter_map(|column| {
        let cell = said.cell(*column);
        let names = damage::candidates(cell)?;
        let may = if names.is_empty() {
            "lost for good".to_string()
        } else {
            format!("may be {}", names.join(" or "))
        };
        Some(format!("{} {} ({may})", column.name(), quoted(cell)))
    });
    (format!("damaged: {}", damaged.collect::<Vec<_>>().join("; ")), String::new())
}
