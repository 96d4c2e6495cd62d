//! The only file that touches the terminal: events in, frames out, effects in between.
//!
//! The screen is given back on every way out: the end, Ctrl-C, a signal, Ctrl-Z, a panic (through the
//! hook of `ratatui`). Nothing can be done about SIGKILL. Where the terminal itself went away the
//! program ends without a word: nobody is left to read one.
//!
//! The terminal is never asked anything (such as where its cursor is): one that is gone, or that does
//! not know the question, would be waited for.
#![expect(
    clippy::disallowed_methods,
    reason = "the screen loop measures how long a step takes"
)]

use std::collections::VecDeque;
use std::io;
use std::sync::Arc;
use std::sync::mpsc;
use std::sync::mpsc::RecvTimeoutError;
use std::thread;
use std::time::Duration;
use std::time::Instant;

use ratatui::DefaultTerminal;
use ratatui::crossterm::event;
use ratatui::crossterm::event::Event;
use ratatui::layout::Position;
use ratatui::layout::Rect;

use crate::tui::desk::Desk;
use crate::tui::keymap;
use crate::tui::msg::Effect;
use crate::tui::msg::Msg;
use crate::tui::perform;
use crate::tui::perform::StepClock;
use crate::tui::state::State;
use crate::tui::update::update;
use crate::tui::view::opening;
use crate::tui::view::screen;

/// How long the loop waits for a key before it looks at the signals.
const TICK: Duration = Duration::from_millis(200);

/// How long the program may take to end by itself after the terminal went away.
#[cfg(unix)]
const GRACE: Duration = Duration::from_secs(2);

/// How long the loop waits for the shop before it looks at keys and signals.
const GLANCE: Duration = Duration::from_millis(30);

/// How long opening may take before the screen says how far it has come.
const LONG: Duration = Duration::from_millis(150);

/// Opens the screen, greets or opens `person`'s home, and returns when the person leaves.
pub fn run(desk: &mut dyn Desk, person: Option<&str>) -> io::Result<()> {
    on_the_terminal(|terminal, signals| {
        let ending = session(terminal, desk, person, signals, VecDeque::new());
        desk.leave();
        ending
    })
}

/// Opens the screen at once, and the shop behind it; then goes on as [`run`] does at the desk and the
/// person that `seat` makes of the shop.
///
/// `open` runs on a thread of its own and must only read: who leaves meanwhile does not wait for it.
/// `progress` tells the bytes read so far, and all there are. Returns the error of `open` once the
/// terminal is given back.
pub fn run_opening<T, E, D>(
    open: impl FnOnce() -> Result<T, E> + Send + 'static,
    progress: &dyn Fn() -> (u64, u64),
    seat: impl FnOnce(T) -> (D, Option<String>),
) -> io::Result<Result<(), E>>
where
    T: Send + 'static,
    E: Send + 'static,
    D: Desk,
{
    let mut failed = None;
    on_the_terminal(|terminal, signals| {
        let mut early = VecDeque::new();
        match opened(terminal, open, progress, signals, &mut early)? {
            Opened::Shop(shop) => {
                let (mut desk, person) = seat(shop);
                let ending = session(terminal, &mut desk, person.as_deref(), signals, early);
                desk.leave();
                ending
            }
            Opened::Failed(error) => {
                failed = Some(error);
                Ok(Ending::Left)
            }
            Opened::Never(ending) => Ok(ending),
        }
    })?;
    Ok(failed.map_or(Ok(()), Err))
}

/// Takes the terminal, has `act` use it, and gives it back.
fn on_the_terminal(
    act: impl FnOnce(&mut DefaultTerminal, &Signals) -> io::Result<Ending>,
) -> io::Result<()> {
    let signals = Signals::watch()?;
    let under_way = Arc::new(());
    watch_for_hang_up(Arc::downgrade(&under_way));
    let mut terminal = ratatui::try_init()?;
    let outcome = act(&mut terminal, &signals);
    let shown = terminal.show_cursor();
    let restored = ratatui::try_restore();
    if shown.is_err() {
        // Dropped, it would complain to a terminal that is gone, and panic over that.
        std::mem::forget(terminal);
    }
    match outcome {
        Ok(Ending::FromOutside) => Ok(()),
        Err(_) if is_gone() => Ok(()),
        Ok(Ending::Left) => shown.and(restored),
        Err(error) => Err(error),
    }
}

