//! Pads, each worked by hand from published levels: headroom + value - tolerance, margin - value -
//! tolerance - the joint that comes with it.
//!
//! Tolerance of a fixed attenuator: the greater of 0.5 dB and 10 % (common practice). The stock is the
//! built-in one: 1 to 10 dB in whole steps, 12, 15 and 20 dB. A pad sits 1 dB inside the window (common
//! practice; one public text on long-reach optics says 1 to 2 dB).

use spanwright::engine::pads::{PadAdvice, PadPlace};
use spanwright::fit::pad::Pad;
use spanwright::units::Decibels;

use crate::bench::{Seen, exact, over, padded, port, seen};

/// The pad that was chosen, with what it leaves: value, headroom, margin.
#[track_caller]
fn chosen(advice: &PadAdvice) -> [f64; 3] {
    match &advice.pad {
        Pad::Use { pad, headroom, margin } => [pad.value, *headroom, *margin].map(Decibels::value),
        other => panic!("no pad: {other:?}"),
    }
}

/// What a pad must leave, from the levels alone.
struct Worked {
    /// Launch, most and least, dBm.
    launch: [f64; 2],
    /// Overload of the receiver, dBm.
    overload: f64,
    /// The greatest loss its levels allow, dB.
    window: f64,
    /// Loss on the way, least and most, dB.
    way: [f64; 2],
}

impl Worked {
    /// Headroom and margin with a pad, with a joint of at most 0.5 dB (grade C of IEC 61755-1).
    fn with(&self, pad: f64) -> [f64; 2] {
        let tolerance = (0.1 * pad).max(0.5);
        let strongest = self.launch[1] - self.way[0] - (pad - tolerance);
        let most = self.way[1] + pad + tolerance + 0.5;
        [self.overload - strongest, self.window - most]
    }

    /// Whether a pad keeps both limits, and the first with at least 1 dB inside.
    fn holds(&self, pad: f64) -> bool {
        self.with(pad).iter().all(|room| *room >= -1e-9)
    }

    /// Holds a choice against this arithmetic: what is left, and that no smaller one sits 1 dB inside.
    #[track_caller]
    fn agrees(&self, advice: &PadAdvice, value: f64) {
        let [chosen, headroom, margin] = chosen(advice);
        exact(chosen, value);
        exact(headroom, self.with(value)[0]);
        exact(margin, self.with(value)[1]);
        assert!(self.holds(value));
        for smaller in [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 15.0, 20.0] {
            let inside = self.holds(smaller) && self.with(smaller)[0] >= 1.0 - 1e-9;
            assert!(smaller >= value || !inside, "{smaller} dB would do");
        }
    }
}

/// The advice for the receive side of a port.
#[track_caller]
fn at_receiver(seen: &Seen, name: &str) -> PadAdvice {
    let place = PadPlace::Receiver(seen.port(name));
    let advice = seen.pads(name).into_iter().find(|one| one.place == place);
    advice.unwrap_or_else(|| panic!("no advice at {name}"))
}

/// Two 10GBASE-ER in one room: +4.0 against -1.0 dBm, 5 dB at least (IEEE 802.3 clause 52; +4.0, -1.0
/// and the 5 dB read in operators' notes), 10.9 dB at most (Table 52-19, from memory). 7 dB, with its
/// 0.7 dB, leaves 1.3 dB; 5 and 6 dB leave less than 1 dB.
#[test]
fn er_in_one_room() {
    let seen = over("length: 0 m", port("10GBASE-ER"), port("10GBASE-ER")).judge();
    let worked = Worked { launch: [-4.7, 4.0], overload: -1.0, window: 10.9, way: [0.0, 0.0] };
    for name in ["a/1/1", "b/1/1"] {
        worked.agrees(&at_receiver(&seen, name), 7.0);
        exact(chosen(&at_receiver(&seen, name))[1], 1.3);
    }
    assert_eq!(seen.pads("a/1/1").len(), 2, "each fiber of a pair has its own pad");
}

