//! What faces the optic: levels, wavelengths, halves of pairs, lanes, systems. Mismatches with known
//! answers, from practice threads, operators' notes and the clauses.

use spanwright::engine::fit::Go;

use crate::bench::{exact, over, port};

const ROOM: &str = "length: 10 m, connectors: 2";

/// Two 10GBASE-ER in one room: +4.0 dBm into a receiver of -1.0 dBm is 5 dB too much (IEEE 802.3
/// clause 52; read in operators' notes, which say 5 dB).
#[test]
fn long_reach_optics_in_one_room() {
    let seen = over("length: 0 m", port("10GBASE-ER"), port("10GBASE-ER")).judge();
    exact(seen.room("a/1/1", "b/1/1")[1], -5.0);
    seen.expect(Go::NoGo, &["budget.overload"], &["budget.damage", "fit.receiver-band"]);
    over(ROOM, port("10GBASE-ER"), port("10GBASE-ER")).expect(Go::NoGo, &["budget.overload"], &[]);
}

/// Two 10GBASE-LR in one room need no pad: at most +0.5 dBm is sent, and +0.5 dBm is borne (IEEE
/// 802.3 clause 52; read in operators' notes).
#[test]
fn lr_to_lr_in_one_room_is_fine() {
    let link = over("length: 0 m", port("10GBASE-LR"), port("10GBASE-LR"));
    link.expect(Go::Go, &[], &["budget.overload"]);
    let seen = link.judge();
    exact(seen.room("a/1/1", "b/1/1")[1], 0.0);
    assert_eq!(seen.pads("a/1/1"), []);
}

/// 1000BASE-ZX, "80 km", over 12 km (practice, read): at most +5 dBm less 12 km at 0.18 dB/km arrive
/// at a receiver of -3 dBm.
#[test]
fn zx_over_12_km_is_too_hot() {
    let seen = over("length: 12 km, connectors: 4", port("1000BASE-ZX"), port("1000BASE-ZX")).judge();
    exact(seen.room("a/1/1", "b/1/1")[1], -3.0 - (5.0 - 12.0 * 0.18));
    seen.expect(Go::NoGo, &["budget.overload"], &["budget.over-loss", "budget.dispersion"]);
}

/// 1000BASE-LX10 facing 1000BASE-ZX (practice thread: "works one way only"): 1310 nm faces 1550 nm.
#[test]
fn lx_facing_zx() {
    let link = over("length: 12 km, connectors: 2", port("1000BASE-LX10"), port("1000BASE-ZX"));
    link.expect(
        Go::NoGo,
        &["fit.receiver-band", "budget.overload"],
        &["fit.rate-differs", "fit.same-side-bidi", "fit.unlike-ends"],
    );
}

/// 10GBASE-ER (1550 nm) facing 10GBASE-LR (1310 nm): no receiver is specified for what arrives
/// (clause 52: 1260 to 1355 nm and 1530 to 1565 nm). At 5 dB no level is out of bounds; the wavelength
/// alone says no.
#[test]
fn er_facing_lr() {
    let span = "length: 8 km, measured: 5 dB, uncertainty: 0 dB";
    let link = over(span, port("10GBASE-ER"), port("10GBASE-LR"));
    link.expect(
        Go::NoGo,
        &["fit.receiver-band"],
        &["budget.overload", "fit.rate-differs", "fit.modulation-differs", "fit.fec-differs"],
    );
    let room = over(ROOM, port("10GBASE-ER"), port("10GBASE-LR"));
    room.expect(Go::NoGo, &["fit.receiver-band", "budget.overload"], &["budget.over-loss"]);
}

