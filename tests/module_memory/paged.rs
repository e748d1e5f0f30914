//! Whole memories by SFF-8636 and CMIS.

use approx::assert_abs_diff_eq;
use spanwright::fit::memory::{Lane, Limit, Memory, NoDiagnostics, Quantity, ReceiveTerms};
use spanwright::tables::grid::{DenseChannel, Spacing};
use spanwright::units::{
    DecibelMilliwatts, DegreesCelsius, Kilometers, Milliamperes, Milliwatts, Nanometers, Watts,
};

use crate::build::{
    Paged, dump_text, interface_names, judged, parsed, put_limits, put_text, put16, read, rule_ids,
};

fn level(light: Option<Milliwatts>) -> f64 {
    light.and_then(Milliwatts::level).map_or(f64::NEG_INFINITY, DecibelMilliwatts::value)
}

fn lanes(memory: &Memory) -> &[Lane] {
    &memory.diagnostics.as_ref().expect("readings").lanes
}

/// A worked example: an invented module for 100GBASE-LR4 whose fourth lane is dark. Its check codes
/// are 213 and 25; its readings were also read with a public decoder.
#[test]
fn qsfp28_100gbase_lr4() {
    let (memory, findings) = judged(&parsed(&dump_text("qsfp28_100gbase_lr4.txt")));
    let memory = memory.expect("a memory");
    assert_eq!(memory.checksums.iter().map(|sum| sum.stored).collect::<Vec<_>>(), [213, 25]);
    assert_eq!(memory.identity.part_number, "EX-100G-LR4");
    assert_eq!(memory.identity.date.to_string(), "2024-06-10, lot 01");
    assert_eq!(memory.power.class.meaning.as_deref(), Some("class 4"));
    assert_eq!(memory.power.most.map(Watts::value), Some(3.5));
    // Byte 140 is full, so that byte 222 counts: 103 x 250 MBd.
    assert_eq!(memory.rate.map(|rate| rate.nominal.value()), Some(25_750.0));
    assert_eq!(memory.wavelength.map(|w| w.nominal.value()), Some(1302.35));
    assert_eq!(memory.wavelength.and_then(|w| w.tolerance).map(Nanometers::value), Some(8.0));
    assert_eq!(memory.reaches[0].length.value(), 10.0);
    // 64B/66B is code 05h here and 06h in SFF-8472.
    assert_eq!(memory.encoding.as_ref().map(ToString::to_string).as_deref(), Some("64B/66B (05h)"));
    assert_eq!(interface_names(&memory), ["100GBASE-LR4"]);
    let lanes = lanes(&memory);
    let of = |pick: fn(&Lane) -> f64| lanes.iter().map(pick).collect::<Vec<_>>();
    assert_eq!(of(|lane| lane.bias.expect("bias").value()), [35.5, 36.0, 34.8, 35.9]);
    let transmitted = of(|lane| level(lane.transmit));
    for (found, expected) in transmitted.into_iter().zip([0.6, 0.2, 0.9, 0.4]) {
        assert_abs_diff_eq!(found, expected, epsilon = 0.005);
    }
    assert_eq!(lanes[3].receive, Some(Milliwatts::ZERO));
    assert_eq!(of(|lane| f64::from(u8::from(lane.loss_of_signal == Some(true)))), [0.0, 0.0, 0.0, 1.0]);
    let found = memory.diagnostics.as_ref().expect("readings");
    assert_abs_diff_eq!(found.temperature.expect("degrees").value(), 38.5);
    assert_eq!(found.receive_terms, ReceiveTerms::Average);
    let held: Vec<_> = found.raised.iter().map(|one| (one.quantity, one.lane, one.limit)).collect();
    let receive = |limit| (Quantity::Receive, Some(4), limit);
    assert_eq!(held, [receive(Limit::LowAlarm), receive(Limit::LowWarning)]);
    assert_eq!(rule_ids(&findings), ["memory.beyond-alarm"]);
    assert!(findings[0].message.starts_with("received light of lane 4: dark, below the low alarm"));
}

/// An invented module for 40GBASE-SR4, with the fields the other example leaves empty.
fn sr4() -> Paged {
    let mut memory = Paged::new();
    memory.lower[..3].copy_from_slice(&[0x0D, 0x05, 0]);
    put16(&mut memory.lower, 22, 0xF380); // -12.5 degrees
    put16(&mut memory.lower, 26, 33_100);
    memory.lower[6] = 0b0101_0000;
    memory.lower[12] = 0b1010_0000; // bias, lane 3
    memory.lower[4] = 0b0000_0010;
    for lane in 0..4usize {
        put16(&mut memory.lower, 34 + 2 * lane, 5_000 + 1_000 * lane as u16);
        put16(&mut memory.lower, 42 + 2 * lane, 3_000 + 100 * lane as u16);
        put16(&mut memory.lower, 50 + 2 * lane, 7_000);
    }
    memory.lower[107] = 67;
    let page = memory.page(0);
    page[128] = 0x0D;
    page[129] = 0xE0;
    page[130] = 0x0C;
    page[131] = 0x04;
    page[139] = 0x05;
    page[140] = 103;
    page[142..147].copy_from_slice(&[0, 50, 80, 30, 75]);
    put_text(page, 148, 16, "EXAMPLE OPTICS");
    page[165..168].copy_from_slice(&[0, 0, 0x5E]);
    put_text(page, 168, 16, "EX-40G-SR4");
    put_text(page, 184, 2, "A");
    put16(page, 186, 17_000);
    put16(page, 188, 2_000);
    page[190] = 85;
    put_text(page, 196, 16, "EX0000000040");
    put_text(page, 212, 8, "25023001");
    page[220] = 0b0000_0000;
    memory.seal(0, 128, 191);
    memory.seal(0, 192, 223);
    memory
}

