//! `temperature-ranges`.

use super::cells::Cells;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::TemperatureRange;

pub(super) static TEMPERATURE_RANGES: Layout<TemperatureRange> = Layout {
    name: "temperature-ranges",
    built_in: include_str!("../../../reference-tables/temperature-ranges.csv"),
    required: &["range", "least_c", "most_c"],
    slot: |tables| &mut tables.temperature_ranges,
    row: temperature_range,
    clashes: no_clashes,
};

fn temperature_range(cells: &mut Cells<'_>) -> Option<Entry<TemperatureRange>> {
    let key = cells.name("range");
    let [least, most] = cells.ordered(["least_c", "most_c"], Cells::celsius);
    let (least, most) = (cells.need("least_c", least), cells.need("most_c", most));
    let places = cells.list("places");
    let value = TemperatureRange { least: least?, most: most?, places };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}
