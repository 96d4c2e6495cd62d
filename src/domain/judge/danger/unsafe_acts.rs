//! Reads a text or a recorded fix for unsafe acts.
//!
//! The table of [`crate::domain::judge::danger::hazards`] covers verb and thing, [`situations`] what needs
//! numbers, states or the order of clauses. A denied act is safe, and so is one that is only
//! looked for or undone; what stays unclear is read as unsafe. Recognising words is all this does:
//! a text that passes is not thereby safe to do.

use std::collections::HashMap;
use std::sync::LazyLock;
use std::sync::Mutex;
use std::sync::PoisonError;

use crate::domain::job::Board;
use crate::domain::job::Fix;
use crate::domain::job::Job;
use crate::domain::judge::danger::bench_situations;
use crate::domain::judge::danger::charge;
use crate::domain::judge::danger::defeats;
use crate::domain::judge::danger::fuses;
use crate::domain::judge::danger::hazards::Danger;
use crate::domain::judge::danger::hazards::HAZARDS;
use crate::domain::judge::danger::hazards::dangers;
use crate::domain::judge::danger::injection;
use crate::domain::judge::danger::live_work;
use crate::domain::judge::danger::scene::Scene;
use crate::domain::judge::danger::situations;
use crate::domain::judge::danger::solvents;
use crate::domain::judge::danger::stand_ins;
use crate::domain::judge::danger::stilled;
use crate::domain::judge::read::parts::Parts;
use crate::domain::judge::read::slips;
use crate::domain::judge::read::speech;
use crate::domain::judge::read::tokens;
use crate::domain::judge::read::tokens::Token;
use crate::domain::judge::read::words::Synonyms;

/// An unsafe act found in a text or a fix.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnsafeAct {
    /// A few words for the verdict line.
    pub what: String,
    /// Why it hurts, and whom to ask instead.
    pub why: String,
    /// Id of the caution to show; `protection` has no longer text than `why`.
    pub caution: &'static str,
}

impl From<Danger> for UnsafeAct {
    fn from(danger: Danger) -> Self {
        Self {
            what: danger.what.to_owned(),
            why: danger.why.to_owned(),
            caution: danger.caution,
        }
    }
}

/// Returns the first unsafe act that `text` proposes.
pub fn unsafe_in_text(text: &str, board: Option<&Board>, words: &Synonyms) -> Option<UnsafeAct> {
    OnBoard::new(board, words).unsafe_in_text(text)
}

/// A board whose parts were read once, for many texts and fixes.
pub struct OnBoard<'a> {
    board: Option<&'a Board>,
    words: &'a Synonyms,
    parts: Parts,
    /// Steps that were read so far: a board's jobs did the same few.
    steps: Mutex<HashMap<String, Option<UnsafeAct>>>,
}

impl<'a> OnBoard<'a> {
    /// Reads the parts of a board.
    pub fn new(board: Option<&'a Board>, words: &'a Synonyms) -> Self {
        let parts = Parts::new(None, board, words);
        Self {
            board,
            words,
            parts,
            steps: Mutex::default(),
        }
    }

    /// Reads them in the words of the trade alone.
    pub fn of_trade(board: Option<&'a Board>) -> Self {
        /// Asked for with every fix of an archive.
        static WORDS: LazyLock<Synonyms> = LazyLock::new(Synonyms::default);
        Self::new(board, &WORDS)
    }

    /// Returns the first unsafe act that `text` proposes.
    pub fn unsafe_in_text(&self, text: &str) -> Option<UnsafeAct> {
        self.unsafe_in(&speech::translated(&tokens::lex(text, self.parts.known())))
    }

    fn unsafe_in(&self, raw: &[Token]) -> Option<UnsafeAct> {
        let (board, words) = (self.board, self.words);
        let translated = words.shop_only(raw);
        let mut found = danger(&Scene::new(raw.to_vec(), board), board);
        if found.is_none() && translated != raw {
            found = danger(&Scene::new(translated, board), board);
        }
        found.map(UnsafeAct::from)
    }

    /// Returns the same of a step of a recorded repair.
    fn unsafe_step(&self, step: String) -> Option<UnsafeAct> {
        let known = || self.steps.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = known().get(&step) {
            return found.clone();
        }
        let found = self.unsafe_in_text(&step);
        known().insert(step, found.clone());
        found
    }

