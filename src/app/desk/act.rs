//! What a lead does to a card: looked through first, then one line in the edits of this bench.
//!
//! Nothing here changes a deck. What is typed is refused where the card would then teach an unsafe act,
//! give its answer away, or accept another part for its own.

use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::Utc;

use crate::app::desk::page;
use crate::app::desk::view::Act;
use crate::app::desk::view::Field;
use crate::app::desk::words;
use crate::app::rebuild;
use crate::app::workbench::AppError;
use crate::app::workbench::Workbench;
use crate::domain::card::Answer;
use crate::domain::card::Card;
use crate::domain::card::CardKind;
use crate::domain::caution;
use crate::domain::desk::answers;
use crate::domain::desk::divide;
use crate::domain::desk::undo;
use crate::domain::desk::whole;
use crate::domain::edit::Divide;
use crate::domain::edit::Edit;
use crate::domain::edit::EditEntry;
use crate::domain::generate::fronts::leak;
use crate::domain::job::Board;
use crate::domain::judge::compare::points::judge_points;
use crate::domain::judge::danger::unsafe_acts;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::review::TagReason;
use crate::domain::shop::Person;
use crate::domain::shop::Post;
use crate::domain::text::clean;
use crate::domain::text::sentence;
use crate::store::lock::Holder;

/// What came of it.
#[derive(Clone, Debug)]
pub struct Done {
    /// What happened, in a sentence or two.
    pub said: String,
    /// Ids of the edits written; empty where nothing had to be.
    pub edits: Vec<String>,
    /// The shop with them applied: go on with this one.
    pub workbench: Workbench,
}

/// Does one thing to a card and returns what came of it.
///
/// What stands in `workbench` is what the lead saw: an edit that another bench or window made since
/// stands beside this one instead of being overwritten.
pub fn act(
    workbench: &Workbench,
    person: &Person,
    card: &str,
    act: Act,
    now: DateTime<Utc>,
) -> Result<Done, AppError> {
    let card = match &act {
        Act::BringBack(_) => page::card_as_it_was(workbench, card)?,
        _ => page::card(workbench, card)?,
    };
    let nobody_leads = may_act(workbench, person, &card.id)?;
    let desk = Desk {
        workbench,
        person,
        card,
        board: workbench.boards.iter().find(|b| b.id == card.board),
        now,
    };
    let mut planned = desk.plan(act)?;
    if nobody_leads && !planned.edits.is_empty() {
        planned
            .said
            .push("This shop has no lead, so anyone may do this.".to_owned());
    }
    let mut edits = Vec::new();
    for (id, edit) in planned.edits {
        edits.push(desk.write(&id, edit)?);
    }
    Ok(Done {
        said: planned.said.join(" "),
        workbench: if edits.is_empty() {
            workbench.clone()
        } else {
            workbench.anew()?
        },
        edits,
    })
}

/// Tells whether the shop has no lead at all; refuses someone who is none where there is one.
pub(super) fn may_act(
    workbench: &Workbench,
    person: &Person,
    card: &str,
) -> Result<bool, AppError> {
    let leads = workbench.leads()?;
    if person.post == Post::Lead || leads.is_empty() {
        return Ok(leads.is_empty());
    }
    let leads: Vec<String> = leads.into_iter().collect();
    Err(AppError::NotOfCard {
        card: clean(card),
        why: format!(
            "{} is no lead, and what is done here holds for everyone",
            clean(&person.initials)
        ),
        todo: format!(
            "ask {}, or tag the card as doubtful in the drill: it leaves your own drill at once",
            clean(&leads.join(" or "))
        ),
    })
}

/// Writes one edit of a card; `seen` are those of the same thing that its lead saw.
pub(super) fn append(
    workbench: &Workbench,
    person: &Person,
    card: &str,
    edit: Edit,
    (now, seen): (DateTime<Utc>, &[String]),
) -> Result<String, AppError> {
    let holder = Holder {
        who: format!("{}, desk", person.initials),
        since: now,
    };
    let entry = crate::store::edits::append_edit(
        &workbench.disk,
        &workbench.folder,
        &workbench.bench,
        &holder,
        (&person.initials, card, edit),
        (now, Some(seen)),
    )?;
    Ok(entry.id)
}

