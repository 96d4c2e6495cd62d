//! The arithmetic behind a stop card: what going on would bring and cost, against stopping now.
//!
//! Counted are the like jobs that were still open after the minutes spent: those without a fix, and
//! those whose fault took at least as long to find. Each fix among them is a candidate with chance
//! `k/(n+1)`: one job is kept in reserve for what no like job has shown. A try costs the bench time
//! between finding and end, and parts (medians of the board's jobs with that fix); finding costs the
//! median of what it took beyond the time spent, once. Repairs that fit all that is shown count however soon
//! they were found, since nothing shown excludes them; those found sooner are looked for from the start. Whole plans that may end early are compared
//! ([`crate::domain::decide::plan`]); what was spent is gone either way and does not enter.
//!
//! Money is written in hours at the bench, and as bands: a card shows no prices. Where money decides
//! nothing (unsafe, the processor dead, …) one line says so. Limits: common practice, no source.

use std::collections::BTreeMap;

use crate::domain::card::Answer;
use crate::domain::decide::plan;
use crate::domain::decide::plan::Plan;
use crate::domain::decide::plan::Try;
use crate::domain::generate::kinds::stop;
use crate::domain::generate::kinds::stop::question;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::units::count;
use crate::domain::wording;

/// Reasons that are a sum of money or time.
pub const OF_MONEY: [&str; 2] = ["value-exceeded", "not-located-in-time-box"];
/// A net within this part of the board's value is even.
pub const EVEN: f64 = 0.05;

/// Hours at the bench by which what going on brings and what it costs differ tellingly, where both lie in
/// one band.
const TELLS: f64 = 0.25;

/// What the sum says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Says {
    /// Go on.
    GoOn,
    /// Call it.
    Stop,
    /// It makes no difference that the figures could tell.
    Even,
}

/// The sum of one card.
#[derive(Clone, Debug, PartialEq)]
pub struct Balance {
    /// Lines for the back of the card.
    pub lines: Vec<String>,
    /// What it says.
    pub says: Says,
    /// The best plan, in hours at the bench, its candidates in the order of the fixes.
    pub plan: Plan,
    /// Hours at the bench that a lead of which the like jobs know nothing would be worth at best, where
    /// there is nothing else to go on to.
    pub new_lead: Option<f64>,
}

/// What is known at the moment of the decision.
#[derive(Clone, Debug)]
pub struct Moment<'a> {
    /// Jobs that look like this one, those without a fix among them, but for those of `fits`.
    pub like: &'a [&'a Job],
    /// Jobs of repairs that fit all that is shown, whether or not they recorded all of it.
    pub fits: &'a [&'a Job],
    /// Minutes spent, where they were recorded.
    pub spent: Option<f64>,
    /// Board's value.
    pub value: Option<f64>,
    /// What an hour at the bench costs, in the same money.
    pub rate_per_hour: Option<f64>,
}

/// Returns the line of a reason that is no sum.
pub fn not_money(reason: &str) -> Vec<String> {
    vec![format!("Money decides nothing here: {reason}.")]
}

