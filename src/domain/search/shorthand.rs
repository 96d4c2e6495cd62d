//! The shorthand of the bench: words for bands, words before a draw, units.
//!
//! All lists: common practice, no source.

use crate::domain::job::FindingKind;
use crate::domain::job::FindingKind::Current;
use crate::domain::job::FindingKind::Diode;
use crate::domain::job::FindingKind::Heat;
use crate::domain::job::FindingKind::Rail;
use crate::domain::job::FindingKind::Resistance;
use crate::domain::job::FindingKind::Signal;
use crate::domain::job::FindingKind::Visual;
use crate::domain::search::bounds::Bound;

/// What words for a finding may mean.
pub(super) type Bands = &'static [(FindingKind, &'static str)];

/// (words, what they may mean, they say something without a place).
pub(super) const CODES: [(&str, Bands, bool); 50] = [
    (
        "hard short",
        &[(Resistance, "hard-short"), (Diode, "short")],
        true,
    ),
    (
        "dead short",
        &[(Resistance, "hard-short"), (Diode, "short")],
        true,
    ),
    (
        "short to ground",
        &[(Resistance, "hard-short"), (Diode, "short")],
        true,
    ),
    (
        "shorted",
        &[(Resistance, "hard-short"), (Diode, "short")],
        true,
    ),
    (
        "short",
        &[(Resistance, "hard-short"), (Diode, "short")],
        true,
    ),
    (
        "low",
        &[(Rail, "low"), (Resistance, "low"), (Diode, "low")],
        false,
    ),
    (
        "high",
        &[(Rail, "high"), (Resistance, "high"), (Diode, "high")],
        false,
    ),
    ("absent", &[(Rail, "absent"), (Signal, "missing")], false),
    (
        "missing",
        &[(Signal, "missing"), (Rail, "absent"), (Visual, "missing")],
        false,
    ),
    ("gone", &[(Rail, "absent"), (Signal, "missing")], false),
    ("dead", &[(Rail, "absent"), (Signal, "missing")], false),
    (
        "in band",
        &[
            (Rail, "in-band"),
            (Resistance, "as-reference"),
            (Diode, "as-reference"),
        ],
        false,
    ),
    (
        "ok",
        &[
            (Rail, "in-band"),
            (Resistance, "as-reference"),
            (Diode, "as-reference"),
            (Signal, "present"),
        ],
        false,
    ),
    (
        "good",
        &[
            (Rail, "in-band"),
            (Resistance, "as-reference"),
            (Diode, "as-reference"),
            (Signal, "present"),
        ],
        false,
    ),
    (
        "as reference",
        &[(Resistance, "as-reference"), (Diode, "as-reference")],
        false,
    ),
    ("present", &[(Signal, "present"), (Rail, "in-band")], false),
    ("pulsing", &[(Rail, "pulsing")], true),
    ("noisy", &[(Rail, "noisy")], true),
    ("open", &[(Resistance, "open"), (Diode, "OL")], false),
    ("ol", &[(Diode, "OL"), (Resistance, "open")], false),
    ("stuck high", &[(Signal, "stuck-high")], true),
    ("stuck low", &[(Signal, "stuck-low")], true),
    ("mid level", &[(Signal, "mid-level")], true),
    ("wrong frequency", &[(Signal, "wrong-frequency")], true),
    ("cycling", &[(Current, "cycling")], true),
    ("cycles", &[(Current, "cycling")], true),
    ("stepped stop", &[(Current, "stepped-stop")], true),
    ("steps then stops", &[(Current, "stepped-stop")], true),
    ("current limit", &[(Current, "limit")], true),
    ("in limit", &[(Current, "limit")], true),
    ("hits limit", &[(Current, "limit")], true),
    (
        "normal no function",
        &[(Current, "normal-no-function")],
        true,
    ),
    ("residue", &[(Visual, "residue")], true),
    ("corrosion", &[(Visual, "residue")], true),
    ("corroded", &[(Visual, "residue")], true),
    ("sticky film", &[(Visual, "sticky-film")], true),
    ("dull joint", &[(Visual, "dull-joint")], true),
    ("cracked joint", &[(Visual, "cracked-joint")], true),
    ("burnt", &[(Visual, "burnt")], true),
    ("cracked part", &[(Visual, "cracked-part")], true),
    (
        "cracked",
        &[(Visual, "cracked-joint"), (Visual, "cracked-part")],
        true,
    ),
    ("bulged", &[(Visual, "bulged")], true),
    ("lifted", &[(Visual, "lifted")], true),
    ("solder bridge", &[(Visual, "solder-bridge")], true),
    ("earlier work", &[(Visual, "earlier-work")], true),
    ("coating damage", &[(Visual, "coating-damage")], true),
    ("very hot", &[(Heat, "very hot")], true),
    ("hot", &[(Heat, "hot"), (Heat, "very hot")], true),
    ("warm", &[(Heat, "warm")], false),
    ("cool", &[(Heat, "cool")], false),
];
/// What the words mean right after "draw" or "current".
pub(super) const DRAWS: [(&str, &str); 12] = [
    ("zero", "zero"),
    ("nothing", "zero"),
    ("none", "zero"),
    ("stuck", "stuck"),
    ("cycling", "cycling"),
    ("cycles", "cycling"),
    ("stepped stop", "stepped-stop"),
    ("high", "high"),
    ("limit", "limit"),
    ("in limit", "limit"),
    ("normal no function", "normal-no-function"),
    ("normal", "normal"),
];
/// Words that say a current follows.
pub(super) const DRAW: [&str; 6] = ["draw", "draws", "current", "pulls", "supply", "amps"];
/// Words that may stand between a place and what it showed.
pub(super) const BETWEEN: [&str; 9] = [
    "is", "was", "at", "on", "to", "reads", "rail", "line", "net",
];

