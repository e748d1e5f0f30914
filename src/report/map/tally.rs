//! The worst end behind every span and at every place.

use crate::budget::{End, Profiles, Verdict};
use crate::plant::Link;
use crate::report::document::{Document, group_lines};
use crate::units::Decibels;

/// What the ends that light reaches over a span or at a place come to.
#[derive(Debug, Clone, Default)]
pub(super) struct Worst {
    /// How many ends.
    pub(super) ends: u64,
    /// The least margin; `None` when none is known.
    pub(super) margin: Option<Decibels>,
    /// The worst verdict; `None` without ends.
    pub(super) verdict: Option<Verdict>,
    /// Which rules decided it, as [`End::why`] has it.
    pub(super) why: u16,
}

impl Worst {
    fn add(&mut self, end: &End, margin: Option<Decibels>) {
        self.join(&Self { ends: 1, margin, verdict: Some(end.verdict), why: end.why });
    }

    /// Joins two.
    pub(super) fn join(&mut self, other: &Self) {
        self.ends += other.ends;
        self.margin = match (self.margin, other.margin) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        if other.verdict > self.verdict {
            (self.verdict, self.why) = (other.verdict, other.why);
        }
    }
}

/// The worst of every span and place.
pub(super) struct Tally {
    pub(super) spans: Vec<Worst>,
    pub(super) places: Vec<Worst>,
}

impl Tally {
    /// Follows the way of every end once.
    pub(super) fn of(document: &Document<'_>) -> Self {
        let view = document.view;
        let plan = view.plan;
        let mut tally = Self {
            spans: vec![Worst::default(); plan.spans.len()],
            places: vec![Worst::default(); plan.places.len()],
        };
        let walker = Profiles::new(plan, view.plant, view.tables, view.assessment);
        for line in group_lines(view) {
            let profile = walker.of(line.group);
            let ends = &view.assessment.ends[line.group.ends.clone()];
            for (end, at) in ends.iter().zip(&profile.ends) {
                let Some(at) = at else { continue };
                let margin = end.margin(&view.assessment.pair(end).window);
                let points = &profile.shapes[profile.losses[at.losses as usize].shape as usize].points;
                let mut index = at.point as usize;
                let mut place_before = None;
                loop {
                    let here = &points[index];
                    let place = plan.place_of(here.point);
                    // Several points of one place count an end once.
                    if let Some(place) = place.filter(|_| place != place_before) {
                        tally.places[place as usize].add(end, margin);
                    }
                    place_before = place;
                    if let Some(Link::Span(span)) = here.link {
                        tally.spans[span as usize].add(end, margin);
                    }
                    if index == 0 {
                        break;
                    }
                    index = here.parent as usize;
                }
            }
        }
        tally
    }
}
