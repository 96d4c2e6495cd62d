//! What can hurt someone, and the caution that stands first on a card.
//!
//! Facts about alcohol vapour and lead: NIOSH Pocket Guide (isopropyl alcohol) and 29 CFR 1910.1025;
//! the rest is common practice, no source. Nothing here replaces a maker's instructions, local codes
//! or a licensed person, and each text says so. Which typed answers are unsafe is judged elsewhere.

use crate::domain::charge;
use crate::domain::job::Board;
use crate::domain::job::Job;

/// A hazard and what is said about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Word used in files: `mains`, `cell-first`, …
    pub id: &'static str,
    /// One line for the head of a card, at most 78 columns.
    pub line: &'static str,
    /// The whole caution.
    pub text: &'static str,
}

/// How many cautions one card carries at most.
pub const MOST_ON_A_CARD: usize = 4;

/// The word of a board that mains reaches; the charge behind it is said beside it.
const MAINS: &str = "mains";
/// The word of a board whose repair belongs to its maker or a licensed person.
pub const SAFETY_CRITICAL: &str = "safety-critical";

/// Every hazard, gravest first.
pub const CAUTIONS: [Caution; 13] = [
    Caution {
        id: SAFETY_CRITICAL,
        line: "Safety-critical: maker-approved or licensed repair only. Recognise, refer.",
        text: "Lives depend on this board. Practise recognising the fault, and leave the repair to someone \
               the maker approves or the law licenses. The maker's instructions and local law override \
               every line here.",
    },
    Caution {
        id: "mains",
        line: "Mains: qualified person only. Unplug, wait, prove discharged with a meter.",
        text: "Mains and the charge that stays after unplugging can kill. Only a qualified person works on \
               this side. Disconnect, wait, and prove it discharged at the capacitor with a rated meter; do \
               not trust a bleeder or a tool's spark. No wrist strap on live mains-side circuits. The maker's \
               instructions, local electrical codes and licensed people come first.",
    },
    Caution {
        id: "stored-charge",
        line: "Stored charge: source off, wait, prove it discharged. Maker's steps first.",
        text: "Capacitors keep their charge after the source is off, and bleeders fail open. Disconnect, \
               wait, prove it discharged at the capacitor with a rated meter, and test on a limited supply \
               with a dummy load. Where the maker's instructions or local rules ask for a qualified person, \
               leave it to one.",
    },
    Caution {
        id: "cell-first",
        line: "Cell out first, then every other source. Hot or swollen: stop, isolate.",
        text: "A wet lithium cell can start a fire, and again after it seemed out. Take the cell out before \
               anything else, then the coin cell and every other source; do not power it to see. Swollen, \
               leaking or hot: stop, isolate it in the cell-safe place and call the responsible person. Do \
               not charge a cell that was wet unless its maker's instructions and local rules allow it.",
    },
    Caution {
        id: "lithium",
        line: "Lithium cell: out before work. Swollen, hot or damaged: stop and isolate.",
        text: "Heat, pressure, a puncture or a short can start a lithium fire that starts again. Take the \
               cell out before work. Swollen or hot: stop, isolate it and call the responsible person. Do \
               not charge a deeply discharged cell unless its maker's instructions allow it; local rules say \
               how it is stored and thrown away.",
    },
    Caution {
        id: "liquid",
        line: "Wet or lately wet: every source off, no power \"to see\"; look, then clean.",
        text: "Disconnect every source first and do not power it to see. Photograph both sides before \
               cleaning, because cleaning destroys the evidence. Salt keeps eating after it dries. The \
               maker's instructions and local rules come first where liquid reached mains or a battery.",
    },
    Caution {
        id: "alcohol-vapour",
        line: "Alcohol vapour burns at room temperature: air, no heat, spark or power.",
        text: "Alcohol vapour burns at room temperature (flash point about 12 °C). Ventilate, and keep it off \
               heat, sparks and powered boards. Never heat it and never run it in an ultrasonic or heated \
               tank that is not rated for flammable solvent. The makers' data sheets and local rules decide.",
    },
    Caution {
        id: "legacy-parts",
        line: "Old oil-filled or white ceramic parts: do not open, break, file or touch.",
        text: "Old capacitors can hold hazardous oil, and white ceramic in old power parts can be beryllia, \
               poisonous as dust. Do not open, break, file or touch them; keep them apart and call the \
               responsible person. The maker's papers and local waste and worker-protection rules decide.",
    },
    Caution {
        id: "first-power",
        line: "First power-up: glasses on, right volts, low current limit, hands away.",
        text: "Tantalum and electrolytic capacitors can burst at the first power-up. Glasses on, check the \
               polarity, right volts and a low current limit, hands and face away. The maker's instructions \
               and local rules come first, and only a qualified person powers a mains part.",
    },
    Caution {
        id: "fuse",
        line: "Fuse: find what blew it; same type and rating. Never bridged, never bigger.",
        text: "A bridged or bigger fuse lets the next fault burn the board or its user. Find what blew it, \
               then fit the type and rating that the maker gives; local codes and licensed people decide \
               where mains is behind it.",
    },
    Caution {
        id: "fume",
        line: "Solder fume: extract at the source, stop if you cough; boards hold heat.",
        text: "Flux fume can make lungs sensitive for good. Extract it at the source and stop if you cough or \
               wheeze. Let the board cool: it holds heat. The flux maker's data sheet and local \
               worker-protection rules decide.",
    },
    Caution {
        id: "lead",
        line: "Lead in the solder: wash hands, no food here, collect the dross.",
        text: "Older and some repair alloys contain lead. Wash hands, keep food away from the bench, collect \
               the dross, and keep leaded and lead-free tools and records apart. Local worker-protection and \
               waste rules decide.",
    },
    Caution {
        id: "esd",
        line: "Static: wrist strap tested today? Not while live mains-side parts are open.",
        text: "Wear a tested wrist strap on a grounded mat while handling open boards, but never while \
               working on live mains-side circuits. The part maker's handling instructions and the shop's \
               own rules decide.",
    },
];

