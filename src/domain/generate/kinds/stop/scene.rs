//! What a stop card shows: places of heat and signs too, for they tell a part that can be had from one that
//! cannot, and no place answers "go on, or call it?".
//!
//! Jobs are alike in heat, or in their gravest sign, only where it was at the same designators; places in
//! free words differ from one hand to the next and are shown, not compared. Named tests stay with the
//! answer.

use std::collections::BTreeSet;

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::table::UNRECORDED;
use crate::domain::generate::coded::tier;
use crate::domain::generate::fronts::front;
use crate::domain::generate::weigh::evidence::Draft;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;

/// Stands between a value and the designators where it was seen.
const AT: &str = " at ";

/// Signs, that first which tells most of how a job ends (common practice, no source).
const GRAVEST: [&str; 12] = [
    "bulged",
    "burnt",
    "cracked-part",
    "lifted",
    "missing",
    "cracked-joint",
    "dull-joint",
    "earlier-work",
    "solder-bridge",
    "coating-damage",
    "sticky-film",
    "residue",
];

/// Returns of several signs the gravest; of what is no sign the whole.
fn gravest(word: &str) -> &str {
    let signs = || word.split(" and ");
    let first = GRAVEST
        .iter()
        .find_map(|grave| signs().find(|sign| sign == grave));
    first.unwrap_or(word)
}

/// Returns the table with the designators of heat and signs in its values, and of several signs the
/// gravest; `jobs` are its rows.
pub fn placed(jobs: &[&Job], board: Option<&Board>, table: &Table) -> Table {
    let columns = (0..table.names().len()).map(|name| {
        let words: Vec<&str> = (0..table.n_values(name))
            .map(|value| table.word(name, value))
            .collect();
        let column = table.column(name);
        let known = &table.names()[name];
        if !known.held {
            let words = words.into_iter().map(str::to_owned).collect();
            return (known.clone(), words, column.to_vec());
        }
        let word = |row: usize| match column[row] {
            UNRECORDED => None,
            value if known.kind == FindingKind::Visual => {
                let sign = gravest(words[value]);
                Some(at(sign, designators(jobs[row], known, sign, board)))
            }
            value => {
                let places = designators(jobs[row], known, "", board);
                let found = places.as_ref().is_some_and(|p| !p.is_empty());
                // Where it is hot says more than how hot.
                let hot = known.kind == FindingKind::Heat && words[value] != band::HEAT[0];
                let word = if hot && found {
                    band::NOTED
                } else {
                    words[value]
                };
                Some(at(word, places))
            }
        };
        let of_row: Vec<Option<String>> = (0..column.len()).map(word).collect();
        let all: BTreeSet<&String> = of_row.iter().flatten().collect();
        let all: Vec<String> = all.into_iter().cloned().collect();
        let number = |word: &Option<String>| {
            let word = word.as_ref().and_then(|w| all.binary_search(w).ok());
            word.unwrap_or(UNRECORDED)
        };
        let coded = of_row.iter().map(number).collect();
        (known.clone(), all, coded)
    });
    Table::numbered(columns.collect())
}

/// Returns the table without the limits that the archive's own gaps draw within low ohms: it tells
/// 0.2 from 0.4 Ω by where its readings lie, and no meter's leads do.
pub fn coarse(table: &Table) -> Table {
    let columns = (0..table.names().len()).map(|name| {
        let plain = |value: usize| match table.word(name, value).split_once(' ') {
            Some((LOW, _)) => LOW,
            _ => table.word(name, value),
        };
        let of_value: Vec<&str> = (0..table.n_values(name)).map(plain).collect();
        let all: BTreeSet<&str> = of_value.iter().copied().collect();
        let all: Vec<&str> = all.into_iter().collect();
        let place = |word: &&str| all.binary_search(word).unwrap_or(UNRECORDED);
        let code: Vec<usize> = of_value.iter().map(place).collect();
        let number = |value: &usize| code.get(*value).copied().unwrap_or(UNRECORDED);
        let coded = table.column(name).iter().map(number).collect();
        let words = all.into_iter().map(str::to_owned).collect();
        (table.names()[name].clone(), words, coded)
    });
    Table::numbered(columns.collect())
}

const LOW: &str = "low";

fn at(word: &str, places: Option<BTreeSet<&str>>) -> String {
    match places {
        Some(places) if !places.is_empty() => {
            let places: Vec<&str> = places.into_iter().collect();
            format!("{word}{AT}{}", places.join(", "))
        }
        _ => word.to_owned(),
    }
}

/// Returns a value of a placed table without its designators, and these.
pub fn apart(word: &str) -> (&str, Option<&str>) {
    word.split_once(AT)
        .map_or((word, None), |(word, places)| (word, Some(places)))
}

/// Returns the designators at which a job saw a sign or its hottest spot; none where one of the places is
/// in free words.
fn designators<'a>(
    job: &'a Job,
    name: &Name,
    sign: &str,
    board: Option<&Board>,
) -> Option<BTreeSet<&'a str>> {
    let own = || {
        let findings = job.findings.iter().filter(|f| f.kind == name.kind);
        findings.filter(|f| tier::is_before_repair(f) && Name::of(f) == *name)
    };
    let hottest = own().filter_map(|f| f.got).max_by(f64::total_cmp);
    let told = own().filter(|f| match name.kind {
        FindingKind::Heat => hottest.is_none() || f.got == hottest,
        _ => f.code.as_deref() == Some(sign),
    });
    let places = told.map(|f| {
        let place = f.place.trim();
        is_designator(place, board).then_some(place)
    });
    places.collect()
}

