//! Rules about what a module's memory says of the module: is it whole, is it sound, does it go
//! together?

pub mod bad_calibration;
pub mod bad_dump;
pub mod beyond_alarm;
pub mod beyond_warning;
pub mod blank;
pub mod checksum;
pub mod claims_disagree;
pub mod cut_off;
pub mod page_order;
pub mod short;
pub mod threshold_order;
pub mod unknown_code;
pub mod unknown_map;

use super::{Finding, Rule, sort};
use crate::fit::memory::{Image, Limit, Memory, NoMemory};
use crate::place::{FileId, Origin};
use crate::tables::Tables;

/// Findings of a decoded memory, sorted.
pub fn judge(memory: &Memory, image: &Image, tables: &Tables, file: FileId) -> Vec<Finding> {
    let at = Origin::whole(file);
    let mut findings = Vec::new();
    bad_calibration::check(memory, at, &mut findings);
    beyond_alarm::check(memory, at, &mut findings);
    beyond_warning::check(memory, at, &mut findings);
    checksum::check(memory, at, &mut findings);
    claims_disagree::check(memory, tables, at, &mut findings);
    cut_off::check(image, at, &mut findings);
    page_order::check(image, at, &mut findings);
    threshold_order::check(memory, at, &mut findings);
    unknown_code::check(memory, at, &mut findings);
    sort(&mut findings);
    findings
}

/// Why bytes are not the memory of a module, as a finding about the input.
pub fn refuse(fault: &NoMemory, image: &Image, file: FileId) -> Finding {
    let at = Origin::whole(file);
    match fault {
        NoMemory::Blank => blank::finding(image, at),
        NoMemory::UnknownMap(identifier) => unknown_map::finding(identifier, at),
        NoMemory::Short { map, block, last } => short::finding(*map, *block, *last, at),
    }
}

/// Readings beyond thresholds of one kind. Nothing is said of readings that are not valid yet.
fn crossings(
    memory: &Memory,
    rule: &'static Rule,
    kind: [Limit; 2],
    at: Origin,
    findings: &mut Vec<Finding>,
) {
    let Some(diagnostics) = memory.diagnostics.as_ref().ok().filter(|found| found.ready) else { return };
    let several = diagnostics.lanes.len() > 1;
    for crossing in diagnostics.crossings().into_iter().filter(|one| kind.contains(&one.limit)) {
        let quantity = crossing.quantity.word();
        let lane = crossing
            .lane
            .filter(|_| several)
            .map_or_else(String::new, |lane| format!(" of lane {lane}"));
        let side = match crossing.limit {
            Limit::HighAlarm | Limit::HighWarning => "above",
            Limit::LowAlarm | Limit::LowWarning => "below",
        };
        let message = format!(
            "{quantity}{lane}: {}, {side} the {} of {}",
            crossing.reading,
            crossing.limit.word(),
            crossing.threshold
        );
        findings.push(rule.hit(at, format!("{quantity}{lane}"), message));
    }
}
