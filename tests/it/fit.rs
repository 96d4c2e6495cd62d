//! `fit` for people, fits that run by themselves, and weights that do not fit, through the real binary.
//!
//! The people are made up: they forget four times, or a quarter, as fast as the published model says.

use std::path::PathBuf;
use std::sync::Arc;

use benchlore::app::practice;
use benchlore::app::workbench::Workbench;
use benchlore::domain::card::Card;
use benchlore::domain::history::History;
use benchlore::domain::in_force;
use benchlore::domain::in_force::Effect;
use benchlore::domain::memory;
use benchlore::domain::memory::Memory;
use benchlore::domain::memory::Weights;
use benchlore::domain::review::Answered;
use benchlore::domain::review::Event;
use benchlore::domain::review::Grade;
use benchlore::domain::review::Millis;
use benchlore::domain::review::Mode;
use benchlore::domain::review::Sure;
use benchlore::domain::review::Verdict;
use benchlore::store::disk::Disk;
use benchlore::store::disk::RealDisk;
use benchlore::store::journal::Journal;
use benchlore::store::lock::Holder;
use benchlore::store::paths::ShopFolder;
use benchlore::store::sealed;
use chrono::DateTime;
use chrono::Days;
use chrono::NaiveDate;
use chrono::Utc;
use rand::RngExt;
use rand::SeedableRng;
use rand::rngs::ChaCha12Rng;
use serde_json::Value;
use serde_json::json;

use crate::common::Bench;
use crate::common::deck;
use crate::common::text;

/// Days of practice before the day of the tests.
const DAYS: u64 = 60;

fn workbench(bench: &Bench) -> Workbench {
    let disk: Arc<dyn Disk> = Arc::new(RealDisk);
    Workbench::open(disk, ShopFolder::new(bench.shop()), "b7".to_owned()).expect("the shop opens")
}

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 20).expect("a day")
}

/// Someone who forgets so many times as fast as published.
fn someone(times: f64) -> Weights {
    let mut p = *Weights::published().get();
    for stability in &mut p[..4] {
        *stability = (*stability / times).min(100.0);
    }
    p[8] = (p[8] - 0.4 * times.ln()).min(4.5);
    Weights::new(p).expect("within bounds")
}

fn answer(card: &Card, day: NaiveDate, grade: Grade) -> Event {
    Event::Answer(Box::new(Answered {
        card: card.id.clone(),
        asked: card.asked_mark(),
        accepted: card.accepted_mark(),
        sitting: format!("made-up-{day}"),
        mode: Mode::Drill,
        grade,
        proposed: grade,
        ms: Millis {
            circuit: 3000,
            answer: 9000,
            reveal: 4000,
        },
        circuit: Some((card.family.clone(), card.family.clone())),
        typed: "an answer".to_owned(),
        aloud: false,
        sure: Sure::Fair,
        overruled: false,
        verdict: Verdict {
            circuit: Some(true),
            fix: Some(grade.recalled()),
            unsafe_answer: false,
        },
        next_days: 1,
        options: 0,
    }))
}

fn opened(workbench: &Workbench, person: &str) -> Journal {
    let holder = Holder {
        who: "a test".to_owned(),
        since: DateTime::<Utc>::UNIX_EPOCH,
    };
    let opened = Journal::open(&workbench.disk, &workbench.folder, person, "b7", &holder);
    opened.expect("the journal opens").0
}

/// Writes `days` days of practice of someone with `truth`; returns how many reviews are scored.
fn practised(bench: &Bench, person: &str, truth: &Weights, days: u64, seed: u64) -> usize {
    let workbench = workbench(bench);
    let mut rng = ChaCha12Rng::seed_from_u64(seed);
    let mut journal = opened(&workbench, person);
    let cards: Vec<&Card> = workbench.cards().into_iter().take(70).collect();
    let mut states: Vec<Option<(Memory, u64)>> = vec![None; cards.len()];
    let mut due: Vec<u64> = cards.iter().map(|_| rng.random_range(0..12)).collect();
    let mut scored = 0;
    for day in 0..days {
        let date = today() - Days::new(DAYS - day);
        let at = date.and_hms_opt(8, 0, 0).expect("a time").and_utc();
        for (n, card) in cards.iter().enumerate() {
            if day < due[n] {
                continue;
            }
            let elapsed = states[n].map_or(0, |(_, last)| u32::try_from(day - last).expect("few"));
            let recall = states[n].map_or(1.0, |(memory, _)| {
                memory::recall(truth, memory.stability, f64::from(elapsed))
            });
            let right = rng.random_range(0.0..1.0) < recall;
            let grade = if right { Grade::Named } else { Grade::Missed };
            let event = answer(card, date, grade);
            journal.append(event, at, date).expect("it is kept");
            scored += usize::from(states[n].is_some());
            let memory = states[n].map(|(memory, _)| memory);
            let memory = memory::after(truth, memory, elapsed, grade);
            states[n] = Some((memory, day));
            let wait = memory::interval_exact(truth, memory.stability, 0.8);
            let wait = memory::whole_days(wait * rng.random_range(0.5..1.5));
            due[n] = day + u64::from(wait.max(1));
        }
    }
    scored
}