/// Acts that melt solder.
const HOT_ACTS: [&str; 7] = [
    "replace",
    "reflow",
    "reball",
    "bridge-or-jumper",
    "remove",
    "replace-connector",
    "rebuild-pad-or-trace",
];
/// Environment words that mean liquid came in.
const LIQUIDS: [&str; 3] = ["salt-water", "fresh-water", "sugar"];
/// Hazards that push the everyday ones off a card.
const GRAVE: [&str; 5] = [
    SAFETY_CRITICAL,
    "mains",
    "stored-charge",
    "cell-first",
    "lithium",
];

/// Returns the caution called `id`.
pub fn caution(id: &str) -> Option<&'static Caution> {
    CAUTIONS.iter().find(|c| c.id == id)
}

/// Returns the hazards of a board before any job on it is under way, in no order: what its file says
/// (hazards that nobody here knows too), and what its circuits and the way its boards came in bring.
pub fn for_board<'a>(board: &'a Board, jobs: &[Job]) -> Vec<&'a str> {
    let mut found: Vec<&str> = board.safety.iter().map(String::as_str).collect();
    for family in ["isolated", "drive"] {
        let of_job = |job: &Job| job.family.as_deref() == Some(family);
        if board.families.iter().any(|f| f == family) || jobs.iter().any(of_job) {
            found.extend(of_circuit(family));
        }
    }
    if jobs
        .iter()
        .any(|job| job.complaint.iter().any(|word| word == "liquid-entry"))
    {
        add_wet(&mut found);
    }
    if found.contains(&MAINS) {
        found.push(charge::STORED);
    }
    found
}

/// Tells whether a charge stays on a board by the volts that it has, or that its jobs read.
pub fn holds_a_charge(board: &Board, jobs: &[Job]) -> bool {
    let shows = |job: &Job| job.findings.iter().any(charge::shows);
    charge::described(board) || jobs.iter().any(shows)
}

/// Returns the hazards of the whole job, gravest first, at most four: they stand with the answer.
///
/// Everyday bench hazards (solder fume, static) stand only where nothing graver does.
pub fn for_card(
    board_safety: &[String],
    family: &str,
    complaint: &[String],
    environment: &[String],
    acts: &[&str],
) -> Vec<String> {
    let mut found = of_the_job(board_safety, complaint, environment);
    found.extend(of_circuit(family));
    let lithium = board_safety.iter().any(|s| s == "lithium");
    if family == "battery" && lithium && !found.contains(&"cell-first") {
        found.push("lithium");
    }
    if found.contains(&MAINS) {
        found.push(charge::STORED);
    }
    if acts.contains(&"clean") {
        found.push("alcohol-vapour");
    }
    if !found.iter().any(|id| GRAVE.contains(id)) {
        if acts.iter().any(|act| HOT_ACTS.contains(act)) {
            found.push("fume");
        }
        if acts
            .iter()
            .any(|act| ["reseat", "reprogram-firmware"].contains(act))
        {
            found.push("esd");
        }
    }
    ordered(&found)
}