#[test]
fn every_field_of_sff_8636() {
    let (memory, findings) = judged(&sr4().image());
    let memory = memory.expect("a memory");
    assert_eq!(memory.revision.as_ref().map(ToString::to_string).as_deref(), Some("1.5 (05h)"));
    assert_eq!(memory.connector.as_ref().map(ToString::to_string).as_deref(), Some("MPO 1x12 (0Ch)"));
    assert_eq!(
        memory.technology.as_ref().map(ToString::to_string).as_deref(),
        Some("850 nm VCSEL (00h)")
    );
    // Class 8 states its watts itself.
    assert_eq!(memory.power.class.meaning.as_deref(), Some("class 8"));
    assert_eq!(memory.power.most.map(Watts::value), Some(6.7));
    let reaches: Vec<_> = memory.reaches.iter().map(|r| (r.fiber, r.length.meters().round())).collect();
    assert_eq!(reaches, [("OM1", 30.0), ("OM2", 80.0), ("OM3", 100.0), ("OM4", 150.0)]);
    assert_eq!(memory.wavelength.map(|w| w.nominal.value()), Some(850.0));
    assert_eq!(memory.case.map(|c| c.map(DegreesCelsius::value)), [None, Some(85.0)]);
    // The 30th of February is no date.
    assert_eq!(memory.identity.date.date, None);
    assert_eq!(memory.identity.date.to_string(), "25023001");
    assert_eq!(interface_names(&memory), ["40GBASE-SR4"]);
    let found = memory.diagnostics.as_ref().expect("readings");
    assert_eq!(found.temperature.map(DegreesCelsius::value), Some(-12.5));
    assert_eq!(found.receive_terms, ReceiveTerms::Modulation);
    // Bit 2 of byte 220 says that transmitted light is not measured: no reading, rather than dark.
    assert!(found.lanes.iter().all(|lane| lane.transmit.is_none()));
    assert_eq!(found.lanes[2].bias.map(Milliamperes::value), Some(6.4));
    assert_eq!(found.lanes[1].transmit_fault, Some(true));
    assert!(found.thresholds.stated().is_empty(), "no page 03h");
    let held: Vec<_> = found.raised.iter().map(|one| (one.quantity, one.lane, one.limit)).collect();
    let expected = [
        (Quantity::Temperature, None, Limit::LowAlarm),
        (Quantity::Temperature, None, Limit::LowWarning),
        (Quantity::Bias, Some(3), Limit::HighAlarm),
        (Quantity::Bias, Some(3), Limit::HighWarning),
    ];
    assert_eq!(held, expected);
    assert!(findings.is_empty(), "{findings:?}");
}

#[test]
fn a_passive_copper_cable_has_no_light() {
    let mut memory = sr4();
    memory.lower[3..128].fill(0);
    let page = memory.page(0);
    page[130] = 0x23;
    page[131] = 0x08;
    page[146] = 3;
    page[147] = 0xA0;
    memory.seal(0, 128, 191);
    let memory = read(&memory.image());
    let cable = memory.cable.expect("a cable");
    assert_eq!(cable.length.map(Kilometers::meters), Some(3.0));
    assert_eq!(memory.wavelength, None, "these bytes are attenuations here");
    assert!(memory.reaches.iter().all(|reach| reach.fiber != "OM4"));
    assert_eq!(memory.diagnostics, Err(NoDiagnostics::NotImplemented));
    assert!(interface_names(&memory).is_empty());
}

