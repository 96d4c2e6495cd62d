//! Which time stamps of a journal cannot be believed.
//!
//! Clocks of bench computers jump: a dead battery sends one back to its birth, a slip of the hand sets
//! it a year ahead. Only the stamps themselves are looked at, so every reader finds the same.

use chrono::DateTime;
use chrono::Datelike as _;
use chrono::TimeDelta;
use chrono::Utc;

/// Tells whether a stamp is of a time before there was this program: the clock of that computer had
/// gone back to its birth. Common practice, no source: the year.
pub fn too_early(at: DateTime<Utc>) -> bool {
    at.year() < 2020
}

/// Tells for each stamp, in the order written, whether it cannot be believed.
///
/// A sitting ahead of the lines around it is wrong, however long it was. For the rest, the longest
/// rising run of stamps is believed (of two equally long ones the later lines win, so a single stamp
/// from the future loses against what follows it, and a single one from the past loses against the
/// many before it). A line outside it is wrong if it stands more than a day after a believed later
/// line or before a believed earlier one.
pub fn wrong(stamps: &[DateTime<Utc>]) -> Vec<bool> {
    judge(stamps).0
}

/// What the stamps of a journal so far ask of the next one, for nothing said of them to change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Onward {
    /// Latest stamp that is not ahead of the lines around it.
    pub peak: Option<DateTime<Utc>>,
    /// Earliest stamp that is: once the clock comes near it, it has to be judged anew.
    pub floor: Option<DateTime<Utc>>,
    /// End of the longest rising run, where stamps stand out of order.
    pub believed: Option<DateTime<Utc>>,
}

impl Onward {
    /// Takes the next stamp and tells whether it can be believed and leaves all before as judged;
    /// where it says no, the whole journal has to be judged anew.
    #[must_use]
    pub fn take(&mut self, at: DateTime<Utc>) -> bool {
        let goes_on = self.peak.is_none_or(|peak| peak - at <= DAY)
            && self.floor.is_none_or(|floor| floor - at > DAY)
            && self.believed.is_none_or(|believed| believed <= at);
        self.peak = self.peak.max(Some(at));
        self.believed = self.believed.map(|_| at);
        goes_on
    }
}

/// Tells for each stamp whether it cannot be believed, as [`wrong`] does, and what is asked of the
/// next one.
pub fn judge(stamps: &[DateTime<Utc>]) -> (Vec<bool>, Onward) {
    let mut wrong = ahead(stamps);
    let mut onward = Onward::default();
    for (at, ahead) in stamps.iter().zip(&wrong) {
        if *ahead {
            onward.floor = Some(onward.floor.map_or(*at, |floor| floor.min(*at)));
        } else {
            onward.peak = onward.peak.max(Some(*at));
        }
    }
    let rest: Vec<usize> = (0..stamps.len()).filter(|&i| !wrong[i]).collect();
    let believed = longest_rising(&rest.iter().map(|&i| stamps[i]).collect::<Vec<_>>());
    let Some(believed) = believed else {
        return (wrong, onward);
    };
    let last = believed.iter().rposition(|believed| *believed);
    onward.believed = last.map(|n| stamps[rest[n]]);
    let mut latest_before: Option<DateTime<Utc>> = None;
    for (n, &i) in rest.iter().enumerate() {
        if believed[n] {
            latest_before = Some(stamps[i]);
        } else if latest_before.is_some_and(|b| b - stamps[i] > DAY) {
            wrong[i] = true;
        }
    }
    let mut earliest_after: Option<DateTime<Utc>> = None;
    for (n, &i) in rest.iter().enumerate().rev() {
        if believed[n] {
            earliest_after = Some(stamps[i]);
        } else if earliest_after.is_some_and(|a| stamps[i] - a > DAY) {
            wrong[i] = true;
        }
    }
    (wrong, onward)
}

const DAY: TimeDelta = TimeDelta::hours(24);

/// Tells whether a stamp leaves the clock of its journal above doubt, after others that did, the latest of
/// them given: where every stamp does, none of them is wrong, whatever the rest of the rule.
pub(crate) fn goes_on(latest: Option<DateTime<Utc>>, at: DateTime<Utc>) -> bool {
    latest.is_none_or(|latest| latest - at <= DAY)
}

