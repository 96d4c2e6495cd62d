//! Days as sheets write them: with dots, strokes or dashes, with month names in two languages, short
//! years, serial numbers, or hardly at all.
//!
//! A day that could be two days, has no year, or is not on the calendar is never decided here: the
//! reading says why, and a person does.

use chrono::Datelike;
use chrono::Days;
use chrono::NaiveDate;

use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::sheet::Cell;

/// What a cell of a date column says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DayRead {
    /// The day, or the likeliest one where `doubt` stands.
    pub day: Option<NaiveDate>,
    /// Why a person has to look: `date-order`, `year-missing`, `year-not-plain`, `weekday-only`,
    /// `impossible-date`, `words-beside-date`, `not-a-date`.
    pub doubt: Option<&'static str>,
    /// What is worth telling of a day that is plain: `date-from-serial`.
    pub remark: Option<&'static str>,
}

impl DayRead {
    fn plain(day: NaiveDate) -> Self {
        Self {
            day: Some(day),
            ..Self::default()
        }
    }

    fn doubtful(day: Option<NaiveDate>, doubt: &'static str) -> Self {
        Self {
            day,
            doubt: Some(doubt),
            remark: None,
        }
    }
}

/// Month names, English and German, by their first three letters where those tell them apart.
const MONTHS: [(&str, u32); 17] = [
    ("jan", 1),
    ("jän", 1),
    ("feb", 2),
    ("mar", 3),
    ("mär", 3),
    ("mae", 3),
    ("mrz", 3),
    ("apr", 4),
    ("may", 5),
    ("mai", 5),
    ("jun", 6),
    ("jul", 7),
    ("aug", 8),
    ("sep", 9),
    ("oct", 10),
    ("okt", 10),
    ("nov", 11),
];
const MONTH_NAMES: [&str; 26] = [
    "january",
    "januar",
    "jänner",
    "february",
    "februar",
    "march",
    "märz",
    "maerz",
    "april",
    "may",
    "mai",
    "june",
    "juni",
    "july",
    "juli",
    "august",
    "september",
    "sept",
    "october",
    "oktober",
    "november",
    "december",
    "dezember",
    "dec",
    "dez",
    "mrz",
];
const WEEKDAYS: [&str; 38] = [
    "mon",
    "monday",
    "tue",
    "tues",
    "tuesday",
    "wed",
    "wednesday",
    "thu",
    "thur",
    "thurs",
    "thursday",
    "fri",
    "friday",
    "sat",
    "saturday",
    "sun",
    "sunday",
    "mo",
    "montag",
    "di",
    "dienstag",
    "mi",
    "mittwoch",
    "do",
    "donnerstag",
    "fr",
    "freitag",
    "sa",
    "samstag",
    "so",
    "sonntag",
    "today",
    "yesterday",
    "heute",
    "gestern",
    "sonnabend",
    "th",
    "we",
];

fn month(word: &str) -> Option<u32> {
    if word.starts_with("dec") || word.starts_with("dez") {
        return (MONTH_NAMES.contains(&word)).then_some(12);
    }
    let head: String = word.chars().take(3).collect();
    let whole = word.chars().count() == 3 || MONTH_NAMES.contains(&word);
    let found = MONTHS.iter().find(|(name, _)| *name == head)?;
    whole.then_some(found.1)
}

/// One piece of a date as written.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Piece {
    Number { value: u32, digits: usize },
    Month(u32),
    Weekday,
    Mark(char),
    Other,
}

/// Pieces of a text, at most [`MOST`]; a longer text is no date.
fn pieces(text: &str) -> Option<Vec<Piece>> {
    let mut out = Vec::new();
    let mut rest = text.trim();
    while let Some(c) = rest.chars().next() {
        if MOST <= out.len() {
            return None;
        }
        let run = |f: &dyn Fn(char) -> bool| rest.find(|c| !f(c)).unwrap_or(rest.len());
        let end;
        if c.is_ascii_digit() {
            end = run(&|c| c.is_ascii_digit());
            let value = rest[..end].parse().unwrap_or(u32::MAX);
            out.push(Piece::Number { value, digits: end });
        } else if c.is_alphabetic() {
            end = run(&char::is_alphabetic);
            let word = rest[..end].to_lowercase();
            let ordinal = matches!(word.as_str(), "st" | "nd" | "rd" | "th")
                && matches!(out.last(), Some(Piece::Number { .. }));
            if let Some(month) = month(&word) {
                out.push(Piece::Month(month));
            } else if WEEKDAYS.contains(&word.as_str()) && !ordinal {
                out.push(Piece::Weekday);
            } else if !ordinal {
                out.push(Piece::Other);
            }
        } else {
            end = c.len_utf8();
            match c {
                '.' | '/' | '-' | ':' => out.push(Piece::Mark(c)),
                '\'' | '’' | ',' => {}
                c if c.is_whitespace() => {}
                _ => out.push(Piece::Other),
            }
        }
        rest = &rest[end..];
    }
    Some(out)
}