/// Two equal halves of a single-fiber pair are dark both ways (IEEE 802.3 clause 59; story of
/// practice, from memory); the other half is right.
#[test]
fn equal_halves_of_a_pair() {
    let span = "length: 5 km, fibers: 1";
    for half in ["1000BASE-BX10-U", "1000BASE-BX10-D", "100BASE-BX10-U", "100BASE-BX10-D"] {
        over(span, port(half), port(half)).expect(
            Go::NoGo,
            &["fit.same-side-bidi"],
            // The one cause is told once: the receivers' ranges follow from it.
            &["fit.receiver-band", "fit.rate-differs", "budget.over-loss"],
        );
    }
    let right = over(span, port("1000BASE-BX10-U"), port("1000BASE-BX10-D"));
    right.expect(Go::Go, &[], &["fit.same-side-bidi", "fit.receiver-band", "fit.fiber-count"]);
    // The halves of clause 158 have no levels in the table, but their colors are known.
    let half = "10GBASE-BR10-U";
    let same = over(span, port(half), port(half)).judge();
    assert!(same.answer("a/1/1").findings.iter().any(|one| one.rule.id == "fit.same-side-bidi"));
    assert_eq!(same.answer("a/1/1").go, Go::NoGo);
}

/// A half at 1310/1490 nm facing one at 1310/1550 nm (practice, from memory: one way passes light, the
/// other not). The upstream half hears 1480 to 1500 nm, and 1530 to 1570 nm arrive.
#[test]
fn halves_of_unlike_pairs() {
    let link = over("length: 5 km, fibers: 1", port("1000BASE-BX10-U"), port("1000BASE-BX-1550/1310"));
    // The practice part has no levels in the table, so its way back cannot be judged.
    link.expect(
        Go::NoGo,
        &["fit.receiver-band", "budget.unknown"],
        &["fit.same-side-bidi", "fit.rate-differs"],
    );
    let down = over("length: 5 km, fibers: 1", port("1000BASE-BX10-D"), port("1000BASE-BX-1550/1310"));
    down.expect(Go::NoGo, &["fit.receiver-band"], &["fit.rate-differs", "fit.unlike-ends"]);
}

/// A half of a pair facing a duplex optic: one fiber against two (practice).
#[test]
fn a_half_of_a_pair_facing_a_duplex_optic() {
    let link = over("length: 5 km", port("1000BASE-BX10-U"), port("1000BASE-LX10")).judge();
    let answer = link.answer("a/1/1");
    assert_eq!(answer.go, Go::NoGo);
    assert!(answer.findings.iter().any(|one| one.rule.id == "fit.fiber-count"));
}

/// 100GBASE-LR4 (four lanes 4.5 nm apart) facing 100G-CWDM4 (20 nm apart): both are "100G, 10 km
/// class" and never link (read in operators' notes).
#[test]
fn lr4_facing_cwdm4() {
    let link = over("length: 1 km", port("100GBASE-LR4"), port("100G-CWDM4")).judge();
    let answer = link.answer("a/1/1");
    let found = crate::bench::rules(&answer);
    assert_eq!(answer.go, Go::NoGo);
    for id in ["fit.lanes-differ", "fit.receiver-band"] {
        assert!(found.contains(id), "{id}: {found:?}");
    }
    for id in ["fit.rate-differs", "fit.fiber-kind", "fit.fiber-count"] {
        assert!(!found.contains(id), "{id}: {found:?}");
    }
    // Four lanes against one (clause 140): never, although both are 100G over 10 km.
    let single = over("length: 1 km", port("100GBASE-LR4"), port("100GBASE-LR1")).judge();
    let found = crate::bench::rules(&single.answer("a/1/1"));
    assert!(found.contains("fit.lanes-differ"), "{found:?}");
}

/// 100G-CWDM4 and 100G-4WDM-10 share their wavelengths (agreements; practice): within 2 km they face
/// each other, with a warning that they are two types.
#[test]
fn cwdm4_facing_4wdm_10() {
    let link = over("length: 1 km", port("100G-CWDM4"), port("100G-4WDM-10"));
    link.expect(Go::Go, &[], &["fit.lanes-differ", "fit.receiver-band", "fit.fec-differs"]);
}

