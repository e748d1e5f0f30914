//! Levels of interface types: the sums that the documents' own arithmetic demands, and figures recalled
//! apart from the table. Half a decibel anywhere breaks one of them.

use std::collections::BTreeMap;

use super::{Written, number};

type Row = BTreeMap<String, String>;

/// Rounding of printed figures.
const PRINTED: f64 = 0.051;

/// What a sum must give, and the rows where it gives something else, with the reason.
struct Identity {
    what: &'static str,
    /// The difference of both sides; `None` where a figure is not stated.
    difference: fn(&Row) -> Option<f64>,
    /// On how many rows it can be computed at least, so that it cannot pass by comparing nothing.
    at_least: usize,
    exceptions: &'static [(&'static str, f64, &'static str)],
}

fn mean_overload(row: &Row) -> Option<f64> {
    number(row, "overload_dbm").filter(|_| row["overload_terms"] == "mean")
}

fn sensitivity(row: &Row, terms: &str) -> Option<f64> {
    number(row, "sensitivity_dbm").filter(|_| row["sensitivity_terms"] == terms)
}

const OWN_TEST: &str = "the clause tests short multimode transmitters with another extinction ratio";
const OUTER: &str = "OMA is that of the outer levels, with a floor of its own";
const OVERRATED: &str = "the receiver is specified for more than one of its kind sends";

/// IEEE 802.3 link budgets, ITU-T G.957 and G.959.1 tables, module agreements: how their columns hang
/// together (common practice; differences of single rows as recalled or read, see their notes).
static IDENTITIES: [Identity; 8] = [
    Identity {
        what: "least power received = least launch - channel loss",
        difference: |row| {
            let sent = number(row, "tx_min_dbm")? - number(row, "max_channel_loss_db")?;
            Some(sent - number(row, "rx_min_dbm")?)
        },
        at_least: 36,
        exceptions: &[
            ("10GBASE-ER", 0.2, "10.9 dB in one table of the clause, 11 in the other"),
            ("OIF-400ZR-unamplified", -1.0, "the note says so: one of the figures is not right"),
        ],
    },
    Identity {
        what: "damage = overload + 1 dB",
        difference: |row| Some(number(row, "damage_dbm")? - mean_overload(row)? - 1.0),
        at_least: 30,
        exceptions: &[
            ("10GBASE-ER", 4.0, "the clause states 4.0 dBm apart from the maximum of -1"),
            ("40GBASE-ER4", 7.3, "the clause states 3.8 dBm apart from the maximum of -4.5"),
            ("50GBASE-FR", 1.2, "damage 5.2, the level of the longer type; receiver maximum 3"),
        ],
    },
    Identity {
        what: "launch less penalty in OMA - sensitivity in OMA = channel loss",
        difference: |row| {
            let window = number(row, "tx_oma_minus_penalty_min_dbm")? - sensitivity(row, "oma")?;
            Some(window - number(row, "max_channel_loss_db")?)
        },
        at_least: 8,
        exceptions: &[
            ("10GBASE-LR", 0.2, "the clause leaves 0.2 dB"),
            ("10GBASE-ER", 1.1, "the channel of 30 km leaves it"),
            ("25GBASE-LR", 0.7, "as recalled; the note says so"),
        ],
    },
    Identity {
        what: "least OMA = least mean + 3 dB, that of a high extinction ratio",
        difference: |row| Some(number(row, "tx_oma_min_dbm")? - number(row, "tx_min_dbm")? - 3.0),
        at_least: 30,
        exceptions: &[
            ("10GBASE-LRM", -1.0, OWN_TEST),
            ("25GBASE-SR", -1.0, OWN_TEST),
            ("40GBASE-SR4", -1.0, OWN_TEST),
            ("50GBASE-SR", -1.0, OWN_TEST),
            ("100GBASE-SR10", -1.0, OWN_TEST),
            ("100GBASE-SR4", -1.0, OWN_TEST),
            ("200GBASE-SR4", -1.0, OWN_TEST),
            ("50GBASE-FR", -1.4, OUTER),
            ("100GBASE-DR", -0.9, OUTER),
            ("200GBASE-DR4", -0.9, OUTER),
            ("400GBASE-DR4", -0.9, OUTER),
            ("800GBASE-DR8", -0.9, OUTER),
            ("100GBASE-LR1", -0.4, "0.7 is the figure of the earlier agreement; the note says so"),
            ("100G-CWDM4", -0.5, "the agreement has 2.5 dB between them"),
            ("100G-4WDM-10", -0.5, "the agreement has 2.5 dB between them"),
        ],
    },
    Identity {
        what: "power budget = channel loss + allocation for penalties",
        difference: |row| {
            let parts = number(row, "max_channel_loss_db")? + number(row, "penalty_db")?;
            Some(number(row, "power_budget_db")? - parts)
        },
        at_least: 50,
        exceptions: &[
            ("1000BASE-SX", 0.37, "the clause leaves it unallocated"),
            ("1000BASE-LX", 0.16, "the clause leaves it unallocated"),
            ("1000BASE-LX-MM", 0.07, "the clause leaves it unallocated"),
        ],
    },
    Identity {
        what: "least launch - sensitivity - penalty = channel loss, in mean power",
        difference: |row| {
            let window = number(row, "tx_min_dbm")? - sensitivity(row, "mean")?;
            let penalty = number(row, "penalty_db").unwrap_or(0.0);
            Some(window - penalty - number(row, "max_channel_loss_db")?)
        },
        at_least: 38,
        exceptions: &[
            ("100BASE-BX10-D", 8.7, "its channel is stated apart from its levels"),
            ("100BASE-BX10-U", 8.2, "its channel is stated apart from its levels"),
            ("1000BASE-SX", 0.37, "the clause leaves it unallocated"),
            ("1000BASE-LX", 0.16, "the clause leaves it unallocated"),
            ("1000BASE-LX-MM", 0.07, "the clause leaves it unallocated"),
        ],
    },
    Identity {
        what: "greatest launch = overload + least channel loss",
        difference: |row| {
            let least = number(row, "min_channel_loss_db").unwrap_or(0.0);
            Some(number(row, "tx_max_dbm")? - mean_overload(row)? - least)
        },
        at_least: 75,
        exceptions: &[
            ("100GBASE-ER4", -1.6, OVERRATED),
            ("400GBASE-ZR", -6.0, OVERRATED),
            ("OIF-400ZR-amplified", -6.0, OVERRATED),
            ("OIF-400ZR-unamplified", -6.0, OVERRATED),
        ],
    },
    Identity {
        what: "greatest total launch = greatest launch per lane + 10 log10 lanes",
        difference: |row| {
            let lanes = number(row, "lanes")?;
            Some(number(row, "tx_total_max_dbm")? - number(row, "tx_max_dbm")? - 10.0 * lanes.log10())
        },
        at_least: 8,
        exceptions: &[("400G-FR4", -0.22, "the agreement caps the sum at 9.3 dBm")],
    },
];

