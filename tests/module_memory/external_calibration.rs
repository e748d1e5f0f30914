//! SFF-8472, external calibration. Results computed apart with general-purpose arithmetic from the
//! formulas of the document: slope x raw + offset, and for received light a polynomial of the
//! fourth degree in the raw number.

use approx::assert_abs_diff_eq;
use spanwright::fit::memory::{Diagnostics, Limits, NoDiagnostics};
use spanwright::units::{DecibelMilliwatts, DegreesCelsius, Milliwatts};

use crate::build::{external, image_of, judged, put16, read, rule_ids, seal_sfp};

fn level(light: Option<Milliwatts>) -> f64 {
    light.and_then(Milliwatts::level).map_or(f64::NAN, DecibelMilliwatts::value)
}

fn measured(a0: &[u8; 256], a2: &[u8; 256]) -> Diagnostics {
    read(&image_of(a0, a2)).diagnostics.expect("readings")
}

#[test]
fn readings() {
    let (a0, a2) = external();
    let found = measured(&a0, &a2);
    let lane = found.lanes[0];
    assert_eq!(found.temperature.map(DegreesCelsius::value), Some(48.0));
    assert_abs_diff_eq!(found.voltage.expect("volts").value(), 3.282_773, epsilon = 5e-7);
    assert_abs_diff_eq!(lane.bias.expect("bias").value(), 44.96, epsilon = 1e-9);
    assert_abs_diff_eq!(lane.transmit.expect("light").value(), 1.407_75, epsilon = 1e-9);
    assert_abs_diff_eq!(level(lane.transmit), 1.485, epsilon = 5e-4);
    // 758.25 x 0.1 uW. With coefficients taken for factors, not powers, it would be -11.237 dBm;
    // without calibration -6.021 dBm.
    assert_abs_diff_eq!(lane.receive.expect("light").value(), 0.075_825, epsilon = 1e-8);
    assert_abs_diff_eq!(level(lane.receive), -11.202, epsilon = 5e-4);
}

#[test]
fn thresholds_are_calibrated_too() {
    let (a0, a2) = external();
    let thresholds = measured(&a0, &a2).thresholds;
    let high_and_low = |limits: Option<Limits<Milliwatts>>| {
        limits.map(|limits| [level(Some(limits.high_alarm)), level(Some(limits.low_alarm))])
    };
    let temperature = thresholds.temperature.expect("stated");
    assert_eq!((temperature.high_alarm.value(), temperature.low_alarm.value()), (88.0, -12.0));
    assert_abs_diff_eq!(
        thresholds.voltage.expect("stated").high_alarm.value(),
        3.614_062_5,
        epsilon = 1e-9
    );
    assert_abs_diff_eq!(thresholds.bias.expect("stated").high_alarm.value(), 94.46, epsilon = 1e-9);
    let [high, _] = high_and_low(thresholds.transmit).expect("stated");
    assert_abs_diff_eq!(high, 2.733_486, epsilon = 1e-5);
    let [high, low] = high_and_low(thresholds.receive).expect("stated");
    assert_abs_diff_eq!(high, -0.042_771, epsilon = 1e-5);
    assert_abs_diff_eq!(low, -24.947_143, epsilon = 1e-5);
}

#[test]
fn all_five_coefficients_count_in_their_order() {
    let (mut a0, mut a2) = external();
    let coefficients: [f32; 5] = [1e-16, 2e-12, -1e-7, 0.25, -3.0];
    for (index, coefficient) in coefficients.iter().enumerate() {
        a2[56 + 4 * index..60 + 4 * index].copy_from_slice(&coefficient.to_be_bytes());
    }
    put16(&mut a2, 104, 20_000);
    seal_sfp(&mut a0, &mut a2);
    // 1e-16 x 1.6e17 + 2e-12 x 8e12 - 1e-7 x 4e8 + 0.25 x 2e4 - 3 = 4989.
    let light = measured(&a0, &a2).lanes[0].receive.expect("light");
    assert_abs_diff_eq!(light.value(), 0.4989, epsilon = 1e-6);
    // 0.25 x 5 - 3 is below zero: darkness, not a negative power.
    put16(&mut a2, 104, 5);
    assert_eq!(measured(&a0, &a2).lanes[0].receive, Some(Milliwatts::ZERO));
}

#[test]
fn constants_that_cannot_be_right_are_found() {
    let (mut a0, mut a2) = external();
    assert!(judged(&image_of(&a0, &a2)).1.is_empty());
    a2[56..60].copy_from_slice(&f32::NAN.to_be_bytes());
    put16(&mut a2, 84, 0);
    seal_sfp(&mut a0, &mut a2);
    let (memory, findings) = judged(&image_of(&a0, &a2));
    let calibration: Vec<_> = findings
        .iter()
        .filter(|f| f.rule.id == "memory.bad-calibration")
        .map(|f| f.message.as_str())
        .collect();
    assert_eq!(
        calibration,
        ["a coefficient of the received light is not a number", "the slope of the temperature is 0"]
    );
    let found = memory.expect("a memory").diagnostics.expect("the other readings");
    assert_eq!(found.lanes[0].receive, None);
    assert_abs_diff_eq!(level(found.lanes[0].transmit), 1.485, epsilon = 5e-4);
}

#[test]
fn an_unclear_calibration_gives_no_readings() {
    for (byte, both) in [(0x48, false), (0x78, true)] {
        let (mut a0, mut a2) = external();
        a0[92] = byte;
        seal_sfp(&mut a0, &mut a2);
        let (memory, findings) = judged(&image_of(&a0, &a2));
        let why = memory.expect("a memory").diagnostics.expect_err("no readings");
        assert_eq!(why, NoDiagnostics::CalibrationUnclear { both });
        assert_eq!(rule_ids(&findings), ["memory.bad-calibration"]);
    }
}
