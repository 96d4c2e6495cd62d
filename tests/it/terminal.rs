//! The program in a pseudo-terminal: keys go in, the screen comes out.
//!
//! Waiting is for bytes from the program, with a limit; nothing sleeps.

use std::io::Read;
use std::io::Write;
use std::num::NonZeroU16;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::sync::mpsc;
use std::sync::mpsc::Receiver;
use std::thread;
use std::thread::JoinHandle;
use std::time::Duration;

use portable_pty::Child;
use portable_pty::CommandBuilder;
use portable_pty::MasterPty;
use portable_pty::PtySize;
use tempfile::TempDir;

use crate::common::Bench;

/// How long the program may stay silent while something is expected of it.
const LIMIT: Duration = Duration::from_secs(20);

/// A window of 80 by 24 with a program in it.
pub(crate) struct Desk {
    folder: TempDir,
    pub(crate) child: Box<dyn Child + Send + Sync>,
    pub(crate) master: Box<dyn MasterPty + Send>,
    pub(crate) terminal: vt100::Parser,
    /// Every byte that the program sent.
    pub(crate) raw: Vec<u8>,
    keys: Box<dyn Write + Send>,
    output: Receiver<Vec<u8>>,
    reader: JoinHandle<()>,
    no_more: Arc<AtomicBool>,
}

/// Returns a size of the window.
pub(crate) fn cells(n: u16) -> NonZeroU16 {
    NonZeroU16::new(n).expect("a window has cells")
}

impl Desk {
    /// Starts the program on a practice shop without people and bench rules.
    pub(crate) fn open(surroundings: &[(&str, &str)]) -> Self {
        Self::open_by(&[], surroundings, |_| {})
    }

    /// Starts the program on such a practice shop by way of another command, whose words come first.
    pub(crate) fn open_by(
        first: &[&str],
        surroundings: &[(&str, &str)],
        change: impl FnOnce(&mut CommandBuilder),
    ) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        Bench::without_people().copy_shop(&folder.path().join("shop"));
        let binary = env!("CARGO_BIN_EXE_benchlore");
        let mut words = first.iter().copied().chain([binary]);
        let mut command = CommandBuilder::new(words.next().expect("at least the binary"));
        command.args(words);
        command.args(["demo", "--into"]);
        command.arg(folder.path().join("shop"));
        command.env_clear();
        command.env("HOME", folder.path());
        command.env("XDG_DATA_HOME", folder.path());
        command.env("BENCHLORE_BENCH", "t1");
        command.env("TERM", "xterm-256color");
        command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
        for (name, value) in surroundings {
            command.env(name, value);
        }
        change(&mut command);
        Self::start(folder, command)
    }

    /// Starts any command in the window.
    pub(crate) fn start(folder: TempDir, command: CommandBuilder) -> Self {
        let size = PtySize {
            rows: 24,
            cols: 80,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = portable_pty::native_pty_system()
            .openpty(size)
            .expect("a pseudo-terminal");
        let child = pair
            .slave
            .spawn_command(command)
            .expect("the program starts");
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().expect("a reader");
        let keys = pair.master.take_writer().expect("a writer");
        let (sender, output) = mpsc::channel();
        let no_more = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&no_more);
        let reader = thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(n) = reader.read(&mut buffer) {
                let closed = n == 0 || sender.send(buffer[..n].to_vec()).is_err();
                if closed || told.load(Ordering::Relaxed) {
                    break;
                }
            }
        });
        Self {
            folder,
            child,
            master: pair.master,
            terminal: vt100::Parser::new(cells(24), cells(80), 0),
            raw: Vec::new(),
            keys,
            output,
            reader,
            no_more,
        }
    }

    /// Closes the window under the program and returns its exit code, or none if it goes on running.
    ///
    /// A terminal is gone only once nobody holds its near side any more, and the reader holds it
    /// until the program says something: so the screen is asked to be drawn anew.
    pub(crate) fn window_closes(mut self) -> Option<u32> {
        self.no_more.store(true, Ordering::Relaxed);
        self.press("\x0c");
        self.reader.join().expect("the reader ends");
        drop(self.keys);
        drop(self.master);
        let mut killer = self.child.clone_killer();
        let (sender, ended) = mpsc::channel();
        thread::spawn(move || sender.send(self.child.wait()));
        let status = ended.recv_timeout(LIMIT).ok();
        if status.is_none() {
            killer.kill().expect("it can be killed");
        }
        status.map(|status| status.expect("it can be waited for").exit_code())
    }

    /// Returns what stands on the screen.
    pub(crate) fn text(&self) -> String {
        self.terminal.screen().contents()
    }

    fn take(&mut self, bytes: &[u8]) {
        self.terminal.process(bytes);
        self.raw.extend(bytes);
    }

    /// Waits until the screen shows `text`.
    #[track_caller]
    pub(crate) fn shows(&mut self, text: &str) {
        while !self.text().contains(text) {
            match self.output.recv_timeout(LIMIT) {
                Ok(bytes) => self.take(&bytes),
                Err(why) => panic!("no `{text}` ({why}):\n{}", self.text()),
            }
        }
    }

    /// Waits until the screen passes `check`; what it says last is why it did not.
    #[track_caller]
    pub(crate) fn comes_to(&mut self, check: impl Fn(&str) -> Result<(), String>) {
        while let Err(why) = check(&self.text()) {
            match self.output.recv_timeout(LIMIT) {
                Ok(bytes) => self.take(&bytes),
                Err(silent) => panic!("{why} ({silent}):\n{}", self.text()),
            }
        }
    }

    /// Presses keys.
    pub(crate) fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).expect("keys are read");
        self.keys.flush().expect("keys are read");
    }

    /// Waits until the program has ended and returns its exit code.
    #[track_caller]
    pub(crate) fn ends(&mut self) -> u32 {
        loop {
            match self.output.recv_timeout(LIMIT) {
                Ok(bytes) => self.take(&bytes),
                Err(mpsc::RecvTimeoutError::Disconnected) => break,
                Err(why) => panic!("it does not end ({why}):\n{}", self.text()),
            }
        }
        self.child.wait().expect("it ended").exit_code()
    }

    /// Checks that the shell would find its terminal as it was.
    #[track_caller]
    pub(crate) fn gave_the_terminal_back(&self) {
        let screen = self.terminal.screen();
        assert!(!screen.alternate_screen(), "{}", self.text());
        assert!(!screen.hide_cursor());
    }

    /// Answers the greeting.
    pub(crate) fn sits_down(&mut self) {
        self.shows("Your initials");
        self.press("zq\r");
        self.shows("Today");
    }

    /// Returns the journal of the person who sat down.
    pub(crate) fn journal(&self) -> String {
        let people = self.folder.path().join("shop").join("people");
        read(&people.join("zq").join("t1.jsonl"))
    }
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_default()
}
