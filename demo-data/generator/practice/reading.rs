//! From a line of a fault to one finding of a job.
//!
//! `current STATE DRAW [A [A]]`, `rail PLACE STATE V`, `res PLACE OHM`, `diode PLACE V`,
//! `sig NAME STATE VERDICT [V]`, `heat PLACE STATE C`, `see PLACE SIGN EXTENT`, `other NAME VALUE`.
//! A value is a number, a range, `@name` (a shared quantity), `@name*2.1..2.4`, or `ok`: as good.
//! The verdict of a number is worked out from the good reading, as a technician's table does it.

use std::collections::BTreeMap;

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use super::chance::Chance;
use super::fixed::Fixed;
use super::fixed::ONE;
use super::fixed::step_a;
use super::fixed::step_hz;
use super::fixed::step_ohm;
use super::fixed::step_v;
use super::good;
use super::good::Good;
use super::model::BoardModel;
use super::model::Line;
use super::words;
use super::words::Said;

/// What a job's readings have in common.
pub(crate) struct Bench<'a> {
    pub(crate) board: &'a BoardModel,
    pub(crate) good: &'a Good,
    pub(crate) shared: &'a BTreeMap<String, Fixed>,
    /// Initials of the person who writes.
    pub(crate) who: &'a str,
}

/// Draws a value: see the head of this file.
pub(crate) fn draw(text: &str, shared: &BTreeMap<String, Fixed>, chance: &mut Chance) -> Fixed {
    if let Some(name) = text.strip_prefix('@') {
        let (name, factor) = name.split_once('*').unwrap_or((name, "1"));
        return shared[name].times(draw(factor, shared, chance));
    }
    let read = |text| Fixed::read(text).unwrap_or_else(|| panic!("a value, not {text:?}"));
    let (low, high) = text.split_once("..").unwrap_or((text, text));
    let (low, high) = (read(low), read(high));
    Fixed(chance.between(low.0, high.0))
}

/// Returns the number after `word`, as in `limit 1`.
fn named(words: &[String], word: &str) -> Option<String> {
    let at = words.iter().position(|w| w == word)?;
    words.get(at + 1).cloned()
}

fn near(good: Fixed, low: &str, high: &str, chance: &mut Chance) -> Fixed {
    let factor = draw(&format!("{low}..{high}"), &BTreeMap::new(), chance);
    good.times(factor)
}

fn rail_verdict(got: Fixed, nominal: Fixed) -> &'static str {
    let (got, of) = (got.0 * 100, nominal.0);
    match got {
        _ if got < of * 5 => "absent",
        _ if got < of * 95 => "low",
        _ if got > of * 105 => "high",
        _ => "in-band",
    }
}

fn resistance_verdict(got: Fixed, good: Option<Fixed>, core: bool) -> &'static str {
    let small_is_right = core || good.is_some_and(|good| good.0 < ONE);
    match good {
        _ if got.0 < ONE && !small_is_right => "hard-short",
        Some(good) if got.0 * 2 <= good.0 => "low",
        Some(good) if got.0 >= good.0 * 2 => "high",
        Some(_) => "as-reference",
        // Without a good reading nobody can say that it is as one.
        None => "",
    }
}

fn diode_verdict(got: Fixed, good: Fixed) -> &'static str {
    match got.0 {
        ..50_000 => "short",
        _ if got.0 * 10 <= good.0 * 9 => "low",
        _ if got.0 * 10 > good.0 * 11 => "high",
        _ => "as-reference",
    }
}

type Fields = Map<String, Value>;

fn put(fields: &mut Fields, name: &str, value: impl Into<Value>) {
    fields.insert(name.to_owned(), value.into());
}

