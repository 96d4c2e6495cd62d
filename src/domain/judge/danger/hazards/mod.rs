//! The unsafe acts that ship with the program, as data.
//!
//! Which verb on which thing hurts someone, in which context, and what makes it safe after all.
//! Word lists and rules: common practice, no source; facts behind the reasons stand in
//! `domain::caution`. Rules that need numbers or word order are in `situations`.
//! The lists that the rows use: [`things`], [`verbs`], [`dangers`].

pub mod dangers;
pub mod things;
pub mod verbs;

/// What a hazard is called and why it hurts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Danger {
    /// A few words for the verdict line.
    pub what: &'static str,
    /// Why it hurts, and whom to ask instead.
    pub why: &'static str,
    /// Id of the caution to show, from `domain::caution`.
    pub caution: &'static str,
}

/// A kind of thing: by words, by the letters of a designator, by its name on the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Thing {
    /// Phrases, in lower case.
    pub words: &'static [&'static str],
    /// Words that follow and make it something else ("fuse bits").
    pub not_before: &'static [&'static str],
    /// Words just before that make it something else ("away from the cell").
    pub not_after: &'static [&'static str],
    /// Letters of designators.
    pub letters: &'static [&'static str],
    /// Words of a part's name on the board.
    pub named: &'static [&'static str],
    /// Words of a part's name that make it something else.
    pub named_not: &'static [&'static str],
}

/// One row: these verbs on this thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hazard {
    /// What and why.
    pub danger: Danger,
    /// Verbs, the first word in any regular form.
    pub verbs: &'static [&'static str],
    /// On what; without words, on anything.
    pub thing: Thing,
    /// One of these must be said as well, if there are any.
    pub context: &'static [&'static str],
    /// The context must come after "with", "by" or "for".
    pub as_means: bool,
    /// Any of these makes it safe.
    pub unless: &'static [&'static str],
    /// Fitting the thing again makes it safe.
    pub refitted: bool,
}

const ROW: Hazard = Hazard {
    danger: dangers::FUSE_BRIDGED,
    verbs: &[],
    thing: things::NOTHING,
    context: &[],
    as_means: false,
    unless: &[],
    refitted: false,
};

