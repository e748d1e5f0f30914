//! An invented world of ports: blocks of sites that are joined in pairs, written as an operator's export
//! would be. Nothing in it is real. Equal seeds give equal bytes.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// Heads of the usual 29 columns.
pub const HEADS: [&str; 29] = [
    "site",
    "site_class",
    "bay",
    "shelf",
    "slot",
    "card_type",
    "port",
    "port_role",
    "cage",
    "state",
    "module",
    "form",
    "serial",
    "polish",
    "fiber",
    "jumper",
    "frame_port",
    "strand",
    "circuit",
    "far_site",
    "far_port",
    "far_module",
    "path_km",
    "path_loss_db",
    "tx_dbm",
    "rx_dbm",
    "temp_c",
    "status",
    "proof_date",
];

/// Heads of the columns behind them in a wide export.
pub const WIDE: [&str; 20] = [
    "planned_module",
    "tx_nm",
    "port_polish",
    "temp_grade",
    "feed",
    "rx_lo_alarm",
    "rx_lo_warn",
    "rx_hi_warn",
    "rx_hi_alarm",
    "jumper_len",
    "pad_db",
    "bias_ma",
    "vcc",
    "onu_count",
    "split",
    "diversity_group",
    "install_date",
    "fec",
    "admin",
    "note",
];

/// A row, one cell for each head of both lists.
pub type Cells = Vec<String>;

/// The place of a head.
pub fn at(head: &str) -> usize {
    let all = HEADS.iter().chain(&WIDE);
    all.into_iter().position(|known| *known == head).unwrap_or_else(|| panic!("no head {head}"))
}

/// Both sides of a block: rows, and for each row of side A the row of side B that it is joined to.
pub struct Block {
    /// Rows of the first and of the second side.
    pub sides: [Vec<Cells>; 2],
    /// Joined rows: index in the first side, index in the second.
    pub links: Vec<(usize, usize)>,
}

/// Shelves of a site; each has eight slots of eight ports.
const SHELVES: usize = 8;
/// Sites of a side.
const SITES: usize = 2;
/// Ports of a card, cards of a shelf.
const EIGHT: usize = 8;
/// Rows of one side of a block, before faults.
pub const SIDE_ROWS: usize = SITES * SHELVES * EIGHT * EIGHT;

