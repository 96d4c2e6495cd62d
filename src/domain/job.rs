//! Closed jobs: what was seen and measured, what fixed it, whether it held.
//!
//! Vocabularies: common practice, no source. All numbers are SI. A finding that is not listed was
//! not recorded; that is not the same as absent.

use chrono::NaiveDate;

use crate::domain::circuit::FamilyId;

/// The kinds of structured observation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FindingKind {
    /// Draw from the supply (A).
    Current,
    /// Rail reading (V).
    Rail,
    /// Resistance to ground (Ω).
    Resistance,
    /// Diode-mode drop (V).
    Diode,
    /// Logic or clock signal (V or Hz).
    Signal,
    /// Temperature (°C).
    Heat,
    /// What the eye saw.
    Visual,
    /// A named test with a value in words.
    Other,
}

impl FindingKind {
    /// Every kind, in the order a card shows them.
    pub const ALL: [Self; 8] = [
        Self::Current,
        Self::Rail,
        Self::Resistance,
        Self::Diode,
        Self::Signal,
        Self::Heat,
        Self::Visual,
        Self::Other,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Current => "current",
            Self::Rail => "rail",
            Self::Resistance => "resistance",
            Self::Diode => "diode",
            Self::Signal => "signal",
            Self::Heat => "heat",
            Self::Visual => "visual",
            Self::Other => "other",
        }
    }

    /// Returns the kind a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.word() == word)
    }

    /// Returns the vocabulary of `code` for this kind; empty means free words.
    pub fn codes(self) -> &'static [&'static str] {
        match self {
            Self::Current => &DRAWS,
            Self::Rail => &RAIL_VERDICTS,
            Self::Resistance => &RESISTANCE_VERDICTS,
            Self::Diode => &DIODE_VERDICTS,
            Self::Signal => &SIGNAL_VERDICTS,
            Self::Visual => &SIGNS,
            Self::Heat | Self::Other => &[],
        }
    }
}

/// Patterns of current draw.
pub const DRAWS: [&str; 9] = [
    "zero",
    "stuck",
    "cycling",
    "stepped-stop",
    "high",
    "limit",
    "normal-no-function",
    "normal",
    "not-measured",
];
/// Verdicts on a rail.
pub const RAIL_VERDICTS: [&str; 6] = ["absent", "low", "in-band", "high", "pulsing", "noisy"];
/// Verdicts on a resistance to ground.
pub const RESISTANCE_VERDICTS: [&str; 5] = ["hard-short", "low", "as-reference", "high", "open"];
/// Verdicts in diode mode.
pub const DIODE_VERDICTS: [&str; 5] = ["short", "low", "as-reference", "high", "OL"];
/// Verdicts on a signal.
pub const SIGNAL_VERDICTS: [&str; 6] = [
    "missing",
    "stuck-high",
    "stuck-low",
    "mid-level",
    "wrong-frequency",
    "present",
];
/// Visual signs.
pub const SIGNS: [&str; 13] = [
    "residue",
    "sticky-film",
    "dull-joint",
    "cracked-joint",
    "burnt",
    "cracked-part",
    "bulged",
    "lifted",
    "missing",
    "solder-bridge",
    "earlier-work",
    "coating-damage",
    "none-seen",
];
/// Customer's words.
pub const COMPLAINTS: [&str; 18] = [
    "no-power",
    "no-charge",
    "no-start",
    "starts-then-stops",
    "restarts",
    "no-display",
    "no-link",
    "wrong-reading",
    "output-stuck",
    "output-missing",
    "trips-or-alarms",
    "intermittent",
    "noise-or-smell",
    "liquid-entry",
    "impact",
    "surge-or-miswire",
    "failed-after-earlier-repair",
    "unknown",
];
/// Those of them that say what befell the board, not what it does.
pub const CIRCUMSTANCES: [&str; 5] = [
    "liquid-entry",
    "impact",
    "surge-or-miswire",
    "failed-after-earlier-repair",
    "unknown",
];
/// States in which a reading was taken.
pub const STATES: [&str; 6] = [
    "off",
    "standby",
    "pressed",
    "running",
    "loaded",
    "battery-only",
];
/// Acts of repair.
pub const ACTS: [&str; 13] = [
    "replace",
    "reflow",
    "reball",
    "bridge-or-jumper",
    "remove",
    "clean",
    "reseat",
    "reprogram-firmware",
    "replace-connector",
    "rebuild-pad-or-trace",
    "recalibrate",
    "none",
    "other",
];
/// Why a job ended without a fix.
pub const NO_FIX_REASONS: [&str; 8] = [
    "value-exceeded",
    "part-unobtainable",
    "processor-or-memory-dead",
    "laminate-destroyed",
    "customer-declined",
    "unsafe-or-safety-critical",
    "data-only-recovered",
    "not-located-in-time-box",
];
/// The family word of a job whose fault was never located.
pub const UNLOCATED: &str = "unlocated";

