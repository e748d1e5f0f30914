//! What was taken for granted in the answer for a port, in words.

use super::Judged;
use crate::budget::GroupKind;
use crate::check::view::View;
use crate::check::words::usual_grades;
use crate::check::{plan_facts, plan_matings};
use crate::fit::broken_out;
use crate::fit::cage::{Caged, caged};

/// What was taken for granted of a port, of its module and of what it faces: each in a few words, none
/// twice.
pub fn assumed(judged: &Judged, port: u32) -> Vec<String> {
    let view = judged.view();
    let optic = view.assessment.pairs.of_port(view.plan, port).first().copied();
    let mut assumed = Vec::new();
    if let Caged::Works { form, assumed: true } =
        caged(&plan_facts::side(&view, port, optic), view.tables)
    {
        assumed.push(format!("the module is of the form factor {form}, for none is stated"));
    }
    assumed.extend(plan_matings::assumed_face_words(&view, port));
    assumed.extend(behind_cords(&view, port));
    let links = view.assessment.groups.iter().filter(|group| group.kind == GroupKind::Link);
    for group in links.filter(|group| group.port == port || group.far_port == Some(port)) {
        for (near, far) in plan_facts::link_sides(&view, group) {
            assumed.extend(broken_out::assumed(&near, &far, view.tables));
        }
    }
    if !view.plan.assumptions.usual_grades.is_empty() {
        assumed.push(usual_grades(&view));
    }
    assumed.sort();
    assumed.dedup();
    assumed
}

/// The optics that are judged by another row, for a mode-conditioning cord is in the port.
fn behind_cords(view: &View<'_>, port: u32) -> Vec<String> {
    let optics = view.assessment.pairs.of_port(view.plan, port).iter();
    let used = optics.filter_map(|optic| view.assessment.pairs.optics.get(usize::from(*optic)));
    used.filter_map(|used| {
        let row = view.tables.behind_conditioning_cord(&used.written)?;
        let judged = used.optic.as_ref().is_some_and(|optic| optic.name == row.key);
        judged.then(|| {
            let (written, port) = (&used.written, view.port_name(port));
            format!(
                "`{written}` in `{port}` is judged as {}, for its cord conditions the modes",
                row.key
            )
        })
    })
    .collect()
}
