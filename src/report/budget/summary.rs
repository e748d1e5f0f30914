//! Sentences about a judged plan that all faces share.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::budget::{End, Pair, PairGrade, Reason, State};
use crate::check::plan_matings::assumed_faces;
use crate::check::standing::rule_of_state;
use crate::check::view::View;
use crate::check::words::usual_grades;
use crate::engine::rests::{Rests, RowUse};
use crate::loss::{ExtraLoss, TableName, unlike_fibers};
use crate::place::Files;
use crate::plan::{EndConnectors, JointKind, PortKind};
use crate::report::trust::TrustRow;
use crate::tables::Surplus;

/// A table row that a result rests on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct TableRow {
    /// The table.
    pub table: &'static str,
    /// The row's key.
    pub row: String,
    /// The document behind it.
    pub source: String,
    /// How far it can be trusted.
    pub provenance: &'static str,
    /// The cells of the row that decided something, by how far they can be trusted.
    pub cells: TrustRow,
    /// `built in`, or the user's file.
    pub file: String,
}

/// Why an end has its verdict, and what else speaks against it.
pub fn reason(view: View<'_>, end: &End) -> String {
    let mut said = vec![main_reason(view, end)];
    let also = [
        (view.lacks(end) == Some(true), "more is lost than the optics allow"),
        (view.lacks(end) == Some(false), "only the statistical case closes"),
        (view.overloads(end), "too much light may arrive"),
        (end.against.dispersion, "too much chromatic dispersion"),
        (end.against.beyond_reach, "longer than specified"),
        (end.against.receiver_band, "the wavelength is outside the receiver's range"),
    ];
    for (holds, words) in also {
        if holds && !said[0].starts_with(words) {
            said.push(words.to_string());
        }
    }
    said.join("; ")
}

fn main_reason(view: View<'_>, end: &End) -> String {
    let single_fiber = view.assessment.pair(end).single_fiber;
    let plain = match end.reason {
        Reason::Closes => "the worst case closes",
        Reason::ReserveNotKept => "the worst case closes, the reserve is not kept",
        Reason::OnlyStatistically => "only the statistical case closes",
        Reason::OverLoss => "more is lost than the optics allow",
        Reason::TooMuchLight => "too much light may arrive",
        Reason::BeyondReach => "longer than specified",
        Reason::Dispersion => "too much chromatic dispersion",
        Reason::FiberKind => "the optics are made for another kind of fiber",
        Reason::NotAtConfidence => "the sum closes, the loss at the asked confidence does not",
        Reason::ReceiverBand if single_fiber => {
            "the wavelength is outside the receiver's range, which is filtered"
        }
        Reason::ReceiverBand => {
            "the wavelength is outside the receiver's range: no standard says whether it serves"
        }
        Reason::Blocked => "a wdm element does not pass the wavelength",
        _ => return view.missing_words(end),
    };
    plain.to_string()
}

/// Every home, link and port in one count: `32 homes: 2 fail, 30 pass; 4 ports: 3 in use, 1 free`.
pub fn counted(view: View<'_>) -> String {
    let standing = &view.assessment.standing;
    let plural =
        |count: u32, one: &str| if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") };
    let mut said = Vec::new();
    for (tally, what) in [(&standing.homes, "home"), (&standing.links, "link")] {
        if tally.total() > 0 {
            let counts: Vec<String> =
                tally.counted().map(|(state, count)| format!("{count} {}", state.words())).collect();
            said.push(format!("{}: {}", plural(tally.total(), what), counts.join(", ")));
        }
    }
    let ports = &standing.ports;
    let judged = |state: State| matches!(state, State::Judged(_));
    let in_use: u32 = ports.counted().filter(|(state, _)| judged(*state)).map(|(_, count)| count).sum();
    let mut counts: Vec<String> = ports
        .counted()
        .filter(|(state, _)| !judged(*state))
        .map(|(state, count)| format!("{count} {}", state.words()))
        .collect();
    if in_use > 0 {
        counts.insert(0, format!("{in_use} in use"));
    }
    if ports.total() > 0 {
        said.push(format!("{}: {}", plural(ports.total(), "port"), counts.join(", ")));
    }
    said.join("; ")
}

