//! The rules that plans are judged by, over rows: the same functions, given the facts of a row.
//!
//! What two rows say depends on their words alone, so outcomes are remembered by profile and by pair of
//! profiles: some thousand for a hundred million rows.

use rustc_hash::FxHashMap;

use crate::budget::window;
use crate::check::Rule;
use crate::check::fit_rules::{MATING_RULES, Outcome, PAIR_RULES, PairRule, SIDE_RULES, unknown_card};
use crate::check::inventory_rules::ENTRIES;
use crate::check::inventory_rules::facts::Allowed;
use crate::check::plan_facts::settled;
use crate::fit::facts::{Mating, Side, Way};
use crate::inventory::{Column, Profile};
use crate::plan::{Plug, PortKind};
use crate::tables::{FiberKind, FiberType, Grade, Role, Row as TableRow, Tables};
use crate::units::{GigabitsPerSecond, Kilometers};

/// A shared rule: which list it stands in, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shared {
    /// About one end.
    Side(usize),
    /// About two faces that meet.
    Mating(usize),
    /// About two ends.
    Pair(usize),
}

impl Shared {
    /// Its number in hits: behind the rules of inventories.
    pub fn number(self) -> u16 {
        let base = ENTRIES.len();
        let sides = SIDE_RULES.len();
        (base
            + match self {
                Self::Side(n) => n,
                Self::Mating(n) => sides + n,
                Self::Pair(n) => sides + MATING_RULES.len() + n,
            }) as u16
    }

    /// The shared rule of a number in hits.
    pub fn of(number: u16) -> Option<Self> {
        let n = usize::from(number).checked_sub(ENTRIES.len())?;
        let (sides, matings) = (SIDE_RULES.len(), MATING_RULES.len());
        if n < sides {
            return Some(Self::Side(n));
        }
        if n < sides + matings {
            return Some(Self::Mating(n - sides));
        }
        (n < sides + matings + PAIR_RULES.len()).then(|| Self::Pair(n - sides - matings))
    }

    /// The rule.
    pub fn rule(self) -> &'static Rule {
        match self {
            Self::Side(n) => SIDE_RULES[n].rule,
            Self::Mating(n) => MATING_RULES[n].rule,
            Self::Pair(n) => PAIR_RULES[n].rule,
        }
    }
}

/// The rule of a number in hits.
pub fn rule_of(number: u16) -> &'static Rule {
    match ENTRIES.get(usize::from(number)) {
        Some(entry) => entry.rule,
        None => Shared::of(number).map_or(ENTRIES[0].rule, Shared::rule),
    }
}

/// What a shared rule says of a row, or of a row and its far end.
pub fn outcome(shared: Shared, near: &Profile, far: &Profile, tables: &Tables) -> Outcome {
    match shared {
        Shared::Side(n) => (SIDE_RULES[n].judge)(&side(near, tables), tables),
        Shared::Mating(n) => {
            faces(near).map_or(Outcome::Idle, |faces| (MATING_RULES[n].judge)(&faces.mating(), tables))
        }
        Shared::Pair(n) => {
            let (a, b) = (side(near, tables), side(far, tables));
            (PAIR_RULES[n].judge)(&a, &b, &way(near, far, tables), tables)
        }
    }
}

/// The rules about one row that find fault with a profile.
pub fn of_profile(profile: &Profile, tables: &Tables) -> Vec<Shared> {
    let mut found = Vec::new();
    if profile.is_blank || profile.is_empty_slot {
        return found;
    }
    let own = side(profile, tables);
    let judged = settled(SIDE_RULES.iter().map(|one| (one.rule, one.unless, (one.judge)(&own, tables))));
    for (n, one) in judged.iter().enumerate() {
        // Operators name cards as they like: a card that no table has is no fault of the row.
        let own_name = std::ptr::eq(one.rule, &raw const unknown_card::RULE);
        if !own_name && is_hit(&one.outcome) {
            found.push(Shared::Side(n));
        }
    }
    if let Some(faces) = faces(profile) {
        for (n, one) in MATING_RULES.iter().enumerate() {
            if is_hit(&(one.judge)(&faces.mating(), tables)) {
                found.push(Shared::Mating(n));
            }
        }
    }
    found
}

/// The rules about two ends that find fault with a pair.
fn of_pair(near: &Profile, far: &Profile, tables: &Tables) -> Vec<Shared> {
    let (a, b, way) = (side(near, tables), side(far, tables), way(near, far, tables));
    let judge = |one: &PairRule| (one.rule, one.unless, (one.judge)(&a, &b, &way, tables));
    let judged = settled(PAIR_RULES.iter().map(judge));
    let hits = judged.iter().enumerate().filter(|(_, one)| is_hit(&one.outcome));
    hits.map(|(n, _)| Shared::Pair(n)).collect()
}

fn is_hit(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Hit { .. })
}

