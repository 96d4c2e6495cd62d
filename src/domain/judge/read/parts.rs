//! Which part of a board a description means.
//!
//! Every word that says something must fit the part, and no other part of the board may fit as
//! well. Words compare exactly or by [`words::covers`]; values and nets only exactly.

use crate::domain::card::Card;
use crate::domain::card::Step;
use crate::domain::job::Board;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Known;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;
use crate::domain::judge::read::words::Synonyms;

/// Words between a part and what it belongs to.
const BELONGING: [&str; 14] = [
    "of", "on", "at", "across", "for", "behind", "after", "in", "from", "over", "under", "to",
    "feeding", "by",
];
/// Words that say that something is a supply, and not which.
const OF_A_SUPPLY: [&str; 9] = [
    "supply",
    "regulator",
    "switcher",
    "buck",
    "boost",
    "output",
    "ldo",
    "driver",
    "controller",
];

/// What a description means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// This part (a designator, or the folded name of a part without one).
    Part(String),
    /// It fits several parts, or is too common a word.
    Several(Vec<String>),
    /// No part that the board or the card knows.
    Nothing,
}

#[derive(Clone, Debug)]
struct Entry {
    key: String,
    name: Vec<String>,
    around: Vec<String>,
    /// The circuit it belongs to: a function, never a class of part ("the processor" is no memory
    /// beside it).
    family: Option<String>,
    /// Known from the card alone: every word of its name is needed.
    whole: bool,
}

impl Entry {
    /// Tells whether the part belongs to the circuit called `word`.
    fn is_of(&self, word: &str) -> bool {
        !words::CLASSES.contains(&word) && self.family.as_deref() == Some(word)
    }
}

/// The parts that a description may mean.
#[derive(Clone, Debug, Default)]
pub struct Parts {
    known: Known,
    entries: Vec<Entry>,
}

impl Parts {
    /// Returns the parts of a card and of its board.
    pub fn new(card: Option<&Card>, board: Option<&Board>, words: &Synonyms) -> Self {
        let mut parts = Self::default();
        if let Some(board) = board {
            parts.known.add_name(&board.id);
            parts.known.add_name(&board.name);
            for designator in board.parts.keys() {
                parts.known.add_part(designator);
            }
        }
        for step in card.into_iter().flat_map(steps) {
            for token in tokens::lex(&step.part, &Known::default()) {
                if token.kind == Kind::Part {
                    parts.known.add_part(&token.text);
                }
            }
        }
        for (designator, part) in board.into_iter().flat_map(|board| &board.parts) {
            // Parts of other revisions count as well: who describes a part tells it from all of them.
            let mut around = parts.says(part.rail.as_deref().unwrap_or_default(), words);
            around.extend(words::class_of(designator).map(str::to_owned));
            let name = parts.says(&part.name, words);
            parts.entries.push(Entry {
                key: designator.to_uppercase(),
                name,
                around,
                family: part.family.clone(),
                whole: false,
            });
        }
        for step in card.into_iter().flat_map(steps) {
            parts.add_step(step, words);
        }
        parts
    }

    fn add_step(&mut self, step: &Step, words: &Synonyms) {
        let key = self.key(&step.part, words);
        let designated = self.designator(&step.part).is_some();
        let whole = !self.entries.iter().any(|e| e.key == key);
        let mut texts: Vec<&str> = step.name.iter().map(String::as_str).collect();
        if !designated {
            texts.push(&step.part);
        }
        for text in texts {
            let name = self.says(text, words);
            if !name.is_empty() {
                self.entries.push(Entry {
                    around: words::class_of(&key)
                        .map(str::to_owned)
                        .into_iter()
                        .collect(),
                    whole,
                    family: None,
                    key: key.clone(),
                    name,
                });
            }
        }
    }

    /// Returns which tokens are designators here.
    pub fn known(&self) -> &Known {
        &self.known
    }

    /// Returns the key of a part as a card names it: its designator, else its folded words.
    pub fn key(&self, part: &str, words: &Synonyms) -> String {
        self.designator(part)
            .unwrap_or_else(|| self.says(part, words).join(" "))
    }

    fn designator(&self, part: &str) -> Option<String> {
        tokens::lex(part, &self.known)
            .into_iter()
            .find(|t| t.kind == Kind::Part)
            .map(|t| t.text)
    }

    /// Returns the words of `text` that say something.
    fn says(&self, text: &str, words: &Synonyms) -> Vec<String> {
        words
            .apply(&tokens::lex(text, &self.known))
            .iter()
            .filter(|t| carries(t))
            .map(word_of)
            .collect()
    }

    /// Tells whether `word` belongs to any part here, or to the trade.
    pub fn knows(&self, word: &str) -> bool {
        words::is_trade(word)
            || self.entries.iter().any(|e| {
                let words = e.name.iter().chain(&e.around).chain(&e.family);
                words.into_iter().any(|w| w == word)
            })
    }