/// What stands in a slot: card, cage, form, optics of the first and the second side, fiber, usual launch,
/// longest way in km.
struct Kind {
    card: &'static str,
    cage: &'static str,
    form: &'static str,
    optics: [&'static str; 2],
    nm: [&'static str; 2],
    fiber: &'static str,
    launch: f64,
    km: (f64, f64),
    db_per_km: f64,
    fec: &'static str,
}

const KINDS: [Kind; 7] = [
    kind(
        "eth-8",
        "SFP+",
        "SFP+",
        ["10GBASE-LR", "10GBASE-LR"],
        ["1310", "1310"],
        "SM",
        -3.0,
        (2.0, 9.0),
        "none",
    ),
    kind(
        "eth-8",
        "SFP+",
        "SFP+",
        ["10GBASE-LR", "10GBASE-LR"],
        ["1310", "1310"],
        "SM",
        -3.0,
        (2.0, 9.0),
        "none",
    ),
    kind(
        "eth-8",
        "SFP+",
        "SFP+",
        ["10GBASE-LR", "10GBASE-LR"],
        ["1310", "1310"],
        "G.652.D",
        -3.0,
        (1.0, 9.0),
        "none",
    ),
    kind(
        "eth-24",
        "SFP",
        "SFP",
        ["1000BASE-LX10", "1000BASE-LX10"],
        ["1310", "1310"],
        "SM",
        -6.0,
        (2.0, 9.0),
        "none",
    ),
    kind(
        "eth-8-25",
        "SFP28",
        "SFP28",
        ["25GBASE-LR", "25GBASE-LR"],
        ["1310", "1310"],
        "SM",
        -2.0,
        (2.0, 9.0),
        "rs528",
    ),
    kind(
        "eth-24",
        "SFP",
        "SFP",
        ["1000BASE-BX10-U", "1000BASE-BX10-D"],
        ["1310", "1490"],
        "SM",
        -6.0,
        (2.0, 9.0),
        "none",
    ),
    kind(
        "eth-8",
        "SFP+",
        "SFP+",
        ["10GBASE-SR", "10GBASE-SR"],
        ["850", "850"],
        "OM3",
        -4.0,
        (0.05, 0.25),
        "none",
    ),
];

#[allow(clippy::too_many_arguments)]
const fn kind(
    card: &'static str,
    cage: &'static str,
    form: &'static str,
    optics: [&'static str; 2],
    nm: [&'static str; 2],
    fiber: &'static str,
    launch: f64,
    km: (f64, f64),
    fec: &'static str,
) -> Kind {
    let db_per_km = if km.1 < 1.0 { 3.0 } else { 0.36 };
    Kind { card, cage, form, optics, nm, fiber, launch, km, db_per_km, fec }
}

/// A site's name from a number: syllables that no place has.
pub fn site_name(number: u64) -> String {
    const FIRST: [&str; 16] = [
        "AL", "BRO", "CRE", "DUN", "ESK", "FEN", "GAR", "HOL", "IVE", "KEL", "LOM", "MAR", "NOR", "OST",
        "PEN", "RUS",
    ];
    format!("{}{}", FIRST[(number % 16) as usize], number / 16 + 1)
}

/// A block without faults.
pub fn block(seed: u64, number: u64) -> Block {
    let mut rng = Pcg64::seed_from_u64(seed ^ number.wrapping_mul(0x9E37_79B9_7F4A_7C15));
    let mut sides = [side(&mut rng, number, 0), side(&mut rng, number, 1)];
    let mut links = Vec::new();
    for (slot, kind) in KINDS.iter().enumerate() {
        let of_slot: Vec<usize> = (0..SIDE_ROWS).filter(|row| row / EIGHT % EIGHT == slot).collect();
        let mut others = of_slot.clone();
        for n in (1..others.len()).rev() {
            others.swap(n, rng.random_range(0..=n));
        }
        for (a, b) in of_slot.into_iter().zip(others) {
            join(&mut sides, (a, b), kind, &mut rng, (number, links.len()));
            links.push((a, b));
        }
    }
    links.sort_unstable();
    Block { sides, links }
}

fn side(rng: &mut Pcg64, block: u64, side: usize) -> Vec<Cells> {
    (0..SIDE_ROWS).map(|row| port(rng, block, side, row)).collect()
}

fn port(rng: &mut Pcg64, block: u64, side: usize, row: usize) -> Cells {
    let (port, slot) = (row % EIGHT, row / EIGHT % EIGHT);
    let (shelf, site) = (row / (EIGHT * EIGHT) % SHELVES, row / (EIGHT * EIGHT * SHELVES));
    let site_number = block * (2 * SITES) as u64 + (side * SITES + site) as u64;
    let mut cells = vec![String::new(); HEADS.len() + WIDE.len()];
    let mut put = |head: &str, text: String| cells[at(head)] = text;
    put("site", site_name(site_number));
    put("site_class", "controlled".into());
    put("bay", format!("{:02}.{:02}", shelf / 4 + 1, shelf % 4 + 1));
    put("shelf", (shelf + 1).to_string());
    put("slot", format!("{:02}", slot + 1));
    put("port", format!("{}/{}/{}", shelf + 1, slot + 1, port + 1));
    put("feed", "A+B".into());
    put("temp_grade", "C".into());
    put("admin", "up".into());
    put("proof_date", format!("2024-{:02}-{:02}", rng.random_range(1..=12), rng.random_range(1..=28)));
    put("install_date", format!("2021-{:02}-{:02}", rng.random_range(1..=12), rng.random_range(1..=28)));
    put("temp_c", format!("{:.1}", 38.0 + rng.random_range(-4.0..4.0)));
    put("vcc", format!("{:.2}", 3.3 + rng.random_range(-0.05..0.05)));
    let serial = (block * 2 + side as u64) * SIDE_ROWS as u64 + row as u64;
    if slot < KINDS.len() {
        let uplink = port == 0 && slot < 2;
        put("port_role", if uplink { "uplink" } else { "client" }.into());
        put("state", "up".into());
        put("status", "in service".into());
        put("serial", format!("AR{serial:09}"));
        put("jumper", format!("J-{serial:09}"));
        put("jumper_len", (3 + port).to_string());
        put("frame_port", format!("F{}-{}-{}", shelf + 1, slot + 1, port + 1));
        put("bias_ma", format!("{:.1}", 30.0 + rng.random_range(-3.0..3.0)));
    } else if port < 6 {
        pon_port(&mut put, rng, serial);
    } else {
        put("card_type", "pon-8".into());
        put("cage", "SFP".into());
        put("port_role", "spare".into());
        put("state", "empty".into());
        put("status", "spare".into());
        put("temp_c", String::new());
        put("vcc", String::new());
    }
    cells
}

fn pon_port(put: &mut impl FnMut(&str, String), rng: &mut Pcg64, serial: u64) {
    put("card_type", "pon-8".into());
    put("cage", "SFP".into());
    put("form", "SFP".into());
    put("port_role", "olt_pon".into());
    put("state", "up".into());
    put("module", "GPON-OLT-B+".into());
    put("planned_module", "GPON-OLT-B+".into());
    put("tx_nm", "1490".into());
    put("serial", format!("AR{serial:09}"));
    put("polish", "APC".into());
    put("port_polish", "APC".into());
    put("fiber", "SM".into());
    put("status", "in service".into());
    put("tx_dbm", format!("{:.2}", 3.0 + rng.random_range(-0.8..0.8)));
    put("bias_ma", format!("{:.1}", 30.0 + rng.random_range(-3.0..3.0)));
    put("split", "1:32".into());
    put("onu_count", rng.random_range(8..31).to_string());
}

/// Joins two ports over a path.
fn join(
    sides: &mut [Vec<Cells>; 2],
    ports: (usize, usize),
    kind: &Kind,
    rng: &mut Pcg64,
    id: (u64, usize),
) {
    let km = rng.random_range(kind.km.0..kind.km.1);
    let loss = km * kind.db_per_km + rng.random_range(0.6..1.2);
    let launch = [0, 1].map(|_| kind.launch + rng.random_range(-0.8..0.8));
    let names =
        [&sides[0][ports.0], &sides[1][ports.1]].map(|row| (row[0].clone(), row[at("port")].clone()));
    for side in 0..2 {
        let row = &mut sides[side][if side == 0 { ports.0 } else { ports.1 }];
        let mut put = |head: &str, text: String| row[at(head)] = text;
        put("card_type", kind.card.into());
        put("cage", kind.cage.into());
        put("form", kind.form.into());
        put("module", kind.optics[side].into());
        put("planned_module", kind.optics[side].into());
        put("far_module", kind.optics[1 - side].into());
        put("tx_nm", kind.nm[side].into());
        put("fiber", kind.fiber.into());
        put("fec", kind.fec.into());
        put("polish", "UPC".into());
        put("port_polish", "UPC".into());
        put("circuit", format!("CT-{}-{:04}", id.0, id.1));
        put("strand", format!("CB{}:{:03}", id.0, id.1));
        put("far_site", names[1 - side].0.clone());
        put("far_port", names[1 - side].1.clone());
        put("path_km", format!("{km:.2}"));
        put("path_loss_db", format!("{loss:.2}"));
        put("tx_dbm", format!("{:.2}", launch[side]));
        put("rx_dbm", format!("{:.2}", launch[1 - side] - loss + rng.random_range(-0.3..0.3)));
        let thresholds = thresholds(kind.optics[side]);
        for (head, text) in
            ["rx_lo_alarm", "rx_lo_warn", "rx_hi_warn", "rx_hi_alarm"].iter().zip(thresholds)
        {
            put(head, text.into());
        }
    }
}

/// Thresholds that a maker would set: a dB or so beyond the optic's limits.
fn thresholds(optic: &str) -> [&'static str; 4] {
    match optic {
        "10GBASE-SR" => ["-11.9", "-10.9", "-0.5", "0.5"],
        "25GBASE-LR" => ["-15.3", "-14.3", "2.5", "3.5"],
        "10GBASE-LR" => ["-16.4", "-15.4", "1.0", "2.0"],
        "1000BASE-LX10" => ["-21.0", "-20.0", "-2.5", "-1.5"],
        _ => ["-16.5", "-15.5", "-2.5", "-1.5"],
    }
}

/// A row as a line of CSV.
pub fn line(cells: &Cells, columns: usize, delimiter: char) -> String {
    let written =
        cells.iter().enumerate().filter(|(n, _)| *n < columns || *n >= HEADS.len() + WIDE.len());
    let mut text = String::with_capacity(256);
    for (n, (_, cell)) in written.enumerate() {
        if n > 0 {
            text.push(delimiter);
        }
        if cell.contains([delimiter, '"', '\n']) {
            text.push('"');
            text.push_str(&cell.replace('"', "\"\""));
            text.push('"');
        } else {
            text.push_str(cell);
        }
    }
    text
}
