//! The findings that a query asks for: `3V3_SB low`, `draw cycling 61-118 mA`, `210 ohm`.
//!
//! Words and units: common practice, no source. A reading is asked for by what a person writes at
//! the bench; whether a job's own reading is like it is decided by bands, in
//! [`index`](super::index).

use crate::domain::job::FindingKind;
use crate::domain::job::FindingKind::Current;
use crate::domain::job::FindingKind::Rail;
use crate::domain::job::FindingKind::Signal;
use crate::domain::search::bounds;
use crate::domain::search::bounds::Bound;
use crate::domain::search::numbers::Number;
use crate::domain::search::numbers::value_at;
use crate::domain::search::shorthand::BETWEEN;
use crate::domain::search::shorthand::CODES;
use crate::domain::search::shorthand::DRAW;
use crate::domain::search::shorthand::DRAWS;
use crate::domain::search::shorthand::FILLERS;
use crate::domain::search::shorthand::NO;
use crate::domain::search::shorthand::SHORTENED;

/// A finding that a query asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Sought {
    /// Where, folded by [`place`]; anywhere if none.
    pub place: Option<String>,
    /// The (kind, band) pairs that the words may mean; empty where only a number was given.
    pub bands: Vec<(FindingKind, String)>,
    /// The kinds that the number may be a reading of; empty without a number.
    pub kinds: Vec<FindingKind>,
    /// Lower and upper number (A, V, Ω, Hz, °C), equal for a single one.
    pub value: Option<(f64, f64)>,
    /// The number is a frequency (Hz).
    pub in_hertz: bool,
    /// How the number bounds the reading.
    pub bound: Bound,
    /// As typed.
    pub words: String,
}

/// A query taken apart.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// The findings it asks for, in its order.
    pub sought: Vec<Sought>,
    /// The findings it says are not there ("no residue"): what has one is no hit.
    pub denied: Vec<Sought>,
    /// Its words without the numbers that were understood as readings, and without what is denied.
    pub words: String,
}

/// What the archive knows of places: whether there is one, and which bands were ever seen there.
pub trait Places {
    /// Tells whether something was ever observed at the folded place.
    fn knows(&self, place: &str) -> bool;
    /// Returns the bands seen at the folded place.
    fn bands_at(&self, place: &str) -> Vec<(FindingKind, String)>;
}

/// Returns a place folded for comparison: capitals, single spaces.
pub fn place(text: &str) -> String {
    let words: Vec<String> = text.split_whitespace().map(str::to_uppercase).collect();
    words.join(" ")
}

/// Tells whether the folded place `whole` is `part`, or names it as one of its words ("corner of
/// U31" names `U31`; `3V3_SB` does not name `3V3`).
pub fn names(whole: &str, part: &str) -> bool {
    whole == part
        || whole
            .split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '+' || c == '-'))
            .any(|word| word == part)
}

/// Takes a query apart.
pub fn read(query: &str, places: &dyn Places) -> Asked {
    let mut asked = Asked::default();
    for clause in clauses(query) {
        let chunks: Vec<&str> = clause.split_whitespace().collect();
        Clause {
            chunks: &chunks,
            places,
            at_place: None,
            draw: false,
            open: false,
        }
        .read(&mut asked);
    }
    asked
}

/// Splits at semicolons, full stops and commas, but not at the comma or point of a number.
fn clauses(query: &str) -> Vec<String> {
    let chars: Vec<char> = query.chars().collect();
    let mut out = vec![String::new()];
    for (i, c) in chars.iter().enumerate() {
        let digit = |at: Option<usize>| {
            at.and_then(|at| chars.get(at))
                .is_some_and(char::is_ascii_digit)
        };
        let within = digit(i.checked_sub(1)) && digit(Some(i + 1));
        let current = out.last_mut().expect("there is always a clause under way");
        let shortened = || {
            let last = current.split_whitespace().last().map(str::to_lowercase);
            last.is_some_and(|last| SHORTENED.contains(&last.as_str()))
        };
        match c {
            '.' if shortened() => current.push(' '),
            '<' | '>' | '≤' | '≥' | '~' | '≈' => current.extend([' ', *c]),
            ',' | '.' if within => current.push('.'),
            ',' | '.' | ';' => out.push(String::new()),
            '=' | ':' | '(' | ')' | '"' => current.push(' '),
            c => current.push(*c),
        }
    }
    out
}

