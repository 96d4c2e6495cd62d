//! Answers read in the very layout in which this program writes them.
//!
//! Whatever differs by one byte (another order of fields, an escape in a text, a space) is left to
//! [`crate::store::record::review::read`], which also says what is wrong. A line taken here is one that it
//! takes too, with the same meaning; laws at the end say so.

use chrono::DateTime;
use chrono::NaiveDate;
use chrono::Utc;

use crate::domain::names::Names;
use crate::domain::review::Grade;
use crate::domain::review::Millis;
use crate::domain::review::Mode;
use crate::domain::review::Sure;
use crate::domain::review::Verdict;
use crate::domain::tape::Line;
use crate::domain::tape::Short;
use crate::domain::tape::Tape;
use crate::domain::tape::What;
use crate::store::record::rest::Rest;

/// A line as it was read; its texts have no numbers yet.
#[derive(Debug)]
pub(crate) struct Quick<'a> {
    seq: u64,
    at: DateTime<Utc>,
    day: NaiveDate,
    /// With zero for the number of each text.
    answer: Short,
    texts: Texts<'a>,
}

#[derive(Clone, Copy, Debug)]
struct Texts<'a> {
    card: &'a str,
    accepted: &'a str,
    sitting: &'a str,
    circuit: Option<(&'a str, &'a str)>,
}

/// Reads one line after another of one journal and remembers what comes again from line to line.
#[derive(Debug)]
pub(crate) struct FastReader {
    prefix: String,
    day: (String, Option<NaiveDate>),
    sitting: (String, u32),
    /// What each card accepted when it last came, by the numbers of both.
    accepted: Vec<u32>,
}

impl FastReader {
    /// Returns a reader of a journal whose ids begin with `prefix`.
    pub(crate) fn new(prefix: String) -> Self {
        Self {
            prefix,
            day: (String::new(), None),
            sitting: (String::new(), u32::MAX),
            accepted: Vec::new(),
        }
    }

