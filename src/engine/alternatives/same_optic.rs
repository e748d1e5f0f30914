//! The same optic as another part: where what is wrong is the module in hand, and not its kind.

use super::super::Judged;
use super::is_grave;
use super::question::Question;
use crate::check::fit_rules::{dead_in_cage, form_cannot, power, temperature, wrong_cage};
use crate::check::plan_facts;
use crate::fit::cage::{Caged, caged};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// Which ports need another part of the optic that they have, and what is asked of it.
pub(super) fn parts(judged: &Judged, question: &Question, faulty_copy: bool) -> Vec<(u32, String)> {
    let view = judged.view();
    let mut parts = Vec::new();
    for port in std::iter::once(question.port).chain(question.far.iter().copied()) {
        let optic = view.assessment.pairs.of_port(view.plan, port).first().copied();
        let side = plan_facts::side(&view, port, optic);
        let against = plan_facts::of_side(&view, &side).into_iter().filter(is_grave);
        let mut asked: Vec<String> =
            against.filter_map(|one| asked_of(one.rule.id, &side, view.tables)).collect();
        if faulty_copy && port == question.port {
            asked.push("another copy".to_string());
        }
        asked.dedup();
        if !asked.is_empty() {
            let whose =
                if port == question.port { String::new() } else { format!(" in `{}`", side.name) };
            parts.push((port, format!("{}{whose}", asked.join(", "))));
        }
    }
    parts
}

/// What another part must be, so that a rule no longer speaks against it.
fn asked_of(rule: &str, side: &Side<'_>, tables: &Tables) -> Option<String> {
    if rule == temperature::RULE.id {
        let (place, ranges) = (side.place?, tables.temperature_ranges.rows());
        let suited = ranges.iter().find(|row| row.value.serves(place, ranges) == Some(true))?;
        return Some(format!("temperature range {}", suited.key));
    }
    if rule == power::RULE.id {
        let gives = side.card?.value.cage_power?;
        return Some(format!("at most {gives:.2}"));
    }
    let of_form = [wrong_cage::RULE.id, dead_in_cage::RULE.id, form_cannot::RULE.id];
    if of_form.contains(&rule) && side.form.is_some() {
        // Another body of the same optic, where the cage takes one.
        let bare = Side { form: None, ..side.clone() };
        if let Caged::Works { form, .. } = caged(&bare, tables) {
            return Some(format!("form factor {form}"));
        }
    }
    None
}