/// What words for a finding mean.
struct Meant {
    bands: Vec<(FindingKind, String)>,
    /// They say something without a place.
    alone: bool,
}

struct Clause<'a> {
    chunks: &'a [&'a str],
    places: &'a dyn Places,
    at_place: Option<(String, usize)>,
    draw: bool,
    /// The finding last pushed is of this clause and may still take a number.
    open: bool,
}

impl Clause<'_> {
    fn read(mut self, asked: &mut Asked) {
        let mut i = 0;
        while i < self.chunks.len() {
            let n = self.step(i, asked);
            i += n.max(1);
        }
    }

    /// Reads what starts at chunk `i`; returns how many chunks it took.
    fn step(&mut self, i: usize, asked: &mut Asked) -> usize {
        if let Some((number, n)) = value_at(self.chunks, i)
            && !self.is_place_then_word(i)
        {
            self.number(&number, Bound::About, i, n, asked);
            return n;
        }
        if let Some((bound, number, n)) = bounds::limit_at(self.chunks, i) {
            self.number(&number, bound, i, n, asked);
            return n;
        }
        if let Some(n) = self.denied_at(i, asked) {
            return n;
        }
        if let Some((meant, n)) = self.code_at(i) {
            keep(&mut asked.words, &self.chunks[i..i + n]);
            self.code(meant, i, n, asked);
            return n;
        }
        if let Some((place, n)) = self.place_at(i) {
            keep(&mut asked.words, &self.chunks[i..i + n]);
            self.at_place = Some((place, i));
            self.draw = false;
            self.open = false;
            return n;
        }
        let word = self.chunks[i].to_lowercase();
        if DRAW.contains(&word.as_str()) {
            self.draw = true;
            self.at_place = None;
            self.open = false;
        } else if !BETWEEN.contains(&word.as_str()) {
            self.open = false;
            // A place reaches only as far as the words about it.
            self.at_place = None;
            self.draw = false;
        }
        keep(&mut asked.words, &self.chunks[i..=i]);
        1
    }

    /// Tells whether the chunk is a known place ("12V") that a verdict or a number follows.
    fn is_place_then_word(&self, i: usize) -> bool {
        let Some((_, n)) = self.place_at(i) else {
            return false;
        };
        let after = i + n;
        self.at_place.is_none()
            && after < self.chunks.len()
            && (self.code_at(after).is_some()
                || value_at(self.chunks, after).is_some()
                || bounds::limit_at(self.chunks, after).is_some())
    }

    fn number(&mut self, number: &Number, bound: Bound, i: usize, n: usize, asked: &mut Asked) {
        let typed = self.chunks[i..i + n].join(" ");
        if self.open
            && let Some(last) = asked.sought.last_mut()
            && last.value.is_none()
            && (last.bands.is_empty() || last.bands.iter().any(|(k, _)| number.kinds.contains(k)))
        {
            last.bands.retain(|(k, _)| number.kinds.contains(k));
            last.kinds = number.kinds.to_vec();
            last.value = Some((number.low, number.high));
            last.in_hertz = number.in_hertz;
            last.bound = bound;
            last.words = format!("{} {typed}", last.words);
            return;
        }
        let kinds: Vec<FindingKind> = if self.draw && number.kinds.contains(&Current) {
            vec![Current]
        } else {
            number.kinds.to_vec()
        };
        // A limit at a place that nobody knows is no limit for every place.
        if bound != Bound::About && self.at_place.is_none() && !self.draw {
            self.at_place = self.net_before(i);
        }
        asked.sought.push(Sought {
            words: self.typed_from_place(i, n),
            place: self.at_place.as_ref().map(|(p, _)| p.clone()),
            bands: Vec::new(),
            kinds,
            value: Some((number.low, number.high)),
            in_hertz: number.in_hertz,
            bound,
        });
        self.open = false;
    }

    fn code(&mut self, meant: Meant, i: usize, n: usize, asked: &mut Asked) {
        let (place, words, _) = self.place_of_code(i, n);
        if place.is_none() && !self.draw && !meant.alone {
            return;
        }
        asked.sought.push(Sought {
            place,
            bands: meant.bands,
            kinds: Vec::new(),
            value: None,
            in_hertz: false,
            bound: Bound::About,
            words,
        });
        self.open = true;
    }

    /// Returns the place that words for a finding are about, all of it as typed, and how many
    /// chunks after the words that took.
    fn place_of_code(&self, i: usize, n: usize) -> (Option<String>, String, usize) {
        let words = self.typed_from_place(i, n);
        let place = self.at_place.as_ref().map(|(p, _)| p.clone());
        if place.is_some() || self.draw {
            return (place, words, 0);
        }
        // "residue at U31", "low 3V3_SB".
        let between = self.chunks[i + n..]
            .iter()
            .take_while(|c| BETWEEN.contains(&c.to_lowercase().as_str()))
            .count();
        let next = i + n + between;
        match (next < self.chunks.len())
            .then(|| self.place_at(next))
            .flatten()
        {
            Some((found, m)) => {
                let words = self.chunks[i..next + m].join(" ");
                (Some(found), words, between + m)
            }
            None => (None, words, 0),
        }
    }

    /// Reads "no residue", "not shorted at U31", `no 3V3_SB` and "no draw" at chunk `i`; returns
    /// how many chunks it took. What is no word for a finding ("no power") is left to the words.
    fn denied_at(&mut self, i: usize, asked: &mut Asked) -> Option<usize> {
        let is_of = |at: usize, words: &[&str]| {
            let chunk = self.chunks.get(at).map(|c| c.to_lowercase());
            chunk.is_some_and(|c| words.contains(&c.as_str()))
        };
        if !is_of(i, &NO) {
            return None;
        }
        let mut at = i + 1;
        while is_of(at, &FILLERS) && at + 1 < self.chunks.len() {
            at += 1;
        }
        let mut sought = Sought {
            place: None,
            bands: Vec::new(),
            kinds: Vec::new(),
            value: None,
            in_hertz: false,
            bound: Bound::About,
            words: String::new(),
        };
        if let Some((meant, n)) = self.code_at(at) {
            let (place, _, more) = self.place_of_code(at, n);
            // What is not at a place that nobody knows may be at any other.
            let (place, more) = match place {
                None if !self.draw => self.named_after(at + n),
                place => (place, more),
            };
            if place.is_none() && !self.draw && !meant.alone {
                return None;
            }
            let n = at + n + more - i;
            sought.words = self.typed_from_place(i, n);
            (sought.place, sought.bands) = (place, meant.bands);
            asked.denied.push(sought);
            self.open = false;
            return Some(n);
        }
        if is_of(at, &DRAW) {
            sought.words = self.chunks[i..=at].join(" ");
            sought.bands = vec![(Current, "zero".to_owned())];
            asked.sought.push(sought);
            self.open = true;
            return Some(at + 1 - i);
        }
        // A rail or a signal that is said not to be there.
        let (place, n) = self.place_at(at)?;
        let gone = [(Rail, "absent"), (Signal, "missing")];
        let seen = self.places.bands_at(&place);
        let mut bands = gone.map(|(kind, band)| (kind, band.to_owned())).to_vec();
        bands.retain(|(kind, _)| seen.iter().any(|(of, _)| of == kind));
        if bands.is_empty() || at + n < self.chunks.len() && self.code_at(at + n).is_some() {
            return None;
        }
        keep(&mut asked.words, &self.chunks[at..at + n]);
        sought.words = self.chunks[i..at + n].join(" ");
        (sought.place, sought.bands) = (Some(place), bands);
        asked.sought.push(sought);
        self.open = false;
        Some(at + n - i)
    }

    /// Returns what stands before chunk `i` and looks like the name of a net or a part.
    fn net_before(&self, i: usize) -> Option<(String, usize)> {
        let is_between = |at: &usize| BETWEEN.contains(&self.chunks[*at].to_lowercase().as_str());
        let at = (0..i).rev().find(|at| !is_between(at))?;
        is_name(self.chunks[at]).then(|| (place(self.chunks[at]), at))
    }

    /// Returns what looks like the name of a net or a part after "at" in chunk `i`, and how many
    /// chunks that takes.
    fn named_after(&self, i: usize) -> (Option<String>, usize) {
        let is_between = |c: &&&str| BETWEEN.contains(&c.to_lowercase().as_str());
        let between = self.chunks[i..].iter().take_while(is_between).count();
        match self.chunks.get(i + between) {
            Some(chunk) if between > 0 && is_name(chunk) => (Some(place(chunk)), between + 1),
            _ => (None, 0),
        }
    }

    /// Returns the typed words from the place under way to the end of chunk `i + n`.
    fn typed_from_place(&self, i: usize, n: usize) -> String {
        let from = match &self.at_place {
            Some((_, at)) => *at,
            None if self.draw => i.saturating_sub(1),
            None => i,
        };
        self.chunks[from..i + n].join(" ")
    }

    fn place_at(&self, i: usize) -> Option<(String, usize)> {
        let most = (self.chunks.len() - i).min(5);
        (1..=most).rev().find_map(|n| {
            let folded = place(&self.chunks[i..i + n].join(" "));
            self.places.knows(&folded).then_some((folded, n))
        })
    }

    fn code_at(&self, i: usize) -> Option<(Meant, usize)> {
        let lower = |n: usize| {
            let words = self.chunks.get(i..i + n)?.join(" ");
            Some(words.to_lowercase().replace('-', " "))
        };
        for n in (1..=4).rev() {
            let Some(words) = lower(n) else { continue };
            if self.draw
                && let Some((_, code)) = DRAWS.iter().find(|(w, _)| *w == words)
            {
                let bands = vec![(Current, (*code).to_owned())];
                return Some((Meant { bands, alone: true }, n));
            }
            // What was seen at this very place before, in whatever words: "torch test picture visible".
            if let Some((place, _)) = &self.at_place {
                let mut bands = self.places.bands_at(place);
                bands.retain(|(_, band)| band.to_lowercase().replace('-', " ") == words);
                if !bands.is_empty() {
                    return Some((Meant { bands, alone: true }, n));
                }
            }
            if let Some((_, bands, alone)) = CODES.iter().find(|(w, _, _)| *w == words) {
                let owned = bands.iter().map(|(kind, band)| (*kind, (*band).to_owned()));
                let bands = owned.collect();
                return Some((
                    Meant {
                        bands,
                        alone: *alone,
                    },
                    n,
                ));
            }
        }
        None
    }
}