/// The table.
pub const HAZARDS: [Hazard; 38] = [
    Hazard {
        danger: dangers::FUSE_BRIDGED,
        verbs: verbs::BRIDGING,
        thing: things::FUSE,
        ..ROW
    },
    Hazard {
        danger: dangers::FUSE_BRIDGED,
        verbs: verbs::FITTING,
        thing: things::FUSE,
        context: &[
            "0r",
            "0ohm",
            "0ohms",
            "zero ohm",
            "zero ohms",
            "wire",
            "link",
            "jumper",
            "foil",
            "bridge",
            "blob",
            "nail",
            "resistor",
            "short",
            "strand",
            "copper",
            "solder",
            "paperclip",
            "coin",
        ],
        as_means: true,
        ..ROW
    },
    Hazard {
        danger: dangers::GUARD_DEFEATED,
        verbs: verbs::DEFEATING,
        thing: things::GUARD,
        ..ROW
    },
    Hazard {
        danger: dangers::GUARD_DEFEATED,
        verbs: &["short", "link", "wire", "loop", "loop out"],
        thing: things::GUARD_CONTACTS,
        ..ROW
    },
    Hazard {
        danger: dangers::GUARD_DEFEATED,
        verbs: verbs::TAKING_OUT,
        thing: things::GUARD,
        unless: &["alone", "in place", "as it is"],
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: dangers::GUARD_DEFEATED,
        verbs: &["leave out", "left out", "omit", "leave off", "leave away"],
        thing: things::FUSE,
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: dangers::EARTH_DEFEATED,
        verbs: &[
            "remove",
            "lift",
            "cut",
            "cut off",
            "disconnect",
            "break",
            "defeat",
            "isolate",
            "float",
            "snip",
            "tape",
            "leave off",
            "left off",
            "take off",
            "pull",
            "pull off",
            "unscrew",
            "leave out",
            "omit",
            "unhook",
            "bypass",
            "pull",
        ],
        thing: things::EARTH,
        ..ROW
    },
    Hazard {
        danger: dangers::INSULATION_GONE,
        verbs: verbs::TAKING_OUT,
        thing: things::INSULATION,
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: dangers::BARRIER_BRIDGED,
        verbs: &[
            "bridge",
            "jumper",
            "jump",
            "bypass",
            "link",
            "link across",
            "short",
            "short out",
            "short across",
            "connect",
            "tie",
            "join",
            "wire across",
            "strap",
            "defeat",
        ],
        thing: things::BARRIER,
        ..ROW
    },
    Hazard {
        danger: dangers::SAFETY_CAPACITOR_SWAPPED,
        verbs: verbs::FITTING,
        thing: things::SAFETY_CAPACITOR,
        context: &[
            "ordinary", "normal", "standard", "any", "generic", "general", "ceramic", "plain",
            "cheap", "whatever", "unrated", "regular",
        ],
        unless: &["approved", "certified", "rated"],
        ..ROW
    },
    Hazard {
        danger: dangers::SHORTED_CHARGE,
        verbs: &["discharge", "drain", "bleed", "dump"],
        context: verbs::TOOLS,
        as_means: true,
        unless: &["resistor", "tool"],
        ..ROW
    },
    Hazard {
        danger: dangers::SHORTED_CHARGE,
        verbs: &["short", "short out", "empty"],
        thing: things::CAPACITOR,
        context: verbs::TOOLS,
        as_means: true,
        ..ROW
    },
    Hazard {
        danger: dangers::SHORTED_CHARGE,
        verbs: &[
            "short",
            "short out",
            "short across",
            "bridge",
            "jumper",
            "screwdriver across",
            "spanner across",
            "tweezers across",
            "pliers across",
            "wire across",
        ],
        thing: things::BULK,
        ..ROW
    },
    Hazard {
        danger: dangers::LIVE_MAINS,
        verbs: &["touch", "lick", "finger on"],
        thing: things::BULK,
        ..ROW
    },
    Hazard {
        danger: dangers::BLEEDER_TRUSTED,
        verbs: &[
            "trust",
            "rely",
            "depend",
            "count",
            "bank",
            "leave it to",
            "wait for",
        ],
        thing: things::BLEEDER,
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_CHARGED,
        verbs: &[
            "charge",
            "recharge",
            "trickle",
            "revive",
            "jump start",
            "jumpstart",
            "zap",
            "boost",
            "wake",
            "recover",
            "bring back",
            "reuse",
            "put back",
            "put it back",
            "push it back",
            "refit",
            "use",
            "reinstall",
            "keep using",
        ],
        thing: things::CELL,
        context: verbs::BAD_CELL,
        unless: &["maker", "makers", "manufacturer", "manufacturers"],
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_CHARGED,
        verbs: verbs::CHARGING,
        thing: things::CELL_TO_CHARGE,
        context: &[
            "swollen",
            "puffed",
            "puffy",
            "bloated",
            "bulging",
            "bulged",
            "bench supply",
            "lab supply",
            "power supply",
            "psu",
            "lab psu",
            "overnight",
            "current source",
        ],
        unless: &["maker", "makers", "manufacturer", "manufacturers"],
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_CHARGED,
        verbs: &["feed", "inject", "force", "push"],
        thing: things::CELL_TO_CHARGE,
        context: &["straight into", "directly into", "straight to", "direct"],
        unless: &["maker", "makers"],
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_OPENED,
        verbs: &["let the gas out", "let gas out", "let the air out"],
        ..ROW
    },
    Hazard {
        danger: dangers::POWER_UNGUARDED,
        verbs: &[
            "bypass",
            "defeat",
            "disable",
            "override",
            "remove",
            "take off",
            "take out",
            "switch off",
            "turn off",
            "short out",
            "bridge",
            "ignore",
        ],
        thing: things::LIMITER,
        ..ROW
    },
    Hazard {
        danger: dangers::GUARD_DEFEATED,
        verbs: verbs::BRIDGING,
        thing: things::CURRENT_SENSE,
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_OPENED,
        verbs: &[
            "puncture", "pierce", "prick", "stab", "drill", "vent", "cut open", "pop", "poke",
            "deflate", "slit",
        ],
        thing: things::CELL_HARMED,
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_OPENED,
        verbs: &[
            "press", "flatten", "squash", "squeeze", "clamp", "push", "compress", "force", "crush",
            "hammer", "bend", "roll",
        ],
        thing: things::CELL_HARMED,
        context: &[
            "swollen",
            "puffed",
            "puffy",
            "bloated",
            "bulging",
            "bulged",
            "flat",
            "down",
            "flatten",
            "flattened",
            "crush",
            "hammer",
            "bend",
            "squash",
            "swelling",
        ],
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_HEATED,
        verbs: verbs::HEATING,
        thing: things::CELL,
        unless: &[
            "battery is out",
            "cell is out",
            "pack is out",
            "battery is removed",
            "cell is removed",
        ],
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_SHORTED,
        verbs: &[
            "short",
            "short out",
            "short across",
            "bridge",
            "jumper",
            "jump",
        ],
        thing: things::CELL_HARMED,
        ..ROW
    },
    Hazard {
        danger: dangers::THERMAL_FOOLED,
        verbs: verbs::DEFEATING,
        thing: things::THERMISTOR,
        ..ROW
    },
    Hazard {
        danger: dangers::THERMAL_FOOLED,
        verbs: verbs::FITTING,
        thing: things::THERMISTOR,
        context: &["resistor", "fixed", "wire", "link", "jumper", "0r", "short"],
        as_means: true,
        ..ROW
    },
    Hazard {
        danger: dangers::SCOPE_ON_MAINS,
        verbs: &["float", "lift", "cut", "defeat", "isolate", "tape"],
        thing: things::SCOPE_EARTH,
        unless: &["battery", "differential", "qualified"],
        ..ROW
    },
    Hazard {
        danger: dangers::BLEEDER_GONE,
        verbs: verbs::TAKING_OUT,
        thing: things::BLEEDER,
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: dangers::CELL_BINNED,
        verbs: &["throw", "toss", "chuck", "drop", "put"],
        thing: things::CELL,
        context: &["bin", "trash", "rubbish", "garbage", "dustbin", "skip"],
        unless: &["recycling", "marked", "safe"],
        ..ROW
    },
    Hazard {
        danger: dangers::SHORTED_CHARGE,
        verbs: &[
            "screwdriver across",
            "spanner across",
            "tweezers across",
            "pliers across",
            "blade across",
        ],
        thing: things::CAPACITOR,
        ..ROW
    },
    Hazard {
        danger: dangers::SHORTED_CHARGE,
        verbs: &["short"],
        context: &["screwdriver", "spanner", "pliers", "blade"],
        as_means: true,
        ..ROW
    },
    Hazard {
        danger: dangers::LIVE_MAINS,
        verbs: &["touch", "lick", "feel"],
        thing: things::CAPACITOR,
        context: &["charged", "charge", "live", "shock", "feel"],
        unless: &["discharged"],
        ..ROW
    },
    Hazard {
        danger: dangers::FOOD,
        verbs: &["lick"],
        ..ROW
    },
    Hazard {
        danger: dangers::LEAD_BLOWN,
        verbs: &["blow", "air gun", "airgun", "compressed air"],
        thing: things::DROSS,
        ..ROW
    },
    Hazard {
        danger: dangers::LEAD_BLOWN,
        verbs: &["brush", "sweep"],
        thing: things::DROSS,
        context: &["dry"],
        ..ROW
    },
    Hazard {
        danger: dangers::LEGACY_OPENED,
        verbs: &[
            "file", "sand", "grind", "scratch", "break", "drill", "scrape", "polish", "saw",
        ],
        thing: things::BERYLLIA,
        ..ROW
    },
    Hazard {
        danger: dangers::LEGACY_OPENED,
        verbs: &[
            "open", "cut open", "cut", "drill", "puncture", "saw", "burn",
        ],
        thing: things::OIL_FILLED,
        ..ROW
    },
];
