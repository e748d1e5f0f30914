//! A bench to lay worked examples on: their inputs as tables of one's own over the built-in ones,
//! their layout as a plan in its written form, and what the engine then says of every end.
//!
//! An example states one figure for a loss, so its rows have no room between least and most.

use std::fmt::Write as _;

use spanwright::budget::{Detail, Reason, Settings, Verdict, detail};
use spanwright::engine::{Judged, judge};
use spanwright::plan::Plan;
use spanwright::read::plan::{PlanReading, from_text};
use spanwright::units::{DecibelMilliwatts, Decibels, PsPerNm};

/// Binary noise of sums of figures with a few decimals.
const NOISE: f64 = 1e-9;

/// A figure as a text prints it, and half of its last digit.
fn figure_and_half(figure: &str) -> (f64, f64) {
    let decimals = figure.split_once('.').map_or("", |(_, decimals)| decimals);
    let half = decimals.chars().fold(0.5, |half, _| half / 10.0);
    (figure.parse().expect("a printed figure"), half)
}

/// Compares with a figure as a text prints it: within half of its last digit.
#[track_caller]
pub fn printed(actual: f64, figure: &str) {
    let (expected, half) = figure_and_half(figure);
    assert!((actual - expected).abs() <= half + NOISE, "{actual} is not {figure}");
}

/// Compares with a figure that the inputs give without any rounding.
#[track_caller]
pub fn exact(actual: f64, expected: f64) {
    assert!((actual - expected).abs() <= NOISE, "{actual} is not {expected}");
}

/// Both figures of a range, exactly.
#[track_caller]
pub fn range(actual: [f64; 2], expected: [f64; 2]) {
    exact(actual[0], expected[0]);
    exact(actual[1], expected[1]);
}

/// Whether an end closes with its reserve, for [`reach`].
pub fn closes(end: &Sight) -> bool {
    end.verdict == Verdict::Pass
}

/// Holds a printed reach against the engine: it closes half a digit below, and no longer above.
#[track_caller]
pub fn reach(figure: &str, over: impl Fn(f64) -> Sight) {
    let (km, half) = figure_and_half(figure);
    let (near, far) = (over(km - half), over(km + half));
    assert!(closes(&near), "{} km: {:?}, margin {}", km - half, near.reason, near.margin);
    assert!(!closes(&far), "{} km closes, margin {}", km + half, far.margin);
}

/// Milliwatts of a level in dBm.
pub fn milliwatts(level: f64) -> f64 {
    10f64.powf(level / 10.0)
}

/// The level in dBm of a power in milliwatts.
pub fn dbm(milliwatts: f64) -> f64 {
    10.0 * milliwatts.log10()
}

/// The inputs of one example.
pub struct Bench {
    folder: tempfile::TempDir,
    source: &'static str,
    provenance: &'static str,
    folders: usize,
}

impl Bench {
    /// The inputs of an example that somebody read in a text.
    pub fn of(source: &'static str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        Self { folder, source, provenance: "published", folders: 0 }
    }

    /// The inputs of an example that is recalled.
    pub fn recalled(source: &'static str) -> Self {
        Self { provenance: "memory", ..Self::of(source) }
    }

    /// Inputs made up to show what a document or common practice says.
    pub fn made_up(source: &'static str) -> Self {
        Self { provenance: "invented-demo", ..Self::of(source) }
    }

    /// Rows of a table; the source of the example is put to each.
    pub fn rows(mut self, table: &str, columns: &str, rows: &[String]) -> Self {
        let mut text = format!("{columns},source,provenance\n");
        for row in rows {
            writeln!(text, "{row},\"{}\",{}", self.source, self.provenance).expect("text");
        }
        let folder = self.folder.path().join(format!("t{}", self.folders));
        std::fs::create_dir(&folder).expect("a folder of tables");
        std::fs::write(folder.join(format!("{table}.csv")), text).expect("written");
        self.folders += 1;
        self
    }

    /// A single-mode fiber with attenuations in dB/km at wavelengths in nm. Its dispersion is that of ITU-T
    /// G.652 (zero at 1300 to 1324 nm, slope at most 0.092), for which the interfaces state their reaches.
    pub fn fiber(self, name: &str, points: &[(f64, f64)]) -> Self {
        const COLUMNS: &str = "fiber,kind,nm_min,nm_max,zero_dispersion_min_nm,zero_dispersion_max_nm,\
                               zero_dispersion_slope_max";
        let row = format!("{name},SM,800,1700,1300,1324,0.092");
        self.rows("fibers", COLUMNS, &[row]).attenuation(name, points)
    }

    /// Attenuations of a known fiber.
    pub fn attenuation(self, fiber: &str, points: &[(f64, f64)]) -> Self {
        let row = |(nm, loss): &(f64, f64)| format!("{fiber},{nm},{loss},{loss}");
        let rows: Vec<String> = points.iter().map(row).collect();
        self.rows("fiber-attenuation", "fiber,nm,least_db_km,most_db_km", &rows)
    }

