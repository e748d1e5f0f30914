#![no_main]

spanwright_fuzz::target!("memory");
