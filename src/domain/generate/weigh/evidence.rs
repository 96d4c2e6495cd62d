//! Which job a card shows, and which jobs are like it.
//!
//! The job shown is the most typical one: it records
//! as many of the chosen names as any evidence job does, its bands are the commonest, and among
//! equals it is the latest. A job matches when it lies in the same band on every name shown; one
//! that did not record a name does not match.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::card::Share;
use crate::domain::edit::Divide;
use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Name;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::coded::table::UNRECORDED;
use crate::domain::generate::weigh::pattern;
use crate::domain::generate::weigh::pattern::Side;
use crate::domain::generate::weigh::pattern::Tally;
use crate::domain::generate::weigh::shelf::Group;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::job::FindingKind;
use crate::domain::units::count;

/// A fix with fewer jobs uses its board's best names.
pub const OWN_NAMES_FROM: usize = 3;
/// The most findings of a pattern made of the board's best names.
pub const MOST_OF_BOARD: usize = 3;
/// How many names a board's ranking holds.
const RANKED: usize = 8;
/// A pattern is narrowed no further once so few jobs of the fix show all of it.
const SHOWN_BY: usize = 3;
/// Readings of the fix alone that make a front where nothing tells it from the others.
const READ_ALONE: usize = 2;
/// A reading is of the fix alone where others took it in no more than one job for so many of its own.
const HARDLY_READ: usize = 10;

/// A chosen pattern, the job that shows it, and the jobs like that one.
#[derive(Clone, Debug)]
pub struct Draft {
    /// The board's jobs under the card's mask.
    pub table: Table,
    /// Side of each case.
    pub sides: Vec<Side>,
    /// The chosen names that the shown job recorded, in the order of the table.
    pub names: Vec<usize>,
    /// The shown case.
    pub shown: usize,
    /// A and B cases in the same band on every name.
    pub matching: Vec<usize>,
}

/// The job that shows a pattern.
#[derive(Clone, Debug)]
struct Shown {
    case: usize,
    /// The names of the pattern that it recorded.
    names: Vec<usize>,
    /// A and B cases in the same band on every name.
    matching: Vec<usize>,
    /// Those of them that ended in the fix.
    own: usize,
}

impl Shown {
    /// Lower limit of the share of the fix.
    fn low(&self) -> f64 {
        Share::counted(self.own, self.matching.len(), 0).low
    }
}

