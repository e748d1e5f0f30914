//! What else would do: the order, that what is said to close does close when it is put in, that the plan
//! is left as it was, and that stock limits the choice.

use std::collections::BTreeSet;

use spanwright::budget::Settings;
use spanwright::check::Severity;
use spanwright::engine::alternatives::{Alternative, Alternatives, Offer, alternatives};
use spanwright::engine::fit::{Answers, Go};
use spanwright::engine::judge;
use spanwright::engine::pads::stock_of;
use spanwright::place::Files;
use spanwright::plan::Plan;

use crate::bench::{Facing, Seen, known, over, port, seen};

/// What else would do at a port of a judged plan, which is left as it was.
#[track_caller]
fn others(seen: &mut Seen, name: &str, stock: Option<&[String]>) -> Vec<Alternative> {
    all_others(seen, name, stock, false).found
}

#[track_caller]
fn all_others(
    seen: &mut Seen,
    name: &str,
    optics: Option<&[String]>,
    faulty_copy: bool,
) -> Alternatives {
    let before = format!("{:?}", seen.0.plan);
    let port = seen.port(name);
    let pads = stock_of(&seen.0.tables);
    let found = alternatives(&mut seen.0, port, Offer { optics, pads: &pads, faulty_copy });
    assert_eq!(format!("{:?}", seen.0.plan), before, "the plan is as it was");
    assert!(!found.found.is_empty() || !found.note.is_empty(), "never silent");
    found
}

/// Best first: what closes, of it what is not marginal, then another part of the same optic, then what
/// needs no other number of fibers, of PON classes one class at both ends and the nearest, then what
/// needs least of pads, then the most room towards the next limit, then the fewest changes.
#[track_caller]
fn in_order(found: &[Alternative]) {
    let key = |one: &Alternative| {
        let all = one.margin.into_iter().chain(one.headroom).map(known);
        let slack =
            all.fold(
                f64::INFINITY,
                |least, room| if room.is_nan() { f64::NEG_INFINITY } else { least.min(room) },
            );
        let near = (!one.distance.fibers, !one.distance.unlike, !one.distance.wrong_way);
        let first = (one.closes, !one.marginal, !one.part.is_empty(), near);
        let classes = -(one.distance.classes.value() * 1e6).round() as i64;
        let pads = -(one.padded().value() * 1e6).round() as i64;
        ((first, classes, pads), slack)
    };
    for two in found.windows(2) {
        let [(first, more), (second, less)] = [key(&two[0]), key(&two[1])];
        assert!(first > second || first == second && more >= less - 1e-9, "{two:#?}");
        let equal = first == second && (more - less).abs() < 1e-12;
        assert!(!equal || two[0].changes <= two[1].changes, "{two:#?}");
    }
}

/// The plan with other optics in a port and in all it faces; what was said of modules that go is gone.
fn with(plan: &Plan, (near, near_optic): (u32, &str), far: &[u32], far_optic: &str) -> Plan {
    let mut plan = plan.clone();
    for (port, optic) in
        std::iter::once((near, near_optic)).chain(far.iter().map(|far| (*far, far_optic)))
    {
        let same = plan.ports[port as usize]
            .optics
            .is_some_and(|set| plan.optic_sets[set as usize] == [optic.to_string()]);
        if same {
            continue;
        }
        let set = plan.optic_set(vec![optic.to_string()]);
        let fitting = plan.fitting_of(port).cloned().unwrap_or_default().without_module();
        let fitting = plan.fitting(fitting);
        plan.ports[port as usize].optics = Some(set);
        plan.ports[port as usize].fitting = fitting;
    }
    plan
}

