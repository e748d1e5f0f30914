//! What the other sheets rest on.

use super::super::ABOUT;
use super::super::levels::Readings;
use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::Work;
use crate::report::budget::assumptions;
use crate::report::cautions;
use crate::report::document::{signs, unchecked};

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>, readings: &Readings, others: &[(&str, &str)]) -> Sheet {
    let document = work.document;
    let identity = &document.identity;
    let mut rows: Vec<(&str, String)> = vec![
        ("title", identity.title.clone()),
        ("revision", identity.revision_words()),
        ("date", identity.date_words()),
        ("plan", format!("SHA-256 of the input files {}", identity.hash)),
        ("made by", format!("spanwright {}", env!("CARGO_PKG_VERSION"))),
        ("lengths", format!("{} and {}", document.lengths.long_unit(), document.lengths.short_unit())),
        (
            "rounding",
            "losses up, margins and headroom down; ends of level intervals outward".to_string(),
        ),
        ("colors", format!("cable template {}", work.options.template)),
    ];
    let named = work.options.templates.iter();
    rows.extend(named.map(|(cable, name)| ("colors", format!("cable {cable}: template {name}"))));
    rows.extend(others.iter().map(|(name, title)| ("sheet", format!("{name}: {title}"))));
    rows.push(("meter", meter_words(readings.any_together()).to_string()));
    let legend = signs().into_iter();
    rows.extend(
        legend.map(|sign| ("verdict", format!("{} {}: {}", sign.mark, sign.word, sign.meaning))),
    );
    rows.extend(assumptions(document.view).into_iter().map(|line| ("assumed", line)));
    rows.extend(unchecked(document.view).into_iter().map(|line| ("not checked", line)));
    rows.extend([cautions::LIGHT, cautions::SHELF].map(|text| ("caution", text.to_string())));
    Sheet {
        name: ABOUT,
        title: "What these sheets rest on",
        columns: vec![Column::new("about"), Column::new("words")],
        rows: rows.into_iter().map(|(head, words)| vec![Cell::text(head), Cell::text(words)]).collect(),
    }
}

/// Which meter the levels are meant for.
pub(in super::super) const fn meter_words(together: bool) -> &'static str {
    if together {
        "Least, expected, most and both stops are for a filtering meter, which reads one system's wavelength \
         alone. Light of several systems meets at some points: a broadband meter (no filter) reads their sum \
         there, in the columns \"all light\"; it cannot tell that one system is missing, and its reading may \
         lie above a stop on a sound plant. Upstream the sum holds while all of them send."
    } else {
        "One system's light is alone at every point: a filtering meter and a broadband meter (no filter) read \
         the same."
    }
}