/// Homes and ports that are dark or that nothing can be said of, a line for each kind: how many, the first of
/// them by name, and the rule that tells it.
pub fn unjudged(view: View<'_>) -> Vec<String> {
    let states = &view.assessment.standing.port_states;
    let of = |state: State, kind: PortKind| {
        let ports = view.plan.ports.iter().zip(states).zip(0u32..);
        ports
            .filter(move |((port, found), _)| port.kind == kind && **found == state)
            .map(|(_, port)| port)
    };
    let mut lines = Vec::new();
    for (kind, what) in [(PortKind::Ont, "home"), (PortKind::Equipment, "port")] {
        for state in
            [State::NoLight, State::NoFiber, State::NoOptic, State::UnknownOptic, State::NoDatum]
        {
            let Some(first) = of(state, kind).next() else { continue };
            let count = of(state, kind).count();
            let (s, more) = match count {
                1 => ("", String::new()),
                count => ("s", format!(" and {} more", count - 1)),
            };
            let name = view.port_name(first);
            let rule = rule_of_state(state).unwrap_or_default();
            lines.push(format!("{count} {what}{s} {}: `{name}`{more} ({rule})", state.words()));
        }
    }
    lines
}

/// What the result assumes, a line each.
pub fn assumptions(view: View<'_>) -> Vec<String> {
    let plan = view.plan;
    let given = &plan.assumptions;
    let mut lines = vec![
        match given.end_connectors {
            EndConnectors::Excluded => {
                "connectors at the equipment are not counted (ITU-T counts from S/R to R/S)"
            }
            EndConnectors::Counted => "connectors at the equipment are counted as joints of the plant",
        }
        .to_string(),
        format!("design reserve {}", given.reserve),
        format!("confidence {}", given.confidence),
        "losses are taken at the nominal wavelength; dispersion at the window's worst edge".to_string(),
        "fiber loss between tabulated wavelengths follows a spectral model: an estimate, not a limit"
            .to_string(),
        "worst case: for a connector the loss that 97 % of matings keep".to_string(),
        "return loss with mean losses; free connectors throw back by their polish, bare fibers nothing"
            .to_string(),
        equipment(view),
        "elements are independent of each other; one element at two wavelengths is not".to_string(),
    ];
    if !given.usual_grades.is_empty() {
        lines.push(usual_grades(&view));
    }
    lines.extend(assumed_faces(&view));
    if let Some((optic, _)) = &given.assumed_optic {
        lines.push(format!(
            "{} homes that are not connected yet are judged with `{optic}`, and so are spare legs of splitters, \
             without a drop",
            plan.assumed.len()
        ));
    }
    let allowances = &given.allowances;
    lines.push(allowances.repair.map_or_else(
        || "no repair splices allowed for".to_string(),
        |repair| {
            let (splices, per) = (repair.splices, repair.per);
            let random = if repair.is_random {
                "; in the statistics repairs come at random (Poisson), one in such a stretch on average"
            } else {
                ""
            };
            format!(
                "{splices} repair splices for each begun {per} outside; none on the first day{random}"
            )
        },
    ));
    lines.push(format!("ageing {}, temperature {}", allowances.ageing, allowances.temperature));
    lines.extend(dirt(view));
    lines.extend(unlike_fiber_joints(view));
    lines.extend(unknown_grades(view));
    lines.extend(assumed_dispersion(view));
    lines.extend(without_isolation(view));
    lines
}

/// Interfaces whose channel loss depends on a grade of fiber that is not known.
fn unknown_grades(view: View<'_>) -> Vec<String> {
    let pairs = &view.assessment.pairs.pairs;
    if !pairs.iter().any(|pair| pair.grade == PairGrade::Unknown) {
        return Vec::new();
    }
    let used: BTreeSet<u32> = view.assessment.ends.iter().map(|end| end.pair).collect();
    let unknown = used.iter().map(|index| &pairs[*index as usize]);
    let line = |pair: &Pair| {
        let (optic, max) = (view.optic_name(pair.transmitter), pair.window.max?);
        Some(format!(
            "the loss that `{optic}` allows depends on the grade of fiber, which is not known on a way: the \
             least, {max}, is taken"
        ))
    };
    let lines: BTreeSet<String> =
        unknown.filter(|pair| pair.grade == PairGrade::Unknown).filter_map(line).collect();
    lines.into_iter().collect()
}

/// Interfaces whose dispersion limit follows from their bit rate, where a way is judged by it.
fn assumed_dispersion(view: View<'_>) -> Vec<String> {
    let pairs = &view.assessment.pairs.pairs;
    if !pairs.iter().any(|pair| pair.dispersion_is_assumed) {
        return Vec::new();
    }
    let judged = |end: &&End| end.against.dispersion || end.against.dispersion_unknown;
    let used: BTreeSet<u32> = view.assessment.ends.iter().filter(judged).map(|end| end.pair).collect();
    let line = |pair: &Pair| {
        let (optic, most) = (view.optic_name(pair.transmitter), pair.dispersion[1]?);
        Some(format!(
            "`{optic}` states no limit of dispersion: {most} either way follow from its bit rate (and line width)"
        ))
    };
    let used = used.iter().map(|index| &pairs[*index as usize]);
    let lines: BTreeSet<String> =
        used.filter(|pair| pair.dispersion_is_assumed).filter_map(line).collect();
    lines.into_iter().collect()
}

