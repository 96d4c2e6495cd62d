//! What points to a side of two look-alikes: a side on which all is well points to nobody.
//!
//! A shown finding points to a side's fix where it is wrong there and the other side's jobs do not agree
//! on the same, or where at least half of the board's other jobs that show it ended in this fix. Where
//! nothing shown does, what tells the fix is looked for: a wrong reading that its jobs agree on and few
//! others show. A wrong reading that one side's jobs agree on, that nobody else shows and that the other
//! side hardly took, separates the two as well, unless both boards of the card show its place alike in
//! another state: whoever names it names what they share. A fix that no wrong reading tells is told by what is well
//! around it, and that is all there is to show. Limits: common practice, no source.

use crate::domain::generate::coded::band;
use crate::domain::generate::coded::mask::Mask;
use crate::domain::generate::coded::table::Table;
use crate::domain::generate::kinds::contrast;
use crate::domain::generate::kinds::contrast::pairs::Pair;
use crate::domain::generate::weigh::agreed;
use crate::domain::generate::weigh::shelf::Shelf;
use crate::domain::generate::words::phrases;
use crate::domain::job::FindingKind;

/// Readings that one side alone took and that are accepted as what separates, at most.
const ONE_SIDED: usize = 2;

/// A wrong reading of one side, and how it is told.
#[derive(Clone, Copy)]
struct Sign {
    name: usize,
    value: usize,
    /// Jobs of the fix that show it.
    own: usize,
    /// Jobs of neither side that show it.
    others: usize,
    /// Jobs of the other side that show it.
    partner: usize,
    /// The other side's jobs agree on something else, or on nothing.
    apart: bool,
}

/// Returns the names of a table on whose wrong value a side's jobs agree.
fn signs(shelf: &Shelf<'_>, pair: &Pair<'_>, table: &Table, side: usize) -> Vec<Sign> {
    let [own, partner] = [side, 1 - side].map(|side| pair.groups[side]);
    let sign = |name: usize| {
        let plain = &table.names()[name];
        if matches!(plain.kind, FindingKind::Heat | FindingKind::Visual) {
            return None;
        }
        let value = agreed::settled(table, own, name)?;
        let other = agreed::settled(table, partner, name);
        // Whether a named test's result is a fault, its words do not say: what both sides show is none.
        let wrong = match plain.kind {
            FindingKind::Other => other.is_some_and(|other| other != value),
            _ => !band::is_healthy(table.word(name, value)),
        };
        if !wrong {
            return None;
        }
        let (mut n_own, mut n_partner, mut others) = (0, 0, 0);
        for case in table.rows(name, value).iter().map(|at| &shelf.cases[*at]) {
            if own.has_fix(&case.fix) {
                n_own += 1;
            } else if partner.has_fix(&case.fix) {
                n_partner += 1;
            } else {
                others += 1;
            }
        }
        Some(Sign {
            name,
            value,
            own: n_own,
            others,
            partner: n_partner,
            apart: other != Some(value),
        })
    };
    (0..table.names().len()).filter_map(sign).collect()
}

/// Tells whether something of `shown` points to the fix of a side.
pub(super) fn points(shelf: &Shelf<'_>, pair: &Pair<'_>, side: usize, shown: &[usize]) -> bool {
    let seen = |sign: &Sign| pair.table.value(sign.name, pair.shown[side]) == Some(sign.value);
    let signs = signs(shelf, pair, &pair.table, side);
    let mut signs = signs.iter().filter(|sign| shown.contains(&sign.name));
    signs.any(|sign| seen(sign) && (sign.apart || sign.others <= sign.own))
}

/// Returns what tells the fix of a side best, of the names that `may` be taken.
fn telling(
    shelf: &Shelf<'_>,
    pair: &Pair<'_>,
    table: &Table,
    side: usize,
    may: impl Fn(&Sign) -> bool,
) -> Option<Sign> {
    let signs = signs(shelf, pair, table, side).into_iter();
    let tells = signs.filter(|s| s.others + s.partner <= s.own && may(s));
    tells.min_by_key(|s| (s.others + s.partner, std::cmp::Reverse(s.own), s.name))
}

/// Returns a name that is not shown yet and points to a side, where its job took that reading and the
/// reading may stand on the card.
pub(super) fn found(
    shelf: &Shelf<'_>,
    pair: &Pair<'_>,
    side: usize,
    shown: &[usize],
) -> Option<usize> {
    let table = &pair.table;
    let may = |sign: &Sign| {
        !shown.contains(&sign.name)
            && contrast::pairs::may_separate(&table.names()[sign.name])
            && table.value(sign.name, pair.shown[side]) == Some(sign.value)
    };
    telling(shelf, pair, table, side, may).map(|sign| sign.name)
}

/// Says that nothing of `shown` points to a side though the archive knows what would.
pub(super) fn missing(
    shelf: &Shelf<'_>,
    pair: &Pair<'_>,
    side: usize,
    shown: &[usize],
) -> Option<String> {
    if points(shelf, pair, side, shown) {
        return None;
    }
    let bare = shelf.table(&Mask::default());
    let sign = telling(shelf, pair, &bare, side, |_| true)?;
    let evidence = pair.groups[side].evidence.iter();
    let read = evidence.filter_map(|at| bare.value(sign.name, *at));
    let (k, n) = read.fold((0, 0), |(k, n), v| {
        (k + usize::from(v == sign.value), n + 1)
    });
    Some(format!(
        "nothing shown points to {}: {} tells it ({k} of {n}) and is not on the card",
        phrases::short_fix(&pair.groups[side].fix),
        phrases::read_as(&bare.names()[sign.name], bare.word(sign.name, sign.value)),
    ))
}

/// Returns the names that separate the two by what one side alone took: wrong in its jobs, in nobody
/// else's, and read by too few of the other side for a value of its own. None of them is read as one of
/// `alike`, which both boards show, in whatever state.
pub(super) fn one_sided(shelf: &Shelf<'_>, pair: &Pair<'_>, alike: &[usize]) -> Vec<usize> {
    let all = pair.table.names();
    let is_shared = |name: usize| {
        let (kind, place) = (all[name].kind, &all[name].place);
        let mut alike = alike.iter().map(|shown| &all[*shown]);
        alike.any(|shown| shown.kind == kind && shown.place == *place)
    };
    let mut found: Vec<(usize, usize)> = Vec::new();
    for side in 0..2 {
        let other = |name: usize| pair.values[name][1 - side].is_none();
        let signs = signs(shelf, pair, &pair.table, side).into_iter();
        let alone = signs.filter(|s| s.others + s.partner == 0 && other(s.name));
        let named =
            alone.filter(|s| contrast::pairs::may_separate(&all[s.name]) && !is_shared(s.name));
        found.extend(named.map(|s| (s.own, s.name)));
    }
    found.sort_by_key(|(own, name)| (std::cmp::Reverse(*own), *name));
    found.truncate(ONE_SIDED);
    found.into_iter().map(|(_, name)| name).collect()
}