    /// Reads a line whose check sum was found right; none where it is not exactly an answer as this
    /// program writes it.
    #[expect(
        clippy::too_many_lines,
        reason = "one field after another, in the order of the line"
    )]
    pub(crate) fn read<'a>(&mut self, text: &'a str) -> Option<Quick<'a>> {
        let mut rest = Rest::new(text);
        rest.take("{\"v\":1,\"id\":\"")?;
        rest.take(&self.prefix)?;
        let digits = rest.number()?;
        rest.take("\",\"seq\":")?;
        rest.take(digits)?;
        let seq: u64 = digits.parse().ok().filter(|seq| *seq > 0)?;
        rest.take(",\"at\":\"")?;
        let at = self.moment(rest.bytes(24)?)?;
        rest.take("\",\"day\":\"")?;
        let day = self.date(rest.bytes(10)?)?;
        rest.take("\",\"ev\":\"answer\",\"card\":\"")?;
        let card = rest.text()?;
        rest.take(",\"asked\":\"")?;
        rest.text()?;
        rest.take(",\"accepted\":\"")?;
        let accepted = rest.text()?;
        rest.take(",\"sitting\":\"")?;
        let sitting = rest.text()?;
        rest.take(",\"mode\":\"")?;
        let mode = Mode::from_word(rest.text()?)?;
        rest.take(",\"grade\":\"")?;
        let grade = Grade::from_word(rest.text()?)?;
        rest.take(",\"ms\":{\"circuit\":")?;
        let circuit_ms = rest.number()?.parse().ok()?;
        rest.take(",\"answer\":")?;
        let answer_ms = rest.number()?.parse().ok()?;
        rest.take(",\"reveal\":")?;
        let reveal_ms = rest.number()?.parse().ok()?;
        rest.take("},")?;
        let circuit = if rest.take("\"circuit\":{\"asked\":\"").is_some() {
            let asked = rest.text()?;
            rest.take(",\"said\":\"")?;
            let said = rest.text()?;
            rest.take("},")?;
            Some((asked, said))
        } else {
            None
        };
        rest.take("\"typed\":\"")?;
        rest.text()?;
        rest.take(",\"aloud\":")?;
        let aloud = rest.flag()?;
        rest.take(",\"sure\":")?;
        let sure = Sure::from_number(rest.number()?.parse().ok()?)?;
        rest.take(",\"overruled\":")?;
        let overruled = rest.flag()?;
        rest.take(",\"verdict\":{")?;
        let circuit_right = if rest.take("\"circuit\":").is_some() {
            let right = rest.flag()?;
            rest.take(",")?;
            Some(right)
        } else {
            None
        };
        rest.take("\"fix\":")?;
        let fix = match rest.flag() {
            // What was said aloud has no verdict on the fix, whatever stands there.
            Some(fix) => (!aloud).then_some(fix),
            None => rest.take("null").filter(|()| aloud).and(None),
        };
        if fix.is_none() && !aloud {
            return None;
        }
        rest.take(",\"unsafe\":")?;
        let unsafe_answer = rest.flag()?;
        rest.take("},\"proposed\":\"")?;
        let proposed = Grade::from_word(rest.text()?)?;
        rest.take(",\"next_days\":")?;
        let next_days = rest.number()?.parse().ok()?;
        rest.take(",\"sum\":\"")?;
        rest.bytes(8)?;
        rest.take("\"}")?;
        if !rest.is_empty() {
            return None;
        }
        let answer = Short {
            card: 0,
            accepted: 0,
            sitting: 0,
            circuit: None,
            mode,
            grade,
            proposed,
            ms: Millis {
                circuit: circuit_ms,
                answer: answer_ms,
                reveal: reveal_ms,
            },
            aloud,
            sure,
            overruled,
            verdict: Verdict {
                circuit: circuit_right,
                fix,
                unsafe_answer,
            },
            next_days,
        };
        Some(Quick {
            seq,
            at,
            day,
            answer,
            texts: Texts {
                card,
                accepted,
                sitting,
                circuit,
            },
        })
    }

    /// Adds lines to a tape in their order and empties the list.
    pub(crate) fn number(&mut self, lines: &mut Vec<Quick<'_>>, tape: &mut Tape) {
        let cards = lines.iter().map(|line| line.texts.card);
        tape.names.look_ahead(cards);
        for quick in lines.drain(..) {
            let names = &mut tape.names;
            let texts = quick.texts;
            if self.sitting.1 == u32::MAX || self.sitting.0 != texts.sitting {
                self.sitting = (texts.sitting.to_owned(), names.number(texts.sitting));
            }
            let card = names.number(texts.card);
            let short = Short {
                card,
                accepted: self.accepted(card, texts.accepted, names),
                sitting: self.sitting.1,
                circuit: texts.circuit.map(|(asked, said)| {
                    let number = names.number(asked);
                    let said = if said == asked {
                        number
                    } else {
                        names.number(said)
                    };
                    (number, said)
                }),
                ..quick.answer
            };
            tape.lines.push(Line {
                seq: quick.seq,
                at: quick.at,
                day: quick.day,
                what: What::Answer(short),
            });
        }
    }

    /// Returns the number of `text`, which as a rule is what the card accepted the last time.
    fn accepted(&mut self, card: u32, text: &str, names: &mut Names) -> u32 {
        let at = card as usize;
        if self.accepted.len() <= at {
            self.accepted.resize(names.len().max(at + 1), u32::MAX);
        }
        let before = self.accepted[at];
        if before != u32::MAX && names.get(before) == text {
            return before;
        }
        self.accepted[at] = names.number(text);
        self.accepted[at]
    }

    /// Reads `2026-04-02T07:31:05.120Z`.
    fn moment(&mut self, text: &str) -> Option<DateTime<Utc>> {
        let day = self.date(text.get(..10)?)?;
        let time = text.as_bytes().get(10..24)?;
        let shape = [(0, b'T'), (3, b':'), (6, b':'), (9, b'.'), (13, b'Z')];
        if shape.iter().any(|(at, byte)| time[*at] != *byte) {
            return None;
        }
        let [hour, minute, second] = [1, 4, 7].map(|at| whole(&time[at..at + 2]));
        let milli = whole(&time[10..13])?;
        Some(
            day.and_hms_milli_opt(hour?, minute?, second?, milli)?
                .and_utc(),
        )
    }

    /// Reads `2026-04-02`; most lines have the day of the line before.
    fn date(&mut self, text: &str) -> Option<NaiveDate> {
        if self.day.1.is_none() || self.day.0 != text {
            let bytes = text.as_bytes();
            if bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' {
                return None;
            }
            let year = i32::try_from(whole(&bytes[..4])?).ok()?;
            let day = NaiveDate::from_ymd_opt(year, whole(&bytes[5..7])?, whole(&bytes[8..])?)?;
            self.day = (text.to_owned(), Some(day));
        }
        self.day.1
    }
}