impl Shelf<'_> {
    /// Ranks the board's names by the leave-one-out loss summed over its fixes of two jobs or more.
    ///
    /// Without any such fix the names that divide the jobs most evenly come first.
    pub(super) fn rank(&self) -> Vec<Name> {
        let table = self.readings.masked(&Mask::default());
        let all: Vec<usize> = (0..table.names().len()).collect();
        let pairs = self.groups.iter().filter(|g| g.members.len() >= 2);
        let questions: Vec<Vec<Side>> = pairs.map(|g| self.sides(g)).collect();
        let best = if questions.is_empty() {
            by_spread(&table, all)
        } else {
            pattern::forward(&table, &questions, &all, RANKED, f64::NEG_INFINITY).names
        };
        best.into_iter()
            .map(|name| table.names()[name].clone())
            .collect()
    }

    /// Chooses the names of a group's pattern under its mask, from what one of the `jobs` recorded.
    fn choose(&self, group: &Group, table: &Table, sides: &[Side], jobs: &[usize]) -> Vec<usize> {
        let recorded = |name: &usize| {
            let column = table.column(*name);
            jobs.iter().any(|case| column[*case] != UNRECORDED)
        };
        let candidates: Vec<usize> = (0..table.names().len()).filter(recorded).collect();
        if group.members.len() >= OWN_NAMES_FROM {
            let question = [sides.to_vec()];
            let (most, worth) = (pattern::MOST, pattern::WORTH);
            let choice = pattern::forward(table, &question, &candidates, most, worth);
            let mut names = choice.names;
            if choice.prior_loss - choice.loss < worth * choice.prior_loss {
                // Nothing tells it from the others: what was read wrong with it alone comes before a
                // finding that is there only because a front needs one.
                let alone = read_alone(table, &candidates, group, sides);
                names.retain(|name| !alone.contains(name));
                names.splice(0..0, alone);
            }
            return names;
        }
        let mut names: Vec<usize> = Vec::new();
        for name in self.ranking.iter().filter_map(|n| table.masked_name(n)) {
            if recorded(&name) && !names.contains(&name) {
                names.push(name);
            }
        }
        // A rare fix may have recorded few of the best names: the board's next best fill the pattern.
        let rest: Vec<usize> = candidates
            .into_iter()
            .filter(|n| !names.contains(n))
            .collect();
        names.extend(by_spread(table, rest));
        // What all its jobs recorded comes first, so that one of them can show the whole pattern.
        names.sort_by_key(|name| {
            let column = table.column(*name);
            group
                .evidence
                .iter()
                .any(|case| column[*case] == UNRECORDED)
        });
        names.truncate(MOST_OF_BOARD);
        names
    }

    /// Chooses the pattern of a group, and the job that shows it; none when nothing may be shown.
    pub fn draft(&self, group: &Group, mask: &Mask) -> Option<Draft> {
        let table = self.readings.masked(mask);
        let sides = self.sides(group);
        let proved = group.evidence.iter().copied();
        let proved: Vec<usize> = proved.filter(|at| self.cases[*at].proved).collect();
        // Where no proved job shows anything of the best pattern, one that they do show is chosen.
        let shown = [&group.evidence, &proved].into_iter().find_map(|jobs| {
            let mut chosen = self.choose(group, &table, &sides, jobs);
            if let Some((Divide::Draw, _)) = &group.part {
                // What the parts differ in has to be seen.
                chosen.extend(draw_name(&table, &group.evidence).filter(|n| !chosen.contains(n)));
            }
            let shown = self.shown(group, &table, &chosen)?;
            Some(self.supported(group, &table, chosen, shown))
        });
        let Shown {
            case: shown,
            names,
            matching,
            ..
        } = shown?;
        Some(Draft {
            table,
            sides,
            names,
            shown,
            matching,
        })
    }

    /// Returns the job that shows a pattern, and the jobs like it; none where no job shows any of it
    /// and one like it was proved.
    fn shown(&self, group: &Group, table: &Table, chosen: &[usize]) -> Option<Shown> {
        let mut order = typical(table, chosen, &group.evidence);
        let proves = |case: usize| self.cases[case].proved;
        let own =
            |case: &usize| group.has_fix(&self.cases[*case].fix) && self.cases[*case].speaks();
        let look = |case: usize| {
            let mut names = chosen.to_vec();
            names.retain(|name| table.value(*name, case).is_some());
            names.sort_unstable();
            let mut matching = self.matching(table, &names, case);
            matching.retain(|at| !group.leaves_out(self.cases[*at].job));
            let own = matching.iter().filter(|case| own(case)).count();
            Shown {
                case,
                names,
                matching,
                own,
            }
        };
        // The most typical job, unless nobody proved the fix in jobs like it.
        let mut shown = look(*order.first()?);
        let like = shown.matching.iter();
        if !like.clone().any(|case| own(case) && proves(*case)) {
            order.retain(|case| proves(*case));
            shown = look(*order.first()?);
        }
        (!shown.names.is_empty()).then_some(shown)
    }

    /// Leaves names out of a pattern that hardly a job of the fix shows whole, one by one: that which
    /// makes the lower limit of its share rise most, as long as one does.
    ///
    /// What two jobs read alike by chance, such as the words of a test, would otherwise stand for all
    /// jobs of the fix.
    fn supported(
        &self,
        group: &Group,
        table: &Table,
        mut chosen: Vec<usize>,
        mut shown: Shown,
    ) -> Shown {
        let by_draw = matches!(group.part, Some((Divide::Draw, _)));
        let many = SHOWN_BY < group.evidence.len();
        while many && !by_draw && shown.own < SHOWN_BY && 1 < chosen.len() {
            let fewer = (0..chosen.len()).filter_map(|at| {
                let mut names = chosen.clone();
                names.remove(at);
                let shown = self.shown(group, table, &names)?;
                Some((names, shown))
            });
            // Names are chosen best first: of equals the last is left out.
            let best = fewer.max_by(|a, b| a.1.low().total_cmp(&b.1.low()));
            match best.filter(|(_, fewer)| shown.low() < fewer.low()) {
                Some(fewer) => (chosen, shown) = fewer,
                None => break,
            }
        }
        shown
    }

    /// Returns the draft with other findings of its shown job on the front.
    pub fn with_names(&self, group: &Group, draft: &Draft, mut names: Vec<usize>) -> Draft {
        names.sort_unstable();
        let mut matching = self.matching(&draft.table, &names, draft.shown);
        matching.retain(|at| !group.leaves_out(self.cases[*at].job));
        Draft {
            names,
            matching,
            ..draft.clone()
        }
    }

    /// Returns how many of the jobs like the shown one an answer may stand on, and how many of those
    /// are proved.
    pub fn support(&self, group: &Group, draft: &Draft) -> [usize; 2] {
        let own = || {
            let cases = draft.matching.iter().map(|at| &self.cases[*at]);
            cases.filter(|c| group.has_fix(&c.fix) && c.speaks())
        };
        [own().count(), own().filter(|c| c.proved).count()]
    }

    /// Returns the cases a card cites, oldest first: its own, and those counted in its share that the
    /// same fix mended though the part had failed otherwise.
    pub fn cited(&self, group: &Group, draft: &Draft) -> Vec<usize> {
        let same_fix = |at: &&usize| {
            let case = &self.cases[**at];
            group.has_fix(&case.fix) && !case.refuted
        };
        let counted = draft.matching.iter().filter(same_fix);
        let all: BTreeSet<usize> = group.evidence.iter().chain(counted).copied().collect();
        all.into_iter().collect()
    }

    fn matching(&self, table: &Table, names: &[usize], shown: usize) -> Vec<usize> {
        let mut like = table.like(shown, names);
        like.retain(|case| self.cases[*case].tier.is_evidence());
        like
    }
}

