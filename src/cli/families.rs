//! `families`: the circuit families of the shop, or the built-in ones where there is no shop.

use std::io::Write;

use serde_json::json;

use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::circuit::Circuits;
use crate::domain::circuit::Family;
use crate::domain::text::clean;

/// Print the circuit families, their signs and what to measure first
#[derive(clap::Args, Clone, Debug)]
pub struct FamiliesArgs {
    /// Family to print; all of them without it
    pub family: Option<String>,
    /// Print JSON, one object a family
    #[arg(long)]
    pub json: bool,
}

/// Prints the families.
pub fn run(args: &FamiliesArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let circuits = if around.has_shop()? {
        around.workbench()?.shop.circuits()
    } else {
        Circuits::with_shop(&[], false)
    };
    let wanted: Vec<&Family> = circuits
        .all()
        .iter()
        .filter(|f| args.family.as_ref().is_none_or(|id| *id == f.id))
        .collect();
    if wanted.is_empty() {
        let ids: Vec<&str> = circuits.all().iter().map(|f| f.id.as_str()).collect();
        return Err(Failure::usage(format!(
            "no circuit family is called {:?}",
            args.family.as_deref().unwrap_or_default()
        ))
        .hint(format!("they are {}", ids.join(", "))));
    }
    for family in wanted {
        if args.json {
            let boundary: Vec<_> = family
                .boundary
                .iter()
                .map(|(from, rule)| json!({ "from": from, "rule": rule }))
                .collect();
            let line = json!({
                "v": 1, "id": family.id, "name": family.name, "belongs": family.belongs,
                "signs": family.signs, "first_measurement": family.first_measurement,
                "failures": family.failures, "confused_with": family.confused_with,
                "boundary": boundary, "caution": family.caution,
            });
            output::line(out, &line)?;
        } else {
            print(family, out)?;
        }
    }
    Ok(Exit::Done)
}

fn print(family: &Family, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(out, "{}: {}", clean(&family.id), clean(&family.name))?;
    let mut line = |label: &str, text: &str| -> Result<(), Failure> {
        if !text.is_empty() {
            writeln!(out, "  {label}: {}", clean(text))?;
        }
        Ok(())
    };
    line("Caution", family.caution.as_deref().unwrap_or_default())?;
    line("Belongs here", &family.belongs)?;
    line("Signs", &family.signs.join(" "))?;
    line("First measurement", &family.first_measurement)?;
    line("Usual failures", &family.failures.join(" "))?;
    line("Often confused with", &family.confused_with.join(", "))?;
    for (from, rule) in &family.boundary {
        line(&format!("From {from}"), rule)?;
    }
    Ok(())
}