/// Marks stretches of a day at most that jump ahead of all before and of all that follows, where what
/// follows goes on from what was before.
fn ahead(stamps: &[DateTime<Utc>]) -> Vec<bool> {
    let n = stamps.len();
    let mut wrong = vec![false; n];
    let mut latest_after: Vec<Option<DateTime<Utc>>> = vec![None; n + 1];
    for i in (0..n).rev() {
        latest_after[i] = latest_after[i + 1].max(Some(stamps[i]));
    }
    let mut before: Option<DateTime<Utc>> = None;
    let mut i = 0;
    while i < n {
        // Most lines do not jump, and the stretch need not be looked for.
        if before.is_none_or(|b| stamps[i] - b <= DAY) {
            before = before.max(Some(stamps[i]));
            i += 1;
            continue;
        }
        let end = (i..n)
            .find(|&k| (stamps[k] - stamps[i]).abs() > DAY)
            .unwrap_or(n);
        let lowest = stamps[i..end].iter().min().copied().unwrap_or(stamps[i]);
        let returns = stamps
            .get(end)
            .is_some_and(|&next| before.is_some_and(|b| b - next <= DAY));
        let alone = latest_after[end].is_some_and(|latest| lowest - latest > DAY);
        if returns && alone {
            wrong[i..end].fill(true);
            i = end;
        } else {
            before = before.max(Some(stamps[i]));
            i += 1;
        }
    }
    wrong
}