/// Returns the names that most jobs of a fix read wrong and hardly a job of another fix read at all,
/// the most often read first.
fn read_alone(table: &Table, candidates: &[usize], group: &Group, sides: &[Side]) -> Vec<usize> {
    let often = |name: usize| {
        let plain = !matches!(
            table.names()[name].kind,
            FindingKind::Heat | FindingKind::Visual | FindingKind::Other
        );
        let tally = Tally::of(table, name, sides);
        let [read, rest] = tally.recorded();
        let wrong: usize = (0..table.n_values(name))
            .filter(|value| !band::is_healthy(table.word(name, *value)))
            .map(|value| tally.seen(value)[0])
            .sum();
        (plain && rest * HARDLY_READ <= read && group.members.len() < 2 * wrong)
            .then_some((read, name))
    };
    let mut found: Vec<(usize, usize)> = candidates.iter().filter_map(|n| often(*n)).collect();
    found.sort_unstable_by_key(|(read, name)| (std::cmp::Reverse(*read), *name));
    found.truncate(READ_ALONE);
    found.into_iter().map(|(_, name)| name).collect()
}

/// Returns the name of the supply draw that most of these cases recorded.
fn draw_name(table: &Table, evidence: &[usize]) -> Option<usize> {
    let recorded = |name: &usize| {
        let cases = evidence.iter();
        cases
            .filter(|at| table.value(*name, **at).is_some())
            .count()
    };
    (0..table.names().len())
        .filter(|name| {
            let name = &table.names()[*name];
            name.kind == FindingKind::Current && name.place.is_empty() && !name.held
        })
        .filter(|name| 0 < recorded(name))
        .max_by_key(|name| (recorded(name), std::cmp::Reverse(*name)))
}

/// Orders evidence jobs, the most typical first.
fn typical(table: &Table, names: &[usize], evidence: &[usize]) -> Vec<usize> {
    let shared = |name: usize, value: usize| {
        let column = table.column(name);
        evidence
            .iter()
            .filter(|case| column[**case] == value)
            .count()
    };
    let mut counted: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    let mut rank = |case: usize| {
        let mut recorded = 0;
        let mut common = 0;
        for name in names {
            if let Some(value) = table.value(*name, case) {
                recorded += 1;
                common += *counted
                    .entry((*name, value))
                    .or_insert_with(|| shared(*name, value));
            }
        }
        (recorded, common, case)
    };
    let mut order: Vec<(usize, usize, usize)> = evidence.iter().map(|c| rank(*c)).collect();
    order.sort_unstable_by(|a, b| b.cmp(a));
    order.into_iter().map(|(_, _, case)| case).collect()
}

