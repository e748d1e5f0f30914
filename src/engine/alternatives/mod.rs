//! What else would do: other optics in the place of those that are planned, the same ones as another
//! part, and either with a pad.

mod padded;
mod question;
mod same_optic;

use super::Judged;
use super::pads::PadAdvice;
use crate::check::fit_rules::Outcome;
use crate::check::plan_facts::Judgement;
use crate::check::plan_matings::Matings;
use crate::check::{Concern, Severity};
use crate::fit::pad::{Pad, Stocked};
use crate::units::Decibels;

use question::{Before, Question};

/// Binary noise of sums.
const HAIR: f64 = 1e-9;

/// Other optics for a link or a PON, and what they would give.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// The optic for the port that was asked about.
    pub near: String,
    /// The optic for what it faces.
    pub far: String,
    /// How many optics would be changed.
    pub changes: u32,
    /// What is asked of another part of the same optic: `temperature range I`; empty where the optic
    /// itself is another.
    pub part: String,
    /// Whether every end closes in the worst case, with no receiver overloaded, and no neighbor behind
    /// the same OLT is lost by it; with the pads, where it needs any.
    pub closes: bool,
    /// Whether it closes only so: longer than specified, or without the reserve that the plan asks for.
    pub marginal: bool,
    /// The pads without which a receiver would get too much; margins and headrooms count them.
    pub pads: Vec<PadAdvice>,
    /// The smallest margin of the light that the port sends, and of the light that it receives.
    pub margin: [Option<Decibels>; 2],
    /// The smallest headroom of the same.
    pub headroom: [Option<Decibels>; 2],
    /// How far it is from what is planned.
    pub distance: Distance,
}

/// How far an alternative is from what is planned, beside the number of optics.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Distance {
    /// Whether it needs another number of fibers.
    pub fibers: bool,
    /// Whether the two ends are of different classes or types.
    pub unlike: bool,
    /// Between PON classes: whether it allows more loss where there was too much light, or less where
    /// there was too little.
    pub wrong_way: bool,
    /// Between PON classes: by how much the loss that they allow differs, both ends together.
    pub classes: Decibels,
}

impl Alternative {
    /// The smallest of margins and headrooms both ways: how far the link is from its next limit.
    pub fn slack(&self) -> Option<Decibels> {
        let all = self.margin.into_iter().chain(self.headroom);
        all.collect::<Option<Vec<_>>>()?.into_iter().reduce(Decibels::min)
    }

    /// The nominal loss of all its pads together.
    pub fn padded(&self) -> Decibels {
        let of = |advice: &PadAdvice| match &advice.pad {
            Pad::Use { pad, .. } => pad.value,
            _ => Decibels::ZERO,
        };
        self.pads.iter().map(of).fold(Decibels::ZERO, |sum, pad| sum + pad)
    }
}

/// What can be had.
#[derive(Debug, Clone, Copy)]
pub struct Offer<'o> {
    /// Optics at hand; `None` = every optic of the tables.
    pub optics: Option<&'o [String]>,
    /// Pads.
    pub pads: &'o [Stocked],
    /// Whether the module in hand is at fault itself, so that another copy may do.
    pub faulty_copy: bool,
}

/// What else would do.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Alternatives {
    /// Other optics, best first.
    pub found: Vec<Alternative>,
    /// What has to be mended whatever the optic, or why nothing can be proposed; empty where nothing is
    /// to be said.
    pub note: String,
}

/// Optics that would do at a port and what it faces, best first: those that close in the worst case, of
/// these the ones that are not marginal; then another part of the same optic; then those that need no
/// other number of fibers, of PON classes the nearest, those with the least of pads, those that leave
/// most room towards both limits, and those that need fewest changes.
///
/// `offer` limits the choice to what is at hand; without it, every optic of the tables of the same
/// system or rate is tried, and the pads of the table. What is said of the module that is changed (form
/// factor, power, face, lane) goes with it. The plan is given back as it was.
pub fn alternatives(judged: &mut Judged, port: u32, offer: Offer<'_>) -> Alternatives {
    let Some(question) = Question::of(judged, port) else {
        let note = "no light joins the port to a far end, so that no other optic can be compared";
        return Alternatives { found: Vec::new(), note: note.to_string() };
    };
    let before = Before::of(&judged.plan, std::iter::once(&question.port).chain(&question.far));
    let mut found: Vec<Alternative> = Vec::new();
    for (port, part) in same_optic::parts(judged, &question, offer.faulty_copy) {
        let tried = question.tried_again(judged, port, offer);
        found.extend(tried.map(|tried| Alternative { part, ..tried }));
        before.restore(&mut judged.plan);
    }
    for (near, far) in question.candidates(judged, offer.optics) {
        found.extend(question.tried(judged, (near, far), offer));
        before.restore(&mut judged.plan);
    }
    found.sort_by(order);
    let mut notes = cords_first(judged, port);
    if found.is_empty() {
        let whence = if offer.optics.is_some() { "stock" } else { "the tables" };
        notes.push(format!(
            "no other optic of {whence} has this rate and line code and goes into the cage, the card and \
             the cords as they are"
        ));
    }
    Alternatives { found, note: notes.join("; ") }
}

/// A cord that does not go into its coupling must be changed first, whatever the optic.
fn cords_first(judged: &Judged, port: u32) -> Vec<String> {
    let view = judged.view();
    let mut notes: Vec<String> = Vec::new();
    for (judgement, at) in Matings::of(&view).of_port(port).into_iter().filter(|one| is_grave(&one.0)) {
        let (rule, at) = (judgement.rule.id, view.plan.point_name(at));
        let note = format!("whatever the optic, the cord at `{at}` must be changed first ({rule})");
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    notes
}

fn order(a: &Alternative, b: &Alternative) -> std::cmp::Ordering {
    let slack = |one: &Alternative| one.slack().map_or(f64::NEG_INFINITY, Decibels::value);
    b.closes
        .cmp(&a.closes)
        .then(a.marginal.cmp(&b.marginal))
        .then(a.part.is_empty().cmp(&b.part.is_empty()))
        .then(a.distance.fibers.cmp(&b.distance.fibers))
        .then(a.distance.unlike.cmp(&b.distance.unlike))
        .then(a.distance.wrong_way.cmp(&b.distance.wrong_way))
        .then(a.distance.classes.value().total_cmp(&b.distance.classes.value()))
        .then(a.padded().value().total_cmp(&b.padded().value()))
        .then(slack(b).total_cmp(&slack(a)))
        .then(a.changes.cmp(&b.changes))
        .then_with(|| (&a.near, &a.far).cmp(&(&b.near, &b.far)))
}

/// Whether a rule speaks against what it judged, or cannot say.
fn is_grave(one: &Judgement) -> bool {
    let grave = one.rule.severity == Severity::Error || one.rule.concern == Concern::Datum;
    grave && matches!(one.outcome, Outcome::Hit { .. })
}
