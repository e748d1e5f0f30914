//! Color on a terminal. A color only repeats what a word says already.

use anstyle::{AnsiColor, Style};

use crate::budget::Verdict;
use crate::check::Severity;

/// Whether and how to color.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Paint {
    /// Whether the output is a terminal that wants color.
    pub color: bool,
}

impl Paint {
    /// The text in a style.
    pub fn styled(self, style: Style, text: &str) -> String {
        if self.color { format!("{style}{text}{style:#}") } else { text.to_string() }
    }

    /// Strong text: heads and the first line.
    pub fn strong(self, text: &str) -> String {
        self.styled(Style::new().bold(), text)
    }

    /// Text that steps back.
    pub fn faint(self, text: &str) -> String {
        self.styled(Style::new().dimmed(), text)
    }

    /// A verdict's word in its color: blue, yellow, red, gray tell apart for the color-blind too.
    pub fn verdict(self, verdict: Verdict, text: &str) -> String {
        let style = match verdict {
            Verdict::Pass => AnsiColor::Blue.on_default(),
            Verdict::Marginal => AnsiColor::Yellow.on_default(),
            Verdict::Overload | Verdict::Fail => AnsiColor::Red.on_default(),
            Verdict::Unknown => AnsiColor::Magenta.on_default(),
        };
        self.styled(style.bold(), text)
    }

    /// A severity's word in its color.
    pub fn severity(self, severity: Severity, text: &str) -> String {
        let style = match severity {
            Severity::Error => AnsiColor::Red.on_default().bold(),
            Severity::Warning => AnsiColor::Yellow.on_default().bold(),
            Severity::Note => AnsiColor::Cyan.on_default(),
        };
        self.styled(style, text)
    }
}
