//! Dispersion against the limits of interfaces: where the loss closes and the light still does not
//! serve, no pad and no amplifier helps.
//!
//! The envelopes of fibers and the sums along a way stand in `tests/published/dispersion.rs`, the
//! channel grids in `tests/channel_grids.rs`: neither is repeated here.

use spanwright::engine::fit::Go;

use crate::bench::{Facing, over, port};

fn link(optic: &str, km: f64, loss: f64) -> Facing {
    let span = format!("length: {km} km, measured: {loss} dB, uncertainty: 0 dB");
    over(&span, port(optic), port(optic))
}

/// 10GBASE-LR stands -64.2 to +48.1 ps/nm: 10 km at the edges of 1260 to 1355 nm (IEEE 802.3 clause 52
/// by its formula, from memory). G.652 has -6.35 ps/(nm km) at 1260 nm: 12 km are -76 ps/nm, whatever
/// light is left.
#[test]
fn lr_over_12_km_of_good_fiber() {
    link("10GBASE-LR", 10.0, 5.0).expect(Go::Go, &[], &["budget.dispersion", "budget.beyond-reach"]);
    let far = link("10GBASE-LR", 12.0, 5.0);
    far.expect(Go::NoGo, &["budget.dispersion", "budget.beyond-reach"], &["budget.over-loss"]);
    assert_eq!(far.judge().pads("a/1/1"), []);
}

/// 10GBASE-ZR and the codes L-64.2a and P1L1-2D2 stand 1600 ps/nm (ITU-T G.691 and G.959.1, from memory;
/// the first is practice): G.652.D has up to 19.6 ps/(nm km) at 1565 nm, so some 81 km.
#[test]
fn eighty_kilometer_parts() {
    for optic in ["10GBASE-ZR", "L-64.2a", "P1L1-2D2"] {
        link(optic, 80.0, 20.0).expect(Go::Go, &[], &["budget.dispersion"]);
        let far = link(optic, 90.0, 20.0);
        far.expect(Go::NoGo, &["budget.dispersion", "budget.beyond-reach"], &["budget.over-loss"]);
    }
}

/// 2.5 Gbit/s bears more than 10: ITU-T G.957 S-16.2 stands 800 ps/nm (from memory) over 15 km, and at
/// 1580 nm G.652.D has up to 20.61 ps/(nm km): 38 km keep it, 39 km do not.
#[test]
fn s_16_2_between_38_and_39_km() {
    link("S-16.2", 38.0, 10.0).expect(Go::Go, &["budget.beyond-reach"], &["budget.dispersion"]);
    let far = link("S-16.2", 39.0, 10.0);
    far.expect(Go::NoGo, &["budget.dispersion", "budget.beyond-reach"], &["budget.over-loss"]);
}

/// For 10GBASE-ER two figures are remembered: 728 ps/nm (18.2 x 40 km) and 762 ps/nm (by the formula of
/// the clause). The table states none, so dispersion speaks neither for nor against it.
#[test]
fn er_where_its_sources_disagree() {
    let engineered = link("10GBASE-ER", 40.0, 10.0);
    engineered.expect(Go::Go, &["budget.beyond-reach"], &["budget.dispersion"]);
}

/// L-16.2 may send from 1500 nm on, where ITU-T G.655.C and G.654 state nothing: the window cannot be judged,
/// and it is said, not passed over.
#[test]
fn a_fiber_of_unknown_dispersion_is_not_passed_over() {
    let gaps = |fiber: &str| {
        let span = format!("length: 80 km, fiber: {fiber}, measured: 20 dB, uncertainty: 0 dB");
        let answer = over(&span, port("L-16.2"), port("L-16.2")).judge().answer("a/1/1");
        answer.not_checked.iter().any(|gap| gap.rules == ["budget.dispersion"])
    };
    assert!(gaps("G.655.C") && gaps("G.654.E"));
    assert!(!gaps("G.652.D"));
}