/// Puts every alternative in: what is said to close gets a GO, with just the room that was told.
#[track_caller]
fn hold(seen: &mut Seen, name: &str, far: &[&str]) -> usize {
    let found = others(seen, name, None);
    in_order(&found);
    let near = seen.port(name);
    let far: Vec<u32> = far.iter().map(|far| seen.port(far)).collect();
    let settings = Settings { statistics: false, cross_check: None };
    for one in &found {
        let mut plan = with(&seen.0.plan, (near, &one.near), &far, &one.far);
        if !one.part.is_empty() {
            let fitting = plan.fitting_of(near).cloned().unwrap_or_default().without_module();
            plan.ports[near as usize].fitting = plan.fitting(fitting);
        }
        let judged = judge(plan, seen.0.tables.clone(), Vec::new(), &Files::default(), settings);
        let judged = Seen(judged.expect("a plan that can be judged"));
        let answer = Answers::new(&judged.0).of(near);
        let told =
            || format!("{one:#?}\n{}: {}\n{:#?}", answer.go.words(), answer.because, answer.findings);
        if !one.pads.is_empty() {
            // Without its pads it is too hot, and nothing else is wrong with it.
            assert_eq!(crate::bench::rules(&answer).iter().collect::<Vec<_>>(), [&"budget.overload"]);
            continue;
        }
        if one.closes {
            assert_eq!(answer.go, Go::Go, "{}", told());
        } else {
            assert_ne!(answer.go, Go::Go, "{}", told());
        }
        let mine = answer.ends.iter().map(|end| &judged.0.assessment.ends[*end]);
        let margin = mine.map(|end| known(end.margin(&judged.0.assessment.pair(end).window)));
        let least =
            margin.fold(f64::INFINITY, |least, one| if one.is_nan() { one } else { least.min(one) });
        let said = one.margin.map(known).into_iter().fold(f64::INFINITY, f64::min);
        assert!((least - said).abs() < 1e-9 || least.is_nan() || said.is_nan(), "{}", told());
    }
    found.iter().filter(|one| one.closes).count()
}

/// Links of many rates, lengths and fibers, some right and some wrong, with cages, cards and cords.
fn links() -> Vec<Facing> {
    let optic = |name: &str| port(name);
    let both = |span: &str, name: &str| over(span, port(name), port(name));
    vec![
        both("length: 12 km, connectors: 4", "1000BASE-ZX"),
        over("length: 40 m, connectors: 2", optic("10GBASE-ER").with("cage: SFP+"), optic("10GBASE-LR")),
        both("length: 100 m, fiber: OM3", "10GBASE-LR"),
        both("length: 300 m, fiber: OM1, mode-conditioning: yes", "1000BASE-LX"),
        both("length: 50 m, fiber: OM4, fibers: 12, polarity: A", "100GBASE-SR4"),
        both("length: 50 m, fiber: OM4, fibers: 2", "100GBASE-SR4"),
        both("length: 1 km, fibers: 2", "100GBASE-SR4"),
        over("length: 1 km", optic("100GBASE-LR4"), optic("100G-CWDM4")),
        over("length: 5 km, fibers: 1", optic("1000BASE-BX10-U"), optic("1000BASE-BX10-U")),
        over("length: 2 km", optic("10GBASE-LR").with("cage: SFP+, form: XFP"), optic("10GBASE-LR")),
        over(
            "length: 2 km",
            optic("1000BASE-LX10").with("cage: SFP+, form: SFP"),
            optic("1000BASE-LX10"),
        ),
        over("length: 60 km", optic("10GBASE-LR").card("eth-8"), optic("10GBASE-LR").card("uplink-4")),
        both("length: 1 km", "400GBASE-DR4"),
        both("length: 30 km", "40GBASE-LR4"),
        both("length: 20 km", "S-16.1"),
        both("length: 30 km", "25GBASE-LR"),
    ]
}

#[test]
fn what_is_said_to_close_closes() {
    let mut closing = 0;
    for link in links() {
        closing += hold(&mut link.judge(), "a/1/1", &["b/1/1"]);
    }
    assert!(closing >= 20, "{closing} alternatives close: too few to tell");
}

/// ZX over 12 km: a 40 km part at 1310 nm closes at both ends (practice; -5 to 0 dBm against -22 and
/// -3 dBm: 17 dB at most, 3 dB at least; 12 km at 0.31 to 0.40 dB/km lose 3.7 to 4.8 dB). Parts for 10 km
/// close as well and stand behind it: they are longer than specified.
#[test]
fn a_shorter_part_where_a_long_one_is_too_hot() {
    let mut link = over("length: 12 km", port("1000BASE-ZX"), port("1000BASE-ZX")).judge();
    let found = others(&mut link, "a/1/1", None);
    let best = &found[0];
    assert_eq!((best.near.as_str(), best.far.as_str(), best.changes), ("1000BASE-EX", "1000BASE-EX", 2));
    assert!(best.closes && !best.marginal);
    assert!(found.iter().any(|one| one.closes && one.marginal && one.near == "1000BASE-LX10"));
    crate::bench::exact(known(best.margin[0]), 17.0 - 12.0 * 0.40);
    crate::bench::exact(known(best.headroom[1]), 12.0 * 0.31 - 3.0);
}

