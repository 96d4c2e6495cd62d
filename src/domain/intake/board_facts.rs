//! What the shop knows of one board: its parts, and the places named in its jobs.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::job::Board;
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
}

impl BoardFacts {
    /// Returns what a board's own file says.
    pub fn of(board: &Board) -> Self {
        let mut facts = Self {
            parts: board.parts.clone(),
            revisions: board.revisions.iter().cloned().collect(),
            ..Self::default()
        };
        facts
            .places
            .extend(board.parts.values().filter_map(|p| p.rail.clone()));
        for reading in &board.good {
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
}
