//! A plan read and judged for the commands that make documents.

use std::path::Path;

use super::args::{Common, JudgeArgs};
use super::args_report::{SheetArgs, UnitsArg};
use super::exit::Failure;
use super::progress::Progress;
use super::{engine, output};
use crate::budget::{Hazard, Settings, hazards};
use crate::check::Severity;
use crate::engine::Judged;
use crate::place::Files;
use crate::read::sources::Sources;
use crate::report::document::{Document, Identity, Lengths};

/// Open connectors that are named on a page.
const MOST_HAZARDS: usize = 5;

/// A judged plan with the files it was read from.
pub(super) struct Prepared {
    pub(super) judged: Judged,
    pub(super) sources: Sources,
    hazards: Vec<Hazard>,
    files: Files,
}

impl Prepared {
    /// Reads and judges a plan, or draws why it cannot be understood.
    pub(super) fn load(plan: &Path, judge: &JudgeArgs, common: &Common) -> Result<Self, Failure> {
        let progress = Progress::start("reading the plan");
        let mut reading = engine::load(plan, &judge.tables, common);
        engine::apply(judge, &mut reading.plan);
        let settings = Settings { statistics: !judge.no_statistics, cross_check: None };
        let sources = reading.sources;
        progress.step("walking the light");
        let color = output::error_color(common);
        let judged =
            engine::judged(reading.plan, reading.tables, reading.findings, &sources, settings, color)?;
        let view = judged.view();
        let hazards = hazards(view.plan, view.plant, view.tables, view.assessment, MOST_HAZARDS);
        let files = sources.files().seen_from(plan.parent().unwrap_or(plan));
        Ok(Self { judged, sources, hazards, files })
    }

    /// The one value behind every page and sheet.
    pub(super) fn document(&self, sheet: &SheetArgs) -> Document<'_> {
        Document {
            view: self.judged.view(),
            findings: &self.judged.findings,
            files: &self.files,
            hazards: &self.hazards,
            identity: Identity::of(&self.judged.plan, sheet.date.as_deref(), self.sources.digest()),
            lengths: match sheet.units {
                UnitsArg::Metric => Lengths::Metric,
                UnitsArg::Us => Lengths::Us,
            },
        }
    }

    /// Whether any finding is an error: exit code 1.
    pub(super) fn has_errors(&self) -> bool {
        self.judged.findings.iter().any(|finding| finding.severity == Severity::Error)
    }
}
