//! One run through the coming days.

use crate::domain::ahead::base::Base;
use crate::domain::ahead::chance::Chance;
use crate::domain::ahead::chance::Draw;
use crate::domain::ahead::outlook::Question;
use crate::domain::ahead::person;
use crate::domain::ahead::person::WEEK;
use crate::domain::manner::Manner;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::review::Grade;
use crate::domain::units::count;

/// What one run gave.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Run {
    /// Readiness on the mornings asked for.
    pub(super) ready: Vec<f64>,
    /// Cards met by those mornings.
    pub(super) met: Vec<usize>,
    /// Job-weighted recall of each family on the last morning.
    pub(super) families: Vec<f64>,
    /// Mean recall of all cards on the last morning, a card never met counting as none.
    pub(super) known: f64,
    /// Cards at or above each target on the last morning.
    pub(super) above: Vec<usize>,
    /// Day on which the last card was met.
    pub(super) covered: Option<u32>,
    /// Sittings.
    pub(super) sittings: usize,
    /// Answers to cards that had a memory, and how many of them were right.
    pub(super) reviews: usize,
    pub(super) right: usize,
    /// Seconds drilled.
    pub(super) seconds: f64,
    /// Askings by family in each of the first sittings.
    pub(super) first: Vec<Vec<u32>>,
    /// Readiness on the morning after each of the first sittings.
    pub(super) after: Vec<f64>,
}

/// The cards of one run as they stand.
pub(super) struct Cards {
    pub(super) memory: Vec<Option<Memory>>,
    pub(super) reviewed: Vec<i32>,
    pub(super) met: Vec<bool>,
    /// Day of the last right answer, or of an answer before the run began today; -1 for none.
    pub(super) right_on: Vec<i32>,
    /// Answers in this run.
    pub(super) turns: Vec<u32>,
    /// Days after its last review for which each is known too well to be asked.
    pub(super) known_for: Vec<u32>,
    /// How the worth of each runs on from its last review.
    pub(super) courses: Vec<f64>,
    pub(super) unmet: usize,
}

/// What is expected of asking a card.
#[derive(Clone, Copy)]
pub(super) struct Expected {
    /// Seconds, with its coming back after a miss.
    pub(super) seconds: f64,
    /// Chance of recall; none without memory.
    recall: Option<f64>,
}

/// One run under way.
pub(super) struct Walk<'a> {
    pub(super) base: &'a Base<'a>,
    pub(super) chance: Chance,
    pub(super) cards: Cards,
    /// Cards not met yet with an open gate that are no rules, greatest worth first; met ones are passed
    /// over.
    pub(super) fresh: Vec<u32>,
    /// How the person answers lately.
    pub(super) manner: Manner,
    /// Cards not met yet behind each gate that is shut.
    pub(super) behind: Vec<Vec<u32>>,
    /// Gates that open tomorrow.
    pub(super) opening: Vec<u32>,
    pub(super) spots_of: Vec<usize>,
    /// Cards that may be spot-checked, by family.
    pub(super) pools: Vec<Vec<u32>>,
    /// Met cards that may be asked today, with the logarithm of what asking them is worth.
    pub(super) pool: Vec<(f64, u32)>,
    /// Cards chosen for today, with what is expected of asking them.
    pub(super) chosen: Vec<(u32, Expected)>,
    /// Cards spot-checked today.
    pub(super) spotted: Vec<u32>,
    pub(super) left: f64,
    pub(super) run: Run,
}

/// Returns what one run gives.
pub(super) fn run(base: &Base<'_>, question: &Question, chance: Chance) -> Run {
    let mut walk = Walk::begin(base, chance);
    let sittings = &base.person.sittings;
    let mut stops = question.at.iter().peekable();
    let mut sat = false;
    for day in 0..=question.days {
        if sat && walk.run.after.len() < question.first {
            let ready = walk.ready(day);
            walk.run.after.push(ready);
        }
        while stops.next_if_eq(&&day).is_some() {
            let ready = walk.ready(day);
            walk.run.ready.push(ready);
            walk.run
                .met
                .push(base.person.cards.len() - walk.cards.unmet);
        }
        if day == question.days {
            break;
        }
        let kept = chance.draw(Draw::Sits, 0, day) < sittings.chance[day as usize % WEEK];
        sat = kept && !(day == 0 && sittings.sat_today) && 0.0 < sittings.minutes;
        if sat {
            walk.sit(day, question);
        }
    }
    walk.finish(question)
}

