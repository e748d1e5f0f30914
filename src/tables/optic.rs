//! One optic as the other rooms see it, whether a PON class or an interface type stands behind it.

use super::grid::Channel;
use super::{FiberKind, Interface, LevelTerms, Named, PonClass, Row, RowId, Tables};
use crate::units::{DecibelMilliwatts, GigabitsPerSecond, Nanometers};

/// A transmit wavelength with its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Shortest.
    pub shortest: Nanometers,
    /// Nominal: what losses are computed at.
    pub nominal: Nanometers,
    /// Longest.
    pub longest: Nanometers,
}

impl Band {
    /// A band that is one exact wavelength.
    pub const fn exact(at: Nanometers) -> Self {
        Self { shortest: at, nominal: at, longest: at }
    }

    /// Whether all of it lies within `range`.
    pub fn within(&self, range: (Nanometers, Nanometers)) -> bool {
        self.shortest >= range.0 && self.longest <= range.1
    }
}

/// Which side of a link an optic is made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// The office end of a PON.
    Olt,
    /// The premises end of a PON.
    Onu,
    /// Either end of a point-to-point link.
    Peer,
}

impl Role {
    /// The trade's abbreviation.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Olt => "OLT",
            Self::Onu => "ONU",
            Self::Peer => "point-to-point",
        }
    }
}

/// Which table the optic comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Family {
    /// A row of `pon-classes`.
    Pon(RowId),
    /// A row of `interfaces`.
    Interface(RowId),
}

/// What one optic sends and needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Optic {
    /// The one name it goes by in results.
    pub name: String,
    /// Which side it is made for.
    pub role: Role,
    /// The table row behind it.
    pub family: Family,
    /// The channel it is set to.
    pub channel: Option<Channel>,
    /// Transmit wavelength per lane; empty = not known.
    pub transmit: Vec<Band>,
    /// Receiver range per lane; empty = not known.
    pub receive: Vec<(Nanometers, Nanometers)>,
    /// Mean launch power, least and most, per lane.
    pub launch: [Option<DecibelMilliwatts>; 2],
    /// The least mean power at which the receiver works once the path penalty is paid, per lane:
    /// a PON class's sensitivity still needs its penalty added, an interface's channel floor not.
    pub receive_least: Option<DecibelMilliwatts>,
    /// The most the receiver takes.
    pub overload: Option<DecibelMilliwatts>,
    /// The level that harms the receiver.
    pub damage: Option<DecibelMilliwatts>,
}

impl Optic {
    /// Finds an optic by its written name, or by another spelling where that is clear
    /// ([`Tables::interface_named`]).
    ///
    /// `role` is what the place in the plan implies (`GPON B+` in a shelf port is an OLT, in an ONT
    /// an ONU); a role that the name itself states wins. A channel may follow the name:
    /// `10GBASE-ZR C31`. `None` for an unknown or ambiguous
    /// name.
    pub fn find(tables: &Tables, name: &str, role: Role) -> Option<Self> {
        Self::plain(tables, name, role).or_else(|| {
            let blanks = name.trim().match_indices(' ');
            blanks.map(|(at, _)| name.trim().split_at(at)).find_map(|(optic, channel)| {
                let channel = Channel::parse(channel).ok()?;
                Some(Self::plain(tables, optic, role)?.set_to(channel))
            })
        })
    }

    /// This optic, set to a channel: it sends there and nowhere else.
    fn set_to(mut self, channel: Channel) -> Self {
        self.name = format!("{} {}", self.name, channel.name());
        self.transmit = vec![channel.band()];
        self.channel = Some(channel);
        self
    }

    fn plain(tables: &Tables, name: &str, role: Role) -> Option<Self> {
        Self::find_by_name(tables, name, role).or_else(|| match tables.interface_named(name) {
            Named::One(known) => Self::find_by_name(tables, known, role),
            Named::Several(_) | Named::Unknown { .. } => None,
        })
    }

    /// As [`Self::find`], for a name as the tables write it.
    pub(crate) fn find_by_name(tables: &Tables, name: &str, role: Role) -> Option<Self> {
        if let Some(id) = tables.interfaces.find(name) {
            return Some(Self::of_interface(tables.interfaces.row(id), id));
        }
        let (stated, words) = pon_words(name);
        let id = find_class(tables, &words)?;
        let role = stated.unwrap_or(if role == Role::Onu { Role::Onu } else { Role::Olt });
        Some(Self::of_class(tables.pon_classes.row(id), id, role))
    }

    /// The optic of one side of a PON class.
    pub fn of_class(row: &Row<PonClass>, id: RowId, role: Role) -> Self {
        let class = &row.value;
        let (launch, receive, sends, hears) = match role {
            Role::Onu => (class.onu_launch, class.onu_receive, class.up, class.down),
            _ => (class.olt_launch, class.olt_receive, class.down, class.up),
        };
        Self {
            name: format!("{}-{}-{}", class.system, role.word(), class.class),
            role,
            family: Family::Pon(id),
            channel: None,
            transmit: sends.into_iter().collect(),
            receive: hears.iter().map(|band| (band.shortest, band.longest)).collect(),
            launch,
            receive_least: receive[0],
            overload: receive[1],
            damage: None,
        }
    }

