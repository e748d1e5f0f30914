//! The given dumps against `dumps/expected.json`.

use approx::assert_abs_diff_eq;
use serde_json::Value;
use spanwright::fit::memory::{Code, Lane, Limit, Limits, Map, Memory, Quantity, ReceiveTerms};
use spanwright::units::{
    DecibelMilliwatts, DegreesCelsius, Milliamperes, Milliwatts, Nanometers, Volts, Watts,
};

use crate::build::{dump_text, image_of, interface_names, judged, lr, parsed, read, rule_ids};

fn expected(name: &str) -> Value {
    let all: Value = serde_json::from_str(&dump_text("expected.json")).expect("JSON");
    all[name].clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("not a number: {value}"))
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(number).collect()
}

fn dbm(light: Option<Milliwatts>) -> f64 {
    light.and_then(Milliwatts::level).map_or(f64::NEG_INFINITY, DecibelMilliwatts::value)
}

fn shown(code: Option<&Code>) -> String {
    code.map(ToString::to_string).unwrap_or_default()
}

fn check_codes(memory: &Memory) -> Vec<(u8, bool)> {
    memory.checksums.iter().map(|sum| (sum.stored, sum.is_right())).collect()
}

fn lane(memory: &Memory) -> Lane {
    memory.diagnostics.as_ref().expect("readings").lanes[0]
}

fn readings_agree(memory: &Memory, expected: &Value) {
    let found = memory.diagnostics.as_ref().expect("readings");
    assert_eq!(found.temperature.map(DegreesCelsius::value), expected["temp_C"].as_f64());
    assert_abs_diff_eq!(
        found.voltage.expect("volts").value(),
        number(&expected["vcc_V"]),
        epsilon = 5e-5
    );
    assert_eq!(found.receive_terms, ReceiveTerms::Average);
}

#[test]
fn sfp_1000base_bx10_u_dark() {
    let expected = expected("sfp_1000base_bx10u_dark");
    let memory = read(&parsed(&dump_text("sfp_1000base_bx10u_dark.hex")));
    let text = |key: &str| expected[key].as_str().expect(key);
    assert_eq!(memory.map, Map::Sff8472);
    assert_eq!(memory.identifier.to_string(), "SFP/SFP+/SFP28 (03h)");
    assert_eq!(shown(memory.connector.as_ref()), "LC (07h)");
    assert_eq!(shown(memory.compliance.first()), text("compliance"));
    assert_eq!(
        memory.encoding.as_ref().and_then(|code| code.meaning.as_deref()),
        Some(text("encoding"))
    );
    assert_eq!(memory.rate.map(|rate| rate.nominal.value()), expected["nominal_MBd"].as_f64());
    assert_eq!(memory.wavelength.map(|w| w.nominal.value()), expected["wavelength_nm"].as_f64());
    assert_eq!(memory.reaches.len(), 1);
    assert_eq!(memory.reaches[0].fiber, "single-mode");
    assert_eq!(memory.reaches[0].length.value(), number(&expected["smf_km"]));
    let identity = &memory.identity;
    assert_eq!(identity.vendor, text("vendor"));
    assert_eq!(identity.vendor_oui, text("oui"));
    assert_eq!(identity.part_number, text("pn"));
    assert_eq!(identity.revision, text("rev"));
    assert_eq!(identity.serial_number, text("sn"));
    assert_eq!(identity.date.to_string().replace(',', ""), text("date"));
    assert_eq!(memory.options.join(", "), text("options"));
    assert_eq!(memory.power.class.meaning.as_deref(), Some("level 1"));
    assert_eq!(memory.power.most.map(Watts::value), expected["power_W"].as_f64());
    assert_eq!(memory.revision.as_ref().and_then(|code| code.meaning.as_deref()), Some(text("sff8472")));
    let codes = ["cc_base", "cc_ext", "cc_dmi"].map(|key| (number(&expected[key]) as u8, true));
    assert_eq!(check_codes(&memory), codes);
    readings_agree(&memory, &expected);
    let lane = lane(&memory);
    assert_eq!(lane.bias.map(Milliamperes::value), expected["bias_mA"].as_f64());
    assert_abs_diff_eq!(dbm(lane.transmit), number(&expected["tx_dBm"]), epsilon = 0.005);
    // Dark is darkness: neither 0 dBm nor minus infinity.
    assert_eq!(lane.receive, Some(Milliwatts::ZERO));
    assert_eq!(lane.receive.and_then(Milliwatts::level), None);
    assert_eq!(lane.loss_of_signal, expected["rx_los"].as_bool());
    let raised = &memory.diagnostics.as_ref().expect("readings").raised;
    let held: Vec<_> = raised.iter().map(|one| (one.quantity, one.limit)).collect();
    assert_eq!(held, [(Quantity::Receive, Limit::LowAlarm), (Quantity::Receive, Limit::LowWarning)]);
    assert_eq!(interface_names(&memory), ["1000BASE-BX10-U"]);
}

fn rising<Q: Copy>(limits: Option<Limits<Q>>, value: impl Fn(Q) -> f64) -> [f64; 4] {
    let limits = limits.expect("thresholds");
    Limit::ALL.map(|limit| {
        value(match limit {
            Limit::HighAlarm => limits.high_alarm,
            Limit::LowAlarm => limits.low_alarm,
            Limit::HighWarning => limits.high_warning,
            Limit::LowWarning => limits.low_warning,
        })
    })
}

