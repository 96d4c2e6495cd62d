//! What a bench calls a net: "the standby 3.3" for `3V3_SB`, "CAN high" for `CANH`, "the reset line" for
//! `RESET_N`, "the output" for `VOUT`.
//!
//! A net's name is cut into its abbreviations, and each has the words that are said for it. A net is meant
//! where all of its words stand together, in any order, and no other net of the board or the card fits as well;
//! a number is compared as a number. What belongs to the name of a part ("5 V output capacitor") is no net.
//! Nothing here is approximate. Leaves out what is said of the net. Table: common practice, no source.

use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::judge::read::spoken_numbers::number_at;
use crate::domain::judge::read::stretches;
use crate::domain::judge::read::stretches::Bit;
use crate::domain::judge::read::words;
use crate::domain::judge::readings::net_pieces::ALONE;
use crate::domain::judge::readings::net_pieces::BETWEEN;
use crate::domain::judge::readings::net_pieces::DRAW;
use crate::domain::judge::readings::net_pieces::FROM_TO;
use crate::domain::judge::readings::net_pieces::HEADS;
use crate::domain::judge::readings::net_pieces::LINES;
use crate::domain::judge::readings::net_pieces::PAIR;
use crate::domain::judge::readings::net_pieces::PART_WORDS;
use crate::domain::judge::readings::net_pieces::PIECES;

/// One thing that must be said for a net.
#[derive(Clone, Debug)]
enum Slot {
    /// One of these phrases, cut into bits.
    Words(Vec<Vec<String>>),
    /// A number: volts in the name, or which of several; whether it may be left out.
    Number(f64, bool),
}

#[derive(Clone, Debug)]
struct Name {
    place: String,
    slots: Vec<Slot>,
    /// It is a net only where a word such as "rail" follows.
    head: bool,
    /// As before, or where it is measured "from" or "at" it.
    weak: bool,
}

/// The nets of a card and its board by what they are called.
#[derive(Clone, Debug, Default)]
pub struct Nets {
    names: Vec<Name>,
    literal: Vec<(usize, String)>,
    parts: Vec<(usize, String)>,
}

impl Nets {
    /// Returns the nets of a board, and those of `own`, the places that a card asks for.
    pub fn new(own: &[&str], findings: &[Finding], board: Option<&Board>) -> Self {
        let mut places: Vec<String> = own.iter().map(|p| (*p).to_owned()).collect();
        let good = || board.into_iter().flat_map(|b| &b.good);
        let rails = board.into_iter().flat_map(|b| b.parts.values());
        places.extend(good().map(|g| g.place.clone()));
        places.extend(rails.filter_map(|p| p.rail.clone()));
        places.retain(|p| !p.trim().is_empty());
        places.sort();
        places.dedup();
        let mut names = Vec::new();
        for place in &places {
            names.extend(names_of(place, own));
            let reads = |f: &&Finding| f.kind == FindingKind::Rail && f.place == *place;
            let volts = good().chain(findings).filter(reads);
            let volts = volts.filter_map(|f| f.good.or_else(|| board.and(f.got)));
            if band::named_volts(place).is_none()
                && let Some(volts) = volts.into_iter().next()
            {
                names.push(Name {
                    place: place.clone(),
                    slots: vec![Slot::Number(volts, false)],
                    head: true,
                    weak: false,
                });
            }
        }
        names.extend(both_lines(own));
        names.push(Name {
            place: "draw".to_owned(),
            slots: vec![Slot::Words(DRAW.iter().map(|p| cut(p)).collect())],
            head: false,
            weak: false,
        });
        names.extend(places.iter().filter_map(|p| by_suffix(p, &places)));
        let parts = board.into_iter().flat_map(|b| b.parts.values());
        Self {
            names,
            literal: places.into_iter().map(|p| (0, p)).collect(),
            parts: parts.map(|p| (0, p.name.clone())).collect(),
        }
    }