    /// The optic of an interface type.
    pub fn of_interface(row: &Row<Interface>, id: RowId) -> Self {
        let interface = &row.value;
        let own: Vec<_> = interface.transmit.iter().map(|band| (band.shortest, band.longest)).collect();
        let mean = |terms: Option<LevelTerms>| matches!(terms, None | Some(LevelTerms::Mean));
        Self {
            name: row.key.clone(),
            role: Role::Peer,
            family: Family::Interface(id),
            channel: None,
            transmit: interface.transmit.clone(),
            receive: if interface.receive.is_empty() && interface.fibers > 1 {
                own
            } else {
                interface.receive.clone()
            },
            launch: interface.launch,
            receive_least: interface.receive_min.or_else(|| floor(interface)),
            overload: interface.overload.filter(|o| mean(o.1)).map(|o| o.0),
            damage: interface.damage,
        }
    }

    /// Every name an optic can be written as, for suggestions.
    pub fn names(tables: &Tables) -> Vec<String> {
        let sides = |class: &PonClass| {
            [Role::Olt, Role::Onu]
                .map(|role| format!("{}-{}-{}", class.system, role.word(), class.class))
        };
        let mut names: Vec<String> =
            tables.pon_classes.rows().iter().flat_map(|row| sides(&row.value)).collect();
        names.extend(tables.interfaces.names().map(String::from));
        names
    }

    /// The row of the interface table, for an interface.
    pub fn interface<'t>(&self, tables: &'t Tables) -> Option<&'t Row<Interface>> {
        match self.family {
            Family::Interface(id) => Some(tables.interfaces.row(id)),
            Family::Pon(_) => None,
        }
    }

    /// The row of the PON classes, for a PON optic.
    pub fn pon_class<'t>(&self, tables: &'t Tables) -> Option<&'t Row<PonClass>> {
        match self.family {
            Family::Pon(id) => Some(tables.pon_classes.row(id)),
            Family::Interface(_) => None,
        }
    }

    /// The data rate that decides which form factor carries it: the greater one of a PON's two.
    pub fn rate(&self, tables: &Tables) -> Option<GigabitsPerSecond> {
        match self.family {
            Family::Interface(id) => tables.interfaces.row(id).value.rate,
            Family::Pon(id) => {
                let class = &tables.pon_classes.row(id).value;
                let rates = class.down_rate.into_iter().chain(class.up_rate);
                rates.reduce(|a, b| if b.value() > a.value() { b } else { a })
            }
        }
    }

    /// The kind of fiber it is made for.
    pub fn fiber_kind(&self, tables: &Tables) -> FiberKind {
        self.interface(tables).map_or(FiberKind::SingleMode, |row| row.value.fiber_kind)
    }

    /// Fibers it needs: 1 for a PON or a single-fiber interface, 2 for duplex, more for parallel.
    pub fn fibers(&self, tables: &Tables) -> u16 {
        self.interface(tables).map_or(1, |row| row.value.fibers)
    }

    /// Lanes that the signal is divided over: wavelengths or fibers each way; 1 for a PON.
    pub fn lanes(&self, tables: &Tables) -> u16 {
        self.interface(tables).map_or(1, |row| row.value.lanes.max(1))
    }

    /// The PON system's name, for a PON optic.
    pub fn system<'t>(&self, tables: &'t Tables) -> Option<&'t str> {
        match self.family {
            Family::Pon(id) => Some(&tables.pon_classes.row(id).value.system),
            Family::Interface(_) => None,
        }
    }
}

/// The least mean power a receiver works at: its sensitivity and the path penalty on top, where both
/// are stated in mean power.
fn floor(interface: &Interface) -> Option<DecibelMilliwatts> {
    let (sensitivity, terms) = interface.sensitivity?;
    (terms == Some(LevelTerms::Mean)).then_some(sensitivity + interface.penalty.any?)
}

/// The words of a PON optic's name without the word for its role.
fn pon_words(name: &str) -> (Option<Role>, Vec<String>) {
    let mut role = None;
    let mut words = Vec::new();
    for word in name.split(|c: char| c == '-' || c.is_whitespace()).filter(|w| !w.is_empty()) {
        match word.to_ascii_uppercase().as_str() {
            "OLT" => role = Some(Role::Olt),
            "ONU" | "ONT" => role = Some(Role::Onu),
            other => words.push(other.to_string()),
        }
    }
    (role, words)
}

fn find_class(tables: &Tables, words: &[String]) -> Option<RowId> {
    if let Some(id) = tables.pon_classes.find(&words.join(" ")) {
        return Some(id);
    }
    let matches = |name: &str| pon_words(name).1 == words;
    tables
        .pon_classes
        .rows()
        .iter()
        .position(|row| matches(&row.key) || row.aliases.iter().any(|alias| matches(alias)))
        .map(|index| RowId(index as u32))
}
