//! What the sections share while a plan is read: the plan so far, who has which id, the defaults.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use foldhash::fast::RandomState;
use rustc_hash::FxHashMap;

use super::gather::Gathered;
use super::given::{At, Given, Owner, clip};
use super::protections::Pending;
use super::ranges::{Pattern, has_range};
use crate::check::Finding;
use crate::check::plan_rules::{bad_id, bad_range, duplicate_id, missing_file, too_large};
use crate::place::{FileId, Origin};
use crate::plan::{JointKind, JointUse, NameId, Plan, Plug, PortKind};
use crate::read::limits;
use crate::read::sources::Sources;
use crate::tables::Tables;
use crate::units::{Decibels, Kilometers, Percent};

/// Names of one entry from which on room is made for them beforehand.
const MANY: usize = 10_000;

/// Who has an id. The numbers are indices into the plan's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Device {
    /// Nobody: the id is that of a place.
    None,
    /// A device that could not be read: its points are taken on trust, its own finding stands.
    Broken(u32),
    Shelf(u32),
    Port(u32),
    Panel(u32),
    SpliceCase(u32),
    Splitter(u32),
    Tap(u32),
    WdmElement(u32),
    Attenuator(u32),
}

/// What holds where an entry says nothing else.
#[derive(Debug, Clone)]
pub(super) struct Defaults {
    pub(super) fiber: u16,
    /// Empty until one is stated: what is usual depends on the fiber, and is settled at the end.
    pub(super) grade: String,
    pub(super) polish: String,
    pub(super) splice: String,
    pub(super) joint: JointUse,
    pub(super) slack: Percent,
    pub(super) reel: Option<Kilometers>,
    /// Loss of splices along outside spans for each kilometer.
    pub(super) splice_loss: Option<JointUse>,
    pub(super) uncertainty: Decibels,
}

impl Defaults {
    pub(super) fn connector(&self) -> JointKind {
        JointKind::Connector { grade: self.grade.clone(), polish: self.polish.clone() }
    }
}

/// The state of a reading.
#[derive(Debug)]
pub(super) struct Reader<'s> {
    pub(super) plan: Plan,
    pub(super) tables: Arc<Tables>,
    pub(super) sources: &'s mut Sources,
    pub(super) findings: Gathered,
    pub(super) defaults: Defaults,
    /// Who has which id, by the id's number.
    pub(super) devices: Vec<Device>,
    pub(super) places: FxHashMap<NameId, u32>,
    pub(super) cables: HashMap<String, u16, RandomState>,
    /// The pairs of plugs that spans end in; few, for they are made of known words.
    pub(super) plugs: Vec<[Plug; 2]>,
    /// Ports that stand by for others, not looked up yet.
    pub(super) protections: Vec<Pending>,
    /// A section of devices could not be read: an unknown point may well be one of them.
    pub(super) devices_unsure: bool,
    /// Where the devices were stated that could not be read.
    broken: Vec<Origin>,
    /// What the names begin with whose ranges could not be read.
    pub(super) unread: Vec<String>,
    /// The places could not be read.
    pub(super) places_unsure: bool,
    /// Names that entries stood for.
    expanded: usize,
    /// The optic sets by the names in them.
    pub(super) optic_sets: HashMap<String, u32, RandomState>,
    /// The ids that were named last on either side of a span.
    pub(super) last_named: [NameId; 2],
    /// Names that were compared for suggestions.
    pub(super) compared: usize,
    /// The folder of the plan file; `None` when the plan is a text without a place on disk.
    base: Option<PathBuf>,
}

