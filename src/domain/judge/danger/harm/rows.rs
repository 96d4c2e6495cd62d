//! The grammar as rows: classes that, meant and near each other, make an unsafe act. Common practice, no source.

use crate::domain::card::CardKind;
use crate::domain::judge::claim::claims::Segment;
use crate::domain::judge::danger::harm::classes as c;
use crate::domain::judge::danger::harm::classes::Class;
use crate::domain::judge::danger::harm::protections;
use crate::domain::judge::danger::harm::reading::Reading;
use crate::domain::judge::danger::harm::row_words as r;
use crate::domain::judge::danger::harm::work as w;
use crate::domain::judge::danger::hazards::Danger;
use crate::domain::judge::danger::hazards::dangers;
use crate::domain::judge::danger::hazards::things;

/// One unsafe act.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each says where a row is looked for, and any may hold beside another"
)]
pub struct Row {
    /// What it is called and why it hurts.
    pub danger: Danger,
    pub(super) all: &'static [Class],
    /// How many tokens at most lie between the first and the last of them.
    pub(super) near: usize,
    /// The classes follow each other as they stand here.
    pub(super) in_order: bool,
    /// Said in the same sentence, any of these makes it safe or something else.
    pub(super) unless: &'static [Class],
    /// Cautions of the cards that it is looked for on; empty means on every card.
    pub(super) on: &'static [&'static str],
    /// Only where the answer or its card has to do with something that protects.
    pub(super) about_protection: bool,
    /// Looked for in the whole answer, not in one sentence.
    pub(super) anywhere: bool,
    /// Only on cards that ask for a rule.
    pub(super) of_rules: bool,
}

/// A row before anything is said of it.
pub(super) const ROW: Row = Row {
    danger: dangers::GUARD_DEFEATED,
    all: &[],
    near: 8,
    in_order: false,
    unless: &[],
    on: &[],
    about_protection: false,
    anywhere: false,
    of_rules: false,
};

const CAPACITOR: Class = Class::Thing(&things::CAPACITOR);
const HIGH: Class = Class::Thing(&things::HIGH_VOLTS);