/// Tells whether a place is one part: known to the board, or written like one.
pub fn is_designator(place: &str, board: Option<&Board>) -> bool {
    let known = board.is_some_and(|b| b.parts.contains_key(place));
    let one = place.chars().all(char::is_alphanumeric);
    known || (one && mask::is_designator(place))
}

/// Returns the front with its places, and what of the shown job stands with the answer: its named tests.
/// A swollen cell is never held back.
pub fn faces(shown: &Job, draft: &Draft, board: Option<&Board>) -> (Vec<Finding>, Vec<Finding>) {
    let mut front: Vec<(usize, Finding)> = Vec::new();
    let mut held_back: Vec<Finding> = Vec::new();
    let mut swollen: Vec<Finding> = Vec::new();
    for finding in shown.findings.iter().filter(|f| tier::is_before_repair(f)) {
        let plain = Finding {
            raw: None,
            ..finding.clone()
        };
        let name = draft.table.name_of(finding);
        let name = name.filter(|name| draft.names.contains(name));
        if finding.kind == FindingKind::Other {
            if !held_back.contains(&plain) {
                held_back.push(plain);
            }
            continue;
        }
        if band::band(finding, board).is_none() {
            continue;
        }
        let Some(name) = name else {
            if is_swollen_cell(&plain, board) && !swollen.contains(&plain) {
                swollen.push(plain);
            }
            continue;
        };
        let face = Finding {
            place: plain.place.clone(),
            ..front::face(&plain, &draft.table.names()[name], &Mask::default())
        };
        if !front.iter().any(|(_, f)| *f == face) {
            front.push((name, face));
        }
    }
    front.sort_by_key(|(name, _)| *name);
    for name in &draft.names {
        front::thin_out(&mut front, *name);
    }
    let front = front.into_iter().map(|(_, finding)| finding);
    (front.chain(swollen).collect(), held_back)
}

/// Words of a place that is a cell or a pack (common practice, no source).
const CELLS: [&str; 9] = [
    "CELL",
    "CELLS",
    "PACK",
    "BATTERY",
    "BATTERIES",
    "POUCH",
    "ACCU",
    "ACCUMULATOR",
    "LITHIUM",
];

/// Tells whether a sign is a bulged cell or pack: by its place, by the part there, or on a board with a
/// lithium cell wherever no part is named.
pub fn is_swollen_cell(finding: &Finding, board: Option<&Board>) -> bool {
    if finding.kind != FindingKind::Visual || finding.code.as_deref() != Some("bulged") {
        return false;
    }
    let place = finding.place.trim();
    let names_one = |text: &str| mask::tokens(text).any(|word| CELLS.contains(&word.as_str()));
    if names_one(place) {
        return true;
    }
    let lithium = board.is_some_and(|b| b.safety.iter().any(|s| s == "lithium"));
    match board.and_then(|b| b.parts.get(place)) {
        Some(part) => names_one(&part.name),
        None => (lithium && !is_designator(place, board)) || is_cell_designator(place),
    }
}

/// `BT1` is a battery (IEEE 315-1975, clause 22, from memory).
fn is_cell_designator(place: &str) -> bool {
    let number = place.strip_prefix("BT").unwrap_or_default();
    !number.is_empty() && number.chars().all(|c| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::coded::table::Readings;
    use crate::domain::generate::sample;

    fn heat(place: &str, celsius: f64) -> Finding {
        let mut finding = Finding::new(FindingKind::Heat, place);
        finding.got = Some(celsius);
        finding
    }

    fn values(jobs: &[Job]) -> Vec<usize> {
        let rows: Vec<&Job> = jobs.iter().collect();
        let table = Readings::of(&rows, None).masked(&Mask::default());
        let placed = placed(&rows, None, &table);
        assert_eq!(placed.names(), table.names());
        placed.column(0).to_vec()
    }

    #[test]
    fn heat_at_another_part_is_another_value_and_free_words_are_not_compared() {
        let job = |id: &str, findings| sample::job_with(id, "U31", 1, findings);
        let jobs = [
            job("1", vec![heat("U1", 70.0)]),
            job("2", vec![heat("U1", 71.0), heat("L1", 20.0)]),
            job("3", vec![heat("C72", 70.0)]),
            job("4", vec![heat("power corner", 70.0)]),
            job("5", vec![heat("near the plug", 70.0)]),
            job("6", Vec::new()),
            job("7", vec![heat("U1", 90.0)]),
        ];
        let values = values(&jobs);
        assert_eq!(values[0], values[1], "the hottest counts");
        assert_eq!(values[0], values[6], "at the same part, however hot");
        assert_ne!(values[0], values[2]);
        assert_eq!(values[3], values[4]);
        assert_ne!(values[0], values[3]);
        assert_eq!(values[5], UNRECORDED);
    }

    #[test]
    fn a_bulged_pack_is_a_cell_and_a_bulged_capacitor_is_none() {
        let mut board = sample::board();
        let swollen = |place: &str, board: &Board| {
            is_swollen_cell(&sample::sign(place, "bulged"), Some(board))
        };
        for place in ["battery pack", "Cell", "BT1"] {
            assert!(swollen(place, &board), "{place}");
        }
        for place in ["C12", "U31", "back cover"] {
            assert!(!swollen(place, &board), "{place}");
        }
        board.safety = vec!["lithium".to_owned()];
        assert!(swollen("back cover", &board), "what else would bulge there");
        assert!(!swollen("C12", &board));
        assert!(!is_swollen_cell(
            &sample::sign("battery pack", "burnt"),
            None
        ));
    }
}
