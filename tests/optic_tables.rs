//! The built-in tables that say whether an optic belongs where it is put: form factors, cages, power,
//! temperature, cards, breakouts, coexistence. They are held against each other and against tables
//! that were read apart; beside each value of a document stands the document. `restated` means that a
//! public text restating it was read.

use spanwright::read::tables::built_in;
use spanwright::tables::{
    Band, Breakout, CageFit, CodeAt, Coexistence, Condition, Interface, ModuleCode, Optic, Role, Row,
    Seats, Table, Tables, Works,
};
use spanwright::units::Watts;

fn rows<T>(table: &Table<T>) -> impl Iterator<Item = (String, &Row<T>)> {
    table.rows().iter().map(|row| (format!("{}: {}", table.name, row.key), row))
}

/// SFF-8024 identifiers. The table of module codes was read in public source text that decodes module
/// memories; the form factors must state the same.
#[test]
fn form_factors_state_the_identifiers_of_their_modules() {
    let tables = built_in();
    // SFF-8024, restated: 03h SFP, SFP+, SFP28; 0Dh QSFP+; 11h QSFP28; 18h QSFP-DD; 19h OSFP.
    for (form, identifier) in [
        ("SFP", 0x03),
        ("SFP+", 0x03),
        ("SFP28", 0x03),
        ("QSFP+", 0x0D),
        ("QSFP28", 0x11),
        ("QSFP-DD", 0x18),
        ("OSFP", 0x19),
    ] {
        let row = tables.form_factors.get(form).expect(form);
        assert_eq!(row.value.identifiers.first(), Some(&identifier), "{form}");
        assert!(tables.forms_with_identifier(identifier).any(|found| found.key == row.key));
    }
    for (name, row) in rows(&tables.form_factors) {
        for identifier in &row.value.identifiers {
            let code = ModuleCode::key("SFF-8024", "identifier", CodeAt::Value(*identifier));
            assert!(tables.module_codes.get(&code).is_some(), "{name}: {identifier:02X}h");
        }
    }
}

#[test]
fn every_interface_has_a_form_factor_that_carries_it() {
    let tables = built_in();
    for (name, row) in rows(&tables.interfaces) {
        let rate = row.value.rate.expect(&name);
        let mut forms = tables.form_factors.rows().iter();
        assert!(forms.any(|form| form.value.carries(rate) == Some(true)), "{name}: {rate}");
    }
}

/// Which of two form factors goes into the cage of the other and works there.
fn fit(tables: &Tables, cage: &str, module: &str) -> (Seats, Works, Condition) {
    let row = tables.cage_fit(cage, module).unwrap_or_else(|| panic!("{module} in {cage}"));
    (row.value.seats, row.value.works, row.value.condition)
}

/// From memory of the multi-source agreements and common practice.
#[test]
fn modules_in_cages() {
    let tables = built_in();
    let check =
        |cage, module, expected| assert_eq!(fit(&tables, cage, module), expected, "{module} in {cage}");
    check("SFP+", "SFP", (Seats::Yes, Works::Depends, Condition::PortRate));
    check("sfp plus", "SFPP", (Seats::Yes, Works::Yes, Condition::None));
    check("SFP", "SFP+", (Seats::Yes, Works::No, Condition::None));
    check("SFP+", "SFP28", (Seats::Yes, Works::Depends, Condition::ModuleRate));
    check("QSFP28", "QSFP+", (Seats::Yes, Works::Depends, Condition::PortRate));
    check("QSFP+", "QSFP28", (Seats::Yes, Works::Depends, Condition::ModuleRate));
    check("QSFP-DD", "QSFP28", (Seats::Yes, Works::Depends, Condition::PortRate));
    check("QSFP28", "QSFP-DD", (Seats::No, Works::No, Condition::None));
    check("SFP28", "SFP-DD", (Seats::No, Works::No, Condition::None));
    check("OSFP", "OSFP", (Seats::Yes, Works::Yes, Condition::SameTop));
    check("OSFP", "QSFP-DD", (Seats::No, Works::No, Condition::None));
    check("QSFP28", "SFP28", (Seats::WithAdapter, Works::Depends, Condition::PortRate));
    // Other families, no row of their own.
    for (cage, module) in [("SFP+", "QSFP28"), ("XFP", "X2"), ("CFP2", "SFP"), ("SFP", "soldered")] {
        check(cage, module, (Seats::No, Works::No, Condition::None));
    }
    // Not known is neither yes nor no.
    for (cage, module) in [("SFP+", "DSFP"), ("SFP+", "ZFP"), ("", "SFP")] {
        assert!(tables.cage_fit(cage, module).is_none(), "{module} in {cage}");
    }
}

