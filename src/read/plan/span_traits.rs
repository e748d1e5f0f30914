//! What can be said of a span beside its ends: the same words as YAML keys and as CSV columns.

use super::fields::Fields;
use super::given::Given;
use super::measured::Reading;
use super::reader::Reader;
use crate::check::plan_rules::{bad_quantity, conflicting_keys, wrong_type};
use crate::place::Origin;
use crate::plan::{Build, JointKind, JointUse, Plug, PointRef, Polarity, Span, SpanKind};
use crate::read::limits;
use crate::read::yaml::Value;
use crate::units::{Decibels, Kilometers};

/// The keys that are read here, in the order in which they take effect.
const KEYS: [&str; 17] = [
    "length",
    "kind",
    "cable",
    "strand",
    "fiber",
    "splices",
    "splice",
    "splice-loss",
    "repairs",
    "connectors",
    "connector",
    "plugs",
    "polarity",
    "fibers",
    "mode-conditioning",
    "measured",
    "uncertainty",
];

/// What a span is drawn from, as `kind` says.
const KINDS: [(&str, SpanKind); 5] = [
    (SpanKind::Cable.word(), SpanKind::Cable),
    (SpanKind::Drop.word(), SpanKind::Drop),
    (SpanKind::PatchCord.word(), SpanKind::PatchCord),
    (SpanKind::Pigtail.word(), SpanKind::Pigtail),
    (SpanKind::Jumper.word(), SpanKind::Jumper),
];

/// What answers a question.
pub(super) const YES_OR_NO: [(&str, bool); 4] =
    [("yes", true), ("no", false), ("true", true), ("false", false)];

/// What is said of a span.
#[derive(Debug, Clone)]
pub(super) struct Traits {
    pub(super) length: Option<Kilometers>,
    kind: SpanKind,
    cable: Option<u16>,
    strand: u32,
    fiber: u16,
    splices: Option<u16>,
    splice: JointUse,
    splice_loss: Option<JointUse>,
    repairs: u16,
    connectors: u16,
    connector: JointUse,
    built: Built,
    readings: Vec<Reading>,
    uncertainty: Option<Decibels>,
}

/// How a span is built, as far as it is said; the plugs are an index into the reader's list.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Built {
    plugs: Option<u16>,
    polarity: Option<Polarity>,
    fibers: Option<u16>,
    mode_conditioning: Option<bool>,
}

/// One thing said of a span, read.
#[derive(Debug, Clone, Copy)]
pub(super) enum Trait {
    Length(Kilometers),
    Kind(SpanKind),
    Cable(u16),
    Strand(u32),
    Fiber(u16),
    Splices(u16),
    Splice(JointUse),
    SpliceLoss(JointUse),
    Repairs(u16),
    Connectors(u16),
    Connector(JointUse),
    Plugs(u16),
    Polarity(Polarity),
    Fibers(u16),
    ModeConditioning(bool),
    Uncertainty(Decibels),
}

impl Traits {
    pub(super) fn set(&mut self, said: Trait) {
        match said {
            Trait::Length(length) => self.length = Some(length),
            Trait::Kind(kind) => self.kind = kind,
            Trait::Cable(cable) => self.cable = Some(cable),
            Trait::Strand(strand) => self.strand = strand,
            Trait::Fiber(fiber) => self.fiber = fiber,
            Trait::Splices(splices) => self.splices = Some(splices),
            Trait::Splice(splice) => self.splice = splice,
            Trait::SpliceLoss(loss) => self.splice_loss = Some(loss),
            Trait::Repairs(repairs) => self.repairs = repairs,
            Trait::Connectors(connectors) => self.connectors = connectors,
            Trait::Connector(connector) => self.connector = connector,
            Trait::Plugs(plugs) => self.built.plugs = Some(plugs),
            Trait::Polarity(polarity) => self.built.polarity = Some(polarity),
            Trait::Fibers(fibers) => self.built.fibers = Some(fibers),
            Trait::ModeConditioning(is) => self.built.mode_conditioning = Some(is),
            Trait::Uncertainty(uncertainty) => self.uncertainty = Some(uncertainty),
        }
    }

    pub(super) fn set_readings(&mut self, readings: Vec<Reading>) {
        self.readings = readings;
    }
}

