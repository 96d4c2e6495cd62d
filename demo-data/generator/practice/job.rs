//! One job from a fault: who had it on the bench, what was read, tried, mended and written down.

use std::collections::BTreeMap;

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use benchlore::domain::job::UNLOCATED;

use super::calendar;
use super::calendar::Slot;
use super::chance::Chance;
use super::fixed::Fixed;
use super::fixed::step_ohm;
use super::good::Good;
use super::model::BoardModel;
use super::model::Fault;
use super::model::Gate;
use super::model::Line;
use super::model::NoFix;
use super::reading;
use super::reading::Bench;

/// Last closing day whose warranty of 90 days has run out on 20 November 2026.
pub(crate) fn last_settled() -> chrono::NaiveDate {
    calendar::day(2026, 8, 21)
}

/// A job that is made but not yet a line.
#[derive(Clone, Debug)]
pub(crate) struct Made {
    pub(crate) slot: Slot,
    pub(crate) fault: String,
    pub(crate) fields: Map<String, Value>,
}

impl Made {
    pub(crate) fn text(&self, field: &str) -> Option<&str> {
        self.fields.get(field).and_then(Value::as_str)
    }

    pub(crate) fn set(&mut self, field: &str, value: impl Into<Value>) {
        self.fields.insert(field.to_owned(), value.into());
    }

    /// Returns the findings that a job's text holds.
    pub(crate) fn findings(&self) -> &[Value] {
        self.fields["findings"]
            .as_array()
            .map_or(&[], Vec::as_slice)
    }
}

/// What a job takes over from the one it follows.
#[derive(Clone, Debug)]
pub(crate) struct Again {
    pub(crate) unit: String,
    pub(crate) rev: Option<String>,
    pub(crate) environment: Vec<String>,
    /// The number of the earlier job, if someone wrote it down.
    pub(crate) follows: Option<String>,
}

/// Fields in the order in which a line holds them.
const ORDER: [&str; 29] = [
    "v",
    "id",
    "job",
    "closed_on",
    "closed_by",
    "with",
    "board",
    "rev",
    "unit",
    "follows",
    "complaint",
    "findings",
    "family",
    "contributing",
    "actions",
    "no_fix_reason",
    "outcome",
    "bounce_cause",
    "confidence",
    "proof",
    "minutes_to_find",
    "minutes",
    "value",
    "parts_cost",
    "environment",
    "entered_by",
    "entered_on",
    "source",
    "note",
];

/// Returns the line of a job.
pub(crate) fn line(made: &Made) -> String {
    let mut ordered = Map::new();
    for field in ORDER {
        if let Some(value) = made.fields.get(field) {
            ordered.insert(field.to_owned(), value.clone());
        }
    }
    assert_eq!(
        ordered.len(),
        made.fields.len(),
        "a field has no place in the order"
    );
    Value::Object(ordered).to_string()
}

/// What happened to the board before it came in.
struct Story {
    complaint: Vec<String>,
    environment: Vec<String>,
}

impl Story {
    fn of(fault: &Fault, again: Option<&Again>, chance: &mut Chance) -> Self {
        let mut complaint = chance.weighted(&fault.complaints).clone();
        let mut environment = Vec::new();
        if let Some(again) = again {
            // The new complaint is of what it came back with; how the board got wet is old news.
            complaint
                .retain(|c| !["liquid-entry", "impact", "surge-or-miswire"].contains(&c.as_str()));
            complaint.insert(0, "failed-after-earlier-repair".to_owned());
            environment.clone_from(&again.environment);
        }
        let has = |word: &str| complaint.iter().any(|c| c == word);
        let other_liquid = fault.environment.iter().any(|(_, what)| what == "oil");
        if has("liquid-entry") && !other_liquid {
            let water = [(88, "salt-water"), (12, "fresh-water")];
            environment.push((*chance.weighted(&water)).to_owned());
        }
        if has("impact") {
            environment.push("impact".to_owned());
        }
        for (percent, what) in &fault.environment {
            if chance.percent(*percent) {
                environment.push(what.clone());
            }
        }
        let mut seen = Vec::new();
        environment.retain(|e| {
            let new = !seen.contains(e);
            seen.push(e.clone());
            new
        });
        Self {
            complaint,
            environment,
        }
    }