    /// Returns why a recorded fix must never be taught: it defeats what protects people.
    pub fn unsafe_fix(&self, fix: &Fix, job: &Job) -> Option<UnsafeAct> {
        let renewed = |part: &str| {
            let by_fix = fix
                .pairs()
                .iter()
                .any(|(act, p)| act.starts_with("replace") && p.eq_ignore_ascii_case(part));
            let by_job = job
                .actions
                .iter()
                .any(|a| a.act.starts_with("replace") && a.part.eq_ignore_ascii_case(part));
            by_fix || by_job
        };
        let pairs = fix.pairs().iter().map(|(act, part)| (&**act, &**part));
        unsafe_pairs(pairs, &renewed, self)
    }
}

/// Returns the unsafe act that `text` proposes as an answer to a card with these cautions.
pub fn unsafe_in_answer(
    text: &str,
    cautions: &[String],
    board: Option<&Board>,
    words: &Synonyms,
) -> Option<UnsafeAct> {
    let parts = Parts::new(None, board, words);
    let on_board = OnBoard::new(board, words);
    let typed = speech::translated(&tokens::lex(text, parts.known()));
    let meant = slips::mended_by(&typed, &parts, &vocabulary(&parts));
    let found = on_board.unsafe_in(&typed);
    let found = found.or_else(|| (meant != typed).then(|| on_board.unsafe_in(&meant))?);
    found.or_else(|| {
        let mains = cautions.iter().any(|c| c == "mains");
        let scene = Scene::new(typed, board);
        let live = mains
            && (situations::works_live_on_a_mains_unit(&scene) || live_work::feels_running(&scene));
        live.then(|| UnsafeAct::from(dangers::LIVE_MAINS))
    })
}

/// Returns the words that a slip in an answer may have meant, those of unsafe acts among them.
fn vocabulary(parts: &Parts) -> slips::Vocabulary<'_> {
    let acts = HAZARDS
        .iter()
        .flat_map(|h| h.verbs.iter().chain(h.thing.words));
    let more = [
        "bigger", "larger", "stronger", "wire", "copper", "swollen", "powered", "running", "mains",
    ];
    let words = acts.flat_map(|phrase| phrase.split(' ')).chain(more);
    slips::Vocabulary::new(parts, words)
}

/// Returns why a recorded fix must never be taught: it defeats what protects people.
pub fn unsafe_fix(fix: &Fix, job: &Job, board: Option<&Board>) -> Option<UnsafeAct> {
    OnBoard::of_trade(board).unsafe_fix(fix, job)
}

/// Returns why these acts and parts, together one answer, must never be taught.
pub fn unsafe_steps(steps: &[(&str, &str)], board: Option<&Board>) -> Option<UnsafeAct> {
    let renewed = |part: &str| {
        let of_part =
            |(act, p): &(&str, &str)| act.starts_with("replace") && p.eq_ignore_ascii_case(part);
        steps.iter().any(of_part)
    };
    let board = OnBoard::of_trade(board);
    unsafe_pairs(steps.iter().copied(), &renewed, &board)
}

fn unsafe_pairs<'a>(
    mut pairs: impl Iterator<Item = (&'a str, &'a str)>,
    renewed: &dyn Fn(&str) -> bool,
    board: &OnBoard<'_>,
) -> Option<UnsafeAct> {
    pairs.find_map(|(act, part)| {
        let verb = match act {
            "bridge-or-jumper" => "bridge",
            "remove" if renewed(part) => return None,
            "remove" => "leave out",
            "replace" | "replace-connector" => "replace",
            "reflow" | "reball" => "reflow",
            "clean" => "clean",
            _ => "",
        };
        board.unsafe_step(format!("{verb} {part}"))
    })
}

