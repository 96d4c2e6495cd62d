//! What a technician writes beside a reading: each has a way of saying it.

use super::chance::Chance;
use super::fixed::Fixed;
use super::fixed::ONE;

/// One reading, as far as words go.
#[derive(Clone, Debug, Default)]
pub(crate) struct Said {
    pub(crate) kind: &'static str,
    pub(crate) place: String,
    pub(crate) state: String,
    pub(crate) code: String,
    pub(crate) got: Option<Fixed>,
    pub(crate) good: Option<Fixed>,
    pub(crate) low: Option<Fixed>,
    pub(crate) high: Option<Fixed>,
    pub(crate) limit: Option<Fixed>,
    pub(crate) period: Option<Fixed>,
}

fn amperes(a: Fixed) -> String {
    if a.0 < ONE {
        let milli = Fixed(a.0 * 1_000);
        format!("{}mA", milli.text())
    } else {
        format!("{}A", a.text())
    }
}

/// Returns ohms as a meter's range shows them.
pub(crate) fn ohms(r: Fixed) -> String {
    if r.0 >= 1_000 * ONE {
        format!("{}k", Fixed(r.0 / 1_000).text())
    } else {
        format!("{}R", r.text())
    }
}

fn hertz(f: Fixed) -> String {
    match f.0 / ONE {
        1_000_000.. => format!("{}MHz", Fixed(f.0 / 1_000_000).text()),
        1_000.. => format!("{}kHz", Fixed(f.0 / 1_000).text()),
        _ => format!("{}Hz", f.text()),
    }
}

fn current(said: &Said, who: &str, chance: &mut Chance) -> String {
    let got = said.got.map(amperes).unwrap_or_default();
    let (low, high) = (said.low.map(amperes), said.high.map(amperes));
    let (low, high) = (low.unwrap_or_default(), high.unwrap_or_default());
    let of = |a: Option<Fixed>| a.map(Fixed::text).unwrap_or_default();
    let choices = match said.code.as_str() {
        "zero" => ["0A", "no draw", "nothing at all", "psu reads nothing"]
            .map(str::to_owned)
            .to_vec(),
        "stuck" => vec![
            format!("sits at {got}"),
            format!("pulls {got} and sits"),
            format!("{got} stuck"),
            format!("{got} and no further"),
        ],
        "cycling" => {
            let every = said.period.map(|p| format!(" abt {}s", p.text()));
            let every = every.unwrap_or_default();
            vec![
                format!("{}-{high} up/down{every}", low.trim_end_matches("mA")),
                format!("hunting {low} {high}{every}"),
                format!("draw {} to {} and back", of(said.low), of(said.high)),
                format!("{low} then {high} then again{every}"),
            ]
        }
        "stepped-stop" => vec![
            format!("climbs to {got} then drops out"),
            format!("steps up, {got}, gone"),
            format!("gets to {got} and falls back"),
        ],
        "limit" => vec![
            format!(
                "hits limit ({}A) psu drops {}",
                of(said.limit),
                of(said.got)
            ),
            format!("psu in limit, {}V left", of(said.got)),
        ],
        "high" => vec![
            format!("{got}, too much"),
            format!("{got} {}", said.state),
            format!("high, {got}"),
        ],
        _ => vec![
            got.clone(),
            format!("{got} {}", said.state),
            format!("draw ok {got}"),
        ],
    };
    spoken(&choices, who, chance)
}

fn rail(said: &Said, who: &str, chance: &mut Chance) -> String {
    let volts = said.got.map(Fixed::text).unwrap_or_default();
    let small = said.place.to_lowercase();
    let place = &said.place;
    if said.code == "absent" && chance.percent(40) {
        return match who {
            "mk" => format!("no {small}"),
            "rn" => format!("{place} missing"),
            _ => format!("{place} not there ({volts})"),
        };
    }
    match who {
        "mk" => format!("{small} = {volts}"),
        "tl" => format!("{place} {volts}V"),
        "dw" => format!("{volts} on {place}"),
        _ => format!("{place}: {} V", volts.replace('.', ",")),
    }
}

