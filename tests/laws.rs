//! Laws of loss where people state them: in a plan, in tables of their own, on the command line.
//!
//! Expected values are added up here by hand from the figures that are stated; the laws themselves are held
//! to exact values in `tests/statistics/`.

use std::path::Path;

use approx::assert_abs_diff_eq;
use assert_cmd::Command;
use serde_json::Value;
use spanwright::budget::{End, Settings};
use spanwright::engine::{Judged, judge};
use spanwright::loss::statistics::{Convolver, LossSum, MeanNumber, Shape};
use spanwright::read::plan::load;
use spanwright::units::{Decibels, Probability};

fn db(value: f64) -> Decibels {
    Decibels::new(value)
}

fn p(value: f64) -> Probability {
    Probability::new(value).expect("a probability")
}

/// Tables with round figures: fiber 0.25 dB/km with a spread of 0.02 dB/km, connectors gamma 0.2 dB (spread
/// 0.1) and at most 0.5 dB, splices gamma 0.1 dB (spread 0.05) and at most 0.2 dB.
const CONNECTORS: &str = "grade,least_db,typical_db,most_db,spread_db,shape,source,provenance\n\
                          round,0,0.2,0.5,0.1,gamma,invented,invented-demo\n";
const SPLICES: &str = "splice,least_db,typical_db,most_db,spread_db,shape,source,provenance\n\
                       round,0,0.1,0.2,0.05,gamma,invented,invented-demo\n";
const FIBERS: &str = "fiber,nm,least_db_km,typical_db_km,most_db_km,spread_db_km,source,provenance\n\
                      G.652.D,1310,0.2,0.25,0.3,0.02,invented,invented-demo\n";

/// A link of 10 km over two panels, with four splices along the fiber where nothing else is said.
fn plan(top: &str, span: &str) -> String {
    format!(
        "spanwright: 1\ntitle: Laws\n{top}defaults: {{connector: round/UPC, splice: round}}\n\
         shelves:\n  a: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n  b: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n\
         panels: {{p-1: {{positions: 1}}, p-2: {{positions: 1}}}}\n\
         spans:\n  - {{from: a/1, to: p-1/1, length: 0 m, kind: patch-cord}}\n\
         \x20 - {{from: p-1/1, to: p-2/1, length: 10 km{span}}}\n\
         \x20 - {{from: p-2/1, to: b/1, length: 0 m, kind: patch-cord}}\n"
    )
}

fn judged_with(plan: &str, tables: &[(&str, &str)]) -> Judged {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in tables {
        std::fs::write(folder.path().join(format!("{name}.csv")), text).expect("written");
    }
    let file = folder.path().join("plan.yaml");
    std::fs::write(&file, plan).expect("written");
    let reading = load(&file, &[folder.path().to_path_buf()]);
    let files = reading.sources.files();
    let settings = Settings { statistics: true, cross_check: None };
    judge(reading.plan, reading.tables, reading.findings, files, settings).unwrap_or_else(|findings| {
        panic!("{:?}", findings.iter().map(|one| &one.message).collect::<Vec<_>>())
    })
}

const TABLES: [(&str, &str); 3] =
    [("connectors", CONNECTORS), ("splices", SPLICES), ("fiber-attenuation", FIBERS)];

fn judged(plan: &str) -> Judged {
    judged_with(plan, &TABLES)
}

fn end(judged: &Judged) -> &End {
    &judged.assessment.ends[0]
}

/// 10 km of fiber, two mated pairs and four splices: mean and random part by hand.
fn clean() -> LossSum {
    let mut sum = LossSum::new();
    sum.add(&Shape::normal(db(2.5), db(0.2)).expect("a law"));
    sum.add_times(&Shape::gamma(db(0.0), db(0.2), db(0.1)).expect("a law"), 2);
    sum.add_times(&Shape::gamma(db(0.0), db(0.1), db(0.05)).expect("a law"), 4);
    sum
}

