//! Numbers become words that a person at the bench would use.
//!
//! A verdict that a person gave always stands. Otherwise the reading is compared with what a good
//! board shows: the finding's own good value, else the board's good reading of the same place and
//! state, else (rails only) the voltage in an unmistakable net name such as `3V3_SB`, `5V0`, `12V`.
//! Without any of these the reading falls into a decade or a range of volts.
//!
//! All limits (5 %, 95 %, 105 % of a rail; half and twice a resistance; 1 Ω; 90 % and 110 % of a
//! diode drop; 0.05 V; 1 % of a frequency; 40, 60, 85 °C; the decades) are common practice, no
//! source. Real tolerance is per board.

use crate::domain::generate::coded::tier;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Qualifier;

/// Heat bands, coolest first.
pub const HEAT: [&str; 4] = ["cool", "warm", "hot", "very hot"];
/// The band of heat that was noted in words of its own, which may name a place.
pub const NOTED: &str = "noted";

/// Bands in which nothing is wrong.
const HEALTHY: [&str; 7] = [
    "normal-no-function",
    "in-band",
    "as-reference",
    "present",
    "normal",
    "none-seen",
    "cool",
];

/// Tells whether a band says that nothing is wrong there.
pub fn is_healthy(band: &str) -> bool {
    HEALTHY.contains(&band)
}

/// How the faulty part failed, from the readings before the repair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Variant {
    /// A hard short, a diode short, or the supply in limit.
    Short,
    /// An open, an over-range diode reading, or no draw at all.
    Open,
    /// Neither was read.
    Other,
}

impl Variant {
    /// Returns the word that enters a card's id.
    pub fn word(self) -> &'static str {
        match self {
            Self::Short => "short",
            Self::Open => "open",
            Self::Other => "other",
        }
    }
}

/// Returns how the part failed; a short anywhere outweighs an open.
///
/// Always from the job's own readings, whatever the number of jobs with this fix: a card keeps its
/// id, and so everybody's memory of it, when more jobs arrive.
pub fn variant(job: &Job, board: Option<&Board>) -> Variant {
    let mut found = Variant::Other;
    for finding in job.findings.iter().filter(|f| tier::is_before_repair(f)) {
        let Some(word) = band(finding, board) else {
            continue;
        };
        match (finding.kind, word.as_str()) {
            (FindingKind::Resistance, "hard-short")
            | (FindingKind::Diode, "short")
            | (FindingKind::Current, "limit") => return Variant::Short,
            (FindingKind::Resistance, "open")
            | (FindingKind::Diode, "OL")
            | (FindingKind::Current, "zero") => found = Variant::Open,
            _ => {}
        }
    }
    found
}

/// Returns words in lower case; a number and the unit behind it stay as they were written, since a
/// unit is told by its capitals: `0.4 kWh`, `280 °C`.
fn lower_words(text: &str) -> String {
    let is_number = |word: &str| {
        let digits = word.trim_start_matches(['-', '+', '<', '>', '~', '=']);
        digits.starts_with(|c: char| c.is_ascii_digit())
    };
    let mut after_number = false;
    let words = text.split(' ').map(|word| {
        let number = is_number(word);
        let kept = number || after_number;
        after_number = number;
        if kept {
            word.to_owned()
        } else {
            word.to_lowercase()
        }
    });
    words.collect::<Vec<_>>().join(" ")
}

/// Returns the band of a finding; none when it holds nothing that was observed.
pub fn band(finding: &Finding, board: Option<&Board>) -> Option<String> {
    let code = finding.code.as_deref().map(str::trim);
    let code = code.filter(|c| !c.is_empty());
    match finding.kind {
        FindingKind::Other => code
            .map(lower_words)
            .or_else(|| spread(finding, |v| format!("{v}"))),
        FindingKind::Heat => {
            let words = |c: &str| {
                let lower = c.to_lowercase();
                if HEAT.contains(&lower.as_str()) {
                    lower
                } else {
                    NOTED.to_owned()
                }
            };
            spread(finding, |v| heat(v).to_owned()).or_else(|| code.map(words))
        }
        FindingKind::Current if code == Some("not-measured") => None,
        _ if code.is_some() => code.map(str::to_owned),
        FindingKind::Visual => None,
        FindingKind::Resistance if finding.qualifier == Some(Qualifier::OverRange) => {
            Some("open".to_owned())
        }
        FindingKind::Diode if finding.qualifier == Some(Qualifier::OverRange) => {
            Some("OL".to_owned())
        }
        FindingKind::Current => spread(finding, |v| amps(v).to_owned()),
        FindingKind::Rail => {
            let expect = good_value(finding, board).or_else(|| named_volts(&finding.place));
            spread(finding, |v| rail(v, expect).to_owned())
        }
        FindingKind::Resistance => {
            let good = good_value(finding, board);
            let may_be_low = is_on_core(&finding.place, board);
            spread(finding, |v| ohms(v, good, may_be_low).to_owned())
        }
        FindingKind::Diode => {
            let good = good_value(finding, board);
            spread(finding, |v| drop_volts(v, good).to_owned())
        }
        FindingKind::Signal => {
            let good = good_value(finding, board);
            spread(finding, |v| signal(v, good, finding.in_hertz).to_owned())
        }
    }
}

