//! The usual cautions. Short, and always behind the verdict.

/// Where a result touches fiber that may be lit.
pub const LIGHT: &str = "\
Invisible laser light: never look into a fiber or connector, with or without optical aids. Measure \
before you plug; cap open connectors. Hazard levels are those of IEC 60825-2; local rules decide.";

/// Where a result touches a shelf.
pub const SHELF: &str = "\
Inspect and clean before mating. Wear an ESD strap at the shelf; keep blanks in empty slots. \
Qualified people only; local codes and licensed practice go before this sheet.";
