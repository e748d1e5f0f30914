//! The top of a plan: version, title, revision, date.

use super::fields::Fields;
use super::given::clip;
use super::reader::Reader;
use crate::check::plan_rules::version;
use crate::read::yaml::Node;

/// The version of the format that is read.
const VERSION: &str = "1";

impl Reader<'_> {
    pub(super) fn header(&mut self, top: &Fields<'_>) {
        self.version(top);
        let text = |reader: &mut Self, key| {
            let empty = top.node(key).is_none_or(Node::is_empty);
            if empty { None } else { reader.given(top, key).map(|given| given.text.to_string()) }
        };
        self.plan.title = text(self, "title").unwrap_or_default();
        self.plan.revision = text(self, "revision");
        self.plan.date = text(self, "date");
    }

    fn version(&mut self, top: &Fields<'_>) {
        let Some(node) = top.node("spanwright") else {
            let message = "the plan has no line `spanwright: 1`";
            self.findings.push(version::RULE.hit(top.origin, "", message));
            return;
        };
        let written = node.text().unwrap_or_default();
        if written.trim() != VERSION {
            let message = match node.text() {
                Some(text) => format!("version `{}` of the plan format is not known", clip(text)),
                None => format!("`spanwright` is {}; expected the version", node.kind()),
            };
            let finding = version::RULE.hit(node.origin, "", message);
            self.findings.push(finding.hint(format!("this program reads version {VERSION}")));
        }
    }
}
