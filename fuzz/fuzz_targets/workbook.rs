#![no_main]

spanwright_fuzz::target!("workbook");
