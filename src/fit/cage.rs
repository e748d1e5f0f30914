//! Whether a module seats and works in a cage.

use super::facts::Side;
use crate::tables::{CageFit, Condition, FormFactor, Optic, Role, Row, Seats, Tables, Works};
use crate::units::GigabitsPerSecond;

/// Rates of one name differ a little by line coding: 10, 10.3 and 10.7 are the 10G of a cage.
const SAME_RATE: f64 = 0.1;

/// What is to be said of a module in a cage.
#[derive(Debug, Clone, PartialEq)]
pub enum Caged<'t> {
    /// It seats and works.
    Works {
        /// The form factor.
        form: &'t str,
        /// Whether it was assumed, for none is stated.
        assumed: bool,
    },
    /// No form factor that this cage takes carries this optic.
    NoForm {
        /// The form factors that carry it.
        carried_by: Vec<&'t str>,
    },
    /// It does not seat, or only with an adapter.
    DoesNotSeat {
        /// Its form factor.
        form: &'t str,
        /// Why.
        why: &'t str,
    },
    /// It seats and stays dead.
    Dead {
        /// Its form factor.
        form: &'t str,
        /// Why.
        why: String,
    },
    /// Whether it works depends on a datum that is missing.
    Undecided {
        /// Its form factor.
        form: &'t str,
        /// What it depends on.
        why: &'t str,
        /// The datum.
        datum: &'static str,
    },
    /// Nothing can be said, for this datum is missing.
    NotStated(&'static str),
}

/// Whether the module of a port seats and works in its cage.
pub fn caged<'t>(side: &Side<'t>, tables: &'t Tables) -> Caged<'t> {
    let Some(cage) = side.cage else { return Caged::NotStated("the cage of the port") };
    let same = side.form.is_none_or(|form| form.key == cage.key);
    if !cage.value.pluggable && same {
        return Caged::Works { form: &cage.key, assumed: side.form.is_none() };
    }
    let Some(form) = side.form else { return assumed(side, cage, tables) };
    let told = stated(side, cage, form, tables);
    if !matches!(told, Caged::Undecided { .. }) {
        return told;
    }
    // What no form factor that the cage takes could carry is not made possible by naming one.
    match assumed(side, cage, tables) {
        known @ (Caged::NoForm { .. } | Caged::DoesNotSeat { .. }) => known,
        _ => told,
    }
}

/// A module whose form factor is stated.
fn stated<'t>(
    side: &Side<'t>,
    cage: &'t Row<FormFactor>,
    form: &'t Row<FormFactor>,
    tables: &'t Tables,
) -> Caged<'t> {
    let form_name = form.key.as_str();
    let Some(fit) = tables.cage_fit(&cage.key, form_name) else {
        return Caged::Undecided {
            form: form_name,
            why: "no row of the table `cages` speaks of this pair",
            datum: "a row of the table `cages` for this cage and form factor",
        };
    };
    judged(side, cage, (form_name, false), &fit.value, tables)
}

/// A module of which only the optic is known: the form factor is that of the cage if it carries the
/// optic, else any that the cage takes.
fn assumed<'t>(side: &Side<'t>, cage: &'t Row<FormFactor>, tables: &'t Tables) -> Caged<'t> {
    let Some(signal) = Signal::of_side(side, tables) else {
        return Caged::NotStated("the form factor of the module");
    };
    let carried: Vec<&Row<FormFactor>> =
        tables.form_factors.rows().iter().filter(|form| carries(&form.value, signal)).collect();
    let own = carried.iter().find(|form| form.key == cage.key);
    let others = carried.iter().filter(|form| form.key != cage.key);
    let mut found: Option<Caged<'t>> = None;
    for form in own.into_iter().chain(others) {
        let Some(fit) = tables.cage_fit(&cage.key, &form.key) else { continue };
        let answer = judged(side, cage, (&form.key, true), &fit.value, tables);
        match answer {
            Caged::Works { .. } => return answer,
            Caged::DoesNotSeat { .. } => {}
            _ => found = found.or(Some(answer)),
        }
    }
    let carried_by = || carried.iter().map(|form| form.key.as_str()).collect();
    found.unwrap_or_else(|| Caged::NoForm { carried_by: carried_by() })
}

fn judged<'t>(
    side: &Side<'t>,
    cage: &'t Row<FormFactor>,
    (form, assumed): (&'t str, bool),
    fit: &'t CageFit,
    tables: &Tables,
) -> Caged<'t> {
    let why = fit.why.as_str();
    match (fit.seats, fit.works) {
        (Seats::No | Seats::WithAdapter, _) => Caged::DoesNotSeat { form, why },
        (Seats::Yes, Works::No) => Caged::Dead { form, why: why.to_string() },
        (Seats::Yes, Works::Depends) => conditional(side, cage, (form, assumed), fit, tables),
        // It works unless its condition is known to be broken.
        (Seats::Yes, Works::Yes) => match conditional(side, cage, (form, assumed), fit, tables) {
            Caged::Undecided { .. } => Caged::Works { form, assumed },
            known => known,
        },
    }
}

