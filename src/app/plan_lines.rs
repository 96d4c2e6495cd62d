//! The plan in words: the same sentences on the screen and in the lines of the command.
//!
//! A number about a person stands with what it rests on; where a band is wider than [`WIDEST`] it says
//! "not enough yet". What the bands leave out is said once, at the end.

use chrono::NaiveDate;

use crate::app::beside_goal::Beside;
use crate::app::gap_lines::Fact;
use crate::app::gaps;
use crate::app::plan::Budget;
use crate::app::plan::Plan;
use crate::app::plan::Target;
use crate::app::ready_by::DayAhead;
use crate::app::ready_by::ReadyBy;
use crate::app::way_back::Recovery;
use crate::domain::ahead::bands::Band;
use crate::domain::ahead::goal::MOST_MINUTES;
use crate::domain::ahead::outlook::Covered;
use crate::domain::gaps::row::Expected;
use crate::domain::text::number_of;

/// Widest band that is told as numbers.
pub const WIDEST: f64 = 0.4;

/// What the bands do not hold.
pub const LEFT_OUT: &str = "A forecast of the memory model, not a measurement: only spot checks measure. \
The luck of answers and of missed days is in the numbers; cards that new jobs will bring are not, nor \
that the model may be wrong.";

/// Returns a share as `71 (65 to 76)`, in hundredths, or why no number stands there.
pub fn share(band: Band) -> String {
    if WIDEST < band.width() {
        return "not enough yet".to_owned();
    }
    let [low, mid, high] = [band.low, band.mid, band.high].map(|s| format!("{:.0}", s * 100.0));
    if low == high {
        mid
    } else {
        format!("{mid} ({low} to {high})")
    }
}

/// Returns a number of things as `143 (131 to 150)`.
pub fn number(band: Band) -> String {
    let [low, mid, high] = [band.low, band.mid, band.high].map(|n| format!("{n:.0}"));
    if low == high {
        mid
    } else {
        format!("{mid} ({low} to {high})")
    }
}

/// Returns a date as `3 May`, with its year where that is another one.
pub fn date(on: NaiveDate, today: NaiveDate) -> String {
    use chrono::Datelike;
    if on.year() == today.year() {
        on.format("%-d %b").to_string()
    } else {
        on.format("%-d %b %Y").to_string()
    }
}

