//! Walks the items of a text from left to right and keeps what was said before.
//!
//! A comma ends what a value belongs to; a full stop, semicolon or line break ends what "it" can mean.

use std::ops::Range;

use crate::domain::intake::doubt::Doubt;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::reading::deeds::Deed;
use crate::domain::intake::reading::items::Item;
use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::said::Got;
use crate::domain::intake::reading::said::Known;
use crate::domain::intake::reading::said::Reading;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::End;
use crate::domain::intake::words::sense::Remark;
use crate::domain::intake::words::sense::Sense;
use crate::domain::intake::words::sense::Verdict;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::job::When;

/// Where the text is being read, and what stands before.
#[expect(
    clippy::struct_excessive_bools,
    reason = "what a sentence has said so far, each on its own"
)]
pub(super) struct Reader<'r> {
    pub(super) text: &'r str,
    pub(super) items: Vec<Item<'r>>,
    pub(super) known: &'r Known<'r>,
    pub(super) at: usize,
    pub(super) out: Reading,
    /// Items that were understood.
    pub(super) read: Vec<bool>,
    /// The place that was named last, and its words.
    pub(super) place: Places,
    pub(super) place_words: Range<usize>,
    /// Nothing was said of it yet.
    pub(super) fresh: bool,
    /// It was named in this sentence.
    pub(super) near: bool,
    /// What follows is denied; where the denial stands.
    pub(super) not: Option<Range<usize>>,
    /// The finding that was made last in this sentence.
    pub(super) last: Option<usize>,
    /// The draw that is being read.
    pub(super) draw: Option<usize>,
    /// "Draw" was said, and where.
    pub(super) draw_cue: Option<Range<usize>>,
    /// What the next number is.
    pub(super) cue: Option<Cue>,
    pub(super) limit_a: Option<f64>,
    pub(super) supply_v: Option<f64>,
    pub(super) diode: bool,
    pub(super) ohms: bool,
    /// Ohms or diode mode was said in this clause.
    pub(super) mode_here: bool,
    pub(super) source_off: bool,
    pub(super) polarity: Option<&'static str>,
    pub(super) state: Option<&'static str>,
    pub(super) phase: When,
    pub(super) moment: Option<When>,
    /// The moment is "now" where nothing was done before.
    pub(super) now: bool,
    pub(super) deeds: Vec<Deed>,
    pub(super) tried: bool,
    pub(super) inject: bool,
    /// How it ended, as said, in order: what, words, acts done before.
    pub(super) ends: Vec<(End, Range<usize>, usize)>,
    /// Readings that are as they should be, made after an act: words, acts done before.
    pub(super) proofs: Vec<(Range<usize>, usize)>,
    pub(super) mains: Option<Range<usize>>,
    /// Only to test, said after which act.
    pub(super) days: Vec<usize>,
    /// Circuits that places name, and the finding at each.
    pub(super) places_seen: Vec<(&'static str, usize)>,
    /// "Probably".
    pub(super) hedged: bool,
    /// What a good board reads, said before the reading.
    pub(super) expected: Option<f64>,
    /// Something went wrong after an act.
    pub(super) failed_after: bool,
}

impl<'r> Reader<'r> {
    pub(super) fn new(text: &'r str, items: Vec<Item<'r>>, known: &'r Known<'r>) -> Self {
        let read = vec![false; items.len()];
        let phase = match known.field {
            Field::Proof | Field::Outcome => When::AfterAction,
            _ => When::BeforeAction,
        };
        Self {
            text,
            items,
            known,
            at: 0,
            out: Reading::default(),
            read,
            place: Places::default(),
            place_words: 0..0,
            fresh: false,
            near: false,
            not: None,
            last: None,
            draw: None,
            draw_cue: None,
            cue: None,
            limit_a: None,
            supply_v: None,
            diode: matches!(known.field, Field::Diode(_)),
            ohms: matches!(known.field, Field::Resistance(_)),
            mode_here: false,
            source_off: false,
            polarity: None,
            state: None,
            phase,
            moment: None,
            now: false,
            deeds: Vec::new(),
            tried: matches!(known.field, Field::Tried),
            inject: false,
            ends: Vec::new(),
            proofs: Vec::new(),
            mains: None,
            days: Vec::new(),
            places_seen: Vec::new(),
            hedged: false,
            expected: None,
            failed_after: false,
        }
    }

