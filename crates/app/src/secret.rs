//! What is typed without being shown.

use std::io;

/// Asks for it at the terminal.
#[cfg(not(unix))]
pub(crate) fn ask(prompt: &str) -> io::Result<String> {
    rpassword::prompt_password(prompt)
}

/// Asks for it at the terminal, which shows what is typed again before Ctrl-C or a signal ends the program.
#[cfg(unix)]
pub(crate) fn ask(prompt: &str) -> io::Result<String> {
    let keys = keys::Keys::unseen()?;
    let screen = keys.screen()?;
    let config = rpassword::ConfigBuilder::new().input_reader(keys).output_writer(screen).build();
    rpassword::prompt_password_with_config(prompt, config)
}

#[cfg(unix)]
pub(crate) use keys::show_again;

#[cfg(unix)]
mod keys {
    use std::fs::File;
    use std::io::{self, Read, Write};
    use std::sync::{Mutex, PoisonError};

    use rustix::termios::{LocalModes, OptionalActions, SpecialCodeIndex, Termios, tcgetattr, tcsetattr};

    use crate::signals;

    /// As a terminal sends it while keys make no signals.
    const CTRL_C: u8 = 3;

    /// A terminal whose keys are not shown, and how it was before; `None` = it is so again.
    static UNSEEN: Mutex<Option<(File, Termios)>> = Mutex::new(None);

    /// With the end of the line, which was not shown either.
    pub(crate) fn show_again() {
        if let Some((mut terminal, before)) = UNSEEN.lock().unwrap_or_else(PoisonError::into_inner).take() {
            let _ = tcsetattr(&terminal, OptionalActions::Now, &before);
            let _ = terminal.write_all(b"\n");
        }
    }

    /// The terminal's keys, one by one and not shown.
    pub(super) struct Keys {
        terminal: File,
    }

    impl Keys {
        pub(super) fn unseen() -> io::Result<Self> {
            let terminal = File::options().read(true).write(true).open("/dev/tty")?;
            let before = tcgetattr(&terminal)?;
            let mut unseen = before.clone();
            let shown = LocalModes::ECHO | LocalModes::ECHONL | LocalModes::ICANON | LocalModes::ISIG;
            unseen.local_modes.remove(shown);
            unseen.special_codes[SpecialCodeIndex::VMIN] = 1;
            unseen.special_codes[SpecialCodeIndex::VTIME] = 0;
            signals::tidy_up_first()?;
            *UNSEEN.lock().unwrap_or_else(PoisonError::into_inner) = Some((terminal.try_clone()?, before));
            let keys = Self { terminal };
            tcsetattr(&keys.terminal, OptionalActions::Now, &unseen)?;
            Ok(keys)
        }

        pub(super) fn screen(&self) -> io::Result<File> {
            self.terminal.try_clone()
        }
    }

    impl Read for Keys {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            let count = self.terminal.read(into)?;
            // Whoever asks for the keys ends the program at this one, and nothing is dropped then.
            if into[..count].contains(&CTRL_C) {
                show_again();
            }
            Ok(count)
        }
    }

    impl Drop for Keys {
        fn drop(&mut self) {
            show_again();
        }
    }
}
