//! A clock that is missing belongs to the crystal that is named beside it.

use crate::domain::intake::reading::places::Place;
use crate::domain::intake::reading::places::Places;
use crate::domain::intake::reading::places::Sort;
use crate::domain::intake::reading::reader::Reader;

impl Reader<'_> {
    /// "No clock at Y1": the crystal follows at item `i`.
    pub(super) fn clock_at_crystal(&self, places: &Places, i: usize) -> Option<Places> {
        let [clock] = places.list.as_slice() else {
            return None;
        };
        let ahead = self.place_ahead(i)?;
        let [crystal] = ahead.list.as_slice() else {
            return None;
        };
        let fits = clock.sort == Sort::Signal
            && clock.meaning() == "clock"
            && crystal.sort == Sort::Part
            && is_crystal(crystal);
        fits.then(|| Places {
            list: vec![Place {
                name: crystal.name.clone(),
                ..clock.clone()
            }],
            next: places.next,
            ..Places::default()
        })
    }

    /// "Y1 no clock": the clock at the crystal that was just named.
    pub(super) fn clock_of_crystal(&self, places: &Places) -> Option<Places> {
        let [clock] = places.list.as_slice() else {
            return None;
        };
        let [crystal] = self.place.list.as_slice() else {
            return None;
        };
        let fits = clock.sort == Sort::Signal
            && clock.meaning() == "clock"
            && self.fresh
            && self.near
            && is_crystal(crystal);
        fits.then(|| Places {
            list: vec![Place {
                name: crystal.name.clone(),
                plain: "clock".to_owned(),
                sort: Sort::Signal,
            }],
            next: places.next,
            ..Places::default()
        })
    }
}

/// Tells whether a place is a crystal or oscillator: by its word, or by its letters.
pub(super) fn is_crystal(place: &Place) -> bool {
    let letters = place
        .name
        .trim_end_matches(|c: char| c.is_ascii_digit())
        .len();
    let designator = place.sort == Sort::Part
        && letters < place.name.len()
        && matches!(&place.name[..letters], "Y" | "X" | "XTAL" | "OSC");
    designator || matches!(place.meaning(), "crystal" | "oscillator")
}
