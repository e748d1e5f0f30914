//! The built-in reference tables: every row accounted for, every identity kept, published values
//! in their place. Beside each published value stands the text it comes from; `restated` means that
//! a public text restating the document was read, not the document itself.

use std::collections::HashMap;

use spanwright::read::sources::Sources;
use spanwright::read::tables::{built_in, load};
use spanwright::tables::{
    Family, FiberKind, Grade, Optic, PonClass, Provenance, Role, Row, SplitterType, Table, Tables,
};
use spanwright::units::{DecibelMilliwatts, Decibels, Kilometers, Nanometers};

/// Arithmetic on two-decimal figures, binary noise aside.
const EXACT: f64 = 1e-9;

fn rows<T>(table: &Table<T>) -> impl Iterator<Item = (String, &Row<T>)> {
    table.rows().iter().map(|row| (format!("{}: {}", table.name, row.key), row))
}

/// Runs the same check over every row of every table.
fn every_row(tables: &Tables, mut check: impl FnMut(&str, &[String], &Stated<'_>)) {
    macro_rules! over {
        ($($table:ident),*) => {$(
            for (name, row) in rows(&tables.$table) {
                let Row { cells, source, provenance, origin, aliases, key, .. } = row;
                let stated = Stated { cells, source, provenance: *provenance, key, aliases };
                assert_eq!(*origin, spanwright::place::Origin::BUILT_IN, "{name}");
                check(&name, &tables.$table.columns, &stated);
            }
        )*};
    }
    over!(
        fibers,
        attenuation,
        transitions,
        dispersion_points,
        optic_spreads,
        connectors,
        polishes,
        splices,
        splitters,
        taps,
        wdm_elements,
        attenuators,
        hazard_levels,
        pon_classes,
        interfaces,
        inventory_columns,
        module_codes,
        interface_aliases,
        electrical_words,
        form_factors,
        cages,
        power_classes,
        temperature_ranges,
        cards,
        breakouts,
        coexistences,
        strand_colors,
        cable_templates
    );
}

struct Stated<'t> {
    cells: &'t [String],
    source: &'t str,
    provenance: Provenance,
    key: &'t str,
    aliases: &'t [String],
}

#[test]
fn every_row_says_where_it_comes_from() {
    let mut count = 0;
    every_row(&built_in(), |name, columns, row| {
        count += 1;
        assert!(!row.source.trim().is_empty(), "{name}: no source");
        // Invented rows are for the examples and say so in their name; every card is invented.
        let demo = row.provenance == Provenance::InventedDemo;
        let invented = row.key.starts_with("demo-") || name.starts_with("cards: ");
        assert_eq!(demo, invented, "{name}");
        assert_ne!(row.provenance, Provenance::User, "{name}");
        assert_eq!(row.cells.len(), columns.len(), "{name}");
        let fields = columns.iter().position(|column| column == "published_fields");
        let published = fields.map_or("", |index| row.cells[index].as_str());
        for field in published.split(';').filter(|field| !field.is_empty()) {
            let cell = columns.iter().position(|column| column == field);
            let cell = cell.map_or("", |index| row.cells[index].as_str());
            assert!(!cell.is_empty(), "{name}: `{field}` was read, but is empty");
        }
    });
    // One row a line of the files: none was lost on the way.
    let files = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/reference-tables"));
    let lines: usize = files
        .expect("the folder")
        .map(|file| std::fs::read_to_string(file.expect("a file").path()).expect("text"))
        .map(|text| text.lines().count() - 1)
        .sum();
    assert_eq!(count, lines);
}

#[test]
fn no_name_stands_for_two_rows() {
    let mut owners: HashMap<(String, String), String> = HashMap::new();
    every_row(&built_in(), |name, _, row| {
        let table = name.split(':').next().unwrap_or_default();
        // Optics of both tables are looked up together.
        let space = if table == "pon-classes" { "interfaces" } else { table };
        for alias in row.aliases.iter().map(String::as_str).chain([row.key]) {
            let other = owners.insert((space.to_string(), alias.to_lowercase()), name.to_string());
            let same = other.as_deref().is_none_or(|other| other == name);
            assert!(same, "`{alias}` names {name} and {}", other.unwrap_or_default());
        }
    });
}

