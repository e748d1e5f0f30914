//! Names of connection points: `olt-1/1/1`, `odf-1/4`, `fdh-3a/in`, `t-1/through`, `home-007`.

use super::given::{Given, clip, siblings};
use super::reader::{Device, Reader};
use crate::check::plan_rules::{leg_out_of_range, position_out_of_range, unknown_point};
use crate::check::{Finding, nearest};
use crate::plan::{NameId, PointRef, TapLeg};

/// Ports of a shelf that are listed.
const LISTED: usize = 6;

/// Why a name is no point.
enum NoPoint {
    /// Its device is broken or perhaps unread: a finding elsewhere says why.
    Silent,
    /// No device has the id.
    Unknown,
    /// A splitter without such a leg.
    NoLeg(String),
    /// A panel or splice case without such a position.
    NoPosition(String),
    /// The device has other points: which.
    Other(String),
}

impl Reader<'_> {
    /// The point of a name.
    pub(super) fn point(&mut self, given: &Given<'_>) -> Option<PointRef> {
        let side = usize::from(given.key == "to");
        match self.find_point(given.text, side) {
            Ok(point) => Some(point),
            Err(reason) => {
                if let Some(finding) = self.no_point(given, reason) {
                    self.findings.push(finding);
                }
                None
            }
        }
    }

    fn find_point(&mut self, name: &str, side: usize) -> Result<PointRef, NoPoint> {
        let (name, direction) = match name.as_bytes() {
            [port @ .., b':', b't', b'x'] => (&name[..port.len()], Some("tx")),
            [port @ .., b':', b'r', b'x'] => (&name[..port.len()], Some("rx")),
            _ => (name, None),
        };
        // Ids are short: a plain walk over the bytes is quicker than a search made for long texts.
        let (id, rest) = match name.bytes().position(|byte| byte == b'/') {
            Some(slash) => (&name[..slash], Some(&name[slash + 1..])),
            None => (name, None),
        };
        let point = match (self.device_near(id, side), rest) {
            (Device::None, _) if self.may_be_unread(id) => Err(NoPoint::Silent),
            (Device::None, _) => Err(NoPoint::Unknown),
            (Device::Broken(_), _) => Err(NoPoint::Silent),
            (Device::Shelf(shelf), _) => self.shelf_port(name, shelf),
            (Device::Port(port), None) => Ok(PointRef::Port(port)),
            (Device::Port(_), Some(_)) => {
                Err(NoPoint::Other(format!("`{id}` is an ONT: its point is `{id}` alone")))
            }
            (device, rest) => self.device_point(device, id, rest.unwrap_or_default()),
        }?;
        match (point, direction) {
            (_, None) => Ok(point),
            (PointRef::Port(port), Some("tx")) => Ok(PointRef::PortTransmit(port)),
            (PointRef::Port(port), Some(_)) => Ok(PointRef::PortReceive(port)),
            (_, Some(direction)) => {
                Err(NoPoint::Other(format!("`:{direction}` is for ports; `{}` is none", clip(name))))
            }
        }
    }

    /// The device of an id. Rows mostly name the same device as the row before, or the next one:
    /// those two are compared before the id is looked up.
    fn device_near(&mut self, id: &str, side: usize) -> Device {
        let names = &self.plan.names;
        let last = self.last_named[side].0;
        let near = [last, last.saturating_add(1)].into_iter().map(NameId);
        let mut near = near.filter(|near| (near.0 as usize) < names.len());
        let found = near.find(|near| names.get(*near) == id).or_else(|| names.find(id));
        let Some(found) = found else { return Device::None };
        self.last_named[side] = found;
        self.devices[found.0 as usize]
    }

    fn device(&self, id: &str) -> Device {
        self.plan.names.find(id).map_or(Device::None, |id| self.devices[id.0 as usize])
    }

    fn shelf_port(&self, name: &str, shelf: u32) -> Result<PointRef, NoPoint> {
        if let Device::Port(port) = self.device(name) {
            return Ok(PointRef::Port(port));
        }
        let shelf = self.plan.names.get(self.plan.shelves[shelf as usize].name);
        let ports: Vec<String> = self.ports_of(shelf).map(|port| format!("`{port}`")).collect();
        Err(NoPoint::Other(match ports.len() {
            0 => format!("shelf `{shelf}` has no ports"),
            1..=LISTED => format!("shelf `{shelf}` has {}", ports.join(", ")),
            count => format!(
                "shelf `{shelf}` has {}, …, {}",
                ports[..LISTED - 1].join(", "),
                ports[count - 1]
            ),
        }))
    }

    fn ports_of<'r>(&'r self, shelf: &'r str) -> impl Iterator<Item = &'r str> {
        let names = self.plan.ports.iter().map(|port| self.plan.names.get(port.name));
        names.filter(move |name| name.strip_prefix(shelf).is_some_and(|rest| rest.starts_with('/')))
    }

    /// Whether an id may be one of those that could not be read.
    fn may_be_unread(&self, id: &str) -> bool {
        self.devices_unsure || self.unread.iter().any(|known| id.starts_with(known.as_str()))
    }

    fn device_point(&self, device: Device, id: &str, rest: &str) -> Result<PointRef, NoPoint> {
        let plan = &self.plan;
        match device {
            Device::Panel(panel) => {
                let most = plan.panels[panel as usize].positions;
                let number = position(rest, id, "panel", most)?;
                Ok(PointRef::Position { panel, number })
            }
            Device::SpliceCase(case) => {
                let most = plan.splice_cases[case as usize].positions;
                let number = position(rest, id, "splice case", most)?;
                Ok(PointRef::Splice { case, number })
            }
            Device::Splitter(splitter) => self.splitter_point(splitter, id, rest),
            Device::Tap(tap) => {
                let legs = [TapLeg::In, TapLeg::Through, TapLeg::Tap];
                let leg = legs.into_iter().find(|leg| leg.word() == rest);
                let leg = leg.ok_or_else(|| other(id, "tap", &["in", "through", "tap"]))?;
                Ok(PointRef::Tap { tap, leg })
            }
            Device::WdmElement(element) => self.wdm_point(element, id, rest),
            Device::Attenuator(attenuator) => match rest {
                "a" => Ok(PointRef::Attenuator { attenuator, far: false }),
                "b" => Ok(PointRef::Attenuator { attenuator, far: true }),
                _ => Err(other(id, "attenuator", &["a", "b"])),
            },
            Device::None | Device::Broken(_) | Device::Shelf(_) | Device::Port(_) => {
                Err(NoPoint::Silent)
            }
        }
    }

    fn splitter_point(&self, splitter: u32, id: &str, rest: &str) -> Result<PointRef, NoPoint> {
        let device = &self.plan.splitters[splitter as usize];
        let (inputs, legs) = (device.inputs, device.legs);
        let input = match rest {
            "in" | "in1" => 1,
            "in2" => 2,
            _ => 0,
        };
        if (1..=inputs).contains(&input) {
            return Ok(PointRef::SplitterInput { splitter, input });
        }
        match number(rest) {
            Some(leg) if (1..=u32::from(legs)).contains(&leg) => {
                Ok(PointRef::SplitterLeg { splitter, leg: leg as u16 })
            }
            Some(leg) => Err(NoPoint::NoLeg(format!(
                "splitter `{id}` is {inputs}x{legs} and has no leg {leg}: its legs are 1 to {legs}"
            ))),
            None if inputs > 1 => {
                Err(other(id, "splitter", &["in1", "in2", "1", "2", "…", &legs.to_string()]))
            }
            None => Err(other(id, "splitter", &["in", "1", "2", "…", &legs.to_string()])),
        }
    }

    fn wdm_point(&self, element: u32, id: &str, rest: &str) -> Result<PointRef, NoPoint> {
        if rest == "com" {
            return Ok(PointRef::WdmCommon(element));
        }
        let legs = &self.plan.wdm_elements[element as usize].legs;
        if let Some(leg) = legs.iter().position(|leg| leg == rest) {
            return Ok(PointRef::WdmLeg { element, leg: leg as u16 });
        }
        let points: Vec<&str> = std::iter::once("com").chain(legs.iter().map(String::as_str)).collect();
        Err(other(id, "wdm element", &points))
    }

    /// The finding for a name that is no point; `None` where one stands elsewhere.
    fn no_point(&mut self, given: &Given<'_>, reason: NoPoint) -> Option<Finding> {
        let at = given.at.origin();
        let rule = match reason {
            NoPoint::Silent => return None,
            NoPoint::NoLeg(_) => &leg_out_of_range::RULE,
            NoPoint::NoPosition(_) => &position_out_of_range::RULE,
            NoPoint::Unknown | NoPoint::Other(_) => &unknown_point::RULE,
        };
        if self.findings.only_count(rule, at) {
            return None;
        }
        let name = clip(given.text);
        match reason {
            NoPoint::Silent => None,
            NoPoint::NoLeg(why) | NoPoint::NoPosition(why) => {
                let message = format!("`{name}`: {why}");
                Some(rule.hit(at, name, message))
            }
            NoPoint::Other(why) => {
                let message = format!("`{name}` is no connection point: {why}");
                Some(rule.hit(at, name, message))
            }
            NoPoint::Unknown => {
                let id = clip(given.text.split(['/', ':']).next().unwrap_or_default());
                let message = format!("`{name}` is no connection point: no device is called `{id}`");
                let finding = rule.hit(at, name, message);
                Some(self.near_point(finding, given.text))
            }
        }
    }

    /// Adds the nearest device's or port's name, as long as the search stays affordable.
    fn near_point(&mut self, finding: Finding, written: &str) -> Finding {
        if !self.affordable(&unknown_point::RULE, self.plan.names.len()) {
            return finding;
        }
        let written = clip(written);
        let (id, rest) =
            written.split_once('/').map_or((&*written, None), |(id, rest)| (id, Some(rest)));
        let devices = self.plan.names.iter().zip(&self.devices);
        let named = devices.filter(|(_, device)| **device != Device::None).map(|(name, _)| name);
        let near = nearest(id, named.filter(|name| !name.contains('/')));
        match (near.filter(|near| !siblings(id, near)), rest) {
            (Some(near), Some(rest)) => finding.hint(format!("did you mean `{near}/{rest}`?")),
            (Some(near), None) => finding.hint(format!("did you mean `{near}`?")),
            (None, _) => finding,
        }
    }
}

/// Digits alone; a sign or a point makes it no number of a leg.
fn number(text: &str) -> Option<u32> {
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if digits { text.parse().ok() } else { None }
}

fn position(rest: &str, id: &str, kind: &str, most: u32) -> Result<u32, NoPoint> {
    match number(rest) {
        Some(number) if (1..=most).contains(&number) => Ok(number),
        Some(number) => Err(NoPoint::NoPosition(format!(
            "{kind} `{id}` has no position {number}: its positions are 1 to {most}"
        ))),
        None => Err(other(id, kind, &["1", "2", "…", &most.to_string()])),
    }
}

/// The device is there, the connection is not: says which it has.
fn other(id: &str, kind: &str, points: &[&str]) -> NoPoint {
    let list: Vec<String> = points
        .iter()
        .map(|point| if *point == "…" { "…".to_string() } else { format!("`{id}/{point}`") })
        .collect();
    NoPoint::Other(format!("{kind} `{id}` has {}", list.join(", ")))
}