/// Returns the sum; none where the board's value or the rate is not known, or no minutes are.
pub fn balance(shelf: &Shelf<'_>, moment: &Moment<'_>) -> Option<Balance> {
    let rate = moment.rate_per_hour.filter(|r| 0.0 < *r)?;
    let value = moment.value.filter(|v| 0.0 < *v)? / rate;
    let spent = moment.spent.unwrap_or(0.0);
    let like: Vec<&&Job> = moment
        .like
        .iter()
        .filter(|j| !stop::patterns::misled(j))
        .collect();
    let fixed: Vec<&&Job> = like
        .iter()
        .filter(|j| !j.fix().is_empty())
        .copied()
        .collect();
    let open_longer = |job: &&&&Job| job.effort.minutes_to_find.is_none_or(|m| spent <= m);
    let late: Vec<&&Job> = fixed.iter().filter(open_longer).copied().collect();
    let n = like.len() - fixed.len() + late.len() + moment.fits.len();
    let barred = shelf.barred();
    let mut of_fix: BTreeMap<Fix, usize> = BTreeMap::new();
    for job in late.iter().copied().chain(moment.fits) {
        let fix = job.fix();
        if !barred.contains(&fix) {
            *of_fix.entry(fix).or_default() += 1;
        }
    }
    // Nothing shown excludes a repair that fits: one that was found sooner is looked for from the start.
    let left = |job: &&Job| {
        let minutes = job.effort.minutes_to_find?;
        Some(if spent <= minutes {
            minutes - spent
        } else {
            minutes
        })
    };
    let open = late.iter().copied().chain(moment.fits);
    let find = median(open.filter_map(left)).map_or(0.0, |minutes| minutes / 60.0);
    let candidates: Vec<(Fix, usize, Cost)> = of_fix
        .into_iter()
        .filter_map(|(fix, k)| {
            let cost = cost(shelf, &fix, rate)?;
            Some((fix, k, cost))
        })
        .collect();
    if candidates.is_empty() && !(late.is_empty() && moment.fits.is_empty()) {
        return None;
    }
    let tries: Vec<Try> = candidates
        .iter()
        .map(|(_, k, cost)| Try {
            chance: count(*k) / count(n + 1),
            cost: cost.bench + cost.parts,
        })
        .collect();
    let plan = with_finding(&tries, value, find);
    let says = says(&plan, value);
    let lines = lines(
        shelf,
        moment,
        &Sum {
            value,
            fixed: fixed.len(),
            late: late.len(),
            fits: moment.fits.len(),
            n,
            find,
            candidates: &candidates,
            plan: &plan,
            says,
        },
    );
    let new_lead = plan.order.is_empty().then(|| value / count(n + 1));
    Some(Balance {
        lines,
        says,
        plan,
        new_lead,
    })
}

/// Returns the best plan when finding costs `find` first; the empty one costs nothing.
///
/// Without a plan worth its cost, what trying everything would bring is returned, so that the card can
/// say by how much it fails.
fn with_finding(tries: &[Try], value: f64, find: f64) -> Plan {
    let mut plan = plan::best(tries, value);
    if plan.order.is_empty() {
        let pairs: Vec<(f64, f64)> = tries.iter().map(|t| (t.chance, t.cost)).collect();
        let order = crate::domain::decide::order::by_chance_over_cost(&pairs);
        let chance = tries.iter().map(|t| t.chance).sum::<f64>();
        let cost = plan::expected_cost(tries, &order);
        plan = Plan {
            order,
            chance,
            cost,
            net: value * chance - cost,
            found: plan.found,
        };
    }
    if !plan.order.is_empty() {
        plan.cost += find;
        plan.net -= find;
    }
    plan
}

fn says(plan: &Plan, value: f64) -> Says {
    // Where both are the same in the words of the card, and so nearly, nothing on it says which.
    let same = band(value * plan.chance) == band(plan.cost) && plan.net.abs() < TELLS;
    if same && !plan.order.is_empty() {
        return Says::Even;
    }
    if plan.order.is_empty() || plan.net < -EVEN * value {
        Says::Stop
    } else if plan.net <= EVEN * value {
        Says::Even
    } else {
        Says::GoOn
    }
}

/// Acts for which a part is bought.
const BUYING: [&str; 4] = ["replace", "replace-connector", "bridge-or-jumper", "other"];

/// Hours at the bench.
struct Cost {
    bench: f64,
    parts: f64,
    /// Nobody wrote what the parts cost.
    unpriced: bool,
}

