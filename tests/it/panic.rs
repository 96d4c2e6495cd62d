//! A panic inside the screen gives the terminal back, and so does leaving before the shop is open.
//!
//! The program has no known way to panic, so this test is its own program: it runs itself again in a
//! pseudo-terminal, where the real screen loop is handed a desk that panics.

use benchlore::app::brief::BoardChoice;
use benchlore::app::brief::Brief;
use benchlore::app::gaps::Gaps;
use benchlore::app::intake::List;
use benchlore::app::intake::decide::Decided;
use benchlore::app::intake::page::Candidate;
use benchlore::app::intake::page::FieldView;
use benchlore::app::intake::page::RowPage;
use benchlore::app::jobs::FollowUp;
use benchlore::app::jobs::JobRow;
use benchlore::app::jobs::Listing;
use benchlore::app::jobs::page::WholeJob;
use benchlore::app::jobs::word::Came;
use benchlore::app::jobs::word::Noted;
use benchlore::app::view::DrillView;
use benchlore::app::view::Home;
use benchlore::app::view::JobPage;
use benchlore::app::view::PersonChoice;
use benchlore::domain::circuit::Family;
use benchlore::domain::intake::repair::Slot;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Sure;
use benchlore::tui::msg::Decision;
use benchlore::tui::msg::ReadySaid;
use portable_pty::CommandBuilder;

use crate::terminal::Desk;

/// Set in the surroundings of the second run.
const INSIDE: &str = "BENCHLORE_TEST_INSIDE";

/// A desk where nobody can sit down.
struct Broken;

impl benchlore::tui::desk::Desk for Broken {
    fn people(&self) -> Vec<PersonChoice> {
        Vec::new()
    }

    fn add_person(&mut self, initials: &str) -> Result<String, String> {
        panic!("the desk broke under {initials}")
    }

    fn home(&mut self, _: &str) -> Result<Home, String> {
        Err(String::new())
    }

    fn begin(&mut self, _: &str) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn say_circuit(&mut self, _: &str, _: u64) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn say_fix(&mut self, _: Option<&str>, _: Sure, _: u64) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn back(&mut self) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn overrule(&mut self) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn set_grade(&mut self, _: Grade) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn keep(&mut self, _: u64) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn undo(&mut self) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn tag(&mut self, _: bool, _: &str) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn stop(&mut self) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn give_sitting_to(&mut self, _: &str, _: &str) -> Result<Home, String> {
        Err(String::new())
    }

    fn family(&self, _: &str) -> Option<Family> {
        None
    }

    fn families(&self) -> Vec<Family> {
        Vec::new()
    }

    fn evidence(&self) -> Vec<JobPage> {
        Vec::new()
    }

    fn leave(&mut self) {}

    fn plan(&mut self, _: &str) -> Result<benchlore::app::plan::Coming, String> {
        Err(String::new())
    }

    fn be_ready_by(&mut self, _: &str, _: &str) -> Result<ReadySaid, String> {
        Err(String::new())
    }

    fn gaps(&mut self, _: &str) -> Result<Gaps, String> {
        Err(String::new())
    }

    fn measure(&mut self, _: &str, _: &str) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn boards(&self) -> Vec<BoardChoice> {
        Vec::new()
    }

    fn brief(&mut self, _: &str, _: &str) -> Result<Brief, String> {
        Err(String::new())
    }

    fn whole_job(&self, _: &str) -> Option<JobPage> {
        None
    }

    fn begin_brief(&mut self, _: &str, _: &[String]) -> Result<DrillView, String> {
        Err(String::new())
    }

    fn jobs(&mut self) -> Result<Listing, String> {
        Err("nothing here".to_owned())
    }

    fn find_jobs(&mut self, _: &str) -> Result<Vec<JobRow>, String> {
        Err("nothing here".to_owned())
    }

    fn job(&mut self, _: &str) -> Result<WholeJob, String> {
        Err("nothing here".to_owned())
    }

    fn follow_up(&mut self) -> Result<FollowUp, String> {
        Err("nothing here".to_owned())
    }

    fn later_jobs(&mut self, _: &str) -> Result<Vec<JobRow>, String> {
        Err("nothing here".to_owned())
    }

    fn job_held(&mut self, _: &str, _: &str) -> Result<Noted, String> {
        Err("nothing here".to_owned())
    }

