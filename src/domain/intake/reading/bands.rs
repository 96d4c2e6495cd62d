//! The verdict that numbers alone give, and the doubts that they leave.

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::settle::is_core;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;

impl Reader<'_> {
    pub(super) fn settle_values(&mut self) {
        for at in 0..self.out.findings.len() {
            let words = self.out.findings[at].words.clone();
            let raw = self.text[words.clone()].trim().to_owned();
            let found = &self.out.findings[at].what;
            if found.kind == FindingKind::Signal && found.code.as_deref() == Some("stuck") {
                self.settle_stuck(at);
            }
            let got = &mut self.out.findings[at];
            let core = is_core(&got.what.place);
            if got.what.code.is_none() {
                got.what.code = code_from_numbers(&got.what, core).map(str::to_owned);
            }
            let finding = &mut got.what;
            // On processor rails a low resistance may be right.
            if core
                && finding.kind == FindingKind::Resistance
                && finding.got.is_some()
                && finding.code.as_deref() == Some("hard-short")
            {
                finding.code = None;
            }
            let can = matches!(finding.place.as_str(), "CANH" | "CANL")
                && finding.kind == FindingKind::Signal;
            if can
                && finding.code.is_none()
                && finding.got.is_some_and(|v| (2.0..=3.0).contains(&v))
            {
                // Both lines of an idle bus stand at half the supply.
                finding.code = Some("present".to_owned());
            }
            finding.raw = Some(raw);
            let impossible =
                finding.got.is_some_and(|v| v < 0.0) && finding.kind == FindingKind::Resistance;
            let bare_core = core
                && finding.kind == FindingKind::Resistance
                && finding.good.is_none()
                && finding.got.is_some();
            let no_number = matches!(finding.kind, FindingKind::Rail)
                && finding.got.is_none()
                && finding.low.is_none()
                && matches!(finding.code.as_deref(), Some("low" | "high"));
            let polarity = finding.kind == FindingKind::Diode
                && finding.polarity.is_none()
                && finding.got.is_some();
            got.sure &= !impossible;
            if impossible {
                self.remark("findings", Doubt::Impossible, words.clone());
            }
            if bare_core {
                self.remark("findings", Doubt::NeedsReference, words.clone());
            }
            if no_number {
                self.remark("findings", Doubt::NoNumber, words.clone());
            }
            if polarity {
                self.remark("findings", Doubt::PolarityMissing, words);
            }
        }
    }

    /// "Stuck" alone: the volts beside it tell at which level.
    fn settle_stuck(&mut self, at: usize) {
        let got = &mut self.out.findings[at];
        got.what.code = match got.what.got {
            Some(volts) if volts < 0.8 => Some("stuck-low".to_owned()),
            Some(volts) if volts > 2.0 => Some("stuck-high".to_owned()),
            _ => None,
        };
        if got.what.code.is_none() {
            got.sure = false;
            let words = got.words.clone();
            self.remark("findings", Doubt::Ambiguous, words);
        }
    }
}

/// Tells whether a word or the number alone says that it is as it should be.
pub(super) fn reads_good(finding: &Finding) -> bool {
    let code = finding.code.as_deref();
    let code = code.or_else(|| code_from_numbers(finding, is_core(&finding.place)));
    matches!(code, Some("in-band" | "as-reference" | "present"))
}

/// Returns the verdict that the numbers alone give. Bands: common practice, no source, as in
/// `generate::band`.
fn code_from_numbers(finding: &Finding, core: bool) -> Option<&'static str> {
    let got = finding.got?;
    match (finding.kind, finding.good) {
        (FindingKind::Rail, Some(good)) if good > 0.0 && finding.qualifier.is_none() => {
            let part = got / good;
            Some(if part < 0.05 {
                "absent"
            } else if part < 0.95 {
                "low"
            } else if part > 1.05 {
                "high"
            } else {
                "in-band"
            })
        }
        (FindingKind::Rail, None) if got == 0.0 => Some("absent"),
        (FindingKind::Diode, Some(good)) if good > 0.0 => {
            let part = got / good;
            Some(if got < 0.05 {
                "short"
            } else if part < 0.9 {
                "low"
            } else if part > 1.1 {
                "high"
            } else {
                "as-reference"
            })
        }
        (FindingKind::Resistance, _)
            if (got < 1.0
                || (got <= 1.0
                    && finding.qualifier == Some(crate::domain::job::Qualifier::Below)))
                && !core
                && finding.qualifier != Some(crate::domain::job::Qualifier::Above)
                && finding.good.is_none_or(|g| g >= 2.0 * got) =>
        {
            Some("hard-short")
        }
        (FindingKind::Resistance, Some(good)) if good > 0.0 => {
            let part = got / good;
            Some(if part < 0.9 {
                "low"
            } else if part > 1.1 {
                "high"
            } else {
                "as-reference"
            })
        }
        _ => None,
    }
}
