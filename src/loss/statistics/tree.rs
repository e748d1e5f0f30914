//! [`YieldTree`]: ends that share elements, as the ends of a PON share their feeder.

use super::cache::Convolver;
use super::pass::Pass;
use super::sum::LossSum;
use crate::units::{Decibels, Probability};

/// The total losses at which an end closes: `least <= loss <= most`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Window {
    /// Least loss, so that the receiver is not overloaded; `None` sets no limit.
    pub least: Option<Decibels>,
    /// Most loss, so that enough light arrives; `None` sets no limit.
    pub most: Option<Decibels>,
}

impl Window {
    /// At most this loss.
    pub fn up_to(most: Decibels) -> Self {
        Self { least: None, most: Some(most) }
    }

    /// At least and at most these losses.
    pub fn between(least: Decibels, most: Decibels) -> Self {
        Self { least: Some(least), most: Some(most) }
    }

    /// Both limits as numbers, infinite where there is none.
    pub(super) fn limits(&self) -> (f64, f64) {
        (
            self.least.map_or(f64::NEG_INFINITY, Decibels::value),
            self.most.map_or(f64::INFINITY, Decibels::value),
        )
    }
}

/// Where a tree forks, in the tree that gave it out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct BranchId(pub(super) usize);

/// A tree of independent losses from one root to many ends, each with the window of total losses
/// at which it closes.
///
/// Losses on a shared segment are the same loss for all ends beyond it: their fates are tied, and
/// the probability that all close is not the product of the single ones.
#[derive(Clone, Debug)]
pub struct YieldTree {
    /// The first one is the root, with an empty segment; a parent stands before its children.
    pub(super) branches: Vec<Branch>,
    pub(super) ends: Vec<End>,
}

#[derive(Clone, Debug)]
pub(super) struct Branch {
    pub(super) parent: usize,
    pub(super) segment: LossSum,
}

#[derive(Clone, Debug)]
pub(super) struct End {
    pub(super) parent: usize,
    pub(super) segment: LossSum,
    pub(super) window: Window,
}

/// Probability that all ends of a tree close together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JointYield {
    /// The probability.
    pub probability: Probability,
    /// How far it may be off, a probability: the guaranteed bounds of all laws read, plus what the
    /// lattice may be too coarse for, judged by the roughness of what is summed.
    pub error_bound: f64,
    /// Number of ends that fail on average: the sum of the single ends' probabilities, each by the
    /// law of its whole path. 1 less this is never above the joint yield.
    pub expected_failures: f64,
}

impl Default for YieldTree {
    fn default() -> Self {
        Self::new()
    }
}

impl YieldTree {
    /// A root without branches and ends.
    pub fn new() -> Self {
        let root = Branch { parent: 0, segment: LossSum::new() };
        Self { branches: vec![root], ends: Vec::new() }
    }

    /// Adds a fork that `segment` leads to, from another fork or (`None`) from the root.
    ///
    /// # Panics
    /// If `parent` comes from another, larger tree.
    pub fn add_branch(&mut self, parent: Option<BranchId>, segment: LossSum) -> BranchId {
        let parent = self.position(parent);
        self.branches.push(Branch { parent, segment });
        BranchId(self.branches.len() - 1)
    }

    /// Adds an end that `segment` leads to, from a fork or (`None`) from the root. The window bounds
    /// the total loss from the root to the end.
    ///
    /// # Panics
    /// If `parent` comes from another, larger tree.
    pub fn add_end(&mut self, parent: Option<BranchId>, segment: LossSum, window: Window) {
        let parent = self.position(parent);
        self.ends.push(End { parent, segment, window });
    }

    fn position(&self, branch: Option<BranchId>) -> usize {
        let position = branch.map_or(0, |branch| branch.0);
        assert!(position < self.branches.len(), "a branch of another tree");
        position
    }

    /// Number of ends.
    pub fn ends(&self) -> usize {
        self.ends.len()
    }
}

impl Convolver {
    /// Probability that all ends of a tree close together; 1 for a tree without ends.
    ///
    /// One pass from the ends to the root: at an end, the probability that it closes given the loss
    /// accumulated before its segment; at a fork, the product over what leaves it; along a segment,
    /// the expectation over its loss. Nothing is drawn, and no stack grows with the tree's depth.
    pub fn joint_yield(&self, tree: &YieldTree) -> JointYield {
        Pass::new(tree, self).run()
    }
}
