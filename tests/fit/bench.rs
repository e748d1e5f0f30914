//! A bench to put two optics on: their ports and the way between them as a plan in its written form,
//! and what the engine answers for each port.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use spanwright::budget::{End, Settings};
use spanwright::check::{Severity, registry};
use spanwright::engine::fit::{Answer, Answers, Go};
use spanwright::engine::pads::{PadAdvice, pads, stock_of};
use spanwright::engine::{Judged, judge};
use spanwright::read::plan::from_text;
use spanwright::units::Decibels;

/// Binary noise of sums of figures with a few decimals.
pub const NOISE: f64 = 1e-9;

/// One port and what is said of it.
#[derive(Debug, Clone, Default)]
pub struct Port {
    optic: String,
    said: String,
    card: Option<String>,
    place: Option<String>,
}

/// A port with an optic.
pub fn port(optic: &str) -> Port {
    Port { optic: optic.to_string(), ..Port::default() }
}

impl Port {
    /// The type of the card.
    pub fn card(mut self, card: &str) -> Self {
        self.card = Some(card.to_string());
        self
    }

    /// The kind of place.
    pub fn stands_in(mut self, kind: &str) -> Self {
        self.place = Some(kind.to_string());
        self
    }

    /// One more key of the port: `cage: SFP+`.
    pub fn with(mut self, said: &str) -> Self {
        write!(self.said, ", {said}").expect("text");
        self
    }

    /// The shelf of this port, whose name is that of the port before its slot.
    fn shelf(&self, name: &str) -> String {
        let place = self.place.as_ref().map_or_else(String::new, |_| format!("place: {name}-place, "));
        let card = self.card.as_ref().map_or_else(String::new, |card| format!("card: {card}, "));
        let port = format!("{{optic: \"{}\"{}}}", self.optic, self.said);
        format!("  {name}: {{{place}slots: {{1: {{{card}ports: {{1: {port}}}}}}}}}\n")
    }
}

/// Two ports and what lies between them.
#[derive(Debug, Clone)]
pub struct Facing {
    near: Port,
    far: Port,
    way: String,
}

/// Two ports that face each other over one span of which this is said: `length: 40 m, connectors: 2`.
pub fn over(span: &str, near: Port, far: Port) -> Facing {
    Facing { near, far, way: format!("spans: [{{from: a/1/1, to: b/1/1, {span}}}]\n") }
}

/// Two ports at the ends of an attenuator of exactly this loss.
pub fn padded(loss: f64, near: Port, far: Port) -> Facing {
    let way = format!(
        "attenuators: {{pad: {{loss: {loss} dB, tolerance: 0 dB, joint: none}}}}\n\
         joints:\n  - {{from: a/1/1, to: pad/a, joint: none}}\n  \
         - {{from: pad/b, to: b/1/1, joint: none}}\n"
    );
    Facing { near, far, way }
}

impl Facing {
    /// The plan as somebody would write it.
    fn plan(&self) -> String {
        let mut plan = String::from("spanwright: 1\n");
        let both = [("a", &self.near), ("b", &self.far)];
        if both.iter().any(|(_, port)| port.place.is_some()) {
            plan.push_str("places:\n");
        }
        for (name, kind) in both.iter().filter_map(|(name, port)| Some((name, port.place.as_ref()?))) {
            writeln!(plan, "  {name}-place: {{kind: {kind}}}").expect("text");
        }
        let shelves: String = both.iter().map(|(name, port)| port.shelf(name)).collect();
        plan + &format!("shelves:\n{shelves}{}", self.way)
    }

    /// Judges both ports.
    #[track_caller]
    pub fn judge(&self) -> Seen {
        seen(&self.plan())
    }

    /// Holds the answer for the first port against the one that is known.
    ///
    /// `hits` are the rules that must speak against it, `misses` those that must not. A rule of
    /// severity error that is not among the hits is one too many.
    #[track_caller]
    pub fn expect(&self, go: Go, hits: &[&str], misses: &[&str]) {
        self.judge().expect(go, hits, misses);
    }
}

