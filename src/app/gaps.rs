//! Gaps: what spot checks say about one person, about everyone, and what a longer measurement buys.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::app::practice;
use crate::app::practice::Options;
use crate::app::record;
use crate::app::record::Lines;
use crate::app::record::Record;
use crate::app::workbench::AppError;
use crate::app::workbench::Facts;
use crate::app::workbench::Workbench;
use crate::domain::card::Card;
use crate::domain::gaps::order;
use crate::domain::gaps::order::Against;
use crate::domain::gaps::precision;
use crate::domain::gaps::precision::Precision;
use crate::domain::gaps::row;
use crate::domain::gaps::row::Holding;
use crate::domain::gaps::row::Row;
use crate::domain::gaps::row::Share;
use crate::domain::gaps::row::State;
use crate::domain::gaps::spots::Answers;
use crate::domain::gaps::spots::Spot;
use crate::domain::gaps::spots::Window;
use crate::domain::history::History;
use crate::domain::queue;
use crate::domain::shop::Person;
use crate::domain::text::clean;
use crate::domain::units::count;
use crate::domain::wording;

/// Days that count unless told otherwise.
pub const DAYS: u32 = 90;
/// Spot checks of a longer measurement begun on the screen.
pub const MEASURE: usize = 20;

/// The spot checks of one card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CardLine {
    /// Card id.
    pub card: String,
    /// Board's name, or that the card is out of use.
    pub board: String,
    /// Its answer, which the person has seen.
    pub answer: String,
    /// Circuit right.
    pub circuit: Share,
    /// Fix right where typed.
    pub fix: Share,
    /// Wrong circuits said, one for each time.
    pub said: Vec<String>,
    /// Bench day of the latest.
    pub last: NaiveDate,
}

/// One family of one person.
#[derive(Clone, Debug, PartialEq)]
pub struct GapLine {
    /// Family id.
    pub id: String,
    /// Name a person reads.
    pub name: String,
    /// How it stands against the person's other families together; none where it is not measured.
    pub against: Option<Against>,
    /// Families of that standing.
    pub in_group: usize,
    /// Everything counted.
    pub row: Row,
    /// What [`MEASURE`] more spot checks would buy, as far as they can be asked today.
    pub buys: Option<Precision>,
    /// Cards spot-checked, worst first.
    pub cards: Vec<CardLine>,
}

/// The gaps of one person.
#[derive(Clone, Debug, PartialEq)]
pub struct Gaps {
    /// Person folder.
    pub person: String,
    /// Initials.
    pub initials: String,
    /// Days that count; 0 for all.
    pub days: u32,
    /// First of them; none for all.
    pub from: Option<NaiveDate>,
    /// Today.
    pub to: NaiveDate,
    /// All families together.
    pub whole: Row,
    /// Families: first those lower than the rest, then those like it, then those higher, then those not
    /// measured enough, then the unmeasured; the shop's order within each.
    pub lines: Vec<GapLine>,
    /// Damage found while reading.
    pub faults: Vec<String>,
}

/// Returns the gaps of `person` over the last `days` days; only one family's lines where one is named.
pub fn gaps(
    workbench: &Workbench,
    person: &Person,
    days: u32,
    family: Option<&str>,
    now: DateTime<Utc>,
) -> Result<Gaps, AppError> {
    known_family(workbench, family)?;
    let (record, of_person) = record::in_full(workbench, &person.id, now)?;
    let day = workbench.day(now);
    let window = Window::last(days, day);
    let cards = practice::cards_for(workbench, &record, person, &Options::default())?;
    let answers = measured(workbench, &of_person, window, true);
    let archive = workbench.archive()?;
    let shares = queue::job_shares(&cards, &archive.jobs, day, &workbench.shop.incoming);
    let holdings = holdings(&cards, &record.history, &shares, day);
    let in_use = by_id(workbench);
    let mut lines: Vec<GapLine> = families(workbench, &cards, &answers)
        .into_iter()
        .map(|(id, name)| {
            let row = row::row(Some(&id), &answers, &holdings);
            GapLine {
                against: None,
                in_group: 0,
                buys: buys(row.circuit, row.held.askable),
                cards: cards_behind(workbench, &in_use, &id, &answers),
                name: clean(&name),
                id: clean(&id),
                row,
            }
        })
        .collect();
    lines = in_order(lines);
    lines.retain(|line| family.is_none_or(|family| line.id == clean(family)));
    let mut faults = workbench.fault_lines(&workbench.faults);
    faults.extend(workbench.fault_lines(&record.faults));
    faults.extend(workbench.fault_lines(&archive.faults));
    Ok(Gaps {
        person: person.id.clone(),
        initials: clean(&person.initials),
        days,
        from: window.from,
        to: window.to,
        whole: row::row(None, &answers, &holdings),
        lines,
        faults,
    })
}

