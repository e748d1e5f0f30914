//! Two sides of a span or joint, each a point or a pattern of points, paired in order.

use super::given::Given;
use super::ranges::has_range;
use super::reader::Reader;
use crate::check::plan_rules::range_mismatch;
use crate::plan::PointRef;

impl Reader<'_> {
    /// Runs `make` for every pair of points. Points that do not exist are reported, on both sides.
    pub(super) fn each_pair(
        &mut self,
        from: &Given<'_>,
        to: &Given<'_>,
        mut make: impl FnMut(&mut Self, PointRef, PointRef),
    ) {
        if !has_range(from.text) && !has_range(to.text) {
            let (from, to) = (self.point(from), self.point(to));
            if let (Some(from), Some(to)) = (from, to) {
                make(self, from, to);
            }
            return;
        }
        let left = self.pattern(from.text, from.at);
        let right = self.pattern(to.text, to.at);
        let (Some(left), Some(right)) = (left, right) else { return };
        if left.count() != right.count() {
            let message = format!(
                "`{}` stands for {} and `{}` for {}",
                super::given::clip(from.text),
                points(left.count()),
                super::given::clip(to.text),
                points(right.count())
            );
            self.findings.push(range_mismatch::RULE.hit(to.at.origin(), from.text, message));
            return;
        }
        self.findings.begin_group();
        let (mut lefts, mut rights) = (left.names(), right.names());
        while let (Some(one), Some(other)) = (lefts.name(), rights.name()) {
            if !self.may_expand(from.at) {
                break;
            }
            let one = self.point(&Given { text: one, ..*from });
            let other = self.point(&Given { text: other, ..*to });
            if let (Some(one), Some(other)) = (one, other) {
                make(self, one, other);
            }
            lefts.advance();
            rights.advance();
        }
        self.findings.end_group();
    }
}

fn points(count: u64) -> String {
    if count == 1 { "1 point".to_string() } else { format!("{count} points") }
}