    /// A connector grade.
    pub fn connector(self, grade: &str, loss: f64) -> Self {
        let row = format!("{grade},{loss},{loss}");
        self.rows("connectors", "grade,least_db,most_db", &[row])
    }

    /// A splice kind.
    pub fn splice(self, kind: &str, loss: f64) -> Self {
        let row = format!("{kind},{loss},{loss}");
        self.rows("splices", "splice,least_db,most_db", &[row])
    }

    /// A splitter with one input; its name is `1x` and its legs.
    pub fn splitter(self, legs: u32, loss: f64) -> Self {
        let row = format!("1x{legs},1,{legs},{loss},{loss}");
        self.rows("splitters", "splitter,inputs,outputs,least_db,most_db", &[row])
    }

    /// A tap by its name, the share of its tap leg in percent and its losses through and to the tap.
    pub fn tap(self, name: &str, percent: f64, through: f64, tap: f64) -> Self {
        const COLUMNS: &str =
            "tap,tap_percent,through_least_db,through_most_db,tap_least_db,tap_most_db";
        let row = format!("{name},{percent},{through},{through},{tap},{tap}");
        self.rows("taps", COLUMNS, &[row])
    }

    /// An interface by mean levels at one wavelength on duplex single-mode fiber. `launch` is least
    /// and most; `receive` the least level once penalties are paid, and the overload.
    pub fn interface(self, name: &str, nm: f64, launch: [f64; 2], receive: [f64; 2]) -> Self {
        const COLUMNS: &str = "interface,lanes,fiber_kind,fibers,tx_nm,levels,tx_min_dbm,tx_max_dbm,\
                               rx_min_dbm,overload_dbm,overload_terms";
        let row = format!(
            "{name},1,SM,2,{nm},mean,{},{},{},{},mean",
            launch[0], launch[1], receive[0], receive[1]
        );
        self.rows("interfaces", COLUMNS, &[row])
    }

    fn read(&self, plan: &str) -> PlanReading {
        let folders: Vec<String> = (0..self.folders).map(|index| format!("t{index}")).collect();
        let text = format!("spanwright: 1\ntables: [{}]\n{plan}", folders.join(", "));
        from_text("example.yaml", &text, Some(self.folder.path()))
    }

    /// Reads and judges a plan by the worst case; every rule that hit is kept beside the ends.
    #[track_caller]
    pub fn judge(&self, plan: &str) -> Seen {
        let reading = self.read(plan);
        assert!(!reading.is_bad_input(), "{:#?}", reading.findings);
        let settings = Settings { statistics: false, cross_check: None };
        let files = reading.sources.files();
        let judged = judge(reading.plan, reading.tables, reading.findings, files, settings);
        Seen(judged.unwrap_or_else(|findings| panic!("{findings:#?}")))
    }

    /// The ids of the rules by which the inputs are refused; none if they are not.
    pub fn refused(&self, plan: &str) -> Vec<&'static str> {
        let bad = |finding: &spanwright::check::Finding| finding.is_bad_input();
        self.read(plan).findings.into_iter().filter(bad).map(|finding| finding.rule.id).collect()
    }
}

/// A plan, judged.
pub struct Seen(pub Judged);

impl Seen {
    /// The end from one port to another; of several lanes the one with the greatest loss.
    #[track_caller]
    pub fn end(&self, from: &str, to: &str) -> Sight {
        let Judged { plan, tables, plant, assessment, .. } = &self.0;
        let port = |index: u32| plan.names.get(plan.ports[index as usize].name);
        let found = assessment
            .ends
            .iter()
            .filter(|end| port(end.transmitter) == from && port(end.receiver) == to)
            .max_by(|a, b| a.most.value().total_cmp(&b.most.value()));
        let end = found.unwrap_or_else(|| panic!("no light from {from} to {to}"));
        let window = assessment.pair(end).window;
        let detail = detail(plan, plant, tables, assessment, end).expect("the path of an end");
        let level = |side: usize| level(&detail, window.launch, side);
        Sight {
            least: end.least.value(),
            typical: end.typical.value(),
            most: end.most.value(),
            window: [window.min, window.max].map(decibels),
            penalty: decibels(window.penalty),
            margin: decibels(end.margin(&window)),
            headroom: decibels(end.headroom(&window)),
            received: [level(0), level(1)],
            dispersion: end.dispersion.map_or([f64::NAN; 2], |(a, b)| [a, b].map(PsPerNm::value)),
            return_loss: decibels(end.return_loss),
            verdict: end.verdict,
            reason: end.reason,
            detail,
        }
    }

    /// The plan as it was read.
    pub fn plan(&self) -> &Plan {
        &self.0.plan
    }

    /// Whether a rule hit.
    pub fn hit(&self, rule: &str) -> bool {
        self.0.findings.iter().any(|finding| finding.rule.id == rule)
    }
}

fn decibels(value: Option<Decibels>) -> f64 {
    value.map_or(f64::NAN, Decibels::value)
}

/// The weakest or strongest level behind the last element; the launch itself if there is none.
fn level(detail: &Detail, launch: [Option<DecibelMilliwatts>; 2], side: usize) -> f64 {
    let level = detail.lines.last().map_or(launch[side], |line| line.level[side]);
    level.map_or(f64::NAN, DecibelMilliwatts::value)
}

