//! The little SVG that our drawings need, with text escaped in one place.

use std::fmt::Write as _;

use crate::report::grid::visible;

/// A drawing under construction.
#[derive(Debug, Default)]
pub(super) struct Svg {
    body: String,
}

/// Text that may stand in an element or an attribute.
pub(super) fn escaped(text: &str) -> String {
    const LONGEST: usize = 2_000;
    let mut out = String::with_capacity(text.len());
    for c in visible(text, LONGEST).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

/// Text cut to a number of characters, the cut marked.
pub(super) fn short(text: &str, longest: usize) -> String {
    if text.chars().count() <= longest {
        return text.to_string();
    }
    let kept: String = text.chars().take(longest.saturating_sub(1)).collect();
    format!("{kept}…")
}

/// A coordinate: one decimal is a tenth of a pixel.
fn at(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or_else(|| text.clone(), str::to_string)
}

impl Svg {
    /// A straight line or a line with corners.
    pub(super) fn line(&mut self, class: &str, points: &[(f64, f64)]) {
        let list: Vec<String> = points.iter().map(|(x, y)| format!("{},{}", at(*x), at(*y))).collect();
        let _ = write!(self.body, "<polyline class=\"{class}\" points=\"{}\"/>", list.join(" "));
    }

    /// A rectangle.
    pub(super) fn rect(&mut self, class: &str, corner: (f64, f64), size: (f64, f64), round: f64) {
        let (x, y, w, h) = (at(corner.0), at(corner.1), at(size.0), at(size.1));
        let round = at(round);
        let _ = write!(
            self.body,
            "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" rx=\"{round}\"/>"
        );
    }

    /// A circle.
    pub(super) fn circle(&mut self, class: &str, center: (f64, f64), radius: f64) {
        let (x, y, r) = (at(center.0), at(center.1), at(radius));
        let _ = write!(self.body, "<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>");
    }

    /// Text; the class says size, weight and anchor.
    pub(super) fn text(&mut self, class: &str, corner: (f64, f64), text: &str) {
        let (x, y) = (at(corner.0), at(corner.1));
        let _ =
            write!(self.body, "<text class=\"{class}\" x=\"{x}\" y=\"{y}\">{}</text>", escaped(text));
    }

    /// Opens a group with a tooltip.
    pub(super) fn open(&mut self, class: &str, title: &str) {
        let _ = write!(self.body, "<g class=\"{class}\"><title>{}</title>", escaped(title));
    }

    /// Closes the group that was opened last.
    pub(super) fn close(&mut self) {
        self.body.push_str("</g>");
    }

    /// The whole drawing, with a name and a description for those who cannot see it.
    pub(super) fn finish(self, size: (f64, f64), class: &str, name: &str, description: &str) -> String {
        self.finish_with_cuts(size, class, (name, description), &[])
    }

    /// The same, with the places where the drawing may be cut into strips for paper.
    pub(super) fn finish_with_cuts(
        self,
        size: (f64, f64),
        class: &str,
        words: (&str, &str),
        cuts: &[f64],
    ) -> String {
        let (w, h) = (at(size.0), at(size.1));
        let (name, description) = words;
        let cuts: Vec<String> = cuts.iter().map(|x| at(*x)).collect();
        let cuts = cuts.join(" ");
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"{class}\" role=\"img\" data-cuts=\"{cuts}\" \
             viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" aria-label=\"{}\">\
             <desc>{}</desc>{}</svg>",
            escaped(name),
            escaped(description),
            self.body
        )
    }
}

/// JSON that may stand in a script element: nothing in it can end the element or start a comment.
pub(super) fn escaped_json(value: &impl serde::Serialize) -> String {
    let text = serde_json::to_string(value).unwrap_or_else(|_| "null".to_string());
    text.replace('<', "\\u003c").replace('>', "\\u003e").replace('&', "\\u0026")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whatever stands in a name, no part of a drawing can become markup or script.
    #[test]
    fn every_text_of_a_drawing_is_escaped() {
        const HOSTILE: &str = "a\"><script>'&";
        let mut svg = Svg::default();
        svg.open("stop", HOSTILE);
        svg.text("name", (0.0, 0.0), HOSTILE);
        svg.close();
        let drawn = svg.finish((10.0, 10.0), "tree", HOSTILE, HOSTILE);
        assert_eq!(drawn.matches("a&quot;&gt;&lt;script&gt;&#39;&amp;").count(), 4, "{drawn}");
        assert!(!drawn.contains("<script"), "{drawn}");
    }
}