    /// Reads the text to its end.
    pub(super) fn read(mut self) -> Reading {
        if self.whole_cell() {
            return self.out;
        }
        self.start_field();
        while self.at < self.items.len() {
            let at = self.at;
            self.step();
            if self.at <= at {
                self.at = at + 1;
            }
        }
        self.settle();
        self.out
    }

    fn step(&mut self) {
        let i = self.at;
        match &self.items[i].what {
            What::Mark(mark) => {
                let mark = *mark;
                self.mark(mark);
            }
            What::Day(_) => {
                self.days.push(i);
                self.done(i);
            }
            What::Version => {
                self.remark(
                    "actions",
                    Doubt::VersionsNotVolts,
                    self.items[i].words.clone(),
                );
                self.done(i);
            }
            What::Unknown if self.names_trial(i) => self.trial(),
            What::Unknown => self.unknown(),
            What::Quantity(_) => self.quantity(),
            What::Parts(_) | What::Net(_) => self.take_place(),
            What::Said(senses) => {
                let senses: &'r [Sense] = senses;
                self.said(senses);
            }
        }
    }

    /// Marks item `i` as understood and goes on behind it.
    pub(super) fn done(&mut self, i: usize) {
        self.done_to(i, i + 1);
    }

    /// Marks items as understood and goes on behind them.
    pub(super) fn done_to(&mut self, from: usize, to: usize) {
        for read in &mut self.read[from..to] {
            *read = true;
        }
        self.at = to;
    }

