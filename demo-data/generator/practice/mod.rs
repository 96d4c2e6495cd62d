//! The jobs of the practice shop: those written by hand, and those that follow from fault models.
//!
//! Everything here is invented. How often a fault occurs says nothing about any real board.

mod calendar;
mod chance;
mod fixed;
mod good;
mod job;
mod model;
mod reading;
mod set_pieces;
mod words;

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde_json::Value;

use self::calendar::Slot;
use self::chance::Chance;
use self::good::Good;
use self::job::Again;
use self::job::Made;
use self::model::BoardModel;
use self::model::Bounce;
use self::model::Fault;

const BY_HAND: &str = include_str!("../by-hand.jsonl");

/// Another number makes another shop; with this one the shares come close to what they should be.
const SEED: u64 = 20_261_132;

/// A line of the file with what orders it.
struct Row {
    day: NaiveDate,
    number: u32,
    text: String,
}

fn by_hand() -> Vec<Row> {
    let rows = BY_HAND.lines().map(|text| {
        let job: Value = serde_json::from_str(text).expect("a job by hand is JSON");
        let day = job["closed_on"].as_str().and_then(|day| day.parse().ok());
        let number = job["job"].as_str().and_then(|n| n.strip_prefix("W-"));
        Row {
            day: day.expect("a job by hand has its day"),
            number: number
                .and_then(|n| n.parse().ok())
                .expect("a job by hand has its number"),
            text: text.to_owned(),
        }
    });
    rows.collect()
}

/// The shop while it is being made.
pub(crate) struct Shop {
    pub(crate) boards: Vec<BoardModel>,
    pub(crate) goods: BTreeMap<String, Good>,
    pub(crate) slots: Vec<Slot>,
    pub(crate) is_free: Vec<bool>,
    pub(crate) made: Vec<Made>,
}

impl Shop {
    /// Takes the first free slot from `from` to `to`.
    pub(crate) fn take(&mut self, from: NaiveDate, to: NaiveDate) -> Option<Slot> {
        let fits = |slot: &Slot| from <= slot.day && slot.day <= to;
        let slots = self.slots.iter().zip(&self.is_free);
        let at = slots.clone().position(|(slot, free)| *free && fits(slot))?;
        self.is_free[at] = false;
        Some(self.slots[at])
    }

    fn fault(&self, board: usize, id: &str) -> &Fault {
        let faults = &self.boards[board].faults;
        let found = faults.iter().find(|fault| fault.id == id);
        found.unwrap_or_else(|| panic!("{} has no fault {id}", self.boards[board].id))
    }

    fn make(
        &self,
        board: usize,
        fault: &str,
        slot: Slot,
        again: Option<&Again>,
        chance: &mut Chance,
    ) -> Made {
        let model = &self.boards[board];
        let good = &self.goods[&model.id];
        job::make(model, good, self.fault(board, fault), slot, again, chance)
    }
}

/// Tells whether and why this repair comes back.
fn bounce(fault: &Fault, made: &Made, chance: &mut Chance) -> Option<Bounce> {
    let drawn = u32::try_from(chance.below(100)).expect("below a hundred");
    let mut sum = 0;
    let found = fault.bounces.iter().find(|bounce| {
        sum += bounce.percent;
        drawn < sum
    });
    let mended = made.text("outcome") != Some("no-fix") && made.text("unit").is_some();
    found.filter(|_| mended).cloned()
}

/// Marks `first` as come back and makes the job it came back with.
fn come_back(shop: &mut Shop, board: usize, first: usize, bounce: &Bounce, chance: &mut Chance) {
    let day = shop.made[first].slot.day;
    let soon = calendar::later(day, 5 + chance.below(40));
    let Some(slot) = shop.take(soon, calendar::later(day, 84)) else {
        return;
    };
    let earlier = &mut shop.made[first];
    let words = |value: Option<&Value>| {
        let list = value.and_then(Value::as_array).into_iter().flatten();
        let list: Vec<String> = list.filter_map(Value::as_str).map(str::to_owned).collect();
        list
    };
    let again = Again {
        unit: earlier
            .text("unit")
            .expect("only a known unit comes back")
            .to_owned(),
        rev: earlier.text("rev").map(str::to_owned),
        environment: words(earlier.fields.get("environment")),
        follows: earlier
            .text("job")
            .filter(|_| chance.percent(85))
            .map(str::to_owned),
    };
    let other = bounce.cause == "new-damage";
    earlier.set(
        "outcome",
        if other {
            "bounced-other-fault"
        } else {
            "bounced-same-fault"
        },
    );
    earlier.set("bounce_cause", bounce.cause.as_str());
    let fault = bounce
        .again
        .clone()
        .unwrap_or_else(|| earlier.fault.clone());
    let made = shop.make(board, &fault, slot, Some(&again), chance);
    shop.made.push(made);
}

/// Returns the text of jobs/practice.jsonl.
pub(crate) fn jobs() -> String {
    let mut rows = by_hand();
    let taken: Vec<(u32, NaiveDate)> = rows.iter().map(|row| (row.number, row.day)).collect();
    let slots = calendar::slots(&taken);
    let boards = model::boards();
    let goods = boards
        .iter()
        .map(|board| (board.id.clone(), Good::of(&board.id)));
    let mut shop = Shop {
        goods: goods.collect(),
        is_free: vec![true; slots.len()],
        made: Vec::new(),
        boards,
        slots,
    };
    let mut chance = Chance::new(SEED);
    let mut wanted: Vec<(usize, String)> = Vec::new();
    for (at, board) in shop.boards.iter().enumerate() {
        for fault in &board.faults {
            let many = usize::try_from(fault.times).expect("a few");
            wanted.extend(std::iter::repeat_n((at, fault.id.clone()), many));
        }
    }
    chance.shuffle(&mut wanted);
    let mut places: Vec<usize> = (0..shop.slots.len()).collect();
    chance.shuffle(&mut places);
    assert!(
        wanted.len() + 60 < places.len(),
        "{} faults for {} numbers",
        wanted.len(),
        places.len()
    );
    for (board, fault) in wanted {
        // A pair to be compared is old enough to be settled.
        let sure = shop.fault(board, &fault).sure;
        let old = |at: &usize| !sure || shop.slots[*at].day < calendar::day(2026, 5, 1);
        let next = places
            .iter()
            .position(old)
            .expect("there are more numbers than faults");
        let at = places.remove(next);
        shop.is_free[at] = false;
        let made = shop.make(board, &fault, shop.slots[at], None, &mut chance);
        shop.made.push(made);
    }
    for first in 0..shop.made.len() {
        let made = &shop.made[first];
        let board = shop
            .boards
            .iter()
            .position(|b| Some(b.id.as_str()) == made.text("board"));
        let board = board.expect("a job is of a board");
        let fault = shop.fault(board, &made.fault);
        let found = bounce(fault, made, &mut chance);
        if let Some(bounce) = found.filter(|_| made.slot.day < calendar::day(2026, 10, 12)) {
            come_back(&mut shop, board, first, &bounce, &mut chance);
        }
    }
    set_pieces::twins(&mut shop, &mut chance);
    set_pieces::returns(&mut shop, &mut chance);
    rows.extend(shop.made.iter().map(|made| Row {
        day: made.slot.day,
        number: made.slot.number,
        text: job::line(made),
    }));
    rows.sort_by_key(|row| (row.day, row.number));
    let mut text = String::new();
    for row in &rows {
        text.push_str(&row.text);
        text.push('\n');
    }
    text
}
