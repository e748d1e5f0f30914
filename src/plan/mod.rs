//! What the plant *is*: plain values, no text, no graph, no files.
//!
//! Holds: places, shelves, ports, panels, splices, splitters, taps, wdm elements, attenuators,
//! spans, and the plan's own assumptions (allowances, reserve, confidence).
//! Must not know: how a plan is written down, or how light walks through it.
//! Start reading at [`Plan`] and [`PointRef`].

mod assumptions;
mod device;
mod equipment;
mod fitting;
mod ground;
mod names;
mod span;
pub mod usual_grade;

pub use assumptions::{Allowances, Assumptions, EndConnectors, Repair};
pub use device::{Attenuator, Panel, SpliceCase, Splitter, Stated, Tap, TapLeg, WdmElement};
pub use equipment::{Place, Port, PortKind, Protection, Shelf, Slot, SlotContent};
pub use fitting::{Build, Fitting, Plug, PlugError, Polarity};
pub use ground::{distance, least_distance};
pub use names::{NameId, Names};
pub use span::{
    DirectJoint, JointKind, JointUse, Measured, Span, SpanKind, SpliceLoss, StatedSpliceLoss,
};

use crate::place::Origin;

/// A connection point: where fiber ends can be put.
///
/// The numbers are indices into the plan's lists; `leg`, `number` count from 1 as people do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PointRef {
    /// A port of equipment or of an ONT.
    Port(u32),
    /// The transmitting side of a duplex port, where the two fibers take different ways.
    PortTransmit(u32),
    /// The receiving side of a duplex port.
    PortReceive(u32),
    /// A coupling of a panel.
    Position {
        /// Index of the panel.
        panel: u32,
        /// Position, from 1.
        number: u32,
    },
    /// A numbered splice of a splice case.
    Splice {
        /// Index of the splice case.
        case: u32,
        /// Number, from 1.
        number: u32,
    },
    /// An input of a splitter.
    SplitterInput {
        /// Index of the splitter.
        splitter: u32,
        /// 1 or 2.
        input: u16,
    },
    /// A leg of a splitter.
    SplitterLeg {
        /// Index of the splitter.
        splitter: u32,
        /// Leg, from 1.
        leg: u16,
    },
    /// A connection of a tap.
    Tap {
        /// Index of the tap.
        tap: u32,
        /// Which connection.
        leg: TapLeg,
    },
    /// The common port of a wdm element.
    WdmCommon(u32),
    /// A leg of a wdm element.
    WdmLeg {
        /// Index of the element.
        element: u32,
        /// Index of the leg's name in [`WdmElement::legs`].
        leg: u16,
    },
    /// One side of an attenuator.
    Attenuator {
        /// Index of the attenuator.
        attenuator: u32,
        /// `false` = side a, `true` = side b.
        far: bool,
    },
}

/// A whole plan.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// Title, for heads of sheets.
    pub title: String,
    /// Revision, as the user counts.
    pub revision: Option<String>,
    /// Date, as the user wrote it.
    pub date: Option<String>,
    /// Every id in the plan.
    pub names: Names,
    /// What the plan assumes.
    pub assumptions: Assumptions,
    /// Places.
    pub places: Vec<Place>,
    /// Shelves with their slots.
    pub shelves: Vec<Shelf>,
    /// Ports of shelves and ONTs.
    pub ports: Vec<Port>,
    /// Indices of homes that are not connected yet and are judged with an assumed optic, ascending.
    pub assumed: Vec<u32>,
    /// Ports that stand by for others.
    pub protections: Vec<Protection>,
    /// Distinct lists of optic names; a port refers to one by index.
    pub optic_sets: Vec<Vec<String>>,
    /// Distinct things said of ports beside their optics; a port refers to one by index.
    pub fittings: Vec<Fitting>,
    /// Patch panels.
    pub panels: Vec<Panel>,
    /// Splice cases.
    pub splice_cases: Vec<SpliceCase>,
    /// Splitters.
    pub splitters: Vec<Splitter>,
    /// Taps.
    pub taps: Vec<Tap>,
    /// Wdm elements.
    pub wdm_elements: Vec<WdmElement>,
    /// Attenuators.
    pub attenuators: Vec<Attenuator>,
    /// Spans.
    pub spans: Vec<Span>,
    /// Direct joints between devices, without a span.
    pub joints: Vec<DirectJoint>,
    /// The joint at ports of equipment, where the end connectors count.
    pub port_joint: JointUse,
    /// Distinct kinds of joints; spans and devices refer to one by index.
    pub joint_kinds: Vec<JointKind>,
    /// Distinct fiber type names; spans refer to one by index.
    pub fibers: Vec<String>,
    /// Distinct ways in which spans are built; spans refer to one by index.
    pub builds: Vec<Build>,
    /// Measured losses; elements refer to an entry by index.
    pub measured: Vec<Measured>,
    /// Distinct cable names; spans refer to one by index.
    pub cables: Vec<String>,
}