fn forgetful() -> (Bench, usize) {
    let bench = Bench::practice();
    let scored = practised(&bench, "mk", &someone(4.0), DAYS, 1);
    (bench, scored)
}

fn history(bench: &Bench, person: &str) -> History {
    let now = crate::common::NOW.parse().expect("a moment");
    let record = practice::record(&workbench(bench), person, now);
    record.expect("it reads").history
}

fn json_of(bench: &Bench, args: &[&str]) -> Value {
    let run = bench.run(args);
    assert!(run.status.success(), "{}", text(&run.stderr));
    serde_json::from_str(&text(&run.stdout)).expect("JSON")
}

fn weights_in(journal: &[Value]) -> Vec<&Value> {
    let lines = journal.iter().filter(|line| line["ev"] == "weights");
    lines.collect()
}

#[test]
fn a_fit_that_foretells_better_is_journalled_and_changes_nothing_kept_before() {
    let (bench, scored) = forgetful();
    let before = bench.read("people/mk/b7.jsonl");
    let found = json_of(&bench, &["fit", "--json"]);
    assert_eq!(found["v"], 1);
    let fitted = &found["people"][0];
    assert_eq!(fitted["person"], "mk");
    assert_eq!(fitted["scored"], scored);
    assert_eq!(fitted["held_out"], (scored / 5).max(50.min(scored / 2)));
    let loss = |key: &str| fitted[key].as_f64().expect("a loss");
    assert!(loss("log_loss_after") < loss("log_loss_before"));
    assert_eq!(fitted["took_effect"], true);
    assert_eq!(fitted["in_force"], "own");
    let after = bench.read("people/mk/b7.jsonl");
    let line = after.strip_prefix(&before).expect("only appended to");
    let line: Value = serde_json::from_str(line).expect("one line");
    assert_eq!(line["ev"], "weights");
    assert_eq!(line["id"], fitted["kept"]);
    assert_eq!(line["weights"], fitted["weights"]);
    let numbers: Vec<f64> = serde_json::from_value(line["weights"].clone()).expect("numbers");
    assert_eq!(
        history(&bench, "mk").weights,
        Weights::from_slice(&numbers).expect("within bounds")
    );
    // A lost cache changes nothing.
    drop(std::fs::remove_dir_all(bench.shop().join("cache")));
    assert_eq!(history(&bench, "mk").weights.get().to_vec(), numbers);
    // Nothing new has come since: the old fit stays.
    let again = json_of(&bench, &["fit", "--json"]);
    assert_eq!(again["people"][0]["took_effect"], false);
    let said = again["people"][0]["verdict"].as_str().expect("a sentence");
    assert!(
        said.contains("0 scored reviews since the last fit"),
        "{said}"
    );
    assert_eq!(bench.read("people/mk/b7.jsonl"), after);
    assert_eq!(bench.run(&["inspect"]).status.code(), Some(0));
}

