//! The page that is handed on: well-formed, self-contained, equal for equal input, and in agreement with
//! the other faces. How it behaves in a browser is tested in `tests/browser`.

use std::path::Path;

use assert_cmd::Command;
use scraper::{Html, Selector};
use serde_json::Value;

const PLANS: [&str; 6] = [
    "examples/tap-road/copied.yaml",
    "examples/suburban-overlay/overlay.yaml",
    "examples/suburban-overlay/overlay-n2.yaml",
    "examples/metro-ring/links.yaml",
    "examples/metro-ring/ring.yaml",
    "examples/metro-ring/office.yaml",
];

fn run(args: &[&str]) -> (i32, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(args);
    let output = command.output().expect("it runs");
    (output.status.code().expect("it ended"), String::from_utf8(output.stdout).expect("UTF-8"))
}

fn page(plan: &str) -> String {
    run(&["report", plan]).1
}

fn select<'h>(html: &'h Html, selector: &str) -> Vec<scraper::ElementRef<'h>> {
    html.select(&Selector::parse(selector).expect("a selector")).collect()
}

fn text(element: scraper::ElementRef<'_>) -> String {
    element.text().flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
}

fn island(html: &Html) -> Value {
    let data = select(html, "#plan-data");
    let json: String = data.first().expect("the data").text().collect();
    serde_json::from_str(&json).expect("JSON")
}

/// A parser of the HTML standard finds nothing to complain of, and every id stands once.
#[test]
fn the_pages_are_well_formed() {
    for plan in PLANS {
        let html = Html::parse_document(&page(plan));
        assert!(html.errors.is_empty(), "{plan}: {:?}", html.errors);
        let mut ids: Vec<&str> =
            select(&html, "[id]").iter().filter_map(|element| element.attr("id")).collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "{plan}: an id stands twice");
        assert_eq!(select(&html, "html[lang]").len(), 1);
        assert_eq!(select(&html, "h1").len(), 1);
        for label in select(&html, "input, select") {
            let parent = label.parent().and_then(scraper::ElementRef::wrap).expect("a parent");
            assert_eq!(parent.value().name(), "label", "{plan}: every field has a label");
        }
        for svg in select(&html, "svg") {
            assert!(svg.attr("aria-label").is_some(), "{plan}: every drawing has a name");
        }
    }
}

/// Nothing is fetched from anywhere: no address, no link but within the page.
#[test]
fn the_pages_need_no_network() {
    for plan in PLANS {
        let text = page(plan);
        let html = Html::parse_document(&text);
        assert!(select(&html, "link, img, iframe, object, script[src]").is_empty());
        for anchor in select(&html, "a[href]") {
            let target = anchor.attr("href").expect("a target").strip_prefix('#').expect("in the page");
            assert_eq!(select(&html, &format!("[id='{target}']")).len(), 1, "{target}");
        }
        let addresses = text.matches("http").count();
        let names = text.matches("http://www.w3.org/2000/svg").count();
        // `http-equiv` in the head is no address.
        assert_eq!(addresses, names + 1, "{plan}");
        assert!(!text.contains("url("), "{plan}");
    }
}

#[test]
fn equal_input_gives_equal_bytes_and_other_input_another_hash() {
    let plan = "examples/suburban-overlay/overlay.yaml";
    let first = page(plan);
    assert_eq!(first, page(plan));
    let hash = |text: &str| text.split("SHA-256 <code>").nth(1).map(|rest| rest[..64].to_string());
    assert!(hash(&first).is_some_and(|hash| hash.chars().all(|c| c.is_ascii_hexdigit())));
    assert_ne!(hash(&first), hash(&page("examples/suburban-overlay/overlay-n2.yaml")));
}

/// SHA-256 over each file's length (64 bits, little end first) and bytes, computed here with the plan's
/// only file read by hand.
#[test]
fn the_hash_is_that_of_the_input_files() {
    use sha2::{Digest, Sha256};
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.yaml");
    let bytes = std::fs::read("src/cli/starter.yaml").expect("the starter");
    std::fs::write(&plan, &bytes).expect("written");
    let mut hasher = Sha256::new();
    hasher.update((bytes.len() as u64).to_le_bytes());
    hasher.update(&bytes);
    let digits = hasher.finalize().iter().flat_map(|byte| [byte >> 4, byte & 15]).collect::<Vec<u8>>();
    let hex: String =
        digits.into_iter().filter_map(|digit| char::from_digit(u32::from(digit), 16)).collect();
    assert!(page(&plan.display().to_string()).contains(&hex));
}

/// Every end of the JSON face is in the page's data with the same figures, rounded as every face rounds:
/// losses up, margins and headroom down.
#[test]
fn the_page_agrees_with_the_json_face() {
    for plan in PLANS {
        let (_, json) = run(&["budget", plan, "--format", "json"]);
        let json: Value = serde_json::from_str(&json).expect("JSON");
        let island = island(&Html::parse_document(&page(plan)));
        let (data, groups) = (&island["ends"], &island["groups"]);
        let count = data["group"].as_array().expect("a column").len();
        let mut shown: Vec<String> =
            (0..count).map(|end| shown_end(&island, data, groups, end)).collect();
        let ends = json["ends"].as_array().expect("ends");
        let mut stated: Vec<String> = ends.iter().map(stated_end).collect();
        shown.sort();
        stated.sort();
        assert_eq!(shown, stated, "{plan}");
    }
}

