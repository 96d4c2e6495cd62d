//! The tables that are printed: means, and differences between the same people's results.

use benchlore::domain::units::count;

use crate::simulate::drill::Outcome;
use crate::simulate::minds::Kind;

/// A mean and half the width of its 95 % interval.
struct Mean {
    mean: f64,
    half: f64,
}

impl Mean {
    /// By Student's t; its 97.5 % point is taken as 1.96 + 2.6/(n - 1), right to 0.05 from n = 6 on.
    fn of(values: &[f64]) -> Self {
        let n = count(values.len());
        let mean = values.iter().sum::<f64>() / n;
        let off = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>();
        let t = 1.96 + 2.6 / (n - 1.0);
        Self {
            mean,
            half: t * libm::sqrt(off / (n - 1.0) / n),
        }
    }
}

/// Prints the tables: `found` holds, kind by kind and person by person, an outcome for each policy.
/// The first `peers` policies are those that all are measured against.
pub(crate) fn print(policies: &[String], peers: usize, found: &[Vec<Outcome>], people: usize) {
    levels(policies, found, people);
    for peer in 0..peers {
        differences(policies, peer, found, people);
    }
    right_by_kind(policies, found, people);
}

fn levels(policies: &[String], found: &[Vec<Outcome>], people: usize) {
    println!(
        "{people} people of each of {} kinds, 180 days\n",
        Kind::ALL.len()
    );
    println!(
        "| schedule | day 30 | day 90 | day 180 | worst family | minutes | longest | askings | right | met |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for (at, name) in policies.iter().enumerate() {
        let mean = |of: &dyn Fn(&Outcome) -> f64| {
            let values: Vec<f64> = found.iter().map(|person| of(&person[at])).collect();
            Mean::of(&values).mean
        };
        let longest = found
            .iter()
            .map(|person| person[at].longest)
            .fold(0.0, f64::max);
        println!(
            "| {name} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {longest:.1} | {:.1} | {:.3} | {:.0} |",
            mean(&|o| o.ready[0]),
            mean(&|o| o.ready[1]),
            mean(&|o| o.ready[2]),
            mean(&|o| o.worst),
            mean(&|o| o.minutes),
            mean(&|o| o.askings),
            mean(&|o| o.right),
            mean(&|o| o.met),
        );
    }
}

fn differences(policies: &[String], peer: usize, found: &[Vec<Outcome>], people: usize) {
    let kinds: Vec<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
    println!(
        "\nDifference to \"{}\", same people, points:\n",
        policies[peer]
    );
    println!(
        "| schedule | day 30 | day 90 | day 180 | {} |",
        kinds.join(" | ")
    );
    println!("|---|---|---|---|{}", "---|".repeat(kinds.len()));
    for (at, name) in policies.iter().enumerate().filter(|(at, _)| *at != peer) {
        let cell = |people: &[Vec<Outcome>], day: usize| {
            let off = people.iter().map(|p| p[at].ready[day] - p[peer].ready[day]);
            let mean = Mean::of(&off.collect::<Vec<f64>>());
            format!("{:+.2} ± {:.2}", mean.mean, mean.half)
        };
        let days: Vec<String> = (0..3).map(|day| cell(found, day)).collect();
        let by_kind: Vec<String> = found.chunks(people).map(|of| cell(of, 2)).collect();
        println!(
            "| {name} | {} | {} |",
            days.join(" | "),
            by_kind.join(" | ")
        );
    }
}

fn right_by_kind(policies: &[String], found: &[Vec<Outcome>], people: usize) {
    let kinds: Vec<&str> = Kind::ALL.iter().map(|kind| kind.word()).collect();
    println!("\nShare right by kind:\n");
    println!("| schedule | {} |", kinds.join(" | "));
    println!("|---|{}", "---|".repeat(kinds.len()));
    for (at, name) in policies.iter().enumerate() {
        let right = |of: &[Vec<Outcome>]| {
            let values: Vec<f64> = of.iter().map(|person| person[at].right).collect();
            format!("{:.3}", Mean::of(&values).mean)
        };
        let by_kind: Vec<String> = found.chunks(people).map(right).collect();
        println!("| {name} | {} |", by_kind.join(" | "));
    }
}
