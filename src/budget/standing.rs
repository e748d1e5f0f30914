//! Where a whole plan stands: every home, link and port in exactly one count.

use super::Verdict;

/// Where one home, link or port ends up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum State {
    /// Light arrives, or is sent and arrives; the worst verdict of its ends.
    Judged(Verdict),
    /// It has an optic, and fiber is attached, but no light of its system reaches it or anybody behind it.
    NoLight,
    /// It has an optic, but no fiber is attached.
    NoFiber,
    /// Fiber is attached, but no optic is stated.
    NoOptic,
    /// No table knows its optic, so that nothing can be said.
    UnknownOptic,
    /// Another datum is missing, so that nobody can tell whether light reaches it.
    NoDatum,
    /// Stated as not connected, and not judged with an assumed optic either.
    NotConnected,
    /// Its module is no optic: copper, or a cable with its ends fixed.
    NotOptical,
    /// A port with neither optic nor fiber.
    Free,
}

impl State {
    /// What it means for the whole: a dark end fails, what cannot be judged is unknown, what is stated as
    /// unused says nothing.
    pub const fn verdict(self) -> Option<Verdict> {
        match self {
            Self::Judged(verdict) => Some(verdict),
            Self::NoLight => Some(Verdict::Fail),
            Self::NoFiber | Self::NoOptic | Self::UnknownOptic | Self::NoDatum => Some(Verdict::Unknown),
            Self::NotConnected | Self::NotOptical | Self::Free => None,
        }
    }

    /// The words of a count.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Judged(verdict) => verdict.word(),
            Self::NoLight => "without light",
            Self::NoFiber => "without a fiber",
            Self::NoOptic => "without an optic",
            Self::UnknownOptic => "with an unknown optic",
            Self::NoDatum => "with a datum missing",
            Self::NotConnected => "not connected",
            Self::NotOptical => "not optical",
            Self::Free => "free",
        }
    }

    /// All states in the order in which they are counted, the gravest first.
    pub const ALL: [Self; 13] = [
        Self::Judged(Verdict::Fail),
        Self::Judged(Verdict::Overload),
        Self::Judged(Verdict::Unknown),
        Self::NoLight,
        Self::NoFiber,
        Self::NoOptic,
        Self::UnknownOptic,
        Self::NoDatum,
        Self::Judged(Verdict::Marginal),
        Self::Judged(Verdict::Pass),
        Self::NotConnected,
        Self::NotOptical,
        Self::Free,
    ];
}

/// How many homes, links or ports are in each state.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tally {
    counts: [u32; State::ALL.len()],
}

impl Tally {
    /// Counts one.
    pub fn add(&mut self, state: State) {
        if let Some(at) = State::ALL.iter().position(|known| *known == state) {
            self.counts[at] += 1;
        }
    }

    /// How many there are in all.
    pub fn total(&self) -> u32 {
        self.counts.iter().sum()
    }

    /// How many are in a state.
    pub fn of(&self, state: State) -> u32 {
        State::ALL.iter().zip(self.counts).find(|(known, _)| **known == state).map_or(0, |(_, n)| n)
    }

    /// The states that occur, gravest first, with their counts.
    pub fn counted(&self) -> impl Iterator<Item = (State, u32)> + '_ {
        State::ALL.into_iter().zip(self.counts).filter(|(_, count)| *count > 0)
    }

    /// The worst that is said of any of them; `None` where nothing is said.
    pub fn verdict(&self) -> Option<Verdict> {
        self.counted().filter_map(|(state, _)| state.verdict()).max()
    }
}

/// Where a plan stands.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Standing {
    /// The verdict of the whole: the worst of every home, link and port, and of what the rules say of the
    /// plan itself; `None` before the rules have spoken, or where nothing is there to be judged.
    pub verdict: Option<Verdict>,
    /// ONTs and ONUs at premises.
    pub homes: Tally,
    /// Pairs of equipment ports that face each other.
    pub links: Tally,
    /// Ports of equipment.
    pub ports: Tally,
    /// Homes not connected yet that were judged with an assumed optic.
    pub assumed: u32,
    /// Ids of rules that speak against the plan as a whole.
    pub against: Vec<&'static str>,
    /// Sets of ids of rules that decided verdicts; [`super::End::why`] is an index into them, and the
    /// first is empty.
    pub whys: Vec<Vec<&'static str>>,
    /// The state of every port of the plan, by its index.
    pub port_states: Vec<State>,
}
