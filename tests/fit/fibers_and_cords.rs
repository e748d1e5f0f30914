//! Fibers, plugs and array cords between two optics. Mismatches with known answers.

use spanwright::engine::assumed::assumed;
use spanwright::engine::fit::Go;

use crate::bench::{Facing, over, port, rules, seen};

fn both(span: &str, optic: &str) -> Facing {
    over(span, port(optic), port(optic))
}

/// Single-mode optics on multimode fiber and the reverse (practice; clause 52 specifies neither).
#[test]
fn the_other_kind_of_fiber() {
    let lr = both("length: 100 m, fiber: OM3", "10GBASE-LR");
    lr.expect(Go::NoGo, &["fit.fiber-kind"], &["fit.receiver-band", "budget.over-loss"]);
    let sr = both("length: 100 m", "10GBASE-SR").judge();
    assert!(rules(&sr.answer("a/1/1")).contains("fit.fiber-kind"));
    assert_eq!(sr.answer("a/1/1").go, Go::NoGo);
    both("length: 100 m, fiber: OM3", "10GBASE-SR").expect(Go::Go, &[], &["fit.fiber-kind"]);
}

/// The optic that boxes call 1000BASE-LX is that of 1000BASE-LX-MM behind a mode-conditioning cord on OM1 or
/// OM2 (IEEE 802.3 38.11.4, read in an equipment manual): 550 m, 2.35 dB. On OM3 the cord does harm
/// (practice), and without one single-mode optics do not belong on multimode fiber.
#[test]
fn single_mode_optics_behind_conditioning_cords() {
    for optic in ["1000BASE-LX", "1000BASE-LX10", "1G-LX"] {
        for fiber in ["OM1", "OM2"] {
            let at = |metres: u32, loss: f64, more: &str| {
                let span = format!(
                    "length: {metres} m, fiber: {fiber}, measured: {loss} dB, uncertainty: 0 dB{more}"
                );
                both(&span, optic)
            };
            let cords = ", mode-conditioning: yes";
            let sound = at(550, 2.35, cords).judge();
            sound.expect(Go::Go, &[], &["fit.mode-conditioning", "fit.fiber-kind"]);
            let told = assumed(&sound.0, sound.port("a/1/1")).join("; ");
            assert!(told.contains("is judged as 1000BASE-LX-MM"), "{told}");
            at(550, 2.36, cords).expect(Go::NoGo, &["budget.over-loss"], &["fit.fiber-kind"]);
            let bare = at(300, 1.0, ", mode-conditioning: no").judge();
            let told = bare.answer("a/1/1");
            assert_eq!(told.go, Go::NoGo);
            let hint =
                &told.findings.iter().find(|one| one.rule.id == "fit.fiber-kind").expect("hit").hint;
            assert!(hint.contains("1000BASE-LX-MM"), "{hint}");
        }
        let newer = "length: 100 m, fiber: OM3, mode-conditioning: yes";
        both(newer, optic).expect(Go::NoGo, &["fit.fiber-kind"], &[]);
    }
    // A cord at one end only leaves the other light in the middle of the core.
    let one = seen(
        "spanwright: 1\nshelves:\n  a: {ports: {1: {optic: 1000BASE-LX}}}\n  \
         b: {ports: {1: {optic: 1000BASE-LX}}}\npanels: {p: {positions: 1}}\n\
         spans:\n  - {from: a/1, to: p/1, length: 2 m, fiber: OM2, mode-conditioning: yes}\n  \
         - {from: p/1, to: b/1, length: 200 m, fiber: OM2}\n",
    );
    one.expect_at("a/1", Go::NoGo, &["fit.fiber-kind"], &[]);
}

/// 1000BASE-LX on OM1 reaches 550 m with a mode-conditioning cord at both ends (clause 38, read in an
/// equipment manual), which later fibers neither need nor bear (practice).
#[test]
fn lx_on_older_multimode_fiber() {
    let lx = |fiber: &str, cord: &str| {
        both(&format!("length: 300 m, fiber: {fiber}{cord}"), "1000BASE-LX-MM")
    };
    let yes = ", mode-conditioning: yes";
    for fiber in ["OM1", "OM2"] {
        lx(fiber, yes).expect(Go::Go, &[], &["fit.mode-conditioning", "fit.fiber-kind"]);
        let without = lx(fiber, ", mode-conditioning: no");
        without.expect(Go::Go, &["fit.mode-conditioning"], &["fit.fiber-kind"]);
        let unsaid = lx(fiber, "").judge().answer("a/1/1");
        assert!(unsaid.not_checked.iter().any(|gap| gap.rules.contains(&"fit.mode-conditioning")));
    }
    let later = lx("OM3", yes).judge();
    assert!(rules(&later.answer("a/1/1")).contains("fit.mode-conditioning"));
    // 10GBASE-LRM on OM3 needs none (clause 68).
    let lrm = both("length: 200 m, fiber: OM3, mode-conditioning: no", "10GBASE-LRM");
    lrm.expect(Go::Go, &[], &["fit.mode-conditioning"]);
}

