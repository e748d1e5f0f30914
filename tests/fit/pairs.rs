//! Every interface of the table facing every other one: what is answered at one end is answered at the
//! other, with the directions exchanged.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::LazyLock;

use spanwright::engine::fit::{Answers, Go};
use spanwright::read::tables::built_in;

use crate::bench::{Seen, known, rules, seen};

static NAMES: LazyLock<Vec<String>> =
    LazyLock::new(|| built_in().interfaces.rows().iter().map(|row| row.key.clone()).collect());

/// One way of a link: lane by lane the loss, least and most, the margin and the headroom, in millionths
/// of a decibel.
type Way = Vec<[Option<i64>; 4]>;

/// What is answered for a port: whether to plug, the rules that speak against it, the light that it
/// sends and that it receives.
#[derive(Debug, PartialEq, Eq)]
struct Told {
    go: Go,
    rules: BTreeSet<&'static str>,
    sent: Way,
    received: Way,
}

fn whole(db: f64) -> Option<i64> {
    (!db.is_nan()).then(|| (db * 1e6).round() as i64)
}

/// A plan in which one interface faces each of the table over a span of its own.
fn row(near: &str, span: &str) -> Seen {
    let mut ports = [String::new(), String::new()];
    for (index, far) in NAMES.iter().enumerate() {
        writeln!(ports[0], "    {index}: {{optic: \"{near}\"}}").expect("text");
        writeln!(ports[1], "    {index}: {{optic: \"{far}\"}}").expect("text");
    }
    let [near_ports, far_ports] = ports;
    let last = NAMES.len() - 1;
    seen(&format!(
        "spanwright: 1\nshelves:\n  a:\n   ports:\n{near_ports}  b:\n   ports:\n{far_ports}\
         spans: [{{from: \"a/[0-{last}]\", to: \"b/[0-{last}]\", {span}}}]\n"
    ))
}

/// What is answered for a port of a plan.
fn told(seen: &Seen, answers: &Answers<'_>, port: u32) -> Told {
    let answer = answers.of(port);
    let mut ways: [Way; 2] = Default::default();
    for index in &answer.ends {
        let end = &seen.0.assessment.ends[*index];
        let window = &seen.0.assessment.pair(end).window;
        let figures = [
            end.least.value(),
            end.most.value(),
            known(end.margin(window)),
            known(end.headroom(window)),
        ];
        ways[usize::from(end.receiver == port)].push(figures.map(whole));
    }
    let [sent, received] = ways;
    Told { go: answer.go, rules: rules(&answer), sent, received }
}

fn holds_both_ways(span: &str) {
    let mut near: BTreeMap<(usize, usize), Told> = BTreeMap::new();
    let mut far: BTreeMap<(usize, usize), Told> = BTreeMap::new();
    for (first, name) in NAMES.iter().enumerate() {
        let seen = row(name, span);
        let answers = Answers::new(&seen.0);
        for second in 0..NAMES.len() {
            let at = |shelf: &str| told(&seen, &answers, seen.port(&format!("{shelf}/{second}")));
            near.insert((first, second), at("a"));
            far.insert((first, second), at("b"));
        }
    }
    assert_eq!(near.len(), NAMES.len() * NAMES.len());
    for ((first, second), here) in &near {
        let pair = || format!("{} facing {} over {span}", NAMES[*first], NAMES[*second]);
        // The same interface at the first end of the exchanged link: everything is the same.
        let turned = &far[&(*second, *first)];
        assert_eq!((&here.sent, &here.received), (&turned.sent, &turned.received), "{}", pair());
        assert_eq!((here.go, &here.rules), (turned.go, &turned.rules), "{}", pair());
        // The other end of the same link: sent and received change places.
        let there = &far[&(*first, *second)];
        assert_eq!((&here.sent, &here.received), (&there.received, &there.sent), "{}", pair());
        assert_eq!((here.go, &here.rules), (there.go, &there.rules), "{}", pair());
        // And the first end of the exchanged link.
        let exchanged = &near[&(*second, *first)];
        assert_eq!((&here.sent, &here.received), (&exchanged.received, &exchanged.sent), "{}", pair());
        assert_eq!((here.go, &here.rules), (exchanged.go, &exchanged.rules), "{}", pair());
    }
}

#[test]
fn every_two_interfaces_over_single_mode_fiber() {
    holds_both_ways("length: 10 m, fibers: 2");
}

#[test]
fn every_two_interfaces_over_multimode_fiber() {
    holds_both_ways("length: 10 m, fibers: 2, fiber: OM4");
}

/// No pair of unlike rates is a GO, and none whose wavelengths do not meet: said from the columns of the
/// table alone.
#[test]
fn no_two_interfaces_of_unlike_rate_or_color_are_a_go() {
    let tables = built_in();
    for (near, name) in NAMES.iter().enumerate() {
        let seen = row(name, "length: 10 m, fibers: 2");
        let answers = Answers::new(&seen.0);
        let a = &tables.interfaces.rows()[near].value;
        for (far, other) in NAMES.iter().enumerate() {
            let b = &tables.interfaces.rows()[far].value;
            let go = answers.of(seen.port(&format!("a/{far}"))).go;
            let rates = a.rate.zip(b.rate).map(|(a, b)| a.value() / b.value());
            let unlike = rates.is_some_and(|ratio| !(0.85..=1.18).contains(&ratio));
            // A lane of a parallel optic may face a single one: that is what breakouts are.
            let breakout = tables.breakout_between(name, other).is_some();
            assert!(go != Go::Go || !unlike || breakout, "{name} facing {other}");
            let apart = |a: &spanwright::tables::Interface, b: &spanwright::tables::Interface| {
                let bands = [&a.transmit, &b.transmit];
                let known = bands.iter().all(|bands| !bands.is_empty());
                let meets = a.transmit.iter().any(|one| {
                    b.transmit
                        .iter()
                        .any(|two| one.shortest <= two.longest && two.shortest <= one.longest)
                });
                known && a.fibers == 2 && b.fibers == 2 && !meets
            };
            assert!(go != Go::Go || !apart(a, b), "{name} facing {other}");
        }
    }
}