#[test]
fn levels_of_interfaces_add_up_or_say_why_not() {
    let table = Written::table("interfaces");
    let mut faults = Vec::new();
    for identity in &IDENTITIES {
        let mut compared = 0;
        for row in &table.rows {
            let name = row["interface"].as_str();
            let stated = identity.exceptions.iter().find(|(known, ..)| *known == name);
            let Some(difference) = (identity.difference)(row) else {
                if stated.is_some() {
                    faults.push(format!(
                        "{name}: excepted from `{}`, which it cannot meet",
                        identity.what
                    ));
                }
                continue;
            };
            compared += 1;
            let expected = stated.map_or(0.0, |(_, expected, reason)| {
                assert!(reason.len() > 12, "{name}: no reason");
                *expected
            });
            if (difference - expected).abs() > PRINTED {
                faults.push(format!(
                    "{name}: {} misses by {difference:.2} dB, expected {expected:.2}",
                    identity.what
                ));
            }
        }
        if compared < identity.at_least {
            faults.push(format!("`{}` was computed on {compared} rows only", identity.what));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Allocations for connections, from memory of the IEEE 802.3 clauses and module agreements: 1.5 dB on
/// multimode; on single-mode 2 dB for 10 km and more, 3 dB for 2 km (four joints more), 2.75 dB for 500 m.
#[test]
fn allocations_for_connections() {
    const SHORT: [&str; 13] = [
        "40GBASE-FR",
        "50GBASE-FR",
        "100GBASE-FR1",
        "200GBASE-FR4",
        "400GBASE-DR4-2",
        "400G-FR4",
        "400GBASE-FR4",
        "400GBASE-FR8",
        "800GBASE-DR8-2",
        "100GBASE-DR",
        "200GBASE-DR4",
        "400GBASE-DR4",
        "800GBASE-DR8",
    ];
    let table = Written::table("interfaces");
    let mut compared = 0;
    for row in &table.rows {
        let name = row["interface"].as_str();
        let Some(stated) = number(row, "connector_loss_db") else { continue };
        let expected = match SHORT.iter().position(|short| *short == name) {
            Some(0..9) => 3.0,
            Some(_) => 2.75,
            None if name == "100G-CWDM4" => 4.0,
            None if row["fiber_kind"] == "MM" => 1.5,
            None => 2.0,
        };
        assert_eq!(stated, expected, "{name}");
        compared += 1;
    }
    assert!(compared >= 45, "{compared} rows only");
}

/// Figures that no sum above holds, from memory of the documents named.
const RECALLED: [(&str, &str, f64); 98] = [
    // IEEE 802.3 Clauses 26, 38, 52, 68.
    ("100BASE-FX", "power_budget_db", 11.0),
    ("100BASE-SX", "max_channel_loss_db", 4.0),
    ("1000BASE-SX", "min_return_loss_db", 12.0),
    ("1000BASE-LX", "min_return_loss_db", 12.0),
    ("1000BASE-LX-MM", "min_return_loss_db", 12.0),
    ("1000BASE-LX10", "min_return_loss_db", 12.0),
    ("10GBASE-SR", "sensitivity_dbm", -11.1),
    ("10GBASE-LR", "min_return_loss_db", 12.0),
    ("10GBASE-LRM", "tx_max_dbm", 0.5),
    ("10GBASE-LRM", "sensitivity_dbm", -6.5),
    ("10GBASE-LRM", "overload_dbm", 1.5),
    ("10GBASE-LRM", "min_return_loss_db", 12.0),
    ("10GBASE-LRM", "min_channel_loss_db", 0.0),
    // Common practice of long-reach gigabit and ten gigabit parts.
    ("1000BASE-EX", "power_budget_db", 17.0),
    ("10GBASE-ZR", "min_return_loss_db", 24.0),
    ("10GBASE-ZR", "max_reflectance_db", -27.0),
    // IEEE 802.3 Clauses 86, 87, 95, 112, 114.
    ("25GBASE-SR", "tx_oma_minus_penalty_min_dbm", -7.3),
    ("25GBASE-SR", "sensitivity_dbm", -5.2),
    ("100GBASE-SR4", "tx_oma_minus_penalty_min_dbm", -7.3),
    ("25GBASE-LR", "min_return_loss_db", 20.0),
    ("25GBASE-LR", "max_reflectance_db", -26.0),
    ("25GBASE-ER", "max_channel_loss_db", 18.0),
    ("25GBASE-ER", "min_channel_loss_db", 10.0),
    ("40GBASE-SR4", "tx_oma_minus_penalty_min_dbm", -6.5),
    ("40GBASE-SR4", "sensitivity_dbm", -5.4),
    ("40GBASE-SR4", "min_return_loss_db", 12.0),
    ("100GBASE-SR10", "tx_oma_minus_penalty_min_dbm", -6.5),
    ("100GBASE-SR10", "sensitivity_dbm", -5.4),
    ("100GBASE-SR10", "min_return_loss_db", 12.0),
    ("40GBASE-LR4", "min_return_loss_db", 21.0),
    ("40GBASE-LR4", "max_reflectance_db", -26.0),
    ("40GBASE-ER4", "min_return_loss_db", 21.0),
    ("40GBASE-ER4", "max_reflectance_db", -26.0),
    ("40G-PSM4", "tx_min_dbm", -8.2),
    ("40G-PSM4", "rx_min_dbm", -14.4),
    // IEEE 802.3 Clauses 88, 121, 122, 124, 138 to 140, 150, 151.
    ("100GBASE-LR4", "min_return_loss_db", 20.0),
    ("100GBASE-ER4", "sensitivity_dbm", -21.4),
    ("100GBASE-ER4", "min_return_loss_db", 20.0),
    ("100GBASE-ER4", "max_reflectance_db", -26.0),
    ("50GBASE-SR", "tx_oma_minus_penalty_min_dbm", -5.9),
    ("50GBASE-SR", "sensitivity_dbm", -3.4),
    ("50GBASE-SR", "min_return_loss_db", 12.0),
    ("50GBASE-FR", "tx_oma_minus_penalty_min_dbm", -3.9),
    ("50GBASE-LR", "tx_oma_minus_penalty_min_dbm", -2.9),
    ("50GBASE-ER", "max_channel_loss_db", 18.0),
    ("100GBASE-DR", "tx_oma_minus_penalty_min_dbm", -2.2),
    ("100GBASE-DR", "min_return_loss_db", 15.5),
    ("100GBASE-FR1", "tx_oma_minus_penalty_min_dbm", -1.5),
    ("100GBASE-FR1", "min_return_loss_db", 17.1),
    ("100GBASE-LR1", "min_return_loss_db", 15.6),
    ("200GBASE-SR4", "sensitivity_dbm", -3.4),
    ("200GBASE-DR4", "tx_oma_minus_penalty_min_dbm", -4.4),
    ("200GBASE-FR4", "tx_oma_minus_penalty_min_dbm", -2.6),
    ("200GBASE-ER4", "max_channel_loss_db", 18.0),
    ("400GBASE-SR16", "max_channel_loss_db", 1.9),
    ("400GBASE-SR8", "sensitivity_dbm", -3.4),
    ("400GBASE-SR4.2", "overload_dbm", 4.0),
    ("400GBASE-DR4-2", "max_channel_loss_db", 4.0),
    ("400GBASE-FR4", "min_return_loss_db", 17.1),
    ("400GBASE-LR4-6", "tx_min_dbm", -2.7),
    ("400GBASE-LR4-6", "min_return_loss_db", 15.6),
    ("400GBASE-ER8", "max_channel_loss_db", 18.0),
    ("800GBASE-DR8-2", "max_channel_loss_db", 4.0),
    // Module agreements.
    ("100G-CWDM4", "min_return_loss_db", 20.0),
    ("100G-4WDM-10", "max_reflectance_db", -26.0),
    ("100G-4WDM-40", "sensitivity_dbm", -18.5),
    ("100G-4WDM-40", "overload_dbm", -3.5),
    ("100G-PSM4", "sensitivity_dbm", -11.35),
    ("400G-LR4-10", "min_return_loss_db", 15.6),
    // ITU-T G.957 Tables 2 to 4.
    ("L-1.1", "min_channel_loss_db", 10.0),
    ("L-1.2", "min_return_loss_db", 20.0),
    ("L-1.2", "max_reflectance_db", -25.0),
    ("S-4.2", "min_return_loss_db", 24.0),
    ("S-4.2", "max_reflectance_db", -27.0),
    ("L-4.1", "min_return_loss_db", 20.0),
    ("L-4.1", "max_reflectance_db", -25.0),
    ("L-4.2", "min_return_loss_db", 24.0),
    ("L-4.2", "max_reflectance_db", -27.0),
    ("I-16", "min_return_loss_db", 24.0),
    ("S-16.1", "min_return_loss_db", 24.0),
    ("S-16.2", "min_return_loss_db", 24.0),
    ("L-16.1", "min_return_loss_db", 24.0),
    ("L-16.2", "min_return_loss_db", 24.0),
    // ITU-T G.691 and G.959.1.
    ("I-64.1", "min_return_loss_db", 14.0),
    ("I-64.2", "min_return_loss_db", 24.0),
    ("S-64.1", "min_return_loss_db", 14.0),
    ("S-64.2a", "min_return_loss_db", 24.0),
    ("S-64.2b", "min_return_loss_db", 24.0),
    ("L-64.1", "min_return_loss_db", 24.0),
    ("L-64.2a", "min_return_loss_db", 24.0),
    ("L-64.2b", "min_return_loss_db", 24.0),
    ("P1I1-2D1", "min_return_loss_db", 14.0),
    ("P1S1-2D2b", "min_return_loss_db", 24.0),
    ("P1L1-2D2", "min_return_loss_db", 24.0),
    ("CWDM-2.5G-40km", "min_return_loss_db", 24.0),
    ("CWDM-2.5G-40km", "max_reflectance_db", -27.0),
    ("CWDM-2.5G-80km", "min_return_loss_db", 24.0),
    ("CWDM-2.5G-80km", "max_reflectance_db", -27.0),
];

#[test]
fn recalled_figures_of_interfaces() {
    let table = Written::table("interfaces");
    let mut faults = Vec::new();
    for (interface, column, expected) in RECALLED {
        let row = table.rows.iter().find(|row| row["interface"] == interface);
        let row = row.unwrap_or_else(|| panic!("no {interface}"));
        if number(row, column) != Some(expected) {
            faults.push(format!("{interface}: {column} is {}, recalled {expected}", row[column]));
        }
    }
    // ITU-T G.957, G.691 and G.959.1: a link that must return little reflects little at each point.
    for row in table
        .rows
        .iter()
        .filter(|row| row["clause"].starts_with("G.9") || row["clause"].starts_with("G.6"))
    {
        if let (Some(back), Some(point)) =
            (number(row, "min_return_loss_db"), number(row, "max_reflectance_db"))
        {
            let expected = if back == 20.0 { -25.0 } else { -27.0 };
            if point != expected {
                faults.push(format!("{}: reflectance {point}, recalled {expected}", row["interface"]));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
