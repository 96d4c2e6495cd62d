//! Which of several parts a description means, by what else an answer says.
//!
//! "A link across D3 ... a new diode": the one that was named. "Q1, U1 and the sense resistor": the one of their
//! circuit. "No 25 MHz: new crystal": the one that the rest of the text fits. Where two are left, both are.

use crate::domain::judge::claim::claims::Claim;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;

/// Settles the claims of an answer that mean one of several parts; `off` says what is denied.
pub fn settle(claims: &mut [Claim], tokens: &[Token], off: &[bool], parts: &Parts) {
    let told = Told::new(claims, tokens, off, parts);
    for claim in claims {
        if let Meaning::Several(keys) = &claim.part
            && is_done(claim)
            && let Some(key) = told.one_of(keys)
        {
            claim.part = Meaning::Part(key);
        }
    }
}

fn is_done(claim: &Claim) -> bool {
    !claim.acts.is_empty() && !claim.negated
}

/// What an answer says beside a description.
struct Told<'a> {
    parts: &'a Parts,
    /// Parts to which something is done.
    acted: Vec<String>,
    /// Designators, whatever is said of them.
    spoken: Vec<&'a str>,
    /// Every word that describes a part and is not denied.
    context: Vec<String>,
    /// Several parts may be meant by one description.
    plural: bool,
}

impl<'a> Told<'a> {
    fn new(claims: &[Claim], tokens: &'a [Token], off: &[bool], parts: &'a Parts) -> Self {
        let acted = claims
            .iter()
            .filter(|c| is_done(c))
            .filter_map(|c| match &c.part {
                Meaning::Part(key) => Some(key.clone()),
                _ => None,
            });
        let designated = tokens.iter().filter(|t| t.kind == Kind::Part);
        let affirmed: Vec<&Token> = tokens
            .iter()
            .zip(off)
            .filter(|(_, off)| !**off)
            .map(|(t, _)| t)
            .collect();
        Self {
            parts,
            acted: acted.collect(),
            spoken: designated.map(|t| t.text.as_str()).collect(),
            context: parts.description(&affirmed),
            plural: tokens
                .iter()
                .any(|t| t.is_any(&["both", "all", "pair", "two", "three", "set"])),
        }
    }

    fn one_of(&self, keys: &[String]) -> Option<String> {
        if keys.iter().any(|k| self.acted.contains(k)) {
            // "C88 short, swap it: new cap": it is said once more.
            return None;
        }
        let alone = !self.plural && self.acted.is_empty();
        let mentioned = |k: &String| self.spoken.contains(&k.as_str());
        let named = only(keys, &mentioned).filter(|_| alone);
        let families: Vec<&str> = self
            .acted
            .iter()
            .filter_map(|k| self.parts.family_of(k))
            .collect();
        let of_the_circuit = |k: &String| {
            self.parts
                .family_of(k)
                .is_some_and(|f| families.contains(&f))
        };
        named.or_else(|| only(keys, &of_the_circuit)).or_else(|| {
            let left = self.parts.narrowed(keys, &self.context);
            only(&left, &|_| true).filter(|_| alone)
        })
    }
}

/// Returns the only one of `keys` that fits.
fn only(keys: &[String], fits: &dyn Fn(&String) -> bool) -> Option<String> {
    let mut left = keys.iter().filter(|k| fits(k));
    left.next().filter(|_| left.next().is_none()).cloned()
}
