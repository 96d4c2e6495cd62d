//! Proposes what the columns of a sheet hold: from the words over them and from what the cells look
//! like. What is doubtful is said in plain sentences; a person may change every column.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::domain::ids;
use crate::domain::intake::assemble::asked;
use crate::domain::intake::content;
use crate::domain::intake::days;
use crate::domain::intake::figures;
use crate::domain::intake::headers;
use crate::domain::intake::headers::HeaderWord;
use crate::domain::intake::headers::Tongue;
use crate::domain::intake::lines;
use crate::domain::intake::looks::Looks;
use crate::domain::intake::looks::Marks;
use crate::domain::intake::looks::Order;
use crate::domain::intake::mapping::Column;
use crate::domain::intake::mapping::DateOrder;
use crate::domain::intake::mapping::DecimalMark;
use crate::domain::intake::mapping::Field;
use crate::domain::intake::mapping::Mapping;
use crate::domain::intake::names;
use crate::domain::intake::sheet::Cell;
use crate::domain::intake::sheet::Row;
use crate::domain::intake::words::Words;
use crate::domain::text::number_of;

/// What a sheet seems to hold.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proposal {
    /// The columns, and how their cells are written.
    pub mapping: Mapping,
    /// Shape: mark of the headers, saved mappings are found by it.
    pub shape: String,
    /// Plain sentences: what was recognised and what is doubtful.
    pub told: Vec<String>,
    /// A saved mapping of this shape was taken.
    pub reused: bool,
}

/// How many rows from the top a header may stand.
const DEEPEST_HEADER: usize = 20;

/// Columns past this are not looked at one by one; they are kept.
const MOST_COLUMNS: usize = 256;

/// Proposes a mapping for the sheet whose first rows (up to 300) are `first`. `saved` holds mappings by
/// shape, `boards` the ids of the boards that the shop knows by their names and ids in small letters.
pub fn propose(
    first: &[Row],
    words: &Words,
    saved: &[(String, Mapping)],
    boards: &BTreeMap<String, String>,
) -> Proposal {
    let found = find_header(first, words);
    let width = first
        .iter()
        .map(|r| {
            r.cells
                .iter()
                .rposition(|c| !c.is_blank())
                .map_or(0, |at| at + 1)
        })
        .max()
        .unwrap_or(0);
    let headers = header_texts(first, &found, width);
    let skip = found.last().map_or(0, |at| at + 1);
    let draft = Mapping {
        header_rows: first[..skip].iter().map(|r| r.number).collect(),
        columns: headers
            .iter()
            .map(|h| Column {
                header: h.joined.clone(),
                field: Field::Kept,
                fill_down: false,
            })
            .collect(),
        ..Mapping::default()
    };
    let rows: Vec<&Row> = first[skip..]
        .iter()
        .filter(|r| {
            !r.is_blank()
                && !lines::is_rule(r)
                && !lines::is_totals(r)
                && !lines::is_header_again(r, &draft)
        })
        .collect();
    let sheet = Seen {
        looks: (0..width.min(MOST_COLUMNS))
            .map(|c| Looks::of(&rows, c, &|text| names::find(text, boards).is_some()))
            .collect(),
        rows,
        headers,
        words,
    };
    let mut proposal = Proposal {
        mapping: draft,
        shape: shape(&sheet.headers),
        ..Proposal::default()
    };
    tell_headers(first, &found, skip, &mut proposal.told);
    sheet.name_columns(&mut proposal);
    sheet.dates_and_marks(&mut proposal);
    sheet.fill_down(&mut proposal);
    sheet.day_of_block(&mut proposal);
    sheet.boards(boards, &mut proposal);
    reuse(saved, &mut proposal);
    proposal
}

/// The words over one column.
#[derive(Clone, Debug, Default)]
struct Head {
    /// Words of both header rows, joined.
    joined: String,
    /// Words of the lower row alone.
    lower: String,
    /// Words of the upper row, of the group that spans this column.
    group: String,
}

