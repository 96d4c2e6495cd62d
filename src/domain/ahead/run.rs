//! One run through the coming days.

use crate::domain::ahead::base::Base;
use crate::domain::ahead::cards::Cards;
use crate::domain::ahead::cards::Recalls;
use crate::domain::ahead::chance::Chance;
use crate::domain::ahead::chance::Draw;
#[cfg(test)]
use crate::domain::ahead::outlook::Followed;
use crate::domain::ahead::outlook::Question;
use crate::domain::ahead::person;
use crate::domain::ahead::person::WEEK;
use crate::domain::ahead::pool::Pool;
use crate::domain::manner::Manner;
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
    /// Job-weighted recall on the last morning of the cards that are told apart.
    pub(super) apart: f64,
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

/// What is expected of asking a card.
#[derive(Clone, Copy)]
pub(super) struct Expected {
    /// Seconds, with its coming back after a miss.
    pub(super) seconds: f64,
    /// Chance of recall; none without memory.
    recall: Option<f64>,
}

impl Expected {
    /// Returns what is expected of a card that takes so many seconds, recalled with this chance.
    pub(super) fn of(base: &Base<'_>, at: usize, recall: Option<f64>) -> Self {
        let answers = &base.person.answers;
        let times = match recall {
            None => answers.first,
            Some(recall) => recall + (1.0 - recall) * answers.miss,
        };
        Self {
            seconds: times * base.seconds[at],
            recall,
        }
    }
}

/// One run under way.
pub(super) struct Walk<'a> {
    pub(super) base: &'a Base<'a>,
    pub(super) chance: Chance,
    pub(super) cards: Cards,
    pub(super) recalls: Recalls,
    /// Cards not met yet with an open gate that are no rules, greatest worth first.
    pub(super) fresh: Vec<u32>,
    /// Bench rules not met yet, greatest worth first.
    pub(super) rules: Vec<u32>,
    /// How the person answers lately.
    pub(super) manner: Manner,
    /// Cards not met yet behind each gate that is shut.
    pub(super) behind: Vec<Vec<u32>>,
    /// Gates that open tomorrow.
    pub(super) opening: Vec<u32>,
    pub(super) spots_of: Vec<usize>,
    /// Cards that may be spot-checked, by family.
    pub(super) pools: Vec<Vec<u32>>,
    /// Met cards that may be asked today.
    pub(super) awake: Vec<u32>,
    /// They, greatest worth first.
    pub(super) pool: Pool,
    /// Those of them that let others go before them.
    pub(super) early: Pool,
    /// Cards chosen for today, with what is expected of asking them.
    pub(super) chosen: Vec<(u32, Expected)>,
    /// Cards offered today as a plan asks them.
    pub(super) planned: Vec<u32>,
    /// Cards spot-checked today.
    pub(super) spotted: Vec<u32>,
    /// Day on which a card of each fix was last asked; -1 for none.
    pub(super) fix_on: Vec<i32>,
    pub(super) left: f64,
    pub(super) run: Run,
}

