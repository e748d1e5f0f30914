//! `inventory.wavelength-differs`: the recorded wavelength is not one that the recorded optic sends.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Profile};
use crate::tables::Band;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.wavelength-differs",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the recorded wavelength is not one that the recorded optic sends",
    why: "one of the two is wrong; for single-fiber optics it decides which side it is",
    remedy: "read the wavelength from the module",
    source: "IEEE 802.3 and ITU-T wavelength ranges",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::TxNm], judge: Judge::Words(check), say };

fn check(profile: &Profile) -> bool {
    const NEAR: f64 = 5.0;
    let (Some(sent), Some(optic)) = (profile.tx_nm, &profile.optic) else { return false };
    let sent = sent.value();
    let within =
        |band: &Band| band.shortest.value() - NEAR <= sent && sent <= band.longest.value() + NEAR;
    !optic.transmit.is_empty() && !optic.transmit.iter().any(within)
}

fn say(said: &Said<'_>) -> (String, String) {
    let bands = said.interface().map_or_else(Vec::new, |optic| optic.transmit);
    let bands: Vec<String> = bands
        .iter()
        .map(|band| format!("{} to {}", band.shortest.value(), band.longest.value()))
        .collect();
    let sends =
        if bands.is_empty() { String::new() } else { format!("; it sends {} nm", bands.join(", ")) };
    let (module, written) = (said.shown(Column::Module), said.shown(Column::TxNm));
    (format!("tx_nm `{written}`, where `{module}` does not send{sends}"), String::new())
}
