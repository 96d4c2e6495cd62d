//! A board's jobs as a table of small integers, under one card's mask.
//!
//! A column is a finding *name*: kind, place after masking, state, when, and polarity in diode mode.
//! All findings of one name in a job make one value: the set of their bands (the hottest for heat;
//! for visual signs `none-seen` yields to any sign). What was taken after an action never enters.
//! What was not recorded is [`UNRECORDED`], which is not the same as absent.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use crate::domain::generate::coded::bands::Bands;
use crate::domain::generate::coded::bands::InBand;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::mask::Words;
use crate::domain::generate::coded::tier;
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

/// A [`Name`] and whether the reading is in hertz, borrowed from a finding: asked for of every finding of
/// a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key<'a> {
    kind: FindingKind,
    place: &'a str,
    state: Option<&'a str>,
    when: When,
    polarity: Option<&'a str>,
    in_hertz: bool,
}

impl<'a> Key<'a> {
    /// Returns the key of a finding: two findings have the same exactly when they have the same
    /// [`Name::of`] and are both in hertz or both not.
    pub fn of(finding: &'a Finding) -> Self {
        let held = matches!(finding.kind, FindingKind::Visual | FindingKind::Heat);
        let visual = finding.kind == FindingKind::Visual;
        let diode = finding.kind == FindingKind::Diode;
        Self {
            kind: finding.kind,
            place: if held { "" } else { finding.place.trim() },
            state: finding.state.as_deref().filter(|_| !visual),
            when: finding.when,
            polarity: finding.polarity.as_deref().filter(|_| diode),
            in_hertz: finding.in_hertz,
        }
    }

    /// Tells whether the reading is in hertz.
    pub fn in_hertz(self) -> bool {
        self.in_hertz
    }
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
///
/// A board's cards ask for hundreds of tables that hold back next to nothing, and mostly the same: every
/// column is made once without a mask, a table shares those that its mask leaves alone, and tables of one
/// curtain are one table.
#[derive(Clone, Debug)]
pub struct Readings {
    atoms: Vec<Atom>,
    rows: Vec<Vec<usize>>,
    /// The names of all atoms without a mask, in order.
    names: Vec<Name>,
    /// Which of `names` each atom bears.
    name_of: Vec<usize>,
    /// Column of each of `names`.
    plain: Vec<Arc<Column>>,
    /// What a mask is asked about.
    places: Vec<(String, Words)>,
    /// Tests, each with its own words and those of all its values.
    tests: Vec<(String, Vec<Words>)>,
    made: Arc<Mutex<BTreeMap<Curtain, Table>>>,
}

/// The values of one name.
#[derive(Debug)]
struct Column {
    /// Words of each value.
    words: Vec<String>,
    /// Value of each job.
    values: Vec<usize>,
    /// The jobs of each value, in order.
    rows: Vec<Vec<usize>>,
}

impl Column {
    fn new(words: Vec<String>, values: Vec<usize>) -> Self {
        let mut rows = vec![Vec::new(); words.len()];
        for (row, value) in values.iter().enumerate() {
            if *value != UNRECORDED {
                rows[*value].push(row);
            }
        }
        Self {
            words,
            values,
            rows,
        }
    }
}

impl Readings {
    /// Puts every finding taken before a repair into the fixed bands.
    pub fn of(jobs: &[&Job], board: Option<&Board>) -> Self {
        Self::banded(jobs, board, &Bands::fixed())
    }

    /// The same in the bands of the board's own readings.
    pub fn banded(jobs: &[&Job], board: Option<&Board>, bands: &Bands) -> Self {
        let mut names: Vec<(Name, Option<&Vec<f64>>)> = Vec::new();
        let mut numbers: HashMap<Key<'_>, usize> = HashMap::new();
        let mut known: HashMap<(usize, usize, String), usize> = HashMap::new();
        let mut atoms: Vec<Atom> = Vec::new();
        let mut places: BTreeMap<Atom, usize> = BTreeMap::new();
        let mut rows = Vec::with_capacity(jobs.len());
        for job in jobs {
            let mut row = Vec::new();
            for finding in job.findings.iter().filter(|f| tier::is_before_repair(f)) {
                let number = *numbers.entry(Key::of(finding)).or_insert_with(|| {
                    names.push((Name::of(finding), bands.cuts(finding)));
                    names.len() - 1
                });
                let (name, cuts) = &names[number];
                let Some(InBand { word, heat }) = bands.band(finding, board, *cuts) else {
                    continue;
                };
                let atom = known.entry((number, heat, word)).or_insert_with_key(|key| {
                    // Readings in hertz and in volts may bear one name.
                    let atom = Atom {
                        name: name.clone(),
                        heat,
                        band: key.2.clone(),
                    };
                    *places.entry(atom.clone()).or_insert_with(|| {
                        atoms.push(atom);
                        atoms.len() - 1
                    })
                });
                row.push(*atom);
            }
            rows.push(row);
        }
        Self::kept(atoms, rows)
    }

