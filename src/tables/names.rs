//! The index of all spellings of interface types and PON classes, and the words that stand beside
//! them: form factors, rates, reaches, wavelengths.

use std::sync::OnceLock;

use rustc_hash::FxHashMap;

use super::{Interface, RowId, Tables};
use crate::units::{GigabitsPerSecond, Kilometers, Nanometers};

/// The spellings of interface types and PON classes. They are gathered when they are first asked
/// for: most runs find every optic by its own name.
#[derive(Debug, Clone, Default)]
pub struct InterfaceNames(OnceLock<Index>);

impl InterfaceNames {
    pub(super) fn of(&self, tables: &Tables) -> &Index {
        self.0.get_or_init(|| Index::of(tables))
    }
}

/// Every spelling in its normal form.
#[derive(Debug, Clone, Default)]
pub(super) struct Index {
    /// What names one optic: a name that `Optic::find` knows.
    optics: FxHashMap<String, String>,
    /// What the alias table spells.
    spellings: FxHashMap<String, Vec<RowId>>,
    /// Interface types by their own names, for a name with words beside it.
    interfaces: FxHashMap<String, [RowId; 1]>,
    /// Form factors.
    forms: FxHashMap<String, RowId>,
}

/// What stands beside the name of an interface type.
#[derive(Debug, Clone, Default)]
pub(super) struct Qualifiers {
    pub form: Option<RowId>,
    pub rate: Option<GigabitsPerSecond>,
    pub reach: Option<Kilometers>,
    /// What is sent, and what is received: of two wavelengths the first is the one sent.
    pub wavelengths: [Option<Nanometers>; 2],
}

impl Qualifiers {
    /// Whether an interface type can be meant: its rate is the stated one, it reaches as far, it
    /// works at the wavelengths. What the interface does not state does not speak against it.
    pub fn allow(&self, interface: &Interface) -> bool {
        let same_rate = self.rate.is_none_or(|rate| interface.rate.is_none_or(|own| own == rate));
        let reaches: Vec<Kilometers> = interface
            .reach_single_mode
            .into_iter()
            .chain(interface.reach_multimode.into_iter().flatten())
            .collect();
        let far = |reach| reaches.is_empty() || reaches.iter().any(|own| *own >= reach);
        let [sent, received] = self.wavelengths;
        let sends = |at| within(at, interface.transmit.iter().map(|band| (band.shortest, band.longest)));
        let receives = |at| within(at, interface.receive.iter().copied());
        same_rate
            && self.reach.is_none_or(far)
            && sent.is_none_or(sends)
            && received.is_none_or(receives)
    }

    /// Takes a word in its normal form that states a rate, a reach or a wavelength, or says nothing.
    /// A second word of a kind that says something else is not taken.
    fn take(&mut self, word: &str) -> bool {
        if let Some(rate) = rate(word) {
            return *self.rate.get_or_insert(rate) == rate;
        }
        if let Some(reach) = reach(word) {
            return *self.reach.get_or_insert(reach) == reach;
        }
        if let Some((side, wavelength)) = wavelength(word) {
            let first_free = || self.wavelengths.iter().position(Option::is_none);
            let Some(place) = side.or_else(first_free) else { return false };
            return *self.wavelengths[place].get_or_insert(wavelength) == wavelength;
        }
        matches!(word, "OPTIC" | "MODULE" | "TRANSCEIVER" | "ETHERNET")
    }
}

/// Whether a wavelength lies in one of some ranges, or may: they are not known.
fn within(at: Nanometers, ranges: impl Iterator<Item = (Nanometers, Nanometers)>) -> bool {
    let mut known = ranges.peekable();
    known.peek().is_none() || known.any(|(shortest, longest)| shortest <= at && at <= longest)
}

impl Index {
    fn of(tables: &Tables) -> Self {
        let mut index = Self::default();
        for (id, row) in ids(tables.interfaces.rows()) {
            for name in row.aliases.iter().chain([&row.key]) {
                index.optics.insert(normal(name), row.key.clone());
                index.interfaces.insert(normal(name), [id]);
            }
        }
        for row in tables.pon_classes.rows() {
            let (system, class) = (&row.value.system, &row.value.class);
            for name in row.aliases.iter().chain([&row.key]) {
                index.optics.entry(normal(name)).or_insert_with(|| row.key.clone());
            }
            for (side, written) in [("OLT", "OLT"), ("ONU", "ONU"), ("ONU", "ONT")] {
                let optic = format!("{system}-{side}-{class}");
                for name in [[system.as_str(), written, class], [system, class, written]] {
                    index.optics.entry(normal(&name.concat())).or_insert_with(|| optic.clone());
                }
            }
        }
        for row in tables.interface_aliases.rows() {
            let named = row.value.interfaces.iter().filter_map(|name| tables.interfaces.find(name));
            index.spellings.insert(normal(&row.key), named.collect());
        }
        for (id, row) in ids(tables.form_factors.rows()) {
            for name in row.aliases.iter().chain([&row.key]) {
                index.forms.insert(normal(name), id);
            }
        }
        index
    }

    /// The optic whose own name this is.
    pub fn optic(&self, written: &str) -> Option<&str> {
        self.optics.get(&normal(written)).map(String::as_str)
    }

    /// What the alias table says of a spelling.
    pub fn spelled(&self, written: &str) -> Option<&[RowId]> {
        self.spellings.get(&normal(written)).map(Vec::as_slice)
    }

    /// The interface types of a name or spelling in its normal form.
    pub fn interfaces(&self, core: &str) -> Option<&[RowId]> {
        let own = self.interfaces.get(core).map(<[RowId; 1]>::as_slice);
        own.or_else(|| self.spellings.get(core).map(Vec::as_slice))
    }