    /// Returns the words of `tokens` that describe a part.
    pub fn description(&self, tokens: &[&Token]) -> Vec<String> {
        tokens
            .iter()
            .filter(|t| carries(t))
            .map(|t| word_of(t))
            .filter(|w| {
                w.ends_with('v') && w.starts_with(|c: char| c.is_ascii_digit()) || self.knows(w)
            })
            .collect()
    }

    /// Tells whether a word tells parts apart here: a class, a value, or a word of some part.
    fn tells(&self, word: &str) -> bool {
        let class = words::CLASSES.contains(&word) || words::MANY.contains(&word);
        let value = word.starts_with(|c: char| c.is_ascii_digit());
        class
            || value
            || self.entries.iter().any(|e| {
                let mut of = e.name.iter().chain(&e.around);
                of.any(|w| words::covers(word, w)) || e.is_of(word)
            })
    }

    /// Returns the part that `typed` means; every word of it must fit.
    pub fn meaning(&self, typed: &[String]) -> Meaning {
        let said: Vec<String> = typed.iter().filter(|w| self.tells(w)).cloned().collect();
        let typed = &said[..];
        if typed.is_empty() {
            return Meaning::Nothing;
        }
        // "CAN" may be said for a network, and never for the wired one; a sensor of heat is a thermistor.
        let fits = |word: &String, list: &[String]| {
            list.iter().any(|w| words::covers(word, w))
                && (word != "thermistor" || list.iter().any(|w| w == word || w == "heat"))
                && (word != "can" || list.contains(word) || !list.iter().any(|w| w == "wired"))
        };
        let mut exact: Vec<String> = Vec::new();
        let mut fitting: Vec<String> = Vec::new();
        for entry in &self.entries {
            let in_name = typed.iter().filter(|w| fits(w, &entry.name)).count();
            let all = typed
                .iter()
                .all(|w| fits(w, &entry.name) || fits(w, &entry.around) || entry.is_of(w));
            let named = entry
                .name
                .iter()
                .all(|n| typed.iter().any(|w| words::covers(w, n)));
            let by_class = entry
                .around
                .iter()
                .any(|a| typed.iter().any(|w| words::covers(w, a)))
                || typed.iter().any(|w| entry.is_of(w));
            if !all || (in_name == 0 && !by_class) || (entry.whole && !named) {
                continue;
            }
            fitting.push(entry.key.clone());
            if named && !entry.name.is_empty() && in_name == typed.len() {
                exact.push(entry.key.clone());
            }
        }
        // "surge clamp" is the part so called rather than a surge array, which "clamp" may stand for.
        let plain = |key: &String| {
            self.entries.iter().any(|e| {
                e.key == *key
                    && typed
                        .iter()
                        .all(|w| e.name.contains(w) || e.around.contains(w))
            })
        };
        let by_name = |key: &String| {
            let said = |e: &Entry, w: &String| fits(w, &e.name) || fits(w, &e.around);
            let all = |e: &Entry| e.key == *key && typed.iter().all(|w| said(e, w));
            self.entries.iter().any(all)
        };
        if fitting.iter().any(plain) {
            exact.retain(plain);
        }
        if 1 < typed.len() && fitting.iter().any(plain) {
            fitting.retain(plain);
        } else if 1 < typed.len() && fitting.iter().any(by_name) {
            // What a part is called says more than the circuit it belongs to.
            fitting.retain(by_name);
        }
        for list in [&mut exact, &mut fitting] {
            list.sort();
            list.dedup();
        }
        let common = typed.iter().all(|w| words::MANY.contains(&w.as_str()));
        if exact.is_empty() && 1 < fitting.len() && !common {
            // "the relay" is the relay, not its driver: the last word of a name says what it is.
            let last = |key: &String| {
                self.entries.iter().any(|e| {
                    e.key == *key
                        && e.name
                            .iter()
                            .rfind(|n| !n.starts_with(|c: char| c.is_ascii_digit()))
                            .is_some_and(|n| typed.iter().any(|w| words::covers(w, n)))
                })
            };
            let heads: Vec<String> = fitting.iter().filter(|k| last(k)).cloned().collect();
            if !heads.is_empty() {
                fitting = heads;
            }
        }
        match (&exact[..], &fitting[..]) {
            ([one], _) => Meaning::Part(one.clone()),
            ([], [one]) if !common => Meaning::Part(one.clone()),
            ([], []) => Meaning::Nothing,
            ([_, _, ..], _) => Meaning::Several(exact),
            _ => Meaning::Several(fitting),
        }
    }

    /// Returns the part that a stretch of text means: "the output cap of the 3.3 buck" is no buck, it is the
    /// capacitor that belongs to one.
    pub fn meaning_in(&self, said: &[&Token]) -> Meaning {
        let whole = self.meaning(&self.description(said));
        if matches!(whole, Meaning::Part(_)) {
            return whole;
        }
        let places = (1..said.len()).filter(|i| said[*i].is_any(&BELONGING));
        let owned = places.map(|at| self.owned(&said[..at], &said[at + 1..]));
        owned.flatten().next().unwrap_or(whole)
    }