impl<'s> Reader<'s> {
    pub(super) fn new(tables: Arc<Tables>, sources: &'s mut Sources, base: Option<&Path>) -> Self {
        let mut plan = Plan::default();
        // The first three kinds of joints are the same in every plan.
        plan.joint_kind(JointKind::None);
        let defaults = Defaults {
            fiber: 0,
            grade: String::new(),
            polish: String::new(),
            splice: "fusion".to_string(),
            joint: JointUse::default(),
            slack: Percent::default(),
            reel: None,
            splice_loss: None,
            // Source and meter with reference cords, k = 2 (common practice: 0.15 to 0.2 dB).
            uncertainty: Decibels::new(0.2),
        };
        Self {
            plan,
            tables,
            sources,
            findings: Gathered::default(),
            defaults,
            devices: Vec::new(),
            places: FxHashMap::default(),
            cables: HashMap::default(),
            plugs: Vec::new(),
            protections: Vec::new(),
            devices_unsure: false,
            broken: Vec::new(),
            unread: Vec::new(),
            places_unsure: false,
            expanded: 0,
            optic_sets: HashMap::default(),
            last_named: [NameId::default(); 2],
            compared: 0,
            base: base.map(Path::to_path_buf),
        }
    }

    /// Opens a file that the plan names, relative to the plan's folder.
    pub(super) fn open_file(&mut self, given: &Given<'_>) -> Option<FileId> {
        let path = self.path(given)?;
        match self.sources.open_plain(&path, limits::CSV_BYTES) {
            Ok(file) => Some(file),
            Err(finding) => {
                // A fault without a line is told where the file is named, not in the file itself.
                let nowhere = finding.origin.line == 0;
                let origin = if nowhere { given.at.origin() } else { finding.origin };
                self.findings.push(Finding { origin, ..finding });
                None
            }
        }
    }

    /// The path of a file or folder that the plan names.
    pub(super) fn path(&mut self, given: &Given<'_>) -> Option<PathBuf> {
        if given.text.trim().is_empty() {
            let finding =
                missing_file::RULE.hit(given.at.origin(), "", "an empty text names no file or folder");
            self.findings.push(finding.hint("name one, beside the plan, or leave the key out"));
            return None;
        }
        if let Some(base) = &self.base {
            return Some(base.join(given.text.trim()));
        }
        let message = format!("`{}` cannot be opened: the plan stands in no folder", clip(given.text));
        self.findings.push(missing_file::RULE.hit(given.at.origin(), given.text, message));
        None
    }

    /// Takes a name with ranges apart; reports brackets that are none.
    pub(super) fn pattern(&mut self, written: &str, at: At<'_>) -> Option<Pattern> {
        match Pattern::parse(written) {
            Ok(pattern) => Some(pattern),
            Err(error) => {
                let message = format!("`{}`: {error}", clip(written));
                self.findings.push(bad_range::RULE.hit(at.origin(), written, message));
                None
            }
        }
    }

    /// Gives an id to a device. `None`, with a finding, if it is no id or another device has it.
    pub(super) fn register(
        &mut self,
        name: &str,
        kind: &'static str,
        at: At<'_>,
        device: Device,
    ) -> Option<NameId> {
        if let Err(reason) = check_id(name) {
            let at = at.origin();
            if !self.findings.only_count(&bad_id::RULE, at) {
                let message = format!("the id of {} {reason}", Owner { kind, id: name });
                self.findings.push(bad_id::RULE.hit(at, clip(name), message));
            }
            return None;
        }
        self.register_unchecked(name, kind, at, device)
    }

    /// As [`Self::register`], for a name made of parts that were checked.
    pub(super) fn register_unchecked(
        &mut self,
        name: &str,
        kind: &'static str,
        at: At<'_>,
        device: Device,
    ) -> Option<NameId> {
        if self.plan.names.len() >= limits::NAMES {
            self.too_many("ids", limits::NAMES, at.origin());
            return None;
        }
        let id = self.plan.names.intern(name);
        let index = id.0 as usize;
        if index >= self.devices.len() {
            self.devices.resize(index + 1, Device::None);
        }
        if self.devices[index] == Device::None {
            self.devices[index] = device;
            return Some(id);
        }
        self.taken(name, kind, at, self.devices[index]);
        // Of two kinds of devices either may be meant: the points of both are taken on trust.
        if std::mem::discriminant(&self.devices[index]) != std::mem::discriminant(&device) {
            self.devices[index] = self.broken_at(self.origin_of(self.devices[index]));
        }
        None
    }