const MOST: usize = 16;

/// Numbers written like a day: the three of them in their order, and what stood between.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Triple {
    /// First number.
    pub first: u32,
    /// Second number.
    pub second: u32,
    /// Apart by dots.
    pub dots: bool,
}

/// Returns the numbers of a date such as `12/11/24`, whose order a column may tell; none where the text
/// is written otherwise (with the year first, with the month's name).
pub fn triple(text: &str) -> Option<Triple> {
    let pieces = pieces(text)?;
    let pieces = match pieces.as_slice() {
        [Piece::Weekday, Piece::Mark('.'), rest @ ..] | [Piece::Weekday, rest @ ..] => rest,
        all => all,
    };
    match pieces {
        [
            Piece::Number {
                value: first,
                digits: 1..=2,
            },
            Piece::Mark(a @ ('.' | '/' | '-')),
            Piece::Number {
                value: second,
                digits: 1..=2,
            },
            Piece::Mark(b),
            Piece::Number { digits: 2 | 4, .. },
            ..,
        ] if a == b && *first <= 31 => Some(Triple {
            first: *first,
            second: *second,
            dots: *a == '.',
        }),
        _ => None,
    }
}

/// Tells whether a cell is written like a day of any kind.
pub fn looks_like_a_day(cell: &Cell) -> bool {
    match cell {
        Cell::Date(_) => true,
        Cell::Empty => false,
        Cell::Number(number) => (20_000.0..=60_000.0).contains(number),
        Cell::Text(text) => {
            if text.len() > 40 {
                return false;
            }
            // Any day will do: only the kind of writing is asked for.
            let far = NaiveDate::MAX;
            let read = read_text(text, DateOrder::DayFirst, far);
            // `3.3` may be the third of March, but is more often volts.
            let named = text.chars().any(char::is_alphabetic);
            read.day.is_some()
                && (matches!(read.doubt, None | Some("year-not-plain"))
                    || (named && read.doubt == Some("year-missing")))
        }
    }
}

/// Reads a cell of a date column; `today` bounds short years and missing ones, and tells which of two
/// readings cannot be, because no job is closed in the future.
pub fn read_day(cell: &Cell, order: DateOrder, today: NaiveDate) -> DayRead {
    match cell {
        Cell::Empty => DayRead::default(),
        Cell::Date(day) => DayRead::plain(*day),
        Cell::Number(number) => serial(*number).unwrap_or_else(not_a_date),
        Cell::Text(text) => read_text(text, order, today),
    }
}

fn not_a_date() -> DayRead {
    DayRead::doubtful(None, "not-a-date")
}

/// Days counted from the first of January 1900 as worksheets do it; the day that they count by mistake,
/// the 29th of February 1900, lies far before any job (ECMA-376 part 1, 18.17.4.1).
fn serial(number: f64) -> Option<DayRead> {
    if !(20_000.0..=60_000.0).contains(&number) {
        return None;
    }
    let first = NaiveDate::from_ymd_opt(1899, 12, 30)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 20,000 and 60,000; the fraction is the time of day"
    )]
    let day = first.checked_add_days(Days::new(number as u64))?;
    Some(DayRead {
        day: Some(day),
        doubt: None,
        remark: Some("date-from-serial"),
    })
}

fn read_text(text: &str, order: DateOrder, today: NaiveDate) -> DayRead {
    let Some(pieces) = pieces(text) else {
        return not_a_date();
    };
    let mut rest = pieces.as_slice();
    while let [Piece::Weekday | Piece::Mark('.' | '-'), tail @ ..] = rest {
        rest = tail;
    }
    if rest.is_empty() {
        let weekday = pieces.contains(&Piece::Weekday);
        return if weekday {
            DayRead::doubtful(None, "weekday-only")
        } else {
            not_a_date()
        };
    }
    if let [Piece::Number { digits: 5, value }]
    | [
        Piece::Number { digits: 5, value },
        Piece::Mark('.'),
        Piece::Number { .. },
    ] = rest
    {
        return serial(f64::from(*value)).unwrap_or_else(not_a_date);
    }
    let (read, tail) = head(rest, order, today);
    if read == not_a_date() || is_over(tail) {
        return read;
    }
    DayRead::doubtful(read.day, "words-beside-date")
}