/// Returns heat that was noted in words of [`HEAT`] and not in degrees.
pub fn heat_word(finding: &Finding) -> Option<String> {
    let degrees = finding.got.or(finding.low).or(finding.high);
    let word = finding.code.as_deref()?.trim().to_lowercase();
    (degrees.is_none() && HEAT.contains(&word.as_str())).then_some(word)
}

/// Tells whether a finding needs no cuts of its own: it is no number with a unit, a person gave a
/// verdict, or there is something to compare it with.
pub fn has_reference(finding: &Finding, board: Option<&Board>) -> bool {
    let said = finding
        .code
        .as_deref()
        .is_some_and(|c| !c.trim().is_empty());
    let over = finding.qualifier == Some(Qualifier::OverRange);
    match finding.kind {
        FindingKind::Other | FindingKind::Visual => true,
        FindingKind::Heat => finding.got.or(finding.low).or(finding.high).is_none(),
        _ if said || over => true,
        FindingKind::Current => false,
        FindingKind::Rail => {
            let expect = good_value(finding, board).or_else(|| named_volts(&finding.place));
            expect.is_some_and(|e| e.abs() > 0.0)
        }
        FindingKind::Signal if !finding.in_hertz => false,
        FindingKind::Resistance | FindingKind::Diode | FindingKind::Signal => {
            good_value(finding, board).is_some_and(|g| g > 0.0)
        }
    }
}

/// Returns the value below which a reading has a meaning of its own: a short, no draw, no volts.
pub fn least(finding: &Finding, board: Option<&Board>) -> Option<f64> {
    match finding.kind {
        FindingKind::Current => Some(0.001),
        FindingKind::Rail => Some(0.1),
        FindingKind::Signal => (!finding.in_hertz).then_some(0.1),
        FindingKind::Resistance => (!is_on_core(&finding.place, board)).then_some(1.0),
        FindingKind::Diode => Some(0.05),
        FindingKind::Heat | FindingKind::Visual | FindingKind::Other => None,
    }
}

/// Tells whether a number has a meaning of its own, whatever else the board shows.
pub fn means_something(finding: &Finding, value: f64, board: Option<&Board>) -> bool {
    let none = finding.kind != FindingKind::Heat && value <= 0.0;
    none || least(finding, board).is_some_and(|least| value < least)
}

/// Returns the band of the value, or of both ends of a range.
pub fn spread(finding: &Finding, word: impl Fn(f64) -> String) -> Option<String> {
    match (finding.got, finding.low, finding.high) {
        (Some(got), _, _) => Some(word(got)),
        (None, Some(low), Some(high)) => {
            let (from, to) = (word(low), word(high));
            Some(if from == to {
                from
            } else {
                format!("{from} and {to}")
            })
        }
        (None, Some(one), None) | (None, None, Some(one)) => Some(word(one)),
        (None, None, None) => None,
    }
}

/// Returns what a good board shows at the same place and state.
pub fn good_value(finding: &Finding, board: Option<&Board>) -> Option<f64> {
    finding.good.or_else(|| {
        board?
            .good
            .iter()
            .find(|g| {
                g.kind == finding.kind
                    && g.place == finding.place
                    && g.state == finding.state
                    && g.polarity == finding.polarity
                    && g.in_hertz == finding.in_hertz
            })
            .and_then(|g| g.got.or(g.good))
    })
}

