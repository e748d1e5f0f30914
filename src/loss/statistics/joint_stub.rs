//! stub
#![allow(missing_docs, clippy::all, clippy::pedantic)]
use super::{Convolver, LossSum};
use crate::units::{Decibels, Probability};
#[derive(Clone, Copy, Debug)]
pub struct BranchId(u32);
#[derive(Clone, Copy, Debug)]
pub struct Window { pub least: Option<Decibels>, pub most: Option<Decibels> }
#[derive(Default)]
pub struct YieldTree;
impl YieldTree { pub fn new() -> Self { Self } pub fn add_branch(&mut self, _: Option<BranchId>, _: LossSum) -> BranchId { BranchId(0) } pub fn add_end(&mut self, _: Option<BranchId>, _: LossSum, _: Window) {} }
pub struct JointYield { pub probability: Probability, pub error_bound: f64, pub expected_failures: f64 }
impl Convolver { pub fn joint_yield(&self, _: &YieldTree) -> JointYield { JointYield { probability: Probability::ONE, error_bound: 0.0, expected_failures: 0.0 } } }
pub struct Sampler; pub struct Estimate { pub probability: Probability, pub standard_error: f64 }
impl Sampler { pub fn new(_: u64) -> Self { Self } pub fn joint_yield(&self, _: &YieldTree, _: u32) -> Estimate { Estimate { probability: Probability::ONE, standard_error: 0.0 } } }