fn short(row: &Row) -> bool {
    row.cells
        .iter()
        .filter(|c| !c.is_blank())
        .all(|c| c.text().chars().count() <= 48)
}

/// Counts the cells of a row that are headers: (known whole, known in part, filled).
fn header_score(row: &Row, words: &Words) -> (usize, usize, usize) {
    let mut score = (0, 0, 0);
    for cell in row
        .cells
        .iter()
        .take(MOST_COLUMNS)
        .filter(|c| !c.is_blank())
    {
        score.2 += 1;
        match headers::read(&cell.text(), words) {
            Some(HeaderWord { whole: true, .. }) => score.0 += 1,
            Some(_) => score.1 += 1,
            None => {}
        }
    }
    score
}

fn holds_data(row: &Row) -> bool {
    row.cells.iter().any(|c| {
        matches!(c, Cell::Number(_))
            || days::looks_like_a_day(c)
            || figures::figure(&c.text(), DecimalMark::Unknown).is_some()
    })
}

/// Returns the places of the header rows: none, one or two.
fn find_header(first: &[Row], words: &Words) -> Vec<usize> {
    let mut best: Option<(usize, usize)> = None;
    for (at, row) in first.iter().take(DEEPEST_HEADER).enumerate() {
        if is_merged_title(row) {
            continue;
        }
        let (whole, part, filled) = header_score(row, words);
        let score = whole * 2 + part;
        let enough = if filled <= 2 {
            whole == filled
        } else {
            2 <= whole + part && 1 <= whole
        };
        let share = (whole + part) * 5 >= filled * 2;
        if filled > 0 && enough && share && short(row) && best.is_none_or(|(_, s)| s < score) {
            best = Some((at, score));
        }
    }
    let Some((at, _)) = best else {
        return Vec::new();
    };
    if let Some(below) = first.get(at + 1)
        && is_second_header(below, words)
    {
        return vec![at, at + 1];
    }
    if at > 0 && is_group_row(&first[at - 1], &first[at]) {
        return vec![at - 1, at];
    }
    vec![at]
}

/// Tells whether a row below the headers goes on with them: units, or more header words.
fn is_second_header(row: &Row, words: &Words) -> bool {
    let (whole, part, filled) = header_score(row, words);
    let units = row
        .cells
        .iter()
        .filter(|c| {
            let text = c.text();
            let text = text.trim();
            headers::is_unit(text)
                || headers::unit_of(text).is_some_and(|u| text.len() == u.len() + 2)
        })
        .count();
    let known = whole + part + units;
    0 < filled
        && short(row)
        && !holds_data(row)
        && (1 < known || units == filled)
        && filled * 3 <= known * 5
}

/// Tells whether a row says the same in each of its cells, three or more, as a title merged over the
/// columns does.
fn is_merged_title(row: &Row) -> bool {
    let mut filled = row.cells.iter().filter(|c| !c.is_blank());
    let Some(first) = filled.next() else {
        return false;
    };
    let text = first.text();
    let others: Vec<&Cell> = filled.collect();
    1 < others.len() && others.iter().all(|c| c.text().trim() == text.trim())
}

/// Tells whether a row above the headers names groups of columns.
fn is_group_row(row: &Row, header: &Row) -> bool {
    let filled: Vec<usize> = (0..row.cells.len())
        .filter(|c| !row.cell(*c).is_blank())
        .collect();
    let width = header.cells.iter().filter(|c| !c.is_blank()).count();
    // One group over a few columns is no title.
    let title = is_merged_title(row) && width <= filled.len() + 1;
    2 <= filled.len() && filled.len() <= width && short(row) && !holds_data(row) && !title
}

