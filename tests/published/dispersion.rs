//! Chromatic dispersion along a link, and the limit that a transmitter sets to it.

use spanwright::budget::{Reason, Verdict};

use crate::bench::{Bench, FACING, Sight, closes, exact, printed, range};

/// A link over a built-in fiber at one wavelength, or between the edges of a window.
fn over(fiber: &str, band: [f64; 2], km: f64) -> Sight {
    const COLUMNS: &str = "interface,lanes,fiber_kind,fibers,tx_nm_min,tx_nm_max,tx_min_dbm,tx_max_dbm,\
                           rx_min_dbm,overload_dbm";
    let row = format!("book,1,SM,2,{},{},0,0,-60,0", band[0], band[1]);
    let bench = Bench::made_up("dispersion of a fiber").rows("interfaces", COLUMNS, &[row]);
    let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: {km} km, fiber: {fiber}}}]\n");
    bench.judge(&plan).end("a/1", "b/1")
}

/// ITU-T G.652, zero dispersion at 1300 to 1324 nm with at most 0.092 ps/(nm² km) (clause from
/// memory): the envelope by a high-precision library, and the greatest magnitude over 20 km.
#[test]
fn the_envelope_of_g_652() {
    let envelope = [
        (1260.0, -6.351_993_435_86, -3.858_976_272_46, "-127.04"),
        (1270.0, -5.293_933_932_89, -2.859_344_453_65, "-105.878678658"),
        (1310.0, -1.308_794_826_92, 0.909_519_156_475, "-26.18"),
        (1330.0, 0.548_275_883_084, 2.668_012_885_12, "53.36"),
        (1383.0, 5.090_428_432_47, 6.975_684_570_65, "139.5"),
        (1490.0, 12.904_110_833_9, 14.411_682_958_2, "288.2"),
        (1550.0, 16.670_503_722_3, 18.009_692_524_6, "360.2"),
        (1577.0, 18.249_758_922_3, 19.521_333_462_6, "390.426669253"),
        (1625.0, 20.904_010_873_4, 22.066_2, "441.3"),
    ];
    for (nm, least, most, over_20_km) in envelope {
        let end = over("G.652.B", [nm, nm], 20.0);
        printed(end.dispersion[0] / 20.0, &format!("{least:.4}"));
        printed(end.dispersion[1] / 20.0, &format!("{most:.4}"));
        let [low, high] = end.dispersion;
        printed(if -low > high { low } else { high }, over_20_km);
    }
}

/// ITU-T G.652 (11/2016), from memory: 13.3 to 18.6 ps/(nm km) at 1550 nm, wider than the envelope.
/// A limit is held against the wider one.
#[test]
fn g_652_d_at_1550_nm_takes_the_wider_range() {
    range(over("G.652.D", [1550.0; 2], 100.0).dispersion, [1330.0, 1860.0]);
}

/// ITU-T G.652 (11/2016), from memory: slopes of 0.050 to 0.067 ps/(nm² km) on both sides of 1550 nm, without
/// a step: 18.6 + 0.067 * 15 = 19.605 at 1565 nm, 18.6 + 0.067 * 27 = 20.409 at 1577 nm, 13.3 - 0.067 * 20 =
/// 11.96 and 18.6 - 0.050 * 20 = 17.6 at 1530 nm.
#[test]
fn g_652_d_beside_1550_nm() {
    let at = |nm| over("G.652.D", [nm; 2], 100.0).dispersion;
    printed(at(1565.0)[1], "1960.5");
    printed(at(1577.0)[1], "2040.9");
    range(at(1530.0), [1196.0, 1760.0]);
    for nm in [1534.0, 1549.5, 1564.5] {
        let step = [0, 1].map(|side| (at(nm + 1.0)[side] - at(nm)[side]).abs());
        assert!(step.iter().all(|step| *step < 8.0), "{nm}: {step:?}");
    }
}

/// Formulas of ITU-T G.655.D, G.655.E and G.656 (from memory; the values at 1550 nm of G.655 were read),
/// worked apart: both pieces of each line meet at 1550 nm. G.654.E: 17 to 23 at 1550 nm, slope 0.050 to 0.070.
#[test]
fn the_lines_of_shifted_fibers() {
    let at = |fiber, nm: f64| over(fiber, [nm; 2], 100.0).dispersion;
    for (fiber, nm, least, most) in [
        ("G.655.D", 1530.0, 124.444_444_4, 555.333_333_3),
        ("G.655.D", 1550.0, 280.0, 620.0),
        ("G.655.D", 1625.0, 577.0, 1126.0),
        ("G.655.E", 1550.0, 606.0, 931.0),
        ("G.655.E", 1565.0, 672.0, 1013.4),
        ("G.655.E", 1625.0, 936.0, 1343.0),
        ("G.656", 1550.0, 360.0, 928.0),
        ("G.656", 1625.0, 458.0, 1400.0),
        ("G.653.A", 1530.0, -350.0, 350.0),
        ("G.654.E", 1565.0, 1775.0, 2405.0),
    ] {
        let found = at(fiber, nm);
        for (found, expected) in [(found[0], least), (found[1], most)] {
            approx::assert_abs_diff_eq!(found, expected, epsilon = 1e-6);
        }
    }
}