#[test]
fn every_module_is_judged_in_the_cages_of_its_family() {
    let tables = built_in();
    // Nobody could say yet what a module with two lanes does in a cage for one.
    let not_known = |cage: &str, module: &str| {
        let pair = [cage, module];
        pair.contains(&"DSFP")
            || pair.contains(&"DWDM-SFP")
            || pair.contains(&"QSFP-1")
            || pair.contains(&"OSFP-XD")
    };
    for (name, cage) in rows(&tables.form_factors) {
        for module in tables.form_factors.rows() {
            let found = tables.cage_fit(&cage.key, &module.key);
            let known = not_known(&cage.key, &module.key) && cage.value.family == module.value.family;
            assert!(found.is_some() || known, "{name}: nothing of {} in it", module.key);
            let seats = found.is_some_and(|row| row.value.seats == Seats::Yes);
            let own = cage.value.family == module.value.family;
            assert!(!seats || own, "{name}: {} of another family seats", module.key);
        }
    }
    for (name, row) in rows(&tables.cages) {
        let CageFit { seats, works, why, .. } = &row.value;
        assert!(*seats != Seats::No || *works == Works::No, "{name}: works without being in");
        assert!(why.len() > 5, "{name}: no reason");
    }
}

/// The same classes stand in the table of module codes, which was read apart.
#[test]
fn power_classes_agree_with_the_codes_of_modules() {
    let tables = built_in();
    let most = |form, class| tables.power_class(form, class).expect(class).value.most;
    // SFF-8431: levels I, II and III are 1.0, 1.5 and 2.0 W.
    for (level, watts) in [("I", 1.0), ("level 2", 1.5), ("Level III", 2.0), ("1", 1.0)] {
        assert_eq!(most("SFP+", level), Some(Watts::new(watts)), "{level}");
    }
    let mut compared = 0;
    for row in tables.module_codes.rows() {
        let ModuleCode { standard, field, meaning, watts, .. } = &row.value;
        let forms: &[&str] = match (standard.as_str(), field.as_str()) {
            ("SFF-8472", "power-level") => &["SFP+", "SFP28"],
            ("SFF-8636", "power-class") => &["QSFP28"],
            ("CMIS", "power-class") => &["QSFP-DD", "OSFP"],
            _ => continue,
        };
        for form in forms {
            assert_eq!(most(form, meaning), *watts, "{form} {meaning}");
            compared += 1;
        }
    }
    assert_eq!(compared, 4 * 2 + 8 + 8 * 2);
    // SFF-8636: a QSFP+ knows classes 1 to 4, up to 3.5 W.
    assert_eq!(most("QSFP", "class 4"), Some(Watts::new(3.5)));
    assert!(tables.power_class("QSFP+", "5").is_none());
}

/// Common practice: commercial 0 to 70 °C, industrial -40 to 85 °C.
#[test]
fn temperature_ranges() {
    let tables = built_in();
    let range = |name: &str| {
        let range = &tables.temperature_ranges.get(name).expect(name).value;
        (range.least.value(), range.most.value())
    };
    assert_eq!(range("C"), (0.0, 70.0));
    assert_eq!(range("commercial"), (0.0, 70.0));
    assert_eq!(range("Extended"), (-5.0, 85.0));
    assert_eq!(range("industrial"), (-40.0, 85.0));
    assert_eq!(tables.range_serves("C", "central-office"), Some(true));
    assert_eq!(tables.range_serves("C", "cabinet"), Some(false));
    assert_eq!(tables.range_serves("E", "hut"), Some(true));
    assert_eq!(tables.range_serves("E", "pole"), Some(false));
    assert_eq!(tables.range_serves("I", "Cabinet"), Some(true));
    assert_eq!(tables.range_serves("I", "moon"), None);
    assert_eq!(tables.range_serves("Z", "cabinet"), None);
}

/// Conservation: the children of a breakout together carry the parent's rate over its fibers, at its
/// wavelength.
#[test]
fn the_children_of_a_breakout_add_up_to_the_parent() {
    let tables = built_in();
    for (name, row) in rows(&tables.breakouts) {
        let Breakout { parent, lanes, child, levels } = &row.value;
        let get = |name: &str| &tables.interfaces.get(name).expect(name).value;
        let (whole, part) = (get(parent), get(child));
        let rate = |interface: &Interface| interface.rate.expect(&name).value();
        assert_eq!(f64::from(*lanes) * rate(part), rate(whole), "{name}");
        assert_eq!(lanes * part.fibers, whole.fibers, "{name}");
        assert_eq!(part.fiber_kind, whole.fiber_kind, "{name}");
        let levels = levels.as_deref().expect("levels of a lane");
        assert!([parent.as_str(), child.as_str()].contains(&levels), "{name}: {levels}");
        let (sent, heard) = (whole.transmit[0], part.transmit[0]);
        assert!(sent.shortest < heard.longest && heard.shortest < sent.longest, "{name}");
    }
    // IEEE 802.3 clauses 124 and 140, from memory: four times 100GBASE-DR.
    assert_eq!(tables.breakout("400G-DR4", "100G-DR1").map(|row| row.value.lanes), Some(4));
    // Lanes that share a fiber by wavelength are not split.
    assert!(tables.breakout("100GBASE-LR4", "25GBASE-LR").is_none());
}