fn header_texts(first: &[Row], found: &[usize], width: usize) -> Vec<Head> {
    let text = |at: usize, column: usize| {
        let text = first[at].cell(column).text();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let mut group = String::new();
    (0..width)
        .map(|column| match *found {
            [] => Head::default(),
            [one] => Head {
                joined: text(one, column),
                lower: text(one, column),
                group: String::new(),
            },
            [upper, lower, ..] => {
                let (above, below) = (text(upper, column), text(lower, column));
                if !above.is_empty() {
                    group.clone_from(&above);
                }
                let spans = if below.is_empty() {
                    above.clone()
                } else {
                    group.clone()
                };
                let own = if below.is_empty() { above } else { below };
                let joined = if spans == own {
                    own.clone()
                } else {
                    format!("{spans} {own}")
                };
                Head {
                    joined: joined.trim().to_owned(),
                    lower: own,
                    group: spans,
                }
            }
        })
        .collect()
}

fn shape(headers: &[Head]) -> String {
    let plain: Vec<String> = headers.iter().map(|h| headers::plain(&h.joined)).collect();
    let count = headers.len().to_string();
    ids::long_mark(plain.iter().map(String::as_str).chain([count.as_str()]))
}

fn tell_headers(first: &[Row], found: &[usize], skip: usize, told: &mut Vec<String>) {
    match *found {
        [] => told.push(
            "No header row was found; the columns were told by what their cells look like."
                .to_owned(),
        ),
        [one] => told.push(format!("Headers stand in row {}.", first[one].number)),
        [a, b, ..] => told.push(format!(
            "Headers stand in rows {} and {}; they were joined.",
            first[a].number, first[b].number
        )),
    }
    let titles = skip - found.len();
    if !found.is_empty() && 0 < titles {
        told.push(format!(
            "{} above the headers passed over.",
            number_of(titles, "row")
        ));
    }
}

/// What was seen of a sheet.
struct Seen<'a> {
    rows: Vec<&'a Row>,
    headers: Vec<Head>,
    looks: Vec<Looks>,
    words: &'a Words,
}

/// A column's field with how well it is known; a better one takes a field that only one may have.
#[derive(Clone, Debug)]
struct Claim {
    field: Field,
    /// 3 the whole header, 2 a part of it, 1 the cells alone.
    strength: usize,
}