    fn job_returned(&mut self, _: &str, _: &str, _: &str, _: &Came) -> Result<Noted, String> {
        Err("nothing here".to_owned())
    }

    fn intake(&mut self, _: &str) -> Result<List, String> {
        Err("nothing here".to_owned())
    }

    fn intake_worth(&mut self) -> Option<String> {
        None
    }

    fn intake_row(&mut self, _: usize) -> Result<Option<RowPage>, String> {
        Ok(None)
    }

    fn intake_decide(&mut self, _: &str, _: usize, _: &Decision) -> Result<Decided, String> {
        Err("nothing here".to_owned())
    }

    fn intake_read(&mut self, _: &str, _: Slot, _: &str) -> Result<FieldView, String> {
        Err("nothing here".to_owned())
    }

    fn intake_numbers(&mut self, _: &str, _: &str) -> Vec<Candidate> {
        Vec::new()
    }

    fn leave_intake(&mut self) {}

    fn take_jobs_back(&mut self, _: &str, _: &[String]) -> Result<Noted, String> {
        Err("nothing here".to_owned())
    }
}

#[test]
fn a_panic_gives_the_terminal_back_and_its_words_can_be_read() {
    if std::env::var_os(INSIDE).is_some() {
        benchlore::tui::run::run(&mut Broken, None).expect("the screen runs");
        return;
    }
    let itself = std::env::current_exe().expect("the test has a file");
    let mut command = CommandBuilder::new(itself);
    let name = "panic::a_panic_gives_the_terminal_back_and_its_words_can_be_read";
    command.args(["--exact", name, "--nocapture"]);
    command.env("TERM", "xterm-256color");
    command.env(INSIDE, "1");
    command.env("RUST_BACKTRACE", "0");
    let mut desk = Desk::start(tempfile::tempdir().expect("a folder"), command);
    desk.shows("Your initials");
    assert!(desk.terminal.screen().alternate_screen());
    desk.press("zq\r");
    assert_ne!(desk.ends(), 0);
    desk.gave_the_terminal_back();
    assert!(
        desk.text().contains("the desk broke under zq"),
        "{}",
        desk.text()
    );
}

#[test]
fn a_panic_while_the_shop_is_opened_gives_the_terminal_back_too() {
    if std::env::var_os(INSIDE).is_some() {
        let open = || -> Result<(), ()> { panic!("the door broke") };
        let seat = |()| (Broken, None);
        let ran = benchlore::tui::run::run_opening(open, &|| (0, 0), seat);
        ran.expect("the screen runs").expect("the shop opens");
        return;
    }
    let itself = std::env::current_exe().expect("the test has a file");
    let mut command = CommandBuilder::new(itself);
    let name = "panic::a_panic_while_the_shop_is_opened_gives_the_terminal_back_too";
    command.args(["--exact", name, "--nocapture"]);
    command.env("TERM", "xterm-256color");
    command.env(INSIDE, "1");
    command.env("RUST_BACKTRACE", "0");
    let mut desk = Desk::start(tempfile::tempdir().expect("a folder"), command);
    assert_ne!(desk.ends(), 0);
    desk.gave_the_terminal_back();
    assert!(desk.text().contains("the door broke"), "{}", desk.text());
}

#[test]
fn ctrl_c_leaves_while_the_shop_is_still_being_opened() {
    if std::env::var_os(INSIDE).is_some() {
        let (_still_open, never) = std::sync::mpsc::channel::<()>();
        let open = move || never.recv();
        let seat = |()| (Broken, None);
        let ran = benchlore::tui::run::run_opening(open, &|| (3_000_000, 9_000_000), seat);
        ran.expect("the screen runs").expect("nothing failed");
        return;
    }
    let itself = std::env::current_exe().expect("the test has a file");
    let mut command = CommandBuilder::new(itself);
    let name = "panic::ctrl_c_leaves_while_the_shop_is_still_being_opened";
    command.args(["--exact", name, "--nocapture"]);
    command.env("TERM", "xterm-256color");
    command.env(INSIDE, "1");
    let mut desk = Desk::start(tempfile::tempdir().expect("a folder"), command);
    desk.shows("Opening the shop ...");
    desk.shows("Reading reviews: 3 of 9 MB");
    desk.press("\x03");
    assert_eq!(desk.ends(), 0);
    desk.gave_the_terminal_back();
}