/// Tells whether the place is a part, or the rail of a part, of the board's `core` circuit, where
/// a few ohms or less can be right.
fn is_on_core(place: &str, board: Option<&Board>) -> bool {
    board.is_some_and(|b| {
        b.parts.iter().any(|(designator, part)| {
            let there = || designator == place || part.rail.as_deref() == Some(place);
            part.family.as_deref() == Some("core") && there()
        })
    })
}

/// Returns the volts in a net name that holds exactly one plain voltage: `3V3_SB`, `5V0`, `+12V`.
pub fn named_volts(place: &str) -> Option<f64> {
    if place.starts_with('-') {
        return None;
    }
    let mut volts = place
        .split(|c: char| !(c.is_ascii_alphanumeric() || c == '.'))
        .filter_map(voltage_token);
    let first = volts.next();
    first.filter(|v| volts.next().is_none() && *v > 0.0)
}

/// Returns the volts of `3V3`, `12V`, `3.3V`; none for anything else.
pub fn voltage_token(token: &str) -> Option<f64> {
    let (whole, rest) = token.split_once(['V', 'v'])?;
    let digits = |t: &str| !t.is_empty() && t.len() <= 2 && t.bytes().all(|b| b.is_ascii_digit());
    let text = match whole.split_once('.') {
        Some((a, b)) if rest.is_empty() && digits(a) && digits(b) => whole.to_owned(),
        None if digits(whole) && rest.is_empty() => whole.to_owned(),
        None if digits(whole) && digits(rest) => format!("{whole}.{rest}"),
        _ => return None,
    };
    text.parse().ok()
}

/// Slack for limits that meet a value exactly, such as 95 % of 3.3 V.
const SLACK: f64 = 1e-9;

fn rail(got: f64, expect: Option<f64>) -> &'static str {
    let Some(expect) = expect.filter(|e| e.abs() > 0.0) else {
        return volts(got);
    };
    let ratio = got / expect;
    if ratio < -0.05 - SLACK {
        "reversed"
    } else if ratio < 0.05 - SLACK {
        "absent"
    } else if ratio < 0.95 - SLACK {
        "low"
    } else if ratio <= 1.05 + SLACK {
        "in-band"
    } else {
        "high"
    }
}

fn volts(got: f64) -> &'static str {
    if got < -0.1 {
        return "below 0 V";
    }
    let limits = [
        (0.1, "near 0 V"),
        (1.0, "0.1 to 1 V"),
        (2.0, "1 to 2 V"),
        (4.0, "2 to 4 V"),
        (8.0, "4 to 8 V"),
        (16.0, "8 to 16 V"),
        (32.0, "16 to 32 V"),
    ];
    below(got, &limits, "over 32 V")
}

fn ohms(got: f64, good: Option<f64>, core: bool) -> &'static str {
    let good = good.filter(|g| *g > 0.0);
    if got < 1.0 && !core && good.is_none_or(|g| g >= 1.0) {
        return "hard-short";
    }
    if let Some(good) = good {
        let limits = [(0.5 - SLACK, "low"), (2.0 + SLACK, "as-reference")];
        return below(got / good, &limits, "high");
    }
    let limits = [
        (1.0, "under an ohm"),
        (10.0, "a few ohms"),
        (100.0, "tens of ohms"),
        (1e3, "hundreds of ohms"),
        (1e4, "kilohms"),
        (1e5, "tens of kilohms"),
        (1e6, "hundreds of kilohms"),
    ];
    below(got, &limits, "megohms")
}

fn drop_volts(got: f64, good: Option<f64>) -> &'static str {
    if got < 0.05 {
        return "short";
    }
    if let Some(good) = good.filter(|g| *g > 0.0) {
        let limits = [(0.9 - SLACK, "low"), (1.1 + SLACK, "as-reference")];
        return below(got / good, &limits, "high");
    }
    let limits = [
        (0.2, "under 0.2 V"),
        (0.4, "0.2 to 0.4 V"),
        (0.6, "0.4 to 0.6 V"),
        (0.8, "0.6 to 0.8 V"),
    ];
    below(got, &limits, "over 0.8 V")
}

fn amps(got: f64) -> &'static str {
    let limits = [
        (0.001, "zero"),
        (0.01, "under 10 mA"),
        (0.1, "10 to 100 mA"),
        (1.0, "100 mA to 1 A"),
        (10.0, "1 to 10 A"),
    ];
    below(got, &limits, "over 10 A")
}

/// Degrees from which it is warm, hot, very hot: common practice, no source.
const WARMER: [f64; 3] = [40.0, 60.0, 85.0];

