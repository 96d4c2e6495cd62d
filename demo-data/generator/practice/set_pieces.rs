//! What no single fault brings about: a job entered twice in other words, units that come in again.

use serde_json::Value;

use super::Shop;
use super::calendar;
use super::chance::Chance;
use super::job::Made;

/// Jobs that stand in the archive twice: from the ticket, and from the notebook under a second number.
const TWINS: usize = 8;

/// Units that come in again, long after, with something else: as many say so, and as many do not.
const RETURNS: usize = 8;

fn is_plain(made: &Made) -> bool {
    let ticket = made.text("source") == Some("ticket");
    let held = made.text("outcome") == Some("held") && made.text("proof").is_some();
    ticket && held && made.text("follows").is_none()
}

/// The same reading, as somebody else wrote it down later.
fn retold(finding: &Value) -> Value {
    let mut told = finding.clone();
    let Some(fields) = told.as_object_mut() else {
        return told;
    };
    if finding["kind"] == "other" || finding["kind"] == "visual" {
        let words = ["name", "sign", "where", "value"].iter();
        let words = words.filter_map(|name| finding[*name].as_str());
        let raw = words.collect::<Vec<_>>().join(", ");
        fields.insert("raw".to_owned(), Value::String(raw));
        return told;
    }
    let place = finding["where"].as_str().unwrap_or("psu").to_owned();
    let number = ["got_v", "got_ohm", "got_a", "got_c"]
        .iter()
        .find_map(|name| {
            let number = finding.get(*name)?.to_string();
            Some(number.replace('.', ","))
        });
    let raw = number.map_or_else(
        || format!("{place}, as written"),
        |n| format!("{place} {n}"),
    );
    fields.insert("raw".to_owned(), Value::String(raw));
    told
}

/// Enters some jobs a second time.
pub(crate) fn twins(shop: &mut Shop, chance: &mut Chance) {
    let mut at: Vec<usize> = (0..shop.made.len()).collect();
    chance.shuffle(&mut at);
    let mut left = TWINS;
    for at in at {
        let first = &shop.made[at];
        let old = first.slot.day < calendar::day(2026, 1, 20);
        if left == 0 || !is_plain(first) || !old || first.findings().len() < 4 {
            continue;
        }
        let day = first.slot.day;
        let mut twin = first.clone();
        let Some(slot) = shop.take(day, calendar::later(day, 4)) else {
            continue;
        };
        left -= 1;
        twin.slot = slot;
        twin.set("id", format!("sk-{:04}", slot.number));
        twin.set("job", format!("W-{:04}", slot.number));
        twin.set("closed_on", slot.day.to_string());
        let before = twin.findings().iter().filter(|f| f.get("when").is_none());
        let before: Vec<Value> = before.take(3).map(retold).collect();
        twin.set("findings", before);
        for lost in [
            "unit",
            "rev",
            "proof",
            "minutes",
            "minutes_to_find",
            "value",
            "parts_cost",
            "with",
        ] {
            twin.fields.remove(lost);
        }
        let done = twin.fields["actions"].as_array().into_iter().flatten();
        let done: Vec<Value> = done.filter(|a| a["role"] == "the-fix").cloned().collect();
        twin.set("actions", done);
        twin.set("confidence", "likely");
        twin.set("outcome", "unknown-so-far");
        twin.set("entered_by", "rn");
        let typed = if slot.day < calendar::day(2025, 3, 3) {
            calendar::day(2025, 3, 13)
        } else {
            calendar::day(2026, 2, 19)
        };
        twin.set("entered_on", typed.to_string());
        twin.set("source", "notebook");
        twin.set("note", "from the notebook, ticket number not noted there");
        shop.made.push(twin);
    }
}

/// Gives some later jobs the unit of an earlier one.
pub(crate) fn returns(shop: &mut Shop, chance: &mut Chance) {
    let mut order: Vec<usize> = (0..shop.made.len()).collect();
    chance.shuffle(&mut order);
    let mut used: Vec<usize> = Vec::new();
    let mut left = 2 * RETURNS;
    for &later in &order {
        let new = &shop.made[later];
        let came_back = new.fields["complaint"][0] == "failed-after-earlier-repair";
        if left == 0 || came_back || new.text("unit").is_none() || used.contains(&later) {
            continue;
        }
        let bounced = |made: &Made| made.fields.contains_key("bounce_cause");
        let fits = |at: &&usize| {
            let old = &shop.made[**at];
            let same = |field| old.text(field) == new.text(field);
            let days = (new.slot.day - old.slot.day).num_days();
            let whole = is_plain(old) && old.text("unit").is_some() && !bounced(new);
            whole
                && same("board")
                && same("rev")
                && old.fault != new.fault
                && days > 130
                && !used.contains(at)
        };
        let Some(&earlier) = order.iter().find(fits) else {
            continue;
        };
        used.extend([earlier, later]);
        let unit = shop.made[earlier]
            .text("unit")
            .map(str::to_owned)
            .expect("it has one");
        let number = shop.made[earlier]
            .text("job")
            .map(str::to_owned)
            .expect("it has one");
        shop.made[later].set("unit", unit);
        if left.is_multiple_of(2) {
            shop.made[later].set("follows", number);
        }
        left -= 1;
    }
}
