//! What was not checked: printed on every report, so that nobody takes it for checked.

use crate::budget::Verdict;
use crate::check::view::View;

/// What a reader must not take for checked, a line each.
pub fn unchecked(view: View<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let unknown = view.assessment.ends.iter().filter(|end| end.verdict == Verdict::Unknown).count();
    if unknown > 0 {
        lines.push(format!("{unknown} ends could not be judged: a needed figure is missing"));
    }
    let dark = view.assessment.dark.len();
    if dark > 0 {
        lines.push(format!(
            "{dark} optics that no matching light reaches: nothing is said of their ends"
        ));
    }
    if view.assessment.ends.iter().all(|end| end.statistics.is_none()) {
        lines.push("no statistics: yields and the loss at a confidence were not computed".to_string());
    }
    let fixed = [
        "whether the plant is built as drawn: this is a computation, not a measurement",
        "polarization, nonlinear effects, crosstalk between channels, modal noise",
        "electrical power, cooling, card software, protocol settings",
        "ducts, poles, bend radii, loading of cables, permits and rights of way",
        "whether optics of two makers interoperate beyond their stated figures",
    ];
    lines.extend(fixed.into_iter().map(str::to_string));
    lines
}
