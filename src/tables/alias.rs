//! Other spellings of interface types: what is written in inventories and on labels.

use super::names::Qualifiers;
use super::{RowId, Tables};

/// One spelling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InterfaceAlias {
    /// The interface types it may stand for: one where it is clear, several where it is not.
    pub interfaces: Vec<String>,
}

/// What a written name of an interface type or PON class stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Named<'t> {
    /// One optic, by a name that [`super::Optic::find`] knows.
    One(&'t str),
    /// Several interface types: the spelling alone does not tell them apart.
    Several(Vec<&'t str>),
    /// None. The known names nearest to it, at most three, the nearest first.
    Unknown {
        /// Names for a suggestion.
        nearest: Vec<&'t str>,
    },
}

impl Tables {
    /// What a written name stands for: the name of an interface type or PON class, or another
    /// spelling of it, whatever the case and whatever parts its words.
    ///
    /// A rate, a reach or a wavelength beside the name narrows an ambiguous one (`LR 10G`); where
    /// they contradict the name, it is unknown rather than guessed. A form factor beside it chooses
    /// among several (`SFP+ LR 10km`).
    pub fn interface_named(&self, written: &str) -> Named<'_> {
        self.interface_named_in(written, None)
    }

    /// The same, where it is known in which form factor the optic comes: of the interface types that
    /// the name may stand for, those are meant whose rate the form factor carries. A form factor
    /// that stands in the name itself goes before.
    pub fn interface_named_in(&self, written: &str, form: Option<&str>) -> Named<'_> {
        let names = self.interface_names.of(self);
        if let Some(optic) = names.optic(written) {
            return Named::One(optic);
        }
        let form = form.and_then(|form| self.form_factors.find(form));
        if let Some(candidates) = names.spelled(written) {
            return self.narrowed(candidates, &Qualifiers { form, ..Qualifiers::default() });
        }
        let apart = names.taken_apart(written);
        let known = apart.and_then(|(core, said)| Some((names.interfaces(&core)?, said)));
        let Some((candidates, said)) = known else {
            return Named::Unknown { nearest: names.nearest(written) };
        };
        self.narrowed(candidates, &Qualifiers { form: said.form.or(form), ..said })
    }

    /// The candidates that fit what else is stated.
    fn narrowed(&self, candidates: &[RowId], qualifiers: &Qualifiers) -> Named<'_> {
        let name = |id: &RowId| self.interfaces.row(*id).key.as_str();
        let stated = |id: &&RowId| qualifiers.allow(&self.interfaces.row(**id).value);
        let mut kept: Vec<&RowId> = candidates.iter().filter(stated).collect();
        if kept.is_empty() {
            // One of another rate is another thing, not a slip.
            let rate = |id: &&RowId| {
                let own = self.interfaces.row(**id).value.rate;
                qualifiers.rate.zip(own).is_none_or(|(said, own)| said == own)
            };
            let nearest = candidates.iter().filter(rate).map(name).take(3).collect();
            return Named::Unknown { nearest };
        }
        if let Some(form) = qualifiers.form
            && kept.len() > 1
        {
            let form = &self.form_factors.row(form).value;
            let carried = |id: &&&RowId| {
                let rate = self.interfaces.row(***id).value.rate;
                rate.is_some_and(|rate| form.carries(rate) == Some(true))
            };
            let in_form: Vec<&RowId> = kept.iter().filter(carried).copied().collect();
            if !in_form.is_empty() {
                kept = in_form;
            }
        }
        match kept.as_slice() {
            [one] => Named::One(name(one)),
            several => Named::Several(several.iter().map(|id| name(id)).collect()),
        }
    }
}
