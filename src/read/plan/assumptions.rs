//! What a plan assumes: confidence, reserve, end connectors, defaults, allowances.

use super::fields::Fields;
use super::given::{Given, Owner, clip};
use super::reader::Reader;
use crate::check::plan_rules::{bad_quantity, unknown_word};
use crate::plan::{EndConnectors, JointKind, JointUse, Repair, SpliceLoss, StatedSpliceLoss};
use crate::read::schema::{AllowancesForm, ConnectorForm, DefaultsForm, EquipmentForm, RepairForm};
use crate::read::yaml::{Node, Value};
use crate::tables::{Dirt, Surplus};
use crate::units::DecibelsPerKilometer;

impl Reader<'_> {
    pub(super) fn assumptions(&mut self, top: &Fields<'_>) {
        if let Some(confidence) = self.given(top, "confidence").and_then(|g| self.quantity(&g)) {
            self.plan.assumptions.confidence = confidence;
        }
        if let Some(reserve) = self.given(top, "reserve").and_then(|g| self.quantity(&g)) {
            self.plan.assumptions.reserve = reserve;
        }
        let words = [("excluded", EndConnectors::Excluded), ("counted", EndConnectors::Counted)];
        let given = self.given(top, "end-connectors");
        if let Some(counted) = given.and_then(|g| self.word(&g, &words)) {
            self.plan.assumptions.end_connectors = counted;
        }
        self.plan.assumptions.dirt =
            self.given(top, "dirty").and_then(|given| self.two(&given, Dirt::parse));
        self.equipment(top);
        self.defaults(top);
        self.allowances(top);
    }

    /// How levels of equipment spread.
    fn equipment(&mut self, top: &Fields<'_>) {
        let owner = Owner { kind: "`equipment`", id: "" };
        let Some(node) = top.node("equipment") else { return };
        let Some(fields) = self.open(node, EquipmentForm::KEYS, owner, node.origin) else { return };
        self.plan.assumptions.surplus = ["launch", "sensitivity"]
            .map(|key| self.given(&fields, key).and_then(|given| self.two(&given, Surplus::parse)));
    }

    /// Two figures in one value: `3 %, 1 dB`.
    fn two<T>(&mut self, given: &Given<'_>, parse: fn(&str) -> Result<T, String>) -> Option<T> {
        match parse(given.text) {
            Ok(value) => Some(value),
            Err(error) => {
                self.tell(&bad_quantity::RULE, given.at.origin(), |_| {
                    bad_quantity::RULE.hit(given.at.origin(), given.key, format!("{given}: {error}"))
                });
                None
            }
        }
    }

    /// A kind of single splices: a row of the splice table that is not stated per km.
    pub(super) fn splice(&mut self, given: &Given<'_>) -> Option<String> {
        let row = self.row(given, "splice", |tables| &tables.splices)?;
        if !self.is_per_kilometer(&row) {
            return Some(row);
        }
        let message = format!("{given}, a row that is stated per km and not for single splices");
        let finding = unknown_word::RULE.hit(given.at.origin(), given.owner.id, message);
        self.findings
            .push(finding.hint(format!("write `splice-loss: {row}` at a span or in `defaults`")));
        None
    }

    fn is_per_kilometer(&self, row: &str) -> bool {
        self.tables.splices.get(row).is_some_and(|row| row.value.per_kilometer)
    }

    /// The loss of splices for each kilometer: a figure, or a row of the splice table.
    pub(super) fn splice_loss(&mut self, given: &Given<'_>) -> Option<JointUse> {
        let row = self.tables.splices.get(given.text).map(|row| row.key.clone());
        let loss = match row {
            Some(row) if self.is_per_kilometer(&row) => SpliceLoss::Row(row),
            Some(row) => {
                let message = format!("{given}, a row for single splices and not stated per km");
                let finding = unknown_word::RULE.hit(given.at.origin(), given.owner.id, message);
                self.findings.push(finding.hint(format!("write `splice: {row}` and their number")));
                return None;
            }
            None => {
                let loss: DecibelsPerKilometer = self.quantity(given)?;
                let Some(stated) = StatedSpliceLoss::new(loss) else {
                    let message = format!("{given}; expected 0 to 100 dB/km");
                    let finding = bad_quantity::RULE.hit(given.at.origin(), given.owner.id, message);
                    self.findings.push(finding);
                    return None;
                };
                SpliceLoss::Stated(stated)
            }
        };
        Some(self.plan.joint_kind(JointKind::SplicesPerKilometer(loss)))
    }

    fn defaults(&mut self, top: &Fields<'_>) {
        let owner = Owner { kind: "`defaults`", id: "" };
        let node = top.node("defaults");
        let fields = node.and_then(|node| self.open(node, DefaultsForm::KEYS, owner, node.origin));
        if let Some(fields) = fields {
            self.stated_defaults(&fields);
        }
        let connector = self.defaults.connector();
        let splice = JointKind::Splice(self.defaults.splice.clone());
        self.plan.port_joint = self.plan.joint_kind(connector);
        self.plan.assumptions.repair_splice.clone_from(&self.defaults.splice);
        self.defaults.joint = self.plan.joint_kind(splice);
        if let Some(given) = fields.and_then(|fields| self.given(&fields, "joint")) {
            self.defaults.joint = self.joint(&given).unwrap_or_default();
        }
        let fiber = fields.and_then(|fields| self.given(&fields, "fiber"));
        let fiber = fiber.and_then(|given| self.fiber(&given));
        self.defaults.fiber = fiber.unwrap_or_else(|| self.plan.fiber("G.652.D"));
    }

    fn stated_defaults(&mut self, fields: &Fields<'_>) {
        let given = self.given(fields, "splice");
        if let Some(splice) = given.and_then(|g| self.splice(&g)) {
            self.defaults.splice = splice;
        }
        if let Some(node) = fields.node("connector") {
            let (grade, polish) = self.connector_parts(node, fields.owner);
            self.defaults.grade = grade;
            self.defaults.polish = polish;
        }
        if let Some(slack) = self.given(fields, "slack").and_then(|g| self.quantity(&g)) {
            self.defaults.slack = slack;
        }
        self.defaults.reel = self.given(fields, "reel").and_then(|g| self.positive(&g));
        let loss = self.given(fields, "splice-loss");
        self.defaults.splice_loss = loss.and_then(|given| self.splice_loss(&given));
        let uncertainty = self.given(fields, "uncertainty");
        if let Some(uncertainty) = uncertainty.and_then(|g| self.quantity(&g)) {
            self.defaults.uncertainty = uncertainty;
        }
        let assumed = self.given(fields, "assumed-optic");
        let assumed = assumed.map(|given| (given.text.trim().to_string(), given.at.origin()));
        self.plan.assumptions.assumed_optic = assumed;
    }

    fn allowances(&mut self, top: &Fields<'_>) {
        let owner = Owner { kind: "`allowances`", id: "" };
        let Some(node) = top.node("allowances") else { return };
        let Some(fields) = self.open(node, AllowancesForm::KEYS, owner, node.origin) else { return };
        if let Some(ageing) = self.given(&fields, "ageing").and_then(|g| self.quantity(&g)) {
            self.plan.assumptions.allowances.ageing = ageing;
        }
        let temperature = self.given(&fields, "temperature");
        if let Some(temperature) = temperature.and_then(|g| self.quantity(&g)) {
            self.plan.assumptions.allowances.temperature = temperature;
        }
        if let Some(node) = fields.node("repair") {
            self.plan.assumptions.allowances.repair = self.repair(node);
        }
    }

    fn repair(&mut self, node: &Node<'_>) -> Option<Repair> {
        let owner = Owner { kind: "`repair`", id: "" };
        let fields = self.open(node, RepairForm::KEYS, owner, node.origin)?;
        let splices = self.required(&fields, "splices", "2");
        let per = self.required(&fields, "per", "10 km");
        let splices = splices.and_then(|given| self.count(&given, 0, 1_000));
        let per = per.and_then(|given| self.positive(&given));
        let laws = [("fixed", false), ("poisson", true)];
        let is_random = self.given(&fields, "law").and_then(|given| self.word(&given, &laws));
        Some(Repair { splices: splices?, per: per?, is_random: is_random.unwrap_or(false) })
    }

    /// The fiber type of a value.
    pub(super) fn fiber(&mut self, given: &Given<'_>) -> Option<u16> {
        let fiber = self.row(given, "fiber", |tables| &tables.fibers)?;
        Some(self.plan.fiber(&fiber))
    }

    /// A joint in one word: `splice`, `connector`, `none`, or a row of the splice table.
    pub(super) fn joint(&mut self, given: &Given<'_>) -> Option<JointUse> {
        let kind = match given.text.trim() {
            "none" => JointKind::None,
            "splice" => JointKind::Splice(self.defaults.splice.clone()),
            "connector" => self.defaults.connector(),
            other => match self.tables.splices.get(other) {
                Some(_) => JointKind::Splice(self.splice(given)?),
                None => {
                    self.no_joint(given);
                    return None;
                }
            },
        };
        Some(self.plan.joint_kind(kind))
    }

    fn no_joint(&mut self, given: &Given<'_>) {
        let message = format!(
            "`{}` of {} is `{}`; expected `splice`, `connector`, `none` or a row of the table `{}`",
            given.key,
            given.owner,
            clip(given.text),
            self.tables.splices.name
        );
        let finding = unknown_word::RULE.hit(given.at.origin(), given.owner.id, message);
        let words = ["splice", "connector", "none"].into_iter().chain(self.tables.splices.names());
        let finding = super::given::suggest(finding, given.text, words);
        self.findings.push(finding);
    }

    /// A connector: a map of grade and polish, a grade, or `grade/polish`.
    pub(super) fn connector(&mut self, node: &Node<'_>, owner: Owner<'_>) -> JointUse {
        let (grade, polish) = self.connector_parts(node, owner);
        self.plan.joint_kind(JointKind::Connector { grade, polish })
    }

    /// A connector in one value.
    pub(super) fn connector_text(&mut self, given: &Given<'_>) -> JointUse {
        let (grade, polish) = self.connector_words(given);
        self.plan.joint_kind(JointKind::Connector { grade, polish })
    }

    fn connector_parts(&mut self, node: &Node<'_>, owner: Owner<'_>) -> (String, String) {
        if !matches!(node.value, Value::Map(_) | Value::Empty) {
            return match self.scalar(node, "connector", owner) {
                Some(given) => self.connector_words(&given),
                None => (self.defaults.grade.clone(), self.defaults.polish.clone()),
            };
        }
        let named = Owner { kind: "`connector`", id: "" };
        let fields = self.open(node, ConnectorForm::KEYS, named, node.origin);
        let grade = fields.and_then(|fields| self.given(&fields, "grade"));
        let polish = fields.and_then(|fields| self.given(&fields, "polish"));
        self.grade_and_polish(grade, polish)
    }

    fn connector_words(&mut self, given: &Given<'_>) -> (String, String) {
        let (grade, polish) = match given.text.split_once('/') {
            Some((grade, polish)) => (grade, Some(polish)),
            None => (given.text, None),
        };
        let part = |text| Given { text, ..*given };
        self.grade_and_polish(Some(part(grade)), polish.map(part))
    }

    /// Rows of the two tables; what is not stated is that of the plan.
    fn grade_and_polish(
        &mut self,
        grade: Option<Given<'_>>,
        polish: Option<Given<'_>>,
    ) -> (String, String) {
        let grade = grade.and_then(|g| self.row(&g, "grade", |t| &t.connectors));
        let polish = polish.and_then(|g| self.row(&g, "polish", |t| &t.polishes));
        (
            grade.unwrap_or_else(|| self.defaults.grade.clone()),
            polish.unwrap_or_else(|| self.defaults.polish.clone()),
        )
    }
}
