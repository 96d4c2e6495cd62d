//! A board's jobs as a table of small integers, under one card's mask.
//!
//! A column is a finding *name*: kind, place after masking, state, when, and polarity in diode mode.
//! All findings of one name in a job make one value: the set of their bands (the hottest for heat;
//! for visual signs `none-seen` yields to any sign). What was taken after an action never enters.
//! What was not recorded is [`UNRECORDED`], which is not the same as absent.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::generate::bands::Bands;
use crate::domain::generate::bands::InBand;
use crate::domain::generate::mask::Mask;
use crate::domain::generate::tier;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::When;

/// The value of a name that a job did not record.
pub const UNRECORDED: usize = usize::MAX;

/// What a finding is called: two findings of one name can be compared.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Name {
    /// Kind.
    pub kind: FindingKind,
    /// Place, or the test's name; empty for the supply and where it is held back.
    pub place: String,
    /// The place is held back.
    pub held: bool,
    /// State of the board.
    pub state: Option<String>,
    /// When it was taken.
    pub when: When,
    /// Meter polarity, in diode mode only.
    pub polarity: Option<String>,
}

impl Name {
    /// Returns the name of a finding without any mask; visual and heat places are held back always.
    pub fn of(finding: &Finding) -> Self {
        let held = matches!(finding.kind, FindingKind::Visual | FindingKind::Heat);
        let visual = finding.kind == FindingKind::Visual;
        let diode = finding.kind == FindingKind::Diode;
        Self {
            kind: finding.kind,
            place: if held {
                String::new()
            } else {
                finding.place.trim().to_owned()
            },
            held,
            state: finding.state.clone().filter(|_| !visual),
            when: finding.when,
            polarity: finding.polarity.clone().filter(|_| diode),
        }
    }
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Atom {
    name: Name,
    /// How hot, for heat.
    heat: usize,
    band: String,
}

/// The bands that each job recorded, before any mask.
#[derive(Clone, Debug)]
pub struct Readings {
    atoms: Vec<Atom>,
    rows: Vec<Vec<usize>>,
}

impl Readings {
    /// Puts every finding taken before a repair into the fixed bands.
    pub fn of(jobs: &[&Job], board: Option<&Board>) -> Self {
        Self::banded(jobs, board, &Bands::fixed())
    }

    /// The same in the bands of the board's own readings.
    pub fn banded(jobs: &[&Job], board: Option<&Board>, bands: &Bands) -> Self {
        let mut known: BTreeMap<Atom, usize> = BTreeMap::new();
        let mut rows = Vec::with_capacity(jobs.len());
        for job in jobs {
            let mut row = Vec::new();
            for finding in job.findings.iter().filter(|f| tier::is_before_repair(f)) {
                if let Some(InBand { word, heat }) = bands.band(finding, board) {
                    let next = known.len();
                    let name = Name::of(finding);
                    let atom = Atom {
                        name,
                        heat,
                        band: word,
                    };
                    row.push(*known.entry(atom).or_insert(next));
                }
            }
            rows.push(row);
        }
        let mut atoms: Vec<(Atom, usize)> = known.into_iter().collect();
        atoms.sort_by_key(|(_, id)| *id);
        Self {
            atoms: atoms.into_iter().map(|(atom, _)| atom).collect(),
            rows,
        }
    }

    /// Tells whether a mask holds back just what a table already does.
    pub fn looks_the_same(&self, table: &Table, mask: &Mask) -> bool {
        self.curtain(mask) == table.curtain
    }

