//! The second reading of a repair: an act in one breath, the part told in another.
//!
//! "Transducer socket is rotten, fit new": the first reading finds an act without a part, for what stands
//! round the part is no bench word. Then, and only then, the text is looked through for the descriptions
//! of parts that it holds, however they are wrapped, and the act is taken to be meant for all of them; so
//! two of them are still a list. What stands right behind a "not" is none.

use crate::domain::judge::claim::claims;
use crate::domain::judge::claim::claims::Claim;
use crate::domain::judge::claim::claims::Tells;
use crate::domain::judge::claim::telling;
use crate::domain::judge::read::parts::Meaning;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::scope;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

/// Places on a part.
const PLACES: [&str; 9] = [
    "pad", "pads", "trace", "joint", "joints", "pin", "pins", "ball", "balls",
];

/// Returns the claims of a second reading, where the first found an act that is done to no part.
pub fn read(tokens: &[Token], parts: &Parts, first: &[Claim]) -> Option<Vec<Claim>> {
    let meant = || first.iter().filter(|c| !c.negated && !c.checked);
    let to_a_part = meant().any(|c| !c.acts.is_empty() && matches!(c.part, Meaning::Part(_)));
    let acts: Vec<&'static str> = meant().flat_map(|c| c.acts.iter().copied()).collect();
    if acts.is_empty() || to_a_part || tokens.iter().any(|t| t.kind == Kind::Part) {
        return None;
    }
    let told = told(tokens, parts, &acts);
    (!told.is_empty()).then(|| {
        let claim = |part| Claim {
            acts: acts.clone(),
            part,
            negated: false,
            checked: false,
            tells: Tells::Plainly,
        };
        told.into_iter().map(claim).collect()
    })
}

/// Returns what the descriptions in `tokens` mean, each once.
pub fn told(tokens: &[Token], parts: &Parts, acts: &[&str]) -> Vec<Meaning> {
    let all: Vec<&Token> = tokens.iter().collect();
    let context = parts.description(&all);
    let mut out: Vec<Meaning> = parts
        .wholly_named(&context)
        .into_iter()
        .map(Meaning::Part)
        .collect();
    let heading = telling::heading(tokens, parts);
    for run in runs(tokens, parts)
        .into_iter()
        .filter(|run| heading <= run[0])
    {
        let (from, to) = (run[0], run[run.len() - 1] + 1);
        let stretch: Vec<&Token> = tokens[from..to].iter().collect();
        let said = parts.description(&stretch);
        let mends = ["rebuild-pad-or-trace", "reflow", "bridge-or-jumper"];
        let place =
            |w: &String| mends.iter().any(|m| acts.contains(m)) && PLACES.contains(&w.as_str());
        let bare: Vec<String> = said.iter().filter(|w| !place(w)).cloned().collect();
        // "the pad at the power key": the pad says where on the part, not which part.
        let said = if bare.is_empty() { said } else { bare };
        let class = said
            .iter()
            .any(|w| words::CLASSES.contains(&w.as_str()) || words::MANY.contains(&w.as_str()));
        let meaning = match parts.meaning(&said) {
            Meaning::Nothing | Meaning::Several(_)
                if matches!(parts.meaning_in(&stretch), Meaning::Part(_)) =>
            {
                parts.meaning_in(&stretch)
            }
            Meaning::Part(key) if class || 1 < said.len() || parts.is_headed_by(&key, &said) => {
                Meaning::Part(key)
            }
            Meaning::Several(keys) if class => match &parts.narrowed(&keys, &context)[..] {
                [one] => Meaning::Part(one.clone()),
                _ => Meaning::Several(keys),
            },
            _ => continue,
        };
        if !out.contains(&meaning) {
            out.push(meaning);
        }
    }
    out
}

/// Returns the runs of words that describe parts, fillers between them left out.
fn runs(tokens: &[Token], parts: &Parts) -> Vec<Vec<usize>> {
    let mut out: Vec<Vec<usize>> = Vec::new();
    for segment in claims::segments(tokens) {
        let mut run: Vec<usize> = Vec::new();
        for i in segment.from..=segment.to {
            let token = tokens.get(i).filter(|_| i < segment.to);
            let says = token.is_some_and(|t| {
                matches!(t.kind, Kind::Volts | Kind::Value)
                    || t.kind == Kind::Number && t.text.contains('.')
                    || t.kind == Kind::Word && parts.knows(&t.text)
            });
            let between = token.is_some_and(|t| {
                t.is_any(&[
                    "the", "of", "on", "for", "in", "a", "its", "side", "by", "at", "near",
                    "across", "behind", "over",
                ])
            });
            if says {
                run.push(i);
            } else if !between && !run.is_empty() {
                let from = run[0].saturating_sub(2).max(segment.from);
                if !tokens[from..run[0]].iter().any(scope::is_negator) {
                    out.push(std::mem::take(&mut run));
                }
                run.clear();
            }
        }
    }
    out
}
