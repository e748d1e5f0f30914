//! Couplers, taps, buses: light that is shared unevenly, tap after tap.

use std::fmt::Write as _;

use spanwright::budget::Verdict;

use crate::bench::{Bench, FACING, Seen, Sight, closes, dbm, exact, milliwatts, printed};

/// A chain of taps from an OLT: the tap leg of each serves a home, the last leg that goes on the
/// last home. No fiber, no joints: what is lost is lost in the taps.
fn chain(bench: &Bench, taps: &[&str]) -> Vec<Sight> {
    let mut plan = "shelves: {olt: {ports: {1: {optic: GPON-OLT-B+}}}}\n".to_string();
    let homes = taps.len() + 1;
    writeln!(plan, "onts: {{\"home-[1-{homes}]\": {{optic: GPON-ONU-B+}}}}\ntaps:").expect("text");
    for (index, tap) in taps.iter().enumerate() {
        writeln!(plan, "  t-{}: {{ratio: {tap}, joint: none}}", index + 1).expect("text");
    }
    plan.push_str("joints:\n");
    for index in 1..homes {
        let from = if index == 1 { "olt/1".to_string() } else { format!("t-{}/through", index - 1) };
        writeln!(plan, "- {{from: {from}, to: t-{index}/in, joint: none}}").expect("text");
        writeln!(plan, "- {{from: t-{index}/tap, to: home-{index}, joint: none}}").expect("text");
    }
    let last = homes - 1;
    writeln!(plan, "- {{from: t-{last}/through, to: home-{homes}, joint: none}}").expect("text");
    let seen = bench.judge(&plan);
    (1..=homes).map(|home| seen.end("olt/1", &format!("home-{home}"))).collect()
}

/// The share of its input that a leg gives, with an excess loss in dB, as a loss.
fn leg(share: f64, excess: f64) -> f64 {
    excess - dbm(share)
}

/// The losses of a tap, as one row of the tap table, from the share of its tap leg and its excess.
fn with_tap(bench: Bench, name: &str, share: f64, excess: f64) -> Bench {
    bench.tap(name, 100.0 * share, leg(1.0 - share, excess), leg(share, excess))
}

/// A 2x2 coupler, textbook exercise: 60 uW in, 26 and 27.5 uW out: losses 3.631779 and 3.388186 dB,
/// 48.598 % to the weaker leg, 0.497975 dB of excess. Just those powers must arrive.
#[test]
fn a_coupler_of_26_and_27_5_microwatts() {
    let launch = dbm(0.060);
    let bench = Bench::of("textbook exercise")
        .tap("coupler", 48.598_131, 3.388_186, 3.631_779)
        .interface("book", 1310.0, [launch; 2], [-40.0, launch]);
    let ports = FACING.replace("b: {", "c: {ports: {1: {optic: book}}}, b: {");
    let plan = format!(
        "{ports}taps: {{t: {{ratio: coupler, joint: none}}}}\njoints:\n\
         - {{from: a/1, to: t/in, joint: none}}\n- {{from: t/tap, to: b/1, joint: none}}\n\
         - {{from: t/through, to: c/1, joint: none}}\n"
    );
    let seen = bench.judge(&plan);
    let arrives = |to| 1000.0 * milliwatts(seen.end("a/1", to).received[0]);
    printed(arrives("b/1"), "26.0");
    printed(arrives("c/1"), "27.5");
    let lost = -dbm((arrives("b/1") + arrives("c/1")) / 60.0);
    printed(lost, "0.497975");
}

/// No coupler gives more than it gets: 26 and 35 uW of 60 uW (conservation of energy).
#[test]
fn a_coupler_that_gains_is_refused() {
    let bench = Bench::made_up("conservation of energy").tap(
        "coupler",
        43.0,
        dbm(60.0 / 35.0),
        dbm(60.0 / 26.0),
    );
    assert_eq!(bench.refused(FACING), ["table.impossible-loss"]);
}