#[track_caller]
fn has_law(end: &End, expected: &LossSum) {
    let found = end.statistics.expect("statistics");
    let law = Convolver::new().distribution(expected);
    assert_abs_diff_eq!(found.mean.value(), law.mean().value(), epsilon = 1e-9);
    assert_abs_diff_eq!(found.spread.value(), law.spread().value(), epsilon = 1e-9);
    assert_abs_diff_eq!(found.quantile.value(), law.quantile(p(0.999)).value(), epsilon = 1e-6);
    assert!(found.error_bound < db(0.005), "{found:?}");
}

/// What the command line says that a plan assumes.
fn assumptions(plan: &str, tables: &[(&str, &str)]) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    for (name, text) in tables {
        std::fs::write(path(&format!("{name}.csv")), text).expect("written");
    }
    std::fs::write(path("plan.yaml"), plan).expect("written");
    let (file, own) = (path("plan.yaml").display().to_string(), folder.path().display().to_string());
    let (code, value) = json(&["budget", &file, "--tables", &own]);
    assert!(code < 2, "{value}");
    value["assumptions"].to_string()
}

#[test]
fn dirt_changes_the_statistics_alone() {
    let (clean_plan, dirty_plan) =
        (plan("", ", splices: 4"), plan("dirty: 3 %, 1 dB\n", ", splices: 4"));
    let (before, after) = (judged(&clean_plan), judged(&dirty_plan));
    has_law(end(&before), &clean());
    let mut dirty = clean();
    dirty.add_in_share(p(0.03), &Shape::fixed(db(1.0)).expect("a law"), 2);
    has_law(end(&after), &dirty);
    let (one, other) = (end(&before), end(&after));
    assert_eq!(
        (one.least, one.typical, one.most, one.verdict),
        (other.least, other.typical, other.most, other.verdict)
    );
    assert!(!assumptions(&clean_plan, &TABLES).contains("dirty"));
    let said = assumptions(&dirty_plan, &TABLES);
    let expected = "dirty connectors: 3 % lose 1.00 dB more, in the statistics alone; the worst case counts clean ones";
    assert!(said.contains(expected), "{said}");
}

/// A grade may say it of itself; what the plan says goes before it, and a measured joint is as it is.
#[test]
fn dirt_of_a_grade() {
    let grade = "grade,least_db,typical_db,most_db,spread_db,shape,dirty_percent,dirty_db,source,provenance\n\
                 round,0,0.2,0.5,0.1,gamma,5,0.8,invented,invented-demo\n";
    let tables = [("connectors", grade), ("splices", SPLICES), ("fiber-attenuation", FIBERS)];
    let of_row = judged_with(&plan("", ", splices: 4"), &tables);
    let mut dirty = clean();
    dirty.add_in_share(p(0.05), &Shape::fixed(db(0.8)).expect("a law"), 2);
    has_law(end(&of_row), &dirty);
    let said = assumptions(&plan("", ", splices: 4"), &tables);
    assert!(said.contains("dirty connectors of grade round: 5 % lose 0.80 dB more"), "{said}");
    let of_plan = judged_with(&plan("dirty: 10 %, 1 dB\n", ", splices: 4"), &tables);
    let mut dirty = clean();
    dirty.add_in_share(p(0.1), &Shape::fixed(db(1.0)).expect("a law"), 2);
    has_law(end(&of_plan), &dirty);
    let measured = plan("dirty: 10 %, 1 dB\n", ", splices: 4")
        .replace("p-1: {positions: 1}", "p-1: {positions: 1, measured: 0.3 dB, uncertainty: 0.1 dB}");
    let mut sum = LossSum::new();
    sum.add(&Shape::normal(db(2.5), db(0.2)).expect("a law"));
    sum.add(&Shape::normal(db(0.3), db(0.05)).expect("a law"));
    sum.add(&Shape::gamma(db(0.0), db(0.2), db(0.1)).expect("a law"));
    sum.add_times(&Shape::gamma(db(0.0), db(0.1), db(0.05)).expect("a law"), 4);
    sum.add_in_share(p(0.1), &Shape::fixed(db(1.0)).expect("a law"), 1);
    has_law(end(&judged_with(&measured, &tables)), &sum);
}

