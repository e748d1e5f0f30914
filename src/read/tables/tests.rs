use proptest::prelude::*;

use super::*;
use crate::tables::{FiberKind, LossFigures, Provenance, ShapeKind};
use crate::units::{Decibels, Nanometers};

/// Lays files over the built-in tables.
fn lay(files: &[(&str, &str)]) -> (std::sync::Arc<Tables>, Vec<Finding>) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("a file in it");
    }
    load(&[folder.path().to_path_buf()], &mut Sources::default())
}

/// The one finding of one file: its rule, its place, its message and hint.
fn fault(name: &str, text: &str) -> (&'static str, u32, u32, String) {
    let (_, findings) = lay(&[(name, text)]);
    let [found] = findings.as_slice() else { panic!("expected one finding: {findings:#?}") };
    let Finding { rule, origin, message, hint, .. } = found;
    (rule.id, origin.line, origin.column, format!("{message}; {hint}"))
}

fn assert_figures(figures: LossFigures, expected: [f64; 4], shape: ShapeKind) {
    let LossFigures { least, typical, most, spread, shape: read } = figures;
    for (value, expected) in [least, typical, most, spread].into_iter().zip(expected) {
        approx::assert_abs_diff_eq!(value.value(), expected, epsilon = 5e-5);
    }
    assert_eq!(read, shape);
}

#[test]
fn the_built_in_tables_have_no_fault() {
    let (mut tables, findings) = built_in_with_findings();
    assert!(findings.is_empty(), "{findings:#?}");
    // Laid over themselves they change nothing and their bands do not overlap.
    let rows = tables.wdm_elements.rows().len();
    for table in [&passive::WDM_ELEMENTS as &dyn TableFile, &passive::HAZARD_LEVELS] {
        let text = if table.name() == "wdm-elements" {
            passive::WDM_ELEMENTS.built_in
        } else {
            passive::HAZARD_LEVELS.built_in
        };
        let file = Sources::default().add("own", String::new());
        assert_eq!(table.lay_over(&mut tables, text, file).len(), 0);
    }
    assert_eq!(tables.wdm_elements.rows().len(), rows);
}

#[test]
fn a_row_replaces_a_row_or_is_added() {
    let before = built_in();
    let (tables, findings) = lay(&[(
        "connectors.csv",
        "grade,kind,most_db,typical_db,least_db,spread_db,shape,source,provenance,note\n\
         b,SM,0.3,0.1,0,0.05,gamma,site survey,user,measured in the field\n\
         House,any,0.4,0.2,0.05,0.08,gamma,site survey,user,\n",
    )]);
    assert!(findings.is_empty(), "{findings:#?}");
    assert_eq!(tables.connectors.rows().len(), before.connectors.rows().len() + 1);
    let row = tables.connectors.get("grade B").expect("found by the built-in alias still");
    assert_figures(row.value.figures, [0.0, 0.1, 0.3, 0.05], ShapeKind::Gamma);
    assert_eq!((row.provenance, row.origin.line), (Provenance::User, 2));
    assert_eq!(row.note, "measured in the field");
    // The cells stand in the order of the table's columns, whatever the order in the file.
    let columns = &tables.connectors.columns;
    let most = columns.iter().position(|c| c == "most_db").expect("the column");
    assert_eq!(columns, &before.connectors.columns);
    assert_eq!(row.cells.len(), columns.len());
    assert_eq!(row.cells[most], "0.3");
    let own = tables.connectors.get("house").expect("added");
    assert_eq!(own.value.kind, None);
    assert_eq!(
        tables.connectors.get("C").map(|r| r.value.figures),
        before.connectors.get("C").map(|r| r.value.figures)
    );
}

