//! From chunks to things said: phrases of the tables, lists of designators, ranges of numbers.

use std::ops::Range;

use crate::domain::intake::board_facts::BoardFacts;
use crate::domain::intake::reading::numbers::Quantity;
use crate::domain::intake::reading::numbers::Unit;
use crate::domain::intake::reading::parts;
use crate::domain::intake::reading::scan::Day;
use crate::domain::intake::reading::scan::Kind;
use crate::domain::intake::reading::scan::Scan;
use crate::domain::intake::reading::scan::unit_after;
use crate::domain::intake::words::Words;
use crate::domain::intake::words::compounds;
use crate::domain::intake::words::sense::Sense;
use crate::domain::job::Qualifier;

/// One thing said.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum What<'w> {
    /// A phrase of the tables.
    Said(&'w [Sense]),
    /// Designators.
    Parts(PartList),
    /// A net, as it is to be written.
    Net(String),
    /// A number.
    Quantity(Quantity),
    /// A date.
    Day(Day),
    /// A version.
    Version,
    /// A word of no table.
    Unknown,
    /// Punctuation.
    Mark(char),
}

/// Designators, one entry each.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct PartList {
    /// In the order written.
    pub(super) names: Vec<String>,
    /// "Or" stood between them.
    pub(super) either: bool,
    /// A range was written out.
    pub(super) expanded: bool,
    /// May be ohms: `r47`.
    pub(super) may_be_ohms: bool,
}

/// One thing said, with its words.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Item<'w> {
    /// What it is.
    pub(super) what: What<'w>,
    /// Bytes of the text.
    pub(super) words: Range<usize>,
}

/// No range or list of designators that a person writes is longer.
const MOST_PARTS: usize = 64;

/// Abbreviations whose point ends no sentence.
const CLIPPED: [&str; 48] = [
    "repl", "rpl", "def", "ca", "approx", "no", "nr", "gew", "get", "gerein", "max", "min", "temp",
    "incl", "inkl", "bzw", "evtl", "vs", "resp", "st", "stk", "mess", "kond", "wid", "conn", "reg",
    "cap", "caps", "rem", "corr", "cust", "abt", "appx", "ger", "ausgel", "nachgel", "rev", "pos",
    "res", "ind", "spg", "ers", "ausget", "ver", "vers", "amp", "ohm", "chg",
];

/// Returns what a text says, in its order.
pub(super) fn items<'w>(
    scan: &Scan<'_>,
    words: &'w Words,
    board: Option<&BoardFacts>,
) -> Vec<Item<'w>> {
    let mut builder = Builder {
        scan,
        words,
        board,
        items: Vec::with_capacity(scan.chunks.len()),
        wired: false,
    };
    let mut at = 0;
    while at < scan.chunks.len() {
        at = builder.step(at);
    }
    builder.items
}

struct Builder<'s, 'w> {
    scan: &'s Scan<'s>,
    words: &'w Words,
    board: Option<&'s BoardFacts>,
    items: Vec<Item<'w>>,
    /// A wire was mentioned: "R4 to R7" are its two ends.
    wired: bool,
}

