//! `demo`: a practice shop of invented jobs, in the person's data folder, never in the checkout.

use std::io::Write;
use std::path::PathBuf;

use crate::app::archive;
use crate::app::demo;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::screen;
use crate::store::paths::ShopFolder;

/// Make the practice shop and open it
///
/// The shop is invented: a harbour-side bench, its boards and its closed jobs. It is made once, in your
/// data folder; later calls go on with it.
#[derive(clap::Args, Clone, Debug)]
pub struct DemoArgs {
    /// Make it in this folder instead of your data folder
    #[arg(long, value_name = "DIR")]
    pub into: Option<PathBuf>,
    /// Make a new one beside the one that is there, which stays as it is
    #[arg(long)]
    pub fresh: bool,
    /// Make it, say where it is, and end without opening it
    #[arg(long)]
    pub plain: bool,
}

/// Makes the practice shop and opens the screen.
pub fn run(args: &DemoArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let folder = args
        .into
        .clone()
        .or_else(|| around.data_shop())
        .ok_or_else(|| {
            Failure::failed("this computer has no folder for a program's data")
                .hint("say where the practice shop goes with --into DIR")
        })?;
    let now = around.clock.now();
    let made = demo::make(around.disk.as_ref(), &folder, args.fresh, now)?;
    let workbench = around.open(ShopFolder::new(made.folder.clone()))?;
    // A run that died before the deck was built is gone on with.
    let built = workbench
        .decks
        .iter()
        .any(|d| d.deck == archive::DEFAULT_DECK);
    if made.new || !built {
        let built = archive::build(&workbench, &demo::deck(), now)?;
        writeln!(
            out,
            "Made the practice shop in {}: {} cards from {} jobs",
            made.folder.display(),
            built.cards,
            built.jobs
        )?;
    } else {
        writeln!(
            out,
            "Going on with the practice shop in {}",
            made.folder.display()
        )?;
    }
    if args.plain || !around.environment.output_is_terminal {
        let folder = made.folder.display();
        writeln!(out, "Drill in it: benchlore --shop {folder} people add MK")?;
        writeln!(
            out,
            "             benchlore --shop {folder} drill --person mk --plain"
        )?;
        return Ok(Exit::Done);
    }
    out.flush()?;
    screen::open(around.open(ShopFolder::new(made.folder))?, None, around)
}