/// With the pad put in, the link closes and the answer is GO: on the pad's side of its tolerance that
/// hurts most, both ways.
#[test]
fn a_link_closes_with_the_pad_that_was_named() {
    use spanwright::engine::fit::Go;
    for optic in ["10GBASE-ER", "10GBASE-ZR", "1000BASE-ZX", "1000BASE-EX", "L-16.1", "S-64.1"] {
        let seen = over("length: 0 m", port(optic), port(optic)).judge();
        let [value, ..] = chosen(&at_receiver(&seen, "a/1/1"));
        let tolerance = (0.1 * value).max(0.5);
        for loss in [value - tolerance, value + tolerance + 0.5] {
            padded(loss, port(optic), port(optic)).expect(Go::Go, &[], &["budget.overload"]);
        }
    }
}

/// Two 10GBASE-ZR back to back: +4 against -7 dBm, 11 dB (practice, read in operators' notes); 22 dB at
/// most. 12 dB with its 1.2 dB does not reach 11 dB; 15 dB leaves 2.5 dB.
#[test]
fn zr_back_to_back() {
    let seen = over("length: 0 m", port("10GBASE-ZR"), port("10GBASE-ZR")).judge();
    exact(seen.room("a/1/1", "b/1/1")[1], -11.0);
    let worked = Worked { launch: [0.0, 4.0], overload: -7.0, window: 22.0, way: [0.0, 0.0] };
    worked.agrees(&at_receiver(&seen, "a/1/1"), 15.0);
}

/// 1000BASE-ZX over 7.53 dB (practice thread, read: 0 to +5 dBm, overload -3 dBm; "5 dB will do"). The
/// levels need 8 dB, so 0.47 dB more: the smallest pad 1 dB inside is 2 dB, and 5 dB does as well.
#[test]
fn zx_over_7_53_db() {
    let span = "length: 14.3 km, measured: 7.53 dB, uncertainty: 0 dB";
    let seen = over(span, port("1000BASE-ZX"), port("1000BASE-ZX")).judge();
    exact(seen.room("a/1/1", "b/1/1")[1], -0.47);
    let worked = Worked { launch: [0.0, 5.0], overload: -3.0, window: 22.0, way: [7.53, 7.53] };
    worked.agrees(&at_receiver(&seen, "a/1/1"), 2.0);
    assert!(worked.holds(5.0));
}

/// ITU-T G.957 L-16.1 and G.691 S-64.2b (from memory): -2 to +3 dBm against -9 dBm, 12 to 24 dB; -1 to
/// +2 dBm against -1 dBm, 3 to 11 dB. On a patch cord 15 dB leaves 1.5 dB, 5 dB leaves 1.5 dB.
#[test]
fn itu_application_codes_on_a_patch_cord() {
    for (code, launch, overload, window, pad) in
        [("L-16.1", [-2.0, 3.0], -9.0, 24.0, 15.0), ("S-64.2b", [-1.0, 2.0], -1.0, 11.0, 5.0)]
    {
        let seen = over("length: 0 m", port(code), port(code)).judge();
        let worked = Worked { launch, overload, window, way: [0.0, 0.0] };
        worked.agrees(&at_receiver(&seen, "b/1/1"), pad);
        exact(chosen(&at_receiver(&seen, "b/1/1"))[1], 1.5);
    }
}

/// 40GBASE-ER4: 9.0 dB at least, by attenuator if need be, and 18.5 dB at most (IEEE 802.3 clause 87,
/// read in a cabling table). 12 dB leaves 1.8 dB; 10 dB, with its 1.0 dB, nothing.
#[test]
fn forty_gigabit_er4_on_a_patch_cord() {
    let seen = over("length: 0 m", port("40GBASE-ER4"), port("40GBASE-ER4")).judge();
    let worked = Worked { launch: [-2.7, 4.5], overload: -4.5, window: 18.5, way: [0.0, 0.0] };
    worked.agrees(&at_receiver(&seen, "a/1/1"), 12.0);
    exact(worked.with(12.0)[0], 1.8);
    exact(worked.with(10.0)[0], 0.0);
}

