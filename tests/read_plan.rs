//! What a plan means once it is read. The expected numbers are worked out by hand beside each test;
//! the format itself is the project's own, so there is no outside document to hold it against.

use std::fmt::Write as _;
use std::path::Path;

use proptest::prelude::*;
use spanwright::plan::{
    EndConnectors, Fitting, JointKind, JointUse, Plan, Plug, PointRef, PortKind, SlotContent, Span,
};
use spanwright::read::plan::{from_text, load};
use spanwright::report::diagnostic;
use spanwright::units::{Decibels, GigabitsPerSecond, Nanometers, Watts};

/// Reads a plan that must be sound.
fn plan(text: &str) -> Plan {
    let reading = from_text("plan.yaml", text, None);
    let drawn = diagnostic::render(&reading.findings, &reading.sources, false);
    assert!(reading.findings.is_empty(), "{drawn}");
    reading.plan
}

/// A plan of one splitter, eight ONTs and the given rest.
fn small(rest: &str) -> Plan {
    plan(&format!(
        "spanwright: 1\npanels: {{odf: {{positions: 48}}}}\nsplitters: {{s: {{ratio: 1x8}}, d: {{ratio: 2:8}}}}\n\
         onts: {{\"h-[1-8]\": {{optic: GPON-ONU-B+}}}}\n{rest}"
    ))
}

fn kind(plan: &Plan, joint: JointUse) -> &JointKind {
    &plan.joint_kinds[usize::from(joint.0)]
}

fn names(plan: &Plan) -> Vec<(String, String)> {
    let pair = |span: &Span| (plan.point_name(span.from), plan.point_name(span.to));
    plan.spans.iter().map(pair).collect()
}

/// 7.4 km with 2 % slack are 7.548 km: two reels of 4 km, one splice between them. Twice 4 km with
/// no slack are two reels to the meter.
#[test]
fn slack_and_reels_belong_to_outside_spans() {
    let spans = "spans:\n  - {from: odf/1, to: s/in, length: 7.4 km}\n\
                 \x20 - {from: odf/2, to: d/in1, length: 7.4 km, kind: jumper}\n\
                 \x20 - {from: odf/3, to: d/in2, length: 7.4 km, kind: drop, splices: 5}\n";
    let slack = small(&format!("defaults: {{slack: 2 %, reel: 4 km}}\n{spans}"));
    let [outside, inside, stated] = &slack.spans[..] else { panic!("three spans") };
    approx::assert_relative_eq!(outside.length.value(), 7.548, max_relative = 1e-12);
    assert_eq!((outside.reels, outside.splices, outside.outside), (2, 1, true));
    assert_eq!(inside.length.value(), 7.4);
    assert_eq!((inside.reels, inside.splices, inside.outside), (1, 0, false));
    assert_eq!((stated.reels, stated.splices, stated.outside), (2, 5, true));
    let whole = "defaults: {reel: 4 km}\nspans: [{from: odf/1, to: s/in, length: 8 km}]\n";
    assert_eq!((small(whole).spans[0].reels, small(whole).spans[0].splices), (2, 1));
    let none = small("spans: [{from: odf/1, to: s/in, length: 80 km}]\n");
    assert_eq!((none.spans[0].reels, none.spans[0].splices), (1, 0));
}

#[test]
fn points_are_the_ones_that_are_named() {
    let plan = small(
        "shelves:\n  o: {slots: {\"[1-2]\": {card: pon, ports: {\"[1-2]\": {optic: GPON-OLT-B+}}}, 3: blank}, ports: {up: }}\n\
         splice-cases: {c: {positions: 12}}\ntaps: {t: {ratio: 90:10}}\nattenuators: {a: {loss: 5 dB}}\n\
         wdm-elements: {w: {type: ce-gpon-xgs}}\n\
         spans:\n  - {from: \"o/1/2:tx\", to: odf/1, length: 1 m}\n  - {from: \"o/1/2:rx\", to: odf/2, length: 1 m}\n\
         \x20 - {from: o/2/1, to: d/in2, length: 1 m}\n  - {from: o/up, to: c/12, length: 1 m}\n\
         \x20 - {from: d/in, to: t/in, length: 1 m}\n  - {from: t/tap, to: a/b, length: 1 m}\n\
         \x20 - {from: w/com, to: w/xgs, length: 1 m}\n  - {from: s/08, to: h-8, length: 1 m}\n",
    );
    let points: Vec<(PointRef, PointRef)> = plan.spans.iter().map(|s| (s.from, s.to)).collect();
    assert_eq!(points[0].0, PointRef::PortTransmit(2));
    assert_eq!(points[1].0, PointRef::PortReceive(2));
    assert_eq!(points[2], (PointRef::Port(3), PointRef::SplitterInput { splitter: 1, input: 2 }));
    assert_eq!(points[3].1, PointRef::Splice { case: 0, number: 12 });
    assert_eq!(points[4].0, PointRef::SplitterInput { splitter: 1, input: 1 });
    assert_eq!(points[5].1, PointRef::Attenuator { attenuator: 0, far: true });
    assert_eq!(points[6].0, PointRef::WdmCommon(0));
    assert_eq!(points[7].0, PointRef::SplitterLeg { splitter: 0, leg: 8 });
    let written = names(&plan);
    assert_eq!(written[2], ("o/2/1".to_string(), "d/in2".to_string()));
    assert_eq!(written[6], ("w/com".to_string(), "w/xgs".to_string()));
    let slots = &plan.shelves[0].slots;
    assert_eq!(slots.len(), 3);
    assert_eq!(slots[1].content, SlotContent::Card("pon".to_string()));
    assert_eq!(slots[2].content, SlotContent::Blank);
    assert_eq!(plan.ports.iter().filter(|port| port.kind == PortKind::Equipment).count(), 5);
}

