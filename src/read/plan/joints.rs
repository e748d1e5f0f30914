//! Direct joints between two points.

use super::fields::Fields;
use super::given::Owner;
use super::reader::Reader;
use super::spans::side;
use crate::plan::{DirectJoint, JointKind};
use crate::read::schema::JointForm;
use crate::read::yaml::Node;

impl Reader<'_> {
    pub(super) fn read_joints(&mut self, top: &Fields<'_>) {
        let Some(node) = top.node("joints") else { return };
        for item in self.items(node, "joints") {
            self.joint_entry(item);
        }
    }

    fn joint_entry(&mut self, node: &Node<'_>) {
        let owner = side(node, "from")
            .map_or(Owner { kind: "this joint", id: "" }, |id| Owner { kind: "the joint from", id });
        let Some(fields) = self.open(node, JointForm::KEYS, owner, node.origin) else { return };
        let from = self.required(&fields, "from", "t-1/tap");
        let to = self.required(&fields, "to", "term-1/in");
        let joint = self.given(&fields, "joint").and_then(|given| self.joint(&given));
        let splice = JointKind::Splice(self.defaults.splice.clone());
        let joint = joint.unwrap_or_else(|| self.plan.joint_kind(splice));
        let (Some(from), Some(to)) = (from, to) else { return };
        let origin = node.origin;
        self.each_pair(&from, &to, |reader, from, to| {
            reader.plan.joints.push(DirectJoint { from, to, joint, origin });
        });
    }
}