/// Returns the gaps of everyone in the shop, in the order of their names.
pub fn everyone(
    workbench: &Workbench,
    days: u32,
    family: Option<&str>,
    now: DateTime<Utc>,
) -> Result<Vec<Gaps>, AppError> {
    known_family(workbench, family)?;
    workbench
        .people()?
        .iter()
        .map(|person| gaps(workbench, person, days, family, now))
        .collect()
}

/// Returns the person named, or the only one; who is unknown is told who there is.
pub fn person(workbench: &Workbench, id: Option<&str>) -> Result<Person, AppError> {
    match workbench.person(id) {
        Err(AppError::NoPerson { id }) => Err(AppError::Unknown {
            what: "person",
            id,
            known: workbench.people()?.into_iter().map(|p| p.id).collect(),
        }),
        other => other,
    }
}

fn known_family(workbench: &Workbench, family: Option<&str>) -> Result<(), AppError> {
    match family {
        Some(id) if workbench.circuits.get(id).is_none() => Err(AppError::Unknown {
            what: "circuit family",
            id: id.to_owned(),
            known: workbench.family_ids(),
        }),
        _ => Ok(()),
    }
}

/// Returns the answers of a person that measure.
pub fn measured(workbench: &Workbench, lines: &Lines, window: Window, replay: bool) -> Answers {
    lines.measured(
        &Facts::ids(workbench),
        &family_of(workbench),
        window,
        replay,
    )
}

/// Returns the answers that measure within the last [`DAYS`] up to the `day` of the record.
pub fn measured_of_late(workbench: &Workbench, record: &Record, day: NaiveDate) -> Answers {
    record.measured_of_late(&family_of(workbench), day)
}

/// Returns what knows the family of a card. Few answers name no circuit; without one the cards need
/// not be gone through.
fn family_of(workbench: &Workbench) -> impl Fn(&str) -> Option<String> {
    let cards = OnceCell::new();
    move |id: &str| {
        let by_id: &BTreeMap<&str, &Card> = cards.get_or_init(|| by_id(workbench));
        by_id.get(id).map(|card| card.family.clone())
    }
}

/// Returns every card in use by its id.
fn by_id(workbench: &Workbench) -> BTreeMap<&str, &Card> {
    let cards = workbench.cards().into_iter();
    cards.map(|card| (card.id.as_str(), card)).collect()
}

/// Returns what a person holds of each card.
fn holdings(cards: &[&Card], history: &History, shares: &[f64], day: NaiveDate) -> Vec<Holding> {
    cards
        .iter()
        .zip(shares)
        .map(|(card, share)| {
            let known = history.cards.get(&card.id);
            Holding {
                family: card.family.clone(),
                share: *share,
                met: history.met(&card.id),
                recall: history.recall(&card.id, day),
                askable: known.is_some_and(|c| c.memory.is_some() && c.seen_on != Some(day)),
            }
        })
        .collect()
}

/// Returns the families with cards or answers, as id and name, in the shop's order; those that the
/// shop no longer knows come last.
fn families(workbench: &Workbench, cards: &[&Card], answers: &Answers) -> Vec<(String, String)> {
    let of_a_circuit = cards.iter().filter(|card| card.asks_circuit());
    let mut there: BTreeSet<&str> = of_a_circuit.map(|card| card.family.as_str()).collect();
    let answered = answers.spots.iter().chain(&answers.cold);
    there.extend(answered.map(|spot| spot.family.as_str()));
    there.remove("");
    let mut found: Vec<(String, String)> = Vec::new();
    for family in workbench.circuits.all() {
        if there.remove(family.id.as_str()) {
            found.push((family.id.clone(), family.name.clone()));
        }
    }
    found.extend(there.into_iter().map(|id| (id.to_owned(), id.to_owned())));
    found
}