impl Reader<'_> {
    /// What holds of a span of which nothing is said.
    pub(super) fn usual_traits(&mut self) -> Traits {
        let splice = JointKind::Splice(self.defaults.splice.clone());
        Traits {
            length: None,
            kind: SpanKind::Cable,
            cable: None,
            strand: 0,
            fiber: self.defaults.fiber,
            splices: None,
            splice: self.plan.joint_kind(splice),
            splice_loss: None,
            repairs: 0,
            connectors: 0,
            connector: self.plan.port_joint,
            built: Built::default(),
            readings: Vec::new(),
            uncertainty: None,
        }
    }

    /// What an entry in YAML says of its spans.
    pub(super) fn traits(&mut self, fields: &Fields<'_>) -> Traits {
        let mut traits = self.usual_traits();
        for key in KEYS {
            let Some(node) = fields.node(key) else { continue };
            match (key, &node.value) {
                ("measured", _) => traits.readings = self.readings(node, fields.owner),
                ("connector", Value::Map(_)) => {
                    traits.connector = self.connector(node, fields.owner);
                }
                ("plugs", Value::List(_)) => {
                    let given = self.one_or_many(fields, key);
                    if let Some(said) = self.plugs(&given) {
                        traits.set(said);
                    }
                }
                _ => {
                    let said = self.given(fields, key).and_then(|given| self.span_trait(key, &given));
                    if let Some(said) = said {
                        traits.set(said);
                    }
                }
            }
        }
        traits
    }

    /// One thing said of a span. `measured` is read by [`Self::readings_in_text`].
    pub(super) fn span_trait(&mut self, key: &str, given: &Given<'_>) -> Option<Trait> {
        const MOST: u32 = u16::MAX as u32;
        Some(match key {
            "length" => Trait::Length(self.quantity(given)?),
            "kind" => Trait::Kind(self.word(given, &KINDS)?),
            "cable" => Trait::Cable(self.cable(given)?),
            "strand" => Trait::Strand(self.count(given, 1, 100_000)?),
            "fiber" => Trait::Fiber(self.fiber(given)?),
            "splices" => Trait::Splices(self.count(given, 0, MOST)? as u16),
            "splice" => {
                let splice = self.splice(given)?;
                Trait::Splice(self.plan.joint_kind(JointKind::Splice(splice)))
            }
            "splice-loss" => Trait::SpliceLoss(self.splice_loss(given)?),
            "repairs" => Trait::Repairs(self.count(given, 0, 1_000)? as u16),
            "connectors" => Trait::Connectors(self.count(given, 0, MOST)? as u16),
            "connector" => Trait::Connector(self.connector_text(given)),
            "plugs" => {
                let parts = given.text.split(';').map(|text| Given { text, ..*given });
                self.plugs(&parts.collect::<Vec<_>>())?
            }
            "polarity" => Trait::Polarity(self.polarity(given)?),
            "fibers" => Trait::Fibers(self.count(given, 1, 1000)? as u16),
            "mode-conditioning" => Trait::ModeConditioning(self.word(given, &YES_OR_NO)?),
            "uncertainty" => Trait::Uncertainty(self.quantity(given)?),
            _ => return None,
        })
    }

    /// The plugs at the two ends of a span: one for both, or one for each.
    fn plugs(&mut self, given: &[Given<'_>]) -> Option<Trait> {
        let plugs = self.two_plugs(given)?;
        let first = given.first()?;
        let found = self.plugs.iter().position(|known| *known == plugs).unwrap_or_else(|| {
            self.plugs.push(plugs);
            self.plugs.len() - 1
        });
        let Ok(found) = u16::try_from(found) else {
            self.too_many("pairs of plugs", usize::from(u16::MAX), first.at.origin());
            return None;
        };
        Some(Trait::Plugs(found))
    }

    /// The type of an array cord, in capital or small letters.
    pub(super) fn polarity(&mut self, given: &Given<'_>) -> Option<Polarity> {
        let text = given.text.to_uppercase();
        self.word(&Given { text: &text, ..*given }, &Polarity::ALL)
    }

    /// The plugs of both ends: one for both, or two.
    pub(super) fn two_plugs(&mut self, given: &[Given<'_>]) -> Option<[Plug; 2]> {
        let first = given.first()?;
        if given.len() > 2 {
            let (named, count) = (first.named(), given.len());
            let message = format!("{named} names {count} plugs; expected one, or one for each end");
            let finding = wrong_type::RULE.hit(first.at.origin(), first.owner.id, message);
            let argument = first.owner.kind.is_empty();
            let written = if argument { "`LC/UPC,SC/APC`" } else { "`[LC/UPC, SC/APC]`" };
            self.findings.push(finding.hint(format!("a span has two ends: {written}")));
            return None;
        }
        let read: Vec<Option<Plug>> = given.iter().map(|given| self.plug(given)).collect();
        let from = read.first()?.clone()?;
        let to = read.get(1).unwrap_or(&read[0]).clone()?;
        Some([from, to])
    }

    /// How a span is built, as an index of the plan.
    fn build(&mut self, built: Built, origin: Origin) -> Option<u16> {
        if built == Built::default() {
            return None;
        }
        if self.plan.builds.len() > limits::FITTINGS {
            self.too_many("differently built spans", limits::FITTINGS, origin);
            return None;
        }
        let plugs = built.plugs.and_then(|index| self.plugs.get(usize::from(index))).cloned();
        self.plan.build(Build {
            plugs: plugs.unwrap_or_default(),
            polarity: built.polarity,
            fibers: built.fibers,
            mode_conditioning: built.mode_conditioning,
        })
    }

    /// The index of a cable, added if new.
    fn cable(&mut self, given: &Given<'_>) -> Option<u16> {
        let name = given.text.trim();
        if let Some(index) = self.cables.get(name) {
            return Some(*index);
        }
        let Ok(index) = u16::try_from(self.plan.cables.len()) else {
            self.too_many("cables", usize::from(u16::MAX), given.at.origin());
            return None;
        };
        self.plan.cables.push(name.to_string());
        self.cables.insert(name.to_string(), index);
        Some(index)
    }

    /// Adds a span between two points.
    pub(super) fn add_span(&mut self, from: PointRef, to: PointRef, traits: &Traits, origin: Origin) {
        let Some(route) = traits.length else { return };
        if self.plan.spans.len() >= limits::SPANS {
            self.too_many("spans", limits::SPANS, origin);
            return;
        }
        let outside = traits.kind.is_outside();
        let slack = if outside { self.defaults.slack.fraction() } else { 0.0 };
        let length = route * (1.0 + slack);
        let Some(reels) = self.reels(length, outside, origin) else { return };
        let (splice, splices) = self.splices_along(traits, reels, origin);
        let measured = self.add_measured(&traits.readings, traits.uncertainty, origin);
        let build = self.build(traits.built, origin);
        self.plan.spans.push(Span {
            from,
            to,
            length,
            fiber: traits.fiber,
            splice,
            splices,
            connector: traits.connector,
            connectors: traits.connectors,
            reels,
            kind: traits.kind,
            outside,
            measured,
            build,
            cable: traits.cable,
            strand: traits.strand,
            origin,
        });
    }

    /// Kind and number of the splices along a span: as stated, by their loss for each kilometer, or one
    /// between two reels; beside them those of repairs.
    fn splices_along(&mut self, traits: &Traits, reels: u16, origin: Origin) -> (JointUse, u16) {
        if traits.splices.is_some() && traits.splice_loss.is_some() {
            self.tell(&conflicting_keys::RULE, origin, |_| {
                let message = "`splices` and `splice-loss` both say what the splices along a span lose";
                conflicting_keys::RULE.hit(origin, "splice-loss", message)
            });
        }
        let usual = self.defaults.splice_loss.filter(|_| traits.kind.is_outside());
        match (traits.splices, traits.splice_loss.or(usual)) {
            (Some(splices), _) => (traits.splice, splices.saturating_add(traits.repairs)),
            (None, Some(loss)) => (loss, traits.repairs),
            (None, None) => (traits.splice, (reels - 1).saturating_add(traits.repairs)),
        }
    }

    /// How many reels of cable a span takes; one where no reel length is stated.
    fn reels(&mut self, length: Kilometers, outside: bool, origin: Origin) -> Option<u16> {
        let Some(reel) = self.defaults.reel.filter(|_| outside) else { return Some(1) };
        // A length that is a whole number of reels but for binary noise takes no more.
        let reels = (length.value() / reel.value() - 1e-9).ceil().max(1.0);
        if reels <= f64::from(u16::MAX) {
            return Some(reels as u16);
        }
        let message = format!("a span of {length} takes {reels} reels of {reel}, more than 65535");
        let finding = bad_quantity::RULE.hit(origin, "", message);
        self.findings.push(finding.hint("`reel` of `defaults` is the length of cable on one reel"));
        None
    }
}
