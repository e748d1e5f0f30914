//! `fit.polish-undecided`: the plug that meets a face is not stated, and the connectors of its cord are of a
//! polish that does not go with it.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.polish-undecided",
    severity: Severity::Error,
    concern: Concern::Datum,
    what: "the plug of a cord is not stated, and the connectors of the cord do not go with the face it meets",
    why: "a cord of one polish at both ends spoils the face; a cord with another plug here is right, and nobody says which it is",
    remedy: "state the plugs of the cord (`plugs: [LC/UPC, SC/APC]`, `--plugs LC/UPC,SC/APC`), or the face that it meets",
    source: "IEC 61755-1 end-face geometries; common practice",
};

/// Judges the polish that the connectors of a span are stated to have against the face that its end meets.
pub fn judge(connectors: &str, face: Option<&str>, whose: &str, tables: &Tables) -> Outcome {
    let polish = |name: &str| tables.polishes.get(name);
    let (Some(own), Some(met)) = (polish(connectors), face.and_then(polish)) else {
        return Outcome::Idle;
    };
    if own.value.mates_with.contains(&met.key) {
        return Outcome::Fits;
    }
    Outcome::hit(format!(
        "{whose} is {}, and the connectors of the span are {}: its plug here is not stated",
        met.key, own.key
    ))
}