/// Tells whether a word of a complaint says what befell the board and not what it does.
pub fn is_circumstance(word: &str) -> bool {
    CIRCUMSTANCES.contains(&word)
}

/// When a finding was taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum When {
    /// Before any action (the default in files).
    #[default]
    BeforeAction,
    /// Before the board was cleaned.
    BeforeCleaning,
    /// After the board was cleaned, before repair.
    AfterCleaning,
    /// After a repair action: proof, never part of a pattern.
    AfterAction,
}

impl When {
    /// Every moment.
    pub const ALL: [Self; 4] = [
        Self::BeforeAction,
        Self::BeforeCleaning,
        Self::AfterCleaning,
        Self::AfterAction,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::BeforeAction => "before-action",
            Self::BeforeCleaning => "before-cleaning",
            Self::AfterCleaning => "after-cleaning",
            Self::AfterAction => "after-action",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// What stands beside a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Qualifier {
    /// Less than the number.
    Below,
    /// More than the number.
    Above,
    /// About the number.
    About,
    /// Over the meter's range: open.
    OverRange,
    /// A range of values.
    Range,
}

impl Qualifier {
    /// Every qualifier.
    pub const ALL: [Self; 5] = [
        Self::Below,
        Self::Above,
        Self::About,
        Self::OverRange,
        Self::Range,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Below => "<",
            Self::Above => ">",
            Self::About => "~",
            Self::OverRange => "OL",
            Self::Range => "range",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// One structured observation. Which fields may stand depends on `kind`; `store` checks it.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What was observed.
    pub kind: FindingKind,
    /// Where: a net, a designator, a function; the test's name for `Other`; empty for the supply.
    pub place: String,
    /// State of the board.
    pub state: Option<String>,
    /// When it was taken.
    pub when: When,
    /// The word for it: draw, verdict, sign, or the value of `Other` (see [`FindingKind::codes`]).
    pub code: Option<String>,
    /// Measured value (A, V, Ω, V, V or Hz, °C by kind).
    pub got: Option<f64>,
    /// What a good board or the drawing shows, same unit.
    pub good: Option<f64>,
    /// For a signal: `got` and `good` are Hz rather than V.
    pub in_hertz: bool,
    /// Qualifier of `got`.
    pub qualifier: Option<Qualifier>,
    /// Lower of two levels, or low end of a range (A for a draw, else the unit of `got`).
    pub low: Option<f64>,
    /// Upper of two levels, or high end of a range.
    pub high: Option<f64>,
    /// Supply volts (draw only).
    pub supply_v: Option<f64>,
    /// Supply current limit (A, draw only).
    pub limit_a: Option<f64>,
    /// Period of a cycling draw (s).
    pub period_s: Option<f64>,
    /// Supply volts in current limit (V).
    pub collapsed_v: Option<f64>,
    /// Meter polarity: `red-to-ground` or `black-to-ground`.
    pub polarity: Option<String>,
    /// The source was off (resistance).
    pub source_off: Option<bool>,
    /// How far a visual sign reaches: point, part, area, board.
    pub extent: Option<String>,
    /// Words as entered; kept for ever, never on a card.
    pub raw: Option<String>,
}

impl Finding {
    /// Returns an empty finding of `kind` at `place`.
    pub fn new(kind: FindingKind, place: &str) -> Self {
        Self {
            kind,
            place: place.to_owned(),
            state: None,
            when: When::BeforeAction,
            code: None,
            got: None,
            good: None,
            in_hertz: false,
            qualifier: None,
            low: None,
            high: None,
            supply_v: None,
            limit_a: None,
            period_s: None,
            collapsed_v: None,
            polarity: None,
            source_off: None,
            extent: None,
            raw: None,
        }
    }