/// `a-[1-2]-[1-3]` counts a-1-1, a-1-2, a-1-3, a-2-1, …; legs are paired with it in order.
#[test]
fn ranges_are_paired_in_order() {
    let plan = plan(
        "spanwright: 1\nsplitters: {s: {ratio: 1x6}}\nonts: {\"a-[1-2]-[1-3]\": }\n\
         spans: [{from: \"s/[1-6]\", to: \"a-[1-2]-[1-3]\", length: 1 m}]\n",
    );
    let to: Vec<String> =
        names(&plan).into_iter().map(|pair| format!("{} {}", pair.0, pair.1)).collect();
    assert_eq!(to, ["s/1 a-1-1", "s/2 a-1-2", "s/3 a-1-3", "s/4 a-2-1", "s/5 a-2-2", "s/6 a-2-3"]);
}

#[test]
fn joints_follow_the_defaults_until_they_are_stated() {
    let plan = plan(
        "spanwright: 1\ndefaults: {connector: {grade: b, polish: apc}, splice: mechanical, joint: connector}\n\
         panels: {p: {positions: 1}, q: {positions: 1, connector: {polish: UPC}}, r: {positions: 1, connector: C}}\n\
         splitters: {s: {ratio: 1x2}, t: {ratio: 1x2, joint: splice}, u: {ratio: 1x2, joint: none}, v: {ratio: 1x2, joint: fusion}}\n\
         splice-cases: {c: {positions: 1}}\n",
    );
    let connector = |grade: &str, polish: &str| JointKind::Connector {
        grade: grade.to_string(),
        polish: polish.to_string(),
    };
    let splice = |row: &str| JointKind::Splice(row.to_string());
    let panels: Vec<_> = plan.panels.iter().map(|panel| kind(&plan, panel.joint).clone()).collect();
    assert_eq!(panels, [connector("B", "APC"), connector("B", "UPC"), connector("C", "APC")]);
    let splitters: Vec<_> = plan.splitters.iter().map(|s| kind(&plan, s.joint).clone()).collect();
    let wanted = [connector("B", "APC"), splice("mechanical"), JointKind::None, splice("fusion")];
    assert_eq!(splitters, wanted);
    assert_eq!(*kind(&plan, plan.splice_cases[0].joint), splice("mechanical"));
    assert_eq!(*kind(&plan, plan.port_joint), connector("B", "APC"));
    assert_eq!(plan.assumptions.repair_splice, "mechanical");
}

#[test]
fn measured_losses_keep_their_wavelength_and_uncertainty() {
    let plan = small(
        "defaults: {uncertainty: 0.2 dB}\nspans:\n\
         \x20 - {from: odf/1, to: s/in, length: 1 km, measured: {1310: 0.5 dB, 1.55 um: 0.3 dB}}\n\
         \x20 - {from: odf/2, to: d/in1, length: 1 km, measured: 0.4 dB, uncertainty: 0.1 dB}\n\
         \x20 - {from: odf/3, to: d/in2, length: 1 km}\n",
    );
    let values = |span: usize| {
        let measured = plan.spans[span].measured.expect("measured") as usize;
        let values = &plan.measured[measured].values;
        values.iter().map(|v| (v.at, v.loss, v.uncertainty)).collect::<Vec<_>>()
    };
    let db = Decibels::new;
    let nm = |nm: f64| Some(Nanometers::new(nm));
    assert_eq!(values(0), [(nm(1310.0), db(0.5), db(0.2)), (nm(1550.0), db(0.3), db(0.2))]);
    assert_eq!(values(1), [(None, db(0.4), db(0.1))]);
    assert_eq!(plan.spans[2].measured, None);
}