fn heat(got: f64) -> &'static str {
    let [warm, hot, very_hot] = WARMER;
    below(
        got,
        &[(warm, HEAT[0]), (hot, HEAT[1]), (very_hot, HEAT[2])],
        HEAT[3],
    )
}

/// Says a word of [`HEAT`] in degrees, which is all that a finding of heat holds in a file.
///
/// A range is of whole degrees, so that both its ends lie in the band.
pub fn in_degrees(finding: &mut Finding, word: &str) {
    let [warm, hot, very_hot] = WARMER;
    let range = |low: f64, high: f64| (None, Some(low), Some(high - 1.0), Qualifier::Range);
    let (got, low, high, qualifier) = match word {
        "cool" => (Some(warm), None, None, Qualifier::Below),
        "warm" => range(warm, hot),
        "hot" => range(hot, very_hot),
        "very hot" => (Some(very_hot), None, None, Qualifier::Above),
        _ => return,
    };
    (finding.got, finding.low, finding.high) = (got, low, high);
    finding.qualifier = Some(qualifier);
}

fn signal(got: f64, good: Option<f64>, in_hertz: bool) -> &'static str {
    if !in_hertz {
        return volts(got);
    }
    let off = good.is_some_and(|g| (got - g).abs() > 0.01 * g.abs() + SLACK);
    if got <= 0.0 {
        "missing"
    } else if off {
        "wrong-frequency"
    } else {
        "present"
    }
}

