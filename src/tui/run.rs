//! The only file that touches the terminal: events in, frames out, effects in between.
//!
//! The screen is given back on every way out: the end, Ctrl-C, a signal, Ctrl-Z, a panic (through the
//! hook of `ratatui`). Nothing can be done about SIGKILL.
#![expect(
    clippy::disallowed_methods,
    reason = "the screen loop measures how long a step takes"
)]

use std::collections::VecDeque;
use std::io;
use std::time::Duration;
use std::time::Instant;

use ratatui::DefaultTerminal;
use ratatui::crossterm::event;
use ratatui::crossterm::event::Event;

use crate::tui::desk::Desk;
use crate::tui::keymap;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::perform;
use crate::tui::perform::StepClock;
use crate::tui::state::State;
use crate::tui::update::update;
use crate::tui::view::screen;

/// How long the loop waits for a key before it looks at the signals.
const TICK: Duration = Duration::from_millis(200);

/// Opens the screen, greets or opens `person`'s home, and returns when the person leaves.
pub fn run(desk: &mut dyn Desk, person: Option<&str>) -> io::Result<()> {
    let signals = Signals::watch()?;
    let mut terminal = ratatui::try_init()?;
    let outcome = session(&mut terminal, desk, person, &signals);
    desk.leave();
    let shown = terminal.show_cursor();
    let restored = ratatui::try_restore();
    outcome.and(shown).and(restored)
}

fn session(
    terminal: &mut DefaultTerminal,
    desk: &mut dyn Desk,
    person: Option<&str>,
    signals: &Signals,
) -> io::Result<()> {
    let origin = Instant::now();
    let size = terminal.size()?;
    let mut state = State::new(size.width, size.height);
    let mut clock = StepClock::default();
    let mut work: VecDeque<Effect> = VecDeque::from([Effect::People]);
    work.extend(person.map(|person| Effect::Home(person.to_owned())));
    let mut changed = true;
    loop {
        while let Some(effect) = work.pop_front() {
            changed = true;
            match effect {
                Effect::Suspend => suspend(terminal)?,
                Effect::Redraw => terminal.clear()?,
                _ => {}
            }
            let answer = perform::perform(desk, &effect, &mut clock, origin.elapsed());
            if let Some(msg) = answer {
                work.extend(update(&mut state, &msg));
            }
        }
        if state.ended || signals.raised() {
            return Ok(());
        }
        if changed {
            let size = terminal.size()?;
            update(&mut state, &Msg::Resize(size.width, size.height));
            terminal.draw(|frame| screen::draw(&state, frame))?;
            changed = false;
        }
        // Keys that came together wait in the event reader, not in the terminal: it is asked first.
        if !terminal_is_there(Duration::ZERO)? {
            return Ok(());
        }
        if !event::poll(Duration::ZERO)? {
            if !terminal_is_there(TICK)? {
                return Ok(());
            }
            continue;
        }
        let msg = match event::read()? {
            Event::Key(key) => keymap::message(&state, key),
            Event::Resize(columns, rows) => Some(Msg::Resize(columns, rows)),
            _ => None,
        };
        if let Some(msg) = msg {
            changed = true;
            work.extend(update(&mut state, &msg));
        }
    }
}

/// Waits for input, a signal or the end of `wait`; false once the terminal is gone.
///
/// The event reader must not be asked after the terminal went away: it would read nothing for ever,
/// deaf to signals.
#[cfg(unix)]
fn terminal_is_there(wait: Duration) -> io::Result<bool> {
    use rustix::event::PollFd;
    use rustix::event::PollFlags;

    let input = rustix::stdio::stdin();
    let mut watched = [PollFd::new(&input, PollFlags::IN)];
    let wait = rustix::event::Timespec {
        tv_sec: 0,
        tv_nsec: i64::from(wait.subsec_nanos()),
    };
    match rustix::event::poll(&mut watched, Some(&wait)) {
        Ok(_) => {
            let gone = PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL;
            Ok(!watched[0].revents().intersects(gone))
        }
        Err(rustix::io::Errno::INTR) => Ok(true),
        Err(error) => Err(error.into()),
    }
}

/// Waits for input or the end of `wait`.
#[cfg(not(unix))]
fn terminal_is_there(wait: Duration) -> io::Result<bool> {
    event::poll(wait)?;
    Ok(true)
}

/// Gives the terminal back, stops until the shell resumes the program, and takes it again.
#[cfg(unix)]
fn suspend(terminal: &mut DefaultTerminal) -> io::Result<()> {
    use ratatui::crossterm::execute;
    use ratatui::crossterm::terminal::EnterAlternateScreen;
    use ratatui::crossterm::terminal::enable_raw_mode;
    use signal_hook::consts::SIGTSTP;

    terminal.show_cursor()?;
    ratatui::try_restore()?;
    signal_hook::low_level::raise(SIGTSTP)?;
    enable_raw_mode()?;
    execute!(io::stdout(), EnterAlternateScreen)?;
    terminal.clear()
}

/// There is nothing to suspend to here: draws anew.
#[cfg(not(unix))]
fn suspend(terminal: &mut DefaultTerminal) -> io::Result<()> {
    terminal.clear()
}

/// Whether someone outside asked the program to end.
#[cfg(unix)]
struct Signals {
    raised: std::sync::Arc<std::sync::atomic::AtomicBool>,
    ids: Vec<signal_hook::SigId>,
}

#[cfg(unix)]
impl Signals {
    fn watch() -> io::Result<Self> {
        use signal_hook::consts::SIGHUP;
        use signal_hook::consts::SIGINT;
        use signal_hook::consts::SIGTERM;

        let raised = std::sync::Arc::default();
        let ids = [SIGTERM, SIGHUP, SIGINT]
            .into_iter()
            .map(|signal| signal_hook::flag::register(signal, std::sync::Arc::clone(&raised)))
            .collect::<io::Result<Vec<_>>>()?;
        Ok(Self { raised, ids })
    }

    fn raised(&self) -> bool {
        self.raised.load(std::sync::atomic::Ordering::Relaxed)
    }
}

#[cfg(unix)]
impl Drop for Signals {
    fn drop(&mut self) {
        for id in self.ids.drain(..) {
            signal_hook::low_level::unregister(id);
        }
    }
}

/// Whether someone outside asked the program to end: Ctrl-C comes as a key here.
#[cfg(not(unix))]
struct Signals;

#[cfg(not(unix))]
impl Signals {
    fn watch() -> io::Result<Self> {
        Ok(Self)
    }

    fn raised(&self) -> bool {
        false
    }
}