/// How a session ended.
enum Ending {
    /// The person left.
    Left,
    /// A signal, or the terminal went away: it may be beyond restoring.
    FromOutside,
}

/// What came of opening.
enum Opened<T, E> {
    /// The shop.
    Shop(T),
    /// It could not be opened.
    Failed(E),
    /// The session ended before.
    Never(Ending),
}

/// Opens the shop on another thread and says so on the screen; keys for later are put into `early`.
fn opened<T: Send + 'static, E: Send + 'static>(
    terminal: &mut DefaultTerminal,
    open: impl FnOnce() -> Result<T, E> + Send + 'static,
    progress: &dyn Fn() -> (u64, u64),
    signals: &Signals,
    early: &mut VecDeque<Event>,
) -> io::Result<Opened<T, E>> {
    // Drawn first: should opening panic at once, no frame may fall on the words of the panic.
    terminal.draw(|frame| opening::draw(None, frame))?;
    let (sender, receiver) = mpsc::channel();
    let opener = thread::spawn(move || drop(sender.send(open())));
    let began = Instant::now();
    loop {
        match receiver.recv_timeout(GLANCE) {
            Ok(Ok(shop)) => return Ok(Opened::Shop(shop)),
            Ok(Err(error)) => return Ok(Opened::Failed(error)),
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => match opener.join() {
                Err(panic) => std::panic::resume_unwind(panic),
                Ok(()) => return Err(io::Error::other("the shop was not opened")),
            },
        }
        if signals.raised() || !terminal_is_there(Duration::ZERO)? {
            return Ok(Opened::Never(Ending::FromOutside));
        }
        while event::poll(Duration::ZERO)? {
            let event = event::read()?;
            if let Event::Key(key) = event
                && keymap::leaves(key)
            {
                return Ok(Opened::Never(Ending::Left));
            }
            early.push_back(event);
        }
        let come = (LONG < began.elapsed()).then(progress);
        terminal.draw(|frame| opening::draw(come, frame))?;
    }
}

