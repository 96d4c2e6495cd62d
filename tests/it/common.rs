//! A temporary bench: a practice shop in a folder of its own, a fixed clock and seed, the real binary.

use std::io::BufRead;
use std::io::BufReader;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::process::Child;
use std::process::ChildStdin;
use std::process::ChildStdout;
use std::process::Command;
use std::process::Output;
use std::process::Stdio;
use std::sync::LazyLock;

use serde_json::Value;
use serde_json::json;

/// The moment every test happens at unless it says otherwise.
pub(crate) const NOW: &str = "2026-11-20T08:00:00Z";

/// A shop in a temporary folder.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    /// Returns an empty folder with nothing in it.
    pub(crate) fn empty() -> Self {
        Self {
            folder: tempfile::tempdir().expect("a temporary folder"),
        }
    }

    /// Returns a bench with the practice shop as it ships, its people in it and its deck built.
    ///
    /// The program makes it once a test run; every bench has a copy of its own.
    pub(crate) fn shipped() -> Self {
        static MADE: LazyLock<Bench> = LazyLock::new(|| {
            // Nothing is left outside the build folder, where no one else takes it away.
            let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"));
            let bench = Bench {
                folder: folder.expect("a folder for tests"),
            };
            let shop = bench.shop();
            let made = bench.run(&["demo", "--plain", "--into", &shop.to_string_lossy()]);
            assert!(made.status.success(), "{}", text(&made.stderr));
            bench
        });
        let bench = Self::empty();
        copy(&MADE.shop(), &bench.shop());
        bench
    }

    /// Copies the shop of this bench to another folder.
    pub(crate) fn copy_shop(&self, to: &Path) {
        copy(&self.shop(), to);
    }

    /// Returns a bench with the practice shop without its people and bench rules: the deck of its jobs,
    /// and one person who has answered nothing, `mk`.
    pub(crate) fn practice() -> Self {
        let bench = Self::without_people();
        assert!(bench.run(&["people", "add", "MK"]).status.success());
        bench
    }

    /// Returns a bench with the practice shop without its people and bench rules.
    pub(crate) fn without_people() -> Self {
        let bench = Self::shipped();
        let people = bench.shop().join("people");
        std::fs::remove_dir_all(people).expect("the people leave");
        for deck in ["bench-rules", "bench-safety"] {
            let place = bench.shop().join(format!("decks/{deck}.json"));
            std::fs::remove_file(place).expect("the practice shop has the rules");
        }
        bench
    }

    /// Returns a bench whose shop consists of the given files.
    pub(crate) fn with_files(files: &[(&str, &str)]) -> Self {
        let bench = Self::empty();
        for (place, content) in files {
            bench.put(place, content);
        }
        bench
    }

    /// Returns the shop folder.
    pub(crate) fn shop(&self) -> PathBuf {
        self.folder.path().join("shop")
    }

    /// Returns the data folder that the program is told to use.
    pub(crate) fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    /// Writes a file of the shop.
    pub(crate) fn put(&self, place: &str, content: &str) {
        let path = self.shop().join(place);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("the folder is made");
        std::fs::write(path, content).expect("the file is written");
    }

    /// Reads a file of the shop.
    pub(crate) fn read(&self, place: &str) -> String {
        std::fs::read_to_string(self.shop().join(place)).expect("the file is there")
    }

    /// Returns a command of the real binary in this bench's surroundings.
    pub(crate) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_benchlore"));
        command
            .args(args)
            .env("BENCHLORE_BENCH", "b7")
            .env("XDG_DATA_HOME", self.data())
            .env("HOME", self.folder.path())
            .env("TZ", "America/New_York")
            .env_remove("BENCHLORE_SHOP")
            .current_dir(self.folder.path());
        if !args.contains(&"--as-of") {
            command.args(["--as-of", NOW]);
        }
        if !args.contains(&"--seed") {
            command.args(["--seed", "1"]);
        }
        if !args.contains(&"--shop") && !args.contains(&"--into") && args.first() != Some(&"trace")
        {
            command.arg("--shop").arg(self.shop());
        }
        command
    }

    /// Runs the binary to its end without input.
    pub(crate) fn run(&self, args: &[&str]) -> Output {
        self.command(args)
            .stdin(Stdio::null())
            .output()
            .expect("the binary runs")
    }

    /// Runs the binary to its end with `input`.
    pub(crate) fn run_with(&self, args: &[&str], input: &str) -> Output {
        let mut child = self
            .command(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary starts");
        child
            .stdin
            .take()
            .expect("a pipe")
            .write_all(input.as_bytes())
            .expect("the input is taken");
        child.wait_with_output().expect("the binary ends")
    }

    /// Starts `drill --json` for `mk` with further arguments.
    pub(crate) fn drill(&self, more: &[&str]) -> Drill {
        let mut args = vec!["drill", "--json"];
        if !more.contains(&"--person") {
            args.extend(["--person", "mk"]);
        }
        args.extend(more);
        Drill::start(self.command(&args))
    }

    /// Returns the journal of `person` on bench b7, a line each; none if there is no file.
    pub(crate) fn journal(&self, person: &str) -> Vec<Value> {
        let path = self.shop().join("people").join(person).join("b7.jsonl");
        std::fs::read_to_string(path).map_or_else(
            |_| Vec::new(),
            |text| {
                text.lines()
                    .map(|l| serde_json::from_str(l).expect("a whole line"))
                    .collect()
            },
        )
    }
}

/// Copies a folder with everything in it.
pub(crate) fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("the folder is made");
    for entry in std::fs::read_dir(from).expect("the folder is there") {
        let entry = entry.expect("an entry");
        let place = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &place);
        } else {
            std::fs::copy(entry.path(), place).expect("the file is copied");
        }
    }
}

