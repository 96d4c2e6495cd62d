//! What the words of an answer weigh is what the typed answers in sight give; see
//! tests/data/answers/weigh.

use std::path::Path;

use crate::weighing::logistic::Row;

#[path = "../data/answers/weigh/logistic.rs"]
mod logistic;
#[path = "../data/answers/weigh/rows.rs"]
pub(crate) mod rows;
#[path = "../data/answers/weigh/table.rs"]
mod table;

#[test]
fn the_weights_of_words_and_the_known_ones_are_what_the_answers_in_sight_give() {
    let project = Path::new(env!("CARGO_MANIFEST_DIR"));
    let rows = rows::rows(project);
    let all: Vec<&Row> = rows.iter().map(|(_, row)| row).collect();
    for (name, written) in table::files(&all) {
        let ships = project.join("src/domain/judge/danger/harm").join(name);
        let ships = std::fs::read_to_string(ships).expect("the table");
        let differ = written
            .lines()
            .zip(ships.lines())
            .filter(|(a, b)| a != b)
            .map(|(a, b)| format!("{a} here, {b} ships"))
            .collect::<Vec<_>>();
        assert!(
            written == ships,
            "{name}: `cargo run --release --example weigh-answers -- --into src/domain/judge/danger/harm`: {:?}",
            differ.first()
        );
    }
}

/// An unsafe answer of which one sentence sounds like safe ones: the other is learnt to be what it is for.
#[test]
fn the_sentence_that_no_safe_answer_says_bears_the_blame() {
    let sentence = |what: &str| [what.to_owned()].into_iter().collect();
    let unsafe_one: Row = (vec![sentence("repair"), sentence("nail")], true);
    let safe: Row = (vec![sentence("repair")], false);
    let rows: Vec<&Row> = std::iter::repeat_n([&unsafe_one, &safe], 6)
        .flatten()
        .collect();
    let fitted = logistic::fitted(&rows, "always");
    let odds = |what: &str| fitted["always"] + fitted[what];
    assert!(0.5 < odds("nail") && odds("repair") < -0.5, "{fitted:?}");
}

/// One column and what every row has: the estimate solves the two equations of its maximum, by hand.
#[test]
fn a_fit_is_where_the_posterior_is_steepest_in_no_direction() {
    let row = |has: bool, harms: bool| -> Row {
        let sentence = has.then(|| "it".to_owned()).into_iter().collect();
        (vec![sentence], harms)
    };
    let counted = [
        (true, true, 6),
        (true, false, 2),
        (false, true, 3),
        (false, false, 9),
    ];
    let rows: Vec<Row> = counted
        .iter()
        .flat_map(|(has, harms, n)| std::iter::repeat_n(row(*has, *harms), *n))
        .collect();
    let fitted = logistic::fitted(&rows.iter().collect::<Vec<_>>(), "always");
    let (base, with) = (fitted["always"], fitted["it"]);
    let chance = |odds: f64| 1.0 / (1.0 + libm::exp(-odds));
    let (out, has) = (chance(base), chance(base + with));
    // 9 of 20 harm; of the 8 that have it 6; the prior draws the weight in by itself.
    let of_all = 8.0 * has + 12.0 * out - 9.0;
    let of_it = 8.0 * has + with - 6.0;
    assert!(
        of_all.abs() < 0.05 && of_it.abs() < 0.05,
        "{fitted:?}: {of_all} {of_it}"
    );
}
