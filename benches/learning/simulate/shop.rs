//! The shop of a simulated apprentice: cards that come with time, and jobs that tell how common each
//! fault is.
//!
//! 900 faults in 14 families, their shares of the jobs like 1/rank. An archive of 6,000 jobs over the
//! 24 months before the first day is all that a schedule knows of the shares, besides the jobs that
//! are closed later, as many a week. A card comes when its answer is proved: 650 are there on the
//! first day and ten more come each week, common and rare alike.

use std::collections::BTreeMap;

use benchlore::domain::card::Answer;
use benchlore::domain::card::Card;
use benchlore::domain::card::CardKind;
use benchlore::domain::card::Share;
use benchlore::domain::card::Step;
use benchlore::domain::card::Support;
use benchlore::domain::circuit::Circuits;
use benchlore::domain::job::Confidence;
use benchlore::domain::job::Effort;
use benchlore::domain::job::Job;
use benchlore::domain::job::Outcome;
use benchlore::domain::queue;
use benchlore::domain::units::count;
use chrono::NaiveDate;
use chrono::TimeDelta;

use crate::simulate::chance::Chance;

/// Sizes of a shop.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Size {
    /// Cards in the end.
    pub(crate) cards: usize,
    /// Cards on the first day.
    pub(crate) at_first: usize,
    /// More of them each week.
    pub(crate) a_week: usize,
    /// Jobs of the 24 months before.
    pub(crate) archive: usize,
    /// Families.
    pub(crate) families: usize,
    /// Days of the simulation.
    pub(crate) days: usize,
}

/// Days over which the archive's jobs were closed.
const ARCHIVE_DAYS: usize = 730;
/// Look-alikes of a card.
const LOOK_ALIKES: usize = 3;
/// Days after which the schedules count the jobs anew.
pub(crate) const WEEK: usize = 7;

impl Size {
    /// The size that the table is about.
    pub(crate) const FULL: Self = Self {
        cards: 900,
        at_first: 650,
        a_week: 10,
        archive: 6_000,
        families: 14,
        days: 180,
    };
}

/// One shop.
pub(crate) struct Shop {
    /// Its sizes.
    pub(crate) size: Size,
    /// Cards, in the order in which they come: those of any day are the first so many.
    pub(crate) cards: Vec<Card>,
    /// True share of the jobs, by card; all together they are 1.
    pub(crate) truth: Vec<f64>,
    /// Family, by card, as a number.
    pub(crate) family: Vec<usize>,
    /// Cards that are taken for it, by card.
    pub(crate) look_alikes: Vec<Vec<usize>>,
    /// Families and their look-alikes.
    pub(crate) circuits: Circuits,
    /// Closed jobs, each with its card.
    pub(crate) jobs: Vec<(Job, usize)>,
    /// Shares of the cards that are there, as counted from the jobs, by week.
    counted: Vec<Vec<f64>>,
}

/// Returns the date of a day of the simulation.
pub(crate) fn date(day: usize) -> NaiveDate {
    let first = NaiveDate::from_ymd_opt(2026, 1, 5).expect("a Monday");
    first + TimeDelta::days(i64::try_from(day).expect("a few days"))
}