/// Modal bandwidth, not loss, ends 10GBASE-SR on OM1 at 33 m (clause 52).
#[test]
fn too_far_on_older_multimode_fiber() {
    both("length: 33 m, fiber: OM1", "10GBASE-SR").expect(Go::Go, &[], &["budget.beyond-reach"]);
    let seen = both("length: 34 m, fiber: OM1", "10GBASE-SR").judge();
    assert_eq!(seen.answer("a/1/1").go, Go::NoGo);
    assert!(rules(&seen.answer("a/1/1")).contains("budget.beyond-reach"));
}

/// An angled plug in a coupling that is not angled: several dB and damaged faces (read).
#[test]
fn angled_into_flat() {
    let cord = |plugs: &str| {
        let plan = format!(
            "spanwright: 1\nshelves:\n  a: {{ports: {{1: {{optic: 10GBASE-LR, face: LC/UPC}}}}}}\n  \
             b: {{ports: {{1: {{optic: 10GBASE-LR, face: LC/UPC}}}}}}\n\
             panels: {{p: {{positions: 1, connector: {{grade: C, polish: UPC}}}}}}\nspans:\n  \
             - {{from: a/1, to: p/1, length: 3 m, plugs: [{plugs}]}}\n  \
             - {{from: p/1, to: b/1, length: 5 km}}\n"
        );
        crate::bench::seen(&plan)
    };
    cord("LC/UPC, LC/UPC").expect_at("a/1", Go::Go, &[], &["fit.polish-mixed", "fit.plug-kind"]);
    cord("LC/UPC, LC/APC").expect_at("a/1", Go::NoGo, &["fit.polish-mixed"], &["fit.plug-kind"]);
    cord("LC/APC, LC/UPC").expect_at("a/1", Go::NoGo, &["fit.polish-mixed"], &["fit.plug-kind"]);
    cord("SC/UPC, LC/UPC").expect_at("a/1", Go::NoGo, &["fit.plug-kind"], &["fit.polish-mixed"]);
    // What is wrong with a cord that the other port does not touch is not held against that port.
    cord("SC/UPC, LC/UPC").expect_at("b/1", Go::Go, &[], &["fit.plug-kind"]);
}

/// A module for array cords has pins: a cord with pins crushes the faces (IEC 61754-7; practice).
#[test]
fn two_pinned_array_plugs() {
    let sr4 = |pins: &str| {
        let module = port("100GBASE-SR4").with("face: MPO-12/UPC/pinned");
        let span =
            format!("length: 50 m, fiber: OM4, fibers: 12, polarity: B, plugs: MPO-12/UPC/{pins}");
        over(&span, module.clone(), module)
    };
    sr4("unpinned").expect(Go::Go, &[], &["fit.array-pins", "fit.plug-kind", "fit.face"]);
    sr4("pinned").expect(Go::NoGo, &["fit.array-pins"], &["fit.polish-mixed", "fit.array-polarity"]);
}

/// Parallel optics want an odd number of reversals (TIA-568.3; "only type B aligns lanes directly",
/// read): one type B does, type A and two of type B do not.
#[test]
fn polarity_of_array_cords() {
    let sr4 = |cords: &[&str]| {
        let pieces = cords.len();
        let mut plan = String::from(
            "spanwright: 1\nshelves:\n  a: {ports: {1: {optic: 100GBASE-SR4}}}\n  \
             b: {ports: {1: {optic: 100GBASE-SR4}}}\n\
             panels: {p: {positions: 9, connector: MPO-low-loss}}\nspans:\n",
        );
        for (index, cord) in cords.iter().enumerate() {
            let from = if index == 0 { "a/1".to_string() } else { format!("p/{index}") };
            let to = if index + 1 == pieces { "b/1".to_string() } else { format!("p/{}", index + 1) };
            let span = "length: 10 m, fiber: OM4, fibers: 12";
            plan += &format!("  - {{from: {from}, to: {to}, {span}, polarity: {cord}}}\n");
        }
        crate::bench::seen(&plan)
    };
    for cords in [&["B"][..], &["A", "B"], &["B", "A", "A"], &["B", "B", "B"]] {
        sr4(cords).expect_at("a/1", Go::Go, &[], &["fit.array-polarity", "fit.fiber-count"]);
    }
    for cords in [&["A"][..], &["C"], &["B", "B"], &["A", "A"]] {
        let found = ["fit.array-polarity"];
        sr4(cords).expect_at("a/1", Go::NoGo, &found, &["fit.fiber-count", "fit.fiber-kind"]);
    }
}

