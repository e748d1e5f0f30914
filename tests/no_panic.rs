//! No input makes the reader panic, overflow the stack or run away; and a second, general-purpose
//! YAML reader sees the same keys and scalars in the same places of the tree.

use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use spanwright::place::FileId;
use spanwright::read::plan::{from_text, load};
use spanwright::read::yaml::{Node, Value, parse};
use spanwright::report::diagnostic;

/// Reads, and draws what was found: that must not panic either.
fn read(text: &str) -> Vec<&'static str> {
    let reading = from_text("plan.yaml", text, None);
    let drawn = diagnostic::render(&reading.findings, &reading.sources, false);
    assert_eq!(drawn.is_empty(), reading.findings.is_empty());
    reading.findings.iter().map(|finding| finding.rule.id).collect()
}

/// A sound plan that uses every key.
fn every_key() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rules/sound/every-key.yaml");
    std::fs::read_to_string(path).expect("the plan")
}

/// One random change of a text.
#[derive(Debug, Clone)]
enum Change {
    Cut(usize, usize),
    Insert(usize, String),
    Repeat(usize, usize),
    Swap(usize, usize),
}

fn change() -> impl Strategy<Value = Change> {
    let telling = prop::sample::select(vec![
        "[",
        "]",
        "{",
        "}",
        ":",
        ": ",
        "- ",
        "\n",
        "\t",
        "\"",
        "'",
        "&a ",
        "*a",
        "!x ",
        "#",
        "/",
        ",",
        "[1-3]",
        "[9-1]",
        "[0-99999999999]",
        "null",
        "~",
        "-1",
        ".nan",
        "1e999",
        "\u{0}",
        "\u{202E}",
        "ü",
        "|\n",
        ">\n",
        "<<: *a\n",
        "---\n",
        "...\n",
        "? ",
        "%YAML",
        "@",
        "`",
        "table: x.csv",
    ]);
    prop_oneof![
        (any::<usize>(), 0usize..60).prop_map(|(at, length)| Change::Cut(at, length)),
        (any::<usize>(), telling.prop_map(String::from)).prop_map(|(at, text)| Change::Insert(at, text)),
        (any::<usize>(), ".{0,8}").prop_map(|(at, text)| Change::Insert(at, text)),
        (any::<usize>(), 0usize..200).prop_map(|(at, length)| Change::Repeat(at, length)),
        (any::<usize>(), any::<usize>()).prop_map(|(one, other)| Change::Swap(one, other)),
    ]
}

