//! Every interface of the table over its own fiber at its own reach, facing itself or its mate: nothing
//! about belonging together may speak against it. Where the light does not close, the reason is listed.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use spanwright::check::Severity;
use spanwright::engine::fit::{Answer, Go};
use spanwright::read::tables::built_in;
use spanwright::tables::{FiberKind, Grade, Interface, Row, Tables};

use crate::bench::{over, port, rules};

static TABLES: LazyLock<std::sync::Arc<Tables>> = LazyLock::new(built_in);

/// Their channel loss is known and their overload is not: nothing can be promised of a hot day.
const NO_OVERLOAD: [&str; 6] =
    ["100BASE-SX", "50GBASE-ER", "200GBASE-ER4", "400GBASE-SR16", "400GBASE-SR4.2", "400GBASE-ER8"];

/// A product table of all eighteen colors: which one is sent stands with the module, not in the table.
const NO_COLOR_OF_ITS_OWN: [&str; 2] = ["CWDM-2.5G-40km", "CWDM-2.5G-80km"];

/// Neither levels nor a channel loss were recalled (practice parts and clauses of 2020 and later).
const NO_LOSS: [&str; 20] = [
    "1000BASE-BX-1310/1550",
    "1000BASE-BX-1550/1310",
    "10GBASE-LX4",
    "10GBASE-BR10-D",
    "10GBASE-BR10-U",
    "10GBASE-BR20-D",
    "10GBASE-BR20-U",
    "10GBASE-BR40-D",
    "10GBASE-BR40-U",
    "10GBASE-BX-1270",
    "10GBASE-BX-1330",
    "40G-SWDM4",
    "40G-BiDi",
    "100G-CLR4",
    "100G-4WDM-20",
    "100G-4WDM-40",
    "100G-SWDM4",
    "100G-BiDi",
    "100GBASE-ZR",
    "400GBASE-LR4-6",
];

/// Not even the wavelength was recalled (clauses of single-fiber pairs at 25 and 50G, drafts at 800G).
const NO_WAVELENGTH: [&str; 17] = [
    "25GBASE-BR10-D",
    "25GBASE-BR10-U",
    "25GBASE-BR20-D",
    "25GBASE-BR20-U",
    "25GBASE-BR40-D",
    "25GBASE-BR40-U",
    "50GBASE-BR10-D",
    "50GBASE-BR10-U",
    "50GBASE-BR20-D",
    "50GBASE-BR20-U",
    "50GBASE-BR40-D",
    "50GBASE-BR40-U",
    "800GBASE-DR4",
    "800GBASE-DR4-2",
    "800GBASE-FR4-500",
    "800GBASE-FR4",
    "800GBASE-LR4",
];

/// Fiber of G.652.D may lose 0.30 dB/km at 1550 nm (its limit); these reaches count on better, measured
/// fiber: 22 dB over 80 km are 0.275 dB/km, 11 dB over 40 km the same, 7 dB over 25 km 0.28.
const NEEDS_MEASURED_FIBER: [&str; 9] = [
    "10GBASE-ZR",
    "I-64.2",
    "L-64.2a",
    "L-64.2b",
    "OIF-400ZR-unamplified",
    "P1L1-2D2",
    "P1S1-2D2b",
    "S-64.2a",
    "S-64.2b",
];

/// These reach so far over amplifiers only: levels and loss are those of one amplified section.
const NEEDS_AMPLIFIERS: [&str; 2] = ["400GBASE-ZR", "OIF-400ZR-amplified"];

/// Good fiber (0.31 dB/km at 1310 nm) loses less over their reach than they need at least: 10 dB over
/// 30 km, 9 dB over 30 km, 17 dB over 40 km.
const TOO_HOT_ON_GOOD_FIBER: [&str; 3] = ["25GBASE-ER", "40GBASE-ER4", "L-64.1"];

/// What an interface faces: itself, or its mate.
fn mate(row: &Row<Interface>) -> &Row<Interface> {
    let mates = &row.value.mates_with;
    let own = mates.is_empty() || mates.contains(&row.key);
    let name = if own { &row.key } else { &mates[0] };
    TABLES.interfaces.get(name).unwrap_or_else(|| panic!("{} has the mate {name}", row.key))
}

/// The fiber an interface is made for, and how far it reaches there.
fn own_fiber(row: &Row<Interface>) -> (&'static str, f64) {
    let grades = match row.value.fiber_kind {
        FiberKind::SingleMode => &["G.652.D"][..],
        FiberKind::Multimode => &["OM4", "OM3", "OM2", "OM1"],
    };
    let reach = |grade| Some((grade, row.value.reach(grade, row.value.fiber_kind)?.value()));
    let found = grades.iter().copied().find_map(reach);
    found.unwrap_or_else(|| panic!("{} states no reach", row.key))
}

