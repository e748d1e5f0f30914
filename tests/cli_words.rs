//! Words on the command line are read as those of a plan are: what is refused there is refused here, with
//! the same words and the same hint.

use assert_cmd::Command;
use spanwright::read::plan::from_text;

/// Exit code and errors of `spanwright`.
fn run(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    let output = command.env("NO_COLOR", "1").args(args).output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().expect("it ended by itself"), text(output.stdout), text(output.stderr))
}

/// A plan with one value in it, and the only finding about it.
fn refused_in_a_plan(port: &str, span: &str, splitter: &str) -> (String, String) {
    let text = format!(
        "spanwright: 1\nshelves: {{a: {{ports: {{1: {{optic: 10GBASE-LR{port}}}}}}}, \
         b: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}}}\nsplitters: {{s: {{ratio: {splitter}}}}}\n\
         spans:\n  - {{from: a/1, to: s/in, length: 1 km{span}}}\n  - {{from: s/1, to: b/1, length: 1 km}}\n"
    );
    let reading = from_text("plan.yaml", &text, None);
    let bad: Vec<_> = reading.findings.iter().filter(|finding| finding.is_bad_input()).collect();
    assert_eq!(bad.len(), 1, "{bad:#?}\n{text}");
    (bad[0].message.clone(), bad[0].hint.clone())
}

/// What is said of a value, without what it belongs to.
fn without_owner(message: &str, key: &str, argument: &str) -> String {
    let owners = ["port `a/1`", "this span from `a/1`", "span `a/1`", "splitter `s`", "`connector`"];
    let of = owners.map(|owner| format!("`{key}` of {owner}"));
    let known = of.iter().find(|of| message.starts_with(of.as_str()));
    let known = known.unwrap_or_else(|| panic!("whose is it: {message}"));
    format!("`{argument}`{}", &message[known.len()..])
}

#[test]
fn a_word_is_refused_alike_in_a_plan_and_on_the_command_line() {
    let port = [
        ("cage", "SPF+"),
        ("form", "QSPF28"),
        ("temperature", "X"),
        ("power", "1.5"),
        ("power", "0 W"),
        ("rate", "fast"),
        ("fec", "foo"),
        ("fec", "rs582"),
        ("face", "LC/UPS"),
        ("lane", "17"),
        ("lane", "one"),
        ("channel", "C999"),
    ];
    for (key, value) in port {
        let (message, hint) = refused_in_a_plan(&format!(", {key}: \"{value}\""), "", "1x2");
        for (argument, pair) in [(format!("--{key}"), false), (format!("--far-{key}"), true)] {
            let near = ["fit", "--optic", "10GBASE-LR", "--length", "1 km"];
            let (code, out, err) = run(&[&near[..], &[argument.as_str(), value]].concat());
            assert_eq!((code, out.as_str()), (2, ""), "{argument} {value} {pair}");
            let expected = without_owner(&message, key, &argument);
            assert!(err.contains(&expected), "{argument}: {err}\nnot: {expected}");
            assert!(err.contains(&hint), "{argument}: {err}\nnot: {hint}");
        }
    }
    let span = [
        ("fiber", "G.625.D", "--fiber"),
        ("splice", "fussion", "--splice"),
        ("polarity", "D", "--polarity"),
        ("plugs", "LC/UPS", "--plugs"),
    ];
    for (key, value, argument) in span {
        let (message, hint) = refused_in_a_plan("", &format!(", {key}: {value}"), "1x2");
        let all = ["fit", "--optic", "10GBASE-LR", "--length", "1 km", argument, value];
        let (code, _, err) = run(&all);
        assert_eq!(code, 2, "{argument}");
        let said = message.split_once(" is `").or(message.split_once(": ")).expect("a value").1;
        assert!(err.contains(said) && err.contains(&format!("`{argument}`")), "{err}\nnot: {said}");
        assert!(err.contains(&hint), "{argument}: {err}\nnot: {hint}");
    }
    for (key, value, argument) in [("grade", "CC", "--connector"), ("polish", "UPS", "--polish")] {
        let (message, hint) = refused_in_a_plan("", &format!(", connector: {{{key}: {value}}}"), "1x2");
        for command in ["fit", "path"] {
            let all = [command, "--optic", "10GBASE-LR", "--length", "1 km", argument, value];
            let (code, _, err) = run(&all);
            assert_eq!(code, 2, "{argument}");
            assert!(err.contains(&without_owner(&message, key, argument)), "{err}\nnot: {message}");
            assert!(err.contains(&hint), "{argument}: {err}\nnot: {hint}");
        }
    }
    let (message, hint) = refused_in_a_plan("", "", "1x33");
    let (code, _, err) = run(&["path", "--optic", "10GBASE-LR", "--length", "1 km", "--split", "1x33"]);
    assert_eq!(code, 2);
    let said = message.split_once(" is ").expect("a value").1;
    assert!(err.contains(said) && err.contains(&hint), "{err}\nnot: {message}");
}