/// The arithmetic of one direction of a class; what is not stated is not judged.
fn broken_identities(class: &PonClass) -> Vec<String> {
    let directions = [
        ("down", class.olt_launch, class.onu_receive, class.penalty_down, class.max_loss_down),
        ("up", class.onu_launch, class.olt_receive, class.penalty_up, class.max_loss_up),
    ];
    let differ = |a: Decibels, b: Decibels| (a.value() - b.value()).abs() > EXACT;
    let mut broken = Vec::new();
    for (way, [least, most], [sensitivity, overload], penalty, max_loss) in directions {
        if let (Some(tx), Some(rx), Some(penalty), Some(loss)) = (least, sensitivity, penalty, max_loss)
            && differ(tx - rx - penalty, loss)
        {
            broken.push(format!("{way}: {tx} - {rx} - {penalty} is not {loss}"));
        }
        if let (Some(tx), Some(rx), Some(loss)) = (most, overload, class.min_loss)
            && differ(tx - rx, loss)
        {
            broken.push(format!("{way}: {tx} - {rx} is not {loss}"));
        }
    }
    broken
}

/// ITU-T G.982 and its followers: a class is the loss window between two pairs of levels.
#[test]
fn a_class_closes_or_says_why_not() {
    let tables = built_in();
    for (name, row) in rows(&tables.pon_classes) {
        let broken = broken_identities(&row.value);
        let excused = !row.value.exception.is_empty();
        assert_eq!(!broken.is_empty(), excused, "{name}: {broken:?}");
    }
}

/// Conservation of energy.
#[test]
fn no_passive_element_gives_more_than_it_gets() {
    let tables = built_in();
    for (name, row) in rows(&tables.splitters) {
        let SplitterType { outputs, figures, .. } = &row.value;
        let ideal = 10.0 * f64::from(*outputs).log10();
        assert!(figures.least.value() >= ideal, "{name}: {}", figures.least);
    }
    for (name, row) in rows(&tables.taps) {
        let share = |loss: Decibels| 10f64.powf(-loss.value() / 10.0);
        let sum = share(row.value.through.least) + share(row.value.tap.least);
        // Ideal ratios are printed with four decimals.
        assert!(sum <= 1.0 + 2e-5, "{name}: {sum}");
    }
}

#[test]
fn every_optic_is_found_by_each_of_its_names() {
    let tables = built_in();
    let family = |name: &str, role| Optic::find(&tables, name, role).map(|optic| optic.family);
    for (index, row) in tables.interfaces.rows().iter().enumerate() {
        for name in row.aliases.iter().chain([&row.key]) {
            let Some(Family::Interface(id)) = family(name, Role::Peer) else {
                panic!("`{name}` is not found");
            };
            assert_eq!(id.0 as usize, index, "{name}");
        }
        for mate in &row.value.mates_with {
            let mate = tables.interfaces.get(mate);
            let back = mate.is_some_and(|mate| mate.value.mates_with.contains(&row.key));
            assert!(back, "{}: a mate that does not mate back", row.key);
        }
    }
    for (index, row) in tables.pon_classes.rows().iter().enumerate() {
        let PonClass { system, class, .. } = &row.value;
        for (word, role) in [("OLT", Role::Olt), ("ONU", Role::Onu), ("ONT", Role::Onu)] {
            let spelled = [
                format!("{system}-{word}-{class}"),
                format!("{system}-{class}-{word}"),
                format!("{} {} {class}", system.to_lowercase(), word.to_lowercase()),
            ];
            for name in spelled {
                let optic = Optic::find(&tables, &name, Role::Peer).expect(&name);
                assert_eq!((optic.role, role_of(&optic)), (role, index), "{name}");
            }
        }
        let plain = format!("{system}-{class}");
        for name in row.aliases.iter().chain([&row.key, &plain]) {
            for role in [Role::Olt, Role::Onu] {
                let optic = Optic::find(&tables, name, role).expect(name);
                assert_eq!((optic.role, role_of(&optic)), (role, index), "{name}");
            }
        }
    }
    for name in Optic::names(&tables) {
        assert!(family(&name, Role::Peer).is_some(), "{name} is suggested, but not found");
    }
}