/// Returns what a try costs; none where no job of the board says how long the work takes.
fn cost(shelf: &Shelf<'_>, fix: &Fix, rate: f64) -> Option<Cost> {
    let own = || {
        let cases = shelf.cases.iter().filter(|c| c.fix == *fix);
        cases.map(|c| &c.job.effort)
    };
    let work = own().filter_map(|e| Some((e.minutes? - e.minutes_to_find?).max(0.0)));
    let bench = median(work).or_else(|| median(own().filter_map(|e| e.minutes)))?;
    let buys = fix
        .pairs()
        .iter()
        .any(|(act, _)| BUYING.contains(&act.as_str()));
    let parts = median(own().filter_map(|e| e.parts_cost)).or((!buys).then_some(0.0));
    Some(Cost {
        bench: bench / 60.0,
        parts: parts.unwrap_or(0.0) / rate,
        unpriced: parts.is_none(),
    })
}

/// Returns the median of finite figures; of an even number the mean of the two in the middle.
fn median(figures: impl Iterator<Item = f64>) -> Option<f64> {
    let mut all: Vec<f64> = figures.filter(|x| x.is_finite()).collect();
    all.sort_by(f64::total_cmp);
    let half = all.len() / 2;
    match all.len() {
        0 => None,
        n if n % 2 == 1 => Some(all[half]),
        _ => Some(f64::midpoint(all[half - 1], all[half])),
    }
}

struct Sum<'a> {
    value: f64,
    fixed: usize,
    late: usize,
    fits: usize,
    n: usize,
    find: f64,
    candidates: &'a [(Fix, usize, Cost)],
    plan: &'a Plan,
    says: Says,
}

fn lines(shelf: &Shelf<'_>, moment: &Moment<'_>, sum: &Sum<'_>) -> Vec<String> {
    let mut lines = vec![format!("Board: {}.", worth(sum.value))];
    if let Some(spent) = moment.spent {
        let so_far = question::time_band(spent);
        let so_far = so_far
            .strip_suffix(" on the bench so far")
            .unwrap_or(so_far);
        lines.push(format!(
            "Spent: {so_far}; gone either way, it does not enter."
        ));
    }
    lines.push(like_jobs(sum));
    if 0 < sum.fits {
        lines.push(format!(
            "Among them, however soon it was found: {} of repairs that fit all that is shown.",
            phrases::jobs_text(sum.fits)
        ));
    }
    let room = sum.n + 1;
    for at in &sum.plan.order {
        let (fix, k, cost) = &sum.candidates[*at];
        let answer = Answer {
            steps: phrases::steps(fix, shelf.board),
            also: Vec::new(),
        };
        let parts = if cost.unpriced {
            "parts not on record".to_owned()
        } else if cost.parts <= 0.0 {
            "no parts".to_owned()
        } else {
            format!("parts for the price of {}", price(cost.parts))
        };
        lines.push(format!(
            "{}: {k} in {room}; work {}, {parts}.",
            wording::answer_text(&answer),
            band(cost.bench)
        ));
    }
    if sum.plan.order.is_empty() {
        lines.push("None of them leaves a repair to go on to: call it.".to_owned());
        // What the archive has never seen keeps the one job in reserve.
        lines.push(format!(
            "Only a lead that none of them had could change that: at 1 in {room} at best, it is worth \
             {} more, parts included.",
            band(sum.value / count(room))
        ));
    } else {
        if 0.0 < sum.find {
            lines.push(format!("To find it: {} more.", band(sum.find)));
        }
        let own = sum.plan.order.iter().map(|at| sum.candidates[*at].1);
        let k: usize = own.sum();
        let brings = sum.value * sum.plan.chance;
        let says = match sum.says {
            Says::GoOn => "going on is worth it",
            Says::Stop => "call it",
            Says::Even => "no difference that these figures could tell",
        };
        let (brings, costs) = (band(brings), band(sum.plan.cost));
        let more = if brings != costs || sum.says == Says::Even {
            String::new()
        } else {
            let which = if sum.plan.net < 0.0 { "more" } else { "less" };
            format!(", {} {which} than it brings", band(sum.plan.net.abs()))
        };
        lines.push(format!(
            "Going on brings {brings} ({k} in {room} of what the board is worth) and costs {costs}{more}: \
             {says}."
        ));
    }
    lines
}

