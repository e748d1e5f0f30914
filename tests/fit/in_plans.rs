//! Whole plans: PONs, ports that stay dark, ports that share a fault.

use spanwright::engine::fit::Go;

use crate::bench::{rules, seen};

/// Thirty meters from the office without a splitter (practice: "always through a splitter"): +5 dBm
/// and at least 13 dB needed downstream (GPON B+, ITU-T G.984.2 Amd. 1, read).
fn next_door(devices: &str) -> crate::bench::Seen {
    seen(&format!(
        "spanwright: 1\nshelves: {{olt: {{ports: {{1: {{optic: GPON-OLT-B+}}}}}}}}\n\
         onts: {{home: {{optic: GPON-ONU-B+}}}}\n{devices}"
    ))
}

#[test]
fn a_pon_of_30_m_without_a_splitter() {
    let bare = next_door("spans: [{from: olt/1, to: home, length: 30 m}]\n");
    for name in ["olt/1", "home"] {
        bare.expect_at(name, Go::NoGo, &["budget.overload"], &["budget.over-loss", "fit.unlike-ends"]);
    }
    let split = next_door(
        "splitters: {s: {ratio: 1x32}}\nspans:\n  - {from: olt/1, to: s/in, length: 20 m}\n  \
         - {from: s/1, to: home, length: 10 m}\n",
    );
    split.expect_at("olt/1", Go::Go, &[], &["budget.overload"]);
}

/// A customer on the leg of the other system (story of practice, read): the GPON OLT has nobody to
/// talk to, and the answer says whom it faces.
#[test]
fn a_gpon_olt_facing_an_onu_of_xgs_pon() {
    let plan = |onu: &str| {
        seen(&format!(
            "spanwright: 1\nshelves: {{olt: {{ports: {{1: {{optic: GPON-OLT-B+}}}}}}}}\n\
             onts: {{home: {{optic: {onu}}}}}\nsplitters: {{s: {{ratio: 1x32}}}}\nspans:\n  \
             - {{from: olt/1, to: s/in, length: 5 km}}\n  - {{from: s/1, to: home, length: 1 km}}\n"
        ))
    };
    plan("GPON-ONU-B+").expect_at("olt/1", Go::Go, &[], &["fit.unlike-ends", "budget.no-light"]);
    let wrong = plan("XGS-PON-ONU-N1");
    for name in ["olt/1", "home"] {
        let answer = wrong.answer(name);
        let found = rules(&answer);
        assert_eq!(answer.go, Go::NoGo);
        assert!(found.contains("fit.unlike-ends") && found.contains("budget.no-light"), "{found:?}");
        assert!(answer.because.contains("cannot work together"), "{}", answer.because);
    }
}

/// An OLT of another class than its ONUs: they work together, with a warning.
#[test]
fn classes_of_one_system() {
    let plan = seen(
        "spanwright: 1\nshelves: {olt: {ports: {1: {optic: GPON-OLT-C+}}}}\n\
         onts: {home: {optic: GPON-ONU-B+}}\nsplitters: {s: {ratio: 1x32}}\nspans:\n  \
         - {from: olt/1, to: s/in, length: 5 km}\n  - {from: s/1, to: home, length: 1 km}\n",
    );
    plan.expect_at("olt/1", Go::Go, &["fit.classes-differ"], &["fit.unlike-ends"]);
}

/// Rules that the walk of light gives name one port and count the others; each of them is answered.
#[test]
fn ports_that_share_a_fault_are_answered_alike() {
    let dark = seen(
        "spanwright: 1\nshelves:\n  \
         a: {ports: {1: {optic: 10GBASE-LR}, 2: {optic: 10GBASE-LR}, 3: {optic: 10GBASE-LR}}}\n\
         panels: {p: {positions: 3}}\nspans:\n  - {from: \"a/[1-3]\", to: \"p/[1-3]\", length: 10 m}\n",
    );
    for name in ["a/1", "a/2", "a/3"] {
        dark.expect_at(name, Go::NoGo, &["budget.no-light"], &["fit.unknown-optic"]);
        assert!(dark.answer(name).because.contains(name), "{}", dark.answer(name).because);
    }
    let unknown = seen(
        "spanwright: 1\nshelves:\n  \
         a: {ports: {1: {optic: 10GBASE-LQ}, 2: {optic: 10GBASE-LQ}}}\n  \
         b: {ports: {1: {optic: 10GBASE-LR}, 2: {optic: 10GBASE-LR}}}\nspans:\n  \
         - {from: \"a/[1-2]\", to: \"b/[1-2]\", length: 10 m}\n",
    );
    for name in ["a/1", "a/2"] {
        let answer = unknown.answer(name);
        assert_eq!(answer.go, Go::CannotJudge);
        assert!(rules(&answer).contains("fit.unknown-optic"), "{name}: {:#?}", answer.findings);
    }
}

