//! Writes findings and flags down, with what the sentence says of their moment and state.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::reading::bands::reads_good;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::said::Got;
use crate::domain::intake::words::nouns;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Flag;
use crate::domain::job::When;

impl Reader<'_> {
    /// Adds a finding with what the sentence says of its moment and state; returns its index.
    pub(super) fn add(&mut self, mut finding: Finding, words: Range<usize>, sure: bool) -> usize {
        if let Some(last) = self.last
            && let got = &mut self.out.findings[last]
            && got.what.kind == finding.kind
            && got.what.place == finding.place
            && got.what.code == finding.code
            && finding.got.is_none()
            && finding.low.is_none()
            && finding.kind != FindingKind::Current
        {
            // Said twice.
            got.words.end = got.words.end.max(words.end);
            return last;
        }
        let bad_after =
            self.phase == When::AfterAction && self.moment.is_none() && is_bad(&finding);
        // "Was 0.4, now 3.31" is mended; "now 0.2" with nothing done is not.
        finding.when = if self.now && !reads_good(&finding) {
            self.phase
        } else {
            self.moment.unwrap_or(self.phase)
        };
        let sure = sure && !self.hedged;
        if self.hedged {
            self.remark("findings", Doubt::Ambiguous, words.clone());
        }
        if finding.state.is_none() && finding.kind != FindingKind::Visual {
            finding.state = self.state.map(str::to_owned);
        }
        if bad_after && finding.got.is_none() && finding.low.is_none() {
            self.out.findings.push(Got {
                what: finding,
                words: words.clone(),
                sure: false,
            });
            self.remark("findings", Doubt::BeforeOrAfter, words);
        } else {
            if finding.when == When::AfterAction && is_good(&finding) && !self.deeds.is_empty() {
                self.proofs.push((words.clone(), self.deeds.len()));
            }
            if finding.when == When::AfterAction && is_bad(&finding) {
                self.failed_after = true;
            }
            self.out.findings.push(Got {
                what: finding,
                words,
                sure,
            });
        }
        let at = self.out.findings.len() - 1;
        self.last = Some(at);
        at
    }

    /// Adds a finding at a place, whose name may tell a circuit.
    pub(super) fn add_at(
        &mut self,
        place: &Place,
        finding: Finding,
        words: Range<usize>,
        sure: bool,
    ) {
        let at = self.add(finding, words, sure);
        if let Some(family) = nouns::family_of(place.meaning())
            && self.places_seen.len() < 64
        {
            self.places_seen.push((family, at));
        }
    }

    /// Adds a flag.
    pub(super) fn remark(&mut self, field: &str, doubt: Doubt, words: Range<usize>) {
        let raw = self.text[words].trim();
        let same = |flag: &Flag| flag.why == doubt.word() && flag.field == field && flag.raw == raw;
        // Equal flags stand close together; a look at the last few is enough.
        if self.out.flags.iter().rev().take(8).any(same) {
            return;
        }
        self.out.flags.push(Flag {
            field: field.to_owned(),
            why: doubt.word().to_owned(),
            raw: raw.to_owned(),
        });
    }
}

/// Tells whether a finding plainly shows a fault.
pub(super) fn is_bad(finding: &Finding) -> bool {
    match finding.kind {
        FindingKind::Visual => finding.code.as_deref() != Some("none-seen"),
        FindingKind::Heat => finding.got.is_none(),
        FindingKind::Other => false,
        _ => finding.code.is_some() && !is_good(finding),
    }
}

/// Tells whether a finding shows what it should.
pub(super) fn is_good(finding: &Finding) -> bool {
    let good = ["in-band", "as-reference", "present", "normal"];
    finding.code.as_deref().is_some_and(|c| good.contains(&c))
}
