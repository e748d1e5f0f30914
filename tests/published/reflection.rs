//! Light that comes back: return loss of joints, backscatter of fiber, and what hides behind losses.
//!
//! The share of light that comes back is the sum of r T² over events and of (S/2a)(1 - exp(-2aL)) T²
//! over fiber (textbook form), S the backscatter of a meter. Values were worked apart with a
//! high-precision library unless a text is named.

use spanwright::units::Decibels;

use crate::bench::{Bench, FACING, Sight, printed};

/// Fiber with attenuation and backscatter constant at 1310 and 1550 nm, ports at `nm`.
fn bench(nm: f64, per_km: f64, constant: f64) -> Bench {
    const FIBERS: &str = "fiber,kind,nm_min,nm_max,group_index_1310,group_index_1550";
    const POINTS: &str = "fiber,nm,least_db_km,most_db_km,backscatter_db";
    Bench::made_up("high-precision library")
        .rows("fibers", FIBERS, &["book,SM,1260,1650,1.4677,1.4682".to_string()])
        .rows("fiber-attenuation", POINTS, &[format!("book,{nm},{per_km},{per_km},{constant}")])
        .interface("book", nm, [0.0; 2], [-60.0, 0.0])
}

/// Polishes by name and reflectance of the mated pair.
fn polishes(bench: Bench, rows: &[(&str, f64)]) -> Bench {
    let row = |(name, reflectance): &(&str, f64)| format!("{name},{reflectance},{name}");
    let rows: Vec<String> = rows.iter().map(row).collect();
    bench.rows("polishes", "polish,mated_reflectance_db,mates_with", &rows)
}

/// Return loss seen from the sending port: of events alone, and with backscatter.
fn back(end: &Sight) -> [f64; 2] {
    let reflections = &end.detail.reflections;
    [reflections.discrete(), reflections.total()].map(|loss| loss.map_or(f64::NAN, Decibels::value))
}

fn fiber_only(nm: f64, per_km: f64, constant: f64, km: f64) -> f64 {
    let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: {km} km, fiber: book}}]\n");
    back(&bench(nm, per_km, constant).judge(&plan).end("a/1", "b/1"))[1]
}

/// Backscatter of plain fiber at 1550 nm, 0.20 dB/km, -82 dB for 1 ns, group index 1.4682: no link
/// of plain fiber returns less than about 32 dB.
#[test]
fn plain_fiber_at_1550_nm() {
    let table = [
        (1.0, "42.2885199271"),
        (5.0, "36.0620460089"),
        (10.0, "33.937619981"),
        (20.0, "32.4822153499"),
        (50.0, "31.7764597296"),
    ];
    for (km, loss) in table {
        printed(fiber_only(1550.0, 0.20, -82.0, km), loss);
    }
    printed(fiber_only(1550.0, 0.20, -81.0, 10.0), "32.937619981");
}

/// The same at 1310 nm, 0.35 dB/km, -79 or -80 dB, group index 1.4677.
#[test]
fn plain_fiber_at_1310_nm() {
    let table = [
        (0.1, "49.1264871193"),
        (1.0, "39.4368340364"),
        (5.0, "33.7349359293"),
        (10.0, "32.1312003707"),
        (20.0, "31.3411028742"),
        (50.0, "31.1660449944"),
    ];
    for (km, loss) in table {
        printed(fiber_only(1310.0, 0.35, -79.0, km), loss);
    }
    printed(fiber_only(1310.0, 0.35, -80.0, 20.0), "32.3411028742");
}

/// A link at 1550 nm: connectors of 0.3 dB, 5 m, a connector, 5 km, a splice of 0.1 dB, 10 km, a
/// connector, 5 m, and what stands at the far end.
fn link(reflectance: f64, far_end: f64) -> Sight {
    let bench = polishes(bench(1550.0, 0.20, -82.0), &[("near", reflectance), ("far", far_end)])
        .connector("book", 0.3)
        .splice("book", 0.1);
    let plan = format!(
        "defaults: {{fiber: book, splice: book}}\n{FACING}panels:\n\
         \x20 p: {{positions: 3, connector: {{grade: book, polish: near}}}}\n\
         \x20 end: {{positions: 1, connector: {{grade: book, polish: far}}}}\n\
         splice-cases: {{s: {{positions: 1}}}}\nspans:\n\
         - {{from: a/1, to: p/1, length: 0 m}}\n- {{from: p/1, to: p/2, length: 5 m}}\n\
         - {{from: p/2, to: s/1, length: 5 km}}\n- {{from: s/1, to: p/3, length: 10 km}}\n\
         - {{from: p/3, to: end/1, length: 5 m}}\n- {{from: end/1, to: b/1, length: 0 m}}\n"
    );
    bench.judge(&plan).end("a/1", "b/1")
}