#[test]
fn showing_a_fit_says_what_would_change_and_writes_nothing() {
    let (bench, scored) = forgetful();
    let before = bench.read("people/mk/b7.jsonl");
    let found = json_of(&bench, &["fit", "--show", "--person", "mk", "--json"]);
    let fitted = &found["people"][0];
    assert_eq!(
        (&fitted["scored"], &fitted["took_effect"]),
        (&json!(scored), &json!(false))
    );
    let today = &fitted["today"];
    assert!(today["minutes_before"].as_f64().expect("minutes") > 0.0);
    let mean = |key: &str| today[key].as_f64().expect("a mean");
    assert!(mean("recall_after") < mean("recall_before"), "{today}");
    let moved = today["moved"].as_array().expect("cards");
    assert_eq!(moved.len(), 5);
    let by = |m: &Value| {
        (m["recall_after"].as_f64().expect("a chance")
            - m["recall_before"].as_f64().expect("a chance"))
        .abs()
    };
    assert!(moved.is_sorted_by(|a, b| by(b) <= by(a)));
    assert_eq!(bench.read("people/mk/b7.jsonl"), before);
    let plain = text(&bench.run(&["fit", "--show"]).stdout);
    assert!(plain.contains("it would take effect"), "{plain}");
    assert!(plain.contains("Today's sitting: "), "{plain}");
}

#[test]
fn too_little_one_sided_and_same_day_only_are_said_and_leave_everything_as_it_is() {
    let said = |bench: &Bench| {
        let run = bench.run(&["fit"]);
        assert_eq!(run.status.code(), Some(0), "{}", text(&run.stderr));
        text(&run.stdout)
    };
    let bench = Bench::practice();
    assert!(said(&bench).contains("there is no review"));
    practised(&bench, "mk", &someone(4.0), 5, 2);
    let few = said(&bench);
    assert!(
        few.contains("a fit that is tested takes at least 50"),
        "{few}"
    );
    assert!(
        few.contains("The parameters in force stay: the published ones."),
        "{few}"
    );
    let always_right = Bench::practice();
    told(&always_right, &[0, 5, 11, 20, 34]);
    let easy = said(&always_right);
    assert!(easy.contains("were recalled"), "{easy}");
    let one_day = Bench::practice();
    told(&one_day, &[9, 9, 9]);
    let same = said(&one_day);
    assert!(
        same.contains("none of 90 reviews came a day or more after"),
        "{same}"
    );
    for bench in [always_right, one_day] {
        assert_eq!(weights_in(&bench.journal("mk")).len(), 0);
        // A drill takes it as it is, too.
        one_card(&bench, "mk", "2026-11-20T08:00:00Z");
        assert_eq!(weights_in(&bench.journal("mk")).len(), 0);
    }
}

/// Writes right answers of `mk` to thirty cards on each of these days.
fn told(bench: &Bench, days: &[u64]) {
    let workbench = workbench(bench);
    let mut journal = opened(&workbench, "mk");
    let cards: Vec<&Card> = workbench.cards().into_iter().take(30).collect();
    for day in days {
        let date = today() - Days::new(DAYS - day);
        let at = date.and_hms_opt(8, 0, 0).expect("a time").and_utc();
        for card in &cards {
            let event = answer(card, date, Grade::Named);
            journal.append(event, at, date).expect("it is kept");
        }
    }
}

/// Answers one card of a sitting at `at` and stops; returns the last line.
fn one_card(bench: &Bench, person: &str, at: &str) -> Value {
    let cards = deck(bench);
    let mut drill = bench.drill(&["--person", person, "--as-of", at]);
    let question = drill.hear();
    let kept = drill.card(&question, &cards, true);
    assert!(kept["kept"]["id"].is_string(), "{kept}");
    drill.hear();
    drill.say(&json!({ "stop": true }));
    drill.finish().pop().expect("a last line")
}

#[test]
fn a_drill_fits_by_itself_once_and_the_first_card_already_counts_on_it() {
    let (bench, scored) = forgetful();
    let done = one_card(&bench, "mk", "2026-11-20T08:00:00Z");
    let fitted = done["done"]["fitted"].as_u64().expect("it was fitted");
    assert!(usize::try_from(fitted).expect("few") <= scored);
    let journal = bench.journal("mk");
    assert_eq!(weights_in(&journal).len(), 1);
    // The fit stands before the answer of this sitting: it was due when the sitting opened.
    assert_eq!(journal[journal.len() - 2]["ev"], "weights");
    let done = one_card(&bench, "mk", "2026-11-21T08:00:00Z");
    assert_eq!(done["done"]["fitted"], Value::Null);
    assert_eq!(weights_in(&bench.journal("mk")).len(), 1);
    // On lines, and after its own note is lost, no other fit is made of the same reviews.
    drop(std::fs::remove_dir_all(bench.shop().join("cache")));
    let args = [
        "drill",
        "--plain",
        "--person",
        "mk",
        "--as-of",
        "2026-11-22T08:00:00Z",
    ];
    let lines = text(&bench.run_with(&args, "/stop\n").stdout);
    assert!(lines.contains("Done: "), "{lines}");
    assert!(!lines.contains("fitted anew"), "{lines}");
    assert_eq!(weights_in(&bench.journal("mk")).len(), 1);
}

