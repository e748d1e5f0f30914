//! The description of a network: read, made into the skeleton of a plan, and that read as a plan.

use spanwright::read::plan::from_text;
use spanwright::read::sources::Sources;
use spanwright::read::tables::built_in;
use spanwright::read::{limits, network};
use spanwright::report::skeleton;

use super::checks;
use super::parts::Folder;

pub(super) fn run(data: &[u8]) {
    let folder = Folder::with(&[("network.json".to_string(), data)]);
    let mut sources = Sources::default();
    let file = match sources.open_within(&folder.at("network.json"), limits::NETWORK_BYTES) {
        Ok(file) => file,
        Err(finding) => return checks::refused(&[finding], &sources),
    };
    match network::read(&sources.text(file), file) {
        Ok(network) => {
            let text = skeleton::plan(&network, &built_in(), "network.json");
            let reading = from_text("plan.yaml", &text, None);
            assert!(
                !reading.is_bad_input(),
                "a skeleton that does not load: {:?}\n{text}",
                reading.findings
            );
            checks::harmless(&text);
        }
        Err(findings) => checks::refused(&findings, &sources),
    }
}
