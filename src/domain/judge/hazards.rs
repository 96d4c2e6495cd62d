//! The unsafe acts that ship with the program, as data.
//!
//! Which verb on which thing hurts someone, in which context, and what makes it safe after all.
//! Word lists and rules: common practice, no source; facts behind the reasons stand in
//! `domain::caution`. Rules that need numbers or word order are in `unsafe_acts`.

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

const NOTHING: Thing = Thing {
    words: &[],
    not_before: &[],
    not_after: &[],
    letters: &[],
    named: &[],
    named_not: &[],
};

/// Fuses of every kind.
pub const FUSE: Thing = Thing {
    words: &[
        "fuse",
        "fuses",
        "fuseholder",
        "polyfuse",
        "polyfuses",
        "polyswitch",
        "fusible",
        "breaker",
        "breakers",
    ],
    not_before: &["bit", "bits"],
    letters: &["F", "XF"],
    named: &["fuse", "polyfuse", "fusible", "breaker"],
    ..NOTHING
};

/// Other things that are there to protect.
pub const GUARD: Thing = Thing {
    words: &[
        "tvs",
        "transil",
        "varistor",
        "mov",
        "surge arrester",
        "surge suppressor",
        "suppressor",
        "crowbar",
        "interlock",
        "interlocks",
        "safety switch",
        "lid switch",
        "door switch",
        "estop",
        "e stop",
        "emergency stop",
        "thermal cutout",
        "thermal cut out",
        "thermostat",
        "over temperature",
        "overtemperature",
        "overtemp",
        "over temp",
        "thermal trip",
        "thermal protection",
        "thermal shutdown",
        "temperature protection",
        "temperature trip",
        "temp trip",
        "over current",
        "overcurrent",
        "over voltage",
        "overvoltage",
        "ocp",
        "ovp",
        "otp",
        "rcd",
        "gfci",
        "protection circuit",
        "cell protection",
        "battery protection",
        "protection board",
        "bms",
        "y capacitor",
        "y cap",
        "x capacitor",
        "x cap",
        "safety capacitor",
    ],
    letters: &["TVS", "RV"],
    named: &[
        "tvs",
        "varistor",
        "suppressor",
        "arrester",
        "interlock",
        "cutout",
        "thermostat",
        "crowbar",
    ],
    ..NOTHING
};

/// Protective earth.
pub const EARTH: Thing = Thing {
    words: &[
        "earth",
        "protective earth",
        "safety ground",
        "ground prong",
        "mains ground",
        "earthing",
    ],
    not_before: &["clip", "clips", "crocodile", "fault", "spring"],
    not_after: &["wrist"],
    ..NOTHING
};

/// What keeps mains from people.
pub const INSULATION: Thing = Thing {
    words: &[
        "insulator",
        "insulators",
        "insulating",
        "insulation sheet",
        "insulation barrier",
        "insulation paper",
        "insulation film",
        "isolation barrier",
        "isolation sheet",
        "mica",
        "mains cover",
        "safety cover",
    ],
    ..NOTHING
};

/// What bridges or keeps the isolation between mains and the rest.
pub const BARRIER: Thing = Thing {
    words: &[
        "optocoupler",
        "opto",
        "optocouplers",
        "opto coupler",
        "photocoupler",
        "isolator",
        "isolation",
        "isolation slot",
        "isolation barrier",
        "isolation gap",
        "creepage",
        "y capacitor",
        "y cap",
    ],
    not_before: &["transformer"],
    named: &["optocoupler", "opto", "isolator", "photocoupler"],
    ..NOTHING
};

