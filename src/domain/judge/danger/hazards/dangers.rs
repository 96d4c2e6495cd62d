//! What an unsafe act is called, and why it hurts. Facts behind the reasons stand in `domain::caution`;
//! the rest is common practice, no source.

use crate::domain::judge::danger::hazards::Danger;

/// A fuse that cannot open.
pub const FUSE_BRIDGED: Danger = Danger {
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
/// A protection that cannot act.
pub const GUARD_DEFEATED: Danger = Danger {
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
/// A missing protective earth.
pub const EARTH_DEFEATED: Danger = Danger {
    what: "unsafe: defeats the protective earth",
    why: "Without its earth a fault makes the case live and can kill. A qualified person restores and \
          tests it to the local code.",
    caution: "mains",
};
/// Insulation taken away.
pub const INSULATION_GONE: Danger = Danger {
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
/// An ordinary part for a safety capacitor.
pub const SAFETY_CAPACITOR_SWAPPED: Danger = Danger {
    what: "unsafe: an ordinary part for a safety capacitor",
    why: "An ordinary capacitor can fail short and put mains on parts that people touch. Fit the approved \
          class that the maker gives; a qualified person does it.",
    caution: "mains",
};
/// A tool across a charged capacitor.
pub const SHORTED_CHARGE: Danger = Danger {
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
/// A bad cell in use.
pub const CELL_CHARGED: Danger = Danger {
    what: "unsafe: a damaged cell in use",
    why: "A swollen, wet, damaged or deeply discharged cell can catch fire when it is charged or used. \
          Stop, isolate it in the cell-safe place, follow its maker and local rules.",
    caution: "lithium",
};
/// A cell pierced or pressed.
pub const CELL_OPENED: Danger = Danger {
    what: "unsafe: opens or crushes a cell",
    why: "A punctured, bent or pressed lithium cell can burst into flame. Stop, isolate it in the cell-safe \
          place, follow its maker and local rules.",
    caution: "lithium",
};
/// Heat on a cell.
pub const CELL_HEATED: Danger = Danger {
    what: "unsafe: heat on a cell",
    why: "Heat or an iron on a lithium cell can start a fire that starts again. Take the cell out first; \
          cells are joined only as their maker allows.",
    caution: "lithium",
};
/// A shorted cell.
pub const CELL_SHORTED: Danger = Danger {
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
/// Bare hands on dangerous volts.
pub const LIVE_TOUCHED: Danger = Danger {
    what: "unsafe: hands on dangerous volts",
    why: "Above extra-low volts a touch can kill, and a transmitter burns. Source off, prove it dead with \
          a rated meter, and look for heat with a camera.",
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
/// A fooled temperature sensor.
pub const THERMAL_FOOLED: Danger = Danger {
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
/// A bleeder taken away.
pub const BLEEDER_GONE: Danger = Danger {
    what: "unsafe: takes a bleeder away",
    why: "Without it the capacitor keeps a charge that can kill, for hours. Fit the part that the maker \
          gives, and prove it discharged with a rated meter all the same.",
    caution: "stored-charge",
};
/// A bad cell in ordinary waste.
pub const CELL_BINNED: Danger = Danger {
    what: "unsafe: a bad cell in the bin",
    why: "A damaged cell can burn hours later, with everything round it. Isolate it in the cell-safe \
          place; its maker and local waste rules say how it goes.",
    caution: "lithium",
};
/// Lead dust in the air.
pub const LEAD_BLOWN: Danger = Danger {
    what: "unsafe: lead dust in the air",
    why: "Blown or dry-brushed dross is breathed in. Wipe it up damp, into a closed container; local \
          worker-protection and waste rules decide.",
    caution: "lead",
};
/// Old parts with hazardous insides.
pub const LEGACY_OPENED: Danger = Danger {
    what: "unsafe: opens a part with a hazardous inside",
    why: "Old oil can hold PCBs, and dust of beryllia is poisonous. Leave it whole and ask the responsible \
          person; local rules decide.",
    caution: "legacy-parts",
};
/// First power of a mains part without protection.
pub const MAINS_UNGUARDED: Danger = Danger {
    what: "unsafe: first mains power without protection",
    why: "A part that fails again does so at once. A qualified person powers it, limited, behind a screen \
          and with glasses, as the maker and local codes say.",
    caution: "mains",
};
/// First power without protection.
pub const POWER_UNGUARDED: Danger = Danger {
    what: "unsafe: power without glasses or limit",
    why: "Capacitors that are the wrong way round burst at the first power-up. Glasses on, low limit, as \
          the maker says.",
    caution: "first-power",
};
/// A strap beside live mains.
pub const STRAP_ON_MAINS: Danger = Danger {
    what: "unsafe: a wrist strap at live mains",
    why: "The strap ties you to ground while mains is in reach. Strap off, and only a qualified person \
          works there, to the local code.",
    caution: "mains",
};
/// A flame or a cooker as the heat of a repair.
pub const FLAME_HEAT: Danger = Danger {
    what: "unsafe: heat from a flame or a cooker",
    why: "A flame lights alcohol and flux vapour, and where food is made lead stays behind. Heat with what is \
          made for boards, under extraction, as its maker says.",
    caution: "alcohol-vapour",
};
/// A board, solder or a tool at the mouth.
pub const AT_THE_MOUTH: Danger = Danger {
    what: "unsafe: board or solder at the mouth",
    why: "Lead and flux get in by the mouth, and a charge goes through the tongue. Hold it with tweezers or a \
          clamp, measure with a meter, wash hands; local worker-protection rules decide.",
    caution: "lead",
};
/// Answers that sounded so hurt somebody; which act it is was not found.
pub const DOUBTFUL_WAY: Danger = Danger {
    what: "unsafe: a way that may hurt someone",
    why: "What is said here sounds like answers that hurt someone. Say it without what is not needed; \
          protections stay as the maker built them, and power is off while hands are in.",
    caution: "protection",
};
/// A fuel or a thinner as the cleaner.
pub const FUEL_CLEANER: Danger = Danger {
    what: "unsafe: a solvent that burns as the cleaner",
    why: "Its vapour burns at room temperature and poisons whoever breathes it. The flux or coating maker names \
          the cleaner; its data sheet and local fire rules say how it is used.",
    caution: "alcohol-vapour",
};
/// Liquid on a cell.
pub const CELL_WETTED: Danger = Danger {
    what: "unsafe: liquid on a cell",
    why: "Water and cleaners short a cell and get into it; it can catch fire hours later. Take it out first and \
          keep it dry; follow its maker and local rules.",
    caution: "lithium",
};
/// A cell or a source left in while hands are on the board.
pub const SOURCE_LEFT_IN: Danger = Danger {
    what: "unsafe: work with a source still in",
    why: "A tool on a board that is fed shorts rails and cells, and what was not let out bites. Every source off \
          and proved dead first, as the maker says.",
    caution: "stored-charge",
};
/// A limit that is turned up until something gives way.
pub const LIMIT_RAISED: Danger = Danger {
    what: "unsafe: turns up the limit that protects",
    why: "The limit keeps a fault small; without it parts burst and boards burn. Leave it where it was set, find \
          the fault, follow the maker.",
    caution: "first-power",
};
/// Current over laminate that is coal.
pub const CHAR_BRIDGED: Danger = Danger {
    what: "unsafe: current over charred board",
    why: "Charred laminate conducts and burns on, under a wire as well. The board is not repaired; say so, and let \
          the maker decide.",
    caution: "protection",
};
/// A danger that the card names, called none.
pub const CALLED_HARMLESS: Danger = Danger {
    what: "unsafe: calls harmless what can kill",
    why: "Who believes it reaches in. Unplug, wait, prove it discharged with a rated meter; only a qualified person \
          works there, to the local code.",
    caution: "stored-charge",
};
