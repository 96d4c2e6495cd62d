//! The bytes of a snapshot of a person's count.
//!
//! ```text
//! prefix    magic; length of the head (4)
//! head      key; the journals it was made from      then its CRC-32 (4)
//! body      the count                               then its CRC-32 (4), the last bytes of the file
//! ```
//!
//! Whatever differs, is cut off or has another sum gives none. Numbers are little-endian, days count from
//! the common era.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::Datelike;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::desk::doubts::Doubt;
use crate::domain::history::CardHistory;
use crate::domain::history::ClockWarning;
use crate::domain::history::History;
use crate::domain::history::Pace;
use crate::domain::known_cards::KnownCards;
use crate::domain::manner::Lately;
use crate::domain::manner::Manner;
use crate::domain::memory;
use crate::domain::memory::Memory;
use crate::domain::memory::Weights;
use crate::domain::names::Names;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::TagReason;
use crate::domain::review::Verdict;
use crate::domain::stamps::Onward;
use crate::domain::tally::Counted;
use crate::domain::tally::Measure;
use crate::domain::tally::Seen;
use crate::domain::tally::Tally;
use crate::domain::tape::Short;
use crate::store::fault::Fault;
use crate::store::journal_read::End;
use crate::store::packed::From;
use crate::store::packed::To;
use crate::store::snapshot::Note;
use crate::store::snapshot::Snapshot;

/// Begins every snapshot; the number rises with the format.
const MAGIC: &[u8] = b"benchlore count 1\n";
/// Bytes that tell how long the head is.
pub(crate) const PREFIX: usize = MAGIC.len() + 4;
const SUM: usize = 4;
/// Stands for no day.
const NEVER: i32 = i32::MIN;

/// Returns how many bytes of the file hold the prefix and the head with its sum.
pub(crate) fn head_length(prefix: &[u8]) -> Option<usize> {
    let mut from = From { bytes: prefix };
    (from.take(MAGIC.len())? == MAGIC).then_some(())?;
    let length = usize::try_from(from.short()?).ok()?;
    length.checked_add(PREFIX + SUM)
}

/// Returns the journals that a snapshot was made from, whatever its key.
pub(crate) fn notes(bytes: &[u8]) -> Option<Vec<Note>> {
    let (head, _) = split(bytes)?;
    let mut from = From { bytes: head };
    from.text()?;
    read_notes(&mut from)
}

/// Returns the journals that a snapshot was made from, and its body, if it was made under `key`.
pub(crate) fn head<'a>(bytes: &'a [u8], key: &str) -> Option<(Vec<Note>, &'a [u8])> {
    let (head, body) = split(bytes)?;
    let mut from = From { bytes: head };
    (from.text()? == key).then_some(())?;
    Some((read_notes(&mut from)?, body))
}

fn split(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let (head, body) = bytes.split_at_checked(head_length(bytes.get(..PREFIX)?)?)?;
    Some((summed(head)?.get(PREFIX..)?, body))
}

/// Returns the bytes before a sum that fits them.
fn summed(bytes: &[u8]) -> Option<&[u8]> {
    let (bytes, sum) = bytes.split_at_checked(bytes.len().checked_sub(SUM)?)?;
    (crc32fast::hash(bytes).to_le_bytes() == sum).then_some(bytes)
}

fn read_notes(from: &mut From<'_>) -> Option<Vec<Note>> {
    let read = |from: &mut From<'_>| {
        Some(Note {
            person: from.text()?.to_owned(),
            bench: from.text()?.to_owned(),
            length: from.number()?,
            sum: from.short()?,
            end: End {
                highest: from.number()?,
                next_seq: from.number()?,
                lines: from.number()?,
                claimed: list(from, From::number)?,
            },
        })
    };
    let notes = list(from, read)?;
    from.bytes.is_empty().then_some(notes)
}