    fn lets(&self, gate: Gate) -> bool {
        let was_in = |words: &[&str]| self.environment.iter().any(|e| words.contains(&e.as_str()));
        let wet = was_in(&["salt-water", "fresh-water", "sugar", "oil"]);
        match gate {
            Gate::Always => true,
            Gate::Dry => !wet,
            Gate::Wet => wet,
            Gate::Impact => was_in(&["impact"]),
            Gate::Surge => self.complaint.iter().any(|c| c == "surge-or-miswire"),
        }
    }

    /// Picks what is met this time; everything if all is `whole`.
    fn met<'a>(&self, lines: &'a [Line], whole: bool, chance: &mut Chance) -> Vec<&'a Line> {
        let mut met = Vec::new();
        for line in lines {
            // Drawn first, so that a gate does not shift the draws behind it.
            let drawn = chance.percent(line.percent);
            if self.lets(line.gate) && (drawn || whole) {
                met.push(line);
            }
        }
        met
    }
}

fn is_electrical(line: &Line) -> bool {
    line.words[0] != "see"
}

/// What is written down before anything is done: at least two readings, unless the record is thin.
fn before<'a>(story: &Story, fault: &'a Fault, thin: bool, chance: &mut Chance) -> Vec<&'a Line> {
    let mut met = story.met(&fault.before, fault.sure, chance);
    if thin {
        chance.shuffle(&mut met);
        met.truncate(2);
    }
    let wanted = if thin { 1 } else { 2 };
    let mut spare: Vec<&Line> = fault.before.iter().filter(|l| is_electrical(l)).collect();
    spare.sort_by_key(|line| std::cmp::Reverse(line.percent));
    for line in spare {
        let enough = met.iter().filter(|l| is_electrical(l)).count() >= wanted;
        let there = met.iter().any(|l| l.words == line.words);
        if !enough && !there && story.lets(line.gate) {
            met.push(line);
        }
    }
    if !fault.sure && chance.percent(45) {
        chance.shuffle(&mut met);
    }
    met
}

fn act(words: &[String], role: &str) -> Value {
    json!({"act": words[0], "part": words[1], "role": role})
}

fn hex(chance: &mut Chance) -> String {
    format!("{:08x}", chance.below(1 << 32))
}

/// Days on which old notebooks were typed in, by the office.
fn typed_in(slot: Slot, chance: &mut Chance) -> chrono::NaiveDate {
    let first = if slot.day < calendar::day(2025, 3, 3) {
        calendar::day(2025, 3, 10)
    } else {
        calendar::day(2026, 2, 16)
    };
    calendar::later(first, chance.below(4))
}

/// A job while it is made: what its parts share.
struct Making<'a> {
    fault: &'a Fault,
    story: Story,
    bench: Bench<'a>,
    again: Option<&'a Again>,
    /// A record from a notebook, with little in it.
    thin: bool,
}

/// What was done, and what proved it.
#[derive(Default)]
struct Work {
    actions: Vec<Value>,
    after: Vec<Value>,
    proof: Option<String>,
}