/// Returns minutes as `15 minutes`, `7.5 minutes`.
pub fn minutes(minutes: f64) -> String {
    let text = format!("{minutes:.1}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let unit = if text == "1" { "minute" } else { "minutes" };
    format!("{text} {unit}")
}

/// Returns `90 days at 15 minutes`.
pub fn span(plan: &Plan) -> String {
    format!(
        "{} at {}",
        number_of(plan.days as usize, "day"),
        minutes(plan.minutes)
    )
}

/// Returns when every card will have been met, as `3 May (28 Apr to 9 May)`; `today` where they are.
pub fn covered(covered: Covered, (today, until): (NaiveDate, NaiveDate)) -> String {
    if covered.days[1] == Some(0) {
        return "today".to_owned();
    }
    let on = |days: Option<u32>| {
        let day = today + chrono::Days::new(u64::from(days?));
        Some(date(day, today))
    };
    match covered.days.map(on) {
        [Some(first), Some(half), Some(most)] if first == most => half,
        [Some(first), Some(half), Some(most)] => format!("{half} ({first} to {most})"),
        [Some(first), Some(half), None] => format!("{half} ({first} to later)"),
        _ => format!("not by {}", date(until, today)),
    }
}

/// Returns the sentence that says what the picture shows.
pub fn picture(plan: &Plan) -> String {
    let (Some(first), Some(last)) = (plan.ready.first(), plan.ready.last()) else {
        return String::new();
    };
    let until = date(plan.until, plan.day);
    if WIDEST < last.width() {
        return format!(
            "Of 100 jobs like the last two years' you would know {:.0} today; for {until}: not enough yet.",
            first.mid * 100.0
        );
    }
    let whole = |share: f64| format!("{:.0}", share * 100.0);
    let (low, high) = (whole(last.low), whole(last.high));
    let spread = if low == high {
        "the same in 8 of 10".to_owned()
    } else {
        format!("between {low} and {high} in 8 of 10")
    };
    format!(
        "Of 100 jobs like the last two years' you would know {} today, {} on {until}: {spread} simulated \
         runs. There were {} runs, over {}, {} of them met.",
        whole(first.mid),
        whole(last.mid),
        plan.runs,
        number_of(plan.cards, "card"),
        plan.met,
    )
}

/// Returns what is said of the plan beside its picture and tables.
pub fn facts(plan: &Plan) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut say = |label: &'static str, text: String| facts.push(Fact { label, text });
    if plan.minutes <= 0.0 {
        say(
            "No minutes",
            format!(
                "nothing is asked, and what is known fades: {:.0} of 100 jobs on {}.",
                plan.undrilled * 100.0,
                date(plan.until, plan.day)
            ),
        );
    } else {
        let much = if plan.used + 0.5 < plan.minutes {
            format!(
                "about {:.0} of {}, since little is left to ask",
                plan.used,
                minutes(plan.minutes)
            )
        } else {
            minutes(plan.minutes)
        };
        let new = if plan.met == plan.cards {
            "no card is new".to_owned()
        } else {
            format!(
                "about {:.1} new cards until all are met",
                plan.new_a_sitting
            )
        };
        say(
            "Each sitting",
            format!("{much}; {new}; {:.1} sittings a week", plan.sittings_a_week),
        );
        say(
            "All cards met",
            if plan.met == plan.cards {
                format!("already, all {}", plan.cards)
            } else {
                format!(
                    "{}; so far {} of {}",
                    covered(plan.covered, (plan.day, plan.until)),
                    plan.met,
                    plan.cards
                )
            },
        );
        if let Some(right) = plan.right {
            say(
                "Answers right",
                format!("{} of 100, at cards met before", share(right)),
            );
        }
        say(
            "Without drill",
            format!(
                "{:.0} of 100 jobs known on {} if nothing is asked until then",
                plan.undrilled * 100.0,
                date(plan.until, plan.day)
            ),
        );
    }
    if let Some(expected) = plan.expected {
        say(
            "Model so far",
            format!(
                "of {} spot checks in {} days it expected {:.0} right, by luck alone {:.0} to {:.0}; {} \
                 were{}",
                expected.model.of,
                gaps::DAYS,
                expected.model.mean,
                expected.model.low,
                expected.model.high,
                expected.recalled,
                beside(&expected)
            ),
        );
    }
    if let Some(recovery) = &plan.recovery {
        say("Back again", way_back(recovery));
        for line in way_back_lines(recovery) {
            say("", line);
        }
    }
    let basis = match (plan.answers, plan.published) {
        (0, _) => {
            "no answers yet: published memory parameters and a usual pace stand in".to_owned()
        }
        (n, true) => format!(
            "{}; memory parameters as published, none fitted to you",
            number_of(n, "answer")
        ),
        (n, false) => format!("{}, memory parameters fitted", number_of(n, "answer")),
    };
    say("Rests on", basis + &gone(plan.gone));
    facts
}

/// Returns what follows where cards that were answered are in no deck any more.
fn gone(cards: usize) -> String {
    match cards {
        0 => String::new(),
        1 => "; one card answered is in no deck any more: it waits until it is".to_owned(),
        n => format!("; {n} cards answered are in no deck any more: they wait until they are"),
    }
}

/// Returns what follows where more or fewer spot checks were right than luck explains.
fn beside(expected: &Expected) -> &'static str {
    let recalled = crate::domain::units::count(expected.recalled);
    if recalled < expected.model.low {
        ": fewer, so this plan may promise too much"
    } else if expected.model.high < recalled {
        ": more, so this plan may promise too little"
    } else {
        ""
    }
}

/// Returns the way back as one sentence: `You were away 14 days; about 5 sittings bring it back, …`.
pub fn way_back(recovery: &Recovery) -> String {
    let away = number_of(recovery.away as usize, "day");
    let asked: Vec<&str> = recovery
        .first
        .first()
        .map(|(families, _)| families.iter().take(2).map(String::as_str).collect())
        .unwrap_or_default();
    let first = match asked.as_slice() {
        [] => String::new(),
        families => format!(", {} first", families.join(" and ")),
    };
    let sittings = |band: Band| {
        let (low, mid, high) = (band.low, band.mid, band.high);
        let narrow = high - low < 0.5;
        let (many, bring) = if narrow && mid.round() <= 1.0 {
            ("sitting", "brings")
        } else {
            ("sittings", "bring")
        };
        let of = if narrow {
            format!("{mid:.0}")
        } else {
            format!("about {mid:.0} ({low:.0} to {high:.0})")
        };
        let days = recovery.days.map(f64::from);
        let in_days = match days.filter(|days| 0.5 < (days - mid.round()).abs()) {
            Some(days) => format!(" in some {days:.0} days"),
            None => String::new(),
        };
        format!("{of} {many}{in_days} {bring}")
    };
    match recovery.sittings {
        Some(band) => format!("You were away {away}; {} it back{first}.", sittings(band)),
        None => format!(
            "You were away {away}; more than {} sittings bring it back{first}.",
            recovery.first.len()
        ),
    }
}