/// Repairs at random: 10 km at one repair of two splices in 4 km are 2.5 on average. The worst case
/// counts three begun stretches either way.
#[test]
fn repairs_at_random() {
    let stated = |law: &str| format!("allowances: {{repair: {{splices: 2, per: 4 km{law}}}}}\n");
    let fixed = judged(&plan(&stated(""), ", splices: 4"));
    let random = judged(&plan(&stated(", law: poisson"), ", splices: 4"));
    let repair = Shape::gamma(db(0.0), db(0.1), db(0.05)).expect("a law");
    let mut sum = clean();
    sum.add_times(&repair, 6);
    has_law(end(&fixed), &sum);
    let mut sum = clean();
    sum.add_poisson(MeanNumber::new(2.5).expect("a number"), 2, &repair);
    has_law(end(&random), &sum);
    assert_eq!(end(&fixed).most, end(&random).most);
    // 10 km at 0.3, two pairs at 0.5, ten splices at 0.2.
    assert_abs_diff_eq!(end(&random).most.value(), 3.0 + 1.0 + 2.0, epsilon = 1e-9);
    let said = |law: &str| assumptions(&plan(&stated(law), ", splices: 4"), &TABLES);
    assert!(said(", law: poisson").contains("(Poisson)") && !said("").contains("(Poisson)"));
}

/// Splices that repairs have put in stand beside those of the reels, and beside counted ones.
#[test]
fn repairs_that_were_made_stand_beside_the_other_splices() {
    let reel =
        |span: &str| judged(&plan("", span).replace("splice: round}", "splice: round, reel: 4 km}"));
    let most = |judged: &Judged| end(judged).most.value();
    // Three reels of 4 km: two splices between them.
    assert_abs_diff_eq!(most(&reel("")), 4.0 + 2.0 * 0.2, epsilon = 1e-9);
    assert_abs_diff_eq!(most(&reel(", repairs: 3")), 4.0 + 5.0 * 0.2, epsilon = 1e-9);
    assert_abs_diff_eq!(most(&reel(", splices: 1, repairs: 3")), 4.0 + 4.0 * 0.2, epsilon = 1e-9);
}

/// Splices by their loss for each kilometer: the figure as stated, and nothing of it in the least loss.
#[test]
fn splices_by_the_kilometer() {
    let stated = judged(&plan("", ", splice-loss: 0.05 dB/km"));
    assert_abs_diff_eq!(end(&stated).most.value(), 3.0 + 1.0 + 0.5, epsilon = 1e-9);
    assert_abs_diff_eq!(end(&stated).typical.value(), 2.5 + 0.4 + 0.5, epsilon = 1e-9);
    assert_abs_diff_eq!(end(&stated).least.value(), 2.0, epsilon = 1e-9);
    let repaired = judged(&plan("", ", splice-loss: 0.05 dB/km, repairs: 2"));
    assert_abs_diff_eq!(end(&repaired).most.value(), 3.0 + 1.0 + 0.5 + 0.4, epsilon = 1e-9);
    // A default holds for outside spans that say nothing of their splices.
    let usual = |span: &str| {
        let text = plan("", span).replace("splice: round}", "splice: round, splice-loss: 0.05 dB/km}");
        end(&judged(&text)).most.value()
    };
    assert_abs_diff_eq!(usual(""), 4.5, epsilon = 1e-9);
    assert_abs_diff_eq!(usual(", splices: 1"), 4.2, epsilon = 1e-9);
    // A row: mean 0.03 and spread 0.04 for a kilometer, so 0.3 and 0.04 sqrt(10) for ten.
    let rows = format!(
        "splice,per,least_db,typical_db,most_db,spread_db,shape,source,provenance\n\
         by-km,km,0,0.03,0.06,0.04,gamma,invented,invented-demo\n{}",
        "round,splice,0,0.1,0.2,0.05,gamma,invented,invented-demo\n"
    );
    let tables = [("connectors", CONNECTORS), ("splices", rows.as_str()), ("fiber-attenuation", FIBERS)];
    let by_row = judged_with(&plan("", ", splice-loss: by-km"), &tables);
    let mut sum = LossSum::new();
    sum.add(&Shape::normal(db(2.5), db(0.2)).expect("a law"));
    sum.add_times(&Shape::gamma(db(0.0), db(0.2), db(0.1)).expect("a law"), 2);
    sum.add(&Shape::gamma(db(0.0), db(0.3), db(0.04 * 10_f64.sqrt())).expect("a law"));
    has_law(end(&by_row), &sum);
    assert_abs_diff_eq!(end(&by_row).most.value(), 4.0 + 0.6, epsilon = 1e-9);
}