impl Making<'_> {
    /// Which board it is, and whose complaint.
    fn heading(&self, made: &mut Made, who: &str, chance: &mut Chance) {
        let (slot, fault) = (made.slot, self.fault);
        made.set("v", 1);
        made.set("id", format!("sk-{:04}", slot.number));
        made.set("job", format!("W-{:04}", slot.number));
        made.set("closed_on", slot.day.to_string());
        made.set("closed_by", who);
        made.set("board", self.bench.board.id.as_str());
        let rev = chance.weighted(&fault.revs).clone();
        let rev = self.again.map_or(Some(rev), |again| again.rev.clone());
        if let Some(rev) = rev.filter(|rev| rev != "?" && (!self.thin || chance.percent(50))) {
            made.set("rev", rev);
        }
        let unit = hex(chance);
        let unit = self.again.map_or(unit, |again| again.unit.clone());
        let noted = chance.percent(if self.thin { 35 } else { 93 });
        if noted || self.again.is_some() || fault.always_comes_back() {
            made.set("unit", unit);
        }
        if let Some(number) = self.again.and_then(|again| again.follows.clone()) {
            made.set("follows", number);
        }
        made.set("complaint", json!(self.story.complaint));
        if !self.story.environment.is_empty() {
            made.set("environment", json!(self.story.environment));
        }
        made.set("family", fault.family.as_str());
        let mut contributing = Vec::new();
        for (percent, family) in &fault.contributing {
            if chance.percent(*percent) && !self.thin {
                contributing.push(family.as_str());
            }
        }
        if !contributing.is_empty() {
            made.set("contributing", json!(contributing));
        }
    }

    /// What was tried, mended and measured afterwards.
    fn work(&self, is_mended: bool, chance: &mut Chance) -> Work {
        let fault = self.fault;
        let mut work = Work::default();
        let vain = self.story.met(&fault.vain, fault.sure, chance);
        let vain = vain.iter().map(|line| act(&line.words, "tried-no-effect"));
        work.actions.extend(vain);
        if !is_mended {
            return work;
        }
        let fixes = fault.fixes.iter();
        let fixes = fixes.map(|(act, part)| json!({"act": act, "part": part, "role": "the-fix"}));
        work.actions.extend(fixes);
        let also = self.story.met(&fault.also, false, chance);
        let also = also.iter().map(|line| act(&line.words, "also-done"));
        work.actions.extend(also);
        let likely = if self.thin { 25 } else { 94 };
        if fault.proofs.is_empty() || !(fault.sure || chance.percent(likely)) {
            return work;
        }
        let mut first = None;
        for (at, line) in fault.after.iter().enumerate() {
            if at == 0 || fault.sure || chance.percent(line.percent) {
                let (value, number) = reading::finding(&self.bench, line, true, chance);
                first.get_or_insert(number);
                work.after.push(value);
            }
        }
        let number = first.unwrap_or_default();
        let mut text = chance.pick(&fault.proofs).replace("{}", &number);
        for (name, value) in self.bench.shared {
            text = text.replace(&format!("{{{name}}}"), &value.text());
        }
        work.proof = Some(text);
        work
    }

    /// Time, money and what else is noted.
    fn costs(&self, made: &mut Made, is_mended: bool, chance: &mut Chance) {
        let fault = self.fault;
        let find = chance.between(fault.find.0, fault.find.1);
        let mend = chance.between(fault.mend.0, fault.mend.1);
        let five = |minutes: i64| (minutes + 2) / 5 * 5;
        if !is_mended {
            made.set("minutes", five(find + mend / 2));
        } else if !self.thin {
            made.set("minutes_to_find", five(find));
            made.set("minutes", five(find + mend));
            if let Some(parts) = fault.parts {
                made.set("parts_cost", parts.value());
            }
        }
        let value = self.bench.board.value.map(Fixed::value);
        if let Some(value) = value.filter(|_| !self.thin) {
            made.set("value", value);
        }
        if made.text("note").is_none() && !self.thin {
            let note = fault
                .notes
                .iter()
                .find(|(percent, _)| chance.percent(*percent));
            if let Some((_, note)) = note {
                made.set("note", note.as_str());
            }
        }
    }
}