    fn taken(&mut self, name: &str, kind: &str, at: At<'_>, first: Device) {
        let at = at.origin();
        if self.findings.only_count(&duplicate_id::RULE, at) {
            return;
        }
        let first_at = self.sources.files().describe(self.origin_of(first));
        let owner = self.owner_of(first);
        let message = format!("the id `{name}` of this {kind} is that of {owner} at {first_at}");
        self.findings.push(duplicate_id::RULE.hit(at, name, message));
    }

    fn owner_of(&self, device: Device) -> &'static str {
        match device {
            Device::None => "nothing",
            Device::Broken(_) => "another device",
            Device::Shelf(_) => "a shelf",
            Device::Port(port) => match self.plan.ports[port as usize].kind {
                PortKind::Ont => "an ONT",
                PortKind::Equipment => "a port",
            },
            Device::Panel(_) => "a panel",
            Device::SpliceCase(_) => "a splice case",
            Device::Splitter(_) => "a splitter",
            Device::Tap(_) => "a tap",
            Device::WdmElement(_) => "a wdm element",
            Device::Attenuator(_) => "an attenuator",
        }
    }

    /// Where a device was stated.
    fn origin_of(&self, device: Device) -> Origin {
        let plan = &self.plan;
        match device {
            Device::None => Origin::COMMAND_LINE,
            Device::Broken(index) => self.broken[index as usize],
            Device::Shelf(index) => plan.shelves[index as usize].origin,
            Device::Port(index) => plan.ports[index as usize].origin,
            Device::Panel(index) => plan.panels[index as usize].origin,
            Device::SpliceCase(index) => plan.splice_cases[index as usize].origin,
            Device::Splitter(index) => plan.splitters[index as usize].origin,
            Device::Tap(index) => plan.taps[index as usize].origin,
            Device::WdmElement(index) => plan.wdm_elements[index as usize].origin,
            Device::Attenuator(index) => plan.attenuators[index as usize].origin,
        }
    }

    /// A device whose points are taken on trust.
    pub(super) fn broken_at(&mut self, origin: Origin) -> Device {
        self.broken.push(origin);
        Device::Broken(self.broken.len() as u32 - 1)
    }

    /// Expands the name of an entry and runs `make` for every name that is new.
    ///
    /// `make` is told the id and its index among the names; it must add the device to the plan.
    pub(super) fn each_device(
        &mut self,
        written: &str,
        kind: &'static str,
        origin: Origin,
        device: impl Fn(&Self) -> Device,
        mut make: impl FnMut(&mut Self, NameId),
    ) {
        let at = At::Known(origin);
        self.each_id(written, at, |reader, name| {
            let next = device(reader);
            if let Some(id) = reader.register(name, kind, at, next) {
                make(reader, id);
            }
        });
    }

    /// As [`Self::each_name`], for ids of devices: points of those that cannot be read are taken on
    /// trust.
    pub(super) fn each_id(&mut self, written: &str, at: At<'_>, each: impl FnMut(&mut Self, &str)) {
        if !self.each_name(written, at, each) {
            let known = written.split(['[', ']']).next().unwrap_or_default();
            self.unread.push(known.to_string());
        }
    }

    /// Runs `each` for every name that a written name stands for. What is wrong with many of them
    /// for one reason is told once. Whether the ranges could be read.
    pub(super) fn each_name(
        &mut self,
        written: &str,
        at: At<'_>,
        mut each: impl FnMut(&mut Self, &str),
    ) -> bool {
        if !has_range(written) {
            if self.may_expand(at) {
                each(self, written);
            }
            return true;
        }
        let Some(pattern) = self.pattern(written, at) else { return false };
        self.findings.begin_group();
        let mut names = pattern.names();
        let count = pattern.count() as usize;
        if count > MANY {
            self.make_room(count, count * (written.len() + limits::NAME_CHARS / 4));
        }
        while let Some(name) = names.name().filter(|_| self.may_expand(at)) {
            each(self, name);
            names.advance();
        }
        self.findings.end_group();
        true
    }

    /// Makes room for ids to come. Only ONTs and ports come in such numbers.
    pub(super) fn make_room(&mut self, names: usize, bytes: usize) {
        self.plan.names.reserve(names, bytes);
        self.devices.reserve(names);
        self.plan.ports.reserve(names);
    }

    /// Counts one more name that an entry stands for: ranges in ranges are soon more than a machine
    /// can bear.
    pub(super) fn may_expand(&mut self, at: At<'_>) -> bool {
        self.expanded += 1;
        if self.plan.names.len() >= limits::NAMES {
            self.too_many("ids", limits::NAMES, at.origin());
            return false;
        }
        if self.expanded > limits::EXPANDED {
            self.too_many("names from ranges and entries", limits::EXPANDED, at.origin());
            return false;
        }
        true
    }

    /// Says, once, that the plan holds too much.
    pub(super) fn too_many(&mut self, what: &str, most: usize, at: Origin) {
        if self.findings.hits(&too_large::RULE) == 0 {
            let message = format!("the plan holds more than {most} {what}");
            self.tell(&too_large::RULE, at, |_| too_large::RULE.hit(at, "", message));
        }
    }
}