/// Returns the word of the first limit that lies above `value`, else `top`.
fn below(value: f64, limits: &[(f64, &'static str)], top: &'static str) -> &'static str {
    limits
        .iter()
        .find(|(limit, _)| value < *limit)
        .map_or(top, |(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;

    #[track_caller]
    fn check(kind: FindingKind, place: &str, got: f64, good: Option<f64>, expected: &str) {
        let mut finding = Finding::new(kind, place);
        finding.got = Some(got);
        finding.good = good;
        let board = sample::board();
        assert_eq!(
            band(&finding, Some(&board)).as_deref(),
            Some(expected),
            "{kind:?} {place} {got} against {good:?}"
        );
    }

    /// Shop defaults: common practice, no source.
    #[test]
    fn units_in_the_words_of_a_test_keep_their_capitals() {
        for (written, band) in [
            ("Runs past 280 °C", "runs past 280 °C"),
            ("0 kWh, Reference 1.00 kWh", "0 kWh, reference 1.00 kWh"),
            ("-18 °C Cold Oven", "-18 °C cold oven"),
            ("Changes", "changes"),
            (">2mV", ">2mV"),
        ] {
            assert_eq!(lower_words(written), band);
        }
    }

    #[test]
    fn a_rail_is_judged_by_what_it_should_show() {
        use FindingKind::Rail;
        for (got, word) in [
            (0.0, "absent"),
            (0.16, "absent"),
            (0.165, "low"),
            (0.41, "low"),
            (3.134, "low"),
            (3.135, "in-band"),
            (3.465, "in-band"),
            (3.47, "high"),
            (-3.3, "reversed"),
        ] {
            check(Rail, "SOMEWHERE", got, Some(3.3), word);
            check(Rail, "3V3_SB", got, None, word);
        }
        check(Rail, "-12V", -12.0, Some(-12.0), "in-band");
        check(Rail, "-12V", -12.0, None, "below 0 V");
        check(Rail, "VBAT", 3.9, None, "2 to 4 V");
        // The sample board's good VSYS reading is 8.4 V.
        check(Rail, "VSYS", 4.0, None, "low");
    }

    /// Shop defaults: common practice, no source.
    #[test]
    fn a_resistance_needs_its_reference() {
        use FindingKind::Resistance;
        check(Resistance, "3V3_SB", 210.0, Some(1400.0), "low");
        check(Resistance, "3V3_SB", 700.0, Some(1400.0), "as-reference");
        check(Resistance, "3V3_SB", 2800.0, Some(1400.0), "as-reference");
        check(Resistance, "3V3_SB", 2801.0, Some(1400.0), "high");
        check(Resistance, "3V3_SB", 0.4, Some(1400.0), "hard-short");
        check(Resistance, "3V3_SB", 0.4, None, "hard-short");
        // VCORE is on the sample board's core circuit: there an ohm or less can be right.
        check(Resistance, "VCORE", 0.4, None, "under an ohm");
        check(Resistance, "VCORE", 0.4, Some(0.5), "as-reference");
        check(Resistance, "WINDING", 0.4, Some(0.5), "as-reference");
        check(Resistance, "X", 4.0, None, "a few ohms");
        check(Resistance, "X", 40.0, None, "tens of ohms");
        check(Resistance, "X", 400.0, None, "hundreds of ohms");
        check(Resistance, "X", 4e3, None, "kilohms");
        check(Resistance, "X", 4e6, None, "megohms");
        let mut open = Finding::new(Resistance, "X");
        open.qualifier = Some(Qualifier::OverRange);
        assert_eq!(band(&open, None).as_deref(), Some("open"));
    }

    /// Shop defaults: common practice, no source.
    #[test]
    fn the_other_kinds_have_their_bands() {
        use FindingKind::Current;
        use FindingKind::Diode;
        use FindingKind::Heat;
        check(Diode, "SDA", 0.02, Some(0.45), "short");
        check(Diode, "SDA", 0.40, Some(0.45), "low");
        check(Diode, "SDA", 0.45, Some(0.45), "as-reference");
        check(Diode, "SDA", 0.50, Some(0.45), "high");
        check(Diode, "SDA", 0.50, None, "0.4 to 0.6 V");
        check(Current, "", 0.0004, None, "zero");
        check(Current, "", 0.009, None, "under 10 mA");
        check(Current, "", 0.061, None, "10 to 100 mA");
        check(Current, "", 0.45, None, "100 mA to 1 A");
        check(Heat, "U31", 39.0, None, "cool");
        check(Heat, "U31", 59.0, None, "warm");
        check(Heat, "U31", 81.0, None, "hot");
        check(Heat, "U31", 90.0, None, "very hot");
        let mut clock = Finding::new(FindingKind::Signal, "XTAL");
        clock.in_hertz = true;
        clock.got = Some(25e6);
        clock.good = Some(25e6);
        assert_eq!(band(&clock, None).as_deref(), Some("present"));
        clock.got = Some(24e6);
        assert_eq!(band(&clock, None).as_deref(), Some("wrong-frequency"));
        clock.got = Some(0.0);
        assert_eq!(band(&clock, None).as_deref(), Some("missing"));
    }

    #[test]
    fn a_persons_verdict_stands_and_nothing_observed_is_no_band() {
        let mut rail = Finding::new(FindingKind::Rail, "3V3_SB");
        assert_eq!(band(&rail, None), None);
        rail.got = Some(3.3);
        rail.code = Some("noisy".to_owned());
        assert_eq!(band(&rail, None).as_deref(), Some("noisy"));
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some("not-measured".to_owned());
        assert_eq!(band(&draw, None), None);
        draw.code = None;
        draw.low = Some(0.061);
        draw.high = Some(0.118);
        assert_eq!(
            band(&draw, None).as_deref(),
            Some("10 to 100 mA and 100 mA to 1 A")
        );
        let mut heat = Finding::new(FindingKind::Heat, "");
        heat.code = Some("hottest part U31".to_owned());
        assert_eq!(band(&heat, None).as_deref(), Some(NOTED));
    }

    #[test]
    fn only_an_unmistakable_net_name_names_its_volts() {
        for (name, volts) in [
            ("3V3_SB", Some(3.3)),
            ("5V0", Some(5.0)),
            ("+12V", Some(12.0)),
            ("3.3V", Some(3.3)),
            ("1v8_io", Some(1.8)),
            ("-12V", None),
            ("5V_TO_3V3", None),
            ("VBAT", None),
            ("U31", None),
            ("0V", None),
            ("PV3", None),
            ("100V5", None),
        ] {
            assert_eq!(named_volts(name), volts, "{name}");
        }
    }

    #[test]
    fn a_short_outweighs_an_open() {
        let mut job = sample::job("W-1", "U31", 1);
        assert_eq!(variant(&job, None), Variant::Other);
        job.findings.push(sample::resistance("A", 2e7));
        assert_eq!(variant(&job, None), Variant::Other);
        let mut open = Finding::new(FindingKind::Diode, "A");
        open.qualifier = Some(Qualifier::OverRange);
        job.findings.push(open);
        assert_eq!(variant(&job, None), Variant::Open);
        job.findings.push(sample::resistance("B", 0.3));
        assert_eq!(variant(&job, None), Variant::Short);
    }
}
