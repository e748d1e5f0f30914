//! Attenuation between the wavelengths that a table states: Rayleigh scattering, a constant, and the
//! infrared edge of silica, through two anchors.

use spanwright::budget::{Reason, Verdict};
use spanwright::tables::infrared_absorption;
use spanwright::units::Nanometers;

use crate::bench::{Bench, FACING, Sight, printed};

/// A kilometer of a fiber stated at two wavelengths, at a third.
fn kilometer(low: (f64, f64), high: (f64, f64), nm: f64) -> Sight {
    let bench = Bench::made_up("spectral model, high-precision library")
        .fiber("anchored", &[low, high])
        .interface("book", nm, [0.0; 2], [-60.0, 0.0]);
    let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: 1 km, fiber: anchored}}]\n");
    bench.judge(&plan).end("a/1", "b/1")
}

/// The model through pairs of anchors, computed apart with a high-precision library: at 1310 and
/// 1550 nm bare fiber, a handbook's, a planner's, the limits of ITU-T G.652.D; at 1311 and 1550 nm the
/// lowest and highest coefficients of ITU-T link design texts (0.348/0.210, 0.423/0.275; from memory).
#[test]
fn attenuation_between_1310_and_1550_nm() {
    type Anchored<'v> = (f64, f64, f64, &'v [(f64, &'v str)]);
    let cases: [Anchored<'_>; 6] = [
        (
            1310.0,
            0.33,
            0.19,
            &[(1331.0, "0.309879937887"), (1383.0, "0.266576541497"), (1490.0, "0.203976959436")],
        ),
        (
            1310.0,
            0.35,
            0.22,
            &[(1331.0, "0.331138311612"), (1351.0, "0.31454564076"), (1490.0, "0.232194891042")],
        ),
        (1310.0, 0.35, 0.25, &[(1351.0, "0.321649450719"), (1383.0, "0.30250200582")]),
        (
            1310.0,
            0.40,
            0.30,
            &[(1331.0, "0.384913432788"), (1383.0, "0.35250200582"), (1490.0, "0.306848685858")],
        ),
        (
            1311.0,
            0.348,
            0.210,
            &[(1331.0, "0.328996432276"), (1351.0, "0.311406340682"), (1490.0, "0.223796847936")],
        ),
        (1311.0, 0.423, 0.275, &[(1351.0, "0.38408619139"), (1383.0, "0.357024564396")]),
    ];
    for (nm_low, low, at_1550, values) in cases {
        for (nm, per_km) in values {
            let end = kilometer((nm_low, low), (1550.0, at_1550), *nm);
            printed(end.most, &per_km[..12]);
        }
    }
}

/// The anchors themselves are met, and nothing is made up beyond them: a wavelength outside what the
/// table states is not judged.
#[test]
fn nothing_is_extrapolated() {
    let anchors = ((1310.0, 0.40), (1550.0, 0.30));
    printed(kilometer(anchors.0, anchors.1, 1310.0).most, "0.400000000");
    printed(kilometer(anchors.0, anchors.1, 1550.0).most, "0.300000000");
    for nm in [1270.0, 1577.0, 1625.0] {
        let end = kilometer(anchors.0, anchors.1, nm);
        assert_eq!(end.verdict, Verdict::Unknown, "{nm} nm");
        assert!(matches!(end.reason, Reason::Missing(_)));
        assert!(end.margin.is_nan());
    }
}

/// Keiser, ex. 3.3 (p. 97): Rayleigh scattering of 1.64 dB/km at 850 nm is 0.291 dB/km at 1310 nm and
/// 0.148 dB/km at 1550 nm. Anchored at 850 and 1550 nm, there with the infrared edge's 0.0204 dB/km
/// on top (high-precision library), the fiber must show the book's value at 1310 nm.
#[test]
fn keiser_3_3_rayleigh_scattering() {
    let at_1550 = 0.148_317_623_53 + 0.020_372_315_807_3;
    let end = kilometer((850.0, 1.64), (1550.0, at_1550), 1310.0);
    printed(end.most, "0.291");
    printed(end.most - 6.613_631_275_88e-5, "0.2906928624");
}

/// The infrared edge of germanium-doped silica, 7.81e11 exp(-48.48/l) dB/km (from memory of the
/// literature; values by a high-precision library).
#[test]
fn the_infrared_edge() {
    let values = [
        (1310.0, "0.0000661363127588"),
        (1383.0, "0.00046643636886"),
        (1550.0, "0.0203723158073"),
        (1577.0, "0.0348022220667"),
        (1625.0, "0.0862931406164"),
        (1650.0, "0.135609317185"),
    ];
    for (nm, per_km) in values {
        printed(infrared_absorption(Nanometers::new(nm)).value(), per_km);
    }
}

/// EPON loses less downstream than upstream on the same plant, because fiber loses less at 1490 than
/// at 1310 nm: IEEE 802.3 gives 19.5 dB down and 20 dB up for PX10, 10 km (from memory). The built-in
/// G.652.D figures show at least that half decibel over 10 km.
#[test]
fn one_loss_for_both_directions_is_not_enough() {
    let plan = "shelves: {olt: {ports: {1: {optic: EPON-OLT-PX10}}}}\nonts: {ont: {optic: EPON-ONU-PX10}}\n\
                spans: [{from: olt/1, to: ont, length: 10 km}]\n";
    let seen = Bench::recalled("IEEE 802.3 clause 60").judge(plan);
    let (down, up) = (seen.end("olt/1", "ont"), seen.end("ont", "olt/1"));
    assert!(up.most - down.most >= 0.5, "{} up, {} down", up.most, down.most);
    printed(down.window[1], "19.50");
    printed(up.window[1], "20.00");
}
