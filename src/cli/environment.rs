//! What surrounds a command: environment, terminal, standard streams, read once.
#![expect(
    clippy::disallowed_methods,
    reason = "the one place where the command line touches its surroundings"
)]

use std::io::BufRead;
use std::io::IsTerminal;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;

use etcetera::BaseStrategy;
use rand::TryRng;
use rand::rngs::SysRng;

use crate::app::jobs::export;
use crate::app::trace::SetupError;
use crate::app::workbench::Workbench;
use crate::app::workbench::chain;
use crate::cli::Arguments;
use crate::cli::clock::Clock;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::failure::NO_BENCH;
use crate::cli::told_once;
use crate::cli::trace;
use crate::domain::ids;
use crate::store::disk::Disk;
use crate::store::disk::RealDisk;
use crate::store::error::StoreError;
use crate::store::paths;
use crate::store::paths::ShopFolder;
use crate::store::tapes::Tapes;

/// The values a command takes from the computer.
#[derive(Clone, Debug, Default)]
pub struct Environment {
    /// `BENCHLORE_SHOP`.
    pub shop: Option<PathBuf>,
    /// `BENCHLORE_BENCH`.
    pub bench: Option<String>,
    /// The platform's data folder for this program.
    pub data: Option<PathBuf>,
    /// The folder the command was started in.
    pub here: Option<PathBuf>,
    /// Standard input is a terminal.
    pub input_is_terminal: bool,
    /// Standard output is a terminal that can draw.
    pub output_is_terminal: bool,
}

impl Environment {
    /// Reads the surroundings.
    pub fn read() -> Self {
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        Self {
            shop: std::env::var_os("BENCHLORE_SHOP").map(PathBuf::from),
            bench: std::env::var("BENCHLORE_BENCH")
                .ok()
                .filter(|b| !b.is_empty()),
            data: etcetera::choose_base_strategy()
                .ok()
                .map(|s| s.data_dir().join("benchlore")),
            here: std::env::current_dir().ok(),
            input_is_terminal: std::io::stdin().is_terminal(),
            output_is_terminal: std::io::stdout().is_terminal() && !dumb,
        }
    }
}

/// One command's surroundings: what its options and the environment say together.
#[derive(Clone)]
pub struct Around<'a> {
    /// The environment.
    pub environment: &'a Environment,
    /// The disk.
    pub disk: Arc<dyn Disk>,
    /// The clock.
    pub clock: Clock,
    told: Option<&'a Path>,
    seed: Option<u64>,
}

/// A shop that was found and is to be opened with its journals.
pub struct Opening {
    disk: Arc<dyn Disk>,
    folder: ShopFolder,
    bench: String,
    /// Where the journals come to lie.
    pub tapes: Arc<Tapes>,
}

impl Opening {
    /// Opens it.
    pub fn open(self) -> Result<Workbench, Failure> {
        Ok(Workbench::open_with_journals(
            self.disk,
            self.folder,
            self.bench,
            self.tapes,
        )?)
    }
}

impl<'a> Around<'a> {
    /// Returns the surroundings of one command.
    pub fn new(arguments: &'a Arguments, environment: &'a Environment) -> Self {
        Self {
            environment,
            disk: Arc::new(RealDisk),
            clock: Clock::new(arguments.as_of),
            told: arguments.shop.as_deref(),
            seed: arguments.seed,
        }
    }

    /// Returns the seed given with `--seed`.
    pub fn given_seed(&self) -> Option<u64> {
        self.seed
    }

    /// Tells whether there is a shop to open.
    pub fn has_shop(&self) -> Result<bool, Failure> {
        Ok(self.told.is_some() || self.environment.shop.is_some() || self.find().is_ok())
    }

    /// Returns the seed given, or one made from the time.
    pub fn seed(&self) -> u64 {
        self.seed
            .unwrap_or_else(|| ids::seed([self.clock.now().to_rfc3339().as_str()]))
    }