    fn kept(atoms: Vec<Atom>, rows: Vec<Vec<usize>>) -> Self {
        let names: BTreeSet<&Name> = atoms.iter().map(|a| &a.name).collect();
        let names: Vec<Name> = names.into_iter().cloned().collect();
        let place = |atom: &Atom| names.binary_search(&atom.name).unwrap_or(usize::MAX);
        let name_of: Vec<usize> = atoms.iter().map(place).collect();
        let mut places: BTreeSet<&str> = BTreeSet::new();
        let mut tests: BTreeMap<&str, Vec<Words>> = BTreeMap::new();
        for Atom { name, band, .. } in &atoms {
            match name.kind {
                FindingKind::Visual | FindingKind::Heat => {}
                FindingKind::Other => {
                    let words = tests.entry(&name.place);
                    let words = words.or_insert_with(|| vec![Words::of(&name.place)]);
                    words.push(Words::of(band));
                }
                _ => {
                    places.insert(&name.place);
                }
            }
        }
        let places = places.into_iter().map(|p| (p.to_owned(), Words::of(p)));
        let tests = tests.into_iter().map(|(t, words)| (t.to_owned(), words));
        let mut readings = Self {
            places: places.collect(),
            tests: tests.collect(),
            made: Arc::default(),
            plain: Vec::new(),
            atoms,
            rows,
            names,
            name_of,
        };
        let own: Vec<Option<usize>> = readings.name_of.iter().copied().map(Some).collect();
        let kinds: Vec<FindingKind> = readings.names.iter().map(|n| n.kind).collect();
        readings.plain = readings.columns(&own, &kinds);
        readings
    }

    /// Tells whether a mask holds back just what a table already does.
    pub fn looks_the_same(&self, table: &Table, mask: &Mask) -> bool {
        self.curtain(mask) == table.0.curtain
    }

    /// Returns of each name without a mask whether this one holds it back, in whole or its place.
    pub fn hidden(&self, mask: &Mask) -> Vec<bool> {
        let curtain = self.curtain(mask);
        let names = self.names.iter();
        names.map(|name| curtain.hides(name)).collect()
    }

    /// Codes the jobs under a mask.
    pub fn masked(&self, mask: &Mask) -> Table {
        self.under(self.curtain(mask))
    }

    fn under(&self, curtain: Curtain) -> Table {
        let known = |made: &Mutex<BTreeMap<Curtain, Table>>| {
            let made = made.lock().unwrap_or_else(PoisonError::into_inner);
            made.get(&curtain).cloned()
        };
        if let Some(table) = known(&self.made) {
            return table;
        }
        let table = self.behind(curtain.clone());
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        made.entry(curtain).or_insert(table).clone()
    }

    /// Codes these jobs under the mask that another table was coded under.
    pub fn masked_as(&self, table: &Table) -> Table {
        self.under(table.0.curtain.clone())
    }

    /// Makes the table behind a curtain.
    fn behind(&self, curtain: Curtain) -> Table {
        // By the name on the card: the names it stands for, of which there are several where places
        // are held back.
        let mut shown: BTreeMap<Name, Vec<usize>> = BTreeMap::new();
        for (at, name) in self.names.iter().enumerate() {
            if let Some(name) = curtain.of(name) {
                shown.entry(name).or_default().push(at);
            }
        }
        // A name that stands for one alone shares its column, the others are counted anew.
        let mut codes: Vec<Option<usize>> = vec![None; self.names.len()];
        let mut kinds = Vec::new();
        for (name, of) in shown.iter().filter(|(_, of)| of.len() > 1) {
            for at in of {
                codes[*at] = Some(kinds.len());
            }
            kinds.push(name.kind);
        }
        let by_atom: Vec<Option<usize>> = self.name_of.iter().map(|name| codes[*name]).collect();
        let mut anew = self.columns(&by_atom, &kinds).into_iter();
        let columns = shown.values().filter_map(|of| match of.as_slice() {
            [one] => Some(Arc::clone(&self.plain[*one])),
            _ => anew.next(),
        });
        let columns = columns.collect();
        Table(Arc::new(Coded {
            jobs: self.rows.len(),
            names: shown.into_keys().collect(),
            columns,
            curtain,
        }))
    }

    /// Makes columns: `codes` says to which of them each atom belongs.
    fn columns(&self, codes: &[Option<usize>], kinds: &[FindingKind]) -> Vec<Arc<Column>> {
        if kinds.is_empty() {
            return Vec::new();
        }
        let mut values: Vec<BTreeMap<Vec<&str>, usize>> = vec![BTreeMap::new(); kinds.len()];
        let mut columns = vec![vec![UNRECORDED; self.rows.len()]; kinds.len()];
        let mut cells: Vec<(usize, usize, &str)> = Vec::new();
        for (job, row) in self.rows.iter().enumerate() {
            cells.clear();
            cells.extend(row.iter().filter_map(|at| {
                let atom = &self.atoms[*at];
                Some((codes[*at]?, atom.heat, atom.band.as_str()))
            }));
            cells.sort_unstable();
            cells.dedup();
            for cell in cells.chunk_by(|a, b| a.0 == b.0) {
                let name = cell[0].0;
                let bands = cell.iter().map(|(_, heat, band)| (*heat, *band)).collect();
                let value = combined(kinds[name], bands);
                let next = values[name].len();
                columns[name][job] = *values[name].entry(value).or_insert(next);
            }
        }
        let words = values.into_iter().map(in_order);
        words
            .zip(columns)
            .map(|(words, values)| Arc::new(Column::new(words, values)))
            .collect()
    }