/// Returns what digits and nothing else mean.
fn whole(digits: &[u8]) -> Option<u32> {
    digits.iter().try_fold(0_u32, |sum, digit| {
        digit
            .is_ascii_digit()
            .then(|| sum * 10 + u32::from(digit - b'0'))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::review::Answered;
    use crate::domain::review::Event;
    use crate::store::record::laws;
    use crate::store::record::review;
    use crate::store::sealed;
    use chrono::TimeDelta;
    use proptest::prelude::*;
    use proptest::sample::select;

    /// Texts that appear on real lines, and some that no program of ours would write.
    fn text() -> impl Strategy<Value = String> {
        prop_oneof![
            6 => "[a-z0-9 -]{0,12}",
            1 => Just("2,2 kΩ pull-up".to_owned()),
            1 => Just("a \"quoted\" \\ word\n\u{1b}[31m".to_owned()),
        ]
    }

    prop_compose! {
        fn answered()(
            texts in prop::array::uniform7(text()),
            grades in (1..5_u8, 1..5_u8),
            ms in prop::array::uniform3(prop_oneof![0..20_000_u64, Just(u64::MAX)]),
            (mode, sure) in (select(Mode::ALL.to_vec()), select(Sure::ALL.to_vec())),
            flags in prop::array::uniform4(any::<bool>()),
            (circuit, asked) in (any::<Option<bool>>(), any::<bool>()),
            next_days in any::<u32>(),
        ) -> Answered {
            let [card, asked_mark, accepted, sitting, family, said, typed] = texts;
            let grade = |n| Grade::from_number(n).expect("1 to 4");
            let [aloud, overruled, fix, unsafe_answer] = flags;
            Answered {
                card,
                asked: asked_mark,
                accepted,
                sitting,
                mode,
                grade: grade(grades.0),
                proposed: grade(grades.1),
                ms: Millis { circuit: ms[0], answer: ms[1], reveal: ms[2] },
                circuit: asked.then_some((family, said)),
                typed,
                aloud,
                sure,
                overruled,
                verdict: Verdict { circuit, fix: (!aloud).then_some(fix), unsafe_answer },
                next_days,
                options: 0,
            }
        }
    }

    fn line(answered: &Answered, seq: u64, minutes: i64) -> String {
        let at: DateTime<Utc> = "2026-04-02T07:31:05.120Z".parse().expect("a moment");
        let at = at + TimeDelta::minutes(minutes);
        let event = Event::Answer(Box::new(answered.clone()));
        let id = format!("mk-b7-{seq}");
        sealed::seal(&review::unsealed(&id, seq, at, at.date_naive(), &event))
    }

    /// What the tolerant reader makes of a line, as a tape.
    fn slowly(text: &str) -> Option<Tape> {
        let mut tape = Tape::new("mk", "b7");
        tape.push(review::read(text, "b7").ok()?);
        Some(tape)
    }

    fn quickly(text: &str) -> Option<Tape> {
        let mut tape = Tape::new("mk", "b7");
        let mut reader = FastReader::new(tape.prefix());
        let mut lines = vec![reader.read(text)?];
        reader.number(&mut lines, &mut tape);
        Some(tape)
    }

    /// Compares two tapes by what their numbers stand for.
    #[track_caller]
    fn same(quick: &Tape, slow: &Tape) {
        let shown = |tape: &Tape| {
            let What::Answer(short) = &tape.lines[0].what else {
                panic!("an answer was read");
            };
            let name = |n| tape.names.get(n).to_owned();
            let texts = [short.card, short.accepted, short.sitting].map(name);
            let circuit = short.circuit.map(|(asked, said)| (name(asked), name(said)));
            let plain = Short {
                card: 0,
                accepted: 0,
                sitting: 0,
                circuit: None,
                ..*short
            };
            (
                texts,
                circuit,
                plain,
                tape.id(0),
                tape.lines[0].at,
                tape.lines[0].day,
            )
        };
        assert_eq!(shown(quick), shown(slow));
    }

    #[test]
    fn a_line_of_the_design_is_read_without_the_tolerant_reader() {
        let text = sealed::seal(
            r#"{"v":1,"id":"mk-b7-812","seq":812,"at":"2026-04-02T07:31:05.120Z","day":"2026-04-02","ev":"answer","card":"00a1","asked":"1f0c22aa","accepted":"77d0e310","sitting":"b7-0231","mode":"drill","grade":"hunted","ms":{"circuit":3100,"answer":5300,"reveal":4000},"circuit":{"asked":"standby","said":"buck"},"typed":"replace u31","aloud":false,"sure":2,"overruled":false,"verdict":{"circuit":false,"fix":true,"unsafe":false},"proposed":"hunted","next_days":6}"#,
        );
        same(
            &quickly(&text).expect("quick"),
            &slowly(&text).expect("slow"),
        );
    }

    proptest! {
        /// Every answer that the program writes is read alike; one with plain texts without the
        /// tolerant reader.
        #[test]
        fn what_is_written_is_read_alike(
            answered in answered(), seq in 1..u64::MAX, minutes in 0..9_999_999_i64,
        ) {
            let text = line(&answered, seq, minutes);
            let slow = slowly(&text).expect("the program reads what it writes");
            let plain = !text.contains('\\');
            let quick = quickly(&text);
            prop_assert_eq!(quick.is_some(), plain, "{}", text);
            if let Some(quick) = quick {
                same(&quick, &slow);
            }
        }

        /// A line that is not quite as written is either left to the tolerant reader or read as that
        /// one reads it: bytes changed, left out, put in, or a piece taken twice.
        #[test]
        fn a_changed_line_is_never_read_otherwise(
            answered in answered(),
            cuts in prop::collection::vec((any::<prop::sample::Index>(), 0..5_u8, 0..16_usize), 1..4),
        ) {
            let mut bytes = line(&answered, 812, 5).into_bytes();
            bytes.truncate(bytes.len() - 18);
            for (at, how, n) in cuts {
                let at = at.index(bytes.len());
                let new = b"0123456789\"\\,:{}[e.-ntf \t"[(at + n) % 24];
                laws::mangle(&mut bytes, (at, how, n), new);
            }
            // The sum fits whatever stands before it: only the layout is on trial here.
            let Ok(text) = String::from_utf8(bytes) else { return Ok(()) };
            let text = sealed::seal(&format!("{text}}}"));
            if let Some(quick) = quickly(&text) {
                same(&quick, &slowly(&text).expect("the tolerant reader takes it too"));
            }
        }
    }
}