    /// Returns the text with every net that it describes written as the net's name.
    pub fn written_out(&self, text: &str) -> String {
        let bits = stretches::bits(text);
        let literal = stretches::found(&bits, &self.literal);
        let parts = stretches::found(&bits, &self.parts);
        let mut out = String::new();
        let (mut at, mut done) = (0, 0);
        while at < bits.len() {
            let named = literal.iter().find(|m| m.bits.contains(&at));
            if let Some(named) = named {
                at = named.bits.end;
                continue;
            }
            let found = self.meant(&bits, at).filter(|(_, to)| {
                let whole = |m: &stretches::Mark| m.bits == (at..*to);
                let within =
                    |m: &stretches::Mark| m.bits.start <= at && *to <= m.bits.end && !whole(m);
                !parts.iter().any(within)
                    && literal
                        .iter()
                        .all(|m| *to <= m.bits.start || m.bits.end <= at)
            });
            match found {
                Some((place, to)) => {
                    out.push_str(&text[done..bits[at].at.start]);
                    out.push_str(place);
                    done = bits[to - 1].at.end;
                    at = to;
                }
                None => at += 1,
            }
        }
        out.push_str(&text[done..]);
        out
    }

    /// Returns the one net whose words begin at `at`, and where they end.
    fn meant(&self, bits: &[Bit], at: usize) -> Option<(&str, usize)> {
        let mut fits: Vec<(usize, usize, &str)> = self
            .names
            .iter()
            .filter_map(|name| {
                let (said, to) = said(name, bits, at)?;
                Some((said, to, name.place.as_str()))
            })
            .collect();
        fits.sort_unstable();
        let (said, to, place) = *fits.last()?;
        let tie = fits
            .iter()
            .any(|(s, t, other)| (*s, *t) == (said, to) && *other != place);
        (!tie).then_some((place, to))
    }
}

/// Tells how many of a name's slots are said from `at` on, and where that ends; none unless all are.
fn said(name: &Name, bits: &[Bit], at: usize) -> Option<(usize, usize)> {
    let mut open: Vec<&Slot> = name.slots.iter().collect();
    let mut i = at;
    let mut to = at;
    let mut n = 0;
    while !open.is_empty() && i < bits.len() {
        let next = open
            .iter()
            .enumerate()
            .filter_map(|(k, slot)| Some((says(slot, bits, i)?, k)))
            .max();
        match next {
            Some((len, k)) => {
                open.remove(k);
                i += len;
                to = i;
                n += 1;
            }
            None if i != at && BETWEEN.contains(&bits[i].text.as_str()) => i += 1,
            None => break,
        }
    }
    let dropped = |slot: &&Slot| matches!(slot, Slot::Number(_, true));
    let whole = 0 < n && open.iter().all(dropped);
    (whole && stands(name, bits, at, to)).then_some((n, to))
}

/// Tells whether what stands around the words of a net lets them be one.
fn stands(name: &Name, bits: &[Bit], at: usize, to: usize) -> bool {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    let before = |n: usize| at.checked_sub(n).map_or("", |i| text(i));
    let hyphen = usize::from(text(to) == "-");
    let next = text(to + hyphen);
    let next_but_one = text(to + hyphen + 1);
    let headed = HEADS.contains(&next);
    let part =
        |word: &str| words::is_class(word) && !HEADS.contains(&word) || PART_WORDS.contains(&word);
    let mode = next == "diode" && matches!(next_but_one, "test" | "mode" | "check" | "drop");
    if part(next) && !mode || headed && part(next_but_one) {
        return false;
    }
    // "stuck at the 3.3 rail" says where another net lies.
    let held = matches!(before(1), "to" | "at" | "by")
        || matches!(before(2), "to" | "at" | "by") && before(1) == "the";
    let number = name.slots.iter().all(|s| matches!(s, Slot::Number(..)));
    if number {
        let unit = bits[at..to]
            .iter()
            .any(|b| matches!(b.text.as_str(), "v" | "volt" | "volts"));
        let the = matches!(before(1), "the" | "that" | "its" | "no");
        let lies = held && (1..=6).any(|n| HELD.contains(&before(n)));
        return !lies && (headed || !name.head && the && (unit || is_double(bits, at, to)));
    }
    let measured = matches!(before(1), "from" | "on" | "across")
        || next == "to"
            && matches!(
                next_but_one,
                "ground" | "gnd" | "earth" | "chassis" | "deck"
            );
    if name.head {
        return headed;
    }
    !name.weak || headed || measured
}

/// Words for what is kept somewhere.
const HELD: [&str; 9] = [
    "stuck", "held", "pinned", "pulled", "tied", "jammed", "clamped", "stays", "sits",
];

/// "the three-three", "the 3.3": a voltage that is a name by itself.
fn is_double(bits: &[Bit], at: usize, to: usize) -> bool {
    2 < to - at || bits[at].text.contains('.')
}