fn resistance(said: &Said, who: &str) -> String {
    let (place, small) = (&said.place, said.place.to_lowercase());
    let Some(got) = said.got.map(ohms) else {
        return match who {
            "mk" => format!("{small} OL"),
            "dw" => format!("open, {place}"),
            _ => format!("{place} open, OL"),
        };
    };
    match (who, said.good.map(ohms)) {
        ("mk", _) => format!("{small} {got} psu off"),
        ("tl", Some(good)) => format!("{place} {got}, good one {good}"),
        ("dw", _) => format!("{got} to gnd on {place}"),
        _ => format!("{place} {got}"),
    }
}

fn diode(said: &Said, who: &str) -> String {
    let volts = said.got.map_or_else(|| "OL".to_owned(), Fixed::text);
    match (who, said.good) {
        ("mk", Some(good)) => format!("diode {} {volts} shld be {}", said.place, good.text()),
        ("tl", _) => format!("diode {} {volts}", said.place),
        ("dw", Some(good)) => format!("{} {volts} diode mode, good {}", said.place, good.text()),
        _ => format!("{} diode {volts}", said.place),
    }
}

fn signal(said: &Said, who: &str) -> String {
    let volts = match said.got {
        Some(f) if f.0 > 1_000 * ONE => format!(" {}", hertz(f)),
        Some(v) => format!(" {}V", v.text()),
        None => String::new(),
    };
    let word = match (said.code.as_str(), who) {
        ("present", "mk") => "ok",
        ("present", "tl") => "there",
        ("stuck-low", "mk") => "stuck lo",
        ("stuck-low", "dw") => "stays down",
        ("stuck-high", "mk") => "stuck hi",
        ("stuck-high", "dw") => "stays up",
        ("missing", "dw") => "dead",
        ("mid-level", "dw") => "half way",
        ("mid-level", _) => "mid level",
        ("wrong-frequency", _) => "off frequency",
        (other, _) => other,
    };
    format!("{} {word}{volts}", said.place)
}

fn heat(said: &Said, who: &str) -> String {
    let degrees = said.got.map(Fixed::text).unwrap_or_default();
    match who {
        "mk" => format!("cam {degrees}C at {}", said.place),
        "tl" => format!("{} hot, {degrees} deg", said.place),
        _ => format!("{} {degrees}C", said.place),
    }
}

fn sight(said: &Said, who: &str, chance: &mut Chance) -> String {
    let word = match (said.code.as_str(), who) {
        ("residue", "mk") => *chance.pick(&["white crust", "green fur"]),
        ("residue", "tl") => *chance.pick(&["furry crust", "green all over"]),
        ("residue", _) => *chance.pick(&["crust", "green and white"]),
        ("burnt", "mk") => "black",
        ("cracked-joint", "tl") => "ring crack",
        ("cracked-joint", _) => "cracked joint",
        ("cracked-part", _) => "cracked",
        ("bulged", "tl") => "top domed",
        ("sticky-film", _) => "sticky film",
        ("dull-joint", _) => "dull joint",
        ("none-seen", "mk") => return "clean inside".to_owned(),
        ("none-seen", "tl") => return "nothing to see".to_owned(),
        ("none-seen", _) => return "looks like new".to_owned(),
        ("earlier-work", _) => "flux from before",
        ("solder-bridge", _) => "solder bridge",
        ("coating-damage", _) => "coating lifted",
        (other, _) => other,
    };
    let leads = ["between ", "under ", "left ", "whole "];
    if leads.iter().any(|lead| said.place.starts_with(lead)) {
        return format!("{word}, {}", said.place);
    }
    format!("{word} at {}", said.place)
}

/// Each person has a turn of phrase of their own, and now and then someone else's.
fn spoken(choices: &[String], who: &str, chance: &mut Chance) -> String {
    let own = match who {
        "mk" => 0,
        "tl" => 1,
        "dw" => 2,
        _ => 3,
    };
    if chance.percent(70) {
        choices[own % choices.len()].clone()
    } else {
        chance.pick(choices).clone()
    }
}

/// Returns what `who` writes beside the reading; nothing for a named test.
pub(crate) fn raw(said: &Said, who: &str, chance: &mut Chance) -> Option<String> {
    Some(match said.kind {
        "current" => current(said, who, chance),
        "rail" => rail(said, who, chance),
        "resistance" => resistance(said, who),
        "diode" => diode(said, who),
        "signal" => signal(said, who),
        "heat" => heat(said, who),
        "visual" => sight(said, who, chance),
        _ => return None,
    })
}
