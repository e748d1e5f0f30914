//! What is said of a port beside its name: its optics, and what else is known of cage and module.

use super::fields::Fields;
use super::given::Given;
use super::reader::Reader;
use crate::check::plan_rules::{conflicting_keys, unknown_word};
use crate::place::Origin;
use crate::plan::{Fitting, Plug};
use crate::read::limits;
use crate::tables::grid::Channel;

/// The keys that say how a port is fitted out.
pub(super) const SAID: [&str; 8] =
    ["cage", "form", "temperature", "power", "rate", "fec", "face", "lane"];
/// Lanes that a broken-out optic can have.
const MOST_LANES: u32 = 16;

impl Reader<'_> {
    /// The optics of a port or an ONT and what else is said of it. An optic that no table knows is
    /// kept: the engine answers `unknown` for its ends.
    pub(super) fn fitted(&mut self, fields: &Fields<'_>, usual: &Fitting) -> (Option<u32>, Option<u32>) {
        let optics = self.optics(fields);
        let optics: Vec<&str> = optics.iter().map(String::as_str).collect();
        let set = self.optic_set(&optics);
        let mut fitting = usual.clone();
        for key in SAID {
            if let Some(given) = self.given(fields, key) {
                self.fit_out(&mut fitting, key, &given);
            }
        }
        (set, self.keep_fitting(fitting, fields.origin))
    }

    /// A fitting with what the cells of a row say, each with its key.
    pub(super) fn refitted(
        &mut self,
        fitting: Option<u32>,
        cells: &[Given<'_>],
        origin: Origin,
    ) -> Option<u32> {
        let known = fitting.and_then(|index| self.plan.fittings.get(index as usize)).cloned();
        let mut known = known.unwrap_or_default();
        for given in cells {
            self.fit_out(&mut known, given.key, given);
        }
        self.keep_fitting(known, origin)
    }

    /// The optics, each with the channel it is set to.
    fn optics(&mut self, fields: &Fields<'_>) -> Vec<String> {
        let optics = self.one_or_many(fields, "optic");
        let optics: Vec<String> = optics.iter().map(|given| given.text.trim().to_string()).collect();
        match self.given(fields, "channel") {
            Some(given) => self.tuned(optics, &given),
            None => optics,
        }
    }

    /// An optic with the channel that it is set to.
    pub(super) fn tuned(&mut self, optics: Vec<String>, given: &Given<'_>) -> Vec<String> {
        if optics.len() > 1 {
            let message = format!("{} does not say which of the optics", given.named());
            let finding = conflicting_keys::RULE.hit(given.at.origin(), given.owner.id, message);
            self.findings.push(finding.hint("write the channel behind the optic: `10GBASE-ZR C31`"));
            return optics;
        }
        match Channel::parse(given.text) {
            Ok(_) => optics.iter().map(|optic| format!("{optic} {}", given.text.trim())).collect(),
            Err(error) => {
                let message = format!("{}: {error}", given.named());
                let finding = unknown_word::RULE.hit(given.at.origin(), given.owner.id, message);
                self.findings.push(finding);
                optics
            }
        }
    }

    /// One thing said of a port.
    pub(super) fn fit_out(&mut self, fitting: &mut Fitting, key: &str, given: &Given<'_>) {
        match key {
            "cage" => fitting.cage = self.row(given, "form factor", |tables| &tables.form_factors),
            "form" => fitting.form = self.row(given, "form factor", |tables| &tables.form_factors),
            "temperature" => {
                let row = self.row(given, "temperature range", |tables| &tables.temperature_ranges);
                fitting.temperature = row;
            }
            "power" => fitting.power = self.positive(given),
            "rate" => fitting.rate = self.positive(given),
            "fec" => fitting.fec = self.fec(given),
            "face" => fitting.face = self.plug(given).unwrap_or_default(),
            "lane" => fitting.lane = self.count(given, 1, MOST_LANES).map(|lane| lane as u16),
            _ => {}
        }
    }

    /// The index of a fitting, added if new.
    fn keep_fitting(&mut self, fitting: Fitting, origin: Origin) -> Option<u32> {
        let kept = self.plan.fitting(fitting);
        if self.plan.fittings.len() > limits::FITTINGS {
            self.too_many("differently fitted ports", limits::FITTINGS, origin);
            self.plan.fittings.truncate(limits::FITTINGS);
            return None;
        }
        kept
    }

    /// An error correction by the word that the interface table uses.
    fn fec(&mut self, given: &Given<'_>) -> Option<String> {
        let words: Vec<(&str, &str)> =
            crate::tables::FEC_WORDS.iter().map(|word| (*word, *word)).collect();
        self.word(given, &words).map(String::from)
    }

    /// An end face: `LC/UPC`, `MPO-12/APC/pinned`.
    pub(super) fn plug(&mut self, given: &Given<'_>) -> Option<Plug> {
        match Plug::parse(given.text, &self.tables.polishes) {
            Ok(plug) => Some(plug),
            Err(error) => {
                let message = format!("{}: {error}", given.named());
                let finding = unknown_word::RULE.hit(given.at.origin(), given.owner.id, message);
                let hint = unknown_word::meant_face(&error, &self.tables.polishes);
                self.findings.push(finding.hint(hint));
                None
            }
        }
    }
}
