//! What the written names of interface types and PON classes stand for. The spellings are those of
//! inventories and labels: common practice, from memory of such files.

use spanwright::read::sources::Sources;
use spanwright::read::tables::{built_in, load};
use spanwright::tables::{Named, Optic, Role, Tables};

fn one(tables: &Tables, written: &str, form: Option<&str>) -> String {
    match tables.interface_named_in(written, form) {
        Named::One(name) => name.to_string(),
        other => panic!("`{written}` in {form:?}: {other:?}"),
    }
}

fn several(tables: &Tables, written: &str, form: Option<&str>) -> Vec<String> {
    match tables.interface_named_in(written, form) {
        Named::Several(names) => names.into_iter().map(String::from).collect(),
        other => panic!("`{written}` in {form:?}: {other:?}"),
    }
}

#[test]
fn a_spelling_that_is_clear_names_one_optic() {
    let tables = built_in();
    for (written, expected) in [
        ("10GBASE-LR", "10GBASE-LR"),
        ("10gbase lr", "10GBASE-LR"),
        ("10G-LR", "10GBASE-LR"),
        ("10GLR", "10GBASE-LR"),
        ("10G_LR", "10GBASE-LR"),
        ("10G\u{2013}LR", "10GBASE-LR"),
        ("10G\u{a0}LR", "10GBASE-LR"),
        ("10GE LR", "10GBASE-LR"),
        ("LR 10G", "10GBASE-LR"),
        ("LR SFP+", "10GBASE-LR"),
        ("SFP+ LR 10km", "10GBASE-LR"),
        ("SFP+ LR 10 km", "10GBASE-LR"),
        ("SFPP LR", "10GBASE-LR"),
        ("SFP PLUS LR", "10GBASE-LR"),
        ("LR 1310nm 10G module", "10GBASE-LR"),
        ("10GBASE-LW", "10GBASE-LR"),
        ("SFP28-LR", "25GBASE-LR"),
        ("QSFP28 LR4", "100GBASE-LR4"),
        ("QSFP112 DR4", "400GBASE-DR4"),
        ("QSFP56 FR4", "200GBASE-FR4"),
        ("40G LR4", "40GBASE-LR4"),
        ("100G FR", "100GBASE-FR1"),
        ("SX", "1000BASE-SX"),
        ("LX/LH", "1000BASE-LX"),
        ("1000BASE-LX/LH", "1000BASE-LX"),
        ("LX 10km", "1000BASE-LX10"),
        ("ZX80", "1000BASE-ZX"),
        ("1000BASE-BX-U", "1000BASE-BX10-U"),
        ("1G BX10-D", "1000BASE-BX10-D"),
        ("10G BX20-D", "10GBASE-BR20-D"),
        ("BX 1310/1490 1G", "1000BASE-BX10-U"),
        ("1G TX1490/RX1310", "1000BASE-BX10-D"),
        ("1G BiDi 1550/1310", "1000BASE-BX-1550/1310"),
        ("ER4L", "100G-4WDM-40"),
        ("ER4 lite", "100G-4WDM-40"),
        ("GPON-OLT-B+", "GPON-OLT-B+"),
        ("gpon olt b+", "GPON-OLT-B+"),
        ("GPON_ONT_C+", "GPON-ONU-C+"),
        ("XGSPON N1", "XGS-PON N1"),
        ("GPON B+", "GPON B+"),
    ] {
        assert_eq!(one(&tables, written, None), expected, "{written}");
    }
}

#[test]
fn the_form_factor_chooses_among_several() {
    let tables = built_in();
    for (written, form, expected) in [
        ("LR", "SFP+", "10GBASE-LR"),
        ("LR", "XFP", "10GBASE-LR"),
        ("lr", "sfp28", "25GBASE-LR"),
        ("LR", "SFP56", "50GBASE-LR"),
        ("SR4", "QSFP", "40GBASE-SR4"),
        ("SR4", "QSFP28", "100GBASE-SR4"),
        ("10km 1310", "SFP+", "10GBASE-LR"),
        // What stands in the name goes before the cage that the optic sits in.
        ("SFP+ LR", "SFP28", "10GBASE-LR"),
        // A name that is clear stays what it is, whatever the cage.
        ("10GBASE-LR", "SFP28", "10GBASE-LR"),
        ("SX", "SFP+", "1000BASE-SX"),
    ] {
        assert_eq!(one(&tables, written, Some(form)), expected, "{written} in {form}");
    }
}

#[test]
fn a_spelling_that_is_not_clear_is_not_guessed() {
    let tables = built_in();
    for (written, form, among) in [
        ("LR", None, ["10GBASE-LR", "25GBASE-LR"]),
        ("SR", None, ["10GBASE-SR", "25GBASE-SR"]),
        // LX in one shop, 40 to 80 km in another.
        ("LH", None, ["1000BASE-LX", "1000BASE-ZX"]),
        ("LH", Some("SFP"), ["1000BASE-LX", "1000BASE-ZX"]),
        ("1G LH", Some("SFP+"), ["1000BASE-LX", "1000BASE-EX"]),
        ("BX-U", None, ["1000BASE-BX10-U", "10GBASE-BR10-U"]),
        ("BiDi 1310", None, ["1000BASE-BX10-U", "1000BASE-BX-1310/1550"]),
        ("TX1310/RX1490", None, ["1000BASE-BX10-U", "100BASE-BX10-U"]),
        ("LR4 lite", None, ["100G-4WDM-10", "100G-CWDM4"]),
        ("CWDM 1470", None, ["CWDM-2.5G-40km", "CWDM-2.5G-80km"]),
        ("400G LR4", None, ["400GBASE-LR4-6", "400G-LR4-10"]),
        ("QSFP-DD DR4", None, ["200GBASE-DR4", "400GBASE-DR4"]),
        ("QSFP28 LR", None, ["100GBASE-LR1", "100GBASE-LR4"]),
    ] {
        let names = several(&tables, written, form);
        for name in among {
            assert!(names.iter().any(|n| n == name), "{written}: {name} is not among {names:?}");
        }
    }
    // 1490 nm and 1310 nm are of single-fiber optics; those of 10 Gbit/s use 1270 and 1330 nm.
    let bidi = several(&tables, "BiDi 1310/1490", None);
    assert_eq!(bidi, ["1000BASE-BX10-U", "100BASE-BX10-U"]);
}

