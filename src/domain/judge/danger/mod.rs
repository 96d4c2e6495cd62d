//! What in an answer would hurt somebody or defeat a protection.
//!
//! [`hazards`] is the table of unsafe acts; [`scene`], [`situations`], [`fuses`], [`solvents`], [`injection`],
//! [`bench_situations`], [`bare_hands`], [`defeats`], [`stand_ins`], [`stilled`], [`live_work`] and [`charge`]
//! find them, [`precautions`] what was done against them; [`unsafe_acts`] answers, and [`harm`] is the last
//! look at an answer.

pub mod bare_hands;
pub mod bench_situations;
pub mod charge;
pub mod defeats;
pub mod fuses;
pub mod harm;
pub mod hazards;
pub mod injection;
pub mod live_work;
pub mod precautions;
pub mod scene;
pub mod situations;
pub mod solvents;
pub mod stand_ins;
pub mod stilled;
pub mod unsafe_acts;

use crate::domain::caution;

/// Cautions of what hurts at once, so that a yes to it is an unsafe answer.
pub(in crate::domain::judge) const GRAVE: [&str; 9] = [
    caution::SAFETY_CRITICAL,
    "mains",
    "stored-charge",
    "lithium",
    "alcohol-vapour",
    "fuse",
    "first-power",
    "legacy-parts",
    "fume",
];