/// A mean and what 97 % keep give the spread. Grade C: lognormal 0.108135468843 dB (`tests/statistics/laws.csv`).
#[test]
fn a_law_through_its_mean_and_its_97_percent_value() {
    let grade = "grade,least_db,typical_db,most_db,within_97_db,shape,source,provenance\n\
                 round,0,0.25,0.5,0.5,lognormal,invented,invented-demo\n";
    let tables = [("connectors", grade), ("splices", SPLICES), ("fiber-attenuation", FIBERS)];
    let found = judged_with(&plan("", ", splices: 4"), &tables);
    let mut sum = LossSum::new();
    sum.add(&Shape::normal(db(2.5), db(0.2)).expect("a law"));
    sum.add_times(&Shape::log_normal(db(0.0), db(0.25), db(0.108_135_468_843)).expect("a law"), 2);
    sum.add_times(&Shape::gamma(db(0.0), db(0.1), db(0.05)).expect("a law"), 4);
    has_law(end(&found), &sum);
}

/// N(0.05, 0.05) cut at zero, stated by what is left of it: 0.064380 and 0.039676 dB.
#[test]
fn a_truncated_normal_law() {
    let splices = "splice,least_db,typical_db,most_db,spread_db,shape,source,provenance\n\
                   round,0,0.06437999854696,0.2,0.03967638736631,truncated-normal,invented,invented-demo\n";
    let tables = [("connectors", CONNECTORS), ("splices", splices), ("fiber-attenuation", FIBERS)];
    let found = judged_with(&plan("", ", splices: 4"), &tables);
    let mut sum = LossSum::new();
    sum.add(&Shape::normal(db(2.5), db(0.2)).expect("a law"));
    sum.add_times(&Shape::gamma(db(0.0), db(0.2), db(0.1)).expect("a law"), 2);
    sum.add_times(&Shape::cut_normal(db(0.0), db(0.05), db(0.05)).expect("a law"), 4);
    has_law(end(&found), &sum);
}

fn json(args: &[&str]) -> (i32, Value) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    let output = command
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")))
        .args(args)
        .args(["--format", "json"])
        .output()
        .expect("it runs");
    let value = serde_json::from_slice(&output.stdout).unwrap_or(Value::Null);
    (output.status.code().expect("it ended by itself"), value)
}

#[test]
fn the_command_line_dirties_connectors() {
    let path =
        ["path", "--optic", "10GBASE-LR", "--length", "8.4 km", "--connectors", "6", "--splices", "6"];
    let (_, clean) = json(&path);
    let (_, dirty) = json(&[path.as_slice(), &["--dirty", "3 %, 1 dB"]].concat());
    let (one, other) = (&clean["ends"][0], &dirty["ends"][0]);
    assert_eq!(one["loss_db"]["most"], other["loss_db"]["most"], "{one}");
    assert_eq!(one["margin_db"], other["margin_db"]);
    let figure = |end: &Value, key: &str| end["loss_db"][key].as_f64().expect("a figure");
    // Six trials of 3 % with 1 dB each: 6 * 0.03 * 0.97 more variance.
    let squared = |end: &Value| figure(end, "spread").powi(2);
    assert_abs_diff_eq!(squared(other) - squared(one), 0.1746, epsilon = 0.006);
    assert!(figure(other, "quantile") > figure(one, "quantile") + 1.0);
    let said = dirty["assumptions"].to_string();
    assert!(said.contains("dirty connectors: 3 % lose 1.00 dB more"), "{said}");
    let (code, _) = json(&[path.as_slice(), &["--dirty", "3"]].concat());
    assert_eq!(code, 2);
}

