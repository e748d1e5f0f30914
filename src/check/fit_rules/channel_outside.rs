//! `fit.channel-outside`: the optic does not send on the channel it is set to.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.channel-outside",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the channel lies outside the wavelengths of the optic",
    why: "a laser of fixed wavelength cannot be set, and a tunable one only within its band",
    remedy: "use an optic made for the channel",
    source: "ITU-T G.694.1 and G.694.2",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(optic) = side.optic else { return Outcome::Idle };
    let (Some(channel), Some(row)) = (optic.channel, optic.interface(tables)) else {
        return Outcome::Idle;
    };
    let Some(own) = row.value.transmit.first() else {
        return Outcome::Missing("the wavelengths of the optic");
    };
    let at = channel.wavelength();
    let wide = row.value.transmit.iter().any(|band| band.shortest <= at && at <= band.longest);
    if wide {
        return Outcome::Fits;
    }
    let (name, from, to) = (channel.name(), own.shortest, own.longest);
    Outcome::hit(format!("channel {name} is {at}, {} sends {from} to {to}", row.key))
}