/// An interface that states no limit takes one from its bit rate: 1e5/B² = 1e5/100 = 1000 ps/nm at 10 GBd
/// without chirp (Kolimbiris, section 12), and 0.115 / (B w) with a broad line: at 622 Mbit/s and 4 nm
/// 46.22 ps/nm (worked apart). G.655.D at 1550 nm has at most 6.2 ps/(nm km).
#[test]
fn a_limit_from_bit_rate_and_line_width() {
    const INTERFACES: &str = "interface,lanes,lane_gbaud,modulation,line_width_nm,fiber_kind,fibers,tx_nm,\
                              tx_min_dbm,tx_max_dbm,rx_min_dbm,overload_dbm";
    let at = |gbaud: &str, width: &str, km: f64| {
        let row = format!("book,1,{gbaud},NRZ,{width},SM,2,1550,0,0,-60,0");
        let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: {km} km, fiber: G.655.D}}]\n");
        let bench = Bench::recalled("a limit from the bit rate").rows("interfaces", INTERFACES, &[row]);
        bench.judge(&plan).end("a/1", "b/1")
    };
    for (gbaud, width, limit) in [("10", "", 1000.0), ("0.622", "4", 46.221_865)] {
        let km = limit / 6.2;
        assert!(closes(&at(gbaud, width, km - 0.001)), "{gbaud}");
        let beyond = at(gbaud, width, km + 0.001);
        assert_eq!((beyond.verdict, beyond.reason), (Verdict::Fail, Reason::Dispersion), "{gbaud}");
    }
}

/// The window of a transmitter counts at its edges (common practice, IEEE 802.3): 1270 to 1330 nm
/// on G.652 spans from the least of one edge to the most of the other.
#[test]
fn dispersion_is_taken_at_the_edges_of_the_window() {
    let end = over("G.652.D", [1270.0, 1330.0], 10.0);
    printed(end.dispersion[0], "-52.9393393289");
    printed(end.dispersion[1], "26.6801288512");
}

/// A single-mode fiber with one zero-dispersion wavelength and slope.
fn own_fiber(source: &'static str, zero: f64, slope: f64, nm: f64) -> Sight {
    const COLUMNS: &str = "fiber,kind,nm_min,nm_max,zero_dispersion_min_nm,zero_dispersion_max_nm,\
                           zero_dispersion_slope_max";
    let bench = Bench::of(source)
        .rows("fibers", COLUMNS, &[format!("book,SM,800,1700,{zero},{zero},{slope}")])
        .attenuation("book", &[(nm, 0.3)])
        .interface("book", nm, [0.0; 2], [-60.0, 0.0]);
    let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: 1 km, fiber: book}}]\n");
    bench.judge(&plan).end("a/1", "b/1")
}

/// Senior, ex. 3.11 (p. 131): zero at 1310 nm, slope 0.09: -2.8 ps/(nm km) at 1280 nm, 17.1 at
/// 1550 nm. Palais, ex. 3.3, zero at 1300 nm, slope 0.095 (printed with the opposite sign):
/// 18.597 at 1550 nm; 1.857 at 1320 nm (worked with a high-precision library).
#[test]
fn senior_3_11_and_palais_3_3() {
    let senior = |nm| own_fiber("Senior ex. 3.11", 1310.0, 0.09, nm).dispersion;
    let palais = |nm| own_fiber("Palais ex. 3.3", 1300.0, 0.095, nm).dispersion;
    for (values, figure) in [
        (senior(1280.0), "-2.8"),
        (senior(1280.0), "-2.796414"),
        (senior(1550.0), "17.1"),
        (palais(1550.0), "18.597"),
        (palais(1320.0), "1.8572527"),
    ] {
        printed(values[0], figure);
        printed(values[1], figure);
    }
}

/// Multimode fibers at 850 nm by the limits of IEC 60793-2-10 (from memory; values by a
/// high-precision library): the zero-dispersion window's short end gives the least magnitude.
#[test]
fn multimode_fiber_at_850_nm() {
    const COLUMNS: &str = "interface,lanes,fiber_kind,fibers,tx_nm";
    let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: 1 km, fiber: OM3}}]\n");
    let bench =
        Bench::recalled("IEC 60793-2-10").rows("interfaces", COLUMNS, &["book,1,MM,2,850".to_string()]);
    let end = bench.judge(&plan).end("a/1", "b/1");
    printed(end.dispersion[1], "-97.9005467");
    let own = |zero, slope| own_fiber("IEC 60793-2-10", zero, slope, 850.0).dispersion[0];
    printed(own(1310.0, 0.105), "-103.567783757");
    printed(own(1320.0, 0.101_25), "-103.617989166");
}