/// Words before a number that set a limit.
pub(super) const LIMITS: [(&str, Bound); 32] = [
    ("under", Bound::Under),
    ("below", Bound::Under),
    ("less than", Bound::Under),
    ("lower than", Bound::Under),
    ("smaller than", Bound::Under),
    ("at most", Bound::Under),
    ("up to", Bound::Under),
    ("max", Bound::Under),
    ("unter", Bound::Under),
    ("weniger als", Bound::Under),
    ("kleiner als", Bound::Under),
    ("over", Bound::Over),
    ("above", Bound::Over),
    ("more than", Bound::Over),
    ("higher than", Bound::Over),
    ("greater than", Bound::Over),
    ("at least", Bound::Over),
    ("min", Bound::Over),
    ("über", Bound::Over),
    ("ueber", Bound::Over),
    ("mehr als", Bound::Over),
    ("größer als", Bound::Over),
    ("about", Bound::About),
    ("around", Bound::About),
    ("roughly", Bound::About),
    ("approx", Bound::About),
    ("approximately", Bound::About),
    ("near", Bound::About),
    ("ca", Bound::About),
    ("circa", Bound::About),
    ("etwa", Bound::About),
    ("ungefähr", Bound::About),
];
/// Words before two numbers that set both limits.
pub(super) const BETWEEN_LIMITS: [&str; 2] = ["between", "zwischen"];
/// Signs before a number that set a limit.
pub(super) const SIGNS: [(&str, Bound); 8] = [
    ("<=", Bound::Under),
    (">=", Bound::Over),
    ("<", Bound::Under),
    (">", Bound::Over),
    ("≤", Bound::Under),
    ("≥", Bound::Over),
    ("~", Bound::About),
    ("≈", Bound::About),
];
/// Words that are shortened with a full stop.
pub(super) const SHORTENED: [&str; 4] = ["ca", "approx", "max", "min"];
/// Words that deny what follows.
pub(super) const NO: [&str; 12] = [
    "no",
    "not",
    "without",
    "w/o",
    "never",
    "kein",
    "keine",
    "keinen",
    "keinerlei",
    "nicht",
    "ohne",
    "isn't",
];
/// Words that may stand between a denial and what is denied.
pub(super) const FILLERS: [&str; 12] = [
    "a",
    "an",
    "any",
    "the",
    "visible",
    "sign",
    "signs",
    "of",
    "trace",
    "traces",
    "sichtbare",
    "sichtbarer",
];

/// (unit as written, power of ten, kinds of reading, it is a frequency).
pub(super) const UNITS: [(&str, i32, &[FindingKind], bool); 26] = [
    ("V", 0, &[Rail, Diode, Signal], false),
    ("v", 0, &[Rail, Diode, Signal], false),
    ("mV", -3, &[Rail, Diode, Signal], false),
    ("mv", -3, &[Rail, Diode, Signal], false),
    ("A", 0, &[Current], false),
    ("a", 0, &[Current], false),
    ("amps", 0, &[Current], false),
    ("mA", -3, &[Current], false),
    ("ma", -3, &[Current], false),
    ("uA", -6, &[Current], false),
    ("ua", -6, &[Current], false),
    ("ohm", 0, &[Resistance], false),
    ("ohms", 0, &[Resistance], false),
    ("Ω", 0, &[Resistance], false),
    ("R", 0, &[Resistance], false),
    ("k", 3, &[Resistance], false),
    ("kohm", 3, &[Resistance], false),
    ("kohms", 3, &[Resistance], false),
    ("kΩ", 3, &[Resistance], false),
    ("Mohm", 6, &[Resistance], false),
    ("MΩ", 6, &[Resistance], false),
    ("Hz", 0, &[Signal], true),
    ("kHz", 3, &[Signal], true),
    ("MHz", 6, &[Signal], true),
    ("C", 0, &[Heat], false),
    ("°C", 0, &[Heat], false),
];
