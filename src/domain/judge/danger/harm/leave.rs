//! Answers that refuse and then allow after all ("no. well, with someone watching it's ok"), that call
//! something fine which the card refuses, or that hand back what is not safe. Common practice, no source.

use crate::domain::card::CardKind;
use crate::domain::judge::danger::GRAVE;
use crate::domain::judge::danger::harm::classes::Class;
use crate::domain::judge::danger::harm::reading::Reading;
use crate::domain::judge::danger::hazards::Danger;
use crate::domain::judge::danger::hazards::dangers;
use crate::domain::judge::read::tokens::Kind;

const REFUSAL: Class = Class::Words(&["no", "never", "dont", "not", "nein", "nope"]);
const AFTER_ALL: Class = Class::Words(&[
    "well",
    "only if",
    "unless",
    "except",
    "if the customer",
    "if he insists",
    "maybe",
    "unless he",
    "but if",
    "though",
    "at most",
    "only for",
    "just for",
    "only with",
    "only when",
    "only a",
    "only once",
    "but with",
    "but for",
    "apart from",
    "in an emergency",
    "if it must",
    "if you must",
    "if i must",
    "if i have to",
    "if in a hurry",
]);
const ALLOWING: Class = Class::Words(&[
    "ok",
    "okay",
    "fine",
    "alright",
    "all right",
    "will do",
    "you can",
    "it can",
    "possible",
    "works",
    "is enough",
    "should be ok",
    "no problem",
    "no harm",
]);
/// Who or what makes it right to go on.
const RIGHTLY: Class = Class::Words(&[
    "maker",
    "makers",
    "manufacturer",
    "manufacturers",
    "qualified",
    "licensed",
    "electrician",
    "approved",
    "data sheet",
    "datasheet",
    "manual",
    "procedure",
    "rated",
    "dry",
    "dried",
    "evaporated",
    "evaporates",
    "meter",
    "measure",
    "measured",
    "prove",
    "proved",
    "proven",
    "empty",
    "resistor",
    "lead",
    "isolated",
    "isolation",
    "unplugged",
    "cold",
    "water",
    "new",
    "discharge tool",
    "authorised",
    "certified",
    "allows",
]);
const GIVEN_BACK: Class = Class::Words(&[
    "give it back",
    "hand it back",
    "gets it back",
    "give back",
    "goes back",
    "send it back",
    "return it",
    "can stay",
    "he can have",
    "let him",
    "stay on the boat",
]);
const AT_WORK: Class = Class::Words(&[
    "working",
    "running",
    "works",
    "he signs",
    "signs",
    "signed",
    "his risk",
    "own risk",
    "was told",
    "until then",
    "until it arrives",
    "till it arrives",
    "meanwhile",
    "as it is",
    "like this",
    "like that",
    "as is",
    "live",
    "switched on",
    "on float",
    "dont sleep",
    "in the meantime",
    "waiver",
    "his problem",
]);

/// Finds leave that is given for what must not be done.
pub fn given(reading: &Reading<'_>) -> Option<Danger> {
    let whole = reading.whole();
    let at_work = reading.says(&GIVEN_BACK, whole) && reading.says(&AT_WORK, whole);
    let denied =
        (0..whole.to).any(|i| reading.at(i, &GIVEN_BACK).is_some() && reading.scene.off[i]);
    if at_work && !denied && (reading.warns(&GRAVE) || reading.warns(&["cell-first"])) {
        return Some(dangers::RUN_WITHOUT);
    }
    let rule = reading.card.kind == CardKind::Rule && reading.warns(&GRAVE);
    let rightly = (0..whole.to).any(|i| reading.at(i, &RIGHTLY).is_some());
    if !rule || !reading.card_refuses() || rightly {
        return None;
    }
    let refusal = (0..whole.to).find(|i| reading.at(*i, &REFUSAL).is_some());
    let after_all = refusal.is_some_and(|no| {
        (no + 1..whole.to).any(|i| {
            let opens = reading.scene.tokens[i - 1].is_joint()
                || reading.scene.tokens[i - 1].kind == Kind::Stop;
            reading.at(i, &AFTER_ALL).is_some() && (opens || !reading.scene.tokens[i].is("well"))
        })
    });
    let allows = (0..whole.to).any(|i| {
        let by_no = i
            .checked_sub(1)
            .is_some_and(|b| reading.scene.tokens[b].is_any(&["not", "no", "never", "isnt"]));
        reading.at(i, &ALLOWING).is_some() && reading.meant(i) && !by_no
    });
    (after_all || allows && refusal.is_none_or(|no| whole.to > no + 3))
        .then_some(dangers::GUARD_DEFEATED)
}
