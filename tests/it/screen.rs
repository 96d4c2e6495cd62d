//! The screen of the real program in a pseudo-terminal: it comes up, keeps what it says it kept, and
//! gives the terminal back on every way out.
//!
//! Waiting is for bytes from the program, with a limit; nothing sleeps.

use std::io::Read;
use std::io::Write;
use std::num::NonZeroU16;
use std::path::Path;
use std::sync::mpsc;
use std::sync::mpsc::Receiver;
use std::thread;
use std::time::Duration;

use portable_pty::Child;
use portable_pty::CommandBuilder;
use portable_pty::MasterPty;
use portable_pty::PtySize;
use tempfile::TempDir;

/// How long the program may stay silent while something is expected of it.
const LIMIT: Duration = Duration::from_secs(20);

struct Desk {
    folder: TempDir,
    child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    keys: Box<dyn Write + Send>,
    output: Receiver<Vec<u8>>,
    terminal: vt100::Parser,
    raw: Vec<u8>,
}

fn cells(n: u16) -> NonZeroU16 {
    NonZeroU16::new(n).expect("a window has cells")
}

impl Desk {
    /// Starts the program on a fresh practice shop in a window of 80 by 24.
    fn open(surroundings: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let size = PtySize {
            rows: 24,
            cols: 80,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = portable_pty::native_pty_system()
            .openpty(size)
            .expect("a pseudo-terminal");
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_benchlore"));
        command.env_clear();
        command.args(["demo", "--into"]);
        command.arg(folder.path().join("shop"));
        command.env("HOME", folder.path());
        command.env("XDG_DATA_HOME", folder.path());
        command.env("BENCHLORE_BENCH", "t1");
        command.env("TERM", "xterm-256color");
        for (name, value) in surroundings {
            command.env(name, value);
        }
        let child = pair
            .slave
            .spawn_command(command)
            .expect("the program starts");
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().expect("a reader");
        let keys = pair.master.take_writer().expect("a writer");
        let (sender, output) = mpsc::channel();
        thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(n) = reader.read(&mut buffer) {
                if n == 0 || sender.send(buffer[..n].to_vec()).is_err() {
                    break;
                }
            }
        });
        Self {
            folder,
            child,
            master: pair.master,
            keys,
            output,
            terminal: vt100::Parser::new(cells(24), cells(80), 0),
            raw: Vec::new(),
        }
    }

    fn text(&self) -> String {
        self.terminal.screen().contents()
    }

    fn take(&mut self, bytes: &[u8]) {
        self.terminal.process(bytes);
        self.raw.extend(bytes);
    }

    /// Waits until the screen shows `text`.
    #[track_caller]
    fn shows(&mut self, text: &str) {
        while !self.text().contains(text) {
            match self.output.recv_timeout(LIMIT) {
                Ok(bytes) => self.take(&bytes),
                Err(why) => panic!("no `{text}` ({why}):\n{}", self.text()),
            }
        }
    }

    fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).expect("keys are read");
        self.keys.flush().expect("keys are read");
    }

    /// Waits until the program has ended and returns its exit code.
    #[track_caller]
    fn ends(&mut self) -> u32 {
        loop {
            match self.output.recv_timeout(LIMIT) {
                Ok(bytes) => self.take(&bytes),
                Err(mpsc::RecvTimeoutError::Disconnected) => break,
                Err(why) => panic!("it does not end ({why}):\n{}", self.text()),
            }
        }
        self.child.wait().expect("it ended").exit_code()
    }

    #[track_caller]
    fn gave_the_terminal_back(&self) {
        let screen = self.terminal.screen();
        assert!(!screen.alternate_screen(), "{}", self.text());
        assert!(!screen.hide_cursor());
    }

    fn sits_down(&mut self) {
        self.shows("Your initials");
        self.press("zq\r");
        self.shows("Today");
    }

    fn journal(&self) -> String {
        let people = self.folder.path().join("shop").join("people");
        read(&people.join("zq").join("t1.jsonl"))
    }
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_default()
}

#[test]
fn the_greeting_comes_up_and_escape_gives_the_terminal_back() {
    let mut desk = Desk::open(&[]);
    desk.shows("Your initials");
    assert!(desk.terminal.screen().alternate_screen());
    desk.press("\x1b");
    assert_eq!(desk.ends(), 0);
    desk.gave_the_terminal_back();
}

#[test]
fn ctrl_c_in_the_middle_of_a_card_gives_the_terminal_back() {
    let mut desk = Desk::open(&[]);
    desk.sits_down();
    desk.press("\r");
    desk.shows("Which circuit?");
    desk.press("\x03");
    desk.ends();
    desk.gave_the_terminal_back();
}

#[cfg(unix)]
#[test]
fn a_request_to_end_gives_the_terminal_back() {
    let mut desk = Desk::open(&[]);
    desk.sits_down();
    let pid = desk.child.process_id().expect("it runs").to_string();
    let sent = std::process::Command::new("kill")
        .args(["-TERM", &pid])
        .status()
        .expect("kill runs");
    assert!(sent.success());
    desk.ends();
    desk.gave_the_terminal_back();
}

#[test]
fn an_answer_is_in_the_journal_before_the_next_card_is_shown() {
    let mut desk = Desk::open(&[]);
    desk.sits_down();
    desk.press("\r");
    desk.shows("Which circuit?");
    assert!(!desk.journal().contains("\"ev\":\"answer\""));
    desk.press("\x1b[A\r");
    desk.shows("Name the fix");
    desk.press("\r");
    desk.shows("Answer");
    assert!(!desk.journal().contains("\"ev\":\"answer\""));
    desk.press("\r");
    desk.shows("Which circuit?");
    assert_eq!(desk.journal().matches("\"ev\":\"answer\"").count(), 1);
    assert!(desk.journal().ends_with('\n'));
}

#[test]
fn a_smaller_window_is_drawn_anew() {
    let mut desk = Desk::open(&[]);
    desk.sits_down();
    desk.press("\r");
    desk.shows("Which circuit?");
    let size = PtySize {
        rows: 20,
        cols: 60,
        pixel_width: 0,
        pixel_height: 0,
    };
    desk.terminal = vt100::Parser::new(cells(20), cells(60), 0);
    desk.master.resize(size).expect("the window changes");
    desk.shows("Which circuit?");
    desk.shows("Esc stop");
}

/// Plays to the first verdict and returns every byte that the program sent.
fn wire_up_to_a_verdict(surroundings: &[(&str, &str)]) -> String {
    let mut desk = Desk::open(surroundings);
    desk.sits_down();
    desk.press("\r");
    desk.shows("Which circuit?");
    desk.press("\x1b[A\r");
    desk.shows("Name the fix");
    desk.press("\r");
    desk.shows("Esc stop");
    desk.shows("Answer");
    String::from_utf8_lossy(&desk.raw).into_owned()
}

#[test]
fn no_color_means_no_colour_on_the_wire() {
    let coloured = |wire: &str| wire.contains("38;5;") || wire.contains("48;5;");
    assert!(
        coloured(&wire_up_to_a_verdict(&[])),
        "else the test sees nothing"
    );
    assert!(!coloured(&wire_up_to_a_verdict(&[("NO_COLOR", "1")])));
}
