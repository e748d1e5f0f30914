//! What every page shares.

use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use super::svg::escaped;
use crate::report::cautions;
use crate::report::document::{Document, Identity, Lengths};

/// The program's version, for the foot of every page.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");

/// The style of a page, with the heads and feet of its printed sheets.
pub(crate) fn style(identity: &Identity, own: &str) -> String {
    let head = format!("{}, {}", identity.title, identity.revision_words());
    let foot = format!("plan {} · {}", identity.short_hash(), identity.date_words());
    let legend = "✓ pass  ▲ marginal  ? unknown  ◆ overload  ✖ fail";
    let margins = format!(
        "margin: 17mm 14mm 16mm 18mm; \
         @top-left {{ content: {}; font: 8.5pt sans-serif }} \
         @top-right {{ content: \"sheet \" counter(page) \" of \" counter(pages); font: 8.5pt sans-serif }} \
         @bottom-left {{ content: {}; font: 8pt sans-serif }} \
         @bottom-right {{ content: {}; font: 8pt sans-serif }}",
        css_text(&head),
        css_text(&foot),
        css_text(legend)
    );
    format!(
        "{}\n{own}\n@page {{ {margins} }}\n@page across {{ size: landscape; {margins} }}\n",
        include_str!("../../../templates/page.css")
    )
}

/// Text as a CSS string: whatever is not a plain letter or digit is written as its number (a blank too,
/// for one behind a number would be taken for its end).
fn css_text(text: &str) -> String {
    const LONGEST: usize = 90;
    let mut out = String::from("\"");
    for c in text.chars().take(LONGEST) {
        if c.is_ascii_alphanumeric() {
            out.push(c);
        } else {
            let _ = write!(out, "\\{:06x}", u32::from(c));
        }
    }
    out.push('"');
    out
}

/// The page's policy: nothing is loaded from anywhere, and only the page's own script runs.
pub(crate) fn policy(script: Option<&str>) -> String {
    let script = script.map_or_else(
        || "'none'".to_string(),
        |script| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(script.as_bytes()))),
    );
    format!("default-src 'none'; style-src 'unsafe-inline'; script-src {script}; base-uri 'none'")
}

/// A sentence of the engine as HTML: escaped, names between backticks set off.
pub(crate) fn marked(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 16);
    let closed = text.matches('`').count() / 2 * 2;
    for (index, piece) in text.split('`').enumerate() {
        if index > 0 && index <= closed {
            out.push_str(if index % 2 == 1 { "<code>" } else { "</code>" });
        } else if index > closed {
            out.push('`');
        }
        out.push_str(&escaped(piece));
    }
    out
}

/// The cautions of every page, and the brightest open connectors.
pub(crate) fn cautions() -> [&'static str; 2] {
    [cautions::LIGHT, cautions::SHELF]
}

/// What comes out if a connector is opened, a line each.
pub(crate) fn hazards(document: &Document<'_>) -> Vec<String> {
    let line = |hazard: &crate::budget::Hazard| {
        let level = hazard.level.as_ref().map_or_else(
            || "hazard level not known".to_string(),
            |level| format!("hazard level {level}"),
        );
        let point = document.view.plan.point_name(hazard.point);
        format!(
            "Up to {:.1} of invisible light if {point} is opened ({level}, IEC 60825-2).",
            hazard.power
        )
    };
    document.hazards.iter().map(line).collect()
}

/// The units of a page in words.
pub(crate) const fn units_words(lengths: Lengths) -> &'static str {
    match lengths {
        Lengths::Metric => "kilometers and meters",
        Lengths::Us => "kilofeet and feet",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_between_backticks_are_set_off_and_all_is_escaped() {
        assert_eq!(marked("end `a<b>` & `c`"), "end <code>a&lt;b&gt;</code> &amp; <code>c</code>");
        assert_eq!(marked("one ` alone"), "one ` alone");
    }

    #[test]
    fn nothing_ends_a_css_string_early() {
        let text = css_text("a\"; } </style><script>\\");
        assert!(text[1..text.len() - 1].chars().all(|c| c.is_ascii_alphanumeric() || c == '\\'));
        assert!(text.starts_with("\"a\\000022\\00003b\\000020"));
    }
}