/// A drill over pipes.
pub(crate) struct Drill {
    child: Child,
    to: Option<ChildStdin>,
    from: BufReader<ChildStdout>,
}

impl Drill {
    /// Starts the command with pipes.
    pub(crate) fn start(mut command: Command) -> Self {
        let mut child = command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the binary starts");
        let to = child.stdin.take();
        let from = BufReader::new(child.stdout.take().expect("a pipe"));
        Self { child, to, from }
    }

    /// Reads the next line; null at the end.
    pub(crate) fn hear(&mut self) -> Value {
        let mut line = String::new();
        self.from
            .read_line(&mut line)
            .expect("the pipe can be read");
        if line.is_empty() {
            return Value::Null;
        }
        serde_json::from_str(&line).expect("a JSON line")
    }

    /// Sends one line.
    pub(crate) fn say(&mut self, line: &Value) {
        let to = self.to.as_mut().expect("the pipe is open");
        writeln!(to, "{line}").expect("the line is taken");
        to.flush().expect("the line is taken");
    }

    /// Sends raw bytes.
    pub(crate) fn say_raw(&mut self, bytes: &[u8]) {
        let to = self.to.as_mut().expect("the pipe is open");
        to.write_all(bytes).expect("the bytes are taken");
        to.flush().expect("the bytes are taken");
    }

    /// Sends one line and reads the next.
    pub(crate) fn ask(&mut self, line: &Value) -> Value {
        self.say(line);
        self.hear()
    }

    /// Closes the input and returns what still comes.
    pub(crate) fn finish(mut self) -> Vec<Value> {
        self.to = None;
        let mut rest = Vec::new();
        loop {
            let line = self.hear();
            if line.is_null() {
                break;
            }
            rest.push(line);
        }
        self.child.wait().expect("the binary ends");
        rest
    }

    /// Kills the program at once.
    pub(crate) fn kill(mut self) {
        self.child.kill().expect("the program can be killed");
        self.child.wait().expect("the program ended");
    }

    /// Answers one whole card rightly or wrongly, from its first question; returns the `kept` line.
    pub(crate) fn card(&mut self, question: &Value, deck: &[Value], right: bool) -> Value {
        let card = find(deck, question["card"].as_str().expect("an id"));
        let words = if right {
            answer_words(card)
        } else {
            "replace Z999".to_owned()
        };
        if question["ask"] == "answer" {
            let reveal = self.ask(&json!({ "typed": words, "sure": 2, "ms": 8000 }));
            assert_eq!(reveal["fix_right"], right, "{words}: {reveal}");
            return self.ask(&json!({ "ms": 2000 }));
        }
        assert_eq!(question["ask"], "circuit", "{question}");
        let reply = self.ask(&json!({ "circuit": card["family"], "ms": 3000 }));
        assert_eq!(reply["ask"], "answer", "{reply}");
        let reveal = self.ask(&json!({ "typed": words, "sure": 2, "ms": 5000 }));
        assert_eq!(reveal["fix_right"], right, "{words}: {reveal}");
        self.ask(&json!({ "ms": 2000 }))
    }
}

impl Drop for Drill {
    fn drop(&mut self) {
        // Already ended in most tests; where one failed half-way nobody should be left behind.
        if matches!(self.child.try_wait(), Ok(None)) {
            drop(self.child.kill());
            drop(self.child.wait());
        }
    }
}

/// Returns the card called `id`.
pub(crate) fn find<'a>(deck: &'a [Value], id: &str) -> &'a Value {
    deck.iter()
        .find(|c| c["id"] == id)
        .expect("the card is in the deck")
}

/// Returns words that name the whole first answer of a card, or every point of it.
pub(crate) fn answer_words(card: &Value) -> String {
    if let Some(tests) = card["tests"].as_array() {
        let best = tests.iter().find(|test| test["right"] == true);
        let groups = best.expect("a right one")["words"].as_array().cloned();
        let first = |group: &Value| group[0].as_str().expect("a word").to_owned();
        let words: Vec<String> = groups.expect("groups").iter().map(first).collect();
        return words.join(" ");
    }
    if card["given"] == true {
        let sides = card["sides"].as_array().expect("sides");
        let fixes = sides.iter().map(|side| steps_words(&side["answer"]));
        let named = ["A", "B"].iter().zip(fixes);
        let words: Vec<String> = named
            .map(|(letter, fix)| format!("{letter}: {fix}"))
            .collect();
        return words.join(", ");
    }
    if let Some(points) = card["points"].as_array() {
        let first = |group: &Value| group[0].as_str().expect("a word").to_owned();
        return points
            .iter()
            .map(|point| {
                let groups = point["words"].as_array().expect("groups");
                groups.iter().map(first).collect::<Vec<_>>().join(" ")
            })
            .collect::<Vec<_>>()
            .join(", ");
    }
    steps_words(&card["answers"][0])
}

/// Returns words that name every step of an answer.
fn steps_words(answer: &Value) -> String {
    let steps = answer["steps"]
        .as_array()
        .cloned()
        .unwrap_or_else(|| vec![answer.clone()]);
    steps
        .iter()
        .map(|step| {
            let act = step["act"].as_str().expect("an act").replace('-', " ");
            format!("{act} {}", step["part"].as_str().expect("a part"))
        })
        .collect::<Vec<_>>()
        .join(" and ")
}

/// Returns the cards of the deck `shop`.
pub(crate) fn deck(bench: &Bench) -> Vec<Value> {
    let deck: Value = serde_json::from_str(&bench.read("decks/shop.json")).expect("a deck");
    deck["cards"].as_array().expect("cards").clone()
}

/// Returns output as text.
pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}