#[test]
fn a_fit_that_was_refused_is_not_tried_again_at_every_sitting() {
    let bench = Bench::practice();
    practised(&bench, "mk", &Weights::published(), DAYS, 5);
    one_card(&bench, "mk", "2026-11-20T08:00:00Z");
    let note: Value = serde_json::from_str(&bench.read("cache/fit.json")).expect("JSON");
    let tried = note["tried"]["mk"].as_u64().expect("a number");
    assert!(64 <= tried, "{note}");
    let fits = weights_in(&bench.journal("mk")).len();
    one_card(&bench, "mk", "2026-11-21T08:00:00Z");
    assert_eq!(weights_in(&bench.journal("mk")).len(), fits);
    let again: Value = serde_json::from_str(&bench.read("cache/fit.json")).expect("JSON");
    assert_eq!(again["tried"]["mk"].as_u64(), Some(tried));
    // Nothing of an erased person is left in it.
    assert!(bench.run(&["people", "add", "TL"]).status.success());
    assert!(
        bench
            .run(&["people", "forget", "mk", "--yes"])
            .status
            .success()
    );
    assert!(!bench.shop().join("cache/fit.json").exists());
}

#[test]
fn whoever_has_no_fit_goes_by_the_shops() {
    let (bench, _) = forgetful();
    assert!(bench.run(&["people", "add", "TL"]).status.success());
    assert_eq!(history(&bench, "tl").weights, Weights::published());
    let all = json_of(&bench, &["fit", "--all", "--json"]);
    let people = all["people"].as_array().expect("people");
    assert_eq!(people.len(), 2);
    let of = |person: &str| {
        people
            .iter()
            .find(|p| p["person"] == person)
            .expect("listed")
    };
    assert_eq!(of("mk")["in_force"], "own");
    assert_eq!(of("tl")["in_force"], "shop");
    let own: Vec<f64> = serde_json::from_value(of("mk")["weights"].clone()).expect("numbers");
    let own = Weights::from_slice(&own).expect("within bounds");
    let effect = Effect {
        person: "mk",
        own: false,
        weights: own.get(),
    };
    let (shop, _) = in_force::shop([effect].into_iter());
    assert_eq!(history(&bench, "tl").weights, shop);
    assert_ne!(shop, Weights::published());
}

/// Appends a line of weights with its sum; `numbers` stands there as it is given.
fn put_weights(bench: &Bench, seq: usize, numbers: &str) {
    let line = format!(
        r#"{{"v":1,"id":"mk-b7-{seq}","seq":{seq},"at":"2026-11-19T08:00:00.000Z","day":"2026-11-19","ev":"weights","weights":[{numbers}]}}"#
    );
    let path: PathBuf = bench.shop().join("people/mk/b7.jsonl");
    let mut all = std::fs::read_to_string(&path).unwrap_or_default();
    all.push_str(&sealed::seal(&line));
    all.push('\n');
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("made");
    std::fs::write(path, all).expect("written");
}

