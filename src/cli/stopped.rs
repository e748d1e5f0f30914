//! Being stopped: at SIGINT, SIGTERM and SIGHUP files that are not whole are taken away, and the exit
//! code is 128 and the number of the signal, as shells give it.
//!
//! Watching begins with the first file; a command that writes none is stopped as the system does it.

use std::process;
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, Once, mpsc};
use std::thread;
use std::time::Duration;

use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
use signal_hook::iterator::Signals;

use super::{pending, terminal};

/// Has a write beyond the largest file that the system allows (`ulimit -f`) fail like one to a full disk:
/// left alone, the signal for it ends the process before anything is said or taken away.
pub(super) fn outlive_large_writes() {
    // Nothing reads the flag; that something listens is enough for the write to fail with an error.
    let _ = signal_hook::flag::register(SIGXFSZ, Arc::new(AtomicBool::new(false)));
}

/// Begins to watch, once for the process.
pub(super) fn watch() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let (ready, watching) = mpsc::channel();
        // The thread asks for the signals itself: were it not to start, they would go unheard.
        let started = thread::Builder::new().name("signals".to_string()).spawn(move || {
            let signals = Signals::new(heard());
            let _ = ready.send(());
            if let Ok(mut signals) = signals
                && let Some(signal) = signals.forever().next()
            {
                let _held = pending::take_away();
                say();
                process::exit(128 + signal);
            }
        });
        if started.is_ok() {
            let _ = watching.recv();
        }
    });
}

/// Says it, but waits for nobody: the terminal may be gone, and whoever reads may read no more.
fn say() {
    let (told, said) = mpsc::channel();
    let begun = thread::Builder::new().spawn(move || {
        terminal::complain("stopped: files that were not whole are taken away\n");
        let _ = told.send(());
    });
    if begun.is_ok() {
        let _ = said.recv_timeout(Duration::from_secs(1));
    }
}

/// The signals that are listened to: one that the caller had ignored (`nohup`) stays ignored.
fn heard() -> Vec<i32> {
    let ignored = ignored();
    [SIGINT, SIGTERM, SIGHUP].into_iter().filter(|signal| ignored >> (signal - 1) & 1 == 0).collect()
}

/// The signals that the process was started to ignore, one bit each from signal 1 on. Only Linux tells
/// without unsafe code.
fn ignored() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
}
