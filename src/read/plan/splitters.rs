//! Splitters and taps.

use super::fields::Fields;
use super::given::{Given, Owner, clip, suggest_row, unknown};
use super::reader::{Device, Reader};
use crate::check::Finding;
use crate::check::plan_rules::bad_ratio;
use crate::plan::{JointUse, Splitter, Tap};
use crate::read::schema::{SplitterForm, TapForm};

/// Legs of one splitter: more than are made.
const LEGS: u16 = 1024;

impl Reader<'_> {
    pub(super) fn read_splitters(&mut self, top: &Fields<'_>) {
        for entry in self.devices_of(top, "splitters") {
            let owner = Owner { kind: "splitter", id: entry.name };
            let fields = self.open(entry.value, SplitterForm::KEYS, owner, entry.origin);
            let ratio = fields.and_then(|fields| self.required(&fields, "ratio", "1x32"));
            let ratio = ratio.and_then(|given| Some((given, self.split_ratio(&given)?)));
            let (Some(fields), Some((given, (inputs, legs)))) = (fields, ratio) else {
                // What else is wrong with the entry is told all the same.
                if let Some(fields) = fields {
                    self.place_joint_measured(&fields);
                }
                self.broken(&entry, "splitter");
                continue;
            };
            let kind = self.splitter_kind(&fields, &given, (inputs, legs));
            let (place, joint, measured) = self.place_joint_measured(&fields);
            let index = |reader: &Self| Device::Splitter(reader.plan.splitters.len() as u32);
            self.each_device(entry.name, "splitter", entry.origin, index, |reader, name| {
                let (kind, origin) = (kind.clone(), entry.origin);
                let splitter = Splitter { name, place, inputs, legs, kind, joint, measured, origin };
                reader.plan.splitters.push(splitter);
            });
        }
    }

    fn place_joint_measured(&mut self, fields: &Fields<'_>) -> (Option<u32>, JointUse, Option<u32>) {
        let place = self.stated_place(fields);
        let joint = self.stated_joint(fields);
        (place, joint, self.measured(fields, fields.origin))
    }

    /// The row of the splitter table: the type that is stated, else the ratio.
    fn splitter_kind(
        &mut self,
        fields: &Fields<'_>,
        ratio: &Given<'_>,
        (inputs, legs): (u16, u16),
    ) -> Box<str> {
        let canonical = format!("{inputs}x{legs}");
        let stated = self.given(fields, "type");
        let given = stated.unwrap_or(Given { text: &canonical, ..*ratio });
        let Some(row) = self.row(&given, "splitter", |tables| &tables.splitters) else {
            return canonical.into();
        };
        let found = self.tables.splitters.get(&row).map(|row| (row.value.inputs, row.value.outputs));
        if let Some((table_inputs, table_legs)) = found
            && (table_inputs, table_legs) != (inputs, legs)
        {
            let message = format!(
                "{} is {canonical}, but its type `{row}` is {table_inputs}x{table_legs}",
                fields.owner
            );
            self.findings.push(bad_ratio::RULE.hit(given.at.origin(), fields.owner.id, message));
        }
        row.into()
    }

    /// Inputs, legs and row of a splitter that is named by its ratio or by its row.
    pub(super) fn split(&mut self, given: &Given<'_>) -> Option<(u16, u16, String)> {
        let of_row = |reader: &Self, name: &str| {
            let row = reader.tables.splitters.get(name)?;
            Some((row.value.inputs, row.value.outputs, row.key.clone()))
        };
        if let Some(found) = of_row(self, given.text) {
            return Some(found);
        }
        let (inputs, legs) = self.split_ratio(given)?;
        let canonical = format!("{inputs}x{legs}");
        let row = self.row(&Given { text: &canonical, ..*given }, "splitter", |t| &t.splitters)?;
        of_row(self, &row)
    }

    /// Inputs and legs of `1x32`, `1:32`, `2x16`.
    fn split_ratio(&mut self, given: &Given<'_>) -> Option<(u16, u16)> {
        let parts = given.text.trim().split_once(['x', 'X', ':', '×', '/']);
        let numbers = parts.and_then(|(inputs, legs)| {
            Some((inputs.trim().parse::<u16>().ok()?, legs.trim().parse::<u16>().ok()?))
        });
        let finding = match numbers {
            Some((1 | 2, legs)) if (2..=LEGS).contains(&legs) => return numbers,
            Some((inputs, 1 | 2)) if (3..=LEGS).contains(&inputs) => {
                refused(given, "inputs come first").hint(format!("did you mean `1x{inputs}`?"))
            }
            Some(_) => refused(given, &format!("a splitter has 1 or 2 inputs and 2 to {LEGS} legs")),
            None => refused(given, "expected inputs and legs such as `1x32` or `2x16`"),
        };
        self.findings.push(finding);
        None
    }

    /// How a passive element is joined to its spans.
    pub(super) fn stated_joint(&mut self, fields: &Fields<'_>) -> JointUse {
        let joint = self.given(fields, "joint").and_then(|given| self.joint(&given));
        joint.unwrap_or(self.defaults.joint)
    }

    pub(super) fn read_taps(&mut self, top: &Fields<'_>) {
        for entry in self.devices_of(top, "taps") {
            let owner = Owner { kind: "tap", id: entry.name };
            let Some(fields) = self.open(entry.value, TapForm::KEYS, owner, entry.origin) else {
                self.broken(&entry, "tap");
                continue;
            };
            let ratio = self.required(&fields, "ratio", "90/10");
            // A tap has the same three points whatever its ratio: it is read on.
            let kind = ratio.and_then(|given| self.tap_kind(&given)).unwrap_or_default();
            let place = self.stated_place(&fields);
            let joint = self.stated_joint(&fields);
            let index = |reader: &Self| Device::Tap(reader.plan.taps.len() as u32);
            self.each_device(entry.name, "tap", entry.origin, index, |reader, name| {
                let (kind, origin) = (kind.clone(), entry.origin);
                reader.plan.taps.push(Tap { name, place, kind, joint, origin });
            });
        }
    }

    /// The row of the tap table for `90/10`.
    fn tap_kind(&mut self, given: &Given<'_>) -> Option<Box<str>> {
        if let Some(row) = self.tables.taps.get(given.text) {
            return Some(row.key.as_str().into());
        }
        let parts = given.text.trim().split_once(['/', ':']);
        let share = |text: &str| {
            let number = text.trim().trim_end_matches('%').trim().parse::<f64>().ok()?;
            (0.0..=100.0).contains(&number).then_some(number)
        };
        let shares = parts.and_then(|(through, tap)| Some((share(through)?, share(tap)?)));
        let Some((through, tap)) = shares else {
            let expected = "expected the two percentages such as `90/10`, through, then tap";
            let finding = refused(given, expected);
            self.findings.push(finding);
            return None;
        };
        if (through + tap - 100.0).abs() > 1e-6 {
            let sum = format!("its parts are {} % together, not 100 %", through + tap);
            let finding = refused(given, &sum);
            self.findings.push(finding);
            return None;
        }
        if let Some(row) = self.tables.taps.get(&format!("{through}/{tap}")) {
            return Some(row.key.as_str().into());
        }
        self.no_tap(given, (through, tap));
        None
    }

    fn no_tap(&mut self, given: &Given<'_>, (through, tap): (f64, f64)) {
        let turned = format!("{tap}/{through}");
        let finding = unknown(given, "tap", self.tables.taps.name);
        let finding = match self.tables.taps.get(&turned) {
            Some(row) => finding.hint(format!("the leg that goes on comes first: `{}`", row.key)),
            None => suggest_row(finding, given.text, &self.tables.taps),
        };
        self.findings.push(finding);
    }
}

fn refused(given: &Given<'_>, reason: &str) -> Finding {
    let message = match given.owner.kind {
        "" => format!("{given}: {reason}"),
        _ => format!("the ratio of {} is `{}`: {reason}", given.owner, clip(given.text)),
    };
    bad_ratio::RULE.hit(given.at.origin(), given.owner.id, message)
}