/// Tells whether a chunk looks like the name of a net or a part: letters and digits in one.
fn is_name(chunk: &str) -> bool {
    let has = |kind: fn(&char) -> bool| chunk.chars().any(|c| kind(&c));
    has(char::is_ascii_digit) && has(char::is_ascii_alphabetic)
}

fn keep(words: &mut String, chunks: &[&str]) {
    for chunk in chunks {
        if !words.is_empty() {
            words.push(' ');
        }
        words.push_str(chunk);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::job::FindingKind::Rail;
    use crate::domain::job::FindingKind::Visual;

    struct Known(Vec<(&'static str, Vec<(FindingKind, String)>)>);

    impl Places for Known {
        fn knows(&self, place: &str) -> bool {
            self.0.iter().any(|(p, _)| *p == place)
        }

        fn bands_at(&self, place: &str) -> Vec<(FindingKind, String)> {
            let found = self.0.iter().find(|(p, _)| *p == place);
            found.map(|(_, bands)| bands.clone()).unwrap_or_default()
        }
    }

    fn asked(query: &str) -> Asked {
        let seen = |kind, band: &str| (kind, band.to_owned());
        let known = Known(vec![
            ("3V3_SB", vec![seen(Rail, "low")]),
            ("12V", vec![seen(Rail, "in-band")]),
            ("U31", vec![seen(Visual, "residue")]),
            (
                "TORCH TEST",
                vec![seen(FindingKind::Other, "picture visible")],
            ),
        ]);
        read(query, &known)
    }

    /// Returns each finding asked for as `place|kind band,…|low..high`.
    fn short(query: &str) -> Vec<String> {
        asked(query)
            .sought
            .iter()
            .map(|s| {
                let bands: Vec<String> = s
                    .bands
                    .iter()
                    .map(|(kind, band)| format!("{} {band}", kind.word()))
                    .collect();
                let value = s.value.map(|(a, b)| format!("{a}..{b}"));
                format!(
                    "{}|{}|{}",
                    s.place.clone().unwrap_or_default(),
                    bands.join(","),
                    value.unwrap_or_default()
                )
            })
            .collect()
    }

    #[test]
    fn bench_shorthand_is_read_as_findings() {
        for (query, expected) in [
            ("3V3_SB low", vec!["3V3_SB|rail low|"]),
            ("3v3_sb is low", vec!["3V3_SB|rail low|"]),
            (
                "low 3V3_SB",
                vec!["3V3_SB|rail low,resistance low,diode low|"],
            ),
            ("3V3_SB low 0.41 V", vec!["3V3_SB|rail low|0.41..0.41"]),
            ("3V3_SB = 0,41V", vec!["3V3_SB||0.41..0.41"]),
            ("12V 11.8 V", vec!["12V||11.8..11.8"]),
            ("draw cycling", vec!["|current cycling|"]),
            ("cycling 61-118 mA", vec!["|current cycling|0.061..0.118"]),
            ("draw 61 to 118mA", vec!["||0.061..0.118"]),
            ("draw stuck 45mA", vec!["|current stuck|0.045..0.045"]),
            ("210 ohm", vec!["||210..210"]),
            ("3V3_SB 4k7", vec!["3V3_SB||4700..4700"]),
            ("residue at U31", vec!["U31|visual residue|"]),
            (
                "torch test: picture visible",
                vec!["TORCH TEST|other picture visible|"],
            ),
            (
                "residue, 25 MHz",
                vec!["|visual residue|", "||25000000..25000000"],
            ),
            // Nothing is said of which place.
            ("rail low", vec![]),
            ("replace U31", vec![]),
            ("no power", vec![]),
        ] {
            assert_eq!(short(query), expected, "{query}");
        }
    }

    /// Returns what each finding asked for says of its number.
    fn bounds_of(query: &str) -> Vec<(Option<String>, Bound, f64, f64)> {
        let all = asked(query).sought.into_iter();
        all.filter_map(|s| s.value.map(|(low, high)| (s.place, s.bound, low, high)))
            .collect()
    }

    #[test]
    fn limits_are_read_in_words_and_signs() {
        let sb = || Some("3V3_SB".to_owned());
        for (query, bound, low, high) in [
            ("3V3_SB under 1 V", Bound::Under, 1.0, 1.0),
            ("3V3_SB is below 1V", Bound::Under, 1.0, 1.0),
            ("3V3_SB less than 900 mV", Bound::Under, 0.9, 0.9),
            ("3V3_SB <1V", Bound::Under, 1.0, 1.0),
            ("3V3_SB<1V", Bound::Under, 1.0, 1.0),
            ("3V3_SB <= 1 V", Bound::Under, 1.0, 1.0),
            ("3V3_SB unter 1 V", Bound::Under, 1.0, 1.0),
            ("3V3_SB weniger als 0,5 V", Bound::Under, 0.5, 0.5),
            ("3V3_SB over 3.4 V", Bound::Over, 3.4, 3.4),
            ("3V3_SB above 3.4V", Bound::Over, 3.4, 3.4),
            ("3V3_SB > 3.4 V", Bound::Over, 3.4, 3.4),
            ("3V3_SB mehr als 3,4 V", Bound::Over, 3.4, 3.4),
            ("3V3_SB about 0.4 V", Bound::About, 0.4, 0.4),
            ("3V3_SB ca. 0.4 V", Bound::About, 0.4, 0.4),
            ("3V3_SB ~0.4V", Bound::About, 0.4, 0.4),
            ("3V3_SB between 0.3 and 0.5 V", Bound::Within, 0.3, 0.5),
            ("3V3_SB between 300 mV and 0.5 V", Bound::Within, 0.3, 0.5),
            ("3V3_SB between 0.3-0.5 V", Bound::Within, 0.3, 0.5),
        ] {
            assert_eq!(bounds_of(query), [(sb(), bound, low, high)], "{query}");
            assert_eq!(asked(query).words.replace(" is", ""), "3V3_SB", "{query}");
        }
        assert_eq!(
            bounds_of("draw under 100 mA"),
            [(None, Bound::Under, 0.1, 0.1)]
        );
        assert_eq!(
            short("3V3_SB low under 1 V"),
            ["3V3_SB|rail low|1..1"],
            "one finding"
        );
        // A net that nobody knows is still the place that is meant.
        let nowhere = bounds_of("9V9_X under 1 V");
        assert_eq!(nowhere[0].0.as_deref(), Some("9V9_X"));
        // Without a number they are words.
        for query in [
            "residue under U31",
            "over and out",
            "between them",
            "about <",
            "up to",
        ] {
            assert_eq!(bounds_of(query), [], "{query}");
        }
    }

    /// Returns each finding denied as `place|kind band,…`, and the words that are left.
    fn denied(query: &str) -> (Vec<String>, String) {
        let asked = asked(query);
        let one = |s: &Sought| {
            let bands: Vec<&str> = s.bands.iter().map(|(_, band)| band.as_str()).collect();
            format!(
                "{}|{}",
                s.place.clone().unwrap_or_default(),
                bands.join(",")
            )
        };
        (asked.denied.iter().map(one).collect(), asked.words)
    }

    #[test]
    fn a_denied_finding_is_not_asked_for() {
        for (query, expected, words) in [
            ("no residue", vec!["|residue"], ""),
            ("without any corrosion", vec!["|residue"], ""),
            ("no sign of residue at U31", vec!["U31|residue"], ""),
            ("not short", vec!["|hard-short,short"], ""),
            ("3V3_SB not low", vec!["3V3_SB|low"], "3V3_SB"),
            ("draw not cycling", vec!["|cycling"], "draw"),
            ("3V3_SB low, no residue", vec!["|residue"], "3V3_SB low"),
            ("no residue at L9", vec!["L9|residue"], ""),
            ("kein residue", vec!["|residue"], ""),
            // Complaints and other words stay what they are.
            ("no power", vec![], "no power"),
            ("not charging", vec![], "not charging"),
            ("not low", vec![], "not low"),
            ("no", vec![], "no"),
            ("not a", vec![], "not a"),
        ] {
            let expected: Vec<String> = expected.into_iter().map(str::to_owned).collect();
            assert_eq!(denied(query), (expected, words.to_owned()), "{query}");
        }
        assert_eq!(short("no residue"), Vec::<String>::new());
        assert_eq!(short("no 3V3_SB"), ["3V3_SB|rail absent|"]);
        assert_eq!(short("no draw"), ["|current zero|"]);
        assert_eq!(short("3V3_SB low, no residue"), ["3V3_SB|rail low|"]);
    }

    #[test]
    fn numbers_that_were_understood_leave_the_words() {
        let read = asked("3V3_SB low 0.41 V, replace U31 twice 5");
        assert_eq!(read.words, "3V3_SB low replace U31 twice 5");
        assert_eq!(read.sought[0].words, "3V3_SB low 0.41 V");
    }

    #[test]
    fn a_place_is_named_by_its_whole_words_only() {
        assert!(names("CORNER OF U31", "U31"));
        assert!(names("U31.4", "U31"));
        assert!(!names("U311", "U31"));
        assert!(!names("3V3_SB", "3V3"));
    }
}