impl Seen<'_> {
    fn name_columns(&self, proposal: &mut Proposal) {
        let mut claims: Vec<Claim> = (0..self.headers.len()).map(|c| self.claim(c)).collect();
        self.fill_gaps(&mut claims);
        self.board_from_looks(&mut claims, &mut proposal.told);
        self.settle_rivals(&mut claims, &mut proposal.told);
        self.settle_dates(&mut claims, &mut proposal.told);
        self.number_from_looks(&mut claims, &mut proposal.told);
        for (at, claim) in claims.into_iter().enumerate() {
            let header = &self.headers[at].joined;
            if claim.strength == 1 && claim.field != Field::Kept {
                proposal.told.push(format!(
                    "Column {} ({}) was taken as {} by what its cells look like.",
                    at + 1,
                    if header.is_empty() {
                        "no header"
                    } else {
                        header
                    },
                    claim.field.word()
                ));
            } else if claim.field == Field::Kept && claim.strength < 2 && !header.is_empty() {
                proposal.told.push(format!(
                    "Column {} ({header}) is kept as it stands, not read.",
                    at + 1
                ));
            }
            proposal.mapping.columns[at].field = claim.field;
        }
        let has = |field: &Field| proposal.mapping.columns.iter().any(|c| c.field == *field);
        for (field, words) in [
            (
                Field::Board,
                "No column names the board: the rows will need a person, unless a line above them names it.",
            ),
            (
                Field::ClosedOn,
                "No column holds the closing day: the rows will need a person.",
            ),
            (
                Field::Number,
                "No column holds job numbers: each job gets one from the sheet's name and its row.",
            ),
        ] {
            if !has(&field) && !self.rows.is_empty() {
                proposal.told.push(words.to_owned());
            }
        }
    }

    /// Returns what a column holds by its own header and cells.
    fn claim(&self, column: usize) -> Claim {
        let head = &self.headers[column];
        let none = Looks::default();
        let looks = self.looks.get(column).unwrap_or(&none);
        let by_words = self.by_words(head);
        // "Fixed?" over yes and no: whether it was, never what fixed it.
        if asked::question(&head.lower).is_some() && looks.mostly(looks.answers) {
            return Claim {
                field: Field::Outcome,
                strength: 2,
            };
        }
        if let Some(found) = by_words {
            let strength = if found.whole { 3 } else { 2 };
            let plain = headers::plain(&head.lower);
            let place = ["location", "position", "loc", "pos"].contains(&plain.as_str());
            let field = match fitting(found.field, looks) {
                // Where the part sits on the board, or where the board lies in the shop.
                Field::Part if place && !looks.mostly(looks.designators) => Field::Kept,
                field => field,
            };
            return Claim { field, strength };
        }
        let bare = head.joined.is_empty();
        let meant = content::of_column(&self.rows, column, self.words);
        let field = if bare {
            by_looks(looks, true).filter(|f| *f != Field::Everything)
        } else if looks.mostly(looks.sentences) {
            // An unknown word over sentences: nothing is lost by reading them.
            Some(Field::Everything)
        } else {
            by_looks(looks, false)
        };
        // Over an unknown word only an ending is sure enough: what else there is may be anything's.
        let meant = meant.filter(|m| bare || *m == Field::Outcome);
        let long = || looks.mostly(looks.sentences).then_some(Field::Everything);
        let field = match field {
            Some(Field::Everything) | None => meant.or(field).or_else(long),
            known => known,
        };
        Claim {
            field: field.unwrap_or(Field::Kept),
            strength: 1,
        }
    }

    /// A column whose cells are boards of the shop is the board column whatever stands over it, unless
    /// another one is.
    fn board_from_looks(&self, claims: &mut [Claim], told: &mut Vec<String>) {
        let holds = |at: &usize| {
            let looks = self.looks.get(*at);
            looks.is_some_and(|l| 0 < l.boards && l.filled <= l.boards * 2)
        };
        let found = (0..claims.len()).filter(holds);
        let best = found.max_by_key(|at| (self.looks[*at].boards, usize::MAX - *at));
        let Some(at) = best else { return };
        let other = |(c, claim): (usize, &Claim)| claim.field == Field::Board && holds(&c);
        if claims.iter().enumerate().any(other) {
            return;
        }
        told.push(format!(
            "Column {} ({}) was taken as board: the shop lists what stands in it.",
            at + 1,
            self.headers[at].joined
        ));
        claims[at] = Claim {
            field: Field::Board,
            strength: 3,
        };
    }

    /// What no header names may stand under a header that says nothing of it: "Customer said", "Says".
    fn fill_gaps(&self, claims: &mut [Claim]) {
        let told = |claims: &[Claim], field: &Field| {
            let readings = |f: &Field| {
                matches!(
                    f,
                    Field::Draw | Field::Rail(_) | Field::Resistance(_) | Field::Diode(_)
                )
            };
            claims.iter().any(|c| {
                let all = c.field == Field::Everything && *field != Field::Complaint;
                all || c.field == *field || (*field == Field::Findings && readings(&c.field))
            })
        };
        for at in 0..claims.len() {
            let open = claims[at].field == Field::Kept && claims[at].strength < 3;
            if !open || at >= MOST_COLUMNS {
                continue;
            }
            let meant = content::of_column(&self.rows, at, self.words);
            if let Some(field) = meant.filter(|f| *f != Field::Everything && !told(claims, f)) {
                claims[at] = Claim { field, strength: 1 };
            }
        }
    }

    fn by_words(&self, head: &Head) -> Option<HeaderWord> {
        let read = |text: &str| headers::read(text, self.words);
        let measured = |found: &HeaderWord| {
            matches!(
                found.field,
                Field::Rail(_) | Field::Resistance(_) | Field::Diode(_) | Field::Draw
            )
        };
        let joined = read(&head.joined);
        if let Some(found) = joined.as_ref().filter(|f| measured(f)) {
            return joined.clone().filter(|_| found.whole || measured(found));
        }
        let lower = read(&head.lower);
        match (lower, joined) {
            (Some(lower), Some(joined)) if joined.whole && lower.words < joined.words => {
                Some(joined)
            }
            // "What" or "Notes" below "Repair": the group says what it is about.
            (Some(lower), _) if lower.whole && lower.field == Field::Everything => {
                let group = read(&head.group).filter(|g| g.whole && head.group != head.lower);
                group.filter(|g| g.field == Field::Fix).or(Some(lower))
            }
            (Some(lower), _) if lower.whole => Some(lower),
            (lower, joined) => lower.or(joined).or_else(|| read(&head.group)),
        }
    }

    /// A field that a job has once goes to the column that names it best; the others are kept.
    fn settle_rivals(&self, claims: &mut [Claim], told: &mut Vec<String>) {
        let single = [
            Field::Number,
            Field::ClosedBy,
            Field::Board,
            Field::Revision,
            Field::Serial,
            Field::Family,
            Field::Outcome,
            Field::NoFixReason,
            Field::Minutes,
            Field::PartsCost,
            Field::Value,
            Field::Act,
        ];
        for field in single {
            let rivals: Vec<usize> = (0..claims.len())
                .filter(|c| claims[*c].field == field)
                .collect();
            if rivals.len() < 2 {
                continue;
            }
            let rank = |at: &usize| {
                (
                    claims[*at].strength,
                    self.rank(*at, &field),
                    usize::MAX - *at,
                )
            };
            let best = rivals.iter().copied().max_by_key(rank).unwrap_or_default();
            for at in rivals.into_iter().filter(|at| *at != best) {
                let asks = asked::question(&self.headers[at].lower).is_some();
                let loser = if field == Field::Outcome && !asks {
                    Field::Everything
                } else {
                    Field::Kept
                };
                told.push(format!(
                    "Columns {} and {} both look like {}; the first of these was taken.",
                    best + 1,
                    at + 1,
                    field.word()
                ));
                claims[at] = Claim {
                    field: loser,
                    strength: 2,
                };
            }
        }
    }

    /// How well a column fits a field beside its rivals.
    fn rank(&self, column: usize, field: &Field) -> usize {
        let Some(looks) = self.looks.get(column) else {
            return 0;
        };
        match field {
            Field::Board => {
                let plain = headers::plain(&self.headers[column].lower);
                let named = ["board", "pcb", "platine", "leiterplatte", "baugruppe"]
                    .iter()
                    .any(|w| plain.contains(w));
                looks.boards * 2 + usize::from(named)
            }
            Field::Number => looks.numbered + looks.different,
            _ => looks.filled,
        }
    }

    /// One date column is the closing day; of several, the one whose header says so.
    fn settle_dates(&self, claims: &mut [Claim], told: &mut Vec<String>) {
        let closing: Vec<usize> = (0..claims.len())
            .filter(|c| claims[*c].field == Field::ClosedOn)
            .collect();
        if closing.len() < 2 {
            return;
        }
        let plainly = |at: &usize| {
            let plain = headers::plain(&self.headers[*at].joined);
            let bare = [
                "date", "datum", "when", "day", "tag", "out", "ende", "finish",
            ];
            claims[*at].strength > 1 && !bare.contains(&plain.as_str())
        };
        let named: Vec<usize> = closing.iter().copied().filter(plainly).collect();
        let by_header: Vec<usize> = closing
            .iter()
            .copied()
            .filter(|at| claims[*at].strength > 1)
            .collect();
        let chosen = match (named.as_slice(), by_header.as_slice()) {
            ([one, ..], _) | ([], [one]) => Some(*one),
            _ => None,
        };
        for at in closing.iter().filter(|at| Some(**at) != chosen) {
            claims[*at] = Claim {
                field: Field::Kept,
                strength: 2,
            };
        }
        let columns: Vec<String> = closing.iter().map(|c| (c + 1).to_string()).collect();
        told.push(match chosen {
            Some(at) => format!(
                "Columns {} hold days; column {} was taken as the closing day.",
                columns.join(" and "),
                at + 1
            ),
            None => format!(
                "Columns {} hold days, and nothing says which is the closing day: say which.",
                columns.join(" and ")
            ),
        });
    }

    /// Without a header for it, the first column of numbers that are all different may be the jobs'.
    fn number_from_looks(&self, claims: &mut [Claim], told: &mut Vec<String>) {
        if claims.iter().any(|c| c.field == Field::Number) {
            return;
        }
        let fits = |at: &usize| {
            let Some(looks) = self.looks.get(*at) else {
                return false;
            };
            let bare = self.headers[*at].joined.is_empty() && claims[*at].strength == 1;
            let long = looks.mostly(looks.numbered) && claims[*at].field == Field::Kept;
            // Short numbers look like designators: only in front of everything, and none twice.
            let first = *at == 0
                && looks.tagged == looks.filled
                && looks.filled == looks.different
                && matches!(claims[*at].field, Field::Kept | Field::Part);
            bare && (long || first) && looks.filled * 9 <= looks.different * 10 && 2 <= looks.filled
        };
        let found: Vec<usize> = (0..claims.len()).filter(fits).collect();
        match found.as_slice() {
            [0] => claims[0].field = Field::Number,
            [] => {}
            several => told.push(format!(
                "Column {} may hold job numbers or serials; it is kept unread until you say which.",
                several[0] + 1
            )),
        }
    }

    fn dates_and_marks(&self, proposal: &mut Proposal) {
        let mut order = Order::default();
        let mut marks = Marks::default();
        for row in &self.rows {
            for (column, cell) in proposal.mapping.columns.iter().zip(&row.cells) {
                match column.field {
                    Field::ClosedOn | Field::ReceivedOn => order.see(cell),
                    Field::Serial | Field::Number | Field::Revision | Field::Part => {}
                    _ => {
                        marks.see(cell);
                        if column.field == Field::Kept {
                            order.see(cell);
                        }
                    }
                }
            }
        }
        let german = self.german();
        proposal.mapping.decimal = match marks.shown() {
            DecimalMark::Unknown if marks.commas == 0 && 0 < marks.points => DecimalMark::Point,
            DecimalMark::Unknown if german && marks.points == 0 => DecimalMark::Comma,
            shown => shown,
        };
        if 0 < marks.commas {
            proposal.told.push(match proposal.mapping.decimal {
                DecimalMark::Comma => "Numbers are written with a decimal comma.".to_owned(),
                DecimalMark::Point => format!("Numbers are written with a point; {} with a comma.", marks.commas),
                DecimalMark::Unknown => format!(
                    "Numbers are written with a comma ({}) and with a point ({}): commas will be flagged.",
                    marks.commas, marks.points
                ),
            });
        }
        let mut shown = order.shown();
        if shown == DateOrder::Unknown
            && !order.is_mixed()
            && 0 < order.open
            && (german || proposal.mapping.decimal == DecimalMark::Comma)
        {
            shown = DateOrder::DayFirst;
            proposal.told.push("The headers and numbers are written as in countries that put the day first; dates are read so.".to_owned());
        }
        proposal.mapping.dates = shown;
        if order.is_mixed() {
            proposal.told.push(format!(
                "Some dates need the day first ({}), some the month ({}): a date that could be either needs a person.",
                order.day_first, order.month_first
            ));
        } else if shown == DateOrder::Unknown && 0 < order.open {
            proposal.told.push("Nothing tells whether dates are day or month first: a date that could be either needs a person.".to_owned());
        } else if 0 < order.day_first + order.month_first {
            proposal.told.push(match shown {
                DateOrder::MonthFirst => "Dates are written month first.".to_owned(),
                _ => "Dates are written day first.".to_owned(),
            });
        }
    }

    fn german(&self) -> bool {
        let tongues: Vec<Tongue> = self
            .headers
            .iter()
            .filter_map(|h| headers::read(&h.joined, self.words))
            .filter(|f| f.whole)
            .map(|f| f.tongue)
            .collect();
        let german = tongues.iter().filter(|t| **t == Tongue::German).count();
        2 <= german && tongues.len() <= german * 2
    }

    /// A blank means the one above only where the block pattern is plain: the column starts filled, names
    /// few things, and most of its cells are blank in rows that carry data of their own.
    fn fill_down(&self, proposal: &mut Proposal) {
        let columns = &proposal.mapping.columns;
        let board = columns.iter().position(|c| c.field == Field::Board);
        for (at, column) in proposal.mapping.columns.iter_mut().enumerate() {
            let may = matches!(
                column.field,
                Field::Board
                    | Field::Revision
                    | Field::ClosedOn
                    | Field::ReceivedOn
                    | Field::ClosedBy
            );
            let Some(looks) = self.looks.get(at).filter(|_| may) else {
                continue;
            };
            // A revision is that of its board: where each row names the board, nothing is carried.
            if column.field == Field::Revision && board.is_some_and(|b| self.is_full(b)) {
                continue;
            }
            let starts = self.rows.first().is_some_and(|r| !r.cell(at).is_blank());
            let carried = |r: &&&Row| {
                r.cell(at).is_blank() && 2 <= r.cells.iter().filter(|c| !c.is_blank()).count()
            };
            let blanks = self.rows.iter().filter(carried).count();
            let needed = match column.field {
                Field::Board => self.rows.len() * 3 / 10,
                _ => self.rows.len() / 2,
            };
            if starts && 0 < looks.filled && 2 <= blanks && needed <= blanks {
                column.fill_down = true;
                proposal.told.push(format!(
                    "A blank in column {} ({}) means the one above.",
                    at + 1,
                    if column.header.is_empty() {
                        "no header"
                    } else {
                        &column.header
                    }
                ));
            }
        }
    }

    fn is_full(&self, column: usize) -> bool {
        let blanks = self.rows.iter().filter(|r| r.cell(column).is_blank());
        blanks.count() * 10 < self.rows.len() * 3
    }

    /// Where the board stands only at the head of its block, so may the day: every head has one, and the
    /// bench writes it once, as blanks or marks below show.
    fn day_of_block(&self, proposal: &mut Proposal) {
        let columns = &mut proposal.mapping.columns;
        let Some(board) = columns.iter().position(|c| c.field == Field::Board) else {
            return;
        };
        let day = columns.iter().position(|c| c.field == Field::ClosedOn);
        let Some(day) = day.filter(|d| board < *d && columns[board].fill_down) else {
            return;
        };
        let (heads, inner): (Vec<&Row>, Vec<&Row>) =
            self.rows.iter().partition(|r| !r.cell(board).is_blank());
        let blanks = inner.iter().filter(|r| r.cell(day).is_blank()).count();
        let marked = inner
            .iter()
            .any(|r| lines::ditto(&r.cell(day).text()).is_some());
        let all = heads.iter().all(|r| !r.cell(day).is_blank());
        if all && !columns[day].fill_down && (1 < blanks || (0 < blanks && marked)) {
            columns[day].fill_down = true;
            proposal.told.push(format!(
                "A blank in column {} ({}) means the day of the block; each is flagged.",
                day + 1,
                columns[day].header
            ));
        }
    }

    fn boards(&self, boards: &BTreeMap<String, String>, proposal: &mut Proposal) {
        let Some(at) = proposal
            .mapping
            .columns
            .iter()
            .position(|c| c.field == Field::Board)
        else {
            return;
        };
        let mut unknown = BTreeSet::new();
        for row in &self.rows {
            let text = row.cell(at).text();
            let text = names::tidy(&text);
            if text.is_empty()
                || lines::ditto(&text).is_some()
                || lines::says_nothing(&text)
                || lines::says_unknown(&text)
            {
                continue;
            }
            match names::find(&text, boards) {
                Some(found) => {
                    proposal.mapping.boards.insert(text, found.board);
                }
                None => {
                    unknown.insert(text);
                }
            }
        }
        if !unknown.is_empty() {
            let listed: Vec<&str> = unknown.iter().take(5).map(String::as_str).collect();
            let more = if unknown.len() > listed.len() {
                ", …"
            } else {
                ""
            };
            proposal.told.push(format!(
                "{} that the shop does not list: {}{more}.",
                number_of(unknown.len(), "board"),
                listed.join(", ")
            ));
        }
    }
}