#[test]
fn assumptions_are_as_stated() {
    let plan = plan(
        "spanwright: 1\nrevision: 1.10\ndate: 2031-04-02\nconfidence: 95\nreserve: 1.5 dB\nend-connectors: counted\n\
         allowances: {repair: {splices: 2, per: 10 km}, ageing: 0.5 dB, temperature: 0.02 dB/km}\n",
    );
    assert_eq!(plan.revision.as_deref(), Some("1.10"));
    assert_eq!(plan.date.as_deref(), Some("2031-04-02"));
    let assumed = &plan.assumptions;
    assert_eq!(assumed.confidence.value(), 0.95);
    assert_eq!(assumed.reserve, Decibels::new(1.5));
    assert_eq!(assumed.end_connectors, EndConnectors::Counted);
    let repair = assumed.allowances.repair.expect("repair splices");
    assert_eq!((repair.splices, repair.per.value()), (2, 10.0));
    assert_eq!(assumed.allowances.ageing, Decibels::new(0.5));
    assert_eq!(assumed.allowances.temperature.value(), 0.02);
}

/// The attenuator table states 0.5 dB for 5 dB; 4.3 dB is in no table and gets the usual 0.5 dB.
#[test]
fn an_attenuator_without_a_tolerance_gets_that_of_the_table() {
    let plan = plan(
        "spanwright: 1\nattenuators: {a: {loss: 20 dB}, b: {loss: 4.3 dB}, c: {loss: 20 dB, tolerance: 0.3 dB}}\n",
    );
    let tables = spanwright::read::tables::built_in();
    let row = tables.attenuators.get("20 dB").expect("a row").value.tolerance;
    let tolerances: Vec<_> = plan.attenuators.iter().map(|a| a.tolerance).collect();
    assert_eq!(tolerances, [row, Decibels::new(0.5), Decibels::new(0.3)]);
}

#[test]
fn several_optics_and_unknown_ones_are_kept() {
    let plan = plan(
        "spanwright: 1\nonts:\n  - {id: a, optic: [GPON-ONU-B+, XGS-PON-ONU-N1]}\n  - {id: b, optic: no-such-optic}\n  - {id: c}\n",
    );
    let optics: Vec<_> =
        plan.ports.iter().map(|p| p.optics.map(|set| plan.optic_sets[set as usize].clone())).collect();
    assert_eq!(
        optics[0].as_deref(),
        Some(&["GPON-ONU-B+".to_string(), "XGS-PON-ONU-N1".to_string()][..])
    );
    assert_eq!(optics[1].as_deref(), Some(&["no-such-optic".to_string()][..]));
    assert_eq!(optics[2], None);
}

/// The rows of `every-key-onts.csv`, read by eye.
#[test]
fn what_a_row_says_of_an_ont_is_laid_over_its_entry() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rules/sound/every-key.yaml");
    let plan = load(&path, &[]).plan;
    let port = |name: &str| plan.ports.iter().position(|port| plan.names.get(port.name) == name);
    let optics = |name: &str| {
        let set = plan.ports[port(name).expect(name)].optics.expect("an optic");
        plan.optic_sets[set as usize].clone()
    };
    assert_eq!(optics("house 11"), ["GPON-ONU-B+"]);
    assert_eq!(optics("house 12"), ["GPON-ONU-B+", "XGS-PON-ONU-N1"]);
    assert_eq!(optics("house 13"), ["10GBASE-ZR C31"]);
    assert_eq!(optics("office-2"), ["10GBASE-ZR CWDM1551"]);
    let fitting = |name: &str| plan.fitting_of(port(name).expect(name) as u32);
    assert_eq!(fitting("house 11"), None);
    let expected = Fitting {
        card: None,
        cage: Some("SFP+".to_string()),
        form: Some("SFP+".to_string()),
        temperature: Some("E".to_string()),
        power: Some(Watts::new(1.2)),
        rate: Some(GigabitsPerSecond::new(10.0)),
        fec: Some("none".to_string()),
        face: Plug { connector: Some("SC".to_string()), polish: Some("APC".to_string()), pinned: None },
        lane: Some(2),
    };
    assert_eq!(fitting("house 12"), Some(&expected));
}

