//! The draw from the supply: its numbers and its pattern.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::numbers::Quantity;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::Sense;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::Qualifier;

impl Reader<'_> {
    /// Returns the draw being read, or a new one.
    fn the_draw(&mut self, words: &Range<usize>) -> usize {
        if let Some(draw) = self.draw {
            let range = &mut self.out.findings[draw].words;
            range.end = range.end.max(words.end);
            range.start = range.start.min(words.start);
            return draw;
        }
        let mut finding = Finding::new(FindingKind::Current, "");
        finding.supply_v = self.supply_v;
        finding.limit_a = self.limit_a;
        let start = self.draw_cue.as_ref().map_or(words.start, |c| c.start);
        let draw = self.add(finding, start.min(words.start)..words.end, true);
        self.draw = Some(draw);
        draw
    }

    /// Reads amps.
    pub(super) fn amps(&mut self, q: &Quantity, words: Range<usize>) {
        let i = self.at;
        if self.is_rating(i) {
            self.done(i);
            return;
        }
        if self.senses(i + 1).contains(&Sense::Cue(Cue::Limit)) && q.from.is_none() {
            // "2A limit"
            self.limit_a = Some(q.value());
            if self.known.field == &Field::Draw || self.draw.is_some() {
                let draw = self.the_draw(&words);
                self.out.findings[draw].what.limit_a = self.limit_a;
                let code = &mut self.out.findings[draw].what.code;
                if self.known.field == &Field::Draw {
                    code.get_or_insert_with(|| "limit".to_owned());
                }
            }
            self.done_to(i, i + 2);
            return;
        }
        let limit_open = self.draw.is_some_and(|d| {
            let draw = &self.out.findings[d].what;
            draw.code.as_deref() == Some("limit") && draw.limit_a.is_none()
        });
        if limit_open && q.from.is_none() && q.steps.is_empty() {
            let draw = self.the_draw(&words);
            self.out.findings[draw].what.limit_a = Some(q.value());
            self.done(i);
            return;
        }
        let full = self.draw.is_some_and(|d| {
            let draw = &self.out.findings[d].what;
            draw.got.is_some() || draw.low.is_some()
        });
        if full {
            self.draw = None;
        }
        let draw = self.the_draw(&words);
        let amps_said = self
            .draw_cue
            .as_ref()
            .is_some_and(|c| self.text[c.clone()].to_ascii_lowercase().starts_with("amp"));
        let unit_assumed = q.unit == Unit::None && !amps_said;
        if unit_assumed && self.known.field != &Field::Draw || q.bare_prefix {
            self.remark("findings", Doubt::UnitAssumed, words.clone());
        }
        // Bare numbers from here up are more likely mA.
        let too_big = unit_assumed && q.prefix == 0 && q.from.unwrap_or(0.0).max(q.value()) >= 10.0;
        let unsure = too_big || q.number.doubtful || q.bare_prefix;
        if too_big {
            self.remark("findings", Doubt::UnitAssumed, words.clone());
        }
        let mut q = q.clone();
        if too_big {
            // The number is kept as milliamps, for a person to confirm.
            q.prefix = -3;
            q.from = q.from.map(|from| from / 1000.0);
        }
        let q = &q;
        let got = &mut self.out.findings[draw];
        got.sure &= !unsure;
        if q.steps.is_empty() {
            let finding = &mut got.what;
            if let Some(from) = q.from {
                finding.low = Some(from.min(q.value()));
                finding.high = Some(from.max(q.value()));
            } else {
                finding.got = Some(q.value());
                finding.qualifier = q.qualifier;
            }
        } else {
            self.steps(draw, q, words);
        }
        self.fresh = false;
        self.done(i);
    }

    /// `20mA->1.1A->0`: it climbs and stops, or it cycles.
    fn steps(&mut self, draw: usize, q: &Quantity, words: Range<usize>) {
        let all = || q.steps.iter().copied().chain([q.value()]);
        let highest = all().fold(f64::MIN, f64::max);
        let again = self
            .senses_near(6)
            .any(|s| matches!(s, Sense::Draw("again" | "cycling")));
        let got = &mut self.out.findings[draw];
        let lowest = all().filter(|v| *v > 0.0).fold(f64::MAX, f64::min);
        if again {
            got.what.code = Some("cycling".to_owned());
            got.what.low = Some(lowest.min(highest));
            got.what.high = Some(highest);
        } else {
            got.what.code = Some("stepped-stop".to_owned());
            got.what.got = Some(highest);
        }
        got.sure = false;
        self.remark("findings", Doubt::CyclingOrSteppedStop, words);
    }

    fn senses_near(&self, n: usize) -> impl Iterator<Item = &Sense> {
        (self.at + 1..self.at + 1 + n).flat_map(|i| self.senses(i))
    }

    /// Tells whether the amps at `i` are the rating of a fuse.
    fn is_rating(&self, i: usize) -> bool {
        let fuse = |i: usize| self.senses(i).contains(&Sense::Noun("fuse"));
        fuse(i + 1) || (i > 0 && fuse(i - 1))
    }

    /// Takes a word for a pattern of draw; false where it says nothing of one.
    pub(super) fn draw_word(&mut self, code: &'static str) -> bool {
        let words = self.items[self.at].words.clone();
        let context =
            self.draw.is_some() || self.draw_cue.is_some() || self.known.field == &Field::Draw;
        let amps_next = (self.at + 1..self.at + 4).any(|i| {
            matches!(self.items.get(i).map(|i| &i.what), Some(crate::domain::intake::reading::items::What::Quantity(q)) if q.unit == Unit::Amp)
        });
        let not = self.not.take();
        if not.is_some() {
            return true;
        }
        match code {
            "steady" | "stuck" | "climbs" | "drops" if !(context || amps_next) => return false,
            "nothing" | "again" | "plain" if self.draw.is_none() => return false,
            _ => {}
        }
        if code == "again" || code == "plain" {
            return true;
        }
        let draw = self.the_draw(&words);
        let got = &mut self.out.findings[draw];
        let before = got.what.code.take();
        let now = match (before.as_deref(), code) {
            (Some("climbs"), "drops" | "zero") | (Some("stepped-stop"), "climbs" | "drops") => {
                "stepped-stop"
            }
            (Some("cycling"), "climbs" | "drops" | "stuck" | "steady") => "cycling",
            (Some("steady" | "stuck"), "nothing") => {
                // The number is plain; which pattern it is, is not.
                let mut maybe = got.clone();
                maybe.sure = false;
                maybe.what.code = Some("normal-no-function".to_owned());
                self.out.findings.push(maybe);
                self.remark("findings", Doubt::Ambiguous, words);
                return true;
            }
            (Some("normal"), "nothing") => "normal-no-function",
            (Some(code), "nothing") => {
                got.what.code = Some(code.to_owned());
                return true;
            }
            (None, "nothing") => {
                if got.what.got.is_none() && got.what.low.is_none() {
                    "zero"
                } else {
                    got.what.code = None;
                    return true;
                }
            }
            (_, code) => code,
        };
        got.what.code = Some(now.to_owned());
        self.fresh = false;
        true
    }

    /// Gives each draw its final word.
    pub(super) fn settle_draws(&mut self) {
        for at in 0..self.out.findings.len() {
            let got = &mut self.out.findings[at];
            if got.what.kind != FindingKind::Current {
                continue;
            }
            let finding = &mut got.what;
            let words = got.words.clone();
            match finding.code.as_deref() {
                Some("steady") => finding.code = Some("stuck".to_owned()),
                Some("climbs" | "drops") => finding.code = None,
                Some("stepped-stop") if finding.got.is_none() => finding.got = finding.high.take(),
                _ => {}
            }
            if finding.code.is_none() && finding.got == Some(0.0) {
                finding.code = Some("zero".to_owned());
            }
            if finding.code.as_deref() == Some("zero") && finding.low.is_none() {
                finding.got.get_or_insert(0.0);
            }
            let two_levels = finding.code.as_deref() == Some("cycling");
            if finding.low.is_some() && !two_levels {
                finding.qualifier = Some(Qualifier::Range);
            }
            let says = finding.code.is_some() || finding.got.is_some() || finding.low.is_some();
            got.sure &= says;
            let period = two_levels && finding.period_s.is_none();
            if period {
                self.remark("findings", Doubt::PeriodMissing, words.clone());
            }
            if !says {
                self.remark("findings", Doubt::NoNumber, words);
            }
        }
    }
}