#[test]
fn the_later_folder_lies_on_top() {
    let folders: Vec<_> = (0..2).map(|_| tempfile::tempdir().expect("a folder")).collect();
    for (folder, most) in folders.iter().zip(["0.3", "0.4"]) {
        let text = format!("splice,most_db,source,provenance\nfusion,{most},own,user\n");
        std::fs::write(folder.path().join("splices.csv"), text).expect("a file in it");
    }
    let paths: Vec<_> = folders.iter().map(|f| f.path().to_path_buf()).collect();
    let (tables, findings) = load(&paths, &mut Sources::default());
    assert!(findings.is_empty(), "{findings:#?}");
    let most = tables.splices.get("fusion").map(|row| row.value.figures.most);
    assert_eq!(most, Some(Decibels::new(0.4)));
}

#[test]
fn every_fault_of_a_file_is_found_with_its_place() {
    let text = "grade,most_bd,kind,most_db,typical_db,source,provenance,published_fields\n\
                A,,SN,0.5 dB,\"0,2\",,publised,typical\n\
                B,,SM,,0.2,own,user,\n\
                C,,SM,0.5\n\
                D,,SM,0.2,0.5,own,user,\n\
                ,,SM,-1,nan,own,user,\n";
    let (tables, mut findings) = lay(&[("connectors.csv", text)]);
    crate::check::sort(&mut findings);
    let found: Vec<_> = findings
        .iter()
        .map(|f| (f.origin.line, f.origin.column, f.rule.id, f.message.as_str(), f.hint.as_str()))
        .collect();
    insta::assert_debug_snapshot!(found);
    let untouched = tables.connectors.get("B").map(|row| row.provenance);
    assert_eq!(untouched, Some(Provenance::Memory), "a row with a fault is left out");
}

#[test]
fn figures_left_out_are_taken_so_that_nothing_looks_better() {
    let text = "splice,least_db,typical_db,most_db,spread_db,shape,source,provenance,note\n\
                only-most,,,0.3,,,own,user,\n\
                least-and-most,0.1,,0.4,,,own,user,kept\n\
                typical-and-most,,0.1,0.3,,,own,user,\n\
                no-spread,0.05,0.1,0.3,,gamma,own,user,\n\
                uniform,0.1,0.2,0.3,,uniform,own,user,\n\
                exact,0.2,0.2,0.2,,,own,user,\n";
    let (tables, findings) = lay(&[("splices.csv", text)]);
    assert!(findings.is_empty(), "{findings:#?}");
    let row = |name: &str| tables.splices.get(name).expect("read");
    let figures = |name: &str| row(name).value.figures;
    assert_figures(figures("only-most"), [0.0, 0.3, 0.3, 0.0], ShapeKind::Fixed);
    // 0.3 / sqrt(12) = 0.0866.
    assert_figures(figures("least-and-most"), [0.1, 0.25, 0.4, 0.0866], ShapeKind::Uniform);
    assert_figures(figures("typical-and-most"), [0.0, 0.1, 0.3, 0.1], ShapeKind::Normal);
    assert_figures(figures("no-spread"), [0.05, 0.1, 0.3, 0.1], ShapeKind::Gamma);
    assert_figures(figures("uniform"), [0.1, 0.2, 0.3, 0.0577], ShapeKind::Uniform);
    assert_figures(figures("exact"), [0.2, 0.2, 0.2, 0.0], ShapeKind::Fixed);
    assert_eq!(
        row("least-and-most").note,
        "kept; not stated, taken: typical_db 0.25 dB, spread_db 0.087 dB"
    );
}

#[test]
fn a_shape_needs_its_figures() {
    let head = "splice,least_db,typical_db,most_db,shape,source,provenance\n";
    let found = |row: &str| fault("splices.csv", &format!("{head}{row},own,user\n"));
    assert_eq!(found("a,0.1,,0.3,gamma").1, 2);
    assert!(found("a,0.1,,0.3,gamma").3.contains("`gamma` needs `typical_db`"));
    assert!(found("a,,0.1,0.3,uniform").3.contains("`uniform` needs `least_db`"));
    assert!(found("a,0,0.1,0.3,round").3.contains("expected fixed, normal, truncated-normal, uniform"));
}