/// Several slips are told in one run.
#[test]
fn every_slip_is_told_at_once() {
    let (code, out, err) = run(&[
        "fit",
        "--optic",
        "10GBASE-LR",
        "--cage",
        "SPF+",
        "--fec",
        "foo",
        "--place",
        "outdoor cabinet",
        "--card",
        "no-such-card",
        "--power",
        "2",
        "--far-lane",
        "0",
    ]);
    assert_eq!((code, out.as_str()), (2, ""));
    for argument in ["--cage", "--fec", "--place", "--card", "--power", "--far-lane"] {
        assert!(err.contains(&format!("`{argument}`")), "{argument}: {err}");
    }
    assert!(err.contains("did you mean `cabinet`?"), "{err}");
}

/// A kind of place that no temperature range speaks of, and a card that no table has, would silently
/// leave unchecked what they were said for.
#[test]
fn a_place_or_a_card_that_means_nothing_is_refused() {
    for place in ["FOO", "outdoor cabinet", ""] {
        for argument in ["--place", "--far-place"] {
            let way = ["fit", "--optic", "10GBASE-LR", "--temperature", "C", "--length", "1 km"];
            let (code, _, err) = run(&[&way[..], &[argument, place]].concat());
            assert_eq!(code, 2, "{err}");
            assert!(err.contains("expected `cabinet`, `central-office`"), "{err}");
        }
    }
    for place in ["cabinet", "Cabinet", "pole"] {
        let way = ["fit", "--optic", "10GBASE-LR", "--temperature", "C", "--place", place];
        assert_eq!(run(&way).0, 1, "{place}");
    }
    let (code, _, err) = run(&["fit", "--optic", "10GBASE-LR", "--card", "pom-8"]);
    assert_eq!(code, 2);
    assert!(err.contains("did you mean `pon-8`?"), "{err}");
}

/// A module with two PON systems in it is named by both (ITU-T G.9807.1: combined GPON and XGS-PON
/// optics; common practice), whether with a comma or one after the other.
#[test]
fn a_combined_optic_is_named_by_its_parts() {
    let way = ["--length", "10 km", "--split", "1x32", "--connectors", "4", "--format", "json"];
    let comma = ["fit", "--optic", "GPON-OLT-B+,XGS-PON-OLT-N1"];
    let twice = ["fit", "--optic", "GPON-OLT-B+", "--optic", "XGS-PON-OLT-N1"];
    let answers = [&comma[..], &twice[..]].map(|optics| run(&[optics, &way[..]].concat()));
    assert_eq!(answers[0], answers[1]);
    let (code, out, err) = &answers[0];
    assert_eq!(*code, 0, "{err}");
    for nm in ["1490", "1310", "1577", "1270"] {
        assert!(out.contains(nm), "{nm}: {out}");
    }
    // 8 dB more are beyond the 28 dB of class B+ (ITU-T G.984.2) and the 29 dB of N1 (G.9807.1).
    let padded = run(&[&comma[..], &way[..], &["--pad", "8 dB"]].concat());
    assert_eq!(padded.0, 1);
}

/// An ONU is asked about from its own end of the way: the OLT sends into the splitter, whichever of the
/// two is named (ITU-T G.984.2 class B+: the launch of the OLT is 1.5 to 5 dBm, of the ONU 0.5 to 5).
#[test]
fn an_onu_sits_at_the_far_end() {
    let way = ["--length", "10 km", "--split", "1x32", "--connectors", "4", "--format", "csv"];
    let olt = run(&[&["path", "--optic", "GPON-OLT-B+"][..], &way].concat());
    let onu = run(&[&["path", "--optic", "GPON-ONU-B+"][..], &way].concat());
    assert_eq!((olt.0, onu.0), (0, 0), "{} {}", olt.2, onu.2);
    assert_eq!(olt.1, onu.1);
    let fit = run(&[&["fit", "--optic", "GPON-ONU-B+"][..], &way[..6]].concat());
    assert_eq!(fit.0, 0);
    assert!(fit.1.starts_with("GO   GPON-ONU-B+ in `ont`, facing GPON-OLT-B+ in `olt`"), "{}", fit.1);
}

/// A part of all eighteen colors is judged at the one that is said (ITU-T G.694.2: 1551 nm).
#[test]
fn a_path_has_a_channel() {
    let way = ["path", "--optic", "CWDM-2.5G-40km", "--length", "30 km"];
    assert_eq!(run(&way).0, 1, "which color is not known");
    let (code, out, err) = run(&[&way[..], &["--channel", "CWDM1551"]].concat());
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("1551 nm of CWDM-2.5G-40km CWDM1551"), "{out}");
    let unlike = [&way[..], &["--channel", "CWDM1551", "--far-channel", "CWDM1571"]].concat();
    assert!(run(&unlike).1.contains("1571 nm"), "each end sends on its own");
    assert_eq!(run(&[&way[..], &["--channel", "CWDM1552"]].concat()).0, 2);
}
