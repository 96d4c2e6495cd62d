//! A job's findings, said so that they mean the same on every board.
//!
//! A net becomes what its rail is for, a designator the kind of its part, a signal its sort; a number
//! its verdict. What has no such meaning is left out: a decade of ohms, a range of volts, a test whose
//! name holds a designator. Several readings of one mark make the worst of them, so "a rail absent"
//! means that one of the rails read was absent. That the rails read were all in band is no mark:
//! which of them were read differs from board to board.
//!
//! A net is a rail where the board file or the volts in its name say so, or where the board's jobs read
//! it so ([`Places::learn`]): its ohms are a rail's in every job then, or a share of "a rail low and low
//! to ground" would leave out those whose net the file does not know. A rail is for what its parts are
//! for, the first of `RAILS` among their circuits; what carries the supply's own volts and nothing makes
//! is the supply path. Signal sorts and part kinds go by whole
//! words of the name, never by likeness. Each mark says whose circuit it would give away. All words,
//! orders and the 5 % of the supply's volts are common practice, no source.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask;
use crate::domain::generate::coded::tier;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::When;

/// What is looked at, without the board it is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mark<'a> {
    /// Kind of finding; none for a word of the customer's complaint.
    pub kind: Option<FindingKind>,
    /// The place by its function, the test's name, or the complaint's word; empty where it says none.
    pub place: &'a str,
    /// State of the board; empty for whichever.
    pub state: &'a str,
    /// The place is a particular one: a rail's use, a signal's sort, a part's kind.
    pub placed: bool,
    /// Circuits that the place would give away.
    pub tells: &'static [&'static str],
}

impl<'a> Mark<'a> {
    fn general(kind: FindingKind, place: &'a str) -> Self {
        Self {
            kind: Some(kind),
            place,
            state: "",
            placed: false,
            tells: &[],
        }
    }
}

/// The value of a complaint's word that the customer said.
pub const SAID: &str = "said";
/// Of the volts of the supply, a reading this far off is still the supply's.
pub const NEAR_SUPPLY: f64 = 0.05;

/// A rail of which no more is said.
pub const RAIL: &str = "A rail";
/// The rail whose volts were not what they should be.
pub const OUT_OF_BAND: &str = "The rail out of band";
/// A net that is no rail.
pub const LINE: &str = "A line";
/// A signal of which no more is said.
pub const SIGNAL: &str = "A signal";
const SUPPLY_PATH: (&str, &[&str]) = ("Supply path", &["inlet"]);

/// Circuits whose parts make a rail, the maker before the user, and what the rail is called.
const RAILS: [(&str, &str, &[&str]); 11] = [
    ("inlet", SUPPLY_PATH.0, SUPPLY_PATH.1),
    ("isolated", "Converter rail", &["isolated"]),
    ("battery", "Battery or charge rail", &["battery"]),
    ("standby", "Always-on rail", &["standby"]),
    ("buck", "Main rail", &["buck"]),
    ("core", "Core rail", &["core", "processor"]),
    ("drive", "Output-stage supply", &["drive"]),
    ("display", "Panel supply", &["display"]),
    ("sensing", "Reference", &["sensing"]),
    ("bus", "Link supply", &["bus"]),
    ("signal", "Radio or audio supply", &["signal"]),
];

/// Whole words of a signal's name, its sort, and whose circuit that is.
const SORTS: [(&[&str], &str, &[&str]); 6] = [
    (
        &["RESET", "RST", "NRST", "POR"],
        "Reset line",
        &["sequence"],
    ),
    (
        &["PGOOD", "PG", "PWRGD", "POK"],
        "Power-good line",
        &["sequence"],
    ),
    (&["EN", "ENABLE"], "Enable line", &["sequence"]),
    (
        &["CLK", "XTAL", "OSC", "TCXO", "MCLK", "XIN"],
        "Clock",
        &["clock"],
    ),
    (&["CS", "NCS"], "Chip select", &["firmware"]),
    (&["WAKE", "KEY", "IGN"], "Wake line", &["standby"]),
];