/// What is said of one end; NaN where something is not known.
pub struct Sight {
    /// Least loss, dB.
    pub least: f64,
    /// Mean loss, dB.
    pub typical: f64,
    /// Worst-case loss, dB.
    pub most: f64,
    /// Loss window, dB.
    pub window: [f64; 2],
    /// Path penalty of a PON class, dB.
    pub penalty: f64,
    /// Margin towards sensitivity, dB.
    pub margin: f64,
    /// Headroom towards overload, dB.
    pub headroom: f64,
    /// Weakest and strongest level at the receiver, dBm.
    pub received: [f64; 2],
    /// Accumulated dispersion, ps/nm.
    pub dispersion: [f64; 2],
    /// Return loss of discrete events, dB.
    pub return_loss: f64,
    /// The verdict.
    pub verdict: Verdict,
    /// Why.
    pub reason: Reason,
    /// The path, element by element.
    pub detail: Detail,
}

/// A link as textbooks lay it out: two equal optics, one fiber, connectors and splices.
///
/// The examples give no modal bandwidth, so that loss alone decides; and no overload, so that it is
/// set where it cannot bind.
#[derive(Clone, Copy)]
pub struct Link {
    /// The text and the number of the example.
    pub source: &'static str,
    /// How its inputs are known: [`Bench::of`] or [`Bench::recalled`].
    pub known: fn(&'static str) -> Bench,
    /// Wavelength, nm.
    pub nm: f64,
    /// Launch power, dBm.
    pub launch: f64,
    /// Least level at the receiver, dBm, penalties paid.
    pub receive: f64,
    /// The margin that the example keeps, dB.
    pub reserve: f64,
    /// Attenuation, dB/km.
    pub per_km: f64,
    /// Connectors and the loss of each, dB.
    pub connectors: (u32, f64),
    /// Splices and the loss of each, dB.
    pub splices: (u32, f64),
}

impl Link {
    /// Nothing on the way; what an example states is put over it.
    pub const BARE: Self = Self {
        source: "",
        known: Bench::of,
        nm: 1310.0,
        launch: 0.0,
        receive: -100.0,
        reserve: 0.0,
        per_km: 0.0,
        connectors: (0, 0.0),
        splices: (0, 0.0),
    };

    /// The link over a length in km.
    #[track_caller]
    pub fn over(&self, km: f64) -> Sight {
        let Self { launch, receive, reserve, .. } = *self;
        let bench = (self.known)(self.source)
            .fiber("book", &[(self.nm, self.per_km)])
            .connector("book", self.connectors.1)
            .splice("book", self.splices.1)
            .interface("book", self.nm, [launch, launch], [receive, launch]);
        let (connectors, splices) = (self.connectors.0, self.splices.0);
        let plan = format!(
            "reserve: {reserve} dB\n{FACING}spans:\n  - {{from: a/1, to: b/1, length: {km} km, \
             fiber: book, connectors: {connectors}, connector: book, splices: {splices}, \
             splice: book}}\n"
        );
        bench.judge(&plan).end("a/1", "b/1")
    }
}

/// Two ports with the interface `book`.
pub const FACING: &str = "shelves: {a: {ports: {1: {optic: book}}}, b: {ports: {1: {optic: book}}}}\n";

/// The sections that put two optics at the ends of an attenuator of exactly this loss.
pub fn padded(near: &str, far: &str, loss: f64) -> String {
    format!(
        "shelves: {{a: {{ports: {{1: {{optic: {near}}}}}}}, b: {{ports: {{1: {{optic: {far}}}}}}}}}\n\
         attenuators: {{pad: {{loss: {loss} dB, tolerance: 0 dB, joint: none}}}}\n\
         joints:\n  - {{from: a/1, to: pad/a, joint: none}}\n  - {{from: pad/b, to: b/1, joint: none}}\n"
    )
}

/// The sections that put an OLT and an ONT at the ends of an attenuator of exactly this loss.
pub fn padded_pon(olt: &str, ont: &str, loss: f64) -> String {
    format!(
        "shelves: {{olt: {{ports: {{1: {{optic: {olt}}}}}}}}}\nonts: {{ont: {{optic: {ont}}}}}\n\
         attenuators: {{pad: {{loss: {loss} dB, tolerance: 0 dB, joint: none}}}}\n\
         joints:\n  - {{from: olt/1, to: pad/a, joint: none}}\n  - {{from: pad/b, to: ont, joint: none}}\n"
    )
}

/// Runs the program itself on one path and reads its JSON.
#[track_caller]
pub fn path(arguments: &[&str]) -> serde_json::Value {
    let program = env!("CARGO_BIN_EXE_spanwright");
    let output = assert_cmd::Command::new(program)
        .arg("path")
        .args(arguments)
        .args(["--format", "json", "--no-statistics"])
        .output()
        .expect("the program runs");
    let text = String::from_utf8(output.stdout).expect("text");
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {errors}"))
}
