//! A parallel optic that is broken out: which end it is, and what each end then needs.

use super::facts::Side;
use crate::tables::{Breakout, Interface, Row, Tables};

/// Two ends that face each other by a breakout of the table.
#[derive(Debug, Clone, Copy)]
pub struct BrokenOut<'t> {
    /// The row of the table `breakouts`.
    pub row: &'t Row<Breakout>,
    /// Whether the first of the two ends is the parallel optic.
    pub near_is_parent: bool,
    /// The lane as stated, at whichever end; `None` where no port says it.
    pub lane: Option<u16>,
    /// Fibers that each end of one child needs.
    pub fibers: u16,
}

/// How two ends face each other by a breakout; `None` where the table knows none. Optics of a breakout
/// have no other way to face each other, so that it holds whether a lane is stated or not; and the lane
/// is that of the parallel end, at whichever port it was written.
pub fn broken_out<'t>(near: &Side<'_>, far: &Side<'_>, tables: &'t Tables) -> Option<BrokenOut<'t>> {
    let (a, b) = (interface(near, tables)?, interface(far, tables)?);
    let (row, near_is_parent) = tables.breakout_between(&a.key, &b.key)?;
    let (parent, child) = if near_is_parent { (near, far) } else { (far, near) };
    let fibers = if near_is_parent { b.value.fibers } else { a.value.fibers };
    Some(BrokenOut { row, near_is_parent, lane: parent.lane.or(child.lane), fibers })
}

fn interface<'t>(side: &Side<'_>, tables: &'t Tables) -> Option<&'t Row<Interface>> {
    side.optic?.interface(tables)
}

/// Whether a lane is stated of either end, or the table knows the two as a breakout.
pub fn is_broken_out(near: &Side<'_>, far: &Side<'_>, tables: &Tables) -> bool {
    near.lane.is_some() || far.lane.is_some() || broken_out(near, far, tables).is_some()
}

/// What is taken for granted of two ends that face each other by a breakout, in words.
pub fn assumed(near: &Side<'_>, far: &Side<'_>, tables: &Tables) -> Vec<String> {
    let Some(known) = broken_out(near, far, tables) else { return Vec::new() };
    let Breakout { parent, lanes, child, levels } = &known.row.value;
    let port = if known.near_is_parent { near.name } else { far.name };
    let mut assumed = Vec::new();
    if known.lane.is_none() {
        assumed.push(format!(
            "`{port}` is broken out into {lanes} x {child}, and this is one of them: no lane is stated"
        ));
    }
    if let Some(levels) = levels.as_ref().filter(|levels| *levels != parent) {
        assumed.push(format!("each lane of {parent} keeps the levels of {levels}"));
    }
    assumed
}