/// Means and standard deviations of all parts of a link. Source: a textbook's worked example 12.14
/// (Kolimbiris, p. 481, restated in a public companion): launch -4.9 (0.5), sensitivity -38.1 (0.48), 50 km at
/// 0.4 dB/km, 7 connectors 0.35 (0.2), 4 splices 0.2 (0.1), dispersion 2 (0.2), chirp and reflection 0.5
/// (0.25): mean margin 7.45 dB. The standard deviation is the root of the sum of squares, 0.950210 dB.
#[test]
fn a_margin_from_means_and_spreads_of_launch_and_sensitivity() {
    let normal = |name: &str, mean: f64, spread: f64| {
        format!("{name},0,{mean},{},{spread},normal,a worked example,published\n", 2.0 * mean)
    };
    let columns = "least_db,typical_db,most_db,spread_db,shape,source,provenance\n";
    let connectors = format!(
        "grade,{columns}{}{}{}",
        normal("line", 0.35, 0.2),
        normal("dispersion", 2.0, 0.2),
        normal("reflection", 0.5, 0.25)
    );
    let splices = format!("splice,{columns}{}", normal("line", 0.2, 0.1));
    let fiber = "fiber,nm,least_db_km,typical_db_km,most_db_km,spread_db_km,source,provenance\n\
                 G.652.D,1310,0.4,0.4,0.4,0,a worked example,published\n";
    let interfaces = "interface,lanes,fiber_kind,fibers,tx_nm,levels,tx_min_dbm,tx_max_dbm,rx_min_dbm,overload_dbm,\
                      overload_terms,source,provenance\n\
                      book,1,SM,2,1310,mean,-6,-4,-37,-10,mean,invented limits,invented-demo\n";
    let spreads = "optic,launch_mean_dbm,launch_spread_db,sensitivity_mean_dbm,sensitivity_spread_db,source,\
                   provenance\nbook,-4.9,0.5,-38.1,0.48,a worked example,published\n";
    let tables = [
        ("connectors", connectors.as_str()),
        ("splices", &splices),
        ("fiber-attenuation", fiber),
        ("interfaces", interfaces),
        ("optic-spreads", spreads),
    ];
    let text = |confidence: &str, equipment: &str| {
        format!(
            "spanwright: 1\ntitle: A worked example\nconfidence: {confidence}\n{equipment}\
             shelves:\n  a: {{ports: {{1: {{optic: book}}}}}}\n  b: {{ports: {{1: {{optic: book}}}}}}\n\
             panels: {{p-1: {{positions: 1, connector: dispersion}}, p-2: {{positions: 1, connector: reflection}}}}\n\
             spans:\n  - {{from: a/1, to: p-1/1, length: 0 m, kind: patch-cord}}\n\
             \x20 - {{from: p-1/1, to: p-2/1, length: 50 km, splices: 4, splice: line, connectors: 7, connector: line}}\n\
             \x20 - {{from: p-2/1, to: b/1, length: 0 m, kind: patch-cord}}\n"
        )
    };
    let margin = |confidence: &str, equipment: &str, tables: &[(&str, &str)]| {
        let judged = judged_with(&text(confidence, equipment), tables);
        let end = end(&judged);
        let window = judged.assessment.pairs.pairs[end.pair as usize].window;
        (end.statistical_margin(&window).expect("a margin").value(), end.most, end.statistics)
    };
    let (mean, most, _) = margin("50 %", "", &tables);
    assert_abs_diff_eq!(mean, 7.45, epsilon = 1e-6);
    // z(0.97) = 1.880793608151251, any table of the normal law.
    let (sure, _, _) = margin("97 %", "", &tables);
    assert_abs_diff_eq!(sure, 7.45 - 1.880_793_608_151_251 * 0.950_210_5, epsilon = 1e-5);
    // The same stated in the plan: 1.1 dB above -6 and below -37 dBm. The worst case is as it was.
    let stated = "equipment: {launch: \"1.1 dB, 0.5 dB\", sensitivity: \"1.1 dB, 0.48 dB\"}\n";
    let (planned, same, statistics) = margin("97 %", stated, &tables[..4]);
    assert_abs_diff_eq!(planned, sure, epsilon = 1e-9);
    assert_eq!(most, same);
    assert!(statistics.is_some_and(|statistics| statistics.spare > db(1.0)));
    let said = assumptions(&text("97 %", stated), &tables[..4]);
    let expected =
        "in the statistics alone: launch 1.10 dB (standard deviation 0.50 dB), sensitivity 1.10 dB";
    assert!(said.contains(expected), "{said}");
    let said = assumptions(&text("97 %", ""), &tables);
    assert!(
        said.contains("in the statistics alone: by the table optic-spreads; for joint yields"),
        "{said}"
    );
    // Without either, both are at their worst.
    let (worst, _, statistics) = margin("50 %", "", &tables[..4]);
    assert_abs_diff_eq!(worst, 31.0 - 25.75, epsilon = 1e-6);
    assert!(statistics.is_some_and(|statistics| statistics.spare == Decibels::ZERO));
}