#[test]
fn sfpp_10gbase_lr() {
    let expected = expected("sfpp_10gbase_lr");
    let image = parsed(&dump_text("sfpp_10gbase_lr.hex"));
    let (memory, findings) = judged(&image);
    let memory = memory.expect("a memory");
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(check_codes(&memory), [(134, true), (232, true), (86, true)]);
    assert_eq!(memory.identity.part_number, "EX-10G-LR");
    assert_eq!(memory.identity.date.date, Some((2024, 3, 15)));
    assert_eq!(memory.revision.as_ref().and_then(|code| code.meaning.as_deref()), Some("12.3"));
    readings_agree(&memory, &expected);
    let lane = lane(&memory);
    assert_eq!(lane.bias.map(Milliamperes::value), expected["bias_mA"].as_f64());
    assert_eq!(lane.transmit.map(Milliwatts::value), expected["tx_mW"].as_f64());
    assert_eq!(lane.receive.map(Milliwatts::value), expected["rx_mW"].as_f64());
    assert_abs_diff_eq!(dbm(lane.transmit), number(&expected["tx_dBm"]), epsilon = 0.005);
    assert_abs_diff_eq!(dbm(lane.receive), number(&expected["rx_dBm"]), epsilon = 0.005);
    let thresholds = memory.diagnostics.as_ref().expect("readings").thresholds;
    let stated = [
        ("t", rising(thresholds.temperature, DegreesCelsius::value), 0.0),
        ("v", rising(thresholds.voltage, Volts::value), 1e-9),
        ("bias", rising(thresholds.bias, Milliamperes::value), 1e-9),
        // In the memory a power has steps of 0.1 microwatt.
        ("tx", rising(thresholds.transmit, |l| dbm(Some(l))), 0.01),
        ("rx", rising(thresholds.receive, |l| dbm(Some(l))), 0.02),
    ];
    for (key, found, epsilon) in stated {
        for (found, expected) in found.into_iter().zip(numbers(&expected["thresholds"][key])) {
            assert_abs_diff_eq!(found, expected, epsilon = epsilon);
        }
    }
    assert_eq!(interface_names(&memory), [expected["pmd"].as_str().expect("a name")]);
}

#[test]
fn sfpp_10gbase_lr_bad_cc_base() {
    let expected = expected("sfpp_10gbase_lr_bad_cc_base");
    let (mut a0, a2) = lr();
    a0[63] = number(&expected["cc_base_stored"]) as u8;
    let (memory, findings) = judged(&image_of(&a0, &a2));
    let memory = memory.expect("decoded all the same");
    assert_eq!(memory.checksums[0].stored, 135);
    assert_eq!(memory.checksums[0].computed, number(&expected["cc_base_computed"]) as u8);
    assert_eq!(rule_ids(&findings), ["memory.checksum"]);
    assert_eq!(findings[0].message, "CC_BASE: the memory states 87h, bytes 0 to 62 add up to 86h");
    assert_eq!(memory.identity.serial_number, "EX0000000002");
}

#[test]
fn qsfpdd_400gbase_fr4_cmis() {
    let expected = expected("qsfpdd_400gbase_fr4_cmis");
    let (memory, findings) = judged(&parsed(&dump_text("qsfpdd_400gbase_fr4_cmis.hex")));
    let memory = memory.expect("a memory");
    assert_eq!(rule_ids(&findings), ["memory.page-order"]);
    assert_eq!(memory.map, Map::Cmis);
    assert_eq!(
        memory.revision.as_ref().and_then(|code| code.meaning.as_deref()),
        expected["cmis"].as_str()
    );
    assert_eq!(shown(memory.state.as_ref()), "ready (03h)");
    assert_eq!(shown(memory.media_type.as_ref()), "single mode (02h)");
    assert_eq!(shown(memory.technology.as_ref()), "1310 nm EML (06h)");
    let [application] = memory.applications.as_slice() else { panic!("{:?}", memory.applications) };
    assert_eq!(application.host.to_string(), "400GAUI-8 C2M (11h)");
    assert_eq!(application.media.raw(), Some(0x1D));
    assert_eq!((application.host_lanes, application.media_lanes, application.times), (8, 4, 1));
    assert_eq!(memory.power.class.meaning.as_deref(), Some("class 6"));
    assert_eq!(memory.power.most.map(Watts::value), expected["power_W"].as_f64());
    let wavelength = memory.wavelength.expect("a wavelength");
    assert_eq!(wavelength.nominal.value(), number(&expected["wavelength_nm"]));
    assert_eq!(wavelength.tolerance.map(Nanometers::value), expected["tolerance_nm"].as_f64());
    assert_eq!(memory.reaches[0].length.value(), number(&expected["smf_km"]));
    let case = memory.case.map(|degrees| degrees.expect("stated").value());
    assert_eq!(case.to_vec(), numbers(&expected["temp_range_C"]));
    assert_eq!(check_codes(&memory), [(204, true), (76, true), (207, true)]);
    readings_agree(&memory, &expected);
    let lanes = &memory.diagnostics.as_ref().expect("readings").lanes;
    assert_eq!(lanes.len(), 4);
    for (index, lane) in lanes.iter().enumerate() {
        assert_abs_diff_eq!(dbm(lane.transmit), numbers(&expected["tx_dBm"])[index], epsilon = 0.005);
        assert_abs_diff_eq!(dbm(lane.receive), numbers(&expected["rx_dBm"])[index], epsilon = 0.005);
        let bias = lane.bias.map_or(f64::NAN, Milliamperes::value);
        assert_abs_diff_eq!(bias, numbers(&expected["bias_mA"])[index], epsilon = 1e-9);
    }
    // One code stands for the text of the standard and that of the agreement before it.
    assert_eq!(interface_names(&memory), ["400GBASE-FR4", "400G-FR4"]);
    assert_eq!(expected["pmd"].as_str(), Some("400GBASE-FR4"));
}