/// Puts families in order without saying more than is known.
fn in_order(mut lines: Vec<GapLine>) -> Vec<GapLine> {
    let shares: Vec<Share> = lines.iter().map(|line| line.row.circuit).collect();
    let standings = order::against(&shares);
    for (line, standing) in lines.iter_mut().zip(&standings) {
        line.against = *standing;
        line.in_group = standing.map_or(0, |_| {
            standings.iter().filter(|other| *other == standing).count()
        });
    }
    let place = |line: &GapLine| match (line.against, line.row.circuit.state()) {
        (Some(against), _) => (0, Some(against)),
        (None, State::Unmeasured) => (2, None),
        (None, _) => (1, None),
    };
    // A stable sort: the shop's order within each.
    lines.sort_by_key(place);
    lines
}

fn buys(circuit: Share, askable: usize) -> Option<Precision> {
    let more = askable.min(MEASURE);
    (0 < more)
        .then(|| precision::precision(circuit.right, circuit.asked, more))
        .flatten()
}

/// Returns the cards spot-checked in one family, worst first.
fn cards_behind(
    workbench: &Workbench,
    in_use: &BTreeMap<&str, &Card>,
    family: &str,
    answers: &Answers,
) -> Vec<CardLine> {
    let mut by_card: BTreeMap<&str, Vec<&Spot>> = BTreeMap::new();
    for spot in answers.spots.iter().filter(|s| s.family == family) {
        by_card.entry(&spot.card).or_default().push(spot);
    }
    let mut found: Vec<CardLine> = by_card
        .into_iter()
        .filter_map(|(id, asked)| {
            let card = in_use.get(id);
            let board = card.and_then(|c| workbench.boards.iter().find(|b| b.id == c.board));
            let share = |verdict: fn(&Spot) -> Option<bool>| {
                let verdicts = || asked.iter().filter_map(|s| verdict(s));
                Share {
                    right: verdicts().filter(|right| *right).count(),
                    asked: verdicts().count(),
                }
            };
            let wrong = asked.iter().filter(|s| s.circuit == Some(false));
            Some(CardLine {
                card: id.to_owned(),
                board: match (board, card) {
                    (Some(board), _) => clean(&board.name),
                    (None, Some(card)) => clean(&card.board),
                    (None, None) => "out of use".to_owned(),
                },
                answer: card
                    .and_then(|c| c.answers.first())
                    .map_or_else(String::new, wording::answer_text),
                circuit: share(|s| s.circuit),
                fix: share(|s| s.fix),
                said: wrong
                    .filter_map(|s| s.said.as_deref())
                    .map(said_words)
                    .collect(),
                last: asked.iter().map(|s| s.day).max()?,
            })
        })
        .collect();
    let missed = |card: &CardLine| {
        let wrong = |share: Share| share.asked - share.right;
        wrong(card.circuit) + wrong(card.fix)
    };
    found.sort_by(|a, b| {
        missed(b)
            .cmp(&missed(a))
            .then_with(|| b.last.cmp(&a.last))
            .then_with(|| a.card.cmp(&b.card))
    });
    found
}

/// Returns a circuit said, or that it was not known.
pub fn said_words(said: &str) -> String {
    if said.is_empty() {
        "not known".to_owned()
    } else {
        clean(said)
    }
}

/// What a sitting of spot checks will measure, known before it begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurement {
    /// Family measured; none for all.
    pub family: Option<String>,
    /// Spot checks wanted.
    pub wanted: usize,
    /// Of them those that can be asked: cards met and not seen today.
    pub can_ask: usize,
    /// Of them those that fit into the minutes at the person's pace.
    pub fit: usize,
    /// Minutes of the sitting.
    pub minutes: f64,
    /// Circuit right so far, over the last [`DAYS`] days.
    pub so_far: Share,
    /// What they will buy; none where nothing can be asked.
    pub precision: Option<Precision>,
}

/// Returns what `can_ask` spot checks out of those wanted will buy.
pub fn measurement(
    workbench: &Workbench,
    record: &Record,
    options: &Options,
    can_ask: usize,
    day: NaiveDate,
) -> Measurement {
    let answers = measured_of_late(workbench, record, day);
    let so_far = row::row(options.family.as_deref(), &answers, &[]).circuit;
    let seconds = options.minutes * 60.0;
    let pace = record.history.pace.seconds();
    // One card is asked however short the sitting.
    let fit = (1..=can_ask)
        .take_while(|n| *n == 1 || count(*n) * pace <= seconds)
        .count();
    Measurement {
        family: options.family.as_deref().map(clean),
        wanted: options.only_spot_checks.unwrap_or(0),
        can_ask,
        fit,
        minutes: options.minutes,
        so_far,
        precision: (0 < fit)
            .then(|| precision::precision(so_far.right, so_far.asked, fit))
            .flatten(),
    }
}

