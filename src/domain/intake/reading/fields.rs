//! Cells of one kind: what the header already says.

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::reading::said::Got;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;
use crate::domain::job;
use crate::domain::job::Action;
use crate::domain::job::Role;

/// Months as sheets write them where they turn `MAR04` into a date.
const MONTHS: [&str; 14] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec", "mai",
    "okt",
];

impl Reader<'_> {
    /// Reads a cell that is no more than one mark; returns whether it was one.
    pub(super) fn whole_cell(&mut self) -> bool {
        let text = self.text.trim();
        if text.is_empty() {
            return true;
        }
        if matches!(
            text,
            "\"" | "''" | "“" | "”" | "„" | "''\"" | "\"\"" | "″" | "-\"-" | "- \" -"
        ) {
            self.remark("text", Doubt::NeighbourRow, 0..self.text.len());
            return true;
        }
        if matches!(
            text,
            "-" | "--" | "---" | "–" | "—" | "/" | "?" | "??" | "." | "…" | "..."
        ) {
            if text.starts_with('?') {
                self.remark("text", Doubt::Ambiguous, 0..self.text.len());
            }
            return true;
        }
        if self.items.len() == 1
            && let What::Quantity(q) = &self.items[0].what
            && q.number.scientific
            && q.unit == Unit::None
        {
            self.remark("text", Doubt::SheetDamage, 0..self.text.len());
            self.out.unread.push(self.items[0].words.clone());
            return true;
        }
        if is_month_and_number(text) {
            self.remark("text", Doubt::SheetDateDamage, 0..self.text.len());
            self.out.unread.push(0..self.text.len());
            return true;
        }
        self.vocabulary()
    }

    /// A cell that holds a word of our own vocabulary, as our own exports write it.
    fn vocabulary(&mut self) -> bool {
        let text = self.text.trim().to_ascii_lowercase();
        if text.len() > 40 {
            return false;
        }
        let words = 0..self.text.len();
        let of = |list: &[&'static str]| list.iter().copied().find(|w| *w == text);
        match self.known.field {
            Field::Complaint => {
                let Some(code) = of(&job::COMPLAINTS) else {
                    return false;
                };
                self.out.complaint.push(got(code, words));
            }
            Field::NoFixReason => {
                let Some(reason) = of(&job::NO_FIX_REASONS) else {
                    return false;
                };
                self.out.no_fix_reason = Some(got(reason, words));
            }
            Field::Outcome => {
                let unknown = ["unknown", "unbekannt", "not known", "nicht bekannt"];
                let unknown = unknown.contains(&text.as_str());
                let outcome = unknown.then_some(job::Outcome::UnknownSoFar);
                let Some(outcome) = outcome.or_else(|| job::Outcome::from_word(&text)) else {
                    return false;
                };
                self.out.outcome = Some(Got {
                    what: outcome,
                    words,
                    sure: true,
                });
            }
            Field::Draw => {
                let Some(code) = of(&job::DRAWS) else {
                    return false;
                };
                let mut finding = job::Finding::new(job::FindingKind::Current, "");
                finding.code = Some(code.to_owned());
                finding.raw = Some(self.text.trim().to_owned());
                self.out.findings.push(Got {
                    what: finding,
                    words,
                    sure: true,
                });
            }
            _ => return false,
        }
        true
    }

    /// Sets what the header names beforehand.
    pub(super) fn start_field(&mut self) {
        let (name, sort) = match self.known.field {
            Field::Rail(name) => (name, None),
            Field::Resistance(name) | Field::Diode(name) => (name, Some(Sort::Net)),
            Field::Draw => {
                self.draw_cue = Some(0..0);
                return;
            }
            _ => return,
        };
        let mut place = Place {
            name: name.clone(),
            plain: String::new(),
            sort: sort.unwrap_or(Sort::Rail(None)),
        };
        if sort.is_none() || place.sort == Sort::Net {
            let volts = crate::domain::intake::reading::parts::carries(
                &name.to_ascii_uppercase(),
                self.known.board,
            );
            match volts {
                Some(crate::domain::intake::reading::parts::Carries::Supply(volts)) => {
                    place.sort = Sort::Rail(volts);
                }
                Some(crate::domain::intake::reading::parts::Carries::Signal) => {
                    place.sort = Sort::Signal;
                }
                None => {}
            }
        }
        if matches!(self.known.field, Field::Rail(_)) && !matches!(place.sort, Sort::Rail(_)) {
            place.sort = Sort::Rail(None);
        }
        let start = self.items.first().map_or(0, |i| i.words.start);
        self.place = Places {
            list: vec![place],
            ..Places::default()
        };
        self.place_words = start..start;
        self.fresh = true;
        self.near = true;
    }

    /// Takes a word by what the column holds; false where the common reading goes on.
    pub(super) fn field_word(&mut self, senses: &[Sense]) -> bool {
        let i = self.at;
        let words = self.items[i].words.clone();
        match self.known.field {
            Field::Complaint => self.complaint_cell(senses, words),
            Field::Family => {
                let family = senses.iter().find_map(|s| match s {
                    Sense::Family(id) => Some(id.to_string()),
                    _ => None,
                });
                if let Some(id) = family {
                    if self.out.family.is_none() {
                        self.out.family = Some(Got {
                            what: id,
                            words,
                            sure: true,
                        });
                    }
                    self.done(i);
                    return true;
                }
                false
            }
            Field::Part => {
                self.done(i);
                if self.place_at(i).is_some() {
                    self.at = i;
                    self.take_place();
                }
                true
            }
            Field::Fix | Field::Tried | Field::Act
                if ["none", "keine", "nichts", "nothing", "nil"]
                    .contains(&self.source(i).to_ascii_lowercase().as_str())
                    && self.items.len() == 1 =>
            {
                self.done(i);
                true
            }
            Field::Outcome | Field::Proof => {
                let good = senses
                    .iter()
                    .any(|s| matches!(s, Sense::Verdict(Verdict::Good)));
                if good && self.not.is_none() && !self.fresh {
                    self.ends.push((End::Good, words, 0));
                    self.done(i);
                    return true;
                }
                false
            }
            _ => false,
        }
    }

    fn complaint_cell(&mut self, senses: &[Sense], words: std::ops::Range<usize>) -> bool {
        let i = self.at;
        let mut said = false;
        for sense in senses {
            match sense {
                Sense::Complaint(code) if self.not.is_none() => {
                    if !self.out.complaint.iter().any(|c| c.what == *code) {
                        self.out.complaint.push(got(code, words.clone()));
                    }
                    said = true;
                }
                Sense::Environment(id) => {
                    self.environment(id, words.clone());
                    said = true;
                }
                Sense::Not => {
                    self.not = Some(words.clone());
                    said = true;
                }
                Sense::Filler
                | Sense::And
                | Sense::Or
                | Sense::Break
                | Sense::Moment(_)
                | Sense::Tried => said = true,
                Sense::End(End::SameFault | End::OtherFault | End::Returned)
                    if self.not.is_none() =>
                {
                    let code = "failed-after-earlier-repair";
                    if !self.out.complaint.iter().any(|c| c.what == code) {
                        self.out.complaint.push(Got {
                            sure: false,
                            ..got(code, words.clone())
                        });
                    }
                    said = true;
                }
                Sense::Remark(_) => return false,
                _ => {}
            }
        }
        if said && !senses.contains(&Sense::Not) {
            self.not = None;
        }
        if said {
            self.done(i);
        } else {
            self.at = i + 1;
        }
        true
    }

    /// A column of parts alone: each is what was at fault, the act is not said.
    pub(super) fn parts_column(&mut self) {
        let fix = self.known.field == &Field::Fix
            && self.deeds.is_empty()
            && self.out.findings.is_empty()
            && self.fresh;
        if !(fix || self.known.field == &Field::Part) || self.place.list.is_empty() {
            return;
        }
        let places = std::mem::take(&mut self.place);
        for place in &places.list {
            self.out.actions.push(Got {
                what: Action {
                    act: "other".to_owned(),
                    part: place.name.clone(),
                    role: Role::TheFix,
                },
                words: self.place_words.clone(),
                sure: false,
            });
        }
        self.remark("actions", Doubt::ActNotSaid, self.place_words.clone());
        if places.either {
            self.remark("actions", Doubt::CauseNotProved, self.place_words.clone());
        }
        if places.expanded {
            self.remark("actions", Doubt::ExpandRange, self.place_words.clone());
        }
    }
}

fn got(word: &str, words: std::ops::Range<usize>) -> Got<String> {
    Got {
        what: word.to_owned(),
        words,
        sure: true,
    }
}

/// Tells whether the cell is `MAR-04`: a designator or board code that a sheet took for a date.
fn is_month_and_number(text: &str) -> bool {
    let Some((a, b)) = text.split_once(['-', ' ', '.']) else {
        return false;
    };
    let month = |s: &str| MONTHS.contains(&s.to_ascii_lowercase().as_str());
    let number = |s: &str| (1..=2).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
    (month(a) && number(b)) || (number(a) && month(b))
}
