//! A line on the terminal that says what long work is at. Nothing when standard error is no terminal.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

/// Short work should not make the terminal flicker.
const STEADY: Duration = Duration::from_millis(120);

/// What a command is at.
pub(super) struct Progress(ProgressBar);

impl Progress {
    /// Starts with the first step.
    pub(super) fn start(step: &'static str) -> Self {
        let bar = ProgressBar::new_spinner();
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
            bar.set_style(style);
        }
        bar.set_message(step);
        bar.enable_steady_tick(STEADY);
        Self(bar)
    }

    /// The next step.
    pub(super) fn step(&self, step: &'static str) {
        self.0.set_message(step);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
