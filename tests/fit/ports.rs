//! The port itself: cage, card, rate, temperature, power. Mismatches with known answers.

use spanwright::engine::fit::Go;

use crate::bench::{Facing, Port, over, port};

/// A sound kilometer to the same optic, so that only the port decides.
fn here(near: Port, far: &str) -> Facing {
    over("length: 1 km", near, port(far))
}

const CAGE_RULES: [&str; 3] = ["fit.wrong-cage", "fit.dead-in-cage", "fit.cage-undecided"];

/// SFP+ in an SFP cage: seats, is seen, never comes up (practice, read; INF-8074i and SFF-8431 from
/// memory). The same stands where only the optic is named: no module in that cage carries it.
#[test]
fn sfp_plus_in_a_cage_of_1g() {
    let stated = port("10GBASE-LR").with("cage: SFP, form: SFP+");
    here(stated, "10GBASE-LR").expect(Go::NoGo, &["fit.dead-in-cage"], &["fit.wrong-cage"]);
    let unstated = port("10GBASE-LR").with("cage: SFP");
    here(unstated, "10GBASE-LR").expect(Go::NoGo, &["fit.dead-in-cage"], &["fit.wrong-cage"]);
    let right = port("10GBASE-LR").with("cage: SFP+, form: SFP+, rate: 10G");
    here(right, "10GBASE-LR").expect(Go::Go, &[], &CAGE_RULES);
}

/// SFP in an SFP+ cage: works where the port has 1G as a mode (SFF-8431; practice). Where nobody says
/// which modes it has, nothing is promised.
#[test]
fn sfp_in_a_cage_of_10g() {
    let lx = || port("1000BASE-LX10").with("cage: SFP+, form: SFP");
    here(lx(), "1000BASE-LX10").expect(Go::CannotJudge, &["fit.cage-undecided"], &["fit.dead-in-cage"]);
    here(lx().with("rate: 1G"), "1000BASE-LX10").expect(Go::Go, &[], &CAGE_RULES);
    let left_at_10 = here(lx().with("rate: 10G"), "1000BASE-LX10");
    left_at_10.expect(Go::NoGo, &["fit.dead-in-cage"], &["fit.wrong-cage"]);
    // The invented card `uplink-4` has 1 and 10 Gbit/s, `eth-8-25` has 10 and 25.
    let lx = || port("1000BASE-LX10").with("form: SFP");
    here(lx().card("uplink-4"), "1000BASE-LX10").expect(Go::Go, &[], &CAGE_RULES);
    let no_mode = here(lx().card("eth-8-25"), "1000BASE-LX10");
    no_mode.expect(Go::NoGo, &["fit.dead-in-cage"], &["fit.wrong-cage"]);
}

/// QSFP28 in a QSFP+ cage: one body, but lanes of 25 Gbit/s in a host of 10 (SFF-8665; practice).
/// QSFP+ in a QSFP28 cage works where the port has 40G.
#[test]
fn qsfp28_and_qsfp_plus() {
    let dead = port("100GBASE-LR4").with("cage: QSFP+, form: QSFP28");
    here(dead, "100GBASE-LR4").expect(Go::NoGo, &["fit.dead-in-cage"], &["fit.wrong-cage"]);
    let older = || port("40GBASE-LR4").with("form: QSFP+");
    here(older().card("eth-4-100"), "40GBASE-LR4").expect(Go::Go, &[], &CAGE_RULES);
    let undecided = here(older().with("cage: QSFP28"), "40GBASE-LR4");
    undecided.expect(Go::CannotJudge, &["fit.cage-undecided"], &["fit.dead-in-cage"]);
}

/// Form factors of two families do not go into each other's cages (practice).
#[test]
fn another_body() {
    for (optic, cage, form) in [
        ("10GBASE-ER", "SFP+", "XFP"),
        ("10GBASE-ER", "XFP", "SFP+"),
        ("100GBASE-LR4", "SFP28", "QSFP28"),
        ("400GBASE-LR8", "QSFP-DD", "OSFP"),
    ] {
        let module = port(optic).with(&format!("cage: {cage}, form: {form}"));
        let seen = here(module, optic).judge();
        let found = crate::bench::rules(&seen.answer("a/1/1"));
        assert!(found.contains("fit.wrong-cage"), "{form} in {cage}: {found:?}");
        assert!(!found.contains("fit.dead-in-cage"), "{form} in {cage}: {found:?}");
        assert_eq!(seen.answer("a/1/1").go, Go::NoGo);
    }
}