/// Two equal halves: the other half at one end is all it takes.
#[test]
fn the_other_half_of_a_pair() {
    let mut link =
        over("length: 5 km, fibers: 1", port("1000BASE-BX10-U"), port("1000BASE-BX10-U")).judge();
    let found = others(&mut link, "a/1/1", None);
    let one_change: BTreeSet<(&str, &str)> = found
        .iter()
        .filter(|one| one.closes && one.changes == 1)
        .map(|one| (one.near.as_str(), one.far.as_str()))
        .collect();
    let halves = [("1000BASE-BX10-D", "1000BASE-BX10-U"), ("1000BASE-BX10-U", "1000BASE-BX10-D")];
    assert_eq!(one_change, BTreeSet::from(halves));
    // One fiber takes no duplex optic.
    assert!(found.iter().all(|one| one.near.contains("BX")), "{found:#?}");
}

/// Cords that are wrong whatever the optic: it is said first, and what would do behind other cords is
/// proposed all the same, from stock too.
#[test]
fn no_optic_mends_a_cord() {
    let mut plan = seen(
        "spanwright: 1\nshelves:\n  a: {ports: {1: {optic: 10GBASE-ER}}}\n  \
         b: {ports: {1: {optic: 10GBASE-ER}}}\n\
         panels: {p: {positions: 1, connector: {grade: C, polish: UPC}}}\nspans:\n  \
         - {from: a/1, to: p/1, length: 3 m, plugs: [LC/UPC, LC/APC]}\n  \
         - {from: p/1, to: b/1, length: 100 m}\n",
    );
    plan.expect_at("a/1", Go::NoGo, &["fit.polish-mixed", "budget.overload"], &[]);
    let all = all_others(&mut plan, "a/1", None, false);
    assert!(
        all.note.contains("the cord at `p/1` must be changed first (fit.polish-mixed)"),
        "{}",
        all.note
    );
    let stock = ["10GBASE-LR".to_string()];
    let few = all_others(&mut plan, "a/1", Some(&stock), false);
    let best = &few.found[0];
    assert!(best.closes && best.near == "10GBASE-LR" && best.far == "10GBASE-LR", "{best:#?}");
    assert_eq!(few.note, all.note);
}

/// What is wrong is the module in hand, and not its kind (common practice): the same optic as another part
/// stands first.
#[test]
fn another_part_of_the_same_optic() {
    let first = |said: &str, faulty: bool| {
        let near = port("10GBASE-LR").with(said).stands_in("cabinet").card("eth-8");
        let mut link = over("length: 2 km", near, port("10GBASE-LR")).judge();
        let found = all_others(&mut link, "a/1/1", None, faulty).found;
        in_order(&found);
        let best = found[0].clone();
        assert!(best.closes && best.changes == 1, "{best:#?}");
        assert_eq!((best.near.as_str(), best.far.as_str()), ("10GBASE-LR", "10GBASE-LR"));
        best.part
    };
    assert_eq!(first("temperature: C", false), "temperature range I");
    assert_eq!(first("temperature: I", true), "another copy");
    assert_eq!(first("temperature: C", true), "temperature range I, another copy");
    assert_eq!(first("power: 9 W", false), "at most 2.00 W");
    // At the far end.
    let far = port("10GBASE-LR").with("temperature: C").stands_in("pole");
    let mut link = over("length: 2 km", port("10GBASE-LR"), far).judge();
    let best = others(&mut link, "a/1/1", None).remove(0);
    assert_eq!(best.part, "temperature range I in `b/1/1`");
    // Another part mends no light: too long for it, the range is not all that is wrong.
    let near = port("10GBASE-LR").with("temperature: C").stands_in("cabinet");
    let mut long = over("length: 60 km", near, port("10GBASE-LR")).judge();
    let found = others(&mut long, "a/1/1", None);
    assert!(found.iter().all(|one| one.part.is_empty() || !one.closes), "{found:#?}");
}

/// Two equal halves, and nobody says how many fibers there are: the mate stands before any pair of duplex
/// optics, which would need a second fiber.
#[test]
fn the_mate_before_duplex() {
    let mut link = over("length: 5 km", port("1000BASE-BX10-U"), port("1000BASE-BX10-U")).judge();
    let found = others(&mut link, "a/1/1", None);
    in_order(&found);
    let best: BTreeSet<(&str, &str)> =
        found[..2].iter().map(|one| (one.near.as_str(), one.far.as_str())).collect();
    let halves = [("1000BASE-BX10-D", "1000BASE-BX10-U"), ("1000BASE-BX10-U", "1000BASE-BX10-D")];
    assert_eq!(best, BTreeSet::from(halves));
    assert!(found.iter().any(|one| one.near == "1000BASE-LX10"), "duplex comes behind");
}