/// Tells whether what follows a date is nothing, a time of day or a weekday.
fn is_over(tail: &[Piece]) -> bool {
    tail.iter().all(|p| {
        matches!(
            p,
            Piece::Weekday | Piece::Mark('.' | ':' | '-') | Piece::Number { digits: 1..=3, .. }
        )
    }) && (tail.iter().all(|p| !matches!(p, Piece::Number { .. }))
        || tail.contains(&Piece::Mark(':')))
        || is_time_with_letters(tail)
}

/// `T10:22:00Z`, `10:22 Uhr`, `3:15 pm`.
fn is_time_with_letters(tail: &[Piece]) -> bool {
    let others = tail.iter().filter(|p| **p == Piece::Other).count();
    let fits = tail.iter().all(|p| {
        matches!(
            p,
            Piece::Other | Piece::Mark(':' | '.') | Piece::Number { digits: 1..=3, .. }
        )
    });
    fits && others <= 2 && tail.contains(&Piece::Mark(':'))
}

/// Reads the date at the head of `pieces`, and returns what follows it.
fn head(pieces: &[Piece], order: DateOrder, today: NaiveDate) -> (DayRead, &[Piece]) {
    let found = with_month_name(pieces, today)
        .or_else(|| in_numbers(pieces, order, today))
        .or_else(|| without_year(pieces, order, today));
    found.unwrap_or((not_a_date(), pieces))
}

/// The first parts of a date, marks between them left out; with each, where it ends.
fn parts(pieces: &[Piece]) -> Vec<(Piece, usize)> {
    let mut out = Vec::with_capacity(3);
    for (at, piece) in pieces.iter().enumerate() {
        match piece {
            Piece::Mark('.' | '-' | '/') => {}
            Piece::Number { .. } | Piece::Month(_) if out.len() < 3 => {
                // A number before a colon is an hour.
                if pieces.get(at + 1) == Some(&Piece::Mark(':')) {
                    break;
                }
                out.push((*piece, at + 1));
            }
            _ => break,
        }
    }
    out
}

/// 14 Mar 2026, 14. März 26, 14-Mar-26, Mar 14, 2026, 2026 Mar 14; 14 Mar and Mar-04 without a year.
fn with_month_name(pieces: &[Piece], today: NaiveDate) -> Option<(DayRead, &[Piece])> {
    use Piece::Month;
    use Piece::Number;
    let parts = parts(pieces);
    let (d, m, year, end) = match *parts.as_slice() {
        [
            (
                Number {
                    value: d,
                    digits: 1..=2,
                },
                _,
            ),
            (Month(m), _),
            (
                Number {
                    value: y,
                    digits: n @ (2 | 4),
                },
                end,
            ),
        ]
        | [
            (Month(m), _),
            (
                Number {
                    value: d,
                    digits: 1..=2,
                },
                _,
            ),
            (
                Number {
                    value: y,
                    digits: n @ 4,
                },
                end,
            ),
        ]
        | [
            (
                Number {
                    value: y,
                    digits: n @ 4,
                },
                _,
            ),
            (Month(m), _),
            (
                Number {
                    value: d,
                    digits: 1..=2,
                },
                end,
            ),
        ] => (d, m, Some((y, n)), end),
        [
            (
                Number {
                    value: d,
                    digits: 1..=2,
                },
                _,
            ),
            (Month(m), end),
            ..,
        ]
        | [
            (Month(m), _),
            (
                Number {
                    value: d,
                    digits: 1..=2,
                },
                end,
            ),
            ..,
        ] => (d, m, None, end),
        _ => return None,
    };
    let read = match year {
        Some(year) => with_year(d, m, year, today),
        None => lately(d, m, today),
    };
    Some((read, &pieces[end..]))
}