/// Only the hot receiver is padded: 10GBASE-ER into 10GBASE-LR is 3.5 dB too hot, the way back 1.5 dB
/// (levels of clause 52). A wavelength that is out of range is not mended by it.
#[test]
fn each_way_has_its_own_pad() {
    let seen = over("length: 0 m", port("10GBASE-ER"), port("10GBASE-LR")).judge();
    let into_lr = Worked { launch: [-4.7, 4.0], overload: 0.5, window: -4.7 + 14.4, way: [0.0; 2] };
    let into_er = Worked { launch: [-8.2, 0.5], overload: -1.0, window: -8.2 + 15.8, way: [0.0; 2] };
    into_lr.agrees(&at_receiver(&seen, "b/1/1"), 5.0);
    into_er.agrees(&at_receiver(&seen, "a/1/1"), 3.0);
    // Over 5 dB no receiver is hot any more: no pad, and still no link.
    let far =
        over("length: 8 km, measured: 5 dB, uncertainty: 0 dB", port("10GBASE-ER"), port("10GBASE-LR"));
    assert_eq!(far.judge().pads("a/1/1"), []);
}

/// The spread of the launch may be wider than the receiver's window: 10GBASE-LR into 10GBASE-SR over
/// 1 km of single-mode fiber (-8.2 to +0.5 dBm into -9.9 to -1.0 dBm): more must be added than may be.
#[test]
fn no_pad_where_the_window_is_too_narrow() {
    let seen = over("length: 1 km", port("10GBASE-LR"), port("10GBASE-SR")).judge();
    let advice = at_receiver(&seen, "b/1/1");
    let Pad::NoneFits { least, most } = advice.pad else { panic!("{:?}", advice.pad) };
    // Fiber: 0.31 to 0.40 dB/km at 1310 nm (ITU-T G.652; the least from fiber as made).
    exact(least.value(), 0.5 - 0.31 + 1.0);
    exact(most.value(), -8.2 - 0.40 + 9.9 - 0.5);
    assert!(most < least);
}

/// A PON of one home 10 m behind its OLT port.
fn pon(olt: &str, onus: &[(&str, &str)], ratio: &str) -> Seen {
    let mut plan = format!(
        "spanwright: 1\nshelves: {{olt: {{ports: {{1: {{optic: {olt}}}}}}}}}\n\
         splitters: {{s: {{ratio: {ratio}, joint: none}}}}\nonts:\n"
    );
    for (index, (onu, _)) in onus.iter().enumerate() {
        plan += &format!("  home-{}: {{optic: {onu}}}\n", index + 1);
    }
    plan += "spans:\n  - {from: olt/1, to: s/in, length: 0 m}\n";
    for (index, (_, span)) in onus.iter().enumerate() {
        plan += &format!("  - {{from: s/{0}, to: home-{0}, {span}}}\n", index + 1);
    }
    seen(&plan)
}