/// The smaller channel loss of both ways.
fn channel_loss(row: &Row<Interface>) -> Option<f64> {
    let grade = Grade::of(own_fiber(row).0);
    let of = |row: &Row<Interface>| row.value.max_channel_loss.limit(grade);
    let losses = of(row).zip(of(mate(row)));
    losses.map(|(there, back)| there.value().min(back.value()))
}

/// The answer at its reach, over a fiber that loses so much; without it, over the fiber of the table.
fn at_reach(row: &Row<Interface>, loss: Option<f64>) -> Answer {
    let (fiber, km) = own_fiber(row);
    let measured = loss.map_or_else(String::new, |db| format!(", measured: {db} dB, uncertainty: 0 dB"));
    let span = format!("length: {km} km, fiber: {fiber}{measured}");
    over(&span, port(&row.key), port(&mate(row).key)).judge().answer("a/1/1")
}

#[track_caller]
fn belongs(row: &Row<Interface>, answer: &Answer) {
    let of_fit = |finding: &&spanwright::check::Finding| {
        finding.rule.id.starts_with("fit.") && finding.severity == Severity::Error
    };
    let wrong: Vec<_> = answer.findings.iter().filter(of_fit).collect();
    assert!(wrong.is_empty(), "{}: {wrong:#?}", row.key);
}

/// The names that get an answer.
fn answered<'a>(answers: &BTreeMap<&'a str, Answer>, go: Go) -> Vec<&'a str> {
    answers.iter().filter(|(_, answer)| answer.go == go).map(|(name, _)| *name).collect()
}

fn sorted(lists: &[&[&'static str]]) -> Vec<&'static str> {
    let mut all: Vec<&str> = lists.concat();
    all.sort_unstable();
    all
}

#[test]
fn every_interface_closes_on_the_channel_loss_of_its_standard() {
    let mut answers = BTreeMap::new();
    for row in TABLES.interfaces.rows() {
        let Some(loss) = channel_loss(row) else { continue };
        let answer = at_reach(row, Some(loss));
        belongs(row, &answer);
        answers.insert(row.key.as_str(), answer);
    }
    assert!(answers.len() > 70, "{} interfaces state a loss", answers.len());
    assert_eq!(answered(&answers, Go::NoGo), [""; 0]);
    assert_eq!(answered(&answers, Go::CannotJudge), sorted(&[&NO_OVERLOAD, &NO_COLOR_OF_ITS_OWN]));
}

#[test]
fn every_interface_over_the_fiber_of_the_table() {
    let mut answers = BTreeMap::new();
    for row in TABLES.interfaces.rows() {
        let answer = at_reach(row, None);
        belongs(row, &answer);
        answers.insert(row.key.as_str(), answer);
    }
    assert_eq!(answers.len(), TABLES.interfaces.rows().len());
    let unknown = [&NO_OVERLOAD[..], &NO_COLOR_OF_ITS_OWN, &NO_LOSS, &NO_WAVELENGTH];
    assert_eq!(answered(&answers, Go::CannotJudge), sorted(&unknown));
    let short = [&NEEDS_MEASURED_FIBER[..], &NEEDS_AMPLIFIERS, &TOO_HOT_ON_GOOD_FIBER];
    assert_eq!(answered(&answers, Go::NoGo), sorted(&short));
    for (names, rule) in [
        (&NEEDS_MEASURED_FIBER[..], "budget.over-loss"),
        (&NEEDS_AMPLIFIERS[..], "budget.over-loss"),
        (&TOO_HOT_ON_GOOD_FIBER[..], "budget.overload"),
    ] {
        for name in names {
            assert!(rules(&answers[name]).contains(rule), "{name}");
        }
    }
}

/// Each CANNOT JUDGE says which datum is missing.
#[test]
fn what_is_missing_is_said() {
    for (names, words) in [
        (&NO_OVERLOAD[..], "overload limit"),
        (&NO_COLOR_OF_ITS_OWN[..], "transmit wavelength"),
        (&NO_LOSS[..], "the loss that"),
        (&NO_WAVELENGTH[..], "transmit wavelength"),
    ] {
        for name in names {
            let row = TABLES.interfaces.get(name).unwrap_or_else(|| panic!("{name}"));
            let because = at_reach(row, None).because;
            assert!(because.contains(words), "{name}: {because}");
        }
    }
}

/// With its color stated, a part of the product table is judged like any other (CWDM 1551 nm, 17 dB).
#[test]
fn a_color_makes_a_part_of_a_table_whole() {
    let part = || port("CWDM-2.5G-40km").with("channel: CWDM1551");
    let span = "length: 40 km, measured: 17 dB, uncertainty: 0 dB";
    over(span, part(), part()).expect(Go::Go, &[], &["budget.unknown"]);
}