/// Returns how many bits from `at` on say a slot.
fn says(slot: &Slot, bits: &[Bit], at: usize) -> Option<usize> {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    match slot {
        Slot::Words(ways) => ways
            .iter()
            .filter_map(|way| {
                let mut i = at;
                for word in way {
                    if i != at && text(i) == "-" {
                        i += 1;
                    }
                    if text(i) != word {
                        return None;
                    }
                    i += 1;
                }
                Some(i - at)
            })
            .max(),
        Slot::Number(value, _) => {
            let (mut got, mut len) = number_at(bits, at)?;
            // "three-three" is 3.3.
            let hyphen = usize::from(text(at + len) == "-");
            if bits[at].text.chars().all(char::is_alphabetic)
                && let Some((tenths, more)) = number_at(bits, at + len + hyphen)
                && got < 10.0
                && tenths < 10.0
                && (got + tenths / 10.0 - value).abs() < 1e-6
            {
                got += tenths / 10.0;
                len += hyphen + more;
            }
            let hyphen = usize::from(text(at + len) == "-");
            let unit = matches!(
                text(at + len + hyphen),
                "v" | "volt" | "volts" | "mhz" | "khz" | "meg"
            );
            ((got - value).abs() < 1e-6).then_some(if unit { len + hyphen + 1 } else { len })
        }
    }
}

/// Returns what a net is called; nothing where an abbreviation is not known.
fn names_of(place: &str, own: &[&str]) -> Vec<Name> {
    let lower = place.to_lowercase();
    if let Some((one, other)) = lower.split_once('-')
        && one.len() == other.len()
        && one.get(..one.len() - 1) == other.get(..other.len() - 1)
    {
        let words = |list: &[&str]| Slot::Words(list.iter().map(|p| cut(p)).collect());
        let name = |slots: Vec<Slot>| Name {
            place: place.to_owned(),
            slots,
            head: false,
            weak: false,
        };
        return vec![
            name(vec![words(&PAIR)]),
            name(vec![words(&FROM_TO), words(&LINES)]),
        ];
    }
    let slots = match known(&lower) {
        Some(slots) => Some(slots),
        None => pieces(&lower).map(|all| all.concat()),
    };
    let Some(mut slots) = slots.filter(|s| !s.is_empty()) else {
        return Vec::new();
    };
    let family = |p: &str| {
        p.trim_end_matches(|c: char| c.is_ascii_digit())
            .to_lowercase()
    };
    let alike = own.iter().filter(|p| family(p) == family(&lower)).count();
    let only = alike == 1 && own.contains(&place) && family(&lower) != lower;
    for slot in &mut slots {
        if let Slot::Number(_, may_drop) = slot {
            *may_drop = only;
        }
    }
    let bare = lower.trim_end_matches("_n");
    let bare = bare.strip_prefix('v').unwrap_or(bare);
    let strong = ALONE.contains(&family(bare).as_str());
    let words = slots.iter().filter(|s| matches!(s, Slot::Words(_))).count();
    vec![Name {
        place: place.to_owned(),
        weak: words == 1 && slots.len() == 1 && !strong,
        head: false,
        slots,
    }]
}

/// "both lines dead": two lines of a pair that a card asks for.
fn both_lines(own: &[&str]) -> Option<Name> {
    const BOTH: [&str; 7] = [
        "both can lines",
        "both lines",
        "both bus lines",
        "both wires",
        "the two lines",
        "can lines",
        "bus lines",
    ];
    let high = own.iter().find(|p| p.ends_with('H'))?;
    let low = own
        .iter()
        .find(|p| p.strip_suffix('L') == high.strip_suffix('H'))?;
    Some(Name {
        place: format!("{high} and {low}"),
        slots: vec![Slot::Words(BOTH.iter().map(|p| cut(p)).collect())],
        head: false,
        weak: false,
    })
}

/// "the standby rail" is `3V3_SB` where no other net is called standby.
fn by_suffix(place: &str, places: &[String]) -> Option<Name> {
    let of = |place: &str| {
        let (volts, suffix) = place.split_once('_')?;
        band::voltage_token(volts)?;
        Some(suffix.to_lowercase())
    };
    let suffix = of(place)?;
    let ends = |p: &&String| p.to_lowercase().ends_with(&format!("_{suffix}"));
    let only = places.iter().filter(ends).count() == 1;
    only.then_some(Name {
        place: place.to_owned(),
        slots: known(&suffix)?,
        head: true,
        weak: false,
    })
}

