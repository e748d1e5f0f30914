//! Faults of every kind, planted where they can be found again.

use super::world::{Block, Cells, at};

/// A planted fault: the rule that must find it, the ports at which it may be said, and all ports that it
/// touches (only those may have findings).
pub struct Planted {
    /// The rule.
    pub rule: &'static str,
    /// Ports of which one must have the finding; empty = the inventory as a whole.
    pub at: Vec<String>,
    /// Ports that are no longer clean.
    pub touched: Vec<String>,
}

/// How a fault is planted at a link; `other` is a further link of the same kind at the same site.
type Plant = fn(&mut Spot<'_>);

/// Where a fault is planted.
pub struct Spot<'b> {
    block: &'b mut Block,
    link: (usize, usize),
    other: (usize, usize),
    /// Further ports that are touched.
    touched: Vec<String>,
}

impl Spot<'_> {
    fn a(&mut self, head: &str) -> &mut String {
        &mut self.block.sides[0][self.link.0][at(head)]
    }

    fn b(&mut self, head: &str) -> &mut String {
        &mut self.block.sides[1][self.link.1][at(head)]
    }

    fn other_a(&self, head: &str) -> String {
        self.block.sides[0][self.other.0][at(head)].clone()
    }

    fn other_b(&self, head: &str) -> String {
        self.block.sides[1][self.other.1][at(head)].clone()
    }

    fn both(&mut self, head: &str, text: &str) {
        *self.a(head) = text.to_string();
        *self.b(head) = text.to_string();
    }

    fn shift(&mut self, head: &str, by: f64) {
        let value: f64 = self.a(head).parse().expect("a number");
        *self.a(head) = format!("{:.2}", value + by);
    }

    fn touch_other(&mut self) {
        let names = [name(&self.block.sides[0][self.other.0]), name(&self.block.sides[1][self.other.1])];
        self.touched.extend(names);
    }

    /// Every port of the card of `a` and its far ends.
    fn touch_card(&mut self) {
        let first = self.link.0 / 8 * 8;
        for (a, b) in self.block.links.clone() {
            if (first..first + 8).contains(&a) {
                let names = [name(&self.block.sides[0][a]), name(&self.block.sides[1][b])];
                self.touched.extend(names);
            }
        }
    }
}

/// A port as the tests name it.
pub fn name(row: &Cells) -> String {
    format!("{} {}", row[0], row[at("port")])
}

/// Slots (from 0) in which a fault can be planted; `None` = any.
struct Kind {
    rule: &'static str,
    slot: usize,
    wide: bool,
    plant: Plant,
}

const fn kind(rule: &'static str, slot: usize, plant: Plant) -> Kind {
    Kind { rule, slot, wide: false, plant }
}

const fn wide(rule: &'static str, slot: usize, plant: Plant) -> Kind {
    Kind { rule, slot, wide: true, plant }
}

fn set(spot: &mut Spot<'_>, head: &str, text: &str) {
    *spot.a(head) = text.to_string();
}