/// GPON B+ (ITU-T G.984.2 Amd. 1, read: OLT +1.5 to +5 dBm, ONU -27 to -8 dBm; ONU +0.5 to +5 dBm, OLT
/// -28 to -8 dBm) behind a 1:4 splitter, two homes alike: one pad on the common fiber serves both.
#[test]
fn one_pad_on_the_common_fiber_of_a_pon() {
    let home = ("GPON-ONU-B+", "length: 10 m, measured: 0 dB, uncertainty: 0 dB");
    let seen = pon("GPON-OLT-B+", &[home, home], "1x4");
    let advice = seen.pads("olt/1");
    assert_eq!(advice.len(), 1, "{advice:?}");
    assert_eq!(advice[0].place, PadPlace::Common(seen.port("olt/1")));
    let [value, headroom, margin] = chosen(&advice[0]);
    // The hottest receiver behind the pad, and the one with the least margin, both ways and all homes.
    let rooms = ["home-1", "home-2"].map(|home| [seen.room("olt/1", home), seen.room(home, "olt/1")]);
    let hottest = rooms.iter().flatten().map(|room| room[1]).fold(f64::INFINITY, f64::min);
    let weakest = rooms.iter().flatten().map(|room| room[0]).fold(f64::INFINITY, f64::min);
    let tolerance = (0.1 * value).max(0.5);
    exact(headroom, hottest + value - tolerance);
    exact(margin, weakest - value - tolerance - 0.5);
    assert!(headroom >= 1.0 && margin >= 0.0);
    // An ideal 1:4 splits to a quarter, 6.02 dB: 13 dB are needed, so the pad brings 7 dB or more.
    assert!((7.0..=10.0).contains(&value), "{value}");
}

/// One home 30 m from the office and no splitter: the pad goes on the fiber between the two (the story
/// of practice; B+ needs 13 dB both ways: 15 dB with its 1.5 dB leaves half a decibel, 20 dB leaves 5).
#[test]
fn a_pad_for_one_home_without_a_splitter() {
    let seen = seen(
        "spanwright: 1\nshelves: {olt: {ports: {1: {optic: GPON-OLT-B+}}}}\n\
         onts: {home: {optic: GPON-ONU-B+}}\nspans: [{from: olt/1, to: home, length: 0 m}]\n",
    );
    let [advice] = <[_; 1]>::try_from(seen.pads("olt/1")).expect("one pad");
    assert_eq!(advice.place, PadPlace::Fiber(seen.port("olt/1"), seen.port("home")));
    let [value, headroom, _] = chosen(&advice);
    exact(value, 20.0);
    exact(headroom, 20.0 - 2.0 - 13.0);
}

/// A home at the end of its budget and one next door: what the near one needs, the far one cannot
/// spare. The pad goes to the near leg alone.
#[test]
fn a_pad_on_one_leg_of_a_pon() {
    let near = ("GPON-ONU-B+", "length: 10 m, measured: 0 dB, uncertainty: 0 dB");
    let far = ("GPON-ONU-B+", "length: 19 km, measured: 18 dB, uncertainty: 0 dB");
    let seen = pon("GPON-OLT-B+", &[near, far], "1x4");
    let advice = seen.pads("olt/1");
    let of = |place: PadPlace| advice.iter().find(|one| one.place == place);
    let common = of(PadPlace::Common(seen.port("olt/1"))).expect("an answer for the common fiber");
    assert!(matches!(common.pad, Pad::NoneFits { .. }), "{common:?}");
    let leg = of(PadPlace::Leg(seen.port("home-1"))).expect("a pad at the near home");
    let [value, headroom, margin] = chosen(leg);
    let room = [seen.room("olt/1", "home-1"), seen.room("home-1", "olt/1")];
    let tolerance = (0.1 * value).max(0.5);
    exact(headroom, room[0][1].min(room[1][1]) + value - tolerance);
    exact(margin, room[0][0].min(room[1][0]) - value - tolerance - 0.5);
    assert!(of(PadPlace::Leg(seen.port("home-2"))).is_none(), "{advice:?}");
    // Asked at home, the near one learns of its own pad, and the far one is told of none for itself.
    let at_home: Vec<PadPlace> = seen.pads("home-1").into_iter().map(|one| one.place).collect();
    assert!(at_home.contains(&PadPlace::Leg(seen.port("home-1"))), "{at_home:?}");
}

/// A single fiber has one pad for both ways: 1000BASE-BX10 needs none in one room (-3 dBm against
/// -3 dBm, clause 59).
#[test]
fn a_pair_of_halves_needs_no_pad() {
    let seen = over("length: 0 m", port("1000BASE-BX10-U"), port("1000BASE-BX10-D")).judge();
    assert_eq!(seen.pads("a/1/1"), []);
}