impl Measurement {
    /// Returns what it will buy, as one or two sentences.
    pub fn sentence(&self) -> String {
        let on = self
            .family
            .as_ref()
            .map_or_else(String::new, |family| format!(" on {family}"));
        let Some(precision) = &self.precision else {
            return format!(
                "No spot check{on} can be asked today: they are drawn from cards met, not seen today."
            );
        };
        let checks = if precision.more == 1 {
            "check"
        } else {
            "checks"
        };
        let mut said = vec![format!(
            "{} spot {checks}{on}: {}.",
            precision.more,
            promise(precision)
        )];
        if self.can_ask < self.wanted {
            said.push(format!(
                "Asked for {}; only {} of the cards are met and not seen today.",
                self.wanted, self.can_ask
            ));
        }
        if self.fit < self.can_ask {
            said.push(format!(
                "At your pace {} of {} fit into {} minutes.",
                self.fit, self.can_ask, self.minutes
            ));
        }
        said.join(" ")
    }
}

/// Returns `the interval will be about 34 points wide (at worst 40); now 62`.
pub fn promise(precision: &Precision) -> String {
    let points = |width: f64| format!("{:.0}", width * 100.0);
    let now = precision.now.map_or_else(
        || "nothing is measured yet".to_owned(),
        |now| format!("now {}", points(now)),
    );
    format!(
        "the interval will be about {} points wide (at worst {}); {now}",
        points(precision.expected),
        points(precision.worst)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(id: &str, right: usize, asked: usize) -> GapLine {
        let mut row = row::row(None, &Answers::default(), &[]);
        row.circuit = Share { right, asked };
        GapLine {
            id: id.to_owned(),
            name: id.to_owned(),
            against: None,
            in_group: 0,
            row,
            buys: None,
            cards: Vec::new(),
        }
    }

    #[test]
    fn only_what_lies_apart_is_ranked_and_the_rest_keeps_the_shops_order() {
        // Wilson 95 % by statsmodels 0.15.0: 180/200 0.851 to 0.934, 1/29 0.006 to 0.172, 37/50 0.604
        // to 0.841, 17/20 0.640 to 0.948; 7/10 is 50 points wide.
        let lines = in_order(vec![
            line("untried", 0, 0),
            line("few", 7, 10),
            line("high", 180, 200),
            line("low", 1, 29),
            line("middle", 37, 50),
            line("fair", 17, 20),
            line("fewer", 0, 1),
        ]);
        let seen: Vec<(&str, Option<Against>, usize)> = lines
            .iter()
            .map(|l| (l.id.as_str(), l.against, l.in_group))
            .collect();
        let expected = [
            ("low", Some(Against::Lower), 1),
            ("middle", Some(Against::Alike), 2),
            ("fair", Some(Against::Alike), 2),
            ("high", Some(Against::Higher), 1),
            ("few", None, 0),
            ("fewer", None, 0),
            ("untried", None, 0),
        ];
        assert_eq!(seen, expected);
    }

    fn measurement(wanted: usize, can_ask: usize, fit: usize) -> Measurement {
        Measurement {
            family: Some("buck".to_owned()),
            wanted,
            can_ask,
            fit,
            minutes: 7.5,
            so_far: Share { right: 5, asked: 9 },
            precision: precision::precision(5, 9, fit).filter(|_| 0 < fit),
        }
    }

    #[test]
    fn a_measurement_says_what_it_buys_and_what_it_cannot_ask() {
        // 5 of 9: 0.2667 to 0.8112, by hand from Wilson 1927.
        let whole = measurement(20, 20, 20).sentence();
        assert!(whole.starts_with("20 spot checks on buck: the interval will be about "));
        assert!(whole.ends_with("; now 54."), "{whole}");
        let short = measurement(20, 6, 4).sentence();
        assert!(
            short.contains("Asked for 20; only 6 of the cards"),
            "{short}"
        );
        assert!(short.contains("4 of 6 fit into 7.5 minutes"), "{short}");
        let none = measurement(20, 0, 0).sentence();
        assert!(
            none.starts_with("No spot check on buck can be asked today"),
            "{none}"
        );
    }
}