/// Reads and judges a plan by the worst case.
#[track_caller]
pub fn seen(plan: &str) -> Seen {
    let reading = from_text("facing.yaml", plan, None);
    assert!(!reading.is_bad_input(), "{plan}{:#?}", reading.findings);
    let settings = Settings { statistics: false, cross_check: None };
    let files = reading.sources.files();
    let judged = judge(reading.plan, reading.tables, reading.findings, files, settings);
    Seen(judged.unwrap_or_else(|findings| panic!("{plan}{findings:#?}")))
}

/// A plan, judged.
pub struct Seen(pub Judged);

impl Seen {
    /// The index of a port.
    #[track_caller]
    pub fn port(&self, name: &str) -> u32 {
        let plan = &self.0.plan;
        let found = plan.ports.iter().position(|port| plan.names.get(port.name) == name);
        found.unwrap_or_else(|| panic!("no port {name}")) as u32
    }

    /// The answer for a port.
    #[track_caller]
    pub fn answer(&self, name: &str) -> Answer {
        Answers::new(&self.0).of(self.port(name))
    }

    /// The one end from a port to another.
    #[track_caller]
    pub fn end(&self, from: &str, to: &str) -> &End {
        let (from, to) = (self.port(from), self.port(to));
        let mut ends =
            self.0.assessment.ends.iter().filter(|end| end.transmitter == from && end.receiver == to);
        ends.next().unwrap_or_else(|| panic!("no light from port {from} to port {to}"))
    }

    /// Margin and headroom of the one end from a port to another.
    #[track_caller]
    pub fn room(&self, from: &str, to: &str) -> [f64; 2] {
        let end = self.end(from, to);
        let window = &self.0.assessment.pair(end).window;
        [end.margin(window), end.headroom(window)].map(known)
    }

    /// Pads of the built-in stock for a port.
    #[track_caller]
    pub fn pads(&self, name: &str) -> Vec<PadAdvice> {
        let answers = Answers::new(&self.0);
        pads(&self.0, answers.groups_of(self.port(name)), &stock_of(&self.0.tables))
    }

    /// What is said of [`Facing::expect`], for the port `a/1/1`.
    #[track_caller]
    pub fn expect(&self, go: Go, hits: &[&str], misses: &[&str]) {
        self.expect_at("a/1/1", go, hits, misses);
    }

    /// The same for another port.
    #[track_caller]
    pub fn expect_at(&self, name: &str, go: Go, hits: &[&str], misses: &[&str]) {
        let answer = self.answer(name);
        for id in hits.iter().chain(misses) {
            assert!(registry::ALL.iter().any(|rule| rule.id == *id), "no rule is called {id}");
        }
        let found = rules(&answer);
        let told = || format!("{}: {}\n{:#?}", answer.go.words(), answer.because, answer.findings);
        assert_eq!(answer.go, go, "{}", told());
        for id in hits {
            assert!(found.contains(id), "{id} should hit\n{}", told());
        }
        for id in misses {
            assert!(!found.contains(id), "{id} should not hit\n{}", told());
        }
        for finding in answer.findings.iter().filter(|one| one.severity == Severity::Error) {
            assert!(hits.contains(&finding.rule.id), "{} is one too many\n{}", finding.rule.id, told());
        }
    }
}

/// The rules that speak against an answer.
pub fn rules(answer: &Answer) -> BTreeSet<&'static str> {
    answer.findings.iter().map(|finding| finding.rule.id).collect()
}

/// A figure, or NaN where it is not known.
pub fn known(value: Option<Decibels>) -> f64 {
    value.map_or(f64::NAN, Decibels::value)
}

/// Compares with a figure that the inputs give without any rounding.
#[track_caller]
pub fn exact(actual: f64, expected: f64) {
    assert!((actual - expected).abs() <= NOISE, "{actual} is not {expected}");
}