/// Returns the way back day by day, as far as it is needed.
fn way_back_lines(recovery: &Recovery) -> Vec<String> {
    let lost: Vec<String> = recovery
        .lost
        .iter()
        .filter(|(_, lost)| 0.0005 <= *lost)
        .take(4)
        .map(|(family, lost)| format!("{family} {:.1}", lost * 100.0))
        .collect();
    let mut lines = vec![format!(
        "Known then {:.0}, now {:.0} of 100 jobs; lost most: {}",
        recovery.before * 100.0,
        recovery.now * 100.0,
        if lost.is_empty() {
            "nothing to speak of".to_owned()
        } else {
            lost.join(", ")
        }
    )];
    let needed = recovery
        .sittings
        .map_or(f64::INFINITY, |band| band.high.ceil());
    for (nth, (families, after)) in recovery.first.iter().enumerate().take(MOST_LINES) {
        if needed <= crate::domain::units::count(nth) {
            break;
        }
        lines.push(format!(
            "Sitting {}: mostly {}; {} after it",
            nth + 1,
            families.join(", "),
            share(*after)
        ));
    }
    lines
}

/// Sittings of the way back that are told one by one.
const MOST_LINES: usize = 7;

/// Returns the table of families: a head and a row each, `id  cards  met  now  then`.
pub fn families(plan: &Plan) -> Vec<[String; 4]> {
    let mut rows = vec![[
        "Circuit".to_owned(),
        "cards met".to_owned(),
        "jobs known now".to_owned(),
        date(plan.until, plan.day),
    ]];
    rows.extend(plan.families.iter().map(|family| {
        [
            family.id.clone(),
            format!("{} of {}", family.met, family.cards),
            format!("{:.0}", family.now * 100.0),
            share(family.then),
        ]
    }));
    rows
}

/// Returns the table of budgets: a head and a row each; short where there is little room.
pub fn budgets(plan: &Plan, short: bool) -> Vec<[String; 5]> {
    let mut rows = vec![[
        "A day".to_owned(),
        if short {
            "jobs known".to_owned()
        } else {
            format!("jobs known {}", date(plan.until, plan.day))
        },
        "cards met".to_owned(),
        "all met".to_owned(),
        "new".to_owned(),
    ]];
    rows.extend(plan.budgets.iter().map(|budget: &Budget| {
        [
            minutes(budget.minutes)
                .replace(" minutes", " min")
                .replace(" minute", " min"),
            share(budget.ready),
            format!("{:.0} of {}", budget.met.mid, plan.cards),
            if short {
                half_covered(budget.covered, plan)
            } else {
                covered(budget.covered, (plan.day, plan.until))
            },
            format!("{:.1}", budget.new_a_sitting),
        ]
    }));
    rows
}

/// Returns the day by which half the runs had met every card, or that it is later.
fn half_covered(all_met: Covered, plan: &Plan) -> String {
    match all_met.days[1] {
        Some(0) if plan.met == plan.cards => "already".to_owned(),
        Some(0) => "today".to_owned(),
        Some(days) => date(plan.day + chrono::Days::new(u64::from(days)), plan.day),
        None => "later".to_owned(),
    }
}

/// Returns the table of targets: a head and a row each.
pub fn targets(plan: &Plan) -> Vec<[String; 4]> {
    let mut rows = vec![[
        "Target".to_owned(),
        "middle card keeps it".to_owned(),
        "cards at it now".to_owned(),
        date(plan.until, plan.day),
    ]];
    rows.extend(plan.targets.iter().map(|target: &Target| {
        [
            format!("{:.2}", target.recall),
            target.days.map_or_else(
                || "none met".to_owned(),
                |days| number_of(days as usize, "day"),
            ),
            format!("{} of {}", target.now, plan.met),
            number(target.then),
        ]
    }));
    rows
}

/// What a target does and does not change.
pub const TARGET_CHANGES: &str = "A target changes the days foretold on a card and which cards count as \
kept. Which card comes first goes by what a second of drill buys; the target only levels the days a little.";