fn shown_end(island: &Value, data: &Value, groups: &Value, end: usize) -> String {
    let group = &groups[data["group"][end].as_u64().expect("a group") as usize];
    let lane = data["lane"][end].as_u64().map(|lane| &group["lanes"][lane as usize]);
    let id = data["id"][end].as_str().map_or_else(
        || {
            let lane = lane.expect("an end without its own id has a way");
            let losses = &group["losses"][lane["losses"].as_u64().expect("losses") as usize];
            let shape = &group["shapes"][losses["shape"].as_u64().expect("a shape") as usize];
            let point = data["point"][end].as_u64().expect("a point") as usize;
            shape["n"][point].as_str().expect("a name").to_string()
        },
        str::to_string,
    );
    let number = |column: &str| data[column][end].as_i64().map_or(-99_999, |value| value);
    let verdict = &island["verdicts"][data["verdict"][end].as_u64().expect("a code") as usize][0];
    format!(
        "{id} {} {} {} {} {} {} {verdict}",
        data["dir"][end].as_str().expect("a direction"),
        number("least"),
        number("typical"),
        number("most"),
        number("margin"),
        number("headroom"),
    )
}

fn stated_end(end: &Value) -> String {
    let hundredths = |value: &Value, round: fn(f64) -> f64| {
        value.as_f64().map_or(-99_999, |value| {
            let scaled = value * 100.0;
            let near = scaled.round();
            // A figure of two decimals stays, but for binary noise.
            (if (scaled - near).abs() < 1e-4 { near } else { round(scaled) }) as i64
        })
    };
    let loss = &end["loss_db"];
    format!(
        "{} {} {} {} {} {} {} {}",
        end["id"].as_str().expect("an id"),
        end["direction"].as_str().expect("a direction"),
        hundredths(&loss["least"], f64::floor),
        hundredths(&loss["typical"], f64::round),
        hundredths(&loss["most"], f64::ceil),
        hundredths(&end["margin_db"], f64::floor),
        hundredths(&end["headroom_db"], f64::floor),
        end["verdict"],
    )
}

/// The ways in the data come to the ends' own losses: what is left is the allowances of the plan, and
/// these examples have none.
#[test]
fn the_ways_add_up_to_the_losses_of_their_ends() {
    for plan in PLANS {
        let island = island(&Html::parse_document(&page(plan)));
        let data = &island["ends"];
        for end in 0..data["group"].as_array().expect("a column").len() {
            let group = &island["groups"][data["group"][end].as_u64().expect("a group") as usize];
            let Some(lane) = data["lane"][end].as_u64() else { continue };
            let losses = group["lanes"][lane as usize]["losses"].as_u64().expect("losses") as usize;
            let point = data["point"][end].as_u64().expect("a point") as usize;
            let way =
                |column: &str| group["losses"][losses][column][point].as_f64().expect("a sum") / 1000.0;
            let stated = |column: &str| data[column][end].as_f64().expect("a loss") / 100.0;
            approx::assert_abs_diff_eq!(way("w"), stated("most"), epsilon = 0.0101);
            approx::assert_abs_diff_eq!(way("l"), stated("least"), epsilon = 0.0101);
            approx::assert_abs_diff_eq!(way("t"), stated("typical"), epsilon = 0.0101);
        }
    }
}

#[test]
fn the_verdict_and_the_one_thing_to_do_stand_first() {
    let html = Html::parse_document(&page("examples/tap-road/copied.yaml"));
    let first = select(&html, "main section").into_iter().next().expect("a section");
    insta::assert_snapshot!("the_answer", text(first));
    let heads: Vec<String> = select(&html, "main h2").into_iter().map(text).collect();
    insta::assert_snapshot!("the_sections", heads.join("\n"));
}

#[test]
fn the_straight_line_diagram_names_every_stop() {
    let html = Html::parse_document(&page("examples/tap-road/copied.yaml"));
    let words: Vec<String> = select(&html, "#tree-stage svg.tree text").into_iter().map(text).collect();
    insta::assert_snapshot!(words.join("\n"));
}

/// Feet and meters: the same plant, the same verdict, other figures of length only.
#[test]
fn feet_change_lengths_and_nothing_else() {
    let plan = "examples/tap-road/copied.yaml";
    let (_, us) = run(&["report", plan, "--units", "us", "--date", "2041-04-01"]);
    let html = Html::parse_document(&us);
    let row = select(&html, "#ends tbody tr").into_iter().next().expect("a row");
    // 16.900 km are 55,446.2 ft at 0.3048 m (exact) to the foot.
    assert!(text(row).contains("55.446"), "{}", text(row));
    assert!(us.contains("2041-04-01") && us.contains("kilofeet and feet"));
    let metric = Html::parse_document(&page(plan));
    let verdict = |html: &Html| text(select(html, ".answer").into_iter().next().expect("a verdict"));
    assert_eq!(verdict(&html), verdict(&metric));
}

#[test]
fn a_plan_that_cannot_be_read_makes_no_page() {
    let folder = tempfile::tempdir().expect("a folder");
    let (plan, out) = (folder.path().join("plan.yaml"), folder.path().join("page.html"));
    std::fs::write(&plan, "spanwright: 1\nspans: [{from: a}]\n").expect("written");
    let (code, _) = run(&["report", &plan.display().to_string(), "-o", &out.display().to_string()]);
    assert_eq!((code, Path::exists(&out)), (2, false));
}