/// Returns what a board is worth in the words of the question, and where this sum's own bands are narrower,
/// which of them it counts with.
fn worth(hours: f64) -> String {
    let asked = question::worth_in_sum(hours);
    let own = band(hours);
    let own = own.strip_suffix(" hours").unwrap_or(own);
    if asked.contains(own) {
        return asked.to_owned();
    }
    format!("{asked}, more closely {own}")
}

fn like_jobs(sum: &Sum<'_>) -> String {
    let jobs = phrases::jobs_text(sum.n);
    if 0 < sum.fits {
        let fixed = sum.late + sum.fits;
        return format!(
            "Jobs that fit what is shown: {}, {fixed} of them fixed; one more is counted as lost.",
            sum.n
        );
    }
    match (sum.fixed, sum.late) {
        (0, _) => format!("Like jobs: {jobs}, none of them fixed."),
        (1, 0) => format!(
            "Like jobs: 1 was fixed, but sooner than this; {} not.",
            sum.n
        ),
        (fixed, 0) => {
            format!(
                "Like jobs: {fixed} were fixed, all sooner than this; {} not.",
                sum.n
            )
        }
        (_, late) => {
            let all = if late == 1 && sum.n == 1 {
                "and it was fixed".to_owned()
            } else if late == sum.n {
                "all fixed".to_owned()
            } else {
                format!("{late} of them fixed")
            };
            format!("Like jobs that took so long: {jobs}, {all}; one more is counted as lost.")
        }
    }
}

/// Returns a price in hours at the bench, as a band.
fn price(hours: f64) -> String {
    match band(hours) {
        "under a quarter of an hour" => "a few minutes' work".to_owned(),
        band => format!("{band} of work"),
    }
}

/// Returns hours at the bench as a band.
pub fn band(hours: f64) -> &'static str {
    match hours {
        h if h <= 0.0 => "nothing",
        h if h < 0.25 => "under a quarter of an hour",
        h if h < 0.5 => "a quarter to half an hour",
        h if h < 1.0 => "half an hour to an hour",
        h if h < 2.0 => "one to two hours",
        h if h < 3.0 => "two to three hours",
        h if h < 5.0 => "three to five hours",
        h if h < 8.0 => "five to eight hours",
        _ => "more than a day",
    }
}

