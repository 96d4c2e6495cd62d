//! What the edits of all benches add up to, laid over the cards as they were built.
//!
//! The same edits give the same cards, whatever the order in which they arrived: journals merge by
//! effective time as reviews do, and what an edit saw is written in it ([`crate::domain::desk::heads`]).
//! Two edits of one thing that were made apart are chosen between by nobody: until a lead settles them
//! the card stands as both had found it.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::card::Card;
use crate::domain::card::Deck;
use crate::domain::card::OtherFix;
use crate::domain::card::Share;
use crate::domain::card::Support;
use crate::domain::desk::heads;
use crate::domain::desk::undo;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::edit::Field;
use crate::domain::history;

/// An edit at its place in the merged order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// Effective time.
    pub at: DateTime<Utc>,
    /// The edit.
    pub entry: EditEntry,
}

/// Puts edits in the order in which they took effect: by effective time, then bench, then number.
pub fn merged(entries: Vec<EditEntry>) -> Vec<Placed> {
    let mut benches: BTreeMap<String, Vec<EditEntry>> = BTreeMap::new();
    for entry in entries {
        benches.entry(entry.bench.clone()).or_default().push(entry);
    }
    let mut placed = Vec::new();
    for mut journal in benches.into_values() {
        journal.sort_by(|a, b| {
            (a.seq, a.at, &a.id)
                .cmp(&(b.seq, b.at, &b.id))
                .then_with(|| format!("{a:?}").cmp(&format!("{b:?}")))
        });
        let stamps: Vec<_> = journal.iter().map(|e| (e.at, NaiveDate::MIN)).collect();
        let (times, _) = history::effective(&stamps, &mut |_, _| {});
        let with_time = journal.into_iter().zip(times);
        placed.extend(with_time.map(|(entry, (at, _))| Placed { at, entry }));
    }
    // Within a journal the order stands already, and the sort keeps it.
    placed.sort_by(|a, b| {
        (a.at, &a.entry.bench, a.entry.seq).cmp(&(b.at, &b.entry.bench, b.entry.seq))
    });
    placed
}

/// How one thing of a card stands: places of edits in the merged order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Stand {
    heads: Vec<usize>,
    force: Vec<usize>,
    behind: Vec<usize>,
    apart: bool,
}

/// Who vouches for a card as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Signature {
    /// Nobody did yet.
    Nobody,
    /// These initials, or the source of a bench rule.
    Signed(String),
    /// These initials did, and what it asks or accepts has changed since.
    Changed(String),
    /// A lead wants more jobs first: who, and the words.
    Waits(String, String),
}

/// Edits as they stand, by card.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overlay {
    edits: Vec<Placed>,
    /// Ids of edits that a lead took back.
    taken: BTreeSet<String>,
    /// By current id: what was done under an older name of a card belongs to it.
    cards: HashMap<String, BTreeMap<Field, Stand>>,
    logs: HashMap<String, Vec<usize>>,
    /// How the renaming of each old id stands.
    names: HashMap<String, Stand>,
    /// Cards that go into each other, by card, with the edits that say so.
    rings: BTreeMap<String, Vec<usize>>,
    /// Edits that send a card where no desk lets it go.
    unfit: BTreeSet<usize>,
    out: BTreeSet<String>,
    aliases: BTreeMap<String, String>,
    /// Cards whose wording was changed, as they were built.
    built: BTreeMap<String, Card>,
}

impl Overlay {
    /// Returns what `entries`, in any order, add up to; `is_card` knows the ids in the decks.
    pub fn fold(entries: Vec<EditEntry>, is_card: &dyn Fn(&str) -> bool) -> Self {
        Self::fold_fitting(entries, is_card, &|_, _| true)
    }

    /// The same, where `fits` tells of two ids whether the first may go into the second, as far as the
    /// decks know both: a card of another kind or board is none to go into, whatever a line says.
    pub fn fold_fitting(
        entries: Vec<EditEntry>,
        is_card: &dyn Fn(&str) -> bool,
        fits: &dyn Fn(&str, &str) -> bool,
    ) -> Self {
        let mut overlay = Self {
            edits: merged(entries),
            ..Self::default()
        };
        overlay.take_back();
        overlay.leave_unfit(fits);
        overlay.stand_names();
        overlay.stand_cards();
        overlay.place_cards(is_card);
        overlay
    }

