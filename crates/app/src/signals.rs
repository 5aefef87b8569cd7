//! Ctrl-C and the other signals that end the program: the terminal is as it was before, and no file is left half written.

use std::io;
use std::sync::Once;

use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};
use signal_hook::iterator::Signals;
use signal_hook::low_level::emulate_default_handler;

use crate::{secret, write};

const ENDING: [i32; 4] = [SIGTERM, SIGHUP, SIGINT, SIGQUIT];

/// Signals that the program was started to ignore (`nohup`), a bit each. Only Linux tells; elsewhere none.
fn ignored() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
}

/// From here on whatever ends the program does so once all is tidy.
pub(crate) fn tidy_up_first() -> io::Result<()> {
    static ONCE: Once = Once::new();
    let mut told = Ok(());
    ONCE.call_once(|| {
        let ignored = ignored();
        let heard = ENDING.iter().filter(|signal| ignored >> (**signal - 1) & 1 == 0);
        told = Signals::new(heard).map(|mut signals| {
            std::thread::spawn(move || {
                for signal in signals.forever() {
                    secret::show_again();
                    let _nothing_grows = write::discard_growing();
                    let _ = emulate_default_handler(signal);
                }
            });
        });
    });
    told
}
