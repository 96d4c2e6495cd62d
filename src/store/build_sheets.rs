//! A board's jobs in general words, as `cache/build.idx` keeps them.
//!
//! Numbers are mostly small and take a byte or two.

use chrono::Datelike;
use chrono::NaiveDate;

use crate::domain::generate::coded::band::Variant;
use crate::domain::generate::kinds::across::general;
use crate::domain::generate::kinds::across::sheet::Fact;
use crate::domain::generate::kinds::across::sheet::Part;
use crate::domain::generate::kinds::across::sheet::Row;
use crate::domain::generate::kinds::across::sheet::Sheet;
use crate::store::packed;
use crate::store::packed::From;
use crate::store::packed::To;

const VARIANTS: [Variant; 3] = [Variant::Short, Variant::Open, Variant::Other];

/// Writes a sheet.
pub(crate) fn write(to: &mut To, sheet: &Sheet) {
    to.text(&sheet.board);
    to.text(&sheet.kind);
    to.count(sheet.words.len());
    sheet.words.iter().for_each(|word| to.text(word));
    to.count(sheet.facts.len());
    for fact in &sheet.facts {
        to.byte(fact.kind.map_or(u8::MAX, packed::kind));
        to.text(&fact.place);
        to.text(&fact.state);
        to.byte(u8::from(fact.placed));
        to.text(&fact.value);
    }
    to.text(&sheet.texts);
    to.count(sheet.numbers.len());
    for number in &sheet.numbers {
        to.small(u64::from(*number));
    }
    to.count(sheet.rows.len());
    for row in &sheet.rows {
        write_row(to, row);
    }
}

fn write_row(to: &mut To, row: &Row) {
    to.bytes
        .extend(row.closed_on.num_days_from_ce().to_le_bytes());
    let bits = [row.evidence, row.speaks, row.proved, row.bounced];
    let bits = bits.iter().enumerate();
    to.byte(bits.fold(0, |sum, (at, bit)| sum | (u8::from(*bit) << at)));
    let variant = VARIANTS.iter().position(|v| *v == row.variant);
    to.small(variant.unwrap_or(VARIANTS.len()) as u64);
    to.small(u64::from(row.family));
    for (at, len) in [row.id, row.job, row.sights, row.environment] {
        to.small(u64::from(at));
        to.small(u64::from(len));
    }
}

/// Reads what [`write()`] wrote.
pub(crate) fn read(from: &mut From<'_>) -> Option<Sheet> {
    let mut sheet = Sheet {
        board: from.text()?.to_owned(),
        kind: from.text()?.to_owned(),
        ..Sheet::default()
    };
    for _ in 0..from.count()? {
        sheet.words.push(from.text()?.to_owned());
    }
    for _ in 0..from.count()? {
        let kind = match from.byte()? {
            u8::MAX => None,
            number => Some(packed::kind_of(number)?),
        };
        let place = from.text()?.to_owned();
        let state = from.text()?.to_owned();
        let placed = from.byte()? > 0;
        sheet.facts.push(Fact {
            kind,
            tells: general::tells(kind, &place, placed),
            place,
            state,
            placed,
            value: from.text()?.to_owned(),
        });
    }
    from.text()?.clone_into(&mut sheet.texts);
    let numbers = from.count()?;
    sheet.numbers.reserve(numbers);
    for _ in 0..numbers {
        sheet.numbers.push(number(from)?);
    }
    let rows = from.count()?;
    sheet.rows.reserve(rows);
    for _ in 0..rows {
        sheet.rows.push(read_row(from)?);
    }
    Some(sheet)
}

fn number(from: &mut From<'_>) -> Option<u32> {
    u32::try_from(from.small()?).ok()
}

fn read_row(from: &mut From<'_>) -> Option<Row> {
    let day = i32::from_le_bytes(from.take(4)?.try_into().ok()?);
    let bits = from.byte()?;
    let variant = *VARIANTS.get(usize::try_from(from.small()?).ok()?)?;
    let family = number(from)?;
    let mut part = || -> Option<Part> { Some((number(from)?, number(from)?)) };
    Some(Row {
        closed_on: NaiveDate::from_num_days_from_ce_opt(day)?,
        family,
        variant,
        evidence: bits & 1 > 0,
        speaks: bits & 2 > 0,
        proved: bits & 4 > 0,
        bounced: bits & 8 > 0,
        id: part()?,
        job: part()?,
        sights: part()?,
        environment: part()?,
    })
}
