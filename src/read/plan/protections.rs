//! Ports that stand by for others: read with the ports, looked up once all ports are known.

use super::given::{At, Given, Owner};
use super::reader::Reader;
use crate::check::plan_rules::unknown_point;
use crate::place::Origin;
use crate::plan::{PointRef, Protection};

/// A port that stands by, and the port it stands by for; both may be ranges, paired in order.
#[derive(Debug)]
pub(super) struct Pending {
    standby: String,
    working: String,
    origin: Origin,
}

impl Reader<'_> {
    /// Notes what `protects` of a port says.
    pub(super) fn note_protection(&mut self, standby: String, working: String, origin: Origin) {
        self.protections.push(Pending { standby, working, origin });
    }

    /// Looks up what was noted.
    pub(super) fn read_protections(&mut self) {
        for pending in std::mem::take(&mut self.protections) {
            let Pending { standby, working, origin } = &pending;
            let (at, owner) = (At::Known(*origin), Owner { kind: "port", id: standby });
            let from = Given { text: standby, key: "protects", owner, at };
            let to = Given { text: working, ..from };
            self.each_pair(&from, &to, |reader, standby, working| {
                reader.protection(standby, working, *origin);
            });
        }
    }

    fn protection(&mut self, standby: PointRef, working: PointRef, origin: Origin) {
        let (PointRef::Port(port), PointRef::Port(other)) = (standby, working) else {
            let message = format!(
                "`protects` of port `{}` names `{}`, which is no port",
                self.plan.point_name(standby),
                self.plan.point_name(working)
            );
            let finding = unknown_point::RULE.hit(origin, self.plan.point_name(standby), message);
            self.findings.push(finding.hint("name the port that this one stands by for"));
            return;
        };
        if port == other {
            let name = self.plan.point_name(standby);
            let message = format!("port `{name}` is to protect itself");
            let finding = unknown_point::RULE.hit(origin, name, message);
            self.findings.push(finding.hint("name the port that this one stands by for"));
            return;
        }
        self.plan.protections.push(Protection { standby: port, working: other, origin });
    }
}
