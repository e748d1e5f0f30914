//! Connectors of which no grade is stated: which one is taken, that a standard channel is left possible
//! by it, and that it is told.

use spanwright::engine::assumed::assumed;
use spanwright::engine::fit::Go;

use crate::bench::{Seen, exact, over, port, seen};

/// Two panels: three cords, two mated pairs.
fn two_panels(optic: &str, fiber: &str, metres: u32) -> Seen {
    over(&format!("length: {metres} m, fiber: {fiber}, connectors: 2"), port(optic), port(optic)).judge()
}

/// IEEE 802.3 allots 1.5 dB to connectors at these reaches (Tables 38-10, 52-10, 86-9, 95-9, 112-8, from
/// memory): two mated pairs of 0.75 dB each, the maximum of TIA-568.3.
#[test]
fn a_standard_multimode_channel_closes_over_two_panels() {
    for (optic, fiber, metres) in [
        ("25GBASE-SR", "OM4", 50),
        ("25GBASE-SR", "OM4", 100),
        ("100GBASE-SR4", "OM3", 50),
        ("100GBASE-SR4", "OM4", 70),
        ("40GBASE-SR4", "OM3", 100),
        ("40GBASE-SR4", "OM4", 60),
        ("10GBASE-SR", "OM3", 250),
        ("10GBASE-SR", "OM3", 300),
        ("1000BASE-SX", "OM2", 550),
    ] {
        two_panels(optic, fiber, metres).expect(Go::Go, &[], &["fit.joint-kind", "budget.over-loss"]);
    }
}

/// IEEE 802.3 Table 86-9, from memory: 40GBASE-SR4 has 1.9 dB on 100 m of OM3 and 1.5 dB on 150 m of OM4,
/// of which connectors have 1.0 dB. OM4 meets all that OM3 does, so that up to 100 m it has 1.9 dB too.
#[test]
fn a_fiber_keeps_the_limit_of_a_lower_grade_within_its_reach() {
    let at = |metres: u32, loss: f64, fiber: &str| {
        let span = format!("length: {metres} m, fiber: {fiber}, measured: {loss} dB, uncertainty: 0 dB");
        over(&span, port("40GBASE-SR4"), port("40GBASE-SR4"))
    };
    for (metres, most, fiber) in
        [(100, 1.9, "OM3"), (60, 1.9, "OM4"), (100, 1.9, "OM4"), (101, 1.5, "OM4"), (150, 1.5, "OM4")]
    {
        at(metres, most, fiber).expect(Go::Go, &[], &["budget.over-loss"]);
        at(metres, most + 0.01, fiber).expect(Go::NoGo, &["budget.over-loss"], &[]);
    }
}

/// Not every number of panels: three pairs of 0.75 dB are more than the 1.9 dB of the channel
/// (IEEE 802.3 Table 112-8, from memory).
#[test]
fn more_connectors_than_the_channel_allows_are_still_too_many() {
    over("length: 50 m, fiber: OM4, connectors: 3", port("25GBASE-SR"), port("25GBASE-SR")).expect(
        Go::NoGo,
        &["budget.over-loss"],
        &[],
    );
}

/// The greatest loss by grade, beside that of the fiber: 0.75 dB (TIA-568.3) on multimode fiber, 0.5 dB
/// (IEC 61755-1, grade C) on single-mode fiber; and each is told, where it counts for something.
#[test]
fn the_grade_that_is_taken_is_told() {
    let loss = |judged: &Seen| judged.end("a/1/1", "b/1/1").most.value();
    for (optic, fiber, most, grade) in [
        ("25GBASE-SR", "fiber: OM4", 0.75, "grade TIA-0.75 (at most 0.75 dB)"),
        ("100GBASE-SR4", "fiber: OM4, fibers: 12", 0.75, "grade MPO (at most 0.75 dB)"),
        ("100GBASE-SR4", "fiber: OM4, polarity: B", 0.75, "grade MPO (at most 0.75 dB)"),
        ("10GBASE-LR", "fiber: G.652.D", 0.5, "grade C (at most 0.50 dB)"),
    ] {
        let with = |connectors: u16| {
            over(&format!("length: 20 m, {fiber}, connectors: {connectors}"), port(optic), port(optic))
                .judge()
        };
        let (none, two) = (with(0), with(2));
        exact(loss(&two) - loss(&none), 2.0 * most);
        let told = |judged: &Seen| {
            assumed(&judged.0, judged.port("a/1/1")).into_iter().find(|one| one.contains("no grade"))
        };
        assert_eq!(told(&none), None);
        assert!(told(&two).is_some_and(|one| one.ends_with(grade)), "{:?}", told(&two));
    }
    let stated = "length: 20 m, fiber: OM4, connectors: 2, connector: Cm";
    let stated = over(stated, port("25GBASE-SR"), port("25GBASE-SR")).judge();
    assert!(!assumed(&stated.0, 0).iter().any(|one| one.contains("grade")));
}

/// A coupling of a panel goes by the fiber that ends at it; on single-mode fiber of the same plan nothing
/// changes; and the polish of the plan stays.
#[test]
fn a_coupling_goes_by_its_fiber() {
    let judged = seen(
        "spanwright: 1\ndefaults: {connector: {polish: UPC}}\n\
         shelves:\n  a: {ports: {1: {optic: 25GBASE-SR}, 2: {optic: 10GBASE-LR}}}\n  \
         b: {ports: {1: {optic: 25GBASE-SR}, 2: {optic: 10GBASE-LR}}}\n\
         panels: {p: {positions: 1}, q: {positions: 1}}\n\
         spans:\n  - {from: a/1, to: p/1, length: 0 m, fiber: OM4}\n  \
         - {from: p/1, to: b/1, length: 0 m, fiber: OM4}\n  \
         - {from: a/2, to: q/1, length: 0 m}\n  - {from: q/1, to: b/2, length: 0 m}\n",
    );
    exact(judged.end("a/1", "b/1").most.value(), 0.75);
    exact(judged.end("a/2", "b/2").most.value(), 0.5);
    judged.expect_at("a/1", Go::Go, &[], &["fit.joint-kind"]);
    let told = assumed(&judged.0, judged.port("a/1")).join("; ");
    assert!(told.contains("C (at most 0.50 dB) or TIA-0.75 (at most 0.75 dB)"), "{told}");
}