/// Returns what is said of a date: what is reachable, and what it would take.
pub fn ready_by(found: &ReadyBy) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut say = |label: &'static str, text: String| facts.push(Fact { label, text });
    let on = date(found.date, found.day);
    let per_cent = |share: f64| format!("{:.0}", share * 100.0);
    let (cards, met) = (number_of(found.cards, "card"), found.met);
    say(
        "Reachable",
        format!(
            "mean recall {} of 100 on {on} over {cards} ({met} met today); {} of them at {:.2} or better",
            share(found.reached),
            number(found.above),
            found.target
        ),
    );
    say(
        "Without it",
        format!(
            "{} today; on {on} {} if nothing is drilled, {} in the usual order of the day on these cards",
            per_cent(found.now),
            per_cent(found.undrilled),
            share(found.usual)
        ),
    );
    let verdict = match (found.is_reached(), found.needs) {
        (true, _) => format!(
            "a mean of {:.2} is reached with {} a day",
            found.target,
            minutes(found.minutes)
        ),
        (false, Some(needs)) => format!(
            "a mean of {:.2} is NOT reached with {} a day; about {needs} minutes a day would",
            found.target,
            minutes(found.minutes)
        ),
        (false, None) => format!(
            "a mean of {:.2} is NOT reached with {} a day, nor with {MOST_MINUTES}; a later date or fewer cards would",
            found.target,
            minutes(found.minutes)
        ),
    };
    say("Target", verdict);
    if let Some(beside) = &found.beside {
        say("The rest", the_rest(beside, &on));
    }
    if found.answers == 0 {
        say(
            "Rests on",
            "no answers yet: published memory parameters and a usual pace stand in".to_owned(),
        );
    }
    facts
}

/// Returns what becomes of the other cards by the day `on`, as one sentence.
fn the_rest(beside: &Beside, on: &str) -> String {
    let cards = number_of(beside.cards, "card");
    if WIDEST < beside.with.width().max(beside.usual.width()) {
        return format!("what it costs the other {cards}: not enough yet");
    }
    let costs = (beside.usual_mean - beside.with_mean) * 100.0;
    let costs = if costs < 1.0 {
        "it costs them less than one".to_owned()
    } else {
        format!("it costs them about {costs:.0}")
    };
    format!(
        "{} of 100 jobs of the other {} known on {on}, {} if the whole drill of {} keeps its usual order: \
         {costs}",
        share(beside.with),
        cards,
        share(beside.usual),
        minutes(beside.minutes)
    )
}

/// Returns one day of a plan: `Thu 2 Apr   31 cards, 12 new   9.4 min   petrel-p4 14, heron 9`.
pub fn day(day: &DayAhead) -> String {
    let boards: Vec<String> = day
        .boards
        .iter()
        .take(3)
        .map(|(board, n)| {
            let board = if board.is_empty() { "rules" } else { board };
            format!("{board} {n}")
        })
        .collect();
    let more = if 3 < day.boards.len() { ", …" } else { "" };
    format!(
        "{:<10} {:>9}, {:>2} new {:>5.1} min  {}{more}",
        day.day.format("%a %-d %b").to_string(),
        number_of(day.cards.len(), "card"),
        day.new,
        day.minutes,
        boards.join(", ")
    )
}

/// What the days of a plan are made with.
pub const DAYS_EXPECTED: &str = "A day's minutes are counted with the chance that you sit at all. The \
days are laid anew from what you know as answers come in: kept with --keep, every sitting begins with \
what this day needs then. Without it `drill` goes on in the usual order.";

/// What may be typed where a day to be ready by is set.
pub const READY_BY_HELP: [&str; 2] = [
    "Type the day, then a board, a circuit or a deck (all cards without one), then, if it is not to have \
the whole sitting, the most minutes of a day: 2026-12-20 petrel-p4 10. The word none drops it.",
    "Each sitting then begins with the cards that bring the best mean recall on that morning, planned \
anew from where you stand; the minutes left go on in the usual order. It ends on its day.",
];

/// What is said of a day that is kept from now on.
pub const KEPT: &str = "Kept: every sitting begins with what that day needs, until it comes.";

/// Returns a table as lines: the first column on the left, the others on the right, two blanks between.
pub fn in_columns<const N: usize>(rows: &[[String; N]]) -> Vec<String> {
    let wide: [usize; N] = std::array::from_fn(|column| {
        let cells = rows.iter().map(|row| row[column].chars().count());
        cells.max().unwrap_or(0)
    });
    rows.iter()
        .map(|row| {
            let cells = row
                .iter()
                .zip(wide)
                .enumerate()
                .map(|(column, (cell, wide))| {
                    if column == 0 {
                        format!("{cell:<wide$}")
                    } else {
                        format!("{cell:>wide$}")
                    }
                });
            cells.collect::<Vec<_>>().join("  ")
        })
        .collect()
}