/// Returns the slots of each part of a net's name, `_N` left out.
fn pieces(lower: &str) -> Option<Vec<Vec<Slot>>> {
    let active_low = lower.strip_suffix("_n").unwrap_or(lower);
    active_low
        .split(|c: char| !c.is_ascii_alphanumeric() && c != '.')
        .filter(|piece| !piece.is_empty())
        .map(piece)
        .collect()
}

fn piece(text: &str) -> Option<Vec<Slot>> {
    if let Some(volts) = band::voltage_token(text) {
        return Some(vec![Slot::Number(volts, false)]);
    }
    let letters = text.trim_end_matches(|c: char| c.is_ascii_digit());
    let number = text[letters.len()..].parse().ok();
    let mut slots = known(letters).or_else(|| known(letters.strip_prefix('v')?))?;
    if letters.len() < text.len() {
        slots.push(Slot::Number(number?, false));
    }
    Some(slots)
}

fn known(piece: &str) -> Option<Vec<Slot>> {
    let (_, slots) = PIECES.iter().find(|(of, _)| *of == piece)?;
    // An abbreviation is said as well, where it is no word of its own.
    let short = (2 < piece.len() && slots.len() == 1 && piece != "out").then_some(piece);
    let words = |ways: &&[&str]| Slot::Words(ways.iter().copied().chain(short).map(cut).collect());
    Some(slots.iter().map(words).collect())
}

fn cut(phrase: &str) -> Vec<String> {
    phrase.split(' ').map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[track_caller]
    fn check(own: &[&str], cases: &[(&str, &str)]) {
        let nets = Nets::new(own, &[], Some(&sample::board()));
        for (text, written) in cases {
            assert_eq!(nets.written_out(text), *written);
        }
    }

    #[test]
    fn a_net_is_known_by_what_its_name_stands_for() {
        check(
            &[
                "3V3_SB",
                "CANH",
                "RESET_N",
                "VOUT",
                "CLK24",
                "AI1",
                "HV_TX",
                "PRI_DRAIN",
                "3V0_AO",
                "CANH-CANL",
                "5V_SENS",
            ],
            &[
                ("standby 3.3 hops", "3V3_SB hops"),
                ("the 3.3 V standby rail", "the 3V3_SB rail"),
                ("three-three standby low", "3V3_SB low"),
                ("bus high clamped", "CANH clamped"),
                ("the high line of the network was gone", "the CANH was gone"),
                ("can h signal?", "CANH signal?"),
                ("reset line low", "RESET_N line low"),
                ("output voltage 16", "VOUT voltage 16"),
                ("24 MHz clock gone", "CLK24 gone"),
                ("no clock", "no CLK24"),
                ("input 1 to ground", "AI1 to ground"),
                ("analogue input low", "AI1 low"),
                ("transmit high voltage missing", "HV_TX missing"),
                ("drain of the primary switch", "PRI_DRAIN"),
                ("the always-on 3 volts", "the 3V0_AO"),
                ("ohms h to l", "ohms CANH-CANL"),
                ("the standby rail to deck", "the 3V3_SB rail to deck"),
                ("the standby draw", "the standby draw"),
                ("what the ammeter does", "what the draw does"),
                ("the sensor 5 V", "the 5V_SENS"),
            ],
        );
    }

    #[test]
    fn what_names_a_part_or_two_nets_names_no_net() {
        check(
            &["VCORE", "VOUT", "RESET_N", "CLK24", "CLK25"],
            &[
                ("core capacitor", "core capacitor"),
                ("output capacitor bulged", "output capacitor bulged"),
                ("output cap", "output cap"),
                ("the reset chip", "the reset chip"),
                ("the clock", "the clock"),
                ("core voltage", "VCORE voltage"),
                ("the core", "the core"),
                ("26 MHz clock", "26 MHz clock"),
            ],
        );
    }

    #[test]
    fn a_voltage_is_a_net_where_it_is_called_a_rail() {
        check(
            &["3V3", "5V0", "ISENSE"],
            &[
                ("3.3 rail noisy", "3V3 rail noisy"),
                ("the three-three was steady", "the 3V3 was steady"),
                ("five volt line to ground", "5V0 line to ground"),
                ("5V rail", "5V0 rail"),
                ("reads 3.3 where 5 belongs", "reads 3.3 where 5 belongs"),
                ("stuck at the 3.3 rail", "stuck at the 3.3 rail"),
                ("5 V buck", "5 V buck"),
                ("the 5 V output capacitor", "the 5 V output capacitor"),
            ],
        );
    }
}