/// Whole words of a part's name, the kind of part, and whose circuit it is.
const PARTS: [(&[&str], &str, &[&str]); 13] = [
    (
        &["transceiver", "isolator", "magnetics"],
        "a link part",
        &["bus"],
    ),
    (
        &["crystal", "resonator", "oscillator"],
        "a crystal",
        &["clock"],
    ),
    (
        &["flash", "memory"],
        "a memory chip",
        &["firmware", "processor"],
    ),
    (&["processor", "controller"], "a large chip", &["processor"]),
    (&["relay"], "a relay", &["drive"]),
    (
        &["fuse", "clamp", "varistor"],
        "a fuse or clamp",
        &["inlet"],
    ),
    (
        &["connector", "socket", "plug", "contacts", "header"],
        "a connector",
        &["interconnect"],
    ),
    (&["buck", "switcher"], "a small switcher", &["buck"]),
    (&["regulator"], "a small regulator", &[]),
    (&["capacitor", "supercapacitor"], "a capacitor", &[]),
    (&["inductor", "choke", "coil"], "an inductor", &[]),
    (&["resistor", "shunt"], "a resistor", &[]),
    (&["transistor", "switch", "diode"], "a switch or diode", &[]),
];

/// Complaints that name the circuit.
const NAMING: [(&str, &[&str]); 3] = [
    ("no-display", &["display"]),
    ("no-link", &["bus"]),
    ("no-charge", &["battery"]),
];

/// Returns the circuits that a place would give away, as every mark of that place says.
pub fn tells(kind: Option<FindingKind>, place: &str, placed: bool) -> &'static [&'static str] {
    let found = match kind {
        None => NAMING.iter().find(|(word, _)| *word == place).map(|n| n.1),
        Some(_) if !placed => None,
        Some(FindingKind::Signal) => SORTS.iter().find(|s| s.1 == place).map(|s| s.2),
        Some(FindingKind::Visual | FindingKind::Heat) => {
            PARTS.iter().find(|p| p.1 == place).map(|p| p.2)
        }
        Some(_) => RAILS.iter().find(|r| r.1 == place).map(|r| r.2),
    };
    found.unwrap_or_default()
}

/// The verdicts of each kind, the worst first; the last ones say that nothing is wrong.
fn verdicts(kind: FindingKind) -> (&'static [&'static str], usize) {
    match kind {
        FindingKind::Current => (
            &[
                "limit",
                "cycling",
                "stepped-stop",
                "zero",
                "high",
                "stuck",
                "normal-no-function",
                "normal",
            ],
            1,
        ),
        FindingKind::Rail => (&["absent", "low", "pulsing", "noisy", "high", "in-band"], 1),
        FindingKind::Resistance => (&["hard-short", "low", "open", "high", "as-reference"], 1),
        FindingKind::Diode => (&["short", "low", "OL", "high", "as-reference"], 1),
        FindingKind::Signal => (
            &[
                "missing",
                "stuck-low",
                "stuck-high",
                "mid-level",
                "wrong-frequency",
                "present",
            ],
            1,
        ),
        FindingKind::Heat => (&["very hot", "hot", "warm", "cool"], 2),
        FindingKind::Visual => (&crate::domain::job::SIGNS, 1),
        FindingKind::Other => (&[], 0),
    }
}

/// Tells whether a value says that something is wrong there.
pub fn is_wrong(mark: &Mark<'_>, value: &str) -> bool {
    let Some(kind) = mark.kind else {
        return value == SAID;
    };
    let (list, fine) = verdicts(kind);
    let at = list.iter().position(|v| *v == value);
    at.is_some_and(|at| at < list.len() - fine)
}