/// Two figures that differ are never quoted alike.
#[test]
fn figures_out_of_order_are_quoted_in_full() {
    let head = "splice,least_db,typical_db,most_db,source,provenance\n";
    let message = fault("splices.csv", &format!("{head}a,3.2103,3.2103,3.21029995,own,user\n")).3;
    assert!(message.contains("least 3.2103 dB, typical 3.2103 dB, most 3.21029995 dB"), "{message}");
}

/// 10 log10 32 = 15.0515 dB, 10 log10 2 = 3.0103 dB (plain arithmetic).
#[test]
fn no_splitter_loses_less_than_an_ideal_one() {
    let head = "splitter,inputs,outputs,least_db,typical_db,most_db,source,provenance\n";
    let file = |row: &str| format!("{head}{row},own,user\n");
    let (rule, line, column, message) = fault("splitters.csv", &file("1x32,1,32,14.9,16,17"));
    assert_eq!((rule, line, column), ("table.impossible-loss", 2, 11));
    assert!(message.starts_with("14.90 dB is less than an ideal element loses: 15.0515 dB"));
    assert_eq!(fault("splitters.csv", &file("1x32,1,32,,14,17")).0, "table.impossible-loss");
    assert_eq!(fault("splitters.csv", &file("1x32,1,32,,,14")).0, "table.impossible-loss");
    // A figure printed with two decimals is not refused for its rounding.
    assert!(lay(&[("splitters.csv", &file("1x2,1,2,3.01,3.3,3.6"))]).1.is_empty());
    let (tables, findings) = lay(&[("splitters.csv", &file("1x32,1,32,,,17"))]);
    assert!(findings.is_empty());
    let figures = tables.splitters.get("1x32").map(|row| row.value.figures);
    assert_figures(figures.expect("read"), [15.0515, 17.0, 17.0, 0.0], ShapeKind::Fixed);
    assert!(fault("splitters.csv", &file("1x32,1,16,15.1,16,17")).3.contains("16 outputs"));
}

/// Half the light is 3.01 dB: two legs of 2.9 dB each would carry 2 x 51.3 %.
#[test]
fn no_tap_gives_more_light_than_it_gets() {
    let head = "tap,tap_percent,through_least_db,through_most_db,tap_least_db,tap_most_db,\
                source,provenance\n";
    let file = |row: &str| format!("{head}{row},own,user\n");
    let (rule, line, _, message) = fault("taps.csv", &file("50/50,50,2.9,3.7,2.9,3.7"));
    assert_eq!((rule, line), ("table.impossible-loss", 2));
    assert!(message.contains("carry 102.6 % of the light"), "{message}");
    assert!(lay(&[("taps.csv", &file("50/50,50,3.01,3.7,3.01,3.7"))]).1.is_empty());
    // One leg may get more than its share if the other gets less.
    assert!(lay(&[("taps.csv", &file("90/10,10,0.52,0.9,9.5,11"))]).1.is_empty());
    assert!(fault("taps.csv", &file("90/10,20,1,1.5,7,8")).3.contains("tap share of 20 %"));
    let (tables, _) = lay(&[("taps.csv", &file("90/10,10,,0.9,,11"))]);
    let tap = &tables.taps.get("90/10").expect("read").value;
    // 90 % is 0.4576 dB, 10 % is 10 dB.
    approx::assert_abs_diff_eq!(tap.through.least.value(), 0.457_575, epsilon = 1e-6);
    approx::assert_abs_diff_eq!(tap.tap.least.value(), 10.0, epsilon = 1e-12);
}