/// Legs of wdm elements in use whose isolation no row states.
fn without_isolation(view: View<'_>) -> Vec<String> {
    let rows = view.assessment.rows.iter().filter(|row| row.table == TableName::WdmElements);
    let legs = rows.map(|row| &view.tables.wdm_elements.row(row.row).value);
    let unknown = legs.filter(|leg| leg.isolation.is_none());
    let names: BTreeSet<String> = unknown.map(|leg| format!("`{}/{}`", leg.element, leg.leg)).collect();
    if names.is_empty() {
        return Vec::new();
    }
    let names: Vec<String> = names.into_iter().collect();
    vec![format!(
        "light of other systems through {} is not counted: the isolation is not stated",
        names.join(", ")
    )]
}

/// Where unlike fibers meet and no row tells what that costs.
fn unlike_fiber_joints(view: View<'_>) -> Vec<String> {
    let line = |((a, b), extra): &((u16, u16), ExtraLoss)| {
        let [a, b] = [a, b].map(|fiber| &view.plan.fibers[usize::from(*fiber)]);
        match extra {
            ExtraLoss::Stated => None,
            ExtraLoss::ModeFields => Some(format!(
                "where `{a}` meets `{b}` the joint loses more by their nominal mode fields (no row of \
                 fiber-transitions)"
            )),
            ExtraLoss::Unknown => Some(format!(
                "where `{a}` meets `{b}` no extra loss is counted: fiber-transitions has no row of them, and \
                 their mode fields are not both known"
            )),
        }
    };
    unlike_fibers(view.plan, view.tables).iter().filter_map(line).collect()
}

/// What is assumed of launch and sensitivity.
fn equipment(view: View<'_>) -> String {
    let spreads = view.assessment.pairs.pairs.iter().any(|pair| pair.surplus != [None, None]);
    if !spreads {
        return "launch, sensitivity and penalty at their worst values; the plant statistical"
            .to_string();
    }
    let said = |word: &str, surplus: Option<Surplus>| {
        surplus.map(|Surplus { mean, spread }| format!("{word} {mean} (standard deviation {spread})"))
    };
    let [launch, sensitivity] = view.plan.assumptions.surplus;
    let words = [said("launch", launch), said("sensitivity", sensitivity)];
    let words: Vec<String> = words.into_iter().flatten().collect();
    let optics = view.assessment.pairs.optics.iter().filter_map(|used| used.optic.as_ref());
    let by_row = optics.into_iter().any(|optic| view.tables.spread_row(optic).is_some());
    let whose = match (by_row, words.is_empty()) {
        (true, true) => "by the table optic-spreads".to_string(),
        (true, false) => format!("by the table optic-spreads; of all others {}", words.join(", ")),
        (false, _) => words.join(", "),
    };
    format!(
        "launch and sensitivity are better than their worst values, in the statistics alone: {whose}; for \
         joint yields and overload the OLT is taken at its worst"
    )
}

/// What is assumed of dirty connectors.
fn dirt(view: View<'_>) -> Vec<String> {
    const ALONE: &str = "in the statistics alone; the worst case counts clean ones";
    if let Some(dirt) = view.plan.assumptions.dirt {
        return vec![format!("dirty connectors: {dirt}, {ALONE}")];
    }
    let mut lines: Vec<String> = Vec::new();
    for kind in &view.plan.joint_kinds {
        let JointKind::Connector { grade, .. } = kind else { continue };
        let row = view.tables.connectors.get(grade);
        if let Some((row, dirt)) = row.and_then(|row| Some((row, row.value.dirt?))) {
            let line = format!("dirty connectors of grade {}: {dirt}, {ALONE}", row.key);
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines
}

/// The table rows that a result rests on, with how far their cells can be trusted.
pub fn tables_used(rests: &Rests, files: &Files) -> Vec<TableRow> {
    let row = |row: &RowUse| TableRow {
        table: row.table,
        row: row.key.clone(),
        source: row.source.clone(),
        provenance: row.provenance.word(),
        cells: TrustRow::of(row.cells.values().copied().collect()),
        file: files.describe(row.origin),
    };
    rests.rows().map(row).collect()
}