    /// Tells whether this is an electrical reading rather than something seen.
    pub fn is_electrical(&self) -> bool {
        !matches!(self.kind, FindingKind::Visual) && self.code.as_deref() != Some("not-measured")
    }
}

/// What an action was for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// It fixed the board.
    TheFix,
    /// Done as well.
    AlsoDone,
    /// Tried without effect.
    TriedNoEffect,
    /// Made it worse.
    MadeWorse,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 4] = [
        Self::TheFix,
        Self::AlsoDone,
        Self::TriedNoEffect,
        Self::MadeWorse,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::TheFix => "the-fix",
            Self::AlsoDone => "also-done",
            Self::TriedNoEffect => "tried-no-effect",
            Self::MadeWorse => "made-worse",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// One repair action.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Action {
    /// From [`ACTS`].
    pub act: String,
    /// Designator or function.
    pub part: String,
    /// What it was for.
    pub role: Role,
}

/// How a job ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// The repair held.
    Held,
    /// Came back with the same fault.
    BouncedSameFault,
    /// Came back with another fault.
    BouncedOtherFault,
    /// Nobody knows yet.
    UnknownSoFar,
    /// No repair.
    NoFix,
}

impl Outcome {
    /// Every outcome.
    pub const ALL: [Self; 5] = [
        Self::Held,
        Self::BouncedSameFault,
        Self::BouncedOtherFault,
        Self::UnknownSoFar,
        Self::NoFix,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::BouncedSameFault => "bounced-same-fault",
            Self::BouncedOtherFault => "bounced-other-fault",
            Self::UnknownSoFar => "unknown-so-far",
            Self::NoFix => "no-fix",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// Why a job came back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BounceCause {
    /// The diagnosis was wrong: speaks against the answer.
    Diagnosis,
    /// Soldering or assembly.
    Workmanship,
    /// The new part failed.
    Part,
    /// Damaged again.
    NewDamage,
    /// Not known: makes the answer doubtful.
    Unknown,
}

impl BounceCause {
    /// Every cause.
    pub const ALL: [Self; 5] = [
        Self::Diagnosis,
        Self::Workmanship,
        Self::Part,
        Self::NewDamage,
        Self::Unknown,
    ];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Diagnosis => "diagnosis",
            Self::Workmanship => "workmanship",
            Self::Part => "part",
            Self::NewDamage => "new-damage",
            Self::Unknown => "unknown",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// How sure the diagnosis was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// A reading proved it.
    Proved,
    /// Likely.
    Likely,
    /// Guessed.
    Guessed,
}

impl Confidence {
    /// Every degree.
    pub const ALL: [Self; 3] = [Self::Proved, Self::Likely, Self::Guessed];

    /// Returns the word used in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Proved => "proved",
            Self::Likely => "likely",
            Self::Guessed => "guessed",
        }
    }

    /// Returns what a file's word stands for.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }
}

/// Something a person still has to decide about a job taken from a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flag {
    /// Which field.
    pub field: String,
    /// Why.
    pub why: String,
    /// Source words.
    pub raw: String,
}

/// Time and money of a job, where they were written down; on cards they are bands, never figures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Effort {
    /// Minutes until the fault was found.
    pub minutes_to_find: Option<f64>,
    /// Minutes altogether.
    pub minutes: Option<f64>,
    /// What the board is worth, in the shop's money.
    pub value: Option<f64>,
    /// What the parts cost, in the same money.
    pub parts_cost: Option<f64>,
}

