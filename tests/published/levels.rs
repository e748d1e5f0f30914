//! Levels in dBm and milliwatts: what arrives, and what several sources make together.

use spanwright::budget::hazards;
use spanwright::units::DecibelMilliwatts;

use crate::bench::{Bench, FACING, Link, dbm, exact, milliwatts, padded, printed};

/// Palais, Fiber Optic Communications, ex. 1.1: elements of 11, 6 and 3 dB one after the other;
/// 5 mW in, 0.05 mW out.
#[test]
fn palais_1_1_losses_in_a_row_add_in_db() {
    let launch = dbm(5.0);
    let bench = Bench::of("Palais ex. 1.1").interface("book", 1310.0, [launch; 2], [-30.0, launch]);
    let plan = format!(
        "{FACING}attenuators:\n  x: {{loss: 11 dB, tolerance: 0 dB}}\n  y: {{loss: 6 dB, tolerance: 0 dB}}\n\
         \x20 z: {{loss: 3 dB, tolerance: 0 dB}}\njoints:\n- {{from: a/1, to: x/a, joint: none}}\n\
         - {{from: x/b, to: y/a, joint: none}}\n- {{from: y/b, to: z/a, joint: none}}\n\
         - {{from: z/b, to: b/1, joint: none}}\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    exact(end.most, 20.0);
    exact(milliwatts(end.received[0]), 0.05);
}

/// Palais, ex. 1.3: 2 mW through 23 dB: 0.010024 mW.
#[test]
fn palais_1_3_two_milliwatts_through_23_db() {
    let launch = dbm(2.0);
    let bench = Bench::of("Palais ex. 1.3").interface("book", 1310.0, [launch; 2], [-30.0, launch]);
    let end = bench.judge(&padded("book", "book", 23.0)).end("a/1", "b/1");
    printed(milliwatts(end.received[0]), "0.010024");
}

/// Keiser, ex. 3.2 (p. 91): 200 uW into 30 km at 0.4 dB/km: -19.0 dBm.
#[test]
fn keiser_3_2_200_microwatts_over_30_km() {
    let launch = dbm(0.2);
    let link = Link { source: "Keiser ex. 3.2", launch, per_km: 0.4, ..Link::BARE };
    let end = link.over(30.0);
    printed(end.received[0], "-19.0");
    printed(end.received[0], "-18.9897");
}

/// Senior, ex. 5.8 (p. 266): a star of 32 passes 14 of 1000 uW to each port: 18.54 dB.
#[test]
fn senior_5_8_each_port_of_a_star_gets_14_microwatts() {
    let bench = Bench::of("Senior ex. 5.8").interface("book", 1310.0, [0.0; 2], [-30.0, 0.0]);
    let plan = format!(
        "{FACING}splitters: {{star: {{ratio: 1x32, joint: none, measured: 18.54 dB, uncertainty: 0 dB}}}}\n\
         joints:\n- {{from: a/1, to: star/in, joint: none}}\n- {{from: star/32, to: b/1, joint: none}}\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    printed(1000.0 * milliwatts(end.received[0]), "14.0");
}

/// A paper on a PON of two stages: +4.5 dBm less 22.01 dB is -17.51 dBm, less 26.98 dB
/// -22.48 dBm. It prints its losses in dBm; a loss is in dB, and the other is refused.
#[test]
fn a_level_less_a_loss_is_a_level() {
    let bench = Bench::of("worked example of a two-stage PON").interface(
        "book",
        1490.0,
        [4.5, 4.5],
        [-28.0, -8.0],
    );
    for (loss, level) in [(22.01, -17.51), (26.98, -22.48)] {
        let end = bench.judge(&padded("book", "book", loss)).end("a/1", "b/1");
        exact(end.received[0], level);
        exact(end.received[1], level);
    }
    let in_dbm = padded("book", "book", 22.01).replace("22.01 dB", "22.01 dBm");
    assert_eq!(bench.refused(&in_dbm), ["plan.bad-quantity"]);
}

fn total(levels: &[f64]) -> f64 {
    let levels = levels.iter().map(|level| DecibelMilliwatts::new(*level));
    DecibelMilliwatts::total(levels).expect("a sum").value()
}

/// Powers in one fiber add in milliwatts: +7 and +7 dBm are 10.0103 dBm, four of +11 dBm
/// 17.0206 dBm (plain arithmetic). 4WDM-10 MSA: four lanes of 2.5 dBm, 8.5 dBm in all. IEEE 802.3
/// Table 88-7: four lanes of 4.5 dBm, 10.5 dBm.
#[test]
fn powers_in_one_fiber_add() {
    printed(total(&[7.0; 2]), "10.0103");
    printed(total(&[11.0; 4]), "17.0206");
    printed(total(&[2.5; 4]), "8.5");
    printed(total(&[4.5; 4]), "10.5");
}

/// The same sums, met by the engine where the light meets: four lanes leaving a port with no total
/// of its own stated.
#[test]
fn the_lanes_of_a_port_add_at_its_first_connector() {
    const COLUMNS: &str = "interface,lanes,fiber_kind,fibers,tx_nm,levels,tx_min_dbm,tx_max_dbm,\
                           rx_min_dbm,overload_dbm,overload_terms";
    for (most, sum) in [(2.5, "8.5"), (4.5, "10.5")] {
        let row = format!("book,4,SM,2,1271;1291;1311;1331,mean,-4,{most},-12,{most},mean");
        let bench = Bench::of("4WDM-10 MSA; IEEE 802.3 Table 88-7").rows("interfaces", COLUMNS, &[row]);
        let seen = bench.judge(&padded("book", "book", 3.0)).0;
        let found = hazards(&seen.plan, &seen.plant, &seen.tables, &seen.assessment, 9);
        assert_eq!(found.len(), 2);
        printed(found[0].power.value(), sum);
    }
}

/// GPON C+ and XGS-PON N2 send at most +7 dBm each (ITU-T G.984.2 and G.9807.1): behind the
/// coexistence element 10.0103 dBm may come out.
#[test]
fn two_systems_add_behind_their_coexistence_element() {
    let plan = "shelves: {olt: {ports: {1: {optic: GPON-OLT-C+}, 2: {optic: XGS-PON-OLT-N2}}}}\n\
                wdm-elements: {ce: {type: CE-GPON-XGS, joint: none}}\n\
                onts: {ont: {optic: [GPON-ONU-C+, XGS-PON-ONU-N2]}}\njoints:\n\
                - {from: olt/1, to: ce/gpon, joint: none}\n- {from: olt/2, to: ce/xgs, joint: none}\n\
                spans: [{from: ce/com, to: ont, length: 20 km}]\n";
    let seen = Bench::of("ITU-T G.984.5").judge(plan).0;
    let found = hazards(&seen.plan, &seen.plant, &seen.tables, &seen.assessment, 9);
    printed(found[0].power.value(), "10.0103");
    assert_eq!(seen.plan.point_name(found[0].point), "ce/com");
    let wavelengths: Vec<f64> = found[0].wavelengths.iter().map(|nm| nm.value()).collect();
    assert_eq!(wavelengths, [1490.0, 1577.0]);
}

/// A level must hold at every wavelength that comes out: 10.5 dBm keep 15.6 mW near 1310 nm (level 1), but
/// not 10 mW above 1400 nm; no level 1M is tabulated near 1310 nm, so 3B is the lowest that holds at both
/// (limits of IEC 60825-2 and 60825-1 as the table has them).
#[test]
fn the_hazard_level_holds_at_every_wavelength() {
    const COLUMNS: &str = "interface,lanes,fiber_kind,fibers,tx_nm,levels,tx_min_dbm,tx_max_dbm,\
                           rx_min_dbm,overload_dbm,overload_terms,tx_total_max_dbm";
    for (nm, level) in [("1310", "1"), ("1550", "1M"), ("1310;1550", "3B"), ("1550;1310", "3B")] {
        let lanes = nm.split(';').count();
        let row = format!("book,{lanes},SM,2,{nm},mean,0,9,-12,10,mean,10.5");
        let bench = Bench::recalled("IEC 60825-2").rows("interfaces", COLUMNS, &[row]);
        let seen = bench.judge(&padded("book", "book", 3.0)).0;
        let found = hazards(&seen.plan, &seen.plant, &seen.tables, &seen.assessment, 9);
        printed(found[0].power.value(), "10.5");
        assert_eq!(found[0].level.as_deref(), Some(level), "{nm}");
    }
}

/// What a receiver may get is bounded by the other side's launch and its own limits: A sends 0.5 dBm at most
/// into a receiver overloaded at -7 dBm, so 7.5 dB must be lost; back, -3 dBm meet an overload of 0.5 dBm.
/// The greatest loss likewise: -5 to -18 dBm and -8 to -14 dBm (plain arithmetic).
#[test]
fn unlike_interfaces_are_judged_each_way_by_their_own_limits() {
    let bench = Bench::made_up("plain arithmetic")
        .interface("near", 1310.0, [-5.0, 0.5], [-14.0, 0.5])
        .interface("far", 1310.0, [-8.0, -3.0], [-18.0, -7.0]);
    let seen = bench.judge(&padded("near", "far", 9.0));
    let (there, back) = (seen.end("a/1", "b/1"), seen.end("b/1", "a/1"));
    super::bench::range(there.window, [7.5, 13.0]);
    super::bench::range(back.window, [0.0, 6.0]);
}