/// Lithium and other cells.
pub const CELL: Thing = Thing {
    words: &[
        "cell",
        "cells",
        "battery",
        "batteries",
        "batt",
        "lipo",
        "lithium",
        "li ion",
        "li po",
        "liion",
        "pouch",
        "pack",
        "18650",
    ],
    not_before: &[
        "connector",
        "connectors",
        "holder",
        "socket",
        "plug",
        "lead",
        "leads",
        "clip",
        "charger",
        "fet",
        "gauge",
        "sense",
        "rail",
        "line",
        "switch",
        "contact",
        "contacts",
        "spring",
        "voltage",
        "input",
        "node",
        "door",
        "cover",
        "side",
        "path",
        "ic",
        "chip",
        "management",
        "monitor",
        "connection",
        "removed",
        "out",
        "disconnected",
        "unplugged",
        "off",
        "circuit",
        "first",
        "jack",
        "pads",
        "pad",
        "trace",
        "current",
    ],
    not_after: &["from", "without", "fuel"],
    letters: &["BT"],
    named: &["cell", "lithium", "battery", "pack"],
    named_not: &[
        "connector",
        "charger",
        "gauge",
        "fet",
        "switch",
        "sense",
        "holder",
        "protection",
        "monitor",
        "resistor",
        "capacitor",
        "fuse",
        "management",
        "balancer",
    ],
};

/// Capacitors that store what can kill.
pub const BULK: Thing = Thing {
    words: &[
        "bulk",
        "reservoir",
        "smoothing",
        "dc link",
        "dc bus",
        "main cap",
        "main caps",
        "main capacitor",
        "mains cap",
        "mains capacitor",
        "primary cap",
        "primary capacitor",
        "hv cap",
        "hv capacitor",
        "high voltage cap",
        "high voltage capacitor",
        "big cap",
        "big caps",
    ],
    named: &["bulk", "reservoir", "smoothing"],
    ..NOTHING
};

const CAPACITOR: Thing = Thing {
    words: &[
        "capacitor",
        "capacitors",
        "cap",
        "caps",
        "bulk",
        "reservoir",
        "smoothing",
        "dc link",
        "dc bus",
        "electrolytic",
        "bus",
    ],
    letters: &["C"],
    ..NOTHING
};

const THERMISTOR: Thing = Thing {
    words: &[
        "thermistor",
        "thermistors",
        "ntc",
        "temperature sensor",
        "temp sensor",
        "inrush limiter",
    ],
    named: &["thermistor", "ntc", "inrush"],
    ..NOTHING
};

const SAFETY_CAPACITOR: Thing = Thing {
    words: &[
        "y capacitor",
        "y cap",
        "y caps",
        "x capacitor",
        "x cap",
        "class y",
        "class x",
        "y class",
        "x class",
        "safety capacitor",
        "safety cap",
    ],
    named: &["y-capacitor", "x-capacitor"],
    ..NOTHING
};

const BLEEDER: Thing = Thing {
    words: &["bleeder", "bleeders", "bleed resistor", "bleed"],
    ..NOTHING
};

const SCOPE_EARTH: Thing = Thing {
    words: &["scope", "oscilloscope"],
    ..NOTHING
};

/// Acts that put a conductor where a protective part belongs.
pub const BRIDGING: &[&str] = &[
    "bridge",
    "jumper",
    "jump",
    "bypass",
    "strap",
    "link out",
    "link across",
    "link over",
    "link the",
    "link it",
    "link",
    "wire across",
    "wire over",
    "wire around",
    "wire past",
    "wire round",
    "wire out",
    "wire in",
    "wire instead",
    "wire link",
    "wire it across",
    "bodge",
    "bodge wire",
    "short out",
    "short across",
    "short",
    "solder across",
    "solder over",
    "blob",
    "foil",
    "nail",
    "paperclip",
    "paper clip",
    "loop out",
    "defeat",
    "disable",
    "cheat",
    "wrap",
    "override",
    "loop",
    "coin",
];
const DEFEATING: &[&str] = &[
    "defeat",
    "disable",
    "bypass",
    "bridge",
    "jumper",
    "jump",
    "short out",
    "short across",
    "override",
    "block",
    "tape",
    "tie",
    "jam",
    "wedge",
    "hold",
    "fool",
    "fake",
    "cheat",
    "ignore",
    "trick",
    "link out",
    "wire across",
    "link across",
    "solder across",
    "foil",
    "switch off",
    "turn off",
    "raise",
    "strap",
    "wedge",
    "prop",
];
const TAKING_OUT: &[&str] = &[
    "remove",
    "pull",
    "pull off",
    "lift",
    "lift off",
    "take off",
    "take out",
    "took out",
    "cut",
    "cut off",
    "cut out",
    "snip",
    "desolder",
    "leave out",
    "left out",
    "leave off",
    "left off",
    "omit",
    "disconnect",
    "delete",
    "rip out",
    "leave",
];
const FITTING: &[&str] = &[
    "replace",
    "swap",
    "change",
    "fit",
    "put",
    "use",
    "substitute",
    "install",
    "exchange",
    "renew",
    "try",
];
const HEATING: &[&str] = &[
    "heat",
    "warm",
    "hot air",
    "bake",
    "reflow",
    "solder",
    "heat gun",
    "torch",
    "boil",
    "cook",
    "resolder",
    "preheat",
    "microwave",
    "spot weld",
];
const TOOLS: &[&str] = &[
    "screwdriver",
    "spanner",
    "tweezers",
    "pliers",
    "wire",
    "jumper",
    "spark",
    "finger",
    "metal",
    "blade",
    "knife",
    "clip",
    "lead",
    "short",
    "shorting",
];
const BAD_CELL: &[&str] = &[
    "swollen",
    "swelled",
    "puffed",
    "puffy",
    "bloated",
    "bulging",
    "bulged",
    "wet",
    "soaked",
    "flooded",
    "deeply discharged",
    "deep discharged",
    "over discharged",
    "overdischarged",
    "punctured",
    "pierced",
    "damaged",
    "dented",
    "leaking",
    "leaky",
    "hot",
    "went under",
    "crushed",
    "0v",
    "submerged",
    "swelling",
    "expanded",
];

