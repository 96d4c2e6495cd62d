//! What the eye saw.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Sense;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;

/// Spellings in the tables that are no words.
const MISSPELLED: [&str; 12] = [
    "sugery",
    "stuk",
    "reflashd",
    "corrosn",
    "corrosin",
    "missng",
    "mising",
    "residu",
    "swaped",
    "getausch",
    "diffrence",
    "chnge",
];

impl Reader<'_> {
    /// Reads a sign, or whatever else the phrase can mean where it is no sign.
    pub(super) fn sign_or_other(&mut self, code: &'static str, senses: &[Sense]) {
        let i = self.at;
        let words = self.items[i].words.clone();
        let board_only = code == "missing" && !self.part_waits();
        if board_only {
            self.at = i + 1;
            return;
        }
        if self.passes_over() {
            self.done(i);
            return;
        }
        for sense in senses {
            if let Sense::Environment(id) = sense {
                self.environment(id, words.clone());
            }
        }
        self.sign(code, words);
        if self.at == i {
            self.done(i);
        }
    }

    fn part_waits(&self) -> bool {
        self.fresh
            && self.near
            && self
                .place
                .list
                .iter()
                .all(|p| matches!(p.sort, Sort::Part | Sort::Function))
    }

    /// "Cleaned the corrosion", "remove residue": what was done with it is no new sign.
    fn passes_over(&self) -> bool {
        let before = |n: usize| {
            self.at
                .checked_sub(n)
                .map(|i| self.senses(i))
                .unwrap_or_default()
        };
        let filler = before(1).contains(&Sense::Filler);
        let act = if filler { before(2) } else { before(1) };
        act.iter()
            .any(|s| matches!(s, Sense::Act("clean" | "remove")))
    }

    /// Tells whether a phrase holds a word that the tables know only as a misspelling.
    pub(super) fn is_misspelled(&self, words: &Range<usize>) -> bool {
        let said = &self.text.as_bytes()[words.clone()];
        MISSPELLED.iter().any(|wrong| {
            said.split(|b| !b.is_ascii_alphabetic())
                .any(|w| w.eq_ignore_ascii_case(wrong.as_bytes()))
        })
    }

    fn sign(&mut self, code: &'static str, words: Range<usize>) {
        let i = self.at;
        let denied = self.not.take();
        if self.is_misspelled(&words) {
            self.remark("findings", Doubt::Spelling, words.clone());
        }
        let extent = self.extent_of(&words);
        let from = denied.as_ref().map_or(words.start, |d| d.start);
        let (places, start, to) = if self.fresh && self.near {
            let places = std::mem::take(&mut self.place);
            (places, self.place_words.start.min(from), i + 1)
        } else if let Some(places) = self
            .place_ahead(i + 1)
            .or_else(|| self.place_direct(i + 1))
            .or_else(|| self.place_after_comma(i + 1))
        {
            let to = places.next;
            (places, from, to)
        } else {
            (Places::default(), from, i + 1)
        };
        let end = self.items[to - 1].words.end.max(words.end);
        if denied.is_some() {
            // Denials of several signs go on: "no residue or burnt parts".
            let or = self.senses(to).contains(&Sense::Or);
            self.not = denied.filter(|_| or);
            self.seen(&places, "none-seen", None, start..end, true);
        } else {
            let joint = (i.saturating_sub(4)..i)
                .any(|i| self.senses(i).contains(&Sense::Noun("joint")))
                || places.list.iter().any(|p| p.meaning() == "joint");
            let code = if code == "cracked-part" && joint {
                "cracked-joint"
            } else {
                code
            };
            self.seen(
                &places,
                code,
                extent.or_else(|| self.extent_between(i, to)),
                start..end,
                false,
            );
        }
        if !places.list.is_empty() {
            self.place = places;
            self.place_words = start..end;
            self.near = true;
        }
        self.fresh = false;
        self.done_to(i, to);
    }

    /// A designator right after a sign: "burnt R12".
    fn place_direct(&self, i: usize) -> Option<Places> {
        let at = if self.senses(i).contains(&Sense::Filler) {
            i + 1
        } else {
            i
        };
        let mut places = self.place_at(at)?;
        let own_words = self.judged(places.next)
            || self
                .senses(places.next)
                .iter()
                .any(|s| matches!(s, Sense::Sign(_) | Sense::Act(_)));
        self.free_place(at, &mut places);
        let seen = [Sort::Part, Sort::Function, Sort::Spot];
        (!own_words && places.list.iter().all(|p| seen.contains(&p.sort))).then_some(places)
    }

    /// "Crust, under both shields"
    fn place_after_comma(&self, i: usize) -> Option<Places> {
        let comma = matches!(self.items.get(i).map(|i| &i.what), Some(What::Mark(',')));
        let places = comma.then(|| self.place_ahead(i + 1)).flatten()?;
        let own = self.judged(places.next)
            || self
                .senses(places.next)
                .iter()
                .any(|s| matches!(s, Sense::Sign(_) | Sense::Act(_)));
        (!own).then_some(places)
    }

    fn extent_of(&self, words: &Range<usize>) -> Option<&'static str> {
        let said = self.text[words.clone()].to_ascii_lowercase();
        let all = ["all over", "everywhere", "überall"];
        all.iter().any(|w| said.contains(w)).then_some("board")
    }

    fn extent_between(&self, from: usize, to: usize) -> Option<&'static str> {
        let mut said = (from..to.min(from + 6)).flat_map(|i| self.senses(i));
        said.find_map(|s| match s {
            Sense::Extent(extent) => Some(*extent),
            _ => None,
        })
    }

    fn seen(
        &mut self,
        places: &Places,
        code: &str,
        extent: Option<&str>,
        words: Range<usize>,
        denied: bool,
    ) {
        let nowhere = places.list.is_empty();
        if nowhere && denied {
            return;
        }
        let whole =
            nowhere && (code == "none-seen" || extent == Some("board") || self.board_follows());
        let board = Place {
            name: if whole { "whole board" } else { "" }.to_owned(),
            plain: String::new(),
            sort: Sort::Spot,
        };
        let list = if nowhere {
            std::slice::from_ref(&board)
        } else {
            &places.list
        };
        for place in list {
            let name = place.name.as_str();
            let free = place.sort == Sort::Spot && !nowhere && place.meaning() != "whole board";
            let mut finding = Finding::new(FindingKind::Visual, name);
            finding.code = Some(code.to_owned());
            // All over one place is no more than an area.
            let extent = if extent == Some("board") && place.meaning() != "whole board" && !nowhere
            {
                Some("area")
            } else {
                extent
            };
            finding.extent = extent.map(str::to_owned);
            if place.meaning() == "whole board" {
                "whole board".clone_into(&mut finding.place);
                finding.extent = Some("board".to_owned());
            }
            if free {
                self.remark("findings", Doubt::FreePlace, words.clone());
            }
            if places.either {
                self.remark("findings", Doubt::CauseNotProved, words.clone());
            }
            self.add(finding, words.clone(), !places.either);
        }
        self.expand(places, words);
    }

    fn board_follows(&self) -> bool {
        (self.at + 1..self.at + 3).any(|i| {
            let senses = self.senses(i).iter();
            senses
                .into_iter()
                .any(|s| matches!(s, Sense::Extent("board") | Sense::Spot("whole board")))
        })
    }
}
