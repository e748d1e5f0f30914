//! Cards: what their ports take and drive.

use super::{Family, Optic, Role, Tables};
use crate::units::{GigabitsPerSecond, Watts};

/// One type of card. An empty list or `None` is not known, unless it says otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// The cages, by the form factor they are made for; empty = made with cages of several kinds
    /// (the port says which), or without any.
    pub cage: String,
    /// Ports for optics; 0 for a card without.
    pub ports: u16,
    /// What the ports work with: names of interfaces and PON classes, in which `*` stands for any
    /// characters (`10GBASE-*`, `GPON *`).
    pub interfaces: Vec<String>,
    /// Data rates a port can be set to; of a PON, the rate downstream.
    pub rates: Vec<GigabitsPerSecond>,
    /// Whether the ports are those of a PON's office end.
    pub pon: bool,
    /// Greatest power of the module in one cage.
    pub cage_power: Option<Watts>,
    /// Greatest power of all modules together.
    pub card_power: Option<Watts>,
    /// Ports that share one rate; 1 = every port has its own.
    pub group: u16,
    /// Forward error correction the ports can do: `none`, `fc`, `rs528`, `rs544`, `cfec`, …
    pub fec: Vec<String>,
    /// Whether the ports compensate dispersion, as linear modules (10GBASE-LRM) need.
    pub edc: bool,
    /// How a port can be split: `4x10`, `4x25`, …
    pub breakout: Vec<String>,
}

impl Card {
    /// Whether the ports work with an optic of this name or one of its other names, whatever the
    /// case. A card that states no interfaces admits none.
    ///
    /// PON classes are matched by system and class (`GPON B+`); the office end written out
    /// (`GPON-OLT-B+`) is that class, the premises end is not.
    pub fn admits(&self, name: &str, aliases: &[String]) -> bool {
        let class = name.replacen("-OLT-", " ", 1);
        let mut names = aliases.iter().map(String::as_str).chain([name, class.as_str()]);
        names.any(|name| self.interfaces.iter().any(|pattern| matches(pattern, name)))
    }

    /// Whether the ports work with an optic of the tables.
    pub fn admits_optic(&self, tables: &Tables, optic: &Optic) -> bool {
        let aliases = match optic.family {
            Family::Interface(id) => &tables.interfaces.row(id).aliases,
            Family::Pon(id) if optic.role != Role::Onu => &tables.pon_classes.row(id).aliases,
            Family::Pon(_) => return self.admits(&optic.name, &[]),
        };
        self.admits(&optic.name, aliases)
    }
}

/// Whether a name is of the form of a pattern, in which `*` stands for any characters or none.
fn matches(pattern: &str, name: &str) -> bool {
    let (pattern, name) = (pattern.to_lowercase(), name.to_lowercase());
    let mut parts = pattern.split('*');
    let Some(mut rest) = parts.next().and_then(|start| name.strip_prefix(start)) else {
        return false;
    };
    let mut parts: Vec<&str> = parts.collect();
    let Some(end) = parts.pop() else { return rest.is_empty() };
    for part in parts {
        match rest.find(part) {
            Some(at) => rest = &rest[at + part.len()..],
            None => return false,
        }
    }
    rest.ends_with(end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_star_stands_for_any_characters() {
        for (pattern, name) in [
            ("10GBASE-*", "10gbase-lr"),
            ("10GBASE-LR", "10GBASE-LR"),
            ("*", "anything"),
            ("1000BASE-BX10-*", "1000BASE-BX10-U"),
            ("*BASE-*4", "100GBASE-LR4"),
            ("a*a", "aa"),
        ] {
            assert!(matches(pattern, name), "{pattern} {name}");
        }
        for (pattern, name) in [
            ("10GBASE-*", "100GBASE-LR4"),
            ("10GBASE-LR", "10GBASE-LRM"),
            ("*BASE-*4", "100GBASE-LR1"),
            ("a*a", "a"),
            ("", "a"),
        ] {
            assert!(!matches(pattern, name), "{pattern} {name}");
        }
    }

    #[test]
    fn a_pon_card_takes_the_office_end_alone() {
        let card = Card {
            cage: "SFP".to_string(),
            ports: 8,
            interfaces: vec!["GPON *".to_string()],
            rates: vec![],
            pon: true,
            cage_power: None,
            card_power: None,
            group: 1,
            fec: vec![],
            edc: false,
            breakout: vec![],
        };
        assert!(card.admits("GPON B+", &[]));
        assert!(card.admits("GPON-OLT-B+", &[]));
        assert!(!card.admits("GPON-ONU-B+", &[]));
        // Another system whose name begins alike.
        assert!(!card.admits("GPON-1244/1244-OLT-A", &[]));
        assert!(!card.admits("XGS-PON-OLT-N1", &[]));
    }
}