/// Rates: 1G facing 10G, and 10G facing 25G (practice).
#[test]
fn unlike_rates() {
    let one = over("length: 5 km", port("1000BASE-LX10"), port("10GBASE-LR")).judge();
    let answer = one.answer("a/1/1");
    assert_eq!(answer.go, Go::NoGo);
    assert!(answer.findings.iter().any(|one| one.rule.id == "fit.rate-differs"));
    let next = over("length: 5 km", port("10GBASE-LR"), port("25GBASE-LR")).judge();
    assert!(next.answer("a/1/1").findings.iter().any(|one| one.rule.id == "fit.rate-differs"));
}

/// The error correction of both ends must be one (IEEE 802.3 clauses 74 and 108; practice).
#[test]
fn error_correction_set_unlike() {
    let lr = |fec: &str| port("25GBASE-LR").with(&format!("fec: {fec}"));
    let span = "length: 5 km";
    over(span, lr("rs528"), lr("rs528")).expect(Go::Go, &[], &["fit.fec-differs", "fit.card-fec"]);
    let one = over(span, lr("rs528"), lr("fc"));
    one.expect(Go::NoGo, &["fit.card-fec"], &["fit.rate-differs"]);
    // Switched off at both ends alike, it is still needed (clause 114).
    let none = over(span, lr("none"), lr("none"));
    none.expect(Go::NoGo, &["fit.card-fec"], &["fit.fec-differs"]);
    // 100GBASE-LR4 has none in its clause: two ends that both have it on agree.
    let lr4 = |fec: &str| port("100GBASE-LR4").with(&format!("fec: {fec}"));
    over(span, lr4("none"), lr4("none")).expect(Go::Go, &[], &["fit.fec-differs"]);
    over(span, lr4("none"), lr4("rs528")).expect(Go::NoGo, &["fit.fec-differs"], &["fit.card-fec"]);
}

/// A wdm optic is not broken out: the lanes of 100GBASE-LR4 share a pair of fibers (practice). One of
/// 40G-PSM4, which has fibers of its own for each lane, faces 10GBASE-LR.
#[test]
fn breakouts() {
    let wdm = over("length: 1 km", port("100GBASE-LR4").with("lane: 1"), port("25GBASE-LR")).judge();
    let answer = wdm.answer("a/1/1");
    assert_eq!(answer.go, Go::NoGo);
    assert!(answer.findings.iter().any(|one| one.rule.id == "fit.breakout"));
    let lane = |lane: u16| port("40G-PSM4").with(&format!("lane: {lane}"));
    let parallel = over("length: 1 km", lane(1), port("10GBASE-LR"));
    parallel.expect(Go::Go, &[], &["fit.breakout", "fit.rate-differs", "fit.lanes-differ"]);
    let fifth = over("length: 1 km", lane(5), port("10GBASE-LR"));
    fifth.expect(Go::NoGo, &["fit.breakout"], &["fit.rate-differs"]);
    let other = over("length: 1 km", lane(1), port("10GBASE-ER")).judge();
    assert!(other.answer("a/1/1").findings.iter().any(|one| one.rule.id == "fit.breakout"));
}

/// A colored pair set to two channels, and one that sends beside its own band (ITU-T G.694.1: C31 is
/// 193.1 THz, 1552.52 nm; L10 is 191.0 THz, 1569.59 nm; 10GBASE-ZR sends 1530 to 1565 nm in practice).
#[test]
fn channels() {
    let zr = |channel: &str| port("10GBASE-ZR").with(&format!("channel: {channel}"));
    let span = "length: 70 km, measured: 16 dB, uncertainty: 0 dB";
    over(span, zr("C31"), zr("C31")).expect(Go::Go, &[], &["fit.channel-differs"]);
    let unlike = over(span, zr("C31"), zr("C32")).judge();
    unlike.expect(Go::Go, &["fit.channel-differs"], &["fit.channel-outside"]);
    let outside = over(span, zr("L10"), zr("L10")).judge();
    let answer = outside.answer("a/1/1");
    assert_eq!(answer.go, Go::NoGo);
    assert!(answer.findings.iter().any(|one| one.rule.id == "fit.channel-outside"));
}