    /// Returns the source of item `i`.
    pub(super) fn source(&self, i: usize) -> &'r str {
        self.items
            .get(i)
            .map_or("", |item| &self.text[item.words.clone()])
    }

    /// Returns the senses at item `i`.
    pub(super) fn senses(&self, i: usize) -> &'r [Sense] {
        match self.items.get(i).map(|i| &i.what) {
            Some(What::Said(senses)) => senses,
            _ => &[],
        }
    }

    fn unknown(&mut self) {
        let i = self.at;
        // A phase's letter, a revision's letter, are taken by what stands before them.
        let denied = self.not.take().is_some();
        let dark = ["dark", "flickers", "flickering", "dunkel", "flackert"]
            .contains(&self.source(i).to_lowercase().as_str());
        if dark && !denied && self.known.field == &Field::Complaint {
            // A screen or a lamp: a person says which.
            if !self.out.complaint.iter().any(|c| c.what == "no-display") {
                self.out.complaint.push(Got {
                    what: "no-display".to_owned(),
                    words: self.items[i].words.clone(),
                    sure: false,
                });
            }
            self.done(i);
            return;
        }
        self.at = i + 1;
    }

    fn mark(&mut self, mark: char) {
        let i = self.at;
        self.done(i);
        match mark {
            ';' | '.' | '!' | '|' => self.end_sentence(),
            ',' | '→' | '+' | '&' | '–' => self.end_clause(),
            '-' => {
                let blank = |at: usize| self.text[at..].starts_with(char::is_whitespace);
                if blank(self.items[i].words.end) {
                    self.end_clause();
                }
            }
            '(' | ')' | '[' | ']' => {
                self.not = None;
                self.moment = None;
                self.now = false;
            }
            '?' => self.doubt_last(),
            '@' => self.cue = Some(Cue::At),
            _ => {}
        }
    }

    /// A question mark: what was read last in this sentence is not sure.
    fn doubt_last(&mut self) {
        let Some(last) = self.last else {
            self.doubt_deed();
            return;
        };
        let words = self.out.findings[last].words.clone();
        self.out.findings[last].sure = false;
        self.remark("findings", Doubt::Ambiguous, words);
    }

    pub(super) fn end_clause(&mut self) {
        self.not = None;
        self.cue = None;
        self.mode_here = false;
        self.moment = None;
        self.now = false;
        self.state = None;
        self.draw_cue = None;
        self.inject = false;
        self.hedged = false;
        self.tried = matches!(self.known.field, Field::Tried);
    }

    pub(super) fn end_sentence(&mut self) {
        self.end_clause();
        self.last = None;
        self.draw = None;
        self.near = false;
        self.fresh = false;
        self.diode = matches!(self.known.field, Field::Diode(_));
        self.ohms = matches!(self.known.field, Field::Resistance(_));
        self.source_off = false;
        self.polarity = None;
        self.expected = None;
    }

    /// Takes the place at the cursor, and remembers it for what follows.
    pub(super) fn take_place(&mut self) {
        let i = self.at;
        let Some(mut places) = self.place_at(i) else {
            self.at = i + 1;
            return;
        };
        let words = self.items[i].words.start..self.items[places.next - 1].words.end;
        let to = places.next;
        if self.not.is_some() && self.no_place(&places, words.clone(), to) {
            return;
        }
        if let Some(clock) = self.clock_of_crystal(&places) {
            self.place = clock;
            self.place_words.end = words.end;
        } else if self.fresh && self.near && self.joins(&places) {
            let mut before = std::mem::take(&mut self.place);
            places.list.retain(|p| !before.list.contains(p));
            before.list.append(&mut places.list);
            before.either |= places.either;
            before.expanded |= places.expanded;
            before.next = places.next;
            self.place = before;
            self.place_words.end = words.end;
        } else {
            self.place = places;
            self.place_words = words;
        }
        self.fresh = true;
        self.near = true;
        self.done_to(i, to);
    }

    /// Tells whether the place joins those before it: parts with parts.
    fn joins(&self, places: &Places) -> bool {
        let parts = |list: &[Place]| list.iter().all(|p| p.sort == Sort::Part);
        let functions = |list: &[Place]| list.iter().all(|p| p.sort == Sort::Function);
        let plus = self.at > 0
            && (matches!(self.items[self.at - 1].what, What::Mark('+' | '&' | '/'))
                || self.senses(self.at - 1).contains(&Sense::And));
        let rails = |list: &[Place]| list.iter().all(|p| matches!(p.sort, Sort::Rail(_)));
        let both = |of: &dyn Fn(&[Place]) -> bool| of(&self.place.list) && of(&places.list);
        self.place.list.len() < 64 && (both(&parts) || both(&rails) || (plus && both(&functions)))
    }

    /// "No 3V3", "no clock": a rail or signal that is not there.
    fn no_place(&mut self, places: &Places, words: Range<usize>, to: usize) -> bool {
        let Some(not) = self.not.clone() else {
            return false;
        };
        let here = self
            .clock_of_crystal(places)
            .or_else(|| self.clock_at_crystal(places, to));
        let before = here.is_some() && self.fresh && self.near;
        let from = if before {
            self.place_words.start
        } else {
            not.start
        };
        let places = here.as_ref().unwrap_or(places);
        let [only] = places.list.as_slice() else {
            return false;
        };
        let code = match only.sort {
            Sort::Rail(_) => (FindingKind::Rail, "absent"),
            Sort::Signal => (FindingKind::Signal, "missing"),
            _ => return false,
        };
        if self.judged(to) {
            return false;
        }
        let mut finding = Finding::new(code.0, &only.name);
        finding.code = Some(code.1.to_owned());
        if let Sort::Rail(volts) = only.sort {
            finding.good = volts;
        }
        self.not = None;
        self.place = places.clone();
        self.place_words = words.clone();
        self.near = true;
        self.fresh = false;
        self.add_at(only, finding, from.min(not.start)..words.end, true);
        self.done_to(self.at, to);
        true
    }

    fn said(&mut self, senses: &'r [Sense]) {
        let i = self.at;
        if self.field_word(senses) {
            return;
        }
        let words = self.items[i].words.clone();
        let place = senses
            .iter()
            .any(|s| matches!(s, Sense::Rail(_) | Sense::Noun(_)));
        if self.verdict_first(senses) || (!place && self.cue_word(senses)) {
            return;
        }
        for sense in senses {
            let taken = match sense {
                Sense::Remark(remark) => self.remark_word(*remark, words.clone()),
                Sense::InVain => self.in_vain(words.clone()),
                Sense::Helped => self.helped(words.clone()),
                Sense::Worse => self.worse(),
                Sense::Tried => {
                    self.tried = true;
                    true
                }
                Sense::Act(act) => {
                    self.deed(act, false);
                    return;
                }
                Sense::Draw(code) => self.draw_word(code),
                Sense::Sign(code) => return self.sign_or_other(code, senses),
                Sense::Verdict(verdict) => self.verdict(*verdict, senses),
                Sense::Complaint(_)
                    if self.known.field != &Field::Complaint
                        && senses.iter().any(|s| matches!(s, Sense::Draw(_))) =>
                {
                    continue;
                }
                Sense::Complaint(code) => self.complaint(code, senses),
                Sense::End(end) => self.end(*end, words.clone()),
                Sense::NoFix(reason) => self.no_fix(reason, words.clone()),
                Sense::WeakAct(act) => {
                    if self.weak_deed(act) {
                        return;
                    }
                    if senses.iter().any(|s| matches!(s, Sense::Sign(_))) {
                        // "R147 lifted": what the eye saw.
                        continue;
                    }
                    true
                }
                Sense::Environment(_) if says_more(senses) => continue,
                Sense::Hedge => {
                    self.hedged = true;
                    true
                }
                Sense::Environment(id) => {
                    self.environment(id, words.clone());
                    true
                }
                Sense::Noun(_) | Sense::Signal(_) | Sense::Rail(_) | Sense::Spot(_) => {
                    self.take_place();
                    return;
                }
                Sense::Trial => return self.trial(),
                Sense::State(state) => self.state_word(state),
                Sense::Not => {
                    self.not = Some(words.clone());
                    true
                }
                Sense::Moment(moment) => self.moment_word(*moment),
                Sense::Break => {
                    self.end_clause();
                    true
                }
                Sense::And => {
                    self.cue = None;
                    true
                }
                Sense::Extent(extent) => self.extent(extent),
                Sense::Filler if senses.len() > 1 => continue,
                Sense::Filler | Sense::Or => true,
                Sense::Cue(_) | Sense::Family(_) => false,
            };
            if taken {
                self.also(senses, words);
                if self.at == i {
                    self.done(i);
                }
                return;
            }
        }
        self.at = i + 1;
        self.read[i] = senses.contains(&Sense::Filler);
    }

    /// A phrase that says where the board had been says it beside its other meaning.
    fn also(&mut self, senses: &[Sense], words: Range<usize>) {
        for sense in senses {
            if let Sense::Environment(id) = sense {
                self.environment(id, words.clone());
            }
        }
    }

    pub(super) fn environment(&mut self, id: &str, words: Range<usize>) {
        if self.not.take().is_some() || self.out.environment.iter().any(|e| e.what == id) {
            return;
        }
        if self.out.environment.len() < 16 {
            self.out.environment.push(Got {
                what: id.to_owned(),
                words,
                sure: true,
            });
        }
    }

    /// Tells whether a comma or harder mark stands right before the cursor.
    pub(super) fn comma_before(&self) -> bool {
        self.at > 0 && matches!(self.items[self.at - 1].what, What::Mark(',' | ';' | '.'))
    }

    fn remark_word(&mut self, remark: Remark, words: Range<usize>) -> bool {
        match remark {
            Remark::NoFaultFound => self.remark("outcome", Doubt::MapExplicitly, words),
            Remark::Above => self.remark("text", Doubt::NeighbourRow, words),
            Remark::Nothing => {}
        }
        true
    }

    fn complaint(&mut self, code: &str, senses: &[Sense]) -> bool {
        let here = matches!(self.known.field, Field::Everything | Field::Complaint);
        if !here || self.not.take().is_some() {
            return senses.contains(&Sense::Filler) || !here;
        }
        if self.phase != When::BeforeAction && self.known.field != &Field::Complaint {
            self.failed_after = true;
            return true;
        }
        let words = self.items[self.at].words.clone();
        if !self.out.complaint.iter().any(|c| c.what == code) {
            self.out.complaint.push(Got {
                what: code.to_owned(),
                words,
                sure: true,
            });
        }
        true
    }

    /// A verdict or draw whose other sense must wait: where a place or a draw is at hand.
    fn verdict_first(&mut self, senses: &'r [Sense]) -> bool {
        let verdict = senses.iter().find_map(|s| match s {
            Sense::Verdict(verdict) => Some(*verdict),
            _ => None,
        });
        let draw = senses.iter().find_map(|s| match s {
            Sense::Draw(code) => Some(*code),
            _ => None,
        });
        let i = self.at;
        if let Some(code) = draw
            && (self.draw.is_some() || self.draw_cue.is_some())
            && self.draw_word(code)
        {
            self.done(i);
            return true;
        }
        let Some(verdict) = verdict else {
            return false;
        };
        if senses.contains(&Sense::Cue(Cue::Reference)) && self.reference_follows(i + 1) {
            return false;
        }
        if senses.len() > 1 && self.fresh && self.near && self.verdict(verdict, senses) {
            if self.at == i {
                self.done(i);
            }
            return true;
        }
        if senses.contains(&Sense::Filler) && !self.fresh {
            self.done(i);
            return true;
        }
        if matches!(verdict, Verdict::Good) && self.draw_cue.is_some() && self.draw.is_none() {
            self.draw_word("normal");
            self.done(i);
            return true;
        }
        false
    }
}

/// Tells whether a phrase that names an environment says something else as well.
fn says_more(senses: &[Sense]) -> bool {
    senses
        .iter()
        .any(|s| matches!(s, Sense::Sign(_) | Sense::Complaint(_)))
}
