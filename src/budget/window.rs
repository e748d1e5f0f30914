//! The loss window that two optics allow each other, in one direction.

use crate::tables::{Breakout, Family, Grade, Interface, LevelTerms, Optic, PonClass, Role, Tables};
use crate::units::{DecibelMilliwatts, Decibels};

/// What a window rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// Mean levels of a PON class, its path penalty taken off.
    ClassLevels,
    /// The loss range a PON class states; its levels are not known or not in mean power.
    ClassRange,
    /// The channel insertion loss an interface states.
    ChannelLoss,
    /// Mean launch against the least mean power at the far receiver.
    MeanLevels,
    /// Launch in modulation amplitude less its penalty against the far sensitivity in the same terms.
    AmplitudeLevels,
    /// The channel insertion loss that the table `breakouts` lets each lane have.
    Breakout,
    /// Neither levels nor a loss range are known.
    Unknown,
}

impl Basis {
    /// A few words for results.
    pub const fn words(self) -> &'static str {
        match self {
            Self::ClassLevels => "class levels less path penalty",
            Self::ClassRange => "loss range of the class",
            Self::ChannelLoss => "channel insertion loss of the interface",
            Self::MeanLevels => "mean launch less far receive minimum",
            Self::AmplitudeLevels => "launch less penalty against sensitivity, in OMA",
            Self::Breakout => "channel insertion loss of a broken-out lane",
            Self::Unknown => "not known",
        }
    }
}

/// The losses between which a receiver works, and the levels they come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Least loss: below it the receiver gets too much. `None` = not known.
    pub min: Option<Decibels>,
    /// Greatest loss: beyond it the receiver gets too little. `None` = not known.
    pub max: Option<Decibels>,
    /// What it rests on.
    pub basis: Basis,
    /// Least and most launch power per lane.
    pub launch: [Option<DecibelMilliwatts>; 2],
    /// Receiver sensitivity (PON) or least mean power at the receiver (interfaces).
    pub sensitivity: Option<DecibelMilliwatts>,
    /// Receiver overload.
    pub overload: Option<DecibelMilliwatts>,
    /// Damage level of the receiver.
    pub damage: Option<DecibelMilliwatts>,
    /// Optical path penalty between launch and sensitivity (PON classes).
    pub penalty: Option<Decibels>,
    /// Least loss the class or interface states for itself, where the levels would allow less.
    pub stated_min: Option<Decibels>,
    /// Whether both ends are of one class or interface type, or declared mates.
    pub same_kind: bool,
}

impl Window {
    /// Nothing is known.
    const UNKNOWN: Self = Self {
        min: None,
        max: None,
        basis: Basis::Unknown,
        launch: [None, None],
        sensitivity: None,
        overload: None,
        damage: None,
        penalty: None,
        stated_min: None,
        same_kind: false,
    };
}

/// The window from one transmitter to one receiver.
///
/// Two PON optics must be of one system; two optics of unlike families have no window. `grade` is that of the
/// multimode fiber between them; `None` = not known, and the strictest limits hold.
pub fn window(tables: &Tables, transmitter: &Optic, receiver: &Optic, grade: Option<Grade>) -> Window {
    match (transmitter.family, receiver.family) {
        (Family::Pon(a), Family::Pon(b)) => {
            let (a_row, b_row) = (&tables.pon_classes.row(a).value, &tables.pon_classes.row(b).value);
            if a_row.system != b_row.system || transmitter.role == receiver.role {
                return Window::UNKNOWN;
            }
            pon_window(transmitter, receiver, a_row, b_row)
        }
        (Family::Interface(a), Family::Interface(b)) => {
            let (a_row, b_row) = (tables.interfaces.row(a), tables.interfaces.row(b));
            if let Some((row, parent_sends)) = tables.breakout_between(&a_row.key, &b_row.key) {
                let ends = if parent_sends { [transmitter, receiver] } else { [receiver, transmitter] };
                if let Some(window) = broken_out(tables, &row.value, ends, parent_sends, grade) {
                    return window;
                }
            }
            let mates = a == b
                || a_row.value.mates_with.iter().any(|mate| mate.eq_ignore_ascii_case(&b_row.key));
            let rows = (&a_row.value, &b_row.value);
            interface_window((transmitter, receiver), rows, a == b, mates, grade)
        }
        _ => Window::UNKNOWN,
    }
}