fn role_of(optic: &Optic) -> usize {
    match optic.family {
        Family::Pon(id) => id.0 as usize,
        Family::Interface(id) => panic!("{}: interface {id:?}", optic.name),
    }
}

#[test]
fn every_fiber_has_figures_over_its_usable_range() {
    let tables = built_in();
    for (name, row) in rows(&tables.fibers) {
        let (shortest, longest) = row.value.usable;
        let steps = 40;
        for step in 0..=steps {
            let part = f64::from(step) / f64::from(steps);
            let at = Nanometers::new(shortest.value() + part * (longest - shortest).value());
            let found = tables.attenuations.at(&row.key, at);
            let (figures, _) = found.unwrap_or_else(|| panic!("{name}: nothing at {at}"));
            assert!(figures.checked().is_ok(), "{name} at {at}: {figures:?}");
        }
    }
}

fn level(value: Option<DecibelMilliwatts>) -> f64 {
    value.map_or(f64::NAN, DecibelMilliwatts::value)
}

fn loss(value: Option<Decibels>) -> f64 {
    value.map_or(f64::NAN, Decibels::value)
}

/// Launch least and most, sensitivity, overload in dBm of one side of a class.
fn side(tables: &Tables, name: &str, role: Role) -> [f64; 4] {
    let optic = Optic::find(tables, name, role).expect(name);
    [level(optic.launch[0]), level(optic.launch[1]), level(optic.receive_least), level(optic.overload)]
}

#[test]
fn published_levels_of_pon_classes() {
    let tables = built_in();
    let published = [
        // ITU-T G.984.2 Amd 1 (02/2006) Appendix III, restated: all eight levels of class B+.
        ("GPON B+", Role::Olt, [1.5, 5.0, -28.0, -8.0]),
        ("GPON B+", Role::Onu, [0.5, 5.0, -27.0, -8.0]),
        // ITU-T G.9807.1 (06/2016) Annex B, restated.
        ("XGS-PON N1", Role::Olt, [2.0, 5.0, -26.0, -5.0]),
        ("XGS-PON N1", Role::Onu, [4.0, 9.0, -28.0, -9.0]),
        ("XGS-PON N2", Role::Olt, [4.0, 7.0, -28.0, -7.0]),
        ("XGS-PON N2", Role::Onu, [4.0, 9.0, -28.0, -9.0]),
        ("XGS-PON E1", Role::Olt, [6.0, 9.0, -30.0, -9.0]),
        ("XGS-PON E1", Role::Onu, [4.0, 9.0, -28.0, -9.0]),
    ];
    for (name, role, expected) in published {
        assert_eq!(side(&tables, name, role), expected, "{name} {role:?}");
    }
    // ITU-T G.984.2 (08/2019), restated: OLT launch and ONU receiver of classes A and B.
    for (name, launch) in [("GPON A", [0.0, 4.0]), ("GPON B", [5.0, 9.0])] {
        assert_eq!(side(&tables, name, Role::Olt)[..2], launch, "{name}");
        assert_eq!(side(&tables, name, Role::Onu)[2..], [-21.0, -1.0], "{name}");
    }
    // IEEE 802.3 Clause 75, restated: power budgets up and down.
    for (name, up, down) in [("PR10", 23.0, 21.5), ("PR20", 27.0, 25.5), ("PR30", 32.0, 30.5)] {
        let class = &tables.pon_classes.get(name).expect(name).value;
        assert_eq!(loss(class.max_loss_up) + loss(class.penalty_up), up, "{name}");
        assert_eq!(loss(class.max_loss_down) + loss(class.penalty_down), down, "{name}");
    }
}

