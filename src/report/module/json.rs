//! The machine's face: one JSON document of a stable shape.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::Module;
use crate::fit::memory::{
    Application, Calibration, Code, Diagnostics, Lane, Limits, Memory, NoDiagnostics, Raised,
};
use crate::report::budget::FindingRow;
use crate::report::cautions;
use crate::units::{DegreesCelsius, Milliwatts};

/// The version of the shape. It rises when a field changes its meaning or goes; new fields do not
/// change it.
const SHAPE_VERSION: u32 = 1;

/// Writes the whole document. A level of light is `null` where it is dark: its milliwatts are 0.
///
/// # Errors
/// Whatever the writer says.
pub fn write(module: &Module<'_>, out: &mut impl Write) -> io::Result<()> {
    let interfaces: Vec<Value> = module
        .interfaces
        .iter()
        .map(|named| json!({ "interface": named.name, "code": code(&named.code) }))
        .collect();
    let findings: Vec<FindingRow<'_>> =
        module.findings.iter().map(|finding| FindingRow::of(finding, module.files)).collect();
    let (diagnostics, why_not) = match &module.memory.diagnostics {
        Ok(found) => (diagnostics(found), Value::Null),
        Err(why) => (Value::Null, json!(reason(*why))),
    };
    let document = json!({
        "shape": "spanwright.module",
        "version": SHAPE_VERSION,
        "module": stated(module.memory),
        "interfaces": interfaces,
        "check_codes": checksums(module.memory),
        "diagnostics": diagnostics,
        "no_diagnostics": why_not,
        "findings": findings,
        "cautions": [cautions::LIGHT, cautions::SHELF],
    });
    serde_json::to_writer_pretty(&mut *out, &document).map_err(io::Error::from)?;
    writeln!(out)
}

/// Numbers without the noise of binary fractions.
fn clean(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

fn code(code: &Code) -> Value {
    json!({
        "standard": code.standard,
        "field": code.field,
        "code": code.at.to_string(),
        "meaning": code.meaning,
    })
}

fn stated(memory: &Memory) -> Value {
    let coded = |one: &Option<Code>| one.as_ref().map_or(Value::Null, code);
    let identity = &memory.identity;
    let made = identity.date.date.map(|(year, month, day)| format!("{year}-{month:02}-{day:02}"));
    let reaches: Vec<Value> = memory
        .reaches
        .iter()
        .map(|reach| json!({ "fiber": reach.fiber, "km": clean(reach.length.value()), "or_more": reach.or_more }))
        .collect();
    let cable_km = memory.cable.and_then(|cable| cable.length).map(|length| clean(length.value()));
    json!({
        "map": memory.map.name(),
        "revision": coded(&memory.revision),
        "identifier": code(&memory.identifier),
        "connector": coded(&memory.connector),
        "vendor": identity.vendor,
        "vendor_oui": identity.vendor_oui,
        "part_number": identity.part_number,
        "part_revision": identity.revision,
        "serial_number": identity.serial_number,
        "date_code": identity.date.text,
        "made": made,
        "lot": identity.date.lot,
        "compliance": memory.compliance.iter().map(code).collect::<Vec<_>>(),
        "media_type": coded(&memory.media_type),
        "applications": memory.applications.iter().map(application).collect::<Vec<_>>(),
        "encoding": coded(&memory.encoding),
        "technology": coded(&memory.technology),
        "rate_mbd": memory.rate.map(|rate| rate.nominal.value()),
        "rate_identifier": coded(&memory.rate_identifier),
        "wavelength_nm": memory.wavelength.map(|wavelength| clean(wavelength.nominal.value())),
        "wavelength_tolerance_nm":
            memory.wavelength.and_then(|w| w.tolerance).map(|tolerance| clean(tolerance.value())),
        "tuned_thz": memory.tuned.map(|tuned| clean(tuned.frequency.value())),
        "tuned_locked": memory.tuned.map(|tuned| tuned.locked),
        "reach": reaches,
        "is_cable": memory.cable.is_some(),
        "cable_km": cable_km,
        "power_class": code(&memory.power.class),
        "power_w": memory.power.most.map(|most| clean(most.value())),
        "case_c": memory.case.map(|degrees| degrees.map(DegreesCelsius::value)),
        "state": coded(&memory.state),
        "options": memory.options,
    })
}

fn application(one: &Application) -> Value {
    json!({
        "host": code(&one.host),
        "media": code(&one.media),
        "host_lanes": one.host_lanes,
        "media_lanes": one.media_lanes,
        "times": one.times,
    })
}

fn checksums(memory: &Memory) -> Vec<Value> {
    let one = |sum: &crate::fit::memory::Checksum| {
        json!({
            "name": sum.name,
            "from": sum.covers.0,
            "to": sum.covers.1,
            "stored": sum.stored,
            "computed": sum.computed,
            "right": sum.is_right(),
        })
    };
    memory.checksums.iter().map(one).collect()
}

fn light(value: Milliwatts) -> Value {
    json!({ "mw": clean(value.value()), "dbm": value.level().map(|level| clean(level.value())) })
}

fn limits<Q: Copy + PartialOrd>(limits: Option<Limits<Q>>, shown: impl Fn(Q) -> Value) -> Value {
    limits.map_or(Value::Null, |limits| {
        json!({
            "low_alarm": shown(limits.low_alarm),
            "low_warning": shown(limits.low_warning),
            "high_warning": shown(limits.high_warning),
            "high_alarm": shown(limits.high_alarm),
            "ordered": limits.are_ordered(),
        })
    })
}

fn diagnostics(found: &Diagnostics) -> Value {
    let calibration = match found.calibration {
        Calibration::Internal { .. } => "internal",
        Calibration::External(_) => "external",
    };
    let thresholds = &found.thresholds;
    json!({
        "calibration": calibration,
        "received_light_terms": found.receive_terms.word(),
        "ready": found.ready,
        "temperature_c": found.temperature.map(|value| clean(value.value())),
        "voltage_v": found.voltage.map(|value| clean(value.value())),
        "lanes": found.lanes.iter().map(lane).collect::<Vec<_>>(),
        "thresholds": {
            "temperature_c": limits(thresholds.temperature, |value| json!(clean(value.value()))),
            "voltage_v": limits(thresholds.voltage, |value| json!(clean(value.value()))),
            "bias_ma": limits(thresholds.bias, |value| json!(clean(value.value()))),
            "transmitted": limits(thresholds.transmit, light),
            "received": limits(thresholds.receive, light),
        },
        "flags_held": found.raised.iter().copied().map(raised).collect::<Vec<_>>(),
    })
}

fn lane(lane: &Lane) -> Value {
    json!({
        "lane": lane.number,
        "bias_ma": lane.bias.map(|value| clean(value.value())),
        "transmitted": lane.transmit.map(light),
        "received": lane.receive.map(light),
        "signal_lost": lane.loss_of_signal,
        "transmitter_failed": lane.transmit_fault,
    })
}

fn raised(raised: Raised) -> Value {
    json!({ "of": raised.quantity.word(), "lane": raised.lane, "limit": raised.limit.word() })
}

fn reason(why: NoDiagnostics) -> &'static str {
    match why {
        NoDiagnostics::NotImplemented => "not-implemented",
        NoDiagnostics::NotInDump(_) => "not-in-dump",
        NoDiagnostics::NotRead(_) => "not-read",
        NoDiagnostics::CalibrationUnclear { .. } => "calibration-unclear",
    }
}