const KINDS: &[Kind] = &[
    kind("inventory.far-end-disagrees", 2, |s| {
        let (site, port) = (s.other_b("site"), s.other_b("port"));
        set(s, "far_site", &site);
        set(s, "far_port", &port);
        s.touch_other();
    }),
    kind("inventory.far-end-claimed-twice", 3, |s| {
        let (site, port) = (s.other_b("site"), s.other_b("port"));
        set(s, "far_site", &site);
        set(s, "far_port", &port);
        s.touch_other();
    }),
    kind("inventory.far-end-one-sided", 2, |s| {
        *s.b("far_site") = String::new();
        *s.b("far_port") = String::new();
    }),
    kind("inventory.far-end-unknown", 2, |s| set(s, "far_port", "9/9/99")),
    kind("inventory.far-end-outside", 2, |s| set(s, "far_site", "ZZYX")),
    kind("inventory.far-end-itself", 2, |s| {
        let (site, port) = (s.a("site").clone(), s.a("port").clone());
        set(s, "far_site", &site);
        set(s, "far_port", &port);
    }),
    kind("inventory.far-end-unclear", 2, |s| set(s, "far_port", "Maren Holt")),
    kind("inventory.two-far-ends", 2, |s| set(s, "far_port", "1/1/1 & 1/2/1")),
    kind("inventory.duplicate-row", 2, |s| {
        let copy = s.block.sides[0][s.link.0].clone();
        s.block.sides[0].push(copy);
    }),
    kind("inventory.conflicting-rows", 2, |s| {
        let mut copy = s.block.sides[0][s.link.0].clone();
        copy[at("serial")].push('X');
        s.block.sides[0].push(copy);
    }),
    kind("inventory.frame-port-twice", 2, |s| {
        let other = s.other_a("frame_port");
        set(s, "frame_port", &other);
        s.touch_other();
    }),
    kind("inventory.strand-twice", 2, |s| {
        let other = s.other_a("strand");
        set(s, "strand", &other);
        s.touch_other();
    }),
    kind("inventory.serial-twice", 2, |s| {
        let other = s.other_a("serial");
        set(s, "serial", &other);
        s.touch_other();
    }),
    kind("inventory.jumper-twice", 2, |s| {
        let other = s.other_a("jumper");
        set(s, "jumper", &other);
        s.touch_other();
    }),
    kind("inventory.circuit-many-ports", 2, |s| {
        let other = s.other_a("circuit");
        set(s, "circuit", &other);
        s.touch_other();
    }),
    kind("inventory.circuit-differs", 2, |s| set(s, "circuit", "CT-9999999")),
    kind("inventory.far-module-differs", 2, |s| set(s, "far_module", "10GBASE-ER")),
    kind("inventory.path-differs", 2, |s| s.shift("path_km", 3.0)),
    kind("inventory.receive-below-expected", 2, |s| s.shift("rx_dbm", -5.2)),
    kind("inventory.receive-above-expected", 3, |s| s.shift("rx_dbm", 5.2)),
    kind("inventory.directions-differ", 2, |s| s.shift("rx_dbm", -7.5)),
    kind("inventory.launch-out-of-class", 2, |s| set(s, "tx_dbm", "4.50")),
    kind("inventory.launch-under-siblings", 2, |s| set(s, "tx_dbm", "-6.30")),
    kind("inventory.receive-over-overload", 2, |s| set(s, "rx_dbm", "1.70")),
    kind("inventory.receive-under-least", 2, |s| set(s, "rx_dbm", "-19.00")),
    kind("inventory.dark-but-up", 2, |s| set(s, "rx_dbm", "-40.00")),
    kind("inventory.light-in-empty-port", 2, |s| set(s, "state", "empty")),
    kind("inventory.empty-with-module", 2, |s| {
        set(s, "state", "empty");
        set(s, "tx_dbm", "");
        set(s, "rx_dbm", "");
    }),
    kind("inventory.in-service-without-circuit", 2, |s| set(s, "circuit", "")),
    kind("inventory.retired-still-holding", 2, |s| set(s, "status", "retired")),
    kind("inventory.spare-in-use", 2, |s| set(s, "status", "spare")),
    kind("inventory.no-module", 2, |s| {
        set(s, "module", "");
        *s.b("far_module") = String::new();
    }),
    kind("inventory.module-without-serial", 2, |s| set(s, "serial", "")),
    kind("inventory.hot-module", 2, |s| set(s, "temp_c", "78.5")),
    kind("inventory.hotter-than-siblings", 2, |s| set(s, "temp_c", "63.0")),
    kind("inventory.loss-under-fiber", 2, |s| {
        s.both("path_km", "8.00");
        s.both("path_loss_db", "0.40");
        s.both("tx_dbm", "-3.00");
        s.both("rx_dbm", "-3.60");
    }),
    kind("budget.over-loss", 2, |s| {
        s.both("path_loss_db", "12.00");
        s.both("tx_dbm", "-2.00");
        s.both("rx_dbm", "-14.00");
    }),
    kind("budget.beyond-reach", 2, |s| {
        s.both("path_km", "12.50");
        s.both("path_loss_db", "5.00");
        s.both("tx_dbm", "-3.00");
        s.both("rx_dbm", "-8.00");
    }),
    kind("budget.overload", 2, |s| {
        for head in ["module", "far_module", "planned_module"] {
            s.both(head, "10GBASE-ER");
        }
        s.both("tx_nm", "1550");
        s.both("path_km", "1.00");
        s.both("path_loss_db", "1.00");
        s.both("tx_dbm", "-1.00");
        s.both("rx_dbm", "-2.00");
    }),
    kind("inventory.unknown-optic", 2, |s| {
        set(s, "module", "FROB-77");
        *s.b("far_module") = "FROB-77".to_string();
    }),
    kind("fit.wrong-cage", 2, |s| set(s, "form", "QSFP28")),
    kind("fit.fiber-kind", 2, |s| s.both("fiber", "OM3")),
    kind("fit.same-side-bidi", 5, |s| {
        *s.b("module") = "1000BASE-BX10-U".to_string();
        set(s, "far_module", "1000BASE-BX10-U");
    }),
    kind("fit.rate-differs", 2, |s| {
        set(s, "module", "1000BASE-LX10");
        set(s, "form", "SFP");
        *s.b("far_module") = "1000BASE-LX10".to_string();
    }),
    kind("inventory.damaged-name", 2, |s| set(s, "serial", "1.23457E+15")),
    kind("inventory.unreadable-cell", 2, |s| set(s, "tx_dbm", "abc")),
    kind("inventory.out-of-range", 2, |s| set(s, "temp_c", "900")),
    kind("inventory.row-shifted", 2, |s| {
        let row = &mut s.block.sides[0][s.link.0];
        let from = at("path_km");
        let last = at("status");
        row[from..=last].rotate_right(1);
        row[from] = "in service".to_string();
        row[at("path_loss_db")] = "x".to_string();
        row[at("tx_dbm")] = "y".to_string();
    }),
    kind("inventory.ragged-row", 2, |s| s.block.sides[0][s.link.0].push("left over".to_string())),
    kind("inventory.no-name", 2, |s| {
        let shown = ["site", "shelf", "slot"].map(|head| s.a(head).clone()).join(" ");
        s.touched.push(shown);
        set(s, "port", "");
    }),
    kind("inventory.zero-reading", 2, |s| set(s, "rx_dbm", "0.00")),
    kind("inventory.unclear-day", 2, |s| set(s, "proof_date", "5/6/2024")),
    kind("inventory.slot-without-blank", 2, |s| {
        let mut row = s.block.sides[0][s.link.0].clone();
        let keep = ["site", "site_class", "bay", "shelf"].map(at);
        for (n, cell) in row.iter_mut().enumerate() {
            if !keep.contains(&n) {
                cell.clear();
            }
        }
        row[at("slot")] = "09".to_string();
        row[at("card_type")] = "EMPTY".to_string();
        row[at("state")] = "empty".to_string();
        s.touched.push(name(&row));
        s.touched.push(format!("{} {} 09", row[0], row[at("shelf")]));
        s.block.sides[0].push(row);
    }),
    kind("inventory.uplinks-together", 1, |s| {
        // The uplink of the second card moves to the first one.
        let shelf = s.link.0 / 64 * 64;
        s.block.sides[0][shelf + 8][at("port_role")] = "client".to_string();
        s.block.sides[0][shelf + 1][at("port_role")] = "uplink".to_string();
        for row in [shelf, shelf + 1, shelf + 8] {
            let name = name(&s.block.sides[0][row]);
            s.touched.push(name);
        }
    }),
    kind("inventory.identical-readings", 0, |s| {
        let first = s.link.0 / 8 * 8;
        for row in first..first + 8 {
            s.block.sides[0][row][at("tx_dbm")] = "-3.00".to_string();
            s.block.sides[0][row][at("rx_dbm")] = "-6.00".to_string();
        }
        s.touch_card();
    }),
    kind("inventory.site-spellings", 2, |s| {
        let spelled = s.a("site").to_lowercase();
        set(s, "site", &spelled);
    }),
    wide("inventory.planned-differs", 2, |s| set(s, "planned_module", "10GBASE-ER")),
    wide("inventory.wavelength-differs", 2, |s| set(s, "tx_nm", "1550")),
    wide("inventory.lanes-unlike", 2, |s| {
        let level: f64 = s.a("rx_dbm").parse().expect("a number");
        set(s, "rx_dbm", &format!("{:.2}|{:.2}|{:.2}|-40", level, level + 0.3, level + 0.2));
    }),
    wide("inventory.beyond-alarm", 2, |s| {
        set(s, "rx_lo_alarm", "-1.0");
        set(s, "rx_lo_warn", "-0.5");
    }),
    wide("inventory.threshold-order", 2, |s| set(s, "rx_lo_warn", "5.0")),
    wide("inventory.thresholds-of-another", 2, |s| set(s, "rx_lo_alarm", "-31.0")),
    wide("inventory.open-live-end", 2, |s| {
        for head in ["jumper", "jumper_len", "frame_port", "strand", "far_site", "far_port"] {
            set(s, head, "");
        }
        set(s, "tx_dbm", "14.00");
    }),
    wide("inventory.temporary-note", 2, |s| set(s, "note", "temp move, fix after cutover")),
    wide("inventory.dates-contradict", 2, |s| set(s, "install_date", "2025-06-01")),
    wide("inventory.bias-over-siblings", 2, |s| set(s, "bias_ma", "71.0")),
    wide("inventory.unit-mix", 2, |s| set(s, "jumper_len", "20 ft")),
    wide("inventory.unknown-word", 2, |s| set(s, "status", "frob")),
    wide("inventory.more-onus-than-split", 2, |s| {
        set(s, "split", "1:32");
        set(s, "onu_count", "33");
    }),
    wide("inventory.pon-full", 2, |s| {
        set(s, "split", "1:32");
        set(s, "onu_count", "32");
    }),
    wide("inventory.group-shares", 2, |s| {
        let other = s.other.0;
        set(s, "diversity_group", "G4");
        s.block.sides[0][other][at("diversity_group")] = "G4".to_string();
        s.touch_other();
    }),
    wide("fit.temperature", 2, |s| set(s, "site_class", "cabinet")),
    wide("fit.polish-mixed", 2, |s| set(s, "polish", "APC")),
    wide("fit.fec-differs", 2, |s| set(s, "fec", "fc")),
    wide("fit.card-fec", 4, |s| set(s, "fec", "none")),
];