fn current(bench: &Bench<'_>, words: &[String], chance: &mut Chance) -> (Fields, Said) {
    let (state, code) = (words[1].as_str(), words[2].as_str());
    let value = |at: usize, chance: &mut Chance| {
        let drawn = draw(&words[at], bench.shared, chance);
        drawn.rounded(step_a(drawn))
    };
    let mut said = Said {
        kind: "current",
        state: state.to_owned(),
        code: if code == "ok" {
            "normal".to_owned()
        } else {
            code.to_owned()
        },
        ..Said::default()
    };
    let supply = named(words, "supply").map_or(bench.board.supply, |text| Fixed::read(&text));
    let limit = named(words, "limit").filter(|_| code != "limit");
    let asked = words
        .iter()
        .skip(3)
        .position(|w| w == "limit")
        .map(|at| words[at + 4].clone());
    // What a good board draws was taken with a limit of its own.
    let as_good = bench
        .good
        .reading("current", "", Some(state))
        .filter(|_| code == "ok");
    let usual = as_good.map_or(bench.board.limit, |good| good::fixed(good, "limit_a"));
    let limit = limit.or(asked).map_or(usual, |text| Fixed::read(&text));
    let mut fields = Fields::new();
    put(&mut fields, "kind", "current");
    put(&mut fields, "state", state);
    put(&mut fields, "draw", said.code.as_str());
    match code {
        "zero" => {
            let mains = supply.is_some_and(|v| v.0 > 100 * ONE);
            put(
                &mut fields,
                "resolution_a",
                json!(if mains { 0.01 } else { 0.001 }),
            );
            said.got = Some(Fixed(0));
        }
        "cycling" => {
            said.low = Some(value(3, chance));
            said.high = Some(value(4, chance));
            said.period = named(words, "period")
                .filter(|_| chance.percent(40))
                .map(|text| draw(&text, bench.shared, chance).rounded(ONE));
        }
        "limit" => {
            let volts = draw(&words[3], bench.shared, chance);
            said.got = Some(volts.rounded(100_000));
            said.limit = limit;
        }
        "ok" => {
            let good = bench.good.reading("current", "", Some(state));
            let good = good
                .and_then(|g| good::fixed(g, "got_a"))
                .expect("a good draw is known");
            let near = near(good, "0.98", "1.03", chance);
            said.got = Some(near.rounded(step_a(near)));
        }
        _ => said.got = Some(value(3, chance)),
    }
    if let Some(period) = said.period {
        put(&mut fields, "period_s", period.value());
    }
    for (name, value) in [("low_a", said.low), ("high_a", said.high)] {
        if let Some(value) = value {
            put(&mut fields, name, value.value());
        }
    }
    if let Some(got) = said.got {
        let name = if code == "limit" {
            "collapsed_v"
        } else {
            "got_a"
        };
        put(&mut fields, name, got.value());
    }
    for (name, value) in [("supply_v", supply), ("limit_a", limit)] {
        if let Some(value) = value {
            put(&mut fields, name, value.value());
        }
    }
    (fields, said)
}

fn rail(bench: &Bench<'_>, words: &[String], chance: &mut Chance) -> (Fields, Said) {
    let (place, state) = (words[1].as_str(), words[2].as_str());
    let good = bench.good.reading("rail", place, Some(state));
    let nominal = named(words, "nom").and_then(|text| Fixed::read(&text));
    let nominal = nominal.or(good.and_then(|g| good::fixed(g, "expect_v")));
    let nominal = nominal.unwrap_or_else(|| panic!("nominal of {place}"));
    let got = if words[3] == "ok" {
        let good = good
            .and_then(|g| good::fixed(g, "got_v"))
            .unwrap_or(nominal);
        near(good, "0.995", "1.006", chance)
    } else {
        draw(&words[3], bench.shared, chance)
    };
    let got = got.rounded(step_v(got));
    let own = words.get(4).filter(|w| *w != "nom").map(String::as_str);
    let code = own.unwrap_or_else(|| rail_verdict(got, nominal));
    let mut fields = Fields::new();
    put(&mut fields, "kind", "rail");
    put(&mut fields, "where", place);
    put(&mut fields, "state", state);
    put(&mut fields, "expect_v", nominal.value());
    put(&mut fields, "got_v", got.value());
    put(&mut fields, "verdict", code);
    let said = Said {
        kind: "rail",
        place: place.to_owned(),
        code: code.to_owned(),
        got: Some(got),
        ..Said::default()
    };
    (fields, said)
}

/// A resistance or a diode reading: `ok`, open, or a value against the good one.
fn meter(bench: &Bench<'_>, words: &[String], chance: &mut Chance) -> (Fields, Said) {
    let diode = words[0] == "diode";
    let (kind, field, good_field, unit) = if diode {
        ("diode", "got_v", "good_v", "got_v")
    } else {
        ("resistance", "got_ohm", "good_ohm", "got_ohm")
    };
    let (place, value) = (words[1].as_str(), words[2].as_str());
    let good = named(words, "good").and_then(|text| Fixed::read(&text));
    let known = bench.good.reading(kind, place, None);
    let good = good.or(known.and_then(|g| good::fixed(g, unit)));
    let step = if diode { |_| 10_000 } else { step_ohm };
    let got = match value {
        "OL" | "open" => None,
        "ok" => {
            let good = good.unwrap_or_else(|| panic!("good reading of {place}"));
            Some(near(good, "0.965", "1.02", chance))
        }
        value => Some(draw(value, bench.shared, chance)),
    };
    let got = got.map(|got| got.rounded(step(got)));
    let code = match (got, diode) {
        (None, true) => "OL",
        (None, false) => "open",
        (Some(got), true) => diode_verdict(got, good.expect("a diode has a good reading")),
        (Some(got), false) => resistance_verdict(got, good, bench.good.is_core(place)),
    };
    let mut fields = Fields::new();
    put(&mut fields, "kind", kind);
    put(&mut fields, "where", place);
    match got {
        Some(got) => put(&mut fields, field, got.value()),
        None => put(&mut fields, "q", "OL"),
    }
    if let Some(good) = good {
        put(&mut fields, good_field, good.value());
    }
    if !code.is_empty() {
        put(&mut fields, "verdict", code);
    }
    if diode {
        put(&mut fields, "polarity", "red-to-ground");
    } else {
        put(&mut fields, "source_off", true);
    }
    let said = Said {
        kind,
        place: place.to_owned(),
        code: code.to_owned(),
        got,
        good,
        ..Said::default()
    };
    (fields, said)
}

