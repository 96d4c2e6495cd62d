//! `gaps`: what spot checks say a person knows, family by family, as text, JSON or a table.

use std::io::Write;

use serde_json::Value;
use serde_json::json;

use crate::app::gap_lines;
use crate::app::gaps;
use crate::app::gaps::GapLine;
use crate::app::gaps::Gaps;
use crate::cli::environment;
use crate::cli::environment::Around;
use crate::cli::failure::Exit;
use crate::cli::failure::Failure;
use crate::cli::output;
use crate::domain::axis;
use crate::domain::gaps::order::Against;
use crate::domain::gaps::row::Row;
use crate::domain::gaps::row::Share;
use crate::domain::text::guard;

/// What `--json` and `--csv` hold, for the help.
const SHAPES: &str = "\
--json prints one object a person: {\"v\":1, \"person\", \"days\" (0 for all), \"from\", \"to\", \"all\", \
\"families\"}. \"all\" and each family hold \"state\" (unmeasured, not-enough, measured); \"circuit\" and \
\"fix\" (typed only) as {\"right\", \"asked\", \"state\", \"share\", \"low\", \"high\"}, the last three null \
until the 95 % interval (Wilson) is at most 40 points wide; \"on_cards\", \"aloud\", \"overruled\", \
\"sure_and_wrong\", \"said_for_others\"; \"confused\" [{\"asked\", \"said\", \"n\"}]; \"expected\" {\"of\", \
\"recalled_expected\", \"low\", \"high\", \"recalled\", \"brier\", \"log_loss\"} or null; \"seconds\" \
{\"circuit\", \"answer\"} or null, medians; \"cold\" {\"circuit\", \"fix\"}, first meetings; \"held\" \
{\"cards\", \"met\", \"coverage\" (0 to 1, weighed by jobs), \"now\" {\"of\", \"recalled\", \"low\", \"high\"} \
or null}. A family also has \"id\", \"name\" and \"against_others\": lower, alike or higher than the person's \
other families together, null where not measured.

--csv prints a line a person and family, shares from 0 to 1, times in seconds.

Exit codes: 0 done, 1 failed, 2 wrong usage, 3 done and something is there to mend.";

/// Show which circuits a person knows, by spot checks alone
///
/// Spot checks are drawn whether a card is due or not, so they say what a person knows; the daily
/// drill does not. A share stands there only once its 95 % interval is at most 40 points wide, and
/// a circuit is called lower or higher only where its interval and that of all the others lie apart.
#[derive(clap::Args, Clone, Debug)]
#[command(after_long_help = SHAPES)]
pub struct GapsArgs {
    /// Show this person, as `people list` names them; may be left out where there is only one
    #[arg(long, value_name = "PERSON", conflicts_with = "everyone")]
    pub person: Option<String>,
    /// Show everyone side by side, in the order of their names, unranked
    #[arg(long)]
    pub everyone: bool,
    /// Count the last N days, today included; 0 counts all
    #[arg(long, value_name = "N", default_value_t = gaps::DAYS)]
    pub days: u32,
    /// Show only this circuit family, with everything known of it
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// Print JSON, one object a person
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print a table with commas, for a spreadsheet
    #[arg(long)]
    pub csv: bool,
}

/// Prints the gaps.
pub fn run(args: &GapsArgs, around: &Around<'_>, out: &mut dyn Write) -> Result<Exit, Failure> {
    let workbench = around.workbench()?;
    let now = around.clock.now();
    let family = args.family.as_deref();
    let people = if args.everyone {
        gaps::everyone(&workbench, args.days, family, now)?
    } else {
        let person = gaps::person(&workbench, args.person.as_deref())?;
        vec![gaps::gaps(&workbench, &person, args.days, family, now)?]
    };
    if args.json {
        for person in &people {
            output::line(out, &value(person))?;
        }
    } else if args.csv {
        write_csv(&people, out)?;
    } else if args.everyone {
        write_everyone(&people, out)?;
    } else {
        for person in &people {
            write_person(person, args.family.is_some(), out)?;
        }
    }
    let mut faults: Vec<&String> = people.iter().flat_map(|p| &p.faults).collect();
    faults.sort();
    faults.dedup();
    Ok(environment::mend(&faults))
}

/// Returns the bar and the words beside it.
fn drawn(share: Share) -> String {
    match share.told() {
        Some((at, limits)) => format!(
            "{}  {}",
            axis::bar(limits.low, at, limits.high),
            gap_lines::share(share)
        ),
        None => gap_lines::short(share),
    }
}

fn widest<'a>(names: impl Iterator<Item = &'a str>) -> usize {
    names.map(|name| name.chars().count()).max().unwrap_or(0) + 2
}