/// Returns the bytes of a snapshot made under `key`.
pub(crate) fn encode(snapshot: &Snapshot, key: &str) -> Vec<u8> {
    let mut head = To::default();
    head.text(key);
    head.count(snapshot.notes.len());
    for note in &snapshot.notes {
        head.text(&note.person);
        head.text(&note.bench);
        head.number(note.length);
        head.short(note.sum);
        head.number(note.end.highest);
        head.number(note.end.next_seq);
        head.number(note.end.lines);
        head.count(note.end.claimed.len());
        note.end.claimed.iter().for_each(|n| head.number(*n));
    }
    let mut out = To::default();
    out.bytes.extend(MAGIC);
    out.count(head.bytes.len());
    out.bytes.extend(head.bytes);
    let sum = crc32fast::hash(&out.bytes);
    out.short(sum);
    let start = out.bytes.len();
    write_body(snapshot, &mut out);
    let sum = crc32fast::hash(&out.bytes[start..]);
    out.short(sum);
    out.bytes
}

fn write_body(snapshot: &Snapshot, to: &mut To) {
    let tally = &snapshot.tally;
    to.number(snapshot.deck);
    to.count(snapshot.corrected.len());
    snapshot.corrected.iter().for_each(|n| to.short(*n));
    to.count(snapshot.faults.len());
    snapshot.faults.iter().for_each(|fault| to.fault(fault));
    to.byte(u8::from(tally.regular));
    to.count(tally.journals.len());
    for journal in &tally.journals {
        to.text(&journal.person);
        to.text(&journal.bench);
        to.number(journal.highest);
        let Onward {
            peak,
            floor,
            believed,
        } = journal.onward;
        for at in [peak, floor, believed, journal.effective] {
            to.byte(u8::from(at.is_some()));
            moment(at.unwrap_or_default(), to);
        }
    }
    to.byte(u8::from(tally.last.is_some()));
    if let Some((at, bench, seq, person)) = &tally.last {
        moment(*at, to);
        to.text(bench);
        to.number(*seq);
        to.text(person);
    }
    to.count(tally.moved.len());
    for (sitting, person) in &tally.moved {
        to.text(sitting);
        to.text(person);
    }
    to.count(tally.loose.len());
    tally.loose.iter().for_each(|id| to.text(id));
    to.count(tally.odd.len());
    for (warning, numbers) in &tally.odd {
        to.text(&warning.person);
        to.text(&warning.bench);
        to.number(warning.seq);
        to.text(&warning.why);
        to.byte(u8::from(warning.moved));
        to.text(numbers);
    }
    to.count(tally.doubts.len());
    for doubt in &tally.doubts {
        to.text(&doubt.card);
        to.text(&doubt.person);
        moment(doubt.at, to);
        day(Some(doubt.day), to);
        to.text(&doubt.note);
    }
    write_history(&tally.history, to);
    write_seen(&tally.seen, to);
}

fn write_history(history: &History, to: &mut To) {
    to.count(history.tags.len());
    for (card, (reason, note)) in &history.tags {
        to.text(card);
        to.byte(place(&TagReason::ALL, reason));
        to.text(note);
    }
    to.count(history.spot_checks.len());
    for (family, count) in &history.spot_checks {
        to.text(family);
        to.number(*count as u64);
    }
    for window in history.pace.windows() {
        to.count(window.len());
        for ms in window {
            to.number(*ms);
        }
    }
    for mean in means(&history.manner) {
        to.number(mean.sum.to_bits());
        to.number(mean.weight.to_bits());
    }
    let weights = history.weights.get();
    for p in weights {
        to.number(p.to_bits());
    }
    to.number(history.scored.reviews as u64);
    to.byte(u8::from(history.scored.at_fit.is_some()));
    to.number(history.scored.at_fit.unwrap_or(0) as u64);
    to.count(history.cards.len());
    let bytes: usize = history.cards.keys().map(str::len).sum();
    to.count(bytes);
    for (id, card) in history.cards.iter() {
        to.text(id);
        to.byte(u8::from(card.memory.is_some()) | (u8::from(card.guessed_wrong) << 1));
        let memory = card.memory.unwrap_or(Memory {
            stability: 0.0,
            difficulty: 0.0,
        });
        to.number(memory.stability.to_bits());
        to.number(memory.difficulty.to_bits());
        for on in [card.reviewed_on, card.seen_on, card.met_on, card.right_on] {
            day(on, to);
        }
        to.short(card.reviews);
        to.text(&card.accepted);
    }
}