const FUSE_BRIDGED: Danger = Danger {
    what: "unsafe: defeats a fuse",
    why: "A bridged fuse lets the next fault burn the board or its user. Find what blew it, then fit \
          the type and rating that the maker gives.",
    caution: "protection",
};
/// A fuse of a higher rating.
pub const FUSE_TOO_BIG: Danger = Danger {
    what: "unsafe: a fuse above its rating",
    why: "A bigger fuse lets wiring and board burn before it opens. Find what blew it, then fit the \
          type and rating that the maker gives.",
    caution: "protection",
};
const GUARD_DEFEATED: Danger = Danger {
    what: "unsafe: defeats a protection",
    why: "The protection is there for the fault that comes next. Repair or renew it as the maker \
          says; a board that runs without it must not leave the bench.",
    caution: "protection",
};
/// Running without something that protects.
pub const RUN_WITHOUT: Danger = Danger {
    what: "unsafe: runs without a protection",
    ..GUARD_DEFEATED
};
const EARTH_DEFEATED: Danger = Danger {
    what: "unsafe: defeats the protective earth",
    why: "Without its earth a fault makes the case live and can kill. A qualified person restores and \
          tests it to the local code.",
    caution: "mains",
};
const INSULATION_GONE: Danger = Danger {
    what: "unsafe: takes away insulation",
    why: "Insulation keeps mains from people. Fit what the maker specifies; a qualified person tests it \
          to the local code.",
    caution: "mains",
};
/// Mains connected past its isolation.
pub const BARRIER_BRIDGED: Danger = Danger {
    what: "unsafe: bridges the isolation from mains",
    why: "It puts mains on parts that people touch. Only approved isolating parts go across, fitted by a \
          qualified person to the maker's instructions and the local code.",
    caution: "mains",
};
const SAFETY_CAPACITOR_SWAPPED: Danger = Danger {
    what: "unsafe: an ordinary part for a safety capacitor",
    why: "An ordinary capacitor can fail short and put mains on parts that people touch. Fit the approved \
          class that the maker gives; a qualified person does it.",
    caution: "mains",
};
const SHORTED_CHARGE: Danger = Danger {
    what: "unsafe: shorts a charged capacitor",
    why: "A tool across a charged capacitor throws metal and burns, and may leave charge behind. Let it \
          discharge as the maker says, and prove it with a rated meter.",
    caution: "stored-charge",
};
/// Trust in a bleeder.
pub const BLEEDER_TRUSTED: Danger = Danger {
    what: "unsafe: trusts a bleeder",
    why: "Bleeders fail open and leave a charge that can kill. Prove it discharged at the capacitor with a \
          rated meter, as the maker says.",
    caution: "stored-charge",
};
/// Heat or a spark with alcohol.
pub const ALCOHOL_HEATED: Danger = Danger {
    what: "unsafe: alcohol and heat",
    why: "Alcohol vapour burns at room temperature, and heat makes more of it. Let it evaporate in moving \
          air first; the makers' data sheets and local fire rules decide.",
    caution: "alcohol-vapour",
};
/// Alcohol on a powered board.
pub const ALCOHOL_POWERED: Danger = Danger {
    what: "unsafe: alcohol on a powered board",
    why: "One spark lights the vapour. Power off, let it evaporate, then power; the makers' data sheets \
          and local fire rules decide.",
    caution: "alcohol-vapour",
};
const CELL_CHARGED: Danger = Danger {
    what: "unsafe: a damaged cell in use",
    why: "A swollen, wet, damaged or deeply discharged cell can catch fire when it is charged or used. \
          Stop, isolate it in the cell-safe place, follow its maker and local rules.",
    caution: "lithium",
};
const CELL_OPENED: Danger = Danger {
    what: "unsafe: opens or crushes a cell",
    why: "A punctured, bent or pressed lithium cell can burst into flame. Stop, isolate it in the cell-safe \
          place, follow its maker and local rules.",
    caution: "lithium",
};
const CELL_HEATED: Danger = Danger {
    what: "unsafe: heat on a cell",
    why: "Heat or an iron on a lithium cell can start a fire that starts again. Take the cell out first; \
          cells are joined only as their maker allows.",
    caution: "lithium",
};
const CELL_SHORTED: Danger = Danger {
    what: "unsafe: shorts a cell",
    why: "A shorted cell gives hundreds of amperes, burns and may catch fire. Take it out, cover its \
          terminals, follow its maker.",
    caution: "lithium",
};
/// Work on live mains.
pub const LIVE_MAINS: Danger = Danger {
    what: "unsafe: work on live mains",
    why: "Mains and stored charge can kill. Unplug, wait, prove it discharged with a rated meter; only a \
          qualified person works on that side, to the local code.",
    caution: "mains",
};
/// Soldering on a powered board.
pub const LIVE_BOARD: Danger = Danger {
    what: "unsafe: repair on a powered board",
    why: "Tools on a powered board short rails, throw sparks and light vapour. Take every source off and \
          prove it dead first, as the maker says.",
    caution: "stored-charge",
};
/// An earthed scope on the mains side.
pub const SCOPE_ON_MAINS: Danger = Danger {
    what: "unsafe: an earthed scope on the mains side",
    why: "The earth clip shorts the mains side, and a floated scope makes its case live. Only a qualified \
          person, with a probe rated and isolated for it.",
    caution: "mains",
};
/// Too many volts injected.
pub const OVER_INJECTED: Danger = Danger {
    what: "unsafe: more volts than the rail is made for",
    why: "Parts on the rail burst or burn. Never inject above the rail's nominal volts; limit the current, \
          wear glasses, follow the maker's drawing.",
    caution: "stored-charge",
};
/// Power on a wet board.
pub const WET_POWERED: Danger = Danger {
    what: "unsafe: power on a wet board",
    why: "Liquid shorts what the fuse does not see and heats cells. Every source off, clean and dry \
          first, as the maker says.",
    caution: "liquid",
};
const THERMAL_FOOLED: Danger = Danger {
    what: "unsafe: defeats over-temperature protection",
    why: "Nothing then stops the next overheating. Renew the sensor or cut-out with the type that the maker \
          gives.",
    caution: "protection",
};
/// Current until something burns.
pub const UNTIL_SMOKE: Danger = Danger {
    what: "unsafe: current until something burns",
    why: "Parts burst and boards catch fire. Limit volts and current, find the heat with a camera, wear \
          glasses, follow the maker.",
    caution: "stored-charge",
};
/// Food at the bench.
pub const FOOD: Danger = Danger {
    what: "unsafe: food or smoke at the bench",
    why: "Lead gets in by the mouth, and vapour by a flame. Wash hands, eat elsewhere; local \
          worker-protection rules decide.",
    caution: "lead",
};