#[test]
fn published_levels_of_interfaces() {
    let tables = built_in();
    let get = |name: &str| &tables.interfaces.get(name).expect(name).value;
    // IEEE 802.3 Clause 52, restated in a regulator's rule table: launch -8.2 to 0.5 dBm, at the
    // receiver -14.4 to 0.5 dBm, 1260 to 1355 nm, 10 km.
    let lr = get("10G-LR");
    assert_eq!(lr.launch.map(level), [-8.2, 0.5]);
    assert_eq!((level(lr.receive_min), level(lr.overload.map(|o| o.0))), (-14.4, 0.5));
    let band = lr.transmit[0];
    assert_eq!((band.shortest.value(), band.longest.value()), (1260.0, 1355.0));
    assert_eq!(lr.reach("G.652.D", FiberKind::SingleMode).map(Kilometers::value), Some(10.0));
    // The same rule table: 10GBASE-SR, launch -7.3 to -1.0 dBm, 840 to 860 nm.
    let sr = get("10GBASE-SR");
    assert_eq!(sr.launch.map(level), [-7.3, -1.0]);
    // An operator's notes: receiver -9.9 to -1.0 dBm (SR), -15.8 to -1.0 dBm (ER).
    assert_eq!((level(sr.receive_min), level(sr.overload.map(|o| o.0))), (-9.9, -1.0));
    let er = get("10GBASE-ER");
    assert_eq!((level(er.receive_min), level(er.overload.map(|o| o.0))), (-15.8, -1.0));
    // IEEE 802.3 Clause 38, restated in equipment manuals: sensitivity -17 (SX), -19 dBm (LX).
    assert_eq!(level(get("1000BASE-SX").sensitivity.map(|s| s.0)), -17.0);
    assert_eq!(level(get("1000BASE-LX").sensitivity.map(|s| s.0)), -19.0);
    assert_eq!(get("1000BASE-LX").launch.map(level), [-11.0, -3.0]);
    // TIA, a trade association's text: 25GBASE-SR, 70 m on OM3, 100 m on OM4, 1.9 dB.
    let sr25 = get("25GBASE-SR");
    let reach = |fiber| sr25.reach(fiber, FiberKind::Multimode).map(Kilometers::meters);
    assert_eq!((reach("OM3"), reach("OM4"), reach("OM1")), (Some(70.0), Some(100.0), None));
    assert_eq!(loss(sr25.max_channel_loss.limit(Some(Grade::Om4))), 1.9);
    assert_eq!(loss(sr25.max_channel_loss.limit(Some(Grade::Om3))), 1.8);
}

#[test]
fn published_losses_of_passive_parts() {
    let tables = built_in();
    // ITU-T G.652 (11/2016) Table 2, restated: G.652.D limits.
    let most = |nm| {
        let found = tables.attenuations.at("G.652.D", Nanometers::new(nm));
        found.map_or(f64::NAN, |(figures, _)| figures.most.value())
    };
    assert_eq!([1310.0, 1550.0, 1625.0].map(most), [0.4, 0.3, 0.4]);
    // IEC 61753-1 and IEC 61755-1, restated: mean of random matings.
    for (grade, mean) in [("B", 0.12), ("C", 0.25), ("D", 0.5)] {
        let row = tables.connectors.get(grade).expect(grade);
        assert_eq!(row.value.figures.typical.value(), mean, "{grade}");
    }
    // TIA-568.3, restated: 0.75 dB a mated pair, 0.3 dB a splice.
    let connector = &tables.connectors.get("TIA-568").expect("the row").value;
    assert_eq!(connector.figures.most.value(), 0.75);
    // An association's loss-estimating page: fusion 0.05 typical, 0.10 most; 0.15 for planning.
    let splice = |name: &str| tables.splices.get(name).expect(name).value.figures;
    assert_eq!(splice("fusion-TIA").most.value(), 0.3);
    assert_eq!((splice("fusion").typical.value(), splice("fusion").most.value()), (0.05, 0.1));
    assert_eq!(splice("fusion-planning").most.value(), 0.15);
    // An operator's worst-value design text, restated.
    let worst = [(2, 3.6), (4, 7.3), (8, 10.7), (16, 14.0), (32, 17.4), (64, 21.6)];
    for (legs, most) in worst {
        let row = tables.splitters.get(&format!("1x{legs}")).expect("the row");
        assert_eq!(row.value.figures.most.value(), most, "1x{legs}");
    }
    // IEC 60825-2, restated: 136 mW above 1400 nm; 10 log10 136 = 21.335.
    let limit = tables.hazard_levels.get("1M @ 1400-1675 nm").expect("the row").value.limit;
    approx::assert_abs_diff_eq!(limit.value(), 21.335, epsilon = 0.006);
}

