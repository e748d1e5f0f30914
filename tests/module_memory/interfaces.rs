//! Which interface types the codes name, and what contradicts them.

use spanwright::check::Finding;

use spanwright::units::Watts;

use crate::build::{external, image_of, interface_names, judged, lr, put16, read, seal_sfp};

/// The invented 10GBASE-LR module with some bytes of A0h changed.
fn changed(bytes: &[(usize, u8)], wavelength: u16) -> ([u8; 256], [u8; 256]) {
    let (mut a0, mut a2) = lr();
    for (at, byte) in bytes {
        a0[*at] = *byte;
    }
    put16(&mut a0, 60, wavelength);
    seal_sfp(&mut a0, &mut a2);
    (a0, a2)
}

fn names(bytes: &[(usize, u8)], wavelength: u16) -> Vec<String> {
    let (a0, a2) = changed(bytes, wavelength);
    interface_names(&read(&image_of(&a0, &a2)))
}

fn disagreement(bytes: &[(usize, u8)], wavelength: u16) -> Vec<Finding> {
    let (a0, a2) = changed(bytes, wavelength);
    let findings = judged(&image_of(&a0, &a2)).1;
    findings.into_iter().filter(|finding| finding.rule.id == "memory.claims-disagree").collect()
}

/// IEEE 802.3 clauses 58 and 59 (from memory): 1310 nm is the side of the premises, 1490 nm of
/// 1000BASE-BX10 and 1550 nm of 100BASE-BX10 that of the office. The bit is the same for all.
#[test]
fn a_bit_for_both_sides_is_told_by_rate_and_wavelength() {
    let bx = |rate| [(3, 0), (6, 0x40), (11, 1), (12, rate)];
    assert_eq!(names(&bx(13), 1310), ["1000BASE-BX10-U"]);
    assert_eq!(names(&bx(13), 1490), ["1000BASE-BX10-D"]);
    assert_eq!(names(&bx(1), 1310), ["100BASE-BX10-U"]);
    assert_eq!(names(&bx(1), 1550), ["100BASE-BX10-D"]);
    // 1550 nm at this rate is practice of some makers, and no side of the standard.
    assert!(names(&bx(13), 1550).is_empty());
    // Without a wavelength both sides are left.
    assert_eq!(names(&bx(13), 0), ["1000BASE-BX10-D", "1000BASE-BX10-U"]);
}

/// SFF-8024: code 03h is 100GBASE-LR4 in a QSFP and 25GBASE-LR in an SFP.
#[test]
fn one_code_means_another_interface_in_another_form_factor() {
    assert_eq!(names(&[(3, 0), (12, 255), (36, 0x03), (66, 103)], 1310), ["25GBASE-LR"]);
    assert_eq!(names(&[(3, 0), (12, 255), (36, 0x02), (66, 103)], 850), ["25GBASE-SR"]);
}

#[test]
fn a_module_for_two_rates_names_two() {
    let two = [(6, 0x02)];
    assert_eq!(names(&two, 1310), ["10GBASE-LR", "1000BASE-LX"]);
    // Its one rate need go with one of them only.
    assert!(disagreement(&two, 1310).is_empty());
}

#[test]
fn nothing_is_named_where_the_codes_name_nothing() {
    // A module for one fiber with empty compliance bytes: rate, reach and wavelength are no code.
    assert!(names(&[(3, 0)], 1330).is_empty());
    // A cable.
    assert!(names(&[(8, 0x04)], 0).is_empty());
    // A code that no table has.
    let (a0, a2) = changed(&[(3, 0), (36, 0xEE)], 1310);
    let memory = read(&image_of(&a0, &a2));
    assert_eq!(memory.compliance[0].to_string(), "unknown (EEh)");
    assert!(interface_names(&memory).is_empty());
}

/// A published dump has the code 10GBASE-LR and 1330 nm: in truth one side of a single-fiber pair.
#[test]
fn a_single_fiber_module_behind_a_duplex_code_is_found() {
    let found = disagreement(&[], 1330);
    assert_eq!(found.len(), 1);
    assert_eq!(
        found[0].message,
        "the codes name `10GBASE-LR`, for two fibers, but 1330 nm is the wavelength of \
         `10GBASE-BR10-D`, which works on one"
    );
    assert!(disagreement(&[], 1310).is_empty());
}

#[test]
fn wavelength_rate_and_reach_are_held_against_the_interface() {
    let message = |bytes: &[(usize, u8)], wavelength| {
        let found = disagreement(bytes, wavelength);
        assert_eq!(found.len(), 1, "{found:?}");
        found[0].message.clone()
    };
    let found = message(&[], 1550);
    assert_eq!(found, "the codes name `10GBASE-LR`, which does not send at the stated 1550 nm");
    let found = message(&[(12, 13)], 1310);
    assert_eq!(found, "the codes name `10GBASE-LR`, which the stated rate of 1300 MBd cannot carry");
    let found = message(&[(14, 2), (15, 20)], 1310);
    assert_eq!(found, "the codes name `10GBASE-LR`, which reaches 10.0 km, but 2.0 km is stated");
    // 40 km is more than the 30 km of 10GBASE-ER: an engineered link, and no contradiction.
    let (a0, a2) = external();
    assert!(judged(&image_of(&a0, &a2)).1.is_empty());
}

#[test]
fn the_finer_of_two_reaches_is_taken_unless_it_is_full() {
    let reach = |km, hundred_meters| {
        let (a0, a2) = changed(&[(14, km), (15, hundred_meters)], 1310);
        read(&image_of(&a0, &a2)).reaches.first().map(|r| (r.length.value(), r.or_more))
    };
    assert_eq!(reach(10, 100), Some((10.0, false)));
    assert_eq!(reach(2, 15), Some((1.5, false)));
    assert_eq!(reach(40, 255), Some((40.0, false)));
    assert_eq!(reach(0, 3), Some((0.3, false)));
    assert_eq!(reach(255, 255), Some((255.0, true)));
    assert_eq!(reach(0, 0), None);
}

/// SFF-8472, byte 64: the highest level wins; level 4 states its watts in byte 66 (from memory).
#[test]
fn power_levels() {
    let power = |byte64, byte66| {
        let (a0, a2) = changed(&[(64, byte64), (66, byte66)], 1310);
        let power = read(&image_of(&a0, &a2)).power;
        (power.class.meaning.unwrap_or_default(), power.most.map(Watts::value))
    };
    assert_eq!(power(0, 0), ("level 1".to_string(), Some(1.0)));
    assert_eq!(power(0x02, 0), ("level 2".to_string(), Some(1.5)));
    assert_eq!(power(0x22, 0), ("level 3".to_string(), Some(2.0)));
    assert_eq!(power(0x62, 25), ("level 4".to_string(), Some(2.5)));
    assert_eq!(power(0x40, 0), ("level 4".to_string(), None));
}