/// 10GBASE-LR in a module of 1G, and 25GBASE-LR in one of 10G: no such module is made.
#[test]
fn no_such_module() {
    let slow = port("25GBASE-LR").with("cage: SFP28, form: SFP+");
    let seen = here(slow, "25GBASE-LR").judge();
    assert!(crate::bench::rules(&seen.answer("a/1/1")).contains("fit.form-cannot"));
    assert_eq!(seen.answer("a/1/1").go, Go::NoGo);
}

/// An OLT optic in an Ethernet port sends +5 dBm into whatever is there (practice, read), and an
/// Ethernet half at 1310/1490 nm in a PON port has the right colors and no burst receiver.
#[test]
fn olt_and_ethernet_ports_exchanged() {
    let olt = over("length: 1 km", port("GPON-OLT-B+").card("eth-8"), port("1000BASE-BX10-U")).judge();
    let found = crate::bench::rules(&olt.answer("a/1/1"));
    assert_eq!(olt.answer("a/1/1").go, Go::NoGo);
    assert!(found.contains("fit.pon-port") && found.contains("fit.unlike-ends"), "{found:?}");
    let half = over("length: 1 km", port("1000BASE-BX10-D").card("gpon-8"), port("1000BASE-BX10-U"));
    let seen = half.judge();
    let found = crate::bench::rules(&seen.answer("a/1/1"));
    assert_eq!(seen.answer("a/1/1").go, Go::NoGo);
    assert!(found.contains("fit.pon-port") && !found.contains("fit.receiver-band"), "{found:?}");
}

/// An OLT optic of another system than its card (practice): GPON in a port of XGS-PON.
#[test]
fn olt_optic_of_another_system() {
    let seen = over("length: 1 km", port("GPON-OLT-B+").card("xgs-8"), port("GPON-ONU-B+")).judge();
    let found = crate::bench::rules(&seen.answer("a/1/1"));
    assert!(found.contains("fit.card-optic") && !found.contains("fit.pon-port"), "{found:?}");
    assert_eq!(seen.answer("a/1/1").go, Go::NoGo);
}

/// A module for 0 to 70 °C in a street cabinet (practice); -40 to 85 °C is right there, and 0 to 70 °C
/// in an office. In a place of which nothing is known nothing is said.
#[test]
fn commercial_grade_in_a_cabinet() {
    let lr = |range: &str, place: &str| {
        let module = port("10GBASE-LR").with(&format!("temperature: {range}")).stands_in(place);
        here(module, "10GBASE-LR")
    };
    lr("C", "cabinet").expect(Go::NoGo, &["fit.temperature"], &CAGE_RULES);
    lr("I", "cabinet").expect(Go::Go, &[], &["fit.temperature"]);
    lr("C", "central-office").expect(Go::Go, &[], &["fit.temperature"]);
    lr("C", "hut").expect(Go::NoGo, &["fit.temperature"], &[]);
    let asked = here(port("10GBASE-LR").with("temperature: C"), "10GBASE-LR").judge().answer("a/1/1");
    assert_eq!(asked.go, Go::Go);
    assert!(asked.not_checked.iter().any(|gap| gap.rules.contains(&"fit.temperature")));
}

/// A module of 2.5 W in a cage that the invented card `uplink-4` gives 1.5 W (SFF-8431 power levels:
/// 1.0, 1.5, 2.0 W; practice).
#[test]
fn a_module_that_takes_too_much_power() {
    let module =
        |watts: &str| port("10GBASE-LR").card("uplink-4").with(&format!("form: SFP+, power: {watts} W"));
    here(module("2.5"), "10GBASE-LR").expect(Go::NoGo, &["fit.power"], &CAGE_RULES);
    here(module("1.5"), "10GBASE-LR").expect(Go::Go, &[], &["fit.power"]);
}

/// 10GBASE-LRM needs a host that compensates dispersion (clause 68, from memory): the invented card
/// `eth-8` does, `uplink-4` does not.
#[test]
fn lrm_without_compensation() {
    let link = |card: &str| {
        over("length: 100 m, fiber: OM3", port("10GBASE-LRM").card(card), port("10GBASE-LRM"))
    };
    link("uplink-4").expect(Go::NoGo, &["fit.no-compensation"], &["fit.card-optic"]);
    link("eth-8").expect(Go::Go, &[], &["fit.no-compensation"]);
}

/// What is wrong with the far port speaks against plugging here as well, and says where.
#[test]
fn a_far_port_that_cannot_work() {
    let far = port("10GBASE-LR").with("cage: SFP, form: SFP+");
    let seen = over("length: 1 km", port("10GBASE-LR"), far).judge();
    seen.expect(Go::NoGo, &["fit.dead-in-cage"], &[]);
    let answer = seen.answer("a/1/1");
    assert!(answer.because.contains("b/1/1"), "{}", answer.because);
}