/// Palais, Fiber Optic Communications, ex. 9.1: an even coupler with 1 dB excess gives each leg
/// 39.7164 % of the light, 4.0103 dB.
#[test]
fn palais_9_1_an_even_coupler_with_1_db_excess() {
    let bench = Bench::of("Palais ex. 9.1").tap("even", 50.0, 3.010_299_957, 3.010_299_957);
    let bench = bench.interface("book", 1310.0, [0.0; 2], [-40.0, 0.0]);
    let plan = format!(
        "{FACING}taps: {{t: {{ratio: even, joint: none}}}}\nattenuators: {{excess: {{loss: 1 dB, tolerance: 0 dB}}}}\n\
         joints:\n- {{from: a/1, to: excess/a, joint: none}}\n- {{from: excess/b, to: t/in, joint: none}}\n\
         - {{from: t/tap, to: b/1, joint: none}}\n"
    );
    let end = bench.judge(&plan).end("a/1", "b/1");
    printed(end.most, "4.0103");
    printed(milliwatts(end.received[0]), "0.397164");
}

/// A bus of stations on couplers: the first coupler takes the first station's light in by its tap,
/// the last one gives it out by its tap, all others pass it through. Two connectors a coupler.
fn bus(stations: usize, budget: f64) -> Sight {
    let intrinsic = 0.5;
    let bench = Bench::of("Keiser ex. 13.1")
        .fiber("book", &[(1310.0, 0.4)])
        .connector("book", 1.0)
        .tap("bus", 10.0, 0.9 + intrinsic, 10.0 + intrinsic)
        .interface("book", 1310.0, [0.0; 2], [-budget, 0.0]);
    let mut plan =
        format!("defaults: {{fiber: book, connector: book, joint: connector}}\n{FACING}taps:\n");
    (1..=stations).for_each(|at| writeln!(plan, "  t-{at}: {{ratio: bus}}").expect("text"));
    // The first coupler lies the other way round: its input looks down the bus.
    plan.push_str("spans:\n- {from: t-1/in, to: t-2/in, length: 500 m}\n");
    for at in 3..=stations {
        writeln!(plan, "- {{from: t-{}/through, to: t-{at}/in, length: 500 m}}", at - 1).expect("text");
    }
    writeln!(plan, "joints:\n- {{from: a/1, to: t-1/tap, joint: connector}}").expect("text");
    writeln!(plan, "- {{from: t-{stations}/tap, to: b/1, joint: connector}}").expect("text");
    bench.judge(&plan).end("a/1", "b/1")
}

/// Keiser, ex. 13.1 (p. 464): couplers with 10 dB to the tap, 0.9 dB through, 0.5 dB of their own,
/// two connectors of 1 dB each, 0.5 km at 0.4 dB/km between stations: 36, 54 and 198 dB from the
/// first to the last of 5, 10 and 50 stations.
#[test]
fn keiser_13_1_a_bus_of_5_10_and_50_stations() {
    for (stations, loss) in [(5, 36.0), (10, 54.0), (50, 198.0)] {
        exact(bus(stations, 60.0).most, loss);
    }
}

/// Keiser, ex. 13.2: the same bus with 38 dB (LED) and 51 dB (laser): 5 stations; and, by a slip of
/// sign in a public restatement, "8". Nine close: 50.4 dB; ten need 54.
#[test]
fn keiser_13_2_stations_that_a_budget_carries() {
    for (budget, stations) in [(38.0, 5), (51.0, 9)] {
        assert!(closes(&bus(stations, budget)), "{stations} stations on {budget} dB");
        assert_eq!(bus(stations + 1, budget).verdict, Verdict::Fail, "one more on {budget} dB");
    }
    exact(bus(9, 51.0).most, 50.4);
}

/// Ideal couplers by the loss to their tap, a printed table: what goes on loses at least this much.
/// The rows state no least loss, so that the engine must know it.
#[test]
fn what_goes_on_through_an_ideal_coupler() {
    const COLUMNS: &str = "tap,tap_percent,through_most_db,tap_most_db";
    let table = [
        (3.0, "3.021"),
        (4.0, "2.205"),
        (5.0, "1.651"),
        (6.0, "1.256"),
        (7.0, "0.967"),
        (8.0, "0.749"),
        (10.0, "0.458"),
        (12.0, "0.283"),
        (13.0, "0.223"),
        (14.0, "0.176"),
        (15.0, "0.140"),
        (16.0, "0.110"),
    ];
    for (tap, through) in table {
        let row = format!("t,{},25,25", 100.0 * milliwatts(-tap));
        let homes = chain(&Bench::of("table of ideal couplers").rows("taps", COLUMNS, &[row]), &["t"]);
        exact(homes[0].least, tap);
        printed(homes[1].least, through);
    }
}