fn write_person(gaps: &Gaps, one_family: bool, out: &mut dyn Write) -> Result<(), Failure> {
    writeln!(
        out,
        "Gaps: {}, {}, spot checks only",
        gaps.initials,
        gap_lines::span(gaps)
    )?;
    let ids = gaps.lines.iter().map(|line| line.id.as_str());
    let wide = widest(ids.chain(["all"]));
    writeln!(out, "{:wide$}{}", "", axis::HEAD)?;
    for (i, line) in gaps.lines.iter().enumerate() {
        writeln!(out, "{:wide$}{}", line.id, drawn(line.row.circuit))?;
        let ends = gaps
            .lines
            .get(i + 1)
            .is_none_or(|next| next.against != line.against);
        if let Some(words) = gap_lines::standing(line).filter(|_| ends && !one_family) {
            writeln!(out, "{:wide$}{words}", "")?;
        }
    }
    if one_family {
        for line in &gaps.lines {
            writeln!(out)?;
            write_facts(&line.id, &line.row, Some(line), out)?;
        }
        return Ok(());
    }
    writeln!(out, "{:wide$}{}", "all", drawn(gaps.whole.circuit))?;
    writeln!(out)?;
    write_facts("All circuits", &gaps.whole, None, out)?;
    if !gaps.whole.confused.is_empty() {
        writeln!(out)?;
        writeln!(out, "Taken for another")?;
        for pair in &gaps.whole.confused {
            writeln!(
                out,
                "  {}, said {}: {}",
                crate::domain::text::clean(&pair.asked),
                gaps::said_words(&pair.said),
                pair.n
            )?;
        }
    }
    Ok(())
}

fn write_facts(
    head: &str,
    row: &Row,
    line: Option<&GapLine>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    writeln!(out, "{head}")?;
    let name = line.map(|line| line.name.as_str());
    let buys = line.and_then(|line| line.buys.as_ref());
    for fact in gap_lines::facts(row, name, buys) {
        writeln!(out, "  {}: {}", fact.label, fact.text)?;
    }
    for card in line.map_or(&[][..], |line| &line.cards) {
        let said = match card.said.as_slice() {
            [] => String::new(),
            said => format!(", said {}", said.join(", ")),
        };
        writeln!(
            out,
            "  Card {}: {}, {}; circuit {} of {} right{said}; last {}",
            card.card, card.board, card.answer, card.circuit.right, card.circuit.asked, card.last
        )?;
    }
    Ok(())
}

fn write_everyone(people: &[Gaps], out: &mut dyn Write) -> Result<(), Failure> {
    let Some(first) = people.first() else {
        writeln!(out, "Nobody is here yet.")?;
        return Ok(());
    };
    writeln!(
        out,
        "Gaps: everyone, {}, spot checks only; in the order of names, no ranking",
        gap_lines::span(first)
    )?;
    let wide = widest(people.iter().map(|p| p.initials.as_str())) + 2;
    let mut write_family = |head: &str, of: &dyn Fn(&Gaps) -> Option<Share>| {
        writeln!(out, "{head}")?;
        for person in people {
            if let Some(share) = of(person) {
                writeln!(out, "  {:wide$}{}", person.initials, drawn(share))?;
            }
        }
        Ok::<(), Failure>(())
    };
    write_family(&format!("{:1$}{2}", "all", wide + 2, axis::HEAD), &|p| {
        Some(p.whole.circuit)
    })?;
    let mut seen: Vec<&str> = Vec::new();
    for line in people.iter().flat_map(|p| &p.lines) {
        if !seen.contains(&line.id.as_str()) {
            seen.push(&line.id);
        }
    }
    // By name: the order of one person's gaps would rank the others by them.
    seen.sort_unstable();
    for id in seen {
        write_family(id, &|p| {
            let line = p.lines.iter().find(|line| line.id == id)?;
            Some(line.row.circuit)
        })?;
    }
    Ok(())
}

/// Returns the JSON of one person.
fn value(gaps: &Gaps) -> Value {
    let families: Vec<Value> = gaps
        .lines
        .iter()
        .map(|line| {
            let mut value = row_value(&line.row);
            value["id"] = json!(line.id);
            value["name"] = json!(line.name);
            value["against_others"] = json!(line.against.map(Against::word));
            value
        })
        .collect();
    json!({
        "v": 1,
        "person": gaps.person,
        "days": gaps.days,
        "from": gaps.from.map(|day| day.to_string()),
        "to": gaps.to.to_string(),
        "all": row_value(&gaps.whole),
        "families": families,
    })
}

fn share_value(share: Share) -> Value {
    let told = share.told();
    json!({
        "right": share.right,
        "asked": share.asked,
        "state": share.state().word(),
        "share": told.map(|(at, _)| at),
        "low": told.map(|(_, limits)| limits.low),
        "high": told.map(|(_, limits)| limits.high),
    })
}