#[test]
fn files_and_columns_are_known_by_name() {
    let found = fault("splice.csv", "splice,most_db,source,provenance\n");
    assert_eq!((found.0, found.1), ("table.unknown-table", 0));
    assert!(found.3.ends_with("did you mean `splices.csv`?"), "{}", found.3);
    let found = fault("splices.csv", "splice,most_db,sauce,source,provenance\n");
    assert_eq!((found.0, found.1, found.2), ("table.unknown-column", 1, 16));
    assert!(found.3.ends_with("did you mean `source`?"), "{}", found.3);
    let found = fault("splices.csv", "splice,most_db,splice,source,provenance\n");
    assert!(found.3.contains("`splice` stands twice"), "{}", found.3);
    assert_eq!(fault("splices.csv", "splice,source,provenance\n").0, "table.missing-column");
    assert_eq!(fault("splices.csv", "splice,most_db,source\n").0, "table.missing-source");
    assert_eq!(fault("splices.csv", "\n\n").0, "plan.syntax");
    let found = fault("splices.csv", "splice;most_db;source;provenance\na;1;own;user\n");
    assert!(found.3.contains("parted by semicolons"), "{}", found.3);
    let found = fault("splices.csv", "splice,most_db,source,provenance\na,0,1,own,user\n");
    assert_eq!((found.0, found.1, found.2), ("plan.syntax", 2, 11));
    assert!(found.3.contains("a decimal comma"), "{}", found.3);
    // What is no CSV file is none of the reader's business.
    assert!(lay(&[("README.md", "# own tables"), (".splice.csv", "x")]).1.is_empty());
}

#[test]
fn fibers_go_by_any_of_their_names() {
    let fibers = "fiber,kind,aliases,nm_min,nm_max,source,provenance\n\
                  Own-Fiber,SM,own;OF,1260,1625,data sheet,user\n";
    let attenuation = "fiber,nm,most_db_km,source,provenance\n\
                       G652D,1310,0.37,data sheet,user\n\
                       own,1310,0.38,data sheet,user\n";
    let transitions = "fiber_a,fiber_b,most_db,source,provenance\n\
                       G.652.B,G652A,0.07,data sheet,user\n\
                       G.652.D,OF,0.08,data sheet,user\n";
    let (tables, findings) = lay(&[
        ("fiber-attenuation.csv", attenuation),
        ("fiber-transitions.csv", transitions),
        ("fibers.csv", fibers),
    ]);
    assert!(findings.is_empty(), "{findings:#?}");
    let most = |fiber| tables.attenuations.at(fiber, Nanometers::new(1310.0)).map(|f| f.0.most);
    assert_eq!(most("G.652.D"), Some(Decibels::new(0.37)));
    assert_eq!(most("Own-Fiber"), Some(Decibels::new(0.38)));
    let figures = |key| tables.transitions.get(key).map(|row| row.value.figures.most.value());
    assert_eq!(figures("G.652.A to G.652.B"), Some(0.07));
    assert_eq!(figures("G.652.B to G.652.A"), None);
    assert_eq!(figures("G.652.D to Own-Fiber"), Some(0.08));
    assert_eq!(tables.fibers.get("of").map(|row| row.value.kind), Some(FiberKind::SingleMode));

    let found = fault("fiber-transitions.csv", &transitions.replace("OF", "G.652.D"));
    assert!(found.3.contains("the same fiber type"), "{}", found.3);
    let found = fault("fiber-attenuation.csv", &attenuation.replace("own", "G.652.E"));
    assert!(found.3.contains("`G.652.E` is not a fiber type; did you mean `G.65"));
}