/// Eight ONUs behind one feeder N(5, 1) and legs N(22.5, 0.3), class B+ (28 dB both ways); sensitivity 1 dB
/// (0.4) and launch 0.8 dB (0.3) better than their worst. Expected: quadrature over feeder and leg, here.
#[test]
fn joint_yields_with_spreads_of_the_onus() {
    let splitters = "splitter,inputs,outputs,least_db,typical_db,most_db,spread_db,shape,source,provenance\n\
                     1x8,1,8,20,22.5,25,0.3,normal,invented,invented-demo\n";
    let row = |nm: u32| format!("G.652.D,{nm},0.1,0.25,0.4,0.05,invented,invented-demo\n");
    let fibers = format!(
        "fiber,nm,least_db_km,typical_db_km,most_db_km,spread_db_km,source,provenance\n{}{}",
        row(1310),
        row(1490)
    );
    let text = "spanwright: 1\ntitle: Spreads\nequipment: {launch: \"0.8 dB, 0.3 dB\", sensitivity: \"1 dB, 0.4 dB\"}\n\
                defaults: {joint: none}\nshelves: {olt: {ports: {1: {optic: GPON-OLT-B+}}}}\n\
                splitters: {s: {ratio: 1x8}}\nonts: {\"h-[1-8]\": {optic: GPON-ONU-B+}}\nspans:\n\
                \x20 - {from: olt/1, to: s/in, length: 20 km}\n\
                \x20 - {from: \"s/[1-8]\", to: \"h-[1-8]\", length: 0 m, kind: drop}\n";
    let judged = judged_with(text, &[("splitters", splitters), ("fiber-attenuation", &fibers)]);
    let found = judged.assessment.groups[0].joint.expect("joint yields");
    let cdf = |x: f64| Shape::normal(db(0.0), db(1.0)).expect("a law").cdf(db(x)).value();
    let density = |z: f64| (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let over = |read: &dyn Fn(f64) -> f64| {
        (-320..=320).map(|k| f64::from(k) / 40.0).map(|z| density(z) * read(z) / 40.0).sum::<f64>()
    };
    let alone = |better: f64, spread: f64| {
        over(&|z| cdf((28.0 - 5.0 - z - 22.5 + better) / (0.09 + spread * spread).sqrt()).powi(8))
    };
    let both = over(&|z| {
        let room = 28.0 - 5.0 - z - 22.5;
        let leg = over(&|y| cdf((room - 0.3 * y + 1.0) / 0.4) * cdf((room - 0.3 * y + 0.8) / 0.3));
        leg.powi(8)
    });
    assert_abs_diff_eq!(found.downstream.value(), alone(1.0, 0.4), epsilon = 1e-6);
    assert_abs_diff_eq!(found.upstream.value(), alone(0.8, 0.3), epsilon = 1e-6);
    assert_abs_diff_eq!(found.both.value(), both, epsilon = 1e-6);
    assert!(found.error_bound < 1e-5, "{found:?}");
    // A single end counts the OLT's own spread too: N(27.5, sqrt(1.09)) less 1.8 dB (0.5).
    let single = end(&judged).statistics.and_then(|statistics| statistics.closes).expect("a yield");
    assert_abs_diff_eq!(
        single.value(),
        cdf((28.0 - 27.5 + 1.8) / (1.09_f64 + 0.25).sqrt()),
        epsilon = 1e-6
    );
}