/// An invented tunable module by CMIS, pages in no usual order.
fn tunable() -> Paged {
    let mut memory = Paged::new();
    memory.lower[..4].copy_from_slice(&[0x19, 0x52, 0, 0b0000_0110]);
    put16(&mut memory.lower, 14, 45 * 256);
    put16(&mut memory.lower, 16, 33_000);
    memory.lower[85] = 2;
    memory.lower[86..94].copy_from_slice(&[0x11, 0x3E, 0x81, 0x01, 0x0D, 0x48, 0x21, 0x55]);
    memory.lower[94] = 0xFF;
    let second = memory.page(2);
    put_limits(second, 128, [20_480, 64_256, 19_200, 0]);
    put_limits(second, 176, [20_000, 100, 15_000, 200]);
    put_limits(second, 184, [50_000, 5_000, 45_000, 6_000]);
    put_limits(second, 192, [10_000, 10, 8_000, 20]);
    let lanes = memory.page(0x11);
    for lane in 0..8usize {
        put16(lanes, 154 + 2 * lane, 1_000);
        put16(lanes, 170 + 2 * lane, 20_000);
        put16(lanes, 186 + 2 * lane, 500);
    }
    lanes[147] = 0b0000_1000;
    lanes[135] = 0b0000_0001;
    let laser = memory.page(0x12);
    laser[168..172].copy_from_slice(&193_100_000u32.to_be_bytes());
    let first = memory.page(1);
    first[132] = 0x40 | 63; // the most it can say
    put16(first, 138, 31_000);
    put16(first, 140, 3_600);
    first[146] = 75;
    first[147] = 0xFB; // -5 degrees
    first[151] = 0;
    first[160] = 0b0001_0101; // bias x4, received light and bias are measured
    first[223..227].copy_from_slice(&[0xFF, 0, 0, 0]);
    let page = memory.page(0);
    page[128] = 0x19;
    put_text(page, 129, 16, "EXAMPLE OPTICS");
    put_text(page, 148, 16, "EX-400G-ZR");
    put_text(page, 166, 16, "EX0000000077");
    put_text(page, 182, 8, "250630");
    page[200] = 0xE0;
    page[201] = 81;
    page[203] = 0x07;
    page[212] = 0x10;
    memory.seal(0, 128, 222);
    memory.seal(1, 130, 255);
    memory.seal(2, 128, 255);
    memory
}

#[test]
fn every_field_of_cmis() {
    let (memory, findings) = judged(&tunable().image());
    let memory = memory.expect("a memory");
    assert_eq!(memory.identifier.to_string(), "OSFP 8X Pluggable Transceiver (19h)");
    assert_eq!(memory.revision.as_ref().map(ToString::to_string).as_deref(), Some("5.2 (52h)"));
    assert_eq!(
        memory.technology.as_ref().map(ToString::to_string).as_deref(),
        Some("C-band tunable (10h)")
    );
    assert_eq!(memory.power.most.map(Watts::value), Some(20.25));
    assert_eq!((memory.reaches[0].length.value(), memory.reaches[0].or_more), (63.0, true));
    assert_eq!(memory.case.map(|c| c.map(DegreesCelsius::value)), [Some(-5.0), Some(75.0)]);
    let times: Vec<_> = memory.applications.iter().map(|one| (one.media_lanes, one.times)).collect();
    assert_eq!(times, [(1, 1), (1, 4)]);
    assert_eq!(interface_names(&memory), ["OIF-400ZR-amplified"]);
    let tuned = memory.tuned.expect("tuned");
    assert!(tuned.locked);
    let channel = DenseChannel::nearest(tuned.frequency.wavelength(), Spacing::Ghz100);
    assert_eq!(channel.label().as_deref(), Some("C31"));
    // The second application uses four lanes, one by one.
    let lanes = lanes(&memory);
    assert_eq!(lanes.len(), 4);
    assert_eq!(lanes[0].bias.map(Milliamperes::value), Some(160.0), "20000 x 2 uA x 4");
    assert_eq!(lanes[0].transmit, None, "not measured");
    assert_abs_diff_eq!(level(lanes[0].receive), -13.0103, epsilon = 5e-5);
    assert_eq!((lanes[3].loss_of_signal, lanes[0].transmit_fault), (Some(true), Some(true)));
    let thresholds = memory.diagnostics.as_ref().expect("readings").thresholds;
    assert_eq!(thresholds.bias.map(|limits| limits.high_alarm.value()), Some(400.0));
    // Transmitted before received light, the reverse of SFF-8636.
    assert_eq!(thresholds.transmit.map(|limits| limits.high_alarm.value()), Some(2.0));
    assert_eq!(thresholds.receive.map(|limits| limits.high_alarm.value()), Some(1.0));
    assert_eq!(thresholds.temperature.map(|limits| limits.low_alarm.value()), Some(-5.0));
    assert!(findings.is_empty(), "{findings:?}");
}

#[test]
fn without_page_01h_no_lane_is_read() {
    let memory = read(&tunable().without(1).image());
    let found = memory.diagnostics.expect("temperature and voltage");
    assert_eq!(found.temperature.map(DegreesCelsius::value), Some(45.0));
    assert!(found.lanes.is_empty(), "nobody says which readings mean something");
    assert_eq!(found.thresholds.bias, None, "nor the scale of the bias");
}

#[test]
fn more_applications_stand_on_page_01h() {
    let mut memory = tunable();
    for index in 0..8 {
        memory.lower[86 + 4 * index..90 + 4 * index].copy_from_slice(&[0x11, 0x3E, 0x81, 0x01]);
    }
    memory.page(1)[223..231].copy_from_slice(&[0x11, 0x4D, 0x81, 0x01, 0xFF, 0, 0, 0]);
    memory.seal(1, 130, 255);
    let memory = read(&memory.image());
    assert_eq!(memory.applications.len(), 9);
    assert_eq!(interface_names(&memory), ["OIF-400ZR-amplified", "400GBASE-ZR"]);
}
