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
    for (index, used) in view.assessment.pairs.optics.iter().enumerate() {
        if used.optic.is_some() {
            continue;
        }
        let optic = index as u16;
        let ports =
            || view.assessment.dark.iter().filter(|dark| dark.optic == optic).map(|dark| dark.port);
        if let Some(first) = ports().next() {
            findings.push(of(view, optic, first, ports().count()).about_ports(ports()));
        }
    }
}

/// The finding about a port with an unknown optic, which speaks for so many that have the same.
pub(crate) fn of(view: &View<'_>, optic: u16, port: u32, count: usize) -> Finding {
    let written =
        view.assessment.pairs.optics.get(usize::from(optic)).map_or("", |used| used.written.as_str());
    let name = view.port_name(port);
    let more = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
    let message = format!("no table knows the optic `{written}` in `{name}`{more}");
    let hint = meant(view, written, &crate::tables::Optic::names(view.tables));
    RULE.hit(view.port_origin(port), name, message).hint(hint)
}

/// What a name probably means: one of several, or the nearest.
fn meant(view: &View<'_>, written: &str, names: &[String]) -> String {
    if let Named::Several(several) = view.tables.interface_named(written) {
        return format!("it may be {}: write one of them", several.join(" or "));
    }
    let near = crate::check::nearest(written, names.iter().map(String::as_str));
    near.map_or_else(String::new, |near| format!("did you mean `{near}`?"))
}
