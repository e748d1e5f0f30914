//! A map of columns with the inventory that it is for.

use super::inventory::audited;
use super::parts::{Folder, parts};

pub(super) fn run(data: &[u8]) {
    let parts = parts(data, "columns.yml");
    let folder = Folder::with(&parts);
    let ports = parts.get(1).map_or("columns.yml", |part| part.0.as_str());
    audited(&folder.at(ports), Some(&folder.at("columns.yml")));
}
