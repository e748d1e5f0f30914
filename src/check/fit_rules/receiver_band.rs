//! `fit.receiver-band`: the receiver is not specified for the wavelength that arrives.

use super::Outcome;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::{Band, Tables};
use crate::units::Nanometers;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.receiver-band",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the wavelength that arrives is outside what the receiver is specified for",
    why: "a filtered receiver stays dark; an unfiltered one may work by luck, which no standard promises",
    remedy: "put optics of matching wavelengths at both ends",
    source: "IEEE 802.3 receiver wavelength ranges; ITU-T G.984.2 and G.9807.1",
};

/// Judges two ends that face each other, both ways.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, _: &Tables) -> Outcome {
    let (Some(a), Some(b)) = (near.optic, far.optic) else { return Outcome::Idle };
    let mut wrong = Unheard::default();
    let mut unknown = false;
    for (sends, hears) in [(a, b), (b, a)] {
        unknown |= sends.transmit.is_empty() || hears.receive.is_empty();
        for band in sends.transmit.iter().filter(|_| !hears.receive.is_empty()) {
            if !hears.receive.iter().any(|range| band.within(*range)) {
                wrong.add(&sends.name, *band, &hears.name, &hears.receive);
            }
        }
    }
    match (wrong.0.is_empty(), unknown) {
        (false, _) => Outcome::hit(wrong.words()),
        (true, true) => Outcome::Missing("the wavelengths of both optics"),
        (true, false) => Outcome::Fits,
    }
}

/// What is not heard: for each two optics the first of the lanes, and how many more there are, for the
/// lanes of a wdm optic miss all in the same way.
#[derive(Default)]
struct Unheard(Vec<((String, String), String, Vec<Band>)>);

impl Unheard {
    fn add(&mut self, sends: &str, band: Band, hears: &str, ranges: &[Range]) {
        let of = (sends.to_string(), hears.to_string());
        match self.0.iter_mut().find(|known| known.0 == of) {
            Some((_, _, bands)) if bands.contains(&band) => {}
            Some((_, _, bands)) => bands.push(band),
            None => self.0.push((of, unheard(sends, &band, hears, ranges), vec![band])),
        }
    }

    fn words(&self) -> String {
        let line = |(_, first, bands): &(_, String, Vec<Band>)| match bands.len() {
            1 => first.clone(),
            2 => format!("{first}, and so is 1 more lane"),
            more => format!("{first}, and so are {} more lanes", more - 1),
        };
        self.0.iter().map(line).collect::<Vec<_>>().join("; ")
    }
}

/// A range of wavelengths, as an optic is specified for.
type Range = (Nanometers, Nanometers);

fn unheard(sends: &str, band: &Band, hears: &str, ranges: &[Range]) -> String {
    let range = |(shortest, longest): Range| {
        if shortest == longest {
            shortest.to_string()
        } else {
            format!("{} to {longest}", shortest.value())
        }
    };
    let heard: Vec<String> = ranges.iter().map(|heard| range(*heard)).collect();
    let heard = if heard.is_empty() { String::new() } else { format!(" ({})", heard.join(", ")) };
    let sent = range((band.shortest, band.longest));
    format!("{sent} of `{sends}` is outside the receiver range of `{hears}`{heard}")
}

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| end.against.receiver_band) {
        let mut wrong = Unheard::default();
        for end in &group.ends {
            let pair = view.assessment.pair(end);
            let (sends, hears) = (view.optic_name(pair.transmitter), view.optic_name(pair.receiver));
            let used = view.assessment.pairs.optics.get(usize::from(pair.receiver));
            let ranges = used.and_then(|used| used.optic.as_ref()).map(|optic| optic.receive.as_slice());
            wrong.add(sends, pair.band, hears, ranges.unwrap_or_default());
        }
        let message = format!("{}: {}", group.count_words(), wrong.words());
        findings.push(group.hit(&RULE, message));
    }
}