#[test]
fn names_and_bands_belong_to_one_row() {
    let head = "element,leg,nm_min,nm_max,most_db,source,provenance\n";
    let own = |rows: &str| format!("{head}{rows}");
    let found = fault("wdm-elements.csv", &own("CE-GPON-XGS,gpon,1285,1360,1,own,user\n"));
    assert_eq!((found.0, found.1), ("table.overlapping-bands", 2));
    assert!(found.3.contains("CE-GPON-XGS/gpon @ 1285-1360 nm"), "{}", found.3);
    assert!(lay(&[("wdm-elements.csv", &own("CE-GPON-XGS,gpon,1290,1330,1,own,user\n"))]).1.is_empty());
    // A long band over two short ones: both are named, though only one is its neighbour.
    let rows = "X,a,1260,1600,1,own,user\nX,b,1300,1310,1,own,user\nX,c,1500,1510,1,own,user\n\
                X,d,1600,1610,1,own,user\n";
    assert_eq!(lay(&[("wdm-elements.csv", &own(rows))]).1.len(), 2);
    assert!(fault("wdm-elements.csv", &own("X,com,1260,1600,1,own,user\n")).3.contains("`com`"));

    let splices = "splice,aliases,most_db,source,provenance\n";
    let twice = format!("{splices}Mine,,0.1,own,user\n mine ,,0.2,own,user\n");
    let found = fault("splices.csv", &twice);
    assert_eq!((found.0, found.1, found.2), ("table.duplicate-row", 3, 2));
    assert!(found.3.contains("the first is in line 2"), "{}", found.3);
    let alias = format!("{splices}Mine,ribbon,0.1,own,user\n");
    assert!(fault("splices.csv", &alias).3.contains("a name of `ribbon` already"));
}

#[test]
fn what_optics_belong_to_is_checked() {
    let found =
        fault("cages.csv", "cage,module,seats,works,source,provenance\nSFP+,SPF,yes,yes,own,user\n");
    assert_eq!((found.0, found.1, found.2), ("table.bad-cell", 2, 6));
    assert!(found.3.starts_with("`SPF` is not a form factor; did you mean `SFP"), "{}", found.3);
    let found =
        fault("cages.csv", "cage,module,seats,works,source,provenance\nSFP,SFP+,yes,depends,own,user\n");
    assert!(found.3.contains("does not say on what"), "{}", found.3);
    let found =
        fault("cages.csv", "cage,module,seats,works,source,provenance\nSFP,SFP+,maybe,no,own,user\n");
    assert!(found.3.contains("expected yes, no, with-adapter"), "{}", found.3);
    let found =
        fault("form-factors.csv", "form,identifiers,host_lanes,source,provenance\nOWN,3,1,own,user\n");
    assert!(found.3.contains("two hexadecimal digits"), "{}", found.3);
    let found = fault("cards.csv", "card,ports,fec,source,provenance\nown-4,4,rs529,own,user\n");
    assert!(found.3.contains("`rs529` is not a word of `fec`"), "{}", found.3);
    let found = fault("cards.csv", "card,ports,source,provenance\nown-4,4.5,own,user\n");
    assert!(found.3.contains("4.5 is not whole"), "{}", found.3);
    let alias = "alias,interface,candidates,source,provenance\n";
    let found = fault("interface-aliases.csv", &format!("{alias}x,?,10GBASE-LR,own,user\n"));
    assert!(found.3.contains("two or more interface types"), "{}", found.3);
    let found = fault("interface-aliases.csv", &format!("{alias}x,10GBASE-LRX,,own,user\n"));
    assert!(found.3.contains("did you mean `10GBASE-LR`?"), "{}", found.3);
    let both = format!("{alias}x,10GBASE-LR,10GBASE-SR,own,user\n");
    assert!(fault("interface-aliases.csv", &both).3.contains("is for spellings with `?`"));
    let power = "form,class,most_w,source,provenance\nSFP+,3,-2,own,user\n";
    assert!(fault("power-classes.csv", power).3.contains("a number of W from 0 to 1000"));
}

#[test]
fn cards_and_pairs_of_ones_own_replace_the_built_in() {
    let (tables, findings) = lay(&[
        (
            "cards.csv",
            "card,cage,ports,interfaces,source,provenance\nPON-8,sfp plus,4,XGS-PON *,own,user\n",
        ),
        ("coexistence.csv", "system_a,system_b,possible,source,provenance\nXGS-PON,GPON,no,own,user\n"),
    ]);
    assert!(findings.is_empty(), "{findings:#?}");
    let card = &tables.cards.get("pon-8").expect("the card").value;
    assert_eq!((card.cage.as_str(), card.ports, card.group), ("SFP+", 4, 1));
    let count = |tables: &Tables| tables.coexistences.rows().len();
    assert_eq!(count(&tables), count(&built_in()));
    assert_eq!(tables.coexistence("GPON", "XGS-PON").map(|row| row.value.possible), Some(false));
}

