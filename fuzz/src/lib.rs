//! The targets, and what makes a program of each under libFuzzer.

pub mod targets;

/// The main program of a target under libFuzzer: half of the changes are the fuzzer's, half know the forms.
#[cfg(feature = "libfuzzer")]
#[macro_export]
macro_rules! target {
    ($name:literal) => {
        ::libfuzzer_sys::fuzz_target!(|data: &[u8]| { $crate::targets::run($name, data) });

        ::libfuzzer_sys::fuzz_mutator!(|data: &mut [u8], size: usize, most: usize, seed: u32| {
            if seed % 2 == 0 {
                return ::libfuzzer_sys::fuzzer_mutate(data, size, most);
            }
            let changed = $crate::targets::mutate::changed(&data[..size], &[], u64::from(seed));
            let length = changed.len().min(most);
            data[..length].copy_from_slice(&changed[..length]);
            length
        });
    };
}
