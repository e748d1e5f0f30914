//! What a change does: the ends, PONs and links of both states in pairs.

use std::collections::{BTreeMap, HashMap, HashSet};

use serde::Serialize;

use crate::budget::{End, Verdict};
use crate::check::view::View;
use crate::report::budget::EndRow;
use crate::report::document::{GroupLine, group_lines};
use crate::units::{Decibels, Probability};

/// Margins nearer to each other than this did not move, dB; so with headroom.
const HAIR_DB: f64 = 1e-6;
/// Yields nearer to each other than this did not move.
const HAIR: f64 = 1e-9;

/// What moved of an end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EndChange {
    /// The end's id.
    pub id: String,
    /// Its direction.
    pub direction: &'static str,
    /// The sending port.
    pub from: String,
    /// The receiving port.
    pub to: String,
    /// The wavelength.
    pub wavelength_nm: f64,
    /// Verdict before; `None` for a new end.
    pub verdict_old: Option<&'static str>,
    /// Verdict after; `None` for an end that is gone.
    pub verdict_new: Option<&'static str>,
    /// Margin before, dB.
    pub margin_old_db: Option<f64>,
    /// Margin after, dB.
    pub margin_new_db: Option<f64>,
    /// Headroom before, dB.
    pub headroom_old_db: Option<f64>,
    /// Headroom after, dB.
    pub headroom_new_db: Option<f64>,
    /// Yield before.
    pub yield_old: Option<f64>,
    /// Yield after.
    pub yield_new: Option<f64>,
}

/// What moved of a PON or link.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupChange {
    /// The OLT port, or both ports of a link.
    pub id: String,
    /// Its optic.
    pub optic: String,
    /// Verdict before; `None` when it is new.
    pub verdict_old: Option<&'static str>,
    /// Verdict after; `None` when it is gone.
    pub verdict_new: Option<&'static str>,
    /// Least margin before, dB.
    pub margin_old_db: Option<f64>,
    /// Least margin after, dB.
    pub margin_new_db: Option<f64>,
    /// Joint yield before (the lesser yield of a link's directions).
    pub joint_yield_old: Option<f64>,
    /// Joint yield after.
    pub joint_yield_new: Option<f64>,
}

/// Ports, direction, transmitter and wavelength: what makes an end the same end. A wavelength is told by
/// its hundredths of a nanometer.
type Key = (String, String, &'static str, i64);

fn key(row: &EndRow<'_>) -> Key {
    (row.from.to_string(), row.to.to_string(), row.direction, (row.wavelength_nm * 100.0).round() as i64)
}

/// What the comparison looks at.
struct Seen<'v> {
    row: EndRow<'v>,
    verdict: Verdict,
}