#[cfg(test)]
pub(super) fn first_sitting(
    base: &Base<'_>,
    spots: &[u32],
    plan: Option<(&[Vec<u32>], u32)>,
) -> std::collections::BTreeSet<u32> {
    let mut walk = Walk::begin(base, Chance::of_run(0, 0));
    walk.chosen_beside(spots, plan)
}

impl<'a> Walk<'a> {
    fn begin(base: &'a Base<'a>, chance: Chance) -> Self {
        let cards = &base.person.cards;
        let mut pools = vec![Vec::new(); base.families];
        for (at, card) in (0u32..).zip(cards) {
            if card.spot && card.memory.is_some() {
                pools[usize::from(card.family)].push(at);
            }
        }
        let mut spots_of = base.person.spot_checks.clone();
        spots_of.resize(base.families, 0);
        let answered = |seen: bool| if seen { 0 } else { -1 };
        Self {
            base,
            chance,
            cards: Cards {
                memory: cards.iter().map(|c| c.memory).collect(),
                reviewed: cards.iter().map(|c| c.reviewed).collect(),
                met: cards.iter().map(|c| c.met).collect(),
                right_on: cards.iter().map(|c| answered(c.seen_today)).collect(),
                turns: vec![0; cards.len()],
                known_for: cards
                    .iter()
                    .map(|c| c.memory.map_or(0, |memory| base.known(memory)))
                    .collect(),
                courses: base.courses.clone(),
                unmet: cards.iter().filter(|c| !c.met).count(),
            },
            fresh: base.fresh.clone(),
            manner: base.person.manner,
            behind: base.behind.clone(),
            opening: Vec::new(),
            spots_of,
            pools,
            pool: Vec::new(),
            chosen: Vec::new(),
            spotted: Vec::new(),
            left: 0.0,
            run: Run::default(),
        }
    }

    /// Returns readiness on the morning of `day`.
    fn ready(&self, day: u32) -> f64 {
        let cards = self.base.person.cards.iter().enumerate();
        cards
            .filter_map(|(at, card)| Some(card.share * self.recall(at, day)?))
            .sum()
    }

    pub(super) fn elapsed(&self, at: usize, day: u32) -> u32 {
        signed(day)
            .saturating_sub(self.cards.reviewed[at])
            .max(0)
            .unsigned_abs()
    }

    pub(super) fn recall(&self, at: usize, day: u32) -> Option<f64> {
        let memory = self.cards.memory[at]?;
        let days = f64::from(self.elapsed(at, day));
        let weights = &self.base.person.weights;
        Some(memory::recall(weights, memory.stability, days))
    }

    /// Asks a card, and once more where it was missed; nothing where the minutes are out.
    pub(super) fn ask(&mut self, card: u32, expected: Expected, day: u32) {
        let person = self.base.person;
        let at = card as usize;
        let begun = self.left < person.sittings.minutes * 60.0;
        if begun && self.left < expected.seconds {
            return;
        }
        if self.run.sittings <= self.run.first.len()
            && let Some(counts) = self.run.first.last_mut()
        {
            counts[usize::from(person.cards[at].family)] += 1;
        }
        let times = if self.cards.met[at] {
            let right = self.answer(at, expected.recall, day);
            if right { 1.0 } else { person.answers.miss }
        } else {
            self.meet(card, day);
            person.answers.first
        };
        let seconds = person.cards[at].seconds * times;
        self.left -= seconds;
        self.run.seconds += seconds;
    }

    /// Returns what is expected of asking a card, with its coming back after a miss.
    pub(super) fn expected(&self, at: usize, day: u32) -> Expected {
        let answers = &self.base.person.answers;
        let recall = self.recall(at, day);
        let times = match recall {
            None => answers.first,
            Some(recall) => recall + (1.0 - recall) * answers.miss,
        };
        Expected {
            seconds: times * self.base.person.cards[at].seconds,
            recall,
        }
    }

