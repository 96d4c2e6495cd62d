//! Cuts typed text into words, designators, values and joints.
//!
//! A designator is letters and digits as printed on the board (`U31`); lists and ranges
//! (`C12,13+15`, `R4-R7`) are written out here. A value (`4R7`, `1V8`, `100n`) is never a
//! designator. Nothing here is approximate: `U13`, `U311` and `U31A` are other parts than `U31`.

use crate::domain::judge::read::said_volts;
use std::collections::BTreeSet;

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A word, in lower case.
    Word,
    /// A designator, in upper case.
    Part,
    /// Volts, written `3.3v` whatever the notation was.
    Volts,
    /// Another value with its unit: `100n`, `4r7`, `10a`.
    Value,
    /// A bare number.
    Number,
    /// "and", `&`, `+`, `/`.
    And,
    /// "or".
    Or,
    /// A comma.
    Comma,
    /// A harder break: full stop, semicolon, colon (which alone keeps its own text), bracket, "but", "then".
    Stop,
    /// A dash between two tokens; gone after lexing.
    Dash {
        /// No space around it.
        tight: bool,
    },
}

/// One token.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: Kind,
    /// Its folded text.
    pub text: String,
}

impl Token {
    /// Returns a token of `kind`.
    pub fn new(kind: Kind, text: &str) -> Self {
        Self {
            kind,
            text: text.to_owned(),
        }
    }

    /// Tells whether this is the word `word`.
    pub fn is(&self, word: &str) -> bool {
        self.kind == Kind::Word && self.text == word
    }

    /// Tells whether this is one of `words`.
    pub fn is_any(&self, words: &[&str]) -> bool {
        self.kind == Kind::Word && words.contains(&self.text.as_str())
    }

    /// Tells whether this joins or separates rather than says something.
    pub fn is_joint(&self) -> bool {
        matches!(self.kind, Kind::And | Kind::Or | Kind::Comma | Kind::Stop)
    }
}

/// Which tokens are known to be designators of the board, and which are known not to be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    parts: BTreeSet<String>,
    names: BTreeSet<String>,
}

impl Known {
    /// Adds a designator of the board.
    pub fn add_part(&mut self, part: &str) {
        self.parts.insert(part.trim().to_uppercase());
    }

    /// Adds the words of a name, so that the `P4` of a board's name is no part.
    pub fn add_name(&mut self, name: &str) {
        for word in name.split(|c: char| !c.is_alphanumeric()) {
            self.names.insert(word.to_lowercase());
        }
    }

    fn has(&self, part: &str) -> bool {
        self.parts.contains(part)
    }
}

/// Letters that start a designator: ASME Y14.44-2008 (from memory), and common practice.
const PREFIXES: [&str; 62] = [
    "a", "at", "b", "bt", "c", "cb", "cn", "con", "cr", "d", "dl", "ds", "e", "f", "fb", "fl", "g",
    "h", "hr", "hy", "ic", "j", "jp", "k", "l", "led", "ls", "m", "mk", "mp", "p", "pc", "pl",
    "pq", "pr", "ps", "pu", "q", "r", "rn", "rt", "rv", "s", "sw", "t", "tb", "tc", "th", "tp",
    "tr", "tvs", "u", "v", "vr", "w", "x", "xf", "xtal", "y", "z", "zd", "vd",
];
/// Words of the trade that only look like designators.
const NOT_PARTS: [&str; 17] = [
    "x5r", "x7r", "x7s", "c0g", "m2", "m3", "m4", "m5", "m12", "j1939", "cr2032", "cr2025",
    "cr2016", "cr1220", "cr123", "cr123a", "h2o",
];

/// Cuts `text` into tokens.
pub fn lex(text: &str, known: &Known) -> Vec<Token> {
    let raw = said_volts::joined(&chunks(&fold(text), known));
    joints(&lists(&units(&ranges(&glued(&one_place(&raw), known)))))
}

/// Returns `text` cut, folded and joined again, to compare whole wordings.
pub fn normal(tokens: &[Token]) -> String {
    let words: Vec<&str> = tokens
        .iter()
        .filter(|t| !t.is_joint())
        .map(|t| t.text.as_str())
        .collect();
    words.join(" ")
}