fn seen(view: View<'_>) -> BTreeMap<Key, Seen<'_>> {
    let one = |end: &End| {
        let row = EndRow::of(view, end);
        (key(&row), Seen { row, verdict: end.verdict })
    };
    view.assessment.ends.iter().map(one).collect()
}

fn moved(old: Option<f64>, new: Option<f64>, hair: f64) -> bool {
    match (old, new) {
        (Some(old), Some(new)) => (old - new).abs() > hair,
        (old, new) => old != new,
    }
}

/// How urgent a change is: another verdict for the worse, ends that are gone or new, another verdict for the
/// better, the same verdict.
fn news(was: Option<&Seen<'_>>, is: Option<&Seen<'_>>) -> u8 {
    match (was, is) {
        (Some(was), Some(is)) if is.verdict > was.verdict => 0,
        (Some(was), Some(is)) if is.verdict < was.verdict => 2,
        (Some(_), Some(_)) => 3,
        _ => 1,
    }
}

/// What ends are sorted by: the kind of change, the new verdict (worst first), the direction, the margin
/// gained in hundredths.
type Urgency = (u8, Option<std::cmp::Reverse<Verdict>>, &'static str, i64);

/// Ends that moved: those of another verdict first, the worst verdict before the others, one direction after
/// the other, then by the loss of margin.
pub(super) fn ends(old: View<'_>, new: View<'_>) -> Vec<EndChange> {
    let (before, after) = (seen(old), seen(new));
    let mut changes: Vec<(Urgency, EndChange)> = Vec::new();
    let keys: std::collections::BTreeSet<&Key> = before.keys().chain(after.keys()).collect();
    for key in keys {
        let (was, is) = (before.get(key), after.get(key));
        let change = end_change(key, was, is);
        let differs = change.verdict_old != change.verdict_new
            || moved(change.margin_old_db, change.margin_new_db, HAIR_DB)
            || moved(change.headroom_old_db, change.headroom_new_db, HAIR_DB)
            || moved(change.yield_old, change.yield_new, HAIR);
        if differs {
            let gain = change.margin_new_db.unwrap_or(0.0) - change.margin_old_db.unwrap_or(0.0);
            let new = is.or(was).map(|seen| std::cmp::Reverse(seen.verdict));
            // To the hundredth that is shown: what looks equal stays in the order of names.
            let gain = (gain * 100.0).round() as i64;
            changes.push(((news(was, is), new, change.direction, gain), change));
        }
    }
    changes.sort_by_key(|(urgency, _)| *urgency);
    changes.into_iter().map(|(_, change)| change).collect()
}

fn end_change(key: &Key, was: Option<&Seen<'_>>, is: Option<&Seen<'_>>) -> EndChange {
    let of =
        |seen: Option<&Seen<'_>>, pick: fn(&EndRow<'_>) -> Option<f64>| seen.and_then(|s| pick(&s.row));
    let named = is.or(was);
    EndChange {
        id: named.map_or_else(String::new, |seen| seen.row.id.to_string()),
        direction: key.2,
        from: key.0.clone(),
        to: key.1.clone(),
        wavelength_nm: named.map_or(0.0, |seen| seen.row.wavelength_nm),
        verdict_old: was.map(|seen| seen.row.verdict),
        verdict_new: is.map(|seen| seen.row.verdict),
        margin_old_db: of(was, |row| row.margin_db),
        margin_new_db: of(is, |row| row.margin_db),
        headroom_old_db: of(was, |row| row.headroom_db),
        headroom_new_db: of(is, |row| row.headroom_db),
        yield_old: of(was, |row| row.r#yield),
        yield_new: of(is, |row| row.r#yield),
    }
}

/// PONs and links that moved, in the order of reading of the new state, those that are gone last. A PON is
/// the same PON while its system is: another class of optic is a change of it.
pub(super) fn groups(old: View<'_>, new: View<'_>) -> Vec<GroupChange> {
    let (before, after) = (group_lines(old), group_lines(new));
    let name = |view: View<'_>, line: &GroupLine<'_>| {
        let optic = view.assessment.pairs.optic(line.group.optic);
        let system = optic.and_then(|optic| optic.system(view.tables)).unwrap_or_default().to_string();
        (line.id.to_string(), line.far.map(str::to_string), system)
    };
    // Of lines of one name the first counts: the last to be put in is the first of the list.
    let known: HashMap<_, _> = before.iter().rev().map(|line| (name(old, line), line)).collect();
    let mut kept = HashSet::new();
    let mut changes = Vec::new();
    for line in &after {
        let name = name(new, line);
        changes.push(group_change(known.get(&name).copied(), Some(line)));
        kept.insert(name);
    }
    let gone = before.iter().filter(|line| !kept.contains(&name(old, line)));
    changes.extend(gone.map(|line| group_change(Some(line), None)));
    changes.retain(|change| {
        change.verdict_old != change.verdict_new
            || moved(change.margin_old_db, change.margin_new_db, HAIR_DB)
            || moved(change.joint_yield_old, change.joint_yield_new, HAIR)
    });
    changes
}

fn group_change(was: Option<&GroupLine<'_>>, is: Option<&GroupLine<'_>>) -> GroupChange {
    let named = is.or(was);
    let margin = |line: Option<&GroupLine<'_>>| line.and_then(|line| line.margin).map(Decibels::value);
    let closes =
        |line: Option<&GroupLine<'_>>| line.and_then(|line| line.closes).map(Probability::value);
    GroupChange {
        id: named.map_or_else(String::new, |line| {
            line.far.map_or_else(|| line.id.to_string(), |far| format!("{} to {far}", line.id))
        }),
        optic: named.map_or_else(String::new, |line| line.optic.to_string()),
        verdict_old: was.map(|line| line.verdict.word()),
        verdict_new: is.map(|line| line.verdict.word()),
        margin_old_db: margin(was),
        margin_new_db: margin(is),
        joint_yield_old: closes(was),
        joint_yield_new: closes(is),
    }
}