/// ER facing LR at 15 km is short one way and hot the other (practice; IEEE 802.3 clause 52: ER launches -4.7
/// to 4.0 dBm, its receiver takes -15.8 to -1.0 dBm; LR -8.2 to 0.5 and -14.4 to 0.5). ER at both ends with a
/// pad at each receiver is what the trade does.
#[test]
fn long_reach_optics_with_pads() {
    let span = "length: 15 km, measured: 3.9 dB, uncertainty: 0 dB";
    let mut link = over(span, port("10GBASE-LR"), port("10GBASE-ER")).judge();
    let found = others(&mut link, "a/1/1", None);
    in_order(&found);
    let er = &found[0];
    assert_eq!((er.near.as_str(), er.far.as_str(), er.changes), ("10GBASE-ER", "10GBASE-ER", 1));
    assert!(er.closes && er.pads.len() == 2, "{er:#?}");
    // 4.0 - 3.9 is 0.1 dBm, 1.1 dB above the overload; the smallest pad that leaves 1 dB of headroom is
    // 3 dB (2.5 to 3.5 dB), which leaves 1.4 dB; of the 10.9 dB of the channel it and its mated pair take 4.0 dB at most.
    for (margin, headroom) in er.margin.into_iter().zip(er.headroom) {
        crate::bench::exact(known(headroom), 2.5 - 1.1);
        crate::bench::exact(known(margin), 10.9 - 3.9 - 3.5 - 0.5);
    }
    // With such a pad in both ways it does close: 3.9 dB of fiber, 2.5 to 3.5 dB of pad, a mated pair.
    let padded = |loss: f64| crate::bench::padded(loss, port("10GBASE-ER"), port("10GBASE-ER"));
    for loss in [3.9 + 2.5, 3.9 + 3.5 + 0.5] {
        padded(loss).expect(Go::Go, &[], &["budget.overload", "budget.over-loss"]);
    }
}

/// GPON C+ over 2 km and 1x8 is too hot (ITU-T G.984.2 Amd. 2: 17 dB at least): the next lower class with
/// a pad stands before classes that are farther off.
#[test]
fn one_class_lower_or_a_pad() {
    let mut plan = seen(
        "spanwright: 1\nshelves: {olt: {ports: {1: {optic: GPON-OLT-C+}}}}\n\
         onts: {home: {optic: GPON-ONU-C+}}\nsplitters: {s: {ratio: 1x8}}\nspans:\n  \
         - {from: olt/1, to: s/in, length: 1 km}\n  - {from: s/1, to: home, length: 1 km}\n",
    );
    let answer = plan.answer("olt/1");
    assert!(crate::bench::rules(&answer).contains("budget.overload"), "{}", answer.because);
    let found = others(&mut plan, "olt/1", None);
    in_order(&found);
    let place = |class: &str| {
        let both = (format!("GPON-OLT-{class}"), format!("GPON-ONU-{class}"));
        found.iter().position(|one| (&one.near, &one.far) == (&both.0, &both.1))
    };
    let (plus, b, a) = (place("B+").expect("B+"), place("B"), place("A"));
    assert!(found[plus].closes, "{:#?}", found[plus]);
    let d = place("D");
    assert!([b, a, d].into_iter().flatten().all(|other| plus < other), "{found:#?}");
}

/// A port whose light reaches nobody has nothing to compare with, and it is said.
#[test]
fn nothing_to_compare_with_is_said() {
    let mut plan = seen("spanwright: 1\nshelves: {a: {ports: {1: {optic: 10GBASE-LR, cage: SFP}}}}\n");
    let none = all_others(&mut plan, "a/1", None, false);
    assert!(none.found.is_empty() && none.note.contains("no light joins the port"), "{}", none.note);
    let mut link = over("length: 60 km", port("10GBASE-LR"), port("10GBASE-LR")).judge();
    let none = all_others(&mut link, "a/1/1", Some(&["1000BASE-SX".to_string()]), false);
    assert!(none.found.is_empty() && none.note.contains("no other optic of stock"), "{}", none.note);
}

