//! `fit.unknown-optic`: no table knows an optic's name.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::tables::Named;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.unknown-optic",
    severity: Severity::Error,
    concern: Concern::Datum,
    what: "no table knows this optic",
    why: "an optic that nobody knows cannot be judged, and its ends stay unknown",
    remedy: "write the name as the tables have it (`spanwright tables interfaces`), or add a row of your own",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let names = crate::tables::Optic::names(view.tables);
    for (index, used) in view.assessment.pairs.optics.iter().enumerate() {
        if used.optic.is_some() {
            continue;
        }
        let ports = || {
            let optic = index as u16;
            view.assessment.dark.iter().filter(move |dark| dark.optic == optic).map(|dark| dark.port)
        };
        let (Some(first), count) = (ports().next(), ports().count()) else { continue };
        let name = view.port_name(first);
        let more = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
        let message = format!("no table knows the optic `{}` in `{name}`{more}", used.written);
        let hint = meant(view, &used.written, &names);
        findings.push(RULE.hit(view.port_origin(first), name, message).hint(hint));
    }
}

/// What a name probably means: one of several, or the nearest.
fn meant(view: &View<'_>, written: &str, names: &[String]) -> String {
    if let Named::Several(several) = view.tables.interface_named(written) {
        return format!("it may be {}: write one of them", several.join(" or "));
    }
    let near = crate::check::nearest(written, names.iter().map(String::as_str));
    near.map_or_else(String::new, |near| format!("did you mean `{near}`?"))
}
