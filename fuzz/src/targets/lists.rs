//! The small files beside an inventory or a shelf: what is accepted, how grave rules are, the last run, the
//! stock. The first bytes are given to each of the readers.

use spanwright::check::inventory_rules::facts::Limits;
use spanwright::check::policy::Policy;
use spanwright::read::inventory::Trouble;
use spanwright::read::inventory::accepted::read_accepted;
use spanwright::read::inventory::policy::read_policy;
use spanwright::read::inventory::since::read_since;
use spanwright::read::sources::Sources;
use spanwright::read::stock;
use spanwright::read::tables::built_in;

use super::checks;
use super::parts::Folder;

pub(super) fn run(data: &[u8]) {
    let folder = Folder::with(&[("list".to_string(), data)]);
    let path = folder.at("list");
    let mut sources = Sources::default();
    told(read_accepted(&path, &mut sources), &sources);
    told(read_since(&path, &mut sources), &sources);
    let (mut policy, mut limits) = (Policy::default(), Limits::default());
    told(read_policy(&path, &mut policy, &mut limits, &mut sources), &sources);
    let (_, findings) = stock::load(&path, &built_in(), &mut sources);
    checks::drawn(&findings, &sources);
}

fn told<T>(read: Result<T, Trouble>, sources: &Sources) {
    match read {
        Ok(_) => {}
        Err(Trouble::Input(findings)) => checks::refused(&findings, sources),
        Err(Trouble::Io { doing, error }) => panic!("{doing}: {error}"),
    }
}