    /// Finds the edits that were taken back; what saw one of them saw what that one saw.
    fn take_back(&mut self) {
        let entries = self.edits.iter().map(|placed| &placed.entry);
        let taken = undo::taken_back(entries.clone());
        let instead = undo::seen_instead(entries, &taken);
        self.taken = taken.into_iter().map(str::to_owned).collect();
        if instead.is_empty() {
            return;
        }
        for Placed { entry, .. } in &mut self.edits {
            if let Some(seen) = instead.get(&entry.id) {
                entry.after = Some(seen.clone());
            }
        }
    }

    /// Finds the edits that send a card into one of another kind or board.
    fn leave_unfit(&mut self, fits: &dyn Fn(&str, &str) -> bool) {
        let unfit = |placed: &Placed| match &placed.entry.edit {
            Edit::Merge { into } | Edit::Alias { to: into } => !fits(&placed.entry.card, into),
            _ => false,
        };
        let places = self.edits.iter().enumerate();
        let found = places.filter(|(_, placed)| unfit(placed));
        self.unfit = found.map(|(at, _)| at).collect();
    }

    /// Returns the edits that count for nothing, since they send a card into one of another kind or
    /// board.
    pub fn unfit(&self) -> Vec<&EditEntry> {
        let mut unfit = self.entries(self.unfit.iter());
        unfit.retain(|entry| self.counts(entry));
        unfit
    }

    /// Tells whether an edit counts: none that was taken back does.
    pub fn counts(&self, entry: &EditEntry) -> bool {
        !matches!(entry.edit, Edit::Undo { .. }) && !self.taken.contains(&entry.id)
    }

    /// Tells whether the edit at a place counts for the card it is about.
    fn counts_at(&self, at: usize) -> bool {
        !self.unfit.contains(&at) && self.counts(&self.edits[at].entry)
    }

    fn stand_of(&self, places: &[usize]) -> Stand {
        let list: Vec<&EditEntry> = places.iter().map(|at| &self.edits[*at].entry).collect();
        let found = heads::standing(&list);
        let there = |of: Vec<usize>| of.into_iter().map(|at| places[at]).collect();
        Stand {
            heads: there(found.heads),
            force: there(found.force),
            behind: there(found.behind),
            apart: found.apart,
        }
    }

    /// A new name of a card is no state of it: what was done to it before goes on under the new one.
    fn stand_names(&mut self) {
        let mut places: HashMap<String, Vec<usize>> = HashMap::new();
        for (at, placed) in self.edits.iter().enumerate() {
            if matches!(placed.entry.edit, Edit::Alias { .. }) && self.counts_at(at) {
                let card = placed.entry.card.clone();
                places.entry(card).or_default().push(at);
            }
        }
        for (card, places) in places {
            let stand = self.stand_of(&places);
            if let Some(at) = stand.force.first()
                && let Edit::Alias { to } = &self.edits[*at].entry.edit
            {
                self.aliases.insert(card.clone(), to.clone());
            }
            self.names.insert(card, stand);
        }
        self.break_rings();
    }

    fn stand_cards(&mut self) {
        let mut places: HashMap<String, BTreeMap<Field, Vec<usize>>> = HashMap::new();
        for (at, placed) in self.edits.iter().enumerate() {
            let entry = &placed.entry;
            let card = current(&self.aliases, &entry.card).to_owned();
            self.logs.entry(card.clone()).or_default().push(at);
            let of_card = !matches!(entry.edit, Edit::Alias { .. } | Edit::Corrected { .. });
            if of_card && self.counts_at(at) {
                let of_card = places.entry(card).or_default();
                of_card.entry(entry.edit.field()).or_default().push(at);
            }
        }
        let stands = places.into_iter().map(|(card, fields)| {
            let fields = fields.into_iter();
            let stands = fields.map(|(field, places)| (field, self.stand_of(&places)));
            (card, stands.collect())
        });
        self.cards = stands.collect();
    }