/// A rule beside the table.
type Rule = fn(&Scene<'_>) -> bool;

fn danger(scene: &Scene<'_>, board: Option<&Board>) -> Option<Danger> {
    let rules: [(Rule, Danger); 47] = [
        (fuses::protection_of_wire, dangers::FUSE_BRIDGED),
        (fuses::fuse_too_big, dangers::FUSE_TOO_BIG),
        (situations::runs_without, dangers::RUN_WITHOUT),
        (
            situations::joins_primary_and_secondary,
            dangers::BARRIER_BRIDGED,
        ),
        (solvents::heats_alcohol, dangers::ALCOHOL_HEATED),
        (solvents::alcohol_on_power, dangers::ALCOHOL_POWERED),
        (situations::trusts_a_bleeder, dangers::BLEEDER_TRUSTED),
        (situations::works_live, dangers::LIVE_MAINS),
        (situations::solders_live, dangers::LIVE_BOARD),
        (situations::scopes_mains, dangers::SCOPE_ON_MAINS),
        (situations::powers_wet, dangers::WET_POWERED),
        (situations::until_it_burns, dangers::UNTIL_SMOKE),
        (
            bench_situations::powers_mains_unguarded,
            dangers::MAINS_UNGUARDED,
        ),
        (bench_situations::runs_mains_open, dangers::LIVE_MAINS),
        (bench_situations::powers_unguarded, dangers::POWER_UNGUARDED),
        (bench_situations::powers_unlimited, dangers::POWER_UNGUARDED),
        (bench_situations::powers_straight, dangers::POWER_UNGUARDED),
        (
            bench_situations::plugs_repaired_in,
            dangers::MAINS_UNGUARDED,
        ),
        (bench_situations::wears_strap_live, dangers::STRAP_ON_MAINS),
        (bench_situations::puts_bad_cell_back, dangers::CELL_CHARGED),
        (
            bench_situations::solders_in_alcohol,
            dangers::ALCOHOL_HEATED,
        ),
        (defeats::so_it_never_trips, dangers::GUARD_DEFEATED),
        (defeats::calls_a_guard_needless, dangers::RUN_WITHOUT),
        (defeats::works_without_extraction, dangers::RUN_WITHOUT),
        (solvents::alcohol_then_power, dangers::ALCOHOL_POWERED),
        (defeats::leaves_a_clamp_out, dangers::RUN_WITHOUT),
        (defeats::goes_past_the_fuse, dangers::FUSE_BRIDGED),
        (defeats::stills_a_protection, dangers::GUARD_DEFEATED),
        (stand_ins::conducts_instead, dangers::GUARD_DEFEATED),
        (stand_ins::joins_its_ends, dangers::GUARD_DEFEATED),
        (stilled::is_left_away, dangers::RUN_WITHOUT),
        (stilled::calls_it_needless, dangers::RUN_WITHOUT),
        (stilled::makes_it_lie, dangers::THERMAL_FOOLED),
        (stilled::doubles_a_fuse, dangers::FUSE_TOO_BIG),
        (stilled::fools_a_sensor, dangers::THERMAL_FOOLED),
        (stilled::holds_a_line, dangers::GUARD_DEFEATED),
        (stilled::holds_the_contacts, dangers::GUARD_DEFEATED),
        (
            bench_situations::goes_straight_to_mains,
            dangers::MAINS_UNGUARDED,
        ),
        (charge::lets_it_bang, dangers::SHORTED_CHARGE),
        (charge::heats_on_a_cell, dangers::CELL_HEATED),
        (charge::lights_solvent, dangers::ALCOHOL_HEATED),
        (live_work::handles_live, dangers::LIVE_BOARD),
        (live_work::feels_live, dangers::LIVE_TOUCHED),
        (charge::tool_on_charge, dangers::SHORTED_CHARGE),
        (charge::feeds_a_cell, dangers::CELL_CHARGED),
        (charge::opens_a_cell, dangers::CELL_OPENED),
        (charge::solvent_beside_heat, dangers::ALCOHOL_HEATED),
    ];
    let table = HAZARDS.iter().find(|h| scene.happens(h)).map(|h| h.danger);
    table
        .or_else(|| rules.iter().find(|(rule, _)| rule(scene)).map(|(_, d)| *d))
        .or_else(|| {
            let over = injection::injects_too_much(scene, board)
                || injection::volts_into_fewer(scene, board);
            over.then_some(dangers::OVER_INJECTED)
        })
        .or_else(|| fuses::fuse_above_the_boards(scene, board).then_some(dangers::FUSE_TOO_BIG))
        .or_else(|| situations::eats(scene).then_some(dangers::FOOD))
}