/// Marks the longest rising run; none where no stamp stands more than a day before an earlier one.
fn longest_rising(stamps: &[DateTime<Utc>]) -> Option<Vec<bool>> {
    let mut highest: Option<DateTime<Utc>> = None;
    let in_order = stamps.iter().all(|&at| {
        let fits = highest.is_none_or(|h| h - at <= DAY);
        highest = highest.max(Some(at));
        fits
    });
    if in_order {
        return None;
    }
    let mut tails: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = vec![None; stamps.len()];
    for (i, at) in stamps.iter().enumerate() {
        let place = tails.partition_point(|&t| stamps[t] <= *at);
        before[i] = place.checked_sub(1).map(|p| tails[p]);
        if place == tails.len() {
            tails.push(i);
        } else {
            tails[place] = i;
        }
    }
    let mut believed = vec![false; stamps.len()];
    let mut at = tails.last().copied();
    while let Some(i) = at {
        believed[i] = true;
        at = before[i];
    }
    Some(believed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::samples;
    use proptest::prelude::*;

    /// The rule as it is told, with every stretch looked at.
    fn ahead_plainly(stamps: &[DateTime<Utc>]) -> Vec<bool> {
        let n = stamps.len();
        let mut wrong = vec![false; n];
        let mut before: Option<DateTime<Utc>> = None;
        let mut i = 0;
        while i < n {
            let end = (i..n)
                .find(|&k| (stamps[k] - stamps[i]).abs() > DAY)
                .unwrap_or(n);
            let lowest = stamps[i..end].iter().min().copied().expect("one at least");
            let latest = stamps[end..].iter().max();
            let jumps = before.is_some_and(|b| stamps[i] - b > DAY);
            let returns = stamps
                .get(end)
                .is_some_and(|&next| before.is_some_and(|b| b - next <= DAY));
            if jumps && returns && latest.is_some_and(|&latest| lowest - latest > DAY) {
                wrong[i..end].fill(true);
                i = end;
            } else {
                before = before.max(Some(stamps[i]));
                i += 1;
            }
        }
        wrong
    }

    proptest! {
        #[test]
        fn passing_over_lines_that_do_not_jump_changes_nothing(
            hours in prop::collection::vec((-40..60_i64, prop::bool::weighted(0.1)), 0..60),
        ) {
            let mut at = samples::at(0);
            let stamps: Vec<DateTime<Utc>> = hours
                .into_iter()
                .map(|(step, far)| {
                    let step = TimeDelta::hours(if far { step * 20 } else { step / 8 });
                    at += step;
                    at
                })
                .collect();
            prop_assert_eq!(ahead(&stamps), ahead_plainly(&stamps));
        }
    }

    prop_compose! {
        /// Stamps of a clock that goes on, and now and then jumps by hours, days or years.
        fn jumping()(
            steps in prop::collection::vec((0..200_i64, 0..12_u8, -60..60_i64), 0..40),
        ) -> Vec<DateTime<Utc>> {
            let (mut clock, mut off) = (samples::at(0), TimeDelta::zero());
            steps
                .into_iter()
                .map(|(minutes, kind, jump)| {
                    clock += TimeDelta::minutes(minutes * 20);
                    off = match kind {
                        0 => TimeDelta::days(jump),
                        1 => TimeDelta::hours(jump),
                        2 => TimeDelta::days(jump * 60),
                        3 | 4 => TimeDelta::zero(),
                        _ => off,
                    };
                    clock + off
                })
                .collect()
        }
    }

    proptest! {
        /// As long as every next stamp is taken, what was said of those before stands, and the next
        /// ones are believed; and what is asked of a next one is the same as from judging all.
        #[test]
        fn a_stamp_that_is_taken_changes_nothing_said_before(
            stamps in jumping(), cut in 0..40_usize,
        ) {
            let cut = cut.min(stamps.len());
            let (mut expected, mut onward) = judge(&stamps[..cut]);
            for (n, at) in stamps.iter().enumerate().skip(cut) {
                if !onward.take(*at) {
                    break;
                }
                expected.push(false);
                let (all, after) = judge(&stamps[..=n]);
                prop_assert_eq!(&all, &expected);
                prop_assert_eq!(after, onward);
            }
        }

        /// Of a clock that never went back by more than a day nothing is wrong, and of the next stamp no
        /// more is asked than that it goes on.
        #[test]
        fn a_clock_that_goes_on_needs_no_judging(
            stamps in jumping(), hours in prop::collection::vec(-30..400_i64, 0..40),
        ) {
            let mut at = samples::at(0);
            let rising = hours.into_iter().map(|step| {
                at += TimeDelta::hours(step);
                at
            });
            for stamps in [stamps, rising.collect()] {
                let mut latest = None;
                let goes_on = stamps.iter().all(|at| {
                    let fits = goes_on(latest, *at);
                    latest = latest.max(Some(*at));
                    fits
                });
                if goes_on {
                    let (wrong, onward) = judge(&stamps);
                    prop_assert!(!wrong.contains(&true));
                    prop_assert_eq!(onward, Onward { peak: latest, ..Onward::default() });
                }
            }
        }
    }

    #[test]
    fn a_clock_that_goes_on_is_taken_and_one_set_back_or_ahead_of_a_jump_is_not() {
        let taken = |days: &[(i64, usize)], next: i64| {
            let (_, mut onward) = judge(&stamps(days));
            onward.take(samples::at(next))
        };
        assert!(taken(&[], 5));
        assert!(taken(&[(0, 3), (1, 3)], 400));
        assert!(!taken(&[(0, 3), (5, 3)], 3));
        // A stretch from the future is known by what follows it, until the clock comes near.
        assert!(taken(&[(0, 3), (400, 3), (1, 3)], 2));
        assert!(!taken(&[(0, 3), (400, 3), (1, 3)], 399));
        // The last line may be the one that is wrong: only what follows can tell.
        assert!(!taken(&[(0, 3), (400, 1)], 1));
    }

    /// Stamps a minute apart: so many on each day.
    fn stamps(days: &[(i64, usize)]) -> Vec<DateTime<Utc>> {
        days.iter()
            .flat_map(|&(day, lines)| {
                (0..lines).map(move |n| {
                    samples::at(day) + TimeDelta::minutes(i64::try_from(n).expect("a small number"))
                })
            })
            .collect()
    }

    /// How many stamps of each stretch are called wrong.
    fn wrong_of(days: &[(i64, usize)]) -> Vec<usize> {
        let wrong = wrong(&stamps(days));
        let mut from = 0;
        days.iter()
            .map(|&(_, lines)| {
                from += lines;
                wrong[from - lines..from].iter().filter(|w| **w).count()
            })
            .collect()
    }

    #[test]
    fn a_long_sitting_from_the_future_loses_against_a_short_one_after_it() {
        assert_eq!(wrong_of(&[(0, 12), (3650, 20), (2, 5)]), [0, 20, 0]);
        assert_eq!(
            wrong_of(&[(0, 1), (2, 1), (400, 20), (2, 1)]),
            [0, 0, 20, 0]
        );
    }

    #[test]
    fn a_sitting_from_the_past_loses_against_what_was_before_it() {
        assert_eq!(wrong_of(&[(0, 12), (-3650, 4)]), [0, 4]);
        assert_eq!(wrong_of(&[(0, 12), (-3650, 4), (1, 3)]), [0, 4, 0]);
        assert_eq!(
            wrong_of(&[(0, 5), (7, 5), (30, 5), (12, 4), (31, 2)]),
            [0, 0, 0, 4, 0]
        );
    }

    #[test]
    fn weeks_off_and_an_hour_back_are_no_jumps() {
        assert_eq!(wrong_of(&[(0, 12), (60, 12), (400, 12)]), [0, 0, 0]);
        let mut hour_back = stamps(&[(0, 3), (1, 3)]);
        hour_back[4] -= TimeDelta::hours(3);
        assert_eq!(wrong(&hour_back), [false; 6]);
    }
}