fn changed(text: &str, changes: &[Change]) -> String {
    let mut text = text.to_string();
    for change in changes {
        let boundary = |at: usize| {
            let at = at % (text.len() + 1);
            (0..=at).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
        };
        match change {
            Change::Cut(at, length) => {
                let (from, to) = (boundary(*at), boundary(boundary(*at) + length));
                text.replace_range(from.min(to)..from.max(to), "");
            }
            Change::Insert(at, inserted) => text.insert_str(boundary(*at), inserted),
            Change::Repeat(at, length) => {
                let (from, to) = (boundary(*at), boundary(boundary(*at) + length));
                let part = text[from.min(to)..from.max(to)].to_string();
                text.insert_str(from.max(to), &part);
            }
            Change::Swap(one, other) => {
                let mut lines: Vec<&str> = text.lines().collect();
                if !lines.is_empty() {
                    let (one, other) = (one % lines.len(), other % lines.len());
                    lines.swap(one, other);
                }
                text = lines.join("\n");
            }
        }
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_of_a_file(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("plan.yaml");
        std::fs::write(&path, bytes).expect("a file");
        let reading = load(&path, &[]);
        diagnostic::render(&reading.findings, &reading.sources, true);
    }

    #[test]
    fn any_text(text in "\\PC{0,200}") {
        read(&text);
    }

    #[test]
    fn any_text_of_yaml_signs(text in "[-a-c0-2 \n\t\\[\\]{}:,&*!#|>'\"%@?.~/<=]{0,120}") {
        read(&format!("spanwright: 1\nspans:\n{text}"));
        read(&text);
    }

    #[test]
    fn a_sound_plan_changed_anyhow(changes in prop::collection::vec(change(), 1..6)) {
        read(&changed(&every_key(), &changes));
    }

    #[test]
    fn a_sound_table_changed_anyhow(changes in prop::collection::vec(change(), 1..6)) {
        let folder = tempfile::tempdir().expect("a folder");
        let rows = "from,to,length,kind,cable,measured\nf/1,h-1,80 m,drop,\"d, 1\",1310: 0.1 dB\n\
                    f/2,h-2,80 m,drop,d 2,\r\nf/3,h-3,80 m,,,\n";
        std::fs::write(folder.path().join("drops.csv"), changed(rows, &changes)).expect("a file");
        let plan = "spanwright: 1\nsplitters: {f: {ratio: 1x4}}\nonts: {\"h-[1-4]\": }\n\
                    spans: [{table: drops.csv}]\n";
        let reading = from_text("plan.yaml", plan, Some(folder.path()));
        let drawn = diagnostic::render(&reading.findings, &reading.sources, false);
        prop_assert_eq!(drawn.is_empty(), reading.findings.is_empty());
    }
}

/// Hostile texts end in one clear finding, soon, on the small stack of a test's thread.
#[test]
fn hostile_texts_end_soon_in_a_clear_finding() {
    const SIZE: usize = 100_000_000;
    let bomb = (1..12).fold("a0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_string(), |mut text, i| {
        let _ = writeln!(text, "a{i}: &a{i} [{}]", vec![format!("*a{}", i - 1); 9].join(", "));
        text
    });
    let cases = [
        ("lists in lists", "[".repeat(SIZE), "plan.too-large"),
        ("maps in maps", "{a: ".repeat(SIZE / 4), "plan.too-large"),
        ("block lists in lists", "- ".repeat(SIZE / 2), "plan.too-large"),
        ("keys that are maps", "? ".repeat(SIZE / 2), "plan.too-large"),
        ("aliases of aliases", bomb, "plan.too-large"),
        ("one endless text", format!("title: \"{}", "x".repeat(SIZE / 10)), "plan.syntax"),
        ("nothing but blanks", " ".repeat(SIZE / 10), "plan.empty"),
    ];
    for (what, text, rule) in cases {
        let start = Instant::now();
        let reading = from_text("plan.yaml", &text, None);
        let rules: Vec<&str> = reading.findings.iter().map(|finding| finding.rule.id).collect();
        assert_eq!(rules, [rule], "{what}");
        let drawn = diagnostic::render(&reading.findings, &reading.sources, false);
        assert!(drawn.len() < 2_000, "{what}: {} bytes are drawn", drawn.len());
        assert!(start.elapsed() < Duration::from_secs(30), "{what}: {:?}", start.elapsed());
    }
}

/// A range is small to write and large to expand.
#[test]
fn five_million_unknown_points_are_one_finding() {
    let text =
        "spanwright: 1\nspans:\n  - {from: \"a/[1-5000000]\", to: \"b/[1-5000000]\", length: 1 m}\n";
    assert_eq!(read(text), ["plan.unknown-point", "plan.unknown-point"]);
}

