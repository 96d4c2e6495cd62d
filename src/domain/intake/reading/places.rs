//! Where something was read, seen or done.

use crate::domain::intake::reading::items::What;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::parts;
use crate::domain::intake::reading::parts::Carries;
use crate::domain::intake::reading::reader::Reader;
use crate::domain::intake::words::sense::Cue;
use crate::domain::intake::words::sense::Sense;

/// What a place is; it decides what a word beside it means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sort {
    /// A supply rail, of these volts where its name or the board tells.
    Rail(Option<f64>),
    /// A signal.
    Signal,
    /// A designator.
    Part,
    /// A part by its function.
    Function,
    /// A corner, a side, a shield.
    Spot,
    /// A net of which nothing is known.
    Net,
    /// A part by its value, `100n`.
    Value,
}

/// A place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Place {
    /// As it is to be written.
    pub(super) name: String,
    /// What it is.
    pub(super) sort: Sort,
}

impl Place {
    fn new(name: &str, sort: Sort) -> Self {
        Self {
            name: name.to_owned(),
            sort,
        }
    }
}

/// Places that stand together.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Places {
    /// In the order written.
    pub(super) list: Vec<Place>,
    /// "Or" stood between them.
    pub(super) either: bool,
    /// A range was written out.
    pub(super) expanded: bool,
    /// May be ohms: `r47`.
    pub(super) may_be_ohms: bool,
    /// A letter that may be a unit names a phase.
    pub(super) collision: bool,
    /// The item after it.
    pub(super) next: usize,
    /// A connector, by its own word.
    pub(super) connector: bool,
    /// "Under", "near": goes before a place that is no part.
    pub(super) beside: Option<&'static str>,
}