/// The means of a manner in a fixed order; [`manner`] takes them back.
fn means(manner: &Manner) -> [Lately; 11] {
    let Manner {
        right: [without, with],
        missed,
        again,
        first,
        guesses,
        returns,
        reviews,
        grades: [hunted, named, on_sight],
    } = *manner;
    [
        without, with, missed, again, first, guesses, returns, reviews, hunted, named, on_sight,
    ]
}

fn manner(means: [Lately; 11]) -> Manner {
    let [
        without,
        with,
        missed,
        again,
        first,
        guesses,
        returns,
        reviews,
        hunted,
        named,
        on_sight,
    ] = means;
    Manner {
        right: [without, with],
        missed,
        again,
        first,
        guesses,
        returns,
        reviews,
        grades: [hunted, named, on_sight],
    }
}

fn write_seen(seen: &Seen, to: &mut To) {
    to.count(seen.last_on.len());
    seen.last_on.iter().for_each(|on| day(Some(*on), to));
    to.count(seen.sittings.len());
    seen.sittings.iter().for_each(|id| to.text(id));
    day(Some(seen.from), to);
    to.count(seen.days.len());
    for (on, answers) in &seen.days {
        day(Some(*on), to);
        to.number(*answers as u64);
    }
    to.count(seen.names.len());
    let numbers = 0..u32::try_from(seen.names.len()).unwrap_or(u32::MAX);
    numbers.for_each(|n| to.text(seen.names.get(n)));
    to.count(seen.measures.len());
    for measure in &seen.measures {
        let short = &measure.short;
        to.short(measure.card);
        day(Some(measure.day), to);
        to.byte(u8::from(measure.cold));
        let (asked, said) = short.circuit.unwrap_or((u32::MAX, u32::MAX));
        to.short(asked);
        to.short(said);
        to.byte(place(&Mode::ALL, &short.mode));
        to.byte(place(&Grade::ALL, &short.grade));
        to.byte(place(&Grade::ALL, &short.proposed));
        to.byte(place(&Sure::ALL, &short.sure));
        to.byte(u8::from(short.aloud));
        to.byte(u8::from(short.overruled));
        to.byte(u8::from(short.verdict.unsafe_answer));
        for verdict in [short.verdict.circuit, short.verdict.fix] {
            to.byte(verdict.map_or(2, u8::from));
        }
        for ms in [short.ms.circuit, short.ms.answer, short.ms.reveal] {
            to.number(ms);
        }
        to.short(short.next_days);
    }
}

/// Count, faults, mark of the deck, and the cards that were corrected.
type Body = (Tally, Vec<Fault>, u64, Vec<u32>);

/// Reads the count of `person`.
pub(crate) fn body(bytes: &[u8], person: &str) -> Option<Body> {
    let mut from = From {
        bytes: summed(bytes)?,
    };
    let from = &mut from;
    let deck = from.number()?;
    let corrected = list(from, From::short)?;
    let faults = list(from, From::fault)?;
    let regular = from.byte()? == 1;
    let journals = list(from, read_counted)?;
    let last = match from.byte()? {
        0 => None,
        _ => Some((
            read_moment(from)?,
            from.text()?.to_owned(),
            from.number()?,
            from.text()?.to_owned(),
        )),
    };
    let moved = list(from, |from| Some((text(from)?, text(from)?)))?;
    let loose = list(from, text)?;
    let odd = list(from, |from| {
        let warning = ClockWarning {
            person: text(from)?,
            bench: text(from)?,
            seq: from.number()?,
            why: text(from)?,
            moved: from.byte()? == 1,
        };
        Some((warning, text(from)?))
    })?;
    let doubts = list(from, |from| {
        Some(Doubt {
            card: text(from)?,
            person: text(from)?,
            at: read_moment(from)?,
            day: read_day(from)??,
            note: text(from)?,
        })
    })?;
    let history = read_history(from)?;
    let seen = read_seen(from)?;
    let fits = seen.last_on.len() == history.cards.len() && from.bytes.is_empty();
    let tally = Tally {
        person: person.to_owned(),
        journals,
        regular,
        history,
        seen,
        last,
        moved: moved.into_iter().collect(),
        loose: loose.into_iter().collect::<BTreeSet<String>>(),
        odd,
        doubts,
    };
    fits.then_some((tally, faults, deck, corrected))
}