/// What is to be written, by card, and what is said of it.
struct Planned {
    said: Vec<String>,
    edits: Vec<(String, Edit)>,
}

impl Planned {
    fn nothing(said: &str) -> Self {
        Self {
            said: vec![said.to_owned()],
            edits: Vec::new(),
        }
    }
}

struct Desk<'w> {
    workbench: &'w Workbench,
    person: &'w Person,
    card: &'w Card,
    board: Option<&'w Board>,
    now: DateTime<Utc>,
}

impl Desk<'_> {
    fn plan(&self, act: Act) -> Result<Planned, AppError> {
        match act {
            Act::Sign => self.sign(),
            Act::Type(field, text) => self.typed(field, text.trim()),
            Act::Settle(field, edit) => self.settle(field, &edit),
            Act::Merge(into) => self.merge(&into),
            Act::Split(by) => self.split(by),
            Act::Evidence(note) => Ok(self.one(
                Edit::Evidence {
                    note: note.trim().to_owned(),
                },
                "More jobs are wanted before anyone signs it.",
            )),
            Act::TagOut(note) => self.tag_out(note.trim()),
            Act::BringBack(note) => Ok(self.bring_back(note.trim())?),
            Act::Retire(note) => self.retire(note.trim()),
        }
    }

    fn write(&self, card: &str, edit: Edit) -> Result<String, AppError> {
        let workbench = self.workbench;
        let heads = workbench.edits.heads(card, edit.field()).into_iter();
        let seen: Vec<String> = heads.map(|head| head.id.clone()).collect();
        append(workbench, self.person, card, edit, (self.now, &seen))
    }

    fn refused(&self, why: impl Into<String>, todo: impl Into<String>) -> AppError {
        AppError::NotOfCard {
            card: clean(&self.card.id),
            why: why.into(),
            todo: todo.into(),
        }
    }

    fn one(&self, edit: Edit, said: &str) -> Planned {
        Planned {
            said: vec![said.to_owned()],
            edits: vec![(self.card.id.clone(), edit)],
        }
    }

    fn is_out(&self) -> bool {
        self.workbench.edits.out().contains(&self.card.id)
    }

    fn signing(&self) -> Edit {
        Edit::Sign {
            asked: self.card.asked_mark(),
            accepted: self.card.accepted_mark(),
        }
    }

    fn sign(&self) -> Result<Planned, AppError> {
        let apart = self.workbench.edits.apart(&self.card.id).into_iter();
        let waits: Vec<&str> = apart
            .map(|(field, _)| field)
            .filter(|field| *field != Field::Signature)
            .map(Field::label)
            .collect();
        if !waits.is_empty() {
            return Err(self.refused(
                format!("edited apart and not settled yet: {}", waits.join(", ")),
                "take one of the values first, then sign the card as it stands",
            ));
        }
        if self.is_out() {
            return Err(self.refused("it is out of use", "bring it back first, then sign it"));
        }
        if self.signed_today() {
            return Ok(Planned::nothing(
                "You signed it today as it stands; nothing was written.",
            ));
        }
        let mut planned = self.one(self.signing(), "Signed as it stands.");
        planned.said.extend(self.ends_a_wish());
        Ok(planned)
    }

    /// Says whose wish for more jobs a signature ends; of two that stand apart it ends both.
    fn ends_a_wish(&self) -> Option<String> {
        let heads = self.workbench.edits.heads(&self.card.id, Field::Signature);
        let wishes: Vec<String> = heads
            .iter()
            .filter_map(|entry| match &entry.edit {
                Edit::Evidence { note } => Some(match note.trim() {
                    "" => clean(&entry.by),
                    note => format!("{}: {}", clean(&entry.by), clean(note)),
                }),
                _ => None,
            })
            .collect();
        (!wishes.is_empty()).then(|| {
            let wishes = wishes.join("; ");
            format!("That ends the wish for more jobs ({wishes}).")
        })
    }

    /// Tells whether this lead's signature of this bench day holds; an older one may be renewed.
    fn signed_today(&self) -> bool {
        let edits = &self.workbench.edits;
        let today = self.workbench.day(self.now);
        edits
            .signed_at(self.card)
            .is_some_and(|at| self.workbench.day(at) == today)
            && edits
                .in_force(&self.card.id, Field::Signature)
                .iter()
                .any(|entry| entry.by == self.person.initials && entry.edit == self.signing())
    }

    fn tag_out(&self, note: &str) -> Result<Planned, AppError> {
        if self.is_out() {
            return Ok(Planned::nothing(
                "It is out of use already; nothing was written.",
            ));
        }
        let edit = Edit::Tag {
            reason: TagReason::Doubtful,
            note: note.to_owned(),
        };
        let said = "It is out of use for everyone. What people remember of it stays.";
        self.with_units(self.one(edit, said))
    }

    fn retire(&self, note: &str) -> Result<Planned, AppError> {
        let stands = self.workbench.edits.in_force(&self.card.id, Field::Use);
        if stands.iter().any(|e| matches!(e.edit, Edit::Retire { .. })) {
            return Ok(Planned::nothing(
                "It is retired already; nothing was written.",
            ));
        }
        let edit = Edit::Retire {
            note: note.to_owned(),
        };
        let said = "It is retired: out of use, and off the desk. What people remember of it stays.";
        self.with_units(self.one(edit, said))
    }

    /// Adds which units were repaired by what the card answers and are still under warranty.
    fn with_units(&self, mut planned: Planned) -> Result<Planned, AppError> {
        let found = rebuild::at_risk(self.workbench, self.card, self.now)?;
        planned.said.extend(words::under_warranty(&found));
        Ok(planned)
    }

    fn bring_back(&self, note: &str) -> Result<Planned, AppError> {
        if self.stands_in_use()? {
            return Ok(Planned::nothing(
                "It is in use, and nobody doubts it; nothing was written.",
            ));
        }
        let untag = Edit::Untag {
            note: note.to_owned(),
        };
        let said = "It is in use. Doubts about it so far are ruled out; whoever still doubts it can \
                    tag it again.";
        Ok(self.one(untag, said))
    }

    /// Tells whether the card is in use, not edited apart in that, and doubted by nobody.
    fn stands_in_use(&self) -> Result<bool, AppError> {
        let edits = &self.workbench.edits;
        let gone = self.is_out() || edits.aliases().contains_key(&self.card.id);
        let stands = edits.in_force(&self.card.id, Field::Use);
        let split = stands
            .iter()
            .any(|entry| matches!(entry.edit, Edit::Split { .. }));
        let apart = edits.apart(&self.card.id).into_iter();
        if gone || split || apart.map(|(field, _)| field).any(|f| f == Field::Use) {
            return Ok(false);
        }
        let page = page::page(self.workbench, &self.card.id, self.now)?;
        Ok(page.doubts.is_empty())
    }

    fn merge(&self, into: &str) -> Result<Planned, AppError> {
        let into = page::card(self.workbench, into)?;
        let todo = "the desk's page of the card names those it can go into";
        if into.id == self.card.id {
            return Err(self.refused("it cannot go into itself", todo));
        }
        if into.kind != self.card.kind || into.board != self.card.board {
            let why = "both must be of one kind and one board";
            return Err(self.refused(why, todo));
        }
        if !page::is_near(self.card, into) {
            let why = "they have neither an answer nor the circuit in common";
            return Err(self.refused(why, todo));
        }
        if self.workbench.edits.out().contains(&into.id) {
            let why = format!("{} is out of use", clean(&into.id));
            return Err(self.refused(why, "bring that one back first"));
        }
        let edit = Edit::Merge {
            into: into.id.clone(),
        };
        let said = format!(
            "It goes into {}: what people remember of it goes along.",
            words::title(into)
        );
        let mut planned = self.one(edit, &said);
        // A hazard that a lead saw is one of the jobs that go along.
        let mut cautions = into.cautions.clone();
        let own = self.typed_anew(Field::Cautions).into_iter();
        let new = own.flat_map(|_| &self.card.cautions);
        cautions.extend(new.filter(|id| !into.cautions.contains(id)).cloned());
        if cautions.len() > into.cautions.len() {
            planned
                .edits
                .push((into.id.clone(), Edit::Cautions { cautions }));
            planned.said.push("Its hazards go along too.".to_owned());
        }
        planned.said.extend(self.left_behind());
        Ok(planned)
    }

    /// Returns what stands for a thing of the card by a lead's hand.
    fn typed_anew(&self, field: Field) -> Option<&EditEntry> {
        let stands = self.workbench.edits.in_force(&self.card.id, field);
        stands.last().copied()
    }

    /// Says what leads had typed on a card, and who signed it: none of it goes along when it goes into
    /// another, so it is shown once more.
    fn left_behind(&self) -> Option<String> {
        let fields = [Field::Stem, Field::Answers, Field::Why];
        let mut had: Vec<String> = fields
            .into_iter()
            .filter_map(|field| self.typed_anew(field))
            .map(|entry| {
                let value = words::value(&entry.edit);
                format!("{}: {value}", entry.edit.field().label())
            })
            .collect();
        if !self.card.wordings().is_empty() {
            let also = clean(&self.card.wordings().join("; "));
            had.push(format!("{}: {also}", Field::Also.label()));
        }
        if let Some(by) = &self.card.signed {
            had.push(format!("the signature of {}", clean(by)));
        }
        (!had.is_empty()).then(|| {
            format!(
                "The card that stays keeps its own words. This one had {}. Type over what you want there.",
                had.join("; ")
            )
        })
    }

    fn split(&self, by: Divide) -> Result<Planned, AppError> {
        if !page::may_be_split(self.card) {
            return Err(self.refused(
                "only a card of one fix can be split",
                "split the cards of its fixes; what is made of them follows with the next build",
            ));
        }
        let archive = self.workbench.archive()?;
        let jobs = page::evidence(self.card, &archive.jobs);
        let parts = divide::parts(jobs, by);
        if parts.len() < 2 {
            return Err(self.refused(
                format!("its jobs do not differ in {}", by.word()),
                "nothing to split by; a wrong answer is mended, a doubtful card is tagged out",
            ));
        }
        let ids = parts
            .iter()
            .map(|part| divide::part_id(&self.card.id, by, &part.value));
        let edit = Edit::Split {
            by: Some(by),
            into: ids.collect(),
        };
        let said =
            "It will be split with the next build of its deck, and stays as it is until then.";
        Ok(self.one(edit, said))
    }

    fn settle(&self, field: Field, edit: &str) -> Result<Planned, AppError> {
        let edits = &self.workbench.edits;
        let apart = edits.apart(&self.card.id).into_iter();
        let waits = apart
            .filter(|(of, _)| *of == field)
            .flat_map(|(_, all)| all);
        let waits: Vec<&EditEntry> = waits.collect();
        if waits.is_empty() {
            let why = format!("{}: nobody edited it apart", field.label());
            return Err(self.refused(why, "there is nothing to settle"));
        }
        let Some(taken) = waits.iter().find(|entry| entry.id == edit) else {
            let ids: Vec<&str> = waits.iter().map(|entry| entry.id.as_str()).collect();
            let why = format!("{} is none of the values that wait", clean(edit));
            return Err(self.refused(why, format!("take one of {}", clean(&ids.join(", ")))));
        };
        let value = words::value(&taken.edit);
        let said = vec![format!("Settled: {}", sentence(&value))];
        let own = |entry: &EditEntry| edits.is_of(entry, &self.card.id);
        let others: BTreeSet<&str> = waits
            .iter()
            .filter(|entry| !own(entry) && entry.id != taken.id)
            .map(|entry| entry.card.as_str())
            .collect();
        let stays = || Edit::Untag {
            note: undo::SETTLED.to_owned(),
        };
        let mut planned = Vec::new();
        if own(taken) {
            // Two cards that were to go into each other: the other one stays.
            planned.extend(others.iter().map(|card| ((*card).to_owned(), stays())));
            let edit = match &taken.edit {
                Edit::Sign { .. } => self.signing(),
                edit => edit.clone(),
            };
            planned.push((self.card.id.clone(), edit));
        } else {
            planned.push((self.card.id.clone(), stays()));
        }
        Ok(Planned {
            said,
            edits: planned,
        })
    }

    fn typed(&self, field: Field, text: &str) -> Result<Planned, AppError> {
        let (edit, mut said) = match field {
            Field::Stem => (self.stem(text)?, Vec::new()),
            Field::Answers => self.answers(text)?,
            Field::Also => self.also(text)?,
            Field::Why => (self.why(text)?, Vec::new()),
            Field::Cautions => (self.cautions(text)?, Vec::new()),
            Field::Use | Field::Signature => {
                let why = format!("{}: that is not typed", field.label());
                return Err(self.refused(why, "sign it, tag it out, bring it back or retire it"));
            }
        };
        if self.says_already(&edit) {
            return Ok(Planned::nothing("It says so already; nothing was written."));
        }
        let signed = self.card.signed.is_some();
        let mut edits = vec![(self.card.id.clone(), edit)];
        if field == Field::Answers && self.has_wordings() && self.changes_own_answer(&edits[0].1) {
            // Wordings of the old answer must not count for the new one.
            let none = Edit::Wording {
                also: Vec::new(),
                accepted: String::new(),
            };
            edits.push((self.card.id.clone(), none));
            said.push("The other wordings of the old answer no longer count.".to_owned());
        }
        if field == Field::Answers && self.changes_own_answer(&edits[0].1) {
            let left_out = "Counts and the why-line were of the old answer and are left out: type the \
                            why-line anew.";
            said.push(left_out.to_owned());
        }
        said.insert(0, format!("Changed: {}.", field.label()));
        if field == Field::Answers {
            said.push("Whoever learned it is told, and starts again at the correction.".to_owned());
        }
        if signed && matches!(field, Field::Answers | Field::Stem) {
            said.push("It was signed before this: sign it again as it stands.".to_owned());
        }
        Ok(Planned { said, edits })
    }

    /// Tells whether the card stands so already, with nothing waiting to be settled.
    fn says_already(&self, edit: &Edit) -> bool {
        let apart = self.workbench.edits.apart(&self.card.id);
        if apart.iter().any(|(field, _)| *field == edit.field()) {
            return false;
        }
        match edit {
            Edit::Stem { stem } => *stem == self.card.stem,
            Edit::Answers { answers } => *answers == self.card.answers,
            Edit::Wording { also, .. } => {
                let lapsed = self.workbench.edits.lapsed_wordings(self.card);
                lapsed.is_empty() && self.card.wordings() == *also
            }
            Edit::Why { why } => *why == self.card.why,
            Edit::Cautions { cautions } => *cautions == self.card.cautions,
            _ => false,
        }
    }

    fn has_wordings(&self) -> bool {
        self.card
            .answers
            .first()
            .is_some_and(|a| !a.also.is_empty())
    }

    fn changes_own_answer(&self, edit: &Edit) -> bool {
        let Edit::Answers { answers } = edit else {
            return false;
        };
        answers.first().map(|a| &a.steps) != self.card.answers.first().map(|a| &a.steps)
    }

    fn safe(&self, text: &str) -> Result<(), AppError> {
        let words = &self.workbench.words;
        match unsafe_acts::unsafe_in_text(text, self.board, words) {
            None => Ok(()),
            Some(danger) => Err(self.refused(
                format!("that is {}. {}", danger.what, danger.why),
                "an unsafe act is never an answer; the maker's instructions and local rules come first",
            )),
        }
    }

    fn stem(&self, text: &str) -> Result<Edit, AppError> {
        let built = self
            .workbench
            .edits
            .built(&self.card.id)
            .unwrap_or(self.card);
        if text.is_empty() && !built.stem.is_empty() {
            let why = "this card asks in words and needs some";
            return Err(self.refused(why, "write the question"));
        }
        let card = Card {
            stem: text.to_owned(),
            ..self.card.clone()
        };
        self.hides_its_answer(&card)?;
        Ok(Edit::Stem {
            stem: text.to_owned(),
        })
    }

    /// Refuses a card whose front would give its answer away.
    fn hides_its_answer(&self, card: &Card) -> Result<(), AppError> {
        let on = |card: &Card| {
            if card.sides.is_empty() {
                leak::leak(card, self.board)
            } else {
                leak::leak_of_sides(card, self.board)
            }
        };
        // What the front says already was judged by the builder; only what is new is judged here.
        let on_front = on(card).filter(|_| on(self.card).is_none());
        let points = || {
            let needed = card.points.iter().filter(|point| point.needed).count();
            let said = judge_points(&card.stem, &card.points, self.board, &Synonyms::default());
            let hits = card.points.iter().zip(&said.hits);
            let named = hits.filter(|(point, hit)| point.needed && **hit).count();
            (0 < needed && named == needed)
                .then(|| "the question says every point needed".to_owned())
        };
        let found = on_front
            .or_else(|| leak::leak_of_text(&card.stem, card, self.board))
            .or_else(points);
        match found {
            None => Ok(()),
            Some(what) => Err(self.refused(
                format!("its front would then give the answer away: {what}"),
                "say it without the part, its net or its circuit",
            )),
        }
    }

    fn answers(&self, text: &str) -> Result<(Edit, Vec<String>), AppError> {
        if page::own_answer(self.card).is_none() {
            let why = "its answer is no repair: it is judged by its points";
            let todo = match self.card.kind {
                CardKind::Rule => "mend the deck it came with, or tag it out",
                _ => "mend the jobs behind it and build the deck again, or tag it out",
            };
            return Err(self.refused(why, todo));
        }
        let typed = answers::read(text, self.card, self.board).map_err(|error| {
            let todo = "write it as: replace U31; reflow L12 + clean J2";
            self.refused(clean(&error.to_string()), todo)
        })?;
        self.safe_answers(&typed)?;
        self.fits_the_circuit(&typed)?;
        let card = Card {
            answers: typed.clone(),
            ..self.card.clone()
        };
        self.hides_its_answer(&card)?;
        let said = match self.board {
            Some(board) => answers::unlisted(&typed, board)
                .iter()
                .map(|part| {
                    let name = clean(&board.name);
                    format!(
                        "To check: {} is not in the list of parts of {name}.",
                        clean(part)
                    )
                })
                .collect(),
            None => Vec::new(),
        };
        Ok((Edit::Answers { answers: typed }, said))
    }

    /// The first question stays: an answer whose parts all belong to other circuits would make it wrong.
    fn fits_the_circuit(&self, typed: &[Answer]) -> Result<(), AppError> {
        let (Some(board), Some(own)) = (self.board, typed.first()) else {
            return Ok(());
        };
        let right = |family: &String| {
            *family == self.card.family || self.card.contributing.contains(family)
        };
        let of_part = |part: &str| board.parts.get(part)?.family.as_ref();
        let families: Vec<Option<&String>> = own.steps.iter().map(|s| of_part(&s.part)).collect();
        let elsewhere = families
            .iter()
            .all(|family| family.is_some_and(|f| !right(f)));
        if !self.card.kind.asks_circuit() || !elsewhere {
            return Ok(());
        }
        let other = families
            .into_iter()
            .flatten()
            .next()
            .map_or("", String::as_str);
        Err(self.refused(
            format!(
                "its question asks for the circuit {}, and that answer lies in {}",
                clean(&self.card.family),
                clean(other)
            ),
            "tag the card out; a job with the right fix makes a card of its own",
        ))
    }

    fn safe_answers(&self, typed: &[Answer]) -> Result<(), AppError> {
        for answer in typed {
            let pairs = answer.steps.iter();
            let pairs: Vec<(&str, &str)> = pairs.map(|s| (&*s.act, &*s.part)).collect();
            if let Some(danger) = unsafe_acts::unsafe_steps(&pairs, self.board) {
                return Err(self.refused(
                    format!("that is {}. {}", danger.what, danger.why),
                    "an unsafe act is never an answer; the maker's instructions and local rules come \
                     first",
                ));
            }
        }
        Ok(())
    }

    fn also(&self, text: &str) -> Result<(Edit, Vec<String>), AppError> {
        let also: Vec<String> = text
            .split(';')
            .map(|wording| wording.split_whitespace().collect::<Vec<_>>().join(" "))
            .filter(|wording| !wording.is_empty())
            .collect();
        let Some(own) = page::own_answer(self.card) else {
            return self.whole_answers(also);
        };
        for wording in &also {
            self.safe(wording)?;
            if let Some(other) = answers::other_part(wording, own) {
                return Err(self.refused(
                    format!("{other} is another part than the answer's"),
                    "a wording says the same answer in other words; another fix is an answer of its \
                     own",
                ));
            }
        }
        let said = self.no_longer_right(&also).into_iter().collect();
        let accepted = String::new();
        Ok((Edit::Wording { also, accepted }, said))
    }

    /// Takes whole answers in other words where no repair is asked: each is right by itself from now on.
    fn whole_answers(&self, also: Vec<String>) -> Result<(Edit, Vec<String>), AppError> {
        for wording in &also {
            self.safe(wording)?;
            let words = &self.workbench.words;
            if let Some((why, todo)) = whole::wrong(wording, self.card, self.board, words) {
                return Err(self.refused(clean(&why), todo));
            }
        }
        let before = self.card.wordings();
        let new: Vec<&String> = also.iter().filter(|w| !before.contains(w)).collect();
        let said = match new.len() {
            0 => Vec::new(),
            1 => vec!["Who types just that is right, for as long as its answer stays.".to_owned()],
            n => vec![format!(
                "Each of these {n} is right by itself, for as long as its answer stays."
            )],
        };
        let said = said.into_iter().chain(self.no_longer_right(&also));
        let said = said.collect();
        let accepted = self.card.accepted_mark();
        Ok((Edit::Wording { also, accepted }, said))
    }

    /// Says which wordings were not typed again: the list is typed over as a whole.
    fn no_longer_right(&self, also: &[String]) -> Option<String> {
        let gone: Vec<String> = self
            .card
            .wordings()
            .iter()
            .filter(|wording| !also.contains(wording))
            .map(|wording| format!("\"{}\"", clean(wording)))
            .collect();
        (!gone.is_empty()).then(|| format!("No longer among them: {}.", gone.join(", ")))
    }

    fn why(&self, text: &str) -> Result<Edit, AppError> {
        if text.is_empty() {
            return Err(self.refused("a card says why", "write the reason in a line or two"));
        }
        self.safe(text)?;
        Ok(Edit::Why {
            why: text.to_owned(),
        })
    }

    fn cautions(&self, text: &str) -> Result<Edit, AppError> {
        let ids = || caution::CAUTIONS.iter().map(|caution| caution.id);
        let mut cautions: Vec<String> = Vec::new();
        for id in text.split([',', ';']).map(|id| id.trim().to_lowercase()) {
            if id.is_empty() || cautions.contains(&id) {
                continue;
            }
            if caution::caution(&id).is_none() {
                let all: Vec<&str> = ids().collect();
                let why = format!("no hazard is called {}", clean(&id));
                return Err(self.refused(why, format!("there are {}", all.join(", "))));
            }
            cautions.push(id);
        }
        let built = self
            .workbench
            .edits
            .built(&self.card.id)
            .unwrap_or(self.card);
        if let Some(gone) = built.cautions.iter().find(|id| !cautions.contains(id)) {
            return Err(self.refused(
                format!(
                    "the caution {} comes from the board and its jobs and stays on the card",
                    clean(gone)
                ),
                format!(
                    "cautions are only added: write {} before what you add; a wrong one is mended in \
                     the board's file",
                    clean(&built.cautions.join(", "))
                ),
            ));
        }
        Ok(Edit::Cautions { cautions })
    }
}