/// One span as it is written down, in either form.
#[derive(Debug, Clone)]
struct Written {
    leg: u32,
    length: String,
    keys: Vec<(&'static str, String)>,
}

fn written() -> impl Strategy<Value = Written> {
    let length = prop_oneof![
        (1u32..5_000).prop_map(|meters| format!("{meters} m")),
        (1u32..300).prop_map(|tenths| format!("{}.{} km", tenths / 10, tenths % 10)),
        (1u32..900).prop_map(|feet| format!("{feet} ft")),
    ];
    let one_of = |words: &[&'static str]| {
        let words: Vec<String> = words.iter().map(ToString::to_string).collect();
        prop::option::of(prop::sample::select(words))
    };
    let keys = (
        one_of(&["cable", "drop", "patch-cord", "pigtail", "jumper"]),
        one_of(&["f-101", "f-102, left", "f \"103\""]),
        one_of(&["1", "12", "144"]),
        one_of(&["G.652.D", "g657a1"]),
        one_of(&["0", "3"]),
        one_of(&["fusion", "mechanical"]),
        one_of(&["B", "C/UPC"]),
        one_of(&["0.21 dB", "1310: 0.2 dB; 1550 nm: 0.1 dB"]),
        one_of(&["0.05 dB"]),
    );
    (1u32..=8, length, keys).prop_map(|(leg, length, keys)| {
        let (kind, cable, strand, fiber, splices, splice, connector, measured, uncertainty) = keys;
        let keys = [
            ("kind", kind),
            ("cable", cable),
            ("strand", strand),
            ("fiber", fiber),
            ("splices", splices),
            ("splice", splice),
            ("connector", connector),
            ("measured", measured),
            ("uncertainty", uncertainty),
        ];
        let keys = keys.into_iter().filter_map(|(key, value)| Some((key, value?))).collect();
        Written { leg, length, keys }
    })
}

const HEAD: &str = "spanwright: 1\ndefaults: {slack: 3 %, reel: 2 km, uncertainty: 0.1 dB}\n\
                    splitters: {s: {ratio: 1x8}}\nonts: {\"h-[1-8]\": }\nspans:\n";

fn in_yaml(spans: &[Written]) -> String {
    let mut text = HEAD.to_string();
    for span in spans {
        let _ = write!(text, "  - from: s/{0}\n    to: h-{0}\n    length: {1}\n", span.leg, span.length);
        for (key, value) in &span.keys {
            let _ = writeln!(text, "    {key}: '{value}'");
        }
    }
    text
}

fn in_csv(spans: &[Written]) -> String {
    let columns = [
        "kind",
        "cable",
        "strand",
        "fiber",
        "splices",
        "splice",
        "connector",
        "measured",
        "uncertainty",
    ];
    let mut text = format!("to,length,from,{}\n", columns.join(","));
    for span in spans {
        let _ = write!(text, "h-{0},{1},s/{0}", span.leg, span.length);
        for column in columns {
            let value = span.keys.iter().find(|(key, _)| *key == column).map_or("", |(_, v)| v.as_str());
            let _ = write!(text, ",\"{}\"", value.replace('"', "\"\""));
        }
        text.push('\n');
    }
    text
}

/// All that is said of the spans, without where it was said.
fn content(plan: &Plan) -> String {
    let mut text = String::new();
    for span in &plan.spans {
        let measured = span.measured.map(|index| plan.measured[index as usize].values.clone());
        let _ = writeln!(
            text,
            "{} {} {} {} {:?} {} {:?} {} {} {} {:?} {:?} {}",
            plan.point_name(span.from),
            plan.point_name(span.to),
            span.length.value(),
            plan.fibers[usize::from(span.fiber)],
            kind(plan, span.splice),
            span.splices,
            kind(plan, span.connector),
            span.connectors,
            span.reels,
            span.outside,
            measured,
            span.cable.map(|cable| &plan.cables[usize::from(cable)]),
            span.strand
        );
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// The same spans say the same, whether as YAML entries or as rows of a CSV table.
    #[test]
    fn rows_mean_what_entries_mean(spans in prop::collection::vec(written(), 1..8)) {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::write(folder.path().join("spans.csv"), in_csv(&spans)).expect("a file");
        let text = format!("{HEAD}  - {{table: spans.csv}}\n");
        let rows = from_text("plan.yaml", &text, Some(folder.path()));
        let drawn = diagnostic::render(&rows.findings, &rows.sources, false);
        prop_assert!(rows.findings.is_empty(), "{}", drawn);
        prop_assert_eq!(content(&rows.plan), content(&plan(&in_yaml(&spans))));
    }
}