/// The link with -45 dB connectors: with an open end of -14.7 dB, with a mated end, and all at -60 dB.
#[test]
fn return_loss_of_a_whole_link() {
    printed(back(&link(-45.0, -14.7))[1], "22.3635712087");
    printed(back(&link(-45.0, -45.0))[1], "33.5408302628");
    printed(back(&link(-60.0, -60.0))[1], "34.2619674497");
}

/// The open end of the same link alone: 4.002 dB before it, -14.7 dB there: 22.704 dB. What the other
/// events add is seen by reflecting nothing (-120 dB) elsewhere.
#[test]
fn an_open_end_alone() {
    printed(back(&link(-120.0, -14.7))[0], "22.704");
    let second_only = link(-45.0, -120.0);
    // -45 at once, -45.602 behind the first connector and 5 m, -52.402 behind 15 km.
    let sum: f64 = [-45.0, -45.602, -52.402].into_iter().map(crate::bench::milliwatts).sum();
    printed(-crate::bench::dbm(sum) - back(&second_only)[0], "0.0000");
}

/// Equal events with nothing between them: two of -26 dB return 22.9897 dB, ten of -45 dB 35 dB.
#[test]
fn events_without_loss_between_add() {
    let events = |count: u32, reflectance: f64| {
        let bench =
            polishes(bench(1550.0, 0.20, -82.0), &[("book", reflectance)]).connector("book", 0.3);
        let plan = format!(
            "{FACING}spans: [{{from: a/1, to: b/1, length: 0 m, fiber: book, connectors: {count}, \
             connector: book/book}}]\n"
        );
        bench.judge(&plan).end("a/1", "b/1")
    };
    printed(events(2, -26.0).return_loss, "22.9897000434");
    printed(events(10, -45.0).return_loss, "35.0000000");
    // Kolimbiris, ex. 12.24 (p. 492): a return loss of 40 dB is 0.01 % of the light.
    printed(events(1, -40.0).return_loss, "40.0000000");
    printed(100.0 * crate::bench::milliwatts(-events(1, -40.0).return_loss), "0.01");
}

/// An open end of -14.7 dB behind a splitter of 17.2 dB comes back 49.1 dB down: an event behind a
/// loss shows twice that loss less. The same from below: an ONT sees an event at the office so.
#[test]
fn a_splitter_hides_what_lies_behind_it() {
    let pon = |spans: &str| {
        let bench = polishes(bench(1490.0, 0.0, -82.0), &[("open", -14.7)])
            .attenuation("book", &[(1310.0, 0.0), (1490.0, 0.0)])
            .splitter(32, 17.2)
            .connector("book", 0.3);
        let plan = "defaults: {fiber: book, joint: none}\nshelves: {olt: {ports: {1: {optic: GPON-OLT-B+}}}}\n\
                    onts: {ont: {optic: GPON-ONU-B+}}\nsplitters: {s: {ratio: 1x32}}\n\
                    panels: {p: {positions: 1, connector: book/open}}\nspans:\n";
        bench.judge(&format!("{plan}{spans}"))
    };
    let below = "- {from: olt/1, to: s/in, length: 10 m}\n- {from: s/1, to: p/1, length: 10 m}\n\
                 - {from: p/1, to: ont, length: 10 m}\n";
    printed(pon(below).end("olt/1", "ont").return_loss, "49.1000000");
    printed(pon(below).end("ont", "olt/1").return_loss, "14.7000000");
    let above = "- {from: olt/1, to: p/1, length: 10 m}\n- {from: p/1, to: s/in, length: 10 m}\n\
                 - {from: s/1, to: ont, length: 10 m}\n";
    printed(pon(above).end("ont", "olt/1").return_loss, "49.1000000");
    printed(pon(above).end("olt/1", "ont").return_loss, "14.7000000");
}

/// ITU-T G.984.2: the plant's return loss at least 32 dB (restated in a training text). Flat
/// connectors of -26 dB break it, UPC of -45 dB keep it (IEC 61755-1 grades from memory).
#[test]
fn flat_connectors_break_the_32_db_of_a_pon() {
    let pon = |polish: &str| {
        let plan = format!(
            "defaults: {{connector: {{grade: C, polish: {polish}}}}}\n\
             shelves: {{olt: {{ports: {{1: {{optic: GPON-OLT-B+}}}}}}}}\nonts: {{ont: {{optic: GPON-ONU-B+}}}}\n\
             splitters: {{s: {{ratio: 1x16}}}}\npanels: {{odf: {{positions: 1}}}}\nspans:\n\
             - {{from: olt/1, to: odf/1, length: 5 m, kind: patch-cord}}\n\
             - {{from: odf/1, to: s/in, length: 5 km}}\n- {{from: s/1, to: ont, length: 200 m}}\n"
        );
        Bench::of("ITU-T G.984.2").judge(&plan)
    };
    assert!(pon("flat").hit("budget.return-loss"));
    assert!(!pon("UPC").hit("budget.return-loss"));
    assert!(pon("flat").end("olt/1", "ont").return_loss < 32.0);
}