impl<'w> Builder<'_, 'w> {
    fn push(&mut self, what: What<'w>, from: usize, to: usize) -> usize {
        let words = self.scan.chunks[from].words.start..self.scan.chunks[to - 1].words.end;
        self.items.push(Item { what, words });
        to
    }

    /// Reads what starts at chunk `at`, and returns the chunk after it.
    fn step(&mut self, at: usize) -> usize {
        match &self.scan.chunks[at].kind {
            Kind::Word | Kind::Net | Kind::Number(_)
                if let Some((to, senses)) = self.compound(at) =>
            {
                self.push(What::Said(senses), at, to)
            }
            Kind::Word => self.word(at),
            Kind::Part => self.parts(at),
            Kind::Net => {
                let name = self.spelling(self.scan.source(at));
                self.push(What::Net(name), at, at + 1)
            }
            Kind::Number(quantity) => self.number(at, quantity.clone()),
            Kind::Day(day) => self.push(What::Day(*day), at, at + 1),
            Kind::Version => self.version(at),
            Kind::Mark('.') if self.is_clipped(at) => at + 1,
            Kind::Mark(mark @ ('<' | '>' | '~')) => self.qualified(at, *mark),
            Kind::Mark(mark) => self.push(What::Mark(*mark), at, at + 1),
        }
    }

    fn is_clipped(&self, at: usize) -> bool {
        let chunk = &self.scan.chunks[at];
        let more = self
            .scan
            .chunks
            .get(at + 1)
            .is_some_and(|c| c.kind != Kind::Mark(';'));
        at > 0 && !chunk.gap && more && CLIPPED.contains(&self.scan.folded(at - 1))
    }

    /// Returns the n-th word after `at` where it follows directly, and its chunk.
    fn word_after(&self, at: usize, n: usize) -> Option<(usize, &str)> {
        let mut i = at;
        for _ in 0..=n {
            i += 1;
            let joint = self.scan.is_mark(i, '-') || self.scan.is_mark(i, '/');
            if joint && self.scan.is_tight(i) {
                i += 1;
            }
            let chunk = self.scan.chunks.get(i)?;
            match chunk.kind {
                Kind::Word | Kind::Mark('&') => {}
                _ => return None,
            }
        }
        if self.scan.is_mark(i, '&') {
            return Some((i, "&"));
        }
        Some((i, self.scan.folded(i)))
    }

    fn phrase(&self, first: &str, at: usize) -> Option<(usize, &'w [Sense])> {
        let found = self
            .words
            .longest(first, |n| self.word_after(at, n).map(|(_, word)| word))?;
        let last = match found.0 {
            0 => at,
            n => self.word_after(at, n - 1).map_or(at, |(i, _)| i),
        };
        Some((last + 1, found.1))
    }

    fn word(&mut self, at: usize) -> usize {
        let source = self.scan.source(at);
        let net = self.net(source);
        if let Some(name) = &net
            && self.board.is_some_and(|b| b.places.contains(name))
            && source.bytes().any(|b| b.is_ascii_uppercase())
        {
            return self.push(What::Net(name.clone()), at, at + 1);
        }
        if let Some((to, senses)) = self.phrase(self.scan.folded(at), at) {
            self.wired |= senses.contains(&Sense::Act("bridge-or-jumper"))
                || senses.contains(&Sense::Noun("cable"));
            return self.push(What::Said(senses), at, to);
        }
        let what = net.map_or_else(
            || compounds::noun_of(self.scan.folded(at)).map_or(What::Unknown, What::Said),
            What::Net,
        );
        self.push(what, at, at + 1)
    }

    /// Returns the net's name if a plain word is written as one.
    fn net(&self, source: &str) -> Option<String> {
        let plain = source.is_ascii() && (2..=24).contains(&source.len());
        if !plain {
            return None;
        }
        let capitals = source.bytes().any(|b| b.is_ascii_uppercase());
        let digits = source.bytes().any(|b| b.is_ascii_digit());
        let may_be = capitals || digits || source.starts_with('v') || self.board.is_some();
        if !may_be {
            return None;
        }
        let name = self.spelling(source);
        if self.board.is_some_and(|b| b.places.contains(&name)) {
            return Some(name);
        }
        let shouted = source.bytes().all(|b| !b.is_ascii_lowercase());
        let known = parts::carries(&name, self.board).is_some();
        let supply = name.starts_with('V') || name.ends_with("VDD") || digits || name == "BULK";
        (known && (shouted || (supply && name.len() > 2))).then_some(name)
    }

    /// Returns a net as it is to be written: as the board has it, else in capitals.
    fn spelling(&self, source: &str) -> String {
        let known = self.board.is_some_and(|b| b.places.contains(source));
        if known {
            source.to_owned()
        } else {
            source.to_ascii_uppercase()
        }
    }

    fn version(&mut self, at: usize) -> usize {
        let mut to = at + 1;
        while (self.scan.is_mark(to, '→') || self.scan.is_mark(to, '-'))
            && matches!(
                self.scan.chunks.get(to + 1).map(|c| &c.kind),
                Some(Kind::Number(_) | Kind::Version)
            )
        {
            to += 2;
        }
        self.push(What::Version, at, to)
    }

    fn qualified(&mut self, at: usize, mark: char) -> usize {
        let qualifier = match mark {
            '<' => Qualifier::Below,
            '>' => Qualifier::Above,
            _ => Qualifier::About,
        };
        let Some(Kind::Number(quantity)) = self.scan.chunks.get(at + 1).map(|c| c.kind.clone())
        else {
            return self.push(What::Mark(mark), at, at + 1);
        };
        let to = self.number(at + 1, quantity);
        if let Some(item) = self.items.last_mut()
            && let What::Quantity(quantity) = &mut item.what
        {
            quantity.qualifier.get_or_insert(qualifier);
            item.words.start = self.scan.chunks[at].words.start;
        }
        to
    }

    fn quantity_at(&self, at: usize) -> Option<(Quantity, usize)> {
        let Kind::Number(quantity) = &self.scan.chunks.get(at)?.kind else {
            return None;
        };
        let mut quantity = quantity.clone();
        let mut to = at + 1;
        let no_unit = quantity.unit == Unit::None && quantity.prefix == 0;
        if no_unit && let Some((unit, prefix)) = unit_after(self.scan, to) {
            quantity.unit = unit;
            quantity.prefix = prefix;
            to += 1;
        } else if no_unit && let Some(end) = self.degrees_after(&quantity, to) {
            quantity.unit = Unit::Celsius;
            to = end;
        }
        Some((quantity, to))
    }

    /// `81 °C`, `78 C`: degrees that stand apart; a letter alone counts for what a part can have.
    fn degrees_after(&self, quantity: &Quantity, to: usize) -> Option<usize> {
        let letter = |i: usize| self.scan.folded(i) == "c";
        if self.scan.is_mark(to, '°') {
            return Some(if letter(to + 1) { to + 2 } else { to + 1 });
        }
        let warm = (20.0..=250.0).contains(&quantity.value()) && quantity.from.is_none();
        let ends = !matches!(
            self.scan.chunks.get(to + 1).map(|c| &c.kind),
            Some(Kind::Number(_) | Kind::Mark('-' | '/' | '+'))
        );
        (warm && letter(to) && ends).then_some(to + 1)
    }

    /// `Standby-Regler`, `5V-Regler`: returns what the noun says and the chunk after it. What stands
    /// before it must be no word with a meaning of its own.
    fn compound(&self, at: usize) -> Option<(usize, &'w [Sense])> {
        let noun = at + 2;
        let joint = self.scan.is_mark(at + 1, '-') && self.scan.is_tight(at + 1);
        if !joint || self.scan.chunks.get(noun)?.kind != Kind::Word {
            return None;
        }
        // The noun alone: "Stecker ersetzt" would be an act.
        let (_, senses) = self.words.longest(self.scan.folded(noun), |_| None)?;
        if !senses.iter().any(|s| matches!(s, Sense::Noun(_))) {
            return None;
        }
        if self.scan.chunks[at].kind == Kind::Word
            && let Some((end, own)) = self.phrase(self.scan.folded(at), at)
        {
            let names = own.iter().any(|s| {
                matches!(
                    s,
                    Sense::Noun(_)
                        | Sense::Rail(_)
                        | Sense::Signal(_)
                        | Sense::State(_)
                        | Sense::Family(_)
                        | Sense::Cue(_)
                )
            });
            let says = own
                .iter()
                .any(|s| matches!(s, Sense::Verdict(_) | Sense::Sign(_) | Sense::Moment(_)));
            if end > at + 1 || !names || says {
                return None;
            }
        }
        Some((noun + 1, senses))
    }

    fn number(&mut self, at: usize, quantity: Quantity) -> usize {
        if quantity.number.whole && self.scan.source(at) == "2" {
            let test = self.phrase("2", at).filter(|(to, _)| *to > at + 1);
            if let Some((to, senses)) = test {
                return self.push(What::Said(senses), at, to);
            }
        }
        let Some((mut quantity, mut to)) = self.quantity_at(at) else {
            return self.push(What::Quantity(quantity), at, at + 1);
        };
        if self.scan.is_mark(to, '→') {
            return self.steps(at, quantity, to);
        }
        let dash = self.scan.is_mark(to, '-') || self.scan.is_mark(to, '–');
        let between = at > 0 && ["zwischen", "between"].contains(&self.scan.folded(at - 1));
        let joint: &[&str] = if between {
            &["und", "and", "u"]
        } else {
            &["to", "bis"]
        };
        let word =
            joint.contains(&self.scan.folded(to)) && (between || quantity.unit != Unit::Volt);
        let slash = self.scan.is_mark(to, '/') && self.scan.is_tight(to);
        if (dash || word || slash)
            && let Some((other, end)) = self.quantity_at(to + 1)
            && (!slash || (other.unit == Unit::Amp && quantity.unit == Unit::None))
            && (quantity.unit == Unit::None
                || quantity.unit == other.unit
                || other.unit == Unit::None)
            && other.unit != Unit::Other
            && quantity.unit != Unit::Other
        {
            let mut first = quantity;
            quantity = other;
            if first.unit == Unit::None {
                first.prefix = quantity.prefix;
            } else if quantity.unit == Unit::None {
                quantity.unit = first.unit;
                quantity.prefix = first.prefix;
            }
            quantity.from = Some(first.value());
            quantity.number.comma |= first.number.comma;
            quantity.number.doubtful |= first.number.doubtful;
            to = end;
        }
        self.push(What::Quantity(quantity), at, to)
    }

    fn steps(&mut self, at: usize, first: Quantity, arrow: usize) -> usize {
        let mut last = first;
        let mut steps = Vec::new();
        let mut to = arrow;
        while self.scan.is_mark(to, '→')
            && steps.len() < MOST_PARTS
            && let Some((mut next, end)) = self.quantity_at(to + 1)
        {
            steps.push(last.value());
            if next.unit == Unit::None {
                next.unit = last.unit;
                next.prefix = if next.number.whole { last.prefix } else { 0 };
            }
            last = next;
            to = end;
        }
        last.steps = steps;
        self.push(What::Quantity(last), at, to)
    }

    fn parts(&mut self, at: usize) -> usize {
        let mut list = PartList::default();
        let source = self.scan.source(at);
        list.may_be_ohms = parts::may_be_ohms(source)
            && !self
                .board
                .is_some_and(|b| b.parts.contains_key(&source.to_ascii_uppercase()));
        list.names.push(source.to_ascii_uppercase());
        let mut end = at;
        let mut to = at + 1;
        while list.names.len() < MOST_PARTS
            && let Some(next) = self.part_after(&mut list, end, to)
        {
            end = next - 1;
            to = next;
        }
        self.push(What::Parts(list), at, to)
    }

    /// Takes one more designator, or a range, after chunk `end`; returns the chunk after it.
    fn part_after(&self, list: &mut PartList, end: usize, to: usize) -> Option<usize> {
        let chunk = |i: usize| self.scan.chunks.get(i);
        let mut next = to;
        let mut tight = self.scan.is_tight(to);
        let mut either = false;
        let through = ["to", "bis", "thru", "through"].contains(&self.scan.folded(to));
        let dash = self.scan.is_mark(to, '-') || self.scan.is_mark(to, '–');
        if (dash && tight) || (through && !self.wired) {
            return self.range_after(list, end, to + 1);
        }
        match chunk(to)?.kind {
            Kind::Mark(',') if tight => next += 1,
            Kind::Mark('+' | '/' | '&') => {
                next += 1;
                // "&/or"
                if self.scan.is_mark(next, '/') {
                    next += 1;
                }
                if self.scan.folded(next) == "or" {
                    either = true;
                    next += 1;
                }
            }
            Kind::Word => {
                let word = self.scan.folded(to);
                either = matches!(word, "or" | "oder" | "bzw" | "od");
                if !(either || matches!(word, "and" | "und" | "plus" | "sowie" | "u" | "n")) {
                    return None;
                }
                next += 1;
                if self.scan.is_mark(next, '/') && self.scan.folded(next + 1) == "or" {
                    either = true;
                    next += 2;
                }
                if self.scan.is_mark(next, '.') {
                    next += 1;
                }
                tight = false;
            }
            _ => return None,
        }
        match &chunk(next)?.kind {
            Kind::Part => list.names.push(self.scan.source(next).to_ascii_uppercase()),
            Kind::Number(number) if tight => {
                let plain =
                    number.number.whole && number.unit == Unit::None && number.from.is_none();
                let unit = unit_after(self.scan, next + 1).is_some();
                if !plain || unit {
                    return None;
                }
                list.names
                    .push(self.with_letters(end, self.scan.source(next))?);
            }
            _ => return None,
        }
        list.either |= either;
        Some(next + 1)
    }

    /// Returns the letters of the list's first designator with other digits.
    fn with_letters(&self, end: usize, digits: &str) -> Option<String> {
        let mut i = end;
        // Numbers of a tight list follow their designator within a few chunks.
        for _ in 0..=2 * MOST_PARTS {
            if self.scan.chunks[i].kind == Kind::Part {
                let source = self.scan.source(i);
                let (letters, _) = parts::split(source)?;
                let fits = (1..=5).contains(&digits.len());
                return fits.then(|| format!("{}{digits}", source[..letters].to_ascii_uppercase()));
            }
            i = i.checked_sub(1)?;
        }
        None
    }

    /// Writes out a range whose first end is the last of the list; `to` is the chunk of its other end.
    fn range_after(&self, list: &mut PartList, end: usize, to: usize) -> Option<usize> {
        let first = list.names.last()?.clone();
        let (letters, n) = parts::split(&first)?;
        let source = self.scan.source(to);
        let digits = match self.scan.chunks.get(to)?.kind {
            Kind::Part => {
                let (other, _) = parts::split(source)?;
                source[..other]
                    .eq_ignore_ascii_case(&first[..letters])
                    .then(|| &source[other..])?
            }
            Kind::Number(_) if self.scan.is_mark(end + 1, '-') => source,
            _ => return None,
        };
        let plain = |digits: &str| digits.bytes().all(|b| b.is_ascii_digit());
        if first.len() != letters + n || !plain(digits) {
            return None;
        }
        let from: usize = first[letters..].parse().ok()?;
        let until: usize = digits.parse().ok()?;
        if until <= from || until - from >= MOST_PARTS || digits.len() < n {
            return None;
        }
        if self.wired {
            list.names.push(format!("{}{digits}", &first[..letters]));
            return Some(to + 1);
        }
        let zeros = n;
        list.names
            .extend((from + 1..=until).map(|i| format!("{}{i:0zeros$}", &first[..letters])));
        list.expanded = true;
        Some(to + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::intake::mapping::DecimalMark;

    fn parts_of(text: &str) -> Vec<String> {
        let words = Words::default();
        let scan = Scan::new(text, DecimalMark::Unknown, None);
        let found = items(&scan, &words, None);
        found
            .into_iter()
            .filter_map(|i| match i.what {
                What::Parts(list) => Some(list.names.join(" ")),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn lists_and_ranges_are_written_out_one_entry_each() {
        for (text, parts) in [
            ("C12,13+15", "C12 C13 C15"),
            ("R4-R7", "R4 R5 R6 R7"),
            ("R20-24", "R20 R21 R22 R23 R24"),
            ("R4..R6", "R4 R5 R6"),
            ("C114/C115/C118", "C114 C115 C118"),
            ("u7 &/or q3", "U7 Q3"),
            ("U7 and/or Q3", "U7 Q3"),
            ("R4 bis R6", "R4 R5 R6"),
            ("C12 und C13", "C12 C13"),
            ("jumper R4 to R7", "R4|R7"),
            ("U31-4", "U31"),
            ("R7-R4", "R7|R4"),
            ("R1-R99999", "R1|R99999"),
            ("C12, 3V3 back", "C12"),
            ("C12 + 2 caps", "C12"),
        ] {
            assert_eq!(parts_of(text).join("|"), parts, "{text}");
        }
    }
}