/// Tells whether a value may stand on a card: that the rails, lines or signals read were all fine
/// means something else on every board, since each has others to read.
pub fn may_stand(mark: &Mark<'_>, value: &str) -> bool {
    is_wrong(mark, value) || ![RAIL, LINE, SIGNAL].contains(&mark.place)
}

/// Tells whether two marks are of one thing: the rail out of band is one of the rails.
pub fn overlap(a: &Mark<'_>, b: &Mark<'_>) -> bool {
    let rail = |m: &Mark<'_>| [RAIL, OUT_OF_BAND].contains(&m.place);
    a.kind == b.kind && a != b && rail(a) && rail(b)
}

/// What the board file says that makes a net mean something elsewhere.
#[derive(Clone, Debug, Default)]
pub struct Places<'a> {
    parts: BTreeMap<String, &'a str>,
    rails: BTreeMap<&'a str, BTreeSet<&'a str>>,
    expected: BTreeMap<&'a str, f64>,
    supplies: Vec<f64>,
}

impl<'a> Places<'a> {
    /// Reads a board; one that the shop does not describe gives no places.
    pub fn of(board: Option<&'a Board>) -> Self {
        let mut places = Self::default();
        let Some(board) = board else { return places };
        for (designator, part) in &board.parts {
            places
                .parts
                .insert(designator.trim().to_uppercase(), &part.name);
            places
                .parts
                .insert(part.name.trim().to_uppercase(), &part.name);
            if let Some(rail) = &part.rail {
                let circuits = places.rails.entry(rail).or_default();
                circuits.extend(part.family.as_deref());
            }
        }
        for good in &board.good {
            match good.kind {
                FindingKind::Current => places.supplies.extend(good.supply_v),
                FindingKind::Rail => {
                    places.rails.entry(&good.place).or_default();
                    if let Some(volts) = good.good.or(good.got) {
                        places.expected.insert(&good.place, volts);
                    }
                }
                _ => {}
            }
        }
        places
    }

    /// Takes for rails the nets that the board's jobs read as rails, more often than as signals: one slip
    /// makes no rail of a line.
    pub fn learn(&mut self, jobs: impl IntoIterator<Item = &'a Job>) {
        let mut read: BTreeMap<&'a str, (usize, usize)> = BTreeMap::new();
        for finding in jobs.into_iter().flat_map(|job| &job.findings) {
            let place = finding.place.trim();
            match finding.kind {
                FindingKind::Rail => read.entry(place).or_default().0 += 1,
                FindingKind::Signal => read.entry(place).or_default().1 += 1,
                _ => {}
            }
        }
        let rails = read.into_iter().filter(|(_, (rail, signal))| signal < rail);
        for (place, _) in rails.filter(|(place, _)| !place.is_empty()) {
            self.rails.entry(place).or_default();
        }
    }

    fn is_rail(&self, place: &str) -> bool {
        self.rails.contains_key(place) || band::named_volts(place).is_some()
    }

