//! Worked examples of textbooks: fiber, splices, connectors, a margin to keep, and the reach.

use spanwright::budget::{Reason, Verdict};

use crate::bench::{Bench, FACING, Link, closes, exact, printed, reach};

/// Keiser, Optical Fiber Communications, ex. 8.1 (p. 287): two connectors of 1 dB, 6 km at
/// 3.5 dB/km, system margin 6 dB: 29 dB. The LED's -13 dBm and the receiver's -42 dBm, which allow
/// just that: from memory.
#[test]
fn keiser_8_1_an_led_link_uses_up_29_db() {
    let link = Link {
        source: "Keiser ex. 8.1",
        nm: 850.0,
        launch: -13.0,
        receive: -42.0,
        reserve: 6.0,
        per_km: 3.5,
        connectors: (2, 1.0),
        ..Link::BARE
    };
    let end = link.over(6.0);
    exact(end.most + 6.0, 29.0);
    exact(end.window[1], 29.0);
    exact(end.margin, 6.0);
    assert_eq!((end.verdict, end.reason), (Verdict::Pass, Reason::Closes));
    let longer = link.over(6.01);
    assert_eq!((longer.verdict, longer.reason), (Verdict::Marginal, Reason::ReserveNotKept));
}

/// Keiser, ex. 8.2 (p. 288): laser +3 dBm, APD -32 dBm; a connector of 1 dB at each end, a jumper of
/// 4 dB at each end, 60 km at 0.3 dB/km: 7 dB left.
#[test]
fn keiser_8_2_a_laser_link_keeps_7_db() {
    let bench = Bench::of("Keiser ex. 8.2")
        .fiber("book", &[(1550.0, 0.3)])
        .connector("book", 1.0)
        .splice("counted in the jumper", 0.0)
        .interface("book", 1550.0, [3.0, 3.0], [-32.0, 3.0]);
    let plan = format!(
        "end-connectors: counted\ndefaults: {{connector: book, fiber: book}}\n{FACING}\
         splice-cases: {{s: {{positions: 2, splice: counted in the jumper}}}}\nspans:\n\
         - {{from: a/1, to: s/1, length: 0 m, kind: jumper, measured: 4 dB, uncertainty: 0 dB}}\n\
         - {{from: s/1, to: s/2, length: 60 km}}\n\
         - {{from: s/2, to: b/1, length: 0 m, kind: jumper, measured: 4 dB, uncertainty: 0 dB}}\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    exact(end.most, 28.0);
    exact(end.margin, 7.0);
}

/// Keiser, ex. 13.4 (p. 466): star of ten with 0.75 dB excess, twice 0.5 km at 0.4 dB/km, two
/// connectors of 1 dB: 13.2 dB.
#[test]
fn keiser_13_4_a_star_of_ten_loses_13_2_db() {
    let excess_and_split = 0.75 + 10.0;
    let bench = Bench::of("Keiser ex. 13.4")
        .fiber("book", &[(1310.0, 0.4)])
        .connector("book", 1.0)
        .splitter(10, excess_and_split)
        .interface("book", 1310.0, [0.0, 0.0], [-30.0, 0.0]);
    let plan = format!(
        "end-connectors: counted\ndefaults: {{connector: book, fiber: book, joint: none}}\n{FACING}\
         splitters: {{star: {{ratio: 1x10}}}}\nspans:\n\
         - {{from: a/1, to: star/in, length: 500 m}}\n- {{from: star/7, to: b/1, length: 500 m}}\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    printed(end.most, "13.2");
    exact(end.most, 13.15);
}

/// Senior, Optical Fiber Communications, ex. 12.8 (p. 732): -3 dBm launched, fiber 0.4 dB/km with
/// splices of 0.1 dB each kilometer, connectors 2 dB, margin 7 dB. 35 Mbit/s (-55 dBm): 86 km;
/// 400 Mbit/s (-44 dBm): 64 km; with a dispersion penalty of 1.5 dB: 61 km.
#[test]
fn senior_12_8_reach_falls_with_rate_and_penalty() {
    let link = |receive: f64, km: f64| {
        let splices = (km.round() as u32, 0.1);
        let source = "Senior ex. 12.8";
        let (launch, reserve, per_km, connectors) = (-3.0, 7.0, 0.4, (1, 2.0));
        let link = Link { source, launch, receive, reserve, per_km, connectors, splices, ..Link::BARE };
        link.over(km)
    };
    for (receive, km) in [(-55.0, 86.0), (-44.0, 64.0), (-44.0 + 1.5, 61.0)] {
        let end = link(receive, km);
        exact(end.margin, 7.0);
        assert!(closes(&end), "{km} km");
        assert!(!closes(&link(receive, km + 1.0)), "{km} km is the most");
    }
}

/// Senior, ex. 12.13b: 0 dBm launched, -25 dBm needed, connectors 1.6 dB, margin 7 dB, fiber 3.5 and
/// splices 0.7 dB/km: 3.9 km.
#[test]
fn senior_12_13_a_laser_carries_3_9_km() {
    let link = Link {
        source: "Senior ex. 12.13",
        receive: -25.0,
        reserve: 7.0,
        per_km: 3.5 + 0.7,
        connectors: (1, 1.6),
        ..Link::BARE
    };
    reach("3.9", |km| link.over(km));
}

/// Khare, Fiber Optics and Optoelectronics, ex. 12.1 (p. 299): -10 to -42 dBm, margin 6 dB, two
/// connectors of 1 dB, fiber 2.5 and splices 0.5 dB/km: 8.0 km. Ex. 12.2a (p. 305): 0 to -25 dBm,
/// margin 7 dB, connectors 1.5 dB, fiber 3 and splices 0.5 dB/km: 4.71 km.
#[test]
fn khare_12_1_and_12_2() {
    let first = Link {
        source: "Khare ex. 12.1",
        launch: -10.0,
        receive: -42.0,
        reserve: 6.0,
        per_km: 2.5 + 0.5,
        connectors: (2, 1.0),
        ..Link::BARE
    };
    reach("8.0", |km| first.over(km));
    let second = Link {
        source: "Khare ex. 12.2a",
        launch: 0.0,
        receive: -25.0,
        reserve: 7.0,
        per_km: 3.0 + 0.5,
        connectors: (1, 1.5),
        ..first
    };
    reach("4.71", |km| second.over(km));
}

/// Dudeja, ex. 10-2 (p. 511): 5 km, fiber 4 and splices 0.7 dB/km, connectors 4 and 3.5 dB: 31 dB.
/// Ex. 10-4 (p. 522): -2.5 to -45 dBm, 0.35 and 0.1 dB/km, connectors 1 dB, margin 6 dB: 78.89 km.
#[test]
fn dudeja_10_2_and_10_4() {
    let loss = Link { source: "Dudeja ex. 10-2", per_km: 4.7, connectors: (1, 7.5), ..Link::BARE };
    exact(loss.over(5.0).most, 31.0);
    let link = Link {
        source: "Dudeja ex. 10-4",
        launch: -2.5,
        receive: -45.0,
        reserve: 6.0,
        per_km: 0.35 + 0.1,
        connectors: (1, 1.0),
        ..Link::BARE
    };
    reach("78.89", |km| link.over(km));
}

/// Agrawal, Fiber-Optic Communication Systems, table 5.1, 0.85 um, from memory: receiver -42 dBm,
/// margin 6 dB, connectors 2 dB, cable 3.5 dB/km; a laser of 0 dBm reaches 9.7 km, an LED of
/// -13 dBm 6.0 km.
#[test]
fn agrawal_5_1_laser_against_led() {
    let at = |launch: f64| Link {
        source: "Agrawal table 5.1",
        known: Bench::recalled,
        nm: 850.0,
        launch,
        receive: -42.0,
        reserve: 6.0,
        per_km: 3.5,
        connectors: (1, 2.0),
        ..Link::BARE
    };
    reach("9.7", |km| at(0.0).over(km));
    reach("6.0", |km| at(-13.0).over(km));
}

/// Kumar and Deen, Fiber Optic Communications, ex. 2.11 (p. 80): 3.01 dBm into 80 km at 0.2 dB/km,
/// a splice of 0.5 dB and 12.9 km of compensating fiber at 0.5 dB/km: -19.95 dBm. The compensating
/// length is 80 km x 21/130 (the two dispersions from memory), 12.92 km.
#[test]
fn kumar_2_11_a_line_with_its_compensating_fiber() {
    let bench = Bench::of("Kumar and Deen ex. 2.11")
        .fiber("line", &[(1550.0, 0.2)])
        .fiber("compensating", &[(1550.0, 0.5)])
        .splice("book", 0.5)
        .interface("book", 1550.0, [3.01, 3.01], [-30.0, 3.01]);
    let plan = format!(
        "{FACING}splice-cases: {{s: {{positions: 1, splice: book}}}}\nspans:\n\
         - {{from: a/1, to: s/1, length: 80 km, fiber: line}}\n\
         - {{from: s/1, to: b/1, length: 12.92 km, fiber: compensating}}\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    printed(end.received[0], "-19.95");
}

/// Kolimbiris, Fiber Optics Communications, ex. 12.14 (p. 481), means: transmitter -4.9, receiver
/// -38.1 dBm, 50 km at 0.4 dB/km, 7 connectors of 0.35 and 4 splices of 0.2 dB, dispersion 2 dB,
/// clock recovery 0.5 dB: mean margin 7.45 dB.
#[test]
fn kolimbiris_12_14_the_mean_margin() {
    let penalties = 2.0 + 0.5;
    let link = Link {
        source: "Kolimbiris ex. 12.14",
        launch: -4.9,
        receive: -38.1 + penalties,
        per_km: 0.4,
        connectors: (7, 0.35),
        splices: (4, 0.2),
        ..Link::BARE
    };
    let end = link.over(50.0);
    exact(end.window[1] - end.typical, 7.45);
}

/// Splices between the reels of a cable: one less than the reels (Kalavar; common practice). A
/// rounding guard keeps 20 km of 4 km reels at four splices, and 20.1 km needs a fifth.
#[test]
fn a_cable_has_one_splice_less_than_reels() {
    let cases = [
        ("20 km", "4 km", 4),
        ("20.1 km", "4 km", 5),
        ("25 km", "5 km", 4),
        ("60 km", "3 km", 19),
        ("40 km", "6 km", 6),
        // 0.6 / 0.2 is a hair below three in binary.
        ("0.6 km", "0.2 km", 2),
        ("3.9 km", "4 km", 0),
    ];
    let bench = Bench::made_up("common practice")
        .fiber("book", &[(1310.0, 0.3)])
        .splice("book", 0.1)
        .interface("book", 1310.0, [0.0, 0.0], [-60.0, 0.0]);
    for (length, reel, splices) in cases {
        let plan = format!(
            "defaults: {{fiber: book, splice: book, reel: {reel}}}\n{FACING}\
             spans: [{{from: a/1, to: b/1, length: {length}}}]\n"
        );
        let seen = bench.judge(&plan);
        assert_eq!(seen.plan().spans[0].splices, splices, "{length} of {reel}");
        let end = seen.end("a/1", "b/1");
        exact(end.most - 0.3 * seen.plan().spans[0].length.value(), 0.1 * f64::from(splices));
    }
}

/// A worked allowance of common practice: two repair splices for each begun 10 km of outside plant
/// make six on 25 km; none of them is there on the first day, so overload does not count on them.
#[test]
fn repair_splices_are_counted_by_begun_stretches() {
    let bench = Bench::made_up("common practice")
        .fiber("book", &[(1310.0, 0.4)])
        .splice("book", 0.1)
        .interface("book", 1310.0, [0.0, 0.0], [-30.0, 0.0]);
    let plan = format!(
        "defaults: {{fiber: book, splice: book}}\n\
         allowances: {{repair: {{splices: 2, per: 10 km}}, ageing: 1 dB}}\n{FACING}\
         spans: [{{from: a/1, to: b/1, length: 25 km}}]\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    exact(end.least, 10.0);
    exact(end.most, 10.0 + 0.6 + 1.0);
}