#[test]
fn a_contradiction_is_unknown() {
    let tables = built_in();
    for written in [
        "LR 300G",
        "10GBASE-SR 1310",
        "LRX",
        "10G LR 80km",
        "10G 25G LR",
        "SFP+ SFP28 LR",
        "LX 20km",
        "BiDi 1310/1490 10G",
        "10G",
        "SFP+",
        "1310",
        "C34",
        "",
        "   ",
    ] {
        let named = tables.interface_named(written);
        assert!(matches!(named, Named::Unknown { .. }), "{written}: {named:?}");
    }
    let Named::Unknown { nearest } = tables.interface_named("10GBASE-LRR") else {
        panic!("a name that no table has");
    };
    assert_eq!(nearest.first(), Some(&"10GBASE-LR"));
    assert!(nearest.len() <= 3);
}

#[test]
fn every_name_of_the_tables_stands_for_itself() {
    let tables = built_in();
    for row in tables.interfaces.rows() {
        for name in row.aliases.iter().chain([&row.key]) {
            for form in [None, Some("SFP+"), Some("OSFP")] {
                assert_eq!(one(&tables, name, form), row.key, "{name}");
            }
        }
    }
    for row in tables.pon_classes.rows() {
        for name in row.aliases.iter().chain([&row.key]) {
            assert_eq!(one(&tables, name, None), row.key, "{name}");
        }
    }
    for name in Optic::names(&tables) {
        let known = one(&tables, &name, None);
        let optic = |name: &str| Optic::find(&tables, name, Role::Peer);
        assert_eq!(optic(&known), optic(&name), "{name}");
    }
}

#[test]
fn every_spelling_of_the_table_is_needed_and_stands_for_what_it_says() {
    let tables = built_in();
    for row in tables.interface_aliases.rows() {
        let said = &row.value.interfaces;
        match tables.interface_named(&row.key) {
            Named::One(name) => assert_eq!([name], *said.as_slice(), "{}", row.key),
            Named::Several(names) => assert_eq!(&names, said, "{}", row.key),
            Named::Unknown { .. } => panic!("`{}` is not found", row.key),
        }
        assert!(tables.interfaces.find(&row.key).is_none(), "`{}` is a name already", row.key);
    }
}

/// `LR` of `10GBASE-LR`: whoever leaves the rate out must not be told that the rest is unknown.
#[test]
fn no_interface_is_forgotten_without_its_rate() {
    let tables = built_in();
    for row in tables.interfaces.rows() {
        let Some((rate, rest)) = row.key.split_once('-') else { continue };
        let digits = rate.trim_end_matches("BASE").trim_end_matches('G');
        if digits.is_empty() || !digits.chars().all(|c| c.is_ascii_digit()) {
            continue;
        }
        let found = match tables.interface_named(rest) {
            Named::One(name) => name == row.key,
            Named::Several(names) => names.contains(&row.key.as_str()),
            Named::Unknown { .. } => false,
        };
        // By their bare letters these are read as the interface they are sold as.
        let known = ["100BASE-SX", "1000BASE-LX-MM", "1000BASE-BX-1310/1550", "1000BASE-BX-1550/1310"];
        assert!(found || known.contains(&row.key.as_str()), "`{rest}` does not lead to {}", row.key);
    }
}

#[test]
fn plans_may_use_any_clear_spelling() {
    let tables = built_in();
    let find = |name: &str, role| Optic::find(&tables, name, role).map(|optic| optic.name);
    assert_eq!(find("SFP+ LR 10km", Role::Peer).as_deref(), Some("10GBASE-LR"));
    assert_eq!(find("LX/LH", Role::Peer).as_deref(), Some("1000BASE-LX"));
    assert_eq!(find("gpon_ont_b+", Role::Olt).as_deref(), Some("GPON-ONU-B+"));
    assert_eq!(find("GPON_B+", Role::Onu).as_deref(), Some("GPON-ONU-B+"));
    for unclear in ["LR", "LH", "BX-U", "10GBASE-LRR"] {
        assert_eq!(find(unclear, Role::Peer), None, "{unclear}");
    }
}

#[test]
fn spellings_of_ones_own_are_laid_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = "alias,interface,candidates,source,provenance\n\
                lh,1000BASE-EX,,our labels,user\n\
                blue boot,?,10GBASE-LR;1000BASE-LX10,our labels,user\n";
    std::fs::write(folder.path().join("interface-aliases.csv"), text).expect("written");
    let (tables, findings) = load(&[folder.path().to_path_buf()], &mut Sources::default());
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(one(&tables, "LH", None), "1000BASE-EX");
    assert_eq!(several(&tables, "Blue-Boot", None), ["10GBASE-LR", "1000BASE-LX10"]);
    assert_eq!(one(&tables, "blue boot", Some("SFP+")), "10GBASE-LR");
}
