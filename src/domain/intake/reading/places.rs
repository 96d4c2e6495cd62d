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
    /// As it is to be written: designators and nets in capitals, functions in the words of the text.
    pub(super) name: String,
    /// Its plain English words, where it is a function.
    pub(super) plain: String,
    /// What it is.
    pub(super) sort: Sort,
}

impl Place {
    fn new(name: &str, sort: Sort) -> Self {
        Self {
            name: name.to_owned(),
            plain: String::new(),
            sort,
        }
    }

    /// A place by its function: its words, and what they mean.
    fn function(words: &str, plain: &str, sort: Sort) -> Self {
        let clipped = [
            "reg",
            "regs",
            "vreg",
            "stby",
            "stdby",
            "sb rail",
            "stby rail",
        ];
        let spelled = clipped.iter().any(|c| words.eq_ignore_ascii_case(c));
        Self {
            name: if spelled { plain } else { words }.to_owned(),
            plain: plain.to_owned(),
            sort,
        }
    }

    /// Returns the words to look up what it is.
    pub(super) fn meaning(&self) -> &str {
        if self.plain.is_empty() {
            &self.name
        } else {
            &self.plain
        }
    }
}

/// Places that stand together.
#[expect(
    clippy::struct_excessive_bools,
    reason = "how one list was written, each on its own"
)]
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
    /// Where "under", "near" stands that belongs to a place that is no part.
    pub(super) beside: Option<usize>,
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
                let name = self
                    .source(i)
                    .replace(' ', "")
                    .replace(',', ".")
                    .to_ascii_uppercase();
                let volts = self.nominal(&name).or(Some(q.value()));
                one(Place::new(&name, Sort::Rail(volts)), i + 1)
            }
            What::Quantity(q)
                if q.unit == Unit::PartValue || (q.letter_mark && q.unit == Unit::Ohm) =>
            {
                one(Place::new(self.source(i), Sort::Value), i + 1)
            }
            // "2 caps"
            What::Quantity(q)
                if q.unit == Unit::None
                    && q.number.whole
                    && q.from.is_none()
                    && q.value() < 21.0 =>
            {
                let noun = self.noun_at(i + 1)?;
                let words = self.items[i].words.start..self.items[i + 1].words.end;
                one(
                    Place::function(&self.text[words], noun, Sort::Function),
                    i + 2,
                )
            }
            What::Said(senses) => self.named(i, senses)?,
            _ => return None,
        };
        self.pair(&mut places);
        self.widen(&mut places);
        Some(places)
    }

    fn named(&self, i: usize, senses: &[Sense]) -> Option<Places> {
        let source = self.source(i);
        let shouted = source.len() > 1 && source.bytes().all(|b| !b.is_ascii_lowercase());
        for sense in senses {
            return Some(match sense {
                Sense::Noun(name) => {
                    let plain = match source.split_once('-') {
                        // "Standby-Regler": its first half tells the circuit.
                        Some((first, last)) if !last.contains('-') => {
                            format!("{} {name}", first.to_ascii_lowercase())
                        }
                        _ => (*name).to_owned(),
                    };
                    one(Place::function(source, &plain, Sort::Function), i + 1)
                }
                Sense::Signal(name) => {
                    let net = matches!(*name, "SDA" | "SCL" | "CANH" | "CANL" | "PGOOD");
                    let written = if net && !shouted { name } else { source };
                    one(Place::function(written, name, Sort::Signal), i + 1)
                }
                Sense::Rail(name) => {
                    let net = matches!(*name, "VCORE" | "standby");
                    let written = if net { name } else { source };
                    let sort = Sort::Rail(self.nominal(written));
                    one(Place::function(written, name, sort), i + 1)
                }
                Sense::Spot(name) => one(Place::function(source, name, Sort::Spot), i + 1),
                Sense::Cue(Cue::Mains) if self.noun_at(i + 1).is_some() => {
                    one(Place::function(source, "mains", Sort::Function), i + 1)
                }
                Sense::State("standby") if self.judged(i + 1) || self.noun_at(i + 1).is_some() => {
                    one(Place::new("standby", Sort::Rail(None)), i + 1)
                }
                Sense::Cue(Cue::Phase) => {
                    let name = self.items.get(i + 1)?;
                    let letter = &self.text[name.words.clone()];
                    if letter.len() != 1 || !letter.is_ascii() {
                        return None;
                    }
                    let both = &self.text[self.items[i].words.start..name.words.end];
                    let mut place = one(Place::function(both, "phase", Sort::Signal), i + 2);
                    place.collision = matches!(letter, "V" | "v" | "A" | "a" | "C");
                    place
                }
                _ => continue,
            });
        }
        None
    }

    /// "CANH-CANL": between two lines.
    fn pair(&self, places: &mut Places) {
        let [only] = places.list.as_mut_slice() else {
            return;
        };
        let dash = matches!(
            self.items.get(places.next).map(|i| &i.what),
            Some(What::Mark('-'))
        );
        if only.sort != Sort::Signal || !dash {
            return;
        }
        let second = match self.items.get(places.next + 1).map(|i| &i.what) {
            Some(What::Net(name)) => name.clone(),
            Some(What::Said(senses)) if senses.iter().any(|s| matches!(s, Sense::Signal(_))) => {
                self.source(places.next + 1).to_ascii_uppercase()
            }
            _ => return,
        };
        only.name = format!("{}-{second}", only.name);
        places.next += 2;
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
                    places.connector |= only.meaning().ends_with("connector");
                    let plain = std::mem::take(&mut places.list[0].plain);
                    places.list = list
                        .names
                        .iter()
                        .map(|n| Place::new(n, Sort::Part))
                        .collect();
                    if let [only] = places.list.as_mut_slice() {
                        only.plain = plain;
                    }
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
                    let said = &self.text[item.words.clone()];
                    only.plain = format!("{} {noun}", only.meaning());
                    let clipped = ["reg", "regs", "vreg"].contains(&said);
                    only.name = format!("{} {}", only.name, if clipped { noun } else { said });
                    only.sort = Sort::Function;
                }
                (Sort::Signal | Sort::Function | Sort::Rail(_), None)
                    if senses.iter().any(|s| matches!(s, Sense::Spot(_))) =>
                {
                    // "phase A corner"
                    only.name = format!("{} {}", only.name, &self.text[item.words.clone()]);
                    only.sort = Sort::Spot;
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
                            Sense::Cue(Cue::Near | Cue::Under) => {
                                cued = true;
                                beside = beside.or(Some(at));
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
                // "3V3 under 1V": a limit, not a place.
                What::Quantity(_) if beside.is_some() => return None,
                _ if cued => {
                    let mut places = self.place_at(at)?;
                    places.beside = beside;
                    self.free_place(at, &mut places);
                    return Some(places);
                }
                _ => return None,
            }
            at += 1;
        }
        None
    }

    /// Writes a place that is no part in the words of the text: "under both shields", "bottom R by
    /// plug".
    pub(super) fn free_place(&self, at: usize, places: &mut Places) {
        let [only] = places.list.as_mut_slice() else {
            return;
        };
        if !matches!(only.sort, Sort::Spot | Sort::Function) {
            return;
        }
        if only.sort == Sort::Spot
            && let What::Said(senses) = self
                .items
                .get(places.next)
                .map_or(&What::Unknown, |i| &i.what)
            && senses
                .iter()
                .any(|s| matches!(s, Sense::Cue(Cue::Near | Cue::Under)))
            && let Some(more) = self.place_at(places.next + 1)
        {
            places.next = more.next;
        }
        let from = self.items[places.beside.unwrap_or(at)].words.start;
        let said = &self.text[from..self.items[places.next - 1].words.end];
        if only.sort == Sort::Spot || places.beside.is_some() {
            said.clone_into(&mut only.name);
        }
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
