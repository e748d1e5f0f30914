//! Modules from which no light comes: what is judged of them, and what an optic that faces one is told.

use spanwright::budget::{State, Verdict};
use spanwright::engine::fit::{Answer, Go};

use crate::bench::{Seen, over, port, rules, seen};

/// One port with a module, beside a sound link.
fn alone(said: &str) -> Seen {
    seen(&format!(
        "spanwright: 1\nplaces: {{street: {{kind: cabinet}}}}\nshelves:\n  \
         c: {{place: street, ports: {{1: {{{said}}}}}}}\n  a: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n  \
         b: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\nspans: [{{from: a/1, to: b/1, length: 2 km}}]\n"
    ))
}

fn answer(said: &str) -> Answer {
    alone(said).answer("c/1")
}

/// Each word of the table `electrical-words`, as it stands on boxes (IEEE 802.3 names of physical layers;
/// common practice): known, said to be not optical, and counted as such.
#[test]
fn the_words_are_known() {
    for name in [
        "1000BASE-T",
        "10GBASE-T",
        "100BASE-TX",
        "RJ45",
        "DAC",
        "10G-DAC-3M",
        "twinax",
        "AOC",
        "40G-AOC",
        "40GBASE-CR4",
        "100G-CR4",
        "10GBASE-CX4",
        "copper",
        "10GBASE-KR",
    ] {
        let judged = alone(&format!("optic: \"{name}\""));
        let told = judged.answer("c/1");
        assert!(told.because.contains("is not optical"), "{name}: {}", told.because);
        assert!(rules(&told).contains("fit.not-optical"), "{name}");
        assert!(!rules(&told).contains("fit.unknown-optic"), "{name}");
        let standing = &judged.0.assessment.standing;
        assert_eq!(standing.port_states[judged.port("c/1") as usize], State::NotOptical, "{name}");
        assert_eq!(standing.verdict, Some(Verdict::Pass), "{name}: the link beside it is sound");
    }
}

/// What can be said of a port is said: its cage, its temperature, its power (SFF-8431; common practice).
#[test]
fn cage_temperature_and_power_are_judged() {
    assert_eq!(answer("optic: 10GBASE-T").go, Go::CannotJudge, "the cage is not known");
    assert_eq!(answer("optic: DAC, cage: SFP+").go, Go::CannotJudge, "the form factor is not known");
    for sound in [
        "optic: 10GBASE-T, cage: SFP+",
        "optic: 10GBASE-T, cage: SFP+, form: SFP+",
        "optic: DAC, cage: SFP+, form: SFP+",
        "optic: 40GBASE-CR4, cage: QSFP+",
        "optic: 100G-CR4, cage: QSFP28",
    ] {
        let told = answer(sound);
        assert_eq!(told.go, Go::Go, "{sound}: {}", told.because);
    }
    for (said, rule) in [
        ("optic: 10GBASE-T, cage: SFP, form: SFP+", "fit.dead-in-cage"),
        ("optic: 40GBASE-CR4, cage: SFP+", "fit.wrong-cage"),
        ("optic: 10GBASE-T, cage: QSFP28, form: SFP+", "fit.wrong-cage"),
        ("optic: 10GBASE-T, cage: SFP+, form: SFP+, temperature: C", "fit.temperature"),
        ("optic: 10GBASE-T, cage: SFP+, form: SFP+, rate: 1G", "fit.port-rate"),
    ] {
        let told = answer(said);
        assert_eq!(told.go, Go::NoGo, "{said}: {}", told.because);
        assert!(rules(&told).contains(rule), "{said}: {:?}", rules(&told));
    }
    let hot = seen(
        "spanwright: 1\nshelves:\n  c: {slots: {1: {card: eth-8, ports: {1: {optic: 10GBASE-T, form: SFP+, \
         power: 9 W}}}}}\n",
    );
    let told = hot.answer("c/1/1");
    assert_eq!(told.go, Go::NoGo);
    assert!(rules(&told).contains("fit.power"), "{:?}", rules(&told));
}

/// 1000BASE-T in an SFP works in an SFP+ cage at 1 Gbit/s (common practice): the name says the rate.
#[test]
fn the_rate_stands_in_the_name() {
    let told = answer("optic: 1000BASE-T, cage: SFP+, form: SFP, rate: 1G");
    assert_eq!(told.go, Go::Go, "{}: {:?}", told.because, rules(&told));
    let told = answer("optic: 1000BASE-T, cage: SFP+, form: SFP, rate: 10G");
    assert_eq!(told.go, Go::NoGo, "{}", told.because);
}

/// An optic that faces copper is at the wrong cord, and an OLT too.
#[test]
fn an_optic_does_not_face_copper() {
    for (near, far) in
        [("10GBASE-LR", "10GBASE-T"), ("10GBASE-T", "10GBASE-LR"), ("GPON-OLT-B+", "1000BASE-T")]
    {
        let told = over("length: 1 km", port(near), port(far)).judge().answer("a/1/1");
        assert_eq!(told.go, Go::NoGo, "{near} {far}: {}", told.because);
        assert!(rules(&told).contains("fit.unlike-ends"), "{near} {far}");
    }
}