    /// Draws the answer to a met card; tells whether it was right at once.
    fn answer(&mut self, at: usize, recall: Option<f64>, day: u32) -> bool {
        let answers = &self.base.person.answers;
        let (card, turn) = (number(at), self.cards.turns[at]);
        let drawn = self.chance.draw(Draw::Answer, card, turn);
        let grade = person::grade(answers, recall.unwrap_or(answers.guess), drawn);
        if recall.is_some() {
            self.run.reviews += 1;
            self.run.right += usize::from(grade.recalled());
            self.manner.imagine(grade.recalled());
        }
        if grade.recalled() || recall.is_some() {
            self.keep(at, day, grade);
        }
        if !grade.recalled() {
            self.come_again(at, day);
        }
        grade.recalled()
    }

    /// Draws the first guess at a card never met.
    fn meet(&mut self, card: u32, day: u32) {
        let person = self.base.person;
        let at = card as usize;
        self.cards.met[at] = true;
        self.cards.unmet -= 1;
        if self.cards.unmet == 0 {
            self.run.covered = Some(day);
        }
        self.opening.extend(&person.cards[at].opens);
        let drawn = self.chance.draw(Draw::Answer, card, self.cards.turns[at]);
        let grade = person::grade(&person.answers, person.answers.guess, drawn);
        if grade.recalled() {
            self.keep(at, day, grade);
        } else {
            // A wrong first guess is no review: what comes after it is the first.
            self.come_again(at, day);
        }
        if person.cards[at].spot && self.cards.memory[at].is_some() {
            self.pools[usize::from(person.cards[at].family)].push(card);
        }
    }

    /// Draws the answer of a missed card when it comes again near the end of the sitting.
    fn come_again(&mut self, at: usize, day: u32) {
        let answers = &self.base.person.answers;
        let turn = self.cards.turns[at];
        let drawn = self.chance.draw(Draw::Again, number(at), turn);
        self.keep(at, day, person::grade(answers, answers.again, drawn));
    }

    /// Moves the memory of a card by one review.
    fn keep(&mut self, at: usize, day: u32, grade: Grade) {
        let weights = &self.base.person.weights;
        let elapsed = self.elapsed(at, day);
        let memory = memory::after(weights, self.cards.memory[at], elapsed, grade);
        self.cards.memory[at] = Some(memory);
        let stops = self.base.prices.stops();
        let course = &mut self.cards.courses[at * stops..][..stops];
        self.base.prices.course(memory, course);
        self.cards.known_for[at] = self.base.known(memory);
        self.cards.reviewed[at] = signed(day);
        self.cards.turns[at] += 1;
        if grade.recalled() {
            self.cards.right_on[at] = signed(day);
        }
    }

    pub(super) fn was_right(&self, card: u32, day: u32) -> bool {
        self.cards.right_on[card as usize] == signed(day)
    }

    fn finish(mut self, question: &Question) -> Run {
        let person = self.base.person;
        let (mut known, mut shares) =
            (vec![0.0; self.base.families], vec![0.0; self.base.families]);
        self.run.above = vec![0; question.targets.len()];
        for (at, card) in person.cards.iter().enumerate() {
            let recall = self.recall(at, question.days);
            let family = usize::from(card.family);
            self.run.known += recall.unwrap_or(0.0) / count(person.cards.len());
            known[family] += card.share * recall.unwrap_or(0.0);
            shares[family] += card.share;
            for (above, target) in self.run.above.iter_mut().zip(&question.targets) {
                *above += usize::from(recall.is_some_and(|recall| *target <= recall));
            }
        }
        let share = |(known, all): (&f64, &f64)| if 0.0 < *all { known / all } else { 0.0 };
        self.run.families = known.iter().zip(&shares).map(share).collect();
        self.run
    }
}

pub(super) fn signed(day: u32) -> i32 {
    i32::try_from(day).unwrap_or(i32::MAX)
}

pub(super) fn number(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