/// A module that works on a condition.
fn conditional<'t>(
    side: &Side<'t>,
    cage: &'t Row<FormFactor>,
    (form, assumed): (&'t str, bool),
    fit: &'t CageFit,
    tables: &Tables,
) -> Caged<'t> {
    let undecided = |datum| Caged::Undecided { form, why: &fit.why, datum };
    let (of_port, of_module) = match fit.condition {
        Condition::None => return Caged::Works { form, assumed },
        Condition::SameTop => return undecided("the heat-sink style of cage and module"),
        Condition::PortRate => (true, false),
        Condition::ModuleRate => (false, true),
        Condition::BothRates => (true, true),
    };
    let Some(signal) = Signal::of_side(side, tables) else {
        return undecided("the rate of the module");
    };
    let rate = signal.rate;
    if of_module && !carries(&cage.value, signal) {
        let why = format!("{}; {} runs at {rate}", fit.why, side.optic_name());
        return Caged::Dead { form, why };
    }
    // The rates of a PON are those of its class, and not the ones a port is set to.
    if !of_port || side.optic.is_some_and(|optic| optic.role != Role::Peer) {
        return Caged::Works { form, assumed };
    }
    let rates = side.port_rates();
    if rates.is_empty() {
        return undecided("the rate the port is set to, or its card");
    }
    if rates.iter().any(|of_port| is_same_rate(*of_port, rate)) {
        return Caged::Works { form, assumed };
    }
    let rates: Vec<String> = rates.iter().map(ToString::to_string).collect();
    let why = format!("{}; the port has {}, the module {rate}", fit.why, rates.join(" and "));
    Caged::Dead { form, why }
}

/// What a module has to carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Signal {
    /// The data rate of all lanes together.
    pub rate: GigabitsPerSecond,
    /// Wavelengths or fibers each way.
    pub lanes: u16,
}

impl Signal {
    /// That of an optic whose rate is known.
    pub fn of(optic: &Optic, tables: &Tables) -> Option<Self> {
        Some(Self { rate: optic.rate(tables)?, lanes: optic.lanes(tables) })
    }

    /// That of the module of a port: of one that is not optical as its name says it, in as many lanes as
    /// stand behind its word (`CR4`), else one.
    fn of_side(side: &Side<'_>, tables: &Tables) -> Option<Self> {
        if let Some(optic) = side.optic {
            return Self::of(optic, tables);
        }
        let rate = side.link_rate(tables)?;
        let words = side.written.split(|c: char| !c.is_ascii_alphanumeric());
        let mut lanes = words.filter_map(|word| {
            let digits = word.trim_start_matches(|c: char| c.is_ascii_alphabetic());
            (digits.len() < word.len()).then(|| digits.parse::<u16>().ok()).flatten()
        });
        Some(Self {
            rate,
            lanes: lanes.next_back().filter(|lanes| (1..=16).contains(lanes)).unwrap_or(1),
        })
    }
}

/// Whether modules of a form factor carry a signal: its rate, and no more optical lanes than the
/// module has electrical ones (0 = not known).
pub fn carries(form: &FormFactor, signal: Signal) -> bool {
    let lanes = form.host_lanes == 0 || signal.lanes <= form.host_lanes;
    form.pluggable && lanes && form.carries(signal.rate) == Some(true)
}

/// Whether a module of a form factor may be made for a signal: there are modules of several rates,
/// and the lower one is then that of a smaller form factor of the family.
pub fn may_carry(form: &FormFactor, signal: Signal, tables: &Tables) -> bool {
    let slower = form.least_rate.is_some_and(|least| signal.rate < least);
    let family = tables.form_factors.rows().iter().filter(|row| row.value.family == form.family);
    let smaller =
        || family.map(|row| &row.value).any(|other| carries(other, signal) && drives(other, signal));
    carries(form, signal) || (form.pluggable && slower && !form.family.is_empty() && smaller())
}

/// Whether the electrical lanes of a form factor drive the optical ones: each by one of its own, or
/// all of them gathered. A first QSFP of four lanes at 5 Gbit/s has no lane for 10 Gbit/s.
fn drives(form: &FormFactor, signal: Signal) -> bool {
    let Some(lane) = form.lane_rate.filter(|_| form.host_lanes > 0) else { return true };
    let optical = signal.rate.value() / f64::from(signal.lanes.max(1));
    let all = lane.value() * f64::from(form.host_lanes);
    optical <= lane.value() * (1.0 + SAME_RATE) || signal.rate.value() >= all * (1.0 - SAME_RATE)
}

/// Whether two rates are one by name.
pub fn is_same_rate(a: GigabitsPerSecond, b: GigabitsPerSecond) -> bool {
    (a.value() - b.value()).abs() <= SAME_RATE * a.value().max(b.value())
}
