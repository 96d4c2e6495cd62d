//! Readings sorted by what they have in common: kind, place, state, reference and band, whatever
//! their exact numbers.
//!
//! A query is compared with each of these once, however many jobs have it. Which jobs have it is
//! kept beside, by the same order, in memory ([`index`](super::index)) or in a file.

use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::names::Names;
use crate::domain::search::bounds::Bound;
use crate::domain::search::readings;
use crate::domain::search::readings::Places;
use crate::domain::search::readings::Sought;

/// Findings of one kind, place, reference and band; texts by their number in [`Atoms::texts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Atom {
    /// Kind of finding.
    pub kind: FindingKind,
    /// Board id, where the shop knows the board.
    pub board: Option<u32>,
    /// Where, as written.
    pub place: u32,
    /// Where, folded by [`readings::place`].
    pub folded: u32,
    /// State of the board.
    pub state: Option<u32>,
    /// Meter polarity.
    pub polarity: Option<u32>,
    /// The numbers are frequencies (Hz).
    pub in_hertz: bool,
    /// The bits of what a good board shows, by the finding itself (unit of the kind).
    pub good: Option<u64>,
    /// The band; none for a finding that says nothing but its place.
    pub band: Option<u32>,
    /// The band of the numbers alone, where the finding has a word of its own as well.
    pub number_band: Option<u32>,
}

/// Atoms in the order of their folded places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Atoms {
    /// What the numbers in an atom stand for.
    pub texts: Names,
    /// The atoms.
    pub list: Vec<Atom>,
}

impl Atoms {
    /// Returns a text of an atom.
    pub fn text(&self, number: u32) -> &str {
        self.texts.get(number)
    }

    fn maybe(&self, number: Option<u32>) -> Option<&str> {
        number.map(|number| self.texts.get(number))
    }

    /// Returns what makes an atom one of its own, by which atoms are sorted; places first.
    pub fn key(&self, atom: &Atom) -> impl Ord + use<'_> {
        (
            self.text(atom.folded),
            atom.kind,
            self.text(atom.place),
            self.maybe(atom.board),
            (self.maybe(atom.state), self.maybe(atom.polarity)),
            (atom.in_hertz, atom.good),
            (self.maybe(atom.band), self.maybe(atom.number_band)),
        )
    }

    /// Returns the atoms at the folded place.
    fn at(&self, place: &str) -> &[Atom] {
        let before = |atom: &Atom| self.text(atom.folded) < place;
        let rest = &self.list[self.list.partition_point(before)..];
        &rest[..rest.partition_point(|atom| self.text(atom.folded) == place)]
    }

    /// Returns which atoms are of `kind` at a place that names `place` (folded).
    pub fn at_place(&self, kind: FindingKind, place: &str) -> Vec<usize> {
        let fits =
            |atom: &Atom| atom.kind == kind && readings::names(self.text(atom.folded), place);
        let found = self.list.iter().enumerate();
        found.filter(|(_, a)| fits(a)).map(|(at, _)| at).collect()
    }

    /// Returns which atoms are of a kind, place and band that `sought` asks for.
    pub fn fitting(&self, sought: &Sought, boards: &[Board]) -> Vec<usize> {
        let exact = sought.place.as_ref().is_some_and(|place| self.knows(place));
        let mut found = Vec::new();
        let mut last: Option<(u32, bool)> = None;
        for (at, atom) in self.list.iter().enumerate() {
            let there = match last {
                Some((folded, there)) if folded == atom.folded => there,
                _ => is_there(self.text(atom.folded), sought.place.as_deref(), exact),
            };
            last = Some((atom.folded, there));
            if there && self.fits(atom, sought, boards) {
                found.push(at);
            }
        }
        found
    }

    fn fits(&self, atom: &Atom, sought: &Sought, boards: &[Board]) -> bool {
        let Some(band) = self.maybe(atom.band) else {
            return false;
        };
        let by_word = sought
            .bands
            .iter()
            .any(|(of, word)| *of == atom.kind && word == band);
        let Some((low, high)) = sought.value else {
            return by_word;
        };
        if !sought.kinds.contains(&atom.kind) || !sought.bands.is_empty() && !by_word {
            return false;
        }
        if atom.kind == FindingKind::Signal && sought.in_hertz != atom.in_hertz {
            return false;
        }
        // Against a limit every reading is looked at by its number.
        if by_word || sought.bound != Bound::About {
            return true;
        }
        let mut like = Finding::new(atom.kind, self.text(atom.place));
        like.state = self.maybe(atom.state).map(str::to_owned);
        like.polarity = self.maybe(atom.polarity).map(str::to_owned);
        like.in_hertz = atom.in_hertz;
        like.good = atom.good.map(f64::from_bits);
        if low.to_bits() == high.to_bits() {
            like.got = Some(low);
        } else {
            (like.low, like.high) = (Some(low), Some(high));
        }
        let id = self.maybe(atom.board);
        let board = id.and_then(|id| boards.iter().find(|b| b.id == id));
        band::band(&like, board).as_deref() == self.maybe(atom.number_band).or(Some(band))
    }

    /// Returns the numbers that the word of an atom alone says, where it says any: an absent rail
    /// has less than a twentieth of its volts, a hard short less than an ohm.
    pub fn implied(&self, atom: &Atom) -> Option<(f64, f64)> {
        match (atom.kind, self.maybe(atom.band)?) {
            (FindingKind::Rail, "absent") => {
                let named = || band::named_volts(self.text(atom.place));
                let volts = atom
                    .good
                    .map(f64::from_bits)
                    .or_else(named)
                    .filter(|v| *v > 0.0)?;
                Some((0.0, volts * 0.05))
            }
            (FindingKind::Resistance, "hard-short") => Some((0.0, 1.0)),
            (FindingKind::Diode, "short") => Some((0.0, 0.05)),
            (FindingKind::Resistance, "open") | (FindingKind::Diode, "OL") => {
                Some((f64::INFINITY, f64::INFINITY))
            }
            (FindingKind::Current, "zero") => Some((0.0, 0.0)),
            _ => None,
        }
    }
}

impl Places for Atoms {
    fn knows(&self, place: &str) -> bool {
        !place.is_empty() && self.at(place).iter().any(|atom| atom.band.is_some())
    }

    fn bands_at(&self, place: &str) -> Vec<(FindingKind, String)> {
        let bands = self.at(place).iter().filter_map(|atom| {
            let band = self.maybe(atom.band)?;
            Some((atom.kind, band.to_owned()))
        });
        let mut bands: Vec<(FindingKind, String)> = bands.collect();
        bands.sort();
        bands.dedup();
        bands
    }
}

/// Tells whether the folded place is the one asked for, or, where nobody knows that one, a rail of
/// the same volts.
fn is_there(folded: &str, asked: Option<&str>, exact: bool) -> bool {
    let Some(asked) = asked else { return true };
    let same_volts = || {
        let asked = band::named_volts(asked);
        let volts = band::named_volts(folded);
        matches!((asked, volts), (Some(a), Some(b)) if (a - b).abs() < 1e-9)
    };
    readings::names(folded, asked) || !exact && same_volts()
}
