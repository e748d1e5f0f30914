//! What a module says of itself, as lines of a head and its words.

use super::Module;
use crate::fit::memory::{
    Application, Block, Cable, Calibration, Code, Diagnostics, Memory, NoDiagnostics, Rate, Reach,
    Tuned, Wavelength,
};
use crate::tables::grid::{DenseChannel, Spacing};
use crate::units::Kilometers;

/// A head and what stands behind it.
pub(super) type Fact = (&'static str, String);

/// Everything that the memory states, in the order in which people ask for it. What it does not
/// state is left out.
pub(super) fn facts(module: &Module<'_>) -> Vec<Fact> {
    let memory = module.memory;
    let mut facts = identity(memory);
    facts.push(("interface", interfaces(module)));
    let codes: Vec<String> = memory.compliance.iter().map(Code::to_string).collect();
    let coded = |code: &Option<Code>| code.as_ref().map(ToString::to_string);
    let optional = [
        ("codes", (!codes.is_empty()).then(|| codes.join(", "))),
        ("media", coded(&memory.media_type)),
        ("transmitter", coded(&memory.technology)),
        ("line code", coded(&memory.encoding)),
        ("symbol rate", memory.rate.map(rate)),
        ("rate select", coded(&memory.rate_identifier)),
        ("wavelength", memory.wavelength.map(wavelength)),
        ("tuned to", memory.tuned.map(tuned)),
        ("reach", (!memory.reaches.is_empty()).then(|| reaches(&memory.reaches))),
        ("cable", memory.cable.map(cable)),
        ("power", Some(power(memory))),
        ("case", case(memory)),
        ("state", coded(&memory.state)),
        ("options", (!memory.options.is_empty()).then(|| memory.options.join(", "))),
        ("edition", memory.revision.as_ref().map(|code| format!("{} {code}", memory.map.name()))),
    ];
    facts.extend(optional.into_iter().filter_map(|(head, words)| Some((head, words?))));
    for application in &memory.applications {
        facts.push(("application", self::application(application)));
    }
    facts.push(("check codes", checksums(memory)));
    facts.extend(diagnostics(&memory.diagnostics));
    facts
}

fn identity(memory: &Memory) -> Vec<Fact> {
    let identity = &memory.identity;
    let with = |words: &str, mark: &str, more: &str| match (words.is_empty(), more.is_empty()) {
        (true, _) => more.to_string(),
        (_, true) => words.to_string(),
        _ => format!("{words}, {mark}{more}"),
    };
    let stated = |words: String| if words.is_empty() { "not stated".to_string() } else { words };
    vec![
        ("form factor", memory.identifier.to_string()),
        ("connector", memory.connector.as_ref().map_or_else(String::new, Code::to_string)),
        ("vendor", stated(with(&identity.vendor, "", &identity.vendor_oui))),
        ("part number", stated(with(&identity.part_number, "revision ", &identity.revision))),
        ("serial number", stated(identity.serial_number.clone())),
        ("made", stated(identity.date.to_string())),
    ]
}

fn interfaces(module: &Module<'_>) -> String {
    if module.memory.cable.is_some() {
        return "none: one end of a cable".to_string();
    }
    if module.interfaces.is_empty() {
        return "none is named by the codes".to_string();
    }
    // One code may name several; they stand one behind the other.
    let by_code = module.interfaces.chunk_by(|a, b| a.code == b.code).map(|named| {
        let names: Vec<&str> = named.iter().map(|one| one.name.as_str()).collect();
        format!("{}, by the code {}", names.join(" or "), named[0].code)
    });
    by_code.collect::<Vec<_>>().join("; ")
}

fn rate(rate: Rate) -> String {
    match rate.spread {
        Some((below, above)) => format!("{} per lane, {below} less to {above} more", rate.nominal),
        None => format!("{} per lane", rate.nominal),
    }
}

fn wavelength(wavelength: Wavelength) -> String {
    let nominal = wavelength.nominal.value();
    match wavelength.tolerance {
        Some(tolerance) => format!("{nominal} nm, within {} nm", tolerance.value()),
        None => format!("{nominal} nm"),
    }
}

fn tuned(tuned: Tuned) -> String {
    let at = tuned.frequency.wavelength();
    let channel = DenseChannel::nearest(at, Spacing::Ghz50);
    let on_it = (channel.frequency() - tuned.frequency).value().abs() < 1e-5;
    let label = channel.label().filter(|_| on_it).map_or_else(String::new, |label| format!(", {label}"));
    let held = if tuned.locked { "locked" } else { "not locked" };
    format!("{}, {at}{label}, {held}", tuned.frequency)
}

/// Meters below 1 km.
pub(super) fn distance(length: Kilometers) -> String {
    match length.value() {
        km if km < 1.0 => format!("{} m", (length.meters() * 10.0).round() / 10.0),
        km => format!("{} km", (km * 1000.0).round() / 1000.0),
    }
}

fn reaches(reaches: &[Reach]) -> String {
    let one = |reach: &Reach| {
        let more = if reach.or_more { "more than " } else { "" };
        format!("{more}{} on {}", distance(reach.length), reach.fiber)
    };
    reaches.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn cable(cable: Cable) -> String {
    cable
        .length
        .map_or_else(|| "length not stated".to_string(), |length| format!("{} long", distance(length)))
}

fn power(memory: &Memory) -> String {
    let class = &memory.power.class;
    let most = memory.power.most.map(|most| format!("{most:.2} at most, "));
    format!("{}{class}", most.unwrap_or_default())
}

fn case(memory: &Memory) -> Option<String> {
    match memory.case {
        [Some(least), Some(most)] => Some(format!("{least:.0} to {most:.0}")),
        [None, Some(most)] => Some(format!("up to {most:.0}")),
        _ => None,
    }
}

fn application(one: &Application) -> String {
    let lanes = |lanes: u8| match lanes {
        0 => "lanes as the interface says".to_string(),
        1 => "1 lane".to_string(),
        lanes => format!("{lanes} lanes"),
    };
    let times = if one.times > 1 { format!(", {} times at once", one.times) } else { String::new() };
    format!(
        "{} on {} to {} on {}{times}",
        one.host,
        lanes(one.host_lanes),
        one.media,
        lanes(one.media_lanes)
    )
}

fn checksums(memory: &Memory) -> String {
    let one = |sum: &crate::fit::memory::Checksum| {
        let judged = if sum.is_right() { "right" } else { "WRONG" };
        format!("{} {:02X}h {judged}", sum.name, sum.stored)
    };
    memory.checksums.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn diagnostics(diagnostics: &Result<Diagnostics, NoDiagnostics>) -> Vec<Fact> {
    let found = match diagnostics {
        Err(why) => return vec![("readings", no_diagnostics(*why))],
        Ok(found) => found,
    };
    let calibrated = match found.calibration {
        Calibration::Internal { .. } => "internally calibrated",
        Calibration::External(_) => "externally calibrated, constants applied",
    };
    let ready = if found.ready { "" } else { "; NOT VALID YET, the module is starting" };
    let terms = found.receive_terms.word();
    let mut facts = vec![("readings", format!("{calibrated}; received light as {terms}{ready}"))];
    let lanes = |pick: fn(&crate::fit::memory::Lane) -> Option<bool>| {
        let set = found.lanes.iter().filter(|lane| pick(lane) == Some(true));
        set.map(|lane| lane.number.to_string()).collect::<Vec<_>>().join(", ")
    };
    let signs = [
        ("signal lost", lanes(|lane| lane.loss_of_signal)),
        ("transmitter failed", lanes(|lane| lane.transmit_fault)),
    ];
    for (head, set) in signs.into_iter().filter(|(_, set)| !set.is_empty()) {
        facts.push((head, format!("on lane {set}")));
    }
    if !found.raised.is_empty() {
        facts.push(("flags held", raised(found)));
    }
    facts
}

fn raised(found: &Diagnostics) -> String {
    let several = found.lanes.len() > 1;
    let one = |raised: &crate::fit::memory::Raised| {
        let lane = raised.lane.filter(|_| several).map_or_else(String::new, |lane| format!(" {lane}"));
        format!("{}{lane} {}", raised.quantity.word(), raised.limit.word())
    };
    found.raised.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn no_diagnostics(why: NoDiagnostics) -> String {
    let place = |block: Block| block.to_string();
    match why {
        NoDiagnostics::NotImplemented => "the module measures nothing of itself".to_string(),
        NoDiagnostics::NotInDump(block) => format!("not in the dump, which lacks the {}", place(block)),
        NoDiagnostics::NotRead(block) => format!("not read: the {} is blank", place(block)),
        NoDiagnostics::CalibrationUnclear { .. } => {
            "not shown: the calibration is not clear".to_string()
        }
    }
}
