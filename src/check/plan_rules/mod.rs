//! Rules about the input: can it be read, is it whole, does it contradict itself?

pub mod syntax;
