//! What a receiver should read: the far transmitter's level less the path and the attenuator.

use super::facts::At;
use crate::units::Decibels;

/// The loss between two rows as they state it, with the attenuator at the receiver.
pub(super) fn loss(near: &At<'_>, far: &At<'_>) -> Option<Decibels> {
    let path = near.row.path_loss().or_else(|| far.row.path_loss())?;
    Some(path + near.row.attenuator().unwrap_or_default())
}

/// How much less than expected `near` reads from `far`, and how far the meters may be off together.
///
/// Where the far transmitter is not read, the limits of its class take its place: less is then counted
/// from the least that it sends, more from the most.
pub(super) fn excess(near: &At<'_>, far: &At<'_>) -> Option<(Decibels, Decibels)> {
    let received = near.row.receive()?;
    let loss = loss(near, far)?;
    if let Some(sent) = far.row.transmit() {
        return Some((sent - received - loss, near.sight.limits.meters(2)));
    }
    let off = near.sight.limits.meters(1);
    let [least, most] = far.profile.optic.as_ref()?.launch;
    let short = least.map(|least| least - received - loss);
    let over = most.map(|most| most - received - loss);
    if let Some(short) = short.filter(|short| short.value() > off.value()) {
        return Some((short, off));
    }
    over.filter(|over| over.value() < -off.value()).map(|over| (over, off))
}
