#![no_main]

spanwright_fuzz::target!("plan");