/// Our tree and the other reader's agree in keys, in their order, and in scalars.
fn same(ours: &Node<'_>, theirs: &serde_yaml::Value, path: &str) -> Result<(), String> {
    let differ = || Err(format!("{path}: {:?} is not {theirs:?}", ours.value));
    match (&ours.value, theirs) {
        (Value::Empty, serde_yaml::Value::Null) => Ok(()),
        (Value::Text(text), serde_yaml::Value::String(other)) if text == other => Ok(()),
        (Value::Text(text), serde_yaml::Value::Bool(other)) if *text == other.to_string() => Ok(()),
        (Value::Text(text), serde_yaml::Value::Number(other)) => {
            let number = text.parse::<f64>().ok();
            if number == other.as_f64() { Ok(()) } else { differ() }
        }
        (Value::List(items), serde_yaml::Value::Sequence(others)) if items.len() == others.len() => {
            items
                .iter()
                .zip(others)
                .enumerate()
                .try_for_each(|(index, (one, other))| same(one, other, &format!("{path}/{index}")))
        }
        (Value::Map(entries), serde_yaml::Value::Mapping(others)) if entries.len() == others.len() => {
            entries.iter().zip(others).try_for_each(|((key, value), (other_key, other))| {
                same(key, other_key, &format!("{path}/key"))?;
                same(value, other, &format!("{path}/{}", key.text().unwrap_or("?")))
            })
        }
        _ => differ(),
    }
}

fn both_read_the_same(text: &str) -> Result<(), String> {
    let theirs: serde_yaml::Value =
        serde_yaml::from_str(text).map_err(|error| format!("{error}\n{text}"))?;
    let ours = parse(text, FileId(0)).map_err(|finding| format!("{}\n{text}", finding.message))?;
    same(&ours, &theirs, "").map_err(|fault| format!("{fault}\n{text}"))
}

/// Texts as they stand in plans, and texts that YAML has its own mind about.
fn scalar() -> impl Strategy<Value = serde_yaml::Value> {
    let words = prop::sample::select(vec![
        "olt-1/1/1",
        "fdh-3a/in",
        "7.4 km",
        "1x32",
        "1:32",
        "007",
        "1.10",
        "yes",
        "no",
        "null",
        "~",
        "2031-04-02",
        "a: b",
        "# x",
        "- x",
        "home-[001-032]",
        "{x}",
        "GPON-OLT-C+",
        "",
        " x ",
        "x\ny",
        "'",
        "\"",
        "<<",
        "=",
        "0x1F",
        "1e3",
        ".nan",
        "true",
        "Größe",
        "*a",
        "&a",
        "!t",
        "%",
        "@",
        "`",
    ]);
    prop_oneof![
        4 => words.prop_map(|text| serde_yaml::Value::String(text.to_string())),
        2 => "[a-zA-Z0-9 :#/_.,+-]{0,12}".prop_map(serde_yaml::Value::String),
        1 => any::<i32>().prop_map(|number| serde_yaml::Value::Number(number.into())),
        1 => (-1.0e6..1.0e6).prop_map(|number: f64| serde_yaml::Value::Number(number.into())),
        1 => any::<bool>().prop_map(serde_yaml::Value::Bool),
        1 => Just(serde_yaml::Value::Null),
    ]
}

fn document() -> impl Strategy<Value = serde_yaml::Value> {
    scalar().prop_recursive(5, 60, 6, |inner| {
        let key = "[a-z][a-z0-9-]{0,8}";
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(serde_yaml::Value::Sequence),
            prop::collection::btree_map(key, inner, 0..6).prop_map(|map| {
                let entries = map.into_iter().map(|(key, value)| (key.into(), value));
                serde_yaml::Value::Mapping(entries.collect())
            }),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn another_reader_sees_the_same_tree(value in document()) {
        let text = serde_yaml::to_string(&value).expect("YAML");
        prop_assert_eq!(both_read_the_same(&text), Ok(()));
    }
}

#[test]
fn another_reader_sees_the_same_tree_in_the_examples() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders = vec![root.join("examples"), root.join("tests/rules/sound")];
    let mut read = 0;
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "yaml") {
                let text = std::fs::read_to_string(&path).expect("a plan");
                // The other reader knows no byte order mark.
                let text = text.trim_start_matches('\u{FEFF}');
                both_read_the_same(text).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()));
                read += 1;
            }
        }
    }
    assert!(read >= 10, "only {read} plans");
}