/// Returns the warning of a card that says to go on where its sum says to call it. One that says to call it
/// where its sum does not is none ([`stop`]).
pub fn disagrees(balance: &Balance, goes_on: bool) -> Option<String> {
    (goes_on && balance.says == Says::Stop).then(|| {
        "arithmetic: by the archive's figures it was not worth going on, the jobs were fixed"
            .to_owned()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::Card;
    use crate::domain::card::CardKind;
    use crate::domain::generate::sample;
    use crate::domain::job::Effort;
    use crate::domain::job::Outcome;

    /// A job whose core rail is low: found after `find` minutes, 30 more to mend, parts for 12.
    fn fixed(part: &str, at: u64, find: f64) -> Job {
        let findings = vec![
            sample::rail("VSYS", "in-band"),
            sample::rail("VCORE", "low"),
        ];
        Job {
            effort: Effort {
                minutes_to_find: Some(find),
                minutes: Some(find + 30.0),
                value: Some(240.0),
                parts_cost: Some(12.0),
            },
            ..sample::job_with(&format!("{part}-{at}"), part, at, findings)
        }
    }

    fn unfixed(at: u64, reason: &str, minutes: f64, value: f64) -> Job {
        Job {
            outcome: Outcome::NoFix,
            no_fix_reason: Some(reason.to_owned()),
            actions: Vec::new(),
            effort: Effort {
                minutes: Some(minutes),
                value: Some(value),
                ..Effort::default()
            },
            ..fixed(&format!("none-{reason}"), at, 1.0)
        }
    }

    fn stop_cards(jobs: &[Job]) -> Vec<Card> {
        let cards = sample::built(jobs).cards.into_iter();
        cards.filter(|c| c.kind == CardKind::Stop).collect()
    }

    fn stop_card(jobs: &[Job]) -> Card {
        let mut stops = stop_cards(jobs);
        assert_eq!(stops.len(), 1);
        stops.remove(0)
    }

    fn of_worth(jobs: &[Job], value: f64) -> Vec<Job> {
        let mut jobs = jobs.to_vec();
        for job in &mut jobs {
            job.effort.value = Some(value);
        }
        jobs
    }

    fn said(card: &Card, words: &str) -> bool {
        card.sums.iter().any(|line| line.contains(words))
    }

    #[test]
    fn a_board_that_no_like_job_saved_is_called_and_says_up_to_what_it_would_be_worth() {
        let jobs: Vec<Job> = (1..=3)
            .map(|at| unfixed(at, "value-exceeded", 90.0, 240.0))
            .collect();
        let card = stop_card(&jobs);
        // 240 at 60 an hour is four hours; a quarter of it is one.
        assert_eq!(
            card.sums,
            [
                "Board: worth three to eight hours at the bench, more closely three to five.",
                "Spent: between one and two hours; gone either way, it does not enter.",
                "Like jobs: 3 jobs, none of them fixed.",
                "None of them leaves a repair to go on to: call it.",
                "Only a lead that none of them had could change that: at 1 in 4 at best, it is worth \
                 one to two hours more, parts included.",
            ]
        );
        assert!(card.warn.iter().all(|w| !w.starts_with("arithmetic")));
    }

    #[test]
    fn a_fix_that_was_always_found_sooner_is_no_reason_to_go_on() {
        let mut jobs = vec![
            unfixed(1, "not-located-in-time-box", 120.0, 240.0),
            unfixed(2, "not-located-in-time-box", 120.0, 240.0),
        ];
        jobs.push(fixed("U5", 3, 20.0));
        let card = stop_card(&jobs);
        assert!(
            said(&card, "1 was fixed, but sooner than this; 2 not."),
            "{:?}",
            card.sums
        );
        assert!(card.warn.iter().all(|w| !w.starts_with("arithmetic")));
    }

    #[test]
    fn a_repair_that_fits_all_that_is_shown_is_something_to_go_on_to_however_soon_it_was_found() {
        let mut jobs: Vec<Job> = (1..=4)
            .map(|at| unfixed(at, "value-exceeded", 120.0, 40.0))
            .collect();
        jobs.extend([fixed("U5", 5, 20.0), fixed("L12", 6, 20.0)]);
        let card = stop_card(&jobs);
        assert!(said(&card, "None of them leaves a repair"), "one job each");
        jobs.push(fixed("U5", 7, 20.0));
        let card = stop_card(&jobs);
        // Two of the six that fit, one more counted as lost; value 2/3 h times 2/7 against the work.
        let line = "Jobs that fit what is shown: 6, 2 of them fixed; one more is counted as lost.";
        assert!(said(&card, line), "{:?}", card.sums);
        assert!(said(&card, "Replace U5, the core phase driver: 2 in 7"));
        let told =
            "not told apart: Replace U5, the core phase driver (2 jobs) fits all that is shown";
        assert!(card.warn.iter().any(|w| w == told), "{:?}", card.warn);
    }

    #[test]
    fn a_board_is_called_only_where_the_sum_says_so() {
        let mut jobs: Vec<Job> = (1..=3)
            .map(|at| unfixed(at, "value-exceeded", 60.0, 20.0))
            .collect();
        jobs.extend([fixed("U5", 4, 60.0), fixed("U5", 5, 60.0)]);
        let card = stop_card(&of_worth(&jobs, 20.0));
        assert!(card.points[0].say.contains("call it"));
        assert!(
            said(&card, "Replace U5, the core phase driver: 2 in 6"),
            "{:?}",
            card.sums
        );
        assert!(said(&card, ": call it."));
        // Two in six of ten hours, against 0.7 to mend; of two hours it makes no difference.
        assert!(stop_cards(&of_worth(&jobs, 600.0)).is_empty());
        assert!(stop_cards(&of_worth(&jobs, 120.0)).is_empty());
    }

    #[test]
    fn where_gain_and_cost_lie_in_one_band_their_difference_is_said_or_no_card_is_made() {
        let mut jobs: Vec<Job> = (1..=5).map(|at| fixed("L12", at, 60.0)).collect();
        jobs.push(unfixed(6, "value-exceeded", 60.0, 80.0));
        // At 60 an hour and 5 in 7: 0.95 h against 0.7, and 0.83 h against 0.7.
        let card = stop_card(&of_worth(&jobs, 80.0));
        let line = "Going on brings half an hour to an hour (5 in 7 of what the board is worth) and costs \
                    half an hour to an hour, a quarter to half an hour less than it brings: going on is worth it.";
        assert_eq!(card.sums.last().map(String::as_str), Some(line));
        assert!(stop_cards(&of_worth(&jobs, 70.0)).is_empty());
        let card = stop_card(&of_worth(&jobs, 240.0));
        assert!(said(&card, "costs half an hour to an hour: going on"));
        // Ten hours is one band in the question and in the sum.
        let card = stop_card(&of_worth(&jobs, 600.0));
        assert_eq!(card.sums[0], "Board: worth more than a day at the bench.");
    }

    #[test]
    fn a_board_worth_little_is_called_though_it_could_be_mended() {
        let cheap = |mut job: Job| {
            job.effort.value = Some(20.0);
            job
        };
        let mut jobs: Vec<Job> = (1..=5).map(|at| cheap(fixed("L12", at, 60.0))).collect();
        jobs.push(unfixed(6, "value-exceeded", 60.0, 20.0));
        let card = stop_card(&jobs);
        assert_eq!(card.points[0].say, "go on");
        assert!(said(&card, "call it"), "{:?}", card.sums);
        assert!(card.warn.iter().any(|w| w.starts_with("arithmetic")));
    }

    #[test]
    fn no_sum_without_value_or_rate_and_none_where_money_decides_nothing() {
        let mut jobs: Vec<Job> = (1..=2)
            .map(|at| unfixed(at, "value-exceeded", 60.0, 240.0))
            .collect();
        for job in &mut jobs {
            job.effort.value = None;
        }
        assert!(stop_card(&jobs).sums.is_empty());
        let dead: Vec<Job> = (1..=2)
            .map(|at| unfixed(at, "processor-or-memory-dead", 60.0, 240.0))
            .collect();
        let card = stop_card(&dead);
        assert_eq!(
            card.sums,
            ["Money decides nothing here: the processor or its memory is dead."]
        );
    }

    #[test]
    fn sums_hold_bands_and_no_prices() {
        let mut jobs: Vec<Job> = (1..=5).map(|at| fixed("U5", at, 95.0)).collect();
        jobs.push(unfixed(6, "value-exceeded", 60.0, 617.0));
        let sums = stop_card(&of_worth(&jobs, 617.0)).sums;
        assert!(!sums.is_empty());
        for line in sums {
            for figure in ["617", "12", "60", "95", "125"] {
                let told = line
                    .split(|c: char| !c.is_ascii_digit())
                    .any(|w| w == figure);
                assert!(!told, "{line}");
            }
        }
        let bands: Vec<&str> = [0.0, 0.1, 0.3, 0.7, 1.5, 2.5, 4.0, 6.0, 9.0]
            .map(band)
            .into();
        let different: std::collections::BTreeSet<&str> = bands.iter().copied().collect();
        assert_eq!(different.len(), bands.len());
    }
}