/// What is wrong with a neighbor on the same tree does not speak against a home's own optic.
#[test]
fn a_home_is_not_blamed_for_its_neighbors() {
    let plan = seen(
        "spanwright: 1\nshelves: {olt: {ports: {1: {optic: GPON-OLT-B+}}}}\n\
         onts: {near: {optic: GPON-ONU-B+}, far: {optic: GPON-ONU-B+}, other: {optic: GPON-ONU-C+}}\n\
         splitters: {s: {ratio: 1x32}}\nspans:\n  - {from: olt/1, to: s/in, length: 5 km}\n  \
         - {from: s/1, to: near, length: 1 km}\n  \
         - {from: s/2, to: far, length: 12 km, measured: 12 dB}\n  \
         - {from: s/3, to: other, length: 1 km}\n",
    );
    plan.expect_at("near", Go::Go, &[], &["budget.over-loss", "fit.classes-differ"]);
    plan.expect_at("other", Go::Go, &["fit.classes-differ"], &["budget.over-loss"]);
    plan.expect_at("far", Go::NoGo, &["budget.over-loss"], &["fit.classes-differ"]);
    plan.expect_at("olt/1", Go::NoGo, &["budget.over-loss", "fit.classes-differ"], &[]);
    let because = plan.answer("far").because;
    assert!(because.contains("`olt/1` from `far`") || because.contains("`far` at 1490 nm"), "{because}");
}

/// A rolled pair (story of practice): transmitting side onto transmitting side.
#[test]
fn a_rolled_pair() {
    let pair = |far: [&str; 2]| {
        seen(&format!(
            "spanwright: 1\nshelves:\n  a: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n  \
             b: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\nspans:\n  \
             - {{from: \"a/1:tx\", to: \"b/1:{}\", length: 1 km}}\n  \
             - {{from: \"a/1:rx\", to: \"b/1:{}\", length: 1 km}}\n",
            far[0], far[1]
        ))
    };
    pair(["rx", "tx"]).expect_at("a/1", Go::Go, &[], &["fit.pair-not-crossed"]);
    for name in ["a/1", "b/1"] {
        let rolled = pair(["tx", "rx"]);
        let found = rules(&rolled.answer(name));
        assert!(found.contains("fit.pair-not-crossed"), "{name}: {found:?}");
        assert_eq!(rolled.answer(name).go, Go::NoGo);
    }
}

/// Four modules of 2 W on a card that gives 6 W in all (invented card `uplink-4`): each is within its
/// cage's 1.5 W or not, and the card is not.
#[test]
fn a_card_that_gives_too_little_in_all() {
    let plan = |watts: f64| {
        let ports: Vec<String> = (1..=4)
            .map(|port| format!("{port}: {{optic: 10GBASE-LR, form: SFP+, power: {watts} W}}"))
            .collect();
        seen(&format!(
            "spanwright: 1\nshelves:\n  a: {{slots: {{1: {{card: uplink-4, ports: {{{}}}}}}}}}\n  \
             b: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n\
             spans: [{{from: a/1/1, to: b/1, length: 1 km}}]\n",
            ports.join(", ")
        ))
    };
    plan(1.5).expect_at("a/1/1", Go::Go, &[], &["fit.card-power", "fit.power"]);
    let found = rules(&plan(1.6).answer("a/1/1"));
    assert!(found.contains("fit.card-power") && found.contains("fit.power"), "{found:?}");
}