/// Only what is in stock, besides what is planned.
#[test]
fn stock_limits_the_choice() {
    let stock = |names: &[&str]| names.iter().map(|name| (*name).to_string()).collect::<Vec<_>>();
    let span = "length: 12 km, connectors: 4";
    let link = || over(span, port("1000BASE-ZX"), port("1000BASE-ZX")).judge();
    let all = others(&mut link(), "a/1/1", None);
    for names in [&["1000BASE-EX"][..], &["1000BASE-LX10", "1000BASE-BX10-U"], &["10GBASE-LR"], &[]] {
        let few = others(&mut link(), "a/1/1", Some(&stock(names)));
        in_order(&few);
        for one in &few {
            for optic in [&one.near, &one.far] {
                assert!(
                    names.contains(&optic.as_str()) || optic == "1000BASE-ZX",
                    "{optic} of {names:?}"
                );
            }
            assert!(all.contains(one), "stock changes no figure: {one:#?}");
        }
        assert_eq!(few.iter().any(|one| one.closes), names.contains(&"1000BASE-EX"), "{names:?}");
    }
}

/// A PON of two homes of which one is next door.
fn tree(olt: &str, homes: [(&str, &str); 2]) -> Seen {
    let [(first, near), (second, far)] = homes;
    seen(&format!(
        "spanwright: 1\nshelves: {{olt: {{ports: {{1: {{optic: {olt}}}}}}}}}\n\
         onts: {{home-1: {{optic: {first}}}, home-2: {{optic: {second}}}}}\n\
         splitters: {{s: {{ratio: 1x32}}}}\nspans:\n  - {{from: olt/1, to: s/in, length: 1 km}}\n  \
         - {{from: s/1, to: home-1, {near}}}\n  - {{from: s/2, to: home-2, {far}}}\n"
    ))
}

/// GPON B+ that is short at one of two homes: C+ at the OLT and at both homes closes (32 dB, ITU-T
/// G.984.2 Amd. 2), three changes; asked at the OLT, all of its homes count.
#[test]
fn another_class_of_a_pon() {
    let homes = [
        ("GPON-ONU-B+", "length: 4 km"),
        ("GPON-ONU-B+", "length: 10 km, measured: 12 dB, uncertainty: 0 dB"),
    ];
    let mut plan = tree("GPON-OLT-B+", homes);
    plan.expect_at("olt/1", Go::NoGo, &["budget.over-loss"], &["budget.overload"]);
    let found = others(&mut plan, "olt/1", None);
    in_order(&found);
    let plus = found.iter().find(|one| one.near == "GPON-OLT-C+" && one.far == "GPON-ONU-C+");
    let plus = plus.expect("C+ at both ends");
    assert!(plus.closes && plus.changes == 3, "{plus:#?}");
    assert!(hold(&mut tree("GPON-OLT-B+", homes), "olt/1", &["home-1", "home-2"]) >= 1);
}

/// What is asked at one home does not sacrifice the other: an OLT class that serves the far home and
/// overloads or loses the near one does not close.
#[test]
fn a_home_is_not_helped_at_the_cost_of_its_neighbor() {
    let homes = [
        ("GPON-ONU-B+", "length: 10 m, measured: 0.1 dB, uncertainty: 0 dB"),
        ("GPON-ONU-B+", "length: 10 km, measured: 12 dB, uncertainty: 0 dB"),
    ];
    let mut plan = tree("GPON-OLT-B+", homes);
    plan.expect_at("home-1", Go::Go, &[], &["budget.over-loss"]);
    plan.expect_at("home-2", Go::NoGo, &["budget.over-loss"], &[]);
    let found = others(&mut plan, "home-2", None);
    in_order(&found);
    // C+ at the OLT and here would do for this home, and drive the OLT too hard from the near one.
    let plus = found.iter().find(|one| one.near == "GPON-ONU-C+" && one.far == "GPON-OLT-C+");
    let plus = plus.expect("C+ at both ends");
    assert!(plus.margin.map(known).iter().chain(&plus.headroom.map(known)).all(|room| *room >= 0.0));
    assert!(!plus.pads.is_empty(), "only with a pad at the near home: {plus:#?}");
    let home = plan.port("home-1");
    let settings = Settings { statistics: false, cross_check: None };
    for one in found.iter().filter(|one| one.closes && one.pads.is_empty() && one.near != one.far) {
        let (olt, far) = (plan.port("olt/1"), plan.port("home-2"));
        let changed = with(&plan.0.plan, (far, &one.near), &[olt], &one.far);
        let judged = judge(changed, plan.0.tables.clone(), Vec::new(), &Files::default(), settings);
        let judged = judged.expect("a plan that can be judged");
        let answer = Answers::new(&judged).of(home);
        let grave = answer.findings.iter().find(|finding| finding.severity == Severity::Error);
        assert!(grave.is_none(), "{one:#?}: {grave:#?}");
    }
}