    /// A written name without the words that say something else, in its normal form, and what those
    /// words say; `None` where they name two form factors.
    pub fn taken_apart(&self, written: &str) -> Option<(String, Qualifiers)> {
        let words = words(written);
        let (mut core, mut qualifiers) = (String::new(), Qualifiers::default());
        let mut rest = words.as_slice();
        while let Some(word) = rest.first() {
            let mut taken = 1;
            if let Some((id, count)) = self.form_at(rest) {
                if *qualifiers.form.get_or_insert(id) != id {
                    return None;
                }
                taken = count;
            } else if !qualifiers.take(word) {
                core.push_str(word);
            }
            rest = &rest[taken..];
        }
        // Two wavelengths and nothing else: one fiber, one wavelength each way.
        if core.is_empty() && qualifiers.wavelengths.iter().all(Option::is_some) {
            core.push_str("BIDI");
        }
        Some((core, qualifiers))
    }

    /// A form factor in the first words, the longest there is, and how many words it takes.
    fn form_at(&self, words: &[String]) -> Option<(RowId, usize)> {
        (1..=words.len().min(3))
            .rev()
            .find_map(|count| Some((*self.forms.get(&words[..count].concat())?, count)))
    }

    /// The names nearest to one that is not known, of its rate and kind: what sounds alike and is
    /// another thing would be a hint to plug it.
    pub fn nearest(&self, written: &str) -> Vec<&str> {
        const NEAR: f64 = 0.8;
        const MOST: usize = 3;
        // What is longer than any name is no slip of one, and is long to compare.
        const LONGEST: usize = 60;
        if written.len() > LONGEST {
            return Vec::new();
        }
        let sought = normal(written);
        let mut near: Vec<(f64, &str)> = self
            .optics
            .iter()
            .map(|(spelling, name)| (strsim::jaro_winkler(&sought, spelling), name.as_str()))
            .filter(|(likeness, name)| *likeness >= NEAR && self.may_mean(written, name))
            .collect();
        near.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        let mut names: Vec<&str> = Vec::with_capacity(MOST);
        for (_, name) in near {
            if names.len() < MOST && !names.contains(&name) {
                names.push(name);
            }
        }
        names
    }

    /// Whether a name may be a slip of another: both say the same rate where both say one, and what is
    /// left begins alike (`LRX` of `LR`, never `T` of `EX`).
    fn may_mean(&self, written: &str, name: &str) -> bool {
        let apart = |name: &str| {
            let (core, said) = self.taken_apart(&name.to_uppercase().replace("BASE", "BASE-"))?;
            Some((core.chars().next(), said.rate))
        };
        let (Some((first, rate)), Some((kind, own))) = (apart(written), apart(name)) else {
            return false;
        };
        first == kind && rate.zip(own).is_none_or(|(a, b)| a == b)
    }
}

/// `10G`, `10GE`, `10GBE`, `10GBASE`, `100M`, `1000BASE`, `GE`, `FE`.
fn rate(word: &str) -> Option<GigabitsPerSecond> {
    let value = match word {
        "GE" | "GBE" | "GIGE" | "1.25G" => 1.0,
        "FE" => 0.1,
        _ => {
            let end = word.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(word.len());
            let number: f64 = word[..end].parse().ok()?;
            match &word[end..] {
                "G" | "GE" | "GBE" | "GBASE" | "GBITS" | "GBPS" => number,
                "M" if number >= 100.0 => number / 1000.0,
                "BASE" => number / 1000.0,
                _ => return None,
            }
        }
    };
    Some(GigabitsPerSecond::new(value))
}

/// `10KM`. What ends in `M` alone could be a rate.
fn reach(word: &str) -> Option<Kilometers> {
    let kilometers: f64 = word.strip_suffix("KM")?.parse().ok()?;
    Some(Kilometers::new(kilometers))
}

/// `1310NM`, `1310`, `TX1310`, `RX1490`, with the side where it is said: 0 is sent, 1 received.
fn wavelength(word: &str) -> Option<(Option<usize>, Nanometers)> {
    let sides = [("TX", 0), ("RX", 1)];
    let said = sides.iter().find_map(|(side, place)| Some((*place, word.strip_prefix(side)?)));
    let number = said.map_or(word, |(_, number)| number);
    let number: f64 = number.strip_suffix("NM").unwrap_or(number).parse().ok()?;
    let at = (800.0..=1700.0).contains(&number).then(|| Nanometers::new(number))?;
    Some((said.map(|(place, _)| place), at))
}

fn ids<T>(rows: &[T]) -> impl Iterator<Item = (RowId, &T)> {
    rows.iter().enumerate().map(|(index, row)| (RowId(index as u32), row))
}

/// The words of a name in their normal form; a number and its unit are one word.
fn words(written: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in written.split(parts_words).filter(|word| !word.is_empty()).map(normal) {
        let unit = matches!(word.as_str(), "KM" | "NM" | "G" | "GE" | "GBITS" | "GBPS");
        match words.last_mut().filter(|last| unit && last.parse::<f64>().is_ok()) {
            Some(number) => number.push_str(&word),
            None => words.push(word),
        }
    }
    words
}

/// What parts the words of a name.
fn parts_words(c: char) -> bool {
    c.is_whitespace()
        || matches!(c, '_' | '-' | '/' | '(' | ')' | ',' | '\u{2010}'..='\u{2015}' | '\u{2212}')
}

/// The form in which spellings are compared: upper case, without what parts words.
fn normal(name: &str) -> String {
    name.chars().filter(|c| !parts_words(*c)).flat_map(char::to_uppercase).collect()
}