/// Whether two PON systems have classes whose bands are apart; `None` where a band is not known.
fn apart(tables: &Tables, systems: [&str; 2]) -> Option<bool> {
    let bands = |system: &str| {
        let classes = tables.pon_classes.rows().iter().filter(|row| row.value.system == system);
        classes.map(|row| Some([row.value.down?, row.value.up?])).collect::<Option<Vec<_>>>()
    };
    let [a, b] = [bands(systems[0])?, bands(systems[1])?];
    let clear = |one: &Band, two: &Band| one.longest <= two.shortest || two.longest <= one.shortest;
    Some(a.iter().any(|a| b.iter().any(|b| a.iter().all(|one| b.iter().all(|two| clear(one, two))))))
}

/// The bands stand in the table of PON classes; two systems fit on one fiber if theirs are apart.
#[test]
fn systems_that_share_a_feeder_have_their_bands_apart() {
    let tables = built_in();
    let mut compared = 0;
    for (name, row) in rows(&tables.coexistences) {
        let Coexistence { systems: [a, b], possible, element, why } = &row.value;
        for system in [a, b] {
            let known = tables.pon_classes.rows().iter().any(|class| class.value.system == *system);
            assert!(known || ["RF video", "OTDR"].contains(&system.as_str()), "{name}: {system}");
        }
        assert!(!element.is_empty() && !why.is_empty(), "{name}");
        let found = tables.coexistence(b, a).map(|found| &found.key);
        assert_eq!(found, Some(&row.key), "either way round");
        if let Some(apart) = apart(&tables, [a, b]).filter(|_| !b.starts_with("RF") && b != "OTDR") {
            assert_eq!(apart, *possible, "{name}");
            compared += 1;
        }
    }
    assert!(compared >= 20, "only {compared} pairs could be compared");
    // ITU-T G.9807.1, restated: the set at 1490 nm is for places without GPON.
    let own = tables.coexistence("GPON", "XGS-PON-1490").expect("the row");
    assert!(!own.value.possible);
}

/// What stands in the slots of a plan: card, cage and optics of each port.
fn ports_of(plan: &serde_yaml::Value) -> Vec<(String, Option<String>, Vec<String>)> {
    let text = |value: &serde_yaml::Value| value.as_str().map(String::from);
    let entries = |value: Option<&serde_yaml::Value>| {
        let map = value.and_then(serde_yaml::Value::as_mapping).cloned().unwrap_or_default();
        map.into_iter().map(|(_, entry)| entry).collect::<Vec<_>>()
    };
    let mut ports = Vec::new();
    for shelf in entries(plan.get("shelves")) {
        for slot in entries(shelf.get("slots")) {
            let Some(card) = slot.get("card").and_then(text) else { continue };
            ports.push((card.clone(), None, vec![]));
            for port in entries(slot.get("ports")) {
                let optics = match port.get("optic") {
                    Some(serde_yaml::Value::Sequence(list)) => list.iter().filter_map(text).collect(),
                    other => other.and_then(text).into_iter().collect(),
                };
                ports.push((card.clone(), port.get("cage").and_then(text), optics));
            }
        }
    }
    ports
}

#[test]
fn the_cards_of_the_examples_take_what_is_put_into_them() {
    let tables = built_in();
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut plans = Vec::new();
    for folder in std::fs::read_dir(root.join("examples")).expect("the examples").flatten() {
        let Ok(files) = std::fs::read_dir(folder.path()) else { continue };
        let yaml = |path: &std::path::PathBuf| path.extension().is_some_and(|e| e == "yaml");
        plans.extend(files.flatten().map(|file| file.path()).filter(yaml));
    }
    plans.push(root.join("tests/rules/sound/every-key.yaml"));
    let mut seen = 0;
    // That example shows what is put into the wrong ports.
    plans.retain(|path| !path.to_string_lossy().contains("first-shelf"));
    for path in plans {
        let text = std::fs::read_to_string(&path).expect("a plan");
        let plan: serde_yaml::Value = serde_yaml::from_str(&text).expect("YAML");
        for (card, cage, optics) in ports_of(&plan) {
            let place = format!("{}: {card}", path.display());
            let card = &tables.cards.get(&card).unwrap_or_else(|| panic!("{place}")).value;
            let cage = cage.unwrap_or_default();
            assert!(card.cage.is_empty() || cage.is_empty() || card.cage == cage, "{place}: {cage}");
            for optic in optics {
                let found = Optic::find(&tables, &optic, Role::Olt).expect(&optic);
                assert!(card.admits_optic(&tables, &found), "{place}: {optic}");
                seen += 1;
            }
        }
    }
    assert!(seen > 10, "only {seen} optics in cards");
    let readme = std::fs::read_to_string(root.join("README.md")).expect("the README");
    for part in readme.split("card: ").skip(1) {
        let card: String = part.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
        assert!(tables.cards.get(&card).is_some(), "README: {card}");
    }
}