#[test]
fn published_dispersion() {
    let tables = built_in();
    let dispersion = |fiber: &str, nm| {
        let range = tables.dispersion(fiber, Nanometers::new(nm));
        range.map_or([f64::NAN; 2], |(low, high)| [low.value(), high.value()])
    };
    // Three-term Sellmeier form of ITU-T G.652 with zero dispersion at 1300 and 1324 nm and a slope
    // of 0.092 ps/(nm² km), computed apart with a high-precision library.
    let envelope = [
        (1260.0, f64::NAN, -3.858_976_272_46),
        (1270.0, -5.293_933_932_89, f64::NAN),
        (1310.0, f64::NAN, 0.909_519_156_475),
        (1490.0, 12.904_110_833_9, 14.411_682_958_2),
        (1577.0, 18.249_758_922_3, 19.521_333_462_6),
        (1625.0, 20.904_010_873_4, f64::NAN),
    ];
    for (nm, low, high) in envelope {
        let read = dispersion("G.652.B", nm);
        for (read, expected) in read.into_iter().zip([low, high]).filter(|(_, e)| !e.is_nan()) {
            approx::assert_abs_diff_eq!(read, expected, epsilon = 1e-9);
        }
    }
    // ITU-T G.655 (03/2006 and later) Tables 2 and 3, restated: 1550 nm.
    assert_eq!(dispersion("G.655.D", 1550.0), [2.8, 6.2]);
    assert_eq!(dispersion("G.655.E", 1550.0), [6.06, 9.31]);
    // IEC 60793-2-10, restated: effective modal bandwidth, zero-dispersion window of OM2 to OM4.
    let fiber = |name: &str| &tables.fibers.get(name).expect(name).value;
    assert_eq!(fiber("OM3").bandwidth_850, Some(2000.0));
    assert_eq!(fiber("OM4").bandwidth_850, Some(4700.0));
    let window = fiber("OM4").zero_dispersion.map(|(a, b)| (a.value(), b.value()));
    assert_eq!(window, Some((1295.0, 1340.0)));
}

/// Attenuation between two anchors stated in a table of one's own: Rayleigh scattering, a constant
/// and the infrared edge, computed apart with a high-precision library.
#[test]
fn published_spectral_model() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text);
    let fibers = "fiber,kind,nm_min,nm_max,source,provenance\nAnchored,SM,1260,1625,own,user\n";
    write("fibers.csv", fibers).expect("written");
    let head = "fiber,nm,least_db_km,typical_db_km,most_db_km,source,provenance\n";
    let points = "Anchored,1310,0.33,0.35,0.40,own,user\nAnchored,1550,0.19,0.22,0.30,own,user\n";
    write("fiber-attenuation.csv", &format!("{head}{points}")).expect("written");
    let (tables, findings) = load(&[folder.path().to_path_buf()], &mut Sources::default());
    assert!(findings.is_empty(), "{findings:?}");
    let at = |nm| {
        let found = tables.attenuations.at("Anchored", Nanometers::new(nm));
        let (figures, _) = found.expect("between the anchors");
        [figures.least, figures.typical, figures.most].map(Decibels::value)
    };
    let [least, typical, _] = at(1490.0);
    approx::assert_abs_diff_eq!(least, 0.203_976_959_436, epsilon = 1e-9);
    approx::assert_abs_diff_eq!(typical, 0.232_194_891_042, epsilon = 1e-9);
    approx::assert_abs_diff_eq!(at(1331.0)[0], 0.309_879_937_887, epsilon = 1e-9);
    approx::assert_abs_diff_eq!(at(1331.0)[1], 0.331_138_311_612, epsilon = 1e-9);
    approx::assert_abs_diff_eq!(at(1383.0)[2], 0.352_502_005_82, epsilon = 1e-9);
    // Nothing is extrapolated.
    assert!(tables.attenuations.at("Anchored", Nanometers::new(1577.0)).is_none());
}