/// A parallel optic on a duplex cord, and an angled face where the fiber is multimode (IEC 61754-7;
/// single-mode arrays are angled, multimode ones flat: practice).
#[test]
fn array_faces_and_fibers() {
    let two = both("length: 50 m, fiber: OM4, fibers: 2, polarity: B", "100GBASE-SR4");
    two.expect(Go::NoGo, &["fit.fiber-count"], &["fit.array-polarity"]);
    let face = |optic: &str, face: &str| {
        let near = port(optic).with(&format!("face: {face}"));
        let span = if optic.contains("SR") { "length: 50 m, fiber: OM4" } else { "length: 50 m" };
        rules(&over(span, near, port(optic)).judge().answer("a/1/1")).contains("fit.face")
    };
    assert!(!face("100GBASE-SR4", "MPO-12/UPC") && face("100GBASE-SR4", "MPO-12/APC"));
    assert!(!face("400GBASE-DR4", "MPO-12/APC") && face("400GBASE-DR4", "MPO-12/UPC"));
    assert!(!face("100GBASE-LR4", "LC/UPC") && face("100GBASE-LR4", "MPO-12/APC"));
}

/// 62.5 um fiber behind 50 um fiber loses 2 to 5 dB one way (practice): said as a warning.
#[test]
fn two_core_sizes_in_one_run() {
    let plan = |second: &str| {
        crate::bench::seen(&format!(
            "spanwright: 1\nshelves:\n  a: {{ports: {{1: {{optic: 1000BASE-SX}}}}}}\n  \
             b: {{ports: {{1: {{optic: 1000BASE-SX}}}}}}\n\
             panels: {{p: {{positions: 1, connector: Cm}}}}\nspans:\n  \
             - {{from: a/1, to: p/1, length: 50 m, fiber: OM1}}\n  \
             - {{from: p/1, to: b/1, length: 50 m, fiber: {second}}}\n"
        ))
    };
    assert!(rules(&plan("OM2").answer("a/1")).contains("fit.core-size"));
    assert!(!rules(&plan("OM1").answer("a/1")).contains("fit.core-size"));
}

/// What a cord meets in a module whose face nobody stated: a duplex module is flat and takes LC plugs,
/// an array module has the pins (IEC 61754-7, IEC 61754-20; common practice).
#[test]
fn the_usual_face_of_a_module_meets_the_cord() {
    let lr = |plugs: &str| both(&format!("length: 3 km, plugs: {plugs}"), "10GBASE-LR");
    lr("LC/UPC").expect(Go::Go, &[], &["fit.polish-mixed", "fit.plug-kind"]);
    lr("LC/APC").expect(Go::NoGo, &["fit.polish-mixed"], &["fit.plug-kind"]);
    lr("SC/UPC").expect(Go::NoGo, &["fit.plug-kind"], &["fit.polish-mixed"]);
    let sr4 = |plugs: &str| {
        let span = format!("length: 30 m, fiber: OM4, fibers: 12, polarity: B, plugs: {plugs}");
        both(&span, "40GBASE-SR4")
    };
    sr4("MPO-12/flat/unpinned").expect(Go::Go, &[], &["fit.array-pins", "fit.polish-mixed"]);
    sr4("MPO-12/flat/pinned").expect(Go::NoGo, &["fit.array-pins"], &["fit.polish-mixed"]);
    sr4("MPO-12/APC/unpinned").expect(Go::NoGo, &["fit.polish-mixed"], &["fit.array-pins"]);
    // An angled plug is right where the face is stated to be angled.
    let angled = port("10GBASE-LR").with("face: LC/APC");
    let seen = over("length: 3 km, plugs: LC/APC", angled.clone(), angled);
    seen.expect(Go::Go, &[], &["fit.polish-mixed"]);
}

/// A face that no row tells of is named as not compared.
#[test]
fn a_face_nobody_knows_is_not_passed_over() {
    let seen = both("length: 10 km, plugs: LC/APC", "10GBASE-XX").judge().answer("a/1/1");
    for id in ["fit.polish-mixed", "fit.plug-kind"] {
        assert!(seen.not_checked.iter().any(|gap| gap.rules.contains(&id)), "{id}");
    }
}