    /// Returns what a rail is for; none where nobody could say.
    fn rail(
        &self,
        finding: &Finding,
        supplies: &[f64],
    ) -> Option<(&'static str, &'static [&'static str])> {
        let place = finding.place.trim();
        let circuits = self.rails.get(place);
        let maker = circuits.and_then(|circuits| {
            RAILS
                .iter()
                .find(|(circuit, _, _)| circuits.contains(circuit))
        });
        let on_drawing = finding.good.filter(|_| finding.kind == FindingKind::Rail);
        let volts = on_drawing.or_else(|| self.expected.get(place).copied());
        let of_supply = volts.is_some_and(|volts| {
            let near = |supply: &f64| (volts - supply).abs() <= NEAR_SUPPLY * supply.abs();
            self.supplies.iter().chain(supplies).any(near)
        });
        match maker {
            Some((circuit, _, _)) if of_supply && ["drive", "signal"].contains(circuit) => {
                Some(SUPPLY_PATH)
            }
            Some((_, called, tells)) => Some((called, tells)),
            None if of_supply => Some(SUPPLY_PATH),
            None => None,
        }
    }

    /// Returns the kind of part at a place.
    fn part(&self, place: &str) -> Option<(&'static str, &'static [&'static str])> {
        let name = self.parts.get(&place.trim().to_uppercase())?;
        let words: BTreeSet<String> = mask::tokens(name).map(|t| t.to_lowercase()).collect();
        PARTS
            .iter()
            .find(|(list, _, _)| list.iter().any(|w| words.contains(*w)))
            .map(|(_, called, tells)| (*called, *tells))
    }
}

/// Returns the sort of a signal by the whole words of its name: `EN_5V`, `CLK25`, `RESET_N`.
fn sort(place: &str) -> Option<(&'static str, &'static [&'static str])> {
    let letters = |token: &String| {
        token
            .trim_end_matches(|c: char| c.is_ascii_digit())
            .to_owned()
    };
    let words: BTreeSet<String> = mask::tokens(place).map(|t| letters(&t)).collect();
    SORTS
        .iter()
        .find(|(list, _, _)| list.iter().any(|w| words.contains(*w)))
        .map(|(_, called, tells)| (*called, *tells))
}

/// A job's findings in general words, in the order of their marks.
pub type Sights<'a> = Vec<(Mark<'a>, &'a str)>;

/// Says what a job showed before its repair.
pub fn sights<'a>(job: &'a Job, board: Option<&'a Board>, places: &Places<'a>) -> Sights<'a> {
    let mut found: BTreeMap<Mark<'a>, &'a str> = BTreeMap::new();
    let supplies: Vec<f64> = job.findings.iter().filter_map(|f| f.supply_v).collect();
    let before = || job.findings.iter().filter(|f| tier::is_before_repair(f));
    let out_of_band: BTreeSet<&str> = before()
        .filter(|f| f.kind == FindingKind::Rail)
        .filter(|f| value(f, board).is_some_and(|v| v != "in-band"))
        .map(|f| f.place.trim())
        .collect();
    for finding in before() {
        if finding.kind == FindingKind::Visual && finding.when == When::AfterCleaning {
            continue;
        }
        let Some(value) = value(finding, board) else {
            continue;
        };
        let place = finding.place.trim();
        let here = match finding.kind {
            FindingKind::Resistance | FindingKind::Diode if out_of_band.contains(place) => {
                Some(Mark::general(finding.kind, OUT_OF_BAND))
            }
            _ => None,
        };
        for mark in marks(finding, places, &supplies).into_iter().chain(here) {
            let known = found.entry(mark).or_insert(value);
            if worse(finding.kind, value, known) {
                *known = value;
            }
        }
    }
    for word in &job.complaint {
        let mark = Mark {
            kind: None,
            place: word,
            state: "",
            placed: false,
            tells: tells(None, word, false),
        };
        found.insert(mark, SAID);
    }
    found.into_iter().collect()
}

fn worse(kind: FindingKind, value: &str, than: &str) -> bool {
    let (list, _) = verdicts(kind);
    let place = |value: &str| list.iter().position(|v| *v == value).unwrap_or(list.len());
    // Of two words of a test neither is worse: the first in the alphabet stands, in any order.
    (place(value), value) < (place(than), than)
}

/// Returns the verdict; none where the value means something on this board alone.
fn value<'a>(finding: &'a Finding, board: Option<&Board>) -> Option<&'a str> {
    if finding.kind == FindingKind::Other {
        let text = finding.code.as_deref()?.trim();
        let names = |text: &str| text.contains('_') || mask::tokens(text).any(|t| is_net(&t));
        let fine = !text.is_empty() && !names(text) && !names(&finding.place);
        return fine.then_some(text);
    }
    let band = band::band(finding, board)?;
    let (list, _) = verdicts(finding.kind);
    list.iter().find(|v| **v == band).copied()
}

