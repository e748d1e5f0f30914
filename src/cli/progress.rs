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

/// How far the reading of rows has come.
pub(super) struct Rows(ProgressBar);

impl Rows {
    /// Starts with the bytes that there are.
    pub(super) fn start(step: &'static str, bytes: u64) -> Self {
        let bar = ProgressBar::new(bytes);
        let template = "{spinner} {prefix} {bar:30} {percent} % {msg} {elapsed} (left: {eta})";
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style);
        }
        bar.set_prefix(step);
        bar.enable_steady_tick(STEADY);
        Self(bar)
    }

    /// Bytes and rows read so far.
    pub(super) fn at(&self, bytes: u64, rows: u64) {
        self.0.set_position(bytes);
        let seconds = self.0.elapsed().as_secs_f64().max(0.001);
        self.0.set_message(format!("{rows} rows, {:.0} rows/s", rows as f64 / seconds));
    }

    /// The next step.
    pub(super) fn step(&self, step: &'static str) {
        self.0.set_prefix(step);
    }
}

impl Drop for Rows {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