fn fold(text: &str) -> Vec<char> {
    let mut out = Vec::with_capacity(text.len());
    for c in text.chars().flat_map(char::to_lowercase) {
        match c {
            '’' | '‘' | '`' | '´' => out.push('\''),
            '–' | '—' | '−' | '‐' | '‑' => out.push('-'),
            'µ' | 'μ' => out.push('u'),
            'ω' => out.extend("ohm".chars()),
            '…' | '\n' | '\r' => out.push(';'),
            '→' => out.extend("->".chars()),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

fn chunks(chars: &[char], known: &Known) -> Vec<Token> {
    let at = |i: usize| chars.get(i).copied().unwrap_or(' ');
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < chars.len() {
        let c = at(i);
        if c.is_alphanumeric() {
            let (chunk, next) = chunk(chars, i, known);
            i = next;
            if let Some((token, behind)) = shorthand(&chunk, at(i), at(i + 1)) {
                out.push(token);
                i += behind;
                continue;
            }
            push_chunk(&mut out, &chunk, known);
            if at(i) == '.' && at(i + 1).is_ascii_digit() && last_is_part(&out) {
                out.push(Token::new(Kind::Word, "pin"));
                i += 1;
            }
            continue;
        }
        match c {
            '+' | '&' | '/' => out.push(Token::new(Kind::And, "and")),
            ',' => out.push(Token::new(Kind::Comma, ",")),
            '.' if at(i + 1) == '.' => {
                out.push(Token::new(Kind::Dash { tight: true }, "-"));
                i += 1;
            }
            '-' if at(i + 1) == '>' => {
                out.push(Token::new(Kind::Stop, ";"));
                i += 1;
            }
            '-' => {
                let before = i == 0 || at(i - 1) == ' ';
                let tight = !before && at(i + 1) != ' ';
                out.push(Token::new(Kind::Dash { tight }, "-"));
            }
            '=' if 0 < i && at(i - 1) == ' ' => out.push(Token::new(Kind::Comma, ",")),
            ':' => out.push(Token::new(Kind::Stop, ":")),
            '.' | ';' | '!' | '?' | '(' | ')' | '[' | ']' | '=' | '>' => {
                out.push(Token::new(Kind::Stop, ";"));
            }
            _ => {}
        }
        i += 1;
    }
    out
}

/// Reads "n" and "adn" as "and", "w/" as "with" and "w/o" as "without"; returns how many signs behind it
/// belong to it.
fn shorthand(chunk: &str, next: char, after: char) -> Option<(Token, usize)> {
    match (chunk, next, after) {
        ("n" | "adn", ..) => Some((Token::new(Kind::And, "and"), 0)),
        ("w", '/', 'o') => Some((Token::new(Kind::Word, "without"), 2)),
        ("w", '/', _) => Some((Token::new(Kind::Word, "with"), 1)),
        _ => None,
    }
}

fn last_is_part(out: &[Token]) -> bool {
    out.last().is_some_and(|t| t.kind == Kind::Part)
}

/// Reads one run of letters and digits from `start`; returns it and where it ended.
fn chunk(chars: &[char], start: usize, known: &Known) -> (String, usize) {
    let at = |i: usize| chars.get(i).copied().unwrap_or(' ');
    let mut text = String::new();
    let mut i = start;
    loop {
        let c = at(i);
        let digits = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
        if c.is_alphanumeric() || (c == '_' && at(i + 1).is_alphanumeric()) {
            text.push(c);
            i += 1;
        } else if c == '.'
            && at(i + 1).is_ascii_digit()
            && (digits || is_version(&text) || is_fuse_rating(&text, known))
            || c == ',' && digits && decimal_comma(chars, i)
        {
            text.push('.');
            i += 1;
        } else if c == '\'' && at(i + 1) == 's' && !at(i + 2).is_alphanumeric() {
            i += 2;
        } else if c == '\'' && at(i + 1).is_alphabetic() {
            i += 1;
        } else {
            return (text, i);
        }
    }
}

/// Tells whether `text` starts a fuse rating such as `T6.3` (T slow, F fast, M medium) rather than a part.
fn is_fuse_rating(text: &str, known: &Known) -> bool {
    let digits = text.strip_prefix(['t', 'f', 'm']);
    digits.is_some_and(|d| !d.is_empty() && d.chars().all(|c| c.is_ascii_digit()))
        && !known.has(&text.to_uppercase())
}

/// Returns a rating up to its decimal point.
fn chunk_whole(rating: &str) -> &str {
    rating.split('.').next().unwrap_or(rating)
}

fn is_version(text: &str) -> bool {
    text.strip_prefix('v').is_some_and(|rest| {
        !rest.is_empty() && rest.chars().all(|c| c.is_ascii_digit() || c == '.')
    })
}

/// Tells whether the comma at `i` is a decimal comma: digits follow, and then volts.
fn decimal_comma(chars: &[char], i: usize) -> bool {
    let digits = chars[i + 1..].iter().take_while(|c| c.is_ascii_digit());
    let n = digits.count();
    n > 0 && chars.get(i + 1 + n) == Some(&'v')
}

fn push_chunk(out: &mut Vec<Token>, chunk: &str, known: &Known) {
    let upper = chunk.to_uppercase();
    let named = out
        .last()
        .is_some_and(|t| t.is_any(&["rev", "revision", "version", "pin", "ball"]));
    let looks = designator(chunk);
    if known.has(&upper) && looks.is_some() && !named {
        out.push(Token::new(Kind::Part, &upper));
        return;
    }
    if chunk.contains('_') {
        let head = chunk.split('_').next().unwrap_or_default();
        if designator(head).is_some_and(|(p, _)| PREFIXES.contains(&p.as_str())) {
            out.push(Token::new(Kind::Part, &upper));
            return;
        }
        for piece in chunk.split('_').filter(|p| !p.is_empty()) {
            push_chunk(out, piece, known);
        }
        return;
    }
    let rating = chunk.strip_suffix('a').unwrap_or(chunk);
    if (rating != chunk || rating.contains('.')) && is_fuse_rating(chunk_whole(rating), known) {
        // "T6.3A": as printed on a fuse, the amps are what counts.
        out.push(Token::new(Kind::Value, &format!("{}a", &rating[1..])));
        return;
    }
    let all_but = chunk == "but"
        && out
            .last()
            .is_some_and(|t| t.is_any(&["anything", "everything", "all"]));
    let kind = match chunk {
        _ if all_but => {
            out.push(Token::new(Kind::Word, "except"));
            return;
        }
        "and" | "plus" => Kind::And,
        "or" | "nor" => Kind::Or,
        "but" | "then" => Kind::Stop,
        _ if chunk.chars().all(|c| c.is_ascii_digit() || c == '.') => Kind::Number,
        _ if chunk.starts_with(|c: char| c.is_ascii_digit()) => {
            if let Some(volts) = volts(chunk) {
                out.push(volts);
                return;
            }
            if let Some((volts, rest)) = volts_and_word(chunk) {
                out.push(volts);
                out.push(Token::new(Kind::Word, rest));
                return;
            }
            Kind::Value
        }
        _ => match looks {
            Some((prefix, _))
                if !named
                    && PREFIXES.contains(&prefix.as_str())
                    && !NOT_PARTS.contains(&chunk)
                    && !chunk
                        .strip_suffix('a')
                        .is_some_and(|c| is_fuse_rating(c, known))
                    && !known.names.contains(chunk) =>
            {
                out.push(Token::new(Kind::Part, &upper));
                return;
            }
            _ => Kind::Word,
        },
    };
    out.push(Token::new(kind, chunk));
}

/// Splits a designator into letters and number: 1 to 4 letters, 1 to 5 digits, an optional letter.
fn designator(text: &str) -> Option<(String, String)> {
    let letters: String = text.chars().take_while(char::is_ascii_alphabetic).collect();
    let rest = text.get(letters.len()..)?;
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let suffix = rest.get(digits.len()..)?;
    let fits = (1..=4).contains(&letters.len())
        && (1..=5).contains(&digits.len())
        && suffix.len() <= 1
        && suffix.chars().all(|c| c.is_ascii_alphabetic());
    fits.then(|| (letters.to_lowercase(), format!("{digits}{suffix}")))
}

fn volts(text: &str) -> Option<Token> {
    let (whole, part) = text.split_once('v')?;
    let number = if part.is_empty() {
        whole.to_owned()
    } else if part.chars().all(|c| c.is_ascii_digit()) && !whole.contains('.') {
        format!("{whole}.{part}")
    } else {
        return None;
    };
    volts_token(&number)
}

/// Splits `3v3sb` into its volts and the word after them.
fn volts_and_word(text: &str) -> Option<(Token, &str)> {
    let at = text.rfind(|c: char| c.is_ascii_digit() || c == 'v')? + 1;
    let (value, word) = text.split_at(at);
    let fits = word.len() >= 2 && word.chars().all(|c| c.is_ascii_alphabetic());
    fits.then(|| volts(value)).flatten().map(|v| (v, word))
}

fn volts_token(number: &str) -> Option<Token> {
    let value: f64 = number.parse().ok()?;
    Some(Token::new(Kind::Volts, &format!("{value}v")))
}

/// Returns the number that a `Volts`, `Value` or `Number` token starts with.
pub fn number(token: &Token) -> Option<f64> {
    let digits: String = token
        .text
        .chars()
        .take_while(|c| c.is_ascii_digit() || *c == '.')
        .collect();
    digits.parse().ok()
}

/// Reads "pad or trace" as one place rather than as two guesses.
fn one_place(raw: &[Token]) -> Vec<Token> {
    let place = |t: &Token| t.is_any(&["pad", "pads", "trace", "track", "via", "land"]);
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < raw.len() {
        out.push(raw[i].clone());
        let again =
            matches!(&raw[i..], [a, or, b, ..] if place(a) && or.kind == Kind::Or && place(b));
        i += if again { 3 } else { 1 };
    }
    out
}

/// Reads `RS-485`, `RS 485` and "the 485 driver" as the name of the serial bus that they are.
fn serial_bus(raw: &[Token], i: usize) -> Option<&'static str> {
    let dash = raw.get(i + 1).map(|t| t.kind) == Some(Kind::Dash { tight: true });
    let number = if raw[i].is("rs") {
        raw.get(if dash { i + 2 } else { i + 1 })?
    } else {
        let followed = raw.get(i + 1)?.is_any(&[
            "chip",
            "ic",
            "driver",
            "transceiver",
            "trx",
            "xcvr",
            "bus",
            "port",
            "link",
            "line",
        ]);
        Some(&raw[i]).filter(|_| followed)?
    };
    [("485", "rs485"), ("232", "rs232"), ("422", "rs422")]
        .into_iter()
        .find(|(digits, _)| number.kind == Kind::Number && number.text == *digits)
        .map(|(_, name)| name)
}

/// Joins `U 31` and `U-31` where the board has a U31.
fn glued(raw: &[Token], known: &Known) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < raw.len() {
        let dash = raw.get(i + 1).map(|t| t.kind) == Some(Kind::Dash { tight: true });
        let n = if dash { i + 2 } else { i + 1 };
        if let Some(bus) = serial_bus(raw, i) {
            let two = raw[i].is("rs");
            out.push(Token::new(Kind::Word, bus));
            i = if two { n + 1 } else { i + 1 };
            continue;
        }
        if raw[i].kind == Kind::Word
            && let Some(next) = raw.get(n).filter(|t| t.kind == Kind::Number)
        {
            let both = format!("{}{}", raw[i].text, next.text).to_uppercase();
            if known.has(&both) {
                out.push(Token::new(Kind::Part, &both));
                i = n + 1;
                continue;
            }
        }
        out.push(raw[i].clone());
        i += 1;
    }
    out
}

/// Writes out `R4-R7` and `R4-7`; `U31-4` and `U31-A` stay one name of their own.
fn ranges(raw: &[Token]) -> Vec<Token> {
    let wired = raw.iter().any(|t| {
        ["jumper", "wire", "link", "bridge"]
            .iter()
            .any(|w| t.text.starts_with(w))
    });
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < raw.len() {
        let token = &raw[i];
        let through = token.is_any(&["to", "thru", "through"]) && !wired;
        let dash = matches!(token.kind, Kind::Dash { .. });
        let tight = token.kind == Kind::Dash { tight: true };
        let before = out.last().filter(|t| t.kind == Kind::Part).cloned();
        if let (true, Some(before), Some(after)) = (dash || through, &before, raw.get(i + 1)) {
            if let Some(list) = between(&before.text, after) {
                for part in list {
                    out.push(Token::new(Kind::And, "and"));
                    out.push(Token::new(Kind::Part, &part));
                }
                i += 2;
                continue;
            }
            let short = after.kind == Kind::Number || after.text.len() == 1;
            if tight && short && !after.is_joint() {
                let name = format!("{}-{}", before.text, after.text.to_uppercase());
                out.pop();
                out.push(Token::new(Kind::Part, &name));
                i += 2;
                continue;
            }
        }
        match token.kind {
            Kind::Dash { tight: true } => {
                if before.is_some() && raw.get(i + 1).is_some_and(|t| t.kind == Kind::Part) {
                    out.push(Token::new(Kind::And, "and"));
                }
            }
            Kind::Dash { tight: false } => out.push(Token::new(Kind::Stop, ";")),
            _ => out.push(token.clone()),
        }
        i += 1;
    }
    out
}

/// Returns the designators after `first` up to `last`, where the two make a range of at most 64.
fn between(first: &str, last: &Token) -> Option<Vec<String>> {
    let (prefix, from) = designator(first)?;
    let to = match last.kind {
        Kind::Part => {
            let (other, to) = designator(&last.text)?;
            (other == prefix).then_some(to)?
        }
        Kind::Number => last.text.clone(),
        _ => return None,
    };
    let plain = |n: &str| !n.is_empty() && !n.starts_with('0');
    if !plain(&from) || !plain(&to) {
        return None;
    }
    let from: u32 = from.parse().ok()?;
    let to: u32 = to.parse().ok()?;
    let fits = from < to && to - from <= 64;
    fits.then(|| {
        (from + 1..=to)
            .map(|n| format!("{}{n}", prefix.to_uppercase()))
            .collect()
    })
}

/// What the crystal of a clock is for.
const WATCH: [&str; 3] = ["real", "time", "clock"];

/// Tells whether a value is the frequency of a watch.
fn is_watch(token: &Token) -> bool {
    let values = ["32k", "32khz", "32.768khz", "32.768k", "32k768"];
    token.kind == Kind::Value && values.contains(&token.text.as_str())
}

/// Tells whether a word names what keeps time, beside which "25M" is no resistor.
fn keeps_time(token: &Token) -> bool {
    token.is_any(&[
        "xtal",
        "crystal",
        "clock",
        "clk",
        "osc",
        "oscillator",
        "resonator",
        "quartz",
        "tcxo",
    ])
}

/// Joins numbers with the unit that follows, and keeps `Y2 capacitor` from being a crystal.
fn units(raw: &[Token]) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::new();
    let mut i = 0;
    while i < raw.len() {
        let token = &raw[i];
        let next = raw.get(i + 1);
        if token.kind == Kind::Number
            && let Some(unit) = next
        {
            let joined = if unit.is_any(&["v", "volt", "volts"]) {
                volts_token(&token.text)
            } else if unit.is_any(&["a", "amp", "amps"]) {
                Some(Token::new(Kind::Value, &format!("{}a", token.text)))
            } else if unit.is_any(&["ohm", "ohms", "r"]) {
                Some(Token::new(Kind::Value, &format!("{}r", token.text)))
            } else if unit.is_any(&["meg", "megs", "megahertz"]) && raw.iter().any(keeps_time) {
                Some(Token::new(Kind::Value, &format!("{}mhz", token.text)))
            } else if unit.is_any(&["mhz", "khz"]) {
                Some(Token::new(
                    Kind::Value,
                    &format!("{}{}", token.text, unit.text),
                ))
            } else {
                None
            };
            if let Some(joined) = joined {
                if is_watch(&joined) {
                    out.extend(WATCH.map(|word| Token::new(Kind::Word, word)));
                } else {
                    out.push(joined);
                }
                i += 2;
                continue;
            }
        }
        if is_watch(token) {
            // The crystal of a clock, by its frequency.
            out.extend(WATCH.map(|word| Token::new(Kind::Word, word)));
            i += 1;
            continue;
        }
        let megahertz = token
            .text
            .strip_suffix('m')
            .filter(|_| token.kind == Kind::Value);
        if let Some(number) = megahertz.filter(|_| raw.iter().any(keeps_time)) {
            // "25M not swinging, new xtal".
            out.push(Token::new(Kind::Value, &format!("{number}mhz")));
            i += 1;
            continue;
        }
        let class = ["X1", "X2", "Y1", "Y2"].contains(&token.text.as_str());
        if class && next.is_some_and(|t| t.text.starts_with("cap")) {
            out.push(Token::new(Kind::Word, &token.text[..1].to_lowercase()));
        } else {
            out.push(token.clone());
        }
        i += 1;
    }
    out
}