fn signal(bench: &Bench<'_>, words: &[String], chance: &mut Chance) -> (Fields, Said) {
    let (name, state) = (words[1].as_str(), words[2].as_str());
    let known = bench.good.reading("signal", name, Some(state));
    let in_hz = known.and_then(|g| good::fixed(g, "got_hz"));
    let good = named(words, "good").and_then(|text| Fixed::read(&text));
    let good = good
        .or(in_hz)
        .or(known.and_then(|g| good::fixed(g, "got_v")));
    let code = if words[3] == "ok" {
        "present"
    } else {
        words[3].as_str()
    };
    let got = match words.get(4).filter(|w| *w != "good") {
        Some(value) => {
            let drawn = draw(value, bench.shared, chance);
            Some(if in_hz.is_some() {
                drawn.rounded(step_hz(drawn))
            } else {
                drawn.rounded(step_v(drawn))
            })
        }
        None => good.filter(|_| words[3] == "ok"),
    };
    let unit = if in_hz.is_some() { "hz" } else { "v" };
    let mut fields = Fields::new();
    put(&mut fields, "kind", "signal");
    put(&mut fields, "where", name);
    put(&mut fields, "verdict", code);
    if let Some(got) = got {
        put(&mut fields, &format!("got_{unit}"), got.value());
        if let Some(good) = good {
            put(&mut fields, &format!("good_{unit}"), good.value());
        }
    }
    put(&mut fields, "state", state);
    let said = Said {
        kind: "signal",
        place: name.to_owned(),
        code: code.to_owned(),
        got,
        ..Said::default()
    };
    (fields, said)
}

fn heat(bench: &Bench<'_>, words: &[String], chance: &mut Chance) -> (Fields, Said) {
    let got = draw(&words[3], bench.shared, chance).rounded(ONE);
    let mut fields = Fields::new();
    put(&mut fields, "kind", "heat");
    put(&mut fields, "where", words[1].as_str());
    put(&mut fields, "got_c", got.value());
    if words[2] != "-" {
        put(&mut fields, "state", words[2].as_str());
    }
    let said = Said {
        kind: "heat",
        place: words[1].clone(),
        got: Some(got),
        ..Said::default()
    };
    (fields, said)
}

fn visual(words: &[String]) -> (Fields, Said) {
    let mut fields = Fields::new();
    put(&mut fields, "kind", "visual");
    put(&mut fields, "when", "before-cleaning");
    put(&mut fields, "where", words[1].as_str());
    put(&mut fields, "sign", words[2].as_str());
    put(&mut fields, "extent", words[3].as_str());
    let said = Said {
        kind: "visual",
        place: words[1].clone(),
        code: words[2].clone(),
        ..Said::default()
    };
    (fields, said)
}

fn other(words: &[String]) -> (Fields, Said) {
    let mut fields = Fields::new();
    put(&mut fields, "kind", "other");
    put(&mut fields, "name", words[1].as_str());
    put(&mut fields, "value", words[2].as_str());
    (
        fields,
        Said {
            kind: "other",
            ..Said::default()
        },
    )
}

/// Returns the finding of `line`, and its number as text for the proof.
pub(crate) fn finding(
    bench: &Bench<'_>,
    line: &Line,
    after: bool,
    chance: &mut Chance,
) -> (Value, String) {
    let words = &line.words;
    let (mut fields, said) = match words[0].as_str() {
        "current" => current(bench, words, chance),
        "rail" => rail(bench, words, chance),
        "res" | "diode" => meter(bench, words, chance),
        "sig" => signal(bench, words, chance),
        "heat" => heat(bench, words, chance),
        "see" => visual(words),
        "other" => other(words),
        kind => panic!("no kind of finding: {kind:?}"),
    };
    let number = said.got.map(Fixed::text).unwrap_or_default();
    if after {
        put(&mut fields, "when", "after-action");
    } else if !line.raw.is_empty() && chance.percent(75) {
        let raw = chance.pick(&line.raw).replace("{}", &number);
        put(&mut fields, "raw", raw);
    } else if chance.percent(62)
        && let Some(raw) = words::raw(&said, bench.who, chance)
    {
        put(&mut fields, "raw", raw);
    }
    (Value::Object(fields), number)
}