    /// Returns a key for marks of units, drawn by chance: 32 hexadecimal digits.
    pub fn unit_key(&self) -> Result<String, Failure> {
        let half = |half: &str| match self.seed {
            Some(seed) => Ok(ids::seed(["unit key", half, &seed.to_string()])),
            None => SysRng
                .try_next_u64()
                .map_err(|error| Failure::failed(format!("no chance to draw a key from: {error}"))),
        };
        Ok(format!("{:016x}{:016x}", half("first")?, half("second")?))
    }

    /// Finds the shop without opening it: it may be damaged.
    pub fn folder(&self) -> Result<ShopFolder, Failure> {
        self.find()
    }

    /// Returns a path as seen from the folder the command was started in.
    pub fn from_here(&self, path: &Path) -> PathBuf {
        match &self.environment.here {
            Some(here) => here.join(path),
            None => path.to_owned(),
        }
    }

    /// Writes `text` into `file`, a path as seen from here, outside the shop.
    pub fn write_outside(
        &self,
        workbench: &Workbench,
        file: &Path,
        text: &str,
        replace: bool,
    ) -> Result<(), Failure> {
        let mut shop = workbench.clone();
        shop.folder = ShopFolder::new(self.from_here(shop.folder.root()));
        Ok(export::write(&shop, file, text, replace)?)
    }

    /// Finds and opens the shop.
    pub fn workbench(&self) -> Result<Workbench, Failure> {
        self.open(self.find()?)
    }

    /// Finds and opens the shop to build a deck.
    pub fn workbench_to_build(&self, deck: &str) -> Result<Workbench, Failure> {
        let (disk, folder) = (Arc::clone(&self.disk), self.find()?);
        Ok(Workbench::open_to_build(
            disk,
            folder,
            self.bench_or_none()?,
            deck,
        )?)
    }

    /// Finds and opens the shop for someone's drill: the journals are read with it.
    pub fn workbench_for_drill(&self) -> Result<Workbench, Failure> {
        self.opening()?.open()
    }

    /// Finds the shop for someone's drill; another thread may open it.
    pub fn opening(&self) -> Result<Opening, Failure> {
        let bench = self.bench()?;
        Ok(Opening {
            disk: Arc::clone(&self.disk),
            folder: self.find()?,
            bench,
            tapes: Arc::default(),
        })
    }

    fn find(&self) -> Result<ShopFolder, Failure> {
        // The data folder may be a shop itself; else the practice shop in it is meant.
        let own = self
            .environment
            .data
            .as_ref()
            .map(|data| ShopFolder::new(data.clone()));
        let data = match own {
            // A data folder that cannot be read is none: the shop may be somewhere else.
            Some(own) if self.disk.exists(&own.shop_json()).unwrap_or(false) => {
                Some(own.root().to_owned())
            }
            _ => self.data_shop(),
        };
        paths::find_shop(
            self.disk.as_ref(),
            paths::Surroundings {
                told: self.told,
                environment: self.environment.shop.as_deref(),
                here: self.environment.here.as_deref(),
                data: data.as_deref(),
            },
        )
        .map_err(|error| {
            Failure::failed(error.to_string()).hint(
                "name a shop folder with --shop DIR, or run `benchlore demo` for a practice shop",
            )
        })
    }

    /// Opens the shop in `folder`.
    pub fn open(&self, folder: ShopFolder) -> Result<Workbench, Failure> {
        let bench = self.bench_or_none()?;
        Ok(Workbench::open(Arc::clone(&self.disk), folder, bench)?)
    }

    /// Reading needs no id of this bench; where none can be kept, whatever writes says so.
    fn bench_or_none(&self) -> Result<String, Failure> {
        match self.bench() {
            Err(failure) if failure.exit == Exit::Failed => Ok(NO_BENCH.to_owned()),
            bench => bench,
        }
    }

    /// Returns where the practice shop lives unless told otherwise.
    pub fn data_shop(&self) -> Option<PathBuf> {
        self.environment
            .data
            .as_ref()
            .map(|data| data.join("practice-shop"))
    }

    /// Draws a key for the marks of units, 32 hexadecimal digits: by chance, or from the seed given.
    pub fn draw_key(&self) -> Result<String, Failure> {
        draw_key(self.seed)
    }