    /// Finds the cards out of use, and those that go on as another.
    fn place_cards(&mut self, is_card: &dyn Fn(&str) -> bool) {
        let edit = |at: &usize| &self.edits[*at].entry.edit;
        let mut goes = Vec::new();
        for (card, fields) in &self.cards {
            let Some(stand) = fields.get(&Field::Use) else {
                continue;
            };
            let out = |edit: &Edit| edit.takes_out();
            // Where all leads want it out of use, it is, whatever else they disagree in.
            if stand.force.iter().any(|at| out(edit(at)))
                || (stand.apart && stand.heads.iter().all(|at| out(edit(at))))
            {
                self.out.insert(card.clone());
            }
            match stand.force.first().map(edit) {
                Some(Edit::Merge { into }) if into != card => {
                    goes.push((card.clone(), into.clone()));
                }
                // A split takes effect with the build that makes the parts.
                Some(Edit::Split { into, .. }) => {
                    if let Some(first) = into.first().filter(|f| is_card(f) && *f != card) {
                        goes.push((card.clone(), first.clone()));
                    }
                }
                _ => {}
            }
        }
        self.aliases.extend(goes);
        self.break_rings();
        self.follow_successors(is_card);
        // What goes on as another card is not out of use by that: its own id is merely an old one.
        let merged = |card: &String| self.aliases.contains_key(card);
        let rings = &self.rings;
        self.out
            .retain(|card| !merged(card) && !rings.contains_key(card));
    }

    /// What people remember of a card that is no longer made goes on with the one in its place, until
    /// it is made again.
    fn follow_successors(&mut self, is_card: &dyn Fn(&str) -> bool) {
        for placed in &self.edits {
            let Edit::Corrected {
                from: Some(from), ..
            } = &placed.entry.edit
            else {
                continue;
            };
            let to = current(&self.aliases, &placed.entry.card);
            if is_card(to) && !is_card(from) && to != from && !self.aliases.contains_key(from) {
                let to = to.to_owned();
                self.aliases.insert(from.clone(), to);
            }
        }
    }

    /// Tells whether nothing was done to any card.
    pub fn is_empty(&self) -> bool {
        self.edits.is_empty()
    }

    /// Returns every edit, in merged order.
    pub fn all(&self) -> impl DoubleEndedIterator<Item = &EditEntry> + Clone {
        self.edits.iter().map(|placed| &placed.entry)
    }

    /// Returns the edits in force that send a card elsewhere, whether or not that one is built yet; of
    /// cards that go into each other none does.
    pub fn moves(&self) -> Vec<&EditEntry> {
        let of_use = self.cards.values().filter_map(|f| f.get(&Field::Use));
        let force = self.names.values().chain(of_use).flat_map(|s| &s.force);
        let places: BTreeSet<usize> = force.copied().collect();
        let mut moves = self.entries(places.iter());
        moves.retain(|entry| {
            let goes = matches!(
                entry.edit,
                Edit::Merge { .. } | Edit::Split { .. } | Edit::Alias { .. }
            );
            goes && !self.rings.contains_key(&entry.card)
        });
        moves
    }

    /// Cards that go into each other would all be lost: none of them goes, and a lead is asked.
    fn break_rings(&mut self) {
        let mut rings = Vec::new();
        for start in self.aliases.keys() {
            let mut ring = vec![start];
            while let Some(next) = self.aliases.get(ring[ring.len() - 1]) {
                if next == start {
                    rings.push(ring.iter().map(|c| (*c).clone()).collect::<Vec<String>>());
                    break;
                }
                if ring.contains(&next) {
                    break;
                }
                ring.push(next);
            }
        }
        for ring in rings {
            let stand = |card: &String| {
                let of_use = self.cards.get(card).and_then(|f| f.get(&Field::Use));
                let stand = of_use.or_else(|| self.names.get(card));
                stand.map_or_else(Vec::new, |s| s.force.clone())
            };
            let edits: BTreeSet<usize> = ring.iter().flat_map(stand).collect();
            for card in ring {
                self.aliases.remove(&card);
                self.rings.insert(card, edits.iter().copied().collect());
            }
        }
    }

