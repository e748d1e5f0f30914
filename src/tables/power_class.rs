//! Power classes: how much a module may draw from its cage.

use super::{Row, Tables};
use crate::units::Watts;

/// One power class (or level) of one form factor.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerClass {
    /// The form factor.
    pub form: String,
    /// The class, as a number: `1` to `8`.
    pub class: String,
    /// Greatest power; `None` = the module declares it in a register.
    pub most: Option<Watts>,
}

impl PowerClass {
    /// The name a row is found by.
    pub fn key(form: &str, class: &str) -> String {
        format!("{form} {class}")
    }
}

impl Tables {
    /// The power class of a form factor by its number (`3`, `class 3`, `level III`); `None` where
    /// the table has no such class.
    pub fn power_class(&self, form: &str, class: &str) -> Option<&Row<PowerClass>> {
        let form = &self.form_factors.get(form)?.key;
        self.power_classes.get(&PowerClass::key(form, number(class)))
    }
}

/// The last word of a class, with levels I to IV as numbers.
fn number(class: &str) -> &str {
    match class.split_whitespace().next_back().unwrap_or_default() {
        "I" | "i" => "1",
        "II" | "ii" => "2",
        "III" | "iii" => "3",
        "IV" | "iv" => "4",
        other => other,
    }
}