fn of_the_job(
    board_safety: &[String],
    complaint: &[String],
    environment: &[String],
) -> Vec<&'static str> {
    let wet = complaint.iter().any(|word| word == "liquid-entry")
        || environment
            .iter()
            .any(|word| LIQUIDS.contains(&word.as_str()));
    let mut found: Vec<&'static str> = board_safety
        .iter()
        .filter_map(|id| caution(id))
        .map(|known| known.id)
        .collect();
    if wet {
        add_wet(&mut found);
    }
    found
}

/// Returns the hazards that a circuit family brings wherever it is.
fn of_circuit(family: &str) -> &'static [&'static str] {
    match family {
        "isolated" => &["mains", "stored-charge"],
        "drive" => &["stored-charge"],
        _ => &[],
    }
}

/// Adds what a liquid brings: a wet cell goes before everything else about it.
fn add_wet(found: &mut Vec<&str>) {
    match found.iter().position(|id| *id == "lithium") {
        Some(at) => found[at] = "cell-first",
        None => found.push("liquid"),
    }
}

/// Returns the hazards of several boards as one card carries them, gravest first, at most four.
pub fn together(found: &std::collections::BTreeSet<String>) -> Vec<String> {
    let found: Vec<&str> = found.iter().map(String::as_str).collect();
    ordered(&found)
}

/// Returns the gravest hazard of a board that a card with these cautions says nothing about.
///
/// A wet cell stands for the cell, and a card that is full for what had no room on it.
pub fn missing<'a>(cautions: &[String], board_safety: &'a [String]) -> Option<&'a str> {
    let has = |id: &str| cautions.iter().any(|c| c == id);
    let said = |id: &str| match id {
        "lithium" => has("lithium") || has("cell-first"),
        id => has(id),
    };
    let graver = |id: &str| {
        let before = CAUTIONS.iter().take_while(|c| c.id != id);
        before.filter(|c| has(c.id)).count()
    };
    let of_board = CAUTIONS
        .iter()
        .filter_map(|c| board_safety.iter().find(|id| *id == c.id));
    of_board
        .map(String::as_str)
        .find(|id| !said(id) && graver(id) < MOST_ON_A_CARD)
}

