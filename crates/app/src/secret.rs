//! What is typed without being shown.

use std::io;

/// Asks for it at the terminal.
#[cfg(not(unix))]
pub(crate) fn ask(prompt: &str) -> io::Result<String> {
    rpassword::prompt_password(prompt)
}

/// Asks for it at the terminal, which shows what is typed again before Ctrl-C ends the program.
#[cfg(unix)]
pub(crate) fn ask(prompt: &str) -> io::Result<String> {
    let keys = keys::Keys::unseen()?;
    let screen = keys.screen()?;
    let config = rpassword::ConfigBuilder::new().input_reader(keys).output_writer(screen).build();
    rpassword::prompt_password_with_config(prompt, config)
}

#[cfg(unix)]
mod keys {
    use std::fs::File;
    use std::io::{self, Read, Write};

    use rustix::termios::{LocalModes, OptionalActions, SpecialCodeIndex, Termios, tcgetattr, tcsetattr};

    /// As a terminal sends it while keys make no signals.
    const CTRL_C: u8 = 3;

    /// The terminal's keys, one by one and not shown.
    pub(super) struct Keys {
        terminal: File,
        /// How it was; `None` = it is so again.
        before: Option<Termios>,
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
            let keys = Self { terminal, before: Some(before) };
            tcsetattr(&keys.terminal, OptionalActions::Now, &unseen)?;
            Ok(keys)
        }

        pub(super) fn screen(&self) -> io::Result<File> {
            self.terminal.try_clone()
        }

        /// With the end of the line, which was not shown either.
        fn show_again(&mut self) {
            if let Some(before) = self.before.take() {
                let _ = tcsetattr(&self.terminal, OptionalActions::Now, &before);
                let _ = self.terminal.write_all(b"\n");
            }
        }
    }

    impl Read for Keys {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            let count = self.terminal.read(into)?;
            // Whoever asks for the keys ends the program at this one, and nothing is dropped then.
            if into[..count].contains(&CTRL_C) {
                self.show_again();
            }
            Ok(count)
        }
    }

    impl Drop for Keys {
        fn drop(&mut self) {
            self.show_again();
        }
    }
}