/// ITU-T G.957 L-16.2 stands 1600 ps/nm (from memory): at 18.6 ps/(nm km) just over 86 km, whatever
/// light is left.
#[test]
fn too_much_dispersion_fails_a_link_with_light_to_spare() {
    let at = |km| limited(1600.0, "G.652.D", km);
    let near = at(86.0);
    assert!(closes(&near));
    printed(near.dispersion[1], "1599.6");
    let far = at(86.1);
    assert!(far.margin > 0.0);
    assert_eq!((far.verdict, far.reason), (Verdict::Fail, Reason::Dispersion));
}

/// A link at 1550 nm with a dispersion limit and light for a thousand kilometers.
fn limited(limit: f64, fiber: &str, km: f64) -> Sight {
    const FIBERS: &str = "fiber,kind,nm_min,nm_max,zero_dispersion_min_nm,zero_dispersion_max_nm,\
                          zero_dispersion_slope_max,dispersion_1550_min,dispersion_1550_max";
    const INTERFACES: &str = "interface,lanes,fiber_kind,fibers,tx_nm,tx_min_dbm,tx_max_dbm,rx_min_dbm,\
                              overload_dbm,dispersion_max_ps_nm";
    let bench = Bench::recalled("dispersion limits")
        .rows("fibers", FIBERS, &["seventeen,SM,1260,1625,1310,1310,0.08,17,17".to_string()])
        .attenuation("seventeen", &[(1550.0, 0.01)])
        .attenuation("G.652.D", &[(1550.0, 0.2)])
        .rows("interfaces", INTERFACES, &[format!("book,1,SM,2,1550,0,0,-60,0,{limit}")]);
    let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: {km} km, fiber: {fiber}}}]\n");
    bench.judge(&plan).end("a/1", "b/1")
}

/// Kolimbiris, ex. 12.6 (p. 442): 1.25 Gbit/s, 17 ps/(nm km), a line of 0.5 nm, which stands
/// 1/(B dl) = 1600 ps/nm: 94.1176 km. Ex. 12.32 (p. 518): 2.5 Gbit/s externally modulated, which
/// stands 1e5/B² = 16000 ps/nm: 941.12 km; at 10 Gbit/s 1000 ps/nm, 58.8 km.
#[test]
fn kolimbiris_12_6_and_12_32() {
    for (limit, km, step) in [(1600.0, 94.1176, 0.0001), (16_000.0, 941.12, 0.1), (1000.0, 58.8, 0.1)] {
        assert!(closes(&limited(limit, "seventeen", km)), "{km} km");
        let farther = limited(limit, "seventeen", km + step);
        assert_eq!((farther.verdict, farther.reason), (Verdict::Fail, Reason::Dispersion));
    }
}

/// IEEE 802.3 Table 88-7 (from memory): 100GBASE-LR4 stands -28.4 to +9.4 ps/nm, four lanes on 10 km
/// of G.652. Every lane keeps both.
#[test]
fn the_lanes_of_100gbase_lr4_keep_their_limits() {
    let plan = format!(
        "{}spans: [{{from: a/1, to: b/1, length: 10 km}}]\n",
        FACING.replace("book", "100GBASE-LR4")
    );
    let seen =
        Bench::recalled("IEEE 802.3 Table 88-7").attenuation("G.652.D", &[(1295.0, 0.4)]).judge(&plan);
    let lanes = &seen.0.assessment.ends;
    assert_eq!(lanes.len(), 8);
    for end in lanes {
        let (low, high) = end.dispersion.expect("known");
        assert!(low.value() > -28.4 && high.value() < 9.4, "{low} to {high}");
        assert_eq!(end.verdict, Verdict::Pass);
    }
}

/// Dispersion adds up along unlike spans with its sign (ITU-T G.Suppl. 39; plain arithmetic): 10 km
/// of 17 ps/(nm km) before 10 km of Palais' fiber (18.597) are 355.97 ps/nm.
#[test]
fn dispersion_adds_up_along_unlike_spans() {
    const FIBERS: &str = "fiber,kind,nm_min,nm_max,zero_dispersion_min_nm,zero_dispersion_max_nm,\
                          zero_dispersion_slope_max,dispersion_1550_min,dispersion_1550_max";
    let rows =
        ["one,SM,1260,1625,1310,1310,0.0,17,17", "two,SM,1260,1625,1300,1300,0.095,,"].map(String::from);
    let bench = Bench::of("Palais ex. 3.3")
        .rows("fibers", FIBERS, &rows)
        .attenuation("one", &[(1550.0, 0.2)])
        .attenuation("two", &[(1550.0, 0.2)])
        .interface("book", 1550.0, [0.0; 2], [-60.0, 0.0]);
    let plan = format!(
        "{FACING}splice-cases: {{s: {{positions: 1}}}}\nspans:\n\
         - {{from: a/1, to: s/1, length: 10 km, fiber: one}}\n- {{from: s/1, to: b/1, length: 10 km, fiber: two}}\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    exact(end.most - 0.1, 4.0);
    printed(end.dispersion[1], "355.97");
}