    /// Codes the jobs under a mask.
    pub fn masked(&self, mask: &Mask) -> Table {
        let curtain = self.curtain(mask);
        let shown: Vec<Option<Name>> = self.atoms.iter().map(|a| curtain.of(&a.name)).collect();
        let names: BTreeSet<&Name> = shown.iter().flatten().collect();
        let places: BTreeMap<&Name, usize> =
            names.iter().enumerate().map(|(i, n)| (*n, i)).collect();
        let codes: Vec<Option<usize>> = shown
            .iter()
            .map(|n| n.as_ref().map(|n| places[n]))
            .collect();

        let names: Vec<Name> = names.into_iter().cloned().collect();
        let mut values: Vec<BTreeMap<Vec<&str>, usize>> = vec![BTreeMap::new(); names.len()];
        let mut columns = vec![vec![UNRECORDED; self.rows.len()]; names.len()];
        for (job, row) in self.rows.iter().enumerate() {
            let cell = |at: &usize| {
                let atom = &self.atoms[*at];
                Some((codes[*at]?, atom.heat, atom.band.as_str()))
            };
            let mut cells: Vec<(usize, usize, &str)> = row.iter().filter_map(cell).collect();
            cells.sort_unstable();
            cells.dedup();
            for cell in cells.chunk_by(|a, b| a.0 == b.0) {
                let name = cell[0].0;
                let bands = cell.iter().map(|(_, heat, band)| (*heat, *band)).collect();
                let value = combined(names[name].kind, bands);
                let next = values[name].len();
                columns[name][job] = *values[name].entry(value).or_insert(next);
            }
        }
        let words = values.into_iter().map(in_order).collect();
        Table {
            names,
            values: words,
            columns,
            curtain,
        }
    }

    /// Decides what is held back on every job alike: a test whose value tells in one job is gone
    /// from all, since its absence would tell as well.
    fn curtain(&self, mask: &Mask) -> Curtain {
        let mut curtain = Curtain::default();
        for Atom { name, band, .. } in &self.atoms {
            match name.kind {
                FindingKind::Visual | FindingKind::Heat => {}
                FindingKind::Other => {
                    if mask.tells(&name.place) || mask.tells(band) {
                        curtain.tests.insert(name.place.clone());
                    }
                }
                _ => {
                    if mask.tells(&name.place) {
                        curtain.places.insert(name.place.clone());
                    }
                }
            }
        }
        curtain
    }
}

/// Returns the one value that several bands of one name make; each comes with how hot it is.
fn combined(kind: FindingKind, bands: Vec<(usize, &str)>) -> Vec<&str> {
    let hottest = bands.iter().map(|(heat, _)| *heat).max().unwrap_or(0);
    let mut bands: Vec<&str> = bands
        .into_iter()
        .filter(|(heat, _)| *heat == hottest)
        .map(|(_, band)| band)
        .collect();
    if kind == FindingKind::Visual && bands.len() > 1 {
        bands.retain(|b| *b != "none-seen");
    }
    bands
}

fn in_order(values: BTreeMap<Vec<&str>, usize>) -> Vec<String> {
    let mut words: Vec<(usize, String)> = values
        .into_iter()
        .map(|(bands, id)| (id, bands.join(" and ")))
        .collect();
    words.sort_unstable();
    words.into_iter().map(|(_, word)| word).collect()
}

/// What one card holds back of the places and tests that its board's jobs mention.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Curtain {
    places: BTreeSet<String>,
    tests: BTreeSet<String>,
}

impl Curtain {
    fn of(&self, name: &Name) -> Option<Name> {
        match name.kind {
            FindingKind::Visual | FindingKind::Heat => Some(name.clone()),
            FindingKind::Other => (!self.tests.contains(&name.place)).then(|| name.clone()),
            _ if self.places.contains(&name.place) => Some(Name {
                place: String::new(),
                held: true,
                ..name.clone()
            }),
            _ => Some(name.clone()),
        }
    }
}

/// A board's jobs under one card's mask: rows are the jobs given to [`Readings::of`].
#[derive(Clone, Debug)]
pub struct Table {
    names: Vec<Name>,
    values: Vec<Vec<String>>,
    columns: Vec<Vec<usize>>,
    curtain: Curtain,
}

impl Table {
    /// Codes jobs that are already in words: each name with its value in every job, where recorded.
    ///
    /// Names are taken in the order given, without any mask; values are numbered by the alphabet.
    pub fn coded(columns: Vec<(Name, Vec<Option<&str>>)>) -> Self {
        let mut table = Self {
            names: Vec::new(),
            values: Vec::new(),
            columns: Vec::new(),
            curtain: Curtain::default(),
        };
        for (name, column) in columns {
            let words: BTreeSet<&str> = column.iter().flatten().copied().collect();
            let places: BTreeMap<&str, usize> =
                words.iter().enumerate().map(|(at, w)| (*w, at)).collect();
            let code = |word: &Option<&str>| word.map_or(UNRECORDED, |word| places[word]);
            table.columns.push(column.iter().map(code).collect());
            table
                .values
                .push(words.into_iter().map(str::to_owned).collect());
            table.names.push(name);
        }
        table
    }

