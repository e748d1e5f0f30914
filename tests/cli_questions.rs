//! Twenty-five questions of an installer at a shelf, as they are typed, with the answers that trade
//! knowledge gives (common practice, unless a source stands beside one).

use assert_cmd::Command;
use serde_json::Value;

/// GO, NO-GO, CANNOT JUDGE as exit codes; 2 is bad input.
const GO: i32 = 0;
const NO_GO: i32 = 1;
const REFUSED: i32 = 2;
const CANNOT_JUDGE: i32 = 3;

/// A question: its number, what is typed behind `fit`, the answer, and what must be said: rules that speak
/// against it, or words of the answer.
struct Question(u8, &'static str, i32, &'static [&'static str]);

/// What is typed, split as a shell does with double quotes.
fn split(typed: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for letter in typed.chars() {
        match letter {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            letter => words.last_mut().expect("a word").push(letter),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

fn asked(typed: &str) -> (i32, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("NO_COLOR", "1")
        .args(["fit", "--format", "json"]);
    let output = command.args(split(typed)).output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("UTF-8");
    let code = output.status.code().expect("it ended by itself");
    (code, text(if code == REFUSED { &output.stderr } else { &output.stdout }))
}

const QUESTIONS: [Question; 59] = [
    // 1: a 1G module in a 10G cage works where the port has a 1G mode.
    Question(
        1,
        "--optic 1000BASE-LX --form SFP --cage SFP+ --length \"2 km\"",
        CANNOT_JUDGE,
        &["fit.cage-undecided"],
    ),
    Question(1, "--optic 1000BASE-LX --form SFP --cage SFP+ --length \"2 km\" --rate 1G", GO, &[]),
    // 2: a 10G module in a 1G cage stays dead.
    Question(
        2,
        "--optic 10GBASE-LR --form SFP+ --cage SFP --length \"2 km\"",
        NO_GO,
        &["fit.dead-in-cage"],
    ),
    // 3: halves of a pair.
    Question(3, "--optic 1000BASE-BX10-D --far-optic 1000BASE-BX10-U --length \"5 km\"", GO, &[]),
    Question(
        3,
        "--optic 1000BASE-BX10-U --far-optic 1000BASE-BX10-U --length \"5 km\"",
        NO_GO,
        &["fit.same-side-bidi"],
    ),
    Question(3, "--optic 1000BASE-BX10-D --length \"5 km\"", GO, &["the far end has 1000BASE-BX10-U"]),
    // 4 to 7: the wrong fiber, the wrong end, too much light.
    Question(
        4,
        "--optic 10GBASE-LR --far-optic 10GBASE-SR --length \"100 m\"",
        NO_GO,
        &["fit.fiber-kind"],
    ),
    Question(
        5,
        "--optic 1000BASE-LX --fiber OM2 --length \"300 m\" --mode-conditioning yes",
        GO,
        &["1000BASE-LX-MM"],
    ),
    Question(
        5,
        "--optic 1000BASE-LX --fiber OM2 --length \"300 m\" --mode-conditioning no",
        NO_GO,
        &["fit.fiber-kind", "1000BASE-LX-MM"],
    ),
    Question(
        6,
        "--optic 10GBASE-LR --fiber OM3 --length \"80 m\"",
        NO_GO,
        &["fit.fiber-kind", "10GBASE-SR"],
    ),
    Question(7, "--optic 10GBASE-ER --length \"2 km\"", NO_GO, &["budget.overload", "7.00 dB"]),
    Question(7, "--optic 10GBASE-ER --far-optic 10GBASE-LR --length \"15 km\"", NO_GO, &["dB at A"]),
    // 8: two colors of one grid, point to point.
    Question(
        8,
        "--optic \"CWDM-2.5G-80km CWDM1551\" --far-optic \"CWDM-2.5G-80km CWDM1571\" --length \"75 km\"",
        GO,
        &["fit.channel-differs"],
    ),
    // 9 to 13: PON.
    Question(
        9,
        "--optic GPON-OLT-B+ --far-optic GPON-ONU-C+ --length \"10 km\" --split 1x32 --connectors 4",
        GO,
        &["fit.classes-differ"],
    ),
    Question(
        10,
        "--optic GPON-OLT-C+ --far-optic GPON-ONU-B+ --length \"18 km\" --split 1x32 --connectors 4",
        GO,
        &[],
    ),
    Question(
        11,
        "--optic XGS-PON-OLT-N1 --card gpon-8 --cage SFP+ --form SFP+ --length \"10 km\" --split 1x32",
        NO_GO,
        &["fit.card-optic"],
    ),
    Question(
        12,
        "--optic GPON-OLT-B+,XGS-PON-OLT-N1 --length \"10 km\" --split 1x32 --connectors 4",
        GO,
        &["1577", "1490"],
    ),
    Question(
        13,
        "--optic GPON-OLT-B+ --length \"10 km\" --split 1x32 --connectors 4",
        GO,
        &["the far end has GPON-ONU-B+"],
    ),
    Question(
        13,
        "--optic XGS-PON-ONU-N1 --length \"10 km\" --split 1x32 --connectors 4",
        GO,
        &["the far end has XGS-PON-OLT-N1"],
    ),
    // 14, 15: rate and error correction.
    Question(
        14,
        "--optic 25GBASE-LR --form SFP28 --cage SFP+ --length \"2 km\"",
        NO_GO,
        &["fit.dead-in-cage"],
    ),
    Question(
        15,
        "--optic 25GBASE-LR --fec rs528 --far-fec none --length \"2 km\"",
        NO_GO,
        &["fit.card-fec"],
    ),
    Question(
        15,
        "--optic 100GBASE-LR4 --fec none --far-fec rs528 --length \"2 km\"",
        NO_GO,
        &["fit.fec-differs"],
    ),
    // 16: breakouts, with the lane at either port or unsaid.
    Question(
        16,
        "--optic 100GBASE-SR4 --far-optic 25GBASE-SR --lane 1 --fiber OM4 --length \"30 m\" --connectors 1",
        GO,
        &[],
    ),
    Question(
        16,
        "--optic 100GBASE-SR4 --far-optic 25GBASE-SR --far-lane 1 --fiber OM4 --length \"30 m\" --connectors 1",
        GO,
        &[],
    ),
    Question(
        16,
        "--optic 100GBASE-SR4 --far-optic 25GBASE-SR --fiber OM4 --length \"30 m\" --connectors 1",
        GO,
        &["is broken out into 4 x 25GBASE-SR"],
    ),
    Question(
        16,
        "--optic 100GBASE-SR4 --lane 1 --fiber OM4 --length \"30 m\" --connectors 1",
        GO,
        &["the far end has 25GBASE-SR"],
    ),
    Question(
        16,
        "--optic 40GBASE-SR4 --far-optic 10GBASE-SR --fiber OM3 --length \"50 m\" --connectors 1",
        GO,
        &["keeps the levels of 10GBASE-SR"],
    ),
    // 17: array cords (TIA-568.3; IEC 61754-7).
    Question(
        17,
        "--optic 40GBASE-SR4 --fiber OM4 --length \"30 m\" --connectors 1 --polarity A",
        NO_GO,
        &["fit.array-polarity"],
    ),
    Question(
        17,
        "--optic 40GBASE-SR4 --fiber OM4 --length \"30 m\" --connectors 1 --polarity B,A,B",
        NO_GO,
        &["fit.array-polarity"],
    ),
    Question(
        17,
        "--optic 40GBASE-SR4 --fiber OM4 --length \"30 m\" --connectors 1 --polarity B",
        GO,
        &[],
    ),
    Question(
        17,
        "--optic 40GBASE-SR4 --fiber OM4 --length \"30 m\" --connectors 1 --plugs MPO-12/flat/pinned --polarity B",
        NO_GO,
        &["fit.array-pins"],
    ),
    // 18: polish and kind of the plug in the module.
    Question(
        18,
        "--cage SFP+ --optic 10GBASE-LR --length \"3 km\" --connectors 2 --polish APC --plugs LC/APC",
        NO_GO,
        &["fit.polish-mixed"],
    ),
    Question(
        18,
        "--cage SFP+ --optic 10GBASE-LR --length \"3 km\" --connectors 2 --polish APC",
        CANNOT_JUDGE,
        &["fit.polish-undecided"],
    ),
    Question(
        18,
        "--cage SFP+ --optic 10GBASE-LR --length \"3 km\" --connectors 2 --plugs SC/UPC",
        NO_GO,
        &["fit.plug-kind"],
    ),
    // 19, 20: no light.
    Question(19, "--cage SFP+ --form SFP+ --optic DAC", GO, &["not optical"]),
    Question(19, "--cage SFP --form SFP+ --optic twinax", NO_GO, &["fit.dead-in-cage", "not optical"]),
    Question(19, "--optic AOC", CANNOT_JUDGE, &["not optical"]),
    Question(20, "--cage SFP+ --optic 1000BASE-T --form SFP --rate 1G", GO, &["copper pairs"]),
    Question(20, "--cage SFP+ --optic 10GBASE-T", GO, &["copper pairs"]),
    Question(20, "--optic RJ45 --far-optic 10GBASE-LR --length \"1 km\"", NO_GO, &["fit.unlike-ends"]),
    // 21: 50 GHz channels (ITU-T G.694.1: H31 is 193.15 THz).
    Question(21, "--optic 10GBASE-ZR --channel H31 --length \"70 km\"", GO, &["1552.12"]),
    // 22: places.
    Question(
        22,
        "--optic 10GBASE-LR --temperature C --place cabinet --length \"2 km\"",
        NO_GO,
        &["fit.temperature", "temperature range I"],
    ),
    Question(
        22,
        "--optic 10GBASE-LR --temperature C --place \"outdoor cabinet\" --length \"2 km\"",
        REFUSED,
        &["did you mean `cabinet`?"],
    ),
    Question(
        22,
        "--optic 10GBASE-LR --temperature C --place FOO --length \"2 km\"",
        REFUSED,
        &["expected `cabinet`"],
    ),
    // 23: what the module says of itself.
    Question(
        23,
        "--memory tests/module_memory/dumps/sfpp_10gbase_lr.hex --cage SFP+ --length \"2 km\"",
        GO,
        &["10GBASE-LR"],
    ),
    Question(
        23,
        "--memory tests/module_memory/dumps/sfpp_10gbase_lr.hex --cage SFP --length \"2 km\"",
        NO_GO,
        &["fit.dead-in-cage"],
    ),
    // 24: usual channels over two panels.
    Question(
        24,
        "--optic 25GBASE-SR --fiber OM4 --length \"50 m\" --connectors 2",
        GO,
        &["grade TIA-0.75"],
    ),
    Question(
        24,
        "--optic 100GBASE-SR4 --fiber OM4 --length \"70 m\" --connectors 2",
        GO,
        &["grade MPO"],
    ),
    Question(24, "--optic 40GBASE-SR4 --fiber OM4 --length \"60 m\" --connectors 2", GO, &["grade MPO"]),
    Question(24, "--optic 10GBASE-SR --fiber OM3 --length \"300 m\" --connectors 2", GO, &[]),
    Question(24, "--optic 1000BASE-SX --fiber OM2 --length \"550 m\" --connectors 2", GO, &[]),
    Question(
        24,
        "--optic 25GBASE-SR --fiber OM4 --length \"50 m\" --connectors 5",
        NO_GO,
        &["budget.over-loss"],
    ),
    // 25: what the tables do not hold is named to the cell.
    Question(
        25,
        "--optic 10GBASE-BX-1270 --length \"5 km\"",
        CANNOT_JUDGE,
        &["`tx_min_dbm` of `10GBASE-BX-1270`"],
    ),
    // Words that mean nothing, and figures that nothing is held against.
    Question(9, "--optic 10GBASE-LR --card FOO", REFUSED, &["no card of the table `cards`"]),
    Question(
        9,
        "--optic 10GBASE-LR --cage SFP+ --power \"99 W\" --length \"1 km\"",
        GO,
        &["the power that the cage gives the module"],
    ),
    Question(
        9,
        "--optic 10GBASE-LR --card eth-8 --cage SFP+ --power \"99 W\" --length \"1 km\"",
        NO_GO,
        &["fit.power"],
    ),
    Question(13, "--optic 10GBASE-SR --fiber OM3 --length \"400 m\"", NO_GO, &["reach 0.300 km"]),
    Question(
        13,
        "--optic 100GBASE-LR4 --far-optic 100G-CWDM4 --length \"1 km\"",
        NO_GO,
        &["fit.lanes-differ"],
    ),
    Question(7, "--optic 10GBASE-LR --length \"60 km\" --alternatives 3", NO_GO, &["10GBASE-ZR"]),
];

#[test]
fn every_question_has_the_answer_of_the_trade() {
    let mut wrong: Vec<String> = Vec::new();
    for Question(number, typed, code, said) in &QUESTIONS {
        let (answered, text) = asked(typed);
        if answered != *code {
            wrong.push(format!("{number}: {typed}: {answered}, not {code}\n{text}"));
            continue;
        }
        if let Ok(json) = serde_json::from_str::<Value>(&text) {
            let go =
                json["go"].as_str().or(json["answer"]["go"].as_str()).unwrap_or_default().to_string();
            let words = ["GO", "NO-GO", "", "CANNOT JUDGE"][usize::try_from(*code).expect("a code")];
            if go != words {
                wrong.push(format!("{number}: {typed}: `{go}`, not `{words}`"));
            }
        }
        for one in said.iter().filter(|one| !text.contains(**one)) {
            wrong.push(format!("{number}: {typed}: `{one}` is not said\n{text}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Each of the twenty-five is asked.
#[test]
fn all_questions_are_there() {
    let numbers: std::collections::BTreeSet<u8> = QUESTIONS.iter().map(|question| question.0).collect();
    assert_eq!(numbers, (1..=25).collect());
}