    /// Returns this computer's bench id, made at first run and kept outside the shop.
    fn bench(&self) -> Result<String, Failure> {
        let told = self.environment.bench.as_deref();
        let Some(data) = &self.environment.data else {
            return told.map(str::to_owned).ok_or_else(|| {
                Failure::failed("this computer has no folder for a program's data")
                    .hint("set BENCHLORE_BENCH to a short name of this bench, such as b7")
            });
        };
        let drawn = SysRng.try_next_u64().map_err(|error| {
            Failure::failed(format!("no chance to draw a bench id from: {error}"))
        })?;
        let candidate = format!("b{:08x}", drawn >> 32);
        let file = data.join("bench");
        crate::store::bench::bench_id(self.disk.as_ref(), &file, told, &candidate).map_err(
            |error| match (error, told) {
                (StoreError::Name(bad), Some(_)) => {
                    Failure::usage(format!("BENCHLORE_BENCH: {bad}"))
                        .hint("give this bench a short name, such as b7")
                }
                (StoreError::Name(bad), None) => {
                    Failure::failed(format!("{}: {bad}", file.display()))
                        .hint("write this bench's id into it, such as b7")
                }
                (error, _) => error.into(),
            },
        )
    }
}

/// Draws a key for the marks of units, 32 hexadecimal digits: by chance, or from a seed.
pub fn draw_key(seed: Option<u64>) -> Result<String, Failure> {
    if let Some(seed) = seed {
        let text = seed.to_string();
        let half = |part: &str| ids::seed(["unit key", part, text.as_str()]);
        return Ok(format!("{:016x}{:016x}", half("first"), half("second")));
    }
    let draw = || SysRng.try_next_u64();
    let both = draw().and_then(|first| Ok((first, draw()?)));
    let (first, second) = both.map_err(|error| {
        Failure::failed(format!("no chance to draw a key for units from: {error}"))
    })?;
    Ok(format!("{first:016x}{second:016x}"))
}

/// Tells on standard error how far long work has come, where that is a terminal.
#[derive(Debug)]
pub struct Meter {
    shows: bool,
    shown: bool,
    from: Option<Instant>,
}

/// Returns a meter for work that is about to begin.
pub fn progress() -> Meter {
    Meter {
        shows: std::io::stderr().is_terminal(),
        shown: false,
        from: None,
    }
}

/// Returns a meter that says nothing of work that is done within half a second.
pub fn late_progress() -> Meter {
    Meter {
        from: Instant::now().checked_add(Duration::from_millis(500)),
        ..progress()
    }
}

impl Meter {
    /// Shows the step, every so often.
    pub fn step(&mut self, what: &str, n: usize, all: usize) {
        if n.is_multiple_of(16) {
            self.always(what, n, all);
        }
    }

    /// Shows the step, for work that tells few.
    pub fn always(&mut self, what: &str, n: usize, all: usize) {
        if self.shows {
            self.shown = true;
            drop(write!(std::io::stderr(), "\r\x1b[K{what} {n}/{all}"));
        }
    }

    /// Shows a bar of what is done, and how much that is.
    pub fn bar(&mut self, what: &str, n: u64, all: u64) {
        const WIDE: u64 = 30;
        let early = self.from.is_some_and(|from| Instant::now() < from);
        if self.shows && !early {
            self.shown = true;
            let done = (n * WIDE).checked_div(all).unwrap_or(WIDE).min(WIDE);
            let of = |times: u64, c: &str| c.repeat(usize::try_from(times).unwrap_or(0));
            let (done, rest) = (of(done, "#"), of(WIDE - done, "."));
            drop(write!(
                std::io::stderr(),
                "\r\x1b[K[{done}{rest}] {what} {n}/{all}"
            ));
        }
    }

    /// Clears the line.
    pub fn end(&mut self) {
        if self.shown {
            drop(write!(std::io::stderr(), "\r\x1b[K"));
        }
    }
}

/// Whether someone asked a long piece of work to end.
pub struct Interrupt {
    raised: Arc<std::sync::atomic::AtomicBool>,
    #[cfg(unix)]
    ids: Vec<signal_hook::SigId>,
}