impl Plan {
    /// Whether the optic of a port is one that nobody has put there yet.
    pub fn is_assumed(&self, port: u32) -> bool {
        self.assumed.binary_search(&port).is_ok()
    }

    /// The written name of a point: `fdh-3a/7`, `olt-1/1/1`, `odf-1/4`.
    pub fn point_name(&self, point: PointRef) -> String {
        let name = |id: NameId| self.names.get(id);
        match point {
            PointRef::Port(p) => name(self.ports[p as usize].name).to_string(),
            PointRef::PortTransmit(p) => format!("{}:tx", name(self.ports[p as usize].name)),
            PointRef::PortReceive(p) => format!("{}:rx", name(self.ports[p as usize].name)),
            PointRef::Position { panel, number } => {
                format!("{}/{number}", name(self.panels[panel as usize].name))
            }
            PointRef::Splice { case, number } => {
                format!("{}/{number}", name(self.splice_cases[case as usize].name))
            }
            PointRef::SplitterInput { splitter, input } => {
                let device = &self.splitters[splitter as usize];
                let input = if device.inputs > 1 { format!("in{input}") } else { "in".to_string() };
                format!("{}/{input}", name(device.name))
            }
            PointRef::SplitterLeg { splitter, leg } => {
                format!("{}/{leg}", name(self.splitters[splitter as usize].name))
            }
            PointRef::Tap { tap, leg } => {
                format!("{}/{}", name(self.taps[tap as usize].name), leg.word())
            }
            PointRef::WdmCommon(e) => format!("{}/com", name(self.wdm_elements[e as usize].name)),
            PointRef::WdmLeg { element, leg } => {
                let device = &self.wdm_elements[element as usize];
                let leg = device.legs.get(usize::from(leg)).map_or("?", String::as_str);
                format!("{}/{leg}", name(device.name))
            }
            PointRef::Attenuator { attenuator, far } => {
                let side = if far { "b" } else { "a" };
                format!("{}/{side}", name(self.attenuators[attenuator as usize].name))
            }
        }
    }

    /// Where the device of a point was stated.
    pub fn point_origin(&self, point: PointRef) -> Origin {
        match point {
            PointRef::Port(p) | PointRef::PortTransmit(p) | PointRef::PortReceive(p) => {
                self.ports[p as usize].origin
            }
            PointRef::Position { panel, .. } => self.panels[panel as usize].origin,
            PointRef::Splice { case, .. } => self.splice_cases[case as usize].origin,
            PointRef::SplitterInput { splitter, .. } | PointRef::SplitterLeg { splitter, .. } => {
                self.splitters[splitter as usize].origin
            }
            PointRef::Tap { tap, .. } => self.taps[tap as usize].origin,
            PointRef::WdmCommon(e) | PointRef::WdmLeg { element: e, .. } => {
                self.wdm_elements[e as usize].origin
            }
            PointRef::Attenuator { attenuator, .. } => self.attenuators[attenuator as usize].origin,
        }
    }

