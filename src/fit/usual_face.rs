//! The end face that modules of an interface usually have.

use crate::plan::Plug;
use crate::tables::{FiberKind, Interface};

/// The usual face of the module of an interface, as far as its row tells it: pluggable modules have
/// flat faces, arrays on single-mode fiber angled ones, and an array module has the pins (IEC 61754-7;
/// common practice). Where a row names several connectors, the connector stays open.
pub fn usual_face(row: &Interface) -> Plug {
    let words = row.connector.to_uppercase();
    let (name, rest) = words.split_once([' ', ',']).unwrap_or((&words, ""));
    let several =
        rest.contains(" OR ") || rest.starts_with("OR ") || name == "MPO" || name.contains('/');
    let connector = Plug::CONNECTORS.iter().find(|known| **known == name && !several);
    let array = words.contains("MPO");
    let polish = match row.fiber_kind {
        _ if words.is_empty() || words.contains("ANGLED") => None,
        FiberKind::SingleMode if array => Some("APC"),
        _ if array => Some("flat"),
        _ => Some("PC"),
    };
    Plug {
        connector: connector.map(|known| (*known).to_string()),
        polish: polish.map(String::from),
        pinned: (array && connector.is_some()).then_some(true),
    }
}

/// What is stated of a face, with what is usual where nothing is stated. A stated connector that is
/// not the usual one tells of another module, of whose polish and pins nothing is known.
pub fn completed(stated: &Plug, usual: Plug) -> Plug {
    let other =
        stated.connector.is_some() && usual.connector.is_some() && stated.connector != usual.connector;
    if other {
        return stated.clone();
    }
    Plug {
        connector: stated.connector.clone().or(usual.connector),
        polish: stated.polish.clone().or(usual.polish),
        pinned: stated.pinned.or(usual.pinned),
    }
}