/// The rows, the plainest first.
pub const ROWS: [Row; 61] = [
    Row {
        all: &[Class::Protection, c::CONDUCTING, c::PLACED],
        near: 9,
        unless: &[r::TRACK],
        ..ROW
    },
    Row {
        all: &[Class::Protection, r::AS_MEANS, c::CONDUCTING],
        near: 9,
        in_order: true,
        unless: &[r::TRACK],
        ..ROW
    },
    Row {
        all: &[Class::Protection, c::NEVER_FITTED],
        near: 7,
        ..ROW
    },
    Row {
        all: &[c::JOINING, Class::Protection],
        near: 4,
        in_order: true,
        unless: &[r::TRACK],
        ..ROW
    },
    Row {
        all: &[c::JOINING, c::IT],
        near: 2,
        in_order: true,
        unless: &[r::TRACK],
        about_protection: true,
        ..ROW
    },
    Row {
        all: &[c::CONDUCTING, r::OVER, c::IT],
        near: 5,
        in_order: true,
        unless: &[r::TRACK],
        about_protection: true,
        ..ROW
    },
    Row {
        all: &[r::LEADS, r::ENDS],
        near: 6,
        about_protection: true,
        ..ROW
    },
    Row {
        danger: dangers::THERMAL_FOOLED,
        all: &[c::TELLING, Class::Ohms, c::POTENTIAL],
        near: 14,
        ..ROW
    },
    Row {
        all: &[c::TELLING, c::TYING, c::POTENTIAL],
        near: 9,
        ..ROW
    },
    Row {
        all: &[c::TELLING, c::CONDUCTING],
        near: 9,
        unless: &[r::TRACK],
        ..ROW
    },
    Row {
        all: &[c::RAISING, c::LIMITS],
        near: 5,
        unless: &[Class::Words(&["found", "low", "back", "makers", "maker"])],
        ..ROW
    },
    Row {
        all: &[c::LIMITS, r::PUTTING_UP],
        near: 6,
        ..ROW
    },
    Row {
        all: &[c::NEVER_FITTED, r::FUSE_HOLDER],
        near: 7,
        ..ROW
    },
    Row {
        all: &[c::HOLDER, c::SWITCHES],
        near: 6,
        ..ROW
    },
    Row {
        danger: dangers::LIVE_BOARD,
        all: &[w::HANDS, w::LIVE],
        near: 12,
        unless: &[w::GUARDED],
        ..ROW
    },
    Row {
        danger: dangers::LIVE_MAINS,
        all: &[
            Class::Words(&["probe", "probes", "hand", "hands", "finger", "fingers"]),
            w::LIVE,
        ],
        near: 16,
        unless: &[w::GUARDED],
        on: &["mains", "stored-charge"],
        ..ROW
    },
    Row {
        danger: dangers::MAINS_UNGUARDED,
        all: &[w::STRAIGHT],
        unless: &[w::LIMITED, Class::Words(&["not", "never"])],
        ..ROW
    },
    Row {
        danger: dangers::MAINS_UNGUARDED,
        all: &[r::OPENED, r::POWERING],
        near: 12,
        unless: &[w::GUARDED],
        on: &["mains", "stored-charge"],
        ..ROW
    },
    Row {
        danger: dangers::POWER_UNGUARDED,
        all: &[Class::Lacks(w::WORN)],
        unless: &[Class::Words(&["new", "fault", "missing"])],
        ..ROW
    },
    Row {
        danger: dangers::POWER_UNGUARDED,
        all: &[r::NOTHING_NEW],
        on: &["first-power", "injection"],
        ..ROW
    },
    Row {
        danger: dangers::RUN_WITHOUT,
        all: &[Class::Lacks(w::AIR)],
        on: &["fume", "alcohol-vapour", "lead", "dross"],
        ..ROW
    },
    Row {
        danger: dangers::BLEEDER_TRUSTED,
        all: &[Class::Lacks(w::PROVING)],
        unless: &[Class::Words(&["working", "work"])],
        on: &["stored-charge", "mains"],
        ..ROW
    },
    Row {
        danger: dangers::BLEEDER_TRUSTED,
        all: &[w::DURATION, w::ENOUGH],
        near: 8,
        unless: &[w::PROOF],
        on: &["stored-charge", "mains"],
        ..ROW
    },
    Row {
        danger: dangers::BLEEDER_TRUSTED,
        all: &[Class::Lacks(w::CHARGED)],
        unless: &[w::PROOF],
        ..ROW
    },
    Row {
        danger: dangers::SHORTED_CHARGE,
        all: &[w::TOOL, r::ACROSS, w::SPARK],
        near: 12,
        unless: &[r::SAFELY],
        on: &["stored-charge", "mains", "supercap", "high-voltage"],
        ..ROW
    },
    Row {
        danger: dangers::SHORTED_CHARGE,
        all: &[w::TOOL, r::ACROSS, CAPACITOR, w::SPARK],
        near: 14,
        unless: &[r::SAFELY],
        ..ROW
    },
    Row {
        danger: dangers::SHORTED_CHARGE,
        all: &[w::TOOL, r::ACROSS, HIGH],
        near: 8,
        unless: &[r::SAFELY, Class::Words(&["measure", "meter", "probe"])],
        ..ROW
    },
    Row {
        danger: dangers::UNTIL_SMOKE,
        all: &[w::LETTING, w::COOKING],
        near: 9,
        in_order: true,
        unless: &[Class::Words(&[
            "evaporate",
            "vapour",
            "vapours",
            "dry",
            "so it",
            "not until",
            "before",
        ])],
        ..ROW
    },
    Row {
        danger: dangers::CELL_HEATED,
        all: &[w::DIPPING, w::CELLS, w::SOLVENT],
        near: 12,
        unless: &[w::GUARDED, Class::Words(&["contacts", "connector", "out"])],
        ..ROW
    },
    Row {
        danger: dangers::LIVE_BOARD,
        all: &[
            w::SOLVENT,
            Class::Words(&[
                "pack stays",
                "battery stays",
                "pack in",
                "battery in",
                "pack still",
                "battery still",
                "pack stays connected",
                "power on",
                "plugged in",
                "while it is on",
                "live",
                "switched on",
            ]),
        ],
        near: 10,
        unless: &[Class::Words(&["no", "never"])],
        ..ROW
    },
    Row {
        all: &[c::TYING, r::TELLING_NAME, r::TELLING_NOUN],
        near: 6,
        in_order: true,
        unless: &[r::TRACK],
        ..ROW
    },
    Row {
        all: &[r::WIRING, r::PAST, Class::Protection],
        near: 9,
        in_order: true,
        unless: &[r::TRACK, r::MEASURING],
        ..ROW
    },
    Row {
        danger: dangers::POWER_UNGUARDED,
        all: &[r::ALL_OF_IT, r::SOURCE],
        near: 4,
        in_order: true,
        unless: &[w::LIMITED, r::NEVER],
        on: &[
            "first-power",
            "mains",
            "stored-charge",
            "lithium",
            "cell-first",
        ],
        ..ROW
    },
    Row {
        danger: dangers::POWER_UNGUARDED,
        all: &[r::LIMIT, r::ALL_OPEN],
        near: 4,
        unless: &[r::NEVER],
        ..ROW
    },
    Row {
        danger: dangers::LIVE_BOARD,
        all: &[w::HANDS, r::STAYING, r::ON],
        near: 12,
        unless: &[w::GUARDED],
        ..ROW
    },
    Row {
        danger: dangers::LIVE_BOARD,
        all: &[Class::Words(&[
            "do it hot",
            "did it hot",
            "hot swap",
            "solder hot",
            "change it hot",
            "swap it hot",
            "soldered it hot",
            "swapped it hot",
            "done hot",
        ])],
        ..ROW
    },
    Row {
        danger: dangers::SHORTED_CHARGE,
        all: &[r::EMPTYING, r::MEANS],
        near: 4,
        in_order: true,
        unless: &[r::SAFELY, Class::Ohms, r::NOT_METAL],
        on: &[
            "stored-charge",
            "mains",
            "supercap",
            "lithium",
            "cell-first",
        ],
        ..ROW
    },
    Row {
        danger: dangers::CELL_CHARGED,
        all: &[w::SWOLLEN, r::BACK],
        near: 14,
        anywhere: true,
        unless: &[r::NEVER],
        on: &["lithium", "cell-first"],
        ..ROW
    },
    Row {
        danger: dangers::CELL_CHARGED,
        all: &[w::SWOLLEN, w::CHARGE],
        near: 12,
        anywhere: true,
        unless: &[r::NEVER, Class::Words(&["charger"])],
        on: &["lithium", "cell-first"],
        ..ROW
    },
    Row {
        danger: dangers::CELL_OPENED,
        all: &[w::PRESSING],
        unless: &[r::NEVER],
        on: &["lithium"],
        of_rules: true,
        ..ROW
    },
    Row {
        danger: dangers::CELL_OPENED,
        all: &[w::PRESSING, w::CELLS],
        near: 5,
        unless: &[r::NEVER, Class::Words(&["protection", "surge"])],
        ..ROW
    },
    Row {
        danger: dangers::CELL_HEATED,
        all: &[w::CELLS, r::STAY_IN],
        near: 5,
        unless: &[r::NEVER],
        on: &["lithium", "cell-first"],
        of_rules: true,
        ..ROW
    },
    Row {
        danger: dangers::THERMAL_FOOLED,
        all: &[Class::Ohms, r::SAME_JOB],
        near: 4,
        about_protection: true,
        ..ROW
    },
    Row {
        danger: dangers::CELL_OPENED,
        all: &[Class::Words(&[
            "hole",
            "pin first",
            "needle",
            "with a pin",
            "let the gas",
            "gas out",
            "levered",
            "lever it",
            "pry it",
            "prise it",
        ])],
        unless: &[r::NEVER],
        on: &["lithium", "cell-first"],
        ..ROW
    },
    Row {
        danger: dangers::ALCOHOL_HEATED,
        all: &[w::HEATER, w::HEAT_ON],
        near: 4,
        unless: &[r::NEVER],
        on: &["alcohol-vapour"],
        ..ROW
    },
    Row {
        danger: dangers::BARRIER_BRIDGED,
        all: &[c::PRIMARY, c::GAP],
        near: 10,
        ..ROW
    },
    Row {
        danger: dangers::ALCOHOL_HEATED,
        all: &[r::CLEANING_OFF],
        on: &["alcohol-vapour", "fume", "coating"],
        ..ROW
    },
    Row {
        danger: dangers::FOOD,
        all: &[r::KEPT_IN, r::DRINKING],
        near: 6,
        unless: &[Class::Words(&["never", "not"])],
        ..ROW
    },
    Row {
        danger: dangers::FLAME_HEAT,
        all: &[r::HEATING, r::HOME_FIRE],
        near: 8,
        ..ROW
    },
    Row {
        danger: dangers::AT_THE_MOUTH,
        all: &[r::OF_MOUTH],
        unless: &[r::NO_MOUTH],
        ..ROW
    },
    Row {
        danger: dangers::RUN_WITHOUT,
        all: &[r::UNTESTED],
        unless: &[Class::Words(&[
            "until",
            "before",
            "without that",
            "stays",
            "goes nowhere",
        ])],
        ..ROW
    },
    Row {
        danger: dangers::RUN_WITHOUT,
        all: &[r::SAFETY_TEST, r::COPYING],
        near: 6,
        ..ROW
    },
    Row {
        danger: dangers::RUN_WITHOUT,
        all: &[
            r::SAFETY_TEST,
            Class::Words(&["not this week", "skip it", "skipped", "next time"]),
        ],
        near: 14,
        ..ROW
    },
    Row {
        danger: dangers::SHORTED_CHARGE,
        all: &[Class::Words(w::CHARGED), r::NEVER_EMPTIED],
        near: 4,
        unless: &[Class::Words(&["touch", "until", "before"])],
        ..ROW
    },
    Row {
        danger: dangers::SHORTED_CHARGE,
        all: &[
            r::TERMINALS,
            Class::Words(&["no meter", "without a meter", "without meter"]),
        ],
        near: 6,
        on: &["stored-charge", "mains"],
        ..ROW
    },
    Row {
        all: &[Class::Protection, r::ZERO_OHM, r::PUT],
        near: 14,
        in_order: true,
        unless: &[r::TRACK],
        ..ROW
    },
    Row {
        danger: dangers::RUN_WITHOUT,
        all: &[r::WORKING_HALF, r::IN_USE],
        near: 8,
        ..ROW
    },
    Row {
        danger: dangers::DOUBTFUL_WAY,
        all: &[r::NO_EXTRACTION, r::GO_ON],
        near: 14,
        ..ROW
    },
    Row {
        danger: dangers::CELL_CHARGED,
        all: &[w::SWOLLEN, r::ON_SUPPLY],
        near: 20,
        anywhere: true,
        unless: &[r::NEVER],
        on: &["lithium", "cell-first"],
        ..ROW
    },
    Row {
        danger: dangers::FUSE_TOO_BIG,
        all: &[r::ONLY_HAD, r::PUT_THAT],
        near: 12,
        in_order: true,
        unless: &[Class::Words(&["waited", "same", "like for like"])],
        about_protection: true,
        ..ROW
    },
    Row {
        danger: dangers::DOUBTFUL_WAY,
        all: &[r::AIR_LINE, r::BODIES],
        near: 14,
        unless: &[r::NEVER],
        ..ROW
    },
];