/// 2026-03-14, 20260314, 14/03/2026, 14.3.26.
fn in_numbers(pieces: &[Piece], order: DateOrder, today: NaiveDate) -> Option<(DayRead, &[Piece])> {
    use Piece::Mark;
    use Piece::Number;
    match pieces {
        [Number { value, digits: 8 }, tail @ ..] if (19_700_101..=20_991_231).contains(value) => {
            let read = on_calendar(i64::from(value / 10_000), value / 100 % 100, value % 100);
            Some((read, tail))
        }
        [
            Number {
                value: first,
                digits: head,
            },
            Mark(m1 @ ('-' | '/' | '.')),
            Number {
                value: second,
                digits: 1..=2,
            },
            Mark(m2),
            Number {
                value: third,
                digits: last,
            },
            tail @ ..,
        ] if m1 == m2 => match (head, last) {
            (4, 1..=2) => Some((on_calendar(i64::from(*first), *second, *third), tail)),
            (1..=2, 2 | 4) => Some((
                numeric(*first, *second, (*third, *last), order, today),
                tail,
            )),
            _ => None,
        },
        _ => None,
    }
}

/// 14/03: a day without its year.
fn without_year(
    pieces: &[Piece],
    order: DateOrder,
    today: NaiveDate,
) -> Option<(DayRead, &[Piece])> {
    use Piece::Mark;
    use Piece::Number;
    let [
        Number {
            value: a,
            digits: 1..=2,
        },
        Mark('/' | '.' | '-'),
        Number {
            value: b,
            digits: 1..=2,
        },
        tail @ ..,
    ] = pieces
    else {
        return None;
    };
    let (d, m) = if order == DateOrder::MonthFirst {
        (*b, *a)
    } else {
        (*a, *b)
    };
    Some((lately(d, m, today), tail))
}

/// The year that is meant is the last in which that day is past.
fn lately(d: u32, m: u32, today: NaiveDate) -> DayRead {
    let this = NaiveDate::from_ymd_opt(today.year(), m, d).filter(|day| *day <= today);
    let day = this.or_else(|| NaiveDate::from_ymd_opt(today.year().checked_sub(1)?, m, d));
    DayRead::doubtful(day, "year-missing")
}

fn on_calendar(year: i64, month: u32, day: u32) -> DayRead {
    let found = i32::try_from(year)
        .ok()
        .filter(|y| (1970..=9999).contains(y))
        .and_then(|y| NaiveDate::from_ymd_opt(y, month, day));
    match found {
        Some(day) => DayRead::plain(day),
        None => DayRead::doubtful(None, "impossible-date"),
    }
}

/// Writes a year out; a short one is of the hundred years that end with this one.
fn full_year((year, digits): (u32, usize), today: NaiveDate) -> i64 {
    if digits == 4 {
        return i64::from(year);
    }
    let this = i64::from(today.year().min(9999));
    let guess = this / 100 * 100 + i64::from(year);
    if guess <= this { guess } else { guess - 100 }
}

/// A short year that would be long before any sheet is more likely a slip: a person says.
const OLDEST_SHORT_YEAR: i64 = 1980;

fn with_year(day: u32, month: u32, year: (u32, usize), today: NaiveDate) -> DayRead {
    let full = full_year(year, today);
    if year.1 == 2 && full < OLDEST_SHORT_YEAR {
        return DayRead::doubtful(None, "year-not-plain");
    }
    on_calendar(full, month, day)
}