fn read_counted(from: &mut From<'_>) -> Option<Counted> {
    let (person, bench, highest) = (text(from)?, text(from)?, from.number()?);
    let mut moments = [None; 4];
    for at in &mut moments {
        let there = from.byte()? == 1;
        let moment = read_moment(from)?;
        *at = there.then_some(moment);
    }
    let [peak, floor, believed, effective] = moments;
    Some(Counted {
        person,
        bench,
        highest,
        onward: Onward {
            peak,
            floor,
            believed,
        },
        effective,
    })
}

fn read_history(from: &mut From<'_>) -> Option<History> {
    let tags = list(from, |from| {
        let card = text(from)?;
        let reason = *TagReason::ALL.get(usize::from(from.byte()?))?;
        Some((card, (reason, text(from)?)))
    })?;
    let spot_checks = list(from, |from| {
        Some((text(from)?, usize::try_from(from.number()?).ok()?))
    })?;
    let totals = list(from, From::number)?;
    let right = list(from, From::number)?;
    let mut means = [Lately::default(); 11];
    for mean in &mut means {
        mean.sum = f64::from_bits(from.number()?);
        mean.weight = f64::from_bits(from.number()?);
    }
    let mut weights = [0.0; memory::COUNT];
    for p in &mut weights {
        *p = f64::from_bits(from.number()?);
    }
    let mut history = History::new(Weights::new(weights).ok()?);
    history.scored.reviews = usize::try_from(from.number()?).ok()?;
    let fitted = from.byte()? == 1;
    let at_fit = usize::try_from(from.number()?).ok()?;
    history.scored.at_fit = fitted.then_some(at_fit);
    history.tags = tags.into_iter().collect();
    history.spot_checks = spot_checks.into_iter().collect();
    history.pace = Pace::of_windows(totals, right);
    history.manner = manner(means);
    let (cards, bytes) = (from.count()?, from.count()?);
    history.cards = KnownCards::with_room(cards, bytes);
    let mut days = Days::default();
    for number in 0..cards {
        let id = from.text()?;
        let flags = from.byte()?;
        let memory = Memory {
            stability: f64::from_bits(from.number()?),
            difficulty: f64::from_bits(from.number()?),
        };
        let mut on = [None; 4];
        for day in &mut on {
            *day = days.read(from)?;
        }
        let [reviewed_on, seen_on, met_on, right_on] = on;
        let card = CardHistory {
            memory: (flags & 1 > 0).then_some(memory),
            reviewed_on,
            seen_on,
            met_on,
            right_on,
            reviews: from.short()?,
            guessed_wrong: flags & 2 > 0,
            accepted: from.text()?.to_owned(),
            corrected: false,
        };
        let is_new = history.cards.insert(id, card).is_none();
        (is_new && history.cards.len() == number + 1).then_some(())?;
    }
    Some(history)
}

fn read_seen(from: &mut From<'_>) -> Option<Seen> {
    let mut days = Days::default();
    let last_on = list(from, |from| days.read(from)?)?;
    let sittings = list(from, text)?;
    let first = read_day(from)??;
    let counts = list(from, |from| {
        Some((read_day(from)??, usize::try_from(from.number()?).ok()?))
    })?;
    let mut names = Names::default();
    list(from, |from| Some(names.number(from.text()?)))?;
    let measures = list(from, read_measure)?;
    let known = |n: u32| (n as usize) < names.len();
    let fits = measures.iter().all(|m| {
        let circuits = m
            .short
            .circuit
            .is_none_or(|(asked, said)| known(asked) && known(said));
        circuits && (m.card as usize) < last_on.len()
    });
    fits.then(|| Seen {
        last_on,
        sittings,
        from: first,
        days: counts.into_iter().collect::<BTreeMap<NaiveDate, usize>>(),
        measures,
        names,
    })
}

