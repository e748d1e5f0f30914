//! Where a statement came from, so that every finding can point at it.
//!
//! Holds: [`Origin`] (file, byte range, line, column) and the names of the files.
//! Must not know: the content of the files, or how a pointer is drawn (that is `report`).

use std::path::Path;
use std::sync::Arc;

/// A place in the input. Small enough to stand beside every element of a million-end plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Origin {
    /// Which file, as an index into [`Files`].
    pub file: FileId,
    /// Line, counted from 1; 0 when the statement has no line (an argument of the command line).
    pub line: u32,
    /// Column in characters, counted from 1; 0 when unknown.
    pub column: u32,
    /// Byte offset of the first byte in the file.
    pub start: u32,
    /// Length in bytes; 0 when only the point is known.
    pub length: u32,
}

/// Index of an input file in [`Files`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FileId(pub u16);

impl FileId {
    /// The command line: arguments rather than a file.
    pub const COMMAND_LINE: Self = Self(u16::MAX);
    /// The reference tables that are built in.
    pub const BUILT_IN: Self = Self(u16::MAX - 1);
}

impl Origin {
    /// A statement made on the command line.
    pub const COMMAND_LINE: Self = Self::whole(FileId::COMMAND_LINE);
    /// A row of a built-in table.
    pub const BUILT_IN: Self = Self::whole(FileId::BUILT_IN);

    /// The file as a whole.
    pub const fn whole(file: FileId) -> Self {
        Self { file, line: 0, column: 0, start: 0, length: 0 }
    }

    /// A line of a file, without a column.
    pub const fn line(file: FileId, line: u32) -> Self {
        Self { file, line, column: 0, start: 0, length: 0 }
    }
}

/// The names of the files that were read, as the user wrote them.
#[derive(Debug, Clone, Default)]
pub struct Files {
    names: Vec<Arc<str>>,
}

impl Files {
    /// Adds a file and returns its id. Ids past the last one (65,000 files) repeat the last.
    pub fn add(&mut self, name: &str) -> FileId {
        let last = usize::from(FileId::BUILT_IN.0) - 1;
        let id = self.names.len().min(last);
        if self.names.len() <= last {
            self.names.push(name.into());
        }
        FileId(id as u16)
    }

    /// The name of a file.
    pub fn name(&self, id: FileId) -> &str {
        match id {
            FileId::COMMAND_LINE => "command line",
            FileId::BUILT_IN => "built-in table",
            FileId(index) => self.names.get(usize::from(index)).map_or("?", |name| name),
        }
    }

    /// The same files named from a folder, where they lie in it: a document says the same from wherever it
    /// is made.
    #[must_use]
    pub fn seen_from(&self, folder: &Path) -> Self {
        let near = |name: &Arc<str>| {
            let inside = Path::new(name.as_ref()).strip_prefix(folder).ok().and_then(Path::to_str);
            inside.filter(|inside| !inside.is_empty()).map_or_else(|| name.clone(), Arc::from)
        };
        Self { names: self.names.iter().map(near).collect() }
    }

    /// `file:line:column`, as far as known.
    pub fn describe(&self, origin: Origin) -> String {
        let name = self.name(origin.file);
        match (origin.line, origin.column) {
            (0, _) => name.to_string(),
            (line, 0) => format!("{name}:{line}"),
            (line, column) => format!("{name}:{line}:{column}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn describes_as_far_as_known() {
        let mut files = Files::default();
        let id = files.add("plan.yaml");
        assert_eq!(files.describe(Origin::whole(id)), "plan.yaml");
        assert_eq!(files.describe(Origin::line(id, 3)), "plan.yaml:3");
        assert_eq!(files.describe(Origin { column: 7, ..Origin::line(id, 3) }), "plan.yaml:3:7");
        assert_eq!(files.describe(Origin::COMMAND_LINE), "command line");
    }
}