fn numeric(a: u32, b: u32, year: (u32, usize), order: DateOrder, today: NaiveDate) -> DayRead {
    let day_first = with_year(a, b, year, today);
    let month_first = with_year(b, a, year, today);
    let (asked, other) = match order {
        DateOrder::MonthFirst => (month_first, day_first),
        DateOrder::DayFirst | DateOrder::Unknown => (day_first, month_first),
    };
    if asked == other {
        return asked;
    }
    match (asked.day, other.day) {
        (Some(one), Some(two)) if order == DateOrder::Unknown => match (one <= today, two <= today)
        {
            (true, false) => DayRead::plain(one),
            (false, true) => DayRead::plain(two),
            _ => DayRead::doubtful(Some(one), "date-order"),
        },
        // The column's order does not fit here: the other one does, and a person looks.
        (None, Some(day)) if order != DateOrder::Unknown => {
            DayRead::doubtful(Some(day), "date-order")
        }
        (None, Some(day)) => DayRead::plain(day),
        _ => asked,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(y: i32, m: u32, d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, d).expect("a day of the calendar")
    }

    fn read(text: &str, order: DateOrder) -> DayRead {
        read_day(&Cell::Text(text.to_owned()), order, day(2026, 11, 28))
    }

    #[test]
    fn days_are_read_in_every_plain_writing() {
        for text in [
            "2026-03-14",
            "2026/3/14",
            "20260314",
            "14.03.2026",
            "14.3.26",
            "14/03/2026",
            "14-03-26",
            "14 Mar 2026",
            "14 March 2026",
            "14-Mar-26",
            "14. März 26",
            "14. Maerz 2026",
            "14. Mrz. 2026",
            "Mar 14, 2026",
            "14th March 2026",
            "Sat 14 Mar 2026",
            "Sa, 14.03.2026",
            "2026-03-14 10:22",
            "2026-03-14T10:22:00Z",
            "14.03.2026 10:22 Uhr",
            "14/03/2026 3:15 pm",
            "\u{a0}14.03.2026 ",
        ] {
            let got = read(text, DateOrder::DayFirst);
            assert_eq!(got, DayRead::plain(day(2026, 3, 14)), "{text}");
        }
    }

    #[test]
    fn the_order_of_the_column_decides_what_numbers_alone_cannot() {
        let plain = |d| DayRead::plain(d);
        assert_eq!(
            read("03/04/2026", DateOrder::DayFirst),
            plain(day(2026, 4, 3))
        );
        assert_eq!(
            read("03/04/2026", DateOrder::MonthFirst),
            plain(day(2026, 3, 4))
        );
        let open = read("03/04/2026", DateOrder::Unknown);
        assert_eq!(
            (open.day, open.doubt),
            (Some(day(2026, 4, 3)), Some("date-order"))
        );
        assert_eq!(
            read("04/04/2026", DateOrder::Unknown),
            plain(day(2026, 4, 4))
        );
        assert_eq!(
            read("14/03/2026", DateOrder::Unknown),
            plain(day(2026, 3, 14))
        );
        assert_eq!(
            read("03/14/2026", DateOrder::Unknown),
            plain(day(2026, 3, 14))
        );
        assert_eq!(
            read("05/12/2026", DateOrder::Unknown),
            plain(day(2026, 5, 12)),
            "the fifth of December has not come yet"
        );
        assert_eq!(
            read("03/14/2026", DateOrder::DayFirst).doubt,
            Some("date-order")
        );
    }

    #[test]
    fn what_is_no_plain_day_says_why() {
        for (text, why) in [
            ("2026-02-30", "impossible-date"),
            ("31.04.2026", "impossible-date"),
            ("45/45/2026", "impossible-date"),
            ("Tue", "weekday-only"),
            ("Di.", "weekday-only"),
            ("14/03", "year-missing"),
            ("14 Mar", "year-missing"),
            ("MAR-04", "year-missing"),
            ("12.03.27", "year-not-plain"),
            ("12/11/24 fixed 14/11", "words-beside-date"),
            ("soon", "not-a-date"),
            ("12", "not-a-date"),
            ("?", "not-a-date"),
            ("1e999", "not-a-date"),
        ] {
            assert_eq!(read(text, DateOrder::DayFirst).doubt, Some(why), "{text}");
        }
    }

    #[test]
    fn a_missing_year_suggests_the_last_such_day() {
        assert_eq!(
            read("14/03", DateOrder::DayFirst).day,
            Some(day(2026, 3, 14))
        );
        assert_eq!(
            read("14. Dez", DateOrder::DayFirst).day,
            Some(day(2025, 12, 14))
        );
    }

    #[test]
    fn serials_count_from_1900() {
        // Known pairs of worksheets: 25569 is 1970-01-01 (from memory), 45000 is 2023-03-15.
        for (number, expected) in [(25_569.0, day(1970, 1, 1)), (45_000.0, day(2023, 3, 15))] {
            let got = read_day(&Cell::Number(number), DateOrder::Unknown, day(2026, 11, 28));
            assert_eq!(
                (got.day, got.remark),
                (Some(expected), Some("date-from-serial"))
            );
        }
        let text = read("45000", DateOrder::Unknown);
        assert_eq!(text.remark, Some("date-from-serial"));
        let small = read_day(&Cell::Number(12.0), DateOrder::Unknown, day(2026, 11, 28));
        assert_eq!(small.doubt, Some("not-a-date"));
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_a_panic(text in "\\PC{0,40}|[0-9./ -]{0,20}") {
            for order in DateOrder::ALL {
                let got = read(&text, order);
                prop_assert!(got.day.is_some() || got.doubt.is_some());
            }
        }

        #[test]
        fn a_day_with_its_month_in_words_is_read_whatever_the_order(n in 0_u64..20_000) {
            let some = day(1980, 1, 1) + Days::new(n);
            prop_assume!(some <= day(2026, 11, 28));
            for order in DateOrder::ALL {
                let got = read(&some.format("%-d %b %Y").to_string(), order);
                prop_assert_eq!(got, DayRead::plain(some));
            }
        }
    }
}