impl Interrupt {
    /// Watches from now on, in place of ending at once.
    pub fn watch() -> std::io::Result<Self> {
        let raised = Arc::default();
        Ok(Self {
            #[cfg(unix)]
            ids: [
                signal_hook::consts::SIGINT,
                signal_hook::consts::SIGTERM,
                signal_hook::consts::SIGHUP,
            ]
            .into_iter()
            .map(|signal| signal_hook::flag::register(signal, Arc::clone(&raised)))
            .collect::<std::io::Result<Vec<_>>>()?,
            raised,
        })
    }

    /// Tells whether someone did.
    pub fn raised(&self) -> bool {
        self.raised.load(std::sync::atomic::Ordering::Relaxed)
    }
}

#[cfg(unix)]
impl Drop for Interrupt {
    fn drop(&mut self) {
        for id in self.ids.drain(..) {
            signal_hook::low_level::unregister(id);
        }
    }
}

/// Reads one line that a person types, where standard input is a terminal.
pub fn typed_line() -> std::io::Result<String> {
    let mut line = String::new();
    std::io::stdin().read_line(&mut line)?;
    Ok(line)
}

/// Writes to standard error; where that is gone there is no one to tell.
pub fn complain(text: &str) {
    drop(writeln!(std::io::stderr(), "{text}"));
}

/// Names what there is to mend, what many lines of a file have only once, and returns what the shell is
/// told.
pub fn mend<T: AsRef<str>>(faults: &[T]) -> Exit {
    let all: Vec<&str> = faults.iter().map(AsRef::as_ref).collect();
    for line in told_once::lines(&all) {
        complain(&line);
    }
    if faults.is_empty() {
        Exit::Done
    } else {
        Exit::ToMend
    }
}

/// Returns the processor time that this program has taken so far; the time gone by where the system
/// does not tell.
pub fn cpu_time() -> Duration {
    #[cfg(unix)]
    {
        let spent = rustix::time::clock_gettime(rustix::time::ClockId::ProcessCPUTime);
        Duration::try_from(spent).unwrap_or_default()
    }
    #[cfg(not(unix))]
    {
        static START: std::sync::LazyLock<Instant> = std::sync::LazyLock::new(Instant::now);
        START.elapsed()
    }
}

/// Opens a file for reading line by line, or standard input for `-`.
pub fn open_text(path: &str) -> Result<Box<dyn BufRead>, Failure> {
    if path == "-" {
        return Ok(Box::new(std::io::stdin().lock()));
    }
    let file = std::fs::File::open(path)
        .map_err(|error| Failure::failed(format!("cannot read {path}: {error}")))?;
    Ok(Box::new(std::io::BufReader::new(file)))
}

/// Reads a whole file, or standard input for `-`.
pub fn read_text(path: &str) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    if path == "-" {
        std::io::stdin().lock().read_to_end(&mut bytes)?;
    } else {
        bytes = std::fs::read(path)
            .map_err(|error| Failure::failed(format!("cannot read {path}: {error}")))?;
    }
    if bytes.starts_with(b"\xef\xbb\xbf") {
        bytes.drain(..3);
    }
    String::from_utf8(bytes).map_err(|error| {
        Failure::failed(format!(
            "{path}: not UTF-8 at byte {}",
            error.utf8_error().valid_up_to()
        ))
    })
}

/// Runs `trace`.
pub fn trace(args: &trace::TraceArgs, out: &mut dyn Write) -> Result<Exit, Failure> {
    let input = read_text(&args.file)?;
    let weights = args
        .weights
        .as_ref()
        .map(|path| read_text(&path.to_string_lossy()))
        .transpose()?;
    let faults =
        trace::run(args, &input, weights.as_deref(), out).map_err(|error| match error {
            trace::TraceError::Output(error) => Failure::from(error),
            trace::TraceError::Setup(error) => match &args.weights {
                Some(file) if !matches!(error, SetupError::Target(_)) => {
                    Failure::usage(format!("{}: {}", file.display(), chain(&error)))
                        .hint("leave --weights out to trace with the published ones")
                }
                _ => Failure::usage(chain(&error)),
            },
        })?;
    let of_file = |fault| format!("{}: {fault}", args.file);
    Ok(mend(&faults.iter().map(of_file).collect::<Vec<_>>()))
}