/// Corrects a header's field where the cells say that it cannot be meant.
fn fitting(field: Field, looks: &Looks) -> Field {
    let is = |n: usize| looks.mostly(n);
    if looks.filled == 0 {
        return field;
    }
    match field {
        // "Done", "Out", "Finished": a day, or what was done.
        Field::ClosedOn | Field::ReceivedOn if looks.days == 0 && is(looks.sentences) => Field::Fix,
        Field::ClosedOn | Field::ReceivedOn if looks.days == 0 && is(looks.figures) => field,
        Field::ClosedOn | Field::ReceivedOn
            if looks.days * 5 < looks.filled && !is(looks.figures) && looks.filled > 4 =>
        {
            Field::Kept
        }
        Field::Fix | Field::Outcome | Field::Everything if is(looks.days) => Field::ClosedOn,
        // "Issue" is a complaint or the issue of the board.
        Field::Complaint if is(looks.letters) => Field::Revision,
        Field::Complaint | Field::Findings | Field::Fix if is(looks.designators) => Field::Part,
        // "Job": a number, or what there was to do.
        Field::Number if is(looks.sentences) => Field::Everything,
        Field::Number if looks.counts_up && looks.filled > 2 && !is(looks.numbered) => field,
        Field::Board
            if is(looks.numbered)
                && looks.boards == 0
                && looks.different * 10 > looks.filled * 9
                && looks.filled > 4 =>
        {
            Field::Kept
        }
        Field::Minutes | Field::PartsCost | Field::Value
            if !is(looks.figures) && is(looks.sentences) =>
        {
            Field::Everything
        }
        Field::Minutes if is(looks.days) => Field::ClosedOn,
        other => other,
    }
}