fn read_measure(from: &mut From<'_>) -> Option<Measure> {
    let (card, day, cold) = (from.short()?, read_day(from)??, from.byte()? == 1);
    let (asked, said) = (from.short()?, from.short()?);
    let mode = *Mode::ALL.get(usize::from(from.byte()?))?;
    let grade = *Grade::ALL.get(usize::from(from.byte()?))?;
    let proposed = *Grade::ALL.get(usize::from(from.byte()?))?;
    let sure = *Sure::ALL.get(usize::from(from.byte()?))?;
    let [aloud, overruled, unsafe_answer] =
        [from.byte()?, from.byte()?, from.byte()?].map(|b| b == 1);
    let [circuit, fix] = [from.byte()?, from.byte()?].map(|b| (b < 2).then_some(b == 1));
    Some(Measure {
        card,
        day,
        cold,
        short: Short {
            card: 0,
            accepted: 0,
            sitting: 0,
            circuit: (asked != u32::MAX).then_some((asked, said)),
            mode,
            grade,
            proposed,
            ms: Millis {
                circuit: from.number()?,
                answer: from.number()?,
                reveal: from.number()?,
            },
            aloud,
            sure,
            overruled,
            verdict: Verdict {
                circuit,
                fix,
                unsafe_answer,
            },
            next_days: from.short()?,
        },
    })
}

/// Reads a number of things, and then so many of them.
fn list<'a, T>(
    from: &mut From<'a>,
    mut read: impl FnMut(&mut From<'a>) -> Option<T>,
) -> Option<Vec<T>> {
    let count = from.count()?;
    let mut found = Vec::with_capacity(count);
    for _ in 0..count {
        found.push(read(from)?);
    }
    Some(found)
}

fn text(from: &mut From<'_>) -> Option<String> {
    from.text().map(str::to_owned)
}

fn place<T: PartialEq>(all: &[T], value: &T) -> u8 {
    let at = all.iter().position(|v| v == value).unwrap_or(usize::MAX);
    u8::try_from(at).unwrap_or(u8::MAX)
}

/// A moment as seconds and nanoseconds, so that none is rounded.
fn moment(at: DateTime<Utc>, to: &mut To) {
    to.bytes.extend(at.timestamp().to_le_bytes());
    to.short(at.timestamp_subsec_nanos());
}

fn read_moment(from: &mut From<'_>) -> Option<DateTime<Utc>> {
    let seconds = i64::from_le_bytes(from.take(8)?.try_into().ok()?);
    DateTime::from_timestamp(seconds, from.short()?)
}

fn day(on: Option<NaiveDate>, to: &mut To) {
    let number = on.map_or(NEVER, |on| on.num_days_from_ce());
    to.bytes.extend(number.to_le_bytes());
}

#[expect(
    clippy::option_option,
    reason = "a day that may be absent, in a file that may be damaged"
)]
fn read_day(from: &mut From<'_>) -> Option<Option<NaiveDate>> {
    let number = i32::from_le_bytes(from.take(4)?.try_into().ok()?);
    if number == NEVER {
        return Some(None);
    }
    NaiveDate::from_num_days_from_ce_opt(number).map(Some)
}

/// Days by their number: a few thousand come again and again.
#[derive(Default)]
struct Days {
    first: i32,
    known: Vec<Option<NaiveDate>>,
}

impl Days {
    /// Days kept at most; those far from the first are worked out each time.
    const MOST: usize = 1 << 15;

    #[expect(
        clippy::option_option,
        reason = "a day that may be absent, in a file that may be damaged"
    )]
    fn read(&mut self, from: &mut From<'_>) -> Option<Option<NaiveDate>> {
        let number = i32::from_le_bytes(from.take(4)?.try_into().ok()?);
        if number == NEVER {
            return Some(None);
        }
        if self.known.is_empty() {
            self.known = vec![None; Self::MOST];
            self.first = number.saturating_sub(1 << 14);
        }
        let at = usize::try_from(i64::from(number) - i64::from(self.first));
        let slot = at.ok().and_then(|at| self.known.get_mut(at));
        if let Some(Some(day)) = slot {
            return Some(Some(*day));
        }
        let day = NaiveDate::from_num_days_from_ce_opt(number)?;
        if let Some(slot) = slot {
            *slot = Some(day);
        }
        Some(Some(day))
    }
}