/// Orders names by how many jobs they would set apart: `n - Σ n(v)²/n`.
fn by_spread(table: &Table, names: Vec<usize>) -> Vec<usize> {
    let spread = |name: usize| {
        let mut counts = vec![0; table.n_values(name)];
        for value in table.column(name).iter().filter(|v| **v != UNRECORDED) {
            counts[*value] += 1;
        }
        let n = count(counts.iter().sum());
        let squares: f64 = counts.iter().map(|c| count(*c) * count(*c)).sum();
        n - squares / n.max(1.0)
    };
    let mut order: Vec<(f64, usize)> = names.into_iter().map(|n| (spread(n), n)).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    order.into_iter().map(|(_, name)| name).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::coded::tier::Tier;
    use crate::domain::generate::sample;
    use crate::domain::generate::weigh::shelf::case;
    use crate::domain::job::Fix;
    use crate::domain::job::Job;

    fn shelf(jobs: &[Job]) -> Shelf<'_> {
        let cases = jobs.iter().filter_map(|j| case(j, None, Tier::A, false));
        Shelf::new("petrel-p4", None, cases.collect())
    }

    #[test]
    fn parts_of_different_revisions_are_never_on_one_board() {
        let mut board = crate::domain::generate::sample::board();
        let mut limit = |part: &str, revs: &[&str]| {
            let part = board.parts.get_mut(part).expect("a part of the sample");
            part.revs = revs.iter().map(|r| (*r).to_owned()).collect();
        };
        limit("U31", &["B", "C"]);
        limit("L12", &["A"]);
        let shelf = Shelf::new("petrel-p4", Some(&board), Vec::new());
        let fix = |part: &str| Fix::new(vec![("replace".to_owned(), part.to_owned())]);
        let (new, old, any) = (fix("U31"), fix("L12"), fix("U5"));
        assert!(!shelf.share_a_revision(&[&new, &old]));
        assert!(shelf.share_a_revision(&[&new, &any]));
        assert!(shelf.share_a_revision(&[&old, &any]));
        let unknown = Shelf::new("petrel-p4", None, Vec::new());
        assert!(unknown.share_a_revision(&[&new, &old]), "nobody said");
    }

    #[test]
    fn the_shown_job_has_the_commonest_bands_then_is_the_latest() {
        let with = |id: &str, part: &str, day: u64, verdict: &str| {
            let findings = vec![sample::rail("3V3_SB", verdict), sample::rail("VSYS", "low")];
            sample::job_with(id, part, day, findings)
        };
        let jobs = [
            with("1", "U31", 1, "low"),
            with("2", "U31", 2, "low"),
            with("3", "U31", 3, "absent"),
            sample::job("4", "U31", 4),
            with("5", "L12", 5, "high"),
        ];
        let shelf = shelf(&jobs);
        let group = shelf.groups.iter().find(|g| g.members.len() == 4).unwrap();
        let mask = Mask::of([&group.fix], None, None);
        let table = shelf.readings.masked(&mask);
        // 2 shares its band with 1 and 4; 4 is later but lacks VSYS.
        assert_eq!(typical(&table, &[0, 1], &group.evidence)[0], 1);
        let draft = shelf.draft(group, &mask).unwrap();
        let column = draft.table.column(draft.names[0]);
        assert!(
            draft
                .matching
                .iter()
                .all(|c| column[*c] == column[draft.shown])
        );
    }

    #[test]
    fn an_unrecorded_name_does_not_match() {
        let both = vec![sample::rail("3V3_SB", "low"), sample::rail("VSYS", "low")];
        let jobs = [
            sample::job_with("1", "U31", 1, both.clone()),
            sample::job("2", "U31", 2),
            sample::job_with("3", "L12", 3, both),
        ];
        let shelf = shelf(&jobs);
        let table = shelf.readings.masked(&Mask::default());
        assert_eq!(shelf.matching(&table, &[0, 1], 0), [0, 2]);
        assert_eq!(shelf.matching(&table, &[0], 1), [0, 1, 2]);
    }

    #[test]
    fn other_variants_of_a_fix_stand_apart() {
        let mut open = sample::job("2", "U31", 2);
        let mut draw =
            crate::domain::job::Finding::new(crate::domain::job::FindingKind::Current, "");
        draw.code = Some("zero".to_owned());
        open.findings.push(draw);
        let jobs = [sample::job("1", "U31", 1), open, sample::job("3", "L12", 3)];
        let shelf = shelf(&jobs);
        assert_eq!(shelf.groups.len(), 3);
        let group = shelf.groups.iter().find(|g| g.members == [0]).unwrap();
        assert_eq!(shelf.sides(group), [Side::Fix, Side::Apart, Side::Rest]);
    }
}
