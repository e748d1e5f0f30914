//! What the words of state, status, role and surroundings stand for (common practice).

use super::blank::says_nothing;
use super::column::Column;

/// What surrounds the equipment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SiteClass {
    /// Air-conditioned room.
    Controlled,
    /// Hut: heat and frost, dampened.
    Hut,
    /// Outdoor cabinet: heat and frost.
    Cabinet,
    /// Not written or not understood.
    Unknown,
}

impl SiteClass {
    /// The kind of place, as plans and tables name it.
    pub const fn place_kind(self) -> Option<&'static str> {
        match self {
            Self::Controlled => Some("central-office"),
            Self::Hut => Some("hut"),
            Self::Cabinet => Some("cabinet"),
            Self::Unknown => None,
        }
    }
}

/// What the port says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Oper {
    /// Works.
    Up,
    /// Does not work, or is switched off.
    Down,
    /// Nothing is plugged.
    Empty,
    /// Not written or not understood.
    Unknown,
}

/// What the record says of the port's life.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Status {
    /// In service.
    InService,
    /// Planned, not yet built.
    Planned,
    /// Spare.
    Spare,
    /// Taken out of service.
    Retired,
    /// Not written or not understood.
    Unknown,
}

/// Roles of a port that bring nothing to judge with them.
const OTHER_ROLES: [&str; 18] = [
    "ACCESS",
    "AGGREGATION",
    "CLIENT",
    "CORE",
    "CUSTOMER",
    "DOWNLINK",
    "INTERCONNECT",
    "LINE",
    "LINK",
    "MANAGEMENT",
    "MGMT",
    "MONITOR",
    "PEERING",
    "SERVICE",
    "SPARE",
    "STACK",
    "TRANSIT",
    "UNI",
];

/// Whether a port looks towards the network.
pub(super) fn is_uplink(role: &str) -> bool {
    is_one_of(role, &["UPLINK", "NNI", "TRUNK"])
}

/// Whether a port feeds a PON.
pub(super) fn is_olt(role: &str) -> bool {
    is_one_of(role, &["OLTPON", "PON", "OLT"])
}

/// Whether a port is the end of a PON.
pub(super) fn is_onu(role: &str) -> bool {
    is_one_of(role, &["ONU", "ONT", "ONUPON"])
}

/// Whether a word of state, status or role is understood, or says nothing; so is every word of a
/// column that holds something else.
pub(super) fn is_understood(column: Column, word: &str) -> bool {
    says_nothing(word)
        || match column {
            Column::Admin | Column::Oper => oper(word) != Oper::Unknown,
            Column::Status => status(word) != Status::Unknown,
            Column::PortRole => {
                is_uplink(word) || is_olt(word) || is_onu(word) || is_one_of(word, &OTHER_ROLES)
            }
            _ => true,
        }
}

/// Whether a word is one of some, written without marks and in capitals.
pub(super) fn is_one_of(word: &str, known: &[&str]) -> bool {
    let folded = fold(word);
    known.contains(&folded.as_str())
}

/// Letters and digits only, upper case; what stands in brackets is beside the word: `up (10G)`.
fn fold(word: &str) -> String {
    let outside = word.split_once('(').map(|(outside, _)| outside);
    super::name::site(outside.filter(|outside| !outside.trim().is_empty()).unwrap_or(word))
}

pub(super) fn site_class(word: &str) -> SiteClass {
    match fold(word).as_str() {
        "CONTROLLED" | "CO" | "CENTRALOFFICE" | "OFFICE" | "INDOOR" | "DATACENTER" | "DATAHALL" => {
            SiteClass::Controlled
        }
        "HUT" | "SHELTER" | "CONTAINER" => SiteClass::Hut,
        "CABINET" | "OUTDOOR" | "STREETCABINET" | "UNCONTROLLED" | "POLE" => SiteClass::Cabinet,
        _ => SiteClass::Unknown,
    }
}

pub(super) fn oper(word: &str) -> Oper {
    match fold(word).as_str() {
        "UP" | "UPUP" | "LINKUP" | "CONNECTED" | "ENABLED" | "ACTIVE" | "LIVE" | "ONLINE" | "1"
        | "WORKING" | "INSERVICE" | "OK" => Oper::Up,
        "DOWN"
        | "UPDOWN"
        | "DOWNDOWN"
        | "LINKDOWN"
        | "LOWERLAYERDOWN"
        | "NOTCONNECT"
        | "NOTCONNECTED"
        | "DISCONNECTED"
        | "DISABLED"
        | "ERRDISABLED"
        | "SHUT"
        | "SHUTDOWN"
        | "OFFLINE"
        | "INACTIVE"
        | "LOCKED"
        | "2"
        | "ADMINDOWN"
        | "ADMINISTRATIVELYDOWN"
        | "OUTOFSERVICE" => Oper::Down,
        "EMPTY" | "NOTPRESENT" | "ABSENT" | "NOMODULE" => Oper::Empty,
        _ => Oper::Unknown,
    }
}

pub(super) fn status(word: &str) -> Status {
    match fold(word).as_str() {
        "INSERVICE" | "LIVE" | "ACTIVE" | "WORKING" | "USED" | "INUSE" | "INSTALLED" | "OCCUPIED" => {
            Status::InService
        }
        "PLANNED" | "ORDERED" | "RESERVED" | "INBUILD" | "PENDING" => Status::Planned,
        "SPARE" | "FREE" | "AVAILABLE" | "UNUSED" | "VACANT" => Status::Spare,
        "RETIRED" | "DECOMMISSIONED" | "DECOMM" | "OLD" | "CEASED" | "DELETED" | "REMOVED" => {
            Status::Retired
        }
        _ => Status::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn states_in_many_spellings() {
        for word in ["Up", "connected", "up/up", "up (10G)", "enabled", "active", "live", "link up"] {
            assert_eq!(oper(word), Oper::Up, "{word}");
        }
        for word in
            ["notconnect", "up/down", "down/down", "disabled", "lower layer down", "err-disabled"]
        {
            assert_eq!(oper(word), Oper::Down, "{word}");
        }
        assert_eq!(oper("not present"), Oper::Empty);
        assert_eq!(site_class("Street cabinet"), SiteClass::Cabinet);
    }

    #[test]
    fn status_in_many_spellings() {
        for word in ["in service", "installed", "active", "live", "in use"] {
            assert_eq!(status(word), Status::InService, "{word}");
        }
        assert_eq!(status("reserved"), Status::Planned);
        assert_eq!(status("decommissioned"), Status::Retired);
    }

    #[test]
    fn what_is_not_understood_is_told() {
        for word in ["", "n/a", "up (10G)", "down"] {
            assert!(is_understood(Column::Oper, word), "{word}");
        }
        assert!(is_understood(Column::PortRole, "client") && is_understood(Column::Module, "frob"));
        for column in [Column::Oper, Column::Admin, Column::Status, Column::PortRole] {
            assert!(!is_understood(column, "frob"), "{}", column.name());
        }
    }
}