    /// Lays the edits over the cards of `decks`.
    pub fn apply(&mut self, decks: &mut [Deck]) {
        if self.cards.is_empty() {
            return;
        }
        for card in decks.iter_mut().flat_map(|deck| &mut deck.cards) {
            let Some(fields) = self.cards.get(&card.id) else {
                continue;
            };
            let worded = |field: &Field| !matches!(field, Field::Use | Field::Signature);
            if fields.keys().any(worded) && !self.built.contains_key(&card.id) {
                self.built.insert(card.id.clone(), card.clone());
            }
            let force = |field| fields.get(field).and_then(|stand| stand.force.last());
            let answers = force(&Field::Answers);
            let mut other_answer = false;
            if let Some((at, built)) = answers.zip(self.built.get(&card.id)) {
                word(card, &self.edits[*at].entry.edit);
                other_answer = answered_anew(card, built);
            }
            // What was said of another answer must not stand for the new one.
            let of_old = |at: &usize| other_answer && answers.is_some_and(|a| at < a);
            for field in fields.keys().filter(|f| **f != Field::Answers) {
                let Some(at) = force(field) else { continue };
                if !(*field == Field::Why && of_old(at)) {
                    word(card, &self.edits[*at].entry.edit);
                }
            }
            if let Some(stand) = fields.get(&Field::Also) {
                let force = stand.force.iter().filter(|at| !of_old(at));
                if let Some(also) = self.accepted_also(card, force, true) {
                    card.set_wordings(also);
                }
            }
            // Cautions are only added, so none waits until leads agree.
            if let Some(stand) = fields.get(&Field::Cautions).filter(|stand| stand.apart) {
                for at in &stand.heads {
                    word(card, &self.edits[*at].entry.edit);
                }
            }
            if fields.contains_key(&Field::Signature) {
                card.signed = match self.signature(card) {
                    Signature::Signed(by) => Some(by),
                    _ => None,
                };
            }
        }
    }