#[test]
fn weights_that_do_not_fit_are_named_by_file_and_line_and_the_last_good_ones_count() {
    let good = |p0: f64| {
        let mut p = *Weights::published().get();
        p[0] = p0;
        p
    };
    let listed = |p: &[f64]| p.iter().map(f64::to_string).collect::<Vec<_>>().join(",");
    let with = |text: &str| {
        let rest = listed(&good(0.5)[1..]);
        format!("{text},{rest}")
    };
    let short = listed(&good(0.5)[..19]);
    for (numbers, why) in [
        (with("null"), "p0 is null, which is no number"),
        (with("\"NaN\""), "p0 is \"NaN\", which is no number"),
        (with("\"inf\""), "p0 is \"inf\", which is no number"),
        (with("-1"), "p0 is -1, outside 0.001 to 100"),
        (with("100.5"), "p0 is 100.5, outside 0.001 to 100"),
        (short.clone(), "19 numbers where the memory model takes 21"),
    ] {
        let bench = Bench::practice();
        put_weights(&bench, 1, &numbers);
        assert_eq!(history(&bench, "mk").weights, Weights::published(), "{why}");
        let looked = bench.run(&["inspect"]);
        assert_eq!(looked.status.code(), Some(3));
        let said = text(&looked.stdout) + &text(&looked.stderr);
        let message = format!("the weights do not fit the memory model: {why}");
        assert!(said.contains(&message), "{said}");
        assert!(
            said.contains("people/mk/b7.jsonl") && said.contains('1'),
            "{said}"
        );
        let drill = bench.run_with(&["drill", "--json", "--person", "mk"], "{\"stop\":true}\n");
        assert!(drill.status.success());
        let said = text(&drill.stderr);
        assert!(
            said.contains("b7.jsonl") && said.contains(&message),
            "{said}"
        );
    }
    let bench = Bench::practice();
    put_weights(&bench, 1, &listed(&good(0.5)));
    put_weights(&bench, 2, &with("null"));
    let bits = |p: &[f64]| p.iter().map(|p| p.to_bits()).collect::<Vec<u64>>();
    assert_eq!(bits(history(&bench, "mk").weights.get()), bits(&good(0.5)));
}

#[test]
fn minutes_and_targets_that_make_no_sense_are_refused_in_plain_words() {
    let bench = Bench::practice();
    for minutes in ["0", "-5", "NaN", "inf", "1e9"] {
        let run = bench.run(&["drill", "--json", "--minutes", minutes]);
        assert_eq!(run.status.code(), Some(2), "{minutes}");
        let said = text(&run.stderr);
        assert!(
            said.contains("minutes go from 0.1 to 600"),
            "{minutes}: {said}"
        );
    }
    for target in ["0", "1", "-1", "NaN"] {
        let run = bench.run_with(&["trace", "-", "--target", target], "");
        assert_ne!(run.status.code(), Some(0), "{target}");
        let said = text(&run.stderr);
        assert!(
            said.contains("it must be at least 0.01 and below 1"),
            "{target}: {said}"
        );
    }
    let shop = bench.read("shop.json");
    for target in ["0", "1"] {
        let mut value: Value = serde_json::from_str(&shop).expect("JSON");
        value["target_recall"] = serde_json::from_str(target).expect("a number");
        bench.put("shop.json", &value.to_string());
        let looked = bench.run(&["inspect"]);
        assert_eq!(looked.status.code(), Some(3), "{target}");
        let said = text(&looked.stdout) + &text(&looked.stderr);
        assert!(
            said.contains(&format!("{target} is outside 0.70 to 0.97; 0.9 is used")),
            "{said}"
        );
        let drill = bench.run_with(&["drill", "--json", "--person", "mk"], "{\"stop\":true}\n");
        assert!(drill.status.success(), "{}", text(&drill.stderr));
        assert!(text(&drill.stderr).contains("0.9 is used"));
    }
}

#[test]
fn a_file_of_weights_that_cannot_be_used_is_named_with_what_is_wrong_in_it() {
    let bench = Bench::practice();
    let good: Vec<f64> = Weights::published().get().to_vec();
    let with = |n: usize, text: &str| {
        let mut words: Vec<String> = good.iter().map(f64::to_string).collect();
        text.clone_into(&mut words[n]);
        format!("[{}]", words.join(","))
    };
    for (file, why) in [
        ("[1,2]".to_owned(), "2 numbers where"),
        (with(3, "1e9"), "p3 is 1000000000, outside"),
        (with(0, "NaN"), "not a JSON array of 21 numbers"),
        (with(0, "1e999"), "not a JSON array of 21 numbers"),
        (String::new(), "not a JSON array of 21 numbers"),
    ] {
        bench.put("weights.json", &file);
        let path = bench.shop().join("weights.json");
        let run = bench.run_with(&["trace", "-", "--weights", &path.to_string_lossy()], "");
        assert_eq!(run.status.code(), Some(2), "{file}");
        let said = text(&run.stderr);
        for word in ["weights.json: ", why, "leave --weights out"] {
            assert!(said.contains(word), "{word}: {said}");
        }
    }
}