fn is_net(token: &str) -> bool {
    mask::is_designator(token) || band::voltage_token(token).is_some()
}

fn marks<'a>(finding: &'a Finding, places: &Places<'a>, supplies: &[f64]) -> Vec<Mark<'a>> {
    let kind = finding.kind;
    let general = |place: &'a str| Mark::general(kind, place);
    let particular = |named: Option<(&'static str, &'static [&'static str])>| {
        named.map(|(place, tells)| Mark {
            kind: Some(kind),
            place,
            state: "",
            placed: true,
            tells,
        })
    };
    let place = finding.place.trim();
    let mut marks = Vec::new();
    match kind {
        FindingKind::Current => {
            marks.push(general(""));
            if let Some(state) = finding.state.as_deref().filter(|s| !s.is_empty()) {
                marks.push(Mark {
                    state,
                    ..general("")
                });
            }
        }
        FindingKind::Rail => {
            marks.push(general(RAIL));
            marks.extend(particular(places.rail(finding, supplies)));
        }
        FindingKind::Resistance | FindingKind::Diode if places.is_rail(place) => {
            marks.push(general(RAIL));
            marks.extend(particular(places.rail(finding, supplies)));
        }
        FindingKind::Resistance | FindingKind::Diode => marks.push(general(LINE)),
        FindingKind::Signal => {
            marks.push(general(SIGNAL));
            marks.extend(particular(sort(place)));
        }
        FindingKind::Visual | FindingKind::Heat => {
            marks.push(general(""));
            marks.extend(particular(places.part(place)));
        }
        FindingKind::Other => marks.push(general(place)),
    }
    marks
}

/// Returns a mark and its value as a card shows them; none for a word of the complaint.
pub fn shown(mark: &Mark<'_>, value: &str) -> Option<Finding> {
    let kind = mark.kind?;
    let place = match (mark.place, kind) {
        (OUT_OF_BAND, FindingKind::Resistance) => "The failing rail",
        (place, _) => place,
    };
    let mut finding = Finding::new(kind, place);
    if kind == FindingKind::Heat {
        band::in_degrees(&mut finding, value);
    } else {
        finding.code = Some(value.to_owned());
    }
    finding.state = Some(mark.state.to_owned()).filter(|s| !s.is_empty());
    Some(finding)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    fn seen(findings: Vec<Finding>) -> Vec<(String, String)> {
        let board = sample::board();
        let job = sample::job_with("1", "U31", 1, findings);
        let places = Places::of(Some(&board));
        sights(&job, Some(&board), &places)
            .into_iter()
            .filter(|(mark, _)| mark.kind.is_some())
            .map(|(mark, value)| (mark.place.to_owned(), value.to_owned()))
            .collect()
    }

    #[track_caller]
    fn check(finding: Finding, expected: &[(&str, &str)]) {
        let expected: Vec<(String, String)> = expected
            .iter()
            .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
            .collect();
        let asked = format!("{finding:?}");
        assert_eq!(seen(vec![finding]), expected, "{asked}");
    }

    #[test]
    fn a_net_becomes_what_its_rail_is_for() {
        check(
            sample::rail("3V3_SB", "low"),
            &[("A rail", "low"), ("Always-on rail", "low")],
        );
        check(
            sample::rail("VSYS", "absent"),
            &[("A rail", "absent"), ("Main rail", "absent")],
        );
        check(sample::rail("VX", "low"), &[("A rail", "low")]);
        // A decade of ohms means nothing on another board; a hard short does.
        check(sample::resistance("SDA", 210.0), &[]);
        check(sample::resistance("SDA", 0.3), &[("A line", "hard-short")]);
    }

    /// The marks of ohms on `VREF_Q`, a net that the board file does not know, beside these jobs.
    fn ohms_beside(others: &[Finding]) -> Vec<(String, String)> {
        let board = sample::board();
        let job = |id: &str, finding: Finding| sample::job_with(id, "U31", 1, vec![finding]);
        let asked = job("1", sample::resistance("VREF_Q", 0.3));
        let others: Vec<Job> = others.iter().map(|f| job("2", f.clone())).collect();
        let mut places = Places::of(Some(&board));
        places.learn(others.iter().chain([&asked]));
        let sights = sights(&asked, Some(&board), &places).into_iter();
        sights
            .filter(|(mark, _)| mark.kind.is_some())
            .map(|(mark, value)| (mark.place.to_owned(), value.to_owned()))
            .collect()
    }

    #[test]
    fn a_net_that_another_job_read_as_a_rail_is_a_rail_for_ohms_too() {
        let said = |place: &str| [(place.to_owned(), "hard-short".to_owned())];
        let rail = sample::rail("VREF_Q", "low");
        let mut signal = Finding::new(FindingKind::Signal, "VREF_Q");
        signal.code = Some("stuck-low".to_owned());
        assert_eq!(ohms_beside(std::slice::from_ref(&rail)), said("A rail"));
        assert_eq!(ohms_beside(&[]), said("A line"));
        assert_eq!(ohms_beside(&[sample::rail("VX", "low")]), said("A line"));
        // Read as a signal as often: a slip, and still a line.
        assert_eq!(ohms_beside(&[signal, rail]), said("A line"));
    }

    #[test]
    fn what_carries_the_volts_of_the_supply_is_the_supply_path() {
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some("zero".to_owned());
        draw.supply_v = Some(12.0);
        let mut rail = sample::rail("VIN_X", "in-band");
        rail.good = Some(11.9);
        let found = seen(vec![draw, rail]);
        assert!(
            found.contains(&("Supply path".to_owned(), "in-band".to_owned())),
            "{found:?}"
        );
    }

    #[test]
    fn a_part_is_known_by_its_kind_and_a_signal_by_its_sort() {
        check(
            sample::sign("U31", "residue"),
            &[("", "residue"), ("a small switcher", "residue")],
        );
        check(sample::sign("U13", "residue"), &[("", "residue")]);
        let signal = |place: &str| {
            let mut signal = Finding::new(FindingKind::Signal, place);
            signal.code = Some("missing".to_owned());
            signal
        };
        check(
            signal("CLK25"),
            &[("A signal", "missing"), ("Clock", "missing")],
        );
        check(signal("CLOCKWORK"), &[("A signal", "missing")]);
    }

    #[test]
    fn the_worst_of_several_readings_stands_in_any_order() {
        let two = [sample::rail("VX", "in-band"), sample::rail("VY", "absent")];
        let mut back = two.to_vec();
        back.reverse();
        let turned = seen(back);
        assert_eq!(seen(two.to_vec()), turned);
        assert_eq!(turned[0].1, "absent");
    }

    #[test]
    fn a_test_that_names_a_part_or_net_is_left_out() {
        check(sample::test("press", "U31 reacts"), &[]);
        check(sample::test("3V3 lamp", "on"), &[]);
        check(
            sample::test("flex test", "changes"),
            &[("flex test", "changes")],
        );
    }

    #[test]
    fn every_place_tells_at_most_circuits_that_are_built_in() {
        let known: Vec<String> = crate::domain::families::built_in()
            .into_iter()
            .map(|f| f.id)
            .collect();
        let rails = RAILS.iter().map(|(_, _, tells)| tells);
        let sorts = SORTS.iter().map(|(_, _, tells)| tells);
        let parts = PARTS.iter().map(|(_, _, tells)| tells);
        let naming = NAMING.iter().map(|(_, tells)| tells);
        for id in rails
            .chain(sorts)
            .chain(parts)
            .chain(naming)
            .copied()
            .flatten()
        {
            assert!(known.iter().any(|k| k == id), "{id}");
        }
    }
}