/// Whether a name can be an id; if not, what is wrong with it.
pub(super) fn check_id(name: &str) -> Result<(), String> {
    if name.is_empty() {
        return Err("is empty".to_string());
    }
    // Bytes first: a name of so few bytes has no more characters.
    if name.len() > limits::NAME_CHARS && name.chars().count() > limits::NAME_CHARS {
        return Err(format!("is longer than {} characters", limits::NAME_CHARS));
    }
    if name.starts_with(' ') || name.ends_with(' ') {
        return Err("begins or ends with a blank".to_string());
    }
    // Most ids are plain: a table of bytes settles them.
    if name.bytes().all(|byte| PLAIN[usize::from(byte)]) {
        return Ok(());
    }
    match name.chars().find(|c| !allowed_in_id(*c)) {
        None => Ok(()),
        Some(c) if c.is_ascii_graphic() => Err(format!("holds `{c}`")),
        Some(c) => Err(format!("holds the character U+{:04X}", u32::from(c))),
    }
}

/// The bytes that are characters allowed in an id by themselves.
static PLAIN: [bool; 256] = {
    let mut plain = [false; 256];
    let mut byte = 0;
    while byte < 128 {
        let c = byte as u8;
        plain[byte] = c.is_ascii_alphanumeric() || matches!(c, b'-' | b'_' | b'.' | b'#' | b'+' | b' ');
        byte += 1;
    }
    plain
};

/// Letters and digits of any script, and `-_.#+` and blanks. What is invisible or turns the
/// direction of writing is not allowed: two ids could look the same.
fn allowed_in_id(c: char) -> bool {
    if c.is_ascii() {
        return PLAIN[c as usize];
    }
    let invisible = matches!(c,
        '\u{AD}' | '\u{61C}' | '\u{180E}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}'
        | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF0}'..='\u{FFFF}');
    !(c.is_control() || c.is_whitespace() || invisible)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_of_any_script_pass_and_punctuation_does_not() {
        for good in ["fdh-3a", "1.10", "007", "Größe 3", "機房-1", "a#2+b_c", "हिन्दी"] {
            assert_eq!(check_id(good), Ok(()), "{good}");
        }
        for (bad, reason) in [
            ("", "is empty"),
            ("a/b", "holds `/`"),
            ("a[1]", "holds `[`"),
            ("=1+1", "holds `=`"),
            ("a\tb", "U+0009"),
            (" a", "blank"),
            ("a\u{200B}b", "U+200B"),
            ("a\u{202E}b", "U+202E"),
        ] {
            let refused = check_id(bad).expect_err("refused");
            assert!(refused.contains(reason), "{bad:?}: {refused}");
        }
        assert_eq!(check_id(&"ü".repeat(80)), Ok(()));
        assert!(check_id(&"ü".repeat(81)).is_err());
    }
}