fn session(
    terminal: &mut DefaultTerminal,
    desk: &mut dyn Desk,
    person: Option<&str>,
    signals: &Signals,
    mut early: VecDeque<Event>,
) -> io::Result<Ending> {
    let origin = Instant::now();
    let size = terminal.size()?;
    let mut state = State::new(size.width, size.height);
    let mut clock = StepClock::default();
    let mut work: VecDeque<Effect> = VecDeque::from([Effect::People]);
    work.extend(person.map(|person| Effect::Home(person.to_owned())));
    work.extend(person.and_then(|_| desk.opens_with()));
    let mut changed = true;
    loop {
        while let Some(effect) = work.pop_front() {
            changed = true;
            match effect {
                Effect::Suspend => suspend(terminal)?,
                Effect::Redraw => blank(terminal)?,
                _ => {}
            }
            let answer = perform::perform(desk, &effect, &mut clock, origin.elapsed());
            if let Some(msg) = answer {
                work.extend(update(&mut state, &msg));
            }
        }
        if state.ended {
            return Ok(Ending::Left);
        }
        if signals.raised() {
            return Ok(Ending::FromOutside);
        }
        if changed {
            let size = terminal.size()?;
            update(&mut state, &Msg::Resize(size.width, size.height));
            terminal.draw(|frame| screen::draw(&state, frame))?;
            changed = false;
        }
        // Keys that came together wait in the event reader, not in the terminal: it is asked first.
        if !terminal_is_there(Duration::ZERO)? {
            return Ok(Ending::FromOutside);
        }
        let event = match early.pop_front() {
            Some(event) => event,
            None if event::poll(Duration::ZERO)? => event::read()?,
            None if rested(desk, &mut state) => {
                changed = true;
                continue;
            }
            None if terminal_is_there(TICK)? => {
                work.extend(crate::tui::intake::asks_again(&state));
                work.extend(crate::tui::plan::asks_again(&state));
                continue;
            }
            None => return Ok(Ending::FromOutside),
        };
        let msg = match event {
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

/// Lets the desk do what can wait until no key does; tells whether there is something new to show.
fn rested(desk: &mut dyn Desk, state: &mut State) -> bool {
    desk.rest().is_some_and(|why| {
        update(state, &Msg::DraftNotKept(why));
        true
    })
}

/// Clears the window so that the next frame is drawn whole.
fn blank(terminal: &mut DefaultTerminal) -> io::Result<()> {
    let size = terminal.size()?;
    terminal.resize(Rect::from((Position::ORIGIN, size)))
}

/// Waits for input, a signal or the end of `wait`; false once the terminal is gone.
///
/// The event reader must not be asked after the terminal went away: it would read nothing for ever,
/// deaf to signals.
#[cfg(unix)]
fn terminal_is_there(wait: Duration) -> io::Result<bool> {
    let wait = rustix::event::Timespec {
        tv_sec: 0,
        tv_nsec: i64::from(wait.subsec_nanos()),
    };
    match hung_up(rustix::event::PollFlags::IN, Some(&wait)) {
        Ok(gone) => Ok(!gone),
        Err(rustix::io::Errno::INTR) => Ok(true),
        Err(error) => Err(error.into()),
    }
}

/// Waits for what is wanted of the terminal and tells whether it is gone.
#[cfg(unix)]
fn hung_up(
    wanted: rustix::event::PollFlags,
    longest: Option<&rustix::event::Timespec>,
) -> rustix::io::Result<bool> {
    use std::io::IsTerminal as _;

    use rustix::event::PollFd;
    use rustix::event::PollFlags;

    // With something else on standard input the keys still come from the terminal.
    let terminal = if io::stdin().is_terminal() {
        rustix::stdio::stdin()
    } else {
        rustix::stdio::stdout()
    };
    let mut watched = [PollFd::new(&terminal, wanted)];
    rustix::event::poll(&mut watched, longest)?;
    let gone = PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL;
    Ok(watched[0].revents().intersects(gone))
}

/// Tells whether the terminal is gone by now.
#[cfg(unix)]
fn is_gone() -> bool {
    let at_once = rustix::event::Timespec {
        tv_sec: 0,
        tv_nsec: 0,
    };
    hung_up(rustix::event::PollFlags::empty(), Some(&at_once)).unwrap_or(false)
}

/// Ends the program where the terminal goes away in the very moment in which the event reader looks
/// for a key: the reader then never comes back.
///
/// Nothing is lost by it: an answer that was acknowledged is on the disk.
#[cfg(unix)]
fn watch_for_hang_up(over: std::sync::Weak<()>) {
    std::thread::spawn(move || {
        loop {
            match hung_up(rustix::event::PollFlags::empty(), None) {
                Ok(true) => break,
                Ok(false) | Err(rustix::io::Errno::INTR) => {}
                Err(_) => return,
            }
        }
        // The loop ends by itself as a rule; an answer being written gets the time it needs.
        std::thread::sleep(GRACE);
        if over.strong_count() > 0 {
            std::process::exit(0);
        }
    });
}

/// Waits for input or the end of `wait`.
#[cfg(not(unix))]
fn terminal_is_there(wait: Duration) -> io::Result<bool> {
    event::poll(wait)?;
    Ok(true)
}

/// This platform does not say whether the terminal is gone.
#[cfg(not(unix))]
fn is_gone() -> bool {
    false
}

/// There is nothing to watch here.
#[cfg(not(unix))]
fn watch_for_hang_up(_: std::sync::Weak<()>) {}

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
    blank(terminal)
}

/// There is nothing to suspend to here: draws anew.
#[cfg(not(unix))]
fn suspend(terminal: &mut DefaultTerminal) -> io::Result<()> {
    blank(terminal)
}

/// Whether someone outside asked the program to end.
#[cfg(unix)]
struct Signals {
    raised: Arc<std::sync::atomic::AtomicBool>,
    ids: Vec<signal_hook::SigId>,
}

#[cfg(unix)]
impl Signals {
    fn watch() -> io::Result<Self> {
        use signal_hook::consts::SIGHUP;
        use signal_hook::consts::SIGINT;
        use signal_hook::consts::SIGTERM;

        let raised = Arc::default();
        let ids = [SIGTERM, SIGHUP, SIGINT]
            .into_iter()
            .map(|signal| signal_hook::flag::register(signal, Arc::clone(&raised)))
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