/// Makes a job of `fault` that closed in `slot`.
pub(crate) fn make(
    board: &BoardModel,
    good: &Good,
    fault: &Fault,
    slot: Slot,
    again: Option<&Again>,
    chance: &mut Chance,
) -> Made {
    let story = Story::of(fault, again, chance);
    let everyone = ["mk", "tl", "dw"].map(str::to_owned).to_vec();
    let by = if fault.by.is_empty() {
        &everyone
    } else {
        &fault.by
    };
    let who = chance.pick(by).clone();
    let old = slot.day < calendar::day(2026, 2, 1);
    let whole = fault.sure || fault.always_comes_back() || again.is_some();
    let thin = chance.percent(15) && !whole && old;
    let mut shared = BTreeMap::new();
    for (name, value) in &fault.shared {
        let drawn = reading::draw(value, &shared, chance);
        shared.insert(name.clone(), drawn.rounded(step_ohm(drawn)));
    }
    let writer = if thin { "rn" } else { who.as_str() };
    let bench = Bench {
        board,
        good,
        shared: &shared,
        who: writer,
    };
    let mut findings = Vec::new();
    let mut met = before(&story, fault, thin, chance);
    if met.iter().all(|line| is_electrical(line)) && !thin && !fault.sure {
        met.extend(story.met(&board.looks, false, chance).first());
    }
    for line in met {
        findings.push(reading::finding(&bench, line, false, chance).0);
    }
    let mut made = Made {
        slot,
        fault: fault.id.clone(),
        fields: Map::new(),
    };
    let making = Making {
        fault,
        story,
        bench,
        again,
        thin,
    };
    making.heading(&mut made, &who, chance);
    let no_fix = given_up(fault, chance);
    let work = making.work(no_fix.is_none(), chance);
    findings.extend(work.after);
    made.set("findings", findings);
    made.set("actions", work.actions);
    match no_fix {
        Some(no_fix) => left_alone(&mut made, no_fix, chance),
        None => ending(&mut made, &making, work.proof, chance),
    }
    making.costs(&mut made, no_fix.is_none(), chance);
    if !thin && chance.percent(4) {
        let other = chance.pick(&everyone).clone();
        if other != who {
            made.set("with", other);
        }
    }
    entered(&mut made, thin, &who, chance);
    made
}

/// Draws whether and why the board is given up.
fn given_up<'a>(fault: &'a Fault, chance: &mut Chance) -> Option<&'a NoFix> {
    if fault.no_fixes.is_empty() {
        return None;
    }
    let drawn = u32::try_from(chance.below(100)).expect("below a hundred");
    let mut sum = 0;
    fault.no_fixes.iter().find(|no_fix| {
        sum += no_fix.percent;
        drawn < sum
    })
}

/// How a board went back that was not mended.
fn left_alone(made: &mut Made, no_fix: &NoFix, chance: &mut Chance) {
    made.set("no_fix_reason", no_fix.reason.as_str());
    made.set("outcome", "no-fix");
    let proved = chance.percent(50);
    made.set("confidence", if proved { "proved" } else { "likely" });
    if no_fix.reason == "not-located-in-time-box" {
        made.set("family", UNLOCATED);
        made.set("confidence", "likely");
        made.fields.remove("contributing");
    }
    if let Some(note) = &no_fix.note {
        made.set("note", note.as_str());
    }
}

/// How a mended board went out.
fn ending(made: &mut Made, making: &Making<'_>, proof: Option<String>, chance: &mut Chance) {
    let fault = making.fault;
    let settled = made.slot.day <= last_settled();
    let said = fault.sure || chance.percent(80);
    let held = settled && said && !fault.always_comes_back();
    made.set("outcome", if held { "held" } else { "unknown-so-far" });
    let confidence = match &proof {
        Some(_) => "proved",
        None if chance.percent(20) && making.thin => "guessed",
        None => "likely",
    };
    made.set("confidence", confidence);
    if let Some(proof) = proof {
        made.set("proof", proof);
    }
}

fn entered(made: &mut Made, thin: bool, who: &str, chance: &mut Chance) {
    let slot = made.slot;
    if thin {
        made.set("entered_by", "rn");
        made.set("entered_on", typed_in(slot, chance).to_string());
        made.set("source", "notebook");
        return;
    }
    let late = chance.percent(7);
    let days = if late { 1 + chance.below(4) } else { 0 };
    let by_office = late && chance.percent(40);
    made.set("entered_by", if by_office { "rn" } else { who });
    let day = if late {
        calendar::later(slot.day, days)
    } else {
        slot.day
    };
    made.set("entered_on", day.to_string());
    made.set("source", "ticket");
}