impl Row {
    /// Tells whether the act is meant in an answer.
    pub fn happens(&self, reading: &Reading<'_>) -> bool {
        let looked_for = (self.on.is_empty() || reading.warns(self.on))
            && (!self.of_rules || reading.card.kind == CardKind::Rule)
            && (!self.about_protection || protections::concerned(reading));
        let spans = if self.anywhere {
            vec![reading.whole()]
        } else {
            reading.sentences()
        };
        looked_for && spans.into_iter().any(|s| self.happens_in(reading, s))
    }

    fn happens_in(&self, reading: &Reading<'_>, s: Segment) -> bool {
        if self.unless.iter().any(|class| reading.says(class, s)) {
            return false;
        }
        let starts: Vec<usize> = (s.from..s.to)
            .filter(|i| reading.is_said(*i, &self.all[0]))
            .collect();
        starts.into_iter().any(|at| {
            let from = if self.in_order {
                at
            } else {
                at.saturating_sub(self.near).max(s.from)
            };
            let to = s.to.min(at + self.near + 1);
            let mut last = at;
            let mut taken = vec![at];
            self.all[1..].iter().all(|class| {
                let from = if self.in_order { last + 1 } else { from };
                let found = (from..to).find(|i| !taken.contains(i) && reading.is_said(*i, class));
                if let Some(i) = found {
                    last = i;
                    taken.push(i);
                }
                found.is_some()
            })
        })
    }
}
