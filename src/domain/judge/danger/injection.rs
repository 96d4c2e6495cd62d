//! Volts and amps put into a rail: more than it is made for.
//!
//! A rail's nominal volts come from its name or from the readings of a good board. Rules and word lists:
//! common practice, no source.

use crate::domain::job::Board;
use crate::domain::job::FindingKind;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Kind;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words;

const INJECTING: &[&str] = &[
    "injection",
    "crank",
    "inject",
    "feed",
    "apply",
    "force",
    "push",
    "put",
    "shove",
    "blast",
    "hit",
    "dump",
    "whack",
    "turn",
    "wind",
    "dial",
    "set",
    "jumper",
    "bridge",
    "link",
    "tie",
    "wire",
    "connect",
    "give",
    "run",
];

const ABOVE: &[&str] = &[
    "above",
    "over",
    "more than",
    "higher",
    "exceeding",
    "beyond",
    "twice",
    "double",
];

/// Tells whether more volts are injected than the rail is made for.
pub fn injects_too_much(scene: &Scene<'_>, board: Option<&Board>) -> bool {
    scene.segments.iter().any(|s| {
        let Some(at) = (s.from..s.to).find(|i| {
            !scene.off[*i]
                && INJECTING
                    .iter()
                    .any(|v| words::inflected(&scene.tokens[*i].text, v))
        }) else {
            return false;
        };
        let volts: Vec<f64> = (at..s.to)
            .filter(|i| scene.tokens[*i].kind == Kind::Volts && !scene.off[*i])
            .filter_map(|i| tokens::number(&scene.tokens[i]))
            .collect();
        let nominal = board.and_then(|board| nominal_in(&scene.tokens[at..s.to], board));
        // "the core is low: inject 5 V" means the core where no other place is named.
        let other = (at..s.to)
            .any(|i| scene.tokens[i].kind == Kind::Part || words::is_trade(&scene.tokens[i].text));
        let from = if other { at } else { 0 };
        let core = scene.within(from, s.to, &["core", "vcore"]).then_some(1.3);
        let more = match volts[..] {
            [given, rail, ..] => given > rail,
            [given] => nominal.or(core).is_some_and(|most| given > most),
            [] => false,
        };
        let volt_word = scene.within(at, s.to, &["volts", "voltage", "rail", "nominal", "volt"]);
        let no_limit = scene.within(
            at,
            s.to,
            &[
                "as much voltage",
                "as many volts",
                "any voltage",
                "whatever voltage",
            ],
        );
        more || no_limit || volt_word && scene.within(at, s.to, ABOVE)
    })
}

/// "12 V straight into the 3V3 rail": volts go where fewer belong, whatever the verb.
pub fn volts_into_fewer(scene: &Scene<'_>, board: Option<&Board>) -> bool {
    (0..scene.tokens.len()).any(|i| {
        let token = &scene.tokens[i];
        let Some(given) = tokens::number(token).filter(|_| token.kind == Kind::Volts) else {
            return false;
        };
        let segment = scene.segment(i);
        let into = (i + 1..segment.to.min(i + 5)).find(|j| {
            let straight = scene.tokens[j - 1].is_any(&["straight", "directly", "direct"]);
            scene.tokens[*j].is_any(&["into", "onto"])
                || straight && scene.tokens[*j].is_any(&["to", "on", "at"])
        });
        let Some(into) = into.filter(|_| !scene.off[i] && !scene.condemned(i)) else {
            return false;
        };
        let rest = &scene.tokens[into + 1..segment.to];
        let said = rest
            .iter()
            .find(|t| t.kind == Kind::Volts)
            .and_then(tokens::number);
        let core = rest
            .iter()
            .any(|t| t.is_any(&["core", "vcore"]))
            .then_some(1.3);
        let nominal = said.or(core);
        let nominal = nominal.or_else(|| nominal_in(rest, board?));
        nominal.is_some_and(|most| most < given)
    })
}

/// Returns the nominal volts of a rail of the board that `tokens` name in full.
fn nominal_in(named: &[Token], board: &Board) -> Option<f64> {
    board
        .good
        .iter()
        .filter(|f| f.kind == FindingKind::Rail)
        .find_map(|finding| {
            let net = tokens::lex(&finding.place, &tokens::Known::default());
            let has_volts = net.iter().any(|t| t.kind == Kind::Volts);
            let found = !net.is_empty() && named.windows(net.len()).any(|w| w == net);
            (found && !has_volts).then_some(finding.good.or(finding.got))?
        })
}