/// Returns what cells alone show; `bare` where there is no header word at all.
fn by_looks(looks: &Looks, bare: bool) -> Option<Field> {
    if looks.filled == 0 {
        return None;
    }
    let is = |n: usize| looks.mostly(n);
    if looks.boards * 2 >= looks.filled {
        Some(Field::Board)
    } else if is(looks.days) {
        Some(Field::ClosedOn)
    } else if is(looks.designators) {
        Some(Field::Part)
    } else if bare
        && is(looks.initials)
        && looks.different * 2 <= looks.filled.max(4)
        && looks.different <= 12
    {
        Some(Field::ClosedBy)
    } else if is(looks.sentences) {
        Some(Field::Everything)
    } else {
        None
    }
}

/// Takes a saved mapping of the same shape, with the rows, dates and marks of this sheet where they speak.
fn reuse(saved: &[(String, Mapping)], proposal: &mut Proposal) {
    let Some((_, old)) = saved
        .iter()
        .rev()
        .find(|(shape, _)| *shape == proposal.shape)
    else {
        return;
    };
    if old.columns.len() != proposal.mapping.columns.len() {
        return;
    }
    let fresh = &mut proposal.mapping;
    fresh.columns.clone_from(&old.columns);
    if fresh.dates == DateOrder::Unknown {
        fresh.dates = old.dates;
    } else if old.dates != DateOrder::Unknown && old.dates != fresh.dates {
        proposal
            .told
            .push("The dates are written in another order than in the sheet before.".to_owned());
    }
    if fresh.decimal == DecimalMark::Unknown {
        fresh.decimal = old.decimal;
    }
    for (name, board) in &old.boards {
        fresh.boards.insert(name.clone(), board.clone());
    }
    proposal.reused = true;
    proposal
        .told
        .push("The columns are those of an earlier sheet with the same headers.".to_owned());
}
