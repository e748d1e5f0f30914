//! Parallel optics that are broken out: every row of the table `breakouts`, both ways, and its limits.

use spanwright::engine::fit::Go;
use spanwright::read::tables::built_in;
use spanwright::tables::FiberKind;

use crate::bench::{exact, over, port, seen};

/// Over one connector and 30 m of fiber, which is within the shortest reach of any (100GBASE-VR1 on OM3,
/// IEEE 802.3db: 30 m), every breakout that the table knows closes: with the lane at the parallel port,
/// with the lane written at the other port, and without a lane.
#[test]
fn every_breakout_closes_on_an_easy_path() {
    let tables = built_in();
    assert_eq!(tables.breakouts.rows().len(), 17);
    for row in tables.breakouts.rows() {
        let (parent, child) = (row.value.parent.as_str(), row.value.child.as_str());
        let multimode =
            tables.interfaces.get(parent).expect(parent).value.fiber_kind == FiberKind::Multimode;
        let (fiber, grade) = if multimode { ("OM4", "MPO") } else { ("G.652.D", "C") };
        let span = format!("length: 30 m, fiber: {fiber}, connectors: 1, connector: {grade}");
        for lane in 1..=row.value.lanes {
            let said = format!("lane: {lane}");
            let misses = ["fit.breakout", "fit.rate-differs", "fit.fiber-count", "fit.lanes-differ"];
            over(&span, port(parent).with(&said), port(child)).expect(Go::Go, &[], &misses);
            over(&span, port(child), port(parent).with(&said)).expect(Go::Go, &[], &misses);
            over(&span, port(parent), port(child).with(&said)).expect(Go::Go, &[], &misses);
        }
        over(&span, port(parent), port(child)).expect(
            Go::Go,
            &[],
            &["fit.breakout", "fit.rate-differs"],
        );
        let beyond = format!("lane: {}", row.value.lanes + 1);
        over(&span, port(parent).with(&beyond), port(child)).expect(Go::NoGo, &["fit.breakout"], &[]);
    }
}

/// IEEE 802.3 Tables 140-8 and 124-9, from memory: 100GBASE-DR and 400GBASE-DR4 allow a channel of
/// 3.0 dB. The agreement of 100G-PSM4 (rev 2.0) allows 3.26 dB, less than the 6.3 dB of 25GBASE-LR: the
/// lane that faces it has no more.
#[test]
fn a_lane_has_the_channel_of_its_interface_and_no_more() {
    for (parent, child, fiber, most) in [
        ("400GBASE-DR4", "100GBASE-DR", "G.652.D", 3.0),
        ("800GBASE-DR8", "400GBASE-DR4", "G.652.D", 3.0),
        ("400GBASE-DR4-2", "100GBASE-FR1", "G.652.D", 4.0),
        ("100G-PSM4", "25GBASE-LR", "G.652.D", 3.26),
        // IEEE 802.3 Table 95-9 and 112-8, from memory: 1.9 dB on OM4.
        ("100GBASE-SR4", "25GBASE-SR", "OM4", 1.9),
        // Tables 86-9 and 52-10, from memory: 1.9 dB of the parent, 2.6 dB of the child.
        ("40GBASE-SR4", "10GBASE-SR", "OM4", 1.9),
    ] {
        let lane = || port(parent).with("lane: 2");
        let span =
            |loss| format!("length: 20 m, fiber: {fiber}, measured: {loss} dB, uncertainty: 0 dB");
        for loss in [most - 0.01, most] {
            over(&span(loss), lane(), port(child)).expect(Go::Go, &[], &["budget.over-loss"]);
        }
        let judged = over(&span(most + 0.01), lane(), port(child)).judge();
        judged.expect(Go::NoGo, &["budget.over-loss"], &["fit.classes-differ"]);
        exact(judged.room("a/1/1", "b/1/1")[0], -0.01);
        exact(judged.room("b/1/1", "a/1/1")[0], -0.01);
    }
}

/// IEEE 802.3 clauses 52 and 86, from memory: a lane of 40GBASE-SR4 may launch 2.4 dBm, a receiver of
/// 10GBASE-SR bears -1 dBm. Optics sold for breakout keep -1 dBm (common practice), which is what the
/// table says of the lane; it has to be told as taken for granted.
#[test]
fn the_levels_that_a_lane_is_taken_to_keep_are_told() {
    let judged = seen(
        "spanwright: 1\nshelves:\n  a: {ports: {1: {optic: 40GBASE-SR4}}}\n  \
         b: {ports: {1: {optic: 10GBASE-SR}}}\n\
         spans: [{from: a/1, to: b/1, length: 30 m, fiber: OM4}]\n",
    );
    for name in ["a/1", "b/1"] {
        let told = spanwright::engine::assumed::assumed(&judged.0, judged.port(name));
        let told = |words: &str| told.iter().any(|one| one.contains(words));
        assert!(told("each lane of 40GBASE-SR4 keeps the levels of 10GBASE-SR"));
        assert!(told("`a/1` is broken out into 4 x 10GBASE-SR"));
    }
    let sent = judged.end("a/1", "b/1");
    let window = judged.0.assessment.pair(sent).window;
    exact(window.launch[1].expect("launch").value(), -1.0);
    exact(window.min.expect("a limit").value(), 0.0);
}