/// Writes out `C12,13+15`: a bare number after a designator and a joint is a designator.
fn lists(raw: &[Token]) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::new();
    for (i, token) in raw.iter().enumerate() {
        let joint = out
            .last()
            .is_some_and(|t| matches!(t.kind, Kind::And | Kind::Or | Kind::Comma));
        let before = out.len().checked_sub(2).and_then(|j| out.get(j));
        let ends = raw.get(i + 1).is_none_or(Token::is_joint);
        if token.kind == Kind::Number
            && joint
            && ends
            && token.text.len() <= 5
            && !token.text.contains('.')
            && let Some((prefix, _)) = before
                .filter(|t| t.kind == Kind::Part)
                .and_then(|t| designator(&t.text))
        {
            out.pop();
            out.push(Token::new(Kind::And, "and"));
            let part = format!("{}{}", prefix.to_uppercase(), token.text);
            out.push(Token::new(Kind::Part, &part));
        } else {
            out.push(token.clone());
        }
    }
    out
}

/// Merges neighbouring joints; the hardest stays ("and/or" is "or").
fn joints(raw: &[Token]) -> Vec<Token> {
    let rank = |kind: Kind| match kind {
        Kind::And => 1,
        Kind::Or => 2,
        Kind::Comma => 3,
        _ => 4,
    };
    let mut out: Vec<Token> = Vec::new();
    for token in raw {
        match out.last_mut() {
            Some(last) if last.is_joint() && token.is_joint() => {
                if rank(token.kind) > rank(last.kind) {
                    *last = token.clone();
                }
            }
            _ => out.push(token.clone()),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts(text: &str) -> Vec<String> {
        let mut known = Known::default();
        known.add_part("U31");
        known.add_name("Petrel P4 helm display");
        lex(text, &known)
            .into_iter()
            .filter(|t| t.kind == Kind::Part)
            .map(|t| t.text)
            .collect()
    }

    #[test]
    fn designators_are_read_as_printed() {
        for (text, expected) in [
            ("U31", "U31"),
            ("u31", "U31"),
            ("IC U31", "U31"),
            ("U 31", "U31"),
            ("U-31", "U31"),
            ("U 13", ""),
            ("U31's", "U31"),
            ("U31.4", "U31"),
            ("U311", "U311"),
            ("U31A", "U31A"),
            ("U31_1", "U31_1"),
            ("U31-4", "U31-4"),
            ("IC31", "IC31"),
            ("C12,13+15", "C12 C13 C15"),
            ("C12, 13 and 15", "C12 C13 C15"),
            ("C12, 2 of them", "C12"),
            ("R4-R7", "R4 R5 R6 R7"),
            ("R4–7", "R4 R5 R6 R7"),
            ("R4..R6", "R4 R5 R6"),
            ("R4 - R6", "R4 R5 R6"),
            ("R4 to R6", "R4 R5 R6"),
            ("jumper R4 to R7", "R4 R7"),
            ("R7-R4", "R7 R4"),
            ("C114/C115/C118", "C114 C115 C118"),
            ("U7 &/or Q3", "U7 Q3"),
            ("Petrel P4", ""),
            ("pin A5", ""),
            ("rev C2", ""),
            ("v2.1->2.3", ""),
            ("4R7 1V8 100n 60R 1.50E+03", ""),
            ("RS485 I2C X7R J1939 CR2032", ""),
            ("Y2 capacitor", ""),
            ("fuse T6.3 A, T6.3A or F2A", ""),
        ] {
            assert_eq!(parts(text).join(" "), expected, "{text}");
        }
    }

    #[test]
    fn volts_are_one_value_in_every_notation() {
        for text in ["3V3", "3.3V", "3.3 V", "3,3V", "3.3 volts", "3v30"] {
            let tokens = lex(text, &Known::default());
            assert_eq!(tokens, [Token::new(Kind::Volts, "3.3v")], "{text}");
        }
        let other = lex("1V8 1V0 33V", &Known::default());
        let texts: Vec<&str> = other.iter().map(|t| t.text.as_str()).collect();
        assert_eq!(texts, ["1.8v", "1v", "33v"]);
    }

    #[test]
    fn joints_merge_into_the_hardest() {
        let kinds: Vec<Kind> = lex("a and/or b, and c. then d", &Known::default())
            .iter()
            .filter(|t| t.is_joint())
            .map(|t| t.kind)
            .collect();
        assert_eq!(kinds, [Kind::Or, Kind::Comma, Kind::Stop]);
    }
}
