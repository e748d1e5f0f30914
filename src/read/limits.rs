//! Every limit on what is read, in one table.
//!
//! A limit keeps a wrong or hostile file from eating the machine; each lies far above what an
//! honest file of the trade needs.

/// Bytes of a plan (YAML) file.
pub const PLAN_BYTES: u64 = 256 << 20;
/// Bytes of a CSV file with bulk rows.
pub const CSV_BYTES: u64 = 2_000_000_000;
/// Bytes of a file of reference tables.
pub const TABLE_BYTES: u64 = 16 << 20;
/// Bytes of a dump of a module's memory, as text.
pub const DUMP_BYTES: u64 = 1 << 20;
/// Levels of nesting in a plan file: three times what a plan needs, and safe on a small stack.
pub const DEPTH: usize = 32;
/// Nodes (maps, lists and values) of a plan file, aliases counted as often as they are used.
pub const NODES: usize = 20_000_000;
/// Uses of aliases (`*name`) in a plan file.
pub const ALIASES: usize = 1_000;
/// Characters of one cell of a CSV file or of one plain value.
pub const CELL_CHARS: usize = 10_000;
/// Characters of an id or a table row's name.
pub const NAME_CHARS: usize = 80;
/// Names that one entry with ranges (`home-[001-032]`) may expand to.
pub const RANGE_NAMES: u64 = 5_000_000;
/// Ids of a plan, those from ranges and CSV files included.
pub const NAMES: usize = 10_000_000;
/// Spans of a plan, those from ranges and CSV files included.
pub const SPANS: usize = 20_000_000;
/// Names that all entries of a plan together may expand to, whether they are kept or not.
pub const EXPANDED: usize = 40_000_000;
/// Ways in which the ports of a plan are fitted out, and in which its spans are built.
pub const FITTINGS: usize = 50_000;
/// Different wavelengths at which one loss may be stated.
pub const WAVELENGTHS: usize = 1_000;
/// Bytes of a description of a network.
pub const NETWORK_BYTES: u64 = 256 << 20;
/// Nodes and spans of a description of a network: ids are looked for one by one.
pub const FEATURES: usize = 50_000;
/// Folder entries looked at for a near name of a missing file.
pub const FOLDER_ENTRIES: usize = 10_000;
/// Bytes of a workbook.
pub const WORKBOOK_BYTES: u64 = 256 << 20;
/// Bytes of the parts of a workbook, unpacked: texts that sheets share stand in memory.
pub const WORKBOOK_UNPACKED: u64 = 2 << 30;
/// Rows of a sheet, as many as a sheet can have (ECMA-376 part 1, 18.3.1.73).
pub const SHEET_ROWS: u32 = 1 << 20;
/// Columns of a sheet, as many as a sheet can have.
pub const SHEET_COLUMNS: u32 = 1 << 14;
/// Bytes of an inventory that must be copied to a temporary file: from a pipe, unpacked, of another
/// encoding, from a workbook.
pub const SPOOL_BYTES: u64 = 16 << 30;
/// Bytes of one record of an inventory; a quote that is not closed within them is a fault.
pub const RECORD_BYTES: usize = 1 << 20;
