//! The screen of the real program in a pseudo-terminal: it comes up, keeps what it says it kept, and
//! gives the terminal back on every way out.

use portable_pty::PtySize;

use crate::terminal::Desk;
use crate::terminal::cells;

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

/// The terminal can go away with a word (SIGHUP), or, where the program ignores that word or is not
/// the terminal's own, without one.
#[cfg(unix)]
#[test]
fn the_program_ends_when_its_window_is_closed() {
    let deaf = ["sh", "-c", "trap '' HUP; exec \"$0\" \"$@\""];
    let starts: [(&str, &[&str], bool); 3] = [
        ("told", &[], true),
        ("deaf", &deaf, true),
        ("not told", &[], false),
    ];
    for (name, first, own) in starts {
        let mut desk = Desk::open_by(first, &[], |command| command.set_controlling_tty(own));
        desk.sits_down();
        desk.press("\r");
        desk.shows("Which circuit?");
        let code = desk.window_closes();
        assert_eq!(code, Some(0), "{name}: none means that it goes on running");
    }
}

/// This terminal answers no questions, as some slow or simple ones do not.
#[test]
fn ctrl_l_draws_the_screen_anew_and_asks_the_terminal_nothing() {
    let mut desk = Desk::open(&[]);
    desk.sits_down();
    desk.press("\r");
    desk.shows("Which circuit?");
    desk.terminal = vt100::Parser::new(cells(24), cells(80), 0);
    desk.press("\x0c");
    desk.shows("Esc stop");
    desk.shows("Which circuit?");
    let wire = String::from_utf8_lossy(&desk.raw);
    assert!(!wire.contains("\x1b[6n"), "it asked where the cursor is");
}