impl Shop {
    /// Draws the shop that `seed` stands for.
    pub(crate) fn draw(seed: u64, size: Size) -> Self {
        let mut chance = Chance::new(seed, &[10]);
        let n = size.cards;
        let mut ranks: Vec<usize> = (1..=n).collect();
        chance.shuffle(&mut ranks);
        let sum: f64 = ranks.iter().map(|rank| 1.0 / count(*rank)).sum();
        let truth: Vec<f64> = ranks.iter().map(|rank| 1.0 / count(*rank) / sum).collect();
        let family: Vec<usize> = (0..n).map(|_| chance.below(size.families)).collect();
        let circuits = Circuits::with_shop(&[], false);
        let names: Vec<&str> = circuits.all().iter().map(|f| f.id.as_str()).collect();
        let jobs = draw_jobs(&mut chance, &truth, size);
        let mut of_card = vec![Vec::new(); n];
        for (job, card) in &jobs {
            of_card[*card].push(job.job.clone());
        }
        let cards: Vec<Card> = of_card
            .into_iter()
            .enumerate()
            .map(|(at, jobs)| card(at, names[family[at]], jobs))
            .collect();
        let closed: Vec<Job> = jobs.iter().map(|(job, _)| job.clone()).collect();
        let look_alikes = (0..n)
            .map(|card| {
                let alike: Vec<usize> = (0..n)
                    .filter(|other| *other != card && family[*other] == family[card])
                    .collect();
                (0..LOOK_ALIKES.min(alike.len()))
                    .map(|_| alike[chance.below(alike.len())])
                    .collect()
            })
            .collect();
        let counted = (0..size.days.div_ceil(WEEK))
            .map(|week| {
                let there: Vec<&Card> = cards[..there_on(size, week * WEEK)].iter().collect();
                queue::job_shares(&there, &closed, date(week * WEEK), &BTreeMap::new())
            })
            .collect();
        Self {
            size,
            cards,
            truth,
            family,
            look_alikes,
            circuits,
            jobs,
            counted,
        }
    }

    /// Returns how many cards are there on `day`.
    pub(crate) fn there_on(&self, day: usize) -> usize {
        there_on(self.size, day)
    }

    /// Returns the job share of each card that is there, as counted from the jobs that week.
    pub(crate) fn shares_on(&self, day: usize) -> &[f64] {
        &self.counted[day / WEEK]
    }
}

fn there_on(size: Size, day: usize) -> usize {
    (size.at_first + day / WEEK * size.a_week).min(size.cards)
}

/// Draws the jobs of the archive and of the days to come, each with its card.
fn draw_jobs(chance: &mut Chance, truth: &[f64], size: Size) -> Vec<(Job, usize)> {
    let mut reach = 0.0;
    let steps: Vec<f64> = truth
        .iter()
        .map(|share| {
            reach += share;
            reach
        })
        .collect();
    let days = ARCHIVE_DAYS + size.days;
    (0..size.archive * days / ARCHIVE_DAYS)
        .map(|n| {
            let since = i64::try_from(chance.below(days)).expect("a few days");
            let closed_on = date(0) - TimeDelta::days(730) + TimeDelta::days(since);
            let drawn = chance.unit() * reach;
            let card = steps.partition_point(|step| *step <= drawn);
            (job(n, closed_on), card.min(truth.len() - 1))
        })
        .collect()
}

fn job(n: usize, closed_on: NaiveDate) -> Job {
    let number = format!("W-{n:05}");
    Job {
        id: number.clone(),
        job: number,
        closed_on,
        closed_by: None,
        board: "petrel-p4".to_owned(),
        rev: None,
        unit: None,
        follows: None,
        corrects: None,
        withdrawn: false,
        complaint: Vec::new(),
        findings: Vec::new(),
        family: None,
        contributing: Vec::new(),
        actions: Vec::new(),
        no_fix_reason: None,
        outcome: Outcome::Held,
        bounce_cause: None,
        confidence: Some(Confidence::Proved),
        proof: None,
        environment: Vec::new(),
        source: None,
        flags: Vec::new(),
        effort: Effort::default(),
    }
}

fn card(at: usize, family: &str, jobs: Vec<String>) -> Card {
    let step = Step {
        act: "replace".to_owned(),
        part: format!("U{at}"),
        name: None,
    };
    Card {
        id: format!("c{at:04}"),
        board: "petrel-p4".to_owned(),
        family: family.to_owned(),
        answers: vec![Answer {
            steps: vec![step],
            also: Vec::new(),
        }],
        share: Share::counted(jobs.len(), jobs.len(), jobs.len()),
        support: Support::of_jobs(jobs.len()),
        jobs,
        ..Card::blank(CardKind::Fix)
    }
}