    /// Returns the one part that `head` describes and that belongs where `tail` says.
    fn owned(&self, head: &[&Token], tail: &[&Token]) -> Option<Meaning> {
        let class =
            |w: &String| words::CLASSES.contains(&w.as_str()) || words::MANY.contains(&w.as_str());
        let head = self.description(head);
        let tail = self.description(tail);
        let keys = match self.meaning(&head) {
            Meaning::Several(keys) => keys,
            Meaning::Part(key) => vec![key],
            Meaning::Nothing => return None,
        };
        let place = |w: &String| OF_A_SUPPLY.contains(&w.as_str());
        let needed: Vec<&String> = tail.iter().filter(|w| !place(w)).collect();
        if !head.iter().any(class) || needed.is_empty() {
            return None;
        }
        let belongs = |key: &&String| needed.iter().all(|w| self.tells_of(key, w));
        match &keys.iter().filter(belongs).collect::<Vec<_>>()[..] {
            [one] => Some(Meaning::Part((*one).clone())),
            _ => None,
        }
    }

    /// Returns those of `keys` that fit most of `context`, words said of a part before in one list.
    pub fn narrowed(&self, keys: &[String], context: &[String]) -> Vec<String> {
        let mut left = keys.to_vec();
        for word in context {
            let fits = |key: &String| self.tells_of(key, word);
            let kept: Vec<String> = left.iter().filter(|k| fits(k)).cloned().collect();
            if !kept.is_empty() {
                left = kept;
            }
        }
        left
    }

    /// Tells whether `word` says what the part called `key` does, is, or belongs to.
    pub fn tells_of(&self, key: &str, word: &str) -> bool {
        self.entries.iter().any(|e| {
            e.key == key
                && (e
                    .name
                    .iter()
                    .chain(&e.around)
                    .any(|w| words::covers(word, w))
                    || e.is_of(word))
        })
    }

    /// Tells whether `told` holds every word of the name of the part called `key`.
    pub fn is_named_by(&self, key: &str, told: &[String]) -> bool {
        self.entries.iter().any(|e| {
            e.key == key
                && !e.name.is_empty()
                && e.name
                    .iter()
                    .all(|n| told.iter().any(|w| words::covers(w, n)))
        })
    }

    /// Tells whether `told` holds the last word of the name of the part called `key`, which says what it is.
    pub fn is_headed_by(&self, key: &str, told: &[String]) -> bool {
        self.entries.iter().filter(|e| e.key == key).any(|e| {
            let head = e
                .name
                .iter()
                .rfind(|n| !n.starts_with(|c: char| c.is_ascii_digit()));
            head.is_some_and(|n| told.iter().any(|w| words::covers(w, n)))
        })
    }

    /// Returns the places that only a card knows and of which `told` holds every word: "the via at `VIN_P`".
    pub fn wholly_named(&self, told: &[String]) -> Vec<String> {
        let whole = self.entries.iter().filter(|e| e.whole && 1 < e.name.len());
        whole
            .filter(|e| e.name.iter().all(|n| told.contains(n)))
            .map(|e| e.key.clone())
            .collect()
    }

    /// Returns the circuit that the part called `key` belongs to.
    pub fn family_of(&self, key: &str) -> Option<&str> {
        let mut own = self.entries.iter().filter(|e| e.key == key);
        own.find_map(|e| e.family.as_deref())
    }

    /// Tells whether a circuit of the board is called `word`.
    pub fn has_family(&self, word: &str) -> bool {
        self.entries
            .iter()
            .any(|e| e.family.as_deref() == Some(word))
    }

    /// Returns every word by which a part is known here.
    pub fn vocabulary(&self) -> impl Iterator<Item = &str> {
        self.entries
            .iter()
            .flat_map(|e| e.name.iter().chain(&e.around).chain(&e.family))
            .map(String::as_str)
    }

    /// Counts the parts that hold a program.
    pub fn programmable(&self) -> usize {
        let mut keys: Vec<&str> = self
            .entries
            .iter()
            .filter(|e| {
                e.name.iter().any(|w| {
                    ["flash", "eeprom", "firmware", "microcontroller", "memory"]
                        .contains(&w.as_str())
                })
            })
            .map(|e| e.key.as_str())
            .collect();
        keys.sort_unstable();
        keys.dedup();
        keys.len()
    }
}

fn steps(card: &Card) -> impl Iterator<Item = &Step> {
    card.answers
        .iter()
        .flat_map(|a| &a.steps)
        .chain(card.others.iter().flat_map(|o| &o.steps))
}

fn carries(token: &Token) -> bool {
    match token.kind {
        Kind::Word => !words::is_filler(&token.text),
        Kind::Volts | Kind::Value => true,
        Kind::Number => token.text.contains('.'),
        _ => false,
    }
}

/// Returns a token as a word; "the 3.3 buck" means volts.
fn word_of(token: &Token) -> String {
    if token.kind == Kind::Number {
        format!("{}v", token.text)
    } else {
        token.text.clone()
    }
}