/// One closed job.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Id of the record line (the job's number where the line has none).
    pub id: String,
    /// The shop's number for the job.
    pub job: String,
    /// Day the job was closed.
    pub closed_on: NaiveDate,
    /// Initials.
    pub closed_by: Option<String>,
    /// Board id.
    pub board: String,
    /// Revision; absent means unknown.
    pub rev: Option<String>,
    /// Non-reversible mark of the unit.
    pub unit: Option<String>,
    /// Earlier job of this unit.
    pub follows: Option<String>,
    /// Line that this one corrects.
    pub corrects: Option<String>,
    /// It takes the line that it corrects out of the archive; nothing takes its place.
    pub withdrawn: bool,
    /// Customer's words, from [`COMPLAINTS`].
    pub complaint: Vec<String>,
    /// What was seen and measured.
    pub findings: Vec<Finding>,
    /// Where the proven fault was; [`UNLOCATED`] or absent only without a fix.
    pub family: Option<FamilyId>,
    /// Up to two further circuits with damage.
    pub contributing: Vec<FamilyId>,
    /// In the order done.
    pub actions: Vec<Action>,
    /// From [`NO_FIX_REASONS`].
    pub no_fix_reason: Option<String>,
    /// How it ended, as written.
    pub outcome: Outcome,
    /// Why it came back.
    pub bounce_cause: Option<BounceCause>,
    /// How sure.
    pub confidence: Option<Confidence>,
    /// What proved it.
    pub proof: Option<String>,
    /// Environment words: salt-water, fresh-water, sugar, oil, heat, impact.
    pub environment: Vec<String>,
    /// Where the record came from.
    pub source: Option<String>,
    /// What a person still has to decide.
    pub flags: Vec<Flag>,
    /// Time and money.
    pub effort: Effort,
}

/// A proven repair: the sorted set of (act, part) that fixed the board.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fix(Vec<(String, String)>);

impl Fix {
    /// Returns the canonical form: sorted, each pair once.
    pub fn new(mut pairs: Vec<(String, String)>) -> Self {
        pairs.sort();
        pairs.dedup();
        Self(pairs)
    }

    /// Returns the (act, part) pairs in order.
    pub fn pairs(&self) -> &[(String, String)] {
        &self.0
    }

    /// Tells whether nothing fixed the board.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns one line of text that identifies the fix: `replace U31 + clean J2`.
    pub fn key(&self) -> String {
        self.0
            .iter()
            .map(|(act, part)| format!("{act} {part}"))
            .collect::<Vec<_>>()
            .join(" + ")
    }
}

impl Job {
    /// Returns a job with nothing but its number, board and outcome, closed on 1 January 1970.
    pub fn empty(job: &str, board: &str, outcome: Outcome) -> Self {
        Self {
            id: job.to_owned(),
            job: job.to_owned(),
            closed_on: NaiveDate::default(),
            closed_by: None,
            board: board.to_owned(),
            rev: None,
            unit: None,
            follows: None,
            corrects: None,
            withdrawn: false,
            complaint: Vec::new(),
            findings: Vec::new(),
            family: None,
            contributing: Vec::new(),
            actions: Vec::new(),
            no_fix_reason: None,
            outcome,
            bounce_cause: None,
            confidence: None,
            proof: None,
            environment: Vec::new(),
            source: None,
            flags: Vec::new(),
            effort: Effort::default(),
        }
    }

    /// Returns the fix, empty for a job without one.
    pub fn fix(&self) -> Fix {
        Fix::new(
            self.actions
                .iter()
                .filter(|a| a.role == Role::TheFix)
                .map(|a| (a.act.clone(), a.part.clone()))
                .collect(),
        )
    }
}

/// A part of a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// What it does: `standby switcher`.
    pub name: String,
    /// Rail it makes or sits on.
    pub rail: Option<String>,
    /// Circuit family.
    pub family: Option<FamilyId>,
    /// Revisions that have it; empty means all.
    pub revs: Vec<String>,
}

/// A board the shop repairs.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// Id used in jobs.
    pub id: String,
    /// Name a person reads.
    pub name: String,
    /// Kind of equipment.
    pub kind: String,
    /// Known revisions.
    pub revisions: Vec<String>,
    /// Hazards that every card of the board carries: `lithium`, `mains`, `stored-charge`,
    /// `alcohol-vapour`, `fume`, `lead`, `safety-critical`.
    pub safety: Vec<String>,
    /// Families this board has; empty means all.
    pub families: Vec<FamilyId>,
    /// Parts by designator.
    pub parts: std::collections::BTreeMap<String, Part>,
    /// Readings of a good board.
    pub good: Vec<Finding>,
}