/// Returns what one run gives.
pub(super) fn run(base: &Base<'_>, question: &Question, chance: Chance) -> Run {
    let mut walk = Walk::begin(base, chance, question.days);
    let sittings = &base.person.sittings;
    let mut stops = question.at.iter().peekable();
    let mut sat = false;
    for day in 0..=question.days {
        if sat && walk.run.after.len() < question.first {
            let ready = walk.recalls.ready(base, &walk.cards, day);
            walk.run.after.push(ready);
        }
        while stops.next_if_eq(&&day).is_some() {
            let ready = walk.recalls.ready(base, &walk.cards, day);
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
    plan: Option<(&Followed, u32)>,
) -> std::collections::BTreeSet<u32> {
    let mut walk = Walk::begin(base, Chance::of_run(0, 0), 1);
    walk.chosen_beside(spots, plan)
}

impl<'a> Walk<'a> {
    fn begin(base: &'a Base<'a>, chance: Chance, days: u32) -> Self {
        let cards = &base.person.cards;
        let mut pools = vec![Vec::new(); base.families];
        for (at, card) in (0u32..).zip(cards) {
            if card.spot && card.memory.is_some() {
                pools[usize::from(card.family)].push(at);
            }
        }
        let mut spots_of = base.person.spot_checks.clone();
        spots_of.resize(base.families, 0);
        Self {
            base,
            chance,
            cards: Cards::of(base, chance, days),
            recalls: Recalls::default(),
            fresh: base.fresh.clone(),
            rules: base.rules.clone(),
            manner: base.person.manner,
            behind: base.behind.clone(),
            opening: Vec::new(),
            spots_of,
            pools,
            awake: Vec::new(),
            pool: Pool::default(),
            early: Pool::default(),
            chosen: Vec::new(),
            planned: Vec::new(),
            spotted: Vec::new(),
            fix_on: vec![-1; cards.len()],
            left: 0.0,
            run: Run::default(),
        }
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
            let right = self.answer(card, expected.recall, day);
            if right { 1.0 } else { person.answers.miss }
        } else {
            self.meet(card, day);
            person.answers.first
        };
        let seconds = self.base.seconds[at] * times;
        self.left -= seconds;
        self.run.seconds += seconds;
    }

    /// Draws the answer to a met card; tells whether it was right at once.
    fn answer(&mut self, card: u32, recall: Option<f64>, day: u32) -> bool {
        let answers = &self.base.person.answers;
        let turn = self.cards.turns[card as usize];
        let drawn = self.chance.draw(Draw::Answer, card, turn);
        let grade = person::grade(answers, recall.unwrap_or(answers.guess), drawn);
        let right = grade.recalled();
        if recall.is_some() {
            self.run.reviews += 1;
            self.run.right += usize::from(right);
            self.manner.imagine(right);
        }
        match recall {
            Some(_) if !right => {
                let again = self.again(card, turn + 1);
                self.cards.answer(card, day, grade, Some(again));
            }
            None if !right => {
                // A wrong guess is no review: what comes after it is the first.
                let again = self.again(card, turn);
                self.cards.answer(card, day, again, None);
            }
            _ => self.cards.answer(card, day, grade, None),
        }
        right
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
        self.answer(card, None, day);
        if person.cards[at].spot {
            self.pools[usize::from(person.cards[at].family)].push(card);
        }
    }

    /// Draws the answer of a missed card when it comes again near the end of the sitting.
    fn again(&self, card: u32, turn: u32) -> Grade {
        let answers = &self.base.person.answers;
        let drawn = self.chance.draw(Draw::Again, card, turn);
        person::grade(answers, answers.again, drawn)
    }

    fn finish(mut self, question: &Question) -> Run {
        let person = self.base.person;
        let (mut known, mut shares) =
            (vec![0.0; self.base.families], vec![0.0; self.base.families]);
        self.run.above = vec![0; question.targets.len()];
        self.recalls.all(self.base, &self.cards, question.days);
        for (at, card) in person.cards.iter().enumerate() {
            let recall = self
                .cards
                .is_remembered(at)
                .then_some(self.recalls.found[at]);
            let family = usize::from(card.family);
            self.run.known += recall.unwrap_or(0.0) / count(person.cards.len());
            known[family] += card.share * recall.unwrap_or(0.0);
            shares[family] += card.share;
            for (above, target) in self.run.above.iter_mut().zip(&question.targets) {
                *above += usize::from(recall.is_some_and(|recall| *target <= recall));
            }
        }
        let share = |(known, all): (&f64, &f64)| if 0.0 < *all { known / all } else { 0.0 };
        self.run.apart = self.apart(question);
        self.run.families = known.iter().zip(&shares).map(share).collect();
        self.run
    }

    /// Returns the job-weighted recall of the cards told apart, whose recall on the last morning was
    /// worked out.
    fn apart(&self, question: &Question) -> f64 {
        let cards = self.base.person.cards.iter().zip(&question.apart);
        let (mut known, mut shares) = (0.0, 0.0);
        for (at, (card, _)) in cards.enumerate().filter(|(_, (_, apart))| **apart) {
            shares += card.share;
            if self.cards.is_remembered(at) {
                known += card.share * self.recalls.found[at];
            }
        }
        if 0.0 < shares { known / shares } else { 0.0 }
    }
}

pub(crate) fn number(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