    /// Returns the names in their fixed order.
    pub fn names(&self) -> &[Name] {
        &self.names
    }

    /// Returns the value of every job for one name.
    pub fn column(&self, name: usize) -> &[usize] {
        &self.columns[name]
    }

    /// Returns the value of one job for one name.
    pub fn value(&self, name: usize, job: usize) -> Option<usize> {
        Some(self.columns[name][job]).filter(|v| *v != UNRECORDED)
    }

    /// Returns how many values a name takes on this board.
    pub fn n_values(&self, name: usize) -> usize {
        self.values[name].len()
    }

    /// Returns a value in words.
    pub fn word(&self, name: usize, value: usize) -> &str {
        &self.values[name][value]
    }

    /// Returns the name that a finding bears on this card; none where all of it is held back.
    pub fn name_of(&self, finding: &Finding) -> Option<usize> {
        self.masked_name(&Name::of(finding))
    }

    /// Returns the name that an unmasked name becomes on this card.
    pub fn masked_name(&self, name: &Name) -> Option<usize> {
        let shown = self.curtain.of(name)?;
        self.names.binary_search(&shown).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::job::Fix;

    fn table(jobs: &[Job], part: &str) -> Table {
        let jobs: Vec<&Job> = jobs.iter().collect();
        let fix = Fix::new(vec![("replace".to_owned(), part.to_owned())]);
        let mask = Mask::of([&fix], None, None);
        Readings::of(&jobs, None).masked(&mask)
    }

    fn heat(place: &str, celsius: f64) -> Finding {
        let mut finding = Finding::new(FindingKind::Heat, place);
        finding.got = Some(celsius);
        finding
    }

    #[test]
    fn findings_of_one_name_make_one_value_in_any_order() {
        let signs = [
            sample::sign("U31", "residue"),
            sample::sign("J2", "burnt"),
            sample::sign("J3", "none-seen"),
        ];
        let mut back = signs.to_vec();
        back.reverse();
        let jobs = [
            sample::job_with("1", "U31", 1, signs.to_vec()),
            sample::job_with("2", "U31", 1, back),
            sample::job_with("3", "U31", 1, vec![heat("U31", 30.0), heat("J2", 90.0)]),
            sample::job_with("4", "U31", 1, vec![heat("L1", 90.0)]),
        ];
        let table = table(&jobs, "U31");
        assert_eq!(table.names().len(), 2);
        assert!(table.names().iter().all(|n| n.held && n.place.is_empty()));
        assert_eq!(table.column(1)[..2], [0, 0]);
        assert_eq!(table.word(1, 0), "burnt and residue");
        assert_eq!(table.value(0, 2), table.value(0, 3));
        assert_eq!(table.value(0, 0), None, "not recorded is unknown");
    }

    #[test]
    fn a_masked_place_leaves_its_reading_behind() {
        let jobs = [
            sample::job_with("1", "U31", 1, vec![sample::resistance("U31", 0.3)]),
            sample::job_with("2", "U13", 1, vec![sample::resistance("U13", 0.3)]),
        ];
        let table = table(&jobs, "U31");
        let places: Vec<&str> = table.names().iter().map(|n| n.place.as_str()).collect();
        assert_eq!(places, ["", "U13"]);
        assert_eq!(table.name_of(&jobs[0].findings[0]), Some(0));
    }

    #[test]
    fn a_test_that_tells_in_one_job_is_gone_from_all() {
        let jobs = [
            sample::job_with("1", "U31", 1, vec![sample::test("press", "U31 reacts")]),
            sample::job_with("2", "U13", 1, vec![sample::test("press", "no change")]),
        ];
        assert!(table(&jobs, "U31").names().is_empty());
        assert_eq!(table(&jobs, "C7").names().len(), 1);
    }

    #[test]
    fn what_was_taken_after_a_repair_never_enters() {
        let mut late = sample::rail("3V3_SB", "in-band");
        late.when = When::AfterAction;
        let jobs = [sample::job_with("1", "U31", 1, vec![late])];
        assert!(table(&jobs, "U31").names().is_empty());
    }
}