    /// Returns the wordings that the edits at `places` type, each once: those of what the card accepts
    /// `now`, or those of an answer it had before. None where no such edit is among them.
    fn accepted_also<'p>(
        &self,
        card: &Card,
        places: impl Iterator<Item = &'p usize>,
        now: bool,
    ) -> Option<Vec<String>> {
        let mut mark = None;
        let mut found: Option<Vec<String>> = None;
        for at in places {
            let Edit::Wording { also, accepted } = &self.edits[*at].entry.edit else {
                continue;
            };
            let mark = mark.get_or_insert_with(|| card.accepted_mark());
            if (accepted.is_empty() || accepted == mark) == now {
                let found = found.get_or_insert_default();
                let new: Vec<String> = also
                    .iter()
                    .filter(|w| !found.contains(w))
                    .cloned()
                    .collect();
                found.extend(new);
            }
        }
        found
    }

    /// Returns the wordings that were accepted for an answer that the card had before; they count no more.
    pub fn lapsed_wordings(&self, card: &Card) -> Vec<String> {
        let stand = self.cards.get(&card.id).and_then(|f| f.get(&Field::Also));
        let force = stand.into_iter().flat_map(|stand| &stand.force);
        let mut lapsed = self.accepted_also(card, force, false).unwrap_or_default();
        lapsed.retain(|wording| !card.wordings().contains(wording));
        lapsed
    }

    /// Returns the cards out of use for everyone.
    pub fn out(&self) -> &BTreeSet<String> {
        &self.out
    }

    /// Returns the current id of cards that were merged, split or renamed.
    pub fn aliases(&self) -> &BTreeMap<String, String> {
        &self.aliases
    }

    /// Returns the card as it was built, where its wording was changed.
    pub fn built(&self, card: &str) -> Option<&Card> {
        self.built.get(card)
    }

    /// Returns every edit of a card, whatever name it had, in merged order.
    pub fn log(&self, card: &str) -> impl DoubleEndedIterator<Item = &Placed> {
        let places = self.logs.get(card).into_iter().flatten();
        places.map(|at| &self.edits[*at])
    }

    /// Returns the edit called `id`.
    pub fn called(&self, id: &str) -> Option<&EditEntry> {
        let found = self.edits.iter().find(|placed| placed.entry.id == id);
        found.map(|placed| &placed.entry)
    }

    /// Tells whether an edit is one of `card`, under whatever name the card had.
    pub fn is_of(&self, entry: &EditEntry, card: &str) -> bool {
        entry.card == card || current(&self.aliases, &entry.card) == card
    }

    /// Returns the edits of a thing of a card that no other one saw.
    pub fn heads(&self, card: &str, field: Field) -> Vec<&EditEntry> {
        let now = current(&self.aliases, card);
        let of = |card: &str| Some(&self.cards.get(card)?.get(&field)?.heads);
        let mut places: BTreeSet<usize> = of(card).into_iter().flatten().copied().collect();
        places.extend(of(now).into_iter().flatten());
        if field == Field::Use {
            let names = self.names.get(card).into_iter();
            places.extend(names.flat_map(|stand| &stand.heads));
        }
        self.entries(places.iter())
    }

    /// Returns the edits whose value stands for a thing of a card.
    pub fn in_force(&self, card: &str, field: Field) -> Vec<&EditEntry> {
        let stand = self.cards.get(card).and_then(|fields| fields.get(&field));
        self.entries(stand.iter().flat_map(|stand| &stand.force))
    }

    /// Returns the things of a card that were edited apart, each with every value that waits.
    pub fn apart(&self, card: &str) -> Vec<(Field, Vec<&EditEntry>)> {
        let mut found: BTreeMap<Field, BTreeSet<usize>> = BTreeMap::new();
        let own = self.cards.get(card).into_iter().flatten();
        let names = self.names.get(card).map(|stand| (&Field::Use, stand));
        for (field, stand) in own.chain(names).filter(|(_, stand)| stand.apart) {
            found.entry(*field).or_default().extend(&stand.heads);
        }
        if let Some(ring) = self.rings.get(card) {
            found.entry(Field::Use).or_default().extend(ring);
        }
        let all = found.into_iter();
        all.map(|(field, places)| (field, self.entries(places.iter())))
            .collect()
    }

    /// Returns when a lead last ruled that a card is in use: older doubts no longer count.
    pub fn ruled(&self, card: &str) -> Option<DateTime<Utc>> {
        let stand = self.cards.get(card)?.get(&Field::Use)?;
        let behind = stand.behind.iter().map(|at| &self.edits[*at]);
        let untags = behind.filter(|placed| matches!(placed.entry.edit, Edit::Untag { .. }));
        untags.map(|placed| placed.at).max()
    }

    /// Returns since when the signature of a card counts, where one does.
    pub fn signed_at(&self, card: &Card) -> Option<DateTime<Utc>> {
        let stand = self.cards.get(&card.id)?.get(&Field::Signature)?;
        let mut marks = Marks::default();
        let force = stand.force.iter().map(|at| &self.edits[*at]);
        let valid = force.filter(|placed| marks.are_of(card, &placed.entry.edit));
        valid.map(|placed| placed.at).max()
    }

    /// Returns when a card was last signed, also where it changed since.
    pub fn last_signed(&self, card: &str) -> Option<DateTime<Utc>> {
        let stand = self.cards.get(card)?.get(&Field::Signature)?;
        let force = stand.force.iter().map(|at| &self.edits[*at]);
        let signed = force.filter(|placed| matches!(placed.entry.edit, Edit::Sign { .. }));
        signed.map(|placed| placed.at).max()
    }

    /// Returns who vouches for `card`, which has the edits applied.
    pub fn signature(&self, card: &Card) -> Signature {
        let own = || match &card.signed {
            Some(by) => Signature::Signed(by.clone()),
            None if card.has_a_source() => Signature::Signed("its source".to_owned()),
            None => Signature::Nobody,
        };
        let force = self.in_force(&card.id, Field::Signature);
        let Some(last) = force.last() else {
            let apart = !self.heads(&card.id, Field::Signature).is_empty();
            return if apart { Signature::Nobody } else { own() };
        };
        if let Edit::Evidence { note } = &last.edit {
            return Signature::Waits(last.by.clone(), note.clone());
        }
        let mut marks = Marks::default();
        let by = |list: Vec<&&EditEntry>| {
            let mut names: Vec<&str> = list.iter().map(|entry| entry.by.as_str()).collect();
            names.sort_unstable();
            names.dedup();
            names.join(", ")
        };
        let valid: Vec<&&EditEntry> = force
            .iter()
            .filter(|entry| marks.are_of(card, &entry.edit))
            .collect();
        if valid.is_empty() {
            Signature::Changed(by(force.iter().collect()))
        } else {
            Signature::Signed(by(valid))
        }
    }

    fn entries<'p>(&self, places: impl Iterator<Item = &'p usize>) -> Vec<&EditEntry> {
        places.map(|at| &self.edits[*at].entry).collect()
    }
}