#[test]
fn wavelengths_are_listed_by_lane() {
    let head = "interface,lanes,fiber_kind,fibers,tx_nm_min,tx_nm,tx_nm_max,rx_nm_min,rx_nm_max,\
                source,provenance\n";
    let file = |row: &str| format!("{head}{row},own,user\n");
    let text = file("X-4,4,SM,2,1264;1284,1271;1291,1278;1298,1260;1530,1360;1565");
    let (tables, findings) = lay(&[("interfaces.csv", &text)]);
    assert!(findings.is_empty(), "{findings:#?}");
    let value = &tables.interfaces.get("X-4").expect("read").value;
    let bands: Vec<_> = value.transmit.iter().map(|b| b.nominal.value()).collect();
    assert_eq!((bands, value.receive.len()), (vec![1271.0, 1291.0], 2));
    let uneven = file("X-4,4,SM,2,1264;1284,1271,1278;1298,,");
    assert!(fault("interfaces.csv", &uneven).3.contains("as many wavelengths each"));
    let outside = file("X-1,1,SM,2,1264,1300,1278,,");
    assert!(fault("interfaces.csv", &outside).3.contains("1300 nm is outside 1264 to 1278 nm"));
    let too_many = file("X-1,1,SM,2,,1271;1291,,,");
    assert!(fault("interfaces.csv", &too_many).3.contains("2 wavelengths for 1 lanes"));
}

#[test]
fn a_missing_folder_names_its_neighbour() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::create_dir(folder.path().join("own-tables")).expect("a folder in it");
    let (tables, findings) = load(&[folder.path().join("own-table")], &mut Sources::default());
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].rule.id, "plan.missing-file");
    assert!(findings[0].hint.contains("`own-tables`"), "{}", findings[0].hint);
    assert!(!tables.fibers.rows().is_empty(), "the built-in tables stay");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever a file holds, it is read to its end without a panic, and what is laid is in order.
    #[test]
    fn any_text_is_read(rows in prop::collection::vec("[a-c0-9.,;\"\n -]{0,30}", 0..6)) {
        let built_in = empty();
        for table in ALL {
            let mut tables = built_in.clone();
            let head = format!("source,provenance,{}\n", match table.name() {
                "splitters" => "splitter,inputs,outputs,least_db,most_db",
                "taps" => "tap,tap_percent,through_most_db,tap_most_db",
                "interfaces" => "interface,lanes,fiber_kind,fibers,tx_nm,tx_nm_min,tx_nm_max",
                _ => "splice,most_db",
            });
            let text = head + &rows.join("\n");
            let file = Sources::default().add("own", String::new());
            table.lay_over(&mut tables, &text, file);
            for row in tables.splices.rows() {
                prop_assert!(row.value.figures.checked().is_ok());
            }
        }
    }

    /// The order of the rows does not change what is found.
    #[test]
    fn findings_do_not_depend_on_the_order_of_rows(rows in Just(MIXED.to_vec()).prop_shuffle()) {
        let found = messages(&rows);
        prop_assert_eq!(found.len(), 4);
        prop_assert_eq!(found, messages(&MIXED));
    }
}

/// One row without a fault and four with one each.
const MIXED: [&str; 5] =
    ["a,0.1,own,user", "b,x,own,user", "c,0.2,,user", "d,0.3,own,sure", "e,,own,user"];

/// The sorted messages for a table of splices.
fn messages(rows: &[&str]) -> Vec<String> {
    let text = format!("splice,most_db,source,provenance\n{}\n", rows.join("\n"));
    let file = Sources::default().add("own", String::new());
    let findings = joint::SPLICES.lay_over(&mut empty(), &text, file);
    let mut found: Vec<_> = findings.into_iter().map(|f| f.message).collect();
    found.sort();
    found
}