    /// The joint at a point and the index of its measured loss, if it was measured.
    pub fn joint_at(&self, point: PointRef) -> (JointUse, Option<u32>) {
        match point {
            PointRef::Port(_) | PointRef::PortTransmit(_) | PointRef::PortReceive(_) => {
                (self.port_joint, None)
            }
            PointRef::Position { panel, .. } => {
                let device = &self.panels[panel as usize];
                (device.joint, device.measured)
            }
            PointRef::Splice { case, .. } => {
                let device = &self.splice_cases[case as usize];
                (device.joint, device.measured)
            }
            PointRef::SplitterInput { splitter, .. } | PointRef::SplitterLeg { splitter, .. } => {
                (self.splitters[splitter as usize].joint, None)
            }
            PointRef::Tap { tap, .. } => (self.taps[tap as usize].joint, None),
            PointRef::WdmCommon(element) | PointRef::WdmLeg { element, .. } => {
                (self.wdm_elements[element as usize].joint, None)
            }
            PointRef::Attenuator { attenuator, .. } => {
                (self.attenuators[attenuator as usize].joint, None)
            }
        }
    }

    /// The index of the place of a point's device, if the plan states one.
    pub fn place_of(&self, point: PointRef) -> Option<u32> {
        match point {
            PointRef::Port(p) | PointRef::PortTransmit(p) | PointRef::PortReceive(p) => {
                self.ports[p as usize].place
            }
            PointRef::Position { panel, .. } => self.panels[panel as usize].place,
            PointRef::Splice { case, .. } => self.splice_cases[case as usize].place,
            PointRef::SplitterInput { splitter, .. } | PointRef::SplitterLeg { splitter, .. } => {
                self.splitters[splitter as usize].place
            }
            PointRef::Tap { tap, .. } => self.taps[tap as usize].place,
            PointRef::WdmCommon(element) | PointRef::WdmLeg { element, .. } => {
                self.wdm_elements[element as usize].place
            }
            PointRef::Attenuator { attenuator, .. } => self.attenuators[attenuator as usize].place,
        }
    }

    /// The index of a list of optic names, added if new.
    pub fn optic_set(&mut self, optics: Vec<String>) -> u32 {
        position_or_push(&mut self.optic_sets, optics)
    }

    /// The index of a fitting, added if new; nothing where nothing is said.
    pub fn fitting(&mut self, fitting: Fitting) -> Option<u32> {
        (fitting != Fitting::default()).then(|| position_or_push(&mut self.fittings, fitting))
    }

    /// The index of a build, added if new; nothing where nothing is said.
    pub fn build(&mut self, build: Build) -> Option<u16> {
        (build != Build::default()).then(|| position_or_push(&mut self.builds, build) as u16)
    }

    /// What is said of a port beside its optic.
    pub fn fitting_of(&self, port: u32) -> Option<&Fitting> {
        self.fittings.get(self.ports.get(port as usize)?.fitting? as usize)
    }

    /// How a span is built.
    pub fn build_of(&self, span: &Span) -> Option<&Build> {
        self.builds.get(usize::from(span.build?))
    }

    /// The index of a joint kind, added if new.
    pub fn joint_kind(&mut self, kind: JointKind) -> JointUse {
        JointUse(position_or_push(&mut self.joint_kinds, kind) as u16)
    }

    /// The index of a fiber type's name, added if new.
    pub fn fiber(&mut self, name: &str) -> u16 {
        position_or_push(&mut self.fibers, name.to_string()) as u16
    }
}

/// The lists are short (distinct spellings), a linear search is enough.
fn position_or_push<T: PartialEq>(list: &mut Vec<T>, item: T) -> u32 {
    let found = list.iter().position(|known| *known == item);
    found.unwrap_or_else(|| {
        list.push(item);
        list.len() - 1
    }) as u32
}