/// Tx min - sensitivity - penalty, not more than the class states; tx max - overload.
fn pon_window(tx: &Optic, rx: &Optic, tx_class: &PonClass, rx_class: &PonClass) -> Window {
    let down = tx.role == Role::Olt;
    let of = |class: &PonClass| {
        if down {
            (class.max_loss_down, class.penalty_down)
        } else {
            (class.max_loss_up, class.penalty_up)
        }
    };
    let same_kind = tx_class == rx_class;
    let penalty = match (of(tx_class).1, of(rx_class).1) {
        (Some(a), Some(b)) => Some(a.max(b)),
        _ => None,
    };
    let mean = [tx_class, rx_class].iter().all(|class| matches!(class.levels, Some(LevelTerms::Mean)));
    let by_levels = match (tx.launch[0], rx.receive_least, penalty) {
        (Some(launch), Some(sensitivity), Some(penalty)) if mean => Some(launch - sensitivity - penalty),
        _ => None,
    };
    let stated = if same_kind { of(tx_class).0 } else { None };
    let least_by_levels = match (tx.launch[1], rx.overload) {
        (Some(launch), Some(overload)) if mean => Some((launch - overload).max(Decibels::ZERO)),
        _ => None,
    };
    let stated_min = if same_kind { tx_class.min_loss } else { None };
    let max = match (by_levels, stated) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    let basis = match (by_levels, max) {
        (Some(_), _) => Basis::ClassLevels,
        (None, Some(_)) => Basis::ClassRange,
        (None, None) => Basis::Unknown,
    };
    Window {
        min: least_by_levels.or(stated_min),
        max,
        basis,
        launch: tx.launch,
        sensitivity: rx.receive_least,
        overload: rx.overload,
        damage: rx.damage,
        penalty,
        stated_min,
        same_kind,
    }
}

/// The window of one lane of a breakout, from the parent to the child or back: the lane of the parent
/// keeps the levels of the interface that the table names, the child those of its own row; and no more
/// is lost than any of the three rows allows. `None` where the table names no interface.
fn broken_out(
    tables: &Tables,
    breakout: &Breakout,
    [parent, child]: [&Optic; 2],
    parent_sends: bool,
    grade: Option<Grade>,
) -> Option<Window> {
    let id = tables.interfaces.find(breakout.levels.as_ref()?)?;
    let levels = tables.interfaces.row(id);
    let lane = Optic::of_interface(levels, id);
    let (parent_row, child_row) = (&parent.interface(tables)?.value, &child.interface(tables)?.value);
    let (optics, rows) = if parent_sends {
        ((&lane, child), (&levels.value, child_row))
    } else {
        ((child, &lane), (child_row, &levels.value))
    };
    let own = interface_window(optics, rows, false, true, grade);
    let stated = levels.value.max_channel_loss.limit(grade).map(|most| {
        let others =
            [parent_row, child_row].into_iter().filter_map(|row| row.max_channel_loss.limit(grade));
        others.fold(most, Decibels::min)
    });
    Some(match stated {
        Some(most) => Window { max: Some(most), basis: Basis::Breakout, ..own },
        None => own,
    })
}

fn interface_window(
    optics: (&Optic, &Optic),
    rows: (&Interface, &Interface),
    same: bool,
    mates: bool,
    grade: Option<Grade>,
) -> Window {
    let (tx, rx) = optics;
    let mean = mean_window(tx, rx);
    // What an interface budgets beyond its penalties is for the channel.
    let by_budget = || Some(rows.0.power_budget? - rows.0.penalty.penalty(grade)?);
    let (max, basis) = match rows.0.max_channel_loss.limit(grade).or_else(by_budget) {
        Some(stated) if same || (mates && rows.0.fibers == 1) => (Some(stated), Basis::ChannelLoss),
        _ => unlike_max(optics, rows, grade),
    };
    let stated_min = rows.1.min_channel_loss.filter(|_| same || mates);
    let min = match (mean, stated_min) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (a, b) => a.or(b),
    };
    Window {
        min,
        max,
        basis,
        launch: tx.launch,
        sensitivity: rx.receive_least,
        overload: rx.overload,
        damage: rx.damage,
        penalty: None,
        stated_min,
        same_kind: same || mates,
    }
}

/// Tx max - overload in mean power, not below zero.
fn mean_window(tx: &Optic, rx: &Optic) -> Option<Decibels> {
    Some((tx.launch[1]? - rx.overload?).max(Decibels::ZERO))
}

/// The greatest loss between unlike interfaces. Systems that state modulation amplitude are judged
/// in those terms: their mean figures are informative only.
fn unlike_max(
    optics: (&Optic, &Optic),
    rows: (&Interface, &Interface),
    grade: Option<Grade>,
) -> (Option<Decibels>, Basis) {
    let amplitude = [rows.0, rows.1].iter().any(|row| row.levels == Some(LevelTerms::Oma));
    let mean = match (optics.0.launch[0], optics.1.receive_least) {
        (Some(launch), Some(least)) => Some(launch - least),
        _ => None,
    };
    if !amplitude {
        return (mean, if mean.is_some() { Basis::MeanLevels } else { Basis::Unknown });
    }
    let sensitivity = rows.1.sensitivity.filter(|s| s.1 == Some(LevelTerms::Oma)).map(|s| s.0);
    // A launch that states no figure less its penalty has at least its least amplitude and at most the
    // penalty that the budget allows for.
    let stated = rows.0.launch_oma_less_penalty;
    let launch = stated.or_else(|| Some(rows.0.launch_oma? - rows.0.penalty.penalty(grade)?));
    match (launch, sensitivity) {
        (Some(launch), Some(sensitivity)) => {
            let by_amplitude = launch - sensitivity;
            (Some(mean.map_or(by_amplitude, |mean| mean.min(by_amplitude))), Basis::AmplitudeLevels)
        }
        _ => (None, Basis::Unknown),
    }
}
