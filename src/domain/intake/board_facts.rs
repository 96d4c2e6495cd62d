//! What the shop knows of one board: its parts, and the places named in its jobs.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::check::readings;
use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Job;
use crate::domain::job::Part;

/// Parts and places of one board, as written; they are compared exactly, letters large or small.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardFacts {
    /// Parts by designator.
    pub parts: BTreeMap<String, Part>,
    /// Nets, designators and functions at which something was measured or seen.
    pub places: BTreeSet<String>,
    /// Volts that the drawing or a good board shows, by rail.
    pub nominal_v: BTreeMap<String, f64>,
    /// Known revisions.
    pub revisions: BTreeSet<String>,
    /// Highest volts that the board is fed with, where it is written down.
    pub source_v: Option<f64>,
    /// It is fed from the mains.
    pub mains: bool,
}

impl BoardFacts {
    /// Returns what a board's own file says.
    pub fn of(board: &Board) -> Self {
        let mut facts = Self {
            parts: board.parts.clone(),
            revisions: board.revisions.iter().cloned().collect(),
            mains: board.safety.iter().any(|s| s == "mains"),
            ..Self::default()
        };
        facts
            .places
            .extend(board.parts.values().filter_map(|p| p.rail.clone()));
        for reading in &board.good {
            facts.feed(reading.supply_v);
            facts.places.insert(reading.place.clone());
            if reading.kind == FindingKind::Rail
                && let Some(volts) = reading.good.or(reading.got)
            {
                facts.nominal_v.insert(reading.place.clone(), volts);
            }
        }
        facts.places.remove("");
        facts
    }

    /// Adds what a job names.
    pub fn see(&mut self, job: &Job) {
        for finding in &job.findings {
            self.feed(finding.supply_v);
        }
        for finding in job.findings.iter().filter(|f| !f.place.is_empty()) {
            self.places.insert(finding.place.clone());
            if let (FindingKind::Rail, Some(volts)) = (finding.kind, finding.good) {
                self.nominal_v.entry(finding.place.clone()).or_insert(volts);
            }
        }
        let acted = job.actions.iter().map(|a| a.part.clone());
        self.places.extend(acted.filter(|p| !p.is_empty()));
        self.revisions.extend(job.rev.clone());
    }

    fn feed(&mut self, volts: Option<f64>) {
        if let Some(volts) = volts.filter(|v| 0.0 < *v) {
            self.source_v = Some(self.source_v.map_or(volts, |known| known.max(volts)));
        }
    }

    /// Tells whether a rail reads above everything that is known to feed the board, by the rule of the
    /// check of jobs.
    pub fn is_above_source(&self, finding: &Finding) -> bool {
        let Some(got) = readings::steady_volts(finding) else {
            return false;
        };
        let drawn = self.nominal_v.get(&finding.place).copied();
        let named = || band::named_volts(&finding.place);
        let expect = finding.good.or(drawn).or_else(named);
        let rails = self.nominal_v.values().copied().chain(self.source_v);
        let source = finding.supply_v.or_else(|| rails.max_by(f64::total_cmp));
        let (Some(expect), Some(source)) = (expect, source) else {
            return false;
        };
        readings::is_above(got, expect, source, finding.supply_v.is_some(), self.mains)
    }
}