const ROW: Hazard = Hazard {
    danger: FUSE_BRIDGED,
    verbs: &[],
    thing: NOTHING,
    context: &[],
    as_means: false,
    unless: &[],
    refitted: false,
};

/// The table.
pub const HAZARDS: [Hazard; 22] = [
    Hazard {
        danger: FUSE_BRIDGED,
        verbs: BRIDGING,
        thing: FUSE,
        ..ROW
    },
    Hazard {
        danger: FUSE_BRIDGED,
        verbs: FITTING,
        thing: FUSE,
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
        danger: GUARD_DEFEATED,
        verbs: DEFEATING,
        thing: GUARD,
        ..ROW
    },
    Hazard {
        danger: GUARD_DEFEATED,
        verbs: TAKING_OUT,
        thing: GUARD,
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: GUARD_DEFEATED,
        verbs: &["leave out", "left out", "omit", "leave off"],
        thing: FUSE,
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: EARTH_DEFEATED,
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
            "leave out",
            "omit",
            "unhook",
            "bypass",
            "pull",
        ],
        thing: EARTH,
        ..ROW
    },
    Hazard {
        danger: INSULATION_GONE,
        verbs: TAKING_OUT,
        thing: INSULATION,
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: BARRIER_BRIDGED,
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
        thing: BARRIER,
        ..ROW
    },
    Hazard {
        danger: SAFETY_CAPACITOR_SWAPPED,
        verbs: FITTING,
        thing: SAFETY_CAPACITOR,
        context: &[
            "ordinary", "normal", "standard", "any", "generic", "general", "ceramic", "plain",
            "cheap", "whatever", "unrated", "regular",
        ],
        unless: &["approved", "certified", "rated"],
        ..ROW
    },
    Hazard {
        danger: SHORTED_CHARGE,
        verbs: &["discharge", "drain", "bleed", "dump"],
        context: TOOLS,
        as_means: true,
        unless: &["resistor", "tool"],
        ..ROW
    },
    Hazard {
        danger: SHORTED_CHARGE,
        verbs: &["short", "short out", "empty"],
        thing: CAPACITOR,
        context: TOOLS,
        as_means: true,
        ..ROW
    },
    Hazard {
        danger: SHORTED_CHARGE,
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
        thing: BULK,
        ..ROW
    },
    Hazard {
        danger: LIVE_MAINS,
        verbs: &["touch", "lick", "finger on"],
        thing: BULK,
        ..ROW
    },
    Hazard {
        danger: BLEEDER_TRUSTED,
        verbs: &[
            "trust",
            "rely",
            "depend",
            "count",
            "bank",
            "leave it to",
            "wait for",
        ],
        thing: BLEEDER,
        ..ROW
    },
    Hazard {
        danger: CELL_CHARGED,
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
            "refit",
            "use",
            "reinstall",
            "keep using",
        ],
        thing: CELL,
        context: BAD_CELL,
        unless: &["maker", "makers", "manufacturer", "manufacturers"],
        refitted: true,
        ..ROW
    },
    Hazard {
        danger: CELL_OPENED,
        verbs: &[
            "puncture", "pierce", "prick", "stab", "drill", "vent", "cut open", "pop", "poke",
            "deflate", "slit",
        ],
        thing: CELL,
        ..ROW
    },
    Hazard {
        danger: CELL_OPENED,
        verbs: &[
            "press", "flatten", "squash", "squeeze", "clamp", "push", "compress", "force", "crush",
            "hammer", "bend", "roll",
        ],
        thing: CELL,
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
        danger: CELL_HEATED,
        verbs: HEATING,
        thing: CELL,
        ..ROW
    },
    Hazard {
        danger: CELL_SHORTED,
        verbs: &[
            "short",
            "short out",
            "short across",
            "bridge",
            "jumper",
            "jump",
        ],
        thing: CELL,
        ..ROW
    },
    Hazard {
        danger: THERMAL_FOOLED,
        verbs: DEFEATING,
        thing: THERMISTOR,
        ..ROW
    },
    Hazard {
        danger: THERMAL_FOOLED,
        verbs: FITTING,
        thing: THERMISTOR,
        context: &["resistor", "wire", "link", "jumper", "0r", "short"],
        as_means: true,
        ..ROW
    },
    Hazard {
        danger: SCOPE_ON_MAINS,
        verbs: &["float", "lift", "cut", "defeat", "isolate", "tape"],
        thing: SCOPE_EARTH,
        unless: &["battery", "differential", "qualified"],
        ..ROW
    },
];