/// Plants faults of all kinds in turn, beginning with kind number `first`; each shelf of the first side
/// gets at most one, so that they do not disturb each other.
pub fn plant(block: &mut Block, first: usize, most: usize, is_wide: bool) -> Vec<Planted> {
    let kinds: Vec<&Kind> = KINDS.iter().filter(|kind| is_wide || !kind.wide).collect();
    let mut planted = Vec::new();
    let shelves = super::world::SIDE_ROWS / 64;
    for n in 0..most.min(shelves) {
        let kind = kinds[(first + n) % kinds.len()];
        // Port 3 of the card; port 6 of the same card stands by.
        let a = n * 64 + kind.slot * 8 + 2;
        let find = |row: usize| block.links.iter().copied().find(|(a, _)| *a == row);
        let (Some(link), Some(other)) = (find(a), find(a + 3)) else { continue };
        let before = [name(&block.sides[0][link.0]), name(&block.sides[1][link.1])];
        let mut spot = Spot { block, link, other, touched: before.to_vec() };
        (kind.plant)(&mut spot);
        let mut touched = spot.touched;
        touched.push(name(&block.sides[0][link.0]));
        let whole = matches!(
            kind.rule,
            "inventory.site-spellings" | "inventory.unit-mix" | "inventory.unknown-word"
        );
        let places = if whole { Vec::new() } else { touched.clone() };
        planted.push(Planted { rule: kind.rule, at: places, touched });
    }
    planted
}