/// Puts the gravest first and keeps as many as a card carries: the charge that stays behind mains keeps
/// its own line, whatever else is said.
fn ordered(found: &[&str]) -> Vec<String> {
    let mut kept: Vec<String> = CAUTIONS
        .iter()
        .filter(|c| found.contains(&c.id))
        .map(|c| c.id.to_owned())
        .collect();
    kept.truncate(MOST_ON_A_CARD);
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use unicode_width::UnicodeWidthStr;

    fn words(list: &[&str]) -> Vec<String> {
        list.iter().map(|w| (*w).to_owned()).collect()
    }

    #[track_caller]
    fn check(
        board: &[&str],
        family: &str,
        complaint: &[&str],
        environment: &[&str],
        acts: &[&str],
        expected: &[&str],
    ) {
        let got = for_card(
            &words(board),
            family,
            &words(complaint),
            &words(environment),
            acts,
        );
        assert_eq!(got, expected);
    }

    #[test]
    fn a_line_fits_the_head_of_a_card() {
        for caution in CAUTIONS {
            let width = caution.line.width();
            assert!(width <= 78, "{} takes {width} columns", caution.id);
            assert!(20 <= width, "{} says nothing", caution.id);
        }
    }

    #[test]
    fn each_text_defers_to_makers_or_local_rules() {
        for caution in CAUTIONS {
            let text = caution.text;
            assert!(
                text.contains("maker") || text.contains("ocal"),
                "{}: {text}",
                caution.id
            );
            assert!(text.ends_with('.') && !text.contains("  "), "{text}");
            assert!(caution.line.len() < text.len(), "{}", caution.id);
        }
        for id in GRAVE {
            let text = caution(id).expect("a grave hazard is in the table").text;
            assert!(text.contains("maker's instructions"), "{id}: {text}");
            assert!(
                text.contains("local") || text.contains("licensed"),
                "{id}: {text}"
            );
        }
    }

    #[test]
    fn a_hazard_is_found_by_its_word() {
        for known in CAUTIONS {
            assert_eq!(caution(known.id), Some(&known));
        }
        assert_eq!(caution("cell"), None);
        assert_eq!(caution(""), None);
    }

    // What a card carries: common practice, no source.
    #[test]
    fn each_job_carries_its_own_hazards() {
        check(
            &[],
            "isolated",
            &["no-power"],
            &[],
            &["replace"],
            &["mains", "stored-charge"],
        );
        check(
            &[],
            "drive",
            &["trips-or-alarms"],
            &[],
            &["replace"],
            &["stored-charge"],
        );
        check(
            &["lithium"],
            "standby",
            &["no-power", "liquid-entry"],
            &["salt-water"],
            &["replace"],
            &["cell-first"],
        );
        check(
            &["lithium"],
            "bus",
            &["no-link"],
            &["sugar"],
            &["clean"],
            &["cell-first", "alcohol-vapour"],
        );
        check(
            &["lithium"],
            "battery",
            &["no-charge"],
            &[],
            &["replace"],
            &["lithium"],
        );
        check(
            &[],
            "bus",
            &["no-link"],
            &["fresh-water"],
            &["clean"],
            &["liquid", "alcohol-vapour"],
        );
        check(&[], "buck", &["no-power"], &[], &["reflow"], &["fume"]);
        check(
            &[],
            "buck",
            &["liquid-entry"],
            &[],
            &["replace"],
            &["liquid", "fume"],
        );
        check(
            &[],
            "display",
            &["no-display"],
            &["impact"],
            &["reseat"],
            &["esd"],
        );
        check(&[], "firmware", &["restarts"], &[], &["other"], &[]);
        check(&["no-such-hazard"], "clock", &["no-start"], &[], &[], &[]);
    }

    #[test]
    fn a_safety_critical_board_says_so_first_and_four_lines_are_enough() {
        check(
            &["lithium", "mains", SAFETY_CRITICAL],
            "isolated",
            &["liquid-entry"],
            &["salt-water"],
            &["clean", "replace"],
            &[SAFETY_CRITICAL, "mains", "stored-charge", "cell-first"],
        );
    }

    #[test]
    fn mains_never_stands_without_the_charge_behind_it() {
        check(
            &["mains"],
            "bus",
            &["liquid-entry"],
            &["salt-water"],
            &["clean"],
            &["mains", "stored-charge", "liquid", "alcohol-vapour"],
        );
        check(
            &["mains"],
            "buck",
            &["no-power"],
            &[],
            &["replace"],
            &["mains", "stored-charge"],
        );
        check(&["lithium"], "buck", &[], &[], &[], &["lithium"]);
    }

    proptest! {
        #[test]
        fn cautions_are_known_few_and_gravest_first(
            board in proptest::sample::subsequence(CAUTIONS.map(|c| c.id).to_vec(), 0..=13),
            family in proptest::sample::select(vec!["isolated", "drive", "battery", "bus"]),
            wet in any::<bool>(),
            acts in proptest::sample::subsequence(vec!["clean", "reflow", "reseat", "replace"], 0..=4),
        ) {
            let environment = if wet { words(&["salt-water"]) } else { Vec::new() };
            let got = for_card(&words(&board), family, &[], &environment, &acts);
            let places: Vec<usize> = got
                .iter()
                .map(|id| CAUTIONS.iter().position(|c| c.id == id).expect("a known hazard"))
                .collect();
            prop_assert!(places.is_sorted());
            prop_assert!(got.len() <= MOST_ON_A_CARD);
            if board.contains(&SAFETY_CRITICAL) {
                prop_assert_eq!(got[0].as_str(), SAFETY_CRITICAL);
            }
            if family == "isolated" || board.contains(&"mains") {
                prop_assert!(got.iter().any(|id| id == "mains"));
                prop_assert!(got.iter().any(|id| id == "stored-charge"));
            }
            if wet && board.contains(&"lithium") {
                prop_assert!(got.iter().any(|id| id == "cell-first"));
            }
        }
    }
}