/// The marks of one card, made when first asked for.
#[derive(Default)]
struct Marks(Option<(String, String)>);

impl Marks {
    /// Tells whether `edit` signs the card as it stands; a line that says no mark does.
    fn are_of(&mut self, card: &Card, edit: &Edit) -> bool {
        let Edit::Sign { asked, accepted } = edit else {
            return false;
        };
        if asked.is_empty() && accepted.is_empty() {
            return true;
        }
        let (now_asked, now_accepted) = self
            .0
            .get_or_insert_with(|| (card.asked_mark(), card.accepted_mark()));
        (asked.is_empty() || asked == now_asked)
            && (accepted.is_empty() || accepted == now_accepted)
    }
}

/// Where a lead typed another answer than the builder found, leaves out what was counted and said of
/// that one, and returns that it is so.
fn answered_anew(card: &mut Card, built: &Card) -> bool {
    let (Some(new), Some(old)) = (card.answers.first(), built.answers.first()) else {
        return false;
    };
    if new.steps == old.steps {
        return false;
    }
    let new = new.steps.clone();
    card.others.retain(|other| other.steps != new);
    if 0 < built.share.k {
        card.others.push(OtherFix {
            steps: old.steps.clone(),
            k: built.share.k,
        });
        card.others.sort_by_key(|other| std::cmp::Reverse(other.k));
    }
    card.share = Share::counted(0, 0, 0);
    card.support = Support::Single;
    card.bounced = 0;
    card.deciding = Vec::new();
    card.why = String::new();
    card.warn = vec![
        "a lead typed its answer: what was counted was of another one and is left out".to_owned(),
    ];
    true
}

/// Changes the wording of a card.
fn word(card: &mut Card, edit: &Edit) {
    match edit {
        Edit::Answers { answers } => {
            // Other wordings are a thing of their own and stay with the answer they are of.
            let mut answers = answers.clone();
            for new in &mut answers {
                let old = card.answers.iter().find(|old| old.steps == new.steps);
                if let Some(old) = old.filter(|_| new.also.is_empty()) {
                    new.also.clone_from(&old.also);
                }
            }
            card.answers = answers;
        }
        Edit::Stem { stem } => card.stem.clone_from(stem),
        Edit::Why { why } => card.why.clone_from(why),
        Edit::Cautions { cautions } => {
            // A hazard that the builder found is never taken off a card.
            let more = cautions.iter().filter(|id| !card.cautions.contains(id));
            let more: Vec<String> = more.cloned().collect();
            card.cautions.extend(more);
        }
        _ => {}
    }
}

/// Returns the id that a card is known by now. A chain is followed at most as far as there are aliases.
pub fn current<'a>(aliases: &'a BTreeMap<String, String>, card: &'a str) -> &'a str {
    let mut now = card;
    for _ in 0..aliases.len() {
        match aliases.get(now) {
            Some(next) => now = next,
            None => break,
        }
    }
    now
}

#[cfg(test)]
#[path = "overlay_tests.rs"]
mod tests;