    /// Decides what is held back on every job alike: a test whose value tells in one job is gone
    /// from all, since its absence would tell as well.
    fn curtain(&self, mask: &Mask) -> Curtain {
        let places = self.places.iter().filter(|(_, words)| mask.tells_of(words));
        let told = |(_, words): &&(String, Vec<Words>)| words.iter().any(|w| mask.tells_of(w));
        Curtain {
            places: places.map(|(place, _)| place.clone()).collect(),
            tests: self
                .tests
                .iter()
                .filter(told)
                .map(|t| t.0.clone())
                .collect(),
        }
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
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Curtain {
    places: BTreeSet<String>,
    tests: BTreeSet<String>,
}

impl Curtain {
    fn hides(&self, name: &Name) -> bool {
        match name.kind {
            FindingKind::Visual | FindingKind::Heat => false,
            FindingKind::Other => self.tests.contains(&name.place),
            _ => self.places.contains(&name.place),
        }
    }

    fn of(&self, name: &Name) -> Option<Name> {
        match name.kind {
            FindingKind::Other => (!self.hides(name)).then(|| name.clone()),
            _ if self.hides(name) => Some(Name {
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
pub struct Table(Arc<Coded>);

#[derive(Debug)]
struct Coded {
    jobs: usize,
    names: Vec<Name>,
    columns: Vec<Arc<Column>>,
    curtain: Curtain,
}

impl Table {
    /// Takes jobs that are already coded: each name, the words of its values, and the value of every job.
    ///
    /// Names are taken in the order given, without any mask.
    pub fn numbered(columns: Vec<(Name, Vec<String>, Vec<usize>)>) -> Self {
        let jobs = columns.first().map_or(0, |(_, _, column)| column.len());
        let (mut names, mut made) = (Vec::new(), Vec::new());
        for (name, words, values) in columns {
            names.push(name);
            made.push(Arc::new(Column::new(words, values)));
        }
        Self(Arc::new(Coded {
            jobs,
            names,
            columns: made,
            curtain: Curtain::default(),
        }))
    }

    /// Returns the names in their fixed order.
    #[inline]
    pub fn names(&self) -> &[Name] {
        &self.0.names
    }

    /// Returns the value of every job for one name.
    #[inline]
    pub fn column(&self, name: usize) -> &[usize] {
        &self.0.columns[name].values
    }

    /// Returns the value of one job for one name.
    #[inline]
    pub fn value(&self, name: usize, job: usize) -> Option<usize> {
        Some(self.column(name)[job]).filter(|v| *v != UNRECORDED)
    }

    /// Returns how many values a name takes on this board.
    #[inline]
    pub fn n_values(&self, name: usize) -> usize {
        self.0.columns[name].words.len()
    }

    /// Returns the jobs that recorded a value of a name, in order.
    #[inline]
    pub fn rows(&self, name: usize, value: usize) -> &[usize] {
        &self.0.columns[name].rows[value]
    }

    /// Returns how many jobs recorded a name.
    pub fn n_recorded(&self, name: usize) -> usize {
        let rows = &self.0.columns[name].rows;
        rows.iter().map(Vec::len).sum()
    }

    /// Returns the jobs that have the same value as `row` on every one of `names`, in order; where `row`
    /// did not record one, those that did not either.
    pub fn like(&self, row: usize, names: &[usize]) -> Vec<usize> {
        let same = |at: &usize| {
            let same = |name: &usize| self.column(*name)[*at] == self.column(*name)[row];
            names.iter().all(same)
        };
        let recorded = names.iter().filter_map(|name| {
            let value = self.value(*name, row)?;
            Some(self.rows(*name, value))
        });
        match recorded.min_by_key(|rows| rows.len()) {
            Some(fewest) => fewest.iter().copied().filter(same).collect(),
            None => (0..self.0.jobs).filter(same).collect(),
        }
    }

    /// Returns a value in words.
    #[inline]
    pub fn word(&self, name: usize, value: usize) -> &str {
        &self.0.columns[name].words[value]
    }

    /// Returns the name that a finding bears on this card; none where all of it is held back.
    pub fn name_of(&self, finding: &Finding) -> Option<usize> {
        self.masked_name(&Name::of(finding))
    }

    /// Returns the name that an unmasked name becomes on this card.
    pub fn masked_name(&self, name: &Name) -> Option<usize> {
        let shown = self.0.curtain.of(name)?;
        self.0.names.binary_search(&shown).ok()
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