fn row_value(row: &Row) -> Value {
    let confused: Vec<Value> = row
        .confused
        .iter()
        .map(|pair| json!({ "asked": pair.asked, "said": pair.said, "n": pair.n }))
        .collect();
    json!({
        "state": row.circuit.state().word(),
        "circuit": share_value(row.circuit),
        "fix": share_value(row.fix),
        "on_cards": row.on_cards,
        "aloud": row.aloud,
        "overruled": row.overruled,
        "sure_and_wrong": row.sure_and_wrong,
        "said_for_others": row.said_for_others,
        "confused": confused,
        "expected": row.expected.map(|e| json!({
            "of": e.model.of, "recalled_expected": e.model.mean, "low": e.model.low,
            "high": e.model.high, "recalled": e.recalled, "brier": e.brier, "log_loss": e.log_loss,
        })),
        "seconds": row.seconds.map(|s| json!({ "circuit": s.circuit, "answer": s.answer })),
        "cold": { "circuit": share_value(row.cold_circuit), "fix": share_value(row.cold_fix) },
        "held": {
            "cards": row.held.cards,
            "met": row.held.met,
            "coverage": row.held.coverage,
            "now": row.held.now.map(|now| json!({
                "of": now.of, "recalled": now.mean, "low": now.low, "high": now.high,
            })),
        },
    })
}

/// The table's header: a name, and its unit where it has one.
const COLUMNS: [&str; 27] = [
    "person",
    "family",
    "state",
    "circuit right (n)",
    "circuit asked (n)",
    "circuit share (0 to 1)",
    "circuit low 95 % (0 to 1)",
    "circuit high 95 % (0 to 1)",
    "fix right typed (n)",
    "fix typed (n)",
    "fix share (0 to 1)",
    "fix low 95 % (0 to 1)",
    "fix high 95 % (0 to 1)",
    "said aloud (n)",
    "overruled (n)",
    "sure and wrong (n)",
    "said instead",
    "model expected recalled (n)",
    "recalled (n)",
    "forecasts (n)",
    "Brier (0 to 1)",
    "median to circuit (s)",
    "median to fix (s)",
    "cards met (n)",
    "cards (n)",
    "coverage by jobs (0 to 1)",
    "would know now (n)",
];

fn write_csv(people: &[Gaps], out: &mut dyn Write) -> Result<(), Failure> {
    write_cells(COLUMNS.iter().map(|c| (*c).to_owned()), out)?;
    for person in people {
        for line in &person.lines {
            let cells = csv_cells(&person.person, &line.id, &line.row);
            write_cells(cells.into_iter(), out)?;
        }
        if 1 < person.lines.len() {
            let cells = csv_cells(&person.person, "all", &person.whole);
            write_cells(cells.into_iter(), out)?;
        }
    }
    Ok(())
}

fn csv_cells(person: &str, family: &str, row: &Row) -> Vec<String> {
    let number = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.4}"));
    let share = |share: Share| {
        let told = share.told();
        [
            share.right.to_string(),
            share.asked.to_string(),
            number(told.map(|(at, _)| at)),
            number(told.map(|(_, limits)| limits.low)),
            number(told.map(|(_, limits)| limits.high)),
        ]
    };
    let expected = row.expected.as_ref();
    let whole = |n: Option<usize>| n.map_or_else(String::new, |n| n.to_string());
    let mut cells = vec![
        person.to_owned(),
        family.to_owned(),
        row.circuit.state().word().to_owned(),
    ];
    cells.extend(share(row.circuit));
    cells.extend(share(row.fix));
    cells.extend([
        row.aloud.to_string(),
        row.overruled.to_string(),
        row.sure_and_wrong.to_string(),
        if row.confused.is_empty() {
            String::new()
        } else {
            gap_lines::instead(&row.confused)
        },
        number(expected.map(|e| e.model.mean)),
        whole(expected.map(|e| e.recalled)),
        whole(expected.map(|e| e.model.of)),
        number(expected.map(|e| e.brier)),
        number(row.seconds.map(|s| s.circuit)),
        number(row.seconds.map(|s| s.answer)),
        row.held.met.to_string(),
        row.held.cards.to_string(),
        number(row.held.coverage),
        number(row.held.now.map(|now| now.mean)),
    ]);
    cells
}

fn write_cells(cells: impl Iterator<Item = String>, out: &mut dyn Write) -> Result<(), Failure> {
    let cells: Vec<String> = cells.map(|cell| csv_cell(&cell)).collect();
    write!(out, "{}\r\n", cells.join(","))?;
    Ok(())
}

/// Returns a cell that a spreadsheet takes for text, whatever it begins with.
///
/// Commas, quotes and line ends are quoted as RFC 4180 says; [`guard`] keeps formulas out.
fn csv_cell(text: &str) -> String {
    let cell = guard(text);
    if cell.contains([',', '"', '\n', '\r']) {
        return format!("\"{}\"", cell.replace('"', "\"\""));
    }
    cell
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_never_becomes_a_formula() {
        for (text, cell) in [
            ("buck", "buck"),
            ("=1+1", "'=1+1"),
            ("+a", "'+a"),
            ("-buck", "'-buck"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\tx", "'\tx"),
            ("\r=1", "\"'\r=1\""),
            (
                "=HYPERLINK(\"a\",\"b\")",
                "\"'=HYPERLINK(\"\"a\"\",\"\"b\"\")\"",
            ),
            ("core 9, buck 6", "\"core 9, buck 6\""),
            ("0.5", "0.5"),
        ] {
            assert_eq!(csv_cell(text), cell, "{text:?}");
        }
    }
}