impl Reader<'_> {
    /// Reads the place that starts at item `i`.
    pub(super) fn place_at(&self, i: usize) -> Option<Places> {
        let mut places = match &self.items.get(i)?.what {
            What::Parts(list) => Places {
                list: list
                    .names
                    .iter()
                    .map(|n| Place::new(n, Sort::Part))
                    .collect(),
                either: list.either,
                expanded: list.expanded,
                may_be_ohms: list.may_be_ohms,
                next: i + 1,
                ..Places::default()
            },
            What::Net(name) => one(Place::new(name, self.sort_of(name)), i + 1),
            What::Quantity(q) if q.unit == Unit::Volt && self.may_be_rail(i) => {
                let name = self.source(i).replace(' ', "").to_ascii_uppercase();
                let volts = self.nominal(&name).or(Some(q.value()));
                one(Place::new(&name, Sort::Rail(volts)), i + 1)
            }
            What::Quantity(q)
                if q.unit == Unit::PartValue || (q.letter_mark && q.unit == Unit::Ohm) =>
            {
                one(Place::new(self.source(i), Sort::Value), i + 1)
            }
            What::Said(senses) => self.named(i, senses)?,
            _ => return None,
        };
        self.widen(&mut places);
        Some(places)
    }

    fn named(&self, i: usize, senses: &[Sense]) -> Option<Places> {
        let source = self.source(i);
        let shouted = source.len() > 1 && source.bytes().all(|b| !b.is_ascii_lowercase());
        for sense in senses {
            return Some(match sense {
                Sense::Noun(name) => one(Place::new(name, Sort::Function), i + 1),
                Sense::Signal(_) if shouted && !source.contains(' ') => {
                    one(Place::new(source, Sort::Signal), i + 1)
                }
                Sense::Signal(name) => one(Place::new(name, Sort::Signal), i + 1),
                Sense::Rail(name) => one(Place::new(name, Sort::Rail(self.nominal(name))), i + 1),
                Sense::Spot(name) => one(Place::new(name, Sort::Spot), i + 1),
                Sense::Cue(Cue::Mains) if self.noun_at(i + 1).is_some() => {
                    let side = if source.to_ascii_lowercase().starts_with("pri") {
                        "primary"
                    } else {
                        "mains"
                    };
                    one(Place::new(side, Sort::Function), i + 1)
                }
                Sense::State("standby") if self.judged(i + 1) => {
                    one(Place::new("standby", Sort::Rail(None)), i + 1)
                }
                Sense::Cue(Cue::Phase) => {
                    let name = self.items.get(i + 1)?;
                    let letter = &self.text[name.words.clone()];
                    if letter.len() != 1 || !letter.is_ascii() {
                        return None;
                    }
                    let mut place =
                        one(Place::new(&format!("phase {letter}"), Sort::Signal), i + 2);
                    place.collision = matches!(letter, "V" | "v" | "A" | "a" | "C");
                    place
                }
                _ => continue,
            });
        }
        None
    }

    fn noun_at(&self, i: usize) -> Option<&'static str> {
        self.senses(i).iter().find_map(|s| match s {
            Sense::Noun(noun) => Some(*noun),
            _ => None,
        })
    }

    /// Adds what belongs to the name: a pin, a further noun, "rail".
    fn widen(&self, places: &mut Places) {
        loop {
            let Some(item) = self.items.get(places.next) else {
                return;
            };
            let What::Said(senses) = &item.what else {
                if let What::Parts(list) = &item.what
                    && let [only] = places.list.as_slice()
                    && only.sort == Sort::Function
                {
                    // "regulator U31": the designator is the name.
                    places.connector |= only.name.ends_with("connector");
                    places.list = list
                        .names
                        .iter()
                        .map(|n| Place::new(n, Sort::Part))
                        .collect();
                    places.either = list.either;
                    places.expanded = list.expanded;
                    places.next += 1;
                    continue;
                }
                return;
            };
            let [only] = places.list.as_mut_slice() else {
                return;
            };
            let noun = senses.iter().find_map(|s| match s {
                Sense::Noun(noun) => Some(*noun),
                _ => None,
            });
            let is = |cue: Cue| senses.contains(&Sense::Cue(cue));
            match (only.sort, noun) {
                (Sort::Rail(_) | Sort::Signal | Sort::Function | Sort::Net, Some(noun)) => {
                    only.name = format!("{} {noun}", only.name);
                    only.sort = Sort::Function;
                }
                (Sort::Function, None) if is(Cue::Rail) => {
                    only.name.push_str(" rail");
                    only.sort = Sort::Rail(None);
                }
                (Sort::Rail(_) | Sort::Signal | Sort::Net, None) if is(Cue::Rail) => {}
                (Sort::Rail(volts), None) if senses.contains(&Sense::State("standby")) => {
                    only.name.push_str(" standby");
                    only.sort = Sort::Rail(volts);
                }
                (Sort::Part, None) if is(Cue::Pin) => {
                    let What::Quantity(pin) = &self
                        .items
                        .get(places.next + 1)
                        .map_or(&What::Unknown, |i| &i.what)
                    else {
                        return;
                    };
                    if !pin.number.whole {
                        return;
                    }
                    only.name = format!("{} pin {}", only.name, pin.value());
                    places.next += 1;
                }
                _ => return,
            }
            places.next += 1;
        }
    }

    /// Tells whether a number in volts at `i` names a rail: something about it follows, or nothing
    /// that it could be a reading of stands before.
    fn may_be_rail(&self, i: usize) -> bool {
        let What::Quantity(q) = &self.items[i].what else {
            return false;
        };
        let plain =
            q.from.is_none() && q.steps.is_empty() && q.qualifier.is_none() && q.value() > 0.5;
        plain && q.prefix == 0 && self.source(i).len() <= 6
    }

    /// Tells whether a judgement, a reading or the word "rail" stands at item `i`.
    pub(super) fn judged(&self, i: usize) -> bool {
        match self.items.get(i).map(|i| &i.what) {
            Some(What::Said(senses)) => senses
                .iter()
                .any(|s| matches!(s, Sense::Verdict(_) | Sense::Cue(Cue::Rail | Cue::ToGround))),
            Some(What::Quantity(q)) => matches!(q.unit, Unit::Volt | Unit::None | Unit::Ohm),
            Some(What::Mark('=' | ':')) => {
                matches!(
                    self.items.get(i + 1).map(|i| &i.what),
                    Some(What::Quantity(_))
                )
            }
            _ => false,
        }
    }

    /// Reads a place after "at", "on", "under": returns it with the item after it.
    pub(super) fn place_ahead(&self, i: usize) -> Option<Places> {
        let mut at = i;
        let mut cued = false;
        let mut beside = None;
        for _ in 0..5 {
            match self.items.get(at).map(|i| &i.what)? {
                What::Said(senses)
                    if self.place_at(at).is_none() || senses.contains(&Sense::Filler) =>
                {
                    let mut passable = false;
                    for sense in *senses {
                        match sense {
                            Sense::Cue(Cue::At) => cued = true,
                            Sense::Cue(Cue::Near) => {
                                cued = true;
                                beside = beside.or(Some("near"));
                            }
                            Sense::Cue(Cue::Under) => {
                                cued = true;
                                beside = beside.or(Some("under"));
                            }
                            Sense::Filler
                            | Sense::Extent(_)
                            | Sense::Cue(Cue::ToGround | Cue::All | Cue::To) => {}
                            _ => continue,
                        }
                        passable = true;
                    }
                    if !passable {
                        return None;
                    }
                }
                What::Mark('@') => cued = true,
                _ if cued => {
                    let mut places = self.place_at(at)?;
                    places.beside = beside;
                    if let [only] = places.list.as_mut_slice()
                        && only.sort == Sort::Spot
                        && let Some(more) = self.spot_beside(places.next)
                    {
                        only.name = format!("{} {}", only.name, more.0);
                        places.next = more.1;
                    }
                    return Some(places);
                }
                _ => return None,
            }
            at += 1;
        }
        None
    }

    /// Reads "by the plug" after a corner.
    pub(super) fn spot_beside(&self, i: usize) -> Option<(String, usize)> {
        let What::Said(senses) = &self.items.get(i)?.what else {
            return None;
        };
        let beside = senses.iter().find_map(|s| match s {
            Sense::Cue(Cue::Near) => Some("near"),
            Sense::Cue(Cue::Under) => Some("under"),
            _ => None,
        })?;
        let places = self.place_at(i + 1)?;
        let names: Vec<&str> = places.list.iter().map(|p| p.name.as_str()).collect();
        Some((format!("{beside} {}", names.join(", ")), places.next))
    }

    fn sort_of(&self, name: &str) -> Sort {
        match parts::carries(name, self.known.board) {
            Some(Carries::Supply(volts)) => Sort::Rail(self.nominal(name).or(volts)),
            Some(Carries::Signal) => Sort::Signal,
            None => Sort::Net,
        }
    }

    fn nominal(&self, name: &str) -> Option<f64> {
        self.known.board?.nominal_v.get(name).copied()
    }
}

fn one(place: Place, next: usize) -> Places {
    Places {
        list: vec![place],
        next,
        ..Places::default()
    }
}