/// The facts of a row.
fn side<'t>(profile: &'t Profile, tables: &'t Tables) -> Side<'t> {
    let onu = profile.optic.as_ref().is_some_and(|optic| optic.role == Role::Onu);
    let mut side = Side::named("", if onu { PortKind::Ont } else { PortKind::Equipment });
    let some = |column| Some(profile.word(column)).filter(|word| !word.is_empty());
    side.written = profile.word(Column::Module);
    side.optic = profile.optic.as_ref();
    side.card_written = some(Column::CardType);
    side.card = some(Column::CardType).and_then(|card| tables.cards.get(card));
    let cage = some(Column::Cage).and_then(|cage| tables.form_factors.get(cage));
    let of_card = || side.card.and_then(|card| tables.form_factors.get(&card.value.cage));
    side.cage = cage.or_else(of_card);
    side.form = some(Column::Form).and_then(|form| tables.form_factors.get(form));
    side.temperature = some(Column::Grade).and_then(|grade| tables.temperature_ranges.get(grade));
    side.place = profile.site_class.place_kind();
    side.fec = some(Column::Fec);
    side.rate = None::<GigabitsPerSecond>;
    side
}

/// The faces that meet at a port: that of the jumper and that of the port or panel.
struct Faces {
    jumper: Plug,
    port: Plug,
}

impl Faces {
    fn mating(&self) -> Mating<'_> {
        Mating {
            at: String::new(),
            first_of: "the jumper".to_string(),
            first: &self.jumper,
            second_of: "the face it meets".to_string(),
            second: &self.port,
            through_adapter: false,
        }
    }
}

fn faces(profile: &Profile) -> Option<Faces> {
    let some = |column| Some(profile.word(column).to_uppercase()).filter(|word| !word.is_empty());
    let face = |polish| Plug { polish: Some(polish), ..Plug::default() };
    Some(Faces { jumper: face(some(Column::Polish)?), port: face(some(Column::PortPolish)?) })
}

/// The way between two rows, as far as their words tell.
fn way<'t>(near: &Profile, far: &Profile, tables: &'t Tables) -> Way<'t> {
    let mut way = Way::default();
    for profile in [near, far] {
        if let Some(fiber) = fiber(profile.word(Column::Fiber), tables)
            && way.fibers.last().is_none_or(|last| last.key != fiber.key)
        {
            way.fibers.push(fiber);
        }
    }
    way
}

/// The fiber type of a word. `SM` says the kind only, and stands for the usual type of that kind;
/// `MM` alone does not say which grade, and is not guessed.
pub fn fiber<'t>(word: &str, tables: &'t Tables) -> Option<&'t TableRow<FiberType>> {
    let folded: String =
        word.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_uppercase();
    match folded.as_str() {
        "" | "MM" | "MMF" | "MULTIMODE" => None,
        "SM" | "SMF" | "SINGLEMODE" | "OS2" | "OS1" => tables.fibers.get("G.652.D"),
        _ => {
            let grade =
                folded.strip_prefix("MM").or_else(|| folded.strip_prefix("SM")).unwrap_or(&folded);
            tables.fibers.get(word).or_else(|| tables.fibers.get(grade))
        }
    }
}

/// What has been judged already, by pair of profiles. Each thread has its own; equal questions have
/// equal answers.
#[derive(Default)]
pub struct Memory {
    pairs: FxHashMap<(u32, u32), Known>,
}

/// What is known of a pair of profiles.
pub struct Known {
    /// What is allowed from the second profile's transmitter to the first one's receiver.
    pub allowed: Allowed,
    hits: Option<Box<[Shared]>>,
}

impl Memory {
    /// What is known of two profiles.
    pub fn known(&mut self, ids: (u32, u32), profiles: &[Profile], tables: &Tables) -> &mut Known {
        self.pairs.entry(ids).or_insert_with(|| {
            let (near, far) = (&profiles[ids.0 as usize], &profiles[ids.1 as usize]);
            Known { allowed: allowed(near, far, tables).unwrap_or_default(), hits: None }
        })
    }
}

impl Known {
    /// The rules that find fault with the two ends.
    pub fn hits(&mut self, near: &Profile, far: &Profile, tables: &Tables) -> &[Shared] {
        self.hits.get_or_insert_with(|| of_pair(near, far, tables).into_boxed_slice())
    }
}

fn allowed(near: &Profile, far: &Profile, tables: &Tables) -> Option<Allowed> {
    let (receiver, transmitter) = (near.optic.as_ref()?, far.optic.as_ref()?);
    let row = fiber(near.word(Column::Fiber), tables);
    let window = window(tables, transmitter, receiver, row.and_then(|row| Grade::of(&row.key)));
    let most_sent = window.launch[1];
    let kind = row.map_or(FiberKind::SingleMode, |row| row.value.kind);
    let named = row.map_or("G.652.D", |row| &row.key);
    let interface = transmitter.interface(tables).map(|row| &row.value);
    let reach = match interface {
        Some(interface) => interface.reach(named, kind),
        None => transmitter.pon_class(tables).and_then(|row| row.value.reach),
    };
    let per_km = || {
        let at = transmitter.transmit.first()?.nominal;
        let (least, most) = tables.dispersion(named, at)?;
        let limits = interface?.dispersion;
        let by_most = limits[1].filter(|_| most.value() > 0.0).map(|limit| limit.value() / most.value());
        let by_least =
            limits[0].filter(|_| least.value() < 0.0).map(|limit| limit.value() / least.value());
        by_most.into_iter().chain(by_least).reduce(f64::min).map(Kilometers::new)
    };
    Some(Allowed {
        max: window.max,
        min: window.min,
        harmless: most_sent.zip(window.damage).map(|(sent, damage)| sent - damage),
        reach,
        dispersion: if kind == FiberKind::SingleMode { per_km() } else { None },
    })
}