/// A drawing of a distributed tap: the first takes 10 %, the second 20 % of the rest: 10, 18 and
/// 72 % of the light, 10.0, 7.4473 and 1.4267 dB.
#[test]
fn two_taps_of_10_and_20_percent() {
    let bench = with_tap(Bench::of("drawing of a distributed tap"), "90/10", 0.10, 0.0);
    let homes = chain(&with_tap(bench, "80/20", 0.20, 0.0), &["90/10", "80/20"]);
    for (home, (share, loss)) in
        homes.iter().zip([("0.10", "10.0"), ("0.18", "7.4473"), ("0.72", "1.4267")])
    {
        printed(home.most, loss);
        printed(milliwatts(-home.most), share);
    }
}

/// Chains that give every home the same power, worked: of ideal taps (25, 33.333, 50 % for four
/// homes, 12.5 to 50 % for eight) every drop is 10 log N; with 0.3 dB excess a tap, 6.703 dB by 22.8947,
/// 31.8163, 50 % for four and 10.389 dB for eight.
#[test]
fn chains_of_equal_power() {
    let ideal_4: &[f64] = &[25.0, 100.0 / 3.0, 50.0];
    let ideal_8: &[f64] = &[12.5, 100.0 / 7.0, 100.0 / 6.0, 20.0, 25.0, 100.0 / 3.0, 50.0];
    let real_4: &[f64] = &[22.8947, 31.8163, 50.0];
    let real_8: &[f64] = &[9.7964, 11.637, 14.1114, 17.605, 22.8947, 31.8163, 50.0];
    let cases = [
        (ideal_4, 0.0, "6.0206"),
        (ideal_8, 0.0, "9.0309"),
        (real_4, 0.3, "6.703"),
        (real_8, 0.3, "10.389"),
    ];
    for (percents, excess, drop) in cases {
        let mut bench = Bench::made_up("worked chain of equal power");
        let names: Vec<String> = (0..percents.len()).map(|index| format!("tap-{index}")).collect();
        for (name, percent) in names.iter().zip(percents) {
            bench = with_tap(bench, name, percent / 100.0, excess);
        }
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        for home in chain(&bench, &names) {
            printed(home.most, drop);
        }
    }
}

/// A printed table of uneven couplers, losses to the tap and through: the powers that arrive imply
/// the ratios of its labels, within 0.3 points. Its 5 % row (11.8 and 0.6 dB) implies 7.05 % and is a
/// misprint; the built-in row of that name must not carry it.
#[test]
fn printed_uneven_couplers_imply_their_ratio() {
    let table = [
        ("90/10", 10.0, 10.4, 0.9, "10.09"),
        ("80/20", 20.0, 7.4, 1.3, "19.71"),
        ("70/30", 30.0, 5.6, 1.9, "29.90"),
        ("60/40", 40.0, 4.4, 2.6, "39.78"),
    ];
    let implied = |homes: &[Sight]| {
        let [tap, through] = [0, 1].map(|home| milliwatts(-homes[home].most));
        assert!(tap + through <= 1.0);
        100.0 * tap / (tap + through)
    };
    for (name, percent, tap, through, ratio) in table {
        let bench = Bench::of("table of uneven couplers").tap(name, percent, through, tap);
        printed(implied(&chain(&bench, &[name])), ratio);
    }
    let misprint = Bench::of("table of uneven couplers").tap("95/5", 5.0, 0.6, 11.8);
    printed(implied(&chain(&misprint, &["95/5"])), "7.05");
    let built_in = implied(&chain(&Bench::made_up("built-in"), &["95/5"]));
    assert!((built_in - 5.0).abs() < 1.5, "{built_in} %");
}

/// A coupler is reciprocal (common practice): what a tap costs downstream it costs upstream.
#[test]
fn upstream_pays_the_same_split() {
    let plan = "shelves: {olt: {ports: {1: {optic: GPON-OLT-B+}}}}\nonts: {home: {optic: GPON-ONU-B+}}\n\
                splitters: {s: {ratio: 1x32, joint: none}}\njoints:\n\
                - {from: olt/1, to: s/in, joint: none}\n- {from: s/9, to: home, joint: none}\n";
    let seen: Seen = Bench::made_up("common practice").judge(plan);
    let (down, up) = (seen.end("olt/1", "home"), seen.end("home", "olt/1"));
    exact(down.most, up.most);
    // An ideal 1x32 already loses 15.05 dB, either way.
    assert!(up.least >= 15.05);
}
